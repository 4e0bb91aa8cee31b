//! A whole sheet: its columns, its rows, and what becomes of each.

use super::cells::{self, unit_of};
use super::gathered::ReadRow;
use super::kinds::{Field, IntakeKind, SheetColumn, Sort, heading_of};
use super::records::{Values, file, is_change, part_of, record};
use super::table::{self, Cell, CellTable, Value, address};
use super::{Mapping, form, gathered};
use crate::codes;
use crate::finding::{Finding, Place, RecordRef};
use crate::quantity::Config;
use crate::schema::{Fields, Record};
use crate::source::Sources;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// A sheet as it is given.
#[derive(Debug)]
pub struct GivenSheet<'a> {
    /// Where it lies; the name says whether it is a workbook (`.xlsx`) or text.
    pub path: &'a Path,
    /// What the file holds.
    pub bytes: &'a [u8],
    /// Which sheet of a workbook, where it has several.
    pub name: Option<&'a str>,
    /// What it is taken in as.
    pub kind: IntakeKind,
    /// How its columns are to be understood.
    pub mapping: &'a Mapping,
}

/// What becomes of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fate {
    /// It is taken in.
    New,
    /// The dossiers have it already.
    Known,
    /// It is set aside; a finding says why.
    Aside,
}

/// A row of the sheet that is not empty.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetRow {
    /// Its number, as the spreadsheet shows it.
    pub number: u32,
    /// The name of its record; empty where it is not known.
    pub name: String,
    /// What becomes of it.
    pub fate: Fate,
}

/// What a sheet comes to.
///
/// Invariant: every row below the headings that is not empty is there once, in order, unless the sheet as a whole
/// cannot be taken in; each row set aside has a finding, or another row of its record has. A row of a survey form for which
/// nothing was measured is empty.
#[derive(Debug, Default)]
pub struct Intake {
    /// The rows.
    pub rows: Vec<SheetRow>,
    /// The new records, in the order of the rows.
    pub records: Vec<Record>,
    /// What is wrong or doubtful.
    pub findings: Vec<Finding>,
}

impl Intake {
    /// The new records as a dossier file.
    #[must_use]
    pub fn text(&self, sheet: &GivenSheet<'_>) -> String {
        let name = sheet.path.file_name().unwrap_or(sheet.path.as_os_str()).to_string_lossy();
        file(&format!("Taken in from `{name}`, as a sheet of kind: {}.", sheet.kind.words()), &self.records)
    }
}

/// Takes in a sheet, against the records that the dossiers have already. Adds a file to the sources that stands for the
/// sheet, so that findings can show its rows.
#[must_use]
pub fn take(
    sheet: &GivenSheet<'_>,
    config: &Config,
    known: &[(RecordRef, Record)],
    sources: &mut Sources,
    progress: &dyn Fn(usize, usize),
) -> Intake {
    let mut intake = Intake::default();
    let mut table = match table::read(sheet.path, sheet.bytes, sheet.name, sources) {
        Ok(table) => table,
        Err(finding) => {
            intake.findings.push(finding);
            return intake;
        }
    };
    let (heading, columns) = match columns(sheet, &table) {
        Ok((heading, columns, notes)) => {
            intake.findings.extend(notes);
            (heading, columns)
        }
        Err(findings) => {
            intake.findings.extend(findings);
            return intake;
        }
    };
    form::fill_down(sheet.kind, &mut table, heading, &columns);
    let reader = RowReader {
        sheet,
        table: &table,
        columns: &columns,
        config,
        heading,
        shortest: shortest(&table, heading, &columns),
    };
    let below: Vec<u32> = table.rows.range(heading + 1..).map(|(row, _)| *row).collect();
    let mut read = Vec::new();
    let mut units = BTreeMap::new();
    for (done, row) in below.iter().enumerate() {
        read.push(reader.row(*row, &mut units, &mut intake.findings));
        progress(done + 1, below.len());
    }
    settle(sheet, &columns, read, known, &mut intake);
    intake
}

