//! The reason for one modification, position or plate, down to the evidence and the source lines.

use super::asked::{Asked, Both, Say, when_words};
use super::mark_text;
use super::reasons::{Ground, ReasonStep, grounds, not_read_of, open_page, steps, steps_page};
use super::state::ModLine;
use super::variant::fitted_words;
use crate::history::{is_in, together};
use crate::ids::{ModId, PartId, PlateId, PositionId};
use crate::layout::Page;
use crate::model::Marks;
use crate::prop::Expr;
use crate::resolve::{Basis, Contradiction, Reason, Resolver, Truth};
use crate::source::Sources;
use crate::words;
use crate::words::date_text;
use serde::Serialize;
use std::collections::BTreeSet;

/// What is asked about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WhySubject {
    /// Whether a modification is embodied.
    Modification(ModId),
    /// What is fitted at a position.
    Position(PositionId),
    /// Whether a plate definition is needed.
    Plate(PlateId),
}

/// The reason for one modification, position or plate.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct WhyReport {
    /// Which airframe and state.
    pub asked: Asked,
    /// What is asked about.
    pub subject: String,
    /// What is so, a sentence.
    pub fact: Both<String>,
    /// Whether it is settled.
    pub standing: Both<Say>,
    /// For a settled fact: for each best repair of the claims (one, if all can hold) why it is so.
    pub grounds: Both<Vec<Ground>>,
    /// For what is not settled: the modifications that it depends on and that are open.
    pub open: Vec<ModLine>,
    /// For what is contradicted: sets of claims and rules that cannot all hold.
    pub contradictions: Vec<Vec<ReasonStep>>,
    /// What was not read and bears on its heading or its counts.
    #[serde(skip)]
    pub not_read: Marks,
}

/// What is so, and of what it is a matter.
struct SubjectFact {
    sentence: String,
    truth: Truth,
    proof: Option<Expr>,
}

/// The reason for a subject.
#[must_use]
pub fn why_report(resolver: &mut Resolver<'_>, asked: Asked, subject: WhySubject, sources: &Sources) -> WhyReport {
    let lost = lost_of(resolver, subject);
    let not_read = together([lost.clone(), asked.not_read.clone()]);
    if !lost.is_empty() {
        let fact = format!("{} is not known: {}", short_name(resolver, subject), mark_text(&lost));
        return WhyReport {
            asked,
            subject: short_name(resolver, subject),
            fact: Both { firm: fact.clone(), held: fact },
            standing: Both { firm: Say::NotRead, held: Say::NotRead },
            grounds: Both::default(),
            open: Vec::new(),
            contradictions: Vec::new(),
            not_read,
        };
    }
    let firm = fact(resolver, subject, Basis::Firm);
    let held = fact(resolver, subject, Basis::Held);
    let proof = |fact: &SubjectFact, basis| {
        fact.proof.as_ref().map_or_else(Vec::new, |expr| grounds(resolver, expr, basis, sources))
    };
    let grounds = Both { firm: proof(&firm, Basis::Firm), held: proof(&held, Basis::Held) };
    let standing = Both { firm: Say::from(firm.truth), held: Say::from(held.truth) };
    let mods = mods_of(resolver, subject);
    let contradictions = if [firm.truth, held.truth].contains(&Truth::NoHistory) {
        contradictions(resolver, sources)
    } else {
        Vec::new()
    };
    let mut open = Vec::new();
    if !(standing.firm.is_settled() && standing.held.is_settled()) {
        open = mods.into_iter().map(|m| ModLine::of(resolver, m)).filter(|line| !line.is_settled()).collect();
    }
    WhyReport {
        asked,
        subject: subject_name(resolver, subject),
        fact: Both { firm: firm.sentence, held: held.sentence },
        standing,
        grounds,
        open,
        contradictions,
        not_read,
    }
}

/// What was not read and bears on a subject.
fn lost_of(resolver: &Resolver<'_>, subject: WhySubject) -> Marks {
    let history = resolver.history();
    let losses = &history.model.losses;
    let part = |part: PartId| together([losses.of_part(part), history.not_read_of_fitting(part)]);
    match subject {
        WhySubject::Modification(m) => history.reach.modification(m),
        WhySubject::Position(position) => {
            let candidates = history.model.positions[position].candidates.iter();
            let parts = candidates.map(|candidate| losses.of_part(candidate.part));
            together(parts.chain([history.not_read_at(position)]))
        }
        WhySubject::Plate(plate) => {
            let located = history.model.plates[plate].locates.iter().map(|located| part(*located));
            together(located.chain([history.not_read_of_plate(plate)]))
        }
    }
}

