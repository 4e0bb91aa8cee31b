//! What to look for next: the questions whose answers would settle most.

use super::asked::{Asked, basis_words};
use crate::history::together;
use crate::ids::{PlateId, PositionId};
use crate::layout::Page;
use crate::layout::text::counted;
use crate::model::{Marks, Model};
use crate::prop::Limit;
use crate::resolve::{Ask, Basis, Question, Reply, Resolver};
use crate::words::date_text;
use serde::Serialize;
use std::collections::BTreeSet;

/// What to look for next.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SeekReport {
    /// Which airframe and state.
    pub asked: Asked,
    /// Whether the doubtful claims are held.
    pub doubtful_held: bool,
    /// How many positions in scope are open now: as many lines of the bill are.
    pub open: usize,
    /// Of how many jig plates in scope it is open now whether they are needed.
    pub plates: usize,
    /// The questions, the most helpful first.
    pub questions: Vec<Sought>,
    /// The limit that was met, if the questions could not be worked out.
    pub limit: Option<String>,
    /// What was not read and bears on its heading or its counts.
    #[serde(skip)]
    pub not_read: Marks,
}

/// A question.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Sought {
    /// What is asked about: a modification or a position.
    pub subject: String,
    /// The question, a sentence.
    pub question: String,
    /// Where it could be seen or read.
    pub look: String,
    /// What else tells the same: other modifications and positions, the easiest to see first.
    pub also: Vec<String>,
    /// How many positions are still open after the least helpful answer.
    pub worst: usize,
    /// How many positions are still open after each answer; the mean of these is the second criterion.
    pub answers: Vec<PossibleAnswer>,
}

/// A possible answer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct PossibleAnswer {
    /// The answer.
    pub answer: String,
    /// How many positions in scope would still be open.
    pub open: usize,
    /// Of how many jig plates in scope it would still be open whether they are needed.
    pub plates: usize,
    /// What is then found where else the same can be seen, in the order of `also`.
    pub seen: Vec<String>,
}

/// The questions about some positions and plates, on a basis.
#[must_use]
pub fn seek_report(
    resolver: &mut Resolver<'_>,
    asked: Asked,
    positions: &BTreeSet<PositionId>,
    plates: &BTreeSet<PlateId>,
    basis: Basis,
) -> SeekReport {
    let doubtful_held = basis == Basis::Held;
    let not_read = lost_of(resolver, &asked, positions, plates);
    if !not_read.is_empty() {
        // A piece that was not read may settle or open any of these, so that no order of questions holds.
        let limit = Some(Limit::NotRead.to_string());
        return SeekReport { asked, doubtful_held, open: 0, plates: 0, questions: Vec::new(), limit, not_read };
    }
    let found = resolver.questions(positions, plates, basis);
    let (open, open_plates, ranked, limit) = match found {
        Ok(questions) => (questions.open, questions.plates, questions.ranked, None),
        Err(limit) => (0, 0, Vec::new(), Some(limit)),
    };
    let questions = ranked.iter().map(|question| sought(resolver, &asked.date, positions, question)).collect();
    let limit = limit.as_ref().map(Limit::to_string);
    SeekReport { asked, doubtful_held, open, plates: open_plates, questions, limit, not_read }
}

/// What was not read and bears on what is open in a scope.
fn lost_of(
    resolver: &Resolver<'_>,
    asked: &Asked,
    positions: &BTreeSet<PositionId>,
    plates: &BTreeSet<PlateId>,
) -> Marks {
    let history = resolver.history();
    let losses = &history.model.losses;
    if losses.is_empty() {
        return Marks::new();
    }
    let at = positions.iter().map(|position| {
        let written = &history.model.positions[*position];
        let inside = written.candidates.iter().map(|candidate| history.not_read_inside(candidate.part));
        let located = written.candidates.iter().map(|candidate| losses.of_location(candidate.part));
        let around = [history.not_read_at(*position), history.not_read_inside(written.assembly)];
        together(inside.chain(located).chain(around))
    });
    let of_plates = plates.iter().map(|plate| history.not_read_of_plate(*plate));
    let whole = losses.marks(|loss| loss.whole && ["Assembly", "Plate"].iter().any(|kind| loss.may_be(kind)));
    together(at.chain(of_plates).chain([asked.not_read.clone(), whole]))
}

