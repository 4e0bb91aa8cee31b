//! The proof that a frame goes round once in every state that the rules allow.

use super::catalogue::{Catalogue, Witness};
use crate::graph::{Graph, fitted_in};
use crate::ids::{FrameId, PartId};
use crate::model::{Frame, Model, Segment};
use crate::prop::{Expr, Limit};
use crate::quantity::Length;
use crate::schema::Hand;
use std::collections::HashMap;

/// What takes up a length of the girth. Indices are of the frame's lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum GirthRun {
    /// A segment.
    Segment(usize),
    /// An opening.
    Opening(usize),
}

/// What is wrong with a frame.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct FrameFault {
    /// The frame.
    pub(crate) frame: FrameId,
    /// What is wrong.
    pub(crate) fault: GirthFault,
}

/// What is wrong in a frame, and a state that shows it. Lengths are along the girth, in millimetres.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum GirthFault {
    /// Not decided: a limit was met on the way.
    Undecided(Limit),
    /// The frame is fitted and no segment of it is.
    Bare(Witness),
    /// Behind the first nothing is fitted until the second.
    Gap {
        /// What ends; `None`: the open path starts there.
        after: Option<GirthRun>,
        /// What starts next; nothing else is there if it is the same. `None`: the open path ends there.
        before: Option<GirthRun>,
        /// How long the gap is.
        mm: f64,
        /// A state.
        witness: Witness,
    },
    /// Both take up the same length of the girth, by more than their laps.
    Overlap {
        /// What is in the way, in the order of the frame's lists.
        first: GirthRun,
        /// Of what.
        second: GirthRun,
        /// How long the overlap is.
        mm: f64,
        /// A state.
        witness: Witness,
    },
    /// A segment runs past its end by its lap further than its neighbour there reaches, or into an opening.
    LapBeyond {
        /// The segment.
        segment: usize,
        /// Whether at the end where it ends; otherwise where it starts.
        at_end: bool,
        /// What it runs on to; `None`: past the end of an open path.
        onto: Option<GirthRun>,
        /// By how much.
        mm: f64,
        /// A state.
        witness: Witness,
    },
    /// An opening is there and a piece that bridges it is not fitted.
    Unbridged(usize, PartId, Witness),
    /// An opening is there that no piece is said to bridge.
    NoBridge(usize, Witness),
    /// A splice point is used and a part of its joint is not fitted.
    Unjoined(usize, PartId, Witness),
    /// The first segment ends and the second starts at the splice point, and neither a lap nor a part joins them.
    Loose(usize, [usize; 2], Witness),
    /// A segment lies for the most part on a side, and its part is for the other.
    WrongHand {
        /// The segment.
        segment: usize,
        /// The side.
        side: Hand,
        /// How much of it lies there.
        mm: f64,
        /// How long it is.
        of: f64,
    },
    /// Two segments are of opposite hand, and do not lie opposite each other.
    NotOpposite {
        /// One.
        first: usize,
        /// The other.
        second: usize,
        /// How far the start of the first and the end of the second differ, then the other two ends.
        mm: [f64; 2],
        /// A state.
        witness: Witness,
    },
    /// It ends before it starts on an open path, or where it starts.
    Backwards(GirthRun),
}

/// Proves every frame over all states that the rules allow: each length of the girth is taken up once, openings are
/// bridged, splices are joined, laps end on their neighbours, hands are right.
///
/// Each fault is reported once, with one state of those that have it. A gap is reported for each pair of neighbours that some
/// state leaves apart.
#[must_use]
pub(crate) fn prove_frames(catalogue: &mut Catalogue<'_>, model: &Model, graph: &Graph) -> Vec<FrameFault> {
    let mut faults = Vec::new();
    let mut on_airframe = FittedWhen::new(model, graph, model.type_of.as_ref().map(|t| t.airframe));
    for (id, _, frame) in model.frames.iter() {
        let there = on_airframe.expr(catalogue, frame.assembly);
        let runs = FrameRuns::new(catalogue, model, graph, frame, there);
        let mut found = runs.prove(catalogue, &mut on_airframe);
        found.extend(catalogue.take_limit().map(GirthFault::Undecided));
        faults.extend(found.into_iter().map(|fault| FrameFault { frame: id, fault }));
    }
    faults
}

/// What would be wrong with one frame if it were written like this.
#[must_use]
pub(crate) fn prove_frame(
    catalogue: &mut Catalogue<'_>,
    model: &Model,
    graph: &Graph,
    frame: &Frame,
) -> Vec<GirthFault> {
    let mut on_airframe = FittedWhen::new(model, graph, model.type_of.as_ref().map(|t| t.airframe));
    let there = on_airframe.expr(catalogue, frame.assembly);
    let mut found = FrameRuns::new(catalogue, model, graph, frame, there).prove(catalogue, &mut on_airframe);
    found.extend(catalogue.take_limit().map(GirthFault::Undecided));
    found
}

