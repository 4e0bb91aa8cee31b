//! From a survey to the deviations on its datums and the errors that could explain them.

use crate::metrology::fit::FitError;
use crate::metrology::point::{Motion, Point3, count};
use crate::metrology::robust::{Dimension, robust_fit};
use crate::metrology::statistics::median;

use super::evidence::{ErrorModel, ErrorTerm, Solution, TermShape};
use super::report::{motion_numbers, term_numbers};
use super::{Datums, DiagnoseError, ErrorKind, HoleSurvey, PitchOrigin};

/// The model of a survey and the motion that carried the measured points into the datum axes.
pub(super) fn build(survey: &HoleSurvey) -> Result<(ErrorModel, Motion), DiagnoseError> {
    let datums = check(survey)?;
    let alignment = align(survey, &datums)?;
    let size = match survey.dimension {
        Dimension::Plane => 2,
        Dimension::Space => 3,
    };
    let n = survey.holes.len();
    let mut deviations = Vec::with_capacity(n * size);
    for hole in &survey.holes {
        deviations.extend_from_slice(&(alignment.apply(hole.measured) - hole.nominal).axes()[..size]);
    }
    let mut model = ErrorModel {
        size,
        deviations,
        terms: Vec::new(),
        rows: vec![Vec::new(); n * size],
        ratio: 1.0,
        instrument: survey.instrument / 2.0,
    };
    add_terms(survey, &datums, &mut model);
    model.ratio = prior_ratio(&model);
    Ok((model, alignment))
}

/// The datum holes; checks every index.
fn check(survey: &HoleSurvey) -> Result<Vec<usize>, DiagnoseError> {
    if !(survey.instrument.is_finite() && survey.instrument > 0.0) {
        return Err(DiagnoseError::NoUncertainty);
    }
    if !survey.holes.iter().all(|h| h.nominal.is_finite() && h.measured.is_finite()) {
        return Err(DiagnoseError::Fit(FitError::NotFinite));
    }
    let datums = match &survey.datums {
        Datums::Holes(holes) => holes.clone(),
        Datums::Axes | Datums::None => Vec::new(),
    };
    let groups = survey.members.iter().chain(&survey.rows).chain(std::iter::once(&datums));
    match groups.flatten().find(|h| **h >= survey.holes.len()) {
        Some(hole) => Err(DiagnoseError::NoSuchHole(*hole)),
        None => Ok(datums),
    }
}

fn align(survey: &HoleSurvey, datums: &[usize]) -> Result<Motion, DiagnoseError> {
    let places = |holes: &[usize]| -> (Vec<Point3>, Vec<Point3>) {
        holes.iter().map(|&h| (survey.holes[h].measured, survey.holes[h].nominal)).unzip()
    };
    match &survey.datums {
        Datums::Axes => Ok(Motion::IDENTITY),
        Datums::Holes(_) if datums.len() >= survey.dimension.minimal() => {
            let (from, to) = places(datums);
            Ok(survey.dimension.fit(&from, &to)?.motion)
        }
        Datums::Holes(_) | Datums::None => {
            let (from, to) = places(&(0..survey.holes.len()).collect::<Vec<_>>());
            let robust = robust_fit(&from, &to, survey.dimension, survey.instrument / 2.0).map(|r| r.fit);
            Ok(robust.or_else(|_| survey.dimension.fit(&from, &to))?.motion)
        }
    }
}

fn add_terms(survey: &HoleSurvey, datums: &[usize], model: &mut ErrorModel) {
    let all: Vec<usize> = (0..survey.holes.len()).collect();
    let working: Vec<usize> = all.iter().copied().filter(|h| !datums.contains(h)).collect();
    if survey.datums != Datums::Axes {
        add_motion(survey, model, None, all);
    }
    if survey.datums != Datums::None && !working.is_empty() {
        add_motion(survey, model, Some(ErrorKind::Datum), working.clone());
    }
    for (index, member) in survey.members.iter().enumerate() {
        let mut holes: Vec<usize> = member.iter().copied().filter(|h| working.contains(h)).collect();
        holes.sort_unstable();
        holes.dedup();
        // One hole alone is a hole; all holes together are the jig.
        if holes.len() >= 2 && holes.len() < working.len() {
            add_motion(survey, model, Some(ErrorKind::Member(index)), holes);
        }
    }
    for (index, row) in survey.rows.iter().enumerate() {
        // Three holes cannot tell a pitch error from one bad hole.
        if row.len() >= 4 {
            add_pitch(survey, model, index, row);
        }
    }
}

fn add_motion(survey: &HoleSurvey, model: &mut ErrorModel, kind: Option<ErrorKind>, holes: Vec<usize>) {
    let places: Vec<Point3> = holes.iter().map(|&h| survey.holes[h].nominal).collect();
    let about = Point3::centroid(&places);
    let arms: Vec<Point3> =
        places.iter().map(|&p| if model.size == 2 { (p - about).flat() } else { p - about }).collect();
    let radius = (arms.iter().map(|a| a.dot(*a)).sum::<f64>() / count(arms.len())).sqrt().max(1e-9);
    let axes = [Point3::new(1.0, 0.0, 0.0), Point3::new(0.0, 1.0, 0.0), Point3::new(0.0, 0.0, 1.0)];
    let mut columns: Vec<Vec<Point3>> = Vec::new();
    for &axis in &axes[..model.size] {
        columns.push(vec![axis; holes.len()]);
    }
    for &axis in if model.size == 2 { &axes[2..] } else { &axes[..] } {
        columns.push(arms.iter().map(|&arm| axis.cross(arm) * (1.0 / radius)).collect());
    }
    let columns = add_columns(model, &holes, &columns);
    model.terms.push(ErrorTerm { kind, columns, shape: TermShape::Motion { holes, about, radius } });
}

