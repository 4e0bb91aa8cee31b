//! Modifications and the conditions that name them, as they are written.

use serde::Deserialize;
use serde::de::{Deserializer, Error, SeqAccess, Visitor};

/// When something holds.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub enum Condition {
    /// The modification is embodied, by any form or by the named one: `Post("M014")`, `Post("M014", Retrospective)`.
    Post(PostArguments),
    /// The modification is not embodied: `Pre("M014")`.
    Pre(String),
    /// The airframe's serial lies in one of the ranges: `Serials("HB101..HB120", "HB133")`.
    Serials(SerialArguments),
    /// All of these.
    All(Vec<Condition>),
    /// At least one of these.
    Any(Vec<Condition>),
    /// Not this.
    Not(Box<Condition>),
}

/// The arguments of `Post`.
#[derive(Clone, Debug, PartialEq)]
pub struct PostArguments {
    /// The modification.
    pub modification: String,
    /// The form, where only one of them is meant.
    pub by: Option<Form>,
}

/// The arguments of `Serials`.
#[derive(Clone, Debug, PartialEq)]
pub struct SerialArguments(pub Vec<String>);

impl<'de> Deserialize<'de> for PostArguments {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Arguments;
        impl<'de> Visitor<'de> for Arguments {
            type Value = PostArguments;
            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("a modification number and, if one form is meant, Production or Retrospective")
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut arguments: A) -> Result<PostArguments, A::Error> {
                let modification = arguments.next_element()?.ok_or_else(|| A::Error::invalid_length(0, &self))?;
                Ok(PostArguments { modification, by: arguments.next_element()? })
            }
        }
        deserializer.deserialize_tuple(2, Arguments)
    }
}

impl<'de> Deserialize<'de> for SerialArguments {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Arguments;
        impl<'de> Visitor<'de> for Arguments {
            type Value = SerialArguments;
            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("serials or ranges of serials")
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut arguments: A) -> Result<SerialArguments, A::Error> {
                let mut ranges = Vec::new();
                while let Some(range) = arguments.next_element()? {
                    ranges.push(range);
                }
                Ok(SerialArguments(ranges))
            }
        }
        deserializer.deserialize_tuple(usize::MAX, Arguments)
    }
}

/// How a modification was embodied.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, serde::Serialize)]
pub enum Form {
    /// Built in on the production line.
    Production,
    /// Embodied afterwards.
    Retrospective,
}

/// A modification.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Modification {
    /// Its number: a name, in no order of time.
    pub number: String,
    /// What it does.
    pub title: String,
    /// Its class (for instance "B, mandatory at next overhaul").
    #[serde(default)]
    pub class: Option<String>,
    /// Its leaflet.
    #[serde(default)]
    pub leaflet: Option<String>,
    /// Modifications that must be embodied by the time that this one is.
    #[serde(default)]
    pub requires: Vec<String>,
    /// Modifications that are never embodied together with this one.
    #[serde(default)]
    pub excludes: Vec<String>,
    /// Modifications in whose place this one serves where they are required.
    #[serde(default)]
    pub supersedes: Vec<String>,
    /// The form built in on the line.
    #[serde(default)]
    pub production: Option<Production>,
    /// The form embodied afterwards.
    #[serde(default)]
    pub retrospective: Option<Retrospective>,
    /// Named parts, each embodied on its own; what a part leaves out it takes from the modification.
    #[serde(default)]
    pub parts: Vec<ModificationPart>,
    /// What the leaflet deletes and introduces.
    #[serde(default)]
    pub changes: Vec<LeafletChange>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// A named part of a modification (`Part A`).
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ModificationPart {
    /// Its name (`"A"`); elsewhere it is written behind the number: `"M014/A"`.
    pub part: String,
    /// What it does.
    #[serde(default)]
    pub title: Option<String>,
    /// As for a modification; added to what the whole modification requires.
    #[serde(default)]
    pub requires: Vec<String>,
    /// As for a modification.
    #[serde(default)]
    pub excludes: Vec<String>,
    /// As for a modification.
    #[serde(default)]
    pub supersedes: Vec<String>,
    /// As for a modification.
    #[serde(default)]
    pub production: Option<Production>,
    /// As for a modification.
    #[serde(default)]
    pub retrospective: Option<Retrospective>,
    /// As for a modification.
    #[serde(default)]
    pub changes: Vec<LeafletChange>,
}

/// Where production embodiment cuts in. A serial is covered if it is named by `from`, `line` or `ranges` and not
/// excepted.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Production {
    /// Cut-in serials: each with every later serial of its series.
    #[serde(default)]
    pub from: Vec<String>,
    /// Cut-in line numbers: each with every later number of that factory's line.
    #[serde(default)]
    pub line: Vec<LineCutIn>,
    /// Further serials and ranges.
    #[serde(default)]
    pub ranges: Vec<String>,
    /// Serials and ranges that are not covered all the same.
    #[serde(default)]
    pub except: Vec<String>,
}

/// A cut-in on one factory's line.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LineCutIn {
    /// The factory.
    pub factory: String,
    /// The first line number that is covered.
    pub number: u32,
}

/// Embodiment after delivery.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Retrospective {
    /// The date of the leaflet: nobody could embody it before.
    pub leaflet_date: String,
    /// The serials and ranges that it may be embodied on; left out: all.
    #[serde(default)]
    pub eligible: Option<Vec<String>>,
    /// Serials and ranges that it may not be embodied on all the same.
    #[serde(default)]
    pub except: Vec<String>,
}

/// What a leaflet deletes and introduces at a position.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LeafletChange {
    /// For which form; left out: for every form.
    #[serde(default)]
    pub form: Option<Form>,
    /// The position (`"60-2200/10"`); left out: wherever these parts stand.
    #[serde(default)]
    pub position: Option<String>,
    /// Part numbers that come out.
    #[serde(default)]
    pub delete: Vec<String>,
    /// Part numbers that go in.
    #[serde(default)]
    pub introduce: Vec<String>,
}

/// A group of modifications of which only one is embodied at a time.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OneOf {
    /// What the group is called.
    pub name: String,
    /// Its members.
    pub modifications: Vec<String>,
    /// From when on the rule holds.
    pub introduced: String,
    /// Whether exactly one must be embodied; left out: at most one.
    #[serde(default)]
    pub exactly: bool,
}
