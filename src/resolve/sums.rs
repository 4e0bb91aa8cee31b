//! What sums of quantities come to over all histories.

use super::components::touched;
use super::{Basis, MergedComponents, Resolver, StateMeant};
use crate::history::{of_form_var, rewrite};
use crate::ids::Id;
use crate::prop::{End, Expr, Limit, Lit, Scales, Units, Weight};
use indexmap::IndexMap;
use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};
use std::sync::Arc;

/// A quantity that counts where a condition holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SumTerm {
    /// How many.
    pub quantity: u64,
    /// When, over state variables.
    pub when: Expr,
    /// Of what: so many times this tally; `None`: so many.
    pub of: Option<Arc<Tally>>,
}

/// A sum that other sums count many times over: kept once, however often it is counted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tally {
    /// In any case.
    pub fixed: u64,
    /// Conditionally.
    pub terms: Vec<SumTerm>,
    /// What all of it would come to together.
    pub most: u64,
}

/// The least and the most that a sum comes to in some history; both are reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Range {
    /// The least.
    pub least: u64,
    /// The most.
    pub most: u64,
}

/// Quantities with their conditions, and the components that the conditions touch.
type Group = (BTreeSet<usize>, Vec<(u64, Expr)>);

impl Resolver<'_> {
    /// What `fixed` and those of the terms that hold come to together, in the state asked about: least and most over
    /// the histories of a basis. `None` if the basis has no history.
    ///
    /// Exact: where it can come to few values, these are built up term by term, each with the condition under which it
    /// is reached, and then asked for from both ends; where it can come to many, its ends are optimised over decision
    /// diagrams. Terms that have no bearing on each other are summed apart.
    ///
    /// # Errors
    /// [`Limit::Nodes`] if the diagrams grow too large; the limit that a repair or a question met.
    ///
    /// # Panics
    /// If all terms together come to more than a `u64` holds.
    pub(crate) fn range_of(&mut self, fixed: u64, terms: &[SumTerm], basis: Basis) -> Result<Option<Range>, Limit> {
        let conditions = conditions(terms);
        self.read_whole(conditions.iter().copied())?;
        if terms.iter().any(|term| term.of.is_some()) {
            let touched: BTreeSet<usize> =
                conditions.iter().flat_map(|when| touched(&self.component_of, when)).collect();
            let components: Vec<usize> = touched.into_iter().collect();
            let range = self.range_weighed(&components, terms, basis)?;
            return Ok(range.map(|part| Range { least: fixed + part.least, most: fixed + part.most }));
        }
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
        for (components, terms) in self.apart(open) {
            match self.range_in(&components, terms, basis)? {
                Some(part) => {
                    range = Range { least: range.least + part.least, most: range.most + part.most };
                }
                None => return Ok(None),
            }
        }
        Ok(Some(range))
    }

    /// The terms, grouped by the components that they touch: no component has a bearing on two of the groups.
    fn apart(&self, terms: Vec<(u64, Expr)>) -> Vec<Group> {
        let mut groups: Vec<Group> = Vec::new();
        for term in terms {
            let mut components = touched(&self.component_of, &term.1);
            let mut joined = Vec::new();
            for (others, terms) in std::mem::take(&mut groups) {
                if others.is_disjoint(&components) {
                    groups.push((others, terms));
                } else {
                    components.extend(others);
                    joined.extend(terms);
                }
            }
            joined.push(term);
            groups.push((components, joined));
        }
        groups
    }

    fn range_in(
        &mut self,
        components: &BTreeSet<usize>,
        terms: Vec<(u64, Expr)>,
        basis: Basis,
    ) -> Result<Option<Range>, Limit> {
        let components: Vec<usize> = components.iter().copied().collect();
        for &component in &components {
            self.components[component].dropped(basis).as_ref().map_err(|limit| *limit)?;
        }
        let terms: Vec<SumTerm> =
            terms.into_iter().map(|(quantity, when)| SumTerm { quantity, when, of: None }).collect();
        let in_merged: Vec<(u64, Expr)> = terms
            .iter()
            .map(|term| (term.quantity, self.in_merged(&components, &term.when, StateMeant::Asked)))
            .collect();
        let merged = self.merged.get_mut(&components).expect("they were merged when the terms were put into it");
        let Some(reached) = merged.reached(&in_merged, self.limits.values) else {
            return self.range_weighed(&components, &terms, basis);
        };
        let on = merged.bases[basis as usize];
        let mut first = |values: &mut dyn Iterator<Item = (&u64, &Lit)>| -> Result<Option<u64>, Limit> {
            for (value, lit) in values {
                if merged.decider.possible(&[on, *lit])? {
                    return Ok(Some(*value));
                }
            }
            Ok(None)
        };
        let (least, most) = (first(&mut reached.iter())?, first(&mut reached.iter().rev())?);
        Ok(least.zip(most).map(|(least, most)| Range { least, most }))
    }

    /// The same, optimised over decision diagrams: over the histories of each best repair, with every variable
    /// forgotten as soon as nothing more hangs on it.
    fn range_weighed(&self, components: &[usize], terms: &[SumTerm], basis: Basis) -> Result<Option<Range>, Limit> {
        let mut offsets = HashMap::new();
        let mut vars = 0;
        for &component in components {
            offsets.insert(component, vars);
            vars += self.components[component].encoding.vars;
        }
        // Every combination of one repair of each component; nearly always there is one.
        let mut ends: [Option<u64>; 2] = [None, None];
        for (slot, end) in [End::Least, End::Most].into_iter().enumerate() {
            let mut scales = Scales::new(end, self.limits.nodes / 4);
            let mut together = Vec::new();
            let mut units_of = HashMap::new();
            for &component in components {
                let offset = offsets[&component];
                let decided = &self.components[component];
                let repairs = decided.dropped(basis).as_ref().map_err(|limit| *limit)?;
                if let [dropped] = repairs.as_slice() {
                    let off = decided.off(&self.history, basis, dropped);
                    let requirements: Vec<Expr> =
                        decided.encoding.with_switches(&off).iter().map(|expr| super::shifted(expr, offset)).collect();
                    let Some(units) = Units::of(vars, [], &requirements) else { return Ok(None) };
                    for requirement in &units.rest {
                        together.push(scales.requirement(requirement)?);
                    }
                    units_of.insert(component, units);
                } else {
                    let mut any = Vec::new();
                    for dropped in repairs {
                        let off = decided.off(&self.history, basis, dropped);
                        let requirements = decided.encoding.with_switches(&off);
                        any.push(Expr::all(requirements.iter().map(|expr| super::shifted(expr, offset))));
                    }
                    together.push(scales.requirement(&Expr::any(any))?);
                }
            }
            let read = |expr: &Expr| {
                rewrite(&self.settle(expr), &|var| {
                    let component =
                        self.component_of[of_form_var(var).0.index()].expect("settled modifications were folded away");
                    let read = super::shifted(
                        &self.components[component].encoding.asked(&Expr::var(var)),
                        offsets[&component],
                    );
                    units_of.get(&component).map_or_else(|| read.clone(), |units: &Units| units.with(&read))
                })
            };
            let mut known = HashMap::new();
            for term in terms {
                let weight = weighed(&mut scales, term, &read, &mut known)?;
                together.push(weight);
            }
            ends[slot] = scales.best(&together)?;
        }
        Ok(ends[0].zip(ends[1]).map(|(least, most)| Range { least, most }))
    }
}

