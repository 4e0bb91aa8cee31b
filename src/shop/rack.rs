//! The parts on the rack against a state.

use super::donor::{Donor, donor};
use super::instead;
use super::issue::{Agreement, agreement};
use super::permits::{PermitFault, permit_faults, uncovered};
use crate::bill::{Amount, Bill, Total};
use crate::ids::PartId;
use crate::model::{Loss, MadePart, Marks, Model};
use crate::prop::Limit;
use crate::resolve::{IssueView, Limits, PossibleIssue, Resolver, Truth};
use serde::Serialize;
use std::collections::BTreeMap;

/// What is to be said of parts on the rack.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RackVerdict {
    /// By their record the state takes them.
    #[serde(rename = "matches")]
    Fits,
    /// The state has another part in this one's place.
    WrongVariant,
    /// The state takes the opposite hand and not this one, or the mark says the other hand.
    WrongHand,
    /// The state calls for another issue, for which these do not serve.
    #[serde(rename = "wrong-issue")]
    OldIssue,
    /// The state has no place for them, or no place left.
    #[serde(rename = "not-needed")]
    Surplus,
    /// Not decided.
    Undecided,
    /// The claims that bear on it contradict each other or the rules.
    Contradicted,
    /// They are meant for another airframe.
    #[serde(rename = "for-another-airframe")]
    Elsewhere,
    /// It rests on something that was not read.
    NotRead,
}

/// Why it is so.
#[derive(Clone, Debug, PartialEq)]
pub enum RackReason {
    /// The state calls for this part, and the issue serves.
    CalledFor,
    /// The state calls for the part in no history.
    NotCalledFor,
    /// The opposite hand is called for.
    Opposite(PartId),
    /// The hand marked on it is not that of its number.
    HandMarked,
    /// The issue.
    Issue(Agreement),
    /// As many as are fitted come before these.
    EnoughBefore,
    /// Whether, or how many, are called for is open.
    Open,
    /// The claims have no consistent history.
    NoHistory,
    /// A limit was met on the way.
    Limit(Limit),
    /// Something was not read: the line says what.
    NotRead,
    /// It was made under this permission (an index of the model's deviations), which does not reach to it.
    Permission(usize),
    /// The airframe that it was reclaimed from.
    Donor(Donor),
    /// It is meant for another airframe.
    MeantElsewhere,
}

/// Parts of one record against a state.
#[derive(Clone, Debug, PartialEq)]
pub struct RackLine {
    /// Which record (an index of the model's made parts).
    pub made: usize,
    /// What follows.
    pub fit: RackVerdict,
    /// Why.
    pub why: RackReason,
    /// How many of them the state takes in all histories, those of earlier lines taken off.
    pub taken: u64,
    /// How many it may take.
    pub may_take: u64,
    /// What the state may have in its place, if it does not take the part.
    pub instead: Vec<PartId>,
    /// The issues that may apply to the part.
    pub needed: Result<Vec<PossibleIssue>, Limit>,
    /// The issues that may apply as fitted.
    pub as_fitted: Result<Vec<PossibleIssue>, Limit>,
    /// The issue that it is taken to be of: its own, or the donor's where that is settled.
    pub issue: Option<usize>,
    /// How its issue goes with those that may apply.
    pub agreement: Agreement,
    /// What the donor's records say, if it was reclaimed.
    pub donor: Option<Donor>,
    /// What was not read and bears on it.
    pub not_read: Marks,
}

