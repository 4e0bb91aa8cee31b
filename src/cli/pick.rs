//! From what a person wrote to what the dossiers name.

use super::Trouble;
use super::args::Which;
use crate::answers::{At, Picked, WhySubject, what};
use crate::bill::BillScope;
use crate::ids::{AirframeId, FrameId, Id, JigId, ModId, PartId, PlateId, PositionId, Table};
use crate::lower::{listed, nearest};
use crate::model::{Loss, Marks, Model};
use crate::quantity::{Day, Window};
use crate::resolve::Target;
use crate::shop::{building_to, not_read_of_building_to};
use crate::source::Sources;

/// The entry of a table that a person names, whatever the case of its letters.
fn find<I: Id, T>(table: &Table<I, T>, text: &str) -> Option<I> {
    table.id(text).or_else(|| table.iter().find(|(_, name, _)| name.eq_ignore_ascii_case(text)).map(|(id, ..)| id))
}

/// What names are looked up in, and where what was not read is written.
#[derive(Clone, Copy)]
pub(super) struct Book<'a> {
    pub(super) model: &'a Model,
    pub(super) sources: &'a Sources,
}

impl Book<'_> {
    /// What was not read, by file and line.
    fn places(self, marks: &Marks) -> String {
        let losses = &self.model.losses;
        let lost = marks.iter().map(|id| {
            let loss = losses.get(*id);
            format!("{}: {}", At::of(&loss.mend, self.sources), what(loss))
        });
        lost.collect::<Vec<_>>().join("; ")
    }

    /// Says that a question cannot be put because something was not read.
    pub(super) fn not_read(self, message: &str, marks: &Marks) -> Trouble {
        let message = format!("{message}: not read, {}", self.places(marks));
        Trouble::stops_work(message).help("correct these lines; `modstate check` says what is wrong with them")
    }

    /// Says that a name is not known: that it was not read, if that may be; else with the ones that may be meant or the
    /// ones that there are. `kinds` are the kinds of record that may bear it.
    pub(super) fn unknown<'n>(
        self,
        kind: &str,
        kinds: &[&str],
        text: &str,
        names: impl Iterator<Item = &'n str>,
    ) -> Trouble {
        let bears = |mentions: &crate::source::Mentions| {
            mentions.name(text) || mentions.iter().any(|word| word.eq_ignore_ascii_case(text))
        };
        let losses = &self.model.losses;
        let mut marks = losses.marks(|loss| bears(&loss.mentions));
        if marks.is_empty() {
            marks = losses.marks(|loss| loss.whole && kinds.iter().any(|kind| loss.may_be(kind)));
        }
        if !marks.is_empty() {
            return self.not_read(&format!("`{text}` is not known as {kind}"), &marks);
        }
        let names: Vec<&str> = names.collect();
        let trouble = Trouble::new(format!("no {kind} is called `{text}`"));
        match nearest(text, names.iter().copied()) {
            Some(near) => trouble.help(format!("did you mean `{near}`?")),
            None if names.len() <= 12 => trouble.help(format!("there are {}", listed(names, "and"))),
            None => trouble,
        }
    }

    /// Says that there is none of a kind: that it was not read, if that may be.
    fn none(self, message: &str, kinds: &[&str]) -> Trouble {
        let whole = |loss: &Loss| loss.whole && kinds.iter().any(|kind| loss.may_be(kind));
        let marks = self.model.losses.marks(|loss| whole(loss) || (loss.is_astray && kinds.contains(&"Airframe")));
        if marks.is_empty() { Trouble::new(message) } else { self.not_read(message, &marks) }
    }
}

