//! The path of a frame and positions along it.

use super::{Length, Unreadable};
use crate::codes;
use std::f64::consts::{FRAC_PI_2, TAU};

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

/// Two places nearer than this are one, in millimetres.
const SAME_MM: f64 = 1e-6;

impl Girth {
    /// The length of the whole path in millimetres; for an ellipse to within 1e-6 mm.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        match self {
            Girth::Circle { radius } => TAU * radius.mm(),
            Girth::Ellipse { half_breadth, half_height } => 4.0 * Ellipse::new(half_breadth, half_height).quarter,
            Girth::Polyline { .. } => self.sides().iter().map(|side| side.length).sum(),
        }
    }

    /// Whether the path comes back to its start.
    #[must_use]
    pub fn is_closed(&self) -> bool {
        match self {
            Girth::Circle { .. } | Girth::Ellipse { .. } => true,
            Girth::Polyline { closed, .. } => *closed,
        }
    }

    /// The point (breadth, height) in millimetres at a distance along the path in millimetres.
    ///
    /// A closed path goes round as often as asked; an open one stops at its ends.
    #[must_use]
    pub fn point_at(&self, girth_mm: f64) -> (f64, f64) {
        match self {
            Girth::Circle { radius } => {
                let angle = girth_mm / radius.mm();
                (radius.mm() * angle.sin(), radius.mm() * angle.cos())
            }
            Girth::Ellipse { half_breadth, half_height } => {
                let ellipse = Ellipse::new(half_breadth, half_height);
                ellipse.point(ellipse.eccentric_at(girth_mm))
            }
            Girth::Polyline { closed, .. } => {
                let sides = self.sides();
                let whole: f64 = sides.iter().map(|side| side.length).sum();
                let mut left = if *closed { girth_mm.rem_euclid(whole) } else { girth_mm.clamp(0.0, whole) };
                for side in &sides {
                    if left <= side.length {
                        return side.at(left / side.length);
                    }
                    left -= side.length;
                }
                sides.last().map_or((0.0, 0.0), |side| side.to)
            }
        }
    }

    /// The clock angle in degrees, from 0 to less than 360, at which a place on the path is seen from the origin.
    #[must_use]
    pub fn clock_deg(&self, girth_mm: f64) -> f64 {
        let (breadth, height) = self.point_at(girth_mm);
        breadth.atan2(height).to_degrees().rem_euclid(360.0) % 360.0
    }

    /// The distance along the path, in millimetres, of the place that is seen from the origin (the centre of a circle
    /// or an ellipse) at a clock angle in degrees.
    ///
    /// # Errors
    /// Says so if the ray at that angle meets the path nowhere, or at more than one place.
    pub fn girth_at_clock(&self, clock_deg: f64) -> Result<f64, Unreadable> {
        let angle = clock_deg.rem_euclid(360.0).to_radians();
        match self {
            Girth::Circle { radius } => Ok(radius.mm() * angle),
            Girth::Ellipse { half_breadth, half_height } => {
                let ellipse = Ellipse::new(half_breadth, half_height);
                let eccentric = (angle.sin() / ellipse.breadth).atan2(angle.cos() / ellipse.height);
                Ok(ellipse.girth(eccentric.rem_euclid(TAU)))
            }
            Girth::Polyline { .. } => match self.crossings(angle)[..] {
                [girth] => Ok(girth),
                ref found => {
                    let met = if found.is_empty() { "nowhere" } else { "at more than one place" };
                    let message = format!("the ray at {clock_deg} degrees from the origin meets the path {met}");
                    let help = "give the place as a distance along the path, as in `Girth(\"320mm\")`";
                    Err(Unreadable::new(codes::ANGLE_MEETS_NO_PLACE, message, "no single place", help))
                }
            },
        }
    }

    /// The places along a polyline that a ray from the origin meets, each once, in path order.
    fn crossings(&self, angle: f64) -> Vec<f64> {
        let (east, north) = (angle.sin(), angle.cos());
        let across = |(x, y): (f64, f64)| x * north - y * east;
        let along = |(x, y): (f64, f64)| x * east + y * north;
        let whole = self.length_mm();
        let mut found: Vec<f64> = Vec::new();
        let mut start = 0.0;
        for side in self.sides() {
            let (a, b) = (across(side.from), across(side.to));
            let shares: &[f64] = match (a.abs() <= SAME_MM, b.abs() <= SAME_MM) {
                (true, true) => &[0.0, 1.0],
                (true, false) => &[0.0],
                (false, true) => &[1.0],
                (false, false) if (a > 0.0) != (b > 0.0) => &[a / (a - b)],
                (false, false) => &[],
            };
            for share in shares {
                let girth = start + share * side.length;
                let again = |other: &f64| {
                    let apart = (other - girth).abs();
                    apart <= SAME_MM || (self.is_closed() && (whole - apart).abs() <= SAME_MM)
                };
                if along(side.at(*share)) > SAME_MM && !found.iter().any(again) {
                    found.push(girth);
                }
            }
            start += side.length;
        }
        found
    }

    /// The straight sides of a polyline in path order; none for the other paths.
    fn sides(&self) -> Vec<Side> {
        let Girth::Polyline { points, closed } = self else { return Vec::new() };
        let points: Vec<(f64, f64)> = points.iter().map(|(x, y)| (x.mm(), y.mm())).collect();
        let next = points.iter().skip(1).chain(points.first().filter(|_| *closed));
        points.iter().zip(next).map(|(from, to)| Side::new(*from, *to)).collect()
    }
}

