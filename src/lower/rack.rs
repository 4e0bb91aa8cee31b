//! Parts made and reclaimed, concessions and deviation permits, forming tools.

use super::names::Listed;
use super::say::{Findings, listed, nearest};
use super::shop::{meant_for, set_for};
use super::structure::{quantity, unknown_issue};
use super::surveys::{WrittenName, mounted_plate};
use super::tables::beside_own;
use super::{Context, blocks};
use crate::finding::{Finding, Place, RecordRef};
use crate::ids::{AirframeId, Id, PartId, PositionId};
use crate::model::{Deviation, FormedOn, FormingPlace, FormingTool, MadePart, Model, Reclaimed, StageDone};
use crate::quantity::Serial;
use crate::quantity::order::natural;
use crate::schema::Hand;
use crate::{codes, schema};
use indexmap::IndexMap;
use std::collections::BTreeSet;

pub(super) fn lower(cx: &Context, model: &mut Model, out: &mut Findings) {
    model.deviations = deviations(cx, model, out);
    model.tools = tools(cx, model, out);
    model.made_parts = made_parts(cx, model, out);
}

fn made_parts(cx: &Context, model: &Model, out: &mut Findings) -> Vec<MadePart> {
    let mut made: Vec<MadePart> = Vec::new();
    // The faults in the tools' own marks have their findings already.
    let tools = tool_marks(cx, &mut Findings::default()).beside(cx.lost, &["FormingTool"]);
    for (record, raw) in &cx.records.made_parts {
        let quantity = quantity(Some(raw.quantity), &raw.part, &record.field("quantity"), out);
        let work = work(cx, *record, raw, out);
        let stage = match &raw.stage {
            Some(stage) => self::stage(cx, stage, &record.field("stage"), out),
            None => work.iter().map(|done| done.stage).max(),
        };
        let formed_on = formed_on(cx, model, &tools, *record, raw, out);
        let made_for = raw.made_for.as_ref().map(|serial| {
            airframe(cx, model, serial, &record.field("made_for"), out);
            meant_for(model, serial)
        });
        let day = raw.made.as_ref().map(|text| out.window(text, &record.field("made")));
        let under = under(cx, *record, raw, out);
        let reclaimed = raw.reclaimed_from.as_ref().map(|serial| self::reclaimed(cx, model, *record, raw, serial, out));
        let Some(part) = cx.names.part(&raw.part, &record.field("part"), out) else { continue };
        let issue = raw.issue.as_ref().map(|issue| self::issue(cx, model, *record, part, issue, out));
        hand_marked(model, *record, part, raw.hand, out);
        // What is left out of a part's record must not make it fit: without it, the part is left out.
        let (Some(quantity), None | Some(Some(_))) = (quantity, issue) else { continue };
        let (None | Some(Some(_)), None | Some(Some(_)), Some(under)) = (&day, &reclaimed, under) else { continue };
        made.push(MadePart {
            record: *record,
            part,
            issue: issue.flatten(),
            quantity,
            hand: raw.hand,
            marks: raw.marks.clone(),
            stage,
            work,
            made_for,
            made: day.flatten(),
            material_batch: raw.material_batch.clone(),
            certificate: raw.certificate.clone(),
            batch: raw.batch.clone(),
            formed_on,
            under,
            reclaimed: reclaimed.flatten(),
        });
    }
    made.sort_by(|a, b| (a.part, a.issue, &a.marks, a.record).cmp(&(b.part, b.issue, &b.marks, b.record)));
    made
}

/// The stages that were done.
fn work(cx: &Context, record: RecordRef, raw: &schema::MadePart, out: &mut Findings) -> Vec<StageDone> {
    let list = record.field("work");
    let mut done = Vec::new();
    for (index, written) in raw.work.iter().enumerate() {
        let place = list.item(index);
        let stage = stage(cx, &written.stage, &place.field("stage"), out);
        let date = out.optional_window(written.date.as_ref(), &place.field("date"));
        let inspected = out.optional_window(written.inspected.as_ref(), &place.field("inspected"));
        if let Some(stage) = stage {
            let (by, inspected_by) = (written.by.clone(), written.inspected_by.clone());
            done.push(StageDone { place, stage, by, date, inspected_by, inspected });
        }
    }
    done
}

