//! What differs between two states, and what stays.

use super::{Basis, Fitted, ModAnswer, Resolver, Truth};
use crate::ids::{FrameId, ModId, PlateId, PositionId};

/// How something compares in two states.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Compared {
    /// Settled in both, and the same.
    Stays,
    /// Certainly different.
    Differs,
    /// Open in at least one of them.
    Undecided,
}

/// One thing in two states.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StatePair<K, V> {
    /// What.
    pub what: K,
    /// In the first state.
    pub first: V,
    /// In the second state.
    pub second: V,
    /// How they compare.
    pub compared: Compared,
}

/// Two states side by side: everything that differs or is undecided, and how much stays.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// Modifications.
    pub mods: Vec<StatePair<ModId, ModAnswer>>,
    /// Positions, with all that may be fitted; `None` if the assembly around the position may itself not be fitted.
    pub positions: Vec<StatePair<PositionId, Vec<Option<Fitted>>>>,
    /// Splice points of frames: whether they are used.
    pub splices: Vec<StatePair<(FrameId, usize), Truth>>,
    /// Jig plates: whether they are needed.
    pub plates: Vec<StatePair<PlateId, Truth>>,
}

impl<K, V> StatePair<K, V> {
    fn new(what: K, first: V, second: V, compared: Compared) -> StatePair<K, V> {
        StatePair { what, first, second, compared }
    }
}

/// Compares two states of one type on a basis: of two dates, two airframes, or one airframe with and without a
/// supposition. Everything is listed, what stays included.
pub fn difference(a: &mut Resolver<'_>, b: &mut Resolver<'_>, basis: Basis) -> Difference {
    let model = a.history().model;
    let mods = model.mods.ids().map(|m| {
        let (first, second) = (a.modification(m, basis), b.modification(m, basis));
        let forms = |answer: &ModAnswer| [answer.embodied, answer.by_production, answer.by_retrospective];
        let compared = compare_truths(&forms(&first), &forms(&second));
        StatePair::new(m, first, second, compared)
    });
    let mods = mods.collect();
    let positions = model.positions.ids().map(|position| {
        let fitted = |resolver: &mut Resolver<'_>| -> Vec<Option<Fitted>> {
            resolver.outcomes(position, basis).iter().map(|outcome| outcome.fitted).collect()
        };
        let (first, second) = (fitted(a), fitted(b));
        let compared = match (first.as_slice(), second.as_slice()) {
            ([one], [other]) if one == other => Compared::Stays,
            (one, other) if !one.iter().any(|fitted| other.contains(fitted)) => Compared::Differs,
            _ => Compared::Undecided,
        };
        StatePair::new(position, first, second, compared)
    });
    let positions = positions.collect();
    let mut splices = Vec::new();
    for (frame, _, entry) in model.frames.iter() {
        for point in 0..entry.splice_points.len() {
            let (used, also) = (a.splice_used(frame, point), b.splice_used(frame, point));
            let (first, second) = (a.truth(&used, basis), b.truth(&also, basis));
            splices.push(StatePair::new((frame, point), first, second, compare_truths(&[first], &[second])));
        }
    }
    let plates = model.plates.ids().map(|plate| {
        let (needed, also) = (a.plate_needed(plate), b.plate_needed(plate));
        let (first, second) = (a.truth(&needed, basis), b.truth(&also, basis));
        StatePair::new(plate, first, second, compare_truths(&[first], &[second]))
    });
    let plates = plates.collect();
    Difference { mods, positions, splices, plates }
}

fn compare_truths(first: &[Truth], second: &[Truth]) -> Compared {
    let settled = |truth: &Truth| matches!(truth, Truth::Always | Truth::Never);
    if first.iter().zip(second).any(|(a, b)| settled(a) && settled(b) && a != b) {
        Compared::Differs
    } else if first.iter().chain(second).all(settled) {
        Compared::Stays
    } else {
        Compared::Undecided
    }
}
