//! Bends and flanges of parts that are bent from sheet.

use crate::finding::Place;
use crate::quantity::Length;

/// The bends and flanges of a part that is bent from sheet.
///
/// Invariant: at least one leg, one bend fewer than legs, and every length is above zero.
#[derive(Clone, Debug)]
pub struct Flat {
    /// Where it is written.
    pub place: Place,
    /// The alloy and temper in which it is bent.
    pub bent_in: Option<String>,
    /// The legs of its section from one free edge to the other, to mould lines.
    pub legs: Vec<Length>,
    /// The bends between the legs.
    pub bends: Vec<Bend>,
    /// What is left for trimming at each of the two free edges.
    pub trim: Option<Length>,
    /// Flanges that follow a curve.
    pub flanges: Vec<CurvedFlange>,
}

/// A bend.
#[derive(Clone, Debug)]
pub struct Bend {
    /// Where it is written.
    pub place: Place,
    /// How far the sheet is bent from flat, in degrees; over 0 and under 180.
    pub angle: f64,
    /// The inside radius.
    pub radius: Length,
}

/// A flange that follows a curve.
#[derive(Clone, Debug)]
pub struct CurvedFlange {
    /// Where it is written.
    pub place: Place,
    /// What it is called.
    pub name: String,
    /// Its width on the flat, without the trim allowance.
    pub width: Length,
    /// How far it is turned from flat, in degrees; over 0 and under 180.
    pub angle: f64,
    /// Its runs, in order along its length; at least one.
    pub runs: Vec<Run>,
}

/// A run of a flange along which its curve stays the same.
#[derive(Clone, Debug)]
pub struct Run {
    /// How long it is along the bend line.
    pub length: Length,
    /// How the bend line runs.
    pub curve: Curve,
}

/// How the bend line of a flange runs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Curve {
    /// Straight.
    Straight,
    /// Hollow: the flange is stretched. The radius of the bend line, more than the flange's width.
    Stretch(Length),
    /// Bulging: the flange is shrunk. The radius of the bend line.
    Shrink(Length),
}
