//! Answers and findings as text for people, and as CSV and JSON for other programs.
//!
//! Every answer is one value: a struct with what was found and why. Its text is made from it by a pure function, and
//! its JSON is the struct itself, field by field, so that the docs of its fields are the docs of the JSON. Names of
//! fields are stable; new ones may be added.

mod advice;
mod answer;
mod asked;
mod bill;
mod book;
mod decisions;
mod differ;
mod drawings;
mod excerpt;
mod figures;
mod flat;
mod fleet;
mod frame;
mod intake;
mod jig;
mod json;
mod layout;
mod permits;
mod picture;
mod rack;
mod reasons;
mod records;
mod reference;
mod rework;
mod seek;
mod state;
mod survey;
mod template;
mod terminal;
mod todo;
mod tools;
mod variant;
mod watch;
mod why;

pub use advice::AdviceLine;
pub(crate) use answer::what;
pub use answer::{NotRead, Outcome, Verdicts, closed, mark_text};
pub use asked::{Asked, Assumed, At, Both, Choice, Picked, Say};
pub use bill::{
    Beside, BillView, bill_csv, bill_json, bill_remarks, bill_text, bill_trouble_words, bill_workbook,
    differing_positions,
};
pub use book::{book_json, book_text, entry_text};
pub use decisions::{DecisionRow, DecisionsReport, NextDecision, decisions_report, decisions_text};
pub use differ::{DifferReport, Kind, Row, differ_report, differ_text};
pub use drawings::{DrawingRow, DrawingsReport, drawings_report, drawings_text};
pub use flat::{BendRow, FlangeRow, FlatReport, PublishedRow, RunRow, flat_report, flat_text, not_read_of_flat};
pub use fleet::{FleetFitted, FleetReport, FleetRow, FleetSubject, fleet_report, fleet_text};
pub use frame::{FramePlane, FrameReport, SegmentMarks, frame_report, frame_text};
pub use intake::{IntakeReport, IntakeRow, intake_report, intake_text};
pub use jig::{JigReport, JigStand, JigStation, MeasuredPlate, NeededPlate, Proof, RestsOn, jig_report, jig_text};
pub use json::findings_json;
pub use permits::Permission;
pub use picture::{frame_picture, survey_picture};
pub use rack::{RackReport, RackRow, rack_report, rack_text};
pub use reasons::{Because, Ground, Item, Step};
pub use records::{
    AirframeTally, Entered, EnteredAirframe, EnteredAssumption, EnteredBlock, EnteredBuildState, EnteredCandidate,
    EnteredClaim, EnteredDrawing, EnteredEvidence, EnteredFrame, EnteredIssue, EnteredMod, EnteredOneOf, EnteredPart,
    EnteredPlate, EnteredPosition, EnteredProduction, EnteredRetrospective, FileTally, KindTally, RecordsReport, Says,
    When, WrittenProduction, WrittenRecord, WrittenRetrospective, records_report, records_text,
};
pub use reference::{Topic, kinds_text, reference_markdown, topic_json, topic_text};
pub use rework::{ReworkKind, ReworkReport, ReworkStep, ReworkWait, rework_report, rework_text};
pub use seek::{Found, SeekReport, Sought, seek_report, seek_text};
pub use state::{ModLine, StateFilter, StateReport, state_report, state_text};
pub use survey::{Counts, HoleVerdict, HolesWord, IdentityWord, SurveyReport, survey_report, survey_text};
pub use template::{not_read_of_template, plate_template};
pub use terminal::{Style, render_findings};
pub use todo::{BatchRow, MaterialRow, Station, TodoReport, TodoRow, UnfinishedRow, todo_report, todo_text};
pub use tools::{ToolRow, ToolsReport, tools_report, tools_text};
pub use variant::{PartIssues, PartReport, PositionReport, part_report, part_text, position_report, position_text};
pub use watch::{Gone, LostPiece, Moved, Seen, WatchReport, watch_report, watch_text};
pub use why::{WhyReport, WhySubject, why_report, why_text};

use crate::finding::{Finding, Severity};
use crate::source::Sources;

/// What stands on every bill, jig verdict and variant.
pub const CAUTION: &str = "Compiled from the records entered. Not approved data; not an airworthiness or conformity \
                           statement. The licensed engineer or inspector and the local authority decide.";

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
