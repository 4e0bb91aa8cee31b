//! A bill as a workbook for a spreadsheet program.

use super::BillView;
use super::columns::{self, Column};
use crate::bill::Bill;
use crate::finding::Finding;
use crate::model::Model;
use crate::report::{Asked, CAUTION, ordered, severity_word};
use crate::source::Sources;
use rust_xlsxwriter::{
    ColNum, DocProperties, ExcelDateTime, Format, FormatAlign, FormatBorder, RowNum, Workbook, Worksheet, XlsxError,
};

/// The most that a cell holds, in UTF-16 units.
const CELL: usize = 32_767;
/// Stands at the end of a text that is too long for a cell.
const CUT: &str = " [too long for a cell: the rest is in the CSV]";
/// What stands above the headings: what the bill is of, what it takes for granted, the caution.
const ABOVE: RowNum = 3;

const FINDINGS: &[Column] = &[
    Column { name: "code", title: "Code", number: false, width: 8 },
    Column { name: "severity", title: "Weight", number: false, width: 11 },
    Column { name: "message", title: "Finding", number: false, width: 60 },
    Column { name: "places", title: "Where (file:line)", number: false, width: 40 },
    Column { name: "chain", title: "Because", number: false, width: 50 },
    Column { name: "help", title: "What to do", number: false, width: 50 },
];

/// What goes into a workbook besides the bill itself.
#[derive(Debug)]
pub struct Beside<'a> {
    /// What was asked for.
    pub asked: &'a Asked,
    /// The positions in which the bill differs on the other basis.
    pub differing: &'a [String],
    /// The findings that the bill rests on.
    pub findings: &'a [Finding],
    /// The files of the project.
    pub sources: &'a Sources,
}

/// A bill as the bytes of a workbook: sheets `Tree`, `Flat`, `Make`, `Buy`, `Materials`, `Open lines` and `Findings`.
///
/// On each sheet the first row says what the bill is of, the second what it takes for granted, the third is the
/// caution, the fourth holds the headings, with units; these four stay in sight, are printed on every page, and the
/// caution stands at the foot of every page too. What dossiers say is written as text, never as a formula, and without
/// the apostrophe that CSV needs. Counts and masses are numbers; a quantity that is not decided is an empty cell.
/// The same bill gives the same bytes.
///
/// # Errors
/// A sentence without a full stop: a sheet holds no more than 1,048,576 rows.
pub fn bill_workbook(bill: &Bill, model: &Model, beside: &Beside<'_>) -> Result<Vec<u8>, String> {
    let views = [("Flat", BillView::Flat), ("Make", BillView::Make), ("Buy", BillView::Buy)];
    let mut sheets = vec![("Tree", columns::TREE, columns::tree(bill, model, false))];
    sheets.extend(views.map(|(name, view)| (name, columns::TOTALS, columns::totals(bill, model, view))));
    sheets.push(("Materials", columns::MATERIALS, columns::materials(bill)));
    sheets.push(("Open lines", columns::TREE, columns::tree(bill, model, true)));
    sheets.push(("Findings", FINDINGS, findings(beside)));
    let above = above(bill, model, beside);
    let mut workbook = Workbook::new();
    let written = sheets.iter().try_for_each(|(name, header, rows)| {
        let sheet = Sheet { name, header, rows, above: &above };
        sheet.write(workbook.add_worksheet())
    });
    written
        .and_then(|()| bytes(&mut workbook))
        .map_err(|error| format!("the bill does not fit into a workbook: {error}"))
}

/// What stands above the headings of every sheet.
fn above(bill: &Bill, model: &Model, beside: &Beside<'_>) -> [String; ABOVE as usize] {
    let mut granted = beside.asked.remarks(10_000).split_whitespace().collect::<Vec<_>>().join(" ");
    if !beside.differing.is_empty() {
        granted = format!("Differs on the other basis: {}. {granted}", beside.differing.join(", "));
    }
    [format!("Bill of parts: {}", columns::about(bill, model).join("; ")), granted, CAUTION.to_owned()]
}

