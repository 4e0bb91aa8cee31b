//! A survey: where each hole lies against its definition, by arrows to a stated scale.

use super::sheet::{
    Foot, FootCell, MARGIN, Paper, PaperPoint, PaperSheet, SMALL, TextAnchor, WIDTH, not_read_box, room, wide,
};
use super::{round_bar, scale, scale_words};
use crate::answers::answer::{NotRead, mark_text};
use crate::answers::survey::{HoleVerdict, HolesWord, IdentityWord, SurveyHole, SurveyReport, SurveyValidity};
use crate::geometry::Outline;
use crate::layout::CAUTION;
use crate::model::{Model, Plate, Survey};
use crate::quantity::check_code;
use crate::schema::{Axes, Face};
use crate::words::survey::Unit;
use crate::words::{date_text, length_text};

/// Where the frame of the drawing begins, and how wide it is.
const FRAME_TOP: f64 = 28.0;
const FRAME_WIDE: f64 = 210.0;
/// What is left free inside it for words.
const INSET: f64 = 24.0;
/// How high the legend under it is.
const LEGEND: f64 = 31.0;
/// Where the table stands, and how wide it is.
const TABLE: f64 = 226.0;
const TABLE_WIDE: f64 = WIDTH - MARGIN - TABLE;
/// The longest that an arrow may be on the sheet, and the largest radius of a zone.
const LONGEST: f64 = 30.0;
const WIDEST: f64 = 6.5;
/// A deviation drawn shorter than this is a dot: an arrow shorter than its head seems to point the other way.
const SHORTEST_ARROW: f64 = 3.0;

/// A survey as a sheet to print, in SVG, exactly as large as its paper. `printed` is the day of printing.
#[must_use]
pub fn survey_picture(
    report: &SurveyReport,
    model: &Model,
    not_read: &[NotRead],
    paper: Paper,
    printed: &str,
) -> String {
    let mut sheet = PaperSheet::default();
    let head =
        format!("Plate {}, jig {}, station {}: survey {}", report.mark, report.jig, report.station, report.survey);
    let shrink = paper.shrink();
    let plate = report.against.as_ref().and_then(|name| model.plates.id(name)).map(|plate| &model.plates[plate]);
    let survey = model.surveys.iter().find(|survey| survey.id == report.survey);
    let foot = foot(report, plate, survey, paper, printed);
    let bottom = room(paper, shrink).1 - MARGIN - foot.height(room(paper, shrink).0);
    let of_plate = sheet_head(&mut sheet, report, &head);
    if !report.not_read.is_empty() {
        let under = not_read_box(&mut sheet, not_read, FRAME_TOP);
        let none = format!("What the survey proves is not known: {}. Nothing is drawn.", mark_text(&report.not_read));
        sheet.paragraph((MARGIN, under + 12.0), FRAME_WIDE, 5.0, true, &none);
        return sheet.finish(&head, &foot, paper, shrink);
    }
    let under = verdicts(&mut sheet, report);
    if let Some(plate) = plate {
        let unit = Unit::of(plate);
        table(&mut sheet, report, plate, unit, under + 3.0, bottom);
        draw(&mut sheet, report, plate, unit, bottom, shrink);
    } else {
        let none =
            "The holes are compared with no plate drawing: there is nothing from which a deviation could be drawn.";
        sheet.paragraph((MARGIN, of_plate + 16.0), FRAME_WIDE - 4.0, 5.0, true, none);
    }
    sheet.finish(&head, &foot, paper, shrink)
}

