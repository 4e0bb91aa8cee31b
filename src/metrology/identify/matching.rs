//! Where a measured pattern lies on the plates of a catalogue: pair distances looked up, poses tried, matches refined.
//!
//! Source of the idea: geometric hashing (Wolfson and Rigoutsos, IEEE Computational Science and Engineering 4 (1997)
//! 10) with pairs as bases, cited from memory. Distances do not change under any placement or hand, so one sorted list
//! of all pair distances serves every reading.

use crate::metrology::fit::fit_in_plane;
use crate::metrology::point::{Motion, Point3};

use super::{Match, PlateHole, PlateMatch};

/// Two holes of one plate and their distance.
#[derive(Clone, Copy, Debug)]
struct HolePair {
    distance: f64,
    plate: u32,
    first: u16,
    second: u16,
}

/// The plates, ready to be searched.
#[derive(Clone, Debug)]
pub(super) struct Index {
    /// By distance.
    pairs: Vec<HolePair>,
    /// The holes of each plate by rising x: x, y and index.
    sorted: Vec<Vec<(f64, f64, u16)>>,
    /// Where each plate has no hole, at a glance.
    rasters: Vec<Raster>,
    /// The largest position tolerance zone of the catalogue.
    widest: f64,
}

impl Index {
    /// Plates with more than 65,536 holes, and a catalogue of more than four thousand million, are not planned for.
    pub(super) fn new(plates: &[Vec<PlateHole>]) -> Self {
        let mut pairs = Vec::new();
        let mut sorted = Vec::with_capacity(plates.len());
        let small = |n: usize| u16::try_from(n).expect("a plate has far fewer holes");
        for (plate, holes) in plates.iter().enumerate() {
            let plate = u32::try_from(plate).expect("a catalogue has far fewer plates");
            for (i, a) in holes.iter().enumerate() {
                for (j, b) in holes.iter().enumerate().skip(i + 1) {
                    let distance = (a.at - b.at).flat().norm();
                    pairs.push(HolePair { distance, plate, first: small(i), second: small(j) });
                }
            }
            let mut order: Vec<(f64, f64, u16)> =
                holes.iter().enumerate().map(|(i, h)| (h.at.x, h.at.y, small(i))).collect();
            order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.2.cmp(&b.2)));
            sorted.push(order);
        }
        pairs.sort_by(|a, b| a.distance.total_cmp(&b.distance).then_with(|| a.key().cmp(&b.key())));
        let widest = plates.iter().flatten().map(|h| h.zone).fold(0.0, f64::max);
        let rasters = plates.iter().map(|holes| Raster::new(holes)).collect();
        Self { pairs, sorted, rasters, widest }
    }

    fn window(&self, distance: f64, reach: f64) -> &[HolePair] {
        let from = self.pairs.partition_point(|p| p.distance < distance - reach);
        let to = self.pairs.partition_point(|p| p.distance <= distance + reach);
        &self.pairs[from..to]
    }

    /// The hole of a plate nearest to a point, within `reach`.
    fn nearest(&self, plate: usize, at: Point3, reach: f64) -> Option<(u16, f64)> {
        let holes = &self.sorted[plate];
        let from = holes.partition_point(|h| h.0 < at.x - reach);
        let mut best: Option<(u16, f64)> = None;
        for &(x, y, hole) in holes[from..].iter().take_while(|h| h.0 <= at.x + reach) {
            let distance = (x - at.x).hypot(y - at.y);
            if distance <= reach && best.is_none_or(|(_, least)| distance < least) {
                best = Some((hole, distance));
            }
        }
        best
    }

    /// Every plate, hand and placement on which at least `needed` of the measured holes lie.
    ///
    /// Bases are pairs of measured holes without a hole in common: as many as holes may be strange to the plate, and
    /// one more, so that one base at least is the plate's own.
    pub(super) fn search(
        &self,
        plates: &[Vec<PlateHole>],
        measured: &[Point3],
        uncertainty: f64,
        needed: usize,
    ) -> Vec<PlateMatch> {
        let reach = self.widest / 2.0 + uncertainty;
        let strangers = measured.len() - needed;
        let seen = [false, true].map(|mirrored| measured.iter().map(|&p| hand(p, mirrored)).collect::<Vec<_>>());
        let mut found: Vec<PlateMatch> = Vec::new();
        for (a, b) in self.bases(measured, reach, strangers + 1) {
            let distance = (measured[a] - measured[b]).norm();
            for pair in self.window(distance, 2.0 * reach) {
                let plate = usize::try_from(pair.plate).expect("an index");
                let holes = &plates[plate];
                let (i, j) = (holes[usize::from(pair.first)].at, holes[usize::from(pair.second)].at);
                for (mirrored, seen) in [false, true].into_iter().zip(&seen) {
                    for (first, second) in [(i, j), (j, i)] {
                        let onto = pose([seen[a], seen[b]], [first, second]);
                        if self.holds(plate, &onto, seen, 3.0 * reach, needed)
                            && let Some(candidate) = self.refine(plates, plate, &onto, mirrored, seen, uncertainty)
                            && candidate.matches.len() >= needed
                            && !found.iter().any(|c| c.same_place(&candidate, reach))
                        {
                            found.push(candidate);
                        }
                    }
                }
            }
        }
        found
    }

    /// Pairs of measured holes, long ones with a rare distance first, none sharing a hole.
    fn bases(&self, measured: &[Point3], reach: f64, most: usize) -> Vec<(usize, usize)> {
        let mut all = Vec::new();
        for a in 0..measured.len() {
            for b in a + 1..measured.len() {
                all.push(((measured[a] - measured[b]).norm(), a, b));
            }
        }
        let longest = all.iter().map(|p| p.0).fold(0.0, f64::max);
        let mut ranked: Vec<(bool, usize, usize, usize)> = all
            .into_iter()
            .map(|(distance, a, b)| (distance < 0.4 * longest, self.window(distance, 2.0 * reach).len(), a, b))
            .collect();
        ranked.sort_unstable();
        let mut used = vec![false; measured.len()];
        let mut bases = Vec::new();
        for (_, _, a, b) in ranked {
            if bases.len() < most && !used[a] && !used[b] {
                used[a] = true;
                used[b] = true;
                bases.push((a, b));
            }
        }
        bases
    }

    /// Whether at least `needed` places lie near a hole of the plate; gives up as soon as that is out of reach.
    fn holds(&self, plate: usize, onto: &Motion, seen: &[Point3], reach: f64, needed: usize) -> bool {
        let raster = &self.rasters[plate];
        (raster.cell < reach || at_least(needed, seen, |p| raster.may_hold(flat_apply(onto, p))))
            && at_least(needed, seen, |p| self.nearest(plate, flat_apply(onto, p), reach).is_some())
    }

    /// Refits to the matched holes, first from afar, then within each hole's own allowance.
    fn refine(
        &self,
        plates: &[Vec<PlateHole>],
        plate: usize,
        onto: &Motion,
        mirrored: bool,
        seen: &[Point3],
        uncertainty: f64,
    ) -> Option<PlateMatch> {
        let holes = &plates[plate];
        let mut onto = *onto;
        let mut matches = Vec::new();
        for scale in [3.0, 1.5, 1.0, 1.0] {
            matches = self.matches(holes, plate, &onto, seen, uncertainty, scale);
            let (from, to): (Vec<Point3>, Vec<Point3>) =
                matches.iter().map(|m| (seen[m.measured], holes[m.hole].at)).unzip();
            onto = fit_in_plane(&from, &to).ok()?.motion;
        }
        let last = self.matches(holes, plate, &onto, seen, uncertainty, 1.0);
        if last.len() >= matches.len() {
            matches = last;
        }
        Some(PlateMatch { plate, mirrored, onto_plate: onto, matches })
    }

    fn matches(
        &self,
        holes: &[PlateHole],
        plate: usize,
        onto: &Motion,
        seen: &[Point3],
        uncertainty: f64,
        scale: f64,
    ) -> Vec<Match> {
        let mut by_hole: Vec<Option<Match>> = vec![None; holes.len()];
        for (measured, &p) in seen.iter().enumerate() {
            let reach = scale * (self.widest / 2.0 + uncertainty);
            let Some((hole, off)) = self.nearest(plate, onto.apply(p), reach) else { continue };
            let hole = usize::from(hole);
            let allowed = scale * holes[hole].reach(uncertainty);
            if off <= allowed && by_hole[hole].is_none_or(|m| off < m.off) {
                by_hole[hole] = Some(Match { measured, hole, off });
            }
        }
        by_hole.into_iter().flatten().collect()
    }
}

