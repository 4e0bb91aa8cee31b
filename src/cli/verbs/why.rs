//! `why`.

use super::Verb;
use crate::answers::{why_page, why_report};
use crate::cli::args::Which;
use crate::cli::desk::Desk;
use crate::cli::question::AnswerPart;
use crate::cli::{Answer, Trouble, pick};
use std::collections::BTreeSet;

/// The reason for a modification, a position or a plate, down to the evidence and the line
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct WhyVerb {
    /// A modification (`TM048`), a position (`27-1400/10`) or a plate drawing (`J14-07`)
    subject: String,
    #[command(flatten)]
    which: Which,
}

impl Verb for WhyVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        desk.supposing(self.which.airframe.as_deref(), &self.which, |question| {
            let subject = pick::why_subject(question.book(), &self.subject)?;
            let (mut resolver, asked) = question.resolver(self.which.airframe.as_deref(), &self.which)?;
            let report = why_report(&mut resolver, asked, subject, &question.project.sources);
            let part = AnswerPart::of(&report, || why_page(&report));
            Ok(question.answer(&[resolver.history().id], BTreeSet::new(), &[part]))
        })
    }
}
