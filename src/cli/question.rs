//! What is asked of one airframe: resolve it, report it, add what the dossiers' findings say.

use super::args::{Format, Which};
use super::pick::{self, Book};
use super::{Answer, Around, Trouble, json, suppose, writing};
use crate::answers::{Asked, NotRead, Outcome, Picked, Verdicts, bill_trouble_words, finished, mark_text};
use crate::bill::{BillScope, NoBill};
use crate::check::CheckScope;
use crate::finding::{Finding, Label, Place, RecordRef, Severity};
use crate::graph::Graph;
use crate::ids::{AirframeId, JigId};
use crate::jig::examine::Examiner;
use crate::jig::not_read_of_jigs;
use crate::layout::{CAUTION, Page, Style, render_findings};
use crate::model::{Marks, Model};
use crate::project::Project;
use crate::resolve::{Basis, Limits, Resolver, Target};
use crate::schema::Record;
use serde::Serialize;
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::Path;

pub(super) fn basis_of(doubtful: bool) -> Basis {
    if doubtful { Basis::Held } else { Basis::Firm }
}

/// An airframe of a model, ready to answer.
pub(super) fn resolver_of<'m>(
    model: &'m Model,
    graph: &'m Graph,
    airframe: AirframeId,
    target: Target,
    picked: Picked,
) -> Result<(Resolver<'m>, Asked), Trouble> {
    let resolver = Resolver::new(model, graph, airframe, target, Limits::default()).map_err(|early| {
        let serial = model.airframes.name(airframe);
        let message = format!("`{serial}` was not certainly built by {}", target.day);
        Trouble::new(message).help(format!("ask for {} or later", early.built_by))
    })?;
    let asked = Asked::of(&resolver, picked);
    Ok((resolver, asked))
}

/// Why there is no bill, and with which exit code.
pub(super) fn no_bill(why: &NoBill, book: Book<'_>) -> Trouble {
    let words = bill_trouble_words(why, book.model);
    match why {
        NoBill::NotRead(marks) => book.not_read(&words, marks),
        NoBill::NoAirframePart | NoBill::Loop => Trouble::stops_work(words),
        NoBill::NotFitted | NoBill::TooMany(_) | NoBill::TooLong(_) | NoBill::TooDeep(_) => Trouble::new(words),
    }
}

/// A question about one airframe of a project.
pub(super) struct AirframeQuestion<'a> {
    pub(super) project: &'a Project,
    /// The project's, with what is supposed for this run.
    pub(super) model: &'a Model,
    pub(super) graph: &'a Graph,
    pub(super) format: Format,
    pub(super) style: Style,
    pub(super) around: &'a Around,
}

/// One part of an answer: how it came out, and what makes its text or its JSON, whichever is asked for.
pub(super) struct AnswerPart<'a> {
    outcome: Outcome,
    not_read: Marks,
    shown: PartText<'a>,
    json: Box<dyn Fn() -> serde_json::Value + 'a>,
}

