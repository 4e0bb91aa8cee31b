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
use super::slip::{Slip, slips};
use super::standing::PlateStanding;
use super::whole::SetUp;
use crate::ids::{JigId, PlateId};
use crate::metrology::error_kind::Diagnosis;
use crate::metrology::fit::Fit;
use crate::metrology::identify::{
    Comparison, FEWEST_HOLES, Identification, MatchVerdict, MeasuredFace, PatternHand, Placement, PlateHole,
    PlateMatch, PlatePatterns, UnnamedHoles,
};
use crate::metrology::point::Point3;
use crate::metrology::position::{
    Judgement, LimitVerdict, at_reference_temperature, deciding_uncertainty, expansion_mismatch,
};
use crate::model::{Hole, Model, Plate, Survey};
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

/// Which definition the measured holes are.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Identity {
    /// This one.
    One(PlateId),
    /// This one, with its hand swapped or mounted back to front.
    OtherHand(PlateId),
    /// These match equally: no telling hole was measured. The best first. Where one of them is for the station on which
    /// the plate stands and the others are for other stations, it is that one: the same metal serves there.
    Several(Vec<PlateId>),
    /// Telling holes speak for each of these, the best first: drilled to more than one, or altered.
    Mixed(Vec<PlateId>),
    /// None; the nearest, where one is near at all.
    NoPlate(Option<PlateId>),
    /// Too few holes were measured to tell.
    TooFew,
}

/// What deviations are taken on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DatumBasis {
    /// The jig's datum axes, on which the instrument was set.
    JigAxes,
    /// So many measured datum holes of the plate.
    Holes(usize),
    /// The best fit of all holes, because fewer than two datum holes were measured: an error of the whole plate
    /// against its datums cannot show.
    BestFit,
}

/// A hole of the definition, measured or not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoleFound {
    /// The hole of the definition (an index).
    pub hole: usize,
    /// The measured hole (an index); `None`: it was not measured.
    pub measured: Option<usize>,
    /// Found less wanted on the datums, in millimetres.
    pub off: Point3,
    /// Its judgement, if it was measured and can be judged.
    pub judged: Option<Judgement>,
    /// Whether deviations are taken on it.
    pub is_datum: bool,
    /// What is left of its deviation after the best fit, in millimetres.
    pub left: Option<Point3>,
    /// Whether a slip of measuring or writing would explain its figures: then nothing is proved by them.
    pub in_doubt: bool,
}

impl HoleFound {
    /// Position and size together, where the figures are not in doubt; `None` if it was not measured or cannot be judged.
    #[must_use]
    pub fn verdict(&self) -> Option<LimitVerdict> {
        let read = self.as_read()?;
        Some(if self.in_doubt { LimitVerdict::NotDecidable } else { read })
    }
    /// The same if its figures are right.
    #[must_use]
    pub fn as_read(&self) -> Option<LimitVerdict> {
        let judged = self.judged?;
        let size = judged.size.unwrap_or(LimitVerdict::Pass);
        Some(match (judged.position, size) {
            (LimitVerdict::Fail, _) | (_, LimitVerdict::Fail) => LimitVerdict::Fail,
            (LimitVerdict::NotDecidable, _) | (_, LimitVerdict::NotDecidable) => LimitVerdict::NotDecidable,
            (LimitVerdict::Pass, LimitVerdict::Pass) => LimitVerdict::Pass,
        })
    }
}

/// The holes of a plate taken together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum HolesState {
    /// Every hole was measured and is proved within.
    Within,
    /// Some hole is too near its limit for the instrument, or was not measured; none is proved out.
    NotDecided,
    /// Some hole is proved out.
    Out,
}

