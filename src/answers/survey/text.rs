//! A survey as text.

use super::{
    DatumsWord, ErrorLine, HoleVerdict, HolesWord, IdentityWord, SurveyHole, SurveyReport, SurveyValidity, Telling,
};
use crate::answers::answer::mark_text;
use crate::layout::{AnchorKind, Page, PageTable};
use crate::metrology::point::Point3;
use crate::schema::{Axes, Face};
use crate::words::survey::{Unit, turn_words};
use crate::words::{date_text, joined, length_text};

/// The report as text.
#[must_use]
pub fn survey_page(report: &SurveyReport) -> Page {
    let unit = if report.unit == "in" { Unit::Inches } else { Unit::Millimetres };
    let of = format!(
        "Survey {} of plate {}, jig {}, station {}: {}",
        report.survey,
        report.mark,
        report.jig,
        report.station,
        date_text(&report.date)
    );
    let mut page = Page::default();
    page.anchor(AnchorKind::Survey, &report.survey);
    match standing(report) {
        Some(warning) => {
            page.append(Page::titled(warning));
            page.say(of);
        }
        None => page.append(Page::titled(of)),
    }
    page.say(taken(report));
    if report.counts != SurveyValidity::Yes && report.counts != SurveyValidity::NotRead {
        page.say("What follows is how it was.");
    }
    page.gap();
    if !report.not_read.is_empty() {
        let sentence = format!("What it proves is not known: {}.", mark_text(&report.not_read));
        page.say(sentence);
        page.gap();
        return page;
    }
    page.append(identity(report));
    if !report.holes.is_empty() {
        page.gap();
        page.append(holes(report, unit));
    }
    page.append(errors(report, unit));
    page.gap();
    page.append(to_do(report));
    page.append(fit(report, unit));
    for from in &report.figures {
        page.say(from);
    }
    page.gap();
    page
}

/// With what, how well, from which side and how warm.
fn taken(report: &SurveyReport) -> String {
    let mut sentences = vec![format!("uncertainty {} (k = 2)", length_text(&report.uncertainty))];
    sentences.push(match report.axes {
        Axes::Jig => "in the jig's axes".to_owned(),
        Axes::Instrument => "in the instrument's axes".to_owned(),
    });
    sentences.push(match report.face {
        Some(Face::Marked) => "from the marked face".to_owned(),
        Some(Face::Back) => "from the back".to_owned(),
        None => "from a face that was not noted".to_owned(),
    });
    sentences.push(match (report.temperature_c, report.corrected_to_20) {
        (Some(degrees), Some(true)) => format!("at {degrees:.1} C, corrected to 20 C"),
        (Some(degrees), Some(false)) => format!("at {degrees:.1} C, not corrected: the jig has no expansion"),
        (Some(degrees), None) => format!("at {degrees:.1} C"),
        (None, Some(_)) => "at a temperature that was not noted".to_owned(),
        (None, None) => "at a temperature that is not known".to_owned(),
    });
    format!("{}; {}.", report.instrument, sentences.join(", "))
}

/// Whether the survey still counts.
fn standing(report: &SurveyReport) -> Option<String> {
    let mark = &report.mark;
    match report.counts {
        SurveyValidity::Yes | SurveyValidity::NotRead => None,
        SurveyValidity::ChangedSince => {
            Some(format!("NOT VERIFIED BY MEASUREMENT: {mark} was changed after this survey, or may have been"))
        }
        SurveyValidity::Superseded => {
            Some(format!("Does not count: superseded by {}", report.superseded_by.as_deref().unwrap_or_default()))
        }
    }
}

