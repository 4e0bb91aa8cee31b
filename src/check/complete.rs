//! What the model holds in full, as against what it had to leave out.

use crate::finding::{Place, RecordRef, Step};
use crate::graph::Graph;
use crate::ids::{AirframeId, FrameId, Id, JigId, ModId, PartId, PlateId, PositionId};
use crate::model::{Model, Modification, Statement};
use crate::resolve::Resolver;
use crate::source::Lost;
use crate::source::raw::{self, Record};
use std::collections::{BTreeSet, HashMap};

/// For each position, frame, plate, modification and jig whether everything that its record says came into the model;
/// for airframes, whether all removals did; and for frames and plates whether every part that they name has a position.
#[derive(Debug)]
pub(super) struct Complete {
    positions: Vec<bool>,
    /// Whether every assembly came into the model with all its positions, each whole.
    structure: bool,
    frames: Vec<bool>,
    plates: Vec<bool>,
    mods: Vec<bool>,
    jigs: Vec<bool>,
    mounts: Vec<Mounts>,
    removals: Vec<bool>,
}

/// The plates mounted on a jig.
#[derive(Debug, Default)]
pub(super) struct Mounts {
    /// Whether the model has them all.
    pub all: bool,
    /// Those of which the model lost what they were made to.
    pub unread: BTreeSet<usize>,
}

impl Complete {
    pub(super) fn of((records, lost): (&[(RecordRef, Record)], &Lost), model: &Model, graph: &Graph) -> Complete {
        let by_place: HashMap<RecordRef, &Record> = records.iter().map(|(at, record)| (*at, record)).collect();
        let positions: Vec<bool> = (model.positions.iter())
            .map(|(_, _, position)| {
                written(&by_place, &position.place).is_none_or(|raw| {
                    raw.candidates.len() == position.candidates.len()
                        && raw.nothing_when.is_some() == position.nothing_when.is_some()
                })
            })
            .collect();
        let positions_of = |(_, record): &(RecordRef, Record)| {
            if let Record::Assembly(raw) = record { raw.positions.len() } else { 0 }
        };
        let all_drawn =
            records.iter().map(positions_of).sum::<usize>() == model.positions.len() && !lost.may_be("Assembly");
        let structure = all_drawn && positions.iter().all(|complete| *complete);
        let placed = |part: PartId| !graph.places_of(part).is_empty();
        let frames = model.frames.iter().map(|(_, _, frame)| {
            let inside = graph.positions_below(frame.assembly);
            let Some(Record::Frame(raw)) = by_place.get(&frame.record) else { return true };
            let joints = raw.splice_points.iter().zip(&frame.splice_points);
            let bridges = raw.openings.iter().zip(&frame.openings);
            raw.segments.len() == frame.segments.len()
                && raw.splice_points.len() == frame.splice_points.len()
                && raw.openings.len() == frame.openings.len()
                && joints.into_iter().all(|(raw, point)| raw.joined_by.len() == point.joined_by.len())
                && bridges.into_iter().all(|(raw, opening)| raw.bridged_by.len() == opening.bridged_by.len())
                && inside.iter().all(|position| positions[position.index()])
                && frame.segments.iter().all(|segment| placed(segment.part))
        });
        let frames = frames.collect();
        let plates = model.plates.iter().map(|(_, _, plate)| {
            let Some(Record::Plate(raw)) = by_place.get(&plate.record) else { return true };
            raw.locates.len() == plate.locates.len() && plate.locates.iter().all(|part| placed(*part))
        });
        let plates = plates.collect();
        let line_known = model.blocks.iter().all(|block| {
            let raw = by_place.get(&block.record);
            !matches!(raw, Some(Record::SerialBlock(raw)) if raw.line.is_some() && block.lines.is_empty())
        });
        let mods = model.mods.iter().map(|(_, _, m)| has_its_forms(&by_place, m, line_known)).collect();
        let jigs = model.jigs.iter().map(|(_, _, jig)| {
            let Some(Record::Jig(raw)) = by_place.get(&jig.record) else { return true };
            raw.set_for.is_some() == jig.set_for.is_some()
        });
        let jigs = jigs.collect();
        let mounts = model.jigs.iter().map(|(_, _, jig)| {
            let Some(Record::Jig(raw)) = by_place.get(&jig.record) else { return Mounts::default() };
            let recorded = |mark: &str| raw.mounted.iter().any(|raw| raw.mark == mark && raw.made_to.is_some());
            let unread = jig.mounted.iter().enumerate();
            let unread = unread.filter(|(_, plate)| plate.made_to.is_none() && recorded(&plate.mark));
            Mounts { all: raw.mounted.len() == jig.mounted.len(), unread: unread.map(|(index, _)| index).collect() }
        });
        let mounts = mounts.collect();
        let mut written: HashMap<&str, usize> = HashMap::new();
        for (_, record) in records {
            if let Record::Claim(raw::Claim { airframe, says: raw::Statement::Removed(_), .. }) = record {
                *written.entry(airframe).or_default() += 1;
            }
        }
        let removals = model.airframes.iter().map(|(_, serial, airframe)| {
            let removed = |says: &Statement| matches!(says, Statement::Removed(_));
            let kept = airframe.claims.iter().filter(|(_, _, claim)| removed(&claim.says)).count();
            let all_kept = kept == written.get(serial).copied().unwrap_or_default();
            all_kept && !(lost.may_be("Claim") && lost.may_name(serial))
        });
        let removals = removals.collect();
        Complete { positions, structure, frames, plates, mods, jigs, mounts, removals }
    }

