//! A bill as columns and rows of text, the same for CSV and for workbooks.

use super::{BillView, rows, words};
use crate::bill::{Amount, Bill};
use crate::model::{Model, Part};

/// A column.
pub(super) struct BillColumn {
    /// Its name for programs.
    pub name: &'static str,
    /// Its heading for people, with the unit.
    pub title: &'static str,
    /// Whether its cells are numbers.
    pub number: bool,
    /// How wide it is at most in a workbook, in characters.
    pub width: u16,
}

const fn text(name: &'static str, title: &'static str, width: u16) -> BillColumn {
    BillColumn { name, title, number: false, width }
}
const fn number(name: &'static str, title: &'static str, width: u16) -> BillColumn {
    BillColumn { name, title, number: true, width }
}

/// The columns of the tree.
pub(super) const TREE: &[BillColumn] = &[
    number("level", "Level", 7),
    text("find", "Item", 7),
    text("position", "Position", 24),
    text("part", "Part", 13),
    text("description", "Description", 28),
    text("hand", "Hand", 10),
    text("source", "Source", 10),
    text("material", "Material", 10),
    text("temper", "Temper", 16),
    text("thickness", "Thickness (unit in cell)", 11),
    text("finish", "Finish", 16),
    text("each", "Each assembly (pieces)", 10),
    number("least", "Least (pieces)", 9),
    number("most", "Most (pieces)", 9),
    text("issue", "Issue", 7),
    text("state", "State", 11),
    text("reason", "Reason", 24),
    text("deviations", "Deviations", 12),
    text("not_read", "Not read (number)", 9),
];
/// The columns of totals by part.
pub(super) const TOTALS: &[BillColumn] = &[
    text("part", "Part", 14),
    text("description", "Description", 32),
    text("hand", "Hand", 10),
    text("source", "Source", 10),
    text("material", "Material", 12),
    text("temper", "Temper", 18),
    text("thickness", "Thickness (unit in cell)", 12),
    text("finish", "Finish", 18),
    text("mass", "Mass of one (unit in cell)", 12),
    number("least", "Least (pieces)", 9),
    number("most", "Most (pieces)", 9),
    text("issue", "Issue", 8),
    text("state", "State", 11),
    text("deviations", "Deviations", 14),
    text("not_read", "Not read (number)", 9),
];
/// The columns of totals by material and thickness.
pub(super) const MATERIALS: &[BillColumn] = &[
    text("material", "Material", 18),
    text("thickness", "Thickness (unit in cell)", 14),
    number("parts", "Part numbers (count)", 13),
    number("least", "Least (pieces)", 9),
    number("most", "Most (pieces)", 9),
    number("least_mass_kg", "Least mass (kg)", 13),
    number("most_mass_kg", "Most mass (kg)", 13),
    number("parts_without_mass", "Without mass (count)", 13),
    text("state", "State", 11),
    text("not_read", "Not read (number)", 9),
];

/// What the bill is of, in one line.
pub(super) fn about(bill: &Bill, model: &Model) -> [String; 4] {
    let request = bill.request;
    [
        words::subject(bill, model),
        words::scope(bill, model),
        words::basis_words(request.basis).to_owned(),
        words::issue_words(request.issues).to_owned(),
    ]
}

/// The lines of the tree; only those that are not settled, if so asked.
pub(super) fn tree(bill: &Bill, model: &Model, open_only: bool) -> Vec<Vec<String>> {
    let record = |row: rows::TreeRow<'_>| {
        let position = row.line.position.map(|position| &model.positions[position]);
        let name = position.and_then(|position| position.name.clone()).unwrap_or_default();
        let known = row.choice.not_read.is_empty();
        let part = row.part().filter(|_| known).map(|part| &model.parts[part]);
        let each: Vec<String> = row.choice.ways.iter().map(|way| way.each.to_string()).collect();
        let [least, most] = ends(&row.choice.amount);
        let mut cells = vec![row.depth.to_string()];
        cells.extend([
            position.map_or(String::new(), |position| position.find.clone()),
            name,
            row.item(model).to_owned(),
        ]);
        cells.extend(part_cells(part));
        cells.extend([each.join(" or "), least, most]);
        cells.push(if known { row.issues(bill.request.issues, model) } else { String::new() });
        cells.extend([row.state().to_owned(), row.reason(model)]);
        cells.push(rows::references(&row.choice.deviations, model));
        cells.push(rows::numbers(&row.choice.not_read));
        cells
    };
    let rows = rows::tree_rows(bill).into_iter();
    rows.filter(|row| !open_only || !row.is_settled()).map(record).collect()
}

/// The totals that belong to a view.
pub(super) fn totals(bill: &Bill, model: &Model, view: BillView) -> Vec<Vec<String>> {
    let mut records = Vec::new();
    for (total, amount) in rows::total_rows(bill, model, view) {
        let part = Some(&model.parts[total.part]).filter(|_| total.not_read.is_empty());
        let mass = part.and_then(|part| part.mass.as_ref());
        let [least, most] = ends(&amount);
        let mut cells = vec![model.parts.name(total.part).to_owned()];
        cells.extend(part_cells(part));
        cells.push(mass.map_or(String::new(), |mass| mass.text.clone()));
        let issues = part.map_or(String::new(), |_| rows::total_issues(total, bill, model, view));
        cells.extend([least, most, issues]);
        cells.extend([words::total_word(&amount).to_owned(), rows::references(&total.deviations, model)]);
        cells.push(rows::numbers(&total.not_read));
        records.push(cells);
    }
    records
}

/// The totals by material and thickness.
pub(super) fn materials(bill: &Bill) -> Vec<Vec<String>> {
    let mut records = Vec::new();
    for total in bill.weights.iter().flat_map(|weights| &weights.materials) {
        let (material, thickness) = rows::stuff(total);
        let [least, most] = ends(&total.pieces);
        let mut cells = vec![material.to_owned(), thickness.to_owned()];
        let count = |count: usize| if total.not_read.is_empty() { count.to_string() } else { String::new() };
        cells.extend([count(total.parts.len()), least, most]);
        cells.extend(match words::ends(&total.mass.micrograms) {
            Some((least, most)) => [kilograms(least), kilograms(most)],
            None => [String::new(), String::new()],
        });
        cells.extend([count(total.mass.unknown), words::total_word(&total.pieces).to_owned()]);
        cells.push(rows::numbers(&total.not_read));
        records.push(cells);
    }
    records
}

/// Description, hand, source, material, temper, thickness and finish.
fn part_cells(part: Option<&Part>) -> [String; 7] {
    let Some(part) = part else { return Default::default() };
    [
        part.description.clone(),
        part.hand.map_or(String::new(), |hand| crate::answers::rack::hand_word(hand).to_owned()),
        words::source_word(part.source).to_owned(),
        part.material.clone().unwrap_or_default(),
        part.temper.clone().unwrap_or_default(),
        part.thickness.as_ref().map_or(String::new(), |thickness| thickness.text.clone()),
        part.finish.clone().unwrap_or_default(),
    ]
}

fn ends(amount: &Amount) -> [String; 2] {
    words::ends(amount).map_or_else(Default::default, |(least, most)| [least.to_string(), most.to_string()])
}

/// Kilograms, exact to the microgram.
fn kilograms(micrograms: u64) -> String {
    format!("{}.{:09}", micrograms / 1_000_000_000, micrograms % 1_000_000_000)
}