/// What a part was formed on.
fn formed_on(
    cx: &Context,
    model: &Model,
    tools: &ToolMarks<'_>,
    record: RecordRef,
    raw: &schema::MadePart,
    out: &mut Findings,
) -> Vec<FormedOn> {
    let list = record.field("formed_on");
    let mut formed = Vec::new();
    for (index, written) in raw.formed_on.iter().enumerate() {
        let place = list.item(index);
        let (on, date) = match written {
            schema::FormedOn::Plate(jig, mark, date) => {
                let mounted = mounted_plate(
                    cx,
                    model,
                    &WrittenName { text: jig, at: place.item(0) },
                    &WrittenName { text: mark, at: place.item(1) },
                    out,
                );
                (mounted.map(|(jig, at)| FormingPlace::Plate(jig, at)), out.window(date, &place.item(2)))
            }
            schema::FormedOn::Tool(mark, date) => {
                let taken = tools.find(mark, &place.item(0), out).and_then(|_| {
                    let at = model.tools.iter().position(|tool| tool.mark == *mark);
                    out.taken(at, &place.item(0))
                });
                (taken.map(FormingPlace::Tool), out.window(date, &place.item(1)))
            }
        };
        if let (Some(on), Some(date)) = (on, date) {
            formed.push(FormedOn { place, on, date });
        }
    }
    formed
}

fn stage(cx: &Context, stage: &str, place: &Place, out: &mut Findings) -> Option<usize> {
    let Some(table) = cx.config.stages.known() else {
        out.leave_out_by("StagesOfWork", place.clone());
        return None;
    };
    let stages = &table.names;
    let found = stages.iter().position(|name| name == stage);
    if found.is_none() {
        let names = || stages.iter().map(String::as_str);
        let near = nearest(stage, names()).map(|near| format!("write `{near}` if that is meant; "));
        let help = format!("{}the stages are {}", near.unwrap_or_default(), listed(names(), "and"));
        let message = format!("there is no stage of work `{stage}`");
        let finding = Finding::new(codes::UNKNOWN_STAGE, message, place.clone(), "not a stage").help(help);
        out.add(beside_own(finding, table.record.map(|record| record.field("stages")), "the shop's own stages"));
    }
    found
}

fn airframe(cx: &Context, model: &Model, serial: &str, place: &Place, out: &mut Findings) -> Option<AirframeId> {
    cx.names.airframes.find(serial, place, out)?;
    out.taken_by_name(model.airframes.id(serial), serial, place)
}

/// The references of permissions that a part was made under; `None` if one of them is not known.
fn under(cx: &Context, record: RecordRef, raw: &schema::MadePart, out: &mut Findings) -> Option<Vec<String>> {
    let list = record.field("under");
    out.named_twice(raw.under.iter().enumerate().map(|(i, text)| (text.as_str(), list.item(i))));
    let known: IndexMap<&str, Place> = (cx.records.deviations.iter())
        .map(|(at, _, deviation)| (deviation.reference.as_str(), at.field("reference")))
        .collect();
    let mut all_known = true;
    for (index, reference) in raw.under.iter().enumerate() {
        if !known.contains_key(reference.as_str()) {
            let near = nearest(reference, known.keys().copied()).map(|near| (near, &known[near]));
            let noun = "concession or deviation permit";
            if cx.lost.may_bear(&["Concession", "DeviationPermit"], reference) {
                out.leave_out(list.item(index));
            } else {
                out.unknown(codes::UNKNOWN_DEVIATION, noun, reference, &list.item(index), near.as_slice(), cx.lost);
            }
            all_known = false;
        }
    }
    all_known.then(|| raw.under.clone())
}

fn reclaimed(
    cx: &Context,
    model: &Model,
    record: RecordRef,
    raw: &schema::MadePart,
    serial: &str,
    out: &mut Findings,
) -> Option<Reclaimed> {
    let place = record.field("reclaimed_from");
    let known = out.read(Serial::parse(serial), &place).and_then(|serial| cx.known.block(&serial, &place, out));
    let position = raw.taken_from.as_ref().map(|name| position(cx, model, name, &record.field("taken_from"), out));
    let taken = raw.taken.as_ref().map(|text| out.window(text, &record.field("taken")));
    let (Some(_), None | Some(Some(_)), None | Some(Some(_))) = (known, &position, &taken) else { return None };
    Some(Reclaimed {
        serial: serial.to_owned(),
        airframe: model.airframes.id(serial),
        position: position.flatten(),
        taken: taken.flatten().and_then(|window| window.end),
    })
}

fn position(cx: &Context, model: &Model, name: &str, place: &Place, out: &mut Findings) -> Option<PositionId> {
    cx.names.positions.find(name, place, out)?;
    out.taken(model.positions.id(name), place)
}

