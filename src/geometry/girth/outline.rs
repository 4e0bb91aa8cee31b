//! Outlines as they are drawn: circles, ellipses, lines with corner radii, fair curves.

use super::curve::{Arc, PlaneCurve, PlanePoint};
use nalgebra::DMatrix;
use std::f64::consts::{FRAC_PI_2, PI};

/// An outline in one view, looking forward; it runs clockwise.
#[derive(Clone, Debug, PartialEq)]
pub struct FrameOutline {
    pub(super) curves: Vec<PlaneCurve>,
    pub(super) closed: bool,
    /// Whether it is given by ordinates, point by point.
    pub(super) by_points: bool,
}

/// A point of a polyline, with the radius of its corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PolylineCorner {
    /// Breadth and height.
    pub at: PlanePoint,
    /// The radius; of a sharp corner 0.
    pub radius: f64,
}

/// Why a corner cannot have its radius. Indices are of the corners; lengths in millimetres.
#[derive(Clone, Debug, PartialEq)]
pub enum CornerFault {
    /// It is the end of an open path.
    AtEnd(usize),
    /// The path runs straight on there, or straight back.
    Straight(usize),
    /// The arcs at the two ends of a side need more than its length.
    TooLong {
        /// The corners at its ends.
        corners: [usize; 2],
        /// What each arc takes of it.
        takes: [f64; 2],
        /// The length of the side.
        side: f64,
    },
}

/// Lengths that differ by less are one, so that an arc may take the whole of a side; in millimetres.
const ROUNDING_MM: f64 = 1e-9;

impl FrameOutline {
    /// A full circle, from its top.
    #[must_use]
    pub fn circle(radius: f64) -> FrameOutline {
        FrameOutline::ellipse(radius, radius)
    }

    /// A full ellipse, from its top, in four quarters.
    #[must_use]
    pub fn ellipse(half_breadth: f64, half_height: f64) -> FrameOutline {
        let quarter = |n: u8| {
            let from = f64::from(n) * FRAC_PI_2;
            PlaneCurve::Arc(Arc { middle: (0.0, 0.0), half: (half_breadth, half_height), from, sweep: FRAC_PI_2 })
        };
        FrameOutline { curves: (0..4).map(quarter).collect(), closed: true, by_points: false }
    }

    /// Straight lines between corners. From a rounded first corner it starts in the middle of its arc.
    ///
    /// # Errors
    /// Gives every radius that does not fit.
    pub fn polyline(corners: &[PolylineCorner], closed: bool) -> Result<FrameOutline, Vec<CornerFault>> {
        let mut faults = Vec::new();
        let count = corners.len();
        let ends = |index: usize| !closed && (index == 0 || index + 1 == count);
        let bends: Vec<Option<CornerArc>> = (0..count)
            .map(|index| {
                if corners[index].radius <= 0.0 {
                    return None;
                }
                if ends(index) {
                    faults.push(CornerFault::AtEnd(index));
                    return None;
                }
                let (before, after) = (corners[(index + count - 1) % count].at, corners[(index + 1) % count].at);
                let bend = CornerArc::new(before, corners[index], after);
                if bend.is_none() {
                    faults.push(CornerFault::Straight(index));
                }
                bend
            })
            .collect();
        let takes = |index: usize| bends[index].as_ref().map_or(0.0, |bend| bend.takes);
        let mut curves = Vec::new();
        for index in 0..if closed { count } else { count - 1 } {
            let next = (index + 1) % count;
            let (from, to) = (corners[index].at, corners[next].at);
            let (side, both) = (apart(from, to), [takes(index), takes(next)]);
            let left = side - both[0] - both[1];
            if left < -ROUNDING_MM {
                faults.push(CornerFault::TooLong { corners: [index, next], takes: both, side });
            }
            if left > ROUNDING_MM {
                let start = bends[index].as_ref().map_or(from, |bend| bend.arc.at(1.0));
                let end = bends[next].as_ref().map_or(to, |bend| bend.arc.at(0.0));
                curves.push(PlaneCurve::Straight(start, end));
            }
            curves.extend(bends[next].as_ref().map(|bend| bend.arc.clone()));
        }
        if !faults.is_empty() {
            return Err(faults);
        }
        if bends[0].is_some()
            && let Some(arc) = curves.pop()
        {
            curves.insert(0, arc.part(0.5, 1.0));
            curves.push(arc.part(0.0, 0.5));
        }
        Ok(FrameOutline { curves, closed, by_points: true })
    }

