//! A bill as rows, the same for tables and CSV.

use super::{BillView, words};
use crate::answers::mark_text;
use crate::bill::{Amount, Bill, BillLine, LineChoice, LineItem, LineState, MaterialTotal, Total};
use crate::ids::PartId;
use crate::model::{Marks, Model};
use crate::resolve::IssueView;
use crate::schema::Source;

/// A row of the tree: one choice of one line.
pub(super) struct TreeRow<'b> {
    /// How deep below the top.
    pub depth: usize,
    /// The line.
    pub line: &'b BillLine,
    /// Which of its choices.
    pub choice: &'b LineChoice,
    /// Whether it is the first of them.
    pub first: bool,
}

/// All rows of the tree, from the top down.
pub(super) fn tree_rows(bill: &Bill) -> Vec<TreeRow<'_>> {
    let mut rows = Vec::new();
    walk(&bill.top, 0, &mut rows);
    rows
}

fn walk<'b>(line: &'b BillLine, depth: usize, rows: &mut Vec<TreeRow<'b>>) {
    for (index, choice) in line.choices.iter().enumerate() {
        rows.push(TreeRow { depth, line, choice, first: index == 0 });
        choice.below.iter().for_each(|line| walk(line, depth + 1, rows));
    }
}

impl TreeRow<'_> {
    /// The part that is fitted, if it is one.
    pub(super) fn part(&self) -> Option<PartId> {
        match self.choice.item {
            LineItem::Part(part) => Some(part),
            LineItem::Nothing | LineItem::Gap | LineItem::NotRead => None,
        }
    }

    /// What is fitted, by name.
    pub(super) fn item<'m>(&self, model: &'m Model) -> &'m str {
        match self.choice.item {
            LineItem::Part(part) => model.parts.name(part),
            LineItem::Nothing => "nothing",
            LineItem::Gap => "gap",
            LineItem::NotRead => "-",
        }
    }

    /// The issues that it gives.
    pub(super) fn issues(&self, view: IssueView, model: &Model) -> String {
        let drawing = self.part().and_then(|part| model.parts[part].drawing);
        words::both_issues([&self.choice.issues, &self.choice.other_issues], view, model, drawing)
    }

    /// One word for its state.
    pub(super) fn state(&self) -> &'static str {
        let line = if self.choice.not_read.is_empty() { self.line.state } else { LineState::NotRead };
        words::state_word(line)
    }

    /// Whether it is the same in all histories.
    pub(super) fn is_settled(&self) -> bool {
        self.line.state == LineState::Settled
    }

    /// Why it is not settled; empty if it is.
    pub(super) fn reason(&self, model: &Model) -> String {
        if !self.choice.not_read.is_empty() {
            return mark_text(&self.choice.not_read);
        }
        let ways = match self.choice.item {
            LineItem::Gap | LineItem::NotRead => "no candidate is called for".to_owned(),
            LineItem::Part(_) | LineItem::Nothing if self.line.position.is_none() => {
                "how often it is fitted".to_owned()
            }
            LineItem::Part(_) | LineItem::Nothing => words::ways(&self.choice.ways, model),
        };
        match self.line.state {
            LineState::Settled => String::new(),
            LineState::OpenAbove => "open: its assembly is".to_owned(),
            LineState::Open => format!("open: {ways}"),
            LineState::Overlap => format!("several called for at once: {ways}"),
            LineState::Gap => format!("gap: {ways}"),
            LineState::Undecided(limit) => format!("undecided, {limit}: {ways}"),
            LineState::Contradicted => "the records contradict each other here; run modstate check".to_owned(),
            LineState::NotRead => "another choice here was not read".to_owned(),
        }
    }
}

/// The totals that belong to a view, each with its quantity there.
pub(super) fn total_rows<'b>(bill: &'b Bill, model: &Model, view: BillView) -> Vec<(&'b Total, Amount)> {
    let quantity = |total: &Total| match (view, model.parts[total.part].source) {
        (BillView::Make, Some(Source::Made)) | (BillView::Buy, Some(Source::Bought | Source::Standard)) => {
            Some(total.to_get)
        }
        // A part whose record was not read may be either.
        (BillView::Make | BillView::Buy, None) => Some(total.to_get),
        (BillView::Make | BillView::Buy, _) => None,
        (BillView::Tree | BillView::Flat | BillView::Material, _) => Some(total.amount),
    };
    let rows = bill.totals.iter().filter_map(|total| quantity(total).map(|amount| (total, amount)));
    rows.filter(|(_, amount)| amount.may_be_some()).collect()
}

/// The issues that a total gives in a view: parts to make, the ones to make to.
pub(super) fn total_issues(total: &Total, bill: &Bill, model: &Model, view: BillView) -> String {
    let asked = bill.request.issues;
    let wanted = if view == BillView::Make { IssueView::ToMake } else { asked };
    let mut both = [&total.issues, &total.other_issues];
    if wanted != asked {
        both.reverse();
    }
    words::both_issues(both, wanted, model, model.parts[total.part].drawing)
}

/// The numbers of what was not read, as one cell.
pub(super) fn numbers(marks: &Marks) -> String {
    marks.iter().map(|loss| loss.0.to_string()).collect::<Vec<_>>().join(", ")
}

/// The material rows of a bill, identified by name: material and thickness.
pub(super) fn stuff(total: &MaterialTotal) -> (&str, &str) {
    let thickness = total.thickness.as_ref().map_or("", |thickness| thickness.text.as_str());
    (total.material.as_deref().unwrap_or("not recorded"), thickness)
}

/// References of concessions and permits.
pub(super) fn references(deviations: &[usize], model: &Model) -> String {
    deviations.iter().map(|index| model.deviations[*index].reference.as_str()).collect::<Vec<_>>().join(", ")
}
