//! Which set of errors explains the deviations best, and how much worse the best explanation without each one is.

use std::collections::BTreeMap;

use super::ErrorKind;
use super::evidence::{ErrorModel, Solution, TermShape};

/// At most this part of the holes can be called bad: beyond it the holes left no longer outvote them.
const BAD_SHARE: (usize, usize) = (2, 5);

/// So many neighbours of an explanation are settled in full.
const PROMISING: usize = 4;

/// A set of errors with its cost.
#[derive(Clone, Debug)]
pub(super) struct Explanation {
    /// Indices of terms, rising.
    pub(super) terms: Vec<usize>,
    /// Holes supposed bad, rising.
    pub(super) bad: Vec<usize>,
    /// See [`ErrorModel::cost`].
    pub(super) cost: f64,
}

/// What an explanation may not use.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Without {
    /// Nothing is barred.
    Nothing,
    /// This kind, whatever its law.
    Kind(ErrorKind),
}

/// The search, with what it has already weighed.
pub(super) struct Search<'a> {
    model: &'a ErrorModel,
    settled: BTreeMap<(Vec<usize>, Without), (Vec<usize>, f64)>,
}

impl<'a> Search<'a> {
    pub(super) fn new(model: &'a ErrorModel) -> Self {
        Self { model, settled: BTreeMap::new() }
    }

    /// The best explanation: local search from no error, from the jig as a whole, and from every member moved.
    pub(super) fn best(&mut self) -> Explanation {
        let kind = |i: &usize| self.model.terms[*i].kind;
        let all: Vec<usize> = (0..self.model.terms.len()).collect();
        let members = all.iter().copied().filter(|i| matches!(kind(i), Some(ErrorKind::Member(_)))).collect();
        let whole = all.iter().copied().filter(|i| kind(i) == Some(ErrorKind::Datum)).collect();
        [Vec::new(), whole, members]
            .into_iter()
            .map(|start| self.descend(start, Without::Nothing))
            .min_by(|a, b| a.cost.total_cmp(&b.cost))
            .expect("three starts")
    }

    /// The best explanation found without one of the errors of `best`.
    pub(super) fn rival(&mut self, best: &Explanation, without: ErrorKind) -> Explanation {
        let bar = Without::Kind(without);
        let start: Vec<usize> =
            best.terms.iter().copied().filter(|&t| self.model.terms[t].kind != Some(without)).collect();
        let rival = if matches!(without, ErrorKind::Hole(_)) { self.step(&start, bar) } else { None };
        match rival {
            Some(found) => found,
            None if matches!(without, ErrorKind::Hole(_)) => self.settle(start, bar),
            None => [start, Vec::new()]
                .into_iter()
                .map(|start| self.descend(start, bar))
                .min_by(|a, b| a.cost.total_cmp(&b.cost))
                .expect("two starts"),
        }
    }

    /// Whether some explanation less than `within` worse than `best` passes `test`: of all that were settled, and of
    /// those with the same terms and more bad holes, the worst first.
    pub(super) fn any_near(&self, best: &Explanation, within: f64, test: &dyn Fn(&[usize], &[usize]) -> bool) -> bool {
        let near = |cost: f64| cost < best.cost + within;
        let settled = self.settled.iter().any(|((terms, _), (bad, cost))| near(*cost) && test(terms, bad));
        let solution = self.model.solve(&best.terms, &self.model.weights(&best.bad));
        let mut more: Vec<usize> = (0..self.model.holes()).filter(|h| !best.bad.contains(h)).collect();
        more.sort_by(|&a, &b| {
            solution.residual(b, self.model.size).total_cmp(&solution.residual(a, self.model.size)).then(a.cmp(&b))
        });
        more.truncate(most_bad(self.model.holes()).saturating_sub(best.bad.len()));
        settled
            || (1..=more.len()).any(|k| {
                let mut bad = [&best.bad[..], &more[..k]].concat();
                bad.sort_unstable();
                near(self.model.cost_of(&best.terms, &bad)) && test(&best.terms, &bad)
            })
    }

    /// Adds, drops and swaps terms as long as that helps.
    fn descend(&mut self, start: Vec<usize>, without: Without) -> Explanation {
        let mut now = self.settle(start, without);
        while let Some(next) = self.step(&now.terms, without) {
            now = next;
        }
        now
    }

    /// The best neighbour, where it is better. All are weighed with the bad holes as they stand, and with those freed
    /// that the neighbour's terms touch; the most promising few are then settled.
    fn step(&mut self, terms: &[usize], without: Without) -> Option<Explanation> {
        let here = self.settle(terms.to_vec(), without);
        let mut promising: Vec<(f64, Vec<usize>)> = self
            .neighbours(terms, without)
            .into_iter()
            .map(|next| {
                let freed: Vec<usize> = here.bad.iter().copied().filter(|h| !self.touches(&next, *h)).collect();
                let mut quick = self.model.cost_of(&next, &here.bad);
                if freed.len() < here.bad.len() {
                    quick = quick.min(self.model.cost_of(&next, &freed));
                }
                (quick, next)
            })
            .collect();
        promising.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
        promising
            .into_iter()
            .take(PROMISING)
            .map(|(_, next)| self.settle(next, without))
            .filter(|found| found.cost < here.cost - 1e-9)
            .min_by(|a, b| a.cost.total_cmp(&b.cost))
    }

