//! The life of an airframe on a line of time. A window is drawn as a window: a bar from its first day to its last; an end that
//! is not known is drawn open.

use super::sheet::{PaperPoint, PaperSheet, SMALL, TextAnchor, wide};
use crate::answers::{LifeEvent, LifeReport, LifeTrack};
use crate::quantity::Day;

/// How wide the drawing is, and from where to where time runs on it.
const WIDE: f64 = 166.0;
const FROM: f64 = 6.0;
const TO: f64 = 160.0;
/// From one row of bars to the next, and how high a bar is.
const ROW: f64 = 5.4;
const BAR: f64 = 2.6;
/// The space that is free before and after what is drawn in a row.
const FREE: f64 = 2.5;
/// Drawn shorter than this a window is a day.
const SHORTEST: f64 = 1.2;

/// The line of time of a report, drawn by itself in SVG, with what it is; `None` if no day is known.
#[must_use]
pub fn life_figure(report: &LifeReport) -> Option<(String, String)> {
    // Evidence is often younger by generations than what it tells of: time ends with what happened.
    let happened = report.events.iter().filter(|event| event.track != LifeTrack::Evidence);
    let days = || happened.clone().flat_map(|event| [event.from, event.to]).flatten();
    let (first, last) = (days().min()?, days().max()?);
    let title = format!("Life of {} from {first} to {last}", report.asked.airframe);
    let (first_year, last_year) = (year(first)?, year(last)? + 1);
    let time = Time { first: new_year(first_year)?, last: new_year(last_year)? };
    let mut sheet = PaperSheet::default();
    let mut at = 4.0;
    let mut rules = Vec::new();
    for track in [LifeTrack::Movement, LifeTrack::Embodiment, LifeTrack::Evidence, LifeTrack::BuildState] {
        let events: Vec<&LifeEvent> = report.events.iter().filter(|event| event.track == track).collect();
        if events.is_empty() {
            continue;
        }
        at += 3.0;
        sheet.text((FROM - 4.0, at), SMALL, true, TextAnchor::Start, track.heading());
        let end = rows(&mut sheet, &events, &time, at + 3.0);
        rules.push(end);
        at = end + 2.0;
    }
    // The years are ruled behind the bars, in a sheet of their own.
    let mut whole = PaperSheet::default();
    years(&mut whole, &time, first_year, last_year, at);
    for rule in rules {
        whole.line((FROM - 4.0, rule), (WIDE - 2.0, rule), r##"stroke="#000" stroke-width="0.2""##);
    }
    whole.over(&sheet);
    Some((title.clone(), whole.cropped(&title, (0.0, 0.0), WIDE, at + 6.0)))
}

/// The first and the last day that are drawn.
struct Time {
    first: Day,
    last: Day,
}

impl Time {
    fn x(&self, day: Day) -> f64 {
        let span = f64::from((self.last.0 - self.first.0).max(1));
        FROM + (TO - FROM) * (f64::from(day.0 - self.first.0) / span).clamp(0.0, 1.0)
    }
}

/// The year of a day that can be named.
fn year(day: Day) -> Option<i16> {
    day.to_string().split('-').next()?.parse().ok()
}

fn new_year(year: i16) -> Option<Day> {
    crate::quantity::Window::parse(&format!("{year:04}-01-01")).ok()?.day()
}

/// A rule for each year, or for every second, fifth, … where they would crowd; its number at the foot.
fn years(sheet: &mut PaperSheet, time: &Time, first: i16, last: i16, bottom: f64) {
    let span = f64::from(last - first);
    let step = [1_i16, 2, 5, 10, 20, 50].into_iter().find(|step| span / f64::from(*step) <= 14.0).unwrap_or(100);
    for year in (first..=last).filter(|year| year.rem_euclid(step) == 0) {
        let Some(day) = new_year(year) else { continue };
        let x = time.x(day);
        sheet.line((x, 2.0), (x, bottom), r##"stroke="#bbb" stroke-width="0.15""##);
        sheet.text((x, bottom + 4.0), SMALL, true, TextAnchor::Middle, &year.to_string());
    }
}

/// The events of a track, each in the first row in which it has room; gives where the last row ends.
fn rows(sheet: &mut PaperSheet, events: &[&LifeEvent], time: &Time, top: f64) -> f64 {
    let mut ends: Vec<f64> = Vec::new();
    for event in events {
        let (from, to) = (event.from.map(|day| time.x(day)), event.to.map(|day| time.x(day)));
        let (Some(left), Some(right)) = (from.or(to), to.or(from)) else { continue };
        let outside = event.from.or(event.to).is_some_and(|day| day > time.last)
            || event.to.or(event.from).is_some_and(|day| day < time.first);
        let name = if outside { format!("{}, {}", event.name, event.when) } else { event.name.clone() };
        let words = wide(&name, SMALL, false);
        // Words stand to the right of the bar, or to its left where there is no more room.
        let to_right = right + 2.0 + words <= WIDE - 1.0;
        let start = if to_right { left - OPEN } else { left - OPEN - 2.0 - words };
        let end = if to_right { right + OPEN + words } else { right + OPEN };
        let row = ends.iter().position(|taken| *taken + FREE <= start).unwrap_or(ends.len());
        if row == ends.len() {
            ends.push(end);
        } else {
            ends[row] = end;
        }
        let middle = top + ROW * f64::from(u32::try_from(row).unwrap_or(0));
        if outside {
            // An arrowhead out of the drawing: before its first day, or after its last.
            let (tip, back) = if left > FROM { (left + 1.6, left - 0.6) } else { (left - 1.6, left + 0.6) };
            let corners = [(tip, middle), (back, middle - 1.2), (back, middle + 1.2)];
            sheet.path(&corners, true, r##"fill="#000""##);
        } else {
            bar(sheet, from, to, middle);
        }
        let base = middle + 1.0;
        if to_right {
            sheet.text((right + 2.0, base), SMALL, false, TextAnchor::Start, &name);
        } else {
            sheet.text((left - 2.0, base), SMALL, false, TextAnchor::End, &name);
        }
    }
    top + ROW * f64::from(u32::try_from(ends.len()).unwrap_or(0)) - ROW / 2.0 + 1.0
}

/// How far an open end is drawn.
const OPEN: f64 = 3.0;

/// A day as a dot, a window as a bar, an end that is not known as an open one.
fn bar(sheet: &mut PaperSheet, from: Option<f64>, to: Option<f64>, middle: f64) {
    let (upper, lower) = (middle - BAR / 2.0, middle + BAR / 2.0);
    let ink = r##"fill="none" stroke="#000" stroke-width="0.35" stroke-dasharray="0.9 0.6""##;
    let open = |sheet: &mut PaperSheet, at: f64, out: f64| {
        let corners: [PaperPoint; 4] = [(at + out, upper), (at, upper), (at, lower), (at + out, lower)];
        sheet.path(&corners, false, ink);
    };
    match (from, to) {
        (Some(from), Some(to)) if to - from < SHORTEST => {
            sheet.circle((f64::midpoint(from, to), middle), 1.1, r##"fill="#000""##);
        }
        (Some(from), Some(to)) => {
            sheet.rect((from, upper), to - from, BAR, r##"fill="#ddd" stroke="#000" stroke-width="0.35""##);
        }
        (Some(from), None) => open(sheet, from, OPEN),
        (None, Some(to)) => open(sheet, to, -OPEN),
        (None, None) => {}
    }
}
