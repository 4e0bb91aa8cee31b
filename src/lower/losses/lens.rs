//! What of the model a loss may bear on.

use crate::finding::{Place, PlaceStep, RecordRef};
use crate::ids::{AirframeId, Id, ModId, PartId, PositionId, Table};
use crate::lower::Context;
use crate::lower::losses::dossiers::{Dossiers, OF_AIRFRAME};
use crate::lower::losses::name_of;
use crate::lower::near::NameTree;
use crate::lower::say::LeftOutPiece;
use crate::model::{Hit, Loss, Model, Touches};
use crate::schema;
use crate::schema::Record;
use crate::source::{LostText, Mentions, SLIP, may_be_slip};
use std::cell::{OnceCell, RefCell};
use std::collections::{BTreeSet, HashMap};

/// What is looked up to tell what a loss may bear on.
pub(super) struct Lens<'a> {
    pub(super) cx: &'a Context<'a>,
    pub(super) model: &'a Model,
    pub(super) places: HashMap<PartId, Vec<PositionId>>,
    pub(super) dossiers: Dossiers<'a>,
    /// In how many records each text stands.
    pub(super) named: HashMap<String, usize>,
    /// What the records mention that were asked about: a record may have lost many pieces.
    pub(super) said: RefCell<HashMap<RecordRef, Mentions>>,
    pub(super) near: NearTables,
}

/// The names of the tables in which a misspelt one is looked for, made when they are first asked for.
#[derive(Default)]
pub(super) struct NearTables {
    mods: OnceCell<NameTree>,
    parts: OnceCell<NameTree>,
    plates: OnceCell<NameTree>,
    frames: OnceCell<NameTree>,
    drawings: OnceCell<NameTree>,
    jigs: OnceCell<NameTree>,
    airframes: OnceCell<NameTree>,
}

/// The kinds of record that bear on nothing in the model by what they name: a lost one is told by its file and kind, where a
/// list of them is shown or a serial is asked for. A kind that stands nowhere bears on everything.
const BEAR_ON_NO_NAME: [&str; 9] = [
    "Accepted",
    "SerialBlock",
    "Evidence",
    "BuildState",
    "MadePart",
    "Concession",
    "DeviationPermit",
    "FormingTool",
    "Decision",
];

