//! What to do about a plate whose holes are out: from the kinds of error to work on the metal.

use super::found::Correction;
use crate::jig::found::{DatumBasis, Examined, SetUp, longest, nominal, step};
use crate::metrology::error_kind::{Diagnosis, ErrorKind, Remedy, Size, SurveyError};
use crate::metrology::point::Point3;
use crate::metrology::position::{LimitVerdict, deviation_diameter, judge};
use crate::model::Plate;

/// Work on a plate, in the order in which it is done: what moves many holes before what moves few, because whatever is
/// redrilled before its member is moved moves with it.
#[derive(Clone, Debug, PartialEq)]
pub enum Mend {
    /// Set the whole jig against its datums: its plates show together that it is the jig that is off.
    ResetJig(Correction),
    /// Set the whole plate against its datums.
    ResetDatum(Correction),
    /// Move a member (an index of the definition's).
    MoveMember(usize, Correction),
    /// Plug these holes of the definition (indices, rising) and drill them again.
    Redrill(Vec<usize>),
    /// Look at the readings of these holes (indices, rising): they lie further off than the plate is long.
    CheckReading(Vec<usize>),
    /// Measure again before anything is done: the survey does not decide what is wrong with these holes (indices,
    /// rising).
    MeasureAgain(Vec<usize>),
}

impl Mend {
    /// The step that is made, where something is moved.
    #[must_use]
    pub fn step(&self) -> Option<&Correction> {
        match self {
            Mend::ResetJig(step) | Mend::ResetDatum(step) | Mend::MoveMember(_, step) => Some(step),
            Mend::Redrill(_) | Mend::CheckReading(_) | Mend::MeasureAgain(_) => None,
        }
    }

    /// How far what is moved moves at two places, by which it is set: of a plate at its first two dowels, of a member at its
    /// two holes that lie farthest apart. Holes are indices of the definition; none, where nothing is moved.
    #[must_use]
    pub fn amounts(&self, plate: &Plate) -> Vec<(usize, Point3)> {
        let Some(step) = self.step() else { return Vec::new() };
        let ends: Vec<usize> = match self {
            Mend::MoveMember(member, _) => farthest(plate, &plate.members[*member].holes),
            Mend::ResetJig(_)
            | Mend::ResetDatum(_)
            | Mend::Redrill(_)
            | Mend::CheckReading(_)
            | Mend::MeasureAgain(_) => (0..plate.holes.len()).filter(|hole| plate.holes[*hole].datum).take(2).collect(),
        };
        ends.into_iter().map(|hole| (hole, step.at(nominal(&plate.holes[hole])))).collect()
    }
}

/// The two of some holes that lie farthest apart, in the order of the list.
fn farthest(plate: &Plate, holes: &[usize]) -> Vec<usize> {
    let pairs = holes.iter().enumerate().flat_map(|(at, a)| holes[at + 1..].iter().map(move |b| [*a, *b]));
    let apart = |[a, b]: &[usize; 2]| (nominal(&plate.holes[*a]) - nominal(&plate.holes[*b])).norm();
    // Of pairs that lie equally far apart the first.
    let farthest = pairs.reduce(|best, pair| if apart(&pair) > apart(&best) { pair } else { best });
    farthest.map(Vec::from).unwrap_or_default()
}

/// What would be done about the holes that a survey proves out of their zones if every figure in it is right; empty where
/// none is. What is to be done is [`super::advice::advice`], which rules out first what costs nothing.
///
/// `plate` is the definition that the holes are compared with.
/// Invariant: every hole that is proved out is put right by one of these, or named in a [`Mend::CheckReading`] or a
/// [`Mend::MeasureAgain`].
#[must_use]
pub fn mends(examined: &Examined, plate: &Plate) -> Vec<Mend> {
    let proved = examined.holes.iter().filter(|found| found.as_read() == Some(LimitVerdict::Fail));
    let mut left: Vec<usize> = proved.map(|found| found.hole).collect();
    if left.is_empty() {
        return Vec::new();
    }
    let Some(diagnosis) = &examined.diagnosis else { return vec![Mend::Redrill(left)] };
    let members: Vec<Vec<usize>> = plate.members.iter().map(|member| member.holes.clone()).collect();
    let longest = longest(plate);
    let mut all = Vec::new();
    for error in &diagnosis.errors {
        all.extend(whole(error, examined, &members, &mut left));
    }
    let mut again = undecided(diagnosis, examined, &members, &mut left);
    let far: Vec<usize> = left.extract_if(.., |hole| examined.holes[*hole].off.norm() > longest).collect();
    if !far.is_empty() {
        all.push(Mend::CheckReading(far));
    }
    // What lies right among the other holes is no bad hole: a datum that is out carries its deviation with it.
    if matches!(examined.basis, DatumBasis::Holes(_)) {
        let out_of_pattern = |hole: usize| {
            let found = &examined.holes[hole];
            let (Some(left), Some(judged)) = (found.left, found.judged) else { return true };
            2.0 * left.norm() > judged.allowed || judged.size == Some(LimitVerdict::Fail)
        };
        again.extend(left.extract_if(.., |hole| !out_of_pattern(*hole)));
        again.sort_unstable();
        let datums = examined.holes.iter().filter(|found| found.is_datum && !again.is_empty());
        left.extend(datums.map(|found| found.hole).filter(|hole| out_of_pattern(*hole)));
        left.sort_unstable();
        left.dedup();
    }
    if !left.is_empty() {
        all.push(Mend::Redrill(left));
    }
    if !again.is_empty() {
        all.push(Mend::MeasureAgain(again));
    }
    all
}

