//! A frame for a state, looking forward: its segments, splice points, openings and plates.

use super::callout::{Callout, CalloutColumn, draw, needed};
use super::sheet::{
    Foot, FootCell, LINE, MARGIN, Paper, PaperPoint, PaperSheet, SMALL, TextAnchor, not_read_box, room,
};
use super::side::side_view;
use super::{BreadthAndHeight, round_bar, scale, scale_words};
use crate::answers::Verdicts as _;
use crate::answers::answer::{NotRead, mark_text};
use crate::answers::asked::{Both, Say};
use crate::answers::frame::{FrameReport, FrameVariantRow, GirthPoint, NoVariant, cell};
use crate::answers::jig::{JigStation, Sign};
use crate::geometry::Girth;
use crate::geometry::girth::PlanePoint;
use crate::ids::FrameId;
use crate::jig::JigVerdict;
use crate::layout::{CAUTION, Page};
use crate::model::{Frame, Marks, Model};
use crate::quantity::Length;
use crate::words::{date_text, length_text};
use std::fmt::Write as _;

/// Where the drawings begin, below the head of the sheet.
const TOP: f64 = 24.0;
/// How a frame and its words are laid out.
#[derive(Clone, Copy)]
struct FrameLayout {
    /// Where it begins, from the left edge.
    left: f64,
    /// The middle of the frame, and the space that it has.
    middle: f64,
    space: BreadthAndHeight,
    /// The columns of words beside it.
    columns: [CalloutColumn; 2],
    /// How far all of it reaches from the left edge.
    wide: f64,
    /// Where its tables stand; a drawing by itself has none.
    tables: TablesAt,
}

/// Where the tables of a frame stand.
#[derive(Clone, Copy, PartialEq)]
enum TablesAt {
    /// To the right of the drawing, so far from the left edge.
    Beside(f64),
    /// Below the drawing.
    Under,
    /// Nowhere.
    Nowhere,
}

/// On a sheet, tables beside it.
const ON_SHEET: FrameLayout = FrameLayout {
    left: MARGIN,
    middle: 134.0,
    space: (108.0, 150.0),
    columns: [
        CalloutColumn { edge: 66.0, width: 55.0, right: false },
        CalloutColumn { edge: 202.0, width: 54.0, right: true },
    ],
    wide: 256.0,
    tables: TablesAt::Beside(264.0),
};
/// By itself, as wide as the text of an upright page of A4. Its words are then no smaller than 9 pt, and say what else stands
/// in tables.
const ALONE: FrameLayout = FrameLayout {
    left: 1.0,
    middle: 83.0,
    space: (62.0, 86.0),
    columns: [
        CalloutColumn { edge: 40.0, width: 38.0, right: false },
        CalloutColumn { edge: 127.0, width: 38.0, right: true },
    ],
    wide: 166.0,
    tables: TablesAt::Nowhere,
};

impl FrameLayout {
    /// Where several variants share a sheet of this width: two beside each other.
    fn in_pair(sheet_wide: f64) -> [FrameLayout; 2] {
        let half = sheet_wide / 2.0 - MARGIN;
        let space = (84.0, 106.0);
        let width = half / 2.0 - 57.0;
        [MARGIN, MARGIN + half + 3.0].map(|left| FrameLayout {
            left,
            middle: left + half / 2.0 - 1.5,
            space,
            columns: [
                CalloutColumn { edge: left + width, width, right: false },
                CalloutColumn { edge: left + half - 3.0 - width, width, right: true },
            ],
            wide: left + half - 3.0,
            tables: TablesAt::Under,
        })
    }

    /// Whether it is drawn by itself.
    fn is_alone(&self) -> bool {
        self.tables == TablesAt::Nowhere
    }
}
/// What a millimetre of a drawing by itself comes to on A4, with margins of 13 mm.
const ALONE_SHRINK: f64 = 184.0 / 166.0;
/// How wide the tables are.
const TABLES_WIDE: f64 = 146.0;
/// How far to the right lines across a sheet reach.
const RIGHT: f64 = 410.0;
/// How deep the frame is drawn.
const DEPTH: f64 = 5.0;
/// How many ways there are to fill the segments, so that neighbours are told apart.
const FILL_COUNT: usize = 6;
/// How far outside the frame plates stand.
const BESIDE: f64 = DEPTH + 4.0;

/// The frame of a report as a sheet to print, in SVG: exactly as large as its paper. Variants that the records leave possible
/// stand in pairs, and where they need more room everything on the sheet is drawn smaller. `frame` is that of the
/// report, `printed` the day of printing.
#[must_use]
pub fn frame_picture(
    report: &FrameReport,
    model: &Model,
    frame: FrameId,
    not_read: &[NotRead],
    paper: Paper,
    printed: &str,
) -> String {
    let head = report.head();
    let asked = &report.asked;
    let state = asked.build_state.as_ref().map_or("no named build state".to_owned(), |name| format!("\"{name}\""));
    let supposed = match &asked.supposed[..] {
        [] => String::new(),
        supposed => format!(". SUPPOSED, no record: {}", supposed.join("; ")),
    };
    let cell = |name, share, text| FootCell { name, text, share };
    let row = vec![
        cell("Airframe", 0.16, type_words(&asked.airframe, asked.type_name.as_deref())),
        cell("Frame", 0.20, report.whereabouts()),
        cell("State", 0.21, format!("{state}, at the end of {}{supposed}", date_text(&asked.date))),
        cell("Outstanding", 0.33, open(report)),
        cell("Printed", 0.10, format!("{}, {}", date_text(printed), paper.name())),
    ];
    let foot = Foot { caution: CAUTION, rows: vec![row] };
    let mut shrink = paper.shrink();
    loop {
        let (sheet, bottom) = drawn(report, model, frame, not_read, paper, shrink);
        let (width, height) = room(paper, shrink);
        let needed = bottom + foot.height(width) + MARGIN;
        if needed <= height || shrink < SMALLEST {
            return sheet.finish(&format!("{head}: {}", asked.line()), &foot, paper, shrink);
        }
        shrink *= (height / needed).min(0.99);
    }
}

