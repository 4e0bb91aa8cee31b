//! The engine and the reference agree on every answer.

use crate::reference::{Reference, World, fitted, form_of, has, holds, is_in};
use crate::small::{Dice, assume, claim, model, nest_some, widen};
use modstate::graph::Graph;
use modstate::history::{Supposition, suppose};
use modstate::ids::{AirframeId, ClaimId, ModId, PositionId, Table};
use modstate::model::{Claim, Model};
use modstate::quantity::{Day, Serial};
use modstate::resolve::{Ask, Basis, Fitted, Limits, Question, Reason, Reply, Resolver, Target, Truth};
use modstate::schema::{Form, Grade, Standing};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// How many random types: enough in a debug build to catch a slip, all of them in a release build.
const TYPES: u64 = if cfg!(debug_assertions) { 300 } else { 20_000 };

pub(crate) fn truth(worlds: &BTreeSet<World>, holds: impl Fn(World) -> bool) -> Truth {
    match (worlds.iter().any(|w| holds(*w)), worlds.iter().any(|w| !holds(*w))) {
        (false, false) => Truth::NoHistory,
        (true, false) => Truth::Always,
        (false, true) => Truth::Never,
        (true, true) => Truth::Open,
    }
}

/// All sets of claims that a best repair drops, by trying every set, the cheapest first.
pub(crate) fn best_repairs(reference: &Reference<'_>) -> Vec<BTreeSet<ClaimId>> {
    let claims = &reference.model.airframes[reference.airframe].claims;
    let all: Vec<ClaimId> = claims.ids().collect();
    let mut by_cost: BTreeMap<Vec<usize>, Vec<BTreeSet<ClaimId>>> = BTreeMap::new();
    for set in 0..1usize << all.len() {
        let dropped: BTreeSet<ClaimId> =
            all.iter().enumerate().filter(|(n, _)| set >> n & 1 == 1).map(|(_, claim)| *claim).collect();
        let count = |wanted: &dyn Fn(ClaimId) -> bool| dropped.iter().filter(|claim| wanted(**claim)).count();
        let mut cost = vec![
            count(&|claim| claims[claim].standing == Standing::Firm),
            count(&|claim| claims[claim].standing == Standing::Doubtful),
        ];
        for grade in [Some(Grade::A), Some(Grade::B), Some(Grade::C), Some(Grade::D), None] {
            cost.push(count(&|claim| claims[claim].grade == grade));
        }
        by_cost.entry(cost).or_default().push(dropped);
    }
    let makes_peace = |dropped: &BTreeSet<ClaimId>| {
        !reference.lawful(&all.iter().copied().filter(|claim| !dropped.contains(claim)).collect()).is_empty()
    };
    let peaceful = by_cost.into_values().map(|sets| sets.into_iter().filter(makes_peace).collect::<Vec<_>>());
    peaceful.into_iter().find(|sets| !sets.is_empty()).unwrap_or_default()
}

/// The parts of a contradictory airframe that have no bearing on the contradiction are answered all the same; the
/// reference knows one history for the whole airframe, so such answers are not compared.
fn comparable(found: Truth, expected: Truth) -> bool {
    expected != Truth::NoHistory || matches!(found, Truth::NoHistory | Truth::Always | Truth::Never | Truth::Open)
}

#[track_caller]
fn same(seed: u64, what: &str, found: Truth, expected: Truth) {
    assert!(comparable(found, expected), "seed {seed}: {what}: engine {found:?}, reference {expected:?}");
    if expected != Truth::NoHistory {
        assert_eq!(found, expected, "seed {seed}: {what}");
    }
}

/// What is supposed for one run of a small type.
pub(crate) fn suppositions(dice: &mut Dice, model: &Model, airframe: AirframeId) -> Vec<Supposition> {
    let names: Vec<&str> = model.airframes[airframe].claims.names().collect();
    let supposed = |dice: &mut Dice| {
        if names.is_empty() || dice.once_in(2) {
            let Claim { says, when, .. } = claim(dice, model, model.mods.len());
            return Supposition::That(says, when);
        }
        let name = dice.pick(&names);
        // An assumption about several modifications is withdrawn as a whole, or for one of them.
        let whole = name.split_once(' ').map(|(whole, _)| whole).filter(|_| dice.once_in(2));
        Supposition::Without(whole.unwrap_or(name).to_owned())
    };
    (0..=dice.below(2)).map(|_| supposed(dice)).collect()
}

