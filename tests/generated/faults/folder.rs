//! A clean project as records that can be edited the way a person edits them, with marks on the lines that must be
//! pointed at.

use crate::project::random::Random;
use crate::project::{Spec, pick, project};
use modstate::check::{CheckScope, check};
use modstate::finding::{Finding, Place, RecordRef};
use modstate::graph::Graph;
use modstate::history::History;
use modstate::ids::{AirframeId, Id, ModId, PartId};
use modstate::lower::lower;
use modstate::model::Model;
use modstate::quantity::Config;
use modstate::resolve::Limits;
use modstate::source::{Reading, Sources, read_texts};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Stands on lines that must be pointed at; no dossier has it.
pub(crate) const MARK: char = '\u{a7}';

/// A file and the number of a line in it.
pub(crate) type Line = (PathBuf, usize);

/// A clean project, and what it says.
pub(crate) struct Clean {
    files: Vec<File>,
    pub model: Model,
    pub graph: Graph,
}

#[derive(Clone)]
struct File {
    path: PathBuf,
    head: String,
    records: Vec<String>,
    /// What stands below the records.
    tail: &'static str,
}

impl Clean {
    pub(crate) fn new(seed: u64) -> Clean {
        let texts = project(&Spec::named("small"), seed);
        let reading = read_texts(texts.clone());
        let (model, _) = lower(&reading.records, &reading.lost, &Config::built_in());
        let graph = Graph::new(&model);
        let files = texts.into_iter().map(|(path, text)| split(path, &text)).collect();
        Clean { files, model, graph }
    }
}

/// Cuts a file into its records, each of which begins with a capital letter behind four blanks.
fn split(path: PathBuf, text: &str) -> File {
    let mut file = File { path, head: String::new(), records: Vec::new(), tail: "]\n" };
    for line in text.lines().take_while(|line| *line != "]") {
        if line.starts_with("    ") && line.chars().nth(4).is_some_and(char::is_uppercase) {
            file.records.push(String::new());
        }
        let into = file.records.last_mut().unwrap_or(&mut file.head);
        into.push_str(line);
        into.push('\n');
    }
    file
}

/// A record of a folder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Spot {
    file: usize,
    record: usize,
}

impl Spot {
    /// Whether it comes first in the order of files and records.
    pub(crate) fn precedes(self, other: Spot) -> bool {
        (self.file, self.record) < (other.file, other.record)
    }
}

impl Spot {
    /// The record that a place lies in.
    pub(crate) fn of(place: &Place) -> Option<Spot> {
        if let Place::Record(at, _) = place { Some(Spot::from(*at)) } else { None }
    }
}

impl From<RecordRef> for Spot {
    fn from(at: RecordRef) -> Spot {
        Spot { file: at.file.0 as usize, record: at.index as usize }
    }
}

/// A project in the hands of a person who makes a mistake.
pub(crate) struct Folder<'a> {
    files: Vec<File>,
    pub clean: &'a Clean,
    pub random: Random,
}

impl<'a> Folder<'a> {
    pub(crate) fn new(clean: &'a Clean, seed: u64) -> Folder<'a> {
        Folder { files: clean.files.clone(), clean, random: Random::new(seed) }
    }

    pub(crate) fn model(&self) -> &'a Model {
        &self.clean.model
    }

    /// One of several, if there are any.
    pub(crate) fn one<T: Clone>(&mut self, of: impl IntoIterator<Item = T>) -> Option<T> {
        let all: Vec<T> = of.into_iter().collect();
        (!all.is_empty()).then(|| pick(&mut self.random, &all).clone())
    }

    /// The records of a kind.
    pub(crate) fn all(&self, kind: &str) -> Vec<Spot> {
        let mut spots = Vec::new();
        for (file, records) in self.files.iter().enumerate() {
            for (record, text) in records.records.iter().enumerate() {
                if text.trim_start().strip_prefix(kind).is_some_and(|rest| rest.starts_with('(')) {
                    spots.push(Spot { file, record });
                }
            }
        }
        spots
    }

    /// A record of a kind that holds a text.
    pub(crate) fn find(&mut self, kind: &str, holds: &str) -> Option<Spot> {
        let all = self.all(kind);
        let all: Vec<Spot> = all.into_iter().filter(|spot| self.text(*spot).contains(holds)).collect();
        self.one(all)
    }

    pub(crate) fn text(&self, spot: Spot) -> &str {
        &self.files[spot.file].records[spot.record]
    }

    /// Writes something else in the place of a text that the record holds; its first mention is meant.
    pub(crate) fn swap(&mut self, spot: Spot, old: &str, new: &str) {
        let text = &mut self.files[spot.file].records[spot.record];
        assert!(text.contains(old), "`{old}` stands in:\n{text}");
        *text = text.replacen(old, new, 1);
    }

    /// Writes something else in the place of the whole line that holds a text.
    pub(crate) fn swap_line(&mut self, spot: Spot, holds: &str, new: &str) {
        let line = self.text(spot).lines().find(|line| line.contains(holds)).expect("the line is there").to_owned();
        let new = if new.is_empty() { String::new() } else { format!("{new}\n") };
        self.swap(spot, &format!("{line}\n"), &new);
    }

    /// Puts a line below the one that holds a text.
    pub(crate) fn below(&mut self, spot: Spot, holds: &str, new: &str) {
        let line = self.text(spot).lines().find(|line| line.contains(holds)).expect("the line is there").to_owned();
        self.swap(spot, &line, &format!("{line}\n{new}"));
    }

