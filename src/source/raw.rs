//! The records as people write them: plain shapes for serde, every value still text.
//!
//! A file of a dossier is a RON list of these records. Nothing here is checked beyond its shape; the checks, and the
//! typed values, come in the `model` room.

mod girth;

pub use girth::{Girth, GirthPosition, Joining, Lean, Level, Offset, Ordinates, PathPoint, Plane, Sides};

use crate::finding::Place;
use serde::Deserialize;
use serde::de::{Deserializer, Error, SeqAccess, Visitor};

/// One record of a dossier file.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Record {
    /// The aircraft type.
    Type(Type),
    /// A block of serials.
    SerialBlock(SerialBlock),
    /// A sheet of the drawing register.
    Drawing(Drawing),
    /// A part number.
    Part(Part),
    /// The positions of a part that is an assembly.
    Assembly(Assembly),
    /// A modification.
    Modification(Modification),
    /// A group of modifications of which one (at most, or exactly) is embodied.
    OneOf(OneOf),
    /// A frame.
    Frame(Frame),
    /// A joint of the skin that runs fore and aft.
    SkinJoint(SkinJoint),
    /// A jig-plate definition.
    Plate(Plate),
    /// An airframe.
    Airframe(Airframe),
    /// An item of an airframe's evidence register.
    Evidence(Evidence),
    /// A claim about an airframe.
    Claim(Claim),
    /// A named assumption about an airframe.
    Assumption(Assumption),
    /// A named build state of an airframe.
    BuildState(BuildState),
    /// A jig on the shop floor.
    Jig(Jig),
    /// A survey of a mounted plate's holes.
    Survey(Survey),
    /// Parts made, or reclaimed from another airframe.
    MadePart(MadePart),
    /// A concession (for what was made).
    Concession(Deviation),
    /// A deviation permit (before it is made).
    DeviationPermit(Deviation),
    /// A tool that a part is formed, cut or drilled on.
    FormingTool(FormingTool),
    /// A decision of the workshop.
    Decision(Decision),
}

/// The names of all record kinds, as they are written.
pub const RECORD_KINDS: &[&str] = &[
    "Type",
    "SerialBlock",
    "Drawing",
    "Part",
    "Assembly",
    "Modification",
    "OneOf",
    "Frame",
    "SkinJoint",
    "Plate",
    "Airframe",
    "Evidence",
    "Claim",
    "Assumption",
    "BuildState",
    "Jig",
    "Survey",
    "MadePart",
    "Concession",
    "DeviationPermit",
    "FormingTool",
    "Decision",
];

impl Record {
    /// The name of its kind, as it is written.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Record::Type(_) => "Type",
            Record::SerialBlock(_) => "SerialBlock",
            Record::Drawing(_) => "Drawing",
            Record::Part(_) => "Part",
            Record::Assembly(_) => "Assembly",
            Record::Modification(_) => "Modification",
            Record::OneOf(_) => "OneOf",
            Record::Frame(_) => "Frame",
            Record::SkinJoint(_) => "SkinJoint",
            Record::Plate(_) => "Plate",
            Record::Airframe(_) => "Airframe",
            Record::Evidence(_) => "Evidence",
            Record::Claim(_) => "Claim",
            Record::Assumption(_) => "Assumption",
            Record::BuildState(_) => "BuildState",
            Record::Jig(_) => "Jig",
            Record::Survey(_) => "Survey",
            Record::MadePart(_) => "MadePart",
            Record::Concession(_) => "Concession",
            Record::DeviationPermit(_) => "DeviationPermit",
            Record::FormingTool(_) => "FormingTool",
            Record::Decision(_) => "Decision",
        }
    }
}

/// The aircraft type.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Type {
    /// What the type is called.
    pub name: String,
    /// Who designed it.
    #[serde(default)]
    pub maker: Option<String>,
    /// The part number of the whole airframe: the top of the structure.
    pub airframe: String,
    /// Where stations are measured from.
    #[serde(default)]
    pub datum: Option<String>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// A block of serials.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SerialBlock {
    /// A range of serials (`"HB101..HB160"`).
    pub serials: String,
    /// Which factory built them.
    pub factory: String,
    /// The model or mark, where the type has several.
    #[serde(default)]
    pub model: Option<String>,
    /// The place on the factory's line.
    #[serde(default)]
    pub line: Option<Line>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// Line numbers of a block.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Line {
    /// Line order is serial order; the first serial has this line number.
    From(u32),
    /// Line order is not serial order: the serials and ranges in the order in which they left the line, the first of
    /// them with this line number.
    Order(u32, Vec<String>),
}

