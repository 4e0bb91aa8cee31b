//! What a survey says of the plate that it measured: which definition its holes are, how far each lies off, what kind
//! of error that is, and the best fit beside it.
//!
//! The order of judgement: which plate it is, by telling holes alone; then each hole of that definition on the jig's
//! own datums; then the kind of error; then the best fit, second, because a best fit can hide a wrong datum. Plates
//! are plane patterns: readings with a third coordinate are laid level first, and what lies out of the plane is reported. A correction to 20 degrees is made where
//! temperature and coefficient are given, and shrinks lengths only: the instrument is taken to read true lengths.

mod heights;
mod judging;
mod pairing;

use self::heights::{LevelledSurvey, level_of};
use self::judging::Judging;
use super::found::{DatumBasis, Examined, Identity, longest, nominal};
use super::slip::slips;
use crate::ids::{JigId, PlateId};
use crate::jig::found::PlateStanding;
use crate::metrology::identify::{
    Comparison, FEWEST_HOLES, Identification, MatchVerdict, MeasuredFace, PatternHand, Placement, PlateHole,
    PlateMatch, PlatePatterns, UnnamedHoles,
};
use crate::metrology::point::Point3;
use crate::metrology::position::{at_reference_temperature, expansion_mismatch};
use crate::model::{Model, Plate, Survey};
use crate::quantity::Length;
use crate::schema::{Axes, Face};
use std::sync::OnceLock;

/// The plate definitions, ready to be compared with surveys; the work for that is done when the first survey comes.
#[derive(Debug)]
pub struct Examiner<'m> {
    model: &'m Model,
    /// The definitions of the catalogue by its index.
    plates: Vec<PlateId>,
    catalogue: OnceLock<PlatePatterns>,
    /// What each survey says, once it was asked.
    examined: Vec<OnceLock<Examined>>,
    /// The standings of the plates of each jig, once they were asked.
    standings: Vec<(JigId, OnceLock<Vec<PlateStanding>>)>,
}

impl<'m> Examiner<'m> {
    /// Takes all definitions that have holes enough to be identified by.
    #[must_use]
    pub fn new(model: &'m Model) -> Self {
        let plates: Vec<PlateId> =
            model.plates.ids().filter(|plate| model.plates[*plate].holes.len() >= FEWEST_HOLES).collect();
        let examined = model.surveys.iter().map(|_| OnceLock::new()).collect();
        let standings = model.jigs.ids().map(|jig| (jig, OnceLock::new())).collect();
        Examiner { model, plates, catalogue: OnceLock::new(), examined, standings }
    }

    fn catalogue(&self) -> &PlatePatterns {
        let pattern = |plate: &PlateId| pattern(&self.model.plates[*plate]);
        self.catalogue.get_or_init(|| PlatePatterns::new(self.plates.iter().map(pattern).collect()))
    }

    /// The definition behind a plate index of an identification.
    #[must_use]
    pub fn plate(&self, index: usize) -> PlateId {
        self.plates[index]
    }

    /// The holes that tell an identified plate from another definition: its hole with the measured one (indices). By
    /// how the readings fit where the other came near at all; else as both are drawn in the jig's axes.
    #[must_use]
    pub fn tells(&self, examined: &Examined, other: PlateId) -> Vec<(usize, usize)> {
        let found = &examined.identification;
        let (Identity::One(is) | Identity::OtherHand(is)) = examined.identity else { return Vec::new() };
        let Some(candidate) = self.candidate(found, is) else { return Vec::new() };
        let leads = found.leader.as_ref().is_some_and(|leader| leader.plate == candidate.plate);
        if let Some(rival) = found.ruled_out.iter().find(|rival| leads && self.plates[rival.rival.plate] == other) {
            return rival.for_leader.iter().map(|m| (m.hole, m.measured)).collect();
        }
        let is = &self.model.plates[is];
        let uncertainty = self.model.surveys[examined.survey].uncertainty.mm();
        let slack = if examined.loose { uncertainty + self.model.survey_limits.loose_mm } else { uncertainty };
        let apart = |hole: usize| {
            self.model.plates[other].holes.iter().all(|theirs| {
                let reach = f64::midpoint(is.holes[hole].tolerance.mm(), theirs.tolerance.mm()) + 2.0 * slack;
                (nominal(&is.holes[hole]) - nominal(theirs)).norm() > reach
            })
        };
        candidate.matches.iter().filter(|m| apart(m.hole)).map(|m| (m.hole, m.measured)).collect()
    }

