//! The policy for what nobody wrote down.

use super::{Airframe, Claim, Model, Statement};
use crate::finding::RecordRef;
use crate::ids::ModId;
use crate::quantity::{Serial, Window};
use crate::schema::Standing;
use std::collections::BTreeSet;

/// An assumption that retrospective modifications of which the claims say nothing were not embodied.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unrecorded {
    /// What it is called.
    pub name: String,
    /// Its record.
    pub record: RecordRef,
    /// As of when it is assumed.
    pub when: Window,
    /// Why it is made.
    pub reason: String,
}

impl Unrecorded {
    /// The modifications that the airframe could take after delivery, did not have from the line, and that are not among
    /// those recorded.
    pub fn open<'m>(
        model: &'m Model,
        serial: &'m Serial,
        recorded: &'m BTreeSet<ModId>,
    ) -> impl Iterator<Item = ModId> + use<'m> {
        model.mods.ids().filter(|m| !recorded.contains(m) && open_to(model, *m, serial))
    }

    /// The doubtful claim that it stands for about a modification, with its name.
    #[must_use]
    pub fn claim(&self, model: &Model, m: ModId) -> (String, Claim) {
        let (record, when, assumed) = (self.record, self.when.clone(), Some(self.reason.clone()));
        let (says, rests_on, grade) = (Statement::NotEmbodied(m), Vec::new(), None);
        let claim =
            Claim { record, says, when, rests_on, standing: Standing::Doubtful, read_on: Vec::new(), grade, assumed };
        (format!("{} {}", self.name, model.mods.name(m)), claim)
    }
}

impl Airframe {
    /// Whether a claim is one of those that an assumption about what is not recorded stands for.
    #[must_use]
    pub fn is_unrecorded(&self, claim: &Claim) -> bool {
        claim.assumed.is_some() && self.unrecorded.iter().any(|assumption| assumption.record == claim.record)
    }
}

impl Statement {
    /// The modification that it speaks of by name; what was seen speaks of none.
    #[must_use]
    pub fn modification(&self) -> Option<ModId> {
        match self {
            Statement::Embodied(m, _) | Statement::NotEmbodied(m) | Statement::Removed(m) => Some(*m),
            Statement::SeenAt(..) | Statement::SeenSplice(..) | Statement::SeenPattern(_) => None,
        }
    }
}

/// Whether the serial could take the modification after delivery, and did not have it from the line.
fn open_to(model: &Model, m: ModId, serial: &Serial) -> bool {
    let modification = &model.mods[m];
    let built_in = modification.production.as_ref().is_some_and(|form| form.covers.contains(serial));
    let eligible = modification
        .retrospective
        .as_ref()
        .is_some_and(|form| form.eligible.as_ref().is_none_or(|eligible| eligible.contains(serial)));
    eligible && !built_in
}
