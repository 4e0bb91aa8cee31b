//! The proof that a frame goes round once in every state that the rules allow.

use super::catalogue::{Catalogue, Witness};
use crate::graph::Graph;
use crate::ids::{FrameId, PartId};
use crate::model::{Frame, Girth, Hand, Model};
use crate::prop::Expr;
use std::collections::BTreeMap;

/// What takes up a length of the girth. Indices are of the frame's lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Run {
    /// A segment.
    Segment(usize),
    /// An opening.
    Opening(usize),
}

/// What is wrong with a frame.
#[derive(Clone, Debug, PartialEq)]
pub struct FrameFault {
    /// The frame.
    pub frame: FrameId,
    /// What is wrong.
    pub fault: RingFault,
}

/// What is wrong in the ring of a frame, and a state that shows it. Lengths are along the girth, in millimetres.
#[derive(Clone, Debug, PartialEq)]
pub enum RingFault {
    /// The frame is fitted and no segment of it is.
    Bare(Witness),
    /// Behind the first nothing is fitted until the second.
    Gap {
        /// What ends.
        after: Run,
        /// What starts next; nothing else is there if it is the same.
        before: Run,
        /// How long the gap is.
        mm: f64,
        /// A state.
        witness: Witness,
    },
    /// Both take up the same length of the girth, by more than their laps.
    Overlap {
        /// What is in the way, in the order of the frame's lists.
        first: Run,
        /// Of what.
        second: Run,
        /// How long the overlap is.
        mm: f64,
        /// A state.
        witness: Witness,
    },
    /// An opening is there and a piece that bridges it is not fitted.
    Unbridged(usize, PartId, Witness),
    /// A splice point is used and a part of its joint is not fitted.
    Unjoined(usize, PartId, Witness),
    /// A segment lies wholly on one side, and its part is for the other.
    WrongHand(usize, Hand),
    /// On an open path, it ends before it starts.
    Backwards(Run),
}

/// Proves every frame over all states that the rules allow: each length of the girth is taken up once, openings are
/// bridged, splices are joined, hands are right.
///
/// For each end of a segment or an opening one gap is told, the shortest; it may be longer in other states.
#[must_use]
pub fn prove_frames(catalogue: &mut Catalogue<'_>, model: &Model, graph: &Graph) -> Vec<FrameFault> {
    let mut faults = Vec::new();
    let mut on_airframe = Fitted::new(model, graph, model.type_of.as_ref().map(|t| t.airframe));
    for (id, _, frame) in model.frames.iter() {
        let there = on_airframe.expr(catalogue, frame.assembly);
        let ring = Ring::new(catalogue, model, graph, frame, there);
        let found = ring.prove(catalogue, &mut on_airframe);
        faults.extend(found.into_iter().map(|fault| FrameFault { frame: id, fault }));
    }
    faults
}

/// When parts are fitted in an assembly, over the variables of the catalogue.
pub(super) struct Fitted<'m> {
    model: &'m Model,
    graph: &'m Graph,
    /// The assembly; without one everything counts as fitted that is selected at a position.
    root: Option<PartId>,
    known: BTreeMap<PartId, Expr>,
}

impl<'m> Fitted<'m> {
    pub(super) fn new(model: &'m Model, graph: &'m Graph, root: Option<PartId>) -> Fitted<'m> {
        Fitted { model, graph, root, known: BTreeMap::new() }
    }

    pub(super) fn expr(&mut self, catalogue: &Catalogue<'_>, part: PartId) -> Expr {
        if self.root == Some(part) {
            return Expr::Const(true);
        }
        if let Some(expr) = self.known.get(&part) {
            return expr.clone();
        }
        self.known.insert(part, Expr::Const(false));
        let places = self.graph.places_of(part);
        let mut ways = Vec::new();
        for (position, which) in &places {
            let position = &self.model.positions[*position];
            let here = catalogue.condition(&position.candidates[*which].when);
            ways.push(Expr::all([here, self.expr(catalogue, position.assembly)]));
        }
        let expr = if places.is_empty() && self.root.is_none() { Expr::Const(true) } else { Expr::any(ways) };
        self.known.insert(part, expr.clone());
        expr
    }
}

