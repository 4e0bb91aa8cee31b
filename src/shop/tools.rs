//! Forming tools against a state.

use super::instead;
use super::issue::{Agreement, agreement};
use crate::ids::{DrawingId, PartId};
use crate::model::{FormingTool, Marks, Model};
use crate::prop::{Expr, Limit};
use crate::resolve::{Basis, IssueView, PossibleIssue, Resolver, Truth};
use crate::schema::ToolKind;
use serde::Serialize;

/// What is to be said of a forming tool.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ToolVerdict {
    /// Parts of the state may be formed on it.
    Right,
    /// The state has another part in the place of the tool's.
    WrongVariant,
    /// The state calls for another issue, for which it does not serve.
    #[serde(rename = "wrong-issue")]
    OldIssue,
    /// The state needs a part that is made on such a tool, and there is none.
    Missing,
    /// The state needs none of its parts.
    #[serde(rename = "not-needed")]
    Surplus,
    /// Not decided.
    Undecided,
    /// The claims that bear on it contradict each other or the rules.
    Contradicted,
    /// There is none, and the state needs none.
    NoneNeeded,
    /// It rests on something that was not read.
    NotRead,
}

/// A tool against a state, or a tool that is missing.
#[derive(Clone, Debug, PartialEq)]
pub struct ToolLine {
    /// Which tool (an index of the model's); `None`: there is none.
    pub tool: Option<usize>,
    /// What it is.
    pub kind: ToolKind,
    /// What it is made to, or should be made to.
    pub parts: Vec<PartId>,
    /// What follows.
    pub verdict: ToolVerdict,
    /// How its issue goes with those that may apply.
    pub agreement: Agreement,
    /// The drawing of the part that it serves least.
    pub drawing: Option<DrawingId>,
    /// The issues of that drawing that may apply.
    pub needed: Result<Vec<PossibleIssue>, Limit>,
    /// What the state may have in place of its parts.
    pub instead: Vec<PartId>,
    /// When it is needed, over state variables.
    pub when: Expr,
    /// What was not read and bears on it.
    pub not_read: Marks,
}

/// Every tool in table order, then the ones that are missing, on one basis.
pub fn tools(resolver: &mut Resolver<'_>, basis: Basis) -> Vec<ToolLine> {
    let model = resolver.history().model;
    let mut lines: Vec<ToolLine> = Vec::new();
    for (index, tool) in model.tools.iter().enumerate() {
        lines.push(judge(resolver, index, tool, basis));
    }
    for (part, _, entry) in model.parts.iter() {
        for kind in &entry.tools {
            let there = model.tools.iter().any(|tool| tool.kind == *kind && tool.made_to.contains(&part));
            if there {
                continue;
            }
            let when = resolver.fitted(part);
            let mut not_read = Marks::new();
            let verdict = match resolver.truth(&when, basis) {
                Truth::Never => continue,
                Truth::Always => ToolVerdict::Missing,
                Truth::NoHistory => ToolVerdict::Contradicted,
                Truth::Open | Truth::Undecided(_) => ToolVerdict::Undecided,
            };
            not_read.extend(not_read_of(resolver, part));
            let verdict = if not_read.is_empty() { verdict } else { ToolVerdict::NotRead };
            let needed = resolver.issues(part, &when, IssueView::ToMake, basis);
            let (agreement, instead) = (Agreement::Same, Vec::new());
            lines.push(ToolLine {
                tool: None,
                kind: *kind,
                parts: vec![part],
                verdict,
                agreement,
                drawing: model.parts[part].drawing,
                needed,
                instead,
                when,
                not_read,
            });
        }
    }
    lines
}

/// What was not read and bears on whether a part is formed, to which issue, and on which tools there are for it.
fn not_read_of(resolver: &Resolver<'_>, part: PartId) -> Marks {
    let history = resolver.history();
    if history.model.losses.is_empty() {
        return Marks::new();
    }
    let mut marks = history.not_read_of_fitting(part);
    marks.extend(history.not_read_of_issue(part, &resolver.fitted(part)));
    marks.extend(history.model.losses.of_floor(history.model, history.id, &["FormingTool"], part));
    marks
}

