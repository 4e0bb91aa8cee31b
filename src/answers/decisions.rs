//! The decision book against the present evidence.

use super::asked::{Both, Say};
use super::mark_text;
use crate::check::book::decided_words;
use crate::graph::Graph;
use crate::ids::AirframeId;
use crate::layout::Page;
use crate::model::{Marks, Model};
use crate::resolve::Limits;
use crate::shop::{BookStanding, book, building_to, not_read_of_book, not_read_of_building_to, not_read_of_next};
use crate::words::date_text;
use serde::Serialize;

/// The decisions about one airframe.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct DecisionsReport {
    /// The airframe's serial.
    pub airframe: String,
    /// The build state that the workshop builds to: the one decided, or the only one; `null` if neither, or if it is not
    /// known.
    pub builds_to: Option<String>,
    /// The decisions, by number.
    pub decisions: Vec<DecisionRow>,
    /// What the next entry of the book is to name, of whatever airframe.
    pub next: NextDecision,
    /// What was not read and bears on the heading and on what comes next, or leaves the list short.
    #[serde(skip)]
    pub not_read: Marks,
}

/// What the next entry of the book is to name.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct NextDecision {
    /// Its number; `null` if an entry could not be read.
    pub number: Option<u32>,
    /// The seal of the last entry, which it follows; `null` in an empty book.
    pub follows: Option<String>,
}

/// A decision.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct DecisionRow {
    /// Its number in the book.
    pub number: u32,
    /// The day.
    pub date: String,
    /// Who took it.
    pub by: String,
    /// What was decided, in words.
    pub decided: String,
    /// The build state that it is about.
    pub state: Option<String>,
    /// Why.
    pub because: String,
    /// How it stands.
    pub standing: DecisionStanding,
    /// The decision that withdrew it.
    pub withdrawn_by: Option<u32>,
    /// Whether the histories agree with it; `null` where they have nothing to say.
    pub evidence: Option<Both<Say>>,
    /// Its seal: a check sum of it and of all that stands before it; `null` if some of that could not be read.
    pub seal: Option<String>,
    /// What was not read and bears on it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// How a decision stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DecisionStanding {
    /// It stands; the evidence has nothing to say of it.
    Stands,
    /// Every history agrees with it.
    AgreesWithTheEvidence,
    /// The histories do not settle it.
    NotSettledByTheEvidence,
    /// The doubtful claims are against it.
    ContradictedByDoubtfulEvidence,
    /// The firm claims are against it.
    Contradicted,
    /// A later one withdrew it.
    Withdrawn,
    /// It withdraws another.
    Withdrawal,
    /// The state that it is about is not known, or lies before the airframe was built.
    WithoutAState,
    /// It rests on something that was not read.
    NotRead,
}

fn standing_word(standing: DecisionStanding) -> &'static str {
    match standing {
        DecisionStanding::Stands => "in force",
        DecisionStanding::AgreesWithTheEvidence => "agrees with the evidence",
        DecisionStanding::NotSettledByTheEvidence => "not settled by the evidence",
        DecisionStanding::ContradictedByDoubtfulEvidence => "contradicted by doubtful evidence",
        DecisionStanding::Contradicted => "contradicted",
        DecisionStanding::Withdrawn => "withdrawn",
        DecisionStanding::Withdrawal => "withdrawal",
        DecisionStanding::WithoutAState => "without a state",
        DecisionStanding::NotRead => "not read",
    }
}

