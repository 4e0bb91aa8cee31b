//! The reference: explicit exploration of all states of a small type, one day after the other.
//!
//! It shares nothing with the engine but the model. A *world* is, for each modification, which forms are in (as two
//! independent bits, so that a history may break any rule that is not switched on). Days are walked one by one; what
//! claims say of some day of a window is remembered along the way.

use modstate::ids::{AirframeId, ClaimId, Id, ModId, PartId};
use modstate::model::{Condition, Model, Statement};
use modstate::quantity::{Day, Serial, Window};
use modstate::resolve::Rule;
use modstate::schema::Form;
use std::cell::OnceCell;
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
    /// Under all rules, for each day on which the airframe may have been built.
    lawful: OnceCell<Vec<Days>>,
}

/// A date of which only a window is known: a history has it come on some day of the window. It is that of a leaflet or
/// of the introduction of a group, told by the rule that goes by it.
struct Unsure {
    rule: Rule,
    window: Window,
}

/// The end of a day: the world, and which of the unsure dates have come (a bit for each).
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Evening {
    world: World,
    come: u32,
}

/// Every day, for one build date and the rules that are on.
struct Days {
    built: Day,
    /// Whether nothing can be in, or seen, before the build date.
    nothing_before: bool,
    /// For each day from [`FIRST`], the evenings that no rule about a single day forbids.
    evenings: Vec<Vec<Evening>>,
    /// The modifications of which what is in stays in, by the same form, unless a claim lets it be removed.
    staying: Vec<ModId>,
    /// The production forms that go in on the build date or never, as bits.
    of_the_line: World,
}

/// The bits of a modification's forms.
fn bits(m: ModId, forms: &[Form]) -> World {
    forms.iter().map(|form| 1 << (2 * m.index() + usize::from(*form == Form::Retrospective))).sum()
}

const BOTH: [Form; 2] = [Form::Production, Form::Retrospective];

