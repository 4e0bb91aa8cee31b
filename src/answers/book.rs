//! The book of findings: what each code means.

use crate::codes::Code;
use crate::layout::{Page, severity_word};
use serde_json::{Value, json};

/// What one code means, with an example and what to do.
#[must_use]
pub fn entry_page(code: Code) -> Page {
    let entry = code.entry();
    let mut page = Page::titled(format!("{} {} ({})", entry.code, entry.title, severity_word(entry.severity)));
    page.gap();
    page.say(entry.meaning);
    page.gap();
    page.example(entry.example);
    page.gap();
    page.item("What to do: ", entry.remedy);
    page
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
