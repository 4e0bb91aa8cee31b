//! One airframe: what cannot all hold, and what its build states choose.

use super::{clash, complete, states};
use crate::codes::{self, Code};
use crate::finding::Finding;
use crate::graph::Graph;
use crate::ids::{AirframeId, ClaimId, Id};
use crate::model::{Airframe, Model};
use crate::resolve::{Basis, Contradiction, Limits, Reason, Resolver, Rule, Target};
use crate::schema::Standing;
use crate::words::{chain, joined, mods_of, ordered, worded};

pub(super) fn check(model: &Model, graph: &Graph, id: AirframeId, limits: Limits) -> Vec<Finding> {
    let built = model.airframes[id].built.last();
    let target = Target { day: built, build_state: None };
    let Ok(resolver) = Resolver::new(model, graph, id, target, limits) else { return Vec::new() };
    let mut findings = Vec::new();
    for contradiction in resolver.contradictions() {
        let known = |reason: &&Reason| match reason {
            Reason::Claim(claim) => complete::seen(resolver.history(), &model.airframes[id].claims[*claim].says),
            Reason::Rule(_) => true,
        };
        let known = |reason: &Reason| {
            known(&reason) && complete::nothing_lost(resolver.history(), mods_of(reason, resolver.history()))
        };
        for set in contradiction.sets.iter().filter(|set| set.iter().all(known)) {
            // Which of the claims is dropped hangs on all that is bound to them; and where a claim beside the set lets
            // something be removed, it hangs on the rest whether the set is at fault.
            if sure(&resolver, set) || (contradiction.firm && !eased(&resolver, set)) {
                findings.push(contradiction_worded(&resolver, &contradiction, set));
            }
        }
        let undecided = contradiction.repairs.is_err() && contradiction.sets.iter().all(|set| sure(&resolver, set));
        findings.extend(undecided.then(|| not_decided(&resolver, &contradiction)));
    }
    if resolver.is_consistent(Basis::Firm) {
        findings.extend(states::check(model, graph, id, limits));
    }
    findings
}

/// Whether nothing was lost on which a set of reasons may hang by any chain of rules and claims.
fn sure(resolver: &Resolver<'_>, set: &[Reason]) -> bool {
    let history = resolver.history();
    set.iter().flat_map(|reason| mods_of(reason, history)).all(|m| history.reach.modification(m).is_empty())
}

/// Whether a claim that is not in a set of reasons lets something be removed that stays in by the set.
fn eased(resolver: &Resolver<'_>, set: &[Reason]) -> bool {
    let history = resolver.history();
    history.airframe().claims.ids().filter(|claim| !set.contains(&Reason::Claim(*claim))).any(|claim| {
        let removes = history.meanings[claim.index()].lets_remove;
        removes.is_some_and(|(m, ..)| set.contains(&Reason::Rule(Rule::Stays(m))))
    })
}

fn contradiction_worded(resolver: &Resolver<'_>, contradiction: &Contradiction, set: &[Reason]) -> Finding {
    let (history, target) = (resolver.history(), resolver.target());
    let clash = clash::of(set, history);
    let (code, message) = if contradiction.firm {
        (clash.code, clash.message)
    } else {
        (codes::DOUBTFUL_DROPPED, doubtful_message(resolver, contradiction, set))
    };
    let lead = dropped_first(contradiction, set).map(Reason::Claim).or(clash.lead);
    let in_order = ordered(set, history);
    let mut reasons = in_order.clone();
    reasons.sort_by_key(|reason| (Some(*reason) != lead, !has_line(reason)));
    let first = worded(&reasons[0], history, target);
    let mut finding = Finding::new(code, message, first.place, first.label);
    for (place, text) in first.also {
        finding = finding.label(place, text);
    }
    for step in chain(set, history, target) {
        finding = finding.because(step.text.clone());
    }
    for reason in in_order.iter().filter(|reason| **reason != reasons[0] && has_line(reason)) {
        let step = worded(reason, history, target);
        finding = finding.label(step.place, step.label);
        for (place, text) in step.also {
            finding = finding.label(place, text);
        }
    }
    finding.labels.dedup();
    let help = help(resolver, contradiction, set, code);
    finding.help(help)
}

/// Whether a line of the dossiers says it; what is always so of histories stands nowhere.
fn has_line(reason: &Reason) -> bool {
    !matches!(reason, Reason::Rule(Rule::Stays(_) | Rule::OneForm(_)))
}

/// The first claim of the set that every best repair drops.
fn dropped_first(contradiction: &Contradiction, set: &[Reason]) -> Option<ClaimId> {
    let repairs = contradiction.repairs.as_ref().ok().filter(|_| !contradiction.firm)?;
    let first = repairs.first()?;
    first
        .iter()
        .copied()
        .find(|claim| set.contains(&Reason::Claim(*claim)) && repairs.iter().all(|repair| repair.contains(claim)))
}

