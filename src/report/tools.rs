//! Forming tools against a state, or against two: which stay and which change.

use super::asked::{Asked, Both};
use super::layout::{paragraph, table};
use super::rack::issue_name;
use super::{CAUTION, Style};
use crate::check::tools::kind_word;
use crate::resolve::{Basis, Resolver};
use crate::shop::{Agreement, ToolLine, ToolVerdict, open_mods, tools};
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
    /// The caution that goes with every verdict.
    pub caution: &'static str,
}

/// A forming tool, or one that is missing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ToolRow {
    /// The mark on it; `null`: there is none.
    pub mark: Option<String>,
    /// `form block`, `flat-pattern template` or `drill template`.
    pub kind: &'static str,
    /// The parts that it is made to, or should be.
    pub parts: Vec<String>,
    /// The issue that it was made to.
    pub issue: Option<String>,
    /// `right`, `wrong variant`, `wrong issue`, `missing`, `surplus`, `undecided` or `none needed`.
    pub verdict: Both<&'static str>,
    /// The verdict in the second state.
    pub then: Option<Both<&'static str>>,
    /// Whether it is right in all that was asked, and stays.
    pub stays: bool,
    /// What to do; empty if nothing.
    pub remedy: String,
}

fn verdict_word(verdict: ToolVerdict) -> &'static str {
    match verdict {
        ToolVerdict::Right => "right",
        ToolVerdict::WrongVariant => "wrong variant",
        ToolVerdict::OldIssue => "wrong issue",
        ToolVerdict::Missing => "missing",
        ToolVerdict::Surplus => "surplus",
        ToolVerdict::Undecided => "undecided",
    }
}

/// The lines of a state on both bases.
type Lines = [Vec<ToolLine>; 2];

fn lines(resolver: &mut Resolver<'_>) -> Lines {
    [Basis::Firm, Basis::Held].map(|basis| tools(resolver, basis))
}

/// The tools against the state of a resolver, and against a second state if one is given.
#[must_use]
pub fn tools_report(
    resolver: &mut Resolver<'_>,
    asked: Asked,
    second: Option<(&mut Resolver<'_>, Asked)>,
) -> ToolsReport {
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
        let right = Both { firm: "right", held: "right" };
        let stays = now == right && then.as_ref().is_none_or(|(then, _)| *then == right);
        let remedy = match &then {
            Some((then, remedy)) if *then != now || now != right => change(now, *then, remedy),
            Some(_) => String::new(),
            None => remedy(resolver, &first, key),
        };
        ToolRow {
            mark: tool.map(|tool| tool.mark.clone()),
            kind: kind_word(key.kind),
            parts: key.parts.iter().map(|part| model.parts.name(*part).to_owned()).collect(),
            issue: tool.and_then(|tool| issue_name(model, *tool.made_to.first()?, tool.issue)),
            verdict: now,
            then: then.map(|(then, _)| then),
            stays,
            remedy,
        }
    });
    let tools = tools.collect();
    ToolsReport { asked, then, tools, caution: CAUTION }
}

fn same(a: &ToolLine, b: &ToolLine) -> bool {
    a.tool == b.tool && a.kind == b.kind && a.parts == b.parts
}

fn verdict(lines: &Lines, key: &ToolLine) -> Both<&'static str> {
    let of = |lines: &[ToolLine]| {
        lines.iter().find(|line| same(line, key)).map_or("none needed", |line| verdict_word(line.verdict))
    };
    Both { firm: of(&lines[0]), held: of(&lines[1]) }
}

/// What to do when the second state takes the place of the first.
fn change(now: Both<&'static str>, then: Both<&'static str>, remedy: &str) -> String {
    match (now.firm, then.firm) {
        _ if then.differs() => remedy.to_owned(),
        ("right", "surplus" | "wrong variant") => {
            format!("put away; {remedy}").trim_end_matches("; put it away").to_owned()
        }
        (_, "right") => "take into use".to_owned(),
        _ => remedy.to_owned(),
    }
}