/// Every record of made parts against the state that a bill was made of, on the basis of the bill; in table order.
///
/// The bill is one of the whole airframe, with the issues to make to. Where several records hold the same part, the ones
/// meant for the airframe come first, then the better issue, then the further stage.
pub fn rack(resolver: &mut Resolver<'_>, bill: &Bill, limits: Limits) -> Vec<RackLine> {
    let model = resolver.history().model;
    let totals = totals(bill);
    let faults = permit_faults(model);
    let mut lines: Vec<RackLine> =
        (0..model.made_parts.len()).map(|made| judge(resolver, bill, &totals, &faults, made, limits)).collect();
    share_marks(model, &mut lines);
    let mut order: Vec<usize> = (0..lines.len()).filter(|at| lines[*at].fit == RackVerdict::Fits).collect();
    order.sort_by_key(|at| {
        let (line, made) = (&lines[*at], &model.made_parts[*at]);
        (made.part, made.made_for.is_none(), line.agreement, std::cmp::Reverse(made.stage), *at)
    });
    let mut before = (None, 0_u64);
    for at in order {
        let made = &model.made_parts[at];
        if before.0 != Some(made.part) {
            before = (Some(made.part), 0);
        }
        let quantity = u64::from(made.quantity);
        match totals.get(&made.part).map(|total| total.amount) {
            Some(Amount::Undecided(limit)) => {
                (lines[at].fit, lines[at].why) = (RackVerdict::Undecided, RackReason::Limit(limit));
                continue;
            }
            Some(Amount::Contradicted) => {
                (lines[at].fit, lines[at].why) = (RackVerdict::Contradicted, RackReason::NoHistory);
                continue;
            }
            Some(Amount::Exactly(_) | Amount::Between(_)) | None => {}
        }
        let (least, most) = ends(totals.get(&made.part).map(|total| total.amount));
        let line = &mut lines[at];
        line.taken = least.saturating_sub(before.1).min(quantity);
        line.may_take = most.saturating_sub(before.1).min(quantity);
        before.1 += quantity;
        if line.may_take == 0 {
            (line.fit, line.why) = (RackVerdict::Surplus, RackReason::EnoughBefore);
        } else if line.taken == 0 {
            (line.fit, line.why) = (RackVerdict::Undecided, RackReason::Open);
        }
    }
    lines
}

/// Marks every record of a part of which one is marked: how many are taken of each depends on the others.
fn share_marks(model: &Model, lines: &mut [RackLine]) {
    let mut marks: BTreeMap<PartId, Marks> = BTreeMap::new();
    for line in lines.iter().filter(|line| !line.not_read.is_empty()) {
        marks.entry(model.made_parts[line.made].part).or_default().extend(&line.not_read);
    }
    for line in lines {
        let Some(marks) = marks.get(&model.made_parts[line.made].part) else { continue };
        if line.fit != RackVerdict::Elsewhere || !line.not_read.is_empty() {
            line.not_read.clone_from(marks);
            (line.fit, line.why) = (RackVerdict::NotRead, RackReason::NotRead);
            line.instead.clear();
        }
    }
}

/// What was not read and bears on a record of made parts: its own record, others of the part, permissions, its donor;
/// and on what the state takes of it, unless it is meant for another airframe.
fn not_read(resolver: &Resolver<'_>, bill: &Bill, totals: &Totals<'_>, made: &MadePart, limits: Limits) -> Marks {
    let history = resolver.history();
    let (model, losses) = (history.model, &history.model.losses);
    if losses.is_empty() {
        return Marks::new();
    }
    let mut marks = losses.of_floor_record(bill.airframe, made.record);
    marks.extend(losses.of_floor(model, bill.airframe, &["MadePart"], made.part));
    let named = |loss: &Loss| made.under.iter().any(|reference| loss.mentions.name(reference));
    marks.extend(losses.marks(|loss| (loss.may_be("Concession") || loss.may_be("DeviationPermit")) && named(loss)));
    marks.extend(history.not_read_of_standing_permissions(made.part));
    marks.extend(losses.of_issue(model, made.part));
    if let Some(from) = &made.reclaimed {
        marks.extend(super::donor::not_read(model, history.graph, made.part, from, limits));
    }
    if !made.made_for.as_ref().is_some_and(|of| of.is_another(bill.airframe)) {
        for part in [Some(made.part), model.parts[made.part].opposite].into_iter().flatten() {
            marks.extend(history.not_read_of_fitting(part));
            marks.extend(totals.get(&part).iter().flat_map(|total| &total.not_read));
        }
        marks.extend(history.not_read_of_listing(made.part, &resolver.fitted(made.part)));
    }
    marks
}

