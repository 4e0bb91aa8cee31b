//! A survey: where each hole lies against its definition, by arrows to a stated scale.

use super::sheet::{MARGIN, PaperPoint, PaperSheet, SMALL, TextAnchor, not_read_box, wide};
use super::{round_bar, scale, scale_words};
use crate::answers::answer::{NotRead, mark_text};
use crate::answers::survey::{HoleVerdict, HolesWord, IdentityWord, SurveyHole, SurveyReport, SurveyValidity};
use crate::model::{Model, Plate};
use crate::words::survey::Unit;

/// The space of the drawing: its middle and size.
const MIDDLE: PaperPoint = (140.0, 138.0);
const SPACE: (f64, f64) = (204.0, 164.0);
/// How wide the frame round it is.
const FRAME_WIDE: f64 = 260.0;
/// Where the table stands, and how wide it is.
const TABLE: f64 = 278.0;
const TABLE_WIDE: f64 = 132.0;
/// The longest that an arrow may be on paper, and the largest radius of a zone.
const LONGEST: f64 = 30.0;
const WIDEST: f64 = 6.5;

/// A survey as a sheet to print, in SVG.
#[must_use]
pub fn survey_picture(report: &SurveyReport, model: &Model, not_read: &[NotRead]) -> String {
    let mut sheet = PaperSheet::default();
    let head =
        format!("Plate {}, jig {}, station {}: survey {}", report.mark, report.jig, report.station, report.survey);
    sheet.text((MARGIN, 16.0), 6.4, true, TextAnchor::Start, &head);
    let taken = format!("{}, {}; uncertainty {} (k = 2)", report.date, report.instrument, report.uncertainty);
    sheet.text((MARGIN, 21.5), 3.8, false, TextAnchor::Start, &taken);
    let plate = report.against.as_ref().and_then(|name| model.plates.id(name)).map(|plate| &model.plates[plate]);
    let mut bottom = 0.0;
    if report.not_read.is_empty() {
        bottom = verdicts(&mut sheet, report);
    }
    if !report.not_read.is_empty() {
        let under = not_read_box(&mut sheet, not_read, 28.0);
        let none = format!("What the survey proves is not known: {}. Nothing is drawn.", mark_text(&report.not_read));
        bottom = sheet.paragraph((MARGIN, under + 12.0), 240.0, 5.0, true, &none);
    } else if let Some(plate) = plate {
        let unit = Unit::of(plate);
        bottom = table(&mut sheet, report, unit, bottom + 3.0);
        bottom = bottom.max(draw(&mut sheet, report, plate, unit));
    } else {
        let none =
            "The holes are compared with no plate drawing: there is nothing from which a deviation could be drawn.";
        sheet.paragraph((MARGIN, 40.0), 240.0, 5.0, true, none);
    }
    let against = match &report.against {
        _ if !report.not_read.is_empty() => "not known".to_owned(),
        Some(against) => format!("{against}, on {}", report.datums),
        None => format!("no plate drawing, on {}", report.datums),
    };
    let cells = [
        ("Plate", format!("{} on jig {}, station {}", report.mark, report.jig, report.station)),
        ("Compared with", against),
        ("Survey", format!("{}, {}", report.survey, report.date)),
        ("Outstanding", open(report)),
    ];
    sheet.finish(&head, &cells, bottom, report.caution)
}