fn remedy(resolver: &mut Resolver<'_>, lines: &Lines, key: &ToolLine) -> String {
    let both = lines.each_ref().map(|lines| lines.iter().find(|line| same(line, key)));
    let model = resolver.history().model;
    let settle = |resolver: &mut Resolver<'_>, line: &ToolLine| {
        let mods = open_mods(resolver, &line.when);
        let names: Vec<&str> = mods.iter().map(|m| model.mods.name(*m)).collect();
        if names.is_empty() { "settle which issue applies".to_owned() } else { format!("settle {}", names.join(", ")) }
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
        (ToolVerdict::Right, _) => String::new(),
        (ToolVerdict::WrongVariant, _) => {
            let others: Vec<&str> = line.instead.iter().map(|part| model.parts.name(*part)).collect();
            format!("the state has {}", others.join(" or "))
        }
        (ToolVerdict::OldIssue, _) => format!("rework to issue {}", applies()),
        (ToolVerdict::Missing, _) => format!("make it to issue {}", applies()),
        (ToolVerdict::Surplus, _) => "put it away".to_owned(),
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
        self.tools
            .iter()
            .any(|row| !row.verdict.differs() && ["wrong variant", "wrong issue"].contains(&row.verdict.firm))
    }
    /// Whether some tool is undecided.
    #[must_use]
    pub fn is_undecided(&self) -> bool {
        let open = |both: &Both<&str>| both.differs() || both.firm == "undecided";
        self.tools.iter().any(|row| open(&row.verdict) || row.then.as_ref().is_some_and(open))
    }
}

/// The tools as text.
#[must_use]
pub fn tools_text(report: &ToolsReport, style: Style) -> String {
    let width = style.width;
    let mut text = paragraph("", &format!("Forming tools for {}", report.asked.line()), width);
    if let Some(then) = &report.then {
        text.push_str(&paragraph("", &format!("and then for {}", then.line()), width));
    }
    text.push('\n');
    let told = |both: &Both<&str>| {
        if both.differs() { format!("{} (* {})", both.firm, both.held) } else { both.firm.to_owned() }
    };
    let cells: Vec<Vec<String>> = (report.tools.iter())
        .map(|row| {
            let mut cells = vec![
                row.mark.clone().unwrap_or_else(|| "-".to_owned()),
                row.kind.to_owned(),
                row.parts.join(" "),
                row.issue.clone().unwrap_or_else(|| "-".to_owned()),
                told(&row.verdict),
            ];
            cells.extend(row.then.as_ref().map(told));
            cells.push(row.remedy.clone());
            cells
        })
        .collect();
    let headers: &[&str] = if report.then.is_some() {
        &["Mark", "Tool", "Made to", "Iss", "Now", "Then", "To do"]
    } else {
        &["Mark", "Tool", "Made to", "Iss", "Verdict", "To do"]
    };
    text.push_str(&if cells.is_empty() {
        "No tool is entered, and no part asks for one.\n".to_owned()
    } else {
        table(headers, &cells, width)
    });
    let stay: Vec<&str> = report.tools.iter().filter(|row| row.stays).filter_map(|row| row.mark.as_deref()).collect();
    text.push('\n');
    if !stay.is_empty() {
        text.push_str(&paragraph("", &format!("May stay: {}.", stay.join(", ")), width));
    }
    if report.tools.iter().any(|row| row.verdict.differs() || row.then.as_ref().is_some_and(Both::differs)) {
        text.push_str(&paragraph("* ", "with the doubtful claims held as well.", width));
    }
    text.push_str(&report.asked.remarks(width));
    text
}

impl super::Verdicts for ToolsReport {
    fn outcome(&self) -> super::Outcome {
        super::Outcome::of(self.is_wrong(), self.is_undecided())
    }
    fn not_read(&self) -> crate::model::Marks {
        crate::model::Marks::new()
    }
}
