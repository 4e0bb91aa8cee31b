//! The least and the most of a total, by decision diagrams whose leaves are quantities.

use super::pool::Pool;
use super::units::Units;
use super::{Expr, Limit, Var};
use std::collections::{BTreeSet, HashMap};

/// A function from assignments to a quantity, or to "not allowed": an index into its [`Scales`].
///
/// A requirement is such a function too: nothing where it holds, not allowed where it does not.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Weight(u32);

/// Which end of a total is looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum End {
    /// The least.
    Least,
    /// The most.
    Most,
}

/// What can be done with two functions.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Operation {
    /// Both together; not allowed where either is not. For requirements: both hold.
    Add,
    /// The better of the two; what is not allowed is worst. For requirements: either holds.
    Better,
    /// The better of the function's values for a variable, whose number stands in the place of the second.
    Forget,
    /// So many times the function; the number stands in the place of the second, as an index of `factors`.
    Times,
}

/// A node: a leaf, or a variable with where it leads when false and when true.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum DiagramNode {
    Leaf(Option<u64>),
    Fork(Var, Weight, Weight),
}

/// A space of such functions, in which one end of a total is looked for.
///
/// Equal functions are one node, so that what is used many times is kept and worked on once. Invariant: variables come
/// in ascending order on every way from the top.
#[derive(Debug)]
pub struct Scales {
    end: End,
    limit: usize,
    nodes: Vec<DiagramNode>,
    known: HashMap<DiagramNode, Weight>,
    steps: HashMap<(Operation, Weight, u32), Weight>,
    factors: Vec<u64>,
}

impl Scales {
    /// An empty space; work in it fails with [`Limit::Nodes`] once it would need more than `limit` nodes.
    #[must_use]
    pub fn new(end: End, limit: usize) -> Scales {
        let (nodes, factors) = (Vec::new(), Vec::new());
        Scales { end, limit, nodes, known: HashMap::new(), steps: HashMap::new(), factors }
    }

    /// The same quantity everywhere; `None`: allowed nowhere.
    ///
    /// # Errors
    /// [`Limit::Nodes`].
    pub fn constant(&mut self, quantity: Option<u64>) -> Result<Weight, Limit> {
        self.node(DiagramNode::Leaf(quantity))
    }

    /// The requirement that an expression holds.
    ///
    /// # Errors
    /// [`Limit::Nodes`].
    pub fn requirement(&mut self, expr: &Expr) -> Result<Weight, Limit> {
        let (nothing, forbidden) = (self.constant(Some(0))?, self.constant(None)?);
        match expr {
            Expr::Const(value) => Ok(if *value { nothing } else { forbidden }),
            Expr::Lit(lit) if lit.positive => self.node(DiagramNode::Fork(lit.var, forbidden, nothing)),
            Expr::Lit(lit) => self.node(DiagramNode::Fork(lit.var, nothing, forbidden)),
            Expr::All(parts) => self.fold(Operation::Add, parts, nothing),
            Expr::Any(parts) => self.fold(Operation::Better, parts, forbidden),
        }
    }

    fn fold(&mut self, step: Operation, parts: &[Expr], start: Weight) -> Result<Weight, Limit> {
        let mut so_far = start;
        for part in parts {
            let part = self.requirement(part)?;
            so_far = self.apply(step, so_far, part)?;
        }
        Ok(so_far)
    }

    /// Both together.
    ///
    /// # Errors
    /// [`Limit::Nodes`].
    pub fn add(&mut self, a: Weight, b: Weight) -> Result<Weight, Limit> {
        self.apply(Operation::Add, a, b)
    }

    /// So many times the function where the expression holds, and nothing elsewhere.
    ///
    /// # Errors
    /// [`Limit::Nodes`].
    pub fn times_where(&mut self, times: u64, weight: Weight, when: &Expr) -> Result<Weight, Limit> {
        self.factors.push(times);
        let factor = u32::try_from(self.factors.len() - 1).expect("there are fewer factors than nodes");
        let weight = self.unary(Operation::Times, weight, factor)?;
        let (holds, fails) = (self.requirement(when)?, self.requirement(&!when.clone())?);
        let there = self.apply(Operation::Add, holds, weight)?;
        self.apply(Operation::Better, there, fails)
    }

    /// The best that all of these come to together over all assignments; `None` if none is allowed.
    ///
    /// Variables are forgotten one by one, the one with the fewest neighbours first, so that the whole never has to be
    /// built.
    ///
    /// # Errors
    /// [`Limit::Nodes`].
    pub fn best(&mut self, together: &[Weight]) -> Result<Option<u64>, Limit> {
        self.forget_all(together, &mut Vec::new())
    }

