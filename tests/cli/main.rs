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

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Copies a folder with all that lies below it.
fn copy_folder(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder");
    for entry in std::fs::read_dir(from).expect("a folder") {
        let path = entry.expect("an entry").path();
        let target = to.join(path.file_name().expect("a name"));
        if path.is_dir() {
            copy_folder(&path, &target);
        } else {
            std::fs::copy(&path, &target).expect("a copy");
        }
    }
}

/// A copy of the demo, to be changed.
fn copy_of_the_demo() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    copy_folder(&root().join("demo-airframe"), folder.path());
    folder
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
