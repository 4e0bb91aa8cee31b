//! Findings for other programs.

use super::{ordered, severity_word};
use crate::check::accepted::{Checked, facts};
use crate::finding::{Finding, Label};
use crate::source::Sources;
use serde::ser::{Error, Serialize, Serializer};
use serde_json::{Value, json};

/// Words of an answer as one value: all lower case, with hyphens between.
pub(crate) fn hyphened<S: Serializer>(words: &&'static str, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(&words.replace(' ', "-"))
}

/// A name of the dossiers as one value, all lower case.
pub(crate) fn lower_case<S: Serializer>(name: &impl Serialize, serializer: S) -> Result<S::Ok, S::Error> {
    let value = serde_json::to_value(name).map_err(S::Error::custom)?;
    value.as_str().map(str::to_lowercase).serialize(serializer)
}

/// The findings as a list, in the order in which they are shown on a terminal.
///
/// The shape is stable. Each finding is an object of
/// - `code` (`"file-102"`), `severity` (`"stop"`, `"undecided"` or `"note"`), `title` (the name of this kind of finding),
/// - `facts`: the check code of what it rests on, by which the workshop can accept it; `accepted`: `null`, or what the record
///   that accepts it says (`by`, `date`, `because`),
/// - `message`: one sentence; `chain`: the steps of the reason, a list of sentences; `help`: what to do,
/// - `labels`: a list of `file` (below the project folder, with `/`), `line`, `column`, `end_line`, `end_column` (from 1;
///   columns count characters; the end is the first character behind the place) and `text`.
#[must_use]
pub fn findings_json(findings: &[Finding], sources: &Sources) -> Value {
    ordered(findings, sources).into_iter().map(|finding| finding_json(finding, sources)).collect()
}

fn finding_json(finding: &Finding, sources: &Sources) -> Value {
    json!({
        "code": finding.code.entry().code,
        "severity": severity_word(finding.severity()),
        "title": finding.code.entry().title,
        "facts": facts(finding, sources),
        "message": finding.message,
        "labels": finding.labels.iter().map(|label| label_json(label, sources)).collect::<Vec<_>>(),
        "chain": finding.chain,
        "help": finding.help,
        "accepted": Value::Null,
    })
}

/// The same with what the workshop accepts behind.
#[must_use]
pub fn checked_json(checked: &Checked, sources: &Sources) -> Value {
    let open = ordered(&checked.open, sources).into_iter();
    let mut all: Vec<Value> = open.map(|finding| finding_json(finding, sources)).collect();
    for (finding, record) in &checked.accepted {
        let mut one = finding_json(finding, sources);
        one["accepted"] = json!({ "by": record.by, "date": record.date.text, "because": record.because });
        all.push(one);
    }
    Value::Array(all)
}

fn label_json(label: &Label, sources: &Sources) -> Value {
    let (file, span) = sources.span(&label.place);
    let (line, column) = sources.line_column(file, span.start);
    let (end_line, end_column) = sources.line_column(file, span.end);
    json!({
        "file": sources.file(file).path.to_string_lossy(),
        "line": line,
        "column": column,
        "end_line": end_line,
        "end_column": end_column,
        "text": label.text,
    })
}
