//! Concessions and deviation permits against the parts that were made under them.

use super::last_day;
use crate::model::{Deviation, MadePart, MeantFor, Model};
use crate::quantity::Serial;
use crate::resolve::{Basis, Fitted, PositionOutcome, Resolver};

/// What is wrong with a part that was made under a permission.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PermitFaultKind {
    /// It was made, or may have been, after the permission had expired.
    Expired,
    /// The permission is for another part.
    OtherPart,
    /// The permission is for other airframes.
    OtherAirframe,
    /// With the parts before it, more were made than the permission allows.
    TooMany,
}

/// A part that was made under a permission which does not cover it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PermitFault {
    /// The part's record (an index of the model's made parts).
    pub made: usize,
    /// Which of the references that it names.
    pub which: usize,
    /// The permission (an index of the model's deviations).
    pub deviation: usize,
    /// What is wrong.
    pub kind: PermitFaultKind,
}

/// Every part that was made under a permission which does not cover it, by permission and record.
#[must_use]
pub fn permit_faults(model: &Model) -> Vec<PermitFault> {
    let mut faults = Vec::new();
    let mut used = vec![0_u64; model.deviations.len()];
    for (made, part) in model.made_parts.iter().enumerate() {
        for (which, reference) in part.under.iter().enumerate() {
            let named = || model.deviations.iter().enumerate().filter(|(_, entry)| entry.reference == *reference);
            // One reference may stand for several parts; the entry for this part is the one that counts.
            let Some((deviation, entry)) =
                named().find(|(_, entry)| entry.part == part.part).or_else(|| named().next())
            else {
                continue;
            };
            used[deviation] += u64::from(part.quantity);
            let fault = |kind| PermitFault { made, which, deviation, kind };
            if entry.part != part.part {
                faults.push(fault(PermitFaultKind::OtherPart));
                continue;
            }
            if !covers(model, entry, part) {
                faults.push(fault(PermitFaultKind::OtherAirframe));
            }
            if expired(entry, part) {
                faults.push(fault(PermitFaultKind::Expired));
            }
            if entry.quantity.is_some_and(|allowed| used[deviation] > u64::from(allowed)) {
                faults.push(fault(PermitFaultKind::TooMany));
            }
        }
    }
    faults.sort_unstable_by_key(|fault| (fault.deviation, fault.made, fault.kind, fault.which));
    faults
}

/// Whether the permission reaches to the airframe that the part is meant for, where it is meant for one.
fn covers(model: &Model, entry: &Deviation, part: &MadePart) -> bool {
    let (Some(scope), Some(of)) = (&entry.scope, &part.made_for) else { return true };
    match of {
        MeantFor::Airframe(airframe) => scope.contains(&model.airframes[*airframe].serial),
        MeantFor::Lost(serial) => Serial::parse(serial).map_or(true, |serial| scope.contains(&serial)),
    }
}

/// A permission (an index of the model's deviations) that parts were made under and that does not cover them in a state;
/// `faults` are those of [`permit_faults`].
pub(super) fn uncovered(
    resolver: &mut Resolver<'_>,
    faults: &[PermitFault],
    index: usize,
    basis: Basis,
) -> Option<usize> {
    let model = resolver.history().model;
    let made = &model.made_parts[index];
    if let Some(fault) = faults.iter().find(|fault| fault.made == index) {
        return Some(fault.deviation);
    }
    let named = |(_, entry): &(usize, &Deviation)| entry.part == made.part && made.under.contains(&entry.reference);
    let mut named = model.deviations.iter().enumerate().filter(named);
    named.find(|(_, entry)| !reaches(resolver, entry, basis)).map(|(index, _)| index)
}

/// Whether the permission is for this serial and, if it is for one position, the state may have the part there.
fn reaches(resolver: &mut Resolver<'_>, entry: &Deviation, basis: Basis) -> bool {
    let serial = &resolver.history().airframe().serial;
    if !entry.scope.as_ref().is_none_or(|scope| scope.contains(serial)) {
        return false;
    }
    let is_it = |outcome: &PositionOutcome| matches!(outcome.fitted, Some(Fitted::Part(part, _)) if part == entry.part);
    entry.position.is_none_or(|position| resolver.outcomes(position, basis).iter().any(is_it))
}

fn expired(entry: &Deviation, part: &MadePart) -> bool {
    let until = entry.expires.as_ref().and_then(|expires| expires.end);
    let made = part.made.as_ref().map(crate::quantity::Window::last);
    until.zip(made).is_some_and(|(until, made)| made > until)
}

/// How many parts say that they were made under a permission.
#[must_use]
pub fn used(model: &Model, entry: &Deviation) -> u64 {
    let under = model.made_parts.iter().filter(|made| made.part == entry.part && made.under.contains(&entry.reference));
    under.map(|made| u64::from(made.quantity)).sum()
}

/// Whether the last day of a permission lies before the last day of which the shop's records tell.
#[must_use]
pub fn lapsed(model: &Model, entry: &Deviation) -> bool {
    let until = entry.expires.as_ref().and_then(|expires| expires.end);
    until.zip(last_day(model)).is_some_and(|(until, last)| until < last)
}
