//! The tests that measured places are decided by. Tail areas come from `statrs`.

use statrs::distribution::{ChiSquared, ContinuousCDF, StudentsT};
use statrs::function::gamma::{gamma_lr, ln_gamma};

use super::point::count;

/// The median, in the unit of the values. `None` without values.
#[must_use]
pub fn median(values: &[f64]) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let upper = *sorted.get(sorted.len() / 2)?;
    Some(if sorted.len() % 2 == 1 { upper } else { f64::midpoint(sorted[sorted.len() / 2 - 1], upper) })
}

/// The chance that a chi-square variable of `freedom` degrees exceeds `value`; 1 where there is no freedom.
#[must_use]
pub fn chi_square_above(value: f64, freedom: f64) -> f64 {
    ChiSquared::new(freedom).map_or(1.0, |law| law.sf(value.max(0.0)))
}

/// The coverage factor of a two-sided 95 % interval with `freedom` degrees (Student's t); infinite without freedom.
#[must_use]
pub fn coverage_factor(freedom: f64) -> f64 {
    StudentsT::new(0.0, 1.0, freedom).map_or(f64::INFINITY, |law| law.inverse_cdf(0.975))
}

/// The natural logarithm of the lower incomplete gamma function of `a` at `x`, both above 0, without underflow.
pub(crate) fn ln_lower_gamma(a: f64, x: f64) -> f64 {
    if x >= a + 1.0 {
        return ln_gamma(a) + gamma_lr(a, x).ln();
    }
    // The power series converges fast here: each factor is below x / (a + 1) < 1.
    let (mut term, mut sum, mut k) = (1.0 / a, 1.0 / a, a);
    while term > sum * 1e-16 {
        k += 1.0;
        term *= x / k;
        sum += term;
    }
    a * x.ln() - x + sum.ln()
}

/// The natural logarithm of the number of ways to choose `k` of `n`.
pub(crate) fn ln_choose(n: usize, k: usize) -> f64 {
    ln_gamma(count(n) + 1.0) - ln_gamma(count(k) + 1.0) - ln_gamma(count(n - k) + 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against closed forms: the lower incomplete gamma function of 1 at x is 1 - exp(-x), of 2 it is 1 - (1 + x) exp(-x).
    #[test]
    fn the_incomplete_gamma_function_agrees_with_closed_forms() {
        for x in [1e-9, 1e-3, 0.5, 1.9, 2.1, 3.5, 40.0] {
            let one = -f64::exp_m1(-x);
            assert!((ln_lower_gamma(1.0, x) - one.ln()).abs() < 1e-12, "1, {x}");
            if x > 0.1 {
                let two = 1.0 - (1.0 + x) * (-x).exp();
                assert!((ln_lower_gamma(2.0, x) - two.ln()).abs() < 1e-12, "2, {x}");
            }
        }
        // Where a plain evaluation underflows: x^a / a leads.
        assert!((ln_lower_gamma(100.0, 1e-6) - (100.0 * 1e-6f64.ln() - 100f64.ln())).abs() < 1e-5);
    }

    #[test]
    fn ways_to_choose() {
        assert!((ln_choose(40, 16).exp() / 62_852_101_650.0 - 1.0).abs() < 1e-9);
        assert!(ln_choose(7, 0).abs() < 1e-12);
    }

    /// Table values of any statistics textbook: 3.841 (chi-square, 1 degree, 5 %), 2.228 (Student's t, 10 degrees).
    #[test]
    fn tail_areas_agree_with_printed_tables() {
        assert!((chi_square_above(3.841, 1.0) - 0.05).abs() < 1e-4);
        assert!((coverage_factor(10.0) - 2.228).abs() < 5e-4);
        assert!(coverage_factor(0.0).is_infinite() && (chi_square_above(5.0, 0.0) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn no_values_have_no_median() {
        assert_eq!((median(&[3.0, 1.0]), median(&[])), (Some(2.0), None));
    }
}
