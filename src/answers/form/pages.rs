//! Forms as pages.

use super::lists::NotListed;
use super::{
    BetweenPlates, DrillingForm, DrillingRow, FormHead, FormHole, FormKind, Reach, SettingForm, SettingStation,
    StampingForm, StampingRow, StrikePath, StrikePoint, SurveyForm, SurveyFormPlate,
};
use crate::answers::answer::mark_text;
use crate::layout::{Blank, Page, Table};
use crate::model::Marks;
use crate::schema::Treatment;
use crate::sheets::{OF_HOLE, PLATE_NO, READING};
use crate::words::survey::Unit;
use crate::words::{date_text, length_text, named};

/// How many empty rows a plate has of which no plate drawing is recorded.
const ROWS_WITHOUT_DRAWING: usize = 12;
/// The words for a face and for axes, as they are written in a survey.
const FACES: &[&str] = &["Marked", "Back"];
const AXES: &[&str] = &["Instrument", "Jig"];

/// What every form begins with: what it is, of which state, when it was printed, its fingerprint.
fn headed(head: &FormHead, title: &str) -> Page {
    let mut page = Page::titled(format!("{title}: jig {}, for frame {}", head.jig, head.frame));
    page.say(match &head.asked {
        Some(asked) => format!("For {}.", asked.line()),
        None => "For the plates on the jig as their records say, whatever the state.".to_owned(),
    });
    let fingerprint = head.fingerprint.as_deref().unwrap_or("none (not read: see below)");
    page.say(format!("Printed {}. Fingerprint of what it was computed from: {fingerprint}.", date_text(&head.printed)));
    page
}

/// What the state takes for granted.
fn remarks(page: &mut Page, head: &FormHead) {
    if let Some(asked) = &head.asked {
        page.append(asked.remarks());
    }
    page.gap();
}

/// That the list of stations may be short.
fn short(page: &mut Page, not_read: &Marks) {
    if !not_read.is_empty() {
        page.say(format!("Not all is known of the jig and its frame: {}.", mark_text(not_read)));
    }
}

/// The setting sheet as a page.
#[must_use]
pub fn setting_page(form: &SettingForm) -> Page {
    let unit = form.head.places();
    let mut page = headed(&form.head, "Setting sheet");
    page.say(format!("Lengths in {}, places in the jig's axes, as on the plate drawings.", unit.in_words()));
    short(&mut page, &form.not_read);
    dowels(&mut page, form, unit);
    lines(&mut page, form, unit);
    let unread = form.stations.iter().any(|station| !station.not_read.is_empty());
    if unread {
        page.gap();
        page.say("Distances from plate to plate are left out, because a plate was not read: which are neighbours is not known.");
    }
    if !form.between.is_empty() {
        page.heading("Plate to plate, and diagonals");
        page.say("Clockwise round the jig as drawn, from the top.");
        page.table(
            Table::of(&form.between)
                .words("From", |row: &BetweenPlates| format!("{} {}", row.station, row.hole))
                .words("To", |row| format!("{} {}", row.to_station, row.to_hole))
                .words("Kind", |row| {
                    match row.reach {
                        Reach::Next => "plate to plate",
                        Reach::Diagonal => "diagonal",
                        Reach::Across => "across the jig",
                    }
                    .to_owned()
                })
                .figures("Distance", |row| unit.measured(row.distance_mm))
                .unit(unit.of_places())
                .words("As set", |_| String::new())
                .to_fill_in(Blank::Figure),
        );
    }
    if let Some(path) = &form.path {
        strike(&mut page, path, unit);
    }
    remarks(&mut page, &form.head);
    page
}

fn dowels(page: &mut Page, form: &SettingForm, unit: Unit) {
    struct Row<'a> {
        of: &'a SettingStation,
        dowel: Option<&'a super::Dowel>,
    }
    let rows: Vec<Row<'_>> = form
        .stations
        .iter()
        .flat_map(|of| {
            let dowels = of.dowels.iter().map(move |dowel| Row { of, dowel: Some(dowel) });
            let none = of.dowels.is_empty().then_some(Row { of, dowel: None });
            dowels.chain(none)
        })
        .collect();
    let figure =
        |row: &Row<'_>, of: fn(&super::Dowel) -> f64| row.dowel.map_or("-".to_owned(), |d| unit.nominal(of(d)));
    let deep = form.stations.iter().flat_map(|station| &station.dowels).any(|dowel| dowel.z_mm != 0.0);
    page.heading("Dowels");
    let mut table = Table::of(&rows)
        .words("Station", |row: &Row<'_>| row.of.station.clone())
        .words("Mark", |row| row.of.mark.clone().unwrap_or_else(|| "-".to_owned()))
        .words("Plate", |row| plate_words(row.of))
        .words("Dowel", |row| row.dowel.map_or("-".to_owned(), |dowel| dowel.hole.clone()))
        .figures("x", |row| figure(row, |dowel| dowel.x_mm))
        .unit(unit.of_places())
        .figures("y", |row| figure(row, |dowel| dowel.y_mm))
        .unit(unit.of_places());
    if deep {
        table = table.figures("z", |row| figure(row, |dowel| dowel.z_mm)).unit(unit.of_places());
    }
    page.table(
        table.figures("Dia", |row| figure(row, |dowel| dowel.diameter_mm)).figures("Tolerance dia", |row| {
            row.dowel.map_or("-".to_owned(), |dowel| unit.told_small(dowel.tolerance_mm))
        }),
    );
}