/// A sheet of the drawing register.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Drawing {
    /// The drawing number.
    pub number: String,
    /// The sheet, where there are several.
    #[serde(default)]
    pub sheet: Option<String>,
    /// What it shows.
    pub title: String,
    /// Its issues, oldest first.
    pub issues: Vec<Issue>,
    /// Which issues the workshop holds; left out: not recorded.
    #[serde(default)]
    pub held: Option<Vec<String>>,
}

/// An issue of a drawing.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Issue {
    /// The issue letter or number.
    pub issue: String,
    /// When it was issued.
    pub date: String,
    /// The modification that raised it.
    #[serde(default)]
    pub raised_by: Option<String>,
    /// Whether parts to this issue are interchangeable with parts to the issue before.
    #[serde(default)]
    pub interchangeable: Option<bool>,
}

/// A part number.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Part {
    /// The part number.
    pub number: String,
    /// What it is.
    pub description: String,
    /// Port or starboard, where it has a hand.
    #[serde(default)]
    pub hand: Option<Hand>,
    /// The part of which it is the opposite hand; its own hand follows.
    #[serde(default)]
    pub opposite_of: Option<String>,
    /// The drawing.
    #[serde(default)]
    pub drawing: Option<String>,
    /// The sheet of the drawing.
    #[serde(default)]
    pub sheet: Option<String>,
    /// The material specification.
    #[serde(default)]
    pub material: Option<String>,
    /// The temper or condition.
    #[serde(default)]
    pub temper: Option<String>,
    /// The thickness or gauge.
    #[serde(default)]
    pub thickness: Option<String>,
    /// Made, bought or a standard part.
    pub source: Source,
    /// The mass with its unit (`"0.42kg"`, `"1.2lb"`).
    #[serde(default)]
    pub mass: Option<String>,
    /// The kinds of forming tool that it is made on.
    #[serde(default)]
    pub tools: Vec<ToolKind>,
    /// Its bends and flanges, where it is bent from sheet.
    #[serde(default)]
    pub flat: Option<Flat>,
    /// The coefficient of linear expansion of its metal (`"23.0e-6/K"`).
    #[serde(default)]
    pub expansion: Option<String>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// What a forming tool is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, serde::Serialize)]
pub enum ToolKind {
    /// A block that a part is formed over.
    FormBlock,
    /// A template of the flat pattern, for cutting blanks.
    FlatPattern,
    /// A template for drilling.
    DrillTemplate,
}

/// The bends and flanges of a part that is bent from sheet of one thickness: the part's own.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Flat {
    /// The alloy and temper in which it is bent, named as published tables name it (`"2024-O"`).
    #[serde(default)]
    pub bent_in: Option<String>,
    /// The legs of its section from one free edge to the other, each measured to the mold lines of its bends.
    pub legs: Vec<String>,
    /// The bends between the legs: one fewer than legs.
    pub bends: Vec<Bend>,
    /// What is left for trimming at each of the two free edges.
    #[serde(default)]
    pub trim: Option<String>,
    /// Flanges that follow a curve.
    #[serde(default)]
    pub flanges: Vec<CurvedFlange>,
}

/// A bend.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bend {
    /// How far the sheet is bent from flat (`"90deg"`); over 0 and under 180 degrees.
    pub angle: String,
    /// The inside radius.
    pub radius: String,
}

/// A flange that follows a curve; it may turn from one curve into another along its length.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CurvedFlange {
    /// What it is called.
    pub name: String,
    /// Its width on the flat, from the bend line to the free edge, without the trim allowance.
    pub width: String,
    /// How far it is turned from flat; left out: 90 degrees.
    #[serde(default)]
    pub angle: Option<String>,
    /// Its runs, in order along its length.
    pub runs: Vec<Run>,
}

/// A run of a flange along which its curve stays the same.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Run {
    /// How long it is along the bend line.
    pub length: String,
    /// How the bend line runs.
    pub curve: Curve,
}

/// How the bend line of a flange runs, seen on the flat.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Curve {
    /// Straight.
    Straight,
    /// Hollow: the blank's edge lies inside the bend line, so that the flange is stretched. The radius of the bend line.
    Stretch(String),
    /// Bulging: the blank's edge lies outside the bend line, so that the flange is shrunk. The radius of the bend line.
    Shrink(String),
}

