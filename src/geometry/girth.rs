//! The path of a frame along its metal, and places on it.
//!
//! Whatever the outline, it becomes a list of smooth pieces in the frame's plane, laid out flat if there are two:
//! lengths, points and places are asked of the pieces alone. Straight lines and arcs of circles have closed forms; along ellipses and cubics lengths are
//! integrals by adaptive Gauss-Legendre quadrature, within 1e-6 mm (compared with scipy by the tests).

mod curve;
mod outline;
mod planes;

pub use curve::PlanePoint;
pub use outline::{CornerFault, FrameOutline, PolylineCorner};
pub use planes::Planes;

use crate::codes;
use crate::quantity::Unreadable;
use crate::quantity::length::mm_and_inches;
use crate::schema::{Hand, Level, Ordinates};
use curve::{PlaneCurve, SAME_MM, StraightLine};
use planes::Leaf;

/// The path of a frame: breadth to starboard, height up, clock angles clockwise from the top as seen looking forward,
/// distances along the metal from the start of the path.
#[derive(Clone, Debug, PartialEq)]
pub struct Girth {
    pieces: Vec<PathPiece>,
    closed: bool,
    by_points: bool,
    planes: Planes,
    view: Ordinates,
}

/// A smooth piece of the path, laid flat.
#[derive(Clone, Debug, PartialEq)]
struct PathPiece {
    curve: PlaneCurve,
    leaf: Leaf,
    /// How far along the path it starts, and how long it is, in millimetres.
    start: f64,
    length: f64,
}

/// A place on a frame, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FramePoint {
    /// To starboard of the centre line.
    pub breadth: f64,
    /// Upright above the origin, as seen looking forward.
    pub height: f64,
    /// Along the metal of a frame that leans: the same as `height` where it is at its station.
    pub along_plane: f64,
    /// Aft of the frame's station.
    pub aft: f64,
}

/// Places along a path nearer than this, in millimetres, are one where a line meets it.
const ONE_PLACE_MM: f64 = 0.001;

impl Girth {
    /// The path with an outline, given in a view, on a frame that lies in these planes.
    ///
    /// On the body plan heights are upright: each piece is stretched by its plane. Stretched, lines stay lines, arcs
    /// arcs of an ellipse and cubics cubics, so that nothing is approximated.
    #[must_use]
    pub fn new(outline: FrameOutline, planes: Planes, view: Ordinates) -> Girth {
        let knuckle = StraightLine { breadth: 0.0, height: 1.0, at: planes.level_mm() };
        let mut pieces: Vec<PathPiece> = Vec::new();
        let mut start = 0.0;
        for curve in outline.curves {
            let mut cuts = vec![0.0, 1.0];
            if planes.is_cranked() {
                cuts.extend(curve.meets(&knuckle).into_iter().map(|(u, _)| u));
                cuts.sort_by(f64::total_cmp);
            }
            for pair in cuts.windows(2).filter(|pair| pair[1] - pair[0] > 1e-12) {
                let leaf = if curve.at(f64::midpoint(pair[0], pair[1])).1 < planes.level_mm() {
                    Leaf::Below
                } else {
                    Leaf::Above
                };
                let whole = cuts.len() == 2;
                let part = if whole { curve.clone() } else { curve.part(pair[0], pair[1]) };
                let part = match view {
                    Ordinates::BodyPlan if !planes.is_upright() => {
                        part.stretched(planes.level_mm(), planes.stretch(leaf))
                    }
                    Ordinates::BodyPlan | Ordinates::InPlane => part,
                };
                let length = part.length_to(1.0);
                pieces.push(PathPiece { curve: part, leaf, start, length });
                start += length;
            }
        }
        Girth { pieces, closed: outline.closed, by_points: outline.by_points, planes, view }
    }

    /// The path of an upright frame.
    #[must_use]
    pub fn upright(outline: FrameOutline) -> Girth {
        Girth::new(outline, Planes::UPRIGHT, Ordinates::InPlane)
    }

