//! A frame in one state: which segments are fitted, where they are spliced, which openings are there and what bridges
//! them, in order round the girth.

mod proof;

pub use proof::{FrameFault, RingFault, Run, prove_frames};

use super::{Basis, Resolver, Truth};
use crate::history::condition_expr;
use crate::ids::{FrameId, PartId};
use crate::model::{Frame, Girth};
use crate::prop::Expr;

/// A frame as the histories of a basis have it. What no history has is left out; what is not `Always` is open.
///
/// Indices are of the frame's own lists. Everything is in order round the girth, from its start.
#[derive(Clone, Debug, PartialEq)]
pub struct FrameState {
    /// The segments.
    pub segments: Vec<SegmentState>,
    /// The splice points and edges at which a segment starts or ends.
    pub points: Vec<PointState>,
    /// The openings.
    pub openings: Vec<OpeningState>,
}

/// A segment in a state.
#[derive(Clone, Debug, PartialEq)]
pub struct SegmentState {
    /// Which segment.
    pub segment: usize,
    /// Whether it is fitted.
    pub fitted: Truth,
}

/// A splice point or edge in a state.
#[derive(Clone, Debug, PartialEq)]
pub struct PointState {
    /// Which splice point.
    pub point: usize,
    /// Whether a fitted segment starts or ends there.
    pub used: Truth,
    /// The clock angle at which it lies, in degrees clockwise from the top, looking forward.
    pub clock_deg: f64,
    /// The parts that make the joint, with whether each is on the airframe.
    pub joined_by: Vec<(PartId, Truth)>,
}

/// An opening in a state.
#[derive(Clone, Debug, PartialEq)]
pub struct OpeningState {
    /// Which opening.
    pub opening: usize,
    /// Whether it is there.
    pub there: Truth,
    /// The pieces that bridge it, with whether each is on the airframe.
    pub bridged_by: Vec<(PartId, Truth)>,
}

impl FrameState {
    /// Whether nothing of the frame is open.
    #[must_use]
    pub fn is_settled(&self) -> bool {
        let segments = self.segments.iter().map(|s| s.fitted);
        let points = self.points.iter().map(|p| p.used);
        segments.chain(points).chain(self.openings.iter().map(|o| o.there)).all(|truth| truth == Truth::Always)
    }
}

impl Resolver<'_> {
    /// A frame in the state asked about.
    pub fn frame_state(&mut self, id: FrameId, basis: Basis) -> FrameState {
        let model = self.history().model;
        let frame = &model.frames[id];
        let serial = &self.history().airframe().serial;
        let start = |point: usize| frame.splice_points[point].girth_mm;
        let mut segments = Vec::new();
        for (segment, entry) in frame.segments.iter().enumerate() {
            let fitted = self.truth(&self.fitted(entry.part), basis);
            segments.push(SegmentState { segment, fitted });
        }
        let mut points = Vec::new();
        for (point, entry) in frame.splice_points.iter().enumerate() {
            let used = self.truth(&self.splice_used(id, point), basis);
            let joined_by = self.on_airframe(&entry.joined_by, basis);
            points.push(PointState { point, used, clock_deg: frame.girth.clock_deg(entry.girth_mm), joined_by });
        }
        let mut openings = Vec::new();
        for (opening, entry) in frame.openings.iter().enumerate() {
            let there = Expr::all([condition_expr(&entry.when, serial), self.fitted(frame.assembly)]);
            let there = self.truth(&there, basis);
            openings.push(OpeningState { opening, there, bridged_by: self.on_airframe(&entry.bridged_by, basis) });
        }
        segments.retain(|s| s.fitted != Truth::Never);
        points.retain(|p| p.used != Truth::Never);
        openings.retain(|o| o.there != Truth::Never);
        segments
            .sort_by(|a, b| start(frame.segments[a.segment].from).total_cmp(&start(frame.segments[b.segment].from)));
        points.sort_by(|a, b| start(a.point).total_cmp(&start(b.point)));
        openings
            .sort_by(|a, b| start(frame.openings[a.opening].from).total_cmp(&start(frame.openings[b.opening].from)));
        FrameState { segments, points, openings }
    }

    fn on_airframe(&mut self, parts: &[PartId], basis: Basis) -> Vec<(PartId, Truth)> {
        parts.iter().map(|part| (*part, self.truth(&self.fitted(*part), basis))).collect()
    }
}

/// Two places along a girth nearer than this, in millimetres, are one: far below what anybody measures.
const SAME_MM: f64 = 0.0005;

/// How far it is along the path of a frame, clockwise, from one splice point to another, in millimetres; negative if
/// an open path does not lead there.
fn run_mm(frame: &Frame, from: usize, to: usize) -> f64 {
    let way = frame.splice_points[to].girth_mm - frame.splice_points[from].girth_mm;
    if frame.girth.is_closed() { way.rem_euclid(frame.girth.length_mm()) } else { way }
}

/// The breadths, in millimetres to starboard, that decide on which side a run along a path lies: at its ends, and at
/// each place between them where the breadth can turn.
fn breadths(girth: &Girth, from_mm: f64, run_mm: f64) -> Vec<f64> {
    let whole = girth.length_mm();
    let turns: Vec<f64> = match girth {
        Girth::Circle { .. } | Girth::Ellipse { .. } => (0..4_u8).map(|n| f64::from(n) * whole / 4.0).collect(),
        Girth::Polyline { points, .. } => {
            let mut at = 0.0;
            let mut found = vec![0.0];
            for pair in points.windows(2) {
                at += (pair[1].0.mm() - pair[0].0.mm()).hypot(pair[1].1.mm() - pair[0].1.mm());
                found.push(at);
            }
            found
        }
    };
    let inside = turns.into_iter().filter(|turn| {
        let way = turn - from_mm;
        (if girth.is_closed() { way.rem_euclid(whole) } else { way }) < run_mm && (girth.is_closed() || way >= 0.0)
    });
    inside.chain([from_mm, from_mm + run_mm]).map(|at| girth.point_at(at).0).collect()
}
