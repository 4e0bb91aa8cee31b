//! `current`.

use super::Verb;
use super::older::Older;
use crate::answers::{CurrentReport, CurrentSheet, current_page};
use crate::book::{BookCovers, BookOf, BookSheet, book_sheets};
use crate::cli::args::Which;
use crate::cli::desk::Desk;
use crate::cli::question::{AirframeQuestion, AnswerPart};
use crate::cli::{Answer, Trouble};
use crate::model::Marks;
use std::collections::BTreeSet;
use std::path::PathBuf;

/// Whether a printed sheet of the build book is still current, by the fingerprint on it; if not, what changed since
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct CurrentVerb {
    /// The fingerprint at the foot of the sheet, as `3f2a91c0`
    #[arg(value_name = "FINGERPRINT", value_parser = fingerprint)]
    fingerprint: String,
    /// The airframe's serial
    #[arg(value_name = "AIRFRAME", conflicts_with = "airframe")]
    serial: Option<String>,
    #[command(flatten)]
    which: Which,
    /// It is a sheet of the inspector's pack of this frame, position, assembly or part
    #[arg(long, value_name = "SUBJECT")]
    of: Option<String>,
    /// What it was made from, to say what changed since: an older project folder, such as a checkout, or the file of the book
    #[arg(long, value_name = "PATH", conflicts_with_all = ["suppose", "without"])]
    older: Option<PathBuf>,
}

/// A fingerprint as somebody types it from paper.
fn fingerprint(text: &str) -> Result<String, String> {
    let code: String = text.chars().filter(|c| !c.is_whitespace() && *c != '-').collect();
    if code.len() == 8 && code.chars().all(|c| c.is_ascii_hexdigit()) {
        return Ok(code.to_ascii_lowercase());
    }
    Err("a fingerprint has eight figures or letters from a to f, as `3f2a91c0`; it stands at the foot of the sheet"
        .to_owned())
}

impl Verb for CurrentVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        let named = self.serial.as_deref().or(self.which.airframe.as_deref());
        desk.supposing(named, &self.which, |question| self.answer(desk, question, named))
    }
}

impl CurrentVerb {
    fn answer(&self, desk: &Desk<'_>, question: &AirframeQuestion<'_>, named: Option<&str>) -> Result<Answer, Trouble> {
        let (mut resolver, asked) = question.resolver(named, &self.which)?;
        let subject = self.of.as_deref();
        let covers = match subject {
            None => BookCovers::Airframe,
            Some(name) => BookCovers::Subject(question.bill_scope(Some(name))?, name),
        };
        let printed = &question.around.today;
        let (project, model, graph) = (question.project, question.model, question.graph);
        let of = BookOf { project, model, graph, asked: &asked, printed, covers };
        let now = book_sheets(&mut resolver, of);
        let same = |sheet: &&BookSheet| sheet.fingerprint.as_ref() == Some(&self.fingerprint);
        let is_current = now.iter().find(same);
        let older = self.older.as_ref().filter(|_| is_current.is_none());
        let older = older.map(|path| Older::open(desk, path)).transpose()?;
        let (mut was, mut since) = (None, None);
        if let Some(older) = &older {
            let sheets = older.sheets(&asked, subject, printed)?;
            was = sheets.iter().find(same).map(|sheet| sheet.sheet.clone());
            since = Some(older.since(question, &mut resolver, asked.clone())?);
        }
        // What was lost may stand on any sheet: of none is it then said that it changed.
        let airframe = resolver.history().id;
        let mut lost = Marks::new();
        if is_current.is_none() {
            lost = model.losses.marks(|loss| loss.concerns(airframe));
        }
        let sheets = now.iter().map(|sheet| CurrentSheet {
            sheet: sheet.sheet.clone(),
            fingerprint: sheet.fingerprint.clone().filter(|_| lost.is_empty()),
            is_it: same(&sheet),
            was_it: was.as_ref() == Some(&sheet.sheet),
            not_read: if is_current.is_some() { Marks::new() } else { sheet.not_read.union(&lost).copied().collect() },
        });
        let report = CurrentReport {
            fingerprint: self.fingerprint.clone(),
            sheets: sheets.collect(),
            older: older.map(|older| older.named),
            asked,
            since,
        };
        let part = AnswerPart::of(&report, || current_page(&report));
        Ok(question.answer(&[resolver.history().id], BTreeSet::new(), &[part]))
    }
}
