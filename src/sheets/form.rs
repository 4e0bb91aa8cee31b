//! The program's own survey form, filled in: what stands above its headings, and boxes that are filled in once for a plate.

use super::kinds::{IntakeKind, PLATE_NO, READING, SheetColumn, heading_of};
use super::table::{Cell, CellTable, Value};
use std::collections::BTreeMap;

/// The row of the headings, where some row names every column that the kind needs: the first that does. Above it stands what
/// the sheet is of.
pub(super) fn headings(kind: IntakeKind, table: &CellTable) -> Option<u32> {
    let names_all = |cells: &BTreeMap<u32, Cell>| {
        let headings: Vec<String> = cells.values().map(|cell| heading_of(&cell.shown).0).collect();
        let named = |field: &super::kinds::Field| {
            let is = |heading: &String| {
                field.name.replace('_', " ") == *heading || field.headings.contains(&heading.as_str())
            };
            headings.iter().any(is)
        };
        kind.fields().iter().filter(|field| field.needed).all(named)
    };
    table.rows.iter().find(|(_, cells)| names_all(cells)).map(|(row, _)| *row)
}

/// Readies the rows of a survey form. Rows of one plate number belong together: what one of them says of the survey goes for
/// all; a row for which nothing was measured is no row. An apostrophe that kept a spreadsheet from taking a cell for a
/// formula goes.
///
/// A sheet without the column `reading` is none, and stays as it is.
pub(super) fn fill_down(kind: IntakeKind, table: &mut CellTable, heading: u32, columns: &[SheetColumn]) {
    if kind != IntakeKind::HoleSurveys || !columns.iter().any(|column| column.field.name == READING) {
        return;
    }
    let at = |name: &str| columns.iter().find(|column| column.field.name == name).map(|column| column.at);
    let figures: Vec<u32> = ["x", "y", "z", "diameter", "out_of_square"].iter().filter_map(|name| at(name)).collect();
    let heads: Vec<u32> = columns.iter().filter(|column| column.field.is_of_record()).map(|column| column.at).collect();
    let numbers =
        table.rows[&heading].iter().find(|(_, cell)| heading_of(&cell.shown).0 == PLATE_NO).map(|(at, _)| *at);
    let key = |cells: &BTreeMap<u32, Cell>| numbers.and_then(|at| cells.get(&at)).map(|cell| cell.shown.clone());
    for cells in table.rows.range_mut(heading + 1..).map(|(_, cells)| cells) {
        for cell in cells.values_mut() {
            if let Value::Text(text) = &cell.value
                && let Some(bare) = text.strip_prefix('\'')
            {
                bare.clone_into(&mut cell.shown);
                cell.value = Value::Text(bare.to_owned());
            }
        }
    }
    let mut said: BTreeMap<_, BTreeMap<u32, Cell>> = BTreeMap::new();
    for (_, cells) in table.rows.range(heading + 1..) {
        let of_plate = said.entry(key(cells)).or_default();
        for head in &heads {
            if let Some(cell) = cells.get(head) {
                of_plate.entry(*head).or_insert_with(|| cell.clone());
            }
        }
    }
    table.rows.retain(|row, cells| *row <= heading || figures.iter().any(|at| cells.contains_key(at)));
    for cells in table.rows.range_mut(heading + 1..).map(|(_, cells)| cells) {
        for (head, cell) in &said[&key(cells)] {
            cells.entry(*head).or_insert_with(|| cell.clone());
        }
    }
}
