//! One survey of a plate: which plate it is, how far each hole lies off, what kind of error that is, and what to do.

mod text;

pub use text::survey_page;

use super::advice::{AdviceLine, advice_lines, outdated_line, sentences};
use super::figures::{classes_words, limits_words};
use crate::jig::advice::Action;
use crate::jig::examine::Examiner;
use crate::jig::found::{DatumBasis, Examined, HolesState, Identity};
use crate::jig::{
    Proved, not_read_of_patterns, not_read_of_plate_record, not_read_of_stand, not_read_of_surveys, proved, standings,
};
use crate::metrology::error_kind::{ErrorKind, ErrorVerdict, PitchLaw, Remedy, ScatterSource, Size, SurveyError};
use crate::metrology::identify::{Comparison, Mounting, PatternHand};
use crate::metrology::point::Point3;
use crate::metrology::position::LimitVerdict;
use crate::model::{Marks, Model, Plate};
use crate::schema::{Axes, Face};
use crate::words::survey::{Unit, error_words, identity_words, turn_words};
use serde::Serialize;

/// One survey of a plate. Lengths are in millimetres to 0.0001; the text gives them in the definition's unit too.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SurveyReport {
    /// The survey.
    pub survey: String,
    /// The jig.
    pub jig: String,
    /// The station on which the plate stands.
    pub station: String,
    /// The mark of the plate.
    pub mark: String,
    /// When it was measured, as written.
    pub date: String,
    /// With what.
    pub instrument: String,
    /// The uncertainty of one coordinate (expanded, k = 2), as written.
    pub uncertainty: String,
    /// Degrees Celsius, where it was noted.
    pub temperature_c: Option<f64>,
    /// Whether lengths were corrected to 20 degrees; `null` if not known.
    pub corrected_to_20: Option<bool>,
    /// The face from which it was measured, where that is known.
    #[serde(serialize_with = "crate::layout::json::lower_case")]
    pub face: Option<Face>,
    /// What the axes are.
    #[serde(serialize_with = "crate::layout::json::lower_case")]
    pub axes: Axes,
    /// The unit of the definition: `in` (small lengths in thou) or `mm`.
    pub unit: &'static str,
    /// Whether it counts.
    pub counts: SurveyValidity,
    /// The survey that counts in its place.
    pub superseded_by: Option<String>,
    /// The definition that the plate's record says it was made to.
    pub record: Option<String>,
    /// Which definition the holes are.
    pub identity: SurveyIdentity,
    /// The definition against which the holes are judged.
    pub against: Option<String>,
    /// Its holes taken together.
    pub state: Option<HolesWord>,
    /// What deviations are taken on.
    pub datums: DatumsWord,
    /// The holes of the definition in its order.
    pub holes: Vec<SurveyHole>,
    /// Measured holes that are none of the definition's: their names, or `#3` for the third of the list.
    pub strange: Vec<String>,
    /// The errors found.
    pub errors: Vec<ErrorLine>,
    /// Errors that may be there, with what could be there instead; the survey does not decide.
    pub suspects: Vec<ErrorLine>,
    /// The scatter that is left, of one coordinate (standard); nothing without a diagnosis.
    pub scatter: Option<ScatterLine>,
    /// The best fit, to be read second: it can hide a wrong datum.
    pub best_fit: Option<BestFit>,
    /// How much longer than the pattern a part comes out that is made on the plate at the survey's temperature.
    pub part_growth: Vec<PartGrowth>,
    /// What to do, in order; empty: nothing.
    pub remedies: Vec<String>,
    /// The same for other programs; what costs nothing first. Empty only where something was not read.
    pub advice: Vec<AdviceLine>,
    /// Whether a slip of measuring or writing would explain what is read.
    pub figures_in_doubt: bool,
    /// Where the figures come from that the report takes from the tables of the shop, a sentence each.
    pub figures: Vec<String>,
    /// What was not read and bears on what it proves; then nothing is said of that.
    #[serde(skip)]
    pub not_read: Marks,
}

