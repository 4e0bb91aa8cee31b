//! `todo`.

use super::Verb;
use crate::answers::{todo_page, todo_report};
use crate::cli::args::Whose;
use crate::cli::desk::Desk;
use crate::cli::question::{AnswerPart, no_bill};
use crate::cli::{Answer, Trouble};
use crate::resolve::Limits;
use crate::shop::todo;
use std::collections::BTreeSet;

/// What is left to make, what of it does not depend on anything open, and what is on hold
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct TodoVerb {
    #[command(flatten)]
    whose: Whose,
    /// Only of a frame (`F14`), of one position (`27-1400/10`) or of one assembly
    #[arg(long, value_name = "SUBJECT")]
    of: Option<String>,
}

impl Verb for TodoVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        desk.supposing(self.whose.named(), &self.whose.which, |question| {
            let scope = question.bill_scope(self.of.as_deref())?;
            let (mut resolver, asked) = question.resolver(self.whose.named(), &self.whose.which)?;
            let list = todo(&mut resolver, scope, Limits::default());
            let list = list.map_err(|why| no_bill(&why, question.book()))?;
            let report = todo_report(&resolver, asked, &list, self.of.clone());
            let part = AnswerPart::of(&report, || todo_page(&report));
            Ok(question.answer(&[resolver.history().id], BTreeSet::new(), &[part]))
        })
    }
}
