//! `rack`.

use super::Verb;
use crate::cli::args::Whose;
use crate::cli::desk::Desk;
use crate::cli::question::{Part, no_bill};
use crate::cli::{Answer, Trouble};
use crate::report::{rack_report, rack_text};
use std::collections::BTreeSet;

/// The parts on the rack compared with a state: matches (by record), wrong variant, hand or issue, not needed, undecided
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Rack {
    #[command(flatten)]
    whose: Whose,
}

impl Verb for Rack {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        desk.supposing(self.whose.named(), &self.whose.which, |question| {
            let (mut resolver, asked) = question.resolver(self.whose.named(), &self.whose.which)?;
            let report = rack_report(&mut resolver, asked);
            let report = report.map_err(|why| no_bill(&why, question.book()))?;
            let part = Part::of(&report, |style| rack_text(&report, style));
            Ok(question.told(&[resolver.history().id], BTreeSet::new(), &[part]))
        })
    }
}
