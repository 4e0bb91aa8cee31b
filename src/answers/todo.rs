//! What is left to make for a state: the list for tomorrow morning.

use super::asked::Asked;
use super::figures::{bands_words, gauges_words, stages_words};
use super::mark_text;
use super::permits::{Permission, permissions, permissions_page, references};
use super::rack::{MARKING, issue_name};
use crate::layout::text::counted;
use crate::layout::{Page, PageTable};
use crate::model::{Marks, Model, Part};
use crate::resolve::Resolver;
use crate::shop::{Batch, First, Job, Todo, marking};
use crate::words::{length_text, tool_kind_word};
use serde::Serialize;
use std::collections::BTreeMap;

/// What is left to make for a state.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct TodoReport {
    /// Which airframe and state.
    pub asked: Asked,
    /// Of what; `null`: of the whole airframe.
    pub of: Option<String>,
    /// What may be made now: it is the same in every history, whatever else is open.
    pub now: Vec<TodoRow>,
    /// What waits until something is settled.
    pub waiting: Vec<TodoRow>,
    /// Of what nothing is known because something was not read.
    pub unknown: Vec<TodoRow>,
    /// What was not read and bears on the heading, or leaves the list short.
    #[serde(skip)]
    pub not_read: Marks,
    /// What is on the rack, taken by the state and not ready.
    pub unfinished: Vec<UnfinishedRow>,
    /// What may be made now, by material and thickness.
    pub materials: Vec<MaterialRow>,
    /// Heat-treatment batches of what may be made now, or is made and not yet treated.
    pub batches: Vec<BatchRow>,
    /// What was not read and bears on which parts may share a load: then no batch is listed.
    #[serde(skip)]
    pub no_batches: Marks,
    /// Where the figures come from that the list takes from the tables of the shop, a sentence each.
    pub figures: Vec<String>,
}

/// A part that is left to make.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct TodoRow {
    /// The part number.
    pub part: String,
    /// What it is.
    pub description: String,
    /// How many are needed in every history, over those on the rack; `null` if not known.
    pub left: Option<u64>,
    /// How many more may be needed; `null` if not known.
    pub more: Option<u64>,
    /// The issue to make it to; `null` if it has no drawing or the issue is open.
    pub issue: Option<String>,
    /// The issue as fitted, where it is settled and another than the one to make to.
    pub as_fitted: Option<String>,
    /// The material specification.
    pub material: Option<String>,
    /// The temper.
    pub temper: Option<String>,
    /// The thickness as written.
    pub thickness: Option<String>,
    /// The jigs and stations where it is located.
    pub at: Vec<Station>,
    /// What has to be there first, each in a few words.
    pub first: Vec<String>,
    /// The permissions that touch it.
    pub permissions: Vec<Permission>,
    /// The modifications that leave open how many, or to which issue.
    pub waits_for: Vec<String>,
    /// Why it was not decided how many are needed, a sentence; `null` if it was.
    pub limit: Option<String>,
    /// Whether the records that bear on how many are needed contradict each other.
    pub contradicted: bool,
    /// The text to mark on each; the year of making is added to it; `null` if not known.
    pub mark_with: Option<String>,
    /// What was not read and bears on it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// A station of a jig.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Station {
    /// The jig.
    pub jig: String,
    /// The station.
    pub station: String,
}

/// Parts on the rack that are not ready.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct UnfinishedRow {
    /// The part number.
    pub part: String,
    /// What it is.
    pub description: String,
    /// How many the state takes; `null` if not known.
    pub quantity: Option<u64>,
    /// How far the work has come.
    pub stage: String,
    /// The stage that comes next.
    pub next: String,
    /// The marks on them.
    pub marks: Option<String>,
    /// What was not read and bears on it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// What may be made now of one material and thickness.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct MaterialRow {
    /// The material specification.
    pub material: Option<String>,
    /// The thickness as written.
    pub thickness: Option<String>,
    /// How many pieces; `null` if not known.
    pub pieces: Option<u64>,
    /// The part numbers.
    pub parts: Vec<String>,
    /// What was not read and bears on it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// Parts that may share a heat-treatment load.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct BatchRow {
    /// The material specification.
    pub material: String,
    /// The temper.
    pub temper: Option<String>,
    /// The thickness band: over this; `null`: from nothing.
    pub over: Option<String>,
    /// Up to this; `null`: without end.
    pub up_to: Option<String>,
    /// How many pieces of which part number; `null` if not known.
    pub parts: Vec<(String, Option<u64>)>,
    /// What was not read and bears on it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// What is left to make, as found by [`todo`](crate::shop::todo).
