//! Collecting findings, and the words that many of them share.

use crate::codes::{self, Code};
use crate::finding::{FileId, Finding, Place, Severity};
use crate::quantity::{Config, Length, Unreadable, Window};
use crate::source::Lost;
use std::collections::BTreeMap;

/// Where a name is suggested beside records that may be meant too.
pub(super) const UNREAD: &str = ", or the name of one of the records that could not be read";

/// The findings so far, and what was left out.
#[derive(Default)]
pub(super) struct Findings {
    all: Vec<Finding>,
    pub(super) pieces: Vec<LeftOutPiece>,
    /// Names that nothing bears, and that begin as no known name does.
    strange: Vec<StrangeName>,
}

/// A name that nothing bears, and that begins as no name of its kind does.
pub(super) struct StrangeName {
    /// What bears such names.
    pub(super) noun: &'static str,
    /// How it begins.
    pub(super) prefix: String,
    /// Beginnings with which it would be known.
    pub(super) instead: Vec<String>,
    pub(super) name: String,
    pub(super) finding: Finding,
}

/// A piece of a record that was left out.
pub(super) struct LeftOutPiece {
    pub(super) place: Place,
    /// The name that it gives and that nothing bears, if that is the reason.
    pub(super) unknown: Option<String>,
    /// The kind of the shop's own table by which it is read and that is not known, if that is the reason.
    pub(super) table: Option<&'static str>,
    /// Whether a finding says what is wrong there.
    pub(super) found: bool,
}

impl LeftOutPiece {
    /// A piece of which no finding of its own speaks.
    pub(super) fn silent(place: Place) -> LeftOutPiece {
        LeftOutPiece { place, unknown: None, table: None, found: false }
    }
}

impl Findings {
    /// Adds a finding; what it stops is left out, at its first label. Of a name that two records bear, and of two tables of
    /// one kind, neither is sure.
    pub(super) fn add(&mut self, finding: Finding) {
        self.leave_out_by_finding(&finding);
        self.all.push(finding);
    }

    /// Adds the finding on a name that begins as no other does.
    pub(super) fn add_strange(&mut self, strange: StrangeName) {
        self.leave_out_by_finding(&strange.finding);
        self.strange.push(strange);
    }

    fn leave_out_by_finding(&mut self, finding: &Finding) {
        if finding.severity() == Severity::Stop {
            let unsure = [codes::NAME_USED_TWICE, codes::TWO_TABLES].contains(&finding.code);
            let labels = if unsure { finding.labels.len() } else { 1 };
            self.pieces.extend(
                finding
                    .labels
                    .iter()
                    .take(labels)
                    .map(|label| LeftOutPiece { found: true, ..LeftOutPiece::silent(label.place.clone()) }),
            );
        }
    }

    /// Adds a finding on what is taken in all the same: whatever it stops, nothing is left out.
    pub(super) fn tell(&mut self, finding: Finding) {
        self.all.push(finding);
    }

    /// Says that a piece was left out for which there is no finding of its own, because what it leans on has one.
    pub(super) fn leave_out(&mut self, place: Place) {
        self.pieces.push(LeftOutPiece::silent(place));
    }

    /// Says that a piece was left out because it names what could not be taken in.
    pub(super) fn leave_out_for(&mut self, name: &str, place: Place) {
        self.pieces.push(LeftOutPiece { unknown: Some(name.to_owned()), ..LeftOutPiece::silent(place) });
    }

    /// Says that a piece was left out because it is read by a table of the shop that is not known.
    pub(super) fn leave_out_by(&mut self, table: &'static str, place: Place) {
        self.pieces.push(LeftOutPiece { table: Some(table), ..LeftOutPiece::silent(place) });
    }

    /// What was found of something that is written, unless it was left out there.
    pub(super) fn taken<T>(&mut self, found: Option<T>, place: &Place) -> Option<T> {
        if found.is_none() {
            self.leave_out(place.clone());
        }
        found
    }

    /// What was found of the thing of a name that is written, unless it was left out there: what follows from that starts
    /// with what the name is.
    pub(super) fn taken_by_name<T>(&mut self, found: Option<T>, name: &str, place: &Place) -> Option<T> {
        if found.is_none() {
            self.leave_out_for(name, place.clone());
        }
        found
    }

    /// All findings by place, each once. Of a record of which the end could not be read nothing is said.
    pub(super) fn sorted(mut self, lost: &Lost) -> Vec<Finding> {
        self.strange.retain(|strange| !lost.cuts(&strange.finding));
        self.all.retain(|finding| !lost.cuts(finding));
        self.all.extend(prefixes(self.strange));
        self.all = copies(self.all);
        self.all.sort_by(|a, b| a.labels[0].cmp(&b.labels[0]).then_with(|| a.cmp(b)));
        self.all.dedup();
        self.all
    }

