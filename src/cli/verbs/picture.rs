//! `picture`.

use super::{Verb, drawing_only};
use crate::answers::{NotRead, Verdicts, frame_report, survey_report};
use crate::cli::args::{Format, Which};
use crate::cli::desk::Desk;
use crate::cli::pick::{self, Subject};
use crate::cli::question::{AirframeQuestion, AnswerPart};
use crate::cli::{Answer, Trouble};
use crate::drawing::{self, frame_picture, survey_picture};
use crate::jig::examine::Examiner;
use clap::ValueEnum;
use std::collections::BTreeSet;
use std::path::PathBuf;

/// A frame or a survey as a picture to print: SVG on A3 or A4, readable in black and white
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct PictureVerb {
    /// A frame (`F14`) or a survey (`V2`)
    subject: String,
    #[command(flatten)]
    which: Which,
    /// The paper
    #[arg(long, value_name = "PAPER", default_value = "a3")]
    paper: PaperOption,
    /// The date that is printed on it (default: today)
    #[arg(long, value_name = "DATE")]
    printed: Option<String>,
    /// The file that it is written to (default: standard output)
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// What a picture is printed on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum PaperOption {
    /// 420 by 297 mm
    A3,
    /// 297 by 210 mm, everything smaller
    A4,
}

impl Verb for PictureVerb {
    fn comes_as(&self, format: Format) -> Result<(), Trouble> {
        let help =
            "leave out `--format`, or ask `modstate variant` or `modstate survey` for what the picture is made of";
        drawing_only(format, "a picture", help)
    }

    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        desk.supposing(self.which.airframe.as_deref(), &self.which, |question| {
            let answer = self.draw(question)?;
            question.put(answer, self.out.as_deref(), "picture", None)
        })
    }
}

impl PictureVerb {
    /// A frame in a state, or a survey, as SVG.
    fn draw(&self, question: &AirframeQuestion<'_>) -> Result<Answer, Trouble> {
        let (model, text, which) = (question.model, &*self.subject, &self.which);
        let sources = &question.project.sources;
        let examiner = Examiner::new(model);
        let paper = match self.paper {
            PaperOption::A3 => drawing::Paper::A3,
            PaperOption::A4 => drawing::Paper::A4,
        };
        let printed = question.printed(self.printed.as_deref())?;
        let found = pick::subject(question.book(), text);
        if let Ok(Subject::Frame(frame)) = found {
            let (mut resolver, asked) = question.resolver(which.airframe.as_deref(), which)?;
            let report = frame_report(&mut resolver, asked, frame, &examiner, sources);
            let marks = report.not_read();
            let lost = NotRead::list(&marks, &model.losses, sources);
            let part = AnswerPart::whole(report.outcome(), marks, || {
                frame_picture(&report, model, frame, &lost, paper, &printed)
            });
            let records = BTreeSet::from([model.frames[frame].record]);
            Ok(question.answer(&[resolver.history().id], records, &[part]))
        } else if let Some(survey) = model.surveys.iter().position(|survey| survey.id.eq_ignore_ascii_case(text)) {
            let report = survey_report(model, survey, &examiner);
            let marks = report.not_read();
            let lost = NotRead::list(&marks, &model.losses, sources);
            let part =
                AnswerPart::whole(report.outcome(), marks, || survey_picture(&report, model, &lost, paper, &printed));
            Ok(question.answer(&[], BTreeSet::new(), &[part]))
        } else if found.is_ok() {
            let message = format!("`{text}` is a position or a part; a picture is of a frame or of a survey");
            Err(Trouble::new(message).help("name the frame on which it sits, or a survey"))
        } else {
            let names = model.frames.names().chain(model.surveys.iter().map(|survey| survey.id.as_str()));
            Err(question.book().unknown("frame or survey", &["Frame", "Survey"], text, names))
        }
    }
}
