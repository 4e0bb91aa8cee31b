//! Loops of requirements and of containment.

use crate::codes;
use crate::finding::Finding;
use crate::graph::{Loop, Node};
use crate::model::Model;
use crate::words::listed;

pub(super) fn check(model: &Model, loops: &[Loop]) -> Vec<Finding> {
    loops.iter().filter_map(|found| worded(model, found)).collect()
}

fn worded(model: &Model, found: &Loop) -> Option<Finding> {
    let (_, first) = found.steps.first()?;
    let requires = matches!(found.steps[0].0, Node::Mod(_));
    let names: Vec<&str> = found.steps.iter().filter_map(|(node, _)| name(model, *node)).collect();
    let next = |index: usize| names[(index + 1) % names.len()];
    if requires {
        let message = format!("{} require each other in a loop", listed(names.iter().copied(), "and"));
        let mut finding = Finding::new(codes::REQUIRES_LOOP, message, first.clone(), format!("requires `{}`", next(0)));
        for (index, (_, place)) in found.steps.iter().enumerate().skip(1) {
            finding = finding.label(place.clone(), format!("`{}` requires `{}`", names[index], next(index)));
        }
        for (index, name) in names.iter().enumerate() {
            finding = finding.because(format!("`{name}` requires `{}`", next(index)));
        }
        return Some(finding.help("check each `requires` against its leaflet, and remove the one that is wrong"));
    }
    let message = match names.as_slice() {
        [only] => format!("the assembly `{only}` contains itself"),
        [first, others @ ..] => {
            format!("the assembly `{first}` contains itself, by way of {}", listed(others.iter().copied(), "and"))
        }
        [] => return None,
    };
    let candidates = found.steps.iter().filter(|(node, _)| matches!(node, Node::Position(_)));
    let marks: Vec<_> = candidates.enumerate().map(|(index, (_, place))| (place, index)).collect();
    let (place, _) = marks.last()?;
    let back = format!("`{}` is fitted in `{}` here", names[0], names[names.len() - 1]);
    let mut finding = Finding::new(codes::CONTAINS_ITSELF, message, (*place).clone(), back);
    for (place, index) in &marks[..marks.len() - 1] {
        finding = finding.label((*place).clone(), format!("`{}` is fitted in `{}` here", next(*index), names[*index]));
    }
    Some(finding.help("correct the candidate that names the wrong part"))
}

/// The name of a modification or a part; positions on the way have none of their own.
fn name(model: &Model, node: Node) -> Option<&str> {
    match node {
        Node::Mod(m) => Some(model.mods.name(m)),
        Node::Part(part) => Some(model.parts.name(part)),
        Node::Position(_) | Node::Splice(..) | Node::Plate(_) => None,
    }
}
