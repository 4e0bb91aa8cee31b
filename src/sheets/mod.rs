//! Taking in sheets: what people have in spreadsheets, as records that can be written into new dossier files.
//!
//! A sheet is read into cells, its columns are found by their headings, and every cell says what it says or is set
//! aside, with its row, by a finding: nothing that a spreadsheet may have changed is guessed. A row whose record the
//! dossiers already have is passed over, so that a sheet may be taken in again after it was mended.

mod cells;
mod form;
mod gathered;
mod kinds;
mod records;
mod table;
mod take;

pub use kinds::IntakeKind;
pub(crate) use kinds::{OF_HOLE, PLATE_NO, READING};
pub use take::{Fate, GivenSheet, Intake, SheetRow, take};

use serde::Deserialize;

/// A mapping file: how a sheet's columns are to be understood where its headings do not say.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Mapping {
    /// Headings as they stand in the sheet, each with the column it means; with `""` it is left out.
    pub columns: Vec<(String, String)>,
    /// Columns that the sheet lacks, each with the text that every row has in it.
    pub constants: Vec<(String, String)>,
    /// Columns of lengths and masses, each with its unit.
    pub units: Vec<(String, String)>,
    /// The row of the headings as the spreadsheet numbers it; left out: the first that names every column that is needed, else
    /// the first that is not empty.
    pub header_row: Option<u32>,
    /// Whether blanks round the text of a cell are taken away; otherwise the row is set aside.
    pub trim_blanks: bool,
}

impl Mapping {
    /// Reads a mapping file for sheets of a kind.
    ///
    /// # Errors
    /// One sentence: what is wrong, and where.
    pub fn read(text: &str, kind: IntakeKind) -> Result<Mapping, String> {
        let mapping: Mapping = ron::from_str(text).map_err(|error| format!("the mapping cannot be read: {error}"))?;
        let meant = mapping.columns.iter().map(|(_, name)| name).filter(|name| !name.is_empty());
        let named = mapping.constants.iter().chain(&mapping.units).map(|(name, _)| name);
        let known = |name: &str| kind.fields().iter().any(|field| field.name == name);
        match meant.chain(named).find(|name| !known(name)) {
            None => Ok(mapping),
            Some(name) => {
                let all: Vec<&str> = kind.fields().iter().map(|field| field.name).collect();
                let all = all.join(", ");
                Err(format!("the mapping names `{name}`, which no {} has; its columns are {all}", kind.words()))
            }
        }
    }
}
