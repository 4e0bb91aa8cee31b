//! What was lost on the way from the files to the model, with what it may bear on.
//!
//! Safety comes first: a loss touches whatever it may have named. A name that nothing bears may have meant every name
//! that a slip of the pen can make of it, and whatever the records that could not be read hold; if there is none of
//! either, any name of its kind.

use super::Context;
use super::say::Piece;
use crate::finding::{Place, RecordRef, Step};
use crate::ids::{AirframeId, Id, ModId, PartId, PositionId, Table};
use crate::model::{Hit, Loss, Losses, Marks, Model, Touches};
use crate::source::raw::{self, Record};
use crate::source::{LostText, Mentions, may_be_slip};
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// Every loss: of texts that could not be read, of pieces that were left out, and of records of which nothing was taken
/// into the model.
pub(super) fn collect(records: &[(RecordRef, Record)], cx: &Context, model: &Model, pieces: &[Piece]) -> Losses {
    if cx.lost.texts.is_empty() && pieces.is_empty() {
        return Losses::default();
    }
    let by_place: HashMap<RecordRef, &Record> = records.iter().map(|(at, record)| (*at, record)).collect();
    let lens = Lens { cx, model, places: places_of(model), dossiers: Dossiers::of(records), named: named_in(records) };
    let mut found: BTreeMap<Place, Found> = BTreeMap::new();
    for text in &cx.lost.texts {
        found.insert(text.place.clone(), Found::itself(lens.of_text(text, &by_place)));
    }
    for piece in pieces {
        let loss = match &piece.place {
            Place::Record(at, path) => by_place.get(at).map(|record| lens.of_piece(*at, record, path, piece)),
            Place::Bytes(..) => Some(Lens::of_holes(&piece.place)),
        };
        let Some(loss) = loss else { continue };
        let known = found.entry(piece.place.clone()).or_insert_with(|| Found::follows(loss.clone()));
        known.loss.touches.add(&loss.touches);
        known.itself |= piece.found;
        known.unknown.extend(piece.unknown.clone());
    }
    let taken = taken_in(model);
    for (at, record) in records.iter().filter(|(at, _)| !taken.contains(at)) {
        let mut loss = lens.of_piece(*at, record, &[], &Piece::silent(at.place()));
        loss.whole = true;
        let known = found.get(&at.place());
        let (itself, unknown) = known.map(|known| (known.itself, known.unknown.clone())).unwrap_or_default();
        found.insert(at.place(), Found { loss, itself, unknown });
    }
    let causes = causes(cx, &found);
    Losses::new(found.into_values().map(|found| found.loss).collect(), &causes)
}

/// A loss with what is known of how it came about.
struct Found {
    loss: Loss,
    /// Whether what is wrong is written there: a finding says so, or it could not be read.
    itself: bool,
    /// Names that it gives and that nothing bears.
    unknown: BTreeSet<String>,
}

impl Found {
    fn itself(loss: Loss) -> Found {
        Found { loss, itself: true, unknown: BTreeSet::new() }
    }
    fn follows(loss: Loss) -> Found {
        Found { loss, itself: false, unknown: BTreeSet::new() }
    }
}

/// For each loss the places where a person would start to mend: its own, or those of the losses that it follows from.
fn causes(cx: &Context, found: &BTreeMap<Place, Found>) -> BTreeMap<Place, BTreeSet<Place>> {
    let mut by_name: HashMap<&str, Vec<&Place>> = HashMap::new();
    let mut by_record: HashMap<RecordRef, Vec<&Place>> = HashMap::new();
    for (place, of) in found {
        by_name.entry(of.loss.name.as_deref().unwrap_or_default()).or_default().push(place);
        by_record
            .entry(record_of(place).unwrap_or(RecordRef { file: place.file(), index: u32::MAX }))
            .or_default()
            .push(place);
    }
    let before = |of: &Found, place: &Place| -> Vec<Place> {
        let texts = cx.lost.texts.iter().filter(|text| of.unknown.iter().any(|name| text.mentions.name(name)));
        let mut before: Vec<Place> = texts.map(|text| text.place.clone()).collect();
        for name in &of.unknown {
            let whole = name.rsplit_once('/').map_or(name.as_str(), |(whole, _)| whole);
            let named = [name.as_str(), whole].into_iter().filter_map(|name| by_name.get(name)).flatten();
            before.extend(named.copied().cloned());
        }
        if before.is_empty() {
            let beside = record_of(place).and_then(|record| by_record.get(&record)).into_iter().flatten();
            before.extend(beside.copied().cloned());
        }
        before
    };
    let roots = |place: &Place| {
        let mut open = vec![place.clone()];
        let mut seen: BTreeSet<Place> = open.iter().cloned().collect();
        let mut roots = BTreeSet::new();
        while let Some(next) = open.pop() {
            let Some(of) = found.get(&next) else { continue };
            if of.itself {
                roots.insert(next);
            } else {
                open.extend(before(of, &next).into_iter().filter(|place| seen.insert(place.clone())));
            }
        }
        if roots.is_empty() { BTreeSet::from([place.clone()]) } else { roots }
    };
    found.keys().map(|place| (place.clone(), roots(place))).collect()
}

