//! Whole types at the sizes to plan for: `cargo bench --bench sizes`.
//!
//! Three tasks, each from files in memory to the last answer: everything about one airframe with 60 open facts on a
//! type of 1,500 modifications; state and variants of one with 500 open facts on a type of 3,000; one frame on a fleet
//! of 3,500. A single size can be named: `cargo bench --bench sizes -- one stress fleet`.
//!
//! Where `MODSTATE_ORACLES` names a Python with clingo and Ganak (see `tests/all`), the same task is given to them, less
//! what they are not asked (questions), and the ratio is printed: how many times as long they take. Of a fleet they are
//! given 50 airframes, one after the other on one core, as is ours for this comparison.

#[path = "../generated/project/mod.rs"]
mod project;

use modstate::answers::Entered;
use modstate::bill::{BillScope, Request, bill};
use modstate::check::{CheckScope, check};
use modstate::finding::RecordRef;
use modstate::graph::Graph;
use modstate::ids::{AirframeId, FrameId, PositionId};
use modstate::lower::lower;
use modstate::model::Model;
use modstate::quantity::Config;
use modstate::resolve::{Basis, IssueView, Limits, Resolver, Target, Truth};
use modstate::schema::Record;
use modstate::source::{Lost, read_texts};
use project::Spec;
use rayon::prelude::*;
use serde_json::json;
use std::fmt::Write as _;
use std::io::Write as _;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

/// How many airframes of one type a fleet has.
const FLEET: usize = 3500;
/// How many the solvers are given.
const COMPARED: usize = 50;

fn main() {
    let asked: Vec<String> = std::env::args().skip(1).filter(|arg| !arg.starts_with('-')).collect();
    for (name, task) in [("one", one as fn() -> String), ("stress", stress), ("whole", whole), ("fleet", fleet)] {
        if asked.is_empty() || asked.iter().any(|wanted| wanted == name) {
            writeln!(std::io::stdout(), "{}", task()).expect("standard output takes it");
        }
    }
}

/// A type read from its files.
struct Project {
    records: Vec<(RecordRef, Record)>,
    model: Model,
    graph: Graph,
    /// Its size, and how long it took to read.
    said: String,
}

fn read(spec: &Spec) -> Project {
    let texts = project::project(spec, 1);
    let bytes: usize = texts.iter().map(|(_, text)| text.len()).sum();
    let start = Instant::now();
    let reading = read_texts(texts);
    let (model, findings) = lower(&reading.records, &reading.lost, &Config::built_in());
    let graph = Graph::new(&model);
    let took = start.elapsed();
    assert!(reading.findings.is_empty() && findings.is_empty(), "the generated type is clean");
    let said = format!(
        "{} modifications, {} positions, {} parts, {} airframes; {} MB read in {}",
        model.mods.len(),
        model.positions.len(),
        model.parts.len(),
        model.airframes.len(),
        bytes / 1_000_000,
        seconds(took)
    );
    Project { records: reading.records, model, graph, said }
}

