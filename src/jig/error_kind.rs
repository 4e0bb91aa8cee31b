//! What kind of error a survey shows: the jig against its datums, a member moved, a pitch error along a row, single bad
//! holes, or scatter; each with its numbers, their uncertainty and the remedy.
//!
//! Every kind is weighed against every other and against scatter (see `error_kind/evidence.rs`). An error is reported
//! as found only where the best explanation *without* it is decisively worse ([`DECISIVE`]); otherwise it is a suspect
//! and stands beside what could be there instead. Numbers in millimetres and radians. An error is what was found less
//! what was wanted: a remedy is its opposite.
//!
//! Common practice, no source: the holes of one member all out the same way are one layout error of that member, not
//! drilling; a few thousandths of an inch of scatter are good work on a hand-built jig.

mod evidence;
mod model;
mod search;

use self::evidence::{Model, Shape, Solution, Term};
use self::search::{Explanation, Search};
use super::fit::FitError;
use super::point::{Motion, Point3, count};
use super::position::deviation_diameter;
use super::robust::Dimension;
use super::statistics::{chi_square_above, coverage_factor};

/// How much worse (in minus twice the log evidence) the best explanation without an error must be before the error
/// counts as found: odds of about 400 to 1.
pub const DECISIVE: f64 = 12.0;

/// How much worse the explanation by scatter alone must be before an error is even a suspect: odds of about 20 to 1.
/// Of many holes, rows and members some look a little odd by chance.
pub const WORTH_NAMING: f64 = 6.0;

/// The chance below which scatter counts as more than the instrument's: one in a million, because errors too small to
/// be told apart swell it.
pub const SCATTER_CHANCE: f64 = 1e-6;

/// A hole with its measurement.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hole {
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
pub struct Survey {
    /// The measured holes.
    pub holes: Vec<Hole>,
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
        /// Per millimetre of distance (scale), or millimetres per step (steps, and either).
        each: f64,
        /// Of `each`.
        uncertainty: f64,
        /// What it adds up to from the first to the last hole, in millimetres.
        over_row: f64,
    },
    /// A hole out of place.
    Offset {
        /// Found less wanted, after the other errors.
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
    /// Nothing: every hole concerned lies within its zone in spite of it.
    Nothing,
}

/// A systematic error.
#[derive(Clone, Debug, PartialEq)]
pub struct SurveyError {
    /// What it is.
    pub kind: ErrorKind,
    /// How large it is.
    pub size: Size,
    /// How much worse the best explanation without it is (minus twice the log evidence): decisive from [`DECISIVE`].
    pub margin: f64,
    /// What to do.
    pub remedy: Remedy,
}

/// An error that may be there; the survey does not decide it.
#[derive(Clone, Debug, PartialEq)]
pub struct Suspect {
    /// The error in the best explanation; its margin is below [`DECISIVE`].
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
    /// many or too little off to be told from it.
    Holes,
    /// It may be more than the instrument's, or errors too small to be told apart swell it.
    NotDecidable,
}

/// Whether the survey decides what is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Nothing beyond scatter.
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
    pub suspects: Vec<Suspect>,
    /// What is left of each hole's deviation when errors and suspects (bad holes apart) are taken out.
    pub residuals: Vec<Point3>,
    /// The scatter.
    pub scatter: Scatter,
    /// Whether the survey decides.
    pub outcome: Outcome,
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
pub fn diagnose(survey: &Survey) -> Result<Diagnosis, DiagnoseError> {
    let (mut model, alignment) = model::build(survey)?;
    let deviations: Vec<Point3> = (0..survey.holes.len()).map(|h| step(&model.deviations, h, model.size)).collect();
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
    Ok(report(survey, &model, best, deviations, alignment))
}

fn report(
    survey: &Survey,
    model: &Model,
    mut best: Explanation,
    deviations: Vec<Point3>,
    alignment: Motion,
) -> Diagnosis {
    let mut search = Search::new(model);
    let rivals = drop_chance_finds(model, &mut search, &mut best);
    let solution = model.solve(&best.terms, &model.weights(&best.bad));
    let residuals: Vec<Point3> = (0..survey.holes.len()).map(|h| step(&solution.residuals, h, model.size)).collect();
    let scatter = scatter(survey, model, &search, &best, &solution, &residuals);
    let scale = Scale { deviation: scatter.standard.max(model.instrument), coverage: coverage_factor(scatter.freedom) };
    let known = kinds(model, &best);
    let (mut errors, mut suspects) = (Vec::new(), Vec::new());
    for (kind, rival) in rivals {
        let mut error = SurveyError {
            kind,
            size: size_of(model, &best, &solution, kind, scale, &mut search),
            margin: rival.cost - best.cost,
            remedy: Remedy::Nothing,
        };
        error.remedy = remedy(survey, model, &solution, &residuals, &error);
        if error.margin >= DECISIVE {
            errors.push(error);
        } else {
            let instead = kinds(model, &rival).into_iter().filter(|k| !known.contains(k)).collect();
            suspects.push(Suspect { error, instead });
        }
    }
    let decided = suspects.is_empty() && scatter.source != ScatterSource::NotDecidable;
    let outcome = match (decided, errors.is_empty()) {
        (false, _) => Outcome::NotDecidable,
        (true, true) => Outcome::ScatterOnly,
        (true, false) => Outcome::Explained,
    };
    Diagnosis { deviations, alignment, errors, suspects, residuals, scatter, outcome }
}