/// Whether a survey counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SurveyValidity {
    /// It counts.
    Yes,
    /// The plate was changed after it, or may have been.
    ChangedSince,
    /// Another is later.
    Superseded,
    /// Something that it rests on was not read.
    NotRead,
}

/// The holes of a plate taken together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum HolesWord {
    /// All are proved within.
    Within,
    /// Some are not decided, and none is proved out.
    NotDecided,
    /// Some are proved out.
    Out,
    /// Something that it rests on was not read.
    NotRead,
}

impl From<HolesState> for HolesWord {
    fn from(state: HolesState) -> HolesWord {
        match state {
            HolesState::Within => HolesWord::Within,
            HolesState::NotDecided => HolesWord::NotDecided,
            HolesState::Out => HolesWord::Out,
        }
    }
}

/// What deviations are taken on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DatumsWord {
    /// The jig's axes.
    JigAxes,
    /// The datum holes of the plate.
    DatumHoles,
    /// The best fit of all holes.
    BestFit,
}

impl DatumsWord {
    /// The words for it, after "on".
    pub(crate) fn words(self) -> &'static str {
        match self {
            DatumsWord::JigAxes => "the jig's axes",
            DatumsWord::DatumHoles => "datum holes",
            DatumsWord::BestFit => "the best fit",
        }
    }
}

/// Which definition holes are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum IdentityWord {
    /// One.
    One,
    /// The other hand of one, or turned back to front.
    OtherHand,
    /// Several, equally.
    Several,
    /// More than one, by telling holes.
    Mixed,
    /// None.
    None,
    /// Too few holes were measured to tell.
    TooFewHoles,
    /// Something that it rests on was not read.
    NotRead,
}

/// What is said of one hole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum HoleVerdict {
    /// Proved within its zone.
    Within,
    /// Proved out of it.
    Out,
    /// The instrument does not decide it.
    NotDecided,
    /// It was not measured.
    NotMeasured,
}

impl HoleVerdict {
    fn of(verdict: Option<LimitVerdict>) -> HoleVerdict {
        match verdict {
            Some(LimitVerdict::Pass) => HoleVerdict::Within,
            Some(LimitVerdict::Fail) => HoleVerdict::Out,
            Some(LimitVerdict::NotDecidable) => HoleVerdict::NotDecided,
            None => HoleVerdict::NotMeasured,
        }
    }
    /// The word for it.
    pub(crate) fn word(self) -> &'static str {
        match self {
            HoleVerdict::Within => "in tolerance",
            HoleVerdict::Out => "out of tolerance",
            HoleVerdict::NotDecided => "cannot be decided",
            HoleVerdict::NotMeasured => "not measured",
        }
    }
}

impl SurveyReport {
    /// That nothing is to be done, and of what that is said.
    pub(crate) fn holes_only(&self) -> String {
        let SurveyReport { mark, jig, .. } = self;
        format!(
            "nothing about its holes; whether {mark} is the plate that jig {jig} needs is told by modstate jig {jig}"
        )
    }
}

/// Which definition the holes are.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SurveyIdentity {
    /// Which.
    pub verdict: IdentityWord,
    /// The definitions, the best first.
    pub plates: Vec<String>,
    /// In words, after "the holes are those of".
    pub words: String,
    /// `as-drawn`, `mirrored`, `its-own-mirror-image`, or `not-known`, because the face is not known.
    #[serde(serialize_with = "crate::layout::json::hyphened")]
    pub hand: &'static str,
    /// How the plate lies in the jig's axes, in words; nothing in the instrument's axes.
    pub mounting: Option<String>,
    /// Whether no definition matched within zones, and this one only with holes out of place.
    pub loosely: bool,
    /// The definitions that came near, and the others for the same station, with the holes that tell the plate from each.
    pub told_from: Vec<Telling>,
}

