//! Functions to be joined, by the variables that they depend on: what is cheapest to forget next.

use super::Var;
use std::collections::{BTreeMap, BTreeSet};

/// Functions to be joined, and the variables to be forgotten one by one, the one with the fewest neighbours first.
pub(super) struct Pool<F> {
    /// What is not joined yet, with the variables that it depends on.
    pub parts: BTreeMap<usize, (BTreeSet<Var>, F)>,
    next: usize,
    of_var: BTreeMap<Var, BTreeSet<usize>>,
    /// The variables still to be forgotten.
    forget: BTreeSet<Var>,
    /// Each of them with the number of variables that all functions which depend on it depend on together.
    cheapest: BTreeSet<(usize, Var)>,
    price_of: BTreeMap<Var, usize>,
}

impl<F> Pool<F> {
    /// These functions; every variable that they depend on and that is not kept is to be forgotten.
    pub(super) fn new(parts: impl IntoIterator<Item = (BTreeSet<Var>, F)>, keep: &BTreeSet<Var>) -> Pool<F> {
        let mut pool = Pool {
            parts: BTreeMap::new(),
            next: 0,
            of_var: BTreeMap::new(),
            forget: BTreeSet::new(),
            cheapest: BTreeSet::new(),
            price_of: BTreeMap::new(),
        };
        for (support, part) in parts {
            pool.put(support, part);
        }
        pool.forget = pool.of_var.keys().copied().filter(|var| !keep.contains(var)).collect();
        pool.price(pool.forget.clone());
        pool
    }

    fn put(&mut self, support: BTreeSet<Var>, part: F) {
        for var in &support {
            self.of_var.entry(*var).or_default().insert(self.next);
        }
        self.parts.insert(self.next, (support, part));
        self.next += 1;
    }

    /// The variable that takes least to forget, with everything that depends on it, taken out; and the other variables
    /// that this depends on.
    pub(super) fn next(&mut self) -> Option<(Var, BTreeSet<Var>, Vec<F>)> {
        let (_, var) = self.cheapest.pop_first()?;
        self.forget.remove(&var);
        let which = self.of_var.remove(&var).unwrap_or_default();
        let mut support = BTreeSet::new();
        let mut taken = Vec::new();
        for (of_part, part) in which.iter().filter_map(|part| self.parts.remove(part)) {
            support.extend(of_part);
            taken.push(part);
        }
        support.remove(&var);
        for other in &support {
            if let Some(of) = self.of_var.get_mut(other) {
                of.retain(|part| !which.contains(part));
            }
        }
        Some((var, support, taken))
    }

    /// Puts back what is left when a variable was forgotten.
    pub(super) fn put_back(&mut self, support: BTreeSet<Var>, part: F) {
        self.put(support.clone(), part);
        self.price(support);
    }

    /// Works out anew what it would take to forget these.
    fn price(&mut self, vars: BTreeSet<Var>) {
        for var in vars.into_iter().filter(|var| self.forget.contains(var)) {
            let parts = self.of_var.get(&var).into_iter().flatten();
            let joined: BTreeSet<Var> = parts.flat_map(|part| &self.parts[part].0).copied().collect();
            if let Some(old) = self.price_of.insert(var, joined.len()) {
                self.cheapest.remove(&(old, var));
            }
            self.cheapest.insert((joined.len(), var));
        }
    }
}
