//! The holes of plate drawings: against the path of the frame, the plates of the same station, and each other.

use super::figure::{Factor, unit_of};
use super::path::{self, Path, PathRun};
use super::sizes;
use crate::codes;
use crate::finding::{Finding, Place};
use crate::geometry::PlanePoint;
use crate::ids::{FrameId, Id, PlateId};
use crate::model::{Hole, Model, Plate};
use std::collections::BTreeMap;

/// What a person may have done to the coordinates of a hole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum FigureSlip {
    Exchanged,
    X(Factor),
    Y(Factor),
    Both(Factor),
}

/// On so many holes of a plate one slip is a slip of the column or the sheet.
const SHEET: usize = 3;

/// Holes nearer than this are in one place.
const SAME_MM: f64 = 0.1;

impl FigureSlip {
    fn all() -> impl Iterator<Item = FigureSlip> {
        let factors = |of: fn(Factor) -> FigureSlip| Factor::ALL.into_iter().map(of);
        [FigureSlip::Exchanged]
            .into_iter()
            .chain(factors(FigureSlip::Both))
            .chain(factors(FigureSlip::X))
            .chain(factors(FigureSlip::Y))
    }

    /// Where the hole may have been meant.
    fn meant(self, (x, y): PlanePoint) -> PlanePoint {
        match self {
            FigureSlip::Exchanged => (y, x),
            FigureSlip::X(factor) => (x * factor.times(), y),
            FigureSlip::Y(factor) => (x, y * factor.times()),
            FigureSlip::Both(factor) => (x * factor.times(), y * factor.times()),
        }
    }

    /// How it would have to be written.
    fn words(self) -> String {
        let factor = |of: &str, factor: Factor| match factor {
            Factor::Ten | Factor::Tenth => format!("the decimal point of {of} moved by one place"),
            Factor::Inch => format!("{of} in inches"),
            Factor::PerInch => format!("{of} in millimetres"),
        };
        match self {
            FigureSlip::Exchanged => "x and y exchanged".into(),
            FigureSlip::X(by) => factor("x", by),
            FigureSlip::Y(by) => factor("y", by),
            FigureSlip::Both(by) => factor("x and y", by),
        }
    }

    /// The field on which a person starts to mend.
    fn field(self) -> &'static str {
        if let FigureSlip::Y(_) = self { "y" } else { "x" }
    }

    /// What to write in its place.
    fn help(self, hole: &Hole) -> String {
        let [x, y, _] = &hole.at;
        match self {
            FigureSlip::Exchanged => format!("`x: \"{}\", y: \"{}\"`", y.text, x.text),
            FigureSlip::X(factor) => format!("`x: \"{}\"`", factor.meant(x)),
            FigureSlip::Y(factor) => format!("`y: \"{}\"`", factor.meant(y)),
            FigureSlip::Both(factor) => format!("`x: \"{}\", y: \"{}\"`", factor.meant(x), factor.meant(y)),
        }
    }
}

fn point(hole: &Hole) -> PlanePoint {
    (hole.at[0].mm(), hole.at[1].mm())
}

fn same(a: PlanePoint, b: PlanePoint) -> bool {
    (a.0 - b.0).hypot(a.1 - b.1) <= SAME_MM
}

/// The plates for one frame, and where their parts run on it.
struct OnFrame {
    path: Path,
    plates: Vec<(PlateId, Vec<PathRun>)>,
    /// Whether the plates are laid out on the axes of the frame: most of their holes lie where their parts run.
    on_axes: bool,
    /// How far from the path their holes are, half of them farther and half of them nearer.
    typical: f64,
}

impl OnFrame {
    /// How unevenly the holes of a plate lie along the path.
    fn oddness(&self, plate: &Plate) -> f64 {
        plate.holes.iter().map(|hole| (self.path.nearest(point(hole)).0 - self.typical).abs()).sum()
    }

    /// Whether a hole may well be at a point. Datums need not lie where the part runs.
    fn placed(&self, hole: &Hole, at: PlanePoint, runs: &[PathRun]) -> bool {
        if hole.datum { self.path.nearest(at).0 <= self.path.near() } else { self.path.places(at, runs) }
    }
}

/// What does not fit of a plate: its hole, the slips that would explain it, and what shows that.
struct HoleDoubt {
    hole: usize,
    slips: Vec<FigureSlip>,
    /// A hole of another plate that is where this one may be meant to be.
    beside: Option<Place>,
    /// Whether the unit is another than everywhere else on the plate.
    odd_unit: bool,
}

