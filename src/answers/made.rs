//! Parts made: their material, what they were formed on, who did and inspected each stage.

use super::asked::At;
use super::mark_text;
use super::rack::{hand_word, issue_name};
use crate::ids::{AirframeId, PartId};
use crate::jig::examine::Examiner;
use crate::layout::text::counted;
use crate::layout::{AnchorKind, Page, PageTable, RowWeight};
use crate::model::{FormedOn, FormingPlace, Loss, MadePart, Marks, MeantFor, Model};
use crate::quantity::Window;
use crate::shop::{FormedState, formed, not_inspected, not_read_of_formed};
use crate::source::Sources;
use crate::words::{date_text, named, tool_kind_word};
use serde::Serialize;

/// Parts made, with what is recorded of their making.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct MadeReport {
    /// The part that was asked for; `null`: all.
    pub part: Option<String>,
    /// The records of made parts, by part number.
    pub parts: Vec<MadeRow>,
    /// What was not read and leaves the list short.
    #[serde(skip)]
    pub not_read: Marks,
}

/// Parts of one record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct MadeRow {
    /// The part number.
    pub part: String,
    /// What it is.
    pub description: String,
    /// The issue that it was made to.
    pub issue: Option<String>,
    /// The hand marked on it.
    pub hand: Option<&'static str>,
    /// How many.
    pub quantity: u32,
    /// The marks on it.
    pub marks: Option<String>,
    /// The airframe that it is meant for.
    pub made_for: Option<String>,
    /// When it was made, as written.
    pub made: Option<String>,
    /// The airframe that it was reclaimed from.
    pub reclaimed_from: Option<String>,
    /// The batch of its material.
    pub material_batch: Option<String>,
    /// The certificate of its material.
    pub certificate: Option<String>,
    /// The heat-treatment batch.
    pub batch: Option<String>,
    /// The concessions and permits that it was made under.
    pub under: Vec<String>,
    /// The furthest stage of work.
    pub stage: Option<String>,
    /// The stages that were done, as they are written.
    pub work: Vec<StageRow>,
    /// The stages that were done and of which no inspection is recorded.
    pub not_inspected: Vec<String>,
    /// What it was formed on.
    pub formed_on: Vec<FormedRow>,
    /// Where it is written.
    pub at: At,
    /// What was not read and bears on it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// A stage of work that was done.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct StageRow {
    /// The stage.
    pub stage: String,
    /// Who did it.
    pub by: Option<String>,
    /// When, as written.
    pub date: Option<String>,
    /// Who inspected it.
    pub inspected_by: Option<String>,
    /// When it was inspected, as written.
    pub inspected: Option<String>,
}

/// What a part was formed on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct FormedRow {
    /// "plate P3, jig J14", or "form block T1".
    pub on: String,
    /// When, as written.
    pub date: String,
    /// What the plate or tool was on that day.
    pub was: FormedWord,
    /// The same in words.
    pub words: String,
    /// The survey that says so.
    pub survey: Option<String>,
    /// Where it is written.
    pub at: At,
    /// What was not read and bears on it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// What a plate or a tool was on the day that a part was formed on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FormedWord {
    /// For the part, and in tolerance by a survey.
    Surveyed,
    /// For the part by its record; not verified by measurement.
    RecordOnly,
    /// Wrong: for another part, of the other hand, out of tolerance, or not made yet.
    Wrong,
    /// Not known.
    Unknown,
    /// Something was not read.
    NotRead,
}

/// The parts made: of one part number, or all that are for an airframe or for none.
#[must_use]
pub fn made_report(
    model: &Model,
    part: Option<PartId>,
    airframe: Option<AirframeId>,
    examiner: &Examiner<'_>,
    sources: &Sources,
) -> MadeReport {
    let wanted = |made: &&MadePart| {
        let for_it = match (&made.made_for, airframe) {
            (Some(MeantFor::Airframe(of)), Some(airframe)) => *of == airframe,
            (Some(MeantFor::Lost(_)) | None, _) | (_, None) => true,
        };
        part.is_none_or(|part| made.part == part) && for_it
    };
    let rows = model.made_parts.iter().filter(wanted).map(|made| row(model, examiner, made, sources));
    let of_list = |loss: &Loss| {
        let named = part.is_none_or(|part| {
            let mut names = model.parts.names().filter(|name| loss.mentions.name(name)).peekable();
            names.peek().is_none() || names.any(|name| name == model.parts.name(part))
        });
        loss.whole && loss.may_be("MadePart") && named
    };
    MadeReport {
        part: part.map(|part| model.parts.name(part).to_owned()),
        parts: rows.collect(),
        not_read: model.losses.marks(of_list),
    }
}