/// The model in which the claims are as they are supposed: those supposed count as firm, of no grade, and what is assumed
/// is assumed of what they leave unrecorded.
pub(crate) fn as_supposed(model: &Model, airframe: AirframeId, suppositions: &[Supposition]) -> Model {
    let mut supposed = model.clone();
    let without: Vec<&str> = (suppositions.iter())
        .filter_map(|supposition| match supposition {
            Supposition::Without(name) => Some(name.as_str()),
            Supposition::That(..) => None,
        })
        .collect();
    let held = supposed.airframes.get_mut(airframe);
    held.unrecorded.retain(|assumption| !without.contains(&assumption.name.as_str()));
    let mut claims = named(&held.claims);
    // What an assumption stands for is called after it.
    claims
        .retain(|(name, claim)| !without.contains(&name.as_str()) && (claim.assumed.is_none() || !name.contains(' ')));
    for (n, supposition) in suppositions.iter().enumerate() {
        if let Supposition::That(says, when) = supposition {
            let (record, says, when, assumed) = (held.record, says.clone(), when.clone(), None);
            let (rests_on, standing, grade) = (Vec::new(), Standing::Firm, None);
            claims.push((
                format!("S{n}"),
                Claim { record, says, when, rests_on, standing, read_on: Vec::new(), grade, assumed },
            ));
        }
    }
    held.claims = table(claims);
    assume(&mut supposed, airframe, &without);
    let held = supposed.airframes.get_mut(airframe);
    let (last, first): (Vec<_>, Vec<_>) = named(&held.claims).into_iter().partition(|(name, _)| name.starts_with('S'));
    held.claims = table(first.into_iter().chain(last));
    supposed
}

pub(crate) fn named(claims: &Table<ClaimId, Claim>) -> Vec<(String, Claim)> {
    claims.iter().map(|(_, name, claim)| (name.to_owned(), claim.clone())).collect()
}

pub(crate) fn table(claims: impl IntoIterator<Item = (String, Claim)>) -> Table<ClaimId, Claim> {
    let mut table = Table::default();
    for (name, claim) in claims {
        table.insert(&name, claim).unwrap();
    }
    table
}

/// What the types of one test cover.
#[derive(Clone, Copy, Default)]
struct Covered {
    contradictory: usize,
    /// Where what is supposed changes an answer about a modification.
    supposed: usize,
}

fn compare(seed: u64) -> Covered {
    let mut dice = Dice::new(seed);
    let mods = match dice.below(16) {
        0 => 5,
        1 | 2 => 4,
        n => 2 + n % 2,
    };
    let claims = dice.below(5);
    let (mut model, airframe) = model(&mut dice, mods, claims);
    nest_some(&mut dice, &mut model);
    widen(&mut dice, &mut model, airframe);
    let target = Day(15 + i32::try_from(dice.below(8)).unwrap());
    let mut covered = compare_at(seed, &model, &model, airframe, target, seed.is_multiple_of(4));
    if dice.once_in(2) {
        let suppositions = suppositions(&mut dice, &model, airframe);
        let mut supposed = model.clone();
        suppose(&mut supposed, airframe, &suppositions).unwrap();
        let expected = as_supposed(&model, airframe, &suppositions);
        let with = compare_at(seed, &supposed, &expected, airframe, target, false);
        covered.supposed += usize::from(states(&expected, airframe, target) != states(&model, airframe, target));
        covered.contradictory += with.contradictory;
    }
    covered
}

/// The states at the target under the firm claims.
fn states(model: &Model, airframe: AirframeId, target: Day) -> BTreeSet<World> {
    Reference::new(model, airframe, target).lawful(&firm(model, airframe))
}

pub(crate) fn firm(model: &Model, airframe: AirframeId) -> BTreeSet<ClaimId> {
    let claims = model.airframes[airframe].claims.iter();
    claims.filter(|(_, _, claim)| claim.standing == Standing::Firm).map(|(id, ..)| id).collect()
}