pub(super) fn check(model: &Model) -> Vec<Finding> {
    let runs = path::runs(model);
    let mut frames: BTreeMap<FrameId, Vec<(PlateId, Vec<PathRun>)>> = BTreeMap::new();
    for (id, _, plate) in model.plates.iter() {
        if let Some((frame, own)) = path::of_plate(plate, &runs) {
            frames.entry(frame).or_default().push((id, own));
        }
    }
    let mut findings = Vec::new();
    let mut exchanged_frames = Vec::new();
    for (frame, plates) in frames {
        let path = Path::of(&model.frames[frame].girth);
        let mut on = OnFrame { path, plates, on_axes: false, typical: 0.0 };
        let all = on.plates.iter().flat_map(|(id, runs)| model.plates[*id].holes.iter().map(move |hole| (hole, runs)));
        let placed: Vec<bool> = all.map(|(hole, runs)| on.placed(hole, point(hole), runs)).collect();
        let mut away: Vec<f64> = on
            .plates
            .iter()
            .flat_map(|(id, _)| &model.plates[*id].holes)
            .map(|hole| on.path.nearest(point(hole)).0)
            .collect();
        away.sort_by(f64::total_cmp);
        on.typical = away.get(away.len() / 2).copied().unwrap_or_default();
        let count = placed.iter().filter(|placed| **placed).count();
        on.on_axes = count >= 8 && count * 10 >= placed.len() * 6;
        if on.on_axes
            && let Some(finding) = exchanged_axes(model, frame, &on)
        {
            findings.push(finding);
            exchanged_frames.push(frame);
            continue;
        }
        for (id, runs) in &on.plates {
            findings.extend(coordinates(model, *id, runs, &on));
        }
    }
    for (id, _, _) in model.plates.iter() {
        findings.extend(sizes::check(model, id));
    }
    findings.extend(beside_each_other(model, &exchanged_frames));
    findings
}

/// The coordinates of a plate's holes, against the frame and the plates of the same station.
fn coordinates(model: &Model, id: PlateId, runs: &[PathRun], on: &OnFrame) -> Vec<Finding> {
    let plate = &model.plates[id];
    let placed = |hole: &Hole, at: PlanePoint| on.placed(hole, at, runs);
    let fits =
        |hole: &Hole, at: PlanePoint| placed(hole, at) && on.path.nearest(at).0 <= on.typical + on.path.size * 0.1;
    let well = plate.holes.iter().filter(|hole| placed(hole, point(hole))).count();
    let mut doubts: Vec<HoleDoubt> = Vec::new();
    for (index, hole) in plate.holes.iter().enumerate() {
        let at = point(hole);
        if let Some((slip, beside)) = beside(model, id, hole, on, runs) {
            doubts.push(HoleDoubt { hole: index, slips: vec![slip], beside: Some(beside), odd_unit: false });
        } else if let Some(slip) = odd_unit(plate, index).filter(|slip| fits(hole, slip.meant(at))) {
            doubts.push(HoleDoubt { hole: index, slips: vec![slip], beside: None, odd_unit: true });
        } else if !placed(hole, at) {
            let slips = FigureSlip::all().filter(|slip| fits(hole, slip.meant(at))).collect();
            doubts.push(HoleDoubt { hole: index, slips, beside: None, odd_unit: false });
        }
    }
    let times = |slip: FigureSlip| doubts.iter().filter(|doubt| doubt.slips.contains(&slip)).count();
    let Some(most) = FigureSlip::all().max_by_key(|slip| (times(*slip), std::cmp::Reverse(*slip))) else {
        return Vec::new();
    };
    let with_most = times(most);
    let by_plates = doubts.iter().filter(|doubt| doubt.slips.contains(&most) && doubt.beside.is_some()).count();
    // A whole sheet speaks for itself if it fits nowhere as it is written; of exchanged columns only others can tell.
    let speaks = well == 0 && with_most == plate.holes.len() && with_most >= 6 && most != FigureSlip::Exchanged;
    if with_most >= SHEET && (by_plates >= SHEET || (on.on_axes && well * 4 <= plate.holes.len()) || speaks) {
        return vec![sheet(model, id, most, &doubts)];
    }
    let believed = on.on_axes && well * 10 >= plate.holes.len() * 6;
    // Of one hole alone only that it lies off the frame speaks: it may well be beside where its part runs.
    let off = |doubt: &HoleDoubt| on.path.nearest(point(&plate.holes[doubt.hole])).0 > on.path.near();
    let single = |doubt: &HoleDoubt| {
        let speaks = doubt.beside.is_some() || (believed && (doubt.odd_unit || off(doubt)));
        speaks.then(|| one_hole(model, id, doubt, on)).flatten()
    };
    doubts.iter().filter_map(single).collect()
}

