//! Supposing: claims added or withdrawn for one run, to see what would follow.

use crate::ids::{AirframeId, Table};
use crate::model::{Airframe, Claim, Model, Statement};
use crate::quantity::Window;
use crate::schema::Standing;

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

/// Changes an airframe's claims as supposed. Every answer given afterwards rests on the suppositions and has to say so.
///
/// # Errors
/// The name of a claim that is to be left out and does not exist; the model is unchanged.
pub fn suppose(model: &mut Model, airframe: AirframeId, suppositions: &[Supposition]) -> Result<(), String> {
    let dossier = model.airframes.get_mut(airframe);
    let mut claims: Table<_, Claim> = Table::default();
    let left_out: Vec<&str> = suppositions.iter().filter_map(Supposition::withdrawn).collect();
    if let Some(unknown) = left_out.iter().find(|name| !dossier.claims.names().any(|claim| is_named(claim, name))) {
        return Err((*unknown).to_owned());
    }
    for (_, name, claim) in dossier.claims.iter() {
        if !left_out.iter().any(|left_out| is_named(name, left_out)) {
            claims.insert(name, claim.clone()).expect("names are unique in the table that they come from");
        }
    }
    let added = suppositions.iter().filter_map(|supposition| match supposition {
        Supposition::That(says, when) => Some((says, when)),
        Supposition::Without(_) => None,
    });
    for (n, (says, when)) in added.enumerate() {
        let claim = supposed(dossier, says.clone(), when.clone());
        claims.insert(&supposed_name(n + 1), claim).expect("no claim of a dossier is called a supposition");
    }
    dossier.claims = claims;
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
        standing: Standing::Firm,
        grade: None,
        assumed: Some("supposed for this run".to_owned()),
    }
}
