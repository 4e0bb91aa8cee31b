//! What was lost on the way from the files to the model, with what it may bear on.
//!
//! Safety comes first: a loss touches whatever it may have named. A name that nothing bears may have meant every name
//! that a slip of the pen can make of it, and whatever the records that could not be read hold; if there is none of
//! either, any name of its kind.

mod dossiers;
mod lens;

use super::Context;
use super::say::LeftOutPiece;
use crate::finding::{Place, RecordRef};
use crate::ids::{ModId, PartId, PositionId};
use crate::model::{Hit, Loss, Losses, Model};
use crate::schema::{self, Record, TABLE_KINDS};
use crate::source::Mentions;
use dossiers::Dossiers;
use lens::{Lens, NearTables};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// Every loss: of texts that could not be read, of pieces that were left out, and of records of which nothing was taken
/// into the model.
pub(super) fn collect(records: &[(RecordRef, Record)], cx: &Context, model: &Model, pieces: &[LeftOutPiece]) -> Losses {
    if cx.lost.texts.is_empty() && pieces.is_empty() {
        return Losses::default();
    }
    let by_place: HashMap<RecordRef, &Record> = records.iter().map(|(at, record)| (*at, record)).collect();
    let (places, dossiers, named) = (places_of(model), Dossiers::of(records), named_in(records));
    let lens = Lens { cx, model, places, dossiers, named, said: RefCell::default(), near: NearTables::default() };
    let mut found: BTreeMap<Place, FoundLoss> = BTreeMap::new();
    for text in &cx.lost.texts {
        found.insert(text.place.clone(), FoundLoss::itself(lens.of_text(text, &by_place)));
    }
    for piece in pieces {
        let loss = match &piece.place {
            Place::Record(at, path) => by_place.get(at).map(|record| lens.of_piece(*at, record, path, piece)),
            Place::Bytes(..) => Some(Lens::of_holes(&piece.place)),
        };
        let Some(loss) = loss else { continue };
        let known = found.entry(piece.place.clone()).or_insert_with(|| FoundLoss::follows(loss.clone()));
        known.loss.touches.add(&loss.touches);
        known.itself |= piece.found;
        known.unknown.extend(piece.unknown.clone());
        known.tables.extend(piece.table);
    }
    let taken = taken_in(model);
    // A table that is not used, and why, is among the pieces.
    let not_taken = |(at, record): &&(RecordRef, Record)| !taken.contains(at) && !TABLE_KINDS.contains(&record.kind());
    for (at, record) in records.iter().filter(not_taken) {
        let mut loss = lens.of_piece(*at, record, &[], &LeftOutPiece::silent(at.place()));
        loss.whole = true;
        let known = found.get(&at.place());
        let (itself, unknown, tables) =
            known.map(|known| (known.itself, known.unknown.clone(), known.tables.clone())).unwrap_or_default();
        found.insert(at.place(), FoundLoss { loss, itself, unknown, tables });
    }
    let all: Vec<&Loss> = found.values().map(|of| &of.loss).collect();
    let claims = found.iter().filter(|(_, of)| ["Claim", "Assumption"].iter().any(|kind| of.loss.may_be(kind)));
    let leaning = claims.map(|(place, of)| (place.clone(), lens.seen_where_lost(&of.loss, &all)));
    let leaning: Vec<(Place, Hit<ModId>)> = leaning.filter(|(_, mods)| !mods.is_empty()).collect();
    for (place, mods) in leaning {
        found.entry(place).and_modify(|of| of.loss.touches.mods.add(&mods));
    }
    let causes = causes(cx, &found);
    Losses::new(found.into_values().map(|found| found.loss).collect(), &causes)
}

/// A loss with what is known of how it came about.
struct FoundLoss {
    loss: Loss,
    /// Whether what is wrong is written there: a finding says so, or it could not be read.
    itself: bool,
    /// Names that it gives and that nothing bears.
    unknown: BTreeSet<String>,
    /// The kinds of the shop's own tables by which it is read and that are not known.
    tables: BTreeSet<&'static str>,
}

impl FoundLoss {
    fn itself(loss: Loss) -> FoundLoss {
        FoundLoss { loss, itself: true, unknown: BTreeSet::new(), tables: BTreeSet::new() }
    }
    fn follows(loss: Loss) -> FoundLoss {
        FoundLoss { itself: false, ..FoundLoss::itself(loss) }
    }
}

/// For each loss the places where a person would start to mend: its own, or those of the losses that it follows from.
fn causes(cx: &Context, found: &BTreeMap<Place, FoundLoss>) -> BTreeMap<Place, BTreeSet<Place>> {
    let mut by_name: HashMap<&str, Vec<&Place>> = HashMap::new();
    let mut by_record: HashMap<RecordRef, Vec<&Place>> = HashMap::new();
    for (place, of) in found {
        by_name.entry(of.loss.name.as_deref().unwrap_or_default()).or_default().push(place);
        by_record
            .entry(record_of(place).unwrap_or(RecordRef { file: place.file(), index: u32::MAX }))
            .or_default()
            .push(place);
    }
    let before = |of: &FoundLoss, place: &Place| -> Vec<Place> {
        let texts = cx.lost.texts.iter().filter(|text| of.unknown.iter().any(|name| text.mentions.name(name)));
        let mut before: Vec<Place> = texts.map(|text| text.place.clone()).collect();
        for name in &of.unknown {
            let whole = name.rsplit_once('/').map_or(name.as_str(), |(whole, _)| whole);
            let named = [name.as_str(), whole].into_iter().filter_map(|name| by_name.get(name)).flatten();
            before.extend(named.copied().cloned());
        }
        if !of.tables.is_empty() {
            let of_tables =
                found.iter().filter(|(_, other)| of.tables.iter().any(|kind| other.loss.touches.tables.has(kind)));
            before.extend(of_tables.map(|(place, _)| place.clone()));
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
    taken.extend(model.parts.iter().flat_map(|(_, _, part)| [record_of(&part.place), part.assembly]).flatten());
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
    taken.extend(model.accepted.iter().map(|accepted| accepted.record));
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
        Record::Accepted(raw) => raw.facts.clone(),
        Record::WireGauges(schema::WireGauges { source, .. })
        | Record::ToleranceClasses(schema::ToleranceClasses { source, .. })
        | Record::StagesOfWork(schema::StagesOfWork { source, .. })
        | Record::HeatTreatment(schema::HeatTreatment { source, .. })
        | Record::BendRadii(schema::BendRadii { source, .. })
        | Record::RivetTables(schema::RivetTables { source, .. })
        | Record::RivetSpacing(schema::RivetSpacing { source, .. })
        | Record::SurveyLimits(schema::SurveyLimits { source, .. }) => source.clone(),
    }
}
