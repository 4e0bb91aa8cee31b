//! `drawings`.

use super::Verb;
use crate::answers::{drawings_page, drawings_report};
use crate::bill::{BillScope, Request, bill};
use crate::cli::args::Whose;
use crate::cli::desk::Desk;
use crate::cli::question::{AnswerPart, basis_of, no_bill};
use crate::cli::{Answer, Trouble};
use crate::resolve::IssueView;
use std::collections::BTreeSet;

/// The drawing issues that a state needs, compared with the copies held
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct DrawingsVerb {
    #[command(flatten)]
    whose: Whose,
    /// Only those of which no copy is known to be held
    #[arg(long)]
    missing: bool,
    /// With the doubtful claims held as well
    #[arg(long)]
    doubtful: bool,
}

impl Verb for DrawingsVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        desk.supposing(self.whose.named(), &self.whose.which, |question| {
            let (mut resolver, asked) = question.resolver(self.whose.named(), &self.whose.which)?;
            let (scope, basis) = (BillScope::Airframe, basis_of(self.doubtful));
            let request = Request { scope, basis, issues: IssueView::ToMake, weights: false };
            let made = bill(&mut resolver, request).map_err(|why| no_bill(&why, question.book()))?;
            let report = drawings_report(&resolver, asked, &made);
            let part = AnswerPart::of(&report, || drawings_page(&report, self.missing));
            Ok(question.answer(&[resolver.history().id], BTreeSet::new(), &[part]))
        })
    }
}
