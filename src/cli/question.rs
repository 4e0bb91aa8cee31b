//! What is asked of one airframe: resolve it, report it, add what the dossiers' findings say.

use super::args::{Format, Layout, Other, Verb, Which};
use super::pick::{self, Book, Subject};
use super::project::{records_of, stops_in};
use super::{Answer, Around, Trouble, json, suppose, writing};
use crate::bill::{self, Request, Scope};
use crate::check;
use crate::finding::{Finding, RecordRef, Severity};
use crate::graph::Graph;
use crate::ids::{AirframeId, JigId, PlateId, PositionId};
use crate::jig::examine::Examiner;
use crate::jig::not_read_of_jigs;
use crate::model::{Marks, Model, SetFor};
use crate::project::Project;
use crate::report::{
    Asked, Beside, BillView, FleetSubject, NotRead, Outcome, Picked, StateFilter, Style, SurveyReport, Verdicts,
    bill_csv, bill_json, bill_remarks, bill_text, bill_trouble_words, bill_workbook, closing, differ_report,
    differ_text, differing_positions, fleet_report, fleet_text, frame_report, frame_text, jig_report, jig_text,
    mark_text, part_report, part_text, position_report, position_text, render_findings, rework_report, rework_text,
    seek_report, seek_text, state_report, state_text, survey_report, survey_text, why_report, why_text,
};
use crate::resolve::{Basis, IssueView, Limits, Resolver, Target};
use serde::Serialize;
use std::collections::BTreeSet;
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
pub(super) fn no_bill(why: &bill::Trouble, book: Book<'_>) -> Trouble {
    let words = bill_trouble_words(why, book.model);
    match why {
        bill::Trouble::NotRead(marks) => book.not_read(&words, marks),
        bill::Trouble::NoAirframePart | bill::Trouble::Loop => Trouble::stops_work(words),
        bill::Trouble::NotFitted | bill::Trouble::TooMany(_) | bill::Trouble::TooLong(_) => Trouble::new(words),
    }
}

/// A question about one airframe of a project.
pub(super) struct Question<'a> {
    pub(super) project: &'a Project,
    /// The project's, with what is supposed for this run.
    pub(super) model: &'a Model,
    pub(super) graph: &'a Graph,
    pub(super) format: Format,
    pub(super) style: Style,
    pub(super) around: &'a Around,
}

/// One part of an answer: how it came out, and what makes its text or its JSON, whichever is asked for.
pub(super) struct Part<'a> {
    outcome: Outcome,
    not_read: Marks,
    text: Box<dyn Fn(Style) -> String + 'a>,
    json: Box<dyn Fn() -> serde_json::Value + 'a>,
    /// Whether what was not read and the caution stand under it; a drawing carries them itself.
    closed: bool,
}

impl<'a> Part<'a> {
    /// Of a report, whose JSON is the report itself.
    pub(super) fn of<R: Verdicts + Serialize>(report: &'a R, text: impl Fn(Style) -> String + 'a) -> Part<'a> {
        let (outcome, not_read) = (report.outcome(), report.not_read());
        Part { outcome, not_read, text: Box::new(text), json: Box::new(move || value(report)), closed: true }
    }
    /// As a drawing, which carries its own caution and says itself what was not read.
    pub(super) fn drawn((outcome, not_read): (Outcome, Marks), drawing: impl Fn() -> String + 'a) -> Part<'a> {
        let (text, json) = (Box::new(move |_| drawing()), Box::new(|| serde_json::Value::Null));
        Part { outcome, not_read, text, json, closed: false }
    }
    /// That a list of all there are of a kind may be short; nothing if all were read.
    pub(super) fn short(kind: &'static str, not_read: &Marks) -> Option<Part<'a>> {
        let marked = mark_text(not_read);
        let text = move |_| format!("Whether there is another {kind} is not known: {marked}.\n\n");
        let json = move || serde_json::json!({ kind: null });
        let part = || Part::made((Outcome::Settled, not_read.clone()), text, json);
        (!not_read.is_empty()).then(part)
    }
    /// Of something whose JSON is made apart.
    pub(super) fn made(
        (outcome, not_read): (Outcome, Marks),
        text: impl Fn(Style) -> String + 'a,
        json: impl Fn() -> serde_json::Value + 'a,
    ) -> Part<'a> {
        Part { outcome, not_read, text: Box::new(text), json: Box::new(json), closed: true }
    }
}

