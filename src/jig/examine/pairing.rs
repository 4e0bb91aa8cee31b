//! Which measured hole is which hole of a definition.

use crate::jig::found::nominal;
use crate::metrology::identify;
use crate::metrology::identify::{PlateMatch, UnnamedHoles};
use crate::metrology::point::Point3;
use crate::metrology::position::RADIUS_COVERAGE;
use crate::model::{Plate, Survey};

/// Measured holes on holes of a definition.
pub(super) struct Pairing {
    /// By hole of the definition: the measured one.
    pub(super) pairs: Vec<Option<usize>>,
    /// Measured holes that are none of the definition's, in rising order.
    pub(super) strange: Vec<usize>,
    /// Measured holes that lie on another hole of the definition than their name says.
    pub(super) renamed: Vec<(usize, usize)>,
}

/// Pairs by where the holes lie within zones, then by name, then by what is nearest within `loose` millimetres beyond its zone. Where the
/// plate matched only loosely, names go first: nearness says less there. Without a placement, names are all there is.
pub(super) fn pair(
    survey: &Survey,
    plate: &Plate,
    reading: &UnnamedHoles,
    found: Option<(&PlateMatch, bool)>,
    loose: f64,
) -> Pairing {
    let mut pairs: Vec<Option<usize>> = vec![None; plate.holes.len()];
    let mut taken = vec![false; survey.holes.len()];
    let mut take = |hole: usize, measured: usize, pairs: &mut Vec<Option<usize>>| {
        if pairs[hole].is_none() && !taken[measured] {
            pairs[hole] = Some(measured);
            taken[measured] = true;
        }
    };
    let matches = found.map_or(&[][..], |(candidate, _)| &candidate.matches);
    let named = |measured: usize| {
        let name = survey.holes[measured].name.as_ref()?;
        plate.holes.iter().position(|hole| hole.name == *name)
    };
    if let Some((_, false)) = found {
        // Of two readings of one place the one goes first that bears the hole's name: the other may be copied from it.
        let same = 2.0 * RADIUS_COVERAGE * survey.uncertainty.mm();
        for m in matches {
            let own = (0..survey.holes.len()).find(|own| {
                named(*own) == Some(m.hole) && (reading.holes[*own] - reading.holes[m.measured]).norm() <= same
            });
            take(m.hole, own.unwrap_or(m.measured), &mut pairs);
        }
    }
    for measured in 0..survey.holes.len() {
        if let Some(hole) = named(measured) {
            take(hole, measured, &mut pairs);
        }
    }
    if let Some((candidate, _)) = found {
        for m in matches {
            take(m.hole, m.measured, &mut pairs);
        }
        // The nearest pairs first, so that the order of holes does not matter.
        let back = reading.face == identify::MeasuredFace::Back;
        let lies = |measured: usize| {
            let p: Point3 = reading.holes[measured];
            candidate.place(if back { Point3::new(-p.x, p.y, p.z) } else { p })
        };
        let mut near = Vec::new();
        for measured in 0..survey.holes.len() {
            for (hole, wanted) in plate.holes.iter().enumerate() {
                let off = (lies(measured) - nominal(wanted)).norm();
                if off <= loose + wanted.tolerance.mm() / 2.0 {
                    near.push((off, hole, measured));
                }
            }
        }
        near.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
        for (_, hole, measured) in near {
            take(hole, measured, &mut pairs);
        }
    }
    let strange = (0..survey.holes.len()).filter(|measured| !taken[*measured]).collect();
    let renamed = pairs.iter().enumerate().filter_map(|(hole, measured)| {
        let measured = (*measured)?;
        named(measured).filter(|named| *named != hole).map(|_| (measured, hole))
    });
    Pairing { renamed: renamed.collect(), strange, pairs }
}
