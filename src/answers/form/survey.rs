//! The survey form: nominal places and empty boxes, for a plate or a whole jig; and the form for measuring again after a
//! rework, with limits.

use super::meant::{by_record, unit_of};
use super::{FormAsked, FormHead, FormKind, OnForm, rounded};
use crate::answers::rework::work_on;
use crate::answers::{Outcome, Verdicts};
use crate::ids::JigId;
use crate::jig::examine::Examiner;
use crate::jig::rework::Touched;
use crate::jig::{not_read_of_mounted, not_read_of_stand};
use crate::metrology::position::{deciding_uncertainty, position_guard};
use crate::model::{Hole, Marks, Model};
use crate::quantity::Length;
use crate::resolve::Resolver;
use serde::Serialize;
use std::collections::BTreeMap;

/// A form for measuring plates of a jig. Lengths in millimetres to 0.0001.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SurveyForm {
    /// What stands at its head.
    #[serde(flatten)]
    pub head: FormHead,
    /// The instrument for which limits are given, after a rework.
    pub limits: Option<FormLimits>,
    /// The plates in walking order.
    pub plates: Vec<SurveyFormPlate>,
    /// Stations of which it is not settled what is to be done to them, so that they are not on a form after a rework.
    pub waits: Vec<FormWait>,
    /// What was not read and bears on which plates are on it.
    #[serde(skip)]
    pub not_read: Marks,
}

/// A station that is not on the form.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct FormWait {
    /// Its name.
    pub station: String,
    /// What was not read and bears on what is to be done to it; where nothing is missing, the dossiers leave it open.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// For which instrument limits hold.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FormLimits {
    /// Its uncertainty for one coordinate (k = 2).
    pub uncertainty_mm: f64,
    /// The same as it was written.
    pub uncertainty: String,
}

/// A plate on the form.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SurveyFormPlate {
    /// The station.
    pub station: String,
    /// The mark on the plate; `null`: a new plate.
    pub mark: Option<String>,
    /// The plate drawing; `null`: none is recorded.
    pub plate: Option<String>,
    /// Its holes in the order of the drawing; none without a plate drawing.
    pub holes: Vec<FormHole>,
    /// What uncertainty each tolerance asks for.
    pub zones: Vec<ZoneNeed>,
    /// What was not read and bears on it; then nothing is said of it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// A hole on the form.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FormHole {
    /// Its name.
    pub hole: String,
    /// Whether it is one of the jig's datums.
    pub datum: bool,
    /// Its nominal place.
    pub x_mm: f64,
    /// Its nominal place.
    pub y_mm: f64,
    /// Its nominal place.
    pub z_mm: f64,
    /// Its nominal diameter.
    pub diameter_mm: f64,
    /// The diameter of its tolerance zone.
    pub tolerance_mm: f64,
    /// With limits: up to which position (a diameter) it is proved in tolerance; below 0: never with this instrument.
    pub in_tolerance_up_to_mm: Option<f64>,
    /// With limits: from which position on it is proved out.
    pub out_of_tolerance_from_mm: Option<f64>,
}

/// The uncertainty (k = 2, of one coordinate) that a tolerance asks for. What the datums and the temperature add is not in it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ZoneNeed {
    /// The diameter of the tolerance zone.
    pub tolerance_mm: f64,
    /// The holes that have it.
    pub holes: Vec<String>,
    /// A coarser instrument proves no hole in tolerance, not even one that lies exactly right.
    pub at_most_mm: f64,
    /// Decides a hole that is off by half its tolerance.
    pub needed_mm: f64,
}

/// The blank survey form of a jig, or of some of its plates: for the plates as their records say.
#[must_use]
pub fn survey_form(model: &Model, of: FormAsked, mark: Option<usize>) -> SurveyForm {
    let plates: Vec<OnForm> = by_record(model, of.jig);
    let here = plates.into_iter().filter(|at| of.station.is_none_or(|only| only == at.station));
    let here = here.filter(|at| mark.is_none_or(|only| Some(only) == at.mounted)).collect();
    form(model, FormKind::Survey, of, here, None, Vec::new(), Marks::new())
}

