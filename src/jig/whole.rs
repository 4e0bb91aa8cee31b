//! The plates of a jig that were measured in one set-up of the instrument, taken together: an error that they share is of
//! the set-up or of the jig, and tells nothing against any plate.
//!
//! The cost grows with the plates: each gives its best fit as four points (its middle, moved a radius each way), and the
//! motion that most of these points share is found by one robust fit.

use super::found::SetUp;
use crate::jig::found::{Correction, DatumBasis, Examined, PlateStanding, nominal};
use crate::metrology::point::{Motion, Point3, count};
use crate::metrology::position::{LimitVerdict, judge};
use crate::metrology::robust::{Dimension, robust_fit};
use crate::model::Model;
use std::collections::BTreeMap;

/// One plate of a set-up.
struct SetUpPlate {
    standing: usize,
    /// Holes as measured and as wanted, with half the zone and half the guard band.
    holes: Vec<(Point3, Point3, f64, f64)>,
    /// Four points of its best fit, as measured and as wanted.
    points: Vec<(Point3, Point3)>,
}

impl SetUpPlate {
    fn new(standing: usize, examined: &Examined, model: &Model) -> Option<Self> {
        let plate = &model.plates[examined.against?];
        let (fit, _) = examined.best_fit.as_ref()?;
        let holes: Vec<(Point3, Point3, f64, f64)> = examined
            .order
            .iter()
            .filter_map(|hole| {
                let (found, wanted) = (&examined.holes[*hole], nominal(&plate.holes[*hole]));
                let judged = found.judged?;
                Some((wanted + found.off, wanted, judged.allowed / 2.0, judged.guard / 2.0))
            })
            .collect();
        let squares: f64 = holes.iter().map(|(_, w, ..)| (*w - fit.centre).dot(*w - fit.centre)).sum();
        let radius = (squares / count(holes.len().max(1))).sqrt();
        let back = fit.motion.inverse();
        let arms = [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)];
        let points = arms.map(|(x, y)| {
            let wanted = fit.centre + Point3::new(x, y, 0.0) * radius;
            (back.apply(wanted), wanted)
        });
        (!holes.is_empty()).then(|| Self { standing, holes, points: points.to_vec() })
    }
    /// How many of its holes are proved out once the measured places are carried by `motion`.
    fn out(&self, motion: &dyn Fn(Point3) -> Point3) -> usize {
        let out = self.holes.iter().filter(|(measured, wanted, zone, guard)| {
            judge((motion(*measured) - *wanted).norm(), *zone, *guard) == LimitVerdict::Fail
        });
        out.count()
    }
    /// Whether these are half its holes or more.
    fn is_off(&self, motion: &dyn Fn(Point3) -> Point3) -> bool {
        2 * self.out(motion) >= self.holes.len()
    }
}

/// Tells each plate that was measured on the jig's axes what the plates of its set-up show together.
pub(super) fn set_ups(model: &Model, standings: &mut [PlateStanding]) {
    let mut groups: BTreeMap<(String, String), Vec<SetUpPlate>> = BTreeMap::new();
    for (index, standing) in standings.iter().enumerate() {
        let Some(examined) = &standing.examined else { continue };
        if examined.basis != DatumBasis::JigAxes || standing.is != examined.against || examined.diagnosis.is_none() {
            continue;
        }
        let survey = &model.surveys[examined.survey];
        let key = (survey.instrument.clone(), survey.date.text.clone());
        groups.entry(key).or_default().extend(SetUpPlate::new(index, examined, model));
    }
    for members in groups.into_values() {
        let uncertainty = members.iter().filter_map(|m| standings[m.standing].examined.as_ref());
        let uncertainty = uncertainty.map(|e| model.surveys[e.survey].uncertainty.mm()).fold(0.0, f64::max);
        for (member, found) in members.iter().zip(together(&members, uncertainty)) {
            if let Some(examined) = standings[member.standing].examined.as_mut() {
                examined.set_up = Some(found);
            }
        }
    }
}