/// The variants of the frame of a report, each drawn by itself in SVG, with what it is.
#[must_use]
pub fn frame_figures(report: &FrameReport, model: &Model, frame: FrameId) -> Vec<(String, String)> {
    let unread = report.not_read_on_jigs();
    let count = report.variants.len();
    let one = |(index, variant): (usize, &FrameVariantRow)| {
        let of = if count > 1 { format!(", variant {} of {count}", index + 1) } else { String::new() };
        let title = format!("{}{of}: {}{}", report.head(), variant.when, standing(variant));
        let (entry, shrink) = (&model.frames[frame], ALONE_SHRINK);
        let drawn = DrawnVariant { report, variant, model, entry, unread: &unread, shrink, layout: &ALONE };
        let mut sheet = PaperSheet::default();
        let bottom = drawing(&mut sheet, &drawn, 0.0);
        let figure = sheet.cropped(&title, (0.0, 0.0), ALONE.wide, bottom);
        (title, figure)
    };
    report.variants.iter().enumerate().map(one).collect()
}

/// Below this nothing can be read any more.
const SMALLEST: f64 = 0.2;

/// What stands above the foot, and where it ends; a millimetre of the sheet comes to `shrink` on paper.
fn drawn(
    report: &FrameReport,
    model: &Model,
    frame: FrameId,
    not_read: &[NotRead],
    paper: Paper,
    shrink: f64,
) -> (PaperSheet, f64) {
    let entry = &model.frames[frame];
    let mut sheet = PaperSheet::default();
    sheet.text((MARGIN, 16.0), 7.0, true, TextAnchor::Start, &report.head());
    let title = report.title.as_deref().unwrap_or_default();
    sheet.text((MARGIN, 21.5), 3.8, false, TextAnchor::Start, title);
    let mut top = not_read_box(&mut sheet, not_read, TOP);
    if report.variants.is_empty() {
        let none = match report.none() {
            Some(NoVariant::NotRead) => {
                format!("Which variant it is, is not known: {}.", mark_text(&report.not_read_of_variant))
            }
            Some(NoVariant::TooMany) => {
                "More than 64 variants: ask for the positions of the frame one by one.".to_owned()
            }
            Some(NoVariant::Contradicted) | None => "No variant: the records contradict each other.".to_owned(),
        };
        let none = format!("{none} Nothing is drawn.");
        top = sheet.paragraph((MARGIN, top + 12.0), 240.0, 5.0, true, &none);
        if report.none() == Some(NoVariant::NotRead) {
            for remark in remarks(report) {
                top = sheet.paragraph((MARGIN, top), 240.0, SMALL, remark.starts_with("Jig "), &remark);
            }
        }
    }
    let unread = report.not_read_on_jigs();
    let of = report.variants.len();
    let (sheet_wide, _) = room(paper, shrink);
    let in_pair = FrameLayout::in_pair(sheet_wide);
    let of_each = |variant, layout| DrawnVariant { report, variant, model, entry, unread: &unread, shrink, layout };
    if let [variant] = &report.variants[..] {
        top = panel(&mut sheet, &of_each(variant, &ON_SHEET), None, &remarks(report), top);
    } else if of > 1 {
        for (row, pair) in report.variants.chunks(2).enumerate() {
            let ends = pair.iter().zip(&in_pair).enumerate().map(|(n, (variant, layout))| {
                panel(&mut sheet, &of_each(variant, layout), Some((2 * row + n + 1, of)), &[], top)
            });
            top = ends.fold(top, f64::max);
        }
        top += 2.0;
        for remark in remarks(report) {
            let bold = remark.starts_with("Jig ");
            top = sheet.paragraph((MARGIN, top), sheet_wide - 2.0 * MARGIN, SMALL, bold, &remark);
        }
        top += 2.0;
    }
    (sheet, top)
}

/// The airframe with its type.
fn type_words(airframe: &str, type_name: Option<&str>) -> String {
    type_name.map_or_else(|| airframe.to_owned(), |name| format!("{airframe}, type {name}"))
}

/// A variant of a frame, and where it comes from.
struct DrawnVariant<'a> {
    report: &'a FrameReport,
    variant: &'a FrameVariantRow,
    model: &'a Model,
    entry: &'a Frame,
    /// What was not read and bears on which plate stands where.
    unread: &'a Marks,
    /// What a millimetre of the sheet comes to on paper.
    shrink: f64,
    layout: &'a FrameLayout,
}

/// How a place of the metal, in millimetres to starboard and up, comes to the paper.
struct View<'a> {
    girth: &'a Girth,
    /// Millimetres of metal to one of the sheet.
    scale: f64,
    middle: (f64, f64),
    at: PaperPoint,
}

/// What the jigs, the build state and the suppositions add, line by line.
fn remarks(report: &FrameReport) -> Vec<String> {
    let mut page = Page::default();
    for jig in &report.jigs {
        page.append(jig.summary());
    }
    page.append(report.asked.remarks());
    page.sentences()
}

