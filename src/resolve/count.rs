//! Counts of distinct modification states.

use super::{Basis, Resolver};
use crate::history::{form_var, rewrite};
use crate::ids::{ClaimId, Id, ModId};
use crate::prop::{Diagram, Diagrams, Expr, Limit, Var};
use crate::schema::Form;
use num_bigint::BigUint;
use std::collections::{BTreeMap, BTreeSet};

/// How many distinct states of a slice the histories reach at the target date, and how many of them select each
/// variant. Counts, not likelihoods.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Counts {
    /// All distinct states.
    pub all: BigUint,
    /// Those that select each of the expressions asked about.
    pub each: Vec<BigUint>,
}

/// One space of decision diagrams for all components of an airframe.
pub(crate) struct Counting {
    diagrams: Diagrams,
    offsets: Vec<u32>,
    projected: BTreeMap<(usize, Basis, Vec<Var>), Result<Diagram, Limit>>,
}

impl std::fmt::Debug for Counting {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:?}, {} projections", self.diagrams, self.projected.len())
    }
}

impl Resolver<'_> {
    /// Counts the distinct states of these modifications, and how many of them each expression (over state variables
    /// of these modifications) selects.
    ///
    /// # Errors
    /// The limit that exact counting would have exceeded.
    pub fn count(&mut self, slice: &BTreeSet<ModId>, each: &[Expr], basis: Basis) -> Result<Counts, Limit> {
        self.read_whole(each)?;
        if slice.iter().any(|m| !self.history.reach.modification(*m).is_empty()) {
            return Err(Limit::NotRead);
        }
        let mut of_component: BTreeMap<usize, BTreeSet<ModId>> = BTreeMap::new();
        for m in slice {
            if let Some(component) = self.component_of[m.index()] {
                of_component.entry(component).or_default().insert(*m);
            }
        }
        self.prepare_counting();
        let counting = self.counting.as_ref().expect("counting was just prepared");
        let mut reached = counting.diagrams.constant(true);
        let mut kept = 0;
        for (component, mods) in &of_component {
            let keep = self.kept_vars(*component, mods);
            kept += keep.len();
            let projected = self.projection(*component, &keep, basis)?;
            let counting = self.counting.as_ref().expect("counting was just prepared");
            reached = counting.diagrams.and(&reached, &projected)?;
        }
        let counting = self.counting.as_ref().expect("counting was just prepared");
        let all = counting.diagrams.count(&reached, kept);
        let mut counts = Vec::new();
        for expr in each {
            let selected = counting.diagrams.build(&self.over_diagrams(counting, &self.settle(expr)))?;
            counts.push(counting.diagrams.count(&counting.diagrams.and(&reached, &selected)?, kept));
        }
        Ok(Counts { all, each: counts })
    }

    /// Counts the distinct states of all modifications of the airframe.
    ///
    /// # Errors
    /// The limit that exact counting would have exceeded.
    pub fn count_all(&mut self, basis: Basis) -> Result<BigUint, Limit> {
        let losses = &self.history.model.losses;
        let may_lack_one = !losses.marks(|loss| loss.whole && loss.may_be("Modification")).is_empty();
        if may_lack_one || !self.history.reach.any_modification().is_empty() {
            return Err(Limit::NotRead);
        }
        let mut product = BigUint::from(1u32);
        for component in 0..self.components.len() {
            let mods = self.components[component].members.mods.iter().copied().collect();
            product *= self.count(&mods, &[], basis)?.all;
            if self.components[component].members.mods.is_empty()
                && self.components[component].dropped(basis).as_ref().map_err(|limit| *limit)?.is_empty()
            {
                product = BigUint::ZERO;
            }
        }
        Ok(product)
    }

    fn prepare_counting(&mut self) {
        if self.counting.is_none() {
            let mut offsets = Vec::with_capacity(self.components.len());
            let mut vars = 0;
            for component in &self.components {
                offsets.push(vars);
                vars += component.encoding.vars;
            }
            let diagrams = Diagrams::new(vars, self.limits.nodes);
            self.counting = Some(Counting { diagrams, offsets, projected: BTreeMap::new() });
        }
    }

    /// The variables of a component, in the common space, that tell the states of these modifications apart.
    fn kept_vars(&self, component: usize, mods: &BTreeSet<ModId>) -> BTreeSet<Var> {
        let offset = self.counting.as_ref().map_or(0, |counting| counting.offsets[component]);
        let mut kept = BTreeSet::new();
        for m in mods {
            for form in [Form::Production, Form::Retrospective] {
                let asked = self.components[component].encoding.asked(&Expr::var(form_var(*m, form)));
                asked.each_var(&mut |var| {
                    kept.insert(var + offset);
                });
            }
        }
        kept
    }

    fn projection(&mut self, component: usize, keep: &BTreeSet<Var>, basis: Basis) -> Result<Diagram, Limit> {
        let key = (component, basis, keep.iter().copied().collect::<Vec<Var>>());
        let counting = self.counting.as_ref().expect("counting is prepared before anything is projected");
        if let Some(known) = counting.projected.get(&key) {
            return known.clone();
        }
        let projected = self.project(counting, component, keep, basis);
        let counting = self.counting.as_mut().expect("counting is prepared before anything is projected");
        counting.projected.insert(key, projected.clone());
        projected
    }

    fn project(
        &self,
        counting: &Counting,
        component: usize,
        keep: &BTreeSet<Var>,
        basis: Basis,
    ) -> Result<Diagram, Limit> {
        let offset = counting.offsets[component];
        let component = &self.components[component];
        let repairs: &Vec<BTreeSet<ClaimId>> = component.dropped(basis).as_ref().map_err(|limit| *limit)?;
        let mut union = counting.diagrams.constant(false);
        for dropped in repairs {
            let off = component.off(&self.history, basis, dropped);
            let requirements: Vec<Expr> =
                component.encoding.with_switches(&off).iter().map(|expr| super::shifted(expr, offset)).collect();
            union = counting.diagrams.or(&union, &counting.diagrams.project(&requirements, keep)?)?;
        }
        Ok(union)
    }

    /// A settled-away expression over state variables, in the state asked about, over the common space.
    fn over_diagrams(&self, counting: &Counting, expr: &Expr) -> Expr {
        rewrite(expr, &|var| {
            let (m, _) = crate::history::of_form_var(var);
            let component = self.component_of[m.index()].expect("settled modifications were folded away");
            super::shifted(&self.components[component].encoding.asked(&Expr::var(var)), counting.offsets[component])
        })
    }
}
