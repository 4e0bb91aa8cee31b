//! What a question promises is kept: with an answer added as a claim, as many positions are open as it said.

use crate::reference::{Reference, World, holds, is_in};
use crate::small::{Dice, model, nest_some, on, record, widen};
use modstate::graph::Graph;
use modstate::ids::{AirframeId, Id, ModId, PositionId};
use modstate::model::{BuildState, Claim, Model, Statement};
use modstate::quantity::{Day, Serial, Window};
use modstate::resolve::{Ask, Basis, Limits, Prospect, Questions, Reply, Resolver, Target};
use modstate::schema::{Grade, Standing};
use rayon::prelude::*;
use std::collections::BTreeSet;

/// How many small types are asked.
const TYPES: u64 = if cfg!(debug_assertions) { 3_000 } else { 20_000 };

/// A build state on a day that adds and leaves out some modifications, if the dice say so.
fn build_state(dice: &mut Dice, mods: usize, date: Day) -> BuildState {
    let mut state = BuildState { record: record(), date, add: Vec::new(), leave_out: Vec::new() };
    for m in (0..mods).map(ModId::from_index) {
        let chosen = (m, record().place(), String::new());
        match dice.below(5) {
            0 => state.add.push(chosen),
            1 => state.leave_out.push(chosen),
            _ => {}
        }
    }
    state
}

/// The questions about all positions under the firm claims, if some history is consistent with them.
fn ask(model: &Model, airframe: AirframeId) -> Option<Questions> {
    let state = model.airframes[airframe].build_states.ids().next().unwrap();
    let day = model.airframes[airframe].build_states[state].date;
    let graph = Graph::new(model);
    let target = Target { day, build_state: Some(state) };
    let mut resolver = Resolver::new(model, &graph, airframe, target, Limits::default()).unwrap();
    let scope: BTreeSet<PositionId> = model.positions.ids().collect();
    resolver.is_consistent(Basis::Firm).then(|| resolver.questions(&scope, &BTreeSet::new(), Basis::Firm).unwrap())
}

/// The answer as the claim that records it.
fn recorded(model: &Model, ask: Ask, prospect: &Prospect, day: Day) -> Claim {
    let by = Window { start: None, end: Some(day), text: String::new() };
    let (says, when) = match (ask, prospect.reply) {
        (Ask::Embodied(m), Reply::Embodied(true)) => (Statement::Embodied(m, None), by),
        (Ask::Embodied(m), _) => (Statement::NotEmbodied(m), on(day)),
        (Ask::FittedAt(position), Reply::Part(part)) => {
            let which = model.positions[position].candidates.iter().position(|candidate| candidate.part == part);
            (Statement::SeenAt(position, which), on(day))
        }
        (Ask::FittedAt(position), _) => (Statement::SeenAt(position, None), on(day)),
    };
    let (rests_on, standing, grade, assumed) = (Vec::new(), Standing::Firm, Some(Grade::A), None);
    Claim { record: record(), says, when, rests_on, standing, read_on: Vec::new(), grade, assumed }
}

/// How many promises were kept, and how many of them where the build state adds or leaves something out.
fn kept(seed: u64) -> (usize, usize) {
    let mut dice = Dice::new(seed);
    let mods = 2 + dice.below(2);
    let claims = dice.below(4);
    let (mut model, airframe) = model(&mut dice, mods, claims);
    nest_some(&mut dice, &mut model);
    widen(&mut dice, &mut model, airframe);
    let day = Day(15 + i32::try_from(dice.below(8)).unwrap());
    let state = build_state(&mut dice, mods, day);
    let chooses = !state.add.is_empty() || !state.leave_out.is_empty();
    model.airframes.get_mut(airframe).build_states.insert("as rebuilt", state).unwrap();
    let mut kept = 0;
    for question in ask(&model, airframe).map_or_else(Vec::new, |questions| questions.ranked) {
        for prospect in &question.prospects {
            let claim = recorded(&model, question.ask, prospect, day);
            let mut answered = model.clone();
            answered.airframes.get_mut(airframe).claims.insert("answer", claim).unwrap();
            let then = ask(&answered, airframe).map(|questions| questions.open);
            assert_eq!(then, Some(prospect.open), "seed {seed}: {:?} {prospect:?}", question.ask);
            kept += 1;
        }
    }
    (kept, if chooses { kept } else { 0 })
}

/// The worlds in which an answer to a question is right, worked out world by world.
fn right_in(model: &Model, serial: &Serial, worlds: &BTreeSet<World>, ask: Ask, reply: Reply) -> BTreeSet<World> {
    let right = |world: &World| match (ask, reply) {
        (Ask::Embodied(m), reply) => (reply == Reply::Embodied(true)) == is_in(*world, m),
        (Ask::FittedAt(position), Reply::Part(part)) => {
            let mut candidates = model.positions[position].candidates.iter().filter(|candidate| candidate.part == part);
            candidates.any(|candidate| holds(&candidate.when, serial, *world))
        }
        (Ask::FittedAt(position), _) => {
            model.positions[position].nothing_when.as_ref().is_some_and(|when| holds(when, serial, *world))
        }
    };
    worlds.iter().copied().filter(right).collect()
}

/// How many questions were asked, and how many others tell the same as one of them.
fn told_once(seed: u64) -> (usize, usize) {
    let mut dice = Dice::new(seed);
    let mods = 2 + dice.below(3);
    let (mut model, airframe) = model(&mut dice, mods, 2);
    nest_some(&mut dice, &mut model);
    let state = build_state(&mut dice, mods, Day(20));
    model.airframes.get_mut(airframe).build_states.insert("as rebuilt", state).unwrap();
    let Some(questions) = ask(&model, airframe) else { return (0, 0) };
    let entry = &model.airframes[airframe];
    let firm = entry.claims.iter().filter(|(_, _, claim)| claim.standing == Standing::Firm).map(|(id, ..)| id);
    let worlds = Reference::new(&model, airframe, Day(20)).lawful(&firm.collect());
    let right = |ask, reply| right_in(&model, &entry.serial, &worlds, ask, reply);
    let mut parted: BTreeSet<BTreeSet<BTreeSet<World>>> = BTreeSet::new();
    let mut also = 0;
    for question in &questions.ranked {
        let parts = question.prospects.iter().map(|prospect| right(question.ask, prospect.reply));
        assert!(parted.insert(parts.collect()), "seed {seed}: {:?} parts the states as another does", question.ask);
        for same in &question.also {
            for (prospect, reply) in question.prospects.iter().zip(&same.replies) {
                let (mine, theirs) = (right(question.ask, prospect.reply), right(same.ask, *reply));
                assert_eq!(mine, theirs, "seed {seed}: {:?} and {:?}", question.ask, same.ask);
            }
            also += 1;
        }
    }
    (questions.ranked.len(), also)
}

#[test]
fn no_two_questions_part_the_states_alike() {
    let told = crate::seeds(TYPES).into_par_iter().map(told_once).reduce(|| (0, 0), |a, b| (a.0 + b.0, a.1 + b.1));
    assert!(told.0 > 150 && told.1 > 60, "the types cover questions that tell the same: {told:?}");
}

#[test]
fn answers_leave_open_what_their_question_said() {
    let kept = crate::seeds(TYPES).into_par_iter().map(kept).reduce(|| (0, 0), |a, b| (a.0 + b.0, a.1 + b.1));
    assert!(kept.0 > 500 && kept.1 > 100, "the types cover promises: {kept:?}");
}
