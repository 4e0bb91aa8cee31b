//! From what a person wrote to what the dossiers name.

use super::Trouble;
use super::args::Which;
use crate::ids::{AirframeId, FrameId, Id, JigId, ModId, PartId, PlateId, PositionId, Table};
use crate::model::lower::{listed, nearest};
use crate::model::{Day, Model, Window};
use crate::report::Picked;
use crate::resolve::Target;

/// The entry of a table that a person names, whatever the case of its letters.
fn find<I: Id, T>(table: &Table<I, T>, text: &str) -> Option<I> {
    table.id(text).or_else(|| table.iter().find(|(_, name, _)| name.eq_ignore_ascii_case(text)).map(|(id, ..)| id))
}

/// Says that a name is not known, with the one that may be meant or the ones that there are.
pub(super) fn unknown<'a>(kind: &str, text: &str, names: impl Iterator<Item = &'a str>) -> Trouble {
    let names: Vec<&str> = names.collect();
    let trouble = Trouble::new(format!("no {kind} is called `{text}`"));
    match nearest(text, names.iter().copied()) {
        Some(near) => trouble.help(format!("did you mean `{near}`?")),
        None if names.len() <= 12 => trouble.help(format!("there are {}", listed(names, "and"))),
        None => trouble,
    }
}

/// The airframe asked about: the one named, or the only one.
pub(super) fn airframe(model: &Model, serial: Option<&str>) -> Result<AirframeId, Trouble> {
    match serial {
        Some(text) => find(&model.airframes, text).ok_or_else(|| unknown("airframe", text, model.airframes.names())),
        None => match model.airframes.len() {
            0 => Err(Trouble::new("the project has no airframe dossier")),
            1 => Ok(AirframeId::from_index(0)),
            count => Err(Trouble::new(format!("the project has {count} airframes, and none was named"))
                .help(format!("say which: `--airframe`, then {}", listed(model.airframes.names(), "or")))),
        },
    }
}

/// One day.
pub(super) fn day(text: &str) -> Result<Day, Trouble> {
    let window = Window::parse(text).map_err(|why| Trouble::new(why.message).help(why.help))?;
    window
        .day()
        .ok_or_else(|| Trouble::new(format!("`{text}` is not one day")).help("give a day, as in `--on 1951-06-22`"))
}

/// The state asked about: a day, a named build state, or the airframe's first.
pub(super) fn target(model: &Model, airframe: AirframeId, which: &Which) -> Result<(Target, Picked), Trouble> {
    let entry = &model.airframes[airframe];
    let serial = model.airframes.name(airframe);
    if let Some(text) = &which.on {
        return Ok((Target { day: day(text)?, build_state: None }, Picked::Date));
    }
    let states = &entry.build_states;
    let of = |id| Target { day: states[id].date, build_state: Some(id) };
    if let Some(name) = &which.build {
        let id =
            find(states, name).ok_or_else(|| unknown(&format!("build state of `{serial}`"), name, states.names()))?;
        return Ok((of(id), Picked::Name));
    }
    let first = states.ids().next().ok_or_else(|| {
        Trouble::new(format!("`{serial}` has no named build state"))
            .help("say which day is meant, as in `--on 1951-06-22`, or add a `BuildState` record")
    })?;
    Ok((of(first), if states.len() == 1 { Picked::Only } else { Picked::First(states.len()) }))
}

/// What `variant` is asked about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Subject {
    Frame(FrameId),
    Position(PositionId),
    Part(PartId),
}

/// A frame, a position or a part.
pub(super) fn subject(model: &Model, text: &str) -> Result<Subject, Trouble> {
    let found = find(&model.frames, text).map(Subject::Frame);
    let found = found.or_else(|| find(&model.positions, text).map(Subject::Position));
    let found = found.or_else(|| find(&model.parts, text).map(Subject::Part));
    found.ok_or_else(|| {
        if let Some(m) = mods(model, text).ok().and_then(|mods| mods.first().copied()) {
            let name = model.mods.name(m);
            let help = format!("ask `modstate state --mod {text}` or `modstate why {name}`");
            return Trouble::new(format!("`{text}` is a modification; a variant is of a frame, position or part"))
                .help(help);
        }
        if find(&model.plates, text).is_some() {
            let help = format!("ask `modstate why {text}`");
            return Trouble::new(format!("`{text}` is a jig plate; a variant is of a frame, position or part"))
                .help(help);
        }
        let names = model.frames.names().chain(model.positions.names()).chain(model.parts.names());
        unknown("frame, position or part", text, names)
    })
}

