//! Putting reasons into the order in which a person follows them.

use super::{Worded, worded};
use crate::history::History;
use crate::ids::{Id, ModId};
use crate::resolve::{Reason, Rule, Target};
use std::collections::BTreeSet;

/// A set of reasons as a chain: what the evidence says first, oldest date first, then the rules, each after what it
/// takes up.
#[must_use]
pub fn chain(reasons: &[Reason], history: &History<'_>, target: Target) -> Vec<Worded> {
    ordered(reasons, history).iter().map(|reason| worded(reason, history, target)).collect()
}

/// The reasons in the order of the chain.
pub(crate) fn ordered(reasons: &[Reason], history: &History<'_>) -> Vec<Reason> {
    let claims = &history.airframe().claims;
    let (mut order, mut rules): (Vec<Reason>, Vec<Reason>) =
        reasons.iter().copied().partition(|reason| matches!(reason, Reason::Claim(_)));
    order.sort_by_key(|reason| match reason {
        Reason::Claim(claim) => (claims[*claim].when.last(), claims[*claim].when.first(), *reason),
        Reason::Rule(_) => unreachable!("only claims are in this list"),
    });
    let mut known: BTreeSet<ModId> = order.iter().flat_map(|reason| mods_of(reason, history)).collect();
    rules.sort_by_key(|reason| (rank(reason), *reason));
    while !rules.is_empty() {
        let takes_up = |reason: &Reason| mods_of(reason, history).iter().any(|m| known.contains(m));
        let next = rules.iter().position(takes_up).unwrap_or(0);
        let reason = rules.remove(next);
        known.extend(mods_of(&reason, history));
        order.push(reason);
    }
    order
}

/// The modifications that a claim or a rule bears on, in table order.
#[must_use]
pub fn mods_of(reason: &Reason, history: &History<'_>) -> BTreeSet<ModId> {
    match reason {
        Reason::Claim(claim) => history.meanings[claim.index()].mods(),
        Reason::Rule(rule) => match rule {
            Rule::Built => BTreeSet::new(),
            Rule::CutIn(m)
            | Rule::NoRetrospectiveForm(m)
            | Rule::NotEligible(m)
            | Rule::Leaflet(m)
            | Rule::OneForm(m)
            | Rule::Stays(m)
            | Rule::Added(m)
            | Rule::LeftOut(m) => BTreeSet::from([*m]),
            Rule::Requires(m, which) => {
                let required = history.model.mods[*m].requires[*which].0;
                history.graph.serving_for(required).iter().copied().chain([*m]).collect()
            }
            Rule::Excludes(a, b) => BTreeSet::from([*a, *b]),
            Rule::OneOf(group) => history.model.one_ofs[*group].members.iter().copied().collect(),
        },
    }
}

/// Where a rule stands among rules that could be named at the same point.
fn rank(reason: &Reason) -> u8 {
    match reason {
        Reason::Claim(_) => 0,
        Reason::Rule(rule) => match rule {
            Rule::Added(_) | Rule::LeftOut(_) => 1,
            Rule::Built => 2,
            Rule::CutIn(_) => 3,
            Rule::NoRetrospectiveForm(_) | Rule::NotEligible(_) | Rule::Leaflet(_) => 4,
            Rule::Requires(..) | Rule::Excludes(..) | Rule::OneOf(_) => 5,
            Rule::Stays(_) => 6,
            Rule::OneForm(_) => 7,
        },
    }
}