/// The totals of a bill by part.
pub(super) type Totals<'b> = BTreeMap<PartId, &'b Total>;

/// The totals of a bill by part.
pub(super) fn totals(bill: &Bill) -> Totals<'_> {
    bill.totals.iter().map(|total| (total.part, total)).collect()
}

/// The least and the most; nothing if it is not decided.
pub(super) fn ends(amount: Option<Amount>) -> (u64, u64) {
    match amount {
        None | Some(Amount::Undecided(_) | Amount::Contradicted) => (0, 0),
        Some(Amount::Exactly(quantity)) => (quantity, quantity),
        Some(Amount::Between(range)) => (range.least, range.most),
    }
}

fn judge(
    resolver: &mut Resolver<'_>,
    bill: &Bill,
    totals: &Totals<'_>,
    faults: &[PermitFault],
    index: usize,
    limits: Limits,
) -> RackLine {
    let (model, graph) = (resolver.history().model, resolver.history().graph);
    let made = &model.made_parts[index];
    let basis = bill.request.basis;
    let from = made.reclaimed.as_ref();
    let donor = from.map(|from| donor(model, graph, made, from, basis, limits));
    let of_total = |issues: fn(&Total) -> &Result<Vec<PossibleIssue>, Limit>| {
        totals.get(&made.part).map_or_else(|| Ok(Vec::new()), |total| issues(total).clone())
    };
    let (needed, as_fitted) = (of_total(|total| &total.issues), of_total(|total| &total.other_issues));
    let issue = made.issue.or(match &donor {
        Some(Donor::Had(issues)) => only(issues),
        Some(Donor::HadNot | Donor::Open | Donor::NotDecided | Donor::NotKnown) | None => None,
    });
    let mut agreement = agreement(model, model.parts[made.part].drawing, issue, &needed);
    // A part that was built long ago may be to the issue of its time, where that is what the state fitted.
    if made.reclaimed.is_some() && !agreement.serves() {
        let when = resolver.fitted(made.part);
        let fitted = resolver.issues(made.part, &when, IssueView::AsFitted, basis);
        agreement = agreement.min(super::agreement(model, model.parts[made.part].drawing, issue, &fitted));
    }
    let mut line = RackLine {
        made: index,
        fit: RackVerdict::Fits,
        why: RackReason::CalledFor,
        taken: 0,
        may_take: 0,
        instead: Vec::new(),
        needed,
        as_fitted,
        issue,
        agreement,
        donor,
        not_read: not_read(resolver, bill, totals, made, limits),
    };
    (line.fit, line.why) = verdict(resolver, bill, totals, faults, made, &mut line);
    line
}

/// The one issue that there is.
fn only(issues: &[PossibleIssue]) -> Option<usize> {
    match issues {
        [one] => one.issue,
        _ => None,
    }
}

