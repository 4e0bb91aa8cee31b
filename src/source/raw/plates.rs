//! Jig-plate definitions, as they are written.

use serde::Deserialize;

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
