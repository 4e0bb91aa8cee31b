//! Bills of parts as tables, CSV, workbooks and JSON.

mod basis;
mod columns;
mod csv;
mod json;
mod rows;
mod table;
mod words;
mod workbook;

pub use basis::{bill_remarks, bill_trouble_words, differing_positions};
pub use csv::bill_csv;
pub use json::bill_json;
pub use table::bill_page;
pub(super) use words::{amount, of_issues};
pub use workbook::{Beside, bill_workbook};

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
