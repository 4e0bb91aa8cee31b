//! The shop floor against a state: parts on the rack, forming tools, drawings, what is left to make, decisions.
//!
//! Every verdict is a fact on one basis, with its reason; words come later. What is open in the state stays undecided
//! here: nothing fits because it probably would.

mod book;
mod donor;
mod drawings;
mod formed;
mod issue;
mod permits;
mod rack;
mod todo;
mod tools;

pub use book::{
    BookStanding, Stood, book, building_to, last_day, not_read_of_book, not_read_of_building_to, not_read_of_next,
};
pub(crate) use donor::ready as donor_ready;
pub use donor::{Crowded, Donor, crowded, donor};
pub use drawings::{DrawingLine, Held, drawings};
pub use formed::{FormedState, formed, not_inspected, not_read_of_formed};
pub use issue::{Agreement, agreement};
pub use permits::{PermitFault, PermitFaultKind, lapsed, permit_faults, used};
pub use rack::{RackLine, RackReason, RackVerdict, marking, rack};
pub use todo::{Batch, First, Job, Todo, Unfinished, todo};
pub use tools::{ToolLine, ToolVerdict, tools};

use crate::history::is_in;
use crate::ids::{ModId, PartId, PositionId};
use crate::prop::Expr;
use crate::resolve::{Basis, Fitted, Resolver, Truth};
use std::collections::BTreeSet;

/// The modifications on which an expression depends and that are open under the firm claims, or differ with the
/// doubtful ones held.
pub fn open_mods(resolver: &mut Resolver<'_>, expr: &Expr) -> BTreeSet<ModId> {
    let mut open = BTreeSet::new();
    for m in Resolver::depends_on(expr) {
        let firm = resolver.truth(&is_in(m, None), Basis::Firm);
        let held = resolver.truth(&is_in(m, None), Basis::Held);
        if !matches!(firm, Truth::Always | Truth::Never) || firm != held {
            open.insert(m);
        }
    }
    open
}

/// What stands where a part would go: the other parts that are possible at its positions, and whether something is
/// fitted at one of them in all histories.
fn instead(resolver: &mut Resolver<'_>, part: PartId, basis: Basis) -> (Vec<PartId>, Truth) {
    let places: BTreeSet<PositionId> =
        resolver.history().graph.places_of(part).into_iter().map(|(position, _)| position).collect();
    let mut filled = Vec::new();
    let mut others = Vec::new();
    for position in places {
        let assembly = resolver.history().model.positions[position].assembly;
        let around = resolver.fitted(assembly);
        for (fitted, when) in resolver.variants(position) {
            let Fitted::Part(other, _) = fitted else { continue };
            let when = Expr::all([around.clone(), when]);
            if resolver.truth(&when, basis) != Truth::Never && other != part && !others.contains(&other) {
                others.push(other);
            }
            filled.push(when);
        }
    }
    let filled = resolver.truth(&Expr::any(filled), basis);
    (others, filled)
}
