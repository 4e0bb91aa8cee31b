//! Answers and findings as text for people, and as CSV and JSON for other programs.
//!
//! Every answer is one value: a struct with what was found and why. Its text is made from it by a pure function, and
//! its JSON is the struct itself, field by field, so that the docs of its fields are the docs of the JSON. Names of
//! fields are stable; new ones may be added.

mod advice;
pub(crate) mod answer;
pub(crate) mod asked;
mod bill;
mod book;
mod decisions;
mod differ;
mod drawings;
mod figures;
mod flat;
mod fleet;
pub(crate) mod form;
pub(crate) mod frame;
mod intake;
pub(crate) mod jig;
mod life;
mod made;
mod permits;
mod rack;
mod reasons;
mod records;
mod reference;
mod register;
mod rework;
mod seek;
mod since;
mod state;
pub(crate) mod survey;
mod todo;
mod tools;
mod variant;
mod watch;
mod why;

pub use advice::{AdviceLine, MoveAt};
pub use answer::{NotRead, Outcome, Verdicts, finished, mark_text};
pub(crate) use answer::{foot, uses_terms, what};
pub use asked::{Asked, Assumed, At, Both, ChosenMod, Picked, Say};
pub use bill::{
    Beside, BillView, bill_csv, bill_json, bill_page, bill_remarks, bill_trouble_words, bill_workbook,
    differing_positions,
};
pub use book::{book_json, entry_page};
pub use decisions::{DecisionRow, DecisionsReport, NextDecision, decisions_page, decisions_report};
pub use differ::{DifferList, DifferReport, DifferRow, differ_page, differ_report};
pub use drawings::{DrawingRow, DrawingsReport, drawings_page, drawings_report};
pub use flat::{FlangeRow, FlatBendRow, FlatReport, PublishedRow, RunRow, flat_page, flat_report, not_read_of_flat};
pub use fleet::{FleetFitted, FleetReport, FleetRow, FleetSubject, fleet_page, fleet_report};
pub use form::{
    BetweenPlates, DistanceKind, Dowel, DowelLine, DrillingForm, DrillingRow, FormAsked, FormHead, FormHole, FormKind,
    FormLimits, FormWait, OnForm, SettingForm, SettingStation, StampingForm, StampingRow, StrikePath, StrikePoint,
    SurveyForm, SurveyFormPlate, ZoneNeed, drilling_form, drilling_page, resurvey_form, setting_form, setting_page,
    stamping_form, stamping_page, survey_form, survey_form_page, survey_form_sheet,
};
pub use frame::{FramePlane, FrameReport, SegmentMarks, frame_page, frame_report};
pub use intake::{IntakeReport, IntakeRow, NewDossier, intake_page, intake_report};
pub use jig::{JigReport, JigStand, JigStation, MeasuredPlate, NeededPlate, PlateProof, RestsOn, jig_page, jig_report};
pub use life::{LifeEvent, LifeReport, LifeTrack, life_page, life_report};
pub use made::{FormedRow, FormedWord, MadeReport, MadeRow, StageRow, made_page, made_report};
pub use permits::Permission;
pub(crate) use permits::{permissions, permissions_page};
pub use rack::{RackReport, RackRow, rack_page, rack_report};
pub use reasons::{Because, EvidenceItem, Ground, ReasonStep};
pub use records::{
    AirframeTally, Entered, EnteredAirframe, EnteredAssumption, EnteredBlock, EnteredBuildState, EnteredCandidate,
    EnteredClaim, EnteredDrawing, EnteredEvidence, EnteredFrame, EnteredIssue, EnteredMod, EnteredOneOf, EnteredPart,
    EnteredPlate, EnteredPosition, EnteredProduction, EnteredRetrospective, FileTally, KindTally, RecordsReport, Says,
    When, WrittenProduction, WrittenRecord, WrittenRetrospective, records_page, records_report,
};
pub use reference::{Topic, book_page, kinds_page, reference_markdown, topic_json};
pub use register::{ClaimRow, EvidenceRow, RegisterReport, register_page, register_report};
pub use rework::{ReworkKind, ReworkReport, ReworkStep, ReworkWait, rework_page, rework_report};
pub use seek::{PossibleAnswer, SeekReport, Sought, seek_page, seek_report};
pub use since::{
    AnswerKind, CurrentReport, CurrentSheet, KeptAnswer, KeptAnswers, KeptRecord, RecordChange, SinceAnswer,
    SinceReasons, SinceRecord, SinceReport, SinceWhy, current_page, kept_answers, say_why, since_page, since_report,
};
pub use state::{ModLine, StateFilter, StateReport, state_page, state_report};
pub use survey::{HoleVerdict, HolesWord, IdentityWord, SurveyReport, SurveyValidity, survey_page, survey_report};
pub use todo::{BatchRow, MaterialRow, Station, TodoReport, TodoRow, UnfinishedRow, todo_page, todo_report};
pub use tools::{ToolRow, ToolsReport, tools_page, tools_report};
pub(crate) use variant::say_words;
pub use variant::{PartIssues, PartReport, PositionReport, part_page, part_report, position_page, position_report};
pub use watch::{Gone, LostPiece, Moved, ProjectSnapshot, WatchReport, watch_page, watch_report};
pub(crate) use why::why_body;
pub use why::{WhyReport, WhySubject, why_page, why_report};
