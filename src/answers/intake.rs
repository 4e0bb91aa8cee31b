//! What becomes of a sheet that is imported.

use crate::layout::text::counted;
use crate::layout::{Page, PageTable, Style, findings_json, render_findings};
use crate::sheets::{Fate, Intake, IntakeKind};
use crate::source::Sources;
use serde::Serialize;
use serde_json::Value;

/// What becomes of a sheet, row by row.
#[derive(Clone, Debug, Serialize)]
pub struct IntakeReport {
    /// The file, as it was named.
    pub file: String,
    /// What it is taken in as.
    pub kind: &'static str,
    /// The rows below the headings that are not empty.
    pub rows: Vec<IntakeRow>,
    /// How many new records there are.
    pub new: usize,
    /// The dossier file below the project folder that they go into; `null` if there are none.
    pub into: Option<String>,
    /// Whether it was written; otherwise this was a dry run.
    pub written: bool,
    /// What that file holds.
    pub text: String,
    /// The findings, as `check` gives them.
    pub findings: Value,
}

/// A row of a sheet.
#[derive(Clone, Debug, Serialize)]
pub struct IntakeRow {
    /// Its number, as the spreadsheet shows it.
    pub row: u32,
    /// What its record is called; empty where that is not known.
    pub name: String,
    /// `new`, `already-entered` or `rejected`.
    #[serde(serialize_with = "crate::layout::json::hyphened")]
    pub fate: &'static str,
}

fn word(fate: Fate) -> &'static str {
    match fate {
        Fate::New => "new",
        Fate::Known => "already entered",
        Fate::Aside => "rejected",
    }
}

/// The new dossier file of the rows taken in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewDossier {
    /// Its path; `None` if no row is new.
    pub into: Option<String>,
    /// What stands in it.
    pub text: String,
    /// Whether it was written.
    pub written: bool,
}

/// Fills the report.
#[must_use]
pub fn intake_report(
    file: String,
    kind: IntakeKind,
    intake: &Intake,
    dossier: NewDossier,
    sources: &Sources,
) -> IntakeReport {
    let row =
        |row: &crate::sheets::SheetRow| IntakeRow { row: row.number, name: row.name.clone(), fate: word(row.fate) };
    IntakeReport {
        file,
        kind: kind.words(),
        rows: intake.rows.iter().map(row).collect(),
        new: intake.records.len(),
        into: dossier.into,
        written: dossier.written,
        text: dossier.text,
        findings: findings_json(&intake.findings, sources),
    }
}

/// The report as text: the rows, the findings, what was or would be written.
#[must_use]
pub fn intake_page(report: &IntakeReport, intake: &Intake, sources: &Sources, style: Style) -> Page {
    let count = |fate| intake.rows.iter().filter(|row| row.fate == fate).count();
    let rows = counted(report.rows.len(), "row", "rows");
    let (new, known, aside) = (count(Fate::New), count(Fate::Known), count(Fate::Aside));
    let sentence =
        format!("{}, {}: {rows}; {new} new, {known} already entered, {aside} rejected.", report.file, report.kind);
    let mut page = Page::titled(&sentence);
    if !report.rows.is_empty() {
        page.gap();
        page.table(
            PageTable::of(&report.rows)
                .figures("Row", |row| row.row.to_string())
                .words("What becomes of it", |row| row.fate.to_owned())
                .words("Record", |row| row.name.clone()),
        );
    }
    if !intake.findings.is_empty() {
        page.gap();
        page.lines(render_findings(&intake.findings, sources, style));
    }
    let records = counted(report.new, "record", "records");
    let last = match &report.into {
        None => "Nothing is to be written.".to_owned(),
        Some(into) if report.written => format!("Written: {records}, in {into}. Run modstate check next."),
        Some(into) => format!("A dry run: {records} would go into {into}. Say --write to write the file."),
    };
    page.gap();
    page.say(&last);
    page
}
