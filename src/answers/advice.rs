//! What to do about a plate, for other programs.

use crate::jig::advice::{Action, Advice, Cause, Suspicion, advice};
use crate::jig::found::Examined;
use crate::metrology::point::Point3;
use crate::model::Model;
use crate::words::advice::advice_words;
use serde::Serialize;

/// One piece of advice.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AdviceLine {
    /// What is done.
    pub action: Action,
    /// Whether it undoes work that was done.
    pub destroys_work: bool,
    /// The holes concerned, by name; empty: the plate as a whole.
    pub holes: Vec<String>,
    /// What to check or to do, with its figures, in words; empty: nothing.
    pub figure: String,
    /// What is thought to be the matter.
    pub suspect: Suspicion,
    /// Where something is moved or turned: how far it moves at two holes, of a plate at its first two dowels.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub amounts: Vec<MoveAt>,
}

/// How far a plate or a member of it is moved or shimmed at a hole, in the axes of the plate drawing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MoveAt {
    /// The hole.
    pub hole: String,
    /// The amount in millimetres, to 0.0001.
    pub x_mm: f64,
    /// The same.
    pub y_mm: f64,
}

/// What to do about a surveyed plate, in order; never empty.
#[must_use]
pub(super) fn advice_lines(examined: &Examined, model: &Model) -> Vec<AdviceLine> {
    let name = |hole: usize| examined.against.map(|plate| model.plates[plate].holes[hole].name.clone());
    let lines = advice(examined, model).into_iter().map(|one| AdviceLine {
        action: one.action,
        destroys_work: one.action.destroys_work(),
        holes: one.holes.iter().filter_map(|hole| name(*hole)).collect(),
        figure: if one.action == Action::None { String::new() } else { advice_words(&one, examined, model) },
        suspect: one.suspect,
        amounts: amounts(&one, examined, model),
    });
    lines.collect()
}

fn amounts(one: &Advice, examined: &Examined, model: &Model) -> Vec<MoveAt> {
    let Some((plate, work)) = examined.against.zip(one.work.as_ref()) else { return Vec::new() };
    let plate = &model.plates[plate];
    let rounded = |mm: f64| (mm * 1e4).round() / 1e4 + 0.0;
    let at = |(hole, by): (usize, Point3)| MoveAt {
        hole: plate.holes[hole].name.clone(),
        x_mm: rounded(by.x),
        y_mm: rounded(by.y),
    };
    work.amounts(plate).into_iter().map(at).collect()
}

/// The same in words, one after another, without what says that nothing is to be done.
pub(super) fn sentences(lines: &[AdviceLine]) -> impl Iterator<Item = &str> {
    lines.iter().filter(|line| line.action != Action::None).map(|line| line.figure.as_str())
}

/// What to do about a plate of which the survey no longer counts: no more than this, whatever it found.
#[must_use]
pub(super) fn outdated_line(action: Action, figure: String) -> AdviceLine {
    let suspect = Suspicion::Other(Cause::Outdated);
    AdviceLine {
        action,
        destroys_work: action.destroys_work(),
        holes: Vec::new(),
        figure,
        suspect,
        amounts: Vec::new(),
    }
}
