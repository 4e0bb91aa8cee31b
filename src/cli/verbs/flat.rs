//! `flat`.

use super::Verb;
use crate::answers::{FlatReport, Verdicts, flat_page, flat_report, not_read_of_flat};
use crate::cli::args::Format;
use crate::cli::desk::Desk;
use crate::cli::question::{AirframeQuestion, AnswerPart, value};
use crate::cli::{Answer, Trouble, pick};
use crate::layout::Page;
use crate::model::Marks;
use std::collections::BTreeSet;

/// A part that is bent from sheet, laid flat: allowances, setbacks, widths, radii, strain of curved flanges
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct FlatVerb {
    /// The part number
    part: String,
    /// A second part, to be compared with the first
    #[arg(long, value_name = "PART")]
    with: Option<String>,
}

impl Verb for FlatVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        let question = desk.question()?;
        let report = flat_of(&question, &self.part)?;
        let other = self.with.as_ref().map(|part| flat_of(&question, part)).transpose()?;
        let both = || [Some(&report), other.as_ref()].into_iter().flatten();
        let marks: Marks = both().flat_map(Verdicts::not_read).collect();
        let outcome = both().map(Verdicts::outcome).max().unwrap_or_default();
        // As text the two stand side by side; as JSON each is an object.
        let parts: Vec<AnswerPart<'_>> = match desk.format {
            Format::Json => both().map(|of| AnswerPart::of(of, Page::default)).collect(),
            Format::Text | Format::Csv | Format::Xlsx => {
                let page = || flat_page(&report, other.as_ref());
                vec![AnswerPart::made(outcome, marks, page, || value(&report))]
            }
        };
        Ok(question.answer(&[], BTreeSet::new(), &parts))
    }
}

fn flat_of(question: &AirframeQuestion<'_>, text: &str) -> Result<FlatReport, Trouble> {
    let model = question.model;
    let part = pick::part(question.book(), text)?;
    let name = model.parts.name(part);
    let unread = not_read_of_flat(model, part);
    if !unread.is_empty() {
        let message = format!("`{name}` is not laid flat, because not all of it is known");
        return Err(question.book().not_read(&message, &unread));
    }
    flat_report(model, part).ok_or_else(|| {
        Trouble::new(format!("the dossier gives `{name}` no bends"))
            .help("give the part's thickness and `flat`: its legs, its bends and their radii, from the drawing")
    })
}