/// When parts are fitted in an assembly, over the variables of the catalogue.
pub(super) struct FittedWhen<'m> {
    model: &'m Model,
    graph: &'m Graph,
    /// The assembly; without one everything counts as fitted that is selected at a position.
    root: Option<PartId>,
    known: HashMap<PartId, Expr>,
}

impl<'m> FittedWhen<'m> {
    pub(super) fn new(model: &'m Model, graph: &'m Graph, root: Option<PartId>) -> FittedWhen<'m> {
        FittedWhen { model, graph, root, known: HashMap::new() }
    }

    pub(super) fn expr(&mut self, catalogue: &Catalogue<'_>, part: PartId) -> Expr {
        let places = |part: PartId| {
            let places = self.graph.places_of(part).into_iter().map(|(position, which)| {
                let position = &self.model.positions[position];
                (Some(position.assembly), catalogue.condition(&position.candidates[which].when))
            });
            places.collect()
        };
        let is_top = |part| match self.root {
            Some(root) => part == root,
            None => self.graph.places_of(part).is_empty(),
        };
        fitted_in(part, &is_top, &mut self.known, &places)
    }
}

/// A frame with what takes up its girth and when.
struct FrameRuns<'m> {
    model: &'m Model,
    frame: &'m Frame,
    there: Expr,
    /// The length of the whole path in millimetres.
    whole: f64,
    runs: Vec<Placed>,
}

/// A run with its ends (indices of splice points), its start and length in millimetres, and when it is there.
struct Placed {
    run: GirthRun,
    from: usize,
    to: usize,
    start: f64,
    length: f64,
    when: Expr,
}

