//! What to look for next: the questions whose answers would settle most.

use super::{Basis, Fitted, Resolver, Truth, components::touched, subject::either_way};
use crate::history::is_in;
use crate::ids::{ModId, PartId, PlateId, PositionId};
use crate::model::Model;
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
    /// This part was found, in whatever quantity.
    Part(PartId),
    /// Nothing was found, and that is right.
    Nothing,
}

/// A possible answer, with what would still be open after it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Prospect {
    /// The answer.
    pub reply: Reply,
    /// What is then true of the airframe as it was on the date, over state variables: what the claim would mean that
    /// records the answer.
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
    /// What else tells the same, the easiest to see first.
    pub also: Vec<SameTold>,
}

/// Something that tells in every history which answer to a question is right.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SameTold {
    /// What is asked instead.
    pub ask: Ask,
    /// What is then found, for each possible answer to the question, in their order.
    pub replies: Vec<Reply>,
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

/// Positions with the same variants under the same conditions, which are open or settled together. That an assembly
/// around them is not fitted counts as a variant.
struct Alike {
    whens: Vec<Expr>,
    components: BTreeSet<usize>,
    positions: usize,
}

impl Alike {
    fn new(whens: Vec<Expr>, component_of: &[Option<usize>], positions: usize) -> Alike {
        let components = whens.iter().flat_map(|when| touched(component_of, when)).collect();
        Alike { whens, components, positions }
    }
}

/// A question, its possible answers and what each means.
type Askable = (Ask, Vec<(Reply, Expr)>);

/// What questions share that can be settled alike: how many positions and plates each answer leaves open, and a component.
type LikelySame = (Vec<(usize, usize)>, usize);

/// How many assemblies lie around what stands in each assembly, at least.
fn depths(model: &Model) -> HashMap<PartId, usize> {
    let mut depths = HashMap::new();
    let mut next: Vec<PartId> = model.type_of.iter().map(|of| of.airframe).collect();
    for depth in 0.. {
        next.retain(|part| !depths.contains_key(part));
        if next.is_empty() {
            break;
        }
        depths.extend(next.iter().map(|part| (*part, depth)));
        let positions = next.iter().flat_map(|part| &model.parts[*part].positions);
        let inside = positions.flat_map(|position| &model.positions[*position].candidates);
        next = inside.map(|candidate| candidate.part).collect();
    }
    depths
}

