//! Lengths, read exactly.

use super::{Config, Unreadable};
use crate::codes;

/// A length with the text as written.
///
/// Invariant: `picometres` is the exact value of the text: 1/64 in is 396 875 000 pm, 0.001 mm is 1 000 000 pm. A text
/// whose value is no whole number of picometres is refused when it is read.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Length {
    /// The value.
    pub picometres: i64,
    /// As written.
    pub text: String,
}

/// Units with their size in picometres; 1 in is 25.4 mm exactly (international yard and pound agreement, 1959).
const UNITS: &[(&str, i128)] = &[
    ("mm", 1_000_000_000),
    ("cm", 10_000_000_000),
    ("m", 1_000_000_000_000),
    ("um", 1_000_000),
    ("in", 25_400_000_000),
    ("ft", 304_800_000_000),
    ("thou", 25_400_000),
];

/// The unit of lengths that are read by the table of wire gauges.
const GAUGE: &str = "swg";

const UNITS_HELP: &str = "give one of the units mm, cm, m, um, in, ft, thou or swg, as in `12.7mm` or `1/2in`";

impl Length {
    /// Reads a length: a decimal number, a fraction or a whole number and a fraction, then its unit.
    ///
    /// ```
    /// use modstate::quantity::{Config, Length};
    /// let config = Config::built_in();
    /// assert_eq!(Length::parse("1/2in", &config)?.picometres, Length::parse("12.7mm", &config)?.picometres);
    /// assert_eq!(Length::parse("18swg", &config)?.picometres, Length::parse("48thou", &config)?.picometres);
    /// assert!(Length::parse("12.7", &config).is_err()); // no unit
    /// # Ok::<(), modstate::quantity::Unreadable>(())
    /// ```
    ///
    /// # Errors
    /// Says why the text is no length: no unit, an unknown unit or gauge, no number, not exact, or too large.
    pub fn parse(text: &str, config: &Config) -> Result<Length, Unreadable> {
        let bad = |why: String, help: &str| {
            Err(Unreadable::new(codes::UNREADABLE_LENGTH, format!("`{text}` {why}"), "not a length", help))
        };
        let (number, unit) = split_unit(text);
        if unit.is_empty() {
            return bad("has no unit".into(), UNITS_HELP);
        }
        if unit == GAUGE {
            return gauge(number, config)
                .map(|picometres| Length { picometres, text: text.to_owned() })
                .or_else(|(why, help)| bad(why, &help));
        }
        let Some((_, size)) = UNITS.iter().find(|(name, _)| *name == unit) else {
            return bad(format!("ends in `{unit}`, which is not a unit of length"), UNITS_HELP);
        };
        let Some((numerator, denominator)) = fraction(number) else {
            return bad(
                "does not begin with a number".into(),
                "write a decimal number or a fraction before the unit, as in `12.7mm`, `1/2in` or `2 3/16in`",
            );
        };
        let too_large = "give a length under 9000 km, with fewer digits";
        let Some(scaled) = numerator.checked_mul(*size) else {
            return bad("is too large a number".into(), too_large);
        };
        if scaled % denominator != 0 {
            let message = format!("`{text}` is not a whole number of picometres, so it cannot be kept exactly");
            let help = "write it as a decimal number with as many places as were measured";
            return Err(Unreadable::new(codes::INEXACT_LENGTH, message, "not exact", help));
        }
        match i64::try_from(scaled / denominator) {
            Ok(picometres) => Ok(Length { picometres, text: text.to_owned() }),
            Err(_) => bad("is too large a number".into(), too_large),
        }
    }

    /// Whether a text is to be read by the table of wire gauges.
    #[must_use]
    pub fn is_gauge(text: &str) -> bool {
        split_unit(text).1 == GAUGE
    }

    /// The length of 0 mm.
    #[must_use]
    pub fn zero() -> Length {
        Length { picometres: 0, text: "0mm".into() }
    }

    /// The value in millimetres, to the nearest `f64`.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "the nearest f64 is what is asked for")]
    pub fn mm(&self) -> f64 {
        self.picometres as f64 / 1e9
    }
    /// The value in inches, to the nearest `f64`.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "the nearest f64 is what is asked for")]
    pub fn inches(&self) -> f64 {
        self.picometres as f64 / 25.4e9
    }

    /// The value in millimetres to 3 decimals, rounded half away from zero.
    ///
    /// ```
    /// # use modstate::quantity::{Config, Length};
    /// assert_eq!(Length::parse("1/64in", &Config::built_in())?.mm_text(), "0.397 mm");
    /// # Ok::<(), modstate::quantity::Unreadable>(())
    /// ```
    #[must_use]
    pub fn mm_text(&self) -> String {
        format!("{} mm", decimal(self.picometres, 1_000_000, 3))
    }
    /// The value in inches to 4 decimals, rounded half away from zero.
    #[must_use]
    pub fn inches_text(&self) -> String {
        format!("{} in", decimal(self.picometres, 2_540_000, 4))
    }
}

/// The thickness of a gauge; else why there is none, and what to do.
fn gauge(name: &str, config: &Config) -> Result<i64, (String, String)> {
    let Some(swg) = config.swg.known() else {
        let why = "is read by the shop's own wire gauges, and they are not known";
        return Err((why.into(), "correct the shop's own `WireGauges` first".into()));
    };
    if let Some(gauge) = swg.get(name) {
        return Ok(gauge.picometres);
    }
    let ends = swg.first().zip(swg.last());
    let help = ends.map(|((first, _), (last, _))| format!("give a gauge from `{first}swg` to `{last}swg`"));
    let own = if swg.record.is_some() { "the shop's own table" } else { "the table" };
    Err((format!("names a gauge that is not in {own}"), help.unwrap_or_else(|| UNITS_HELP.to_owned())))
}

