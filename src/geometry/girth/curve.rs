//! Smooth pieces of a path: straight lines, arcs of ellipses, cubics.
//!
//! Each has a parameter from 0 at its start to 1 at its end. Straight lines and arcs of circles are measured by their
//! closed forms; the others by adaptive Gauss-Legendre quadrature of their speed to far below 1e-6 mm, and places
//! along them are found by Newton's method kept inside a bracket.

/// A point of a plane: breadth and height, in millimetres.
pub type PlanePoint = (f64, f64);

/// Two places nearer than this are one, in millimetres.
pub(super) const SAME_MM: f64 = 1e-6;
/// A line nearer than this to the turn of a curve touches it there, in millimetres.
const TOUCH_MM: f64 = 1e-9;
/// How near a measured length has to come, in millimetres.
const LENGTH_MM: f64 = 1e-10;

/// A smooth piece of a path; coordinates in millimetres.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum PlaneCurve {
    /// A straight line.
    Straight(PlanePoint, PlanePoint),
    /// Part of an ellipse with upright and level axes.
    Arc(Arc),
    /// A cubic: the coefficients of the powers of its parameter, from the constant on.
    Cubic([PlanePoint; 4]),
}

/// Part of an ellipse. A place on it is given by its eccentric angle, clockwise from the top:
/// `middle + (half.0 sin, half.1 cos)`.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Arc {
    pub(super) middle: PlanePoint,
    /// Half the breadth and half the height.
    pub(super) half: PlanePoint,
    /// The angle at which it starts, in radians.
    pub(super) from: f64,
    /// How far it turns; negative if it runs counter-clockwise.
    pub(super) sweep: f64,
}

/// A straight line across a view: where `breadth * x + height * y` is `at`.
#[derive(Clone, Copy, Debug)]
pub(super) struct StraightLine {
    pub(super) breadth: f64,
    pub(super) height: f64,
    pub(super) at: f64,
}

impl StraightLine {
    /// How far a point lies beyond the line, in millimetres if the factors are those of a unit normal.
    fn beyond(&self, (x, y): PlanePoint) -> f64 {
        self.breadth * x + self.height * y - self.at
    }
}

impl PlaneCurve {
    /// The point at a parameter.
    pub(super) fn at(&self, u: f64) -> PlanePoint {
        match self {
            PlaneCurve::Straight(from, to) => (from.0 + u * (to.0 - from.0), from.1 + u * (to.1 - from.1)),
            PlaneCurve::Arc(arc) => {
                let (sin, cos) = (arc.from + u * arc.sweep).sin_cos();
                (arc.middle.0 + arc.half.0 * sin, arc.middle.1 + arc.half.1 * cos)
            }
            PlaneCurve::Cubic(powers) => {
                let of =
                    |axis: fn(&PlanePoint) -> f64| powers.iter().rev().fold(0.0, |sum, power| sum * u + axis(power));
                (of(|power| power.0), of(|power| power.1))
            }
        }
    }

    /// How fast the curve runs, in millimetres for the whole parameter.
    fn speed(&self, u: f64) -> f64 {
        match self {
            PlaneCurve::Straight(from, to) => (to.0 - from.0).hypot(to.1 - from.1),
            PlaneCurve::Arc(arc) => {
                let (sin, cos) = (arc.from + u * arc.sweep).sin_cos();
                (arc.half.0 * cos).hypot(arc.half.1 * sin) * arc.sweep.abs()
            }
            PlaneCurve::Cubic([_, a, b, c]) => {
                let of = |a: f64, b: f64, c: f64| a + u * (2.0 * b + u * 3.0 * c);
                of(a.0, b.0, c.0).hypot(of(a.1, b.1, c.1))
            }
        }
    }

    /// Whether it runs at one speed, so that its length has a closed form.
    fn is_even(&self) -> bool {
        match self {
            PlaneCurve::Straight(..) => true,
            PlaneCurve::Arc(arc) => (arc.half.0 - arc.half.1).abs() <= f64::EPSILON * arc.half.0,
            PlaneCurve::Cubic(_) => false,
        }
    }