/// Which side a part is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, serde::Serialize)]
pub enum Hand {
    /// The left side, looking forward.
    Port,
    /// The right side, looking forward.
    Starboard,
}

/// Where a part comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Deserialize, serde::Serialize)]
pub enum Source {
    /// Made in the workshop.
    Made,
    /// Bought from somebody who makes it.
    Bought,
    /// A standard part (a rivet, a bolt).
    Standard,
}

/// The positions of a part that is an assembly.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Assembly {
    /// The part number of the assembly.
    pub part: String,
    /// Its positions.
    pub positions: Vec<Position>,
}

/// A position: a find number of an assembly, and what may be fitted there.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Position {
    /// The find number.
    pub find: String,
    /// What the position is called.
    #[serde(default)]
    pub name: Option<String>,
    /// How many are fitted (1 when left out).
    #[serde(default)]
    pub quantity: Option<u32>,
    /// The station.
    #[serde(default)]
    pub station: Option<String>,
    /// What may be fitted.
    pub candidates: Vec<Candidate>,
    /// When nothing is fitted.
    #[serde(default)]
    pub nothing_when: Option<Condition>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// A part that may be fitted at a position.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Candidate {
    /// The part number.
    pub part: String,
    /// When it is fitted; left out: always.
    #[serde(default)]
    pub when: Option<Condition>,
    /// How many, where this variant is fitted in another quantity than the position says.
    #[serde(default)]
    pub quantity: Option<u32>,
}

/// When something holds.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub enum Condition {
    /// The modification is embodied, by any form or by the named one: `Post("M014")`, `Post("M014", Retrospective)`.
    Post(PostArguments),
    /// The modification is not embodied: `Pre("M014")`.
    Pre(String),
    /// The airframe's serial lies in one of the ranges: `Serials("HB101..HB120", "HB133")`.
    Serials(SerialArguments),
    /// All of these.
    All(Vec<Condition>),
    /// At least one of these.
    Any(Vec<Condition>),
    /// Not this.
    Not(Box<Condition>),
}

/// The arguments of `Post`.
#[derive(Clone, Debug, PartialEq)]
pub struct PostArguments {
    /// The modification.
    pub modification: String,
    /// The form, where only one of them is meant.
    pub by: Option<Form>,
}

/// The arguments of `Serials`.
#[derive(Clone, Debug, PartialEq)]
pub struct SerialArguments(pub Vec<String>);

impl<'de> Deserialize<'de> for PostArguments {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Arguments;
        impl<'de> Visitor<'de> for Arguments {
            type Value = PostArguments;
            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("a modification number and, if one form is meant, Production or Retrospective")
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut arguments: A) -> Result<PostArguments, A::Error> {
                let modification = arguments.next_element()?.ok_or_else(|| A::Error::invalid_length(0, &self))?;
                Ok(PostArguments { modification, by: arguments.next_element()? })
            }
        }
        deserializer.deserialize_tuple(2, Arguments)
    }
}

impl<'de> Deserialize<'de> for SerialArguments {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Arguments;
        impl<'de> Visitor<'de> for Arguments {
            type Value = SerialArguments;
            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("serials or ranges of serials")
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut arguments: A) -> Result<SerialArguments, A::Error> {
                let mut ranges = Vec::new();
                while let Some(range) = arguments.next_element()? {
                    ranges.push(range);
                }
                Ok(SerialArguments(ranges))
            }
        }
        deserializer.deserialize_tuple(usize::MAX, Arguments)
    }
}

/// How a modification was embodied.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, serde::Serialize)]
pub enum Form {
    /// Built in on the production line.
    Production,
    /// Embodied afterwards.
    Retrospective,
}