impl<'a> Question<'a> {
    pub(super) fn model(&self) -> &'a Model {
        self.model
    }

    /// What names are looked up in.
    pub(super) fn book(&self) -> Book<'a> {
        Book { model: self.model, sources: &self.project.sources }
    }

    /// The answer to a verb that asks about an airframe.
    pub(super) fn answer(&self, verb: &Verb) -> Result<Answer, Trouble> {
        match verb {
            Verb::State { serial, which, open, mods } => {
                let named = serial.as_deref().or(which.airframe.as_deref());
                self.state(named, which, *open, mods)
            }
            Verb::Variant { subject, which } => self.variant(subject, which),
            Verb::Bill { serial, which, layout, of, new_parts, doubtful, out } => {
                let named = serial.as_deref().or(which.airframe.as_deref());
                let scope = self.bill_scope(of.as_deref())?;
                let basis = basis_of(*doubtful);
                let to_make = *new_parts || *layout == Layout::Make;
                let issues = if to_make { IssueView::ToMake } else { IssueView::AsFitted };
                let request = Request { scope, basis, issues, weights: true };
                self.bill(named, which, request, (*layout, out.as_deref()))
            }
            Verb::Jig { jig, which } => {
                let reports = self.of_jigs(jig.as_deref(), which, jig_report)?;
                Ok(self.told_of_jigs(&reports, jig.is_none(), jig_text))
            }
            Verb::Rework { jig, which } => {
                let reports = self.of_jigs(jig.as_deref(), which, rework_report)?;
                Ok(self.told_of_jigs(&reports, jig.is_none(), rework_text))
            }
            Verb::Survey { survey } => self.survey(survey.as_deref()),
            Verb::Picture { subject, which, out } => self.picture(subject, which, out.as_deref()),
            Verb::Template { plate, out } => self.template(plate, out.as_deref()),
            Verb::Why { subject, which } => self.why(subject, which),
            Verb::Seek { subject, which, most, doubtful } => self.seek(subject.as_deref(), which, *most, *doubtful),
            Verb::Differ { which, other, doubtful } => self.differ(which, other, *doubtful),
            Verb::Fleet { subject, on, doubtful } => self.fleet(subject, on, *doubtful),
            Verb::Rack { serial, which } => self.rack(serial.as_deref(), which),
            Verb::Todo { serial, which, of } => self.todo(serial.as_deref(), which, of.as_deref()),
            Verb::Tools { serial, which, other } => self.tools(serial.as_deref(), which, other),
            Verb::Drawings { serial, which, missing, doubtful } => {
                self.drawings(serial.as_deref(), which, *missing, *doubtful)
            }
            Verb::Decisions { serial } => self.decisions(serial.as_deref()),
            Verb::Flat { part, with } => self.flat(part, with.as_deref()),
            Verb::Records
            | Verb::New { .. }
            | Verb::Intake { .. }
            | Verb::Check
            | Verb::Watch
            | Verb::Explain { .. }
            | Verb::Completions { .. }
            | Verb::Man { .. } => {
                unreachable!("these verbs ask nothing of an airframe")
            }
        }
    }

    /// How much of the airframe a bill covers.
    pub(super) fn bill_scope(&self, of: Option<&str>) -> Result<Scope, Trouble> {
        Ok(match of.map(|text| pick::subject(self.book(), text)).transpose()? {
            None => Scope::Airframe,
            Some(Subject::Frame(frame)) => Scope::Frame(frame),
            Some(Subject::Position(position)) => Scope::Position(position),
            Some(Subject::Part(part)) => Scope::Assembly(part),
        })
    }

    /// An airframe ready to answer about the state asked for.
    pub(super) fn resolver(&self, serial: Option<&str>, which: &Which) -> Result<(Resolver<'a>, Asked), Trouble> {
        let airframe = pick::airframe(self.book(), serial)?;
        let (target, picked) = pick::target(self.book(), airframe, which)?;
        let (resolver, mut asked) = self.resolver_for(airframe, target, picked)?;
        asked.supposed = suppose::told(which);
        Ok((resolver, asked))
    }

    pub(super) fn resolver_for(
        &self,
        airframe: AirframeId,
        target: Target,
        picked: Picked,
    ) -> Result<(Resolver<'a>, Asked), Trouble> {
        resolver_of(self.model(), self.graph, airframe, target, picked)
    }

    fn state(&self, serial: Option<&str>, which: &Which, open: bool, mods: &[String]) -> Result<Answer, Trouble> {
        let mut filter = StateFilter { open, mods: Vec::new() };
        for text in mods {
            filter.mods.extend(pick::mods(self.book(), text)?);
        }
        let (mut resolver, asked) = self.resolver(serial, which)?;
        let report = state_report(&mut resolver, asked, &filter);
        let records = filter.mods.iter().filter_map(|m| record_of(&self.model().mods[*m].place)).collect();
        let part = Part::of(&report, |style| state_text(&report, style));
        Ok(self.told(&[resolver.history().id], records, &[part]))
    }

    fn variant(&self, text: &str, which: &Which) -> Result<Answer, Trouble> {
        let model = self.model();
        let subject = pick::subject(self.book(), text)?;
        let (mut resolver, asked) = self.resolver(which.airframe.as_deref(), which)?;
        let sources = &self.project.sources;
        let airframes = [resolver.history().id];
        Ok(match subject {
            Subject::Frame(frame) => {
                let report = frame_report(&mut resolver, asked, frame, &Examiner::new(model), sources);
                let records = BTreeSet::from([model.frames[frame].record]);
                self.told(&airframes, records, &[Part::of(&report, |style| frame_text(&report, style))])
            }
            Subject::Position(position) => {
                let report = position_report(&mut resolver, asked, position, sources);
                let records = record_of(&model.positions[position].place).into_iter().collect();
                self.told(&airframes, records, &[Part::of(&report, |style| position_text(&report, style))])
            }
            Subject::Part(part) => {
                let report = part_report(&mut resolver, asked, part);
                let records = BTreeSet::from([model.parts[part].record]);
                self.told(&airframes, records, &[Part::of(&report, |style| part_text(&report, style))])
            }
        })
    }

    fn bill(
        &self,
        serial: Option<&str>,
        which: &Which,
        request: Request,
        (layout, out): (Layout, Option<&Path>),
    ) -> Result<Answer, Trouble> {
        let model = self.model();
        let (mut resolver, asked) = self.resolver(serial, which)?;
        let none = |why| no_bill(&why, self.book());
        let made = bill::bill(&mut resolver, request).map_err(none)?;
        let other = bill::against_other_basis(&mut resolver, request).map_err(none)?;
        let view = match layout {
            Layout::Tree => BillView::Tree,
            Layout::Flat => BillView::Flat,
            Layout::Make => BillView::Make,
            Layout::Buy => BillView::Buy,
            Layout::Material => BillView::Material,
        };
        let lines = other.as_ref().map(|other| bill::differing(&made, other)).unwrap_or_default();
        let differing = differing_positions(&lines, model);
        let airframe = resolver.history().id;
        let mut not_read = made.all_not_read();
        not_read.extend(other.iter().flat_map(bill::Bill::all_not_read));
        let lost = NotRead::list(&not_read, &model.losses, &self.project.sources);
        let outcome = Outcome::of(made.is_contradicted(), !(made.is_settled() && lines.is_empty()));
        let part = Part::made(
            (outcome, not_read.clone()),
            |style| match self.format {
                Format::Csv => bill_csv(&made, model, view, &lost),
                Format::Text | Format::Json | Format::Xlsx => {
                    let remarks = bill_remarks(&asked, request, &lines, model, style);
                    format!("{}{remarks}", bill_text(&made, model, view, style))
                }
            },
            || {
                let mut json = bill_json(&made, model);
                json["asked"] = value(&asked);
                json["differs_on_other_basis"] = value(&differing);
                json
            },
        );
        let mut answer = self.told(&[airframe], BTreeSet::new(), &[part]);
        let Some(out) = out else { return Ok(answer) };
        let mut workbook = None;
        if self.format == Format::Xlsx {
            let sources = &self.project.sources;
            let findings = self.findings(&[airframe]);
            let beside = Beside { asked: &asked, differing: &differing, not_read: &lost, findings: &findings, sources };
            workbook = Some(bill_workbook(&made, model, &beside).map_err(Trouble::new)?);
        }
        let bytes = workbook.as_deref().unwrap_or(answer.out.as_bytes());
        writing::write(&self.around.folder.join(out), bytes, writing::Old::Replace)?;
        answer.out = format!("The bill is in `{}`.\n", out.display());
        Ok(answer)
    }

    /// A report on a jig, or on every jig, in the state that it is set for unless another is asked for.
    fn of_jigs<R>(
        &self,
        name: Option<&str>,
        which: &Which,
        report: impl Fn(&mut Resolver<'_>, Asked, JigId, &Examiner<'_>) -> R,
    ) -> Result<Vec<(AirframeId, R)>, Trouble> {
        let mut reports = Vec::new();
        let examiner = Examiner::new(self.model());
        for jig in pick::jigs(self.book(), name)? {
            let asked_for = which.airframe.is_some() || which.on.is_some() || which.build.is_some();
            let (mut resolver, asked) = match self.model().jigs[jig].set_for.as_ref().and_then(SetFor::state) {
                Some((airframe, state)) if !asked_for => {
                    let day = self.model().airframes[airframe].build_states[state].date;
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

    fn told_of_jigs<R: Verdicts + Serialize>(
        &self,
        reports: &[(AirframeId, R)],
        all: bool,
        text: impl Fn(&R, Style) -> String + Copy,
    ) -> Answer {
        let airframes: Vec<AirframeId> = reports.iter().map(|(airframe, _)| *airframe).collect();
        let mut parts: Vec<Part<'_>> =
            reports.iter().map(|(_, report)| Part::of(report, move |style| text(report, style))).collect();
        parts.extend(Part::short("jig", &if all { not_read_of_jigs(self.model(), None) } else { Marks::new() }));
        self.told(&airframes, BTreeSet::new(), &parts)
    }

    /// Surveys are of metal: no airframe and no state is asked for.
    fn survey(&self, name: Option<&str>) -> Result<Answer, Trouble> {
        let examiner = Examiner::new(self.model());
        let surveys = pick::surveys(self.book(), name)?;
        let reports: Vec<SurveyReport> =
            surveys.into_iter().map(|survey| survey_report(self.model(), survey, &examiner)).collect();
        let mut parts: Vec<Part<'_>> =
            reports.iter().map(|report| Part::of(report, |style| survey_text(report, style))).collect();
        let lost = self.model().losses.marks(|loss| loss.whole && loss.may_be("Survey"));
        parts.extend(Part::short("survey", &if name.is_none() { lost } else { Marks::new() }));
        Ok(self.told(&[], BTreeSet::new(), &parts))
    }

    fn why(&self, text: &str, which: &Which) -> Result<Answer, Trouble> {
        let subject = pick::why_subject(self.book(), text)?;
        let (mut resolver, asked) = self.resolver(which.airframe.as_deref(), which)?;
        let report = why_report(&mut resolver, asked, subject, &self.project.sources);
        let part = Part::of(&report, |style| why_text(&report, style));
        Ok(self.told(&[resolver.history().id], BTreeSet::new(), &[part]))
    }

    fn seek(&self, subject: Option<&str>, which: &Which, most: usize, doubtful: bool) -> Result<Answer, Trouble> {
        let model = self.model();
        let (mut resolver, asked) = self.resolver(which.airframe.as_deref(), which)?;
        let (positions, plates) = match subject {
            None => (model.positions.ids().collect(), model.plates.ids().collect()),
            Some(text) => self.scope(pick::subject(self.book(), text)?),
        };
        let report = seek_report(&mut resolver, asked, (&positions, &plates), basis_of(doubtful));
        let part = Part::of(&report, |style| seek_text(&report, most, style));
        Ok(self.told(&[resolver.history().id], BTreeSet::new(), &[part]))
    }

    /// The positions of a subject, those below it included, and the plates that locate what may be fitted there.
    fn scope(&self, subject: Subject) -> (BTreeSet<PositionId>, BTreeSet<PlateId>) {
        let model = self.model();
        let positions = match subject {
            Subject::Frame(frame) => self.graph.positions_below(model.frames[frame].assembly),
            Subject::Position(position) => BTreeSet::from([position]),
            Subject::Part(part) => self.graph.positions_below(part),
        };
        let parts = positions.iter().flat_map(|position| &model.positions[*position].candidates);
        let plates = parts.flat_map(|candidate| self.graph.plates_for(candidate.part)).collect();
        (positions, plates)
    }

    fn differ(&self, which: &Which, other: &Other, doubtful: bool) -> Result<Answer, Trouble> {
        let first_which = Which { suppose: Vec::new(), without: Vec::new(), ..which.clone() };
        let (mut first, asked) = self.resolver(which.airframe.as_deref(), &first_which)?;
        let named = other.airframe.as_deref().or(which.airframe.as_deref());
        let airframe = pick::airframe(self.book(), named)?;
        let mut model = self.model().clone();
        suppose::apply(self.project, &mut model, airframe, which)?;
        let book = Book { model: &model, sources: &self.project.sources };
        let picks = Which { on: other.on.clone(), build: other.build.clone(), ..Which::default() };
        let same_airframe = airframe == first.history().id;
        let (target, picked) = match (&picks.on, &picks.build) {
            (None, None) if same_airframe => (first.target(), asked.picked),
            (None, None) => (Target { day: first.target().day, build_state: None }, Picked::Date),
            _ => pick::target(book, airframe, &picks)?,
        };
        let (mut second, mut other_asked) = resolver_of(&model, self.graph, airframe, target, picked)?;
        other_asked.supposed = suppose::told(which);
        let report = differ_report((&mut first, asked), (&mut second, other_asked), basis_of(doubtful));
        let part = Part::of(&report, |style| differ_text(&report, style));
        Ok(self.told(&[first.history().id, airframe], BTreeSet::new(), &[part]))
    }

    fn fleet(&self, text: &str, on: &str, doubtful: bool) -> Result<Answer, Trouble> {
        let model = self.model();
        let subject = pick::subject(self.book(), text)?;
        let positions: Vec<PositionId> = match subject {
            Subject::Position(position) => vec![position],
            Subject::Frame(frame) => {
                let segments = model.frames[frame].segments.iter();
                let places = segments.flat_map(|segment| self.graph.places_of(segment.part));
                places.map(|(position, _)| position).collect::<BTreeSet<_>>().into_iter().collect()
            }
            Subject::Part(part) => {
                let places = self.graph.places_of(part).into_iter().map(|(position, _)| position);
                places.collect::<BTreeSet<_>>().into_iter().collect()
            }
        };
        let day = pick::day(on)?;
        let of = model.airframes.len();
        let progress = |done: usize| {
            if let Some(tell) = self.around.progress {
                tell(done, of);
            }
        };
        let part = if let Subject::Part(part) = subject { Some(part) } else { None };
        let frame = if let Subject::Frame(frame) = subject { Some(frame) } else { None };
        let subject = FleetSubject { name: text, part, frame, positions: &positions };
        let report = fleet_report(model, self.graph, &subject, day, basis_of(doubtful), &progress);
        Ok(self.told(&[], BTreeSet::new(), &[Part::of(&report, |style| fleet_text(&report, style))]))
    }

    /// The answer, with the findings that stop work in the dossiers of these airframes and in these records.
    pub(super) fn told(
        &self,
        airframes: &[AirframeId],
        mut records: BTreeSet<RecordRef>,
        parts: &[Part<'_>],
    ) -> Answer {
        for airframe in airframes {
            records.extend(records_of(self.project, self.model().airframes.name(*airframe)));
        }
        let findings = if records.is_empty() { Vec::new() } else { self.findings(airframes) };
        told(self.project, parts, &stops_in(&findings, &records), (self.format, self.style))
    }

    /// What was found of these airframes once the dossiers were taken in.
    fn findings(&self, airframes: &[AirframeId]) -> Vec<Finding> {
        self.project.check_taken_in((self.model, self.graph), check::Scope::Airframes(airframes))
    }
}

/// An answer: its parts in the format asked for, each with what was not read and the caution; and on standard error the
/// findings that it rests on.
pub(super) fn told(
    project: &Project,
    parts: &[Part<'_>],
    stops: &[Finding],
    (format, style): (Format, Style),
) -> Answer {
    let losses = &project.model.losses;
    let not_read = |part: &Part<'_>| NotRead::list(&part.not_read, losses, &project.sources);
    let out = match format {
        Format::Json => {
            let of_part = |part: &Part<'_>| {
                let (mut json, lost) = ((part.json)(), not_read(part));
                if let (false, Some(object)) = (lost.is_empty(), json.as_object_mut()) {
                    object.insert("not_read".to_owned(), value(&lost));
                }
                json
            };
            match parts {
                [one] => json(&of_part(one)),
                several => json(&several.iter().map(of_part).collect::<Vec<_>>()),
            }
        }
        Format::Csv => parts.iter().map(|part| (part.text)(style)).collect(),
        Format::Text | Format::Xlsx => {
            let texts = parts.iter().map(|part| {
                let closing = if part.closed { closing(&not_read(part), style) } else { String::new() };
                format!("{}{closing}", (part.text)(style))
            });
            texts.collect::<Vec<_>>().join("\n\n")
        }
    };
    let marks: Marks = parts.iter().flat_map(|part| part.not_read.iter().copied()).collect();
    let causes = causes(project, &marks);
    let found: Vec<Finding> = stops.iter().chain(causes.iter().copied()).cloned().collect();
    let mut err = String::new();
    if !found.is_empty() {
        err.push_str("modstate: these findings stop work on what was asked for\n\n");
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

fn record_of(place: &crate::finding::Place) -> Option<RecordRef> {
    match place {
        crate::finding::Place::Record(record, _) => Some(*record),
        crate::finding::Place::Bytes(..) => None,
    }
}