/// What a survey says.
#[derive(Clone, Debug)]
pub struct Examined {
    /// The survey (an index of the model's).
    pub survey: usize,
    /// The definition that the plate's record says it was made to.
    pub record: Option<PlateId>,
    /// The definition that the holes are.
    pub identity: Identity,
    /// Whether the identity was found with the loose reach of [`crate::quantity::SurveyLimits`], no plate matching within zones.
    pub loose: bool,
    /// How the identity was found; plates are indices of [`Examiner::plate`].
    pub identification: Identification,
    /// The definition against which the holes are judged: the identified one, else that of the record.
    pub against: Option<PlateId>,
    /// Every hole of that definition, in its order.
    pub holes: Vec<HoleFound>,
    /// Measured holes (indices) that are none of the definition's.
    pub strange: Vec<usize>,
    /// Measured holes (indices) that lie on another hole of the definition (an index) than their name says.
    pub renamed: Vec<(usize, usize)>,
    /// What the deviations are taken on.
    pub basis: DatumBasis,
    /// What kind of error it is; its holes are indices of `order`, its members those of the definition.
    pub diagnosis: Option<Diagnosis>,
    /// The holes of the diagnosis as holes of the definition (indices).
    pub order: Vec<usize>,
    /// Their nominal places, in that order.
    pub wanted: Vec<Point3>,
    /// Whether the readings were mirrored to be judged.
    pub mirrored: bool,
    /// The members of the definition (indices) that the diagnosis calls members, and those that it calls rows.
    pub members: (Vec<usize>, Vec<usize>),
    /// The best fit of the measured holes to the definition, bad ones left out: the motion from where they lie on the
    /// datums, and how many holes it rests on.
    pub best_fit: Option<(Fit, usize)>,
    /// Whether lengths were corrected to 20 degrees.
    pub corrected: bool,
    /// By measured hole: how far it lies off the height at which the drawing has it, from the plane of the others, in
    /// millimetres; `None`: heights were not measured, or too few.
    pub heights: Option<Vec<f64>>,
    /// The plates that were measured on the jig's axes in one set-up with this one, taken together.
    pub set_up: Option<SetUp>,
    /// Slips of measuring and writing that would explain the readings, and cost nothing to look for.
    pub slips: Vec<Slip>,
    /// How much longer than the plate's pattern a part comes out that is made on it at the survey's temperature, by
    /// located part (an index of the definition's list), over the longest distance between holes, in millimetres.
    pub mismatch: Vec<(usize, f64)>,
}

impl Examined {
    /// The holes taken together; `None` where they were judged against no definition.
    #[must_use]
    pub fn state(&self) -> Option<HolesState> {
        self.against?;
        if self.slips.iter().any(|slip| slip.of_all) {
            return Some(HolesState::NotDecided);
        }
        let of = |hole: &HoleFound| match hole.verdict() {
            Some(LimitVerdict::Pass) => HolesState::Within,
            Some(LimitVerdict::Fail) => HolesState::Out,
            Some(LimitVerdict::NotDecidable) | None => HolesState::NotDecided,
        };
        Some(self.holes.iter().map(of).max().unwrap_or(HolesState::NotDecided))
    }
    /// The uncertainty of one coordinate (k = 2, millimetres) that would decide the last of these holes (indices of the
    /// definition's), from the survey's: a guard band shrinks with it. `None` where none was judged.
    #[must_use]
    pub fn deciding_uncertainty(&self, holes: &[usize], uncertainty: f64) -> Option<f64> {
        let of = |hole: &usize| {
            let judged = self.holes[*hole].judged?;
            let undecided = judged.position == LimitVerdict::NotDecidable && !judged.mating_size_tells;
            undecided.then(|| deciding_uncertainty(judged.deviation, judged.allowed, uncertainty, judged.guard))
        };
        holes.iter().filter_map(of).min_by(f64::total_cmp)
    }
    /// The holes of the definition (indices) with this verdict; `None`: not measured or not to be judged.
    pub fn with(&self, verdict: Option<LimitVerdict>) -> impl Iterator<Item = usize> {
        self.holes.iter().filter(move |hole| hole.verdict() == verdict).map(|hole| hole.hole)
    }
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

/// The nominal place of a hole in the plane, in millimetres.
pub(super) fn nominal(hole: &Hole) -> Point3 {
    Point3::new(hole.at[0].mm(), hole.at[1].mm(), 0.0)
}

/// The longest distance between two holes of a definition, in millimetres.
pub(super) fn longest(plate: &Plate) -> f64 {
    let places: Vec<Point3> = plate.holes.iter().map(nominal).collect();
    places.iter().flat_map(|a| places.iter().map(|b| (*a - *b).norm())).fold(0.0, f64::max)
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
