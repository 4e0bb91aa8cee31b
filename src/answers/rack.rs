//! The parts on the rack against a state.

use super::asked::{Asked, Both, STAR};
use super::mark_text;
use super::permits::{Permission, permissions, permissions_page, references};
use crate::bill::{Bill, BillScope, NoBill, Request, bill};
use crate::ids::PartId;
use crate::layout::text::counted;
use crate::layout::{Page, PageTable};
use crate::model::{Marks, Model};
use crate::prop::Limit;
use crate::resolve::{Basis, IssueView, Limits, PossibleIssue, Resolver};
use crate::schema::Hand;
use crate::shop::{Agreement, Donor, RackLine, RackReason, RackVerdict, marking, open_mods, rack};
use crate::words::find_out_words;
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
    pub verdict: Both<RackVerdict>,
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
pub(crate) fn fit_word(fit: RackVerdict) -> &'static str {
    match fit {
        RackVerdict::Fits => "matches (by record)",
        RackVerdict::WrongVariant => "wrong variant",
        RackVerdict::WrongHand => "wrong hand",
        RackVerdict::OldIssue => "wrong issue",
        RackVerdict::Surplus => "not needed",
        RackVerdict::Undecided => "undecided",
        RackVerdict::Contradicted => "contradicted",
        RackVerdict::NotRead => "not read",
        RackVerdict::Elsewhere => "for another airframe",
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
pub fn rack_report(resolver: &mut Resolver<'_>, asked: Asked) -> Result<RackReport, NoBill> {
    let history = resolver.history();
    let mut not_read = history.not_read_of_asking(resolver.target().build_state);
    not_read.extend(history.model.losses.of_floor_list(history.id, &["MadePart"]));
    let mut of = |basis| -> Result<Vec<RackLine>, NoBill> {
        let bill: Bill =
            bill(resolver, Request { scope: BillScope::Airframe, basis, issues: IssueView::ToMake, weights: false })?;
        Ok(rack(resolver, &bill, Limits::default()))
    };
    let (firm, held) = (of(Basis::Firm)?, of(Basis::Held)?);
    let parts = firm.iter().zip(&held).map(|(firm, held)| row(resolver, firm, held)).collect();
    Ok(RackReport { asked, parts, not_read })
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
    let elsewhere = firm.fit == RackVerdict::Elsewhere;
    let not_read: Marks = firm.not_read.union(&held.not_read).copied().collect();
    let known = not_read.is_empty();
    let permissions = permissions(model, under.chain(touching.filter(|_| !elsewhere)).filter(|_| known));
    let matches = known && firm.fit == RackVerdict::Fits && held.fit == RackVerdict::Fits;
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
        verdict: [firm.fit, held.fit].map(|fit| if known { fit } else { RackVerdict::NotRead }).into(),
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
        RackReason::CalledFor | RackReason::Issue(Agreement::Interchangeable)
            if line.taken < u64::from(made.quantity) =>
        {
            let over = u64::from(made.quantity) - line.taken;
            if line.may_take > line.taken {
                format!("at least {} needed, {over} open or spare", line.taken)
            } else {
                format!("{} needed, {over} spare", line.taken)
            }
        }
        RackReason::CalledFor | RackReason::NotRead => String::new(),
        RackReason::NotCalledFor if instead.is_empty() => "no position takes it".to_owned(),
        RackReason::NotCalledFor if line.fit == RackVerdict::Surplus => {
            "its place may be empty, or not there".to_owned()
        }
        RackReason::NotCalledFor => format!("{} is required", instead.join(" or ")),
        RackReason::Opposite(part) => format!("the opposite hand, {}, is required", model.parts.name(*part)),
        RackReason::HandMarked => "the hand marked is not that of its number".to_owned(),
        RackReason::Issue(Agreement::Interchangeable) => format!("issue {applies} applies; interchangeable"),
        RackReason::Issue(Agreement::NotInterchangeable) => format!("issue {applies} applies; not interchangeable"),
        RackReason::Issue(Agreement::NotSaid) => {
            format!("issue {applies} applies; the register does not say whether interchangeable")
        }
        RackReason::Issue(Agreement::NotRecorded) => format!("issue not recorded; {applies} applies"),
        RackReason::Issue(Agreement::Open) => format!("which issue applies is open: {applies}"),
        RackReason::Issue(Agreement::Same | Agreement::Undecided(_)) | RackReason::Limit(_) => {
            "a limit was met".to_owned()
        }
        RackReason::Permission(permission) => {
            format!("{} does not cover it", model.deviations[*permission].reference)
        }
        RackReason::EnoughBefore => "enough without these".to_owned(),
        RackReason::Open => {
            let when = resolver.fitted(made.part);
            let mods = open_mods(resolver, &when);
            find_out_words(mods.iter().map(|m| model.mods.name(*m)), "how many are fitted")
        }
        RackReason::NoHistory => "the records contradict each other".to_owned(),
        RackReason::Donor(donor) => {
            let serial = made.reclaimed.as_ref().map_or("", |from| from.serial.as_str());
            match donor {
                Donor::HadNot => format!("by its records {serial} did not have it"),
                Donor::Open => format!("it is open whether {serial} had it"),
                Donor::Had(_) => format!("{serial} had it to another issue"),
                Donor::NotDecided => format!("the records of {serial} do not decide it"),
                Donor::NotKnown => format!("{serial} has no dossier for that day"),
            }
        }
        RackReason::MeantElsewhere => {
            format!("meant for {}", made.made_for.as_ref().map_or("", |of| of.serial(model)))
        }
    }
}