#[must_use]
pub fn todo_report(resolver: &Resolver<'_>, asked: Asked, todo: &Todo, of: Option<String>) -> TodoReport {
    let model = resolver.history().model;
    let stages = model.config.stages.known();
    let named = |stage: Option<usize>| stages.and_then(|stages| stages.names.get(stage?).cloned()).unwrap_or_default();
    let serial = &resolver.history().airframe().serial.text;
    let rows = |jobs: &[Job]| jobs.iter().map(|job| row(model, job, serial)).collect();
    let unfinished = todo.unfinished.iter().map(|line| {
        let made = &model.made_parts[line.made];
        let next = stages.and_then(|stages| stages.next(made.stage?, made.reclaimed.is_some()));
        UnfinishedRow {
            part: model.parts.name(made.part).to_owned(),
            description: model.parts[made.part].description.clone(),
            quantity: line.not_read.is_empty().then_some(line.quantity),
            stage: named(made.stage),
            next: named(next),
            marks: made.marks.clone(),
            not_read: line.not_read.clone(),
        }
    });
    let mut report = TodoReport {
        asked,
        of,
        now: rows(&todo.now),
        waiting: rows(&todo.waiting),
        unknown: rows(&todo.unknown),
        not_read: todo.not_read.clone(),
        unfinished: unfinished.collect(),
        materials: materials(model, todo),
        batches: todo.batches.iter().map(|batch| batch_row(model, batch)).collect(),
        no_batches: todo.no_batches.clone(),
        figures: Vec::new(),
    };
    report.figures = figures(&report, model);
    report
}

/// Where the figures of the list come from.
fn figures(report: &TodoReport, model: &Model) -> Vec<String> {
    let config = &model.config;
    let stages = stages_words(config);
    let bands = bands_words(config).filter(|_| !report.batches.is_empty());
    let gauges = gauges_words(config, report.materials.iter().filter_map(|row| row.thickness.as_deref()));
    [stages, bands, gauges].into_iter().flatten().collect()
}

/// A row of which only the part number is known, because something was not read.
fn unknown_row(model: &Model, job: &Job) -> TodoRow {
    TodoRow {
        part: model.parts.name(job.part).to_owned(),
        description: String::new(),
        left: None,
        more: None,
        issue: None,
        as_fitted: None,
        material: None,
        temper: None,
        thickness: None,
        at: Vec::new(),
        first: Vec::new(),
        permissions: Vec::new(),
        waits_for: Vec::new(),
        limit: None,
        contradicted: false,
        mark_with: None,
        not_read: job.not_read.clone(),
    }
}

fn row(model: &Model, job: &Job, serial: &str) -> TodoRow {
    if !job.not_read.is_empty() {
        return unknown_row(model, job);
    }
    let part = &model.parts[job.part];
    let station = |(jig, station): &(crate::ids::JigId, usize)| Station {
        jig: model.jigs.name(*jig).to_owned(),
        station: model.jigs[*jig].stations[*station].clone(),
    };
    TodoRow {
        part: model.parts.name(job.part).to_owned(),
        description: part.description.clone(),
        left: Some(job.left),
        more: Some(job.more),
        issue: issue_name(model, job.part, job.issue),
        as_fitted: issue_name(model, job.part, job.as_fitted),
        material: part.material.clone(),
        temper: part.temper.clone(),
        thickness: thickness(part),
        at: job.at.iter().map(station).collect(),
        first: job.first.iter().map(|first| first_words(model, *first)).collect(),
        permissions: permissions(model, job.deviations.iter().copied()),
        waits_for: job.waits_for.iter().map(|m| model.mods.name(*m).to_owned()).collect(),
        limit: job.limit.map(|limit| limit.to_string()),
        contradicted: job.contradicted,
        mark_with: Some(marking(model, job.part, job.issue, None, serial)),
        not_read: Marks::new(),
    }
}

fn thickness(part: &Part) -> Option<String> {
    part.thickness.as_ref().map(|thickness| thickness.text.clone())
}

fn first_words(model: &Model, first: First) -> String {
    match first {
        First::Rack(count) => format!("judge the {count} on the rack"),
        First::Drawing(_) => "no copy of the drawing issue".to_owned(),
        First::Tool(kind, None) => format!("make a {}", tool_kind_word(kind)),
        First::Tool(kind, Some(tool)) => format!("{} {} does not serve", tool_kind_word(kind), model.tools[tool].mark),
        First::Plate(jig, station, plate) => {
            let jig = &model.jigs[jig];
            format!("plate {} at {}", model.plates.name(plate), jig.stations[station])
        }
        First::JigElsewhere(jig) => format!("{} is set for another airframe", model.jigs.name(jig)),
    }
}

