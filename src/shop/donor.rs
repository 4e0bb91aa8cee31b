//! A reclaimed part, judged by the airframe that it came from.

use crate::graph::Graph;
use crate::ids::{AirframeId, PartId};
use crate::model::{Airframe, Day, MadePart, Model, Reclaimed};
use crate::prop::Expr;
use crate::resolve::{Basis, Fitted, IssueView, Limits, PossibleIssue, Resolver, Target, Truth};

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
pub fn donor(
    model: &Model,
    graph: &Graph,
    made: &MadePart,
    from: &Reclaimed,
    (basis, limits): (Basis, Limits),
) -> Donor {
    let Some(airframe) = from.airframe else { return Donor::NotKnown };
    let Some((mut resolver, when)) = ready(model, graph, made.part, (airframe, from), limits) else {
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
    (airframe, from): (AirframeId, &Reclaimed),
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

/// The last day that a dossier knows of.
fn last_known(airframe: &Airframe) -> Day {
    let built = airframe.built.end.into_iter();
    let claimed = airframe.claims.iter().filter_map(|(_, _, claim)| claim.when.end);
    let named = airframe.build_states.iter().map(|(_, _, state)| state.date);
    built.chain(claimed).chain(named).max().unwrap_or(Day::FIRST)
}
