//! What sums of quantities come to over all histories.

use super::components::touched;
use super::{Basis, Joint, Read, Resolver};
use crate::prop::{Expr, Limit, Lit};
use indexmap::IndexMap;
use std::collections::{BTreeMap, BTreeSet};

/// A quantity that counts where a condition holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Term {
    /// How many.
    pub quantity: u64,
    /// When, over state variables.
    pub when: Expr,
}

/// The least and the most that a sum comes to in some history; both are reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Range {
    /// The least.
    pub least: u64,
    /// The most.
    pub most: u64,
}

/// Quantities with their conditions, and the knots that the conditions touch.
type Group = (BTreeSet<usize>, Vec<(u64, Expr)>);

impl Resolver<'_> {
    /// What `fixed` and those of the terms that hold come to together, in the state asked about: least and most over
    /// the histories of a basis. `None` if the basis has no history.
    ///
    /// Exact: the values that the sum can reach are built up term by term, each with the condition under which it is
    /// reached, and then asked for from both ends. Terms that have no bearing on each other are summed apart.
    ///
    /// # Errors
    /// [`Limit::Values`] if the sum can come to more values than the limit allows; the limit that a repair met.
    ///
    /// # Panics
    /// If all terms together come to more than a `u64` holds.
    pub(crate) fn range_of(&mut self, fixed: u64, terms: &[Term], basis: Basis) -> Result<Option<Range>, Limit> {
        self.read_whole(terms.iter().map(|term| &term.when))?;
        let mut sums: IndexMap<Expr, u64> = IndexMap::new();
        let mut fixed = fixed;
        for term in terms {
            match self.settle(&term.when) {
                Expr::Const(true) => fixed += term.quantity,
                Expr::Const(false) => {}
                when @ (Expr::Lit(_) | Expr::All(_) | Expr::Any(_)) => *sums.entry(when).or_default() += term.quantity,
            }
        }
        // What counts whether a condition holds or not is fixed.
        for index in 0..sums.len() {
            let (when, quantity) = sums.get_index(index).expect("inside");
            if let Some(otherwise) = sums.get_index_of(&!when.clone()) {
                let both = *quantity.min(&sums[otherwise]);
                sums[index] -= both;
                sums[otherwise] -= both;
                fixed += both;
            }
        }
        let open = sums.into_iter().filter(|(_, quantity)| *quantity > 0);
        let open: Vec<(u64, Expr)> = open.map(|(when, quantity)| (quantity, when)).collect();
        match &open[..] {
            [] => return Ok(Some(Range { least: fixed, most: fixed })),
            [(quantity, when)] => {
                let (holds, fails) = self.possible_both_ways(when, basis)?;
                let (without, with) = (fixed, fixed + quantity);
                return Ok((holds || fails).then_some(Range {
                    least: if fails { without } else { with },
                    most: if holds { with } else { without },
                }));
            }
            _ => {}
        }
        let mut range = Range { least: fixed, most: fixed };
        for (knots, terms) in self.apart(open) {
            match self.range_in(&knots, terms, basis)? {
                Some(part) => {
                    range = Range { least: range.least + part.least, most: range.most + part.most };
                }
                None => return Ok(None),
            }
        }
        Ok(Some(range))
    }

    /// The terms, told apart by the knots that they touch: no knot has a bearing on two of the groups.
    fn apart(&self, terms: Vec<(u64, Expr)>) -> Vec<Group> {
        let mut groups: Vec<Group> = Vec::new();
        for term in terms {
            let mut knots = touched(&self.knot_of, &term.1);
            let mut joined = Vec::new();
            for (others, terms) in std::mem::take(&mut groups) {
                if others.is_disjoint(&knots) {
                    groups.push((others, terms));
                } else {
                    knots.extend(others);
                    joined.extend(terms);
                }
            }
            joined.push(term);
            groups.push((knots, joined));
        }
        groups
    }

    fn range_in(
        &mut self,
        knots: &BTreeSet<usize>,
        terms: Vec<(u64, Expr)>,
        basis: Basis,
    ) -> Result<Option<Range>, Limit> {
        let knots: Vec<usize> = knots.iter().copied().collect();
        for &knot in &knots {
            self.knots[knot].dropped(basis).as_ref().map_err(|limit| *limit)?;
        }
        let terms: Vec<(u64, Expr)> =
            terms.into_iter().map(|(quantity, when)| (quantity, self.in_joint(&knots, &when, Read::Asked))).collect();
        let mut joint = Joint::new(&self.history, &mut self.knots, &knots);
        let reached = joint.reached(&terms, self.limits.values)?;
        let on = joint.bases[basis as usize];
        let mut possible = |lit: &Lit| joint.decider.possible(&[on, *lit]);
        let least = reached.iter().find(|(_, lit)| possible(lit)).map(|(value, _)| *value);
        let most = reached.iter().rev().find(|(_, lit)| possible(lit)).map(|(value, _)| *value);
        Ok(least.zip(most).map(|(least, most)| Range { least, most }))
    }
}

impl Joint {
    /// Every value that the sum may come to, with a literal under which it does.
    fn reached(&mut self, terms: &[(u64, Expr)], limit: usize) -> Result<BTreeMap<u64, Lit>, Limit> {
        let start = self.decider.literal(&Expr::Const(true));
        let mut reached = BTreeMap::from([(0, start)]);
        for (quantity, when) in terms {
            let with = self.decider.literal(when);
            let without = self.decider.literal(&!when.clone());
            let values: BTreeSet<u64> = reached.keys().flat_map(|value| [*value, value + quantity]).collect();
            if values.len() > limit {
                return Err(Limit::Values(limit));
            }
            let mut next = BTreeMap::new();
            for value in values {
                let step = |from: Option<&Lit>, by: Lit| from.map(|from| Expr::All(vec![(*from).into(), by.into()]));
                let before = value.checked_sub(*quantity).and_then(|before| reached.get(&before));
                let ways = [step(reached.get(&value), without), step(before, with)];
                next.insert(value, self.decider.literal(&Expr::any(ways.into_iter().flatten())));
            }
            reached = next;
        }
        Ok(reached)
    }
}
