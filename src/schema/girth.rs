//! The path of a frame, the plane that it lies in, and places on it, as people write them.

use super::Hand;
use super::values::{Angle, Length, PathPoint, YesNo};
use crate::schema::shapes::shape;

shape! {
    /// The path of a frame, looking forward; clock angles run clockwise from the top.
    pub enum Girth {
        /// A full circle.
        Circle {
            /// Its radius.
            radius: Length,
        },
        /// A full ellipse with its axes upright and level.
        Ellipse {
            /// Half the breadth.
            half_breadth: Length,
            /// Half the height.
            half_height: Length,
        },
        /// Straight lines between points, in clockwise order, with or without corner radii.
        Polyline {
            /// The points.
            points: Vec<PathPoint>,
            /// Whether the last point joins the first.
            closed: YesNo,
        },
        /// A table of offsets, as the loft gives it.
        Offsets {
            /// Whether the rows give one side or both.
            given: Sides,
            /// How the points are joined.
            joined: Joining,
            /// Whether the last point joins the first.
            closed: YesNo,
            /// The rows, in clockwise order; for one side from its top downwards.
            rows: Vec<Offset>,
        },
    }
}

shape! {
    /// What the rows of an offset table give.
    #[derive(Copy, Eq)]
    pub enum Sides {
        /// The starboard side; port is its mirror image.
        OneSide,
        /// Both sides; breadths to port are negative.
        BothSides,
    }
}

shape! {
    /// How the points of an offset table are joined.
    #[derive(Copy, Eq)]
    pub enum Joining {
        /// By straight lines.
        Straight,
        /// By one fair curve: the parametric cubic spline over the distances between neighbouring points (chord lengths);
        /// periodic where the path is closed, natural (without curvature at its ends) where it is open.
        Fair,
    }
}

shape! {
    /// A row of an offset table.
    pub enum Offset {
        /// A waterline: its height, and the half-breadth there.
        Waterline(height: Length, half_breadth: Length),
        /// A buttock line: its breadth, and the height there. The centre line is at no breadth.
        Buttock(breadth: Length, height: Length),
    }
}

shape! {
    /// The plane of a frame, or the two planes of one that is cranked. Each is level athwartships.
    #[derive(Default)]
    pub enum Plane {
        /// Upright, at the frame's station.
        Upright = default,
        /// One plane that leans.
        Canted {
            /// How it leans.
            lean: Lean,
            /// The height at which it is at the frame's station.
            station_at: Length,
            /// In which view the ordinates of the path are true.
            ordinates: Ordinates,
        },
        /// Two planes that meet on a level line, which is at the frame's station.
        Cranked {
            /// The height of that line.
            knuckle: Length,
            /// How the plane above it leans.
            above: Lean,
            /// How the plane below it leans.
            below: Lean,
            /// In which view the ordinates of the path are true.
            ordinates: Ordinates,
        },
    }
}

shape! {
    /// How far a plane leans from upright. Stations count aft.
    pub enum Lean {
        /// Not at all.
        Upright,
        /// Its upper edge lies aft of its lower edge, by an angle (`"8deg"`).
        Aft(angle: Angle),
        /// Its upper edge lies forward of its lower edge.
        Forward(angle: Angle),
    }
}

shape! {
    /// In which view the heights of a frame that leans are true.
    #[derive(Copy, Eq)]
    pub enum Ordinates {
        /// In the frame's own plane. The figures count from the same zero as upright heights and agree with them at the
        /// height `h0` at which the frame is at its station (the knuckle, if it is cranked); from there they are measured
        /// along the plane. A point written at `h` lies upright at `h0 + (h - h0) * cos(lean)`, and `(h - h0) * sin(lean)`
        /// aft of the station (forward, where the upper edge lies forward).
        InPlane,
        /// On the body plan: heights are upright, as everything is seen looking forward.
        BodyPlan,
    }
}

shape! {
    /// A position on the girth.
    pub enum GirthPosition {
        /// A clock angle in degrees, clockwise from the top, looking forward (`"122deg"`).
        Angle(clock: Angle),
        /// A distance along the path from its start (the top of a circle or an ellipse, the first point of a polyline or
        /// an offset table, the middle of the arc where the first corner is rounded).
        Girth(distance: Length),
        /// The one place at this height, in the view in which the path is given, on this side.
        Height(height: Length, side: Hand),
        /// The one place at this breadth on this side; where there are two, the upper or the lower one.
        Breadth(breadth: Length, side: Hand, #[serde(default)] level: Option<Level>),
    }
}

shape! {
    /// Which of two places one above the other.
    #[derive(Copy, Eq)]
    pub enum Level {
        /// The upper one.
        Upper,
        /// The lower one.
        Lower,
    }
}
