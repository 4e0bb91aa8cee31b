//! What is asked of one airframe: resolve it, report it, add what the dossiers' findings say.

use super::args::{Format, Layout, Other, Verb, Which};
use super::pick::{self, Subject};
use super::project::{Project, stops_in};
use super::{Answer, Around, Trouble, code_of, json, suppose, writing};
use crate::bill::{self, Request, Scope};
use crate::check;
use crate::finding::{Finding, RecordRef, Severity};
use crate::graph::Graph;
use crate::ids::{AirframeId, JigId, PlateId, PositionId};
use crate::jig::examine::Examiner;
use crate::model::Model;
use crate::report::{
    Asked, Beside, BillView, FleetSubject, FrameReport, JigReport, Picked, Say, StateFilter, Style, SurveyReport,
    bill_csv, bill_json, bill_remarks, bill_text, bill_trouble_words, bill_workbook, differ_report, differ_text,
    differing_positions, fleet_report, fleet_text, frame_report, frame_text, jig_report, jig_text, part_report,
    part_text, position_report, position_text, render_findings, rework_report, rework_text, seek_report, seek_text,
    state_report, state_text, survey_report, survey_text, why_report, why_text,
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
pub(super) fn no_bill(why: bill::Trouble, model: &Model) -> Trouble {
    let words = bill_trouble_words(why, model);
    match why {
        bill::Trouble::NoAirframePart | bill::Trouble::Loop | bill::Trouble::NoHistory => Trouble::stops_work(words),
        bill::Trouble::NotFitted | bill::Trouble::TooMany(_) | bill::Trouble::TooLong(_) => Trouble::new(words),
    }
}

/// The exit code that a standing comes to.
fn code_of_say(say: Say) -> u8 {
    match say {
        Say::Yes | Say::No => 0,
        Say::Contradicted => 1,
        Say::Open | Say::Undecided => 3,
    }
}

/// The graver of two exit codes: 1 before 3 before 0.
fn graver(a: u8, b: u8) -> u8 {
    match (a, b) {
        (1, _) | (_, 1) => 1,
        (3, _) | (_, 3) => 3,
        _ => 0,
    }
}

/// A question about one airframe of a project.
pub(super) struct Question<'a> {
    pub(super) project: &'a Project,
    pub(super) graph: &'a Graph,
    pub(super) format: Format,
    pub(super) style: Style,
    pub(super) around: &'a Around,
}

/// One part of an answer: its text or JSON, and its exit code.
pub(super) struct Part {
    pub(super) text: String,
    pub(super) json: serde_json::Value,
    pub(super) code: u8,
}

/// Makes the part of an answer that is about one jig.
type OfJig<'f> = dyn Fn(&mut Resolver<'_>, Asked, JigId, &Examiner<'_>) -> Part + 'f;

