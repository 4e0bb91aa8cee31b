//! The dossiers, checked and typed: what every later stage works on.
//!
//! Invariant of a [`Model`]: every id in it is valid in its own table, every value has been read exactly, and each
//! entity knows the record that it came from. A record that has faults is left out (or the faulty part of it is), so
//! a model made from a faulty project is smaller than the project but never wrong about what it holds; the findings
//! that [`lower`](crate::lower) gives beside it say what is missing.

mod assumed;
pub mod condition;
mod losses;
mod rivets;
mod sheet;
mod shop;

pub use assumed::Unrecorded;
pub use condition::Condition;
pub use losses::{Hit, Loss, LossId, Losses, Marks, Touches};
pub use rivets::{Rivets, SkinJoint};
pub use sheet::{Bend, Curve, CurvedFlange, Flat, Run};
pub use shop::{
    Accepted, BookEntry, Decided, Decision, Deviation, FormedOn, FormingPlace, FormingTool, Jig, MadePart, MeantFor,
    MeasuredHole, MountedPlate, Reclaimed, SetFor, StageDone, Survey,
};

use crate::finding::{Place, RecordRef};
use crate::geometry::{Girth, Outline};
use crate::ids::{
    AirframeId, BuildStateId, ClaimId, DrawingId, EvidenceId, FrameId, JigId, ModId, PartId, PlateId, PositionId, Table,
};
use crate::quantity::{Config, Day, Length, Mass, Serial, SerialSet, SurveyLimits, Window};
use crate::schema::{Form, Grade, Hand, Source, Standing, ToolKind, Treatment};
use indexmap::IndexMap;
use serde::Serialize;

/// A whole project: the type, its airframes and the shop.
#[derive(Clone, Debug, Default)]
pub struct Model {
    /// The aircraft type; `None` only if no `Type` record could be read.
    pub type_of: Option<TypeOf>,
    /// Serial blocks, by series and first serial.
    pub blocks: Vec<SerialBlock>,
    /// The drawing register, by number and sheet (`60-2205` or `60-2205 sheet 2`).
    pub drawings: Table<DrawingId, Drawing>,
    /// Parts by part number.
    pub parts: Table<PartId, Part>,
    /// Positions by assembly and find number (`60-2200/10`).
    pub positions: Table<PositionId, Position>,
    /// Separately embodied modifications: `M014`, or `M014/A` for the parts of one that has parts.
    pub mods: Table<ModId, Modification>,
    /// The numbers of modifications that have parts, with these.
    pub mods_with_parts: IndexMap<String, Vec<ModId>>,
    /// One-of groups.
    pub one_ofs: Vec<OneOf>,
    /// Frames by name.
    pub frames: Table<FrameId, Frame>,
    /// Joints of the skin that run fore and aft, by name.
    pub skin_joints: Vec<SkinJoint>,
    /// Jig-plate definitions by plate number.
    pub plates: Table<PlateId, Plate>,
    /// Airframes by serial.
    pub airframes: Table<AirframeId, Airframe>,
    /// Jigs by name.
    pub jigs: Table<JigId, Jig>,
    /// Hole surveys.
    pub surveys: Vec<Survey>,
    /// Parts made or reclaimed.
    pub made_parts: Vec<MadePart>,
    /// Concessions and deviation permits, by reference.
    pub deviations: Vec<Deviation>,
    /// Forming tools, by mark.
    pub tools: Vec<FormingTool>,
    /// The decision book, by number.
    pub decisions: Vec<Decision>,
    /// The entries of the decision book that could be read, by number.
    pub book: Vec<BookEntry>,
    /// The findings that the workshop accepts, in file order.
    pub accepted: Vec<Accepted>,
    /// What could not be read or taken in.
    pub losses: Losses,
    /// From where on the figures of a survey are asked about; where the project's own limits were not read, those of the
    /// program, and every survey is marked.
    pub survey_limits: SurveyLimits,
    /// The tables that answers lean on.
    pub config: Config,
}

/// The aircraft type.
#[derive(Clone, Debug)]
pub struct TypeOf {
    /// Its record.
    pub record: RecordRef,
    /// What it is called.
    pub name: String,
    /// Who designed it.
    pub maker: Option<String>,
    /// The part that is the whole airframe.
    pub airframe: PartId,
    /// Where stations are measured from.
    pub datum: Option<String>,
}

/// A block of serials of one factory.
#[derive(Clone, Debug)]
pub struct SerialBlock {
    /// Its record.
    pub record: RecordRef,
    /// Its first and last serial; the same prefix and suffix.
    pub first: Serial,
    /// The last serial.
    pub last: Serial,
    /// The factory.
    pub factory: String,
    /// The model or mark.
    pub model: Option<String>,
    /// Line numbers by serial number; empty if the block gives none.
    pub lines: IndexMap<u32, u32>,
}

