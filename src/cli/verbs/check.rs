//! `check`.

use super::Verb;
use crate::answers::finished;
use crate::check::CheckScope;
use crate::cli::args::Format;
use crate::cli::desk::Desk;
use crate::cli::{Answer, Trouble, json, outcome_of};
use crate::graph::Graph;
use crate::layout::{Page, findings_json, render_findings};

/// Every finding on the project folder
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct CheckVerb {}

impl Verb for CheckVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        let (project, style) = (desk.project()?, desk.style);
        let findings = project.check(&Graph::new(&project.model), CheckScope::Whole);
        let out = match desk.format {
            Format::Json => json(&findings_json(&findings, &project.sources)),
            Format::Text | Format::Csv | Format::Xlsx => {
                let mut page = Page::default();
                if findings.is_empty() {
                    page.say("Nothing found.");
                } else {
                    page.lines(render_findings(&findings, &project.sources, style));
                }
                page.gap();
                finished(page, &[]).text(style)
            }
        };
        Ok(Answer { out, code: outcome_of(&findings).exit_code(), ..Answer::default() })
    }
}
