//! Forming tools against a state, or against two: which stay and which change.

use super::asked::{Asked, Both, STAR};
use super::mark_text;
use super::rack::issue_name;
use crate::ids::PartId;
use crate::layout::{Page, PageTable};
use crate::model::Marks;
use crate::prop::Expr;
use crate::resolve::{Basis, Resolver};
use crate::shop::{Agreement, ToolLine, ToolVerdict, open_mods, tools};
use crate::words::{find_out_words, tool_kind_word};
use serde::Serialize;

/// Forming tools against a state.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ToolsReport {
    /// Which airframe and state.
    pub asked: Asked,
    /// The second state, if there is one.
    pub then: Option<Asked>,
    /// The tools by mark, then those that are missing in one of the states.
    pub tools: Vec<ToolRow>,
    /// What was not read and bears on the heading, or leaves the list short.
    #[serde(skip)]
    pub not_read: Marks,
}

/// A forming tool, or one that is missing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ToolRow {
    /// The mark on it; `null`: there is none.
    pub mark: Option<String>,
    /// `form block`, `flat-pattern template` or `drill template`.
    #[serde(serialize_with = "crate::layout::json::hyphened")]
    pub kind: &'static str,
    /// The parts that it is made to, or should be.
    pub parts: Vec<String>,
    /// The issue that it was made to.
    pub issue: Option<String>,
    /// Whether it serves.
    pub verdict: Both<ToolVerdict>,
    /// The verdict in the second state.
    pub then: Option<Both<ToolVerdict>>,
    /// Whether it is right in all that was asked, and stays.
    pub stays: bool,
    /// What to do; empty if nothing.
    pub remedy: String,
    /// What was not read and bears on it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

fn verdict_word(verdict: ToolVerdict) -> &'static str {
    match verdict {
        ToolVerdict::Right => "right",
        ToolVerdict::WrongVariant => "wrong variant",
        ToolVerdict::OldIssue => "wrong issue",
        ToolVerdict::Missing => "missing",
        ToolVerdict::Surplus => "not needed",
        ToolVerdict::Undecided => "undecided",
        ToolVerdict::Contradicted => "contradicted",
        ToolVerdict::NoneNeeded => "none needed",
        ToolVerdict::NotRead => "not read",
    }
}

/// The lines of a state on both bases.
type Lines = [Vec<ToolLine>; 2];

fn lines(resolver: &mut Resolver<'_>) -> Lines {
    [Basis::Firm, Basis::Held].map(|basis| tools(resolver, basis))
}

/// What was not read and bears on the heading of the list, or leaves it short: tools, and parts that may need one.
fn not_read_of_list(resolver: &Resolver<'_>) -> Marks {
    let history = resolver.history();
    let (model, losses) = (history.model, &history.model.losses);
    let mut marks = history.not_read_of_asking(resolver.target().build_state);
    if !losses.is_empty() {
        marks.extend(losses.of_floor_list(history.id, &["FormingTool"]));
        let unplaced = |part: &PartId| resolver.fitted(*part) != Expr::Const(false);
        marks.extend(model.parts.ids().filter(unplaced).flat_map(|part| losses.of_part(part)));
        let airframe = model.type_of.iter().map(|known| known.airframe);
        marks.extend(airframe.flat_map(|airframe| history.not_read_below(airframe)));
    }
    marks
}

