//! Findings as text for a terminal or a file.

use super::excerpt::{Excerpt, clean};
use super::{Page, ordered, severity_word};
use crate::finding::{Finding, Severity};
use crate::source::Sources;
use miette::{
    Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, SourceCode, SourceSpan, ThemeCharacters,
    ThemeStyles,
};
use rayon::prelude::*;
use std::fmt;
use std::ops::Range;

/// How findings are drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Style {
    /// The width to which sentences are wrapped, in columns.
    pub width: usize,
    /// Whether to use colours. Nothing is shown by colour alone.
    pub colour: bool,
    /// Whether to draw lines with characters beyond ASCII.
    pub unicode: bool,
}

impl Style {
    /// A heading: bold where there is colour, and a line of its own.
    pub(crate) fn head(self, text: &str) -> String {
        let text = clean(text);
        let text = crate::layout::text::paragraph("", &text, self.width);
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
    draw_findings(findings, sources, style) + &summary(findings)
}

/// The same without the last line.
pub(crate) fn draw_findings(findings: &[Finding], sources: &Sources, style: Style) -> String {
    let handler = handler(style);
    ordered(findings, sources)
        .into_par_iter()
        .map(|finding| draw(&handler, &ShownFinding::new(finding, sources)))
        .collect()
}

fn draw(handler: &GraphicalReportHandler, shown: &ShownFinding<'_>) -> String {
    let mut text = String::new();
    handler.render_report(&mut text, shown).expect("a string takes all that is written, and every label has a source");
    text.push('\n');
    text
}

/// The findings as a page: each with what is to be seen where, why, and what to do.
pub(crate) fn findings_page(findings: &[Finding], sources: &Sources) -> Page {
    let mut page = Page::default();
    if findings.is_empty() {
        page.say("Nothing was found that is wrong or doubtful.");
        return page;
    }
    page.say(summary(findings).trim_end());
    for finding in ordered(findings, sources) {
        let entry = finding.code.entry();
        page.gap();
        page.item(format!("{} ({}): ", entry.code, severity_word(entry.severity)), &finding.message);
        for label in &finding.labels {
            let (file, span) = sources.span(&label.place);
            let (line, _) = sources.line_column(file, span.start);
            let file = sources.file(file).path.to_string_lossy();
            page.item_at("  - ", &label.text, format!("{file}:{line}"));
        }
        for (index, step) in finding.chain.iter().enumerate() {
            page.item(format!("  {}. ", index + 1), step);
        }
        if !finding.help.is_empty() {
            page.item("  What to do: ", &finding.help);
        }
    }
    page
}

/// The findings, a line each: how much it weighs, its code, its place and what it says, with a check code behind.
#[must_use]
pub fn short_findings(findings: &[Finding], sources: &Sources, facts: impl Fn(&Finding) -> String) -> String {
    let mut text = String::new();
    for finding in ordered(findings, sources) {
        let (weight, place) = (severity_word(finding.severity()), place_text(finding, sources));
        let line =
            format!("{weight:9}  {:10}  {place}: {} [{}]", finding.code.entry().code, finding.message, facts(finding));
        text.push_str(clean(&line).trim_end());
        text.push('\n');
    }
    text + &summary(findings)
}

/// Where a person starts to mend: `type/plates.ron:12`.
#[must_use]
pub fn place_text(finding: &Finding, sources: &Sources) -> String {
    let (file, span) = sources.span(&finding.labels[0].place);
    format!("{}:{}", sources.file(file).path.to_string_lossy(), sources.line_column(file, span.start).0)
}

/// One line that counts findings by what they do.
pub(crate) fn summary(findings: &[Finding]) -> String {
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
    let marks =
        |stop: &str, base| ThemeCharacters { error: stop.into(), warning: "?".into(), advice: "i".into(), ..base };
    let characters =
        if style.unicode { marks("×", ThemeCharacters::unicode()) } else { marks("x", ThemeCharacters::ascii()) };
    let styles = if style.colour { ThemeStyles::ansi() } else { ThemeStyles::none() };
    let theme = GraphicalTheme { characters, styles };
    GraphicalReportHandler::new_themed(theme)
        .with_width(style.width)
        .with_word_splitter(textwrap::WordSplitter::NoHyphenation)
        .with_links(false)
        .without_syntax_highlighting()
        .with_cause_chain()
}

/// A finding with its places looked up, as `miette` wants it.
#[derive(Debug)]
struct ShownFinding<'a> {
    finding: &'a Finding,
    labels: Vec<LabeledSpan>,
    chain: Option<ChainStep>,
    text: Excerpt,
}

/// A step of the reason, and the steps behind it.
#[derive(Debug)]
struct ChainStep {
    text: String,
    next: Option<Box<ChainStep>>,
}

impl<'a> ShownFinding<'a> {
    fn new(finding: &'a Finding, sources: &Sources) -> Self {
        let places: Vec<_> = finding.labels.iter().map(|label| sources.span(&label.place)).collect();
        let (text, spans) = Excerpt::new(&places, sources);
        let label = |(index, span): (usize, Range<usize>)| {
            let words = Some(clean(&finding.labels[index].text));
            let span = SourceSpan::new(span.start.into(), span.len());
            if index == 0 {
                LabeledSpan::new_primary_with_span(words, span)
            } else {
                LabeledSpan::new_with_span(words, span)
            }
        };
        let labels = spans.into_iter().enumerate().map(label).collect();
        let steps = finding.chain.iter().enumerate().rev();
        let chain = steps.fold(None, |next, (index, step)| {
            Some(ChainStep { text: format!("{}. {}", index + 1, clean(step)), next: next.map(Box::new) })
        });
        ShownFinding { finding, labels, chain, text }
    }
}

impl fmt::Display for ShownFinding<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&clean(&self.finding.message))
    }
}
impl std::error::Error for ShownFinding<'_> {
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

impl Diagnostic for ShownFinding<'_> {
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
