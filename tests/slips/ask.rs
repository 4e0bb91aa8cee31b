//! The way into the program. Nothing else here calls it.

use modstate::cli::{Around, run, run_in};
use modstate::project::Project;
use std::cell::Cell;
use std::ffi::OsString;
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind, set_hook, take_hook};
use std::path::{Path, PathBuf};

thread_local! {
    /// Whether this thread is inside the program.
    static ASKING: Cell<bool> = const { Cell::new(false) };
}

/// Keeps panics of the program off standard error: they are counted, and reported with their slip.
pub(crate) fn hush() {
    let usual = take_hook();
    set_hook(Box::new(move |info| {
        if !ASKING.get() {
            usual(info);
        }
    }));
}

/// What the program said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Said {
    pub out: String,
    pub err: String,
    pub code: u8,
    pub panicked: bool,
}

/// A project that can be asked.
pub(crate) struct Opened {
    project: Project,
}

impl Opened {
    /// A project of these files.
    pub(crate) fn new(files: &[(PathBuf, String)]) -> Opened {
        Opened { project: Project::from_texts(files.to_vec()) }
    }

    /// The program's answer to a command line without its name.
    pub(crate) fn ask(&self, args: &[&str]) -> Said {
        said(Path::new("."), args, Some(&self.project))
    }
}

/// The files of the project that `new` makes.
pub(crate) fn starter() -> Vec<(PathBuf, String)> {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let said = said(folder.path(), &["new", "shed"], None);
    assert_eq!(said.code, 0, "{}", said.err);
    files_below(&folder.path().join("shed"))
}

/// The files of a project folder, sorted by path.
pub(crate) fn files_below(top: &Path) -> Vec<(PathBuf, String)> {
    let (mut found, mut folders) = (Vec::new(), vec![top.to_path_buf()]);
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let text = String::from_utf8_lossy(&fs::read(&path).expect("a file")).into_owned();
                found.push((path.strip_prefix(top).expect("below the top").to_path_buf(), text));
            }
        }
    }
    found.sort();
    found
}

fn said(folder: &Path, args: &[&str], project: Option<&Project>) -> Said {
    let words = ["modstate", "--width", "500"].iter().chain(args).map(OsString::from).collect();
    let around = Around {
        args: words,
        folder: folder.to_path_buf(),
        no_color: true,
        terminal: None,
        today: "2024-05-06".to_owned(),
        progress: None,
        tell: |_| Ok(()),
    };
    ASKING.set(true);
    let answer =
        catch_unwind(AssertUnwindSafe(|| project.map_or_else(|| run(&around), |project| run_in(project, &around))));
    ASKING.set(false);
    match answer {
        Ok(answer) => Said { out: answer.out, err: answer.err, code: answer.code, panicked: false },
        Err(_) => Said { out: String::new(), err: String::new(), code: 101, panicked: true },
    }
}
