//! The life of an airframe on a line of time: where it was, what was done to it, what is known of when.

use super::answer::mark_text;
use super::asked::Asked;
use crate::finding::RecordRef;
use crate::layout::{Page, PageTable};
use crate::model::{Loss, Marks};
use crate::quantity::{Day, Window};
use crate::resolve::{Basis, Resolver, Truth};
use crate::schema::Record;
use crate::words::{form_word, since_text};
use serde::Serialize;

/// The life of an airframe.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct LifeReport {
    /// Which airframe and state.
    pub asked: Asked,
    /// What happened, by track and then by date.
    pub events: Vec<LifeEvent>,
    /// What was not read and bears on it.
    #[serde(skip)]
    pub not_read: Marks,
}

/// One thing that happened, or that was written.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct LifeEvent {
    /// On which track it is shown.
    pub track: LifeTrack,
    /// Its short name.
    pub name: String,
    /// What it is.
    pub what: String,
    /// The first day on which it can have been; `null`: not known.
    pub from: Option<Day>,
    /// The last day; `null`: not known.
    pub to: Option<Day>,
    /// The dates in words.
    pub when: String,
}

/// The tracks of a line of time, from top to bottom.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum LifeTrack {
    /// Built, delivered, moved.
    Movement,
    /// A modification embodied, of which the state says since when.
    Embodiment,
    /// An item of the evidence register, at its own date.
    Evidence,
    /// A named build state.
    BuildState,
}

impl LifeTrack {
    /// Its heading.
    #[must_use]
    pub fn heading(self) -> &'static str {
        match self {
            LifeTrack::Movement => "Built and moved",
            LifeTrack::Embodiment => "Embodied afterwards",
            LifeTrack::Evidence => "Evidence, at its own date",
            LifeTrack::BuildState => "Build states",
        }
    }
}

impl LifeEvent {
    fn of(track: LifeTrack, name: impl Into<String>, what: impl Into<String>, window: &Window) -> LifeEvent {
        LifeEvent {
            track,
            name: name.into(),
            what: what.into(),
            from: window.start,
            to: window.end,
            when: window.text.clone(),
        }
    }
}

/// The life of the airframe of a resolver. Where it went stands in its record alone, which is looked up among `records`.
#[must_use]
pub fn life_report(resolver: &mut Resolver<'_>, asked: Asked, records: &[(RecordRef, Record)]) -> LifeReport {
    let (model, airframe) = (resolver.history().model, resolver.history().airframe());
    let mut events = vec![LifeEvent::of(LifeTrack::Movement, "built", "Built", &airframe.built)];
    let delivered = airframe.delivered.as_ref();
    events.extend(delivered.map(|on| LifeEvent::of(LifeTrack::Movement, "delivered", "Delivered", on)));
    let written = records.iter().find(|(at, _)| *at == airframe.record).map(|(_, record)| record);
    if let Some(Record::Airframe(written)) = written {
        for movement in &written.movements {
            let Ok(window) = Window::parse(&movement.date) else { continue };
            let reason = movement.reason.as_ref().map_or(String::new(), |reason| format!(": {reason}"));
            let what = format!("To {}{reason}", movement.to);
            events.push(LifeEvent::of(LifeTrack::Movement, &movement.to, what, &window));
        }
    }
    for m in model.mods.ids() {
        let firm = resolver.modification(m, Basis::Firm);
        let Some(since) = firm.since.filter(|_| firm.by_retrospective == Truth::Always) else { continue };
        let afterwards = form_word(crate::schema::Form::Retrospective);
        let window = Window { start: Some(since.not_before), end: Some(since.by), text: since_text(since) };
        let what = format!("{} ({afterwards})", model.mods[m].title);
        events.push(LifeEvent::of(LifeTrack::Embodiment, model.mods.name(m), what, &window));
    }
    for (_, name, item) in airframe.evidence.iter() {
        if let Some(date) = &item.date {
            let what = format!("{}, {}", item.kind, item.reference);
            events.push(LifeEvent::of(LifeTrack::Evidence, name, what, date));
        }
    }
    for (_, name, state) in airframe.build_states.iter() {
        let day = Window { start: Some(state.date), end: Some(state.date), text: state.date.to_string() };
        events.push(LifeEvent::of(LifeTrack::BuildState, name, format!("Build state \"{name}\""), &day));
    }
    events.sort_by_key(|event| (event.track, event.from.or(event.to)));
    let history = resolver.history();
    let losses = &history.model.losses;
    let kinds = ["Airframe", "Claim", "Assumption", "Evidence", "BuildState", "Modification"];
    let bears = |loss: &Loss| loss.concerns(history.id) && kinds.iter().any(|kind| loss.may_be(kind));
    let mut not_read = losses.marks(bears);
    not_read.extend(&asked.not_read);
    LifeReport { asked, events, not_read }
}

/// The life as a table for each track.
#[must_use]
pub fn life_page(report: &LifeReport) -> Page {
    let mut page = Page::titled(format!("Life of {}", report.asked.line()));
    if !report.not_read.is_empty() {
        page.say(format!("Not all of it is known: {}.", mark_text(&report.not_read)));
    }
    for track in [LifeTrack::Movement, LifeTrack::Embodiment, LifeTrack::Evidence, LifeTrack::BuildState] {
        let events: Vec<&LifeEvent> = report.events.iter().filter(|event| event.track == track).collect();
        if events.is_empty() {
            continue;
        }
        page.heading(track.heading());
        let table = PageTable::of(events).words("When", |event| event.when.clone());
        page.table(match track {
            LifeTrack::Movement => table.words("What", |event| event.what.clone()),
            LifeTrack::Embodiment | LifeTrack::Evidence | LifeTrack::BuildState => {
                table.words("Name", |event| event.name.clone()).words("What", |event| event.what.clone())
            }
        });
    }
    page
}

impl super::Verdicts for LifeReport {
    fn outcome(&self) -> super::Outcome {
        super::Outcome::Settled
    }
    fn not_read(&self) -> Marks {
        self.not_read.clone()
    }
}
