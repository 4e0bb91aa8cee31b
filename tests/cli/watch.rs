//! Watching a copy of the demo while its files are saved in all the ways in which people and programs save them.
//!
//! No sleep proves anything here: each test waits for lines, for as long as a very slow machine may take.

use crate::{code, copy_folder, modstate, on_demo, root, text};
use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::path::PathBuf;
use std::process::{Child, ExitStatus, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

/// How long a test waits for something that must come.
const LONG: Duration = Duration::from_mins(2);
const CLAIMS: &str = "airframes/7C537/claims.ron";

/// The program watching a copy of the demo.
struct Watching {
    child: Child,
    lines: Option<Receiver<String>>,
    project: PathBuf,
    _folder: tempfile::TempDir,
}

impl Drop for Watching {
    fn drop(&mut self) {
        // It may have ended already.
        drop(self.child.kill());
        self.child.wait().expect("it has ended");
    }
}

impl Watching {
    fn start(args: &[&str]) -> Watching {
        let folder = tempfile::tempdir().expect("a folder");
        let project = folder.path().join("demo");
        copy_folder(&root().join("demo-airframe"), &project);
        let mut command = modstate(&[&["--project", "demo", "watch"], args].concat());
        command.current_dir(folder.path()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().expect("the program can be run");
        let out = BufReader::new(child.stdout.take().expect("a pipe"));
        let (sender, lines) = channel();
        std::thread::spawn(move || {
            for line in out.lines().map_while(Result::ok) {
                if sender.send(line).is_err() {
                    break;
                }
            }
        });
        Watching { child, lines: Some(lines), project, _folder: folder }
    }

    fn line(&self) -> String {
        self.lines.as_ref().expect("the pipe is open").recv_timeout(LONG).expect("a line comes")
    }
    fn object(&self) -> Value {
        let line = self.line();
        serde_json::from_str(&line).unwrap_or_else(|error| panic!("{error}: {line}"))
    }
    /// The lines up to the empty one that ends a block: the one after the line that counts.
    fn block(&self) -> String {
        let mut block = String::new();
        loop {
            let line = self.line();
            let quotes_a_file = line.contains('│');
            assert!(quotes_a_file || line.chars().count() <= 80 && !line.contains('\u{1b}'), "{line}");
            let ends = line.is_empty() && (block.contains(" work.\n") || block.contains(" ends it.\n"));
            block += &line;
            block.push('\n');
            if ends {
                return block;
            }
        }
    }
    fn path(&self, name: &str) -> PathBuf {
        self.project.join(name)
    }
    fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).expect("a file")
    }
    /// Saves as an editor does that writes in place.
    fn write(&self, name: &str, text: &str) {
        fs::write(self.path(name), text).expect("it can be written");
    }
    /// Saves as an editor does that writes beside the place and renames.
    fn rename(&self, name: &str, text: &str) {
        let beside = self.path(&format!("{name}~new"));
        fs::write(&beside, text).expect("it can be written");
        fs::rename(beside, self.path(name)).expect("it can be renamed");
    }
    /// Objects until the files that they name are those expected; the last one.
    fn until(&self, field: &str, expected: &[&str]) -> Value {
        let expected: BTreeSet<String> = expected.iter().map(|path| (*path).to_owned()).collect();
        let mut named = BTreeSet::new();
        loop {
            let object = self.object();
            named.extend(strings(&object[field]));
            assert!(named.is_subset(&expected), "{named:?} are more than {expected:?}");
            if named == expected {
                return object;
            }
        }
    }
    fn ended(&mut self) -> (ExitStatus, String) {
        let start = Instant::now();
        let status = loop {
            if let Some(status) = self.child.try_wait().expect("it can be asked") {
                break status;
            }
            assert!(start.elapsed() < LONG, "it does not end");
            std::thread::sleep(Duration::from_millis(5));
        };
        let mut err = String::new();
        self.child.stderr.take().expect("a pipe").read_to_string(&mut err).expect("text");
        (status, err)
    }
}

fn strings(list: &Value) -> Vec<String> {
    list.as_array().expect("a list").iter().map(|item| item.as_str().expect("a text").to_owned()).collect()
}

fn len(list: &Value) -> usize {
    list.as_array().expect("a list").len()
}

/// A claim that names a modification which does not exist.
fn broken(claims: &str) -> String {
    let broken = claims.replacen("Embodied(\"TM048\"", "Embodied(\"TM480\"", 1);
    assert_ne!(broken, claims);
    broken
}

#[test]
fn what_is_new_and_what_is_mended_is_said_once() {
    let watching = Watching::start(&[]);
    let claims = watching.read(CLAIMS);
    insta::assert_snapshot!("watch_begins", watching.block());
    watching.write(CLAIMS, &broken(&claims));
    insta::assert_snapshot!("watch_new", watching.block());
    watching.rename(CLAIMS, &format!("\n\n{claims}"));
    insta::assert_snapshot!("watch_mended", watching.block());
    watching.write(CLAIMS, &claims);
    insta::assert_snapshot!("watch_neither", watching.block());
}

