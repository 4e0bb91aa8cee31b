//! Where the records of a file stand, and what is wrong with the brackets round them.

use super::lexer::{Lexer, Token, TokenKind};
use super::near::closest;
use crate::schema::RECORD_KINDS;
use std::ops::Range;

/// The records of a file, in order, and the faults in how they are laid out.
///
/// Invariant: spans lie inside the text, on character boundaries, in order and apart from each other. For a text that
/// `ron` accepts there are no faults, and one span for every record.
#[derive(Debug, Default)]
pub(super) struct FileLayout {
    /// The text before the list: its `#![enable(…)]` attributes, if any.
    pub(super) header: Range<usize>,
    /// One span a record, from its kind to its closing bracket.
    pub(super) records: Vec<Range<usize>>,
    /// The fault of a record, where the layout shows one, by record.
    pub(super) broken: Vec<(usize, LayoutFault)>,
    /// Faults that no record holds.
    pub(super) faults: Vec<LayoutFault>,
}

/// What is wrong with how a file is laid out; all numbers are bytes of the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum LayoutFault {
    /// Brackets are still open where a record must end.
    Unclosed { open: usize, closers: String, noticed: Range<usize> },
    /// A text lacks its closing quote.
    UnclosedText { open: usize, noticed: Range<usize> },
    /// A comment lacks its end.
    UnclosedComment { open: usize },
    /// Fields follow the bracket that ends their record.
    EarlyEnd { close: usize, after: Range<usize> },
    /// Something that is no record stands between the records.
    Stray(Range<usize>),
    /// No comma between two records.
    MissingComma { before: usize, after: Range<usize> },
    /// A comma with nothing before it.
    ExtraComma(usize),
    /// The file does not begin with `[`.
    NoList(Range<usize>),
    /// The `]` that ends the list is missing.
    UnclosedList { open: usize, noticed: usize },
    /// More follows the `]` that ends the list.
    AfterList { close: usize, after: Range<usize> },
}

/// Splits a text into records. In a text that `ron` accepts, quotes are taken as they stand; in any other, a record
/// kind at the start of a line, no deeper than the record before, begins a record whatever is still open.
pub(super) fn split(text: &str, accepted: bool) -> FileLayout {
    let mut lexer = Lexer::new(text, 0..text.len());
    let mut walk = Walk {
        text,
        layout: FileLayout::default(),
        item: None,
        list: None,
        closed: None,
        last_end: 0,
        line: 0,
        scanned: 0,
    };
    walk.skip_header(&mut lexer);
    while let Some(mut token) = lexer.next() {
        walk.pass_lines(token.span.start);
        if !accepted && let Some(end) = walk.cut_text(&token) {
            walk.fault(LayoutFault::UnclosedText { open: token.span.start, noticed: token.span.start..end });
            token.span.end = end;
            lexer.at = end;
        } else if token.kind == TokenKind::OpenComment {
            walk.fault(LayoutFault::UnclosedComment { open: token.span.start });
            lexer.at = line_end(text, token.span.start);
            continue;
        } else if token.kind == TokenKind::OpenText {
            let end = text.trim_end().len();
            walk.fault(LayoutFault::UnclosedText { open: token.span.start, noticed: end..end });
        }
        if !accepted && walk.is_inside() && walk.begins_record(&token) {
            walk.leave_open(token.span.clone());
        }
        if walk.is_inside() {
            walk.inside(&token);
        } else {
            walk.between(&token);
        }
        walk.last_end = token.span.end;
    }
    walk.finish()
}

/// The record that is being walked through.
#[derive(Debug)]
struct OpenRecord {
    start: usize,
    /// Where its first token ends.
    head: usize,
    /// Whether a word is all that was seen of it: a bracket may follow.
    head_only: bool,
    /// Whether its bracket was seen: without one it is no record.
    bracketed: bool,
    /// Where a comma should stand before it.
    comma_wanted: Option<usize>,
    /// Brackets that are open, outermost first.
    open: Vec<(char, usize)>,
    /// How deep in the line it starts, in bytes.
    column: usize,
    fault: Option<LayoutFault>,
}

struct Walk<'a> {
    text: &'a str,
    layout: FileLayout,
    item: Option<OpenRecord>,
    list: Option<usize>,
    closed: Option<usize>,
    last_end: usize,
    /// Where the line of the token begins, and how far line breaks were looked for.
    line: usize,
    scanned: usize,
}

