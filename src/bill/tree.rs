//! The tree of a bill.

use super::explode::{Explosion, Narrowed, Start, Sum};
use super::{Amount, Choice, Item, LINES, Line, LineState, Request, Trouble, Way};
use crate::ids::{PartId, PositionId};
use crate::model::{Candidate, Condition};
use crate::prop::{Expr, Limit};
use crate::resolve::{Fitted, IssueView};

/// The tree below the top.
pub(super) fn tree(explosion: &mut Explosion<'_, '_>, start: &Start, request: Request) -> Result<Line, Trouble> {
    let mut grower = Grower { explosion, issues: request.issues, lines: 0 };
    match start {
        Start::Part(part, sum) => {
            let when = grower.explosion.resolver.fitted(*part);
            let way = Way { each: 1, conditions: Vec::new() };
            let choice = grower.part_choice((*part, None), vec![way], when, sum)?;
            let state = match choice.amount {
                Amount::Exactly(_) => LineState::Settled,
                Amount::Between(_) => LineState::Open,
                Amount::Undecided(limit) => LineState::Undecided(limit),
            };
            Ok(Line { position: None, state, choices: vec![choice] })
        }
        Start::Position(position, sum) => {
            let assembly = grower.explosion.resolver.history().model.positions[*position].assembly;
            let around = grower.explosion.resolver.fitted(assembly);
            grower.line(*position, sum, &around)?.ok_or(Trouble::NotFitted)
        }
    }
}

struct Grower<'e, 'r, 'm> {
    explosion: &'e mut Explosion<'r, 'm>,
    issues: IssueView,
    lines: usize,
}

/// What the variants of one position that fit the same thing have in common.
struct Gathered {
    item: Item,
    ways: Vec<Way>,
    when: Expr,
    sum: Sum,
}

impl Grower<'_, '_, '_> {
    /// The line of a position of an assembly that is fitted so often; `around` says when, on any day.
    fn line(&mut self, position: PositionId, assembly: &Sum, around: &Expr) -> Result<Option<Line>, Trouble> {
        let given = assembly.when().unwrap_or_else(|| around.clone());
        let mut undecided = None;
        let mut gathered: Vec<Gathered> = Vec::new();
        let mut selecting: Vec<Expr> = Vec::new();
        for (fitted, when) in self.explosion.resolver.variants(position) {
            match self.explosion.narrowed(&given, &when) {
                Narrowed::Never => continue,
                Narrowed::Same | Narrowed::Some => {}
                Narrowed::Undecided(limit) => undecided = Some(limit),
            }
            self.gather(&mut gathered, position, fitted, &when, assembly)?;
            selecting.push(when);
        }
        if gathered.iter().all(|choice| choice.item == Item::Nothing) {
            return Ok(None);
        }
        self.lines += 1;
        if self.lines > LINES {
            return Err(Trouble::TooLong(LINES));
        }
        let overlap = self.overlap(&given, &selecting);
        let mut choices = Vec::new();
        for Gathered { item, ways, when, sum } in gathered {
            let when = Expr::all([around.clone(), when]);
            choices.push(match item {
                Item::Part(part) => self.part_choice((part, Some(position)), ways, when, &sum)?,
                Item::Nothing | Item::Gap => bare(item, ways, when),
            });
        }
        let state = line_state(&choices, overlap, undecided);
        Ok(Some(Line { position: Some(position), state, choices }))
    }

    fn gather(
        &mut self,
        gathered: &mut Vec<Gathered>,
        position: PositionId,
        fitted: Fitted,
        when: &Expr,
        assembly: &Sum,
    ) -> Result<(), Trouble> {
        let entry = &self.explosion.resolver.history().model.positions[position];
        let (item, each) = match fitted {
            Fitted::Part(part, quantity) => (Item::Part(part), quantity),
            Fitted::Nothing => (Item::Nothing, 0),
            Fitted::Gap => (Item::Gap, 0),
        };
        let conditions: Vec<Condition> = match fitted {
            Fitted::Part(part, quantity) => {
                let same = |candidate: &&Candidate| candidate.part == part && candidate.quantity == quantity;
                entry.candidates.iter().filter(same).map(|candidate| candidate.when.clone()).collect()
            }
            Fitted::Nothing => entry.nothing_when.iter().cloned().collect(),
            Fitted::Gap => Vec::new(),
        };
        let mut sum = Sum::default();
        if let Item::Part(part) = item {
            let selected = self.explosion.selected(assembly, when);
            sum.add_times(u64::from(each), &selected).ok_or(Trouble::TooMany(part))?;
        }
        let way = Way { each, conditions };
        match gathered.iter_mut().find(|known| known.item == item) {
            Some(known) => {
                known.ways.push(way);
                known.when = Expr::any([known.when.clone(), when.clone()]);
                if let Item::Part(part) = item {
                    known.sum.add_times(1, &sum).ok_or(Trouble::TooMany(part))?;
                }
            }
            None => gathered.push(Gathered { item, ways: vec![way], when: when.clone(), sum }),
        }
        Ok(())
    }

    fn part_choice(
        &mut self,
        (part, position): (PartId, Option<PositionId>),
        ways: Vec<Way>,
        when: Expr,
        sum: &Sum,
    ) -> Result<Choice, Trouble> {
        let basis = self.explosion.basis;
        let amount = self.explosion.amount(sum);
        let issues = self.explosion.resolver.issues(part, &when, self.issues, basis);
        let history = self.explosion.resolver.history();
        let (model, serial) = (history.model, &history.airframe().serial);
        let deviations = (model.deviations.iter().enumerate())
            .filter(|(_, deviation)| deviation.touches(part, position, serial))
            .map(|(index, _)| index)
            .collect();
        let mut below = Vec::new();
        for position in &model.parts[part].positions {
            below.extend(self.line(*position, sum, &when)?);
        }
        Ok(Choice { item: Item::Part(part), ways, when, amount, issues, deviations, below })
    }

    /// Whether two variants are called for at once in some history; unknown counts as no, the line being undecided.
    fn overlap(&mut self, given: &Expr, selecting: &[Expr]) -> bool {
        let basis = self.explosion.basis;
        selecting.iter().enumerate().any(|(index, one)| {
            selecting[index + 1..].iter().any(|other| {
                let both = Expr::all([one.clone(), other.clone()]);
                self.explosion.resolver.possible(&both, given, basis).unwrap_or(false)
            })
        })
    }
}

/// A choice that fits no part.
fn bare(item: Item, ways: Vec<Way>, when: Expr) -> Choice {
    let (issues, deviations, below) = (Ok(Vec::new()), Vec::new(), Vec::new());
    Choice { item, ways, when, amount: Amount::Exactly(0), issues, deviations, below }
}

fn line_state(choices: &[Choice], overlap: bool, undecided: Option<Limit>) -> LineState {
    let of_amounts = choices.iter().find_map(|choice| match choice.amount {
        Amount::Undecided(limit) => Some(limit),
        Amount::Exactly(_) | Amount::Between(_) => None,
    });
    let several = choices.len() > 1 || choices.iter().any(|choice| choice.ways.len() > 1);
    if let Some(limit) = undecided.or(of_amounts) {
        LineState::Undecided(limit)
    } else if overlap {
        LineState::Overlap
    } else if choices.iter().any(|choice| choice.item == Item::Gap) {
        LineState::Gap
    } else if several {
        LineState::Open
    } else if choices.iter().all(|choice| choice.amount.is_settled()) {
        LineState::Settled
    } else {
        LineState::OpenAbove
    }
}
