//! Slips in the figures of single holes.

use super::{FACTORS, odd};
use crate::jig::found::{Axis, Examined, Figure, HoleFound, Slip, SlipKind};
use crate::metrology::point::Point3;
use crate::metrology::position::{LimitVerdict, RADIUS_COVERAGE, judge};
use crate::model::{Model, Survey};
use crate::quantity::Length;
use std::collections::BTreeSet;

/// A measured hole with what it would read if it lay right.
struct FigureRow {
    measured: usize,
    at: usize,
    read: Point3,
    wanted: Point3,
    /// How far from what is wanted it may still be read.
    reach: f64,
    out: bool,
}

/// What single holes of a survey may have been misread by.
pub(super) fn of_rows(model: &Model, examined: &Examined, places: &[Point3]) -> Vec<Slip> {
    let (Some(diagnosis), Some(plate)) = (&examined.diagnosis, examined.against) else { return Vec::new() };
    let flip = |p: Point3| if examined.mirrored { Point3::new(-p.x, p.y, 0.0) } else { p };
    let back = diagnosis.alignment.inverse();
    let rows: Vec<FigureRow> = odd(examined)
        .into_iter()
        .filter_map(|(at, out)| {
            let found = &examined.holes[examined.order[at]];
            let (measured, judged) = (found.measured?, found.judged?);
            let read = places[measured];
            let wanted = read - flip(back.rotate(diagnosis.residuals[at]));
            Some(FigureRow { measured, at, read, wanted, reach: f64::midpoint(judged.allowed, judged.guard), out })
        })
        .collect();
    let members = &model.plates[plate].members;
    let tails: BTreeSet<usize> = members
        .iter()
        .filter(|member| member.row)
        .filter_map(|member| step(examined, &member.holes))
        .flat_map(|(row, from)| row[from..].to_vec())
        .collect();
    let survey = &model.surveys[examined.survey];
    let uncertainty = survey.uncertainty.mm();
    let alike = |a: &FigureRow, b: &FigureRow| {
        let (a, b) = (a.read - a.wanted, b.read - b.wanted);
        (a - b).norm() <= (4.0 * uncertainty).max(0.1 * a.norm())
    };
    let mut all = Vec::new();
    for row in &rows {
        let slip = |kind, figure| Slip { kind, rows: vec![row.measured], of_all: false, in_doubt: row.out, figure };
        if let Some((kind, figure)) = certain(row, places) {
            all.push(slip(kind, figure));
        } else if tails.contains(&examined.order[row.at]) {
            // A step in a row of pitches is no slip of one figure.
        } else if rows.iter().filter(|other| alike(row, other)).count() >= 3 {
            all.push(slip(SlipKind::SharedStep, Figure::Place(row.wanted)));
        } else if let Some((axis, wanted)) = one_axis(row) {
            let kind = if digits(row, axis, survey) { SlipKind::Digit } else { SlipKind::Figure };
            all.push(slip(kind, Figure::Coordinate(axis, wanted)));
        } else if (row.read - row.wanted).norm() > model.survey_limits.far_off_mm {
            all.push(slip(SlipKind::FarOff, Figure::Place(row.wanted)));
        }
    }
    all
}

/// Rows under two names with the figures of one place: one of them is copied. A row that lies right is not in doubt.
pub(super) fn copied(model: &Model, examined: &Examined, places: &[Point3]) -> Vec<Slip> {
    let survey = &model.surveys[examined.survey];
    let same = 2.0 * RADIUS_COVERAGE * survey.uncertainty.mm();
    let is_right = |row: usize| {
        let found = examined.holes.iter().find(|hole| hole.measured == Some(row));
        found.and_then(HoleFound::as_read) == Some(LimitVerdict::Pass)
    };
    let mut all = Vec::new();
    for row in (0..places.len()).filter(|row| survey.holes[*row].name.is_some() && !is_right(*row)) {
        let other = (0..places.len()).find(|other| {
            *other != row && survey.holes[*other].name.is_some() && (places[row] - places[*other]).norm() <= same
        });
        let slip = |other| Slip {
            kind: SlipKind::CopiedRow,
            rows: vec![row],
            of_all: false,
            in_doubt: true,
            figure: Figure::Row(other),
        };
        all.extend(other.map(slip));
    }
    all
}

