//! Serial blocks, and the serials that they make known.

use super::Context;
use super::say::{Findings, listed};
use crate::finding::{Finding, Place, RecordRef};
use crate::model::SerialBlock;
use crate::quantity::serial::{SerialRange, WrittenRange};
use crate::quantity::{Config, Serial, SerialSet};
use crate::{codes, schema};
use indexmap::IndexMap;
use std::collections::BTreeSet;
use std::ops::Range;

/// Reads the blocks, sorted by series and first serial.
pub(super) fn lower(
    records: &[(RecordRef, &schema::SerialBlock)],
    config: &Config,
    out: &mut Findings,
) -> Vec<SerialBlock> {
    let mut blocks: Vec<SerialBlock> = Vec::new();
    for (record, raw) in records {
        if let Some((first, last)) = ends(*record, raw, config, out) {
            let lines = raw.line.as_ref().map(|line| lines(*record, line, &first, &last, out)).unwrap_or_default();
            let (factory, model) = (raw.factory.clone(), raw.model.clone());
            blocks.push(SerialBlock { record: *record, first, last, factory, model, lines });
        }
    }
    blocks.sort_by(|a, b| (&a.first, &a.last, a.record).cmp(&(&b.first, &b.last, b.record)));
    overlaps(&blocks, out);
    line_numbers(&blocks, out);
    blocks
}

fn ends(record: RecordRef, raw: &schema::SerialBlock, config: &Config, out: &mut Findings) -> Option<(Serial, Serial)> {
    let place = record.field("serials");
    let range = out.read(WrittenRange::parse(&raw.serials), &place)?;
    let text = &raw.serials;
    let mut bad = |code, why: &str, help: &str| {
        out.add(Finding::new(code, format!("the serial block `{text}` {why}"), place.clone(), "this block").help(help));
        None
    };
    let (Some(first), Some(last)) = (range.from, range.to) else {
        return bad(codes::BLOCK_ENDS, "is open at one end", "name the first and the last serial of the block");
    };
    if first.suffix != last.suffix {
        return bad(codes::BLOCK_ENDS, "has serials of different suffix at its ends", "make a block for each suffix");
    }
    if last.text != first.numbered(last.number).text {
        let help = "write both ends as on the data plates, leading zeros included";
        return bad(codes::BLOCK_ENDS, "writes leading zeros at one end only", help);
    }
    if last.number - first.number >= config.settings.serials_in_block {
        let why = format!("has more than {} serials", config.settings.serials_in_block);
        return bad(codes::BLOCK_TOO_LARGE, &why, "correct the last serial");
    }
    Some((first, last))
}

fn lines(
    record: RecordRef,
    line: &schema::Line,
    first: &Serial,
    last: &Serial,
    out: &mut Findings,
) -> IndexMap<u32, u32> {
    let place = record.field("line");
    match line {
        schema::Line::From(start) => (first.number..=last.number).zip(*start..=u32::MAX).collect(),
        schema::Line::Order(start, order) => {
            let mut lines = IndexMap::new();
            let mut next = *start..=u32::MAX;
            let mut faults = false;
            for (index, text) in order.iter().enumerate() {
                let place = place.item(1).item(index);
                let Some(range) = out.read(WrittenRange::parse(text), &place) else {
                    faults = true;
                    continue;
                };
                let (Some(from), Some(to)) = (range.from, range.to) else {
                    out.add(line_order(format!("`{text}` is open at one end"), place));
                    faults = true;
                    continue;
                };
                let inside = |serial: &Serial| (first.number..=last.number).contains(&serial.number);
                if !inside(&from) || !inside(&to) || from.prefix != first.prefix || from.suffix != first.suffix {
                    out.add(line_order(format!("`{text}` does not lie in the block"), place));
                    faults = true;
                    continue;
                }
                let again: Vec<u32> = (from.number..=to.number).filter(|n| lines.contains_key(n)).collect();
                if let [one, rest @ ..] = again.as_slice() {
                    let message =
                        format!("the line order lists `{}`{} twice", first.numbered(*one).text, and_more(rest));
                    out.add(line_order(message, place));
                    faults = true;
                    continue;
                }
                lines.extend((from.number..=to.number).zip(next.by_ref()));
            }
            let missing: Vec<String> = (first.number..=last.number)
                .filter(|number| !lines.contains_key(number))
                .map(|number| first.numbered(number).text)
                .collect();
            if let ([one, rest @ ..], false) = (&missing[..], faults) {
                out.add(line_order(format!("the line order leaves out `{one}`{}", and_more(rest)), place));
                faults = true;
            }
            if faults { IndexMap::new() } else { lines }
        }
    }
}

