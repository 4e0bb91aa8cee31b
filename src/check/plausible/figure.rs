//! Figures as they may have been meant.

use crate::quantity::Length;

/// How many times as large the figure that was meant is as the one that is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Factor {
    /// The decimal point stands one place too far left.
    Ten,
    /// The decimal point stands one place too far right.
    Tenth,
    /// Inches, written as millimetres.
    Inch,
    /// Millimetres, written as inches.
    PerInch,
}

impl Factor {
    pub(super) const ALL: [Factor; 4] = [Factor::Inch, Factor::PerInch, Factor::Ten, Factor::Tenth];

    pub(super) fn times(self) -> f64 {
        match self {
            Factor::Ten => 10.0,
            Factor::Tenth => 0.1,
            Factor::Inch => 25.4,
            Factor::PerInch => 1.0 / 25.4,
        }
    }

    /// The length as it may have been meant, in the manner in which it is written.
    pub(super) fn meant(self, written: &Length) -> String {
        let text = written.text.trim();
        let unit = unit_of(written);
        let number = text.strip_suffix(unit).unwrap_or(text).trim_end();
        let value: Option<f64> = number.parse().ok();
        let decimals = number.split_once('.').map_or(0, |(_, decimals)| decimals.len());
        match (self, unit, value) {
            (Factor::Inch, "mm", _) => format!("{number}in"),
            (Factor::PerInch, "in", _) => format!("{number}mm"),
            (Factor::Ten, _, Some(value)) => format!("{:.*}{unit}", decimals.saturating_sub(1), value * 10.0),
            (Factor::Tenth, _, Some(value)) => format!("{:.*}{unit}", decimals + 1, value / 10.0),
            _ => format!("{:.3}mm", written.mm() * self.times()),
        }
    }
}

/// The unit in which a length is written.
pub(super) fn unit_of(length: &Length) -> &str {
    length.text.trim().trim_start_matches(|c: char| !c.is_ascii_alphabetic())
}

/// The factor by which one figure becomes the other, if there is one.
pub(super) fn factor_between(written_mm: f64, wanted_mm: f64) -> Option<Factor> {
    let near = |factor: &Factor| (written_mm * factor.times() - wanted_mm).abs() <= wanted_mm.abs() * 1e-3;
    Factor::ALL.into_iter().find(near).filter(|_| wanted_mm.abs() > 0.0)
}

/// Whether two figures differ by two neighbouring digits that are exchanged, as `186.40in` and `168.40in` do.
pub(super) fn digits_exchanged(one: &str, other: &str) -> bool {
    one != other && one.len() == other.len() && strsim::osa_distance(one, other) == 1 && {
        let sorted = |text: &str| {
            let mut letters: Vec<char> = text.chars().collect();
            letters.sort_unstable();
            letters
        };
        sorted(one) == sorted(other)
    }
}
