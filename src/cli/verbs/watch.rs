//! `watch`: keeping an eye on a project folder: what is saved is checked, and what changed by it is said at once.
//!
//! The system tells of a save in several pieces, and editors save in several steps. So nothing is read before the folder
//! has been quiet for a moment; and a file that is suddenly empty or gone is given a little longer, because it may be
//! on its way back. What is said depends only on what the files hold before and after, not on what the system said of them.

use super::Verb;
use crate::answers::{ProjectSnapshot, WatchReport, watch_page, watch_report};
use crate::check::accepted::Checked;
use crate::cli::args::Format;
use crate::cli::desk::{Desk, folder};
use crate::cli::{Answer, Around, Trouble, outcome_of, pick};
use crate::finding::Severity;
use crate::graph::Graph;
use crate::layout::Style;
use crate::project::Project;
use crate::quantity::Day;
use crate::source::find_project;
use notify::{EventKind, RecommendedWatcher, RecursiveMode, Watcher, event::ModifyKind};
use std::path::Path;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::{Duration, Instant};

/// Checks as files are saved: what is new, what is cleared; as JSON, one object a line
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct WatchVerb {}

impl Verb for WatchVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        watch(desk.named, desk.around, desk.format, desk.style)
    }
}

/// How long the folder must be quiet before it is read.
const SETTLED: Duration = Duration::from_millis(40);
/// How much longer where a file is suddenly empty or gone.
const ON_ITS_WAY: Duration = Duration::from_millis(80);
/// How long reading is put off at most, however much is being saved.
const AT_MOST: Duration = Duration::from_secs(1);
/// How often it is looked whether the folder is still there: of folders above it no system tells.
const STILL_THERE: Duration = Duration::from_millis(500);

/// What there is to wake up for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Notice {
    /// Something in the folder changed.
    Saved,
    /// The folder itself was moved or taken away, and perhaps another put in its place.
    Folder,
    /// The person wants it to end.
    End,
}

/// Watches until it is ended, nobody reads on, or the folder is gone. The exit code is that of the last look.
fn watch(given: Option<&Path>, around: &Around, format: Format, style: Style) -> Result<Answer, Trouble> {
    let root = folder(given, &around.folder)?;
    let (sender, notices) = channel();
    let mut eyes = open(&root, &sender)?;
    let end = sender.clone();
    ctrlc::set_handler(move || {
        end.send(Notice::End).ok();
    })
    .map_err(|error| Trouble::new(format!("Ctrl-C cannot be listened for: {error}")))?;
    let name = given.unwrap_or(&root).display().to_string();
    let tell = |report: &WatchReport, now: &ProjectSnapshot| {
        let text = match format {
            Format::Json => {
                let line = serde_json::to_string(report).expect("a report holds nothing that JSON cannot");
                format!("{line}\n")
            }
            Format::Text | Format::Csv | Format::Xlsx => watch_page(report, &name, now, style).text(style),
        };
        (around.tell)(&text)
    };
    let today = pick::day(&around.today)?;
    let mut seen = look(&root, today)?;
    let mut written = tell(&watch_report(None, &seen), &seen);
    while written.is_ok() {
        let notice = match notices.recv_timeout(STILL_THERE) {
            Ok(Notice::End) => break,
            Ok(notice) => notice,
            Err(RecvTimeoutError::Timeout | RecvTimeoutError::Disconnected) if root.is_dir() => continue,
            Err(_) => Notice::Folder,
        };
        let Some(last) = settled(notice, SETTLED, &notices) else { break };
        let mut looked = look_again(&root, today, &seen);
        if looked.as_ref().map_or(true, |(now, report)| is_on_its_way(report, now)) {
            if settled(Notice::Saved, ON_ITS_WAY, &notices).is_none() {
                break;
            }
            looked = look_again(&root, today, &seen);
        }
        let (mut now, mut report) = looked?;
        if last == Notice::Folder {
            eyes = open(&root, &sender)?;
            // What was saved before the new eyes were open.
            (now, report) = look_again(&root, today, &seen)?;
        }
        if !report.is_idle() {
            written = tell(&report, &now);
            seen = now;
        }
    }
    drop(eyes);
    match written {
        // Whoever closes the pipe has read enough.
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(Trouble::new(format!("standard output cannot be written: {error}")))
        }
        Err(_) | Ok(()) => Ok(Answer { code: outcome_of(&seen.findings).exit_code(), ..Answer::default() }),
    }
}