/// One part number.
pub(super) fn part(model: &Model, text: &str) -> Result<PartId, Trouble> {
    find(&model.parts, text).ok_or_else(|| unknown("part", text, model.parts.names()))
}

/// The modifications that a number names: one, or all its parts.
pub(super) fn mods(model: &Model, text: &str) -> Result<Vec<ModId>, Trouble> {
    if let Some(m) = find(&model.mods, text) {
        return Ok(vec![m]);
    }
    let whole = model.mods_with_parts.iter().find(|(name, _)| name.eq_ignore_ascii_case(text));
    whole.map(|(_, parts)| parts.clone()).ok_or_else(|| unknown("modification", text, model.mods.names()))
}

/// One plate definition.
pub(super) fn plate(model: &Model, text: &str) -> Result<PlateId, Trouble> {
    if let Some(plate) = find(&model.plates, text) {
        return Ok(plate);
    }
    let trouble = unknown("plate", text, model.plates.names());
    let mounted = model.jigs.iter().flat_map(|(_, _, jig)| &jig.mounted).find(|plate| plate.mark == text);
    Err(match mounted.and_then(|plate| plate.made_to) {
        Some(made_to) => trouble.help(format!(
            "`{text}` is the mark of a plate that was made to `{}`; name the definition that is to be cut",
            model.plates.name(made_to)
        )),
        None => trouble,
    })
}

/// What `why` is asked about.
pub(super) fn why_subject(model: &Model, text: &str) -> Result<crate::report::WhySubject, Trouble> {
    use crate::report::WhySubject;
    if let Ok(mods) = mods(model, text) {
        return match mods[..] {
            [m] => Ok(WhySubject::Modification(m)),
            ref several => Err(Trouble::new(format!("`{text}` has parts, each embodied on its own"))
                .help(format!("name one of {}", listed(several.iter().map(|m| model.mods.name(*m)), "and")))),
        };
    }
    if let Some(position) = find(&model.positions, text) {
        return Ok(WhySubject::Position(position));
    }
    if let Some(plate) = find::<PlateId, _>(&model.plates, text) {
        return Ok(WhySubject::Plate(plate));
    }
    if find(&model.frames, text).is_some() || find(&model.parts, text).is_some() {
        return Err(Trouble::new(format!(
            "`{text}` is a frame or a part; `why` is of a modification, position or plate"
        ))
        .help(format!("ask `modstate variant {text}`")));
    }
    let mounted = model.jigs.iter().find_map(|(_, jig, record)| {
        record.mounted.iter().find(|plate| plate.mark == text).map(|plate| (jig, plate.made_to))
    });
    if let Some((jig, made_to)) = mounted {
        let definition = made_to.map_or_else(String::new, |plate| {
            format!(", or `modstate why {}` for the definition that it was made to", model.plates.name(plate))
        });
        return Err(Trouble::new(format!("`{text}` is a plate on jig `{jig}`; `why` is of a plate definition"))
            .help(format!("ask `modstate jig {jig}` for its verdict{definition}")));
    }
    let names = model.mods.names().chain(model.positions.names()).chain(model.plates.names());
    Err(unknown("modification, position or plate", text, names))
}

/// The jigs asked about: the one named, or all.
pub(super) fn jigs(model: &Model, name: Option<&str>) -> Result<Vec<JigId>, Trouble> {
    match name {
        Some(text) => {
            find(&model.jigs, text).map(|jig| vec![jig]).ok_or_else(|| unknown("jig", text, model.jigs.names()))
        }
        None if model.jigs.is_empty() => Err(Trouble::new("the project has no jig")),
        None => Ok(model.jigs.ids().collect()),
    }
}

/// The surveys asked about (indices): the one named, or all.
pub(super) fn surveys(model: &Model, name: Option<&str>) -> Result<Vec<usize>, Trouble> {
    let names = || model.surveys.iter().map(|survey| survey.id.as_str());
    match name {
        Some(text) => {
            let found = names().position(|id| id.eq_ignore_ascii_case(text));
            found.map(|survey| vec![survey]).ok_or_else(|| unknown("survey", text, names()))
        }
        None if model.surveys.is_empty() => Err(Trouble::new("the project has no survey")),
        None => Ok((0..model.surveys.len()).collect()),
    }
}
