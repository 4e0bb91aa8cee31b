//! Whether what a build state adds and leaves out keeps the rules.

use super::wording::{chain, expr_text, listed, worded};
use crate::codes;
use crate::finding::{Finding, Place};
use crate::graph::{Graph, Tie};
use crate::history::{Afterwards, is_in};
use crate::ids::{AirframeId, BuildStateId, Id, ModId};
use crate::model::{BuildState, Model};
use crate::prop::Expr;
use crate::resolve::{Basis, Limits, Reason, Resolver, Rule, Target, Truth};
use std::collections::BTreeSet;

pub(super) fn check(model: &Model, graph: &Graph, airframe: AirframeId, limits: Limits) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (id, _, state) in model.airframes[airframe].build_states.iter() {
        if state.add.is_empty() && state.leave_out.is_empty() {
            continue;
        }
        let target = Target { day: state.date, build_state: None };
        if let Ok(resolver) = Resolver::new(model, graph, airframe, target, limits) {
            Choices { model, airframe, id, state, resolver }.check(&mut findings);
        }
    }
    findings
}

/// A build state's choices beside the airframe as it was that day.
struct Choices<'m> {
    model: &'m Model,
    airframe: AirframeId,
    id: BuildStateId,
    state: &'m BuildState,
    resolver: Resolver<'m>,
}

impl Choices<'_> {
    fn check(&mut self, findings: &mut Vec<Finding>) {
        for (m, place, _) in &self.state.add {
            let rule = match self.resolver.history().possible[m.index()].afterwards {
                Afterwards::NoForm => Rule::NoRetrospectiveForm(*m),
                Afterwards::NotEligible => Rule::NotEligible(*m),
                Afterwards::From(_) => continue,
            };
            let keeps = is_in(*m, None);
            self.judge(&keeps, rule, *m, place, findings);
        }
        let graph = self.resolver.history().graph;
        let chosen = self.state.add.iter().chain(&self.state.leave_out);
        let ties: BTreeSet<usize> = chosen.flat_map(|(m, ..)| graph.ties_of(*m)).copied().collect();
        for tie in ties {
            let (tie, mods) = &graph.ties()[tie];
            if let Some((keeps, rule)) = self.kept(tie, mods) {
                let (m, place) = self.first_chosen(mods);
                self.judge(&keeps, rule, m, &place, findings);
            }
        }
    }

    /// When the rebuilt state keeps a tie, over the state that day.
    fn kept(&self, tie: &Tie, mods: &[ModId]) -> Option<(Expr, Rule)> {
        let rebuilt = |m: &ModId| {
            if self.state.add.iter().any(|(other, ..)| other == m) {
                Expr::Const(true)
            } else if self.state.leave_out.iter().any(|(other, ..)| other == m) {
                Expr::Const(false)
            } else {
                is_in(*m, None)
            }
        };
        Some(match tie {
            Tie::Requires(m, which) => {
                (rebuilt(m).implies(Expr::any(mods[1..].iter().map(rebuilt))), Rule::Requires(*m, *which))
            }
            Tie::Excludes(a, b) => (Expr::any([!rebuilt(a), !rebuilt(b)]), Rule::Excludes(*a, *b)),
            Tie::OneOf(index) => {
                let group = &self.model.one_ofs[*index];
                if self.state.date < group.introduced.last() {
                    return None;
                }
                let mut parts = Vec::new();
                for (n, a) in mods.iter().enumerate() {
                    parts.extend(mods[n + 1..].iter().map(|b| Expr::any([!rebuilt(a), !rebuilt(b)])));
                }
                parts.extend(group.exactly.then(|| Expr::any(mods.iter().map(rebuilt))));
                (Expr::all(parts), Rule::OneOf(*index))
            }
        })
    }

    fn first_chosen(&self, mods: &[ModId]) -> (ModId, Place) {
        let chosen = self.state.add.iter().chain(&self.state.leave_out);
        let mut here = chosen.filter(|(m, ..)| mods.contains(m));
        here.next().map_or_else(|| (mods[0], self.state.record.place()), |(m, place, _)| (*m, place.clone()))
    }

    fn judge(&mut self, keeps: &Expr, rule: Rule, m: ModId, place: &Place, findings: &mut Vec<Finding>) {
        let code = match self.resolver.truth(keeps, Basis::Held) {
            Truth::Never => codes::STATE_BREAKS_RULE,
            Truth::Open => codes::STATE_MAY_BREAK_RULE,
            Truth::Always | Truth::NoHistory | Truth::Undecided(_) => return,
        };
        let broken = code == codes::STATE_BREAKS_RULE;
        let airframe = &self.model.airframes[self.airframe];
        let (name, serial) = (airframe.build_states.name(self.id), &airframe.serial.text);
        let history = self.resolver.history();
        let told = worded(&Reason::Rule(rule), history, self.resolver.target());
        let verb = if broken { "breaks a rule" } else { "may break a rule" };
        let message = format!("the build state `{name}` of `{serial}` {verb}: {}", told.text);
        let added = self.state.add.iter().any(|(other, ..)| *other == m);
        let label = format!("`{}` is {}", self.model.mods.name(m), if added { "added" } else { "left out" });
        let mut finding = Finding::new(code, message, place.clone(), label).label(told.place, told.label);
        for (_, other, _) in self.other_choices(rule, m) {
            finding = finding.label(other.clone(), "chosen too");
        }
        if broken {
            for grounds in self.resolver.why(&!keeps.clone(), Basis::Held).iter().take(1) {
                for step in chain(&grounds.reasons, history, self.resolver.target()) {
                    finding = finding.because(step.text).label(step.place, step.label);
                }
            }
            finding.labels.dedup();
        }
        findings.push(finding.help(self.help(keeps, rule, broken)));
    }

    fn other_choices(&self, rule: Rule, m: ModId) -> impl Iterator<Item = &(ModId, Place, String)> {
        let tied = super::wording::mods_of(&Reason::Rule(rule), self.resolver.history());
        let chosen = self.state.add.iter().chain(&self.state.leave_out);
        chosen.filter(move |(other, ..)| *other != m && tied.contains(other))
    }

    fn help(&self, keeps: &Expr, rule: Rule, broken: bool) -> String {
        let name = |m: ModId| format!("`{}`", self.model.mods.name(m));
        if !broken {
            let serial = &self.model.airframes[self.airframe].serial.text;
            let when = expr_text(keeps, self.model);
            return format!("settle whether `{serial}` was {when}, or choose it on purpose as well");
        }
        match rule {
            Rule::Requires(m, which) => {
                let required = self.model.mods[m].requires[which].0;
                format!("add {} too, or leave out {}", name(required), name(m))
            }
            Rule::Excludes(a, b) => format!("leave out {} or {}", name(a), name(b)),
            Rule::OneOf(group) => {
                let group = &self.model.one_ofs[group];
                let members = listed(group.members.iter().map(|m| self.model.mods.name(*m)), "or");
                format!("choose {} of {members}", if group.exactly { "exactly one" } else { "at most one" })
            }
            Rule::NoRetrospectiveForm(m) | Rule::NotEligible(m) => {
                format!("take {} out of `add`: it was never open to this serial afterwards", name(m))
            }
            Rule::Built
            | Rule::CutIn(_)
            | Rule::Leaflet(_)
            | Rule::OneForm(_)
            | Rule::Stays(_)
            | Rule::Added(_)
            | Rule::LeftOut(_) => "change what the build state adds or leaves out".to_owned(),
        }
    }
}
