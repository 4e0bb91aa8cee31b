//! Reasons down to the evidence and the source lines.

use super::asked::{At, basis_words};
use super::mark_text;
use super::state::ModLine;
use crate::ids::{EvidenceId, ModId};
use crate::layout::Page;
use crate::model::{Marks, PaperPlace};
use crate::prop::Expr;
use crate::resolve::{Basis, Reason, Resolver};
use crate::schema::Grade;
use crate::source::Sources;
use crate::words::{chain, date_text, paper_words};
use serde::Serialize;
use std::collections::BTreeSet;

/// Why a variant is the one, or what leaves it open.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Because {
    /// Whether the grounds need the doubtful claims.
    pub needs_doubtful: bool,
    /// For each best repair of the claims (one, if all can hold) why it is the one; empty if it is open.
    pub grounds: Vec<Ground>,
    /// The modifications that are not settled alike on both bases.
    pub open: Vec<ModLine>,
}

impl Because {
    /// Why an expression is true on a basis, and which of these modifications are not settled.
    pub(crate) fn of(
        resolver: &mut Resolver<'_>,
        proof: Option<(Expr, Basis)>,
        slice: &BTreeSet<ModId>,
        sources: &Sources,
    ) -> Because {
        let open = slice.iter().map(|m| ModLine::of(resolver, *m)).filter(|line| !line.is_settled()).collect();
        Because {
            needs_doubtful: proof.as_ref().is_some_and(|(_, basis)| *basis == Basis::Held),
            grounds: proof.map(|(when, basis)| grounds(resolver, &when, basis, sources)).unwrap_or_default(),
            open,
        }
    }

    /// What was not read of what is shown here.
    pub(crate) fn not_read(&self) -> Marks {
        let open = self.open.iter().flat_map(|line| line.not_read.iter().copied());
        open.chain(not_read_of(&self.grounds)).collect()
    }

    /// The first ground without its evidence, and what leaves it open.
    pub(crate) fn page(&self) -> Page {
        let mut page = Page::default();
        if let Some(ground) = self.grounds.first() {
            page.say(if self.needs_doubtful { "If the doubtful claims are accepted too, because" } else { "Because" });
            page.append(steps_page(&ground.steps, false));
        }
        if !self.open.is_empty() {
            page.say("What leaves it open:");
            page.append(open_page(&self.open));
        }
        page
    }
}

/// Open modifications, each with why it is open.
pub(crate) fn open_page(open: &[ModLine]) -> Page {
    let mut page = Page::default();
    for line in open {
        if !line.not_read.is_empty() {
            let sentence = format!("{} {}", mark_text(&line.not_read), line.title);
            page.item(format!("  {} ", line.number), sentence);
            continue;
        }
        let held = if line.standing.differs() {
            format!("; {} {} ({})", line.standing.held.word(), basis_words(true), line.reason.held)
        } else {
            String::new()
        };
        let sentence = format!("{}: {} ({}){held}", line.title, line.standing.firm.word(), line.reason.firm);
        page.item(format!("  {} ", line.number), sentence);
    }
    page
}

/// A minimal set of claims and rules that forces a fact, in the order in which a person follows it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Ground {
    /// The claims that have to be dropped before there is any history; empty if all can hold.
    pub without: Vec<String>,
    /// The claims and rules.
    pub steps: Vec<ReasonStep>,
}

/// One claim or rule of a reason.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ReasonStep {
    /// What it says, a sentence without a full stop.
    pub text: String,
    /// Where it is written.
    pub at: At,
    /// The evidence that a claim rests on.
    pub evidence: Vec<EvidenceItem>,
}

/// An item of the evidence register.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct EvidenceItem {
    /// Its name in the register.
    pub id: String,
    /// What kind of thing it is.
    pub kind: String,
    /// What it says on it.
    pub reference: String,
    /// Its date, as written.
    pub date: Option<String>,
    /// Where it is kept.
    pub kept: Option<String>,
    /// The files of the project folder that show it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub shown_in: Vec<PaperPlace>,
    /// Where on it the claim is read, if it stands behind one.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub read_on: Vec<PaperPlace>,
    /// How far it is to be trusted, from `A` to `D`.
    pub grade: Grade,
    /// Where it is written.
    pub at: At,
    /// What was not read of it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// What was not read of the evidence in these reasons.
