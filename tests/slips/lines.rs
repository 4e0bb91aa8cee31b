//! Two texts, line by line; bills as CSV and pictures alike.

use crate::rows::Fault;
use std::collections::BTreeSet;

/// What may not be said anew of anything, unless the line is marked.
const SURE: [&str; 8] = [
    "built to this state",
    "settled",
    "nothing is open",
    "may be made now",
    "does not depend on anything open",
    "embodied",
    "right",
    "matches",
];
/// What a loss is mistaken for.
const UNTRUE: [&str; 7] =
    ["is called", "there is no ", "there are no ", "contradict", "has no ", "does not exist", "have no "];

/// Compares two texts for people.
pub(crate) fn texts(sound: &str, slipped: &str) -> Vec<Fault> {
    let old: BTreeSet<String> = sound.lines().map(squeezed).collect();
    let owned_up = is_marked(slipped);
    let (mut faults, mut block, mut in_notes, mut in_table) = (Vec::new(), None, false, false);
    for line in slipped.lines() {
        let (words, indent) = (squeezed(line), line.len() - line.trim_start().len());
        if words.is_empty() {
            (block, in_notes, in_table) = (None, false, false);
            continue;
        }
        if words.bytes().all(|b| b == b'-') {
            in_table = true;
            continue;
        }
        in_notes |= words.to_lowercase().starts_with("not read");
        if is_marked(line) {
            block = Some(indent);
        } else if block.is_some_and(|marked| indent <= marked) {
            block = None;
        }
        if block.is_some() || in_notes || old.contains(&words) {
            continue;
        }
        let summary = owned_up && !in_table && (indent == 0 || says_less(&words, &old));
        if let Some(sure) = sure_in(&words) {
            faults.push(fault(sure, &old, &words));
        } else if !summary {
            faults.push(fault("a line that the sound text has not, without a mark", &old, &words));
        }
    }
    faults.extend(missing(sound, slipped));
    faults
}

/// Compares two tables of comma-separated values.
pub(crate) fn csvs(sound: &str, slipped: &str) -> Vec<Fault> {
    let old: BTreeSet<String> = sound.lines().map(squeezed).collect();
    let new = slipped.lines().map(squeezed).filter(|line| !old.contains(line) && !is_marked(line));
    let mut faults: Vec<Fault> =
        new.map(|line| fault("a row that the sound table has not, without a mark", &old, &line)).collect();
    faults.extend(missing(sound, slipped));
    faults
}

/// Compares what is written in two pictures.
pub(crate) fn pictures(sound: &str, slipped: &str) -> Vec<Fault> {
    let old: BTreeSet<String> = written(sound).into_iter().map(|(_, words)| words).collect();
    let new = written(slipped);
    let marks = new.iter().filter(|(_, words)| is_marked(words) || is_line_to_mend(words));
    let marked: BTreeSet<&str> = marks.map(|(y, _)| &**y).collect();
    let owned_up = !marked.is_empty();
    let mut faults = Vec::new();
    for (y, words) in new.iter().filter(|(y, words)| !old.contains(words) && !marked.contains(&**y)) {
        if let Some(sure) = sure_in(words) {
            faults.push(fault(sure, &old, words));
        } else if !(owned_up && says_less(words, &old)) {
            faults.push(fault("the picture says something else, without a mark", &old, &format!("{words} (y {y})")));
        }
    }
    if !owned_up && sound != slipped && faults.is_empty() {
        faults.push(fault("the picture differs and bears no mark", &old, ""));
    }
    faults
}

/// What is said of a loss as if the thing did not exist; `of_slip` knows what is said of the slip itself, by the finding
/// (from its heading to its help) and the line.
pub(crate) fn untruths(sound: &str, slipped: &str, of_slip: impl Fn(&str, &str) -> bool) -> Vec<Fault> {
    let old: BTreeSet<String> = sound.lines().map(squeezed).collect();
    let mut faults = Vec::new();
    for finding in findings(slipped) {
        let new = finding.lines().map(squeezed).filter(|line| !old.contains(line) && !is_marked(line));
        let untrue = new.filter(|line| UNTRUE.iter().any(|phrase| line.contains(phrase)));
        let follows = untrue.filter(|line| !of_slip(&finding, line));
        faults.extend(follows.map(|line| fault("speaks of what was not read as if it did not exist", &old, &line)));
    }
    faults
}

/// The findings in a text for people, each from its heading to its help; other lines together.
fn findings(text: &str) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for line in text.lines() {
        if found.is_empty() || is_heading(line) {
            found.push(String::new());
        }
        if let Some(last) = found.last_mut() {
            last.push_str(line);
            last.push('\n');
        }
    }
    found
}

fn is_heading(line: &str) -> bool {
    line.trim_start().starts_with(['×', '⚠', '☞'])
}

