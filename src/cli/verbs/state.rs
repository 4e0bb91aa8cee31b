//! `state`.

use super::Verb;
use crate::answers::{StateFilter, state_page, state_report};
use crate::cli::args::Whose;
use crate::cli::desk::Desk;
use crate::cli::question::{AnswerPart, record_of};
use crate::cli::{Answer, Trouble, pick};

/// Every modification of an airframe: in or out, by which form, since when, and why
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct StateVerb {
    #[command(flatten)]
    whose: Whose,
    /// Only what is not settled alike with and without the doubtful claims
    #[arg(long)]
    open: bool,
    /// Only this modification; may be given again
    #[arg(long = "mod", value_name = "NUMBER")]
    mods: Vec<String>,
}

impl Verb for StateVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        desk.supposing(self.whose.named(), &self.whose.which, |question| {
            let mut filter = StateFilter { open: self.open, mods: Vec::new() };
            for text in &self.mods {
                filter.mods.extend(pick::mods(question.book(), text)?);
            }
            let (mut resolver, asked) = question.resolver(self.whose.named(), &self.whose.which)?;
            let report = state_report(&mut resolver, asked, &filter);
            let records = filter.mods.iter().filter_map(|m| record_of(&question.model.mods[*m].place)).collect();
            let part = AnswerPart::of(&report, || state_page(&report));
            Ok(question.answer(&[resolver.history().id], records, &[part]))
        })
    }
}
