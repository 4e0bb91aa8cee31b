//! Words and numbers of a bill.

use super::BillView;
use crate::bill::{Amount, Bill, BillScope, LineState, MassTotal, Total, Way};
use crate::ids::DrawingId;
use crate::model::Model;
use crate::prop::Limit;
use crate::resolve::{Basis, IssueView, PossibleIssue};
use crate::schema::Source;
use crate::words::{condition_text, date_text};

/// "2", "0 or 1", "16 to 18", or why it is not decided.
pub(in crate::answers) fn amount(amount: &Amount) -> String {
    match amount {
        Amount::Exactly(quantity) => quantity.to_string(),
        Amount::Between(range) if range.most == range.least + 1 => format!("{} or {}", range.least, range.most),
        Amount::Between(range) => format!("{} to {}", range.least, range.most),
        Amount::Undecided(Limit::NotRead) => "-".to_owned(),
        Amount::Undecided(_) => "undecided".to_owned(),
        Amount::Contradicted => "contradicted".to_owned(),
    }
}

/// The least and the most, unless it is not decided.
pub(super) fn ends(amount: &Amount) -> Option<(u64, u64)> {
    match amount {
        Amount::Exactly(quantity) => Some((*quantity, *quantity)),
        Amount::Between(range) => Some((range.least, range.most)),
        Amount::Undecided(_) | Amount::Contradicted => None,
    }
}

/// Kilograms to the nearest gram.
pub(super) fn mass(mass: &MassTotal) -> String {
    let kilograms = |micrograms: u64| {
        let grams = micrograms / 1_000_000 + u64::from(micrograms % 1_000_000 >= 500_000);
        format!("{}.{:03}", grams / 1000, grams % 1000)
    };
    match ends(&mass.micrograms) {
        Some((least, most)) if least == most => format!("{} kg", kilograms(least)),
        Some((least, most)) => format!("{} to {} kg", kilograms(least), kilograms(most)),
        None => amount(&mass.micrograms),
    }
}

/// The issues that may apply: "B", "B or C"; empty for a part without a drawing.
pub(super) fn issues(issues: &Result<Vec<PossibleIssue>, Limit>, model: &Model, drawing: Option<DrawingId>) -> String {
    let (issues, drawing) = match (issues, drawing) {
        (Err(Limit::NotRead), _) => return "-".to_owned(),
        (Err(_), _) => return "undecided".to_owned(),
        (Ok(_), None) => return String::new(),
        (Ok(issues), Some(drawing)) => (issues, drawing),
    };
    let name = |possible: &PossibleIssue| match possible.issue {
        Some(issue) => model.drawings[drawing].issues[issue].issue.as_str(),
        None => "none",
    };
    issues.iter().map(name).collect::<Vec<_>>().join(" or ")
}

/// The issues of a total's part that may apply.
pub(in crate::answers) fn of_issues(total: &Total, model: &Model) -> String {
    issues(&total.issues, model, model.parts[total.part].drawing)
}

/// The issues that a row gives, one view first: "B", or where the other view has others "C (as fitted: B)".
pub(super) fn both_issues(
    [first, other]: [&Result<Vec<PossibleIssue>, Limit>; 2],
    view: IssueView,
    model: &Model,
    drawing: Option<DrawingId>,
) -> String {
    let sentence = issues(first, model, drawing);
    if first == other {
        return sentence;
    }
    let other = issues(other, model, drawing);
    match view {
        IssueView::AsFitted => format!("{sentence} (to make: {other})"),
        IssueView::ToMake => format!("{sentence} (as fitted: {other})"),
    }
}

/// The conditions that select a choice: "if pre-mod M1", "18 if pre-mod M1, 16 if post-mod M1".
pub(super) fn ways(ways: &[Way], model: &Model) -> String {
    let words = ways.iter().map(|way| {
        let conditions: Vec<String> = way.conditions.iter().map(|condition| condition_text(condition, model)).collect();
        let when = conditions.join(" or ");
        if ways.len() > 1 { format!("{} if {when}", way.each) } else { format!("if {when}") }
    });
    words.collect::<Vec<_>>().join(", ")
}

/// The word for what is the same in all histories.
pub(super) const SETTLED: &str = "settled";

/// One word for the state of a line.
pub(super) fn state_word(state: LineState) -> &'static str {
    match state {
        LineState::Settled => SETTLED,
        LineState::OpenAbove => "open above",
        LineState::Open => "open",
        LineState::Overlap => "overlap",
        LineState::Gap => "gap",
        LineState::Undecided(_) => "undecided",
        LineState::Contradicted => "contradicted",
        LineState::NotRead => "not-read",
    }
}

/// One word for whether a total is settled.
pub(super) fn total_word(amount: &Amount) -> &'static str {
    match amount {
        Amount::Exactly(_) => SETTLED,
        Amount::Between(_) => "open",
        Amount::Undecided(Limit::NotRead) => "not-read",
        Amount::Undecided(_) => "undecided",
        Amount::Contradicted => "contradicted",
    }
}

/// "made", "bought" or "standard"; nothing if that was not read.
pub(super) fn source_word(source: Option<Source>) -> &'static str {
    match source {
        Some(Source::Made) => "made",
        Some(Source::Bought) => "bought",
        Some(Source::Standard) => "standard",
        None => "",
    }
}

/// What the bill is of: the airframe and the state.
pub(super) fn subject(bill: &Bill, model: &Model) -> String {
    let serial = model.airframes.name(bill.airframe);
    let date = date_text(&bill.target.day.to_string());
    match bill.target.build_state {
        Some(state) => {
            let name = model.airframes[bill.airframe].build_states.name(state);
            format!("{serial} as at {date}, build state \"{name}\"")
        }
        None => format!("{serial} as at {date}"),
    }
}

/// How much of the airframe the bill covers.
pub(super) fn scope(bill: &Bill, model: &Model) -> String {
    let assembly = |part| format!("{} {}", model.parts.name(part), model.parts[part].description);
    match bill.request.scope {
        BillScope::Airframe => "the whole airframe".to_owned(),
        BillScope::Assembly(part) => format!("assembly {}", assembly(part)),
        BillScope::Frame(frame) => {
            format!("frame {}, {}", model.frames.name(frame), assembly(model.frames[frame].assembly))
        }
        BillScope::Position(position) => format!("position {}", model.positions.name(position)),
    }
}

/// On which claims the bill rests.
pub(super) fn basis_words(basis: Basis) -> &'static str {
    crate::answers::asked::basis_words(basis == Basis::Held)
}

/// Which drawing issues it gives.
pub(super) fn issue_words(view: IssueView) -> &'static str {
    match view {
        IssueView::AsFitted => "issues as fitted",
        IssueView::ToMake => "issues to make to",
    }
}

/// What a view is called.
pub(super) fn view_words(view: BillView) -> &'static str {
    match view {
        BillView::Tree => "by assembly",
        BillView::Flat => "totals by part",
        BillView::Make => "parts to make",
        BillView::Buy => "parts to buy",
        BillView::Material => "made parts by material and thickness",
    }
}
