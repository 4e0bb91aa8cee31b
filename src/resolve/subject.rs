//! What can be asked about, as expressions over state variables: positions, parts, splices, plates.

use super::{Basis, Resolver, Truth};
use crate::graph::fitted_in;
use crate::history::{condition_expr, of_form_var, of_unknown, unknown};
use crate::ids::{FrameId, ModId, PartId, PlateId, PositionId};
use crate::prop::Expr;
use std::collections::{BTreeSet, HashMap};

/// What may be found at a position.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fitted {
    /// This part, in this quantity.
    Part(PartId, u32),
    /// Nothing, and that is right.
    Nothing,
    /// No candidate is called for: the catalogue has a gap.
    Gap,
}

/// What may be the case at a position, with when it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PositionOutcome {
    /// What is fitted; `None` if the assembly around the position is itself not fitted, so that there is no such place.
    pub fitted: Option<Fitted>,
    /// When, over state variables.
    pub when: Expr,
    /// What the histories say of it.
    pub truth: Truth,
}

/// Each thing once, in the order of its first mention, with when any of its mentions holds.
pub(super) fn either_way<T: PartialEq>(mentions: impl IntoIterator<Item = (T, Expr)>) -> Vec<(T, Expr)> {
    let mut found: Vec<(T, Expr)> = Vec::new();
    for (what, when) in mentions {
        match found.iter_mut().find(|(known, _)| *known == what) {
            Some((_, known)) => *known = Expr::any([known.clone(), when]),
            None => found.push((what, when)),
        }
    }
    found
}

impl Resolver<'_> {
    /// All that is possible at a position of this serial, with what the histories of a basis say of each; what no history
    /// has is left out. One outcome that is `Always`: the position is settled.
    pub fn outcomes(&mut self, position: PositionId, basis: Basis) -> Vec<PositionOutcome> {
        let mut outcomes = Vec::new();
        for (fitted, when) in self.outcomes_when(position) {
            let truth = self.truth(&when, basis);
            if truth != Truth::Never {
                outcomes.push(PositionOutcome { fitted, when, truth });
            }
        }
        outcomes
    }

    /// Every outcome of a position with when it is the one, over state variables: the variants where the assembly around
    /// the position is fitted, and last that it is not.
    #[must_use]
    pub fn outcomes_when(&self, position: PositionId) -> Vec<(Option<Fitted>, Expr)> {
        let around = self.fitted(self.history().model.positions[position].assembly);
        let there = |(fitted, when)| (Some(fitted), Expr::all([when, around.clone()]));
        let mut outcomes: Vec<(Option<Fitted>, Expr)> = self.variants(position).into_iter().map(there).collect();
        outcomes.push((None, !around));
        outcomes
    }

    /// Every variant of a position with when the parts list calls for it, over state variables, whether or not the assembly
    /// around the position is fitted.
    #[must_use]
    pub fn variants(&self, position: PositionId) -> Vec<(Fitted, Expr)> {
        let lost = self.lost_at(position);
        let position = &self.history().model.positions[position];
        let serial = &self.history().airframe().serial;
        let when = |condition| lost.clone().unwrap_or_else(|| condition_expr(condition, serial));
        let mut variants = either_way(position.candidates.iter().map(|candidate| {
            let fitted = Fitted::Part(candidate.part, candidate.quantity);
            (fitted, when(&candidate.when))
        }));
        if let Some(condition) = &position.nothing_when {
            variants.push((Fitted::Nothing, when(condition)));
        }
        let any = Expr::any(variants.iter().map(|(_, when)| when.clone()));
        variants.push((Fitted::Gap, lost.clone().unwrap_or(!any)));
        variants
    }

    /// What is unknown of every variant of a position, if its own record lost something.
    fn lost_at(&self, position: PositionId) -> Option<Expr> {
        self.history().lost_of_position(position).first().map(|loss| unknown(*loss))
    }

    /// When a part is fitted somewhere on the airframe: selected at a position of an assembly that is itself fitted.
    #[must_use]
    pub fn fitted(&self, part: PartId) -> Expr {
        if let Some(known) = self.fitted.borrow().get(&part) {
            return known.clone();
        }
        let history = self.history();
        let is_top = |part| history.model.type_of.as_ref().is_some_and(|t| t.airframe == part);
        let serial = &history.airframe().serial;
        let mut known = self.fitted.borrow_mut();
        let places = |part: PartId| {
            let lost = history.lost_places_of(part).into_iter().map(|loss| (None, unknown(loss)));
            let places = history.graph.places_of(part).into_iter().map(|(at, which)| {
                let position = &history.model.positions[at];
                let here = || condition_expr(&position.candidates[which].when, serial);
                (Some(position.assembly), self.lost_at(at).unwrap_or_else(here))
            });
            lost.chain(places.filter(|(_, here)| *here != Expr::Const(false))).collect()
        };
        if history.graph.contains_itself() {
            // What is found on the way is forgotten: in a loop of containment it is cut short.
            let expr = fitted_in(part, &is_top, &mut HashMap::new(), &places);
            known.insert(part, expr.clone());
            return expr;
        }
        fitted_in(part, &is_top, &mut known, &places)
    }

    /// When a splice point (an index) of a frame is used: a fitted segment ends there.
    #[must_use]
    pub fn splice_used(&self, frame: FrameId, point: usize) -> Expr {
        let frame = &self.history().model.frames[frame];
        let ending = frame.segments.iter().filter(|s| s.from == point || s.to == point);
        Expr::any(ending.map(|segment| self.fitted(segment.part)))
    }

    /// When a plate definition is needed: a part that it locates is fitted.
    #[must_use]
    pub fn plate_needed(&self, plate: PlateId) -> Expr {
        let located = self.history().model.plates[plate].locates.iter();
        Expr::any(located.map(|part| self.fitted(*part)))
    }

    /// The modifications that an expression over state variables depends on, in table order.
    #[must_use]
    pub fn depends_on(expr: &Expr) -> BTreeSet<ModId> {
        let mut found = BTreeSet::new();
        expr.each_var(&mut |var| {
            found.extend(of_unknown(var).is_none().then(|| of_form_var(var).0));
        });
        found
    }
}
