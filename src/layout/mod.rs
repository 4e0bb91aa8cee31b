//! Text laid out for people, findings among it; and findings for other programs.

pub(crate) mod excerpt;
pub(crate) mod findings;
pub(crate) mod json;
pub(crate) mod text;

pub use findings::{Style, render_findings};
pub use json::findings_json;

use crate::finding::{Finding, Severity};
use crate::source::Sources;

/// What stands on every bill, jig verdict and variant.
pub const CAUTION: &str = "Compiled from the records entered. Not approved data; not an airworthiness or conformity \
                           statement. The licensed engineer or inspector and the local authority decide.";

/// The findings in the order in which they are shown: by the file and line of the first label, then by code.
pub(crate) fn ordered<'a>(findings: &'a [Finding], sources: &Sources) -> Vec<&'a Finding> {
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
pub(crate) fn severity_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "stop",
        Severity::Undecided => "undecided",
        Severity::Note => "note",
    }
}
