//! The path of a frame, the planes that it lies in, and places along it.

use super::Context;
use super::say::Findings;
use crate::finding::{Finding, Place, RecordRef};
use crate::geometry::Girth;
use crate::geometry::girth::{CornerFault, FrameOutline, Planes, PolylineCorner, clock_angle, lean_angle};
use crate::quantity::Length;
use crate::quantity::length::mm_and_inches;
use crate::schema::{GirthPosition, Joining, Lean, Offset, Ordinates, PathPoint, Plane, Sides};
use crate::{codes, schema};

/// The path of a frame, laid out in its planes.
pub(super) fn girth(cx: &Context, record: RecordRef, raw: &schema::Frame, out: &mut Findings) -> Option<Girth> {
    let outline = outline(cx, &raw.girth, &record.field("girth"), out);
    let place = record.field("plane");
    let (planes, view) = planes(cx, &raw.plane, &place, out)?;
    let girth = Girth::new(outline?, planes, view);
    if let (Plane::Cranked { knuckle, .. }, Some(side)) = (&raw.plane, girth.only_side_of_knuckle()) {
        let message = format!("the whole path of the frame `{}` lies {side} its knuckle at `{knuckle}`", raw.name);
        out.add(
            Finding::new(codes::PLANES_OF_NO_USE, message, place.field("knuckle"), "not on the path")
                .label(record.field("girth"), "the path")
                .help("check the height of the knuckle and its unit, or enter the frame as `Canted`"),
        );
        return None;
    }
    Some(girth)
}

fn planes(cx: &Context, raw: &Plane, place: &Place, out: &mut Findings) -> Option<(Planes, Ordinates)> {
    match raw {
        Plane::Upright => Some((Planes::UPRIGHT, Ordinates::InPlane)),
        Plane::Canted { lean: raw, station_at, ordinates } => {
            let level = out.length(station_at, cx.config, &place.field("station_at"));
            let angle = lean(raw, &place.field("lean"), out)?;
            if angle.abs() <= 0.0 {
                let message = "the plane of a canted frame does not lean";
                out.add(
                    Finding::new(codes::PLANES_OF_NO_USE, message, place.field("lean"), "upright")
                        .help("give its lean, as in `Aft(\"8deg\")`, or leave `plane` out for an upright frame"),
                );
                return None;
            }
            Some((Planes::canted(level?.mm(), angle), *ordinates))
        }
        Plane::Cranked { knuckle, above, below, ordinates } => {
            let level = out.length(knuckle, cx.config, &place.field("knuckle"));
            let above = lean(above, &place.field("above"), out);
            let below = lean(below, &place.field("below"), out);
            let (level, above, below) = (level?, above?, below?);
            if (above - below).abs() <= 0.0 {
                let message = "the two planes of a cranked frame lean alike, so that they are one";
                out.add(
                    Finding::new(codes::PLANES_OF_NO_USE, message, place.field("below"), "leans as the other does")
                        .label(place.field("above"), "the other plane")
                        .help("correct one of the two, or enter the frame as `Canted`"),
                );
                return None;
            }
            Some((Planes::cranked(level.mm(), above, below), *ordinates))
        }
    }
}

/// A lean in degrees; positive if the upper edge lies aft.
fn lean(raw: &Lean, place: &Place, out: &mut Findings) -> Option<f64> {
    match raw {
        Lean::Upright => Some(0.0),
        Lean::Aft(text) => out.read(lean_angle(text), &place.item(0)),
        Lean::Forward(text) => out.read(lean_angle(text), &place.item(0)).map(|angle| -angle),
    }
}

fn outline(cx: &Context, raw: &schema::Girth, place: &Place, out: &mut Findings) -> Option<FrameOutline> {
    match raw {
        schema::Girth::Circle { radius } => {
            let radius = out.size("radius", radius, cx.config, &place.field("radius"))?;
            Some(FrameOutline::circle(radius.mm()))
        }
        schema::Girth::Ellipse { half_breadth, half_height } => {
            let breadth = out.size("half breadth", half_breadth, cx.config, &place.field("half_breadth"));
            let height = out.size("half height", half_height, cx.config, &place.field("half_height"));
            Some(FrameOutline::ellipse(breadth?.mm(), height?.mm()))
        }
        schema::Girth::Polyline { points, closed } => polyline(cx, points, *closed, &place.field("points"), out),
        schema::Girth::Offsets { given, joined, closed, rows } => {
            let table = Offsets { given: *given, joined: *joined, closed: *closed, place: place.field("rows") };
            table.outline(cx, rows, out)
        }
    }
}

