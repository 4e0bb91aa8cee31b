//! What every answer has in common: how it came out, what was not read, the caution.

use super::At;
use crate::layout::{Finished, Page};
use crate::model::{Loss, LossId, Losses, Marks};
use crate::schema::TABLE_KINDS;
use crate::source::Sources;
use serde::Serialize;

/// What the words for claims mean.
const TERMS: &str = "Firm: the dossier stands by it. Doubtful: it may be wrong, and settles nothing.";

/// How an answer came out. The exit code of the program follows from it and from nothing else.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// Answered, and everything asked for is settled.
    #[default]
    Settled,
    /// Nothing wrong with it, but something asked for is undecided.
    Undecided,
    /// Something stops work: it is wrong, contradicted, or was not read.
    StopsWork,
}

impl Outcome {
    /// The exit code.
    #[must_use]
    pub fn exit_code(self) -> u8 {
        match self {
            Outcome::Settled => 0,
            Outcome::Undecided => 3,
            Outcome::StopsWork => 1,
        }
    }
    /// Of verdicts, some of which may be wrong or undecided.
    #[must_use]
    pub fn of(wrong: bool, undecided: bool) -> Outcome {
        match (wrong, undecided) {
            (true, _) => Outcome::StopsWork,
            (false, true) => Outcome::Undecided,
            (false, false) => Outcome::Settled,
        }
    }
}

/// What every report says of itself.
pub trait Verdicts {
    /// How it came out, what was not read left aside.
    fn outcome(&self) -> Outcome;
    /// What was not read and bears on any of its rows, its heading or its counts.
    fn not_read(&self) -> Marks;
}

/// One thing that was not read, as an answer names it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct NotRead {
    /// Its number, which the rows refer to that rest on it.
    pub number: LossId,
    /// What it is.
    pub what: String,
    /// Where it is written.
    #[serde(flatten)]
    pub at: At,
}

impl NotRead {
    /// What an answer rests on and was not read, by number.
    #[must_use]
    pub fn list(marks: &Marks, losses: &Losses, sources: &Sources) -> Vec<NotRead> {
        let one = |number: &LossId| {
            let loss = losses.get(*number);
            NotRead { number: *number, what: what(loss), at: At::of(&loss.mend, sources) }
        };
        marks.iter().map(one).collect()
    }
}

/// What was lost, in words.
pub(crate) fn what(loss: &Loss) -> String {
    let kind = match loss.kind {
        Some("Type") => "the type",
        Some("SerialBlock") => "serial block",
        Some("Drawing") => "drawing",
        Some("Part") => "part",
        Some("Assembly") => "assembly",
        Some("Modification") => "modification",
        Some("OneOf") => "one-of group",
        Some("Frame") => "frame",
        Some("SkinJoint") => "skin joint",
        Some("Plate") => "plate drawing",
        Some("Airframe") => "airframe",
        Some("Evidence") => "evidence",
        Some("Claim") => "claim",
        Some("Assumption") => "assumption",
        Some("BuildState") => "build state",
        Some("Jig") => "jig",
        Some("Survey") => "survey",
        Some("MadePart") => "part made",
        Some("Concession") => "concession",
        Some("DeviationPermit") => "deviation permit",
        Some("FormingTool") => "forming tool",
        Some("Decision") => "decision",
        Some("Accepted") => "accepted finding",
        Some("WireGauges") => "the shop's wire gauges",
        Some("ToleranceClasses") => "the shop's tolerance classes",
        Some("StagesOfWork") => "the shop's stages of work",
        Some("HeatTreatment") => "the shop's heat-treatment bands",
        Some("BendRadii") => "the shop's bend radii",
        Some("RivetTables") => "the shop's numbers of rivets",
        Some("RivetSpacing") => "the shop's spacings of rivets",
        Some("SurveyLimits") => "the shop's limits for surveys",
        Some(_) | None => "a record",
    };
    // There is one table of a kind, and what names it is a sentence.
    let is_table = loss.kind.is_some_and(|kind| TABLE_KINDS.contains(&kind));
    let named =
        loss.name.as_ref().filter(|_| !is_table).map_or_else(|| kind.to_owned(), |name| format!("{kind} {name}"));
    if loss.whole { named } else { format!("part of {named}") }
}

/// The mark of a row of which something was not read, as in `not read [2, 5]`.
#[must_use]
pub fn mark_text(marks: &Marks) -> String {
    let numbers: Vec<String> = marks.iter().map(|loss| loss.0.to_string()).collect();
    format!("not read [{}]", numbers.join(", "))
}

/// A page with what stands under every answer: what was not read, what its words for claims mean if it uses them, and the
/// caution.
#[must_use]
pub fn finished(mut page: Page, not_read: &[NotRead]) -> Finished {
    let uses_terms = uses_terms(&page);
    page.append(foot(uses_terms, not_read));
    page.finished()
}

/// Whether a page uses the words for claims.
pub(crate) fn uses_terms(page: &Page) -> bool {
    page.uses("firm") || page.uses("doubtful")
}

/// What stands under answers, the caution left aside: what was not read, and what the words for claims mean if they are used.
pub(crate) fn foot(uses_terms: bool, not_read: &[NotRead]) -> Page {
    let mut page = Page::default();
    if !not_read.is_empty() {
        page.say("Not read, so not known here; correct these lines and ask again:");
        for lost in not_read {
            page.item(format!("  [{}] ", lost.number.0), format!("{}: {}", lost.at, lost.what));
        }
        page.gap();
    }
    if uses_terms {
        page.say(TERMS);
    }
    page
}
