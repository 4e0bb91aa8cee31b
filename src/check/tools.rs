//! Forming tools that are kept for a build state.

use super::because::because;
use super::complete;
use crate::codes;
use crate::finding::Finding;
use crate::graph::Graph;
use crate::model::{FormingTool, Model};
use crate::resolve::{Basis, Limits, Resolver, Target};
use crate::shop::{Agreement, ToolLine, ToolVerdict, open_mods, tools};
use crate::words::{find_out_words, joined, listed, tool_kind_word};
use std::collections::BTreeMap;

pub(super) fn check(model: &Model, graph: &Graph, scope: super::CheckScope<'_>, limits: Limits) -> Vec<Finding> {
    let mut states: BTreeMap<_, Vec<usize>> = BTreeMap::new();
    for (index, tool) in model.tools.iter().enumerate() {
        if let Some(state) = tool.set_for.filter(|(airframe, _)| scope.takes_in(*airframe)) {
            states.entry(state).or_default().push(index);
        }
    }
    let mut findings = Vec::new();
    for ((airframe, state), kept) in states {
        let entry = &model.airframes[airframe];
        let target = Target { day: entry.build_states[state].date, build_state: Some(state) };
        let Ok(mut resolver) = Resolver::new(model, graph, airframe, target, limits) else { continue };
        let called = format!("`{}` of `{}`", entry.build_states.name(state), entry.serial.text);
        let lines = [Basis::Firm, Basis::Held].map(|basis| tools(&mut resolver, basis));
        for index in kept {
            if !model.tools[index].made_to.iter().all(|part| complete::part(&resolver, *part)) {
                continue;
            }
            let of = |lines: &[ToolLine]| lines.iter().find(|line| line.tool == Some(index)).cloned();
            if let (Some(firm), Some(held)) = (of(&lines[0]), of(&lines[1])) {
                findings.extend(judged(&mut resolver, &model.tools[index], &firm, &held, &called));
            }
        }
    }
    findings
}

fn judged(
    resolver: &mut Resolver<'_>,
    tool: &FormingTool,
    firm: &ToolLine,
    held: &ToolLine,
    state: &str,
) -> Option<Finding> {
    let model = resolver.history().model;
    let what = format!("the {} `{}`", tool_kind_word(tool.kind), tool.mark);
    let parts = listed(tool.made_to.iter().map(|part| model.parts.name(*part)), "and");
    let finding =
        |code, message: String, field, label: &str| Finding::new(code, message, tool.record.field(field), label);
    if !(firm.not_read.is_empty() && held.not_read.is_empty()) {
        return None;
    }
    if firm.verdict != held.verdict {
        let open = open_words(resolver, held);
        let message = format!("whether {what} serves for {state} rests on doubtful claims: it depends on {open}");
        let finding = finding(codes::TOOL_UNDECIDED, message, "made_to", "serves or not");
        return Some(finding.help(format!("before metal is formed on it, {}", find_out(resolver, held))));
    }
    match held.verdict {
        ToolVerdict::Right | ToolVerdict::Missing | ToolVerdict::NoneNeeded | ToolVerdict::NotRead => None,
        ToolVerdict::WrongVariant => {
            let others = listed(held.instead.iter().map(|part| model.parts.name(*part)), "or");
            let message = format!("{what} is made to {parts}, and {state} has {others} in its place");
            let finding = finding(codes::TOOL_WRONG_VARIANT, message, "made_to", "made to this");
            let finding = because(finding, resolver, &!held.when.clone(), Basis::Held);
            Some(finding.help(format!(
                "form no metal on it; compare it with the drawing first: what is required is a tool to {others}"
            )))
        }
        ToolVerdict::OldIssue => {
            let sheet = &model.drawings[held.drawing?];
            let first = tool.made_to.first().and_then(|part| model.parts[*part].drawing)?;
            let written = tool.issue.map_or("", |issue| model.drawings[first].issues[issue].issue.as_str());
            let needed: Vec<usize> = held.needed.iter().flatten().filter_map(|possible| possible.issue).collect();
            let applies: Vec<String> = needed.iter().map(|issue| format!("`{}`", sheet.issues[*issue].issue)).collect();
            let applies = joined(&applies, "or");
            let message =
                format!("{what} is to issue `{written}`, and {state} calls for issue {applies}, not interchangeable");
            let mut finding = finding(codes::TOOL_SUPERSEDED, message, "issue", "made to this issue");
            for issue in needed {
                let raised = sheet.issues[issue].raised_by.map(|m| format!(", raised by `{}`", model.mods.name(m)));
                let label = format!("this issue applies{}", raised.unwrap_or_default());
                finding = finding.label(sheet.record.field("issues").item(issue), label);
            }
            Some(finding.help(format!("form no metal on it; compare it with the drawing first: if it is as recorded, rework it to issue {applies}")))
        }
        ToolVerdict::Surplus => {
            let message = format!("{what} is made to {parts}, and {state} takes none of it");
            let finding = finding(codes::TOOL_SURPLUS, message, "made_to", "not needed");
            Some(finding.help("not needed for this state: store it"))
        }
        ToolVerdict::Undecided | ToolVerdict::Contradicted => Some(undecided(resolver, tool, held, &what, state)),
    }
}

fn undecided(resolver: &mut Resolver<'_>, tool: &FormingTool, held: &ToolLine, what: &str, state: &str) -> Finding {
    let (reason, advice, field) = match held.agreement {
        _ if tool.made_to.is_empty() => (
            "nothing says what it was made to".to_owned(),
            "compare it with the drawings, and enter `made_to`".to_owned(),
            "mark",
        ),
        Agreement::NotRecorded => (
            "nothing says to which issue it was made".to_owned(),
            "compare it with the drawing, and enter its issue".to_owned(),
            "made_to",
        ),
        Agreement::NotSaid => (
            "the register does not say whether its issue may stand for the one that applies".to_owned(),
            "enter `interchangeable` for the issue in the register, from the drawing".to_owned(),
            "issue",
        ),
        Agreement::Same
        | Agreement::Interchangeable
        | Agreement::NotInterchangeable
        | Agreement::Open
        | Agreement::Undecided(_) => {
            let open = open_words(resolver, held);
            (
                format!("it depends on {open}"),
                format!("before metal is formed on it, {}", find_out(resolver, held)),
                "made_to",
            )
        }
    };
    let message = format!("{what} cannot be judged for {state}: {reason}");
    Finding::new(codes::TOOL_UNDECIDED, message, tool.record.field(field), "not judged").help(advice)
}

fn find_out(resolver: &mut Resolver<'_>, line: &ToolLine) -> String {
    let model = resolver.history().model;
    let mods = open_mods(resolver, &line.when);
    find_out_words(mods.iter().map(|m| model.mods.name(*m)), "which issue applies")
}

fn open_words(resolver: &mut Resolver<'_>, line: &ToolLine) -> String {
    let model = resolver.history().model;
    let mods = open_mods(resolver, &line.when);
    if mods.is_empty() {
        return "which issue applies".to_owned();
    }
    listed(mods.iter().map(|m| model.mods.name(*m)), "and")
}
