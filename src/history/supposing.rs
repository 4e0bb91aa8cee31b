//! Supposing: claims added or withdrawn for one run, to see what would follow.

use crate::ids::{AirframeId, ModId, Table};
use crate::model::{Airframe, Claim, Model, Statement, Unrecorded};
use crate::quantity::Window;
use crate::schema::Standing;
use std::collections::BTreeSet;

/// Something supposed of an airframe.
#[derive(Clone, Debug, PartialEq)]
pub enum Supposition {
    /// This, as if a firm claim said so.
    That(Statement, Window),
    /// Without this claim (or everything that this assumption assumes).
    Without(String),
}

/// The name under which the n-th supposition (counted from 1) stands among the claims.
#[must_use]
pub fn supposed_name(n: usize) -> String {
    format!("supposition {n}")
}

/// Whether a claim is one that was supposed for this run.
#[must_use]
pub fn is_supposed(claim: &Claim) -> bool {
    claim.standing == Standing::Firm && claim.assumed.is_some()
}

/// Changes an airframe's claims as supposed: as if they had been written, or not written, in its dossier. What is assumed
/// of modifications that no claim speaks of changes with them. Every answer given afterwards rests on the suppositions
/// and has to say so.
///
/// # Errors
/// The name of a claim that is to be left out and does not exist; the model is unchanged.
pub fn suppose(model: &mut Model, airframe: AirframeId, suppositions: &[Supposition]) -> Result<(), String> {
    let dossier = &model.airframes[airframe];
    let left_out: Vec<&str> = suppositions.iter().filter_map(Supposition::withdrawn).collect();
    if let Some(unknown) = left_out.iter().find(|name| !dossier.claims.names().any(|claim| is_named(claim, name))) {
        return Err((*unknown).to_owned());
    }
    let is_left_out = |name: &str| left_out.iter().any(|left_out| is_named(name, left_out));
    let added = suppositions.iter().filter_map(|supposition| match supposition {
        Supposition::That(says, when) => Some((says, when)),
        Supposition::Without(_) => None,
    });
    let supposed: Vec<Claim> = added.map(|(says, when)| supposed(dossier, says.clone(), when.clone())).collect();
    let written = dossier.claims.iter().filter(|(_, _, claim)| !dossier.is_unrecorded(claim));
    let (withdrawn, kept): (Vec<_>, Vec<_>) = written.partition(|(_, name, _)| is_left_out(name));
    let spoken_of = |claim: &Claim| claim.says.modification().filter(|_| claim.assumed.is_none());
    let mut recorded: BTreeSet<ModId> = kept.iter().filter_map(|(_, _, claim)| spoken_of(claim)).collect();
    recorded.extend(supposed.iter().filter_map(|claim| claim.says.modification()));
    // Of what was not assumed before, only what was withdrawn is not recorded now: a claim may have been left out.
    let freed: BTreeSet<ModId> = withdrawn.iter().filter_map(|(_, _, claim)| spoken_of(claim)).collect();
    let mut claims: Table<_, Claim> = Table::default();
    for (_, name, claim) in kept {
        claims.insert(name, claim.clone()).expect("names are unique in the table that they come from");
    }
    for assumption in &dossier.unrecorded {
        for m in Unrecorded::open(model, &dossier.serial, &recorded) {
            let (name, claim) = assumption.claim(model, m);
            let is_assumed =
                dossier.claims.id(&name).is_some_and(|before| dossier.is_unrecorded(&dossier.claims[before]));
            if (is_assumed || freed.contains(&m)) && !is_left_out(&name) && claims.id(&name).is_none() {
                claims.insert(&name, claim).expect("no claim has the name");
            }
        }
    }
    for (n, claim) in supposed.into_iter().enumerate() {
        claims.insert(&supposed_name(n + 1), claim).expect("no claim of a dossier is called a supposition");
    }
    model.airframes.get_mut(airframe).claims = claims;
    Ok(())
}

impl Supposition {
    fn withdrawn(&self) -> Option<&str> {
        match self {
            Supposition::Without(name) => Some(name),
            Supposition::That(..) => None,
        }
    }
}

/// A claim is named by its own name; what an assumption assumes also by the assumption's.
fn is_named(claim: &str, name: &str) -> bool {
    claim == name || claim.split_once(' ').is_some_and(|(assumption, _)| assumption == name)
}

fn supposed(airframe: &Airframe, says: Statement, when: Window) -> Claim {
    Claim {
        record: airframe.record,
        says,
        when,
        rests_on: Vec::new(),
        read_on: Vec::new(),
        standing: Standing::Firm,
        grade: None,
        assumed: Some("supposed for this run".to_owned()),
    }
}