/// A modification.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Modification {
    /// Its number: a name, in no order of time.
    pub number: String,
    /// What it does.
    pub title: String,
    /// Its class (for instance "B, mandatory at next overhaul").
    #[serde(default)]
    pub class: Option<String>,
    /// Its leaflet.
    #[serde(default)]
    pub leaflet: Option<String>,
    /// Modifications that must be embodied by the time that this one is.
    #[serde(default)]
    pub requires: Vec<String>,
    /// Modifications that are never embodied together with this one.
    #[serde(default)]
    pub excludes: Vec<String>,
    /// Modifications in whose place this one serves where they are required.
    #[serde(default)]
    pub supersedes: Vec<String>,
    /// The form built in on the line.
    #[serde(default)]
    pub production: Option<Production>,
    /// The form embodied afterwards.
    #[serde(default)]
    pub retrospective: Option<Retrospective>,
    /// Named parts, each embodied on its own; what a part leaves out it takes from the modification.
    #[serde(default)]
    pub parts: Vec<ModificationPart>,
    /// What the leaflet deletes and introduces.
    #[serde(default)]
    pub changes: Vec<LeafletChange>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// A named part of a modification (`Part A`).
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ModificationPart {
    /// Its name (`"A"`); elsewhere it is written behind the number: `"M014/A"`.
    pub part: String,
    /// What it does.
    #[serde(default)]
    pub title: Option<String>,
    /// As for a modification; added to what the whole modification requires.
    #[serde(default)]
    pub requires: Vec<String>,
    /// As for a modification.
    #[serde(default)]
    pub excludes: Vec<String>,
    /// As for a modification.
    #[serde(default)]
    pub supersedes: Vec<String>,
    /// As for a modification.
    #[serde(default)]
    pub production: Option<Production>,
    /// As for a modification.
    #[serde(default)]
    pub retrospective: Option<Retrospective>,
    /// As for a modification.
    #[serde(default)]
    pub changes: Vec<LeafletChange>,
}

/// Where production embodiment cuts in. A serial is covered if it is named by `from`, `line` or `ranges` and not
/// excepted.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Production {
    /// Cut-in serials: each with every later serial of its series.
    #[serde(default)]
    pub from: Vec<String>,
    /// Cut-in line numbers: each with every later number of that factory's line.
    #[serde(default)]
    pub line: Vec<LineCutIn>,
    /// Further serials and ranges.
    #[serde(default)]
    pub ranges: Vec<String>,
    /// Serials and ranges that are not covered all the same.
    #[serde(default)]
    pub except: Vec<String>,
}

/// A cut-in on one factory's line.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LineCutIn {
    /// The factory.
    pub factory: String,
    /// The first line number that is covered.
    pub number: u32,
}

/// Embodiment after delivery.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Retrospective {
    /// The date of the leaflet: nobody could embody it before.
    pub leaflet_date: String,
    /// The serials and ranges that it may be embodied on; left out: all.
    #[serde(default)]
    pub eligible: Option<Vec<String>>,
    /// Serials and ranges that it may not be embodied on all the same.
    #[serde(default)]
    pub except: Vec<String>,
}

/// What a leaflet deletes and introduces at a position.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LeafletChange {
    /// For which form; left out: for every form.
    #[serde(default)]
    pub form: Option<Form>,
    /// The position (`"60-2200/10"`); left out: wherever these parts stand.
    #[serde(default)]
    pub position: Option<String>,
    /// Part numbers that come out.
    #[serde(default)]
    pub delete: Vec<String>,
    /// Part numbers that go in.
    #[serde(default)]
    pub introduce: Vec<String>,
}

/// A group of modifications of which only one is embodied at a time.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OneOf {
    /// What the group is called.
    pub name: String,
    /// Its members.
    pub modifications: Vec<String>,
    /// From when on the rule holds.
    pub introduced: String,
    /// Whether exactly one must be embodied; left out: at most one.
    #[serde(default)]
    pub exactly: bool,
}

/// A frame.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Frame {
    /// What the frame is called.
    pub name: String,
    /// A longer description.
    #[serde(default)]
    pub title: Option<String>,
    /// The part number of its assembly.
    pub assembly: String,
    /// Its station.
    pub station: String,
    /// The path round which its segments run.
    pub girth: Girth,
    /// The plane, or planes, that it lies in; left out: upright.
    #[serde(default)]
    pub plane: Plane,
    /// Named splice points.
    pub splice_points: Vec<SplicePoint>,
    /// The segment variants.
    pub segments: Vec<Segment>,
    /// Openings in the ring.
    #[serde(default)]
    pub openings: Vec<Opening>,
    /// The next frame aft of it, where that is in the dossier.
    #[serde(default)]
    pub next_aft: Option<String>,
}

/// A joint of the skin that runs fore and aft, at one clock angle.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SkinJoint {
    /// What it is called.
    pub name: String,
    /// Its clock angle in degrees, clockwise from the top, looking forward (`"122deg"`).
    pub clock: String,
    /// The station at one of its ends.
    pub from: String,
    /// The station at the other.
    pub to: String,
    /// When it is there; left out: always.
    #[serde(default)]
    pub when: Option<Condition>,
}

