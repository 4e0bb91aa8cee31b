//! What to do about a plate, for other programs.

use crate::jig::advice::{Action, Cause, Suspicion, advice};
use crate::jig::found::Examined;
use crate::model::Model;
use crate::words::advice::advice_words;
use serde::Serialize;

/// One piece of advice.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
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
    });
    lines.collect()
}

/// The same in words, one after another, without what says that nothing is to be done.
pub(super) fn sentences(lines: &[AdviceLine]) -> impl Iterator<Item = &str> {
    lines.iter().filter(|line| line.action != Action::None).map(|line| line.figure.as_str())
}

/// What to do about a plate of which the survey no longer counts: no more than this, whatever it found.
#[must_use]
pub(super) fn outdated_line(action: Action, figure: String) -> AdviceLine {
    let suspect = Suspicion::Other(Cause::Outdated);
    AdviceLine { action, destroys_work: action.destroys_work(), holes: Vec::new(), figure, suspect }
}
