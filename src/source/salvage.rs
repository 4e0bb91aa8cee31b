//! Reads what can be read of a file that `ron` refuses as a whole, and says of each record why it cannot be.

use super::layout::{FileLayout, LayoutFault};
use super::lexer::{Lexer, TokenKind};
use super::lost::{is_rest, kinds_of_file};
use super::refusal::{Refusal, title};
use super::tree::Tree;
use super::{Lost, LostText, Salvaged, near, wording};
use crate::finding::{FileId, Finding, Place, RecordRef};
use crate::schema::Record;
use ron::error::{Error, Position, SpannedError};
use ron::extensions::Extensions;
use std::collections::BTreeSet;
use std::ops::Range;

/// How many faults of one record are reported in one run.
const FAULTS_TOLD: usize = 20;

/// How `ron` is to read dossiers.
pub(super) fn options() -> ron::Options {
    ron::Options::default().with_default_extension(Extensions::UNWRAP_VARIANT_NEWTYPES | Extensions::IMPLICIT_SOME)
}

/// Reads the records of a file that `ron` refuses one by one; at least one finding says why it does.
pub(super) fn salvage(id: FileId, text: &str, layout: &FileLayout, whole: &SpannedError) -> Salvaged {
    let (heads, kinds) = (heads(id, text, layout), kinds_of_file(text));
    let mut lost = Lost::default();
    let mut findings: Vec<Finding> =
        layout.faults.iter().map(|fault| wording::layout_fault(id, text, fault, None)).collect();
    let mut header = text.get(layout.header.clone()).unwrap_or_default();
    if options().from_str::<Vec<Record>>(&format!("{header}[]")).is_err() {
        findings.push(wording::header_error(id, text, &layout.header));
        header = "";
    }
    let mut records = Vec::new();
    let mut broken = layout.broken.iter().peekable();
    for (which, span) in layout.records.iter().enumerate() {
        let index = u32::try_from(which).expect("a file holds fewer than 2^32 records");
        let fault = broken.next_if(|(broken, _)| *broken == which).map(|(_, fault)| fault);
        let slice = text.get(span.clone()).expect("records end on character boundaries");
        match read_record(header, slice) {
            Ok(record) => {
                records.push((RecordRef { file: id, index }, record));
                findings.extend(fault.map(|fault| wording::layout_fault(id, text, fault, None)));
            }
            Err((error, at)) => {
                let record = RecordRef { file: id, index };
                let before = heads[which].filter(|_| is_rest(slice));
                let mut lost_text = LostText::new(record.place(), slice, before, &kinds);
                let before = findings.len();
                match fault.and_then(|fault| fault_seen(fault, slice, span.start, &at)) {
                    Some((fault, seen)) => findings.push(wording::layout_fault(id, text, fault, seen)),
                    None => findings.extend(refusals(id, header, slice, span.start, error, at)),
                }
                let first = findings.get(before).and_then(|finding| finding.labels.first());
                lost_text.mend = first.map(|label| label.place.clone());
                lost.texts.push(lost_text);
            }
        }
    }
    lost.texts.extend(between(id, text, layout, &heads, &kinds));
    if findings.is_empty() {
        findings.push(wording::file_error(id, text, byte_of(text, whole.span.end)));
        lost.texts.push(LostText::of_file(id, text));
    }
    Salvaged { records, findings, lost }
}

/// What stands between records and says something: most often the rest of the record before it, whose bracket closes
/// too early, or a record without a bracket.
fn between(
    id: FileId,
    text: &str,
    layout: &FileLayout,
    heads: &[Option<Head<'_>>],
    kinds: &BTreeSet<&'static str>,
) -> Vec<LostText> {
    let starts = layout.records.iter().map(|record| record.start).chain([text.len()]);
    let ends = std::iter::once(layout.header.end).chain(layout.records.iter().map(|record| record.end));
    let gaps = ends.zip(starts).enumerate().filter(|(_, (end, start))| end < start);
    let lost = gaps.filter_map(|(at, (end, start))| {
        let says =
            |kind| matches!(kind, TokenKind::Word | TokenKind::Text | TokenKind::OpenText | TokenKind::OpenComment);
        let first = Lexer::new(text, end..start).find(|token| says(token.kind))?.span.start;
        let place = Place::Bytes(id, first, start);
        Some(LostText::new(place, text.get(first..start).unwrap_or_default(), heads[at], kinds))
    });
    lost.collect()
}

/// A record with its text.
type Head<'a> = (RecordRef, &'a str);

/// For each record, and for the end of the file, the last one before it that is no rest of another, with its text.
fn heads<'a>(id: FileId, text: &'a str, layout: &FileLayout) -> Vec<Option<Head<'a>>> {
    let mut heads = vec![None];
    for (index, span) in (0..).zip(&layout.records) {
        let slice = text.get(span.clone()).unwrap_or_default();
        let last = heads.last().copied().flatten();
        heads.push(if is_rest(slice) { last } else { Some((RecordRef { file: id, index }, slice)) });
    }
    heads
}

