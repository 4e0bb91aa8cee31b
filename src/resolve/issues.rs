//! Which drawing issue applies to a part in a state.
//!
//! The last issue of the register applies whose modification is embodied, or which raised none and counts for other
//! reasons: see [`IssueView`]. An issue's date may be known only within a window; every day of the window is possible.

use super::encode::{Component, Encoding, EncodingStyle, encode};
use super::{Basis, Reason, Resolver, Truth};
use crate::history::{History, is_in, of_form_var, rewrite};
use crate::ids::{Id, ModId, PartId};
use crate::model::Issue;
use crate::prop::{Decider, Expr, Limit};
use crate::quantity::Day;
use crate::schema::{Form, Standing};
use std::collections::BTreeSet;

/// When an issue that no modification raised counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum IssueView {
    /// For the part as it is fitted in the state: the issue counts if the variant was not fitted at the end of the
    /// issue's day or of some later day, so that it has been built or reworked since.
    AsFitted,
    /// For a part about to be made: it is built after every issue in the register, so that the issue always counts.
    ToMake,
}

/// An issue that applies in some history.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PossibleIssue {
    /// Which issue of the part's drawing; `None`: none of the register applies.
    pub issue: Option<usize>,
    /// Whether the register says that it is interchangeable with the issue before.
    pub interchangeable: Option<bool>,
}

/// What makes an issue count.
enum Mark {
    Always,
    Never,
    /// Its modification is in.
    Raised(ModId),
    /// The variant was not fitted at the end of the issue's day or of some later one; the issue's day lies somewhere from
    /// the first to the last.
    NotFitted(Day, Day),
}

impl Resolver<'_> {
    /// The issues of a part's drawing that can apply where the part is fitted, in the register's order, over the
    /// histories of a basis. `fitted` says when it is fitted, over state variables, on any day: the condition of its
    /// variant and those of all the assemblies around it.
    ///
    /// One issue: it is settled. None at all: the part has no drawing, or no history fits it.
    ///
    /// # Errors
    /// The limit that was met on the way.
    pub fn issues(
        &mut self,
        part: PartId,
        fitted: &Expr,
        view: IssueView,
        basis: Basis,
    ) -> Result<Vec<PossibleIssue>, Limit> {
        let model = self.history.model;
        let Some(drawing) = model.parts[part].drawing else { return Ok(Vec::new()) };
        if !self.history.not_read_of_issue(part, fitted).is_empty() {
            return Err(Limit::NotRead);
        }
        let issues = &model.drawings[drawing].issues;
        let marks: Vec<Mark> = issues.iter().map(|issue| self.mark(issue, fitted, view)).collect();
        let mut asking = self.asking(fitted, &marks, basis)?;
        let mut found = Vec::new();
        let mut later = asking.now(self, fitted);
        for (index, mark) in marks.iter().enumerate().rev() {
            let (possibly, definitely) = asking.mark(self, mark, fitted);
            if asking.possible(self, &Expr::all([later.clone(), possibly]), basis)? {
                found.push(PossibleIssue { issue: Some(index), interchangeable: issues[index].interchangeable });
            }
            later = Expr::all([later, !definitely]);
        }
        if asking.possible(self, &later, basis)? {
            found.push(PossibleIssue { issue: None, interchangeable: None });
        }
        found.reverse();
        Ok(found)
    }

    /// The issues of a part's drawing that can apply in the view asked for, and in the other view.
    ///
    /// Which issue is meant is one rule: lists of what to make give the issue to make to, lists of what was there the
    /// issue as fitted, and where the two differ a row shows both.
    pub fn issues_in_both_views(
        &mut self,
        part: PartId,
        fitted: &Expr,
        view: IssueView,
        basis: Basis,
    ) -> (Result<Vec<PossibleIssue>, Limit>, Result<Vec<PossibleIssue>, Limit>) {
        let asked = self.issues(part, fitted, view, basis);
        let model = self.history.model;
        let issues = model.parts[part].drawing.map_or(&[][..], |drawing| &model.drawings[drawing].issues);
        let same = |issue: &Issue| issue.raised_by.is_some() || issue.date.last() < self.history.built.0;
        if issues.iter().all(same) {
            return (asked.clone(), asked);
        }
        let other = match view {
            IssueView::AsFitted => IssueView::ToMake,
            IssueView::ToMake => IssueView::AsFitted,
        };
        (asked, self.issues(part, fitted, other, basis))
    }

    fn mark(&self, issue: &Issue, fitted: &Expr, view: IssueView) -> Mark {
        if let Some(m) = issue.raised_by {
            return Mark::Raised(m);
        }
        let (first_built, last_built) = self.history.built;
        let (from, to) = (issue.date.first().min(self.target.day), issue.date.last().min(self.target.day));
        if view == IssueView::ToMake || to < first_built {
            Mark::Always
        } else if from >= last_built && self.settle(fitted) == Expr::Const(true) && self.is_original(fitted) {
            Mark::Never
        } else {
            Mark::NotFitted(from, to)
        }
    }

    /// Whether an expression that the serial settles is settled on every day since the airframe was built.
    fn is_original(&self, expr: &Expr) -> bool {
        Resolver::depends_on(expr).iter().all(|m| self.component_of[m.index()].is_none())
    }

    fn asking(&mut self, fitted: &Expr, marks: &[Mark], basis: Basis) -> Result<Asking, Limit> {
        let mut asked = Vec::new();
        let mut about = vec![fitted.clone()];
        for mark in marks {
            match mark {
                Mark::NotFitted(from, to) => asked.extend([(*from, *to), (*to, self.target.day)]),
                Mark::Raised(m) => about.push(is_in(*m, None)),
                Mark::Always | Mark::Never => {}
            }
        }
        if asked.is_empty() {
            return Ok(Asking::Now);
        }
        let mut components = super::components::touched(&self.component_of, &Expr::All(about));
        let (first, last) = self.history.built;
        let mut component = Component::empty(last, last);
        let matters = |component: &usize| {
            let (first, last) = self.components[*component].members.built;
            first < last
        };
        if asked.iter().any(|(from, _)| *from < last) {
            components.extend((0..self.components.len()).filter(matters));
        }
        if asked.iter().any(|(from, _)| *from < last) || components.iter().any(matters) {
            component.built = (first, last);
        }
        component.asked = asked;
        Across::new(self, &components, component, basis).map(|across| Asking::Across(Box::new(across)))
    }
}

