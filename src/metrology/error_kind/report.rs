//! From the best explanation to errors in numbers, suspects, scatter and remedies.

use crate::metrology::point::{Point3, count};
use crate::metrology::position::{LimitVerdict, deviation_diameter, judge, position_guard};
use crate::metrology::statistics::{chi_square_above, coverage_factor};

use super::evidence::{ErrorModel, ErrorTerm, Solution, TermShape};
use super::search::{Explanation, Search, Without};
use super::{
    ErrorKind, ErrorVerdict, HoleSurvey, PitchLaw, Remedy, SCATTER_CHANCE, Scatter, ScatterSource, Size, SurveyError,
    SuspectError,
};

/// A [`super::Diagnosis`] but for the deviations that it started from.
pub(super) struct Report {
    pub(super) errors: Vec<SurveyError>,
    pub(super) suspects: Vec<SuspectError>,
    pub(super) residuals: Vec<Point3>,
    pub(super) scatter: Scatter,
    pub(super) outcome: ErrorVerdict,
}

/// The best explanation, fitted.
struct FittedErrors<'a> {
    survey: &'a HoleSurvey,
    model: &'a ErrorModel,
    best: Explanation,
    solution: Solution,
    residuals: Vec<Point3>,
}

pub(super) fn report(survey: &HoleSurvey, model: &ErrorModel, mut best: Explanation) -> Report {
    let mut search = Search::new(model);
    let rivals = drop_chance_finds(model, &mut search, &mut best, survey.odds.worth_naming());
    let solution = model.solve(&best.terms, &model.weights(&best.bad));
    let residuals = (0..model.holes()).map(|h| model.step(&solution.residuals, h)).collect();
    let fitted = FittedErrors { survey, model, best, solution, residuals };
    let scatter = fitted.scatter(&search);
    let expanded = coverage_factor(scatter.freedom) * scatter.standard.max(model.instrument);
    let known = kinds(model, &fitted.best);
    let (mut errors, mut suspects) = (Vec::new(), Vec::new());
    for (kind, rival) in rivals {
        let term = fitted.best.terms.iter().copied().find(|&t| model.terms[t].kind == Some(kind));
        let (size, remedy) = match (kind, term) {
            (ErrorKind::Hole(hole), _) => fitted.hole(hole, expanded),
            (_, Some(term)) => fitted.term(kind, term, expanded, &mut search),
            (_, None) => continue,
        };
        let error = SurveyError { kind, size, margin: rival.cost - fitted.best.cost, remedy };
        if error.margin >= survey.odds.decisive() {
            errors.push(error);
        } else {
            let instead = kinds(model, &rival).into_iter().filter(|k| !known.contains(k)).collect();
            suspects.push(SuspectError { error, instead });
        }
    }
    let outcome = match (suspects.is_empty(), errors.is_empty()) {
        (false, _) => ErrorVerdict::NotDecidable,
        (true, true) => ErrorVerdict::ScatterOnly,
        (true, false) => ErrorVerdict::Explained,
    };
    Report { errors, suspects, residuals: fitted.residuals, scatter, outcome }
}

/// Takes out of `best`, one by one, the errors that scatter explains nearly as well; the rivals of those that stay.
fn drop_chance_finds(
    model: &ErrorModel,
    search: &mut Search<'_>,
    best: &mut Explanation,
    worth_naming: f64,
) -> Vec<(ErrorKind, Explanation)> {
    loop {
        let known = kinds(model, best);
        let rivals: Vec<_> = known.iter().map(|&kind| (kind, search.rival(best, kind))).collect();
        let chance = |(_, rival): &&(ErrorKind, Explanation)| {
            rival.cost - best.cost < worth_naming && kinds(model, rival).iter().all(|k| known.contains(k))
        };
        let weakest = rivals.iter().filter(chance).min_by(|a, b| a.1.cost.total_cmp(&b.1.cost));
        match weakest {
            Some((_, rival)) => *best = rival.clone(),
            None => return rivals,
        }
    }
}

/// The errors of an explanation, by kind.
fn kinds(model: &ErrorModel, explanation: &Explanation) -> Vec<ErrorKind> {
    let terms = explanation.terms.iter().filter_map(|&t| model.terms[t].kind);
    let mut kinds: Vec<ErrorKind> = terms.chain(explanation.bad.iter().map(|&h| ErrorKind::Hole(h))).collect();
    kinds.sort_unstable();
    kinds
}

