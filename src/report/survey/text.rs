//! A survey as text.

use super::{Counts, ErrorLine, HoleVerdict, HolesWord, IdentityWord, SurveyHole, SurveyReport, Telling};
use crate::check::wording::survey::{Unit, turn_words};
use crate::check::wording::{joined, length_text};
use crate::jig::point::Point3;
use crate::model::{Axes, Face};
use crate::report::Style;
use crate::report::answer::mark_text;
use crate::report::layout::{paragraph, table_of};

/// The report as text.
#[must_use]
pub fn survey_text(report: &SurveyReport, style: Style) -> String {
    let width = style.width;
    let unit = if report.unit == "in" { Unit::Inches } else { Unit::Millimetres };
    let of = format!(
        "Survey {} of plate {}, jig {}, station {}: {}",
        report.survey, report.mark, report.jig, report.station, report.date
    );
    let mut text = match standing(report) {
        Some(warning) => style.head(&warning) + &paragraph("", &of, width),
        None => style.head(&of),
    };
    text.push_str(&paragraph("", &taken(report), width));
    if report.counts != Counts::Yes && report.counts != Counts::NotRead {
        text.push_str(&paragraph("", "What follows is how it was.", width));
    }
    text.push('\n');
    if !report.not_read.is_empty() {
        let told = format!("What it proves is not known: {}.", mark_text(&report.not_read));
        text.push_str(&paragraph("", &told, width));
        text.push('\n');
        return text;
    }
    text.push_str(&identity(report, width));
    if !report.holes.is_empty() {
        text.push('\n');
        text.push_str(&holes(report, unit, width));
    }
    text.push_str(&errors(report, unit, width));
    text.push('\n');
    text.push_str(&to_do(report, width));
    text.push_str(&fit(report, unit, width));
    for from in &report.figures {
        text.push_str(&paragraph("", from, width));
    }
    text.push('\n');
    text
}

/// With what, how well, from which side and how warm.
fn taken(report: &SurveyReport) -> String {
    let mut told = vec![format!("uncertainty {} (k = 2)", length_text(&report.uncertainty))];
    told.push(match report.axes {
        Axes::Jig => "in the jig's axes".to_owned(),
        Axes::Instrument => "in the instrument's axes".to_owned(),
    });
    told.push(match report.face {
        Some(Face::Marked) => "from the marked face".to_owned(),
        Some(Face::Back) => "from the back".to_owned(),
        None => "from a face that was not noted".to_owned(),
    });
    told.push(match (report.temperature_c, report.corrected_to_20) {
        (Some(degrees), Some(true)) => format!("at {degrees:.1} C, corrected to 20 C"),
        (Some(degrees), Some(false)) => format!("at {degrees:.1} C, not corrected: the jig has no expansion"),
        (Some(degrees), None) => format!("at {degrees:.1} C"),
        (None, Some(_)) => "at a temperature that was not noted".to_owned(),
        (None, None) => "at a temperature that is not known".to_owned(),
    });
    format!("{}; {}.", report.instrument, told.join(", "))
}

/// Whether the survey still counts.
fn standing(report: &SurveyReport) -> Option<String> {
    let mark = &report.mark;
    match report.counts {
        Counts::Yes | Counts::NotRead => None,
        Counts::ChangedSince => {
            Some(format!("NOT VERIFIED BY MEASUREMENT: {mark} was changed after this survey, or may have been"))
        }
        Counts::Superseded => {
            Some(format!("Does not count: superseded by {}", report.superseded_by.as_deref().unwrap_or_default()))
        }
    }
}

