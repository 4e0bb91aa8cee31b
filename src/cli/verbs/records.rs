//! `records`.

use super::Verb;
use crate::answers::{records_page, records_report};
use crate::cli::desk::Desk;
use crate::cli::question::{AnswerPart, answer};
use crate::cli::{Answer, Trouble};

/// What was read: how many records of each kind, file by file and airframe by airframe; as JSON, all that they say
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct RecordsVerb {}

impl Verb for RecordsVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        let project = desk.project()?;
        let report = records_report(&project.model, &project.records, &project.sources);
        let part = AnswerPart::of(&report, || records_page(&report));
        Ok(answer(project, &[part], &[], desk.format, desk.style))
    }
}
