//! The shop: jigs, surveys, made parts, concessions and deviation permits.

use super::names::Listed;
use super::plates::coordinates;
use super::say::{Findings, listed, nearest};
use super::structure::{quantity, unknown_issue};
use super::{Context, blocks};
use crate::codes;
use crate::finding::{Finding, Place, RecordRef};
use crate::ids::{AirframeId, BuildStateId, Id, JigId, PartId, Table};
use crate::model::order::natural;
use crate::model::{Deviation, Hand, Jig, MadePart, MeasuredHole, Model, MountedPlate, Survey};
use crate::source::raw;

pub(super) fn lower(cx: &Context, model: &mut Model, out: &mut Findings) {
    model.jigs = jigs(cx, model, out);
    model.surveys = surveys(cx, model, out);
    model.made_parts = made_parts(cx, model, out);
    model.deviations = deviations(cx, out);
}

fn jigs(cx: &Context, model: &Model, out: &mut Findings) -> Table<JigId, Jig> {
    let mut table = Table::default();
    for (name, _, (record, raw)) in cx.names.jigs.iter() {
        let frame = cx.names.frames.find(&raw.frame, &record.field("frame"), out);
        let frame = frame.and_then(|_| model.frames.id(&raw.frame));
        let mounted = mounted(cx, model, *record, raw, out);
        if let Some(frame) = frame {
            let set_for = raw.set_for.as_ref().and_then(|to| set_for(cx, model, to, &record.field("set_for"), out));
            let jig = Jig { record: *record, frame, stations: raw.stations.clone(), set_for, mounted };
            table.insert(name, jig).expect("listed names are unique");
        }
    }
    table
}

fn set_for(
    cx: &Context,
    model: &Model,
    raw: &raw::SetFor,
    place: &Place,
    out: &mut Findings,
) -> Option<(AirframeId, BuildStateId)> {
    cx.names.airframes.find(&raw.airframe, &place.field("airframe"), out)?;
    let id = model.airframes.id(&raw.airframe)?;
    let states = &model.airframes[id].build_states;
    let state = states.id(&raw.build_state);
    let written = cx.records.build_states.iter().any(|(_, s)| s.airframe == raw.airframe && s.name == raw.build_state);
    if state.is_none() && !written && !cx.lost.may_name(&raw.build_state) {
        let message = format!("`{}` has no build state `{}`", raw.airframe, raw.build_state);
        let help = match nearest(&raw.build_state, states.names()) {
            Some(near) => format!("write `{near}` if that is meant; otherwise add the build state"),
            None => format!("name one of the build states of `{}`: {}", raw.airframe, listed(states.names(), "and")),
        };
        out.add(Finding::new(codes::UNKNOWN_BUILD_STATE, message, place.field("build_state"), "not known").help(help));
    }
    Some((id, state?))
}

fn mounted(cx: &Context, model: &Model, record: RecordRef, raw: &raw::Jig, out: &mut Findings) -> Vec<MountedPlate> {
    let kind = ("jig station", codes::UNKNOWN_STATION, codes::NAME_USED_TWICE);
    let stations = raw.stations.iter().enumerate();
    let stations = stations.map(|(i, station)| (station.clone(), record.field("stations").item(i), i));
    let stations = Listed::collect(kind, stations, out);
    let marks = marks(record, raw, out);
    let mut plates: Vec<MountedPlate> = Vec::new();
    for (index, plate) in raw.mounted.iter().enumerate() {
        let place = record.field("mounted").item(index);
        let station = stations.find(&plate.station, &place.field("station"), out).map(|at| stations.get(at).1);
        let made_to = plate.made_to.as_ref().and_then(|number| {
            cx.names.plates.find(number, &place.field("made_to"), out)?;
            model.plates.id(number)
        });
        let made = out.optional_window(plate.made.as_ref(), &place.field("made"));
        let reworked = out.optional_window(plate.reworked.as_ref(), &place.field("reworked"));
        let taken = plates.iter().find(|other| Some(other.station) == station);
        if let Some(other) = taken {
            let message =
                format!("the plates `{}` and `{}` are on one station, `{}`", other.mark, plate.mark, plate.station);
            out.add(
                Finding::new(codes::STATION_TAKEN, message, place.field("station"), "this plate")
                    .label(other.place.field("station"), "and this one")
                    .help("look at the jig, and correct the station of one of them"),
            );
        }
        let kept = marks.index(&plate.mark).is_some_and(|at| marks.get(at).1 == index);
        if let (Some(station), true) = (station, kept) {
            plates.push(MountedPlate { place, mark: plate.mark.clone(), station, made_to, made, reworked });
        }
    }
    plates
}

