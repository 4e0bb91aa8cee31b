//! What a claim means: facts about days, and what may be removed.

use super::{condition_expr, is_in, of_form_var};
use crate::graph::Graph;
use crate::ids::{FrameId, ModId, PartId};
use crate::model::{Airframe, Claim, Model, Statement};
use crate::prop::Expr;
use crate::quantity::Day;
use std::collections::BTreeSet;

/// A fact that a claim states, over state variables.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fact {
    /// True at the end of this day.
    At(Day, Expr),
    /// True at the end of at least one day from the first to the last (both included).
    Sometime(Day, Day, Expr),
    /// True of the metal: as the first two, and the airframe was built by that day.
    Seen(Day, Day, Expr),
}

/// What a claim means.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Meaning {
    /// What it states; all of it.
    pub facts: Vec<Fact>,
    /// The modification that it lets be removed, and on which days.
    pub lets_remove: Option<(ModId, Day, Day)>,
}

impl Fact {
    /// What is true, over state variables.
    #[must_use]
    pub fn expr(&self) -> &Expr {
        match self {
            Fact::At(_, expr) | Fact::Sometime(_, _, expr) | Fact::Seen(_, _, expr) => expr,
        }
    }
    /// The first and the last day that it speaks of.
    #[must_use]
    pub fn days(&self) -> (Day, Day) {
        match self {
            Fact::At(day, _) => (*day, *day),
            Fact::Sometime(from, to, _) | Fact::Seen(from, to, _) => (*from, *to),
        }
    }
}

impl Meaning {
    /// The modifications that the claim bears on, in table order.
    #[must_use]
    pub fn mods(&self) -> BTreeSet<ModId> {
        let mut found = BTreeSet::new();
        for fact in &self.facts {
            fact.expr().each_var(&mut |var| {
                found.insert(of_form_var(var).0);
            });
        }
        found.extend(self.lets_remove.map(|(m, ..)| m));
        found
    }
}

/// What one claim means.
///
/// A window that is open at its start ("by") or its end ("not before") leaves out the half that the open end would
/// state; what then remains to be said is that the thing came about at some time inside the window.
pub(super) fn of_claim(model: &Model, graph: &Graph, airframe: &Airframe, claim: &Claim) -> Meaning {
    let (first, last) = (claim.when.first(), claim.when.last());
    let (starts, ends) = (claim.when.start.is_some(), claim.when.end.is_some());
    let mut facts = Vec::new();
    let mut lets_remove = None;
    let mut seen = |expr: Expr| facts.push(Fact::Seen(first, last, expr));
    match &claim.says {
        Statement::Embodied(m, form) => {
            if starts {
                facts.push(Fact::At(first.before(), !is_in(*m, None)));
            }
            facts.push(if ends {
                Fact::At(last, is_in(*m, *form))
            } else {
                Fact::Sometime(first, last, is_in(*m, *form))
            });
        }
        Statement::NotEmbodied(m) => facts.push(Fact::Sometime(first, last, !is_in(*m, None))),
        Statement::Removed(m) => {
            facts.push(if starts {
                Fact::At(first.before(), is_in(*m, None))
            } else {
                Fact::Sometime(first, last.before(), is_in(*m, None))
            });
            facts.push(if ends {
                Fact::At(last, !is_in(*m, None))
            } else {
                Fact::Sometime(first, last, !is_in(*m, None))
            });
            lets_remove = Some((*m, first, last));
        }
        Statement::SeenAt(position, candidate) => {
            let position = &model.positions[*position];
            let when = |condition| condition_expr(condition, &airframe.serial);
            seen(match candidate {
                Some(index) => {
                    let part = position.candidates[*index].part;
                    Expr::any(position.candidates.iter().filter(|c| c.part == part).map(|c| when(&c.when)))
                }
                None => position.nothing_when.as_ref().map_or(Expr::Const(false), when),
            });
        }
        Statement::SeenSplice(frame, point, there) => {
            let used = splice_used(model, graph, airframe, *frame, *point);
            seen(if *there { used } else { !used });
        }
        Statement::SeenPattern(plate) => {
            let located = model.plates[*plate].locates.iter();
            seen(Expr::any(located.map(|&part| candidate_anywhere(model, graph, airframe, part))));
        }
    }
    Meaning { facts, lets_remove }
}

/// A segment that ends at the point is selected at some position.
fn splice_used(model: &Model, graph: &Graph, airframe: &Airframe, frame: FrameId, point: usize) -> Expr {
    let ending = model.frames[frame].segments.iter().filter(|s| s.from == point || s.to == point);
    Expr::any(ending.map(|segment| candidate_anywhere(model, graph, airframe, segment.part)))
}

/// The part is selected at some position.
fn candidate_anywhere(model: &Model, graph: &Graph, airframe: &Airframe, part: PartId) -> Expr {
    let places = graph.places_of(part).into_iter();
    Expr::any(
        places.map(|(position, which)| {
            condition_expr(&model.positions[position].candidates[which].when, &airframe.serial)
        }),
    )
}