fn judge(resolver: &mut Resolver<'_>, index: usize, tool: &FormingTool, basis: Basis) -> ToolLine {
    let model = resolver.history().model;
    let whens: Vec<(PartId, Expr)> = tool.made_to.iter().map(|part| (*part, resolver.fitted(*part))).collect();
    let when = Expr::any(whens.iter().map(|(_, when)| when.clone()));
    let truth = resolver.truth(&when, basis);
    let mut others = Vec::new();
    let mut filled = false;
    let mut judged: Vec<JudgedIssue> = Vec::new();
    for (part, when) in &whens {
        if resolver.truth(when, basis) == Truth::Never {
            let (instead, is_filled) = instead(resolver, *part, basis);
            filled |= is_filled == Truth::Always;
            others.extend(instead.into_iter().filter(|other| !tool.made_to.contains(other)));
            continue;
        }
        let needed = resolver.issues(*part, when, IssueView::ToMake, basis);
        let drawing = model.parts[*part].drawing;
        let agreement = agreement(model, drawing, drawing.and_then(|drawing| issue_on(model, tool, drawing)), &needed);
        judged.push(JudgedIssue { agreement, drawing, needed });
    }
    // The part that the tool serves least decides.
    let worst = judged.into_iter().max_by_key(|judged| {
        (judged.agreement == Agreement::NotInterchangeable, judged.agreement, judged.drawing.is_some())
    });
    let none = JudgedIssue { agreement: Agreement::Same, drawing: None, needed: Ok(Vec::new()) };
    let JudgedIssue { agreement, drawing, needed } = worst.unwrap_or(none);
    let mut not_read = model.losses.of_floor_record(resolver.history().id, tool.record);
    tool.made_to.iter().for_each(|part| not_read.extend(not_read_of(resolver, *part)));
    let verdict = match truth {
        _ if !not_read.is_empty() => ToolVerdict::NotRead,
        _ if tool.made_to.is_empty() => ToolVerdict::Undecided,
        Truth::Never if filled => ToolVerdict::WrongVariant,
        Truth::Never => ToolVerdict::Surplus,
        Truth::NoHistory => ToolVerdict::Contradicted,
        Truth::Open | Truth::Undecided(_) => ToolVerdict::Undecided,
        Truth::Always => match agreement {
            Agreement::Same | Agreement::Interchangeable => ToolVerdict::Right,
            Agreement::NotInterchangeable => ToolVerdict::OldIssue,
            Agreement::NotSaid | Agreement::Open | Agreement::NotRecorded | Agreement::Undecided(_) => {
                ToolVerdict::Undecided
            }
        },
    };
    let instead = if verdict != ToolVerdict::NotRead && truth == Truth::Never { others } else { Vec::new() };
    ToolLine {
        tool: Some(index),
        kind: tool.kind,
        parts: tool.made_to.clone(),
        verdict,
        agreement,
        drawing,
        needed,
        instead,
        when,
        not_read,
    }
}

/// One of the parts that a tool is made to: how its issue goes with those that may apply, of which drawing.
struct JudgedIssue {
    agreement: Agreement,
    drawing: Option<DrawingId>,
    needed: Result<Vec<PossibleIssue>, Limit>,
}

/// The issue of a tool as one of a drawing: written on the tool once, for the drawings of all its parts.
fn issue_on(model: &Model, tool: &FormingTool, drawing: DrawingId) -> Option<usize> {
    let first = tool.made_to.first().and_then(|part| model.parts[*part].drawing)?;
    let written = &model.drawings[first].issues[tool.issue?].issue;
    model.drawings[drawing].issues.iter().position(|issue| issue.issue == *written)
}
