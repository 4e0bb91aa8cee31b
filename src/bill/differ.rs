//! Where two bills differ.

use super::{Amount, Bill, BillLine, LineChoice, NoBill, Request, Total, bill};
use crate::ids::{PartId, PositionId};
use crate::resolve::{Basis, Compared, Resolver};
use std::collections::BTreeMap;

/// A line in which two bills differ.
#[derive(Clone, Debug, PartialEq)]
pub struct Differing<'b> {
    /// The positions from the top of the bill down to the line.
    pub path: Vec<PositionId>,
    /// The line of the first bill, if it has one.
    pub here: Option<&'b BillLine>,
    /// The line of the second, if it has one.
    pub there: Option<&'b BillLine>,
}

/// The bill of the same request on the other basis, unless no claim makes a difference between the two.
///
/// # Errors
/// Says why there is no bill on the other basis.
pub fn against_other_basis(resolver: &mut Resolver<'_>, request: Request) -> Result<Option<Bill>, NoBill> {
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
    here: Option<&'b BillLine>,
    there: Option<&'b BillLine>,
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

fn below<'b>(here: &'b LineChoice, there: &'b LineChoice, path: &mut Vec<PositionId>, found: &mut Vec<Differing<'b>>) {
    let at = |lines: &'b [BillLine], position| lines.iter().find(|line| line.position == position);
    for line in &here.below {
        compare(Some(line), at(&there.below, line.position), path, found);
    }
    for line in there.below.iter().filter(|line| at(&here.below, line.position).is_none()) {
        compare(None, Some(line), path, found);
    }
}

/// Whether two lines say the same, what is below them aside.
fn same(a: &BillLine, b: &BillLine) -> bool {
    let key = |choice: &LineChoice| (choice.item, choice.ways.clone(), choice.amount, choice.issues.clone());
    a.state == b.state && a.choices.iter().map(key).eq(b.choices.iter().map(key))
}

/// How many of one part two bills have.
#[derive(Clone, Debug, PartialEq)]
pub struct TotalPair<'b> {
    /// The part.
    pub part: PartId,
    /// Its total in the first bill, if it is there.
    pub first: Option<&'b Total>,
    /// Its total in the second bill, if it is there.
    pub second: Option<&'b Total>,
    /// How they compare: in how many there are and to which drawing issues.
    pub compared: Compared,
}

/// The totals of two bills side by side, part by part: in the order of the first, then what only the second has.
#[must_use]
pub fn compare_totals<'b>(first: &'b Bill, second: &'b Bill) -> Vec<TotalPair<'b>> {
    let mut others: BTreeMap<PartId, &Total> = second.totals.iter().map(|total| (total.part, total)).collect();
    let mut pairs = Vec::new();
    for total in &first.totals {
        let other = others.remove(&total.part);
        pairs.push(TotalPair {
            part: total.part,
            first: Some(total),
            second: other,
            compared: compare_total(Some(total), other),
        });
    }
    for total in second.totals.iter().filter(|total| others.contains_key(&total.part)) {
        let compared = compare_total(None, Some(total));
        pairs.push(TotalPair { part: total.part, first: None, second: Some(total), compared });
    }
    pairs
}

fn compare_total(first: Option<&Total>, second: Option<&Total>) -> Compared {
    let ends = |total: Option<&Total>| match total.map(|total| total.amount) {
        None => Some((0, 0)),
        Some(Amount::Exactly(quantity)) => Some((quantity, quantity)),
        Some(Amount::Between(range)) => Some((range.least, range.most)),
        Some(Amount::Undecided(_) | Amount::Contradicted) => None,
    };
    match (ends(first), ends(second)) {
        (Some(a), Some(b)) if a.1 < b.0 || b.1 < a.0 => Compared::Differs,
        (Some((a, a_most)), Some((b, b_most))) if a == a_most && b == b_most => match (first, second) {
            (Some(first), Some(second)) if a > 0 => compare_issues(first, second),
            _ => Compared::Stays,
        },
        _ => Compared::Undecided,
    }
}

fn compare_issues(first: &Total, second: &Total) -> Compared {
    let (Ok(a), Ok(b)) = (&first.issues, &second.issues) else { return Compared::Undecided };
    if a.iter().map(|issue| issue.issue).eq(b.iter().map(|issue| issue.issue)) {
        if a.len() > 1 { Compared::Undecided } else { Compared::Stays }
    } else if a.iter().any(|issue| b.iter().any(|other| issue.issue == other.issue)) {
        Compared::Undecided
    } else {
        Compared::Differs
    }
}
