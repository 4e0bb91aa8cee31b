//! What could not be read, kept as far as it is known: where it stands, what kind of record it may be, which names it holds.

use super::lexer::{Lexer, TokenKind};
use crate::finding::{FileId, Finding, Place, RecordRef};
use crate::schema::{KINDS, RECORD_KINDS, TABLE_KINDS, tells_of_table};
use std::collections::BTreeSet;
use std::sync::Arc;

/// How many letters a slip may change in a kind of record or in a name.
pub(crate) const SLIP: usize = 2;

/// Every text of the project that could not be read as records.
///
/// Invariant: a name that a lost record bears or refers to is among its [`Mentions`], so that nobody can say of such a
/// name that there is no record of it.
#[derive(Clone, Debug, Default)]
pub struct Lost {
    /// One for each, in the order of files and places.
    pub texts: Vec<LostText>,
}

/// A text that could not be read: most often one record.
#[derive(Clone, Debug)]
pub struct LostText {
    /// Where it stands.
    pub place: Place,
    /// Where it is to be mended, if a finding tells.
    pub mend: Option<Place>,
    /// The record that was read and of which this is a part, if it is.
    pub part_of: Option<RecordRef>,
    /// The kinds of record that it may be; empty if that is not known.
    pub kinds: BTreeSet<&'static str>,
    /// What it is called: its first text in quotes.
    pub name: Option<String>,
    /// Whether it may bear a name that cannot be made out.
    pub is_nameless: bool,
    /// Whether its end is missing or something in it cannot be made out, so that names may be gone with it.
    pub is_cut: bool,
    /// The names that it holds.
    pub mentions: Mentions,
}

/// The words and quoted texts of a record: every name in it is among them.
#[derive(Clone, Debug, Default)]
pub struct Mentions {
    /// The texts between quotes, and every word by itself; shared, because every piece of a record holds those of the record.
    all: Arc<BTreeSet<String>>,
    /// The texts between quotes.
    whole: Arc<BTreeSet<String>>,
}

impl Lost {
    /// Whether a text that could not be read may bear the name or be part of what does (`"60-2200/10"`).
    #[must_use]
    pub fn may_name(&self, name: &str) -> bool {
        self.texts.iter().any(|text| text.mentions.name(name))
    }
    /// Whether a text that could not be read may be what bears the name: it holds the name, or is of one of these kinds
    /// and holds the name of what it is part of (of `"60-2200/10"`) or does not tell what it is called.
    #[must_use]
    pub fn may_bear(&self, kinds: &[&str], name: &str) -> bool {
        let whole = name.rsplit_once('/').map(|(whole, _)| whole);
        let of_kind = |text: &LostText| kinds.iter().any(|kind| text.kinds.contains(kind));
        let holds = |text: &LostText| text.is_nameless || whole.is_some_and(|whole| text.mentions.name(whole));
        self.texts.iter().any(|text| text.mentions.name(name) || of_kind(text) && holds(text))
    }
    /// Whether a name in a text that could not be read is the name, or a slip of the pen makes it that.
    #[must_use]
    pub fn may_mean(&self, name: &str) -> bool {
        self.texts.iter().any(|text| text.mentions.may_mean(name))
    }
    /// Whether a finding is about a record of which the end could not be read: nothing sure can be said of that.
    #[must_use]
    pub fn cuts(&self, finding: &Finding) -> bool {
        self.texts.iter().filter_map(|text| text.part_of).any(|cut| {
            finding.labels.iter().any(|label| matches!(&label.place, Place::Record(record, _) if *record == cut))
        })
    }
    /// Whether a record of the kind may be among those that could not be read.
    #[must_use]
    pub fn may_be(&self, kind: &str) -> bool {
        self.texts.iter().any(|text| text.may_be(kind))
    }
}