/// A definition that the plate is not, or may be as well.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Telling {
    /// The other definition.
    pub plate: String,
    /// Holes found that only the identified one has.
    pub found: Vec<String>,
    /// Holes of the identified one that would tell and were not found.
    pub not_found: Vec<String>,
    /// Holes found that only the other one has.
    pub against: Vec<String>,
}

/// A hole of the definition.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SurveyHole {
    /// Its name in the definition.
    pub hole: String,
    /// The name that the survey gives it, where that is another.
    pub named: Option<String>,
    /// Whether deviations are taken on it.
    pub datum: bool,
    /// Measured minus nominal, on the datums.
    pub dx_mm: Option<f64>,
    /// As `dx_mm`.
    pub dy_mm: Option<f64>,
    /// How far it lies above the height that the drawing has, from the plane of the other holes; absent where heights
    /// were not measured.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dz_mm: Option<f64>,
    /// The position deviation, a diameter: 2 √(dx² + dy²).
    pub position_mm: Option<f64>,
    /// The zone of the definition, a diameter.
    pub zone_mm: f64,
    /// What the zone grew by at maximum material condition.
    pub bonus_mm: Option<f64>,
    /// The guard band: the expanded uncertainty of position and bonus together.
    pub guard_mm: Option<f64>,
    /// Position and size together.
    pub verdict: HoleVerdict,
    /// Whether the hole is proved smaller than the smallest permitted, or not proved as large; `None`: not asked:
    /// `large-enough`, `too-small` or `not-decided`.
    pub size: Option<&'static str>,
    /// The distance that is left after the best fit.
    pub left_mm: Option<f64>,
}

/// An error.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ErrorLine {
    /// `datum`, `member`, `pitch` or `hole`.
    pub kind: &'static str,
    /// What it concerns, in words.
    pub what: String,
    /// How large it is, in words.
    pub size: String,
    /// What could be there instead; empty for an error that is found, or where scatter alone could be.
    pub instead: Vec<String>,
    /// Whether it carries no hole out.
    pub harmless: bool,
}

/// The scatter that is left.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ScatterLine {
    /// Of one coordinate, standard.
    pub standard_mm: f64,
    /// The instrument's part of it, standard.
    pub instrument_mm: f64,
    /// `the-instrument`, `the-holes` or `not-decided`.
    #[serde(serialize_with = "crate::layout::json::hyphened")]
    pub source: &'static str,
}

/// A best fit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BestFit {
    /// On how many holes it rests, the others being too far off.
    pub holes: usize,
    /// Of how many.
    pub of: usize,
    /// How the middle of the holes moves to fit.
    pub x_mm: f64,
    /// As `x_mm`.
    pub y_mm: f64,
    /// The turn in degrees, anticlockwise.
    pub turn_deg: f64,
    /// The root of the mean squared distance that is left on these holes.
    pub left_mm: f64,
}

/// How much longer a part comes out.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PartGrowth {
    /// The part.
    pub part: String,
    /// Over the longest distance between holes.
    pub longer_mm: f64,
}

impl SurveyReport {
    /// Whether the plate is proved to be wrong in its holes, its hand or against its record.
    #[must_use]
    pub fn is_wrong(&self) -> bool {
        let one = self.identity.verdict == IdentityWord::One;
        let against = one && self.record.is_some() && self.against != self.record;
        self.state == Some(HolesWord::Out) || self.identity.verdict == IdentityWord::OtherHand || against
    }
    /// Whether anything about the plate is left undecided.
    #[must_use]
    pub fn is_undecided(&self) -> bool {
        self.identity.verdict != IdentityWord::One
            || self.state != Some(HolesWord::Within)
            || self.counts != SurveyValidity::Yes
            || self.figures_in_doubt
    }
}

