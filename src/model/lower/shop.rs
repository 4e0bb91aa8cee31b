//! The shop: jigs and surveys.

use super::Context;
use super::names::Listed;
use super::plates::coordinates;
use super::say::{Findings, listed, nearest};
use crate::codes;
use crate::finding::{Finding, Place, RecordRef};
use crate::ids::{AirframeId, BuildStateId, JigId, Table};
use crate::model::{Jig, MeasuredHole, Model, MountedPlate, Survey};
use crate::source::raw;

pub(super) fn lower(cx: &Context, model: &mut Model, out: &mut Findings) {
    model.jigs = jigs(cx, model, out);
    model.surveys = surveys(cx, model, out);
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

pub(super) fn set_for(
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