impl<'a> Question<'a> {
    pub(super) fn model(&self) -> &'a Model {
        &self.project.model
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
                let issues = if *new_parts { IssueView::ToMake } else { IssueView::AsFitted };
                let request = Request { scope, basis, issues, weights: true };
                self.bill(named, which, request, (*layout, out.as_deref()))
            }
            Verb::Jig { jig, which } => self.jigs(jig.as_deref(), which, &|resolver, asked, jig, examiner| {
                let report = jig_report(resolver, asked, jig, examiner);
                Part { text: jig_text(&report, self.style), json: value(&report), code: code_of_jig(&report) }
            }),
            Verb::Rework { jig, which } => self.jigs(jig.as_deref(), which, &|resolver, asked, jig, examiner| {
                let report = rework_report(resolver, asked, jig, examiner);
                let code = if report.wait.is_empty() { 0 } else { 3 };
                Part { text: rework_text(&report, self.style), json: value(&report), code }
            }),
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
        Ok(match of.map(|text| pick::subject(self.model(), text)).transpose()? {
            None => Scope::Airframe,
            Some(Subject::Frame(frame)) => Scope::Frame(frame),
            Some(Subject::Position(position)) => Scope::Position(position),
            Some(Subject::Part(part)) => Scope::Assembly(part),
        })
    }

    /// An airframe ready to answer about the state asked for.
    pub(super) fn resolver(&self, serial: Option<&str>, which: &Which) -> Result<(Resolver<'a>, Asked), Trouble> {
        let airframe = pick::airframe(self.model(), serial)?;
        let (target, picked) = pick::target(self.model(), airframe, which)?;
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
            filter.mods.extend(pick::mods(self.model(), text)?);
        }
        let (mut resolver, asked) = self.resolver(serial, which)?;
        let report = state_report(&mut resolver, asked, &filter);
        let records = filter.mods.iter().filter_map(|m| record_of(&self.model().mods[*m].place)).collect();
        Ok(self.told(
            &[resolver.history().id],
            records,
            &[Part {
                text: state_text(&report, self.style),
                json: value(&report),
                code: code_of_say(report.standing()),
            }],
        ))
    }

    fn variant(&self, text: &str, which: &Which) -> Result<Answer, Trouble> {
        let model = self.model();
        let subject = pick::subject(model, text)?;
        let (mut resolver, asked) = self.resolver(which.airframe.as_deref(), which)?;
        let sources = &self.project.sources;
        let (part, record) = match subject {
            Subject::Frame(frame) => {
                let report = frame_report(&mut resolver, asked, frame, &Examiner::new(model), sources);
                let text = frame_text(&report, self.style);
                (Part { text, json: value(&report), code: code_of_frame(&report) }, Some(model.frames[frame].record))
            }
            Subject::Position(position) => {
                let report = position_report(&mut resolver, asked, position, sources);
                let text = position_text(&report, self.style);
                let code = code_of_both(report.standing.firm, report.standing.held);
                (Part { text, json: value(&report), code }, record_of(&model.positions[position].place))
            }
            Subject::Part(part) => {
                let report = part_report(&mut resolver, asked, part);
                let text = part_text(&report, self.style);
                (
                    Part { text, json: value(&report), code: code_of_say(report.standing()) },
                    Some(model.parts[part].record),
                )
            }
        };
        Ok(self.told(&[resolver.history().id], record.into_iter().collect(), &[part]))
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
        let none = |why| no_bill(why, model);
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
        let mut json = bill_json(&made, model);
        json["asked"] = value(&asked);
        json["differs_on_other_basis"] = value(&differing);
        let airframe = resolver.history().id;
        let findings = self.findings(&[airframe]);
        let mut workbook = None;
        let text = match self.format {
            Format::Csv => bill_csv(&made, model, view),
            Format::Xlsx => {
                let sources = &self.project.sources;
                let beside = Beside { asked: &asked, differing: &differing, findings: &findings, sources };
                workbook = Some(bill_workbook(&made, model, &beside).map_err(Trouble::new)?);
                String::new()
            }
            Format::Text | Format::Json => {
                let style = self.style;
                format!(
                    "{}{}",
                    bill_text(&made, model, view, style),
                    bill_remarks(&asked, request, &lines, model, style)
                )
            }
        };
        let code = if made.is_settled() && lines.is_empty() { 0 } else { 3 };
        let mut answer = self.told_with(&findings, &[airframe], BTreeSet::new(), &[Part { text, json, code }]);
        if let Some(out) = out {
            let bytes = workbook.as_deref().unwrap_or(answer.out.as_bytes());
            writing::write(&self.around.folder.join(out), bytes, writing::Old::Replace)?;
            answer.out = format!("The bill is in `{}`.\n", out.display());
        }
        Ok(answer)
    }

    /// What is asked of a jig, or of every jig, in the state that it is set for unless another is asked for.
    fn jigs(&self, name: Option<&str>, which: &Which, part: &OfJig<'_>) -> Result<Answer, Trouble> {
        let mut parts = Vec::new();
        let mut airframes = Vec::new();
        let examiner = Examiner::new(self.model());
        for jig in pick::jigs(self.model(), name)? {
            let asked_for = which.airframe.is_some() || which.on.is_some() || which.build.is_some();
            let (mut resolver, asked) = match self.model().jigs[jig].set_for {
                Some((airframe, state)) if !asked_for => {
                    let day = self.model().airframes[airframe].build_states[state].date;
                    self.resolver_for(airframe, Target { day, build_state: Some(state) }, Picked::JigSetFor)?
                }
                _ => self.resolver(which.airframe.as_deref(), which)?,
            };
            parts.push(part(&mut resolver, asked, jig, &examiner));
            airframes.push(resolver.history().id);
        }
        Ok(self.told(&airframes, BTreeSet::new(), &parts))
    }

    /// Surveys are of metal: no airframe and no state is asked for.
    fn survey(&self, name: Option<&str>) -> Result<Answer, Trouble> {
        let examiner = Examiner::new(self.model());
        let mut parts = Vec::new();
        for survey in pick::surveys(self.model(), name)? {
            let report = survey_report(self.model(), survey, &examiner);
            let code = code_of_survey(&report);
            parts.push(Part { text: survey_text(&report, self.style), json: value(&report), code });
        }
        let code = parts.iter().fold(0, |code, part| graver(code, part.code));
        Ok(Answer { out: self.out(&parts), code, ..Answer::default() })
    }

    fn why(&self, text: &str, which: &Which) -> Result<Answer, Trouble> {
        let subject = pick::why_subject(self.model(), text)?;
        let (mut resolver, asked) = self.resolver(which.airframe.as_deref(), which)?;
        let report = why_report(&mut resolver, asked, subject, &self.project.sources);
        let code = code_of_both(report.standing.firm, report.standing.held);
        let part = Part { text: why_text(&report, self.style), json: value(&report), code };
        Ok(self.told(&[resolver.history().id], BTreeSet::new(), &[part]))
    }

    fn seek(&self, subject: Option<&str>, which: &Which, most: usize, doubtful: bool) -> Result<Answer, Trouble> {
        let model = self.model();
        let (mut resolver, asked) = self.resolver(which.airframe.as_deref(), which)?;
        let (positions, plates) = match subject {
            None => (model.positions.ids().collect(), model.plates.ids().collect()),
            Some(text) => self.scope(pick::subject(model, text)?),
        };
        let report = seek_report(&mut resolver, asked, (&positions, &plates), basis_of(doubtful));
        let code = if report.open == 0 && report.limit.is_none() { 0 } else { 3 };
        let part = Part { text: seek_text(&report, most, self.style), json: value(&report), code };
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
        let airframe = pick::airframe(self.model(), named)?;
        let mut model = self.model().clone();
        suppose::apply(&mut model, airframe, which)?;
        let picks = Which { on: other.on.clone(), build: other.build.clone(), ..Which::default() };
        let same_airframe = airframe == first.history().id;
        let (target, picked) = match (&picks.on, &picks.build) {
            (None, None) if same_airframe => (first.target(), asked.picked),
            (None, None) => (Target { day: first.target().day, build_state: None }, Picked::Date),
            _ => pick::target(&model, airframe, &picks)?,
        };
        let (mut second, mut other_asked) = resolver_of(&model, self.graph, airframe, target, picked)?;
        other_asked.supposed = suppose::told(which);
        let report = differ_report((&mut first, asked), (&mut second, other_asked), basis_of(doubtful));
        let kinds = [&report.modifications, &report.positions, &report.bill, &report.splices, &report.plates];
        let code = if kinds.iter().all(|kind| kind.undecided.is_empty()) { 0 } else { 3 };
        let part = Part { text: differ_text(&report, self.style), json: value(&report), code };
        Ok(self.told(&[first.history().id, airframe], BTreeSet::new(), &[part]))
    }

    fn fleet(&self, text: &str, on: &str, doubtful: bool) -> Result<Answer, Trouble> {
        let model = self.model();
        let subject = pick::subject(model, text)?;
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
        let subject = FleetSubject { name: text, part, positions: &positions };
        let report = fleet_report(model, self.graph, &subject, day, basis_of(doubtful), &progress);
        let code = report.airframes.iter().fold(0, |code, row| {
            graver(
                code,
                match row.standing {
                    "settled" | "not yet built" => 0,
                    "contradicted" => 1,
                    _ => 3,
                },
            )
        });
        let out = match self.format {
            Format::Json => json(&value(&report)),
            Format::Text | Format::Csv | Format::Xlsx => fleet_text(&report, self.style),
        };
        Ok(Answer { out, code, ..Answer::default() })
    }

    /// The answer with what the dossiers' findings add to it.
    pub(super) fn told(&self, airframes: &[AirframeId], records: BTreeSet<RecordRef>, parts: &[Part]) -> Answer {
        self.told_with(&self.findings(airframes), airframes, records, parts)
    }

    /// What an answer about these airframes rests on, checked.
    fn findings(&self, airframes: &[AirframeId]) -> Vec<Finding> {
        self.project.check(self.graph, check::Scope::Airframes(airframes))
    }

    fn told_with(
        &self,
        findings: &[Finding],
        airframes: &[AirframeId],
        mut records: BTreeSet<RecordRef>,
        parts: &[Part],
    ) -> Answer {
        for airframe in airframes {
            records.extend(self.project.records_of(self.model().airframes.name(*airframe)));
        }
        let touching = stops_in(findings, &records);
        let mut err = String::new();
        if !touching.is_empty() {
            err.push_str("modstate: these findings stop work on what was asked for\n\n");
            err.push_str(&render_findings(&touching, &self.project.sources, self.style));
        }
        let stops = findings.iter().filter(|finding| finding.severity() == Severity::Stop).count();
        if stops > 0 {
            let findings = if stops == 1 { "1 finding stops".to_owned() } else { format!("{stops} findings stop") };
            err.extend(["modstate: ", &findings, " work in what this answer rests on; run `modstate check`\n"]);
        }
        let code = parts.iter().fold(code_of(&touching), |code, part| graver(code, part.code));
        Answer { out: self.out(parts), err, code }
    }

    /// The parts of an answer: one object or a list of them, or their texts one below the other.
    fn out(&self, parts: &[Part]) -> String {
        match self.format {
            Format::Json => match parts {
                [one] => json(&one.json),
                several => json(&several.iter().map(|part| &part.json).collect::<Vec<_>>()),
            },
            Format::Text | Format::Csv | Format::Xlsx => {
                parts.iter().map(|part| part.text.as_str()).collect::<Vec<_>>().join("\n\n")
            }
        }
    }
}

