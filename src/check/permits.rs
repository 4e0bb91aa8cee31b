//! Permissions, heat-treatment batches, donors and bends: what can be said of the shop without a state.

use super::because::because;
use super::complete::{self, Complete};
use crate::codes;
use crate::finding::Finding;
use crate::graph::Graph;
use crate::metal::published_radius;
use crate::model::{Deviation, MadePart, Model, Part};
use crate::prop::Expr;
use crate::resolve::{Basis, Limits};
use crate::shop::{self, Crowded, Donor, PermitFault, PermitFaultKind};
use crate::words::{listed, permission_word};
use std::collections::BTreeMap;

pub(super) fn check(model: &Model, graph: &Graph, complete: &Complete<'_>, limits: Limits) -> Vec<Finding> {
    let faults = shop::permit_faults(model).into_iter().filter(|fault| {
        // One of the same reference may be among what was lost, and may cover it.
        !complete.lost(&["Concession", "DeviationPermit"], &model.deviations[fault.deviation].reference)
    });
    let mut findings: Vec<Finding> = faults.map(|fault| permit(model, fault)).collect();
    findings.extend(model.deviations.iter().filter_map(|entry| scope(model, complete, entry)));
    findings.extend(model.deviations.iter().filter(|entry| ran_out_unused(model, entry)).filter_map(|entry| {
        // A part made under it may be among what was lost.
        if complete.lost(&["MadePart"], &entry.reference) {
            return None;
        }
        let until = entry.expires.as_ref()?;
        let message = format!(
            "the {} `{}` expired, `{}`, before as many were made as it allows",
            permission_word(entry.permit),
            entry.reference,
            until.text
        );
        let finding = Finding::new(codes::DEVIATION_LAPSED, message, entry.record.field("expires"), "has passed");
        Some(finding.help("no further parts may be made under it: ask for a new permit"))
    }));
    findings.extend(batches(model));
    findings.extend(model.made_parts.iter().filter_map(|made| donor(model, graph, complete, made, limits)));
    if complete.structure() {
        findings.extend(shop::crowded(model, graph).iter().filter_map(|crowd| too_many_reclaimed(model, crowd)));
    }
    findings.extend(bends(model));
    findings
}

fn permit(model: &Model, fault: PermitFault) -> Finding {
    let (made, entry) = (&model.made_parts[fault.made], &model.deviations[fault.deviation]);
    let (name, reference) = (model.parts.name(made.part), &entry.reference);
    let place = made.record.field("under").item(fault.which);
    let finding = |code, message: String, label: &str| Finding::new(code, message, place.clone(), label);
    match fault.kind {
        PermitFaultKind::Expired => {
            let made_on = made.made.as_ref().map_or("", |made| made.text.as_str());
            let until = entry.expires.as_ref().map_or("", |until| until.text.as_str());
            let message = format!("`{name}` was made `{made_on}` under `{reference}`, which expired `{until}`");
            finding(codes::DEVIATION_EXPIRED, message, "made under this")
                .label(made.record.field("made"), "made")
                .label(entry.record.field("expires"), "expired")
                .help(format!("ask {} for a new one; the inspector decides on the part", entry.allowed_by))
        }
        PermitFaultKind::OtherPart => {
            let message =
                format!("`{name}` was made under `{reference}`, which is for `{}`", model.parts.name(entry.part));
            finding(codes::DEVIATION_OUT_OF_SCOPE, message, "made under this")
                .label(entry.record.field("part"), "for this part")
                .help(format!("correct the reference, or ask {}", entry.allowed_by))
        }
        PermitFaultKind::OtherAirframe => {
            let meant = made.made_for.as_ref().map_or("", |of| of.serial(model));
            let message = format!("`{name}` was made for `{meant}` under `{reference}`, which is for other airframes");
            finding(codes::DEVIATION_OUT_OF_SCOPE, message, "made under this")
                .label(made.record.field("made_for"), "meant for this airframe")
                .label(entry.record.field("scope"), "its scope")
                .help(format!("ask {} whether it may reach to `{meant}`", entry.allowed_by))
        }
        PermitFaultKind::TooMany => {
            let allowed = entry.quantity.unwrap_or_default();
            let message =
                format!("with this one, more of `{name}` were made under `{reference}` than the {allowed} allowed");
            finding(codes::DEVIATION_EXCEEDED, message, "made under this")
                .label(entry.record.field("quantity"), "allowed")
                .help(format!("correct the records, or ask {} for more", entry.allowed_by))
        }
    }
}

