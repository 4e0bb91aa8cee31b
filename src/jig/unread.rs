//! What was not read and bears on a jig: on what stands on it, on what its stations need, on what its surveys prove.

use crate::finding::{Place, PlaceStep};
use crate::history::History;
use crate::ids::{FrameId, JigId};
use crate::jig::found::{DatumBasis, PlateStanding};
use crate::jig::stations::definitions_at;
use crate::model::{Loss, Marks, Model};
use std::collections::BTreeSet;

/// What may bear on which definition any measured holes are: they are compared with every definition.
#[must_use]
pub fn not_read_of_patterns(model: &Model) -> Marks {
    let what_it_locates = |loss: &Loss| !loss.whole && path(loss).first() == Some(&PlaceStep::Field("locates"));
    model.losses.marks(|loss| loss.may_be("Plate") && !what_it_locates(loss))
}

/// The jigs that could not be read and may be of the frame; of any frame, if none is named.
#[must_use]
pub fn not_read_of_jigs(model: &Model, frame: Option<FrameId>) -> Marks {
    model.losses.marks(|loss| {
        let names = |name: &str| loss.mentions.name(name);
        loss.whole
            && loss.may_be("Jig")
            && frame.is_none_or(|frame| names(model.frames.name(frame)) || !model.frames.names().any(names))
    })
}

/// What may bear on what a jig's own record says of its stations and of which plates stand where; what it is set for has
/// no bearing on that.
#[must_use]
pub fn not_read_of_stand(model: &Model, jig: JigId) -> Marks {
    model.losses.marks(|loss| {
        loss.touches.jigs.has(jig) && loss.may_be("Jig") && !loss.is_set_for() && plate_of(model, jig, loss).is_none()
    })
}

/// What may bear on what a mounted plate (an index) is and on what its surveys prove.
#[must_use]
pub fn not_read_of_mounted(model: &Model, jig: JigId, mounted: usize, standing: &PlateStanding) -> Marks {
    if model.losses.is_empty() {
        return Marks::new();
    }
    let mut marks = not_read_of_stand(model, jig);
    marks.extend(not_read_of_surveys(model, jig, Some(mounted)));
    marks.extend(not_read_of_plate_record(model, jig, mounted));
    if let Some(examined) = &standing.examined {
        marks.extend(not_read_of_patterns(model));
        marks.extend(model.losses.of_survey(examined.survey));
    }
    marks
}

/// What may bear on what a mounted plate's (an index) own record says: what it was made to, and when.
#[must_use]
pub fn not_read_of_plate_record(model: &Model, jig: JigId, mounted: usize) -> Marks {
    let place = &model.jigs[jig].mounted[mounted].place;
    model.losses.marks(|loss| loss.touches.jigs.has(jig) && plate_of(model, jig, loss) == Some(place))
}

/// What may bear on the surveys of a jig: of one plate (an index), or of any.
#[must_use]
pub fn not_read_of_surveys(model: &Model, jig: JigId, mounted: Option<usize>) -> Marks {
    let plates = &model.jigs[jig].mounted;
    model.losses.marks(|loss| {
        let names = |at: usize| loss.mentions.name(&plates[at].mark);
        // A survey that names a plate of the jig, and whose mark was read, is of that plate alone.
        let names_others =
            !matches!(path(loss), [PlaceStep::Field("mark" | "jig"), ..]) && (0..plates.len()).any(names);
        loss.touches.jigs.has(jig) && loss.may_be("Survey") && (!names_others || mounted.is_none_or(names))
    })
}

/// What may bear on how a plate is set right that stands on the jig's axes: whether the jig as a whole is off shows in
/// all its plates together.
#[must_use]
pub(super) fn not_read_of_datums(model: &Model, jig: JigId, standings: &[PlateStanding], of: &PlateStanding) -> Marks {
    let on_axes = of.examined.as_ref().is_some_and(|examined| examined.basis == DatumBasis::JigAxes);
    if !on_axes || model.losses.is_empty() {
        return Marks::new();
    }
    let plates = standings.iter().enumerate();
    plates.flat_map(|(index, standing)| not_read_of_mounted(model, jig, index, standing)).collect()
}

/// What may bear on which plates a station (an index) of a jig needs.
#[must_use]
pub(super) fn not_read_of_station(history: &History<'_>, jig: JigId, station: usize) -> Marks {
    let model = history.model;
    if model.losses.is_empty() {
        return Marks::new();
    }
    let entry = &model.jigs[jig];
    let name = entry.stations[station].as_str();
    let known: BTreeSet<_> = definitions_at(model, history.graph, jig, station).into_iter().collect();
    // What is not known below the frame may be what another definition for the station locates.
    let whole = history.not_read_below(model.frames[entry.frame].assembly).is_empty();
    let may_serve =
        model.plates.iter().filter(|(id, _, plate)| if whole { known.contains(id) } else { plate.jig_station == name });
    let mut marks: Marks = may_serve.flat_map(|(id, ..)| history.not_read_of_plate(id)).collect();
    let stations = || {
        let of_jigs = model.jigs.iter().flat_map(|(_, _, jig)| jig.stations.iter());
        of_jigs.chain(model.plates.iter().map(|(_, _, plate)| &plate.jig_station))
    };
    marks.extend(model.losses.marks(|loss| {
        let names = |station: &String| loss.mentions.name(station);
        loss.whole && loss.may_be("Plate") && (loss.mentions.name(name) || !stations().any(names))
    }));
    marks
}

/// The path to a loss within its record.
fn path(loss: &Loss) -> &[PlaceStep] {
    if let Place::Record(_, path) = &loss.place { path } else { &[] }
}

/// The place of the one mounted plate of a jig that a loss of the jig's record bears on.
fn plate_of<'m>(model: &'m Model, jig: JigId, loss: &Loss) -> Option<&'m Place> {
    let [mounted @ PlaceStep::Field("mounted"), item, PlaceStep::Field("made_to" | "made" | "reworked"), ..] =
        path(loss)
    else {
        return None;
    };
    let Place::Record(record, _) = &loss.place else { return None };
    let place = Place::Record(*record, vec![*mounted, *item]);
    model.jigs[jig].mounted.iter().map(|plate| &plate.place).find(|other| **other == place)
}
