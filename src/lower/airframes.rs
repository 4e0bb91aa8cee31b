//! Airframes, their evidence and their build states.

use super::claims::DossierAmongAll;
use super::dossier::{Dossier, before_built};
use super::names::Listed;
use super::say::Findings;
use super::{Context, claims};
use crate::finding::{Finding, Place, RecordRef};
use crate::ids::{AirframeId, BuildStateId, EvidenceId, Id, ModId, Table};
use crate::model::{Airframe, BuildState, Evidence, Model, PaperPlace};
use crate::quantity::{Serial, Window};
use crate::{codes, schema};

pub(super) fn lower(cx: &Context, model: &Model, out: &mut Findings) -> Table<AirframeId, Airframe> {
    let dossiers = dossiers(cx, out);
    let mut table = Table::default();
    for (index, (serial, _, (record, raw))) in cx.names.airframes.iter().enumerate() {
        if let Some(mut airframe) = airframe(cx, model, *record, raw, out) {
            airframe.evidence = evidence(&dossiers[index], out);
            let own = DossierAmongAll { own: &dossiers[index], all: &dossiers };
            (airframe.claims, airframe.unrecorded) = claims::lower(cx, model, &airframe, own, out);
            airframe.build_states = build_states(cx, &airframe, &dossiers[index].states, out);
            table.insert(serial, airframe).expect("listed names are unique");
        }
    }
    table
}

fn dossiers<'a>(cx: &Context<'a>, out: &mut Findings) -> Vec<Dossier<'a>> {
    let records = &cx.records;
    let evidence = of_airframe(cx, &records.evidence, |raw| &raw.airframe, out);
    let claims = of_airframe(cx, &records.claims, |raw| &raw.airframe, out);
    let assumptions = of_airframe(cx, &records.assumptions, |raw| &raw.airframe, out);
    let states = of_airframe(cx, &records.build_states, |raw| &raw.airframe, out);
    let all = evidence.into_iter().zip(claims).zip(assumptions).zip(states);
    all.map(|(((evidence, claims), assumptions), states)| {
        let items = evidence.into_iter().map(|(at, raw)| (raw.id.clone(), at.field("id"), (at, raw)));
        let evidence = Listed::collect("evidence item", codes::UNKNOWN_EVIDENCE, codes::NAME_USED_TWICE, items, out)
            .beside(cx.lost, &["Evidence"]);
        Dossier { evidence, claims, assumptions, states }
    })
    .collect()
}

type Grouped<'a, T> = Vec<Vec<(RecordRef, &'a T)>>;

/// The records of each airframe; a finding for those of an airframe that is not known.
fn of_airframe<'a, T>(
    cx: &Context,
    records: &[(RecordRef, &'a T)],
    serial: impl Fn(&T) -> &str,
    out: &mut Findings,
) -> Grouped<'a, T> {
    let mut grouped: Grouped<'a, T> = cx.names.airframes.iter().map(|_| Vec::new()).collect();
    for (record, raw) in records {
        if let Some(index) = cx.names.airframes.find(serial(raw), &record.field("airframe"), out) {
            grouped[index].push((*record, *raw));
        }
    }
    grouped
}

fn airframe(
    cx: &Context,
    model: &Model,
    record: RecordRef,
    raw: &schema::Airframe,
    out: &mut Findings,
) -> Option<Airframe> {
    let place = record.field("serial");
    let serial = out.read(Serial::parse(&raw.serial), &place);
    let block = serial.as_ref().and_then(|serial| cx.known.block(serial, &place, out));
    if let (Some(block), Some(model_here)) = (block.map(|block| &model.blocks[block]), &raw.model)
        && let Some(model_there) = block.model.as_ref().filter(|there| *there != model_here)
    {
        let message = format!(
            "`{}` is recorded as model `{model_here}`, but its serial block is of model `{model_there}`",
            raw.serial
        );
        out.add(
            Finding::new(
                codes::MODEL_CONTRADICTS_BLOCK,
                message,
                record.field("model"),
                format!("`{model_here}` here"),
            )
            .label(block.record.field("model"), format!("`{model_there}` here"))
            .help("check the serial and the model against the data plate"),
        );
    }
    let built = built(record, raw, out);
    let delivered = out.optional_window(raw.delivered.as_ref(), &record.field("delivered"));
    if let (Some(built), Some(delivered)) = (&built, &delivered)
        && let (Some(first), Some(last)) = (built.start, delivered.end)
        && last < first
    {
        let message =
            format!("`{}` is delivered `{}`, before it was built `{}`", raw.serial, delivered.text, built.text);
        out.add(
            Finding::new(codes::DELIVERED_BEFORE_BUILT, message, record.field("delivered"), "delivered")
                .label(record.field("built"), "built")
                .help("correct one of the dates"),
        );
    }
    for (index, movement) in raw.movements.iter().enumerate() {
        out.window(&movement.date, &record.field("movements").item(index).field("date"));
    }
    Some(Airframe {
        record,
        serial: serial?,
        block: block?,
        built: built?,
        delivered,
        evidence: Table::default(),
        claims: Table::default(),
        unrecorded: Vec::new(),
        build_states: Table::default(),
    })
}

