//! Findings as text for a terminal or a file.

use super::{ordered, severity_word};
use crate::finding::{FileId, Finding, Severity};
use crate::source::{SourceFile, Sources};
use miette::{
    Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteError, MietteSpanContents, SourceCode,
    SourceSpan, SpanContents, ThemeCharacters, ThemeStyles,
};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::ops::Range;

/// How findings are drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Style {
    /// The width to which sentences are wrapped, in columns.
    pub width: usize,
    /// Whether to use colours. Nothing is told by colour alone.
    pub colour: bool,
    /// Whether to draw lines with characters beyond ASCII.
    pub unicode: bool,
}

impl Style {
    /// A heading: bold where there is colour, and a line of its own.
    pub(crate) fn head(self, text: &str) -> String {
        let text = clean(text);
        let text = super::layout::paragraph("", &text, self.width);
        if self.colour { format!("\u{1b}[1m{}\u{1b}[0m\n", text.trim_end()) } else { text }
    }
}

/// The findings, each with the lines that it points to, and a last line that counts them.
///
/// Ordered by the file and line of the first label, then by code: the same whatever the order of `findings`. Gives an
/// empty text for no findings.
#[must_use]
pub fn render_findings(findings: &[Finding], sources: &Sources, style: Style) -> String {
    if findings.is_empty() {
        return String::new();
    }
    let handler = handler(style);
    let labels = findings.iter().flat_map(|finding| &finding.labels);
    let ids: BTreeSet<FileId> = labels.map(|label| label.place.file()).collect();
    let cleaned = ids.into_iter().map(|id| (id, clean(&sources.file(id).text))).collect();
    let mut text = String::new();
    for finding in ordered(findings, sources) {
        let shown = Shown::new(finding, sources, &cleaned);
        handler
            .render_report(&mut text, &shown)
            .expect("writing to a string does not fail, and every label has a source");
        text.push('\n');
    }
    text.push_str(&summary(findings));
    text
}

/// One line that counts findings by what they do.
fn summary(findings: &[Finding]) -> String {
    let count = |severity| findings.iter().filter(|finding| finding.severity() == severity).count();
    let (stop, undecided, note) = (count(Severity::Stop), count(Severity::Undecided), count(Severity::Note));
    let mut parts = Vec::new();
    match stop {
        0 => {}
        1 => parts.push("1 finding stops work".to_owned()),
        _ => parts.push(format!("{stop} findings stop work")),
    }
    match undecided {
        0 => {}
        1 => parts.push("1 question is undecided".to_owned()),
        _ => parts.push(format!("{undecided} questions are undecided")),
    }
    match note {
        0 => {}
        1 => parts.push("1 note".to_owned()),
        _ => parts.push(format!("{note} notes")),
    }
    format!("{}\n", parts.join(", "))
}

fn handler(style: Style) -> GraphicalReportHandler {
    let mut theme = GraphicalTheme {
        characters: if style.unicode { ThemeCharacters::unicode() } else { ThemeCharacters::ascii() },
        styles: if style.colour { ThemeStyles::ansi() } else { ThemeStyles::none() },
    };
    if !style.unicode {
        (theme.characters.error, theme.characters.warning, theme.characters.advice) =
            ("x".to_owned(), "?".to_owned(), "i".to_owned());
    } else {
        theme.characters.warning = "?".to_owned();
    }
    GraphicalReportHandler::new_themed(theme)
        .with_width(style.width)
        .with_links(false)
        .without_syntax_highlighting()
        .with_cause_chain()
}

/// A finding with its places looked up, as `miette` wants it.
#[derive(Debug)]
struct Shown<'a> {
    finding: &'a Finding,
    labels: Vec<LabeledSpan>,
    chain: Option<ChainStep>,
    text: Pasted<'a>,
}

/// A step of the reason, and the steps behind it.
#[derive(Debug)]
struct ChainStep {
    text: String,
    next: Option<Box<ChainStep>>,
}

impl<'a> Shown<'a> {
    fn new(finding: &'a Finding, sources: &'a Sources, cleaned: &'a BTreeMap<FileId, String>) -> Self {
        let mut text = Pasted { files: Vec::new() };
        let mut labels = Vec::new();
        for (place, words) in finding.labels.iter().map(|label| (&label.place, &label.text)) {
            let (id, span) = sources.span(place);
            let span = first_line(sources.file(id), span);
            let start = text.base(id, sources, cleaned) + span.start;
            let label = if labels.is_empty() { LabeledSpan::new_primary_with_span } else { LabeledSpan::new_with_span };
            labels.push(label(Some(clean(words)), SourceSpan::new(start.into(), span.len())));
        }
        let steps = finding.chain.iter().enumerate().rev();
        let chain = steps.fold(None, |next, (index, step)| {
            Some(ChainStep { text: format!("{}. {}", index + 1, clean(step)), next: next.map(Box::new) })
        });
        Shown { finding, labels, chain, text }
    }
}