/// Compares all answers about a model with those of the reference about another, which is to mean the same: its claims
/// stand in the same order.
fn compare_at(
    seed: u64,
    model: &Model,
    expected: &Model,
    airframe: AirframeId,
    target: Day,
    with_grounds: bool,
) -> Covered {
    let graph = Graph::new(model);
    let reference = Reference::new(expected, airframe, target);
    let asked = Target { day: target, build_state: None };
    let mut resolver = Resolver::new(model, &graph, airframe, asked, Limits::default()).unwrap();
    let all: BTreeSet<ClaimId> = expected.airframes[airframe].claims.ids().collect();
    let firm_worlds = reference.lawful(&firm(expected, airframe));
    let repairs = best_repairs(&reference);
    let mut held_worlds = BTreeSet::new();
    for dropped in &repairs {
        held_worlds.extend(reference.lawful(&all.difference(dropped).copied().collect()));
    }
    assert_eq!(resolver.is_consistent(Basis::Firm), !firm_worlds.is_empty(), "seed {seed}: firm claims");
    assert_eq!(resolver.is_consistent(Basis::Held), !held_worlds.is_empty(), "seed {seed}: held claims");
    compare_repairs(seed, &resolver, &repairs);
    for (basis, worlds) in [(Basis::Firm, &firm_worlds), (Basis::Held, &held_worlds)] {
        compare_mods(seed, model, &mut resolver, basis, worlds);
        compare_positions(seed, model, &mut resolver, basis, worlds);
        let (what, positions) = (format!("seed {seed}: {basis:?}"), model.positions.ids().collect());
        compare_questions(&what, model, &mut resolver, basis, worlds, &positions, &|_| true);
    }
    compare_contradictions(seed, &reference, &resolver);
    if with_grounds {
        compare_grounds(seed, &reference, &mut resolver);
    }
    Covered { contradictory: usize::from(!all.is_empty() && firm_worlds.is_empty()), supposed: 0 }
}

fn compare_repairs(seed: u64, resolver: &Resolver<'_>, expected: &[BTreeSet<ClaimId>]) {
    let mut product = vec![BTreeSet::new()];
    for contradiction in resolver.contradictions() {
        let repairs = contradiction.repairs.unwrap();
        product = product
            .iter()
            .flat_map(|so_far: &BTreeSet<ClaimId>| {
                repairs.iter().map(move |repair| so_far.iter().chain(repair).copied().collect())
            })
            .collect();
    }
    let found: BTreeSet<BTreeSet<ClaimId>> = product.into_iter().collect();
    assert_eq!(found, expected.iter().cloned().collect(), "seed {seed}: best repairs");
}

/// Whether the reply is what is found at the position.
fn replied(model: &Model, serial: &Serial, position: PositionId, reply: Reply, world: World) -> bool {
    let position = &model.positions[position];
    match reply {
        Reply::Part(part) => position.candidates.iter().any(|c| c.part == part && holds(&c.when, serial, world)),
        Reply::Nothing => position.nothing_when.as_ref().is_some_and(|when| holds(when, serial, world)),
        Reply::Embodied(_) => unreachable!("nobody finds a modification at a position"),
    }
}