/// The tools against the state of a resolver, and against a second state if one is given.
#[must_use]
pub fn tools_report(
    resolver: &mut Resolver<'_>,
    asked: Asked,
    second: Option<(&mut Resolver<'_>, Asked)>,
) -> ToolsReport {
    let mut not_read = not_read_of_list(resolver);
    not_read.extend(second.iter().flat_map(|(other, _)| not_read_of_list(other)));
    let first = lines(resolver);
    let (mut other, then) = match second {
        Some((resolver, asked)) => (Some((lines(resolver), resolver)), Some(asked)),
        None => (None, None),
    };
    let mut keys: Vec<&ToolLine> = Vec::new();
    for line in first.iter().chain(other.iter().flat_map(|(lines, _)| lines)).flatten() {
        if !keys.iter().any(|known| same(known, line)) {
            keys.push(line);
        }
    }
    let keys: Vec<ToolLine> = keys.into_iter().cloned().collect();
    let tools = keys.iter().map(|key| {
        let then = other.as_mut().map(|(lines, resolver)| (verdict(lines, key), remedy(resolver, lines, key)));
        let now = verdict(&first, key);
        let model = resolver.history().model;
        let tool = key.tool.map(|tool| &model.tools[tool]);
        let right = Both { firm: ToolVerdict::Right, held: ToolVerdict::Right };
        let all = first.iter().chain(other.iter().flat_map(|(lines, _)| lines)).flatten();
        let not_read: Marks = all.filter(|line| same(line, key)).flat_map(|line| &line.not_read).copied().collect();
        let stays = now == right && then.as_ref().is_none_or(|(then, _)| *then == right);
        let remedy = match &then {
            _ if !not_read.is_empty() => String::new(),
            Some((then, remedy)) if *then != now || now != right => change(now, *then, remedy),
            Some(_) => String::new(),
            None => remedy(resolver, &first, key),
        };
        ToolRow {
            mark: tool.map(|tool| tool.mark.clone()),
            kind: tool_kind_word(key.kind),
            parts: key.parts.iter().map(|part| model.parts.name(*part).to_owned()).collect(),
            issue: tool.and_then(|tool| issue_name(model, *tool.made_to.first()?, tool.issue)),
            verdict: now,
            then: then.map(|(then, _)| then),
            stays,
            remedy,
            not_read,
        }
    });
    let tools = tools.collect();
    ToolsReport { asked, then, tools, not_read }
}

fn same(a: &ToolLine, b: &ToolLine) -> bool {
    a.tool == b.tool && a.kind == b.kind && a.parts == b.parts
}

fn verdict(lines: &Lines, key: &ToolLine) -> Both<ToolVerdict> {
    let of = |lines: &[ToolLine]| {
        lines.iter().find(|line| same(line, key)).map_or(ToolVerdict::NoneNeeded, |line| line.verdict)
    };
    Both { firm: of(&lines[0]), held: of(&lines[1]) }
}

/// What to do when the second state takes the place of the first.
fn change(now: Both<ToolVerdict>, then: Both<ToolVerdict>, remedy: &str) -> String {
    match (now.firm, then.firm) {
        _ if then.differs() => remedy.to_owned(),
        (ToolVerdict::Right, ToolVerdict::Surplus | ToolVerdict::WrongVariant) => {
            format!("put away; {remedy}").trim_end_matches("; put it away").to_owned()
        }
        (_, ToolVerdict::Right) => "take into use".to_owned(),
        _ => remedy.to_owned(),
    }
}

fn remedy(resolver: &mut Resolver<'_>, lines: &Lines, key: &ToolLine) -> String {
    let both = lines.each_ref().map(|lines| lines.iter().find(|line| same(line, key)));
    let model = resolver.history().model;
    let settle = |resolver: &mut Resolver<'_>, line: &ToolLine| {
        let mods = open_mods(resolver, &line.when);
        find_out_words(mods.iter().map(|m| model.mods.name(*m)), "which issue applies")
    };
    let line = match both {
        [Some(firm), Some(held)] if firm.verdict == held.verdict => firm,
        [Some(line), _] | [_, Some(line)] => return settle(resolver, line),
        [None, None] => return String::new(),
    };
    let applies = || {
        let issues = line.drawing.map(|drawing| &model.drawings[drawing].issues);
        let names = line.needed.iter().flatten().filter_map(|possible| Some(issues?[possible.issue?].issue.clone()));
        names.collect::<Vec<_>>().join(" or ")
    };
    match (line.verdict, line.agreement) {
        (ToolVerdict::Right, Agreement::Interchangeable) => format!("issue {} applies; interchangeable", applies()),
        (ToolVerdict::Right | ToolVerdict::NoneNeeded | ToolVerdict::NotRead, _) => String::new(),
        (ToolVerdict::WrongVariant, _) => {
            let others: Vec<&str> = line.instead.iter().map(|part| model.parts.name(*part)).collect();
            format!("{} is required", others.join(" or "))
        }
        (ToolVerdict::OldIssue, _) => format!("compare with the drawing; issue {} is required", applies()),
        (ToolVerdict::Missing, _) => format!("make it to issue {}", applies()),
        (ToolVerdict::Surplus, _) => "put it away".to_owned(),
        (ToolVerdict::Contradicted, _) => "the records contradict each other; run modstate check".to_owned(),
        (ToolVerdict::Undecided, _) if line.parts.is_empty() => {
            "compare it: nothing says what it was made to".to_owned()
        }
        (ToolVerdict::Undecided, Agreement::NotRecorded) => {
            "compare it with the drawing: its issue is not recorded".to_owned()
        }
        (ToolVerdict::Undecided, Agreement::NotSaid) => {
            format!("issue {} applies; the register does not say whether interchangeable", applies())
        }
        (ToolVerdict::Undecided, _) => settle(resolver, line),
    }
}

