//! Showing findings and answers: on a terminal, and as CSV and JSON for other programs.

mod bill;
mod excerpt;
mod json;
mod terminal;

pub use bill::{BillView, bill_csv, bill_json, bill_text};
pub use json::findings_json;
pub use terminal::{Style, render_findings};

use crate::finding::{Finding, Severity};
use crate::source::Sources;

/// What is said beside every answer that metal may be cut to.
pub const CAUTION: &str = "Drawn from the records entered. Not approved data, not an airworthiness or conformity \
                           statement; licensed practice and the local authority decide.";

/// The findings in the order in which they are shown: by the file and line of the first label, then by code.
fn ordered<'a>(findings: &'a [Finding], sources: &Sources) -> Vec<&'a Finding> {
    let mut ordered: Vec<&Finding> = findings.iter().collect();
    ordered.sort_by_cached_key(|finding| {
        let at = finding.labels.first().map(|label| {
            let (file, span) = sources.span(&label.place);
            (file, sources.line_column(file, span.start).0, span.start)
        });
        let line = at.map(|(file, line, _)| (file, line));
        (line, finding.code, at, (*finding).clone())
    });
    ordered
}

/// The word for a severity.
fn severity_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "stop",
        Severity::Undecided => "undecided",
        Severity::Note => "note",
    }
}