/// Every condition of the terms and of all that they count, those of each tally once.
fn conditions(terms: &[SumTerm]) -> Vec<&Expr> {
    let (mut found, mut seen) = (Vec::new(), HashSet::new());
    let mut open: Vec<&SumTerm> = terms.iter().collect();
    while let Some(term) = open.pop() {
        found.push(&term.when);
        if let Some(tally) = term.of.as_ref().filter(|tally| seen.insert(Arc::as_ptr(tally))) {
            open.extend(&tally.terms);
        }
    }
    found
}

/// A term as a function; what several terms share is made once.
fn weighed(
    scales: &mut Scales,
    term: &SumTerm,
    read: &dyn Fn(&Expr) -> Expr,
    known: &mut HashMap<*const Tally, Weight>,
) -> Result<Weight, Limit> {
    let of = match &term.of {
        None => scales.constant(Some(1))?,
        Some(tally) if known.contains_key(&Arc::as_ptr(tally)) => known[&Arc::as_ptr(tally)],
        Some(tally) => {
            let mut sum = scales.constant(Some(tally.fixed))?;
            for term in &tally.terms {
                let part = weighed(scales, term, read, known)?;
                sum = scales.add(sum, part)?;
            }
            known.insert(Arc::as_ptr(tally), sum);
            sum
        }
    };
    scales.times_where(term.quantity, of, &read(&term.when))
}

impl MergedComponents {
    /// Every value that the sum may come to, with a literal under which it does; `None` if there are more than so many.
    fn reached(&mut self, terms: &[(u64, Expr)], limit: usize) -> Option<BTreeMap<u64, Lit>> {
        let start = self.decider.literal(&Expr::Const(true));
        let mut reached = BTreeMap::from([(0, start)]);
        for (quantity, when) in terms {
            let with = self.decider.literal(when);
            let without = self.decider.literal(&!when.clone());
            let values: BTreeSet<u64> = reached.keys().flat_map(|value| [*value, value + quantity]).collect();
            if values.len() > limit {
                return None;
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
        Some(reached)
    }
}
