//! Exploding assemblies: how often each part is fitted, as a sum of conditional quantities.

use super::{Amount, BillScope, NoBill};
use crate::ids::{Id, PartId, PositionId};
use crate::prop::{Expr, Limit};
use crate::resolve::{Basis, Fitted, Resolver, SumTerm, Tally};
use std::sync::Arc;

/// The state that is being exploded.
pub(super) struct Explosion<'r, 'm> {
    /// Answers about the state.
    pub resolver: &'r mut Resolver<'m>,
    /// On which claims.
    pub basis: Basis,
}

/// How often something is fitted: so often in any case, and so often where each condition holds.
///
/// Invariant: no two terms count the same under the same condition, and each condition is open or undecided unless it
/// counts a tally.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Sum {
    /// In any case.
    pub fixed: u64,
    /// Conditionally.
    pub terms: Vec<SumTerm>,
    /// What all of it would come to together.
    most: u64,
}

/// Up to so many terms are written out again wherever an assembly is counted.
const SPREAD: usize = 16;

/// The top of a bill.
pub(super) enum Start {
    /// A part with its positions, fitted so often.
    Part(PartId, Sum),
    /// A position of an assembly that is fitted so often.
    Position(PositionId, Sum),
}

/// When a variant is selected, given that its assembly is fitted.
pub(super) enum Narrowed {
    /// In no history.
    Never,
    /// In the same histories as the assembly.
    Same,
    /// In some of them.
    Some,
    /// There are none: the claims contradict each other or the rules.
    Contradicted,
    /// Not decided.
    Undecided(Limit),
}

impl Sum {
    /// Once, in any case.
    fn one() -> Sum {
        Sum { fixed: 1, terms: Vec::new(), most: 1 }
    }

    /// Whether there is none in any history.
    pub(super) fn is_nothing(&self) -> bool {
        self.fixed == 0 && self.terms.is_empty()
    }

    /// When there is at least one; `None` if tallies would have to be written out for that.
    pub(super) fn when(&self) -> Option<Expr> {
        if self.fixed > 0 {
            return Some(Expr::Const(true));
        }
        let plain = self.terms.iter().all(|term| term.of.is_none());
        plain.then(|| Expr::any(self.terms.iter().map(|term| term.when.clone())))
    }

    /// The same sum, kept once where it has so many terms that what counts it had better not repeat them: otherwise
    /// assemblies inside each other would cost what their paths cost, not what their edges do.
    pub(super) fn kept_once(self) -> Sum {
        if self.terms.len() <= SPREAD {
            return self;
        }
        let tally = Arc::new(Tally { fixed: self.fixed, terms: self.terms, most: self.most });
        Sum {
            fixed: 0,
            most: tally.most,
            terms: vec![SumTerm { quantity: 1, when: Expr::Const(true), of: Some(tally) }],
        }
    }

    /// Adds a quantity where a condition holds; `None` if it is too large to count.
    fn add(&mut self, quantity: u64, when: &Expr, of: Option<&Arc<Tally>>) -> Option<()> {
        let same = |term: &SumTerm| match (&term.of, of) {
            (None, None) => term.when == *when,
            (Some(one), Some(other)) => Arc::ptr_eq(one, other) && term.when == *when,
            _ => false,
        };
        let slot = if *when == Expr::Const(true) && of.is_none() {
            &mut self.fixed
        } else if let Some(index) = self.terms.iter().position(same) {
            &mut self.terms[index].quantity
        } else {
            self.terms.push(SumTerm { quantity: 0, when: when.clone(), of: of.cloned() });
            &mut self.terms.last_mut().expect("a term was just pushed").quantity
        };
        *slot = slot.checked_add(quantity)?;
        self.most = self.most.checked_add(quantity.checked_mul(of.map_or(1, |tally| tally.most))?)?;
        Some(())
    }

    /// Adds so many times another sum; `None` if it is too large to count.
    pub(super) fn add_times(&mut self, times: u64, other: &Sum) -> Option<()> {
        for (quantity, when, of) in other.parts() {
            self.add(quantity.checked_mul(times)?, &when, of)?;
        }
        Some(())
    }

    /// Each quantity with its condition, the unconditional one first.
    pub(super) fn parts(&self) -> impl Iterator<Item = (u64, Expr, Option<&Arc<Tally>>)> + '_ {
        let fixed = (self.fixed > 0).then_some((self.fixed, Expr::Const(true), None));
        fixed.into_iter().chain(self.terms.iter().map(|term| (term.quantity, term.when.clone(), term.of.as_ref())))
    }
}

