//! A bill as text.

use super::{BillView, rows, words};
use crate::answers::mark_text;
use crate::answers::permits::{Permission, permissions, permissions_page};
use crate::bill::{Bill, Weights};
use crate::layout::{Page, PageTable};
use crate::model::{Marks, Model};
use crate::words::length_text;
use std::collections::BTreeSet;

/// A bill as text that fits the style's width, with what is open marked by `?`, the concessions and permits that
/// touch it, and the caution.
#[must_use]
pub fn bill_page(bill: &Bill, model: &Model, view: BillView) -> Page {
    let (table, rows) = match view {
        BillView::Tree => tree(bill, model),
        BillView::Flat | BillView::Make | BillView::Buy => totals(bill, model, view),
        BillView::Material => materials(bill),
    };
    let request = bill.request;
    let mut page = Page::titled(format!("Bill of parts: {}", words::subject(bill, model)));
    let head = [
        format!("Of {}; {}.", words::scope(bill, model), words::view_words(view)),
        format!("Answered {}; {}.", words::basis_words(request.basis), words::issue_words(request.issues)),
        rows.sentence(&bill.all_not_read()),
    ];
    for sentence in head {
        page.say(sentence);
    }
    page.gap();
    page.table(table);
    page.gap();
    if let (BillView::Flat | BillView::Material, Some(weights)) = (view, &bill.weights) {
        page.say(mass_line(weights));
    }
    page.append(permissions_page(&deviations(bill, model, view)));
    page
}

/// How many rows are not settled.
#[derive(Clone, Copy, Debug, Default)]
struct UnsettledRows {
    open: usize,
    not_read: usize,
}

impl UnsettledRows {
    /// Counts a row.
    fn add(&mut self, settled: bool, marks: &Marks) {
        if !marks.is_empty() {
            self.not_read += 1;
        } else if !settled {
            self.open += 1;
        }
    }

    /// What is open, and what is not known because something was not read.
    fn sentence(self, marks: &Marks) -> String {
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

fn tree(bill: &Bill, model: &Model) -> (PageTable, UnsettledRows) {
    const HEAD: [&str; 6] = ["Item", "Part", "Description", "Qty", "Issue", "Remarks"];
    let mut table = Vec::new();
    let mut counted = UnsettledRows::default();
    for row in rows::tree_rows(bill) {
        let choice = row.choice;
        let settled = row.is_settled() || !choice.not_read.is_empty();
        counted.add(settled, &choice.not_read);
        let position = row.line.position.map(|position| &model.positions[position]);
        let find = position.filter(|_| row.first).map_or("", |position| position.find.as_str());
        let known = row.part().filter(|_| choice.not_read.is_empty());
        let description = known.map_or("", |part| model.parts[part].description.as_str());
        let finish = known.and_then(|part| model.parts[part].finish.as_deref()).unwrap_or_default();
        let quantity = if row.part().is_some() { words::amount(&choice.amount) } else { String::new() };
        table.push([
            format!("{}{find}", "\u{b7} ".repeat(row.depth)),
            marked(settled, row.item(model)),
            description.to_owned(),
            quantity,
            row.issues(bill.request.issues, model),
            remark([&row.reason(model), &rows::references(&choice.deviations, model), finish]),
        ]);
    }
    (PageTable::made(HEAD, table).figures(&[3]), counted)
}

fn totals(bill: &Bill, model: &Model, view: BillView) -> (PageTable, UnsettledRows) {
    const HEAD: [&str; 6] = ["Part", "Description", "Qty", "Issue", "Source", "Remarks"];
    let mut table = Vec::new();
    let mut counted = UnsettledRows::default();
    for (total, amount) in rows::total_rows(bill, model, view) {
        let part = &model.parts[total.part];
        counted.add(amount.is_settled(), &total.not_read);
        if !total.not_read.is_empty() {
            let [nothing, dash] = ["", "-"].map(str::to_owned);
            let number = model.parts.name(total.part).to_owned();
            table.push([number, nothing.clone(), dash.clone(), dash, nothing, mark_text(&total.not_read)]);
            continue;
        }
        let reason = if amount.is_settled() { "" } else { words::total_word(&amount) };
        table.push([
            marked(amount.is_settled(), model.parts.name(total.part)),
            part.description.clone(),
            words::amount(&amount),
            rows::total_issues(total, bill, model, view),
            words::source_word(part.source).to_owned(),
            remark([reason, &rows::references(&total.deviations, model), part.finish.as_deref().unwrap_or_default()]),
        ]);
    }
    (PageTable::made(HEAD, table).figures(&[2]), counted)
}

fn materials(bill: &Bill) -> (PageTable, UnsettledRows) {
    const HEAD: [&str; 6] = ["Material", "Thickness", "Part numbers", "Pieces", "Mass", "Without mass"];
    let mut table = Vec::new();
    let mut counted = UnsettledRows::default();
    for total in bill.weights.iter().flat_map(|weights| &weights.materials) {
        counted.add(total.pieces.is_settled(), &total.not_read);
        let known = total.not_read.is_empty();
        let count = |count: usize| if known { count.to_string() } else { "-".to_owned() };
        let pieces = if known { words::amount(&total.pieces) } else { mark_text(&total.not_read) };
        let (material, thickness) = rows::stuff(total);
        table.push([
            marked(total.pieces.is_settled() || !known, material),
            length_text(thickness),
            count(total.parts.len()),
            pieces,
            words::mass(&total.mass),
            count(total.mass.unknown),
        ]);
    }
    (PageTable::made(HEAD, table).figures(&[2, 3, 4, 5]), counted)
}

fn marked(settled: bool, name: &str) -> String {
    if settled { name.to_owned() } else { format!("? {name}") }
}

/// The remarks on a row: the reason for it, the concessions and permits that touch it, the finish of the part.
fn remark(remarks: [&str; 3]) -> String {
    remarks.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join("; ")
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