impl Lens<'_> {
    /// What a text that could not be read may bear on.
    pub(super) fn of_text(&self, text: &LostText, by_place: &HashMap<RecordRef, &Record>) -> Loss {
        // In the dossier of one airframe there is nothing else, whatever the word was that began the record.
        let kinds = if text.kinds.is_empty() && self.dossiers.is_of_one(text.place.file().0) {
            BTreeSet::from(OF_AIRFRAME)
        } else {
            text.kinds.clone()
        };
        let any_kind = kinds.is_empty();
        let mut touches = Touches::default();
        for kind in schema::RECORD_KINDS.iter().filter(|kind| any_kind || kinds.contains(*kind)) {
            touches.add(&self.of_kind(kind, &text.mentions));
            if text.is_cut && !schema::TABLE_KINDS.contains(kind) {
                touches.add(&Touches::any_of(kind));
            }
        }
        if any_kind && text.mentions.iter().next().is_none() {
            touches = Touches::anything();
        }
        // The same says when tables are taken in which of them are not known.
        for kind in schema::TABLE_KINDS.iter().filter(|kind| text.may_be_table(kind)) {
            touches.add(&Touches::any_of(kind));
        }
        if !any_kind && kinds.iter().all(|kind| OF_AIRFRAME.contains(kind)) {
            touches.airframes = Some(self.airframes_named(text));
        }
        // Whether what is below a lost assembly is made or comes with it is lost too.
        if kinds.contains("Part") {
            let itself = |part: &&PartId| {
                let entry = &self.model.parts[**part];
                entry.place == text.place && !entry.positions.is_empty()
            };
            touches.below.these.extend(touches.parts.these.iter().filter(itself));
        }
        let part_of = text.part_of.and_then(|at| by_place.get(&at).map(|record| (at, *record)));
        if let Some((at, record)) = part_of {
            touches.add(&self.of_piece(at, record, &[], &LeftOutPiece::silent(at.place())).touches);
            // A block that closes too early may lack its line: then no cut-in by line numbers is found for its serials.
            if matches!(record, Record::SerialBlock(_)) {
                touches.mods = Hit::any();
            }
        }
        let kind = if kinds.len() == 1 { kinds.first().copied() } else { None };
        let (place, mentions) = (text.place.clone(), text.mentions.clone());
        let mend = text.mend.clone().unwrap_or_else(|| place.clone());
        let (name, is_cut) = (text.name.clone(), text.is_cut);
        Loss { mend, kind, name, whole: true, is_cut, kinds, mentions, touches, ..Loss::at(place) }
    }

    /// What a row of measured holes in a file of its own may bear on.
    pub(super) fn of_holes(place: &Place) -> Loss {
        let touches = Touches { surveys: Hit::any(), jigs: Hit::any(), ..Touches::default() };
        let kinds = BTreeSet::from(["Survey"]);
        Loss { kind: Some("Survey"), kinds, touches, ..Loss::at(place.clone()) }
    }

    /// What a piece of a record may bear on that was read but not taken in.
    pub(super) fn of_piece(&self, at: RecordRef, record: &Record, path: &[PlaceStep], piece: &LeftOutPiece) -> Loss {
        let mut said = self.said.borrow_mut();
        let mentions = said.entry(at).or_insert_with(|| Mentions::of(&format!("{record:?}"))).clone();
        drop(said);
        let (kind, name) = (record.kind(), name_of(record));
        let mut touches = self.of_record(record, path, &mentions);
        // What a leaflet lists only says again what the structure says.
        let unknown = piece.unknown.as_ref().filter(|_| !is_in_changes(path));
        if let Some(unknown) = unknown.filter(|unknown| record.airframe() != Some(unknown.as_str())) {
            self.add_unknown(&mut touches, record, unknown);
        }
        if let Some(serial) = record.airframe() {
            touches.airframes = Some(match self.model.airframes.id(serial) {
                Some(id) => Hit::from_iter([id]),
                None => self.airframe_meant(serial, at.file.0),
            });
        }
        // What is made or set for an airframe that is not in the model is made or set for no other.
        if let Some(serial) = meant_for(record, path) {
            touches.airframes = Some(match self.model.airframes.id(serial) {
                Some(id) => Hit::from_iter([id]),
                None => self.airframe_meant(serial, at.file.0),
            });
        }
        let kinds = BTreeSet::from([kind]);
        let is_astray = record.airframe().is_some_and(|serial| self.cx.names.airframes.index(serial).is_none());
        let (kind, name) = (Some(kind), Some(name));
        Loss { kind, name, is_astray, kinds, mentions, touches, ..Loss::at(piece.place.clone()) }
    }

    /// What a record bears on, or the part of it at a path.
    fn of_record(&self, record: &Record, path: &[PlaceStep], mentions: &Mentions) -> Touches {
        let mut touches = Touches::default();
        match record {
            Record::Assembly(raw) => self.of_assembly(&mut touches, raw, path),
            Record::Modification(raw) => {
                if !is_in_changes(path) {
                    touches.mods = self.mods_called(&raw.number);
                    touches.seen = touches.mods.clone();
                }
                if path.is_empty() {
                    touches.add(&self.of_kind("Modification", mentions));
                }
            }
            Record::Part(raw) => {
                touches.parts = self.model.parts.id(&raw.number).into_iter().collect();
                let opposite = raw.opposite_of.as_ref().and_then(|other| self.model.parts.id(other));
                touches.parts.these.extend(opposite);
            }
            Record::Drawing(raw) => touches.drawings = self.drawings_called(&raw.number),
            Record::Frame(raw) => {
                touches.frames = self.model.frames.id(&raw.name).into_iter().collect();
                touches.seen = self.mods_of(mentions);
            }
            Record::Plate(raw) => {
                touches.plates = self.model.plates.id(&raw.number).into_iter().collect();
                touches.located = self.parts_in(mentions);
                touches.seen = self.mods_of(mentions);
            }
            Record::Jig(raw) => touches.jigs = self.model.jigs.id(&raw.name).into_iter().collect(),
            Record::Survey(raw) => {
                let surveys = self.model.surveys.iter().enumerate();
                touches.surveys = surveys.filter(|(_, survey)| survey.id == raw.id).map(|(at, _)| at).collect();
                touches.jigs = self.model.jigs.id(&raw.jig).into_iter().collect();
            }
            // Of one that was not taken in at all no answer is asked.
            Record::BuildState(_) if !path.is_empty() => touches.mods = self.mods_of(mentions),
            Record::Type(_)
            | Record::SerialBlock(_)
            | Record::OneOf(_)
            | Record::SkinJoint(_)
            | Record::Airframe(_)
            | Record::Evidence(_)
            | Record::Claim(_)
            | Record::Assumption(_)
            | Record::BuildState(_)
            | Record::MadePart(_)
            | Record::Concession(_)
            | Record::DeviationPermit(_)
            | Record::FormingTool(_)
            | Record::Decision(_)
            | Record::Accepted(_) => touches = self.of_kind(record.kind(), mentions),
            Record::WireGauges(_)
            | Record::ToleranceClasses(_)
            | Record::StagesOfWork(_)
            | Record::HeatTreatment(_)
            | Record::BendRadii(_)
            | Record::RivetTables(_)
            | Record::RivetSpacing(_)
            | Record::SurveyLimits(_) => touches = Touches::any_of(record.kind()),
        }
        touches
    }

    /// One position, where the path leads into it, or the whole assembly.
    fn of_assembly(&self, touches: &mut Touches, raw: &schema::Assembly, path: &[PlaceStep]) {
        let positions: Vec<&schema::Position> =
            if let [PlaceStep::Field("positions"), PlaceStep::Item(index), ..] = path {
                raw.positions.get(*index).into_iter().collect()
            } else {
                touches.below = self.model.parts.id(&raw.part).into_iter().collect();
                raw.positions.iter().collect()
            };
        for position in positions {
            let mentions = Mentions::of(&format!("{position:?}"));
            let name = format!("{}/{}", raw.part, position.find);
            match self.model.positions.id(&name) {
                Some(id) => drop(touches.positions.these.insert(id)),
                None => touches.below.these.extend(self.model.parts.id(&raw.part)),
            }
            touches.placed.add(&self.parts_in(&mentions));
            touches.seen.add(&self.mods_of(&mentions));
        }
    }

    /// What a record of a kind may bear on that holds these names.
    fn of_kind(&self, kind: &str, mentions: &Mentions) -> Touches {
        let mut touches = Touches::default();
        match kind {
            "Type" => {
                touches.positions = Hit::any();
                touches.below = Hit::any();
                touches.placed = Hit::any();
            }
            "Drawing" => {
                for name in mentions.iter() {
                    touches.drawings.add(&self.drawings_called(name));
                }
            }
            "Part" => touches.parts = self.parts_in(mentions),
            "Assembly" => {
                touches.placed = self.parts_in(mentions);
                touches.below = touches.placed.clone();
                touches.seen = self.mods_of(mentions);
            }
            "Modification" | "OneOf" => {
                touches.mods = self.mods_in(mentions);
                touches.mods.any = kind == "OneOf" && touches.mods.is_empty();
                touches.seen = touches.mods.clone();
            }
            "Claim" | "Assumption" => {
                let unrecorded = mentions.iter().any(|word| may_be_slip(word, "UnrecordedNotEmbodied"));
                let of_any = unrecorded || !mentions.iter().any(|name| self.is_said_of(name));
                touches.mods = if of_any { Hit::any() } else { self.mods_of(mentions) };
            }
            "Airframe" => touches.mods = Hit::any(),
            "Frame" => {
                touches.frames = named(&self.model.frames, mentions);
                touches.seen = self.mods_of(mentions);
            }
            "SkinJoint" => touches.frames = Hit::any(),
            "Plate" => {
                touches.plates = named(&self.model.plates, mentions);
                touches.located = self.parts_in(mentions);
                touches.located.any = touches.located.is_empty();
                touches.seen = self.mods_of(mentions);
            }
            "Jig" => touches.jigs = named(&self.model.jigs, mentions),
            "Survey" => {
                touches.jigs = named(&self.model.jigs, mentions);
                touches.jigs.any = touches.jigs.these.is_empty();
            }
            kind if BEAR_ON_NO_NAME.contains(&kind) || schema::TABLE_KINDS.contains(&kind) => {}
            _ => touches = Touches::anything(),
        }
        touches
    }

    /// The modifications on which may hang what a lost claim says was seen, because of the place, frame or plate that it
    /// names something was lost.
    pub(super) fn seen_where_lost(&self, claim: &Loss, losses: &[&Loss]) -> Hit<ModId> {
        let model = self.model;
        let mut found = Hit::default();
        for name in claim.mentions.iter() {
            let position = model.positions.id(name);
            let frame = model.frames.id(name);
            let plate = model.plates.id(name);
            if position.is_none() && frame.is_none() && plate.is_none() {
                continue;
            }
            let segments =
                frame.into_iter().flat_map(|id| model.frames[id].segments.iter().map(|segment| segment.part));
            let located = plate.into_iter().flat_map(|id| model.plates[id].locates.iter().copied());
            let parts: Vec<PartId> = segments.chain(located).collect();
            let placed = |touches: &Touches, part: &PartId| {
                let places = self.places.get(part).into_iter().flatten();
                touches.placed.has(*part) || places.copied().any(|at| touches.positions.has(at))
            };
            let leans = |loss: &Loss| {
                let touches = &loss.touches;
                position.is_some_and(|id| touches.positions.has(id))
                    || frame.is_some_and(|id| touches.frames.has(id))
                    || plate.is_some_and(|id| touches.plates.has(id))
                    || parts.iter().any(|part| placed(touches, part))
            };
            losses.iter().filter(|loss| leans(loss)).for_each(|loss| found.add(&loss.touches.seen));
        }
        found
    }

    /// Whether a name is that of something that a claim can be about.
    fn is_said_of(&self, name: &str) -> bool {
        let model = self.model;
        let structure = model.positions.id(name).is_some() || model.parts.id(name).is_some();
        let frame = model.frames.id(name).is_some() || model.plates.id(name).is_some();
        structure || frame || !self.mods_called(name).is_empty()
    }

    /// Adds what a name may have meant that nothing bears.
    fn add_unknown(&self, touches: &mut Touches, record: &Record, name: &str) {
        let texts = self.cx.lost.texts.iter();
        let lost: Vec<&LostText> = texts.clone().filter(|text| !is_claim(text) && text.mentions.name(name)).collect();
        // One of which something cannot be made out may bear the name where that is.
        for text in texts.filter(|text| lost.iter().any(|other| std::ptr::eq(*other, *text)) || is_cut_type(text)) {
            let mods = if text.is_cut { Hit::any() } else { self.mods_of(&text.mentions) };
            // What stands on the shop floor has no bearing on what was embodied.
            let bears = !matches!(
                record,
                Record::Assembly(_)
                    | Record::Part(_)
                    | Record::Drawing(_)
                    | Record::Jig(_)
                    | Record::Survey(_)
                    | Record::MadePart(_)
                    | Record::Concession(_)
                    | Record::DeviationPermit(_)
                    | Record::FormingTool(_)
            );
            if bears && !mods.is_empty() {
                touches.seen.add(&mods);
                touches.mods.add(&mods);
            }
        }
        // Where a lost record bears the name, that is the one that is meant.
        let near = if lost.is_empty() { self.mods_near(name) } else { Hit::default() };
        let parts = if lost.is_empty() { near_names(&self.near.parts, &self.model.parts, name) } else { Vec::new() };
        let unheard = lost.is_empty() && near.these.is_empty() && parts.is_empty();
        touches.seen.add(&near);
        match record {
            Record::Assembly(raw) => {
                if raw.part == name {
                    touches.below.these.extend(&parts);
                    touches.below.any |= unheard;
                }
                touches.placed.these.extend(&parts);
                touches.mods.these.extend(&near.these);
                touches.seen.any |= unheard;
                touches.placed.any |= unheard;
            }
            Record::Claim(schema::Claim { says, .. }) => {
                let of_mod = matches!(
                    says,
                    schema::Statement::Embodied(_) | schema::Statement::NotEmbodied(_) | schema::Statement::Removed(_)
                );
                touches.mods.add(&near);
                touches.mods.any |= unheard || (!of_mod && lost.is_empty());
            }
            Record::Modification(_) | Record::OneOf(_) | Record::Assumption(_) | Record::BuildState(_) => {
                touches.mods.add(&near);
                touches.mods.any |= unheard;
            }
            Record::Plate(_) => {
                touches.located.these.extend(&parts);
                touches.located.any |= unheard;
            }
            Record::Survey(raw) if raw.jig == name && lost.is_empty() => {
                touches.jigs.these.extend(near_names(&self.near.jigs, &self.model.jigs, name));
                touches.jigs.any |= touches.jigs.these.is_empty();
            }
            Record::Type(_)
            | Record::SerialBlock(_)
            | Record::Drawing(_)
            | Record::Part(_)
            | Record::Frame(_)
            | Record::SkinJoint(_)
            | Record::Airframe(_)
            | Record::Evidence(_)
            | Record::Jig(_)
            | Record::Survey(_)
            | Record::MadePart(_)
            | Record::Concession(_)
            | Record::DeviationPermit(_)
            | Record::FormingTool(_)
            | Record::Decision(_)
            | Record::Accepted(_)
            | Record::WireGauges(_)
            | Record::ToleranceClasses(_)
            | Record::StagesOfWork(_)
            | Record::HeatTreatment(_)
            | Record::BendRadii(_)
            | Record::RivetTables(_)
            | Record::RivetSpacing(_)
            | Record::SurveyLimits(_) => {}
        }
        // Where no lost record bears the name, the one that is meant may be misspelt where it is defined.
        if lost.is_empty() {
            touches.parts.these.extend(self.near_alone(&self.near.parts, &self.model.parts, name));
            touches.plates.these.extend(self.near_alone(&self.near.plates, &self.model.plates, name));
            touches.frames.these.extend(self.near_alone(&self.near.frames, &self.model.frames, name));
            touches.drawings.these.extend(self.near_alone(&self.near.drawings, &self.model.drawings, name));
        }
    }

    /// The names of a table that may have been the name before a slip in their definition: no other record has them.
    fn near_alone<I: Id, T>(&self, tree: &OnceCell<NameTree>, table: &Table<I, T>, name: &str) -> Vec<I> {
        let mut near = near_names(tree, table, name);
        near.retain(|id| self.named.get(table.name(*id)).is_none_or(|count| *count < 2));
        near
    }

    /// The modifications of a number: one, or all its parts.
    fn mods_called(&self, number: &str) -> Hit<ModId> {
        let parts = self.model.mods_with_parts.get(number).into_iter().flatten().copied();
        self.model.mods.id(number).into_iter().chain(parts).collect()
    }

    fn mods_near(&self, name: &str) -> Hit<ModId> {
        let wholes = self.model.mods_with_parts.iter().filter(|(number, _)| may_be_slip(number, name));
        let parts = wholes.flat_map(|(_, parts)| parts.iter().copied());
        near_names(&self.near.mods, &self.model.mods, name).into_iter().chain(parts).collect()
    }

    /// The modifications that are named.
    fn mods_in(&self, mentions: &Mentions) -> Hit<ModId> {
        let mut found = Hit::default();
        for name in mentions.iter() {
            found.add(&self.mods_called(name));
        }
        found
    }

    /// The parts that are named.
    fn parts_in(&self, mentions: &Mentions) -> Hit<PartId> {
        named(&self.model.parts, mentions)
    }

    fn drawings_called(&self, number: &str) -> Hit<crate::ids::DrawingId> {
        let sheets = self.model.drawings.iter().filter(|(_, _, drawing)| drawing.number == number);
        sheets.map(|(id, ..)| id).collect()
    }

    /// The modifications that are named, or on which what is named depends; names that only lost texts bear stand for
    /// the names in those.
    fn mods_of(&self, mentions: &Mentions) -> Hit<ModId> {
        let mut found = self.mods_in(mentions);
        for name in mentions.whole().filter(|name| !self.is_said_of(name)) {
            found.any |= self.cx.lost.texts.iter().any(is_cut_type);
            for text in self.cx.lost.texts.iter().filter(|text| !is_claim(text) && text.mentions.name(name)) {
                found.add(&self.mods_in(&text.mentions));
            }
        }
        for name in mentions.iter() {
            if let Some(id) = self.model.positions.id(name) {
                self.add_mods_at(id, &mut found);
            }
            let frame = self.model.frames.id(name).map(|id| &self.model.frames[id]);
            let plate = self.model.plates.id(name).map(|id| &self.model.plates[id]);
            let part = self.model.parts.id(name);
            let of_frame = frame.into_iter().flat_map(|frame| frame.segments.iter().map(|segment| segment.part));
            let of_plate = plate.into_iter().flat_map(|plate| plate.locates.iter().copied());
            for part in part.into_iter().chain(of_frame).chain(of_plate) {
                for position in self.places.get(&part).into_iter().flatten() {
                    self.add_mods_at(*position, &mut found);
                }
            }
        }
        found
    }

    fn add_mods_at(&self, position: PositionId, found: &mut Hit<ModId>) {
        let position = &self.model.positions[position];
        let conditions = position.candidates.iter().map(|candidate| &candidate.when);
        for condition in conditions.chain(&position.nothing_when) {
            condition.each_mod(&mut |m| {
                found.these.insert(m);
            });
        }
    }

    /// The airframes of the model that a lost text of a dossier may belong to.
    fn airframes_named(&self, text: &LostText) -> Hit<AirframeId> {
        // It is about an airframe that the model does not have.
        if text.kinds.len() == 1 && text.kinds.contains("Airframe") {
            return Hit::default();
        }
        let own = named(&self.model.airframes, &text.mentions);
        let known = text.mentions.iter().any(|name| self.is_airframe(name));
        if own.is_empty() && !known { self.airframe_meant("", text.place.file().0) } else { own }
    }

    /// Whether a serial is that of an airframe, in the model or lost.
    fn is_airframe(&self, serial: &str) -> bool {
        let lost = |text: &LostText| text.kinds.contains("Airframe") && text.mentions.name(serial);
        self.cx.names.airframes.index(serial).is_some() || self.cx.lost.texts.iter().any(lost)
    }

    /// The airframes that a serial may have meant which nothing bears: those of its file, if there are some, that a slip
    /// of the pen can have made it, else all of them and any other of which it can be a slip. Where several records
    /// name it, it is misspelt where it is defined: then it is one that no other record names.
    fn airframe_meant(&self, serial: &str, file: u32) -> Hit<AirframeId> {
        if self.is_airframe(serial) {
            return Hit::default();
        }
        let near = near_names(&self.near.airframes, &self.model.airframes, serial);
        if self.dossiers.named.get(serial).is_some_and(|count| *count > 1) {
            let unnamed = |id: &AirframeId| !self.dossiers.named.contains_key(self.model.airframes.name(*id));
            return near.into_iter().filter(unnamed).collect();
        }
        let beside = self.dossiers.files.get(&file).into_iter().flat_map(|dossier| &dossier.serials);
        let beside: Vec<AirframeId> = beside.filter_map(|serial| self.model.airframes.id(serial)).collect();
        let both: Hit<AirframeId> = beside.iter().filter(|id| near.contains(id)).copied().collect();
        if !both.is_empty() {
            return both;
        }
        let mut meant: Hit<AirframeId> = near.into_iter().chain(beside).collect();
        meant.any = meant.these.is_empty();
        meant
    }
}