/// Whether a text is an entry of the list of what was not read, `[2] type/parts.ron:7: part 61-0001`, or points to one.
fn is_line_to_mend(words: &str) -> bool {
    let points = || words.trim_matches(['[', ']']).split(", ").all(|number| number.parse::<u32>().is_ok());
    words.starts_with('[') && (names_a_line(words) || points())
}

/// Whether a text names a line of a dossier, as `type/x.ron:12`.
pub(crate) fn names_a_line(text: &str) -> bool {
    [".ron:", ".csv:"].iter().any(|end| {
        text.match_indices(end).any(|(at, _)| {
            text.get(at + end.len()..).is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
        })
    })
}

/// Whether a text bears the mark.
pub(crate) fn is_marked(text: &str) -> bool {
    let text = text.to_lowercase();
    text.contains("not read") || text.contains("not-read")
}

fn missing(sound: &str, slipped: &str) -> Option<Fault> {
    let new: BTreeSet<String> = slipped.lines().map(squeezed).collect();
    let gone = sound.lines().map(squeezed).find(|line| !new.contains(line) && line.bytes().any(|b| b != b'-'))?;
    let why = "a line is missing, and nothing is said of it";
    (!is_marked(slipped)).then(|| Fault { why, row: gone.clone(), sound: gone, slipped: String::new() })
}

/// A line with single spaces. The fingerprint of a form is a check code of its other lines, which are compared; two sheets of
/// the book list or count what was found, and so tell of the slip itself.
fn squeezed(line: &str) -> String {
    let line = line.split_whitespace().collect::<Vec<_>>();
    let derived = line.contains(&"Fingerprint") || matches!(line[..], ["Cover" | "Findings", _]);
    let is_code = |word: &str| {
        let bare = word.trim_matches(|c: char| !c.is_ascii_alphanumeric());
        bare.len() == 8 && bare.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b))
    };
    let words = line.into_iter().map(|word| if derived && is_code(word) { "(check code)" } else { word });
    words.collect::<Vec<_>>().join(" ")
}

/// Whether a line says no more than one of the sound lines: its words, numbers aside, are among theirs.
fn says_less(words: &str, old: &BTreeSet<String>) -> bool {
    let pieces = |line: &str| -> BTreeSet<String> {
        let bare = line.split_whitespace().map(|word| word.trim_matches([',', '.', ';', ':', '(', ')']));
        // A scale is two numbers; a sheet with a mark on it has less room.
        let is_number = |word: &str| word.split(':').all(|number| number.parse::<f64>().is_ok());
        bare.filter(|word| !is_number(word)).map(str::to_owned).collect()
    };
    let said = pieces(words);
    !said.is_empty() && old.iter().any(|line| said.is_subset(&pieces(line)))
}

fn sure_in(words: &str) -> Option<&'static str> {
    let lower = words.to_lowercase();
    let stands = |phrase: &str| {
        lower.match_indices(phrase).any(|(at, _)| {
            let letter = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
            let before = lower.get(..at).and_then(|text| text.chars().next_back());
            let after = lower.get(at + phrase.len()..).and_then(|text| text.chars().next());
            !letter(before) && !letter(after)
        })
    };
    SURE.iter().any(|phrase| stands(phrase)).then_some("a sure word that the sound text has not there, without a mark")
}

/// A fault in a line, beside the sound line that begins like it.
fn fault(why: &'static str, old: &BTreeSet<String>, words: &str) -> Fault {
    let begins: String = words.chars().take(5).collect();
    let sound = old.range(begins.clone()..).next().filter(|line| line.starts_with(&begins)).cloned();
    Fault { why, row: words.chars().take(40).collect(), sound: sound.unwrap_or_default(), slipped: words.to_owned() }
}

/// What stands in a picture, each with how far down it stands; the lines of a paragraph together, which stand closer than
/// labels below each other.
fn written(picture: &str) -> Vec<(String, String)> {
    let mut found: Vec<(String, String)> = Vec::new();
    let (mut at, mut before) = ((String::new(), String::new()), (String::new(), f64::NEG_INFINITY));
    let mut step = 0.0;
    for piece in picture.split('<') {
        let Some((tag, words)) = piece.split_once('>') else { continue };
        let value = |name: &str| tag.split(name).nth(1).and_then(|rest| rest.split('"').next());
        if let (Some(x), Some(y)) = (value(" x=\""), value(" y=\"")) {
            at = (x.to_owned(), y.to_owned());
            step = value(" font-size=\"").and_then(|size| size.parse().ok()).map_or(8.0, |size: f64| 1.6 * size);
        }
        let words = squeezed(words);
        if words.is_empty() {
            continue;
        }
        let down = at.1.parse::<f64>().unwrap_or_default();
        let goes_on = at.0 == before.0 && (0.0..step).contains(&(down - before.1));
        before = (at.0.clone(), down);
        match found.last_mut() {
            Some((_, last)) if goes_on && !is_line_to_mend(&words) => *last = format!("{last} {words}"),
            _ => found.push((at.1.clone(), words)),
        }
    }
    found
}
