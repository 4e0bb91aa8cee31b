//! Which segments meet at a splice, and which joints lie in line, over all states that the rules allow.

use super::catalogue::{Catalogue, Witness};
use super::frames::FittedWhen;
use crate::graph::Graph;
use crate::ids::FrameId;
use crate::model::{Frame, Model, Segment, SkinJoint};
use crate::prop::Expr;
use crate::quantity::Length;

/// Two segments that meet at a splice point in some state. Indices are of the frame's lists.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Meeting {
    /// The frame.
    pub(crate) frame: FrameId,
    /// The splice point.
    pub(crate) point: usize,
    /// The segment that ends there.
    pub(crate) ending: usize,
    /// The segment that starts there.
    pub(crate) starting: usize,
    /// A state in which they meet.
    pub(crate) witness: Witness,
}

/// Two joints in line in some state.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct InLine {
    /// The frame.
    pub(crate) frame: FrameId,
    /// Its splice point (an index).
    pub(crate) point: usize,
    /// The other joint.
    pub(crate) with: OtherJoint,
    /// How far apart they are, in degrees of clock angle.
    pub(crate) apart_deg: f64,
    /// A state in which both are there.
    pub(crate) witness: Witness,
}

/// The other of two joints.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum OtherJoint {
    /// A joint of the skin (an index).
    Skin(usize),
    /// A splice point (an index) of the next frame aft.
    Splice(FrameId, usize),
}

/// When the segments of each frame are fitted, with the frame itself.
struct Segments<'m> {
    model: &'m Model,
    graph: &'m Graph,
    on_airframe: FittedWhen<'m>,
}

impl<'m> Segments<'m> {
    fn new(model: &'m Model, graph: &'m Graph) -> Segments<'m> {
        let root = model.type_of.as_ref().map(|type_of| type_of.airframe);
        Segments { model, graph, on_airframe: FittedWhen::new(model, graph, root) }
    }
    fn of(&mut self, catalogue: &Catalogue<'_>, frame: &Frame) -> Vec<Expr> {
        let there = self.on_airframe.expr(catalogue, frame.assembly);
        let mut within = FittedWhen::new(self.model, self.graph, Some(frame.assembly));
        let fitted = frame.segments.iter().map(|segment| within.expr(catalogue, segment.part));
        fitted.map(|fitted| Expr::all([there.clone(), fitted])).collect()
    }
}

/// Every two segments that meet, in some state, at a splice point whose rivets are recorded.
#[must_use]
pub(crate) fn meetings(catalogue: &mut Catalogue<'_>, model: &Model, graph: &Graph) -> Vec<Meeting> {
    let mut segments = Segments::new(model, graph);
    let mut found = Vec::new();
    for (id, _, frame) in model.frames.iter() {
        if frame.splice_points.iter().all(|point| point.rivets.is_empty()) {
            continue;
        }
        let fitted = segments.of(catalogue, frame);
        for point in (0..frame.splice_points.len()).filter(|point| !frame.splice_points[*point].rivets.is_empty()) {
            let ends = |at: fn(&Segment) -> usize| {
                (0..frame.segments.len()).filter(move |index| at(&frame.segments[*index]) == point)
            };
            for ending in ends(|segment| segment.to) {
                for starting in ends(|segment| segment.from) {
                    let both = Expr::all([fitted[ending].clone(), fitted[starting].clone()]);
                    if let Some(witness) = catalogue.witness(&both) {
                        found.push(Meeting { frame: id, point, ending, starting, witness });
                    }
                }
            }
        }
    }
    found
}

/// Every splice that lies, in some state, in line with a joint of the skin at its station or with a splice of the next
/// frame aft: their clock angles differ by no more than so many degrees.
#[must_use]
pub(crate) fn in_line(catalogue: &mut Catalogue<'_>, model: &Model, graph: &Graph, within_deg: f64) -> Vec<InLine> {
    let mut segments = Segments::new(model, graph);
    let mut found = Vec::new();
    for (id, _, frame) in model.frames.iter() {
        if model.skin_joints.is_empty() && frame.next_aft.is_none() {
            continue;
        }
        let used = used(frame, &segments.of(catalogue, frame));
        let next = frame.next_aft.map(|next| (next, &model.frames[next]));
        let next_used = next.map(|(_, next)| self::used(next, &segments.of(catalogue, next)));
        for (point, clock) in clocks(frame) {
            // A frame that leans is at each of its splices at another station.
            let station = frame.station.mm() + frame.girth.spot(frame.splice_points[point].girth_mm).aft;
            let passes = |joint: &SkinJoint| {
                let [from, to] = [&joint.stations[0], &joint.stations[1]].map(Length::mm);
                (from - SAME_STATION_MM..=to + SAME_STATION_MM).contains(&station)
            };
            let beside = model.skin_joints.iter().enumerate().filter(|(_, joint)| passes(joint));
            let others = beside
                .map(|(index, joint)| (OtherJoint::Skin(index), joint.clock_deg, catalogue.condition(&joint.when)));
            let splices = next.iter().zip(&next_used).flat_map(|((id, next), used)| {
                clocks(next).map(|(index, clock)| (OtherJoint::Splice(*id, index), clock, used[index].clone()))
            });
            let others: Vec<_> = others.chain(splices).collect();
            for (with, other, there) in others {
                let way = (clock - other).rem_euclid(360.0);
                let apart_deg = way.min(360.0 - way);
                if apart_deg <= within_deg
                    && let Some(witness) = catalogue.witness(&Expr::all([used[point].clone(), there]))
                {
                    found.push(InLine { frame: id, point, with, apart_deg, witness });
                }
            }
        }
    }
    found
}

/// Stations nearer than this, in millimetres, are one.
const SAME_STATION_MM: f64 = 1e-6;

/// The clock angle of each splice point of a frame.
fn clocks(frame: &Frame) -> impl Iterator<Item = (usize, f64)> {
    let points = frame.splice_points.iter().enumerate();
    points.map(|(index, point)| (index, frame.girth.clock_deg(point.girth_mm)))
}

/// For each splice point when segments meet there: an edge of an opening, where one ends alone, is no splice.
fn used(frame: &Frame, fitted: &[Expr]) -> Vec<Expr> {
    let any = |point: usize, at: fn(&Segment) -> usize| {
        let at_point = frame.segments.iter().zip(fitted).filter(move |(segment, _)| at(segment) == point);
        Expr::any(at_point.map(|(_, fitted)| fitted.clone()))
    };
    let points = 0..frame.splice_points.len();
    points.map(|point| Expr::all([any(point, |segment| segment.from), any(point, |segment| segment.to)])).collect()
}
