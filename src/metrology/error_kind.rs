//! What kind of error a survey shows: the jig against its datums, a member moved, a pitch error along a row, single bad
//! holes, or scatter; each with its numbers, their uncertainty and the remedy.
//!
//! Every kind is weighed against every other and against scatter (see `error_kind/evidence.rs`). An error is reported
//! as found only where the best explanation *without* it is decisively worse ([`Odds`]); otherwise it is a suspect
//! and stands beside what could be there instead. Numbers in millimetres and radians. An error is measured
//! minus nominal: a remedy is its opposite.
//!
//! Common practice, no source: the holes of one member all out the same way are one layout error of that member, not
//! drilling; a few thousandths of an inch of scatter are good work on a hand-built jig.

mod evidence;
mod model;
mod report;
mod search;

use self::report::{Report, report};
use self::search::Search;
use super::fit::FitError;
use super::point::{Motion, Point3};
use super::robust::Dimension;
use crate::quantity::Odds;

/// The chance below which scatter counts as more than the instrument's: one in a million, because errors too small to
/// be distinguished swell it.
pub const SCATTER_CHANCE: f64 = 1e-6;

/// A hole with its measurement.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SurveyedHole {
    /// Where it should be, in the jig's datum axes.
    pub nominal: Point3,
    /// Where it was found, in the axes that [`Datums`] says.
    pub measured: Point3,
    /// The diameter of its position tolerance zone.
    pub zone: f64,
}

/// What the deviations are taken from.
#[derive(Clone, Debug, PartialEq)]
pub enum Datums {
    /// The instrument was set on the airframe datums: measured places are in the nominal axes already.
    Axes,
    /// These holes (indices) are the jig's datums; the instrument's axes are arbitrary.
    Holes(Vec<usize>),
    /// There are none: then no error of the whole jig can show.
    None,
}

/// A survey: holes with what they belong to.
#[derive(Clone, Debug)]
pub struct HoleSurvey {
    /// The measured holes.
    pub holes: Vec<SurveyedHole>,
    /// Groups of holes that can move as one (a leg, a plate, a row); they may be nested. Indices of holes. Datum holes
    /// in a group are left out of it.
    pub members: Vec<Vec<usize>>,
    /// Rows of holes laid off one from the next, in order. Indices of holes.
    pub rows: Vec<Vec<usize>>,
    /// What the deviations are taken from.
    pub datums: Datums,
    /// Whether the third coordinate counts. In the plane, lay the measured points level first ([`super::fit::level`]).
    pub dimension: Dimension,
    /// The instrument's expanded (k = 2) uncertainty of one coordinate, above 0.
    pub instrument: f64,
    /// From which odds on an error is named.
    pub odds: Odds,
}

/// A kind of systematic error.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ErrorKind {
    /// The jig as a whole against its datums.
    Datum,
    /// This member (an index) shifted or turned as a whole.
    Member(usize),
    /// A repeated pitch error along this row (an index).
    Pitch(usize),
    /// This hole (an index) alone.
    Hole(usize),
}

/// How a pitch error grows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PitchLaw {
    /// With the distance from the first hole (a wrong scale).
    Scale,
    /// By the same amount at each step, however long (a wrong setting of dividers or stop).
    Steps,
    /// Both fit: the steps are equal, or the survey cannot tell.
    Either,
}

/// The hole of a row from which its pitch error is counted: there it is nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PitchOrigin {
    /// The first hole.
    First,
    /// The middle of the row.
    Middle,
    /// The last hole.
    Last,
}

/// An error in numbers. Uncertainties are expanded (95 %, Student's t) and assume the kind is right.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Size {
    /// A shift and a turn.
    Motion {
        /// The shift at `about`.
        shift: Point3,
        /// Of each coordinate of the shift.
        shift_uncertainty: Point3,
        /// The turn as a vector: its length is the angle in radians, right hand; in the plane along the third axis.
        turn: Point3,
        /// Of each component of the turn.
        turn_uncertainty: Point3,
        /// The middle of the holes, where the turn leaves them.
        about: Point3,
    },
    /// An error that grows along a row.
    Pitch {
        /// How it grows.
        law: PitchLaw,
        /// Where it is nothing, as far as the survey shows.
        anchor: PitchOrigin,
        /// Per millimetre of distance (scale), or millimetres per step (steps, and either).
        each: f64,
        /// Of `each`.
        uncertainty: f64,
        /// What it adds up to from the first to the last hole, in millimetres.
        over_row: f64,
    },
    /// A hole out of place.
    Offset {
        /// Measured minus nominal, after the other errors.
        offset: Point3,
        /// Of each coordinate.
        uncertainty: f64,
    },
}

