//! The build book: the answers about one airframe in one state as one HTML file, to look at, to print and to hand over.
//!
//! It composes pages of `answers` and figures of `drawing`, and works nothing out itself. The file needs no other file and
//! no network: its style sheet and its script stand in it, and its content-security policy allows these two by their
//! hashes and nothing else.

mod contents;
mod dates;
mod document;
mod pack;
mod prints;

pub use prints::{BookSheet, KeptBook};

use crate::answers::{Asked, Outcome, Verdicts, bill_trouble_words, kept_answers};
use crate::bill::{BillScope, NoBill};
use crate::check::CheckScope;
use crate::finding::{FileId, Finding};
use crate::graph::Graph;
use crate::ids::AirframeId;
use crate::jig::examine::Examiner;
use crate::layout::{Anchor, Page};
use crate::model::{Marks, Model};
use crate::project::Project;
use crate::resolve::Resolver;

/// What a book is made of.
#[derive(Clone, Copy, Debug)]
pub struct BookOf<'a> {
    /// The project.
    pub project: &'a Project,
    /// The project's model, with what is supposed for this run.
    pub model: &'a Model,
    /// Its graph.
    pub graph: &'a Graph,
    /// Which airframe and state.
    pub asked: &'a Asked,
    /// The day of printing.
    pub printed: &'a str,
    /// What it covers: all of the airframe; or one subject, for the inspector's pack.
    pub covers: BookCovers<'a>,
}

/// What a book covers.
#[derive(Clone, Copy, Debug)]
pub enum BookCovers<'a> {
    /// The airframe: the whole book.
    Airframe,
    /// One frame, assembly, position or part, with its name: the inspector's pack.
    Subject(BillScope, &'a str),
}

/// A book, and how the answers in it came out.
#[derive(Clone, Debug)]
pub struct BuildBook {
    /// The file.
    pub html: String,
    /// The worst outcome of its answers.
    pub outcome: Outcome,
    /// What was not read and bears on any of them.
    pub not_read: Marks,
}

/// A section of a book. Printed, it begins on a sheet of its own.
#[derive(Debug)]
struct BookSection {
    /// What links to it end with.
    id: &'static str,
    /// Its name, on the screen and at the head of its sheets.
    name: &'static str,
    /// What it comes to, in a sentence.
    glance: String,
    pieces: Vec<BookPiece>,
    outcome: Outcome,
    not_read: Marks,
    /// What was not read and is told in its list, without bearing on an answer of the book.
    not_read_in_list: Marks,
}

/// A piece of a section.
#[derive(Debug)]
enum BookPiece {
    Page(Page),
    /// A drawing in SVG, with what it is.
    Figure {
        title: String,
        svg: String,
    },
    /// The answers at each date on which one changes.
    Dates(Box<dates::DatesView>),
    /// What is shown on the screen when it is asked for, and printed always.
    Fold {
        about: Anchor,
        summary: String,
        page: Page,
    },
}

/// The book of the airframe and the state of a resolver.
#[must_use]
pub fn build_book(resolver: &mut Resolver<'_>, of: BookOf<'_>) -> BuildBook {
    let examiner = Examiner::new(of.model);
    let mut sections = printed_sections(resolver, of, &examiner);
    let sheets = prints::sheets(of, &sections);
    let subject = match of.covers {
        BookCovers::Airframe => {
            sections.insert(1, dates::dates(resolver, of, &examiner));
            None
        }
        BookCovers::Subject(_, name) => Some(name.to_owned()),
    };
    let outcome = sections.iter().map(|section| section.outcome).max().unwrap_or_default();
    let not_read = sections.iter().flat_map(|section| section.not_read.iter().copied()).collect();
    let (kept, _) = kept_answers(resolver, of.asked, &examiner, &of.project.records, &of.project.sources);
    let kept = KeptBook { of: subject, printed: of.printed.to_owned(), sheets, kept };
    BuildBook { html: document::document(of, &sections, &not_read, &kept), outcome, not_read }
}

/// The sheets that the book would have, with their fingerprints.
#[must_use]
pub fn book_sheets(resolver: &mut Resolver<'_>, of: BookOf<'_>) -> Vec<BookSheet> {
    prints::sheets(of, &printed_sections(resolver, of, &Examiner::new(of.model)))
}

fn printed_sections(resolver: &mut Resolver<'_>, of: BookOf<'_>, examiner: &Examiner<'_>) -> Vec<BookSection> {
    match of.covers {
        BookCovers::Airframe => contents::sections(resolver, of, examiner),
        BookCovers::Subject(subject, _) => pack::sections(resolver, of, subject, examiner),
    }
}

impl BookSection {
    fn new(id: &'static str, name: &'static str) -> BookSection {
        let (glance, outcome) = (String::new(), Outcome::Settled);
        BookSection {
            id,
            name,
            glance,
            pieces: Vec::new(),
            outcome,
            not_read: Marks::new(),
            not_read_in_list: Marks::new(),
        }
    }
    /// Takes over how a report came out, and what was not read of it.
    fn take(&mut self, report: &impl Verdicts) {
        self.outcome = self.outcome.max(report.outcome());
        self.not_read.extend(report.not_read());
    }
    fn page(&mut self, page: Page) {
        self.pieces.push(BookPiece::Page(page));
    }
    fn figure(&mut self, figure: impl IntoIterator<Item = (String, String)>) {
        self.pieces.extend(figure.into_iter().map(|(title, svg)| BookPiece::Figure { title, svg }));
    }
    /// Says why there is no bill, where an answer needs one.
    fn no_bill(mut self, why: &NoBill, of: BookOf<'_>) -> BookSection {
        if let NoBill::NotRead(marks) = why {
            self.not_read.extend(marks);
        }
        self.outcome = Outcome::StopsWork;
        let mut page = Page::default();
        page.say(format!("Not known: {}.", bill_trouble_words(why, of.model)));
        "not known".clone_into(&mut self.glance);
        self.page(page);
        self
    }
    /// Whether it is for the screen alone: what can only be moved.
    fn on_screen(&self) -> bool {
        self.pieces.iter().any(|piece| matches!(piece, BookPiece::Dates(_)))
    }
}

impl BookOf<'_> {
    /// Whether a file is of the dossiers of another airframe alone.
    fn is_of_others(&self, file: FileId, airframe: AirframeId) -> bool {
        let serial = self.model.airframes.name(airframe);
        let mut owners =
            self.project.records.iter().filter(|(at, _)| at.file == file).map(|(_, record)| record.airframe());
        let first = owners.next().flatten();
        first.is_some_and(|first| first != serial && owners.all(|other| other == Some(first)))
    }

    /// What was not read and stands among these findings.
    fn not_read_in_findings(&self, airframe: AirframeId) -> Marks {
        self.model.losses.marks(|loss| !self.is_of_others(loss.place.file(), airframe))
    }

    /// What was found of the airframe: in its dossier, in what is common, and not in the dossiers of others.
    fn findings(&self, airframe: AirframeId) -> Vec<Finding> {
        let of_reading = self.project.findings.iter().filter(|finding| {
            let file = finding.labels.first().map(|label| label.place.file());
            !file.is_some_and(|file| self.is_of_others(file, airframe))
        });
        let taken_in = self.project.check_taken_in(self.model, self.graph, CheckScope::Airframes(&[airframe]));
        of_reading.cloned().chain(taken_in).collect()
    }
}
