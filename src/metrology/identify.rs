//! Which plate of a catalogue do measured holes belong to?
//!
//! Holes need no names; some may be missing, some strange to the plate; the placement is arbitrary. The verdict rests
//! on *telling* holes alone: places where one plate has a hole and the other has none within both zones and twice the
//! instrument's uncertainty, so that no measured hole can speak for both. A hole that was not found says nothing: it
//! may not have been drilled yet, or not been measured.
//!
//! Plates are plane patterns: third coordinates are left out ([`super::fit::level`] lays a reading level). A plane
//! pattern shows its hand only to one who knows which face was measured; otherwise hands are not known. A plate mounted
//! back to front looks like the other hand.

mod matching;

use self::matching::{Index, hand};
use super::point::{Motion, Point3};

/// A nominal hole of a plate definition.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlateHole {
    /// Its place in the plate's (the jig's datum) axes, seen from the marked face.
    pub at: Point3,
    /// The diameter of its position tolerance zone, in millimetres.
    pub zone: f64,
}

impl PlateHole {
    /// How far from its place it may be found: half the zone and the instrument's expanded uncertainty.
    fn reach(&self, uncertainty: f64) -> f64 {
        self.zone / 2.0 + uncertainty
    }
}

/// Plate definitions (by index), with all their pair distances sorted.
///
/// Memory: about 24 bytes per pair of holes of one plate; 2,000 plates of 35 holes take 30 MB.
#[derive(Clone, Debug)]
pub struct PlatePatterns {
    plates: Vec<Vec<PlateHole>>,
    index: Index,
}

/// From which side the holes were measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MeasuredFace {
    /// From the marked face, as the definitions are drawn.
    Marked,
    /// From the back.
    Back,
    /// Not known: hands cannot be known.
    Unknown,
}

/// What the axes of the reading are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Placement {
    /// The instrument's: the plate may lie anywhere.
    Free,
    /// The jig's datum axes, seen from the marked face: then a plate mounted turned or shifted shows.
    JigAxes,
}

/// Measured holes without names.
#[derive(Clone, Debug)]
pub struct UnnamedHoles {
    /// The places, level, in millimetres.
    pub holes: Vec<Point3>,
    /// The face.
    pub face: MeasuredFace,
    /// The axes.
    pub placement: Placement,
    /// The instrument's expanded (k = 2) uncertainty of one coordinate.
    pub uncertainty: f64,
}

/// A measured hole on a hole of a plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Match {
    /// Index of the measured hole.
    pub measured: usize,
    /// Index of the plate's hole.
    pub hole: usize,
    /// How far apart they are after the fit, in millimetres.
    pub off: f64,
}

/// A plate, hand and placement that the measured holes fit.
#[derive(Clone, Debug, PartialEq)]
pub struct PlateMatch {
    /// Index of the plate definition.
    pub plate: usize,
    /// Whether the reading had to be mirrored (first axis reversed) to fit.
    pub mirrored: bool,
    /// Carries the measured places (mirrored first, where `mirrored`) onto the plate's axes.
    pub onto_plate: Motion,
    /// By hole of the plate.
    pub matches: Vec<Match>,
}

impl PlateMatch {
    /// Where a measured place lies on the plate.
    #[must_use]
    pub fn place(&self, measured: Point3) -> Point3 {
        self.onto_plate.apply(hand(measured, self.mirrored))
    }
    /// Where a place on the plate lies among the measured ones.
    fn back(&self, on_plate: Point3) -> Point3 {
        hand(self.onto_plate.inverse().apply(on_plate.flat()), self.mirrored)
    }
    fn same_place(&self, other: &Self, reach: f64) -> bool {
        // Two motions within reach of each other at two points 100 mm apart are one placement.
        (self.plate, self.mirrored) == (other.plate, other.mirrored)
            && [Point3::new(0.0, 0.0, 0.0), Point3::new(100.0, 0.0, 0.0)]
                .iter()
                .all(|&p| (self.back(p) - other.back(p)).norm() <= 4.0 * reach)
    }
}

/// What the holes in which two candidates differ say.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// The other candidate.
    pub rival: PlateMatch,
    /// Telling holes of the leader that were found: they speak against the rival.
    pub for_leader: Vec<Match>,
    /// Telling holes of the rival that were found.
    pub for_rival: Vec<Match>,
    /// Telling holes of the leader (indices) that were not found: they say nothing.
    pub silent_leader: Vec<usize>,
    /// Telling holes of the rival (indices) that were not found.
    pub silent_rival: Vec<usize>,
}