/// The records of which the model holds something.
fn taken_in(model: &Model) -> BTreeSet<RecordRef> {
    let mut taken: BTreeSet<RecordRef> = BTreeSet::new();
    taken.extend(model.type_of.iter().map(|t| t.record));
    taken.extend(model.blocks.iter().map(|block| block.record));
    taken.extend(model.drawings.iter().map(|(_, _, drawing)| drawing.record));
    taken.extend(model.parts.iter().flat_map(|(_, _, part)| [Some(part.record), part.assembly]).flatten());
    taken.extend(model.mods.iter().filter_map(|(_, _, m)| record_of(&m.place)));
    taken.extend(model.one_ofs.iter().map(|group| group.record));
    taken.extend(model.frames.iter().map(|(_, _, frame)| frame.record));
    taken.extend(model.skin_joints.iter().map(|joint| joint.record));
    taken.extend(model.plates.iter().map(|(_, _, plate)| plate.record));
    for (_, _, airframe) in model.airframes.iter() {
        taken.insert(airframe.record);
        taken.extend(airframe.evidence.iter().map(|(_, _, item)| item.record));
        taken.extend(airframe.claims.iter().map(|(_, _, claim)| claim.record));
        taken.extend(airframe.build_states.iter().map(|(_, _, state)| state.record));
    }
    taken.extend(model.jigs.iter().map(|(_, _, jig)| jig.record));
    taken.extend(model.surveys.iter().map(|survey| survey.record));
    taken.extend(model.made_parts.iter().map(|part| part.record));
    taken.extend(model.deviations.iter().map(|deviation| deviation.record));
    taken.extend(model.tools.iter().map(|tool| tool.record));
    taken.extend(model.decisions.iter().map(|decision| decision.record));
    taken
}

fn record_of(place: &Place) -> Option<RecordRef> {
    if let Place::Record(record, _) = place { Some(*record) } else { None }
}

/// The positions at which each part is a candidate.
fn places_of(model: &Model) -> HashMap<PartId, Vec<PositionId>> {
    let mut places: HashMap<PartId, Vec<PositionId>> = HashMap::new();
    for (id, _, position) in model.positions.iter() {
        for candidate in &position.candidates {
            places.entry(candidate.part).or_default().push(id);
        }
    }
    places
}

/// In how many records each text stands.
fn named_in(records: &[(RecordRef, Record)]) -> HashMap<String, usize> {
    let mut named = HashMap::new();
    for (_, record) in records {
        for text in Mentions::of(&format!("{record:?}")).whole() {
            *named.entry(text.to_owned()).or_default() += 1;
        }
    }
    named
}

/// What the files say of whose dossier they are.
struct Dossiers<'a> {
    files: HashMap<u32, Dossier<'a>>,
    /// How many records name each serial as their airframe, those of the airframes themselves aside.
    named: HashMap<&'a str, usize>,
}

/// One file.
#[derive(Default)]
struct Dossier<'a> {
    /// The serials that its records name as their airframe.
    serials: BTreeSet<&'a str>,
    /// Whether it holds a record of the type or of the shop.
    is_mixed: bool,
}

impl<'a> Dossiers<'a> {
    fn of(records: &'a [(RecordRef, Record)]) -> Dossiers<'a> {
        let mut dossiers = Dossiers { files: HashMap::new(), named: HashMap::new() };
        for (at, record) in records {
            let file = dossiers.files.entry(at.file.0).or_default();
            file.is_mixed |= !OF_AIRFRAME.contains(&record.kind());
            let Some(serial) = record.airframe() else { continue };
            file.serials.insert(serial);
            if !matches!(record, Record::Airframe(_) | Record::Decision(_)) {
                *dossiers.named.entry(serial).or_default() += 1;
            }
        }
        dossiers
    }

    /// Whether a file is the dossier of one airframe and of nothing else.
    fn is_of_one(&self, file: u32) -> bool {
        self.files.get(&file).is_some_and(|file| !file.is_mixed && file.serials.len() == 1)
    }
}

/// The kinds of record that belong to the dossier of one airframe.
const OF_AIRFRAME: [&str; 6] = ["Airframe", "Evidence", "Claim", "Assumption", "BuildState", "Decision"];

/// What is looked up to tell what a loss may bear on.
struct Lens<'a> {
    cx: &'a Context<'a>,
    model: &'a Model,
    places: HashMap<PartId, Vec<PositionId>>,
    dossiers: Dossiers<'a>,
    /// In how many records each text stands.
    named: HashMap<String, usize>,
}