fn identity(report: &SurveyReport, width: usize) -> String {
    let of = &report.identity;
    let record = match &report.record {
        Some(record) if of.verdict == IdentityWord::One && of.plates.contains(record) => {
            ", as its record says".to_owned()
        }
        Some(record) if of.verdict == IdentityWord::One => format!(", AGAINST its record, which says {record}"),
        Some(record) => format!("; its record says {record}"),
        None => "; it has no record".to_owned(),
    };
    let are = if of.verdict == IdentityWord::TooFewHoles {
        "Too few holes to say which plate it is".to_owned()
    } else {
        format!("The holes are those of {}", of.words)
    };
    let mut text = paragraph("", &format!("{are}{record}."), width);
    if of.loosely {
        text.push_str(&paragraph(
            "  ",
            "No plate drawing matches in tolerance: this one does with holes out of place.",
            width,
        ));
    }
    for telling in &of.told_from {
        text.push_str(&paragraph("  ", &telling_words(telling), width));
    }
    if of.told_from.is_empty() && matches!(of.verdict, IdentityWord::One | IdentityWord::OtherHand) {
        text.push_str(&paragraph("  ", "No other plate drawing is close.", width));
    }
    let hand = match of.hand {
        "not told" if matches!(of.verdict, IdentityWord::One | IdentityWord::Several) => {
            Some("The hand is not known: a plane pattern shows it only to one who knows the face.")
        }
        "its own mirror image" => Some("The pattern is its own mirror image: both hands look the same."),
        _ => None,
    };
    text.push_str(&hand.map(|hand| paragraph("  ", hand, width)).unwrap_or_default());
    match of.mounting.as_deref() {
        Some("as drawn") | None => {}
        Some(moved) => {
            text.push_str(&paragraph("  ", &format!("It does not lie as drawn in the jig: {moved}."), width));
        }
    }
    text
}

fn telling_words(telling: &Telling) -> String {
    let plate = &telling.plate;
    match (telling.found.is_empty(), telling.against.is_empty()) {
        (false, true) => {
            let differ = if telling.found.len() == 1 { "hole" } else { "holes" };
            let differs = if telling.found.len() == 1 { "differs" } else { "differ" };
            format!("Ruled out: {plate} ({differ} {} {differs}).", telling.found.join(", "))
        }
        (_, false) => format!(
            "Also {plate}: matching holes {}, differing {}.",
            telling.against.join(", "),
            if telling.found.is_empty() { "none".to_owned() } else { telling.found.join(", ") }
        ),
        (true, true) if telling.not_found.is_empty() => {
            format!("Not distinguished from {plate}: no hole differs by more than tolerance and instrument.")
        }
        (true, true) => {
            format!(
                "Not distinguished from {plate}: the distinguishing holes {} were not measured.",
                telling.not_found.join(", ")
            )
        }
    }
}

fn holes(report: &SurveyReport, unit: Unit, width: usize) -> String {
    let against = report.against.as_deref().unwrap_or_default();
    let on = match report.datums {
        "datum holes" => {
            let datums = report.holes.iter().filter(|hole| hole.datum).map(|hole| hole.hole.as_str());
            format!("its datum holes {}", datums.collect::<Vec<_>>().join(", "))
        }
        "the best fit" => {
            "the best fit, for want of two datum holes (an error of the whole plate cannot show)".to_owned()
        }
        other => other.to_owned(),
    };
    let small = unit.name();
    let mut text = paragraph("", &format!("Holes of {against} on {on}, in {small}; position is a diameter:"), width);
    let figure = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), |value| unit.small(value));
    let bonus = report.holes.iter().any(|hole| hole.bonus_mm.is_some_and(|bonus| bonus > 0.0) || hole.size.is_some());
    let thou = unit == Unit::Inches;
    let rows = report.holes.iter().map(|hole| {
        let mut row = vec![hole_name(hole), figure(hole.dx_mm), figure(hole.dy_mm), figure(hole.position_mm)];
        if thou {
            row.push(hole.position_mm.map_or_else(|| "-".to_owned(), |mm| format!("{mm:.3}")));
        }
        row.push(figure(Some(hole.zone_mm)));
        if bonus {
            row.push(figure(hole.bonus_mm));
        }
        row.extend([figure(hole.guard_mm), figure(hole.left_mm), verdict(hole)]);
        row
    });
    let rows: Vec<Vec<String>> = rows.collect();
    let mut headers = vec!["Hole", "x", "y", "Position"];
    if thou {
        headers.push("in mm");
    }
    headers.push("Tolerance dia.");
    if bonus {
        headers.push("Extra at MMC");
    }
    headers.extend(["Guard band", "Residual after fit", "Verdict"]);
    let figures: Vec<usize> = (1..headers.len() - 1).collect();
    text.push_str(&table_of(&headers, &rows, &figures, width));
    if !report.strange.is_empty() {
        let told = format!("No hole of it: {}.", report.strange.join(", "));
        text.push_str(&paragraph("", &told, width));
    }
    text
}

