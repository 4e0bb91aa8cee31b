//! What the demo is meant to show, and nothing else.

use super::{Project, demo_texts, project, shown};
use modstate::check::{CheckScope, check};
use modstate::graph::Graph;
use modstate::lower::lower;
use modstate::quantity::Config;
use modstate::resolve::Limits;

#[test]
fn the_clean_demo_gives_what_it_is_meant_to_show() {
    let project = project(demo_texts());
    insta::assert_snapshot!(shown(&project, &project.findings()));
}

#[test]
fn the_order_of_records_changes_nothing() {
    let Project { mut reading, model, graph, .. } = project(demo_texts());
    let checked = check(&reading.lost, &model, &graph, CheckScope::Whole, Limits::default());
    reading.records.reverse();
    let (model, _) = lower(&reading.records, &reading.lost, &Config::built_in());
    assert_eq!(check(&reading.lost, &model, &Graph::new(&model), CheckScope::Whole, Limits::default()), checked);
}

#[test]
fn every_finding_says_what_is_wrong_and_what_to_do() {
    for finding in project(demo_texts()).findings() {
        assert!(!finding.message.ends_with('.') && finding.message.len() > 20, "{}", finding.message);
        assert!(finding.help.starts_with(|c: char| c.is_lowercase()), "{}", finding.help);
        assert!(finding.labels.iter().all(|label| !label.text.is_empty()), "{}", finding.message);
    }
}
