//! Dates in words: as people read them in a sentence. Tables and JSON give them as they are written, year first.

use crate::quantity::Window;

/// A date as it stands in a sentence: "14 Mar 1951", "1 Jun to 31 Aug 1952", "by Jun 1953". What is no date stays as it
/// is.
#[must_use]
pub fn date_text(written: &str) -> String {
    let written = written.trim();
    for lead in ["by ", "not before "] {
        if let Some(rest) = written.strip_prefix(lead) {
            return format!("{lead}{}", date_text(rest));
        }
    }
    match written.split_once("..") {
        Some((from, to)) => {
            let (from, to) = ends(from, to);
            format!("{from} to {to}")
        }
        None => WrittenDate::of(written).map_or_else(|| written.to_owned(), |date| date.in_words(true)),
    }
}

/// A date as an adverb: "on 14 Mar 1951", "in 1951", "by 1951", "between 1 Jun and 31 Aug 1952".
#[must_use]
pub fn when_text(window: &Window) -> String {
    let text = window.text.trim();
    if let Some((from, to)) = text.split_once("..") {
        let (from, to) = ends(from, to);
        format!("between {from} and {to}")
    } else if window.start.is_none() || window.end.is_none() {
        date_text(text)
    } else if window.day().is_some() {
        format!("on {}", date_text(text))
    } else {
        format!("in {}", date_text(text))
    }
}

/// Both ends of a window; the year once where it is the same.
fn ends(from: &str, to: &str) -> (String, String) {
    match (WrittenDate::of(from), WrittenDate::of(to)) {
        (Some(first), Some(last)) => {
            let alike = first.year == last.year && first.part.is_some() && last.part.is_some();
            (first.in_words(!alike), last.in_words(true))
        }
        _ => (from.trim().to_owned(), to.trim().to_owned()),
    }
}

/// A day, month, quarter or year as it is written.
struct WrittenDate<'t> {
    year: &'t str,
    /// The month or the quarter in words, and the day.
    part: Option<(&'static str, Option<u8>)>,
}

impl WrittenDate<'_> {
    fn of(text: &str) -> Option<WrittenDate<'_>> {
        const MONTHS: [&str; 12] = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
        let fields: Vec<&str> = text.trim().split('-').collect();
        let (year, rest) = fields.split_first()?;
        if year.len() != 4 || !year.bytes().all(|byte| byte.is_ascii_digit()) {
            return None;
        }
        let month = |text: &str| MONTHS.get(text.parse::<usize>().ok()?.checked_sub(1)?).copied();
        let part = match *rest {
            [] => None,
            ["Q1"] => Some(("1st quarter", None)),
            ["Q2"] => Some(("2nd quarter", None)),
            ["Q3"] => Some(("3rd quarter", None)),
            ["Q4"] => Some(("4th quarter", None)),
            [of] => Some((month(of)?, None)),
            [of, day] => Some((month(of)?, Some(day.parse().ok()?))),
            _ => return None,
        };
        Some(WrittenDate { year, part })
    }

    fn in_words(&self, with_year: bool) -> String {
        let day = self.part.and_then(|(_, day)| day).map(|day| day.to_string());
        let month = self.part.map(|(of, _)| of.to_owned());
        let year = with_year.then(|| self.year.to_owned());
        [day, month, year].into_iter().flatten().collect::<Vec<_>>().join(" ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_are_put_into_words() {
        for (written, words) in [
            ("1953-09-04", "4 Sep 1953"),
            ("1951-03", "Mar 1951"),
            ("1951-Q2", "2nd quarter 1951"),
            ("1951", "1951"),
            ("by 1953-06", "by Jun 1953"),
            ("not before 1951-06-01", "not before 1 Jun 1951"),
            ("1952-06-01..1952-08-31", "1 Jun to 31 Aug 1952"),
            ("1941..1953", "1941 to 1953"),
            ("1951..1951-Q1", "1951 to 1st quarter 1951"),
            ("the beginning", "the beginning"),
            ("1951-13", "1951-13"),
        ] {
            assert_eq!(date_text(written), words, "{written}");
        }
        let when = |text| when_text(&Window::parse(text).unwrap_or_else(|e| panic!("{}", e.message)));
        assert_eq!(when("1946-09-02..1946-11-29"), "between 2 Sep and 29 Nov 1946");
        assert_eq!(when("1951-03"), "in Mar 1951");
        assert_eq!(when("1951-03-14"), "on 14 Mar 1951");
        assert_eq!(when("by 1951"), "by 1951");
    }
}