fn identity(report: &SurveyReport) -> Page {
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
    let mut page = Page::default();
    page.say(format!("{are}{record}."));
    if of.loosely {
        page.item("  ", "No plate drawing matches in tolerance: this one does with holes out of place.");
    }
    for telling in &of.told_from {
        page.item("  ", telling_words(telling));
    }
    if of.told_from.is_empty() && matches!(of.verdict, IdentityWord::One | IdentityWord::OtherHand) {
        page.item("  ", "No other plate drawing is close.");
    }
    let hand = match of.hand {
        "not known" if matches!(of.verdict, IdentityWord::One | IdentityWord::Several) => {
            Some("The hand is not known: a plane pattern shows it only to one who knows the face.")
        }
        "its own mirror image" => Some("The pattern is its own mirror image: both hands look the same."),
        _ => None,
    };
    if let Some(hand) = hand {
        page.item("  ", hand);
    }
    match of.mounting.as_deref() {
        Some("as drawn") | None => {}
        Some(moved) => {
            page.item("  ", format!("It does not lie as drawn in the jig: {moved}."));
        }
    }
    page
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

fn holes(report: &SurveyReport, unit: Unit) -> Page {
    let against = report.against.as_deref().unwrap_or_default();
    let on = match report.datums {
        DatumsWord::DatumHoles => {
            let datums = report.holes.iter().filter(|hole| hole.datum).map(|hole| hole.hole.as_str());
            format!("its datum holes {}", datums.collect::<Vec<_>>().join(", "))
        }
        DatumsWord::BestFit => {
            "the best fit, for want of two datum holes (an error of the whole plate cannot show)".to_owned()
        }
        DatumsWord::JigAxes => report.datums.words().to_owned(),
    };
    let small = unit.name();
    let mut page = Page::default();
    page.say(format!("Holes of {against} on {on}, in {small}; position is a diameter:"));
    let figure = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), |value| unit.small(value));
    let bonus = report.holes.iter().any(|hole| hole.bonus_mm.is_some_and(|bonus| bonus > 0.0) || hole.size.is_some());
    let thou = unit == Unit::Inches;
    let mut table = PageTable::of(&report.holes)
        .words("Hole", hole_name)
        .figures("x", |hole| figure(hole.dx_mm))
        .figures("y", |hole| figure(hole.dy_mm))
        .figures("Position", |hole| figure(hole.position_mm));
    if thou {
        let in_mm = |hole: &SurveyHole| hole.position_mm.map_or_else(|| "-".to_owned(), |mm| format!("{mm:.3}"));
        table = table.figures("in", in_mm).unit("mm");
    }
    table = table.figures("Tolerance dia.", |hole| figure(Some(hole.zone_mm)));
    if bonus {
        table = table.figures("Extra at MMC", |hole| figure(hole.bonus_mm));
    }
    page.table(
        table
            .figures("Guard band", |hole| figure(hole.guard_mm))
            .figures("Residual after fit", |hole| figure(hole.left_mm))
            .words("Verdict", verdict),
    );
    if !report.strange.is_empty() {
        let sentence = format!("No hole of it: {}.", report.strange.join(", "));
        page.say(sentence);
    }
    page
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
        Some("too-small") => format!("{verdict}, too small"),
        Some("not-decided") => format!("{verdict}, size not decided"),
        _ => verdict.to_owned(),
    }
}

fn errors(report: &SurveyReport, unit: Unit) -> Page {
    let mut page = Page::default();
    let Some(scatter) = &report.scatter else { return page };
    page.gap();
    if report.errors.is_empty() && report.suspects.is_empty() {
        page.say("No systematic error found.");
    }
    for error in &report.errors {
        page.item("Error: ", error_line(error));
    }
    if report.errors.iter().any(|error| error.kind == "member") {
        let fact = "Holes of one member all out the same way are one layout error of that member, not drilling \
                    (common practice, no source).";
        page.item("  ", fact);
    }
    for suspect in &report.suspects {
        let instead = match suspect.instead.as_slice() {
            [] => "or scatter alone".to_owned(),
            instead => format!("or instead {}", joined(instead, "and")),
        };
        page.item("Not decided: ", format!("{}; {instead}", error_line(suspect)));
    }
    let from = match scatter.source {
        "the instrument" => "all of it could be measuring error",
        "the holes" => "the holes themselves, each its own way: drilling",
        _ => "not decided whether the instrument or the holes",
    };
    let sentence = format!(
        "{} in one coordinate (standard), {} of it the instrument; {from}.",
        unit.text(scatter.standard_mm),
        unit.small(scatter.instrument_mm)
    );
    page.item("Scatter: ", sentence);
    page
}

fn error_line(error: &ErrorLine) -> String {
    let harmless = if error.harmless { "; proves no hole out" } else { "" };
    format!("{}: {}{harmless}", error.what, error.size)
}

fn to_do(report: &SurveyReport) -> Page {
    let mut page = Page::default();
    if report.remedies.is_empty() {
        let sentence = match (report.state, report.identity.verdict) {
            (Some(HolesWord::Within), IdentityWord::One) => report.holes_only(),
            _ => "look at the plate, and survey it again with every hole".to_owned(),
        };
        page.item("To do: ", format!("{sentence}."));
        return page;
    }
    for (index, remedy) in report.remedies.iter().enumerate() {
        let lead = if index == 0 { "To do: " } else { "  then " };
        page.item(lead, format!("{remedy}."));
    }
    if report.counts != SurveyValidity::Yes {
        return page;
    }
    if report.figures_in_doubt {
        let sentence = "Do nothing to metal before that: what is read may be a measuring or typing error.";
        page.say(sentence);
        return page;
    }
    let sentence = format!("Then survey {} again: until then it is not verified by measurement.", report.mark);
    page.say(sentence);
    page
}

/// The best fit, and what warmth does to a part.
fn fit(report: &SurveyReport, unit: Unit) -> Page {
    let mut page = Page::default();
    if let Some(fit) = &report.best_fit {
        page.gap();
        let sentence = format!(
            "on {} of {} holes, moving the plate {} and turning it {}, leaves {} (root mean square; of each hole \
             under Residual after fit). It can hide a wrong datum: read it second.",
            fit.holes,
            fit.of,
            unit.step(Point3::new(fit.x_mm, fit.y_mm, 0.0)),
            turn_words(fit.turn_deg.to_radians()),
            unit.text(fit.left_mm)
        );
        page.item("Best fit: ", sentence);
    }
    for part in &report.part_growth {
        let (way, by) = if part.longer_mm < 0.0 { ("short", -part.longer_mm) } else { ("long", part.longer_mm) };
        let sentence = format!(
            "a {} made on it at that temperature measures {} {way} at 20 C over the length of the plate.",
            part.part,
            unit.text(by)
        );
        page.item("Temperature effect: ", sentence);
    }
    page
}
