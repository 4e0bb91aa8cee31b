//! One slip behind many faults of a frame: the frame is proved again as it may have been meant.

use crate::codes;
use crate::finding::{Finding, Place, Severity};
use crate::graph::Graph;
use crate::ids::FrameId;
use crate::model::{Frame, Model};
use crate::proof::catalogue::Catalogue;
use crate::proof::frames::{GirthFault, prove_frame};

/// So many faults that stop work are looked at for one cause.
const MANY: usize = 3;

/// So many slips that would explain the same are named together.
const SUSPECTS: usize = 4;

/// How often a frame is proved again at most.
const TRIALS: usize = 400;

/// The one slip that explains all that stops work on a frame, with what follows from it.
///
/// `found` is what was found of the frame. Nothing is preferred: where several slips would explain it, they are told from each
/// other only by the figure that is written, and else named together.
pub(super) fn cause(
    catalogue: &mut Catalogue<'_>,
    model: &Model,
    graph: &Graph,
    id: FrameId,
    found: &[Finding],
) -> Option<Finding> {
    let stops: Vec<&Finding> = found.iter().filter(|finding| finding.severity() == Severity::Stop).collect();
    let frame = &model.frames[id];
    let runs = frame.segments.len() + frame.openings.len();
    if stops.len() < MANY || frame.splice_points.len().pow(2) + runs > TRIALS {
        return None;
    }
    let mut sound = |trial: &Frame| prove_frame(catalogue, model, graph, trial).iter().all(is_no_stop);
    let mut ways = exchanged(model, id, &mut sound);
    ways.extend(misplaced(model, id, &mut sound));
    let by_figure = ways.iter().filter(|way| way.by_figure).count();
    if by_figure == 1 {
        ways.retain(|way| way.by_figure);
    }
    let suspects: Vec<Finding> = ways.into_iter().map(|way| way.finding).collect();
    let finding = match &suspects[..] {
        [only] => only.clone(),
        [_, ..] if suspects.len() <= SUSPECTS => either(&suspects),
        _ => return None,
    };
    let (shown, more) = (stops.iter().take(4), stops.len().saturating_sub(4));
    let follows = shown.fold(finding, |finding, stop| finding.because(format!("So {}.", stop.message)));
    Some(if more > 0 { follows.because(format!("And {more} more of the kind.")) } else { follows })
}

/// One finding for slips of which each alone would explain all.
fn either(suspects: &[Finding]) -> Finding {
    let messages: Vec<&str> = suspects.iter().map(|suspect| suspect.message.as_str()).collect();
    let helps: Vec<&str> = suspects.iter().map(|suspect| suspect.help.as_str()).collect();
    let message = format!("one of these is so, and explains the rest: {}", messages.join("; or "));
    let labels = suspects.iter().flat_map(|suspect| suspect.labels.iter().cloned()).collect();
    let help = format!("one of these, not all: {}", helps.join("; or "));
    Finding { message, labels, help, ..suspects[0].clone() }
}

/// A slip that would explain all.
struct FrameSlip {
    finding: Finding,
    /// Whether the figure that is written becomes the right one by exchanging two of its digits, or it needs no figure.
    by_figure: bool,
}

fn is_no_stop(fault: &GirthFault) -> bool {
    matches!(fault, GirthFault::NoBridge(..) | GirthFault::Loose(..) | GirthFault::NotOpposite { .. })
}

/// Segments and openings whose ends are exchanged.
fn exchanged(model: &Model, id: FrameId, sound: &mut impl FnMut(&Frame) -> bool) -> Vec<FrameSlip> {
    let (frame, name) = (&model.frames[id], model.frames.name(id));
    let mut ways = Vec::new();
    let mut trial = frame.clone();
    for (index, segment) in frame.segments.iter().enumerate() {
        (trial.segments[index].from, trial.segments[index].to) = (segment.to, segment.from);
        if sound(&trial) {
            let called = format!("`{}`", model.parts.name(segment.part));
            ways.push(of_run(frame, name, &called, [segment.from, segment.to], &segment.place));
        }
        trial.segments[index].clone_from(segment);
    }
    for (index, opening) in frame.openings.iter().enumerate() {
        (trial.openings[index].from, trial.openings[index].to) = (opening.to, opening.from);
        if sound(&trial) {
            let called = format!("the opening `{}`", opening.name);
            ways.push(of_run(frame, name, &called, [opening.from, opening.to], &opening.place));
        }
        trial.openings[index].clone_from(opening);
    }
    ways
}

