//! The days on which the states of one component have to be looked at.

use crate::history::Fact;
use crate::quantity::Day;
use std::collections::BTreeSet;

/// A state at the end of one day: of a known day, or of some day in a stretch in which nothing else happens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct DayStep {
    /// The first day that it may stand for.
    pub from: Day,
    /// The last day that it may stand for.
    pub to: Day,
}

/// The states through which a history is followed, in order of time.
///
/// Invariant: between the known days of two neighbouring steps no rule changes and no claim names a day, so that
/// every change on the way can be moved to the later day; where a claim speaks of *some* day of a stretch, or a
/// removal and a new embodiment may both fall into it, the stretch has steps of its own, as many as can be distinguished.
#[derive(Clone, Debug)]
pub(crate) struct Steps(pub Vec<DayStep>);

impl Steps {
    /// The steps for these known days. `windows` are the stretches of days (inclusive) about which something is
    /// claimed of an unknown day, or in which something may be removed; their ends are known days already.
    pub(crate) fn new(days: &BTreeSet<Day>, windows: &[(Day, Day)]) -> Steps {
        let mut steps = Vec::new();
        let mut previous: Option<Day> = None;
        for &day in days {
            let inside_from = previous.map_or(Day::FIRST, Day::after);
            let inside_to = day.before();
            if previous.is_some() && inside_from <= inside_to {
                let overlapping = windows.iter().filter(|(a, b)| *a <= inside_from && inside_to <= *b).count();
                let length = usize::try_from(i64::from(inside_to.0) - i64::from(inside_from.0) + 1)
                    .expect("a stretch that is not empty has a length");
                steps
                    .extend(std::iter::repeat_n(DayStep { from: inside_from, to: inside_to }, overlapping.min(length)));
            }
            steps.push(DayStep { from: day, to: day });
            previous = Some(day);
        }
        Steps(steps)
    }

    /// The step of a known day.
    pub(crate) fn on(&self, day: Day) -> usize {
        self.0
            .iter()
            .position(|step| step.from == day && step.to == day)
            .expect("every day that a claim or a question names is a known day")
    }

    /// The steps that lie inside a stretch of days.
    pub(crate) fn within(&self, from: Day, to: Day) -> impl Iterator<Item = usize> + '_ {
        self.0.iter().enumerate().filter(move |(_, step)| from <= step.from && step.to <= to).map(|(index, _)| index)
    }
}

/// The known days that a fact needs.
pub(crate) fn days_of(fact: &Fact) -> Vec<Day> {
    match fact {
        Fact::At(day, _) => vec![*day],
        Fact::Sometime(a, b, _) | Fact::Seen(a, b, _) => stretch_days(*a, *b),
    }
}

/// The known days that make a stretch of days uniform: the day before it and its last day.
pub(crate) fn stretch_days(from: Day, to: Day) -> Vec<Day> {
    if from == to {
        return vec![from];
    }
    if from > Day::FIRST { vec![from.before(), to] } else { vec![to] }
}
