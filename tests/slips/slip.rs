//! Slips of the pen, as people make them.

use crate::project::random::Random;
use crate::text::{Dossier, Record, Sort};
use std::collections::BTreeSet;
use std::ops::Range;

/// A kind of slip.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Kind {
    RoundLost,
    SquareLost,
    BracketAdded,
    QuoteLost,
    QuoteAdded,
    CommaLost,
    FieldMisspelt,
    WordMisspelt,
    ReferenceMisspelt,
    DefinitionMisspelt,
    NumberQuoted,
    QuotesOff,
    UnitLost,
    ColonLost,
    DateGarbled,
    RecordCutOff,
    LineLost,
    LineTwice,
    RecordUnreadable,
}

/// All kinds of slip, and what they are called in the tables.
pub(crate) const KINDS: [(Kind, &str); 19] = [
    (Kind::RoundLost, "round bracket lost"),
    (Kind::SquareLost, "square bracket lost"),
    (Kind::BracketAdded, "bracket too many"),
    (Kind::QuoteLost, "quotation mark lost"),
    (Kind::QuoteAdded, "quotation mark too many"),
    (Kind::CommaLost, "comma lost"),
    (Kind::FieldMisspelt, "field misspelt"),
    (Kind::WordMisspelt, "word misspelt"),
    (Kind::ReferenceMisspelt, "reference misspelt"),
    (Kind::DefinitionMisspelt, "definition misspelt"),
    (Kind::NumberQuoted, "number in quotes"),
    (Kind::QuotesOff, "quotes left off"),
    (Kind::UnitLost, "unit left out"),
    (Kind::ColonLost, "colon lost"),
    (Kind::DateGarbled, "date garbled"),
    (Kind::RecordCutOff, "record cut off"),
    (Kind::LineLost, "line lost"),
    (Kind::LineTwice, "line twice"),
    (Kind::RecordUnreadable, "record unreadable"),
];

impl Kind {
    /// What it is called in the tables.
    pub(crate) fn name(self) -> &'static str {
        KINDS.iter().find(|(kind, _)| *kind == self).map_or("", |(_, name)| name)
    }
}

/// One slip in one file of a project.
#[derive(Clone, Debug)]
pub(crate) struct Slip {
    pub kind: Kind,
    /// Which dossier, and which record of it.
    pub dossier: usize,
    pub record: Record,
    /// What is written over, and by what.
    pub at: Range<usize>,
    pub by: String,
    /// Every text that the record holds.
    pub names: Vec<String>,
}

impl Slip {
    /// The file after the slip.
    pub(crate) fn text(&self, dossier: &Dossier) -> String {
        let mut text = dossier.text.clone();
        text.replace_range(self.at.clone(), &self.by);
        text
    }
}

/// A record with the tokens in it that a kind of slip can strike.
struct Hand<'a> {
    dossier: &'a Dossier,
    record: &'a Record,
    defined: &'a BTreeSet<String>,
}

/// One slip of that kind in that record, if it has a place for one.
pub(crate) fn draw(
    random: &mut Random,
    kind: Kind,
    (dossiers, which): (&[Dossier], usize),
    record: &Record,
    defined: &BTreeSet<String>,
) -> Option<Slip> {
    let hand = Hand { dossier: &dossiers[which], record, defined };
    let (at, by) = hand.slip(random, kind)?;
    let names = record
        .tokens
        .clone()
        .filter(|&i| hand.dossier.tokens[i].sort == Sort::Quoted)
        .map(|i| hand.dossier.inner(i).to_owned())
        .collect();
    let changed = hand.dossier.text.get(at.clone())? != by;
    changed.then(|| Slip { kind, dossier: which, record: record.clone(), at, by, names })
}

