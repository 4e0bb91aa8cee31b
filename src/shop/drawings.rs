//! The drawing issues that a state needs, against the copies that the shop holds.

use crate::bill::Bill;
use crate::ids::{DrawingId, PartId};
use crate::model::{Loss, Marks, Model};
use crate::prop::Limit;
use crate::resolve::PossibleIssue;
use crate::schema::Source;
use std::collections::BTreeMap;

/// Whether the shop holds what is needed of a drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Held {
    /// Every issue that may apply.
    Yes,
    /// Which issue applies is open, and only some of them are held.
    Some,
    /// Another issue only.
    OtherIssue,
    /// No copy at all.
    No,
    /// Nobody has recorded it.
    NotRecorded,
    /// Which issue applies was not decided.
    Undecided(Limit),
}

/// A drawing that a state needs or may need.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawingLine {
    /// The sheet.
    pub drawing: DrawingId,
    /// The parts that are made to it.
    pub parts: Vec<PartId>,
    /// Whether some part of it is fitted in all histories.
    pub certain: bool,
    /// The issues that may apply; one if that is settled.
    pub needed: Vec<PossibleIssue>,
    /// The issues as fitted that may apply.
    pub as_fitted: Vec<PossibleIssue>,
    /// Whether they are held.
    pub held: Held,
    /// What was not read and bears on it.
    pub not_read: Marks,
}

/// The drawings of the parts of a bill that are made in the workshop, in table order. The bill is one with the issues to
/// make to.
#[must_use]
pub fn drawings(model: &Model, bill: &Bill) -> Vec<DrawingLine> {
    let mut lines: BTreeMap<DrawingId, (DrawingLine, Option<Limit>)> = BTreeMap::new();
    for total in bill.totals.iter().filter(|total| total.to_get.may_be_some()) {
        let part = &model.parts[total.part];
        let Some(drawing) = part.drawing.filter(|_| part.source == Some(Source::Made)) else { continue };
        let fresh = || fresh(model, bill, drawing);
        let (line, limit) = lines.entry(drawing).or_insert_with(|| (fresh(), None));
        line.parts.push(total.part);
        line.certain |= super::rack::ends(Some(total.to_get)).0 > 0;
        line.not_read.extend(&total.not_read);
        line.as_fitted.extend(total.other_issues.iter().flatten());
        match &total.issues {
            Ok(issues) => line.needed.extend(issues),
            Err(met) => *limit = Some(*met),
        }
    }
    let settled = lines.into_values().map(|(mut line, limit)| {
        line.needed.sort_unstable();
        line.needed.dedup();
        line.as_fitted.sort_unstable();
        line.as_fitted.dedup();
        if !line.not_read.is_empty() {
            (line.certain, line.needed, line.as_fitted) = (false, Vec::new(), Vec::new());
        }
        line.held = match limit {
            _ if !line.not_read.is_empty() => Held::Undecided(Limit::NotRead),
            Some(limit) => Held::Undecided(limit),
            None => held(model, &line),
        };
        line
    });
    settled.collect()
}

/// A drawing of which nothing is said yet but what was not read: of the drawing itself, and of parts of the bill that may
/// be made to it.
fn fresh(model: &Model, bill: &Bill, drawing: DrawingId) -> DrawingLine {
    let losses = &model.losses;
    let number = &model.drawings[drawing].number;
    let named = |loss: &Loss| {
        let any = || loss.mentions.iter().any(|word| model.drawings.iter().any(|(_, _, other)| other.number == word));
        loss.mentions.name(number) || !any()
    };
    let mut not_read = losses.marks(|loss| loss.touches.drawings.has(drawing));
    if !bill.all_not_read().is_empty() {
        not_read.extend(losses.marks(|loss| loss.may_be("Part") && loss.may_give("drawing") && named(loss)));
    }
    let (needed, as_fitted, held) = (Vec::new(), Vec::new(), Held::Yes);
    DrawingLine { drawing, parts: Vec::new(), certain: false, needed, as_fitted, held, not_read }
}

fn held(model: &Model, line: &DrawingLine) -> Held {
    let Some(copies) = &model.drawings[line.drawing].held else { return Held::NotRecorded };
    let has = |possible: &PossibleIssue| possible.issue.is_some_and(|issue| copies.contains(&issue));
    let count = line.needed.iter().filter(|possible| has(possible)).count();
    if count == line.needed.len() {
        Held::Yes
    } else if count > 0 {
        Held::Some
    } else if copies.is_empty() {
        Held::No
    } else {
        Held::OtherIssue
    }
}