/// The plate of a station, or why none is named.
fn plate_words(of: &SettingStation) -> String {
    match &of.plate {
        _ if !of.not_read.is_empty() => mark_text(&of.not_read),
        Some(plate) => plate.clone(),
        None if of.open.is_empty() => "no drawing recorded".to_owned(),
        None => format!("open: {}", of.open.join(" or ")),
    }
}

fn lines(page: &mut Page, form: &SettingForm, unit: Unit) {
    let rows: Vec<(&SettingStation, &super::DowelLine)> =
        form.stations.iter().filter_map(|station| Some((station, station.line.as_ref()?))).collect();
    let Some((_, first)) = rows.first() else { return };
    let round = match unit {
        Unit::Inches => format!("{:.0} in", first.round_base_mm / 25.4),
        Unit::Millimetres => format!("{:.0} mm", first.round_base_mm),
    };
    page.heading("Dowel to dowel, and turn");
    page.table(
        Table::of(&rows)
            .words("Station", |(station, _): &(&SettingStation, &super::DowelLine)| station.station.clone())
            .words("From - to", |(_, line)| format!("{} - {}", line.from, line.to))
            .figures("Distance", |(_, line)| unit.measured(line.distance_mm))
            .words("Base along", |(_, line)| line.along.to_owned())
            .figures("Base", |(_, line)| unit.nominal(line.base_mm))
            .figures("Height", |(_, line)| unit.nominal(line.height_mm))
            .figures(format!("Height over {round}"), |(_, line)| unit.measured(line.height_over_round_base_mm)),
    );
    page.say(format!(
        "Turn: going {round} along the base axis in its positive direction, the line through the dowels rises by the last \
         figure along the other axis (negative: it falls)."
    ));
}

fn strike(page: &mut Page, path: &StrikePath, unit: Unit) {
    page.heading("Frame path to strike");
    let ends = if path.closed { "comes back to its start" } else { "is open" };
    page.say(format!(
        "In the frame's own axes: x is breadth to starboard, y height along the frame. The path is {} {} long and {ends}. No \
         record says that these are the jig's axes: check that against a plate before anything is struck.",
        unit.struck(path.length_mm),
        unit.of_places()
    ));
    page.table(
        Table::of(&path.points)
            .words("Point", |point: &StrikePoint| point.name.clone().unwrap_or_default())
            .figures("Girth from start", |point| unit.struck(point.girth_mm))
            .figures("x", |point| unit.struck(point.x_mm))
            .unit(unit.of_places())
            .figures("y", |point| unit.struck(point.y_mm))
            .unit(unit.of_places()),
    );
}

/// The drilling list as a page.
#[must_use]
pub fn drilling_page(form: &DrillingForm) -> Page {
    let mut page = headed(&form.head, "Drilling list by diameter");
    short(&mut page, &form.not_read);
    page.gap();
    page.table(
        Table::of(&form.rows)
            .words("Diameter", |row: &DrillingRow| length_text(&row.diameter))
            .figures("mm", |row| format!("{:.3}", row.diameter_mm))
            .words("Treatment", |row| row.treatment.map_or("not recorded", treatment_word).to_owned())
            .words("Station", |row| row.station.clone())
            .words("Plate", |row| row.plate.clone())
            .figures("Count", |row| row.holes.len().to_string())
            .words("Holes", |row| row.holes.join(" "))
            .words("Done", |_| String::new())
            .to_fill_in(Blank::Words),
    );
    not_listed(&mut page, &form.not_listed);
    remarks(&mut page, &form.head);
    page
}

/// The word for how a hole is made.
pub(crate) fn treatment_word(treatment: Treatment) -> &'static str {
    match treatment {
        Treatment::Drill => "drill",
        Treatment::Ream => "ream",
        Treatment::Bush => "bush",
    }
}

