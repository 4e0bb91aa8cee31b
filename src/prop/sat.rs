//! Yes/no questions, decided by a SAT solver.

use super::{Expr, Limit, Lit, Var};
use rustsat::encodings::card::{BoundUpper, BoundUpperIncremental, Totalizer};
use rustsat::instances::{BasicVarManager, ManageVars};
use rustsat::solvers::{Solve, SolveIncremental, SolverResult};
use rustsat::types::{Clause, Lit as SatLit, TernaryVal, Var as SatVar};
use rustsat_batsat::BasicSolver;

/// A set of requirements over variables, with exact answers to what is possible under assumptions.
///
/// Invariant: after [`possible`](Decider::possible) answered true, [`value`](Decider::value) tells one assignment that
/// meets all requirements and assumptions; after it answered false, [`core`](Decider::core) tells assumptions that
/// cannot hold together.
pub struct Decider {
    solver: BasicSolver,
    vars: u32,
    core: Vec<Lit>,
    model: Vec<bool>,
    requirements: usize,
}

impl std::fmt::Debug for Decider {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Decider over {} variables, {} requirements", self.vars, self.requirements)
    }
}

impl Decider {
    /// No requirements yet over this many variables.
    #[must_use]
    pub fn new(vars: u32) -> Decider {
        Decider { solver: BasicSolver::default(), vars, core: Vec::new(), model: Vec::new(), requirements: 0 }
    }

    /// A fresh variable.
    pub fn fresh(&mut self) -> Lit {
        self.vars += 1;
        Lit { var: self.vars - 1, positive: true }
    }

    /// Requires the expression to hold.
    pub fn require(&mut self, expr: &Expr) {
        self.requirements += 1;
        match expr {
            Expr::Const(true) => {}
            Expr::Const(false) => self.clause(Vec::new()),
            Expr::Lit(lit) => self.clause(vec![*lit]),
            Expr::All(parts) => parts.iter().for_each(|part| self.require(part)),
            Expr::Any(parts) => {
                let lits = parts.iter().map(|part| self.literal(part)).collect();
                self.clause(lits);
            }
        }
    }

    /// Requires the expression to hold wherever the guard does.
    pub fn require_if(&mut self, guard: Lit, expr: &Expr) {
        self.require(&Expr::Lit(guard).implies(expr.clone()));
    }

    /// A literal that can be assumed in the place of the expression: it implies the expression, and constrains nothing
    /// while it is not assumed.
    pub fn literal(&mut self, expr: &Expr) -> Lit {
        match expr {
            Expr::Lit(lit) => *lit,
            Expr::Const(_) | Expr::All(_) | Expr::Any(_) => {
                let stand_in = self.fresh();
                match expr {
                    Expr::Const(true) | Expr::Lit(_) => {}
                    Expr::Const(false) => self.clause(vec![!stand_in]),
                    Expr::All(parts) => {
                        for part in parts {
                            let lit = self.literal(part);
                            self.clause(vec![!stand_in, lit]);
                        }
                    }
                    Expr::Any(parts) => {
                        let mut lits: Vec<Lit> = parts.iter().map(|part| self.literal(part)).collect();
                        lits.push(!stand_in);
                        self.clause(lits);
                    }
                }
                stand_in
            }
        }
    }

    /// Whether all requirements and these assumptions can hold together.
    pub fn possible(&mut self, assumptions: &[Lit]) -> bool {
        if self.vars > 0 {
            self.solver.reserve(sat_var(self.vars - 1)).expect("the solver takes as many variables as fit in memory");
        }
        let assumed: Vec<SatLit> = assumptions.iter().copied().map(sat_lit).collect();
        match self.solver.solve_assumps(&assumed).expect("the solver has no failing state between calls") {
            SolverResult::Sat => {
                self.model.clear();
                for var in 0..self.vars {
                    let value =
                        self.solver.var_val(sat_var(var)).expect("a satisfied solver has a value for each variable");
                    self.model.push(value == TernaryVal::True);
                }
                true
            }
            SolverResult::Unsat => {
                let core = self.solver.core().expect("an unsatisfied solver has a core");
                self.core = core.into_iter().map(|lit| !from_sat(lit)).collect();
                self.core.sort_unstable();
                false
            }
            SolverResult::Interrupted => unreachable!("the solver is given neither a budget nor a terminator"),
        }
    }