impl<'m> FrameRuns<'m> {
    fn new(
        catalogue: &Catalogue<'_>,
        model: &'m Model,
        graph: &'m Graph,
        frame: &'m Frame,
        there: Expr,
    ) -> FrameRuns<'m> {
        let mut within = FittedWhen::new(model, graph, Some(frame.assembly));
        let whole = frame.girth.length_mm();
        let place = |run, (from, to): (usize, usize), when| {
            let start = frame.splice_points[from].girth_mm;
            Placed { run, from, to, start, length: run_mm(frame, whole, from, to), when }
        };
        let mut runs = Vec::new();
        for (index, segment) in frame.segments.iter().enumerate() {
            let when = within.expr(catalogue, segment.part);
            runs.push(place(GirthRun::Segment(index), (segment.from, segment.to), when));
        }
        for (index, opening) in frame.openings.iter().enumerate() {
            let when = catalogue.condition(&opening.when);
            runs.push(place(GirthRun::Opening(index), (opening.from, opening.to), when));
        }
        FrameRuns { model, frame, there, whole, runs }
    }

    fn prove(&self, catalogue: &mut Catalogue<'_>, on_airframe: &mut FittedWhen<'_>) -> Vec<GirthFault> {
        let mut faults: Vec<GirthFault> =
            self.runs.iter().filter(|run| run.length <= 0.0).map(|run| GirthFault::Backwards(run.run)).collect();
        if !faults.is_empty() || self.frame.segments.is_empty() {
            return faults;
        }
        self.overlaps(catalogue, &mut faults);
        self.gaps(catalogue, &mut faults);
        self.laps(catalogue, &mut faults);
        self.pieces(catalogue, on_airframe, &mut faults);
        self.loose(catalogue, &mut faults);
        self.hands(&mut faults);
        self.opposites(catalogue, &mut faults);
        faults
    }

    fn witness(&self, catalogue: &mut Catalogue<'_>, parts: impl IntoIterator<Item = Expr>) -> Option<Witness> {
        let expr = Expr::all(parts.into_iter().chain([self.there.clone()]));
        if expr == Expr::Const(false) { None } else { catalogue.witness(&expr) }
    }

    fn overlaps(&self, catalogue: &mut Catalogue<'_>, faults: &mut Vec<GirthFault>) {
        for (n, a) in self.runs.iter().enumerate() {
            for b in &self.runs[n + 1..] {
                let mm = self.shared_mm(a.start, a.length, b);
                if mm > SAME_MM
                    && let Some(witness) = self.witness(catalogue, [a.when.clone(), b.when.clone()])
                {
                    faults.push(GirthFault::Overlap { first: a.run, second: b.run, mm, witness });
                }
            }
        }
    }

    /// How much of a stretch, given by its start and length, a run takes up.
    fn shared_mm(&self, start: f64, length: f64, run: &Placed) -> f64 {
        let turns: &[f64] = if self.frame.girth.is_closed() { &[-1.0, 0.0, 1.0] } else { &[0.0] };
        let shared = turns.iter().map(|turn| {
            let other = run.start + turn * self.whole;
            (start + length).min(other + run.length) - start.max(other)
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

    fn gaps(&self, catalogue: &mut Catalogue<'_>, faults: &mut Vec<GirthFault>) {
        let segments = any(self.runs.iter().filter(|run| matches!(run.run, GirthRun::Segment(_))));
        if let Some(witness) = self.witness(catalogue, [!segments.clone()]) {
            faults.push(GirthFault::Bare(witness));
        }
        if !self.frame.girth.is_closed() {
            self.gap_behind(catalogue, None, 0.0, segments.clone(), faults);
        }
        for ending in &self.runs {
            let place = self.frame.splice_points[ending.to].girth_mm;
            let when = Expr::all([ending.when.clone(), segments.clone()]);
            self.gap_behind(catalogue, Some(ending.run), place, when, faults);
        }
    }

    /// The gaps behind a place where something ends.
    fn gap_behind(
        &self,
        catalogue: &mut Catalogue<'_>,
        after: Option<GirthRun>,
        place: f64,
        when: Expr,
        faults: &mut Vec<GirthFault>,
    ) {
        let behind = any(self.runs.iter().filter(|run| self.covers(run, place)));
        let uncovered = Expr::all([when, !behind]);
        if self.witness(catalogue, [uncovered.clone()]).is_none() {
            return;
        }
        let mut ahead: Vec<(f64, Option<&Placed>)> =
            self.runs.iter().filter_map(|run| Some((self.ahead_mm(place, run.start)?, Some(run)))).collect();
        if !self.frame.girth.is_closed() {
            ahead.push((self.whole - place, None));
        }
        ahead.retain(|(mm, _)| *mm > SAME_MM);
        ahead.sort_by(|(a, _), (b, _)| a.total_cmp(b));
        for (mm, next) in &ahead {
            let nearer = any(ahead.iter().filter(|(other, _)| *other < mm - SAME_MM).filter_map(|(_, run)| *run));
            let there = next.map_or(Expr::Const(true), |run| run.when.clone());
            if let Some(witness) = self.witness(catalogue, [uncovered.clone(), there, !nearer]) {
                let before = next.map(|run| run.run);
                faults.push(GirthFault::Gap { after, before, mm: *mm, witness });
            }
        }
    }

    /// A lap lies on the segment that starts where its own ends, and nowhere else.
    fn laps(&self, catalogue: &mut Catalogue<'_>, faults: &mut Vec<GirthFault>) {
        for of in &self.runs {
            let GirthRun::Segment(segment) = of.run else { continue };
            let entry = &self.frame.segments[segment];
            for (at_end, lap) in [(false, &entry.lap_from), (true, &entry.lap_to)] {
                let lap = lap.as_ref().map_or(0.0, Length::mm);
                let place = if at_end { of.start + of.length } else { of.start };
                let start = if at_end { place } else { place - lap };
                let adjoins = |run: &Placed| {
                    let end = if at_end { run.start } else { run.start + run.length };
                    self.apart_mm(end, place) < SAME_MM
                };
                let others = || self.runs.iter().filter(|run| run.run != of.run);
                let beside = any(others().filter(|run| adjoins(run)));
                for run in others() {
                    let mm = self.shared_mm(start, lap, run);
                    let lies_on_it = adjoins(run) && matches!(run.run, GirthRun::Segment(_));
                    if mm > SAME_MM
                        && !lies_on_it
                        && let Some(witness) =
                            self.witness(catalogue, [of.when.clone(), run.when.clone(), beside.clone()])
                    {
                        let onto = Some(run.run);
                        faults.push(GirthFault::LapBeyond { segment, at_end, onto, mm, witness });
                    }
                }
                let mm = if at_end { start + lap - self.whole } else { -start };
                if mm > SAME_MM
                    && !self.frame.girth.is_closed()
                    && let Some(witness) = self.witness(catalogue, [of.when.clone()])
                {
                    faults.push(GirthFault::LapBeyond { segment, at_end, onto: None, mm, witness });
                }
            }
        }
    }

    /// How far apart two places are along the path.
    fn apart_mm(&self, a: f64, b: f64) -> f64 {
        let way = (a - b).abs();
        if self.frame.girth.is_closed() {
            let way = way.rem_euclid(self.whole);
            way.min(self.whole - way)
        } else {
            way
        }
    }

    fn pieces(&self, catalogue: &mut Catalogue<'_>, on_airframe: &mut FittedWhen<'_>, faults: &mut Vec<GirthFault>) {
        for run in &self.runs {
            let GirthRun::Opening(index) = run.run else { continue };
            if self.frame.openings[index].bridged_by.is_empty()
                && let Some(witness) = self.witness(catalogue, [run.when.clone()])
            {
                faults.push(GirthFault::NoBridge(index, witness));
            }
            for &part in &self.frame.openings[index].bridged_by {
                let fitted = on_airframe.expr(catalogue, part);
                if let Some(witness) = self.witness(catalogue, [run.when.clone(), !fitted]) {
                    faults.push(GirthFault::Unbridged(index, part, witness));
                }
            }
        }
        for (point, entry) in self.frame.splice_points.iter().enumerate() {
            let ending = self
                .runs
                .iter()
                .filter(|run| matches!(run.run, GirthRun::Segment(_)) && (run.from == point || run.to == point));
            let used = Expr::any(ending.map(|run| run.when.clone()));
            for &part in &entry.joined_by {
                let fitted = on_airframe.expr(catalogue, part);
                if let Some(witness) = self.witness(catalogue, [used.clone(), !fitted]) {
                    faults.push(GirthFault::Unjoined(point, part, witness));
                }
            }
        }
    }

    fn segment_runs(&self) -> impl Iterator<Item = (usize, &Segment, &Placed)> {
        self.runs.iter().filter_map(|run| match run.run {
            GirthRun::Segment(index) => Some((index, &self.frame.segments[index], run)),
            GirthRun::Opening(_) => None,
        })
    }

    fn loose(&self, catalogue: &mut Catalogue<'_>, faults: &mut Vec<GirthFault>) {
        let laps = |lap: &Option<Length>| lap.as_ref().is_some_and(|lap| lap.picometres > 0);
        for (a, ending, first) in self.segment_runs().filter(|(_, segment, _)| !laps(&segment.lap_to)) {
            for (b, starting, second) in self.segment_runs().filter(|(_, segment, _)| !laps(&segment.lap_from)) {
                let bare = self.frame.splice_points[ending.to].joined_by.is_empty();
                if ending.to == starting.from
                    && bare
                    && let Some(witness) = self.witness(catalogue, [first.when.clone(), second.when.clone()])
                {
                    faults.push(GirthFault::Loose(ending.to, [a, b], witness));
                }
            }
        }
    }

    fn hands(&self, faults: &mut Vec<GirthFault>) {
        for (segment, entry, run) in self.segment_runs() {
            let (starboard, port) = self.frame.girth.sides_mm(run.start, run.length);
            let (side, mm, other) = match self.model.parts[entry.part].hand {
                Some(Hand::Port) => (Hand::Starboard, starboard, port),
                Some(Hand::Starboard) => (Hand::Port, port, starboard),
                None => continue,
            };
            if mm > other + SAME_MM {
                faults.push(GirthFault::WrongHand { segment, side, mm, of: run.length });
            }
        }
    }

    fn opposites(&self, catalogue: &mut Catalogue<'_>, faults: &mut Vec<GirthFault>) {
        for (first, entry, a) in self.segment_runs() {
            let Some(opposite) = self.model.parts[entry.part].opposite else { continue };
            for (second, _, b) in
                self.segment_runs().filter(|(index, other, _)| *index > first && other.part == opposite)
            {
                let off = |place: f64, of: f64| Some(self.apart_mm(self.frame.girth.mirrored_mm(place)?, of));
                let ends = (off(a.start, b.start + b.length), off(a.start + a.length, b.start));
                if let (Some(start), Some(end)) = ends
                    && start.max(end) > SAME_MM
                    && let Some(witness) = self.witness(catalogue, [a.when.clone(), b.when.clone()])
                {
                    faults.push(GirthFault::NotOpposite { first, second, mm: [start, end], witness });
                }
            }
        }
    }
}

/// When some of these runs is there.
fn any<'r>(runs: impl Iterator<Item = &'r Placed>) -> Expr {
    Expr::any(runs.map(|run| run.when.clone()))
}

/// Two places along a girth nearer than this, in millimetres, are one: far below what anybody measures.
const SAME_MM: f64 = 0.0005;

/// How far it is along the path of a frame, clockwise, from one splice point to another, in millimetres; negative if
/// an open path does not lead there.
fn run_mm(frame: &Frame, whole: f64, from: usize, to: usize) -> f64 {
    let way = frame.splice_points[to].girth_mm - frame.splice_points[from].girth_mm;
    if frame.girth.is_closed() { way.rem_euclid(whole) } else { way }
}
