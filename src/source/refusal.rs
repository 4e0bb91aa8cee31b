//! Says in plain words what `ron` could not read in one record, and where.

use super::lexer::{Lexer, Token, TokenKind};
use super::near::closest;
use super::tree::{Tree, ValueNode};
use super::wording::{COMPARE, list, quote};
use crate::codes;
use crate::finding::{FileId, Finding, Place};
use ron::error::Error;
use std::ops::Range;

const WHOLE_NUMBER: &str = "Write digits alone, without quotes or a unit, such as `2`.";

/// One error that `ron` found within one record.
///
/// All bytes but those of its findings count from the start of the record.
pub(super) struct Refusal<'a> {
    pub(super) file: FileId,
    /// Where the record stands in its file.
    pub(super) base: usize,
    /// Its [`title`].
    pub(super) title: &'a str,
    pub(super) tree: &'a Tree<'a>,
    /// Where the reading stood: from before to behind the last thing that was read.
    pub(super) at: Range<usize>,
}

impl Refusal<'_> {
    /// What is wrong, in plain words.
    #[expect(clippy::wildcard_enum_match_arm, reason = "the errors of `ron` are an open set")]
    pub(super) fn finding(&self, error: &Error) -> Finding {
        if let Some(finding) = self.value_missing() {
            return finding;
        }
        match error {
            Error::NoSuchStructField { expected, found, .. } => self.unknown_field(found, expected),
            Error::NoSuchEnumVariant { expected, found, .. } => self.unknown_word(found, expected),
            Error::ExpectedDifferentStructName { expected, found } => self.unknown_word(found, &[expected]),
            Error::MissingStructField { field, .. } => self.missing_field(field),
            Error::DuplicateStructField { field, .. } => self.duplicate_field(field),
            Error::SuggestRawIdentifier(found) | Error::InvalidIdentifier(found) => self.bad_name(found),
            Error::ExpectedIdentifier => self.name_wanted(),
            Error::ExpectedComma => self.comma_wanted(),
            Error::ExpectedStructLikeEnd | Error::ExpectedOptionEnd => self.end_wanted(),
            Error::ExpectedDifferentLength { expected, found } => self.wrong_count(expected, *found),
            Error::ExpectedMapColon => self.malformed(
                "a colon is missing between a field's name and its value",
                "colon wanted before this",
                "Write the field as `name: value`.",
            ),
            Error::InvalidEscape(_) => self.malformed(
                "a backslash in a text stands before a character that it cannot stand before",
                "the backslash is here",
                "Write `\\\\` for a backslash and `\\\"` for a quote within a text.",
            ),
            Error::ExceededRecursionLimit => self.malformed(
                "brackets are nested too deep to be read",
                "too deep here",
                "Write the condition with fewer brackets inside each other.",
            ),
            Error::Eof | Error::ExpectedStringEnd => self.malformed(
                "the record ends in the middle of a value",
                "more is wanted here",
                "Complete the value, and look for a quote or bracket that is not closed.",
            ),
            Error::UnclosedBlockComment => self.malformed(
                "a comment that begins with `/*` does not end",
                "the comment runs past here",
                "Write `*/` where the comment ends, or `//` before each of its lines.",
            ),
            other => self.wrong_kind_or_malformed(other),
        }
    }
    fn place(&self, span: &Range<usize>) -> Place {
        Place::Bytes(self.file, self.base + span.start, self.base + span.end)
    }
    /// What would have been read next.
    fn next(&self) -> Option<Token> {
        Lexer::new(self.tree.text, self.at.end..self.tree.text.len()).next()
    }
    /// Where the next thing stands, the end of the record if nothing is left.
    fn next_span(&self) -> Range<usize> {
        self.next().map_or(self.tree.nodes[0].span.end - 1..self.tree.nodes[0].span.end, |token| token.span)
    }
    fn malformed(&self, message: &str, label: &str, help: &str) -> Finding {
        Finding::new(codes::NOT_RON, format!("{message}, in {}", self.title), self.place(&self.next_span()), label)
            .help(help)
    }

    /// Nothing stands behind a colon, whatever was wanted there.
    fn value_missing(&self) -> Option<Finding> {
        let ends = |token: &Token| matches!(token.kind, TokenKind::Comma | TokenKind::Close(_));
        let next = self.next().filter(ends)?;
        let name = self.tree.text.get(..next.span.start)?.trim_end().strip_suffix(':')?;
        let start = name.rfind(|c: char| !(c.is_alphanumeric() || c == '_')).map_or(0, |at| at + 1);
        let field = name.get(start..)?;
        let place = self.place(&(start..name.len()));
        let message = format!("`{field}` of {} has no value", self.title);
        let found = Finding::new(codes::NOT_RON, message, place, "nothing stands after the colon");
        Some(found.help("Write the value after the colon, or remove the field if it may be left out."))
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
        let is_kind = expected == crate::schema::RECORD_KINDS;
        let label = match meant {
            Some(meant) => format!("did you mean `{meant}`?"),
            None if is_kind => "no such kind of record".to_owned(),
            None => "not allowed here".to_owned(),
        };
        let (code, message) = if is_kind {
            (codes::UNKNOWN_RECORD, format!("`{found}` is not a kind of record"))
        } else {
            (codes::UNKNOWN_WORD, format!("`{found}` is not allowed for {}", self.subject(self.at.start)))
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
        let first = self.tree.inside(at).map(|child| &self.tree.nodes[child].name);
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
        if span.start == 0 {
            return Finding::new(
                codes::UNKNOWN_RECORD,
                "a record does not say of which kind it is",
                self.place(&(span.start..span.start + 1)),
                "kind wanted before this",
            )
            .help(format!("Write the kind before the bracket, one of {}.", list(crate::schema::RECORD_KINDS)));
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
            return self.wrong_kind(span.start, "a word without quotes", &help);
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
        if matches!(self.next(), Some(Token { kind: TokenKind::Close(_), .. })) {
            let message = format!("the bracket {word} closes nothing that is open");
            return self.malformed(
                &message,
                "no bracket to close here",
                "Remove it, or write the bracket that opens what it closes.",
            );
        }
        if before.ends_with(|c: char| c.is_ascii_alphanumeric()) {
            return self.wrong_kind(span.start, "a whole number", WHOLE_NUMBER);
        }
        self.malformed(
            &format!("a comma is missing before {word}"),
            "comma wanted before this",
            "Write a comma between the two, or correct the quotes of the text before.",
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
        let wanted = wanted.map_or_else(|| expected.to_owned(), |count| count.to_string());
        let values = if found == 1 { "value" } else { "values" };
        Finding::new(
            codes::WRONG_KIND,
            format!("{} has {found} {values} where it wants {wanted}", self.owner(at)),
            self.place(&self.tree.name(at)),
            "too few values here",
        )
        .help("Write all the values between the brackets, with commas between them.")
    }

    #[expect(clippy::wildcard_enum_match_arm, reason = "the errors of `ron` are an open set")]
    fn wrong_kind_or_malformed(&self, error: &Error) -> Finding {
        let next = self.next_span();
        let word = self.tree.words(&next);
        let inner = word.trim_matches('"');
        let (wanted, help) = match error {
            Error::ExpectedString if matches!(word, "(" | "[" | "{") => {
                ("a text in quotes", "Write one text, in quotes and without brackets.".to_owned())
            }
            Error::ExpectedString => ("a text in quotes", format!("Put it in quotes: `\"{word}\"`.")),
            Error::ExpectedBoolean => ("`true` or `false`", "Write `true` or `false`, without quotes.".to_owned()),
            Error::ExpectedArray if matches!(word, "(" | "{") => {
                ("a list in square brackets", "Put square brackets round it: `[…]`.".to_owned())
            }
            Error::ExpectedArray => ("a list in square brackets", format!("Put square brackets round it: `[{word}]`.")),
            Error::ExpectedStructLike | Error::ExpectedNamedStructLike(_) => {
                ("values in round brackets", "Write the values between round brackets: `(…)`.".to_owned())
            }
            Error::ExpectedInteger if word.starts_with('"') && inner.parse::<u32>().is_ok() => {
                ("a whole number", format!("Write it without quotes: `{inner}`."))
            }
            Error::ExpectedInteger => ("a whole number", WHOLE_NUMBER.to_owned()),
            Error::ExpectedFloat if inner.parse::<f64>().is_ok() => {
                ("a number without quotes", format!("Write it without quotes: `{inner}`."))
            }
            Error::ExpectedFloat => ("a number without quotes", "Write a number alone, such as `1.5`.".to_owned()),
            Error::IntegerOutOfBounds
            | Error::InvalidIntegerDigit { .. }
            | Error::UnderscoreAtBeginning
            | Error::InvalidValueForType { .. } => {
                return self.wrong_kind(self.at.start, "a whole number from 0 to 4294967295", WHOLE_NUMBER);
            }
            _ => return self.malformed("something cannot be read", "reading stops here", COMPARE),
        };
        self.wrong_kind(next.start, wanted, &help)
    }

    /// The value at a byte is of another kind than is wanted.
    fn wrong_kind(&self, byte: usize, wanted: &str, help: &str) -> Finding {
        let node = &self.tree.nodes[self.tree.covering(byte)];
        let span = if node.bracket.is_some() { self.next_span() } else { node.span.clone() };
        let found = match self.tree.words(&span) {
            text if text.starts_with('"') => "a text in quotes".to_owned(),
            "[" => "a list".to_owned(),
            "(" => "a group in round brackets".to_owned(),
            word if word.starts_with(|c: char| c.is_ascii_digit() || c == '-') => format!("the number {}", quote(word)),
            word => format!("the word {}", quote(word)),
        };
        let message = format!("{} wants {wanted}, not {found}", self.subject(span.start));
        let label = format!("{wanted} wanted here");
        Finding::new(codes::WRONG_KIND, message, self.place(&span), label).help(help)
    }

    /// The value that holds fields or arguments, as a person would name it.
    fn owner(&self, at: usize) -> String {
        let node = &self.tree.nodes[at];
        let head = self.tree.words(&node.head);
        if at == 0 {
            self.title.to_owned()
        } else if !head.is_empty() && head != "Some" {
            format!("`{head}` in {}", self.title)
        } else if !node.name.is_empty() {
            format!("`{}` of {}", self.tree.words(&node.name), self.title)
        } else {
            format!("an item of {}", self.holder(at))
        }
    }

    /// The value at a byte, as a person would name it.
    fn subject(&self, byte: usize) -> String {
        let at = self.tree.covering(byte);
        let node = &self.tree.nodes[at];
        if at == 0 {
            self.title.to_owned()
        } else if node.name.is_empty() {
            format!("an item of {}", self.holder(at))
        } else {
            format!("`{}` of {}", self.tree.words(&node.name), self.title)
        }
    }

    /// The nearest value with a name round a nameless one.
    fn holder(&self, at: usize) -> String {
        let parents = std::iter::successors(self.tree.nodes[at].parent, |at| self.tree.nodes[*at].parent);
        for parent in parents.filter(|parent| *parent > 0) {
            let node = &self.tree.nodes[parent];
            let head = self.tree.words(&node.head);
            if !head.is_empty() && head != "Some" {
                return format!("`{head}` in {}", self.title);
            }
            if !node.name.is_empty() {
                return format!("`{}` of {}", self.tree.words(&node.name), self.title);
            }
        }
        self.title.to_owned()
    }
}

/// The record, by its kind and by the field that names it, or by its first if no field does.
pub(super) fn title(tree: &Tree<'_>) -> String {
    let kind = tree.words(&tree.nodes[0].head);
    let fields = || tree.inside(0).map(|child| &tree.nodes[child]);
    let names = |field: &&ValueNode| ["number", "id", "name", "reference"].contains(&tree.words(&field.name));
    let text = fields().find(names).or_else(|| fields().next()).map(|field| tree.words(&field.span));
    match text.and_then(|text| text.strip_prefix('"')?.strip_suffix('"')) {
        Some(name) if (1..=60).contains(&name.chars().count()) && !name.contains(['\n', '`']) => {
            format!("`{kind}` `{name}`")
        }
        _ if kind.is_empty() => "a record".to_owned(),
        _ => format!("`{kind}`"),
    }
}
