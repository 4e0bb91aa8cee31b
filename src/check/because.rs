//! The reasons of a finding that a resolver has.

use crate::finding::Finding;
use crate::prop::Expr;
use crate::resolve::{Basis, Resolver};
use crate::words::chain;

/// Says why an expression is so on a basis: each step with its line.
pub(super) fn because(mut finding: Finding, resolver: &Resolver<'_>, expr: &Expr, basis: Basis) -> Finding {
    let Some(grounds) = resolver.why(expr, basis).into_iter().next() else { return finding };
    for step in chain(&grounds.reasons, resolver.history(), resolver.target()) {
        finding = finding.because(step.text);
        if !finding.labels.iter().any(|label| label.place == step.place) {
            finding = finding.label(step.place, step.label);
        }
    }
    finding
}