/// By material and thickness. A part of whose record something was not read may be of any, and so may one that is lost.
fn materials(model: &Model, todo: &Todo) -> Vec<MaterialRow> {
    let mut groups: BTreeMap<(Option<String>, Option<i64>), MaterialRow> = BTreeMap::new();
    for job in todo.now.iter().chain(&todo.unknown) {
        let part = &model.parts[job.part];
        let key = (part.material.clone(), part.thickness.as_ref().map(|thickness| thickness.picometres));
        let (material, thickness) = (part.material.clone(), thickness(part));
        let fresh = |material, thickness| {
            let not_read = todo.short.clone();
            MaterialRow { material, thickness, pieces: Some(0), parts: Vec::new(), not_read }
        };
        let group = groups.entry(key).or_insert_with(|| fresh(material, thickness));
        group.not_read.extend(&job.not_read);
        group.pieces = group.pieces.zip(Some(job.left)).and_then(|(sum, more)| sum.checked_add(more));
        if !group.not_read.is_empty() {
            group.pieces = None;
        }
        group.parts.push(model.parts.name(job.part).to_owned());
    }
    groups.into_values().collect()
}

fn batch_row(model: &Model, batch: &Batch) -> BatchRow {
    let known = batch.not_read.is_empty();
    let text = |end: &Option<crate::quantity::Length>| end.as_ref().map(|length| length.text.clone());
    BatchRow {
        material: batch.material.clone(),
        temper: batch.temper.clone(),
        over: text(&batch.band.0),
        up_to: text(&batch.band.1),
        parts: batch
            .parts
            .iter()
            .map(|(part, count)| (model.parts.name(*part).to_owned(), known.then_some(*count)))
            .collect(),
        not_read: batch.not_read.clone(),
    }
}

impl TodoReport {
    /// Whether something waits until something else is settled.
    #[must_use]
    pub fn is_undecided(&self) -> bool {
        !self.waiting.is_empty()
    }
    /// Whether a contradiction among the records bears on some row.
    #[must_use]
    pub fn is_contradicted(&self) -> bool {
        self.waiting.iter().any(|row| row.contradicted)
    }
}

impl TodoReport {
    /// What was not read and bears on what is to be made.
    fn not_known(&self) -> Marks {
        self.unknown.iter().flat_map(|row| &row.not_read).chain(&self.not_read).copied().collect()
    }
}

/// The list as text.
#[must_use]
pub fn todo_page(report: &TodoReport) -> Page {
    let of = report.of.as_ref().map(|of| format!(" of {of}")).unwrap_or_default();
    let mut page = Page::titled(format!("To make{of} for {}", report.asked.line()));
    page.say(headline(report));
    if !report.unknown.is_empty() {
        page.heading("Not known");
        let cells = report.unknown.iter().map(|row| [row.part.clone(), mark_text(&row.not_read)]);
        page.table(PageTable::made(["Part", "Make"], cells));
    }
    for (heading, rows) in by_jig(&report.now) {
        page.heading(heading);
        page.table(
            PageTable::of(rows)
                .words("Part", |row| row.part.clone())
                .words("Description", |row| row.description.clone())
                .figures("Make", |row| row.left.map_or_else(|| "-".to_owned(), |left| left.to_string()))
                .words("Iss", issue_words)
                .words("Material", stuff)
                .words("Before you start", before_words),
        );
    }
    page.append(unfinished_page(report));
    page.append(waiting_page(report));
    page.append(stock_page(report));
    let permissions = report.now.iter().chain(&report.waiting).flat_map(|row| &row.permissions);
    page.gap();
    page.append(permissions_page(permissions));
    page.say(format!("Mark each new part with its number, issue, hand, this airframe, NEW and the year. {MARKING}"));
    page.append(report.asked.remarks());
    page.gap();
    page
}

/// How much may be made now, how much waits, and whether that is all.
fn headline(report: &TodoReport) -> String {
    let pieces: u128 = report.now.iter().filter_map(|row| row.left).map(u128::from).sum();
    let now = counted(report.now.len(), "part number", "part numbers");
    let sentence = format!(
        "{now} ({}). On hold: {}.",
        counted_pieces(pieces),
        counted(report.waiting.len(), "part number", "part numbers")
    );
    let marks = report.not_known();
    if marks.is_empty() {
        return format!("Does not depend on anything open: {sentence}");
    }
    format!(
        "Of what could be read, does not depend on anything open: {sentence} What else there is to make is not known: {}.",
        mark_text(&marks)
    )
}

fn counted_pieces(pieces: u128) -> String {
    if pieces == 1 { "1 piece".to_owned() } else { format!("{pieces} pieces") }
}

fn by_jig(rows: &[TodoRow]) -> Vec<(String, Vec<&TodoRow>)> {
    let mut groups: Vec<(String, Vec<&TodoRow>)> = Vec::new();
    for row in rows {
        let heading = row.at.first().map_or("At the bench".to_owned(), |at| format!("Jig {}", at.jig));
        match groups.last_mut() {
            Some((last, group)) if *last == heading => group.push(row),
            _ => groups.push((heading, vec![row])),
        }
    }
    groups
}