/// The decision book of an airframe.
#[must_use]
pub fn decisions_report(model: &Model, graph: &Graph, airframe: AirframeId) -> DecisionsReport {
    let entry = &model.airframes[airframe];
    let states = &entry.build_states;
    let row = |stood: crate::shop::Stood| {
        let decision = &model.decisions[stood.decision];
        let entry = model.book.iter().find(|entry| entry.record == decision.record);
        let known = stood.not_read.is_empty();
        let evidence = if let (BookStanding::Against(firm, held), true) = (&stood.standing, known) {
            let (firm, held) = (*firm, *held);
            Some(Both { firm: firm.into(), held: held.into() })
        } else {
            None
        };
        let (standing, withdrawn_by) = match &stood.standing {
            _ if !known => (DecisionStanding::NotRead, None),
            BookStanding::Withdrawn(number) => (DecisionStanding::Withdrawn, Some(*number)),
            BookStanding::Withdrawal => (DecisionStanding::Withdrawal, None),
            BookStanding::Stands => (DecisionStanding::Stands, None),
            BookStanding::NoState => (DecisionStanding::WithoutAState, None),
            BookStanding::Against(firm, held) => (against((*firm).into(), (*held).into()), None),
        };
        let state = stood.target.and_then(|target| target.build_state);
        DecisionRow {
            number: decision.number,
            date: decision.date.to_string(),
            by: decision.by.clone(),
            decided: decided_words(decision.decides, model, airframe),
            state: state.map(|state| states.name(state).to_owned()),
            because: decision.because.clone(),
            standing,
            withdrawn_by,
            evidence,
            seal: entry.filter(|_| known).map(|entry| entry.seal.clone()),
            not_read: stood.not_read,
        }
    };
    let last = model.book.last();
    let (next, building) = (not_read_of_next(model), not_read_of_building_to(model, airframe));
    let (next_known, builds_to_known) = (next.is_empty(), building.is_empty());
    DecisionsReport {
        airframe: entry.serial.text.clone(),
        builds_to: building_to(model, airframe)
            .filter(|_| builds_to_known)
            .map(|(state, _)| entry.build_states.name(state).to_owned()),
        decisions: book(model, graph, airframe, Limits::default()).into_iter().map(row).collect(),
        next: NextDecision {
            number: next_known.then(|| last.map_or(1, |entry| entry.number.saturating_add(1))),
            follows: last.filter(|_| next_known).map(|entry| entry.seal.clone()),
        },
        not_read: next.into_iter().chain(building).chain(not_read_of_book(model, airframe)).collect(),
    }
}

fn against(firm: Say, held: Say) -> DecisionStanding {
    match (firm, held) {
        (Say::No, _) => DecisionStanding::Contradicted,
        (_, Say::No) => DecisionStanding::ContradictedByDoubtfulEvidence,
        (Say::Yes, Say::Yes) => DecisionStanding::AgreesWithTheEvidence,
        _ => DecisionStanding::NotSettledByTheEvidence,
    }
}

impl DecisionsReport {
    /// Whether the firm claims contradict a decision that stands.
    #[must_use]
    pub fn is_wrong(&self) -> bool {
        self.decisions.iter().any(|row| row.standing == DecisionStanding::Contradicted)
    }
    /// Whether doubtful claims contradict one.
    #[must_use]
    pub fn is_undecided(&self) -> bool {
        self.decisions.iter().any(|row| row.standing == DecisionStanding::ContradictedByDoubtfulEvidence)
    }
}

/// The decisions as text.
#[must_use]
pub fn decisions_page(report: &DecisionsReport) -> Page {
    let state = match &report.builds_to {
        Some(state) => format!("to \"{state}\""),
        None if !report.not_read.is_empty() => "to a state that is not known".to_owned(),
        None => "to no state that was decided".to_owned(),
    };
    let mut page = Page::titled(format!("Decisions about {}, which the workshop builds {state}", report.airframe));
    if !report.not_read.is_empty() {
        let sentence = format!("The book is not all known: {}.", mark_text(&report.not_read));
        page.say(sentence);
    } else if report.decisions.is_empty() {
        page.say("None is entered.");
    }
    for row in &report.decisions {
        let state = match &row.state {
            _ if !row.not_read.is_empty() => format!(" ({})", mark_text(&row.not_read)),
            Some(state) => format!(", in \"{state}\""),
            None => String::new(),
        };
        page.gap();
        page.item(
            format!("{:>3}. ", row.number),
            format!("{}, {}: {}{state}", date_text(&row.date), row.by, row.decided),
        );
        page.item("     ", format!("Because: {}", row.because));
        let standing = match row.withdrawn_by {
            Some(number) => format!("withdrawn by decision {number}"),
            None if row.not_read.is_empty() => standing_word(row.standing).to_owned(),
            None => mark_text(&row.not_read),
        };
        let seal = row.seal.as_ref().map_or(String::new(), |seal| format!(" Check code {seal}."));
        page.item("     ", format!("Status: {standing}.{seal}"));
    }
    page.gap();
    let next = match (report.next.number, &report.next.follows) {
        (Some(number), Some(seal)) => {
            format!("The next entry of the book is `number: {number}`, `follows: \"{seal}\"`.")
        }
        (Some(number), None) => format!("The next entry of the book is `number: {number}`."),
        (None, _) => "What the next entry of the book is to name is not known.".to_owned(),
    };
    let sentence = "Numbers and dates are checked, and that nothing was changed before an entry that says what it follows; of \
                the last entry only the history of the folder shows that.";
    page.say(format!("{next} {sentence}"));
    page
}

impl super::Verdicts for DecisionsReport {
    fn outcome(&self) -> super::Outcome {
        super::Outcome::of(self.is_wrong(), self.is_undecided())
    }
    fn not_read(&self) -> Marks {
        self.decisions.iter().flat_map(|row| &row.not_read).chain(&self.not_read).copied().collect()
    }
}
