//! The catalogue proof in words.

use super::complete::Complete;
use crate::codes;
use crate::finding::{Finding, Place};
use crate::graph::{Graph, Loop, Node};
use crate::ids::{ModId, PositionId};
use crate::model::{Model, Position};
use crate::proof::catalogue::{Catalogue, LeafletFault, ListFault, Misfit, Unproved, Witness};
use crate::prop::Limit;
use crate::resolve::Resolver;
use crate::words::{condition_text, form_word, witness_text};
use std::collections::BTreeSet;

pub(super) fn check(
    catalogue: &mut Catalogue<'_>,
    model: &Model,
    graph: &Graph,
    complete: &Complete<'_>,
    loops: &[Loop],
) -> Vec<Finding> {
    let proof = catalogue.prove(graph);
    let mut findings = Vec::new();
    for misfit in &proof.misfits {
        let (Misfit::Gap(id, _) | Misfit::Overlap(id, ..)) = misfit;
        if complete.position(*id) {
            findings.push(misfit_worded(model, misfit));
        }
    }
    // What can never be because of a loop of requirements follows from the loop, which is reported by itself.
    let looped = in_or_above(loops, model);
    for &m in
        proof.dead_mods.iter().filter(|m| complete.mods([**m]) && !said_already(model, **m) && !looped.contains(m))
    {
        let name = model.mods.name(m);
        let message = format!("no airframe could have `{name}`: the rules leave no serial for it");
        findings.push(
            Finding::new(codes::DEAD_MODIFICATION, message, model.mods[m].place.field("number"), "never embodied")
                .help("check its serials, `requires` and `excludes` against the leaflet"),
        );
    }
    for &(id, which) in &proof.dead_candidates {
        let when = catalogue.condition(&model.positions[id].candidates[which].when);
        if complete.position(id) && looped.is_disjoint(&Resolver::depends_on(&when)) {
            findings.push(dead_candidate(model, id, which));
        }
    }
    for &plate in proof.dead_plates.iter().filter(|plate| looped.is_empty() && complete.plate(**plate)) {
        let message = format!("no state needs the plate `{}`", model.plates.name(plate));
        let place = model.plates[plate].record.field("locates");
        findings.push(
            Finding::new(codes::DEAD_PLATE, message, place, "none of these is ever fitted")
                .help("correct what the plate locates, or the conditions of those parts"),
        );
    }
    for &(m, which) in proof.redundant_requires.iter().filter(|(m, _)| complete.mods([*m])) {
        let (required, place) = &model.mods[m].requires[which];
        let (name, required) = (model.mods.name(m), model.mods.name(*required));
        let message = format!("that `{name}` requires `{required}` follows from its other requirements");
        findings.push(
            Finding::new(codes::REDUNDANT_REQUIRES, message, place.clone(), "adds nothing")
                .help("check the leaflet; remove the entry if it says no more"),
        );
    }
    for fault in &proof.leaflets {
        let listed = model.mods[fault.modification].changes[fault.change].position;
        let known = match listed {
            Some(position) => complete.position(position),
            None => complete.placed(fault.part),
        };
        // Where a form was left out, what it introduces is missing for that reason.
        let may_be_in =
            complete.mods([fault.modification]) && complete.placed(fault.part) && !looped.contains(&fault.modification);
        if known && (may_be_in || fault.fault != ListFault::NeverIn) {
            findings.push(leaflet_worded(model, graph, fault));
        }
    }
    findings.extend(proof.undecided.iter().map(|(subject, limit)| unproved(model, *subject, *limit)));
    findings
}

fn unproved(model: &Model, subject: Unproved, limit: Limit) -> Finding {
    let (what, place) = match subject {
        Unproved::Modification(m) => {
            let sentence = format!("whether any airframe could have `{}`", model.mods.name(m));
            (sentence, model.mods[m].place.field("number"))
        }
        Unproved::Position(id) => {
            let sentence = format!("whether {} has exactly one candidate in every state", called(model, id));
            (sentence, model.positions[id].place.field("find"))
        }
        Unproved::Leaflet(m) => {
            let sentence = format!("whether the leaflet of `{}` follows from the structure", model.mods.name(m));
            (sentence, model.mods[m].place.field("changes"))
        }
    };
    Finding::new(codes::PROOF_NOT_DECIDED, format!("{what} is not decided: {limit}"), place, "not proved")
        .help("write the rule or the condition with fewer modifications, or check it by hand")
}

/// The modifications of loops of requirements, and those that require them by any chain.
fn in_or_above(loops: &[Loop], model: &Model) -> BTreeSet<ModId> {
    let steps = loops.iter().flat_map(|found| &found.steps);
    let mut looped: BTreeSet<ModId> =
        steps.filter_map(|(node, _)| if let Node::Mod(m) = node { Some(*m) } else { None }).collect();
    let mut before = 0;
    while before < looped.len() {
        before = looped.len();
        let above = model.mods.iter().filter(|(_, _, m)| m.requires.iter().any(|(other, _)| looped.contains(other)));
        looped.extend(above.map(|(id, ..)| id).collect::<Vec<_>>());
    }
    looped
}

