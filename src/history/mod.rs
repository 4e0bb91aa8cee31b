//! What is known of one airframe: which forms its serial allows, what its claims mean day by day, and the earliest day
//! on which each modification could be in.
//!
//! This room decides nothing. It turns the dossier of one airframe into constraints over *state variables*, one for
//! each form of each modification on a day: see [`form_var`].

mod changes;
mod meaning;
mod reach;
mod supposing;

pub use meaning::{Fact, Meaning};
pub use reach::{Reach, together};
pub use supposing::{Supposition, is_supposed, suppose, supposed_name};

use crate::graph::{DayRule, Graph};
use crate::ids::{AirframeId, ClaimId, Id, ModId};
use crate::model::{Airframe, Condition, LossId, Model};
use crate::prop::{Expr, Lit, Var};
use crate::quantity::{Day, Serial, Window};
use crate::schema::Form;

/// The state variable that says "this modification is in, by this form".
#[must_use]
pub fn form_var(id: ModId, form: Form) -> Var {
    let index = u32::try_from(id.index()).expect("there are fewer than 2^31 modifications");
    2 * index + u32::from(form == Form::Retrospective)
}

/// The modification and form of a state variable.
#[must_use]
pub fn of_form_var(var: Var) -> (ModId, Form) {
    let form = if var % 2 == 1 { Form::Retrospective } else { Form::Production };
    (ModId::from_index((var / 2) as usize), form)
}

/// From here on a state variable stands for what a loss leaves unknown; see [`unknown`].
const UNKNOWN: Var = 1 << 30;

/// What could be either way because this piece was not read. It may stand wherever an expression over state variables
/// does; what cannot be decided without it is not known.
#[must_use]
pub fn unknown(loss: LossId) -> Expr {
    Expr::var(UNKNOWN + loss.0)
}

/// The loss that a variable stands for, if it stands for one.
#[must_use]
pub fn of_unknown(var: Var) -> Option<LossId> {
    var.checked_sub(UNKNOWN).map(LossId)
}

/// "This modification is in", by any form or by the named one, over state variables.
#[must_use]
pub fn is_in(id: ModId, form: Option<Form>) -> Expr {
    match form {
        Some(form) => Expr::var(form_var(id, form)),
        None => Expr::any([Form::Production, Form::Retrospective].map(|form| Expr::var(form_var(id, form)))),
    }
}

/// A condition over state variables, for one serial.
#[must_use]
pub fn condition_expr(condition: &Condition, serial: &Serial) -> Expr {
    match condition {
        Condition::Post(m, form) => is_in(*m, *form),
        Condition::Pre(m) => !is_in(*m, None),
        Condition::Serials(set) => Expr::Const(set.contains(serial)),
        Condition::All(parts) => Expr::all(parts.iter().map(|part| condition_expr(part, serial))),
        Condition::Any(parts) => Expr::any(parts.iter().map(|part| condition_expr(part, serial))),
        Condition::Not(part) => !condition_expr(part, serial),
    }
}

/// An expression over state variables, rewritten variable by variable.
#[must_use]
pub fn rewrite(expr: &Expr, by: &impl Fn(Var) -> Expr) -> Expr {
    match expr {
        Expr::Const(value) => Expr::Const(*value),
        Expr::Lit(Lit { var, positive: true }) => by(*var),
        Expr::Lit(Lit { var, positive: false }) => !by(*var),
        Expr::All(parts) => Expr::all(parts.iter().map(|part| rewrite(part, by))),
        Expr::Any(parts) => Expr::any(parts.iter().map(|part| rewrite(part, by))),
    }
}

/// Whether a modification can be embodied retrospectively on this serial.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Afterwards {
    /// It has no retrospective form.
    NoForm,
    /// It has one, for other serials.
    NotEligible,
    /// It has one, from this day on.
    From(Day),
}

/// What the serial and the dates of leaflets say of one modification, before any claim.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Possible {
    /// Whether production embodiment covers the serial.
    pub covered: bool,
    /// Whether and from when it can be embodied afterwards.
    pub afterwards: Afterwards,
    /// The earliest day on which it can be in by the retrospective form, with everything that it requires; `None`: no
    /// day.
    pub earliest: Option<Day>,
}

/// One airframe, ready to be resolved.
#[derive(Debug)]
pub struct History<'m> {
    /// The model.
    pub model: &'m Model,
    /// Its graph.
    pub graph: &'m Graph,
    /// Which airframe.
    pub id: AirframeId,
    /// For each modification, what the serial allows.
    pub possible: Vec<Possible>,
    /// For each claim, what it means.
    pub meanings: Vec<Meaning>,
    /// The first and the last day on which it can have been built.
    pub built: (Day, Day),
    /// What of it is not known because something was not read.
    pub reach: Reach,
}

