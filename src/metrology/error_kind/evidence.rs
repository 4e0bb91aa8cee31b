//! How well a set of errors explains the deviations.
//!
//! A linear model: the deviation of each hole is the sum of what the supposed errors do to it, and scatter. Errors are
//! given a normal prior whose spread is a fixed multiple of the scatter; the scatter is unknown but never below the
//! instrument's. Then the evidence for a set of errors has a closed form (normal-inverse-gamma, the scatter's part cut
//! off at the instrument's): it weighs fit against the number of errors supposed, and needs no threshold per kind.
//! Source: the conjugate normal linear model of any textbook, e.g. Gelman et al., Bayesian Data Analysis, ch. 14,
//! cited from memory. A hole supposed bad counts with the prior's spread instead of the scatter.

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

use crate::metrology::point::{Point3, count};
use crate::metrology::statistics::{ln_choose, ln_lower_gamma};

use super::{ErrorKind, PitchOrigin};

/// A supposed error that touches several holes.
#[derive(Clone, Debug)]
pub(super) struct ErrorTerm {
    /// What it is; `None` for the frame in which the survey was taken, which is always free.
    pub(super) kind: Option<ErrorKind>,
    /// Its first column and the one past its last.
    pub(super) columns: std::ops::Range<usize>,
    /// What its numbers mean.
    pub(super) shape: TermShape,
}

/// What the numbers of a term mean.
#[derive(Clone, Debug)]
pub(super) enum TermShape {
    /// A shift (first numbers, mm), then a turn (in mm at `radius` from `about`) of these holes.
    Motion {
        /// The holes, in rising order.
        holes: Vec<usize>,
        /// Their middle.
        about: Point3,
        /// The root of their mean squared distance from it.
        radius: f64,
    },
    /// An error that grows along a row.
    Pitch {
        /// The holes from the first to the last.
        holes: Vec<usize>,
        /// Whether it grows with the number of steps (else with the distance).
        by_steps: bool,
        /// Where it is nothing.
        anchor: PitchOrigin,
        /// What the number multiplies to give the error per step or per millimetre.
        per_unit: f64,
    },
}

/// The deviations and everything that could explain them.
#[derive(Clone, Debug)]
pub(super) struct ErrorModel {
    /// Coordinates per hole: 2 or 3.
    pub(super) size: usize,
    /// The deviations, coordinate by coordinate.
    pub(super) deviations: Vec<f64>,
    /// All supposed errors but bad holes; the always-free frame first, where there is one.
    pub(super) terms: Vec<ErrorTerm>,
    /// One row of all columns per coordinate.
    pub(super) rows: Vec<Vec<f64>>,
    /// Variance of an error's prior over the variance of the scatter.
    pub(super) ratio: f64,
    /// The instrument's standard uncertainty of one coordinate, mm.
    pub(super) instrument: f64,
}

/// A set of errors fitted.
#[derive(Clone, Debug)]
pub(super) struct Solution {
    /// The columns in use and their numbers.
    pub(super) columns: Vec<usize>,
    /// As `columns`.
    pub(super) numbers: Vec<f64>,
    /// Deviations less what the terms explain, for all holes.
    pub(super) residuals: Vec<f64>,
    /// Weighted squares and the prior's share.
    squares: f64,
    /// The factorised normal matrix.
    factor: Cholesky<f64, Dyn>,
}

impl Solution {
    /// The length of a hole's residual.
    pub(super) fn residual(&self, hole: usize, size: usize) -> f64 {
        self.residuals[hole * size..(hole + 1) * size].iter().map(|r| r * r).sum::<f64>().sqrt()
    }
    /// The variance of each number, for unit scatter.
    pub(super) fn variances(&self) -> Vec<f64> {
        let inverse = self.factor.inverse();
        (0..self.columns.len()).map(|i| inverse[(i, i)]).collect()
    }
}

impl ErrorModel {
    pub(super) fn holes(&self) -> usize {
        self.deviations.len() / self.size
    }

    /// The columns of these terms and of the frame.
    fn columns(&self, terms: &[usize]) -> Vec<usize> {
        self.terms
            .iter()
            .enumerate()
            .filter(|(i, term)| term.kind.is_none() || terms.contains(i))
            .flat_map(|(_, term)| term.columns.clone())
            .collect()
    }