#[test]
fn every_way_to_save_is_noticed() {
    let watching = Watching::start(&["--format", "json"]);
    let start = watching.object();
    let all: Value = serde_json::from_slice(&on_demo(&["check", "--format", "json"]).stdout).expect("JSON");
    assert_eq!(start["new"], all, "the first line has all findings");
    let (claims, made) = (watching.read(CLAIMS), watching.read("shop/made-parts.ron"));

    watching.write(CLAIMS, &broken(&claims));
    let new = watching.until("changed", &[CLAIMS]);
    let places = new["new"].as_array().expect("a list").iter().map(|finding| &finding["labels"][0]);
    let places: Vec<_> = places.map(|label| (label["file"].as_str(), label["line"].as_u64())).collect();
    assert!(places.contains(&(Some(CLAIMS), Some(8))), "{new}");
    watching.rename(CLAIMS, &claims);
    let mended = watching.until("changed", &[CLAIMS]);
    assert_eq!((len(&mended["new"]), &mended["mended"]), (len(&new["mended"]), &new["new"]));
    let all_of = |object: &Value| (object["stop"].clone(), object["undecided"].clone(), object["notes"].clone());
    assert_eq!(all_of(&mended), all_of(&start));

    watching.write(CLAIMS, "[");
    watching.write("shop/made-parts.ron", "[");
    let both = watching.until("changed", &[CLAIMS, "shop/made-parts.ron"]);
    assert!(both["stop"].as_u64() > start["stop"].as_u64(), "{both}");
    watching.rename("shop/made-parts.ron", &made);
    watching.rename(CLAIMS, &claims);
    assert_eq!(all_of(&watching.until("changed", &[CLAIMS, "shop/made-parts.ron"])), all_of(&start));

    fs::create_dir(watching.path("notes")).expect("a new folder");
    watching.write("notes/more.ron", "[\n    // Nothing yet.\n]\n");
    let added = watching.until("added", &["notes/more.ron"]);
    assert_eq!((len(&added["new"]), len(&added["mended"])), (0, 0), "{added}");
    fs::remove_file(watching.path("notes/more.ron")).expect("it is there");
    watching.until("gone", &["notes/more.ron"]);

    // Holes that a survey keeps in a file of its own.
    let holes = watching.read("shop/surveys/V1.csv");
    watching.write("shop/surveys/V1.csv", "no columns\n");
    assert!(len(&watching.until("changed", &["shop/surveys/V1.csv"])["new"]) > 0);
    watching.write("shop/surveys/V1.csv", &holes);
    assert_eq!(all_of(&watching.until("changed", &["shop/surveys/V1.csv"])), all_of(&start));

    // The scans go with it, and are no longer where the records say.
    fs::rename(watching.path("airframes/7C537"), watching.path("airframes/Skerrow")).expect("it can be moved");
    let moved = watching.object();
    assert_eq!((len(&moved["moved"]), len(&moved["new"]), len(&moved["mended"])), (4, 4, 0), "{moved}");
    let new = moved["new"].as_array().expect("a list").iter();
    assert!(new.clone().all(|finding| finding["code"] == "file-120"), "{moved}");
    watching.write("airframes/Skerrow/claims.ron", &broken(&claims));
    assert!(len(&watching.until("changed", &["airframes/Skerrow/claims.ron"])["new"]) > 0);
}

#[test]
fn what_leaves_the_files_as_they_were_is_not_spoken_of() {
    let watching = Watching::start(&["--format", "json"]);
    watching.object();
    let claims = watching.read(CLAIMS);
    watching.write(CLAIMS, &claims);
    watching.rename(CLAIMS, &claims);
    watching.write(".hidden.ron", "[");
    watching.write("notes.txt", "not a dossier");
    watching.write("shop/jigs.ron", &format!("{}\n", watching.read("shop/jigs.ron")));
    let next = watching.object();
    assert_eq!(strings(&next["changed"]), ["shop/jigs.ron"]);
    assert_eq!((len(&next["new"]), len(&next["mended"]), len(&next["added"])), (0, 0, 0), "{next}");
}

#[test]
fn a_half_saved_file_raises_no_alarm() {
    let watching = Watching::start(&["--format", "json"]);
    watching.object();
    let claims = watching.read(CLAIMS);
    // Where the machine holds up the writer or the watcher for long, one try more is fair.
    let quiet = (0..10).any(|nth| {
        let mut file = fs::File::create(watching.path(CLAIMS)).expect("it can be written");
        for piece in claims.as_bytes().chunks(100) {
            file.write_all(piece).expect("it can be written");
        }
        writeln!(file, "// Saved {nth} times.").expect("it can be written");
        drop(file);
        let first = watching.object();
        let quiet = (len(&first["new"]), len(&first["mended"])) == (0, 0);
        let mut last = first;
        let standing = |object: &Value| len(&object["mended"]) >= len(&object["new"]);
        while !standing(&last) {
            last = watching.object();
        }
        quiet
    });
    assert!(quiet, "each of ten saves gave an alarm");
}

