//! Says in plain words what `ron` could not read, and where.

use super::layout::Fault;
use super::lexer::{Kind, Lexer, Token};
use super::tree::Tree;
use crate::codes;
use crate::finding::{FileId, Finding, Place};
use ron::error::Error;
use std::ops::Range;

/// The option that a person most likely meant, if one is near.
pub(super) fn closest(word: &str, options: &[&'static str]) -> Option<&'static str> {
    let word = word.to_lowercase();
    let near = (word.chars().count() / 3).max(1);
    let distances = options.iter().map(|option| (strsim::osa_distance(&word, &option.to_lowercase()), *option));
    distances.filter(|(distance, _)| *distance <= near).min().map(|(_, option)| option)
}

/// What `ron` said of one record, in plain words.
///
/// `at` is where its reading stood: from before to behind the last thing that it read, in bytes of the file.
pub(super) fn record_error(
    file: FileId,
    tree: &Tree<'_>,
    record: Range<usize>,
    error: &Error,
    at: Range<usize>,
) -> Finding {
    let case = Case { file, tree, next: Lexer::new(tree.text, at.end..record.end).next(), at, record };
    match error {
        Error::NoSuchStructField { expected, found, .. } => case.unknown_field(found, expected),
        Error::NoSuchEnumVariant { expected, found, .. } => case.unknown_word(found, expected),
        Error::ExpectedDifferentStructName { expected, found } => case.unknown_word(found, &[expected]),
        Error::MissingStructField { field, .. } => case.missing_field(field),
        Error::DuplicateStructField { field, .. } => case.duplicate_field(field),
        Error::SuggestRawIdentifier(found) | Error::InvalidIdentifier(found) => case.bad_name(found),
        Error::ExpectedIdentifier => case.name_wanted(),
        Error::ExpectedComma => case.comma_wanted(),
        Error::ExpectedStructLikeEnd | Error::ExpectedOptionEnd => case.end_wanted(),
        Error::ExpectedDifferentLength { expected, found } => case.wrong_count(expected, *found),
        Error::ExpectedMapColon => case.malformed(
            "a colon is missing between a field's name and its value",
            "colon wanted before this",
            "Write the field as `name: value`.",
        ),
        Error::InvalidEscape(_) => case.malformed(
            "a backslash in a text stands before a character that it cannot stand before",
            "the backslash is here",
            "Write `\\\\` for a backslash and `\\\"` for a quote within a text.",
        ),
        Error::ExceededRecursionLimit => case.malformed(
            "brackets are nested too deep to be read",
            "too deep here",
            "Write the condition with fewer brackets inside each other.",
        ),
        Error::Eof | Error::ExpectedStringEnd => case.malformed(
            "the record ends in the middle of a value",
            "more is wanted here",
            "Complete the value, and look for a quote or bracket that is not closed.",
        ),
        Error::UnclosedBlockComment => case.malformed(
            "a comment that begins with `/*` does not end",
            "the comment runs past here",
            "Write `*/` where the comment ends, or `//` before each of its lines.",
        ),
        other => case.wrong_kind_or_malformed(other),
    }
}

/// What `ron` said of a file as a whole, where no record shows why.
pub(super) fn file_error(file: FileId, text: &str, at: Range<usize>) -> Finding {
    let next = Lexer::new(text, at.end..text.len()).next().map_or(at, |token| token.span);
    Finding::new(
        codes::NOT_RON,
        "the file cannot be read from here on",
        Place::Bytes(file, next.start, next.end),
        "reading stops here",
    )
    .help("Compare this line with the lines round it, and mend the brackets, quotes and commas.")
}

/// A fault in how the records are laid out, in plain words. `seen` is where `ron` noticed it, if it did.
pub(super) fn layout_fault(file: FileId, text: &str, fault: &Fault, seen: Option<Range<usize>>) -> Finding {
    let place = |span: &Range<usize>| Place::Bytes(file, span.start, span.end);
    let at = |byte: usize| Place::Bytes(file, byte, byte + 1);
    let word = |span: &Range<usize>| quote(text.get(span.clone()).unwrap_or_default());
    let not_ron = |message: String, place: Place, label: &str| Finding::new(codes::NOT_RON, message, place, label);
    match fault {
        Fault::Unclosed { open, closers, noticed } => {
            let bracket = word(&(*open..*open + 1));
            not_ron(format!("the bracket {bracket} is not closed"), at(*open), "opened here")
                .label(place(&seen.unwrap_or_else(|| noticed.clone())), "noticed here")
                .help(format!("Write `{closers}` where what the bracket holds ends."))
        }
        Fault::UnclosedText { open, noticed } => {
            let end = noticed.end.max(*open + 1);
            let found = not_ron("a text has no closing quote".to_owned(), at(*open), "opened here");
            let found = if text.get(*open..end).is_some_and(|inner| inner.contains('\n')) {
                found.label(Place::Bytes(file, end, end), "noticed here")
            } else {
                found
            };
            found.help("Write `\"` where the text ends.")
        }
        Fault::UnclosedComment { open } => not_ron(
            "a comment that begins with `/*` does not end".to_owned(),
            Place::Bytes(file, *open, open + 2),
            "opened here",
        )
        .help("Write `*/` where the comment ends, or `//` before each of its lines."),
        Fault::EarlyEnd { close, after } => {
            not_ron(format!("{} stands outside of any record", word(after)), place(after), "this belongs to no record")
                .label(at(*close), "the record ends here")
                .help("Remove the bracket that ends the record too early, or this text.")
        }
        Fault::Stray(span) => not_ron(format!("{} stands outside of any record", word(span)), place(span), "no record")
            .help("Put it into a record, or make it a comment with `//`."),
        Fault::MissingComma { before, after } => not_ron(
            format!("a comma is missing between two records, before {}", word(after)),
            at(before - 1),
            "comma wanted behind this",
        )
        .label(place(after), "the next record begins here")
        .help("Write a comma behind the bracket that ends each record."),
        Fault::ExtraComma(comma) => {
            not_ron("a comma follows nothing".to_owned(), at(*comma), "one comma too many").help("Remove the comma.")
        }
        Fault::NoList(span) => Finding::new(
            codes::NOT_A_LIST,
            format!("the file begins with {} where the `[` of its list of records belongs", word(span)),
            place(span),
            "`[` wanted before this",
        )
        .help("Write `[` before the first record, `]` behind the last, and a comma behind each record."),
        Fault::UnclosedList { open, noticed } => {
            not_ron("the list of records is not closed".to_owned(), at(*open), "opened here")
                .label(Place::Bytes(file, *noticed, *noticed), "the file ends here")
                .help("Write `]` behind the last record.")
        }
        Fault::AfterList { close, after } => {
            not_ron("more follows behind the end of the list of records".to_owned(), at(*close), "the list ends here")
                .label(place(after), "this stands behind it")
                .help("Move the `]` to the end of the file, with a comma behind each record.")
        }
    }
}

/// One error within one record.
struct Case<'a> {
    file: FileId,
    tree: &'a Tree<'a>,
    at: Range<usize>,
    /// What `ron` would have read next.
    next: Option<Token>,
    record: Range<usize>,
}

impl Case<'_> {
    fn place(&self, span: &Range<usize>) -> Place {
        Place::Bytes(self.file, span.start, span.end)
    }
    /// Where the next thing stands, the end of the record if nothing is left.
    fn next_span(&self) -> Range<usize> {
        self.next.as_ref().map_or(self.record.end - 1..self.record.end, |token| token.span.clone())
    }
    fn malformed(&self, message: &str, label: &str, help: &str) -> Finding {
        Finding::new(codes::NOT_RON, format!("{message}, in {}", self.title()), self.place(&self.next_span()), label)
            .help(help)
    }

    fn unknown_field(&self, found: &str, expected: &[&'static str]) -> Finding {
        let owner = self.owner(self.tree.around(self.at.start));
        let meant = closest(found, expected);
        let known = list(expected);
        let label = meant.map_or("no such field".to_owned(), |meant| format!("did you mean `{meant}`?"));
        Finding::new(codes::UNKNOWN_FIELD, format!("`{found}` is not a field of {owner}"), self.place(&self.at), label)
            .help(match meant {
                Some(meant) => format!("Write `{meant}`; the fields are {known}."),
                None => format!("Use one of the fields {known}, or make it a comment with `//`."),
            })
    }

    fn unknown_word(&self, found: &str, expected: &[&'static str]) -> Finding {
        let meant = closest(found, expected);
        let is_kind = expected == super::raw::RECORD_KINDS;
        let label = match meant {
            Some(meant) => format!("did you mean `{meant}`?"),
            None if is_kind => "no such kind of record".to_owned(),
            None => "not allowed here".to_owned(),
        };
        let (code, message) = if is_kind {
            (codes::UNKNOWN_RECORD, format!("`{found}` is not a kind of record"))
        } else {
            (codes::UNKNOWN_WORD, format!("`{found}` is not a word that {} can be", self.subject(self.at.start)))
        };
        Finding::new(code, message, self.place(&self.at), label).help(match (meant, is_kind) {
            (Some(meant), true) => format!("Write `{meant}`."),
            (Some(meant), false) => format!("Write `{meant}`; allowed here: {}.", list(expected)),
            (None, true) => format!("Use one of the kinds {}.", list(expected)),
            (None, false) => format!("Use one of {}.", list(expected)),
        })
    }

    fn missing_field(&self, field: &str) -> Finding {
        let at = self.tree.around(self.at.end);
        Finding::new(
            codes::MISSING_FIELD,
            format!("{} has no field `{field}`", self.owner(at)),
            self.place(&self.tree.name(at)),
            format!("`{field}` is missing here"),
        )
        .help(format!("Add `{field}: …` to it."))
    }

    fn duplicate_field(&self, field: &str) -> Finding {
        let at = self.tree.around(self.at.start);
        let first = self.tree.held(at).map(|child| &self.tree.nodes[child].name);
        let first = first.filter(|name| name.end <= self.at.start).find(|name| self.tree.words(name) == field);
        let finding = Finding::new(
            codes::DUPLICATE_FIELD,
            format!("{} gives `{field}` twice", self.owner(at)),
            self.place(&self.at),
            "given again here",
        );
        let finding = first.into_iter().fold(finding, |finding, name| finding.label(self.place(name), "given here"));
        finding.help(format!("Keep one `{field}` and remove the other."))
    }

    fn bad_name(&self, found: &str) -> Finding {
        let span = self.next_span();
        let span = span.start..(span.start + found.len()).max(span.end);
        Finding::new(
            codes::WRONG_KIND,
            format!("{} is not a plain word", quote(found)),
            self.place(&span),
            "letters, digits and `_` only",
        )
        .help("Put it in quotes if it is a text; a field's name has only letters, digits and `_`.")
    }

    fn name_wanted(&self) -> Finding {
        let span = self.next_span();
        let node = &self.tree.nodes[self.tree.covering(span.start)];
        let parent = node.parent.map(|parent| &self.tree.nodes[parent]);
        let takes_words = ["Post", "Embodied", "Not", "That", "Some"];
        if span.start == self.record.start {
            return Finding::new(
                codes::UNKNOWN_RECORD,
                "a record does not say of which kind it is",
                self.place(&(span.start..span.start + 1)),
                "kind wanted before this",
            )
            .help(format!("Write the kind before the bracket, one of {}.", list(super::raw::RECORD_KINDS)));
        }
        let is_value = !node.name.is_empty()
            || parent.is_some_and(|p| p.bracket == Some('[') || takes_words.contains(&self.tree.words(&p.head)));
        if is_value {
            let word = self.tree.words(&span).trim_matches('"');
            let help = if self.tree.words(&span).starts_with('"') {
                format!("Write it without quotes: `{word}`.")
            } else {
                "Write one of the words that are allowed here, without quotes.".to_owned()
            };
            return self.wrong_kind("a word without quotes", &help);
        }
        self.malformed(
            "the name of a field is missing",
            "`name:` wanted before this",
            "Write the field as `name: value`.",
        )
    }

    fn comma_wanted(&self) -> Finding {
        let span = self.next_span();
        let before = self.tree.text.get(..span.start).unwrap_or_default();
        let word = quote(self.tree.words(&span));
        if matches!(self.next, Some(Token { kind: Kind::Close(_), .. })) {
            let message = format!("the bracket {word} closes nothing that is open");
            return self.malformed(
                &message,
                "no bracket to close here",
                "Remove it, or write the bracket that opens what it closes.",
            );
        }
        if before.ends_with(|c: char| c.is_ascii_alphanumeric()) {
            return self.wrong_kind("a whole number", WHOLE_NUMBER);
        }
        self.malformed(
            &format!("a comma is missing before {word}"),
            "comma wanted before this",
            "Write a comma between the two, or mend the quotes of the text before.",
        )
    }

    fn end_wanted(&self) -> Finding {
        let before = self.tree.text.get(..self.next_span().start).unwrap_or_default();
        if !before.trim_end().ends_with(',') {
            return self.comma_wanted();
        }
        let owner = self.owner(self.tree.around(self.next_span().start));
        Finding::new(
            codes::WRONG_KIND,
            format!("{owner} holds more values than it takes"),
            self.place(&self.next_span()),
            "one too many",
        )
        .help("Remove it, or put the values into a list where a list is allowed.")
    }

    fn wrong_count(&self, expected: &str, found: usize) -> Finding {
        let at = self.tree.around(self.at.end);
        let wanted = expected.split(' ').find_map(|word| word.parse::<usize>().ok());
        let wanted = wanted.map_or_else(|| expected.to_owned(), |count| format!("{count} values"));
        Finding::new(
            codes::WRONG_KIND,
            format!("{} wants {wanted}, and has {found}", self.owner(at)),
            self.place(&self.tree.name(at)),
            "too few values here",
        )
        .help("Write all the values between the brackets, with commas between them.")
    }

    fn wrong_kind_or_malformed(&self, error: &Error) -> Finding {
        let (wanted, help) = match error {
            Error::ExpectedString => ("a text in quotes", "Put it in quotes, such as `\"60-2201\"`."),
            Error::ExpectedBoolean => ("`true` or `false`", "Write `true` or `false`, without quotes."),
            Error::ExpectedArray => ("a list in square brackets", "Put square brackets round it: `[…]`."),
            Error::ExpectedStructLike | Error::ExpectedNamedStructLike(_) => {
                ("values in round brackets", "Write the values between round brackets: `(…)`.")
            }
            Error::ExpectedInteger
            | Error::IntegerOutOfBounds
            | Error::InvalidIntegerDigit { .. }
            | Error::UnderscoreAtBeginning
            | Error::InvalidValueForType { .. } => ("a whole number", WHOLE_NUMBER),
            _ => {
                return self.malformed(
                    "something cannot be read",
                    "reading stops here",
                    "Compare this line with the lines round it, and mend the brackets, quotes and commas.",
                );
            }
        };
        self.wrong_kind(wanted, help)
    }

    fn wrong_kind(&self, wanted: &str, help: &str) -> Finding {
        let at = self.tree.covering(self.next_span().start);
        let node = &self.tree.nodes[at];
        let span = if node.bracket.is_some() { self.next_span() } else { node.span.clone() };
        let found = match self.tree.words(&span) {
            text if text.starts_with('"') => "a text in quotes".to_owned(),
            "[" => "a list".to_owned(),
            "(" => "a group in round brackets".to_owned(),
            ")" | "]" | "," => "nothing".to_owned(),
            word if word.starts_with(|c: char| c.is_ascii_digit() || c == '-') => format!("the number {}", quote(word)),
            word => format!("the word {}", quote(word)),
        };
        let message = format!("{} wants {wanted}, not {found}", self.subject(span.start));
        Finding::new(codes::WRONG_KIND, message, self.place(&span), format!("{wanted} wanted here")).help(help)
    }

    /// The record, by its kind and by its first field where that is a text.
    fn title(&self) -> String {
        let kind = self.tree.words(&self.tree.nodes[0].head);
        let first = self.tree.held(0).next().map(|first| self.tree.words(&self.tree.nodes[first].span));
        match first.and_then(|text| text.strip_prefix('"')?.strip_suffix('"')) {
            Some(name) if !name.is_empty() && !name.contains(['\n', '`']) => format!("`{kind}` `{name}`"),
            _ if kind.is_empty() => "a record".to_owned(),
            _ => format!("`{kind}`"),
        }
    }

    /// The value that holds fields or arguments, as a person would name it.
    fn owner(&self, at: usize) -> String {
        let node = &self.tree.nodes[at];
        let head = self.tree.words(&node.head);
        if at == 0 {
            self.title()
        } else if !head.is_empty() && head != "Some" {
            format!("`{head}` in {}", self.title())
        } else if !node.name.is_empty() {
            format!("`{}` of {}", self.tree.words(&node.name), self.title())
        } else {
            format!("an item of {}", self.holder(at))
        }
    }

    /// The value at a byte, as a person would name it.
    fn subject(&self, byte: usize) -> String {
        let at = self.tree.covering(byte);
        let node = &self.tree.nodes[at];
        if at == 0 {
            self.title()
        } else if node.name.is_empty() {
            format!("an item of {}", self.holder(at))
        } else {
            format!("`{}` of {}", self.tree.words(&node.name), self.title())
        }
    }

    /// The nearest value with a name round a nameless one.
    fn holder(&self, at: usize) -> String {
        let parents = std::iter::successors(self.tree.nodes[at].parent, |at| self.tree.nodes[*at].parent);
        for parent in parents.filter(|parent| *parent > 0) {
            let node = &self.tree.nodes[parent];
            let head = self.tree.words(&node.head);
            if !head.is_empty() && head != "Some" {
                return format!("`{head}` in {}", self.title());
            }
            if !node.name.is_empty() {
                return format!("`{}` of {}", self.tree.words(&node.name), self.title());
            }
        }
        self.title()
    }
}

const WHOLE_NUMBER: &str = "Write digits alone, without quotes or a unit, such as `2`.";

/// A piece of the text in backticks, shortened to what fits in a sentence.
fn quote(text: &str) -> String {
    let line = text.lines().next().unwrap_or_default().trim();
    let short: String = line.chars().take(40).collect();
    let more = if short.len() < text.trim().len() { "…" } else { "" };
    format!("`{short}{more}`")
}

/// Names in backticks, with commas between.
fn list(names: &[&str]) -> String {
    names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ")
}
