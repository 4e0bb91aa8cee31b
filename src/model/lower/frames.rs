//! Frames.

use super::names::Listed;
use super::say::Findings;
use super::{Context, conditions, rivets};
use crate::codes;
use crate::finding::{Finding, Place, RecordRef};
use crate::ids::{FrameId, Id, PartId, Table};
use crate::model::girth::clock_angle;
use crate::model::{Frame, Girth, Length, Opening, Segment, SplicePoint};
use crate::source::raw::{self, GirthPosition};

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
        let next = found.and_then(|index| table.id(cx.names.frames.name(index)));
        if let (Some(frame), Some(next)) = (table.id(&raw.name), next) {
            table.get_mut(frame).next_aft = Some(next);
        }
    }
    table
}

/// The splice points of a frame as they are named, whether or not they can be placed.
pub(super) fn splice_names(record: RecordRef, raw: &raw::Frame, out: &mut Findings) -> Listed<usize> {
    let places = raw
        .splice_points
        .iter()
        .enumerate()
        .map(|(index, point)| (point.name.clone(), record.field("splice_points").item(index).field("name"), index));
    Listed::collect(("splice point", codes::UNKNOWN_SPLICE_POINT, codes::NAME_USED_TWICE), places, out)
}

fn frame(cx: &Context, record: RecordRef, raw: &raw::Frame, out: &mut Findings) -> Option<Frame> {
    let assembly = cx.names.part(&raw.assembly, &record.field("assembly"), out);
    let station = out.length(&raw.station, cx.config, &record.field("station"));
    let girth = girth(cx, &raw.girth, &record.field("girth"), out);
    let names = splice_names(record, raw, out);
    let splice_points = splice_points(cx, record, raw, &names, girth.as_ref(), out);
    let segments = segments(cx, record, raw, (&names, &splice_points), assembly, out);
    let openings = openings(cx, record, raw, (&names, &splice_points), out);
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

fn girth(cx: &Context, raw: &raw::Girth, place: &Place, out: &mut Findings) -> Option<Girth> {
    match raw {
        raw::Girth::Circle { radius } => {
            let radius = out.size("radius", radius, cx.config, &place.field("radius"))?;
            Some(Girth::Circle { radius })
        }
        raw::Girth::Ellipse { half_breadth, half_height } => {
            let breadth = out.size("half breadth", half_breadth, cx.config, &place.field("half_breadth"));
            let height = out.size("half height", half_height, cx.config, &place.field("half_height"));
            Some(Girth::Ellipse { half_breadth: breadth?, half_height: height? })
        }
        raw::Girth::Polyline { points, closed } => polyline(cx, points, *closed, &place.field("points"), out),
    }
}

fn polyline(
    cx: &Context,
    points: &[(String, String)],
    closed: bool,
    place: &Place,
    out: &mut Findings,
) -> Option<Girth> {
    let least = if closed { 3 } else { 2 };
    if points.len() < least {
        let message = format!("the path has too few points: {}, and it needs at least {least}", points.len());
        out.add(
            Finding::new(codes::NO_PATH, message, place.clone(), "too few points")
                .help("give the points of the path from the drawing"),
        );
        return None;
    }
    let read: Vec<Option<(Length, Length)>> = points
        .iter()
        .enumerate()
        .map(|(index, (x, y))| {
            let place = place.item(index);
            let x = out.length(x, cx.config, &place.item(0));
            let y = out.length(y, cx.config, &place.item(1));
            Some((x?, y?))
        })
        .collect();
    let points: Vec<(Length, Length)> = read.into_iter().collect::<Option<_>>()?;
    let same = |a: &(Length, Length), b: &(Length, Length)| {
        (a.0.picometres, a.1.picometres) == (b.0.picometres, b.1.picometres)
    };
    let next = points.iter().skip(1).chain(points.first().filter(|_| closed));
    let double = points.iter().zip(next).position(|(a, b)| same(a, b));
    if let Some(index) = double {
        let again = (index + 1) % points.len();
        let help = "remove one of the two points; a closed path joins its last point to its first by itself";
        out.add(
            Finding::new(codes::NO_PATH, "two points of the path follow at one place", place.item(again), "this point")
                .label(place.item(index), "is the point before it")
                .help(help),
        );
        return None;
    }
    Some(Girth::Polyline { points, closed })
}

fn splice_points(
    cx: &Context,
    record: RecordRef,
    raw: &raw::Frame,
    names: &Listed<usize>,
    girth: Option<&Girth>,
    out: &mut Findings,
) -> Vec<SplicePoint> {
    let mut points = Vec::new();
    for (index, point) in raw.splice_points.iter().enumerate() {
        let place = record.field("splice_points").item(index);
        let joined_by = cx.names.parts(&point.joined_by, &place.field("joined_by"), out);
        let at = place.field("at").item(0);
        let (text, girth_mm) = match &point.at {
            GirthPosition::Angle(text) => {
                let angle = out.read(clock_angle(text), &at);
                let girth_mm = girth.zip(angle).and_then(|(path, angle)| out.read(path.girth_at_clock(angle), &at));
                (text, girth_mm)
            }
            GirthPosition::Girth(text) => {
                let length = out.length(text, cx.config, &at);
                (text, girth.zip(length).and_then(|(path, length)| on_path(path, &length, &point.name, &at, out)))
            }
        };
        let kept = names.index(&point.name).is_some_and(|at| names.get(at).1 == index);
        if let (Some(girth_mm), true) = (girth_mm, kept) {
            let (name, text) = (point.name.clone(), text.clone());
            let rivets = rivets::groups(cx, point, &place.field("rivets"), out);
            points.push(SplicePoint { place, name, text, girth_mm, joined_by, rivets });
        }
    }
    points
}

fn on_path(path: &Girth, at: &Length, name: &str, place: &Place, out: &mut Findings) -> Option<f64> {
    let whole = path.length_mm();
    // On a closed path its whole length is its start again; a hundredth of a micrometre covers the rounding.
    let beyond = if path.is_closed() { at.mm() > whole - 1e-5 } else { at.mm() > whole + 1e-5 };
    if at.picometres < 0 || beyond {
        let message =
            format!("the splice point `{name}` at `{}` lies beyond the path, which is {whole:.3} mm long", at.text);
        out.add(
            Finding::new(codes::BEYOND_GIRTH, message, place.clone(), "beyond the path")
                .help("check the distance and its unit; it is counted from the start of the path"),
        );
        return None;
    }
    Some(at.mm().min(whole))
}

/// The two ends of a run, as indices of the splice points that could be placed.
fn run(
    of: &str,
    (from, to): (&str, &str),
    place: &Place,
    (names, points): (&Listed<usize>, &[SplicePoint]),
    out: &mut Findings,
) -> Option<(usize, usize)> {
    let mut index = |name: &str, field| {
        names.find(name, &place.field(field), out)?;
        points.iter().position(|point| point.name == name)
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
    raw: &raw::Frame,
    splices: (&Listed<usize>, &[SplicePoint]),
    assembly: Option<PartId>,
    out: &mut Findings,
) -> Vec<Segment> {
    let within = assembly.and_then(|assembly| within(cx, assembly));
    let mut segments = Vec::new();
    for (index, segment) in raw.segments.iter().enumerate() {
        let place = record.field("segments").item(index);
        let part = cx.names.part(&segment.part, &place.field("part"), out);
        let ends = run(&segment.part, (&segment.from, &segment.to), &place, splices, out);
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
    let mut found = vec![false; cx.names.held.len()];
    let mut open = vec![assembly];
    while let Some(part) = open.pop() {
        if cx.names.holds_unknown[part.index()] {
            return None;
        }
        for &held in &cx.names.held[part.index()] {
            if !std::mem::replace(&mut found[held.index()], true) {
                open.push(held);
            }
        }
    }
    Some(found)
}

fn openings(
    cx: &Context,
    record: RecordRef,
    raw: &raw::Frame,
    splices: (&Listed<usize>, &[SplicePoint]),
    out: &mut Findings,
) -> Vec<Opening> {
    let mut openings = Vec::new();
    for (index, opening) in raw.openings.iter().enumerate() {
        let place = record.field("openings").item(index);
        let ends = run(&opening.name, (&opening.from, &opening.to), &place, splices, out);
        let when = conditions::optional(cx, opening.when.as_ref(), &place.field("when"), out);
        let bridged_by = cx.names.parts(&opening.bridged_by, &place.field("bridged_by"), out);
        if let (Some((from, to)), Some(when)) = (ends, when) {
            openings.push(Opening { place, name: opening.name.clone(), from, to, when, bridged_by });
        }
    }
    openings
}

fn unused(raw: &raw::Frame, names: &Listed<usize>, out: &mut Findings) {
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