fn built(record: RecordRef, raw: &schema::Airframe, out: &mut Findings) -> Option<Window> {
    let place = record.field("built");
    let built = out.window(&raw.built, &place)?;
    if built.start.is_none() || built.end.is_none() {
        let message = format!("the build date `{}` of `{}` is open at one end", raw.built, raw.serial);
        out.add(
            Finding::new(codes::BUILT_OPEN, message, place, "open at one end")
                .help("give the window between the days that are certain, as in `1950-06..1951-03`"),
        );
        return None;
    }
    Some(built)
}

fn evidence(dossier: &Dossier, out: &mut Findings) -> Table<EvidenceId, Evidence> {
    let mut table = Table::default();
    for (id, _, (record, raw)) in dossier.evidence.iter() {
        let item = Evidence {
            record: *record,
            kind: raw.kind.clone(),
            reference: raw.reference.clone(),
            date: out.optional_window(raw.date.as_ref(), &record.field("date")),
            kept: raw.kept.clone(),
            shown_in: raw.shown_in.iter().map(shown).collect(),
            grade: raw.grade,
        };
        table.insert(id, item).expect("listed names are unique");
    }
    table
}

fn shown(raw: &schema::PaperPlace) -> PaperPlace {
    PaperPlace { file: Some(raw.file.clone()), page: raw.page.clone(), place: raw.place.clone() }
}

fn build_states(
    cx: &Context,
    airframe: &Airframe,
    records: &[(RecordRef, &schema::BuildState)],
    out: &mut Findings,
) -> Table<BuildStateId, BuildState> {
    let items = records.iter().map(|(at, raw)| (raw.name.clone(), at.field("name"), (*at, *raw)));
    let names = Listed::collect("build state", codes::NAME_USED_TWICE, codes::NAME_USED_TWICE, items, out);
    let mut table = Table::default();
    for (name, _, (record, raw)) in names.iter() {
        let place = record.field("date");
        let window = out.window(&raw.date, &place);
        let early = window.as_ref().is_some_and(|when| before_built(airframe, when, &place, out));
        let date = window.as_ref().and_then(Window::day);
        if window.is_some() && date.is_none() {
            let message = format!("the build state `{name}` is dated `{}`, which is not one day", raw.date);
            out.add(
                Finding::new(codes::STATE_NOT_A_DAY, message, place, "not one day")
                    .help("give a whole date, as in `1951-06-30`"),
            );
        }
        let add = choices(cx, &raw.add, &record.field("add"), out);
        let leave_out = choices(cx, &raw.leave_out, &record.field("leave_out"), out);
        for (added, at, _) in &add {
            if let Some((_, there, _)) = leave_out.iter().find(|(left, ..)| left == added) {
                let modification = cx.names.mods.name(added.index());
                let message = format!("the build state `{name}` both adds and leaves out `{modification}`");
                out.add(
                    Finding::new(codes::ADDED_AND_LEFT_OUT, message, there.clone(), "left out here")
                        .label(at.clone(), "added here")
                        .help("remove one of the two"),
                );
            }
        }
        if let (Some(date), false) = (date, early) {
            let state = BuildState { record: *record, date, add, leave_out };
            table.insert(name, state).expect("listed names are unique");
        }
    }
    table
}

fn choices(cx: &Context, raw: &[schema::Choice], place: &Place, out: &mut Findings) -> Vec<(ModId, Place, String)> {
    out.named_twice(
        raw.iter().enumerate().map(|(i, c)| (c.modification.as_str(), place.item(i).field("modification"))),
    );
    let mut choices: Vec<(ModId, Place, String)> = Vec::new();
    for (index, choice) in raw.iter().enumerate() {
        let place = place.item(index);
        let found = cx.names.modification(&choice.modification, &place.field("modification"), out);
        let found = found.filter(|id| !choices.iter().any(|(other, ..)| other == id));
        choices.extend(found.map(|id| (id, place, choice.reason.clone())));
    }
    choices
}