impl<'m> Reference<'m> {
    pub(crate) fn new(model: &'m Model, airframe: AirframeId, target: Day) -> Reference<'m> {
        Reference { model, airframe, target, lawful: OnceCell::new() }
    }

    /// What `look` sees of the worlds at the end of the target day over all histories that meet these claims (no
    /// others being held) and the rules that are on. Modifications of which neither those speak nor `look` are left out:
    /// whatever becomes of them, nothing else changes.
    pub(crate) fn worlds<T: Ord>(
        &self,
        claims: &BTreeSet<ClaimId>,
        rule: &dyn Fn(Rule) -> bool,
        looked_at: Option<ModId>,
        look: &dyn Fn(World) -> T,
    ) -> BTreeSet<T> {
        let mut mods: BTreeSet<ModId> = looked_at.into_iter().collect();
        mods.extend(self.rules().into_iter().filter(|of| rule(*of)).flat_map(|of| self.spoken_of(of)));
        mods.extend(claims.iter().flat_map(|claim| self.claimed(*claim)));
        self.days(rule, &mods).iter().flat_map(|days| self.walk(days, claims)).map(look).collect()
    }

    /// With every rule on.
    pub(crate) fn lawful(&self, claims: &BTreeSet<ClaimId>) -> BTreeSet<World> {
        let days = self.lawful.get_or_init(|| self.days(&|_| true, &self.model.mods.ids().collect()));
        days.iter().flat_map(|days| self.walk(days, claims)).collect()
    }

    /// Every rule but that of the build date.
    fn rules(&self) -> Vec<Rule> {
        let mut rules: Vec<Rule> = (0..self.model.one_ofs.len()).map(Rule::OneOf).collect();
        for (m, _, modification) in self.model.mods.iter() {
            rules.extend([Rule::CutIn(m), Rule::NoRetrospectiveForm(m), Rule::NotEligible(m), Rule::Leaflet(m)]);
            rules.extend([Rule::OneForm(m), Rule::Stays(m)]);
            rules.extend((0..modification.requires.len()).map(|which| Rule::Requires(m, which)));
            rules.extend(modification.excludes.iter().map(|(other, _)| Rule::Excludes(m, *other)));
        }
        rules
    }

    /// The modifications that a rule speaks of.
    fn spoken_of(&self, rule: Rule) -> BTreeSet<ModId> {
        match rule {
            Rule::CutIn(m)
            | Rule::NoRetrospectiveForm(m)
            | Rule::NotEligible(m)
            | Rule::Leaflet(m)
            | Rule::OneForm(m)
            | Rule::Stays(m) => BTreeSet::from([m]),
            Rule::Requires(m, which) => {
                let mut mods = self.serving(self.model.mods[m].requires[which].0);
                mods.insert(m);
                mods
            }
            Rule::Excludes(m, other) => BTreeSet::from([m, other]),
            Rule::OneOf(group) => self.model.one_ofs[group].members.iter().copied().collect(),
            Rule::Built | Rule::Added(_) | Rule::LeftOut(_) => BTreeSet::new(),
        }
    }

    /// The modifications that a claim speaks of.
    fn claimed(&self, claim: ClaimId) -> BTreeSet<ModId> {
        let mut mods = BTreeSet::new();
        match &self.model.airframes[self.airframe].claims[claim].says {
            Statement::Embodied(m, _) | Statement::NotEmbodied(m) | Statement::Removed(m) => _ = mods.insert(*m),
            Statement::SeenAt(position, _) => {
                let position = &self.model.positions[*position];
                let whens = position.candidates.iter().map(|candidate| &candidate.when);
                whens.chain(&position.nothing_when).for_each(|when| when.each_mod(&mut |m| _ = mods.insert(m)));
            }
            Statement::SeenSplice(..) | Statement::SeenPattern(_) => {
                unreachable!("the small types have neither frames nor plates")
            }
        }
        mods
    }

    /// Every day, for each day on which the airframe may have been built.
    fn days(&self, rule: &dyn Fn(Rule) -> bool, mods: &BTreeSet<ModId>) -> Vec<Days> {
        let built = &self.model.airframes[self.airframe].built;
        let (first, last) = (built.start.unwrap(), built.end.unwrap());
        let staying: Vec<ModId> = mods.iter().copied().filter(|m| rule(Rule::Stays(*m))).collect();
        let of_the_line = mods.iter().filter(|m| self.is_covered(**m) && rule(Rule::CutIn(**m)));
        let of_the_line = of_the_line.map(|m| bits(*m, &[Form::Production])).sum();
        let unsure = self.unsure(rule);
        let worlds = every_world(mods);
        let mut found = Vec::new();
        for built in (first.0..=last.0).map(Day) {
            let evenings = |day| self.evenings(&worlds, &unsure, (day, built), rule);
            found.push(Days {
                built,
                nothing_before: rule(Rule::Built),
                evenings: (FIRST.0..=LAST.0).map(|day| evenings(Day(day))).collect(),
                staying: staying.clone(),
                of_the_line,
            });
        }
        found
    }

    /// The unsure dates by which a rule goes that is on.
    fn unsure(&self, rule: &dyn Fn(Rule) -> bool) -> Vec<Unsure> {
        let leaflets = self.model.mods.iter().filter_map(|(m, _, modification)| {
            let form = modification.retrospective.as_ref()?;
            Some(Unsure { rule: Rule::Leaflet(m), window: form.leaflet_date.clone() })
        });
        let groups = self.model.one_ofs.iter().enumerate();
        let groups = groups.map(|(n, group)| Unsure { rule: Rule::OneOf(n), window: group.introduced.clone() });
        leaflets.chain(groups).filter(|date| date.window.day().is_none() && rule(date.rule)).collect()
    }

    fn evenings(
        &self,
        worlds: &[World],
        unsure: &[Unsure],
        (day, built): (Day, Day),
        rule: &dyn Fn(Rule) -> bool,
    ) -> Vec<Evening> {
        let mut evenings = Vec::new();
        for come in 0..1_u32 << unsure.len() {
            let has_come = |n: usize| come >> n & 1 == 1;
            let possible = |(n, date): (usize, &Unsure)| {
                if has_come(n) {
                    date.window.start.is_none_or(|start| start <= day)
                } else {
                    day < date.window.end.unwrap_or(LAST)
                }
            };
            if !unsure.iter().enumerate().all(possible) {
                continue;
            }
            let since = |of: Rule, window: &Window| match unsure.iter().position(|date| date.rule == of) {
                Some(n) => has_come(n),
                None => window.day().is_some_and(|date| date <= day),
            };
            let lawful = worlds.iter().filter(|world| self.lawful_day(**world, (day, built), rule, &since));
            evenings.extend(lawful.map(|world| Evening { world: *world, come }));
        }
        evenings
    }

    /// The worlds at the end of the target day over all histories that meet these claims.
    fn walk(&self, days: &Days, claims: &BTreeSet<ClaimId>) -> BTreeSet<World> {
        let duties: Vec<Duty> = claims.iter().flat_map(|claim| self.duties(*claim)).collect();
        let some = duties.iter().filter(|duty| matches!(duty, Duty::Some(..))).count();
        // Those of the day's evenings that meet every duty of the day, with what comes true in them.
        let met = |day: Day| -> Vec<(Evening, u32)> {
            days.of(day).iter().filter_map(|evening| Some((*evening, days.met(evening.world, day, &duties)?))).collect()
        };
        // What comes true up to the target, and from there on.
        let mut before: Vec<(Evening, u32)> = met(FIRST);
        for day in (FIRST.0 + 1..=self.target.0).map(Day) {
            let may_go = self.may_go(days, day, claims);
            before = step(&met(day), &before, |evening, came| may_go(came, evening));
        }
        let mut after: Vec<(Evening, u32)> = met(LAST);
        for day in (self.target.0 + 1..=LAST.0).rev().map(Day) {
            let may_go = self.may_go(days, day, claims);
            let evenings = if day == self.target.after() {
                days.of(self.target).iter().map(|evening| (*evening, 0)).collect()
            } else {
                met(day.before())
            };
            after = step(&evenings, &after, may_go);
        }
        let whole = (1 << some) - 1;
        let goes_on = |(evening, came): &(Evening, u32)| {
            let from = after.partition_point(|(other, _)| other < evening);
            after[from..].iter().take_while(|(other, _)| other == evening).any(|(_, comes)| came | comes == whole)
        };
        before.iter().filter(|reached| goes_on(reached)).map(|(evening, _)| evening.world).collect()
    }

    /// Whether an evening may follow on that of the day before.
    fn may_go(&self, days: &Days, day: Day, claims: &BTreeSet<ClaimId>) -> impl Fn(Evening, Evening) -> bool {
        let kept = |m: &&ModId| !self.may_remove(**m, day, claims);
        let keeps: World = days.staying.iter().filter(kept).map(|m| bits(*m, &BOTH)).sum();
        let production: World = days.staying.iter().map(|m| bits(*m, &[Form::Production])).sum();
        let never_new = if day > days.built { days.of_the_line } else { 0 };
        move |before: Evening, now: Evening| {
            let goes_out = before.world & !now.world;
            let goes_in = now.world & !before.world;
            // The retrospective bit of a modification stands one above its production bit.
            let changes_form = (before.world & production) << 1 & now.world;
            goes_out & keeps == 0 && goes_in & never_new == 0 && changes_form == 0 && before.come & !now.come == 0
        }
    }

    fn is_covered(&self, m: ModId) -> bool {
        let serial = &self.model.airframes[self.airframe].serial;
        self.model.mods[m].production.as_ref().is_some_and(|form| form.covers.contains(serial))
    }

    /// Whether no rule about a single day forbids a world; `since` says whether the date has come by which a rule goes.
    fn lawful_day(
        &self,
        world: World,
        (day, built): (Day, Day),
        rule: &dyn Fn(Rule) -> bool,
        since: &dyn Fn(Rule, &Window) -> bool,
    ) -> bool {
        let serial = &self.model.airframes[self.airframe].serial;
        if rule(Rule::Built) && day < built && world != 0 {
            return false;
        }
        for (m, _, modification) in self.model.mods.iter() {
            let p = has(world, m, Form::Production);
            let r = has(world, m, Form::Retrospective);
            let covered = self.is_covered(m);
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
                    if r && eligible && rule(Rule::Leaflet(m)) && !since(Rule::Leaflet(m), &form.leaflet_date) {
                        return false;
                    }
                }
            }
            if p && r && rule(Rule::OneForm(m)) {
                return false;
            }
            for (which, (required, _)) in modification.requires.iter().enumerate() {
                let served = || self.serving(*required).into_iter().any(|m| is_in(world, m));
                if rule(Rule::Requires(m, which)) && is_in(world, m) && !served() {
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
            !rule(Rule::OneOf(index)) || few || !since(Rule::OneOf(index), &group.introduced)
        })
    }

