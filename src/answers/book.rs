//! The book of findings: what each code means.

use super::reference::kinds_text;
use crate::codes::{Code, all};
use crate::layout::text::{paragraph, table};
use crate::layout::{Style, severity_word};
use serde_json::{Value, json};

/// What one code means, with an example and what to do.
#[must_use]
pub fn entry_text(code: Code, style: Style) -> String {
    let entry = code.entry();
    let mut text = style.head(&format!("{} {} ({})", entry.code, entry.title, severity_word(entry.severity)));
    text.push('\n');
    text.push_str(&paragraph("", entry.meaning, style.width));
    text.push_str("\nFor instance:\n");
    for line in entry.example.lines() {
        text.extend(["    ", line, "\n"]);
    }
    text.push('\n');
    text.push_str(&paragraph("What to do: ", entry.remedy, style.width));
    text
}

/// All kinds of record and all codes, a line each.
#[must_use]
pub fn book_text(style: Style) -> String {
    let rows: Vec<Vec<String>> = all()
        .map(|code| {
            let entry = code.entry();
            [entry.code, severity_word(entry.severity), entry.title].map(str::to_owned).to_vec()
        })
        .collect();
    let mut text = kinds_text(style);
    text.push('\n');
    text.push_str(&table(&["Code", "Severity", "Finding"], &rows, style.width));
    text.push('\n');
    let more = "`modstate explain RECORD` or `modstate explain CODE` tells more of one.";
    text.push_str(&paragraph("", more, style.width));
    text
}

/// The codes given, as a list of objects with the fields of their entries.
#[must_use]
pub fn book_json(codes: impl IntoIterator<Item = Code>) -> Value {
    let one = |code: Code| {
        let entry = code.entry();
        json!({
            "code": entry.code,
            "severity": severity_word(entry.severity),
            "title": entry.title,
            "meaning": entry.meaning,
            "example": entry.example,
            "remedy": entry.remedy,
        })
    };
    codes.into_iter().map(one).collect()
}