/// The slip that would give a coordinate the unit of all others of the plate.
fn odd_unit(plate: &Plate, hole: usize) -> Option<FigureSlip> {
    let own = |axis: usize| unit_of(&plate.holes[hole].at[axis]);
    let others = plate.holes.iter().enumerate().filter(|(index, _)| *index != hole);
    let mut units = others.flat_map(|(_, other)| other.at[..2].iter().map(unit_of));
    let common = units.next()?;
    if plate.holes.len() < 4 || !units.all(|unit| unit == common) {
        return None;
    }
    let factor = |axis: usize| match (own(axis), common) {
        ("mm", "in") => Some(Factor::Inch),
        ("in", "mm") => Some(Factor::PerInch),
        _ => None,
    };
    match (factor(0), factor(1)) {
        (Some(factor), Some(_)) => Some(FigureSlip::Both(factor)),
        (Some(factor), None) => Some(FigureSlip::X(factor)),
        (None, Some(factor)) => Some(FigureSlip::Y(factor)),
        (None, None) => None,
    }
}

/// A hole of the same name on another plate of the station, where a slip would explain this one: what slip, and where the
/// other is written.
///
/// Of two plates that differ by a slip alone it is the one that more others speak against, or the one whose hole does
/// not lie where its part runs, or whose holes lie less evenly along the frame; the other stands beside it.
fn beside(model: &Model, id: PlateId, hole: &Hole, on: &OnFrame, runs: &[PathRun]) -> Option<(FigureSlip, Place)> {
    let plate = &model.plates[id];
    let (x, y) = point(hole);
    let others = on.plates.iter().filter(|(other, _)| *other != id).filter_map(|(other, other_runs)| {
        let other_plate = &model.plates[*other];
        let index = other_plate.holes.iter().position(|at| at.name == hole.name)?;
        (other_plate.jig_station == plate.jig_station).then_some((*other, other_runs, index))
    });
    let others: Vec<(PlateId, &Vec<PathRun>, usize)> = others.collect();
    let at = |other: &(PlateId, &Vec<PathRun>, usize)| point(&model.plates[other.0].holes[other.2]);
    if others.iter().any(|other| same(at(other), (x, y))) {
        return None;
    }
    let trivial = |slip: FigureSlip| same(slip.meant((x, y)), (x, y));
    let explains = |slip: &FigureSlip| others.iter().filter(|other| same(slip.meant((x, y)), at(other))).count();
    let slip =
        FigureSlip::all().filter(|slip| !trivial(*slip) && explains(slip) > 0).max_by_key(|slip| explains(slip))?;
    let other = others.iter().find(|other| same(slip.meant((x, y)), at(other)))?;
    if explains(&slip) == 1 {
        let (own, its) = (on.placed(hole, (x, y), runs), on.placed(hole, at(other), other.1));
        let oddness = (on.oddness(plate), on.oddness(&model.plates[other.0]));
        let even = oddness.0 < oddness.1 || (oddness.0 <= oddness.1 && id < other.0);
        if own && !its || own == its && even {
            return None;
        }
    }
    Some((slip, model.plates[other.0].record.field("holes").item(other.2).field(slip.field())))
}

fn one_hole(model: &Model, id: PlateId, doubt: &HoleDoubt, on: &OnFrame) -> Option<Finding> {
    let (plate, number) = (&model.plates[id], model.plates.name(id));
    let hole = &plate.holes[doubt.hole];
    let (away, _) = on.path.nearest(point(hole));
    let [x, y, _] = &hole.at;
    let what = format!("hole `{}` of plate drawing `{number}`: x {}, y {}", hole.name, x.text, y.text);
    let written = &hole.place;
    if let Some(slip) = doubt.slips.first() {
        let ways: Vec<String> = doubt.slips.iter().take(3).map(|slip| slip.help(hole)).collect();
        let ways = ways.join(" or ");
        let message = format!("{what}: was {ways} meant?");
        let mut finding =
            Finding::new(codes::FIGURES_FIT_OTHERWISE, message, written.field(slip.field()), "does not fit");
        finding = match &doubt.beside {
            Some(other) => finding.label(other.clone(), "so it stands on another plate of this station"),
            None if doubt.odd_unit => finding.because("All other places of this plate are written in another unit."),
            None => finding.because(format!("As written it lies {away:.0} mm from the frame that its part lies on.")),
        };
        return Some(finding.help(format!("compare it with the drawing; write {ways} if that is meant")));
    }
    let far = away > 2.0 * on.path.near();
    far.then(|| {
        let message = format!("{what}: is it meant to be {away:.0} mm from the frame that its part lies on?");
        Finding::new(codes::HOLE_OFF_PATH, message, written.field("x"), "far from the frame")
            .label(written.field("y"), "or here")
            .help("compare x and y with the drawing, and correct the one that is wrong")
    })
}

