//! Rivets of splices, and joints of the skin beside them.

use super::Condition;
use crate::finding::{Place, RecordRef};
use crate::quantity::Length;
use crate::schema::{Reduced, RivetKind, RivetNumber};

/// Rivets of a splice that are alike.
///
/// Invariant: at least one row; at least one rivet, where the number is given.
#[derive(Clone, Debug, PartialEq)]
pub struct Rivets {
    /// Where it is written.
    pub place: Place,
    /// What they are in, where the splice has several groups.
    pub of: Option<String>,
    /// The diameter of the rivet.
    pub diameter: Length,
    /// What rivet it is.
    pub kind: RivetKind,
    /// How many rows stand across the lap.
    pub rows: u32,
    /// How many there are: in a lap, in all of it; where the parts of a joint bridge it, on one side.
    pub number: Option<RivetNumber>,
    /// From rivet to rivet in a row.
    pub pitch: Option<Length>,
    /// From row to row.
    pub row_spacing: Option<Length>,
    /// From the centre of a rivet to the nearest edge.
    pub edge: Option<Length>,
    /// How wide the sheet is that they join.
    pub across: Option<Length>,
    /// The sheet, as a published table names it.
    pub sheet: Option<String>,
    /// Where a published table asks for fewer: what the member is.
    pub reduced: Option<Reduced>,
}

impl Rivets {
    /// How many there are in all rows.
    #[must_use]
    pub fn in_all(&self) -> Option<u32> {
        self.number.map(|number| match number {
            RivetNumber::PerRow(count) => count.saturating_mul(self.rows),
            RivetNumber::InAll(count) => count,
        })
    }
}

/// A joint of the skin that runs fore and aft.
#[derive(Clone, Debug)]
pub struct SkinJoint {
    /// Its record.
    pub record: RecordRef,
    /// What it is called.
    pub name: String,
    /// Its clock angle in degrees, as written.
    pub text: String,
    /// Its clock angle in degrees, from 0 to less than 360.
    pub clock_deg: f64,
    /// The stations of its two ends, the smaller first.
    pub stations: [Length; 2],
    /// When it is there.
    pub when: Condition,
}
