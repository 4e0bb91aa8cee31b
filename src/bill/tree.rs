//! The tree of a bill.

use super::explode::{Explosion, Narrowed, Start, Sum};
use super::{Amount, BillLine, LEVELS, LINES, LineChoice, LineItem, LineState, NoBill, Request, Way};
use crate::ids::{PartId, PositionId};
use crate::model::{Candidate, Condition, Marks};
use crate::prop::{Expr, Limit};
use crate::resolve::{Fitted, IssueView};

/// The tree below the top, and what was not read of what is made up of what.
pub(super) fn tree(
    explosion: &mut Explosion<'_, '_>,
    start: &Start,
    request: Request,
) -> Result<(BillLine, Marks), NoBill> {
    let mut grower = Grower { explosion, issues: request.issues, lines: 0, depth: 0, structure: Marks::new() };
    let top = match start {
        Start::Part(part, sum) => {
            let when = grower.explosion.resolver.fitted(*part);
            let way = Way { each: 1, conditions: Vec::new() };
            let not_read = grower.explosion.resolver.history().reach.expr(&when);
            grower.structure.extend(&not_read);
            let choice = grower.part_choice(*part, None, vec![way], when, sum, &not_read)?;
            let state = match choice.amount {
                _ if !choice.not_read.is_empty() => LineState::NotRead,
                Amount::Exactly(_) => LineState::Settled,
                Amount::Between(_) => LineState::Open,
                Amount::Undecided(limit) => LineState::Undecided(limit),
                Amount::Contradicted => LineState::Contradicted,
            };
            BillLine { position: None, state, choices: vec![choice] }
        }
        Start::Position(position, sum) => {
            let assembly = grower.explosion.resolver.history().model.positions[*position].assembly;
            let around = grower.explosion.resolver.fitted(assembly);
            grower.line(*position, sum, &around)?.ok_or(NoBill::NotFitted)?
        }
    };
    Ok((top, grower.structure))
}

struct Grower<'e, 'r, 'm> {
    explosion: &'e mut Explosion<'r, 'm>,
    issues: IssueView,
    lines: usize,
    /// How many assemblies the next line lies inside.
    depth: usize,
    /// What was not read of which positions there are and what is fitted there.
    structure: Marks,
}

/// What the variants of one position that fit the same thing have in common.
struct Gathered {
    item: LineItem,
    ways: Vec<Way>,
    when: Expr,
    sum: Sum,
}

