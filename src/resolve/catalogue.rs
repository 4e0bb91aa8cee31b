//! The catalogue proof: what holds in every state that the rules allow, on any serial and any date.
//!
//! Claims play no part here. A state that the rules allow is one that some serial of some block can have at the end of
//! some day: production forms only where the serial is covered (it may have been removed since), retrospective forms
//! only where it is eligible and not before their leaflet, requirements met, exclusions kept, one-of groups kept from
//! their introduction on.

use crate::graph::{Graph, Tie};
use crate::history::{form_var, of_form_var};
use crate::ids::{ModId, PartId, PlateId, PositionId};
use crate::model::{Condition, Day, Form, Model, Serial, SerialSet};
use crate::prop::{Decider, Expr, Var};
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// A state that the rules allow: a serial and the forms that are in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Witness {
    /// A serial that can have the state.
    pub serial: String,
    /// What is in, of the modifications that the question names, in table order.
    pub mods: Vec<(ModId, Form)>,
    /// Those of them that are not in.
    pub out: Vec<ModId>,
}

/// All states that the rules of a type allow.
#[derive(Debug)]
pub struct Catalogue<'m> {
    model: &'m Model,
    decider: Decider,
    /// One serial of each kind: serials that no rule and no condition tells apart are of one kind.
    kinds: Vec<Serial>,
    /// "The serial is of this kind or a later one"; the first is always true.
    from_kind: Vec<Expr>,
    /// What was found possible before.
    known: HashMap<Expr, bool>,
}

/// What a position's candidates get wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Misfit {
    /// No candidate is called for.
    Gap(PositionId, Witness),
    /// Two candidates (of the position's list; one past its end stands for "nothing") are called for at once.
    Overlap(PositionId, usize, usize, Witness),
}

/// What the proof found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Proof {
    /// Positions that have not exactly one candidate in every state.
    pub misfits: Vec<Misfit>,
    /// Modifications that no state has.
    pub dead_mods: Vec<ModId>,
    /// Candidates that no state calls for.
    pub dead_candidates: Vec<(PositionId, usize)>,
    /// Plates that locate no part which any state calls for.
    pub dead_plates: Vec<PlateId>,
    /// Requirements (a modification, which of its list) that its other requirements imply.
    pub redundant_requires: Vec<(ModId, usize)>,
    /// Leaflet changes (a modification, which of its list) that do not follow from the structure.
    pub leaflets: Vec<LeafletFault>,
}

/// How a leaflet's list differs from the structure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeafletFault {
    /// The modification.
    pub modification: ModId,
    /// Which of its changes.
    pub change: usize,
    /// The part.
    pub part: PartId,
    /// Whether the list introduces the part (or deletes it).
    pub introduces: bool,
    /// What the structure says instead.
    pub fault: ListFault,
}

