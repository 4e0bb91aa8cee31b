//! What the model holds in full, as against what it had to leave out.

use crate::finding::{Place, RecordRef, Step};
use crate::graph::Graph;
use crate::ids::{FrameId, Id, PositionId};
use crate::model::Model;
use crate::source::raw::{self, Record};
use std::collections::HashMap;

/// For each position and frame whether everything that its record says came into the model.
#[derive(Debug)]
pub(super) struct Complete {
    positions: Vec<bool>,
    frames: Vec<bool>,
}

impl Complete {
    pub(super) fn of(records: &[(RecordRef, Record)], model: &Model, graph: &Graph) -> Complete {
        let by_place: HashMap<RecordRef, &Record> = records.iter().map(|(at, record)| (*at, record)).collect();
        let positions: Vec<bool> = (model.positions.iter())
            .map(|(_, _, position)| {
                written(&by_place, &position.place).is_none_or(|raw| {
                    raw.candidates.len() == position.candidates.len()
                        && raw.nothing_when.is_some() == position.nothing_when.is_some()
                })
            })
            .collect();
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
        });
        let frames = frames.collect();
        Complete { positions, frames }
    }

    pub(super) fn position(&self, id: PositionId) -> bool {
        self.positions[id.index()]
    }
    pub(super) fn frame(&self, id: FrameId) -> bool {
        self.frames[id.index()]
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
