//! Jig-plate definitions.

use super::names::Listed;
use super::say::{Findings, listed, nearest};
use super::tables::{beside_own, is_like_a_length};
use super::{Context, outline};
use crate::finding::{Finding, Place, RecordRef};
use crate::ids::{Id, PartId, PlateId, Table};
use crate::model::{Hole, Member, Plate};
use crate::quantity::Length;
use crate::{codes, schema};
use std::collections::BTreeSet;

pub(super) fn lower(cx: &Context, out: &mut Findings) -> Table<PlateId, Plate> {
    let fitted: BTreeSet<_> = cx.names.candidates.iter().flatten().copied().collect();
    let any_unknown = cx.names.has_unknown_candidate.contains(&true);
    let mut table = Table::default();
    for (number, _, (record, raw)) in cx.names.plates.iter() {
        let list = record.field("locates");
        let locates = cx.names.parts(&raw.locates, &list, out);
        if raw.locates.is_empty() {
            let message = format!("the plate `{number}` locates nothing");
            let finding = Finding::new(codes::PLATE_LOCATES_NONE, message, list.clone(), "no part");
            out.add(finding.help("name the parts that it locates"));
        }
        for (index, part) in raw.locates.iter().enumerate() {
            let found = cx.names.parts.index(part).map(PartId::from_index);
            let said = any_unknown || cx.lost.may_name(part);
            if !said && found.is_some_and(|id| !fitted.contains(&id)) {
                let message = format!("the plate `{number}` locates `{part}`, which no position holds");
                out.add(
                    Finding::new(codes::PLATE_PART_NOT_FITTED, message, list.item(index), "a candidate nowhere")
                        .help("correct the part number, or add the part as a candidate at its position"),
                );
            }
        }
        let holes = holes(cx, *record, raw, out);
        if !locates.is_empty() {
            let members = members(*record, raw, &holes, out);
            let outline = outline::lower(cx, *record, raw, &holes, out);
            let thickness = raw.thickness.as_ref();
            let plate = Plate {
                record: *record,
                jig_station: raw.jig_station.clone(),
                title: raw.title.clone(),
                issue: raw.issue.clone(),
                material: raw.material.clone(),
                thickness: thickness
                    .and_then(|text| out.size("thickness", text, cx.config, &record.field("thickness"))),
                stamp: raw.stamp.clone(),
                locates,
                holes,
                members,
                outline,
            };
            table.insert(number, plate).expect("listed names are unique");
        }
    }
    table
}

fn holes(cx: &Context, record: RecordRef, raw: &schema::Plate, out: &mut Findings) -> Vec<Hole> {
    let named = raw
        .holes
        .iter()
        .enumerate()
        .map(|(index, hole)| (hole.hole.clone(), record.field("holes").item(index).field("hole"), index));
    let unique = Listed::collect("hole", codes::NAME_USED_TWICE, codes::NAME_USED_TWICE, named, out);
    let mut holes = Vec::new();
    for (index, hole) in raw.holes.iter().enumerate() {
        let place = record.field("holes").item(index);
        let at = coordinates(cx, &hole.x, &hole.y, hole.z.as_ref(), &place, out);
        let diameter = out.size("diameter", &hole.diameter, cx.config, &place.field("diameter"));
        let tolerance = tolerance(cx, &hole.tolerance, &place.field("tolerance"), out);
        let class = (!is_like_a_length(&hole.tolerance)).then(|| hole.tolerance.clone());
        let smallest = hole.smallest.as_ref();
        let smallest = smallest.and_then(|text| out.size("smallest hole", text, cx.config, &place.field("smallest")));
        let kept = unique.index(&hole.hole).is_some_and(|at| unique.get(at).1 == index);
        if let (Some(at), Some(diameter), Some(tolerance), true) = (at, diameter, tolerance, kept) {
            let (name, datum, treatment) = (hole.hole.clone(), hole.datum, hole.treatment);
            let place = place.clone();
            holes.push(Hole { place, name, at, diameter, tolerance, class, smallest, datum, treatment });
        }
    }
    holes
}

