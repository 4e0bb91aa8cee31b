//! The drawing issues that a state needs, against the copies held.

use super::asked::{Asked, basis_words};
use super::mark_text;
use crate::bill::Bill;
use crate::layout::text::counted;
use crate::layout::{Page, PageTable};
use crate::model::Marks;
use crate::prop::Limit;
use crate::resolve::{PossibleIssue, Resolver};
use crate::shop::{Held, drawings};
use serde::Serialize;

/// The drawing issues that a state needs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct DrawingsReport {
    /// Which airframe and state.
    pub asked: Asked,
    /// Whether the doubtful claims are held.
    pub doubtful_held: bool,
    /// The drawings, by number and sheet.
    pub drawings: Vec<DrawingRow>,
    /// What was not read and bears on the heading, or leaves the list short.
    #[serde(skip)]
    pub not_read: Marks,
}

/// A drawing that a state needs or may need.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct DrawingRow {
    /// Number and sheet.
    pub drawing: String,
    /// Its title.
    pub title: String,
    /// The parts that are made to it.
    pub parts: Vec<String>,
    /// Whether some part of it is fitted in every history.
    pub certain: bool,
    /// The issues that may apply; one if that is settled.
    pub needed: Vec<String>,
    /// The issues as fitted, where they are others than those to make to.
    pub as_fitted: Option<Vec<String>>,
    /// The issues held; `null`: not recorded.
    pub held: Option<Vec<String>>,
    /// Whether they are held.
    pub standing: DrawingStanding,
    /// What was not read and bears on it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// Whether the shop holds what is needed of a drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DrawingStanding {
    /// Every issue that may apply.
    Held,
    /// Some of those that may apply.
    SomeHeld,
    /// Another issue only.
    OtherIssueHeld,
    /// No copy.
    NotHeld,
    /// Nobody has recorded it.
    NotRecorded,
    /// Which issue applies was not decided.
    Undecided,
    /// It rests on something that was not read.
    NotRead,
}

impl From<Held> for DrawingStanding {
    fn from(held: Held) -> DrawingStanding {
        match held {
            Held::Yes => DrawingStanding::Held,
            Held::Some => DrawingStanding::SomeHeld,
            Held::OtherIssue => DrawingStanding::OtherIssueHeld,
            Held::No => DrawingStanding::NotHeld,
            Held::NotRecorded => DrawingStanding::NotRecorded,
            Held::Undecided(Limit::NotRead) => DrawingStanding::NotRead,
            Held::Undecided(Limit::Nodes(_) | Limit::Repairs(_) | Limit::Conflicts(_)) => DrawingStanding::Undecided,
        }
    }
}

fn standing_word(standing: DrawingStanding) -> &'static str {
    match standing {
        DrawingStanding::Held => "copy held",
        DrawingStanding::SomeHeld => "copy of some issues held",
        DrawingStanding::OtherIssueHeld => "copy of another issue held",
        DrawingStanding::NotHeld => "no copy held",
        DrawingStanding::NotRecorded => "not recorded",
        DrawingStanding::Undecided => "undecided",
        DrawingStanding::NotRead => "not read",
    }
}

/// The drawings of a bill, which is one with the issues to make to.
#[must_use]
pub fn drawings_report(resolver: &Resolver<'_>, asked: Asked, bill: &Bill) -> DrawingsReport {
    let model = resolver.history().model;
    let row = |line: crate::shop::DrawingLine| {
        let sheet = &model.drawings[line.drawing];
        let issue = |index: &usize| sheet.issues[*index].issue.clone();
        let known = line.not_read.is_empty();
        let names = |list: &[PossibleIssue]| -> Vec<String> {
            list.iter().map(|possible| possible.issue.as_ref().map_or("none".to_owned(), issue)).collect()
        };
        DrawingRow {
            drawing: model.drawings.name(line.drawing).to_owned(),
            title: if known { sheet.title.clone() } else { String::new() },
            parts: line.parts.iter().map(|part| model.parts.name(*part).to_owned()).collect(),
            certain: line.certain,
            needed: names(&line.needed),
            as_fitted: (line.as_fitted != line.needed).then(|| names(&line.as_fitted)),
            held: sheet.held.as_ref().filter(|_| known).map(|held| held.iter().map(issue).collect()),
            standing: line.held.into(),
            not_read: line.not_read,
        }
    };
    DrawingsReport {
        asked,
        doubtful_held: bill.request.basis == crate::resolve::Basis::Held,
        drawings: drawings(model, bill).into_iter().map(row).collect(),
        not_read: bill.all_not_read(),
    }
}

