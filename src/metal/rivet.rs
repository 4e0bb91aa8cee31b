//! Rivets: published numbers, spacings, and the lap that rows need.

use crate::quantity::{Length, RivetTables};

/// What is published for a rivet in a sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PublishedRivets<'t> {
    /// Rivets for each inch of width.
    pub per_inch: f64,
    /// What the table is called.
    pub table: &'t str,
    /// The thickness of the column that was read: the next one that is not thinner.
    pub column: &'t Length,
    /// Whether it is from memory that the table is for this sheet.
    pub from_memory: bool,
}

/// The published number of AD rivets with protruding heads for each inch of width; `None` where no table is for the
/// sheet, or the table prints nothing for the diameter and thickness.
///
/// A thickness between two columns is read in the thicker one, where the figures are never smaller: that is our reading,
/// the tables print no rule for it.
///
/// Source: AC 43.13-1B, tables 4-9 to 4-11, as in `configs/rivets.ron`, unless the shop has its own.
#[must_use]
pub fn published_rivets<'t>(
    tables: &'t RivetTables,
    sheet: &str,
    diameter: &Length,
    thickness: &Length,
) -> Option<PublishedRivets<'t>> {
    let table = tables.tables.iter().find(|table| table.sheets.iter().any(|name| name == sheet))?;
    let row = table.rows.iter().find(|row| row.diameter.picometres == diameter.picometres)?;
    let first = tables.thickness.first().filter(|first| thickness.picometres >= first.picometres);
    let column = tables.thickness.iter().position(|column| thickness.picometres <= column.picometres);
    let (_, column) = (first?, column?);
    let per_inch = row.per_inch[column]?;
    Some(PublishedRivets {
        per_inch,
        table: &table.name,
        column: &tables.thickness[column],
        from_memory: table.from_memory,
    })
}

/// How many rivets a splice needs: those of its whole width, in inches, and then the share of them that its kind of
/// member needs, each rounded up. Figure 4-20 of AC 43.13-1B rounds so.
///
/// ```
/// // The web of figure 4-20: 6.2 to the inch on 2 in is 12.4, 13; 60 per cent of that is 7.8, 8.
/// assert_eq!(modstate::metal::rivets_needed(6.2, 2.0, 0.6), (13, 8));
/// ```
#[must_use]
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "numbers of rivets are small and not negative"
)]
pub fn rivets_needed(per_inch: f64, width_in: f64, share: f64) -> (u32, u32) {
    // A product that is whole on paper may come out a hair above.
    let up = |number: f64| (number - 1e-9).ceil().max(0.0) as u32;
    let whole = up(per_inch * width_in);
    (whole, up(f64::from(whole) * share))
}

/// The lap that rows of rivets need: an edge distance at either side, and the spaces between the rows.
#[must_use]
pub fn lap_needed(rows: u32, row_spacing: f64, edge: f64) -> f64 {
    2.0 * edge + f64::from(rows.saturating_sub(1)) * row_spacing
}
