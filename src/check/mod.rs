//! Checking a whole project: facts of the earlier rooms, worded as findings.

mod airframes;
mod catalogue;
mod clash;
mod complete;
mod frames;
mod jigs;
mod loops;
mod states;
pub mod wording;

use crate::codes;
use crate::finding::{Finding, RecordRef};
use crate::graph::Graph;
use crate::model::Model;
use crate::resolve::Limits;
use crate::resolve::catalogue::Catalogue;
use crate::source::raw::Record;
use complete::Complete;
use rayon::prelude::*;

/// Everything that is wrong or doubtful in the dossiers taken together, sorted by place.
///
/// What [`lower`](crate::model::lower()) had to leave out is not judged: a position that lost a candidate, and the frame
/// it belongs to, are passed over, because what is wrong with them was said already. `records` are those that the
/// model was made from.
#[must_use]
pub fn check(records: &[(RecordRef, Record)], model: &Model, graph: &Graph, limits: Limits) -> Vec<Finding> {
    let complete = Complete::of(records, model, graph);
    let mut findings = loops::check(model, graph);
    // What an assembly that contains itself holds is not known, nor what a frame in it does.
    let endless = findings.iter().any(|finding| finding.code == codes::CONTAINS_ITSELF);
    let mut proof = Catalogue::new(model, graph);
    findings.extend(catalogue::check(&mut proof, model, graph, &complete));
    if !endless {
        findings.extend(frames::check(&mut proof, model, graph, &complete));
        findings.extend(jigs::check(model, graph, &complete, limits));
    }
    let airframes: Vec<_> = model.airframes.ids().collect();
    let of_airframes: Vec<Vec<Finding>> =
        airframes.par_iter().map(|airframe| airframes::check(model, graph, *airframe, (&complete, limits))).collect();
    findings.extend(of_airframes.into_iter().flatten());
    findings.sort_by(|a, b| a.labels[0].place.cmp(&b.labels[0].place).then_with(|| a.cmp(b)));
    findings.dedup();
    findings
}
