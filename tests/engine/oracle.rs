//! A second oracle at 40 modifications: the rules written down day by day for another solver (the crate splr), which
//! shares neither code nor encoding with the engine.

use crate::small::{Dice, model, widen};
use modstate::graph::Graph;
use modstate::ids::{AirframeId, ClaimId, Id, ModId, Table};
use modstate::model::{Claim, Condition, Model, Statement};
use modstate::quantity::{Day, Window};
use modstate::resolve::{Basis, Limits, Resolver, Target, Truth};
use modstate::schema::{Form, Standing};
use splr::{Certificate, SolverError};
use std::collections::BTreeSet;

const FIRST: i32 = 6;
const LAST: i32 = 31;
const MODS: usize = 40;
/// Of how many of them it is asked whether they are in, at most.
const ASKED: usize = 8;

/// Clauses over one variable for each form of each modification on each day, and helpers behind them.
struct Days<'m> {
    model: &'m Model,
    airframe: AirframeId,
    clauses: Vec<Vec<i32>>,
    next: i32,
}

impl Days<'_> {
    fn form(&self, m: ModId, form: Form, day: i32) -> i32 {
        let day = usize::try_from(day - FIRST).unwrap();
        let slot = 2 * (day * self.model.mods.len() + m.index()) + usize::from(form == Form::Retrospective);
        i32::try_from(slot).unwrap() + 1
    }
    fn helper(&mut self) -> i32 {
        self.next += 1;
        self.next
    }
    /// A variable that is true exactly if the modification is in.
    fn is_in(&mut self, m: ModId, day: i32) -> i32 {
        let (p, r) = (self.form(m, Form::Production, day), self.form(m, Form::Retrospective, day));
        let either = self.helper();
        self.clauses.extend([vec![-p, either], vec![-r, either], vec![-either, p, r]]);
        either
    }
    /// A variable that is true exactly if the condition holds.
    fn holds(&mut self, condition: &Condition, day: i32) -> i32 {
        match condition {
            Condition::Post(m, None) => self.is_in(*m, day),
            Condition::Post(m, Some(form)) => self.form(*m, *form, day),
            Condition::Pre(m) => -self.is_in(*m, day),
            Condition::Not(inner) => -self.holds(inner, day),
            Condition::All(parts) => {
                let parts: Vec<i32> = parts.iter().map(|part| -self.holds(part, day)).collect();
                -self.any(&parts)
            }
            Condition::Any(parts) => {
                let parts: Vec<i32> = parts.iter().map(|part| self.holds(part, day)).collect();
                self.any(&parts)
            }
            Condition::Serials(_) => unreachable!("the small types select nothing by serial"),
        }
    }
    fn any(&mut self, parts: &[i32]) -> i32 {
        let whole = self.helper();
        self.clauses.extend(parts.iter().map(|part| vec![-part, whole]));
        self.clauses.push(parts.iter().copied().chain([-whole]).collect());
        whole
    }

    /// For each day, a variable that is true if a date has come that lies on some day of the window.
    fn has_come(&mut self, window: &Window) -> Vec<i32> {
        let come: Vec<i32> = (FIRST..=LAST).map(|_| self.helper()).collect();
        self.clauses.extend(come.windows(2).map(|pair| vec![-pair[0], pair[1]]));
        let (start, end) = (window.start.map_or(FIRST, |day| day.0), window.end.map_or(LAST, |day| day.0));
        for (day, come) in (FIRST..=LAST).zip(&come) {
            self.clauses.extend((day < start).then(|| vec![-come]));
            self.clauses.extend((day >= end).then(|| vec![*come]));
        }
        come
    }

    fn rules(&mut self, built: i32) {
        let model = self.model;
        let serial = &model.airframes[self.airframe].serial;
        for (m, _, modification) in model.mods.iter() {
            let covered = modification.production.as_ref().is_some_and(|form| form.covers.contains(serial));
            let leaflet = modification.retrospective.as_ref().and_then(|form| {
                let eligible = form.eligible.as_ref().is_none_or(|set| set.contains(serial));
                eligible.then_some(&form.leaflet_date)
            });
            let leaflet = leaflet.map(|window| self.has_come(window));
            for (n, day) in (FIRST..=LAST).enumerate() {
                let (p, r) = (self.form(m, Form::Production, day), self.form(m, Form::Retrospective, day));
                // Nothing is claimed removed in these types: production is in from the build date or never.
                self.clauses.push(vec![if covered && day >= built { p } else { -p }]);
                match &leaflet {
                    Some(come) if day >= built && !covered => self.clauses.push(vec![-r, come[n]]),
                    _ => self.clauses.push(vec![-r]),
                }
                if day > FIRST {
                    let before = self.form(m, Form::Retrospective, day - 1);
                    self.clauses.push(vec![-before, r]);
                }
            }
        }
        for day in built..=LAST {
            for (m, _, modification) in model.mods.iter() {
                let this = self.is_in(m, day);
                for (required, _) in &modification.requires {
                    let serving: Vec<ModId> = serving(model, *required).into_iter().collect();
                    let mut clause: Vec<i32> = serving.iter().map(|other| self.is_in(*other, day)).collect();
                    clause.push(-this);
                    self.clauses.push(clause);
                }
                for (other, _) in &modification.excludes {
                    let other = self.is_in(*other, day);
                    self.clauses.push(vec![-this, -other]);
                }
            }
        }
        for group in &model.one_ofs {
            let come = self.has_come(&group.introduced);
            for (day, come) in (FIRST..=LAST).zip(come).filter(|(day, _)| *day >= built) {
                let members: Vec<i32> = group.members.iter().map(|m| self.is_in(*m, day)).collect();
                for (n, a) in members.iter().enumerate() {
                    self.clauses.extend(members[n + 1..].iter().map(|b| vec![-come, -a, -b]));
                }
                if group.exactly {
                    self.clauses.push(members.into_iter().chain([-come]).collect());
                }
            }
        }
    }

    fn claims<'c>(&mut self, built: i32, claims: impl IntoIterator<Item = &'c Claim>) {
        let model = self.model;
        for claim in claims {
            let first = claim.when.start.map_or(FIRST, |day| day.0);
            let last = claim.when.end.map_or(LAST, |day| day.0);
            match &claim.says {
                Statement::Embodied(m, form) => {
                    if claim.when.start.is_some() {
                        let before = self.is_in(*m, first - 1);
                        self.clauses.push(vec![-before]);
                    }
                    let embodied = |days: &mut Self, day| match form {
                        Some(form) => days.form(*m, *form, day),
                        None => days.is_in(*m, day),
                    };
                    let from = if claim.when.end.is_some() { last } else { first };
                    let clause = (from..=last).map(|day| embodied(self, day)).collect();
                    self.clauses.push(clause);
                }
                Statement::NotEmbodied(m) => {
                    let clause = (first..=last).map(|day| -self.is_in(*m, day)).collect();
                    self.clauses.push(clause);
                }
                Statement::SeenAt(position, which) => {
                    let position = &model.positions[*position];
                    let mut clause = Vec::new();
                    for day in first.max(built)..=last {
                        let found: Vec<&Condition> = if let Some(which) = which {
                            let part = position.candidates[*which].part;
                            let same = position.candidates.iter().filter(|candidate| candidate.part == part);
                            same.map(|candidate| &candidate.when).collect()
                        } else {
                            position.nothing_when.iter().collect()
                        };
                        clause.extend(found.into_iter().map(|when| self.holds(when, day)));
                    }
                    self.clauses.push(clause);
                }
                Statement::Removed(_) | Statement::SeenSplice(..) | Statement::SeenPattern(_) => {
                    unreachable!("such claims are taken out before")
                }
            }
        }
    }

    fn possible(&self, with: i32) -> bool {
        let clauses = self.clauses.iter().cloned().chain([vec![with]]).collect::<Vec<_>>();
        if clauses.iter().any(Vec::is_empty) {
            return false;
        }
        match Certificate::try_from(clauses) {
            Ok(Certificate::SAT(_)) => true,
            Ok(Certificate::UNSAT) | Err(SolverError::EmptyClause | SolverError::RootLevelConflict(_)) => false,
            Err(error) => panic!("{error:?}"),
        }
    }
}

