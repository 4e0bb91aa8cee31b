//! The setting sheet: where dowels stand, how far they lie from each other, how each plate is turned, and the frame path to
//! strike on the base.

use super::meant::{by_record, by_state, unit_of};
use super::{FormAsked, FormHead, FormKind, OnForm, rounded};
use crate::answers::jig::JigStand;
use crate::answers::{Outcome, Verdicts};
use crate::jig::not_read_of_stand;
use crate::model::{Frame, Hole, Marks, Model};
use crate::words::survey::Unit;
use serde::Serialize;

/// The setting sheet of a jig. Places are in the axes of the plate drawings, the jig's own; millimetres to 0.0001.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SettingForm {
    /// What stands at its head.
    #[serde(flatten)]
    pub head: FormHead,
    /// The plates in walking order.
    pub stations: Vec<SettingStation>,
    /// Distances from plate to plate, clockwise round the jig; none where a plate was not read.
    pub between: Vec<BetweenPlates>,
    /// The path of the frame; `null` where something of it was not read.
    pub path: Option<StrikePath>,
    /// What was not read and bears on which stations the jig has, or on the frame.
    #[serde(skip)]
    pub not_read: Marks,
}

/// A station with the plate that is set on it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SettingStation {
    /// The station.
    pub station: String,
    /// The mark on the plate, where it is there.
    pub mark: Option<String>,
    /// The plate drawing.
    pub plate: Option<String>,
    /// The plate drawings that may be needed, where that is open.
    pub open: Vec<String>,
    /// The dowels.
    pub dowels: Vec<Dowel>,
    /// The line from the first dowel to the second.
    pub line: Option<DowelLine>,
    /// What was not read and bears on it; then nothing is said of it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// A dowel of a plate.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Dowel {
    /// Its name.
    pub hole: String,
    /// Where it stands.
    pub x_mm: f64,
    /// Where it stands.
    pub y_mm: f64,
    /// Where it stands.
    pub z_mm: f64,
    /// Its diameter.
    pub diameter_mm: f64,
    /// The diameter of its tolerance zone.
    pub tolerance_mm: f64,
}

/// The line from one dowel of a plate to another, and its turn as a height over a base.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DowelLine {
    /// From this dowel.
    pub from: String,
    /// To this one.
    pub to: String,
    /// The distance between them.
    pub distance_mm: f64,
    /// The axis that it runs along the most: `x` or `y`.
    pub along: &'static str,
    /// How far it goes along that axis, with its sign.
    pub base_mm: f64,
    /// How far it goes along the other axis meanwhile, with its sign.
    pub height_mm: f64,
    /// A round base: 10 in or 250 mm.
    pub round_base_mm: f64,
    /// The height over the round base, taken in the direction in which the axis rises.
    pub height_over_round_base_mm: f64,
}

/// What a distance is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DistanceKind {
    /// From the last dowel of a plate to the first of the next one round the jig.
    Next,
    /// From the first dowel of a plate to the first of the next, or from last to last.
    Diagonal,
    /// To the plate that stands half way round.
    Across,
}

/// A distance from a dowel of one plate to a dowel of another.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BetweenPlates {
    /// What it is of.
    pub reach: DistanceKind,
    /// The station of the one plate.
    pub station: String,
    /// Its dowel.
    pub hole: String,
    /// The station of the other.
    pub to_station: String,
    /// Its dowel.
    pub to_hole: String,
    /// The distance.
    pub distance_mm: f64,
}

/// The path of a frame, to be struck on the base: in the frame's own axes, breadth to starboard and height along the frame.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StrikePath {
    /// Its length.
    pub length_mm: f64,
    /// Whether it comes back to its start.
    pub closed: bool,
    /// Points along it, in order: at round distances, and those that have a name.
    pub points: Vec<StrikePoint>,
}

/// A point of a path.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StrikePoint {
    /// Its name: a splice point, the edge of an opening.
    pub name: Option<String>,
    /// The distance along the path from its start.
    pub girth_mm: f64,
    /// The breadth, to starboard.
    pub x_mm: f64,
    /// The height along the frame; of an upright frame its height.
    pub y_mm: f64,
}

