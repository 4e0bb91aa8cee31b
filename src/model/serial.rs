//! Serials and sets of serials.

use serde::Serialize;

/// A serial: prefix, number, suffix, and the text as written.
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
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SerialSet(pub Vec<SerialRange>);

/// A range of serials of one series.
#[derive(Clone, Debug, PartialEq)]
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