/// Where the holes of a report lie against its plate drawing, drawn by itself in SVG, with what it is; `None` if there is no
/// plate drawing to compare them with, or what the survey proves is not known.
#[must_use]
pub fn survey_figure(report: &SurveyReport, model: &Model) -> Option<(String, String)> {
    let plate = report.against.as_ref().and_then(|name| model.plates.id(name)).map(|plate| &model.plates[plate]);
    let plate = plate.filter(|_| report.not_read.is_empty())?;
    let title = format!("Survey {} of plate {} compared with {}", report.survey, report.mark, report.against.as_ref()?);
    let mut sheet = PaperSheet::default();
    let bottom = FRAME_TOP + FIGURE_HIGH + LEGEND;
    draw(&mut sheet, report, plate, Unit::of(plate), bottom, FIGURE_SHRINK);
    Some((title.clone(), sheet.cropped(&title, (MARGIN - 1.0, FRAME_TOP - 1.0), FRAME_WIDE + 2.0, bottom - FRAME_TOP)))
}

/// How high the frame of a drawing by itself is, and what a millimetre of it comes to on A4, with margins of 13 mm.
const FIGURE_HIGH: f64 = 150.0;
const FIGURE_SHRINK: f64 = 184.0 / (FRAME_WIDE + 2.0);

/// The headline: that the survey does not count, if so, and above all else; then what it is of. Gives where it ends.
fn sheet_head(sheet: &mut PaperSheet, report: &SurveyReport, head: &str) -> f64 {
    let outdated = match report.counts {
        SurveyValidity::Yes | SurveyValidity::NotRead => None,
        SurveyValidity::ChangedSince => {
            Some("NOT VERIFIED BY MEASUREMENT: changed after this survey, or may have been".to_owned())
        }
        SurveyValidity::Superseded => {
            let later = report.superseded_by.as_deref().unwrap_or_default();
            Some(format!("DOES NOT COUNT: superseded by survey {later}"))
        }
    };
    let first = outdated.as_deref().unwrap_or(head);
    let size = [6.4, 5.4, 4.6, 4.0].into_iter().find(|size| wide(first, *size, true) <= FRAME_WIDE).unwrap_or(3.6);
    sheet.text((MARGIN, 16.0), size, true, TextAnchor::Start, first);
    let second = if outdated.is_some() { format!("As it was: {head}") } else { String::new() };
    sheet.paragraph((MARGIN, 21.5), FRAME_WIDE, 3.8, true, &second)
}

/// The foot: of what the sheet is, how it was measured, by whom and when it was printed, and boxes for signatures.
fn foot<'r>(
    report: &'r SurveyReport,
    plate: Option<&Plate>,
    survey: Option<&Survey>,
    paper: Paper,
    printed: &str,
) -> Foot<'r> {
    let against = match &report.against {
        _ if !report.not_read.is_empty() => "not known".to_owned(),
        Some(against) => {
            let issue =
                plate.and_then(|plate| plate.issue.as_ref()).map_or(String::new(), |issue| format!(" issue {issue}"));
            format!("{against}{issue}, on {}", report.datums.words())
        }
        None => format!("no plate drawing, on {}", report.datums.words()),
    };
    let temperature = match (report.temperature_c, report.corrected_to_20) {
        (Some(degrees), Some(true)) => format!("{degrees:.1} C, corrected to 20 C"),
        (Some(degrees), Some(false)) => format!("{degrees:.1} C, not corrected"),
        // What it proves was not read, and with it what it was corrected by.
        (Some(degrees), None) => format!("{degrees:.1} C; {}", mark_text(&report.not_read)),
        (None, _) => "not noted".to_owned(),
    };
    let face = match report.face {
        Some(Face::Marked) => "marked face",
        Some(Face::Back) => "back",
        None => "face not noted",
    };
    let hand = match report.identity.hand {
        _ if !report.not_read.is_empty() => format!("hand {}", mark_text(&report.not_read)),
        "not known" => "hand not known".to_owned(),
        hand => hand.to_owned(),
    };
    let axes = if report.axes == Axes::Jig { "jig's" } else { "instrument's" };
    let by = survey.and_then(|survey| survey.measured_by.clone()).unwrap_or_else(|| "not recorded".to_owned());
    let fingerprint =
        if report.not_read.is_empty() { fingerprint(report, plate, survey) } else { mark_text(&report.not_read) };
    let cell = |name, share, text| FootCell { name, text, share };
    let sign = |name| cell(name, 0.25, String::new());
    let rows = vec![
        vec![
            cell("Plate", 0.20, format!("{} on jig {}, station {}", report.mark, report.jig, report.station)),
            cell("Compared with", 0.22, against),
            cell("Survey", 0.14, format!("{}, {}", report.survey, date_text(&report.date))),
            cell("Outstanding", 0.44, open(report)),
        ],
        vec![
            cell(
                "Instrument, uncertainty (k = 2)",
                0.29,
                format!("{}; {}", report.instrument, length_text(&report.uncertainty)),
            ),
            cell("Measured by", 0.13, by),
            cell("Temperature", 0.15, temperature),
            cell("Face, hand, axes", 0.23, format!("{face}; {hand}; {axes} axes")),
            cell("Printed", 0.11, format!("{}, {}", date_text(printed), paper.name())),
            cell("Fingerprint", 0.09, fingerprint),
        ],
        vec![sign("Measured, date"), sign("Checked, date"), sign("Inspector, date"), sign("Work done, date")],
    ];
    Foot { caution: CAUTION, rows }
}