impl Lens<'_> {
    /// What a text that could not be read may bear on.
    fn of_text(&self, text: &LostText, by_place: &HashMap<RecordRef, &Record>) -> Loss {
        // In the dossier of one airframe there is nothing else, whatever the word was that began the record.
        let kinds = if text.kinds.is_empty() && self.dossiers.is_of_one(text.place.file().0) {
            BTreeSet::from(OF_AIRFRAME)
        } else {
            text.kinds.clone()
        };
        let any_kind = kinds.is_empty();
        let mut touches = Touches::default();
        for kind in raw::RECORD_KINDS.iter().filter(|kind| any_kind || kinds.contains(*kind)) {
            touches.add(&self.of_kind(kind, &text.mentions));
            if text.is_cut {
                touches.add(&Touches::any_of(kind));
            }
        }
        if any_kind && text.mentions.iter().next().is_none() {
            touches = Touches::anything();
        }
        if !any_kind && kinds.iter().all(|kind| OF_AIRFRAME.contains(kind)) {
            touches.airframes = Some(self.airframes_named(text));
        }
        let part_of = text.part_of.and_then(|at| by_place.get(&at).map(|record| (at, *record)));
        if let Some((at, record)) = part_of {
            touches.add(&self.of_piece(at, record, &[], &Piece::silent(at.place())).touches);
        }
        let kind = if kinds.len() == 1 { kinds.first().copied() } else { None };
        let (place, mentions) = (text.place.clone(), text.mentions.clone());
        Loss {
            place,
            kind,
            name: text.name.clone(),
            whole: true,
            is_cut: false,
            is_astray: false,
            kinds,
            mentions,
            touches,
            causes: Marks::new(),
        }
    }

    /// What a row of measured holes in a file of its own may bear on.
    fn of_holes(place: &Place) -> Loss {
        let touches = Touches { surveys: Hit::any(), jigs: Hit::any(), ..Touches::default() };
        let kinds = BTreeSet::from(["Survey"]);
        let mentions = Mentions::default();
        Loss {
            place: place.clone(),
            kind: Some("Survey"),
            name: None,
            whole: false,
            is_cut: false,
            is_astray: false,
            kinds,
            mentions,
            touches,
            causes: Marks::new(),
        }
    }

    /// What a piece of a record may bear on that was read but not taken in.
    fn of_piece(&self, at: RecordRef, record: &Record, path: &[Step], piece: &Piece) -> Loss {
        let mentions = Mentions::of(&format!("{record:?}"));
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
        let kinds = BTreeSet::from([kind]);
        let is_astray = record.airframe().is_some_and(|serial| self.cx.names.airframes.index(serial).is_none());
        Loss {
            place: piece.place.clone(),
            kind: Some(kind),
            name: Some(name),
            whole: false,
            is_cut: false,
            is_astray,
            kinds,
            mentions,
            touches,
            causes: Marks::new(),
        }
    }

    /// What a record bears on, or the part of it at a path.
    fn of_record(&self, record: &Record, path: &[Step], mentions: &Mentions) -> Touches {
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
            | Record::Decision(_) => touches = self.of_kind(record.kind(), mentions),
        }
        touches
    }

    /// One position, where the path leads into it, or the whole assembly.
    fn of_assembly(&self, touches: &mut Touches, raw: &raw::Assembly, path: &[Step]) {
        let positions: Vec<&raw::Position> = if let [Step::Field("positions"), Step::Item(index), ..] = path {
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
                touches.frames = mentions.iter().filter_map(|name| self.model.frames.id(name)).collect();
                touches.seen = self.mods_of(mentions);
            }
            "SkinJoint" => touches.frames = Hit::any(),
            "Plate" => {
                touches.plates = mentions.iter().filter_map(|name| self.model.plates.id(name)).collect();
                touches.located = self.parts_in(mentions);
                touches.located.any = touches.located.is_empty();
                touches.seen = self.mods_of(mentions);
            }
            "Jig" => touches.jigs = mentions.iter().filter_map(|name| self.model.jigs.id(name)).collect(),
            "Survey" => {
                touches.jigs = mentions.iter().filter_map(|name| self.model.jigs.id(name)).collect();
                touches.jigs.any = touches.jigs.these.is_empty();
            }
            _ => {}
        }
        touches
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
        let lost: Vec<&LostText> = self.cx.lost.texts.iter().filter(|text| text.mentions.name(name)).collect();
        for text in &lost {
            let mods = self.mods_of(&text.mentions);
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
        let parts = if lost.is_empty() { near_names(&self.model.parts, name) } else { Vec::new() };
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
            Record::Claim(raw::Claim { says, .. }) => {
                let of_mod = matches!(
                    says,
                    raw::Statement::Embodied(_) | raw::Statement::NotEmbodied(_) | raw::Statement::Removed(_)
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
                touches.jigs.these.extend(near_names(&self.model.jigs, name));
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
            | Record::Decision(_) => {}
        }
        // Where no lost record bears the name, the one that is meant may be misspelt where it is defined.
        if lost.is_empty() {
            touches.parts.these.extend(self.near_alone(&self.model.parts, name));
            touches.plates.these.extend(self.near_alone(&self.model.plates, name));
            touches.frames.these.extend(self.near_alone(&self.model.frames, name));
            touches.drawings.these.extend(self.near_alone(&self.model.drawings, name));
        }
    }

    /// The names of a table that may have been the name before a slip in their definition: no other record has them.
    fn near_alone<I: Id, T>(&self, table: &Table<I, T>, name: &str) -> Vec<I> {
        let mut near = near_names(table, name);
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
        near_names(&self.model.mods, name).into_iter().chain(parts).collect()
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
        mentions.iter().filter_map(|name| self.model.parts.id(name)).collect()
    }

    fn drawings_called(&self, number: &str) -> Hit<crate::ids::DrawingId> {
        let sheets = self.model.drawings.iter().filter(|(_, _, drawing)| drawing.number == number);
        sheets.map(|(id, ..)| id).collect()
    }

    /// The modifications that are named, or on which what is named depends; names that only lost texts bear stand for
    /// the names in those.
    fn mods_of(&self, mentions: &Mentions) -> Hit<ModId> {
        let mut found = self.mods_in(mentions);
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
        let named: Hit<AirframeId> = text.mentions.iter().filter_map(|name| self.model.airframes.id(name)).collect();
        let known = text.mentions.iter().any(|name| self.is_airframe(name));
        if named.is_empty() && !known { self.airframe_meant("", text.place.file().0) } else { named }
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
        let near = near_names(&self.model.airframes, serial);
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

/// Whether a path leads into what a leaflet deletes and introduces.
fn is_in_changes(path: &[Step]) -> bool {
    path.contains(&Step::Field("changes"))
}

/// The names of a table of which a slip of the pen can have made the name.
fn near_names<I: Id, T>(table: &Table<I, T>, name: &str) -> Vec<I> {
    table.iter().filter(|(_, known, _)| may_be_slip(known, name)).map(|(id, ..)| id).collect()
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
            _ => {}
        }
        touches
    }
    fn add(&mut self, other: &Touches) {
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
    }
}

