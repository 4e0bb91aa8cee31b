//! `records`.

use super::Verb;
use crate::answers::{records_page, records_report};
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
        let part = Part::of(&report, || records_page(&report));
        Ok(told(project, &[part], &[], (desk.format, desk.style)))
    }
}
