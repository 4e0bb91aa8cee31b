//! `jig`.

use super::Verb;
use crate::answers::{jig_page, jig_report};
use crate::cli::args::Which;
use crate::cli::desk::Desk;
use crate::cli::{Answer, Trouble};

/// The plates of a jig compared with a state: right, wrong variant, missing, not needed or undecided
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct JigVerb {
    /// The jig (default: every jig)
    jig: Option<String>,
    #[command(flatten)]
    which: Which,
}

impl Verb for JigVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        desk.supposing(self.which.airframe.as_deref(), &self.which, |question| {
            let reports = question.of_jigs(self.jig.as_deref(), &self.which, jig_report)?;
            Ok(question.answer_on_jigs(&reports, self.jig.is_none(), jig_page))
        })
    }
}
