//! The command line: verbs, options, exit codes.
//!
//! The only room that knows of the clock, the environment, the terminal and the two output streams. [`run`] works out
//! the whole answer first; [`main`] writes it. Only `watch`, whose answer has no end, is told piece by piece.

mod args;
mod floor;
mod intake;
mod paper;
mod pick;
mod project;
mod question;
mod starter;
mod suppose;
mod watch;
mod writing;

use crate::check::Scope;
use crate::finding::{Finding, Severity};
use crate::graph::Graph;
use crate::model::lower::nearest;
use crate::project::Project;
use crate::report::{
    Outcome, Style, Topic, book_json, book_text, closing, entry_text, findings_json, kinds_text, records_report,
    records_text, reference_markdown, render_findings, topic_json, topic_text,
};
use crate::source::ReadError;
use args::{Args, Colour, Common, Format, Verb};
use clap::{CommandFactory, FromArgMatches};
use question::{Part, Question};
use serde::Serialize;
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
    /// Told how much of a long piece of work is done, of how much.
    pub progress: Option<fn(usize, usize)>,
    /// Writes a part of a long answer to standard output at once.
    pub tell: fn(&str) -> std::io::Result<()>,
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
        progress: std::io::stderr().is_terminal().then_some(show_progress),
        tell: show,
    });
    // Whoever closes the pipe has read enough: that is no fault of the answer.
    let written = |result: std::io::Result<()>| match result {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => false,
        Err(_) | Ok(()) => true,
    };
    let err = written(std::io::stderr().write_all(answer.err.as_bytes()));
    let out = written(show(&answer.out));
    ExitCode::from(if out && err { answer.code } else { 2 })
}

/// Writes over the last line of a terminal how much is done.
fn show_progress(done: usize, of: usize) {
    if done == of || done.is_multiple_of(64) {
        let end = if done == of { "\n" } else { "" };
        // A terminal that went away needs no progress.
        drop(write!(std::io::stderr(), "\r{done} of {of}{end}"));
    }
}

/// Writes to standard output at once.
fn show(text: &str) -> std::io::Result<()> {
    let mut stdout = std::io::stdout().lock();
    stdout.write_all(text.as_bytes())?;
    stdout.flush()
}

/// Works out the answer to a command line.
#[must_use]
pub fn run(around: &Around) -> Answer {
    work_out(around, None)
}

/// Works out the answer to a command line about a project that is open already; `--project` is not looked at.
#[must_use]
pub fn run_in(project: &Project, around: &Around) -> Answer {
    work_out(around, Some(project))
}

fn work_out(around: &Around, opened: Option<&Project>) -> Answer {
    let command = Args::command().term_width(usize::from(around.terminal.unwrap_or(80)));
    let matches = command.try_get_matches_from(&around.args);
    let args = match matches.and_then(|matches| Args::from_arg_matches(&matches)) {
        Ok(args) => args,
        Err(error) => return of_parse_error(&error, around),
    };
    let style = style(&args.common, around);
    answer(&args, around, style, opened).unwrap_or_else(told)
}

/// The project that is open, or else the one that the command line means, opened into `own`.
fn project_of<'p>(
    opened: Option<&'p Project>,
    own: &'p mut Option<Project>,
    common: &Common,
    around: &Around,
) -> Result<&'p Project, Trouble> {
    match opened {
        Some(project) => Ok(project),
        None => Ok(own.insert(project::open(common.project.as_deref(), &around.folder)?)),
    }
}

