//! The third coordinate of a survey: the level of the plate, how far its holes lie out of their plane, and its hand.
//!
//! One wrong height must not tilt the plate, so its plane is that of the holes that agree best: least median of squares
//! over triples of holes, then a refit to those within reach (P. Rousseeuw, J. Am. Stat. Assoc. 79 (1984) 871, cited
//! from memory). Where the drawing has holes at several heights, plate and mirror image cannot be laid onto each other
//! in space: then the heights decide the hand, whatever face was noted.

use crate::jig::found::nominal;
use crate::metrology::fit::level;
use crate::metrology::identify::FEWEST_HOLES;
use crate::metrology::point::Point3;
use crate::metrology::robust::{Dimension, RobustFit, robust_fit};
use crate::model::{Plate, Survey};
use crate::schema::Axes;

/// How many triples of holes are tried: of holes of which three in five agree, a triple agrees with a chance above one
/// in five, so that all miss with a chance below 1e-28.
const TRIPLES: usize = 300;

/// A survey laid level.
pub(super) struct LevelledSurvey {
    /// The places in the plane, in millimetres.
    pub(super) places: Vec<Point3>,
    /// How far each hole lies off the height at which the drawing has it, from the plane of the others; `None`: the
    /// survey has no heights, or too few.
    pub(super) heights: Option<Vec<f64>>,
    /// Whether the places are as seen from the marked face, known from the heights.
    pub(super) face_known: bool,
}

/// Lays the places of a survey level; `record` is the definition that the plate is said to be made to.
pub(super) fn level_of(survey: &Survey, record: Option<&Plate>, places: &[Point3]) -> LevelledSurvey {
    let flat = || places.iter().map(|p| p.flat()).collect();
    if survey.holes.iter().all(|hole| hole.at[2].picometres == 0) {
        return LevelledSurvey { places: flat(), heights: None, face_known: false };
    }
    let coordinate = survey.uncertainty.mm() / 2.0;
    let drawn: Vec<Option<Point3>> = survey.holes.iter().map(|hole| drawn(record?, hole.name.as_deref()?)).collect();
    let less_drawn = |places: &[Point3]| {
        let off = places.iter().zip(&drawn).map(|(p, drawn)| p.z - drawn.map_or(0.0, |drawn| drawn.z));
        let tilted: Vec<Point3> = places.iter().zip(off).map(|(p, z)| Point3::new(p.x, p.y, z)).collect();
        out_of_plane(&tilted, coordinate)
    };
    if survey.axes == Axes::Jig {
        return LevelledSurvey { places: flat(), heights: less_drawn(places), face_known: false };
    }
    if let Some(laid) = in_space(places, &drawn, coordinate) {
        return LevelledSurvey {
            heights: less_drawn(&laid),
            places: laid.into_iter().map(Point3::flat).collect(),
            face_known: true,
        };
    }
    // The third axis points from the plate to the instrument, on the side that was measured.
    let seen_from = Point3::new(0.0, 0.0, 1.0);
    let agreeing: Vec<Point3> = agreeing(places, coordinate).iter().map(|at| places[*at]).collect();
    match level(&agreeing, seen_from) {
        Ok(motion) => {
            let laid: Vec<Point3> = places.iter().map(|p| motion.apply(*p)).collect();
            let heights = (places.len() > 3).then(|| laid.iter().map(|p| p.z).collect());
            LevelledSurvey { places: laid.into_iter().map(Point3::flat).collect(), heights, face_known: false }
        }
        Err(_) => LevelledSurvey { places: flat(), heights: None, face_known: false },
    }
}

fn drawn(plate: &Plate, name: &str) -> Option<Point3> {
    let hole = plate.holes.iter().find(|hole| hole.name == name)?;
    Some(Point3 { z: hole.at[2].mm(), ..nominal(hole) })
}

/// The places laid onto the drawing in space, where it has heights enough to tell a plate from its mirror image; those
/// of a mirror image stay mirrored.
fn in_space(places: &[Point3], drawn: &[Option<Point3>], coordinate: f64) -> Option<Vec<Point3>> {
    let (from, to): (Vec<Point3>, Vec<Point3>) =
        places.iter().zip(drawn).filter_map(|(p, drawn)| Some((*p, (*drawn)?))).unzip();
    let relief = out_of_plane(&to, 0.0)?.iter().filter(|height| height.abs() > 20.0 * coordinate).count();
    if relief == 0 || from.len() < FEWEST_HOLES {
        return None;
    }
    let mirrored: Vec<Point3> = to.iter().map(|p| Point3 { x: -p.x, ..*p }).collect();
    let right = |fit: &RobustFit| 5 * fit.good.len() >= 4 * from.len() && fit.fit.rms <= 1.0;
    let fit = |to: &[Point3]| robust_fit(&from, to, Dimension::Space, coordinate).ok().filter(right);
    let (plain, other) = (fit(&to), fit(&mirrored));
    let better = match (&plain, &other) {
        (Some(a), Some(b)) if b.good.len() == a.good.len() => None,
        (Some(a), Some(b)) => Some(if a.good.len() > b.good.len() { a } else { b }),
        (a, b) => a.as_ref().or(b.as_ref()),
    }?;
    Some(places.iter().map(|p| better.fit.motion.apply(*p)).collect())
}

/// How far each point lies above the plane of those that agree best, along the third axis; `None` where there are too
/// few to tell.
fn out_of_plane(points: &[Point3], coordinate: f64) -> Option<Vec<f64>> {
    if points.len() <= 3 {
        return None;
    }
    let agreeing: Vec<Point3> = agreeing(points, coordinate).iter().map(|at| points[*at]).collect();
    let motion = level(&agreeing, Point3::new(0.0, 0.0, 1.0)).ok()?;
    Some(points.iter().map(|p| motion.apply(*p).z).collect())
}

/// The points (indices) near the plane on which most agree.
fn agreeing(points: &[Point3], coordinate: f64) -> Vec<usize> {
    let all = || (0..points.len()).collect();
    if points.len() <= 4 {
        return all();
    }
    let n = points.len();
    let mut best: Option<(f64, Vec<f64>)> = None;
    for turn in 0..TRIPLES {
        let corner = points[turn % n];
        let other = |step: usize| points[(turn + 1 + (turn / n + step * turn) % (n - 1)) % n] - corner;
        let normal = other(37).cross(other(61));
        if normal.norm() < 1.0 {
            continue;
        }
        let off: Vec<f64> = points.iter().map(|p| ((*p - corner).dot(normal) / normal.norm()).abs()).collect();
        let mut sorted = off.clone();
        sorted.sort_by(f64::total_cmp);
        let median = sorted[sorted.len() * 3 / 5];
        if best.as_ref().is_none_or(|(least, _)| median < *least) {
            best = Some((median, off));
        }
    }
    let Some((median, off)) = best else { return all() };
    let reach = (4.0 * coordinate).max(4.0 * median);
    let near: Vec<usize> = (0..points.len()).filter(|at| off[*at] <= reach).collect();
    if near.len() < 3 { all() } else { near }
}
