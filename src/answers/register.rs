//! The evidence register of an airframe, with the claims that rest on each item.

use super::answer::mark_text;
use super::asked::At;
use super::reasons::{EvidenceItem, evidence_item};
use crate::ids::ClaimId;
use crate::layout::{AnchorKind, Page, PageTable, RowWeight};
use crate::model::{Loss, Marks, PaperPlace};
use crate::resolve::{Reason, Resolver};
use crate::schema::Standing;
use crate::source::Sources;
use crate::words::{paper_words, standing_word, worded};
use serde::Serialize;

/// The evidence register of an airframe.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct RegisterReport {
    /// The airframe.
    pub airframe: String,
    /// Its evidence, in the order of the register.
    pub evidence: Vec<EvidenceRow>,
    /// What is claimed on it.
    pub claims: Vec<ClaimRow>,
    /// What was not read and bears on which items and claims there are.
    #[serde(skip)]
    pub not_read: Marks,
}

/// An item of the register.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct EvidenceRow {
    /// The item.
    #[serde(flatten)]
    pub item: EvidenceItem,
    /// The claims that rest on it.
    pub claims: Vec<String>,
}

/// A claim.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ClaimRow {
    /// Its name.
    pub claim: String,
    /// What it says, a sentence without a full stop.
    pub says: String,
    /// `firm` or `doubtful`.
    pub standing: &'static str,
    /// Whether an assumption of the dossier makes it.
    pub assumed: bool,
    /// Where on its evidence it is read.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub read_on: Vec<ReadOn>,
    /// Where it is written.
    pub at: At,
}

/// Where on an item of evidence a claim is read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ReadOn {
    /// The item.
    pub evidence: String,
    /// The place on it.
    #[serde(flatten)]
    pub spot: PaperPlace,
}

/// The evidence register of the airframe of a resolver.
#[must_use]
pub fn register_report(resolver: &Resolver<'_>, sources: &Sources) -> RegisterReport {
    let history = resolver.history();
    let airframe = history.airframe();
    let written = |id: &ClaimId| airframe.claims[*id].assumed.is_none();
    let row = |id| {
        let rests = airframe.claims.iter().filter(|(_, _, claim)| claim.rests_on.contains(&id));
        EvidenceRow {
            item: evidence_item(resolver, id, sources),
            claims: rests.map(|(_, name, _)| name.to_owned()).collect(),
        }
    };
    let claim = |id: ClaimId| {
        let entry = &airframe.claims[id];
        let words = worded(&Reason::Claim(id), history, resolver.target());
        ClaimRow {
            claim: airframe.claims.name(id).to_owned(),
            says: words.text,
            standing: standing_word(entry.standing),
            assumed: !written(&id),
            read_on: (entry.read_on.iter())
                .map(|(id, spot)| ReadOn { evidence: airframe.evidence.name(*id).to_owned(), spot: spot.clone() })
                .collect(),
            at: At::of(&words.place, sources),
        }
    };
    let of_kind = |loss: &Loss| loss.may_be("Evidence") || loss.may_be("Claim") || loss.may_be("Assumption");
    RegisterReport {
        airframe: airframe.serial.text.clone(),
        evidence: airframe.evidence.ids().map(row).collect(),
        // What an assumption stands for is one claim for each modification, said once with the assumption.
        claims: airframe.claims.ids().filter(written).map(claim).collect(),
        not_read: history.model.losses.marks(|loss| loss.concerns(history.id) && of_kind(loss)),
    }
}

/// The register as a page.
#[must_use]
pub fn register_page(report: &RegisterReport) -> Page {
    let mut page = Page::titled(format!("Evidence register of {}", report.airframe));
    if !report.not_read.is_empty() {
        page.say(format!("Whether there are other items or claims is not known: {}.", mark_text(&report.not_read)));
    } else if report.evidence.is_empty() {
        page.say("No evidence is entered.");
    }
    let known = |row: &EvidenceRow, cell: &str| {
        if row.item.not_read.is_empty() { cell.to_owned() } else { mark_text(&row.item.not_read) }
    };
    let or_dash = |cell: &Option<String>| cell.clone().unwrap_or_else(|| "-".to_owned());
    let table: PageTable = PageTable::of(&report.evidence)
        .words("Item", |row| row.item.id.clone())
        .words("Kind", |row| known(row, &row.item.kind))
        .words("Reference", |row| known(row, &row.item.reference))
        .words("Dated", |row| or_dash(&row.item.date))
        .words("Kept", |row| or_dash(&row.item.kept))
        .words("Scans", |row| paper_words(&row.item.shown_in))
        .words("Grade", |row| format!("{:?}", row.item.grade))
        .words("Claims", |row| row.claims.join(", "))
        .places("Written", |row| row.item.at.to_string())
        .into();
    if !table.is_empty() {
        page.gap();
        page.table(table.about(AnchorKind::Evidence, 0));
        page.say("Grades are our own scale: A the metal itself or a record by those who did the work, B a record of the time made by \
                  others or a clear photograph, C a copy, an unclear photograph or a later record, D a recollection.");
    }
    if !report.claims.is_empty() {
        page.heading("What is claimed on it");
        let table: PageTable = PageTable::of(&report.claims)
            .words("Claim", |row| row.claim.clone())
            .words("Says", |row| row.says.clone())
            .words("Read on", |row| {
                let spots = row.read_on.iter();
                let spots = spots.map(|on| format!("{}: {}", on.evidence, paper_words(std::slice::from_ref(&on.spot))));
                spots.collect::<Vec<_>>().join("; ")
            })
            .words("Standing", |row| row.standing.to_owned())
            .places("Written", |row| row.at.to_string())
            .into();
        let doubtful = standing_word(Standing::Doubtful);
        let weight = |row: &ClaimRow| if row.standing == doubtful { RowWeight::Open } else { RowWeight::Sound };
        page.table(table.weighed(report.claims.iter().map(weight).collect()).about(AnchorKind::Claim, 0));
    }
    page
}

impl super::Verdicts for RegisterReport {
    fn outcome(&self) -> super::Outcome {
        super::Outcome::Settled
    }
    fn not_read(&self) -> Marks {
        self.evidence.iter().flat_map(|row| &row.item.not_read).chain(&self.not_read).copied().collect()
    }
}
