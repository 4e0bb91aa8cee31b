//! A bill as text.

use super::{BillView, rows, words};
use crate::bill::{Bill, Item, MassTotal};
use crate::model::Model;
use crate::report::Style;
use crate::report::layout::{paragraph, table_of};
use crate::report::permits::{Permission, permissions, permissions_text};
use std::collections::BTreeSet;

/// A bill as text that fits the style's width, with what is open marked by `?`, the concessions and permits that
/// touch it, and the caution.
#[must_use]
pub fn bill_text(bill: &Bill, model: &Model, view: BillView, style: Style) -> String {
    let (table, open) = match view {
        BillView::Tree => tree(bill, model, style),
        BillView::Flat | BillView::Make | BillView::Buy => totals(bill, model, view, style),
        BillView::Material => materials(bill, style),
    };
    let request = bill.request;
    let head = [
        format!("Bill of parts: {}", words::subject(bill, model)),
        format!("Of {}; {}.", words::scope(bill, model), words::view_words(view)),
        format!("Answered {}; {}.", words::basis_words(request.basis), words::issue_words(request.issues)),
        match open {
            0 => "Nothing on it is open.".to_owned(),
            1 => "1 row is open, marked `?`.".to_owned(),
            _ => format!("{open} rows are open, marked `?`."),
        },
    ];
    let mut text = String::new();
    for told in head {
        text.push_str(&paragraph("", &told, style.width));
    }
    text.push('\n');
    text.push_str(&table);
    text.push('\n');
    if matches!(view, BillView::Flat | BillView::Material) {
        let mass = bill.weights.iter().map(|weights| paragraph("", &mass_line(&weights.mass), style.width));
        text.extend(mass);
    }
    text.push_str(&permissions_text(&deviations(bill, model, view), style.width));
    text
}

fn tree(bill: &Bill, model: &Model, style: Style) -> (String, usize) {
    const HEAD: &[&str] = &["Find", "Part", "Description", "Qty", "Issue", "Remarks"];
    let mut table = Vec::new();
    let mut open = 0;
    for row in rows::tree_rows(bill) {
        let choice = row.choice;
        open += usize::from(!row.is_settled());
        let position = row.line.position.map(|position| &model.positions[position]);
        let find = position.filter(|_| row.first).map_or("", |position| position.find.as_str());
        let (number, description) = match choice.item {
            Item::Part(part) => (model.parts.name(part), model.parts[part].description.as_str()),
            Item::Nothing => ("nothing", ""),
            Item::Gap => ("gap", ""),
        };
        let drawing = row.part().and_then(|part| model.parts[part].drawing);
        let quantity = if row.part().is_some() { words::amount(&choice.amount) } else { String::new() };
        table.push(vec![
            format!("{}{find}", if style.unicode { "\u{b7} " } else { ". " }.repeat(row.depth)),
            marked(row.is_settled(), number),
            description.to_owned(),
            quantity,
            words::issues(&choice.issues, model, drawing),
            remark(&row.reason(model), &rows::references(&choice.deviations, model)),
        ]);
    }
    (table_of(HEAD, &table, &[3], style.width), open)
}

fn totals(bill: &Bill, model: &Model, view: BillView, style: Style) -> (String, usize) {
    const HEAD: &[&str] = &["Part", "Description", "Qty", "Issue", "Source", "Remarks"];
    let mut table = Vec::new();
    let mut open = 0;
    for (total, amount) in rows::total_rows(bill, model, view) {
        let part = &model.parts[total.part];
        open += usize::from(!amount.is_settled());
        let reason = if amount.is_settled() { "" } else { words::total_word(&amount) };
        table.push(vec![
            marked(amount.is_settled(), model.parts.name(total.part)),
            part.description.clone(),
            words::amount(&amount),
            words::issues(&total.issues, model, part.drawing),
            words::source_word(part.source).to_owned(),
            remark(reason, &rows::references(&total.deviations, model)),
        ]);
    }
    (table_of(HEAD, &table, &[2], style.width), open)
}

fn materials(bill: &Bill, style: Style) -> (String, usize) {
    const HEAD: &[&str] = &["Material", "Thickness", "Part numbers", "Pieces", "Mass", "Without mass"];
    let mut table = Vec::new();
    let mut open = 0;
    for total in bill.weights.iter().flat_map(|weights| &weights.materials) {
        open += usize::from(!total.pieces.is_settled());
        let (material, thickness) = rows::stuff(total);
        table.push(vec![
            marked(total.pieces.is_settled(), material),
            thickness.to_owned(),
            total.parts.len().to_string(),
            words::amount(&total.pieces),
            words::mass(&total.mass),
            total.mass.unknown.to_string(),
        ]);
    }
    (table_of(HEAD, &table, &[2, 3, 4, 5], style.width), open)
}

fn marked(settled: bool, name: &str) -> String {
    if settled { name.to_owned() } else { format!("? {name}") }
}

fn remark(reason: &str, references: &str) -> String {
    [reason, references].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join("; ")
}

fn mass_line(mass: &MassTotal) -> String {
    let without = match mass.unknown {
        0 => String::new(),
        1 => ", without 1 part number that has no mass recorded".to_owned(),
        several => format!(", without {several} part numbers that have no mass recorded"),
    };
    format!("Mass of all parts, made or bought: {}{without}.", words::mass(mass))
}

/// The concessions and permits on the bill, as shown.
fn deviations(bill: &Bill, model: &Model, view: BillView) -> Vec<Permission> {
    let shown: BTreeSet<usize> = match view {
        BillView::Tree => rows::tree_rows(bill).iter().flat_map(|row| &row.choice.deviations).copied().collect(),
        BillView::Flat | BillView::Make | BillView::Buy => {
            rows::total_rows(bill, model, view).iter().flat_map(|(total, _)| &total.deviations).copied().collect()
        }
        BillView::Material => BTreeSet::new(),
    };
    permissions(model, shown)
}
