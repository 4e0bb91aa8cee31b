//! The edge of a plate.

use crate::geometry::girth::PlanePoint;
use crate::quantity::Length;

/// The closed edge of a plate, in the axes of its holes: straight sides between corners, each corner sharp or rounded.
///
/// Invariant: at least three corners; taken sharp, no two sides cross or touch but at the corner that they share; each
/// side is as long as the roundings at its two ends take up.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// The corners in order round the edge, either way.
    pub corners: Vec<Corner>,
}

/// A corner.
#[derive(Clone, Debug, PartialEq)]
pub struct Corner {
    /// Where its two sides meet, or would meet if it were sharp: x and y.
    pub at: [Length; 2],
    /// The radius that it is rounded to.
    pub radius: Option<Length>,
}

/// A vertex of the edge as it is drawn, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vertex {
    /// Where it is.
    pub at: (f64, f64),
    /// What leads to the next vertex: 0 a straight line, else an arc, of which this is the tangent of a quarter of the
    /// angle, positive if it runs counterclockwise.
    pub bulge: f64,
}

/// Why corners make no edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Unsound {
    /// Fewer than three corners.
    TooFew,
    /// Two that follow on each other are at one place: the second.
    Same(usize),
    /// Two sides cross or touch, each named by the corner that it starts at.
    Crossing(usize, usize),
    /// A radius for which its sides have no room.
    NoRoom(usize),
}

/// A rounding: the corner, the two ends of the arc, its centre and radius, and whether the plate is inside the arc.
struct Rounding {
    corner: PlanePoint,
    ends: [PlanePoint; 2],
    centre: PlanePoint,
    radius: f64,
    /// The tangent of a quarter of the angle, with its sign.
    bulge: f64,
}

/// Why the corners make no edge, if they make none.
pub(crate) fn unsound(corners: &[Corner]) -> Option<Unsound> {
    let count = corners.len();
    if count < 3 {
        return Some(Unsound::TooFew);
    }
    let at = |index: usize| corners[index % count].at.each_ref().map(|length| i128::from(length.picometres));
    if let Some(index) = (0..count).find(|index| at(*index) == at(index + 1)) {
        return Some(Unsound::Same((index + 1) % count));
    }
    for a in 0..count {
        for b in a + 1..count {
            let neighbours = b == a + 1 || (a == 0 && b == count - 1);
            let sides = ([at(a), at(a + 1)], [at(b), at(b + 1)]);
            let faulty = if neighbours {
                let (first, second) = if b == a + 1 { sides } else { (sides.1, sides.0) };
                turns_back(first[0], first[1], second[1])
            } else {
                meet(sides.0, sides.1)
            };
            if faulty {
                return Some(Unsound::Crossing(a, b));
            }
        }
    }
    let takes = |index: usize| rounding(corners, index).map_or(0.0, |r| apart(r.corner, r.ends[0]));
    let short = (0..count).find(|index| {
        let side = apart(spot(&corners[*index]), spot(&corners[(index + 1) % count]));
        takes(*index) + takes((index + 1) % count) > side + ROUNDING_MM
    })?;
    let next = (short + 1) % count;
    Some(Unsound::NoRoom(if takes(short) >= takes(next) { short } else { next }))
}

/// What a sum of lengths may be off by rounding, in millimetres: far below what anybody makes.
const ROUNDING_MM: f64 = 1e-6;

impl Outline {
    /// The edge as it is drawn: from vertex to vertex, the last joined to the first.
    #[must_use]
    pub fn vertices(&self) -> Vec<Vertex> {
        let mut vertices = Vec::new();
        for (index, corner) in self.corners.iter().enumerate() {
            match rounding(&self.corners, index) {
                Some(rounding) => {
                    vertices.push(Vertex { at: rounding.ends[0], bulge: rounding.bulge });
                    vertices.push(Vertex { at: rounding.ends[1], bulge: 0.0 });
                }
                None => vertices.push(Vertex { at: spot(corner), bulge: 0.0 }),
            }
        }
        vertices
    }

