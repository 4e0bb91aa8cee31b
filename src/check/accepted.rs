//! Findings that the workshop looked at and accepts: listed apart, as long as what they rest on stays as it was.

use crate::codes;
use crate::finding::Finding;
use crate::model::{Accepted, Model};
use crate::quantity::check_code;
use crate::source::Sources;

/// The findings of a project, those that the workshop accepts apart.
#[derive(Clone, Debug, Default)]
pub struct Checked {
    /// What is to be looked at.
    pub open: Vec<Finding>,
    /// What was looked at, with the record that accepts it.
    pub accepted: Vec<(Finding, Accepted)>,
}

/// The check code of what a finding rests on: its code, what it says, and the text at each place that it points to. Where those
/// places lie has no part in it.
#[must_use]
pub fn facts(finding: &Finding, sources: &Sources) -> String {
    let places = finding.labels.iter().map(|label| {
        let (file, span) = sources.span(&label.place);
        sources.file(file).text.get(span).unwrap_or_default()
    });
    let says = [finding.code.entry().code, &finding.message];
    check_code(says.into_iter().chain(finding.chain.iter().map(String::as_str)).chain(places))
}

/// Sets apart what the workshop accepts, and adds a finding for each record that accepts nothing.
#[must_use]
pub fn apart(findings: Vec<Finding>, model: &Model, sources: &Sources) -> Checked {
    if model.accepted.is_empty() {
        return Checked { open: findings, accepted: Vec::new() };
    }
    let mut checked = Checked::default();
    let mut used = vec![false; model.accepted.len()];
    for finding in findings {
        let code = facts(&finding, sources);
        let by = |accepted: &Accepted| accepted.code == finding.code && accepted.facts == code;
        match model.accepted.iter().position(by) {
            Some(index) => {
                used[index] = true;
                checked.accepted.push((finding, model.accepted[index].clone()));
            }
            None => checked.open.push(finding),
        }
    }
    // What could not be read may be why a finding is not made.
    if model.losses.iter().next().is_none() {
        let unused = model.accepted.iter().zip(used).filter(|(_, used)| !used);
        let changed: Vec<Finding> = unused.map(|(accepted, _)| changed(accepted, &checked.open, sources)).collect();
        checked.open.extend(changed);
    }
    checked
}

fn changed(accepted: &Accepted, open: &[Finding], sources: &Sources) -> Finding {
    let code = accepted.code.entry().code;
    let message = format!("no finding `{code}` has the check code `{}` that {} accepted", accepted.facts, accepted.by);
    let like: Vec<&Finding> = open.iter().filter(|finding| finding.code == accepted.code).collect();
    let finding = Finding::new(codes::ACCEPTED_CHANGED, message, accepted.record.field("facts"), "no such finding now");
    match like[..] {
        [] => finding.help("remove the record: the finding was cleared"),
        [only] => finding.label(only.labels[0].place.clone(), format!("there is this `{code}`")).help(format!(
            "look at it again; write `{}` if it is accepted as it is now, else remove the record",
            facts(only, sources)
        )),
        _ => finding.help(format!(
            "look at the findings `{code}` again: `modstate check --short --code {code}` shows their check codes; or remove \
             the record"
        )),
    }
}