type ColumnsRead = (u32, Vec<SheetColumn>, Vec<Finding>);

/// The row of the headings and the columns below it; notes on columns that are not taken in.
fn columns(sheet: &GivenSheet<'_>, table: &CellTable) -> Result<ColumnsRead, Vec<Finding>> {
    let wanted = sheet.mapping.header_row.map(|row| row.saturating_sub(1));
    let first = wanted.or_else(|| form::headings(sheet.kind, table));
    let Some((heading, cells)) = table.rows.range(first.unwrap_or(0)..).next() else {
        let finding = Finding::new(
            codes::SHEET_UNREADABLE,
            "the sheet is empty",
            Place::Bytes(table.file, 0, 0),
            "no headings and no rows",
        );
        return Err(vec![finding.help("name the sheet that is meant, or the row of its headings in a mapping file")]);
    };
    let mut found: Vec<SheetColumn> = Vec::new();
    let (mut faults, mut notes) = (Vec::new(), Vec::new());
    for (at, cell) in cells {
        let mapped = sheet.mapping.columns.iter().find(|(heading, _)| heading.trim() == cell.shown.trim());
        let (plain, unit) = heading_of(&cell.shown);
        let means = |field: &&Field| match mapped {
            Some((_, name)) => field.name == name,
            None => field.name.replace('_', " ") == plain || field.headings.contains(&plain.as_str()),
        };
        let address = address(*heading, *at);
        match sheet.kind.fields().iter().find(means) {
            None if mapped.is_some() || sheet.kind.only_shows(&plain) => {}
            None => notes.push(
                Finding::new(
                    codes::COLUMN_LEFT,
                    format!("`{address}`: the column `{}` is not imported", cell.shown),
                    cell.place.clone(),
                    "answers to no field",
                )
                .help(format!("if it matters, say in a mapping file which it is: {}", names(sheet.kind))),
            ),
            Some(field) => {
                if let Some(first) = found.iter().find(|column| column.field.name == field.name) {
                    let message = format!("`{address}`: a second column means `{}`", field.name);
                    let finding = Finding::new(codes::SHEET_COLUMN, message, cell.place.clone(), "the second");
                    let finding = finding.label(cells[&first.at].place.clone(), "the first");
                    faults.push(finding.help("say in a mapping file which is meant; map the other to `\"\"`"));
                }
                let units =
                    sheet.mapping.units.iter().find(|(name, _)| name == field.name).map(|(_, unit)| unit.clone());
                let measured = matches!(field.sort, Sort::Length | Sort::Figure | Sort::Mass | Sort::Temperature);
                found.push(SheetColumn { at: *at, field, unit: units.or(unit).filter(|_| measured) });
            }
        }
    }
    let constant = |name: &str| sheet.mapping.constants.iter().any(|(constant, _)| constant == name);
    for field in sheet.kind.fields().iter().filter(|field| field.needed && !constant(field.name)) {
        if !found.iter().any(|column| column.field.name == field.name) {
            let place = cells.values().next().expect("a row of the table has a cell").place.clone();
            let message =
                format!("no column of the sheet is `{}`, which every {} needs", field.name, sheet.kind.words());
            let finding = Finding::new(codes::SHEET_COLUMN, message, place, "the headings");
            let help = "name a column so, map one to it in a mapping file, or give it there as a constant";
            faults.push(finding.help(help));
        }
    }
    if faults.is_empty() { Ok((*heading, found, notes)) } else { Err(faults) }
}

fn names(kind: IntakeKind) -> String {
    kind.fields().iter().map(|field| format!("`{}`", field.name)).collect::<Vec<_>>().join(", ")
}

fn is_digits(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit())
}