/// Takes out of `best`, one by one, the errors that scatter explains nearly as well; the rivals of those that stay.
fn drop_chance_finds(model: &Model, search: &mut Search<'_>, best: &mut Explanation) -> Vec<(ErrorKind, Explanation)> {
    loop {
        let known = kinds(model, best);
        let rivals: Vec<_> = known.iter().map(|&kind| (kind, search.rival(best, kind))).collect();
        let chance = |(_, rival): &&(ErrorKind, Explanation)| {
            rival.cost - best.cost < WORTH_NAMING && kinds(model, rival).iter().all(|k| known.contains(k))
        };
        let weakest = rivals.iter().filter(chance).min_by(|a, b| a.1.cost.total_cmp(&b.1.cost));
        match weakest {
            Some((_, rival)) => *best = rival.clone(),
            None => return rivals,
        }
    }
}

fn scatter(
    survey: &Survey,
    model: &Model,
    search: &Search<'_>,
    best: &Explanation,
    solution: &Solution,
    residuals: &[Point3],
) -> Scatter {
    let instrument = model.instrument;
    let (squares, freedom) = model.scatter(&best.bad, solution);
    let chance = chi_square_above(squares / instrument.powi(2), freedom);
    let instrument_does = |terms: &[usize], bad: &[usize]| {
        let (squares, freedom) = model.scatter(bad, &model.solve(terms, &model.weights(bad)));
        chi_square_above(squares / instrument.powi(2), freedom) >= SCATTER_CHANCE / 1000.0
    };
    let source = if chance >= SCATTER_CHANCE {
        ScatterSource::Instrument
    } else if search.any_near(best, DECISIVE, &instrument_does) {
        ScatterSource::NotDecidable
    } else {
        ScatterSource::Holes
    };
    let scattered = match source {
        ScatterSource::Instrument => Vec::new(),
        ScatterSource::Holes | ScatterSource::NotDecidable => {
            out_of_zone(survey, residuals, (0..survey.holes.len()).filter(|h| !best.bad.contains(h)))
        }
    };
    let standard = if freedom > 0.0 { (squares / freedom).sqrt() } else { instrument };
    Scatter { standard, instrument, freedom, chance, source, remedy: redrill(scattered) }
}

/// The scatter that stands behind the uncertainties.
#[derive(Clone, Copy)]
struct Scale {
    deviation: f64,
    coverage: f64,
}

fn kinds(model: &Model, explanation: &Explanation) -> Vec<ErrorKind> {
    let terms = explanation.terms.iter().filter_map(|&t| model.terms[t].kind);
    let mut kinds: Vec<ErrorKind> = terms.chain(explanation.bad.iter().map(|&h| ErrorKind::Hole(h))).collect();
    kinds.sort_unstable();
    kinds
}

fn step(values: &[f64], hole: usize, size: usize) -> Point3 {
    let at = |k: usize| if k < size { values[hole * size + k] } else { 0.0 };
    Point3::new(at(0), at(1), at(2))
}

/// The term of a kind that an explanation uses.
fn term_of<'a>(model: &'a Model, terms: &[usize], kind: ErrorKind) -> Option<(usize, &'a Term)> {
    terms.iter().map(|&t| (t, &model.terms[t])).find(|(_, term)| term.kind == Some(kind))
}

