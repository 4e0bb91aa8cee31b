//! The proof of the frames in words.

use super::complete::Complete;
use super::slips;
use crate::codes;
use crate::finding::{Finding, Place};
use crate::graph::Graph;
use crate::ids::FrameId;
use crate::model::{Frame, Model};
use crate::proof::catalogue::{Catalogue, Witness};
use crate::proof::frames::{FrameFault, GirthFault, GirthRun, prove_frames};
use crate::quantity::length::mm_and_inches;
use crate::schema::Hand;
use crate::words::witness_text;

pub(super) fn check(
    catalogue: &mut Catalogue<'_>,
    model: &Model,
    graph: &Graph,
    complete: &Complete<'_>,
) -> Vec<Finding> {
    let faults = prove_frames(catalogue, model, graph);
    let mut findings = Vec::new();
    for of_frame in faults.chunk_by(|a, b| a.frame == b.frame).filter(|faults| complete.frame(faults[0].frame)) {
        let mut found: Vec<Finding> = of_frame.iter().map(|fault| worded(model, fault)).collect();
        found.sort();
        match slips::cause(catalogue, model, graph, of_frame[0].frame, &found) {
            Some(cause) => findings.push(cause),
            None => findings.extend(found),
        }
    }
    findings
}

/// A frame with the words for its runs.
struct WordedFrame<'m> {
    model: &'m Model,
    frame: &'m Frame,
    name: &'m str,
}

impl WordedFrame<'_> {
    fn of(model: &Model, id: FrameId) -> WordedFrame<'_> {
        WordedFrame { model, frame: &model.frames[id], name: model.frames.name(id) }
    }
    fn called(&self, run: GirthRun) -> String {
        match run {
            GirthRun::Segment(index) => format!("`{}`", self.model.parts.name(self.frame.segments[index].part)),
            GirthRun::Opening(index) => format!("the opening `{}`", self.frame.openings[index].name),
        }
    }
    fn place(&self, run: GirthRun) -> &Place {
        match run {
            GirthRun::Segment(index) => &self.frame.segments[index].place,
            GirthRun::Opening(index) => &self.frame.openings[index].place,
        }
    }
    /// The splice points at its ends.
    fn points(&self, run: GirthRun) -> (usize, usize) {
        match run {
            GirthRun::Segment(index) => (self.frame.segments[index].from, self.frame.segments[index].to),
            GirthRun::Opening(index) => (self.frame.openings[index].from, self.frame.openings[index].to),
        }
    }
    fn ends(&self, run: GirthRun) -> (&str, &str) {
        let (from, to) = self.points(run);
        (&self.frame.splice_points[from].name, &self.frame.splice_points[to].name)
    }
    /// Where splice points are: "`S3` lies at 142.00 deg, 2102.97 mm (82.794 in) along the girth".
    fn lie(&self, points: &[usize]) -> String {
        let mut sentences: Vec<String> = Vec::new();
        for point in points.iter().map(|point| &self.frame.splice_points[*point]) {
            // To the micrometre first, as the frame report has it, so that both show the same figures.
            let girth = mm_and_inches((point.girth_mm * 1e3).round() / 1e3);
            let clock = self.frame.girth.clock_deg(point.girth_mm);
            let words = format!("`{}` lies at {clock:.2} deg, {girth} along the girth", point.name);
            if !sentences.contains(&words) {
                sentences.push(words);
            }
        }
        sentences.join("; ")
    }
}

