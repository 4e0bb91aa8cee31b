//! A bill as a workbook for a spreadsheet program.

use super::columns::{self, BillColumn};
use super::{BillView, words};
use crate::answers::asked::basis_words;
use crate::answers::{Asked, NotRead};
use crate::bill::Bill;
use crate::finding::Finding;
use crate::layout::{CAUTION, ordered, severity_word, workbook};
use crate::model::Model;
use crate::resolve::Basis;
use crate::source::Sources;

/// What stands above the headings: what the bill is of, what was not read and what it takes for granted, the caution.
const ABOVE: usize = 3;

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
    let sheets: Vec<workbook::WorkbookSheet<'_>> =
        sheets.iter().map(|(name, header, rows)| sheet(name, header, rows, &above)).collect();
    workbook::bytes("Bill of parts", &sheets).map_err(|error| format!("the bill does not fit into a workbook: {error}"))
}

/// A sheet of the bill. A position of the tree is set in by its level, and a text that follows a figure a little; what is not
/// settled stands out.
fn sheet<'a>(
    name: &str,
    header: &'a [BillColumn],
    rows: &'a [Vec<String>],
    above: &[String; ABOVE],
) -> workbook::WorkbookSheet<'a> {
    let columns = header.iter().map(|column| workbook::WorkbookColumn {
        title: column.title,
        number: column.number,
        // To the gram.
        places: column.name.ends_with("_kg").then_some(3),
        width: column.width,
        blank: None,
    });
    let indent = |at: usize, cells: &[String]| {
        let after_a_figure = at.checked_sub(1).is_some_and(|before| header[before].number);
        match header[at].name {
            "position" => cells[0].parse().unwrap_or(0).min(workbook::DEEPEST),
            _ => u8::from(after_a_figure),
        }
    };
    let row = |cells: &'a Vec<String>| {
        let cell = |(at, text): (usize, &'a String)| workbook::WorkbookCell {
            text,
            indent: indent(at, cells),
            bold: header[at].name == "state" && text != words::SETTLED,
        };
        cells.iter().enumerate().map(cell).collect()
    };
    workbook::WorkbookSheet {
        name: name.to_owned(),
        above: above.to_vec(),
        columns: columns.collect(),
        rows: rows.iter().map(row).collect(),
        repeated: header.iter().position(|column| column.name == "part"),
    }
}

/// What stands above the headings of every sheet.
fn above(bill: &Bill, model: &Model, beside: &Beside<'_>) -> [String; ABOVE] {
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
