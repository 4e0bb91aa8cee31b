//! Parts on the rack, forming tools and drawings against the states that the workshop builds to.

use super::because::because;
use super::complete::{self, Complete};
use super::permits::is_misplaced;
use crate::bill::{Bill, BillScope, Request, bill};
use crate::codes;
use crate::finding::{Finding, Place};
use crate::graph::Graph;
use crate::ids::{AirframeId, BuildStateId, PartId};
use crate::model::{MadePart, MeantFor, Model};
use crate::prop::Expr;
use crate::resolve::{Basis, IssueView, Limits, Resolver, Target};
use crate::shop::{self, Agreement, Held, RackLine, RackReason, RackVerdict, ToolVerdict};
use crate::words::{expr_text, find_out_words, joined, listed, tool_kind_word};
use std::collections::BTreeSet;

pub(super) fn check(
    model: &Model,
    graph: &Graph,
    complete: &Complete<'_>,
    scope: super::CheckScope<'_>,
    limits: Limits,
) -> Vec<Finding> {
    let mut findings = Vec::new();
    if graph.contains_itself() {
        return findings;
    }
    for airframe in model.airframes.ids().filter(|airframe| scope.takes_in(*airframe)) {
        let meant = model.made_parts.iter().any(|made| made.made_for == Some(MeantFor::Airframe(airframe)));
        let Some((state, decision)) = shop::building_to(model, airframe) else { continue };
        if !meant && decision.is_none() {
            continue;
        }
        let target = Target { day: model.airframes[airframe].build_states[state].date, build_state: Some(state) };
        let Ok(mut resolver) = Resolver::new(model, graph, airframe, target, limits) else { continue };
        let mut of = |basis| {
            bill(
                &mut resolver,
                Request { scope: BillScope::Airframe, basis, issues: IssueView::ToMake, weights: false },
            )
        };
        let (Ok(firm), Ok(held)) = (of(Basis::Firm), of(Basis::Held)) else { continue };
        let mut shop = Shop { model, complete, airframe, state, resolver, limits };
        findings.extend(shop.parts(&firm, &held));
        if decision.is_some() {
            findings.extend(shop.lacking_tools());
            findings.extend(shop.lacking_drawings(&held));
        }
    }
    findings
}

/// An airframe in the state that the workshop builds it to.
struct Shop<'m> {
    model: &'m Model,
    complete: &'m Complete<'m>,
    airframe: AirframeId,
    state: BuildStateId,
    resolver: Resolver<'m>,
    limits: Limits,
}

