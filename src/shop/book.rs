//! The decision book against the present evidence.

use crate::graph::Graph;
use crate::history::is_in;
use crate::ids::{AirframeId, BuildStateId};
use crate::model::{Decided, Decision, Marks, Model};
use crate::prop::Expr;
use crate::quantity::Day;
use crate::resolve::{Basis, Fitted, Limits, Resolver, Target, Truth};

/// How a decision stands.
#[derive(Clone, Debug, PartialEq)]
pub enum BookStanding {
    /// A later decision (its number) withdrew it.
    Withdrawn(u32),
    /// It is itself a withdrawal.
    Withdrawal,
    /// It stands; the evidence has nothing to say of it.
    Stands,
    /// It stands: what the histories say of what was decided, under the firm claims and with the doubtful ones held.
    Against(Truth, Truth),
    /// The state that it is about is not known, or lies before the airframe was built.
    NoState,
}

/// A decision with how it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Stood {
    /// Which decision (an index of the model's).
    pub decision: usize,
    /// How it stands.
    pub standing: BookStanding,
    /// What it says, over state variables of the state that it is about.
    pub expr: Option<Expr>,
    /// The state that it is about.
    pub target: Option<Target>,
    /// What was not read and bears on how it stands.
    pub not_read: Marks,
}

/// The build state that the workshop builds an airframe to, with the decision (an index) that says so; without one, the
/// airframe's only build state.
#[must_use]
pub fn building_to(model: &Model, airframe: AirframeId) -> Option<(BuildStateId, Option<usize>)> {
    let decided = model.decisions.iter().enumerate().rev().find_map(|(index, decision)| {
        let Decided::BuildTo(state) = decision.decides else { return None };
        let stands = decision.airframe == airframe && withdrawn(model, decision).is_none();
        stands.then_some((state, Some(index)))
    });
    let states = &model.airframes[airframe].build_states;
    decided.or_else(|| states.ids().next().filter(|_| states.len() == 1).map(|state| (state, None)))
}

/// The number of the decision that withdrew one.
fn withdrawn(model: &Model, decision: &Decision) -> Option<u32> {
    let later = model.decisions.iter().filter(|other| other.number > decision.number);
    later.filter(|other| other.decides == Decided::Withdraw(decision.number)).map(|other| other.number).next()
}

/// The last day of which the shop's own records tell: an expiry before it has passed.
#[must_use]
pub fn last_day(model: &Model) -> Option<Day> {
    let made = model.made_parts.iter().filter_map(|made| made.made.as_ref()?.start);
    let plates = model.jigs.iter().flat_map(|(_, _, jig)| &jig.mounted);
    let plates = plates.flat_map(|plate| plate.made.iter().chain(&plate.reworked)).filter_map(|when| when.start);
    let measured = model.surveys.iter().filter_map(|survey| survey.date.start);
    let allowed = model.deviations.iter().filter_map(|deviation| deviation.date.start);
    let decided = model.decisions.iter().map(|decision| decision.date);
    made.chain(plates).chain(measured).chain(allowed).chain(decided).max()
}

/// Every decision of an airframe in the order of the book, with how it stands.
#[must_use]
pub fn book(model: &Model, graph: &Graph, airframe: AirframeId, limits: Limits) -> Vec<Stood> {
    let of_airframe = model.decisions.iter().enumerate().filter(|(_, decision)| decision.airframe == airframe);
    of_airframe.map(|(index, decision)| stood(model, graph, index, decision, limits)).collect()
}

fn stood(model: &Model, graph: &Graph, index: usize, decision: &Decision, limits: Limits) -> Stood {
    let not_read = not_read(model, decision);
    let bare = |standing| Stood { decision: index, standing, expr: None, target: None, not_read: not_read.clone() };
    if let Some(number) = withdrawn(model, decision) {
        return bare(BookStanding::Withdrawn(number));
    }
    match decision.decides {
        Decided::Withdraw(_) => return bare(BookStanding::Withdrawal),
        Decided::BuildTo(_) => return bare(BookStanding::Stands),
        Decided::Embodied(..) | Decided::NotEmbodied(_) | Decided::Fits(..) => {}
    }
    let state = decision.state.or_else(|| building_to(model, decision.airframe).map(|(state, _)| state));
    let Some(state) = state else { return bare(BookStanding::NoState) };
    let day = model.airframes[decision.airframe].build_states[state].date;
    let target = Target { day, build_state: Some(state) };
    let Ok(mut resolver) = Resolver::new(model, graph, decision.airframe, target, limits) else {
        return bare(BookStanding::NoState);
    };
    let expr = meaning(&resolver, decision.decides);
    let standing = BookStanding::Against(resolver.truth(&expr, Basis::Firm), resolver.truth(&expr, Basis::Held));
    let mut not_read = not_read;
    let history = resolver.history();
    not_read.extend(history.reach.expr(&expr));
    if let Decided::Fits(position, _) = decision.decides {
        not_read.extend(history.not_read_here(position));
    }
    Stood { decision: index, standing, expr: Some(expr), target: Some(target), not_read }
}

