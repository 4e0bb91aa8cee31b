//! Masses.

use super::Unreadable;
use super::length::{fraction, split_unit};
use crate::codes;

/// A mass with the text as written.
///
/// Invariant: `micrograms` is the value of the text, exact for kilograms and grams, to the nearest microgram (half
/// away from zero) for pounds and ounces; never negative.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mass {
    /// The value.
    pub micrograms: i64,
    /// As written.
    pub text: String,
}

/// Units with their size in hundredths of a nanogram; 1 lb is 0.453 592 37 kg exactly (international yard and pound
/// agreement, 1959), and 16 oz are 1 lb.
const UNITS: &[(&str, i128)] = &[
    ("kg", 1_000_000_000 * PER_MICROGRAM),
    ("g", 1_000_000 * PER_MICROGRAM),
    ("mg", 1_000 * PER_MICROGRAM),
    ("lb", 453_592_370 * PER_MICROGRAM),
    ("oz", 453_592_370 * PER_MICROGRAM / 16),
];
const PER_MICROGRAM: i128 = 100_000;

impl Mass {
    /// Reads a mass: a decimal number or a fraction, then kg, g, mg, lb or oz.
    ///
    /// ```
    /// use modstate::quantity::Mass;
    /// assert_eq!(Mass::parse("0.42kg")?.micrograms, 420_000_000);
    /// assert_eq!(Mass::parse("16oz")?.micrograms, Mass::parse("1lb")?.micrograms);
    /// # Ok::<(), modstate::quantity::Unreadable>(())
    /// ```
    ///
    /// # Errors
    /// Says why the text is no mass.
    pub fn parse(text: &str) -> Result<Mass, Unreadable> {
        let bad = |why: &str| {
            let help = "write a number and one of the units kg, g, mg, lb or oz, as in `0.42kg`";
            Unreadable::new(codes::UNREADABLE_MASS, format!("`{text}` {why}"), "not a mass", help)
        };
        let (number, unit) = split_unit(text);
        if unit.is_empty() {
            return Err(bad("has no unit"));
        }
        let (_, size) = UNITS.iter().find(|(name, _)| *name == unit).ok_or_else(|| bad("has an unknown unit"))?;
        let (numerator, denominator) = fraction(number).ok_or_else(|| bad("does not begin with a number"))?;
        if numerator < 0 {
            return Err(bad("is less than nothing"));
        }
        let whole = denominator * PER_MICROGRAM;
        let scaled = numerator.checked_mul(*size).ok_or_else(|| bad("is too large a number"))?;
        let exact = unit.ends_with('g');
        if exact && scaled % whole != 0 {
            return Err(bad("is not a whole number of micrograms"));
        }
        let micrograms = i64::try_from((scaled + whole / 2) / whole).map_err(|_| bad("is too large a number"))?;
        Ok(Mass { micrograms, text: text.to_owned() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn metric_is_exact_and_imperial_to_the_microgram() {
        for (text, expected) in [
            ("0.42kg", 420_000_000),
            ("350g", 350_000_000),
            ("1.5 mg", 1500),
            ("1.2lb", 544_310_844),
            ("3oz", 85_048_569),   // 85.048 569 375 g
            ("1/2oz", 14_174_762), // 14.174 761 5625 g
        ] {
            assert_eq!(Mass::parse(text).map(|mass| mass.micrograms), Ok(expected), "{text}");
        }
    }

    #[test]
    fn refusals_say_why() {
        for (text, why) in [
            ("350", "`350` has no unit"),
            ("3st", "`3st` has an unknown unit"),
            ("-1kg", "`-1kg` is less than nothing"),
            ("heavy kg", "`heavy kg` has an unknown unit"),
            ("0.0001mg", "`0.0001mg` is not a whole number of micrograms"),
            ("99999999999999999999999999999999kg", "`99999999999999999999999999999999kg` is too large a number"),
        ] {
            assert_eq!(Mass::parse(text).map_err(|e| e.message), Err(why.to_owned()));
        }
    }
}