/// A check code of what the sheet was computed from: the readings, how they were taken, and the plate drawing.
fn fingerprint(report: &SurveyReport, plate: Option<&Plate>, survey: Option<&Survey>) -> String {
    let mut texts: Vec<String> =
        [&report.survey, &report.jig, &report.mark, &report.date, &report.instrument, &report.uncertainty]
            .map(Clone::clone)
            .to_vec();
    texts.push(format!("{:?} {:?} {:?} {:?}", report.temperature_c, report.corrected_to_20, report.face, report.axes));
    texts.push(format!("{:?} {:?}", report.counts, report.against));
    for hole in survey.iter().flat_map(|survey| &survey.holes) {
        texts.push(hole.name.clone().unwrap_or_default());
        texts.extend(hole.at.iter().chain(&hole.diameter).chain(&hole.out_of_square).map(|length| length.text.clone()));
    }
    for hole in plate.iter().flat_map(|plate| &plate.holes) {
        texts.push(hole.name.clone());
        let lengths = hole.at.iter().chain([&hole.diameter, &hole.tolerance]).chain(&hole.smallest);
        texts.extend(lengths.map(|length| length.text.clone()));
    }
    check_code(texts.iter().map(String::as_str))
}

/// What the survey leaves open. It never says "nothing" of a plate that is not proved in tolerance.
fn open(report: &SurveyReport) -> String {
    let mut sentences = Vec::new();
    if !report.not_read.is_empty() {
        return format!("All: {}.", mark_text(&report.not_read));
    }
    match report.counts {
        SurveyValidity::Yes | SurveyValidity::NotRead => {}
        SurveyValidity::ChangedSince => {
            sentences.push("NOT VERIFIED BY MEASUREMENT: survey the plate again.".to_owned());
        }
        SurveyValidity::Superseded => {
            let by = report.superseded_by.as_deref().unwrap_or_default();
            sentences.push(format!("Does not count: superseded by {by}."));
        }
    }
    match report.identity.verdict {
        IdentityWord::One if report.record.is_some() && report.record != report.against => {
            sentences.push("AGAINST its record.".to_owned());
        }
        IdentityWord::One => {}
        IdentityWord::OtherHand => sentences.push("THE OTHER HAND, or turned back to front.".to_owned()),
        IdentityWord::Several
        | IdentityWord::Mixed
        | IdentityWord::None
        | IdentityWord::TooFewHoles
        | IdentityWord::NotRead => sentences.push("Which plate it is.".to_owned()),
    }
    if report.figures_in_doubt {
        sentences.push("Figures in doubt: check them first.".to_owned());
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
    if sentences.is_empty() && report.state != Some(HolesWord::Within) {
        sentences.push("Whether the holes are in tolerance.".to_owned());
    }
    if sentences.is_empty() { "Nothing about its holes.".to_owned() } else { sentences.join(" ") }
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
    let top = 11.0;
    let inside = TABLE_WIDE - 6.0;
    let mut at = sheet.paragraph((TABLE + 3.0, top + 5.6), inside, 4.4, true, state);
    let are = if report.identity.verdict == IdentityWord::TooFewHoles {
        format!("Too few holes to say which plate it is{record}.")
    } else {
        format!("The holes are those of {}{record}.", report.identity.words)
    };
    at = sheet.paragraph((TABLE + 3.0, at), inside, 3.4, false, &are);
    for (lead, lines) in [("Error: ", &report.errors), ("Perhaps: ", &report.suspects)] {
        for line in lines {
            let harmless = if line.harmless { "; proves no hole out" } else { "" };
            let sentence = format!("{lead}{}, {}{harmless}.", line.what, line.size);
            at = sheet.paragraph((TABLE + 3.0, at), inside, 3.4, false, &sentence);
        }
    }
    let remedies = if report.remedies.is_empty() { report.holes_only() } else { report.remedies.join("; ") };
    at = sheet.paragraph((TABLE + 3.0, at), inside, 3.4, true, &format!("To do: {remedies}."));
    let weight = if report.state == Some(HolesWord::Within) { "0.5" } else { "1.4" };
    let height = at - top - 2.0;
    sheet.rect((TABLE, top), TABLE_WIDE, height, &format!(r##"fill="none" stroke="#000" stroke-width="{weight}""##));
    top + height
}

/// How high a row of the table is, and what stands under the table.
const ROW: f64 = 5.4;
const UNDER: f64 = 24.0;

/// The holes with their nominal and measured places. Where there is no room for all, those in tolerance are named under the
/// table.
fn table(sheet: &mut PaperSheet, report: &SurveyReport, plate: &Plate, unit: Unit, top: f64, bottom: f64) {
    let small = |value: Option<f64>| value.map_or("-".to_owned(), |mm| unit.small(mm));
    let most = ((bottom - top - UNDER) / ROW).max(1.0);
    let fits = f64::from(u32::try_from(report.holes.len() + 1).unwrap_or(u32::MAX)) <= most;
    let is_listed = |hole: &&SurveyHole| fits || hole.verdict != HoleVerdict::Within;
    let rows = report.holes.iter().filter(is_listed).map(|hole| {
        let name = match &hole.named {
            Some(named) => format!("{} ({named})", hole.hole),
            None => hole.hole.clone(),
        };
        let drawn = plate.holes.iter().find(|drawn| drawn.name == hole.hole);
        let wanted = |axis: usize| drawn.map(|drawn| drawn.at[axis].mm());
        let nominal = |axis: usize| wanted(axis).map_or("-".to_owned(), |mm| unit.nominal(mm));
        let measured = |axis: usize, off: Option<f64>| {
            wanted(axis).zip(off).map_or("-".to_owned(), |(mm, off)| unit.measured(mm + off))
        };
        vec![
            if hole.datum { format!("{name} datum") } else { name },
            nominal(0),
            nominal(1),
            measured(0, hole.dx_mm),
            measured(1, hole.dy_mm),
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
    let places = unit.of_places();
    let heads = [
        ("Hole".to_owned(), 17.0),
        (format!("Nominal x {places}"), 17.5),
        (format!("y {places}"), 17.5),
        (format!("Measured x {places}"), 19.5),
        (format!("y {places}"), 19.5),
        ("dx".to_owned(), 10.5),
        ("dy".to_owned(), 10.5),
        ("Pos. dia".to_owned(), 11.5),
        ("Tol. dia".to_owned(), 11.0),
        ("Guard".to_owned(), 12.5),
        ("Left".to_owned(), 10.5),
        ("Verdict".to_owned(), 26.5),
    ];
    let columns: Vec<(&str, f64)> = heads.iter().map(|(head, width)| (head.as_str(), *width)).collect();
    let at = sheet.table((TABLE, top), &columns, &rows);
    let mut sentence = String::new();
    if !fits {
        let within = report.holes.iter().filter(|hole| !is_listed(hole)).map(|hole| hole.hole.as_str());
        sentence = format!("In tolerance, not listed here: {}. ", within.collect::<Vec<_>>().join(" "));
    }
    let meaning = format!(
        "dx to Left in {}. Measured places and dx, dy (measured minus nominal) are on {}, in the axes of the plate drawing. Pos. \
         dia: 2 √(dx² + dy²). Tol. dia: tolerance with its extra at MMC. Guard: guard band for the instrument. Left: residual \
         after a best fit, which can hide a wrong datum.",
        unit.name(),
        report.datums.words()
    );
    sentence.push_str(&meaning);
    if !report.strange.is_empty() {
        sentence.extend([" Measured, and not on the plate drawing: ", &report.strange.join(", "), "."]);
    }
    sheet.paragraph((TABLE, at + 4.5), TABLE_WIDE, SMALL, false, &sentence);
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

/// Draws the holes, the edge and the axes, down to `bottom` with the legend.
fn draw(sheet: &mut PaperSheet, report: &SurveyReport, plate: &Plate, unit: Unit, bottom: f64, shrink: f64) {
    let wanted: Vec<(f64, f64)> = plate.holes.iter().map(|hole| (hole.at[0].mm(), hole.at[1].mm())).collect();
    let high = bottom - LEGEND - FRAME_TOP;
    let laid = laid_out(&wanted, plate.outline.as_ref(), high, shrink);
    let metal = laid.scale * shrink;
    let nearest = nearest(&wanted) / metal;
    let larger = arrow_scale(report, nearest, shrink) / shrink;
    let fine = (nearest / 6.0).clamp(0.45, 1.0);
    let holes = report.holes.iter().zip(&laid.places).map(|(hole, at)| {
        let found = hole.dx_mm.zip(hole.dy_mm);
        let tip = found.map(|(dx, dy)| (at.0 + dx * larger, at.1 - dy * larger));
        DrawnHole { hole, at: *at, tip, zone: zone_radius(hole) * larger, fine }
    });
    let holes: Vec<DrawnHole<'_>> = holes.collect();
    sheet.rect((MARGIN, FRAME_TOP), FRAME_WIDE, high, r##"fill="none" stroke="#000" stroke-width="0.35""##);
    let apart = FRAME_WIDE / f64::from(laid.windows);
    let breaks: Vec<f64> = (1..laid.windows).map(|window| MARGIN + apart * f64::from(window)).collect();
    for x in &breaks {
        let style = r##"stroke="#000" stroke-width="0.35" stroke-dasharray="6 1.5 1 1.5""##;
        sheet.line((*x, FRAME_TOP + NOTE_HIGH), (*x, FRAME_TOP + high), style);
    }
    let mut note = String::new();
    if laid.windows > 1 {
        "Break line: what the upright lines part lies farther apart on the plate.".clone_into(&mut note);
    } else if let Some(edge) = &laid.edge {
        sheet.path(edge, true, r##"fill="none" stroke="#000" stroke-width="0.5""##);
    }
    if laid.edge.is_none() {
        note.push_str(if note.is_empty() { "" } else { " " });
        note.push_str("No edge is recorded: the border is not the plate edge.");
    }
    sheet.text((MARGIN + 3.0, FRAME_TOP + 4.6), SMALL, false, TextAnchor::Start, &note);
    axes(sheet, FRAME_TOP + high);
    for drawn in &holes {
        draw_hole(sheet, drawn);
    }
    label(sheet, &holes, &breaks, unit, FRAME_TOP + high);
    legend(sheet, laid.scale, larger * shrink, shrink, unit, FRAME_TOP + high + 6.0);
}

/// How much room the line above the drawing takes.
const NOTE_HIGH: f64 = 6.5;
/// How much room the axes take in their corner.
const AXES_WIDE: f64 = 62.0;
const AXES_HIGH: f64 = 19.0;

/// The directions of the axes, in the lower left corner of the frame.
fn axes(sheet: &mut PaperSheet, bottom: f64) {
    let corner = (MARGIN + 6.0, bottom - 5.0);
    let style = r##"stroke="#000" stroke-width="0.5""##;
    for (tip, sides) in [((10.0, 0.0), [(8.0, -0.9), (8.0, 0.9)]), ((0.0, -10.0), [(-0.9, -8.0), (0.9, -8.0)])] {
        let at = |(x, y): PaperPoint| (corner.0 + x, corner.1 + y);
        sheet.line(corner, at(tip), style);
        sheet.path(&[at(tip), at(sides[0]), at(sides[1])], true, r##"fill="#000""##);
    }
    sheet.text((corner.0 + 11.0, corner.1 + 1.1), 3.4, true, TextAnchor::Start, "x");
    sheet.text((corner.0 - 1.0, corner.1 - 11.4), 3.4, true, TextAnchor::Start, "y");
    sheet.text((corner.0 + 3.0, corner.1 - 4.0), SMALL, false, TextAnchor::Start, "axes of the plate drawing");
}

/// Where everything stands on the sheet.
struct LaidOut {
    /// Millimetres of metal to one of paper.
    scale: f64,
    /// The holes.
    places: Vec<PaperPoint>,
    /// How many windows stand side by side.
    windows: u32,
    /// The edge of the plate, where it is recorded and the plate is drawn whole.
    edge: Option<Vec<PaperPoint>>,
}

/// Where holes and edge stand on the sheet, at which scale, in how many windows side by side. There is more than one where
/// holes crowd in two or three groups that lie far from each other.
fn laid_out(wanted: &[(f64, f64)], outline: Option<&Outline>, high: f64, shrink: f64) -> LaidOut {
    const CROWDED: f64 = 4.0;
    let edge = outline.map(edge_points);
    let all: Vec<(f64, f64)> = wanted.iter().chain(edge.iter().flatten()).copied().collect();
    let (_, size) = extent(&all);
    let space = |windows: u32| (FRAME_WIDE / f64::from(windows) - 2.0 * INSET, high - 2.0 * INSET);
    let whole = scale(size, space(1), shrink);
    let mut groups = vec![(0..wanted.len()).collect::<Vec<usize>>()];
    if nearest(wanted) / whole / shrink < CROWDED {
        let parted = parted(wanted, size.0.max(size.1) / 4.0);
        if (2..=3).contains(&parted.len()) {
            groups = parted;
        }
    }
    let windows = u32::try_from(groups.len()).unwrap_or(1);
    let apart = FRAME_WIDE / f64::from(windows);
    let of = |group: &[usize]| {
        if windows == 1 { extent(&all) } else { extent(&group.iter().map(|hole| wanted[*hole]).collect::<Vec<_>>()) }
    };
    let scale = groups.iter().map(|group| scale(of(group).1, space(windows), shrink)).fold(0.0, f64::max);
    let metal = scale * shrink;
    let middle_y = FRAME_TOP + high / 2.0;
    let place = |window: u32, middle: (f64, f64), (east, north): (f64, f64)| {
        let x = MARGIN + apart * (f64::from(window) + 0.5);
        (x + (east - middle.0) / metal, middle_y - (north - middle.1) / metal)
    };
    let mut places = vec![(MARGIN, FRAME_TOP); wanted.len()];
    for (window, group) in (0_u32..).zip(&groups) {
        let (middle, _) = of(group);
        for hole in group {
            places[*hole] = place(window, middle, wanted[*hole]);
        }
    }
    let (middle, _) = extent(&all);
    let edge = edge.filter(|_| windows == 1).map(|edge| edge.into_iter().map(|at| place(0, middle, at)).collect());
    LaidOut { scale, places, windows, edge }
}

/// The edge of a plate as points close enough to draw it.
fn edge_points(outline: &Outline) -> Vec<(f64, f64)> {
    const STEPS: u32 = 12;
    let vertices = outline.vertices();
    let mut found = Vec::new();
    for (index, vertex) in vertices.iter().enumerate() {
        let next = vertices[(index + 1) % vertices.len()].at;
        let (from, bulge) = (vertex.at, vertex.bulge);
        found.push(from);
        if bulge == 0.0 {
            continue;
        }
        // The arc of which the bulge is the tangent of a quarter of the angle, turned about its centre step by step.
        let (dx, dy) = (next.0 - from.0, next.1 - from.1);
        let off = (1.0 - bulge * bulge) / (4.0 * bulge);
        let centre = (f64::midpoint(from.0, next.0) - dy * off, f64::midpoint(from.1, next.1) + dx * off);
        let angle = 4.0 * bulge.atan();
        for step in 1..STEPS {
            let (sin, cos) = (angle * f64::from(step) / f64::from(STEPS)).sin_cos();
            let (x, y) = (from.0 - centre.0, from.1 - centre.1);
            found.push((centre.0 + x * cos - y * sin, centre.1 + x * sin + y * cos));
        }
    }
    found
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

/// How many times larger than the metal deviations are on paper: a round number, so that the longest arrow and the widest
/// zone keep their bounds and zones do not meet.
fn arrow_scale(report: &SurveyReport, nearest: f64, shrink: f64) -> f64 {
    let most = |values: Vec<f64>| values.into_iter().fold(1e-6, f64::max);
    let deviation =
        most(report.holes.iter().filter_map(|hole| hole.position_mm).map(|position| position / 2.0).collect());
    let zone = most(report.holes.iter().map(zone_radius).collect());
    let exact = (LONGEST / deviation).min(WIDEST.min(0.45 * nearest) / zone) * shrink;
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
    if (tip.0 - x).hypot(tip.1 - y) >= SHORTEST_ARROW {
        sheet.line(drawn.at, tip, &format!(r#"stroke="{ink}" stroke-width="0.7""#));
    }
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
        HoleVerdict::Out if length < SHORTEST_ARROW => {
            let (reach, style) = (1.5 * fine, r##"stroke="#000" stroke-width="0.6""##);
            sheet.circle((x, y), 1.1 * fine, &format!(r#"fill="{ink}""#));
            sheet.line((x - reach, y + reach), (x + reach, y - reach), style);
            sheet.line((x - reach, y - reach), (x + reach, y + reach), style);
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
fn label(sheet: &mut PaperSheet, holes: &[DrawnHole<'_>], breaks: &[f64], unit: Unit, bottom: f64) {
    let right = MARGIN + FRAME_WIDE;
    // The axes, the line above the drawing, and the break lines.
    let axes = (MARGIN, bottom - AXES_HIGH, MARGIN + AXES_WIDE, bottom);
    let mut taken: Vec<PaperBox> = vec![axes, (MARGIN, FRAME_TOP, right, FRAME_TOP + NOTE_HIGH)];
    taken.extend(breaks.iter().map(|x| (x - 0.8, FRAME_TOP, x + 0.8, bottom)));
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
            let inside = extent.0 > MARGIN && extent.2 < right && extent.1 > FRAME_TOP && extent.3 < bottom;
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
        sheet.rect((extent.0, extent.1), width, height, r##"fill="#fff""##);
        sheet.text((extent.0, extent.3 - 0.8), 3.2, true, TextAnchor::Start, &text);
    }
}

/// What the signs mean, and both scales on paper with their bars.
fn legend(sheet: &mut PaperSheet, metal: f64, larger: f64, shrink: f64, unit: Unit, top: f64) {
    let mut left = MARGIN + 3.0;
    let words = [
        (HoleVerdict::Within, "in tolerance"),
        (HoleVerdict::Out, "OUT of tolerance"),
        (HoleVerdict::NotDecided, "cannot be decided"),
    ];
    for (verdict, sentence) in words {
        sign(sheet, (left + 1.0, top), verdict, 4.0, 0.0, 1.0);
        sheet.text((left + 4.0, top + 1.1), SMALL, false, TextAnchor::Start, sentence);
        left += 8.5 + wide(sentence, SMALL, false);
    }
    sign(sheet, (left + 1.0, top), HoleVerdict::Out, 0.0, 0.0, 1.0);
    let sentence = "OUT, too short for an arrow";
    sheet.text((left + 4.0, top + 1.1), SMALL, false, TextAnchor::Start, sentence);
    left += 8.5 + wide(sentence, SMALL, false);
    sheet.circle((left, top), 1.9, r##"fill="none" stroke="#000" stroke-width="0.4" stroke-dasharray="1 1""##);
    sheet.text((left + 3.4, top + 1.1), SMALL, false, TextAnchor::Start, "not measured");
    left += 9.0 + wide("not measured", SMALL, false);
    sheet.rect((left - 1.8, top - 1.8), 3.6, 3.6, r##"fill="none" stroke="#000" stroke-width="0.5""##);
    sheet.text((left + 3.4, top + 1.1), SMALL, false, TextAnchor::Start, "datum");
    let inches = unit == Unit::Inches;
    let black = r##"stroke="#000" stroke-width="0.5""##;
    let mut bar = |left: f64, length: f64, sentence: &str| {
        let at = top + 7.0;
        sheet.line((left, at), (left + length, at), black);
        for x in [left, left + length] {
            sheet.line((x, at - 1.5), (x, at + 1.5), black);
        }
        sheet.text((left + length + 2.0, at + 1.1), SMALL, true, TextAnchor::Start, sentence);
    };
    let (size, name) = round_bar(metal, inches, 32.0 * shrink);
    let sentence = format!("{name}; holes {}; bar {:.1} mm", scale_words(metal), size / metal);
    bar(MARGIN + 1.0, size / metal / shrink, &sentence);
    // The arrows' bar in the small unit: so many thou or hundredths of a millimetre.
    let steps = [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0];
    let one = if inches { 0.0254 } else { 0.01 };
    let step = steps.iter().rfind(|step| **step * one * larger <= 22.0 * shrink).copied().unwrap_or(0.1);
    let name = if inches { format!("{step} thou") } else { format!("{} mm", step / 100.0) };
    let sentence = format!("{name} off; arrows and circles {larger} times the metal");
    bar(MARGIN + 104.0, step * one * larger / shrink, &sentence);
    let sentence = "An arrow runs from the nominal place to the measured one; the circle is the tolerance: in tolerance if the arrow \
                ends inside it by more than the guard band. Figures beside holes are positions, as diameters.";
    sheet.paragraph((MARGIN, top + 13.5), FRAME_WIDE, SMALL, false, sentence);
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
        let LaidOut { places, windows, .. } = laid_out(&ends, None, 160.0, 1.0);
        let middle = MARGIN + FRAME_WIDE / 2.0;
        assert_eq!(windows, 2);
        assert!(places[1].0 - places[0].0 > 4.0 && places[1].0 < middle && places[2].0 > middle, "{places:?}");
        assert_eq!(laid_out(&[(0.0, 0.0), (500.0, 0.0), (1000.0, 0.0)], None, 160.0, 1.0).windows, 1);
    }

    #[test]
    fn boxes_that_touch_do_not_meet() {
        assert!(meet(&(0.0, 0.0, 2.0, 2.0), &(1.0, 1.0, 3.0, 3.0)));
        assert!(!meet(&(0.0, 0.0, 2.0, 2.0), &(2.0, 0.0, 3.0, 2.0)));
    }
}
