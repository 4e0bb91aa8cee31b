//! The command line: verbs, options, exit codes.
//!
//! The only room that knows of the clock, the environment, the terminal and the two output streams. [`run`] works out
//! the whole answer first; [`main`] writes it. Only `watch`, whose answer has no end, is written piece by piece.

mod args;
mod command;
mod desk;
mod pick;
mod question;
mod suppose;
mod verbs;
mod writing;

use crate::answers::Outcome;
use crate::finding::{Finding, Severity};
use crate::layout::Style;
use crate::project::Project;
use crate::source::ReadError;
use args::{Colour, Common};
use clap::FromArgMatches;
use command::Args;
use desk::Desk;
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
    /// The day, as `2024-05-06`: what is printed carries it.
    pub today: String,
    /// Told how much of a long piece of work is done, of how much.
    pub progress: Option<fn(usize, usize)>,
    /// Writes a part of a long answer to standard output at once.
    pub tell: fn(&str) -> std::io::Result<()>,
}

impl Around {
    /// Tells how much of a long piece of work is done.
    fn progress(&self, done: usize, of: usize) {
        if let Some(tell) = self.progress {
            tell(done, of);
        }
    }
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
        today: jiff::ZonedDateTime::now().date().to_string(),
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
    let command = Args::described().term_width(usize::from(around.terminal.unwrap_or(80)));
    let matches = command.try_get_matches_from(&around.args);
    let args = match matches.and_then(|matches| Args::from_arg_matches(&matches)) {
        Ok(args) => args,
        Err(error) => return of_parse_error(&error, around),
    };
    let desk = Desk::new(&args.common, around, style(&args.common, around), opened, Args::described);
    let verb = args.asked.verb();
    verb.comes_as(desk.format).and_then(|()| verb.run(&desk)).unwrap_or_else(answer_of)
}

/// A trouble as an answer.
fn answer_of(trouble: Trouble) -> Answer {
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

fn clean(out: String) -> Answer {
    Answer { out, ..Answer::default() }
}

fn json(value: &impl Serialize) -> String {
    let text = serde_json::to_string_pretty(value).expect("a report holds nothing that JSON cannot");
    format!("{text}\n")
}

/// What findings come to.
fn outcome_of(findings: &[Finding]) -> Outcome {
    let has = |severity| findings.iter().any(|finding| finding.severity() == severity);
    Outcome::of(has(Severity::Stop), has(Severity::Undecided))
}
