//! Whether what a build state adds and leaves out keeps the rules, and whether it changes anything.

use crate::codes;
use crate::finding::Finding;
use crate::graph::Graph;
use crate::history::{History, is_in};
use crate::ids::{AirframeId, BuildStateId, ModId};
use crate::model::{BuildState, Model};
use crate::prop::{Expr, Limit};
use crate::resolve::{Basis, BrokenChoice, Limits, Reason, Resolver, Rule, Target, judge_choices};
use crate::words::{chain, listed, mods_of, worded};

pub(super) fn check(model: &Model, graph: &Graph, airframe: AirframeId, limits: Limits) -> Vec<Finding> {
    let mut findings = Vec::new();
    let history = History::new(model, graph, airframe);
    for (id, _, state) in model.airframes[airframe].build_states.iter() {
        let mut chosen = state.add.iter().chain(&state.leave_out).map(|(m, ..)| *m);
        if chosen.clone().next().is_none() || chosen.any(|m| !history.reach.modification(m).is_empty()) {
            continue;
        }
        let Ok(judged) = judge_choices(model, graph, airframe, id, limits) else { continue };
        let chosen = Chosen { model, graph, airframe, id, state, limits };
        let choices = match judged {
            Ok(choices) => choices,
            Err(Limit::NotRead) => continue,
            Err(limit) => {
                findings.push(chosen.not_judged(limit));
                continue;
            }
        };
        findings.extend(choices.broken.iter().filter_map(|broken| chosen.broken(*broken)));
        for &m in &choices.added_anyway {
            findings.extend(chosen.idle(m, true));
        }
        for &m in &choices.left_out_anyway {
            findings.extend(chosen.idle(m, false));
        }
    }
    findings
}

/// A build state with what it chooses.
struct Chosen<'m> {
    model: &'m Model,
    graph: &'m Graph,
    airframe: AirframeId,
    id: BuildStateId,
    state: &'m BuildState,
    limits: Limits,
}

impl Chosen<'_> {
    /// "The build state `rebuild` of `7C537`".
    fn called(&self) -> String {
        let airframe = &self.model.airframes[self.airframe];
        format!("the build state `{}` of `{}`", airframe.build_states.name(self.id), airframe.serial.text)
    }

    fn not_judged(&self, limit: Limit) -> Finding {
        let message = format!("{} may break a rule; that is not decided: {limit}", self.called());
        Finding::new(codes::STATE_MAY_BREAK_RULE, message, self.state.record.field("name"), "not decided")
            .help("resolve the contradictions of the claims first, one by one")
    }

    fn broken(&self, broken: BrokenChoice) -> Option<Finding> {
        let target = Target { day: self.state.date, build_state: Some(self.id) };
        let resolver = Resolver::new(self.model, self.graph, self.airframe, target, self.limits).ok()?;
        let history = resolver.history();
        let bound = mods_of(&Reason::Rule(broken.rule), history);
        let added = self.state.add.iter().map(|choice| (choice, "added"));
        let left_out = self.state.leave_out.iter().map(|choice| (choice, "left out"));
        let mut choices = added.chain(left_out).filter(|((m, ..), _)| bound.contains(m));
        let ((m, place, _), how) = choices.next()?;
        let rule = worded(&Reason::Rule(broken.rule), history, target);
        let (code, verb) = if broken.always {
            (codes::STATE_BREAKS_RULE, "breaks a rule")
        } else {
            (codes::STATE_MAY_BREAK_RULE, "may break a rule")
        };
        let message = format!("{} {verb}: {}", self.called(), rule.text);
        let label = format!("`{}` is {how}", self.model.mods.name(*m));
        let place = place.field("modification");
        let mut finding = Finding::new(code, message, place, label).label(rule.place, rule.label);
        for ((other, place, _), how) in choices {
            finding =
                finding.label(place.field("modification"), format!("`{}` is {how}", self.model.mods.name(*other)));
        }
        if broken.always {
            finding = with_reasons(finding, &resolver, &reasons_of_choice(&resolver, *m, broken.rule));
        }
        let help = if broken.always { self.help(broken.rule) } else { self.help_if_open(broken.rule, &resolver) };
        Some(finding.help(help))
    }

    fn help(&self, rule: Rule) -> String {
        let name = |m: ModId| format!("`{}`", self.model.mods.name(m));
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

    /// Names what is open among the modifications that the rule binds.
    fn help_if_open(&self, rule: Rule, resolver: &Resolver<'_>) -> String {
        let chosen = |m: &ModId| self.state.add.iter().chain(&self.state.leave_out).any(|(other, ..)| other == m);
        let bound = mods_of(&Reason::Rule(rule), resolver.history());
        let open = listed(bound.iter().filter(|m| !chosen(m)).map(|m| self.model.mods.name(*m)), "and");
        let serial = &self.model.airframes[self.airframe].serial.text;
        format!("find out whether `{serial}` had {open}, or add or leave it out on purpose as well")
    }

    /// A choice that the histories make anyway.
    fn idle(&self, m: ModId, added: bool) -> Option<Finding> {
        let choices = if added { &self.state.add } else { &self.state.leave_out };
        let (_, place, _) = choices.iter().find(|(other, ..)| *other == m)?;
        let name = self.model.mods.name(m);
        let (verb, already) = if added { ("adds", "in") } else { ("leaves out", "not in") };
        let message = format!("{} {verb} `{name}`, which is {already} anyway", self.called());
        Some(
            Finding::new(codes::CHOICE_CHANGES_NOTHING, message, place.field("modification"), "changes nothing")
                .help("remove it, or check that this is the modification that is meant"),
        )
    }
}

/// The claims and rules by which the choice breaks the rule; none if another rule is broken with it.
fn reasons_of_choice(resolver: &Resolver<'_>, m: ModId, rule: Rule) -> Vec<Reason> {
    let nothing = Expr::All(vec![is_in(m, None), !is_in(m, None)]);
    let grounds = resolver.why(&nothing, Basis::Held).into_iter().next();
    grounds.map(|grounds| grounds.reasons).filter(|reasons| reasons.contains(&Reason::Rule(rule))).unwrap_or_default()
}

fn with_reasons(mut finding: Finding, resolver: &Resolver<'_>, reasons: &[Reason]) -> Finding {
    for step in chain(reasons, resolver.history(), resolver.target()) {
        finding = finding.because(step.text);
        if !finding.labels.iter().any(|label| label.place == step.place) {
            finding = finding.label(step.place, step.label);
        }
    }
    finding
}