impl LostText {
    /// Whether it may be a record of the kind.
    #[must_use]
    pub fn may_be(&self, kind: &str) -> bool {
        self.kinds.is_empty() || self.kinds.contains(kind)
    }
    /// Whether it may be the shop's own table of the kind, or the rest of it: it says so, or holds a field that only such a
    /// table has, or holds nothing that tells what it is and stands where nothing but tables does.
    #[must_use]
    pub fn may_be_table(&self, kind: &str) -> bool {
        let names = |kind: &&str| self.mentions.may_mean(kind);
        let stands_by_tables = self.kinds.iter().all(|kind| TABLE_KINDS.contains(kind));
        let says_another = || RECORD_KINDS.iter().any(|other| self.mentions.all.contains(*other));
        self.kinds.contains(kind)
            || self.mentions.iter().any(|word| tells_of_table(kind, word))
            || (stands_by_tables && !self.kinds.iter().any(names) && !says_another())
    }
    /// A whole file.
    pub(super) fn of_file(file: FileId, text: &str) -> LostText {
        let place = Place::Bytes(file, 0, 0);
        let (kinds, mentions) = (BTreeSet::new(), Mentions::of(text));
        LostText { place, mend: None, part_of: None, kinds, name: None, is_nameless: true, is_cut: false, mentions }
    }
    /// A text, where it stands, and the kinds of record that its file holds; it may be the rest of a record that stands
    /// before it.
    pub(super) fn new(
        place: Place,
        text: &str,
        before: Option<(RecordRef, &str)>,
        in_file: &BTreeSet<&'static str>,
    ) -> LostText {
        let (own, mut mentions) = (kinds_in(text), Mentions::of(text));
        let is_blank = !own.is_empty() && !text.contains('"');
        let is_illegible = is_illegible(text);
        // What no word tells of may be any record, also one that is nowhere else in the file.
        let kinds = if own.is_empty() && !is_illegible { in_file.clone() } else { own };
        let is_nameless = kinds.iter().any(|kind| !bears_name(kind, text));
        // Names that tell what the rest belongs to stand in the record before it.
        if let Some(before) = before.map(|(_, text)| Mentions::of(text)) {
            Arc::make_mut(&mut mentions.all).extend(before.all.iter().cloned());
            Arc::make_mut(&mut mentions.whole).extend(before.whole.iter().cloned());
        }
        let part_of = before.map(|(record, _)| record);
        let name = name_in(text).filter(|_| !is_nameless);
        let is_cut = is_cut(text) || is_blank || is_illegible;
        LostText { place, mend: None, part_of, kinds, name, is_nameless, is_cut, mentions }
    }
}

/// Whether a text gives the name that a record of the kind bears: the field for it, or one like it, with a text.
fn bears_name(kind: &str, text: &str) -> bool {
    let field = KINDS.iter().find(|known| known.name == kind).map_or("id", |known| known.named_by);
    let tokens: Vec<_> = Lexer::new(text, 0..text.len()).collect();
    let mut depth = 0_usize;
    tokens.windows(3).any(|three| {
        match three[0].kind {
            TokenKind::Open(_) => depth += 1,
            TokenKind::Close(_) => depth = depth.saturating_sub(1),
            TokenKind::Comma
            | TokenKind::Colon
            | TokenKind::Word
            | TokenKind::Text
            | TokenKind::OpenText
            | TokenKind::OpenComment => {}
        }
        let word = text.get(three[0].span.clone()).unwrap_or_default();
        let given = three[0].kind == TokenKind::Word && three[1].kind == TokenKind::Colon;
        given
            && depth <= 1
            && matches!(three[2].kind, TokenKind::Text | TokenKind::Word)
            && strsim::osa_distance(word, field) <= 1
    })
}

/// Whether the end of a text is missing: it does not end with a bracket, or more than one is never closed.
fn is_cut(text: &str) -> bool {
    // A quote may be missing, so quotes tell nothing here.
    let lines = text.lines().map(|line| line.split_once("//").map_or(line, |(before, _)| before).trim());
    let bare: String = lines.collect();
    let count = |brackets: [char; 3]| bare.matches(brackets).count();
    let ends = bare.trim_end_matches(',').ends_with([')', ']', '}']);
    !ends || count(['(', '[', '{']) > count([')', ']', '}']) + 1
}

/// Whether something in a text cannot be made out: what stands for a word has neither letters nor figures, or characters
/// that no text holds.
fn is_illegible(text: &str) -> bool {
    let odd = |c: char| c == char::REPLACEMENT_CHARACTER || c.is_control();
    Lexer::new(text, 0..text.len()).filter(|token| token.kind == TokenKind::Word).any(|token| {
        let word = text.get(token.span).unwrap_or_default();
        word.chars().any(odd) || (word.len() > 1 && !word.chars().any(char::is_alphanumeric))
    })
}

/// Whether a text begins like the rest of a record: with no word that a bracket or a field could follow.
pub(super) fn is_rest(text: &str) -> bool {
    Lexer::new(text, 0..text.len()).next().is_none_or(|token| token.kind != TokenKind::Word)
}

/// What the record is called, if that can be a name: the first text in quotes, or in the dossier of an airframe the one
/// after its serial.
fn name_in(text: &str) -> Option<String> {
    let quotes: Vec<&str> = text.split('"').collect();
    let of = |field: &str, before: &str| {
        before.trim_end().strip_suffix(':').is_some_and(|head| head.trim_end().ends_with(field))
    };
    let mut between = quotes.chunks_exact(2);
    let first = between.next()?;
    // In the dossier of an airframe its serial stands first, and then what the record is called.
    let own = between.find(|pair| of("airframe", first[0]) && (of(" id", pair[0]) || of(" name", pair[0])));
    let name = own.unwrap_or(first)[1];
    let plain = |c: char| !c.is_control() && !",:()[]`".contains(c);
    ((1..=60).contains(&name.chars().count()) && name.chars().all(plain)).then(|| name.to_owned())
}

