//! Modifications and one-of groups.

use super::names::{Listed, ModName};
use super::say::Findings;
use super::{Context, RecordRef, blocks};
use crate::finding::{Finding, Place};
use crate::ids::{Id, ModId};
use crate::model::{LeafletChange, Model, Modification, OneOf, Production, Retrospective};
use crate::quantity::Window;
use crate::schema::Form;
use crate::{codes, schema};

pub(super) fn lower(cx: &Context, model: &mut Model, out: &mut Findings) {
    for (index, (name, _, found)) in cx.names.mods.iter().enumerate() {
        let modification = modification(cx, model, ModId::from_index(index), name, found, out);
        model.mods.insert(name, modification).expect("listed names are unique");
    }
    model.mods_with_parts =
        cx.names.with_parts.iter().map(|(number, (_, parts))| (number.clone(), parts.clone())).collect();
    model.one_ofs = one_ofs(cx, out);
}

fn modification(
    cx: &Context,
    model: &Model,
    id: ModId,
    name: &str,
    found: &ModName,
    out: &mut Findings,
) -> Modification {
    let ModName { record, whole, part } = *found;
    let place = found.place();
    let named = |field: &'static str, of_whole: &[String], of_part: Option<&Vec<String>>, out: &mut Findings| {
        let mut named = named_mods(cx, id, name, of_whole, &record.field(field), out);
        if let Some(own) = of_part {
            let more = named_mods(cx, id, name, own, &place.field(field), out);
            named.extend(more.into_iter().filter(|(m, _)| !named.iter().any(|(n, _)| n == m)).collect::<Vec<_>>());
        }
        named
    };
    let own = part.map(|(_, part)| part);
    let requires = named("requires", &whole.requires, own.map(|part| &part.requires), out);
    let excludes = named("excludes", &whole.excludes, own.map(|part| &part.excludes), out);
    let supersedes = named("supersedes", &whole.supersedes, own.map(|part| &part.supersedes), out);
    required_and_excluded(cx, name, &requires, &excludes, out);
    if found.production().is_none() && found.retrospective().is_none() {
        let message = format!("`{name}` has neither a production nor a retrospective form");
        out.add(
            Finding::new(codes::NO_FORM, message, place.clone(), "without any form")
                .help("add `production` or `retrospective`, or remove the modification if it was never introduced"),
        );
    }
    let (changes, changes_at) = match own {
        Some(part) if !part.changes.is_empty() => (&part.changes, place.field("changes")),
        _ => (&whole.changes, record.field("changes")),
    };
    Modification {
        title: own.and_then(|part| part.title.as_ref()).unwrap_or(&whole.title).clone(),
        class: whole.class.clone(),
        leaflet: whole.leaflet.clone(),
        requires,
        excludes,
        supersedes,
        production: found
            .production()
            .and_then(|(raw, place)| Some(Production { covers: blocks::covered(cx, raw, &place, out)?, place })),
        retrospective: found.retrospective().and_then(|(raw, place)| retrospective(cx, raw, place, out)),
        changes: self::changes(cx, model, found, changes, &changes_at, out),
        place,
    }
}

fn retrospective(cx: &Context, raw: &schema::Retrospective, place: Place, out: &mut Findings) -> Option<Retrospective> {
    let leaflet_date = out.window(&raw.leaflet_date, &place.field("leaflet_date"));
    let eligible = blocks::eligible(cx, raw, &place, out)?;
    Some(Retrospective { leaflet_date: leaflet_date?, eligible, place })
}

fn named_mods(
    cx: &Context,
    own: ModId,
    own_name: &str,
    names: &[String],
    place: &Place,
    out: &mut Findings,
) -> Vec<(ModId, Place)> {
    out.named_twice(names.iter().enumerate().map(|(i, name)| (name.as_str(), place.item(i))));
    let mut found: Vec<(ModId, Place)> = Vec::new();
    for (index, name) in names.iter().enumerate() {
        let place = place.item(index);
        match cx.names.modification(name, &place, out) {
            Some(id) if id == own => out.add(
                Finding::new(codes::NAMES_ITSELF, format!("`{own_name}` names itself here"), place, "itself")
                    .help("name the other modification, or remove the entry"),
            ),
            Some(id) if !found.iter().any(|(other, _)| *other == id) => found.push((id, place)),
            Some(_) | None => {}
        }
    }
    found
}

fn required_and_excluded(
    cx: &Context,
    name: &str,
    requires: &[(ModId, Place)],
    excludes: &[(ModId, Place)],
    out: &mut Findings,
) {
    for (id, required) in requires {
        if let Some((_, excluded)) = excludes.iter().find(|(other, _)| other == id) {
            let other = cx.names.mods.name(id.index());
            let message = format!("`{name}` both requires and excludes `{other}`, so it could never be embodied");
            out.add(
                Finding::new(codes::REQUIRES_AND_EXCLUDES, message, excluded.clone(), "excluded here")
                    .label(required.clone(), "required here")
                    .help("remove one of the two entries"),
            );
        }
    }
}

