//! `fleet`.

use super::Verb;
use crate::answers::{FleetSubject, fleet_page, fleet_report};
use crate::cli::desk::Desk;
use crate::cli::pick::{self, Subject};
use crate::cli::question::{AnswerPart, basis_of};
use crate::cli::{Answer, Trouble};
use crate::ids::PositionId;
use std::collections::BTreeSet;

/// Who of all airframes had which variant on a day
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct FleetVerb {
    /// A position (`27-1400/10`), a frame or a part number
    subject: String,
    /// The state at the end of a day, as `1951-06-22`
    #[arg(long, value_name = "DATE")]
    on: String,
    /// With the doubtful claims held as well
    #[arg(long)]
    doubtful: bool,
}

impl Verb for FleetVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        let question = desk.question()?;
        let (model, graph) = (question.model, question.graph);
        let subject = pick::subject(question.book(), &self.subject)?;
        let positions: BTreeSet<PositionId> = match subject {
            Subject::Position(position) => BTreeSet::from([position]),
            Subject::Frame(frame) => {
                let segments = model.frames[frame].segments.iter();
                let places = segments.flat_map(|segment| graph.places_of(segment.part));
                places.map(|(position, _)| position).collect()
            }
            Subject::Part(part) => graph.places_of(part).into_iter().map(|(position, _)| position).collect(),
        };
        let positions: Vec<PositionId> = positions.into_iter().collect();
        let day = pick::day(&self.on)?;
        let of = model.airframes.len();
        let progress = |done: usize| question.around.progress(done, of);
        let part = if let Subject::Part(part) = subject { Some(part) } else { None };
        let frame = if let Subject::Frame(frame) = subject { Some(frame) } else { None };
        let subject = FleetSubject { name: &self.subject, part, frame, positions: &positions };
        let report = fleet_report(model, graph, &subject, day, basis_of(self.doubtful), &progress);
        Ok(question.answer(&[], BTreeSet::new(), &[AnswerPart::of(&report, || fleet_page(&report))]))
    }
}
