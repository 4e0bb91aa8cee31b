//! What was found of plates and of their holes: values, which the rest of the room makes and reads.

use crate::ids::PlateId;
use crate::metrology::error_kind::Diagnosis;
use crate::metrology::fit::Fit;
use crate::metrology::identify::Identification;
use crate::metrology::point::Point3;
use crate::metrology::position::{Judgement, LimitVerdict, deciding_uncertainty};
use crate::model::{Hole, Plate};
use serde::Serialize;

/// Which definition the measured holes are.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Identity {
    /// This one.
    One(PlateId),
    /// This one, with its hand swapped or mounted back to front.
    OtherHand(PlateId),
    /// These match equally: no telling hole was measured. The best first. Where one of them is for the station on which
    /// the plate stands and the others are for other stations, it is that one: the same metal serves there.
    Several(Vec<PlateId>),
    /// Telling holes speak for each of these, the best first: drilled to more than one, or altered.
    Mixed(Vec<PlateId>),
    /// None; the nearest, where one is near at all.
    NoPlate(Option<PlateId>),
    /// Too few holes were measured to tell.
    TooFew,
}

/// What deviations are taken on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DatumBasis {
    /// The jig's datum axes, on which the instrument was set.
    JigAxes,
    /// So many measured datum holes of the plate.
    Holes(usize),
    /// The best fit of all holes, because fewer than two datum holes were measured: an error of the whole plate
    /// against its datums cannot show.
    BestFit,
}

/// A hole of the definition, measured or not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoleFound {
    /// The hole of the definition (an index).
    pub hole: usize,
    /// The measured hole (an index); `None`: it was not measured.
    pub measured: Option<usize>,
    /// Measured minus nominal on the datums, in millimetres.
    pub off: Point3,
    /// Its judgement, if it was measured and can be judged.
    pub judged: Option<Judgement>,
    /// Whether deviations are taken on it.
    pub is_datum: bool,
    /// What is left of its deviation after the best fit, in millimetres.
    pub left: Option<Point3>,
    /// Whether a slip of measuring or writing would explain its figures: then nothing is proved by them.
    pub in_doubt: bool,
}

impl HoleFound {
    /// Position and size together, where the figures are not in doubt; `None` if it was not measured or cannot be judged.
    #[must_use]
    pub fn verdict(&self) -> Option<LimitVerdict> {
        let read = self.as_read()?;
        Some(if self.in_doubt { LimitVerdict::NotDecidable } else { read })
    }
    /// The same if its figures are right.
    #[must_use]
    pub fn as_read(&self) -> Option<LimitVerdict> {
        let judged = self.judged?;
        let size = judged.size.unwrap_or(LimitVerdict::Pass);
        Some(match (judged.position, size) {
            (LimitVerdict::Fail, _) | (_, LimitVerdict::Fail) => LimitVerdict::Fail,
            (LimitVerdict::NotDecidable, _) | (_, LimitVerdict::NotDecidable) => LimitVerdict::NotDecidable,
            (LimitVerdict::Pass, LimitVerdict::Pass) => LimitVerdict::Pass,
        })
    }
}

/// The holes of a plate taken together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum HolesState {
    /// Every hole was measured and is proved within.
    Within,
    /// Some hole is too near its limit for the instrument, or was not measured; none is proved out.
    NotDecided,
    /// Some hole is proved out.
    Out,
}

/// What a survey says.
#[derive(Clone, Debug)]
pub struct Examined {
    /// The survey (an index of the model's).
    pub survey: usize,
    /// The definition that the plate's record says it was made to.
    pub record: Option<PlateId>,
    /// The definition that the holes are.
    pub identity: Identity,
    /// Whether the identity was found with the loose reach of [`crate::quantity::SurveyLimits`], no plate matching within zones.
    pub loose: bool,
    /// How the identity was found; plates are indices of [`Examiner::plate`](super::examine::Examiner::plate).
    pub identification: Identification,
    /// The definition against which the holes are judged: the identified one, else that of the record.
    pub against: Option<PlateId>,
    /// Every hole of that definition, in its order.
    pub holes: Vec<HoleFound>,
    /// Measured holes (indices) that are none of the definition's.
    pub strange: Vec<usize>,
    /// Measured holes (indices) that lie on another hole of the definition (an index) than their name says.
    pub renamed: Vec<(usize, usize)>,
    /// What the deviations are taken on.
    pub basis: DatumBasis,
    /// What kind of error it is; its holes are indices of `order`, its members those of the definition.
    pub diagnosis: Option<Diagnosis>,
    /// The holes of the diagnosis as holes of the definition (indices).
    pub order: Vec<usize>,
    /// Their nominal places, in that order.
    pub wanted: Vec<Point3>,
    /// Whether the readings were mirrored to be judged.
    pub mirrored: bool,
    /// The members of the definition (indices) that the diagnosis calls members, and those that it calls rows.
    pub members: (Vec<usize>, Vec<usize>),
    /// The best fit of the measured holes to the definition, bad ones left out: the motion from where they lie on the
    /// datums, and how many holes it rests on.
    pub best_fit: Option<(Fit, usize)>,
    /// Whether lengths were corrected to 20 degrees.
    pub corrected: bool,
    /// By measured hole: how far it lies off the height at which the drawing has it, from the plane of the others, in
    /// millimetres; `None`: heights were not measured, or too few.
    pub heights: Option<Vec<f64>>,
    /// The plates that were measured on the jig's axes in one set-up with this one, taken together.
    pub set_up: Option<SetUp>,
    /// Slips of measuring and writing that would explain the readings, and cost nothing to look for.
    pub slips: Vec<Slip>,
    /// How much longer than the plate's pattern a part comes out that is made on it at the survey's temperature, by
    /// located part (an index of the definition's list), over the longest distance between holes, in millimetres.
    pub mismatch: Vec<(usize, f64)>,
}

