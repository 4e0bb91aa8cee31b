//! What follows from requirements by putting fixed variables in place, again and again.

use super::{Expr, Lit, Var};

/// What single literals among the requirements fix, and what is left to meet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Units {
    /// For each variable the value that it must have, where that follows.
    fixed: Vec<Option<bool>>,
    /// What the requirements still ask of the others.
    pub rest: Vec<Expr>,
}

impl Units {
    /// Puts fixed variables in place in the requirements until none is left that a single literal fixes; `None` if
    /// they turn out not to hold together. That `rest` can be met is not said.
    ///
    /// `vars` is more than any variable's number; `given` are fixed from the start.
    pub fn of<'e>(
        vars: u32,
        given: impl IntoIterator<Item = Lit>,
        requirements: impl IntoIterator<Item = &'e Expr>,
    ) -> Option<Units> {
        let mut units = Units { fixed: vec![None; vars as usize], rest: Vec::new() };
        for lit in given {
            units.fix(lit);
        }
        let mut before = 0;
        let mut open = Vec::new();
        for requirement in requirements {
            units.take(units.with(requirement), &mut open)?;
        }
        while before != units.count() {
            before = units.count();
            for requirement in std::mem::take(&mut open) {
                units.take(units.with(&requirement), &mut open)?;
            }
        }
        units.rest = open;
        Some(units)
    }

    /// The value that a variable must have.
    #[must_use]
    pub fn value(&self, var: Var) -> Option<bool> {
        self.fixed.get(var as usize).copied().flatten()
    }

    /// The expression with every fixed variable put in place.
    #[must_use]
    pub fn with(&self, expr: &Expr) -> Expr {
        expr.with(&|var| self.value(var))
    }

    /// The fixed variables, as literals.
    pub fn literals(&self) -> impl Iterator<Item = Lit> + '_ {
        (0..).zip(&self.fixed).filter_map(|(var, value)| Some(Lit { var, positive: (*value)? }))
    }

    fn count(&self) -> usize {
        self.fixed.iter().flatten().count()
    }

    fn fix(&mut self, lit: Lit) {
        self.fixed[lit.var as usize] = Some(lit.positive);
    }

    fn take(&mut self, requirement: Expr, open: &mut Vec<Expr>) -> Option<()> {
        match requirement {
            Expr::Const(true) => {}
            Expr::Const(false) => return None,
            Expr::Lit(lit) => self.fix(lit),
            Expr::All(parts) => {
                for part in parts {
                    self.take(self.with(&part), open)?;
                }
            }
            any @ Expr::Any(_) => open.push(any),
        }
        Some(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_follows_is_put_in_place() {
        let v = Expr::var;
        let chain = [v(0).implies(v(1)), v(1).implies(v(2)), Expr::any([v(3), v(4)]), v(0)];
        let units = Units::of(5, [], &chain).expect("they hold together");
        assert_eq!([0, 1, 2, 3].map(|var| units.value(var)), [Some(true), Some(true), Some(true), None]);
        assert_eq!(units.rest, [Expr::any([v(3), v(4)])]);
        assert_eq!(Units::of(5, [Lit { var: 2, positive: false }], &chain), None);
    }
}
