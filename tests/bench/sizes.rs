//! Whole types at the sizes to plan for: `cargo bench --bench sizes`.
//!
//! Three tasks, each from files in memory to the last answer: everything about one airframe with 60 open facts on a
//! type of 1,500 modifications; state and variants of one with 500 open facts on a type of 3,000; one frame on a fleet
//! of 3,500. A single size can be named: `cargo bench --bench sizes -- one stress fleet`.

#[path = "../generated/project/mod.rs"]
mod project;

use modstate::graph::Graph;
use modstate::ids::{AirframeId, FrameId, Id};
use modstate::model::{Config, Model, lower};
use modstate::resolve::{Basis, Limits, Resolver, Target, Truth};
use modstate::source::read_texts;
use project::Spec;
use rayon::prelude::*;
use std::fmt::Write as _;
use std::io::Write as _;
use std::time::{Duration, Instant};

/// How many airframes of one type a fleet has.
const FLEET: usize = 350;

fn main() {
    let asked: Vec<String> = std::env::args().skip(1).filter(|arg| !arg.starts_with('-')).collect();
    for (name, task) in [("one", one as fn() -> String), ("stress", stress), ("fleet", fleet)] {
        if asked.is_empty() || asked.iter().any(|wanted| wanted == name) {
            writeln!(std::io::stdout(), "{}", task()).expect("standard output takes it");
        }
    }
}

/// A type read from its files, with how long that took.
fn read(spec: &Spec) -> (Model, Graph, String) {
    let texts = project::project(spec, 1);
    let bytes: usize = texts.iter().map(|(_, text)| text.len()).sum();
    let start = Instant::now();
    let reading = read_texts(texts);
    let (model, findings) = lower(&reading.records, &Config::built_in());
    let graph = Graph::new(&model);
    let took = start.elapsed();
    assert!(reading.findings.is_empty() && findings.is_empty(), "the generated type is clean");
    let told = format!(
        "{} modifications, {} positions, {} parts, {} airframes; {:.1} MB read in {}",
        model.mods.len(),
        model.positions.len(),
        model.parts.len(),
        model.airframes.len(),
        bytes as f64 / 1e6,
        seconds(took)
    );
    (model, graph, told)
}

fn seconds(took: Duration) -> String {
    format!("{:.3} s", took.as_secs_f64())
}

/// The day of the airframe's first build state.
fn target(model: &Model, airframe: AirframeId) -> Target {
    let states = &model.airframes[airframe].build_states;
    let (_, _, state) = states.iter().next().expect("a generated airframe has a build state");
    Target { day: state.date, build_state: None }
}

fn resolver<'m>(model: &'m Model, graph: &'m Graph, airframe: AirframeId) -> Resolver<'m> {
    Resolver::new(model, graph, airframe, target(model, airframe), Limits::default()).expect("built by then")
}

/// The airframe with the most open modifications; at least as many as the task asks for.
fn most_open(model: &Model, graph: &Graph, least: usize) -> AirframeId {
    let open = model.airframes.ids().map(|id| (state(&mut resolver(model, graph, id)), id));
    let (open, airframe) = open.max().expect("a generated project has airframes");
    assert!(open >= least, "only {open} modifications are open where {least} should be");
    airframe
}

/// How many modifications are open.
fn state(resolver: &mut Resolver<'_>) -> usize {
    let mods = resolver.history().model.mods.ids();
    mods.filter(|m| resolver.modification(*m, Basis::Firm).embodied == Truth::Open).count()
}

/// How many positions are open.
fn variants(resolver: &mut Resolver<'_>) -> usize {
    let positions = resolver.history().model.positions.ids();
    positions.filter(|position| resolver.outcomes(*position, Basis::Firm).len() > 1).count()
}

fn one() -> String {
    let (model, graph, mut told) = read(&Spec { retrospective: 80, unrecorded: 110, ..Spec::named("real") });
    let airframe = most_open(&model, &graph, 60);
    let start = Instant::now();
    let mut step = start;
    let mut resolver = resolver(&model, &graph, airframe);
    let mut lap = |told: &mut String, what: String| {
        write!(told, "\n  {} {what}", seconds(step.elapsed())).expect("a string takes it");
        step = Instant::now();
    };
    lap(&mut told, "made ready".to_owned());
    let open = state(&mut resolver);
    lap(&mut told, format!("state: {open} modifications open"));
    let open = variants(&mut resolver);
    lap(&mut told, format!("variants: {open} positions open"));
    let all = resolver.count_all(Basis::Firm);
    let mut counted = 0;
    for position in model.positions.ids() {
        let outcomes = resolver.outcomes(position, Basis::Firm);
        if outcomes.len() > 1 {
            let whens: Vec<_> = outcomes.iter().map(|outcome| outcome.when.clone()).collect();
            let slice = whens.iter().flat_map(Resolver::depends_on).collect();
            counted += usize::from(resolver.count(&slice, &whens, Basis::Firm).is_ok());
        }
    }
    let all = all.map_or_else(|limit| limit.to_string(), |count| format!("{} bits", count.bits()));
    lap(&mut told, format!("counts: all {all}, of {counted} positions"));
    let positions = model.positions.ids().collect();
    let plates = model.plates.ids().collect();
    let questions = resolver.questions(&positions, &plates, Basis::Firm).map_or(0, |found| found.ranked.len());
    lap(&mut told, format!("questions: {questions} ranked"));
    format!("one airframe: {told}\n  {} in all", seconds(start.elapsed()))
}

fn stress() -> String {
    let (model, graph, told) = read(&Spec { retrospective: 80, unrecorded: 700, ..Spec::named("stress") });
    let airframe = most_open(&model, &graph, 500);
    let start = Instant::now();
    let mut resolver = resolver(&model, &graph, airframe);
    let mods = state(&mut resolver);
    let after_state = start.elapsed();
    let positions = variants(&mut resolver);
    format!(
        "stress: {told}\n  {} state: {mods} modifications open\n  {} in all, with variants: {positions} positions open",
        seconds(after_state),
        seconds(start.elapsed())
    )
}

fn fleet() -> String {
    let (model, graph, told) = read(&Spec { airframes: FLEET, ..Spec::named("real") });
    let start = Instant::now();
    let airframes: Vec<AirframeId> = model.airframes.ids().collect();
    let frame = FrameId::from_index(0);
    let places: Vec<_> = (model.frames[frame].segments.iter())
        .flat_map(|segment| graph.places_of(segment.part))
        .map(|(position, _)| position)
        .collect();
    let open = airframes.par_iter().map(|airframe| {
        let mut resolver = resolver(&model, &graph, *airframe);
        let mods = state(&mut resolver);
        let open = places.iter().filter(|position| resolver.outcomes(**position, Basis::Firm).len() > 1).count();
        (mods, usize::from(open > 0))
    });
    let (mods, frames) = open.reduce(|| (0, 0), |a, b| (a.0 + b.0, a.1 + b.1));
    format!(
        "fleet: {told}\n  {} in all; {mods} modifications open, the frame on {frames} airframes",
        seconds(start.elapsed())
    )
}
