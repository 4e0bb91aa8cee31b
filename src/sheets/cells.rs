//! One cell: what it says in its column, or why that cannot be known.

use super::kinds::{Field, Sort};
use super::table::Value;
use crate::codes::{self, Code};
use crate::quantity::config::Config;
use crate::quantity::serial::WrittenRange;
use crate::quantity::{Length, Mass, Unreadable, Window};

/// Why a cell is set aside.
#[derive(Debug)]
pub(super) struct Doubt {
    pub code: Code,
    /// What the cell is or has, after its address: `is a number, 34`.
    pub what: String,
    pub label: &'static str,
    pub help: String,
}

fn doubt(code: Code, what: impl Into<String>, label: &'static str, help: impl Into<String>) -> Doubt {
    Doubt { code, what: what.into(), label, help: help.into() }
}

const AS_TEXT: &str = "format the column as text, and write the cell again from the paper";
const UNITS: &str = "write the unit into the heading, as in `x (mm)`, or into the cell, as in `12.7mm`";

/// The values of a cell: one, or those of a list. `unit` is that of the column.
pub(super) fn read(
    field: &Field,
    value: &Value,
    unit: Option<&str>,
    trim: bool,
    config: &Config,
) -> Result<Vec<String>, Doubt> {
    let text = match value {
        Value::Odd(what) => {
            return Err(doubt(codes::SHEET_VALUE, format!("is {what}"), "no value", "write the value itself, as text"));
        }
        Value::Date(year, month, day, timed) => return of_date(field, *year, *month, *day, *timed),
        Value::Number(number) => return of_number(field, *number, unit, config),
        Value::Text(text) => text,
    };
    let trimmed = text.trim();
    if trimmed != text && !trim {
        let help = "take the spaces away in the sheet, or let a mapping file say `trim_blanks: true`";
        return Err(doubt(codes::SHEET_BLANKS, "has spaces round its text", "spaces before or after", help));
    }
    let one = |text: &str| vec![text.to_owned()];
    let list = || trimmed.split(';').map(str::trim).filter(|item| !item.is_empty());
    match field.sort {
        Sort::Text => Ok(one(trimmed)),
        Sort::Name => untouched(trimmed).map(|()| one(trimmed)),
        Sort::Names => list().try_for_each(untouched).map(|()| list().map(str::to_owned).collect()),
        Sort::Word(words) => {
            let found = words.iter().find(|word| word.eq_ignore_ascii_case(trimmed));
            found.map(|word| one(word)).ok_or_else(|| {
                let what = format!("is `{trimmed}`, which `{}` does not know", field.name);
                doubt(codes::SHEET_VALUE, what, "not known", format!("write one of {}", words.join(", ")))
            })
        }
        Sort::Length | Sort::Figure | Sort::Mass => measured(field, trimmed, unit, config),
        Sort::Temperature => Ok(one(&degrees(trimmed, unit))),
        Sort::Date => of_text_date(trimmed).map(|()| one(trimmed)),
        Sort::Count => trimmed.parse::<u32>().map(|_| one(trimmed)).map_err(|_| no_count(trimmed)),
        Sort::Serials => {
            let ranges: Vec<&str> = list().collect();
            ranges.iter().try_for_each(|range| WrittenRange::parse(range).map(drop).map_err(unreadable))?;
            Ok(ranges.into_iter().map(str::to_owned).collect())
        }
        Sort::Lines => {
            let right = |item: &str| item.rsplit_once(' ').is_some_and(|(_, number)| number.parse::<u32>().is_ok());
            match list().find(|item| !right(item)) {
                Some(item) => Err(doubt(
                    codes::SHEET_VALUE,
                    format!("has `{item}`, which is no cut-in on a line"),
                    "not a factory and a line number",
                    "write the factory and the first line number, as in `Works 111; Other Works 20`",
                )),
                None => Ok(list().map(str::to_owned).collect()),
            }
        }
    }
}

fn no_count(text: &str) -> Doubt {
    doubt(
        codes::SHEET_VALUE,
        format!("is `{text}`, which is no whole number"),
        "not a whole number",
        "write digits alone",
    )
}

fn unreadable(why: Unreadable) -> Doubt {
    doubt(codes::SHEET_VALUE, format!("cannot be read: {}", why.message), "cannot be read", why.help)
}

/// A name must not look like what spreadsheets make of names.
fn untouched(name: &str) -> Result<(), Doubt> {
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let fraction = name.split_once('.').is_some_and(|(whole, rest)| digits(whole) && rest.bytes().all(|b| b == b'0'));
    let power = name.split_once(['E', 'e']).is_some_and(|(start, power)| {
        digits(&start.replacen('.', "", 1))
            && power.starts_with(['+', '-'])
            && digits(power.get(1..).unwrap_or_default())
    });
    if fraction || power {
        let what = format!("is `{name}`, a number as spreadsheets write it");
        return Err(doubt(codes::SHEET_CHANGED, what, "was it written like this?", AS_TEXT));
    }
    if like_a_date(name) {
        let what = format!("is `{name}`, a date as spreadsheets write it");
        return Err(doubt(codes::SHEET_CHANGED, what, "was it written like this?", AS_TEXT));
    }
    Ok(())
}

