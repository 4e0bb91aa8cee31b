//! Against general-purpose solvers, where a Python with them is at hand: set `MODSTATE_ORACLES` to that interpreter.
//!
//! `tests/oracles/history_oracle.py` reads what `modstate records --format json` gives of the input, and works out
//! states, variants, counts and best repairs with clingo and Ganak. It shares no code with the engine.

use crate::project::{Spec, project};
use crate::small::{Dice, model, nest_some, widen};
use modstate::answers::Entered;
use modstate::finding::RecordRef;
use modstate::graph::Graph;
use modstate::ids::{AirframeId, ModId, PositionId, Table};
use modstate::lower::lower;
use modstate::model::{Model, Statement};
use modstate::quantity::{Config, Day};
use modstate::resolve::{Basis, Fitted, Limits, Resolver, Target, Truth};
use modstate::schema::{Record, Standing};
use modstate::source::{read_project, read_texts};
use rayon::prelude::*;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::io::Write as _;
use std::path::Path;

/// How many types: enough in a debug build to catch a slip, all of them in a release build.
const SMALL: u64 = if cfg!(debug_assertions) { 30 } else { 150 };
/// As many as the oracle has to agree on at sizes of 60 to 400 modifications.
const GENERATED: u64 = if cfg!(debug_assertions) { 8 } else { 200 };

/// Of how many positions of a made-up type the states are counted.
const COUNTED: usize = 12;

/// What is wrong in what the oracle is given, and how it is made so.
type Fault = (&'static str, fn(&mut Value));

/// A project, what is asked of its airframes, and what is done to it on the way to the oracle.
struct Case {
    name: String,
    model: Model,
    records: Vec<(RecordRef, Record)>,
    asks: Vec<Ask>,
    /// Whether the oracle looks at every day, not only at those that its argument says matter.
    every_day: bool,
    /// A fault put into what the oracle is given, so that its answers must differ.
    fault: Option<Fault>,
}

struct Ask {
    airframe: AirframeId,
    target: Target,
    /// The positions whose states are counted.
    count: Vec<PositionId>,
}

impl Case {
    fn job(&self) -> Value {
        let mut entered = serde_json::to_value(Entered::of(&self.model, &self.records)).expect("names and numbers");
        if let Some((_, fault)) = self.fault {
            let sound = entered.clone();
            fault(&mut entered);
            assert_ne!(entered, sound, "{}: the fault changes something", self.name);
        }
        let asks = self.asks.iter().map(|ask| {
            let airframe = &self.model.airframes[ask.airframe];
            let count = ask.count.iter().map(|position| self.model.positions.name(*position));
            json!({
                "airframe": airframe.serial.text,
                "date": ask.target.day.to_string(),
                "build_state": ask.target.build_state.map(|state| airframe.build_states.name(state)),
                "count": count.collect::<Vec<_>>(),
            })
        });
        let asks: Vec<Value> = asks.collect();
        json!({ "job": self.name, "entered": entered, "asks": asks, "every_day": self.every_day })
    }
}

/// What the oracle answers to every ask of every case, in their order; `None` if there is no oracle.
fn ask_the_oracle(cases: &[Case]) -> Option<Vec<Value>> {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let (asked, answered) = (folder.path().join("jobs"), folder.path().join("answers"));
    let lines: Vec<String> = cases.par_iter().map(|case| format!("{}\n", case.job())).collect();
    std::fs::write(&asked, lines.concat()).expect("a temporary file");
    if let Err(reported) = crate::python::ask("history_oracle.py", &[&asked, &answered])? {
        panic!("{reported}");
    }
    let text = std::fs::read_to_string(&answered).expect("the oracle writes its answers");
    Some(text.lines().map(|line| serde_json::from_str(line).expect("JSON")).collect())
}

/// In which the engine's answers to an ask differ from the oracle's.
struct Comparison<'a> {
    basis: Basis,
    given: &'a Value,
    has_history: bool,
    found: Vec<String>,
}

