//! Why a text could not be read as a value.

use crate::codes::Code;
use crate::finding::{Finding, Place};

/// Why a text could not be read as a value, worded; the reader of the value knows the text, not its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unreadable {
    /// Which kind of finding it makes.
    pub code: Code,
    /// One sentence, fact first.
    pub message: String,
    /// What is to be seen at the text, in a few words.
    pub label: &'static str,
    /// What to do.
    pub help: String,
}

impl Unreadable {
    /// Words the reason why a value cannot be read.
    pub(crate) fn new(code: Code, message: String, label: &'static str, help: impl Into<String>) -> Self {
        Unreadable { code, message, label, help: help.into() }
    }

    /// The finding, now that the place of the text is known.
    #[must_use]
    pub fn at(self, place: Place) -> Finding {
        Finding::new(self.code, self.message, place, self.label).help(self.help)
    }
}