/// Sends a notice of everything in the folder that may matter.
fn open(root: &Path, sender: &Sender<Notice>) -> Result<RecommendedWatcher, Trouble> {
    let (sender, folder) = (sender.clone(), root.to_owned());
    let notify_of = move |event: notify::Result<notify::Event>| {
        if let Some(notice) = event.map_or(Some(Notice::Saved), |event| notice_of(&event, &folder)) {
            // Nobody waits for it any more when the program ends.
            sender.send(notice).ok();
        }
    };
    let watcher = notify::recommended_watcher(notify_of)
        .and_then(|mut watcher| watcher.watch(root, RecursiveMode::Recursive).map(|()| watcher));
    watcher.map_err(|error| {
        if matches!(error.kind, notify::ErrorKind::PathNotFound) {
            return gone(root);
        }
        let folder = root.display();
        if matches!(error.kind, notify::ErrorKind::MaxFilesWatch) {
            let message = format!("`{folder}` holds more folders than the system lets a program watch");
            return Trouble::new(message).help("raise the system's limit of watches for a program");
        }
        Trouble::new(format!("`{folder}` cannot be watched: {error}"))
            .help("run `modstate check` after each save instead")
    })
}

/// What an event is worth: nothing, if it only tells of reading or of files that no project reads.
fn notice_of(event: &notify::Event, root: &Path) -> Option<Notice> {
    let names_moved = matches!(event.kind, EventKind::Remove(_) | EventKind::Modify(ModifyKind::Name(_)));
    if names_moved && event.paths.iter().any(|path| path == root) {
        return Some(Notice::Folder);
    }
    let hidden = |path: &Path| {
        let below = path.strip_prefix(root).unwrap_or(path);
        below.iter().any(|part| part.to_string_lossy().starts_with('.'))
    };
    let may_matter = event.paths.is_empty() || event.paths.iter().any(|path| !hidden(path));
    (event.need_rescan() || (!event.kind.is_access() && may_matter)).then_some(Notice::Saved)
}

/// Waits until it has been quiet for a while; gives the gravest notice, and nothing if the person wants it to end.
fn settled(first: Notice, quiet: Duration, notices: &Receiver<Notice>) -> Option<Notice> {
    let start = Instant::now();
    let mut gravest = first;
    while start.elapsed() < AT_MOST {
        match notices.recv_timeout(quiet) {
            Ok(Notice::End) => return None,
            Ok(Notice::Folder) => gravest = Notice::Folder,
            Ok(Notice::Saved) => {}
            Err(_) => break,
        }
    }
    Some(gravest)
}

/// Whether a file is suddenly empty or gone.
fn is_on_its_way(report: &WatchReport, now: &ProjectSnapshot) -> bool {
    let empty = now.sources.files().iter().filter(|file| file.text.trim().is_empty());
    let mut empty = empty.map(|file| file.path.to_string_lossy());
    !report.gone.is_empty() || empty.any(|path| report.changed.iter().chain(&report.added).any(|saved| *saved == path))
}

fn look(root: &Path, today: Day) -> Result<ProjectSnapshot, Trouble> {
    if !root.is_dir() {
        return Err(gone(root));
    }
    if find_project(root).ok().is_none_or(|found| found != root) {
        let message = format!("`{}` is no project folder any more: nothing is watched", root.display());
        return Err(Trouble::new(message)
            .help("put its file `type.ron` or its folder `type` back where it was, and start again"));
    }
    let project = Project::open(root)?;
    let Checked { open: mut findings, accepted } = project.checked(&Graph::new(&project.model), today);
    // What is accepted and stops work all the same stays in sight.
    findings.extend(accepted.into_iter().map(|(finding, _)| finding).filter(|f| f.severity() != Severity::Note));
    Ok(ProjectSnapshot::new(project.sources, &project.model.losses, findings))
}

fn look_again(root: &Path, today: Day, seen: &ProjectSnapshot) -> Result<(ProjectSnapshot, WatchReport), Trouble> {
    let mut now = look(root, today)?;
    let report = watch_report(Some(seen), &now);
    now.unjudged.clone_from(&report.unjudged_findings);
    Ok((now, report))
}

fn gone(root: &Path) -> Trouble {
    Trouble::new(format!("the project folder `{}` is gone: nothing is watched any more", root.display()))
        .help("put it back, or name another with `--project DIR`, and start again")
}
