//! What parts were formed on, against what that plate or tool was on the day; and who has not inspected which stage.

use crate::ids::{JigId, PartId, PlateId};
use crate::jig::examine::Examiner;
use crate::jig::found::{Examined, HolesState, PlateStanding};
use crate::jig::{
    Proved, Rests, not_read_of_patterns, not_read_of_plate_record, not_read_of_stand, not_read_of_surveys,
};
use crate::model::{FormedOn, FormingPlace, MadePart, Marks, Model, MountedPlate, Survey};
use crate::quantity::Window;
use std::collections::BTreeSet;

/// What a plate or a tool was on the day that a part was formed on it. Surveys are indices of the model's.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FormedState {
    /// It is for the part, and by a survey of the condition that it was in no hole is out.
    Surveyed(usize),
    /// It is for the part by its record; nothing else is known.
    ByRecord,
    /// It is of a plate drawing that does not locate the part: by its record, or by its holes in a survey.
    OtherPlate(PlateId, Option<usize>),
    /// By its holes it was of the other hand.
    OtherHand(usize),
    /// Holes were proved out of tolerance.
    HolesOut(usize),
    /// A survey was made of that condition and does not decide it.
    NotDecided(usize),
    /// It was changed afterwards, and not surveyed before: what it was then is not recorded.
    ChangedSince,
    /// What it was made to is not recorded.
    NotRecorded,
    /// It was made only afterwards.
    NotYetMade,
    /// The tool is for other parts.
    OtherTool,
}

impl FormedState {
    /// Whether it was certainly wrong, by survey or by record.
    #[must_use]
    pub fn is_wrong(self) -> bool {
        match self {
            FormedState::OtherPlate(..)
            | FormedState::OtherHand(_)
            | FormedState::HolesOut(_)
            | FormedState::NotYetMade
            | FormedState::OtherTool => true,
            FormedState::Surveyed(_)
            | FormedState::ByRecord
            | FormedState::NotDecided(_)
            | FormedState::ChangedSince
            | FormedState::NotRecorded => false,
        }
    }

    /// The survey that says so.
    #[must_use]
    pub fn survey(self) -> Option<usize> {
        match self {
            FormedState::Surveyed(survey)
            | FormedState::OtherHand(survey)
            | FormedState::HolesOut(survey)
            | FormedState::NotDecided(survey) => Some(survey),
            FormedState::OtherPlate(_, survey) => survey,
            FormedState::ByRecord
            | FormedState::ChangedSince
            | FormedState::NotRecorded
            | FormedState::NotYetMade
            | FormedState::OtherTool => None,
        }
    }
}

/// What the plate or tool was on the day that a part was formed on it.
#[must_use]
pub fn formed(model: &Model, examiner: &Examiner<'_>, part: PartId, formed: &FormedOn) -> FormedState {
    let (jig, mounted) = match formed.on {
        FormingPlace::Plate(jig, mounted) => (jig, mounted),
        FormingPlace::Tool(tool) => {
            let made_to = &model.tools[tool].made_to;
            return match (made_to.is_empty(), made_to.contains(&part)) {
                (true, _) => FormedState::NotRecorded,
                (false, true) => FormedState::ByRecord,
                (false, false) => FormedState::OtherTool,
            };
        }
    };
    let plate = &model.jigs[jig].mounted[mounted];
    if plate.made.as_ref().is_some_and(|made| formed.date.is_before(made)) {
        return FormedState::NotYetMade;
    }
    let changed = plate.reworked.as_ref();
    let as_now = changed.is_none_or(|changed| changed.is_before(&formed.date));
    // The record says what the plate is now, and what it was only if it was not changed since.
    let record = plate.made_to.filter(|_| as_now);
    let mut found = None;
    for survey in surveys_of(model, jig, mounted, plate, &formed.date) {
        let (proved, found_out) = (Proved::Surveyed(survey), examiner.examine(survey));
        let standing = PlateStanding::of(model, record, proved, Some(found_out));
        let said = by_survey(model, part, survey, &standing);
        // One that proves a fault counts before one that does not decide it.
        if found.is_none() || said.is_wrong() || matches!(found, Some(FormedState::NotDecided(_))) {
            found = Some(said);
        }
        if said.is_wrong() {
            break;
        }
    }
    found.unwrap_or_else(|| match record {
        _ if !as_now => FormedState::ChangedSince,
        None => FormedState::NotRecorded,
        Some(made_to) if model.plates[made_to].locates.contains(&part) => FormedState::ByRecord,
        Some(made_to) => FormedState::OtherPlate(made_to, None),
    })
}

