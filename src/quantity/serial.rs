//! Serials and sets of serials.

use super::Unreadable;
use crate::codes;
use serde::Serialize;

/// A serial: prefix, number, suffix, and the text as written.
///
/// The number is the last run of digits; what stands before it names the series, digits included (`41-13297` is
/// number 13297 of the series `41-`).
///
/// Invariant: order and equality are those of prefix, number and suffix; serials of different prefix are different
/// series and never lie in one range.
#[derive(Clone, Debug, Serialize)]
pub struct Serial {
    /// What stands before the number.
    pub prefix: String,
    /// The number.
    pub number: u32,
    /// What stands behind the number.
    pub suffix: String,
    /// As written, leading zeros included.
    pub text: String,
}

/// A set of serials: ranges with both ends included.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct SerialSet(pub Vec<SerialRange>);

/// A range of serials of one series.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SerialRange {
    /// The series.
    pub prefix: String,
    /// Where it starts, with its suffix; `None`: with the first of the series.
    pub from: Option<(u32, String)>,
    /// Where it ends, with its suffix; `None`: it does not.
    pub to: Option<(u32, String)>,
}

impl SerialSet {
    /// Whether the serial is one of the set.
    #[must_use]
    pub fn contains(&self, serial: &Serial) -> bool {
        self.0.iter().any(|range| range.contains(serial))
    }
}

impl SerialRange {
    /// Whether the serial lies in the range.
    #[must_use]
    pub fn contains(&self, serial: &Serial) -> bool {
        let at = (serial.number, serial.suffix.as_str());
        self.prefix == serial.prefix
            && self.from.as_ref().is_none_or(|(number, suffix)| (*number, suffix.as_str()) <= at)
            && self.to.as_ref().is_none_or(|(number, suffix)| at <= (*number, suffix.as_str()))
    }
}

impl PartialEq for Serial {
    fn eq(&self, other: &Serial) -> bool {
        self.key() == other.key()
    }
}
impl Eq for Serial {}
impl PartialOrd for Serial {
    fn partial_cmp(&self, other: &Serial) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Serial {
    fn cmp(&self, other: &Serial) -> std::cmp::Ordering {
        self.key().cmp(&other.key())
    }
}

impl Serial {
    fn key(&self) -> (&str, u32, &str) {
        (&self.prefix, self.number, &self.suffix)
    }
}

impl Serial {
    /// The serial of the same series with another number, written with at least as many digits as this one.
    #[must_use]
    pub fn numbered(&self, number: u32) -> Serial {
        let Serial { prefix, suffix, text, .. } = self;
        let digits = text.len() - prefix.len() - suffix.len();
        let text = format!("{prefix}{number:0digits$}{suffix}");
        Serial { prefix: prefix.clone(), number, suffix: suffix.clone(), text }
    }

    /// Reads a serial.
    ///
    /// ```
    /// let serial = modstate::quantity::Serial::parse("TJ-99")?;
    /// assert_eq!((serial.prefix.as_str(), serial.number), ("TJ-", 99));
    /// # Ok::<(), modstate::quantity::Unreadable>(())
    /// ```
    ///
    /// # Errors
    /// Says why the text is no serial.
    ///
    /// # Panics
    /// Never: what is left of a text when its end is trimmed starts the text.
    pub fn parse(text: &str) -> Result<Serial, Unreadable> {
        let bad = |why: &str, help: &str| {
            Err(Unreadable::new(codes::UNREADABLE_SERIAL, format!("`{text}` {why}"), "not a serial", help))
        };
        let written = text.trim();
        let till = written.trim_end_matches(|c: char| !c.is_ascii_digit());
        let prefix = till.trim_end_matches(|c: char| c.is_ascii_digit());
        let suffix = written.strip_prefix(till).expect("a trimmed text starts the text");
        let digits = till.strip_prefix(prefix).expect("a trimmed text starts the text");
        if digits.is_empty() {
            return bad("has no number in it, so it is not a serial", "write the serial as on the data plate");
        }
        if written.contains("..") {
            return bad("is a range, where one serial is meant", "name one serial");
        }
        if let Some((from, to)) = two_serials(prefix, digits, suffix) {
            return bad("looks like two serials", &format!("write a range with two dots, as in `{from}..{to}`"));
        }
        match digits.parse() {
            Ok(number) => {
                Ok(Serial { prefix: prefix.to_owned(), number, suffix: suffix.to_owned(), text: written.to_owned() })
            }
            Err(_) => bad("has too large a number for a serial", "check it against the data plate"),
        }
    }
}

/// Tells `HB101-HB160` from a serial whose series has digits in its name.
fn two_serials(prefix: &str, digits: &str, suffix: &str) -> Option<(String, String)> {
    let numbers_start = |at: &usize| {
        let (before, from) = prefix.split_at(*at);
        before.ends_with(|c: char| !c.is_ascii_digit()) && from.starts_with(|c: char| c.is_ascii_digit())
    };
    let starts = prefix.char_indices().map(|(at, _)| at).filter(numbers_start);
    let mut tried = starts.filter_map(|at| {
        let (series, rest) = prefix.split_at(at);
        let between = rest.trim_start_matches(|c: char| c.is_ascii_digit());
        let first = rest.strip_suffix(between)?;
        between.ends_with(series).then(|| (format!("{series}{first}"), format!("{series}{digits}{suffix}")))
    });
    tried.next()
}

/// A range of serials as written, with the serials at its ends.
///
/// Invariant: at least one end is given; both are of one series, and the first is not after the last.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WrittenRange {
    /// The first serial; `None`: the first of the series.
    pub from: Option<Serial>,
    /// The last serial; `None`: no end.
    pub to: Option<Serial>,
}