/// The airframe asked about: the one named, or the only one.
pub(super) fn airframe(book: Book<'_>, serial: Option<&str>) -> Result<AirframeId, Trouble> {
    let model = book.model;
    match serial {
        Some(text) => find(&model.airframes, text)
            .ok_or_else(|| book.unknown("airframe", &["Airframe"], text, model.airframes.names())),
        None => match model.airframes.len() {
            0 => Err(book.none("the project has no airframe dossier", &["Airframe"])),
            1 if model.losses.of_airframes().is_empty() => Ok(AirframeId::from_index(0)),
            1 => Err(book
                .none("which airframe is meant is not known", &["Airframe"])
                .help(format!("name it: `--airframe {}`", model.airframes.name(AirframeId::from_index(0))))),
            count => Err(Trouble::new(format!("the project has {count} airframes, and none was named"))
                .help(format!("say which: `--airframe`, then {}", listed(model.airframes.names(), "or")))),
        },
    }
}

/// How much of an airframe a bill covers.
pub(super) fn bill_scope(book: Book<'_>, of: Option<&str>) -> Result<BillScope, Trouble> {
    Ok(match of.map(|text| subject(book, text)).transpose()? {
        None => BillScope::Airframe,
        Some(Subject::Frame(frame)) => BillScope::Frame(frame),
        Some(Subject::Position(position)) => BillScope::Position(position),
        Some(Subject::Part(part)) => BillScope::Assembly(part),
    })
}

/// One day.
pub(super) fn day(text: &str) -> Result<Day, Trouble> {
    let window = Window::parse(text).map_err(|why| Trouble::new(why.message).help(why.help))?;
    window
        .day()
        .ok_or_else(|| Trouble::new(format!("`{text}` is not one day")).help("give a day, as in `--on 1951-06-22`"))
}

/// The state asked about: a day or a named build state; else the one that the latest decision builds to; else the only
/// one. Never by the order of names.
pub(super) fn target(book: Book<'_>, airframe: AirframeId, which: &Which) -> Result<(Target, Picked), Trouble> {
    let model = book.model;
    let entry = &model.airframes[airframe];
    let serial = model.airframes.name(airframe);
    if let Some(text) = &which.on {
        return Ok((Target { day: day(text)?, build_state: None }, Picked::Date));
    }
    let states = &entry.build_states;
    let of = |id| Target { day: states[id].date, build_state: Some(id) };
    if let Some(name) = &which.build {
        let kind = format!("build state of `{serial}`");
        let id = find(states, name).ok_or_else(|| book.unknown(&kind, &["BuildState"], name, states.names()))?;
        return Ok((of(id), Picked::Name));
    }
    let unsure = not_read_of_building_to(model, airframe);
    if !unsure.is_empty() {
        let message = format!("which state of `{serial}` is meant is not known");
        return Err(book.not_read(&message, &unsure).help("say which: `--build NAME` or `--on 1951-06-22`"));
    }
    if let Some((state, by)) = building_to(model, airframe) {
        let picked = by.map_or(Picked::Only, |by| Picked::Decided(model.decisions[by].number));
        return Ok((of(state), picked));
    }
    if states.is_empty() {
        let message = format!("`{serial}` has no named build state");
        let help = "say which day is meant, as in `--on 1951-06-22`, or add a `BuildState` record";
        return Err(Trouble::new(message).help(help));
    }
    let message =
        format!("`{serial}` has {} build states, no decision builds to one of them, and none was named", states.len());
    Err(Trouble::new(message).help(format!("say which: `--build`, then {}", listed(states.names(), "or"))))
}

/// What `variant` is asked about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Subject {
    Frame(FrameId),
    Position(PositionId),
    Part(PartId),
}