impl DrawingsReport {
    /// Whether which issue of some drawing applies is open.
    #[must_use]
    pub fn is_undecided(&self) -> bool {
        self.drawings.iter().any(|row| {
            let open = !row.certain || row.needed.len() != 1 || row.standing == DrawingStanding::Undecided;
            open && row.not_read.is_empty()
        })
    }
}

impl DrawingRow {
    /// The issues to make to, and those as fitted where they are others.
    fn needed_words(&self) -> String {
        let mut needed = self.needed.join(" or ");
        needed.extend(self.as_fitted.iter().map(|issues| format!(" (as fitted: {})", issues.join(" or "))));
        needed
    }
    fn held_words(&self) -> String {
        match &self.held {
            None => "-".to_owned(),
            Some(held) if held.is_empty() => "none".to_owned(),
            Some(held) => held.join(" "),
        }
    }
}

/// The list as a page; with `missing`, only what is not held.
#[must_use]
pub fn drawings_page(report: &DrawingsReport, missing: bool) -> Page {
    let mut page = Page::titled(format!("Drawings for {}", report.asked.line()));
    let count = |standing| report.drawings.iter().filter(|row| row.standing == standing).count();
    let [held, unsaid, lost] =
        [DrawingStanding::Held, DrawingStanding::NotRecorded, DrawingStanding::NotRead].map(count);
    let basis = basis_words(report.doubtful_held);
    let sentence = format!(
        "{} of made parts {basis}: {} with a copy held, {} not recorded, {} lacking.",
        counted(report.drawings.len(), "drawing", "drawings"),
        held,
        unsaid,
        report.drawings.len() - held - unsaid - lost,
    );
    page.say(sentence);
    if !report.not_read.is_empty() {
        let sentence = format!("Which further drawings it needs is not known: {}.", mark_text(&report.not_read));
        page.say(sentence);
    }
    let shown = report.drawings.iter().filter(|row| !missing || row.standing != DrawingStanding::Held);
    let known = |row: &DrawingRow, cell: &dyn Fn() -> String| {
        if row.not_read.is_empty() { cell() } else { "-".to_owned() }
    };
    let table: PageTable = PageTable::of(shown)
        .words("Drawing", |row| {
            let certain = if row.certain || !row.not_read.is_empty() { "" } else { "? " };
            format!("{certain}{}", row.drawing)
        })
        .words("Title", |row| row.title.clone())
        .words("Needed", |row| known(row, &|| row.needed_words()))
        .words("Copy held", |row| known(row, &|| row.held_words()))
        .words("Status", |row| {
            if row.not_read.is_empty() { standing_word(row.standing).to_owned() } else { mark_text(&row.not_read) }
        })
        .into();
    if !table.is_empty() {
        page.gap();
        page.table(table);
    }
    page.gap();
    if report.drawings.iter().any(|row| !row.certain && row.not_read.is_empty()) {
        page.say("? = whether any part made to it is fitted is open.");
    }
    page.append(report.asked.remarks());
    page
}

impl super::Verdicts for DrawingsReport {
    fn outcome(&self) -> super::Outcome {
        super::Outcome::of(false, self.is_undecided())
    }
    fn not_read(&self) -> Marks {
        self.drawings.iter().flat_map(|row| &row.not_read).chain(&self.not_read).copied().collect()
    }
}