#[test]
fn a_closed_pipe_ends_it() {
    let mut watching = Watching::start(&[]);
    watching.block();
    watching.lines = None;
    let claims = watching.read(CLAIMS);
    let start = Instant::now();
    // The thread that reads ends with the first line that nobody wants, and closes the pipe.
    for nth in 0.. {
        watching.write(CLAIMS, &format!("{claims}// Saved {nth} times.\n"));
        std::thread::sleep(Duration::from_millis(200));
        if watching.child.try_wait().expect("it can be asked").is_some() {
            break;
        }
        assert!(start.elapsed() < LONG, "it does not end");
    }
    let (status, err) = watching.ended();
    assert_eq!((status.code(), err.as_str()), (Some(1), ""), "the demo has findings that stop work");
}

#[test]
fn a_folder_that_is_gone_ends_it() {
    for away in ["removed", "moved"] {
        let mut watching = Watching::start(&[]);
        watching.block();
        if away == "removed" {
            fs::remove_dir_all(&watching.project).expect("it is there");
        } else {
            fs::rename(&watching.project, watching.project.with_file_name("elsewhere")).expect("it is there");
        }
        let (status, err) = watching.ended();
        assert_eq!(status.code(), Some(2), "{away}: {err}");
        let first = err.lines().next().expect("a sentence");
        assert!(first.ends_with("demo` is gone: nothing is watched any more"), "{err}");
    }
    let none = modstate(&["--project", "no-such-folder", "watch"]).output().expect("the program can be run");
    assert_eq!(code(&none), 2, "{}", text(&none.stderr));
}

#[test]
fn a_folder_that_holds_no_project_any_more_ends_it() {
    let mut watching = Watching::start(&[]);
    watching.block();
    fs::rename(watching.project.join("type"), watching.project.join("type2")).expect("it is there");
    let (status, err) = watching.ended();
    assert_eq!(status.code(), Some(2), "{err}");
    let first = err.lines().next().expect("a sentence");
    assert!(first.ends_with("demo` is no project folder any more: nothing is watched"), "{err}");
}

#[test]
fn a_folder_put_in_the_place_of_the_old_one_is_watched() {
    let watching = Watching::start(&["--format", "json"]);
    watching.object();
    let other = watching.project.with_file_name("other");
    copy_folder(&watching.project, &other);
    fs::write(other.join("notes.ron"), "[]\n").expect("it can be written");
    fs::rename(&watching.project, watching.project.with_file_name("old")).expect("it can be moved");
    fs::rename(&other, &watching.project).expect("it can be moved");
    watching.until("added", &["notes.ron"]);
    watching.write("notes.ron", "[\n]\n");
    watching.until("changed", &["notes.ron"]);
}

#[cfg(unix)]
#[test]
fn ctrl_c_ends_it_with_the_code_of_the_last_look() {
    for signal in ["-INT", "-TERM"] {
        let mut watching = Watching::start(&[]);
        watching.block();
        let kill = std::process::Command::new("kill").args([signal, &watching.child.id().to_string()]).status();
        assert!(kill.expect("there is a `kill`").success());
        let (status, err) = watching.ended();
        assert_eq!((status.code(), err.as_str()), (Some(code(&on_demo(&["check"]))), ""));
    }
}

/// `cargo test --release --test cli -- findings_appear --nocapture` prints the figures.
#[test]
fn findings_appear_soon_after_the_save() {
    let watching = Watching::start(&["--format", "json"]);
    watching.object();
    let claims = watching.read(CLAIMS);
    let mut waits: Vec<Duration> = Vec::new();
    for nth in 0..10 {
        let text = if nth % 2 == 0 { broken(&claims) } else { claims.clone() };
        let beside = watching.path("claims.ron~new");
        fs::write(&beside, text).expect("it can be written");
        let saved = Instant::now();
        fs::rename(beside, watching.path(CLAIMS)).expect("it can be renamed");
        let said = watching.object();
        waits.push(saved.elapsed());
        assert!(len(&said["new"]) + len(&said["mended"]) > 0, "{said}");
    }
    waits.sort();
    let checks = (0..3).map(|_| {
        let start = Instant::now();
        on_demo(&["check"]);
        start.elapsed()
    });
    let check = checks.min().expect("three");
    writeln!(
        std::io::stdout(),
        "watch on the demo, from the save to the line: fastest of 10 {:.0?}, median {:.0?}, slowest {:.0?}; one `check` \
         takes {check:.0?}",
        waits[0], waits[5], waits[9]
    )
    .expect("standard output takes it");
    let fair = if cfg!(debug_assertions) { Duration::from_millis(200) + 3 * check } else { Duration::from_millis(200) };
    assert!(waits[0] < fair, "{waits:?}");
}
