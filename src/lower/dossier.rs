//! The records of one airframe, sorted by kind.

use super::names::Listed;
use super::say::Findings;
use crate::finding::{Finding, Place, RecordRef};
use crate::model::Airframe;
use crate::quantity::Window;
use crate::{codes, schema};

/// The records of one airframe.
pub(super) struct Dossier<'a> {
    pub(super) evidence: Listed<(RecordRef, &'a schema::Evidence)>,
    pub(super) claims: Vec<(RecordRef, &'a schema::Claim)>,
    pub(super) assumptions: Vec<(RecordRef, &'a schema::Assumption)>,
    pub(super) states: Vec<(RecordRef, &'a schema::BuildState)>,
}

/// Says so if all of a date lies before the airframe was built.
pub(super) fn before_built(airframe: &Airframe, when: &Window, place: &Place, out: &mut Findings) -> bool {
    let (Some(first), Some(last)) = (airframe.built.start, when.end) else { return false };
    if last >= first {
        return false;
    }
    let message = format!("`{}` lies before `{}` was built `{}`", when.text, airframe.serial.text, airframe.built.text);
    out.add(
        Finding::new(codes::BEFORE_BUILT, message, place.clone(), "before it was built")
            .label(airframe.record.field("built"), "built")
            .help("check the date, and whether the record is of this airframe"),
    );
    true
}
