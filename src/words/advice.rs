//! Words for what to do about a surveyed plate.

use super::survey::{Unit, hole_names, mend_words, plate_names, turn_words};
use crate::jig::advice::{Action, Advice, Cause, Suspicion, advice};
use crate::jig::found::{Axis, Correction, Examined, Figure, SlipKind};
use crate::metrology::point::Point3;
use crate::model::{Model, Plate};

/// What to do about a surveyed plate, in order, without what says that nothing is to be done.
#[must_use]
pub fn advice_texts(examined: &Examined, model: &Model) -> Vec<String> {
    let all = advice(examined, model);
    all.iter().filter(|one| one.action != Action::None).map(|one| advice_words(one, examined, model)).collect()
}

/// One piece of advice: begins with a verb.
#[must_use]
pub fn advice_words(advice: &Advice, examined: &Examined, model: &Model) -> String {
    let plate = examined.against.map(|plate| &model.plates[plate]);
    let names = plate.map_or_else(String::new, |plate| hole_names(plate, advice.holes.iter().copied()));
    let unit = plate.map_or(Unit::Millimetres, Unit::of);
    let survey = &model.surveys[examined.survey].id;
    match (advice.action, advice.suspect, &advice.work) {
        (Action::CheckFigure | Action::TurnPlate, Suspicion::Slip(kind), _) => check(kind, advice, examined, model),
        (Action::SetUpInstrumentAgain, Suspicion::Other(cause), _) => set_up(cause, advice.step, unit),
        (_, Suspicion::Other(Cause::PlateOffBesides), _) => {
            let by = advice.step.map_or_else(String::new, |step| format!(" (as read, by {})", off(&step, unit)));
            format!("then survey it again: it lies off besides the other plates{by}")
        }
        (_, Suspicion::Other(Cause::Uncertainty), _) => finer(&advice.holes, examined, model),
        (_, Suspicion::Other(Cause::MatingSize), _) => {
            format!("measure how far out of square they are: {names}; the extra at MMC may put them in tolerance")
        }
        (_, Suspicion::Other(Cause::NotMeasured), _) => format!("measure {names}, left out of the survey"),
        (_, Suspicion::Other(Cause::NoPlate), _) => {
            format!("look at the plate, and survey it again: by survey {survey} its holes are those of no one plate")
        }
        (_, Suspicion::Other(Cause::SingleStep), Some(mend)) => {
            let work = plate.map_or_else(String::new, |plate| mend_words(mend, plate));
            format!("{work}: one step of the row is wrong")
        }
        (_, _, Some(mend)) => plate.map_or_else(String::new, |plate| mend_words(mend, plate)),
        (_, _, None) => "survey it again".to_owned(),
    }
}

/// How the plates lie off: the opposite of the step that sets them right.
fn off(step: &Correction, unit: Unit) -> String {
    let turn = step.turn.map(|turn| format!(", turned {}", turn_words(-turn))).unwrap_or_default();
    format!("{}{turn}", unit.step(-step.shift))
}

fn set_up(cause: Cause, step: Option<Correction>, unit: Unit) -> String {
    let by = step.map_or_else(String::new, |step| format!(" by {}", off(&step, unit)));
    let why = if cause == Cause::OnlyPlateOfSetUp {
        format!("the plate lies off{by}, and no other plate was measured in that set-up: the instrument may be off")
    } else {
        format!("the plates lie off together{by}: the instrument or the jig may be off its datums")
    };
    format!("check the set-up of the instrument on the jig's datums first, and survey again; {why}")
}

/// The measured hole by its name or its number.
fn row_name(measured: usize, examined: &Examined, model: &Model) -> String {
    let name = model.surveys[examined.survey].holes[measured].name.clone();
    name.unwrap_or_else(|| format!("#{}", measured + 1))
}

fn place(at: Point3, unit: Unit) -> String {
    unit.place(at)
}

