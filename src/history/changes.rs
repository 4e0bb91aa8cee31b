//! The days on which an answer about an airframe can become another one.

use super::{Afterwards, Fact, History};
use crate::graph::DayRule;
use crate::quantity::Day;
use std::collections::BTreeSet;

impl History<'_> {
    /// The days, from the one by which the airframe was certainly built to a last one, at the end of which an answer can differ
    /// from that of the day before; both these days are among them. On all other days the answers are those of the day before:
    /// no claim begins or ends, no leaflet is issued, no group comes in and no drawing has a new issue. On some of the days
    /// given nothing changes after all.
    #[must_use]
    pub fn days_of_change(&self, last: Day) -> Vec<Day> {
        let mut days = BTreeSet::from([self.built.1, last]);
        let mut around = |from: Day, to: Day| {
            let named = [from, to].into_iter().filter(|day| *day > Day::FIRST && *day < Day::LAST);
            days.extend(named.flat_map(|day| [day.before(), day, day.after()]));
        };
        for meaning in &self.meanings {
            let facts = meaning.facts.iter().map(Fact::days);
            for (from, to) in facts.chain(meaning.lets_remove.map(|(_, from, to)| (from, to))) {
                around(from, to);
            }
        }
        for possible in &self.possible {
            if let Afterwards::From(day) = possible.afterwards {
                around(day, possible.earliest.unwrap_or(day));
            }
        }
        for (rule, _) in self.graph.day_rules() {
            if let DayRule::OneOf(group) = rule {
                let introduced = &self.model.one_ofs[*group].introduced;
                around(introduced.first(), introduced.last());
            }
        }
        for (_, _, drawing) in self.model.drawings.iter() {
            // An issue that a modification raised counts from when that is in.
            for issue in drawing.issues.iter().filter(|issue| issue.raised_by.is_none()) {
                around(issue.date.first(), issue.date.last());
            }
        }
        days.range(self.built.1..=last.max(self.built.1)).copied().collect()
    }
}