/// What the records leave open about the frame.
fn open(report: &FrameReport) -> String {
    let mut sentences: Vec<String> = Vec::new();
    let marks = report.not_read();
    if !marks.is_empty() {
        sentences.push(format!("NOT ALL IS KNOWN: {}.", mark_text(&marks)));
    }
    if report.asked.contradicted {
        sentences.push("The firm records contradict each other: run modstate check.".to_owned());
    }
    if report.none() == Some(NoVariant::NotRead) {
        sentences.push("Which variant it is, is not known.".to_owned());
    } else if report.standing != (Both { firm: Say::Yes, held: Say::Yes }) {
        let count = report.variants.len();
        sentences.push(if count == 1 {
            "The variant is NOT settled.".to_owned()
        } else {
            format!("The variant is NOT settled: {count} are possible.")
        });
    }
    for variant in &report.variants {
        for segment in variant.segments.iter().filter(|segment| !segment.issues.is_settled()) {
            let sentence = format!("Issue of {}: {}.", segment.part, segment.issues.words(" or "));
            if !sentences.contains(&sentence) {
                sentences.push(sentence);
            }
        }
    }
    let stations = || report.jigs.iter().flat_map(|jig| &jig.stations);
    let marks = |is: &dyn Fn(&JigStation) -> bool| {
        let marks = stations().filter(|station| is(station)).filter_map(|station| station.mark.as_deref());
        marks.collect::<Vec<_>>().join(", ")
    };
    let undecided = marks(&JigStation::is_undecided);
    let unproved = marks(&|station| station.sign() == Sign::Unproved);
    let out = marks(&|station| matches!(PlateSign::of(station), PlateSign::HolesOut));
    let wrong = marks(&|station| matches!(PlateSign::of(station), PlateSign::As(Sign::Wrong)));
    let missing = stations().filter(|station| station.sign() == Sign::Missing).map(|station| station.station.as_str());
    let missing = missing.collect::<Vec<_>>().join(", ");
    for (words, marks) in [
        ("Wrong plates", wrong),
        ("Holes out of tolerance", out),
        ("No plate on station", missing),
        ("Plates not decided", undecided),
        ("Plates not verified by measurement", unproved),
    ] {
        if !marks.is_empty() {
            sentences.push(format!("{words}: {marks}."));
        }
    }
    if sentences.is_empty() { "Nothing: variant and issues are settled.".to_owned() } else { sentences.join(" ") }
}

/// Draws one variant; gives where it ends.
fn panel(
    sheet: &mut PaperSheet,
    drawn: &DrawnVariant<'_>,
    number: Option<(usize, usize)>,
    remarks: &[String],
    top: f64,
) -> f64 {
    let lead = number.map_or("Variant: ".to_owned(), |(number, of)| format!("Variant {number} of {of}: "));
    let sentence = format!("{lead}{}{}", drawn.variant.when, standing(drawn.variant));
    let layout = drawn.layout;
    let under = sheet.paragraph((layout.left, top + 6.0), layout.wide - layout.left - 6.0, 4.2, true, &sentence);
    let (foot, right) = match layout.tables {
        TablesAt::Beside(left) => {
            let foot = tables(sheet, drawn, remarks, (left, top + 2.0));
            (foot.max(drawing(sheet, drawn, under)), RIGHT)
        }
        TablesAt::Under => {
            let foot = drawing(sheet, drawn, under);
            (tables(sheet, drawn, remarks, (layout.left, foot + 2.0)), layout.wide)
        }
        TablesAt::Nowhere => (drawing(sheet, drawn, under), layout.wide),
    };
    sheet.line((layout.left, foot + 2.0), (right, foot + 2.0), r##"stroke="#000" stroke-width="0.35""##);
    foot + 4.0
}

/// Draws the frame with its words and the legend; gives where it ends.
fn drawing(sheet: &mut PaperSheet, drawn: &DrawnVariant<'_>, under: f64) -> f64 {
    let FrameLayout { middle: across, space, columns, .. } = drawn.layout;
    let girth = &drawn.entry.girth;
    let (middle, size) = extent(girth);
    let on_paper = scale(size, *space, drawn.shrink);
    let scale = on_paper * drawn.shrink;
    let [left, right] = [-1.0, 1.0].map(|side: f64| {
        let flat = View { girth, scale, middle, at: (*across, 0.0) };
        callouts(drawn, &flat)
            .into_iter()
            .filter(|callout| (callout.at.0 >= *across) == (side > 0.0))
            .collect::<Vec<_>>()
    });
    let tallest = needed(&left, columns[0]).max(needed(&right, columns[1]));
    let height = (size.1 / scale + 46.0).max(tallest + 4.0);
    let view = View { girth, scale, middle, at: (*across, under + height / 2.0 - 1.0) };
    draw_frame(sheet, drawn, &view);
    for (column, mut callouts) in columns.iter().zip([left, right]) {
        for callout in &mut callouts {
            callout.at.1 += view.at.1;
        }
        draw(sheet, callouts, *column, under, under + height);
    }
    legend(sheet, drawn, on_paper, under + height + 4.0)
}

/// What is said of a variant that is not settled.
fn standing(variant: &FrameVariantRow) -> String {
    if variant.standing == (Both { firm: Say::Yes, held: Say::Yes }) {
        return "; settled".to_owned();
    }
    let word = |say: Say| match say {
        Say::Yes => "this one",
        Say::No => "not this one",
        Say::Open | Say::Contradicted | Say::Undecided | Say::NotRead => say.word(),
    };
    let Both { firm, held } = variant.standing;
    format!(
        ". NOT SETTLED: {} on the firm claims only; {} if the doubtful claims are accepted too",
        word(firm),
        word(held)
    )
}

/// The middle of a path and its size, in millimetres: breadth, height.
fn extent(girth: &Girth) -> ((f64, f64), (f64, f64)) {
    let points: Vec<(f64, f64)> =
        along(girth, 0.0, girth.length_mm()).into_iter().map(|at| girth.point_at(at)).collect();
    let ends = |of: fn(&(f64, f64)) -> f64| {
        let values = points.iter().map(of);
        values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)))
    };
    let ((west, east), (low, high)) = (ends(|point| point.0), ends(|point| point.1));
    ((f64::midpoint(west, east), f64::midpoint(low, high)), (east - west, high - low))
}