/// A subject by its kind and name alone.
fn short_name(resolver: &Resolver<'_>, subject: WhySubject) -> String {
    let model = resolver.history().model;
    match subject {
        WhySubject::Modification(m) => format!("Modification {}", model.mods.name(m)),
        WhySubject::Position(position) => format!("Position {}", model.positions.name(position)),
        WhySubject::Plate(plate) => format!("Plate {}", model.plates.name(plate)),
    }
}

fn subject_name(resolver: &Resolver<'_>, subject: WhySubject) -> String {
    let model = resolver.history().model;
    match subject {
        WhySubject::Modification(m) => format!("Modification {}: {}", model.mods.name(m), model.mods[m].title),
        WhySubject::Position(position) => {
            let entry = &model.positions[position];
            let name = entry.name.as_deref().map_or(String::new(), |name| format!(": {name}"));
            format!("Position {}{name}", model.positions.name(position))
        }
        WhySubject::Plate(plate) => {
            let title = model.plates[plate].title.as_deref().map_or(String::new(), |title| format!(": {title}"));
            format!("Plate {}{title}", model.plates.name(plate))
        }
    }
}

fn fact(resolver: &mut Resolver<'_>, subject: WhySubject, basis: Basis) -> SubjectFact {
    match subject {
        WhySubject::Modification(m) => mod_fact(resolver, m, basis),
        WhySubject::Position(position) => position_fact(resolver, position, basis),
        WhySubject::Plate(plate) => plate_fact(resolver, plate, basis),
    }
}

fn mod_fact(resolver: &mut Resolver<'_>, m: ModId, basis: Basis) -> SubjectFact {
    let answer = resolver.modification(m, basis);
    let line = ModLine::of(resolver, m);
    let (form, since) = match basis {
        Basis::Firm => (line.form.firm, &line.since.firm),
        Basis::Held => (line.form.held, &line.since.held),
    };
    let mut sentence = format!("{} is {}", line.number, crate::words::truth_word(answer.embodied));
    if let Some(form) = form {
        sentence.extend([" (", form, ")"]);
    }
    match since {
        Some((from, to)) if from == to => sentence.extend([", since ", &date_text(from)]),
        Some((from, to)) => sentence.extend([", since some day from ", &date_text(&format!("{from}..{to}"))]),
        None => {}
    }
    let by = |truth, form| (truth == Truth::Always).then(|| is_in(m, Some(form)));
    let proof = match answer.embodied {
        Truth::Always => by(answer.by_production, crate::schema::Form::Production)
            .or_else(|| by(answer.by_retrospective, crate::schema::Form::Retrospective))
            .or_else(|| Some(is_in(m, None))),
        Truth::Never => Some(!is_in(m, None)),
        Truth::Open | Truth::NoHistory | Truth::Undecided(_) => None,
    };
    SubjectFact { sentence, truth: answer.embodied, proof }
}

fn position_fact(resolver: &mut Resolver<'_>, position: PositionId, basis: Basis) -> SubjectFact {
    let outcomes = resolver.outcomes(position, basis);
    let name = resolver.history().model.positions.name(position).to_owned();
    let words = |outcome: &crate::resolve::PositionOutcome| fitted_words(resolver, outcome.fitted);
    match &outcomes[..] {
        [one] if one.truth == Truth::Always => SubjectFact {
            sentence: if one.fitted.is_some() {
                format!("{name} takes {}: it is fitted {}", words(one), when_words(&one.when, resolver))
            } else {
                let model = resolver.history().model;
                let assembly = model.parts.name(model.positions[position].assembly);
                format!("{name} takes nothing: its assembly {assembly} is not fitted")
            },
            truth: Truth::Always,
            proof: Some(one.when.clone()),
        },
        [] => SubjectFact { sentence: format!("{name} is contradicted"), truth: Truth::NoHistory, proof: None },
        several => {
            let cases = several.iter().map(|o| format!("{} if {}", words(o), when_words(&o.when, resolver)));
            let sentence = format!("{name} is open: {}", cases.collect::<Vec<_>>().join("; "));
            let truth = several.iter().map(|o| o.truth).find(|truth| *truth != Truth::Open).unwrap_or(Truth::Open);
            SubjectFact { sentence, truth, proof: None }
        }
    }
}