impl Comparison<'_> {
    fn same(&mut self, what: &str, engine: &str, oracle: Option<&str>) {
        // Where no history at all is consistent there is no answer. Both give one all the same for what has no bearing
        // on the contradiction, and each draws that line for itself.
        let both = self.has_history || (engine != "none" && oracle != Some("none"));
        if both && Some(engine) != oracle {
            self.found.push(format!("{:?} {what}: engine {engine}, oracle {oracle:?}", self.basis));
        }
    }

    fn mods(&mut self, model: &Model, resolver: &mut Resolver<'_>) {
        for m in model.mods.ids() {
            let answer = resolver.modification(m, self.basis);
            let name = model.mods.name(m);
            let truths = [answer.embodied, answer.by_production, answer.by_retrospective];
            for (n, truth) in truths.into_iter().enumerate() {
                let oracle = self.given["modifications"][name][n].as_str();
                self.same(&format!("{name} ({n})"), &word(truth), oracle);
            }
        }
        if let Some(states) = self.given["states"].as_str() {
            let counted = resolver.count_all(self.basis).map_or_else(|limit| limit.to_string(), |n| n.to_string());
            self.same("states of the whole airframe", &counted, Some(states));
        }
    }

    fn position(&mut self, model: &Model, resolver: &mut Resolver<'_>, position: PositionId) {
        let name = model.positions.name(position);
        let outcomes = resolver.outcomes(position, self.basis);
        let variants = resolver.outcomes_when(position);
        let given = &self.given["positions"][name];
        let expected: BTreeSet<String> = variants.iter().map(|(fitted, _)| key(model, *fitted)).collect();
        let named: BTreeSet<String> = given.as_object().into_iter().flatten().map(|(key, _)| key.clone()).collect();
        if expected != named {
            self.found.push(format!("{name}: engine {expected:?}, oracle {named:?}"));
        }
        for (fitted, _) in &variants {
            let truth = outcomes.iter().find(|outcome| outcome.fitted == *fitted).map_or(Truth::Never, |o| o.truth);
            let key = key(model, *fitted);
            self.same(&format!("{name} {key}"), &word(truth), given[&key].as_str());
        }
        let counts = &self.given["counts"][name];
        if counts.is_object() && self.has_history {
            let slice: BTreeSet<ModId> = variants.iter().flat_map(|(_, when)| Resolver::depends_on(when)).collect();
            let whens: Vec<_> = variants.iter().map(|(_, when)| when.clone()).collect();
            match resolver.count(&slice, &whens, self.basis) {
                Ok(counted) => {
                    self.same(&format!("states of {name}"), &counted.all.to_string(), counts["all"].as_str());
                    for ((fitted, _), each) in variants.iter().zip(&counted.each) {
                        let key = key(model, *fitted);
                        let oracle = counts["each"][&key].as_str();
                        self.same(&format!("states of {name} {key}"), &each.to_string(), oracle);
                    }
                }
                Err(limit) => self.found.push(format!("{:?} states of {name}: {limit}", self.basis)),
            }
        }
    }
}

fn word(truth: Truth) -> String {
    match truth {
        Truth::Always => "yes".into(),
        Truth::Never => "no".into(),
        Truth::Open => "open".into(),
        Truth::NoHistory => "none".into(),
        Truth::Undecided(limit) => limit.to_string(),
    }
}

fn key(model: &Model, fitted: Option<Fitted>) -> String {
    match fitted {
        Some(Fitted::Part(part, quantity)) => format!("{} x{quantity}", model.parts.name(part)),
        Some(Fitted::Nothing) => "nothing".into(),
        Some(Fitted::Gap) => "gap".into(),
        None => "no assembly".into(),
    }
}

/// Every combination of one repair of each component, as what all of them drop together.
fn combined(components: &[Vec<Vec<String>>]) -> BTreeSet<BTreeSet<String>> {
    let mut combined = BTreeSet::from([BTreeSet::new()]);
    for repairs in components {
        let of = |so_far: &BTreeSet<String>| -> Vec<BTreeSet<String>> {
            repairs.iter().map(|repair| so_far.iter().chain(repair).cloned().collect()).collect()
        };
        combined = combined.iter().flat_map(of).collect();
    }
    combined
}

fn repairs(model: &Model, resolver: &Resolver<'_>) -> Vec<Vec<Vec<String>>> {
    let claims = &model.airframes[resolver.history().id].claims;
    let named = |repair: Vec<_>| repair.into_iter().map(|claim| claims.name(claim).to_owned()).collect();
    let components = resolver.contradictions().into_iter();
    components.map(|component| component.repairs.expect("few repairs").into_iter().map(named).collect()).collect()
}

/// In what the engine and the oracle differ about one ask.
fn differences(case: &Case, graph: &Graph, ask: &Ask, answer: &Value) -> Vec<String> {
    let model = &case.model;
    let mut resolver = Resolver::new(model, graph, ask.airframe, ask.target, Limits::default()).expect("it was built");
    let mut found = Vec::new();
    for (basis, name) in [(Basis::Firm, "firm"), (Basis::Held, "held")] {
        let given = &answer[name];
        let mut comparison = Comparison { basis, given, has_history: given["states"].is_string(), found: Vec::new() };
        let consistent = resolver.is_consistent(basis);
        comparison.same("consistent", &consistent.to_string(), Some(&given["consistent"].to_string()));
        comparison.mods(model, &mut resolver);
        for position in model.positions.ids() {
            comparison.position(model, &mut resolver, position);
        }
        found.extend(comparison.found);
    }
    if resolver.is_consistent(Basis::Held) {
        let oracle: Vec<Vec<Vec<String>>> = serde_json::from_value(answer["held"]["repairs"].clone()).expect("lists");
        let (engine, oracle) = (combined(&repairs(model, &resolver)), combined(&oracle));
        if engine != oracle {
            found.push(format!("best repairs: engine {engine:?}, oracle {oracle:?}"));
        }
    }
    found
}