/// The modification and all that supersede it, through any number of steps.
fn serving(model: &Model, required: ModId) -> BTreeSet<ModId> {
    let mut serving = BTreeSet::from([required]);
    loop {
        let more: Vec<ModId> = (model.mods.iter())
            .filter(|(m, _, other)| {
                !serving.contains(m) && other.supersedes.iter().any(|(old, _)| serving.contains(old))
            })
            .map(|(m, ..)| m)
            .collect();
        if more.is_empty() {
            return serving;
        }
        serving.extend(more);
    }
}

/// Takes out what would make most types of this size contradict themselves on any serial: rules among forms that
/// production settles.
fn make_lawful(model: &mut Model, airframe: AirframeId) {
    let serial = model.airframes[airframe].serial.clone();
    let covers =
        |model: &Model, m: ModId| model.mods[m].production.as_ref().is_some_and(|form| form.covers.contains(&serial));
    for m in model.mods.ids() {
        let covered = covers(model, m);
        let both: Vec<ModId> = model.mods.ids().filter(|other| covered && covers(model, *other)).collect();
        let modification = model.mods.get_mut(m);
        if covered {
            modification.requires.clear();
        }
        modification.excludes.retain(|(other, _)| !both.contains(other));
    }
    let settled = |model: &Model, group: &modstate::model::OneOf| {
        group.exactly || group.members.iter().filter(|m| covers(model, **m)).count() > 1
    };
    let groups = std::mem::take(&mut model.one_ofs);
    model.one_ofs = groups.into_iter().filter(|group| !settled(model, group)).collect();
}

