//! `book`.

use super::{Verb, drawing_only};
use crate::book::{BookCovers, BookOf, build_book};
use crate::cli::args::{Format, Whose};
use crate::cli::desk::Desk;
use crate::cli::question::AnswerPart;
use crate::cli::{Answer, Trouble};
use std::collections::BTreeSet;
use std::path::PathBuf;

/// All answers about an airframe as one HTML file, to look at, to print and to hand to the inspector
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct BookVerb {
    #[command(flatten)]
    whose: Whose,
    /// Only the inspector's pack of a frame (`F14`), a position (`27-1400/10`), an assembly or a part
    #[arg(long, value_name = "SUBJECT")]
    of: Option<String>,
    /// The date that is printed on it (default: today)
    #[arg(long, value_name = "DATE")]
    printed: Option<String>,
    /// The file that it is written to; one that is there already is replaced (default: standard output)
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

impl Verb for BookVerb {
    fn comes_as(&self, format: Format) -> Result<(), Trouble> {
        let help = "leave out `--format`, or ask the verbs that the book is made of, such as `modstate state`";
        drawing_only(format, "a build book", help)
    }

    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        desk.supposing(self.whose.named(), &self.whose.which, |question| {
            let (mut resolver, asked) = question.resolver(self.whose.named(), &self.whose.which)?;
            let subject = match self.of.as_deref() {
                Some(name) => Some((question.bill_scope(Some(name))?, name)),
                None => None,
            };
            let printed = question.printed(self.printed.as_deref())?;
            let of = BookOf {
                project: question.project,
                model: question.model,
                graph: question.graph,
                asked: &asked,
                printed: &printed,
                covers: subject.map_or(BookCovers::Airframe, |(scope, name)| BookCovers::Subject(scope, name)),
            };
            let book = build_book(&mut resolver, of);
            let part = AnswerPart::whole(book.outcome, book.not_read, || book.html.clone());
            let answer = question.answer(&[resolver.history().id], BTreeSet::new(), &[part]);
            let what = if subject.is_some() { "inspector's pack" } else { "build book" };
            question.put(answer, self.out.as_deref(), what, None)
        })
    }
}