    /// Marks the first line of the record that holds a text.
    pub(crate) fn mark(&mut self, spot: Spot, holds: &str) {
        let line = self.text(spot).lines().find(|line| line.contains(holds)).expect("the line is there").to_owned();
        self.swap(spot, &line, &format!("{line}{MARK}"));
    }

    /// Takes all marks away.
    pub(crate) fn unmark(&mut self) {
        for text in self.files.iter_mut().flat_map(|file| &mut file.records) {
            text.retain(|c| c != MARK);
        }
    }

    pub(crate) fn remove(&mut self, spot: Spot) {
        self.files[spot.file].records[spot.record].clear();
    }

    /// A new record in the file of another.
    pub(crate) fn add(&mut self, beside: Spot, text: &str) {
        self.files[beside.file].records.push(text.to_owned());
    }

    /// A further file that holds no records.
    pub(crate) fn add_file(&mut self, path: &str, text: String) {
        self.files.push(File { path: PathBuf::from(path), head: text, records: Vec::new(), tail: "" });
    }

    /// What stands round the records of a file.
    pub(crate) fn head(&mut self, spot: Spot) -> &mut String {
        &mut self.files[spot.file].head
    }

    /// The record of a modification that has no parts.
    pub(crate) fn of_mod(&self, m: ModId) -> Option<Spot> {
        match &self.clean.model.mods[m].place {
            Place::Record(at, path) if path.is_empty() => Some(Spot::from(*at)),
            Place::Record(..) | Place::Bytes(..) => None,
        }
    }

    pub(crate) fn name(&self, m: ModId) -> &'a str {
        self.clean.model.mods.name(m)
    }

    pub(crate) fn number(&self, part: PartId) -> &'a str {
        self.clean.model.parts.name(part)
    }

    /// What is bound to a modification by any chain of bonds.
    pub(crate) fn bound_to(&self, m: ModId) -> BTreeSet<ModId> {
        let mut found = BTreeSet::from([m]);
        let mut open = vec![m];
        while let Some(next) = open.pop() {
            for rule in self.clean.graph.day_rules_of(next) {
                let (_, mods) = &self.clean.graph.day_rules()[*rule];
                open.extend(mods.iter().filter(|other| found.insert(**other)));
            }
        }
        found
    }

    /// Airframes that no jig is set for and whose dossiers assume nothing.
    pub(crate) fn plain_airframes(&self) -> Vec<AirframeId> {
        let model = &self.clean.model;
        let of_jig = |id: AirframeId| {
            model.jigs.iter().any(|(_, _, jig)| jig.build_state().is_some_and(|(airframe, _)| airframe == id))
        };
        let assumes = |id: AirframeId| model.airframes[id].claims.iter().any(|(_, _, claim)| claim.assumed.is_some());
        model.airframes.ids().filter(|id| !of_jig(*id) && !assumes(*id)).collect()
    }

    /// Takes out the claims about an airframe that bear on any of some modifications.
    pub(crate) fn forget(&mut self, airframe: AirframeId, mods: &BTreeSet<ModId>) {
        let clean = self.clean;
        let history = History::new(&clean.model, &clean.graph, airframe);
        for (id, _, claim) in clean.model.airframes[airframe].claims.iter() {
            if history.meanings[id.index()].mods().iter().any(|m| mods.contains(m)) {
                self.remove(Spot::from(claim.record));
            }
        }
    }

    /// Claims something of an airframe in a dossier that is otherwise silent on it; the line is marked.
    pub(crate) fn claim(&mut self, airframe: AirframeId, says: &str, when: &str, standing: &str) {
        let at = Spot::from(self.clean.model.airframes[airframe].record);
        let (serial, nth) = (self.clean.model.airframes.name(airframe), self.files[at.file].records.len());
        let text = format!(
            "    Claim(\n        airframe: \"{serial}\", id: \"C9{nth}\", says: {says}, when: \"{when}\",{MARK}\n        \
             rests_on: [\"E1\"], standing: {standing},\n    ),\n"
        );
        self.add(at, &text);
    }

    /// The files without marks, and the marked lines: file and number.
    pub(crate) fn texts(&self) -> (Vec<(PathBuf, String)>, Vec<Line>) {
        let mut texts = Vec::new();
        let mut marked = Vec::new();
        for file in &self.files {
            let text = format!("{}{}{}", file.head, file.records.concat(), file.tail);
            let lines = text.lines().enumerate().filter(|(_, line)| line.contains(MARK));
            marked.extend(lines.map(|(nth, _)| (file.path.clone(), nth + 1)));
            texts.push((file.path.clone(), text.replace(MARK, "")));
        }
        (texts, marked)
    }
}

/// Every finding on what was read.
pub(crate) fn findings(reading: &Reading) -> Vec<Finding> {
    let (model, lowered) = lower(&reading.records, &reading.lost, &Config::built_in());
    let checked = check(&reading.lost, &model, &Graph::new(&model), CheckScope::Whole, Limits::default());
    reading.findings.iter().chain(&lowered).chain(&checked).cloned().collect()
}

/// The lines on which a finding has labels.
pub(crate) fn lines<'f>(sources: &'f Sources, finding: &'f Finding) -> impl Iterator<Item = (&'f Path, usize)> + 'f {
    finding.labels.iter().map(|label| {
        let (file, span) = sources.span(&label.place);
        (sources.file(file).path.as_path(), sources.line_column(file, span.start).0)
    })
}