/// A named splice point.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SplicePoint {
    /// Its name.
    pub name: String,
    /// Where it is.
    pub at: GirthPosition,
    /// Parts that make the joint; each must be on the bill wherever this splice is used.
    #[serde(default)]
    pub joined_by: Vec<String>,
    /// Its rivets, by groups that are alike: those of a web, those of a flange.
    #[serde(default)]
    pub rivets: Vec<Rivets>,
}

/// Rivets of a splice that are alike.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rivets {
    /// What they are in, where a splice has several groups (`"web"`).
    #[serde(default)]
    pub of: Option<String>,
    /// The diameter of the rivet.
    pub diameter: String,
    /// What rivet it is.
    pub kind: RivetKind,
    /// How many rows stand across the lap; left out: one.
    #[serde(default)]
    pub rows: Option<u32>,
    /// How many there are: in a lap, in all of it; where the parts of a joint bridge it, on one side.
    #[serde(default)]
    pub number: Option<RivetNumber>,
    /// From rivet to rivet in a row.
    #[serde(default)]
    pub pitch: Option<String>,
    /// From row to row.
    #[serde(default)]
    pub row_spacing: Option<String>,
    /// From the centre of a rivet to the nearest edge.
    #[serde(default)]
    pub edge: Option<String>,
    /// How wide the sheet is that they join.
    #[serde(default)]
    pub across: Option<String>,
    /// The sheet, as a published table of rivets names it (`"2024-T3 clad"`); left out: held against none.
    #[serde(default)]
    pub sheet: Option<String>,
    /// Where a published table asks for fewer: what the member is; left out: the whole number.
    #[serde(default)]
    pub reduced: Option<Reduced>,
}

/// What rivet it is.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
pub enum RivetKind {
    /// Of 2117-T4, with a protruding head: those of the published tables.
    AdProtruding,
    /// Another, as the drawing calls it.
    Other(String),
}

/// How many rivets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum RivetNumber {
    /// So many in each row.
    PerRow(u32),
    /// So many in all.
    InAll(u32),
}

/// What a published table of rivets asks fewer for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum Reduced {
    /// An intermediate frame.
    IntermediateFrame,
    /// A stringer in the upper surface of a wing, or in a fuselage.
    Stringer,
    /// A single lap joint of sheet.
    SingleLap,
}

/// Where a part runs on the frame.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Segment {
    /// The part number.
    pub part: String,
    /// The splice point or opening edge where it starts; the run goes clockwise.
    pub from: String,
    /// The splice point or opening edge where it ends.
    pub to: String,
    /// How far it runs past its start.
    #[serde(default)]
    pub lap_from: Option<String>,
    /// How far it runs past its end.
    #[serde(default)]
    pub lap_to: Option<String>,
}

/// An opening in the ring between two splice points, with the pieces that bridge it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Opening {
    /// What it is called.
    pub name: String,
    /// The splice point at its start, clockwise.
    pub from: String,
    /// The splice point at its end.
    pub to: String,
    /// When the opening is there; left out: always.
    #[serde(default)]
    pub when: Option<Condition>,
    /// The pieces that bridge it; each must be on the bill while the opening is there.
    #[serde(default)]
    pub bridged_by: Vec<String>,
}

/// A jig-plate definition.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Plate {
    /// The plate number.
    pub number: String,
    /// The station of the jig on which it is mounted.
    pub jig_station: String,
    /// What it is for.
    #[serde(default)]
    pub title: Option<String>,
    /// The part variants that it locates.
    pub locates: Vec<String>,
    /// Its holes, in the jig's datum axes.
    #[serde(default)]
    pub holes: Vec<Hole>,
    /// Groups of its holes that were laid off or can be moved as one.
    #[serde(default)]
    pub members: Vec<Member>,
    /// The corners of its edge in order round it, in the same axes; the last joins the first by itself.
    #[serde(default)]
    pub outline: Vec<Corner>,
}

/// A corner of a plate's edge.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Corner {
    /// Where the two sides meet, or would meet if the corner were not rounded.
    pub x: String,
    /// Where the two sides meet, or would meet if the corner were not rounded.
    pub y: String,
    /// The radius that it is rounded to; left out: sharp.
    #[serde(default)]
    pub radius: Option<String>,
}

