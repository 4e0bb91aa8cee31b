//! The parts on the rack against a state.

use super::asked::{Asked, Both, STAR};
use super::layout::{counted, paragraph, table_of};
use super::permits::{Permission, permissions, permissions_text, references};
use super::{CAUTION, Style, mark_text};
use crate::bill::{Bill, Request, Scope, Trouble, bill};
use crate::check::wording::find_out_words;
use crate::ids::PartId;
use crate::model::{Hand, Marks, Model};
use crate::prop::Limit;
use crate::resolve::{Basis, IssueView, Limits, PossibleIssue, Resolver};
use crate::shop::{Agreement, Donor, Fit, RackLine, Why, marking, open_mods, rack};
use serde::Serialize;
use std::fmt::Write as _;

/// The parts on the rack against a state.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct RackReport {
    /// Which airframe and state.
    pub asked: Asked,
    /// The records of made parts, by part number.
    pub parts: Vec<RackRow>,
    /// What was not read and bears on the heading, or leaves the list short.
    #[serde(skip)]
    pub not_read: Marks,
    /// The caution that goes with every verdict.
    pub caution: &'static str,
}

/// Parts of one record against a state.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct RackRow {
    /// The part number.
    pub part: String,
    /// What it is.
    pub description: String,
    /// The issue that it was made to.
    pub issue: Option<String>,
    /// The hand marked on it.
    pub hand: Option<&'static str>,
    /// How many.
    pub quantity: u32,
    /// The stage of work.
    pub stage: Option<String>,
    /// The marks on it now.
    pub marks: Option<String>,
    /// The airframe that it is meant for.
    pub made_for: Option<String>,
    /// The heat-treatment batch.
    pub batch: Option<String>,
    /// The airframe that it was reclaimed from.
    pub reclaimed_from: Option<String>,
    /// Whether the state takes them.
    pub verdict: Both<Fit>,
    /// How many of them the state takes for certain; `null` if that rests on something that was not read.
    pub taken: Both<Option<u64>>,
    /// Why, in words; on the firm claims where the two bases differ.
    pub reason: String,
    /// The parts that the state has, or may have, in its place.
    pub instead: Vec<String>,
    /// The permissions that touch it.
    pub permissions: Vec<Permission>,
    /// The text to mark on each, if the state takes it on both bases.
    pub mark_with: Option<String>,
    /// What was not read and bears on it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// Where the text to mark on a part comes from.
pub(crate) const MARKING: &str = "The marking text is our own pattern; approved marking rules come first.";

/// The word for a verdict.
pub(crate) fn fit_word(fit: Fit) -> &'static str {
    match fit {
        Fit::Fits => "matches (by record)",
        Fit::WrongVariant => "wrong variant",
        Fit::WrongHand => "wrong hand",
        Fit::OldIssue => "wrong issue",
        Fit::Surplus => "not needed",
        Fit::Undecided => "undecided",
        Fit::Contradicted => "contradicted",
        Fit::NotRead => "not read",
        Fit::Elsewhere => "for another airframe",
    }
}

/// "port" or "starboard".
pub(crate) fn hand_word(hand: Hand) -> &'static str {
    match hand {
        Hand::Port => "port",
        Hand::Starboard => "starboard",
    }
}

/// The name of an issue (an index) of a part's drawing.
pub(crate) fn issue_name(model: &Model, part: PartId, issue: Option<usize>) -> Option<String> {
    let drawing = model.parts[part].drawing?;
    issue.map(|issue| model.drawings[drawing].issues[issue].issue.clone())
}

/// The parts on the rack against the state of a resolver.
///
/// # Errors
/// Says why there is no bill of the state.
pub fn rack_report(resolver: &mut Resolver<'_>, asked: Asked) -> Result<RackReport, Trouble> {
    let history = resolver.history();
    let mut not_read = history.not_read_of_asking(resolver.target().build_state);
    not_read.extend(history.model.losses.of_floor_list(history.id, &["MadePart"]));
    let mut of = |basis| -> Result<Vec<RackLine>, Trouble> {
        let bill: Bill =
            bill(resolver, Request { scope: Scope::Airframe, basis, issues: IssueView::ToMake, weights: false })?;
        Ok(rack(resolver, &bill, Limits::default()))
    };
    let (firm, held) = (of(Basis::Firm)?, of(Basis::Held)?);
    let parts = firm.iter().zip(&held).map(|(firm, held)| row(resolver, firm, held)).collect();
    Ok(RackReport { asked, parts, not_read, caution: CAUTION })
}

