//! Modifications and the conditions that name them, as they are written.

use super::Part;
use super::values::{
    Date, Name, Number, Of, PositionName, PostArguments, Serial, SerialArguments, Serials, Text, YesNo,
};
use crate::schema::shapes::shape;

shape! {
    /// When something holds.
    pub enum Condition {
        /// The modification is embodied, by any form or by the named one: `Post("M014")`, `Post("M014", Retrospective)`.
        Post(modification: PostArguments),
        /// The modification is not embodied: `Pre("M014")`.
        Pre(modification: Of<Modification>),
        /// The airframe's serial lies in one of the ranges: `Serials("HB101..HB120", "HB133")`.
        Serials(serials: SerialArguments),
        /// All of these.
        All(condition: Vec<Condition>),
        /// At least one of these.
        Any(condition: Vec<Condition>),
        /// Not this.
        Not(condition: Box<Condition>),
    }
}

shape! {
    /// How a modification was embodied.
    #[derive(Copy, Eq, PartialOrd, Ord, Hash)]
    pub enum Form {
        /// Built in on the production line.
        Production,
        /// Embodied afterwards.
        Retrospective,
    }
}

shape! {
    /// A modification.
    pub struct Modification {
        /// Its number: a name, in no order of time.
        pub number: Name,
        /// What it does.
        pub title: Text,
        /// Its class (for instance "B, mandatory at next overhaul").
        pub class: Option<Text>,
        /// Its leaflet.
        pub leaflet: Option<Text>,
        /// Modifications that must be embodied by the time that this one is.
        #[serde(default)]
        pub requires: Vec<Of<Modification>>,
        /// Modifications that are never embodied together with this one.
        #[serde(default)]
        pub excludes: Vec<Of<Modification>>,
        /// Modifications in whose place this one serves where they are required.
        #[serde(default)]
        pub supersedes: Vec<Of<Modification>>,
        /// The form built in on the line.
        pub production: Option<Production>,
        /// The form embodied afterwards.
        pub retrospective: Option<Retrospective>,
        /// Named parts, each embodied on its own; what a part leaves out it takes from the modification.
        #[serde(default)]
        pub parts: Vec<ModificationPart>,
        /// What the leaflet deletes and introduces.
        #[serde(default)]
        pub changes: Vec<LeafletChange>,
        /// Anything a reader should know.
        pub note: Option<Text>,
    }
}

shape! {
    /// A named part of a modification (`Part A`).
    pub struct ModificationPart {
        /// Its name (`"A"`); elsewhere it is written behind the number: `"M014/A"`.
        pub part: Name,
        /// What it does.
        pub title: Option<Text>,
        /// As for a modification; added to what the whole modification requires.
        #[serde(default)]
        pub requires: Vec<Of<Modification>>,
        /// As for a modification.
        #[serde(default)]
        pub excludes: Vec<Of<Modification>>,
        /// As for a modification.
        #[serde(default)]
        pub supersedes: Vec<Of<Modification>>,
        /// As for a modification.
        pub production: Option<Production>,
        /// As for a modification.
        pub retrospective: Option<Retrospective>,
        /// As for a modification.
        #[serde(default)]
        pub changes: Vec<LeafletChange>,
    }
}

shape! {
    /// Where production embodiment cuts in. A serial is covered if it is named by `from`, `line` or `ranges` and not
    /// excepted.
    pub struct Production {
        /// Cut-in serials: each with every later serial of its series.
        #[serde(default)]
        pub from: Vec<Serial>,
        /// Cut-in line numbers: each with every later number of that factory's line.
        #[serde(default)]
        pub line: Vec<LineCutIn>,
        /// Further serials and ranges.
        #[serde(default)]
        pub ranges: Vec<Serials>,
        /// Serials and ranges that are not covered all the same.
        #[serde(default)]
        pub except: Vec<Serials>,
    }
}

shape! {
    /// A cut-in on one factory's line.
    pub struct LineCutIn {
        /// The factory.
        pub factory: Text,
        /// The first line number that is covered.
        pub number: Number,
    }
}

shape! {
    /// Embodiment after delivery.
    pub struct Retrospective {
        /// The date of the leaflet: nobody could embody it before.
        pub leaflet_date: Date,
        /// The serials and ranges that it may be embodied on (default: all).
        pub eligible: Option<Vec<Serials>>,
        /// Serials and ranges that it may not be embodied on all the same.
        #[serde(default)]
        pub except: Vec<Serials>,
    }
}

shape! {
    /// What a leaflet deletes and introduces at a position.
    pub struct LeafletChange {
        /// For which form (default: for every form).
        pub form: Option<Form>,
        /// The position (`"60-2200/10"`) (default: wherever these parts stand).
        pub position: Option<PositionName>,
        /// Part numbers that come out.
        #[serde(default)]
        pub delete: Vec<Of<Part>>,
        /// Part numbers that go in.
        #[serde(default)]
        pub introduce: Vec<Of<Part>>,
    }
}

shape! {
    /// A group of modifications of which only one is embodied at a time.
    pub struct OneOf {
        /// What the group is called.
        pub name: Name,
        /// Its members.
        pub modifications: Vec<Of<Modification>>,
        /// From when on the rule holds; a window is closed at its end.
        pub introduced: Date,
        /// Whether exactly one must be embodied (default: at most one).
        #[serde(default)]
        pub exactly: YesNo,
    }
}
