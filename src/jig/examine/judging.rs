//! Each hole of a survey on the datums of one definition.

use super::pairing::{Pairing, pair};
use crate::jig::found::{DatumBasis, Examined, HoleFound, nominal};
use crate::jig::slip::warmth;
use crate::metrology::error_kind::{Datums, diagnose};
use crate::metrology::fit::{Fit, FitUncertainty};
use crate::metrology::identify::{PlateMatch, UnnamedHoles};
use crate::metrology::point::Point3;
use crate::metrology::position::{HoleMeasurement, Judgement, Zone, judge_hole};
use crate::metrology::robust::{Dimension, robust_fit};
use crate::metrology::{error_kind, identify};
use crate::model::{Plate, Survey};
use crate::quantity::{Length, SurveyLimits};
use crate::schema::Axes;

/// Members of a definition (indices) with their measured holes.
type Groups = Vec<(usize, Vec<usize>)>;

/// The holes of a survey against one definition.
pub(super) struct Judging<'a> {
    pub(super) survey: &'a Survey,
    pub(super) plate: &'a Plate,
    pub(super) reading: &'a UnnamedHoles,
    /// Measured holes (indices) whose figures are in doubt: no deviation is taken on them.
    pub(super) doubted: &'a [usize],
    /// The expansion of the jig, where it is known.
    pub(super) expansion: Option<f64>,
    pub(super) limits: &'a SurveyLimits,
}