fn row(resolver: &mut Resolver<'_>, firm: &RackLine, held: &RackLine) -> RackRow {
    let model = resolver.history().model;
    let made = &model.made_parts[firm.made];
    let serial = &resolver.history().airframe().serial;
    let under = made.under.iter().flat_map(|reference| {
        (0..model.deviations.len()).filter(move |at| {
            let entry = &model.deviations[*at];
            entry.reference == *reference && entry.part == made.part
        })
    });
    let touching = (0..model.deviations.len()).filter(|at| model.deviations[*at].touches(made.part, None, serial));
    let elsewhere = firm.fit == Fit::Elsewhere;
    let not_read: Marks = firm.not_read.union(&held.not_read).copied().collect();
    let known = not_read.is_empty();
    let permissions = permissions(model, under.chain(touching.filter(|_| !elsewhere)).filter(|_| known));
    let matches = known && firm.fit == Fit::Fits && held.fit == Fit::Fits;
    let mark_with = matches.then(|| marking(model, made.part, firm.issue, Some(made), &serial.text));
    RackRow {
        part: model.parts.name(made.part).to_owned(),
        description: if known { model.parts[made.part].description.clone() } else { String::new() },
        issue: issue_name(model, made.part, if known { firm.issue } else { made.issue }),
        hand: made.hand.map(hand_word),
        quantity: made.quantity,
        stage: model.config.stages.known().and_then(|stages| stages.names.get(made.stage?).cloned()),
        marks: made.marks.clone(),
        made_for: made.made_for.as_ref().map(|of| of.serial(model).to_owned()),
        batch: made.batch.clone(),
        reclaimed_from: made.reclaimed.as_ref().map(|from| from.serial.clone()),
        verdict: [firm.fit, held.fit].map(|fit| if known { fit } else { Fit::NotRead }).into(),
        taken: [firm.taken, held.taken].map(|taken| known.then_some(taken)).into(),
        reason: if known { reason(resolver, firm) } else { String::new() },
        not_read,
        instead: firm.instead.iter().map(|part| model.parts.name(*part).to_owned()).collect(),
        permissions,
        mark_with,
    }
}

fn reason(resolver: &mut Resolver<'_>, line: &RackLine) -> String {
    let model = resolver.history().model;
    let made = &model.made_parts[line.made];
    let names = |issues: &Result<Vec<PossibleIssue>, Limit>| {
        let names = issues.iter().flatten().map(|possible| issue_name(model, made.part, possible.issue));
        names.map(|name| name.unwrap_or_else(|| "none".to_owned())).collect::<Vec<_>>().join(" or ")
    };
    let mut applies = names(&line.needed);
    if line.needed != line.as_fitted {
        let _ = write!(applies, " (as fitted: {})", names(&line.as_fitted));
    }
    let instead: Vec<&str> = line.instead.iter().map(|part| model.parts.name(*part)).collect();
    match &line.why {
        Why::CalledFor | Why::Issue(Agreement::Interchangeable) if line.taken < u64::from(made.quantity) => {
            let over = u64::from(made.quantity) - line.taken;
            if line.may_take > line.taken {
                format!("at least {} needed, {over} open or spare", line.taken)
            } else {
                format!("{} needed, {over} spare", line.taken)
            }
        }
        Why::CalledFor | Why::NotRead => String::new(),
        Why::NotCalledFor if instead.is_empty() => "no position takes it".to_owned(),
        Why::NotCalledFor if line.fit == Fit::Surplus => "its place may be empty, or not there".to_owned(),
        Why::NotCalledFor => format!("{} is required", instead.join(" or ")),
        Why::Opposite(part) => format!("the opposite hand, {}, is required", model.parts.name(*part)),
        Why::HandMarked => "the hand marked is not that of its number".to_owned(),
        Why::Issue(Agreement::Interchangeable) => format!("issue {applies} applies; interchangeable"),
        Why::Issue(Agreement::NotInterchangeable) => format!("issue {applies} applies; not interchangeable"),
        Why::Issue(Agreement::NotSaid) => {
            format!("issue {applies} applies; the register does not say whether interchangeable")
        }
        Why::Issue(Agreement::NotRecorded) => format!("issue not recorded; {applies} applies"),
        Why::Issue(Agreement::Open) => format!("which issue applies is open: {applies}"),
        Why::Issue(Agreement::Same | Agreement::Undecided(_)) | Why::Limit(_) => "a limit was met".to_owned(),
        Why::Permission(permission) => {
            format!("{} does not cover it", model.deviations[*permission].reference)
        }
        Why::EnoughBefore => "enough without these".to_owned(),
        Why::Open => {
            let when = resolver.fitted(made.part);
            let mods = open_mods(resolver, &when);
            find_out_words(mods.iter().map(|m| model.mods.name(*m)), "how many are fitted")
        }
        Why::NoHistory => "the records contradict each other".to_owned(),
        Why::Donor(donor) => {
            let serial = made.reclaimed.as_ref().map_or("", |from| from.serial.as_str());
            match donor {
                Donor::HadNot => format!("by its records {serial} did not have it"),
                Donor::Open => format!("it is open whether {serial} had it"),
                Donor::Had(_) => format!("{serial} had it to another issue"),
                Donor::NotDecided => format!("the records of {serial} do not decide it"),
                Donor::NotKnown => format!("{serial} has no dossier for that day"),
            }
        }
        Why::MeantElsewhere => {
            format!("meant for {}", made.made_for.as_ref().map_or("", |of| of.serial(model)))
        }
    }
}

