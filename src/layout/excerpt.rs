//! The lines that a finding points to, cut out of their files for `miette` to draw.

use crate::finding::FileId;
use crate::source::Sources;
use miette::{MietteError, MietteSpanContents, SourceCode, SourceSpan, SpanContents};
use std::collections::BTreeSet;
use std::ops::Range;

/// How many lines are shown above and below a labelled one.
const AROUND: usize = 1;
/// The longest line that is shown whole, in bytes. Of a longer one, a piece of this length round its labels is shown.
const LONGEST: usize = 160;
/// How much of a long line is shown before its first label, in bytes.
const BEFORE: usize = 40;
const CUT: &str = "…";

/// Runs of neighbouring lines, laid end to end with a byte between them, those of the first label's file first.
///
/// Invariant: a span answers only if it lies in one run, so that no picture runs across files or gaps.
#[derive(Debug, Default)]
pub(crate) struct Excerpt {
    runs: Vec<ExcerptRun>,
    /// Where in the excerpt each label begins, and in which column of its file, from 0.
    columns: Vec<(usize, usize)>,
}

#[derive(Debug)]
struct ExcerptRun {
    name: String,
    /// Where it begins in the excerpt.
    base: usize,
    /// Its first line in the file, from 0.
    first: usize,
    text: String,
    /// Where each line begins in `text`.
    starts: Vec<usize>,
}

impl Excerpt {
    /// Cuts out the lines round some places; gives back where each place lies in the excerpt.
    pub(crate) fn new(places: &[(FileId, Range<usize>)], sources: &Sources) -> (Self, Vec<Range<usize>>) {
        let mut excerpt = Excerpt::default();
        let mut spans = vec![0..0; places.len()];
        let mut files: Vec<FileId> = Vec::new();
        for (file, _) in places {
            if !files.contains(file) {
                files.push(*file);
            }
        }
        for id in files {
            let lines = |(file, span): &(FileId, Range<usize>)| {
                let line = sources.line_column(*file, span.start).0 - 1;
                let starts = sources.file(*file).line_starts();
                let written = starts.partition_point(|start| *start < sources.file(*file).text.len());
                (*file == id).then(|| line.saturating_sub(AROUND)..(line + 1 + AROUND).min(written).max(line + 1))
            };
            let wanted: BTreeSet<usize> = places.iter().filter_map(lines).flatten().collect();
            for line in wanted {
                excerpt.add_line(id, line, places, &mut spans, sources);
            }
        }
        (excerpt, spans)
    }

    fn add_line(
        &mut self,
        id: FileId,
        line: usize,
        places: &[(FileId, Range<usize>)],
        spans: &mut [Range<usize>],
        sources: &Sources,
    ) {
        let file = sources.file(id);
        let name = file.path.to_string_lossy();
        let base = self.runs.last().map_or(0, |run| run.base + run.text.len() + 1);
        let run = match self.runs.pop() {
            Some(run) if run.name == name && run.first + run.starts.len() == line => run,
            other => {
                self.runs.extend(other);
                ExcerptRun { name: clean(&name), base, first: line, text: String::new(), starts: Vec::new() }
            }
        };
        self.runs.push(run);
        let run = self.runs.last_mut().expect("a run was just added");
        let from = file.line_starts()[line];
        let next = file.line_starts().get(line + 1).copied().unwrap_or(file.text.len() + 1);
        let to = next - 1;
        let ends_in_return = file.text.get(from..to).is_some_and(|text| text.ends_with('\r'));
        let to = to - usize::from(ends_in_return);
        let on_line = |(file, span): &(FileId, Range<usize>)| *file == id && (from..next).contains(&span.start);
        let first_label = places.iter().filter(|place| on_line(place)).map(|(_, span)| span.start).min();
        let shown = window(&file.text, from..to, first_label.unwrap_or(from));
        run.starts.push(run.text.len());
        run.text.push_str(if shown.start > from { CUT } else { "" });
        let offset = run.base + run.text.len();
        run.text.push_str(&clean(file.text.get(shown.clone()).unwrap_or_default()));
        let end = run.base + run.text.len();
        run.text.push_str(if shown.end < to { CUT } else { "" });
        run.text.push('\n');
        for (place, span) in places.iter().zip(spans).filter(|(place, _)| on_line(place)) {
            let moved = |byte: usize| (byte.clamp(shown.start, shown.end) - shown.start + offset).min(end);
            *span = moved(place.1.start)..moved(place.1.end);
            self.columns.push((span.start, sources.line_column(id, place.1.start).1 - 1));
        }
    }
}

/// The part of a line to show, so that a label that begins at a byte is seen.
fn window(text: &str, line: Range<usize>, label: usize) -> Range<usize> {
    if line.len() <= LONGEST {
        return line;
    }
    let start = text.floor_char_boundary(label.saturating_sub(BEFORE)).max(line.start);
    start..text.floor_char_boundary(start + LONGEST).min(line.end)
}

impl SourceCode for Excerpt {
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        lines_before: usize,
        lines_after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let run = self.runs.iter().rfind(|run| run.base <= span.offset()).ok_or(MietteError::OutOfBounds)?;
        let start = span.offset() - run.base;
        let end = start + span.len();
        if end > run.text.len() {
            return Err(MietteError::OutOfBounds);
        }
        let line_of = |byte: usize| run.starts.partition_point(|start| *start <= byte) - 1;
        let (first, last) =
            (line_of(start).saturating_sub(lines_before), line_of(end.max(start + 1) - 1) + lines_after);
        let from = if lines_before == 0 { start } else { run.starts[first] };
        let to = run.starts.get(last + 1).copied().unwrap_or(run.text.len());
        let column = self.columns.iter().find(|(at, _)| lines_before == 0 && *at == span.offset());
        let data = run.text.get(from..to).ok_or(MietteError::OutOfBounds)?;
        Ok(Box::new(MietteSpanContents::new_named(
            run.name.clone(),
            data.as_bytes(),
            SourceSpan::new((run.base + from).into(), data.len()),
            run.first + first,
            column.map_or(0, |(_, column)| *column),
            last.min(run.starts.len() - 1) + 1 - first,
        )))
    }
}

/// Replaces what would act on a terminal, keeping every byte's place: by `?`, `¿` or U+FFFD, whichever is as long.
pub(crate) fn clean(text: &str) -> String {
    let acts = |c: char| {
        (c.is_control() && !matches!(c, '\n' | '\t'))
            || matches!(c, '\u{200B}'..='\u{200F}' | '\u{2028}'..='\u{202E}' | '\u{2060}'..='\u{206F}' | '\u{FEFF}')
    };
    let characters = text.chars().map(|c| match c.len_utf8() {
        _ if !acts(c) => c,
        1 => '?',
        2 => '¿',
        _ => '\u{FFFD}',
    });
    characters.collect()
}