/// A sheet of the drawing register.
#[derive(Clone, Debug)]
pub struct Drawing {
    /// Its record.
    pub record: RecordRef,
    /// The drawing number.
    pub number: String,
    /// The sheet.
    pub sheet: Option<String>,
    /// What it shows.
    pub title: String,
    /// Its issues, in the register's order, which is the order of issue; at least one.
    pub issues: Vec<Issue>,
    /// The issues that the workshop holds (indices), where that is recorded.
    pub held: Option<Vec<usize>>,
}

/// An issue of a drawing.
#[derive(Clone, Debug)]
pub struct Issue {
    /// The issue letter or number.
    pub issue: String,
    /// When it was issued.
    pub date: Window,
    /// The modification that raised it.
    pub raised_by: Option<ModId>,
    /// Whether it is interchangeable with the issue before.
    pub interchangeable: Option<bool>,
}

/// A part number.
#[derive(Clone, Debug)]
pub struct Part {
    /// Where it is written: its record, or the text of it that could not be read.
    pub place: Place,
    /// What it is.
    pub description: String,
    /// Port, starboard or none.
    pub hand: Option<Hand>,
    /// The part that is its opposite hand, as recorded by either of the two.
    pub opposite: Option<PartId>,
    /// The drawing sheet.
    pub drawing: Option<DrawingId>,
    /// The material specification.
    pub material: Option<String>,
    /// The temper or condition.
    pub temper: Option<String>,
    /// The thickness.
    pub thickness: Option<Length>,
    /// Made, bought or standard; `None` if its record could not be read, and only its number is known.
    pub source: Option<Source>,
    /// The mass.
    pub mass: Option<Mass>,
    /// The kinds of forming tool that it is made on.
    pub tools: Vec<ToolKind>,
    /// Its bends and flanges.
    pub flat: Option<Flat>,
    /// The coefficient of linear expansion, per kelvin.
    pub expansion: Option<f64>,
    /// What the part is made up of, if it is an assembly: its positions in find-number order as written.
    pub positions: Vec<PositionId>,
    /// The `Assembly` record, if the part has one.
    pub assembly: Option<RecordRef>,
}

impl Part {
    /// A part of which only the number is known, for its record could not be read.
    pub(super) fn lost(place: Place, assembly: Option<RecordRef>) -> Part {
        Part {
            place,
            description: String::new(),
            hand: None,
            opposite: None,
            drawing: None,
            material: None,
            temper: None,
            thickness: None,
            source: None,
            mass: None,
            tools: Vec::new(),
            flat: None,
            expansion: None,
            positions: Vec::new(),
            assembly,
        }
    }
    /// Whether it comes into the workshop whole, with all that it is made up of.
    #[must_use]
    pub fn is_got_whole(&self) -> bool {
        self.source.is_some_and(|source| source != Source::Made)
    }
}

/// A position of an assembly.
#[derive(Clone, Debug)]
pub struct Position {
    /// Where it is written: the item in the assembly's list.
    pub place: Place,
    /// The assembly.
    pub assembly: PartId,
    /// The find number.
    pub find: String,
    /// What the position is called.
    pub name: Option<String>,
    /// How many are fitted.
    pub quantity: u32,
    /// The station.
    pub station: Option<Length>,
    /// What may be fitted, in the order written.
    pub candidates: Vec<Candidate>,
    /// When nothing is fitted.
    pub nothing_when: Option<Condition>,
}

/// A part that may be fitted at a position.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// The part.
    pub part: PartId,
    /// When it is fitted.
    pub when: Condition,
    /// How many: the position's quantity, or its own.
    pub quantity: u32,
}

/// A modification, or a named part of one, that is embodied on its own.
#[derive(Clone, Debug)]
pub struct Modification {
    /// Where it is written: the record, or the item in its list of parts.
    pub place: Place,
    /// What it does.
    pub title: String,
    /// Its class.
    pub class: Option<String>,
    /// Its leaflet.
    pub leaflet: Option<String>,
    /// What must be embodied by the time that this is, with where each is written.
    pub requires: Vec<(ModId, Place)>,
    /// What is never embodied together with it, with where each is written (on this side only).
    pub excludes: Vec<(ModId, Place)>,
    /// In whose place it serves.
    pub supersedes: Vec<(ModId, Place)>,
    /// The production form.
    pub production: Option<Production>,
    /// The retrospective form.
    pub retrospective: Option<Retrospective>,
    /// What the leaflet deletes and introduces.
    pub changes: Vec<LeafletChange>,
}

