//! A bill as CSV.

use super::{BillView, rows, words};
use crate::bill::{Amount, Bill, Item};
use crate::model::{Model, Part};
use crate::report::CAUTION;
use csv::{Terminator, WriterBuilder};

const TREE: &[&str] = &[
    "record",
    "level",
    "find",
    "position",
    "part",
    "description",
    "hand",
    "source",
    "material",
    "temper",
    "thickness",
    "each",
    "least",
    "most",
    "issue",
    "state",
    "reason",
    "deviations",
];
const TOTALS: &[&str] = &[
    "record",
    "part",
    "description",
    "hand",
    "source",
    "material",
    "temper",
    "thickness",
    "mass",
    "least",
    "most",
    "issue",
    "state",
    "deviations",
];
const MATERIALS: &[&str] = &[
    "record",
    "material",
    "thickness",
    "parts",
    "least",
    "most",
    "least_mass_kg",
    "most_mass_kg",
    "parts_without_mass",
    "state",
];

/// A bill as CSV (RFC 4180: CRLF, one header line, cells quoted where they must be).
///
/// The first column, `record`, tells `line` (a line of the bill) from `about` (the airframe, state and basis, in the
/// second column) and `caution`. `least` and `most` are empty where the quantity is not decided; `state` is `settled`
/// or says what else. In the tree an open line has one record for each choice, `part` being `nothing` or `gap` where
/// no part is fitted.
///
/// No cell starts a formula in a spreadsheet: a cell that begins with `=`, `+`, `-`, `@`, a tab, a carriage return or
/// an apostrophe is written with an apostrophe in front. A reader takes one leading apostrophe off every cell.
///
/// # Panics
/// Never: what is written stays in memory.
#[must_use]
pub fn bill_csv(bill: &Bill, model: &Model, view: BillView) -> String {
    let (header, lines) = match view {
        BillView::Tree => (TREE, tree(bill, model)),
        BillView::Flat | BillView::Make | BillView::Buy => (TOTALS, totals(bill, model, view)),
        BillView::Material => (MATERIALS, materials(bill)),
    };
    let request = bill.request;
    let about = format!(
        "{}; {}; {}; {}; {}",
        words::subject(bill, model),
        words::scope(bill, model),
        words::view_words(view),
        words::basis_words(request.basis),
        words::issue_words(request.issues),
    );
    let mut writer = WriterBuilder::new().terminator(Terminator::CRLF).from_writer(Vec::new());
    let mut write = |cells: Vec<String>| {
        let padded = cells.into_iter().map(|cell| guarded(&cell)).chain(std::iter::repeat(String::new()));
        writer.write_record(padded.take(header.len())).expect("writing to memory does not fail");
    };
    write(header.iter().map(|name| (*name).to_owned()).collect());
    write(vec!["about".to_owned(), about]);
    lines.into_iter().for_each(&mut write);
    write(vec!["caution".to_owned(), CAUTION.to_owned()]);
    let bytes = writer.into_inner().expect("writing to memory does not fail");
    String::from_utf8(bytes).expect("cells are text")
}

/// A cell that no spreadsheet takes for a formula.
fn guarded(cell: &str) -> String {
    if cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\'']) { format!("'{cell}") } else { cell.to_owned() }
}

fn tree(bill: &Bill, model: &Model) -> Vec<Vec<String>> {
    let record = |row: rows::TreeRow<'_>| {
        let position = row.line.position.map(|position| &model.positions[position]);
        let name = position.and_then(|position| position.name.clone()).unwrap_or_default();
        let part = row.part().map(|part| &model.parts[part]);
        let number = match row.choice.item {
            Item::Part(part) => model.parts.name(part),
            Item::Nothing => "nothing",
            Item::Gap => "gap",
        };
        let each: Vec<String> = row.choice.ways.iter().map(|way| way.each.to_string()).collect();
        let [least, most] = ends(&row.choice.amount);
        let mut cells = vec!["line".to_owned(), row.depth.to_string()];
        cells.extend([position.map_or(String::new(), |position| position.find.clone()), name, number.to_owned()]);
        cells.extend(part_cells(part));
        cells.extend([each.join(" or "), least, most]);
        cells.push(words::issues(&row.choice.issues, model, part.and_then(|part| part.drawing)));
        cells.extend([words::state_word(row.line.state).to_owned(), row.reason(model)]);
        cells.push(rows::references(&row.choice.deviations, model));
        cells
    };
    rows::tree_rows(bill).into_iter().map(record).collect()
}

fn totals(bill: &Bill, model: &Model, view: BillView) -> Vec<Vec<String>> {
    let mut records = Vec::new();
    for (total, amount) in rows::total_rows(bill, model, view) {
        let part = &model.parts[total.part];
        let [least, most] = ends(&amount);
        let mut cells = vec!["line".to_owned(), model.parts.name(total.part).to_owned()];
        cells.extend(part_cells(Some(part)));
        cells.push(part.mass.as_ref().map_or(String::new(), |mass| mass.text.clone()));
        cells.extend([least, most, words::issues(&total.issues, model, part.drawing)]);
        cells.extend([words::total_word(&amount).to_owned(), rows::references(&total.deviations, model)]);
        records.push(cells);
    }
    records
}

fn materials(bill: &Bill) -> Vec<Vec<String>> {
    let mut records = Vec::new();
    for total in &bill.materials {
        let (material, thickness) = rows::stuff(total);
        let [least, most] = ends(&total.pieces);
        let mut cells = vec!["line".to_owned(), material.to_owned(), thickness.to_owned()];
        cells.extend([total.parts.len().to_string(), least, most]);
        cells.extend(match words::ends(&total.mass.micrograms) {
            Some((least, most)) => [kilograms(least), kilograms(most)],
            None => [String::new(), String::new()],
        });
        cells.extend([total.mass.unknown.to_string(), words::total_word(&total.pieces).to_owned()]);
        records.push(cells);
    }
    records
}

/// Description, hand, source, material, temper and thickness.
fn part_cells(part: Option<&Part>) -> [String; 6] {
    let Some(part) = part else { return Default::default() };
    [
        part.description.clone(),
        part.hand.map_or(String::new(), |hand| crate::report::rack::hand_word(hand).to_owned()),
        words::source_word(part.source).to_owned(),
        part.material.clone().unwrap_or_default(),
        part.temper.clone().unwrap_or_default(),
        part.thickness.as_ref().map_or(String::new(), |thickness| thickness.text.clone()),
    ]
}

fn ends(amount: &Amount) -> [String; 2] {
    words::ends(amount).map_or_else(Default::default, |(least, most)| [least.to_string(), most.to_string()])
}

/// Kilograms, exact to the microgram.
fn kilograms(micrograms: u64) -> String {
    format!("{}.{:09}", micrograms / 1_000_000_000, micrograms % 1_000_000_000)
}