fn verdict(
    resolver: &mut Resolver<'_>,
    bill: &Bill,
    totals: &Totals<'_>,
    faults: &[PermitFault],
    made: &MadePart,
    line: &mut RackLine,
) -> (RackVerdict, RackReason) {
    let model = resolver.history().model;
    let basis = bill.request.basis;
    let part = &model.parts[made.part];
    if made.made_for.as_ref().is_some_and(|of| of.is_another(bill.airframe)) {
        return (RackVerdict::Elsewhere, RackReason::MeantElsewhere);
    }
    if let (Some(marked), Some(hand)) = (made.hand, part.hand)
        && marked != hand
    {
        return (RackVerdict::WrongHand, RackReason::HandMarked);
    }
    let when = resolver.fitted(made.part);
    match resolver.truth(&when, basis) {
        Truth::NoHistory => return (RackVerdict::Contradicted, RackReason::NoHistory),
        Truth::Undecided(limit) => return (RackVerdict::Undecided, RackReason::Limit(limit)),
        Truth::Open => return (RackVerdict::Undecided, RackReason::Open),
        Truth::Never => {
            let (others, filled) = instead(resolver, made.part, basis);
            line.instead = others;
            let opposite =
                part.opposite.filter(|opposite| totals.get(opposite).is_some_and(|t| t.amount.may_be_some()));
            let in_its_place = opposite.is_some_and(|opposite| line.instead.contains(&opposite));
            return match (opposite, filled) {
                (_, Truth::Always) if !in_its_place => (RackVerdict::WrongVariant, RackReason::NotCalledFor),
                (Some(opposite), _) => (RackVerdict::WrongHand, RackReason::Opposite(opposite)),
                (None, Truth::Always) => (RackVerdict::WrongVariant, RackReason::NotCalledFor),
                (None, _) => (RackVerdict::Surplus, RackReason::NotCalledFor),
            };
        }
        Truth::Always => {}
    }
    if let Some(permission) = uncovered(resolver, faults, line.made, basis) {
        return (RackVerdict::Undecided, RackReason::Permission(permission));
    }
    match &line.donor {
        None => {}
        Some(Donor::Had(issues)) if agrees(made.issue, issues) => {}
        Some(other) => return (RackVerdict::Undecided, RackReason::Donor(other.clone())),
    }
    match line.agreement {
        Agreement::Same => (RackVerdict::Fits, RackReason::CalledFor),
        Agreement::NotInterchangeable => (RackVerdict::OldIssue, RackReason::Issue(Agreement::NotInterchangeable)),
        Agreement::Interchangeable => (RackVerdict::Fits, RackReason::Issue(Agreement::Interchangeable)),
        other @ (Agreement::NotSaid | Agreement::Open | Agreement::NotRecorded | Agreement::Undecided(_)) => {
            (RackVerdict::Undecided, RackReason::Issue(other))
        }
    }
}

/// Whether the issue written for a reclaimed part is one that its donor can have had.
fn agrees(issue: Option<usize>, issues: &[PossibleIssue]) -> bool {
    issue.is_none_or(|issue| issues.iter().any(|possible| possible.issue == Some(issue)))
}

/// The text to mark on a part: number, issue, hand, and whose it is; `NEW` with the year on a part made new, and where
/// a reclaimed one came from. For parts that are about to be made, there is no record.
#[must_use]
pub fn marking(model: &Model, part: PartId, issue: Option<usize>, made: Option<&MadePart>, serial: &str) -> String {
    let entry = &model.parts[part];
    let issue = entry.drawing.zip(issue).map(|(drawing, issue)| &model.drawings[drawing].issues[issue].issue);
    let hand = entry.hand.map(|hand| match hand {
        crate::schema::Hand::Port => "P",
        crate::schema::Hand::Starboard => "S",
    });
    let origin = if let Some(from) = made.and_then(|made| made.reclaimed.as_ref()) {
        format!("EX {}", from.serial)
    } else {
        let day = made.and_then(|made| made.made.as_ref()).and_then(|made| made.end);
        let year = day.map(|day| day.to_string().chars().take(4).collect::<String>());
        year.map_or_else(|| "NEW".to_owned(), |year| format!("NEW {year}"))
    };
    let number = model.parts.name(part);
    let words = [Some(number.to_owned()), issue.map(|issue| format!("ISS {issue}")), hand.map(str::to_owned)];
    let under = made.iter().flat_map(|made| made.under.iter().cloned());
    let words = words.into_iter().flatten().chain([serial.to_owned(), origin]).chain(under);
    words.collect::<Vec<_>>().join(" ")
}
