//! Frames, their splices, segments and openings, as they are written.

use super::{Condition, Girth, GirthPosition, Plane};
use serde::Deserialize;

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