    /// The modification and all that supersede it, or supersede what does.
    fn serving(&self, required: ModId) -> BTreeSet<ModId> {
        let mut serving = BTreeSet::from([required]);
        loop {
            let more: Vec<ModId> = (self.model.mods.iter())
                .filter(|(m, _, modification)| {
                    !serving.contains(m) && modification.supersedes.iter().any(|(old, _)| serving.contains(old))
                })
                .map(|(m, ..)| m)
                .collect();
            if more.is_empty() {
                return serving;
            }
            serving.extend(more);
        }
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

/// Every combination of the forms of some modifications.
fn every_world(mods: &BTreeSet<ModId>) -> Vec<World> {
    let mut worlds = vec![0];
    for form in mods.iter().flat_map(|m| BOTH.map(|form| bits(*m, &[form]))) {
        worlds.extend(worlds.iter().map(|world| world | form).collect::<Vec<_>>());
    }
    worlds
}

/// One step of a walk, forwards or back: the evenings that `goes` joins to one that was reached, each with what came
/// true on the way.
fn step(
    evenings: &[(Evening, u32)],
    reached: &[(Evening, u32)],
    goes: impl Fn(Evening, Evening) -> bool,
) -> Vec<(Evening, u32)> {
    let mut next = Vec::new();
    for (evening, own) in evenings {
        let joined = reached.iter().filter(|(other, _)| goes(*evening, *other));
        next.extend(joined.map(|(_, true_so_far)| (*evening, own | true_so_far)));
    }
    next.sort_unstable();
    next.dedup();
    next
}

impl Days {
    fn of(&self, day: Day) -> &[Evening] {
        &self.evenings[usize::try_from(day.0 - FIRST.0).unwrap()]
    }

    /// What comes true of the duties at the end of a day, as bits; `None` if one of the day is not met.
    fn met(&self, world: World, day: Day, duties: &[Duty]) -> Option<u32> {
        let exists = day >= self.built || !self.nothing_before;
        let (mut memory, mut bit) = (0, 0);
        for duty in duties {
            match duty {
                Duty::On(when, test) => {
                    if *when == day && !test(world, exists) {
                        return None;
                    }
                }
                Duty::Some(from, to, test) => {
                    if *from <= day && day <= *to && test(world, exists) {
                        memory |= 1 << bit;
                    }
                    bit += 1;
                }
            }
        }
        Some(memory)
    }
}
