//! Yes/no questions, decided by a SAT solver.

use super::weigh::{End, Scales};
use super::{Expr, Limit, Lit, Var};
use batsat::{Callbacks, ClauseKind};
use rustsat::encodings::card::{BoundUpper, BoundUpperIncremental, Totalizer};
use rustsat::instances::{BasicVarManager, Cnf, ManageVars};
use rustsat::solvers::{Solve, SolveIncremental, SolverResult};
use rustsat::types::{Clause, Lit as SatLit, TernaryVal, Var as SatVar};

/// Counts the conflicts of one question and says when there are too many. Work, not time: the same on every machine.
#[derive(Default)]
struct ConflictCount {
    conflicts: u64,
    most: u64,
}

impl Callbacks for ConflictCount {
    fn on_new_clause(&mut self, _: &[batsat::Lit], kind: ClauseKind) {
        if kind == ClauseKind::Learnt {
            self.conflicts += 1;
        }
    }
    fn stop(&self) -> bool {
        self.conflicts > self.most
    }
}

/// Conflicts that one question may take.
const CONFLICTS: u64 = 20_000;

/// Conflicts that all questions to one decider may take together beyond [`EASY`] each.
const CONFLICTS_IN_ALL: u64 = 60_000;

/// Conflicts that every question may take, however many were asked before it.
const EASY: u64 = 2_000;

/// Decision-diagram nodes that a question may take which the solver gave up.
const NODES: usize = 1 << 17;