/// A point of a path as it was read: breadth and height.
type ReadPoint = (Length, Length);

/// Where two points that follow each other are one.
fn double_point(points: &[ReadPoint], closed: bool, place: &Place, out: &mut Findings) -> Option<()> {
    let same = |a: &ReadPoint, b: &ReadPoint| (a.0.picometres, a.1.picometres) == (b.0.picometres, b.1.picometres);
    let next = points.iter().skip(1).chain(points.first().filter(|_| closed));
    let Some(index) = points.iter().zip(next).position(|(a, b)| same(a, b)) else { return Some(()) };
    let again = (index + 1) % points.len();
    let help = "remove one of the two points; a closed path joins its last point to its first by itself";
    out.add(
        Finding::new(codes::NO_PATH, "two points of the path follow at one place", place.item(again), "this point")
            .label(place.item(index), "is the point before it")
            .help(help),
    );
    None
}

/// A closed path that runs the wrong way round, by the sign of the area within its points.
fn wrong_way(points: &[(f64, f64)], place: &Place, out: &mut Findings) -> Option<()> {
    let next = points.iter().cycle().skip(1);
    let twice_area: f64 = points.iter().zip(next).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum();
    if twice_area < 0.0 {
        return Some(());
    }
    out.add(
        Finding::new(codes::NO_PATH, "the points of the path do not run clockwise", place.clone(), "these points")
            .help("give them in the other order: from the top down to starboard, looking forward, and up to port"),
    );
    None
}

fn too_few(count: usize, least: usize, place: &Place, out: &mut Findings) -> bool {
    if count < least {
        let message = format!("the path has too few points: {count}, and it needs at least {least}");
        out.add(
            Finding::new(codes::NO_PATH, message, place.clone(), "too few points")
                .help("give the points of the path from the drawing"),
        );
    }
    count < least
}

fn polyline(cx: &Context, raw: &[PathPoint], closed: bool, place: &Place, out: &mut Findings) -> Option<FrameOutline> {
    if too_few(raw.len(), if closed { 3 } else { 2 }, place, out) {
        return None;
    }
    let read: Vec<Option<(ReadPoint, Option<Length>)>> = raw
        .iter()
        .enumerate()
        .map(|(index, PathPoint(x, y, radius))| {
            let place = place.item(index);
            let x = out.length(x, cx.config, &place.item(0));
            let y = out.length(y, cx.config, &place.item(1));
            let radius = match radius {
                None => Some(None),
                Some(text) => out.size("corner radius", text, cx.config, &place.item(2)).map(Some),
            };
            Some(((x?, y?), radius?))
        })
        .collect();
    let (points, radii): (Vec<ReadPoint>, Vec<Option<Length>>) =
        read.into_iter().collect::<Option<Vec<_>>>()?.into_iter().unzip();
    double_point(&points, closed, place, out)?;
    let points: Vec<(f64, f64)> = points.iter().map(|(x, y)| (x.mm(), y.mm())).collect();
    if closed {
        wrong_way(&points, place, out)?;
    }
    let radius = |radius: &Option<Length>| radius.as_ref().map_or(0.0, Length::mm);
    let corners: Vec<PolylineCorner> =
        points.into_iter().zip(&radii).map(|(at, of)| PolylineCorner { at, radius: radius(of) }).collect();
    let faults = match FrameOutline::polyline(&corners, closed) {
        Ok(outline) => return Some(outline),
        Err(faults) => faults,
    };
    for fault in faults {
        out.add(corner_fault(&fault, &radii, place));
    }
    None
}

