//! The two engines of the propositional core on one task: `cargo bench --bench core`.
//!
//! The task is the one that every `state` asks: of each variable of a history-like problem (chains of requirements and
//! exclusions over several days, what is in stays in, some days pinned by claims), can it be true, can it be false? The
//! SAT solver is asked question by question; the decision diagram is built whole and asked by conjunction. Both must
//! give the same answers. Printed is how many times as long the diagram took.

use modstate::prop::{Decider, Diagrams, Expr, Lit};
use std::io::Write as _;
use std::time::{Duration, Instant};

/// Days of a problem.
const DAYS: u32 = 6;

struct Problem {
    vars: u32,
    requirements: Vec<Expr>,
}

/// Variable of modification `m` on day `d`, modification by modification.
fn at(m: u32, d: u32) -> Expr {
    Expr::var(m * DAYS + d)
}

fn problem(mods: u32, seed: u64) -> Problem {
    let mut state = seed | 1;
    let mut below = |n: u32| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        u32::try_from(state % u64::from(n)).expect("smaller than n")
    };
    let mut requirements = Vec::new();
    for m in 0..mods {
        for d in 1..DAYS {
            requirements.push(at(m, d - 1).implies(at(m, d)));
        }
        if m > 0 && below(3) > 0 {
            let other = below(m);
            requirements.extend((0..DAYS).map(|d| at(m, d).implies(at(other, d))));
        }
        if m > 1 && below(5) == 0 {
            let other = below(m);
            requirements.extend((0..DAYS).map(|d| Expr::any([!at(m, d), !at(other, d)])));
        }
        if below(12) == 0 {
            requirements.push(Expr::any([at(m, below(DAYS)), at(below(mods), below(DAYS))]));
        }
    }
    Problem { vars: mods * DAYS, requirements }
}

fn by_sat(problem: &Problem) -> (Duration, Vec<(bool, bool)>) {
    let start = Instant::now();
    let mut decider = Decider::new(problem.vars);
    problem.requirements.iter().for_each(|expr| decider.require(expr));
    let mut possible =
        |var, positive| decider.possible(&[Lit { var, positive }]).expect("the task is within the bounds");
    let answers = (0..problem.vars).map(|var| (possible(var, true), possible(var, false)));
    let answers = answers.collect();
    (start.elapsed(), answers)
}

fn by_diagram(problem: &Problem) -> Option<(Duration, Vec<(bool, bool)>)> {
    let start = Instant::now();
    let diagrams = Diagrams::new(problem.vars, 1 << 20);
    let whole = diagrams.build(&Expr::all(problem.requirements.iter().cloned())).ok()?;
    let never = diagrams.constant(false);
    let mut answers = Vec::new();
    for var in 0..problem.vars {
        let yes = diagrams.and(&whole, &diagrams.build(&Expr::var(var)).ok()?).ok()?;
        let no = diagrams.and(&whole, &diagrams.build(&!Expr::var(var)).ok()?).ok()?;
        answers.push((yes != never, no != never));
    }
    Some((start.elapsed(), answers))
}

fn main() {
    let mut out = std::io::stdout();
    for mods in [2, 4, 6, 8, 10] {
        let problem = problem(mods, 7 + u64::from(mods));
        let (sat, answers) = by_sat(&problem);
        let line = match by_diagram(&problem) {
            Some((diagram, same)) => {
                assert_eq!(answers, same, "both engines give the same answers");
                format!("{:.1} times as long", diagram.as_secs_f64() / sat.as_secs_f64())
            }
            None => "gave up at 1 048 576 nodes".to_owned(),
        };
        writeln!(out, "{mods:>3} modifications over {DAYS} days: the diagram {line}")
            .expect("standard output takes text");
    }
}
