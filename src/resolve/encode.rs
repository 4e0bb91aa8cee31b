//! One component of one airframe's history as propositional requirements.

use super::steps::{Steps, days_of, stretch_days};
use super::{Reason, Rule, StateMeant, Target};
use crate::graph::DayRule;
use crate::history::{Afterwards, Fact, History, of_form_var, rewrite};
use crate::ids::{ClaimId, Id, ModId};
use crate::prop::{Expr, Lit};
use crate::quantity::Day;
use crate::schema::Form;
use indexmap::IndexMap;
use std::collections::{BTreeSet, HashMap};

/// Modifications that have to be looked at together, with the claims that bear on them.
#[derive(Clone, Debug)]
pub(crate) struct Component {
    /// The modifications, in table order.
    pub mods: Vec<ModId>,
    /// The claims, in table order.
    pub claims: Vec<ClaimId>,
    /// The first and last day on which the airframe can have been built, as far as it matters to this component: the
    /// same day twice if it makes no difference.
    pub built: (Day, Day),
    /// Stretches of days, besides those of claims and of the target, of whose states something is asked.
    pub asked: Vec<(Day, Day)>,
}

impl Component {
    /// Nothing yet, of an airframe that was built on one of the days from the first to the last.
    pub(crate) fn empty(first: Day, last: Day) -> Component {
        Component { mods: Vec::new(), claims: Vec::new(), built: (first, last), asked: Vec::new() }
    }
}

/// How rules are written down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum EncodingStyle {
    /// Rules hold, and what they settle is folded away; only claims can be switched off.
    Plain,
    /// Every rule has a switch, so that a reason can say which rules it needs.
    Explaining,
}

/// A component as requirements over solver variables.
#[derive(Debug)]
pub(crate) struct Encoding {
    /// How many variables there are.
    pub vars: u32,
    /// What holds in any case.
    pub always: Vec<Expr>,
    /// What holds while a switch is on.
    pub guarded: Vec<(Lit, Expr)>,
    /// The switch of each claim and, when explaining, of each rule.
    pub switches: IndexMap<Reason, Lit>,
    /// The switch of the named build state's own choices; on when a question is about that state.
    pub chosen: Option<Lit>,
    /// The states looked at.
    pub steps: Steps,
    /// The step of the target date.
    pub target: usize,
    built: Vec<Expr>,
    /// The forms of each modification at every step, in table order.
    forms: Vec<(ModId, [Vec<Expr>; 2])>,
    rebuilt: IndexMap<ModId, [Expr; 2]>,
    covered_elsewhere: BTreeSet<ModId>,
}

impl Encoding {
    /// An expression over state variables, at a step, over solver variables.
    pub(crate) fn at(&self, expr: &Expr, step: usize) -> Expr {
        rewrite(expr, &|var| {
            let (m, form) = of_form_var(var);
            self.form_at(m, form, step)
        })
    }
    /// The airframe is built, at a step, over solver variables.
    pub(crate) fn built_at(&self, step: usize) -> &Expr {
        &self.built[step]
    }
    /// An expression over state variables in the state asked for: at the target date, with the named build state's
    /// choices made.
    pub(crate) fn asked(&self, expr: &Expr) -> Expr {
        rewrite(expr, &|var| {
            let (m, form) = of_form_var(var);
            match self.rebuilt.get(&m) {
                Some(forms) => forms[slot(form)].clone(),
                None => self.form_at(m, form, self.target),
            }
        })
    }
    /// An expression over state variables in the state that it speaks of.
    pub(crate) fn read(&self, expr: &Expr, read: StateMeant) -> Expr {
        match read {
            StateMeant::Asked => self.asked(expr),
            StateMeant::Found => self.at(expr, self.target),
        }
    }
    /// Whether the named build state adds or leaves out one of the modifications.
    pub(crate) fn is_rebuilt(&self) -> bool {
        !self.rebuilt.is_empty()
    }
    fn forms_of(&self, m: ModId) -> Option<&[Vec<Expr>; 2]> {
        self.forms.binary_search_by_key(&m, |(id, _)| *id).ok().map(|at| &self.forms[at].1)
    }
    fn form_at(&self, m: ModId, form: Form, step: usize) -> Expr {
        match self.forms_of(m) {
            Some(forms) => forms[slot(form)][step].clone(),
            None if form == Form::Production && self.covered_elsewhere.contains(&m) => self.built[step].clone(),
            None => Expr::Const(false),
        }
    }
    /// All requirements with the switches set: off for these claims, on elsewhere.
    pub(crate) fn with_switches(&self, off: &BTreeSet<ClaimId>) -> Vec<Expr> {
        let switches: HashMap<u32, bool> = self.switched(off).map(|lit| (lit.var, lit.positive)).collect();
        let known = |var| switches.get(&var).copied();
        let guarded = self.guarded.iter().filter(|(guard, _)| known(guard.var) != Some(!guard.positive));
        self.always.iter().chain(guarded.map(|(_, expr)| expr)).map(|expr| expr.with(&known)).collect()
    }
}

