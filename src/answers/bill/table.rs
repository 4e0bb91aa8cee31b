//! A bill as text.

use super::{BillView, rows, words};
use crate::answers::mark_text;
use crate::answers::permits::{Permission, permissions, permissions_text};
use crate::bill::{Bill, Weights};
use crate::layout::Style;
use crate::layout::text::{paragraph, table_of};
use crate::model::{Marks, Model};
use crate::words::length_text;
use std::collections::BTreeSet;

/// A bill as text that fits the style's width, with what is open marked by `?`, the concessions and permits that
/// touch it, and the caution.
#[must_use]
pub fn bill_text(bill: &Bill, model: &Model, view: BillView, style: Style) -> String {
    let (table, rows) = match view {
        BillView::Tree => tree(bill, model, style),
        BillView::Flat | BillView::Make | BillView::Buy => totals(bill, model, view, style),
        BillView::Material => materials(bill, style),
    };
    let request = bill.request;
    let head = [
        format!("Bill of parts: {}", words::subject(bill, model)),
        format!("Of {}; {}.", words::scope(bill, model), words::view_words(view)),
        format!("Answered {}; {}.", words::basis_words(request.basis), words::issue_words(request.issues)),
        rows.told(&bill.all_not_read()),
    ];
    let mut text = String::new();
    for told in head {
        text.push_str(&paragraph("", &told, style.width));
    }
    text.push('\n');
    text.push_str(&table);
    text.push('\n');
    if matches!(view, BillView::Flat | BillView::Material) {
        let mass = bill.weights.iter().map(|weights| paragraph("", &mass_line(weights), style.width));
        text.extend(mass);
    }
    text.push_str(&permissions_text(&deviations(bill, model, view), style.width));
    text
}

/// How many rows are not settled.
#[derive(Clone, Copy, Debug, Default)]
struct Rows {
    open: usize,
    not_read: usize,
}

impl Rows {
    /// Counts a row.
    fn add(&mut self, settled: bool, marks: &Marks) {
        if !marks.is_empty() {
            self.not_read += 1;
        } else if !settled {
            self.open += 1;
        }
    }

    /// What is open, and what is not known because something was not read.
    fn told(self, marks: &Marks) -> String {
        let open = match self.open {
            0 if !marks.is_empty() => String::new(),
            0 => "Nothing on it is open.".to_owned(),
            1 => "1 row is open, marked \"?\".".to_owned(),
            open => format!("{open} rows are open, marked \"?\"."),
        };
        if marks.is_empty() {
            return open;
        }
        let rows = match self.not_read {
            0 => String::new(),
            1 => ", and of 1 row".to_owned(),
            rows => format!(", and of {rows} rows"),
        };
        format!("Not all of it is known: what it rests on as a whole{rows}, {}. {open}", mark_text(marks))
            .trim_end()
            .to_owned()
    }
}

fn tree(bill: &Bill, model: &Model, style: Style) -> (String, Rows) {
    const HEAD: &[&str] = &["Item", "Part", "Description", "Qty", "Issue", "Remarks"];
    let mut table = Vec::new();
    let mut counted = Rows::default();
    for row in rows::tree_rows(bill) {
        let choice = row.choice;
        let settled = row.is_settled() || !choice.not_read.is_empty();
        counted.add(settled, &choice.not_read);
        let position = row.line.position.map(|position| &model.positions[position]);
        let find = position.filter(|_| row.first).map_or("", |position| position.find.as_str());
        let known = row.part().filter(|_| choice.not_read.is_empty());
        let description = known.map_or("", |part| model.parts[part].description.as_str());
        let quantity = if row.part().is_some() { words::amount(&choice.amount) } else { String::new() };
        table.push(vec![
            format!("{}{find}", if style.unicode { "\u{b7} " } else { ". " }.repeat(row.depth)),
            marked(settled, row.item(model)),
            description.to_owned(),
            quantity,
            row.issues(bill.request.issues, model),
            remark(&row.reason(model), &rows::references(&choice.deviations, model)),
        ]);
    }
    (table_of(HEAD, &table, &[3], style.width), counted)
}

