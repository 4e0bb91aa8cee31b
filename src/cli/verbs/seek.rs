//! `seek`.

use super::Verb;
use crate::answers::{seek_page, seek_report};
use crate::cli::args::Which;
use crate::cli::desk::Desk;
use crate::cli::pick::{self, Subject};
use crate::cli::question::{AirframeQuestion, AnswerPart, basis_of};
use crate::cli::{Answer, Trouble};
use crate::ids::{PlateId, PositionId};
use std::collections::BTreeSet;

/// What to look for next: the questions whose answers would settle most
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct SeekVerb {
    /// Only what is open of a frame (`F14`), a position or an assembly (default: of the whole airframe)
    subject: Option<String>,
    #[command(flatten)]
    which: Which,
    /// How many questions are shown
    #[arg(long, value_name = "COUNT", default_value_t = 10)]
    most: usize,
    /// With the doubtful claims held as well
    #[arg(long)]
    doubtful: bool,
}

impl Verb for SeekVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        desk.supposing(self.which.airframe.as_deref(), &self.which, |question| {
            let model = question.model;
            let (mut resolver, asked) = question.resolver(self.which.airframe.as_deref(), &self.which)?;
            let (positions, plates) = match &self.subject {
                None => (model.positions.ids().collect(), model.plates.ids().collect()),
                Some(text) => places_of(question, pick::subject(question.book(), text)?),
            };
            let report = seek_report(&mut resolver, asked, &positions, &plates, basis_of(self.doubtful));
            let part = AnswerPart::of(&report, || seek_page(&report, self.most));
            Ok(question.answer(&[resolver.history().id], BTreeSet::new(), &[part]))
        })
    }
}

/// The positions of a subject, those below it included, and the plates that locate what may be fitted there.
fn places_of(question: &AirframeQuestion<'_>, subject: Subject) -> (BTreeSet<PositionId>, BTreeSet<PlateId>) {
    let (model, graph) = (question.model, question.graph);
    let positions = match subject {
        Subject::Frame(frame) => graph.positions_below(model.frames[frame].assembly),
        Subject::Position(position) => BTreeSet::from([position]),
        Subject::Part(part) => graph.positions_below(part),
    };
    let parts = positions.iter().flat_map(|position| &model.positions[*position].candidates);
    let plates = parts.flat_map(|candidate| graph.plates_for(candidate.part)).collect();
    (positions, plates)
}