/// Distances along a path from one to another, clockwise, close enough to draw it; the ends of its smooth pieces, where
/// corners may be, are there.
fn along(girth: &Girth, from: f64, to: f64) -> Vec<f64> {
    let whole = girth.length_mm();
    let to = if to <= from && girth.is_closed() { to + whole } else { to };
    let steps = 180;
    let mut found: Vec<f64> = (0..=steps).map(|step| from + (to - from) * f64::from(step) / f64::from(steps)).collect();
    let turns: &[f64] = if girth.is_closed() { &[0.0, whole] } else { &[0.0] };
    found.extend(
        girth.joints().flat_map(|at| turns.iter().map(move |turn| at + turn)).filter(|at| from < *at && *at < to),
    );
    found.sort_by(f64::total_cmp);
    found
}

impl View<'_> {
    fn place(&self, (breadth, height): PlanePoint) -> PaperPoint {
        (self.at.0 + (breadth - self.middle.0) / self.scale, self.at.1 - (height - self.middle.1) / self.scale)
    }

    /// The place at a distance along the path, so far outside it on the paper.
    fn beside(&self, girth_mm: f64, outside: f64) -> PaperPoint {
        let step = self.scale / 4.0;
        let (before, after) = (self.girth.point_at(girth_mm - step), self.girth.point_at(girth_mm + step));
        let (x, y) = self.place(self.girth.point_at(girth_mm));
        let (east, down) = (after.0 - before.0, before.1 - after.1);
        let length = east.hypot(down).max(1e-9);
        (x + outside * down / length, y - outside * east / length)
    }

    /// The path from one distance to another.
    fn run(&self, from: f64, to: f64) -> Vec<PaperPoint> {
        along(self.girth, from, to).into_iter().map(|at| self.place(self.girth.point_at(at))).collect()
    }
}

impl DrawnVariant<'_> {
    /// The distance along the path of a named point.
    fn at(&self, name: &str) -> f64 {
        let found = self.entry.splice_points.iter().find(|point| point.name == name);
        found.map_or(0.0, |point| point.girth_mm)
    }

    /// The middle between two named points, clockwise.
    fn between(&self, from: &str, to: &str) -> f64 {
        let (from, to) = (self.at(from), self.at(to));
        let whole = self.entry.girth.length_mm();
        if to <= from { (from + to + whole) / 2.0 % whole } else { f64::midpoint(from, to) }
    }

    /// The plates that locate what joins a point.
    fn plates_at(&self, point: &GirthPoint) -> Vec<String> {
        let locates = |parts: &[crate::ids::PartId]| {
            parts.iter().any(|part| point.joined_by.iter().any(|name| name == self.model.parts.name(*part)))
        };
        let plates =
            self.variant.plates.iter().filter(|name| {
                self.model.plates.id(name).is_some_and(|plate| locates(&self.model.plates[plate].locates))
            });
        plates.cloned().collect()
    }

    /// The station at which a plate is needed.
    fn station(&self, plate: &str) -> Option<&JigStation> {
        let mut stations = self.report.jigs.iter().flat_map(|jig| &jig.stations);
        stations.find(|station| station.needed.iter().any(|need| need.plate == plate))
    }

    /// Mark and verdict of a plate on the jig.
    fn on_jig(&self, plate: &str) -> String {
        match self.station(plate) {
            Some(station) => {
                let both = station.in_short_on_both();
                station.mark.as_ref().map_or(both.clone(), |mark| format!("{mark}: {both}"))
            }
            None if !self.unread.is_empty() => format!("on a jig: {}", mark_text(self.unread)),
            None => "on no jig".to_owned(),
        }
    }

    /// What holds a plate: the places at which it stands, and its number.
    fn plates(&self) -> Vec<(f64, &str)> {
        let mut found: Vec<(f64, &str)> = Vec::new();
        let segments = self.variant.segments.iter().map(|s| (&s.plates, &s.from, &s.to));
        let openings = self.variant.openings.iter().map(|o| (&o.plates, &o.from, &o.to));
        for (plates, from, to) in segments.chain(openings) {
            let middle = self.between(from, to);
            for (index, plate) in plates.iter().enumerate() {
                // Several plates of one piece stand side by side.
                let apart = f64::from(u32::try_from(index).unwrap_or(0)) * self.entry.girth.length_mm() / 60.0;
                found.push((middle + apart, plate));
            }
        }
        found
    }
}

/// Where an angle lies on a clock face: "6 o'clock", "between 10 and 11 o'clock".
fn clock(degrees: f64) -> String {
    let hours = (degrees * 100.0).round() / 3000.0;
    let name = |hour: f64| if hour.rem_euclid(12.0) < 1.0 { 12.0 } else { hour.rem_euclid(12.0) };
    if (hours - hours.round()).abs() < 1e-9 {
        format!("{} o'clock", name(hours.round()))
    } else {
        format!("between {} and {} o'clock", name(hours.floor()), name(hours.floor() + 1.0))
    }
}