/// A frame, a position or a part.
pub(super) fn subject(book: Book<'_>, text: &str) -> Result<Subject, Trouble> {
    let model = book.model;
    let found = find(&model.frames, text).map(Subject::Frame);
    let found = found.or_else(|| find(&model.positions, text).map(Subject::Position));
    let found = found.or_else(|| find(&model.parts, text).map(Subject::Part));
    found.ok_or_else(|| {
        if let Some(m) = mods(book, text).ok().and_then(|mods| mods.first().copied()) {
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
        book.unknown("frame, position or part", &["Frame", "Assembly", "Part"], text, names)
    })
}

/// One part number.
pub(super) fn part(book: Book<'_>, text: &str) -> Result<PartId, Trouble> {
    let model = book.model;
    find(&model.parts, text).ok_or_else(|| book.unknown("part", &["Part"], text, model.parts.names()))
}

/// The modifications that a number names: one, or all its parts.
pub(super) fn mods(book: Book<'_>, text: &str) -> Result<Vec<ModId>, Trouble> {
    let model = book.model;
    if let Some(m) = find(&model.mods, text) {
        return Ok(vec![m]);
    }
    let whole = model.mods_with_parts.iter().find(|(name, _)| name.eq_ignore_ascii_case(text));
    whole
        .map(|(_, parts)| parts.clone())
        .ok_or_else(|| book.unknown("modification", &["Modification"], text, model.mods.names()))
}

/// One plate definition.
pub(super) fn plate(book: Book<'_>, text: &str) -> Result<PlateId, Trouble> {
    let model = book.model;
    if let Some(plate) = find(&model.plates, text) {
        return Ok(plate);
    }
    let trouble = book.unknown("plate", &["Plate", "Jig"], text, model.plates.names());
    let mounted = model.jigs.iter().flat_map(|(_, _, jig)| &jig.mounted).find(|plate| plate.mark == text);
    Err(match mounted.and_then(|plate| plate.made_to) {
        Some(made_to) => trouble.help(format!(
            "`{text}` is the mark of a plate that was made to `{}`; name the plate drawing that is to be cut",
            model.plates.name(made_to)
        )),
        None => trouble,
    })
}

/// What `why` is asked about.
pub(super) fn why_subject(book: Book<'_>, text: &str) -> Result<crate::answers::WhySubject, Trouble> {
    let model = book.model;
    if let Ok(mods) = mods(book, text) {
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
            format!(", or `modstate why {}` for the plate drawing that it was made to", model.plates.name(plate))
        });
        return Err(Trouble::new(format!("`{text}` is a plate on jig `{jig}`; `why` is of a plate drawing"))
            .help(format!("ask `modstate jig {jig}` for its verdict{definition}")));
    }
    let names = model.mods.names().chain(model.positions.names()).chain(model.plates.names());
    Err(book.unknown("modification, position or plate", &["Modification", "Assembly", "Plate"], text, names))
}

/// The jigs asked about: the one named, or all.
pub(super) fn jigs(book: Book<'_>, name: Option<&str>) -> Result<Vec<JigId>, Trouble> {
    let model = book.model;
    match name {
        Some(text) => find(&model.jigs, text)
            .map(|jig| vec![jig])
            .ok_or_else(|| book.unknown("jig", &["Jig"], text, model.jigs.names())),
        None if model.jigs.is_empty() => Err(book.none("the project has no jig", &["Jig"])),
        None => Ok(model.jigs.ids().collect()),
    }
}

/// Refuses to guess the state of a jig that is set for none, if what it is set for was not read.
pub(super) fn jig_set_for(book: Book<'_>, jig: JigId) -> Result<(), Trouble> {
    let marks = book.model.losses.of_jig(jig);
    if marks.is_empty() {
        return Ok(());
    }
    let message = format!("which state the jig `{}` is set for is not known", book.model.jigs.name(jig));
    Err(book.not_read(&message, &marks).help("say which: `--airframe`, with `--build NAME` or `--on 1951-06-22`"))
}

/// The surveys asked about (indices): the one named, or all.
pub(super) fn surveys(book: Book<'_>, name: Option<&str>) -> Result<Vec<usize>, Trouble> {
    let model = book.model;
    let names = || model.surveys.iter().map(|survey| survey.id.as_str());
    match name {
        Some(text) => {
            let found = names().position(|id| id.eq_ignore_ascii_case(text));
            found.map(|survey| vec![survey]).ok_or_else(|| book.unknown("survey", &["Survey"], text, names()))
        }
        None if model.surveys.is_empty() => Err(book.none("the project has no survey", &["Survey"])),
        None => Ok((0..model.surveys.len()).collect()),
    }
}
