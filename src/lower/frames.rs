//! Frames.

use super::girth::{girth, position};
use super::names::Listed;
use super::say::Findings;
use super::{Context, conditions, rivets};
use crate::finding::{Finding, Place, RecordRef};
use crate::geometry::Girth;
use crate::ids::{FrameId, Id, PartId, Table};
use crate::model::{Frame, Opening, Segment, SplicePoint};
use crate::quantity::Length;
use crate::{codes, schema};

pub(super) fn lower(cx: &Context, out: &mut Findings) -> Table<FrameId, Frame> {
    let mut table = Table::default();
    for (name, _, (record, raw)) in cx.names.frames.iter() {
        if let Some(frame) = frame(cx, *record, raw, out) {
            table.insert(name, frame).expect("listed names are unique");
        }
    }
    for (_, _, (record, raw)) in cx.names.frames.iter() {
        let Some(next) = &raw.next_aft else { continue };
        let found = cx.names.frames.find(next, &record.field("next_aft"), out);
        let next = found.and_then(|index| out.taken(table.id(cx.names.frames.name(index)), &record.field("next_aft")));
        if let (Some(frame), Some(next)) = (table.id(&raw.name), next) {
            table.get_mut(frame).next_aft = Some(next);
        }
    }
    table
}

/// The splice points of a frame as they are named, whether or not they can be placed.
pub(super) fn splice_names(record: RecordRef, raw: &schema::Frame, out: &mut Findings) -> Listed<usize> {
    let places = raw
        .splice_points
        .iter()
        .enumerate()
        .map(|(index, point)| (point.name.clone(), record.field("splice_points").item(index).field("name"), index));
    Listed::collect("splice point", codes::UNKNOWN_SPLICE_POINT, codes::NAME_USED_TWICE, places, out)
}

fn frame(cx: &Context, record: RecordRef, raw: &schema::Frame, out: &mut Findings) -> Option<Frame> {
    let assembly = cx.names.part(&raw.assembly, &record.field("assembly"), out);
    let station = out.length(&raw.station, cx.config, &record.field("station"));
    let girth = girth(cx, record, raw, out);
    let names = splice_names(record, raw, out);
    let splice_points = splice_points(cx, record, raw, &names, girth.as_ref(), out);
    let splices = Splices { names: &names, points: &splice_points };
    let segments = segments(cx, record, raw, splices, assembly, out);
    let openings = openings(cx, record, raw, splices, out);
    unused(raw, &names, out);
    Some(Frame {
        record,
        title: raw.title.clone(),
        assembly: assembly?,
        station: station?,
        girth: girth?,
        splice_points,
        segments,
        openings,
        next_aft: None,
    })
}

fn splice_points(
    cx: &Context,
    record: RecordRef,
    raw: &schema::Frame,
    names: &Listed<usize>,
    girth: Option<&Girth>,
    out: &mut Findings,
) -> Vec<SplicePoint> {
    let mut points = Vec::new();
    for (index, point) in raw.splice_points.iter().enumerate() {
        let place = record.field("splice_points").item(index);
        let joined_by = cx.names.parts(&point.joined_by, &place.field("joined_by"), out);
        let (text, girth_mm) = position(cx, point, girth, &place.field("at").item(0), out);
        let kept = names.index(&point.name).is_some_and(|at| names.get(at).1 == index);
        if let (Some(girth_mm), true) = (girth_mm, kept) {
            let (name, text) = (point.name.clone(), text.to_owned());
            let rivets = rivets::groups(cx, point, &place.field("rivets"), out);
            points.push(SplicePoint { place, name, text, girth_mm, joined_by, rivets });
        }
    }
    points
}

/// The names of the splice points of a frame, and those of them that could be placed.
#[derive(Clone, Copy)]
struct Splices<'a> {
    names: &'a Listed<usize>,
    points: &'a [SplicePoint],
}

/// The two ends of a run, as indices of the splice points that could be placed.
fn run(
    of: &str,
    from: &str,
    to: &str,
    place: &Place,
    splices: Splices<'_>,
    out: &mut Findings,
) -> Option<(usize, usize)> {
    let mut index = |name: &str, field| {
        splices.names.find(name, &place.field(field), out)?;
        out.taken(splices.points.iter().position(|point| point.name == name), &place.field(field))
    };
    let ends = (index(from, "from"), index(to, "to"));
    if from == to {
        out.add(
            Finding::new(codes::NO_RUN, format!("`{of}` runs from `{from}` to itself"), place.field("to"), "the same")
                .label(place.field("from"), "starts here")
                .help("name the splice point at its other end"),
        );
        return None;
    }
    Some((ends.0?, ends.1?))
}

