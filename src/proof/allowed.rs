//! The states that the rules of a type allow, on any serial and any date: what is possible in them.

use crate::graph::{DayRule, Graph};
use crate::history::{form_var, is_in, of_form_var, rewrite};
use crate::ids::{Id, ModId};
use crate::model::{Condition, Model};
use crate::prop::{Decider, Expr, Limit, Lit, Var};
use crate::quantity::{Day, Serial, SerialSet};
use crate::schema::Form;
use petgraph::unionfind::UnionFind;
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// All states that the rules of a type allow.
///
/// Expressions over them have a variable for each form of each modification, one for "the serial is of this kind or a
/// later one", and one for "this day has come". Modifications that no rule binds to each other are looked at apart: a
/// question is put to the groups that it names, and to those that not every serial can satisfy on every day.
#[derive(Debug)]
pub(crate) struct Allowed<'m> {
    model: &'m Model,
    /// One serial of each kind: serials that no rule and no condition tells apart are of one kind.
    kinds: Vec<Serial>,
    /// The days on which rules change, in order.
    days: Vec<Day>,
    /// What the rules say, by group of modifications.
    rules: Vec<Vec<Expr>>,
    group_of: Vec<usize>,
    /// The groups that bear on every question, because they rule out serials or days.
    binding: BTreeSet<usize>,
    merged: HashMap<BTreeSet<usize>, MergedGroups>,
    known: HashMap<Expr, Result<bool, Limit>>,
}

/// A state that the rules allow: a serial and the forms that are in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Witness {
    /// A serial that can have the state.
    pub(crate) serial: String,
    /// What is in, of the modifications that the question names, in table order.
    pub(crate) mods: Vec<(ModId, Form)>,
    /// Those of them that are not in.
    pub(crate) out: Vec<ModId>,
}

/// Some groups in one decider. Variables are made when they are first named.
#[derive(Debug)]
struct MergedGroups {
    decider: Decider,
    local: BTreeMap<Var, Lit>,
}

