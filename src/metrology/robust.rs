//! A rigid fit that bad holes do not spoil.
//!
//! Least trimmed squares: of all motions fixed by a pair (plane) or a triple (space) of holes, refined by repeated
//! refits to the best-fitting part, the one whose best-fitting 60 % of the holes fit best. It withstands 40 % bad
//! holes. Then a refit to every hole within reach. Source: P. Rousseeuw and K. Van Driessen, Data Mining and Knowledge
//! Discovery 12 (2006) 29, cited from memory. Deterministic: the sets of holes are taken in a fixed order.

use super::fit::{Fit, FitError, fit, fit_in_plane};
use super::point::{Point3, count};

/// A fit to the good holes.
#[derive(Clone, Debug, PartialEq)]
pub struct RobustFit {
    /// The fit to the good pairs; its residuals are those of *all* pairs, its rms that of the good ones.
    pub fit: Fit,
    /// Which pairs it rests on, in rising order.
    pub good: Vec<usize>,
    /// The pairs left out, in rising order.
    pub bad: Vec<usize>,
}

/// Whether points are compared in a plane (third coordinate left out) or in space.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dimension {
    /// In the plane of the first two axes.
    Plane,
    /// In space.
    Space,
}

impl Dimension {
    /// The least-squares fit of this dimension.
    ///
    /// # Errors
    /// As for [`fit`].
    pub fn fit(self, from: &[Point3], to: &[Point3]) -> Result<Fit, FitError> {
        match self {
            Self::Plane => fit_in_plane(from, to),
            Self::Space => fit(from, to),
        }
    }
    /// How many holes fix a motion.
    #[must_use]
    pub const fn minimal(self) -> usize {
        match self {
            Self::Plane => 2,
            Self::Space => 3,
        }
    }
}

/// At most so many starting sets are refined. With 40 % bad holes a pair is good with a chance above one in three, a
/// triple above one in five (from 12 holes on): 120 sets spread over all miss with a chance below 1e-21 and 1e-11.
const STARTS: usize = 120;

/// The robust fit of `from` to `to`; `coordinate` is the standard uncertainty of one coordinate in millimetres (a hole
/// is never called bad for what the instrument may have done).
///
/// # Errors
/// As for [`fit`]; and when there are too few pairs to outvote a bad one (four in the plane, five in space).
pub fn robust_fit(
    from: &[Point3],
    to: &[Point3],
    dimension: Dimension,
    coordinate: f64,
) -> Result<RobustFit, FitError> {
    let all = dimension.fit(from, to)?;
    let n = from.len();
    if n < dimension.minimal() + 2 {
        return Err(FitError::TooFew(dimension.minimal() + 2));
    }
    // What the instrument may have done to every hole leaves none to be doubted.
    if all.residuals.iter().all(|r| r.norm() <= 4.0 * coordinate) {
        return Ok(RobustFit { fit: all, good: (0..n).collect(), bad: Vec::new() });
    }
    let kept = n - n * 2 / 5;
    let sets = starting_sets(n, dimension.minimal());
    let stride = sets.len().div_ceil(STARTS);
    let mut best: Option<(f64, Fit)> = None;
    for set in std::iter::once((0..n).collect()).chain(sets.into_iter().step_by(stride)) {
        let Some((cost, found)) = concentrate(from, to, dimension, set, kept) else { continue };
        if best.as_ref().is_none_or(|(least, _)| cost < *least) {
            best = Some((cost, found));
        }
    }
    let mut found = best.map_or(all, |(_, found)| found);
    let mut good: Vec<usize> = Vec::new();
    for _ in 0..20 {
        let counted = if good.is_empty() { kept } else { good.len() };
        let reach = reach(&found, counted, dimension, coordinate);
        let next: Vec<usize> = (0..n).filter(|&i| found.residuals[i].norm() <= reach).collect();
        if next == good {
            break;
        }
        good = next;
        found = refit(from, to, dimension, &good)?;
    }
    found.rms = (good.iter().map(|&i| found.residuals[i].dot(found.residuals[i])).sum::<f64>()
        / count(good.len().max(1)))
    .sqrt();
    let bad = (0..n).filter(|i| !good.contains(i)).collect();
    Ok(RobustFit { fit: found, good, bad })
}

