//! The reason for one modification in a few words.

use super::{lower_first, mods_of};
use crate::history::{Afterwards, History, is_in};
use crate::ids::{ClaimId, Id, ModId};
use crate::model::PaperPlace;
use crate::quantity::Window;
use crate::resolve::{Basis, ModAnswer, Reason, Resolver, Rule, Truth};
use crate::schema::{Standing, ToolKind};

/// Why a modification stands as it does, in a few words for a table: "built in on the line", "record card 1951 (C12)".
#[must_use]
pub fn short_reason(resolver: &Resolver<'_>, m: ModId, answer: &ModAnswer, basis: Basis) -> String {
    let expr = is_in(m, None);
    let (expr, holds) = match answer.embodied {
        Truth::Always => (expr, true),
        Truth::Never => (!expr, false),
        Truth::Open => return why_open(resolver, m, basis),
        Truth::NoHistory => return "the claims contradict each other".to_owned(),
        Truth::Undecided(limit) => return limit.to_string(),
    };
    if let Some(text) = by_serial(resolver, m, holds) {
        return text;
    }
    let grounds = resolver.why(&expr, basis);
    grounds.first().map_or_else(String::new, |grounds| by_reasons(resolver, m, holds, &grounds.reasons))
}

/// The reason where serial, leaflet and date alone settle the matter, and nothing is claimed or chosen.
fn by_serial(resolver: &Resolver<'_>, m: ModId, holds: bool) -> Option<String> {
    let history = resolver.history();
    let possible = history.possible[m.index()];
    let airframe = history.airframe();
    let chosen = resolver.target().build_state.is_some_and(|state| {
        let state = &airframe.build_states[state];
        state.add.iter().chain(&state.leave_out).any(|(other, ..)| *other == m)
    });
    let removed = history.meanings.iter().filter_map(|meaning| meaning.lets_remove).any(|(other, ..)| other == m);
    if chosen || removed || possible.covered != holds {
        return None;
    }
    if holds {
        return Some("built in on the line".to_owned());
    }
    match possible.afterwards {
        Afterwards::NoForm => Some("production only, not this serial".to_owned()),
        Afterwards::NotEligible => Some("not applicable to this serial".to_owned()),
        Afterwards::From(leaflet) if leaflet > resolver.target().day => Some("leaflet is of a later date".to_owned()),
        Afterwards::From(_) => None,
    }
}

fn by_reasons(resolver: &Resolver<'_>, m: ModId, holds: bool, reasons: &[Reason]) -> String {
    let history = resolver.history();
    let rules = || {
        reasons.iter().filter_map(|reason| match reason {
            Reason::Rule(rule) => Some(*rule),
            Reason::Claim(_) => None,
        })
    };
    if rules().any(|rule| rule == Rule::Added(m)) {
        return "added by the build state".to_owned();
    }
    if rules().any(|rule| rule == Rule::LeftOut(m)) {
        return "left out by the build state".to_owned();
    }
    let direct = reasons.iter().find_map(|reason| match reason {
        Reason::Claim(claim) if mods_of(reason, history).contains(&m) => Some(claim_short(history, *claim)),
        Reason::Claim(_) | Reason::Rule(_) => None,
    });
    if let Some(text) = direct {
        return text;
    }
    if let Some(text) = rules().find_map(|rule| rule_short(history, m, holds, rule)) {
        return text;
    }
    let claim = reasons.iter().find_map(|reason| match reason {
        Reason::Claim(claim) => Some(claim_short(history, *claim)),
        Reason::Rule(_) => None,
    });
    claim.unwrap_or_else(
        || if holds { "built in on the line".to_owned() } else { "not built in on the line".to_owned() },
    )
}

/// The claims that speak of a modification and are left out because others contradict them: "photograph 1952 (C13)".
#[must_use]
pub(crate) fn left_out_against(resolver: &Resolver<'_>, m: ModId) -> Vec<String> {
    let history = resolver.history();
    let of_it = |claim: &ClaimId| mods_of(&Reason::Claim(*claim), history).contains(&m);
    let dropped = resolver.dropped_near(m);
    dropped.into_iter().filter(of_it).map(|claim| claim_short(history, claim)).collect()
}

