//! The catalogue proof: what holds in every state that the rules allow, on any serial and any date.
//!
//! Claims play no part here. A state that the rules allow is one that some serial of some block can have at the end of
//! some day: production forms only where the serial is covered (it may have been removed since), retrospective forms
//! only where it is eligible and not before their leaflet, requirements met, exclusions kept, one-of groups kept from
//! their introduction on.

pub(crate) use super::allowed::Witness;

use super::allowed::Allowed;
use crate::graph::Graph;
use crate::ids::{Id, ModId, PartId, PlateId, PositionId};
use crate::model::{Condition, Model};
use crate::prop::{Expr, Limit};
use std::collections::BTreeSet;

/// All states that the rules of a type allow, to be proved against.
#[derive(Debug)]
pub(crate) struct Catalogue<'m> {
    model: &'m Model,
    allowed: Allowed<'m>,
    /// The limit that a question met, if one did.
    met: Option<Limit>,
}

/// What a position's candidates get wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Misfit {
    /// No candidate is called for.
    Gap(PositionId, Witness),
    /// Two candidates (of the position's list; one past its end stands for "nothing") are called for at once.
    Overlap(PositionId, usize, usize, Witness),
}

/// What the proof found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct CatalogueProof {
    /// Positions that have not exactly one candidate in every state.
    pub(crate) misfits: Vec<Misfit>,
    /// Modifications that no state has.
    pub(crate) dead_mods: Vec<ModId>,
    /// Candidates that no state calls for.
    pub(crate) dead_candidates: Vec<(PositionId, usize)>,
    /// Plates that locate no part which any state calls for.
    pub(crate) dead_plates: Vec<PlateId>,
    /// Requirements (a modification, which of its list) that its other requirements imply.
    pub(crate) redundant_requires: Vec<(ModId, usize)>,
    /// Leaflet changes (a modification, which of its list) that do not follow from the structure.
    pub(crate) leaflets: Vec<LeafletFault>,
    /// What could not be proved, with the limit that was met.
    pub(crate) undecided: Vec<(Unproved, Limit)>,
}

/// What of a catalogue was not decided.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum Unproved {
    /// Whether any state has the modification.
    Modification(ModId),
    /// Whether the position has exactly one candidate in every state, and a state for each.
    Position(PositionId),
    /// Whether the changes of the modification's leaflet follow from the structure.
    Leaflet(ModId),
}

/// How a leaflet's list differs from the structure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct LeafletFault {
    /// The modification.
    pub(crate) modification: ModId,
    /// Which of its changes.
    pub(crate) change: usize,
    /// The part.
    pub(crate) part: PartId,
    /// Whether the list introduces the part (or deletes it).
    pub(crate) introduces: bool,
    /// What the structure says instead.
    pub(crate) fault: ListFault,
}

/// What the structure says against a leaflet's list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum ListFault {
    /// The part is no candidate at the place that the list names (or at any).
    NotThere,
    /// The part is called for nowhere once the modification is in, though the list introduces it.
    NeverIn,
    /// The part is still called for with the modification in, though the list deletes it.
    StillIn(PositionId, Witness),
    /// The part is called for at the place without the modification too, whatever else is in; the list does not
    /// introduce it.
    AlreadyIn(PositionId),
}