impl Hand<'_> {
    fn slip(&self, random: &mut Random, kind: Kind) -> Option<(Range<usize>, String)> {
        match kind {
            Kind::RoundLost => self.lost(random, |s, w| s == Sort::Bracket && matches!(w, "(" | ")")),
            Kind::SquareLost => self.lost(random, |s, w| s == Sort::Bracket && matches!(w, "[" | "]")),
            Kind::CommaLost => self.lost(random, |s, _| s == Sort::Comma),
            Kind::ColonLost => self.lost(random, |s, _| s == Sort::Colon),
            Kind::BracketAdded => {
                let at = self.place(random)?;
                let bracket = ["(", ")", "[", "]", "{", "}"][random.below(6)];
                Some((at..at, bracket.to_owned()))
            }
            Kind::QuoteAdded => self.place(random).map(|at| (at..at, "\"".to_owned())),
            Kind::QuoteLost => {
                let at = self.span(self.pick(random, |s, _| s == Sort::Quoted)?);
                Some(if random.below(2) == 0 {
                    (at.start..at.start + 1, String::new())
                } else {
                    (at.end - 1..at.end, String::new())
                })
            }
            Kind::FieldMisspelt => self.misspelt(random, |_, s, _| s == Sort::Field),
            Kind::WordMisspelt => {
                let first = self.record.tokens.start;
                self.misspelt(random, |i, s, _| s == Sort::Word && i != first)
            }
            Kind::ReferenceMisspelt => self.misspelt(random, |i, s, w| {
                s == Sort::Quoted && self.defined.contains(w.trim_matches('"')) && !self.defines(i)
            }),
            Kind::DefinitionMisspelt => self.misspelt(random, |i, _, _| self.defines(i)),
            Kind::NumberQuoted => {
                let token = self.pick(random, |s, _| s == Sort::Number)?;
                Some((self.span(token), format!("\"{}\"", self.dossier.word(token))))
            }
            Kind::QuotesOff => {
                let token = self.pick(random, |s, w| s == Sort::Quoted && !w.contains(' '))?;
                Some((self.span(token), self.dossier.inner(token).to_owned()))
            }
            Kind::UnitLost => self.unit_lost(random),
            Kind::DateGarbled => self.date_garbled(random),
            Kind::RecordCutOff => self.cut_off(random),
            Kind::LineLost | Kind::LineTwice => self.line(random, kind),
            Kind::RecordUnreadable => {
                let at = self.span(self.record.tokens.start);
                Some((at.end..at.end, "x".to_owned()))
            }
        }
    }

    fn span(&self, token: usize) -> Range<usize> {
        self.dossier.tokens[token].at.clone()
    }

    fn defines(&self, token: usize) -> bool {
        self.record.defines.iter().any(|name| name.token == token)
    }

    /// Any token of the record of that sort.
    fn pick(&self, random: &mut Random, fits: impl Fn(Sort, &str) -> bool) -> Option<usize> {
        self.pick_at(random, |_, sort, word| fits(sort, word))
    }

    fn pick_at(&self, random: &mut Random, fits: impl Fn(usize, Sort, &str) -> bool) -> Option<usize> {
        let all = self.record.tokens.clone();
        let fitting: Vec<usize> = all.filter(|&i| fits(i, self.dossier.tokens[i].sort, self.dossier.word(i))).collect();
        (!fitting.is_empty()).then(|| fitting[random.below(fitting.len())])
    }

    fn lost(&self, random: &mut Random, fits: impl Fn(Sort, &str) -> bool) -> Option<(Range<usize>, String)> {
        Some((self.span(self.pick(random, fits)?), String::new()))
    }

    /// Somewhere between two tokens of the record, not in a remark.
    fn place(&self, random: &mut Random) -> Option<usize> {
        let token = self.pick(random, |_, _| true)?;
        let at = self.span(token);
        Some(if random.below(2) == 0 { at.start } else { at.end })
    }

    fn misspelt(
        &self,
        random: &mut Random,
        fits: impl Fn(usize, Sort, &str) -> bool,
    ) -> Option<(Range<usize>, String)> {
        let token = self.pick_at(random, fits)?;
        let at = self.span(token);
        let quoted = self.dossier.tokens[token].sort == Sort::Quoted;
        let at = if quoted { at.start + 1..at.end - 1 } else { at };
        let word = self.dossier.text.get(at.clone())?;
        Some((at, misspelt(random, word)?))
    }

    fn unit_lost(&self, random: &mut Random) -> Option<(Range<usize>, String)> {
        let token = self.pick(random, |s, w| s == Sort::Quoted && unit_of(w.trim_matches('"')).is_some())?;
        let at = self.span(token);
        let bare = unit_of(self.dossier.inner(token))?;
        Some((at, format!("\"{bare}\"")))
    }

    fn date_garbled(&self, random: &mut Random) -> Option<(Range<usize>, String)> {
        let token = self.pick(random, |s, w| s == Sort::Quoted && is_date(w.trim_matches('"')))?;
        let written = self.dossier.inner(token);
        let garbled = match random.below(4) {
            0 => written.replacen('-', "", 1),
            1 => written.replacen('-', ".", 2),
            2 => written.replacen("-0", "-O", 1),
            _ => misspelt(random, written)?,
        };
        Some((self.span(token), format!("\"{garbled}\"")))
    }

    /// Everything from some token to the end of the record is gone, its lines stay empty.
    fn cut_off(&self, random: &mut Random) -> Option<(Range<usize>, String)> {
        let tokens = self.record.tokens.clone();
        let from = tokens.start + 2 + random.below(tokens.len().checked_sub(2)?.max(1));
        let at = self.span(from.min(tokens.end - 1)).start..self.span(tokens.end - 1).end;
        Some((at.clone(), newlines(self.dossier.text.get(at)?)))
    }

    /// A line of the record is gone or stands twice. The lines after it keep their numbers, so that answers that name
    /// them can be compared.
    fn line(&self, random: &mut Random, kind: Kind) -> Option<(Range<usize>, String)> {
        let at = self.span(self.pick(random, |_, _| true)?).start;
        let text = &self.dossier.text;
        let start = text.get(..at)?.rfind('\n').map_or(0, |i| i + 1);
        let end = text.get(at..)?.find('\n').map_or(text.len(), |i| at + i);
        let line = text.get(start..end)?;
        Some((start..end, if kind == Kind::LineLost { String::new() } else { format!("{line} {}", line.trim_start()) }))
    }
}