/// A length along a girth in both units: "0.076 mm (3.0 thou)", from 10 thou on "12.70 mm (500 thou)", from an inch on
/// "76.20 mm (3.000 in)".
#[must_use]
pub fn mm_and_inches(mm: f64) -> String {
    if mm.abs() <= 0.0 {
        "0 mm".to_owned()
    } else if mm.abs() < 0.254 {
        format!("{mm:.3} mm ({:.1} thou)", mm / 0.0254)
    } else if mm.abs() < 25.4 {
        format!("{mm:.2} mm ({:.0} thou)", mm / 0.0254)
    } else {
        format!("{mm:.2} mm ({:.3} in)", mm / 25.4)
    }
}

/// Splits the unit from the end of a text; the number may be followed by a space.
pub(super) fn split_unit(text: &str) -> (&str, &str) {
    let text = text.trim();
    let number = text.trim_end_matches(|c: char| !c.is_ascii_digit() && c != '.' && c != '/');
    let unit = text.strip_prefix(number).expect("the number is the start of the text");
    (number.trim_end(), unit.trim())
}

/// Reads `-12.7`, `1/2` or `2 3/16` as numerator and denominator.
pub(super) fn fraction(text: &str) -> Option<(i128, i128)> {
    let (negative, text) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text),
    };
    let (numerator, denominator) = match text.split_once('/') {
        Some((before, under)) => {
            let (whole, over) = before.rsplit_once(' ').unwrap_or(("0", before));
            let (whole, over, under) = (integer(whole.trim_end())?, integer(over)?, integer(under)?);
            if under == 0 {
                return None;
            }
            (whole.checked_mul(under)?.checked_add(over)?, under)
        }
        None => match text.split_once('.') {
            Some((whole, decimals)) => {
                let denominator = 10_i128.checked_pow(u32::try_from(decimals.len()).ok()?)?;
                let whole = if whole.is_empty() { 0 } else { integer(whole)? };
                (whole.checked_mul(denominator)?.checked_add(integer(decimals)?)?, denominator)
            }
            None => (integer(text)?, 1),
        },
    };
    Some((if negative { -numerator } else { numerator }, denominator))
}

/// Reads digits and nothing else.
fn integer(text: &str) -> Option<i128> {
    if text.is_empty() || !text.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    text.parse().ok()
}

/// `value / step` counted in units of the last of so many decimals.
fn decimal(value: i64, step: i64, places: u32) -> String {
    let (value, step, scale) = (i128::from(value), i128::from(step), 10_i128.pow(places));
    let steps = (value.abs() + step / 2) / step;
    let sign = if value < 0 && steps != 0 { "-" } else { "" };
    format!("{sign}{}.{:0width$}", steps / scale, steps % scale, width = places as usize)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pm(text: &str) -> i64 {
        Length::parse(text, &Config::built_in()).unwrap_or_else(|e| panic!("{}", e.message)).picometres
    }

    fn why(text: &str) -> String {
        Length::parse(text, &Config::built_in()).expect_err("no length").message
    }

    #[test]
    fn every_way_of_writing_is_exact() {
        for (text, expected) in [
            ("12.7mm", 12_700_000_000),
            ("0.500in", 12_700_000_000),
            ("1/2in", 12_700_000_000),
            ("2 3/16in", 55_562_500_000),
            ("2 3/16 in", 55_562_500_000),
            ("-1 1/64in", -25_796_875_000),
            ("55thou", 1_397_000_000),
            ("18swg", 1_219_200_000),
            ("7/0 swg", 12_700_000_000),
            ("1.2m", 1_200_000_000_000),
            ("-3mm", -3_000_000_000),
            (".5mm", 500_000_000),
            ("0.001mm", 1_000_000),
            ("1/64in", 396_875_000),
            ("2.5cm", 25_000_000_000),
            ("3ft", 914_400_000_000),
            ("40um", 40_000_000),
        ] {
            assert_eq!(pm(text), expected, "{text}");
        }
    }

    #[test]
    fn refusals_say_why() {
        assert_eq!(why("12.7"), "`12.7` has no unit");
        assert_eq!(why("12.7furlongs"), "`12.7furlongs` ends in `furlongs`, which is not a unit of length");
        assert_eq!(why("12,7mm"), "`12,7mm` does not begin with a number");
        assert_eq!(why("mm"), "`mm` does not begin with a number");
        assert_eq!(why("1/0in"), "`1/0in` does not begin with a number");
        assert_eq!(why("5.mm"), "`5.mm` does not begin with a number");
        assert_eq!(why("--3mm"), "`--3mm` does not begin with a number");
        assert_eq!(why("51swg"), "`51swg` names a gauge that is not in the table");
        assert_eq!(why("10000000m"), "`10000000m` is too large a number");
        assert_eq!(why("1/3in"), "`1/3in` is not a whole number of picometres, so it cannot be kept exactly");
        assert_eq!(why(""), "`` has no unit");
    }

    #[test]
    fn text_shown_is_rounded() {
        let length = |picometres| Length { picometres, text: String::new() };
        assert_eq!(length(500_000).mm_text(), "0.001 mm");
        assert_eq!(length(-499_999).mm_text(), "0.000 mm");
        assert_eq!(length(-12_700_000_000).mm_text(), "-12.700 mm");
        assert_eq!(length(12_700_000_000).inches_text(), "0.5000 in");
    }
}