impl Explosion<'_, '_> {
    /// The top of a bill, with how often it is fitted on the airframe.
    pub(super) fn start(&mut self, order: &[PartId], scope: BillScope) -> Result<Start, NoBill> {
        let model = self.resolver.history().model;
        let lost = model.losses.of_kinds(&["Type"]);
        let nowhere = || if lost.is_empty() { NoBill::NoAirframePart } else { NoBill::NotRead(lost.clone()) };
        let airframe = model.type_of.as_ref().ok_or_else(nowhere)?.airframe;
        let part = match scope {
            BillScope::Airframe => airframe,
            BillScope::Assembly(part) => part,
            BillScope::Frame(frame) => model.frames[frame].assembly,
            BillScope::Position(position) => model.positions[position].assembly,
        };
        let whole = Start::Part(airframe, Sum::one());
        if part == airframe && !matches!(scope, BillScope::Position(_)) {
            return Ok(whole);
        }
        let usage = self.usage(order, &whole, false)?.swap_remove(part.index());
        let lost = self.resolver.history().not_read_of_fitting(part);
        match scope {
            _ if usage.is_nothing() && !lost.is_empty() => Err(NoBill::NotRead(lost)),
            _ if usage.is_nothing() => Err(NoBill::NotFitted),
            BillScope::Position(position) => Ok(Start::Position(position, usage)),
            BillScope::Airframe | BillScope::Assembly(_) | BillScope::Frame(_) => Ok(Start::Part(part, usage)),
        }
    }

    /// How often each part is fitted below the top, the top included; with `bought_whole`, leaving out what comes
    /// inside an assembly that is not made in the workshop, unless that is the top itself.
    pub(super) fn usage(&mut self, order: &[PartId], start: &Start, bought_whole: bool) -> Result<Vec<Sum>, NoBill> {
        let model = self.resolver.history().model;
        let mut usage = vec![Sum::default(); model.parts.len()];
        match start {
            Start::Part(part, sum) => usage[part.index()] = sum.clone(),
            Start::Position(position, sum) => self.roll_down(*position, sum, &mut usage)?,
        }
        for part in order {
            let entry = &model.parts[*part];
            let is_top = matches!(start, Start::Part(top, _) if top == part);
            let whole = bought_whole && entry.is_got_whole() && !is_top;
            if usage[part.index()].is_nothing() || whole {
                continue;
            }
            let sum = usage[part.index()].clone().kept_once();
            for position in &entry.positions {
                self.roll_down(*position, &sum, &mut usage)?;
            }
        }
        Ok(usage)
    }

    fn roll_down(&mut self, position: PositionId, assembly: &Sum, usage: &mut [Sum]) -> Result<(), NoBill> {
        for (fitted, when) in self.resolver.variants(position) {
            if let Fitted::Part(part, each) = fitted {
                let sum = self.selected(assembly, &when);
                usage[part.index()].add_times(u64::from(each), &sum).ok_or(NoBill::TooMany(part))?;
            }
        }
        Ok(())
    }

    /// How often a variant is selected at a position of an assembly that is fitted so often.
    pub(super) fn selected(&mut self, assembly: &Sum, when: &Expr) -> Sum {
        let mut sum = Sum::default();
        for (quantity, given, of) in assembly.parts() {
            let both = match self.narrowed(&given, when) {
                Narrowed::Never => continue,
                Narrowed::Same => given,
                Narrowed::Some | Narrowed::Contradicted | Narrowed::Undecided(_) => Expr::all([given, when.clone()]),
            };
            sum.add(quantity, &both, of).expect("a selection is never more than what it selects from");
        }
        sum
    }

    /// What is left of the histories in which `given` holds when `when` is asked for as well.
    pub(super) fn narrowed(&mut self, given: &Expr, when: &Expr) -> Narrowed {
        let mut possible = |expr: &Expr| self.resolver.possible(expr, given, self.basis);
        match (possible(when), possible(&!when.clone())) {
            (Err(limit), _) | (_, Err(limit)) => Narrowed::Undecided(limit),
            (Ok(false), Ok(false)) => Narrowed::Contradicted,
            (Ok(false), Ok(true)) => Narrowed::Never,
            (Ok(true), Ok(false)) => Narrowed::Same,
            (Ok(true), Ok(true)) => Narrowed::Some,
        }
    }

    /// What a sum comes to.
    pub(super) fn amount(&mut self, sum: &Sum) -> Amount {
        match self.resolver.range_of(sum.fixed, &sum.terms, self.basis) {
            Ok(range) => range.into(),
            Err(limit) => Amount::Undecided(limit),
        }
    }
}
