//! When something is so, as short cases over modifications: what a person would say of an expression.

use crate::history::{is_in, of_form_var, of_unknown, rewrite};
use crate::ids::ModId;
use crate::prop::{Decider, Expr, Limit, Lit};
use crate::schema::Form;
use std::collections::BTreeSet;

/// What a modification has to be in one case.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Is {
    /// Not embodied.
    Out,
    /// Embodied, by any form.
    In,
    /// Embodied by this form.
    By(Form),
    /// Not embodied, or by the other form.
    NotBy(Form),
}

/// A case: all of these together; the empty case is always so.
type Case = Vec<(ModId, Is)>;

/// More cases than this are not listed.
const MOST: usize = 12;

/// An expression over state variables as cases: it is true if one of them is, and in none of them can anything be left
/// out. In table order; `None` if that takes more than a dozen cases, if something of it was not read, or if it was not
/// decided.
///
/// Only that one form is in at a time is taken for granted; serials, dates and claims are not looked at.
#[must_use]
pub fn in_cases(expr: &Expr) -> Option<Expr> {
    Some(Expr::any(cases(expr)?.iter().map(|case| {
        Expr::all(case.iter().map(|(m, is)| match is {
            Is::Out => !is_in(*m, None),
            Is::In => is_in(*m, None),
            Is::By(form) => is_in(*m, Some(*form)),
            Is::NotBy(form) => !is_in(*m, Some(*form)),
        }))
    })))
}

fn cases(expr: &Expr) -> Option<Vec<Case>> {
    let mut read = true;
    expr.each_var(&mut |var| read &= of_unknown(var).is_none());
    if !read {
        return None;
    }
    let mut splitter = Splitter::new(expr);
    let mut found: Vec<Case> = Vec::new();
    while let Some(case) = splitter.next_case().ok()? {
        if found.len() == MOST {
            return None;
        }
        found.push(case);
    }
    found.sort_unstable();
    Some(found)
}

struct Splitter {
    mods: Vec<ModId>,
    decider: Decider,
    yes: Lit,
    no: Lit,
}

impl Splitter {
    fn new(expr: &Expr) -> Splitter {
        let mut named = BTreeSet::new();
        expr.each_var(&mut |var| {
            named.insert(of_form_var(var).0);
        });
        let mods: Vec<ModId> = named.into_iter().collect();
        let place = |m: ModId| mods.binary_search(&m).expect("every modification of the expression was listed");
        let expr = rewrite(expr, &|var| {
            let (m, form) = of_form_var(var);
            form_expr(place(m), form)
        });
        let vars = u32::try_from(2 * mods.len()).expect("a slice holds fewer than 2^31 modifications");
        let mut decider = Decider::new(vars);
        for index in 0..mods.len() {
            decider.require(&Expr::any([!form_expr(index, Form::Production), !form_expr(index, Form::Retrospective)]));
        }
        let (yes, no) = (decider.literal(&expr), decider.literal(&!expr));
        Splitter { mods, decider, yes, no }
    }

    /// The next case that no earlier one covers, weakened until nothing can be left out.
    fn next_case(&mut self) -> Result<Option<Case>, Limit> {
        if !self.decider.possible(&[self.yes])? {
            return Ok(None);
        }
        let value = |index, form| match form_expr(index, form) {
            Expr::Lit(lit) => self.decider.value(lit.var),
            Expr::Const(_) | Expr::All(_) | Expr::Any(_) => false,
        };
        let mut case: Vec<Option<Is>> = (0..self.mods.len())
            .map(|index| {
                let by = [Form::Production, Form::Retrospective].into_iter().find(|form| value(index, *form));
                Some(by.map_or(Is::Out, Is::By))
            })
            .collect();
        for index in 0..case.len() {
            let weaker: &[Option<Is>] = match case[index] {
                Some(Is::By(Form::Production)) => &[None, Some(Is::In), Some(Is::NotBy(Form::Retrospective))],
                Some(Is::By(Form::Retrospective)) => &[None, Some(Is::In), Some(Is::NotBy(Form::Production))],
                _ => &[None, Some(Is::NotBy(Form::Production)), Some(Is::NotBy(Form::Retrospective))],
            };
            let strict = case[index];
            case[index] = weaker
                .iter()
                .copied()
                .find(|try_this| {
                    case[index] = *try_this;
                    self.forces(&case)
                })
                .unwrap_or(strict);
        }
        self.decider.require(&!expr_of(&case));
        let kept = self.mods.iter().zip(case).filter_map(|(m, is)| is.map(|is| (*m, is)));
        Ok(Some(kept.collect()))
    }

    fn forces(&mut self, case: &[Option<Is>]) -> bool {
        let literal = self.decider.literal(&expr_of(case));
        self.decider.possible(&[literal, self.no]) == Ok(false)
    }
}

fn form_expr(index: usize, form: Form) -> Expr {
    let index = u32::try_from(index).expect("a slice holds fewer than 2^31 modifications");
    Expr::var(2 * index + u32::from(form == Form::Retrospective))
}

fn expr_of(case: &[Option<Is>]) -> Expr {
    let any = |index| Expr::any([form_expr(index, Form::Production), form_expr(index, Form::Retrospective)]);
    Expr::all(case.iter().enumerate().map(|(index, is)| match is {
        None => Expr::Const(true),
        Some(Is::Out) => !any(index),
        Some(Is::In) => any(index),
        Some(Is::By(form)) => form_expr(index, *form),
        Some(Is::NotBy(form)) => !form_expr(index, *form),
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::Id;

    fn m(index: usize) -> ModId {
        ModId::from_index(index)
    }

    #[test]
    fn a_case_says_no_more_than_it_must() {
        let by = |form| is_in(m(4), Some(form));
        assert_eq!(cases(&Expr::Const(true)), Some(vec![vec![]]));
        assert_eq!(cases(&Expr::Const(false)), Some(vec![]));
        assert_eq!(cases(&is_in(m(4), None)), Some(vec![vec![(m(4), Is::In)]]));
        assert_eq!(cases(&!is_in(m(4), None)), Some(vec![vec![(m(4), Is::Out)]]));
        assert_eq!(cases(&by(Form::Production)), Some(vec![vec![(m(4), Is::By(Form::Production))]]));
        assert_eq!(cases(&!by(Form::Production)), Some(vec![vec![(m(4), Is::NotBy(Form::Production))]]));
        let both = Expr::all([is_in(m(1), None), !is_in(m(4), None)]);
        assert_eq!(cases(&both), Some(vec![vec![(m(1), Is::In), (m(4), Is::Out)]]));
        assert_eq!(cases(&Expr::all([by(Form::Production), by(Form::Retrospective)])), Some(vec![]));
    }

    #[test]
    fn too_many_cases_are_not_half_listed() {
        let odd = (0..5).map(|index| is_in(m(index), None)).reduce(|a, b| !a.same(b)).expect("there are five");
        assert_eq!(in_cases(&odd), None);
        assert_eq!(in_cases(&is_in(m(1), None)), Some(is_in(m(1), None)));
    }
}
