//! Slips of measuring and writing that would explain a survey's readings. To look for one costs nothing, so they are ruled
//! out before anything is done to metal ([`super::advice`]).
//!
//! Of a whole survey: axes exchanged, a sign, a factor, the other face, a plate turned, the survey of another plate, an
//! overall scale such as warmth makes. Of one hole: the same, a digit, a row copied. The figures of one hole that are
//! wrong along one axis alone are always taken for a figure misread: a drill wanders any way, a pen along one axis
//! (common practice, no source).

mod figure;
mod whole;

pub(super) use self::figure::step as figure_step;
use super::found::{Figure, Slip, SlipKind};
use crate::jig::found::{Examined, HoleFound, Identity};
use crate::metrology::error_kind::ErrorKind;
use crate::metrology::identify::{Mounting, PatternHand};
use crate::metrology::point::Point3;
use crate::metrology::position::{LimitVerdict, REFERENCE_TEMPERATURE};
use crate::model::Model;
use crate::quantity::SurveyLimits;
use crate::schema::Axes;

/// From this turn on (radians) a plate in the jig's axes counts as mounted turned, and not as laid off badly.
const TURNED: f64 = 0.1;

/// Factors that a unit or a decimal point makes, as they are taken out again. Where two would explain a figure, which only
/// happens near an axis, the unit comes first.
const FACTORS: [(f64, SlipKind); 8] = [
    (25.4, SlipKind::Unit),
    (1.0 / 25.4, SlipKind::Unit),
    (10.0, SlipKind::DecimalPoint),
    (0.1, SlipKind::DecimalPoint),
    (100.0, SlipKind::DecimalPoint),
    (0.01, SlipKind::DecimalPoint),
    (1000.0, SlipKind::DecimalPoint),
    (0.001, SlipKind::DecimalPoint),
];

/// By what part of a length the warmth of the metal may have changed it (taken as k = 2): nothing where lengths were
/// corrected to 20 degrees.
#[must_use]
pub fn warmth(limits: &SurveyLimits, temperature: Option<f64>, expansion: Option<f64>) -> f64 {
    match (temperature, expansion) {
        (Some(_), Some(_)) => 0.0,
        (Some(degrees), None) => (degrees - REFERENCE_TEMPERATURE).abs() * limits.widest_expansion,
        (None, coefficient) => limits.warmth_not_noted_k * coefficient.unwrap_or(limits.widest_expansion),
    }
}

/// The slips that would explain what a survey reads; `places` are the measured ones, level, in millimetres.
pub(super) fn slips(model: &Model, examined: &Examined, places: &[Point3]) -> Vec<Slip> {
    let mut all: Vec<Slip> = same_readings(model, examined.survey).into_iter().collect();
    if let (Identity::One(is), Some(record)) = (&examined.identity, examined.record)
        && *is != record
    {
        let figure = Figure::Plate(*is);
        all.push(Slip { kind: SlipKind::OtherPlate, rows: Vec::new(), of_all: false, in_doubt: true, figure });
        return all;
    }
    if let Some(slip) = whole::transformed(model, examined, places) {
        all.push(slip);
        return all;
    }
    match (&examined.identity, examined.identification.mounting) {
        (Identity::OtherHand(_), _) => all.push(Slip::of_all(SlipKind::Mirrored, Figure::All)),
        (_, Mounting::Moved { turn, .. }) if turn.abs() > TURNED => {
            all.push(Slip::of_all(SlipKind::Turned, Figure::Turn(turn)));
        }
        _ => {}
    }
    let survey = &model.surveys[examined.survey];
    let hand_open = examined.identification.hand == PatternHand::NotKnown && survey.face.is_none();
    if hand_open && survey.axes == Axes::Instrument && matches!(examined.identity, Identity::One(_)) {
        all.push(Slip::of_all(SlipKind::FaceNotNoted, Figure::All));
    }
    if all.iter().any(Slip::doubts_all) {
        return all;
    }
    if let Some(scale) = whole::scale(examined, survey.uncertainty.mm()) {
        all.push(Slip::of_all(SlipKind::OverallScale, Figure::Scale(scale)));
        return all;
    }
    let copied = figure::copied(model, examined, places);
    let others = figure::of_rows(model, examined, places);
    all.extend(others.into_iter().filter(|slip| !copied.iter().any(|copied| copied.rows == slip.rows)));
    all.extend(copied);
    all.extend(out_of_plane(model, examined));
    let is_open = |hole: &HoleFound| hole.as_read() == Some(LimitVerdict::NotDecidable);
    let off_reference = |degrees: f64| (degrees - REFERENCE_TEMPERATURE).abs() > 0.0;
    let lacks = match survey.temperature {
        None => Some(SlipKind::TemperatureNotNoted),
        Some(degrees) if !examined.corrected && off_reference(degrees) => Some(SlipKind::ExpansionNotGiven),
        Some(_) => None,
    };
    if let Some(kind) = lacks.filter(|_| examined.holes.iter().any(is_open)) {
        all.push(Slip { kind, rows: Vec::new(), of_all: false, in_doubt: false, figure: Figure::All });
    }
    all
}