/// Slips that leave a mark of their own: axes exchanged, a sign, a factor, the figures of another hole.
fn certain(row: &FigureRow, places: &[Point3]) -> Option<(SlipKind, Figure)> {
    let near = |p: Point3| (p - row.wanted).norm() <= row.reach;
    let (x, y) = (row.read.x, row.read.y);
    if near(Point3::new(y, x, 0.0)) {
        return Some((SlipKind::AxesExchanged, Figure::Place(row.wanted)));
    }
    if [(-x, y), (x, -y), (-x, -y)].into_iter().any(|(x, y)| near(Point3::new(x, y, 0.0))) {
        return Some((SlipKind::Sign, Figure::Place(row.wanted)));
    }
    for (factor, kind) in FACTORS {
        // A coordinate near nothing fits any factor.
        let telling = |wanted: f64| wanted.abs() > 2.0 * row.reach;
        let (of_x, of_y) = (telling(row.wanted.x), telling(row.wanted.y));
        let places = [(x * factor, y * factor, of_x || of_y), (x * factor, y, of_x), (x, y * factor, of_y)];
        if places.into_iter().any(|(x, y, telling)| telling && near(Point3::new(x, y, 0.0))) {
            return Some((kind, Figure::Factor(1.0 / factor)));
        }
    }
    let copied = places
        .iter()
        .enumerate()
        .find(|(other, place)| *other != row.measured && (**place - row.read).norm() <= row.reach.min(1.0));
    copied.map(|(other, _)| (SlipKind::CopiedRow, Figure::Row(other)))
}

/// The axis along which alone a hole reads wrong, and what would be right.
fn one_axis(row: &FigureRow) -> Option<(Axis, f64)> {
    let off = row.read - row.wanted;
    let (x, y) = (off.x.abs() > row.reach, off.y.abs() > row.reach);
    match (x || off.x.abs() >= off.y.abs(), x && y) {
        (_, true) => None,
        (true, _) if !y => Some((Axis::X, row.wanted.x)),
        (false, _) if !x => Some((Axis::Y, row.wanted.y)),
        _ => None,
    }
}

/// Whether one digit more, less or other, or two neighbours exchanged, would put the figure right.
fn digits(row: &FigureRow, axis: Axis, survey: &Survey) -> bool {
    let (at, wanted) = match axis {
        Axis::X => (0, row.wanted.x),
        Axis::Y => (1, row.wanted.y),
    };
    let length: &Length = &survey.holes[row.measured].at[at];
    let number: String =
        length.text.chars().take_while(|c| c.is_ascii_digit() || ['-', '+', '.'].contains(c)).collect();
    let Ok(value) = number.parse::<f64>() else { return false };
    if value == 0.0 {
        return false;
    }
    let unit = length.mm() / value;
    edits(&number)
        .iter()
        .filter_map(|text| text.parse::<f64>().ok())
        .any(|v| (v * unit - wanted).abs() <= row.reach / 2.0)
}

/// The texts that one slip of the pen makes of a number.
fn edits(number: &str) -> Vec<String> {
    let chars: Vec<char> = number.chars().collect();
    let mut all = Vec::new();
    for at in 0..chars.len() {
        if !chars[at].is_ascii_digit() {
            continue;
        }
        let put = |other: char| {
            let mut text = chars.clone();
            text[at] = other;
            text.into_iter().collect::<String>()
        };
        all.extend(('0'..='9').map(put));
        let next = (at + 1..chars.len()).find(|next| chars[*next].is_ascii_digit());
        if let Some(next) = next {
            let mut text = chars.clone();
            text.swap(at, next);
            all.push(text.into_iter().collect());
        }
        let mut less = chars.clone();
        less.remove(at);
        all.push(less.into_iter().collect());
    }
    all
}

/// Where a row of a definition (its holes) has one wrong step: the holes of the row that were measured, and the first of
/// them behind the step. Both parts hold two holes at least; those before it lie right, those behind it are out alike.
pub(in crate::jig) fn step(examined: &Examined, row: &[usize]) -> Option<(Vec<usize>, usize)> {
    let row: Vec<usize> = row.iter().copied().filter(|hole| examined.order.contains(hole)).collect();
    let off = |hole: &usize| examined.holes[*hole].off;
    let guard = |hole: &usize| examined.holes[*hole].judged.map_or(f64::INFINITY, |judged| judged.guard);
    let flat = |holes: &[usize]| {
        let offs: Vec<Point3> = holes.iter().map(off).collect();
        let mean = Point3::centroid(&offs);
        holes.iter().all(|hole| (off(hole) - mean).norm() <= guard(hole)).then_some(mean)
    };
    (2..row.len().saturating_sub(1)).find_map(|from| {
        let (before, behind) = (flat(&row[..from])?, flat(&row[from..])?);
        let jump = (behind - before).norm();
        let out = |hole: &usize| {
            examined.holes[*hole]
                .judged
                .is_some_and(|judged| judge(judged.deviation, judged.allowed, judged.guard) == LimitVerdict::Fail)
        };
        (jump > 2.0 * guard(&row[0]) && row[from..].iter().all(out) && !row[..from].iter().any(out))
            .then(|| (row.clone(), from))
    })
}