fn slot(form: Form) -> usize {
    usize::from(form == Form::Retrospective)
}

/// Writes down a component.
pub(crate) fn encode(history: &History<'_>, component: &Component, target: Target, style: EncodingStyle) -> Encoding {
    let mut writer = Writer::new(history, component, target, style);
    writer.built();
    for &m in &component.mods {
        writer.forms(m);
    }
    writer.day_rules(component);
    for &claim in &component.claims {
        writer.claim(claim);
    }
    writer.out
}

struct Writer<'h, 'm> {
    history: &'h History<'m>,
    style: EncodingStyle,
    build_days: (Day, Day),
    choices: Choices,
    removals: IndexMap<ModId, Vec<(Lit, Day, Day)>>,
    exists: Vec<Expr>,
    out: Encoding,
}

/// What a named build state adds and leaves out.
#[derive(Default)]
struct Choices {
    add: BTreeSet<ModId>,
    leave_out: BTreeSet<ModId>,
}

impl<'h, 'm> Writer<'h, 'm> {
    fn new(history: &'h History<'m>, component: &Component, target: Target, style: EncodingStyle) -> Writer<'h, 'm> {
        let mut vars = 0;
        let mut fresh = || {
            vars += 1;
            Lit { var: vars - 1, positive: true }
        };
        let mut choices = Choices::default();
        if let Some(state) = target.build_state {
            let state = &history.airframe().build_states[state];
            choices.add = state.add.iter().map(|(m, ..)| *m).collect();
            choices.leave_out = state.leave_out.iter().map(|(m, ..)| *m).collect();
        }
        let chosen = (style == EncodingStyle::Plain && target.build_state.is_some()).then(&mut fresh);
        let switches: IndexMap<Reason, Lit> =
            component.claims.iter().map(|claim| (Reason::Claim(*claim), fresh())).collect();
        let mut removals: IndexMap<ModId, Vec<(Lit, Day, Day)>> = IndexMap::new();
        for &claim in &component.claims {
            if let Some((m, from, to)) = history.meanings[claim.index()].lets_remove {
                removals.entry(m).or_default().push((switches[&Reason::Claim(claim)], from, to));
            }
        }
        let steps = lay_steps(history, component, target, style, &removals);
        let covered_elsewhere = neighbours(history, component)
            .into_iter()
            .filter(|m| history.possible[m.index()].covered && component.mods.binary_search(m).is_err())
            .collect();
        let out = Encoding {
            vars,
            always: Vec::new(),
            guarded: Vec::new(),
            switches,
            chosen,
            target: steps.on(target.day),
            steps,
            built: Vec::new(),
            forms: Vec::with_capacity(component.mods.len()),
            rebuilt: IndexMap::new(),
            covered_elsewhere,
        };
        Writer { history, style, build_days: component.built, choices, removals, exists: Vec::new(), out }
    }

    fn fresh(&mut self) -> Lit {
        self.out.vars += 1;
        Lit { var: self.out.vars - 1, positive: true }
    }

    /// Requires the expression as part of a rule.
    fn rule(&mut self, rule: Rule, expr: Expr) {
        match self.style {
            EncodingStyle::Plain => self.always(expr),
            EncodingStyle::Explaining => {
                let switch = match self.out.switches.get(&Reason::Rule(rule)) {
                    Some(switch) => *switch,
                    None => self.fresh(),
                };
                self.out.switches.insert(Reason::Rule(rule), switch);
                self.out.guarded.push((switch, expr));
            }
        }
    }

    /// Requires the expression as part of a rule in the rebuilt state only.
    fn rule_rebuilt(&mut self, rule: Rule, expr: Expr) {
        match self.out.chosen {
            Some(chosen) => self.out.guarded.push((chosen, expr)),
            None => self.rule(rule, expr),
        }
    }

    fn always(&mut self, expr: Expr) {
        if expr != Expr::Const(true) {
            self.out.always.push(expr);
        }
    }

