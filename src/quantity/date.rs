//! Days and windows of days.

use super::Unreadable;
use crate::codes;
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

impl Window {
    /// Reads a date as dossiers give it: a day, a month, a quarter, a year, `by` or `not before` one of them, or a
    /// window from one to another.
    ///
    /// ```
    /// use modstate::quantity::Window;
    /// let quarter = Window::parse("1951-Q2")?;
    /// assert_eq!(quarter.start.map(|day| day.to_string()).as_deref(), Some("1951-04-01"));
    /// assert_eq!(quarter.end.map(|day| day.to_string()).as_deref(), Some("1951-06-30"));
    /// assert_eq!(Window::parse("by 1953-06")?.start, None);
    /// assert_eq!(Window::parse("1951-03..1952-06-30")?.text, "1951-03..1952-06-30");
    /// # Ok::<(), modstate::quantity::Unreadable>(())
    /// ```
    ///
    /// # Errors
    /// Says why the text is no date: not written as one, not in the calendar, or a window that ends before it starts.
    pub fn parse(text: &str) -> Result<Window, Unreadable> {
        let bad = |why: DateFault| why.of(text);
        let written = text.trim();
        let (start, end) = if let Some(rest) = written.strip_prefix("by ") {
            (None, Some(span(rest).map_err(bad)?.1))
        } else if let Some(rest) = written.strip_prefix("not before ") {
            (Some(span(rest).map_err(bad)?.0), None)
        } else if let Some((from, to)) = written.split_once("..") {
            (Some(span(from).map_err(bad)?.0), Some(span(to).map_err(bad)?.1))
        } else {
            let (start, end) = span(written).map_err(bad)?;
            (Some(start), Some(end))
        };
        if let (Some(first), Some(last)) = (start, end)
            && last < first
        {
            let message = format!("the window `{text}` ends on {last}, before it starts on {first}");
            let help = "put the earlier date first";
            return Err(Unreadable::new(codes::WINDOW_BACKWARDS, message, "ends before it starts", help));
        }
        Ok(Window { start, end, text: text.to_owned() })
    }

    /// Whether it certainly ends before another one starts.
    #[must_use]
    pub fn is_before(&self, other: &Window) -> bool {
        self.end.zip(other.start).is_some_and(|(end, start)| end < start)
    }

    /// The day, if the window is a single one.
    #[must_use]
    pub fn day(&self) -> Option<Day> {
        self.start.filter(|_| self.start == self.end)
    }
}

/// Why a text is no date.
enum DateFault {
    /// Not written as one.
    Shape,
    /// A month, quarter or day that the calendar does not have.
    Calendar(String),
}

impl DateFault {
    fn of(self, text: &str) -> Unreadable {
        match self {
            DateFault::Shape => Unreadable::new(
                codes::UNREADABLE_DATE,
                format!("`{text}` is not written as a date"),
                "not a date",
                "write `1951-03-14`, `1951-03`, `1951-Q2` or `1951`, with `by` or `not before` in front of it, or a \
                 window `1951-03..1952-06`",
            ),
            DateFault::Calendar(why) => Unreadable::new(
                codes::UNREADABLE_DATE,
                format!("`{text}` is not a date: {why}"),
                "no such date",
                "check it against the record; give only the month or the year if the day is not certain",
            ),
        }
    }
}

/// The first and the last day of a whole form: a day, a month, a quarter or a year.
fn span(text: &str) -> Result<(Day, Day), DateFault> {
    let fields: Vec<&str> = text.trim().split('-').collect();
    match fields[..] {
        [year] => Ok((day(number(year, 4)?, 1, 1)?, day(number(year, 4)?, 12, 31)?)),
        [year, quarter] if quarter.starts_with('Q') => {
            let year = number(year, 4)?;
            let quarter = number(quarter.trim_start_matches('Q'), 1)?;
            if !(1..=4).contains(&quarter) {
                return Err(DateFault::Calendar(format!("a year has no quarter {quarter}")));
            }
            let last = quarter * 3;
            Ok((day(year, last - 2, 1)?, day(year, last, days_in(year, last)?)?))
        }
        [year, month] => {
            let (year, month) = (number(year, 4)?, number(month, 2)?);
            Ok((day(year, month, 1)?, day(year, month, days_in(year, month)?)?))
        }
        [year, month, date] => {
            let day = day(number(year, 4)?, number(month, 2)?, number(date, 2)?)?;
            Ok((day, day))
        }
        _ => Err(DateFault::Shape),
    }
}