fn hole_name(hole: &SurveyHole) -> String {
    match &hole.named {
        Some(named) => format!("{} ({named})", hole.hole),
        None => hole.hole.clone(),
    }
}

fn verdict(hole: &SurveyHole) -> String {
    let verdict = if hole.datum && hole.verdict == HoleVerdict::Within { "datum" } else { hole.verdict.word() };
    match hole.size {
        Some("too small") => format!("{verdict}, too small"),
        Some("not decided") => format!("{verdict}, size not decided"),
        _ => verdict.to_owned(),
    }
}

fn errors(report: &SurveyReport, unit: Unit, width: usize) -> String {
    let mut text = String::new();
    let Some(scatter) = &report.scatter else { return text };
    text.push('\n');
    if report.errors.is_empty() && report.suspects.is_empty() {
        text.push_str(&paragraph("", "No systematic error found.", width));
    }
    for error in &report.errors {
        text.push_str(&paragraph("Error: ", &error_line(error), width));
    }
    if report.errors.iter().any(|error| error.kind == "member") {
        let fact = "Holes of one member all out the same way are one layout error of that member, not drilling \
                    (common practice, no source).";
        text.push_str(&paragraph("  ", fact, width));
    }
    for suspect in &report.suspects {
        let instead = match suspect.instead.as_slice() {
            [] => "or scatter alone".to_owned(),
            instead => format!("or instead {}", joined(instead, "and")),
        };
        text.push_str(&paragraph("Not decided: ", &format!("{}; {instead}", error_line(suspect)), width));
    }
    let from = match scatter.source {
        "the instrument" => "all of it could be measuring error",
        "the holes" => "the holes themselves, each its own way: drilling",
        _ => "not decided whether the instrument or the holes",
    };
    let told = format!(
        "{} in one coordinate (standard), {} of it the instrument; {from}.",
        unit.told(scatter.standard_mm),
        unit.small(scatter.instrument_mm)
    );
    text.push_str(&paragraph("Scatter: ", &told, width));
    text
}

fn error_line(error: &ErrorLine) -> String {
    let harmless = if error.harmless { "; proves no hole out" } else { "" };
    format!("{}: {}{harmless}", error.what, error.size)
}

fn to_do(report: &SurveyReport, width: usize) -> String {
    if report.remedies.is_empty() {
        let told = match (report.state, report.identity.verdict) {
            (Some(HolesWord::Within), IdentityWord::One) => report.holes_only(),
            _ => "look at the plate, and survey it again with every hole".to_owned(),
        };
        return paragraph("To do: ", &format!("{told}."), width);
    }
    let mut text = String::new();
    for (index, remedy) in report.remedies.iter().enumerate() {
        let lead = if index == 0 { "To do: " } else { "  then " };
        text.push_str(&paragraph(lead, &format!("{remedy}."), width));
    }
    if report.counts != Counts::Yes {
        return text;
    }
    if report.figures_in_doubt {
        let told = "Do nothing to metal before that: what is read may be a measuring or typing error.";
        text.push_str(&paragraph("", told, width));
        return text;
    }
    let told = format!("Then survey {} again: until then it is not verified by measurement.", report.mark);
    text.push_str(&paragraph("", &told, width));
    text
}

/// The best fit, and what warmth does to a part.
fn fit(report: &SurveyReport, unit: Unit, width: usize) -> String {
    let mut text = String::new();
    if let Some(fit) = &report.best_fit {
        text.push('\n');
        let told = format!(
            "on {} of {} holes, moving the plate {} and turning it {}, leaves {} (root mean square; of each hole \
             under Residual after fit). It can hide a wrong datum: read it second.",
            fit.holes,
            fit.of,
            unit.step(Point3::new(fit.x_mm, fit.y_mm, 0.0)),
            turn_words(fit.turn_deg.to_radians()),
            unit.told(fit.left_mm)
        );
        text.push_str(&paragraph("Best fit: ", &told, width));
    }
    for part in &report.part_growth {
        let (way, by) = if part.longer_mm < 0.0 { ("short", -part.longer_mm) } else { ("long", part.longer_mm) };
        let told = format!(
            "a {} made on it at that temperature measures {} {way} at 20 C over the length of the plate.",
            part.part,
            unit.told(by)
        );
        text.push_str(&paragraph("Temperature effect: ", &told, width));
    }
    text
}
