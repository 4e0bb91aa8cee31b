//! Reasons: minimal sets of claims and rules that force a fact or cannot all hold, and the best repairs.

use super::components::touched;
use super::encode::{Component, Encoding, EncodingStyle, encode, neighbours};
use super::{Basis, Limits, Reason, Resolver, Target};
use crate::history::{History, of_form_var};
use crate::ids::{ClaimId, Id, ModId};
use crate::model::Marks;
use crate::prop::{Decider, Expr, Limit, Lit};
use crate::schema::{Grade, Standing};
use std::collections::BTreeSet;

/// Claims and rules that cannot all hold.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Contradiction {
    /// Whether the firm claims alone contradict each other or the rules.
    pub firm: bool,
    /// Minimal sets, no two of which share a claim: drop any one member of a set and the rest can hold.
    pub sets: Vec<Vec<Reason>>,
    /// The best repairs: each drops these claims. None at all: no claim can be dropped to resolve it.
    pub repairs: Result<Vec<Vec<ClaimId>>, Limit>,
}

/// What forces a fact.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Grounds {
    /// Claims that the repair drops, if the claims cannot all hold.
    pub dropped: Vec<ClaimId>,
    /// A minimal set of claims and rules that forces the fact.
    pub reasons: Vec<Reason>,
}

/// For how many combinations of repairs grounds are given; beyond it they are given for the first ones.
const GROUNDS: usize = 4;

/// All best repairs of a component: fewest firm claims, then fewest doubtful ones, then the weakest grades.
pub(super) fn best_repairs(
    history: &History<'_>,
    component: &Component,
    encoding: &Encoding,
    decider: &mut Decider,
    limits: Limits,
) -> Result<Vec<BTreeSet<ClaimId>>, Limit> {
    let claims = &history.airframe().claims;
    let switch = |claim: &ClaimId| encoding.switches[&Reason::Claim(*claim)];
    let of = |wanted: &dyn Fn(&ClaimId) -> bool| -> Vec<Lit> {
        component.claims.iter().filter(|claim| wanted(claim)).map(switch).collect()
    };
    let mut costs = vec![
        of(&|claim| claims[*claim].standing == Standing::Firm),
        of(&|claim| claims[*claim].standing == Standing::Doubtful),
    ];
    for grade in [Some(Grade::A), Some(Grade::B), Some(Grade::C), Some(Grade::D), None] {
        costs.push(of(&|claim| claims[*claim].grade == grade));
    }
    let switches: Vec<Lit> = component.claims.iter().map(switch).collect();
    let off = decider.cheapest_off(&switches, &costs, limits.repairs)?;
    let claim_of = |lit: &Lit| component.claims.iter().copied().find(|claim| switch(claim) == *lit);
    Ok(off.iter().map(|lits| lits.iter().filter_map(claim_of).collect()).collect())
}

