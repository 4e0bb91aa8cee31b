//! What to look for next: the questions whose answers would settle most.

use super::{Basis, Fitted, Resolver, Truth, components::touched};
use crate::history::is_in;
use crate::ids::{ModId, PlateId, PositionId};
use crate::prop::{Expr, Limit};
use std::collections::{BTreeSet, HashMap};

/// Something that a person could find out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ask {
    /// Was the modification embodied by the date?
    Embodied(ModId),
    /// What is fitted at the position on the date?
    FittedAt(PositionId),
}

/// What the answer may be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reply {
    /// It was embodied, or it was not.
    Embodied(bool),
    /// This was found.
    Fitted(Fitted),
}

/// A possible answer, with what would still be open after it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Prospect {
    /// The answer.
    pub reply: Reply,
    /// What is then true, over state variables.
    pub then: Expr,
    /// How many positions in scope would still be open.
    pub open: usize,
    /// Of how many jig plates in scope it would still be open whether they are needed.
    pub plates: usize,
}

/// A question with its possible answers; at least two.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    /// What is asked.
    pub ask: Ask,
    /// The possible answers.
    pub prospects: Vec<Prospect>,
}

impl Question {
    /// How many positions are still open after the least helpful answer.
    #[must_use]
    pub fn worst(&self) -> usize {
        self.prospects.iter().map(|prospect| prospect.open).max().unwrap_or(0)
    }
    /// How many positions are still open over all answers together; divided by the number of answers, the mean.
    #[must_use]
    pub fn sum(&self) -> usize {
        self.prospects.iter().map(|prospect| prospect.open).sum()
    }
}

/// What there is to ask.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Questions {
    /// How many positions in scope are open now.
    pub open: usize,
    /// Of how many jig plates in scope it is open now whether they are needed.
    pub plates: usize,
    /// Questions that at least one answer to which would settle a position in scope: best first.
    pub ranked: Vec<Question>,
}

/// Positions with the same variants under the same conditions, which are open or settled together.
struct Alike {
    whens: Vec<Expr>,
    knots: BTreeSet<usize>,
    positions: usize,
}

impl Alike {
    fn new(whens: Vec<Expr>, knot_of: &[Option<usize>], positions: usize) -> Alike {
        let knots = whens.iter().flat_map(|when| touched(knot_of, when)).collect();
        Alike { whens, knots, positions }
    }
}

impl Resolver<'_> {
    /// The questions worth asking about the positions in scope: the worst answer counts first, then the mean over the
    /// possible answers, then the name.
    ///
    /// # Errors
    /// The limit that was met, if the histories of the basis are not decided.
    pub fn questions(
        &mut self,
        scope: &BTreeSet<PositionId>,
        plates: &BTreeSet<PlateId>,
        basis: Basis,
    ) -> Result<Questions, Limit> {
        let (alike, open_positions) = self.open_alike(scope, basis)?;
        let plates = self.open_plates(plates, basis);
        let open = alike.iter().map(|group| group.positions).sum();
        let knots: BTreeSet<usize> = alike.iter().flat_map(|group| group.knots.iter().copied()).collect();
        let mut asked: Vec<(Ask, Vec<(Reply, Expr)>)> = Vec::new();
        let in_knots = knots.iter().flat_map(|knot| self.knots[*knot].component.mods.clone());
        for m in in_knots.collect::<BTreeSet<ModId>>() {
            let embodied = is_in(m, None);
            if self.truth(&embodied, basis) == Truth::Open {
                let no = (Reply::Embodied(false), !embodied.clone());
                asked.push((Ask::Embodied(m), vec![(Reply::Embodied(true), embodied), no]));
            }
        }
        for (position, replies) in open_positions {
            asked.push((Ask::FittedAt(position), replies));
        }
        let mut known: HashMap<Expr, (usize, usize)> = HashMap::new();
        let mut ranked = Vec::new();
        for (ask, replies) in asked {
            let mut prospects = Vec::new();
            for (reply, then) in replies {
                let (open, plates) = match known.get(&then) {
                    Some(open) => *open,
                    None => (self.open_given(&alike, &then, basis)?, self.open_given(&plates, &then, basis)?),
                };
                known.insert(then.clone(), (open, plates));
                prospects.push(Prospect { reply, then, open, plates });
            }
            if prospects.iter().any(|prospect| prospect.open < open) {
                ranked.push(Question { ask, prospects });
            }
        }
        let model = self.history.model;
        let name = |ask: &Ask| match ask {
            Ask::Embodied(m) => model.mods.name(*m),
            Ask::FittedAt(position) => model.positions.name(*position),
        };
        ranked.sort_by(|a, b| {
            let mean = |q: &Question, other: &Question| q.sum() * other.prospects.len();
            (a.worst().cmp(&b.worst()))
                .then(mean(a, b).cmp(&mean(b, a)))
                .then_with(|| crate::model::order::natural(name(&a.ask), name(&b.ask)))
                .then(a.ask.cmp(&b.ask))
        });
        Ok(Questions { open, plates: plates.len(), ranked })
    }

    /// The open positions in scope, gathered by what selects their variants, and each with its possible variants.
    #[expect(clippy::type_complexity, reason = "two results of one walk, taken apart at once")]
    fn open_alike(
        &mut self,
        scope: &BTreeSet<PositionId>,
        basis: Basis,
    ) -> Result<(Vec<Alike>, Vec<(PositionId, Vec<(Reply, Expr)>)>), Limit> {
        let mut alike: Vec<Alike> = Vec::new();
        let mut by_whens: HashMap<Vec<Expr>, usize> = HashMap::new();
        let mut open = Vec::new();
        for &position in scope {
            let outcomes = self.outcomes(position, basis);
            if let Some(limit) = outcomes.iter().find_map(|outcome| match outcome.truth {
                Truth::Undecided(limit) => Some(limit),
                Truth::Always | Truth::Never | Truth::Open | Truth::NoHistory => None,
            }) {
                return Err(limit);
            }
            if outcomes.len() < 2 || outcomes.iter().any(|outcome| outcome.truth == Truth::NoHistory) {
                continue;
            }
            let whens: Vec<Expr> = outcomes.iter().map(|outcome| self.settle(&outcome.when)).collect();
            let group = *by_whens.entry(whens.clone()).or_insert_with(|| {
                alike.push(Alike::new(whens, &self.knot_of, 0));
                alike.len() - 1
            });
            alike[group].positions += 1;
            let replies = outcomes.into_iter().map(|outcome| (Reply::Fitted(outcome.fitted), outcome.when));
            open.push((position, replies.collect()));
        }
        Ok((alike, open))
    }

    fn open_plates(&mut self, plates: &BTreeSet<PlateId>, basis: Basis) -> Vec<Alike> {
        let mut open = Vec::new();
        for &plate in plates {
            let needed = self.plate_needed(plate);
            if self.truth(&needed, basis) == Truth::Open {
                let needed = self.settle(&needed);
                open.push(Alike::new(vec![needed.clone(), !needed], &self.knot_of, 1));
            }
        }
        open
    }

    fn open_given(&mut self, alike: &[Alike], given: &Expr, basis: Basis) -> Result<usize, Limit> {
        let knots = touched(&self.knot_of, &self.settle(given));
        let mut open = 0;
        for group in alike {
            if group.knots.is_disjoint(&knots) {
                open += group.positions;
                continue;
            }
            let mut possible = 0;
            for when in &group.whens {
                possible += usize::from(self.possible(when, given, basis)?);
                if possible == 2 {
                    open += group.positions;
                    break;
                }
            }
        }
        Ok(open)
    }
}