fn newlines(text: &str) -> String {
    text.chars().filter(|&c| c == '\n').collect()
}

/// One letter swapped with its neighbour, dropped, doubled or replaced.
pub(crate) fn misspelt(random: &mut Random, word: &str) -> Option<String> {
    let mut letters: Vec<char> = word.chars().collect();
    if letters.is_empty() {
        return None;
    }
    let at = random.below(letters.len());
    match random.below(4) {
        0 if at + 1 < letters.len() && letters[at] != letters[at + 1] => letters.swap(at, at + 1),
        1 if letters.len() > 1 => drop(letters.remove(at)),
        2 => letters.insert(at, letters[at]),
        _ => {
            let near = if letters[at].is_ascii_digit() { "0123456789" } else { "aeiorstnl" };
            let other: Vec<char> = near.chars().filter(|&c| c != letters[at]).collect();
            letters[at] = other[random.below(other.len())];
        }
    }
    Some(letters.into_iter().collect())
}

/// A measure without its unit.
fn unit_of(written: &str) -> Option<&str> {
    let bare = written.trim_end_matches(|c: char| c.is_ascii_alphabetic());
    let measure = bare.chars().all(|c| c.is_ascii_digit() || "./-".contains(c)) && bare.contains(char::is_numeric);
    let unit = written.get(bare.len()..)?;
    let known = ["in", "mm", "deg", "thou", "swg", "kg", "lb", "oz", "g", "C", "F", "cm", "ft", "m"];
    (measure && known.contains(&unit)).then_some(bare)
}

fn is_date(written: &str) -> bool {
    let mut numbers = written.split('-').map(|piece| piece.len() == 4 && piece.bytes().all(|b| b.is_ascii_digit()));
    numbers.next() == Some(true) && written.len() >= 7 && written.bytes().filter(|&b| b == b'-').count() <= 2
}
