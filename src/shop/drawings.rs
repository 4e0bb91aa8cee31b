//! The drawing issues that a state needs, against the copies that the shop holds.

use crate::bill::Bill;
use crate::ids::{DrawingId, PartId};
use crate::model::{Model, Source};
use crate::prop::Limit;
use crate::resolve::PossibleIssue;
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
    /// Whether they are held.
    pub held: Held,
}

/// The drawings of the parts of a bill that are made in the workshop, in table order. The bill is one with the issues to
/// make to.
#[must_use]
pub fn drawings(model: &Model, bill: &Bill) -> Vec<DrawingLine> {
    let mut lines: BTreeMap<DrawingId, (DrawingLine, Option<Limit>)> = BTreeMap::new();
    for total in bill.totals.iter().filter(|total| total.to_get.may_be_some()) {
        let part = &model.parts[total.part];
        let Some(drawing) = part.drawing.filter(|_| part.source == Source::Made) else { continue };
        let fresh = || DrawingLine { drawing, parts: Vec::new(), certain: false, needed: Vec::new(), held: Held::Yes };
        let (line, limit) = lines.entry(drawing).or_insert_with(|| (fresh(), None));
        line.parts.push(total.part);
        line.certain |= super::rack::ends(Some(total.to_get)).0 > 0;
        match &total.issues {
            Ok(issues) => line.needed.extend(issues),
            Err(met) => *limit = Some(*met),
        }
    }
    let settled = lines.into_values().map(|(mut line, limit)| {
        line.needed.sort_unstable();
        line.needed.dedup();
        line.held = match limit {
            Some(limit) => Held::Undecided(limit),
            None => held(model, &line),
        };
        line
    });
    settled.collect()
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
