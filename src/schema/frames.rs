//! Frames, their splices, segments and openings, as they are written.

use super::values::{Angle, Length, Name, Number, Of, Text};
use super::{Condition, Girth, GirthPosition, Part, Plane};
use crate::schema::shapes::shape;

shape! {
    /// A frame.
    pub struct Frame {
        /// What the frame is called.
        pub name: Name,
        /// A longer description.
        pub title: Option<Text>,
        /// The part number of its assembly.
        pub assembly: Of<Part>,
        /// Its station.
        pub station: Length,
        /// The path round which its segments run.
        pub girth: Girth,
        /// The plane, or planes, that it lies in (default: upright).
        #[serde(default)]
        pub plane: Plane,
        /// Named splice points.
        pub splice_points: Vec<SplicePoint>,
        /// The segment variants.
        pub segments: Vec<Segment>,
        /// Openings in the frame.
        #[serde(default)]
        pub openings: Vec<Opening>,
        /// The next frame aft of it, where that is in the dossier.
        pub next_aft: Option<Of<Frame>>,
    }
}

shape! {
    /// A joint of the skin that runs fore and aft, at one clock angle.
    pub struct SkinJoint {
        /// What it is called.
        pub name: Name,
        /// Its clock angle in degrees, clockwise from the top, looking forward (`"122deg"`).
        pub clock: Angle,
        /// The station at one of its ends.
        pub from: Length,
        /// The station at the other.
        pub to: Length,
        /// When it is there (default: always).
        pub when: Option<Condition>,
    }
}

shape! {
    /// A named splice point.
    pub struct SplicePoint {
        /// Its name.
        pub name: Name,
        /// Where it is.
        pub at: GirthPosition,
        /// Parts that make the joint; each must be on the bill wherever this splice is used.
        #[serde(default)]
        pub joined_by: Vec<Of<Part>>,
        /// Its rivets, by groups that are alike: those of a web, those of a flange.
        #[serde(default)]
        pub rivets: Vec<Rivets>,
    }
}

shape! {
    /// Rivets of a splice that are alike.
    pub struct Rivets {
        /// What they are in, where a splice has several groups (`"web"`).
        pub of: Option<Text>,
        /// The diameter of the rivet.
        pub diameter: Length,
        /// What rivet it is.
        pub kind: RivetKind,
        /// How many rows stand across the lap (default: one).
        pub rows: Option<Number>,
        /// How many there are: in a lap, in all of it; where the parts of a joint bridge it, on one side.
        pub number: Option<RivetNumber>,
        /// From rivet to rivet in a row.
        pub pitch: Option<Length>,
        /// From row to row.
        pub row_spacing: Option<Length>,
        /// From the centre of a rivet to the nearest edge.
        pub edge: Option<Length>,
        /// How wide the sheet is that they join.
        pub across: Option<Length>,
        /// The sheet, as a published table of rivets names it (`"2024-T3 clad"`) (default: compared with none).
        pub sheet: Option<Text>,
        /// Where a published table asks for fewer: what the member is (default: the whole number).
        pub reduced: Option<Reduced>,
    }
}

shape! {
    /// What rivet it is.
    #[derive(Eq)]
    pub enum RivetKind {
        /// Of 2117-T4, with a protruding head: those of the published tables.
        AdProtruding,
        /// Another, as the drawing calls it.
        Other(called: Text),
    }
}

shape! {
    /// How many rivets.
    #[derive(Copy, Eq)]
    pub enum RivetNumber {
        /// So many in each row.
        PerRow(number: Number),
        /// So many in all.
        InAll(number: Number),
    }
}

shape! {
    /// What a published table of rivets asks fewer for.
    #[derive(Copy, Eq)]
    pub enum Reduced {
        /// An intermediate frame.
        IntermediateFrame,
        /// A stringer in the upper surface of a wing, or in a fuselage.
        Stringer,
        /// A single lap joint of sheet.
        SingleLap,
    }
}

shape! {
    /// Where a part runs on the frame.
    pub struct Segment {
        /// The part number.
        pub part: Of<Part>,
        /// The splice point or opening edge where it starts; the run goes clockwise.
        pub from: Name,
        /// The splice point or opening edge where it ends.
        pub to: Name,
        /// How far it runs past its start.
        pub lap_from: Option<Length>,
        /// How far it runs past its end.
        pub lap_to: Option<Length>,
    }
}

shape! {
    /// An opening in the frame between two splice points, with the pieces that bridge it.
    pub struct Opening {
        /// What it is called.
        pub name: Name,
        /// The splice point at its start, clockwise.
        pub from: Name,
        /// The splice point at its end.
        pub to: Name,
        /// When the opening is there (default: always).
        pub when: Option<Condition>,
        /// The pieces that bridge it; each must be on the bill while the opening is there.
        #[serde(default)]
        pub bridged_by: Vec<Of<Part>>,
    }
}
