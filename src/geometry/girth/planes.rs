//! The plane of a frame, or the two planes of one that is cranked.
//!
//! Both are level athwartships and meet on a level line at the frame's station, so that the metal can be laid out flat
//! without stretching it: a place is given by its breadth and by its height *along the metal*, which on that line is
//! its upright height. Along a plane that leans by an angle, a length `l` rises by `l cos` and runs aft by `l sin`.

use super::curve::StraightLine;

/// The planes of a frame.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Planes {
    /// The height of the line on which they meet; of one plane, where it is at the frame's station. In millimetres.
    level: f64,
    /// How far the plane above it leans, in radians; positive if its upper edge lies aft.
    above: f64,
    /// How far the plane below it leans.
    below: f64,
}

/// On which of the two planes something lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Leaf {
    Above,
    Below,
}

impl Planes {
    /// One upright plane.
    pub const UPRIGHT: Planes = Planes { level: 0.0, above: 0.0, below: 0.0 };

    /// One plane, at the frame's station at a height in millimetres; its lean in degrees is positive if its upper edge
    /// lies aft.
    #[must_use]
    pub fn canted(level: f64, lean_deg: f64) -> Planes {
        Planes::cranked(level, lean_deg, lean_deg)
    }

    /// Two planes that meet at a height in millimetres, at the frame's station.
    #[must_use]
    pub fn cranked(level: f64, above_deg: f64, below_deg: f64) -> Planes {
        Planes { level, above: above_deg.to_radians(), below: below_deg.to_radians() }
    }

    /// Whether the frame is upright.
    #[must_use]
    pub fn is_upright(&self) -> bool {
        self.above.abs() <= 0.0 && self.below.abs() <= 0.0
    }
    /// Whether there are two planes.
    #[must_use]
    pub fn is_cranked(&self) -> bool {
        (self.above - self.below).abs() > 0.0
    }
    /// The height at which the frame is at its station, in millimetres.
    #[must_use]
    pub fn level_mm(&self) -> f64 {
        self.level
    }
    /// How far the planes above and below that height lean, in degrees; positive if the upper edge lies aft.
    #[must_use]
    pub fn leans_deg(&self) -> (f64, f64) {
        (self.above.to_degrees(), self.below.to_degrees())
    }

    fn lean(&self, leaf: Leaf) -> f64 {
        match leaf {
            Leaf::Above => self.above,
            Leaf::Below => self.below,
        }
    }
    /// The upright height of a height along the metal.
    pub(super) fn upright(&self, along: f64, leaf: Leaf) -> f64 {
        if self.is_upright() { along } else { self.level + (along - self.level) * self.lean(leaf).cos() }
    }
    /// How far aft of the frame's station a height along the metal lies.
    pub(super) fn aft(&self, along: f64, leaf: Leaf) -> f64 {
        (along - self.level) * self.lean(leaf).sin()
    }
    /// How much longer a height is along the metal than upright.
    pub(super) fn stretch(&self, leaf: Leaf) -> f64 {
        1.0 / self.lean(leaf).cos()
    }
    /// A line of the body plan as it lies along the metal.
    pub(super) fn laid(&self, line: &StraightLine, leaf: Leaf) -> StraightLine {
        if self.is_upright() {
            return *line;
        }
        let cos = self.lean(leaf).cos();
        StraightLine { height: line.height * cos, at: line.at - line.height * self.level * (1.0 - cos), ..*line }
    }
}
