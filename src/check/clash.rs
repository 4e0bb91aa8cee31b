//! What kind of contradiction a minimal set of claims and rules is.

use crate::codes::{self, Code};
use crate::history::History;
use crate::ids::{ClaimId, ModId};
use crate::model::Statement;
use crate::resolve::{Reason, Rule};
use crate::words::{listed, mods_of};
use std::collections::BTreeSet;

/// A contradiction by its kind.
pub(super) struct Clash {
    pub(super) code: Code,
    pub(super) message: String,
    /// Where a person would start to mend, if not at the first link of the chain.
    pub(super) lead: Option<Reason>,
}

/// Names the kind by the rules that the set needs, and by what its claims say outright.
pub(super) fn of(set: &[Reason], history: &History<'_>) -> Clash {
    let shape = ClashShape::of(set);
    let found = shape.by_rules(history).or_else(|| shape.by_serial_and_leaflet(history));
    found.or_else(|| shape.by_claims(history)).unwrap_or_else(|| shape.general(history))
}

struct ClashShape {
    claims: Vec<ClaimId>,
    rules: Vec<Rule>,
}

impl ClashShape {
    fn of(set: &[Reason]) -> ClashShape {
        let mut shape = ClashShape { claims: Vec::new(), rules: Vec::new() };
        for reason in set {
            match reason {
                Reason::Claim(claim) => shape.claims.push(*claim),
                Reason::Rule(rule) => shape.rules.push(*rule),
            }
        }
        shape
    }

    /// The claim that says outright that the modification is in.
    fn says_embodied(&self, history: &History<'_>, m: ModId) -> Option<ClaimId> {
        let claims = &history.airframe().claims;
        self.claims.iter().copied().find(|c| matches!(claims[*c].says, Statement::Embodied(other, _) if other == m))
    }

    fn any_claim_on(&self, history: &History<'_>, m: ModId) -> Option<ClaimId> {
        self.claims.iter().copied().find(|claim| mods_of(&Reason::Claim(*claim), history).contains(&m))
    }

    fn by_rules(&self, history: &History<'_>) -> Option<Clash> {
        let rules: Vec<Rule> = (self.rules.iter().copied())
            .filter(|rule| matches!(rule, Rule::Requires(..) | Rule::Excludes(..) | Rule::OneOf(_)))
            .collect();
        let [rule] = rules.as_slice() else { return None };
        if self.claims.is_empty() {
            return self.built_without(history, *rule);
        }
        let name = |m: ModId| format!("`{}`", history.model.mods.name(m));
        let serial = &history.airframe().serial.text;
        match *rule {
            Rule::Requires(m, which) => {
                let required = history.model.mods[m].requires[which].0;
                let lead = self.says_embodied(history, m).or_else(|| self.any_claim_on(history, m));
                let message =
                    format!("`{serial}` is claimed to have {} without {}, which it requires", name(m), name(required));
                let lead = lead.map(Reason::Claim);
                Some(Clash { code: codes::WITHOUT_PREREQUISITE, message, lead })
            }
            Rule::Excludes(a, b) => {
                let message = format!(
                    "`{serial}` is claimed to have {} and {} at once, which exclude each other",
                    name(a),
                    name(b)
                );
                let lead = self.claims.last().copied().map(Reason::Claim);
                Some(Clash { code: codes::EXCLUDING_TOGETHER, message, lead })
            }
            Rule::OneOf(group) => {
                let group = &history.model.one_ofs[group];
                let members = listed(group.members.iter().map(|m| history.model.mods.name(*m)), "and");
                let how_many = if group.exactly { "exactly one" } else { "at most one" };
                let message = format!(
                    "the claims about `{serial}` do not keep the group `{}`: {how_many} of {members} is in at a time",
                    group.name
                );
                Some(Clash {
                    code: codes::ONE_OF_BROKEN,
                    message,
                    lead: self.claims.last().copied().map(Reason::Claim),
                })
            }
            Rule::Built
            | Rule::CutIn(_)
            | Rule::NoRetrospectiveForm(_)
            | Rule::NotEligible(_)
            | Rule::Leaflet(_)
            | Rule::OneForm(_)
            | Rule::Stays(_)
            | Rule::Added(_)
            | Rule::LeftOut(_) => None,
        }
    }

    /// Rules alone: the serial was built with something and without what that requires.
    fn built_without(&self, history: &History<'_>, rule: Rule) -> Option<Clash> {
        let Rule::Requires(m, which) = rule else { return None };
        let mods = &history.model.mods;
        let message = format!(
            "`{}` was built with `{}` and without `{}`, which it requires",
            history.airframe().serial.text,
            mods.name(m),
            mods.name(mods[m].requires[which].0)
        );
        let lead = Some(Reason::Rule(Rule::CutIn(m))).filter(|_| self.rules.contains(&Rule::CutIn(m)));
        Some(Clash { code: codes::RULES_CONTRADICT, message, lead })
    }