impl Examined {
    /// The holes taken together; `None` where they were judged against no definition.
    #[must_use]
    pub fn state(&self) -> Option<HolesState> {
        self.against?;
        if self.slips.iter().any(|slip| slip.of_all) {
            return Some(HolesState::NotDecided);
        }
        let of = |hole: &HoleFound| match hole.verdict() {
            Some(LimitVerdict::Pass) => HolesState::Within,
            Some(LimitVerdict::Fail) => HolesState::Out,
            Some(LimitVerdict::NotDecidable) | None => HolesState::NotDecided,
        };
        Some(self.holes.iter().map(of).max().unwrap_or(HolesState::NotDecided))
    }
    /// The uncertainty of one coordinate (k = 2, millimetres) that would decide the last of these holes (indices of the
    /// definition's), from the survey's: a guard band shrinks with it. `None` where none was judged.
    #[must_use]
    pub fn deciding_uncertainty(&self, holes: &[usize], uncertainty: f64) -> Option<f64> {
        let of = |hole: &usize| {
            let judged = self.holes[*hole].judged?;
            let undecided = judged.position == LimitVerdict::NotDecidable && !judged.mating_size_tells;
            undecided.then(|| deciding_uncertainty(judged.deviation, judged.allowed, uncertainty, judged.guard))
        };
        holes.iter().filter_map(of).min_by(f64::total_cmp)
    }
    /// The holes of the definition (indices) with this verdict; `None`: not measured or not to be judged.
    pub fn with(&self, verdict: Option<LimitVerdict>) -> impl Iterator<Item = usize> {
        self.holes.iter().filter(move |hole| hole.verdict() == verdict).map(|hole| hole.hole)
    }
}

/// A kind of slip.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SlipKind {
    /// x and y exchanged.
    AxesExchanged,
    /// A sign.
    Sign,
    /// A decimal point: a factor of a power of ten.
    DecimalPoint,
    /// Inches for millimetres, or the other way round: a factor of 25.4.
    Unit,
    /// One digit, or two neighbours exchanged.
    Digit,
    /// One figure, however it was misread.
    Figure,
    /// The figures of another hole.
    CopiedRow,
    /// Further off than anybody drills.
    FarOff,
    /// Several holes off by the same step which are no member and no end of a row.
    SharedStep,
    /// The hand: back to front, the other face, or axes exchanged.
    Mirrored,
    /// The face was not noted, so that the hand is not known.
    FaceNotNoted,
    /// The plate is mounted turned.
    Turned,
    /// The readings are those of another plate.
    OtherPlate,
    /// Another survey has the same readings.
    SameReadings,
    /// An overall scale, such as a wrong temperature makes.
    OverallScale,
    /// The temperature was not noted, and some hole is not decided.
    TemperatureNotNoted,
    /// The jig's coefficient of expansion is not given, the metal was not at 20 degrees, and some hole is not decided.
    ExpansionNotGiven,
    /// The height of a hole: it lies out of the plane of the others.
    OutOfPlane,
}

/// Which coordinate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Axis {
    /// The first.
    X,
    /// The second.
    Y,
}

/// The figure to check.
#[derive(Clone, Debug, PartialEq)]
pub enum Figure {
    /// One coordinate of a measured hole: as written, and what would be right, in millimetres.
    Coordinate(Axis, f64),
    /// The place of a measured hole: where it would be right, in millimetres.
    Place(Point3),
    /// Every figure.
    All,
    /// Every figure, by this factor.
    Factor(f64),
    /// Those of another measured hole (an index).
    Row(usize),
    /// The plate that the readings are.
    Plate(PlateId),
    /// The survey (an index) with the same readings.
    Survey(usize),
    /// Lengths by this part too long.
    Scale(f64),
    /// The turn in radians.
    Turn(f64),
    /// How far a hole lies above its height, in millimetres.
    Height(f64),
}

