//! The build book, read, searched and printed by a browser. Where there is no Chromium, each check says that it is skipped.

mod browser;
mod dates;
mod hostile;
mod lost;
mod pack;
mod print;
mod reading;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::OnceLock;

/// The program on a project.
fn modstate(project: &Path, args: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_modstate"));
    command.arg("--project").arg(project).args(args).stdin(Stdio::null());
    command.output().expect("the program can be run")
}

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-airframe")
}

/// The demo copied into a folder, each of its dossiers changed on the way.
fn changed_demo(to: &Path, change: &dyn Fn(&Path, String) -> String) {
    fn copy(from: &Path, to: &Path, change: &dyn Fn(&Path, String) -> String) {
        fs::create_dir_all(to).expect("a folder");
        for entry in fs::read_dir(from).expect("a folder").map(|entry| entry.expect("an entry")) {
            let (path, target) = (entry.path(), to.join(entry.file_name()));
            if path.is_dir() {
                copy(&path, &target, change);
            } else if path.extension().is_some_and(|end| end == "ron") {
                let text = fs::read_to_string(&path).expect("text");
                fs::write(target, change(&path, text)).expect("a file");
            } else {
                fs::copy(&path, target).expect("a file");
            }
        }
    }
    copy(&demo(), to, change);
}

/// A file made from a project, in a folder that lasts as long as it is held.
struct MadeFile {
    folder: tempfile::TempDir,
}

impl MadeFile {
    fn path(&self) -> PathBuf {
        self.folder.path().join("book.html")
    }
    fn text(&self) -> String {
        std::fs::read_to_string(self.path()).expect("the book is there")
    }
}

/// The whole book of the demo, made once.
fn whole_book() -> &'static MadeFile {
    static MADE: OnceLock<MadeFile> = OnceLock::new();
    MADE.get_or_init(|| book(&demo(), &["7C537"]))
}

/// The book of an airframe.
fn book(project: &Path, args: &[&str]) -> MadeFile {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("book.html");
    let out = out.to_str().expect("a path of letters");
    let all: Vec<&str> =
        ["book"].iter().chain(args).chain(&["--printed", "2024-05-06", "--out", out]).copied().collect();
    let run = modstate(project, &all);
    assert!(matches!(run.status.code(), Some(0 | 1 | 3)), "{}", String::from_utf8_lossy(&run.stderr));
    MadeFile { folder }
}
