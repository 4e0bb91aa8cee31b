//! Rows as records, and records as text.

use super::kinds::{Field, IntakeKind, OF_HOLE, READING, Sort};
use crate::schema::{AsWritten, KINDS, Record};
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// The values of a row by column.
pub(super) type Values = BTreeMap<&'static str, Vec<String>>;

/// A value of a row, if it has one.
fn one<'r>(values: &'r Values, name: &str) -> Option<&'r String> {
    values.get(name).and_then(|all| all.first())
}
fn list<'r>(values: &'r Values, name: &str) -> &'r [String] {
    values.get(name).map_or(&[], Vec::as_slice)
}

/// The record of some rows: of one, unless the kind gathers. What no column gives is left out.
pub(super) fn record(kind: IntakeKind, rows: &[Values]) -> Record {
    let row = &rows[0];
    let mut fields = match kind {
        IntakeKind::Modifications => modification(rows),
        IntakeKind::Parts | IntakeKind::SerialBlocks | IntakeKind::HoleSurveys => taken(kind, row, Field::is_of_record),
    };
    if let Some(first) = one(row, "first_line").and_then(|first| first.parse::<u32>().ok()) {
        let order = list(row, "order");
        let line = if order.is_empty() { json!({ "From": first }) } else { json!({ "Order": [first, order] }) };
        fields.insert("line".to_owned(), line);
    }
    if kind == IntakeKind::HoleSurveys {
        let of_hole = |row: &&Values| one(row, READING).is_none_or(|reading| reading == OF_HOLE);
        let holes = rows.iter().filter(of_hole);
        let holes = holes.map(|row| Value::Object(taken(kind, row, |field| field.into == "holes")));
        fields.insert("holes".to_owned(), holes.collect());
        let checks = rows.iter().filter(|row| !of_hole(row)).map(check_words);
        let note: Vec<String> = one(row, "note").cloned().into_iter().chain(checks).collect();
        if !note.is_empty() {
            fields.insert("note".to_owned(), json!(note.join(". ")));
        }
    }
    serde_json::from_value(json!({ kind.record(): fields })).expect("rows with cells that say nothing are set aside")
}

/// A reading that checks the set-up, in words: it is of the survey, and no hole of it.
fn check_words(row: &Values) -> String {
    let figures = ["x", "y", "z"].into_iter().filter_map(|name| Some(format!("{name} {}", one(row, name)?)));
    let figures = figures.collect::<Vec<_>>().join(", ");
    let (reading, hole) = (one(row, READING).map_or("", |reading| reading), one(row, "hole").map_or("", |hole| hole));
    format!("Set-up check {reading}: {hole} {figures}")
}

/// Fields of a record as the cells of a row give them.
fn taken(kind: IntakeKind, row: &Values, which: impl Fn(&Field) -> bool) -> Map<String, Value> {
    let given = kind.fields().iter().filter(|field| which(field)).filter_map(|field| {
        let values = row.get(field.name)?;
        let is_list = matches!(field.sort, Sort::Names | Sort::Serials);
        let value = if is_list { json!(values) } else { json!(values.first()) };
        let name = if field.is_of_record() { field.into } else { field.name };
        Some((name.to_owned(), value))
    });
    given.collect()
}

/// Which part of its modification a row of a register speaks of; `None`: of the whole.
pub(super) fn part_of(row: &Values) -> Option<&String> {
    row.get("part").and_then(|part| part.first())
}

/// Whether a row of a register says what the leaflet deletes or introduces.
pub(super) fn is_change(row: &Values) -> bool {
    ["delete", "introduce"].iter().any(|name| row.contains_key(name))
}

/// The row of a register that says the most of a part of its modification, or of the whole: the first that says more
/// than a change.
pub(super) fn head<'r>(rows: &[&'r Values]) -> &'r Values {
    rows.iter().find(|row| row.keys().any(|name| !is_of_change(name))).unwrap_or(&rows[0])
}