fn bytes(workbook: &mut Workbook) -> Result<Vec<u8>, XlsxError> {
    // A workbook notes when it was made; the same bill is to give the same bytes.
    let made = ExcelDateTime::from_ymd(2000, 1, 1)?;
    workbook.set_properties(
        &DocProperties::new().set_title("Bill of parts").set_comment(CAUTION).set_creation_datetime(&made),
    );
    workbook.save_to_buffer()
}

/// One sheet: its headings, its rows, and what stands above them.
struct Sheet<'a> {
    name: &'a str,
    header: &'a [Column],
    rows: &'a [Vec<String>],
    above: &'a [String],
}

impl Sheet<'_> {
    fn write(&self, sheet: &mut Worksheet) -> Result<(), XlsxError> {
        sheet.set_name(self.name)?;
        let bold = Format::new().set_bold();
        for (row, told) in (0..).zip(self.above) {
            let format = if row == 0 { &bold } else { &Format::default() };
            sheet.write_string_with_format(row, 0, fitting(told), format)?;
        }
        let heading =
            Format::new().set_bold().set_text_wrap().set_align(FormatAlign::Top).set_border_bottom(FormatBorder::Thin);
        let (plain, wrapped) =
            (Format::new().set_align(FormatAlign::Top), Format::new().set_align(FormatAlign::Top).set_text_wrap());
        for (at, column) in (0..).zip(self.header) {
            sheet.set_column_width(at, f64::from(column.width))?;
            sheet.write_string_with_format(ABOVE, at, column.title, &heading)?;
        }
        for (row, cells) in (ABOVE + 1..).zip(self.rows) {
            for ((at, column), cell) in (0..).zip(self.header).zip(cells).filter(|(_, cell)| !cell.is_empty()) {
                match number(cell).filter(|_| column.number) {
                    Some(value) => sheet.write_number_with_format(row, at, value, &plain)?,
                    None => sheet.write_string_with_format(row, at, fitting(cell), &wrapped)?,
                };
            }
        }
        self.set_up(sheet)
    }

    /// What stays in sight, what can be filtered, how it is printed.
    fn set_up(&self, sheet: &mut Worksheet) -> Result<(), XlsxError> {
        let last = ABOVE + RowNum::try_from(self.rows.len()).unwrap_or(RowNum::MAX - ABOVE);
        let columns = ColNum::try_from(self.header.len()).expect("a sheet has few columns");
        sheet.set_freeze_panes(ABOVE + 1, 0)?;
        sheet.autofilter(ABOVE, 0, last, columns - 1)?;
        sheet.set_repeat_rows(0, ABOVE)?;
        // Paper number 9 is A4.
        sheet.set_landscape().set_paper_size(9).set_print_fit_to_pages(1, 0);
        sheet.set_header(format!("&L{}&RPage &P of &N", self.name));
        sheet.set_footer(format!("&L{CAUTION}"));
        Ok(())
    }
}

/// A text as it fits into a cell; one that is too long says so at its end.
fn fitting(text: &str) -> String {
    if text.encode_utf16().count() <= CELL {
        return text.to_owned();
    }
    let room = CELL - CUT.len();
    let mut used = 0;
    let start = text.chars().take_while(|c| {
        used += c.len_utf16();
        used <= room
    });
    start.collect::<String>() + CUT
}

/// The number that a text is, if a cell holds it exactly.
fn number(text: &str) -> Option<f64> {
    let digits = text.bytes().filter(u8::is_ascii_digit).count();
    text.parse().ok().filter(|value: &f64| value.is_finite() && digits <= 15)
}

fn findings(beside: &Beside<'_>) -> Vec<Vec<String>> {
    let row = |finding: &Finding| {
        let places = finding.labels.iter().map(|label| {
            let (file, span) = beside.sources.span(&label.place);
            let (line, _) = beside.sources.line_column(file, span.start);
            format!("{}:{line} {}", beside.sources.file(file).path.display(), label.text)
        });
        vec![
            finding.code.to_string(),
            severity_word(finding.severity()).to_owned(),
            finding.message.clone(),
            places.collect::<Vec<_>>().join("; "),
            finding.chain.join(" "),
            finding.help.clone(),
        ]
    };
    ordered(beside.findings, beside.sources).into_iter().map(row).collect()
}
