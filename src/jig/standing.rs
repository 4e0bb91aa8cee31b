//! What a mounted plate counts as: its record and its metal taken together.

use super::examine::{Examined, Examiner, HolesState, Identity};
use super::verdict::{Proved, proved};
use super::whole::set_ups;
use crate::ids::{JigId, PlateId};
use crate::metrology::identify::FEWEST_HOLES;
use crate::model::Model;
use rayon::prelude::*;

/// What a mounted plate counts as, and what that rests on.
#[derive(Clone, Debug)]
pub struct PlateStanding {
    /// The definition that it counts as; `None`: not known, or known to be none.
    pub is: Option<PlateId>,
    /// What that rests on.
    pub rests: Rests,
    /// What the survey says that counts: the last one, if the plate has certainly not been changed since.
    pub examined: Option<Examined>,
}

/// What the standing of a plate rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rests {
    /// Its record alone: it was never surveyed. Unproved.
    NotSurveyed,
    /// Its record alone: it was changed after its last survey (an index), or may have been. Unproved.
    ChangedSince(usize),
    /// Its record, and its holes agree.
    Agrees,
    /// Its holes alone: it has no record of what it was made to.
    Metal,
    /// Its holes, which say otherwise than its record.
    MetalAgainst,
    /// Its record: its holes were measured and do not tell.
    NotDistinguished,
    /// Its holes: it is the other hand of this definition, or mounted back to front.
    OtherHand(PlateId),
    /// Nothing: its holes are those of no definition, or of several that its record is not among.
    Unlike,
}

impl PlateStanding {
    /// The standing of a mounted plate from its record and from what the survey that counts says.
    #[must_use]
    pub fn of(model: &Model, record: Option<PlateId>, proved: Proved, examined: Option<Examined>) -> PlateStanding {
        let Some(examined) = examined else {
            let rests = match proved {
                Proved::ChangedSince(survey) => Rests::ChangedSince(survey),
                Proved::Never | Proved::Surveyed(_) => Rests::NotSurveyed,
            };
            return PlateStanding { is: record, rests, examined: None };
        };
        let too_few = record.is_some_and(|record| model.plates[record].holes.len() < FEWEST_HOLES);
        let (is, rests) = match (&examined.identity, record) {
            (Identity::One(plate), None) => (Some(*plate), Rests::Metal),
            (Identity::One(plate), Some(record)) if *plate == record => (Some(*plate), Rests::Agrees),
            (Identity::One(plate), Some(_)) => (Some(*plate), Rests::MetalAgainst),
            (Identity::OtherHand(plate), _) => (None, Rests::OtherHand(*plate)),
            (Identity::Several(plates), Some(record)) if plates.contains(&record) => {
                (Some(record), Rests::NotDistinguished)
            }
            (Identity::TooFew, Some(record)) => (Some(record), Rests::NotDistinguished),
            // A definition without holes enough can be matched by nothing.
            (Identity::NoPlate(_), Some(record)) if too_few => (Some(record), Rests::NotDistinguished),
            (Identity::Several(_) | Identity::Mixed(_) | Identity::NoPlate(_) | Identity::TooFew, _) => {
                (None, Rests::Unlike)
            }
        };
        PlateStanding { is, rests, examined: Some(examined) }
    }
    /// Whether the plate is proved by a survey that counts.
    #[must_use]
    pub fn is_surveyed(&self) -> bool {
        self.examined.is_some()
    }
    /// Its holes taken together; `None` without a survey that counts.
    #[must_use]
    pub fn state(&self) -> Option<HolesState> {
        self.examined.as_ref().and_then(Examined::state)
    }
}

/// The standing of every plate on a jig, in the order of its list. What the plates of one set-up show together is
/// [`Examined::set_up`].
#[must_use]
pub fn standings(definitions: &Examiner<'_>, model: &Model, jig: JigId) -> Vec<PlateStanding> {
    definitions.standings_of(jig, || {
        let mounted = model.jigs[jig].mounted.par_iter().enumerate();
        let of = mounted.map(|(index, plate)| {
            let proved = proved(model, jig, index);
            let examined = match proved {
                Proved::Surveyed(survey) => Some(definitions.examine(survey)),
                Proved::Never | Proved::ChangedSince(_) => None,
            };
            PlateStanding::of(model, plate.made_to, proved, examined)
        });
        let mut all: Vec<PlateStanding> = of.collect();
        set_ups(model, &mut all);
        all
    })
}