    /// The length of the whole path along the metal in millimetres, to within 1e-6 mm.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        self.pieces.last().map_or(0.0, |piece| piece.start + piece.length)
    }

    /// Whether the path comes back to its start.
    #[must_use]
    pub fn is_closed(&self) -> bool {
        self.closed
    }

    /// Whether the outline is given point by point, by ordinates.
    #[must_use]
    pub fn is_by_points(&self) -> bool {
        self.by_points
    }

    /// Half the breadth and half the height, if the path is an upright ellipse and no circle.
    #[must_use]
    pub fn half_axes_mm(&self) -> Option<(f64, f64)> {
        let of_piece = |piece: &PathPiece| match &piece.curve {
            PlaneCurve::Arc(arc) if arc.middle == (0.0, 0.0) => Some(arc.half),
            PlaneCurve::Arc(_) | PlaneCurve::Straight(..) | PlaneCurve::Cubic(_) => None,
        };
        let half = of_piece(self.pieces.first()?)?;
        let whole = self.planes.is_upright() && self.pieces.iter().all(|piece| of_piece(piece) == Some(half));
        Some(half).filter(|(breadth, height)| whole && (breadth - height).abs() > SAME_MM)
    }

    /// The planes in which the frame lies.
    #[must_use]
    pub fn planes(&self) -> Planes {
        self.planes
    }

    /// The view in which the outline is given.
    #[must_use]
    pub fn view(&self) -> Ordinates {
        self.view
    }

    /// On which side of the level on which its planes meet the whole path lies; `None` if on both.
    #[must_use]
    pub fn only_side_of_knuckle(&self) -> Option<&'static str> {
        let lies = |leaf| self.pieces.iter().any(|piece| piece.leaf == leaf);
        match (lies(Leaf::Above), lies(Leaf::Below)) {
            (true, true) => None,
            (true, false) => Some("above"),
            (false, _) => Some("below"),
        }
    }

    /// The distances along the path, in millimetres, at which its smooth pieces start.
    pub fn joints(&self) -> impl Iterator<Item = f64> {
        self.pieces.iter().map(|piece| piece.start)
    }

    /// The place at a distance along the path in millimetres.
    ///
    /// A closed path goes round as often as asked; an open one stops at its ends.
    #[must_use]
    pub fn spot(&self, girth_mm: f64) -> FramePoint {
        let whole = self.length_mm();
        let at = if self.closed { girth_mm.rem_euclid(whole) } else { girth_mm.clamp(0.0, whole) };
        let after = self.pieces.partition_point(|piece| piece.start <= at);
        let piece = &self.pieces[after.saturating_sub(1)];
        let (breadth, along_plane) = piece.curve.at(piece.curve.at_length(at - piece.start));
        let (height, aft) = (self.planes.upright(along_plane, piece.leaf), self.planes.aft(along_plane, piece.leaf));
        FramePoint { breadth, height, along_plane, aft }
    }

    /// The point (breadth, upright height) in millimetres at a distance along the path, as seen looking forward.
    #[must_use]
    pub fn point_at(&self, girth_mm: f64) -> PlanePoint {
        let spot = self.spot(girth_mm);
        (spot.breadth, spot.height)
    }

    /// The clock angle in degrees, from 0 to less than 360, at which a place on the path is seen from the origin.
    #[must_use]
    pub fn clock_deg(&self, girth_mm: f64) -> f64 {
        let (breadth, height) = self.point_at(girth_mm);
        breadth.atan2(height).to_degrees().rem_euclid(360.0) % 360.0
    }

    /// Whether the path runs clockwise all the way, as seen looking forward (`true`), or anticlockwise (`false`); `None`
    /// if it does neither.
    #[must_use]
    pub fn runs_clockwise(&self) -> Option<bool> {
        const STEPS: u32 = 72;
        let clock = |step: u32| self.clock_deg(self.length_mm() * (f64::from(step) + 0.5) / f64::from(STEPS));
        let turns = (1..STEPS).map(|step| (clock(step) - clock(step - 1) + 180.0).rem_euclid(360.0) - 180.0);
        let (mut on, mut back) = (false, false);
        for turn in turns {
            on |= turn > 1e-9;
            back |= turn < -1e-9;
        }
        (on != back).then_some(on)
    }

    /// The distance along the path, in millimetres, of the place that is seen from the origin (the centre of a circle
    /// or an ellipse) at a clock angle in degrees.
    ///
    /// # Errors
    /// Says so if the ray at that angle meets the path nowhere, or at more than one place, and where.
    pub fn girth_at_clock(&self, clock_deg: f64) -> Result<f64, Unreadable> {
        let (east, north) = clock_deg.rem_euclid(360.0).to_radians().sin_cos();
        let ahead = |at: f64| {
            let (breadth, height) = self.point_at(at);
            breadth * east + height * north > SAME_MM
        };
        let mut met = self.met(|leaf| self.planes.laid(&StraightLine { breadth: north, height: -east, at: 0.0 }, leaf));
        met.keep(ahead);
        self.only(&met).map_err(|met| {
            let message = format!("the ray at {clock_deg} degrees from the origin meets the path {met}");
            let help = "give the place as a distance along the path, as in `Girth(\"320mm\")`";
            Unreadable::new(codes::ANGLE_MEETS_NO_PLACE, message, "no single place", help)
        })
    }

    /// The distance along the path, in millimetres, of the place at a height in millimetres on a side, in the view in
    /// which the outline is given. `text` is how the height was written.
    ///
    /// # Errors
    /// Says so if the path is there nowhere, or at more than one place, and where.
    pub fn girth_at_height(&self, height: f64, text: &str, side: Hand) -> Result<f64, Unreadable> {
        let level = StraightLine { breadth: 0.0, height: 1.0, at: height };
        let mut met = self.met(|leaf| match self.view {
            Ordinates::InPlane => level,
            Ordinates::BodyPlan => self.planes.laid(&level, leaf),
        });
        met.along.retain(|(from, to)| [from, to].into_iter().any(|at| self.breadth_on(*at, side) > SAME_MM));
        met.places.retain(|at| self.breadth_on(*at, side) > -SAME_MM);
        self.only(&met).map_err(|how| {
            let message = format!("the height `{text}` to {} meets the path {how}", side_word(side));
            ordinate(message, met.is_nowhere(), "give a height at which the path is once on that side")
        })
    }

    /// The distance along the path, in millimetres, of the place at a breadth in millimetres on a side; the upper or
    /// the lower one where there are two and `level` says so. `text` is how the breadth was written.
    ///
    /// # Errors
    /// Says so if the path is there nowhere, or at more than one place, and where.
    pub fn girth_at_breadth(
        &self,
        breadth: f64,
        text: &str,
        side: Hand,
        level: Option<Level>,
    ) -> Result<f64, Unreadable> {
        let breadth = match side {
            Hand::Port => -breadth,
            Hand::Starboard => breadth,
        };
        let met = self.met(|_| StraightLine { breadth: 1.0, height: 0.0, at: breadth });
        if let ([a, b], [], Some(level)) = (&met.places[..], &met.along[..], level) {
            let b_is_upper = self.point_at(*b).1 > self.point_at(*a).1;
            return Ok(if b_is_upper == (level == Level::Upper) { *b } else { *a });
        }
        self.only(&met).map_err(|how| {
            let message = format!("the breadth `{text}` to {} meets the path {how}", side_word(side));
            let help = match (&met.places[..], &met.along[..]) {
                ([_, _], []) => "add `Upper` or `Lower`, whichever is meant, after the side",
                _ => "give a breadth at which the path is once or twice on that side",
            };
            ordinate(message, met.is_nowhere(), help)
        })
    }

    /// How much of a run along the path lies to starboard and how much to port of the centre line, in millimetres.
    #[must_use]
    pub fn sides_mm(&self, from_mm: f64, run_mm: f64) -> (f64, f64) {
        let whole = self.length_mm();
        let crossings = self.met(|_| StraightLine { breadth: 1.0, height: 0.0, at: 0.0 });
        let way = |at: f64| if self.closed { (at - from_mm).rem_euclid(whole) } else { at - from_mm };
        let inside = crossings.places.into_iter().map(way).filter(|way| *way > 0.0 && *way < run_mm);
        let mut stops: Vec<f64> = inside.chain([0.0, run_mm]).collect();
        stops.sort_by(f64::total_cmp);
        let (mut starboard, mut port) = (0.0, 0.0);
        for pair in stops.windows(2) {
            let breadth = self.spot(from_mm + f64::midpoint(pair[0], pair[1])).breadth;
            if breadth > SAME_MM {
                starboard += pair[1] - pair[0];
            } else if breadth < -SAME_MM {
                port += pair[1] - pair[0];
            }
        }
        (starboard, port)
    }

    /// The distance along the path, in millimetres, of the mirror image of a place on the other side of the centre line;
    /// `None` if the path is not its own mirror image. A mirror image runs the other way round, and stays where the path
    /// meets the centre line.
    #[must_use]
    pub fn mirrored_mm(&self, girth_mm: f64) -> Option<f64> {
        let turn = *self.met(|_| StraightLine { breadth: 1.0, height: 0.0, at: 0.0 }).places.first()?;
        let image = |at: f64| {
            let way = 2.0 * turn - at;
            if self.closed { way.rem_euclid(self.length_mm()) } else { way }
        };
        let agrees = |at: f64| {
            let (here, there) = (self.spot(at), self.spot(image(at)));
            (here.breadth + there.breadth).abs() < ONE_PLACE_MM
                && (here.along_plane - there.along_plane).abs() < ONE_PLACE_MM
        };
        // Two smooth pieces of a path that agree at their ends and between them are images of each other.
        let tried =
            self.pieces.iter().flat_map(|piece| [0.0, 0.3, 0.7].map(|share| piece.start + share * piece.length));
        let symmetric = tried.chain([self.length_mm()]).all(agrees);
        symmetric.then(|| image(girth_mm))
    }

    /// How far a place lies out to a side of the centre line.
    fn breadth_on(&self, at: f64, side: Hand) -> f64 {
        let breadth = self.spot(at).breadth;
        match side {
            Hand::Port => -breadth,
            Hand::Starboard => breadth,
        }
    }

    /// Where a line meets the path. The line is given as it lies along the metal of each plane.
    fn met(&self, line: impl Fn(Leaf) -> StraightLine) -> Met {
        let whole = self.length_mm();
        let mut found: Vec<(f64, f64)> = Vec::new();
        let mut along: Vec<(f64, f64)> = Vec::new();
        for piece in &self.pieces {
            let line = line(piece.leaf);
            if piece.curve.lies_on(&line) {
                along.push((piece.start, piece.start + piece.length));
            }
            for (u, off) in piece.curve.meets(&line) {
                let at = piece.start + piece.curve.length_to(u);
                let at = if self.closed && whole - at < SAME_MM { 0.0 } else { at };
                let apart = |other: f64| {
                    let way = (other - at).abs();
                    if self.closed { way.min(whole - way) } else { way }
                };
                match found.iter_mut().find(|(other, _)| apart(*other) <= ONE_PLACE_MM) {
                    Some(other) if other.1 > off => *other = (at, off),
                    Some(_) => {}
                    None => found.push((at, off)),
                }
            }
        }
        let mut places: Vec<f64> = found.into_iter().map(|(at, _)| at).collect();
        places.sort_by(f64::total_cmp);
        Met { places, along }
    }

    /// The one place at which a line meets the path, or where it does.
    fn only(&self, met: &Met) -> Result<f64, String> {
        let sentence_of = |at: &f64| format!("{} at {:.2} deg", mm_and_inches(*at), self.clock_deg(*at));
        match (&met.places[..], &met.along[..]) {
            ([at], []) => Ok(*at),
            ([], []) => Err("nowhere".to_owned()),
            (_, [(from, to), ..]) => Err(format!("all along it from {} to {}", sentence_of(from), sentence_of(to))),
            (places, []) => {
                let first: Vec<String> = places.iter().take(4).map(sentence_of).collect();
                let more = if places.len() > 4 { " and on" } else { "" };
                Err(format!("at {} places along it: {}{more}", places.len(), first.join(", ")))
            }
        }
    }
}

