//! `rack`.

use super::Verb;
use crate::answers::{rack_page, rack_report};
use crate::cli::args::Whose;
use crate::cli::desk::Desk;
use crate::cli::question::{AnswerPart, no_bill};
use crate::cli::{Answer, Trouble};
use std::collections::BTreeSet;

/// The parts on the rack compared with a state: matches (by record), wrong variant, hand or issue, not needed, undecided
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct RackVerb {
    #[command(flatten)]
    whose: Whose,
}

impl Verb for RackVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        desk.supposing(self.whose.named(), &self.whose.which, |question| {
            let (mut resolver, asked) = question.resolver(self.whose.named(), &self.whose.which)?;
            let report = rack_report(&mut resolver, asked);
            let report = report.map_err(|why| no_bill(&why, question.book()))?;
            let part = AnswerPart::of(&report, || rack_page(&report));
            Ok(question.answer(&[resolver.history().id], BTreeSet::new(), &[part]))
        })
    }
}