/// The words beside the frame, with their places.
fn callouts(drawn: &DrawnVariant<'_>, view: &View<'_>) -> Vec<Callout> {
    let mut found: Vec<Callout> = Vec::new();
    for point in &drawn.variant.points {
        let splice = point.edge_of.is_empty();
        let mut lines = vec![format!("{} at {:.2}°, {}", point.name, point.clock_deg, clock(point.clock_deg))];
        // The station of an upright frame stands in its middle, and is that of all its points.
        if !drawn.layout.is_alone() || drawn.report.plane.is_some() {
            lines.push(format!("station {}", drawn.report.station_at(point)));
        }
        lines.push(if splice { "splice".to_owned() } else { format!("edge of {}", point.edge_of.join(", ")) });
        let plates = drawn.plates_at(point);
        lines.extend(plates.iter().map(|plate| format!("plate {plate}, {}", drawn.on_jig(plate))));
        let outside = if plates.is_empty() { DEPTH } else { BESIDE };
        found.push(Callout { at: view.beside(drawn.at(&point.name), outside), lines });
    }
    if drawn.layout.is_alone() {
        for (index, segment) in drawn.variant.segments.iter().enumerate() {
            let lines = vec![format!("{} {}", letter(index), segment.part), segment.what()];
            found.push(Callout { at: view.beside(drawn.between(&segment.from, &segment.to), 0.0), lines });
        }
        for (index, opening) in drawn.variant.openings.iter().enumerate() {
            let lines = vec![format!("O{} {}", index + 1, opening.bridged_by.join(" ")), opening.name.clone()];
            found.push(Callout { at: view.beside(drawn.between(&opening.from, &opening.to), 0.0), lines });
        }
    }
    for (at, plate) in drawn.plates() {
        let lines = vec![format!("Plate {plate}"), drawn.on_jig(plate)];
        found.push(Callout { at: view.beside(at, BESIDE), lines });
    }
    found
}