    fn by_serial_and_leaflet(&self, history: &History<'_>) -> Option<Clash> {
        let [claim] = self.claims.as_slice() else { return None };
        let airframe = history.airframe();
        let serial = &airframe.serial.text;
        let lead = Some(Reason::Claim(*claim));
        let Statement::Embodied(m, _) = airframe.claims[*claim].says else {
            return self.against_the_line(history, *claim);
        };
        if self.rules.iter().any(|rule| matches!(rule, Rule::Requires(..) | Rule::Excludes(..) | Rule::OneOf(_))) {
            return None;
        }
        let name = history.model.mods.name(m);
        let when = crate::words::when_text(&airframe.claims[*claim].when);
        let has = |rule: Rule| self.rules.contains(&rule);
        if let (true, Some(form)) = (has(Rule::Leaflet(m)), &history.model.mods[m].retrospective) {
            let date = form.leaflet_date.text.trim();
            let message = format!("`{serial}` is claimed to have taken `{name}` {when}, before its leaflet of {date}");
            return Some(Clash { code: codes::BEFORE_LEAFLET, message, lead });
        }
        if has(Rule::NotEligible(m)) {
            let message = format!("`{serial}` is claimed to have taken `{name}`, whose leaflet is for other serials");
            return Some(Clash { code: codes::NOT_FOR_THIS_SERIAL, message, lead });
        }
        if has(Rule::NoRetrospectiveForm(m)) {
            let message =
                format!("`{serial}` is claimed to have taken `{name}` afterwards, and that was done on the line only");
            return Some(Clash { code: codes::NOT_FOR_THIS_SERIAL, message, lead });
        }
        self.against_the_line(history, *claim)
    }

    /// A single claim that the cut-in alone speaks against.
    fn against_the_line(&self, history: &History<'_>, claim: ClaimId) -> Option<Clash> {
        let named = mods_of(&Reason::Claim(claim), history);
        let m = named.into_iter().find(|m| self.rules.contains(&Rule::CutIn(*m)))?;
        let only_the_line = self
            .rules
            .iter()
            .all(|rule| matches!(rule, Rule::CutIn(_) | Rule::Stays(_) | Rule::OneForm(_) | Rule::Built));
        if !only_the_line {
            return None;
        }
        let (name, serial) = (history.model.mods.name(m), &history.airframe().serial.text);
        let built = if history.possible[crate::ids::Id::index(m)].covered { "with" } else { "without" };
        let claim_name = history.airframe().claims.name(claim);
        let message =
            format!("the claim `{claim_name}` goes against the cut-in: `{serial}` was built {built} `{name}`");
        Some(Clash { code: codes::AGAINST_THE_LINE, message, lead: Some(Reason::Claim(claim)) })
    }

    fn by_claims(&self, history: &History<'_>) -> Option<Clash> {
        let only_history =
            self.rules.iter().all(|rule| matches!(rule, Rule::Stays(_) | Rule::OneForm(_) | Rule::Built));
        let mut shared: Option<BTreeSet<ModId>> = None;
        for claim in &self.claims {
            let mods = mods_of(&Reason::Claim(*claim), history);
            shared = Some(shared.map_or(mods.clone(), |known| known.intersection(&mods).copied().collect()));
        }
        let m = shared?.first().copied()?;
        if !only_history || self.claims.len() < 2 {
            return None;
        }
        let (name, serial) = (history.model.mods.name(m), &history.airframe().serial.text);
        let claims = listed(self.claims.iter().map(|claim| history.airframe().claims.name(*claim)), "and");
        let message = format!("the claims {claims} about `{serial}` disagree on `{name}`");
        Some(Clash { code: codes::CLAIMS_DISAGREE, message, lead: None })
    }

    fn general(&self, history: &History<'_>) -> Clash {
        let airframe = history.airframe();
        let serial = &airframe.serial.text;
        let names: Vec<&str> = self.claims.iter().map(|claim| airframe.claims.name(*claim)).collect();
        match names.as_slice() {
            [] => {
                let message = format!("the rules contradict each other for the serial `{serial}`, whatever is claimed");
                Clash { code: codes::RULES_CONTRADICT, message, lead: None }
            }
            [only] => {
                let message = format!("the claim `{only}` about `{serial}` cannot hold: the rules speak against it");
                Clash { code: codes::CLAIMS_CONTRADICT, message, lead: None }
            }
            several => {
                let message =
                    format!("the claims {} about `{serial}` cannot all hold", listed(several.iter().copied(), "and"));
                Clash { code: codes::CLAIMS_CONTRADICT, message, lead: None }
            }
        }
    }
}
