//! The proof of the frames in words.

use super::complete::Complete;
use super::wording::{mm_and_inches, witness_text};
use crate::codes;
use crate::finding::{Finding, Place};
use crate::graph::Graph;
use crate::ids::FrameId;
use crate::model::{Frame, Hand, Model};
use crate::resolve::catalogue::{Catalogue, Witness};
use crate::resolve::frames::{FrameFault, RingFault, Run, prove_frames};

pub(super) fn check(catalogue: &mut Catalogue<'_>, model: &Model, graph: &Graph, complete: &Complete) -> Vec<Finding> {
    let faults = prove_frames(catalogue, model, graph);
    faults.iter().filter(|fault| complete.frame(fault.frame)).map(|fault| worded(model, fault)).collect()
}

/// A frame with the words for its runs.
struct Ring<'m> {
    model: &'m Model,
    frame: &'m Frame,
    name: &'m str,
}

impl Ring<'_> {
    fn of(model: &Model, id: FrameId) -> Ring<'_> {
        Ring { model, frame: &model.frames[id], name: model.frames.name(id) }
    }
    fn called(&self, run: Run) -> String {
        match run {
            Run::Segment(index) => format!("`{}`", self.model.parts.name(self.frame.segments[index].part)),
            Run::Opening(index) => format!("the opening `{}`", self.frame.openings[index].name),
        }
    }
    fn place(&self, run: Run) -> &Place {
        match run {
            Run::Segment(index) => &self.frame.segments[index].place,
            Run::Opening(index) => &self.frame.openings[index].place,
        }
    }
    fn ends(&self, run: Run) -> (&str, &str) {
        let (from, to) = match run {
            Run::Segment(index) => (self.frame.segments[index].from, self.frame.segments[index].to),
            Run::Opening(index) => (self.frame.openings[index].from, self.frame.openings[index].to),
        };
        (&self.frame.splice_points[from].name, &self.frame.splice_points[to].name)
    }
}

fn worded(model: &Model, fault: &FrameFault) -> Finding {
    let ring = Ring::of(model, fault.frame);
    let name = ring.name;
    match &fault.fault {
        RingFault::Bare(witness) => {
            let message = format!("no segment of frame `{name}` is fitted on {}", witness_text(witness, model));
            Finding::new(codes::FRAME_BARE, message, ring.frame.record.field("name"), "this frame")
                .help("add the segments for that state, or correct their conditions")
        }
        RingFault::Gap { after, before, mm, witness } => gap(&ring, (*after, *before), *mm, witness),
        RingFault::Overlap { first, second, mm, witness } => overlap(&ring, (*first, *second), *mm, witness),
        RingFault::Unbridged(index, part, witness) => {
            let opening = &ring.frame.openings[*index];
            let part = model.parts.name(*part);
            let message =
                format!("the opening `{}` of frame `{name}` is there without `{part}`, which bridges it", opening.name);
            Finding::new(codes::OPENING_NOT_BRIDGED, message, opening.place.field("bridged_by"), "bridged by this")
                .because(seen_on(witness, model))
                .help(format!("correct the condition of `{part}` at its position, or when the opening is there"))
        }
        RingFault::Unjoined(index, part, witness) => {
            let point = &ring.frame.splice_points[*index];
            let part = model.parts.name(*part);
            let message =
                format!("the splice `{}` of frame `{name}` is used without `{part}`, which joins it", point.name);
            Finding::new(codes::SPLICE_NOT_JOINED, message, point.place.field("joined_by"), "joined by this")
                .because(seen_on(witness, model))
                .help(format!("fit `{part}` at its position in that state too, or correct `joined_by`"))
        }
        RingFault::WrongHand(index, side) => {
            let (run, segment) = (Run::Segment(*index), &ring.frame.segments[*index]);
            let (from, to) = ring.ends(run);
            let (side, other) = match side {
                Hand::Port => ("port", "starboard"),
                Hand::Starboard => ("starboard", "port"),
            };
            let message = format!(
                "{} is a {other} part, and lies to {side} on frame `{name}`, from `{from}` to `{to}`",
                ring.called(run)
            );
            Finding::new(codes::SEGMENT_WRONG_HAND, message, segment.place.clone(), format!("lies to {side}"))
                .label(model.parts[segment.part].record.field("hand"), format!("for {other}"))
                .help("check the splice points, and the hand of the part on its drawing; look forward")
        }
        RingFault::Backwards(run) => {
            let (from, to) = ring.ends(*run);
            let message =
                format!("{} of frame `{name}` runs from `{from}` back to `{to}` on an open path", ring.called(*run));
            Finding::new(codes::RUN_BACKWARDS, message, ring.place(*run).clone(), "ends before it starts")
                .help("exchange its two ends")
        }
    }
}

fn gap(ring: &Ring<'_>, (after, before): (Run, Run), mm: f64, witness: &Witness) -> Finding {
    let (end, start) = (ring.ends(after).1, ring.ends(before).0);
    let how_long = mm_and_inches(mm);
    let message = format!(
        "frame `{}` has a gap of {how_long} from `{end}`, where {} ends, to `{start}`, where {} starts",
        ring.name,
        ring.called(after),
        ring.called(before)
    );
    let between = ring.frame.openings.iter().find(|opening| {
        let name = |point: usize| &ring.frame.splice_points[point].name;
        name(opening.from) == end && name(opening.to) == start
    });
    let mut finding = Finding::new(codes::FRAME_GAP, message, ring.place(after).field("to"), "ends here")
        .label(ring.place(before).field("from"), "the next one starts here");
    if let Some(opening) = between {
        finding =
            finding.label(opening.place.field("when"), format!("`{}` lies there, but not in that state", opening.name));
    }
    finding
        .because(seen_on(witness, ring.model))
        .help("correct the end of one of the two, or enter the segment or the opening that lies between them")
}

fn overlap(ring: &Ring<'_>, (first, second): (Run, Run), mm: f64, witness: &Witness) -> Finding {
    let message = format!(
        "{} and {} of frame `{}` take up the same {}",
        ring.called(first),
        ring.called(second),
        ring.name,
        mm_and_inches(mm)
    );
    let run = |run| {
        let (from, to) = ring.ends(run);
        format!("from `{from}` to `{to}`")
    };
    Finding::new(codes::FRAME_OVERLAP, message, ring.place(first).clone(), run(first))
        .label(ring.place(second).clone(), run(second))
        .because(seen_on(witness, ring.model))
        .help("correct the end of one of the two, or the condition of one of them at its position")
}

fn seen_on(witness: &Witness, model: &Model) -> String {
    format!("so it is on {}", witness_text(witness, model))
}
