//! The plates of a jig against a state.

use super::stations::definitions_at;
use super::unread::{not_read_of_datums, not_read_of_mounted, not_read_of_stand, not_read_of_station};
use crate::ids::{JigId, PlateId};
use crate::jig::found::{HolesState, PlateStanding, Rests};
use crate::model::Marks;
use crate::prop::Expr;
use crate::resolve::{Basis, Resolver, Truth};
use serde::Serialize;

/// What is to be said of one station of a jig, or of one plate on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum JigVerdict {
    /// The plate is made to the definition that the state needs, by its metal or, not surveyed, by its record: it
    /// stays.
    Right,
    /// The plate is of the variant that the state needs, and the survey that counts proves holes of it out.
    #[serde(rename = "right-variant-holes-out")]
    HolesOut,
    /// The plate is of the variant that the state needs, and the survey that counts decides not all of its holes.
    #[serde(rename = "right-variant-holes-undecided")]
    HolesUndecided,
    /// The state needs another definition at the station.
    WrongVariant,
    /// The state needs a plate at the station, and the holes of this one are those of a plate of the other hand.
    WrongHand,
    /// The state needs a plate, and none is mounted.
    Missing,
    /// The state needs no plate at the station.
    #[serde(rename = "not-needed")]
    Surplus,
    /// The state leaves open which plate is needed, or neither record nor holes say what the plate is.
    Undecided,
    /// No plate is needed and none is mounted.
    NoneNeeded,
    /// Not known, because something that it rests on was not read.
    NotRead,
}

/// One station of a jig; a station that holds or needs several plates comes once for each.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StationVerdict {
    /// The station (an index).
    pub station: usize,
    /// The plate on it (an index).
    pub mounted: Option<usize>,
    /// The definitions that the state needs there or may need, with what the histories say of each.
    pub needed: Vec<(PlateId, Truth)>,
    /// What follows.
    pub verdict: JigVerdict,
    /// What was not read and bears on it; if there is any, it says nothing else.
    pub not_read: Marks,
}

/// Every station of a jig in walking order, on one basis; `standings` are those of its plates.
///
/// A plate that no history needs is of the wrong variant only if every history needs some plate at its station;
/// otherwise it is surplus or, while that is open, undecided.
pub fn verdicts(
    resolver: &mut Resolver<'_>,
    jig: JigId,
    standings: &[PlateStanding],
    basis: Basis,
) -> Vec<StationVerdict> {
    let entry = &resolver.history().model.jigs[jig];
    let mut all = Vec::new();
    for station in 0..entry.stations.len() {
        let definitions = definitions_at(resolver.history().model, resolver.history().graph, jig, station);
        let whens: Vec<Expr> = definitions.iter().map(|plate| resolver.plate_needed(*plate)).collect();
        let some_plate = resolver.truth(&Expr::any(whens.iter().cloned()), basis);
        let truths = whens.iter().map(|when| resolver.truth(when, basis));
        let mut needed: Vec<(PlateId, Truth)> = definitions.iter().copied().zip(truths).collect();
        needed.retain(|(_, truth)| *truth != Truth::Never);
        let here: Vec<usize> = (0..entry.mounted.len()).filter(|at| entry.mounted[*at].station == station).collect();
        let model = resolver.history().model;
        let mut unread = not_read_of_station(resolver.history(), jig, station);
        unread.extend(not_read_of_stand(model, jig));
        let of = |index: usize| not_read_of_mounted(model, jig, index, &standings[index]);
        let mut add = |mounted, needed: &[(PlateId, Truth)], verdict, more: Marks| {
            let not_read: Marks = unread.iter().copied().chain(more).collect();
            let (needed, verdict) =
                if not_read.is_empty() { (needed.to_vec(), verdict) } else { (Vec::new(), JigVerdict::NotRead) };
            all.push(StationVerdict { station, mounted, needed, verdict, not_read });
        };
        if here.is_empty() {
            add(None, &needed, of_empty(some_plate), Marks::new());
            continue;
        }
        for &index in &here {
            let verdict = of_plate(&standings[index], &needed, some_plate);
            let mut more = of(index);
            // What is to be done then hangs on what the plates of a set-up show together.
            if standings[index].examined.is_some() && standings[index].state() != Some(HolesState::Within) {
                more.extend(not_read_of_datums(model, jig, standings, &standings[index]));
            }
            add(Some(index), &needed, verdict, more);
        }
        let mut missing = needed.clone();
        missing.retain(|(plate, truth)| {
            *truth == Truth::Always && !here.iter().any(|at| standings[*at].is == Some(*plate))
        });
        let wanted = needed.iter().filter(|(_, truth)| *truth == Truth::Always).count();
        if wanted > here.len() && !missing.is_empty() {
            add(None, &missing, JigVerdict::Missing, here.iter().flat_map(|at| of(*at)).collect());
        }
    }
    all
}

/// An empty station, given whether some plate is needed there.
fn of_empty(some_plate: Truth) -> JigVerdict {
    match some_plate {
        Truth::Never => JigVerdict::NoneNeeded,
        Truth::Always => JigVerdict::Missing,
        Truth::Open | Truth::NoHistory | Truth::Undecided(_) => JigVerdict::Undecided,
    }
}

/// A plate, given what may be needed at its station and whether something is.
fn of_plate(standing: &PlateStanding, needed: &[(PlateId, Truth)], some_plate: Truth) -> JigVerdict {
    if some_plate == Truth::Never {
        return JigVerdict::Surplus;
    }
    if let (Rests::OtherHand(_), Truth::Always) = (standing.rests, some_plate) {
        return JigVerdict::WrongHand;
    }
    let Some(is) = standing.is else { return JigVerdict::Undecided };
    match needed.iter().find(|(plate, _)| *plate == is) {
        Some((_, Truth::Always)) => match standing.state() {
            None | Some(HolesState::Within) => JigVerdict::Right,
            Some(HolesState::Out) => JigVerdict::HolesOut,
            Some(HolesState::NotDecided) => JigVerdict::HolesUndecided,
        },
        None if some_plate == Truth::Always => JigVerdict::WrongVariant,
        Some((_, Truth::Never | Truth::Open | Truth::NoHistory | Truth::Undecided(_))) | None => JigVerdict::Undecided,
    }
}