/// Holes of a plate that were laid off or can be moved as one: a leg, a bracket, a row.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Member {
    /// What it is called.
    pub member: String,
    /// Its holes by name.
    pub holes: Vec<String>,
    /// Whether its holes were laid off one from the next, in this order: then a pitch error can show.
    #[serde(default)]
    pub row: bool,
}

/// A hole of a plate.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hole {
    /// Its name.
    pub hole: String,
    /// Its nominal place.
    pub x: String,
    /// Its nominal place.
    pub y: String,
    /// Out of the plane; left out: in it.
    #[serde(default)]
    pub z: Option<String>,
    /// Its diameter.
    pub diameter: String,
    /// The diameter of its position tolerance zone, or the name of a tolerance class.
    pub tolerance: String,
    /// Where the zone grows at maximum material condition: the smallest permitted hole.
    #[serde(default)]
    pub smallest: Option<String>,
    /// Whether it is one of the jig's own datums (a dowel).
    #[serde(default)]
    pub datum: bool,
}

/// An airframe.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Airframe {
    /// Its serial.
    pub serial: String,
    /// The model or mark, where a record gives it.
    #[serde(default)]
    pub model: Option<String>,
    /// When it was built (left the line).
    pub built: String,
    /// When it was delivered.
    #[serde(default)]
    pub delivered: Option<String>,
    /// Where it went.
    #[serde(default)]
    pub movements: Vec<Movement>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// Where an airframe went.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Movement {
    /// When.
    pub date: String,
    /// Where to.
    pub to: String,
    /// Why.
    #[serde(default)]
    pub reason: Option<String>,
}

/// An item of an airframe's evidence register.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Evidence {
    /// The airframe's serial.
    pub airframe: String,
    /// Its name in the register.
    pub id: String,
    /// What kind of thing it is (a record card, a photograph, a relic).
    pub kind: String,
    /// What it says on it.
    pub reference: String,
    /// Its own date.
    #[serde(default)]
    pub date: Option<String>,
    /// Where it is kept.
    #[serde(default)]
    pub kept: Option<String>,
    /// How far it is to be trusted.
    pub grade: Grade,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// How far evidence is to be trusted, the strongest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, serde::Serialize)]
pub enum Grade {
    /// The metal itself, or a record made by those who did the work.
    A,
    /// A record of the time made by others, or a clear photograph.
    B,
    /// A copy, an unclear photograph, a later record.
    C,
    /// A recollection or a secondary work.
    D,
}

/// A claim about an airframe.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Claim {
    /// The airframe's serial.
    pub airframe: String,
    /// Its name.
    pub id: String,
    /// What it says.
    pub says: Statement,
    /// When.
    pub when: String,
    /// The evidence that it rests on.
    pub rests_on: Vec<String>,
    /// Whether it is firm or doubtful.
    pub standing: Standing,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// How a claim stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, serde::Serialize)]
pub enum Standing {
    /// Taken as true unless a contradiction forces it out.
    Firm,
    /// Held or not: answers that depend on it are given both ways.
    Doubtful,
}

/// What a claim says.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Statement {
    /// The modification was embodied, by any form or by the named one.
    Embodied(PostArguments),
    /// The modification was not embodied.
    NotEmbodied(String),
    /// The modification was taken out again.
    Removed(String),
    /// A part was seen at a position: `SeenPart("60-2200/10", "60-2205")`.
    SeenPart(String, String),
    /// A position was seen with nothing fitted.
    SeenNothing(String),
    /// A splice was seen on a frame: `SeenSplice("F22", "S5")`.
    SeenSplice(String, String),
    /// A frame was seen to have no splice there.
    SeenNoSplice(String, String),
    /// The hole pattern of a plate was seen in the metal: `SeenPattern("JP-2204")`.
    SeenPattern(String),
}

/// A named assumption: held as doubtful claims, and printed with every answer that leans on it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Assumption {
    /// The airframe's serial.
    pub airframe: String,
    /// Its name.
    pub id: String,
    /// What it assumes.
    pub assumes: Policy,
    /// As of when.
    pub when: String,
    /// Why it is made.
    pub reason: String,
}

/// What an assumption assumes.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Policy {
    /// Retrospective modifications of which the claims say nothing were not embodied.
    UnrecordedNotEmbodied,
    /// A statement as in a claim.
    That(Statement),
}

