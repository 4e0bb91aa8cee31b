//! Jig-plate definitions, as they are written.

use super::Part;
use super::values::{Length, Name, Of, Text, YesNo, Zone};
use crate::schema::shapes::shape;

shape! {
    /// A plate drawing.
    pub struct Plate {
        /// The plate number.
        pub number: Name,
        /// The station of the jig on which it is mounted.
        pub jig_station: Name,
        /// What it is for.
        pub title: Option<Text>,
        /// The issue of the plate drawing.
        pub issue: Option<Text>,
        /// What the plate is made of.
        pub material: Option<Text>,
        /// How thick it is.
        pub thickness: Option<Length>,
        /// What is stamped on the marked face (default: the plate number).
        pub stamp: Option<Text>,
        /// The part variants that it locates.
        pub locates: Vec<Of<Part>>,
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
}

shape! {
    /// A corner of a plate's edge.
    pub struct Corner {
        /// Where the two sides meet, or would meet if the corner were not rounded.
        pub x: Length,
        /// Where the two sides meet, or would meet if the corner were not rounded.
        pub y: Length,
        /// The radius that it is rounded to (default: sharp).
        pub radius: Option<Length>,
    }
}

shape! {
    /// Holes of a plate that were laid off or can be moved as one: a leg, a bracket, a row.
    pub struct Member {
        /// What it is called.
        pub member: Name,
        /// Its holes by name.
        pub holes: Vec<Name>,
        /// Whether its holes were laid off one from the next, in this order: then a pitch error can show.
        #[serde(default)]
        pub row: YesNo,
    }
}

shape! {
    /// A hole of a plate.
    pub struct Hole {
        /// Its name.
        pub hole: Name,
        /// Its nominal place.
        pub x: Length,
        /// Its nominal place.
        pub y: Length,
        /// Out of the plane (default: in it).
        pub z: Option<Length>,
        /// Its diameter.
        pub diameter: Length,
        /// The diameter of its position tolerance zone, or the name of a tolerance class.
        pub tolerance: Zone,
        /// Where the zone grows at maximum material condition: the smallest permitted hole.
        pub smallest: Option<Length>,
        /// Whether it is one of the jig's own datums (a dowel).
        #[serde(default)]
        pub datum: YesNo,
        /// How it is made (default: not recorded).
        pub treatment: Option<Treatment>,
    }
}

shape! {
    /// How a hole is made.
    #[derive(Copy, Eq, PartialOrd, Ord)]
    pub enum Treatment {
        /// Drilled to size.
        Drill,
        /// Drilled under size and reamed.
        Ream,
        /// Opened up and bushed; the diameter is that of the bush.
        Bush,
    }
}
