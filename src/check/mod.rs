//! Checking a whole project: facts of the earlier rooms, worded as findings.

pub mod accepted;
mod airframes;
mod because;
pub(crate) mod book;
mod catalogue;
mod clash;
mod complete;
mod frames;
mod jigs;
mod loops;
mod made;
mod permits;
mod plausible;
mod rack;
mod slips;
mod splices;
mod states;
mod surveys;
mod tools;

use crate::codes;
use crate::finding::Finding;
use crate::graph::Graph;
use crate::ids::AirframeId;
use crate::jig::examine::Examiner;
use crate::model::Model;
use crate::proof::catalogue::Catalogue;
use crate::resolve::Limits;
use crate::source::Lost;
use complete::Complete;
pub(crate) use plausible::ahead;
use rayon::prelude::*;

/// What is checked besides the type.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CheckScope<'a> {
    /// Every airframe and jig.
    Whole,
    /// These airframes, the jigs that are set for them, and the jigs that are set for none.
    Airframes(&'a [AirframeId]),
}

impl CheckScope<'_> {
    fn takes_in(self, airframe: AirframeId) -> bool {
        match self {
            CheckScope::Whole => true,
            CheckScope::Airframes(some) => some.contains(&airframe),
        }
    }
}

/// Everything that is wrong or doubtful in the dossiers taken together, sorted by place.
///
/// What was lost, and what rests on it, is not judged: a position that lost a candidate, and the frame it belongs to,
/// are passed over, because what is wrong with them was said already. `lost` is what could not be read.
#[must_use]
pub fn check(lost: &Lost, model: &Model, graph: &Graph, scope: CheckScope<'_>, limits: Limits) -> Vec<Finding> {
    let complete = Complete::of(model, graph);
    let found = graph.loops(model);
    let loops = loops::check(model, &found);
    // What an assembly that contains itself holds is not known, nor what a frame in it does.
    let endless = loops.iter().any(|finding| finding.code == codes::CONTAINS_ITSELF);
    let catalogue = || {
        let mut proof = Catalogue::new(model, graph);
        let mut findings = catalogue::check(&mut proof, model, graph, &complete, &found);
        if !endless {
            findings.extend(frames::check(&mut proof, model, graph, &complete));
            findings.extend(splices::check(&mut proof, model, graph, &complete));
        }
        findings
    };
    let examiner = Examiner::new(model);
    let jigs = || if endless { Vec::new() } else { jigs::check(model, graph, &complete, scope, limits, &examiner) };
    let rack = || if endless { Vec::new() } else { rack::check(model, graph, &complete, scope, limits) };
    let tools = || if endless { Vec::new() } else { tools::check(model, graph, scope, limits) };
    let airframes = || {
        let asked: Vec<_> = model.airframes.ids().filter(|airframe| scope.takes_in(*airframe)).collect();
        let of_each = asked.par_iter().map(|airframe| airframes::check(model, graph, *airframe, limits));
        of_each.flatten().collect()
    };
    let permits = || permits::check(model, graph, &complete, limits);
    let book = || book::check(model, graph, &complete, scope, limits);
    let made = || made::check(model, &examiner);
    let plausible = || plausible::check(model, scope);
    // The longest first.
    let all: [&(dyn Fn() -> Vec<Finding> + Sync); 9] =
        [&jigs, &rack, &catalogue, &airframes, &book, &tools, &permits, &made, &plausible];
    let mut findings: Vec<Finding> = all.par_iter().flat_map_iter(|part| part()).chain(loops).collect();
    findings.retain(|finding| !lost.cuts(finding));
    findings.sort_by(|a, b| a.labels[0].place.cmp(&b.labels[0].place).then_with(|| a.cmp(b)));
    findings.dedup();
    findings
}
