//! Cuts RON text into tokens without judging it.
//!
//! `ron` alone decides what is well-formed. This cut agrees with it on every text that it accepts, and on any other
//! text still yields tokens that cover everything but blanks and comments, in order and on character boundaries.

use std::ops::Range;

/// What a token is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum TokenKind {
    /// `(`, `[` or `{`.
    Open(char),
    /// `)`, `]` or `}`.
    Close(char),
    /// A comma.
    Comma,
    /// A colon.
    Colon,
    /// A name, a number, or a run of characters that mean nothing.
    Word,
    /// A text in quotes, or a character in single ones.
    Text,
    /// A text whose closing quote is missing; it runs to the end.
    OpenText,
    /// A `/* comment` whose end is missing; it runs to the end.
    OpenComment,
}

/// A token and the bytes that it covers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Token {
    pub(super) kind: TokenKind,
    pub(super) span: Range<usize>,
}

/// The tokens of a text, from `at` to `end`.
pub(super) struct Lexer<'a> {
    text: &'a str,
    pub(super) at: usize,
    end: usize,
}

impl<'a> Lexer<'a> {
    /// Tokens within a range of the text; the range lies on character boundaries.
    pub(super) fn new(text: &'a str, range: Range<usize>) -> Self {
        Lexer { text, at: range.start, end: range.end }
    }
    fn rest(&self) -> &'a str {
        self.text.get(self.at..self.end).expect("tokens end on character boundaries")
    }
    /// Skips blanks and comments; gives back a comment that does not end.
    fn skip_blanks(&mut self) -> Option<Token> {
        loop {
            let rest = self.rest();
            let start = self.at + (rest.len() - rest.trim_start_matches(is_blank).len());
            self.at = start;
            let rest = self.rest();
            if rest.starts_with("//") {
                self.at += rest.find('\n').unwrap_or(rest.len());
            } else if rest.starts_with("/*") {
                if let Some(length) = block_comment(rest) {
                    self.at += length;
                } else {
                    self.at = self.end;
                    return Some(Token { kind: TokenKind::OpenComment, span: start..self.end });
                }
            } else {
                return None;
            }
        }
    }
}

impl Iterator for Lexer<'_> {
    type Item = Token;
    fn next(&mut self) -> Option<Token> {
        if let Some(comment) = self.skip_blanks() {
            return Some(comment);
        }
        let rest = self.rest();
        let first = rest.chars().next()?;
        let (kind, length) = match first {
            '(' | '[' | '{' => (TokenKind::Open(first), 1),
            ')' | ']' | '}' => (TokenKind::Close(first), 1),
            ',' => (TokenKind::Comma, 1),
            ':' => (TokenKind::Colon, 1),
            '\'' => character(rest).map_or((TokenKind::Word, 1), |length| (TokenKind::Text, length)),
            _ => match quoted(rest) {
                Some(Ok(length)) => (TokenKind::Text, length),
                Some(Err(())) => (TokenKind::OpenText, rest.len()),
                None => (TokenKind::Word, word(rest)),
            },
        };
        let start = self.at;
        self.at += length;
        Some(Token { kind, span: start..self.at })
    }
}

/// The blanks of RON, which are not quite those of Rust.
fn is_blank(c: char) -> bool {
    matches!(c, ' ' | '\t'..='\r' | '\u{85}' | '\u{200E}' | '\u{200F}' | '\u{2028}' | '\u{2029}')
}

/// The length of a block comment; such comments nest.
fn block_comment(text: &str) -> Option<usize> {
    let bytes = text.as_bytes();
    let (mut at, mut depth) = (0, 0usize);
    while at + 1 < bytes.len() {
        match &bytes[at..at + 2] {
            b"/*" => (at, depth) = (at + 2, depth + 1),
            b"*/" => (at, depth) = (at + 2, depth - 1),
            _ => at += 1,
        }
        if depth == 0 {
            return Some(at);
        }
    }
    None
}

/// The length of a quoted text, plain, raw or of bytes; `Err` if it does not end.
fn quoted(text: &str) -> Option<Result<usize, ()>> {
    let body = text.strip_prefix('b').unwrap_or(text);
    if let Some(raw) = body.strip_prefix('r') {
        let after = raw.trim_start_matches('#');
        let hashes = raw.len() - after.len();
        let inner = after.strip_prefix('"')?;
        let ending = format!("\"{}", "#".repeat(hashes));
        let start = text.len() - inner.len();
        return Some(inner.find(&ending).map(|at| start + at + ending.len()).ok_or(()));
    }
    let inner = body.strip_prefix('"')?;
    let start = text.len() - inner.len();
    let mut escaped = false;
    for (at, byte) in inner.bytes().enumerate() {
        match byte {
            _ if escaped => escaped = false,
            b'\\' => escaped = true,
            b'"' => return Some(Ok(start + at + 1)),
            _ => {}
        }
    }
    Some(Err(()))
}

/// The length of a character in single quotes.
fn character(text: &str) -> Option<usize> {
    let mut characters = text.char_indices().skip(1);
    let (_, first) = characters.next()?;
    if first == '\\' {
        characters.next()?;
    }
    characters.next().filter(|(_, c)| *c == '\'').map(|(at, _)| at + 1)
}

/// The length of a name or of any other run of characters that neither end a value nor begin one of another kind.
fn word(text: &str) -> usize {
    let ends = |(at, c): &(usize, char)| {
        *at > 0 && (is_blank(*c) || matches!(c, '(' | ')' | '[' | ']' | '{' | '}' | ',' | ':' | '"' | '/'))
    };
    text.char_indices().find(ends).map_or(text.len(), |(at, _)| at)
}
