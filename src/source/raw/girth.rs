//! The path of a frame, the plane that it lies in, and places on it, as people write them.

use super::Hand;
use serde::Deserialize;

/// The path of a frame, looking forward; clock angles run clockwise from the top.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Girth {
    /// A full circle.
    Circle {
        /// Its radius.
        radius: String,
    },
    /// A full ellipse with its axes upright and level.
    Ellipse {
        /// Half the breadth.
        half_breadth: String,
        /// Half the height.
        half_height: String,
    },
    /// Straight lines between points, in clockwise order, with or without corner radii.
    Polyline {
        /// The points.
        points: Vec<PathPoint>,
        /// Whether the last point joins the first.
        closed: bool,
    },
    /// A table of offsets, as the loft gives it.
    Offsets {
        /// Whether the rows give one side or both.
        given: Sides,
        /// How the points are joined.
        joined: Joining,
        /// Whether the last point joins the first.
        closed: bool,
        /// The rows, in clockwise order; for one side from its top downwards.
        rows: Vec<Offset>,
    },
}

/// A point of a polyline: breadth (to starboard), height (up) and, where the corner there is rounded, its radius.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(expecting = "2 values, or 3 with a radius")]
pub struct PathPoint(pub String, pub String, #[serde(default)] pub Option<String>);

/// What the rows of an offset table give.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum Sides {
    /// The starboard side; port is its mirror image.
    OneSide,
    /// Both sides; breadths to port are negative.
    BothSides,
}

/// How the points of an offset table are joined.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum Joining {
    /// By straight lines.
    Straight,
    /// By one fair curve: the parametric cubic spline over the distances between neighbouring points (chord lengths);
    /// periodic where the path is closed, natural (without curvature at its ends) where it is open.
    Fair,
}

/// A row of an offset table.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub enum Offset {
    /// A waterline: its height, and the half-breadth there.
    Waterline(String, String),
    /// A buttock line: its breadth, and the height there. The centre line is at no breadth.
    Buttock(String, String),
}

/// The plane of a frame, or the two planes of one that is cranked. Each is level athwartships.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Plane {
    /// Upright, at the frame's station.
    #[default]
    Upright,
    /// One plane that leans.
    Canted {
        /// How it leans.
        lean: Lean,
        /// The height at which it is at the frame's station.
        station_at: String,
        /// In which view the ordinates of the path are true.
        ordinates: Ordinates,
    },
    /// Two planes that meet on a level line, which is at the frame's station.
    Cranked {
        /// The height of that line.
        knuckle: String,
        /// How the plane above it leans.
        above: Lean,
        /// How the plane below it leans.
        below: Lean,
        /// In which view the ordinates of the path are true.
        ordinates: Ordinates,
    },
}

/// How far a plane leans from upright. Stations count aft.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub enum Lean {
    /// Not at all.
    Upright,
    /// Its upper edge lies aft of its lower edge, by an angle (`"8deg"`).
    Aft(String),
    /// Its upper edge lies forward of its lower edge.
    Forward(String),
}

/// In which view the heights of a frame that leans are true.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum Ordinates {
    /// In the frame's own plane. The figures count from the same zero as upright heights and agree with them at the height
    /// `h0` at which the frame is at its station (the knuckle, if it is cranked); from there they are measured along the
    /// plane. A point written at `h` lies upright at `h0 + (h - h0) * cos(lean)`, and `(h - h0) * sin(lean)` aft of the
    /// station (forward, where the upper edge lies forward).
    InPlane,
    /// On the body plan: heights are upright, as everything is seen looking forward.
    BodyPlan,
}

/// A position on the girth.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum GirthPosition {
    /// A clock angle in degrees, clockwise from the top, looking forward (`"122deg"`).
    Angle(String),
    /// A distance along the path from its start (the top of a circle or an ellipse, the first point of a polyline or
    /// an offset table, the middle of the arc where the first corner is rounded).
    Girth(String),
    /// The one place at this height, in the view in which the path is given, on this side.
    Height(String, Hand),
    /// The one place at this breadth on this side; where there are two, the upper or the lower one.
    Breadth(String, Hand, #[serde(default)] Option<Level>),
}

/// Which of two places one above the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum Level {
    /// The upper one.
    Upper,
    /// The lower one.
    Lower,
}