/// The marks of the plates on a jig, whether or not their stations are known.
fn marks(record: RecordRef, raw: &raw::Jig, out: &mut Findings) -> Listed<usize> {
    let marks = raw.mounted.iter().enumerate();
    let marks = marks.map(|(i, plate)| (plate.mark.clone(), record.field("mounted").item(i).field("mark"), i));
    Listed::collect(("plate mark", codes::UNKNOWN_MARK, codes::NAME_USED_TWICE), marks, out)
}

fn surveys(cx: &Context, model: &Model, out: &mut Findings) -> Vec<Survey> {
    let kind = ("survey", codes::NAME_USED_TWICE, codes::NAME_USED_TWICE);
    let items = cx.records.surveys.iter().map(|(at, raw)| (raw.id.clone(), at.field("id"), (*at, *raw)));
    let names = Listed::collect(kind, items, out);
    names.iter().filter_map(|(_, _, (record, raw))| survey(cx, model, *record, raw, out)).collect()
}

fn survey(cx: &Context, model: &Model, record: RecordRef, raw: &raw::Survey, out: &mut Findings) -> Option<Survey> {
    let plate = mounted_plate(cx, model, record, raw, out);
    let date = out.window(&raw.date, &record.field("date"));
    let uncertainty = out.size("uncertainty", &raw.uncertainty, cx.config, &record.field("uncertainty"));
    let temperature = raw.temperature.as_ref().and_then(|text| temperature(text, &record.field("temperature"), out));
    if raw.holes.is_empty() {
        let message = format!("the survey `{}` has no holes", raw.id);
        let finding = Finding::new(codes::NO_HOLES_MEASURED, message, record.field("holes"), "no holes");
        out.add(finding.help("enter the measured holes"));
        return None;
    }
    let holes = measured(cx, record, raw, out);
    let (jig, mounted) = plate?;
    Some(Survey {
        record,
        id: raw.id.clone(),
        jig,
        mounted,
        date: date?,
        instrument: raw.instrument.clone(),
        uncertainty: uncertainty?,
        temperature,
        holes,
    })
}

fn mounted_plate(
    cx: &Context,
    model: &Model,
    record: RecordRef,
    raw: &raw::Survey,
    out: &mut Findings,
) -> Option<(JigId, usize)> {
    let at = cx.names.jigs.find(&raw.jig, &record.field("jig"), out)?;
    let (_, (jig_record, jig)) = cx.names.jigs.get(at);
    // The faults in the jig's own marks have their findings already.
    marks(*jig_record, jig, &mut Findings::default()).find(&raw.mark, &record.field("mark"), out)?;
    let id = model.jigs.id(&raw.jig)?;
    let mounted = model.jigs[id].mounted.iter().position(|plate| plate.mark == raw.mark)?;
    Some((id, mounted))
}

fn measured(cx: &Context, record: RecordRef, raw: &raw::Survey, out: &mut Findings) -> Vec<MeasuredHole> {
    let named =
        raw.holes.iter().enumerate().filter_map(|(index, hole)| {
            Some((hole.hole.clone()?, record.field("holes").item(index).field("hole"), index))
        });
    let unique = Listed::collect(("hole", codes::NAME_USED_TWICE, codes::NAME_USED_TWICE), named, out);
    let mut holes = Vec::new();
    for (index, hole) in raw.holes.iter().enumerate() {
        let place = record.field("holes").item(index);
        let at = coordinates(cx, (&hole.x, &hole.y, hole.z.as_ref()), &place, out);
        let diameter = hole.diameter.as_ref();
        let diameter = diameter.and_then(|text| out.size("diameter", text, cx.config, &place.field("diameter")));
        let named = hole.hole.as_ref();
        let kept = named.is_none_or(|name| unique.index(name).is_some_and(|at| unique.get(at).1 == index));
        if let (Some(at), true) = (at, kept) {
            holes.push(MeasuredHole { name: hole.hole.clone(), at, diameter });
        }
    }
    holes
}

/// Degrees Celsius between what frost and sun make of a workshop.
fn temperature(text: &str, place: &Place, out: &mut Findings) -> Option<f64> {
    let number = text.trim().strip_suffix('C').and_then(|number| number.trim_end().parse::<f64>().ok());
    let found = number.filter(|degrees| (-40.0..=60.0).contains(degrees));
    if found.is_none() {
        let message = format!("`{text}` is not a temperature from -40 to 60 degrees Celsius");
        out.add(
            Finding::new(codes::UNREADABLE_TEMPERATURE, message, place.clone(), "not a temperature")
                .help("write degrees Celsius, as in `18.5C`"),
        );
    }
    found
}