    fn touches(&self, terms: &[usize], hole: usize) -> bool {
        terms.iter().any(|&t| match &self.model.terms[t].shape {
            TermShape::Motion { holes, .. } | TermShape::Pitch { holes, .. } => holes.contains(&hole),
        })
    }

    fn neighbours(&self, terms: &[usize], without: Without) -> Vec<Vec<usize>> {
        let allowed = |t: usize| {
            self.model.terms[t].kind.is_some_and(|kind| without != Without::Kind(kind)) && !terms.contains(&t)
        };
        let more: Vec<usize> = (0..self.model.terms.len()).filter(|&t| allowed(t)).collect();
        let mut next = Vec::new();
        let bases = std::iter::once(terms.to_vec())
            .chain(terms.iter().map(|out| terms.iter().copied().filter(|t| t != out).collect::<Vec<_>>()));
        for base in bases {
            for &t in &more {
                // One row has one law.
                if base.iter().any(|&b| self.model.terms[b].kind == self.model.terms[t].kind) {
                    continue;
                }
                next.push(with(&base, t));
                // The jig and a member moved together can look like the other members moved: one step, not two.
                if self.model.terms[t].kind == Some(ErrorKind::Datum) {
                    let member = |u: &&usize| matches!(self.model.terms[**u].kind, Some(ErrorKind::Member(_)));
                    next.extend(more.iter().filter(member).map(|&u| with(&with(&base, t), u)));
                }
            }
            if base.len() < terms.len() {
                next.push(base);
            }
        }
        next
    }

    /// The bad holes that go best with these terms.
    pub(super) fn settle(&mut self, terms: Vec<usize>, without: Without) -> Explanation {
        let key = (terms, without);
        if let Some((bad, cost)) = self.settled.get(&key) {
            return Explanation { terms: key.0, bad: bad.clone(), cost: *cost };
        }
        let good = match without {
            Without::Kind(ErrorKind::Hole(hole)) => Some(hole),
            Without::Kind(ErrorKind::Datum | ErrorKind::Member(_) | ErrorKind::Pitch(_)) | Without::Nothing => None,
        };
        let (bad, cost) = settle(self.model, &key.0, good);
        self.settled.insert(key.clone(), (bad.clone(), cost));
        Explanation { terms: key.0, bad, cost }
    }
}

/// So many of `n` holes can be called bad.
const fn most_bad(n: usize) -> usize {
    n * BAD_SHARE.0 / BAD_SHARE.1
}

fn with(terms: &[usize], more: usize) -> Vec<usize> {
    let mut set = terms.to_vec();
    set.push(more);
    set.sort_unstable();
    set
}

fn settle(model: &ErrorModel, terms: &[usize], good: Option<usize>) -> (Vec<usize>, f64) {
    let n = model.holes();
    let most = most_bad(n);
    let evaluate = |bad: &[usize]| -> (f64, Solution) {
        let solution = model.solve(terms, &model.weights(bad));
        (model.cost(terms, bad, &solution), solution)
    };
    // Least absolute deviations by reweighting: bad holes stand out, however many pull the same way.
    let mut weights = vec![1.0; n];
    let mut robust = model.solve(terms, &weights);
    for _ in 0..8 {
        for (h, w) in weights.iter_mut().enumerate() {
            *w = model.instrument / robust.residual(h, model.size).max(0.1 * model.instrument);
        }
        robust = model.solve(terms, &weights);
    }
    let mut order: Vec<usize> = (0..n).filter(|&h| Some(h) != good).collect();
    order.sort_by(|&a, &b| robust.residual(b, model.size).total_cmp(&robust.residual(a, model.size)));
    let mut best = (Vec::new(), evaluate(&[]));
    for k in 1..=most.min(order.len()) {
        let mut bad = order[..k].to_vec();
        bad.sort_unstable();
        let found = evaluate(&bad);
        if found.0 < best.1.0 {
            best = (bad, found);
        }
    }
    // Then hole by hole, the nearest cases first, as long as that helps.
    loop {
        let mut improved = false;
        for hole in doubtful_holes(model, &best.0, &best.1.1, good) {
            let mut bad = best.0.clone();
            match bad.binary_search(&hole) {
                Ok(at) => drop(bad.remove(at)),
                Err(at) => bad.insert(at, hole),
            }
            if bad.len() > most {
                continue;
            }
            let found = evaluate(&bad);
            if found.0 < best.1.0 - 1e-9 {
                best = (bad, found);
                improved = true;
                break;
            }
        }
        if !improved {
            return (best.0, best.1.0);
        }
    }
}

/// The three worst of the good holes and the three best of the bad ones.
fn doubtful_holes(model: &ErrorModel, bad: &[usize], solution: &Solution, good: Option<usize>) -> Vec<usize> {
    let by_residual = |a: &usize, b: &usize| {
        solution.residual(*a, model.size).total_cmp(&solution.residual(*b, model.size)).then(a.cmp(b))
    };
    let mut worst: Vec<usize> = (0..model.holes()).filter(|h| !bad.contains(h) && Some(*h) != good).collect();
    worst.sort_by(|a, b| by_residual(b, a));
    let mut least = bad.to_vec();
    least.sort_by(by_residual);
    worst.into_iter().take(3).chain(least.into_iter().take(3)).collect()
}
