//! An older copy of the project, which `current` and `differ` compare with: its folder, or the file of a build book.

use crate::answers::{Asked, KeptAnswers, SinceReport, kept_answers, say_why, since_report};
use crate::book::{BookCovers, BookOf, BookSheet, KeptBook, book_sheets};
use crate::cli::Trouble;
use crate::cli::args::Which;
use crate::cli::desk::{Desk, folder};
use crate::cli::pick::{self, Book};
use crate::cli::question::{AirframeQuestion, resolver_of};
use crate::graph::Graph;
use crate::jig::examine::Examiner;
use crate::project::Project;
use crate::resolve::Resolver;
use crate::source::read_bytes;
use std::path::Path;

/// An older copy.
pub(super) struct Older {
    /// As it was named.
    pub(super) named: String,
    copy: OlderCopy,
}

enum OlderCopy {
    Folder(Box<Project>),
    Book(Box<KeptBook>),
}

impl Older {
    /// Opens what was named.
    pub(super) fn open(desk: &Desk<'_>, path: &Path) -> Result<Older, Trouble> {
        let (named, at) = (path.display().to_string(), desk.around.folder.join(path));
        if at.is_dir() {
            let project = Project::open(&folder(Some(path), &desk.around.folder)?)?;
            return Ok(Older { named, copy: OlderCopy::Folder(Box::new(project)) });
        }
        let bytes = read_bytes(&at).map_err(|why| {
            Trouble::new(format!("`{named}` cannot be read: {why}"))
                .help("name an older project folder, or the file that `modstate book` wrote")
        })?;
        let kept = KeptBook::from_file(&String::from_utf8_lossy(&bytes)).ok_or_else(|| {
            Trouble::new(format!("`{named}` is no build book that keeps what it was made from"))
                .help("name the HTML file as `modstate book` wrote it, or a folder with the older dossiers")
        })?;
        Ok(Older { named, copy: OlderCopy::Book(Box::new(kept)) })
    }

    /// What changed since: of the state of a resolver.
    pub(super) fn since(
        &self,
        question: &AirframeQuestion<'_>,
        resolver: &mut Resolver<'_>,
        asked: Asked,
    ) -> Result<SinceReport, Trouble> {
        let examiner = Examiner::new(question.model);
        let (records, sources) = (&question.project.records, &question.project.sources);
        let (now, short) = kept_answers(resolver, &asked, &examiner, records, sources);
        let before = match &self.copy {
            OlderCopy::Book(book) => {
                self.same_state(&book.kept, &asked)?;
                book.kept.clone()
            }
            OlderCopy::Folder(project) => self.asked_of(project, &asked, |resolver, asked, _| {
                let examiner = Examiner::new(&project.model);
                kept_answers(resolver, asked, &examiner, &project.records, &project.sources).0
            })?,
        };
        let mut report = since_report(&self.named, &before, &now, asked, short);
        if let OlderCopy::Folder(project) = &self.copy {
            say_why(&mut report, &now, project, question.project);
        }
        Ok(report)
    }

    /// The sheets of the book of the same state and subject, as they were.
    pub(super) fn sheets(&self, asked: &Asked, of: Option<&str>, printed: &str) -> Result<Vec<BookSheet>, Trouble> {
        match &self.copy {
            OlderCopy::Book(book) => {
                self.same_state(&book.kept, asked)?;
                Ok(book.sheets.clone())
            }
            OlderCopy::Folder(project) => self.asked_of(project, asked, |resolver, asked, graph| {
                let book = Book { model: &project.model, sources: &project.sources };
                let covers = match of {
                    None => BookCovers::Airframe,
                    Some(name) => BookCovers::Subject(pick::bill_scope(book, Some(name))?, name),
                };
                let (model, project) = (&project.model, &**project);
                let of = BookOf { project, model, graph, asked, printed, covers };
                Ok(book_sheets(resolver, of))
            })?,
        }
    }

    /// Asks an older folder about the same airframe and state.
    fn asked_of<R>(
        &self,
        project: &Project,
        asked: &Asked,
        answer: impl FnOnce(&mut Resolver<'_>, &Asked, &Graph) -> R,
    ) -> Result<R, Trouble> {
        let book = Book { model: &project.model, sources: &project.sources };
        let on = asked.build_state.is_none().then(|| asked.date.clone());
        let which = Which { on, build: asked.build_state.clone(), ..Which::default() };
        let found = pick::airframe(book, Some(&asked.airframe)).and_then(|airframe| {
            let (target, picked) = pick::target(book, airframe, &which)?;
            Ok((airframe, target, picked))
        });
        let (airframe, target, picked) = found
            .map_err(|trouble| Trouble { message: format!("in `{}`: {}", self.named, trouble.message), ..trouble })?;
        let graph = Graph::new(&project.model);
        let (mut resolver, asked) = resolver_of(&project.model, &graph, airframe, target, picked)?;
        Ok(answer(&mut resolver, &asked, &graph))
    }

    /// Refuses a book of another airframe or state. A named state may have had another date.
    fn same_state(&self, kept: &KeptAnswers, asked: &Asked) -> Result<(), Trouble> {
        let named = kept.build_state == asked.build_state;
        let dated = asked.build_state.is_some() || kept.date == asked.date;
        if kept.airframe == asked.airframe && named && dated {
            return Ok(());
        }
        let state = kept
            .build_state
            .as_ref()
            .map_or_else(|| format!("--on {}", kept.date), |name| format!("--build \"{name}\""));
        Err(Trouble::new(format!("`{}` is a book of another airframe or state", self.named))
            .help(format!("ask about the same one: `--airframe {} {state}`", kept.airframe)))
    }
}
