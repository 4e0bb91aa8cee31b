//! Checking whole projects: the demo, and copies of it with one fault each.

mod advice;
mod book;
mod broken;
mod causes;
mod demo;
mod questions;
mod said;
mod tables;

use modstate::check::{CheckScope, check};
use modstate::finding::Finding;
use modstate::graph::Graph;
use modstate::layout::{Style, render_findings};
use modstate::lower::lower;
use modstate::model::Model;
use modstate::quantity::Config;
use modstate::resolve::Limits;
use modstate::source::{Reading, read_texts};
use std::path::{Path, PathBuf};

/// The files of the demo, as they stand on disk.
fn demo_texts() -> Vec<(PathBuf, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-airframe");
    let reading = modstate::source::read_project(&root).expect("the demo is there");
    let files = reading.sources.files().iter().map(|file| (file.path.clone(), file.text.clone()));
    // Of scans only the names count.
    let papers = Path::new("airframes/7C537/papers");
    let scans = std::fs::read_dir(root.join(papers)).expect("the demo has scans");
    let scans = scans.map(|entry| (papers.join(entry.expect("a file").file_name()), String::new()));
    files.chain(scans).collect()
}

/// A project read from texts.
struct Project {
    reading: Reading,
    model: Model,
    graph: Graph,
    lowered: Vec<Finding>,
}

fn project(texts: Vec<(PathBuf, String)>) -> Project {
    let reading = read_texts(texts);
    let (model, lowered) = lower(&reading.records, &reading.lost, &Config::built_in());
    let graph = Graph::new(&model);
    Project { reading, model, graph, lowered }
}

impl Project {
    /// Every finding on the project, from reading to checking.
    fn findings(&self) -> Vec<Finding> {
        let checked = check(&self.reading.lost, &self.model, &self.graph, CheckScope::Whole, Limits::default());
        self.reading.findings.iter().chain(&self.lowered).cloned().chain(checked).collect()
    }
}

/// The findings as they are shown, 80 columns wide and without colour.
fn shown(project: &Project, findings: &[Finding]) -> String {
    render_findings(findings, &project.reading.sources, Style { width: 80, colour: false, unicode: true })
}