/// The production form of a modification.
#[derive(Clone, Debug)]
pub struct Production {
    /// Where it is written.
    pub place: Place,
    /// The serials that it covers, cut-ins by line number and exceptions worked in; of those in some serial block.
    pub covers: SerialSet,
}

/// The retrospective form of a modification.
#[derive(Clone, Debug)]
pub struct Retrospective {
    /// Where it is written.
    pub place: Place,
    /// The date of the leaflet. Where it is not known to the day, only its earliest day binds.
    pub leaflet_date: Window,
    /// The serials that it may be embodied on; `None`: all.
    pub eligible: Option<SerialSet>,
}

/// What a leaflet deletes and introduces.
#[derive(Clone, Debug)]
pub struct LeafletChange {
    /// Where it is written.
    pub place: Place,
    /// For which form; `None`: for every form that the modification has.
    pub form: Option<Form>,
    /// The position; `None`: wherever these parts stand.
    pub position: Option<PositionId>,
    /// Parts that come out.
    pub delete: Vec<PartId>,
    /// Parts that go in.
    pub introduce: Vec<PartId>,
}

/// A group of modifications of which one (at most, or exactly) is embodied at a time.
#[derive(Clone, Debug)]
pub struct OneOf {
    /// Its record.
    pub record: RecordRef,
    /// What it is called.
    pub name: String,
    /// Its members; at least two.
    pub members: Vec<ModId>,
    /// From when on the rule holds. Where it is not known to the day, only its latest day binds.
    pub introduced: Window,
    /// Whether exactly one must be embodied.
    pub exactly: bool,
}

/// A frame.
#[derive(Clone, Debug)]
pub struct Frame {
    /// Its record.
    pub record: RecordRef,
    /// A longer description.
    pub title: Option<String>,
    /// Its assembly.
    pub assembly: PartId,
    /// Its station.
    pub station: Length,
    /// The path along its metal.
    pub girth: Girth,
    /// Named splice points in the order written, with their place along the path.
    pub splice_points: Vec<SplicePoint>,
    /// The segment variants.
    pub segments: Vec<Segment>,
    /// The openings.
    pub openings: Vec<Opening>,
    /// The next frame aft of it.
    pub next_aft: Option<FrameId>,
}

/// A splice point of a frame.
#[derive(Clone, Debug)]
pub struct SplicePoint {
    /// Where it is written.
    pub place: Place,
    /// Its name.
    pub name: String,
    /// As written (`"122deg"`, `"14.5in"`).
    pub text: String,
    /// The distance along the path from its start, in millimetres.
    pub girth_mm: f64,
    /// The parts that make the joint.
    pub joined_by: Vec<PartId>,
    /// Its rivets, by groups that are alike.
    pub rivets: Vec<Rivets>,
}

/// Where a part runs on a frame. Indices are of the frame's splice points.
#[derive(Clone, Debug)]
pub struct Segment {
    /// Where it is written.
    pub place: Place,
    /// The part.
    pub part: PartId,
    /// Where it starts; the run goes clockwise.
    pub from: usize,
    /// Where it ends.
    pub to: usize,
    /// How far it runs past its start.
    pub lap_from: Option<Length>,
    /// How far it runs past its end.
    pub lap_to: Option<Length>,
}

/// An opening of a frame. Indices are of the frame's splice points.
#[derive(Clone, Debug)]
pub struct Opening {
    /// Where it is written.
    pub place: Place,
    /// What it is called.
    pub name: String,
    /// Where it starts, clockwise.
    pub from: usize,
    /// Where it ends.
    pub to: usize,
    /// When it is there.
    pub when: Condition,
    /// The pieces that bridge it.
    pub bridged_by: Vec<PartId>,
}

/// A jig-plate definition.
#[derive(Clone, Debug)]
pub struct Plate {
    /// Its record.
    pub record: RecordRef,
    /// The station of the jig.
    pub jig_station: String,
    /// What it is for.
    pub title: Option<String>,
    /// The issue of the plate drawing.
    pub issue: Option<String>,
    /// What it is made of.
    pub material: Option<String>,
    /// How thick it is.
    pub thickness: Option<Length>,
    /// What is stamped on its marked face, where that is not the plate number.
    pub stamp: Option<String>,
    /// The parts that it locates; at least one.
    pub locates: Vec<PartId>,
    /// Its holes.
    pub holes: Vec<Hole>,
    /// Groups of its holes that can move as one.
    pub members: Vec<Member>,
    /// Its edge, where that is recorded.
    pub outline: Option<Outline>,
}

