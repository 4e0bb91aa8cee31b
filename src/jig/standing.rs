//! What a mounted plate counts as: its record and its metal taken together.

use super::examine::Examiner;
use super::found::{PlateStanding, Rests};
use super::whole::set_ups;
use crate::ids::{JigId, PlateId};
use crate::jig::found::{Examined, Identity};
use crate::metrology::identify::FEWEST_HOLES;
use crate::model::{Model, Survey};
use rayon::prelude::*;

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

/// What the surveys prove of a mounted plate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proved {
    /// It was never surveyed.
    Never,
    /// It was made or reworked after its last survey (an index of the model's), or may have been.
    ChangedSince(usize),
    /// It was surveyed (an index of the model's surveys) and has not been changed since.
    Surveyed(usize),
}

/// What the surveys prove of a mounted plate (an index): a survey counts if it was certainly taken after the plate's last
/// rework: one of the same day may have come before it, and dates hold no time of day.
#[must_use]
pub fn proved(model: &Model, jig: JigId, mounted: usize) -> Proved {
    let plate = &model.jigs[jig].mounted[mounted];
    // A plate is not measured before it is made, but a survey of the day of a rework may be the one that asked for it.
    let before = |survey: &Survey| {
        plate.made.as_ref().is_some_and(|made| survey.date.first() < made.last())
            || plate.reworked.as_ref().is_some_and(|reworked| survey.date.first() <= reworked.last())
    };
    let of_plate = model.surveys.iter().enumerate().filter(|(_, s)| s.jig == jig && s.mounted == mounted);
    match of_plate.max_by_key(|(_, survey)| (survey.date.first(), survey.date.last())) {
        None => Proved::Never,
        Some((index, survey)) if before(survey) => Proved::ChangedSince(index),
        Some((index, _)) => Proved::Surveyed(index),
    }
}