    /// The value, or a finding that says why it could not be read.
    pub(super) fn read<T>(&mut self, value: Result<T, Unreadable>, place: &Place) -> Option<T> {
        value.map_err(|why| self.add(why.at(place.clone()))).ok()
    }

    pub(super) fn length(&mut self, text: &str, config: &Config, place: &Place) -> Option<Length> {
        if Length::is_gauge(text) && config.swg.known().is_none() {
            self.leave_out_by("WireGauges", place.clone());
            return None;
        }
        self.read(Length::parse(text, config), place)
    }

    /// A length that must be above zero.
    pub(super) fn size(&mut self, what: &str, text: &str, config: &Config, place: &Place) -> Option<Length> {
        let length = self.length(text, config, place)?;
        if length.picometres <= 0 {
            let message = format!("the {what} `{text}` is not above zero");
            self.add(
                Finding::new(codes::NOT_POSITIVE, message, place.clone(), "not above zero")
                    .help("check the value against the drawing or the record"),
            );
            return None;
        }
        Some(length)
    }

    pub(super) fn window(&mut self, text: &str, place: &Place) -> Option<Window> {
        self.read(Window::parse(text), place)
    }

    /// A difference of temperature, in kelvin.
    pub(super) fn kelvin(&mut self, text: &str, place: &Place) -> Option<f64> {
        let number = text.trim().strip_suffix('K').and_then(|number| number.trim_end().parse::<f64>().ok());
        let found = number.filter(|kelvin| (0.0..=100.0).contains(kelvin));
        if found.is_none() {
            let message = format!("`{text}` is not a difference of temperature in a workshop");
            self.add(
                Finding::new(codes::UNREADABLE_TEMPERATURE, message, place.clone(), "not a difference")
                    .help("write it in kelvin, as in `10K`"),
            );
        }
        found
    }

    /// A coefficient of linear expansion per kelvin, of any metal.
    pub(super) fn expansion(&mut self, text: Option<&String>, place: &Place) -> Option<f64> {
        let text = text?;
        let number = text.trim().strip_suffix("/K").and_then(|number| number.trim_end().parse::<f64>().ok());
        let found = number.filter(|per_kelvin| (0.0..=1e-4).contains(per_kelvin));
        if found.is_none() {
            let message = format!("`{text}` is not a coefficient of expansion of a metal");
            self.add(
                Finding::new(codes::UNREADABLE_EXPANSION, message, place.clone(), "not a coefficient")
                    .help("write it per kelvin, as in `11.5e-6/K`"),
            );
        }
        found
    }

    pub(super) fn optional_window(&mut self, text: Option<&String>, place: &Place) -> Option<Window> {
        text.and_then(|text| self.window(text, place))
    }

    /// A name that nothing bears, with the names near to it that something bears.
    ///
    /// Where a text that could not be read may be what is meant, the help says so.
    pub(super) fn unknown(
        &mut self,
        code: Code,
        noun: &str,
        name: &str,
        place: &Place,
        near: &[(&str, &Place)],
        lost: &Lost,
    ) {
        self.add(unknown(code, noun, name, place, near, lost));
    }

    /// Says that an entry is named twice in one list; `items` are names with their places.
    pub(super) fn named_twice<'a>(&mut self, items: impl Iterator<Item = (&'a str, Place)>) {
        let mut seen: indexmap::IndexMap<&str, Place> = indexmap::IndexMap::new();
        for (name, place) in items {
            if let Some(first) = seen.get(name) {
                self.add(
                    Finding::new(codes::NAMED_TWICE, format!("`{name}` is named twice in one list"), place, "again")
                        .label(first.clone(), "named first here")
                        .help("remove the second mention, or correct it if another was meant"),
                );
            } else {
                seen.insert(name, place);
            }
        }
    }
}

/// The name nearest to one that is not known, if any is near enough to be a slip of the pen.
pub(crate) fn nearest<'a>(name: &str, names: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let folded = name.trim().to_lowercase();
    let limit = (folded.chars().count() / 3).max(1);
    names
        .filter(|other| other.len().abs_diff(name.len()) <= limit + 2)
        .map(|other| (strsim::osa_distance(&folded, &other.to_lowercase()), other))
        .filter(|(distance, _)| *distance <= limit)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, other)| other)
}

