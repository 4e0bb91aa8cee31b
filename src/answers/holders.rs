//! The frames, assemblies and positions that a part is a candidate at, whatever the state.

use super::mark_text;
use crate::graph::Graph;
use crate::history::together;
use crate::ids::{PartId, PositionId};
use crate::layout::{CAUTION, Page, PageTable};
use crate::model::{Loss, Marks, Model};
use crate::words::condition_text;
use serde::Serialize;

/// Where a part is a candidate.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct HoldersReport {
    /// The part number.
    pub part: String,
    /// What it is.
    pub description: String,
    /// The positions at which it is a candidate, in the order of their names.
    pub holders: Vec<HolderRow>,
    /// The caution that goes with every list.
    pub caution: &'static str,
    /// What was not read and bears on its heading or its counts.
    #[serde(skip)]
    pub not_read: Marks,
}

/// A position at which a part is a candidate.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct HolderRow {
    /// The assembly that has the position.
    pub assembly: String,
    /// The frames that the assembly is.
    pub frames: Vec<String>,
    /// The position.
    pub position: String,
    /// What the position is called.
    pub name: Option<String>,
    /// How many are fitted there; absent if something of the position was not read.
    pub quantity: Option<u32>,
    /// When the part is fitted there; absent if something of the position was not read.
    pub when: Option<String>,
    /// What was not read and bears on it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// Where a part is a candidate.
#[must_use]
pub fn holders_report(model: &Model, graph: &Graph, part: PartId) -> HoldersReport {
    let number = model.parts.name(part);
    let places = graph.places_of(part).into_iter();
    let elsewhere =
        |loss: &Loss| loss.touches.placed.has(part) || loss.touches.parts.has(part) || loss.mentions.name(number);
    HoldersReport {
        part: number.to_owned(),
        description: model.parts[part].description.clone(),
        holders: places.map(|(position, candidate)| holder(model, position, candidate)).collect(),
        caution: CAUTION,
        not_read: model.losses.marks(elsewhere),
    }
}

fn holder(model: &Model, id: PositionId, candidate: usize) -> HolderRow {
    let position = &model.positions[id];
    let assembly = position.assembly;
    let frames = model.frames.iter().filter(|(_, _, frame)| frame.assembly == assembly);
    let frames: Vec<String> = frames.map(|(_, name, _)| name.to_owned()).collect();
    let of_place = model.losses.marks(|loss| loss.touches.positions.has(id) || loss.touches.below.has(assembly));
    let frame_unread =
        |loss: &Loss| loss.may_be("Frame") && !model.frames.iter().any(|(_, _, frame)| loss.is_of_record(frame.record));
    let of_frames = if frames.is_empty() { model.losses.marks(frame_unread) } else { Marks::default() };
    let not_read = together([of_place, of_frames]);
    let known = Some(&position.candidates[candidate]).filter(|_| not_read.is_empty());
    HolderRow {
        assembly: model.parts.name(assembly).to_owned(),
        frames,
        position: model.positions.name(id).to_owned(),
        name: position.name.clone(),
        quantity: known.map(|candidate| candidate.quantity),
        when: known.map(|candidate| condition_text(&candidate.when, model)),
        not_read,
    }
}

/// The report as text.
#[must_use]
pub fn holders_page(report: &HoldersReport) -> Page {
    let short = if report.not_read.is_empty() { String::new() } else { format!(", {}", mark_text(&report.not_read)) };
    let mut page = Page::titled(format!("Holders of {} {}{short}", report.part, report.description));
    page.gap();
    if report.holders.is_empty() {
        page.say(if report.not_read.is_empty() {
            "It is a candidate at no position.".to_owned()
        } else {
            format!("Whether it is a candidate at any position is not known: {}.", mark_text(&report.not_read))
        });
        return page;
    }
    let when = |row: &HolderRow| row.when.clone().unwrap_or_else(|| mark_text(&row.not_read));
    page.table(
        PageTable::of(&report.holders)
            .words("Frame", |row| row.frames.join(", "))
            .words("Assembly", |row| row.assembly.clone())
            .words("Position", |row| row.position.clone())
            .words("Called", |row| row.name.clone().unwrap_or_default())
            .words("Qty", |row| row.quantity.map_or("-".to_owned(), |quantity| quantity.to_string()))
            .words("When", when),
    );
    page.gap();
    page.say("A candidate is fitted where the state calls for it; this list asks about no state.");
    page
}

impl super::Verdicts for HoldersReport {
    fn outcome(&self) -> super::Outcome {
        super::Outcome::Settled
    }
    fn not_read(&self) -> Marks {
        self.holders.iter().flat_map(|row| &row.not_read).chain(&self.not_read).copied().collect()
    }
}