/// What to do about an error.
#[derive(Clone, Debug, PartialEq)]
pub enum Remedy {
    /// Re-set the datum: move the jig against its datums by this turn about `about`, then this shift.
    ResetDatum {
        /// The shift.
        shift: Point3,
        /// The turn vector, radians.
        turn: Point3,
        /// What the turn is about.
        about: Point3,
    },
    /// Move this member by this turn about `about`, then this shift.
    MoveMember {
        /// The member (an index).
        member: usize,
        /// The shift.
        shift: Point3,
        /// The turn vector, radians.
        turn: Point3,
        /// What the turn is about.
        about: Point3,
    },
    /// Plug these holes and drill them again.
    PlugAndRedrill {
        /// The holes (indices).
        holes: Vec<usize>,
    },
    /// Nothing: no hole concerned is proved out of its zone by it.
    Nothing,
}

/// A systematic error.
#[derive(Clone, Debug, PartialEq)]
pub struct SurveyError {
    /// What it is.
    pub kind: ErrorKind,
    /// How large it is.
    pub size: Size,
    /// How much worse the best explanation without it is (minus twice the log evidence): decisive from [`Odds::decisive`].
    pub margin: f64,
    /// What to do.
    pub remedy: Remedy,
}

/// An error that may be there; the survey does not decide it.
#[derive(Clone, Debug, PartialEq)]
pub struct SuspectError {
    /// The error in the best explanation; its margin is below [`Odds::decisive`].
    pub error: SurveyError,
    /// What the best explanation without it has instead; empty where that is scatter alone.
    pub instead: Vec<ErrorKind>,
}

/// The scatter left when the errors are taken out.
#[derive(Clone, Debug, PartialEq)]
pub struct Scatter {
    /// The standard deviation of one coordinate, instrument and drilling together.
    pub standard: f64,
    /// The instrument's standard uncertainty.
    pub instrument: f64,
    /// Degrees of freedom.
    pub freedom: f64,
    /// The chance of so much scatter from the instrument alone (chi-square).
    pub chance: f64,
    /// Whether it is more than the instrument's.
    pub source: ScatterSource,
    /// What to do: nothing, or plug and redrill the holes that scatter carries out of their zones.
    pub remedy: Remedy,
}

/// Where the scatter comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ScatterSource {
    /// The instrument may have done it all.
    Instrument,
    /// The holes themselves lie off more than the instrument explains, each its own way: drilling, or single holes too
    /// many or too little off to be distinguished from it.
    Holes,
    /// It may be more than the instrument's, or errors too small to be distinguished swell it.
    NotDecidable,
}

/// Whether the survey decides which errors are there (where the scatter comes from is said with the scatter).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ErrorVerdict {
    /// No error that several holes share, and no single hole, stands out of the scatter.
    ScatterOnly,
    /// Every error of the best explanation is decisive.
    Explained,
    /// Some error of the best explanation may be something else, or nothing: see the suspects.
    NotDecidable,
}

/// What a survey shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnosis {
    /// Each hole's deviation on the datums (without datums: on the robust best fit); to be shown first.
    pub deviations: Vec<Point3>,
    /// Carried the measured points into the datum axes.
    pub alignment: Motion,
    /// The errors found, by kind.
    pub errors: Vec<SurveyError>,
    /// The errors that are not decided, by kind.
    pub suspects: Vec<SuspectError>,
    /// What is left of each hole's deviation when errors and suspects (bad holes apart) are taken out.
    pub residuals: Vec<Point3>,
    /// The scatter.
    pub scatter: Scatter,
    /// Whether the survey decides.
    pub outcome: ErrorVerdict,
}

/// Why there is no diagnosis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DiagnoseError {
    /// A member, row or datum names a hole (this index) that is not there.
    NoSuchHole(usize),
    /// The instrument's uncertainty is no number above 0.
    NoUncertainty,
    /// The points do not fix a motion.
    Fit(FitError),
}

impl From<FitError> for DiagnoseError {
    fn from(error: FitError) -> Self {
        Self::Fit(error)
    }
}

/// Tells the kinds of error of a survey apart.
///
/// # Errors
/// When an index is wrong, the uncertainty is not above 0, or the points do not fix the axes.
pub fn diagnose(survey: &HoleSurvey) -> Result<Diagnosis, DiagnoseError> {
    let (mut model, alignment) = model::build(survey)?;
    let deviations: Vec<Point3> = (0..survey.holes.len()).map(|h| model.step(&model.deviations, h)).collect();
    let mut curved = vec![0.0; model.deviations.len()];
    // A turn is not quite linear: take what its arcs differ from their tangents out and weigh again.
    let mut best = Search::new(&model).best();
    for _ in 0..3 {
        let solution = model.solve(&best.terms, &model.weights(&best.bad));
        let next = model::arc_remainders(survey, &model, &solution);
        let change = next.iter().zip(&curved).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        if change < 0.02 * model.instrument {
            break;
        }
        for ((y, now), before) in model.deviations.iter_mut().zip(&next).zip(&curved) {
            *y += before - now;
        }
        curved = next;
        best = Search::new(&model).best();
    }
    let Report { errors, suspects, residuals, scatter, outcome } = report(survey, &model, best);
    Ok(Diagnosis { deviations, alignment, errors, suspects, residuals, scatter, outcome })
}