    /// Whether a place, in millimetres, lies inside the edge.
    #[must_use]
    pub fn contains(&self, place: PlanePoint) -> bool {
        let count = self.corners.len();
        let turned_left = self.area() > 0.0;
        for rounding in (0..count).filter_map(|index| rounding(&self.corners, index)) {
            if rounding.between_arc_and_corner(place) {
                // What is cut off at a corner is outside, what is filled in at a re-entrant one is inside.
                return (rounding.bulge > 0.0) != turned_left;
            }
        }
        let mut inside = false;
        for index in 0..count {
            let (a, b) = (spot(&self.corners[index]), spot(&self.corners[(index + 1) % count]));
            if (a.1 > place.1) != (b.1 > place.1) {
                let at = a.0 + (place.1 - a.1) / (b.1 - a.1) * (b.0 - a.0);
                inside ^= place.0 < at;
            }
        }
        inside
    }

    /// How far a place is from the edge, in millimetres, on either side of it.
    #[must_use]
    pub fn distance_mm(&self, place: PlanePoint) -> f64 {
        let count = self.corners.len();
        let roundings: Vec<Option<Rounding>> = (0..count).map(|index| rounding(&self.corners, index)).collect();
        let mut nearest = f64::INFINITY;
        for index in 0..count {
            let next = (index + 1) % count;
            let start = roundings[index].as_ref().map_or(spot(&self.corners[index]), |rounding| rounding.ends[1]);
            let end = roundings[next].as_ref().map_or(spot(&self.corners[next]), |rounding| rounding.ends[0]);
            nearest = nearest.min(from_side(place, start, end));
            if let Some(rounding) = &roundings[index]
                && rounding.spans(place)
            {
                nearest = nearest.min((apart(place, rounding.centre) - rounding.radius).abs());
            }
        }
        nearest
    }

    /// The area inside the corners taken sharp, in square millimetres; positive if they run counterclockwise.
    fn area(&self) -> f64 {
        let spots: Vec<PlanePoint> = self.corners.iter().map(spot).collect();
        let next = spots.iter().cycle().skip(1);
        spots.iter().zip(next).map(|(a, b)| a.0 * b.1 - a.1 * b.0).sum::<f64>() / 2.0
    }
}

impl Rounding {
    /// Whether a place lies in the angle that the arc spans, seen from its centre.
    fn spans(&self, place: PlanePoint) -> bool {
        let [start, end] = self.ends.map(|end| step(self.centre, end));
        let way = step(self.centre, place);
        let turn = self.bulge.signum();
        cross(start, way) * turn >= 0.0 && cross(way, end) * turn >= 0.0
    }

    /// Whether a place lies between the arc and the two sides, where the sharp corner would be.
    fn between_arc_and_corner(&self, place: PlanePoint) -> bool {
        let within = |end: PlanePoint| {
            let side = step(self.corner, end);
            cross(side, step(self.corner, place)) * cross(side, step(self.corner, self.centre)) >= 0.0
        };
        self.spans(place) && apart(place, self.centre) > self.radius && self.ends.into_iter().all(within)
    }
}

/// The rounding at a corner; none if it is sharp, or no corner because its sides go straight on.
fn rounding(corners: &[Corner], index: usize) -> Option<Rounding> {
    let count = corners.len();
    let radius = corners[index].radius.as_ref()?.mm();
    let corner = spot(&corners[index]);
    let before = unit(step(corner, spot(&corners[(index + count - 1) % count])));
    let behind = unit(step(corner, spot(&corners[(index + 1) % count])));
    // How far the edge turns here, positive to the left.
    let coming = (-before.0, -before.1);
    let turn = cross(coming, behind).atan2(coming.0 * behind.0 + coming.1 * behind.1);
    let takes = radius * (turn.abs() / 2.0).tan();
    if takes < ROUNDING_MM {
        return None;
    }
    let along = |way: PlanePoint| (corner.0 + takes * way.0, corner.1 + takes * way.1);
    let start = along(before);
    let left = (-coming.1 * turn.signum(), coming.0 * turn.signum());
    let centre = (start.0 + radius * left.0, start.1 + radius * left.1);
    Some(Rounding { corner, ends: [start, along(behind)], centre, radius, bulge: (turn / 4.0).tan() })
}