/// What the survey leaves open.
fn open(report: &SurveyReport) -> String {
    let mut sentences = Vec::new();
    if !report.not_read.is_empty() {
        return format!("All: {}.", mark_text(&report.not_read));
    }
    match report.counts {
        SurveyValidity::Yes | SurveyValidity::NotRead => {}
        SurveyValidity::ChangedSince => {
            sentences.push(
                "NOT VERIFIED BY MEASUREMENT: the plate was changed after this survey, or may have been. Survey it again.".to_owned(),
            );
        }
        SurveyValidity::Superseded => {
            let by = report.superseded_by.as_deref().unwrap_or_default();
            sentences.push(format!("Does not count: superseded by {by}."));
        }
    }
    if !matches!(report.identity.verdict, IdentityWord::One | IdentityWord::OtherHand) {
        sentences.push("Which plate it is.".to_owned());
    }
    let named = |verdict: HoleVerdict| {
        let holes = report.holes.iter().filter(|hole| hole.verdict == verdict).map(|hole| hole.hole.as_str());
        holes.collect::<Vec<_>>().join(", ")
    };
    for (verdict, words) in [
        (HoleVerdict::Out, "Out of tolerance"),
        (HoleVerdict::NotDecided, "Cannot be decided with this instrument"),
        (HoleVerdict::NotMeasured, "Not measured"),
    ] {
        let holes = named(verdict);
        if !holes.is_empty() {
            sentences.push(format!("{words}: {holes}."));
        }
    }
    if sentences.is_empty() { "Nothing.".to_owned() } else { sentences.join(" ") }
}

/// Which plate the holes are, whether they lie within, and what to do; gives where it ends.
fn verdicts(sheet: &mut PaperSheet, report: &SurveyReport) -> f64 {
    let state = match report.state {
        _ if report.identity.verdict == IdentityWord::OtherHand => "THE OTHER HAND, or turned back to front.",
        Some(HolesWord::Within) => "IN TOLERANCE: every hole is proved in tolerance.",
        Some(HolesWord::Out) => "OUT OF TOLERANCE: at least one hole is proved out.",
        Some(HolesWord::NotDecided | HolesWord::NotRead) => "NOT DECIDED: the instrument does not decide every hole.",
        None => "NO PLATE DRAWING to compare the holes with.",
    };
    let record = match (&report.record, &report.against) {
        (Some(record), Some(against)) if report.identity.verdict == IdentityWord::One => {
            let as_said = if record == against { ", as its record says" } else { ", AGAINST its record, which says " };
            format!("{as_said}{}", if record == against { "" } else { record.as_str() })
        }
        (Some(record), _) => format!("; its record says {record}"),
        (None, _) => "; it has no record".to_owned(),
    };
    let top = 12.0;
    let inside = TABLE_WIDE - 6.0;
    let outdated = match report.counts {
        SurveyValidity::Yes | SurveyValidity::NotRead => None,
        SurveyValidity::ChangedSince => {
            Some("NOT VERIFIED BY MEASUREMENT: changed after this survey, or may have been. As it was:")
        }
        SurveyValidity::Superseded => Some("DOES NOT COUNT: a later survey does. As it was:"),
    };
    let mut at = top + 6.0;
    if let Some(sentence) = outdated {
        at = sheet.paragraph((TABLE + 3.0, at), inside, 4.4, true, sentence);
    }
    at = sheet.paragraph((TABLE + 3.0, at), inside, 4.4, true, state);
    let are = if report.identity.verdict == IdentityWord::TooFewHoles {
        format!("Too few holes to say which plate it is{record}.")
    } else {
        format!("The holes are those of {}{record}.", report.identity.words)
    };
    at = sheet.paragraph((TABLE + 3.0, at), inside, 3.4, false, &are);
    for (lead, lines) in [("Error: ", &report.errors), ("Perhaps: ", &report.suspects)] {
        for line in lines {
            let harmless = if line.harmless { "; harmless" } else { "" };
            let sentence = format!("{lead}{}, {}{harmless}.", line.what, line.size);
            at = sheet.paragraph((TABLE + 3.0, at), inside, 3.4, false, &sentence);
        }
    }
    let remedies = if report.remedies.is_empty() { report.holes_only() } else { report.remedies.join("; ") };
    at = sheet.paragraph((TABLE + 3.0, at), inside, 3.4, true, &format!("To do: {remedies}."));
    let weight = if report.state == Some(HolesWord::Within) { "0.5" } else { "1.4" };
    let height = at - top - 1.5;
    sheet.rect((TABLE, top), TABLE_WIDE, height, &format!(r##"fill="none" stroke="#000" stroke-width="{weight}""##));
    top + height
}

fn table(sheet: &mut PaperSheet, report: &SurveyReport, unit: Unit, top: f64) -> f64 {
    let small = |value: Option<f64>| value.map_or("-".to_owned(), |mm| unit.small(mm));
    let rows = report.holes.iter().map(|hole| {
        let name = match &hole.named {
            Some(named) => format!("{} (as {named})", hole.hole),
            None => hole.hole.clone(),
        };
        vec![
            if hole.datum { format!("{name} datum") } else { name },
            small(hole.dx_mm),
            small(hole.dy_mm),
            small(hole.position_mm),
            unit.small(2.0 * zone_radius(hole)),
            small(hole.guard_mm),
            small(hole.left_mm),
            word(hole).to_owned(),
        ]
    });
    let rows: Vec<Vec<String>> = rows.collect();
    let columns = [
        ("Hole", 24.0),
        ("dx", 14.0),
        ("dy", 14.0),
        ("Position", 17.0),
        ("Zone", 13.0),
        ("Guard", 14.0),
        ("Left", 13.0),
        ("Verdict", 23.0),
    ];
    let at = sheet.table((TABLE, top), &columns, &rows);
    let mut sentence = format!(
        "In {}. dx, dy: found less wanted, on {}. Position and zone are diameters, 2 √(dx² + dy²), the zone with its \
         bonus at maximum material. Guard: what the instrument may be wrong. Left: after a best fit, which can hide a \
         wrong datum.",
        unit.name(),
        report.datums
    );
    if !report.strange.is_empty() {
        sentence.extend([" Measured, and not on the plate drawing: ", &report.strange.join(", "), "."]);
    }
    sheet.paragraph((TABLE, at + 5.0), TABLE_WIDE, SMALL, false, &sentence)
}

/// The radius of a hole's zone in millimetres, its bonus at maximum material included.
fn zone_radius(hole: &SurveyHole) -> f64 {
    f64::midpoint(hole.zone_mm, hole.bonus_mm.unwrap_or(0.0))
}

/// The word for the verdict of a hole.
fn word(hole: &SurveyHole) -> &'static str {
    match hole.verdict {
        HoleVerdict::Out => "OUT",
        HoleVerdict::Within | HoleVerdict::NotDecided | HoleVerdict::NotMeasured => hole.verdict.word(),
    }
}

/// A hole on the paper.
struct DrawnHole<'a> {
    hole: &'a SurveyHole,
    /// Where the definition puts it.
    at: PaperPoint,
    /// Where it was found, the deviation drawn larger; nothing if it was not measured.
    tip: Option<PaperPoint>,
    /// The radius of its zone, drawn as much larger.
    zone: f64,
    /// How large signs are, less than 1 where holes lie close together.
    fine: f64,
}