    /// The length from its start to a parameter.
    pub(super) fn length_to(&self, u: f64) -> f64 {
        if self.is_even() { u * self.speed(0.0) } else { integral(&|u| self.speed(u), 0.0, u) }
    }

    /// The parameter at a length from its start.
    pub(super) fn at_length(&self, length: f64) -> f64 {
        if self.is_even() {
            return (length / self.speed(0.0)).clamp(0.0, 1.0);
        }
        let (mut low, mut high) = (0.0, 1.0);
        let mut u = (length / self.length_to(1.0)).clamp(0.0, 1.0);
        for _ in 0..100 {
            let over = self.length_to(u) - length;
            if over.abs() < SAME_MM / 1000.0 {
                break;
            }
            if over > 0.0 {
                high = u;
            } else {
                low = u;
            }
            let newton = u - over / self.speed(u);
            u = if low < newton && newton < high { newton } else { f64::midpoint(low, high) };
        }
        u
    }

    /// The part between two parameters.
    pub(super) fn part(&self, from: f64, to: f64) -> PlaneCurve {
        match self {
            PlaneCurve::Straight(..) => PlaneCurve::Straight(self.at(from), self.at(to)),
            PlaneCurve::Arc(arc) => PlaneCurve::Arc(Arc {
                from: arc.from + from * arc.sweep,
                sweep: (to - from) * arc.sweep,
                ..arc.clone()
            }),
            PlaneCurve::Cubic([_, one, two, three]) => {
                let wide = to - from;
                let of = |one: f64, two: f64, three: f64| {
                    let slope = one + from * (2.0 * two + from * 3.0 * three);
                    [slope * wide, (two + 3.0 * three * from) * wide.powi(2), three * wide.powi(3)]
                };
                let (breadth, height) = (of(one.0, two.0, three.0), of(one.1, two.1, three.1));
                let [one, two, three] = [0, 1, 2].map(|power| (breadth[power], height[power]));
                PlaneCurve::Cubic([self.at(from), one, two, three])
            }
        }
    }

    /// The curve with its heights above a level stretched.
    pub(super) fn stretched(&self, level: f64, by: f64) -> PlaneCurve {
        let point = |(x, y): PlanePoint| (x, level + (y - level) * by);
        match self {
            PlaneCurve::Straight(from, to) => PlaneCurve::Straight(point(*from), point(*to)),
            PlaneCurve::Arc(arc) => {
                PlaneCurve::Arc(Arc { middle: point(arc.middle), half: (arc.half.0, arc.half.1 * by), ..arc.clone() })
            }
            PlaneCurve::Cubic([start, rest @ ..]) => {
                let [a, b, c] = rest.map(|(x, y)| (x, y * by));
                PlaneCurve::Cubic([point(*start), a, b, c])
            }
        }
    }

    /// Whether it runs along a line.
    pub(super) fn lies_on(&self, line: &StraightLine) -> bool {
        [0.0, 0.4, 0.7, 1.0].into_iter().all(|u| line.beyond(self.at(u)).abs() <= SAME_MM)
    }

    /// The parameters at which it meets a line, with how far off it is there. Where it runs along the line, its ends.
    pub(super) fn meets(&self, line: &StraightLine) -> Vec<(f64, f64)> {
        let inner = match self {
            PlaneCurve::Straight(from, to) => {
                let (a, b) = (line.beyond(*from), line.beyond(*to));
                if a.min(b) < -SAME_MM && a.max(b) > SAME_MM { vec![a / (a - b)] } else { Vec::new() }
            }
            PlaneCurve::Arc(arc) => arc.meets(line),
            PlaneCurve::Cubic(powers) => {
                let mut of = powers.map(|(x, y)| line.breadth * x + line.height * y);
                of[0] -= line.at;
                roots(of)
            }
        };
        let off = |u: f64| line.beyond(self.at(u)).abs();
        let ends = [0.0, 1.0].into_iter().filter(|u| off(*u) <= SAME_MM);
        let inner = inner.into_iter().filter(|u| (0.0..=1.0).contains(u));
        ends.chain(inner).map(|u| (u, off(u))).collect()
    }
}

