//! `made`.

use super::Verb;
use crate::answers::{made_page, made_report};
use crate::cli::desk::Desk;
use crate::cli::question::AnswerPart;
use crate::cli::{Answer, Trouble, pick};
use crate::jig::examine::Examiner;
use std::collections::BTreeSet;

/// How each part was made: material and certificate, what it was formed on and whether that was right on the day, who did
/// and who inspected each stage
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct MadeVerb {
    /// A part number (default: all parts made)
    part: Option<String>,
    /// Only those that are for this airframe, or for none
    #[arg(long, short, value_name = "SERIAL")]
    airframe: Option<String>,
}

impl Verb for MadeVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        let question = desk.question()?;
        let part = self.part.as_ref().map(|part| pick::part(question.book(), part)).transpose()?;
        let serial = self.airframe.as_deref();
        let airframe = serial.map(|serial| pick::airframe(question.book(), Some(serial))).transpose()?;
        let examiner = Examiner::new(question.model);
        let report = made_report(question.model, part, airframe, &examiner, &question.project.sources);
        let part = AnswerPart::of(&report, || made_page(&report));
        Ok(question.answer(&[], BTreeSet::new(), &[part]))
    }
}
