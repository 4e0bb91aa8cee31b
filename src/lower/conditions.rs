//! Conditions.

use super::say::Findings;
use super::{Context, blocks};
use crate::finding::{Finding, Place};
use crate::ids::{Id, ModId};
use crate::model::Condition;
use crate::schema::Form;
use crate::{codes, schema};

/// A condition; `None` if any part of it is at fault.
pub(super) fn lower(cx: &Context, raw: &schema::Condition, place: &Place, out: &mut Findings) -> Option<Condition> {
    let argument = place.item(0);
    match raw {
        schema::Condition::Post(post) => {
            let (modification, by) = modification_by_form(cx, post, place, out)?;
            Some(Condition::Post(modification, by))
        }
        schema::Condition::Pre(name) => cx.names.modification(name, &argument, out).map(Condition::Pre),
        schema::Condition::Serials(schema::SerialArguments(ranges)) if ranges.is_empty() => {
            out.add(
                Finding::new(codes::UNREADABLE_SERIAL, "`Serials()` names no serial", place.clone(), "no serial")
                    .help("name the serials or ranges, as in `Serials(\"HB101..HB120\")`"),
            );
            None
        }
        schema::Condition::Serials(schema::SerialArguments(ranges)) => {
            blocks::ranges(cx, ranges, place, out).map(Condition::Serials)
        }
        schema::Condition::All(parts) => all(cx, parts, &argument, out).map(Condition::All),
        schema::Condition::Any(parts) => all(cx, parts, &argument, out).map(Condition::Any),
        schema::Condition::Not(part) => lower(cx, part, &argument, out).map(|part| Condition::Not(Box::new(part))),
    }
}

/// A condition that may be left out: then it always holds.
pub(super) fn optional(
    cx: &Context,
    raw: Option<&schema::Condition>,
    place: &Place,
    out: &mut Findings,
) -> Option<Condition> {
    raw.map_or(Some(Condition::ALWAYS), |raw| lower(cx, raw, place, out))
}

/// A modification and a form that it has; `place` is that of the condition or statement around them.
pub(super) fn modification_by_form(
    cx: &Context,
    raw: &schema::PostArguments,
    place: &Place,
    out: &mut Findings,
) -> Option<(ModId, Option<Form>)> {
    let modification = cx.names.modification(&raw.modification, &place.item(0), out)?;
    let (_, name) = cx.names.mods.get(modification.index());
    let (has, form) = match raw.by {
        None => (true, ""),
        Some(Form::Production) => (name.production().is_some(), "production"),
        Some(Form::Retrospective) => (name.retrospective().is_some(), "retrospective"),
    };
    if has {
        return Some((modification, raw.by));
    }
    let message = format!("`{}` has no {form} form", raw.modification);
    out.add(
        Finding::new(codes::NO_SUCH_FORM, message, place.item(1), "no such form")
            .label(name.place(), "the modification")
            .help(format!("name the other form or none, or add `{form}` to `{}`", raw.modification)),
    );
    None
}

fn all(cx: &Context, parts: &[schema::Condition], place: &Place, out: &mut Findings) -> Option<Vec<Condition>> {
    // Every part is read, so that the faults of all are found.
    let read: Vec<Option<Condition>> =
        parts.iter().enumerate().map(|(index, part)| lower(cx, part, &place.item(index), out)).collect();
    read.into_iter().collect()
}
