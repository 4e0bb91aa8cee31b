//! The plates of a jig taken together: an error of the jig itself against its datums, told apart from plates that moved.

use super::error_kind::{self, Datums, ErrorKind, Hole, Remedy, Size, diagnose};
use super::examine::{DatumBasis, Examined, nominal};
use super::mend::Step;
use super::point::Point3;
use super::robust::Dimension;
use super::standing::Standing;
use crate::model::{Model, Plate};

/// How the whole jig is set right against its datums, where the plates measured on its axes show together, decisively,
/// that it is off, and no plate is off beside: one error of the jig and not one of each plate. Two such plates at least
/// are needed.
///
/// Every plate is a member, and its own members are members within it. The coarsest instrument's uncertainty is taken
/// for all. Surveys on the jig's axes are taken as made on the same datums.
pub(super) fn jig_off(model: &Model, standings: &[Standing]) -> Option<Step> {
    let on_axes = standings.iter().filter_map(|standing| {
        let (examined, is) = (standing.examined.as_ref()?, standing.is?);
        let counts =
            examined.basis == DatumBasis::JigAxes && examined.against == Some(is) && examined.diagnosis.is_some();
        counts.then(|| (examined, &model.plates[is]))
    });
    let plates: Vec<(&Examined, &Plate)> = on_axes.collect();
    if plates.len() < 2 {
        return None;
    }
    let each = plates.len();
    let mut survey = error_kind::Survey {
        holes: Vec::new(),
        members: Vec::new(),
        rows: Vec::new(),
        datums: Datums::Axes,
        dimension: Dimension::Plane,
        instrument: plates.iter().map(|(of, _)| model.surveys[of.survey].uncertainty.mm()).fold(0.0, f64::max),
    };
    let mut of_plates = Vec::with_capacity(each);
    for (examined, plate) in plates {
        of_plates.push(survey.members.len());
        let first = survey.holes.len();
        let at = |hole: &usize| examined.order.iter().position(|other| other == hole).map(|at| first + at);
        survey.holes.extend(examined.order.iter().map(|hole| {
            let (found, nominal) = (&examined.holes[*hole], nominal(&plate.holes[*hole]));
            let zone = found.judged.map_or(plate.holes[*hole].tolerance.mm(), |judged| judged.allowed);
            Hole { nominal, measured: nominal + found.off, zone }
        }));
        survey.members.push((first..survey.holes.len()).collect());
        for member in &plate.members {
            let holes: Vec<usize> = member.holes.iter().filter_map(at).collect();
            if member.row {
                survey.rows.push(holes.clone());
            }
            survey.members.push(holes);
        }
    }
    let found = diagnose(&survey).ok()?;
    // Where a plate has an error of its own beside, each is set right by itself: that is right whatever moved.
    let own = |kind| matches!(kind, ErrorKind::Member(member) if of_plates.contains(&member));
    if found.errors.iter().map(|error| error.kind).chain(found.suspects.iter().map(|s| s.error.kind)).any(own) {
        return None;
    }
    found.errors.iter().find_map(|error| match (&error.remedy, error.size) {
        (Remedy::ResetDatum { shift, turn, about }, Size::Motion { turn_uncertainty, .. }) => {
            Some(step(*shift, (*turn, turn_uncertainty), *about))
        }
        _ => None,
    })
}

/// A step with its turn, if that is more than its uncertainty.
pub(super) fn step(shift: Point3, (turn, uncertainty): (Point3, Point3), about: Point3) -> Step {
    Step { shift, turn: (turn.z.abs() > uncertainty.z).then_some(turn.z), about }
}
