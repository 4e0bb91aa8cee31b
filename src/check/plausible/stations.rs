//! Stations of frames and positions, against each other.

use super::figure::{Factor, digits_exchanged, factor_between, unit_of};
use crate::codes;
use crate::finding::{Finding, Place};
use crate::model::Model;
use crate::quantity::Length;
use std::collections::{BTreeMap, BTreeSet};

/// A station, and where and of what it is written.
struct WrittenStation<'a> {
    length: &'a Length,
    place: Place,
    of: String,
}

pub(super) fn check(model: &Model) -> Vec<Finding> {
    let at_positions = model.positions.iter().filter_map(|(_, name, position)| {
        let length = position.station.as_ref()?;
        Some((
            WrittenStation { length, place: position.place.field("station"), of: format!("position `{name}`") },
            position,
        ))
    });
    let positions: Vec<_> = at_positions.collect();
    let frames: Vec<(WrittenStation<'_>, _)> = model
        .frames
        .iter()
        .map(|(_, name, frame)| {
            let place = frame.record.field("station");
            (WrittenStation { length: &frame.station, place, of: format!("frame `{name}`") }, frame)
        })
        .collect();
    let mut all: Vec<f64> =
        positions.iter().map(|(s, _)| s.length.mm()).chain(frames.iter().map(|(s, _)| s.length.mm())).collect();
    all.sort_by(f64::total_cmp);
    let mut places: BTreeMap<_, Vec<&WrittenStation<'_>>> = BTreeMap::new();
    for (station, position) in &positions {
        for candidate in &position.candidates {
            places.entry(candidate.part).or_default().push(station);
        }
    }
    let of_frames: BTreeSet<_> = frames.iter().map(|(_, frame)| frame.assembly).collect();
    let mut within: BTreeMap<_, Vec<f64>> = BTreeMap::new();
    for (station, position) in &positions {
        within.entry(position.assembly).or_default().push(station.length.mm());
    }
    let mut findings = Vec::new();
    for (station, frame) in &frames {
        let at: Vec<&WrittenStation<'_>> = places.get(&frame.assembly).into_iter().flatten().copied().collect();
        if let Some(other) = nearest(station, &at) {
            findings.extend(ask(station, other, &all));
        }
    }
    for (station, position) in &positions {
        // That of a frame is asked about where the frame is.
        let is_frame = position.candidates.iter().any(|candidate| of_frames.contains(&candidate.part));
        let at = places.get(&position.assembly).map_or(&[][..], Vec::as_slice);
        if !is_frame && let [assembly] = at {
            let beside = within.get(&position.assembly).map_or(&[][..], Vec::as_slice);
            findings.extend(ask_of_assembly(station, assembly, beside, &all));
        }
    }
    findings.extend(alone(positions.iter().map(|(s, _)| s).chain(frames.iter().map(|(s, _)| s)), &all, &findings));
    findings
}

fn nearest<'a, 'b>(station: &WrittenStation<'_>, others: &[&'a WrittenStation<'b>]) -> Option<&'a WrittenStation<'b>> {
    let away = |other: &WrittenStation<'_>| (other.length.mm() - station.length.mm()).abs();
    others.iter().copied().min_by(|a, b| away(a).total_cmp(&away(b)))
}

/// How far the stations go, without this one.
fn range(all: &[f64], but: f64) -> Option<(f64, f64)> {
    let [first, second, .., before, last] = all else { return None };
    let low = if first.total_cmp(&but).is_eq() { second } else { first };
    let high = if last.total_cmp(&but).is_eq() { before } else { last };
    Some((*low, *high))
}

/// A frame, and the position at which its assembly is fitted.
fn ask(frame: &WrittenStation<'_>, position: &WrittenStation<'_>, all: &[f64]) -> Option<Finding> {
    let away = (frame.length.mm() - position.length.mm()).abs();
    // Which of the two is wrong is not known: the one that lies outside the others is named first.
    let outside = |station: &WrittenStation<'_>| {
        range(all, station.length.mm()).is_some_and(|(low, high)| !(low..=high).contains(&station.length.mm()))
    };
    let (first, second) = if outside(position) && !outside(frame) { (position, frame) } else { (frame, position) };
    let span = range(all, first.length.mm()).map_or(0.0, |(low, high)| high - low);
    let slip = factor_between(first.length.mm(), second.length.mm()).is_some()
        || digits_exchanged(&first.length.text, &second.length.text);
    (away > 1.0 && (slip || (span > 0.0 && away > span * 0.25))).then(|| {
        let message = format!(
            "{} is at station {}, and {} at {}: is that meant?",
            first.of, first.length.text, second.of, second.length.text
        );
        Finding::new(codes::STATION_AWAY, message, first.place.clone(), "this station")
            .label(second.place.clone(), "where the same assembly is fitted")
            .help(format!("compare both with the drawing; write `{}` here if that is right", second.length.text))
    })
}

/// A position, and the position at which its assembly is fitted: it may well lie some way from it, but the other positions of
/// the assembly all lie near it.
fn ask_of_assembly(
    station: &WrittenStation<'_>,
    assembly: &WrittenStation<'_>,
    beside: &[f64],
    all: &[f64],
) -> Option<Finding> {
    let (own, other) = (station.length.mm(), assembly.length.mm());
    let (low, high) = range(all, own)?;
    let near = |at: f64| (at - other).abs() <= (high - low) * 0.2;
    let together = beside.iter().filter(|at| near(**at)).count();
    if together < 2 || together + 1 < beside.len() {
        return None;
    }
    // Only in another unit than its assembly: among many stations some fit by chance.
    let slip = match (unit_of(station.length), unit_of(assembly.length)) {
        ("mm", "in") => Factor::Inch,
        ("in", "mm") => Factor::PerInch,
        _ => return None,
    };
    if !near(own * slip.times()) {
        return None;
    }
    ((own - other).abs() > (high - low) * 0.4).then(|| {
        let meant = slip.meant(station.length);
        let message = format!(
            "{} is at station {}, its assembly at {}: was `{meant}` meant?",
            station.of, station.length.text, assembly.length.text
        );
        Finding::new(codes::STATION_AWAY, message, station.place.clone(), "far from its assembly")
            .label(assembly.place.clone(), "its assembly")
            .help(format!("compare it with the drawing; write `{meant}` if that is meant"))
    })
}

/// Stations beyond all others by more than those lie apart.
fn alone<'a, 'b: 'a>(
    stations: impl Iterator<Item = &'a WrittenStation<'b>>,
    all: &[f64],
    asked: &[Finding],
) -> Vec<Finding> {
    let asks = |station: &WrittenStation<'_>| {
        asked.iter().any(|finding| finding.labels.iter().any(|l| l.place == station.place))
    };
    let beyond = |station: &&WrittenStation<'_>| {
        let at = station.length.mm();
        range(all, at).is_some_and(|(low, high)| high > low && (at > high + (high - low) || at < low - (high - low)))
    };
    stations
        .filter(|station| beyond(station) && !asks(station))
        .map(|station| {
            let message =
                format!("{} is at station {}, far from all others: is that meant?", station.of, station.length.text);
            Finding::new(codes::STATION_AWAY, message, station.place.clone(), "far from all others")
                .help("compare it with the drawing; a decimal point or the unit may be out")
        })
        .collect()
}
