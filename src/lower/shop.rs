//! The shop: jigs and the plates on them.

use super::Context;
use super::names::Listed;
use super::say::{Findings, UNREAD, listed, nearest};
use crate::codes::Code;
use crate::finding::{Finding, Place, RecordRef};
use crate::ids::{AirframeId, BuildStateId, JigId, Table};
use crate::model::{Accepted, Jig, MeantFor, Model, MountedPlate, SetFor};
use crate::{codes, schema};

pub(super) fn jigs(cx: &Context, model: &Model, out: &mut Findings) -> Table<JigId, Jig> {
    let mut table = Table::default();
    for (name, _, (record, raw)) in cx.names.jigs.iter() {
        let frame = cx.names.frames.find(&raw.frame, &record.field("frame"), out);
        let frame = frame.and_then(|_| out.taken(model.frames.id(&raw.frame), &record.field("frame")));
        let mounted = mounted(cx, model, *record, raw, out);
        if let Some(frame) = frame {
            let set_for = raw.set_for.as_ref().map(|to| {
                let state = set_for(cx, model, to, &record.field("set_for"), out).map(|(_, state)| state);
                SetFor { airframe: meant_for(model, &to.airframe), state }
            });
            let expansion = out.expansion(raw.expansion.as_ref(), &record.field("expansion"));
            let jig = Jig { record: *record, frame, stations: raw.stations.clone(), set_for, expansion, mounted };
            table.insert(name, jig).expect("listed names are unique");
        }
    }
    table
}

/// The findings that the workshop accepts.
pub(super) fn accepted(cx: &Context, out: &mut Findings) -> Vec<Accepted> {
    let mut accepted = Vec::new();
    for (record, raw) in &cx.records.accepted {
        let date = out.window(&raw.date, &record.field("date"));
        let code = Code::find(&raw.finding);
        if code.is_none() {
            let names = || codes::all().map(|code| code.entry().code);
            let near = nearest(&raw.finding, names()).map(|near| format!("write `{near}` if that is meant; "));
            let message = format!("there is no kind of finding `{}`", raw.finding);
            out.add(Finding::new(codes::UNKNOWN_FINDING, message, record.field("finding"), "not known").help(format!(
                "{}write the code as `modstate check` prints it, as in `record-215`",
                near.unwrap_or_default()
            )));
        }
        if let (Some(code), Some(date)) = (code, date) {
            let (facts, by, because) = (raw.facts.clone(), raw.by.clone(), raw.because.clone());
            accepted.push(Accepted { record: *record, code, facts, by, date, because });
        }
    }
    accepted
}

/// The airframe that a record of the shop names; what is wrong with the name is reported elsewhere.
pub(super) fn meant_for(model: &Model, serial: &str) -> MeantFor {
    model.airframes.id(serial).map_or_else(|| MeantFor::Lost(serial.to_owned()), MeantFor::Airframe)
}

pub(super) fn set_for(
    cx: &Context,
    model: &Model,
    raw: &schema::SetFor,
    place: &Place,
    out: &mut Findings,
) -> Option<(AirframeId, BuildStateId)> {
    cx.names.airframes.find(&raw.airframe, &place.field("airframe"), out)?;
    let id = out.taken_by_name(model.airframes.id(&raw.airframe), &raw.airframe, place)?;
    let states = &model.airframes[id].build_states;
    let state = states.id(&raw.build_state);
    if state.is_none() {
        out.leave_out_for(&raw.build_state, place.field("build_state"));
    }
    let written = cx.records.build_states.iter().any(|(_, state)| {
        let astray = || cx.names.airframes.index(&state.airframe).is_none();
        state.name == raw.build_state && (state.airframe == raw.airframe || astray())
    });
    if state.is_none() && !written && !cx.lost.may_bear(&["BuildState"], &raw.build_state) {
        let message = format!("`{}` has no build state `{}`", raw.airframe, raw.build_state);
        let help = match nearest(&raw.build_state, states.names()) {
            Some(near) => format!("write `{near}` if that is meant; otherwise add the build state"),
            None => format!("name one of the build states of `{}`: {}", raw.airframe, listed(states.names(), "and")),
        };
        let unread = if cx.lost.may_be("BuildState") { UNREAD } else { "" };
        let help = format!("{help}{unread}");
        out.add(Finding::new(codes::UNKNOWN_BUILD_STATE, message, place.field("build_state"), "not known").help(help));
    }
    Some((id, state?))
}

fn mounted(cx: &Context, model: &Model, record: RecordRef, raw: &schema::Jig, out: &mut Findings) -> Vec<MountedPlate> {
    let stations = raw.stations.iter().enumerate();
    let stations = stations.map(|(i, station)| (station.clone(), record.field("stations").item(i), i));
    let stations = Listed::collect("jig station", codes::UNKNOWN_STATION, codes::NAME_USED_TWICE, stations, out)
        .beside(cx.lost, &["Jig"]);
    let marks = marks(record, raw, out);
    let mut plates: Vec<MountedPlate> = Vec::new();
    for (index, plate) in raw.mounted.iter().enumerate() {
        let place = record.field("mounted").item(index);
        let station = stations.find(&plate.station, &place.field("station"), out).map(|at| stations.get(at).1);
        let made_to = plate.made_to.as_ref().and_then(|number| {
            cx.names.plates.find(number, &place.field("made_to"), out)?;
            out.taken(model.plates.id(number), &place.field("made_to"))
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
pub(super) fn marks(record: RecordRef, raw: &schema::Jig, out: &mut Findings) -> Listed<usize> {
    let marks = raw.mounted.iter().enumerate();
    let marks = marks.map(|(i, plate)| (plate.mark.clone(), record.field("mounted").item(i).field("mark"), i));
    Listed::collect("plate mark", codes::UNKNOWN_MARK, codes::NAME_USED_TWICE, marks, out)
}
