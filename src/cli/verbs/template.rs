//! `template`.

use super::{Verb, drawing_only};
use crate::answers::Outcome;
use crate::cli::args::Format;
use crate::cli::desk::Desk;
use crate::cli::question::AnswerPart;
use crate::cli::{Answer, Trouble, pick};
use crate::drawing::{not_read_of_template, plate_template};
use crate::model::Marks;
use std::collections::BTreeSet;
use std::path::PathBuf;

/// A plate as a drawing for the machine shop: DXF at 1:1, with a square to check the scale by
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct TemplateVerb {
    /// A plate drawing (`J14-07`)
    plate: String,
    /// The date that is printed on it (default: today)
    #[arg(long, value_name = "DATE")]
    printed: Option<String>,
    /// The file that it is written to; one that is there already is replaced (default: standard output)
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

impl Verb for TemplateVerb {
    fn comes_as(&self, format: Format) -> Result<(), Trouble> {
        drawing_only(format, "a template", "leave out `--format`: a template is DXF")
    }

    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        let question = desk.question()?;
        let model = question.model;
        let plate = pick::plate(question.book(), &self.plate)?;
        let name = model.plates.name(plate);
        let unread = not_read_of_template(model, plate);
        if !unread.is_empty() {
            let message = format!("the plate `{name}` is not drawn, because not all of it is known");
            return Err(question.book().not_read(&message, &unread));
        }
        let printed = question.printed(self.printed.as_deref())?;
        let drawing = plate_template(model, plate, &printed).ok_or_else(|| {
            Trouble::new(format!("the plate `{name}` has no holes: there is nothing to draw"))
                .help("enter its holes in the `Plate` record")
        })?;
        let part = AnswerPart::whole(Outcome::Settled, Marks::new(), || drawing.clone());
        let answer = question.answer(&[], BTreeSet::from([model.plates[plate].record]), &[part]);
        question.put(answer, self.out.as_deref(), "template", None)
    }
}