fn totals(bill: &Bill, model: &Model, view: BillView, style: Style) -> (String, Rows) {
    const HEAD: &[&str] = &["Part", "Description", "Qty", "Issue", "Source", "Remarks"];
    let mut table = Vec::new();
    let mut counted = Rows::default();
    for (total, amount) in rows::total_rows(bill, model, view) {
        let part = &model.parts[total.part];
        counted.add(amount.is_settled(), &total.not_read);
        if !total.not_read.is_empty() {
            let [nothing, dash] = ["", "-"].map(str::to_owned);
            let number = model.parts.name(total.part).to_owned();
            table.push(vec![number, nothing.clone(), dash.clone(), dash, nothing, mark_text(&total.not_read)]);
            continue;
        }
        let reason = if amount.is_settled() { "" } else { words::total_word(&amount) };
        table.push(vec![
            marked(amount.is_settled(), model.parts.name(total.part)),
            part.description.clone(),
            words::amount(&amount),
            rows::total_issues(total, bill, model, view),
            words::source_word(part.source).to_owned(),
            remark(reason, &rows::references(&total.deviations, model)),
        ]);
    }
    (table_of(HEAD, &table, &[2], style.width), counted)
}

fn materials(bill: &Bill, style: Style) -> (String, Rows) {
    const HEAD: &[&str] = &["Material", "Thickness", "Part numbers", "Pieces", "Mass", "Without mass"];
    let mut table = Vec::new();
    let mut counted = Rows::default();
    for total in bill.weights.iter().flat_map(|weights| &weights.materials) {
        counted.add(total.pieces.is_settled(), &total.not_read);
        let known = total.not_read.is_empty();
        let count = |count: usize| if known { count.to_string() } else { "-".to_owned() };
        let pieces = if known { words::amount(&total.pieces) } else { mark_text(&total.not_read) };
        let (material, thickness) = rows::stuff(total);
        table.push(vec![
            marked(total.pieces.is_settled() || !known, material),
            length_text(thickness),
            count(total.parts.len()),
            pieces,
            words::mass(&total.mass),
            count(total.mass.unknown),
        ]);
    }
    (table_of(HEAD, &table, &[2, 3, 4, 5], style.width), counted)
}

fn marked(settled: bool, name: &str) -> String {
    if settled { name.to_owned() } else { format!("? {name}") }
}

fn remark(reason: &str, references: &str) -> String {
    [reason, references].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join("; ")
}

fn mass_line(weights: &Weights) -> String {
    if !weights.not_read.is_empty() {
        return format!("Mass of all parts, made or bought: not known, {}.", mark_text(&weights.not_read));
    }
    let mass = &weights.mass;
    let without = match mass.unknown {
        0 => String::new(),
        1 => ", without 1 part number that has no mass recorded".to_owned(),
        several => format!(", without {several} part numbers that have no mass recorded"),
    };
    format!("Mass of all parts, made or bought: {}{without}.", words::mass(mass))
}

/// The concessions and permits on the bill, as shown. Whether they have run out is a matter of the shop floor, which a
/// bill does not ask.
fn deviations(bill: &Bill, model: &Model, view: BillView) -> Vec<Permission> {
    let shown: BTreeSet<usize> = match view {
        BillView::Tree => rows::tree_rows(bill).iter().flat_map(|row| &row.choice.deviations).copied().collect(),
        BillView::Flat | BillView::Make | BillView::Buy => {
            rows::total_rows(bill, model, view).iter().flat_map(|(total, _)| &total.deviations).copied().collect()
        }
        BillView::Material => BTreeSet::new(),
    };
    permissions(model, shown).into_iter().map(|permission| Permission { run_out: false, ..permission }).collect()
}
