//! What a station of a jig is for.

use crate::ids::{JigId, PartId, PlateId};
use crate::model::Model;
use std::collections::BTreeSet;

/// The plate definitions for a station (an index) of a jig, in table order: those for a station of that name that
/// locate a part of the jig's frame.
#[must_use]
pub fn definitions_at(model: &Model, graph: &crate::graph::Graph, jig: JigId, station: usize) -> Vec<PlateId> {
    let jig = &model.jigs[jig];
    let positions = graph.positions_below(model.frames[jig.frame].assembly);
    let parts: BTreeSet<PartId> = positions
        .iter()
        .flat_map(|position| model.positions[*position].candidates.iter().map(|candidate| candidate.part))
        .collect();
    let here = model.plates.iter().filter(|(_, _, plate)| {
        plate.jig_station == jig.stations[station] && plate.locates.iter().any(|part| parts.contains(part))
    });
    here.map(|(id, ..)| id).collect()
}