/// Draws the holes; gives where the drawing ends.
fn draw(sheet: &mut PaperSheet, report: &SurveyReport, plate: &Plate, unit: Unit) -> f64 {
    let wanted: Vec<(f64, f64)> = plate.holes.iter().map(|hole| (hole.at[0].mm(), hole.at[1].mm())).collect();
    let (metal, places, windows) = laid_out(&wanted);
    let nearest = nearest(&wanted) / metal;
    let larger = arrow_scale(report, nearest);
    let fine = (nearest / 6.0).clamp(0.45, 1.0);
    let holes = report.holes.iter().zip(places).map(|(hole, at)| {
        let found = hole.dx_mm.zip(hole.dy_mm);
        let tip = found.map(|(dx, dy)| (at.0 + dx * larger, at.1 - dy * larger));
        DrawnHole { hole, at, tip, zone: zone_radius(hole) * larger, fine }
    });
    let holes: Vec<DrawnHole<'_>> = holes.collect();
    sheet.rect((MARGIN, 28.0), FRAME_WIDE, 222.0, r##"fill="none" stroke="#000" stroke-width="0.35""##);
    let apart = FRAME_WIDE / f64::from(windows);
    for window in 1..windows {
        let x = MARGIN + apart * f64::from(window);
        sheet.line((x, 28.0), (x, 250.0), r##"stroke="#000" stroke-width="0.35" stroke-dasharray="6 1.5 1 1.5""##);
    }
    if windows > 1 {
        let sentence = "Break line: what the upright lines part lies farther apart on the plate.";
        sheet.text((MARGIN + 3.0, 33.0), SMALL, false, TextAnchor::Start, sentence);
    }
    for drawn in &holes {
        draw_hole(sheet, drawn);
    }
    label(sheet, &holes, unit);
    legend(sheet, metal, larger, unit)
}

/// Where holes stand on the paper, at which scale, in how many windows side by side. There is more than one where holes
/// crowd in two or three groups that lie far from each other.
fn laid_out(wanted: &[(f64, f64)]) -> (f64, Vec<PaperPoint>, u32) {
    const CROWDED: f64 = 4.0;
    let (_, size) = extent(wanted);
    let whole = scale(size, SPACE);
    let mut groups = vec![(0..wanted.len()).collect::<Vec<usize>>()];
    if nearest(wanted) / whole < CROWDED {
        let parted = parted(wanted, size.0.max(size.1) / 4.0);
        if (2..=3).contains(&parted.len()) {
            groups = parted;
        }
    }
    let windows = u32::try_from(groups.len()).unwrap_or(1);
    let apart = FRAME_WIDE / f64::from(windows);
    let space = (apart - FRAME_WIDE + SPACE.0, SPACE.1);
    let of = |group: &[usize]| extent(&group.iter().map(|hole| wanted[*hole]).collect::<Vec<_>>());
    let metal = groups.iter().map(|group| scale(of(group).1, space)).fold(0.0, f64::max);
    let mut places = vec![MIDDLE; wanted.len()];
    for (window, group) in (0_u32..).zip(&groups) {
        let (middle, _) = of(group);
        let x = MARGIN + apart * (f64::from(window) + 0.5);
        for hole in group {
            let (east, north) = wanted[*hole];
            places[*hole] = (x + (east - middle.0) / metal, MIDDLE.1 - (north - middle.1) / metal);
        }
    }
    (metal, places, windows)
}

/// The middle of some places and how far they reach.
fn extent(places: &[(f64, f64)]) -> ((f64, f64), (f64, f64)) {
    let ends = |of: fn(&(f64, f64)) -> f64| {
        let values = places.iter().map(of);
        values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)))
    };
    let ((west, east), (low, high)) = (ends(|place| place.0), ends(|place| place.1));
    ((f64::midpoint(west, east), f64::midpoint(low, high)), (east - west, high - low))
}

