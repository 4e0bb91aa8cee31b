//! What parts were formed on, and which of their stages were not inspected.

use crate::codes;
use crate::finding::Finding;
use crate::jig::examine::Examiner;
use crate::model::{FormedOn, FormingPlace, MadePart, Model};
use crate::shop::{FormedState, formed, not_inspected, not_read_of_formed};
use crate::words::{date_text, listed, tool_kind_word};

pub(super) fn check(model: &Model, examiner: &Examiner<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for made in &model.made_parts {
        for on in &made.formed_on {
            let state = formed(model, examiner, made.part, on);
            // What was lost has its finding, and may say otherwise.
            if not_read_of_formed(model, on, state).is_empty() {
                findings.extend(of_forming(model, made, on, state));
            }
        }
        findings.extend(inspections(model, made));
    }
    findings
}

fn of_forming(model: &Model, made: &MadePart, on: &FormedOn, state: FormedState) -> Option<Finding> {
    let name = model.parts.name(made.part);
    let day = date_text(&on.date.text);
    let (what, record) = match on.on {
        FormingPlace::Plate(jig, mounted) => {
            let plate = &model.jigs[jig].mounted[mounted];
            (format!("the plate `{}` of jig `{}`", plate.mark, model.jigs.name(jig)), plate.place.clone())
        }
        FormingPlace::Tool(tool) => {
            let tool = &model.tools[tool];
            (format!("the {} `{}`", tool_kind_word(tool.kind), tool.mark), tool.record.place())
        }
    };
    let why = match state {
        FormedState::OtherPlate(plate, Some(_)) => {
            format!("whose holes were then those of `{}`, which does not locate it", model.plates.name(plate))
        }
        FormedState::OtherPlate(plate, None) => {
            format!("which is made to `{}`, and that does not locate it", model.plates.name(plate))
        }
        FormedState::OtherHand(_) => "whose holes were then of the other hand".to_owned(),
        FormedState::HolesOut(_) => "whose holes were then out of tolerance".to_owned(),
        FormedState::NotYetMade => "which was made only afterwards".to_owned(),
        FormedState::OtherTool => "which is made to other parts".to_owned(),
        FormedState::ChangedSince => {
            let message = format!(
                "`{name}` was formed on {day} on {what}, which was changed afterwards and not surveyed before: what the plate \
                 was then is not recorded"
            );
            let changed = if let FormingPlace::Plate(..) = on.on { record.field("reworked") } else { record };
            let finding = Finding::new(codes::FORMED_ON_CHANGED, message, on.place.clone(), "formed on it");
            return Some(
                finding
                    .label(changed, "changed")
                    .help("compare the part itself with its drawing, and enter what is found in its note"),
            );
        }
        FormedState::Surveyed(_) | FormedState::ByRecord | FormedState::NotDecided(_) | FormedState::NotRecorded => {
            return None;
        }
    };
    let message = format!("`{name}` was formed on {day} on {what}, {why}");
    let mut finding = Finding::new(codes::FORMED_ON_WRONG, message, on.place.clone(), "formed on it");
    finding = match state.survey() {
        Some(survey) => {
            let survey = &model.surveys[survey];
            finding.label(survey.record.field("date"), format!("survey `{}`", survey.id))
        }
        None if state == FormedState::NotYetMade => finding.label(record.field("made"), "made"),
        None => finding.label(record.field("made_to"), "made to"),
    };
    Some(finding.help(format!(
        "check the mark and the day first; if they are right, compare `{name}` with its drawing before it is fitted"
    )))
}

fn inspections(model: &Model, made: &MadePart) -> Option<Finding> {
    let lacking = not_inspected(made);
    let stages = model.config.stages.known()?;
    let named = listed(lacking.iter().map(|stage| stages.names[*stage].as_str()), "and");
    let mut places = made.work.iter().filter(|done| done.inspected_by.is_none()).map(|done| done.place.clone());
    let first = places.next()?;
    let (what, is) = if lacking.len() == 1 { ("the stage", "is") } else { ("the stages", "are") };
    let message =
        format!("{what} {named} of `{}` {is} entered as done, and no inspection", model.parts.name(made.part));
    let finding = Finding::new(codes::NOT_INSPECTED, message, first, "done; not inspected");
    let finding = places.fold(finding, |finding, place| finding.label(place, "done; not inspected"));
    Some(finding.help("have it inspected before the next stage hides it, and enter `inspected_by` and `inspected`"))
}
