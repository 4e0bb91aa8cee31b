//! The drilling list by diameter, and the list of what is stamped.

use super::meant::{by_record, by_state, unit_of};
use super::{FormAsked, FormHead, FormKind, OnForm, rounded};
use crate::answers::jig::JigStand;
use crate::answers::{Outcome, Verdicts};
use crate::jig::not_read_of_stand;
use crate::model::{Marks, Model};
use crate::schema::Treatment;
use serde::Serialize;

/// The holes of the plates of a jig, by diameter.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DrillingForm {
    /// What stands at its head.
    #[serde(flatten)]
    pub head: FormHead,
    /// Its rows, the smallest diameter first.
    pub rows: Vec<DrillingRow>,
    /// Stations of which the plate is open, or not read.
    pub not_listed: Vec<NotListed>,
    /// What was not read and bears on which stations the jig has.
    #[serde(skip)]
    pub not_read: Marks,
}

/// Holes of one diameter, made alike, of one plate.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DrillingRow {
    /// The diameter.
    pub diameter_mm: f64,
    /// The diameter as the plate drawing writes it.
    pub diameter: String,
    /// How they are made, where that is recorded.
    pub treatment: Option<Treatment>,
    /// The station.
    pub station: String,
    /// The plate drawing.
    pub plate: String,
    /// The holes by name.
    pub holes: Vec<String>,
}

/// A station of which a list says nothing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct NotListed {
    /// The station.
    pub station: String,
    /// The plate drawings that may be needed, where that is open; none: no plate drawing is recorded.
    pub open: Vec<String>,
    /// What was not read and bears on it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// What is stamped on the plates of a jig.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StampingForm {
    /// What stands at its head.
    #[serde(flatten)]
    pub head: FormHead,
    /// Its rows, in walking order.
    pub rows: Vec<StampingRow>,
    /// Stations of which the plate is open, or not read.
    pub not_listed: Vec<NotListed>,
    /// What was not read and bears on which stations the jig has.
    #[serde(skip)]
    pub not_read: Marks,
}

/// What is stamped on a plate.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct StampingRow {
    /// The station.
    pub station: String,
    /// The mark on the plate, where it is there.
    pub mark: Option<String>,
    /// The plate drawing.
    pub plate: String,
    /// Its issue, where that is recorded.
    pub issue: Option<String>,
    /// What is stamped on the marked face.
    pub stamp: String,
    /// Whether the plate drawing gives that text; else it is made of number and issue.
    pub recorded: bool,
}

/// The plates of a list, and the stations that it leaves out.
fn listed(model: &Model, of: &FormAsked, stand: Option<&JigStand>) -> (Vec<OnForm>, Vec<NotListed>) {
    let plates = stand.map_or_else(|| by_record(model, of.jig), |stand| by_state(model, of.jig, stand));
    let here = plates.into_iter().filter(|at| of.station.is_none_or(|only| only == at.station));
    let (known, others): (Vec<OnForm>, Vec<OnForm>) = here.partition(|plate| plate.read().is_some());
    let stations = &model.jigs[of.jig].stations;
    let others = others.into_iter().map(|plate| NotListed {
        station: stations[plate.station].clone(),
        open: plate.open.iter().map(|plate| model.plates.name(*plate).to_owned()).collect(),
        not_read: plate.not_read,
    });
    (known, others.collect())
}

fn marks(not_listed: &[NotListed], not_read: &Marks) -> Marks {
    not_listed.iter().flat_map(|station| &station.not_read).chain(not_read).copied().collect()
}

/// The drilling list of a jig: for the state that `stand` is of, or for the plates as their records say.
#[must_use]
pub fn drilling_form(model: &Model, of: FormAsked, stand: Option<&JigStand>) -> DrillingForm {
    let (plates, not_listed) = listed(model, &of, stand);
    let unit = unit_of(model, of.jig, &plates);
    let stations = &model.jigs[of.jig].stations;
    let mut rows: Vec<DrillingRow> = Vec::new();
    for at in &plates {
        let Some(plate) = at.read() else { continue };
        let first = rows.len();
        for hole in &model.plates[plate].holes {
            let diameter_mm = rounded(hole.diameter.mm());
            let alike = rows[first..]
                .iter_mut()
                .find(|row| row.diameter_mm.total_cmp(&diameter_mm).is_eq() && row.treatment == hole.treatment);
            match alike {
                Some(row) => row.holes.push(hole.name.clone()),
                None => rows.push(DrillingRow {
                    diameter_mm,
                    diameter: hole.diameter.text.clone(),
                    treatment: hole.treatment,
                    station: stations[at.station].clone(),
                    plate: model.plates.name(plate).to_owned(),
                    holes: vec![hole.name.clone()],
                }),
            }
        }
    }
    rows.sort_by(|a, b| a.diameter_mm.total_cmp(&b.diameter_mm).then_with(|| a.treatment.cmp(&b.treatment)));
    let not_read = not_read_of_stand(model, of.jig);
    let all = marks(&not_listed, &not_read);
    let head = FormHead::new(FormKind::Drilling, of, model, unit, &rows, &all);
    DrillingForm { head, rows, not_listed, not_read }
}

/// The stamping list of a jig: for the state that `stand` is of, or for the plates as their records say.
#[must_use]
pub fn stamping_form(model: &Model, of: FormAsked, stand: Option<&JigStand>) -> StampingForm {
    let (plates, not_listed) = listed(model, &of, stand);
    let unit = unit_of(model, of.jig, &plates);
    let entry = &model.jigs[of.jig];
    let row = |at: &OnForm| {
        let plate = at.read()?;
        let (number, of_plate) = (model.plates.name(plate), &model.plates[plate]);
        Some(StampingRow {
            station: entry.stations[at.station].clone(),
            mark: at.mounted.map(|mounted| entry.mounted[mounted].mark.clone()),
            plate: number.to_owned(),
            issue: of_plate.issue.clone(),
            stamp: stamp_text(model, plate),
            recorded: of_plate.stamp.is_some(),
        })
    };
    let rows: Vec<StampingRow> = plates.iter().filter_map(row).collect();
    let not_read = not_read_of_stand(model, of.jig);
    let all = marks(&not_listed, &not_read);
    let head = FormHead::new(FormKind::Stamping, of, model, unit, &rows, &all);
    StampingForm { head, rows, not_listed, not_read }
}

/// What is stamped on a plate: what its drawing says, else its number and issue.
#[must_use]
pub(crate) fn stamp_text(model: &Model, plate: crate::ids::PlateId) -> String {
    let of = &model.plates[plate];
    let issue = of.issue.as_ref().map_or(String::new(), |issue| format!(" {issue}"));
    of.stamp.clone().unwrap_or_else(|| format!("{}{issue}", model.plates.name(plate)))
}

impl Verdicts for DrillingForm {
    fn outcome(&self) -> Outcome {
        Outcome::of(false, self.not_listed.iter().any(|station| station.not_read.is_empty()))
    }
    fn not_read(&self) -> Marks {
        marks(&self.not_listed, &self.not_read).into_iter().chain(self.head.not_read()).collect()
    }
}

impl Verdicts for StampingForm {
    fn outcome(&self) -> Outcome {
        Outcome::of(false, self.not_listed.iter().any(|station| station.not_read.is_empty()))
    }
    fn not_read(&self) -> Marks {
        marks(&self.not_listed, &self.not_read).into_iter().chain(self.head.not_read()).collect()
    }
}