/// Asks of every airframe: each named build state, and the state on a day.
fn asks(model: &Model, day: Day, count: &[PositionId]) -> Vec<Ask> {
    let mut asks = Vec::new();
    for (airframe, _, held) in model.airframes.iter() {
        let on = (held.built.end.is_some_and(|built| built <= day)).then_some(Target { day, build_state: None });
        let named = held.build_states.iter();
        let named = named.map(|(id, _, state)| Target { day: state.date, build_state: Some(id) });
        asks.extend(named.chain(on).map(|target| Ask { airframe, target, count: count.to_vec() }));
    }
    asks
}

/// A small type, which holds more contradictions than a real one.
fn small(seed: u64) -> Case {
    let mut dice = Dice::new(seed + 1_000_000);
    let mods = 2 + dice.below(6);
    let claims = dice.below(9);
    let (mut model, airframe) = model(&mut dice, mods, claims);
    nest_some(&mut dice, &mut model);
    widen(&mut dice, &mut model, airframe);
    let day = Day(15 + i32::try_from(dice.below(8)).unwrap());
    let count: Vec<PositionId> = model.positions.ids().collect();
    let asks = asks(&model, day, &count);
    Case {
        name: format!("small {seed}"),
        model,
        records: Vec::new(),
        asks,
        every_day: seed.is_multiple_of(3),
        fault: None,
    }
}

/// A made-up type of 60 to 400 modifications with three airframes. In every other one some claims are made doubtful,
/// forgotten or turned round, so that they no longer agree.
fn generated(index: u64) -> Case {
    let mut dice = Dice::new(index + 2_000_000);
    let modifications = 60 + usize::try_from(index * 340 / (GENERATED - 1)).expect("a small number");
    let spec = Spec {
        modifications,
        retrospective: 40 + dice.below(40),
        largest_cluster: 10 + dice.below(30),
        positions: modifications + 90,
        parts: 2 * modifications + 140,
        airframes: 3,
        unrecorded: 6 + dice.below(modifications / 5),
        by_window: 3 + dice.below(8),
        ..Spec::named("small")
    };
    let reading = read_texts(project(&spec, index));
    let (mut model, _) = lower(&reading.records, &reading.lost, &Config::built_in());
    if index % 2 == 1 {
        let airframes: Vec<AirframeId> = model.airframes.ids().collect();
        for airframe in airframes {
            disturb(&mut dice, &mut model, airframe);
        }
    }
    let every = model.positions.len().div_ceil(COUNTED);
    let count: Vec<PositionId> = model.positions.ids().skip(dice.below(every)).step_by(every).collect();
    let day = model.airframes.iter().filter_map(|(_, _, airframe)| airframe.built.end).max().expect("airframes");
    let day = Day(day.0 + i32::try_from(dice.below(4000)).expect("a few thousand days"));
    let asks = one_ask_each(&mut dice, asks(&model, day, &count));
    Case { name: format!("generated {index}"), model, records: reading.records, asks, every_day: false, fault: None }
}

/// One ask of each airframe, picked by the dice.
fn one_ask_each(dice: &mut Dice, asks: Vec<Ask>) -> Vec<Ask> {
    let mut kept: Vec<(usize, Ask)> = Vec::new();
    for ask in asks {
        match kept.last_mut() {
            Some((of, last)) if last.airframe == ask.airframe => {
                *of += 1;
                if dice.once_in(*of) {
                    *last = ask;
                }
            }
            _ => kept.push((1, ask)),
        }
    }
    kept.into_iter().map(|(_, ask)| ask).collect()
}