fn corner_fault(fault: &CornerFault, radii: &[Option<Length>], place: &Place) -> Finding {
    let text = |index: usize| radii[index].as_ref().map_or("", |radius| radius.text.as_str());
    let at = |index: usize| place.item(index).item(2);
    match fault {
        CornerFault::AtEnd(index) => {
            let message =
                format!("the corner radius `{}` stands at an end of the path, where no corner is", text(*index));
            Finding::new(codes::CORNER_RADIUS, message, at(*index), "no corner here")
                .help("remove the radius, or say `closed: true` if the path goes on from there")
        }
        CornerFault::Straight(index) => {
            let message =
                format!("the corner radius `{}` stands where the path runs straight on or straight back", text(*index));
            Finding::new(codes::CORNER_RADIUS, message, at(*index), "no corner here")
                .help("remove the radius, or correct the points on either side of it")
        }
        CornerFault::TooLong { corners: [first, second], takes, side } => {
            let lacking = mm_and_inches(takes[0] + takes[1] - side);
            let side_text = |index: usize, takes: f64| format!("`{}` takes {}", text(index), mm_and_inches(takes));
            let (rounded, words): (usize, String) = if takes[0] > 0.0 && takes[1] > 0.0 {
                (*second, format!("{} and {}", side_text(*first, takes[0]), side_text(*second, takes[1])))
            } else if takes[0] > 0.0 {
                (*first, side_text(*first, takes[0]))
            } else {
                (*second, side_text(*second, takes[1]))
            };
            let message = format!(
                "the corner radii do not fit their side by {lacking}: it is {} long, and {words}",
                mm_and_inches(*side)
            );
            let other = if rounded == *first { *second } else { *first };
            let found = Finding::new(codes::CORNER_RADIUS, message, at(rounded), "does not fit");
            found
                .label(place.item(other), "the other end of the side")
                .help("check the radius and both points against the drawing")
        }
    }
}

/// How an offset table is to be read, and where its rows stand.
struct Offsets {
    given: Sides,
    joined: Joining,
    closed: bool,
    place: Place,
}

impl Offsets {
    fn outline(&self, cx: &Context, rows: &[Offset], out: &mut Findings) -> Option<FrameOutline> {
        if too_few(rows.len(), 2, &self.place, out) {
            return None;
        }
        let read: Vec<Option<ReadPoint>> = rows
            .iter()
            .enumerate()
            .map(|(index, row)| {
                let place = self.place.item(index);
                let (first, second) = match row {
                    Offset::Waterline(height, breadth) => (height, breadth),
                    Offset::Buttock(breadth, height) => (breadth, height),
                };
                let first = out.length(first, cx.config, &place.item(0));
                let second = out.length(second, cx.config, &place.item(1));
                let (first, second) = (first?, second?);
                Some(match row {
                    Offset::Waterline(..) => (second, first),
                    Offset::Buttock(..) => (first, second),
                })
            })
            .collect();
        let points: Vec<ReadPoint> = read.into_iter().collect::<Option<_>>()?;
        if self.given == Sides::OneSide {
            self.one_side(&points, out)?;
        }
        double_point(&points, self.closed, &self.place, out)?;
        let mut points: Vec<(f64, f64)> = points.iter().map(|(x, y)| (x.mm(), y.mm())).collect();
        if self.given == Sides::OneSide {
            points = self.mirrored(points);
        }
        let least = if self.closed || self.joined == Joining::Fair { 3 } else { 2 };
        if too_few(points.len(), least, &self.place, out) {
            return None;
        }
        if self.closed {
            wrong_way(&points, &self.place, out)?;
        }
        if self.joined == Joining::Fair {
            return Some(FrameOutline::fair(&points, self.closed));
        }
        let corners: Vec<PolylineCorner> = points.into_iter().map(|at| PolylineCorner { at, radius: 0.0 }).collect();
        Some(FrameOutline::polyline(&corners, self.closed).expect("sharp corners fit"))
    }