/// Whether a column of a register says which part is meant, or what the leaflet changes.
pub(super) fn is_of_change(name: &str) -> bool {
    matches!(name, "number" | "part" | "form" | "position" | "delete" | "introduce")
}

/// The rows that speak of each part of a modification, in the order of their first mention; of the whole under `None`.
pub(super) fn by_part<'r>(rows: impl IntoIterator<Item = &'r Values>) -> Vec<(Option<&'r String>, Vec<&'r Values>)> {
    let mut found: Vec<(Option<&String>, Vec<&Values>)> = Vec::new();
    for row in rows {
        let part = part_of(row);
        match found.iter_mut().find(|(known, _)| *known == part) {
            Some((_, rows)) => rows.push(row),
            None => found.push((part, vec![row])),
        }
    }
    found
}

fn modification(rows: &[Values]) -> Map<String, Value> {
    let mut groups = by_part(rows);
    let whole = groups.iter().position(|(part, _)| part.is_none()).map(|at| groups.remove(at).1).unwrap_or_default();
    let mut fields = one_of(&whole, Field::is_of_record);
    let parts = groups.iter().map(|(part, rows)| {
        let mut fields = one_of(rows, |field| ["title", "requires", "excludes", "supersedes"].contains(&field.name));
        fields.insert("part".to_owned(), json!(part));
        Value::Object(fields)
    });
    fields.insert("parts".to_owned(), parts.collect());
    fields
}

/// A modification, or a part of one, as far as these rows speak of it.
fn one_of(rows: &[&Values], which: impl Fn(&Field) -> bool) -> Map<String, Value> {
    let kind = IntakeKind::Modifications;
    let row = head(rows);
    let mut fields = taken(kind, row, which);
    let line = list(row, "line").iter().filter_map(|cut_in| {
        let (factory, number) = cut_in.rsplit_once(' ')?;
        Some(json!({ "factory": factory.trim(), "number": number.parse::<u32>().ok()? }))
    });
    let (from, line, ranges) = (list(row, "cut_in"), line.collect::<Vec<_>>(), list(row, "ranges"));
    if !(from.is_empty() && line.is_empty() && ranges.is_empty()) {
        let except = list(row, "production_except");
        let production = json!({ "from": from, "line": line, "ranges": ranges, "except": except });
        fields.insert("production".to_owned(), production);
    }
    if let Some(leaflet_date) = one(row, "leaflet_date") {
        let (eligible, except) = (row.get("eligible"), list(row, "retrospective_except"));
        let form = json!({ "leaflet_date": leaflet_date, "eligible": eligible, "except": except });
        fields.insert("retrospective".to_owned(), form);
    }
    let changes = rows.iter().filter(|row| is_change(row));
    let changes = changes.map(|row| Value::Object(taken(kind, row, |field| field.into == "changes")));
    fields.insert("changes".to_owned(), changes.collect());
    fields
}

/// A value as it is written, with a line for each thing in brackets of a list.
fn in_lines(written: &AsWritten) -> String {
    match written {
        AsWritten::Many(all) if all.iter().any(|text| text.starts_with('(')) => {
            let lines: Vec<String> = all.iter().map(|row| format!("            {row},\n")).collect();
            format!("[\n{}        ]", lines.concat())
        }
        AsWritten::One(_) | AsWritten::Many(_) => written.to_string(),
    }
}

/// The records as a dossier file, of each first what it needs; `head` is a remark on its first line.
pub(super) fn file(head: &str, records: &[Record]) -> String {
    let head: String = head.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let mut text = format!("// {head}\n[\n");
    for record in records {
        writeln!(text, "    {}(", record.kind()).expect("a text takes every line");
        let mut fields = record.fields();
        fields.sort_by_key(|(name, _)| !KINDS.iter().any(|kind| kind.name == record.kind() && kind.needs(name)));
        for (name, written) in fields {
            writeln!(text, "        {name}: {},", in_lines(&written)).expect("a text takes every line");
        }
        text.push_str("    ),\n");
    }
    text.push_str("]\n");
    text
}
