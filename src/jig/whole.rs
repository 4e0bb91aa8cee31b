//! The plates of a jig that were measured in one set-up of the instrument, taken together: an error that they share is of
//! the set-up or of the jig, and tells nothing against any plate.
//!
//! The cost grows with the plates: each gives its best fit as four points (its middle, moved a radius each way), and the
//! motion that most of these points share is found by one robust fit.

use super::examine::{DatumBasis, Examined, nominal};
use super::mend::Step;
use super::point::{Motion, Point3, count};
use super::position::{Verdict, judge};
use super::robust::{Dimension, robust_fit};
use super::standing::Standing;
use crate::model::Model;
use std::collections::BTreeMap;

/// What the plates of one set-up (one instrument, one date, the jig's axes) show together.
#[derive(Clone, Debug, PartialEq)]
pub struct SetUp {
    /// How many plates of a known definition were measured in it, this one among them.
    pub plates: usize,
    /// How many of the others lie right as they were measured.
    pub sound: usize,
    /// The step that sets right what they share, where it is more than the instrument and the scatter of plates.
    pub off: Option<Step>,
    /// By what part lengths are too long, where a scale explains what no step does.
    pub scale: Option<f64>,
    /// Whether some plate lies off besides what they share.
    pub some_besides: bool,
    /// Whether this plate does.
    pub besides: bool,
}

impl SetUp {
    /// The step for the jig as a whole: at least two plates were measured, all lie off together and none besides.
    #[must_use]
    pub fn jig_off(&self) -> Option<Step> {
        self.off.filter(|_| self.plates >= 2 && !self.some_besides)
    }
}

/// One plate of a set-up.
struct Member {
    standing: usize,
    /// Holes as measured and as wanted, with half the zone and half the guard band.
    holes: Vec<(Point3, Point3, f64, f64)>,
    /// Four points of its best fit, as measured and as wanted.
    points: Vec<(Point3, Point3)>,
}

impl Member {
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
    /// Whether half its holes or more are proved out once the measured places are carried by `motion`.
    fn is_off(&self, motion: impl Fn(Point3) -> Point3) -> bool {
        let out = self.holes.iter().filter(|(measured, wanted, zone, guard)| {
            judge((motion(*measured) - *wanted).norm(), *zone, *guard) == Verdict::Fail
        });
        2 * out.count() >= self.holes.len()
    }
}

/// Tells each plate that was measured on the jig's axes what the plates of its set-up show together.
pub(super) fn set_ups(model: &Model, standings: &mut [Standing]) {
    let mut groups: BTreeMap<(String, String), Vec<Member>> = BTreeMap::new();
    for (index, standing) in standings.iter().enumerate() {
        let Some(examined) = &standing.examined else { continue };
        if examined.basis != DatumBasis::JigAxes || standing.is != examined.against || examined.diagnosis.is_none() {
            continue;
        }
        let survey = &model.surveys[examined.survey];
        let key = (survey.instrument.clone(), survey.date.text.clone());
        groups.entry(key).or_default().extend(Member::new(index, examined, model));
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

fn together(members: &[Member], uncertainty: f64) -> Vec<SetUp> {
    let sound: Vec<bool> = members.iter().map(|member| !member.is_off(|p| p)).collect();
    let (from, to): (Vec<Point3>, Vec<Point3>) = members.iter().flat_map(|member| member.points.clone()).unzip();
    let fit = robust_fit(&from, &to, Dimension::Plane, uncertainty / 2.0).ok();
    let motion = fit.as_ref().map_or(Motion::IDENTITY, |found| found.fit.motion);
    let mut besides: Vec<bool> = members.iter().map(|member| member.is_off(|p| motion.apply(p))).collect();
    let mut scale = None;
    if members.len() >= 3 && besides.contains(&true) {
        scale = common_scale(members, &from, &to);
        if scale.is_some() {
            besides = vec![false; members.len()];
        }
    }
    let some_besides = besides.contains(&true);
    let off = fit.filter(|_| sound.contains(&false) && scale.is_none()).and_then(|found| {
        let turn = found.fit.motion.rotation[1][0].atan2(found.fit.motion.rotation[0][0]);
        let middle = Point3::centroid(&from);
        let shift = found.fit.motion.apply(middle) - middle;
        let known = found.fit.uncertainty(&to, uncertainty.max(4.0 * found.fit.rms));
        let turned = turn.abs() > known.turn.z;
        let step = Step { shift, turn: turned.then_some(turn), about: middle };
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

/// The scale, with a motion, that leaves no plate off.
fn common_scale(members: &[Member], from: &[Point3], to: &[Point3]) -> Option<f64> {
    let fit = Dimension::Plane.fit(from, to).ok()?;
    let arms: Vec<Point3> = to.iter().map(|p| *p - fit.centre).collect();
    let moment: f64 = arms.iter().map(|arm| arm.dot(*arm)).sum();
    let scale = -arms.iter().zip(&fit.residuals).map(|(arm, left)| arm.dot(*left)).sum::<f64>() / moment;
    let carry = |p: Point3| fit.centre + (fit.motion.apply(p) - fit.centre) * (1.0 / (1.0 + scale));
    (scale.abs() < 2e-3 && !members.iter().any(|member| member.is_off(carry))).then_some(scale)
}

/// A step with its turn, if that is more than its uncertainty.
pub(super) fn step(shift: Point3, (turn, uncertainty): (Point3, Point3), about: Point3) -> Step {
    Step { shift, turn: (turn.z.abs() > uncertainty.z).then_some(turn.z), about }
}
