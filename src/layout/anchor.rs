//! Names that links lead to.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

/// What a page, or a row of a table, is about.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Anchor {
    /// What kind of thing.
    pub kind: AnchorKind,
    /// Its name.
    pub name: String,
}

/// The kinds of things that links lead to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum AnchorKind {
    /// A modification.
    Modification,
    /// A frame.
    Frame,
    /// A jig.
    Jig,
    /// A jig plate, by the number of its drawing.
    Plate,
    /// A survey.
    Survey,
    /// A part.
    Part,
    /// An item of the evidence register.
    Evidence,
    /// A claim.
    Claim,
    /// A concession or a permit.
    Permission,
}

impl Anchor {
    /// What a link to it ends with: the same for the same name in every book, and different for different names.
    #[must_use]
    pub fn id(&self) -> String {
        let kind = match self.kind {
            AnchorKind::Modification => "mod",
            AnchorKind::Frame => "frame",
            AnchorKind::Jig => "jig",
            AnchorKind::Plate => "plate",
            AnchorKind::Survey => "survey",
            AnchorKind::Part => "part",
            AnchorKind::Evidence => "evidence",
            AnchorKind::Claim => "claim",
            AnchorKind::Permission => "permit",
        };
        let mut id = format!("{kind}-");
        for c in self.name.chars() {
            if c.is_ascii_alphanumeric() || c == '-' {
                id.push(c);
            } else {
                write!(id, "_{:x}_", u32::from(c)).expect("a text takes every line");
            }
        }
        id
    }
}

/// The anchors of a document, and the words that link to them.
///
/// Invariant: an anchor is placed once, where it is met first; a word links only to an anchor that was placed.
#[derive(Debug, Default)]
pub(crate) struct Anchors {
    /// The words that may link, each with where to.
    words: BTreeMap<String, Anchor>,
    /// The anchors that a document placed when it was written before.
    reached: BTreeSet<String>,
    placed: BTreeSet<String>,
}

impl Anchors {
    /// Words and what each means. A word that means several things links to none of them.
    pub(crate) fn of(names: impl IntoIterator<Item = Anchor>) -> Anchors {
        let mut words: BTreeMap<String, Option<Anchor>> = BTreeMap::new();
        for anchor in names {
            let known = words.entry(anchor.name.clone()).or_insert_with(|| Some(anchor.clone()));
            if known.as_ref().is_some_and(|known| known.kind != anchor.kind) {
                *known = None;
            }
        }
        let words = words.into_iter().filter_map(|(word, anchor)| Some((word, anchor?))).collect();
        Anchors { words, ..Anchors::default() }
    }
    /// The same for writing the document again, in which words link to what was placed.
    pub(crate) fn again(self) -> Anchors {
        Anchors { words: self.words, reached: self.placed, placed: BTreeSet::new() }
    }
    /// The id to place for an anchor; `None` if it was placed before.
    pub(crate) fn place(&mut self, anchor: &Anchor) -> Option<String> {
        let id = anchor.id();
        self.placed.insert(id.clone()).then_some(id)
    }
    /// Where a word links to.
    pub(super) fn link(&self, word: &str) -> Option<String> {
        self.words.get(word).map(Anchor::id).filter(|id| self.reached.contains(id))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn anchor(kind: AnchorKind, name: &str) -> Anchor {
        Anchor { kind, name: name.to_owned() }
    }

    #[test]
    fn ids_of_different_names_differ() {
        let ids = ["A/1", "A_1", "A1", "A 1", "A_2f_1"].map(|name| anchor(AnchorKind::Part, name).id());
        let unique: BTreeSet<&String> = ids.iter().collect();
        assert_eq!(unique.len(), ids.len(), "{ids:?}");
    }

    #[test]
    fn a_word_links_to_what_is_placed_and_means_one_thing() {
        let names = [(AnchorKind::Part, "27-1"), (AnchorKind::Frame, "F1"), (AnchorKind::Part, "F1")];
        let mut anchors = Anchors::of(names.map(|(kind, name)| anchor(kind, name)));
        assert_eq!(anchors.place(&anchor(AnchorKind::Part, "27-1")).as_deref(), Some("part-27-1"));
        assert_eq!(anchors.place(&anchor(AnchorKind::Part, "27-1")), None, "it is placed once");
        let anchors = anchors.again();
        assert_eq!(anchors.link("27-1").as_deref(), Some("part-27-1"));
        assert_eq!(anchors.link("F1"), None);
    }
}