/// Each answer to each question about the positions in scope leaves as many of them open as the reference counts, and the
/// questions stand in the order of the worst answer, then the mean, then the name. `asked` says what may be asked.
pub(crate) fn compare_questions(
    what: &str,
    model: &Model,
    resolver: &mut Resolver<'_>,
    basis: Basis,
    worlds: &BTreeSet<World>,
    positions: &BTreeSet<PositionId>,
    asked: &dyn Fn(&Ask) -> bool,
) {
    if worlds.is_empty() {
        return;
    }
    let serial = &resolver.history().airframe().serial.clone();
    let there = |id: PositionId, world| fitted(model, serial, model.positions[id].assembly, world);
    // What is fitted at a position in a world: every variant called for, `None` for a gap; nothing at all where the
    // assembly around it is not there.
    let fitted_at = |id: PositionId, world: World| -> BTreeSet<Option<(Option<usize>, u32)>> {
        let position = &model.positions[id];
        let mut found = BTreeSet::new();
        if there(id, world) {
            for candidate in position.candidates.iter().filter(|c| holds(&c.when, serial, world)) {
                let part = modstate::ids::Id::index(candidate.part);
                found.insert(Some((Some(part), candidate.quantity)));
            }
            if position.nothing_when.as_ref().is_some_and(|when| holds(when, serial, world)) {
                found.insert(Some((None, 0)));
            }
            if found.is_empty() {
                found.insert(None);
            }
        }
        found
    };
    let open = |given: &dyn Fn(World) -> bool| {
        let is_open = |id: &&PositionId| {
            let given = || worlds.iter().filter(|w| given(**w));
            let variants: BTreeSet<_> = given().flat_map(|w| fitted_at(**id, *w)).collect();
            variants.len() + usize::from(given().any(|w| !there(**id, *w))) > 1
        };
        positions.iter().filter(is_open).count()
    };
    let questions = resolver.questions(positions, &BTreeSet::new(), basis).unwrap();
    let open_now = open(&|_| true);
    assert_eq!(questions.open, open_now, "{what} open positions");
    let name = |ask: &Ask| match ask {
        Ask::Embodied(m) => model.mods.name(*m),
        Ask::FittedAt(position) => model.positions.name(*position),
    };
    let key = |q: &Question| {
        let opens: Vec<usize> = q.prospects.iter().map(|p| p.open).collect();
        // Six is divisible by two and by three, the numbers of answers that the small types have.
        (opens.iter().max().copied(), opens.iter().sum::<usize>() * 6 / opens.len(), name(&q.ask).to_owned())
    };
    assert!(questions.ranked.windows(2).all(|pair| key(&pair[0]) <= key(&pair[1])), "{what}: order of questions");
    // Every question worth asking, with what each possible answer leaves open.
    let mut expected: BTreeMap<Ask, BTreeSet<(Reply, usize)>> = BTreeMap::new();
    for m in model.mods.ids() {
        let possible = |yes: &bool| worlds.iter().any(|w| is_in(*w, m) == *yes);
        let replies = [true, false].into_iter().filter(possible);
        let after = replies.map(|yes| (Reply::Embodied(yes), open(&|w| is_in(w, m) == yes)));
        expected.insert(Ask::Embodied(m), after.collect());
    }
    for &id in positions {
        let parts = model.positions[id].candidates.iter().map(|candidate| Reply::Part(candidate.part));
        let replies: BTreeSet<Reply> = parts.chain([Reply::Nothing]).collect();
        let says = |reply: Reply, world: World| replied(model, serial, id, reply, world);
        let possible = |reply: &Reply| worlds.iter().any(|w| there(id, *w) && says(*reply, *w));
        let after = replies.into_iter().filter(possible).map(|reply| (reply, open(&|w| says(reply, w))));
        expected.insert(Ask::FittedAt(id), after.collect());
    }
    expected.retain(|ask, after| asked(ask) && after.len() > 1 && after.iter().any(|(_, open)| *open < open_now));
    // What settles the same is asked once; what else tells it leaves as much open, answer by answer.
    let found = questions.ranked.iter().flat_map(|question| {
        let opens = || question.prospects.iter().map(|prospect| prospect.open);
        let own = question.prospects.iter().map(|prospect| prospect.reply).zip(opens()).collect();
        let also =
            question.also.iter().map(move |same| (same.ask, same.replies.iter().copied().zip(opens()).collect()));
        also.chain([(question.ask, own)])
    });
    assert_eq!(found.collect::<BTreeMap<_, _>>(), expected, "{what} questions");
}

fn compare_mods(seed: u64, model: &Model, resolver: &mut Resolver<'_>, basis: Basis, worlds: &BTreeSet<World>) {
    for m in model.mods.ids() {
        let answer = resolver.modification(m, basis);
        let name = model.mods.name(m);
        same(seed, &format!("{basis:?} {name}"), answer.embodied, truth(worlds, |w| is_in(w, m)));
        let by = truth(worlds, |w| has(w, m, Form::Production));
        same(seed, &format!("{basis:?} {name} by production"), answer.by_production, by);
        let by = truth(worlds, |w| has(w, m, Form::Retrospective));
        same(seed, &format!("{basis:?} {name} afterwards"), answer.by_retrospective, by);
    }
    if !worlds.is_empty() {
        let distinct: BTreeSet<Vec<Option<Form>>> =
            worlds.iter().map(|w| model.mods.ids().map(|m| form_of(*w, m)).collect()).collect();
        let counted = resolver.count_all(basis).unwrap();
        assert_eq!(counted, distinct.len().into(), "seed {seed}: {basis:?} states of the whole airframe");
    }
}

