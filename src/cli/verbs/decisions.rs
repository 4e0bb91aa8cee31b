//! `decisions`.

use super::Verb;
use crate::answers::{decisions_page, decisions_report};
use crate::cli::desk::Desk;
use crate::cli::question::AnswerPart;
use crate::cli::{Answer, Trouble, pick};
use std::collections::BTreeSet;

/// The workshop's decisions about an airframe, compared with the present evidence
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct DecisionsVerb {
    /// The airframe's serial
    #[arg(value_name = "AIRFRAME")]
    serial: Option<String>,
}

impl Verb for DecisionsVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        let question = desk.question()?;
        let airframe = pick::airframe(question.book(), self.serial.as_deref())?;
        let report = decisions_report(question.model, question.graph, airframe);
        let part = AnswerPart::of(&report, || decisions_page(&report));
        Ok(question.answer(&[airframe], BTreeSet::new(), &[part]))
    }
}