/// What names a record.
fn name_of(record: &Record) -> String {
    match record {
        Record::Type(raw) => raw.name.clone(),
        Record::SerialBlock(raw) => raw.serials.clone(),
        Record::Drawing(raw) => super::names::drawing_name(&raw.number, raw.sheet.as_deref()),
        Record::Part(raw) => raw.number.clone(),
        Record::Assembly(raw) => raw.part.clone(),
        Record::Modification(raw) => raw.number.clone(),
        Record::OneOf(raw) => raw.name.clone(),
        Record::Frame(raw) => raw.name.clone(),
        Record::SkinJoint(raw) => raw.name.clone(),
        Record::Plate(raw) => raw.number.clone(),
        Record::Airframe(raw) => raw.serial.clone(),
        Record::Evidence(raw) => raw.id.clone(),
        Record::Claim(raw) => raw.id.clone(),
        Record::Assumption(raw) => raw.id.clone(),
        Record::BuildState(raw) => raw.name.clone(),
        Record::Jig(raw) => raw.name.clone(),
        Record::Survey(raw) => raw.id.clone(),
        Record::MadePart(raw) => raw.part.clone(),
        Record::Concession(raw) | Record::DeviationPermit(raw) => raw.reference.clone(),
        Record::FormingTool(raw) => raw.mark.clone(),
        Record::Decision(raw) => raw.number.to_string(),
    }
}