/// A trouble as an answer.
fn told(trouble: Trouble) -> Answer {
    let help = trouble.help.map(|help| format!("  help: {help}\n")).unwrap_or_default();
    Answer { err: format!("modstate: {}\n{help}", trouble.message), code: trouble.code, ..Answer::default() }
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

fn answer(args: &Args, around: &Around, style: Style, opened: Option<&Project>) -> Result<Answer, Trouble> {
    let common = &args.common;
    let mut own = None;
    bill_only(args)?;
    drawn_only(args)?;
    match &args.verb {
        Verb::Explain { markdown: true, .. } => Ok(clean(reference_markdown())),
        Verb::Explain { topic, .. } => explain(topic.as_deref(), common.format, style),
        Verb::Completions { shell } => {
            let mut script = Vec::new();
            clap_complete::generate(*shell, &mut Args::command(), "modstate", &mut script);
            Ok(clean(String::from_utf8_lossy(&script).into_owned()))
        }
        Verb::Man { verb } => man(verb.as_deref()),
        Verb::New { folder } => starter::start(&around.folder, folder).map(clean),
        Verb::Check => {
            let project = project_of(opened, &mut own, common, around)?;
            Ok(check(project, common.format, style))
        }
        Verb::Watch => watch::watch(common.project.as_deref(), around, (common.format, style)),
        Verb::Intake { file, kind, mapping, sheet, into, write } => {
            let project = project::open(common.project.as_deref(), &around.folder)?;
            let (mapping, into) = (mapping.as_deref(), into.as_deref());
            let request = intake::Request { file, kind: *kind, mapping, sheet: sheet.as_deref(), into, write: *write };
            intake::intake(project, &request, around, (common.format, style))
        }
        Verb::Records => {
            let project = project_of(opened, &mut own, common, around)?;
            Ok(records(project, common.format, style))
        }
        Verb::State { .. }
        | Verb::Variant { .. }
        | Verb::Bill { .. }
        | Verb::Jig { .. }
        | Verb::Rework { .. }
        | Verb::Survey { .. }
        | Verb::Picture { .. }
        | Verb::Template { .. }
        | Verb::Why { .. }
        | Verb::Seek { .. }
        | Verb::Differ { .. }
        | Verb::Fleet { .. }
        | Verb::Rack { .. }
        | Verb::Todo { .. }
        | Verb::Tools { .. }
        | Verb::Drawings { .. }
        | Verb::Decisions { .. }
        | Verb::Flat { .. } => {
            let project = project_of(opened, &mut own, common, around)?;
            let mut supposed = None;
            if let Some((serial, which)) = args.verb.supposing() {
                let book = pick::Book { model: &project.model, sources: &project.sources };
                let airframe = pick::airframe(book, serial)?;
                suppose::apply(project, supposed.insert(project.model.clone()), airframe, which)?;
            }
            let model = supposed.as_ref().unwrap_or(&project.model);
            let graph = Graph::new(model);
            let question = Question { project, model, graph: &graph, format: common.format, style, around };
            question.answer(&args.verb)
        }
    }
}

/// Refuses JSON for what comes as a drawing only.
fn drawn_only(args: &Args) -> Result<(), Trouble> {
    let (what, help) = if matches!(args.verb, Verb::Picture { .. }) {
        let help =
            "leave out `--format`, or ask `modstate variant` or `modstate survey` for what the picture is made of";
        ("a picture", help)
    } else if matches!(args.verb, Verb::Template { .. }) {
        ("a template", "leave out `--format`: a template is DXF")
    } else {
        return Ok(());
    };
    if args.common.format == Format::Json {
        return Err(Trouble::new(format!("{what} is not written as JSON")).help(help));
    }
    Ok(())
}

/// Refuses formats that only a bill comes in, and a workbook without a file to go to.
fn bill_only(args: &Args) -> Result<(), Trouble> {
    let only = match args.common.format {
        Format::Csv => "`csv`",
        Format::Xlsx => "`xlsx`",
        Format::Text | Format::Json => return Ok(()),
    };
    if !matches!(args.verb, Verb::Bill { .. }) {
        return Err(Trouble::new(format!("{only} is for `modstate bill` only")).help("ask for `text` or `json`"));
    }
    if args.common.format == Format::Xlsx && matches!(args.verb, Verb::Bill { out: None, .. }) {
        let help = "name the file that it goes into, as in `--out bill.xlsx`";
        return Err(Trouble::new("a workbook is no text for standard output").help(help));
    }
    Ok(())
}

fn clean(out: String) -> Answer {
    Answer { out, ..Answer::default() }
}

fn json(value: &impl Serialize) -> String {
    let text = serde_json::to_string_pretty(value).expect("a report holds nothing that JSON cannot");
    format!("{text}\n")
}

fn explain(topic: Option<&str>, format: Format, style: Style) -> Result<Answer, Trouble> {
    let is_json = format == Format::Json;
    let Some(text) = topic.map(str::trim) else {
        return Ok(clean(if is_json { json(&book_json(crate::codes::all())) } else { book_text(style) }));
    };
    if text.eq_ignore_ascii_case("records") {
        let all = || Topic::all().map(topic_json).collect::<Vec<_>>();
        return Ok(clean(if is_json { json(&all()) } else { kinds_text(style) }));
    }
    if let Some(topic) = Topic::all().find(|topic| topic.name().eq_ignore_ascii_case(text)) {
        return Ok(clean(if is_json { json(&topic_json(topic)) } else { topic_text(topic, style) }));
    }
    if let Some(code) = crate::codes::Code::find(text) {
        return Ok(clean(if is_json { json(&book_json([code])) } else { entry_text(code, style) }));
    }
    // What has a figure in it was meant as a code.
    let near = if text.contains(|c: char| c.is_ascii_digit()) {
        return Err(
            Trouble::new(format!("no finding has the code `{text}`")).help("`modstate explain` lists all codes")
        );
    } else {
        nearest(text, Topic::all().map(Topic::name))
    };
    let help = near
        .map_or_else(|| "`modstate explain` lists all records".to_owned(), |near| format!("did you mean `{near}`?"));
    Err(Trouble::new(format!("no record is called `{text}`")).help(help))
}

fn man(verb: Option<&str>) -> Result<Answer, Trouble> {
    let mut command = Args::command();
    command.build();
    if let Some(name) = verb {
        let found = command.find_subcommand(name).cloned();
        command = found
            .ok_or_else(|| Trouble::new(format!("`{name}` is no verb")).help("`modstate --help` lists the verbs"))?;
    }
    let mut page = Vec::new();
    clap_mangen::Man::new(command).render(&mut page).expect("writing to memory does not fail");
    Ok(clean(String::from_utf8_lossy(&page).into_owned()))
}

fn check(project: &Project, format: Format, style: Style) -> Answer {
    let findings = project.check(&Graph::new(&project.model), Scope::Whole);
    let out = match format {
        Format::Json => json(&findings_json(&findings, &project.sources)),
        Format::Text | Format::Csv | Format::Xlsx if findings.is_empty() => {
            format!("Nothing found.\n\n{}", closing(&[], style))
        }
        Format::Text | Format::Csv | Format::Xlsx => {
            format!("{}\n{}", render_findings(&findings, &project.sources, style), closing(&[], style))
        }
    };
    Answer { out, code: outcome_of(&findings).exit_code(), ..Answer::default() }
}

/// What was read and taken in; the findings of reading say what is missing from it.
fn records(project: &Project, format: Format, style: Style) -> Answer {
    let report = records_report(&project.model, &project.records, &project.sources);
    let part = Part::of(&report, |style| records_text(&report, style));
    question::told(project, &[part], &[], (format, style))
}

/// What findings come to.
fn outcome_of(findings: &[Finding]) -> Outcome {
    let has = |severity| findings.iter().any(|finding| finding.severity() == severity);
    Outcome::of(has(Severity::Stop), has(Severity::Undecided))
}
