//! One position on many airframes: who has which variant on a day.

use super::asked::{Say, basis_words};
use super::mark_text;
use super::variant::fitted_words;
use crate::graph::Graph;
use crate::history::together;
use crate::ids::{AirframeId, FrameId, PartId, PositionId};
use crate::layout::text::counted;
use crate::layout::{Page, PageTable};
use crate::model::{Loss, Marks, Model};
use crate::quantity::Day;
use crate::resolve::{Basis, Limits, Resolver, Target, Truth};
use crate::words::date_text;
use rayon::prelude::*;
use serde::Serialize;
use std::sync::atomic::{AtomicUsize, Ordering};

/// One or several positions on many airframes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct FleetReport {
    /// What was asked about.
    pub subject: String,
    /// The day.
    pub date: String,
    /// Whether the doubtful claims are held.
    pub doubtful_held: bool,
    /// The airframes, in the order of their serials.
    pub airframes: Vec<FleetRow>,
    /// What was not read and bears on its heading or its counts.
    #[serde(skip)]
    pub not_read: Marks,
}

/// How the subject stands on one airframe.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FleetStanding {
    /// One thing is fitted in every history.
    Settled,
    /// More than one may be.
    Open,
    /// The records contradict each other.
    Contradicted,
    /// A limit was met.
    Undecided,
    /// The airframe was not certainly built by then.
    #[serde(rename = "not yet built")]
    NotYetBuilt,
    /// It rests on something that was not read.
    NotRead,
}

impl FleetStanding {
    fn word(self) -> &'static str {
        match self {
            FleetStanding::Settled => "settled",
            FleetStanding::Open => "open",
            FleetStanding::Contradicted => "contradicted",
            FleetStanding::Undecided => "undecided",
            FleetStanding::NotYetBuilt => "not yet built",
            FleetStanding::NotRead => "not read",
        }
    }
}

/// One airframe.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct FleetRow {
    /// Its serial.
    pub airframe: String,
    /// How the subject stands.
    pub standing: FleetStanding,
    /// Where the subject is a part: whether it is fitted anywhere on the airframe, which could then lend a pattern.
    pub has: Option<Say>,
    /// What may be fitted at each position asked about, in their order.
    pub fitted: Vec<FleetFitted>,
    /// What was not read and bears on it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// What may be fitted at a position of one airframe.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct FleetFitted {
    /// The position.
    pub position: String,
    /// The parts; one, if it is settled.
    pub parts: Vec<String>,
}

/// What the fleet is asked about.
#[derive(Clone, Copy, Debug)]
pub struct FleetSubject<'a> {
    /// Its name.
    pub name: &'a str,
    /// The part, if it is one.
    pub part: Option<PartId>,
    /// The frame, if it is one.
    pub frame: Option<FrameId>,
    /// The positions at which it is, or which make it up.
    pub positions: &'a [PositionId],
}

/// Asks every airframe about some positions on a day, on all cores. `progress` is called with how many are done, now and then.
#[must_use]
pub fn fleet_report(
    model: &Model,
    graph: &Graph,
    subject: &FleetSubject<'_>,
    day: Day,
    basis: Basis,
    progress: &(dyn Fn(usize) + Sync),
) -> FleetReport {
    let done = AtomicUsize::new(0);
    let airframes: Vec<AirframeId> = model.airframes.ids().collect();
    let rows = airframes.par_iter().map(|&airframe| {
        let row = fleet_row(model, graph, airframe, subject, day, basis);
        progress(done.fetch_add(1, Ordering::Relaxed) + 1);
        row
    });
    FleetReport {
        not_read: short_of(model, subject),
        subject: subject.name.to_owned(),
        date: day.to_string(),
        doubtful_held: basis == Basis::Held,
        airframes: rows.collect(),
    }
}

/// The losses by which the fleet is short of an airframe or the subject of a position.
fn short_of(model: &Model, subject: &FleetSubject<'_>) -> Marks {
    let named = |mentions: &crate::source::Mentions| mentions.name(subject.name);
    let part =
        |loss: &Loss| subject.part.is_some_and(|part| loss.touches.placed.has(part) || loss.touches.parts.has(part));
    let of_subject = model.losses.marks(|loss| named(&loss.mentions) || part(loss));
    together([model.losses.of_airframes(), of_subject])
}