/// The setting sheet of a jig: for the state that `stand` is of, or for the plates as their records say.
#[must_use]
pub fn setting_form(model: &Model, of: FormAsked, stand: Option<&JigStand>) -> SettingForm {
    let jig = of.jig;
    let plates = stand.map_or_else(|| by_record(model, jig), |stand| by_state(model, jig, stand));
    let plates: Vec<OnForm> =
        plates.into_iter().filter(|at| of.station.is_none_or(|only| only == at.station)).collect();
    let entry = &model.jigs[jig];
    let unit = unit_of(model, jig, &plates);
    let frame = &model.frames[entry.frame];
    let of_frame = model.losses.of_frame(entry.frame);
    let (stations, dowels) = stations(model, jig, &plates, unit);
    let path = (of_frame.is_empty() && of.station.is_none()).then(|| path(frame, unit));
    let between = between(&stations, &dowels, path.as_ref().is_some_and(|path| path.closed) && of_frame.is_empty());
    let mut not_read = not_read_of_stand(model, jig);
    not_read.extend(of_frame);
    let all: Marks = stations.iter().flat_map(|station| &station.not_read).chain(&not_read).copied().collect();
    let head = FormHead::new(FormKind::Setting, of, model, unit, &(&stations, &between, &path), &all);
    SettingForm { head, stations, between, path, not_read }
}

type Places<'m> = Vec<Vec<(&'m Hole, [f64; 3])>>;

/// The stations, and the dowels of each with their places.
fn stations<'m>(
    model: &'m Model,
    jig: crate::ids::JigId,
    plates: &[OnForm],
    unit: Unit,
) -> (Vec<SettingStation>, Places<'m>) {
    let entry = &model.jigs[jig];
    let name = |plate: &crate::ids::PlateId| model.plates.name(*plate).to_owned();
    let mut found = (Vec::new(), Vec::new());
    for plate in plates {
        let read = plate.read();
        let holes = read.iter().flat_map(|plate| &model.plates[*plate].holes).filter(|hole| hole.datum);
        let at = |hole: &'m Hole| (hole, [hole.at[0].mm(), hole.at[1].mm(), hole.at[2].mm()]);
        let dowels: Vec<(&Hole, [f64; 3])> = holes.map(at).collect();
        let of_dowel = |(hole, [x, y, z]): &(&Hole, [f64; 3])| Dowel {
            hole: hole.name.clone(),
            x_mm: rounded(*x),
            y_mm: rounded(*y),
            z_mm: rounded(*z),
            diameter_mm: rounded(hole.diameter.mm()),
            tolerance_mm: rounded(hole.tolerance.mm()),
        };
        found.0.push(SettingStation {
            station: entry.stations[plate.station].clone(),
            mark: plate.mounted.map(|mounted| entry.mounted[mounted].mark.clone()),
            plate: read.as_ref().map(name),
            open: plate.open.iter().map(name).collect(),
            dowels: dowels.iter().map(of_dowel).collect(),
            line: if let [(from, a), (to, b), ..] = dowels[..] { Some(line(from, a, to, b, unit)) } else { None },
            not_read: plate.not_read.clone(),
        });
        found.1.push(dowels);
    }
    found
}

fn line(from: &Hole, a: [f64; 3], to: &Hole, b: [f64; 3], unit: Unit) -> DowelLine {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let (along, base, height) = if dx.abs() >= dy.abs() { ("x", dx, dy) } else { ("y", dy, dx) };
    let round = if unit == Unit::Inches { 254.0 } else { 250.0 };
    let over = if base == 0.0 { 0.0 } else { height / base * round };
    DowelLine {
        from: from.name.clone(),
        to: to.name.clone(),
        distance_mm: rounded(distance(a, b)),
        along,
        base_mm: rounded(base),
        height_mm: rounded(height),
        round_base_mm: round,
        height_over_round_base_mm: rounded(over),
    }
}

fn distance(a: [f64; 3], b: [f64; 3]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1]).hypot(a[2] - b[2])
}

