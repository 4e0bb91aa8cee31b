//! The decision book against the present evidence.

use super::asked::{Both, Say};
use super::layout::paragraph;
use super::{CAUTION, Style};
use crate::check::book::decided_words;
use crate::graph::Graph;
use crate::ids::AirframeId;
use crate::model::Model;
use crate::resolve::Limits;
use crate::shop::{Standing, book, building_to};
use serde::Serialize;

/// The decisions about one airframe.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct DecisionsReport {
    /// The airframe's serial.
    pub airframe: String,
    /// The build state that the workshop builds to: the one decided, or the only one; `null` if neither.
    pub builds_to: Option<String>,
    /// The decisions, by number.
    pub decisions: Vec<DecisionRow>,
    /// What the next entry of the book is to name, of whatever airframe.
    pub next: NextDecision,
    /// The caution that goes with every list.
    pub caution: &'static str,
}

/// What the next entry of the book is to name.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct NextDecision {
    /// Its number.
    pub number: u32,
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
    /// `stands`, `agrees with the evidence`, `not settled by the evidence`, `contradicted by doubtful evidence`,
    /// `contradicted`, `withdrawn`, `withdrawal` or `without a state`.
    pub standing: &'static str,
    /// The decision that withdrew it.
    pub withdrawn_by: Option<u32>,
    /// Whether the histories agree with it; `null` where they have nothing to say.
    pub evidence: Option<Both<Say>>,
    /// Its seal: a check sum of it and of all that stands before it.
    pub seal: String,
}

/// The decision book of an airframe.
#[must_use]
pub fn decisions_report(model: &Model, graph: &Graph, airframe: AirframeId) -> DecisionsReport {
    let entry = &model.airframes[airframe];
    let row = |stood: crate::shop::Stood| {
        let decision = &model.decisions[stood.decision];
        let evidence = if let Standing::Against(firm, held) = stood.standing {
            Some(Both { firm: firm.into(), held: held.into() })
        } else {
            None
        };
        let (standing, withdrawn_by) = match &stood.standing {
            Standing::Withdrawn(number) => ("withdrawn", Some(*number)),
            Standing::Withdrawal => ("withdrawal", None),
            Standing::Stands => ("stands", None),
            Standing::NoState => ("without a state", None),
            Standing::Against(firm, held) => (evidence_words((*firm).into(), (*held).into()), None),
        };
        let state = stood.target.and_then(|target| target.build_state);
        DecisionRow {
            number: decision.number,
            date: decision.date.to_string(),
            by: decision.by.clone(),
            decided: decided_words(decision.decides, model, airframe),
            state: state.map(|state| entry.build_states.name(state).to_owned()),
            because: decision.because.clone(),
            standing,
            withdrawn_by,
            evidence,
            seal: decision.seal.clone(),
        }
    };
    let last = model.decisions.last();
    DecisionsReport {
        airframe: entry.serial.text.clone(),
        builds_to: building_to(model, airframe).map(|(state, _)| entry.build_states.name(state).to_owned()),
        decisions: book(model, graph, airframe, Limits::default()).into_iter().map(row).collect(),
        next: NextDecision {
            number: last.map_or(1, |decision| decision.number + 1),
            follows: last.map(|decision| decision.seal.clone()),
        },
        caution: CAUTION,
    }
}

fn evidence_words(firm: Say, held: Say) -> &'static str {
    match (firm, held) {
        (Say::No, _) => "contradicted",
        (_, Say::No) => "contradicted by doubtful evidence",
        (Say::Yes, Say::Yes) => "agrees with the evidence",
        _ => "not settled by the evidence",
    }
}

impl DecisionsReport {
    /// Whether the firm claims contradict a decision that stands.
    #[must_use]
    pub fn is_wrong(&self) -> bool {
        self.decisions.iter().any(|row| row.standing == "contradicted")
    }
    /// Whether doubtful claims contradict one.
    #[must_use]
    pub fn is_undecided(&self) -> bool {
        self.decisions.iter().any(|row| row.standing == "contradicted by doubtful evidence")
    }
}

/// The decisions as text.
#[must_use]
pub fn decisions_text(report: &DecisionsReport, style: Style) -> String {
    let width = style.width;
    let state =
        report.builds_to.as_ref().map_or("to no state that was decided".to_owned(), |state| format!("to `{state}`"));
    let mut text =
        paragraph("", &format!("Decisions about {}, which the workshop builds {state}", report.airframe), width);
    if report.decisions.is_empty() {
        text.push_str("None is entered.\n");
    }
    for row in &report.decisions {
        let state = row.state.as_ref().map(|state| format!(", in `{state}`")).unwrap_or_default();
        text.push('\n');
        text.push_str(&paragraph(
            &format!("{:>3}. ", row.number),
            &format!("{}, {}: {}{state}", row.date, row.by, row.decided),
            width,
        ));
        text.push_str(&paragraph("     ", &format!("Because: {}", row.because), width));
        let standing = match row.withdrawn_by {
            Some(number) => format!("withdrawn by decision {number}"),
            None => row.standing.to_owned(),
        };
        text.push_str(&paragraph("     ", &format!("Now: {standing}. Seal `{}`.", row.seal), width));
    }
    text.push('\n');
    let next = match &report.next.follows {
        Some(seal) => format!("The next entry of the book is `number: {}`, `follows: \"{seal}\"`.", report.next.number),
        None => format!("The next entry of the book is `number: {}`.", report.next.number),
    };
    let told = "Numbers and dates are checked, and that nothing was changed before an entry that says what it follows; of \
                the last entry only the history of the folder shows that.";
    text.push_str(&paragraph("", &format!("{next} {told}"), width));
    text
}

impl super::Verdicts for DecisionsReport {
    fn outcome(&self) -> super::Outcome {
        super::Outcome::of(self.is_wrong(), self.is_undecided())
    }
    fn not_read(&self) -> crate::model::Marks {
        crate::model::Marks::new()
    }
}
