//! `rework`.

use super::Verb;
use crate::answers::{rework_page, rework_report};
use crate::cli::args::Which;
use crate::cli::desk::Desk;
use crate::cli::{Answer, Trouble};

/// The rework list of a jig: what is kept, made, exchanged and corrected, in which order, what is surveyed afterwards
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct ReworkVerb {
    /// The jig (default: every jig)
    jig: Option<String>,
    #[command(flatten)]
    which: Which,
}

impl Verb for ReworkVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        desk.supposing(self.which.airframe.as_deref(), &self.which, |question| {
            let reports = question.of_jigs(self.jig.as_deref(), &self.which, rework_report)?;
            Ok(question.answer_on_jigs(&reports, self.jig.is_none(), rework_page))
        })
    }
}
