//! Clean projects give nothing.

use crate::project::{Spec, project};
use modstate::check::{CheckScope, check};
use modstate::graph::Graph;
use modstate::layout::{Style, render_findings};
use modstate::lower::lower;
use modstate::quantity::Config;
use modstate::resolve::Limits;
use modstate::source::read_texts;

/// Every finding on a made-up project, as it is shown.
fn shown(size: &str, seed: u64) -> String {
    let reading = read_texts(project(&Spec::named(size), seed));
    let (model, lowered) = lower(&reading.records, &reading.lost, &Config::built_in());
    let checked = check(&reading.lost, &model, &Graph::new(&model), CheckScope::Whole, Limits::default());
    let findings: Vec<_> = reading.findings.iter().chain(&lowered).chain(&checked).cloned().collect();
    render_findings(&findings, &reading.sources, Style { width: 100, colour: false, unicode: false })
}

#[test]
fn clean_projects_give_nothing() {
    for seed in 0..if cfg!(debug_assertions) { 8 } else { 200 } {
        let shown = shown("small", seed);
        assert!(shown.is_empty(), "seed {seed}:\n{shown}");
    }
}

#[test]
fn a_clean_project_of_medium_size_gives_nothing() {
    let shown = shown("medium", 1);
    assert!(shown.is_empty(), "{shown}");
}

#[test]
fn clean_projects_of_the_sizes_to_plan_for_give_nothing() {
    for size in ["real", "stress"] {
        let shown = shown(size, 1);
        assert!(shown.is_empty(), "{size}:\n{shown}");
    }
}

#[test]
fn the_same_seed_gives_the_same_project() {
    let small = Spec::named("small");
    assert_eq!(project(&small, 7), project(&small, 7));
    assert_ne!(project(&small, 7), project(&small, 8));
}