fn made_parts(cx: &Context, model: &Model, out: &mut Findings) -> Vec<MadePart> {
    let mut made: Vec<MadePart> = Vec::new();
    for (record, raw) in &cx.records.made_parts {
        let quantity = quantity(Some(raw.quantity), &raw.part, &record.field("quantity"), out);
        let Some(part) = cx.names.part(&raw.part, &record.field("part"), out) else { continue };
        let issue = raw.issue.as_ref().map(|issue| self::issue(cx, model, *record, (part, issue), out));
        hand_marked(model, *record, (part, raw.hand), out);
        if let (Some(quantity), None | Some(Some(_))) = (quantity, issue) {
            made.push(MadePart {
                record: *record,
                part,
                issue: issue.flatten(),
                quantity,
                hand: raw.hand,
                marks: raw.marks.clone(),
                stage: raw.stage.clone(),
                reclaimed_from: raw.reclaimed_from.clone(),
            });
        }
    }
    made.sort_by(|a, b| (a.part, a.issue, &a.marks, a.record).cmp(&(b.part, b.issue, &b.marks, b.record)));
    made
}

fn issue(
    cx: &Context,
    model: &Model,
    record: RecordRef,
    (part, issue): (PartId, &str),
    out: &mut Findings,
) -> Option<usize> {
    let place = record.field("issue");
    let (_, (part_record, raw)) = cx.names.parts.get(part.index());
    if raw.drawing.is_none() {
        let message = format!("the issue `{issue}` is named, but `{}` has no drawing", raw.number);
        out.add(
            Finding::new(codes::ISSUE_WITHOUT_DRAWING, message, place, "of which drawing?")
                .label(part_record.place(), "no `drawing` here")
                .help("name the drawing in the `Part` record"),
        );
        return None;
    }
    let drawing = model.parts[part].drawing?;
    let register = &model.drawings[drawing];
    let found = register.issues.iter().position(|other| other.issue == issue);
    let (_, (_, written)) = cx.names.drawings.get(cx.names.drawings.index(model.drawings.name(drawing))?);
    if found.is_none() && !written.issues.iter().any(|other| other.issue == issue) {
        out.add(unknown_issue(model.drawings.name(drawing), issue, place, register.record, &register.issues));
    }
    found
}

fn hand_marked(model: &Model, record: RecordRef, (part, hand): (PartId, Option<Hand>), out: &mut Findings) {
    let (Some(marked), Some(known)) = (hand, model.parts[part].hand) else { return };
    if marked == known {
        return;
    }
    let side = |hand| match hand {
        Hand::Port => "port",
        Hand::Starboard => "starboard",
    };
    let number = model.parts.name(part);
    let message = format!("a made part `{number}` is marked {}, but that number is for {}", side(marked), side(known));
    let finding = Finding::new(codes::HAND_CONTRADICTS, message, record.field("hand"), side(marked))
        .label(model.parts[part].record.field("hand"), format!("`{number}` is for {}", side(known)));
    out.add(match model.parts[part].opposite {
        Some(opposite) => {
            let opposite = model.parts.name(opposite);
            finding.help(format!("look at the part: it may be its opposite hand, `{opposite}`"))
        }
        None => finding.help("look at the part, and correct the mark or the part number"),
    });
}

fn deviations(cx: &Context, out: &mut Findings) -> Vec<Deviation> {
    let mut deviations: Vec<Deviation> = Vec::new();
    for (record, permit, raw) in &cx.records.deviations {
        let part = cx.names.part(&raw.part, &record.field("part"), out);
        let date = out.window(&raw.date, &record.field("date"));
        let expires = raw.expires.as_ref().map(|text| out.window(text, &record.field("expires")));
        let quantity = raw.quantity.map(|n| quantity(Some(n), &raw.reference, &record.field("quantity"), out));
        let scope = raw.scope.as_ref().map(|texts| blocks::ranges(cx, texts, &record.field("scope"), out));
        if let (Some(date), Some(Some(expires))) = (&date, &expires)
            && let (Some(first), Some(last)) = (date.start, expires.end)
            && last < first
        {
            let message =
                format!("`{}` expires `{}`, before it was allowed `{}`", raw.reference, expires.text, date.text);
            out.add(
                Finding::new(codes::EXPIRED_BEFORE_ALLOWED, message, record.field("expires"), "expires")
                    .label(record.field("date"), "allowed")
                    .help("correct one of the dates"),
            );
        }
        // A permission whose limit could not be read would allow more than was allowed: it is left out.
        let limits = (expires, quantity, scope);
        let (None | Some(Some(_)), None | Some(Some(_)), None | Some(Some(_))) = &limits else { continue };
        if let (Some(part), Some(date)) = (part, date) {
            deviations.push(Deviation {
                record: *record,
                permit: *permit,
                reference: raw.reference.clone(),
                part,
                deviation: raw.deviation.clone(),
                allowed_by: raw.allowed_by.clone(),
                date,
                quantity: limits.1.flatten(),
                scope: limits.2.flatten(),
                expires: limits.0.flatten(),
            });
        }
    }
    deviations.sort_by(|a, b| natural(&a.reference, &b.reference).then((a.part, a.record).cmp(&(b.part, b.record))));
    deviations
}