    /// "The airframe is built" at each step: settled outside the window of the build date, open inside it; and "there
    /// is an airframe to fit anything to", which is the same unless a reason does without the build date.
    fn built(&mut self) {
        let (first, last) = self.build_days;
        for index in 0..self.out.steps.0.len() {
            let step = self.out.steps.0[index];
            let built = if step.from >= last {
                Expr::Const(true)
            } else if step.to < first {
                Expr::Const(false)
            } else {
                Expr::Lit(self.fresh())
            };
            // B(t-1) → B(t)
            if index > 0 {
                let before = self.out.built[index - 1].clone();
                self.always(before.implies(built.clone()));
            }
            let exists = if self.style == EncodingStyle::Explaining && built != Expr::Const(true) {
                let regardless = Expr::Lit(self.fresh());
                self.rule(Rule::Built, !regardless.clone());
                Expr::any([built.clone(), regardless])
            } else {
                built.clone()
            };
            self.out.built.push(built);
            self.exists.push(exists);
        }
    }

    /// The forms of one modification at every step, and the rules that concern it alone.
    fn forms(&mut self, m: ModId) {
        let possible = self.history.possible[m.index()];
        let removals = self.removals.get(&m).cloned().unwrap_or_default();
        let count = self.out.steps.0.len();
        let mut production = Vec::with_capacity(count);
        let mut retrospective = Vec::with_capacity(count);
        for index in 0..count {
            let step = self.out.steps.0[index];
            let (p, r) = if self.style == EncodingStyle::Explaining {
                (Expr::Lit(self.fresh()), Expr::Lit(self.fresh()))
            } else {
                let p = match (possible.covered, removals.is_empty()) {
                    (false, _) => Expr::Const(false),
                    (true, true) => self.out.built[index].clone(),
                    (true, false) => Expr::Lit(self.fresh()),
                };
                let in_time = possible.earliest.is_some_and(|day| day <= step.to);
                let r = if in_time && (!possible.covered || !removals.is_empty()) {
                    Expr::Lit(self.fresh())
                } else {
                    Expr::Const(false)
                };
                (p, r)
            };
            production.push(p);
            retrospective.push(r);
        }
        self.out.forms.push((m, [production, retrospective]));
        self.rebuilt(m);
        for index in 0..count {
            self.form_rules(m, index, &removals);
        }
    }

    fn form_rules(&mut self, m: ModId, index: usize, removals: &[(Lit, Day, Day)]) {
        let possible = self.history.possible[m.index()];
        let step = self.out.steps.0[index];
        let at = |out: &Encoding, form, index| out.form_at(m, form, index);
        let built = self.out.built[index].clone();
        let p = at(&self.out, Form::Production, index);
        let r = at(&self.out, Form::Retrospective, index);
        // P(m,t) → B(t);  R(m,t) → B(t)
        for form in [&p, &r] {
            let exists = self.exists[index].clone();
            self.always(form.clone().implies(exists));
        }
        let built_before = if index == 0 { Expr::Const(false) } else { self.out.built[index - 1].clone() };
        // covered: B(t) ∧ ¬B(t-1) → P(m,t);  otherwise ¬P(m,t)
        if possible.covered {
            let on_build_day = Expr::all([built, !built_before.clone()]);
            self.rule(Rule::CutIn(m), on_build_day.implies(p.clone()));
        } else {
            self.rule(Rule::CutIn(m), !p.clone());
        }
        // no form, not eligible, or t before the leaflet: ¬R(m,t)
        match possible.afterwards {
            Afterwards::NoForm => self.rule(Rule::NoRetrospectiveForm(m), !r.clone()),
            Afterwards::NotEligible => self.rule(Rule::NotEligible(m), !r.clone()),
            Afterwards::From(leaflet) if step.to < leaflet => self.rule(Rule::Leaflet(m), !r.clone()),
            Afterwards::From(_) => {}
        }
        // ¬P(m,t) ∨ ¬R(m,t)
        self.rule(Rule::OneForm(m), Expr::any([!p.clone(), !r.clone()]));
        if index == 0 {
            return;
        }
        let p_before = at(&self.out, Form::Production, index - 1);
        let r_before = at(&self.out, Form::Retrospective, index - 1);
        // P(m,t) → P(m,t-1) ∨ ¬B(t-1)
        if possible.covered {
            self.rule(Rule::CutIn(m), p.clone().implies(Expr::any([p_before.clone(), !built_before])));
        }
        // ¬P(m,t-1) ∨ ¬R(m,t), and for X of P and R: X(m,t-1) → X(m,t) ∨ c₁ ∨ c₂ …, the held claims that let m be removed
        // on t
        self.rule(Rule::Stays(m), Expr::any([!p_before.clone(), !r.clone()]));
        for (before, now) in [(p_before, p), (r_before, r)] {
            let removed = removals.iter().filter(|(_, from, to)| *from <= step.from && step.to <= *to);
            let may = removed.map(|(claim, ..)| Expr::Lit(*claim));
            self.rule(Rule::Stays(m), before.implies(Expr::any(std::iter::once(now).chain(may))));
        }
    }

