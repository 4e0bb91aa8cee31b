//! The words for what the engine says: reasons, truths, dates, conditions and variants.
//!
//! Findings and reports take their words from here, so that one fact reads alike wherever it is shown. Names
//! stand bare, as people read them; findings, which speak of what is written in a file, put them in backticks.

use crate::finding::Place;
use crate::history::{History, of_form_var, of_unknown};
use crate::ids::{ClaimId, EvidenceId, Id, ModId};
use crate::model::{Airframe, Claim, Condition, Model, Statement};
use crate::proof::catalogue::Witness;
use crate::prop::Expr;
use crate::quantity::SerialSet;
use crate::resolve::{Reason, Rule, Since, Target, Truth};
use crate::schema::{Form, Standing};
use std::collections::BTreeSet;

pub mod advice;
mod chain;
mod dates;
mod short;
pub mod survey;

pub(super) use chain::ordered;
pub use chain::{chain, mods_of};
pub use dates::{date_text, when_text};
pub use short::short_reason;
pub(crate) use short::{left_out_against, paper_words, tool_kind_word};

/// A claim or a rule in words, with the source line that says so.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Worded {
    /// One plain sentence, without a full stop.
    pub text: String,
    /// The line that says so.
    pub place: Place,
    /// A few words for a mark at that line.
    pub label: String,
    /// Further lines that the sentence leans on, each with a few words.
    pub also: Vec<(Place, String)>,
}

/// A claim or a rule of one airframe in words.
#[must_use]
pub fn worded(reason: &Reason, history: &History<'_>, target: Target) -> Worded {
    match reason {
        Reason::Claim(claim) => claim_worded(*claim, history),
        Reason::Rule(rule) => rule_worded(*rule, history, target),
    }
}

fn rule_worded(rule: Rule, history: &History<'_>, target: Target) -> Worded {
    let model = history.model;
    let airframe = history.airframe();
    let serial = &airframe.serial.text;
    let name = |m: ModId| model.mods.name(m).to_owned();
    let plain = |text: String, place: Place| Worded { label: text.clone(), text, place, also: Vec::new() };
    match rule {
        Rule::Built => plain(
            format!("nothing was in before {serial} was built, {}", when_text(&airframe.built)),
            airframe.record.field("built"),
        ),
        Rule::CutIn(m) => cut_in_worded(m, history),
        Rule::NoRetrospectiveForm(m) => {
            plain(format!("{} has no retrospective form", name(m)), model.mods[m].place.field("number"))
        }
        Rule::NotEligible(m) => {
            let text = format!("the leaflet of {} is for other serials than {serial}", name(m));
            plain(text, retrospective_place(model, m, "eligible"))
        }
        Rule::Leaflet(m) => {
            let date = model.mods[m].retrospective.as_ref().map_or("", |form| form.leaflet_date.text.as_str());
            let text = format!("nobody embodied {} before its leaflet of {}", name(m), date_text(date));
            plain(text, retrospective_place(model, m, "leaflet_date"))
        }
        Rule::OneForm(m) => plain(
            format!("{} is embodied in one form at a time, production or retrospective", name(m)),
            model.mods[m].place.field("number"),
        ),
        Rule::Stays(m) => {
            let text = format!("no record of {} being removed afterwards", name(m));
            Worded {
                label: format!("no record of {} being removed", name(m)),
                ..plain(text, model.mods[m].place.field("number"))
            }
        }
        Rule::Requires(m, which) => requires_worded(m, which, history),
        Rule::Excludes(a, b) => {
            let written = model.mods[a].excludes.iter().find(|(other, _)| *other == b);
            let place = written.map_or_else(|| model.mods[a].place.clone(), |(_, place)| place.clone());
            plain(format!("{} excludes {}", name(a), name(b)), place)
        }
        Rule::OneOf(index) => {
            let group = &model.one_ofs[index];
            let members = named(group.members.iter().map(|m| model.mods.name(*m)), "and");
            let how_many = if group.exactly { "exactly one" } else { "at most one" };
            let text = format!("{how_many} of {members} is in from {} on", date_text(&group.introduced.text));
            Worded { label: format!("{how_many} of the group {}", group.name), ..plain(text, group.record.place()) }
        }
        Rule::Added(m) | Rule::LeftOut(m) => choice_worded(rule, m, history, target),
    }
}