fn row(model: &Model, examiner: &Examiner<'_>, made: &MadePart, sources: &Sources) -> MadeRow {
    let stages = model.config.stages.known();
    let stage = |stage: usize| stages.and_then(|stages| stages.names.get(stage).cloned()).unwrap_or_default();
    let mut not_read = model.losses.of_record(made.record);
    not_read.extend(model.losses.of_part(made.part));
    not_read.extend(model.losses.of_table("StagesOfWork"));
    let written = |window: &Option<Window>| window.as_ref().map(|window| window.text.clone());
    MadeRow {
        part: model.parts.name(made.part).to_owned(),
        description: model.parts[made.part].description.clone(),
        issue: issue_name(model, made.part, made.issue),
        hand: made.hand.map(hand_word),
        quantity: made.quantity,
        marks: made.marks.clone(),
        made_for: made.made_for.as_ref().map(|of| of.serial(model).to_owned()),
        made: written(&made.made),
        reclaimed_from: made.reclaimed.as_ref().map(|from| from.serial.clone()),
        material_batch: made.material_batch.clone(),
        certificate: made.certificate.clone(),
        batch: made.batch.clone(),
        under: made.under.clone(),
        stage: made.stage.map(stage),
        work: (made.work.iter())
            .map(|done| StageRow {
                stage: stage(done.stage),
                by: done.by.clone(),
                date: written(&done.date),
                inspected_by: done.inspected_by.clone(),
                inspected: written(&done.inspected),
            })
            .collect(),
        not_inspected: not_inspected(made).into_iter().map(stage).collect(),
        formed_on: made.formed_on.iter().map(|on| formed_row(model, examiner, made.part, on, sources)).collect(),
        at: At::of(&made.record.place(), sources),
        not_read,
    }
}

fn formed_row(model: &Model, examiner: &Examiner<'_>, part: PartId, on: &FormedOn, sources: &Sources) -> FormedRow {
    let state = formed(model, examiner, part, on);
    let not_read = not_read_of_formed(model, on, state);
    let known = not_read.is_empty();
    let was = match state {
        _ if !known => FormedWord::NotRead,
        FormedState::Surveyed(_) => FormedWord::Surveyed,
        FormedState::ByRecord => FormedWord::RecordOnly,
        FormedState::OtherPlate(..)
        | FormedState::OtherHand(_)
        | FormedState::HolesOut(_)
        | FormedState::NotYetMade
        | FormedState::OtherTool => FormedWord::Wrong,
        FormedState::NotDecided(_) | FormedState::ChangedSince | FormedState::NotRecorded => FormedWord::Unknown,
    };
    FormedRow {
        on: forming_place(model, on.on),
        date: on.date.text.clone(),
        was,
        words: if known { formed_words(model, state) } else { mark_text(&not_read) },
        survey: state.survey().filter(|_| known).map(|survey| model.surveys[survey].id.clone()),
        at: At::of(&on.place, sources),
        not_read,
    }
}

/// "plate P3, jig J14", or "form block T1".
fn forming_place(model: &Model, on: FormingPlace) -> String {
    match on {
        FormingPlace::Plate(jig, mounted) => {
            format!("plate {}, jig {}", model.jigs[jig].mounted[mounted].mark, model.jigs.name(jig))
        }
        FormingPlace::Tool(tool) => {
            let tool = &model.tools[tool];
            format!("{} {}", tool_kind_word(tool.kind), tool.mark)
        }
    }
}

/// What a plate or a tool was, in words.
fn formed_words(model: &Model, state: FormedState) -> String {
    let of = |survey: usize| format!("survey {}", model.surveys[survey].id);
    match state {
        FormedState::Surveyed(survey) => format!("for this part, in tolerance ({})", of(survey)),
        FormedState::ByRecord => "for this part, by record only".to_owned(),
        FormedState::OtherPlate(plate, Some(survey)) => {
            format!(
                "WRONG: its holes were those of {}, which is not for this part ({})",
                model.plates.name(plate),
                of(survey)
            )
        }
        FormedState::OtherPlate(plate, None) => {
            format!("WRONG: by its record it was {}, which is not for this part", model.plates.name(plate))
        }
        FormedState::OtherHand(survey) => format!("WRONG: its holes were of the other hand ({})", of(survey)),
        FormedState::HolesOut(survey) => format!("WRONG: holes were out of tolerance ({})", of(survey)),
        FormedState::NotDecided(survey) => format!("not decided by {}", of(survey)),
        FormedState::ChangedSince => "changed afterwards, and not surveyed before: not known".to_owned(),
        FormedState::NotRecorded => "what it was made to is not recorded".to_owned(),
        FormedState::NotYetMade => "WRONG: it was made only afterwards, by its record".to_owned(),
        FormedState::OtherTool => "WRONG: made to other parts, by its record".to_owned(),
    }
}