fn and_more<T>(rest: &[T]) -> String {
    if rest.is_empty() { String::new() } else { format!(" and {} more", rest.len()) }
}

fn line_order(message: String, place: Place) -> Finding {
    Finding::new(codes::LINE_ORDER, message, place, "in this order")
        .help("list each serial of the block once, in the order in which they left the line")
}

fn overlaps(blocks: &[SerialBlock], out: &mut Findings) {
    for (i, a) in blocks.iter().enumerate() {
        for b in blocks.iter().skip(i + 1) {
            let series = a.first.prefix == b.first.prefix && a.first.suffix == b.first.suffix;
            if series && b.first <= a.last {
                let message = format!(
                    "`{}` lies in two serial blocks, `{}..{}` and `{}..{}`",
                    b.first.text, a.first.text, a.last.text, b.first.text, b.last.text
                );
                out.add(
                    Finding::new(codes::BLOCKS_OVERLAP, message, b.record.field("serials"), "this block")
                        .label(a.record.field("serials"), "overlaps this one")
                        .help("correct the ends of the blocks so that each serial lies in one"),
                );
            }
        }
    }
}

/// Each place on a factory's line belongs to one airframe.
fn line_numbers(blocks: &[SerialBlock], out: &mut Findings) {
    for (i, a) in blocks.iter().enumerate() {
        for b in blocks.iter().skip(i + 1).filter(|b| b.factory == a.factory) {
            let taken: IndexMap<u32, u32> = a.lines.iter().map(|(serial, line)| (*line, *serial)).collect();
            let clash = b.lines.iter().find_map(|(serial, line)| Some((*line, *taken.get(line)?, *serial)));
            if let Some((line, one, other)) = clash {
                let message = format!(
                    "line number {line} of `{}` is given to `{}` and to `{}`",
                    a.factory,
                    a.first.numbered(one).text,
                    b.first.numbered(other).text
                );
                out.add(
                    Finding::new(codes::LINE_NUMBER_TWICE, message, b.record.field("line"), "numbered here")
                        .label(a.record.field("line"), "and here")
                        .help("correct where the line numbers of one of the blocks start"),
                );
            }
        }
    }
}

/// Every serial of every block, in order.
pub(super) struct Known {
    serials: Vec<KnownSerial>,
    /// The blocks: where each is written and its ends.
    blocks: Vec<(Place, Serial, Serial)>,
    /// Whether a block was left out, so that a serial in no block may be one of its.
    incomplete: bool,
    /// Records of blocks whose line numbers are known.
    numbered: BTreeSet<RecordRef>,
}

struct KnownSerial {
    serial: Serial,
    block: usize,
    factory: String,
    line: Option<u32>,
}

impl Known {
    pub(super) fn of(blocks: &[SerialBlock], incomplete: bool) -> Known {
        let mut serials: Vec<KnownSerial> = Vec::new();
        for (block, b) in blocks.iter().enumerate() {
            serials.extend((b.first.number..=b.last.number).map(|number| KnownSerial {
                serial: b.first.numbered(number),
                block,
                factory: b.factory.clone(),
                line: b.lines.get(&number).copied(),
            }));
        }
        serials.sort_by(|a, b| a.serial.cmp(&b.serial));
        serials.dedup_by(|b, a| a.serial == b.serial);
        let ends = |b: &SerialBlock| (b.record.field("serials"), b.first.clone(), b.last.clone());
        let numbered = blocks.iter().filter(|b| !b.lines.is_empty()).map(|b| b.record).collect();
        Known { serials, blocks: blocks.iter().map(ends).collect(), incomplete, numbered }
    }

