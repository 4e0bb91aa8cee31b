//! Tables of the shop, and limits of the program.
//!
//! Those that come with the program are read in `lower`, as those of a project are.

use super::Length;
use crate::finding::RecordRef;
use indexmap::IndexMap;
use serde::Deserialize;
use std::ops::Deref;

/// The tables of the shop, and the limits of the program.
///
/// A project may have its own table of a kind: it replaces the whole table that comes with the program, never some of its
/// rows. Where it could not be read, nothing stands in for it.
///
/// By default nothing is known: [`Config::built_in`] gives what comes with the program.
///
/// Invariant: every value in them has been read exactly.
#[derive(Clone, Debug, Default)]
pub struct Config {
    /// Limits of the program.
    pub settings: Settings,
    /// Standard wire gauges by name (`18`, `7/0`).
    pub swg: ShopTable<IndexMap<String, Length>>,
    /// Diameters of position tolerance zones by class name.
    pub tolerances: ShopTable<IndexMap<String, Length>>,
    /// The stages of work on a part, in order.
    pub stages: ShopTable<Stages>,
    /// What is heat treated in the shop.
    pub heat: ShopTable<HeatTreatment>,
    /// Published minimum bend radii.
    pub radii: ShopTable<BendRadii>,
    /// Published numbers of rivets.
    pub rivets: ShopTable<RivetTables>,
    /// The least spacings of rivets.
    pub spacing: ShopTable<RivetSpacing>,
    /// From where on the figures of a survey are asked about.
    pub surveys: ShopTable<SurveyLimits>,
}

/// A table of the shop.
#[derive(Clone, Debug, Default)]
pub enum ShopTable<T> {
    /// It is known.
    Known(Sourced<T>),
    /// The project has its own, and that was not read.
    #[default]
    NotRead,
}

/// A table, and where it comes from. It can be used as what it holds.
#[derive(Clone, Debug, Default)]
pub struct Sourced<T> {
    /// Where its figures come from, to be printed with what uses them.
    pub source: String,
    /// The project's record of it; `None` if it came with the program.
    pub record: Option<RecordRef>,
    /// What it holds.
    pub holds: T,
}

impl<T> ShopTable<T> {
    /// The table; `None` if the project has its own and that was not read.
    pub fn known(&self) -> Option<&Sourced<T>> {
        match self {
            ShopTable::Known(table) => Some(table),
            ShopTable::NotRead => None,
        }
    }
    fn forget_record(&mut self) {
        if let ShopTable::Known(table) = self {
            table.record = None;
        }
    }
}

impl<T> Deref for Sourced<T> {
    type Target = T;
    fn deref(&self) -> &T {
        &self.holds
    }
}

/// The stages of work on a part.
#[derive(Clone, Debug)]
pub struct Stages {
    /// Their names, in order.
    pub names: Vec<String>,
    /// Those that a part taken from another airframe does not go through (indices).
    pub only_new: Vec<usize>,
    /// The stage from which on a part is heat treated (an index).
    pub treated: usize,
    /// The stage from which on a part is ready to fit (an index).
    pub ready: usize,
}

impl Stages {
    /// The stage (an index) that comes after one; `None` after the last.
    #[must_use]
    pub fn next(&self, stage: usize, reclaimed: bool) -> Option<usize> {
        (stage + 1..self.names.len()).find(|next| !reclaimed || !self.only_new.contains(next))
    }
}

/// What is heat treated in the shop.
#[derive(Clone, Debug)]
pub struct HeatTreatment {
    /// Material specifications.
    pub materials: Vec<String>,
    /// The thickest sheet of each band, from thin to thick.
    pub bands: Vec<Length>,
}

impl HeatTreatment {
    /// The band (an index) of a thickness: one past the last for what is thicker than all.
    #[must_use]
    pub fn band(&self, thickness: &Length) -> usize {
        self.bands.iter().position(|last| thickness.picometres <= last.picometres).unwrap_or(self.bands.len())
    }
}

/// Minimum bend radii, as multiples of the thickness.
#[derive(Clone, Debug)]
pub struct BendRadii {
    /// What a reader should know of all of them, beside where they come from.
    pub note: Option<String>,
    /// The thickness of each column, rising.
    pub thickness: Vec<Length>,
    /// The rows, each with a cell for each column.
    pub rows: Vec<BendRow>,
}

