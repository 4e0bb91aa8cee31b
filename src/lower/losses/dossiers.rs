//! Whose dossier a file is.

use crate::finding::RecordRef;
use crate::schema::Record;
use std::collections::{BTreeSet, HashMap};

/// What the files say of whose dossier they are.
pub(super) struct Dossiers<'a> {
    pub(super) files: HashMap<u32, DossierFile<'a>>,
    /// How many records name each serial as their airframe, those of the airframes themselves aside.
    pub(super) named: HashMap<&'a str, usize>,
}

/// One file.
#[derive(Default)]
pub(super) struct DossierFile<'a> {
    /// The serials that its records name as their airframe.
    pub(super) serials: BTreeSet<&'a str>,
    /// Whether it holds a record of the type or of the shop.
    is_mixed: bool,
}

impl<'a> Dossiers<'a> {
    pub(super) fn of(records: &'a [(RecordRef, Record)]) -> Dossiers<'a> {
        let mut dossiers = Dossiers { files: HashMap::new(), named: HashMap::new() };
        for (at, record) in records {
            let file = dossiers.files.entry(at.file.0).or_default();
            file.is_mixed |= !OF_AIRFRAME.contains(&record.kind());
            let Some(serial) = record.airframe() else { continue };
            file.serials.insert(serial);
            if !matches!(record, Record::Airframe(_) | Record::Decision(_)) {
                *dossiers.named.entry(serial).or_default() += 1;
            }
        }
        dossiers
    }

    /// Whether a file is the dossier of one airframe and of nothing else.
    pub(super) fn is_of_one(&self, file: u32) -> bool {
        self.files.get(&file).is_some_and(|file| !file.is_mixed && file.serials.len() == 1)
    }
}

/// The kinds of record that belong to the dossier of one airframe.
pub(super) const OF_AIRFRAME: [&str; 6] = ["Airframe", "Evidence", "Claim", "Assumption", "BuildState", "Decision"];