/// For each column of names with leading zeros: the length of the shortest such name. A shorter number lost its zeros.
fn shortest(table: &CellTable, heading: u32, columns: &[SheetColumn]) -> BTreeMap<u32, usize> {
    let mut found = BTreeMap::new();
    for column in columns.iter().filter(|column| column.field.sort == Sort::Name) {
        let cells = table.rows.range(heading + 1..).filter_map(|(_, cells)| cells.get(&column.at));
        let led = cells.filter(|cell| is_digits(cell.shown.trim()) && cell.shown.trim().starts_with('0'));
        if let Some(length) = led.map(|cell| cell.shown.trim().len()).min() {
            found.insert(column.at, length);
        }
    }
    found
}

/// What reads rows.
struct RowReader<'a> {
    sheet: &'a GivenSheet<'a>,
    table: &'a CellTable,
    columns: &'a [SheetColumn],
    config: &'a Config,
    /// The row of the headings.
    heading: u32,
    shortest: BTreeMap<u32, usize>,
}

impl<'a> RowReader<'a> {
    /// Reads a row. `units` holds the unit of each column of figures that names none.
    fn row(&self, row: u32, units: &mut BTreeMap<u32, String>, findings: &mut Vec<Finding>) -> ReadRow<'a> {
        let cells = &self.table.rows[&row];
        let before = findings.len();
        let mut values = Values::new();
        let mut by_name = BTreeMap::new();
        for (name, text) in &self.sheet.mapping.constants {
            let field = self.sheet.kind.fields().iter().find(|field| field.name == name);
            let unit = |name| self.sheet.mapping.units.iter().find(|(of, _)| of == name).map(|(_, unit)| unit.as_str());
            if let Some(field) = field {
                match cells::read(field, &Value::Text(text.clone()), unit(field.name), false, self.config) {
                    Ok(read) => drop(values.insert(field.name, read)),
                    Err(doubt) => {
                        let message = format!("the constant `{name}` of the mapping {}", doubt.what);
                        let place = first_of(cells).place.clone();
                        findings.push(Finding::new(doubt.code, message, place, "for this row").help(doubt.help));
                    }
                }
            }
        }
        if let Some((at, cell)) = cells.iter().rev().find(|(at, _)| self.past_headings(**at)) {
            let message = format!("`{}` stands to the right of all headings", address(row, *at));
            let finding = Finding::new(codes::SHEET_VALUE, message, cell.place.clone(), "under no heading");
            let help = "look for a comma in a number (`1,6`) or a text of this row: quote such a cell, or save the \
                        sheet as a workbook";
            findings.push(finding.help(help));
        }
        for column in self.columns {
            let Some(cell) = cells.get(&column.at) else { continue };
            by_name.insert(column.field.name, cell);
            if let Some(read) = self.cell(row, column, cell, units, findings) {
                values.insert(column.field.name, read);
            }
        }
        for area in self.table.merged.iter().filter(|area| (area[0]..=area[2]).contains(&row)) {
            let message = format!("`{}:{}` are merged", address(area[0], area[1]), address(area[2], area[3]));
            let place = cells.get(&area[1]).unwrap_or(first_of(cells)).place.clone();
            let finding = Finding::new(codes::SHEET_MERGED, message, place, "this row lies in them");
            findings.push(finding.help("split the cells, and write the value into each"));
        }
        if findings.len() == before {
            self.lacking(row, &values, cells, findings);
        }
        let key = self.sheet.kind.key();
        let shown = by_name.get(key).map(|cell| cell.shown.clone());
        let name = values.get(key).and_then(|all| all.first()).cloned().or(shown).unwrap_or_default();
        let place = by_name.get(key).copied().unwrap_or(first_of(cells)).place.clone();
        let values = (findings.len() == before).then_some(values);
        ReadRow { row, name, place, cells: by_name, values }
    }

    /// Whether a row of a text runs on where no heading stands: a comma in a cell has cut it in two. In a workbook remarks
    /// may stand beside the table.
    fn past_headings(&self, at: u32) -> bool {
        let text = !table::is_workbook(self.sheet.path);
        text && self.table.rows[&self.heading].keys().next_back().is_some_and(|last| at > *last)
    }

    /// The values of a cell; none, with a finding, if it is set aside.
    fn cell(
        &self,
        row: u32,
        column: &SheetColumn,
        cell: &Cell,
        units: &mut BTreeMap<u32, String>,
        findings: &mut Vec<Finding>,
    ) -> Option<Vec<String>> {
        let address = address(row, column.at);
        let mut aside = |code, what: &str, label: &str, help: &str| {
            findings.push(Finding::new(code, format!("`{address}` {what}"), cell.place.clone(), label).help(help));
        };
        let lost = self
            .shortest
            .get(&column.at)
            .filter(|least| is_digits(cell.shown.trim()) && cell.shown.trim().len() < **least);
        if lost.is_some() && matches!(cell.value, Value::Text(_)) {
            let what = format!("is `{}`, shorter than the names with leading zeros in its column", cell.shown);
            aside(
                codes::SHEET_CHANGED,
                &what,
                "zeros lost?",
                "format the column as text, and write the cell again from the paper",
            );
            return None;
        }
        let unit = column.unit.as_deref().or_else(|| units.get(&column.at).map(String::as_str));
        let bare = matches!(&cell.value, Value::Number(_)) || unit_of(&cell.shown).is_empty();
        // A column of figures without a unit of its own keeps to that of its first cell, but lends it to none.
        let lent = if column.unit.is_none() && bare { None } else { unit };
        match cells::read(column.field, &cell.value, lent, self.sheet.mapping.trim_blanks, self.config) {
            Ok(read) => {
                if let (Sort::Figure, Some(first)) = (column.field.sort, read.first()) {
                    units.entry(column.at).or_insert_with(|| unit_of(first).to_owned());
                }
                Some(read)
            }
            Err(doubt) => {
                aside(doubt.code, &doubt.what, doubt.label, &doubt.help);
                None
            }
        }
    }

    /// Findings for what the row lacks.
    fn lacking(&self, row: u32, values: &Values, cells: &BTreeMap<u32, Cell>, findings: &mut Vec<Finding>) {
        let has = |name: &str| values.get(name).is_some_and(|all| !all.is_empty());
        let with = |name: &str| match name {
            "leaflet_date" if has("eligible") || has("retrospective_except") => true,
            "first_line" => has("order"),
            "cut_in" => has("production_except") && !(has("line") || has("ranges")),
            "introduce" => (has("form") || has("position")) && !is_change(values),
            _ => false,
        };
        // What a further row of a modification says is no title.
        let without =
            |name: &str| name == "title" && (has("part") || has("form") || has("position") || is_change(values));
        let needed = |field: &&Field| (field.needed && !without(field.name)) || with(field.name);
        for field in self.sheet.kind.fields().iter().filter(needed) {
            if !has(field.name) {
                let column = self.columns.iter().find(|column| column.field.name == field.name);
                let at = column
                    .map_or_else(|| format!("row {}", row + 1), |column| format!("`{}`", address(row, column.at)));
                let message = format!("{at}: `{}` is empty", field.name);
                let place = first_of(cells).place.clone();
                let finding = Finding::new(codes::SHEET_EMPTY, message, place, "in this row");
                findings.push(finding.help("fill the cell, or delete the row if it is none"));
            }
        }
    }
}