fn worded(model: &Model, fault: &FrameFault) -> Finding {
    let worded = WordedFrame::of(model, fault.frame);
    let name = worded.name;
    match &fault.fault {
        GirthFault::Undecided(limit) => {
            let message = format!("whether frame `{name}` closes in every state is not decided: {limit}");
            Finding::new(codes::PROOF_NOT_DECIDED, message, worded.frame.record.field("name"), "this frame")
                .help("check the frame by hand against its drawing")
        }
        GirthFault::Bare(witness) => {
            let message = format!("no segment of frame `{name}` is fitted on {}", witness_text(witness, model));
            Finding::new(codes::FRAME_BARE, message, worded.frame.record.field("name"), "this frame")
                .help("add the segments for that state, or correct their conditions")
        }
        GirthFault::Gap { after, before, mm, witness } => gap(&worded, *after, *before, *mm, witness),
        GirthFault::Overlap { first, second, mm, witness } => overlap(&worded, *first, *second, *mm, witness),
        GirthFault::LapBeyond { segment, at_end, onto, mm, witness } => {
            lap_beyond(&worded, *segment, *at_end, *onto, *mm, witness)
        }
        GirthFault::NoBridge(index, witness) => {
            let opening = &worded.frame.openings[*index];
            let message = format!("no piece bridges the opening `{}` of frame `{name}`", opening.name);
            Finding::new(codes::OPENING_WITHOUT_BRIDGE, message, opening.place.field("name"), "bridged by nothing")
                .because(seen_on(witness, model))
                .help("enter the pieces that bridge it with `bridged_by`, if there are any")
        }
        GirthFault::Unbridged(index, part, witness) => {
            let opening = &worded.frame.openings[*index];
            let part = model.parts.name(*part);
            let message =
                format!("the opening `{}` of frame `{name}` is there without `{part}`, which bridges it", opening.name);
            Finding::new(codes::OPENING_NOT_BRIDGED, message, opening.place.field("bridged_by"), "bridged by this")
                .because(seen_on(witness, model))
                .help(format!("correct the condition of `{part}` at its position, or when the opening is there"))
        }
        GirthFault::Unjoined(index, part, witness) => {
            let point = &worded.frame.splice_points[*index];
            let part = model.parts.name(*part);
            let message =
                format!("the splice `{}` of frame `{name}` is used without `{part}`, which joins it", point.name);
            Finding::new(codes::SPLICE_NOT_JOINED, message, point.place.field("joined_by"), "joined by this")
                .because(seen_on(witness, model))
                .help(format!("fit `{part}` at its position in that state too, or correct `joined_by`"))
        }
        GirthFault::Loose(point, segments, witness) => loose(&worded, *point, *segments, witness),
        GirthFault::WrongHand { segment, side, mm, of } => wrong_hand(&worded, *segment, *side, *mm, *of),
        GirthFault::NotOpposite { first, second, mm, witness } => {
            not_opposite(&worded, [*first, *second], *mm, witness)
        }
        GirthFault::Backwards(run) => {
            let (from, to) = worded.ends(*run);
            let called = worded.called(*run);
            let finding = |message: String, label: &str| {
                Finding::new(codes::RUN_BACKWARDS, message, worded.place(*run).clone(), label)
            };
            let points = worded.points(*run);
            let where_they_are = worded.lie(&[points.0, points.1]);
            if worded.frame.girth.is_closed() {
                let message =
                    format!("{called} of frame `{name}` runs from `{from}` to `{to}`, which is the same place");
                finding(message, "takes up no length")
                    .because(where_they_are)
                    .help("correct where one of the two splice points is")
            } else {
                let message = format!("{called} of frame `{name}` runs from `{from}` back to `{to}` on an open path");
                finding(message, "ends before it starts").because(where_they_are).help("exchange its two ends")
            }
        }
    }
}

fn lap_beyond(
    worded: &WordedFrame<'_>,
    segment: usize,
    at_end: bool,
    onto: Option<GirthRun>,
    mm: f64,
    witness: &Witness,
) -> Finding {
    let entry = &worded.frame.segments[segment];
    let (point, lap, field) =
        if at_end { (entry.to, &entry.lap_to, "lap_to") } else { (entry.from, &entry.lap_from, "lap_from") };
    let what = format!(
        "the lap `{}` of {} beyond `{}` of frame `{}`",
        lap.as_ref().map_or("", |lap| lap.text.as_str()),
        worded.called(GirthRun::Segment(segment)),
        worded.frame.splice_points[point].name,
        worded.name
    );
    let by = mm_and_inches(mm);
    let message = match onto {
        Some(GirthRun::Opening(_)) | None => {
            let into = onto.map_or("past the end of the path".to_owned(), |run| format!("into {}", worded.called(run)));
            format!("{what} runs {by} {into}")
        }
        Some(run @ GirthRun::Segment(_)) => {
            format!("{what} runs {by} past its neighbour there, on to {}", worded.called(run))
        }
    };
    let mut finding = Finding::new(codes::LAP_BEYOND, message, entry.place.field(field), "too long here");
    if let Some(run) = onto {
        finding = finding.label(worded.place(run).clone(), "runs on to this");
    }
    finding
        .because(worded.lie(&[point]))
        .because(seen_on(witness, worded.model))
        .help("correct the lap, or the splice point at which the segment ends")
}

fn loose(worded: &WordedFrame<'_>, point: usize, [first, second]: [usize; 2], witness: &Witness) -> Finding {
    let called = |segment| worded.called(GirthRun::Segment(segment));
    let entry = &worded.frame.splice_points[point];
    let message = format!(
        "{} and {} of frame `{}` meet at `{}`, and neither a lap nor a part joins them",
        called(first),
        called(second),
        worded.name,
        entry.name
    );
    let segments = [first, second].map(|segment| worded.frame.segments[segment].place.clone());
    let [ends, starts] = segments;
    Finding::new(codes::SPLICE_LOOSE, message, entry.place.field("name"), "joined by nothing")
        .label(ends, "ends there")
        .label(starts, "starts there")
        .because(seen_on(witness, worded.model))
        .help("enter the parts of the joint with `joined_by`, or how far one laps over the other")
}

