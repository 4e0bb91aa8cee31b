//! A run that is killed while it writes leaves the old file or the new one.
//!
//! The kill is exact, not a matter of luck: the system ends a process at the byte at which it writes more into a file
//! than it was allowed (`ulimit -f`, in units of 512 bytes by POSIX, of 1024 in some shells).

use crate::modstate;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

/// The files of a folder by their names, less those that a run cut short leaves behind; and how many of these there are.
fn files(folder: &Path) -> (BTreeMap<String, Vec<u8>>, usize) {
    let mut found = BTreeMap::new();
    let mut left = 0;
    let mut folders = vec![folder.to_owned()];
    while let Some(at) = folders.pop() {
        for entry in fs::read_dir(at).expect("a folder") {
            let path = entry.expect("an entry").path();
            let name = path.strip_prefix(folder).expect("it lies below").to_string_lossy().into_owned();
            if path.is_dir() {
                folders.push(path);
            } else if path.file_name().is_some_and(|name| name.to_string_lossy().starts_with(".writing-")) {
                left += 1;
            } else {
                found.insert(name, fs::read(path).expect("a file"));
            }
        }
    }
    (found, left)
}

/// Runs the program with files limited to so many blocks; whether it was killed.
fn killed(folder: &Path, args: &[&str], blocks: usize) -> bool {
    let mut command = Command::new("sh");
    command.args(["-c", "ulimit -f \"$0\"; exec \"$@\"", &blocks.to_string(), env!("CARGO_BIN_EXE_modstate")]);
    let status = command.args(args).current_dir(folder).stdout(Stdio::null()).stderr(Stdio::null()).status();
    status.expect("there is a shell").code().is_none()
}

/// Kills a run at more and more bytes until it gets through; every file is then as before or as after a whole run.
fn at_every_write(args: &[&str], prepare: impl Fn(&Path)) {
    let folder = tempfile::tempdir().expect("a folder");
    prepare(folder.path());
    let (before, _) = files(folder.path());
    assert!(modstate(args).current_dir(folder.path()).output().expect("it runs").status.code() != Some(2));
    let (after, left) = files(folder.path());
    assert!(left == 0 && after != before, "{args:?} writes something");
    for blocks in 0..400 {
        let folder = tempfile::tempdir().expect("a folder");
        prepare(folder.path());
        let was_killed = killed(folder.path(), args, blocks);
        let (now, left) = files(folder.path());
        for (name, bytes) in &now {
            let whole = before.get(name) == Some(bytes) || after.get(name) == Some(bytes);
            assert!(whole, "`{name}` is neither the old one nor the new one: {args:?} killed at {blocks} blocks");
        }
        assert!(before.keys().all(|name| now.contains_key(name)), "{args:?} killed at {blocks} blocks lost a file");
        if !was_killed {
            assert_eq!((now, left), (after, 0), "{args:?}");
            assert!(blocks > 0, "{args:?}: some runs were killed");
            return;
        }
        assert_eq!(left, 1, "it was killed while it wrote");
    }
    panic!("{args:?} never got through");
}

fn demo_part(folder: &Path) {
    fs::write(folder.join("bill.xlsx"), "an older workbook").expect("a file");
    fs::write(folder.join("f14.svg"), "an older picture").expect("a file");
    fs::write(folder.join("bill.csv"), "an older list").expect("a file");
}

#[test]
fn a_replaced_file_is_the_old_one_or_the_new_one() {
    let demo = crate::root().join("demo-airframe");
    let demo = demo.to_str().expect("a path in UTF-8");
    let on = |args: &[&str]| at_every_write(&[&["--project", demo], args].concat(), demo_part);
    on(&["bill", "7C537", "--of", "27-1400/20", "--format", "xlsx", "--out", "bill.xlsx"]);
    on(&["bill", "7C537", "--of", "F14", "--format", "csv", "--out", "bill.csv"]);
    on(&["picture", "F14", "-a", "7C537", "--out", "f14.svg"]);
}

#[test]
fn a_dossier_file_is_there_whole_or_not_at_all() {
    at_every_write(&["new", "shed"], |_| ());
    let rows = (1..60).map(|nth| format!("X-{nth},Rib with a long description,Made\n"));
    let sheet = "number,description,source\n".to_owned() + &rows.collect::<String>();
    at_every_write(&["--project", ".", "intake", "list.csv", "--as", "parts", "--write"], |folder| {
        let started = modstate(&["new", "."]).current_dir(folder).output().expect("it runs");
        assert!(started.status.success());
        fs::write(folder.join("list.csv"), &sheet).expect("a file");
    });
}

#[test]
fn what_a_killed_run_leaves_behind_belongs_to_no_project() {
    let folder = tempfile::tempdir().expect("a folder");
    let run = |args: &[&str]| modstate(args).current_dir(folder.path()).output().expect("it runs");
    assert!(run(&["new", "."]).status.success());
    fs::write(folder.path().join("type/.writing-x.ron"), "[ Part(").expect("a file");
    let checked = run(&["check"]);
    assert!(checked.status.success() && checked.stdout.starts_with(b"Nothing found.\n\n"), "{checked:?}");
}
