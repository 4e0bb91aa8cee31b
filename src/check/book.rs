//! The decision book against the present evidence.

use super::because::because;
use super::complete::Complete;
use crate::codes;
use crate::finding::Finding;
use crate::graph::Graph;
use crate::ids::AirframeId;
use crate::model::{Decided, Decision, Model};
use crate::resolve::{Basis, Limits, Resolver, Truth};
use crate::shop::{BookStanding, Stood, book, open_mods};
use crate::words::{date_text, form_word, listed};
use std::collections::BTreeMap;

/// What a decision says, as the end of a sentence: "that M014 is embodied".
#[must_use]
pub(crate) fn decided_words(decided: Decided, model: &Model, airframe: AirframeId) -> String {
    match decided {
        Decided::BuildTo(state) => {
            format!("to build to \"{}\"", model.airframes[airframe].build_states.name(state))
        }
        Decided::Embodied(m, form) => {
            let by = form.map(|form| format!(" ({})", form_word(form))).unwrap_or_default();
            format!("that {} is embodied{by}", model.mods.name(m))
        }
        Decided::NotEmbodied(m) => format!("that {} is not embodied", model.mods.name(m)),
        Decided::Fits(position, candidate) => {
            let what = candidate.map_or("nothing".to_owned(), |index| {
                model.parts.name(model.positions[position].candidates[index].part).to_owned()
            });
            format!("that {what} is fitted at {}", model.positions.name(position))
        }
        Decided::Withdraw(number) => format!("to withdraw decision {number}"),
    }
}

pub(super) fn check(
    model: &Model,
    graph: &Graph,
    complete: &Complete<'_>,
    scope: super::CheckScope<'_>,
    limits: Limits,
) -> Vec<Finding> {
    let mut findings = Vec::new();
    for airframe in model.airframes.ids().filter(|airframe| scope.takes_in(*airframe)) {
        if !model.decisions.iter().any(|decision| decision.airframe == airframe) {
            continue;
        }
        // A decision that was lost may have withdrawn any before it, or built to a state.
        if complete.any_lost(&["Decision"]) {
            continue;
        }
        let stood = book(model, graph, airframe, limits);
        findings.extend(two_states(model, &stood));
        for entry in &stood {
            findings.extend(against(model, graph, entry, limits));
        }
    }
    findings
}

fn two_states(model: &Model, stood: &[Stood]) -> Vec<Finding> {
    let standing = stood.iter().filter(|entry| entry.standing == BookStanding::Stands);
    let mut states: BTreeMap<_, &Decision> = BTreeMap::new();
    let mut findings = Vec::new();
    for decision in standing.map(|entry| &model.decisions[entry.decision]) {
        let Decided::BuildTo(state) = decision.decides else { continue };
        if let Some((_, first)) = states.iter().find(|(other, _)| **other != state) {
            let serial = &model.airframes[decision.airframe].serial.text;
            let message = format!(
                "decisions {} and {} build `{serial}` to two states, and neither is withdrawn",
                first.number, decision.number
            );
            findings.push(
                Finding::new(codes::TWO_STATES_DECIDED, message, decision.record.field("decides"), "to this one")
                    .label(first.record.field("decides"), "and to this one")
                    .help("withdraw the one that no longer stands by a further decision"),
            );
        }
        states.entry(state).or_insert(decision);
    }
    findings
}

fn against(model: &Model, graph: &Graph, entry: &Stood, limits: Limits) -> Option<Finding> {
    let decision = &model.decisions[entry.decision];
    let said = format!(
        "decision {} of {} ({}) was {}",
        decision.number,
        date_text(&decision.date.to_string()),
        decision.by,
        decided_words(decision.decides, model, decision.airframe)
    );
    let place = decision.record.field("decides");
    if entry.standing == BookStanding::NoState {
        // A build state that was lost may be the only one.
        if !model.losses.of_dossier(decision.airframe, &["BuildState", "Decision"]).is_empty() {
            return None;
        }
        let message = format!("{said}, and nothing says in which build state: it is not checked against the evidence");
        let finding = Finding::new(codes::DECISION_NOT_SETTLED, message, place, "decided");
        return Some(finding.help("decide to which state the airframe is built, or take it again with `state`"));
    }
    let BookStanding::Against(firm, held) = entry.standing else { return None };
    let (expr, target) = (entry.expr.as_ref()?, entry.target?);
    let mut resolver = Resolver::new(model, graph, decision.airframe, target, limits).ok()?;
    if !resolver.history().reach.expr(expr).is_empty() {
        return None;
    }
    match (firm, held) {
        (Truth::Never, _) => {
            let message = format!("{said}, and the evidence says otherwise");
            let finding = Finding::new(codes::DECISION_CONTRADICTED, message, place, "decided");
            let finding = because(finding, &resolver, &!expr.clone(), Basis::Firm);
            Some(finding.help("withdraw it by a later decision, or show that the evidence is of something else"))
        }
        (_, Truth::Never) => {
            let message = format!("{said}, and doubtful evidence says otherwise");
            let finding = Finding::new(codes::DECISION_DOUBTED, message, place, "decided");
            let finding = because(finding, &resolver, &!expr.clone(), Basis::Held);
            Some(finding.help("find out about the doubtful claims, or withdraw the decision"))
        }
        (Truth::Open, _) | (_, Truth::Open) => {
            let mods = open_mods(&mut resolver, expr);
            let open = listed(mods.iter().map(|m| model.mods.name(*m)), "and");
            let message = format!("{said}, which the evidence does not settle: it depends on {open}");
            let finding = Finding::new(codes::DECISION_NOT_SETTLED, message, place, "decided");
            Some(finding.help(format!("look for evidence of {open}; the decision stands on its own reasons")))
        }
        _ => None,
    }
}