impl FittedErrors<'_> {
    fn scatter(&self, search: &Search<'_>) -> Scatter {
        let (model, best) = (self.model, &self.best);
        let instrument = model.instrument;
        let (squares, freedom) = model.scatter(&best.bad, &self.solution);
        let chance = chi_square_above(squares / instrument.powi(2), freedom);
        let instrument_does = |terms: &[usize], bad: &[usize]| {
            let (squares, freedom) = model.scatter(bad, &model.solve(terms, &model.weights(bad)));
            chi_square_above(squares / instrument.powi(2), freedom) >= SCATTER_CHANCE / 1000.0
        };
        let source = if chance >= SCATTER_CHANCE {
            ScatterSource::Instrument
        } else if search.any_near(best, self.survey.odds.decisive(), &instrument_does) {
            ScatterSource::NotDecidable
        } else {
            ScatterSource::Holes
        };
        let remedy = match source {
            ScatterSource::Instrument => Remedy::Nothing,
            ScatterSource::Holes | ScatterSource::NotDecidable => {
                redrill(self.out_of_zone(&self.residuals, (0..model.holes()).filter(|h| !best.bad.contains(h))))
            }
        };
        let standard = if freedom > 0.0 { (squares / freedom).sqrt() } else { instrument };
        Scatter { standard, instrument, freedom, chance, source, remedy }
    }

    fn hole(&self, hole: usize, expanded: f64) -> (Size, Remedy) {
        let size = Size::Offset { offset: self.residuals[hole], uncertainty: expanded };
        (size, redrill(self.out_of_zone(&self.residuals, std::iter::once(hole))))
    }

    fn term(&self, kind: ErrorKind, index: usize, expanded: f64, search: &mut Search<'_>) -> (Size, Remedy) {
        let (model, term) = (self.model, &self.model.terms[index]);
        let (numbers, deviations) = term_numbers(term, &self.solution);
        // What this error and the scatter do to each hole when all other errors are put right.
        let alone: Vec<Point3> =
            (0..model.holes()).map(|h| self.residuals[h] + model.effect(term, &numbers, h)).collect();
        let (TermShape::Motion { holes, .. } | TermShape::Pitch { holes, .. }) = &term.shape;
        let out = self.out_of_zone(&alone, holes.iter().copied());
        match &term.shape {
            TermShape::Motion { about, radius, .. } => {
                let spread: Vec<f64> = deviations.iter().map(|d| d * expanded).collect();
                let (shift, turn) = motion_numbers(&numbers, model.size, *radius);
                let (shift_uncertainty, turn_uncertainty) = motion_numbers(&spread, model.size, *radius);
                let size = Size::Motion { shift, shift_uncertainty, turn, turn_uncertainty, about: *about };
                let back = (-shift, -turn, *about);
                let remedy = match (kind, back) {
                    _ if out.is_empty() => Remedy::Nothing,
                    (ErrorKind::Member(member), (shift, turn, about)) => {
                        Remedy::MoveMember { member, shift, turn, about }
                    }
                    (_, (shift, turn, about)) => Remedy::ResetDatum { shift, turn, about },
                };
                (size, remedy)
            }
            TermShape::Pitch { holes, by_steps, anchor, per_unit } => {
                let (first, last) = (holes[0], holes[holes.len() - 1]);
                let line = self.survey.holes[last].nominal - self.survey.holes[first].nominal;
                let grown = model.effect(term, &numbers, last) - model.effect(term, &numbers, first);
                let over_row = grown.dot(line) / line.norm();
                let (law, each) = match (self.tells_law(index, kind, *by_steps, search), by_steps) {
                    (false, _) => (PitchLaw::Either, over_row / count(holes.len() - 1)),
                    (true, true) => (PitchLaw::Steps, numbers[0] * per_unit),
                    (true, false) => (PitchLaw::Scale, numbers[0] * per_unit),
                };
                let uncertainty = (deviations[0] * expanded * each / numbers[0]).abs();
                (Size::Pitch { law, anchor: *anchor, each, uncertainty, over_row }, redrill(out))
            }
        }
    }

    /// Whether every explanation with the other law of the row is decisively worse; no where the steps are equal.
    fn tells_law(&self, index: usize, kind: ErrorKind, by_steps: bool, search: &mut Search<'_>) -> bool {
        let is_other = |term: &ErrorTerm| {
            term.kind == Some(kind) && matches!(term.shape, TermShape::Pitch { by_steps: law, .. } if law != by_steps)
        };
        let others: Vec<usize> = (0..self.model.terms.len()).filter(|&t| is_other(&self.model.terms[t])).collect();
        !others.is_empty()
            && others.into_iter().all(|other| {
                let mut swapped: Vec<usize> =
                    self.best.terms.iter().map(|&t| if t == index { other } else { t }).collect();
                swapped.sort_unstable();
                search.settle(swapped, Without::Nothing).cost >= self.best.cost + self.survey.odds.decisive()
            })
    }

    /// Of these holes, those whose deviation is proved out of their zone.
    fn out_of_zone(&self, deviations: &[Point3], holes: impl Iterator<Item = usize>) -> Vec<usize> {
        holes
            .filter(|&h| {
                let d = deviations[h];
                let guard = position_guard(self.survey.instrument);
                judge(deviation_diameter(d.x.hypot(d.y), d.z), self.survey.holes[h].zone, guard) == LimitVerdict::Fail
            })
            .collect()
    }
}

fn redrill(holes: Vec<usize>) -> Remedy {
    if holes.is_empty() { Remedy::Nothing } else { Remedy::PlugAndRedrill { holes } }
}

/// A term's numbers and their standard deviations for unit scatter; none where the solution does not use the term.
pub(super) fn term_numbers(term: &ErrorTerm, solution: &Solution) -> (Vec<f64>, Vec<f64>) {
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
pub(super) fn motion_numbers(numbers: &[f64], size: usize, radius: f64) -> (Point3, Point3) {
    let at = |k: usize| numbers.get(k).copied().unwrap_or(0.0);
    if size == 2 {
        (Point3::new(at(0), at(1), 0.0), Point3::new(0.0, 0.0, at(2) / radius))
    } else {
        (Point3::new(at(0), at(1), at(2)), Point3::new(at(3), at(4), at(5)) * (1.0 / radius))
    }
}