/// Holes in groups, from left to right: any two with a chain of steps of at most `step` between them are in one.
fn parted(holes: &[(f64, f64)], step: f64) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (index, hole) in holes.iter().enumerate() {
        let near = |other: &usize| (holes[*other].0 - hole.0).hypot(holes[*other].1 - hole.1) <= step;
        let (joined, mut rest): (Vec<_>, Vec<_>) = groups.into_iter().partition(|group| group.iter().any(near));
        let mut merged: Vec<usize> = joined.into_iter().flatten().collect();
        merged.push(index);
        rest.push(merged);
        groups = rest;
    }
    let left = |group: &Vec<usize>| group.iter().map(|hole| holes[*hole].0).fold(f64::INFINITY, f64::min);
    groups.sort_by(|a, b| left(a).total_cmp(&left(b)).then(a.cmp(b)));
    groups
}

/// How near to each other two holes come, in millimetres.
fn nearest(holes: &[(f64, f64)]) -> f64 {
    let pairs = holes.iter().enumerate().flat_map(|(index, a)| holes.iter().skip(index + 1).map(move |b| (a, b)));
    let apart = pairs.map(|(a, b)| (a.0 - b.0).hypot(a.1 - b.1)).filter(|apart| *apart > 1e-6);
    apart.fold(f64::INFINITY, f64::min)
}