    /// A fair curve through points of which no two neighbours are one: a parametric cubic spline, which is smooth to
    /// its second derivative, over the distances between the points (chord lengths). Closed it is periodic; open it
    /// is natural, without curvature at its ends.
    ///
    /// The second derivatives are those of the usual equations of a cubic spline (de Boor, *A Practical Guide to
    /// Splines*, chapter IV; from memory, compared with scipy by the tests).
    #[must_use]
    pub fn fair(points: &[PlanePoint], closed: bool) -> FrameOutline {
        let count = points.len();
        let spans = if closed { count } else { count - 1 };
        let next = |index: usize| (index + 1) % count;
        let wide: Vec<f64> = (0..spans).map(|index| apart(points[index], points[next(index)])).collect();
        let slope = |index: usize| {
            let (from, to) = (points[index], points[next(index)]);
            ((to.0 - from.0) / wide[index], (to.1 - from.1) / wide[index])
        };
        let mut equations = DMatrix::<f64>::zeros(count, count);
        let mut turns = DMatrix::<f64>::zeros(count, 2);
        for index in 0..count {
            if !closed && (index == 0 || index + 1 == count) {
                equations[(index, index)] = 1.0;
                continue;
            }
            let before = (index + count - 1) % count;
            equations[(index, before)] += wide[before];
            equations[(index, index)] += 2.0 * (wide[before] + wide[index]);
            equations[(index, next(index))] += wide[index];
            turns[(index, 0)] = 6.0 * (slope(index).0 - slope(before).0);
            turns[(index, 1)] = 6.0 * (slope(index).1 - slope(before).1);
        }
        let second = equations.lu().solve(&turns).expect("each equation's middle outweighs the rest of it");
        let cubic = |index: usize| {
            let (h, end) = (wide[index], next(index));
            let of = |axis: usize, start: f64, slope: f64| {
                let (a, b) = (second[(index, axis)], second[(end, axis)]);
                [start, (slope - h * (2.0 * a + b) / 6.0) * h, a / 2.0 * h * h, (b - a) / 6.0 * h * h]
            };
            let (x, y) = (of(0, points[index].0, slope(index).0), of(1, points[index].1, slope(index).1));
            PlaneCurve::Cubic([0, 1, 2, 3].map(|power| (x[power], y[power])))
        };
        FrameOutline { curves: (0..spans).map(cubic).collect(), closed, by_points: true }
    }
}

/// The arc in a rounded corner, and how much of each side it takes.
struct CornerArc {
    arc: PlaneCurve,
    takes: f64,
}

impl CornerArc {
    /// `None` where the path runs straight on or straight back.
    fn new(before: PlanePoint, corner: PolylineCorner, after: PlanePoint) -> Option<CornerArc> {
        let toward = |to: PlanePoint| {
            let length = apart(corner.at, to);
            ((to.0 - corner.at.0) / length, (to.1 - corner.at.1) / length)
        };
        let (back, on) = (toward(before), toward(after));
        let cross = back.0 * on.1 - back.1 * on.0;
        // The angle between the sides; the path turns by what it lacks of a straight one.
        let between = cross.abs().atan2(back.0 * on.0 + back.1 * on.1);
        if cross.abs() < ROUNDING_MM {
            return None;
        }
        let takes = corner.radius / (between / 2.0).tan();
        let middle = {
            let (x, y) = (back.0 + on.0, back.1 + on.1);
            let reach = corner.radius / (between / 2.0).sin() / x.hypot(y);
            (corner.at.0 + x * reach, corner.at.1 + y * reach)
        };
        let start = (corner.at.0 + back.0 * takes - middle.0, corner.at.1 + back.1 * takes - middle.1);
        // Breadth grows to starboard and height upwards, so a path that turns clockwise has its next side on the right.
        let sweep = (PI - between).copysign(cross);
        let half = (corner.radius, corner.radius);
        Some(CornerArc { arc: PlaneCurve::Arc(Arc { middle, half, from: start.0.atan2(start.1), sweep }), takes })
    }
}

fn apart(a: PlanePoint, b: PlanePoint) -> f64 {
    (b.0 - a.0).hypot(b.1 - a.1)
}
