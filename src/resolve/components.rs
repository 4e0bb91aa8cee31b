//! Splitting one airframe's history into parts that have no bearing on each other.

use super::Target;
use super::encode::Component;
use crate::graph::DayRule;
use crate::history::{Afterwards, Fact, History, of_form_var};
use crate::ids::{ClaimId, Id, ModId};
use crate::prop::Expr;
use crate::schema::Form;
use petgraph::unionfind::UnionFind;
use std::collections::{BTreeMap, BTreeSet};

/// The components of a history, each with what belongs together, in the order of their first modification or claim.
///
/// A modification that the serial settles (covered by production and never claimed removed, or neither covered nor
/// possible afterwards) binds nothing and belongs to no component, unless a rule or a claim contradicts it.
pub(crate) fn split(history: &History<'_>, target: Target) -> Vec<Component> {
    let mods = history.model.mods.len();
    let claims = history.meanings.len();
    let mut variable = variable_mods(history, target);
    let broken_rules = mark_broken_rules(history, &mut variable);
    let mut together = UnionFind::<usize>::new(mods + claims);
    let mut used_claims = vec![false; claims];
    for (index, meaning) in history.meanings.iter().enumerate() {
        let named = meaning.mods();
        let free: Vec<ModId> = named.iter().copied().filter(|m| variable[m.index()]).collect();
        if !free.is_empty() || !holds_as_settled(history, index) {
            used_claims[index] = true;
            for m in if free.is_empty() { named.into_iter().collect() } else { free } {
                variable[m.index()] = true;
                together.union(mods + index, m.index());
            }
        }
    }
    for (index, (_, bound)) in history.graph.day_rules().iter().enumerate() {
        let mut free = bound.iter().filter(|m| variable[m.index()]).map(|m| m.index());
        if let Some(first) = free.next() {
            free.for_each(|other| {
                together.union(first, other);
            });
        } else {
            debug_assert!(!broken_rules.contains(&index), "the modifications of a broken rule are marked");
        }
    }
    let empty = || Component::empty(history.built.0, history.built.1);
    let mut components: BTreeMap<usize, Component> = BTreeMap::new();
    for m in history.model.mods.ids().filter(|m| variable[m.index()]) {
        components.entry(together.find(m.index())).or_insert_with(empty).mods.push(m);
    }
    for index in (0..claims).filter(|index| used_claims[*index]) {
        components.entry(together.find(mods + index)).or_insert_with(empty).claims.push(ClaimId::from_index(index));
    }
    settle_build_date(history, components.into_values().collect())
}

/// Which modifications the serial alone does not settle, or the named build state changes.
fn variable_mods(history: &History<'_>, target: Target) -> Vec<bool> {
    let mut variable: Vec<bool> = history
        .possible
        .iter()
        .map(|p| !p.covered && matches!(p.afterwards, Afterwards::From(_)) && p.earliest.is_some())
        .collect();
    for (m, ..) in history.meanings.iter().filter_map(|meaning| meaning.lets_remove) {
        variable[m.index()] = true;
    }
    if let Some(state) = target.build_state {
        let state = &history.airframe().build_states[state];
        for (m, ..) in state.add.iter().chain(&state.leave_out) {
            variable[m.index()] = true;
        }
    }
    variable
}

/// Marks the modifications of rules that the settled modifications break among themselves.
fn mark_broken_rules(history: &History<'_>, variable: &mut [bool]) -> BTreeSet<usize> {
    let mut broken = BTreeSet::new();
    for (index, (rule, bound)) in history.graph.day_rules().iter().enumerate() {
        if bound.iter().any(|m| variable[m.index()]) {
            continue;
        }
        let covered = |m: &ModId| history.possible[m.index()].covered;
        let holds = match rule {
            DayRule::Requires(..) => !covered(&bound[0]) || bound[1..].iter().any(covered),
            DayRule::Excludes(..) => !bound.iter().all(covered),
            DayRule::OneOf(group) => {
                let count = bound.iter().filter(|m| covered(m)).count();
                count == 1 || (count == 0 && !history.model.one_ofs[*group].exactly)
            }
        };
        if !holds {
            broken.insert(index);
        }
    }
    for index in &broken {
        for m in &history.graph.day_rules()[*index].1 {
            variable[m.index()] = true;
        }
    }
    broken
}

/// Whether a claim that names only settled modifications holds; false also where the build date leaves it open.
fn holds_as_settled(history: &History<'_>, claim: usize) -> bool {
    let (first, last) = history.built;
    let meaning = &history.meanings[claim];
    if meaning.lets_remove.is_some() {
        return false;
    }
    meaning.facts.iter().all(|fact| {
        let value = |built: bool| {
            fact.expr().value(&|var| {
                let (m, form) = of_form_var(var);
                built && form == Form::Production && history.possible[m.index()].covered
            })
        };
        let (from, to) = fact.days();
        let is_seen = matches!(fact, Fact::Seen(..));
        let before = !is_seen && from < first && value(false);
        let after = to >= last && value(true);
        match fact {
            Fact::At(day, _) => (*day < first && value(false)) || (*day >= last && value(true)),
            Fact::Sometime(..) | Fact::Seen(..) => before || after,
        }
    })
}

/// Says of each component whether the exact build date matters to it, and joins those to which it does.
fn settle_build_date(history: &History<'_>, components: Vec<Component>) -> Vec<Component> {
    let (first, last) = history.built;
    let mut joined = Component::empty(first, last);
    let mut apart = Vec::new();
    for component in components {
        if first < last && history.is_near_build(&component.mods, &component.claims) {
            joined.mods.extend(component.mods);
            joined.claims.extend(component.claims);
        } else {
            apart.push(Component { built: (last, last), ..component });
        }
    }
    if !joined.mods.is_empty() || !joined.claims.is_empty() {
        joined.mods.sort_unstable();
        joined.claims.sort_unstable();
        apart.push(joined);
    }
    apart.sort_by_key(|component| (component.mods.first().copied(), component.claims.first().copied()));
    apart
}

/// The components whose modifications an expression names, in order.
pub(crate) fn touched(of_mod: &[Option<usize>], expr: &Expr) -> BTreeSet<usize> {
    let mut found = BTreeSet::new();
    expr.each_var(&mut |var| {
        found.extend(of_mod.get(of_form_var(var).0.index()).copied().flatten());
    });
    found
}