/// How many times larger than the metal deviations are drawn: a round number, so that the longest arrow and the widest
/// zone keep their bounds and zones do not meet.
fn arrow_scale(report: &SurveyReport, nearest: f64) -> f64 {
    let most = |values: Vec<f64>| values.into_iter().fold(1e-6, f64::max);
    let deviation =
        most(report.holes.iter().filter_map(|hole| hole.position_mm).map(|position| position / 2.0).collect());
    let zone = most(report.holes.iter().map(zone_radius).collect());
    let exact = (LONGEST / deviation).min(WIDEST.min(0.45 * nearest) / zone);
    let rounds = [500.0, 200.0, 100.0, 50.0, 40.0, 25.0, 20.0, 10.0, 5.0, 4.0, 2.0, 1.0, 0.5, 0.2, 0.1];
    rounds.into_iter().find(|round| *round <= exact).unwrap_or(exact)
}

impl DrawnHole<'_> {
    /// How far the cross through the hole reaches.
    fn arm(&self) -> f64 {
        self.zone.max(1.6 * self.fine) + 1.4 * self.fine
    }
}

fn draw_hole(sheet: &mut PaperSheet, drawn: &DrawnHole<'_>) {
    let (x, y) = drawn.at;
    let thin = r##"stroke="#000" stroke-width="0.2""##;
    let arm = drawn.arm();
    sheet.line((x - arm, y), (x + arm, y), thin);
    sheet.line((x, y - arm), (x, y + arm), thin);
    let fill = if drawn.hole.verdict == HoleVerdict::NotMeasured { "none" } else { "#eef3f7" };
    sheet.circle(
        drawn.at,
        drawn.zone,
        &format!(r##"fill="{fill}" fill-opacity="0.6" stroke="#000" stroke-width="0.3""##),
    );
    if drawn.hole.datum {
        sheet.rect((x - arm, y - arm), 2.0 * arm, 2.0 * arm, r##"fill="none" stroke="#000" stroke-width="0.5""##);
    }
    let Some(tip) = drawn.tip else {
        sheet.circle(drawn.at, drawn.arm(), r##"fill="none" stroke="#000" stroke-width="0.4" stroke-dasharray="1 1""##);
        return;
    };
    let ink = ink(drawn.hole.verdict);
    sheet.line(drawn.at, tip, &format!(r#"stroke="{ink}" stroke-width="0.7""#));
    sign(sheet, tip, drawn.hole.verdict, tip.0 - x, tip.1 - y, drawn.fine);
}

fn ink(verdict: HoleVerdict) -> &'static str {
    match verdict {
        HoleVerdict::Out => "#a00018",
        HoleVerdict::Within => "#0b3d66",
        HoleVerdict::NotDecided | HoleVerdict::NotMeasured => "#6b4a00",
    }
}

/// The sign at the end of an arrow: its shape tells the verdict, and its point the direction where there is room.
fn sign(sheet: &mut PaperSheet, (x, y): PaperPoint, verdict: HoleVerdict, east: f64, down: f64, fine: f64) {
    let ink = ink(verdict);
    let length = east.hypot(down);
    match verdict {
        HoleVerdict::Within => {
            sheet.circle((x, y), 0.9 * fine, &format!(r##"fill="#fff" stroke="{ink}" stroke-width="0.5""##));
        }
        HoleVerdict::Out => {
            let (e, d) = if length > 1e-9 { (east / length, down / length) } else { (0.0, -1.0) };
            let point =
                |ahead: f64, aside: f64| (x + fine * (ahead * e - aside * d), y + fine * (ahead * d + aside * e));
            let arrow = [point(0.0, 0.0), point(-3.2, 1.5), point(-3.2, -1.5)];
            sheet.path(&arrow, true, &format!(r#"fill="{ink}""#));
            for aside in [1.0, -1.0] {
                sheet.line(point(-1.5, 1.5 * aside), point(1.5, -1.5 * aside), r##"stroke="#000" stroke-width="0.6""##);
            }
        }
        HoleVerdict::NotDecided | HoleVerdict::NotMeasured => {
            let triangle = [(x, y - 1.6 * fine), (x + 1.5 * fine, y + 1.1 * fine), (x - 1.5 * fine, y + 1.1 * fine)];
            sheet.path(&triangle, true, &format!(r##"fill="#fff" stroke="{ink}" stroke-width="0.5""##));
        }
    }
}

/// A box on the paper: left, top, right, bottom.
type PaperBox = (f64, f64, f64, f64);

fn meet(a: &PaperBox, b: &PaperBox) -> bool {
    a.0 < b.2 && b.0 < a.2 && a.1 < b.3 && b.1 < a.3
}

/// Names and verdicts beside the holes, where they lie over nothing.
fn label(sheet: &mut PaperSheet, holes: &[DrawnHole<'_>], unit: Unit) {
    let mut taken: Vec<PaperBox> = Vec::new();
    for drawn in holes {
        let around = |(x, y): PaperPoint, by: f64| (x - by, y - by, x + by, y + by);
        taken.push(around(drawn.at, drawn.arm()));
        if let Some(tip) = drawn.tip {
            for step in 0..=20 {
                let share = f64::from(step) / 20.0;
                let on = (drawn.at.0 + share * (tip.0 - drawn.at.0), drawn.at.1 + share * (tip.1 - drawn.at.1));
                taken.push(around(on, if step == 20 { 2.0 * drawn.fine } else { 0.6 }));
            }
        }
    }
    for drawn in holes {
        let hole = drawn.hole;
        let figure = hole.position_mm.map_or(String::new(), |mm| format!(" {}", unit.small(mm)));
        let verdict = match hole.verdict {
            HoleVerdict::Out => " OUT",
            HoleVerdict::NotDecided => " not decided",
            HoleVerdict::NotMeasured => " not measured",
            HoleVerdict::Within => "",
        };
        let text = format!("{}{verdict}{figure}", hole.hole);
        let (width, height) = (wide(&text, 3.2, true), 3.6);
        let clear = |extent: &PaperBox| {
            let inside = extent.0 > MARGIN && extent.2 < 270.0 && extent.1 > 28.0 && extent.3 < 250.0;
            inside && !taken.iter().any(|other| meet(extent, other))
        };
        let start = drawn.arm() + 1.0;
        let tries = (0..12_u32).flat_map(|ring| (0..16_u32).map(move |turn| (ring, turn)));
        let extents = tries.map(|(ring, turn)| {
            let angle = f64::from(turn) * std::f64::consts::TAU / 16.0;
            let away = start + 3.0 * f64::from(ring);
            let middle =
                (drawn.at.0 + angle.cos() * (away + width / 2.0), drawn.at.1 - angle.sin() * (away + height / 2.0));
            (middle.0 - width / 2.0, middle.1 - height / 2.0, middle.0 + width / 2.0, middle.1 + height / 2.0)
        });
        let near =
            (drawn.at.0 + start, drawn.at.1 - height / 2.0, drawn.at.0 + start + width, drawn.at.1 + height / 2.0);
        let extent = extents.into_iter().find(clear).unwrap_or(near);
        taken.push(extent);
        let edge = (drawn.at.0.clamp(extent.0, extent.2), drawn.at.1.clamp(extent.1, extent.3));
        if (edge.0 - drawn.at.0).hypot(edge.1 - drawn.at.1) > start + 2.0 {
            sheet.line(drawn.at, edge, r##"stroke="#777" stroke-width="0.15""##);
        }
        sheet.text((extent.0, extent.3 - 0.8), 3.2, true, TextAnchor::Start, &text);
    }
}

/// What the signs mean, and both scales with their bars; gives where it ends.
fn legend(sheet: &mut PaperSheet, metal: f64, larger: f64, unit: Unit) -> f64 {
    let at = 256.0;
    let mut left = MARGIN + 3.0;
    let words = [
        (HoleVerdict::Within, "in tolerance"),
        (HoleVerdict::Out, "OUT: proved out of tolerance"),
        (HoleVerdict::NotDecided, "cannot be decided with this instrument"),
    ];
    for (verdict, sentence) in words {
        sign(sheet, (left, at), verdict, 1.0, 0.0, 1.0);
        sheet.text((left + 3.5, at + 1.1), SMALL, false, TextAnchor::Start, sentence);
        left += 12.0 + wide(sentence, SMALL, false);
    }
    sheet.circle((left, at), 2.2, r##"fill="none" stroke="#000" stroke-width="0.4" stroke-dasharray="1 1""##);
    sheet.text((left + 4.0, at + 1.1), SMALL, false, TextAnchor::Start, "not measured");
    left += 28.0;
    sheet.rect((left - 1.8, at - 1.8), 3.6, 3.6, r##"fill="none" stroke="#000" stroke-width="0.5""##);
    sheet.text((left + 4.0, at + 1.1), SMALL, false, TextAnchor::Start, "datum hole");
    let inches = unit == Unit::Inches;
    let black = r##"stroke="#000" stroke-width="0.5""##;
    let mut bar = |left: f64, length: f64, sentence: &str| {
        let at = at + 7.5;
        sheet.line((left, at), (left + length, at), black);
        for x in [left, left + length] {
            sheet.line((x, at - 1.5), (x, at + 1.5), black);
        }
        sheet.text((left + length + 2.0, at + 1.1), SMALL, false, TextAnchor::Start, sentence);
    };
    let (size, name) = round_bar(metal, inches, 45.0);
    bar(MARGIN + 1.0, size / metal, &format!("{name} of metal; hole positions {}", scale_words(metal)));
    // The arrows' bar in the small unit: so many thou or hundredths of a millimetre.
    let steps = [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0];
    let one = if inches { 0.0254 } else { 0.01 };
    let step = steps.iter().rfind(|step| **step * one * larger <= 25.0).copied().unwrap_or(0.1);
    let name = if inches { format!("{step} thou") } else { format!("{} mm", step / 100.0) };
    let sentence = format!("{name} of deviation; arrows and circles {larger} times the metal");
    bar(MARGIN + 130.0, step * one * larger, &sentence);
    let mut at = at + 14.0;
    let sentence = "An arrow runs from where the definition puts a hole to where it was found; the circle is its zone: within \
                if the arrow ends inside it by more than the guard. Figures beside holes are positions, as diameters. \
                The frame is no edge of the plate.";
    at = sheet.paragraph((MARGIN, at), 258.0, SMALL, false, sentence);
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn holes_at_one_place_do_not_set_the_scale() {
        assert!((nearest(&[(0.0, 0.0), (0.0, 0.0), (3.0, 4.0)]) - 5.0).abs() < 1e-9);
        assert!(nearest(&[(1.0, 1.0)]).is_infinite());
    }

    #[test]
    fn crowded_groups_far_apart_are_drawn_apart() {
        let ends = [(0.0, 0.0), (10.0, 0.0), (1000.0, 0.0), (1010.0, 0.0)];
        assert_eq!(parted(&ends, 250.0), [vec![0, 1], vec![2, 3]]);
        let (metal, places, windows) = laid_out(&ends);
        assert_eq!(windows, 2);
        assert!(places[1].0 - places[0].0 > 4.0 && places[1].0 < 140.0 && places[2].0 > 140.0, "{metal} {places:?}");
        assert_eq!(laid_out(&[(0.0, 0.0), (500.0, 0.0), (1000.0, 0.0)]).2, 1);
    }

    #[test]
    fn boxes_that_touch_do_not_meet() {
        assert!(meet(&(0.0, 0.0, 2.0, 2.0), &(1.0, 1.0, 3.0, 3.0)));
        assert!(!meet(&(0.0, 0.0, 2.0, 2.0), &(2.0, 0.0, 3.0, 2.0)));
    }
}