    /// The block of a serial, if it is one of a block and written as there; else a finding.
    pub(super) fn block(&self, serial: &Serial, place: &Place, out: &mut Findings) -> Option<usize> {
        self.one(serial, place, out).map(|at| self.serials[at].block)
    }

    fn one(&self, serial: &Serial, place: &Place, out: &mut Findings) -> Option<usize> {
        if let Ok(at) = self.serials.binary_search_by(|known| known.serial.cmp(serial)) {
            return self.as_written(serial, at, place, out).then_some(at);
        }
        self.in_no_block(&format!("`{}` is", serial.text), serial, place, out);
        None
    }

    fn as_written(&self, serial: &Serial, at: usize, place: &Place, out: &mut Findings) -> bool {
        let known = &self.serials[at];
        if known.serial.text == serial.text {
            return true;
        }
        let message = format!(
            "`{}` has the number of `{}`, but other leading zeros, and may be another airframe",
            serial.text, known.serial.text
        );
        out.add(
            Finding::new(codes::SERIAL_WRITTEN_OTHERWISE, message, place.clone(), "leading zeros differ")
                .label(self.blocks[known.block].0.clone(), format!("`{}` is of this block", known.serial.text))
                .help(format!("write `{}` if that is meant", known.serial.text)),
        );
        false
    }

    fn in_no_block(&self, subject: &str, serial: &Serial, place: &Place, out: &mut Findings) {
        if self.incomplete {
            out.leave_out(place.clone());
            return;
        }
        let message = format!("{subject} in no serial block");
        let finding = Finding::new(codes::NO_SUCH_SERIAL, message, place.clone(), "in no block");
        let of_series = self.blocks.iter().filter(|(_, first, _)| first.prefix == serial.prefix);
        let gap = |first: &Serial, last: &Serial| {
            first.number.saturating_sub(serial.number).max(serial.number.saturating_sub(last.number))
        };
        let finding = if let Some((block, first, last)) = of_series.min_by_key(|(_, a, b)| gap(a, b)) {
            finding
                .label(block.clone(), format!("`{}..{}` is the nearest block", first.text, last.text))
                .help("correct the serial, or extend the block if there were more airframes")
        } else {
            let blocks: IndexMap<&str, String> = self
                .blocks
                .iter()
                .rev()
                .map(|(_, a, b)| (a.prefix.as_str(), format!("{}..{}", a.text, b.text)))
                .collect();
            let blocks = listed(blocks.values().rev().map(String::as_str), "and");
            finding.help(format!("correct the serial, or add its block; the first of each series are {blocks}"))
        };
        out.add(finding);
    }

    /// The known serials of a range as indices; a finding (and `None`) if an end is miswritten or nothing lies in it.
    fn indices(&self, range: &WrittenRange, text: &str, place: &Place, out: &mut Findings) -> Option<Range<usize>> {
        if let (Some(from), true) = (&range.from, range.from == range.to) {
            return self.one(from, place, out).map(|at| at..at + 1);
        }
        let bare = range.range();
        let start = self.serials.partition_point(|k| before(&k.serial, &bare));
        let end = start + self.serials[start..].partition_point(|k| bare.contains(&k.serial));
        let mut unknown = None;
        for serial in [&range.from, &range.to].into_iter().flatten() {
            match self.serials.binary_search_by(|known| known.serial.cmp(serial)) {
                Ok(at) if !self.as_written(serial, at, place, out) => return None,
                Ok(_) => {}
                Err(_) => unknown = Some(serial),
            }
        }
        if start == end {
            if let Some(end) = range.from.as_ref().or(range.to.as_ref()) {
                self.in_no_block(&format!("every serial of `{text}` is"), end, place, out);
            }
            return None;
        }
        if let (Some(serial), false) = (unknown, self.incomplete) {
            let message = format!("the range `{text}` ends at `{}`, which is in no serial block", serial.text);
            out.add(
                Finding::new(codes::RANGE_BEYOND_BLOCKS, message, place.clone(), "beyond the blocks")
                    .help("check the end of the range, or extend the serial block if there were more airframes"),
            );
        }
        Some(start..end)
    }