    /// The value of a variable in the last assignment found.
    #[must_use]
    pub fn value(&self, var: Var) -> bool {
        self.model.get(var as usize).copied().unwrap_or(false)
    }

    /// Assumptions of the last impossible question that cannot hold together; not necessarily a smallest set.
    #[must_use]
    pub fn core(&self) -> &[Lit] {
        &self.core
    }

    /// All cheapest sets of switches that are off in some assignment that meets the requirements.
    ///
    /// `costs` gives, from the most to the least important criterion, the switches of which as few as possible may be
    /// off. Each switch that may be off has to be in at least one criterion. Gives every best set, sorted; none if
    /// the requirements cannot be met at all.
    ///
    /// # Errors
    /// [`Limit::Repairs`] if there are more than `most` best sets.
    pub fn cheapest_off(&mut self, switches: &[Lit], costs: &[Vec<Lit>], most: usize) -> Result<Vec<Vec<Lit>>, Limit> {
        if !self.possible(&[]) {
            return Ok(Vec::new());
        }
        let mut bounds = Vec::new();
        for criterion in costs {
            if !criterion.is_empty() {
                bounds.extend(self.minimise(criterion, &bounds));
            }
        }
        let mut found = Vec::new();
        let blocking = self.fresh();
        bounds.push(blocking);
        while self.possible(&bounds) {
            let off: Vec<Lit> = switches.iter().copied().filter(|s| self.value(s.var) != s.positive).collect();
            if found.len() == most {
                return Err(Limit::Repairs(most));
            }
            let mut clause = off.clone();
            clause.push(!blocking);
            self.clause(clause);
            found.push(off);
        }
        found.sort();
        Ok(found)
    }

    /// The assumptions that hold the number of switches off down to the least that is possible under `bounds`.
    fn minimise(&mut self, criterion: &[Lit], bounds: &[Lit]) -> Vec<Lit> {
        let off = |decider: &Decider| criterion.iter().filter(|s| decider.value(s.var) != s.positive).count();
        assert!(self.possible(bounds), "earlier bounds are met by the assignment that set them");
        let mut least = off(self);
        let mut totalizer: Totalizer = criterion.iter().map(|s| sat_lit(!*s)).collect();
        let mut manager = BasicVarManager::from_next_free(sat_var(self.vars));
        totalizer
            .encode_ub_change(0..=criterion.len(), &mut self.solver, &mut manager)
            .expect("the encoding of a few claims fits in memory");
        self.vars = manager.max_var().map_or(self.vars, |var| var.idx32() + 1);
        let at_most = |n: usize| -> Vec<Lit> {
            let lits = totalizer.enforce_ub(n).expect("every bound was encoded");
            lits.into_iter().map(from_sat).collect()
        };
        while least > 0 {
            let mut tighter = bounds.to_vec();
            tighter.extend(at_most(least - 1));
            if !self.possible(&tighter) {
                break;
            }
            least = off(self);
        }
        at_most(least)
    }

    fn clause(&mut self, lits: Vec<Lit>) {
        let clause: Clause = lits.into_iter().map(sat_lit).collect();
        self.solver.add_clause(clause).expect("the solver takes clauses in every state");
    }
}

fn sat_var(var: Var) -> SatVar {
    SatVar::new(var)
}

fn sat_lit(lit: Lit) -> SatLit {
    SatLit::new(lit.var, !lit.positive)
}

fn from_sat(lit: SatLit) -> Lit {
    Lit { var: lit.vidx32(), positive: lit.is_pos() }
}