/// Reads one record alone; an error comes with the bytes of the record where it was noticed.
fn read_record(header: &str, slice: &str) -> Result<Record, (Error, Range<usize>)> {
    let joined = format!("{header}{slice}");
    options().from_str(&joined).map_err(|error| {
        let byte = |position| byte_of(&joined, position).saturating_sub(header.len());
        let end = byte(error.span.end);
        (error.code, byte(error.span.start).min(end)..end)
    })
}

/// The fault in a record's layout, with where `ron` noticed it, unless `ron` stumbled over something before it.
fn fault_seen<'a>(
    fault: &'a LayoutFault,
    slice: &str,
    start: usize,
    at: &Range<usize>,
) -> Option<(&'a LayoutFault, Option<Range<usize>>)> {
    let opened = match fault {
        LayoutFault::Unclosed { open, .. }
        | LayoutFault::UnclosedText { open, .. }
        | LayoutFault::UnclosedComment { open } => *open,
        LayoutFault::EarlyEnd { .. }
        | LayoutFault::Stray(_)
        | LayoutFault::MissingComma { .. }
        | LayoutFault::ExtraComma(_)
        | LayoutFault::NoList(_)
        | LayoutFault::UnclosedList { .. }
        | LayoutFault::AfterList { .. } => 0,
    };
    let next = Lexer::new(slice, at.end..slice.len()).next();
    let seen = next.map(|token| token.span.start + start..token.span.end + start).filter(|seen| seen.start > opened);
    (opened <= at.end + start).then_some((fault, seen))
}

/// Why a record is refused. A fault that can be blanked out is, so that the next one is reported in the same run.
fn refusals(
    id: FileId,
    header: &str,
    slice: &str,
    base: usize,
    mut error: Error,
    mut at: Range<usize>,
) -> Vec<Finding> {
    let title = title(&Tree::read(slice, 0..slice.len()));
    let mut text = slice.to_owned();
    let mut findings = Vec::new();
    let mut meant = Vec::new();
    loop {
        let tree = Tree::read(&text, 0..text.len());
        let refusal = Refusal { file: id, base, title: &title, tree: &tree, at: at.clone() };
        if let Error::MissingStructField { field, .. } = &error
            && meant.contains(field)
        {
            break;
        }
        findings.push(refusal.finding(&error));
        if let Error::NoSuchStructField { expected, found, .. } = &error {
            meant.extend(near::closest(found, expected));
        }
        let Some((span, filler)) = blank(&tree, &error, &at) else { break };
        let filling = format!("{filler:width$}", width = span.len());
        text.replace_range(span, &filling);
        match read_record(header, &text) {
            Err(next) if findings.len() < FAULTS_TOLD => (error, at) = next,
            _ => break,
        }
    }
    findings
}

/// What to put in the place of a fault so that reading can go on behind it, in as many bytes.
#[expect(clippy::wildcard_enum_match_arm, reason = "only these faults have a filler")]
fn blank(tree: &Tree<'_>, error: &Error, at: &Range<usize>) -> Option<(Range<usize>, &'static str)> {
    let filler = match error {
        Error::NoSuchStructField { .. } | Error::DuplicateStructField { .. } => {
            let mut inside = tree.inside(tree.around(at.start)).map(|child| &tree.nodes[child]);
            let node = inside.find(|node| node.name.start <= at.start && at.end <= node.name.end)?;
            let comma = Lexer::new(tree.text, node.span.end..tree.text.len()).next();
            let end =
                comma.filter(|token| token.kind == TokenKind::Comma).map_or(node.span.end, |token| token.span.end);
            return Some((node.name.start..end, ""));
        }
        Error::ExpectedString => "\"\"",
        Error::ExpectedInteger | Error::ExpectedFloat => "0",
        Error::ExpectedBoolean => "true",
        Error::ExpectedArray => "[]",
        _ => return None,
    };
    let next = Lexer::new(tree.text, at.end..tree.text.len()).next()?;
    let node = tree.nodes.iter().rfind(|node| node.span.start == next.span.start)?;
    (node.span.len() >= filler.len()).then(|| (node.span.clone(), filler))
}

/// The byte of a line and column as `ron` counts them: both from 1, in characters.
fn byte_of(text: &str, position: Position) -> usize {
    let line = text.split_inclusive('\n').take(position.line - 1).map(str::len).sum::<usize>();
    let rest = text.get(line..).unwrap_or_default();
    line + rest.char_indices().nth(position.col - 1).map_or(rest.len(), |(at, _)| at)
}