/// The parts made as a page.
#[must_use]
pub fn made_page(report: &MadeReport) -> Page {
    let of = report.part.as_ref().map_or(String::new(), |part| format!(" of {part}"));
    let mut page = Page::titled(format!("Parts made{of}: material, stages, inspections"));
    if !report.not_read.is_empty() {
        page.say(format!("Whether others were made is not known: {}.", mark_text(&report.not_read)));
    } else if report.parts.is_empty() {
        page.say("Nothing is entered as made or reclaimed.");
    }
    for row in report.parts.iter().filter(|row| row.tells()) {
        page.append(row_page(row));
    }
    let silent = report.parts.iter().filter(|row| !row.tells());
    let silent: Vec<String> = silent.map(row_words).collect();
    if !silent.is_empty() {
        page.gap();
        page.item("Nothing is recorded of material, tools, makers and inspections of: ", silent.join("; "));
    }
    page.gap();
    page
}

/// "27-1454, marks 537/3, blank cut".
fn row_words(row: &MadeRow) -> String {
    let marks = row.marks.as_ref().map(|marks| format!("marks {marks}"));
    let from = row.reclaimed_from.as_ref().map(|serial| format!("reclaimed from {serial}"));
    let words = [Some(row.part.clone()), marks, from, row.stage.clone()];
    words.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

fn row_page(row: &MadeRow) -> Page {
    let mut page = Page::default();
    let with = |lead: &str, text: &Option<String>| text.as_ref().map(|text| format!("{lead}{text}"));
    let issue = with("issue ", &row.issue);
    let marks = with("marks ", &row.marks);
    let made_for = with("for ", &row.made_for);
    let hand = row.hand.map(str::to_owned);
    let head = [Some(counted(row.quantity as usize, "off", "off")), issue, hand, marks, made_for];
    let description = if row.description.is_empty() { String::new() } else { format!(" {}", row.description) };
    page.heading(format!("{}{description}", row.part));
    page.anchor(AnchorKind::Part, &row.part);
    if !row.not_read.is_empty() {
        page.say(format!("Not all of its record is known: {}.", mark_text(&row.not_read)));
    }
    page.item_at("  ", head.into_iter().flatten().collect::<Vec<_>>().join(", "), row.at.to_string());
    let material = [with("batch ", &row.material_batch), with("certificate ", &row.certificate)];
    let material = material.into_iter().flatten().collect::<Vec<_>>().join(", ");
    let or_not = |text: String| if text.is_empty() { "not recorded".to_owned() } else { text };
    match &row.reclaimed_from {
        Some(serial) => page.item("  reclaimed from: ", serial),
        None => page.item("  material: ", or_not(material)),
    }
    if let Some(batch) = &row.batch {
        page.item("  heat treatment: ", format!("batch {batch}"));
    }
    if !row.under.is_empty() {
        page.item("  made under: ", row.under.join(", "));
    }
    for on in &row.formed_on {
        page.item_at("  formed on: ", format!("{}, {}: {}", on.on, date_text(&on.date), on.words), on.at.to_string());
    }
    if row.work.is_empty() {
        let stage = row.stage.as_ref().map_or(String::new(), |stage| format!("{stage}; "));
        page.item("  stages: ", format!("{stage}who did and inspected them is not recorded"));
        return page;
    }
    let or_dash = |cell: &Option<String>| cell.clone().unwrap_or_else(|| "-".to_owned());
    let lacking = |done: &StageRow| done.inspected_by.is_none();
    let table: PageTable = PageTable::of(&row.work)
        .words("Stage", |done| done.stage.clone())
        .words("Done by", |done| or_dash(&done.by))
        .words("On", |done| or_dash(&done.date))
        .words("Inspected by", |done| done.inspected_by.clone().unwrap_or_else(|| "NOT RECORDED".to_owned()))
        .words("On", |done| or_dash(&done.inspected))
        .into();
    let weights = row.work.iter().map(|done| if lacking(done) { RowWeight::Open } else { RowWeight::Sound });
    page.table(table.weighed(weights.collect()));
    if !row.not_inspected.is_empty() {
        page.item("  inspection not recorded: ", named(row.not_inspected.iter().map(String::as_str), "and"));
    }
    page
}

impl MadeRow {
    /// Whether anything is recorded of its making, or may be.
    fn tells(&self) -> bool {
        let material = self.material_batch.is_some() || self.certificate.is_some();
        material || !(self.work.is_empty() && self.formed_on.is_empty() && self.not_read.is_empty())
    }
}

impl MadeReport {
    /// Whether some part was formed on a plate or tool that was certainly wrong.
    #[must_use]
    pub fn is_wrong(&self) -> bool {
        self.parts.iter().flat_map(|row| &row.formed_on).any(|on| on.was == FormedWord::Wrong)
    }
}

impl super::Verdicts for MadeReport {
    fn outcome(&self) -> super::Outcome {
        super::Outcome::of(self.is_wrong(), false)
    }
    fn not_read(&self) -> Marks {
        let of_row = |row: &MadeRow| {
            row.not_read.iter().chain(row.formed_on.iter().flat_map(|on| &on.not_read)).copied().collect::<Vec<_>>()
        };
        self.parts.iter().flat_map(of_row).chain(self.not_read.iter().copied()).collect()
    }
}