/// Makes some claims of an airframe doubtful, forgets some and turns some round.
fn disturb(dice: &mut Dice, model: &mut Model, airframe: AirframeId) {
    let held = model.airframes.get_mut(airframe);
    let mut claims = Table::default();
    for (_, name, claim) in held.claims.iter() {
        let mut claim = claim.clone();
        if dice.once_in(4) {
            claim.standing = Standing::Doubtful;
        }
        if dice.once_in(10) {
            continue;
        }
        if claim.assumed.is_none() && dice.once_in(15) {
            claim.says = match claim.says {
                Statement::Embodied(m, _) => Statement::NotEmbodied(m),
                Statement::NotEmbodied(m) => Statement::Embodied(m, None),
                Statement::SeenAt(position, Some(_)) => {
                    let candidates = model.positions[position].candidates.len();
                    Statement::SeenAt(position, Some(dice.below(candidates)))
                }
                other @ (Statement::Removed(_)
                | Statement::SeenAt(..)
                | Statement::SeenSplice(..)
                | Statement::SeenPattern(_)) => other,
            };
        }
        claims.insert(name, claim).expect("names are unique in the table that they come from");
    }
    held.claims = claims;
}

fn demo(fault: Option<Fault>) -> Case {
    let reading = read_project(&Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-airframe")).expect("the demo");
    let (model, _) = lower(&reading.records, &reading.lost, &Config::built_in());
    let count: Vec<PositionId> = if fault.is_none() { model.positions.ids().collect() } else { Vec::new() };
    let day = modstate::quantity::Window::parse("1953-06-01").ok().and_then(|window| window.day()).expect("a day");
    let asks = asks(&model, day, &count);
    Case { name: "demo".into(), model, records: reading.records, asks, every_day: false, fault }
}

fn entry<'a>(list: &'a mut Value, field: &str, name: &str) -> &'a mut Value {
    let items = list.as_array_mut().expect("a list");
    items.iter_mut().find(|item| item[field] == name || item[field]["text"] == name).expect("an entry of this name")
}

/// Faults in what the oracle is given, each of which changes some answer about the demo.
const FAULTS: &[Fault] = &[
    ("a claim is withheld", |entered| {
        let claims = &mut entry(&mut entered["airframes"], "serial", "4T188")["claims"];
        claims.as_array_mut().expect("a list").retain(|claim| claim["id"] != "C1");
    }),
    ("a doubtful claim counts as firm", |entered| {
        let claims = &mut entry(&mut entered["airframes"], "serial", "4T214")["claims"];
        entry(claims, "id", "C13")["standing"] = json!("Firm");
    }),
    ("a cut-in on the line comes later", |entered| {
        let cut_in = &mut entry(&mut entered["modifications"], "number", "TM048")["production"]["written"]["line"][0];
        cut_in[1] = json!(200);
    }),
    ("a modification has lost its retrospective form", |entered| {
        entry(&mut entered["modifications"], "number", "TM061")["retrospective"] = Value::Null;
    }),
];

#[test]
fn general_purpose_solvers_agree() {
    let mut cases: Vec<Case> = crate::seeds(SMALL).map(small).collect();
    cases.par_extend((0..GENERATED).into_par_iter().map(generated));
    cases.push(demo(None));
    cases.extend(FAULTS.iter().map(|fault| demo(Some(*fault))));
    let Some(answers) = ask_the_oracle(&cases) else { return };
    let mut rest = answers.as_slice();
    let mut pairs = Vec::new();
    for case in &cases {
        let (own, others) = rest.split_at(case.asks.len());
        pairs.push((case, own));
        rest = others;
    }
    assert!(rest.is_empty(), "the oracle answers what it was asked");
    let wrong: Vec<String> = pairs.par_iter().flat_map_iter(|(case, answers)| judged(case, answers)).collect();
    assert!(wrong.is_empty(), "{} disagreements\n{}", wrong.len(), wrong[..wrong.len().min(20)].join("\n"));
    let contradicted = answers.iter().filter(|answer| answer["firm"]["consistent"] == false).count();
    let repaired = answers.iter().filter(|answer| answer["held"]["repairs"] != json!([])).count();
    let reported = format!("{} asks, {contradicted} contradicted, {repaired} repaired", answers.len());
    writeln!(std::io::stdout(), "{reported}").expect("stdout");
    assert!(contradicted > 10 && repaired > 10, "the types cover contradictions: {reported}");
}

/// What is wrong with the answers to a case: disagreements, or, where a fault was put in, that there are none.
fn judged(case: &Case, answers: &[Value]) -> Vec<String> {
    let graph = Graph::new(&case.model);
    let mut found = Vec::new();
    for (ask, answer) in case.asks.iter().zip(answers) {
        let serial = case.model.airframes.name(ask.airframe);
        let said = differences(case, &graph, ask, answer).into_iter();
        found.extend(said.map(|said| format!("{} {serial} {}: {said}", case.name, ask.target.day)));
    }
    match (case.fault, found.is_empty()) {
        (None, _) => found,
        (Some((what, _)), true) => vec![format!("{}: nobody saw that {what}", case.name)],
        (Some(_), false) => Vec::new(),
    }
}