fn size_of(
    model: &Model,
    best: &Explanation,
    solution: &Solution,
    kind: ErrorKind,
    scale: Scale,
    search: &mut Search<'_>,
) -> Size {
    let expanded = scale.coverage * scale.deviation;
    let Some((index, term)) = term_of(model, &best.terms, kind) else {
        let hole = match kind {
            ErrorKind::Hole(hole) => hole,
            ErrorKind::Datum | ErrorKind::Member(_) | ErrorKind::Pitch(_) => unreachable!("such kinds are terms"),
        };
        return Size::Offset { offset: step(&solution.residuals, hole, model.size), uncertainty: expanded };
    };
    let (numbers, deviations) = term_numbers(term, solution);
    match &term.shape {
        Shape::Motion { about, radius, .. } => {
            let spread: Vec<f64> = deviations.iter().map(|d| d * expanded).collect();
            let (shift, turn) = motion_numbers(&numbers, model.size, *radius);
            let (shift_uncertainty, turn_uncertainty) = motion_numbers(&spread, model.size, *radius);
            Size::Motion { shift, shift_uncertainty, turn, turn_uncertainty, about: *about }
        }
        Shape::Pitch { holes, by_steps, per_unit } => {
            let other = model.terms.iter().position(|t| t.kind == Some(kind) && t.columns != term.columns);
            let undecided = other.is_none_or(|other| {
                let swapped = best.terms.iter().map(|&t| if t == index { other } else { t }).collect();
                search.settle(swapped, search::Without::Nothing).cost < best.cost + DECISIVE
            });
            let each = numbers[1] * per_unit;
            let steps = count(holes.len() - 1);
            let last = model.growth(term, holes[holes.len() - 1]) - model.growth(term, holes[0]);
            let over_row = numbers[1] * last;
            match (undecided, by_steps) {
                (true, _) => Size::Pitch {
                    law: PitchLaw::Either,
                    each: over_row / steps,
                    uncertainty: deviations[1] * expanded * last.abs() / steps,
                    over_row,
                },
                (false, by_steps) => Size::Pitch {
                    law: if *by_steps { PitchLaw::Steps } else { PitchLaw::Scale },
                    each,
                    uncertainty: deviations[1] * expanded * per_unit.abs(),
                    over_row,
                },
            }
        }
    }
}

/// A term's numbers and their standard deviations for unit scatter.
fn term_numbers(term: &Term, solution: &Solution) -> (Vec<f64>, Vec<f64>) {
    let variances = solution.variances();
    solution
        .columns
        .iter()
        .enumerate()
        .filter(|(_, column)| term.columns.contains(column))
        .map(|(i, _)| (solution.numbers[i], variances[i].sqrt()))
        .unzip()
}

/// Shift and turn vector from the numbers of a motion.
fn motion_numbers(numbers: &[f64], size: usize, radius: f64) -> (Point3, Point3) {
    let at = |k: usize| numbers.get(k).copied().unwrap_or(0.0);
    if size == 2 {
        (Point3::new(at(0), at(1), 0.0), Point3::new(0.0, 0.0, at(2) / radius))
    } else {
        (Point3::new(at(0), at(1), at(2)), Point3::new(at(3), at(4), at(5)) * (1.0 / radius))
    }
}

fn remedy(survey: &Survey, model: &Model, solution: &Solution, residuals: &[Point3], error: &SurveyError) -> Remedy {
    let term = model
        .terms
        .iter()
        .find(|t| t.kind == Some(error.kind) && t.columns.clone().all(|column| solution.columns.contains(&column)));
    let Some(term) = term else {
        let ErrorKind::Hole(hole) = error.kind else { unreachable!("such kinds are terms") };
        return redrill(out_of_zone(survey, residuals, std::iter::once(hole)));
    };
    let (numbers, _) = term_numbers(term, solution);
    let holes = match &term.shape {
        Shape::Motion { holes, .. } | Shape::Pitch { holes, .. } => holes,
    };
    // What this error and the scatter do to each hole when all other errors are put right.
    let alone: Vec<Point3> = (0..survey.holes.len()).map(|h| residuals[h] + model.effect(term, &numbers, h)).collect();
    let out = out_of_zone(survey, &alone, holes.iter().copied());
    match (error.kind, error.size) {
        _ if out.is_empty() => Remedy::Nothing,
        (ErrorKind::Datum, Size::Motion { shift, turn, about, .. }) => {
            Remedy::ResetDatum { shift: -shift, turn: -turn, about }
        }
        (ErrorKind::Member(member), Size::Motion { shift, turn, about, .. }) => {
            Remedy::MoveMember { member, shift: -shift, turn: -turn, about }
        }
        _ => redrill(out),
    }
}

fn redrill(holes: Vec<usize>) -> Remedy {
    if holes.is_empty() { Remedy::Nothing } else { Remedy::PlugAndRedrill { holes } }
}

/// Of these holes, those whose deviation lies out of their zone.
fn out_of_zone(survey: &Survey, deviations: &[Point3], holes: impl Iterator<Item = usize>) -> Vec<usize> {
    holes
        .filter(|&h| {
            let d = deviations[h];
            deviation_diameter(d.x.hypot(d.y), d.z) > survey.holes[h].zone
        })
        .collect()
}
