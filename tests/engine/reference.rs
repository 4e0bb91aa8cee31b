//! The reference: explicit exploration of all states of a small type, one day after the other.
//!
//! It shares nothing with the engine but the model. A *world* is, for each modification, which forms are in (as two
//! independent bits, so that a history may break any rule that is not switched on). Days are walked one by one; what
//! claims say of some day of a window is remembered along the way.

use modstate::ids::{AirframeId, ClaimId, Id, ModId, PartId};
use modstate::model::{Condition, Model, Statement};
use modstate::quantity::{Day, Serial};
use modstate::resolve::Rule;
use modstate::schema::Form;
use std::collections::BTreeSet;

/// The forms in, one bit pair for each modification: bit 2m production, bit 2m+1 retrospective.
pub(crate) type World = u32;

pub(crate) fn has(world: World, m: ModId, form: Form) -> bool {
    let bit = 2 * m.index() + usize::from(form == Form::Retrospective);
    world >> bit & 1 == 1
}

pub(crate) fn is_in(world: World, m: ModId) -> bool {
    has(world, m, Form::Production) || has(world, m, Form::Retrospective)
}

pub(crate) fn form_of(world: World, m: ModId) -> Option<Form> {
    [Form::Production, Form::Retrospective].into_iter().find(|form| has(world, m, *form))
}

pub(crate) fn holds(condition: &Condition, serial: &Serial, world: World) -> bool {
    match condition {
        Condition::Post(m, None) => is_in(world, *m),
        Condition::Post(m, Some(form)) => has(world, *m, *form),
        Condition::Pre(m) => !is_in(world, *m),
        Condition::Serials(set) => set.contains(serial),
        Condition::All(parts) => parts.iter().all(|part| holds(part, serial, world)),
        Condition::Any(parts) => parts.iter().any(|part| holds(part, serial, world)),
        Condition::Not(part) => !holds(part, serial, world),
    }
}

/// Whether a part is fitted: the airframe itself, or selected at a position of a part that is.
pub(crate) fn fitted(model: &Model, serial: &Serial, part: PartId, world: World) -> bool {
    let mut there = BTreeSet::from([model.type_of.as_ref().expect("a type").airframe]);
    loop {
        let positions = model.positions.iter().filter(|(_, _, position)| there.contains(&position.assembly));
        let selected = positions.flat_map(|(_, _, position)| &position.candidates);
        let more: Vec<PartId> = selected.filter(|c| holds(&c.when, serial, world)).map(|c| c.part).collect();
        let before = there.len();
        there.extend(more);
        if there.len() == before {
            return there.contains(&part);
        }
    }
}

/// A statement about one day, or about some day of a window (bit `n` of the memory once it came true).
enum Duty {
    On(Day, Box<dyn Fn(World, bool) -> bool>),
    Some(Day, Day, Box<dyn Fn(World, bool) -> bool>),
}

/// Days before and after everything that the small types name.
pub(crate) const FIRST: Day = Day(6);
pub(crate) const LAST: Day = Day(31);

pub(crate) struct Reference<'m> {
    pub(crate) model: &'m Model,
    pub(crate) airframe: AirframeId,
    pub(crate) target: Day,
}

