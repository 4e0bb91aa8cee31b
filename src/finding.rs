//! Findings: the one type for everything that is wrong or doubtful in a project folder.
//!
//! A finding is made by `source`, `model` and `check`, and worded there; it knows places by record and field
//! path, never by byte offset. `source` turns a place into a span when a finding is shown.

use serde::Serialize;

/// A file of the project, in the order in which the project lists its files (sorted by path).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct FileId(pub u32);

/// One record: the file it stands in and its place in that file's list, counted from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct RecordRef {
    /// The file.
    pub file: FileId,
    /// Which record of the file's list.
    pub index: u32,
}

/// One step down from a record to the value that is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PlaceStep {
    /// A named field. A field that the text leaves out stands for the value that should hold it.
    Field(&'static str),
    /// An item of a list or an argument of a tuple such as `Post("M014")`, counted from 0.
    Item(usize),
}

/// Where something is written.
///
/// Invariant: a place can always be shown. A path that the text does not hold falls back to the longest part of it
/// that it does, a record that does not exist to its file.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Place {
    /// A field (or, with an empty path, the head) of a record.
    Record(RecordRef, Vec<PlaceStep>),
    /// Bytes of a file that could not be read as records: from the first to before the second.
    Bytes(FileId, usize, usize),
}

impl RecordRef {
    /// The place of the record itself.
    #[must_use]
    pub fn place(self) -> Place {
        Place::Record(self, Vec::new())
    }
    /// The place of a field of the record.
    #[must_use]
    pub fn field(self, name: &'static str) -> Place {
        Place::Record(self, vec![PlaceStep::Field(name)])
    }
}

impl Place {
    /// The place of a field below this place.
    #[must_use]
    pub fn field(&self, name: &'static str) -> Place {
        self.below(PlaceStep::Field(name))
    }
    /// The place of a list item below this place.
    #[must_use]
    pub fn item(&self, index: usize) -> Place {
        self.below(PlaceStep::Item(index))
    }
    /// The file in which this place lies.
    #[must_use]
    pub fn file(&self) -> FileId {
        match self {
            Place::Record(record, _) => record.file,
            Place::Bytes(file, ..) => *file,
        }
    }
    fn below(&self, step: PlaceStep) -> Place {
        match self {
            Place::Record(record, path) => {
                let mut path = path.clone();
                path.push(step);
                Place::Record(*record, path)
            }
            Place::Bytes(..) => self.clone(),
        }
    }
}

/// How much a finding weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Stops work: an answer that leans on it would be wrong or cannot be given (exit code 1).
    Stop,
    /// Something asked for cannot be decided from what is known (exit code 3).
    Undecided,
    /// Worth a look; no answer changes (exit code 0).
    Note,
}

/// A labelled place.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Label {
    /// Where.
    pub place: Place,
    /// What is to be seen there, in a few words.
    pub text: String,
}

/// One thing that is wrong or doubtful.
///
/// Invariant: at least one label, the first being the place where a person would start to mend.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Finding {
    /// Which kind of finding; its number, severity and page in the book come from [`crate::codes`].
    pub code: crate::codes::Code,
    /// One sentence, fact first, names in backticks.
    pub message: String,
    /// The places on every side of the conflict, in whichever file they lie.
    pub labels: Vec<Label>,
    /// Why, as a chain of steps, each a sentence; may be empty.
    pub chain: Vec<String>,
    /// What to do: begins with a verb.
    pub help: String,
}

impl Finding {
    /// A finding with its first label.
    #[must_use]
    pub fn new(code: crate::codes::Code, message: impl Into<String>, place: Place, label: impl Into<String>) -> Self {
        Finding {
            code,
            message: message.into(),
            labels: vec![Label { place, text: label.into() }],
            chain: Vec::new(),
            help: String::new(),
        }
    }
    /// Adds another labelled place.
    #[must_use]
    pub fn label(mut self, place: Place, text: impl Into<String>) -> Self {
        self.labels.push(Label { place, text: text.into() });
        self
    }
    /// Adds a step of the reason.
    #[must_use]
    pub fn because(mut self, step: impl Into<String>) -> Self {
        self.chain.push(step.into());
        self
    }
    /// Says what to do.
    #[must_use]
    pub fn help(mut self, text: impl Into<String>) -> Self {
        self.help = text.into();
        self
    }
    /// The severity, as the code's entry gives it.
    #[must_use]
    pub fn severity(&self) -> Severity {
        self.code.entry().severity
    }
}