fn choice_worded(rule: Rule, m: ModId, history: &History<'_>, target: Target) -> Worded {
    let airframe = history.airframe();
    let added = matches!(rule, Rule::Added(_));
    let state = target.build_state.map(|id| (airframe.build_states.name(id), &airframe.build_states[id]));
    let (name, place) = state.map_or(("", airframe.record.place()), |(name, state)| {
        let chosen = if added { &state.add } else { &state.leave_out };
        let written = chosen.iter().find(|(other, ..)| *other == m);
        (name, written.map_or_else(|| state.record.place(), |(_, place, _)| place.clone()))
    });
    let verb = if added { "adds" } else { "leaves out" };
    let text = format!("the build state \"{name}\" {verb} {}", history.model.mods.name(m));
    Worded { label: text.clone(), text, place, also: Vec::new() }
}

fn cut_in_worded(m: ModId, history: &History<'_>) -> Worded {
    let modification = &history.model.mods[m];
    let name = history.model.mods.name(m);
    let whose = on_the_line(history);
    let serial = &history.airframe().serial.text;
    let Some(production) = &modification.production else {
        let text = format!("{name} has no production form: no airframe was built with it");
        return Worded { label: text.clone(), text, place: modification.place.field("number"), also: Vec::new() };
    };
    let (text, label) = if history.possible[m.index()].covered {
        (format!("{whose} is past the cut-in of {name}: it was built with it"), format!("covers {serial}"))
    } else {
        (
            format!("{whose} is not covered by the cut-in of {name}: it was not built with it"),
            format!("does not cover {serial}"),
        )
    };
    Worded { text, place: production.place.clone(), label, also: Vec::new() }
}

/// The serial, with its place on the line where that is known.
fn on_the_line(history: &History<'_>) -> String {
    let airframe = history.airframe();
    let block = history.model.blocks.get(airframe.block);
    let line = block.and_then(|block| Some((&block.factory, block.lines.get(&airframe.serial.number)?)));
    match line {
        Some((factory, line)) => format!("serial {} ({factory} line number {line})", airframe.serial.text),
        None => format!("serial {}", airframe.serial.text),
    }
}

fn retrospective_place(model: &Model, m: ModId, field: &'static str) -> Place {
    let modification = &model.mods[m];
    modification.retrospective.as_ref().map_or_else(|| modification.place.clone(), |form| form.place.field(field))
}

fn requires_worded(m: ModId, which: usize, history: &History<'_>) -> Worded {
    let mods = &history.model.mods;
    let (required, place) = &mods[m].requires[which];
    let successors = &history.graph.serving_for(*required)[1..];
    let text = format!("{} requires {}", mods.name(m), mods.name(*required));
    let label = text.clone();
    let text = match successors {
        [] => text,
        [one] => format!("{text} (or {}, which supersedes it)", mods.name(*one)),
        several => {
            let names = named(several.iter().map(|m| mods.name(*m)), "or");
            format!("{text} (or one of {names}, which supersede it)")
        }
    };
    let also = successors.iter().flat_map(|m| {
        mods[*m].supersedes.iter().map(|(old, place)| (place.clone(), format!("supersedes {}", mods.name(*old))))
    });
    Worded { text, place: place.clone(), label, also: also.collect() }
}

fn claim_worded(id: ClaimId, history: &History<'_>) -> Worded {
    let (model, airframe) = (history.model, history.airframe());
    let claim = &airframe.claims[id];
    let name = airframe.claims.name(id);
    let (says, also) = statement(claim, model);
    let standing = standing_word(claim.standing);
    if claim.assumed.is_some() {
        if claim.standing == Standing::Firm {
            let text = format!("it is supposed for this run that {says}");
            return Worded { text, place: claim.record.place(), label: "supposed of this airframe".to_owned(), also };
        }
        let name = name.split(' ').next().unwrap_or(name);
        let text = format!("the assumption {name} takes it that {says} ({standing})");
        let label = format!("assumes that {says}");
        return Worded { text, place: claim.record.field("assumes"), label, also };
    }
    let seen = matches!(claim.says, Statement::SeenAt(..) | Statement::SeenSplice(..) | Statement::SeenPattern(_));
    let verb = match (seen, claim.rests_on.len()) {
        (true, 1) => "shows",
        (true, _) => "show",
        (false, 1) => "says",
        (false, _) => "say",
    };
    let evidence = evidence_text(airframe, &claim.rests_on);
    let text = format!("{evidence} {verb} that {says} (claim {name}, {standing})");
    let label = format!("{name}, {standing}: {says}");
    Worded { text, place: claim.record.field("says"), label, also }
}

