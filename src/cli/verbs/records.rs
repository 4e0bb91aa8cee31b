//! `records`.

use super::Verb;
use crate::answers::{records_report, records_text};
use crate::cli::desk::Desk;
use crate::cli::question::{Part, told};
use crate::cli::{Answer, Trouble};

/// What was read: how many records of each kind, file by file and airframe by airframe; as JSON, all that they say
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Records {}

impl Verb for Records {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        let project = desk.project()?;
        let report = records_report(&project.model, &project.records, &project.sources);
        let part = Part::of(&report, |style| records_text(&report, style));
        Ok(told(project, &[part], &[], (desk.format, desk.style)))
    }
}
