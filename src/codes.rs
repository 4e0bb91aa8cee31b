//! The table of finding codes: one entry for each kind of finding, read by `explain`, by the docs and by the tests.
//!
//! Codes are stable: a code that was ever released keeps its meaning, and a retired one is not used again.
//! The word says what it is about: `file` and `sheet` what was read, `record` a record taken by itself, `claim` what is
//! claimed of an airframe, `type` the catalogue as a whole; of the shop `shop`, `jig`, `survey`, `part`, `tool`, `permit`,
//! `drawing`, `decision`, and `table` the tables that it holds itself.

mod catalogue;
mod claims;
mod dossier;
mod plausible;
mod reading;
mod sheets;
mod shop;
mod workshop;

pub use catalogue::*;
pub use claims::*;
pub use dossier::*;
pub use plausible::*;
pub use reading::*;
pub use sheets::*;
pub use shop::*;
pub use workshop::*;

use crate::finding::Severity;

/// What the book says of one kind of finding.
#[derive(Debug)]
pub struct Entry {
    /// The stable code: a word for the subject and a number.
    pub code: &'static str,
    /// A short name, lower case.
    pub title: &'static str,
    /// How much it weighs.
    pub severity: Severity,
    /// What it means and why it matters.
    pub meaning: &'static str,
    /// What a person would have written to get it.
    pub example: &'static str,
    /// What to do.
    pub remedy: &'static str,
}

/// One kind of finding.
#[derive(Clone, Copy, Debug)]
pub struct Code(&'static Entry);

impl Code {
    /// The entry in the book.
    #[must_use]
    pub fn entry(self) -> &'static Entry {
        self.0
    }
    /// The code that a person wrote, in either case.
    #[must_use]
    pub fn find(text: &str) -> Option<Code> {
        all().find(|code| code.0.code.eq_ignore_ascii_case(text.trim()))
    }
}

impl PartialEq for Code {
    fn eq(&self, other: &Code) -> bool {
        self.0.code == other.0.code
    }
}
impl Eq for Code {}
impl PartialOrd for Code {
    fn partial_cmp(&self, other: &Code) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Code {
    fn cmp(&self, other: &Code) -> std::cmp::Ordering {
        self.0.code.cmp(other.0.code)
    }
}
impl std::fmt::Display for Code {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.0.code)
    }
}

/// Every code, in the order of the book.
pub fn all() -> impl Iterator<Item = Code> {
    [reading::ALL, sheets::ALL, dossier::ALL, claims::ALL, catalogue::ALL, shop::ALL, workshop::ALL, plausible::ALL]
        .into_iter()
        .flatten()
        .copied()
}

/// Declares codes: a constant each, and `ALL` over them.
macro_rules! codes {
    ($($name:ident = $code:literal $severity:ident $title:literal
        meaning $meaning:literal
        example $example:literal
        remedy $remedy:literal;)*) => {
        $(
            #[doc = $title]
            pub const $name: super::Code = super::Code(&super::Entry {
                code: $code,
                title: $title,
                severity: crate::finding::Severity::$severity,
                meaning: $meaning,
                example: $example,
                remedy: $remedy,
            });
        )*
        pub(super) const ALL: &[super::Code] = &[$($name),*];
    };
}
use codes;
