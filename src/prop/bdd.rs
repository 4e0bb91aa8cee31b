//! Exact counts, by binary decision diagrams.

use super::pool::Pool;
use super::units::Units;
use super::{Expr, Limit, Var};
use num_bigint::BigUint;
use oxidd::bdd::{BDDFunction, BDDManagerRef};
use oxidd::util::SatCountCache;
use oxidd::{BooleanFunction, BooleanFunctionQuant, Manager, ManagerRef};
use std::collections::BTreeSet;
use std::hash::{BuildHasherDefault, DefaultHasher};
use std::ops::{Add, Shl, Shr};

/// A Boolean function over the variables of one [`Diagrams`].
pub type Diagram = BDDFunction;

/// A space of decision diagrams over a fixed number of variables, with a bound on its size.
pub struct Diagrams {
    manager: BDDManagerRef,
    vars: u32,
    limit: usize,
}

impl std::fmt::Debug for Diagrams {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Diagrams over {} variables, at most {} nodes", self.vars, self.limit)
    }
}

impl Diagrams {
    /// An empty space; work in it fails with [`Limit::Nodes`] once it would need more than `limit` nodes.
    #[must_use]
    pub fn new(vars: u32, limit: usize) -> Diagrams {
        let manager = oxidd::bdd::new_manager(limit, (limit / 4).next_power_of_two(), 1);
        manager.with_manager_exclusive(|m| m.add_vars(vars));
        Diagrams { manager, vars, limit }
    }

    /// The function of an expression.
    ///
    /// # Errors
    /// [`Limit::Nodes`].
    pub fn build(&self, expr: &Expr) -> Result<Diagram, Limit> {
        match expr {
            Expr::Const(value) => Ok(self.constant(*value)),
            Expr::Lit(lit) => self.manager.with_manager_shared(|m| {
                let built = if lit.positive { BDDFunction::var(m, lit.var) } else { BDDFunction::not_var(m, lit.var) };
                built.map_err(|_| Limit::Nodes(self.limit))
            }),
            Expr::All(parts) => {
                parts.iter().try_fold(self.constant(true), |so_far, part| self.and(&so_far, &self.build(part)?))
            }
            Expr::Any(parts) => {
                parts.iter().try_fold(self.constant(false), |so_far, part| self.or(&so_far, &self.build(part)?))
            }
        }
    }

    /// Which assignments of the kept variables can be completed so that all requirements hold.
    ///
    /// Variables that are not kept are joined and forgotten one by one, the one with the fewest neighbours first, so
    /// that the whole conjunction never has to be built.
    ///
    /// # Errors
    /// [`Limit::Nodes`].
    pub fn project(&self, requirements: &[Expr], keep: &BTreeSet<Var>) -> Result<Diagram, Limit> {
        let Some(units) = Units::of(self.vars, [], requirements) else { return Ok(self.constant(false)) };
        let fixed = units.literals().map(Expr::Lit);
        let requirements: Vec<Expr> = units.rest.iter().cloned().chain(fixed).collect();
        let mut pool = self.pool(&requirements, keep)?;
        while let Some((var, support, parts)) = pool.next() {
            let joined = parts.iter().try_fold(self.constant(true), |joined, part| self.and(&joined, part))?;
            let left = joined.exists(&self.build(&Expr::var(var))?).map_err(|_| Limit::Nodes(self.limit))?;
            pool.put_back(support, left);
        }
        pool.parts.values().try_fold(self.constant(true), |so_far, (_, part)| self.and(&so_far, part))
    }

    /// Requirements as functions to be joined, with what is to be forgotten.
    fn pool(&self, requirements: &[Expr], keep: &BTreeSet<Var>) -> Result<Pool<Diagram>, Limit> {
        let mut parts = Vec::new();
        for requirement in requirements {
            let mut support = BTreeSet::new();
            requirement.each_var(&mut |var| {
                support.insert(var);
            });
            parts.push((support, self.build(requirement)?));
        }
        Ok(Pool::new(parts, keep))
    }

    /// Both.
    ///
    /// # Errors
    /// [`Limit::Nodes`].
    pub fn and(&self, a: &Diagram, b: &Diagram) -> Result<Diagram, Limit> {
        a.and(b).map_err(|_| Limit::Nodes(self.limit))
    }

    /// Either.
    ///
    /// # Errors
    /// [`Limit::Nodes`].
    pub fn or(&self, a: &Diagram, b: &Diagram) -> Result<Diagram, Limit> {
        a.or(b).map_err(|_| Limit::Nodes(self.limit))
    }

    /// The function that is everywhere true or everywhere false.
    #[must_use]
    pub fn constant(&self, value: bool) -> Diagram {
        self.manager.with_manager_shared(|m| if value { BDDFunction::t(m) } else { BDDFunction::f(m) })
    }

    /// How many assignments of `kept` variables the function holds in; it must not depend on any other.
    #[must_use]
    pub fn count(&self, function: &Diagram, kept: usize) -> BigUint {
        let mut cache: SatCountCache<Count, BuildHasherDefault<DefaultHasher>> = SatCountCache::default();
        let all = function.sat_count(self.vars, &mut cache).0;
        all >> (self.vars as usize - kept)
    }
}

/// A count of any size, in the shape in which the diagram library adds it up.
#[derive(Clone)]
struct Count(BigUint);

impl From<u32> for Count {
    fn from(value: u32) -> Count {
        Count(BigUint::from(value))
    }
}
impl Add for Count {
    type Output = Count;
    fn add(self, other: Count) -> Count {
        Count(self.0 + other.0)
    }
}
impl Shl<u32> for Count {
    type Output = Count;
    fn shl(self, by: u32) -> Count {
        Count(self.0 << by)
    }
}
impl Shr<u32> for Count {
    type Output = Count;
    fn shr(self, by: u32) -> Count {
        Count(self.0 >> by)
    }
}
impl oxidd::util::IsFloatingPoint for Count {
    const FLOATING_POINT: bool = false;
    const MIN_EXP: i32 = 0;
}