impl<'m> History<'m> {
    /// What is known of the airframe.
    #[must_use]
    pub fn new(model: &'m Model, graph: &'m Graph, id: AirframeId) -> History<'m> {
        let airframe = &model.airframes[id];
        let built = (airframe.built.first(), airframe.built.last());
        let mut possible: Vec<Possible> =
            model.mods.iter().map(|(_, _, m)| possible_before_requires(m, airframe, built.0)).collect();
        tighten(model, graph, &mut possible, built.0);
        let meanings = airframe.claims.iter().map(|(_, _, claim)| meaning::of_claim(model, graph, airframe, claim));
        let (meanings, reach) = (meanings.collect(), Reach::default());
        let mut history = History { model, graph, id, possible, meanings, built, reach };
        history.reach = Reach::of(&history);
        history
    }
    /// The airframe's dossier.
    #[must_use]
    pub fn airframe(&self) -> &'m Airframe {
        &self.model.airframes[self.id]
    }
    /// Whether it matters to these modifications and claims on which day of its window the airframe was built: something
    /// happens to them inside it.
    #[must_use]
    pub fn is_near_build(&self, mods: &[ModId], claims: &[ClaimId]) -> bool {
        let (first, last) = self.built;
        let inside = |(from, to): (Day, Day)| from <= last && first <= to.max(from);
        let of_claims = claims.iter().map(|claim| &self.meanings[claim.index()]).flat_map(|meaning| {
            let removal = meaning.lets_remove.map(|(_, from, to)| (from, to));
            meaning.facts.iter().map(Fact::days).chain(removal)
        });
        let of_leaflets = mods.iter().filter_map(|m| match self.possible[m.index()].afterwards {
            Afterwards::From(day) => Some(day),
            Afterwards::NoForm | Afterwards::NotEligible => None,
        });
        let of_groups = mods.iter().flat_map(|m| self.graph.day_rules_of(*m)).filter_map(|tie| {
            match self.graph.day_rules()[*tie].0 {
                DayRule::OneOf(group) => Some(self.model.one_ofs[group].introduced.last()),
                DayRule::Requires(..) | DayRule::Excludes(..) => None,
            }
        });
        of_claims.chain(of_leaflets.chain(of_groups).map(|day| (day, day))).any(inside)
    }
}

impl Window {
    /// The first day, or a day before all days.
    #[must_use]
    pub fn first(&self) -> Day {
        self.start.unwrap_or(Day::FIRST)
    }
    /// The last day, or a day after all days.
    #[must_use]
    pub fn last(&self) -> Day {
        self.end.unwrap_or(Day::LAST)
    }
}

fn possible_before_requires(m: &crate::model::Modification, airframe: &Airframe, built: Day) -> Possible {
    let covered = m.production.as_ref().is_some_and(|form| form.covers.contains(&airframe.serial));
    let afterwards = match &m.retrospective {
        None => Afterwards::NoForm,
        Some(form) if form.eligible.as_ref().is_some_and(|set| !set.contains(&airframe.serial)) => {
            Afterwards::NotEligible
        }
        Some(form) => Afterwards::From(form.leaflet_date.first()),
    };
    let earliest = match afterwards {
        Afterwards::From(day) => Some(day.max(built)),
        Afterwards::NoForm | Afterwards::NotEligible => None,
    };
    Possible { covered, afterwards, earliest }
}

/// Moves the earliest days up along requirements until none moves: what requires another cannot be in before the
/// earliest day on which something that meets the requirement can.
fn tighten(model: &Model, graph: &Graph, possible: &mut [Possible], built: Day) {
    let mut moved = true;
    while moved {
        moved = false;
        for (id, _, m) in model.mods.iter() {
            let Some(mut earliest) = possible[id.index()].earliest else { continue };
            let mut reachable = true;
            for (required, _) in &m.requires {
                let serving = graph.serving_for(*required).iter().filter_map(|&other| {
                    let other = possible[other.index()];
                    if other.covered { Some(built) } else { other.earliest }
                });
                match serving.min() {
                    Some(day) => earliest = earliest.max(day),
                    None => reachable = false,
                }
            }
            let tightened = reachable.then_some(earliest);
            if tightened != possible[id.index()].earliest {
                possible[id.index()].earliest = tightened;
                moved = true;
            }
        }
    }
}