impl Walk<'_> {
    fn is_inside(&self) -> bool {
        self.item.as_ref().is_some_and(|item| !item.open.is_empty())
    }

    /// Keeps count of where the line begins.
    fn pass_lines(&mut self, to: usize) {
        let passed = self.text.get(self.scanned..to).unwrap_or_default();
        self.line = passed.rfind('\n').map_or(self.line, |newline| self.scanned + newline + 1);
        self.scanned = to;
    }

    /// Passes over the attributes and the `[`.
    fn skip_header(&mut self, lexer: &mut Lexer<'_>) {
        let mut start = lexer.at;
        let mut tokens = Lexer::new(self.text, 0..self.text.len());
        while let Some(token) = tokens.next() {
            match token.kind {
                TokenKind::Word if self.text.get(token.span.clone()).is_some_and(|word| word.starts_with('#')) => {
                    let attribute = tokens.by_ref().find(|token| token.kind == TokenKind::Close(']'));
                    self.layout.header.end = attribute.map_or(self.text.len(), |token| token.span.end);
                    start = self.layout.header.end;
                }
                TokenKind::Open('[') => {
                    self.list = Some(token.span.start);
                    start = token.span.end;
                    break;
                }
                TokenKind::OpenComment => break,
                TokenKind::Open(_)
                | TokenKind::Close(_)
                | TokenKind::Comma
                | TokenKind::Colon
                | TokenKind::Word
                | TokenKind::Text
                | TokenKind::OpenText => {
                    self.layout.faults.push(LayoutFault::NoList(token.span));
                    break;
                }
            }
        }
        lexer.at = start;
    }

    /// Records a fault with the record that it lies in, the first of each; outside of records, with the file.
    fn fault(&mut self, fault: LayoutFault) {
        match &mut self.item {
            Some(item) => {
                item.fault.get_or_insert(fault);
            }
            None => self.layout.faults.push(fault),
        }
    }

    /// Where a text must be cut short because its closing quote is plainly missing: a record begins in it, and what
    /// follows its supposed end cannot follow a text.
    fn cut_text(&self, token: &Token) -> Option<usize> {
        if !matches!(token.kind, TokenKind::Text | TokenKind::OpenText) {
            return None;
        }
        let inside = self.text.get(token.span.clone()).expect("tokens lie on character boundaries");
        let mut line = token.span.start + inside.find('\n')? + 1;
        let after = Lexer::new(self.text, token.span.end..self.text.len()).next();
        let plausible =
            after.is_some_and(|t| matches!(t.kind, TokenKind::Comma | TokenKind::Colon | TokenKind::Close(_)));
        if token.kind == TokenKind::Text && plausible {
            return None;
        }
        let first_end = line_end(self.text, token.span.start);
        while line < token.span.end {
            let end = line_end(self.text, line);
            if Lexer::new(self.text, line..end).next().is_some_and(|first| self.begins_record(&first)) {
                return Some(first_end);
            }
            line = end + 1;
        }
        (token.kind == TokenKind::OpenText).then_some(first_end)
    }

    /// Whether a token is a record kind that begins its line, no deeper than the record before it.
    fn begins_record(&self, token: &Token) -> bool {
        let Some(item) = &self.item else { return false };
        let before = self.text.get(..token.span.start).unwrap_or_default();
        let above = before.trim_end_matches([' ', '\t']);
        let word = self.text.get(token.span.clone()).unwrap_or_default();
        token.kind == TokenKind::Word
            && self.text.get(token.span.end..).is_some_and(|rest| rest.trim_start_matches([' ', '\t']).starts_with('('))
            && (above.is_empty() || above.ends_with('\n'))
            && before.len() - above.len() <= item.column
            && (RECORD_KINDS.contains(&word) || closest(word, RECORD_KINDS).is_some())
    }

    /// Ends a record of which brackets are still open.
    fn leave_open(&mut self, noticed: Range<usize>) {
        let Some(mut item) = self.item.take() else { return };
        if let Some(&(_, open)) = item.open.last() {
            let closers = item.open.drain(..).rev().map(|(open, _)| closer(open)).collect();
            item.fault.get_or_insert(LayoutFault::Unclosed { open, closers, noticed });
        }
        self.end_item(item);
    }

    fn inside(&mut self, token: &Token) {
        let text = self.text;
        let Some(item) = &mut self.item else { return };
        match token.kind {
            TokenKind::Open(open) => item.open.push((open, token.span.start)),
            TokenKind::Close(close) => match item.open.iter().rposition(|(open, _)| closer(*open) == close) {
                Some(depth) => {
                    let left: Vec<_> = item.open.drain(depth..).skip(1).collect();
                    if let Some(&(_, open)) = left.last() {
                        let closers = left.iter().rev().map(|(open, _)| closer(*open)).collect();
                        item.fault.get_or_insert(LayoutFault::Unclosed { open, closers, noticed: token.span.clone() });
                    }
                }
                None if close == ']' && Lexer::new(text, token.span.end..text.len()).next().is_none() => {
                    self.leave_open(token.span.clone());
                    self.between(token);
                }
                None => {}
            },
            TokenKind::Comma
            | TokenKind::Colon
            | TokenKind::Word
            | TokenKind::Text
            | TokenKind::OpenText
            | TokenKind::OpenComment => {}
        }
    }

    fn between(&mut self, token: &Token) {
        if let Some(close) = self.closed
            && token.kind != TokenKind::Comma
        {
            self.layout.faults.push(LayoutFault::AfterList { close, after: token.span.clone() });
            self.closed = None;
            if token.kind == TokenKind::Open('[') {
                return;
            }
        }
        match token.kind {
            TokenKind::Close(']') => {
                self.end_current();
                self.closed = Some(token.span.start);
            }
            TokenKind::Comma if self.item.is_some() => self.end_current(),
            TokenKind::Comma => self.layout.faults.push(LayoutFault::ExtraComma(token.span.start)),
            TokenKind::Open(open) => {
                if !self.item.as_ref().is_some_and(|item| item.head_only) {
                    self.begin(token);
                }
                if let Some(item) = &mut self.item {
                    (item.head_only, item.bracketed) = (false, true);
                    item.open.push((open, token.span.start));
                }
            }
            TokenKind::Word
            | TokenKind::Text
            | TokenKind::OpenText
            | TokenKind::Colon
            | TokenKind::Close(_)
            | TokenKind::OpenComment => {
                self.begin(token);
            }
        }
    }

    /// Begins a record; one that was not ended by a comma ends here.
    fn begin(&mut self, token: &Token) {
        let comma_wanted = self.item.as_ref().filter(|item| item.bracketed && item.fault.is_none());
        let comma_wanted = comma_wanted.map(|_| self.last_end);
        self.end_current();
        self.item = Some(OpenRecord {
            start: token.span.start,
            head: token.span.end,
            head_only: token.kind == TokenKind::Word,
            bracketed: false,
            comma_wanted,
            open: Vec::new(),
            column: token.span.start - self.line,
            fault: None,
        });
    }

    fn end_current(&mut self) {
        if let Some(item) = self.item.take() {
            self.end_item(item);
        }
    }

    /// Files a record. What is no record is left out if it follows a broken one, else joined to the stray text before.
    fn end_item(&mut self, item: OpenRecord) {
        let span = item.start..self.last_end.max(item.head);
        let count = self.layout.records.len();
        if item.bracketed {
            let comma =
                item.comma_wanted.map(|before| LayoutFault::MissingComma { before, after: item.start..item.head });
            self.layout.faults.extend(comma);
            self.layout.broken.extend(item.fault.map(|fault| (count, fault)));
            self.layout.records.push(span);
            return;
        }
        self.layout.faults.extend(item.fault);
        let record_end = self.layout.records.last().map_or(0, |record| record.end);
        if let Some(LayoutFault::Stray(last)) = self.layout.faults.last_mut()
            && last.end >= record_end
        {
            last.end = span.end;
            return;
        }
        let gap = self.text.get(record_end..span.start).unwrap_or_default();
        let follows = count > 0 && gap.trim_matches([',', ' ', '\t', '\r', '\n']).is_empty();
        match self.layout.broken.last_mut() {
            Some((at, LayoutFault::EarlyEnd { after, .. })) if *at + 1 == count => after.end = span.end,
            Some((at, _)) if *at + 1 == count => {}
            _ if follows => {
                self.layout.broken.push((count - 1, LayoutFault::EarlyEnd { close: record_end - 1, after: span }));
            }
            _ => self.layout.faults.push(LayoutFault::Stray(span)),
        }
    }

    fn finish(mut self) -> FileLayout {
        let cut_off = self.is_inside();
        self.leave_open(self.last_end..self.last_end);
        let after_list = self.layout.faults.iter().any(|fault| matches!(fault, LayoutFault::AfterList { .. }));
        if let (Some(open), None, false) = (self.list, self.closed, cut_off || after_list) {
            self.layout.faults.push(LayoutFault::UnclosedList { open, noticed: self.last_end });
        }
        self.layout
    }
}

/// The bracket that closes another.
fn closer(open: char) -> char {
    match open {
        '(' => ')',
        '[' => ']',
        _ => '}',
    }
}

/// Where the line of a byte ends, before its line break.
fn line_end(text: &str, at: usize) -> usize {
    let rest = text.get(at..).unwrap_or_default();
    let line = rest.split('\n').next().unwrap_or_default();
    at + line.strip_suffix('\r').unwrap_or(line).len()
}