/// What makes the text of a part.
enum PartText<'a> {
    /// A page; what was not read and the caution are put under it.
    Page(Box<dyn Fn() -> Page + 'a>),
    /// Whole as it is: a drawing, which carries them itself, or a table for programs, which has a column for them.
    Whole(Box<dyn Fn() -> String + 'a>),
}

impl<'a> AnswerPart<'a> {
    /// Of a report, whose JSON is the report itself.
    pub(super) fn of<R: Verdicts + Serialize>(report: &'a R, page: impl Fn() -> Page + 'a) -> AnswerPart<'a> {
        AnswerPart::made(report.outcome(), report.not_read(), page, move || value(report))
    }
    /// Of a text that carries its own caution and says itself what was not read.
    pub(super) fn whole(outcome: Outcome, not_read: Marks, text: impl Fn() -> String + 'a) -> AnswerPart<'a> {
        AnswerPart {
            outcome,
            not_read,
            shown: PartText::Whole(Box::new(text)),
            json: Box::new(|| serde_json::Value::Null),
        }
    }
    /// That a list of all there are of a kind may be short; nothing if all were read.
    pub(super) fn short(kind: &'static str, not_read: &Marks) -> Option<AnswerPart<'a>> {
        let marked = mark_text(not_read);
        let page = move || {
            let mut page = Page::default();
            page.say(format!("Whether there is another {kind} is not known: {marked}."));
            page.gap();
            page
        };
        let json = move || serde_json::json!({ kind: null });
        let part = || AnswerPart::made(Outcome::Settled, not_read.clone(), page, json);
        (!not_read.is_empty()).then(part)
    }
    /// Of something whose JSON is made apart.
    pub(super) fn made(
        outcome: Outcome,
        not_read: Marks,
        page: impl Fn() -> Page + 'a,
        json: impl Fn() -> serde_json::Value + 'a,
    ) -> AnswerPart<'a> {
        AnswerPart { outcome, not_read, shown: PartText::Page(Box::new(page)), json: Box::new(json) }
    }
}

impl<'a> AirframeQuestion<'a> {
    /// What names are looked up in.
    pub(super) fn book(&self) -> Book<'a> {
        Book { model: self.model, sources: &self.project.sources }
    }

    /// The day that a sheet is printed with: the one named, else today.
    pub(super) fn printed(&self, named: Option<&str>) -> Result<String, Trouble> {
        named.map_or_else(|| Ok(self.around.today.clone()), |text| Ok(pick::day(text)?.to_string()))
    }

    /// How much of the airframe a bill covers.
    pub(super) fn bill_scope(&self, of: Option<&str>) -> Result<BillScope, Trouble> {
        pick::bill_scope(self.book(), of)
    }

    /// An airframe ready to answer about the state asked for.
    pub(super) fn resolver(&self, serial: Option<&str>, which: &Which) -> Result<(Resolver<'a>, Asked), Trouble> {
        let airframe = pick::airframe(self.book(), serial)?;
        let (target, picked) = pick::target(self.book(), airframe, which)?;
        let (resolver, mut asked) = self.resolver_for(airframe, target, picked)?;
        asked.supposed = suppose::supposed_words(which);
        Ok((resolver, asked))
    }

    pub(super) fn resolver_for(
        &self,
        airframe: AirframeId,
        target: Target,
        picked: Picked,
    ) -> Result<(Resolver<'a>, Asked), Trouble> {
        resolver_of(self.model, self.graph, airframe, target, picked)
    }

    /// A report on a jig, or on every jig, in the state that it is set for unless another is asked for.
    pub(super) fn of_jigs<R>(
        &self,
        name: Option<&str>,
        which: &Which,
        report: impl Fn(&mut Resolver<'_>, Asked, JigId, &Examiner<'_>) -> R,
    ) -> Result<Vec<(AirframeId, R)>, Trouble> {
        let mut reports = Vec::new();
        let examiner = Examiner::new(self.model);
        for jig in pick::jigs(self.book(), name)? {
            let asked_for = which.airframe.is_some() || which.on.is_some() || which.build.is_some();
            let (mut resolver, asked) = match self.model.jigs[jig].build_state() {
                Some((airframe, state)) if !asked_for => {
                    let day = self.model.airframes[airframe].build_states[state].date;
                    self.resolver_for(airframe, Target { day, build_state: Some(state) }, Picked::JigSetFor)?
                }
                None if !asked_for => {
                    pick::jig_set_for(self.book(), jig)?;
                    self.resolver(None, which)?
                }
                _ => self.resolver(which.airframe.as_deref(), which)?,
            };
            let report = report(&mut resolver, asked, jig, &examiner);
            reports.push((resolver.history().id, report));
        }
        Ok(reports)
    }

    pub(super) fn answer_on_jigs<R: Verdicts + Serialize>(
        &self,
        reports: &[(AirframeId, R)],
        all: bool,
        page: impl Fn(&R) -> Page + Copy,
    ) -> Answer {
        let airframes: Vec<AirframeId> = reports.iter().map(|(airframe, _)| *airframe).collect();
        let mut parts: Vec<AnswerPart<'_>> =
            reports.iter().map(|(_, report)| AnswerPart::of(report, move || page(report))).collect();
        parts.extend(AnswerPart::short("jig", &if all { not_read_of_jigs(self.model, None) } else { Marks::new() }));
        self.answer(&airframes, BTreeSet::new(), &parts)
    }

    /// The answer, with the findings that stop work in the dossiers of these airframes and in these records.
    pub(super) fn answer(
        &self,
        airframes: &[AirframeId],
        mut records: BTreeSet<RecordRef>,
        parts: &[AnswerPart<'_>],
    ) -> Answer {
        for airframe in airframes {
            records.extend(records_of(self.project, self.model.airframes.name(*airframe)));
        }
        let findings = if records.is_empty() { Vec::new() } else { self.findings(airframes) };
        answer(self.project, parts, &stops_in(&findings, &records), self.format, self.style)
    }

    /// An answer into the file that was named for it, if one was: its own text, or other bytes in its place. What it is
    /// called stands in what is then printed.
    pub(super) fn put(
        &self,
        answer: Answer,
        out: Option<&Path>,
        what: &str,
        bytes: Option<&[u8]>,
    ) -> Result<Answer, Trouble> {
        let Some(out) = out else { return Ok(answer) };
        let bytes = bytes.unwrap_or(answer.out.as_bytes());
        writing::write(&self.around.folder.join(out), bytes, writing::Old::Replace)?;
        Ok(Answer { out: format!("The {what} is in {}.\n", out.display()), ..answer })
    }

    /// What was found of these airframes once the dossiers were taken in.
    pub(super) fn findings(&self, airframes: &[AirframeId]) -> Vec<Finding> {
        self.project.check_taken_in(self.model, self.graph, CheckScope::Airframes(airframes))
    }
}

/// An answer: its parts in the format asked for, each with what was not read and the caution; and on standard error the
/// findings that it rests on.
pub(super) fn answer(
    project: &Project,
    parts: &[AnswerPart<'_>],
    stops: &[Finding],
    format: Format,
    style: Style,
) -> Answer {
    let losses = &project.model.losses;
    let not_read = |part: &AnswerPart<'_>| NotRead::list(&part.not_read, losses, &project.sources);
    let out = match format {
        Format::Json => {
            let of_part = |part: &AnswerPart<'_>| {
                let (mut json, lost) = ((part.json)(), not_read(part));
                if let Some(object) = json.as_object_mut() {
                    object.insert("caution".to_owned(), CAUTION.into());
                    if !lost.is_empty() {
                        object.insert("not_read".to_owned(), value(&lost));
                    }
                }
                json
            };
            match parts {
                [one] => json(&of_part(one)),
                several => json(&several.iter().map(of_part).collect::<Vec<_>>()),
            }
        }
        Format::Text | Format::Csv | Format::Xlsx => {
            let texts = parts.iter().map(|part| match &part.shown {
                PartText::Page(page) if format == Format::Csv => finished(page(), &not_read(part)).csv(),
                PartText::Page(page) => finished(page(), &not_read(part)).text(style),
                PartText::Whole(text) => text(),
            });
            texts.collect::<Vec<_>>().join("\n\n")
        }
    };
    let marks: Marks = parts.iter().flat_map(|part| part.not_read.iter().copied()).collect();
    let causes = causes(project, &marks);
    let found: Vec<Finding> = stops.iter().chain(causes.iter().copied()).cloned().collect();
    let mut err = String::new();
    if !found.is_empty() {
        let (count, affect) = if found.len() == 1 {
            ("1 finding that stops work".to_owned(), "affects")
        } else {
            (format!("{} findings that stop work", found.len()), "affect")
        };
        writeln!(err, "Warning: {count} {affect} this answer\n").expect("a text takes every line");
        err.push_str(&render_findings(&found, &project.sources, style));
    }
    let outcomes = parts.iter().map(|part| part.outcome);
    let outcome = outcomes.chain([Outcome::of(!found.is_empty() || !marks.is_empty(), false)]).max();
    Answer { out, err, code: outcome.unwrap_or_default().exit_code() }
}

/// The findings of reading that say what is wrong with these losses.
fn causes<'p>(project: &'p Project, marks: &Marks) -> Vec<&'p Finding> {
    if marks.is_empty() {
        return Vec::new();
    }
    let sources = &project.sources;
    let spans: Vec<_> = marks.iter().map(|id| sources.extent(&project.model.losses.get(*id).place)).collect();
    let bears = |finding: &&Finding| {
        finding.labels.first().is_some_and(|label| {
            let (file, at) = sources.span(&label.place);
            spans.iter().any(|(other, span)| *other == file && at.start <= span.end && span.start <= at.end)
        })
    };
    project.findings.iter().filter(|finding| finding.severity() == Severity::Stop).filter(bears).collect()
}

pub(super) fn value(report: &impl Serialize) -> serde_json::Value {
    serde_json::to_value(report).expect("a report holds nothing that JSON cannot")
}

pub(super) fn record_of(place: &crate::finding::Place) -> Option<RecordRef> {
    match place {
        crate::finding::Place::Record(record, _) => Some(*record),
        crate::finding::Place::Bytes(..) => None,
    }
}

/// The records of an airframe's dossier, those included that could not be taken in.
pub(super) fn records_of<'p>(project: &'p Project, serial: &'p str) -> impl Iterator<Item = RecordRef> + 'p {
    let of_airframe = move |record: &Record| record.airframe() == Some(serial);
    project.records.iter().filter(move |(_, record)| of_airframe(record)).map(|(at, _)| *at)
}

/// The findings that stop work and begin in one of these records.
fn stops_in(findings: &[Finding], records: &BTreeSet<RecordRef>) -> Vec<Finding> {
    let begins = |finding: &&Finding| match finding.labels.first() {
        Some(Label { place: Place::Record(record, _), .. }) => records.contains(record),
        Some(Label { place: Place::Bytes(..), .. }) | None => false,
    };
    findings.iter().filter(|finding| finding.severity() == Severity::Stop).filter(begins).cloned().collect()
}
