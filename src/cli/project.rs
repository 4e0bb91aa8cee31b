//! A project folder, read and checked.

use super::Trouble;
use crate::check::{Scope, check};
use crate::finding::{Finding, Label, Place, RecordRef, Severity};
use crate::graph::Graph;
use crate::model::{Config, Model, lower_reading};
use crate::report::{RecordsReport, records_report};
use crate::resolve::Limits;
use crate::source::raw::Record;
use crate::source::{Lost, Sources, find_project, read_project};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// A project folder, read.
pub(super) struct Project {
    pub(super) sources: Sources,
    pub(super) model: Model,
    pub(super) records: Vec<(RecordRef, Record)>,
    lost: Lost,
    /// What was found while the dossiers were read and taken in.
    pub(super) findings: Vec<Finding>,
}

impl Project {
    /// Reads the project folder: the given one, or the nearest from the current one upwards.
    pub(super) fn open(given: Option<&Path>, here: &Path) -> Result<Project, Trouble> {
        Project::read(&folder(given, here)?)
    }

    /// Reads a project folder.
    pub(super) fn read(root: &Path) -> Result<Project, Trouble> {
        let reading = read_project(root)?;
        let (model, lowered) = lower_reading(&reading, &Config::built_in());
        let findings = reading.findings.into_iter().chain(lowered).collect();
        let (sources, records, lost) = (reading.sources, reading.records, reading.lost);
        Ok(Project { sources, model, records, lost, findings })
    }

    /// The records of an airframe's dossier, those included that could not be taken in.
    pub(super) fn records_of(&self, serial: &str) -> impl Iterator<Item = RecordRef> {
        let of_airframe = move |record: &Record| match record {
            Record::Airframe(r) => r.serial == serial,
            Record::Evidence(r) => r.airframe == serial,
            Record::Claim(r) => r.airframe == serial,
            Record::Assumption(r) => r.airframe == serial,
            Record::BuildState(r) => r.airframe == serial,
            Record::Decision(r) => r.airframe == serial,
            Record::Type(_)
            | Record::SerialBlock(_)
            | Record::Drawing(_)
            | Record::Part(_)
            | Record::Assembly(_)
            | Record::Modification(_)
            | Record::OneOf(_)
            | Record::Frame(_)
            | Record::SkinJoint(_)
            | Record::Plate(_)
            | Record::Jig(_)
            | Record::Survey(_)
            | Record::MadePart(_)
            | Record::Concession(_)
            | Record::DeviationPermit(_)
            | Record::FormingTool(_) => false,
        };
        self.records.iter().filter(move |(_, record)| of_airframe(record)).map(|(at, _)| *at)
    }

    /// What was read and taken in.
    pub(super) fn records_report(&self) -> RecordsReport {
        records_report(&self.model, &self.records, &self.sources)
    }

    /// The findings on the folder: all that were made while it was read, and of the others those in scope.
    pub(super) fn check(&self, graph: &Graph, scope: Scope<'_>) -> Vec<Finding> {
        let mut findings = self.findings.clone();
        findings.extend(check((&self.records, &self.lost), &self.model, graph, scope, Limits::default()));
        findings
    }
}

/// The project folder: the given one, or the nearest from the current one upwards.
pub(super) fn folder(given: Option<&Path>, here: &Path) -> Result<PathBuf, Trouble> {
    let Some(folder) = given else { return Ok(find_project(here)?) };
    let folder = here.join(folder);
    let found = find_project(&folder)?;
    let meant = folder.canonicalize().map_err(|error| Trouble::new(error.to_string()))?;
    if found != meant {
        let message = format!("`{}` is no project folder", folder.display());
        return Err(
            Trouble::new(message).help(format!("name the folder that holds `type`: `--project {}`", found.display()))
        );
    }
    Ok(found)
}

/// The findings that stop work and begin in one of these records.
pub(super) fn stops_in(findings: &[Finding], records: &BTreeSet<RecordRef>) -> Vec<Finding> {
    let begins = |finding: &&Finding| match finding.labels.first() {
        Some(Label { place: Place::Record(record, _), .. }) => records.contains(record),
        Some(Label { place: Place::Bytes(..), .. }) | None => false,
    };
    findings.iter().filter(|finding| finding.severity() == Severity::Stop).filter(begins).cloned().collect()
}
