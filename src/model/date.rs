//! Days and windows of days.

use serde::Serialize;

/// A day, counted from 1970-01-01 (day 0) in the Gregorian calendar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day(pub i32);

impl Day {
    /// A day before every day that a dossier can name.
    pub const FIRST: Day = Day(i32::MIN / 2);
    /// A day after every day that a dossier can name.
    pub const LAST: Day = Day(i32::MAX / 2);
    /// The day before.
    #[must_use]
    pub fn before(self) -> Day {
        Day(self.0 - 1)
    }
    /// The day after.
    #[must_use]
    pub fn after(self) -> Day {
        Day(self.0 + 1)
    }
}

impl std::fmt::Display for Day {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let epoch = jiff::civil::date(1970, 1, 1);
        let date = jiff::Span::new().try_days(self.0).and_then(|span| epoch.checked_add(span));
        match date {
            Ok(date) => write!(f, "{date}"),
            Err(_) => f.write_str(if self.0 < 0 { "the beginning" } else { "the end" }),
        }
    }
}

/// A window of whole days, both ends included, with the text as written.
///
/// Invariant: if both ends are known, `start <= end`. An end that is `None` is open.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize)]
pub struct Window {
    /// The first day; `None` for "by".
    pub start: Option<Day>,
    /// The last day; `None` for "not before".
    pub end: Option<Day>,
    /// As written.
    pub text: String,
}

impl Serialize for Day {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}
