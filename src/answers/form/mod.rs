//! Forms for the bench: what is set, measured, drilled and stamped on a jig, to be printed or filled in a spreadsheet.
//!
//! A form is of the plates that a state needs, or of the plates on the jig as their records say. It carries the date of its
//! printing, which is given to it, and a fingerprint of what it was computed from: two forms with the same fingerprint ask for
//! the same thing.

mod lists;
mod meant;
mod pages;
mod setting;
mod survey;
mod survey_pages;

pub(crate) use lists::stamp_text;
pub use lists::{DrillingForm, DrillingRow, StampingForm, StampingRow, drilling_form, stamping_form};
pub use meant::OnForm;
pub(crate) use pages::treatment_word;
pub use pages::{drilling_page, setting_page, stamping_page};
pub use setting::{
    BetweenPlates, DistanceKind, Dowel, DowelLine, SettingForm, SettingStation, StrikePath, StrikePoint, setting_form,
};
pub use survey::{FormHole, FormLimits, FormWait, SurveyForm, SurveyFormPlate, ZoneNeed, resurvey_form, survey_form};
pub use survey_pages::{survey_form_page, survey_form_sheet};

use super::asked::Asked;
use crate::ids::JigId;
use crate::model::{Marks, Model};
use crate::quantity::check_code;
use crate::words::survey::Unit;
use serde::Serialize;

/// Which form it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FormKind {
    /// Where plates and their dowels are set.
    Setting,
    /// To be filled in where plates are measured.
    Survey,
    /// To be filled in where plates are measured after a rework.
    Resurvey,
    /// Holes by diameter.
    Drilling,
    /// What is stamped on plates.
    Stamping,
}

/// What stands at the head of every form.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct FormHead {
    /// Which form it is.
    pub form: FormKind,
    /// Which airframe and state; `null`: of the plates as their records say.
    pub asked: Option<Asked>,
    /// The jig.
    pub jig: String,
    /// The frame that is built on it.
    pub frame: String,
    /// The unit in which it is printed: `in` or `mm`. Lengths in JSON are millimetres.
    pub unit: &'static str,
    /// The day of printing, as given.
    pub printed: String,
    /// A check code of what it was computed from; `null` where something was not read.
    pub fingerprint: Option<String>,
}

/// What every form is asked with.
#[derive(Clone, Debug)]
pub struct FormAsked {
    /// The state; `None`: the plates as their records say.
    pub asked: Option<Asked>,
    /// The jig.
    pub jig: JigId,
    /// Only the plates of this station (an index).
    pub station: Option<usize>,
    /// The day of printing.
    pub printed: String,
}

impl FormHead {
    /// The head of a form with what it was computed from, unless something of that was not read.
    fn new(
        form: FormKind,
        of: FormAsked,
        model: &Model,
        unit: Unit,
        body: &impl Serialize,
        not_read: &Marks,
    ) -> FormHead {
        let jig = model.jigs.name(of.jig).to_owned();
        let state = of.asked.as_ref().map(|asked| {
            let build_state = asked.build_state.as_deref().unwrap_or_default();
            format!("{} {} {build_state}", asked.airframe, asked.date)
        });
        let body = serde_json::to_string(body).expect("a form holds nothing that JSON cannot");
        let code = check_code([&*jig, state.as_deref().unwrap_or_default(), &*body]);
        FormHead {
            form,
            asked: of.asked,
            jig,
            frame: model.frames.name(model.jigs[of.jig].frame).to_owned(),
            unit: unit.of_places(),
            printed: of.printed,
            fingerprint: not_read.is_empty().then_some(code),
        }
    }

    /// The unit in which it is printed.
    fn places(&self) -> Unit {
        if self.unit == "in" { Unit::Inches } else { Unit::Millimetres }
    }

    /// What was not read and bears on which state it is of.
    fn not_read(&self) -> Marks {
        self.asked.as_ref().map(|asked| asked.not_read.iter().copied().collect()).unwrap_or_default()
    }
}

/// To 0.0001 mm.
fn rounded(mm: f64) -> f64 {
    let rounded = (mm * 1e4).round() / 1e4;
    if rounded == 0.0 { 0.0 } else { rounded }
}
