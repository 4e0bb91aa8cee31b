//! A project folder, opened: read, taken in, ready to be asked.
//!
//! ```
//! use modstate::project::Project;
//! let part = r#"[Part(number: "HB-31", description: "Seat bracket", source: Made)]"#;
//! let project = Project::from_texts(vec![("type/parts.ron".into(), part.into())]);
//! assert!(project.model.parts.id("HB-31").is_some());
//! ```

use crate::check::accepted::{Checked, apart};
use crate::check::{CheckScope, ahead, check};
use crate::finding::{Finding, RecordRef};
use crate::graph::Graph;
use crate::lower::lower;
use crate::model::Model;
use crate::quantity::{Config, Day};
use crate::resolve::Limits;
use crate::schema::Record;
use crate::source::{Lost, ReadError, Reading, Sources, read_project, read_texts};
use std::path::{Path, PathBuf};

/// A project, read and taken in.
///
/// Invariant: whatever could not be read or taken in has a finding, and is among the model's losses.
#[derive(Debug)]
pub struct Project {
    /// The files.
    pub sources: Sources,
    /// What they say, checked and typed.
    pub model: Model,
    /// Every record that could be read.
    pub records: Vec<(RecordRef, Record)>,
    /// What could not be read.
    pub lost: Lost,
    /// What was found while the dossiers were read and taken in.
    pub findings: Vec<Finding>,
}

impl Project {
    /// Opens a project folder.
    ///
    /// # Errors
    /// If the folder itself cannot be read; a fault in a file is a finding.
    pub fn open(root: &Path) -> Result<Project, ReadError> {
        Ok(Project::of(read_project(root)?))
    }

    /// Opens texts from memory, as if they lay in a project folder: paths below it, and what each file holds.
    #[must_use]
    pub fn from_texts(files: Vec<(PathBuf, String)>) -> Project {
        Project::of(read_texts(files))
    }

    fn of(reading: Reading) -> Project {
        let (model, lowered) = lower(&reading.records, &reading.lost, &Config::built_in());
        let findings = reading.findings.into_iter().chain(lowered).collect();
        let (sources, records, lost) = (reading.sources, reading.records, reading.lost);
        Project { sources, model, records, lost, findings }
    }

    /// The findings on the project: all that were made while it was read, and of the others those in scope.
    #[must_use]
    pub fn check(&self, graph: &Graph, scope: CheckScope<'_>) -> Vec<Finding> {
        let mut findings = self.findings.clone();
        findings.extend(self.check_taken_in(&self.model, graph, scope));
        findings
    }

    /// All findings on the project on a day, those that the workshop accepts apart.
    #[must_use]
    pub fn checked(&self, graph: &Graph, today: Day) -> Checked {
        let mut findings = self.check(graph, CheckScope::Whole);
        findings.extend(ahead(&self.model, today));
        apart(findings, &self.model, &self.sources)
    }

    /// The findings in scope on what was taken in; `model` is the project's own, or that with something supposed.
    #[must_use]
    pub fn check_taken_in(&self, model: &Model, graph: &Graph, scope: CheckScope<'_>) -> Vec<Finding> {
        check(&self.lost, model, graph, scope, Limits::default())
    }
}