    /// Serials marked as in or out, as a set of ranges of consecutive numbers.
    fn set(&self, marks: &[bool]) -> SerialSet {
        let mut ranges: Vec<SerialRange> = Vec::new();
        let mut last: Option<usize> = None;
        for (at, known) in self.serials.iter().enumerate().filter(|(at, _)| marks[*at]) {
            let Serial { prefix, number, suffix, .. } = &known.serial;
            let follows = last.is_some_and(|before| {
                let before = (before, &self.serials[before].serial);
                before.0 + 1 == at && before.1.prefix == *prefix && number - before.1.number <= 1
            });
            let end = Some((*number, suffix.clone()));
            match ranges.last_mut() {
                Some(range) if follows => range.to = end,
                _ => ranges.push(SerialRange { prefix: prefix.clone(), from: end.clone(), to: end }),
            }
            last = Some(at);
        }
        SerialSet(ranges)
    }
}

/// Whether a serial sorts before every serial of the range.
fn before(serial: &Serial, range: &SerialRange) -> bool {
    let start = range.from.as_ref().map_or((0, ""), |(number, suffix)| (*number, suffix.as_str()));
    (serial.prefix.as_str(), serial.number, serial.suffix.as_str()) < (range.prefix.as_str(), start.0, start.1)
}

/// A list of ranges as written, each checked against the blocks; `None` if one of them is at fault.
pub(super) fn ranges(cx: &Context, texts: &[String], place: &Place, out: &mut Findings) -> Option<SerialSet> {
    let checked = marked(cx, texts, place, out);
    let written = texts.iter().filter_map(|text| WrittenRange::parse(text).ok()).map(|range| range.range());
    checked.map(|_| SerialSet(written.collect()))
}

/// The serials that some ranges mark, as indices of known serials; `None` if a range is at fault.
fn marked(cx: &Context, texts: &[String], place: &Place, out: &mut Findings) -> Option<Vec<Range<usize>>> {
    out.named_twice(texts.iter().enumerate().map(|(i, text)| (text.as_str(), place.item(i))));
    let mut found = Some(Vec::new());
    for (index, text) in texts.iter().enumerate() {
        let place = place.item(index);
        let range = out.read(WrittenRange::parse(text), &place);
        match range.and_then(|range| cx.known.indices(&range, text, &place, out)) {
            Some(indices) => found.iter_mut().for_each(|all| all.push(indices.clone())),
            None => found = None,
        }
    }
    found
}

/// The serials that a production form covers.
pub(super) fn covered(cx: &Context, raw: &schema::Production, place: &Place, out: &mut Findings) -> Option<SerialSet> {
    let known = &cx.known;
    let mut marks = vec![false; known.serials.len()];
    let mut sound = true;
    for (index, text) in raw.from.iter().enumerate() {
        let place = place.field("from").item(index);
        let first = out.read(Serial::parse(text), &place).and_then(|serial| known.one(&serial, &place, out));
        sound &= first.is_some();
        if let Some(first) = first {
            let series = &known.serials[first].serial.prefix;
            for (mark, serial) in marks.iter_mut().zip(&known.serials).skip(first) {
                *mark |= serial.serial.prefix == *series;
            }
        }
    }
    for (index, cut_in) in raw.line.iter().enumerate() {
        sound &= mark_line(cx, cut_in, &place.field("line").item(index), &mut marks, out);
    }
    let ranges = marked(cx, &raw.ranges, &place.field("ranges"), out);
    sound &= ranges.is_some();
    ranges.into_iter().flatten().flatten().for_each(|at| marks[at] = true);
    sound &= except(cx, &raw.except, &place.field("except"), &mut marks, sound, out);
    (sound && not_empty(&marks, "production", place, out)).then(|| known.set(&marks))
}