/// Which plate it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MatchVerdict {
    /// One plate; every other that comes near is ruled out by a telling hole.
    One,
    /// Several plates match equally: no telling hole was found between the leader and the equals.
    Several,
    /// Telling holes speak for the leader and for another plate as well: drilled to both, or altered.
    Mixed,
    /// No plate.
    None,
}

/// Which hand it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PatternHand {
    /// As the definition is drawn.
    AsDrawn,
    /// The other hand (or the plate turned back to front).
    Mirrored,
    /// The pattern is its own mirror image: both hands look the same.
    Same,
    /// The face is not known: a plane pattern cannot tell.
    NotKnown,
}

/// How the plate lies in the jig.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Mounting {
    /// As drawn.
    AsDrawn,
    /// Turned by this angle (radians) and shifted by this step from as drawn.
    Moved {
        /// The angle, -pi to pi.
        turn: f64,
        /// Where the plate's origin lies in the jig's axes, in millimetres.
        shift: Point3,
    },
    /// The reading's axes are not the jig's.
    NotKnown,
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Identification {
    /// The verdict.
    pub verdict: MatchVerdict,
    /// The plate that most measured holes fit; with the verdict `None` the nearest, where there is one.
    pub leader: Option<PlateMatch>,
    /// Its hand.
    pub hand: PatternHand,
    /// How it lies.
    pub mounting: Mounting,
    /// The plates that match equally (as they lie), with the telling holes that were not found.
    pub equals: Vec<Comparison>,
    /// The plates that telling holes rule out.
    pub ruled_out: Vec<Comparison>,
    /// The plates that telling holes speak for as well as for the leader.
    pub mixed_with: Vec<Comparison>,
    /// Holes of the leader (indices) that were not found.
    pub missing: Vec<usize>,
    /// Measured holes (indices) that are none of the leader's.
    pub strange: Vec<usize>,
}

/// So many holes must match at the least; three lie on some plate of a large catalogue by chance.
pub const FEWEST_HOLES: usize = 4;

impl PlatePatterns {
    /// Takes plates by index.
    #[must_use]
    pub fn new(plates: Vec<Vec<PlateHole>>) -> Self {
        let index = Index::new(&plates);
        Self { plates, index }
    }

    /// Names the plate.
    ///
    /// A plate is in question when at least three in five measured holes lie on it, half its own holes were found, and
    /// [`FEWEST_HOLES`] match.
    #[must_use]
    pub fn identify(&self, reading: &UnnamedHoles) -> Identification {
        let measured: Vec<Point3> =
            reading.holes.iter().map(|&p| hand(p, reading.face == MeasuredFace::Back)).collect();
        if measured.len() < FEWEST_HOLES || !measured.iter().all(|p| p.is_finite()) {
            return Identification::nothing(None);
        }
        let enough = (measured.len() * 3).div_ceil(5).max(FEWEST_HOLES);
        let close: Vec<PlateMatch> = self
            .ranked(&measured, reading.uncertainty, enough)
            .into_iter()
            .filter(|c| 2 * c.matches.len() >= self.plates[c.plate].len())
            .collect();
        if close.is_empty() {
            let some = (measured.len() * 2 / 5).max(FEWEST_HOLES);
            return Identification::nothing(self.ranked(&measured, reading.uncertainty, some).into_iter().next());
        }
        self.decide(reading, &measured, close)
    }

    /// All candidates with `needed` matches, most matches first, then as drawn, then the least turned.
    fn ranked(&self, measured: &[Point3], uncertainty: f64, needed: usize) -> Vec<PlateMatch> {
        let mut found = self.index.search(&self.plates, measured, uncertainty, needed);
        found.sort_by(|a, b| {
            let rank = |c: &PlateMatch| (usize::MAX - c.matches.len(), c.mirrored, c.plate);
            rank(a).cmp(&rank(b)).then_with(|| turn(a).abs().total_cmp(&turn(b).abs()))
        });
        found
    }

    fn decide(&self, reading: &UnnamedHoles, measured: &[Point3], close: Vec<PlateMatch>) -> Identification {
        let known_face = reading.face != MeasuredFace::Unknown;
        let leader = self.leader(&close, reading.uncertainty, known_face);
        let mut answer = Identification {
            mounting: self.mounting(reading, &leader, &close),
            hand: hand_of(&leader, &close, known_face),
            ..Identification::nothing(None)
        };
        for rival in close {
            // Other placements and the other hand of the same plate are no other plate.
            if rival.plate == leader.plate {
                continue;
            }
            let comparison = self.compare(&leader, rival, reading.uncertainty);
            match (comparison.for_leader.is_empty(), comparison.for_rival.is_empty()) {
                // A plate of the other hand that fits mirrored is the same metal as this one as drawn.
                (true, true) if known_face && comparison.rival.mirrored && !leader.mirrored => {}
                (true, true) => answer.equals.push(comparison),
                (false, true) => answer.ruled_out.push(comparison),
                (_, false) => answer.mixed_with.push(comparison),
            }
        }
        answer.verdict = match (answer.mixed_with.is_empty(), answer.equals.is_empty()) {
            (false, _) => MatchVerdict::Mixed,
            (true, false) => MatchVerdict::Several,
            (true, true) => MatchVerdict::One,
        };
        let holes = self.plates[leader.plate].len();
        answer.missing = (0..holes).filter(|h| !leader.matches.iter().any(|m| m.hole == *h)).collect();
        answer.strange = (0..measured.len()).filter(|i| !leader.matches.iter().any(|m| m.measured == *i)).collect();
        answer.leader = Some(leader);
        answer
    }