/// What a claim says, to follow on "that", with the lines of the type dossier that give it its meaning.
fn statement(claim: &Claim, model: &Model) -> (String, Vec<(Place, String)>) {
    let when = when_text(&claim.when);
    let name = |m: ModId| model.mods.name(m).to_owned();
    match &claim.says {
        Statement::Embodied(m, None) => (format!("{} was embodied {when}", name(*m)), Vec::new()),
        Statement::Embodied(m, Some(form)) => {
            (format!("{} was embodied {} {when}", name(*m), form_adverb(*form)), Vec::new())
        }
        Statement::NotEmbodied(m) => {
            let when = if claim.when.day().is_some() { format!("as of {}", date_text(&claim.when.text)) } else { when };
            (format!("{} was not embodied {when}", name(*m)), Vec::new())
        }
        Statement::Removed(m) => (format!("{} was removed {when}", name(*m)), Vec::new()),
        Statement::SeenAt(position, candidate) => {
            let at = model.positions.name(*position);
            let position = &model.positions[*position];
            match candidate {
                None => {
                    let place = position.place.field("nothing_when");
                    let why = position.nothing_when.as_ref().map(|c| condition_text(c, model)).unwrap_or_default();
                    (format!("nothing was fitted at {at} {when}"), vec![(place, format!("nothing here {why}"))])
                }
                Some(index) => {
                    let part = position.candidates[*index].part;
                    let same = position.candidates.iter().enumerate().filter(|(_, c)| c.part == part);
                    let lines = same.map(|(index, candidate)| {
                        let place = position.place.field("candidates").item(index);
                        (place, format!("fitted {}", condition_text(&candidate.when, model)))
                    });
                    (format!("{} was fitted at {at} {when}", model.parts.name(part)), lines.collect())
                }
            }
        }
        Statement::SeenSplice(frame, point, there) => {
            let entry = &model.frames[*frame];
            let no = if *there { "a" } else { "no" };
            let at = &entry.splice_points[*point];
            let text = format!("there was {no} splice at {} of frame {} {when}", at.name, model.frames.name(*frame));
            let ending = entry.segments.iter().filter(|s| s.from == *point || s.to == *point);
            let lines = ending.map(|s| (s.place.clone(), format!("{} ends at {}", model.parts.name(s.part), at.name)));
            (text, lines.collect())
        }
        Statement::SeenPattern(plate) => {
            let text = format!("the holes of plate {} were in the metal {when}", model.plates.name(*plate));
            let located = named(model.plates[*plate].locates.iter().map(|part| model.parts.name(*part)), "or");
            (text, vec![(model.plates[*plate].record.field("locates"), format!("locates {located}"))])
        }
    }
}

/// Evidence by name, kind and date: "E7 (depot job card, Jun 1951)".
#[must_use]
pub fn evidence_text(airframe: &Airframe, items: &[EvidenceId]) -> String {
    let one = |id: &EvidenceId| {
        let item = &airframe.evidence[*id];
        let kind = lower_first(&item.kind);
        match &item.date {
            Some(date) => format!("{} ({kind}, {})", airframe.evidence.name(*id), date_text(&date.text)),
            None => format!("{} ({kind})", airframe.evidence.name(*id)),
        }
    };
    joined(&items.iter().map(one).collect::<Vec<_>>(), "and")
}

/// The word for a standing.
#[must_use]
pub fn standing_word(standing: Standing) -> &'static str {
    match standing {
        Standing::Firm => "firm",
        Standing::Doubtful => "doubtful",
    }
}

/// The word for what the histories say of a modification.
#[must_use]
pub fn truth_word(truth: Truth) -> &'static str {
    match truth {
        Truth::Always => "embodied",
        Truth::Never => "not embodied",
        Truth::Open => "open",
        Truth::NoHistory => "contradicted",
        Truth::Undecided(_) => "undecided",
    }
}