/// Holes that lie out of the plane of the others. Where the drawing has heights, those of named holes are judged, on the
/// plate's own drawing.
fn out_of_plane(model: &Model, examined: &Examined) -> Vec<Slip> {
    let (Some(heights), Some(plate)) = (&examined.heights, examined.against) else { return Vec::new() };
    let survey = &model.surveys[examined.survey];
    let holes = &model.plates[plate].holes;
    let is_flat = holes.iter().all(|hole| hole.at[2].picometres == holes[0].at[2].picometres);
    let judged = |row: usize| is_flat || (survey.holes[row].name.is_some() && examined.record == Some(plate));
    let limit = model.survey_limits.out_of_plane_mm + survey.uncertainty.mm();
    let rows = heights.iter().enumerate().filter(|(row, height)| height.abs() > limit && judged(*row));
    let slip = |(row, height): (usize, &f64)| Slip {
        kind: SlipKind::OutOfPlane,
        rows: vec![row],
        of_all: false,
        in_doubt: true,
        figure: Figure::Height(*height),
    };
    rows.map(slip).collect()
}

/// Another plate's survey with the same readings.
fn same_readings(model: &Model, survey: usize) -> Option<Slip> {
    let own = &model.surveys[survey];
    let places =
        |index: usize| model.surveys[index].holes.iter().map(|hole| [hole.at[0].picometres, hole.at[1].picometres]);
    let other = (0..model.surveys.len()).find(|other| {
        let theirs = &model.surveys[*other];
        (theirs.jig, theirs.mounted) != (own.jig, own.mounted)
            && theirs.holes.len() == own.holes.len()
            && own.holes.len() >= crate::metrology::identify::FEWEST_HOLES
            && places(*other).eq(places(survey))
    })?;
    Some(Slip::of_all(SlipKind::SameReadings, Figure::Survey(other)))
}

/// The holes of the diagnosis (its indices) whose figures are to be explained: those that are proved out by themselves,
/// and those that stand out of the scatter; with whether they are proved out.
fn odd(examined: &Examined) -> Vec<(usize, bool)> {
    let Some(diagnosis) = &examined.diagnosis else { return Vec::new() };
    let alone = |at: usize| {
        let kinds = diagnosis.errors.iter().map(|error| error.kind);
        kinds.chain(diagnosis.suspects.iter().map(|s| s.error.kind)).any(|kind| kind == ErrorKind::Hole(at))
    };
    let all = examined.order.iter().enumerate().filter_map(|(at, hole)| {
        let judged = examined.holes[*hole].judged?;
        let left = 2.0 * diagnosis.residuals[at].norm();
        let out = crate::metrology::position::judge(left, judged.allowed, judged.guard) == LimitVerdict::Fail;
        (out || alone(at)).then_some((at, out))
    });
    all.collect()
}