fn doubtful_message(resolver: &Resolver<'_>, contradiction: &Contradiction, set: &[Reason]) -> String {
    let airframe = resolver.history().airframe();
    let name = |claim: &ClaimId| claim_name(airframe, *claim);
    let serial = &airframe.serial.text;
    if let Some(claim) = dropped_first(contradiction, set) {
        let kind = if airframe.claims[claim].assumed.is_some() { "assumption" } else { "doubtful claim" };
        return format!("the {kind} {} about `{serial}` cannot hold and is dropped", name(&claim));
    }
    let doubtful: Vec<String> = set
        .iter()
        .filter_map(|reason| match reason {
            Reason::Claim(claim) if airframe.claims[*claim].standing == Standing::Doubtful => Some(name(claim)),
            Reason::Claim(_) | Reason::Rule(_) => None,
        })
        .collect();
    match doubtful.as_slice() {
        [only] => format!("the doubtful claim {only} about `{serial}` cannot hold"),
        several => {
            let names = joined(several, "and");
            format!("the doubtful claims {names} about `{serial}` cannot all hold, and one of them is dropped")
        }
    }
}

/// A claim by its name, an assumption also by what it is about.
fn claim_name(airframe: &Airframe, claim: ClaimId) -> String {
    match airframe.claims.name(claim).split_once(' ').filter(|(what, _)| *what != "supposition") {
        Some((assumption, about)) => format!("`{assumption}` on `{about}`"),
        None => format!("`{}`", airframe.claims.name(claim)),
    }
}

/// What to do, by the smallest repairs.
fn help(resolver: &Resolver<'_>, contradiction: &Contradiction, set: &[Reason], code: Code) -> String {
    let airframe = resolver.history().airframe();
    let Some(repairs) = contradiction.repairs.as_ref().ok().filter(|_| sure(resolver, set)) else {
        return format!("{}; otherwise doubt the claim that you trust least", first_look(code));
    };
    let mut ways: Vec<String> = Vec::new();
    for repair in repairs {
        let here = repair.iter().filter(|claim| set.contains(&Reason::Claim(**claim)));
        let names: Vec<String> = here.map(|claim| claim_name(airframe, *claim)).collect();
        let way = joined(&names, "and");
        if !names.is_empty() && !ways.contains(&way) {
            ways.push(way);
        }
    }
    if ways.is_empty() {
        return "check these lines against the leaflets: no claim can be doubted to resolve the contradiction"
            .to_owned();
    }
    if repairs.iter().flatten().any(|claim| airframe.claims.name(*claim).starts_with("supposition ")) {
        return "drop what is supposed, or leave out the claim that it contradicts with `--without`".to_owned();
    }
    let several = ways.len() > 1;
    let ways = joined(&ways, "or");
    if contradiction.firm {
        format!("{}; otherwise the smallest repair is to mark {ways} as `Doubtful`", first_look(code))
    } else if several {
        format!("find out which of them is wrong; until then the answers cover all ways, without {ways}")
    } else {
        format!("nothing need be done: the answers are given without {ways}")
    }
}

/// Where to look before anything is doubted.
fn first_look(code: Code) -> &'static str {
    if code == codes::BEFORE_LEAFLET {
        "check the date of the claim, and whether the leaflet had an earlier issue"
    } else if code == codes::NOT_FOR_THIS_SERIAL {
        "check the number of the modification, and the serials of the leaflet"
    } else if code == codes::WITHOUT_PREREQUISITE {
        "look for the record of what is required"
    } else if code == codes::EXCLUDING_TOGETHER || code == codes::ONE_OF_BROKEN {
        "look for the record of what was taken out or put in"
    } else if code == codes::AGAINST_THE_LINE {
        "check the cut-in and its exceptions"
    } else {
        "look at the evidence again"
    }
}

fn not_decided(resolver: &Resolver<'_>, contradiction: &Contradiction) -> Finding {
    let airframe = resolver.history().airframe();
    let limit = contradiction.repairs.as_ref().err().map(ToString::to_string).unwrap_or_default();
    let serial = &airframe.serial.text;
    if contradiction.sets.is_empty() {
        let message = format!("whether the claims of `{serial}` can all hold is not decided: {limit}");
        return Finding::new(codes::CLAIMS_NOT_DECIDED, message, airframe.record.field("serial"), "this airframe")
            .help(
                "enter what else is known of these modifications; until then nothing that depends on them is answered",
            );
    }
    let message = format!("what holds for `{serial}` if its doubtful claims are accepted too is not decided: {limit}");
    Finding::new(codes::REPAIRS_NOT_DECIDED, message, airframe.record.field("serial"), "this airframe")
        .help("resolve the contradictions that are shown, one by one")
}