/// The word for a form.
#[must_use]
pub fn form_word(form: Form) -> &'static str {
    match form {
        Form::Production => "production",
        Form::Retrospective => "retrospective",
    }
}

fn form_adverb(form: Form) -> &'static str {
    match form {
        Form::Production => "on the production line",
        Form::Retrospective => "retrospectively",
    }
}

/// Since when, for a table: "1951-06-22", or "1946-09-02 to 1946-11-29".
#[must_use]
pub fn since_text(since: Since) -> String {
    if since.not_before == since.by { since.by.to_string() } else { format!("{} to {}", since.not_before, since.by) }
}

/// A condition in the words of the trade: "post-mod TM048 (production)", "pre-mod TM048, serials 4T101 to 4T160".
#[must_use]
pub fn condition_text(condition: &Condition, model: &Model) -> String {
    condition_part(condition, model, false)
}

fn condition_part(condition: &Condition, model: &Model, inside: bool) -> String {
    let several = |parts: &[Condition], between: &str, none: &str| {
        let sentences: Vec<String> = parts.iter().map(|part| condition_part(part, model, parts.len() > 1)).collect();
        match sentences.len() {
            0 => none.to_owned(),
            1 => sentences.concat(),
            _ if inside => format!("({})", sentences.join(between)),
            _ => sentences.join(between),
        }
    };
    match condition {
        Condition::Post(m, form) => state_text(model, *m, true, *form),
        Condition::Pre(m) => state_text(model, *m, false, None),
        Condition::Serials(set) => format!("serials {}", serials_text(set)),
        Condition::All(parts) => several(parts, ", ", "always"),
        Condition::Any(parts) => several(parts, " or ", "never"),
        Condition::Not(part) => match &**part {
            Condition::Post(m, form) => state_text(model, *m, false, *form),
            Condition::Pre(m) => state_text(model, *m, true, None),
            Condition::Serials(_) | Condition::All(_) | Condition::Any(_) | Condition::Not(_) => {
                format!("not {}", condition_part(part, model, true))
            }
        },
    }
}

fn state_text(model: &Model, m: ModId, post: bool, form: Option<Form>) -> String {
    let name = model.mods.name(m);
    match (post, form) {
        (true, None) => format!("post-mod {name}"),
        (false, None) => format!("pre-mod {name}"),
        (true, Some(form)) => format!("post-mod {name} ({})", form_word(form)),
        (false, Some(form)) => format!("without {name} ({})", form_word(form)),
    }
}

/// The word for what allows a deviation: before a part is made a permit, afterwards a concession.
#[must_use]
pub fn permission_word(permit: bool) -> &'static str {
    if permit { "deviation permit" } else { "concession" }
}

/// A length as it is written, with a space between the number and its unit: "186.40 in", "18 swg".
#[must_use]
pub fn length_text(written: &str) -> String {
    let written = written.trim();
    let number = written.trim_end_matches(|c: char| c.is_ascii_alphabetic());
    let unit = written.strip_prefix(number).unwrap_or_default();
    if number.ends_with(|c: char| c.is_ascii_digit() || c == '.') && !unit.is_empty() {
        format!("{number} {unit}")
    } else {
        written.to_owned()
    }
}

/// Serials as ranges.
#[must_use]
pub fn serials_text(set: &SerialSet) -> String {
    let end = |prefix: &str, end: &Option<(u32, String)>| {
        end.as_ref().map(|(number, suffix)| format!("{prefix}{number}{suffix}")).unwrap_or_default()
    };
    let one = |range: &crate::quantity::SerialRange| {
        let (from, to) = (end(&range.prefix, &range.from), end(&range.prefix, &range.to));
        if from == to { from } else { format!("{from} to {to}") }
    };
    if set.0.is_empty() { "none".to_owned() } else { joined(&set.0.iter().map(one).collect::<Vec<_>>(), "and") }
}

/// An expression over state variables in the words of conditions.
#[must_use]
pub fn expr_text(expr: &Expr, model: &Model) -> String {
    expr_part(expr, model, false)
}

