//! One position on many airframes: who has which variant on a day.

use super::Style;
use super::asked::Say;
use super::layout::{counted, paragraph, table};
use super::variant::fitted_words;
use crate::graph::Graph;
use crate::ids::{AirframeId, PartId, PositionId};
use crate::model::{Day, Model};
use crate::resolve::{Basis, Limits, Resolver, Target, Truth};
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
}

/// One airframe.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct FleetRow {
    /// Its serial.
    pub airframe: String,
    /// `settled`, `open`, `contradicted`, `undecided` or `not yet built`.
    pub standing: &'static str,
    /// Where the subject is a part: whether it is fitted anywhere on the airframe, which could then lend a pattern.
    pub has: Option<Say>,
    /// What may be fitted at each position asked about, in their order.
    pub fitted: Vec<FleetFitted>,
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
    /// The positions at which it is, or which make it up.
    pub positions: &'a [PositionId],
}

/// Asks every airframe about some positions on a day, on all cores. `progress` is told how many are done, now and then.
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
        subject: subject.name.to_owned(),
        date: day.to_string(),
        doubtful_held: basis == Basis::Held,
        airframes: rows.collect(),
    }
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
        return FleetRow { airframe: serial, standing: "not yet built", has: None, fitted: Vec::new() };
    };
    let mut standing = "settled";
    let mut fitted = Vec::new();
    let has = subject.part.map(|part| {
        let fitted = resolver.fitted(part);
        Say::from(resolver.truth(&fitted, basis))
    });
    for &position in subject.positions {
        let outcomes = resolver.outcomes(position, basis);
        let has = |wanted: fn(Truth) -> bool| outcomes.iter().any(|outcome| wanted(outcome.truth));
        if has(|truth| truth == Truth::NoHistory) {
            standing = "contradicted";
        } else if has(|truth| matches!(truth, Truth::Undecided(_))) {
            standing = "undecided";
        } else if outcomes.len() > 1 && standing == "settled" {
            standing = "open";
        }
        let words = outcomes.iter().map(|outcome| fitted_words(&resolver, outcome.fitted));
        fitted.push(FleetFitted { position: model.positions.name(position).to_owned(), parts: words.collect() });
    }
    FleetRow { airframe: serial, standing, has, fitted }
}

/// The report as text: airframes with the same answer together, the largest group first.
#[must_use]
pub fn fleet_text(report: &FleetReport, style: Style) -> String {
    let width = style.width;
    let mut groups: Vec<(&FleetRow, Vec<&str>)> = Vec::new();
    for row in &report.airframes {
        let told = |row: &FleetRow| (row.standing, row.has, row.fitted.clone());
        match groups.iter_mut().find(|(first, _)| told(first) == told(row)) {
            Some((_, serials)) => serials.push(&row.airframe),
            None => groups.push((row, vec![&row.airframe])),
        }
    }
    let first_who_has =
        |has: Option<Say>| [Some(Say::Yes), Some(Say::Open)].iter().position(|say| *say == has).unwrap_or(2);
    groups.sort_by_key(|(row, serials)| (first_who_has(row.has), std::cmp::Reverse(serials.len())));
    let basis = if report.doubtful_held { "the doubtful claims held" } else { "the firm claims alone" };
    let count = counted(report.airframes.len(), "airframe", "airframes");
    let told = format!("{} on {}, {count}; {basis}", report.subject, report.date);
    let mut text = paragraph("Fleet: ", &told, width);
    let of_part = report.airframes.iter().any(|row| row.has.is_some());
    let rows: Vec<Vec<String>> = groups
        .iter()
        .map(|(row, serials)| {
            let one = |fitted: &FleetFitted| format!("{} {}", fitted.position, fitted.parts.join(" or "));
            let fitted: Vec<String> = row.fitted.iter().map(one).collect();
            let mut cells = vec![row.standing.to_owned()];
            cells.extend(of_part.then(|| row.has.map_or("", Say::word).to_owned()));
            cells.extend([fitted.join("\n"), serials.len().to_string(), serials.join(" ")]);
            cells
        })
        .collect();
    text.push('\n');
    let heads: &[&str] = if of_part {
        &["Standing", "Has it", "Fitted", "How many", "Airframes"]
    } else {
        &["Standing", "Fitted", "How many", "Airframes"]
    };
    text.push_str(&table(heads, &rows, width));
    text.push('\n');
    text
}

impl super::Verdicts for FleetReport {
    fn outcome(&self) -> super::Outcome {
        let of_row = |row: &FleetRow| match row.standing {
            "settled" | "not yet built" => super::Outcome::Settled,
            "contradicted" => super::Outcome::StopsWork,
            _ => super::Outcome::Undecided,
        };
        self.airframes.iter().map(of_row).max().unwrap_or_default()
    }
    fn not_read(&self) -> crate::model::Marks {
        crate::model::Marks::new()
    }
}
