//! One position on many airframes: who has which variant on a day.

use super::layout::{counted, paragraph, table};
use super::variant::fitted_words;
use super::{CAUTION, Style};
use crate::graph::Graph;
use crate::ids::{AirframeId, PositionId};
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

/// Asks every airframe about some positions on a day, on all cores. `progress` is told how many are done, now and then.
#[must_use]
pub fn fleet_report(
    model: &Model,
    graph: &Graph,
    (subject, positions): (&str, &[PositionId]),
    day: Day,
    basis: Basis,
    progress: &(dyn Fn(usize) + Sync),
) -> FleetReport {
    let done = AtomicUsize::new(0);
    let airframes: Vec<AirframeId> = model.airframes.ids().collect();
    let rows = airframes.par_iter().map(|&airframe| {
        let row = fleet_row(model, graph, airframe, positions, day, basis);
        progress(done.fetch_add(1, Ordering::Relaxed) + 1);
        row
    });
    FleetReport {
        subject: subject.to_owned(),
        date: day.to_string(),
        doubtful_held: basis == Basis::Held,
        airframes: rows.collect(),
    }
}

fn fleet_row(
    model: &Model,
    graph: &Graph,
    airframe: AirframeId,
    positions: &[PositionId],
    day: Day,
    basis: Basis,
) -> FleetRow {
    let serial = model.airframes.name(airframe).to_owned();
    let target = Target { day, build_state: None };
    let Ok(mut resolver) = Resolver::new(model, graph, airframe, target, Limits::default()) else {
        return FleetRow { airframe: serial, standing: "not yet built", fitted: Vec::new() };
    };
    let mut standing = "settled";
    let mut fitted = Vec::new();
    for &position in positions {
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
    FleetRow { airframe: serial, standing, fitted }
}

/// The report as text: airframes with the same answer together, the largest group first.
#[must_use]
pub fn fleet_text(report: &FleetReport, style: Style) -> String {
    let width = style.width;
    let mut groups: Vec<(&FleetRow, Vec<&str>)> = Vec::new();
    for row in &report.airframes {
        match groups.iter_mut().find(|(first, _)| (first.standing, &first.fitted) == (row.standing, &row.fitted)) {
            Some((_, serials)) => serials.push(&row.airframe),
            None => groups.push((row, vec![&row.airframe])),
        }
    }
    groups.sort_by_key(|(_, serials)| std::cmp::Reverse(serials.len()));
    let basis = if report.doubtful_held { "the doubtful claims held" } else { "the firm claims alone" };
    let count = counted(report.airframes.len(), "airframe", "airframes");
    let told = format!("{} on {}, {count}; {basis}", report.subject, report.date);
    let mut text = paragraph("Fleet: ", &told, width);
    let rows: Vec<Vec<String>> = groups
        .iter()
        .map(|(row, serials)| {
            let one = |fitted: &FleetFitted| format!("{} {}", fitted.position, fitted.parts.join(" or "));
            let fitted: Vec<String> = row.fitted.iter().map(one).collect();
            vec![row.standing.to_owned(), fitted.join("\n"), serials.len().to_string(), serials.join(" ")]
        })
        .collect();
    text.push('\n');
    text.push_str(&table(&["Standing", "Fitted", "How many", "Airframes"], &rows, width));
    text.push('\n');
    text.push_str(&paragraph("", CAUTION, width));
    text
}
