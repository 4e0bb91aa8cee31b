//! The plates of a jig against a state.

use crate::ids::{JigId, PartId, PlateId};
use crate::resolve::{Basis, Resolver, Truth};
use std::collections::BTreeSet;

/// What is to be said of one station of a jig, or of one plate on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// The plate is made to the definition that the state needs: it stays.
    Right,
    /// The state needs another definition at the station.
    WrongVariant,
    /// The state needs a plate, and none is mounted.
    Missing,
    /// The state needs no plate at the station.
    Surplus,
    /// The state leaves open which plate is needed, or nothing says what the plate was made to.
    Undecided,
    /// No plate is needed and none is mounted.
    NoneNeeded,
}

/// One station of a jig; a station that holds several plates comes once for each.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StationVerdict {
    /// The station (an index).
    pub station: usize,
    /// The plate on it (an index).
    pub mounted: Option<usize>,
    /// The definitions that the state needs there or may need, with what the histories say of each.
    pub needed: Vec<(PlateId, Truth)>,
    /// What follows.
    pub verdict: Verdict,
}

/// Every station of a jig in walking order, on one basis.
pub fn verdicts(resolver: &mut Resolver<'_>, jig: JigId, basis: Basis) -> Vec<StationVerdict> {
    let entry = &resolver.history().model.jigs[jig];
    let mut all = Vec::new();
    for station in 0..entry.stations.len() {
        let mut needed = Vec::new();
        for plate in definitions_at(resolver, jig, station) {
            let when = resolver.plate_needed(plate);
            needed.push((plate, resolver.truth(&when, basis)));
        }
        needed.retain(|(_, truth)| *truth != Truth::Never);
        let here = entry.mounted.iter().enumerate().filter(|(_, plate)| plate.station == station);
        let mounted: Vec<Option<usize>> = here.map(|(index, _)| Some(index)).collect();
        for mounted in if mounted.is_empty() { vec![None] } else { mounted } {
            let verdict = match mounted {
                None => of_empty(&needed),
                Some(index) => of_plate(entry.mounted[index].made_to, &needed),
            };
            all.push(StationVerdict { station, mounted, needed: needed.clone(), verdict });
        }
    }
    all
}

fn of_empty(needed: &[(PlateId, Truth)]) -> Verdict {
    if needed.is_empty() {
        Verdict::NoneNeeded
    } else if needed.iter().any(|(_, truth)| *truth == Truth::Always) {
        Verdict::Missing
    } else {
        Verdict::Undecided
    }
}

fn of_plate(made_to: Option<PlateId>, needed: &[(PlateId, Truth)]) -> Verdict {
    if needed.is_empty() {
        return Verdict::Surplus;
    }
    let Some(made_to) = made_to else { return Verdict::Undecided };
    match needed.iter().find(|(plate, _)| *plate == made_to) {
        Some((_, Truth::Always)) => Verdict::Right,
        Some((_, Truth::Never | Truth::Open | Truth::NoHistory | Truth::Undecided(_))) => Verdict::Undecided,
        None if needed.iter().all(|(_, truth)| matches!(truth, Truth::NoHistory | Truth::Undecided(_))) => {
            Verdict::Undecided
        }
        None => Verdict::WrongVariant,
    }
}

/// The plate definitions for a station (an index) of a jig: those for a station of that name that locate a part of the
/// jig's frame.
#[must_use]
pub fn definitions_at(resolver: &Resolver<'_>, jig: JigId, station: usize) -> Vec<PlateId> {
    let history = resolver.history();
    let (model, graph) = (history.model, history.graph);
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