fn spot(corner: &Corner) -> PlanePoint {
    (corner.at[0].mm(), corner.at[1].mm())
}

fn step(from: PlanePoint, to: PlanePoint) -> PlanePoint {
    (to.0 - from.0, to.1 - from.1)
}

fn unit(way: PlanePoint) -> PlanePoint {
    let length = way.0.hypot(way.1);
    (way.0 / length, way.1 / length)
}

fn cross(a: PlanePoint, b: PlanePoint) -> f64 {
    a.0 * b.1 - a.1 * b.0
}

fn apart(a: PlanePoint, b: PlanePoint) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

/// How far a place is from a straight side.
fn from_side(place: PlanePoint, start: PlanePoint, end: PlanePoint) -> f64 {
    let way = step(start, end);
    let squared = way.0 * way.0 + way.1 * way.1;
    let to = step(start, place);
    let share = if squared > 0.0 { ((to.0 * way.0 + to.1 * way.1) / squared).clamp(0.0, 1.0) } else { 0.0 };
    apart(place, (start.0 + share * way.0, start.1 + share * way.1))
}

/// A place in picometres.
type Exact = [i128; 2];

/// On which side of the line from `a` to `b` a place lies: 1 left, -1 right, 0 on it.
fn side(a: Exact, b: Exact, place: Exact) -> i128 {
    let way = (b[0] - a[0]).saturating_mul(place[1] - a[1]);
    let back = (b[1] - a[1]).saturating_mul(place[0] - a[0]);
    i128::from(way.cmp(&back) as i8)
}

/// Whether the side after a corner runs back along the side before it.
fn turns_back(before: Exact, corner: Exact, behind: Exact) -> bool {
    let ahead = (0..2).any(|axis| (corner[axis] - before[axis]).signum() * (behind[axis] - corner[axis]).signum() < 0);
    side(before, corner, behind) == 0 && ahead
}

