//! The totals of a bill.

use super::explode::{Explosion, Start, Sum};
use super::{Amount, BillLine, LineChoice, LineItem, MassTotal, MaterialTotal, NoBill, Total, Weights};
use crate::ids::{Id, PartId};
use crate::model::{Loss, Marks, Model, Part};
use crate::prop::Limit;
use crate::quantity::Length;
use crate::quantity::order::natural;
use crate::resolve::PossibleIssue;
use crate::schema::Source;
use std::collections::{BTreeMap, BTreeSet};

/// What the totals are of.
pub(super) struct Below<'t> {
    /// The top of the bill.
    pub start: &'t Start,
    /// The tree.
    pub top: &'t BillLine,
    /// What was not read of what is made up of what.
    pub structure: &'t Marks,
}

/// What the tree says of a part, over all its places.
#[derive(Default)]
struct PartInTree {
    issues: BTreeSet<PossibleIssue>,
    other_issues: BTreeSet<PossibleIssue>,
    limit: Option<Limit>,
    deviations: BTreeSet<usize>,
}

/// The totals by part, and, if asked for, by material and thickness and of mass.
pub(super) fn totals(
    explosion: &mut Explosion<'_, '_>,
    order: &[PartId],
    below: &Below<'_>,
    weights: bool,
) -> Result<(Vec<Total>, Option<Weights>), NoBill> {
    let model = explosion.resolver.history().model;
    let mut usage = explosion.usage(order, below.start, false)?;
    let inside_bought = |(part, _, entry): (PartId, &str, &Part)| {
        entry.is_got_whole() && !entry.positions.is_empty() && !usage[part.index()].is_nothing()
    };
    let mut to_get =
        if model.parts.iter().any(inside_bought) { explosion.usage(order, below.start, true)? } else { usage.clone() };
    let mut top = None;
    if let Start::Part(part, _) = below.start
        && !model.parts[*part].positions.is_empty()
    {
        usage[part.index()] = Sum::default();
        to_get[part.index()] = Sum::default();
        top = Some(*part);
    }
    let mut seen = BTreeMap::new();
    look(below.top, &mut seen);
    let mut totals = Vec::new();
    for part in model.parts.ids().filter(|part| Some(*part) != top) {
        let placed = not_read_of_number(explosion, part, below.structure);
        if !usage[part.index()].is_nothing() || !placed.is_empty() {
            let seen = seen.remove(&part).unwrap_or_default();
            totals.push(total(explosion, part, [&usage, &to_get].map(|sums| &sums[part.index()]), seen, placed));
        }
    }
    totals.sort_by(|a, b| natural(model.parts.name(a.part), model.parts.name(b.part)));
    if !weights {
        return Ok((totals, None));
    }
    let weights = weigh(explosion, model, &totals, below.structure, &to_get)?;
    Ok((totals, Some(weights)))
}

/// What was not read and bears on how many there are of a part below the top.
fn not_read_of_number(explosion: &Explosion<'_, '_>, part: PartId, structure: &Marks) -> Marks {
    if structure.is_empty() {
        return Marks::new();
    }
    let fitting = explosion.resolver.history().not_read_of_fitting(part);
    fitting.intersection(structure).copied().collect()
}

fn total(
    explosion: &mut Explosion<'_, '_>,
    part: PartId,
    [usage, to_get]: [&Sum; 2],
    seen: PartInTree,
    placed: Marks,
) -> Total {
    let fitted = usage.when().unwrap_or_else(|| explosion.resolver.fitted(part));
    let mut not_read = explosion.resolver.history().not_read_of_listing(part, &fitted);
    not_read.extend(placed);
    not_read.extend(explosion.resolver.history().not_read_inside(part));
    if !not_read.is_empty() {
        let (amount, none) = (Amount::Undecided(Limit::NotRead), Err(Limit::NotRead));
        let (issues, other_issues, deviations) = (none.clone(), none, Vec::new());
        return Total { part, amount, to_get: amount, issues, other_issues, deviations, not_read };
    }
    let found = |issues: BTreeSet<PossibleIssue>| seen.limit.map_or_else(|| Ok(issues.into_iter().collect()), Err);
    Total {
        part,
        amount: explosion.amount(usage),
        to_get: explosion.amount(to_get),
        issues: found(seen.issues),
        other_issues: found(seen.other_issues),
        deviations: seen.deviations.into_iter().collect(),
        not_read,
    }
}

fn look(line: &BillLine, seen: &mut BTreeMap<PartId, PartInTree>) {
    for LineChoice { item, issues, other_issues, deviations, below, .. } in &line.choices {
        if let LineItem::Part(part) = item {
            let seen = seen.entry(*part).or_default();
            for (found, issues) in [(&mut seen.issues, issues), (&mut seen.other_issues, other_issues)] {
                match issues {
                    Ok(issues) => found.extend(issues),
                    Err(limit) => seen.limit = Some(*limit),
                }
            }
            seen.deviations.extend(deviations);
        }
        for line in below {
            look(line, seen);
        }
    }
}

