//! The issue that something was made to, against the issues that may apply.

use crate::ids::DrawingId;
use crate::model::Model;
use crate::prop::Limit;
use crate::resolve::PossibleIssue;

/// How the issue that something was made to goes with the issues that may apply.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Agreement {
    /// It is the issue that applies, or the part has no drawing.
    Same,
    /// It is another one, and the register says that the two are interchangeable.
    Interchangeable,
    /// It is another one, and the register says that they are not interchangeable.
    NotInterchangeable,
    /// It is another one, and the register does not say whether they are interchangeable.
    NotSaid,
    /// Which issue applies is open, and it does not serve for all of them.
    Open,
    /// Nothing says to which issue it was made.
    NotRecorded,
    /// Which issue applies was not decided: a limit was met on the way.
    Undecided(Limit),
}

impl Agreement {
    /// Whether something made to this issue may stand for the one that applies.
    #[must_use]
    pub fn serves(self) -> bool {
        matches!(self, Agreement::Same | Agreement::Interchangeable)
    }
}

/// How an issue (an index) goes with those that may apply.
///
/// Two issues are interchangeable if the register says so of every issue from the one to the other.
#[must_use]
pub fn agreement(
    model: &Model,
    drawing: Option<DrawingId>,
    made: Option<usize>,
    needed: &Result<Vec<PossibleIssue>, Limit>,
) -> Agreement {
    let Some(drawing) = drawing else { return Agreement::Same };
    let needed = match needed {
        Err(limit) => return Agreement::Undecided(*limit),
        Ok(needed) => needed,
    };
    let Some(made) = made else { return Agreement::NotRecorded };
    let issues = &model.drawings[drawing].issues;
    let with = |possible: &PossibleIssue| {
        let Some(other) = possible.issue else { return Agreement::NotSaid };
        let (from, to) = (made.min(other), made.max(other));
        let steps = issues[from + 1..=to].iter().map(|issue| issue.interchangeable);
        if from == to {
            Agreement::Same
        } else if steps.clone().any(|step| step == Some(false)) {
            Agreement::NotInterchangeable
        } else if steps.clone().all(|step| step == Some(true)) {
            Agreement::Interchangeable
        } else {
            Agreement::NotSaid
        }
    };
    let mut each: Vec<Agreement> = needed.iter().map(with).collect();
    each.sort_unstable();
    match each.as_slice() {
        [] => Agreement::Same,
        [.., worst] if worst.serves() => *worst,
        [best, ..] if best.serves() => Agreement::Open,
        [.., worst] => *worst,
    }
}
