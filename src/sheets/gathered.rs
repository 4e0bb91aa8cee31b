//! Rows that make one record together: the holes of a survey; a modification, its parts and what its leaflet changes.

use super::kinds::{IntakeKind, READING};
use super::records::{Values, by_part, head, is_change, is_of_change, part_of};
use super::table::Cell;
use crate::codes;
use crate::finding::{Finding, Place};
use std::collections::BTreeMap;

/// A row that was read: its values, unless it is set aside.
pub(super) struct ReadRow<'t> {
    pub(super) row: u32,
    pub(super) name: String,
    pub(super) place: Place,
    pub(super) cells: BTreeMap<&'static str, &'t Cell>,
    pub(super) values: Option<Values>,
}

/// The earlier row that a row of a register says again: one of the same part of the modification, where this one does
/// not say what the leaflet changes.
pub(super) fn repeated<'g, 't>(
    kind: IntakeKind,
    group: &'g [ReadRow<'t>],
    row: &ReadRow<'t>,
) -> Option<&'g ReadRow<'t>> {
    let values = row.values.as_ref().filter(|values| kind == IntakeKind::Modifications && !is_change(values))?;
    group.iter().find(|earlier| earlier.values.as_ref().is_some_and(|earlier| part_of(earlier) == part_of(values)))
}

/// Whether the rows of a record do not contradict one another; a finding where one does.
pub(super) fn agree(kind: IntakeKind, group: &[ReadRow<'_>], values: &[Values], findings: &mut Vec<Finding>) -> bool {
    let before = findings.len();
    match kind {
        IntakeKind::HoleSurveys => {
            let heads = kind
                .fields()
                .iter()
                .filter(|field| field.into != "holes" && field.name != READING)
                .map(|field| field.name);
            let heads: Vec<&str> = heads.collect();
            for (row, of_row) in group.iter().zip(values).skip(1) {
                let differ = heads.iter().filter(|name| of_row.get(*name) != values[0].get(*name));
                findings.extend(differ.map(|name| differs(kind, name, &group[0], row)));
            }
        }
        IntakeKind::Modifications => of_modification(group, values, findings),
        IntakeKind::Parts | IntakeKind::SerialBlocks => {}
    }
    findings.len() == before
}

/// Columns that speak of a modification as a whole, whatever part a row is about.
const OF_THE_WHOLE: [&str; 3] = ["class", "leaflet", "note"];

fn of_modification(group: &[ReadRow<'_>], values: &[Values], findings: &mut Vec<Finding>) {
    let row_of =
        |of: &Values| values.iter().position(|values| std::ptr::eq(values, of)).map_or(&group[0], |at| &group[at]);
    let parts = by_part(values);
    let Some(whole) = parts.iter().find(|(part, _)| part.is_none()).map(|(_, rows)| head(rows)) else {
        findings.push(no_row_of_its_own(&group[0]));
        return;
    };
    if !whole.contains_key("title") {
        findings.push(no_row_of_its_own(row_of(whole)));
    }
    for (_, rows) in &parts {
        let first = head(rows);
        for row in rows {
            for (name, value) in row.iter().filter(|(name, _)| !is_of_change(name)) {
                let says = if OF_THE_WHOLE.contains(name) { whole } else { first };
                if says.get(name) != Some(value) {
                    findings.push(differs(IntakeKind::Modifications, name, row_of(says), row_of(row)));
                }
            }
        }
    }
}

fn no_row_of_its_own(row: &ReadRow<'_>) -> Finding {
    let message = format!("row {}: no row gives `{}` itself a title", row.row + 1, row.name);
    let finding = Finding::new(codes::SHEET_EMPTY, message, row.place.clone(), "its number has no row of its own");
    finding.help("write a row with its number and its title, and leave `part` empty there")
}

/// A row says otherwise than the row of its record that comes first.
fn differs(kind: IntakeKind, name: &str, first: &ReadRow<'_>, row: &ReadRow<'_>) -> Finding {
    let (of, what, help) = if kind == IntakeKind::HoleSurveys {
        ("survey ", "survey", "write the same into every row of the survey, or give it another name")
    } else {
        let help =
            "leave the cell empty or write the same; `class`, `leaflet` and `note` are of the whole modification";
        ("", "modification", help)
    };
    let cell = row.cells.get(name);
    let place = cell.map_or_else(|| row.place.clone(), |cell| cell.place.clone());
    let message = format!("row {}: `{name}` of {of}`{}` is not as in row {}", row.row + 1, row.name, first.row + 1);
    let finding = Finding::new(codes::SHEET_VALUE, message, place, "differs");
    finding.label(first.place.clone(), format!("the first row of the {what}")).help(help)
}