/// The stamping list as a page.
#[must_use]
pub fn stamping_page(form: &StampingForm) -> Page {
    let mut page = headed(&form.head, "Stamping list");
    short(&mut page, &form.not_read);
    page.gap();
    page.table(
        Table::of(&form.rows)
            .words("Station", |row: &StampingRow| row.station.clone())
            .words("Mark", |row| row.mark.clone().unwrap_or_else(|| "-".to_owned()))
            .words("Plate", |row| row.plate.clone())
            .words("Issue", |row| row.issue.clone().unwrap_or_else(|| "not recorded".to_owned()))
            .words("Stamp on the marked face", |row| row.stamp.clone())
            .words("From", |row| if row.recorded { "plate drawing" } else { "own pattern" }.to_owned())
            .words("Done", |_| String::new())
            .to_fill_in(Blank::Words),
    );
    page.say("Own pattern: plate number and issue. Approved marking rules come first.");
    not_listed(&mut page, &form.not_listed);
    remarks(&mut page, &form.head);
    page
}

/// The stations of which a list says nothing.
fn not_listed(page: &mut Page, stations: &[NotListed]) {
    for of in stations {
        let why = match &of.open[..] {
            _ if !of.not_read.is_empty() => mark_text(&of.not_read),
            [] => "no plate drawing is recorded".to_owned(),
            open => format!("open, {}", named(open.iter().map(String::as_str), "or")),
        };
        page.item("  - ", format!("{}: not listed; {why}", of.station));
    }
}

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
        let stations = named(form.waits.iter().map(String::as_str), "and");
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
        let told =
            format!("No boxes are printed for it: {}. Correct that, and print it again.", mark_text(&plate.not_read));
        page.say(told);
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
    page.table(
        Table::of(&rows_of(0, form, plate))
            .words("Reading", |row: &SheetRow| row.reading.to_owned())
            .words("Hole", |row| row.hole.clone())
            .to_fill_in(Blank::Words)
            .figures("x", |row| row.nominal(|hole| hole.x_mm, unit))
            .figures("y", |row| row.nominal(|hole| hole.y_mm, unit))
            .figures("Dia", |row| row.nominal(|hole| hole.diameter_mm, unit))
            .figures("Tol. dia", |row| row.small(|hole| Some(hole.tolerance_mm), unit))
            .words(format!("x read {}", unit.of_places()), |_| String::new())
            .to_fill_in(Blank::Figure)
            .words(format!("y read {}", unit.of_places()), |_| String::new())
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
        Table::of(&plate.holes)
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
        Table::of(&plate.zones)
            .figures("Tolerance dia", |zone: &super::ZoneNeed| unit.small(zone.tolerance_mm))
            .words("Holes", |zone| zone.holes.join(" "))
            .figures("Coarsest that proves any hole", |zone| unit.finer(zone.at_most_mm))
            .figures("For a hole off by half of it", |zone| unit.finer(zone.needed_mm)),
    );
}

/// A row of the form for a spreadsheet.
struct SheetRow {
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

impl SheetRow {
    fn nominal(&self, of: fn(&FormHole) -> f64, unit: Unit) -> String {
        self.of.as_ref().map_or(String::new(), |hole| unit.nominal(of(hole)))
    }
    fn small(&self, of: fn(&FormHole) -> Option<f64>, unit: Unit) -> String {
        self.of.as_ref().and_then(of).map_or(String::new(), |mm| unit.small(mm))
    }
}

/// The rows of a plate: the set-up check before, the holes, the set-up check after.
fn rows_of(number: usize, form: &SurveyForm, plate: &SurveyFormPlate) -> Vec<SheetRow> {
    let row = |reading, hole: Option<&FormHole>| SheetRow {
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
        let named: Vec<SheetRow> = datums.iter().map(|hole| row(reading, Some(hole))).collect();
        if named.is_empty() { vec![row(reading, None)] } else { named }
    };
    let holes: Vec<SheetRow> = if plate.holes.is_empty() {
        (0..ROWS_WITHOUT_DRAWING).map(|_| row(OF_HOLE, None)).collect()
    } else {
        plate.holes.iter().map(|hole| row(OF_HOLE, Some(hole))).collect()
    };
    checks("before").into_iter().chain(holes).chain(checks("after")).collect()
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
    let rows: Vec<SheetRow> =
        (1..).zip(&form.plates).flat_map(|(number, plate)| rows_of(number, form, plate)).collect();
    let deep = form.plates.iter().flat_map(|plate| &plate.holes).any(|hole| hole.z_mm != 0.0);
    let empty = |_: &SheetRow| String::new();
    let mut table = Table::of(&rows)
        .figures(PLATE_NO, |row: &SheetRow| row.number.to_string())
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

fn limit_of(row: &SheetRow, of: fn(&FormHole) -> Option<f64>, unit: Unit) -> String {
    row.of.as_ref().map_or(String::new(), |hole| limit(of(hole), unit))
}