fn changes(
    cx: &Context,
    model: &Model,
    found: &ModName,
    raw: &[schema::LeafletChange],
    place: &Place,
    out: &mut Findings,
) -> Vec<LeafletChange> {
    let mut changes = Vec::new();
    for (index, change) in raw.iter().enumerate() {
        let place = place.item(index);
        let position = change.position.as_ref().map(|name| {
            cx.names.positions.find(name, &place.field("position"), out)?;
            out.taken(model.positions.id(name), &place.field("position"))
        });
        let delete = cx.names.parts(&change.delete, &place.field("delete"), out);
        let introduce = cx.names.parts(&change.introduce, &place.field("introduce"), out);
        let both = change.delete.iter().find(|part| change.introduce.contains(part));
        if let Some(part) = both {
            let message = format!("the leaflet entry both deletes and introduces `{part}`");
            out.add(nothing_changed(message, place.field("introduce"), "introduced here"));
        } else if change.delete.is_empty() && change.introduce.is_empty() {
            out.add(nothing_changed("the leaflet entry names no part".into(), place.clone(), "no part"));
        }
        if let Some(form) = missing_form(found, change.form) {
            let message =
                format!("the leaflet entry is for the {form} form, which `{}` does not have", found.whole.number);
            out.add(
                Finding::new(codes::NO_SUCH_FORM, message, place.field("form"), "no such form")
                    .label(found.place(), "the modification")
                    .help(format!("correct the form, or add `{form}` to the modification")),
            );
            continue;
        }
        let found_position = match position {
            Some(None) => continue,
            Some(position) => position,
            None => None,
        };
        if both.is_none() && !(delete.is_empty() && introduce.is_empty()) {
            changes.push(LeafletChange { place, form: change.form, position: found_position, delete, introduce });
        }
    }
    changes
}

fn nothing_changed(message: String, place: Place, label: &str) -> Finding {
    Finding::new(codes::CHANGES_NOTHING, message, place, label).help("copy both lists from the leaflet")
}

fn missing_form(found: &ModName, form: Option<Form>) -> Option<&'static str> {
    match form? {
        Form::Production => found.production().is_none().then_some("production"),
        Form::Retrospective => found.retrospective().is_none().then_some("retrospective"),
    }
}

fn one_ofs(cx: &Context, out: &mut Findings) -> Vec<OneOf> {
    let records = cx.records.one_ofs.iter().map(|(at, raw)| (raw.name.clone(), at.field("name"), (*at, *raw)));
    let groups = Listed::collect("one-of group", codes::NAME_USED_TWICE, codes::NAME_USED_TWICE, records, out);
    let mut lowered = Vec::new();
    for (name, _, (record, raw)) in groups.iter() {
        let place = record.field("modifications");
        out.named_twice(raw.modifications.iter().enumerate().map(|(i, m)| (m.as_str(), place.item(i))));
        let mut members: Vec<ModId> = Vec::new();
        let mut faults = false;
        for (index, member) in raw.modifications.iter().enumerate() {
            match cx.names.modification(member, &place.item(index), out) {
                Some(id) if !members.contains(&id) => members.push(id),
                Some(_) => {}
                None => faults = true,
            }
        }
        if members.len() < 2 && !faults {
            let message = format!("the one-of group `{name}` has fewer than two modifications");
            out.add(
                Finding::new(codes::GROUP_TOO_SMALL, message, place, "no choice")
                    .help("name all modifications of the group, or remove it"),
            );
        }
        let introduced = introduced(*record, raw, out);
        // A group that lost a member would forbid or force more than the dossier says.
        if let (Some(introduced), false, 2..) = (introduced, faults, members.len()) {
            lowered.push(OneOf { record: *record, name: name.to_owned(), members, introduced, exactly: raw.exactly });
        }
    }
    lowered
}

fn introduced(record: RecordRef, raw: &schema::OneOf, out: &mut Findings) -> Option<Window> {
    let place = record.field("introduced");
    let introduced = out.window(&raw.introduced, &place)?;
    if introduced.end.is_none() {
        let message =
            format!("the one-of group `{}` has no last day for its coming in: `{}`", raw.name, raw.introduced);
        out.add(Finding::new(codes::GROUP_OPEN, message, place, "open at its end").help(
            "a group holds from the last day by which it may have come in; give the window between the days that are \
                     certain, as in `1950-06..1951-03`",
        ));
        return None;
    }
    Some(introduced)
}