/// Reads exactly so many digits.
fn number(text: &str, digits: usize) -> Result<i16, DateFault> {
    if text.len() != digits || !text.bytes().all(|b| b.is_ascii_digit()) {
        return Err(DateFault::Shape);
    }
    text.parse().map_err(|_| DateFault::Shape)
}

fn days_in(year: i16, month: i16) -> Result<i16, DateFault> {
    Ok(civil(year, month, 1)?.days_in_month().into())
}

fn day(year: i16, month: i16, date: i16) -> Result<Day, DateFault> {
    let epoch = jiff::civil::date(1970, 1, 1);
    let days = civil(year, month, date)?.duration_since(epoch).as_hours() / 24;
    Ok(Day(i32::try_from(days).expect("four-digit years lie within a few million days")))
}

fn civil(year: i16, month: i16, date: i16) -> Result<jiff::civil::Date, DateFault> {
    const MONTHS: [&str; 12] = [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ];
    let name = usize::try_from(month - 1).ok().and_then(|index| MONTHS.get(index));
    let Some(name) = name else {
        return Err(DateFault::Calendar(format!("a year has no month {month}")));
    };
    let small = |value: i16| i8::try_from(value).expect("two digits fit");
    jiff::civil::Date::new(year, small(month), small(date))
        .map_err(|_| DateFault::Calendar(format!("{name} {year} has no day {date}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ends(text: &str) -> (String, String) {
        let window = Window::parse(text).unwrap_or_else(|e| panic!("{}", e.message));
        let show = |day: Option<Day>| day.map_or("-".to_owned(), |day| day.to_string());
        (show(window.start), show(window.end))
    }

    #[test]
    fn every_form_has_its_days() {
        for (text, start, end) in [
            ("1951-03-14", "1951-03-14", "1951-03-14"),
            ("1952-02", "1952-02-01", "1952-02-29"),
            ("1951-Q4", "1951-10-01", "1951-12-31"),
            ("1951", "1951-01-01", "1951-12-31"),
            ("by 1953-06", "-", "1953-06-30"),
            ("not before 1951-03", "1951-03-01", "-"),
            ("1951-03..1952-06-30", "1951-03-01", "1952-06-30"),
            ("1951..1951-Q1", "1951-01-01", "1951-03-31"),
        ] {
            assert_eq!(ends(text), (start.to_owned(), end.to_owned()), "{text}");
        }
        assert_eq!(Window::parse("1970-01-02").map(|w| w.start), Ok(Some(Day(1))));
        assert_eq!(Window::parse("1969-12-31").map(|w| w.start), Ok(Some(Day(-1))));
    }

    #[test]
    fn refusals_say_why() {
        for (text, why) in [
            ("1951-13", "`1951-13` is not a date: a year has no month 13"),
            ("1951-00-01", "`1951-00-01` is not a date: a year has no month 0"),
            ("1951-02-30", "`1951-02-30` is not a date: February 1951 has no day 30"),
            ("1951-Q5", "`1951-Q5` is not a date: a year has no quarter 5"),
            ("14/03/1951", "`14/03/1951` is not written as a date"),
            ("1951-3-14", "`1951-3-14` is not written as a date"),
            ("by", "`by` is not written as a date"),
            ("", "`` is not written as a date"),
            ("1952..1951-06", "the window `1952..1951-06` ends on 1951-06-30, before it starts on 1952-01-01"),
        ] {
            assert_eq!(Window::parse(text).map_err(|e| e.message), Err(why.to_owned()));
        }
    }
}