    /// What is wrong with a table of one side.
    fn one_side(&self, points: &[ReadPoint], out: &mut Findings) -> Option<()> {
        let mut wrong = |message: &str, place: Place, label: &str, help: &str| {
            out.add(Finding::new(codes::OFFSETS_OF_NO_USE, message, place, label).help(help));
        };
        let last = points.len() - 1;
        let mut sound = true;
        for (index, (breadth, _)) in points.iter().enumerate() {
            if breadth.picometres < 0 {
                let message = format!("the breadth `{}` lies to port in a table of one side", breadth.text);
                let help = "give breadths without a sign, or say `given: BothSides` and give the rows of both";
                wrong(&message, self.place.item(index), "to port", help);
                sound = false;
            } else if breadth.picometres == 0 && index != 0 && index != last {
                let message = "a row between the first and the last lies on the centre line";
                let help = "give the row its half-breadth; on the centre line a side only begins or ends";
                wrong(message, self.place.item(index), "on the centre line", help);
                sound = false;
            }
        }
        if points[0].1.picometres <= points[last].1.picometres {
            let message = "the rows of one side do not run from its top downwards";
            wrong(
                message,
                self.place.clone(),
                "these rows",
                "give the rows from the top of the side down to its bottom",
            );
            sound = false;
        }
        let on_centre = [0, last].map(|index| points[index].0.picometres == 0);
        if !self.closed && on_centre[0] == on_centre[1] {
            let (message, help) = if on_centre[0] {
                let help = "say `closed: true`, or end the rows where the path is open";
                ("an open path of one side begins and ends on the centre line, where it meets itself", help)
            } else {
                let help = "add the row on the centre line where they meet, or say `closed: true`";
                ("the two sides of an open path meet neither at the top nor at the bottom", help)
            };
            wrong(message, self.place.clone(), "these rows", help);
            sound = false;
        }
        sound.then_some(())
    }

    /// The points of both sides, clockwise, from those of the starboard side from its top downwards.
    fn mirrored(&self, points: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
        let port = points.iter().rev().filter(|(x, _)| *x > 0.0).map(|(x, y)| (-x, *y));
        let port: Vec<(f64, f64)> = port.collect();
        let from_port = !self.closed && points[0].0 <= 0.0;
        if from_port { [port, points].concat() } else { [points, port].concat() }
    }
}

/// Where a splice point is on the path, in millimetres along it, with the text that says so.
pub(super) fn position<'r>(
    cx: &Context,
    point: &'r schema::SplicePoint,
    path: Option<&Girth>,
    at: &Place,
    out: &mut Findings,
) -> (&'r str, Option<f64>) {
    match &point.at {
        GirthPosition::Angle(text) => {
            let angle = out.read(clock_angle(text), at);
            (text, path.zip(angle).and_then(|(path, angle)| out.read(path.girth_at_clock(angle), at)))
        }
        GirthPosition::Girth(text) => {
            let length = out.length(text, cx.config, at);
            (text, path.zip(length).and_then(|(path, length)| on_path(path, &length, &point.name, at, out)))
        }
        GirthPosition::Height(text, side) => {
            let height = out.length(text, cx.config, at);
            let found = path.zip(height).map(|(path, height)| path.girth_at_height(height.mm(), text, *side));
            (text, found.and_then(|found| out.read(found, at)))
        }
        GirthPosition::Breadth(text, side, level) => {
            let breadth = out.length(text, cx.config, at);
            let found =
                path.zip(breadth).map(|(path, breadth)| path.girth_at_breadth(breadth.mm(), text, *side, *level));
            (text, found.and_then(|found| out.read(found, at)))
        }
    }
}

fn on_path(path: &Girth, at: &Length, name: &str, place: &Place, out: &mut Findings) -> Option<f64> {
    let whole = path.length_mm();
    // On a closed path its whole length is its start again; a hundredth of a micrometre covers the rounding.
    let beyond = if path.is_closed() { at.mm() > whole - 1e-5 } else { at.mm() > whole + 1e-5 };
    if at.picometres < 0 || beyond {
        let message =
            format!("the splice point `{name}` at `{}` lies beyond the path, which is {whole:.3} mm long", at.text);
        out.add(
            Finding::new(codes::BEYOND_GIRTH, message, place.clone(), "beyond the path")
                .help("check the distance and its unit; it is counted from the start of the path"),
        );
        return None;
    }
    Some(at.mm().min(whole))
}