impl Judging<'_> {
    pub(super) fn judge(&self, candidate: Option<&PlateMatch>, into: &mut Examined) {
        let mirrored = (self.reading.face == identify::MeasuredFace::Back) != candidate.is_some_and(|c| c.mirrored);
        let flip = |p: Point3| if mirrored { Point3::new(-p.x, p.y, p.z) } else { p };
        let measured: Vec<Point3> = self.reading.holes.iter().map(|p| flip(*p)).collect();
        let Pairing { pairs, strange, renamed } =
            pair(self.survey, self.plate, self.reading, candidate.map(|c| (c, into.loose)), self.limits.loose_mm);
        into.strange = strange;
        into.renamed = renamed;
        into.order = (0..pairs.len()).filter(|hole| pairs[*hole].is_some()).collect();
        into.holes = pairs.iter().enumerate().map(|(hole, measured)| unjudged(hole, *measured)).collect();
        let is_datum = |at: &usize| {
            let hole = into.order[*at];
            self.plate.holes[hole].datum && !pairs[hole].is_some_and(|measured| self.doubted.contains(&measured))
        };
        let datums: Vec<usize> = (0..into.order.len()).filter(is_datum).collect();
        into.basis = match (self.survey.axes, datums.len()) {
            (Axes::Jig, _) => DatumBasis::JigAxes,
            (Axes::Instrument, 0 | 1) => DatumBasis::BestFit,
            (Axes::Instrument, several) => DatumBasis::Holes(several),
        };
        let place = |at: &usize| measured[pairs[*at].expect("the order holds measured holes")];
        let places: Vec<Point3> = into.order.iter().map(place).collect();
        let wanted: Vec<Point3> = into.order.iter().map(|at| nominal(&self.plate.holes[*at])).collect();
        let (members, rows) = self.members(&into.order);
        let holes = into.order.iter().zip(&places).zip(&wanted);
        let holes = holes.map(|((hole, measured), nominal)| error_kind::SurveyedHole {
            nominal: *nominal,
            measured: *measured,
            zone: self.allowed(*hole, pairs[*hole]),
        });
        let survey = error_kind::HoleSurvey {
            holes: holes.collect(),
            members: members.iter().map(|(_, holes)| holes.clone()).collect(),
            rows: rows.iter().map(|(_, holes)| holes.clone()).collect(),
            datums: match into.basis {
                DatumBasis::JigAxes => Datums::Axes,
                DatumBasis::Holes(_) => Datums::Holes(datums.clone()),
                DatumBasis::BestFit => Datums::None,
            },
            dimension: Dimension::Plane,
            instrument: self.survey.uncertainty.mm(),
            odds: self.limits.odds,
        };
        let Ok(diagnosis) = diagnose(&survey) else { return };
        into.members = (members.iter().map(|(m, _)| *m).collect(), rows.iter().map(|(m, _)| *m).collect());
        let on_datums: Vec<Point3> = places.iter().map(|p| diagnosis.alignment.apply(*p)).collect();
        let share = self.datum_share(into.basis, &datums, &on_datums, &wanted);
        // What warmth does is counted from where deviations are taken: the datums, the jig's origin, or the middle.
        let middle = match into.basis {
            DatumBasis::JigAxes => Point3::default(),
            DatumBasis::Holes(_) => Point3::centroid(&datums.iter().map(|at| wanted[*at]).collect::<Vec<_>>()),
            DatumBasis::BestFit => Point3::centroid(&wanted),
        };
        for (at, hole) in into.order.iter().enumerate() {
            let found = &mut into.holes[*hole];
            found.off = diagnosis.deviations[at];
            found.is_datum = matches!(into.basis, DatumBasis::Holes(_)) && datums.contains(&at);
            let share = if found.is_datum { 0.0 } else { share(on_datums[at]) };
            let arm = (wanted[at] - middle).norm();
            let warmth = warmth(self.limits, self.survey.temperature, self.expansion) * arm;
            found.judged = Some(self.judgement(*hole, pairs[*hole], found.off, share.hypot(warmth)));
        }
        if let Some((fit, good)) = best_fit(&on_datums, &wanted, self.survey.uncertainty.mm()) {
            for (at, hole) in into.order.iter().enumerate() {
                into.holes[*hole].left = Some(-fit.residuals[at]);
            }
            into.best_fit = Some((fit, good));
        }
        into.diagnosis = Some(diagnosis);
        into.wanted.clone_from(&wanted);
        into.mirrored = mirrored;
    }

    /// The members and the rows of the definition, by its index, with their measured holes as indices of the order.
    fn members(&self, order: &[usize]) -> (Groups, Groups) {
        let all = self.plate.members.iter().enumerate().map(|(index, member)| {
            let holes = member.holes.iter().filter_map(|hole| order.iter().position(|other| other == hole));
            (index, holes.collect())
        });
        let all: Vec<(usize, Vec<usize>)> = all.collect();
        let rows = all.iter().filter(|(index, _)| self.plate.members[*index].row).cloned().collect();
        (all, rows)
    }

    fn diameter(&self, measured: Option<usize>) -> Option<(f64, f64)> {
        let diameter = self.survey.holes[measured?].diameter.as_ref()?;
        Some((diameter.mm(), self.survey.diameter_uncertainty.mm()))
    }

    fn zone(&self, hole: usize) -> Zone {
        let hole = &self.plate.holes[hole];
        Zone { diameter: hole.tolerance.mm(), smallest: hole.smallest.as_ref().map(Length::mm) }
    }

    /// The zone with its bonus.
    fn allowed(&self, hole: usize, measured: Option<usize>) -> f64 {
        self.judgement(hole, measured, Point3::default(), 0.0).allowed
    }

    fn judgement(&self, hole: usize, measured: Option<usize>, off: Point3, share: f64) -> Judgement {
        let found = HoleMeasurement {
            dx: off.x,
            dy: off.y,
            coordinate_uncertainty: self.survey.uncertainty.mm().hypot(share),
            diameter: self.diameter(measured),
            out_of_square: measured.and_then(|at| Some(self.survey.holes[at].out_of_square.as_ref()?.mm())),
        };
        judge_hole(&self.zone(hole), &found)
    }

    /// What the datums add to the uncertainty of a coordinate at a place.
    fn datum_share(
        &self,
        basis: DatumBasis,
        datums: &[usize],
        on_datums: &[Point3],
        wanted: &[Point3],
    ) -> impl Fn(Point3) -> f64 {
        let rests_on: Vec<usize> = match basis {
            DatumBasis::JigAxes => Vec::new(),
            DatumBasis::Holes(_) => datums.to_vec(),
            DatumBasis::BestFit => (0..on_datums.len()).collect(),
        };
        let places: Vec<Point3> = rests_on.iter().map(|at| on_datums[*at]).collect();
        let targets: Vec<Point3> = rests_on.iter().map(|at| wanted[*at]).collect();
        let fit = Dimension::Plane.fit(&places, &targets).ok();
        let uncertainty = fit.map(|fit| (fit.centre, fit.uncertainty(&targets, self.survey.uncertainty.mm())));
        move |place| {
            let at =
                |(centre, share): &(Point3, FitUncertainty)| share.shift.hypot(share.turn.z * (place - *centre).norm());
            uncertainty.as_ref().map_or(0.0, at)
        }
    }
}

fn unjudged(hole: usize, measured: Option<usize>) -> HoleFound {
    HoleFound { hole, measured, off: Point3::default(), judged: None, is_datum: false, left: None, in_doubt: false }
}

/// The best fit with bad holes left out, and how many holes it rests on; of all holes where they are too few to outvote
/// a bad one.
fn best_fit(from: &[Point3], to: &[Point3], uncertainty: f64) -> Option<(Fit, usize)> {
    match robust_fit(from, to, Dimension::Plane, uncertainty / 2.0) {
        Ok(robust) => Some((robust.fit, robust.good.len())),
        Err(_) => Dimension::Plane.fit(from, to).ok().map(|fit| (fit, from.len())),
    }
}
