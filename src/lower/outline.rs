//! The edges of plates.

use super::Context;
use super::say::Findings;
use crate::finding::{Finding, RecordRef};
use crate::geometry::outline::{Corner, Outline, Unsound, unsound};
use crate::model::Hole;
use crate::{codes, schema};

/// The edge of a plate, if it has a sound one, with what its holes say of it.
pub(super) fn lower(
    cx: &Context,
    record: RecordRef,
    raw: &schema::Plate,
    holes: &[Hole],
    out: &mut Findings,
) -> Option<Outline> {
    if raw.outline.is_empty() {
        return None;
    }
    let corners = corners(cx, record, raw, out)?;
    if let Some(why) = unsound(&corners) {
        out.add(unsound_worded(record, &raw.number, raw, why));
        return None;
    }
    let outline = Outline { corners };
    for hole in holes {
        off_plate(record, raw, hole, &outline, out);
    }
    Some(outline)
}

fn corners(cx: &Context, record: RecordRef, raw: &schema::Plate, out: &mut Findings) -> Option<Vec<Corner>> {
    let read: Vec<Option<Corner>> = (raw.outline.iter().enumerate())
        .map(|(index, corner)| {
            let place = record.field("outline").item(index);
            let x = out.length(&corner.x, cx.config, &place.field("x"));
            let y = out.length(&corner.y, cx.config, &place.field("y"));
            let radius = match &corner.radius {
                Some(text) => Some(out.size("radius", text, cx.config, &place.field("radius"))?),
                None => None,
            };
            Some(Corner { at: [x?, y?], radius })
        })
        .collect();
    read.into_iter().collect()
}

fn unsound_worded(record: RecordRef, number: &str, raw: &schema::Plate, why: Unsound) -> Finding {
    let list = record.field("outline");
    let new = |message: String, place, label: &str| Finding::new(codes::OUTLINE_UNSOUND, message, place, label);
    match why {
        Unsound::TooFew => {
            let message = format!("the edge of plate `{number}` has fewer than three corners");
            new(message, list, "encloses nothing").help("give every corner of the plate, in order round its edge")
        }
        Unsound::Same(index) => {
            let message = format!("two corners of the edge of plate `{number}` follow at one place");
            let before = (index + raw.outline.len() - 1) % raw.outline.len();
            new(message, list.item(index), "this corner")
                .label(list.item(before), "is the corner before it")
                .help("remove one of the two; the last corner is joined to the first by itself")
        }
        Unsound::Crossing(first, second) => {
            let message = format!("the edge of plate `{number}` crosses or touches itself");
            new(message, list.item(second), "the side from here to the next corner")
                .label(list.item(first), "meets the side from here to the next corner")
                .help("give the corners in order round the edge, and check their signs")
        }
        Unsound::NoRoom(index) => {
            let radius = raw.outline[index].radius.as_deref().unwrap_or_default();
            let message =
                format!("a corner of plate `{number}` is rounded to `{radius}`, for which its sides are too short");
            new(message, list.item(index).field("radius"), "no room for this")
                .help("check the radius, and those of the corners beside it, against the drawing")
        }
    }
}

/// What a hole is short of by rounding, in millimetres: far below what anybody makes.
const ROUNDING_MM: f64 = 1e-6;

fn off_plate(record: RecordRef, raw: &schema::Plate, hole: &Hole, outline: &Outline, out: &mut Findings) {
    let centre = (hole.at[0].mm(), hole.at[1].mm());
    let (distance, radius) = (outline.distance_mm(centre), hole.diameter.mm() / 2.0);
    let inside = outline.contains(centre);
    if inside && distance >= radius - ROUNDING_MM {
        return;
    }
    let both = |mm: f64| format!("{mm:.2} mm ({:.3} in)", mm / 25.4);
    let (name, number) = (&hole.name, &raw.number);
    let (message, label) = if inside {
        let message = format!(
            "the hole `{name}` of plate `{number}` breaks through its edge: its centre is {} from it, its radius {}",
            both(distance),
            both(radius)
        );
        (message, "nearer to the edge than its radius")
    } else {
        (
            format!("the hole `{name}` lies outside the edge of plate `{number}`, by {}", both(distance)),
            "outside the edge",
        )
    };
    let Some(index) = raw.holes.iter().position(|other| other.hole == hole.name) else { return };
    out.tell(
        Finding::new(codes::HOLE_OFF_PLATE, message, record.field("holes").item(index), label)
            .label(record.field("outline"), "the edge of the plate")
            .help("check the hole and the corners against the drawing; both are in the jig's axes"),
    );
}