impl Resolver<'_> {
    /// Every component of claims and rules that cannot all hold; and, without a set, each of which that was not decided.
    #[must_use]
    pub fn contradictions(&self) -> Vec<Contradiction> {
        let mut found = Vec::new();
        for component in &self.components {
            if let Err(limit) = component.dropped(Basis::Firm) {
                found.push(Contradiction { firm: false, sets: Vec::new(), repairs: Err(*limit) });
                continue;
            }
            let firm = component.dropped(Basis::Firm).as_ref().is_ok_and(Vec::is_empty);
            let all_hold = component.dropped(Basis::Held).as_ref().is_ok_and(|sets| *sets == [BTreeSet::new()]);
            if !firm && all_hold {
                continue;
            }
            if firm || !all_hold {
                let all = if firm { self.firm_claims(&component.members) } else { component.members.claims.clone() };
                let sets = self.disjoint_contradictions(&component.members, all);
                let repairs = component.dropped(Basis::Held).clone();
                let repairs = repairs.map(|sets| sets.into_iter().map(|set| set.into_iter().collect()).collect());
                found.push(Contradiction { firm, sets, repairs });
            }
        }
        found
    }

    /// What is left out to answer where the firm claims cannot all hold: for each component of them, every best repair. Only
    /// components of which everything was read; of the others nobody knows whether their claims contradict each other.
    pub fn left_out(&self) -> Vec<Result<Vec<Vec<ClaimId>>, Limit>> {
        let reach = &self.history.reach;
        let read = |component: &Component| {
            component.mods.iter().all(|m| reach.modification(*m).is_empty())
                && component.claims.iter().all(|claim| reach.claim(*claim).is_empty())
        };
        let apart =
            self.components.iter().filter(|component| component.dropped(Basis::Firm).as_ref().is_ok_and(Vec::is_empty));
        let repairs =
            apart.filter(|component| read(&component.members)).map(|component| component.dropped(Basis::Held).clone());
        repairs.map(|sets| Ok(sets?.into_iter().map(|set| set.into_iter().collect()).collect())).collect()
    }

    /// The claims of the component of a modification that a best repair leaves out, where all claims are held: others, firm ones
    /// or more or better ones, contradict them.
    #[must_use]
    pub fn dropped_near(&self, m: ModId) -> BTreeSet<ClaimId> {
        let Some(component) = self.component_of[m.index()] else { return BTreeSet::new() };
        self.components[component].dropped(Basis::Held).iter().flatten().flatten().copied().collect()
    }

    /// What was not read of the evidence behind the claims that may be among the reasons for how a modification stands.
    #[must_use]
    pub fn not_read_of_evidence(&self, m: ModId) -> Marks {
        let (losses, airframe) = (&self.history.model.losses, self.history.airframe());
        let Some(component) = self.component_of[m.index()].filter(|_| !losses.is_empty()) else { return Marks::new() };
        let items =
            self.components[component].members.claims.iter().flat_map(|claim| &airframe.claims[*claim].rests_on);
        items.flat_map(|item| losses.of_record(airframe.evidence[*item].record)).collect()
    }

    fn firm_claims(&self, component: &Component) -> Vec<ClaimId> {
        let claims = &self.history.airframe().claims;
        component.claims.iter().copied().filter(|claim| claims[*claim].standing == Standing::Firm).collect()
    }

    fn disjoint_contradictions(&self, component: &Component, mut claims: Vec<ClaimId>) -> Vec<Vec<Reason>> {
        let target = Target { build_state: None, ..self.target };
        let whole = Component { mods: neighbours(&self.history, component).into_iter().collect(), ..component.clone() };
        let mut explainer = Explainer::new(&self.history, &whole, target);
        let mut sets = Vec::new();
        while let Some(set) = explainer.minimal(&Expr::Const(true), &claims) {
            let before = claims.len();
            claims.retain(|claim| !set.contains(&Reason::Claim(*claim)));
            sets.push(set);
            if claims.len() == before {
                break;
            }
        }
        sets
    }

    /// Why an expression over state variables is true in all histories of a basis, in the state asked about: for each
    /// best repair (one, if all claims can hold) a minimal set of claims and rules that forces it. Empty if it is not
    /// true in all of them.
    #[must_use]
    pub fn why(&self, expr: &Expr, basis: Basis) -> Vec<Grounds> {
        if !self.history.reach.expr(expr).is_empty() {
            return Vec::new();
        }
        let components: Vec<usize> = touched(&self.component_of, expr).into_iter().collect();
        let mut whole = Component::empty(self.history.built.1, self.history.built.1);
        let mut mods = BTreeSet::new();
        expr.each_var(&mut |var| {
            mods.insert(of_form_var(var).0);
        });
        for &component in &components {
            let members = &self.components[component].members;
            mods.extend(members.mods.iter().copied());
            whole.claims.extend(members.claims.iter().copied());
            whole.built.0 = whole.built.0.min(members.built.0);
        }
        whole.mods = mods.into_iter().collect();
        whole.mods = neighbours(&self.history, &whole).into_iter().collect();
        whole.claims.sort_unstable();
        let mut combinations = vec![BTreeSet::new()];
        for &component in &components {
            let Ok(repairs) = self.components[component].dropped(basis) else { return Vec::new() };
            let extended = combinations.iter().flat_map(|so_far: &BTreeSet<ClaimId>| {
                repairs.iter().map(move |repair| so_far.union(repair).copied().collect())
            });
            combinations = extended.take(GROUNDS).collect();
        }
        let mut explainer = Explainer::new(&self.history, &whole, self.target);
        let negated = explainer.encoding.asked(&!expr.clone());
        let mut grounds = Vec::new();
        for dropped in combinations {
            let claims = match basis {
                Basis::Firm => self.firm_claims(&whole),
                Basis::Held => whole.claims.clone(),
            };
            let claims: Vec<ClaimId> = claims.into_iter().filter(|claim| !dropped.contains(claim)).collect();
            let Some(reasons) = explainer.minimal(&negated, &claims) else { return Vec::new() };
            grounds.push(Grounds { dropped: dropped.into_iter().collect(), reasons });
        }
        grounds
    }
}

/// A component written down so that every rule can be switched off.
struct Explainer {
    encoding: Encoding,
    decider: Decider,
}

impl Explainer {
    fn new(history: &History<'_>, component: &Component, target: Target) -> Explainer {
        let encoding = encode(history, component, target, EncodingStyle::Explaining);
        let mut decider = Decider::new(encoding.vars);
        encoding.always.iter().for_each(|expr| decider.require(expr));
        encoding.guarded.iter().for_each(|(guard, expr)| decider.require_if(*guard, expr));
        Explainer { encoding, decider }
    }

    /// A minimal set of these claims and of rules that cannot hold together with the expression; `None` if all can, or
    /// if that was not decided.
    ///
    /// Minimal in the strict sense: the set alone (all other claims not held) cannot hold, and without any one of its
    /// members it can. Dropping a claim of a removal forbids the removal, so that a set can become impossible again
    /// when it shrinks; members are therefore dropped until no single one can be.
    fn minimal(&mut self, with: &Expr, claims: &[ClaimId]) -> Option<Vec<Reason>> {
        let literal = self.decider.literal(with);
        let all: BTreeSet<Reason> = (self.encoding.switches.keys().copied())
            .filter(|reason| match reason {
                Reason::Claim(claim) => claims.contains(claim),
                Reason::Rule(_) => true,
            })
            .collect();
        if self.holds(literal, &all) != Ok(false) {
            return None;
        }
        let core: BTreeSet<Lit> = self.decider.core().iter().copied().collect();
        let mut set: BTreeSet<Reason> =
            all.into_iter().filter(|reason| core.contains(&self.encoding.switches[reason])).collect();
        loop {
            let size = set.len();
            for reason in set.clone().into_iter().rev() {
                set.remove(&reason);
                // Not decided: it stays, and the set is perhaps not the smallest.
                if self.holds(literal, &set) != Ok(false) {
                    set.insert(reason);
                }
            }
            if set.len() == size {
                return Some(set.into_iter().collect());
            }
        }
    }

    fn holds(&mut self, with: Lit, set: &BTreeSet<Reason>) -> Result<bool, Limit> {
        let mut assumed = vec![with];
        for (reason, switch) in &self.encoding.switches {
            match reason {
                _ if set.contains(reason) => assumed.push(*switch),
                Reason::Claim(_) => assumed.push(!*switch),
                Reason::Rule(_) => {}
            }
        }
        self.decider.possible(&assumed)
    }
}