/// A rule as far as it says why the modification stands as it does.
fn rule_short(history: &History<'_>, m: ModId, holds: bool, rule: Rule) -> Option<String> {
    let name = |m: ModId| history.model.mods.name(m).to_owned();
    match rule {
        Rule::Requires(requiring, which) if requiring == m && !holds => {
            Some(format!("requires {}", name(history.model.mods[m].requires[which].0)))
        }
        Rule::Requires(requiring, _) if requiring != m && holds => Some(format!("required by {}", name(requiring))),
        Rule::Excludes(a, b) if a == m || b == m => Some(format!("excludes {}", name(if a == m { b } else { a }))),
        Rule::OneOf(group) if history.model.one_ofs[group].members.contains(&m) => {
            Some(format!("one of {}", history.model.one_ofs[group].name))
        }
        Rule::Leaflet(other) if other == m => Some("leaflet is of a later date".to_owned()),
        Rule::Built
        | Rule::CutIn(_)
        | Rule::NoRetrospectiveForm(_)
        | Rule::NotEligible(_)
        | Rule::Leaflet(_)
        | Rule::OneForm(_)
        | Rule::Stays(_)
        | Rule::Requires(..)
        | Rule::Excludes(..)
        | Rule::OneOf(_)
        | Rule::Added(_)
        | Rule::LeftOut(_) => None,
    }
}

/// A claim by its evidence: "record card 1951 (C12)".
fn claim_short(history: &History<'_>, id: ClaimId) -> String {
    let airframe = history.airframe();
    let claim = &airframe.claims[id];
    let name = airframe.claims.name(id);
    let Some(first) = claim.rests_on.first() else {
        return format!("assumption ({})", name.split(' ').next().unwrap_or(name));
    };
    let item = &airframe.evidence[*first];
    let kind = lower_first(&item.kind);
    match item.date.as_ref().and_then(years) {
        Some(years) => format!("{kind} {years} ({name})"),
        None => format!("{kind} ({name})"),
    }
}

/// The year of a date, or the first and the last: "1951", "1941 to 1955".
fn years(date: &Window) -> Option<String> {
    let year = |text: &str| {
        let year: String = text.trim().chars().take(4).collect();
        (year.len() == 4 && year.bytes().all(|b| b.is_ascii_digit())).then_some(year)
    };
    match date.text.split_once("..") {
        Some((from, to)) if year(from) != year(to) => Some(format!("{} to {}", year(from)?, year(to)?)),
        _ => year(&date.text),
    }
}

/// What bears on an open modification.
fn why_open(resolver: &Resolver<'_>, m: ModId, basis: Basis) -> String {
    let history = resolver.history();
    let claims = &history.airframe().claims;
    let bears = |claim: &ClaimId| {
        let held = basis == Basis::Held || claims[*claim].standing == Standing::Firm;
        held && history.meanings[claim.index()].mods().contains(&m)
    };
    match claims.ids().find(bears) {
        Some(claim) => format!("not settled by {}", claim_short(history, claim)),
        None => "nothing recorded".to_owned(),
    }
}

/// What a kind of tool is called.
pub(crate) fn tool_kind_word(kind: ToolKind) -> &'static str {
    match kind {
        ToolKind::FormBlock => "form block",
        ToolKind::FlatPattern => "flat-pattern template",
        ToolKind::DrillTemplate => "drill template",
    }
}

/// Places on paper: "page 3, fifth line, in papers/E2-3.jpg".
pub(crate) fn paper_words(places: &[PaperPlace]) -> String {
    let one = |place: &PaperPlace| {
        let page = place.page.as_ref().map(|page| format!("page {page}"));
        let file = place.file.as_ref().map(|file| format!("in {file}"));
        [page, place.place.clone(), file].into_iter().flatten().collect::<Vec<_>>().join(", ")
    };
    places.iter().map(one).collect::<Vec<_>>().join("; ")
}