impl WrittenRange {
    /// Reads a single serial, or a range, which may be open at one end.
    ///
    /// ```
    /// use modstate::quantity::serial::{Serial, WrittenRange};
    /// let range = WrittenRange::parse("..C231")?.range();
    /// assert!(range.contains(&Serial::parse("C231")?));
    /// assert!(!range.contains(&Serial::parse("C232")?));
    /// assert!(WrittenRange::parse("HB101..HC160").is_err()); // two series
    /// # Ok::<(), modstate::quantity::Unreadable>(())
    /// ```
    ///
    /// # Errors
    /// Says why the text is no range: an end that is no serial, ends of two series, or an end before the start.
    pub fn parse(text: &str) -> Result<WrittenRange, Unreadable> {
        let Some((first, last)) = text.split_once("..") else {
            let serial = Serial::parse(text)?;
            return Ok(WrittenRange { from: Some(serial.clone()), to: Some(serial) });
        };
        let end = |text: &str| if text.trim().is_empty() { Ok(None) } else { Serial::parse(text).map(Some) };
        let (from, to) = (end(first)?, end(last)?);
        match (&from, &to) {
            (None, None) => {
                let message = format!("`{text}` names no serial at either end");
                let help = "name the serial at one end at least, as in `..HB160`";
                Err(Unreadable::new(codes::UNREADABLE_SERIAL, message, "no serial", help))
            }
            (Some(a), Some(b)) if a.prefix != b.prefix => {
                let series = |s: &Serial| match s.prefix.as_str() {
                    "" => format!("`{}`, which has no prefix", s.text),
                    prefix => format!("the series `{prefix}`"),
                };
                let message = format!(
                    "the range `{text}` runs from {} to {}, and no range runs across series",
                    series(a),
                    series(b)
                );
                let help = if b.prefix.is_empty() {
                    format!("repeat the prefix, as in `{}..{}{}`", a.text, a.prefix, b.text)
                } else {
                    "write one range for each series".to_owned()
                };
                Err(Unreadable::new(codes::RANGE_ACROSS_SERIES, message, "two series", help))
            }
            (Some(a), Some(b)) if a > b => {
                let message = format!("the range `{text}` is empty: `{}` comes after `{}`", a.text, b.text);
                let help = format!("put the lower serial first, as in `{}..{}`", b.text, a.text);
                Err(Unreadable::new(codes::EMPTY_RANGE, message, "nothing lies in it", help))
            }
            _ => Ok(WrittenRange { from, to }),
        }
    }

    /// The range without its text.
    ///
    /// # Panics
    /// Never: one end at least is given.
    #[must_use]
    pub fn range(&self) -> SerialRange {
        let end = |serial: &Option<Serial>| serial.as_ref().map(|s| (s.number, s.suffix.clone()));
        let named = self.from.as_ref().or(self.to.as_ref()).expect("one end at least is given");
        SerialRange { prefix: named.prefix.clone(), from: end(&self.from), to: end(&self.to) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parts(text: &str) -> (String, u32, String) {
        let serial = Serial::parse(text).unwrap_or_else(|e| panic!("{}", e.message));
        (serial.prefix, serial.number, serial.suffix)
    }

    #[test]
    fn serials_fall_into_prefix_number_suffix() {
        for (text, prefix, number, suffix) in [
            ("HB101", "HB", 101, ""),
            ("0101", "", 101, ""),
            ("TJ-99", "TJ-", 99, ""),
            ("NB 7A", "NB ", 7, "A"),
            ("41-13297", "41-", 13297, ""),
        ] {
            assert_eq!(parts(text), (prefix.to_owned(), number, suffix.to_owned()), "{text}");
        }
        assert_eq!(Serial::parse("HB0101").map(|s| s.text), Ok("HB0101".to_owned()));
    }

    #[test]
    fn ranges_hold_their_ends_and_keep_to_their_series() {
        let holds = |range: &str, serial: &str| {
            WrittenRange::parse(range).unwrap().range().contains(&Serial::parse(serial).unwrap())
        };
        for (range, inside, outside) in [
            ("HB101..HB160", "HB160", "HB161"),
            ("HB101..HB160", "HB101", "HC101"),
            ("HB133", "HB133", "HB134"),
            ("HB9..HB100", "HB10", "HB8"),
            ("..C231", "C1", "C232"),
            ("HB200..", "HB9999", "HB199"),
        ] {
            assert!(holds(range, inside) && !holds(range, outside), "{range}");
        }
    }

    #[test]
    fn refusals_say_why() {
        for (text, why) in [
            ("HB", "`HB` has no number in it, so it is not a serial"),
            ("..", "`..` names no serial at either end"),
            ("HB99999999999", "`HB99999999999` has too large a number for a serial"),
            ("HB101-HB160", "`HB101-HB160` looks like two serials"),
            ("HB101 to HB160", "`HB101 to HB160` looks like two serials"),
            ("7C501-7C560", "`7C501-7C560` looks like two serials"),
            (
                "HB101..160",
                "the range `HB101..160` runs from the series `HB` to `160`, which has no prefix, and no range runs \
                 across series",
            ),
            ("HB160..HB101", "the range `HB160..HB101` is empty: `HB160` comes after `HB101`"),
        ] {
            assert_eq!(WrittenRange::parse(text).map_err(|e| e.message), Err(why.to_owned()));
        }
        assert_eq!(Serial::parse("HB1..HB2").map_err(|e| e.help), Err("name one serial".to_owned()));
    }
}