/// One survey (an index of the model's).
#[must_use]
pub fn survey_report(model: &Model, survey: usize, definitions: &Examiner<'_>) -> SurveyReport {
    let entry = &model.surveys[survey];
    // On the jig's axes the other plates have a say in what is off.
    let counts_here = entry.axes == Axes::Jig && proved(model, entry.jig, entry.mounted) == Proved::Surveyed(survey);
    let with_others = counts_here.then(|| standings(definitions, model, entry.jig).swap_remove(entry.mounted).examined);
    let examined = with_others.flatten().unwrap_or_else(|| definitions.examine(survey));
    let jig = &model.jigs[entry.jig];
    let mounted = &jig.mounted[entry.mounted];
    let plate = examined.against.map(|plate| &model.plates[plate]);
    let unit = plate.map_or(Unit::Millimetres, Unit::of);
    let name = |plate| model.plates.name(plate).to_owned();
    let strange = examined.strange.iter();
    let (counts, superseded_by) = counts(model, survey);
    let (errors, suspects) = plate.map(|plate| errors(&examined, plate, unit)).unwrap_or_default();
    let advice = advice_lines(&examined, model);
    let report = SurveyReport {
        survey: entry.id.clone(),
        jig: model.jigs.name(entry.jig).to_owned(),
        station: jig.stations[mounted.station].clone(),
        mark: mounted.mark.clone(),
        date: entry.date.text.clone(),
        instrument: entry.instrument.clone(),
        uncertainty: entry.uncertainty.text.clone(),
        temperature_c: entry.temperature,
        corrected_to_20: Some(examined.corrected),
        face: entry.face,
        axes: entry.axes,
        unit: match unit {
            Unit::Inches => "in",
            Unit::Millimetres => "mm",
        },
        counts,
        superseded_by,
        record: examined.record.map(name),
        identity: identity(model, definitions, &examined),
        against: examined.against.map(name),
        state: examined.state().map(HolesWord::from),
        datums: match examined.basis {
            DatumBasis::JigAxes => DatumsWord::JigAxes,
            DatumBasis::Holes(_) => DatumsWord::DatumHoles,
            DatumBasis::BestFit => DatumsWord::BestFit,
        },
        holes: plate.map(|plate| holes(model, &examined, plate)).unwrap_or_default(),
        strange: strange.map(|at| measured_name(model, survey, *at)).collect(),
        errors,
        suspects,
        scatter: scatter(&examined),
        best_fit: best_fit(&examined),
        part_growth: growth(model, &examined),
        remedies: sentences(&advice).map(str::to_owned).collect(),
        advice,
        figures_in_doubt: examined.slips.iter().any(|slip| slip.in_doubt),
        figures: figures(model, plate),
        not_read: not_read(model, survey),
    };
    if report.not_read.is_empty() { outdated(report) } else { withheld(report) }
}

/// Where the figures come from by which a survey is judged, against a plate drawing if there is one.
fn figures(model: &Model, plate: Option<&Plate>) -> Vec<String> {
    let mut classes: Vec<&str> = Vec::new();
    for class in plate.iter().flat_map(|plate| &plate.holes).filter_map(|hole| hole.class.as_deref()) {
        if !classes.contains(&class) {
            classes.push(class);
        }
    }
    let config = &model.config;
    [classes_words(config, &classes), limits_words(config)].into_iter().flatten().collect()
}

/// The report without the work that it would call for, where the survey does not count: what it found is how it was.
fn outdated(report: SurveyReport) -> SurveyReport {
    let line = match report.counts {
        SurveyValidity::Yes | SurveyValidity::NotRead => return report,
        SurveyValidity::ChangedSince => {
            let why = "it was made or reworked after this survey or on the same day, or may have been";
            outdated_line(Action::SurveyAgain, format!("survey {} again: {why}", report.mark))
        }
        SurveyValidity::Superseded => {
            let later = report.superseded_by.as_deref().unwrap_or_default();
            outdated_line(Action::None, format!("read survey {later}, which is later and counts"))
        }
    };
    SurveyReport { remedies: vec![line.figure.clone()], advice: vec![line], figures_in_doubt: false, ..report }
}

