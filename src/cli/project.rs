//! Finding the project folder, and which findings touch what was asked.

use super::Trouble;
use crate::finding::{Finding, Label, Place, RecordRef, Severity};
use crate::project::Project;
use crate::source::find_project;
use crate::source::raw::Record;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Opens the project folder: the given one, or the nearest from the current one upwards.
pub(super) fn open(given: Option<&Path>, here: &Path) -> Result<Project, Trouble> {
    Ok(Project::open(&folder(given, here)?)?)
}

/// The records of an airframe's dossier, those included that could not be taken in.
pub(super) fn records_of<'p>(project: &'p Project, serial: &'p str) -> impl Iterator<Item = RecordRef> + 'p {
    let of_airframe = move |record: &Record| record.airframe() == Some(serial);
    project.records.iter().filter(move |(_, record)| of_airframe(record)).map(|(at, _)| *at)
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