    /// The candidate with most matches; where the face is known, one as drawn that no telling hole speaks against goes
    /// before a mirrored one.
    fn leader(&self, close: &[PlateMatch], uncertainty: f64, known_face: bool) -> PlateMatch {
        let first = &close[0];
        if known_face && first.mirrored {
            for other in close.iter().filter(|c| !c.mirrored) {
                if self.compare(first, other.clone(), uncertainty).for_leader.is_empty() {
                    return other.clone();
                }
            }
        }
        first.clone()
    }

    /// The telling holes between two candidates.
    fn compare(&self, leader: &PlateMatch, rival: PlateMatch, uncertainty: f64) -> Comparison {
        let (for_leader, silent_leader) = self.telling(leader, &rival, uncertainty);
        let (for_rival, silent_rival) = self.telling(&rival, leader, uncertainty);
        Comparison { rival, for_leader, for_rival, silent_leader, silent_rival }
    }

    /// The holes of `one` where `other` has none: those found, and those not.
    fn telling(&self, one: &PlateMatch, other: &PlateMatch, uncertainty: f64) -> (Vec<Match>, Vec<usize>) {
        let others: Vec<(Point3, f64)> =
            self.plates[other.plate].iter().map(|h| (other.back(h.at), h.reach(uncertainty))).collect();
        let (mut found, mut silent) = (Vec::new(), Vec::new());
        for (index, hole) in self.plates[one.plate].iter().enumerate() {
            let place = one.back(hole.at);
            let apart = |(at, reach): &(Point3, f64)| (place - *at).norm() > hole.reach(uncertainty) + reach;
            if others.iter().all(apart) {
                match one.matches.iter().find(|m| m.hole == index) {
                    Some(m) => found.push(*m),
                    None => silent.push(index),
                }
            }
        }
        (found, silent)
    }

    fn mounting(&self, reading: &UnnamedHoles, leader: &PlateMatch, close: &[PlateMatch]) -> Mounting {
        if reading.placement == Placement::Free {
            return Mounting::NotKnown;
        }
        // As drawn when the leader's holes lie where they should in the jig's axes, on any of its equal placements.
        let as_drawn = close.iter().any(|c| {
            c.plate == leader.plate
                && c.mirrored == leader.mirrored
                && c.matches.len() == leader.matches.len()
                && self.plates[c.plate].iter().all(|h| {
                    let back = c.onto_plate.inverse().apply(h.at.flat());
                    (back - h.at.flat()).norm() <= h.reach(reading.uncertainty)
                })
        });
        if as_drawn {
            return Mounting::AsDrawn;
        }
        let back = leader.onto_plate.inverse();
        Mounting::Moved { turn: back.rotation[1][0].atan2(back.rotation[0][0]), shift: back.shift }
    }
}

impl Identification {
    fn nothing(nearest: Option<PlateMatch>) -> Self {
        Self {
            verdict: MatchVerdict::None,
            leader: nearest,
            hand: PatternHand::NotKnown,
            mounting: Mounting::NotKnown,
            equals: Vec::new(),
            ruled_out: Vec::new(),
            mixed_with: Vec::new(),
            missing: Vec::new(),
            strange: Vec::new(),
        }
    }
}

fn hand_of(leader: &PlateMatch, close: &[PlateMatch], known_face: bool) -> PatternHand {
    let both = close
        .iter()
        .any(|c| c.plate == leader.plate && c.mirrored != leader.mirrored && c.matches.len() >= leader.matches.len());
    match (known_face, both, leader.mirrored) {
        (_, true, _) => PatternHand::Same,
        (false, ..) => PatternHand::NotKnown,
        (true, false, true) => PatternHand::Mirrored,
        (true, false, false) => PatternHand::AsDrawn,
    }
}

/// The angle by which a candidate turns the reading.
fn turn(candidate: &PlateMatch) -> f64 {
    candidate.onto_plate.rotation[1][0].atan2(candidate.onto_plate.rotation[0][0])
}
