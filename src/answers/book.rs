//! The book of findings: what each code means.

use super::reference::kinds_page;
use crate::codes::{Code, all};
use crate::layout::{Page, PageTable, severity_word};
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

/// All kinds of record and all codes, a line each.
#[must_use]
pub fn book_page() -> Page {
    let mut page = kinds_page();
    page.gap();
    let rows = all().map(|code| {
        let entry = code.entry();
        [entry.code, severity_word(entry.severity), entry.title].map(str::to_owned)
    });
    page.table(PageTable::made(["Code", "Severity", "Finding"], rows));
    page.gap();
    page.say("`modstate explain RECORD` or `modstate explain CODE` tells more of one.");
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
