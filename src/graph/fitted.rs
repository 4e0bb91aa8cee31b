//! When a part is fitted, through all the assemblies that it may be in.

use crate::ids::PartId;
use crate::prop::Expr;
use indexmap::IndexMap;
use std::collections::HashMap;

/// An assembly that a part may be fitted in, with the condition there; a condition alone where it is not known in which.
pub(crate) type Within = (Option<PartId>, Expr);

/// When a part is fitted: at one of its places, and the assembly of that place is fitted; always, if it is `top`.
///
/// What is found on the way is remembered in `known`. `places` gives the assemblies that a part may be fitted in, with
/// the condition there, or a condition alone where the assembly is not known; places in one assembly share what is said
/// of it. Works through chains of any length.
pub(crate) fn fitted_in(
    part: PartId,
    top: &dyn Fn(PartId) -> bool,
    known: &mut HashMap<PartId, Expr>,
    places: &dyn Fn(PartId) -> Vec<Within>,
) -> Expr {
    let mut open: Vec<(PartId, Vec<Within>, usize)> = Vec::new();
    let mut next = Some(part);
    loop {
        if let Some(part) = next.take().filter(|part| !known.contains_key(part)) {
            // In a loop of containment a part inside itself counts for nothing.
            known.insert(part, Expr::Const(top(part)));
            if !top(part) {
                open.push((part, places(part), 0));
            }
        }
        let Some((part, around, at)) = open.last_mut() else { break };
        if let Some((assembly, _)) = around.get(*at) {
            next = *assembly;
            *at += 1;
            continue;
        }
        let mut by_assembly: IndexMap<Option<PartId>, Vec<Expr>> = IndexMap::new();
        for (assembly, here) in around.drain(..) {
            by_assembly.entry(assembly).or_default().push(here);
        }
        let there = |around: Option<PartId>| around.map_or(Expr::Const(true), |around| known[&around].clone());
        let ways = by_assembly.into_iter().map(|(around, here)| Expr::all([Expr::any(here), there(around)]));
        let expr = Expr::any(ways);
        known.insert(*part, expr);
        open.pop();
    }
    known[&part].clone()
}