/// Whether a permission ran out before as many were made under it as it allows.
fn ran_out_unused(model: &Model, entry: &Deviation) -> bool {
    let unused = entry.quantity.is_some_and(|allowed| shop::used(model, entry) < u64::from(allowed));
    unused && shop::lapsed(model, entry)
}

/// A permission for a position at which its part is no candidate.
fn scope(model: &Model, complete: &Complete<'_>, entry: &Deviation) -> Option<Finding> {
    let position = entry.position.filter(|position| complete.candidates(*position))?;
    if !is_misplaced(model, entry) {
        return None;
    }
    let here = &model.positions[position];
    let (part, name) = (model.parts.name(entry.part), model.positions.name(position));
    let message = format!(
        "the {} `{}` is for `{part}` at `{name}`, where it is no candidate",
        permission_word(entry.permit),
        entry.reference
    );
    let candidates = listed(here.candidates.iter().map(|candidate| model.parts.name(candidate.part)), "and");
    Some(
        Finding::new(codes::DEVIATION_OUT_OF_SCOPE, message, entry.record.field("position"), "not fitted there")
            .label(here.place.field("candidates"), format!("the candidates are {candidates}"))
            .help("correct the part or the position against the paper itself"),
    )
}

/// Whether a permission is for a position at which the part is no candidate.
pub(super) fn is_misplaced(model: &Model, entry: &Deviation) -> bool {
    let candidates = |position| model.positions[position].candidates.iter();
    entry.position.is_some_and(|position| !candidates(position).any(|candidate| candidate.part == entry.part))
}

/// What the parts of a batch may differ in, where a table of the shop says so.
const BAND: &str = "thickness band";

/// Batches whose parts differ in material, temper or thickness band.
fn batches(model: &Model) -> Vec<Finding> {
    let mut first: BTreeMap<&str, &MadePart> = BTreeMap::new();
    let mut findings = Vec::new();
    for made in &model.made_parts {
        let Some(batch) = made.batch.as_deref() else { continue };
        let Some(other) = first.get(batch) else {
            first.insert(batch, made);
            continue;
        };
        let (a, b) = (&model.parts[other.part], &model.parts[made.part]);
        // Where the shop's own bands are not known, nothing is said of them.
        let heat = model.config.heat.known();
        let band = |part: &Part| heat.map(|heat| part.thickness.as_ref().map(|thickness| heat.band(thickness)));
        let bands = [a, b].map(band);
        let differs = if a.material != b.material {
            "material"
        } else if a.temper != b.temper {
            "temper"
        } else if bands[0] != bands[1] {
            BAND
        } else {
            continue;
        };
        let message = format!(
            "the heat-treatment batch `{batch}` holds `{}` and `{}`, which differ in {differs}",
            model.parts.name(other.part),
            model.parts.name(made.part)
        );
        let finding = Finding::new(codes::BATCH_UNLIKE, message, made.record.field("batch"), "this part")
            .label(other.record.field("batch"), "and this one");
        let bands = heat.filter(|_| differs == BAND).map(|heat| format!("thickness bands: {}", heat.source));
        findings.push(
            bands
                .into_iter()
                .fold(finding, Finding::because)
                .help("correct the batch of one of them, or find out how each was treated before it is fitted"),
        );
    }
    findings
}

