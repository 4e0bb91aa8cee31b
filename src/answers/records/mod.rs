//! What was read and taken in: a short tally for people, and the whole of it for other programs.

mod entered;
mod says;

pub use entered::{
    Entered, EnteredAirframe, EnteredAssumption, EnteredBlock, EnteredBuildState, EnteredCandidate, EnteredClaim,
    EnteredDrawing, EnteredEvidence, EnteredFrame, EnteredIssue, EnteredMod, EnteredOneOf, EnteredPart, EnteredPlate,
    EnteredPosition, EnteredProduction, EnteredRetrospective, WrittenProduction, WrittenRetrospective,
};
pub use says::{Says, When};

use super::mark_text;
use crate::finding::{FileId, RecordRef};
use crate::ids::AirframeId;
use crate::layout::text::counted;
use crate::layout::{Page, PageTable};
use crate::model::{Airframe, Marks, Model};
use crate::schema::{RECORD_KINDS, Record, Standing};
use crate::source::Sources;
use serde::Serialize;
use std::collections::BTreeMap;

/// What was read from the project folder and taken in.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RecordsReport<'r> {
    /// How many records of each kind could be read, in the order in which the kinds are documented; kinds of which
    /// there is none are left out.
    pub kinds: Vec<KindTally>,
    /// The files, in the order of their paths.
    pub files: Vec<FileTally>,
    /// The airframes, in the order of their serials.
    pub airframes: Vec<AirframeTally>,
    /// The dossiers as they were taken in; `null` where something was not read, because programs that work from them
    /// would take what is lost for absent.
    pub entered: Option<Entered>,
    /// Every record that could be read, as it is written, in the order of files and of records within them. What each
    /// holds is what `modstate explain records` tells of its kind: what is left out is `null`, an empty list or `false`.
    pub written: Vec<WrittenRecord<'r>>,
    /// What the type is called.
    #[serde(skip)]
    pub type_name: Option<String>,
    /// What was not read and bears on its heading or its counts.
    #[serde(skip)]
    pub not_read: Marks,
}

/// A record as it is written.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WrittenRecord<'r> {
    /// The path below the project folder, with `/` between its parts.
    pub file: String,
    /// The record: an object with one field, the kind, and in that its fields.
    pub record: &'r Record,
    /// What of it was not taken in.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// The records of one kind.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct KindTally {
    /// The kind, as dossiers write it.
    pub kind: String,
    /// How many records could be read.
    pub read: usize,
    /// What was not read and bears on it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// The records of one file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct FileTally {
    /// The path below the project folder, with `/` between its parts.
    pub file: String,
    /// How many records its list holds.
    pub records: usize,
    /// How many of them could be read.
    pub read: usize,
    /// What was not read and bears on it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// The dossier of one airframe, as it was taken in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct AirframeTally {
    /// Its serial.
    pub airframe: String,
    /// When it was built, as written.
    pub built: String,
    /// Items in its evidence register.
    pub evidence: usize,
    /// Firm claims.
    pub firm: usize,
    /// Doubtful claims, those of assumptions included.
    pub doubtful: usize,
    /// How many of the doubtful claims come from assumptions.
    pub assumed: usize,
    /// Named build states.
    pub build_states: usize,
    /// What was not read and bears on it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// Tells what was read and taken in.
#[must_use]
pub fn records_report<'r>(model: &Model, records: &'r [(RecordRef, Record)], sources: &Sources) -> RecordsReport<'r> {
    let mut of_kind: BTreeMap<&str, usize> = BTreeMap::new();
    let mut of_file: BTreeMap<FileId, usize> = BTreeMap::new();
    for (at, record) in records {
        *of_kind.entry(record.kind()).or_default() += 1;
        *of_file.entry(at.file).or_default() += 1;
    }
    let written = |(at, record): &'r (RecordRef, Record)| WrittenRecord {
        file: sources.file(at.file).path.to_string_lossy().into_owned(),
        record,
        not_read: model.losses.of_record(*at),
    };
    let kinds = RECORD_KINDS.iter().filter_map(|kind| {
        let read = *of_kind.get(kind)?;
        let not_read = model.losses.of_kinds(&[kind]);
        Some(KindTally { kind: (*kind).to_owned(), read, not_read })
    });
    let files = (0u32..).map(FileId).zip(sources.files()).map(|(id, file)| FileTally {
        file: file.path.to_string_lossy().into_owned(),
        records: file.record_count(),
        read: of_file.get(&id).copied().unwrap_or(0),
        not_read: model.losses.marks(|loss| loss.place.file() == id),
    });
    RecordsReport {
        kinds: kinds.collect(),
        files: files.collect(),
        airframes: model.airframes.iter().map(|(id, serial, airframe)| tally(model, id, serial, airframe)).collect(),
        entered: model.losses.is_empty().then(|| Entered::of(model, records)),
        written: records.iter().map(written).collect(),
        type_name: model.type_of.as_ref().map(|t| t.name.clone()),
        not_read: model.losses.marks(|_| true),
    }
}