/// Where a line meets a path, in millimetres along it.
#[derive(Debug)]
struct Met {
    /// The places, each once, in path order; where the path runs along the line, the ends of that.
    places: Vec<f64>,
    /// The pieces that run along the line.
    along: Vec<(f64, f64)>,
}

impl Met {
    fn keep(&mut self, wanted: impl Fn(f64) -> bool) {
        self.places.retain(|at| wanted(*at));
        self.along.retain(|(from, to)| wanted(*from) || wanted(*to));
    }
    fn is_nowhere(&self) -> bool {
        self.places.is_empty() && self.along.is_empty()
    }
}

fn side_word(side: Hand) -> &'static str {
    match side {
        Hand::Port => "port",
        Hand::Starboard => "starboard",
    }
}

fn ordinate(message: String, nowhere: bool, several: &str) -> Unreadable {
    let help = if nowhere { "check the ordinate, its unit and its side against the drawing" } else { several };
    let help = format!("{help}, or give the place as a distance along the path, as in `Girth(\"320mm\")`");
    Unreadable::new(codes::ORDINATE_MEETS_NO_PLACE, message, "no single place", help)
}

/// Reads a clock angle such as `122.5deg`: from 0 to less than 360 degrees.
///
/// # Errors
/// Says why the text is no clock angle.
pub fn clock_angle(text: &str) -> Result<f64, Unreadable> {
    match degrees(text) {
        Some(angle) if angle < 360.0 => Ok(angle),
        _ => Err(Unreadable::new(
            codes::UNREADABLE_ANGLE,
            format!("`{text}` is not a clock angle from `0deg` to less than `360deg`"),
            "not a clock angle",
            "write degrees clockwise from the top, looking forward, as in `122.5deg`",
        )),
    }
}

/// Reads how far a plane leans from upright, such as `8deg`: over 0 and under 90 degrees.
///
/// # Errors
/// Says why the text is no such angle.
pub fn lean_angle(text: &str) -> Result<f64, Unreadable> {
    match degrees(text) {
        Some(angle) if angle > 0.0 && angle < 90.0 => Ok(angle),
        _ => Err(Unreadable::new(
            codes::PLANES_OF_NO_USE,
            format!("`{text}` is not a lean from upright over `0deg` and under `90deg`"),
            "not a lean",
            "write degrees from upright, as in `8deg`; a plane that does not lean is `Upright`",
        )),
    }
}

/// A plain number of degrees, without a sign.
fn degrees(text: &str) -> Option<f64> {
    let number = text.trim().strip_suffix("deg").map(str::trim_end)?;
    let plain = number.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    plain.then(|| number.parse().ok()).flatten()
}

#[cfg(test)]
mod tests;
