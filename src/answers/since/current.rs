//! Whether a printed sheet is still current.

use super::{SinceReport, since_body};
use crate::answers::{Asked, Outcome, Verdicts, mark_text};
use crate::layout::{Page, PageTable};
use crate::model::Marks;
use serde::Serialize;

/// Whether a printed sheet of the build book is still current, by its fingerprint.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct CurrentReport {
    /// The fingerprint that was read off.
    pub fingerprint: String,
    /// Which airframe and state.
    pub asked: Asked,
    /// The sheets of the book as it would be made now. The printed one is current if one of them is it.
    pub sheets: Vec<CurrentSheet>,
    /// The older copy that was named, if the sheet is not current.
    pub older: Option<String>,
    /// What changed since that copy.
    pub since: Option<SinceReport>,
}

/// A sheet as it would be made now.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct CurrentSheet {
    /// Which.
    pub sheet: String,
    /// Its fingerprint; `null` where something of it was not read.
    pub fingerprint: Option<String>,
    /// Whether it is the printed one.
    pub is_it: bool,
    /// Whether the printed one is what this one was in the older copy.
    pub was_it: bool,
    /// What of it was not read.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

impl CurrentReport {
    /// What of the sheets was not read.
    fn lost(&self) -> Marks {
        self.sheets.iter().flat_map(|sheet| &sheet.not_read).copied().collect()
    }

    /// What it comes to, in a sentence or two.
    fn verdict(&self) -> String {
        let code = &self.fingerprint;
        if let Some(sheet) = self.sheets.iter().find(|sheet| sheet.is_it) {
            return format!("{code} is current: made now, the sheet \u{201c}{}\u{201d} says the same.", sheet.sheet);
        }
        if let Some(sheet) = self.sheets.iter().find(|sheet| sheet.was_it) {
            let name = &sheet.sheet;
            let now = if let Some(now) = &sheet.fingerprint {
                format!("NOT current: the sheet \u{201c}{name}\u{201d} now has the fingerprint {now}")
            } else {
                let lost = mark_text(&self.lost());
                format!("not known to be current: the sheet \u{201c}{name}\u{201d} was not wholly read ({lost})")
            };
            return format!("{code} is {now}. Do not work from the printed one; print it again.");
        }
        if self.sheets.iter().any(|sheet| sheet.fingerprint.is_none()) {
            let lost = mark_text(&self.lost());
            return format!(
                "Whether {code} is current is not known: of sheets that were not wholly read there is no fingerprint ({lost})."
            );
        }
        let than = match &self.older {
            None => String::new(),
            Some(older) => {
                format!(" In {older} no sheet of this state has it either: the sheet is of yet another copy.")
            }
        };
        format!(
            "{code} is NOT current, or is not of this state: made now, no sheet has this fingerprint. Compare airframe, build \
             state and day with the head of the sheet; do not work from it until they agree.{than}"
        )
    }
}

/// The report as text.
#[must_use]
pub fn current_page(report: &CurrentReport) -> Page {
    let mut page = Page::titled(format!("Sheet with the fingerprint {}", report.fingerprint));
    page.item("Compared with: ", format!("{}, as the dossiers are now", report.asked.line()));
    page.append(report.asked.remarks());
    page.gap();
    page.say(report.verdict());
    if report.sheets.iter().any(|sheet| sheet.is_it) {
        page.gap();
        return page;
    }
    page.gap();
    let mark = |sheet: &CurrentSheet| if sheet.was_it { "printed sheet" } else { "" }.to_owned();
    page.table(
        PageTable::of(&report.sheets)
            .words("Sheet, made now", |sheet| sheet.sheet.clone())
            .words("Fingerprint", |sheet| sheet.fingerprint.clone().unwrap_or_else(|| mark_text(&sheet.not_read)))
            .words("", mark),
    );
    if let (Some(since), Some(older)) = (&report.since, &report.older) {
        page.heading(format!("What changed since {older}"));
        page.append(since_body(since));
        page.say(
                "A sheet has another fingerprint too where only a reason, a piece of evidence or a wording on it changed, or \
                 where another version of the program words it otherwise.",
            );
        page.gap();
    } else {
        page.gap();
        page.say("To see what changed since it was printed, name what it was made from with --older: the file of the book, or a \
                      folder with the older dossiers.");
        page.gap();
    }
    page
}

impl Verdicts for CurrentReport {
    fn outcome(&self) -> Outcome {
        Outcome::of(!self.sheets.iter().any(|sheet| sheet.is_it), false)
    }
    fn not_read(&self) -> Marks {
        let since = self.since.iter().flat_map(Verdicts::not_read);
        let sheets = self.sheets.iter().flat_map(|sheet| &sheet.not_read);
        since.chain(sheets.copied()).collect()
    }
}