fn first_of(cells: &BTreeMap<u32, Cell>) -> &Cell {
    cells.values().next().expect("a row of the table has a cell")
}

/// Makes records of the rows, and tells new ones from those that the dossiers have.
fn settle(
    sheet: &GivenSheet<'_>,
    columns: &[SheetColumn],
    read: Vec<ReadRow<'_>>,
    known: &[(RecordRef, Record)],
    intake: &mut Intake,
) {
    let kind = sheet.kind;
    let mut groups: Vec<Vec<ReadRow<'_>>> = Vec::new();
    let mut by_name: BTreeMap<String, usize> = BTreeMap::new();
    for row in read {
        let at = by_name.get(&row.name).copied();
        match at {
            Some(at) if kind.gathers() && gathered::repeated(kind, &groups[at], &row).is_none() => groups[at].push(row),
            Some(at) if row.values.is_some() => {
                let first = gathered::repeated(kind, &groups[at], &row).unwrap_or(&groups[at][0]);
                let part = row.values.as_ref().and_then(part_of).map(|part| format!("/{part}")).unwrap_or_default();
                let message = format!("row {}: `{}{part}` stands in row {} too", row.row + 1, row.name, first.row + 1);
                let finding = Finding::new(codes::SHEET_TWICE, message, row.place.clone(), "the second");
                let finding = finding.label(first.place.clone(), "the first");
                intake.findings.push(finding.help("delete one of the rows"));
                groups.push(vec![ReadRow { values: None, ..row }]);
            }
            _ => {
                if row.values.is_some() || kind.gathers() {
                    by_name.insert(row.name.clone(), groups.len());
                }
                groups.push(vec![row]);
            }
        }
    }
    let same_kind = known.iter().filter(|(_, record)| record.kind() == kind.record());
    let known: BTreeMap<String, (RecordRef, &Record)> =
        same_kind.filter_map(|(at, record)| Some((name_of(&record.fields())?, (*at, record)))).collect();
    let constants = sheet.mapping.constants.iter();
    let constants = constants.filter_map(|(name, _)| kind.fields().iter().find(|field| field.name == name));
    let given: BTreeSet<&str> =
        columns.iter().map(|column| column.field).chain(constants).map(|field| field.into).collect();
    for group in groups {
        let fate = fate(kind, &given, &group, &known, intake);
        let row = |row: &ReadRow<'_>| SheetRow { number: row.row + 1, name: row.name.clone(), fate };
        intake.rows.extend(group.iter().map(row));
    }
    intake.rows.sort_by_key(|row| row.number);
}

