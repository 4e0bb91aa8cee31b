//! `check`.

use super::Verb;
use crate::answers::finished;
use crate::check::accepted::{Checked, facts};
use crate::cli::args::Format;
use crate::cli::desk::Desk;
use crate::cli::question::records_of;
use crate::cli::{Answer, Trouble, json, outcome_of, pick};
use crate::codes::Code;
use crate::finding::{Finding, Place, RecordRef, Severity};
use crate::graph::Graph;
use crate::layout::{Page, checked_json, place_text, render_findings, short_findings};
use crate::model::Accepted;
use crate::project::Project;
use crate::words::date_text;
use clap::ValueEnum;
use std::collections::BTreeSet;

/// Every finding on the project folder
///
/// What the workshop looked at and accepts (`modstate explain Accepted`) is listed apart, behind the others.
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct CheckVerb {
    /// One line a finding, with its place and the check code by which it can be accepted
    #[arg(long)]
    short: bool,
    /// Only findings of this weight; may be given more than once
    #[arg(long, value_name = "WEIGHT")]
    severity: Vec<SeverityName>,
    /// Only findings that point into the dossier of this airframe, or name it
    #[arg(long, value_name = "SERIAL")]
    airframe: Option<String>,
    /// Only findings that point into this file, or a file of this folder, below the project folder
    #[arg(long, value_name = "PATH")]
    file: Option<String>,
    /// Only findings of this code; may be given more than once
    #[arg(long, value_name = "CODE")]
    code: Vec<String>,
}

/// How much a finding weighs, on the command line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum SeverityName {
    /// Stops work
    Stop,
    /// Cannot be decided
    Undecided,
    /// Worth a look
    Note,
}

impl Verb for CheckVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        let (project, style) = (desk.project()?, desk.style);
        let codes = self.codes()?;
        let airframe = self.airframe.as_deref();
        let airframe: Option<(&str, BTreeSet<RecordRef>)> =
            airframe.map(|serial| (serial, records_of(project, serial).collect()));
        if let Some((serial, records)) = &airframe
            && records.is_empty()
        {
            return Err(Trouble::new(format!("no dossier of an airframe `{serial}` was read"))
                .help("write the serial as its `Airframe` record does"));
        }
        let mut checked = project.checked(&Graph::new(&project.model), pick::day(&desk.around.today)?);
        let all = checked.open.len() + checked.accepted.len();
        let wanted = |finding: &Finding| {
            (self.severity.is_empty() || self.severity.iter().any(|weight| weight.is(finding.severity())))
                && (codes.is_empty() || codes.contains(&finding.code))
                && airframe.as_ref().is_none_or(|dossier| is_about(finding, dossier.0, &dossier.1))
                && self.file.as_deref().is_none_or(|path| points_into(project, finding, path))
        };
        checked.open.retain(&wanted);
        checked.accepted.retain(|(finding, _)| wanted(finding));
        let passed_over = all - checked.open.len() - checked.accepted.len();
        let out = match desk.format {
            Format::Json => json(&checked_json(&checked, &project.sources)),
            Format::Text | Format::Csv | Format::Xlsx => {
                let mut page = Page::default();
                if checked.open.is_empty() {
                    page.say("Nothing found.");
                } else if self.short {
                    page.lines(short_findings(&checked.open, &project.sources, |finding| {
                        facts(finding, &project.sources)
                    }));
                } else {
                    page.lines(render_findings(&checked.open, &project.sources, style));
                }
                if passed_over > 0 {
                    let findings = if passed_over == 1 { "finding is" } else { "findings are" };
                    page.say(format!("{passed_over} other {findings} not shown."));
                }
                accepted_lines(&mut page, project, &checked);
                page.gap();
                finished(page, &[]).text(style)
            }
        };
        let found: Vec<Finding> =
            checked.open.into_iter().chain(checked.accepted.into_iter().map(|(f, _)| f)).collect();
        Ok(Answer { out, code: outcome_of(&found).exit_code(), ..Answer::default() })
    }
}

impl CheckVerb {
    fn codes(&self) -> Result<Vec<Code>, Trouble> {
        let unknown = |text: &str| {
            Trouble::new(format!("there is no finding `{text}`")).help("`modstate explain` lists all codes")
        };
        self.code.iter().map(|text| Code::find(text).ok_or_else(|| unknown(text))).collect()
    }
}

impl SeverityName {
    fn is(self, severity: Severity) -> bool {
        match self {
            SeverityName::Stop => severity == Severity::Stop,
            SeverityName::Undecided => severity == Severity::Undecided,
            SeverityName::Note => severity == Severity::Note,
        }
    }
}

/// Whether a finding points into the dossier of an airframe, or names it.
fn is_about(finding: &Finding, serial: &str, records: &BTreeSet<RecordRef>) -> bool {
    let own = |place: &Place| matches!(place, Place::Record(at, _) if records.contains(at));
    finding.labels.iter().any(|label| own(&label.place)) || finding.message.contains(&format!("`{serial}`"))
}

/// Whether a finding points into a file, or a file of a folder.
fn points_into(project: &Project, finding: &Finding, path: &str) -> bool {
    finding.labels.iter().any(|label| project.sources.file(label.place.file()).path.starts_with(path))
}

/// What the workshop accepts: a line each, with who and why.
fn accepted_lines(page: &mut Page, project: &Project, checked: &Checked) {
    if checked.accepted.is_empty() {
        return;
    }
    page.heading("Looked at and accepted by the workshop");
    for (finding, Accepted { by, date, because, .. }) in &checked.accepted {
        let place = place_text(finding, &project.sources);
        page.item(format!("{} {place}: ", finding.code), &finding.message);
        page.item("  ", format!("{by}, {}: {because}", date_text(&date.text)));
    }
}