/// A set of requirements over variables, with exact answers to what is possible under assumptions.
///
/// A question that takes the solver too many conflicts is put to decision diagrams, which see through parities and
/// counting that a solver cannot; where they grow too large as well, the answer is the limit.
///
/// Invariant: after [`possible`](Decider::possible) answered true, [`value`](Decider::value) tells one assignment that
/// meets all requirements and assumptions; after it answered false, [`core`](Decider::core) tells assumptions that
/// cannot hold together.
pub struct Decider {
    solver: rustsat_batsat::Solver<ConflictCount>,
    /// Every clause, one after the other, each with its length before it.
    clauses: Vec<Lit>,
    lengths: Vec<u32>,
    vars: u32,
    core: Vec<Lit>,
    model: Vec<bool>,
    requirements: usize,
    /// What is left of the conflicts for all questions.
    left: u64,
    /// How often the diagrams may still grow too large.
    diagrams_left: u32,
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
        Decider {
            solver: rustsat_batsat::Solver::default(),
            clauses: Vec::new(),
            lengths: Vec::new(),
            vars,
            core: Vec::new(),
            model: Vec::new(),
            requirements: 0,
            left: CONFLICTS_IN_ALL,
            diagrams_left: 2,
        }
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
                let literal = self.fresh();
                match expr {
                    Expr::Const(true) | Expr::Lit(_) => {}
                    Expr::Const(false) => self.clause(vec![!literal]),
                    Expr::All(parts) => {
                        for part in parts {
                            let lit = self.literal(part);
                            self.clause(vec![!literal, lit]);
                        }
                    }
                    Expr::Any(parts) => {
                        let mut lits: Vec<Lit> = parts.iter().map(|part| self.literal(part)).collect();
                        lits.push(!literal);
                        self.clause(lits);
                    }
                }
                literal
            }
        }
    }

    /// Whether all requirements and these assumptions can hold together.
    ///
    /// # Errors
    /// [`Limit::Conflicts`] if neither the solver nor decision diagrams found out within their bounds.
    pub fn possible(&mut self, assumptions: &[Lit]) -> Result<bool, Limit> {
        if self.vars > 0 {
            self.solver.reserve(sat_var(self.vars - 1)).expect("the solver takes as many variables as fit in memory");
        }
        let assumed: Vec<SatLit> = assumptions.iter().copied().map(sat_lit).collect();
        let most = EASY + self.left.min(CONFLICTS - EASY);
        *self.solver.batsat_mut().cb_mut() = ConflictCount { conflicts: 0, most };
        let result = self.solver.solve_assumps(&assumed).expect("the solver has no failing state between calls");
        let taken = self.solver.batsat_ref().cb().conflicts;
        self.left -= taken.saturating_sub(EASY).min(self.left);
        match result {
            SolverResult::Sat => {
                self.model.clear();
                for var in 0..self.vars {
                    let value =
                        self.solver.var_val(sat_var(var)).expect("a satisfied solver has a value for each variable");
                    self.model.push(value == TernaryVal::True);
                }
                Ok(true)
            }
            SolverResult::Unsat => {
                let core = self.solver.core().expect("an unsatisfied solver has a core");
                self.core = core.into_iter().map(|lit| !from_sat(lit)).collect();
                self.core.sort_unstable();
                Ok(false)
            }
            SolverResult::Interrupted => self.possible_by_diagrams(assumptions, most),
        }
    }

    /// The same by decision diagrams.
    fn possible_by_diagrams(&mut self, assumptions: &[Lit], most: u64) -> Result<bool, Limit> {
        if self.diagrams_left == 0 {
            return Err(Limit::Conflicts(most));
        }
        let mut at = 0;
        let mut clauses: Vec<Expr> = assumptions.iter().copied().map(Expr::Lit).collect();
        for length in &self.lengths {
            let end = at + *length as usize;
            clauses.push(Expr::any(self.clauses[at..end].iter().copied().map(Expr::Lit)));
            at = end;
        }
        let Ok(model) = Scales::new(End::Least, NODES).assignment(self.vars, &clauses) else {
            self.diagrams_left -= 1;
            return Err(Limit::Conflicts(most));
        };
        let possible = model.is_some();
        if let Some(model) = model {
            self.model = model;
        } else {
            self.core = assumptions.to_vec();
            self.core.sort_unstable();
        }
        Ok(possible)
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
    /// [`Limit::Repairs`] if there are more than `most` best sets; the limit of a question.
    pub fn cheapest_off(&mut self, switches: &[Lit], costs: &[Vec<Lit>], most: usize) -> Result<Vec<Vec<Lit>>, Limit> {
        if !self.possible(&[])? {
            return Ok(Vec::new());
        }
        let mut bounds = Vec::new();
        for criterion in costs {
            if !criterion.is_empty() {
                bounds.extend(self.minimise(criterion, &bounds)?);
            }
        }
        let mut found = Vec::new();
        let blocking = self.fresh();
        bounds.push(blocking);
        while self.possible(&bounds)? {
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
    fn minimise(&mut self, criterion: &[Lit], bounds: &[Lit]) -> Result<Vec<Lit>, Limit> {
        let off = |decider: &Decider| criterion.iter().filter(|s| decider.value(s.var) != s.positive).count();
        assert!(self.possible(bounds)?, "earlier bounds are met by the assignment that set them");
        let mut least = off(self);
        let mut totalizer: Totalizer = criterion.iter().map(|s| sat_lit(!*s)).collect();
        let mut manager = BasicVarManager::from_next_free(sat_var(self.vars));
        let mut encoded = Cnf::new();
        totalizer
            .encode_ub_change(0..=criterion.len(), &mut encoded, &mut manager)
            .expect("the encoding of a few claims fits in memory");
        for clause in encoded {
            self.clause(clause.into_iter().map(from_sat).collect());
        }
        self.vars = manager.max_var().map_or(self.vars, |var| var.idx32() + 1);
        let at_most = |n: usize| -> Vec<Lit> {
            let lits = totalizer.enforce_ub(n).expect("every bound was encoded");
            lits.into_iter().map(from_sat).collect()
        };
        while least > 0 {
            let mut tighter = bounds.to_vec();
            tighter.extend(at_most(least - 1));
            if !self.possible(&tighter)? {
                break;
            }
            least = off(self);
        }
        Ok(at_most(least))
    }

    fn clause(&mut self, lits: Vec<Lit>) {
        self.lengths.push(u32::try_from(lits.len()).expect("a clause fits in memory"));
        self.clauses.extend(&lits);
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