fn sought(resolver: &Resolver<'_>, date: &str, scope: &BTreeSet<PositionId>, question: &Question) -> Sought {
    let model = resolver.history().model;
    let on_metal = question.also.iter().any(|same| matches!(same.ask, Ask::FittedAt(_)));
    let (asking, look) = match question.ask {
        Ask::Embodied(m) => {
            let name = model.mods.name(m);
            let asking = format!("was {name} ({}) embodied by {}?", model.mods[m].title, date_text(date));
            let touched = resolver.history().graph.positions_touched_by(m);
            let shown = touched.into_iter().find(|position| scope.contains(position));
            let metal = match shown {
                _ if on_metal => ", or for one of the signs below, on a relic or a photograph".to_owned(),
                Some(position) => format!(", or a relic that shows {}", place_words(model, position)),
                None => String::new(),
            };
            (asking, format!("a record that names {name}{metal}"))
        }
        Ask::FittedAt(position) => {
            let asking = format!("what was fitted at {} on {}?", place_words(model, position), date_text(date));
            let or = if on_metal { ", or one of the signs below" } else { "" };
            (asking, format!("the relic itself, or a photograph that shows it{or}"))
        }
    };
    let answers = question.prospects.iter().enumerate().map(|(at, prospect)| PossibleAnswer {
        answer: reply_words(resolver, prospect.reply),
        open: prospect.open,
        plates: prospect.plates,
        seen: question.also.iter().map(|same| seen_words(resolver, same.ask, same.replies[at])).collect(),
    });
    Sought {
        subject: subject_name(model, question.ask),
        question: asking,
        look,
        also: question.also.iter().map(|same| subject_name(model, same.ask)).collect(),
        worst: question.worst(),
        answers: answers.collect(),
    }
}

fn subject_name(model: &Model, ask: Ask) -> String {
    match ask {
        Ask::Embodied(m) => model.mods.name(m).to_owned(),
        Ask::FittedAt(position) => model.positions.name(position).to_owned(),
    }
}

/// What is found where else the same can be seen: "27-1647 at 27-1600/20 (Well coaming)".
fn seen_words(resolver: &Resolver<'_>, ask: Ask, reply: Reply) -> String {
    let (model, reply) = (resolver.history().model, reply_words(resolver, reply));
    match ask {
        Ask::Embodied(m) => format!("{} {reply}", model.mods.name(m)),
        Ask::FittedAt(position) => format!("{reply} at {}", place_words(model, position)),
    }
}

fn place_words(model: &Model, position: PositionId) -> String {
    let name = model.positions.name(position);
    match &model.positions[position].name {
        Some(called) => format!("{name} ({called})"),
        None => name.to_owned(),
    }
}

fn reply_words(resolver: &Resolver<'_>, reply: Reply) -> String {
    match reply {
        Reply::Embodied(true) => "embodied".to_owned(),
        Reply::Embodied(false) => "not embodied".to_owned(),
        Reply::Part(part) => resolver.history().model.parts.name(part).to_owned(),
        Reply::Nothing => "nothing".to_owned(),
    }
}

/// The report as text; at most so many questions.
#[must_use]
pub fn seek_page(report: &SeekReport, most: usize) -> Page {
    let basis = basis_words(report.doubtful_held);
    let mut page = Page::titled(format!("What to look for: {}, {basis}", report.asked.line()));
    page.append(report.asked.remarks());
    if let Some(limit) = &report.limit {
        page.item("Not worked out: ", limit);
        return page;
    }
    let positions = counted(report.open, "position is", "positions are");
    let plates = counted(report.plates, "jig plate", "jig plates");
    let sentence = format!("{positions} open now, each a line of the bill, and the need of {plates}");
    page.item("In scope: ", sentence);
    if report.questions.is_empty() {
        let sentence =
            if report.open == 0 { "nothing is left to look for" } else { "no single answer would settle a position" };
        page.item("So: ", sentence);
    }
    for (n, sought) in report.questions.iter().take(most).enumerate() {
        page.gap();
        page.item(format!("{:>2}. ", n + 1), &sought.question);
        page.item("    ", format!("Look for {}.", sought.look));
        for found in &sought.answers {
            let left = counted(found.open, "position", "positions");
            let plates = if report.plates == 0 {
                String::new()
            } else {
                format!(" and {} undecided", counted(found.plates, "plate", "plates"))
            };
            page.item("    - ", format!("{}: leaves {left} open{plates}", found.answer));
            if !found.seen.is_empty() {
                page.item("      seen as: ", seen_list(&found.seen));
            }
        }
    }
    if report.questions.len() > most {
        let sentence = format!("{} more; --most shows them", report.questions.len() - most);
        page.gap();
        page.say(sentence);
    }
    page.gap();
    page
}

/// Signs as a list; the first few of many.
fn seen_list(seen: &[String]) -> String {
    const SHOWN: usize = 6;
    let more = seen.len().saturating_sub(SHOWN);
    let shown = seen[..seen.len().min(SHOWN)].join("; ");
    if more == 0 { shown } else { format!("{shown}; {}", counted(more, "more", "more")) }
}

impl super::Verdicts for SeekReport {
    fn outcome(&self) -> super::Outcome {
        super::Outcome::of(false, self.open != 0 || self.limit.is_some())
    }
    fn not_read(&self) -> Marks {
        self.not_read.clone()
    }
}