fn issue(
    cx: &Context,
    model: &Model,
    record: RecordRef,
    part: PartId,
    issue: &str,
    out: &mut Findings,
) -> Option<usize> {
    let place = record.field("issue");
    let (_, Some((part_record, raw))) = cx.names.parts.get(part.index()) else {
        out.leave_out_for(model.parts.name(part), place);
        return None;
    };
    if raw.drawing.is_none() {
        let message = format!("the issue `{issue}` is named, but `{}` has no drawing", raw.number);
        out.add(
            Finding::new(codes::ISSUE_WITHOUT_DRAWING, message, place, "of which drawing?")
                .label(part_record.place(), "no `drawing` here")
                .help("name the drawing in the `Part` record"),
        );
        return None;
    }
    let Some(drawing) = model.parts[part].drawing else {
        out.leave_out(place);
        return None;
    };
    let register = &model.drawings[drawing];
    let found = register.issues.iter().position(|other| other.issue == issue);
    let (_, (_, written)) = cx.names.drawings.get(cx.names.drawings.index(model.drawings.name(drawing))?);
    if found.is_none() {
        if written.issues.iter().any(|other| other.issue == issue) {
            out.leave_out(place);
        } else {
            out.add(unknown_issue(model.drawings.name(drawing), issue, place, register.record, &register.issues));
        }
    }
    found
}

fn hand_marked(model: &Model, record: RecordRef, part: PartId, hand: Option<Hand>, out: &mut Findings) {
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
        .label(model.parts[part].place.field("hand"), format!("`{number}` is for {}", side(known)));
    out.add(match model.parts[part].opposite {
        Some(opposite) => {
            let opposite = model.parts.name(opposite);
            finding.help(format!("look at the part: it may be its opposite hand, `{opposite}`"))
        }
        None => finding.help("look at the part, and correct the mark or the part number"),
    });
}

fn deviations(cx: &Context, model: &Model, out: &mut Findings) -> Vec<Deviation> {
    let mut deviations: Vec<Deviation> = Vec::new();
    for (record, permit, raw) in &cx.records.deviations {
        let part = cx.names.part(&raw.part, &record.field("part"), out);
        let date = out.window(&raw.date, &record.field("date"));
        let expires = raw.expires.as_ref().map(|text| out.window(text, &record.field("expires")));
        let place = record.field("position");
        let position = raw.position.as_ref().map(|name| position(cx, model, name, &place, out));
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
        let (None | Some(Some(_))) = &position else { continue };
        if let (Some(part), Some(date)) = (part, date) {
            deviations.push(Deviation {
                record: *record,
                permit: *permit,
                reference: raw.reference.clone(),
                part,
                position: position.flatten(),
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

type ToolMarks<'a> = Listed<(RecordRef, &'a schema::FormingTool)>;

/// The marks of the forming tools, each with its record.
fn tool_marks<'a>(cx: &'a Context<'_>, out: &mut Findings) -> ToolMarks<'a> {
    let items = cx.records.tools.iter().map(|(at, raw)| (raw.mark.clone(), at.field("mark"), (*at, *raw)));
    Listed::collect("tool mark", codes::UNKNOWN_MARK, codes::NAME_USED_TWICE, items, out)
}

fn tools(cx: &Context, model: &Model, out: &mut Findings) -> Vec<FormingTool> {
    let marks = tool_marks(cx, out);
    let mut tools = Vec::new();
    for (mark, _, (record, raw)) in marks.iter() {
        let made_to = cx.names.parts(&raw.made_to, &record.field("made_to"), out);
        let issue = match (&raw.issue, made_to.first()) {
            (Some(issue), Some(part)) => Some(self::issue(cx, model, *record, *part, issue, out)),
            (Some(_), None) | (None, _) => None,
        };
        // Without the state that it is kept for, a tool is judged all the same.
        let set_for = raw.set_for.as_ref().and_then(|to| set_for(cx, model, to, &record.field("set_for"), out));
        // One that is named twice is reported, and is no loss.
        let named: BTreeSet<&String> = raw.made_to.iter().collect();
        let whole = made_to.len() == named.len();
        if let (None | Some(Some(_)), true) = (issue, whole) {
            let issue = issue.flatten();
            tools.push(FormingTool { record: *record, mark: mark.to_owned(), kind: raw.kind, made_to, issue, set_for });
        }
    }
    tools
}