impl RackReport {
    /// Whether some part is certainly wrong for the state.
    #[must_use]
    pub fn is_wrong(&self) -> bool {
        let wrong =
            [RackVerdict::WrongVariant, RackVerdict::WrongHand, RackVerdict::OldIssue, RackVerdict::Contradicted];
        self.parts.iter().any(|row| !row.verdict.differs() && wrong.contains(&row.verdict.firm))
    }
    /// Whether some part is undecided.
    #[must_use]
    pub fn is_undecided(&self) -> bool {
        self.parts.iter().any(|row| row.verdict.differs() || row.verdict.firm == RackVerdict::Undecided)
    }
}

/// The rack as text.
#[must_use]
pub fn rack_page(report: &RackReport) -> Page {
    let mut page = Page::titled(format!("The rack compared with {}", report.asked.line()));
    page.gap();
    if report.parts.is_empty() {
        let lost = self::lost(report);
        page.say(if lost.is_empty() { "Nothing is entered as made or reclaimed.".to_owned() } else { lost });
    } else {
        page.table(table(report));
        page.gap();
        page.say(summary(report));
        page.append(marks(report));
    }
    page.append(permissions_page(report.parts.iter().flat_map(|row| &row.permissions)));
    page.append(report.asked.remarks());
    page.gap();
    page
}

fn table(report: &RackReport) -> PageTable {
    let verdict = |row: &RackRow| {
        let lost = || mark_text(&row.not_read);
        row.verdict.words(|fit| if *fit == RackVerdict::NotRead { lost() } else { fit_word(*fit).to_owned() })
    };
    let remarks = |row: &RackRow| {
        let from = row.reclaimed_from.as_ref().map(|serial| format!("from {serial}"));
        let batch = row.batch.as_ref().map(|batch| format!("batch {batch}"));
        let permits = Some(references(&row.permissions)).filter(|text| !text.is_empty());
        let remarks = [Some(row.reason.clone()).filter(|reason| !reason.is_empty()), from, batch, permits];
        remarks.into_iter().flatten().collect::<Vec<_>>().join("; ")
    };
    let or_dash = |cell: &Option<String>| cell.clone().unwrap_or_else(|| "-".to_owned());
    PageTable::of(&report.parts)
        .words("Part", |row| row.part.clone())
        .words("Iss", |row| or_dash(&row.issue))
        .figures("Qty", |row| row.quantity.to_string())
        .words("Stage", |row| or_dash(&row.stage))
        .words("Verdict", verdict)
        .words("Remarks", remarks)
        .into()
}

fn summary(report: &RackReport) -> String {
    let mut words: Vec<(RackVerdict, usize)> = Vec::new();
    for row in report.parts.iter().filter(|row| !row.verdict.differs()) {
        match words.iter_mut().find(|(word, _)| *word == row.verdict.firm) {
            Some((_, count)) => *count += 1,
            None => words.push((row.verdict.firm, 1)),
        }
    }
    let differing = report.parts.iter().filter(|row| row.verdict.differs()).count();
    let mut sentences: Vec<String> = words.iter().map(|(fit, count)| format!("{} {count}", fit_word(*fit))).collect();
    if differing > 0 {
        sentences.push(format!("resting on doubtful claims {differing} ({STAR})"));
    }
    let entries = counted(report.parts.len(), "entry", "entries");
    format!("{entries}: {}. {}", sentences.join(", "), lost(report)).trim_end().to_owned()
}

/// That the list may be short, or its heading wrong; empty if nothing was lost.
fn lost(report: &RackReport) -> String {
    if report.not_read.is_empty() {
        return String::new();
    }
    format!("What else there is on the rack is not known: {}.", mark_text(&report.not_read))
}

fn marks(report: &RackReport) -> Page {
    let mut page = Page::default();
    let marked: Vec<&RackRow> = report.parts.iter().filter(|row| row.mark_with.is_some()).collect();
    if marked.is_empty() {
        return page;
    }
    page.heading("To mark on each part that matches, if the inspector accepts it:");
    for row in marked {
        let mark = row.mark_with.as_deref().unwrap_or_default();
        let now = row.marks.as_ref().map(|marks| format!(" (marked now: {marks})")).unwrap_or_default();
        let off = row.taken.firm.min(row.taken.held).unwrap_or_default();
        page.item("  ", format!("{off} off: {mark}{now}"));
    }
    page.say(MARKING);
    page.gap();
    page
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
