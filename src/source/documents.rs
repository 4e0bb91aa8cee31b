//! Scans and photographs that records name.

use super::beside::{OtherFiles, below};
use crate::codes;
use crate::finding::{Finding, Place, RecordRef};
use crate::schema::Record;

/// Looks whether every file that evidence and claims name is there.
pub(super) fn look_for(records: &[(RecordRef, Record)], beside: &dyn OtherFiles, findings: &mut Vec<Finding>) {
    for (at, record) in records {
        for (name, place) in named(*at, record) {
            let (why, help) = match below(name) {
                None => (
                    "does not lie below the project folder",
                    "move the file into the project folder, and name its path",
                ),
                Some(path) if !beside.is_there(&path) => (
                    "is not in the project folder",
                    "correct the path, which starts at the project folder, or put the file there",
                ),
                Some(_) => continue,
            };
            let message = format!("the file `{name}` {why}");
            findings.push(Finding::new(codes::DOCUMENT_MISSING, message, place, "no such file").help(help));
        }
    }
}

/// The files that a record names, and where.
fn named(at: RecordRef, record: &Record) -> Vec<(&str, Place)> {
    let place = |field, index| at.field(field).item(index).field("file");
    if let Record::Evidence(item) = record {
        let shown = item.shown_in.iter().enumerate();
        shown.map(|(index, spot)| (spot.file.as_str(), place("shown_in", index))).collect()
    } else if let Record::Claim(claim) = record {
        let spots = claim.read_on.iter().enumerate();
        spots.filter_map(|(index, spot)| Some((spot.file.as_deref()?, place("read_on", index)))).collect()
    } else {
        Vec::new()
    }
}