/// The openings, and that a part bridges them.
fn draw_openings(sheet: &mut PaperSheet, drawn: &DrawnVariant<'_>, view: &View<'_>) {
    for opening in &drawn.variant.openings {
        let run = view.run(drawn.at(&opening.from), drawn.at(&opening.to));
        if opening.bridged_by.is_empty() {
            sheet.path(&run, false, r##"fill="none" stroke="#000" stroke-width="0.3" stroke-dasharray="1.5 1.5""##);
        } else {
            band(sheet, &run, "#000", DEPTH / 2.0 + 0.7);
            band(sheet, &run, "#fff", DEPTH / 2.0);
            sheet.path(&run, false, r##"fill="none" stroke="#000" stroke-width="0.7" stroke-dasharray="2.2 1.2""##);
        }
    }
}

fn draw_frame(sheet: &mut PaperSheet, drawn: &DrawnVariant<'_>, view: &View<'_>) {
    let (x, y) = view.at;
    let zero = view.place((0.0, 0.0));
    let half = extent(view.girth).1.1 / view.scale / 2.0;
    let chain = r##"stroke="#666" stroke-width="0.2" stroke-dasharray="6 1.5 1 1.5""##;
    sheet.line((zero.0, y - half - 11.0), (zero.0, y + half + 11.0), chain);
    let reach = drawn.layout.space.0 / 2.0 + 8.0;
    sheet.line((x - reach, zero.1), (x + reach, zero.1), chain);
    let count = drawn.variant.segments.len();
    for (index, segment) in drawn.variant.segments.iter().enumerate() {
        let pattern = pattern(index, count);
        let run = view.run(drawn.at(&segment.from), drawn.at(&segment.to));
        band(sheet, &run, "#000", DEPTH + 0.9);
        fill(sheet, &run, pattern, view, drawn.at(&segment.from), drawn.at(&segment.to));
        for (name, lap, toward) in [(&segment.from, &segment.lap_from, -1.0), (&segment.to, &segment.lap_to, 1.0)] {
            if let Some(lap) = lap.as_ref().and_then(|lap| lap_mm(drawn.entry, lap)) {
                let at = drawn.at(name);
                let (from, to) = if toward < 0.0 { (at - lap, at) } else { (at, at + lap) };
                let outside = DEPTH / 2.0 + if toward < 0.0 { 1.1 } else { 1.8 };
                let steps = [from, f64::midpoint(from, to), to];
                let run: Vec<PaperPoint> = steps.into_iter().map(|at| view.beside(at, outside)).collect();
                sheet.path(&run, false, r##"fill="none" stroke="#000" stroke-width="0.5""##);
            }
        }
    }
    draw_openings(sheet, drawn, view);
    for point in &drawn.variant.points {
        let at = drawn.at(&point.name);
        let (weight, reach) = if point.edge_of.is_empty() { ("1.7", DEPTH) } else { ("0.6", DEPTH) };
        let style = format!(r##"stroke="#000" stroke-width="{weight}""##);
        sheet.line(view.beside(at, -reach), view.beside(at, reach), &style);
    }
    // A plate that stands on no jig is missing there; where something was not read, that is not known.
    let none = if drawn.unread.is_empty() { Sign::Missing } else { Sign::Open };
    let sign = |plate: &str| drawn.station(plate).map_or(PlateSign::As(none), PlateSign::of);
    for (at, plate) in drawn.plates() {
        plate_box(sheet, view.beside(at, BESIDE), sign(plate));
    }
    for point in &drawn.variant.points {
        let mut outside = BESIDE;
        for plate in drawn.plates_at(point) {
            plate_box(sheet, view.beside(drawn.at(&point.name), outside), sign(&plate));
            outside += 5.4;
        }
    }
    sense(sheet, drawn, view);
    letters(sheet, drawn, view);
}

/// In the middle of a frame: from where it is seen, which side is which, and where it stands.
fn sense(sheet: &mut PaperSheet, drawn: &DrawnVariant<'_>, view: &View<'_>) {
    let (x, y) = view.at;
    let inside = extent(view.girth).1.0 / view.scale - 2.0 * DEPTH;
    // In a small frame the words stand closer.
    let roomy = inside > 64.0;
    let (wide, size, sides, apart) = if roomy { (58.0, 3.2, 3.6, 4.0) } else { (28.0, 2.9, 2.9, 1.5) };
    sheet.rect((x - wide / 2.0, y - 13.0), wide, 23.0, r##"fill="#fff""##);
    if roomy {
        sheet.text((x, y - 8.0), size, false, TextAnchor::Middle, "looking forward, 12 o'clock up");
    } else {
        sheet.text((x, y - 7.4), size, false, TextAnchor::Middle, "looking forward,");
        sheet.text((x, y - 3.8), size, false, TextAnchor::Middle, "12 o'clock up");
    }
    sheet.text((x - apart, y + 1.2), sides, true, TextAnchor::End, "< PORT");
    sheet.text((x + apart, y + 1.2), sides, true, TextAnchor::Start, "STBD >");
    let station = format!("station {}", length_text(&drawn.report.station));
    sheet.text((x, y + 8.0), size, false, TextAnchor::Middle, &station);
}

/// A strip along a path.
fn band(sheet: &mut PaperSheet, run: &[PaperPoint], ink: &str, wide: f64) {
    sheet.path(run, false, &format!(r#"fill="none" stroke="{ink}" stroke-width="{wide}" stroke-linejoin="round""#));
}

/// Fills a strip between two distances along the path, told apart by what is drawn in it as well as by tone. Lines and dots are
/// drawn one by one: a pattern would be printed as a coarse image.
fn fill(sheet: &mut PaperSheet, run: &[PaperPoint], way: usize, view: &View<'_>, from: f64, to: f64) {
    let tint = ["#fff", "#dcebf7", "#fbecd2", "#e2f2df", "#9a9a9a", "#f3e3f2"][way];
    band(sheet, run, tint, DEPTH);
    let to = if to <= from && view.girth.is_closed() { to + view.girth.length_mm() } else { to };
    let half = DEPTH / 2.0;
    let style = |ink: &str, wide: f64| format!(r#"stroke="{ink}" stroke-width="{wide}""#);
    // So far along the metal as so many millimetres of the sheet.
    let along = |sheet_mm: f64| sheet_mm * view.scale;
    let step = along([0.0, 1.7, 2.2, 2.6, 1.6, 3.4][way]);
    if step <= 0.0 {
        return;
    }
    let mut at = from + step / 2.0;
    let mut odd = false;
    while at < to {
        let mut slanted = |by: f64, ink: &str, wide: f64| {
            let ends = (view.beside(at - along(by), -half), view.beside(at + along(by), half));
            sheet.line(ends.0, ends.1, &style(ink, wide));
        };
        match way {
            1 => slanted(0.9, "#123a5c", 0.4),
            2 => {
                let aside = if odd { 1.1 } else { -1.1 };
                sheet.circle(view.beside(at, aside), 0.5, r##"fill="#5a3200""##);
            }
            3 => {
                slanted(1.3, "#1d4a18", 0.3);
                slanted(-1.3, "#1d4a18", 0.3);
            }
            4 => slanted(0.0, "#fff", 0.4),
            _ => {
                sheet.line(view.beside(at, -0.9), view.beside(at, 0.9), &style("#4a1546", 0.4));
                let ends = (view.beside(at - along(0.9), 0.0), view.beside(at + along(0.9), 0.0));
                sheet.line(ends.0, ends.1, &style("#4a1546", 0.4));
            }
        }
        odd = !odd;
        at += step;
    }
}

/// The pattern of a segment: never that of its neighbours.
fn pattern(index: usize, count: usize) -> usize {
    if count > 1 && index + 1 == count && count % FILL_COUNT == 1 { 3 } else { index % FILL_COUNT }
}

/// A lap in millimetres.
fn lap_mm(entry: &Frame, text: &str) -> Option<f64> {
    let laps = entry.segments.iter().flat_map(|segment| [&segment.lap_from, &segment.lap_to]);
    laps.flatten().find(|lap| lap.text == text).map(Length::mm)
}

/// The letter of a segment, or of the opening of this number.
fn letter(index: usize) -> String {
    let letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ";
    let one = letters.chars().nth(index % 26).unwrap_or('A');
    if index < 26 { one.to_string() } else { format!("{one}{}", index / 26) }
}

/// The letters of the segments and the numbers of the openings, inside the frame.
fn letters(sheet: &mut PaperSheet, drawn: &DrawnVariant<'_>, view: &View<'_>) {
    let segments = drawn.variant.segments.iter().enumerate().map(|(index, s)| (letter(index), &s.from, &s.to));
    let openings =
        drawn.variant.openings.iter().enumerate().map(|(index, o)| (format!("O{}", index + 1), &o.from, &o.to));
    let mut taken: Vec<PaperPoint> = Vec::new();
    for (name, from, to) in segments.chain(openings) {
        let at = drawn.between(from, to);
        let spots = (0..6).map(|step| view.beside(at, -DEPTH - 3.6 - 7.4 * f64::from(step)));
        let clear = |spot: &PaperPoint| taken.iter().all(|other| (other.0 - spot.0).hypot(other.1 - spot.1) > 7.2);
        let spot = spots.clone().find(clear).unwrap_or_else(|| view.beside(at, -DEPTH - 3.6));
        taken.push(spot);
        sheet.line(view.beside(at, -DEPTH / 2.0), spot, r##"stroke="#000" stroke-width="0.2""##);
        sheet.circle(spot, 3.3, r##"fill="#fff" stroke="#000" stroke-width="0.4""##);
        sheet.text((spot.0, spot.1 + 1.2), 3.4, true, TextAnchor::Middle, &name);
    }
}

/// How a plate is drawn. One of the wrong variant is scrap here, one of which holes are out is redrilled: two signs.
#[derive(Clone, Copy)]
enum PlateSign {
    As(Sign),
    HolesOut,
}

impl PlateSign {
    fn of(station: &JigStation) -> PlateSign {
        if station.verdict.firm == JigVerdict::HolesOut { PlateSign::HolesOut } else { PlateSign::As(station.sign()) }
    }
}

/// The sign of a plate: its shape tells its verdict.
fn plate_box(sheet: &mut PaperSheet, (x, y): PaperPoint, drawn: PlateSign) {
    let (corner, side) = ((x - 2.1, y - 2.1), 4.2);
    let cross = |sheet: &mut PaperSheet, ink: &str| {
        let style = format!(r#"stroke="{ink}" stroke-width="0.7""#);
        sheet.line((x - 1.3, y - 1.3), (x + 1.3, y + 1.3), &style);
        sheet.line((x - 1.3, y + 1.3), (x + 1.3, y - 1.3), &style);
    };
    match drawn {
        PlateSign::As(Sign::Measured) => {
            sheet.rect(corner, side, side, r##"fill="#fff" stroke="#000" stroke-width="0.8""##);
            sheet.circle((x, y), 1.0, r##"fill="#000""##);
        }
        PlateSign::As(Sign::Unproved) => {
            sheet.rect(corner, side, side, r##"fill="#fff" stroke="#000" stroke-width="0.8""##);
        }
        PlateSign::As(Sign::Missing) => {
            sheet.rect(
                corner,
                side,
                side,
                r##"fill="#fff" stroke="#000" stroke-width="0.5" stroke-dasharray="0.9 0.7""##,
            );
        }
        PlateSign::HolesOut => {
            sheet.rect(corner, side, side, r##"fill="#fff" stroke="#000" stroke-width="0.8""##);
            sheet.circle((x, y), 1.1, r##"fill="none" stroke="#000" stroke-width="0.5""##);
            sheet.line((x - 1.6, y + 1.6), (x + 1.6, y - 1.6), r##"stroke="#000" stroke-width="0.5""##);
        }
        PlateSign::As(Sign::Wrong) => {
            sheet.rect(corner, side, side, r##"fill="#000" stroke="#000" stroke-width="0.8""##);
            cross(sheet, "#fff");
        }
        PlateSign::As(Sign::Open) => {
            sheet.rect(corner, side, side, r##"fill="#fff" stroke="#000" stroke-width="0.8""##);
            sheet.text((x, y + 1.2), 3.4, true, TextAnchor::Middle, "?");
        }
    }
}

/// The tables of the frame, from a corner on; gives where they end.
fn tables(sheet: &mut PaperSheet, drawn: &DrawnVariant<'_>, remarks: &[String], (left, top): PaperPoint) -> f64 {
    let (columns, rows) = points_table(drawn);
    let mut at = sheet.table((left, top), &columns, &rows) + 4.0;
    at = sheet.paragraph((left, at), TABLES_WIDE, SMALL, false, &drawn.report.sense) + 2.0;
    let mut rows = Vec::new();
    for (index, segment) in drawn.variant.segments.iter().enumerate() {
        let lap = |lap: &Option<String>| lap.as_ref().map_or("-".to_owned(), |lap| length_text(lap));
        rows.push(vec![
            letter(index),
            segment.part.clone(),
            segment.what(),
            format!("{} to {}", segment.from, segment.to),
            format!("{} / {}", lap(&segment.lap_from), lap(&segment.lap_to)),
            cell(&segment.not_read.issues, segment.issues.words(" or "), "-"),
            cell(&segment.not_read.plates, segment.plates.join(" "), "-"),
        ]);
    }
    for (index, opening) in drawn.variant.openings.iter().enumerate() {
        rows.push(vec![
            format!("O{}", index + 1),
            opening.bridged_by.join(" "),
            if opening.bridged_by.is_empty() {
                format!("{}, open", opening.name)
            } else {
                format!("{}, bridged", opening.name)
            },
            format!("{} to {}", opening.from, opening.to),
            String::new(),
            String::new(),
            cell(&opening.not_read, opening.plates.join(" "), ""),
        ]);
    }
    let columns = [
        ("", 8.0),
        ("Part", 19.0),
        ("Description", 42.0),
        ("From - to", 22.0),
        ("Laps", 25.0),
        ("Issue", 12.0),
        ("Plate", 18.0),
    ];
    at = sheet.table((left, at), &columns, &rows) + 5.0;
    for remark in remarks {
        at = sheet.paragraph((left, at), TABLES_WIDE, SMALL, remark.starts_with("Jig "), remark);
    }
    side_view(sheet, &drawn.entry.girth, drawn.report, (left, at), TABLES_WIDE, drawn.shrink)
}

/// The table of the points: its columns and its rows. Where the drawing speaks in ordinates, so does the table.
fn points_table(drawn: &DrawnVariant<'_>) -> (Vec<(&'static str, f64)>, Vec<Vec<String>>) {
    let ordinates = drawn.report.shows_ordinates();
    let inches = drawn.report.in_inches();
    let mut columns = if ordinates {
        vec![("Point", 11.0), ("Station", 17.0), ("Clock deg", 18.0), ("Girth mm", 16.0), ("Girth in", 15.0)]
    } else {
        vec![("Point", 13.0), ("Station", 20.0), ("Clock deg", 18.0), ("Girth mm", 19.0), ("Girth in", 18.0)]
    };
    if ordinates {
        let heads = if inches { ["Breadth in", "Height in"] } else { ["Breadth mm", "Height mm"] };
        columns.extend([(heads[0], 18.5), (heads[1], 17.0)]);
    }
    columns.push(("Feature", TABLES_WIDE - columns.iter().map(|(_, wide)| wide).sum::<f64>()));
    let rows = drawn.variant.points.iter().map(|point| {
        let mut row = vec![
            point.name.clone(),
            drawn.report.station_at(point),
            format!("{:.2}", point.clock_deg),
            format!("{:.2}", point.girth_mm),
            format!("{:.3}", point.girth_in),
        ];
        if ordinates {
            let side = point.side();
            row.extend(if inches {
                [format!("{side} {:.3}", point.breadth_in.abs()), format!("{:.3}", point.height_in)]
            } else {
                [format!("{side} {:.2}", point.breadth_mm.abs()), format!("{:.2}", point.height_mm)]
            });
        }
        row.push(point.what());
        row
    });
    (columns, rows.collect())
}

/// What the legend explains: the box of a plate, or a line so thick.
#[derive(Clone, Copy)]
enum LegendSign {
    Plate(PlateSign),
    Line(f64),
}

/// What the signs mean, the scale on paper and its bar; gives where it ends.
fn legend(sheet: &mut PaperSheet, drawn: &DrawnVariant<'_>, scale: f64, top: f64) -> f64 {
    let words = [
        (LegendSign::Plate(PlateSign::As(Sign::Measured)), "right, by its holes"),
        (LegendSign::Plate(PlateSign::As(Sign::Unproved)), "record only"),
        (LegendSign::Plate(PlateSign::As(Sign::Wrong)), "WRONG PLATE"),
        (LegendSign::Plate(PlateSign::HolesOut), "holes out of tolerance"),
        (LegendSign::Plate(PlateSign::As(Sign::Missing)), "missing"),
        (LegendSign::Plate(PlateSign::As(Sign::Open)), "not decided"),
        (LegendSign::Line(1.7), "splice"),
        (LegendSign::Line(0.6), "edge of an opening"),
    ];
    let start = drawn.layout.left + 3.0;
    let (mut left, mut top) = (start, top);
    for (sign, sentence) in words {
        let wide = 8.0 + super::sheet::wide(sentence, SMALL, false);
        if left + wide > drawn.layout.wide {
            (left, top) = (start, top + 6.0);
        }
        match sign {
            LegendSign::Plate(sign) => plate_box(sheet, (left, top), sign),
            LegendSign::Line(wide) => {
                let stroke = format!(r##"stroke="#000" stroke-width="{wide}""##);
                sheet.line((left, top - 2.5), (left, top + 2.5), &stroke);
            }
        }
        sheet.text((left + 4.0, top + 1.1), SMALL, false, TextAnchor::Start, sentence);
        left += wide;
    }
    let inches = drawn.report.in_inches();
    let (size, name) = round_bar(scale, inches, 60.0 * drawn.shrink);
    let at = top + 7.0;
    let (from, to) = (start - 2.0, start - 2.0 + size / scale / drawn.shrink);
    let black = r##"stroke="#000" stroke-width="0.5""##;
    sheet.line((from, at), (to, at), black);
    for x in [from, f64::midpoint(from, to), to] {
        sheet.line((x, at - 1.5), (x, at + 1.5), black);
    }
    let mut sentence =
        format!("{name} of metal; scale {} where this bar is {:.1} mm long.", scale_words(scale), size / scale);
    let line = if drawn.report.plane.is_some() {
        "The line of the girth is to scale as seen looking forward, where heights are shorter than along the metal; the \
         frame depth is not to scale. Outside it, laps as they are seen."
    } else {
        "The line of the girth is to scale; the frame depth is not to scale. Outside it, laps as long as they are."
    };
    write!(sentence, " {line}").expect("writing to memory does not fail");
    sheet.paragraph((to + 4.0, at + 1.0), drawn.layout.wide - to - 4.0, SMALL, false, &sentence).max(at + LINE)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neighbours_never_have_the_same_pattern() {
        for count in 2..40 {
            for index in 0..count {
                let next = (index + 1) % count;
                assert_ne!(pattern(index, count), pattern(next, count), "{index} of {count}");
            }
        }
    }

    #[test]
    fn clock_angles_are_said_as_on_a_clock_face() {
        let expected = [
            (0.0, "12 o'clock"),
            (38.0, "between 1 and 2 o'clock"),
            (180.0, "6 o'clock"),
            (359.999, "12 o'clock"),
            (359.9, "between 11 and 12 o'clock"),
            (12.0, "between 12 and 1 o'clock"),
            (322.0, "between 10 and 11 o'clock"),
        ];
        for (degrees, expected) in expected {
            assert_eq!(clock(degrees), expected, "{degrees}");
        }
    }
}