/// A frame with what takes up its girth and when.
struct Ring<'m> {
    model: &'m Model,
    frame: &'m Frame,
    there: Expr,
    /// The length of the whole path in millimetres.
    whole: f64,
    runs: Vec<Placed>,
}

/// A run with its ends (indices of splice points), its start and length in millimetres, and when it is there.
struct Placed {
    run: Run,
    from: usize,
    to: usize,
    start: f64,
    length: f64,
    when: Expr,
}

impl<'m> Ring<'m> {
    fn new(catalogue: &Catalogue<'_>, model: &'m Model, graph: &'m Graph, frame: &'m Frame, there: Expr) -> Ring<'m> {
        let mut within = Fitted::new(model, graph, Some(frame.assembly));
        let whole = frame.girth.length_mm();
        let place = |run, (from, to): (usize, usize), when| {
            let start = frame.splice_points[from].girth_mm;
            Placed { run, from, to, start, length: run_mm(frame, whole, from, to), when }
        };
        let mut runs = Vec::new();
        for (index, segment) in frame.segments.iter().enumerate() {
            let when = within.expr(catalogue, segment.part);
            runs.push(place(Run::Segment(index), (segment.from, segment.to), when));
        }
        for (index, opening) in frame.openings.iter().enumerate() {
            let when = catalogue.condition(&opening.when);
            runs.push(place(Run::Opening(index), (opening.from, opening.to), when));
        }
        Ring { model, frame, there, whole, runs }
    }

    fn prove(&self, catalogue: &mut Catalogue<'_>, on_airframe: &mut Fitted<'_>) -> Vec<RingFault> {
        let mut faults: Vec<RingFault> =
            self.runs.iter().filter(|run| run.length <= 0.0).map(|run| RingFault::Backwards(run.run)).collect();
        if !faults.is_empty() || self.frame.segments.is_empty() {
            return faults;
        }
        self.overlaps(catalogue, &mut faults);
        self.gaps(catalogue, &mut faults);
        self.pieces(catalogue, on_airframe, &mut faults);
        self.hands(&mut faults);
        faults
    }

    fn witness(&self, catalogue: &mut Catalogue<'_>, parts: impl IntoIterator<Item = Expr>) -> Option<Witness> {
        let expr = Expr::all(parts.into_iter().chain([self.there.clone()]));
        if expr == Expr::Const(false) { None } else { catalogue.witness(&expr) }
    }

    fn overlaps(&self, catalogue: &mut Catalogue<'_>, faults: &mut Vec<RingFault>) {
        for (n, a) in self.runs.iter().enumerate() {
            for b in &self.runs[n + 1..] {
                let mm = self.overlap_mm(a, b);
                if mm > SAME_MM
                    && let Some(witness) = self.witness(catalogue, [a.when.clone(), b.when.clone()])
                {
                    faults.push(RingFault::Overlap { first: a.run, second: b.run, mm, witness });
                }
            }
        }
    }

    fn overlap_mm(&self, a: &Placed, b: &Placed) -> f64 {
        let turns: &[f64] = if self.frame.girth.is_closed() { &[-1.0, 0.0, 1.0] } else { &[0.0] };
        let shared = turns.iter().map(|turn| {
            let start = b.start + turn * self.whole;
            (a.start + a.length).min(start + b.length) - a.start.max(start)
        });
        shared.map(|mm| mm.max(0.0)).sum()
    }

    /// How far ahead of a place something starts, going clockwise; `None` if an open path does not lead there.
    fn ahead_mm(&self, place: f64, start: f64) -> Option<f64> {
        let way = start - place;
        if self.frame.girth.is_closed() {
            let way = way.rem_euclid(self.whole);
            Some(if self.whole - way < SAME_MM { 0.0 } else { way })
        } else {
            (way > -SAME_MM).then_some(way.max(0.0))
        }
    }

    /// Whether a run takes up the girth just behind a place.
    fn covers(&self, run: &Placed, place: f64) -> bool {
        let way = if self.frame.girth.is_closed() {
            let way = (place - run.start).rem_euclid(self.whole);
            if self.whole - way < SAME_MM { 0.0 } else { way }
        } else {
            place - run.start
        };
        way > -SAME_MM && way < run.length - SAME_MM
    }

    fn gaps(&self, catalogue: &mut Catalogue<'_>, faults: &mut Vec<RingFault>) {
        let any = |runs: &mut dyn Iterator<Item = &Placed>| Expr::any(runs.map(|run| run.when.clone()));
        let segments = any(&mut self.runs.iter().filter(|run| matches!(run.run, Run::Segment(_))));
        if let Some(witness) = self.witness(catalogue, [!segments.clone()]) {
            faults.push(RingFault::Bare(witness));
        }
        for ending in &self.runs {
            let place = self.frame.splice_points[ending.to].girth_mm;
            let behind = any(&mut self.runs.iter().filter(|run| self.covers(run, place)));
            let uncovered = Expr::all([ending.when.clone(), segments.clone(), !behind]);
            if self.witness(catalogue, [uncovered.clone()]).is_none() {
                continue;
            }
            let mut ahead: Vec<(f64, &Placed)> =
                self.runs.iter().filter_map(|run| Some((self.ahead_mm(place, run.start)?, run))).collect();
            ahead.retain(|(mm, _)| *mm > SAME_MM);
            ahead.sort_by(|(a, _), (b, _)| a.total_cmp(b));
            for (mm, next) in &ahead {
                let nearer = any(&mut ahead.iter().filter(|(other, _)| *other < mm - SAME_MM).map(|(_, run)| *run));
                let here = [uncovered.clone(), next.when.clone(), !nearer];
                if let Some(witness) = self.witness(catalogue, here) {
                    faults.push(RingFault::Gap { after: ending.run, before: next.run, mm: *mm, witness });
                    break;
                }
            }
        }
    }

    fn pieces(&self, catalogue: &mut Catalogue<'_>, on_airframe: &mut Fitted<'_>, faults: &mut Vec<RingFault>) {
        for run in &self.runs {
            let Run::Opening(index) = run.run else { continue };
            for &part in &self.frame.openings[index].bridged_by {
                let fitted = on_airframe.expr(catalogue, part);
                if let Some(witness) = self.witness(catalogue, [run.when.clone(), !fitted]) {
                    faults.push(RingFault::Unbridged(index, part, witness));
                }
            }
        }
        for (point, entry) in self.frame.splice_points.iter().enumerate() {
            let ending = self
                .runs
                .iter()
                .filter(|run| matches!(run.run, Run::Segment(_)) && (run.from == point || run.to == point));
            let used = Expr::any(ending.map(|run| run.when.clone()));
            for &part in &entry.joined_by {
                let fitted = on_airframe.expr(catalogue, part);
                if let Some(witness) = self.witness(catalogue, [used.clone(), !fitted]) {
                    faults.push(RingFault::Unjoined(point, part, witness));
                }
            }
        }
    }

    fn hands(&self, faults: &mut Vec<RingFault>) {
        for run in &self.runs {
            let Run::Segment(index) = run.run else { continue };
            let breadths = breadths(&self.frame.girth, self.whole, run.start, run.length);
            let side = if breadths.iter().all(|breadth| *breadth > -SAME_MM) {
                Hand::Starboard
            } else if breadths.iter().all(|breadth| *breadth < SAME_MM) {
                Hand::Port
            } else {
                continue;
            };
            if self.model.parts[self.frame.segments[index].part].hand.is_some_and(|hand| hand != side) {
                faults.push(RingFault::WrongHand(index, side));
            }
        }
    }
}

/// Two places along a girth nearer than this, in millimetres, are one: far below what anybody measures.
const SAME_MM: f64 = 0.0005;

/// How far it is along the path of a frame, clockwise, from one splice point to another, in millimetres; negative if
/// an open path does not lead there.
fn run_mm(frame: &Frame, whole: f64, from: usize, to: usize) -> f64 {
    let way = frame.splice_points[to].girth_mm - frame.splice_points[from].girth_mm;
    if frame.girth.is_closed() { way.rem_euclid(whole) } else { way }
}

/// The breadths, in millimetres to starboard, that decide on which side a run along a path lies: at its ends, and at
/// each place between them where the breadth can turn.
fn breadths(girth: &Girth, whole: f64, from_mm: f64, run_mm: f64) -> Vec<f64> {
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