/// All pairs or triples, in order, the far-apart first indices varying fastest so that a stride spreads over them.
fn starting_sets(n: usize, size: usize) -> Vec<Vec<usize>> {
    let mut sets = Vec::new();
    for gap in 1..n {
        for i in 0..n - gap {
            if size == 2 {
                sets.push(vec![i, i + gap]);
            } else {
                sets.extend((i + gap + 1..n).map(|k| vec![i, i + gap, k]));
            }
        }
    }
    sets
}

/// Refits to the `kept` best-fitting pairs until they stay the same; the cost is their sum of squares.
fn concentrate(
    from: &[Point3],
    to: &[Point3],
    dimension: Dimension,
    mut set: Vec<usize>,
    kept: usize,
) -> Option<(f64, Fit)> {
    for _ in 0..15 {
        let found = refit(from, to, dimension, &set).ok()?;
        let mut order: Vec<usize> = (0..from.len()).collect();
        order.sort_by(|&a, &b| squares(&found, a).total_cmp(&squares(&found, b)));
        order.truncate(kept);
        order.sort_unstable();
        if order == set {
            return Some((set.iter().map(|&i| squares(&found, i)).sum(), found));
        }
        set = order;
    }
    let found = refit(from, to, dimension, &set).ok()?;
    Some((set.iter().map(|&i| squares(&found, i)).sum(), found))
}

fn squares(fit: &Fit, i: usize) -> f64 {
    fit.residuals[i].dot(fit.residuals[i])
}

/// A fit to some pairs, with the residuals of all.
fn refit(from: &[Point3], to: &[Point3], dimension: Dimension, set: &[usize]) -> Result<Fit, FitError> {
    let pick = |points: &[Point3]| -> Vec<Point3> { set.iter().map(|&i| points[i]).collect() };
    let mut found = dimension.fit(&pick(from), &pick(to))?;
    found.residuals = from
        .iter()
        .zip(to)
        .map(|(&a, &b)| match dimension {
            Dimension::Plane => b.flat() - found.motion.apply(a.flat()),
            Dimension::Space => b - found.motion.apply(a),
        })
        .collect();
    Ok(found)
}

/// How far a good hole may lie off: four standard deviations, taken from the median residual of the `counted`
/// best-fitting holes and never below the instrument's.
fn reach(found: &Fit, counted: usize, dimension: Dimension, coordinate: f64) -> f64 {
    let mut lengths: Vec<f64> = found.residuals.iter().map(|r| r.norm()).collect();
    lengths.sort_by(f64::total_cmp);
    // The median length of a normal error of unit deviation: 1.1774 in the plane, 1.5382 in space.
    let unit = match dimension {
        Dimension::Plane => 1.1774,
        Dimension::Space => 1.5382,
    };
    // The fit was drawn to the kept part: a small-sample factor as in the least-median literature.
    let factor = 1.0 + 5.0 / count(lengths.len() - dimension.minimal()).max(1.0);
    4.0 * coordinate.max(factor * lengths[counted / 2] / unit)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::metrology::point::Motion;

    #[test]
    fn two_bad_points_in_five_are_left_out_in_space() {
        let at = |k: usize| count(k) * 61.0 % 200.0;
        let from: Vec<Point3> = (0..10).map(|k| Point3::new(at(k), at(k * k), at(7 * k + 3))).collect();
        let stand = Motion::turn(Point3::new(0.2, 1.1, -0.6), Point3::new(50.0, 60.0, 70.0));
        let mut to: Vec<Point3> = from.iter().map(|&p| stand.apply(p)).collect();
        for (k, p) in to.iter_mut().enumerate().take(4) {
            *p = *p + Point3::new(3.0, count(k), -2.0);
        }
        let found = robust_fit(&from, &to, Dimension::Space, 0.01).expect("ten points");
        assert_eq!((found.bad, found.good), ((0..4).collect(), (4..10).collect()));
        assert!(found.fit.rms < 1e-9);
    }

    #[test]
    fn too_few_holes_cannot_outvote_a_bad_one() {
        let three = [Point3::default(), Point3::new(9.0, 0.0, 0.0), Point3::new(0.0, 9.0, 0.0)];
        assert_eq!(robust_fit(&three, &three, Dimension::Plane, 0.01), Err(FitError::TooFew(4)));
    }
}