/// The kinds of record that a text may be: the words that a bracket follows and that are a kind, and its first word if
/// that is a kind, whole or misspelt, with something stuck to it or cut off. Empty if none is.
fn kinds_in(text: &str) -> BTreeSet<&'static str> {
    let start = text.trim_start_matches(|c: char| !c.is_ascii_alphanumeric());
    let first = start.split(|c: char| !c.is_ascii_alphanumeric()).next().unwrap_or_default();
    let behind = start.get(first.len()..).unwrap_or_default().trim_start();
    let is_field = behind.starts_with(':');
    let alike = |kind: &&&str| {
        let stuck = first.starts_with(**kind) || (first.len() >= 3 && kind.starts_with(first));
        **kind == first || stuck || (!is_field && strsim::osa_distance(first, kind) <= SLIP)
    };
    let own = RECORD_KINDS.iter().find(|kind| **kind == first);
    let near: BTreeSet<&str> = RECORD_KINDS.iter().filter(alike).copied().collect();
    let own = own.map_or(near, |own| BTreeSet::from([*own]));
    if own.is_empty() { own } else { own.union(&kinds_of_file(text)).copied().collect() }
}

/// The kinds of record that a file holds, whatever their brackets and quotes: their words begin a line, or stand before
/// a bracket.
pub(super) fn kinds_of_file(text: &str) -> BTreeSet<&'static str> {
    let not_in_word = |c: char| !c.is_ascii_alphanumeric();
    let before = |at: usize| text.get(..at).and_then(|before| before.trim_end().rsplit(not_in_word).next());
    let heads = text.match_indices('(').filter_map(|(at, _)| before(at));
    let begins = text.lines().filter_map(|line| line.trim_start().split(not_in_word).next());
    heads.chain(begins).filter_map(|word| RECORD_KINDS.iter().find(|kind| **kind == word).copied()).collect()
}

impl Mentions {
    /// The words and quoted texts of a record, whichever of its quotes are missing.
    #[must_use]
    pub fn of(text: &str) -> Mentions {
        let quoted = text.split('"').map(str::trim).filter(|word| !word.is_empty());
        let whole: BTreeSet<String> = quoted.map(str::to_owned).collect();
        let parts = |c: char| c.is_whitespace() || ",:()[]\"".contains(c);
        let words = text.split(parts).filter(|word| !word.is_empty()).map(str::to_owned);
        let mut all: BTreeSet<String> = words.chain(whole.iter().cloned()).collect();
        // Where a quote is missing, another character may stand in its place and belong to no name.
        if text.matches('"').count() % 2 == 1 {
            let mut start = 0;
            for piece in text.split_inclusive(parts) {
                let word = piece.trim_end_matches(parts);
                let (before, behind) = (text.get(..start), text.get(start + word.len()..));
                start += piece.len();
                let opened = before.is_some_and(|before| before.ends_with('"'));
                let closed = behind.is_some_and(|behind| behind.starts_with('"'));
                let mut name = word.chars();
                match (opened, closed) {
                    (true, false) => drop(name.next_back()),
                    (false, true) => drop(name.next()),
                    _ => continue,
                }
                all.extend(Some(name.as_str().to_owned()).filter(|name| !name.is_empty()));
            }
        }
        Mentions { all: Arc::new(all), whole: Arc::new(whole) }
    }
    /// The texts between quotes, in order; where a quote is missing, also what stands between them.
    pub fn whole(&self) -> impl Iterator<Item = &str> {
        self.whole.iter().map(String::as_str)
    }
    /// Whether the name, or both halves of `"60-2200/10"` or of `"27-1400 sheet 2"`, are among them.
    #[must_use]
    pub fn name(&self, name: &str) -> bool {
        let both = |(whole, part): (&str, &str)| self.all.contains(whole) && self.all.contains(part);
        self.all.contains(name) || [name.rsplit_once('/'), name.rsplit_once(" sheet ")].into_iter().flatten().any(both)
    }
    /// Whether one of them may be meant by the name: it is the name, or a slip of the pen makes it that.
    #[must_use]
    pub fn may_mean(&self, name: &str) -> bool {
        self.name(name) || self.all.iter().any(|word| may_be_slip(word, name))
    }
    /// The words and texts, in order.
    pub fn iter(&self) -> impl Iterator<Item = &str> {
        self.all.iter().map(String::as_str)
    }
}

/// Whether a slip of the pen can have made one name of the other.
#[must_use]
pub fn may_be_slip(a: &str, b: &str) -> bool {
    a.len().abs_diff(b.len()) <= SLIP && strsim::osa_distance(&a.to_lowercase(), &b.to_lowercase()) <= SLIP
}
