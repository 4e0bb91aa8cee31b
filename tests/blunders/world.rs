//! The truth: a jig of plates, where their holes are meant to be and where they are in the metal. Everything is in
//! millimetres at 20 C, in the jig's axes, whatever unit the drawings use. Nothing here knows how surveys are judged.

use super::random::Random;

pub(crate) type Point = [f64; 2];

/// A map of the plane: `x' = a x + b y + e`, `y' = c x + d y + f`, as `[a, b, c, d, e, f]`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Map([f64; 6]);

impl Map {
    pub(crate) const STILL: Map = Map([1.0, 0.0, 0.0, 1.0, 0.0, 0.0]);
    /// A turn about a point, in radians, then a move.
    pub(crate) fn rigid(turn: f64, about: Point, by: Point) -> Map {
        let (sin, cos) = turn.sin_cos();
        let [x, y] = about;
        Map([cos, -sin, sin, cos, x - cos * x + sin * y + by[0], y - sin * x - cos * y + by[1]])
    }
    /// Over to the other side of the line through two points.
    pub(crate) fn flip(from: Point, to: Point) -> Map {
        let twice = 2.0 * (to[1] - from[1]).atan2(to[0] - from[0]);
        let (sin, cos) = twice.sin_cos();
        let [x, y] = from;
        Map([cos, sin, sin, -cos, x - cos * x - sin * y, y - sin * x + cos * y])
    }
    pub(crate) fn scale(by: f64) -> Map {
        Map([by, 0.0, 0.0, by, 0.0, 0.0])
    }
    pub(crate) fn of(&self, at: Point) -> Point {
        let row = |n: usize| self.0[2 * n] * at[0] + self.0[2 * n + 1] * at[1] + self.0[4 + n];
        [row(0), row(1)]
    }
}

pub(crate) fn apart(a: Point, b: Point) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

pub(crate) fn middle(a: Point, b: Point) -> Point {
    [f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])]
}

/// A vector of a length in some direction.
pub(crate) fn somewhere(random: &mut Random, length: f64) -> Point {
    let (sin, cos) = random.between(0.0, std::f64::consts::TAU).sin_cos();
    [length * cos, length * sin]
}

#[derive(Clone, Debug)]
pub(crate) struct Hole {
    pub name: String,
    /// Where the drawing has it.
    pub nominal: Point,
    /// Where it is in the plate: the plate's own axes, which are the jig's when the plate is set as it should be.
    pub drilled: Point,
    pub diameter: f64,
    /// The diameter of its zone.
    pub zone: f64,
    pub datum: bool,
}

#[derive(Clone, Debug)]
pub(crate) struct Plate {
    pub number: String,
    pub mark: String,
    pub station: String,
    pub part: String,
    pub holes: Vec<Hole>,
    /// Holes of a straight row, laid off one from the next.
    pub row: Vec<usize>,
    /// Holes of a bracket that can be moved as one.
    pub bracket: Vec<usize>,
    /// How it sits in the jig.
    pub seat: Map,
    /// Whether the metal is another thing than the drawing that the jig needs there: opposite hand, other variant.
    pub other_metal: bool,
    /// When it was last reworked.
    pub reworked: Option<&'static str>,
}

impl Plate {
    pub(crate) fn dowels(&self) -> (Point, Point) {
        (self.holes[0].nominal, self.holes[1].nominal)
    }
    /// The axes that the two true dowels give: from the plate's own axes to those.
    fn on_dowels(&self) -> Map {
        let (a, b) = self.dowels();
        let (p, q) = (self.holes[0].drilled, self.holes[1].drilled);
        let turn = (b[1] - a[1]).atan2(b[0] - a[0]) - (q[1] - p[1]).atan2(q[0] - p[0]);
        let (from, to) = (middle(p, q), middle(a, b));
        Map::rigid(turn, from, [to[0] - from[0], to[1] - from[1]])
    }
    /// How far off a hole is, as drilled.
    pub(crate) fn off_as_drilled(&self, hole: usize) -> f64 {
        apart(self.holes[hole].drilled, self.holes[hole].nominal)
    }
    pub(crate) fn off_on_dowels(&self, hole: usize) -> f64 {
        apart(self.on_dowels().of(self.holes[hole].drilled), self.holes[hole].nominal)
    }
    pub(crate) fn off_in_jig(&self, hole: usize) -> f64 {
        apart(self.seat.of(self.holes[hole].drilled), self.holes[hole].nominal)
    }
}

#[derive(Clone, Debug)]
pub(crate) struct Jig {
    /// Whether drawings and sheets are in inches.
    pub inch: bool,
    /// Steel or aluminium: the coefficient of expansion for one kelvin.
    pub expansion: f64,
    /// The instrument's noise: the standard deviation of one coordinate.
    pub noise: f64,
    pub radius: f64,
    pub plates: Vec<Plate>,
    /// What else could stand on the first station: another drawing of the same plate.
    pub variant: Plate,
}

/// A jig, everything in it as it should be. `most` is the largest number of holes of a plate.
pub(crate) fn jig(random: &mut Random, plates: usize, most: usize) -> Jig {
    let zone = [0.2, 0.3, 0.4, 0.5, 0.8, 1.0][random.below(6)];
    let inch = random.below(2) == 0;
    let reach = random.between(260.0, 900.0).max(plates_need(plates));
    let mut jig = Jig {
        inch,
        expansion: if random.below(3) == 0 { 23e-6 } else { 11.5e-6 },
        noise: zone * random.between(0.02, 0.05),
        radius: reach,
        plates: Vec::new(),
        variant: plate(random, Place { n: 0, of: plates, radius: reach, zone, inch }, 4),
    };
    for n in 0..plates {
        let small = random.below(4) != 0;
        let count = 4 + random.below(if small { most.min(14) } else { most } - 3);
        jig.plates.push(plate(random, Place { n, of: plates, radius: reach, zone, inch }, count));
    }
    jig.variant = variant(random, &jig.plates[0], inch);
    jig
}

