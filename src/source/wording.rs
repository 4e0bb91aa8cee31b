//! Says in plain words what is wrong with how a file is laid out, and holds what all wording shares.

use super::layout::LayoutFault;
use super::lexer::Lexer;
use crate::codes;
use crate::finding::{FileId, Finding, Place};
use std::ops::Range;

/// What `ron` said of a file as a whole, where no record shows why.
pub(super) fn file_error(file: FileId, text: &str, at: usize) -> Finding {
    let next = Lexer::new(text, at..text.len()).next().map_or(at..at, |token| token.span);
    let place = Place::Bytes(file, next.start, next.end);
    Finding::new(codes::NOT_RON, "the file cannot be read from here on", place, "reading stops here").help(COMPARE)
}

/// Attributes before the list that `ron` does not know.
pub(super) fn header_error(file: FileId, text: &str, header: &Range<usize>) -> Finding {
    let word = quote(text.get(header.clone()).unwrap_or_default().trim());
    let place = Place::Bytes(file, header.start, header.end);
    Finding::new(codes::NOT_RON, format!("{word} before the list of records is not known"), place, "not known")
        .help("Remove it: a dossier needs nothing before its `[`.")
}

/// A fault in how the records are laid out, in plain words. `seen` is where `ron` noticed it, if it did.
pub(super) fn layout_fault(file: FileId, text: &str, fault: &LayoutFault, seen: Option<Range<usize>>) -> Finding {
    let place = |span: &Range<usize>| Place::Bytes(file, span.start, span.end);
    let at = |byte: usize| Place::Bytes(file, byte, byte + 1);
    let word = |span: &Range<usize>| quote(text.get(span.clone()).unwrap_or_default());
    let not_ron = |message: String, place: Place, label: &str| Finding::new(codes::NOT_RON, message, place, label);
    match fault {
        LayoutFault::Unclosed { open, closers, noticed } => {
            let bracket = word(&(*open..*open + 1));
            not_ron(format!("the bracket {bracket} is not closed"), at(*open), "opened here")
                .label(place(&seen.unwrap_or_else(|| noticed.clone())), "noticed here")
                .help(format!("Write `{closers}` where what the bracket holds ends."))
        }
        LayoutFault::UnclosedText { open, noticed } => {
            let end = noticed.end.max(*open + 1);
            let found = not_ron("a text has no closing quote".to_owned(), at(*open), "opened here");
            let found = if text.get(*open..end).is_some_and(|inner| inner.contains('\n')) {
                found.label(Place::Bytes(file, end, end), "noticed here")
            } else {
                found
            };
            found.help("Write `\"` where the text ends.")
        }
        LayoutFault::UnclosedComment { open } => not_ron(
            "a comment that begins with `/*` does not end".to_owned(),
            Place::Bytes(file, *open, open + 2),
            "opened here",
        )
        .help("Write `*/` where the comment ends, or `//` before each of its lines."),
        LayoutFault::EarlyEnd { close, after } => {
            not_ron(format!("{} stands outside of any record", word(after)), place(after), "this belongs to no record")
                .label(at(*close), "the record ends here")
                .help("Remove the bracket that ends the record too early, or this text.")
        }
        LayoutFault::Stray(span) => {
            not_ron(format!("{} stands outside of any record", word(span)), place(span), "no record")
                .help("Put it into a record, or make it a comment with `//`.")
        }
        LayoutFault::MissingComma { before, after } => not_ron(
            format!("a comma is missing between two records, before {}", word(after)),
            at(before - 1),
            "comma wanted after this",
        )
        .label(place(after), "the next record begins here")
        .help("Write a comma after the bracket that ends each record."),
        LayoutFault::ExtraComma(comma) => {
            not_ron("a comma follows nothing".to_owned(), at(*comma), "one comma too many").help("Remove the comma.")
        }
        LayoutFault::NoList(span) => Finding::new(
            codes::NOT_A_LIST,
            format!("the file begins with {} where the `[` of its list of records belongs", word(span)),
            place(span),
            "`[` wanted before this",
        )
        .help("Write `[` before the first record, `]` after the last, and a comma after each record."),
        LayoutFault::UnclosedList { open, noticed } => {
            not_ron("the list of records is not closed".to_owned(), at(*open), "opened here")
                .label(Place::Bytes(file, *noticed, *noticed), "the file ends here")
                .help("Write `]` after the last record.")
        }
        LayoutFault::AfterList { close, after } => {
            not_ron("more follows after the end of the list of records".to_owned(), at(*close), "the list ends here")
                .label(place(after), "this stands after it")
                .help("Move the `]` to the end of the file, with a comma after each record.")
        }
    }
}

pub(super) const COMPARE: &str =
    "Compare this line with the lines round it, and correct the brackets, quotes and commas.";

/// A piece of the text in backticks, shortened to what fits in a sentence.
pub(super) fn quote(text: &str) -> String {
    let line = text.lines().next().unwrap_or_default().trim();
    let short: String = line.chars().take(40).collect();
    let more = if short.len() < text.trim().len() { "…" } else { "" };
    format!("`{short}{more}`")
}

/// Names in backticks, with commas between.
pub(super) fn list(names: &[&str]) -> String {
    names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ")
}