/// The form for measuring again what a rework touches. Limits are for an instrument of the given uncertainty.
#[must_use]
pub fn resurvey_form(
    resolver: &mut Resolver<'_>,
    of: FormAsked,
    examiner: &Examiner<'_>,
    uncertainty: Option<&Length>,
) -> SurveyForm {
    let (standings, work) = work_on(resolver, of.jig, examiner);
    let model = resolver.history().model;
    let entry = &model.jigs[of.jig];
    let touched = work.survey.iter().map(|touched| {
        let (station, mounted, plate) = match *touched {
            Touched::New(station, plate) => (station, None, Some(plate)),
            Touched::Mended(station, mounted) => (station, Some(mounted), standings[mounted].is),
        };
        let mut not_read = Marks::new();
        not_read.extend(plate.iter().flat_map(|plate| model.losses.of_plate(*plate)));
        not_read.extend(
            mounted.iter().flat_map(|mounted| not_read_of_mounted(model, of.jig, *mounted, &standings[*mounted])),
        );
        OnForm { station, mounted, plate, open: Vec::new(), not_read }
    });
    let mut here: Vec<OnForm> = touched.filter(|at| of.station.is_none_or(|only| only == at.station)).collect();
    here.sort_by_key(|at| at.station);
    let mut waiting: BTreeMap<usize, Marks> = BTreeMap::new();
    for ((station, _), marks) in work.waiting() {
        waiting.entry(station).or_default().extend(marks);
    }
    let wait = |(station, not_read): (usize, Marks)| FormWait { station: entry.stations[station].clone(), not_read };
    let waits = waiting.into_iter().map(wait).collect();
    let unread = work.not_read.values().flatten().copied().collect();
    let limits = uncertainty.map(|uncertainty| FormLimits {
        uncertainty_mm: rounded(uncertainty.mm()),
        uncertainty: uncertainty.text.clone(),
    });
    form(model, FormKind::Resurvey, of, here, limits, waits, unread)
}

fn form(
    model: &Model,
    kind: FormKind,
    of: FormAsked,
    on_form: Vec<OnForm>,
    limits: Option<FormLimits>,
    waits: Vec<FormWait>,
    mut not_read: Marks,
) -> SurveyForm {
    let unit = unit_of(model, of.jig, &on_form);
    let plates: Vec<SurveyFormPlate> =
        on_form.into_iter().map(|plate| of_plate(model, of.jig, plate, limits.as_ref())).collect();
    not_read.extend(not_read_of_stand(model, of.jig));
    let all: Marks = plates.iter().flat_map(|plate| &plate.not_read).chain(&not_read).copied().collect();
    let head = FormHead::new(kind, of, model, unit, &(&limits, &plates), &all);
    SurveyForm { head, limits, plates, waits, not_read }
}

fn of_plate(model: &Model, jig: JigId, plate: OnForm, limits: Option<&FormLimits>) -> SurveyFormPlate {
    let entry = &model.jigs[jig];
    let read = plate.read();
    let holes = read.map_or(&[][..], |plate| &model.plates[plate].holes);
    let guard = limits.map(|limits| position_guard(limits.uncertainty_mm));
    let hole = |hole: &Hole| {
        let tolerance = hole.tolerance.mm();
        FormHole {
            hole: hole.name.clone(),
            datum: hole.datum,
            x_mm: rounded(hole.at[0].mm()),
            y_mm: rounded(hole.at[1].mm()),
            z_mm: rounded(hole.at[2].mm()),
            diameter_mm: rounded(hole.diameter.mm()),
            tolerance_mm: rounded(tolerance),
            in_tolerance_up_to_mm: guard.map(|guard| rounded(tolerance - guard)),
            out_of_tolerance_from_mm: guard.map(|guard| rounded(tolerance + guard)),
        }
    };
    SurveyFormPlate {
        station: entry.stations[plate.station].clone(),
        mark: plate.mounted.map(|mounted| entry.mounted[mounted].mark.clone()),
        plate: read.map(|plate| model.plates.name(plate).to_owned()),
        holes: holes.iter().map(hole).collect(),
        zones: zones(holes),
        not_read: plate.not_read,
    }
}

/// What the tolerances ask of the instrument, the finest first.
fn zones(holes: &[Hole]) -> Vec<ZoneNeed> {
    let mut by_zone: Vec<(i64, f64, Vec<String>)> = Vec::new();
    for hole in holes {
        let zone = hole.tolerance.picometres;
        match by_zone.iter_mut().find(|(other, ..)| *other == zone) {
            Some((.., names)) => names.push(hole.name.clone()),
            None => by_zone.push((zone, hole.tolerance.mm(), vec![hole.name.clone()])),
        }
    }
    by_zone.sort_by_key(|(zone, ..)| *zone);
    // The guard band grows in proportion to the uncertainty.
    let deciding = |deviation: f64, zone: f64| deciding_uncertainty(deviation, zone, 1.0, position_guard(1.0));
    let need = |(_, zone, holes): (i64, f64, Vec<String>)| ZoneNeed {
        tolerance_mm: rounded(zone),
        holes,
        at_most_mm: rounded(deciding(0.0, zone)),
        needed_mm: rounded(deciding(zone / 2.0, zone)),
    };
    by_zone.into_iter().map(need).collect()
}

impl Verdicts for SurveyForm {
    fn outcome(&self) -> Outcome {
        Outcome::of(false, !self.waits.is_empty())
    }
    fn not_read(&self) -> Marks {
        let of_plates = self.plates.iter().flat_map(|plate| &plate.not_read);
        of_plates.chain(&self.not_read).copied().chain(self.head.not_read()).collect()
    }
}