/// Whether the record alone shows that the modification can never be embodied: then that was said of the record.
fn said_already(model: &Model, m: ModId) -> bool {
    let m = &model.mods[m];
    let both = m.requires.iter().any(|(required, _)| m.excludes.iter().any(|(excluded, _)| required == excluded));
    both || (m.production.is_none() && m.retrospective.is_none())
}

/// A position as people speak of it: its find number and what it is called.
fn called(model: &Model, id: PositionId) -> String {
    match &model.positions[id].name {
        Some(name) => format!("`{}` ({name})", model.positions.name(id)),
        None => format!("`{}`", model.positions.name(id)),
    }
}

fn misfit_worded(model: &Model, misfit: &Misfit) -> Finding {
    match misfit {
        Misfit::Gap(id, witness) => {
            let position = &model.positions[*id];
            let message = format!("{} has no candidate {}", called(model, *id), state_text(model, witness));
            let place = position.place.field("find");
            let mut finding = Finding::new(codes::CATALOGUE_GAP, message, place, "nothing is called for in that state");
            for (which, candidate) in position.candidates.iter().enumerate() {
                let text = format!("only {}", condition_text(&candidate.when, model));
                finding = finding.label(position.place.field("candidates").item(which), text);
            }
            finding.help("add the candidate for that state, or say with `nothing_when` that nothing is fitted")
        }
        Misfit::Overlap(id, a, b, witness) => {
            let position = &model.positions[*id];
            let one = |which: usize| match position.candidates.get(which) {
                Some(candidate) => format!("`{}`", model.parts.name(candidate.part)),
                None => "nothing".to_owned(),
            };
            let message = format!(
                "at {} both {} and {} are called for {}",
                called(model, *id),
                one(*a),
                one(*b),
                state_text(model, witness)
            );
            let (place, text) = candidate_mark(model, position, *a);
            let (other, other_text) = candidate_mark(model, position, *b);
            Finding::new(codes::CATALOGUE_OVERLAP, message, place, text)
                .label(other, other_text)
                .help("narrow one of the two conditions, so that one of them holds in each state")
        }
    }
}

fn candidate_mark(model: &Model, position: &Position, which: usize) -> (Place, String) {
    match (position.candidates.get(which), &position.nothing_when) {
        (Some(candidate), _) => {
            let place = position.place.field("candidates").item(which);
            let text = format!("`{}` {}", model.parts.name(candidate.part), condition_text(&candidate.when, model));
            (place, text)
        }
        (None, Some(when)) => {
            (position.place.field("nothing_when"), format!("nothing {}", condition_text(when, model)))
        }
        (None, None) => (position.place.clone(), "this position".to_owned()),
    }
}

fn state_text(model: &Model, witness: &Witness) -> String {
    format!("on {}", witness_text(witness, model))
}

fn dead_candidate(model: &Model, id: PositionId, which: usize) -> Finding {
    let candidate = &model.positions[id].candidates[which];
    let part = model.parts.name(candidate.part);
    let message = format!("no state calls for `{part}` at {}", called(model, id));
    let place = model.positions[id].place.field("candidates").item(which);
    let label = format!("{}: in no state", condition_text(&candidate.when, model));
    Finding::new(codes::DEAD_CANDIDATE, message, place, label).help("correct the condition, or remove the candidate")
}

fn leaflet_worded(model: &Model, graph: &Graph, fault: &LeafletFault) -> Finding {
    let modification = &model.mods[fault.modification];
    let change = &modification.changes[fault.change];
    let (part, name) = (model.parts.name(fault.part), model.mods.name(fault.modification));
    let form = change.form.map_or_else(String::new, |form| format!(" ({})", form_word(form)));
    let leaflet = modification.leaflet.as_ref().map_or_else(String::new, |leaflet| format!(" ({leaflet})"));
    let (list, field) = if fault.introduces { ("introduces", "introduce") } else { ("deletes", "delete") };
    let parts = if fault.introduces { &change.introduce } else { &change.delete };
    let index = parts.iter().position(|other| *other == fault.part).unwrap_or(0);
    let place = change.place.field(field).item(index);
    let listed = format!("the leaflet of `{name}`{leaflet} {list} `{part}`{form}");
    let at = change.position.map_or_else(String::new, |id| format!(" at `{}`", model.positions.name(id)));
    let (why, mark) = match &fault.fault {
        ListFault::NotThere => (format!("the structure has it as no candidate{at}"), change.position),
        ListFault::NeverIn => (format!("the structure never fits it{at} once the modification is in"), change.position),
        ListFault::StillIn(id, witness) => (
            format!(
                "the structure still fits it at `{}` on {}",
                model.positions.name(*id),
                witness_text(witness, model)
            ),
            Some(*id),
        ),
        ListFault::AlreadyIn(id) => {
            (format!("its condition at `{}` does not ask for the modification", model.positions.name(*id)), Some(*id))
        }
    };
    let mut finding = Finding::new(codes::LEAFLET_LIST, format!("{listed}, and {why}"), place, list);
    if let Some(id) = mark {
        let position = &model.positions[id];
        let candidate = graph.places_of(fault.part).into_iter().find(|(other, _)| *other == id);
        let (place, text) = match candidate {
            Some((_, which)) => candidate_mark(model, position, which),
            None => (position.place.field("find"), format!("`{part}` is no candidate here")),
        };
        finding = finding.label(place, text);
    }
    finding.help("compare the leaflet with the parts list, and correct the one that was misread")
}
