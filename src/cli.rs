//! The command line: verbs, options, exit codes.
//!
//! The only room that knows of the clock, the environment, the terminal and the two output streams. [`run`] works out
//! the whole answer first; [`main`] writes it.

mod args;
mod pick;
mod project;

use crate::bill::{self, Request, Scope};
use crate::finding::{Finding, RecordRef, Severity};
use crate::graph::Graph;
use crate::ids::AirframeId;
use crate::model::Model;
use crate::report::{
    Asked, BillView, Picked, Say, StateFilter, Style, bill_csv, bill_json, bill_remarks, bill_text, bill_trouble_words,
    book_json, book_text, differing_positions, entry_text, findings_json, frame_report, frame_text,
    jig_report, jig_text, part_report, part_text, position_report, position_text, render_findings, state_report,
    state_text, why_report, why_text,
};
use crate::resolve::{Basis, IssueView, Limits, Resolver, Target};
use crate::source::ReadError;
use args::{Args, Colour, Common, Format, Layout, Verb, Which};
use clap::{CommandFactory, Parser};
use pick::Subject;
use project::{Project, stops_in};
use serde::Serialize;
use std::collections::BTreeSet;
use std::ffi::OsString;
use std::io::{IsTerminal, Write};
use std::path::PathBuf;
use std::process::ExitCode;

/// What a run is given from around it.
#[derive(Clone, Debug)]
pub struct Around {
    /// The arguments, the program's name first.
    pub args: Vec<OsString>,
    /// The current folder.
    pub folder: PathBuf,
    /// Whether `NO_COLOR` is set to something.
    pub no_color: bool,
    /// How wide standard output is, if it is a terminal.
    pub terminal: Option<u16>,
}

/// What a run comes to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Answer {
    /// For standard output.
    pub out: String,
    /// For standard error.
    pub err: String,
    /// The exit code: 0 clean, 1 a finding stops work, 2 wrong command or could not run, 3 something is undecided.
    pub code: u8,
}

/// Why a command could not be run: one sentence, and what to do.
#[derive(Debug)]
struct Trouble {
    message: String,
    help: Option<String>,
    code: u8,
}

impl Trouble {
    fn new(message: impl Into<String>) -> Trouble {
        Trouble { message: message.into(), help: None, code: 2 }
    }
    /// A fault of the dossiers, not of the command.
    fn stops_work(message: impl Into<String>) -> Trouble {
        Trouble { code: 1, ..Trouble::new(message) }
    }
    fn help(self, help: impl Into<String>) -> Trouble {
        Trouble { help: Some(help.into()), ..self }
    }
}

impl From<ReadError> for Trouble {
    fn from(error: ReadError) -> Trouble {
        let help = match &error {
            ReadError::NoProject(_) => "go into the project folder, or name it with `--project DIR`",
            ReadError::Folder(..) => "check the name of the folder and your rights to read it",
        };
        Trouble::new(error.to_string()).help(help)
    }
}

/// Runs the command line of this process.
#[must_use]
pub fn main() -> ExitCode {
    let size = || terminal_size::terminal_size().map_or(80, |(width, _)| width.0);
    let answer = run(&Around {
        args: std::env::args_os().collect(),
        folder: std::env::current_dir().unwrap_or_else(|_| PathBuf::from(".")),
        no_color: std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty()),
        terminal: std::io::stdout().is_terminal().then(size),
    });
    // Whoever closes the pipe has read enough: that is no fault of the answer.
    let written = |result: std::io::Result<()>| match result {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => false,
        Err(_) | Ok(()) => true,
    };
    let err = written(std::io::stderr().write_all(answer.err.as_bytes()));
    let mut stdout = std::io::stdout().lock();
    let out = written(stdout.write_all(answer.out.as_bytes()).and_then(|()| stdout.flush()));
    ExitCode::from(if out && err { answer.code } else { 2 })
}

/// Works out the answer to a command line.
#[must_use]
pub fn run(around: &Around) -> Answer {
    let args = match Args::try_parse_from(&around.args) {
        Ok(args) => args,
        Err(error) => return of_parse_error(&error, around),
    };
    let style = style(&args.common, around);
    answer(&args, around, style).unwrap_or_else(|trouble| {
        let help = trouble.help.map(|help| format!("  help: {help}\n")).unwrap_or_default();
        Answer { err: format!("modstate: {}\n{help}", trouble.message), code: trouble.code, ..Answer::default() }
    })
}

