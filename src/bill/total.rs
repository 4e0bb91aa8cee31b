//! The totals of a bill.

use super::explode::{Explosion, Start, Sum};
use super::{Amount, Choice, Item, Line, MassTotal, MaterialTotal, Total, Trouble, Weights};
use crate::ids::{Id, PartId};
use crate::model::order::natural;
use crate::model::{Length, Model, Part, Source};
use crate::prop::Limit;
use crate::resolve::PossibleIssue;
use std::collections::{BTreeMap, BTreeSet};

/// What the tree says of a part, over all its places.
#[derive(Default)]
struct Seen {
    issues: BTreeSet<PossibleIssue>,
    limit: Option<Limit>,
    deviations: BTreeSet<usize>,
}

/// The totals by part, and, if asked for, by material and thickness and of mass.
pub(super) fn totals(
    explosion: &mut Explosion<'_, '_>,
    order: &[PartId],
    (start, top): (&Start, &Line),
    weights: bool,
) -> Result<(Vec<Total>, Option<Weights>), Trouble> {
    let model = explosion.resolver.history().model;
    let mut usage = explosion.usage(order, start, false)?;
    let inside_bought = |(part, _, entry): (PartId, &str, &Part)| {
        entry.source != Source::Made && !entry.positions.is_empty() && !usage[part.index()].is_nothing()
    };
    let mut to_get =
        if model.parts.iter().any(inside_bought) { explosion.usage(order, start, true)? } else { usage.clone() };
    if let Start::Part(part, _) = start
        && !model.parts[*part].positions.is_empty()
    {
        usage[part.index()] = Sum::default();
        to_get[part.index()] = Sum::default();
    }
    let mut seen = BTreeMap::new();
    look(top, &mut seen);
    let mut totals = Vec::new();
    for part in model.parts.ids().filter(|part| !usage[part.index()].is_nothing()) {
        let Seen { issues, limit, deviations } = seen.remove(&part).unwrap_or_default();
        totals.push(Total {
            part,
            amount: explosion.amount(&usage[part.index()]),
            to_get: explosion.amount(&to_get[part.index()]),
            issues: limit.map_or_else(|| Ok(issues.into_iter().collect()), Err),
            deviations: deviations.into_iter().collect(),
        });
    }
    totals.sort_by(|a, b| natural(model.parts.name(a.part), model.parts.name(b.part)));
    if !weights {
        return Ok((totals, None));
    }
    let details = |part: &PartId| {
        let entry = &model.parts[*part];
        !to_get[part.index()].is_nothing() && (entry.positions.is_empty() || entry.source != Source::Made)
    };
    let all: Vec<PartId> = totals.iter().map(|total| total.part).filter(details).collect();
    let materials = materials(explosion, model, &all, &to_get)?;
    let mass = mass(explosion, model, &all, &to_get)?;
    Ok((totals, Some(Weights { materials, mass })))
}

fn look(line: &Line, seen: &mut BTreeMap<PartId, Seen>) {
    for Choice { item, issues, deviations, below, .. } in &line.choices {
        if let Item::Part(part) = item {
            let seen = seen.entry(*part).or_default();
            match issues {
                Ok(issues) => seen.issues.extend(issues),
                Err(limit) => seen.limit = Some(*limit),
            }
            seen.deviations.extend(deviations);
        }
        for line in below {
            look(line, seen);
        }
    }
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
) -> Result<Vec<MaterialTotal>, Trouble> {
    let made = |part: &&PartId| model.parts[**part].source == Source::Made;
    let mut groups: BTreeMap<_, Vec<PartId>> = BTreeMap::new();
    for part in details.iter().filter(made) {
        groups.entry(stuff(&model.parts[*part])).or_default().push(*part);
    }
    let mut totals = Vec::new();
    for ((material, _), parts) in groups {
        let mut pieces = Sum::default();
        for part in &parts {
            pieces.add_times(1, &usage[part.index()]).ok_or(Trouble::TooMany(*part))?;
        }
        let thickness: Option<&Length> = model.parts[parts[0]].thickness.as_ref();
        totals.push(MaterialTotal {
            material: material.map(str::to_owned),
            thickness: thickness.cloned(),
            pieces: explosion.amount(&pieces),
            mass: mass(explosion, model, &parts, usage)?,
            parts,
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
) -> Result<MassTotal, Trouble> {
    let mut sum = Sum::default();
    let mut unknown = 0;
    for part in parts {
        match &model.parts[*part].mass {
            Some(mass) => {
                let micrograms = u64::try_from(mass.micrograms).expect("a mass is never less than nothing");
                sum.add_times(micrograms, &usage[part.index()]).ok_or(Trouble::TooMany(*part))?;
            }
            None => unknown += 1,
        }
    }
    let micrograms: Amount = explosion.amount(&sum);
    Ok(MassTotal { micrograms, unknown })
}
