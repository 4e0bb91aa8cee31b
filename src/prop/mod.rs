//! The propositional core: expressions, exact decisions over them, exact counts.
//!
//! This room knows nothing of airframes. Two engines stand behind it: a SAT solver ([`Decider`]) for every yes/no
//! question, and binary decision diagrams ([`Diagrams`]) for counting. Nothing outside this room names either.

mod bdd;
mod pool;
mod sat;
mod units;
mod weigh;

pub use bdd::{Diagram, Diagrams};
pub use sat::Decider;
pub use units::Units;
pub use weigh::{End, Scales, Weight};

/// A variable, numbered from 0.
pub type Var = u32;

/// A variable or its negation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Lit {
    /// The variable.
    pub var: Var,
    /// Whether it must be true.
    pub positive: bool,
}

impl std::ops::Not for Lit {
    type Output = Lit;
    fn not(self) -> Lit {
        Lit { positive: !self.positive, ..self }
    }
}

/// A propositional expression in negation normal form.
///
/// Invariant (kept by [`Expr::all`] and [`Expr::any`]): a constant stands only at the top, never inside.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Expr {
    /// True or false.
    Const(bool),
    /// A variable or its negation.
    Lit(Lit),
    /// All hold.
    All(Vec<Expr>),
    /// At least one holds.
    Any(Vec<Expr>),
}

/// Up to so many parts, "at most one" is written pair by pair.
const PAIRWISE: usize = 6;

impl Expr {
    /// A variable.
    #[must_use]
    pub fn var(var: Var) -> Expr {
        Expr::Lit(Lit { var, positive: true })
    }
    /// All of these, with constants folded.
    #[must_use]
    pub fn all(parts: impl IntoIterator<Item = Expr>) -> Expr {
        Expr::fold(parts, true)
    }
    /// At least one of these, with constants folded.
    #[must_use]
    pub fn any(parts: impl IntoIterator<Item = Expr>) -> Expr {
        Expr::fold(parts, false)
    }
    /// At most one of these.
    ///
    /// Small sets are written pair by pair; larger ones by halves: at most one in each half, and none in one of them. That
    /// takes n log n literals for n parts, not n², needs no variable of its own, and propagates as the pairs do.
    #[must_use]
    pub fn at_most_one(parts: &[Expr]) -> Expr {
        if parts.len() <= PAIRWISE {
            let rest = |at: usize| parts[at + 1..].iter();
            let pairs = parts.iter().enumerate().flat_map(|(at, a)| rest(at).map(move |b| (a, b)));
            return Expr::all(pairs.map(|(a, b)| Expr::any([!a.clone(), !b.clone()])));
        }
        let (left, right) = parts.split_at(parts.len() / 2);
        let none = |half: &[Expr]| Expr::all(half.iter().map(|part| !part.clone()));
        Expr::all([Expr::at_most_one(left), Expr::at_most_one(right), Expr::any([none(left), none(right)])])
    }
    fn fold(parts: impl IntoIterator<Item = Expr>, conjunction: bool) -> Expr {
        // Most have one part that is no constant: that one needs no list.
        let mut first = None;
        let mut kept = Vec::new();
        for part in parts {
            match part {
                Expr::Const(value) if value == conjunction => {}
                Expr::Const(value) => return Expr::Const(value),
                part @ (Expr::Lit(_) | Expr::All(_) | Expr::Any(_)) if kept.is_empty() && first.is_none() => {
                    first = Some(part);
                }
                part @ (Expr::Lit(_) | Expr::All(_) | Expr::Any(_)) => {
                    first.take().into_iter().chain([part]).for_each(|part| match part {
                        Expr::All(inner) if conjunction => kept.extend(inner),
                        Expr::Any(inner) if !conjunction => kept.extend(inner),
                        part @ (Expr::Const(_) | Expr::Lit(_) | Expr::All(_) | Expr::Any(_)) => kept.push(part),
                    });
                }
            }
        }
        match first {
            Some(only) => only,
            None if kept.is_empty() => Expr::Const(conjunction),
            None if conjunction => Expr::All(kept),
            None => Expr::Any(kept),
        }
    }
    /// The first implies the second.
    #[must_use]
    pub fn implies(self, then: Expr) -> Expr {
        match (self, then) {
            (Expr::Const(false), _) | (_, Expr::Const(true)) => Expr::Const(true),
            (Expr::Const(true), then) => then,
            (this, then) => Expr::any([!this, then]),
        }
    }
    /// Both have the same value.
    #[cfg(test)]
    pub(crate) fn same(self, other: Expr) -> Expr {
        Expr::all([self.clone().implies(other.clone()), other.implies(self)])
    }
    /// The value under an assignment.
    pub fn value(&self, assignment: &impl Fn(Var) -> bool) -> bool {
        match self {
            Expr::Const(value) => *value,
            Expr::Lit(lit) => assignment(lit.var) == lit.positive,
            Expr::All(parts) => parts.iter().all(|part| part.value(assignment)),
            Expr::Any(parts) => parts.iter().any(|part| part.value(assignment)),
        }
    }
    /// The expression with some variables replaced by constants.
    #[must_use]
    pub fn with(&self, known: &impl Fn(Var) -> Option<bool>) -> Expr {
        match self {
            Expr::Const(_) => self.clone(),
            Expr::Lit(lit) => known(lit.var).map_or(Expr::Lit(*lit), |value| Expr::Const(value == lit.positive)),
            Expr::All(parts) => Expr::all(parts.iter().map(|part| part.with(known))),
            Expr::Any(parts) => Expr::any(parts.iter().map(|part| part.with(known))),
        }
    }
    /// Calls `visit` with every variable in the expression.
    pub fn each_var(&self, visit: &mut impl FnMut(Var)) {
        match self {
            Expr::Const(_) => {}
            Expr::Lit(lit) => visit(lit.var),
            Expr::All(parts) | Expr::Any(parts) => parts.iter().for_each(|part| part.each_var(visit)),
        }
    }
}

impl From<Lit> for Expr {
    fn from(lit: Lit) -> Expr {
        Expr::Lit(lit)
    }
}

impl std::ops::Not for Expr {
    type Output = Expr;
    fn not(self) -> Expr {
        match self {
            Expr::Const(value) => Expr::Const(!value),
            Expr::Lit(lit) => Expr::Lit(!lit),
            Expr::All(parts) => Expr::Any(parts.into_iter().map(|part| !part).collect()),
            Expr::Any(parts) => Expr::All(parts.into_iter().map(|part| !part).collect()),
        }
    }
}

/// A bound that exact work would have exceeded. An answer that met one is not given at all.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Limit {
    /// Counting needed more decision-diagram nodes than this.
    Nodes(usize),
    /// There are more smallest repairs than this.
    Repairs(usize),
    /// It rests on something that was not read.
    NotRead,
    /// A yes-or-no question took more conflicts of the solver than this.
    Conflicts(u64),
}

impl std::fmt::Display for Limit {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Limit::Nodes(nodes) => {
                write!(f, "too much is open to be counted in {nodes} steps, the limit; find out some of it first")
            }
            Limit::Repairs(repairs) => write!(f, "there are more than {repairs} smallest sets of claims to doubt"),
            Limit::NotRead => f.write_str("it rests on something that was not read"),
            Limit::Conflicts(conflicts) => write!(
                f,
                "it takes more than {conflicts} steps, the limit; enter what else is known, or write the conditions with \
                 fewer modifications"
            ),
        }
    }
}