/// The groups of holes that can move as one.
fn members(record: RecordRef, raw: &schema::Plate, holes: &[Hole], out: &mut Findings) -> Vec<Member> {
    let named = raw.members.iter().enumerate();
    let named = named
        .map(|(index, member)| (member.member.clone(), record.field("members").item(index).field("member"), index));
    let unique = Listed::collect("member", codes::NAME_USED_TWICE, codes::NAME_USED_TWICE, named, out);
    let mut members = Vec::new();
    for (index, member) in raw.members.iter().enumerate() {
        let list = record.field("members").item(index).field("holes");
        let mut found: Vec<usize> = Vec::new();
        for (at, name) in member.holes.iter().enumerate() {
            let hole = holes.iter().position(|hole| hole.name == *name);
            match hole {
                Some(hole) if !found.contains(&hole) => found.push(hole),
                // A hole that was left out has its finding.
                None if raw.holes.iter().any(|hole| hole.hole == *name) => out.leave_out(list.item(at)),
                Some(_) | None => {
                    let (word, label) = match hole {
                        Some(_) => ("twice", "again"),
                        None => ("which it does not have", "no such hole"),
                    };
                    let message =
                        format!("the member `{}` of plate `{}` names hole `{name}`, {word}", member.member, raw.number);
                    out.add(
                        Finding::new(codes::MEMBER_HOLE, message, list.item(at), label)
                            .label(record.field("holes"), "the plate's holes")
                            .help("name each hole of the member once, as the plate's list does"),
                    );
                }
            }
        }
        if member.holes.len() < 2 {
            let message = format!("the member `{}` of plate `{}` has fewer than two holes", member.member, raw.number);
            out.add(
                Finding::new(codes::MEMBER_HOLE, message, list, "not a group")
                    .help("name the holes that move with it, or leave the member out: one hole alone is a hole"),
            );
        }
        let kept = unique.index(&member.member).is_some_and(|at| unique.get(at).1 == index);
        if kept && found.len() >= 2 {
            members.push(Member { name: member.member.clone(), holes: found, row: member.row });
        }
    }
    members
}

/// The three coordinates of a hole; out of the plane is 0 where it is left out.
fn coordinates(
    cx: &Context,
    x: &str,
    y: &str,
    z: Option<&String>,
    place: &Place,
    out: &mut Findings,
) -> Option<[Length; 3]> {
    let x = out.length(x, cx.config, &place.field("x"));
    let y = out.length(y, cx.config, &place.field("y"));
    let z = z.map_or(Some(Length::zero()), |z| out.length(z, cx.config, &place.field("z")));
    Some([x?, y?, z?])
}

/// The diameter of a position tolerance zone: a length, or the name of a class.
fn tolerance(cx: &Context, text: &str, place: &Place, out: &mut Findings) -> Option<Length> {
    if is_like_a_length(text) {
        return out.size("position tolerance", text, cx.config, place);
    }
    let Some(table) = cx.config.tolerances.known() else {
        out.leave_out_by("ToleranceClasses", place.clone());
        return None;
    };
    if let Some(zone) = table.get(text) {
        return Some(zone.clone());
    }
    let classes = || table.keys().map(String::as_str);
    let near = nearest(text, classes()).map(|near| format!("write `{near}` if that is meant; "));
    let help = format!(
        "{}the classes are {}; or write the diameter of the zone, as in `0.2mm`",
        near.unwrap_or_default(),
        listed(classes(), "and")
    );
    let message = format!("`{text}` is neither a length nor a tolerance class");
    let finding = Finding::new(codes::UNKNOWN_TOLERANCE, message, place.clone(), "not known").help(help);
    out.add(beside_own(finding, table.record.map(|record| record.field("classes")), "the shop's own classes"));
    None
}
