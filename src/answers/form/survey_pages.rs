//! The survey form as pages: to print, and as one table for a spreadsheet.

use super::pages::{headed, short};
use super::{FormHole, FormKind, FormWait, SurveyForm, SurveyFormPlate};
use crate::answers::answer::mark_text;
use crate::layout::{Blank, Columns, Page, PageTable};
use crate::sheets::{OF_HOLE, PLATE_NO, READING};
use crate::words::survey::Unit;
use crate::words::{length_text, named};

/// How many empty rows a plate has of which no plate drawing is recorded.
const ROWS_WITHOUT_DRAWING: usize = 12;
/// The words for a face and for axes, as they are written in a survey.
const FACES: &[&str] = &["Marked", "Back"];
const AXES: &[&str] = &["Instrument", "Jig"];

/// What a survey form is called.
fn title(form: &SurveyForm) -> &'static str {
    if form.head.form == FormKind::Resurvey { "Survey form after rework" } else { "Survey form" }
}

/// What a survey form says besides its boxes.
fn survey_remarks(page: &mut Page, form: &SurveyForm) {
    if let Some(limits) = &form.limits {
        page.say(format!(
            "Limits are for an instrument of {} (k = 2), and tighter by what datums and temperature add.",
            length_text(&limits.uncertainty)
        ));
    }
    short(page, &form.not_read);
    if !form.waits.is_empty() {
        let wait = |wait: &FormWait| {
            let mark =
                if wait.not_read.is_empty() { String::new() } else { format!(" ({})", mark_text(&wait.not_read)) };
            format!("{}{mark}", wait.station)
        };
        let stations: Vec<String> = form.waits.iter().map(wait).collect();
        let stations = named(stations.iter().map(String::as_str), "and");
        page.say(format!("Not on this form, because it is not settled what is done there: {stations}."));
    }
    if form.plates.is_empty() {
        page.say("No plate is to be measured.");
    }
}

/// The survey form as a page to print and fill in by hand, plate by plate.
#[must_use]
pub fn survey_form_page(form: &SurveyForm) -> Page {
    let unit = form.head.places();
    let mut page = headed(&form.head, title(form));
    survey_remarks(&mut page, form);
    for plate in &form.plates {
        plate_to_fill_in(&mut page, form, plate, unit);
    }
    page.gap();
    page
}

fn plate_to_fill_in(page: &mut Page, form: &SurveyForm, plate: &SurveyFormPlate, unit: Unit) {
    let mark = plate.mark.as_ref().map_or("new plate, mark ________".to_owned(), |mark| format!("plate {mark}"));
    page.heading(format!("Station {}, {mark}: {}", plate.station, drawing_words(plate)));
    if !plate.not_read.is_empty() {
        let sentence =
            format!("No boxes are printed for it: {}. Correct that, and print it again.", mark_text(&plate.not_read));
        page.say(sentence);
        return;
    }
    page.item("Survey no. ________  ", "Date ____________  Measured by ____________________");
    page.item("Instrument, certificate ______________________  ", "Uncertainty (k = 2) ________");
    page.item("Temperature ______ C  ", "Face: marked [ ] back [ ]  Axes: jig's [ ] instrument's [ ]");
    let datums: Vec<&FormHole> = plate.holes.iter().filter(|hole| hole.datum).collect();
    let checked = if datums.is_empty() {
        "Set-up check, the same hole before and after:".to_owned()
    } else {
        format!("Set-up check on {}:", named(datums.iter().map(|hole| hole.hole.as_str()), "and"))
    };
    page.item(format!("{checked} "), "read before the holes and after them.");
    let (places, small) = (unit.in_words(), unit.name());
    page.say(format!("Places and diameters in {places}; the tolerance, a diameter, in {small}."));
    page.table(
        PageTable::of(&rows_of(0, form, plate))
            .words("Reading", |row: &FormRow| row.reading.to_owned())
            .words("Hole", |row| row.hole.clone())
            .to_fill_in(Blank::Words)
            .figures("x", |row| row.nominal(|hole| hole.x_mm, unit))
            .figures("y", |row| row.nominal(|hole| hole.y_mm, unit))
            .figures("Dia", |row| row.nominal(|hole| hole.diameter_mm, unit))
            .figures("Tol. dia", |row| row.small(|hole| Some(hole.tolerance_mm), unit))
            .words("x read", |_| String::new())
            .to_fill_in(Blank::Figure)
            .words("y read", |_| String::new())
            .to_fill_in(Blank::Figure)
            .words("Dia read", |_| String::new())
            .to_fill_in(Blank::Figure),
    );
    if form.limits.is_some() && !plate.holes.is_empty() {
        limits(page, plate, unit);
    }
    if !plate.zones.is_empty() {
        zones(page, plate, unit);
    }
    page.item("Measured ______________________  ", "Checked ______________________  Date ____________");
}