/// The finding on a name that nothing bears.
pub(super) fn unknown(
    code: Code,
    noun: &str,
    name: &str,
    place: &Place,
    near: &[(&str, &Place)],
    lost: &Lost,
) -> Finding {
    let finding = Finding::new(code, format!("there is no {noun} `{name}`"), place.clone(), "not known");
    let unread = if lost.may_mean(name) { UNREAD } else { "" };
    match near {
        [(near, there)] => finding
            .label((*there).clone(), format!("`{near}` is the nearest name"))
            .help(format!("write `{near}` if that is meant{unread}; otherwise add the {noun} `{name}`")),
        [_, ..] => {
            let label = |finding: Finding, (near, there): &(&str, &Place)| {
                finding.label((*there).clone(), format!("`{near}` is near"))
            };
            let names = listed(near.iter().map(|(near, _)| *near), "or");
            near.iter()
                .fold(finding, label)
                .help(format!("write {names}, whichever is meant{unread}; otherwise add the {noun} `{name}`"))
        }
        [] => finding.help(format!("correct the name{unread}, or add the {noun} `{name}`")),
    }
}

/// So many names that begin as no other does have one cause.
const STRANGE: usize = 5;

/// The findings on names that begin as no other does: one for all that begin alike, if they are many.
fn prefixes(strange: Vec<StrangeName>) -> Vec<Finding> {
    let mut alike: BTreeMap<(Code, &str, String), Vec<StrangeName>> = BTreeMap::new();
    for name in strange {
        alike.entry((name.finding.code, name.noun, name.prefix.clone())).or_default().push(name);
    }
    let mut findings = Vec::new();
    for ((code, noun, prefix), mut names) in alike {
        if names.len() < STRANGE {
            findings.extend(names.into_iter().map(|name| name.finding));
            continue;
        }
        names.sort_by(|a, b| a.finding.labels.cmp(&b.finding.labels));
        let serves = |other: &&String| names.iter().all(|name| name.instead.contains(other));
        let instead: Vec<&str> = names[0].instead.iter().filter(serves).map(String::as_str).collect();
        let message = format!("no {noun} begins with `{prefix}`, and {} places name one that does", names.len());
        let place = |name: &StrangeName| name.finding.labels[0].place.clone();
        let mut one = Finding::new(code, message, place(&names[0]), "the first of them");
        for name in names.iter().skip(1).take(2) {
            one = one.label(place(name), "another");
        }
        let mut listed_names: Vec<&str> = names.iter().map(|name| name.name.as_str()).collect();
        listed_names.dedup();
        let more = listed_names.len().saturating_sub(6);
        listed_names.truncate(6);
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        one = one.because(format!("They are {}{more}.", listed(listed_names, "and")));
        let add = format!("add the {noun} records that begin with `{prefix}`");
        findings.push(one.help(match &instead[..] {
            [] => format!("correct how they begin, or {add}"),
            _ => format!(
                "write {} in place of `{prefix}` if that is meant: then all are known; otherwise {add}",
                listed(instead, "or")
            ),
        }));
    }
    findings
}

/// Of records that stand in two files, at least so many, one file is a copy of the other.
const COPY: usize = 3;

/// Names given twice, once in each of two files: one finding for both files, whatever they have twice.
fn copies(all: Vec<Finding>) -> Vec<Finding> {
    let files = |finding: &Finding| {
        let twice = [codes::NAME_USED_TWICE, codes::TWO_ASSEMBLIES].contains(&finding.code);
        let [again, first] = &finding.labels[..] else { return None };
        let (again, first) = (again.place.file(), first.place.file());
        (twice && again != first).then_some((first.min(again), first.max(again)))
    };
    let mut by_files: BTreeMap<(FileId, FileId), Vec<Finding>> = BTreeMap::new();
    let mut kept = Vec::new();
    for finding in all {
        match files(&finding) {
            Some(files) => by_files.entry(files).or_default().push(finding),
            None => kept.push(finding),
        }
    }
    for mut twice in by_files.into_values() {
        if twice.len() < COPY {
            kept.extend(twice);
            continue;
        }
        twice.sort_by(|a, b| a.labels.cmp(&b.labels));
        let (count, first) = (twice.len(), &twice[0]);
        let message = format!("{count} records stand in two files: is one of them a copy of the other?");
        let [again, before] = &first.labels[..] else { continue };
        let mut one = Finding::new(codes::FILE_COPIED, message, again.place.clone(), "in this file")
            .label(before.place.clone(), "and in this one")
            .help("take away the file that is the copy; neither is known to be the right one, so compare them first");
        for finding in twice.iter().take(4) {
            one = one.because(format!("{}.", finding.message));
        }
        kept.push(if count > 4 { one.because(format!("And {} more.", count - 4)) } else { one });
    }
    kept
}

/// A list in words, the last joined by `and` or `or`.
pub(crate) fn listed<'a>(names: impl IntoIterator<Item = &'a str>, join: &str) -> String {
    let names: Vec<String> = names.into_iter().map(|name| format!("`{name}`")).collect();
    match names.split_last() {
        None => "none".to_owned(),
        Some((only, [])) => only.clone(),
        Some((last, rest)) => format!("{} {join} {last}", rest.join(", ")),
    }
}