fn expr_part(expr: &Expr, model: &Model, inside: bool) -> String {
    let (parts, between, post) = match expr {
        Expr::Const(true) => return "always".to_owned(),
        Expr::Const(false) => return "never".to_owned(),
        Expr::Lit(lit) => {
            if of_unknown(lit.var).is_some() {
                return "something that was not read".to_owned();
            }
            let (m, form) = of_form_var(lit.var);
            return state_text(model, m, lit.positive, only_form(model, m, form));
        }
        Expr::All(parts) => (parts, ", ", false),
        Expr::Any(parts) => (parts, " or ", true),
    };
    let lits: BTreeSet<(ModId, Form)> = (parts.iter())
        .filter_map(|part| match part {
            Expr::Lit(lit) if lit.positive == post && of_unknown(lit.var).is_none() => Some(of_form_var(lit.var)),
            Expr::Lit(_) | Expr::Const(_) | Expr::All(_) | Expr::Any(_) => None,
        })
        .collect();
    let both = |m: ModId| [Form::Production, Form::Retrospective].iter().all(|form| lits.contains(&(m, *form)));
    let mut sentences: Vec<String> = Vec::new();
    for part in parts {
        let text = match part {
            Expr::Lit(lit) if lit.positive == post && both(of_form_var(lit.var).0) => {
                state_text(model, of_form_var(lit.var).0, post, None)
            }
            Expr::Lit(_) | Expr::Const(_) | Expr::All(_) | Expr::Any(_) => expr_part(part, model, true),
        };
        if !sentences.contains(&text) {
            sentences.push(text);
        }
    }
    let words = sentences.join(between);
    if sentences.len() > 1 && inside { format!("({words})") } else { words }
}

/// The form, unless the modification has no other.
fn only_form(model: &Model, m: ModId, form: Form) -> Option<Form> {
    let modification = &model.mods[m];
    (modification.production.is_some() && modification.retrospective.is_some()).then_some(form)
}

/// A state that the rules allow: "serial 7C537 with TM048 (production), without TM024".
#[must_use]
pub(crate) fn witness_text(witness: &Witness, model: &Model) -> String {
    let mut text = format!("serial {}", witness.serial);
    if !witness.mods.is_empty() {
        let one = |(m, form): &(ModId, Form)| match only_form(model, *m, *form) {
            Some(form) => format!("{} ({})", model.mods.name(*m), form_word(form)),
            None => model.mods.name(*m).to_owned(),
        };
        text += " with ";
        text += &joined(&witness.mods.iter().map(one).collect::<Vec<_>>(), "and");
    }
    if !witness.out.is_empty() {
        text += if witness.mods.is_empty() { " without " } else { ", without " };
        text += &named(witness.out.iter().map(|m| model.mods.name(*m)), "and");
    }
    text
}

/// Names in backticks, as a list for findings: "`A`, `B` and `C`".
#[must_use]
pub fn listed<'a>(names: impl IntoIterator<Item = &'a str>, last: &str) -> String {
    joined(&names.into_iter().map(|name| format!("`{name}`")).collect::<Vec<_>>(), last)
}

/// Names as a list for answers: "A, B and C".
#[must_use]
pub fn named<'a>(names: impl IntoIterator<Item = &'a str>, last: &str) -> String {
    joined(&names.into_iter().map(str::to_owned).collect::<Vec<_>>(), last)
}

/// What to do about open modifications: "find out whether TM052 and TM061 were embodied"; where none is, what else to
/// find out.
#[must_use]
pub fn find_out_words<'a>(mods: impl IntoIterator<Item = &'a str>, otherwise: &str) -> String {
    let names: Vec<&str> = mods.into_iter().collect();
    match names[..] {
        [] => format!("find out {otherwise}"),
        [one] => format!("find out whether {one} was embodied"),
        _ => format!("find out whether {} were embodied", named(names, "and")),
    }
}

/// Phrases as a list: "a, b and c".
#[must_use]
pub fn joined(phrases: &[String], last: &str) -> String {
    match phrases.split_last() {
        None => "none".to_owned(),
        Some((only, [])) => only.clone(),
        Some((end, rest)) => format!("{} {last} {end}", rest.join(", ")),
    }
}

fn lower_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}