    /// Fits these terms with a weight for each hole.
    pub(super) fn solve(&self, terms: &[usize], weights: &[f64]) -> Solution {
        let columns = self.columns(terms);
        let p = columns.len();
        let mut normal = vec![0.0; p * p];
        let mut right = vec![0.0; p];
        let mut used: Vec<(usize, f64)> = Vec::with_capacity(p);
        for (k, row) in self.rows.iter().enumerate() {
            let (weight, y) = (weights[k / self.size], self.deviations[k]);
            used.clear();
            used.extend(columns.iter().enumerate().filter(|(_, c)| row[**c] != 0.0).map(|(i, c)| (i, row[*c])));
            for (a, &(i, x)) in used.iter().enumerate() {
                right[i] += weight * x * y;
                for &(j, z) in &used[..=a] {
                    normal[j * p + i] += weight * x * z;
                }
            }
        }
        for i in 0..p {
            normal[i * p + i] += 1.0 / self.ratio;
        }
        // Column-major: entry (i, j) with i >= j lies at j * p + i, and the factorisation reads the lower half only.
        let factor = Cholesky::new(DMatrix::from_vec(p, p, normal)).expect("the prior keeps the matrix positive");
        let numbers: Vec<f64> = factor.solve(&DVector::from_vec(right)).iter().copied().collect();
        let mut squares = numbers.iter().map(|b| b * b).sum::<f64>() / self.ratio;
        let mut residuals = Vec::with_capacity(self.rows.len());
        for (k, row) in self.rows.iter().enumerate() {
            let explained: f64 = columns.iter().zip(&numbers).map(|(c, b)| row[*c] * b).sum();
            let residual = self.deviations[k] - explained;
            squares += weights[k / self.size] * residual * residual;
            residuals.push(residual);
        }
        Solution { columns, numbers, residuals, squares, factor }
    }

    /// The weights when these holes are supposed bad.
    pub(super) fn weights(&self, bad: &[usize]) -> Vec<f64> {
        let mut weights = vec![1.0; self.holes()];
        for &hole in bad {
            weights[hole] = 1.0 / (1.0 + self.ratio);
        }
        weights
    }

    /// Minus twice the logarithm of the evidence: the less, the better explained. Differences count, not values.
    pub(super) fn cost(&self, terms: &[usize], bad: &[usize], solution: &Solution) -> f64 {
        let coordinates = count(self.rows.len());
        let half = coordinates / 2.0;
        // Rounding may leave nothing at all; a thousandth of the instrument's scatter is nothing.
        let squares = solution.squares.max(1e-6 * self.instrument * self.instrument);
        let scatter = coordinates * (squares / 2.0).ln()
            - 2.0 * ln_lower_gamma(half, squares / (2.0 * self.instrument * self.instrument));
        let factor = solution.factor.l_dirty();
        let p = solution.columns.len();
        let spread = (0..p).map(|i| 2.0 * factor[(i, i)].ln()).sum::<f64>() + count(p) * self.ratio.ln();
        let holes = count(bad.len() * self.size) * self.ratio.ln_1p();
        scatter + spread + holes + self.prior(terms, bad)
    }

    /// The cost of these terms and bad holes.
    pub(super) fn cost_of(&self, terms: &[usize], bad: &[usize]) -> f64 {
        self.cost(terms, bad, &self.solve(terms, &self.weights(bad)))
    }

    /// What an error costs before anything was measured: odds of one in five for each, shared among the members, rows or
    /// holes that it could be.
    fn prior(&self, terms: &[usize], bad: &[usize]) -> f64 {
        let of = |wanted: fn(ErrorKind) -> bool, among: &mut dyn Iterator<Item = usize>| -> usize {
            among.filter(|&t| self.terms[t].kind.is_some_and(wanted)).count()
        };
        let mut cost = 2.0 * count(terms.len() + bad.len()) * 5f64.ln();
        for wanted in
            [(|k| matches!(k, ErrorKind::Member(_))) as fn(ErrorKind) -> bool, |k| matches!(k, ErrorKind::Pitch(_))]
        {
            let all = of(wanted, &mut (0..self.terms.len()));
            let supposed = of(wanted, &mut terms.iter().copied());
            cost += 2.0 * ln_choose(all, supposed);
        }
        cost + 2.0 * ln_choose(self.holes(), bad.len())
    }

    /// The scatter left: its variance (never below the instrument's) and the degrees of freedom behind it.
    pub(super) fn scatter(&self, bad: &[usize], solution: &Solution) -> (f64, f64) {
        let good: Vec<usize> = (0..self.holes()).filter(|h| !bad.contains(h)).collect();
        let squares: f64 = good.iter().map(|&h| solution.residual(h, self.size).powi(2)).sum();
        // A number that the data do not hold costs no freedom: its variance stays near the prior's.
        let fixed: f64 = solution.variances().iter().map(|v| 1.0 - (v / self.ratio).min(1.0)).sum();
        let freedom = count(good.len() * self.size) - fixed;
        (squares, freedom)
    }
}