/// The airframe that a record of the shop names at a path as the one that it is made or set for.
fn meant_for<'a>(record: &'a Record, path: &[PlaceStep]) -> Option<&'a str> {
    match (record, path.first()?) {
        (Record::MadePart(raw), PlaceStep::Field("made_for")) => raw.made_for.as_deref(),
        (Record::Jig(raw), PlaceStep::Field("set_for")) => raw.set_for.as_ref().map(|to| to.airframe.as_str()),
        _ => None,
    }
}

/// Whether a text that could not be read says something of an airframe: then it bears none of the names that others
/// refer to.
fn is_claim(text: &LostText) -> bool {
    !text.kinds.is_empty() && text.kinds.iter().all(|kind| ["Claim", "Assumption"].contains(kind))
}

/// Whether a text that could not be read may define what a claim can be about, and its names may be gone.
fn is_cut_type(text: &LostText) -> bool {
    text.is_cut && ["Assembly", "Modification", "Frame", "Plate"].iter().any(|kind| text.may_be(kind))
}

/// Whether a path leads into what a leaflet deletes and introduces.
fn is_in_changes(path: &[PlaceStep]) -> bool {
    path.contains(&PlaceStep::Field("changes"))
}

/// The entries of a table that are named.
fn named<I: Id, T>(table: &Table<I, T>, mentions: &Mentions) -> Hit<I> {
    mentions.iter().filter_map(|name| table.id(name)).collect()
}