/// The part of a span that lies on its first line, so that no label is drawn round many lines.
fn first_line(file: &SourceFile, span: Range<usize>) -> Range<usize> {
    let shown = file.text.get(span.clone()).unwrap_or_default();
    let line = shown.lines().next().unwrap_or_default();
    span.start..span.start + line.len()
}

impl fmt::Display for Shown<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&clean(&self.finding.message))
    }
}
impl std::error::Error for Shown<'_> {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        self.chain.as_ref().map(|step| step as _)
    }
}
impl fmt::Display for ChainStep {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}
impl std::error::Error for ChainStep {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        self.next.as_deref().map(|step| step as _)
    }
}

impl Diagnostic for Shown<'_> {
    fn code<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        let entry = self.finding.code.entry();
        Some(Box::new(format!("{} {}: {}", severity_word(entry.severity), entry.code, entry.title)))
    }
    fn severity(&self) -> Option<miette::Severity> {
        Some(match self.finding.severity() {
            Severity::Stop => miette::Severity::Error,
            Severity::Undecided => miette::Severity::Warning,
            Severity::Note => miette::Severity::Advice,
        })
    }
    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        (!self.finding.help.is_empty()).then(|| Box::new(clean(&self.finding.help)) as _)
    }
    fn source_code(&self) -> Option<&dyn SourceCode> {
        Some(&self.text)
    }
    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        Some(Box::new(self.labels.iter().cloned()))
    }
}

/// The files that a finding points into, laid end to end with one byte between them, the first label's file first.
///
/// Invariant: a span answers only if it lies in one file, so that no picture runs across two.
#[derive(Debug)]
struct Pasted<'a> {
    files: Vec<PastedFile<'a>>,
}

#[derive(Debug)]
struct PastedFile<'a> {
    id: FileId,
    base: usize,
    file: &'a SourceFile,
    /// The text with control characters replaced, byte for byte.
    clean: &'a str,
}

impl<'a> Pasted<'a> {
    /// Where a file begins.
    fn base(&mut self, id: FileId, sources: &'a Sources, cleaned: &'a BTreeMap<FileId, String>) -> usize {
        if let Some(file) = self.files.iter().find(|file| file.id == id) {
            return file.base;
        }
        let base = self.files.last().map_or(0, |last| last.base + last.clean.len() + 1);
        self.files.push(PastedFile { id, base, file: sources.file(id), clean: &cleaned[&id] });
        base
    }
}

impl SourceCode for Pasted<'_> {
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        lines_before: usize,
        lines_after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let (start, end) = (span.offset(), span.offset() + span.len());
        let file = self.files.iter().rfind(|file| file.base <= start).ok_or(MietteError::OutOfBounds)?;
        let (start, end) = (start - file.base, end - file.base);
        if end > file.clean.len() {
            return Err(MietteError::OutOfBounds);
        }
        let starts = file.file.line_starts();
        let line_of = |byte: usize| starts.partition_point(|start| *start <= byte).max(1) - 1;
        let (first, last) = (line_of(start), line_of(end.max(start + 1) - 1));
        let shown = first.saturating_sub(lines_before);
        let from = if lines_before == 0 { start } else { starts[shown] };
        let to = starts.get(last + 1 + lines_after).copied().unwrap_or(file.clean.len());
        let column = if lines_before == 0 {
            file.clean.get(starts[first]..start).unwrap_or_default().chars().count()
        } else {
            0
        };
        let data = file.clean.get(from..to).ok_or(MietteError::OutOfBounds)?;
        Ok(Box::new(MietteSpanContents::new_named(
            file.file.path.to_string_lossy().into_owned(),
            data.as_bytes(),
            SourceSpan::new((file.base + from).into(), data.len()),
            shown,
            column,
            last + 1 + lines_after - shown,
        )))
    }
}

/// Replaces what would act on a terminal, keeping every byte's place: by `?`, `¿` or U+FFFD, whichever is as long.
pub(super) fn clean(text: &str) -> String {
    let acts = |c: char| {
        (c.is_control() && !matches!(c, '\n' | '\t'))
            || matches!(c, '\u{200B}'..='\u{200F}' | '\u{2028}'..='\u{202E}' | '\u{2060}'..='\u{206F}' | '\u{FEFF}')
    };
    let characters = text.char_indices().map(|(at, c)| match c.len_utf8() {
        _ if !acts(c) => c,
        1 if c == '\r' && text.as_bytes().get(at + 1) == Some(&b'\n') => c,
        1 => '?',
        2 => '¿',
        _ => '\u{FFFD}',
    });
    characters.collect()
}