/// What was not read and bears on a decision as it stands in the book: its own record, entries before it (its seal
/// rests on them), entries that may withdraw it, and the state that it is about.
fn not_read(model: &Model, decision: &Decision) -> Marks {
    let losses = &model.losses;
    if losses.is_empty() {
        return Marks::new();
    }
    let mut marks = losses.of_record(decision.record);
    marks.extend(not_read_of_seal(model, decision.number));
    marks.extend(losses.marks(|loss| loss.may_withdraw() && loss.concerns(decision.airframe)));
    if decision.state.is_none() {
        marks.extend(not_read_of_building_to(model, decision.airframe));
    } else if let Some(state) = decision.state {
        let name = model.airframes[decision.airframe].build_states.name(state);
        marks.extend(losses.of_build_state(decision.airframe, name));
    }
    marks
}

/// What was not read and bears on which state the workshop builds an airframe to.
#[must_use]
pub fn not_read_of_building_to(model: &Model, airframe: AirframeId) -> Marks {
    let losses = &model.losses;
    let decided = building_to(model, airframe).is_some_and(|(_, by)| by.is_some());
    losses.marks(|loss| {
        let here = loss.is_of_dossier(airframe);
        let state = !decided && loss.whole && loss.may_be("BuildState");
        (here && (loss.may_choose_state() || state)) || (loss.may_withdraw() && loss.concerns(airframe))
    })
}

/// What was not read and bears on the list of decisions about an airframe.
#[must_use]
pub fn not_read_of_book(model: &Model, airframe: AirframeId) -> Marks {
    model.losses.marks(|loss| loss.may_be("Decision") && loss.concerns(airframe))
}

/// What was not read of the book's own entries and bears on what the next one is to name.
#[must_use]
pub fn not_read_of_next(model: &Model) -> Marks {
    entries_alone(model, model.losses.of_kinds(&["Decision"]))
}

/// What was not read and bears on the seal of an entry: what it says, and what stands before it.
fn not_read_of_seal(model: &Model, number: u32) -> Marks {
    let losses = &model.losses;
    let before = || model.book.iter().take_while(|entry| entry.number <= number);
    let mut marks: Marks = before().flat_map(|entry| losses.of_record(entry.record)).collect();
    // Where an entry is lost between the numbers of two that were read, the seals behind it are not known.
    if before().zip(1..).any(|(entry, next)| entry.number != next) {
        marks.extend(losses.of_kinds(&["Decision"]));
    }
    entries_alone(model, marks)
}

/// Those of some marks that are mended in an entry of the book: what an entry names may be lost elsewhere, and then its
/// text and its seal stand as they are.
fn entries_alone(model: &Model, mut marks: Marks) -> Marks {
    marks.retain(|mark| model.losses.get(*mark).may_be("Decision"));
    marks
}

/// What was decided, over state variables.
fn meaning(resolver: &Resolver<'_>, decided: Decided) -> Expr {
    match decided {
        Decided::BuildTo(_) | Decided::Withdraw(_) => Expr::Const(true),
        Decided::Embodied(m, form) => is_in(m, form),
        Decided::NotEmbodied(m) => !is_in(m, None),
        Decided::Fits(position, candidate) => {
            let part = candidate.map(|index| resolver.history().model.positions[position].candidates[index].part);
            let same = |fitted: &Fitted| match (fitted, part) {
                (Fitted::Part(other, _), Some(part)) => *other == part,
                (Fitted::Nothing, None) => true,
                (Fitted::Part(..) | Fitted::Nothing | Fitted::Gap, _) => false,
            };
            let variants = resolver.variants(position).into_iter();
            Expr::any(variants.filter(|(fitted, _)| same(fitted)).map(|(_, when)| when))
        }
    }
}