pub(crate) fn not_read_of(grounds: &[Ground]) -> Marks {
    let items = grounds.iter().flat_map(|ground| &ground.steps).flat_map(|step| &step.evidence);
    items.flat_map(|item| &item.not_read).copied().collect()
}

/// Why an expression over state variables is true on a basis: one ground for each best repair of the claims.
pub(crate) fn grounds(resolver: &Resolver<'_>, expr: &Expr, basis: Basis, sources: &Sources) -> Vec<Ground> {
    let claims = &resolver.history().airframe().claims;
    let one = |grounds: crate::resolve::Grounds| Ground {
        without: grounds.dropped.iter().map(|claim| claims.name(*claim).to_owned()).collect(),
        steps: steps(resolver, &grounds.reasons, sources),
    };
    resolver.why(expr, basis).into_iter().map(one).collect()
}

/// Claims and rules in words, in the order in which a person follows them.
pub(crate) fn steps(resolver: &Resolver<'_>, reasons: &[Reason], sources: &Sources) -> Vec<ReasonStep> {
    let history = resolver.history();
    let airframe = history.airframe();
    let item = |id: &EvidenceId| evidence_item(resolver, *id, sources);
    let worded = chain(reasons, history, resolver.target());
    let mut steps: Vec<ReasonStep> = Vec::new();
    for words in worded {
        steps.push(ReasonStep { text: words.text, at: At::of(&words.place, sources), evidence: Vec::new() });
    }
    for reason in reasons {
        let Reason::Claim(claim) = reason else { continue };
        let [words] = &chain(&[*reason], history, resolver.target())[..] else { continue };
        if let Some(step) = steps.iter_mut().find(|step| step.text == words.text) {
            let entry = &airframe.claims[*claim];
            let read_on = |id| entry.read_on.iter().filter(move |(of, _)| *of == id).map(|(_, spot)| spot.clone());
            let items = entry.rests_on.iter();
            step.evidence = items.map(|id| EvidenceItem { read_on: read_on(*id).collect(), ..item(id) }).collect();
        }
    }
    steps
}

/// An item of the evidence register.
pub(crate) fn evidence_item(resolver: &Resolver<'_>, id: EvidenceId, sources: &Sources) -> EvidenceItem {
    let airframe = resolver.history().airframe();
    let entry = &airframe.evidence[id];
    EvidenceItem {
        id: airframe.evidence.name(id).to_owned(),
        kind: entry.kind.clone(),
        reference: entry.reference.clone(),
        date: entry.date.as_ref().map(|date| date.text.clone()),
        kept: entry.kept.clone(),
        shown_in: entry.shown_in.clone(),
        read_on: Vec::new(),
        grade: entry.grade,
        at: At::of(&entry.record.place(), sources),
        not_read: resolver.history().model.losses.of_record(entry.record),
    }
}

/// The steps as numbered paragraphs, each with its line; the evidence behind them if wanted.
pub(crate) fn steps_page(steps: &[ReasonStep], with_evidence: bool) -> Page {
    let mut page = Page::default();
    for (index, step) in steps.iter().enumerate() {
        page.item_at(format!("  {}. ", index + 1), &step.text, step.at.to_string());
        if with_evidence {
            for item in &step.evidence {
                page.item_at(format!("       {}: ", item.id), item_text(item), item.at.to_string());
            }
        }
    }
    page
}

fn item_text(item: &EvidenceItem) -> String {
    if !item.not_read.is_empty() {
        return mark_text(&item.not_read);
    }
    let mut sentence = format!("{}, {}", item.kind, item.reference);
    if let Some(date) = &item.date {
        sentence.extend([", dated ", &date_text(date)]);
    }
    sentence.extend(["; grade ", &format!("{:?}", item.grade)]);
    if let Some(kept) = &item.kept {
        sentence.extend(["; kept: ", kept]);
    }
    if !item.read_on.is_empty() {
        sentence.extend(["; read on ", &paper_words(&item.read_on)]);
    } else if !item.shown_in.is_empty() {
        sentence.extend(["; shown ", &paper_words(&item.shown_in)]);
    }
    sentence
}
