//! The words of a dossier, without any knowledge of what they mean.

use std::collections::BTreeSet;
use std::ops::Range;

/// What a word of a dossier is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Sort {
    /// One of `()[]{}`.
    Bracket,
    Comma,
    Colon,
    /// A text between quotation marks, the marks included.
    Quoted,
    /// A bare number.
    Number,
    /// A bare word with a colon after it.
    Field,
    /// Any other bare word.
    Word,
}

/// A word of a dossier and where it stands.
#[derive(Clone, Debug)]
pub(crate) struct Token {
    pub sort: Sort,
    pub at: Range<usize>,
}

/// A record of a dossier: a word with round brackets, directly in the list that the file is.
#[derive(Clone, Debug)]
pub(crate) struct Record {
    pub kind: String,
    /// Its tokens, the kind first.
    pub tokens: Range<usize>,
    /// What it defines: its own name, and those of its parts that have a name.
    pub defines: Vec<Name>,
    /// The airframe that it is of, if it says one.
    pub airframe: Option<String>,
}

/// A name and the token that gives it.
#[derive(Clone, Debug)]
pub(crate) struct Name {
    pub field: String,
    pub text: String,
    pub token: usize,
}

/// A dossier file, cut into words.
#[derive(Clone, Debug)]
pub(crate) struct Dossier {
    pub path: String,
    pub text: String,
    pub tokens: Vec<Token>,
    pub records: Vec<Record>,
}

/// Fields that give a record its own name.
const NAMING: [&str; 11] =
    ["number", "name", "serial", "serials", "id", "mark", "reference", "part", "find", "hole", "station"];
/// Lists that give names, each with the kind of record that it stands in.
const NAMING_LISTS: [(&str, &str); 1] = [("StagesOfWork", "stages")];
/// Kinds whose `part` is their own name, because nothing else is.
const NAMED_BY_PART: [&str; 1] = ["Assembly"];

impl Dossier {
    /// Cuts a file into words; the file is sound.
    pub(crate) fn new(path: String, text: String) -> Dossier {
        let tokens = tokens(&text);
        let mut dossier = Dossier { path, text, tokens, records: Vec::new() };
        dossier.records = dossier.find_records();
        dossier
    }

    /// The text of a token.
    pub(crate) fn word(&self, token: usize) -> &str {
        self.text.get(self.tokens[token].at.clone()).unwrap_or_default()
    }

    /// What stands between the quotation marks of a token.
    pub(crate) fn inner(&self, token: usize) -> &str {
        self.word(token).trim_matches('"')
    }

    /// The line that a byte is on, from 1.
    pub(crate) fn line(&self, at: usize) -> usize {
        self.text.bytes().take(at).filter(|&b| b == b'\n').count() + 1
    }

    fn find_records(&self) -> Vec<Record> {
        let mut found = Vec::new();
        let (mut depth, mut start) = (0_usize, None);
        for (i, token) in self.tokens.iter().enumerate() {
            match (token.sort, self.word(i)) {
                (Sort::Word, _) if depth == 1 && start.is_none() => start = Some(i),
                (Sort::Bracket, "(" | "[" | "{") => depth += 1,
                (Sort::Bracket, _) => {
                    depth = depth.saturating_sub(1);
                    if let (1, Some(first)) = (depth, start.take_if(|_| depth == 1)) {
                        found.push(self.record(first..i + 1));
                    }
                }
                _ => {}
            }
        }
        found
    }

    fn record(&self, tokens: Range<usize>) -> Record {
        let kind = self.word(tokens.start).to_owned();
        let mut defines = Vec::new();
        let (mut airframe, mut depth) = (None, 0);
        for i in tokens.clone() {
            match (self.tokens[i].sort, self.word(i)) {
                (Sort::Bracket, "(" | "[" | "{") => depth += 1,
                (Sort::Bracket, _) => depth -= 1,
                (Sort::Field, field) if NAMING_LISTS.contains(&(&kind, field)) => {
                    let list = (i + 3..tokens.end).take_while(|&item| self.word(item) != "]");
                    let items = list.filter(|&item| self.tokens[item].sort == Sort::Quoted);
                    let name = |token| Name { field: field.to_owned(), text: self.inner(token).to_owned(), token };
                    defines.extend(items.map(name));
                }
                (Sort::Field, field) if i + 2 < tokens.end && self.tokens[i + 2].sort == Sort::Quoted => {
                    if depth == 1 && field == "airframe" {
                        airframe = Some(self.inner(i + 2).to_owned());
                    }
                    if names(&kind, field, depth) {
                        defines.push(Name {
                            field: field.to_owned(),
                            text: self.inner(i + 2).to_owned(),
                            token: i + 2,
                        });
                    }
                }
                _ => {}
            }
        }
        Record { kind, tokens, defines, airframe }
    }
}

/// Whether a field at that depth gives a name rather than uses one.
fn names(kind: &str, field: &str, depth: usize) -> bool {
    match field {
        "part" => depth == 1 && NAMED_BY_PART.contains(&kind),
        "station" => false,
        "mark" => kind == "Jig" || kind == "FormingTool",
        _ => NAMING.contains(&field) && (depth == 1 || matches!(field, "find" | "name" | "hole")),
    }
}

fn tokens(text: &str) -> Vec<Token> {
    let bytes = text.as_bytes();
    let (mut found, mut at) = (Vec::new(), 0);
    while let Some(&byte) = bytes.get(at) {
        let (sort, end) = match byte {
            b'/' if bytes.get(at + 1) == Some(&b'/') => (None, end_of(bytes, at, |b| b != b'\n')),
            b'"' => (Some(Sort::Quoted), end_of_quoted(bytes, at)),
            b'(' | b')' | b'[' | b']' | b'{' | b'}' => (Some(Sort::Bracket), at + 1),
            b',' => (Some(Sort::Comma), at + 1),
            b':' => (Some(Sort::Colon), at + 1),
            b'0'..=b'9' | b'-' | b'+' | b'.' => {
                (Some(Sort::Number), end_of(bytes, at + 1, |b| b.is_ascii_alphanumeric() || b == b'.' || b == b'_'))
            }
            b if b.is_ascii_alphabetic() => {
                (Some(Sort::Word), end_of(bytes, at, |b| b.is_ascii_alphanumeric() || b == b'_'))
            }
            _ => (None, at + 1),
        };
        if let (Some(Sort::Colon), Some(Token { sort: last @ Sort::Word, .. })) = (sort, found.last_mut()) {
            *last = Sort::Field;
        }
        found.extend(sort.map(|sort| Token { sort, at: at..end }));
        at = end;
    }
    found
}

fn end_of(bytes: &[u8], from: usize, goes_on: impl Fn(u8) -> bool) -> usize {
    from + bytes.iter().skip(from).take_while(|&&b| goes_on(b)).count()
}

fn end_of_quoted(bytes: &[u8], from: usize) -> usize {
    let mut at = from + 1;
    while at < bytes.len() && bytes[at] != b'"' {
        at += if bytes[at] == b'\\' { 2 } else { 1 };
    }
    (at + 1).min(bytes.len())
}

/// Every name that the dossiers define, positions (`part/find`) among them.
pub(crate) fn defined(dossiers: &[Dossier]) -> BTreeSet<String> {
    let mut all = BTreeSet::new();
    for record in dossiers.iter().flat_map(|dossier| &dossier.records) {
        for name in &record.defines {
            all.insert(name.text.clone());
            if name.field == "find"
                && let Some(own) = record.defines.first()
            {
                all.insert(format!("{}/{}", own.text, name.text));
            }
        }
    }
    all
}