impl<'m> Catalogue<'m> {
    /// The states that a type's rules allow.
    #[must_use]
    pub(crate) fn new(model: &'m Model, graph: &Graph) -> Catalogue<'m> {
        Catalogue { model, allowed: Allowed::new(model, graph), met: None }
    }

    /// A condition, to be asked about with [`witness`](Catalogue::witness).
    #[must_use]
    pub(crate) fn condition(&self, condition: &Condition) -> Expr {
        self.allowed.condition(condition)
    }

    /// A state that the rules allow and in which the expression holds, if one is found; where a limit was met on the
    /// way, [`take_limit`](Catalogue::take_limit) says so.
    pub(crate) fn witness(&mut self, expr: &Expr) -> Option<Witness> {
        self.allowed.witness(expr).unwrap_or_else(|limit| {
            self.met = Some(limit);
            None
        })
    }

    /// The limit that a question met since this was last asked, if one did: what was not found was then not decided.
    pub(crate) fn take_limit(&mut self) -> Option<Limit> {
        self.met.take()
    }

    /// Whether no state that the rules allow makes the expression true; "no" also where that was not decided.
    fn is_dead(&mut self, expr: &Expr) -> bool {
        let possible = self.allowed.is_possible(expr);
        self.met = possible.err().or(self.met);
        possible == Ok(false)
    }

    /// Proves the whole catalogue.
    #[must_use]
    pub(crate) fn prove(&mut self, graph: &Graph) -> CatalogueProof {
        let model = self.model;
        let mut proof = CatalogueProof::default();
        for m in model.mods.ids() {
            if self.is_dead(&crate::history::is_in(m, None)) {
                proof.dead_mods.push(m);
            }
            proof.undecided.extend(self.take_limit().map(|limit| (Unproved::Modification(m), limit)));
        }
        for id in model.positions.ids() {
            self.prove_position(id, &mut proof);
            proof.undecided.extend(self.take_limit().map(|limit| (Unproved::Position(id), limit)));
        }
        let dead: BTreeSet<(PositionId, usize)> = proof.dead_candidates.iter().copied().collect();
        for (id, _, plate) in model.plates.iter() {
            let alive = |part: &PartId| graph.places_of(*part).iter().any(|place| !dead.contains(place));
            if !plate.locates.iter().any(alive) {
                proof.dead_plates.push(id);
            }
        }
        proof.redundant_requires = redundant_requires(model, graph);
        for (id, _, m) in model.mods.iter() {
            for change in 0..m.changes.len() {
                self.prove_leaflet(graph, id, change, &mut proof.leaflets);
            }
            proof.undecided.extend(self.take_limit().map(|limit| (Unproved::Leaflet(id), limit)));
        }
        proof
    }

    /// Exactly one candidate in every state; each candidate in some state.
    fn prove_position(&mut self, id: PositionId, proof: &mut CatalogueProof) {
        let position = &self.model.positions[id];
        let conditions = position.candidates.iter().map(|c| &c.when).chain(&position.nothing_when);
        let whens: Vec<Expr> = conditions.map(|condition| self.condition(condition)).collect();
        if whens == [Expr::Const(true)] {
            return;
        }
        if let Some(witness) = self.witness(&!Expr::any(whens.iter().cloned())) {
            proof.misfits.push(Misfit::Gap(id, witness));
        }
        for a in 0..whens.len() {
            for b in a + 1..whens.len() {
                if let Some(witness) = self.witness(&Expr::all([whens[a].clone(), whens[b].clone()])) {
                    proof.misfits.push(Misfit::Overlap(id, a, b, witness));
                }
            }
        }
        for (which, when) in whens.iter().enumerate().take(position.candidates.len()) {
            if self.is_dead(when) {
                proof.dead_candidates.push((id, which));
            }
        }
    }

    fn prove_leaflet(&mut self, graph: &Graph, id: ModId, change: usize, faults: &mut Vec<LeafletFault>) {
        let listed = &self.model.mods[id].changes[change];
        let embodied = crate::history::is_in(id, listed.form);
        for (introduces, parts) in [(false, &listed.delete), (true, &listed.introduce)] {
            for &part in parts {
                let mut places = graph.places_of(part);
                places.retain(|(position, _)| listed.position.is_none_or(|only| only == *position));
                let fault = self.list_fault(id, &embodied, introduces, &places);
                let fault = if places.is_empty() { Some(ListFault::NotThere) } else { fault };
                faults.extend(fault.map(|fault| LeafletFault { modification: id, change, part, introduces, fault }));
            }
        }
    }

    fn list_fault(
        &mut self,
        id: ModId,
        embodied: &Expr,
        introduces: bool,
        places: &[(PositionId, usize)],
    ) -> Option<ListFault> {
        let when = |catalogue: &Self, (position, which): (PositionId, usize)| {
            catalogue.condition(&catalogue.model.positions[position].candidates[which].when)
        };
        if introduces {
            let anywhere = Expr::any(places.iter().map(|place| when(self, *place)));
            if self.is_dead(&Expr::all([embodied.clone(), anywhere])) {
                return Some(ListFault::NeverIn);
            }
            let bears_on = |place: &&(PositionId, usize)| {
                let mut named = false;
                self.model.positions[place.0].candidates[place.1].when.each_mod(&mut |m| named |= m == id);
                named
            };
            return match places.iter().find(bears_on) {
                Some(_) => None,
                None => places.first().map(|place| ListFault::AlreadyIn(place.0)),
            };
        }
        places.iter().find_map(|&place| {
            let still = Expr::all([embodied.clone(), when(self, place)]);
            Some(ListFault::StillIn(place.0, self.witness(&still)?))
        })
    }
}

/// Requirements that follow from the other requirements of the same modification.
fn redundant_requires(model: &Model, graph: &Graph) -> Vec<(ModId, usize)> {
    let mut redundant = Vec::new();
    let mut reached: Vec<bool> = vec![false; model.mods.len()];
    for (id, _, m) in model.mods.iter() {
        for (which, (required, _)) in m.requires.iter().enumerate() {
            let others = m.requires.iter().enumerate().filter(|(other, _)| *other != which);
            let mut open: Vec<ModId> = others.map(|(_, (other, _))| *other).collect();
            let mut found = open.clone();
            for m in &open {
                reached[m.index()] = true;
            }
            // Long lists mostly differ after a step or two: the search ends once it is there.
            while !reached[required.index()]
                && let Some(next) = open.pop()
            {
                // A requirement that something else can serve for does not force what it names.
                if next != id && graph.serving_for(next).len() == 1 {
                    for (further, _) in &model.mods[next].requires {
                        if !std::mem::replace(&mut reached[further.index()], true) {
                            open.push(*further);
                            found.push(*further);
                        }
                    }
                }
            }
            if reached[required.index()] {
                redundant.push((id, which));
            }
            for m in &found {
                reached[m.index()] = false;
            }
        }
    }
    redundant
}