/// The names of a table of which a slip of the pen can have made the name.
fn near_names<I: Id, T>(tree: &OnceCell<NameTree>, table: &Table<I, T>, name: &str) -> Vec<I> {
    let tree = tree.get_or_init(|| NameTree::of(table.iter().map(|(_, name, _)| name)));
    let mut near: Vec<usize> = tree.within(name, SLIP).into_iter().map(|(_, index)| index).collect();
    near.sort_unstable();
    near.into_iter().map(I::from_index).collect()
}

impl Touches {
    /// Everything: nothing is known of what was lost.
    fn anything() -> Touches {
        Touches {
            airframes: None,
            mods: Hit::any(),
            positions: Hit::any(),
            below: Hit::any(),
            placed: Hit::any(),
            seen: Hit::any(),
            parts: Hit::any(),
            drawings: Hit::any(),
            frames: Hit::any(),
            plates: Hit::any(),
            located: Hit::any(),
            jigs: Hit::any(),
            surveys: Hit::any(),
            tables: Hit::any(),
        }
    }
    /// Whatever a record of a kind may bear on.
    fn any_of(kind: &str) -> Touches {
        let mut touches = Touches::default();
        match kind {
            "Assembly" => (touches.below, touches.placed, touches.seen) = (Hit::any(), Hit::any(), Hit::any()),
            "Modification" | "OneOf" => (touches.mods, touches.seen) = (Hit::any(), Hit::any()),
            "Claim" | "Assumption" => touches.mods = Hit::any(),
            "Part" => touches.parts = Hit::any(),
            "Drawing" => touches.drawings = Hit::any(),
            "Frame" | "SkinJoint" => (touches.frames, touches.seen) = (Hit::any(), Hit::any()),
            "Plate" => (touches.plates, touches.located, touches.seen) = (Hit::any(), Hit::any(), Hit::any()),
            "Jig" => touches.jigs = Hit::any(),
            "Survey" => (touches.jigs, touches.surveys) = (Hit::any(), Hit::any()),
            "Type" | "Airframe" => {}
            kind if BEAR_ON_NO_NAME.contains(&kind) || schema::TABLE_KINDS.contains(&kind) => {}
            _ => touches = Touches::anything(),
        }
        touches.tables = schema::TABLE_KINDS.iter().copied().filter(|table| *table == kind).collect();
        if kind == "SurveyLimits" {
            touches.surveys = Hit::any();
        }
        touches
    }
    pub(super) fn add(&mut self, other: &Touches) {
        self.mods.add(&other.mods);
        self.positions.add(&other.positions);
        self.below.add(&other.below);
        self.placed.add(&other.placed);
        self.seen.add(&other.seen);
        self.parts.add(&other.parts);
        self.drawings.add(&other.drawings);
        self.frames.add(&other.frames);
        self.plates.add(&other.plates);
        self.located.add(&other.located);
        self.jigs.add(&other.jigs);
        self.surveys.add(&other.surveys);
        self.tables.add(&other.tables);
    }
}
