//! What became of the findings when files were saved.

use crate::codes::Code;
use crate::finding::{Finding, Severity};
use crate::layout::findings::draw_findings;
use crate::layout::text::counted;
use crate::layout::{Finished, Page, Style, findings_json, ordered, severity_word};
use crate::model::{Loss, Losses};
use crate::source::Sources;
use serde::Serialize;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// The files of a project and all findings on it, at one time.
#[derive(Debug)]
pub struct ProjectSnapshot {
    /// The files.
    pub sources: Sources,
    /// The findings.
    pub findings: Vec<Finding>,
    /// What could not be read or taken in.
    pub lost: BTreeSet<LostPiece>,
    /// The findings of before that cannot be judged because of that: from the report that led here.
    pub unjudged: Vec<Gone>,
}

/// Something that could not be read or taken in: its file, the kind and the name of its record, where those are known.
pub type LostPiece = (String, Option<&'static str>, Option<String>);

/// A finding that is there no longer, as it was reported.
#[derive(Clone, Debug)]
pub struct Gone {
    key: Key,
    code: Code,
    message: String,
    json: Value,
}

impl ProjectSnapshot {
    /// What is seen of a project with these findings, at the start.
    #[must_use]
    pub fn new(sources: Sources, losses: &Losses, findings: Vec<Finding>) -> ProjectSnapshot {
        let file = |loss: &Loss| path_of(&sources, loss.place.file().0 as usize);
        let lost = losses.iter().map(|(_, loss)| (file(loss), loss.kind, loss.name.clone())).collect();
        ProjectSnapshot { sources, findings, lost, unjudged: Vec::new() }
    }
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
    /// The findings that are not made now and may be there all the same, because what they rest on could not be read;
    /// as `check` gave them.
    pub unjudged: Value,
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
    mended_findings: Vec<Gone>,
    /// The findings of `unjudged`, for the next look.
    #[serde(skip)]
    pub unjudged_findings: Vec<Gone>,
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
pub fn watch_report(before: Option<&ProjectSnapshot>, now: &ProjectSnapshot) -> WatchReport {
    let count = |severity| now.findings.iter().filter(|finding| finding.severity() == severity).count();
    let mut report = WatchReport {
        files: now.sources.files().len(),
        changed: Vec::new(),
        added: Vec::new(),
        gone: Vec::new(),
        moved: Vec::new(),
        new: Value::Null,
        mended: Value::Array(Vec::new()),
        unjudged: Value::Array(Vec::new()),
        stay: 0,
        stop: count(Severity::Stop),
        undecided: count(Severity::Undecided),
        notes: count(Severity::Note),
        new_findings: Vec::new(),
        mended_findings: Vec::new(),
        unjudged_findings: Vec::new(),
    };
    if let Some(before) = before {
        compare_files(&before.sources, &now.sources, &mut report);
        compare_findings(before, now, &mut report);
    } else {
        report.new_findings.clone_from(&now.findings);
    }
    report.new = findings_json(&report.new_findings, &now.sources);
    let json_of = |gone: &[Gone]| gone.iter().map(|gone| gone.json.clone()).collect();
    report.mended = json_of(&report.mended_findings);
    report.unjudged = json_of(&report.unjudged_findings);
    report
}

/// Which findings are new, which are there no longer, and of which that cannot be said.
///
/// A finding that is not made any more is not mended by a record that can no longer be read: while something is lost
/// that was not lost when it was made, it may be there all the same.
fn compare_findings(before: &ProjectSnapshot, now: &ProjectSnapshot, report: &mut WatchReport) {
    let moved: BTreeMap<&str, &str> =
        report.moved.iter().map(|moved| (moved.from.as_str(), moved.to.as_str())).collect();
    let mut old: BTreeMap<Key, Vec<(usize, bool, Gone)>> = BTreeMap::new();
    for (nth, gone) in before.unjudged.iter().enumerate().rev() {
        old.entry(in_new_files(gone.key.clone(), &moved)).or_default().push((nth, true, gone.clone()));
    }
    for (nth, finding) in ordered(&before.findings, &before.sources).into_iter().enumerate().rev() {
        let key = key(finding, &before.sources);
        let json = findings_json(std::slice::from_ref(finding), &before.sources)[0].take();
        let gone = Gone { key: key.clone(), code: finding.code, message: finding.message.clone(), json };
        old.entry(in_new_files(key, &moved)).or_default().push((before.unjudged.len() + nth, false, gone));
    }
    for finding in ordered(&now.findings, &now.sources) {
        match old.get_mut(&key(finding, &now.sources)).and_then(Vec::pop) {
            Some(_) => report.stay += 1,
            None => report.new_findings.push(finding.clone()),
        }
    }
    let newly_lost = now.lost.iter().any(|piece| !before.lost.contains(piece));
    let (mut mended, mut unjudged) = (Vec::new(), Vec::new());
    let mut left: Vec<(usize, bool, Gone)> = old.into_values().flatten().collect();
    left.sort_by_key(|(nth, ..)| *nth);
    for (_, was_unjudged, gone) in left {
        // What is wrong with the writing itself is seen whatever else is lost.
        let of_writing = gone.code.entry().code.starts_with("file-");
        let lost = if was_unjudged { !now.lost.is_empty() } else { newly_lost && !of_writing };
        if lost { unjudged.push(gone) } else { mended.push(gone) }
    }
    report.mended_findings = mended;
    report.unjudged_findings = unjudged;
}

/// What makes a finding the same as another, wherever its lines have gone: its code's number, its sentence, and of each
/// label the file and the words.
type Key = (&'static str, String, Vec<(String, String)>);

fn key(finding: &Finding, sources: &Sources) -> Key {
    let labels = finding.labels.iter();
    let labels = labels.map(|label| (path_of(sources, label.place.file().0 as usize), label.text.clone()));
    (finding.code.entry().code, finding.message.clone(), labels.collect())
}

/// The key with files by where they lie now.
fn in_new_files((code, message, mut labels): Key, moved: &BTreeMap<&str, &str>) -> Key {
    for (path, _) in &mut labels {
        if let Some(to) = moved.get(path.as_str()) {
            *path = (*to).to_owned();
        }
    }
    (code, message, labels)
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
pub fn watch_page(report: &WatchReport, project: &str, now: &ProjectSnapshot, style: Style) -> Finished {
    let stops = match report.stop {
        0 => "nothing stops work".to_owned(),
        1 => "1 finding stops work".to_owned(),
        several => format!("{several} findings stop work"),
    };
    if report.is_idle() {
        let files = counted(report.files, "file", "files");
        let sentence = format!(
            "{files}, {}; {stops}. modstate check shows all; from here on, what changes. Ctrl-C ends it.",
            counted(report.new_findings.len(), "finding", "findings")
        );
        let mut page = Page::titled(format!("Watching {project}"));
        page.say(sentence);
        page.gap();
        return page.finished();
    }
    let mut page = Page::default();
    let moved: Vec<String> = report.moved.iter().map(|moved| format!("{} to {}", moved.from, moved.to)).collect();
    let files = [
        ("Saved", report.changed.clone()),
        ("New file", report.added.clone()),
        ("Moved", moved),
        ("Gone", report.gone.clone()),
    ];
    for (what, paths) in files.into_iter().filter(|(_, paths)| !paths.is_empty()) {
        page.append(Page::titled(format!("{what}: {}", listed(&paths))));
    }
    if !report.new_findings.is_empty() {
        let new = counted(report.new_findings.len(), "finding is new", "findings are new");
        page.heading(format!("{new}:"));
        page.gap();
        page.lines(draw_findings(&report.new_findings, &now.sources, style));
    }
    let mended = counted(report.mended_findings.len(), "finding is cleared", "findings are cleared");
    let unjudged = counted(
        report.unjudged_findings.len(),
        "finding cannot be judged until what was not read is corrected",
        "findings cannot be judged until what was not read is corrected",
    );
    let mut gap = report.new_findings.is_empty();
    for (what, list) in [(mended, &report.mended_findings), (unjudged, &report.unjudged_findings)] {
        if list.is_empty() {
            continue;
        }
        if gap {
            page.gap();
        }
        page.say(format!("{what}:"));
        for gone in list {
            let entry = gone.code.entry();
            let sentence = format!("{} {}: {}", severity_word(entry.severity), entry.code, gone.message);
            page.item("  - ", sentence);
        }
        page.gap();
        gap = false;
    }
    let stay = counted(report.stay, "finding is still open", "findings are still open");
    let nothing =
        report.new_findings.is_empty() && report.mended_findings.is_empty() && report.unjudged_findings.is_empty();
    let sentence = match (nothing, report.stay) {
        (true, 0) => "Nothing found.".to_owned(),
        (true, _) => format!("Nothing new, nothing cleared; {stay}; {stops}."),
        (false, _) => format!("{stay}; {stops}."),
    };
    page.say(sentence);
    page.gap();
    page.plain()
}

/// The first few of a list, and how many more there are.
fn listed(paths: &[String]) -> String {
    let shown = paths.iter().take(LISTED).cloned().collect::<Vec<_>>().join(", ");
    match paths.len().saturating_sub(LISTED) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}
