//! What became of the findings when files were saved.

use super::layout::{counted, paragraph};
use super::terminal::draw_findings;
use super::{Style, findings_json, ordered, severity_word};
use crate::finding::{Finding, Severity};
use crate::source::Sources;
use serde::Serialize;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

/// The files of a project and all findings on it, at one time.
#[derive(Debug)]
pub struct Seen {
    /// The files.
    pub sources: Sources,
    /// The findings.
    pub findings: Vec<Finding>,
}

/// What is so now, and what was not so before.
///
/// The first one of a run says how things stand: all findings are new, and no file has changed.
#[derive(Clone, Debug, Serialize)]
pub struct WatchReport {
    /// How many files the project has: dossiers, and the files that surveys name for their holes.
    pub files: usize,
    /// The files that were saved with another content; paths below the project folder, as everywhere here.
    pub changed: Vec<String>,
    /// The files that were not there before.
    pub added: Vec<String>,
    /// The files that are there no longer.
    pub gone: Vec<String>,
    /// The files that lie elsewhere, with the same content.
    pub moved: Vec<Moved>,
    /// The findings that were not there before, as `check` gives them.
    pub new: Value,
    /// The findings that are there no longer, as `check` gave them: their lines are those of before.
    pub mended: Value,
    /// How many findings there are now that were there before.
    pub stay: usize,
    /// How many findings now stop work.
    pub stop: usize,
    /// How many questions are now undecided.
    pub undecided: usize,
    /// How many notes there are now.
    pub notes: usize,
    #[serde(skip)]
    new_findings: Vec<Finding>,
    #[serde(skip)]
    mended_findings: Vec<Finding>,
}

/// A file that was moved or renamed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Moved {
    /// Where it lay.
    pub from: String,
    /// Where it lies now.
    pub to: String,
}

impl WatchReport {
    /// Whether every file is as it was.
    #[must_use]
    pub fn is_idle(&self) -> bool {
        self.changed.is_empty() && self.added.is_empty() && self.gone.is_empty() && self.moved.is_empty()
    }
}

/// How many files a list names; of more it says how many.
const LISTED: usize = 8;

/// Compares what is seen now with what was seen before; without that, says how things stand.
///
/// A finding is the same as one before if its code, its sentence and its labels are, wherever the lines have gone.
#[must_use]
pub fn watch_report(before: Option<&Seen>, now: &Seen) -> WatchReport {
    let count = |severity| now.findings.iter().filter(|finding| finding.severity() == severity).count();
    let mut report = WatchReport {
        files: now.sources.files().len(),
        changed: Vec::new(),
        added: Vec::new(),
        gone: Vec::new(),
        moved: Vec::new(),
        new: Value::Null,
        mended: Value::Array(Vec::new()),
        stay: 0,
        stop: count(Severity::Stop),
        undecided: count(Severity::Undecided),
        notes: count(Severity::Note),
        new_findings: Vec::new(),
        mended_findings: Vec::new(),
    };
    let mut old: BTreeMap<Key<'_>, Vec<&Finding>> = BTreeMap::new();
    if let Some(before) = before {
        compare_files(&before.sources, &now.sources, &mut report);
        let moved = report.moved.iter().map(|moved| (moved.from.as_str(), moved.to.as_str())).collect();
        for finding in ordered(&before.findings, &before.sources).into_iter().rev() {
            old.entry(key(finding, &before.sources, &moved)).or_default().push(finding);
        }
        for finding in ordered(&now.findings, &now.sources) {
            match old.get_mut(&key(finding, &now.sources, &BTreeMap::new())).and_then(Vec::pop) {
                Some(_) => report.stay += 1,
                None => report.new_findings.push(finding.clone()),
            }
        }
        let mended: Vec<Finding> = old.into_values().flatten().cloned().collect();
        report.mended_findings = ordered(&mended, &before.sources).into_iter().cloned().collect();
        report.mended = findings_json(&report.mended_findings, &before.sources);
    } else {
        report.new_findings.clone_from(&now.findings);
    }
    report.new = findings_json(&report.new_findings, &now.sources);
    report
}

/// What makes a finding the same as another, wherever its lines have gone: its code's number, its sentence, and of each
/// label the file and the words.
type Key<'a> = (&'static str, &'a str, Vec<(String, &'a str)>);

fn key<'a>(finding: &'a Finding, sources: &Sources, moved: &BTreeMap<&str, &str>) -> Key<'a> {
    let labels = finding.labels.iter().map(|label| {
        let path = path_of(sources, label.place.file().0 as usize);
        let path = moved.get(path.as_str()).map_or(path.clone(), |to| (*to).to_owned());
        (path, label.text.as_str())
    });
    (finding.code.entry().code, &finding.message, labels.collect())
}

