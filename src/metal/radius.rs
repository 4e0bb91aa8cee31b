//! Published minimum bend radii.

use crate::quantity::{BendRadii, Length};

/// What is published for an alloy and temper at a thickness.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Published {
    /// The low end of the range, as a multiple of the thickness.
    pub low: f64,
    /// The high end.
    pub high: f64,
    /// The thickness of the column that was read, in inches: the next one that is not thinner.
    pub column: f64,
    /// Whether the label of the row was detached in the copy that was read.
    pub detached: bool,
}

/// The published range of minimum radii for a bend; `None` where the table has no row for the material, or no column:
/// nothing is published here for sheet thinner than the first or thicker than the last one.
///
/// A thickness between two columns is read in the thicker one, where the figures are never smaller: that is our reading,
/// the table prints no rule for it.
///
/// Source: AC 43.13-1B, table 4-6, as in `configs/bend-radii.ron`, unless the shop has its own.
#[must_use]
pub fn published_radius(table: &BendRadii, material: &str, thickness: &Length) -> Option<Published> {
    let row = table.rows.iter().find(|row| row.material == material)?;
    let first = table.thickness.first()?;
    let column = table.thickness.iter().position(|column| thickness.picometres <= column.picometres)?;
    let (low, high) = *row.radius.get(column)?;
    let published = Published { low, high, column: table.thickness[column].inches(), detached: row.detached };
    (thickness.picometres >= first.picometres).then_some(published)
}