impl<'m> Allowed<'m> {
    pub(crate) fn new(model: &'m Model, graph: &Graph) -> Allowed<'m> {
        let leaflets = model.mods.iter().filter_map(|(_, _, m)| Some(m.retrospective.as_ref()?.leaflet_date.first()));
        let days: BTreeSet<Day> = leaflets.chain(model.one_ofs.iter().map(|group| group.introduced.last())).collect();
        let mut allowed = Allowed {
            model,
            kinds: kinds_of_serials(model),
            days: days.into_iter().collect(),
            rules: Vec::new(),
            group_of: Vec::new(),
            binding: BTreeSet::new(),
            merged: HashMap::new(),
            known: HashMap::new(),
        };
        let rules: Vec<Expr> = allowed.form_rules().chain(allowed.one_of_rules()).chain(tie_rules(graph)).collect();
        allowed.gather(rules);
        let groups = 0..allowed.rules.len();
        allowed.binding = groups.filter(|group| allowed.rules_out_some(*group)).collect();
        allowed
    }

    fn form_rules(&self) -> impl Iterator<Item = Expr> {
        self.model.mods.iter().flat_map(|(id, _, m)| {
            let p = Expr::var(form_var(id, Form::Production));
            let r = Expr::var(form_var(id, Form::Retrospective));
            let covered = m.production.as_ref().map_or(Expr::Const(false), |form| self.serials(&form.covers));
            let afterwards = m.retrospective.as_ref().map_or(Expr::Const(false), |form| {
                let eligible = form.eligible.as_ref().map_or(Expr::Const(true), |set| self.serials(set));
                Expr::all([eligible, self.reached(form.leaflet_date.first()), !p.clone()])
            });
            [p.implies(covered), r.implies(afterwards)]
        })
    }

    fn one_of_rules(&self) -> impl Iterator<Item = Expr> {
        self.model.one_ofs.iter().map(|group| {
            let members: Vec<Expr> = group.members.iter().map(|m| is_in(*m, None)).collect();
            let most = Expr::at_most_one(&members);
            let kept = if group.exactly { Expr::all([most, Expr::any(members)]) } else { most };
            self.reached(group.introduced.last()).implies(kept)
        })
    }

    /// Sorts the rules into groups of modifications that they bind to each other.
    fn gather(&mut self, rules: Vec<Expr>) {
        let mut together = UnionFind::<usize>::new(self.model.mods.len());
        for rule in &rules {
            let mods = self.mods_of(rule);
            for pair in mods.iter().zip(mods.iter().skip(1)) {
                together.union(pair.0.index(), pair.1.index());
            }
        }
        let mut numbers: HashMap<usize, usize> = HashMap::new();
        for m in 0..self.model.mods.len() {
            let next = numbers.len();
            self.group_of.push(*numbers.entry(together.find(m)).or_insert(next));
        }
        self.rules = vec![Vec::new(); numbers.len()];
        for rule in rules {
            // A rule that names no modification says nothing of states.
            if let Some(m) = self.mods_of(&rule).first() {
                self.rules[self.group_of[m.index()]].push(rule);
            }
        }
    }

    /// Whether the rules of a group cannot be kept on some serial on some day.
    fn rules_out_some(&self, group: usize) -> bool {
        let first_mark = self.var(0);
        let bare = |rule: &Expr| rule.with(&|var| (var < first_mark).then_some(false));
        if self.rules[group].iter().all(|rule| bare(rule) == Expr::Const(true)) {
            return false;
        }
        let mut merged = MergedGroups::new();
        self.put(&mut merged, group);
        let marks = |within: std::ops::Range<usize>| -> Vec<Lit> {
            let within = self.var(within.start)..self.var(within.end);
            merged.local.range(within).map(|(_, lit)| *lit).collect()
        };
        let (kinds, days) = (marks(0..self.kinds.len()), marks(self.kinds.len()..self.kinds.len() + self.days.len()));
        // Each later mark implies the ones before it, so that a prefix of them is a kind, or a day.
        (0..=kinds.len()).any(|kind| {
            (0..=days.len()).any(|day| {
                let prefix = |marks: &[Lit], until| -> Vec<Lit> {
                    marks.iter().enumerate().map(|(at, lit)| if at < until { *lit } else { !*lit }).collect()
                };
                let fixed = [prefix(&kinds, kind), prefix(&days, day)].concat();
                // Not decided: then it has to be asked with every question.
                merged.decider.possible(&fixed) != Ok(true)
            })
        })
    }

    /// The variable of a kind of serial (from its index) or, after those, of a day.
    fn var(&self, mark: usize) -> Var {
        u32::try_from(2 * self.model.mods.len() + mark).expect("there are fewer than 2^31 modifications and dates")
    }

    /// "The serial is of this kind or a later one."
    fn kind_or_later(&self, kind: usize) -> Expr {
        if kind == 0 { Expr::Const(true) } else { Expr::var(self.var(kind)) }
    }

    /// "This day has come."
    fn reached(&self, day: Day) -> Expr {
        let index = self.days.binary_search(&day).expect("every day on which a rule changes is listed");
        Expr::var(self.var(self.kinds.len() + index))
    }

    /// "The serial is one of these."
    fn serials(&self, set: &SerialSet) -> Expr {
        let inside: Vec<bool> = self.kinds.iter().map(|serial| set.contains(serial)).collect();
        let mut runs = Vec::new();
        let mut kind = 0;
        while kind < inside.len() {
            let start = kind;
            while kind < inside.len() && inside[kind] {
                kind += 1;
            }
            if kind > start {
                let end = if kind < inside.len() { !self.kind_or_later(kind) } else { Expr::Const(true) };
                runs.push(Expr::all([self.kind_or_later(start), end]));
            }
            kind += 1;
        }
        Expr::any(runs)
    }

    /// A condition, to be asked about.
    pub(crate) fn condition(&self, condition: &Condition) -> Expr {
        match condition {
            Condition::Post(m, form) => is_in(*m, *form),
            Condition::Pre(m) => !is_in(*m, None),
            Condition::Serials(set) => self.serials(set),
            Condition::All(parts) => Expr::all(parts.iter().map(|part| self.condition(part))),
            Condition::Any(parts) => Expr::any(parts.iter().map(|part| self.condition(part))),
            Condition::Not(part) => !self.condition(part),
        }
    }

    /// Whether some state makes the expression true; remembered.
    ///
    /// # Errors
    /// The limit of the solver.
    pub(crate) fn is_possible(&mut self, expr: &Expr) -> Result<bool, Limit> {
        if let Some(known) = self.known.get(expr) {
            return *known;
        }
        let possible = self.decide(expr).map(|found| found.is_some());
        self.known.insert(expr.clone(), possible);
        possible
    }

    /// A state in which the expression holds, if there is one.
    ///
    /// # Errors
    /// The limit of the solver.
    pub(crate) fn witness(&mut self, expr: &Expr) -> Result<Option<Witness>, Limit> {
        if !self.is_possible(expr)? {
            return Ok(None);
        }
        let Some(groups) = self.decide(expr)? else { return Ok(None) };
        let merged = &self.merged[&groups];
        let value = |var: Var| merged.local.get(&var).is_some_and(|lit| merged.decider.value(lit.var));
        let kind = (1..self.kinds.len()).rev().find(|kind| value(self.var(*kind))).unwrap_or(0);
        let form = |m: ModId| [Form::Production, Form::Retrospective].into_iter().find(|f| value(form_var(m, *f)));
        let named = self.mods_of(expr);
        Ok(Some(Witness {
            serial: self.kinds[kind].text.clone(),
            mods: named.iter().filter_map(|m| Some((*m, form(*m)?))).collect(),
            out: named.iter().copied().filter(|m| form(*m).is_none()).collect(),
        }))
    }

    /// The groups that found, merged, a state in which the expression holds.
    fn decide(&mut self, expr: &Expr) -> Result<Option<BTreeSet<usize>>, Limit> {
        if *expr == Expr::Const(false) || self.kinds.is_empty() {
            return Ok(None);
        }
        let named = self.mods_of(expr);
        let mut groups = self.binding.clone();
        groups.extend(named.iter().map(|m| self.group_of[m.index()]));
        let mut merged = self.merged.remove(&groups).unwrap_or_else(|| {
            let mut merged = MergedGroups::new();
            for group in &groups {
                self.put(&mut merged, *group);
            }
            merged
        });
        let expr = self.in_merged(&mut merged, expr);
        let literal = merged.decider.literal(&expr);
        let possible = merged.decider.possible(&[literal]);
        self.merged.insert(groups.clone(), merged);
        Ok(possible?.then_some(groups))
    }

    fn put(&self, merged: &mut MergedGroups, group: usize) {
        for rule in &self.rules[group] {
            let rule = self.in_merged(merged, rule);
            merged.decider.require(&rule);
        }
    }

    /// The expression over the variables of merged groups.
    fn in_merged(&self, merged: &mut MergedGroups, expr: &Expr) -> Expr {
        let (kinds, days) = (self.var(0), self.var(self.kinds.len()));
        expr.each_var(&mut |var| {
            if !merged.local.contains_key(&var) {
                let chain = match var {
                    var if var < kinds => var..var,
                    var if var < days => kinds..days,
                    _ => days..Var::MAX,
                };
                merged.add(var, chain);
            }
        });
        rewrite(expr, &|var| Expr::Lit(merged.local[&var]))
    }

    fn mods_of(&self, expr: &Expr) -> BTreeSet<ModId> {
        let mut mods = BTreeSet::new();
        let marks = self.var(0);
        expr.each_var(&mut |var| {
            if var < marks {
                mods.insert(of_form_var(var).0);
            }
        });
        mods
    }
}

impl MergedGroups {
    fn new() -> MergedGroups {
        MergedGroups { decider: Decider::new(0), local: BTreeMap::new() }
    }