impl RackReport {
    /// Whether some part is certainly wrong for the state.
    #[must_use]
    pub fn is_wrong(&self) -> bool {
        let wrong = [Fit::WrongVariant, Fit::WrongHand, Fit::OldIssue, Fit::Contradicted];
        self.parts.iter().any(|row| !row.verdict.differs() && wrong.contains(&row.verdict.firm))
    }
    /// Whether some part is undecided.
    #[must_use]
    pub fn is_undecided(&self) -> bool {
        self.parts.iter().any(|row| row.verdict.differs() || row.verdict.firm == Fit::Undecided)
    }
}

/// The rack as text.
#[must_use]
pub fn rack_text(report: &RackReport, style: Style) -> String {
    let width = style.width;
    let mut text = paragraph("", &format!("The rack compared with {}", report.asked.line()), width);
    text.push('\n');
    if report.parts.is_empty() {
        let lost = self::lost(report);
        text.push_str(&if lost.is_empty() { "Nothing is entered as made or reclaimed.\n".to_owned() } else { lost });
    } else {
        text.push_str(&table_of(&["Part", "Iss", "Qty", "Stage", "Verdict", "Remarks"], &rows(report), &[2], width));
        text.push('\n');
        text.push_str(&summary(report, width));
        text.push_str(&marks(report, width));
    }
    text.push_str(&permissions_text(report.parts.iter().flat_map(|row| &row.permissions), width));
    text.push_str(&report.asked.remarks(width));
    text.push('\n');
    text
}

fn rows(report: &RackReport) -> Vec<Vec<String>> {
    let one = |row: &RackRow| {
        let word = |fit| if fit == Fit::NotRead { mark_text(&row.not_read) } else { fit_word(fit).to_owned() };
        let verdict = if row.verdict.differs() {
            format!("{} (* {})", word(row.verdict.firm), word(row.verdict.held))
        } else {
            word(row.verdict.firm)
        };
        let from = row.reclaimed_from.as_ref().map(|serial| format!("from {serial}"));
        let batch = row.batch.as_ref().map(|batch| format!("batch {batch}"));
        let permits = Some(references(&row.permissions)).filter(|text| !text.is_empty());
        let remarks = [Some(row.reason.clone()).filter(|reason| !reason.is_empty()), from, batch, permits];
        vec![
            row.part.clone(),
            row.issue.clone().unwrap_or_else(|| "-".to_owned()),
            row.quantity.to_string(),
            row.stage.clone().unwrap_or_else(|| "-".to_owned()),
            verdict,
            remarks.into_iter().flatten().collect::<Vec<_>>().join("; "),
        ]
    };
    report.parts.iter().map(one).collect()
}

fn summary(report: &RackReport, width: usize) -> String {
    let mut words: Vec<(Fit, usize)> = Vec::new();
    for row in report.parts.iter().filter(|row| !row.verdict.differs()) {
        match words.iter_mut().find(|(word, _)| *word == row.verdict.firm) {
            Some((_, count)) => *count += 1,
            None => words.push((row.verdict.firm, 1)),
        }
    }
    let differing = report.parts.iter().filter(|row| row.verdict.differs()).count();
    let mut told: Vec<String> = words.iter().map(|(fit, count)| format!("{} {count}", fit_word(*fit))).collect();
    if differing > 0 {
        told.push(format!("resting on doubtful claims {differing} ({STAR})"));
    }
    let entries = counted(report.parts.len(), "entry", "entries");
    paragraph("", format!("{entries}: {}. {}", told.join(", "), lost(report)).trim_end(), width)
}

/// That the list may be short, or its heading wrong; empty if nothing was lost.
fn lost(report: &RackReport) -> String {
    if report.not_read.is_empty() {
        return String::new();
    }
    format!("What else there is on the rack is not known: {}.\n", mark_text(&report.not_read))
}

fn marks(report: &RackReport, width: usize) -> String {
    let marked: Vec<&RackRow> = report.parts.iter().filter(|row| row.mark_with.is_some()).collect();
    if marked.is_empty() {
        return String::new();
    }
    let mut text = "\nTo mark on each part that matches, if the inspector accepts it:\n".to_owned();
    for row in marked {
        let mark = row.mark_with.as_deref().unwrap_or_default();
        let now = row.marks.as_ref().map(|marks| format!(" (marked now: {marks})")).unwrap_or_default();
        let off = row.taken.firm.min(row.taken.held).unwrap_or_default();
        text.push_str(&paragraph("  ", &format!("{off} off: {mark}{now}"), width));
    }
    text.push_str(&paragraph("", MARKING, width));
    text.push('\n');
    text
}

impl super::Verdicts for RackReport {
    fn outcome(&self) -> super::Outcome {
        super::Outcome::of(self.is_wrong(), self.is_undecided())
    }
    fn not_read(&self) -> Marks {
        let of_rows = self.parts.iter().flat_map(|row| &row.not_read);
        of_rows.chain(&self.not_read).copied().collect()
    }
}
