//! Text laid out for people, findings among it; and findings for other programs.

mod anchor;
mod csv;
pub(crate) mod excerpt;
pub(crate) mod findings;
pub(crate) mod html;
pub(crate) mod json;
mod page;
mod stops;
mod table;
pub(crate) mod text;
pub(crate) mod workbook;

pub(crate) use anchor::Anchors;
pub use anchor::{Anchor, AnchorKind};
pub(crate) use csv::guarded;
pub(crate) use findings::findings_page;
pub use findings::{Style, place_text, render_findings, short_findings};
pub use json::{checked_json, findings_json};
pub use page::{CAUTION, Finished, Page};
pub(crate) use stops::StopsTable;
pub use table::{Blank, Columns, PageTable, RowWeight, Side};

use crate::finding::{Finding, Severity};
use crate::source::Sources;

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