/// What was not read and bears on what a survey proves.
fn not_read(model: &Model, survey: usize) -> Marks {
    let entry = &model.surveys[survey];
    let mut marks = not_read_of_patterns(model);
    marks.extend(model.losses.of_survey(survey));
    marks.extend(not_read_of_stand(model, entry.jig));
    marks.extend(not_read_of_plate_record(model, entry.jig, entry.mounted));
    // On the jig's axes the other plates have a say in what is off.
    let of = (entry.axes != Axes::Jig).then_some(entry.mounted);
    marks.extend(not_read_of_surveys(model, entry.jig, of));
    marks
}

/// The report without what rests on something that was not read.
fn withheld(report: SurveyReport) -> SurveyReport {
    let identity = SurveyIdentity {
        verdict: IdentityWord::NotRead,
        plates: Vec::new(),
        words: String::new(),
        hand: "not known",
        mounting: None,
        loosely: false,
        told_from: Vec::new(),
    };
    SurveyReport {
        corrected_to_20: None,
        counts: SurveyValidity::NotRead,
        superseded_by: None,
        record: None,
        identity,
        against: None,
        state: Some(HolesWord::NotRead),
        holes: Vec::new(),
        strange: Vec::new(),
        errors: Vec::new(),
        suspects: Vec::new(),
        scatter: None,
        best_fit: None,
        part_growth: Vec::new(),
        remedies: Vec::new(),
        advice: Vec::new(),
        figures_in_doubt: false,
        figures: Vec::new(),
        ..report
    }
}

