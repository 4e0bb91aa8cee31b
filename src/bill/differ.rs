//! Where two bills differ.

use super::{Bill, Choice, Line, Request, Trouble, bill};
use crate::ids::PositionId;
use crate::resolve::{Basis, Resolver};

/// A line in which two bills differ.
#[derive(Clone, Debug, PartialEq)]
pub struct Differing<'b> {
    /// The positions from the top of the bill down to the line.
    pub path: Vec<PositionId>,
    /// The line of the first bill, if it has one.
    pub here: Option<&'b Line>,
    /// The line of the second, if it has one.
    pub there: Option<&'b Line>,
}

/// The bill of the same request on the other basis, unless no claim makes a difference between the two.
///
/// # Errors
/// Says why there is no bill on the other basis.
pub fn against_other_basis(resolver: &mut Resolver<'_>, request: Request) -> Result<Option<Bill>, Trouble> {
    if !resolver.has_two_bases() {
        return Ok(None);
    }
    let basis = match request.basis {
        Basis::Firm => Basis::Held,
        Basis::Held => Basis::Firm,
    };
    bill(resolver, Request { basis, ..request }).map(Some)
}

/// The lines in which two bills differ, in the order of the first bill, and of the second where it has further lines;
/// none if they are the same. Below a line with other parts to choose from nothing further is compared.
#[must_use]
pub fn differing<'b>(here: &'b Bill, there: &'b Bill) -> Vec<Differing<'b>> {
    let mut found = Vec::new();
    compare(Some(&here.top), Some(&there.top), &mut Vec::new(), &mut found);
    found
}

fn compare<'b>(
    here: Option<&'b Line>,
    there: Option<&'b Line>,
    path: &mut Vec<PositionId>,
    found: &mut Vec<Differing<'b>>,
) {
    let position = here.or(there).and_then(|line| line.position);
    path.extend(position);
    match (here, there) {
        (Some(a), Some(b)) if same(a, b) => {
            for (a, b) in a.choices.iter().zip(&b.choices) {
                below(a, b, path, found);
            }
        }
        _ => {
            found.push(Differing { path: path.clone(), here, there });
            if let (Some(a), Some(b)) = (here, there)
                && a.choices.iter().map(|choice| choice.item).eq(b.choices.iter().map(|choice| choice.item))
            {
                for (a, b) in a.choices.iter().zip(&b.choices) {
                    below(a, b, path, found);
                }
            }
        }
    }
    path.truncate(path.len() - position.iter().len());
}

fn below<'b>(here: &'b Choice, there: &'b Choice, path: &mut Vec<PositionId>, found: &mut Vec<Differing<'b>>) {
    let at = |lines: &'b [Line], position| lines.iter().find(|line| line.position == position);
    for line in &here.below {
        compare(Some(line), at(&there.below, line.position), path, found);
    }
    for line in there.below.iter().filter(|line| at(&here.below, line.position).is_none()) {
        compare(None, Some(line), path, found);
    }
}

/// Whether two lines say the same, what is below them aside.
fn same(a: &Line, b: &Line) -> bool {
    let told = |choice: &Choice| (choice.item, choice.ways.clone(), choice.amount, choice.issues.clone());
    a.state == b.state && a.choices.iter().map(told).eq(b.choices.iter().map(told))
}