fn stuff(row: &TodoRow) -> String {
    [row.material.clone(), row.thickness.as_deref().map(length_text)]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(" ")
}

fn before_words(row: &TodoRow) -> String {
    let permits = Some(references(&row.permissions)).filter(|text| !text.is_empty());
    row.first.iter().cloned().chain(permits).collect::<Vec<_>>().join("; ")
}

/// The issue to make to, and the one as fitted where it is another.
fn issue_words(row: &TodoRow) -> String {
    let mut text = row.issue.clone().unwrap_or_else(|| "-".to_owned());
    text.extend(row.as_fitted.iter().map(|issue| format!(" (as fitted: {issue})")));
    text
}

fn unfinished_page(report: &TodoReport) -> Page {
    let mut page = Page::default();
    if !report.unfinished.is_empty() {
        page.heading("In progress");
        page.table(
            PageTable::of(&report.unfinished)
                .words("Part", |row| row.part.clone())
                .figures("Qty", |row| {
                    row.quantity.map_or_else(|| mark_text(&row.not_read), |quantity| quantity.to_string())
                })
                .words("Marks", |row| row.marks.clone().unwrap_or_default())
                .words("Stage", |row| row.stage.clone())
                .words("Next", |row| row.next.clone()),
        );
    }
    page
}

fn waiting_page(report: &TodoReport) -> Page {
    let open = |row: &TodoRow| match (&row.limit, row.more) {
        _ if row.contradicted => "contradicted".to_owned(),
        (Some(_), _) | (None, None) => "undecided".to_owned(),
        (None, Some(0)) => row.left.unwrap_or_default().to_string(),
        (None, Some(more)) => format!("up to {more}"),
    };
    let settle = |row: &TodoRow| match &row.limit {
        _ if row.contradicted => "the records contradict each other; run modstate check".to_owned(),
        Some(limit) => limit.clone(),
        None if row.waits_for.is_empty() => "which issue applies".to_owned(),
        None => row.waits_for.join(", "),
    };
    let mut page = Page::default();
    if !report.waiting.is_empty() {
        page.heading("On hold");
        page.table(
            PageTable::of(&report.waiting)
                .words("Part", |row| row.part.clone())
                .words("Description", |row| row.description.clone())
                .words("Open", open)
                .words("Depends on", settle),
        );
    }
    page
}

fn stock_page(report: &TodoReport) -> Page {
    let mut page = Page::default();
    if !report.materials.is_empty() {
        page.heading("By material and thickness");
        page.table(
            PageTable::of(&report.materials)
                .words("Material", |row| row.material.clone().unwrap_or_else(|| "-".to_owned()))
                .words("Thickness", |row| row.thickness.as_deref().map_or_else(|| "-".to_owned(), length_text))
                .figures("Pieces", |row| {
                    row.pieces.map_or_else(|| mark_text(&row.not_read), |pieces| pieces.to_string())
                })
                .words("Parts", |row| row.parts.join(" ")),
        );
    }
    if !report.batches.is_empty() {
        page.heading("Heat-treatment batches: one alloy, one temper, one thickness band");
        for batch in &report.batches {
            let band = match (&batch.over, &batch.up_to) {
                (None, None) => String::new(),
                (None, Some(end)) => format!(", up to {}", length_text(end)),
                (Some(start), None) => format!(", over {}", length_text(start)),
                (Some(start), Some(end)) => format!(", over {} to {}", length_text(start), length_text(end)),
            };
            let temper = batch.temper.as_ref().map(|temper| format!(", {temper}")).unwrap_or_default();
            let count = |(part, count): &(String, Option<u64>)| match count {
                Some(count) => format!("{count} x {part}"),
                None => part.clone(),
            };
            let mut parts: Vec<String> = batch.parts.iter().map(count).collect();
            if !batch.not_read.is_empty() {
                parts.push(mark_text(&batch.not_read));
            }
            page.item("- ", format!("{}{temper}{band}: {}", batch.material, parts.join(", ")));
        }
    }
    if !report.no_batches.is_empty() {
        page.gap();
        page.say(format!("Heat-treatment batches are not known: {}.", mark_text(&report.no_batches)));
    }
    for from in &report.figures {
        page.say(from);
    }
    page
}

impl super::Verdicts for TodoReport {
    fn outcome(&self) -> super::Outcome {
        super::Outcome::of(self.is_contradicted(), self.is_undecided())
    }
    fn not_read(&self) -> Marks {
        let of_unfinished = self.unfinished.iter().flat_map(|row| &row.not_read);
        self.not_known().into_iter().chain(of_unfinished.copied()).chain(self.no_batches.iter().copied()).collect()
    }
}