/// A coarse picture of a plate: cells with a hole in them or in a neighbour.
#[derive(Clone, Debug)]
struct Raster {
    corner: Point3,
    cell: f64,
    bits: Vec<u64>,
}

impl Raster {
    /// Cells along one side.
    const SIDE: i32 = 128;

    fn new(holes: &[PlateHole]) -> Self {
        let bound = |axis: fn(&PlateHole) -> f64| {
            holes.iter().map(axis).fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)))
        };
        let (x, y) = (bound(|h| h.at.x), bound(|h| h.at.y));
        // Two cells of margin on each side.
        let cell = ((x.1 - x.0).max(y.1 - y.0) / f64::from(Self::SIDE - 4)).max(1e-3);
        let words = usize::try_from(Self::SIDE * Self::SIDE / 64).expect("a small count");
        let mut raster =
            Self { corner: Point3::new(x.0 - 2.0 * cell, y.0 - 2.0 * cell, 0.0), cell, bits: vec![0; words] };
        for hole in holes {
            let (column, row) = raster.cell_of(hole.at);
            for (c, r) in (-1..=1).flat_map(|dc| (-1..=1).map(move |dr| (column + dc, row + dr))) {
                if let Some((word, bit)) = Self::bit(c, r) {
                    raster.bits[word] |= bit;
                }
            }
        }
        raster
    }

    #[expect(clippy::cast_possible_truncation, reason = "far-off places saturate and lie outside")]
    fn cell_of(&self, p: Point3) -> (i32, i32) {
        let index = |v: f64| ((v / self.cell).floor() as i32).clamp(-4, Self::SIDE + 4);
        (index(p.x - self.corner.x), index(p.y - self.corner.y))
    }

    fn bit(column: i32, row: i32) -> Option<(usize, u64)> {
        let inside = (0..Self::SIDE).contains(&column) && (0..Self::SIDE).contains(&row);
        let index = usize::try_from(row * Self::SIDE + column).ok().filter(|_| inside)?;
        Some((index / 64, 1 << (index % 64)))
    }

    /// Whether a hole may lie within one cell's length of a place.
    fn may_hold(&self, p: Point3) -> bool {
        let (column, row) = self.cell_of(p);
        Self::bit(column, row).is_some_and(|(word, bit)| self.bits[word] & bit != 0)
    }
}