/// From each plate to its neighbours and to the one half way round, clockwise round the jig. `closed`: the last has the first
/// as its neighbour. None, where a plate was not read: then it is not known which are neighbours.
fn between(stations: &[SettingStation], dowels: &Places<'_>, closed: bool) -> Vec<BetweenPlates> {
    if stations.iter().any(|station| !station.not_read.is_empty()) {
        return Vec::new();
    }
    let order = round(dowels);
    let count = order.len();
    let mut found = Vec::new();
    let mut add = |reach, one: usize, first: bool, other: usize, to_first: bool| {
        let end = |plate: usize, first: bool| {
            let dowels = &dowels[plate];
            let (hole, at) = if first { &dowels[0] } else { &dowels[dowels.len() - 1] };
            (stations[plate].station.clone(), hole.name.clone(), *at)
        };
        let ((station, hole, a), (to_station, to_hole, b)) = (end(order[one], first), end(order[other], to_first));
        found.push(BetweenPlates { reach, station, hole, to_station, to_hole, distance_mm: rounded(distance(a, b)) });
    };
    let pairs = (1..count).map(|next| (next - 1, next)).chain((closed && count > 2).then(|| (count - 1, 0)));
    for (one, next) in pairs {
        add(DistanceKind::Next, one, false, next, true);
        add(DistanceKind::Diagonal, one, true, next, true);
        add(DistanceKind::Diagonal, one, false, next, false);
    }
    if count > 3 {
        for one in 0..count / 2 {
            for first in [true, false] {
                add(DistanceKind::Across, one, first, one + count / 2, first);
            }
        }
    }
    found
}

/// The plates that have two dowels or more, clockwise as seen from the middle of all dowels, from the top.
fn round(dowels: &Places<'_>) -> Vec<usize> {
    let middle = |of: &mut dyn Iterator<Item = &[f64; 3]>| {
        let (mut sum, mut count) = ([0.0, 0.0], 0.0_f64);
        for at in of {
            sum = [sum[0] + at[0], sum[1] + at[1]];
            count += 1.0;
        }
        (sum[0] / count.max(1.0), sum[1] / count.max(1.0))
    };
    let whole = middle(&mut dowels.iter().flatten().map(|(_, at)| at));
    let clock = |plate: &usize| {
        let at = middle(&mut dowels[*plate].iter().map(|(_, at)| at));
        (at.0 - whole.0).atan2(at.1 - whole.1).rem_euclid(std::f64::consts::TAU)
    };
    let mut order: Vec<usize> = (0..dowels.len()).filter(|plate| dowels[*plate].len() > 1).collect();
    order.sort_by(|a, b| clock(a).total_cmp(&clock(b)));
    order
}

/// The most points of a path at round distances.
const MOST_POINTS: f64 = 60.0;

fn path(frame: &Frame, unit: Unit) -> StrikePath {
    let girth = &frame.girth;
    let whole = girth.length_mm();
    let one = if unit == Unit::Inches { 25.4 } else { 10.0 };
    let steps = [0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0];
    let step = steps.into_iter().map(|step| step * one).find(|step| whole / step <= MOST_POINTS);
    let step = step.unwrap_or(whole / MOST_POINTS);
    let mut at: Vec<(f64, Option<String>)> = Vec::new();
    let mut next = 0.0;
    while next < whole - 1e-6 {
        at.push((next, None));
        next += step;
    }
    if !girth.is_closed() {
        at.push((whole, None));
    }
    at.extend(frame.splice_points.iter().map(|point| (point.girth_mm, Some(point.name.clone()))));
    at.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| b.1.is_some().cmp(&a.1.is_some())).then_with(|| a.1.cmp(&b.1)));
    at.dedup_by(|next, before| next.1.is_none() && (next.0 - before.0).abs() < 1e-6);
    let points = at.into_iter().map(|(girth_mm, name)| {
        let spot = girth.spot(girth_mm);
        let (x_mm, y_mm) = (rounded(spot.breadth), rounded(spot.along_plane));
        StrikePoint { name, girth_mm: rounded(girth_mm), x_mm, y_mm }
    });
    StrikePath { length_mm: rounded(whole), closed: girth.is_closed(), points: points.collect() }
}

impl Verdicts for SettingForm {
    fn outcome(&self) -> Outcome {
        Outcome::of(false, self.stations.iter().any(|station| !station.open.is_empty()))
    }
    fn not_read(&self) -> Marks {
        let of_stations = self.stations.iter().flat_map(|station| &station.not_read);
        of_stations.chain(&self.not_read).copied().chain(self.head.not_read()).collect()
    }
}