/// Questions about the state asked about, and about other days of the same history where that is needed.
enum Asking {
    /// Over state variables, of the state alone.
    Now,
    /// Over the variables of a decider that follows the history through the days asked about.
    Across(Box<Across>),
}

impl Asking {
    fn now(&self, resolver: &Resolver<'_>, expr: &Expr) -> Expr {
        match self {
            Asking::Now => expr.clone(),
            Asking::Across(across) => across.encoding.asked(&resolver.settle(expr)),
        }
    }

    /// When an issue may count, and when it counts on whichever day of its window it was issued.
    fn mark(&self, resolver: &Resolver<'_>, mark: &Mark, fitted: &Expr) -> (Expr, Expr) {
        match (mark, self) {
            (Mark::Always, _) => (Expr::Const(true), Expr::Const(true)),
            (Mark::Never, _) | (Mark::NotFitted(..), Asking::Now) => (Expr::Const(false), Expr::Const(false)),
            (Mark::Raised(m), _) => {
                let raised = self.now(resolver, &is_in(*m, None));
                (raised.clone(), raised)
            }
            (Mark::NotFitted(from, to), Asking::Across(across)) => {
                let missing_since = |day| {
                    let steps = across.encoding.steps.within(day, resolver.target.day);
                    Expr::any(steps.map(|step| !across.fitted_at(resolver, fitted, step)))
                };
                (missing_since(*from), missing_since(*to))
            }
        }
    }

    fn possible(&mut self, resolver: &mut Resolver<'_>, expr: &Expr, basis: Basis) -> Result<bool, Limit> {
        match self {
            Asking::Now => match resolver.truth(expr, basis) {
                Truth::Always | Truth::Open => Ok(true),
                Truth::Never | Truth::NoHistory => Ok(false),
                Truth::Undecided(limit) => Err(limit),
            },
            Asking::Across(across) => {
                let lit = across.decider.literal(expr);
                across.decider.possible(&[lit])
            }
        }
    }
}

/// Some components of one airframe, followed together through further days.
struct Across {
    encoding: Encoding,
    decider: Decider,
}

impl Across {
    fn new(
        resolver: &Resolver<'_>,
        components: &BTreeSet<usize>,
        mut whole: Component,
        basis: Basis,
    ) -> Result<Across, Limit> {
        for component in components {
            let members = &resolver.components[*component].members;
            whole.mods.extend(&members.mods);
            whole.claims.extend(&members.claims);
        }
        whole.mods.sort_unstable();
        whole.claims.sort_unstable();
        let encoding = encode(&resolver.history, &whole, resolver.target, EncodingStyle::Plain);
        let mut decider = Decider::new(encoding.vars);
        encoding.require_in(&mut decider, 0);
        encoding.chosen.iter().for_each(|chosen| decider.require(&Expr::Lit(*chosen)));
        let claims = &resolver.history.airframe().claims;
        for component in components {
            let component = &resolver.components[*component];
            let repairs = component.dropped(basis).as_ref().map_err(|limit| *limit)?;
            decider.require(&Expr::any(repairs.iter().map(|dropped| {
                Expr::all(component.members.claims.iter().map(|claim| {
                    let held = claims[*claim].standing == Standing::Firm || basis == Basis::Held;
                    let switch = encoding.switches[&Reason::Claim(*claim)];
                    Expr::Lit(if held && !dropped.contains(claim) { switch } else { !switch })
                }))
            })));
        }
        Ok(Across { encoding, decider })
    }

    /// The airframe is built and the expression holds, at a step.
    fn fitted_at(&self, resolver: &Resolver<'_>, fitted: &Expr, step: usize) -> Expr {
        let built = self.encoding.built_at(step);
        let holds = rewrite(fitted, &|var| {
            let (m, form) = of_form_var(var);
            match resolver.component_of[m.index()] {
                Some(_) => self.encoding.at(&Expr::var(var), step),
                None if form == Form::Production && covered(&resolver.history, m) => built.clone(),
                None => Expr::Const(false),
            }
        });
        Expr::all([built.clone(), holds])
    }
}

fn covered(history: &History<'_>, m: ModId) -> bool {
    history.possible[m.index()].covered
}