/// The rules of a type on every day of an airframe.
fn days(model: &Model, airframe: AirframeId) -> (Days<'_>, i32) {
    let built = model.airframes[airframe].built.start.unwrap().0;
    let next = i32::try_from(2 * MODS).unwrap() * (LAST - FIRST + 1);
    let mut days = Days { model, airframe, clauses: Vec::new(), next };
    days.rules(built);
    (days, built)
}

/// Leaves out claims that the solver finds at odds with those before them; claims of removals are left out in any case.
fn make_peaceful(model: &mut Model, airframe: AirframeId) {
    let all: Vec<(String, Claim)> =
        model.airframes[airframe].claims.iter().map(|(_, name, claim)| (name.to_owned(), claim.clone())).collect();
    let mut kept: Table<ClaimId, Claim> = Table::default();
    for (name, claim) in all.into_iter().filter(|(_, claim)| !matches!(claim.says, Statement::Removed(_))) {
        let (mut days, built) = days(model, airframe);
        days.claims(built, kept.iter().map(|(_, _, claim)| claim).chain([&claim]));
        let always = days.helper();
        if days.possible(always) {
            kept.insert(&name, claim).unwrap();
        }
    }
    model.airframes.get_mut(airframe).claims = kept;
}

fn compare(seed: u64) -> (usize, usize) {
    let mut dice = Dice::new(seed);
    let (mut model, airframe) = model(&mut dice, MODS, 5);
    widen(&mut dice, &mut model, airframe);
    make_lawful(&mut model, airframe);
    let built = &mut model.airframes.get_mut(airframe).built;
    built.end = built.start;
    make_peaceful(&mut model, airframe);
    let target = Day(18);
    let graph = Graph::new(&model);
    let asked = Target { day: target, build_state: None };
    let mut resolver = Resolver::new(&model, &graph, airframe, asked, Limits::default()).unwrap();
    let asked_of: BTreeSet<ModId> = (0..ASKED).map(|_| ModId::from_index(dice.below(MODS))).collect();
    let (mut settled, mut open) = (0, 0);
    for (basis, standing) in
        [(Basis::Firm, vec![Standing::Firm]), (Basis::Held, vec![Standing::Firm, Standing::Doubtful])]
    {
        let (mut days, built) = days(&model, airframe);
        let claims = model.airframes[airframe].claims.iter().map(|(_, _, claim)| claim);
        days.claims(built, claims.filter(|claim| standing.contains(&claim.standing)));
        let always = days.helper();
        let consistent = days.possible(always);
        if basis == Basis::Firm {
            assert_eq!(resolver.is_consistent(basis), consistent, "seed {seed}: firm claims");
        }
        if !consistent {
            continue;
        }
        for m in asked_of.iter().copied() {
            let embodied = days.is_in(m, target.0);
            let expected = match (days.possible(embodied), days.possible(-embodied)) {
                (true, true) => Truth::Open,
                (true, false) => Truth::Always,
                (false, true) => Truth::Never,
                (false, false) => unreachable!("the claims can all hold"),
            };
            assert_eq!(resolver.modification(m, basis).embodied, expected, "seed {seed}: {basis:?} {m:?}");
            if expected == Truth::Open { open += 1 } else { settled += 1 }
        }
    }
    (settled, open)
}

#[test]
fn another_solver_agrees_at_40_modifications() {
    let types = if cfg!(debug_assertions) { 6 } else { 100 };
    let found = crate::seeds(types).map(compare).fold((0, 0), |(a, b), (settled, open)| (a + settled, b + open));
    assert!(found.0 > 30 && found.1 > 10, "some are settled and some open: {found:?}");
}