fn of_parse_error(error: &clap::Error, around: &Around) -> Answer {
    let colour = around.terminal.is_some() && !around.no_color;
    let rendered = error.render();
    let text = if colour { rendered.ansi().to_string() } else { rendered.to_string() };
    if error.use_stderr() {
        Answer { err: text, code: 2, ..Answer::default() }
    } else {
        Answer { out: text, ..Answer::default() }
    }
}

fn style(common: &Common, around: &Around) -> Style {
    let colour = match common.colour {
        Colour::Auto => around.terminal.is_some() && !around.no_color,
        Colour::Always => true,
        Colour::Never => false,
    };
    let width = common.width.or(around.terminal).unwrap_or(80);
    Style { width: usize::from(width.max(40)), colour, unicode: true }
}

fn answer(args: &Args, around: &Around, style: Style) -> Result<Answer, Trouble> {
    let common = &args.common;
    if common.format == Format::Csv && !matches!(args.verb, Verb::Bill { .. }) {
        return Err(Trouble::new("`csv` is for `modstate bill` only").help("ask for `text` or `json`"));
    }
    match &args.verb {
        Verb::Explain { code } => explain(code.as_deref(), common.format, style),
        Verb::Completions { shell } => {
            let mut script = Vec::new();
            clap_complete::generate(*shell, &mut Args::command(), "modstate", &mut script);
            Ok(clean(String::from_utf8_lossy(&script).into_owned()))
        }
        Verb::Man { verb } => man(verb.as_deref()),
        Verb::Check => {
            let project = Project::open(common.project.as_deref(), &around.folder)?;
            Ok(check(&project, common.format, style))
        }
        Verb::State { .. } | Verb::Variant { .. } | Verb::Bill { .. } | Verb::Jig { .. } | Verb::Why { .. } => {
            let project = Project::open(common.project.as_deref(), &around.folder)?;
            let graph = Graph::new(&project.model);
            let question = Question { project: &project, graph: &graph, format: common.format, style };
            question.answer(&args.verb)
        }
    }
}

fn clean(out: String) -> Answer {
    Answer { out, ..Answer::default() }
}

fn json(value: &impl Serialize) -> String {
    let text = serde_json::to_string_pretty(value).expect("a report holds nothing that JSON cannot");
    format!("{text}\n")
}

fn explain(code: Option<&str>, format: Format, style: Style) -> Result<Answer, Trouble> {
    let Some(text) = code else {
        let out = if format == Format::Json { json(&book_json(crate::codes::all())) } else { book_text(style) };
        return Ok(clean(out));
    };
    let code = crate::codes::Code::find(text).ok_or_else(|| {
        Trouble::new(format!("no finding has the code `{text}`")).help("`modstate explain` lists all codes")
    })?;
    Ok(clean(if format == Format::Json { json(&book_json([code])) } else { entry_text(code, style) }))
}

fn man(verb: Option<&str>) -> Result<Answer, Trouble> {
    let mut command = Args::command();
    command.build();
    if let Some(name) = verb {
        let found = command.find_subcommand(name).cloned();
        command = found.ok_or_else(|| {
            Trouble::new(format!("`{name}` is no verb")).help("`modstate --help` lists the verbs")
        })?;
    }
    let mut page = Vec::new();
    clap_mangen::Man::new(command).render(&mut page).expect("writing to memory does not fail");
    Ok(clean(String::from_utf8_lossy(&page).into_owned()))
}

fn check(project: &Project, format: Format, style: Style) -> Answer {
    let findings = project.check(&Graph::new(&project.model));
    let out = match format {
        Format::Json => json(&findings_json(&findings, &project.sources)),
        Format::Text | Format::Csv if findings.is_empty() => "Nothing found.\n".to_owned(),
        Format::Text | Format::Csv => render_findings(&findings, &project.sources, style),
    };
    Answer { out, code: code_of(&findings), ..Answer::default() }
}