/// To 0.0001.
fn rounded(mm: f64) -> f64 {
    let rounded = (mm * 1e4).round() / 1e4;
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// The name that a survey gives a hole, or its number.
fn measured_name(model: &Model, survey: usize, measured: usize) -> String {
    let name = model.surveys[survey].holes[measured].name.clone();
    name.unwrap_or_else(|| format!("#{}", measured + 1))
}

fn counts(model: &Model, survey: usize) -> (SurveyValidity, Option<String>) {
    let entry = &model.surveys[survey];
    match proved(model, entry.jig, entry.mounted) {
        Proved::Surveyed(last) | Proved::ChangedSince(last) if last != survey => {
            (SurveyValidity::Superseded, Some(model.surveys[last].id.clone()))
        }
        Proved::ChangedSince(_) => (SurveyValidity::ChangedSince, None),
        Proved::Surveyed(_) | Proved::Never => (SurveyValidity::Yes, None),
    }
}

fn identity(model: &Model, definitions: &Examiner<'_>, examined: &Examined) -> SurveyIdentity {
    let found = &examined.identification;
    let (verdict, plates) = match &examined.identity {
        Identity::One(plate) => (IdentityWord::One, vec![*plate]),
        Identity::OtherHand(plate) => (IdentityWord::OtherHand, vec![*plate]),
        Identity::Several(plates) => (IdentityWord::Several, plates.clone()),
        Identity::Mixed(plates) => (IdentityWord::Mixed, plates.clone()),
        Identity::NoPlate(nearest) => (IdentityWord::None, nearest.iter().copied().collect()),
        Identity::TooFew => (IdentityWord::TooFewHoles, Vec::new()),
    };
    let rivals = found.equals.iter().chain(&found.mixed_with).chain(&found.ruled_out);
    let mut told_from: Vec<Telling> = Vec::new();
    // Where another definition than the leader serves at the station, the comparisons are not its own.
    let leads = |leader: usize| examined.against.is_none_or(|plate| plate == definitions.plate(leader));
    if let Some(leader) = found.leader.as_ref().filter(|leader| leads(leader.plate)) {
        let leader = &model.plates[definitions.plate(leader.plate)];
        let tellings = rivals.map(|rival| telling(model, definitions, rival, leader));
        for telling in tellings {
            if !told_from.iter().any(|other| other.plate == telling.plate) {
                told_from.push(telling);
            }
        }
    }
    if let Identity::One(is) | Identity::OtherHand(is) = examined.identity {
        let plate = &model.plates[is];
        for (other, number, entry) in model.plates.iter() {
            let named = told_from.iter().any(|telling| telling.plate == number);
            if other != is && entry.jig_station == plate.jig_station && !named {
                let found = definitions.tells(examined, other);
                told_from.push(Telling {
                    plate: number.to_owned(),
                    found: found.iter().map(|(hole, _)| plate.holes[*hole].name.clone()).collect(),
                    not_found: Vec::new(),
                    against: Vec::new(),
                });
            }
        }
    }
    SurveyIdentity {
        verdict,
        plates: plates.iter().map(|plate| model.plates.name(*plate).to_owned()).collect(),
        words: identity_words(&examined.identity, model),
        hand: match found.hand {
            PatternHand::AsDrawn => "as drawn",
            PatternHand::Mirrored => "mirrored",
            PatternHand::Same => "its own mirror image",
            PatternHand::NotKnown => "not known",
        },
        mounting: match found.mounting {
            Mounting::AsDrawn => Some("as drawn".to_owned()),
            Mounting::Moved { turn, .. } => Some(format!("moved, and turned {}", turn_words(turn))),
            Mounting::NotKnown => None,
        },
        loosely: examined.loose,
        told_from,
    }
}

fn telling(model: &Model, definitions: &Examiner<'_>, rival: &Comparison, leader: &Plate) -> Telling {
    let other = definitions.plate(rival.rival.plate);
    let name = |plate: &Plate, hole: usize| plate.holes[hole].name.clone();
    Telling {
        plate: model.plates.name(other).to_owned(),
        found: rival.for_leader.iter().map(|m| name(leader, m.hole)).collect(),
        not_found: rival.silent_leader.iter().map(|hole| name(leader, *hole)).collect(),
        against: rival.for_rival.iter().map(|m| name(&model.plates[other], m.hole)).collect(),
    }
}

fn holes(model: &Model, examined: &Examined, plate: &Plate) -> Vec<SurveyHole> {
    let holes = examined.holes.iter().map(|found| {
        let judged = found.judged;
        let renamed = examined.renamed.iter().find(|(_, hole)| *hole == found.hole);
        SurveyHole {
            hole: plate.holes[found.hole].name.clone(),
            named: renamed.map(|(measured, _)| measured_name(model, examined.survey, *measured)),
            datum: found.is_datum,
            dx_mm: judged.map(|_| rounded(found.off.x)),
            dy_mm: judged.map(|_| rounded(found.off.y)),
            dz_mm: found.measured.and_then(|row| Some(rounded(*examined.heights.as_ref()?.get(row)?))),
            position_mm: judged.map(|judged| rounded(judged.deviation)),
            zone_mm: rounded(plate.holes[found.hole].tolerance.mm()),
            bonus_mm: judged.map(|judged| rounded(judged.bonus)),
            guard_mm: judged.map(|judged| rounded(judged.guard)),
            verdict: HoleVerdict::of(found.verdict()),
            size: judged.and_then(|judged| judged.size).map(|size| match size {
                LimitVerdict::Pass => "large-enough",
                LimitVerdict::Fail => "too-small",
                LimitVerdict::NotDecidable => "not-decided",
            }),
            left_mm: found.left.map(|left| rounded(left.norm())),
        }
    });
    holes.collect()
}

/// The errors that are found, and those that are not decided.
fn errors(examined: &Examined, plate: &Plate, unit: Unit) -> (Vec<ErrorLine>, Vec<ErrorLine>) {
    let Some(diagnosis) = &examined.diagnosis else { return Default::default() };
    let line = |error: &SurveyError, instead: Vec<String>| ErrorLine {
        kind: match error.kind {
            ErrorKind::Datum => "datum",
            ErrorKind::Member(_) => "member",
            ErrorKind::Pitch(_) => "pitch",
            ErrorKind::Hole(_) => "hole",
        },
        what: error_words(error.kind, examined, plate),
        size: size_words(&error.size, unit),
        instead,
        harmless: error.remedy == Remedy::Nothing,
    };
    let found = diagnosis.errors.iter().map(|error| line(error, Vec::new())).collect();
    let suspects = diagnosis.suspects.iter().map(|suspect| {
        let instead = suspect.instead.iter().map(|kind| error_words(*kind, examined, plate)).collect();
        line(&suspect.error, instead)
    });
    (found, suspects.collect())
}

fn size_words(size: &Size, unit: Unit) -> String {
    match size {
        Size::Motion { shift, shift_uncertainty, turn, turn_uncertainty, .. } => {
            let give = shift_uncertainty.x.max(shift_uncertainty.y);
            let turned = if turn.z.abs() > turn_uncertainty.z {
                format!(", turned {} (give or take {:.3})", turn_words(turn.z), turn_uncertainty.z.to_degrees())
            } else {
                ", not turned".to_owned()
            };
            format!("off by {}, give or take {} {}{turned}", unit.step(*shift), unit.small(give), unit.name())
        }
        Size::Pitch { law, each, uncertainty, over_row, .. } => match law {
            PitchLaw::Scale => format!(
                "grows by {:.3} in 1,000 with the distance (give or take {:.3}), to {} over the row",
                each * 1e3,
                uncertainty * 1e3,
                unit.text(*over_row)
            ),
            PitchLaw::Steps | PitchLaw::Either => format!(
                "grows by {} at each step, give or take {} {}, to {} over the row",
                unit.text(*each),
                unit.small(*uncertainty),
                unit.name(),
                unit.text(*over_row)
            ),
        },
        Size::Offset { offset, uncertainty } => {
            format!("off by {}, give or take {} {}", unit.step(*offset), unit.small(*uncertainty), unit.name())
        }
    }
}

fn scatter(examined: &Examined) -> Option<ScatterLine> {
    let diagnosis = examined.diagnosis.as_ref()?;
    let scatter = &diagnosis.scatter;
    let undecided = diagnosis.outcome == ErrorVerdict::NotDecidable && scatter.source == ScatterSource::NotDecidable;
    Some(ScatterLine {
        standard_mm: rounded(scatter.standard),
        instrument_mm: rounded(scatter.instrument),
        source: match scatter.source {
            _ if undecided => "not decided",
            ScatterSource::Instrument => "the instrument",
            ScatterSource::Holes => "the holes",
            ScatterSource::NotDecidable => "not decided",
        },
    })
}

fn best_fit(examined: &Examined) -> Option<BestFit> {
    let (fit, good) = examined.best_fit.as_ref()?;
    // How the middle of the holes moves, not the origin: that lies far off and would move by the turn alone.
    let before = fit.motion.inverse().apply(fit.centre);
    let moved: Point3 = fit.centre - before;
    Some(BestFit {
        holes: *good,
        of: examined.order.len(),
        x_mm: rounded(moved.x),
        y_mm: rounded(moved.y),
        turn_deg: rounded(fit.motion.rotation[1][0].atan2(fit.motion.rotation[0][0]).to_degrees()),
        left_mm: rounded(fit.rms),
    })
}

fn growth(model: &Model, examined: &Examined) -> Vec<PartGrowth> {
    let Some(plate) = examined.against.map(|plate| &model.plates[plate]) else { return Vec::new() };
    let of = examined.mismatch.iter().map(|(part, longer)| PartGrowth {
        part: model.parts.name(plate.locates[*part]).to_owned(),
        longer_mm: rounded(*longer),
    });
    of.collect()
}

impl super::Verdicts for SurveyReport {
    fn outcome(&self) -> super::Outcome {
        super::Outcome::of(self.is_wrong(), self.is_undecided())
    }
    fn not_read(&self) -> Marks {
        self.not_read.clone()
    }
}