    /// Makes a variable. In a chain each implies the ones before it.
    fn add(&mut self, var: Var, chain: std::ops::Range<Var>) {
        let this = self.decider.fresh();
        if chain.contains(&var) {
            let before = self.local.range(chain.start..var).next_back().map(|(_, lit)| *lit);
            let after = self.local.range(var..chain.end).next().map(|(_, lit)| *lit);
            for (later, earlier) in [(Some(this), before), (after, Some(this))] {
                if let (Some(later), Some(earlier)) = (later, earlier) {
                    self.decider.require_if(later, &Expr::Lit(earlier));
                }
            }
        }
        self.local.insert(var, this);
    }
}

fn tie_rules(graph: &Graph) -> impl Iterator<Item = Expr> {
    let in_any = |m: &ModId| is_in(*m, None);
    graph.day_rules().iter().filter_map(move |(rule, mods)| match rule {
        DayRule::Requires(..) => Some(in_any(&mods[0]).implies(Expr::any(mods[1..].iter().map(in_any)))),
        DayRule::Excludes(a, b) => Some(Expr::any([!in_any(a), !in_any(b)])),
        DayRule::OneOf(_) => None,
    })
}

/// One serial of each kind, in the order of blocks and numbers: where no range that any rule or condition names starts
/// or ends between two neighbours of one block, the second is of the same kind as the first.
fn kinds_of_serials(model: &Model) -> Vec<Serial> {
    let mut sets: Vec<&SerialSet> = Vec::new();
    for (_, _, m) in model.mods.iter() {
        sets.extend(m.production.as_ref().map(|form| &form.covers));
        sets.extend(m.retrospective.as_ref().and_then(|form| form.eligible.as_ref()));
    }
    for (_, _, position) in model.positions.iter() {
        for condition in position.candidates.iter().map(|c| &c.when).chain(&position.nothing_when) {
            serial_sets(condition, &mut sets);
        }
    }
    for (_, _, frame) in model.frames.iter() {
        frame.openings.iter().for_each(|opening| serial_sets(&opening.when, &mut sets));
    }
    let mut kinds = Vec::new();
    for block in &model.blocks {
        let mut starts = BTreeSet::from([block.first.number]);
        for range in sets.iter().flat_map(|set| &set.0).filter(|range| range.prefix == block.first.prefix) {
            starts.extend(range.from.iter().flat_map(|(number, _)| [*number, number.saturating_add(1)]));
            starts.extend(range.to.iter().flat_map(|(number, _)| [*number, number.saturating_add(1)]));
        }
        let inside = starts.into_iter().filter(|number| (block.first.number..=block.last.number).contains(number));
        kinds.extend(inside.map(|number| block.first.numbered(number)));
    }
    kinds
}

fn serial_sets<'c>(condition: &'c Condition, sets: &mut Vec<&'c SerialSet>) {
    match condition {
        Condition::Serials(set) => sets.push(set),
        Condition::Post(..) | Condition::Pre(_) => {}
        Condition::All(parts) | Condition::Any(parts) => parts.iter().for_each(|part| serial_sets(part, sets)),
        Condition::Not(part) => serial_sets(part, sets),
    }
}
