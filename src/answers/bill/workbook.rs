//! A bill as a workbook for a spreadsheet program.

use super::columns::{self, BillColumn};
use super::{BillView, words};
use crate::answers::asked::basis_words;
use crate::answers::{Asked, NotRead};
use crate::bill::Bill;
use crate::finding::Finding;
use crate::layout::{CAUTION, ordered, severity_word};
use crate::model::Model;
use crate::resolve::Basis;
use crate::source::Sources;
use rust_xlsxwriter::{
    ColNum, DocProperties, ExcelDateTime, Format, FormatAlign, FormatBorder, RowNum, Workbook, Worksheet, XlsxError,
};

/// The most that a cell holds, in UTF-16 units.
const CELL: usize = 32_767;
/// Stands at the end of a text that is too long for a cell.
const CUT: &str = " [too long for a cell: the rest is in the CSV]";
/// The deepest level of the tree at which a position is set in further than those above it.
const DEEPEST: u8 = 8;
/// The grey behind the headings.
const GREY: u32 = 0x00E4_E4E4;
/// A sheet of at most so many characters is printed upright: a few more than A4 holds at full size.
const UPRIGHT: u16 = 130;
/// The widest sheet that is printed on one page, in characters: a smaller print than that of 7 points is not read at a
/// bench.
const LEGIBLE: u16 = 170;
/// What stands above the headings: what the bill is of, what was not read and what it takes for granted, the caution.
const ABOVE: RowNum = 3;

const FINDINGS: &[BillColumn] = &[
    BillColumn { name: "code", title: "Code", number: false, width: 7 },
    BillColumn { name: "severity", title: "Weight", number: false, width: 11 },
    BillColumn { name: "message", title: "Finding", number: false, width: 46 },
    BillColumn { name: "places", title: "Where (file:line)", number: false, width: 36 },
    BillColumn { name: "chain", title: "Because", number: false, width: 44 },
    BillColumn { name: "help", title: "What to do", number: false, width: 36 },
];

/// What goes into a workbook besides the bill itself.
#[derive(Debug)]
pub struct Beside<'a> {
    /// What was asked for.
    pub asked: &'a Asked,
    /// The positions in which the bill differs on the other basis.
    pub differing: &'a [String],
    /// What was not read and bears on the bill.
    pub not_read: &'a [NotRead],
    /// The findings that the bill rests on.
    pub findings: &'a [Finding],
    /// The files of the project.
    pub sources: &'a Sources,
}

/// A bill as the bytes of a workbook: sheets `Tree`, `Flat`, `Make`, `Buy`, `Materials`, `Open lines` and `Findings`.
///
/// On each sheet the first row says what the bill is of, the second what was not read and what it takes for granted, the
/// third is the caution, the fourth holds the headings, with units; these four stay in sight, are printed on every page, and the
/// caution stands at the foot of every page too. Every page is A4, as wide as its sheet. In the tree a position is
/// indented by its level, and what is not settled is bold. What dossiers say is written as text, never as a formula, and without
/// the apostrophe that CSV needs. Counts and masses are numbers; a quantity that is not decided is an empty cell.
/// The same bill gives the same bytes.
///
/// # Errors
/// A sentence without a full stop: a sheet holds no more than 1,048,576 rows.
pub fn bill_workbook(bill: &Bill, model: &Model, beside: &Beside<'_>) -> Result<Vec<u8>, String> {
    let views = [("Totals", BillView::Flat), ("Make", BillView::Make), ("Buy", BillView::Buy)];
    let mut sheets = vec![("Indented list", columns::TREE, columns::tree(bill, model, false))];
    sheets.extend(views.map(|(name, view)| (name, columns::TOTALS, columns::totals(bill, model, view))));
    sheets.push(("Materials", columns::MATERIALS, columns::materials(bill)));
    sheets.push(("Open lines", columns::TREE, columns::tree(bill, model, true)));
    sheets.push(("Findings", FINDINGS, findings(beside)));
    let above = above(bill, model, beside);
    let mut workbook = Workbook::new();
    let written = sheets.iter().try_for_each(|(name, header, rows)| {
        BillSheet::new(name, header, rows, &above).write(workbook.add_worksheet())
    });
    written
        .and_then(|()| bytes(&mut workbook))
        .map_err(|error| format!("the bill does not fit into a workbook: {error}"))
}