    /// What a survey (an index) says, the other plates of its jig left aside.
    #[must_use]
    pub fn examine(&self, index: usize) -> Examined {
        self.examined[index].get_or_init(|| self.examine_now(index)).clone()
    }

    /// The standings of a jig's plates, reckoned by `all` when they are asked for the first time.
    pub(super) fn standings_of(&self, jig: JigId, all: impl FnOnce() -> Vec<PlateStanding>) -> Vec<PlateStanding> {
        match self.standings.iter().find(|(other, _)| *other == jig) {
            Some((_, known)) => known.get_or_init(all).clone(),
            None => all(),
        }
    }

    fn examine_now(&self, index: usize) -> Examined {
        let survey = &self.model.surveys[index];
        let jig = &self.model.jigs[survey.jig];
        let record = jig.mounted[survey.mounted].made_to;
        let (level, corrected) = places(survey, record.map(|plate| &self.model.plates[plate]), jig.expansion);
        let LevelledSurvey { places, heights, face_known } = level;
        let reading = UnnamedHoles {
            holes: places,
            face: if face_known { MeasuredFace::Marked } else { face(survey) },
            placement: if survey.axes == Axes::Jig { Placement::JigAxes } else { Placement::Free },
            uncertainty: survey.uncertainty.mm(),
        };
        let (identification, loose) = self.identify(&reading, survey, record);
        let station = &jig.stations[jig.mounted[survey.mounted].station];
        let identity = self.identity(&identification, &reading, station);
        let against = match &identity {
            Identity::One(plate) | Identity::OtherHand(plate) => Some(*plate),
            Identity::Several(_) | Identity::Mixed(_) | Identity::NoPlate(_) | Identity::TooFew => record,
        };
        let mut examined = Examined {
            survey: index,
            record,
            identity,
            loose,
            identification,
            against,
            holes: Vec::new(),
            strange: Vec::new(),
            renamed: Vec::new(),
            basis: DatumBasis::BestFit,
            diagnosis: None,
            order: Vec::new(),
            wanted: Vec::new(),
            mirrored: false,
            members: (Vec::new(), Vec::new()),
            best_fit: None,
            corrected,
            heights,
            set_up: None,
            slips: Vec::new(),
            mismatch: Vec::new(),
        };
        if let Some(plate) = against {
            let candidate = self.candidate(&examined.identification, plate).cloned();
            let definition = &self.model.plates[plate];
            let mut judging = Judging {
                survey,
                plate: definition,
                reading: &reading,
                doubted: &[],
                expansion: jig.expansion,
                limits: &self.model.survey_limits,
            };
            judging.judge(candidate.as_ref(), &mut examined);
            examined.slips = slips(self.model, &examined, &reading.holes);
            let doubted: Vec<usize> = examined.slips.iter().flat_map(|slip| slip.rows.iter().copied()).collect();
            if examined.holes.iter().any(|hole| hole.is_datum && hole.measured.is_some_and(|m| doubted.contains(&m))) {
                judging.doubted = &doubted;
                judging.judge(candidate.as_ref(), &mut examined);
            }
            for hole in &mut examined.holes {
                hole.in_doubt = hole.measured.is_some_and(|measured| {
                    examined
                        .slips
                        .iter()
                        .any(|slip| slip.doubts_all() || (slip.in_doubt && slip.rows.contains(&measured)))
                });
            }
            examined.mismatch = self.mismatch(survey, plate);
        }
        examined
    }

    /// Within zones first, over the whole catalogue; where nothing matches, loosely over what the plate may be.
    fn identify(&self, reading: &UnnamedHoles, survey: &Survey, record: Option<PlateId>) -> (Identification, bool) {
        let strict = self.catalogue().identify(reading);
        if strict.verdict != MatchVerdict::None || reading.holes.len() < FEWEST_HOLES {
            return (strict, false);
        }
        let jig = &self.model.jigs[survey.jig];
        let station = &jig.stations[jig.mounted[survey.mounted].station];
        let may_be: Vec<usize> = (0..self.plates.len())
            .filter(|at| {
                self.model.plates[self.plates[*at]].jig_station == *station || Some(self.plates[*at]) == record
            })
            .collect();
        let few = PlatePatterns::new(may_be.iter().map(|at| pattern(&self.model.plates[self.plates[*at]])).collect());
        let loose =
            UnnamedHoles { uncertainty: reading.uncertainty + self.model.survey_limits.loose_mm, ..reading.clone() };
        let mut found = few.identify(&loose);
        if found.verdict == MatchVerdict::None {
            return (strict, false);
        }
        let rename = |candidate: &mut PlateMatch| candidate.plate = may_be[candidate.plate];
        found.leader.iter_mut().for_each(rename);
        let rivals = found.equals.iter_mut().chain(&mut found.ruled_out).chain(&mut found.mixed_with);
        rivals.for_each(|comparison| rename(&mut comparison.rival));
        (found, true)
    }