impl Reference<'_> {
    /// What `look` sees of the worlds at the end of the target day over all histories that meet these claims (no
    /// others being held) and the rules that are on.
    pub(crate) fn worlds<T: Ord + Copy>(
        &self,
        claims: &BTreeSet<ClaimId>,
        rule: &dyn Fn(Rule) -> bool,
        look: &dyn Fn(World) -> T,
    ) -> BTreeSet<T> {
        let built = &self.model.airframes[self.airframe].built;
        let (first, last) = (built.start.unwrap(), built.end.unwrap());
        let mut found = BTreeSet::new();
        for day in first.0..=last.0 {
            found.extend(self.worlds_built_on(Day(day), claims, rule, look));
        }
        found
    }

    /// With every rule on.
    pub(crate) fn lawful(&self, claims: &BTreeSet<ClaimId>) -> BTreeSet<World> {
        self.worlds(claims, &|_| true, &|world| world)
    }

    fn worlds_built_on<T: Ord + Copy>(
        &self,
        built: Day,
        claims: &BTreeSet<ClaimId>,
        rule: &dyn Fn(Rule) -> bool,
        look: &dyn Fn(World) -> T,
    ) -> BTreeSet<T> {
        let duties: Vec<Duty> = claims.iter().flat_map(|claim| self.duties(*claim)).collect();
        let some = duties.iter().filter(|duty| matches!(duty, Duty::Some(..))).count();
        let mut now: BTreeSet<(World, u32, Option<T>)> = BTreeSet::from([(0, 0, None)]);
        for day in FIRST.0..=LAST.0 {
            let day = Day(day);
            let exists = day >= built || !rule(Rule::Built);
            let candidates = self.lawful_worlds(day, built, rule);
            let mut next = BTreeSet::new();
            for &(world, memory, at_target) in &now {
                for &then in &candidates {
                    if !self.may_follow(world, then, day, built, claims, rule, day == FIRST) {
                        continue;
                    }
                    let mut memory = memory;
                    let mut bit = 0;
                    let mut met = true;
                    for duty in &duties {
                        match duty {
                            Duty::On(when, test) => met &= *when != day || test(then, exists),
                            Duty::Some(from, to, test) => {
                                if *from <= day && day <= *to && test(then, exists) {
                                    memory |= 1 << bit;
                                }
                                bit += 1;
                            }
                        }
                    }
                    if met {
                        next.insert((then, memory, if day == self.target { Some(look(then)) } else { at_target }));
                    }
                }
            }
            now = next;
        }
        now.into_iter().filter(|(_, memory, _)| *memory == (1 << some) - 1).filter_map(|(.., target)| target).collect()
    }

    /// The worlds that no rule about a single day forbids.
    fn lawful_worlds(&self, day: Day, built: Day, rule: &dyn Fn(Rule) -> bool) -> Vec<World> {
        let bits = 2 * self.model.mods.len();
        (0..1u32 << bits).filter(|world| self.lawful_day(*world, day, built, rule)).collect()
    }

    fn lawful_day(&self, world: World, day: Day, built: Day, rule: &dyn Fn(Rule) -> bool) -> bool {
        let serial = &self.model.airframes[self.airframe].serial;
        if rule(Rule::Built) && day < built && world != 0 {
            return false;
        }
        for (m, _, modification) in self.model.mods.iter() {
            let p = has(world, m, Form::Production);
            let r = has(world, m, Form::Retrospective);
            let covered = modification.production.as_ref().is_some_and(|form| form.covers.contains(serial));
            if rule(Rule::CutIn(m)) && ((p && !covered) || (day == built && covered && !p)) {
                return false;
            }
            match &modification.retrospective {
                None => {
                    if r && rule(Rule::NoRetrospectiveForm(m)) {
                        return false;
                    }
                }
                Some(form) => {
                    let eligible = form.eligible.as_ref().is_none_or(|set| set.contains(serial));
                    if r && !eligible && rule(Rule::NotEligible(m)) {
                        return false;
                    }
                    if r && eligible && day < form.leaflet_date.start.unwrap() && rule(Rule::Leaflet(m)) {
                        return false;
                    }
                }
            }
            if p && r && rule(Rule::OneForm(m)) {
                return false;
            }
            for (which, (required, _)) in modification.requires.iter().enumerate() {
                if rule(Rule::Requires(m, which)) && is_in(world, m) && !self.served(world, *required) {
                    return false;
                }
            }
            for (other, _) in &modification.excludes {
                if rule(Rule::Excludes(m, *other)) && is_in(world, m) && is_in(world, *other) {
                    return false;
                }
            }
        }
        self.model.one_ofs.iter().enumerate().all(|(index, group)| {
            let count = group.members.iter().filter(|m| is_in(world, **m)).count();
            let few = count <= 1 && (count == 1 || !group.exactly || day < built);
            !rule(Rule::OneOf(index)) || day < group.introduced.end.unwrap() || few
        })
    }

    /// The required modification is in, or one that supersedes it, or one that supersedes that.
    fn served(&self, world: World, required: ModId) -> bool {
        let mut serving = BTreeSet::from([required]);
        loop {
            let more: Vec<ModId> = (self.model.mods.iter())
                .filter(|(m, _, modification)| {
                    !serving.contains(m) && modification.supersedes.iter().any(|(old, _)| serving.contains(old))
                })
                .map(|(m, ..)| m)
                .collect();
            if more.is_empty() {
                return serving.into_iter().any(|m| is_in(world, m));
            }
            serving.extend(more);
        }
    }

    #[expect(clippy::too_many_arguments, reason = "one step of a walk, called in one place")]
    fn may_follow(
        &self,
        before: World,
        now: World,
        day: Day,
        built: Day,
        claims: &BTreeSet<ClaimId>,
        rule: &dyn Fn(Rule) -> bool,
        first_day: bool,
    ) -> bool {
        let serial = &self.model.airframes[self.airframe].serial;
        for (m, _, modification) in self.model.mods.iter() {
            if first_day {
                continue;
            }
            let covered = modification.production.as_ref().is_some_and(|form| form.covers.contains(serial));
            let (p0, r0) = (has(before, m, Form::Production), has(before, m, Form::Retrospective));
            let (p1, r1) = (has(now, m, Form::Production), has(now, m, Form::Retrospective));
            if covered && rule(Rule::CutIn(m)) && !p0 && p1 && day > built {
                return false;
            }
            if rule(Rule::Stays(m)) && p0 && r1 {
                return false;
            }
            let taken_out = (p0 && !p1) || (r0 && !r1);
            if taken_out && rule(Rule::Stays(m)) && !self.may_remove(m, day, claims) {
                return false;
            }
        }
        true
    }

    fn may_remove(&self, m: ModId, day: Day, claims: &BTreeSet<ClaimId>) -> bool {
        claims.iter().any(|claim| {
            let claim = &self.model.airframes[self.airframe].claims[*claim];
            let from = claim.when.start.unwrap_or(FIRST.before());
            let to = claim.when.end.unwrap_or(LAST.after());
            claim.says == Statement::Removed(m) && from <= day && day <= to
        })
    }

    fn duties(&self, claim: ClaimId) -> Vec<Duty> {
        let claim = &self.model.airframes[self.airframe].claims[claim];
        let serial = self.model.airframes[self.airframe].serial.clone();
        let from = claim.when.start;
        let to = claim.when.end;
        let on = |day: Option<Day>, test: Box<dyn Fn(World, bool) -> bool>| day.map(|day| Duty::On(day, test));
        let (first, last) = (from.unwrap_or(FIRST.before()), to.unwrap_or(LAST));
        match claim.says.clone() {
            Statement::Embodied(m, form) => {
                let embodied = move |world: World| form.map_or(is_in(world, m), |form| has(world, m, form));
                let mut duties = Vec::new();
                duties.extend(on(from.map(Day::before), Box::new(move |world, _| !is_in(world, m))));
                if to.is_some() {
                    duties.extend(on(to, Box::new(move |world, _| embodied(world))));
                } else {
                    duties.push(Duty::Some(first, last, Box::new(move |world, _| embodied(world))));
                }
                duties
            }
            Statement::NotEmbodied(m) => vec![Duty::Some(first, last, Box::new(move |world, _| !is_in(world, m)))],
            Statement::Removed(m) => {
                let mut duties = Vec::new();
                if from.is_some() {
                    duties.extend(on(from.map(Day::before), Box::new(move |world, _| is_in(world, m))));
                } else {
                    duties.push(Duty::Some(first, last.before(), Box::new(move |world, _| is_in(world, m))));
                }
                if to.is_some() {
                    duties.extend(on(to, Box::new(move |world, _| !is_in(world, m))));
                } else {
                    duties.push(Duty::Some(first, last, Box::new(move |world, _| !is_in(world, m))));
                }
                duties
            }
            Statement::SeenAt(position, candidate) => {
                let position = self.model.positions[position].clone();
                let seen = move |world: World, exists: bool| {
                    exists
                        && match candidate {
                            Some(index) => {
                                let part = position.candidates[index].part;
                                let same = position.candidates.iter().filter(|c| c.part == part);
                                same.map(|c| &c.when).any(|when| holds(when, &serial, world))
                            }
                            None => position.nothing_when.as_ref().is_some_and(|when| holds(when, &serial, world)),
                        }
                };
                vec![Duty::Some(first, last, Box::new(seen))]
            }
            Statement::SeenSplice(..) | Statement::SeenPattern(_) => {
                unreachable!("the small types have neither frames nor plates")
            }
        }
    }
}
