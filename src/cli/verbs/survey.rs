//! `survey`.

use super::Verb;
use crate::answers::{SurveyReport, survey_page, survey_report};
use crate::cli::desk::Desk;
use crate::cli::question::AnswerPart;
use crate::cli::{Answer, Trouble, pick};
use crate::jig::examine::Examiner;
use crate::model::Marks;
use std::collections::BTreeSet;

/// One survey of a plate: which plate it is, how far each hole lies off, what kind of error, what to do
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct SurveyVerb {
    /// The survey (default: every survey)
    survey: Option<String>,
}

impl Verb for SurveyVerb {
    /// Surveys are of metal: no airframe and no state is asked for.
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        let question = desk.question()?;
        let examiner = Examiner::new(question.model);
        let surveys = pick::surveys(question.book(), self.survey.as_deref())?;
        let reports: Vec<SurveyReport> =
            surveys.into_iter().map(|survey| survey_report(question.model, survey, &examiner)).collect();
        let mut parts: Vec<AnswerPart<'_>> =
            reports.iter().map(|report| AnswerPart::of(report, || survey_page(report))).collect();
        let lost = question.model.losses.marks(|loss| loss.whole && loss.may_be("Survey"));
        parts.extend(AnswerPart::short("survey", &if self.survey.is_none() { lost } else { Marks::new() }));
        Ok(question.answer(&[], BTreeSet::new(), &parts))
    }
}