    /// The forms of one modification in the rebuilt state, if the workshop adds it or leaves it out.
    fn rebuilt(&mut self, m: ModId) {
        let added = self.choices.add.contains(&m);
        if !added && !self.choices.leave_out.contains(&m) {
            return;
        }
        // With P' and R' for the rebuilt state and P for the target day: ¬P' ∨ ¬R';  ¬P ∨ ¬R';  P' → P;
        // no form or not eligible: ¬R';  added: P' ∨ R';  left out: ¬P' ∧ ¬R'
        let p_then = self.out.form_at(m, Form::Production, self.out.target);
        let p = Expr::Lit(self.fresh());
        let r = Expr::Lit(self.fresh());
        self.rule_rebuilt(Rule::OneForm(m), Expr::any([!p.clone(), !r.clone()]));
        self.rule_rebuilt(Rule::OneForm(m), Expr::any([!p_then.clone(), !r.clone()]));
        self.rule_rebuilt(Rule::CutIn(m), p.clone().implies(p_then));
        match self.history.possible[m.index()].afterwards {
            Afterwards::NoForm => self.rule_rebuilt(Rule::NoRetrospectiveForm(m), !r.clone()),
            Afterwards::NotEligible => self.rule_rebuilt(Rule::NotEligible(m), !r.clone()),
            Afterwards::From(_) => {}
        }
        if added {
            self.rule_rebuilt(Rule::Added(m), Expr::any([p.clone(), r.clone()]));
        } else {
            self.rule_rebuilt(Rule::LeftOut(m), Expr::all([!p.clone(), !r.clone()]));
        }
        self.out.rebuilt.insert(m, [p, r]);
    }

    /// The rules that bind the component's modifications to each other and to settled ones.
    fn day_rules(&mut self, component: &Component) {
        let graph = self.history.graph;
        let rules: BTreeSet<usize> = component.mods.iter().flat_map(|m| graph.day_rules_of(*m)).copied().collect();
        for index in rules {
            let (rule, mods) = &graph.day_rules()[index];
            if self.style == EncodingStyle::Explaining && mods.iter().any(|m| self.out.forms_of(*m).is_none()) {
                continue;
            }
            for step in 0..self.out.steps.0.len() {
                let forms = |m: ModId| {
                    let out = &self.out;
                    Expr::any([out.form_at(m, Form::Production, step), out.form_at(m, Form::Retrospective, step)])
                };
                let day = self.out.steps.0[step].from;
                let expr = day_rule(self.history, rule, mods, day, &self.out.built[step], &forms);
                self.rule(Rule::of_day(rule), expr);
            }
            if mods.iter().any(|m| self.out.rebuilt.contains_key(m)) {
                let forms = |m: ModId| self.out.asked(&crate::history::is_in(m, None));
                let day = self.out.steps.0[self.out.target].from;
                let expr = day_rule(self.history, rule, mods, day, &Expr::Const(true), &forms);
                self.rule_rebuilt(Rule::of_day(rule), expr);
            }
        }
    }

    fn claim(&mut self, claim: ClaimId) {
        let switch = self.out.switches[&Reason::Claim(claim)];
        for fact in &self.history.meanings[claim.index()].facts {
            let out = &self.out;
            // c → f(t);  c → f(t₁) ∨ f(t₂) …;  c → (B(t₁) ∧ f(t₁)) ∨ (B(t₂) ∧ f(t₂)) …
            let expr = match fact {
                Fact::At(day, expr) => out.at(expr, out.steps.on(*day)),
                Fact::Sometime(from, to, expr) => {
                    Expr::any(out.steps.within(*from, *to).map(|step| out.at(expr, step)))
                }
                Fact::Seen(from, to, expr) => Expr::any(
                    (out.steps.within(*from, *to)).map(|s| Expr::all([self.exists[s].clone(), out.at(expr, s)])),
                ),
            };
            self.out.guarded.push((switch, expr));
        }
    }
}