/// A named build state.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BuildState {
    /// The airframe's serial.
    pub airframe: String,
    /// Its name.
    pub name: String,
    /// The date that it rebuilds to.
    pub date: String,
    /// Modifications that the workshop adds on purpose.
    #[serde(default)]
    pub add: Vec<Choice>,
    /// Modifications that the workshop leaves out on purpose.
    #[serde(default)]
    pub leave_out: Vec<Choice>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// A modification that the workshop adds or leaves out.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Choice {
    /// The modification.
    pub modification: String,
    /// Why.
    pub reason: String,
}

/// A jig on the shop floor.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Jig {
    /// What the jig is called.
    pub name: String,
    /// The frame that is built on it.
    pub frame: String,
    /// Its stations, in the order in which a person walks round it.
    pub stations: Vec<String>,
    /// The build state that it is set for.
    #[serde(default)]
    pub set_for: Option<SetFor>,
    /// The coefficient of linear expansion of its plates' metal (`"11.5e-6/K"`).
    #[serde(default)]
    pub expansion: Option<String>,
    /// The plates mounted on it.
    #[serde(default)]
    pub mounted: Vec<MountedPlate>,
}

/// The build state that a jig is set for.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SetFor {
    /// The airframe's serial.
    pub airframe: String,
    /// The named build state.
    pub build_state: String,
}

/// A plate on a jig.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MountedPlate {
    /// The mark on the plate itself.
    pub mark: String,
    /// The station that it is mounted on.
    pub station: String,
    /// The plate definition that it was made to; left out: not known.
    #[serde(default)]
    pub made_to: Option<String>,
    /// When it was made.
    #[serde(default)]
    pub made: Option<String>,
    /// When it was last reworked.
    #[serde(default)]
    pub reworked: Option<String>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// A survey of a mounted plate's holes.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Survey {
    /// Its name.
    pub id: String,
    /// The jig.
    pub jig: String,
    /// The mark of the plate.
    pub mark: String,
    /// When it was measured.
    pub date: String,
    /// With what.
    pub instrument: String,
    /// The instrument's uncertainty for one coordinate (expanded, k = 2).
    pub uncertainty: String,
    /// The uncertainty of a hole's diameter (expanded, k = 2); left out: that of a coordinate.
    #[serde(default)]
    pub diameter_uncertainty: Option<String>,
    /// The temperature at which it was measured (`"18.5C"`).
    #[serde(default)]
    pub temperature: Option<String>,
    /// The face of the plate from which it was measured; left out: not known, and then hands are not told.
    #[serde(default)]
    pub face: Option<Face>,
    /// What the axes are; left out: the instrument's own.
    #[serde(default)]
    pub axes: Axes,
    /// The unit of the holes' figures that are written without one (`"mm"`).
    #[serde(default)]
    pub unit: Option<String>,
    /// The measured holes.
    #[serde(default)]
    pub holes: Vec<MeasuredHole>,
    /// A CSV file below the project folder with the measured holes instead (`"surveys/V3.csv"`). Its first line names
    /// the columns: `x` and `y`, and where they were measured `z`, `diameter` and `id`, in any order; `#` begins a
    /// remark.
    #[serde(default)]
    pub holes_from: Option<String>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// A face of a plate.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, serde::Serialize)]
pub enum Face {
    /// The one with the marks on it, as the definitions are drawn.
    Marked,
    /// The other one.
    Back,
}

/// The axes of a survey.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize, serde::Serialize)]
pub enum Axes {
    /// The instrument's own: the plate may lie anywhere. Deviations are taken on the plate's datum holes.
    #[default]
    Instrument,
    /// The jig's datum axes: the instrument was set on the jig's datums, and deviations are taken on these axes.
    Jig,
}

/// A measured hole.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeasuredHole {
    /// Its name, where it is known which hole it is.
    #[serde(default)]
    pub hole: Option<String>,
    /// Where it was found.
    pub x: String,
    /// Where it was found.
    pub y: String,
    /// Out of the plane.
    #[serde(default)]
    pub z: Option<String>,
    /// The diameter found.
    #[serde(default)]
    pub diameter: Option<String>,
    /// Where its values stand, by field, if they were read from a CSV file.
    #[serde(skip)]
    pub cells: Vec<(&'static str, Place)>,
}