/// What plates share explains something only if it is more than its own uncertainty and leaves fewer holes out.
fn together(members: &[SetUpPlate], uncertainty: f64) -> Vec<SetUp> {
    let out = |motion: &dyn Fn(Point3) -> Point3| members.iter().map(|member| member.out(motion)).sum::<usize>();
    let as_read = |p: Point3| p;
    let sound: Vec<bool> = members.iter().map(|member| !member.is_off(&as_read)).collect();
    let (from, to): (Vec<Point3>, Vec<Point3>) = members.iter().flat_map(|member| member.points.clone()).unzip();
    let fit = robust_fit(&from, &to, Dimension::Plane, uncertainty / 2.0).ok();
    let motion = fit.as_ref().map_or(Motion::IDENTITY, |found| found.fit.motion);
    let carry = |p: Point3| motion.apply(p);
    let (before, after) = (out(&as_read), out(&carry));
    let scale = if members.len() >= 3 { common_scale(&from, &to, uncertainty) } else { None };
    let scale = scale.filter(|found| out(&|p| found.carry(p)) < before.min(after)).map(|found| found.scale);
    let besides: Vec<bool> = members.iter().map(|member| scale.is_none() && member.is_off(&carry)).collect();
    let some_besides = besides.contains(&true);
    let off = fit.filter(|_| after < before && scale.is_none()).and_then(|found| {
        let turn = found.fit.motion.rotation[1][0].atan2(found.fit.motion.rotation[0][0]);
        let middle = Point3::centroid(&from);
        let shift = found.fit.motion.apply(middle) - middle;
        let known = found.fit.uncertainty(&to, uncertainty.max(4.0 * found.fit.rms));
        let turned = turn.abs() > known.turn.z;
        let step = Correction { shift, turn: turned.then_some(turn), about: middle };
        (shift.norm() > known.shift || turned).then_some(step)
    });
    let all = (0..members.len()).map(|at| SetUp {
        plates: members.len(),
        sound: (0..members.len()).filter(|other| *other != at && sound[*other]).count(),
        off,
        scale,
        some_besides,
        besides: besides[at],
    });
    all.collect()
}

/// The part by which lengths are too long, and the motion of what is left when that is taken out.
struct Scaled {
    scale: f64,
    motion: Motion,
}

impl Scaled {
    /// Where a measured place belongs.
    fn carry(&self, p: Point3) -> Point3 {
        self.motion.apply(p * (1.0 / (1.0 + self.scale)))
    }
}

/// The largest part by which warmth or a wrong scale of the instrument is taken to change lengths.
const LARGEST_SCALE: f64 = 2e-3;

/// The scale that most points share, where it is more than five times its standard uncertainty: the points are fitted,
/// those that fit no motion left out, and fitted again with what scale is left taken out.
fn common_scale(from: &[Point3], to: &[Point3], uncertainty: f64) -> Option<Scaled> {
    let mut scale = 0.0;
    for _ in 0..6 {
        let shrunk: Vec<Point3> = from.iter().map(|p| *p * (1.0 / (1.0 + scale))).collect();
        let found = robust_fit(&shrunk, to, Dimension::Plane, uncertainty / 2.0).ok()?;
        let good: Vec<Point3> = found.good.iter().map(|at| to[*at]).collect();
        let centre = Point3::centroid(&good);
        let pairs: Vec<(Point3, Point3)> =
            found.good.iter().map(|at| (to[*at] - centre, found.fit.residuals[*at])).collect();
        let moment: f64 = pairs.iter().map(|(arm, _)| arm.dot(*arm)).sum();
        let more = -pairs.iter().map(|(arm, left)| arm.dot(*left)).sum::<f64>() / moment;
        let squares: f64 = pairs.iter().map(|(arm, left)| (*left + *arm * more).norm().powi(2)).sum();
        let scatter = (squares / (2.0 * count(pairs.len()) - 4.0).max(1.0)).sqrt();
        let deviation = scatter.max(uncertainty / 2.0) / moment.sqrt();
        if more.abs() <= 0.1 * deviation {
            let is_sure = scale.abs() > 5.0 * deviation && scale.abs() < LARGEST_SCALE;
            return is_sure.then_some(Scaled { scale, motion: found.fit.motion });
        }
        scale = (1.0 + scale) * (1.0 + more) - 1.0;
    }
    None
}
