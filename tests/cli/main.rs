//! The program as people run it, on the demo.

mod demo;
mod files;
mod forms;
mod json;
#[cfg(unix)]
mod killed;
mod pictures;
#[path = "../oracles/python.rs"]
mod python;
mod readme;
mod reference;
mod refusals;
mod since;
mod streams;
mod tables;
mod template;
mod watch;

use std::path::PathBuf;
use std::process::{Command, Output, Stdio};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// The program, at the top of the repository, without a terminal.
fn modstate(args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_modstate"));
    command.args(args).current_dir(root()).env_remove("NO_COLOR").stdin(Stdio::null());
    command
}

/// What the program says on the demo.
fn on_demo(args: &[&str]) -> Output {
    let whole: Vec<&str> = ["--project", "demo-airframe"].iter().chain(args).copied().collect();
    modstate(&whole).output().expect("the program can be run")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("the program writes UTF-8")
}

fn code(output: &Output) -> i32 {
    output.status.code().expect("the program ends by itself")
}

/// The exit code, standard output and standard error, for a snapshot.
fn shown(output: &Output) -> String {
    let err = text(&output.stderr);
    let err = if err.is_empty() { String::new() } else { format!("\n--- standard error\n{err}") };
    format!("exit code {}\n{}{err}", code(output), text(&output.stdout))
}
