//! `variant`.

use super::Verb;
use crate::answers::{frame_page, frame_report, part_page, part_report, position_page, position_report};
use crate::cli::args::Which;
use crate::cli::desk::Desk;
use crate::cli::pick::{self, Subject};
use crate::cli::question::{AnswerPart, record_of};
use crate::cli::{Answer, Trouble};
use crate::jig::examine::Examiner;
use std::collections::BTreeSet;

/// The variant of a frame, a position or a part: splices, issues, plates, what it would be otherwise, and why
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct VariantVerb {
    /// A frame (`F14`), a position (`27-1400/10`) or a part number
    subject: String,
    #[command(flatten)]
    which: Which,
}

impl Verb for VariantVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        desk.supposing(self.which.airframe.as_deref(), &self.which, |question| {
            let model = question.model;
            let subject = pick::subject(question.book(), &self.subject)?;
            let (mut resolver, asked) = question.resolver(self.which.airframe.as_deref(), &self.which)?;
            let sources = &question.project.sources;
            let airframes = [resolver.history().id];
            Ok(match subject {
                Subject::Frame(frame) => {
                    let report = frame_report(&mut resolver, asked, frame, &Examiner::new(model), sources);
                    let records = BTreeSet::from([model.frames[frame].record]);
                    question.answer(&airframes, records, &[AnswerPart::of(&report, || frame_page(&report))])
                }
                Subject::Position(position) => {
                    let report = position_report(&mut resolver, asked, position, sources);
                    let records = record_of(&model.positions[position].place).into_iter().collect();
                    question.answer(&airframes, records, &[AnswerPart::of(&report, || position_page(&report))])
                }
                Subject::Part(part) => {
                    let report = part_report(&mut resolver, asked, part);
                    let records = record_of(&model.parts[part].place).into_iter().collect();
                    question.answer(&airframes, records, &[AnswerPart::of(&report, || part_page(&report))])
                }
            })
        })
    }
}
