//! The path of a frame and positions along it.

use super::Length;

/// The path of a frame, looking forward: breadth to starboard, height up, clock angles clockwise from the top.
#[derive(Clone, Debug, PartialEq)]
pub enum Girth {
    /// A full circle; girth is counted clockwise from the top.
    Circle {
        /// The radius.
        radius: Length,
    },
    /// A full ellipse with upright and level axes; girth is counted clockwise from the top.
    Ellipse {
        /// Half the breadth.
        half_breadth: Length,
        /// Half the height.
        half_height: Length,
    },
    /// Straight lines between points; girth is counted from the first point.
    Polyline {
        /// The points, as breadth and height.
        points: Vec<(Length, Length)>,
        /// Whether the last point joins the first.
        closed: bool,
    },
}