fn segments(
    cx: &Context,
    record: RecordRef,
    raw: &schema::Frame,
    splices: Splices<'_>,
    assembly: Option<PartId>,
    out: &mut Findings,
) -> Vec<Segment> {
    let within = assembly.and_then(|assembly| within(cx, assembly));
    let mut segments = Vec::new();
    for (index, segment) in raw.segments.iter().enumerate() {
        let place = record.field("segments").item(index);
        let part = cx.names.part(&segment.part, &place.field("part"), out);
        let ends = run(&segment.part, &segment.from, &segment.to, &place, splices, out);
        let lap_from = lap(cx, segment.lap_from.as_ref(), &place.field("lap_from"), out);
        let lap_to = lap(cx, segment.lap_to.as_ref(), &place.field("lap_to"), out);
        if let (Some(part), Some(within)) = (part, &within)
            && !within[part.index()]
            && !cx.lost.may_name(&segment.part)
        {
            let message = format!(
                "`{}` is a segment of the frame `{}`, but no candidate anywhere in its assembly `{}`",
                segment.part, raw.name, raw.assembly
            );
            out.add(
                Finding::new(codes::SEGMENT_NOT_FITTED, message, place.field("part"), "never fitted")
                    .label(record.field("assembly"), "the frame's assembly")
                    .help("correct the part number, or add the part as a candidate at its position"),
            );
            continue;
        }
        if let (Some(part), Some((from, to)), Some(lap_from), Some(lap_to)) = (part, ends, lap_from, lap_to) {
            segments.push(Segment { place, part, from, to, lap_from, lap_to });
        }
    }
    segments
}

/// A lap that may be left out; `None` if it is at fault.
#[expect(clippy::option_option, reason = "the outer option tells a fault, the inner one a lap that is left out")]
fn lap(cx: &Context, text: Option<&String>, place: &Place, out: &mut Findings) -> Option<Option<Length>> {
    let Some(text) = text else { return Some(None) };
    let length = out.length(text, cx.config, place)?;
    if length.picometres < 0 {
        out.add(
            Finding::new(
                codes::NOT_POSITIVE,
                format!("the lap `{text}` is less than nothing"),
                place.clone(),
                "negative",
            )
            .help("give how far the part runs past its splice point; leave the lap out if it does not"),
        );
        return None;
    }
    Some(Some(length))
}

/// For each part whether it is a candidate in the assembly or in anything that the assembly may be made up of; `None`
/// if a candidate in there is not known, so that it may be any part.
fn within(cx: &Context, assembly: PartId) -> Option<Vec<bool>> {
    let mut found = vec![false; cx.names.candidates.len()];
    let mut open = vec![assembly];
    while let Some(part) = open.pop() {
        if cx.names.has_unknown_candidate[part.index()] {
            return None;
        }
        for &candidate in &cx.names.candidates[part.index()] {
            if !std::mem::replace(&mut found[candidate.index()], true) {
                open.push(candidate);
            }
        }
    }
    Some(found)
}

fn openings(
    cx: &Context,
    record: RecordRef,
    raw: &schema::Frame,
    splices: Splices<'_>,
    out: &mut Findings,
) -> Vec<Opening> {
    let mut openings = Vec::new();
    for (index, opening) in raw.openings.iter().enumerate() {
        let place = record.field("openings").item(index);
        let ends = run(&opening.name, &opening.from, &opening.to, &place, splices, out);
        let when = conditions::optional(cx, opening.when.as_ref(), &place.field("when"), out);
        let bridged_by = cx.names.parts(&opening.bridged_by, &place.field("bridged_by"), out);
        if let (Some((from, to)), Some(when)) = (ends, when) {
            openings.push(Opening { place, name: opening.name.clone(), from, to, when, bridged_by });
        }
    }
    openings
}

fn unused(raw: &schema::Frame, names: &Listed<usize>, out: &mut Findings) {
    for (name, place, _) in names.iter() {
        let segments = raw.segments.iter().flat_map(|segment| [&segment.from, &segment.to]);
        let openings = raw.openings.iter().flat_map(|opening| [&opening.from, &opening.to]);
        if !segments.chain(openings).any(|end| end == name) {
            let message = format!("nothing of the frame `{}` starts or ends at the splice point `{name}`", raw.name);
            out.add(
                Finding::new(codes::SPLICE_UNUSED, message, place.clone(), "not used")
                    .help("add the segment that is spliced there, or remove the splice point"),
            );
        }
    }
}
