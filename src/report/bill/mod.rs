//! Bills of parts as tables, CSV and JSON.

mod basis;
mod csv;
mod json;
mod rows;
mod table;
mod words;

pub use basis::{bill_remarks, bill_trouble_words, differing_positions};
pub use csv::bill_csv;
pub use json::bill_json;
pub use table::bill_text;
pub(super) use words::{amount, of_issues};

/// How a bill is laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BillView {
    /// Line by line through the assemblies, with find numbers.
    Tree,
    /// Totals by part.
    Flat,
    /// Totals of parts to make: those made in the workshop.
    Make,
    /// Totals of parts to buy: bought and standard parts.
    Buy,
    /// Totals of made parts by material and thickness.
    Material,
}