fn tally(model: &Model, id: AirframeId, serial: &str, airframe: &Airframe) -> AirframeTally {
    let claims = || airframe.claims.iter().map(|(_, _, claim)| claim);
    // An assumption about what no claim says counts modifications, and a lost one is among none.
    let counts = !airframe.unrecorded.is_empty();
    let uncounted = if counts { model.losses.of_kinds(&["Modification"]) } else { Marks::new() };
    AirframeTally {
        airframe: serial.to_owned(),
        built: airframe.built.text.clone(),
        evidence: airframe.evidence.len(),
        firm: claims().filter(|claim| claim.standing == Standing::Firm).count(),
        doubtful: claims().filter(|claim| claim.standing == Standing::Doubtful).count(),
        assumed: claims().filter(|claim| claim.assumed.is_some()).count(),
        build_states: airframe.build_states.len(),
        not_read: model
            .losses
            .marks(|loss| loss.concerns(id) && !loss.touches.mods.is_empty())
            .iter()
            .chain(&uncounted)
            .chain(&model.losses.of_dossier(id, &["Airframe", "Evidence", "Claim", "Assumption", "BuildState"]))
            .copied()
            .collect(),
    }
}

/// The report as text: the tally alone.
#[must_use]
pub fn records_page(report: &RecordsReport<'_>) -> Page {
    let read: usize = report.files.iter().map(|file| file.read).sum();
    let (files, records) = (counted(report.files.len(), "file", "files"), counted(read, "record", "records"));
    let name = report.type_name.as_deref().unwrap_or("no type");
    let mut page = Page::titled(format!("{name}: {records} read from {files}."));
    let unread: usize = report.files.iter().map(|file| file.records - file.read.min(file.records)).sum();
    if unread > 0 {
        let message = format!("{} could not be read: not read, see below.", counted(unread, "record", "records"));
        page.say(&message);
    }
    let number = |n: usize| n.to_string();
    let marked = |n: usize, lost: &Marks| if lost.is_empty() { number(n) } else { format!("{n} {}", mark_text(lost)) };
    let kinds = PageTable::of(&report.kinds)
        .words("Kind of record", |kind| kind.kind.clone())
        .figures("Read", |kind| marked(kind.read, &kind.not_read));
    let files = PageTable::of(&report.files)
        .words("File", |file| file.file.clone())
        .figures("Records", |file| number(file.records))
        .figures("Read", |file| marked(file.read, &file.not_read));
    let airframes = PageTable::of(&report.airframes)
        .words("Airframe", |of| {
            let mark = if of.not_read.is_empty() { String::new() } else { format!(" {}", mark_text(&of.not_read)) };
            format!("{}{mark}", of.airframe)
        })
        .words("Built", |of| of.built.clone())
        .figures("Evidence", |of| number(of.evidence))
        .figures("Firm", |of| number(of.firm))
        .figures("Doubtful", |of| number(of.doubtful))
        .figures("Assumed", |of| number(of.assumed))
        .figures("Build states", |of| number(of.build_states));
    for table in [PageTable::from(kinds), files.into(), airframes.into()] {
        page.gap();
        page.table(table);
    }
    let sentence = "Firm and doubtful are claims; assumed are those of the doubtful ones that an assumption makes.";
    page.say(sentence);
    page
}

impl crate::answers::Verdicts for RecordsReport<'_> {
    fn outcome(&self) -> crate::answers::Outcome {
        crate::answers::Outcome::Settled
    }
    fn not_read(&self) -> Marks {
        self.not_read.clone()
    }
}