/// Moving what was laid off wrong as a whole; takes the holes that this puts right out of `left`.
fn whole(error: &SurveyError, examined: &Examined, members: &[Vec<usize>], left: &mut Vec<usize>) -> Option<Mend> {
    let Size::Motion { turn_uncertainty, .. } = error.size else { return None };
    let step = |shift, turn: Point3, about| step(shift, turn, turn_uncertainty, about);
    let before = left.len();
    let mend = match error.remedy {
        Remedy::ResetDatum { shift, turn, about } => {
            left.retain(|hole| stays_out(*hole, examined));
            let jig_off = examined.set_up.as_ref().and_then(SetUp::jig_off);
            jig_off.map_or_else(|| Mend::ResetDatum(step(shift, turn, about)), Mend::ResetJig)
        }
        Remedy::MoveMember { member, shift, turn, about } => {
            let member = examined.members.0[member];
            left.retain(|hole| !members[member].contains(hole) || stays_out(*hole, examined));
            Mend::MoveMember(member, step(shift, turn, about))
        }
        Remedy::PlugAndRedrill { .. } | Remedy::Nothing => return None,
    };
    (left.len() < before).then_some(mend)
}

/// Whether a hole is out on its own account: when the errors of whole members are taken out, it is still proved out by
/// the same rule. A hole that is too small cannot be moved right either.
fn stays_out(hole: usize, examined: &Examined) -> bool {
    let Some(diagnosis) = &examined.diagnosis else { return true };
    let Some(at) = examined.order.iter().position(|other| *other == hole) else { return true };
    let judged = examined.holes[hole].judged;
    let residual = deviation_diameter(diagnosis.residuals[at].x, diagnosis.residuals[at].y);
    judged.is_none_or(|judged| {
        judge(residual, judged.allowed, judged.guard) == LimitVerdict::Fail || judged.size == Some(LimitVerdict::Fail)
    })
}

/// Holes that an undecided error of a whole member or of the datum may have carried out.
fn undecided(diagnosis: &Diagnosis, examined: &Examined, members: &[Vec<usize>], left: &mut Vec<usize>) -> Vec<usize> {
    let mut again = Vec::new();
    for suspect in &diagnosis.suspects {
        let concerned = |hole: usize| match suspect.error.kind {
            ErrorKind::Datum => true,
            ErrorKind::Member(member) => members[examined.members.0[member]].contains(&hole),
            ErrorKind::Pitch(_) | ErrorKind::Hole(_) => false,
        };
        again.extend(left.iter().copied().filter(|hole| concerned(*hole)));
        left.retain(|hole| !concerned(*hole));
    }
    again.sort_unstable();
    again
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_moves_each_place_by_the_shift_and_by_what_the_turn_makes_there() {
        let about = Point3::new(10.0, 0.0, 0.0);
        let quarter = Correction { shift: Point3::new(1.0, 2.0, 0.0), turn: Some(std::f64::consts::FRAC_PI_2), about };
        // A quarter turn anticlockwise takes what lies 5 to the right of the middle 5 above it.
        let moved = quarter.at(Point3::new(15.0, 0.0, 0.0));
        assert!((moved - Point3::new(1.0 - 5.0, 2.0 + 5.0, 0.0)).norm() < 1e-12, "{moved:?}");
        assert!((quarter.at(about) - quarter.shift).norm() < 1e-12);
        let straight = Correction { turn: None, ..quarter };
        assert!((straight.at(Point3::new(99.0, -7.0, 0.0)) - straight.shift).norm() < 1e-12);
    }
}
