//! What is asked for on paper: pictures, and templates for the machine shop.

use super::args::Which;
use super::pick::{self, Subject};
use super::question::{Part, Question};
use super::{Answer, Trouble, writing};
use crate::jig::examine::Examiner;
use crate::model::Marks;
use crate::report::{
    NotRead, Outcome, Verdicts, frame_picture, frame_report, not_read_of_template, plate_template, survey_picture,
    survey_report,
};
use std::collections::BTreeSet;
use std::path::Path;

impl Question<'_> {
    /// A frame in a state, or a survey, as SVG.
    pub(super) fn picture(&self, text: &str, which: &Which, out: Option<&Path>) -> Result<Answer, Trouble> {
        let model = self.model();
        let examiner = Examiner::new(model);
        let found = pick::subject(self.book(), text);
        let mut answer = if let Ok(Subject::Frame(frame)) = found {
            let (mut resolver, asked) = self.resolver(which.airframe.as_deref(), which)?;
            let report = frame_report(&mut resolver, asked, frame, &examiner, &self.project.sources);
            let marks = report.not_read();
            let lost = NotRead::list(&marks, &model.losses, &self.project.sources);
            let part = Part::drawn((report.outcome(), marks), || frame_picture(&report, model, frame, &lost));
            self.told(&[resolver.history().id], BTreeSet::from([model.frames[frame].record]), &[part])
        } else if let Some(survey) = model.surveys.iter().position(|survey| survey.id.eq_ignore_ascii_case(text)) {
            let report = survey_report(model, survey, &examiner);
            let marks = report.not_read();
            let lost = NotRead::list(&marks, &model.losses, &self.project.sources);
            let part = Part::drawn((report.outcome(), marks), || survey_picture(&report, model, &lost));
            self.told(&[], BTreeSet::new(), &[part])
        } else if found.is_ok() {
            return Err(Trouble::new(format!(
                "`{text}` is a position or a part; a picture is of a frame or of a survey"
            ))
            .help("name the frame on which it sits, or a survey"));
        } else {
            let names = model.frames.names().chain(model.surveys.iter().map(|survey| survey.id.as_str()));
            return Err(self.book().unknown(("frame or survey", &["Frame", "Survey"]), text, names));
        };
        if let Some(out) = out {
            writing::write(&self.around.folder.join(out), answer.out.as_bytes(), writing::Old::Replace)?;
            answer.out = format!("The picture is in `{}`.\n", out.display());
        }
        Ok(answer)
    }

    /// A plate as DXF.
    pub(super) fn template(&self, text: &str, out: Option<&Path>) -> Result<Answer, Trouble> {
        let model = self.model();
        let plate = pick::plate(self.book(), text)?;
        let unread = not_read_of_template(model, plate);
        if !unread.is_empty() {
            let message =
                format!("the plate `{}` is not drawn, because not all of it is known", model.plates.name(plate));
            return Err(self.book().not_read(&message, &unread));
        }
        let drawing = plate_template(model, plate).ok_or_else(|| {
            Trouble::new(format!("the plate `{}` has no holes: there is nothing to draw", model.plates.name(plate)))
                .help("enter the holes of its definition")
        })?;
        let part = Part::drawn((Outcome::Settled, Marks::new()), || drawing.clone());
        let mut answer = self.told(&[], BTreeSet::from([model.plates[plate].record]), &[part]);
        if let Some(out) = out {
            writing::write(&self.around.folder.join(out), answer.out.as_bytes(), writing::Old::Replace)?;
            answer.out = format!("The template is in `{}`.\n", out.display());
        }
        Ok(answer)
    }
}
