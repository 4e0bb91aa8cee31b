//! Rivets of splices, and joints of the skin.

use super::names::Listed;
use super::say::Findings;
use super::{Context, conditions};
use crate::finding::{Finding, Place};
use crate::geometry::girth::clock_angle;
use crate::model::{Rivets, SkinJoint};
use crate::quantity::Length;
use crate::schema::RivetNumber;
use crate::{codes, schema};

/// The groups of rivets of a splice point; a faulty one is left out.
pub(super) fn groups(cx: &Context, point: &schema::SplicePoint, list: &Place, out: &mut Findings) -> Vec<Rivets> {
    let each = point.rivets.iter().enumerate();
    each.filter_map(|(index, raw)| group(cx, &point.name, raw, list.item(index), out)).collect()
}

fn group(cx: &Context, point: &str, raw: &schema::Rivets, place: Place, out: &mut Findings) -> Option<Rivets> {
    let mut sound = true;
    let mut size = |what: &str, text: Option<&String>, field: &'static str, out: &mut Findings| -> Option<Length> {
        let read = out.size(what, text?, cx.config, &place.field(field));
        sound &= read.is_some();
        read
    };
    let diameter = size("diameter", Some(&raw.diameter), "diameter", out);
    let pitch = size("pitch", raw.pitch.as_ref(), "pitch", out);
    let row_spacing = size("row spacing", raw.row_spacing.as_ref(), "row_spacing", out);
    let edge = size("edge distance", raw.edge.as_ref(), "edge", out);
    let across = size("width", raw.across.as_ref(), "across", out);
    let rows = raw.rows.unwrap_or(1);
    let no_rivet = matches!(raw.number, Some(RivetNumber::PerRow(0) | RivetNumber::InAll(0)));
    for (none, field, message) in [
        (rows == 0, "rows", format!("the rivets of the splice `{point}` stand in no row")),
        (no_rivet, "number", format!("of the rivets of the splice `{point}` there is none")),
    ] {
        if none {
            out.add(
                Finding::new(codes::NO_RIVETS, message, place.field(field), "none")
                    .help("give what the drawing shows, or leave the rivets out"),
            );
            sound = false;
        }
    }
    let (Some(diameter), true) = (diameter, sound) else { return None };
    Some(Rivets {
        place,
        of: raw.of.clone(),
        diameter,
        kind: raw.kind.clone(),
        rows,
        number: raw.number,
        pitch,
        row_spacing,
        edge,
        across,
        sheet: raw.sheet.clone(),
        reduced: raw.reduced,
    })
}

/// The joints of the skin, by name.
pub(super) fn skin_joints(cx: &Context, out: &mut Findings) -> Vec<SkinJoint> {
    let written = cx.records.skin_joints.iter();
    let named = written.map(|(record, raw)| (raw.name.clone(), record.field("name"), (*record, *raw)));
    let named = Listed::collect("skin joint", codes::NAME_USED_TWICE, codes::NAME_USED_TWICE, named, out);
    let mut joints = Vec::new();
    for (name, _, (record, raw)) in named.iter() {
        let clock = out.read(clock_angle(&raw.clock), &record.field("clock"));
        let from = out.length(&raw.from, cx.config, &record.field("from"));
        let to = out.length(&raw.to, cx.config, &record.field("to"));
        let when = conditions::optional(cx, raw.when.as_ref(), &record.field("when"), out);
        if let (Some(clock_deg), Some(from), Some(to), Some(when)) = (clock, from, to, when) {
            let stations = if from.picometres <= to.picometres { [from, to] } else { [to, from] };
            let (name, text) = (name.to_owned(), raw.clock.clone());
            joints.push(SkinJoint { record: *record, name, text, clock_deg, stations, when });
        }
    }
    joints
}