/// A slip that would explain readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Slip {
    /// Its kind.
    pub kind: SlipKind,
    /// The measured holes (indices) concerned; empty: all, or what was measured as a whole.
    pub rows: Vec<usize>,
    /// Whether nothing is proved of any hole until it is looked for.
    pub of_all: bool,
    /// Whether what it concerns is wrong as it stands: then no work is ordered before it is looked for. Else the figures
    /// are odd and within.
    pub in_doubt: bool,
    /// The figure to check.
    pub figure: Figure,
}

impl Slip {
    /// Whether no hole's figures can be relied on; where only the face is missing they can, but for the hand.
    pub(super) fn doubts_all(&self) -> bool {
        self.of_all && self.kind != SlipKind::FaceNotNoted
    }
    pub(super) fn of_all(kind: SlipKind, figure: Figure) -> Self {
        Self { kind, rows: Vec::new(), of_all: true, in_doubt: true, figure }
    }
}

/// A step that puts holes right: a turn about `about`, then a shift, in millimetres and radians.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Correction {
    /// The shift.
    pub shift: Point3,
    /// The turn, anticlockwise; `None`: no more than its uncertainty.
    pub turn: Option<f64>,
    /// What the turn is about, in the definition's axes.
    pub about: Point3,
}

impl Correction {
    /// How far a place of the plate moves, in millimetres.
    #[must_use]
    pub fn at(&self, place: Point3) -> Point3 {
        let (sin, cos) = self.turn.unwrap_or(0.0).sin_cos();
        let from = place - self.about;
        let turned = Point3::new(from.x * cos - from.y * sin, from.x * sin + from.y * cos, from.z);
        self.shift + (turned - from)
    }
}

/// A step with its turn, if that is more than its uncertainty.
pub(super) fn step(shift: Point3, turn: Point3, uncertainty: Point3, about: Point3) -> Correction {
    Correction { shift, turn: (turn.z.abs() > uncertainty.z).then_some(turn.z), about }
}

/// What the plates of one set-up (one instrument, one date, the jig's axes) show together.
#[derive(Clone, Debug, PartialEq)]
pub struct SetUp {
    /// How many plates of a known definition were measured in it, this one among them.
    pub plates: usize,
    /// How many of the others lie right as they were measured.
    pub sound: usize,
    /// The step that sets right what they share, where it is more than the instrument and the scatter of plates.
    pub off: Option<Correction>,
    /// By what part lengths are too long, where a scale explains what no step does.
    pub scale: Option<f64>,
    /// Whether some plate lies off besides what they share.
    pub some_besides: bool,
    /// Whether this plate does.
    pub besides: bool,
}

impl SetUp {
    /// The step for the jig as a whole: at least two plates were measured, all lie off together and none besides.
    #[must_use]
    pub fn jig_off(&self) -> Option<Correction> {
        self.off.filter(|_| self.plates >= 2 && !self.some_besides)
    }
}

/// What a mounted plate counts as, and what that rests on.
#[derive(Clone, Debug)]
pub struct PlateStanding {
    /// The definition that it counts as; `None`: not known, or known to be none.
    pub is: Option<PlateId>,
    /// What that rests on.
    pub rests: Rests,
    /// What the survey says that counts: the last one, if the plate has certainly not been changed since.
    pub examined: Option<Examined>,
}

/// What the standing of a plate rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rests {
    /// Its record alone: it was never surveyed. Unproved.
    NotSurveyed,
    /// Its record alone: it was changed after its last survey (an index), or may have been. Unproved.
    ChangedSince(usize),
    /// Its record, and its holes agree.
    Agrees,
    /// Its holes alone: it has no record of what it was made to.
    Metal,
    /// Its holes, which say otherwise than its record.
    MetalAgainst,
    /// Its record: its holes were measured and do not tell.
    NotDistinguished,
    /// Its holes: it is the other hand of this definition, or mounted back to front.
    OtherHand(PlateId),
    /// Nothing: its holes are those of no definition, or of several that its record is not among.
    Unlike,
}

impl PlateStanding {
    /// Whether the plate is proved by a survey that counts.
    #[must_use]
    pub fn is_surveyed(&self) -> bool {
        self.examined.is_some()
    }
    /// Its holes taken together; `None` without a survey that counts.
    #[must_use]
    pub fn state(&self) -> Option<HolesState> {
        self.examined.as_ref().and_then(Examined::state)
    }
}

/// The nominal place of a hole in the plane, in millimetres.
pub(super) fn nominal(hole: &Hole) -> Point3 {
    Point3::new(hole.at[0].mm(), hole.at[1].mm(), 0.0)
}

/// The longest distance between two holes of a definition, in millimetres.
pub(super) fn longest(plate: &Plate) -> f64 {
    let places: Vec<Point3> = plate.holes.iter().map(nominal).collect();
    places.iter().flat_map(|a| places.iter().map(|b| (*a - *b).norm())).fold(0.0, f64::max)
}