impl Arc {
    /// The parameters at which it meets a line: `a sin + b cos = c` has its two angles beside `atan2(a, b)`.
    fn meets(&self, line: &StraightLine) -> Vec<f64> {
        let (a, b) = (line.breadth * self.half.0, line.height * self.half.1);
        let c = line.at - line.breadth * self.middle.0 - line.height * self.middle.1;
        let reach = a.hypot(b);
        if reach <= TOUCH_MM || c.abs() > reach + TOUCH_MM {
            return Vec::new();
        }
        let (between, apart) = (a.atan2(b), (c / reach).clamp(-1.0, 1.0).acos());
        let turned = |angle: f64| {
            let way = if self.sweep < 0.0 { self.from - angle } else { angle - self.from };
            way.rem_euclid(std::f64::consts::TAU) / self.sweep.abs()
        };
        vec![turned(between - apart), turned(between + apart)]
    }
}

/// The roots from 0 to 1 of a cubic, given by its coefficients from the constant on: bisection between its turns.
fn roots([d, c, b, a]: [f64; 4]) -> Vec<f64> {
    let value = |u: f64| d + u * (c + u * (b + u * a));
    let inside = |u: &f64| *u > 0.0 && *u < 1.0;
    let mut turns: Vec<f64> = quadratic_roots(3.0 * a, 2.0 * b, c).into_iter().filter(inside).collect();
    turns.sort_by(f64::total_cmp);
    let mut found: Vec<f64> = turns.iter().copied().filter(|u| value(*u).abs() <= TOUCH_MM).collect();
    let stops: Vec<f64> = [0.0].into_iter().chain(turns).chain([1.0]).collect();
    for pair in stops.windows(2) {
        let (mut low, mut high) = (pair[0], pair[1]);
        let rises = value(high) > value(low);
        if value(low).abs() <= TOUCH_MM || value(high).abs() <= TOUCH_MM || (value(low) > 0.0) == (value(high) > 0.0) {
            continue;
        }
        while low < f64::midpoint(low, high) && f64::midpoint(low, high) < high {
            let middle = f64::midpoint(low, high);
            if (value(middle) > 0.0) == rises {
                high = middle;
            } else {
                low = middle;
            }
        }
        found.push(low);
    }
    found
}

/// The roots of `a u^2 + b u + c`, in the form that loses no digits where `b` is large.
fn quadratic_roots(a: f64, b: f64, c: f64) -> Vec<f64> {
    let under = b * b - 4.0 * a * c;
    if under < 0.0 {
        return Vec::new();
    }
    let q = -0.5 * (b + under.sqrt().copysign(b));
    [q / a, c / q].into_iter().filter(|root| root.is_finite()).collect()
}

/// An integral, by halving until the rule agrees with itself to far below 1e-6 mm.
fn integral(of: &dyn Fn(f64) -> f64, from: f64, to: f64) -> f64 {
    halve(of, from, to, gauss(of, from, to), 40)
}

fn halve(of: &dyn Fn(f64) -> f64, from: f64, to: f64, whole: f64, depth: u32) -> f64 {
    let middle = f64::midpoint(from, to);
    let (left, right) = (gauss(of, from, middle), gauss(of, middle, to));
    if depth == 0 || (left + right - whole).abs() < LENGTH_MM {
        return left + right;
    }
    halve(of, from, middle, left, depth - 1) + halve(of, middle, to, right, depth - 1)
}

/// Gauss-Legendre rule with five points (Abramowitz and Stegun, table 25.4; from memory, checked by the tests).
fn gauss(of: &dyn Fn(f64) -> f64, from: f64, to: f64) -> f64 {
    const POINTS: [(f64, f64); 3] = [
        (0.0, 0.568_888_888_888_888_9),
        (0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
        (0.906_179_845_938_664, 0.236_926_885_056_189_1),
    ];
    let (middle, half) = (f64::midpoint(from, to), (to - from) / 2.0);
    let [(_, centre), pairs @ ..] = POINTS;
    let sum: f64 =
        pairs.iter().map(|(place, weight)| weight * (of(middle - half * place) + of(middle + half * place))).sum();
    half * (centre * of(middle) + sum)
}
