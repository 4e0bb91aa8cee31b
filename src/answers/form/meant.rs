//! Which plates a form is of.

use crate::answers::asked::Say;
use crate::answers::jig::JigStand;
use crate::ids::{JigId, PlateId};
use crate::jig::{JigVerdict, not_read_of_plate_record, not_read_of_stand};
use crate::model::{Marks, Model};
use crate::words::survey::Unit;

/// A place of a jig with the plate that a form is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OnForm {
    /// The station (an index).
    pub station: usize,
    /// The plate on it (an index), where the form is about that one.
    pub mounted: Option<usize>,
    /// The plate drawing.
    pub plate: Option<PlateId>,
    /// The plate drawings that may be needed, where that is open.
    pub open: Vec<PlateId>,
    /// What was not read and bears on it; then nothing is said of it.
    pub not_read: Marks,
}

impl OnForm {
    /// The plate drawing, where all of it was read.
    pub(super) fn read(&self) -> Option<PlateId> {
        self.plate.filter(|_| self.not_read.is_empty())
    }
}

/// The plates on a jig, in walking order, as their records say.
#[must_use]
pub(super) fn by_record(model: &Model, jig: JigId) -> Vec<OnForm> {
    let entry = &model.jigs[jig];
    let stand = not_read_of_stand(model, jig);
    let mut found = Vec::new();
    for station in 0..entry.stations.len() {
        let here = (0..entry.mounted.len()).filter(|plate| entry.mounted[*plate].station == station);
        for mounted in here {
            let plate = entry.mounted[mounted].made_to;
            let mut not_read = stand.clone();
            not_read.extend(not_read_of_plate_record(model, jig, mounted));
            found.push(OnForm { station, mounted: Some(mounted), plate, open: Vec::new(), not_read });
        }
    }
    found.into_iter().map(|plate| with_definition(model, plate)).collect()
}

/// The plates that a state needs on a jig, in walking order; the plate on a station is named where it is the right one.
#[must_use]
pub(super) fn by_state(model: &Model, jig: JigId, stand: &JigStand) -> Vec<OnForm> {
    let entry = &model.jigs[jig];
    let mut found: Vec<OnForm> = Vec::new();
    for row in &stand.stations {
        let Some(station) = entry.stations.iter().position(|name| *name == row.station) else { continue };
        let mounted = entry.mounted.iter().position(|plate| Some(&plate.mark) == row.mark.as_ref());
        let is_right =
            |verdict| matches!(verdict, JigVerdict::Right | JigVerdict::HolesOut | JigVerdict::HolesUndecided);
        let id = |name: &String| model.plates.id(name);
        let sure = row.needed.iter().filter(|need| need.needed.firm == Say::Yes && need.needed.held == Say::Yes);
        let sure: Vec<PlateId> = sure.filter_map(|need| id(&need.plate)).collect();
        let not_read = row.not_read.clone();
        if !not_read.is_empty() {
            found.push(OnForm { station, mounted, plate: None, open: Vec::new(), not_read });
            continue;
        }
        for plate in &sure {
            let on_it =
                mounted.filter(|_| is_right(row.verdict.firm) && row.counts_as.as_ref().and_then(id) == Some(*plate));
            let known = found.iter_mut().find(|other| other.station == station && other.plate == Some(*plate));
            if let Some(known) = known {
                known.mounted = known.mounted.or(on_it);
            } else {
                let open = Vec::new();
                found.push(OnForm { station, mounted: on_it, plate: Some(*plate), open, not_read: Marks::new() });
            }
        }
        let may = row.needed.iter().filter(|need| need.needed.firm != Say::No || need.needed.held != Say::No);
        let open: Vec<PlateId> = may.filter_map(|need| id(&need.plate)).filter(|plate| !sure.contains(plate)).collect();
        if !open.is_empty() && !found.iter().any(|other| other.station == station && other.open == open) {
            found.push(OnForm { station, mounted: None, plate: None, open, not_read });
        }
    }
    found.sort_by_key(|plate| plate.station);
    found.into_iter().map(|plate| with_definition(model, plate)).collect()
}

/// The same with what was not read of the plate drawing and of what it locates.
fn with_definition(model: &Model, mut of: OnForm) -> OnForm {
    of.not_read.extend(of.plate.iter().flat_map(|plate| model.losses.of_plate(*plate)));
    of
}

/// The unit of a form: that of the first of its plates.
#[must_use]
pub(super) fn unit_of(model: &Model, jig: JigId, plates: &[OnForm]) -> Unit {
    let first = plates.iter().filter_map(OnForm::read).find(|plate| !model.plates[*plate].holes.is_empty());
    let at_stations = || {
        let stations = &model.jigs[jig].stations;
        model.plates.ids().find(|plate| stations.contains(&model.plates[*plate].jig_station))
    };
    first.or_else(at_stations).map_or(Unit::Millimetres, |plate| Unit::of(&model.plates[plate]))
}