fn fleet_row(
    model: &Model,
    graph: &Graph,
    airframe: AirframeId,
    subject: &FleetSubject<'_>,
    day: Day,
    basis: Basis,
) -> FleetRow {
    let serial = model.airframes.name(airframe).to_owned();
    let target = Target { day, build_state: None };
    let Ok(mut resolver) = Resolver::new(model, graph, airframe, target, Limits::default()) else {
        let of_airframe = model.losses.of_dossier(airframe, &["Airframe"]);
        let standing = if of_airframe.is_empty() { FleetStanding::NotYetBuilt } else { FleetStanding::NotRead };
        return FleetRow { airframe: serial, standing, has: None, fitted: Vec::new(), not_read: of_airframe };
    };
    let not_read = lost_of(&resolver, subject);
    if !not_read.is_empty() {
        let standing = FleetStanding::NotRead;
        return FleetRow { airframe: serial, standing, has: None, fitted: Vec::new(), not_read };
    }
    let mut standing = FleetStanding::Settled;
    let mut fitted = Vec::new();
    let has = subject.part.map(|part| {
        let fitted = resolver.fitted(part);
        Say::from(resolver.truth(&fitted, basis))
    });
    for &position in subject.positions {
        let outcomes = resolver.outcomes(position, basis);
        let has = |wanted: fn(Truth) -> bool| outcomes.iter().any(|outcome| wanted(outcome.truth));
        if has(|truth| truth == Truth::NoHistory) {
            standing = FleetStanding::Contradicted;
        } else if has(|truth| matches!(truth, Truth::Undecided(_))) {
            standing = FleetStanding::Undecided;
        } else if outcomes.len() > 1 && standing == FleetStanding::Settled {
            standing = FleetStanding::Open;
        }
        let words = outcomes.iter().map(|outcome| fitted_words(&resolver, outcome.fitted));
        fitted.push(FleetFitted { position: model.positions.name(position).to_owned(), parts: words.collect() });
    }
    FleetRow { airframe: serial, standing, has, fitted, not_read }
}

/// What was not read and bears on the subject on one airframe.
fn lost_of(resolver: &Resolver<'_>, subject: &FleetSubject<'_>) -> Marks {
    let history = resolver.history();
    let positions = subject.positions.iter().map(|position| history.not_read_at(*position));
    let part = subject.part.map(|part| history.not_read_of_fitting(part));
    let frame = subject.frame.map(|frame| history.not_read_of_frame(frame));
    together(positions.chain(part).chain(frame).chain([history.model.losses.of_dossier(history.id, &["Airframe"])]))
}

/// The report as text: airframes with the same answer together, the largest group first.
#[must_use]
pub fn fleet_page(report: &FleetReport) -> Page {
    let mut groups: Vec<(&FleetRow, Vec<&str>)> = Vec::new();
    for row in &report.airframes {
        let key = |row: &FleetRow| (row.standing, row.has, row.fitted.clone(), row.not_read.clone());
        match groups.iter_mut().find(|(first, _)| key(first) == key(row)) {
            Some((_, serials)) => serials.push(&row.airframe),
            None => groups.push((row, vec![&row.airframe])),
        }
    }
    let first_who_has =
        |has: Option<Say>| [Some(Say::Yes), Some(Say::Open)].iter().position(|say| *say == has).unwrap_or(2);
    groups.sort_by_key(|(row, serials)| (first_who_has(row.has), std::cmp::Reverse(serials.len())));
    let basis = basis_words(report.doubtful_held);
    let count = counted(report.airframes.len(), "airframe", "airframes");
    let short = if report.not_read.is_empty() { String::new() } else { format!(", {}", mark_text(&report.not_read)) };
    let sentence = format!("{} on {}, {count}{short}, {basis}", report.subject, date_text(&report.date));
    let mut page = Page::titled(format!("Fleet: {sentence}"));
    let of_part = report.airframes.iter().any(|row| row.has.is_some());
    // An airframe of which something was not read may belong to any of the groups.
    let lost = super::Verdicts::not_read(report);
    let many = |row: &FleetRow, count: usize| {
        let whole = lost.is_empty() || !row.not_read.is_empty();
        if whole { count.to_string() } else { format!("{count}; others {}", mark_text(&lost)) }
    };
    let mut table = PageTable::of(&groups).words("Status", |(row, _)| {
        if row.not_read.is_empty() { row.standing.word().to_owned() } else { mark_text(&row.not_read) }
    });
    if of_part {
        table = table.words("Has it", |(row, _)| row.has.map_or("", Say::word).to_owned());
    }
    let fitted = |row: &FleetRow| {
        let one = |fitted: &FleetFitted| format!("{} {}", fitted.position, fitted.parts.join(" or "));
        row.fitted.iter().map(one).collect::<Vec<_>>().join("\n")
    };
    page.gap();
    page.table(
        table
            .words("Fitted", |(row, _)| fitted(row))
            .words("How many", |(row, serials)| many(row, serials.len()))
            .words("Airframes", |(_, serials)| serials.join(" ")),
    );
    page.gap();
    page
}

impl super::Verdicts for FleetReport {
    fn outcome(&self) -> super::Outcome {
        let of_row = |row: &FleetRow| match row.standing {
            FleetStanding::Settled | FleetStanding::NotYetBuilt => super::Outcome::Settled,
            FleetStanding::Contradicted => super::Outcome::StopsWork,
            FleetStanding::Open | FleetStanding::Undecided | FleetStanding::NotRead => super::Outcome::Undecided,
        };
        self.airframes.iter().map(of_row).max().unwrap_or_default()
    }
    fn not_read(&self) -> Marks {
        let rows = self.airframes.iter().flat_map(|row| &row.not_read);
        rows.chain(&self.not_read).copied().collect()
    }
}