    pub(super) fn position(&self, id: PositionId) -> bool {
        self.positions[id.index()]
    }
    /// Whether every assembly came into the model with all its positions, each whole.
    pub(super) fn structure(&self) -> bool {
        self.structure
    }
    pub(super) fn frame(&self, id: FrameId) -> bool {
        self.frames[id.index()]
    }
    pub(super) fn plate(&self, id: PlateId) -> bool {
        self.plates[id.index()]
    }
    /// Whether that is so of all that decides whether a part is fitted.
    pub(super) fn part(&self, resolver: &Resolver<'_>, part: PartId) -> bool {
        let graph = resolver.history().graph;
        let places = graph.places_of(part);
        let known = !places.is_empty() || self.all_positions();
        known
            && places.iter().all(|(position, _)| self.position(*position))
            && self.with_bonds(graph, Resolver::depends_on(&resolver.fitted(part)))
    }
    /// Whether the model has every claim about the airframe that says that something was removed.
    pub(super) fn removals(&self, id: AirframeId) -> bool {
        self.removals[id.index()]
    }
    pub(super) fn mounts(&self, id: JigId) -> &Mounts {
        &self.mounts[id.index()]
    }
    pub(super) fn jig(&self, id: JigId) -> bool {
        self.jigs[id.index()]
    }
    /// Whether the modification has the forms and the bonds to others that its record gives.
    pub(super) fn modification(&self, id: ModId) -> bool {
        self.mods[id.index()]
    }
    /// Whether that is so of some modifications and of all that is bound to them by any chain of bonds.
    pub(super) fn with_bonds(&self, graph: &Graph, mods: impl IntoIterator<Item = ModId>) -> bool {
        if self.all_mods() {
            return true;
        }
        let mut open: Vec<ModId> = mods.into_iter().collect();
        let mut seen: BTreeSet<ModId> = open.iter().copied().collect();
        while let Some(next) = open.pop() {
            for tie in graph.ties_of(next) {
                let (_, tied) = &graph.ties()[*tie];
                open.extend(tied.iter().copied().filter(|other| seen.insert(*other)));
            }
        }
        seen.into_iter().all(|m| self.modification(m))
    }
    pub(super) fn all_mods(&self) -> bool {
        self.mods.iter().all(|complete| *complete)
    }
    pub(super) fn all_positions(&self) -> bool {
        self.positions.iter().all(|complete| *complete)
    }
    /// Whether the model knows all that a claim leans on.
    pub(super) fn claim(&self, says: &Statement) -> bool {
        match says {
            Statement::Embodied(..) | Statement::NotEmbodied(_) | Statement::Removed(_) => true,
            Statement::SeenAt(position, _) => self.position(*position),
            Statement::SeenSplice(frame, ..) => self.frame(*frame),
            Statement::SeenPattern(plate) => self.plate(*plate),
        }
    }
}

/// The position as its record has it.
fn written<'a>(by_place: &HashMap<RecordRef, &'a Record>, place: &Place) -> Option<&'a raw::Position> {
    let Place::Record(record, path) = place else { return None };
    let (Record::Assembly(assembly), [.., Step::Item(index)]) = (by_place.get(record)?, path.as_slice()) else {
        return None;
    };
    assembly.positions.get(*index)
}

fn has_its_forms(by_place: &HashMap<RecordRef, &Record>, m: &Modification, line_known: bool) -> bool {
    let Place::Record(record, path) = &m.place else { return true };
    let Some(Record::Modification(raw)) = by_place.get(record) else { return true };
    let (production, retrospective, bonds) = match path.as_slice() {
        [.., Step::Item(index)] => {
            let Some(part) = raw.parts.get(*index) else { return true };
            (part.production.as_ref(), part.retrospective.is_some(), [&part.requires, &part.excludes, &part.supersedes])
        }
        _ => (raw.production.as_ref(), raw.retrospective.is_some(), [&raw.requires, &raw.excludes, &raw.supersedes]),
    };
    let by_line = production.is_some_and(|production| !production.line.is_empty());
    production.is_some() == m.production.is_some()
        && (line_known || !by_line)
        && retrospective == m.retrospective.is_some()
        && bonds.map(Vec::len) == [m.requires.len(), m.excludes.len(), m.supersedes.len()]
}
