//! `tools`.

use super::Verb;
use crate::answers::{tools_page, tools_report};
use crate::cli::args::{Other, Whose};
use crate::cli::desk::Desk;
use crate::cli::question::{AnswerPart, resolver_of};
use crate::cli::{Answer, Trouble, pick};
use std::collections::BTreeSet;

/// The forming tools compared with a state, or with a second one too: which stay and which change
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct ToolsVerb {
    #[command(flatten)]
    whose: Whose,
    #[command(flatten)]
    other: Other,
}

impl Verb for ToolsVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        desk.supposing(self.whose.named(), &self.whose.which, |question| {
            let (mut resolver, asked) = question.resolver(self.whose.named(), &self.whose.which)?;
            let mut second = None;
            if self.other.is_asked_for() {
                let named = self.other.airframe.as_deref().unwrap_or(&asked.airframe);
                let airframe = pick::airframe(question.book(), Some(named))?;
                let (target, picked) = pick::target(question.book(), airframe, &self.other.picks())?;
                second = Some(resolver_of(question.model, question.graph, airframe, target, picked)?);
            }
            let then = second.as_mut().map(|(resolver, asked)| (resolver, asked.clone()));
            let report = tools_report(&mut resolver, asked, then);
            let part = AnswerPart::of(&report, || tools_page(&report));
            Ok(question.answer(&[resolver.history().id], BTreeSet::new(), &[part]))
        })
    }
}
