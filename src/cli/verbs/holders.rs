//! `holders`.

use super::Verb;
use crate::answers::{holders_page, holders_report};
use crate::cli::desk::Desk;
use crate::cli::question::AnswerPart;
use crate::cli::{Answer, Trouble, pick};
use std::collections::BTreeSet;

/// The frames, assemblies and positions at which a part is a candidate
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct HoldersVerb {
    /// The part number
    part: String,
}

impl Verb for HoldersVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        let question = desk.question()?;
        let part = pick::part(question.book(), &self.part)?;
        let report = holders_report(question.model, question.graph, part);
        Ok(question.answer(&[], BTreeSet::new(), &[AnswerPart::of(&report, || holders_page(&report))]))
    }
}