fn check(kind: SlipKind, advice: &Advice, examined: &Examined, model: &Model) -> String {
    let survey = &model.surveys[examined.survey];
    let unit = examined.against.map_or(Unit::Millimetres, |plate| Unit::of(&model.plates[plate]));
    let (measured, figure) = match &advice.figure {
        Some((measured, figure)) => (*measured, Some(figure)),
        None => (None, None),
    };
    let of = measured.map_or_else(
        || format!("every figure of survey {}", survey.id),
        |row| format!("{} in survey {}", row_name(row, examined, model), survey.id),
    );
    let first = format!("check this figure first: {of}");
    let written = |axis: Axis| {
        measured.map_or("", |row| {
            let at = &survey.holes[row].at;
            match axis {
                Axis::X => at[0].text.as_str(),
                Axis::Y => at[1].text.as_str(),
            }
        })
    };
    let where_right = match figure {
        Some(Figure::Place(at)) => format!(" ({} would be right)", place(*at, unit)),
        _ => String::new(),
    };
    match (kind, figure) {
        (SlipKind::AxesExchanged, _) => format!("{first}; x and y may be exchanged{where_right}"),
        (SlipKind::Sign, _) => format!("{first}; a sign may be wrong{where_right}"),
        (SlipKind::DecimalPoint, Some(Figure::Factor(factor))) => {
            format!("{first}; the decimal point may be wrong, by a factor of {factor:.3}")
        }
        (SlipKind::Unit, _) => {
            format!("{first}; it may be in inches where millimetres are written, or the other way round")
        }
        (SlipKind::Digit | SlipKind::Figure, Some(Figure::Coordinate(axis, wanted))) => {
            let name = match axis {
                Axis::X => "x",
                Axis::Y => "y",
            };
            let what = if kind == SlipKind::Digit { "one digit may be wrong" } else { "it may be misread" };
            format!("{first}, {name}, written {}; {what}: {} would be right", written(*axis), coordinate(*wanted, unit))
        }
        (SlipKind::CopiedRow, Some(Figure::Row(other))) => {
            format!("{first}; it has the figures of {}", row_name(*other, examined, model))
        }
        (SlipKind::OutOfPlane, Some(Figure::Height(height))) => {
            let z = measured.map_or("", |row| survey.holes[row].at[2].text.as_str());
            let side = if *height > 0.0 { "above" } else { "below" };
            format!("{first}, z, written {z}; the hole lies {} {side} the plane of the others", unit.text(height.abs()))
        }
        (SlipKind::SharedStep, _) => format!("{first}; several holes are off by the same step{where_right}"),
        (SlipKind::Mirrored, _) => format!(
            "look whether the plate is mounted back to front, was measured from the other face, or x and y are exchanged \
             or a sign is wrong in survey {}; the holes are those of the other hand",
            survey.id
        ),
        (SlipKind::FaceNotNoted, _) => {
            format!("note the face from which survey {} was measured: without it the hand is not known", survey.id)
        }
        (SlipKind::TemperatureNotNoted, _) => format!(
            "note the temperature of survey {}: where it is not known, {} K either way are allowed for",
            survey.id, model.survey_limits.warmth_not_noted_k
        ),
        (SlipKind::ExpansionNotGiven, _) => format!(
            "enter the expansion of jig {}: without it lengths are not brought to 20 C, and {} per K is allowed for",
            model.jigs.name(survey.jig),
            millionths(model.survey_limits.widest_expansion)
        ),
        (SlipKind::Turned, Some(Figure::Turn(turn))) => {
            format!("look how the plate is mounted: it reads turned {}", turn_words(*turn))
        }
        (SlipKind::OtherPlate, Some(Figure::Plate(plate))) => format!(
            "check first whether survey {} is of this plate: its holes are those of {}, and the record says otherwise",
            survey.id,
            plate_names(model, &[*plate], "or")
        ),
        (SlipKind::SameReadings, Some(Figure::Survey(other))) => format!(
            "check first whose figures they are: survey {} of plate {} has the same",
            model.surveys[*other].id,
            mark(model, *other)
        ),
        (SlipKind::OverallScale, Some(Figure::Scale(scale))) => scale_words(*scale, &survey.id),
        _ => format!(
            "{}; it lies further off than anybody drills{where_right}",
            far_first(advice, examined, model, &first)
        ),
    }
}

fn far_first(advice: &Advice, examined: &Examined, model: &Model, first: &str) -> String {
    let plate: Option<&Plate> = examined.against.map(|plate| &model.plates[plate]);
    match (plate, advice.figure.is_none() && !advice.holes.is_empty()) {
        (Some(plate), true) => {
            format!("check these figures first: {}", hole_names(plate, advice.holes.iter().copied()))
        }
        _ => first.to_owned(),
    }
}

fn mark(model: &Model, survey: usize) -> &str {
    let survey = &model.surveys[survey];
    &model.jigs[survey.jig].mounted[survey.mounted].mark
}

fn coordinate(mm: f64, unit: Unit) -> String {
    match unit {
        Unit::Inches => format!("{:.4} in", mm / 25.4),
        Unit::Millimetres => format!("{mm:.3} mm"),
    }
}

/// A coefficient of expansion as it is written in a dossier, `23e-6`.
fn millionths(per_kelvin: f64) -> String {
    format!("{}e-6", (per_kelvin * 1e9).round() / 1e3)
}

/// Coefficients as handbooks give them, from memory.
fn scale_words(scale: f64, survey: &str) -> String {
    let kelvin = |coefficient: f64| (scale / coefficient).abs();
    let way = if scale > 0.0 { ("long", "warmer") } else { ("short", "colder") };
    format!(
        "check the temperature of survey {survey} first, and the scale of the instrument: every length reads {:.3} in \
         1,000 too {}, as steel does that is {:.0} K {way} than was taken (11.5e-6/K), or light alloy {:.0} K \
         (23e-6/K)",
        scale.abs() * 1e3,
        way.0,
        kelvin(11.5e-6),
        kelvin(23e-6),
        way = way.1
    )
}

/// What would decide holes that this instrument does not.
fn finer(holes: &[usize], examined: &Examined, model: &Model) -> String {
    let Some(plate) = examined.against.map(|plate| &model.plates[plate]) else { return String::new() };
    let uncertainty = &model.surveys[examined.survey].uncertainty;
    let names = hole_names(plate, holes.iter().copied());
    match examined.deciding_uncertainty(holes, uncertainty.mm()) {
        Some(mm) if mm >= 0.0005 => format!(
            "measure {names} with an uncertainty of {} or better (k = 2; this instrument: {})",
            Unit::of(plate).text(mm),
            uncertainty.text
        ),
        Some(_) | None => format!("treat {names} as out, or ask the inspector: too near the limit for any instrument"),
    }
}