fn drawing_words(plate: &SurveyFormPlate) -> String {
    match &plate.plate {
        _ if !plate.not_read.is_empty() => format!("its drawing is {}", mark_text(&plate.not_read)),
        Some(drawing) => format!("drawing {drawing}"),
        None => "no plate drawing recorded; name the holes as you go".to_owned(),
    }
}

fn limits(page: &mut Page, plate: &SurveyFormPlate, unit: Unit) {
    page.say(format!("Limits of the position, a diameter, in {}:", unit.name()));
    page.table(
        PageTable::of(&plate.holes)
            .words("Hole", |hole: &FormHole| hole.hole.clone())
            .figures("Tolerance dia", |hole| unit.small(hole.tolerance_mm))
            .figures("In tolerance up to", |hole| limit(hole.in_tolerance_up_to_mm, unit))
            .figures("Out of tolerance from", |hole| limit(hole.out_of_tolerance_from_mm, unit)),
    );
}

/// A limit; none is below 0.
fn limit(mm: Option<f64>, unit: Unit) -> String {
    match mm {
        Some(mm) if mm < 0.0 => "never proved".to_owned(),
        Some(mm) => unit.small(mm),
        None => String::new(),
    }
}

fn zones(page: &mut Page, plate: &SurveyFormPlate, unit: Unit) {
    page.say(format!(
        "Uncertainty of one coordinate (k = 2) that the tolerances ask for, in {}; datums and temperature ask for more:",
        unit.name()
    ));
    page.table(
        PageTable::of(&plate.zones)
            .figures("Tolerance dia", |zone: &super::ZoneNeed| unit.small(zone.tolerance_mm))
            .words("Holes", |zone| zone.holes.join(" "))
            .figures("Coarsest that proves any hole", |zone| unit.finer(zone.at_most_mm))
            .figures("For a hole off by half of it", |zone| unit.finer(zone.needed_mm)),
    );
}

/// A row of the form for a spreadsheet.
struct FormRow {
    number: usize,
    station: String,
    jig: String,
    mark: Option<String>,
    plate: String,
    reading: &'static str,
    hole: String,
    of: Option<FormHole>,
    needed_mm: Option<f64>,
}

impl FormRow {
    fn nominal(&self, of: fn(&FormHole) -> f64, unit: Unit) -> String {
        self.of.as_ref().map_or(String::new(), |hole| unit.nominal(of(hole)))
    }
    fn small(&self, of: fn(&FormHole) -> Option<f64>, unit: Unit) -> String {
        self.of.as_ref().and_then(of).map_or(String::new(), |mm| unit.small(mm))
    }
}

/// The rows of a plate: the set-up check before, the holes, the set-up check after.
fn rows_of(number: usize, form: &SurveyForm, plate: &SurveyFormPlate) -> Vec<FormRow> {
    let row = |reading, hole: Option<&FormHole>| FormRow {
        number,
        station: plate.station.clone(),
        jig: form.head.jig.clone(),
        mark: plate.mark.clone(),
        plate: match &plate.plate {
            _ if !plate.not_read.is_empty() => mark_text(&plate.not_read),
            Some(drawing) => drawing.clone(),
            None => "none recorded".to_owned(),
        },
        reading,
        hole: hole.map_or(String::new(), |hole| hole.hole.clone()),
        needed_mm: hole.and_then(|hole| {
            plate.zones.iter().find(|zone| zone.holes.contains(&hole.hole)).map(|zone| zone.needed_mm)
        }),
        of: hole.cloned(),
    };
    let datums: Vec<&FormHole> = plate.holes.iter().filter(|hole| hole.datum).collect();
    let checks = |reading| {
        let named: Vec<FormRow> = datums.iter().map(|hole| row(reading, Some(hole))).collect();
        if named.is_empty() { vec![row(reading, None)] } else { named }
    };
    let holes: Vec<FormRow> = if plate.holes.is_empty() {
        (0..ROWS_WITHOUT_DRAWING).map(|_| row(OF_HOLE, None)).collect()
    } else {
        plate.holes.iter().map(|hole| row(OF_HOLE, Some(hole))).collect()
    };
    checks("before").into_iter().chain(holes).chain(checks("after")).collect()
}