/// Holes of a plate that can move as one.
///
/// Invariant: at least two holes, each once.
#[derive(Clone, Debug)]
pub struct Member {
    /// What it is called.
    pub name: String,
    /// Its holes (indices).
    pub holes: Vec<usize>,
    /// Whether they were laid off one from the next, in this order.
    pub row: bool,
}

/// A nominal hole of a plate, in the jig's datum axes.
#[derive(Clone, Debug)]
pub struct Hole {
    /// Where it is written.
    pub place: Place,
    /// Its name.
    pub name: String,
    /// Its place.
    pub at: [Length; 3],
    /// Its diameter.
    pub diameter: Length,
    /// The diameter of the position tolerance zone.
    pub tolerance: Length,
    /// The tolerance class that it was given by, if it was.
    pub class: Option<String>,
    /// Where the zone grows at maximum material condition: the smallest permitted hole.
    pub smallest: Option<Length>,
    /// Whether it is one of the jig's own datums.
    pub datum: bool,
    /// How it is made, where that is recorded.
    pub treatment: Option<Treatment>,
}

/// An airframe dossier.
#[derive(Clone, Debug)]
pub struct Airframe {
    /// Its record.
    pub record: RecordRef,
    /// Its serial.
    pub serial: Serial,
    /// Which serial block it belongs to (an index).
    pub block: usize,
    /// When it was built; starts and ends on known days.
    pub built: Window,
    /// When it was delivered.
    pub delivered: Option<Window>,
    /// The evidence register, by the item's name.
    pub evidence: Table<EvidenceId, Evidence>,
    /// Claims by name; what an assumption assumes follows behind as doubtful claims (`A1`, or `A1 M014`).
    pub claims: Table<ClaimId, Claim>,
    /// The assumptions about what is not recorded; what they stand for is among the claims.
    pub unrecorded: Vec<Unrecorded>,
    /// Named build states.
    pub build_states: Table<BuildStateId, BuildState>,
}

/// An item of the evidence register.
#[derive(Clone, Debug)]
pub struct Evidence {
    /// Its record.
    pub record: RecordRef,
    /// What kind of thing it is.
    pub kind: String,
    /// What it says on it.
    pub reference: String,
    /// Its own date.
    pub date: Option<Window>,
    /// Where it is kept.
    pub kept: Option<String>,
    /// The files of the project folder that show it.
    pub shown_in: Vec<PaperPlace>,
    /// How far it is to be trusted.
    pub grade: Grade,
}

/// A place on paper or on a picture. At least one of its fields is known.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct PaperPlace {
    /// The file that shows it, below the project folder.
    pub file: Option<String>,
    /// The page.
    pub page: Option<String>,
    /// Where on it.
    pub place: Option<String>,
}

/// A claim, written or assumed.
#[derive(Clone, Debug)]
pub struct Claim {
    /// Its record: of the claim, or of the assumption that made it.
    pub record: RecordRef,
    /// What it says.
    pub says: Statement,
    /// When.
    pub when: Window,
    /// The evidence that it rests on; empty for an assumption.
    pub rests_on: Vec<EvidenceId>,
    /// Where on that evidence it is read.
    pub read_on: Vec<(EvidenceId, PaperPlace)>,
    /// Firm or doubtful.
    pub standing: Standing,
    /// The best grade of its evidence; `None`, the weakest, for an assumption.
    pub grade: Option<Grade>,
    /// The reason that the assumption gives, if it is one.
    pub assumed: Option<String>,
}

/// What a claim says.
#[derive(Clone, Debug, PartialEq)]
pub enum Statement {
    /// Embodied, by any form or by the named one.
    Embodied(ModId, Option<Form>),
    /// Not embodied.
    NotEmbodied(ModId),
    /// Taken out.
    Removed(ModId),
    /// This candidate (an index; `None`: nothing) of the position was seen fitted.
    SeenAt(PositionId, Option<usize>),
    /// A splice was seen at this point (an index) of the frame, or seen to be absent.
    SeenSplice(FrameId, usize, bool),
    /// The hole pattern of this plate was seen in the metal.
    SeenPattern(PlateId),
}

/// A named build state.
#[derive(Clone, Debug)]
pub struct BuildState {
    /// Its record.
    pub record: RecordRef,
    /// The date that it rebuilds to (a whole day).
    pub date: Day,
    /// Modifications added on purpose, with the place and the reason.
    pub add: Vec<(ModId, Place, String)>,
    /// Modifications left out on purpose, with the place and the reason.
    pub leave_out: Vec<(ModId, Place, String)>,
}