    /// An assignment of so many variables in which all requirements hold, if there is one.
    ///
    /// What was joined for each variable when it was forgotten gives its value, the last one first.
    ///
    /// # Errors
    /// [`Limit::Nodes`].
    pub fn assignment(&mut self, vars: Var, requirements: &[Expr]) -> Result<Option<Vec<bool>>, Limit> {
        let Some(units) = Units::of(vars, [], requirements) else { return Ok(None) };
        let mut together = Vec::new();
        for requirement in &units.rest {
            together.push(self.requirement(requirement)?);
        }
        let mut forgotten = Vec::new();
        if self.forget_all(&together, &mut forgotten)?.is_none() {
            return Ok(None);
        }
        let mut values: Vec<bool> = (0..vars).map(|var| units.value(var).unwrap_or(false)).collect();
        for (var, joined) in forgotten.into_iter().rev() {
            values[var as usize] = true;
            values[var as usize] = self.value(joined, &values).is_some();
        }
        Ok(Some(values))
    }

    /// The best of all together; each variable goes to `forgotten` with the join of what depended on it.
    fn forget_all(&mut self, together: &[Weight], forgotten: &mut Vec<(Var, Weight)>) -> Result<Option<u64>, Limit> {
        let parts: Vec<(BTreeSet<Var>, Weight)> = together.iter().map(|part| (self.support(*part), *part)).collect();
        let mut pool = Pool::new(parts, &BTreeSet::new());
        while let Some((var, support, parts)) = pool.next() {
            if support.len() > DEEPEST {
                return Err(Limit::Nodes(self.limit));
            }
            let mut joined = self.constant(Some(0))?;
            for part in parts {
                joined = self.apply(Operation::Add, joined, part)?;
            }
            forgotten.push((var, joined));
            let left = self.unary(Operation::Forget, joined, var)?;
            pool.put_back(support, left);
        }
        let mut best = Some(0u64);
        for (_, part) in pool.parts.values() {
            let DiagramNode::Leaf(quantity) = self.nodes[part.0 as usize] else { continue };
            best = best.zip(quantity).map(|(a, b)| a + b);
        }
        Ok(best)
    }

    fn value(&self, mut weight: Weight, values: &[bool]) -> Option<u64> {
        loop {
            match self.nodes[weight.0 as usize] {
                DiagramNode::Leaf(quantity) => return quantity,
                DiagramNode::Fork(var, low, high) => weight = if values[var as usize] { high } else { low },
            }
        }
    }

    fn support(&self, weight: Weight) -> BTreeSet<Var> {
        let (mut found, mut seen) = (BTreeSet::new(), BTreeSet::from([weight]));
        let mut open = vec![weight];
        while let Some(weight) = open.pop() {
            if let DiagramNode::Fork(var, low, high) = self.nodes[weight.0 as usize] {
                found.insert(var);
                open.extend([low, high].into_iter().filter(|next| seen.insert(*next)));
            }
        }
        found
    }

    fn node(&mut self, node: DiagramNode) -> Result<Weight, Limit> {
        if let DiagramNode::Fork(_, low, high) = node
            && low == high
        {
            return Ok(low);
        }
        if let Some(known) = self.known.get(&node) {
            return Ok(*known);
        }
        if self.nodes.len() >= self.limit || self.steps.len() >= STEPS * self.limit {
            return Err(Limit::Nodes(self.limit));
        }
        let weight = Weight(u32::try_from(self.nodes.len()).expect("the limit is below 2^32"));
        self.nodes.push(node);
        self.known.insert(node, weight);
        Ok(weight)
    }

    fn better(&self, a: Option<u64>, b: Option<u64>) -> Option<u64> {
        match (a, b, self.end) {
            (None, other, _) | (other, None, _) => other,
            (Some(a), Some(b), End::Least) => Some(a.min(b)),
            (Some(a), Some(b), End::Most) => Some(a.max(b)),
        }
    }