impl Grower<'_, '_, '_> {
    /// The line of a position of an assembly that is fitted so often; `around` says when, on any day.
    fn line(&mut self, position: PositionId, assembly: &Sum, around: &Expr) -> Result<Option<BillLine>, NoBill> {
        let given = assembly.when().unwrap_or_else(|| around.clone());
        let not_read = self.not_read_at(position, around);
        let mut contradicted = false;
        let mut undecided = None;
        let mut gathered: Vec<Gathered> = Vec::new();
        let mut selecting: Vec<Expr> = Vec::new();
        for (fitted, when) in self.explosion.resolver.variants(position) {
            match self.explosion.narrowed(&given, &when) {
                Narrowed::Never => continue,
                // That nothing read is called for is not said where something was not read.
                _ if fitted == Fitted::Gap && !not_read.is_empty() => continue,
                Narrowed::Same | Narrowed::Some => {}
                Narrowed::Contradicted => contradicted = true,
                Narrowed::Undecided(limit) => undecided = Some(limit),
            }
            self.gather(&mut gathered, position, fitted, &when, assembly)?;
            selecting.push(when);
        }
        if contradicted && gathered.len() > 1 {
            gathered.retain(|choice| choice.item != LineItem::Gap);
        }
        if gathered.iter().all(|choice| choice.item == LineItem::Nothing) {
            if not_read.is_empty() {
                return Ok(None);
            }
            let (ways, when) = (Vec::new(), Expr::Const(true));
            gathered.push(Gathered { item: LineItem::NotRead, ways, when, sum: Sum::default() });
        }
        self.lines += 1;
        if self.lines > LINES {
            return Err(NoBill::TooLong(LINES));
        }
        let overlap = not_read.is_empty() && self.overlap(&given, &selecting);
        let mut choices = Vec::new();
        for Gathered { item, ways, when, sum } in gathered {
            let when = Expr::all([around.clone(), when]);
            choices.push(match item {
                LineItem::Part(part) => self.part_choice(part, Some(position), ways, when, &sum, &not_read)?,
                LineItem::Nothing | LineItem::Gap | LineItem::NotRead => bare(item, ways, when, not_read.clone()),
            });
        }
        let state = if contradicted { LineState::Contradicted } else { line_state(&choices, overlap, undecided) };
        Ok(Some(BillLine { position: Some(position), state, choices }))
    }

    /// What was not read and bears on which variant is called for at a position, and whether its assembly is fitted.
    fn not_read_at(&mut self, position: PositionId, around: &Expr) -> Marks {
        let history = self.explosion.resolver.history();
        let mut marks = history.not_read_here(position);
        marks.extend(history.reach.expr(around));
        self.structure.extend(&marks);
        marks
    }

    fn gather(
        &mut self,
        gathered: &mut Vec<Gathered>,
        position: PositionId,
        fitted: Fitted,
        when: &Expr,
        assembly: &Sum,
    ) -> Result<(), NoBill> {
        let entry = &self.explosion.resolver.history().model.positions[position];
        let (item, each) = match fitted {
            Fitted::Part(part, quantity) => (LineItem::Part(part), quantity),
            Fitted::Nothing => (LineItem::Nothing, 0),
            Fitted::Gap => (LineItem::Gap, 0),
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
        if let LineItem::Part(part) = item {
            let selected = self.explosion.selected(assembly, when);
            sum.add_times(u64::from(each), &selected).ok_or(NoBill::TooMany(part))?;
        }
        let way = Way { each, conditions };
        match gathered.iter_mut().find(|known| known.item == item) {
            Some(known) => {
                known.ways.push(way);
                known.when = Expr::any([known.when.clone(), when.clone()]);
                if let LineItem::Part(part) = item {
                    known.sum.add_times(1, &sum).ok_or(NoBill::TooMany(part))?;
                }
            }
            None => gathered.push(Gathered { item, ways: vec![way], when: when.clone(), sum }),
        }
        Ok(())
    }

    fn part_choice(
        &mut self,
        part: PartId,
        position: Option<PositionId>,
        ways: Vec<Way>,
        when: Expr,
        sum: &Sum,
        above: &Marks,
    ) -> Result<LineChoice, NoBill> {
        let basis = self.explosion.basis;
        let history = self.explosion.resolver.history();
        let model = history.model;
        let inside = history.not_read_inside(part);
        let mut not_read = history.not_read_of_listing(part, &when);
        not_read.extend(above.iter().chain(&inside));
        self.structure.extend(inside);
        let mut below = Vec::new();
        if self.depth == LEVELS && !model.parts[part].positions.is_empty() {
            return Err(NoBill::TooDeep(LEVELS));
        }
        self.depth += 1;
        for position in &model.parts[part].positions {
            below.extend(self.line(*position, sum, &when)?);
        }
        self.depth -= 1;
        let item = LineItem::Part(part);
        if !not_read.is_empty() {
            return Ok(LineChoice { below, ..bare(item, Vec::new(), when, not_read) });
        }
        let amount = self.explosion.amount(sum);
        let (issues, other_issues) = self.explosion.resolver.issues_in_both_views(part, &when, self.issues, basis);
        let serial = &self.explosion.resolver.history().airframe().serial;
        let deviations = (model.deviations.iter().enumerate())
            .filter(|(_, deviation)| deviation.touches(part, position, serial))
            .map(|(index, _)| index)
            .collect();
        Ok(LineChoice { item, ways, when, amount, issues, other_issues, deviations, below, not_read })
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

/// A choice that fits no part, or of which something was not read, so that nothing more is said of it.
fn bare(item: LineItem, mut ways: Vec<Way>, when: Expr, not_read: Marks) -> LineChoice {
    let (mut amount, mut issues) = (Amount::Exactly(0), Ok(Vec::new()));
    if !not_read.is_empty() {
        ways.clear();
        (amount, issues) = (Amount::Undecided(Limit::NotRead), Err(Limit::NotRead));
    }
    let other_issues = issues.clone();
    LineChoice { item, ways, when, amount, issues, other_issues, deviations: Vec::new(), below: Vec::new(), not_read }
}

fn line_state(choices: &[LineChoice], overlap: bool, undecided: Option<Limit>) -> LineState {
    let of_amounts = choices.iter().find_map(|choice| match choice.amount {
        Amount::Undecided(limit) => Some(limit),
        Amount::Exactly(_) | Amount::Between(_) | Amount::Contradicted => None,
    });
    let several = choices.len() > 1 || choices.iter().any(|choice| choice.ways.len() > 1);
    if choices.iter().any(|choice| !choice.not_read.is_empty()) {
        LineState::NotRead
    } else if choices.iter().any(|choice| choice.amount == Amount::Contradicted) {
        LineState::Contradicted
    } else if let Some(limit) = undecided.or(of_amounts) {
        LineState::Undecided(limit)
    } else if overlap {
        LineState::Overlap
    } else if choices.iter().any(|choice| choice.item == LineItem::Gap) {
        LineState::Gap
    } else if several {
        LineState::Open
    } else if choices.iter().all(|choice| choice.amount.is_settled()) {
        LineState::Settled
    } else {
        LineState::OpenAbove
    }
}