pub(super) fn value(report: &impl Serialize) -> serde_json::Value {
    serde_json::to_value(report).expect("a report holds nothing that JSON cannot")
}

/// The exit code of what is so on both bases: undecided too if the doubtful claims make the difference.
fn code_of_both(firm: Say, held: Say) -> u8 {
    let code = graver(code_of_say(firm), code_of_say(held));
    if code == 0 && firm != held { 3 } else { code }
}

/// The exit code of a jig: a plate that is missing or surplus is a note, as in the book of findings.
fn code_of_jig(report: &JigReport) -> u8 {
    if report.is_wrong() {
        1
    } else if report.is_undecided() {
        3
    } else {
        0
    }
}

/// The exit code of a survey.
pub(super) fn code_of_survey(report: &SurveyReport) -> u8 {
    match (report.is_wrong(), report.is_undecided()) {
        (true, _) => 1,
        (false, true) => 3,
        (false, false) => 0,
    }
}

/// The exit code of a frame: a plate that is certainly wrong stops work.
pub(super) fn code_of_frame(report: &FrameReport) -> u8 {
    let frame = code_of_both(report.standing.firm, report.standing.held);
    let settled = report.variants.len() == 1 || frame != 0;
    let jigs = report.jigs.iter().fold(0, |code, jig| graver(code, code_of_jig(jig)));
    graver(if settled { frame } else { 3 }, jigs)
}

fn record_of(place: &crate::finding::Place) -> Option<RecordRef> {
    match place {
        crate::finding::Place::Record(record, _) => Some(*record),
        crate::finding::Place::Bytes(..) => None,
    }
}