    /// The two functions together, node by node; the depth is that of the variables.
    fn apply(&mut self, step: Operation, a: Weight, b: Weight) -> Result<Weight, Limit> {
        let (a, b) = (a.min(b), a.max(b));
        if a == b && step == Operation::Better {
            return Ok(a);
        }
        let nodes = (self.nodes[a.0 as usize], self.nodes[b.0 as usize]);
        match (nodes, step) {
            ((DiagramNode::Leaf(a), DiagramNode::Leaf(b)), Operation::Add) => {
                return self.constant(a.zip(b).map(|(a, b)| a + b));
            }
            ((DiagramNode::Leaf(a), DiagramNode::Leaf(b)), _) => return self.constant(self.better(a, b)),
            ((DiagramNode::Leaf(None), _) | (_, DiagramNode::Leaf(Some(0))), Operation::Add)
            | ((_, DiagramNode::Leaf(None)), Operation::Better) => {
                return Ok(a);
            }
            ((_, DiagramNode::Leaf(None)) | (DiagramNode::Leaf(Some(0)), _), Operation::Add)
            | ((DiagramNode::Leaf(None), _), Operation::Better) => {
                return Ok(b);
            }
            _ => {}
        }
        if let Some(known) = self.steps.get(&(step, a, b.0)) {
            return Ok(*known);
        }
        let first = |node: DiagramNode| if let DiagramNode::Fork(var, ..) = node { var } else { Var::MAX };
        let var = first(nodes.0).min(first(nodes.1));
        let ways = |weight: Weight, node: DiagramNode| match node {
            DiagramNode::Fork(of, low, high) if of == var => (low, high),
            DiagramNode::Fork(..) | DiagramNode::Leaf(_) => (weight, weight),
        };
        let ((a_low, a_high), (b_low, b_high)) = (ways(a, nodes.0), ways(b, nodes.1));
        let low = self.apply(step, a_low, b_low)?;
        let high = self.apply(step, a_high, b_high)?;
        let found = self.node(DiagramNode::Fork(var, low, high))?;
        self.steps.insert((step, a, b.0), found);
        Ok(found)
    }

    /// One function changed node by node.
    fn unary(&mut self, step: Operation, weight: Weight, with: u32) -> Result<Weight, Limit> {
        let (var, low, high) = match self.nodes[weight.0 as usize] {
            DiagramNode::Leaf(quantity) if step == Operation::Times => {
                let factor = self.factors[with as usize];
                return self.constant(quantity.map(|quantity| quantity * factor));
            }
            DiagramNode::Leaf(_) => return Ok(weight),
            DiagramNode::Fork(var, ..) if step == Operation::Forget && var > with => return Ok(weight),
            DiagramNode::Fork(var, low, high) => (var, low, high),
        };
        if let Some(known) = self.steps.get(&(step, weight, with)) {
            return Ok(*known);
        }
        let found = if step == Operation::Forget && var == with {
            self.apply(Operation::Better, low, high)?
        } else {
            let (low, high) = (self.unary(step, low, with)?, self.unary(step, high, with)?);
            self.node(DiagramNode::Fork(var, low, high))?
        };
        self.steps.insert((step, weight, with), found);
        Ok(found)
    }
}

/// For each node that a space may hold, so many steps may be taken in it.
const STEPS: usize = 8;

/// A function may depend on so many variables: work on it goes that deep.
const DEEPEST: usize = 1000;

#[cfg(test)]
mod tests {
    use super::*;

    fn both_ends(require: &[Expr], terms: &[(u64, Expr)], limit: usize) -> Result<Vec<Option<u64>>, Limit> {
        let ends = [End::Least, End::Most].into_iter().map(|end| {
            let mut scales = Scales::new(end, limit);
            let one = scales.constant(Some(1))?;
            let mut together = Vec::new();
            for expr in require {
                together.push(scales.requirement(expr)?);
            }
            for (quantity, when) in terms {
                together.push(scales.times_where(*quantity, one, when)?);
            }
            scales.best(&together)
        });
        ends.collect()
    }

    #[test]
    fn two_hundred_different_terms_under_a_chain_of_exclusions_are_summed() {
        let v = Expr::var;
        let rules: Vec<Expr> = (1..200).map(|n| Expr::any([!v(n - 1), !v(n)])).collect();
        let terms: Vec<(u64, Expr)> = (0..200).map(|n| (1 + u64::from(n % 7), v(n))).collect();
        // The heaviest set without neighbours, by the usual recurrence.
        let (mut without, mut with) = (0, 0);
        for (quantity, _) in &terms {
            (without, with) = (without.max(with), without + quantity);
        }
        assert_eq!(both_ends(&rules, &terms, 1 << 16), Ok(vec![Some(0), Some(without.max(with))]));
    }

    #[test]
    fn what_cannot_hold_has_no_total_and_what_grows_too_large_says_so() {
        let v = Expr::var;
        assert_eq!(both_ends(&[v(0), !v(0)], &[(3, v(1))], 100), Ok(vec![None, None]));
        let odd = (0..20).map(v).reduce(|a, b| !a.same(b)).map(|odd| odd.with(&|_| None));
        let small = both_ends(&[], &[(3, Expr::all((0..9).map(v)))], 4);
        assert_eq!((small, odd.is_some()), (Err(Limit::Nodes(4)), true));
    }
}
