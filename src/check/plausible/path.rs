//! The path of a frame as points, to see where the holes of its plates lie along it.

use crate::geometry::{Girth, PlanePoint};
use crate::ids::{FrameId, PartId};
use crate::model::{Frame, Model, Plate};
use std::collections::BTreeMap;

/// In how many straight pieces the path is taken.
const PIECES: u32 = 256;

/// A path as points.
pub(super) struct Path {
    /// The distance along the path, and the point there.
    points: Vec<(f64, PlanePoint)>,
    /// How far the path goes from its middle.
    pub(super) size: f64,
    length: f64,
    closed: bool,
}

/// A part of a path: where it starts and how long it is, in millimetres.
pub(super) type PathRun = (f64, f64);

impl Path {
    pub(super) fn of(girth: &Girth) -> Path {
        let length = girth.length_mm();
        let at = |step| length * f64::from(step) / f64::from(PIECES);
        let points: Vec<(f64, PlanePoint)> = (0..=PIECES).map(|step| (at(step), girth.point_at(at(step)))).collect();
        let ends = |of: fn(&PlanePoint) -> f64| {
            let figures = points.iter().map(|(_, point)| of(point));
            figures.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| (low.min(at), high.max(at)))
        };
        let ((left, right), (low, high)) = (ends(|point| point.0), ends(|point| point.1));
        let size = (right - left).max(high - low) / 2.0;
        Path { points, size, length, closed: girth.is_closed() }
    }

    /// How far a point is from the path, and where along the path that is.
    pub(super) fn nearest(&self, point: PlanePoint) -> (f64, f64) {
        let pieces = self.points.windows(2).map(|pair| {
            let [(start, a), (end, b)] = [pair[0], pair[1]];
            let (dx, dy) = (b.0 - a.0, b.1 - a.1);
            let square = dx * dx + dy * dy;
            let along = if square > 0.0 { ((point.0 - a.0) * dx + (point.1 - a.1) * dy) / square } else { 0.0 };
            let along = along.clamp(0.0, 1.0);
            let away = (point.0 - a.0 - along * dx).hypot(point.1 - a.1 - along * dy);
            (away, start + along * (end - start))
        });
        pieces.min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((f64::INFINITY, 0.0))
    }

    /// Whether a point lies near the path, and about where it runs like this.
    pub(super) fn places(&self, point: PlanePoint, runs: &[PathRun]) -> bool {
        let (away, at) = self.nearest(point);
        let margin = self.length * 0.08;
        let within = |(from, run): &PathRun| {
            let behind = at - from + margin;
            let behind = if self.closed { behind.rem_euclid(self.length) } else { behind };
            (0.0..=run + 2.0 * margin).contains(&behind)
        };
        away <= self.near() && runs.iter().any(within)
    }

    /// How far from the path the holes of a plate may well lie.
    pub(super) fn near(&self) -> f64 {
        self.size * 0.25
    }
}

/// Where the parts of each frame run: its segments, the parts of its joints, and what bridges its openings.
pub(super) fn runs(model: &Model) -> BTreeMap<PartId, Vec<(FrameId, PathRun)>> {
    let mut runs: BTreeMap<PartId, Vec<(FrameId, PathRun)>> = BTreeMap::new();
    for (id, _, frame) in model.frames.iter() {
        for segment in &frame.segments {
            runs.entry(segment.part).or_default().push((id, between(frame, segment.from, segment.to)));
        }
        for point in &frame.splice_points {
            point.joined_by.iter().for_each(|part| runs.entry(*part).or_default().push((id, (point.girth_mm, 0.0))));
        }
        for opening in &frame.openings {
            let run = between(frame, opening.from, opening.to);
            opening.bridged_by.iter().for_each(|part| runs.entry(*part).or_default().push((id, run)));
        }
    }
    runs
}

fn between(frame: &Frame, from: usize, to: usize) -> PathRun {
    let (from, to) = (frame.splice_points[from].girth_mm, frame.splice_points[to].girth_mm);
    let run =
        if frame.girth.is_closed() { (to - from).rem_euclid(frame.girth.length_mm()) } else { (to - from).max(0.0) };
    (from, run)
}

/// The frame on which the parts of a plate lie, and where they run on it.
pub(super) fn of_plate(
    plate: &Plate,
    runs: &BTreeMap<PartId, Vec<(FrameId, PathRun)>>,
) -> Option<(FrameId, Vec<PathRun>)> {
    let of_parts: Vec<&(FrameId, PathRun)> = plate.locates.iter().filter_map(|part| runs.get(part)).flatten().collect();
    let (frame, _) = of_parts.first()?;
    let own = of_parts.iter().filter(|(other, _)| other == frame).map(|(_, run)| *run).collect();
    Some((*frame, own))
}