impl Shop<'_> {
    /// "`rebuild` of `7C537`".
    fn called(&self) -> String {
        let airframe = &self.model.airframes[self.airframe];
        format!("`{}` of `{}`", airframe.build_states.name(self.state), airframe.serial.text)
    }

    fn parts(&mut self, firm: &Bill, held: &Bill) -> Vec<Finding> {
        let [firm, held] = [firm, held].map(|bill| shop::rack(&mut self.resolver, bill, self.limits));
        let mut findings = Vec::new();
        for (firm, held) in firm.iter().zip(&held) {
            let made = &self.model.made_parts[held.made];
            if made.made_for == Some(MeantFor::Airframe(self.airframe)) && self.is_known(made) {
                findings.extend(self.part(made, firm, held));
            }
        }
        findings
    }

    /// Whether nothing was lost that bears on a made part: on where it is fitted, on the room that others leave, and on
    /// what it is permitted to be.
    fn is_known(&self, made: &MadePart) -> bool {
        let number = self.model.parts.name(made.part);
        complete::part(&self.resolver, made.part)
            && !self.complete.lost(&["MadePart", "Concession", "DeviationPermit"], number)
    }

    fn part(&mut self, made: &MadePart, firm: &RackLine, held: &RackLine) -> Option<Finding> {
        let name = self.model.parts.name(made.part);
        let state = self.called();
        let others = listed(held.instead.iter().map(|part| self.model.parts.name(*part)), "or");
        let finding =
            |code, message: String, field, label: &str| Finding::new(code, message, made.record.field(field), label);
        if !(firm.not_read.is_empty() && held.not_read.is_empty()) {
            return None;
        }
        if firm.fit != held.fit {
            let message = format!("whether the made part `{name}` goes into {state} rests on doubtful claims");
            let finding = finding(codes::PART_UNDECIDED, message, "part", "matches or not");
            return Some(finding.help(format!("before it is fitted, {}", self.find_out(made.part))));
        }
        Some(match (held.fit, &held.why) {
            (RackVerdict::Fits, RackReason::Issue(_)) => {
                let (written, applies) = self.issue_words(made.part, held);
                let message = format!(
                    "the made part `{name}` is to issue `{written}`, and {state} calls for {applies}, interchangeable"
                );
                let finding = finding(codes::PART_OTHER_ISSUE, message, "issue", "made to this issue");
                self.with_issue(finding, made.part, held)
                    .help(format!("it may be used if the inspector accepts it; record its issue, `{written}`"))
            }
            (RackVerdict::Fits | RackVerdict::Elsewhere | RackVerdict::NotRead, _) => return None,
            // Said of the permission.
            (_, RackReason::Permission(entry))
                if is_misplaced(self.model, &self.model.deviations[*entry])
                    || shop::permit_faults(self.model).iter().any(|fault| fault.made == held.made) =>
            {
                return None;
            }
            (RackVerdict::WrongVariant, _) => {
                let message = format!("the made part `{name}` is not for {state}, which has {others} in its place");
                let finding = finding(codes::PART_WRONG_VARIANT, message, "part", "not for this state");
                self.because_not(finding, made.part)
                    .help(format!("not needed for this state: store `{name}`; what is required is {others}"))
            }
            (RackVerdict::WrongHand, why) => {
                let opposite = if let RackReason::Opposite(part) = why {
                    format!("the opposite hand, `{}`", self.model.parts.name(*part))
                } else {
                    "the other hand".to_owned()
                };
                let message = format!("the made part `{name}` is of the wrong hand: {state} takes {opposite}");
                let finding = finding(codes::PART_WRONG_HAND, message, "part", "the wrong hand");
                self.because_not(finding, made.part)
                    .help("look at the part first; if it is of the hand recorded, the opposite hand has to be made")
            }
            (RackVerdict::OldIssue, _) => {
                let (written, applies) = self.issue_words(made.part, held);
                let message = format!(
                    "the made part `{name}` is to issue `{written}`, and {state} calls for {applies}, not interchangeable"
                );
                let finding = finding(codes::PART_SUPERSEDED, message, "issue", "made to this issue");
                self.with_issue(finding, made.part, held).help(format!("compare the part with the drawing first; if it is as recorded, rework it to {applies} or make a new one"))
            }
            (RackVerdict::Surplus, why) => {
                let message = if *why == RackReason::EnoughBefore {
                    format!("{state} has enough of `{name}` without these")
                } else {
                    format!("no position of {state} takes the made part `{name}`")
                };
                let finding = finding(codes::PART_SURPLUS, message, "part", "no place for it");
                finding.help("not needed for this state: store it, or correct the quantity")
            }
            (RackVerdict::Undecided | RackVerdict::Contradicted, why) => {
                let (reason, advice) = self.undecided(made.part, why);
                let message = format!("the made part `{name}` cannot be judged for {state}: {reason}");
                let field = if matches!(why, RackReason::Issue(_)) && made.issue.is_some() { "issue" } else { "part" };
                finding(codes::PART_UNDECIDED, message, field, "not judged").help(advice)
            }
        })
    }

    /// Why a part is undecided, and what to do.
    fn undecided(&mut self, part: PartId, why: &RackReason) -> (String, String) {
        match why {
            RackReason::Issue(Agreement::NotRecorded) => (
                "nothing says to which issue it was made".to_owned(),
                "compare it with the drawing, and enter its issue".to_owned(),
            ),
            RackReason::Issue(Agreement::NotSaid) => (
                "the register does not say whether its issue may stand for the one that applies".to_owned(),
                "enter `interchangeable` for the issue in the register, from the drawing".to_owned(),
            ),
            RackReason::Issue(
                Agreement::Same
                | Agreement::Interchangeable
                | Agreement::NotInterchangeable
                | Agreement::Open
                | Agreement::Undecided(_),
            ) => (
                "which issue applies is open".to_owned(),
                "before it is fitted, find out whether the modifications that raised its issues were embodied"
                    .to_owned(),
            ),
            RackReason::Donor(shop::Donor::NotKnown) => (
                "the airframe that it came from has no dossier that reaches to the day it was taken".to_owned(),
                "enter a dossier of the donor, with what was seen on it".to_owned(),
            ),
            RackReason::Donor(shop::Donor::HadNot) => (
                "by its own records the airframe that it came from had another part".to_owned(),
                "look at the part and at the donor's records".to_owned(),
            ),
            RackReason::Donor(shop::Donor::Had(_) | shop::Donor::Open | shop::Donor::NotDecided) => (
                "what the airframe that it came from had there, and to which issue, is open".to_owned(),
                "enter what was seen on the donor as a claim of its dossier".to_owned(),
            ),
            RackReason::Permission(permission) => {
                let entry = &self.model.deviations[*permission];
                let serial = &self.model.airframes[self.airframe].serial;
                let for_it = entry.scope.as_ref().is_none_or(|scope| scope.contains(serial));
                let there = entry.position.filter(|_| for_it).map_or(String::new(), |position| {
                    format!(": it is for `{}`, where this state does not have it", self.model.positions.name(position))
                });
                (
                    format!("`{}`, under which it was made, does not cover it{there}", entry.reference),
                    format!("ask {} before it is fitted", entry.allowed_by),
                )
            }
            RackReason::CalledFor
            | RackReason::NotCalledFor
            | RackReason::Opposite(_)
            | RackReason::HandMarked
            | RackReason::EnoughBefore
            | RackReason::Open
            | RackReason::NoHistory
            | RackReason::Limit(_)
            | RackReason::NotRead
            | RackReason::MeantElsewhere => {
                let open = self.open(part);
                (format!("it depends on {open}"), format!("before it is fitted, {}", self.find_out(part)))
            }
        }
    }

    /// The open modifications on which a part depends.
    fn open(&mut self, part: PartId) -> String {
        let when = self.resolver.fitted(part);
        let mods = shop::open_mods(&mut self.resolver, &when);
        if mods.is_empty() {
            return "how many are fitted".to_owned();
        }
        listed(mods.iter().map(|m| self.model.mods.name(*m)), "and")
    }

    /// What to find out of a part that depends on something open.
    fn find_out(&mut self, part: PartId) -> String {
        let when = self.resolver.fitted(part);
        let mods = shop::open_mods(&mut self.resolver, &when);
        find_out_words(mods.iter().map(|m| self.model.mods.name(*m)), "how many are fitted")
    }

    fn issue_words(&self, part: PartId, line: &RackLine) -> (String, String) {
        let issues = self.model.parts[part].drawing.map(|drawing| &self.model.drawings[drawing].issues);
        let name = |issue: usize| issues.map_or("", |issues| issues[issue].issue.as_str());
        let applies = line.needed.iter().flatten().filter_map(|possible| possible.issue);
        let applies: Vec<String> = applies.map(|issue| format!("`{}`", name(issue))).collect();
        (line.issue.map_or("", name).to_owned(), format!("issue {}", joined(&applies, "or")))
    }

    /// Labels the issues that apply and those on the way to them for which an earlier one does not serve, each with the
    /// modification that raised it.
    fn with_issue(&self, mut finding: Finding, part: PartId, line: &RackLine) -> Finding {
        let Some(drawing) = self.model.parts[part].drawing else { return finding };
        let sheet = &self.model.drawings[drawing];
        let applies: BTreeSet<usize> = line.needed.iter().flatten().filter_map(|possible| possible.issue).collect();
        let last = applies.last().copied().unwrap_or_default();
        for (issue, entry) in sheet.issues.iter().enumerate().take(last + 1) {
            let superseding = line.issue.is_some_and(|made| made < issue) && entry.interchangeable == Some(false);
            if !superseding && !applies.contains(&issue) {
                continue;
            }
            let mut label = format!("issue `{}`", entry.issue);
            if applies.contains(&issue) {
                label.push_str(" applies");
            }
            label.extend(entry.raised_by.map(|m| format!(", raised by `{}`", self.model.mods.name(m))));
            if superseding {
                label.push_str(", not interchangeable with the one before");
            }
            finding = finding.label(sheet.record.field("issues").item(issue), label);
        }
        finding
    }

    /// Says why a part is not called for, with the doubtful claims held.
    fn because_not(&self, finding: Finding, part: PartId) -> Finding {
        let when = self.resolver.fitted(part);
        let finding = because(finding, &self.resolver, &!when.clone(), Basis::Held);
        let number = self.model.parts.name(part);
        match when {
            Expr::Const(_) => finding,
            Expr::Lit(_) | Expr::All(_) | Expr::Any(_) => {
                finding.because(format!("`{number}` is fitted {}", expr_text(&when, self.model)))
            }
        }
    }

    fn at_state(&self, code: codes::Code, message: String, label: &str) -> Finding {
        let state = &self.model.airframes[self.airframe].build_states[self.state];
        Finding::new(code, message, state.record.place(), label)
    }

    fn lacking_tools(&mut self) -> Option<Finding> {
        // A tool that was lost may be the one, and how many are missing hangs on the whole bill.
        if self.complete.any_lost(&["FormingTool"]) || !complete::bill(self.resolver.history()) {
            return None;
        }
        let lines = [Basis::Firm, Basis::Held].map(|basis| shop::tools(&mut self.resolver, basis));
        let missing = |lines: &[shop::ToolLine]| -> BTreeSet<_> {
            let missing = lines.iter().filter(|line| line.verdict == ToolVerdict::Missing);
            missing.flat_map(|line| line.parts.iter().map(|part| (*part, line.kind))).collect()
        };
        let both: Vec<_> = missing(&lines[0]).intersection(&missing(&lines[1])).copied().collect();
        if both.is_empty() {
            return None;
        }
        let count = if both.len() == 1 { "a forming tool".to_owned() } else { format!("{} forming tools", both.len()) };
        let message = format!("{} needs {count} that the shop does not have", self.called());
        let places = both.iter().map(|(part, kind)| {
            let label = format!("{} for `{}`", tool_kind_word(*kind), self.model.parts.name(*part));
            (self.model.parts[*part].place.field("tools"), label)
        });
        let finding = self.at_state(codes::TOOL_MISSING, message, "built to");
        let finding = labelled(finding, places);
        Some(finding.help("make the tools before the parts, or enter them; `modstate tools` lists them all"))
    }

    fn lacking_drawings(&self, bill: &Bill) -> Option<Finding> {
        // How many are lacking hangs on the whole bill.
        if !complete::bill(self.resolver.history()) {
            return None;
        }
        let lines = shop::drawings(self.model, bill);
        let lacking: Vec<_> =
            lines.iter().filter(|line| line.certain && matches!(line.held, Held::No | Held::OtherIssue)).collect();
        let count = match lacking.as_slice() {
            [] => return None,
            [_] => "a drawing issue of which the shop holds no copy".to_owned(),
            several => format!("{} drawing issues of which the shop holds no copy", several.len()),
        };
        let message = format!("{} needs {count}", self.called());
        let places = lacking.iter().map(|line| {
            let sheet = &self.model.drawings[line.drawing];
            let issues = line.needed.iter().filter_map(|possible| possible.issue);
            let issues: Vec<String> = issues.map(|issue| format!("`{}`", sheet.issues[issue].issue)).collect();
            (sheet.record.field("held"), format!("issue {} is needed", joined(&issues, "or")))
        });
        let finding = self.at_state(codes::DRAWINGS_NOT_HELD, message, "built to");
        let finding = labelled(finding, places);
        Some(finding.help("find copies before the parts are made; `modstate drawings` lists them all"))
    }
}

/// The first few of some places, as labels.
fn labelled(finding: Finding, places: impl Iterator<Item = (Place, String)>) -> Finding {
    const SHOWN: usize = 4;
    places.take(SHOWN).fold(finding, |finding, (place, label)| finding.label(place, label))
}