impl ToolsReport {
    /// Whether some tool is certainly wrong for the state.
    #[must_use]
    pub fn is_wrong(&self) -> bool {
        let wrong = [ToolVerdict::WrongVariant, ToolVerdict::OldIssue, ToolVerdict::Contradicted];
        self.tools.iter().any(|row| !row.verdict.differs() && wrong.contains(&row.verdict.firm))
    }
    /// Whether some tool is undecided.
    #[must_use]
    pub fn is_undecided(&self) -> bool {
        let open = |both: &Both<ToolVerdict>| both.differs() || both.firm == ToolVerdict::Undecided;
        self.tools.iter().any(|row| open(&row.verdict) || row.then.as_ref().is_some_and(open))
    }
}

/// The tools as text.
#[must_use]
pub fn tools_page(report: &ToolsReport) -> Page {
    let mut page = Page::titled(format!("Forming tools for {}", report.asked.line()));
    if let Some(then) = &report.then {
        page.say(format!("and then for {}", then.line()));
    }
    page.gap();
    let words = |both: &Both<ToolVerdict>| both.words(|verdict| verdict_word(*verdict).to_owned());
    let or_dash = |cell: &Option<String>| cell.clone().unwrap_or_else(|| "-".to_owned());
    if !report.tools.is_empty() {
        let mut table = PageTable::of(&report.tools)
            .words("Mark", |row| or_dash(&row.mark))
            .words("Tool", |row| row.kind.to_owned())
            .words("Made to", |row| row.parts.join(" "))
            .words("Iss", |row| or_dash(&row.issue))
            .words(if report.then.is_some() { "Now" } else { "Verdict" }, |row| {
                if row.not_read.is_empty() { words(&row.verdict) } else { mark_text(&row.not_read) }
            });
        if report.then.is_some() {
            table = table.words("Then", |row| row.then.as_ref().map_or_else(String::new, words));
        }
        page.table(table.words("To do", |row| row.remedy.clone()));
    } else if report.not_read.is_empty() {
        page.say("No tool is entered, and no part asks for one.");
    }
    let stay: Vec<&str> = report.tools.iter().filter(|row| row.stays).filter_map(|row| row.mark.as_deref()).collect();
    page.gap();
    if !report.not_read.is_empty() {
        let sentence =
            format!("Which other tools there are, or are needed, is not known: {}.", mark_text(&report.not_read));
        page.say(sentence);
    }
    if !stay.is_empty() {
        page.say(format!("May stay: {}.", stay.join(", ")));
    }
    if report.tools.iter().any(|row| row.verdict.differs() || row.then.as_ref().is_some_and(Both::differs)) {
        page.say(STAR);
    }
    page.append(report.asked.remarks());
    page
}

impl super::Verdicts for ToolsReport {
    fn outcome(&self) -> super::Outcome {
        super::Outcome::of(self.is_wrong(), self.is_undecided())
    }
    fn not_read(&self) -> Marks {
        self.tools.iter().flat_map(|row| &row.not_read).chain(&self.not_read).copied().collect()
    }
}