/// How long the solvers take for the same task, as a line with the ratio to how long it took here.
fn beside(
    project: &Project,
    asks: &[(AirframeId, &[PositionId])],
    only: Option<&[PositionId]>,
    here: Duration,
) -> String {
    let Some(python) = std::env::var_os("MODSTATE_ORACLES") else {
        return "\n  not compared: MODSTATE_ORACLES names no Python".to_owned();
    };
    let model = &project.model;
    let names = |positions: &[PositionId]| -> Vec<&str> {
        positions.iter().map(|position| model.positions.name(*position)).collect()
    };
    let asks = asks.iter().map(|(airframe, count)| {
        let serial = model.airframes.name(*airframe);
        let date = target(model, *airframe).day.to_string();
        json!({ "airframe": serial, "date": date, "build_state": null, "count": names(count) })
    });
    let asks: Vec<_> = asks.collect();
    let entered = serde_json::to_value(Entered::of(model, &project.records)).expect("names and numbers");
    let job = json!({ "job": "timed", "entered": entered, "asks": asks, "only": only.map(names), "every_day": false });
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("job");
    std::fs::write(&path, job.to_string()).expect("a temporary file");
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/oracles/timed.py");
    let run = Command::new(python).arg("-B").arg(script).arg(&path).output().expect("the interpreter runs");
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    let took: f64 = String::from_utf8_lossy(&run.stdout).trim().parse().expect("the script prints seconds");
    format!("\n  clingo and Ganak: {took:.1} s, {:.0} times as long", took / here.as_secs_f64())
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

/// Whether one of the positions is open.
fn is_open(resolver: &mut Resolver<'_>, places: &[PositionId]) -> bool {
    places.iter().any(|position| resolver.outcomes(*position, Basis::Firm).len() > 1)
}

fn one() -> String {
    let project = read(&Spec { retrospective: 80, unrecorded: 170, ..Spec::named("real") });
    let (model, graph, mut said) = (&project.model, &project.graph, project.said.clone());
    let airframe = most_open(model, graph, 60);
    let start = Instant::now();
    let mut step = start;
    let mut resolver = resolver(model, graph, airframe);
    let mut lap = |said: &mut String, what: String| {
        write!(said, "\n  {} {what}", seconds(step.elapsed())).expect("a string takes it");
        step = Instant::now();
    };
    lap(&mut said, "made ready".to_owned());
    let open = state(&mut resolver);
    lap(&mut said, format!("state: {open} modifications open"));
    let open = variants(&mut resolver);
    lap(&mut said, format!("variants: {open} positions open"));
    let all = resolver.count_all(Basis::Firm);
    let mut counted = Vec::new();
    for position in model.positions.ids() {
        let outcomes = resolver.outcomes(position, Basis::Firm);
        if outcomes.len() > 1 {
            let whens: Vec<_> = outcomes.iter().map(|outcome| outcome.when.clone()).collect();
            let slice = whens.iter().flat_map(Resolver::depends_on).collect();
            resolver.count(&slice, &whens, Basis::Firm).expect("within the limits");
            counted.push(position);
        }
    }
    let all = all.map_or_else(|limit| limit.to_string(), |count| format!("{} bits", count.bits()));
    lap(&mut said, format!("counts: all {all}, of {} positions", counted.len()));
    let without_questions = start.elapsed();
    let positions = model.positions.ids().collect();
    let plates = model.plates.ids().collect();
    let questions = resolver.questions(&positions, &plates, Basis::Firm).map_or(0, |found| found.ranked.len());
    lap(&mut said, format!("questions: {questions} ranked"));
    let all = start.elapsed();
    let beside = beside(&project, &[(airframe, &counted)], None, without_questions);
    format!("one airframe: {said}\n  {} in all, {} without questions{beside}", seconds(all), seconds(without_questions))
}

fn stress() -> String {
    let project = read(&Spec { airframes: 24, retrospective: 100, unrecorded: 3000, ..Spec::named("stress") });
    let airframe = most_open(&project.model, &project.graph, 500);
    let start = Instant::now();
    let mut resolver = resolver(&project.model, &project.graph, airframe);
    let mods = state(&mut resolver);
    let after_state = start.elapsed();
    let positions = variants(&mut resolver);
    let all = start.elapsed();
    format!(
        "stress: {}\n  {} state: {mods} modifications open\n  {} in all, with variants: {positions} positions open{}",
        project.said,
        seconds(after_state),
        seconds(all),
        beside(&project, &[(airframe, &[])], None, all)
    )
}

/// Every finding on whole projects, and the bill of the airframe with the most open in each.
fn whole() -> String {
    let mut said = "whole projects:".to_owned();
    for size in ["real", "stress"] {
        let project = read(&Spec::named(size));
        let airframe = most_open(&project.model, &project.graph, 1);
        let start = Instant::now();
        let limits = Limits::default();
        let found = check(&Lost::default(), &project.model, &project.graph, CheckScope::Whole, limits).len();
        let checked = seconds(start.elapsed());
        write!(said, "\n  {size}: {}\n  {checked} every finding: {found}", project.said).expect("a string takes it");
        for weights in [false, true] {
            let start = Instant::now();
            let mut resolver = resolver(&project.model, &project.graph, airframe);
            let scope = BillScope::Airframe;
            let request = Request { scope, basis: Basis::Firm, issues: IssueView::ToMake, weights };
            let bill = bill(&mut resolver, request).expect("there is a bill");
            let open = bill.totals.iter().filter(|total| !total.amount.is_settled()).count();
            let (seconds, with) = (seconds(start.elapsed()), if weights { "with" } else { "without" });
            write!(said, "\n  {seconds} bill {with} materials and mass: {open} of {} totals open", bill.totals.len())
                .expect("a string takes it");
        }
    }
    said
}

/// A fleet with the positions of the frame that is open on the most of the first airframes.
struct Fleet {
    project: Project,
    airframes: Vec<AirframeId>,
    places: Vec<PositionId>,
}

impl Fleet {
    fn new(airframes: usize) -> Fleet {
        let project = read(&Spec { airframes, ..Spec::named("real") });
        let places = |frame: FrameId| -> Vec<PositionId> {
            let segments = project.model.frames[frame].segments.iter();
            segments.flat_map(|segment| project.graph.places_of(segment.part)).map(|(position, _)| position).collect()
        };
        let airframes: Vec<AirframeId> = project.model.airframes.ids().collect();
        let looked_at = airframes.iter().take(COMPARED);
        let mut resolvers: Vec<_> =
            looked_at.map(|airframe| resolver(&project.model, &project.graph, *airframe)).collect();
        let frame = project.model.frames.ids().max_by_key(|frame| {
            let places = places(*frame);
            resolvers.iter_mut().map(|resolver| usize::from(is_open(resolver, &places))).sum::<usize>()
        });
        let places = places(frame.expect("a generated type has frames"));
        drop(resolvers);
        Fleet { project, airframes, places }
    }
    /// How many modifications of an airframe are open, and whether the frame is.
    fn open(&self, airframe: AirframeId) -> (usize, bool) {
        let mut resolver = resolver(&self.project.model, &self.project.graph, airframe);
        let mods = state(&mut resolver);
        (mods, is_open(&mut resolver, &self.places))
    }
}

fn fleet() -> String {
    let whole = Fleet::new(FLEET);
    let start = Instant::now();
    let open: Vec<(usize, bool)> = whole.airframes.par_iter().map(|airframe| whole.open(*airframe)).collect();
    let all = start.elapsed();
    let mods: usize = open.iter().map(|(mods, _)| mods).sum();
    let frames = open.iter().filter(|(_, frame)| *frame).count();
    let some = Fleet::new(COMPARED);
    let start = Instant::now();
    let open = some.airframes.iter().filter(|airframe| some.open(**airframe).1).count();
    let alone = start.elapsed();
    let asks: Vec<(AirframeId, &[PositionId])> = some.airframes.iter().map(|id| (*id, [].as_slice())).collect();
    format!(
        "fleet: {}\n  {} in all; {mods} modifications open, the frame on {frames} airframes\n  {} for {COMPARED} \
         airframes of the type on one core; the frame is open on {open}{}",
        whole.project.said,
        seconds(all),
        seconds(alone),
        beside(&some.project, &asks, Some(&some.places), alone)
    )
}
