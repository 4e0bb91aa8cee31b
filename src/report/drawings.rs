//! The drawing issues that a state needs, against the copies held.

use super::asked::Asked;
use super::layout::{counted, paragraph, table};
use super::{CAUTION, Style};
use crate::bill::Bill;
use crate::resolve::Resolver;
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
    /// The caution that goes with every list.
    pub caution: &'static str,
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
    /// The issues held; `null`: not recorded.
    pub held: Option<Vec<String>>,
    /// `held`, `some held`, `other issue held`, `not held`, `not recorded` or `undecided`.
    pub standing: &'static str,
}

fn held_word(held: Held) -> &'static str {
    match held {
        Held::Yes => "held",
        Held::Some => "some held",
        Held::OtherIssue => "other issue held",
        Held::No => "not held",
        Held::NotRecorded => "not recorded",
        Held::Undecided(_) => "undecided",
    }
}

/// The drawings of a bill, which is one with the issues to make to.
#[must_use]
pub fn drawings_report(resolver: &Resolver<'_>, asked: Asked, bill: &Bill) -> DrawingsReport {
    let model = resolver.history().model;
    let row = |line: crate::shop::DrawingLine| {
        let sheet = &model.drawings[line.drawing];
        let issue = |index: &usize| sheet.issues[*index].issue.clone();
        DrawingRow {
            drawing: model.drawings.name(line.drawing).to_owned(),
            title: sheet.title.clone(),
            parts: line.parts.iter().map(|part| model.parts.name(*part).to_owned()).collect(),
            certain: line.certain,
            needed: line
                .needed
                .iter()
                .map(|possible| possible.issue.as_ref().map_or("none".to_owned(), issue))
                .collect(),
            held: sheet.held.as_ref().map(|held| held.iter().map(issue).collect()),
            standing: held_word(line.held),
        }
    };
    DrawingsReport {
        asked,
        doubtful_held: bill.request.basis == crate::resolve::Basis::Held,
        drawings: drawings(model, bill).into_iter().map(row).collect(),
        caution: CAUTION,
    }
}

impl DrawingsReport {
    /// Whether which issue of some drawing applies is open.
    #[must_use]
    pub fn is_undecided(&self) -> bool {
        self.drawings.iter().any(|row| !row.certain || row.needed.len() != 1 || row.standing == "undecided")
    }
}

/// The list as text; with `missing`, only what is not held.
#[must_use]
pub fn drawings_text(report: &DrawingsReport, missing: bool, style: Style) -> String {
    let width = style.width;
    let mut text = paragraph("", &format!("Drawings for {}", report.asked.line()), width);
    let count = |word: &str| report.drawings.iter().filter(|row| row.standing == word).count();
    let basis = if report.doubtful_held { "With the doubtful claims held" } else { "On the firm claims alone" };
    let told = format!(
        "{basis}, {} of made parts: {} held, {} of which the register does not say, {} lacking.",
        counted(report.drawings.len(), "drawing", "drawings"),
        count("held"),
        count("not recorded"),
        report.drawings.len() - count("held") - count("not recorded"),
    );
    text.push_str(&paragraph("", &told, width));
    let shown = report.drawings.iter().filter(|row| !missing || row.standing != "held");
    let cells: Vec<Vec<String>> = shown
        .map(|row| {
            let held = match &row.held {
                None => "-".to_owned(),
                Some(held) if held.is_empty() => "none".to_owned(),
                Some(held) => held.join(" "),
            };
            let certain = if row.certain { "" } else { "? " };
            let drawing = format!("{certain}{}", row.drawing);
            vec![drawing, row.title.clone(), row.needed.join(" or "), held, row.standing.to_owned()]
        })
        .collect();
    if !cells.is_empty() {
        text.push('\n');
        text.push_str(&table(&["Drawing", "Title", "Needed", "Held", "Standing"], &cells, width));
    }
    text.push('\n');
    if report.drawings.iter().any(|row| !row.certain) {
        text.push_str(&paragraph("", "`?`: whether any part of it is fitted is open.", width));
    }
    text.push_str(&report.asked.remarks(width));
    text
}

impl super::Verdicts for DrawingsReport {
    fn outcome(&self) -> super::Outcome {
        super::Outcome::of(false, self.is_undecided())
    }
    fn not_read(&self) -> crate::model::Marks {
        crate::model::Marks::new()
    }
}