/// Whether two sides have a place in common.
fn meet(a: [Exact; 2], b: [Exact; 2]) -> bool {
    let (ends, others) =
        ([side(a[0], a[1], b[0]), side(a[0], a[1], b[1])], [side(b[0], b[1], a[0]), side(b[0], b[1], a[1])]);
    if ends[0] * ends[1] > 0 || others[0] * others[1] > 0 {
        return false;
    }
    // On one line they meet only if they reach as far as each other.
    (0..2).all(|axis| {
        let (low, high) = (a[0][axis].min(a[1][axis]), a[0][axis].max(a[1][axis]));
        let (other_low, other_high) = (b[0][axis].min(b[1][axis]), b[0][axis].max(b[1][axis]));
        low <= other_high && other_low <= high
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Config;

    fn corners(list: &[(&str, &str, Option<&str>)]) -> Vec<Corner> {
        let config = Config::built_in();
        let length = |text: &str| Length::parse(text, &config).unwrap_or_else(|why| panic!("{}", why.message));
        list.iter().map(|(x, y, radius)| Corner { at: [length(x), length(y)], radius: radius.map(length) }).collect()
    }

    /// An L, 100 mm by 80 mm, its re-entrant corner filled to 20 mm and its outer corner rounded to 10 mm.
    fn angle() -> Outline {
        let list = [
            ("0mm", "0mm", Some("10mm")),
            ("100mm", "0mm", None),
            ("100mm", "30mm", None),
            ("40mm", "30mm", Some("20mm")),
            ("40mm", "80mm", None),
            ("0mm", "80mm", None),
        ];
        Outline { corners: corners(&list) }
    }

    fn near(a: f64, b: f64) -> bool {
        (a - b).abs() < 1e-9
    }

    #[test]
    fn corners_are_cut_and_filled() {
        let mut outline = angle();
        for _ in 0..2 {
            assert_eq!(unsound(&outline.corners), None);
            // At the outer corner the arc leaves 10 (sqrt 2 - 1) = 4.14 mm of the diagonal.
            assert!(!outline.contains((2.0, 2.0)) && outline.contains((3.5, 3.5)));
            assert!(near(outline.distance_mm((2.0, 2.0)), 8.0 * 2.0_f64.sqrt() - 10.0));
            // In the re-entrant corner it fills 20 (sqrt 2 - 1) = 8.28 mm.
            assert!(outline.contains((42.0, 32.0)) && !outline.contains((47.0, 37.0)));
            assert!(near(outline.distance_mm((42.0, 32.0)), 18.0 * 2.0_f64.sqrt() - 20.0));
            // On the sides that the sharp corners would have: outside where it is cut, inside where it is filled.
            assert!(!outline.contains((0.0, 3.0)) && !outline.contains((3.0, 0.0)));
            assert!(outline.contains((40.0, 35.0)) && outline.contains((45.0, 30.0)));
            assert!(outline.contains((20.0, 70.0)) && !outline.contains((70.0, 50.0)));
            assert!(near(outline.distance_mm((70.0, 15.0)), 15.0) && near(outline.distance_mm((70.0, 35.0)), 5.0));
            assert!(near(outline.distance_mm((-3.0, 84.0)), 5.0));
            outline.corners.reverse();
        }
    }

    #[test]
    fn the_edge_is_drawn_with_bulges() {
        // A quarter of a circle has the bulge tan(22.5 deg).
        let quarter = 2.0_f64.sqrt() - 1.0;
        let vertices = angle().vertices();
        assert_eq!(vertices.len(), 8);
        assert!(near(vertices[0].bulge, quarter) && near(vertices[4].bulge, -quarter));
        assert!(near(vertices[0].at.0, 0.0) && near(vertices[0].at.1, 10.0));
        assert!(near(vertices[1].at.0, 10.0) && near(vertices[1].at.1, 0.0));
        assert!(near(vertices[4].at.0, 60.0) && near(vertices[4].at.1, 30.0));
    }

    #[test]
    fn what_is_no_edge_is_reported() {
        let unsound = |list: &[(&str, &str, Option<&str>)]| super::unsound(&corners(list));
        let (a, b, c, d) = (("0mm", "0mm"), ("100mm", "0mm"), ("100mm", "60mm"), ("0mm", "60mm"));
        let sharp = |(x, y)| (x, y, None);
        assert_eq!(unsound(&[sharp(a), sharp(b)]), Some(Unsound::TooFew));
        assert_eq!(unsound(&[sharp(a), sharp(b), sharp(c), sharp(d)]), None);
        assert_eq!(unsound(&[sharp(a), sharp(c), sharp(b), sharp(d)]), Some(Unsound::Crossing(0, 2)));
        assert_eq!(unsound(&[sharp(a), sharp(b), sharp(b), sharp(d)]), Some(Unsound::Same(2)));
        assert_eq!(unsound(&[sharp(a), sharp(b), sharp(c), sharp(a)]), Some(Unsound::Same(0)));
        // Back along its own side, and a corner that touches another side.
        assert_eq!(unsound(&[sharp(a), sharp(b), ("50mm", "0mm", None), sharp(d)]), Some(Unsound::Crossing(0, 1)));
        assert_eq!(
            unsound(&[sharp(a), sharp(b), sharp(c), ("50mm", "0mm", None), sharp(d)]),
            Some(Unsound::Crossing(0, 2))
        );
        // Two roundings of 30 mm fill a side of 60 mm and no more.
        let round = |(x, y), radius| (x, y, Some(radius));
        assert_eq!(unsound(&[sharp(a), round(b, "30mm"), round(c, "30mm"), sharp(d)]), None);
        assert_eq!(unsound(&[sharp(a), round(b, "30mm"), round(c, "30.1mm"), sharp(d)]), Some(Unsound::NoRoom(2)));
    }
}
