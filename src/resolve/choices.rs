//! Whether a named build state obeys the rules, history by history.

use super::encode::day_rule;
use super::{Basis, Limits, NotYetBuilt, Resolver, Rule, Target, Truth};
use crate::graph::Graph;
use crate::history::{Afterwards, is_in};
use crate::ids::{AirframeId, BuildStateId, Id, ModId};
use crate::model::Model;
use crate::prop::{Expr, Limit};
use crate::schema::Form;
use std::collections::BTreeSet;

/// A rule that a named build state breaks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct BrokenChoice {
    /// The rule.
    pub rule: Rule,
    /// Whether it is broken whatever the history was, or only in some histories.
    pub always: bool,
}

/// What a named build state is, beside its airframe's own state on the same day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChoicesCompared {
    /// The rules that it breaks in some history, with the doubtful claims held.
    pub broken: Vec<BrokenChoice>,
    /// What it adds though it is embodied in all histories anyway.
    pub added_anyway: Vec<ModId>,
    /// What it leaves out though it is embodied in none.
    pub left_out_anyway: Vec<ModId>,
}

/// Judges a named build state.
///
/// # Errors
/// If the airframe was not certainly built by its date.
pub fn judge_choices(
    model: &Model,
    graph: &Graph,
    airframe: AirframeId,
    state: BuildStateId,
    limits: Limits,
) -> Result<Result<ChoicesCompared, Limit>, NotYetBuilt> {
    let chosen = &model.airframes[airframe].build_states[state];
    let target = Target { day: chosen.date, build_state: None };
    let mut resolver = Resolver::new(model, graph, airframe, target, limits)?;
    let added: BTreeSet<ModId> = chosen.add.iter().map(|(m, ..)| *m).collect();
    let left_out: BTreeSet<ModId> = chosen.leave_out.iter().map(|(m, ..)| *m).collect();
    let rebuilt = |m: ModId| {
        if added.contains(&m) || left_out.contains(&m) { Expr::Const(added.contains(&m)) } else { is_in(m, None) }
    };
    let mut wrongs: Vec<(Rule, Expr)> = Vec::new();
    for &m in &added {
        let not_by_production = !is_in(m, Some(Form::Production));
        match resolver.history().possible[m.index()].afterwards {
            Afterwards::NoForm => wrongs.push((Rule::NoRetrospectiveForm(m), not_by_production)),
            Afterwards::NotEligible => wrongs.push((Rule::NotEligible(m), not_by_production)),
            Afterwards::From(_) => {}
        }
    }
    let rules: BTreeSet<usize> = added.union(&left_out).flat_map(|m| graph.day_rules_of(*m)).copied().collect();
    for (rule, mods) in rules.into_iter().map(|rule| &graph.day_rules()[rule]) {
        let kept = day_rule(resolver.history(), rule, mods, chosen.date, &Expr::Const(true), &rebuilt);
        wrongs.push((Rule::of_day(rule), !kept));
    }
    let mut choices = ChoicesCompared { broken: Vec::new(), added_anyway: Vec::new(), left_out_anyway: Vec::new() };
    for (rule, wrong) in wrongs {
        match resolver.truth(&wrong, Basis::Held) {
            Truth::Always => choices.broken.push(BrokenChoice { rule, always: true }),
            Truth::Open => choices.broken.push(BrokenChoice { rule, always: false }),
            Truth::Never | Truth::NoHistory => {}
            Truth::Undecided(limit) => return Ok(Err(limit)),
        }
    }
    choices.broken.sort_unstable();
    let mut all_same = |mods: &BTreeSet<ModId>, truth: Truth| -> Vec<ModId> {
        mods.iter().copied().filter(|m| resolver.truth(&is_in(*m, None), Basis::Held) == truth).collect()
    };
    choices.added_anyway = all_same(&added, Truth::Always);
    choices.left_out_anyway = all_same(&left_out, Truth::Never);
    Ok(Ok(choices))
}