/// A straight side of a polyline, in millimetres.
struct Side {
    from: (f64, f64),
    to: (f64, f64),
    length: f64,
}

impl Side {
    fn new(from: (f64, f64), to: (f64, f64)) -> Side {
        Side { from, to, length: (to.0 - from.0).hypot(to.1 - from.1) }
    }
    /// The point at a share of the way from start to end.
    fn at(&self, share: f64) -> (f64, f64) {
        (self.from.0 + share * (self.to.0 - self.from.0), self.from.1 + share * (self.to.1 - self.from.1))
    }
}

/// An ellipse, its half axes in millimetres, with the length of a quarter of it.
///
/// A place on it is told by its eccentric angle from the top, clockwise: (breadth sin, height cos).
struct Ellipse {
    breadth: f64,
    height: f64,
    quarter: f64,
}

impl Ellipse {
    fn new(half_breadth: &Length, half_height: &Length) -> Ellipse {
        let mut ellipse = Ellipse { breadth: half_breadth.mm(), height: half_height.mm(), quarter: 0.0 };
        ellipse.quarter = ellipse.arc(0.0, FRAC_PI_2);
        ellipse
    }
    fn point(&self, eccentric: f64) -> (f64, f64) {
        (self.breadth * eccentric.sin(), self.height * eccentric.cos())
    }
    /// How fast the path runs, in millimetres for each radian of eccentric angle.
    fn speed(&self, eccentric: f64) -> f64 {
        (self.breadth * eccentric.cos()).hypot(self.height * eccentric.sin())
    }
    /// The distance along the path at an eccentric angle from 0 to a full turn.
    fn girth(&self, eccentric: f64) -> f64 {
        let quarters = (eccentric / FRAC_PI_2).floor();
        quarters * self.quarter + self.arc(quarters * FRAC_PI_2, eccentric)
    }
    /// The eccentric angle at a distance along the path: Newton's method, kept inside its quarter.
    fn eccentric_at(&self, girth_mm: f64) -> f64 {
        let girth = girth_mm.rem_euclid(4.0 * self.quarter);
        let start = (girth / self.quarter).floor() * FRAC_PI_2;
        let (mut low, mut high) = (start, start + FRAC_PI_2);
        let mut at = start + FRAC_PI_2 * (girth / self.quarter).fract();
        for _ in 0..100 {
            let over = self.girth(at) - girth;
            if over.abs() < SAME_MM / 1000.0 {
                break;
            }
            if over > 0.0 {
                high = at;
            } else {
                low = at;
            }
            let newton = at - over / self.speed(at);
            at = if low < newton && newton < high { newton } else { f64::midpoint(low, high) };
        }
        at
    }
    /// The length between two eccentric angles, by halving until the two rules agree to far below 1e-6 mm.
    fn arc(&self, from: f64, to: f64) -> f64 {
        self.halve(from, to, self.gauss(from, to), 40)
    }
    fn halve(&self, from: f64, to: f64, whole: f64, depth: u32) -> f64 {
        let middle = f64::midpoint(from, to);
        let (left, right) = (self.gauss(from, middle), self.gauss(middle, to));
        if depth == 0 || (left + right - whole).abs() < SAME_MM / 10_000.0 {
            return left + right;
        }
        self.halve(from, middle, left, depth - 1) + self.halve(middle, to, right, depth - 1)
    }
    /// Gauss-Legendre rule with five points (Abramowitz and Stegun, table 25.4; from memory, held by the tests).
    fn gauss(&self, from: f64, to: f64) -> f64 {
        const POINTS: [(f64, f64); 3] = [
            (0.0, 0.568_888_888_888_888_9),
            (0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
            (0.906_179_845_938_664, 0.236_926_885_056_189_1),
        ];
        let (middle, half) = (f64::midpoint(from, to), (to - from) / 2.0);
        let [(_, centre), pairs @ ..] = POINTS;
        let sum: f64 = pairs
            .iter()
            .map(|(place, weight)| weight * (self.speed(middle - half * place) + self.speed(middle + half * place)))
            .sum();
        half * (centre * self.speed(middle) + sum)
    }
}

/// Reads a clock angle such as `122.5deg`: from 0 to less than 360 degrees.
///
/// # Errors
/// Says why the text is no clock angle.
pub fn clock_angle(text: &str) -> Result<f64, Unreadable> {
    let number = text.trim().strip_suffix("deg").map(str::trim_end);
    let plain = |number: &&str| number.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    match number.filter(plain).and_then(|number| number.parse::<f64>().ok()) {
        Some(angle) if angle < 360.0 => Ok(angle),
        _ => Err(Unreadable::new(
            codes::UNREADABLE_ANGLE,
            format!("`{text}` is not a clock angle from `0deg` to less than `360deg`"),
            "not a clock angle",
            "write degrees clockwise from the top, looking forward, as in `122.5deg`",
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(value: i64) -> Length {
        Length { picometres: value * 1_000_000_000, text: format!("{value}mm") }
    }

    fn near(a: f64, b: f64) {
        assert!((a - b).abs() < SAME_MM, "{a} is not {b}");
    }

    #[test]
    fn circle_is_exact() {
        let circle = Girth::Circle { radius: mm(500) };
        near(circle.length_mm(), TAU * 500.0);
        near(circle.girth_at_clock(90.0).unwrap(), 250.0 * std::f64::consts::PI);
        let (breadth, height) = circle.point_at(250.0 * std::f64::consts::PI);
        near(breadth, 500.0);
        near(height, 0.0);
    }

    /// Circumference of an ellipse with half axes 1 and 2, 4 * 2 * E(k^2 = 3/4) with E = 1.211056027568459 (complete
    /// elliptic integral of the second kind, Abramowitz and Stegun table 17.1, from memory).
    #[test]
    fn ellipse_agrees_with_the_elliptic_integral() {
        let ellipse = Girth::Ellipse { half_breadth: mm(500), half_height: mm(1000) };
        near(ellipse.length_mm(), 4.0 * 1000.0 * 1.211_056_027_568_459);
        near(ellipse.girth_at_clock(180.0).unwrap(), ellipse.length_mm() / 2.0);
    }

    #[test]
    fn places_come_back_from_their_angle() {
        let polyline =
            Girth::Polyline { points: vec![(mm(0), mm(300)), (mm(200), mm(-100)), (mm(-200), mm(-100))], closed: true };
        for girth in [
            Girth::Circle { radius: mm(500) },
            Girth::Ellipse { half_breadth: mm(400), half_height: mm(900) },
            Girth::Ellipse { half_breadth: mm(900), half_height: mm(9) },
            polyline,
        ] {
            for step in 0..36 {
                let at = girth.length_mm() * f64::from(step) / 36.0;
                near(girth.girth_at_clock(girth.clock_deg(at)).unwrap(), at);
            }
        }
    }

    #[test]
    fn polyline_is_counted_from_its_first_point() {
        let open = Girth::Polyline { points: vec![(mm(0), mm(30)), (mm(40), mm(0)), (mm(40), mm(-50))], closed: false };
        near(open.length_mm(), 100.0);
        near(open.girth_at_clock(90.0).unwrap(), 50.0);
        assert_eq!(open.point_at(75.0), (40.0, -25.0));
        assert_eq!(open.point_at(200.0), (40.0, -50.0));
        assert!(open.girth_at_clock(270.0).unwrap_err().message.ends_with("meets the path nowhere"));
    }

    #[test]
    fn ray_that_meets_a_polyline_twice_is_refused() {
        let hook =
            Girth::Polyline { points: vec![(mm(10), mm(-10)), (mm(10), mm(10)), (mm(20), mm(-9))], closed: false };
        let message = hook.girth_at_clock(90.0).unwrap_err().message;
        assert_eq!(message, "the ray at 90 degrees from the origin meets the path at more than one place");
    }

    #[test]
    fn clock_angles_have_their_unit() {
        assert_eq!(clock_angle("122.5deg"), Ok(122.5));
        assert_eq!(clock_angle("0 deg"), Ok(0.0));
        for text in ["122", "360deg", "-5deg", "deg", "infdeg", "1e2deg"] {
            assert!(clock_angle(text).is_err(), "{text}");
        }
    }
}