fn plate_fact(resolver: &mut Resolver<'_>, plate: PlateId, basis: Basis) -> SubjectFact {
    let when = resolver.plate_needed(plate);
    let truth = resolver.truth(&when, basis);
    let model = resolver.history().model;
    let name = model.plates.name(plate);
    let located: Vec<&str> = model.plates[plate].locates.iter().map(|part| model.parts.name(*part)).collect();
    let located = located.join(", ");
    let needed = when_words(&when, resolver);
    let (words, proof) = match truth {
        Truth::Always => ("is needed", Some(when)),
        Truth::Never => ("is not needed", Some(!when)),
        Truth::Open => ("may be needed", None),
        Truth::NoHistory => ("is contradicted", None),
        Truth::Undecided(_) => ("is undecided", None),
    };
    SubjectFact { sentence: format!("Plate {name} {words}: it locates {located}, fitted {needed}"), truth, proof }
}

fn mods_of(resolver: &Resolver<'_>, subject: WhySubject) -> BTreeSet<ModId> {
    match subject {
        WhySubject::Modification(m) => BTreeSet::from([m]),
        WhySubject::Position(position) => {
            resolver.outcomes_when(position).iter().flat_map(|(_, when)| Resolver::depends_on(when)).collect()
        }
        WhySubject::Plate(plate) => Resolver::depends_on(&resolver.plate_needed(plate)),
    }
}

fn contradictions(resolver: &Resolver<'_>, sources: &Sources) -> Vec<Vec<ReasonStep>> {
    let all = resolver.contradictions();
    let history = resolver.history();
    let read = |set: &&Vec<Reason>| {
        set.iter().flat_map(|reason| words::mods_of(reason, history)).all(|m| history.reach.modification(m).is_empty())
    };
    let sets = all.iter().flat_map(|contradiction: &Contradiction| &contradiction.sets).filter(read);
    sets.map(|set: &Vec<Reason>| steps(resolver, set, sources)).collect()
}

/// The report as text.
#[must_use]
pub fn why_page(report: &WhyReport) -> Page {
    let mut page = Page::titled(&report.subject);
    page.say(format!("{}.", report.asked.line()));
    if report.is_one_fact() {
        page.gap();
        page.say(format!("{}.", report.fact.firm));
    }
    page.append(why_body(report));
    page
}

impl WhyReport {
    /// Whether the same is so, for the same reasons, on both bases.
    fn is_one_fact(&self) -> bool {
        !self.fact.differs() && !self.grounds.differs()
    }
}

/// The report without its subject, the state and what is so on both bases alike, for a document that says these.
pub(crate) fn why_body(report: &WhyReport) -> Page {
    let mut page = Page::default();
    let same = report.is_one_fact();
    let bases = [("On the firm claims only: ", true), ("If the doubtful claims are accepted too: ", false)];
    for (lead, firm) in bases {
        if same && !firm {
            continue;
        }
        let (fact, grounds) =
            if firm { (&report.fact.firm, &report.grounds.firm) } else { (&report.fact.held, &report.grounds.held) };
        if !same {
            page.gap();
            page.say(format!("{lead}{fact}."));
        }
        page.append(grounds_page(grounds));
    }
    for set in &report.contradictions {
        page.heading("These cannot all hold:");
        page.append(steps_page(set, true));
    }
    if !report.open.is_empty() {
        page.heading("What leaves it open:");
        page.append(open_page(&report.open));
    }
    let remarks = report.asked.remarks();
    if !remarks.is_empty() {
        page.gap();
        page.append(remarks);
    }
    page
}

fn grounds_page(grounds: &[Ground]) -> Page {
    let mut page = Page::default();
    for ground in grounds {
        if ground.without.is_empty() {
            page.say("Because");
        } else {
            let sentence = format!("Because, once {} is given up,", ground.without.join(" and "));
            page.say(sentence);
        }
        page.append(steps_page(&ground.steps, true));
    }
    page
}

impl super::Verdicts for WhyReport {
    fn outcome(&self) -> super::Outcome {
        super::asked::outcome_of_both(self.standing.firm, self.standing.held)
    }
    fn not_read(&self) -> Marks {
        let open = self.open.iter().flat_map(|line| line.not_read.clone());
        let evidence = [&self.grounds.firm, &self.grounds.held].into_iter().flat_map(|grounds| not_read_of(grounds));
        let steps = self.contradictions.iter().flatten().flat_map(|step| &step.evidence);
        let of_steps = steps.flat_map(|item| item.not_read.clone());
        self.not_read.iter().copied().chain(open).chain(evidence).chain(of_steps).collect()
    }
}