/// A reclaimed part that its donor did not have, on both bases.
fn donor(model: &Model, graph: &Graph, complete: &Complete<'_>, made: &MadePart, limits: Limits) -> Option<Finding> {
    let from = made.reclaimed.as_ref()?;
    let airframe = from.airframe?;
    let both = [Basis::Firm, Basis::Held].map(|basis| shop::donor(model, graph, made, from, basis, limits));
    if both != [Donor::HadNot, Donor::HadNot] {
        return None;
    }
    let (resolver, when) = shop::donor_ready(model, graph, made.part, airframe, from, limits)?;
    if !(complete.structure() && complete::part(&resolver, made.part)) {
        return None;
    }
    let (part, serial) = (model.parts.name(made.part), &from.serial);
    let there = from.position.map_or(String::new(), |position| format!(" at `{}`", model.positions.name(position)));
    let message = format!("`{part}` is said to come from `{serial}`, which by its own records did not have it{there}");
    let finding = Finding::new(codes::DONOR_CONTRADICTS, message, made.record.field("reclaimed_from"), "from here");
    let finding = if when == Expr::Const(false) { finding } else { because(finding, &resolver, &!when, Basis::Firm) };
    Some(finding.help(format!("look at the part, and at the records of `{serial}`, before it is fitted")))
}

/// More pieces reclaimed from one airframe than it can have had.
fn too_many_reclaimed(model: &Model, crowd: &Crowded) -> Option<Finding> {
    let (last, others) = crowd.made.split_last()?;
    let made = &model.made_parts[*last];
    let from = made.reclaimed.as_ref()?;
    let (part, serial) = (model.parts.name(made.part), &from.serial);
    let at_one = crowd
        .made
        .iter()
        .all(|index| model.made_parts[*index].reclaimed.as_ref().is_some_and(|other| other.position == from.position));
    let there = from.position.filter(|_| at_one).map(|position| format!(" at `{}`", model.positions.name(position)));
    let message = format!(
        "{} pieces of `{part}` are said to come from `{serial}`{}, which has room for {}",
        crowd.pieces,
        there.unwrap_or_default(),
        crowd.room
    );
    let finding = Finding::new(codes::DONOR_CONTRADICTS, message, made.record.field("reclaimed_from"), "from here");
    let finding = others.iter().fold(finding, |finding, index| {
        finding.label(model.made_parts[*index].record.field("reclaimed_from"), "and from here")
    });
    Some(
        finding.help("correct the serial, the position or the quantity of one of them: a part has come from elsewhere"),
    )
}

/// Bends that are tighter than the published range.
fn bends(model: &Model) -> Vec<Finding> {
    let mut findings = Vec::new();
    let Some(radii) = model.config.radii.known() else { return findings };
    for (_, number, part) in model.parts.iter() {
        let (Some(flat), Some(thickness)) = (&part.flat, &part.thickness) else { continue };
        let material = flat.bent_in.as_deref();
        let Some((material, range)) =
            material.and_then(|material| Some((material, published_radius(radii, material, thickness)?)))
        else {
            continue;
        };
        for bend in &flat.bends {
            let least = range.low * thickness.inches();
            if bend.radius.inches() < least {
                let message = format!(
                    "a bend of `{number}` has an inside radius of {}, under the {least:.3} in ({} thicknesses) published \
                     for {material}",
                    bend.radius.text, range.low
                );
                let mut finding =
                    Finding::new(codes::RADIUS_BELOW_PUBLISHED, message, bend.place.field("radius"), "tight")
                        .label(flat.place.field("bent_in"), format!("{}, for 90 degrees", radii.source));
                if range.detached {
                    finding =
                        finding.because("the row was assigned by its order: its label was detached in the copy read");
                }
                findings.push(
                    finding.help("check the radius against the drawing, and bend in a softer temper if it may be"),
                );
            }
        }
    }
    findings
}