fn add_pitch(survey: &HoleSurvey, model: &mut ErrorModel, index: usize, row: &[usize]) {
    let places: Vec<Point3> =
        row.iter().map(|&h| survey.holes[h].nominal).map(|p| if model.size == 2 { p.flat() } else { p }).collect();
    let steps: Vec<Point3> = places.windows(2).map(|w| w[1] - w[0]).collect();
    let lengths: Vec<f64> = steps.iter().map(|s| s.norm()).collect();
    let whole = places[places.len() - 1] - places[0];
    if lengths.iter().any(|l| *l < 1e-9) || whole.norm() < 1e-9 {
        return;
    }
    let longest = lengths.iter().copied().fold(0.0, f64::max);
    let shortest = lengths.iter().copied().fold(f64::INFINITY, f64::min);
    let laws: &[bool] = if longest - shortest > 0.05 * longest { &[false, true] } else { &[false] };
    for &by_steps in laws {
        let mut grown = vec![Point3::default()];
        for (step, length) in steps.iter().zip(&lengths) {
            let last = grown[grown.len() - 1];
            grown.push(last + if by_steps { *step * (1.0 / length) } else { *step });
        }
        let anchors = [
            (PitchOrigin::First, grown[0]),
            (PitchOrigin::Middle, Point3::centroid(&grown)),
            (PitchOrigin::Last, grown[row.len() - 1]),
        ];
        for (anchor, fixed) in anchors {
            let arms: Vec<Point3> = grown.iter().map(|&g| g - fixed).collect();
            let radius = (arms.iter().map(|a| a.dot(*a)).sum::<f64>() / count(arms.len())).sqrt();
            let growth = arms.iter().map(|&arm| arm * (1.0 / radius)).collect();
            let columns = add_columns(model, row, &[growth]);
            let shape = TermShape::Pitch { holes: row.to_vec(), by_steps, anchor, per_unit: 1.0 / radius };
            model.terms.push(ErrorTerm { kind: Some(ErrorKind::Pitch(index)), columns, shape });
        }
    }
}

/// Adds columns that are nothing outside `holes`.
fn add_columns(model: &mut ErrorModel, holes: &[usize], columns: &[Vec<Point3>]) -> std::ops::Range<usize> {
    let first = model.rows[0].len();
    for row in &mut model.rows {
        row.resize(first + columns.len(), 0.0);
    }
    for (c, column) in columns.iter().enumerate() {
        for (&hole, step) in holes.iter().zip(column) {
            for k in 0..model.size {
                model.rows[hole * model.size + k][first + c] = step.axes()[k];
            }
        }
    }
    first..first + columns.len()
}

/// How far errors may reach, against the scatter: from the largest deviation and the median residual of a fit with
/// everything moved that can move.
fn prior_ratio(model: &ErrorModel) -> f64 {
    let flexible = ErrorModel { ratio: 1e6, ..model.clone() };
    let terms: Vec<usize> =
        (0..model.terms.len()).filter(|&t| matches!(model.terms[t].kind, Some(ErrorKind::Member(_)))).collect();
    let mut weights = vec![1.0; model.holes()];
    let mut solution = flexible.solve(&terms, &weights);
    for _ in 0..12 {
        for (h, w) in weights.iter_mut().enumerate() {
            *w = model.instrument / solution.residual(h, model.size).max(0.1 * model.instrument);
        }
        solution = flexible.solve(&terms, &weights);
    }
    let lengths: Vec<f64> = (0..model.holes()).map(|h| solution.residual(h, model.size)).collect();
    let scatter = model.instrument.max(median(&lengths).unwrap_or(0.0) / 1.2);
    let largest = (0..model.holes()).map(|h| model.step(&model.deviations, h).norm()).fold(0.0, f64::max);
    (largest / scatter).clamp(10.0, 1e4).powi(2)
}

/// What each coordinate's arcs differ from their tangents by under the turns of a solution.
pub(super) fn arc_remainders(survey: &HoleSurvey, model: &ErrorModel, solution: &Solution) -> Vec<f64> {
    let mut remainders = vec![0.0; model.deviations.len()];
    for term in &model.terms {
        let TermShape::Motion { holes, about, radius } = &term.shape else { continue };
        let (numbers, _) = term_numbers(term, solution);
        if numbers.is_empty() {
            continue;
        }
        let (_, turn) = motion_numbers(&numbers, model.size, *radius);
        let exact = Motion::turn(turn, Point3::default());
        for &h in holes {
            let arm = survey.holes[h].nominal - *about;
            let rest = exact.rotate(arm) - arm - turn.cross(arm);
            for k in 0..model.size {
                remainders[h * model.size + k] += rest.axes()[k];
            }
        }
    }
    remainders
}

impl ErrorModel {
    /// The entries of one hole.
    pub(super) fn step(&self, values: &[f64], hole: usize) -> Point3 {
        let at = |k: usize| if k < self.size { values[hole * self.size + k] } else { 0.0 };
        Point3::new(at(0), at(1), at(2))
    }

    /// What these numbers of a term do to a hole.
    pub(super) fn effect(&self, term: &ErrorTerm, numbers: &[f64], hole: usize) -> Point3 {
        let mut moved = [0.0; 3];
        for (k, value) in moved.iter_mut().enumerate().take(self.size) {
            let row = &self.rows[hole * self.size + k];
            *value = term.columns.clone().zip(numbers).map(|(column, number)| row[column] * number).sum();
        }
        Point3::new(moved[0], moved[1], moved[2])
    }
}