/// The columns that say which plate a row is of and what is written once for its survey.
fn columns_of_survey<'r>(rows: &'r [FormRow], small: &str) -> Columns<'r, FormRow> {
    let empty = |_: &FormRow| String::new();
    PageTable::of(rows)
        .figures(PLATE_NO, |row: &FormRow| row.number.to_string())
        .words("station", |row| row.station.clone())
        .words("plate drawing", |row| row.plate.clone())
        .words("jig", |row| row.jig.clone())
        .words("mark", |row| row.mark.clone().unwrap_or_default())
        .to_fill_in(Blank::Words)
        .words("survey", empty)
        .to_fill_in(Blank::Words)
        .words("date", empty)
        .to_fill_in(Blank::Words)
        .words("measured by", empty)
        .to_fill_in(Blank::Words)
        .words("instrument", empty)
        .to_fill_in(Blank::Words)
        .words(format!("uncertainty ({small})"), empty)
        .to_fill_in(Blank::Figure)
        .words("temperature (C)", empty)
        .to_fill_in(Blank::Figure)
        .words("face", empty)
        .to_fill_in(Blank::OneOf(FACES))
        .words("axes", empty)
        .to_fill_in(Blank::OneOf(AXES))
}

/// The survey form as one table to fill in with a spreadsheet and to take in again.
#[must_use]
pub fn survey_form_sheet(form: &SurveyForm) -> Page {
    let unit = form.head.places();
    let (places, small) = (unit.of_places(), unit.name());
    let mut page = headed(&form.head, title(form));
    page.say(
        "Fill in survey (a name that no survey has), date, instrument, uncertainty and the other boxes once for each plate no, in \
         its first row; then x, y and what else was measured. A hole that was not measured stays empty. Rows with the reading \
         before or after check the set-up and are no holes. Take it in with modstate intake FILE --as holes.",
    );
    survey_remarks(&mut page, form);
    let rows: Vec<FormRow> = (1..).zip(&form.plates).flat_map(|(number, plate)| rows_of(number, form, plate)).collect();
    let deep = form.plates.iter().flat_map(|plate| &plate.holes).any(|hole| hole.z_mm != 0.0);
    let empty = |_: &FormRow| String::new();
    let mut table = columns_of_survey(&rows, small)
        .words(READING, |row| row.reading.to_owned())
        .words("hole", |row| row.hole.clone())
        .to_fill_in(Blank::Words)
        .figures(format!("nominal x ({places})"), |row| row.nominal(|hole| hole.x_mm, unit))
        .figures(format!("nominal y ({places})"), |row| row.nominal(|hole| hole.y_mm, unit));
    if deep {
        table = table.figures(format!("nominal z ({places})"), |row| row.nominal(|hole| hole.z_mm, unit));
    }
    table = table
        .figures(format!("nominal diameter ({places})"), |row| row.nominal(|hole| hole.diameter_mm, unit))
        .figures(format!("tolerance ({small})"), |row| row.small(|hole| Some(hole.tolerance_mm), unit))
        .figures(format!("uncertainty needed ({small})"), |row| {
            row.needed_mm.map_or(String::new(), |mm| unit.finer(mm))
        });
    if form.limits.is_some() {
        table = table
            .figures(format!("in tolerance up to ({small})"), |row| {
                limit_of(row, |hole| hole.in_tolerance_up_to_mm, unit)
            })
            .figures(format!("out of tolerance from ({small})"), |row| {
                limit_of(row, |hole| hole.out_of_tolerance_from_mm, unit)
            });
    }
    table = table
        .words(format!("x ({places})"), empty)
        .to_fill_in(Blank::Figure)
        .words(format!("y ({places})"), empty)
        .to_fill_in(Blank::Figure);
    if deep {
        table = table.words(format!("z ({places})"), empty).to_fill_in(Blank::Figure);
    }
    page.table(
        table
            .words(format!("diameter ({places})"), empty)
            .to_fill_in(Blank::Figure)
            .words(format!("out of square ({places})"), empty)
            .to_fill_in(Blank::Figure)
            .words("note", empty)
            .to_fill_in(Blank::Words),
    );
    page
}

fn limit_of(row: &FormRow, of: fn(&FormHole) -> Option<f64>, unit: Unit) -> String {
    row.of.as_ref().map_or(String::new(), |hole| limit(of(hole), unit))
}