/// A row of the minimum bend radii.
#[derive(Clone, Debug)]
pub struct BendRow {
    /// The alloy and temper (`2024-O`).
    pub material: String,
    /// Whether the row's label was detached in the copy that was read.
    pub detached: bool,
    /// The ends of each printed range.
    pub radius: Vec<(f64, f64)>,
}

/// Numbers of rivets for splices, AD with protruding heads.
#[derive(Clone, Debug)]
pub struct RivetTables {
    /// The thickness of each column, rising; of the thinner of the sheets that are joined.
    pub thickness: Vec<Length>,
    /// The tables.
    pub tables: Vec<RivetTable>,
}

/// A table of numbers of rivets.
#[derive(Clone, Debug)]
pub struct RivetTable {
    /// What it is called (`table 4-10`).
    pub name: String,
    /// The alloys and tempers that it is for.
    pub sheets: Vec<String>,
    /// Whether what it is for is from memory.
    pub from_memory: bool,
    /// A row for each diameter.
    pub rows: Vec<RivetRow>,
}

/// A row of a table of numbers of rivets.
#[derive(Clone, Debug)]
pub struct RivetRow {
    /// The diameter of the rivet.
    pub diameter: Length,
    /// Rivets for each inch of width; a cell for each column, `None` where nothing is printed.
    pub per_inch: Vec<Option<f64>>,
}

/// The least spacings of the rivets of a splice.
#[derive(Clone, Copy, Debug)]
pub struct RivetSpacing {
    /// The least edge distance, in diameters of the rivet.
    pub edge: f64,
    /// The least pitch in a row, in diameters of the rivet.
    pub pitch: f64,
    /// The least distance from row to row, as a share of the pitch.
    pub rows: f64,
}

/// Limits that stop a slip of the pen from being taken at its word.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Settings {
    /// The largest number of serials in one block.
    pub serials_in_block: u32,
    /// Joints at one station whose clock angles differ by no more than this, in degrees, are called in line.
    pub in_line_degrees: f64,
}

/// From where on the figures of a survey are asked about.
#[derive(Clone, Copy, Debug, Default)]
pub struct SurveyLimits {
    /// How far a hole, a member or a plate may be found off before its figures are asked about whatever else fits, in
    /// millimetres.
    pub far_off_mm: f64,
    /// How far out of its plane a hole of a plate may be found, beyond the instrument's uncertainty, before its height is
    /// asked about, in millimetres.
    pub out_of_plane_mm: f64,
    /// How far from 20 degrees Celsius the metal may have been where nobody noted it, in kelvin.
    pub warmth_not_noted_k: f64,
    /// The coefficient of expansion of a jig for which none is given, per kelvin.
    pub widest_expansion: f64,
    /// How far a hole may lie off, beyond its zone and the instrument's uncertainty, and still be taken for a hole of a
    /// plate that is drilled badly, in millimetres.
    pub loose_mm: f64,
    /// From which odds on errors are named.
    pub odds: Odds,
}

/// From which odds on an error of a member or a plate is named.
#[derive(Clone, Copy, Debug, Default)]
pub struct Odds {
    /// To 1; from here on it counts as found.
    pub found: u32,
    /// To 1; from here on it counts as possible.
    pub possible: u32,
}

impl Odds {
    /// How much worse (in minus twice the log evidence) the best explanation without an error must be before it counts as
    /// found.
    #[must_use]
    pub fn decisive(self) -> f64 {
        2.0 * f64::from(self.found).ln()
    }
    /// How much worse the explanation by scatter alone must be before an error is even a suspect. Of many holes, rows and
    /// members some look a little odd by chance.
    #[must_use]
    pub fn worth_naming(self) -> f64 {
        2.0 * f64::from(self.possible).ln()
    }
}

impl Config {
    /// The same, as tables that no record of a project gives.
    pub(crate) fn forget_records(&mut self) {
        self.swg.forget_record();
        self.tolerances.forget_record();
        self.stages.forget_record();
        self.heat.forget_record();
        self.radii.forget_record();
        self.rivets.forget_record();
        self.spacing.forget_record();
        self.surveys.forget_record();
    }
}