/// The serials that a retrospective form may be embodied on: `Some(None)` is all, `None` says that it is at fault.
#[expect(clippy::option_option, reason = "the outer option tells a fault, the inner one that all are eligible")]
pub(super) fn eligible(
    cx: &Context,
    raw: &schema::Retrospective,
    place: &Place,
    out: &mut Findings,
) -> Option<Option<SerialSet>> {
    if raw.eligible.is_none() && raw.except.is_empty() {
        return Some(None);
    }
    let mut marks = vec![raw.eligible.is_none(); cx.known.serials.len()];
    let mut sound = true;
    if let Some(texts) = &raw.eligible {
        let ranges = marked(cx, texts, &place.field("eligible"), out);
        sound = ranges.is_some();
        ranges.into_iter().flatten().flatten().for_each(|at| marks[at] = true);
    }
    sound &= except(cx, &raw.except, &place.field("except"), &mut marks, sound, out);
    (sound && not_empty(&marks, "retrospective", place, out)).then(|| Some(cx.known.set(&marks)))
}

fn mark_line(cx: &Context, cut_in: &schema::LineCutIn, place: &Place, marks: &mut [bool], out: &mut Findings) -> bool {
    let blocks = || cx.records.blocks.iter().filter(|(_, block)| block.factory == cut_in.factory);
    if blocks().next().is_none() && cx.lost.may_name(&cut_in.factory) {
        out.leave_out(place.clone());
        return false;
    }
    if blocks().next().is_none() {
        let factories = cx.records.blocks.iter().map(|(at, block)| (block.factory.as_str(), at.field("factory")));
        let factories: IndexMap<&str, Place> = factories.collect();
        let near = super::say::nearest(&cut_in.factory, factories.keys().copied());
        let near = near.map(|near| (near, &factories[near]));
        out.unknown(
            codes::UNKNOWN_FACTORY,
            "factory",
            &cut_in.factory,
            &place.field("factory"),
            near.as_slice(),
            cx.lost,
        );
        return false;
    }
    // Line numbers that could not be read have their findings already; without them it is not known what is covered.
    if !blocks().all(|(at, block)| block.line.is_none() || cx.known.numbered.contains(at)) {
        out.leave_out(place.clone());
        return false;
    }
    let of_factory = || cx.known.serials.iter().enumerate().filter(|(_, known)| known.factory == cut_in.factory);
    let lines = || of_factory().filter_map(|(at, known)| Some((at, known.line?)));
    let last = lines().map(|(_, line)| line).max();
    if last.is_none_or(|last| last < cut_in.number) {
        if cx.lost.may_be("SerialBlock") {
            out.leave_out(place.clone());
        } else {
            let has = last.map_or("has no line numbers".into(), |last| format!("has line numbers up to {last}"));
            let (number, factory) = (cut_in.number, &cut_in.factory);
            let message = format!("the cut-in at line number {number} does not exist: `{factory}` {has}");
            let finding = Finding::new(codes::NO_LINE_NUMBER, message, place.field("number"), "no such line number");
            let finding = blocks().fold(finding, |f, (at, _)| f.label(at.field("serials"), "a block of this factory"));
            out.add(finding.help("give line numbers in the factory's serial blocks, or correct the cut-in"));
        }
        return false;
    }
    lines().filter(|(_, line)| *line >= cut_in.number).for_each(|(at, _)| marks[at] = true);
    true
}

fn except(cx: &Context, texts: &[String], place: &Place, marks: &mut [bool], sound: bool, out: &mut Findings) -> bool {
    let Some(ranges) = marked(cx, texts, place, out) else { return false };
    for (index, range) in ranges.into_iter().enumerate() {
        if sound && !marks[range.clone()].contains(&true) {
            let message = format!("the exception `{}` takes nothing out: no serial in it was covered", texts[index]);
            out.add(
                Finding::new(codes::EXCEPTS_NOTHING, message, place.item(index), "not covered anyway")
                    .help("check the serial against the leaflet, or remove the exception"),
            );
        }
        marks[range].fill(false);
    }
    true
}

fn not_empty(marks: &[bool], form: &str, place: &Place, out: &mut Findings) -> bool {
    let any = marks.contains(&true);
    if !any {
        let message = format!("the {form} form covers no serial of any block");
        out.add(
            Finding::new(codes::COVERS_NOTHING, message, place.clone(), "covers nothing")
                .help(format!("name the serials that it covers, or remove `{form}`")),
        );
    }
    any
}