impl Resolver<'_> {
    /// The questions worth asking about the positions in scope: the worst answer counts first, then the mean over the
    /// possible answers, then the name.
    ///
    /// Positions and modifications of which something was not read are left out: what they would come to is not known.
    /// A question is about the airframe as it was on the date; what is open is open in the state asked about, in which a
    /// named build state may have added and left out. A position is open while there is more than one thing that may be
    /// fitted there, or it is open whether the assembly around it is.
    ///
    /// # Errors
    /// The limit that was met, if the histories of the basis are not decided.
    pub fn questions(
        &mut self,
        scope: &BTreeSet<PositionId>,
        plates: &BTreeSet<PlateId>,
        basis: Basis,
    ) -> Result<Questions, Limit> {
        let scope: BTreeSet<PositionId> =
            scope.iter().copied().filter(|position| self.history.not_read_at(*position).is_empty()).collect();
        let alike = self.open_alike(&scope, basis)?;
        let plates = self.open_plates(plates, basis);
        let open = alike.iter().map(|group| group.positions).sum();
        let components: BTreeSet<usize> = alike.iter().flat_map(|group| group.components.iter().copied()).collect();
        let asked = self.askable(&scope, &components, basis)?;
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
                ranked.push(Question { ask, prospects, also: Vec::new() });
            }
        }
        let mut ranked = self.told_once(ranked, basis)?;
        let model = self.history.model;
        let name = |ask: &Ask| match ask {
            Ask::Embodied(m) => model.mods.name(*m),
            Ask::FittedAt(position) => model.positions.name(*position),
        };
        ranked.sort_by(|a, b| {
            let mean = |q: &Question, other: &Question| q.sum() * other.prospects.len();
            (a.worst().cmp(&b.worst()))
                .then(mean(a, b).cmp(&mean(b, a)))
                .then_with(|| crate::quantity::order::natural(name(&a.ask), name(&b.ask)))
                .then(a.ask.cmp(&b.ask))
        });
        Ok(Questions { open, plates: plates.len(), ranked })
    }

    /// What can be asked that bears on these components, with the possible answers and what each means; at least two.
    fn askable(
        &mut self,
        scope: &BTreeSet<PositionId>,
        components: &BTreeSet<usize>,
        basis: Basis,
    ) -> Result<Vec<Askable>, Limit> {
        let mut asked: Vec<Askable> = Vec::new();
        let in_components = components.iter().flat_map(|component| self.components[*component].members.mods.clone());
        let in_components: BTreeSet<ModId> = in_components.collect();
        for m in
            in_components.into_iter().filter(|m| self.history.reach.modification(*m).is_empty()).collect::<Vec<_>>()
        {
            let embodied = is_in(m, None);
            if self.found_both_ways(&embodied, basis)? {
                let no = (Reply::Embodied(false), !embodied.clone());
                asked.push((Ask::Embodied(m), vec![(Reply::Embodied(true), embodied), no]));
            }
        }
        for &position in scope {
            let replies = self.replies(position, components, basis)?;
            if replies.len() > 1 {
                asked.push((Ask::FittedAt(position), replies));
            }
        }
        Ok(asked)
    }

    /// Of questions that are settled alike in every history one, with the others as what else tells the same: a
    /// modification before positions, of these those with the fewest assemblies around them first, being the easiest to see.
    fn told_once(&mut self, mut asked: Vec<Question>, basis: Basis) -> Result<Vec<Question>, Limit> {
        let (model, depths) = (self.history.model, depths(self.history.model));
        let depth = |ask: &Ask| match ask {
            Ask::Embodied(_) => None,
            Ask::FittedAt(position) => {
                Some(depths.get(&model.positions[*position].assembly).copied().unwrap_or(usize::MAX))
            }
        };
        asked.sort_by_cached_key(|question| (depth(&question.ask), question.ask));
        let mut kept: Vec<Question> = Vec::new();
        let mut like: HashMap<LikelySame, Vec<usize>> = HashMap::new();
        for question in asked {
            // Only those that leave as much open and share a component can be settled alike: components have no bearing on
            // each other, and every question has two answers.
            let mut leaves: Vec<(usize, usize)> = question.prospects.iter().map(|p| (p.open, p.plates)).collect();
            leaves.sort_unstable();
            let thens = question.prospects.iter().map(|prospect| &prospect.then);
            let components: BTreeSet<usize> =
                thens.flat_map(|then| touched(&self.component_of, &self.settle(then))).collect();
            let keys = components.iter().map(|component| (leaves.clone(), *component));
            let others: BTreeSet<usize> = keys.clone().filter_map(|key| like.get(&key)).flatten().copied().collect();
            let mut same = None;
            for other in others {
                if let Some(replies) = self.same_told(&kept[other], &question, basis)? {
                    same = Some((other, replies));
                    break;
                }
            }
            if let Some((other, replies)) = same {
                kept[other].also.push(SameTold { ask: question.ask, replies });
            } else {
                keys.for_each(|key| like.entry(key).or_default().push(kept.len()));
                kept.push(question);
            }
        }
        Ok(kept)
    }

    /// What is found when the other is asked, for each answer to a question, if each means one of the other in every
    /// history.
    fn same_told(&mut self, question: &Question, other: &Question, basis: Basis) -> Result<Option<Vec<Reply>>, Limit> {
        let mut replies = Vec::new();
        for prospect in &question.prospects {
            let mut meant = None;
            // Where the catalogue lets two fit at once, two answers mean the same: each has one of its own on the other side.
            for theirs in other.prospects.iter().filter(|theirs| !replies.contains(&theirs.reply)) {
                let (mine, theirs_then) = (&prospect.then, &theirs.then);
                if mine == theirs_then
                    || self.means(mine, theirs_then, basis)? && self.means(theirs_then, mine, basis)?
                {
                    meant = Some(theirs.reply);
                    break;
                }
            }
            let Some(reply) = meant else { return Ok(None) };
            replies.push(reply);
        }
        Ok(Some(replies))
    }

    /// Whether in every history in which the airframe was so on the date it was otherwise so too.
    fn means(&mut self, found: &Expr, other: &Expr, basis: Basis) -> Result<bool, Limit> {
        let without = Expr::all([found.clone(), !other.clone()]);
        Ok(!self.possible_where(&Expr::Const(true), &without, basis)?)
    }

    /// Whether the airframe can have been so on the date, and can have been otherwise.
    fn found_both_ways(&mut self, found: &Expr, basis: Basis) -> Result<bool, Limit> {
        let always = Expr::Const(true);
        Ok(self.possible_where(&always, found, basis)? && self.possible_where(&always, &!found.clone(), basis)?)
    }

    /// What can be found at a position, as far as it bears on these components: each with what the claim means that says so.
    fn replies(
        &mut self,
        position: PositionId,
        components: &BTreeSet<usize>,
        basis: Basis,
    ) -> Result<Vec<(Reply, Expr)>, Limit> {
        let replies = either_way(self.variants(position).into_iter().filter_map(|(fitted, when)| match fitted {
            Fitted::Part(part, _) => Some((Reply::Part(part), when)),
            Fitted::Nothing => Some((Reply::Nothing, when)),
            // Nobody can see that the catalogue has a gap.
            Fitted::Gap => None,
        }));
        let bears =
            |(_, when): &(Reply, Expr)| !touched(&self.component_of, &self.settle(when)).is_disjoint(components);
        if !replies.iter().any(bears) {
            return Ok(Vec::new());
        }
        let around = self.fitted(self.history.model.positions[position].assembly);
        let mut possible = Vec::new();
        for (reply, when) in replies {
            let there = Expr::all([when.clone(), around.clone()]);
            if self.possible_where(&Expr::Const(true), &there, basis)? {
                possible.push((reply, when));
            }
        }
        Ok(possible)
    }

    /// The open positions in scope, gathered by what selects their variants.
    fn open_alike(&mut self, scope: &BTreeSet<PositionId>, basis: Basis) -> Result<Vec<Alike>, Limit> {
        let mut alike: Vec<Alike> = Vec::new();
        let mut by_whens: HashMap<Vec<Expr>, Option<usize>> = HashMap::new();
        for &position in scope {
            let outcomes = self.outcomes_when(position).into_iter();
            let whens: Vec<Expr> = outcomes.map(|(_, when)| self.settle(&when)).collect();
            let group = if let Some(group) = by_whens.get(&whens) {
                *group
            } else {
                let group = self.is_open(&whens, basis)?.then_some(alike.len());
                alike.extend(group.map(|_| Alike::new(whens.clone(), &self.component_of, 0)));
                by_whens.insert(whens, group);
                group
            };
            if let Some(group) = group {
                alike[group].positions += 1;
            }
        }
        Ok(alike)
    }

    /// Whether more than one of these is possible.
    fn is_open(&mut self, whens: &[Expr], basis: Basis) -> Result<bool, Limit> {
        let mut possible = 0;
        for when in whens {
            match self.truth(when, basis) {
                Truth::Undecided(limit) => return Err(limit),
                Truth::Always | Truth::Open => possible += 1,
                Truth::Never | Truth::NoHistory => {}
            }
        }
        Ok(possible > 1)
    }

    fn open_plates(&mut self, plates: &BTreeSet<PlateId>, basis: Basis) -> Vec<Alike> {
        let mut open = Vec::new();
        for &plate in plates {
            let needed = self.plate_needed(plate);
            if self.truth(&needed, basis) == Truth::Open {
                let needed = self.settle(&needed);
                open.push(Alike::new(vec![needed.clone(), !needed], &self.component_of, 1));
            }
        }
        open
    }

    fn open_given(&mut self, alike: &[Alike], given: &Expr, basis: Basis) -> Result<usize, Limit> {
        let components = touched(&self.component_of, &self.settle(given));
        let mut open = 0;
        for group in alike {
            if group.components.is_disjoint(&components) {
                open += group.positions;
                continue;
            }
            let mut possible = 0;
            for when in &group.whens {
                possible += usize::from(self.possible_where(when, given, basis)?);
                if possible == 2 {
                    open += group.positions;
                    break;
                }
            }
        }
        Ok(open)
    }
}