/// What stands above the headings of every sheet.
fn above(bill: &Bill, model: &Model, beside: &Beside<'_>) -> [String; ABOVE as usize] {
    let mut granted = beside.asked.remarks().sentences().join(" ");
    if !beside.differing.is_empty() {
        granted = format!(
            "Differs {}: {}. {granted}",
            basis_words(bill.request.basis == Basis::Firm),
            beside.differing.join(", ")
        );
    }
    let sentence_of = |of: &NotRead| format!("[{}] {}: {}", of.number.0, of.at, of.what);
    if !beside.not_read.is_empty() {
        let list = beside.not_read.iter().map(sentence_of).collect::<Vec<_>>().join("; ");
        granted = format!("Not read, so not known here; correct these lines and ask again: {list}. {granted}");
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
struct BillSheet<'a> {
    name: &'a str,
    header: &'a [BillColumn],
    rows: &'a [Vec<String>],
    above: &'a [String],
    /// How wide each column is, in characters.
    widths: Vec<u16>,
}

/// How cells look: legible on paper in black and white, in a font that every machine has or has the measures of.
struct Looks {
    /// By how far they are set in.
    text: Vec<Format>,
    /// What is not settled, by how far it is set in.
    open: Vec<Format>,
    number: Format,
    /// To the gram; the cell holds all of it.
    kilograms: Format,
    heading: Format,
    /// The heading of figures.
    figures: Format,
    title: Format,
    above: Format,
}

impl Looks {
    fn new() -> Looks {
        let text = Format::new().set_font_name("Arial").set_font_size(10).set_align(FormatAlign::Top).set_text_wrap();
        let bold = text.clone().set_bold();
        let number = text.clone().set_align(FormatAlign::Right).set_indent(1);
        let set_in = |format: &Format| {
            (0..=DEEPEST).map(|depth| format.clone().set_align(FormatAlign::Left).set_indent(depth)).collect()
        };
        let heading = bold.clone().set_background_color(GREY).set_border_bottom(FormatBorder::Thin);
        Looks {
            kilograms: number.clone().set_num_format("0.000"),
            number,
            figures: heading.clone().set_align(FormatAlign::Right).set_indent(1),
            heading,
            title: bold.clone(),
            open: set_in(&bold),
            above: text.clone(),
            text: set_in(&text),
        }
    }
}

impl<'a> BillSheet<'a> {
    /// Columns are no wider than what stands in them needs: a sheet is printed to the width of the paper.
    fn new(name: &'a str, header: &'a [BillColumn], rows: &'a [Vec<String>], above: &'a [String]) -> BillSheet<'a> {
        let sheet = BillSheet { name, header, rows, above, widths: Vec::new() };
        let width = |(at, column): (usize, &BillColumn)| {
            let of_words = column.title.split(' ').map(str::len);
            let of_cells = rows.iter().flat_map(|cells| {
                let indent = usize::from(sheet.indent(at, cells));
                cells[at].split('\n').map(move |line| line.chars().count() + indent)
            });
            let needed = of_words.chain(of_cells).max().unwrap_or(0) + 2;
            column.width.min(u16::try_from(needed).unwrap_or(u16::MAX))
        };
        let widths = header.iter().enumerate().map(width).collect();
        BillSheet { widths, ..sheet }
    }

    fn write(&self, sheet: &mut Worksheet) -> Result<(), XlsxError> {
        sheet.set_name(self.name)?;
        let looks = Looks::new();
        let last = ColNum::try_from(self.header.len()).expect("a sheet has few columns") - 1;
        for (row, sentence) in (0..).zip(self.above) {
            let format = if row == 0 { &looks.title } else { &looks.above };
            sheet.merge_range(row, 0, row, last, &fitting(sentence), format)?;
            sheet.set_row_height(row, height(lines(sentence, self.width())))?;
        }
        for ((at, column), width) in (0..).zip(self.header).zip(&self.widths) {
            sheet.set_column_width(at, f64::from(*width))?;
            let heading = if column.number { &looks.figures } else { &looks.heading };
            sheet.write_string_with_format(ABOVE, at, column.title, heading)?;
        }
        let titles = self.header.iter().zip(&self.widths).map(|(column, width)| lines(column.title, *width));
        sheet.set_row_height(ABOVE, height(titles.max().unwrap_or(1)))?;
        for (row, cells) in (ABOVE + 1..).zip(self.rows) {
            let mut tallest = 1;
            for ((at, column), cell) in (0..).zip(self.header).zip(cells).filter(|(_, cell)| !cell.is_empty()) {
                let indent = self.indent(usize::from(at), cells);
                let is_open = column.name == "state" && cell != words::SETTLED;
                let format = if is_open { &looks.open } else { &looks.text }.get(usize::from(indent));
                let format = format.expect("no cell is set in further than the deepest level");
                let figures = if column.name.ends_with("_kg") { &looks.kilograms } else { &looks.number };
                match number(cell).filter(|_| column.number) {
                    Some(value) => sheet.write_number_with_format(row, at, value, figures)?,
                    None => sheet.write_string_with_format(row, at, fitting(cell), format)?,
                };
                tallest = tallest.max(lines(cell, self.widths[usize::from(at)] - u16::from(indent)));
            }
            sheet.set_row_height(row, height(tallest))?;
        }
        self.set_up(sheet, last)
    }

    /// How far a cell is set in: a position of the tree by its level, and a text that follows a figure a little.
    fn indent(&self, at: usize, cells: &[String]) -> u8 {
        let after_a_figure = at.checked_sub(1).is_some_and(|before| self.header[before].number);
        match self.header[at].name {
            "position" => cells[0].parse().unwrap_or(0).min(DEEPEST),
            _ => u8::from(after_a_figure),
        }
    }

    /// How wide the sheet is, in characters.
    fn width(&self) -> u16 {
        self.widths.iter().sum()
    }

    /// What stays in sight, what can be filtered, how it is printed: on A4, upright where that is wide enough.
    fn set_up(&self, sheet: &mut Worksheet, last_column: ColNum) -> Result<(), XlsxError> {
        let last = ABOVE + RowNum::try_from(self.rows.len()).unwrap_or(RowNum::MAX - ABOVE);
        sheet.set_freeze_panes(ABOVE + 1, 0)?;
        sheet.autofilter(ABOVE, 0, last, last_column)?;
        sheet.set_repeat_rows(0, ABOVE)?;
        // Paper number 9 is A4.
        sheet.set_paper_size(9).set_print_gridlines(true);
        // What would print too small on one page goes over two side by side, each beginning with what the rows are of.
        match self.header.iter().position(|column| column.name == "part").filter(|_| self.width() > LEGIBLE) {
            Some(part) => {
                sheet.set_repeat_columns(0, ColNum::try_from(part).expect("a sheet has few columns"))?;
                sheet.set_print_fit_to_pages(2, 0).set_page_order(false);
            }
            None => {
                sheet.set_print_fit_to_pages(1, 0);
            }
        }
        if self.width() <= UPRIGHT {
            sheet.set_portrait();
        } else {
            sheet.set_landscape();
        }
        sheet.set_margins(0.4, 0.4, 0.7, 0.7, 0.3, 0.3);
        sheet.set_header(format!("&L&B{}&RPage &P of &N", self.name));
        sheet.set_footer(format!("&L&8{CAUTION}"));
        Ok(())
    }
}

/// How many lines a text takes in a column: a line holds some more letters than the figures that its width is counted in.
fn lines(text: &str, width: u16) -> usize {
    let width = usize::from(width) * 6 / 5;
    text.split('\n').map(|line| textwrap::wrap(line.trim_end(), width).len().max(1)).sum()
}

/// The height of a row of so many lines, in points; no row is higher than a spreadsheet allows.
fn height(lines: usize) -> f64 {
    let lines = u32::try_from(lines).unwrap_or(u32::MAX);
    (13.0 * f64::from(lines) + 2.0).min(409.0)
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
            (1..).zip(&finding.chain).map(|(nth, step)| format!("{nth}. {step}")).collect::<Vec<_>>().join("\n"),
            finding.help.clone(),
        ]
    };
    let mut found = ordered(beside.findings, beside.sources);
    found.sort_by_key(|finding| finding.severity());
    found.into_iter().map(row).collect()
}