fn wrong_hand(worded: &WordedFrame<'_>, segment: usize, side: Hand, mm: f64, of: f64) -> Finding {
    let (run, entry) = (GirthRun::Segment(segment), &worded.frame.segments[segment]);
    let (from, to) = worded.ends(run);
    let (side, other) = match side {
        Hand::Port => ("port", "starboard"),
        Hand::Starboard => ("starboard", "port"),
    };
    let wholly = of - mm < 0.0005;
    let part = if wholly { String::new() } else { format!(" for {} of its {}", mm_and_inches(mm), mm_and_inches(of)) };
    let message = format!(
        "{} is a {other} part, and lies to {side}{part} on frame `{}`, from `{from}` to `{to}`",
        worded.called(run),
        worded.name
    );
    Finding::new(codes::SEGMENT_WRONG_HAND, message, entry.place.clone(), format!("lies to {side}"))
        .label(worded.model.parts[entry.part].place.field("hand"), format!("for {other}"))
        .help("check the splice points, and the hand of the part on its drawing; look forward")
}

fn not_opposite(worded: &WordedFrame<'_>, [first, second]: [usize; 2], mm: [f64; 2], witness: &Witness) -> Finding {
    let called = |segment| worded.called(GirthRun::Segment(segment));
    let (a, b) = (worded.points(GirthRun::Segment(first)), worded.points(GirthRun::Segment(second)));
    let name = |point: usize| &worded.frame.splice_points[point].name;
    let pairs = [((a.0, b.1), mm[0]), ((a.1, b.0), mm[1])];
    let apart = pairs.iter().filter(|(_, mm)| *mm > 0.0005);
    let words = apart.map(|((a, b), mm)| format!("`{}` and `{}` by {}", name(*a), name(*b), mm_and_inches(*mm)));
    let message = format!(
        "{} and {} of frame `{}` are of opposite hand, and do not lie opposite each other: {}",
        called(first),
        called(second),
        worded.name,
        words.collect::<Vec<_>>().join(", ")
    );
    Finding::new(codes::HANDS_NOT_OPPOSITE, message, worded.frame.segments[first].place.clone(), "one of the pair")
        .label(worded.frame.segments[second].place.clone(), "the other")
        .because(worded.lie(&[a.0, a.1, b.0, b.1]))
        .because(seen_on(witness, worded.model))
        .help("check the splice points of both, and whether the drawing shows the two parts as a pair")
}

fn gap(
    worded: &WordedFrame<'_>,
    after: Option<GirthRun>,
    before: Option<GirthRun>,
    mm: f64,
    witness: &Witness,
) -> Finding {
    let (end, start) = (after.map(|run| worded.points(run).1), before.map(|run| worded.points(run).0));
    let name = |point: usize| worded.frame.splice_points[point].name.as_str();
    let from = match (after, end) {
        (Some(run), Some(end)) => format!("`{}`, where {} ends,", name(end), worded.called(run)),
        _ => "the start of its path".to_owned(),
    };
    let to = match (before, start) {
        (Some(run), Some(start)) => format!("`{}`, where {} starts", name(start), worded.called(run)),
        _ => "the end of its path".to_owned(),
    };
    let message = format!("frame `{}` has a gap of {} from {from} to {to}", worded.name, mm_and_inches(mm));
    let ends = after.map(|run| (worded.place(run).field("to"), "ends here"));
    let starts = before.map(|run| (worded.place(run).field("from"), "the next one starts here"));
    let path = (worded.frame.record.field("girth"), "this path");
    let mut labels = [ends, starts].into_iter().flatten().chain(after.xor(before).is_some().then_some(path));
    let (place, label) = labels.next().expect("a path without runs has no gap between runs");
    let mut finding = Finding::new(codes::FRAME_GAP, message, place, label);
    for (place, label) in labels {
        finding = finding.label(place, label);
    }
    let between = worded.frame.openings.iter().find(|opening| (Some(opening.from), Some(opening.to)) == (end, start));
    if let Some(opening) = between {
        finding =
            finding.label(opening.place.field("when"), format!("`{}` lies there, but not in that state", opening.name));
    }
    finding
        .because(worded.lie(&[end, start].into_iter().flatten().collect::<Vec<_>>()))
        .because(seen_on(witness, worded.model))
        .help("correct the end of one of the two, or enter the segment or the opening that lies between them")
}

fn overlap(worded: &WordedFrame<'_>, first: GirthRun, second: GirthRun, mm: f64, witness: &Witness) -> Finding {
    let message = format!(
        "{} and {} of frame `{}` take up the same {}",
        worded.called(first),
        worded.called(second),
        worded.name,
        mm_and_inches(mm)
    );
    let run = |run| {
        let (from, to) = worded.ends(run);
        format!("from `{from}` to `{to}`")
    };
    let ((a, b), (c, d)) = (worded.points(first), worded.points(second));
    Finding::new(codes::FRAME_OVERLAP, message, worded.place(first).clone(), run(first))
        .label(worded.place(second).clone(), run(second))
        .because(worded.lie(&[a, b, c, d]))
        .because(seen_on(witness, worded.model))
        .help("correct the end of one of the two, or the condition of one of them at its position")
}

fn seen_on(witness: &Witness, model: &Model) -> String {
    format!("so it is on {}", witness_text(witness, model))
}