fn path_of(sources: &Sources, file: usize) -> String {
    sources.files()[file].path.to_string_lossy().into_owned()
}

/// Which files changed, came, went and moved.
fn compare_files(before: &Sources, now: &Sources, report: &mut WatchReport) {
    let texts = |sources: &'_ Sources| -> BTreeMap<String, usize> {
        (0..sources.files().len()).map(|file| (path_of(sources, file), file)).collect()
    };
    let (old, new) = (texts(before), texts(now));
    let text_before = |path: &String| &before.files()[old[path]].text;
    let text_now = |path: &String| &now.files()[new[path]].text;
    report.changed = new.keys().filter(|path| old.contains_key(*path)).cloned().collect();
    report.changed.retain(|path| text_before(path) != text_now(path));
    report.added = new.keys().filter(|path| !old.contains_key(*path)).cloned().collect();
    let mut taken = BTreeSet::new();
    for from in old.keys().filter(|path| !new.contains_key(*path)) {
        let same = |to: &&String| !taken.contains(*to) && text_now(to) == text_before(from);
        match report.added.iter().find(same).filter(|_| !text_before(from).trim().is_empty()) {
            Some(to) => {
                taken.insert(to.clone());
                report.moved.push(Moved { from: from.clone(), to: to.clone() });
            }
            None => report.gone.push(from.clone()),
        }
    }
    report.added.retain(|path| !taken.contains(path));
}

/// The report as text, a block that ends with an empty line; `project` is what the folder is called.
#[must_use]
pub fn watch_text(report: &WatchReport, project: &str, now: &Seen, style: Style) -> String {
    let stops = match report.stop {
        0 => "nothing stops work".to_owned(),
        1 => "1 finding stops work".to_owned(),
        several => format!("{several} findings stop work"),
    };
    if report.is_idle() {
        let files = counted(report.files, "file", "files");
        let told = format!(
            "{files}, {}; {stops}. `modstate check` shows all; from here on, what changes. Ctrl-C ends it.",
            counted(report.new_findings.len(), "finding", "findings")
        );
        return style.head(&format!("Watching `{project}`")) + &paragraph("", &told, style.width) + "\n";
    }
    let mut text = String::new();
    let moved: Vec<String> = report.moved.iter().map(|moved| format!("`{}` to `{}`", moved.from, moved.to)).collect();
    let quoted = |paths: &[String]| paths.iter().map(|path| format!("`{path}`")).collect::<Vec<_>>();
    let files = [
        ("Saved", quoted(&report.changed)),
        ("New file", quoted(&report.added)),
        ("Moved", moved),
        ("Gone", quoted(&report.gone)),
    ];
    for (what, paths) in files.into_iter().filter(|(_, paths)| !paths.is_empty()) {
        text.push_str(&style.head(&format!("{what}: {}", listed(&paths))));
    }
    if !report.new_findings.is_empty() {
        let new = counted(report.new_findings.len(), "finding is new", "findings are new");
        writeln!(text, "\n{new}:\n").expect("a text takes every line");
        text.push_str(&draw_findings(&report.new_findings, &now.sources, style));
    }
    if !report.mended_findings.is_empty() {
        let gap = if report.new_findings.is_empty() { "\n" } else { "" };
        let mended = counted(report.mended_findings.len(), "finding is mended", "findings are mended");
        writeln!(text, "{gap}{mended}:").expect("a text takes every line");
        for finding in &report.mended_findings {
            let entry = finding.code.entry();
            let told = format!("{} {}: {}", severity_word(entry.severity), entry.code, finding.message);
            text.push_str(&paragraph("  - ", &told, style.width));
        }
        text.push('\n');
    }
    let stay = counted(report.stay, "finding stays", "findings stay");
    let told = match (report.new_findings.is_empty() && report.mended_findings.is_empty(), report.stay) {
        (true, 0) => "Nothing found.".to_owned(),
        (true, _) => format!("Nothing new, nothing mended; {stay}; {stops}."),
        (false, _) => format!("{stay}; {stops}."),
    };
    text + &paragraph("", &told, style.width) + "\n"
}

/// The first few of a list, and how many more there are.
fn listed(paths: &[String]) -> String {
    let shown = paths.iter().take(LISTED).cloned().collect::<Vec<_>>().join(", ");
    match paths.len().saturating_sub(LISTED) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}