fn by_survey(model: &Model, part: PartId, survey: usize, standing: &PlateStanding) -> FormedState {
    if let Rests::OtherHand(_) = standing.rests {
        return FormedState::OtherHand(survey);
    }
    let Some(is) = standing.is else { return FormedState::NotDecided(survey) };
    if !model.plates[is].locates.contains(&part) {
        return if standing.rests == Rests::NotDistinguished {
            FormedState::NotDecided(survey)
        } else {
            FormedState::OtherPlate(is, Some(survey))
        };
    }
    match standing.examined.as_ref().and_then(Examined::state) {
        Some(HolesState::Out) => FormedState::HolesOut(survey),
        Some(HolesState::Within) => FormedState::Surveyed(survey),
        Some(HolesState::NotDecided) | None => FormedState::NotDecided(survey),
    }
}

/// The surveys of a plate between which and the day it was certainly not changed, as far as its record says; the nearest
/// to the day first.
fn surveys_of(model: &Model, jig: JigId, mounted: usize, plate: &MountedPlate, day: &Window) -> Vec<usize> {
    let same_condition = |survey: &Survey| match &plate.reworked {
        None => true,
        Some(changed) => {
            let (both_before, both_after) = (
                day.is_before(changed) && survey.date.is_before(changed),
                changed.is_before(day) && changed.is_before(&survey.date),
            );
            both_before || both_after
        }
    };
    let of_plate =
        model.surveys.iter().enumerate().filter(|(_, survey)| survey.jig == jig && survey.mounted == mounted);
    let mut found: Vec<usize> = of_plate.filter(|(_, survey)| same_condition(survey)).map(|(index, _)| index).collect();
    // The last one before the day, and then those after it.
    found.sort_by_key(|index| {
        let survey = &model.surveys[*index];
        let after = day.is_before(&survey.date);
        (after, survey.date.first())
    });
    found
}

/// What was not read and may bear on it.
#[must_use]
pub fn not_read_of_formed(model: &Model, formed: &FormedOn, state: FormedState) -> Marks {
    if model.losses.is_empty() {
        return Marks::new();
    }
    match formed.on {
        FormingPlace::Plate(jig, mounted) => {
            let mut marks = not_read_of_stand(model, jig);
            marks.extend(not_read_of_surveys(model, jig, Some(mounted)));
            marks.extend(not_read_of_plate_record(model, jig, mounted));
            if let Some(survey) = state.survey() {
                marks.extend(not_read_of_patterns(model));
                marks.extend(model.losses.of_survey(survey));
            }
            let made_to = model.jigs[jig].mounted[mounted].made_to;
            marks.extend(made_to.into_iter().flat_map(|plate| model.losses.of_plate(plate)));
            marks
        }
        FormingPlace::Tool(tool) => model.losses.of_record(model.tools[tool].record),
    }
}

/// The stages (indices of the shop's) that were done on a part, by its record, and of which no inspection is recorded.
#[must_use]
pub fn not_inspected(made: &MadePart) -> Vec<usize> {
    let lacking = made.work.iter().filter(|done| done.inspected_by.is_none());
    lacking.map(|done| done.stage).collect::<BTreeSet<_>>().into_iter().collect()
}
