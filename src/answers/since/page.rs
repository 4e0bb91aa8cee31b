//! What changed since an older copy, as a page.

use super::{AnswerKind, NOT_READ, SinceAnswer, SinceReasons, SinceReport, SinceWhy};
use crate::answers::asked::STAR;
use crate::answers::{At, mark_text};
use crate::layout::text::counted;
use crate::layout::{Page, PageTable};

/// The kinds of answers, in the order in which they are read, with what several of them are called.
const KINDS: [(AnswerKind, &str, &str, &str); 7] = [
    (AnswerKind::Modification, "Modification", "modification", "modifications"),
    (AnswerKind::Position, "Position", "position", "positions"),
    (AnswerKind::Bill, "Part on the bill", "bill total", "bill totals"),
    (AnswerKind::Splice, "Splice point", "splice point", "splice points"),
    (AnswerKind::Plate, "Jig plate", "jig plate", "jig plates"),
    (AnswerKind::Jig, "Jig", "jig", "jigs"),
    (AnswerKind::Rack, "Part made", "part made", "parts made"),
];

/// Why an answer changed, in words.
fn why_words(why: Option<&SinceWhy>) -> String {
    match why {
        None => String::new(),
        Some(SinceWhy::Alone(records)) => records.join("; or alone: "),
        Some(SinceWhy::Together(records)) => match records.as_slice() {
            [one] => format!("{one}, and others"),
            several => format!("together: {}", several.join(", ")),
        },
        Some(SinceWhy::SeveralWays) => "several records, in more than one way".to_owned(),
    }
}

/// The report as text.
#[must_use]
pub fn since_page(report: &SinceReport) -> Page {
    let mut page = Page::titled("What changed since an older copy");
    page.item("Older: ", &report.older);
    page.item("Now:   ", report.asked.line());
    page.append(report.asked.remarks());
    page.append(since_body(report));
    page
}

/// The same without its heading.
pub(crate) fn since_body(report: &SinceReport) -> Page {
    let mut page = Page::default();
    if !report.older_read {
        page.say("Not all of the older copy was read: what was lost there may be the only difference.");
    }
    let (unknown, changed): (Vec<&SinceAnswer>, Vec<&SinceAnswer>) =
        report.answers.iter().partition(|answer| answer.not_known);
    page.gap();
    let lost = if report.not_read.is_empty() { String::new() } else { format!("; {}", mark_text(&report.not_read)) };
    let count = counted(changed.len(), "answer has changed", "answers have changed");
    page.say(format!("{count}; {} stay{lost}.", report.stay));
    for (kind, heading, one, several) in KINDS {
        let of_kind = || changed.iter().filter(|answer| answer.kind == kind);
        if of_kind().next().is_some() {
            page.gap();
            page.say(counted(of_kind().count(), one, several));
            let none = || "none".to_owned();
            let mut columns = PageTable::of(of_kind().copied())
                .words(heading, |answer| answer.name.clone())
                .words("Then", |answer| answer.before.clone().unwrap_or_else(none))
                .words("Now", |answer| answer.now.clone().unwrap_or_else(none));
            if report.reasons == SinceReasons::Tried {
                columns = columns.words("Because of", |answer| why_words(answer.why.as_ref()));
            }
            page.table(columns);
        }
        let unknown: Vec<&str> =
            unknown.iter().filter(|answer| answer.kind == kind).map(|answer| answer.name.as_str()).collect();
        if !unknown.is_empty() {
            page.item(format!("  {several}, {NOT_READ}: "), unknown.join(", "));
        }
    }
    page.gap();
    if report.records.is_empty() {
        page.say("No record that was read says anything else than then.");
    } else {
        page.say(format!("{}:", counted(report.records.len(), "record has changed", "records have changed")));
        let place = |at: &Option<At>| at.as_ref().map(ToString::to_string).unwrap_or_default();
        page.table(
            PageTable::of(&report.records)
                .words("Record", |record| record.record.clone())
                .words("Change", |record| record.change.word().to_owned())
                .places("Written", |record| place(&record.at)),
        );
    }
    page.gap();
    page.say(reasons_words(report, !changed.is_empty()));
    let starred = |text: &Option<String>| text.as_deref().is_some_and(|text| text.contains("(* "));
    if changed.iter().any(|answer| starred(&answer.before) || starred(&answer.now)) {
        page.say(STAR);
    }
    page.say("Records of other airframes are left aside.");
    page.gap();
    page
}

/// How it is known which record changed which answer, or why it is not.
fn reasons_words(report: &SinceReport, changed: bool) -> &'static str {
    match report.reasons {
        _ if !changed => "",
        SinceReasons::Tried => {
            "Because of: each record that changed was tried alone in the older copy; where none alone makes the answer, \
             each was put back alone, and those without which it would be another stand together."
        }
        SinceReasons::NoFolder => {
            "Which record changed which answer is not known from a book alone: name a folder with the older dossiers, \
             a checkout, with --older."
        }
        SinceReasons::TooMany => {
            "Which record changed which answer was not tried, because too many records changed: compare with a later copy."
        }
        SinceReasons::NotRead => "Which record changed which answer is not known while not all is read.",
    }
}