fn compare_positions(seed: u64, model: &Model, resolver: &mut Resolver<'_>, basis: Basis, worlds: &BTreeSet<World>) {
    let serial = &resolver.history().airframe().serial.clone();
    for (id, name, position) in model.positions.iter() {
        let selects = |w: World, fitted: Fitted| {
            let candidate = |c: &modstate::model::Candidate| holds(&c.when, serial, w);
            let nothing = position.nothing_when.as_ref().is_some_and(|when| holds(when, serial, w));
            match fitted {
                Fitted::Part(part, quantity) => {
                    position.candidates.iter().filter(|c| (c.part, c.quantity) == (part, quantity)).any(candidate)
                }
                Fitted::Nothing => nothing,
                Fitted::Gap => !nothing && !position.candidates.iter().any(candidate),
            }
        };
        let there = |w: World| fitted(model, serial, position.assembly, w);
        let is_so = |w: World, outcome: Option<Fitted>| match outcome {
            Some(fitted) => there(w) && selects(w, fitted),
            None => !there(w),
        };
        for (fitted, when) in resolver.variants(id) {
            let found = resolver.truth(&when, basis);
            same(seed, &format!("{basis:?} {name} calls for {fitted:?}"), found, truth(worlds, |w| selects(w, fitted)));
        }
        let outcomes = resolver.outcomes(id, basis);
        let mut slice: BTreeSet<ModId> = BTreeSet::new();
        for (outcome, when) in resolver.outcomes_when(id) {
            slice.extend(Resolver::depends_on(&when));
            let found = outcomes.iter().find(|o| o.fitted == outcome).map_or(Truth::Never, |o| o.truth);
            same(seed, &format!("{basis:?} {name} {outcome:?}"), found, truth(worlds, |w| is_so(w, outcome)));
        }
        if worlds.is_empty() {
            continue;
        }
        let whens: Vec<_> = outcomes.iter().map(|o| o.when.clone()).collect();
        let counts = resolver.count(&slice, &whens, basis).unwrap();
        let project = |w: World| slice.iter().map(|m| form_of(w, *m)).collect::<Vec<_>>();
        let distinct: BTreeSet<Vec<Option<Form>>> = worlds.iter().map(|w| project(*w)).collect();
        assert_eq!(counts.all, distinct.len().into(), "seed {seed}: {basis:?} {name} states");
        for (outcome, count) in outcomes.iter().zip(&counts.each) {
            let selecting: BTreeSet<_> =
                worlds.iter().filter(|w| is_so(**w, outcome.fitted)).map(|w| project(*w)).collect();
            assert_eq!(*count, selecting.len().into(), "seed {seed}: {basis:?} {name} {:?}", outcome.fitted);
        }
    }
}

/// What can be seen of the worlds that the members of a set alone allow: of a modification, whether it is in.
fn seen(reference: &Reference<'_>, set: &[Reason], looked_at: Option<ModId>) -> BTreeSet<bool> {
    let claims = set.iter().filter_map(|reason| match reason {
        Reason::Claim(claim) => Some(*claim),
        Reason::Rule(_) => None,
    });
    let rule = |rule| set.contains(&Reason::Rule(rule));
    reference.worlds(&claims.collect(), &rule, looked_at, &|world| looked_at.is_some_and(|m| is_in(world, m)))
}

fn compare_contradictions(seed: u64, reference: &Reference<'_>, resolver: &Resolver<'_>) {
    for contradiction in resolver.contradictions() {
        assert!(!contradiction.sets.is_empty(), "seed {seed}: a contradiction names a set");
        for set in &contradiction.sets {
            assert!(seen(reference, set, None).is_empty(), "seed {seed}: {set:?} alone still contradicts");
            for dropped in 0..set.len() {
                let mut rest = set.clone();
                rest.remove(dropped);
                assert!(!seen(reference, &rest, None).is_empty(), "seed {seed}: {set:?} needs all its members");
            }
        }
    }
}

fn compare_grounds(seed: u64, reference: &Reference<'_>, resolver: &mut Resolver<'_>) {
    if !resolver.is_consistent(Basis::Held) {
        return;
    }
    for m in reference.model.mods.ids() {
        let expr = modstate::history::is_in(m, None);
        let (expr, wanted) = match resolver.truth(&expr, Basis::Held) {
            Truth::Always => (expr, true),
            Truth::Never => (!expr, false),
            Truth::Open | Truth::NoHistory | Truth::Undecided(_) => continue,
        };
        let grounds = resolver.why(&expr, Basis::Held);
        assert!(!grounds.is_empty(), "seed {seed}: a settled fact has grounds");
        for ground in grounds {
            let set = ground.reasons;
            let forced = |set: &[Reason]| !seen(reference, set, Some(m)).contains(&!wanted);
            assert!(forced(&set), "seed {seed}: {set:?} alone forces {m:?} {wanted}");
            for dropped in 0..set.len() {
                let mut rest = set.clone();
                rest.remove(dropped);
                assert!(!forced(&rest), "seed {seed}: {set:?} needs all its members");
            }
        }
    }
}

#[test]
fn engine_agrees_with_the_reference_on_small_types() {
    let covered = crate::seeds(TYPES).into_par_iter().map(compare);
    let covered = covered.reduce(Covered::default, |a, b| Covered {
        contradictory: a.contradictory + b.contradictory,
        supposed: a.supposed + b.supposed,
    });
    assert!(covered.contradictory > 50, "the types cover contradictions: {}", covered.contradictory);
    assert!(covered.supposed > 30, "what is supposed changes something: {}", covered.supposed);
}
