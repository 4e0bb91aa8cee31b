//! The side view of a frame that leans: how its plane, or each of its two planes, stands against its station.

use super::sheet::{PaperPoint, PaperSheet, SMALL, TextAnchor};
use super::{scale, scale_words};
use crate::answers::frame::FrameReport;
use crate::geometry::Girth;
use crate::words::length_text;

/// The space that a side view has, besides its words.
const SPACE: (f64, f64) = (60.0, 55.0);

/// Draws the side view with its words below a place, within a width; gives where it ends.
pub(super) fn side_view(
    sheet: &mut PaperSheet,
    girth: &Girth,
    report: &FrameReport,
    (left, top): PaperPoint,
    wide: f64,
    shrink: f64,
) -> f64 {
    let Some(leaning) = &report.plane else { return top };
    let whole = girth.length_mm();
    let spots: Vec<(f64, f64)> = (0..=720_u16)
        .map(|step| girth.spot(whole * f64::from(step) / 720.0))
        .map(|spot| (spot.aft, spot.height))
        .collect();
    let by_height = |a: &&(f64, f64), b: &&(f64, f64)| a.1.total_cmp(&b.1);
    let (Some(low), Some(high)) = (spots.iter().min_by(by_height), spots.iter().max_by(by_height)) else { return top };
    let mut line = vec![*low, *high];
    if girth.planes().is_cranked() {
        line.insert(1, (0.0, leaning.level_mm));
    }
    let ends = |of: fn(&(f64, f64)) -> f64| {
        let values = line.iter().map(of).chain([0.0]);
        values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)))
    };
    let (forward, aft) = ends(|point| point.0);
    let on_paper = scale((aft - forward, high.1 - low.1), SPACE, shrink);
    let scale = on_paper * shrink;
    let middle = left + wide / 2.0;
    let under = sheet.paragraph((left, top + 4.0), wide, SMALL, false, &leaning.words);
    let place = |(aft, height): (f64, f64)| (middle + aft / scale, under + 5.0 + (high.1 - height) / scale);
    let (crown, foot) = (place((0.0, high.1)), place((0.0, low.1)));
    let chain = r##"stroke="#666" stroke-width="0.2" stroke-dasharray="6 1.5 1 1.5""##;
    sheet.line((middle, crown.1 - 3.0), (middle, foot.1 + 3.0), chain);
    let places: Vec<PaperPoint> = line.iter().map(|point| place(*point)).collect();
    sheet.path(&places, false, r##"fill="none" stroke="#000" stroke-width="1.1" stroke-linejoin="round""##);
    let station = |aft: f64| {
        let mm = report.station_mm + aft;
        if report.in_inches() { format!("{:.3} in", mm / 25.4) } else { format!("{mm:.2} mm") }
    };
    let marks = line
        .iter()
        .map(|point| (*point, station(point.0)))
        .chain([((0.0, leaning.level_mm), length_text(&report.station))]);
    let mut labelled: Vec<f64> = Vec::new();
    for (point, station) in marks {
        let at = place(point);
        let clear = labelled.iter().all(|other| (other - at.1).abs() > 3.0);
        if !clear || at.1 < crown.1 - 0.1 || at.1 > foot.1 + 0.1 {
            continue;
        }
        labelled.push(at.1);
        sheet.circle(at, 0.9, r##"fill="#fff" stroke="#000" stroke-width="0.5""##);
        let right = place((aft.max(0.0), 0.0)).0 + 4.0;
        sheet.line((at.0 + 1.0, at.1), (right, at.1), r##"stroke="#000" stroke-width="0.2""##);
        let height =
            if report.in_inches() { format!("{:.3} in", point.1 / 25.4) } else { format!("{:.2} mm", point.1) };
        sheet.text(
            (right + 1.0, at.1 + 1.1),
            SMALL,
            false,
            TextAnchor::Start,
            &format!("station {station}, height {height}"),
        );
    }
    sheet.text((middle - 22.0, crown.1 + 1.1), SMALL, true, TextAnchor::End, "< FORWARD");
    let words = format!(
        "Seen from port; scale {}; the chain line is station {}.",
        scale_words(on_paper),
        length_text(&report.station)
    );
    sheet.paragraph((left, foot.1 + 6.5), wide, SMALL, false, &words)
}