/// What a record is called: its first field.
fn name_of(fields: &Fields) -> Option<String> {
    fields.first().map(|(_, name)| name.to_string())
}

/// What becomes of the rows of one record; a new record is added to the intake.
fn fate(
    kind: IntakeKind,
    given: &BTreeSet<&str>,
    group: &[ReadRow<'_>],
    known: &BTreeMap<String, (RecordRef, &Record)>,
    intake: &mut Intake,
) -> Fate {
    let values: Option<Vec<Values>> = group.iter().map(|row| row.values.clone()).collect();
    let Some(values) = values else { return Fate::Aside };
    if !gathered::agree(kind, group, &values, &mut intake.findings) {
        return Fate::Aside;
    }
    let made = record(kind, &values);
    let ours = made.fields();
    let Some((at, theirs)) = name_of(&ours).and_then(|name| known.get(&name)) else {
        intake.records.push(made);
        return Fate::New;
    };
    let theirs = theirs.fields();
    let get = |all: &'_ Fields, name: &str| all.iter().find(|(of, _)| *of == name).map(|(_, text)| text.to_string());
    let differ: Vec<&&str> = given.iter().filter(|name| get(&ours, name) != get(&theirs, name)).collect();
    if differ.is_empty() {
        return Fate::Known;
    }
    let words = differ.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ");
    let row = &group[0];
    let message = format!("row {}: `{}` differs from its record in {words}", row.row + 1, row.name);
    let finding = Finding::new(codes::SHEET_DIFFERS, message, row.place.clone(), "the sheet");
    let finding = finding.label(at.place(), "the record, which stays as it is");
    intake.findings.push(finding.help("find out which is right, and correct the other"));
    Fate::Aside
}