fn of_run(frame: &Frame, name: &str, called: &str, ends: [usize; 2], place: &Place) -> FrameSlip {
    let (from, to) = (&frame.splice_points[ends[0]].name, &frame.splice_points[ends[1]].name);
    let message = format!("{called} of frame `{name}` runs from `{from}` to `{to}`: its ends are exchanged");
    let finding = Finding::new(codes::ENDS_EXCHANGED, message, place.field("from"), "this is its end")
        .label(place.field("to"), "and this its start")
        .help(format!("write `from: \"{to}\", to: \"{from}\"`: runs go clockwise"));
    FrameSlip { finding, by_figure: true }
}

/// Splice points that lie in the wrong place.
fn misplaced(model: &Model, id: FrameId, sound: &mut impl FnMut(&Frame) -> bool) -> Vec<FrameSlip> {
    let (frame, name) = (&model.frames[id], model.frames.name(id));
    let length = frame.girth.length_mm();
    let mut ways = Vec::new();
    let mut trial = frame.clone();
    for (index, point) in frame.splice_points.iter().enumerate() {
        let mut others: Vec<(f64, &str)> = frame
            .splice_points
            .iter()
            .filter(|other| other.name != point.name)
            .map(|other| (other.girth_mm, other.name.as_str()))
            .collect();
        others.sort_by(|a, b| a.0.total_cmp(&b.0));
        // Between each two neighbours; of a closed path also between the last and the first.
        let mut gaps: Vec<[(f64, &str); 2]> = others.windows(2).map(|pair| [pair[0], pair[1]]).collect();
        if let (Some(first), Some(last)) = (others.first(), others.last())
            && frame.girth.is_closed()
        {
            gaps.push([*last, (first.0 + length, first.1)]);
        }
        let mut fitting = Vec::new();
        for gap in gaps.iter().filter(|gap| gap[1].0 - gap[0].0 > 1.0) {
            let middle = f64::midpoint(gap[0].0, gap[1].0);
            trial.splice_points[index].girth_mm = if middle >= length { middle - length } else { middle };
            if sound(&trial) {
                fitting.push(*gap);
            }
        }
        let figures: Vec<(String, f64)> = figures(frame, index);
        let figure = figures.into_iter().find(|(_, at)| {
            trial.splice_points[index].girth_mm = *at;
            sound(&trial)
        });
        trial.splice_points[index].girth_mm = point.girth_mm;
        let Some([from, to]) = fitting.first().copied() else { continue };
        let (from, to) = (from.1, fitting.last().map_or(to.1, |gap| gap[1].1));
        let message = format!(
            "splice `{}` of frame `{name}` is written at `{}`, and the frame only closes if it lies between `{from}` and `{to}`",
            point.name, point.text
        );
        let help = match &figure {
            Some((text, _)) => format!("compare it with the drawing; write `{text}` if that is meant"),
            None => format!("compare it with the drawing: it belongs between `{from}` and `{to}`"),
        };
        let finding = Finding::new(codes::SPLICE_MISPLACED, message, point.place.field("at"), "this place").help(help);
        ways.push(FrameSlip { finding, by_figure: figure.is_some() });
    }
    ways
}

/// Where a splice point would lie with two of the digits of its figure exchanged, and how that is written.
fn figures(frame: &Frame, index: usize) -> Vec<(String, f64)> {
    let point = &frame.splice_points[index];
    let Some(number) = point.text.trim().strip_suffix("deg") else { return Vec::new() };
    let letters: Vec<char> = number.trim_end().chars().collect();
    let mut found = Vec::new();
    for a in 0..letters.len() {
        for b in a + 1..letters.len() {
            if letters[a] == letters[b] || !letters[a].is_ascii_digit() || !letters[b].is_ascii_digit() {
                continue;
            }
            let mut other = letters.clone();
            other.swap(a, b);
            let text: String = other.into_iter().collect();
            let angle = text.parse::<f64>().ok().filter(|angle| (0.0..360.0).contains(angle));
            if let Some(at) = angle.and_then(|angle| frame.girth.girth_at_clock(angle).ok()) {
                found.push((format!("{text}deg"), at));
            }
        }
    }
    found
}