/// The least radius on which so many plates find room.
#[expect(clippy::cast_precision_loss, reason = "a few plates")]
fn plates_need(plates: usize) -> f64 {
    plates as f64 * 45.0
}

#[derive(Clone, Copy)]
struct Place {
    n: usize,
    of: usize,
    radius: f64,
    zone: f64,
    inch: bool,
}

#[expect(clippy::cast_precision_loss, reason = "a few plates")]
fn plate(random: &mut Random, place: Place, count: usize) -> Plate {
    let turn = std::f64::consts::TAU * (place.n as f64 + random.between(-0.1, 0.1)) / place.of as f64;
    let half = (place.radius * 2.4 / place.of as f64).min(random.between(90.0, 320.0));
    let local = local_holes(random, half, count);
    let (sin, cos) = turn.sin_cos();
    let seat = |[u, v]: Point| {
        let (along, out) = (u, place.radius + v);
        [out * sin + along * cos, out * cos - along * sin]
    };
    let dowel = (place.zone / 4.0).max(0.05);
    let holes = local.iter().enumerate().map(|(n, at)| {
        let nominal = drawn(seat(*at), place.inch);
        let zone = if n < 2 { dowel } else { place.zone };
        let (name, diameter) = match n {
            0 | 1 => (format!("D{}", n + 1), 10.0),
            2 | 3 if count > 5 => (format!("B{}", n - 1), 6.5),
            _ if count > 5 => (format!("L{}", n - 3), 3.3),
            _ => (format!("L{}", n - 1), 3.3),
        };
        Hole { name, nominal, drilled: drill(random, nominal, zone), diameter, zone, datum: n < 2 }
    });
    let holes: Vec<Hole> = holes.collect();
    let (row, bracket) = members(count);
    Plate {
        number: format!("K1-{:02}", place.n + 1),
        mark: format!("P{}", place.n + 1),
        station: format!("{} station", place.n + 1),
        part: format!("61-{}", 110 + place.n),
        holes,
        row,
        bracket,
        seat: Map::STILL,
        other_metal: false,
        reworked: None,
    }
}

/// The last third of the holes is a row; the third before it stands on a bracket.
fn members(count: usize) -> (Vec<usize>, Vec<usize>) {
    if count < 10 {
        return (Vec::new(), Vec::new());
    }
    let third = (count - 4) / 3;
    ((count - third.max(3)..count).collect(), (count - third.max(3) - third.max(2)..count - third.max(3)).collect())
}

/// Holes along the ring (u) and across it (v): two dowels near the ends, two base bolts, then holes for the part; the
/// last third at equal pitch on a line. No two are closer than 9 mm, and nothing is symmetrical by intention.
#[expect(clippy::cast_precision_loss, reason = "a few holes")]
fn local_holes(random: &mut Random, half: f64, count: usize) -> Vec<Point> {
    let mut holes: Vec<Point> = vec![
        [-half * random.between(0.85, 0.97), random.between(15.0, 40.0)],
        [half * random.between(0.85, 0.97), random.between(15.0, 40.0)],
    ];
    let (row, _) = members(count);
    let pitch = (1.5 * half / row.len().max(1) as f64).min(random.between(14.0, 45.0));
    let start = random.between(-0.9 * half, 0.9 * half - pitch * row.len() as f64);
    let lean = random.between(-0.2, 0.2);
    while holes.len() < count {
        let at = if row.contains(&holes.len()) {
            let k = (holes.len() - row[0]) as f64;
            [start + pitch * k, -95.0 + lean * pitch * k]
        } else {
            let u = random.between(-half, half);
            let v = if random.below(2) == 0 { -40.0 } else { random.between(-80.0, 35.0) };
            [u, v - 0.3 * u * u / half]
        };
        if row.contains(&holes.len()) || holes.iter().all(|other| apart(*other, at) > spacing(half, count)) {
            holes.push(at);
        }
    }
    holes
}

/// How close two holes may come: 9 mm where there is room for all.
#[expect(clippy::cast_precision_loss, reason = "a few holes")]
fn spacing(half: f64, count: usize) -> f64 {
    (half / count as f64).clamp(3.0, 9.0)
}

/// A place as the drawing gives it: to 0.001 mm or 0.001 in.
pub(crate) fn drawn(at: Point, inch: bool) -> Point {
    let step = if inch { 0.0254 } else { 0.001 };
    at.map(|value| (value / step).round() * step)
}

/// A hole as a good driller makes it: some scatter, never over the zone.
fn drill(random: &mut Random, nominal: Point, zone: f64) -> Point {
    loop {
        let off = [random.normal() * zone / 14.0, random.normal() * zone / 14.0];
        if off[0].hypot(off[1]) < 0.33 * zone {
            return [nominal[0] + off[0], nominal[1] + off[1]];
        }
    }
}

/// Another drawing of the same plate: dowels and bolts shared, about half of the other holes elsewhere.
fn variant(random: &mut Random, plate: &Plate, inch: bool) -> Plate {
    let mut other = plate.clone();
    "K1-51".clone_into(&mut other.number);
    "61-151".clone_into(&mut other.part);
    for n in 2..other.holes.len() {
        if n == 2 || random.below(2) == 0 {
            let length = random.between(4.0, 25.0);
            let by = somewhere(random, length);
            let hole = &mut other.holes[n];
            hole.nominal = drawn([hole.nominal[0] + by[0], hole.nominal[1] + by[1]], inch);
            hole.drilled = drill(random, hole.nominal, hole.zone);
        }
    }
    other
}
