//! `check`.

use super::Verb;
use crate::answers::closed;
use crate::check::Scope;
use crate::cli::args::Format;
use crate::cli::desk::Desk;
use crate::cli::{Answer, Trouble, json, outcome_of};
use crate::graph::Graph;
use crate::layout::{findings_json, render_findings};

/// Every finding on the project folder
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Check {}

impl Verb for Check {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        let (project, style) = (desk.project()?, desk.style);
        let findings = project.check(&Graph::new(&project.model), Scope::Whole);
        let out = match desk.format {
            Format::Json => json(&findings_json(&findings, &project.sources)),
            Format::Text | Format::Csv | Format::Xlsx if findings.is_empty() => {
                closed("Nothing found.\n\n".to_owned(), &[], style)
            }
            Format::Text | Format::Csv | Format::Xlsx => {
                closed(format!("{}\n", render_findings(&findings, &project.sources, style)), &[], style)
            }
        };
        Ok(Answer { out, code: outcome_of(&findings).exit_code(), ..Answer::default() })
    }
}