/// The totals by material and thickness, and what all parts weigh.
///
/// What may be fitted where something was not read may be of any material; a part whose own record lost something, of
/// any that is named there.
fn weigh(
    explosion: &mut Explosion<'_, '_>,
    model: &Model,
    totals: &[Total],
    structure: &Marks,
    to_get: &[Sum],
) -> Result<Weights, NoBill> {
    let details = |part: &PartId| {
        let entry = &model.parts[*part];
        !to_get[part.index()].is_nothing() && (entry.positions.is_empty() || entry.is_got_whole())
    };
    let all: Vec<PartId> = totals.iter().map(|total| total.part).filter(details).collect();
    let anything = model.losses.placing_others(structure);
    let counted: BTreeMap<PartId, &Total> = totals.iter().map(|total| (total.part, total)).collect();
    let marks = |parts: &[PartId]| -> Marks {
        let of_parts = parts.iter().flat_map(|part| &counted[part].not_read);
        of_parts.chain(&anything).copied().collect()
    };
    let mut materials = materials(explosion, model, &all, to_get)?;
    let mut mass = mass(explosion, model, &all, to_get)?;
    for total in &mut materials {
        total.not_read = marks(&total.parts);
        total.not_read.extend(not_read_of_material(model, totals, total.material.as_deref()));
        if !total.not_read.is_empty() {
            total.pieces = Amount::Undecided(Limit::NotRead);
            total.mass.micrograms = total.pieces;
        }
    }
    let mut not_read = marks(&all);
    if !model.losses.is_empty() {
        not_read.extend(totals.iter().flat_map(|total| model.losses.of_part(total.part)));
    }
    if !not_read.is_empty() {
        mass.micrograms = Amount::Undecided(Limit::NotRead);
    }
    Ok(Weights { materials, mass, not_read })
}

/// What was lost of the records of listed parts that may be of a material; `None`: of one that is not recorded.
fn not_read_of_material(model: &Model, totals: &[Total], material: Option<&str>) -> Marks {
    let any = |loss: &Loss| {
        let known = |word: &str| model.parts.iter().any(|(_, _, part)| part.material.as_deref() == Some(word));
        !loss.mentions.whole().any(known)
    };
    let of = |loss: &Loss| match material {
        Some(material) => loss.may_give("material") && (loss.mentions.name(material) || any(loss)),
        None => true,
    };
    let listed = |loss: &Loss| totals.iter().any(|total| loss.touches.parts.has(total.part));
    model.losses.marks(|loss| listed(loss) && of(loss))
}

/// Material and thickness; by name, then from thin to thick, what is not recorded last.
fn stuff(part: &Part) -> (Option<&str>, Option<i64>) {
    (part.material.as_deref(), part.thickness.as_ref().map(|thickness| thickness.picometres))
}

fn materials(
    explosion: &mut Explosion<'_, '_>,
    model: &Model,
    details: &[PartId],
    usage: &[Sum],
) -> Result<Vec<MaterialTotal>, NoBill> {
    let made = |part: &&PartId| model.parts[**part].source == Some(Source::Made);
    let mut groups: BTreeMap<_, Vec<PartId>> = BTreeMap::new();
    for part in details.iter().filter(made) {
        groups.entry(stuff(&model.parts[*part])).or_default().push(*part);
    }
    let mut totals = Vec::new();
    for ((material, _), parts) in groups {
        let mut pieces = Sum::default();
        for part in &parts {
            pieces.add_times(1, &usage[part.index()]).ok_or(NoBill::TooMany(*part))?;
        }
        let thickness: Option<&Length> = model.parts[parts[0]].thickness.as_ref();
        totals.push(MaterialTotal {
            material: material.map(str::to_owned),
            thickness: thickness.cloned(),
            pieces: explosion.amount(&pieces),
            mass: mass(explosion, model, &parts, usage)?,
            parts,
            not_read: Marks::new(),
        });
    }
    totals.sort_by(|a, b| match (&a.material, &b.material) {
        (Some(a), Some(b)) => natural(a, b),
        (a, b) => b.is_some().cmp(&a.is_some()),
    });
    Ok(totals)
}

fn mass(
    explosion: &mut Explosion<'_, '_>,
    model: &Model,
    parts: &[PartId],
    usage: &[Sum],
) -> Result<MassTotal, NoBill> {
    let mut sum = Sum::default();
    let mut unknown = 0;
    for part in parts {
        match &model.parts[*part].mass {
            Some(mass) => {
                let micrograms = u64::try_from(mass.micrograms).expect("a mass is never less than nothing");
                sum.add_times(micrograms, &usage[part.index()]).ok_or(NoBill::TooMany(*part))?;
            }
            None => unknown += 1,
        }
    }
    let micrograms: Amount = explosion.amount(&sum);
    Ok(MassTotal { micrograms, unknown })
}
