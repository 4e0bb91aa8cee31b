//! What changed since an older copy of the project: which answers, and because of which records.
//!
//! Of the older copy either the folder is at hand, and then each record that changed is tried by itself; or only what a build
//! book kept of it (`KeptAnswers`), and then the records that changed are listed without saying which of them did it.

mod current;
mod kept;
mod page;
mod tried;

pub use current::{CurrentReport, CurrentSheet, current_page};
pub use kept::{AnswerKind, KeptAnswer, KeptAnswers, KeptRecord, kept_answers};
use page::since_body;
pub use page::since_page;
pub use tried::say_why;

use super::Asked;
use super::asked::At;
use crate::model::Marks;
use indexmap::IndexMap;
use serde::Serialize;
use std::collections::BTreeMap;

/// What changed since an older copy.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SinceReport {
    /// What the older copy is: the folder, or the file of the book, as it was named.
    pub older: String,
    /// Which airframe and state, now.
    pub asked: Asked,
    /// The answers that are not what they were, and those that are not known in one of the two.
    pub answers: Vec<SinceAnswer>,
    /// How many answers are what they were.
    pub stay: usize,
    /// The records that are not what they were; those of other airframes are left aside.
    pub records: Vec<SinceRecord>,
    /// Whether the records were tried one by one, so that each answer names those that changed it; `null`: not yet asked.
    pub reasons: SinceReasons,
    /// Whether all of the older copy was read.
    pub older_read: bool,
    /// What was not read and bears on which answers there are.
    #[serde(skip)]
    pub not_read: Marks,
}

/// Whether it is known which record changed which answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SinceReasons {
    /// Each record was tried.
    Tried,
    /// Only what a book kept is at hand, which does not hold what the records said.
    NoFolder,
    /// More records changed than are tried.
    TooMany,
    /// Something was not read here or in the older copy.
    NotRead,
}

/// An answer that is not what it was.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SinceAnswer {
    /// Of what kind.
    pub kind: AnswerKind,
    /// What it is about.
    pub name: String,
    /// What it was; `null`: there was none.
    pub before: Option<String>,
    /// What it is; `null`: there is none any more.
    pub now: Option<String>,
    /// Whether it is not known, because something was not read here or there.
    pub not_known: bool,
    /// Why, where that is known.
    pub why: Option<SinceWhy>,
    /// What was not read and bears on it now.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// Which changes of records make an answer what it is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "how", content = "records")]
pub enum SinceWhy {
    /// Each of these changes makes it, alone.
    Alone(Vec<String>),
    /// No change makes it alone; without any of these it would not be so.
    Together(Vec<String>),
    /// No change makes it alone, and none is needed: there are several ways to it.
    SeveralWays,
}

/// A record that is not what it was.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SinceRecord {
    /// Its kind and its name, as `Claim C7`.
    pub record: String,
    /// What became of it.
    pub change: RecordChange,
    /// Where it is written now; `null` if it is gone.
    pub at: Option<At>,
}

/// What became of a record.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RecordChange {
    /// It says something else.
    Changed,
    /// It was not there.
    New,
    /// It is not there any more.
    Gone,
}

/// What stands for an answer that is not known.
pub(super) const NOT_READ: &str = "not read";

/// Compares the answers of now with those of before.
#[must_use]
pub fn since_report(
    older: &str,
    before: &KeptAnswers,
    now: &KeptAnswers,
    asked: Asked,
    not_read: Marks,
) -> SinceReport {
    let (was, is) = (before.by_name(), now.by_name());
    let (mut answers, mut stay) = (Vec::new(), 0);
    let names = is.keys().chain(was.keys().filter(|key| !is.contains_key(*key)));
    for key in names {
        let (old, new) = (was.get(key), is.get(key));
        let unread = |answer: Option<&KeptAnswer>| answer.is_some_and(|answer| answer.says == NOT_READ);
        let not_known = unread(old) || unread(new);
        if old.map(|old| &old.says) == new.map(|new| &new.says) && !not_known {
            stay += 1;
            continue;
        }
        answers.push(SinceAnswer {
            kind: key.0,
            name: key.1.clone(),
            before: old.map(|old| old.says.clone()),
            now: new.map(|new| new.says.clone()),
            not_known,
            why: None,
            not_read: new.map(|new| new.not_read.clone()).unwrap_or_default(),
        });
    }
    let reasons = if before.all_read && now.all_read { SinceReasons::NoFolder } else { SinceReasons::NotRead };
    let (records, older_read) = (changed_records(&before.records, &now.records), before.all_read);
    let older = older.to_owned();
    SinceReport { older, asked, answers, stay, records, reasons, older_read, not_read }
}

/// The records by what they are called; several of one name stand together.
type RecordsByName<'r> = IndexMap<String, Vec<&'r KeptRecord>>;

fn named(records: &[KeptRecord]) -> RecordsByName<'_> {
    let mut found = RecordsByName::new();
    for record in records {
        found.entry(record.called()).or_default().push(record);
    }
    found
}

fn changed_records(before: &[KeptRecord], now: &[KeptRecord]) -> Vec<SinceRecord> {
    let (was, is) = (named(before), named(now));
    let codes = |list: &[&KeptRecord]| {
        let mut codes: BTreeMap<&str, usize> = BTreeMap::new();
        for record in list {
            *codes.entry(&record.code).or_default() += 1;
        }
        codes.into_iter().map(|(code, count)| (code.to_owned(), count)).collect::<Vec<_>>()
    };
    let mut found = Vec::new();
    for (called, list) in &is {
        let change = match was.get(called) {
            None => RecordChange::New,
            Some(old) if codes(old) != codes(list) => RecordChange::Changed,
            Some(_) => continue,
        };
        found.push(SinceRecord { record: called.clone(), change, at: list[0].at.clone() });
    }
    for called in was.keys().filter(|called| !is.contains_key(*called)) {
        found.push(SinceRecord { record: called.clone(), change: RecordChange::Gone, at: None });
    }
    found
}

impl super::Verdicts for SinceReport {
    fn outcome(&self) -> super::Outcome {
        super::Outcome::of(!self.older_read, false)
    }
    fn not_read(&self) -> Marks {
        let rows = self.answers.iter().flat_map(|answer| &answer.not_read);
        rows.chain(&self.asked.not_read).chain(&self.not_read).copied().collect()
    }
}
