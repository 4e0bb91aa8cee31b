//! The setting sheet and the lists as pages.

use super::lists::NotListed;
use super::{
    BetweenPlates, DistanceKind, DrillingForm, DrillingRow, FormHead, SettingForm, SettingStation, StampingForm,
    StampingRow, StrikePath, StrikePoint,
};
use crate::answers::answer::mark_text;
use crate::layout::{Blank, Page, PageTable};
use crate::model::Marks;
use crate::schema::Treatment;
use crate::words::survey::Unit;
use crate::words::{date_text, length_text, named};

/// What every form begins with: what it is, of which state, when it was printed, its fingerprint.
pub(super) fn headed(head: &FormHead, title: &str) -> Page {
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
pub(super) fn short(page: &mut Page, not_read: &Marks) {
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
            PageTable::of(&form.between)
                .words("From", |row: &BetweenPlates| format!("{} {}", row.station, row.hole))
                .words("To", |row| format!("{} {}", row.to_station, row.to_hole))
                .words("Kind", |row| {
                    match row.reach {
                        DistanceKind::Next => "plate to plate",
                        DistanceKind::Diagonal => "diagonal",
                        DistanceKind::Across => "across the jig",
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
    let mut table = PageTable::of(&rows)
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
            row.dowel.map_or("-".to_owned(), |dowel| unit.small_text(dowel.tolerance_mm))
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
        PageTable::of(&rows)
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
        PageTable::of(&path.points)
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
        PageTable::of(&form.rows)
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
        PageTable::of(&form.rows)
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