    /// The placement on this plate, if it leads or matches as well as the leader.
    fn candidate<'f>(&self, found: &'f Identification, plate: PlateId) -> Option<&'f PlateMatch> {
        let equals = found.equals.iter().map(|comparison| &comparison.rival);
        found.leader.iter().chain(equals).find(|candidate| self.plates[candidate.plate] == plate)
    }

    fn identity(&self, found: &Identification, reading: &UnnamedHoles, station: &str) -> Identity {
        if reading.holes.len() < FEWEST_HOLES {
            return Identity::TooFew;
        }
        let leader = found.leader.as_ref().map(|leader| self.plates[leader.plate]);
        let with = |rivals: &[Comparison]| {
            let mut all: Vec<PlateId> = leader.into_iter().collect();
            for rival in rivals.iter().map(|comparison| self.plates[comparison.rival.plate]) {
                if !all.contains(&rival) {
                    all.push(rival);
                }
            }
            all
        };
        let one = |plate: PlateId, is_mirrored: bool| {
            if is_mirrored { Identity::OtherHand(plate) } else { Identity::One(plate) }
        };
        match (found.verdict, leader) {
            (MatchVerdict::One, Some(leader)) => one(leader, found.hand == PatternHand::Mirrored),
            (MatchVerdict::Several, Some(_)) => {
                let all = with(&found.equals);
                let here: Vec<PlateId> =
                    all.iter().copied().filter(|plate| self.model.plates[*plate].jig_station == station).collect();
                match here[..] {
                    [plate] => {
                        let is_mirrored = self.candidate(found, plate).is_some_and(|candidate| candidate.mirrored);
                        let face_is_known = reading.face != MeasuredFace::Unknown;
                        one(plate, is_mirrored && face_is_known && found.hand != PatternHand::Same)
                    }
                    _ => Identity::Several(all),
                }
            }
            (MatchVerdict::Mixed, Some(_)) => Identity::Mixed(with(&found.mixed_with)),
            (MatchVerdict::One | MatchVerdict::Several | MatchVerdict::Mixed, None) | (MatchVerdict::None, _) => {
                Identity::NoPlate(leader)
            }
        }
    }

    fn mismatch(&self, survey: &Survey, plate: PlateId) -> Vec<(usize, f64)> {
        let plate = &self.model.plates[plate];
        let (Some(jig), Some(temperature)) = (self.model.jigs[survey.jig].expansion, survey.temperature) else {
            return Vec::new();
        };
        let longest = longest(plate);
        let parts = plate.locates.iter().enumerate();
        let known = parts.filter_map(|(index, part)| Some((index, self.model.parts[*part].expansion?)));
        known.map(|(index, part)| (index, expansion_mismatch(longest, temperature, jig, part))).collect()
    }
}

fn pattern(plate: &Plate) -> Vec<PlateHole> {
    plate.holes.iter().map(|hole| PlateHole { at: nominal(hole), zone: hole.tolerance.mm() }).collect()
}

/// In the jig's axes a reading is as the definitions are drawn, from whichever face it was taken.
fn face(survey: &Survey) -> MeasuredFace {
    match (survey.axes, survey.face) {
        (Axes::Jig, _) | (_, Some(Face::Marked)) => MeasuredFace::Marked,
        (Axes::Instrument, Some(Face::Back)) => MeasuredFace::Back,
        (Axes::Instrument, None) => MeasuredFace::Unknown,
    }
}

/// The measured places in millimetres, at 20 degrees where that can be reckoned, and level; and whether it could.
fn places(survey: &Survey, record: Option<&Plate>, expansion: Option<f64>) -> (LevelledSurvey, bool) {
    let place = |at: &[Length; 3]| Point3::new(at[0].mm(), at[1].mm(), at[2].mm());
    let mut places: Vec<Point3> = survey.holes.iter().map(|hole| place(&hole.at)).collect();
    let corrected = survey.temperature.zip(expansion);
    if let Some((temperature, coefficient)) = corrected {
        places = at_reference_temperature(&places, Point3::default(), temperature, coefficient);
    }
    (level_of(survey, record, &places), corrected.is_some())
}