/// The exit code that findings come to.
fn code_of(findings: &[Finding]) -> u8 {
    let has = |severity| findings.iter().any(|finding| finding.severity() == severity);
    if has(Severity::Stop) {
        1
    } else if has(Severity::Undecided) {
        3
    } else {
        0
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
struct Question<'a> {
    project: &'a Project,
    graph: &'a Graph,
    format: Format,
    style: Style,
}

/// One part of an answer: its text or JSON, and its exit code.
struct Part {
    text: String,
    json: serde_json::Value,
    code: u8,
}

impl<'a> Question<'a> {
    fn model(&self) -> &'a Model {
        &self.project.model
    }

    fn answer(&self, verb: &Verb) -> Result<Answer, Trouble> {
        match verb {
            Verb::State { serial, which, open, mods } => {
                let named = serial.as_deref().or(which.airframe.as_deref());
                self.state(named, which, *open, mods)
            }
            Verb::Variant { subject, which } => self.variant(subject, which),
            Verb::Bill { serial, which, layout, of, new_parts, doubtful } => {
                let named = serial.as_deref().or(which.airframe.as_deref());
                let scope = match of {
                    None => Scope::Airframe,
                    Some(text) => match pick::subject(self.model(), text)? {
                        Subject::Frame(frame) => Scope::Frame(frame),
                        Subject::Position(position) => Scope::Position(position),
                        Subject::Part(part) => Scope::Assembly(part),
                    },
                };
                let basis = if *doubtful { Basis::Held } else { Basis::Firm };
                let issues = if *new_parts { IssueView::ToMake } else { IssueView::AsFitted };
                self.bill(named, which, Request { scope, basis, issues }, *layout)
            }
            Verb::Jig { jig, which } => self.jig(jig.as_deref(), which),
            Verb::Why { subject, which } => self.why(subject, which),
            Verb::Check | Verb::Explain { .. } | Verb::Completions { .. } | Verb::Man { .. } => {
                unreachable!("these verbs ask nothing of an airframe")
            }
        }
    }

    /// An airframe ready to answer about the state asked for.
    fn resolver(&self, serial: Option<&str>, which: &Which) -> Result<(Resolver<'a>, Asked), Trouble> {
        let airframe = pick::airframe(self.model(), serial)?;
        let (target, picked) = pick::target(self.model(), airframe, which)?;
        self.resolver_for(airframe, target, picked)
    }

    fn resolver_for(
        &self,
        airframe: AirframeId,
        target: Target,
        picked: Picked,
    ) -> Result<(Resolver<'a>, Asked), Trouble> {
        let resolver =
            Resolver::new(self.model(), self.graph, airframe, target, Limits::default()).map_err(|early| {
                let serial = self.model().airframes.name(airframe);
                let message = format!("`{serial}` was not certainly built by {}", target.day);
                Trouble::new(message).help(format!("ask for {} or later", early.built_by))
            })?;
        let asked = Asked::of(&resolver, picked);
        Ok((resolver, asked))
    }

    fn state(
        &self,
        serial: Option<&str>,
        which: &Which,
        open: bool,
        mods: &[String],
    ) -> Result<Answer, Trouble> {
        let mut filter = StateFilter { open, mods: Vec::new() };
        for text in mods {
            filter.mods.extend(pick::mods(self.model(), text)?);
        }
        let (mut resolver, asked) = self.resolver(serial, which)?;
        let report = state_report(&mut resolver, asked, &filter);
        let records = filter.mods.iter().filter_map(|m| record_of(&self.model().mods[*m].place)).collect();
        Ok(self.told(&resolver, records, vec![Part {
            text: state_text(&report, self.style),
            json: value(&report),
            code: code_of_say(report.standing()),
        }]))
    }

    fn variant(&self, text: &str, which: &Which) -> Result<Answer, Trouble> {
        let model = self.model();
        let subject = pick::subject(model, text)?;
        let (mut resolver, asked) = self.resolver(which.airframe.as_deref(), which)?;
        let sources = &self.project.sources;
        let (part, record) = match subject {
            Subject::Frame(frame) => {
                let report = frame_report(&mut resolver, asked, frame, sources);
                let text = frame_text(&report, self.style);
                (Part { text, json: value(&report), code: report_code(&report) }, Some(model.frames[frame].record))
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
                (Part { text, json: value(&report), code: code_of_say(report.standing()) }, Some(model.parts[part].record))
            }
        };
        Ok(self.told(&resolver, record.into_iter().collect(), vec![part]))
    }

    fn bill(
        &self,
        serial: Option<&str>,
        which: &Which,
        request: Request,
        layout: Layout,
    ) -> Result<Answer, Trouble> {
        let model = self.model();
        let (mut resolver, asked) = self.resolver(serial, which)?;
        let none = |why: bill::Trouble| {
            let words = bill_trouble_words(why, model);
            match why {
                bill::Trouble::NoAirframePart | bill::Trouble::Loop | bill::Trouble::NoHistory => {
                    Trouble::stops_work(words)
                }
                bill::Trouble::NotFitted | bill::Trouble::TooMany(_) | bill::Trouble::TooLong(_) => Trouble::new(words),
            }
        };
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
        let mut json = bill_json(&made, model);
        json["asked"] = value(&asked);
        json["differs_on_other_basis"] = value(&differing_positions(&lines, model));
        let text = match self.format {
            Format::Csv => bill_csv(&made, model, view),
            Format::Text | Format::Json => {
                let style = self.style;
                format!("{}{}", bill_text(&made, model, view, style), bill_remarks(&asked, request, &lines, model, style))
            }
        };
        let code = if made.is_settled() && lines.is_empty() { 0 } else { 3 };
        Ok(self.told(&resolver, BTreeSet::new(), vec![Part { text, json, code }]))
    }

    fn jig(&self, name: Option<&str>, which: &Which) -> Result<Answer, Trouble> {
        let mut parts = Vec::new();
        let mut last = None;
        for jig in pick::jigs(self.model(), name)? {
            let asked_for = which.airframe.is_some() || which.on.is_some() || which.build.is_some();
            let (mut resolver, asked) = match self.model().jigs[jig].set_for {
                Some((airframe, state)) if !asked_for => {
                    let day = self.model().airframes[airframe].build_states[state].date;
                    self.resolver_for(airframe, Target { day, build_state: Some(state) }, Picked::JigSetFor)?
                }
                _ => self.resolver(which.airframe.as_deref(), which)?,
            };
            let report = jig_report(&mut resolver, asked, jig);
            let code = if report.is_wrong() {
                1
            } else if report.is_undecided() {
                3
            } else {
                0
            };
            parts.push(Part { text: jig_text(&report, self.style), json: value(&report), code });
            last = Some(resolver);
        }
        let resolver = last.expect("there is at least one jig");
        Ok(self.told(&resolver, BTreeSet::new(), parts))
    }

    fn why(&self, text: &str, which: &Which) -> Result<Answer, Trouble> {
        let subject = pick::why_subject(self.model(), text)?;
        let (mut resolver, asked) = self.resolver(which.airframe.as_deref(), which)?;
        let report = why_report(&mut resolver, asked, subject, &self.project.sources);
        let code = code_of_both(report.standing.firm, report.standing.held);
        let part = Part { text: why_text(&report, self.style), json: value(&report), code };
        Ok(self.told(&resolver, BTreeSet::new(), vec![part]))
    }

    /// The answer with what the dossiers' findings add to it.
    fn told(&self, resolver: &Resolver<'_>, mut records: BTreeSet<RecordRef>, parts: Vec<Part>) -> Answer {
        let airframe = resolver.history().airframe();
        records.insert(airframe.record);
        records.extend(airframe.claims.iter().map(|(_, _, claim)| claim.record));
        records.extend(airframe.evidence.iter().map(|(_, _, item)| item.record));
        let findings = self.project.check(self.graph);
        let touching = stops_in(&findings, &records);
        let mut err = String::new();
        if !touching.is_empty() {
            err.push_str("modstate: these findings stop work on what was asked for\n\n");
            err.push_str(&render_findings(&touching, &self.project.sources, self.style));
        }
        let stops = findings.iter().filter(|finding| finding.severity() == Severity::Stop).count();
        if stops > 0 {
            let findings = if stops == 1 { "1 finding stops".to_owned() } else { format!("{stops} findings stop") };
            err.push_str(&format!("modstate: {findings} work in this project; run `modstate check`\n"));
        }
        let code = parts.iter().fold(code_of(&touching), |code, part| graver(code, part.code));
        let out = match self.format {
            Format::Json => match &parts[..] {
                [one] => json(&one.json),
                several => json(&several.iter().map(|part| &part.json).collect::<Vec<_>>()),
            },
            Format::Text | Format::Csv => {
                parts.iter().map(|part| part.text.as_str()).collect::<Vec<_>>().join("\n\n")
            }
        };
        Answer { out, err, code }
    }
}

fn value(report: &impl Serialize) -> serde_json::Value {
    serde_json::to_value(report).expect("a report holds nothing that JSON cannot")
}

/// The exit code of what is so on both bases: undecided too if the doubtful claims make the difference.
fn code_of_both(firm: Say, held: Say) -> u8 {
    let code = graver(code_of_say(firm), code_of_say(held));
    if code == 0 && firm != held { 3 } else { code }
}

/// The exit code of a frame: a plate that is certainly wrong stops work.
fn report_code(report: &crate::report::FrameReport) -> u8 {
    let frame = code_of_both(report.standing.firm, report.standing.held);
    let settled = report.variants.len() == 1 || frame != 0;
    let jigs = report.jigs.iter().fold(0, |code, jig| {
        graver(code, if jig.is_wrong() { 1 } else if jig.is_undecided() { 3 } else { 0 })
    });
    graver(if settled { frame } else { 3 }, jigs)
}

fn record_of(place: &crate::finding::Place) -> Option<RecordRef> {
    match place {
        crate::finding::Place::Record(record, _) => Some(*record),
        crate::finding::Place::Bytes(..) => None,
    }
}