impl MeasuredHole {
    /// Where a value of this hole is written; `item` is the hole's own place in the record.
    #[must_use]
    pub fn place(&self, field: &'static str, item: &Place) -> Place {
        let cell = self.cells.iter().find(|(name, _)| *name == field).or(self.cells.first());
        cell.map_or_else(|| item.field(field), |(_, place)| place.clone())
    }
}

/// Parts made, or reclaimed from another airframe.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MadePart {
    /// The part number.
    pub part: String,
    /// The drawing issue that it was made to.
    #[serde(default)]
    pub issue: Option<String>,
    /// How many.
    pub quantity: u32,
    /// The hand marked on it.
    #[serde(default)]
    pub hand: Option<Hand>,
    /// The marks on it.
    #[serde(default)]
    pub marks: Option<String>,
    /// How far the work has come: one of the stages in `configs/stages.ron`.
    #[serde(default)]
    pub stage: Option<String>,
    /// The serial of the airframe that it is meant for; left out: for whichever it fits.
    #[serde(default)]
    pub made_for: Option<String>,
    /// When it was made.
    #[serde(default)]
    pub made: Option<String>,
    /// The heat-treatment batch that it went through.
    #[serde(default)]
    pub batch: Option<String>,
    /// References of the concessions and deviation permits that it was made under.
    #[serde(default)]
    pub under: Vec<String>,
    /// The serial of the airframe that it came from, where it was reclaimed.
    #[serde(default)]
    pub reclaimed_from: Option<String>,
    /// The position on that airframe at which it was fitted.
    #[serde(default)]
    pub taken_from: Option<String>,
    /// The day to which that airframe's state is taken; left out: the last day that its dossier knows of.
    #[serde(default)]
    pub taken: Option<String>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// A concession or a deviation permit.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Deviation {
    /// Its reference.
    pub reference: String,
    /// The part that it is for.
    pub part: String,
    /// The position that it is for; left out: wherever the part is fitted.
    #[serde(default)]
    pub position: Option<String>,
    /// What deviates.
    pub deviation: String,
    /// Who allowed it.
    pub allowed_by: String,
    /// When.
    pub date: String,
    /// How many; left out: no limit.
    #[serde(default)]
    pub quantity: Option<u32>,
    /// The serials that it is for; left out: the scope is not limited.
    #[serde(default)]
    pub scope: Option<Vec<String>>,
    /// Until when.
    #[serde(default)]
    pub expires: Option<String>,
}

/// A tool that a part is formed, cut or drilled on; made to a part and a drawing issue.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FormingTool {
    /// The mark on the tool itself.
    pub mark: String,
    /// What it is.
    pub kind: ToolKind,
    /// The parts that it was made to (a template turned over serves both hands); left out: not known.
    #[serde(default)]
    pub made_to: Vec<String>,
    /// The drawing issue that it was made to.
    #[serde(default)]
    pub issue: Option<String>,
    /// The build state that it is kept for; left out: it is judged only when somebody asks.
    #[serde(default)]
    pub set_for: Option<SetFor>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// A decision of the workshop, an entry in its decision book.
///
/// The book is only ever added to: decisions are numbered from 1 in the order in which they were taken, and one that no
/// longer stands is withdrawn by a later one. An entry may name the seal of the one before it, which `modstate decisions`
/// shows: then nothing before it can be changed unnoticed.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Decision {
    /// Its number in the book.
    pub number: u32,
    /// The airframe's serial.
    pub airframe: String,
    /// When it was taken: one day.
    pub date: String,
    /// Who took it.
    pub by: String,
    /// What was decided.
    pub decides: Decided,
    /// The build state that it is about; left out: the one that the workshop builds to.
    #[serde(default)]
    pub state: Option<String>,
    /// Why.
    pub because: String,
    /// The seal of the decision before this one in the book, of whatever airframe.
    #[serde(default)]
    pub follows: Option<String>,
}

/// What a decision decides.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Decided {
    /// The workshop builds to this build state of the airframe.
    BuildTo(String),
    /// The modification is taken to be embodied, by any form or by the named one.
    Embodied(PostArguments),
    /// The modification is taken not to be embodied.
    NotEmbodied(String),
    /// The part is taken to be the one fitted at the position: `Fits("60-2200/10", "60-2205")`.
    Fits(String, String),
    /// Nothing is taken to be fitted at the position.
    FitsNothing(String),
    /// An earlier decision, by its number, no longer stands.
    Withdraw(u32),
}
