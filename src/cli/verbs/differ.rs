//! `differ`.

use super::Verb;
use super::older::Older;
use crate::answers::{Picked, differ_page, differ_report, since_page};
use crate::cli::args::{Other, Which};
use crate::cli::desk::Desk;
use crate::cli::pick::{self, Book};
use crate::cli::question::{AnswerPart, basis_of, resolver_of};
use crate::cli::{Answer, Trouble, suppose};
use crate::resolve::Target;
use std::collections::BTreeSet;
use std::path::PathBuf;

/// What differs between two states, and what stays; or what changed since an older copy of the project
///
/// A supposition is made of the second state. With `--older` the same state is asked of here and of an older copy: which
/// answers changed, and because of which records.
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct DifferVerb {
    #[command(flatten)]
    which: Which,
    #[command(flatten)]
    other: Other,
    /// With the doubtful claims held as well
    #[arg(long, conflicts_with = "older")]
    doubtful: bool,
    /// What changed since this older copy: a project folder, such as a checkout, or the file of a build book
    #[arg(
        long,
        value_name = "PATH",
        conflicts_with_all = ["with-airframe", "with-on", "with-build", "suppose", "without"]
    )]
    older: Option<PathBuf>,
}

impl Verb for DifferVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        let question = desk.question()?;
        if let Some(path) = &self.older {
            let (mut resolver, asked) = question.resolver(self.which.airframe.as_deref(), &self.which)?;
            let older = Older::open(desk, path)?;
            let report = older.since(&question, &mut resolver, asked)?;
            let part = AnswerPart::of(&report, || since_page(&report));
            return Ok(question.answer(&[resolver.history().id], BTreeSet::new(), &[part]));
        }
        let (which, other) = (&self.which, &self.other);
        let first_which = Which { suppose: Vec::new(), without: Vec::new(), ..which.clone() };
        let (mut first, asked) = question.resolver(which.airframe.as_deref(), &first_which)?;
        let named = other.airframe.as_deref().or(which.airframe.as_deref());
        let airframe = pick::airframe(question.book(), named)?;
        let mut model = question.model.clone();
        suppose::apply(question.project, &mut model, airframe, which)?;
        let book = Book { model: &model, sources: &question.project.sources };
        let picks = other.picks();
        let same_airframe = airframe == first.history().id;
        let (target, picked) = match (&picks.on, &picks.build) {
            (None, None) if same_airframe => (first.target(), asked.picked),
            (None, None) => (Target { day: first.target().day, build_state: None }, Picked::Date),
            _ => pick::target(book, airframe, &picks)?,
        };
        let (mut second, mut other_asked) = resolver_of(&model, question.graph, airframe, target, picked)?;
        other_asked.supposed = suppose::supposed_words(which);
        let basis = basis_of(self.doubtful);
        let report = differ_report(&mut first, asked, &mut second, other_asked, basis);
        let part = AnswerPart::of(&report, || differ_page(&report));
        Ok(question.answer(&[first.history().id, airframe], BTreeSet::new(), &[part]))
    }
}
