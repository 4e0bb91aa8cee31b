//! Reclaimed parts, judged by the airframe that they came from.

use crate::graph::Graph;
use crate::ids::{AirframeId, PartId, PositionId};
use crate::model::{Airframe, MadePart, Marks, Model, Reclaimed};
use crate::prop::Expr;
use crate::quantity::Day;
use crate::resolve::{Basis, Fitted, IssueView, Limits, PossibleIssue, Resolver, Target, Truth};
use std::collections::BTreeMap;

/// What the donor's own records say of a reclaimed part.
#[derive(Clone, Debug, PartialEq)]
pub enum Donor {
    /// It had this part there, with the issues that may apply; one if that is settled.
    Had(Vec<PossibleIssue>),
    /// It had another one, or none.
    HadNot,
    /// It is open whether it had this part there.
    Open,
    /// Its records contradict each other, or a limit was met.
    NotDecided,
    /// It has no dossier, or was not built by the day that it was taken.
    NotKnown,
}

/// What the donor's records say, on a basis. The donor's state is taken at the day that the record names, or at the last
/// day that its dossier knows of.
#[must_use]
pub fn donor(model: &Model, graph: &Graph, made: &MadePart, from: &Reclaimed, basis: Basis, limits: Limits) -> Donor {
    let Some(airframe) = from.airframe else { return Donor::NotKnown };
    let Some((mut resolver, when)) = ready(model, graph, made.part, airframe, from, limits) else {
        return Donor::NotKnown;
    };
    match resolver.truth(&when, basis) {
        Truth::Never => Donor::HadNot,
        Truth::Open => Donor::Open,
        Truth::NoHistory | Truth::Undecided(_) => Donor::NotDecided,
        Truth::Always => match resolver.issues(made.part, &when, IssueView::AsFitted, basis) {
            Ok(issues) => Donor::Had(issues),
            Err(_) => Donor::NotDecided,
        },
    }
}

/// The donor ready to answer, with when it has the part where it was taken from; `None` before it was built.
pub(crate) fn ready<'m>(
    model: &'m Model,
    graph: &'m Graph,
    part: PartId,
    airframe: AirframeId,
    from: &Reclaimed,
    limits: Limits,
) -> Option<(Resolver<'m>, Expr)> {
    let day = from.taken.unwrap_or_else(|| last_known(&model.airframes[airframe]));
    let target = Target { day, build_state: None };
    let resolver = Resolver::new(model, graph, airframe, target, limits).ok()?;
    let when = match from.position {
        None => resolver.fitted(part),
        Some(position) => {
            let here = resolver.variants(position).into_iter();
            let here = here.filter(|(fitted, _)| matches!(fitted, Fitted::Part(other, _) if *other == part));
            let around = resolver.fitted(model.positions[position].assembly);
            Expr::all([around, Expr::any(here.map(|(_, when)| when))])
        }
    };
    Some((resolver, when))
}

/// What was not read and bears on what the donor's records say.
pub(super) fn not_read(model: &Model, graph: &Graph, part: PartId, from: &Reclaimed, limits: Limits) -> Marks {
    let losses = &model.losses;
    let Some(airframe) = from.airframe else { return losses.may_name(&["Airframe"], &from.serial) };
    let mut marks = losses.of_dossier(airframe, &["Airframe"]);
    if from.taken.is_none() {
        marks.extend(losses.of_dossier(airframe, &["Claim", "BuildState"]));
    }
    if let Some((resolver, when)) = ready(model, graph, part, airframe, from, limits) {
        let history = resolver.history();
        marks.extend(history.not_read_of_fitting(part));
        marks.extend(history.not_read_of_issue(part, &when));
        marks.extend(from.position.iter().flat_map(|position| history.not_read_at(*position)));
    }
    marks
}

/// The last day that a dossier knows of.
fn last_known(airframe: &Airframe) -> Day {
    let built = airframe.built.end.into_iter();
    let claimed = airframe.claims.iter().filter_map(|(_, _, claim)| claim.when.end);
    let named = airframe.build_states.iter().map(|(_, _, state)| state.date);
    built.chain(claimed).chain(named).max().unwrap_or(Day::FIRST)
}

/// More pieces said to come from one airframe than the parts lists have room for there, whatever its state.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Crowded {
    /// The made parts (indices), in the order of their records.
    pub made: Vec<usize>,
    /// How many pieces they are together.
    pub pieces: u64,
    /// For how many there is room.
    pub room: u64,
}

/// Every part, and every position that a part was taken from, of which one airframe would have had to give more pieces
/// than it has room for. Nothing is said while an assembly contains itself.
#[must_use]
pub fn crowded(model: &Model, graph: &Graph) -> Vec<Crowded> {
    let mut taken: BTreeMap<(&str, PartId, Option<PositionId>), Vec<usize>> = BTreeMap::new();
    for (index, made) in model.made_parts.iter().enumerate() {
        if let Some(from) = &made.reclaimed {
            taken.entry((&from.serial, made.part, None)).or_default().push(index);
            if from.position.is_some() {
                taken.entry((&from.serial, made.part, from.position)).or_default().push(index);
            }
        }
    }
    let Some(times) = (!taken.is_empty()).then(|| times_at_most(model, graph)).flatten() else { return Vec::new() };
    let mut found = Vec::new();
    for ((_, part, position), made) in taken {
        let on = |part: PartId| times.get(&part).copied().unwrap_or(0);
        let room = match position {
            None => on(part),
            Some(position) => {
                let position = &model.positions[position];
                let here = position.candidates.iter().filter(|candidate| candidate.part == part);
                let most = here.map(|candidate| u64::from(candidate.quantity)).max().unwrap_or(0);
                on(position.assembly).saturating_mul(most)
            }
        };
        let pieces = made.iter().map(|index| u64::from(model.made_parts[*index].quantity)).sum();
        if pieces > room && room > 0 {
            found.push(Crowded { made, pieces, room });
        }
    }
    // What is too much at a position is reported there, not again for the airframe.
    let mut reported: Vec<Crowded> = Vec::new();
    found.sort_by_key(|crowd| crowd.made.len());
    for crowd in found {
        if !reported.iter().any(|other| other.made.iter().any(|made| crowd.made.contains(made))) {
            reported.push(crowd);
        }
    }
    reported.sort_by_key(|crowd| crowd.made.first().copied());
    reported
}

/// How many times each part is on an airframe at most, whatever its state; `None` if a part contains itself.
fn times_at_most(model: &Model, graph: &Graph) -> Option<BTreeMap<PartId, u64>> {
    let mut times: BTreeMap<PartId, u64> = BTreeMap::new();
    times.insert(model.type_of.as_ref()?.airframe, 1);
    let mut at: BTreeMap<PartId, Vec<PositionId>> = BTreeMap::new();
    for (id, _, position) in model.positions.iter() {
        at.entry(position.assembly).or_default().push(id);
    }
    for assembly in graph.explosion_order()? {
        let Some(around) = times.get(assembly).copied() else { continue };
        for &position in at.get(assembly).into_iter().flatten() {
            let mut most: BTreeMap<PartId, u64> = BTreeMap::new();
            for candidate in &model.positions[position].candidates {
                let here = most.entry(candidate.part).or_default();
                *here = around.saturating_mul(u64::from(candidate.quantity)).max(*here);
            }
            for (part, here) in most {
                let sum = times.entry(part).or_default();
                *sum = sum.saturating_add(here);
            }
        }
    }
    Some(times)
}