impl HolePair {
    fn key(&self) -> (u32, u16, u16) {
        (self.plate, self.first, self.second)
    }
}

/// A measured place as it counts for one hand: mirrored across the second axis, or as it is.
pub(super) fn hand(p: Point3, mirrored: bool) -> Point3 {
    if mirrored { Point3::new(-p.x, p.y, 0.0) } else { p.flat() }
}

/// The motion that carries a measured pair (its hand taken) onto a pair of the plate: middle on middle, line on line.
fn pose([a, b]: [Point3; 2], [first, second]: [Point3; 2]) -> Motion {
    let (from, to) = (b - a, (second - first).flat());
    // No angle is needed, and this runs for every pair of the catalogue that has the distance.
    let scale = (from.dot(from) * to.dot(to)).sqrt();
    let (sin, cos) = (from.cross(to).z / scale, from.dot(to) / scale);
    let rotation = [[cos, -sin, 0.0], [sin, cos, 0.0], [0.0, 0.0, 1.0]];
    let turned = Motion { rotation, shift: Point3::default() };
    let (middle, onto) = ((a + b) * 0.5, (first + second).flat() * 0.5);
    Motion { shift: onto - flat_apply(&turned, middle), ..turned }
}

/// Where a motion in the plane carries a place in the plane.
fn flat_apply(motion: &Motion, p: Point3) -> Point3 {
    let along = |row: [f64; 3]| row[0] * p.x + row[1] * p.y;
    let [first, second, _] = motion.rotation;
    Point3::new(along(first) + motion.shift.x, along(second) + motion.shift.y, 0.0)
}

/// Whether `needed` of the places pass; gives up as soon as that is out of reach.
fn at_least(needed: usize, places: &[Point3], pass: impl Fn(Point3) -> bool) -> bool {
    let mut spare = places.len() - needed;
    for &p in places {
        if !pass(p) {
            if spare == 0 {
                return false;
            }
            spare -= 1;
        }
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The raster may say yes too often, but never no where a hole lies within a cell's length.
    #[test]
    fn the_raster_never_hides_a_hole() {
        let at = |x: f64, y: f64| PlateHole { at: Point3::new(x, y, 0.0), zone: 0.2 };
        for holes in [vec![at(0.0, 0.0), at(500.0, 300.0), at(37.3, 211.9)], vec![at(5.0, 5.0)], Vec::new()] {
            let raster = Raster::new(&holes);
            for hole in &holes {
                for k in 0..64 {
                    let angle = f64::from(k) * std::f64::consts::TAU / 64.0;
                    let off = Point3::new(angle.cos(), angle.sin(), 0.0) * (0.999 * raster.cell);
                    assert!(raster.may_hold(hole.at + off), "{hole:?} {angle}");
                }
            }
            assert!(!raster.may_hold(Point3::new(-1e9, 1e300, 0.0)));
        }
    }
}