/// `3-Apr`, `Apr-34`, `2026-04-03`, `03/04/2026`, each with or without a time behind it.
fn like_a_date(text: &str) -> bool {
    const MONTHS: &[&str] = &["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
    let text = text.split_whitespace().next().unwrap_or_default();
    let parts: Vec<&str> = text.split(['-', '/', '.']).collect();
    let number = |part: &str| part.parse::<u16>().ok().filter(|_| part.bytes().all(|byte| byte.is_ascii_digit()));
    let is_month = |part: &str| MONTHS.contains(&part.to_lowercase().as_str());
    let year = |part: &str| part.len() == 4 && number(part).is_some_and(|year| (1899..2100).contains(&year));
    let small = |part: &str, most: u16| part.len() <= 2 && number(part).is_some_and(|n| (1..=most).contains(&n));
    match parts.as_slice() {
        [a, b] => is_month(a) && number(b).is_some() || number(a).is_some() && is_month(b),
        [a, b, c] => {
            let iso = year(a) && small(b, 12) && small(c, 31);
            let written =
                small(a, 31) && (small(b, 31) || is_month(b)) && (year(c) || is_month(b) && number(c).is_some());
            iso || written
        }
        _ => false,
    }
}

fn of_date(field: &Field, year: u16, month: u8, day: u8, timed: bool) -> Result<Vec<String>, Doubt> {
    let written = format!("{year:04}-{month:02}-{day:02}");
    let changed = |what: String, label, help: &str| Err(doubt(codes::SHEET_CHANGED, what, label, help));
    if field.sort != Sort::Date {
        let what = format!("is the date {written} where `{}` wants something else", field.name);
        return changed(what, "made into a date", AS_TEXT);
    }
    if year <= 1900 {
        let what = format!("is the date {written}, which spreadsheets make of an empty or broken date");
        return changed(what, "1899 or 1900", "write the date as text, as in `1942-03-10`, or empty the cell");
    }
    if timed {
        let what = format!("is the date {written} with a time of day");
        return changed(what, "with a time of day", "write the date alone as text, as in `1942-03-10`");
    }
    if day == 1 {
        let what = format!("is the date {written}, which spreadsheets also make of a whole month");
        return changed(
            what,
            "the day, or the month?",
            "write as text what the paper has, as in `1942-03` or `1942-03-01`",
        );
    }
    Ok(vec![written])
}

fn of_number(field: &Field, number: f64, unit: Option<&str>, config: &Config) -> Result<Vec<String>, Doubt> {
    let text = number.to_string();
    let digits = text.bytes().filter(u8::is_ascii_digit).count();
    match field.sort {
        Sort::Count => match text.parse::<u32>() {
            Ok(_) => Ok(vec![text]),
            Err(_) => Err(no_count(&text)),
        },
        Sort::Length | Sort::Figure | Sort::Mass if digits > 15 => Err(doubt(
            codes::SHEET_CHANGED,
            format!("is the number {text}, with more digits than anybody wrote"),
            "worked out by the spreadsheet",
            "write the value as it was measured",
        )),
        Sort::Length | Sort::Figure | Sort::Mass => measured(field, &text, unit, config),
        Sort::Temperature => Ok(vec![degrees(&text, unit)]),
        Sort::Date => Err(doubt(
            codes::SHEET_CHANGED,
            format!("is the number {text} where a date is wanted"),
            "a year, or a count of days?",
            "write the date as text, as in `1942-03-10`, `1942-03` or `1942`",
        )),
        Sort::Name | Sort::Names | Sort::Text | Sort::Word(_) | Sort::Serials | Sort::Lines => Err(doubt(
            codes::SHEET_CHANGED,
            format!("is the number {text} where `{}` wants a text", field.name),
            "zeros and dashes may be lost",
            AS_TEXT,
        )),
    }
}

fn of_text_date(text: &str) -> Result<(), Doubt> {
    if text.len() > 4 && text.bytes().all(|byte| byte.is_ascii_digit()) {
        let help = "write the date, as in `1942-03-10`";
        return Err(doubt(codes::SHEET_CHANGED, format!("is `{text}`, a count of days"), "not a date", help));
    }
    if text.starts_with("1899-") || text.starts_with("1900-01-0") {
        let what = format!("is `{text}`, which spreadsheets make of an empty or broken date");
        let help = "write the date as text, as in `1942-03-10`, or empty the cell";
        return Err(doubt(codes::SHEET_CHANGED, what, "1899 or 1900", help));
    }
    Window::parse(text).map(drop).map_err(unreadable)
}

/// A temperature with the unit of its column, if it has none of its own.
fn degrees(text: &str, unit: Option<&str>) -> String {
    match unit {
        Some(unit) if unit_of(text).is_empty() => format!("{text}{unit}"),
        Some(_) | None => text.to_owned(),
    }
}

/// The unit at the end of a length or mass; empty if there is none.
pub(super) fn unit_of(text: &str) -> &str {
    let end = text.rfind(|c: char| c.is_ascii_digit()).map_or(0, |at| at + 1);
    text.get(end..).unwrap_or_default().trim()
}

/// A length or mass with its unit.
fn measured(field: &Field, text: &str, unit: Option<&str>, config: &Config) -> Result<Vec<String>, Doubt> {
    let own = unit_of(text);
    let whole = match (own, unit) {
        ("", None) => {
            return Err(doubt(codes::SHEET_UNIT, format!("is `{text}`, without a unit"), "in which unit?", UNITS));
        }
        ("", Some(unit)) => format!("{text}{unit}"),
        (own, Some(unit)) if own != unit => {
            let what = format!("is `{text}`, and its column is in {unit}");
            return Err(doubt(codes::SHEET_UNIT, what, "another unit", "keep to one unit down the column"));
        }
        _ => text.to_owned(),
    };
    let read =
        if field.sort == Sort::Mass { Mass::parse(&whole).map(drop) } else { Length::parse(&whole, config).map(drop) };
    read.map(|()| vec![whole]).map_err(unreadable)
}