/// One question for a column or a whole sheet.
fn sheet(model: &Model, id: PlateId, slip: FigureSlip, doubts: &[HoleDoubt]) -> Finding {
    let (plate, number) = (&model.plates[id], model.plates.name(id));
    let held: Vec<&HoleDoubt> = doubts.iter().filter(|doubt| doubt.slips.contains(&slip)).collect();
    let count = held.len();
    let message = format!(
        "{count} of the {} holes of plate drawing `{number}` do not fit; with {} they would: was that meant?",
        plate.holes.len(),
        slip.words()
    );
    let mut finding = Finding::new(codes::FIGURES_FIT_OTHERWISE, message, plate.record.field("holes"), "these figures");
    if let Some(other) = held.iter().find_map(|doubt| doubt.beside.clone()) {
        finding = finding.label(other, "another plate of this station has it so");
    }
    let listed = held.iter().take(4).map(|doubt| {
        let hole = &plate.holes[doubt.hole];
        format!("hole `{}` would be {}", hole.name, slip.help(hole))
    });
    let finding = listed.fold(finding, |finding, step| finding.because(format!("{step}.")));
    finding.help(format!("compare the sheet with the drawing; write the figures of these holes with {}", slip.words()))
}

/// Half breadth and half height, where the holes follow the path only if they are exchanged.
fn exchanged_axes(model: &Model, id: FrameId, on: &OnFrame) -> Option<Finding> {
    let (breadth, height) = model.frames[id].girth.half_axes_mm()?;
    let holes = || on.plates.iter().flat_map(|(plate, _)| &model.plates[*plate].holes).map(point);
    // How far inside or outside of an ellipse a hole lies, as a share of it.
    let spread = |half: (f64, f64)| {
        let mut shares: Vec<f64> = holes().map(|(x, y)| (x / half.0).hypot(y / half.1)).collect();
        shares.sort_by(f64::total_cmp);
        shares[shares.len() * 9 / 10] - shares[shares.len() / 10]
    };
    let (written, exchanged) = (spread((breadth, height)), spread((height, breadth)));
    let differ = (breadth / height).ln().abs() > 0.04;
    (differ && exchanged < written * 0.5).then(|| {
        ask_exchange(model, id).because(format!(
            "The holes of its plates lie within {:.0} percent along the path as written, and within {:.0} percent if exchanged.",
            written * 100.0,
            exchanged * 100.0
        ))
    })
}

fn ask_exchange(model: &Model, id: FrameId) -> Finding {
    let girth = model.frames[id].record.field("girth");
    let message = format!("frame `{}`: are half breadth and half height exchanged?", model.frames.name(id));
    Finding::new(codes::BREADTH_FOR_HEIGHT, message, girth.field("half_breadth"), "was this the half height?")
        .label(girth.field("half_height"), "and this the half breadth?")
        .help("compare both with the drawing of the frame, and exchange the two figures if that is meant")
}

/// Half breadth and half height, where the frames next to it are high and this one is broad, or the other way round.
fn beside_each_other(model: &Model, asked: &[FrameId]) -> Vec<Finding> {
    let mut ellipses: Vec<(FrameId, f64, (f64, f64))> = model
        .frames
        .iter()
        .filter_map(|(id, _, frame)| Some((id, frame.station.mm(), frame.girth.half_axes_mm()?)))
        .collect();
    ellipses.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.index().cmp(&b.0.index())));
    let slim = |(breadth, height): (f64, f64)| (height / breadth).ln();
    let mut findings = Vec::new();
    for three in ellipses.windows(3) {
        let [before, own, after] = [three[0], three[1], three[2]];
        let (b, o, a) = (slim(before.2), slim(own.2), slim(after.2));
        let against = b * a > 0.0 && o * b < 0.0 && b.abs().min(a.abs()) > 0.04 && o.abs() > 0.04;
        // Exchanged, it lies between the two, or nearly.
        let between = |of: fn((f64, f64)) -> f64| {
            let (low, high) = (of(before.2).min(of(after.2)), of(before.2).max(of(after.2)));
            let exchanged = of((own.2.1, own.2.0));
            (low * 0.95..=high * 1.05).contains(&exchanged)
        };
        if against && between(|half| half.0) && between(|half| half.1) && !asked.contains(&own.0) {
            let (fore, aft) = (model.frames.name(before.0), model.frames.name(after.0));
            findings.push(ask_exchange(model, own.0).because(format!(
                "The frames `{fore}` and `{aft}` beside it are {} than {}.",
                if b > 0.0 { "higher" } else { "broader" },
                if b > 0.0 { "broad" } else { "high" }
            )));
        }
    }
    findings
}