/// Every modification that a rule or a claim of the component names, its own included, and with those that can never
/// be in for want of something that they require, the whole chain of what is wanting.
pub(crate) fn neighbours(history: &History<'_>, component: &Component) -> BTreeSet<ModId> {
    let graph = history.graph;
    let binding = |m: &ModId| graph.day_rules_of(*m).iter().map(|rule| &graph.day_rules()[*rule]);
    let mut found: BTreeSet<ModId> = component.mods.iter().copied().collect();
    found.extend(component.mods.iter().flat_map(binding).flat_map(|(_, mods)| mods));
    for claim in &component.claims {
        found.extend(history.meanings[claim.index()].mods());
    }
    let mut open: Vec<ModId> = found.iter().copied().collect();
    while let Some(m) = open.pop() {
        let possible = history.possible[m.index()];
        if !possible.covered && possible.earliest.is_none() && matches!(possible.afterwards, Afterwards::From(_)) {
            let own =
                binding(&m).filter(|(rule, _)| matches!(rule, DayRule::Requires(requiring, _) if *requiring == m));
            open.extend(own.flat_map(|(_, mods)| mods).copied().filter(|m| found.insert(*m)));
        }
    }
    found
}

/// What a rule says of one state.
pub(super) fn day_rule(
    history: &History<'_>,
    rule: &DayRule,
    mods: &[ModId],
    day: Day,
    built: &Expr,
    is_in: &dyn Fn(ModId) -> Expr,
) -> Expr {
    match rule {
        // I(m,t) → I(m₁,t) ∨ I(m₂,t) …
        DayRule::Requires(..) => is_in(mods[0]).implies(Expr::any(mods[1..].iter().map(|m| is_in(*m)))),
        // ¬I(a,t) ∨ ¬I(b,t)
        DayRule::Excludes(a, b) => Expr::any([!is_in(*a), !is_in(*b)]),
        // from the introduction on: ¬I(a,t) ∨ ¬I(b,t) for each pair; exactly one: B(t) → I(m₁,t) ∨ I(m₂,t) …
        DayRule::OneOf(index) => {
            let group = &history.model.one_ofs[*index];
            if day < group.introduced.last() {
                return Expr::Const(true);
            }
            let members: Vec<Expr> = mods.iter().map(|m| is_in(*m)).collect();
            let most = Expr::at_most_one(&members);
            if group.exactly { Expr::all([most, built.clone().implies(Expr::any(members))]) } else { most }
        }
    }
}

/// The states that have to be looked at.
fn lay_steps(
    history: &History<'_>,
    component: &Component,
    target: Target,
    style: EncodingStyle,
    removals: &IndexMap<ModId, Vec<(Lit, Day, Day)>>,
) -> Steps {
    let mut days = BTreeSet::from([component.built.0, component.built.1, target.day]);
    let mut windows = Vec::new();
    for claim in &component.claims {
        let meaning = &history.meanings[claim.index()];
        for fact in &meaning.facts {
            days.extend(days_of(fact));
            if let Fact::Sometime(from, to, _) | Fact::Seen(from, to, _) = fact {
                windows.push((*from, *to));
                days.extend((*from < component.built.0).then(|| component.built.0.before()));
            }
        }
    }
    for (from, to) in &component.asked {
        windows.push((*from, *to));
        days.extend(stretch_days(*from, *to));
        days.extend((*from < component.built.0).then(|| component.built.0.before()));
    }
    for of_one in removals.values() {
        for (_, from, to) in of_one {
            days.extend(stretch_days(*from, *to));
            days.extend((*from > Day::FIRST).then(|| from.before()));
            windows.push((*from, *to));
        }
    }
    if style == EncodingStyle::Explaining && component.built.0 < component.built.1 {
        // A reason may do without what stays in: then the state of the build date is one that no later day need have.
        windows.push(component.built);
        days.extend(stretch_days(component.built.0, component.built.1));
    }
    if style == EncodingStyle::Explaining && !windows.is_empty() {
        // A reason may do without the build date: then the days before it are days like any other.
        days.insert(Day::FIRST);
    }
    for m in &component.mods {
        for rule in history.graph.day_rules_of(*m) {
            if let DayRule::OneOf(index) = history.graph.day_rules()[*rule].0 {
                days.insert(history.model.one_ofs[index].introduced.last());
            }
        }
        if !windows.is_empty()
            && let Some(day) = history.possible[m.index()].earliest
        {
            days.insert(day);
        }
    }
    Steps::new(&days, &windows)
}
