//! Slips of a whole survey: every reading exchanged, mirrored, turned or scaled.

use super::FACTORS;
use crate::jig::found::{Examined, Figure, Slip, SlipKind, nominal};
use crate::metrology::identify::FEWEST_HOLES;
use crate::metrology::point::{Point3, count};
use crate::metrology::position::{LimitVerdict, RADIUS_COVERAGE};
use crate::metrology::robust::{Dimension, robust_fit};
use crate::model::{Model, Plate, Survey};
use crate::schema::Axes;

/// What may have been done to every reading: a factor for each axis, and whether the axes were exchanged first.
#[derive(Clone, Copy)]
struct Change {
    x: f64,
    y: f64,
    exchanged: bool,
}

impl Change {
    const NONE: Self = Self { x: 1.0, y: 1.0, exchanged: false };

    fn of(self, p: Point3) -> Point3 {
        if self.exchanged { Point3::new(p.y, p.x, 0.0) } else { Point3::new(self.x * p.x, self.y * p.y, 0.0) }
    }
}

/// Holes of a definition as they were measured under their names.
struct Named {
    pairs: Vec<(Point3, Point3, f64)>,
    uncertainty: f64,
}

impl Named {
    fn new(plate: &Plate, survey: &Survey, places: &[Point3], flip: bool) -> Self {
        let flip = |p: Point3| if flip { Point3::new(-p.x, p.y, 0.0) } else { p };
        let uncertainty = survey.uncertainty.mm();
        let pairs = survey.holes.iter().zip(places).filter_map(|(measured, place)| {
            let name = measured.name.as_ref()?;
            let hole = plate.holes.iter().find(|hole| hole.name == *name)?;
            let reach = hole.tolerance.mm() / 2.0 + RADIUS_COVERAGE * uncertainty;
            Some((flip(*place), nominal(hole), reach))
        });
        Self { pairs: pairs.collect(), uncertainty }
    }
    /// How many lie right when this change is taken out and the plate lies anywhere.
    fn anywhere(&self, change: Change) -> usize {
        let from: Vec<Point3> = self.pairs.iter().map(|(p, ..)| change.of(*p)).collect();
        let to: Vec<Point3> = self.pairs.iter().map(|(_, n, _)| *n).collect();
        let Ok(found) = robust_fit(&from, &to, Dimension::Plane, self.uncertainty / 2.0) else { return 0 };
        let near = found.fit.residuals.iter().zip(&self.pairs).filter(|(left, (.., reach))| left.norm() <= *reach);
        near.count()
    }
    /// How many lie right in these axes when this change is taken out.
    fn here(&self, change: Change) -> usize {
        self.pairs.iter().filter(|(p, n, reach)| (change.of(*p) - *n).norm() <= *reach).count()
    }
}

/// A change of every reading with which far more holes of the plate lie right than without it.
pub(super) fn transformed(model: &Model, examined: &Examined, places: &[Point3]) -> Option<Slip> {
    let survey = &model.surveys[examined.survey];
    let plate = &model.plates[examined.record.or(examined.against)?];
    let in_jig = survey.axes == Axes::Jig;
    let back = !in_jig && survey.face == Some(crate::schema::Face::Back);
    let named = Named::new(plate, survey, places, back);
    let all = named.pairs.len();
    if all < FEWEST_HOLES {
        return None;
    }
    let plain =
        if in_jig { named.here(Change::NONE).max(named.anywhere(Change::NONE)) } else { named.anywhere(Change::NONE) };
    if plain == all && !in_jig {
        return None;
    }
    let better = |found: usize| 10 * found >= 7 * all && found >= plain + (all / 5).max(2);
    if in_jig && named.here(Change::NONE) < all {
        let here = named.here(Change::NONE);
        let flips = [
            (Change { exchanged: true, ..Change::NONE }, SlipKind::AxesExchanged),
            (Change { x: -1.0, ..Change::NONE }, SlipKind::Sign),
            (Change { y: -1.0, ..Change::NONE }, SlipKind::Sign),
            (Change { x: -1.0, y: -1.0, exchanged: false }, SlipKind::Sign),
        ];
        let fits = |change: Change| {
            let found = named.here(change);
            10 * found >= 7 * all && found >= here + (all / 5).max(2)
        };
        if let Some((_, kind)) = flips.into_iter().find(|(change, _)| fits(*change)) {
            return Some(Slip::of_all(kind, Figure::All));
        }
    }
    // Where the face was not noted the hand is open anyway.
    let face_is_known = in_jig || survey.face.is_some();
    if face_is_known && better(named.anywhere(Change { x: -1.0, ..Change::NONE })) {
        return Some(Slip::of_all(SlipKind::Mirrored, Figure::All));
    }
    let scaled = FACTORS.into_iter().flat_map(|(factor, kind)| {
        let axes = [(factor, factor), (factor, 1.0), (1.0, factor)];
        axes.map(|(x, y)| (Change { x, y, exchanged: false }, factor, kind))
    });
    let found = scaled.into_iter().find(|(change, ..)| better(named.anywhere(*change)));
    found.map(|(_, factor, kind)| Slip::of_all(kind, Figure::Factor(1.0 / factor)))
}

/// The largest overall scale that warmth makes: 65 K of light alloy (handbook coefficient, from memory).
const WARMEST: f64 = 1.5e-3;

/// By what part all lengths are too long, where that explains holes that are not within, clearly more than the
/// instrument, and leaves all but one in ten within their zones.
pub(super) fn scale(examined: &Examined, uncertainty: f64) -> Option<f64> {
    let wrong = |hole: &usize| examined.holes[*hole].as_read() != Some(LimitVerdict::Pass);
    let (fit, _) = examined.best_fit.as_ref()?;
    let all: Vec<(Point3, f64)> = examined
        .order
        .iter()
        .filter_map(|hole| {
            let found = &examined.holes[*hole];
            Some((found.left?, found.judged?.allowed / 2.0))
        })
        .collect();
    if all.len() < 6 || all.len() < examined.order.len() || !examined.order.iter().any(wrong) {
        return None;
    }
    let places = &examined.wanted;
    let arms: Vec<Point3> = places.iter().map(|p| *p - fit.centre).collect();
    let near: Vec<usize> = (0..all.len()).filter(|at| all[*at].0.norm() < 1.0).collect();
    let moment: f64 = near.iter().map(|at| arms[*at].dot(arms[*at])).sum();
    if near.len() * 10 < all.len() * 9 || moment <= 0.0 {
        return None;
    }
    let scale = near.iter().map(|at| arms[*at].dot(all[*at].0)).sum::<f64>() / moment;
    let deviation = uncertainty / 2.0 / moment.sqrt();
    let left = |at: &usize| (all[*at].0 - arms[*at] * scale).norm();
    let scatter = (near.iter().map(|at| left(at).powi(2)).sum::<f64>() / count(2 * near.len())).sqrt();
    let deviation = deviation.max(scatter / moment.sqrt());
    let right = near.iter().filter(|at| left(at) <= all[**at].1 + RADIUS_COVERAGE * uncertainty).count();
    (scale.abs() > 5.0 * deviation && scale.abs() <= WARMEST && right * 10 >= all.len() * 9).then_some(scale)
}