/// What the structure says against a leaflet's list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ListFault {
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
    pub fn new(model: &'m Model, graph: &Graph) -> Catalogue<'m> {
        let mods = u32::try_from(2 * model.mods.len()).expect("there are fewer than 2^31 modifications");
        let mut decider = Decider::new(mods);
        let kinds = kinds_of_serials(model);
        let mut from_kind = vec![Expr::Const(true)];
        for kind in 1..kinds.len() {
            let this = Expr::Lit(decider.fresh());
            if kind > 1 {
                decider.require(&this.clone().implies(from_kind[kind - 1].clone()));
            }
            from_kind.push(this);
        }
        let mut catalogue = Catalogue { model, decider, kinds, from_kind, known: HashMap::new() };
        if catalogue.kinds.is_empty() {
            catalogue.decider.require(&Expr::Const(false));
        }
        catalogue.require_forms();
        catalogue.require_ties(graph);
        catalogue
    }

    fn require_forms(&mut self) {
        let mut on = BTreeSet::new();
        for (_, _, m) in self.model.mods.iter() {
            on.extend(m.retrospective.as_ref().map(|form| form.leaflet_date.first()));
        }
        on.extend(self.model.one_ofs.iter().map(|group| group.introduced.last()));
        let reached = self.days(&on);
        for (id, _, m) in self.model.mods.iter() {
            let p = Expr::var(form_var(id, Form::Production));
            let r = Expr::var(form_var(id, Form::Retrospective));
            let covered = m.production.as_ref().map_or(Expr::Const(false), |form| self.serials(&form.covers));
            self.decider.require(&p.clone().implies(covered));
            match &m.retrospective {
                None => self.decider.require(&!r),
                Some(form) => {
                    let eligible = form.eligible.as_ref().map_or(Expr::Const(true), |set| self.serials(set));
                    let after = reached[&form.leaflet_date.first()].clone();
                    self.decider.require(&r.implies(Expr::all([eligible, after, !p])));
                }
            }
        }
        for group in &self.model.one_ofs {
            let is_in = |m: &ModId| crate::history::is_in(*m, None);
            let mut parts = Vec::new();
            for (n, a) in group.members.iter().enumerate() {
                for b in &group.members[n + 1..] {
                    parts.push(Expr::any([!is_in(a), !is_in(b)]));
                }
            }
            if group.exactly {
                parts.push(Expr::any(group.members.iter().map(is_in)));
            }
            self.decider.require(&reached[&group.introduced.last()].clone().implies(Expr::all(parts)));
        }
    }

    /// "This day has come", for each of the days; each implies the ones before it.
    fn days(&mut self, on: &BTreeSet<Day>) -> BTreeMap<Day, Expr> {
        let mut reached = BTreeMap::new();
        let mut before: Option<Expr> = None;
        for day in on {
            let this = Expr::Lit(self.decider.fresh());
            if let Some(before) = before {
                self.decider.require(&this.clone().implies(before));
            }
            before = Some(this.clone());
            reached.insert(*day, this);
        }
        reached
    }

    fn require_ties(&mut self, graph: &Graph) {
        let is_in = |m: &ModId| crate::history::is_in(*m, None);
        for (tie, mods) in graph.ties() {
            match tie {
                Tie::Requires(..) => {
                    self.decider.require(&is_in(&mods[0]).implies(Expr::any(mods[1..].iter().map(is_in))));
                }
                Tie::Excludes(a, b) => self.decider.require(&Expr::any([!is_in(a), !is_in(b)])),
                Tie::OneOf(_) => {}
            }
        }
    }

    /// "The serial is one of these".
    fn serials(&self, set: &SerialSet) -> Expr {
        let inside: Vec<bool> = self.kinds.iter().map(|serial| set.contains(serial)).collect();
        let mut runs = Vec::new();
        let mut kind = 0;
        while kind < inside.len() {
            let start = kind;
            while kind < inside.len() && inside[kind] {
                kind += 1;
            }
            if kind > start {
                let end = self.from_kind.get(kind).map_or(Expr::Const(true), |later| !later.clone());
                runs.push(Expr::all([self.from_kind[start].clone(), end]));
            }
            kind += 1;
        }
        Expr::any(runs)
    }

    /// A condition, to be asked about with [`witness`](Catalogue::witness).
    #[must_use]
    pub fn condition(&self, condition: &Condition) -> Expr {
        match condition {
            Condition::Post(m, form) => crate::history::is_in(*m, *form),
            Condition::Pre(m) => !crate::history::is_in(*m, None),
            Condition::Serials(set) => self.serials(set),
            Condition::All(parts) => Expr::all(parts.iter().map(|part| self.condition(part))),
            Condition::Any(parts) => Expr::any(parts.iter().map(|part| self.condition(part))),
            Condition::Not(part) => !self.condition(part),
        }
    }

    /// A state that the rules allow and in which the expression holds, if there is one.
    pub fn witness(&mut self, expr: &Expr) -> Option<Witness> {
        let stand_in = self.decider.literal(expr);
        if !self.decider.possible(&[stand_in]) {
            return None;
        }
        let value = |var: Var| self.decider.value(var);
        let kind = (1..self.kinds.len()).rev().find(|kind| self.from_kind[*kind].value(&value)).unwrap_or(0);
        let mut named = BTreeSet::new();
        let limit = 2 * self.model.mods.len();
        expr.each_var(&mut |var| {
            if (var as usize) < limit {
                named.insert(of_form_var(var).0);
            }
        });
        let form =
            |m: ModId| [Form::Production, Form::Retrospective].into_iter().find(|form| value(form_var(m, *form)));
        let mods = named.iter().filter_map(|m| Some((*m, form(*m)?))).collect();
        let out = named.iter().copied().filter(|m| form(*m).is_none()).collect();
        Some(Witness { serial: self.kinds[kind].text.clone(), mods, out })
    }

    /// Whether some state that the rules allow makes the expression true; remembered.
    fn is_possible(&mut self, expr: &Expr) -> bool {
        if let Some(known) = self.known.get(expr) {
            return *known;
        }
        let stand_in = self.decider.literal(expr);
        let possible = self.decider.possible(&[stand_in]);
        self.known.insert(expr.clone(), possible);
        possible
    }

    /// Proves the whole catalogue.
    #[must_use]
    pub fn prove(&mut self, graph: &Graph) -> Proof {
        let model = self.model;
        let mut proof = Proof::default();
        for m in model.mods.ids() {
            if !self.is_possible(&crate::history::is_in(m, None)) {
                proof.dead_mods.push(m);
            }
        }
        for id in model.positions.ids() {
            self.prove_position(id, &mut proof);
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
        }
        proof
    }

    /// Exactly one candidate in every state; each candidate in some state.
    fn prove_position(&mut self, id: PositionId, proof: &mut Proof) {
        let position = &self.model.positions[id];
        let conditions = position.candidates.iter().map(|c| &c.when).chain(&position.nothing_when);
        let whens: Vec<Expr> = conditions.map(|condition| self.condition(condition)).collect();
        if whens == [Expr::Const(true)] {
            return;
        }
        if !partitions(&whens) {
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
        }
        for (which, when) in whens.iter().enumerate().take(position.candidates.len()) {
            if !self.is_possible(when) {
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
            if self.witness(&Expr::all([embodied.clone(), anywhere])).is_none() {
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

/// Whether exactly one of the expressions holds whatever the modifications named in them are: then it does in every
/// state that the rules allow. Gives up (false) where more than a few forms play a
/// part; the solver decides then.
fn partitions(whens: &[Expr]) -> bool {
    let mut vars = BTreeSet::new();
    for when in whens {
        when.each_var(&mut |var| {
            vars.insert(var);
        });
    }
    let vars: Vec<Var> = vars.into_iter().collect();
    if vars.len() > 8 {
        return false;
    }
    (0..1u32 << vars.len()).all(|values| {
        let value = |var: Var| vars.binary_search(&var).is_ok_and(|at| values >> at & 1 == 1);
        whens.iter().filter(|when| when.value(&value)).take(2).count() == 1
    })
}

/// Requirements that follow from the other requirements of the same modification.
fn redundant_requires(model: &Model, graph: &Graph) -> Vec<(ModId, usize)> {
    let mut redundant = Vec::new();
    for (id, _, m) in model.mods.iter() {
        for (which, (required, _)) in m.requires.iter().enumerate() {
            let others = m.requires.iter().enumerate().filter(|(other, _)| *other != which);
            let mut open: Vec<ModId> = others.map(|(_, (other, _))| *other).collect();
            let mut reached: BTreeSet<ModId> = open.iter().copied().collect();
            while let Some(next) = open.pop() {
                // A requirement that something else can serve for does not force what it names.
                if next != id && graph.serving_for(next).len() == 1 {
                    let further = model.mods[next].requires.iter().map(|(further, _)| *further);
                    open.extend(further.filter(|further| reached.insert(*further)));
                }
            }
            if reached.contains(required) {
                redundant.push((id, which));
            }
        }
    }
    redundant
}

/// One serial of each kind, in the order of blocks and numbers: where no range that any rule or condition names starts
/// or ends between two neighbours of one block, the second is of the same kind as the first.
fn kinds_of_serials(model: &Model) -> Vec<Serial> {
    let mut sets: Vec<&SerialSet> = Vec::new();
    for (_, _, m) in model.mods.iter() {
        sets.extend(m.production.as_ref().map(|form| &form.covers));
        sets.extend(m.retrospective.as_ref().and_then(|form| form.eligible.as_ref()));
    }
    for (_, _, position) in model.positions.iter() {
        for condition in position.candidates.iter().map(|c| &c.when).chain(&position.nothing_when) {
            serial_sets(condition, &mut sets);
        }
    }
    for (_, _, frame) in model.frames.iter() {
        frame.openings.iter().for_each(|opening| serial_sets(&opening.when, &mut sets));
    }
    let mut kinds = Vec::new();
    for block in &model.blocks {
        let mut starts = BTreeSet::from([block.first.number]);
        for range in sets.iter().flat_map(|set| &set.0).filter(|range| range.prefix == block.first.prefix) {
            starts.extend(range.from.iter().flat_map(|(number, _)| [*number, number.saturating_add(1)]));
            starts.extend(range.to.iter().flat_map(|(number, _)| [*number, number.saturating_add(1)]));
        }
        let inside = starts.into_iter().filter(|number| (block.first.number..=block.last.number).contains(number));
        kinds.extend(inside.map(|number| block.serial(number)));
    }
    kinds
}

fn serial_sets<'c>(condition: &'c Condition, sets: &mut Vec<&'c SerialSet>) {
    match condition {
        Condition::Serials(set) => sets.push(set),
        Condition::Post(..) | Condition::Pre(_) => {}
        Condition::All(parts) | Condition::Any(parts) => parts.iter().for_each(|part| serial_sets(part, sets)),
        Condition::Not(part) => serial_sets(part, sets),
    }
}
