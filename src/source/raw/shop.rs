//! Jigs, surveys, parts made, tools, permissions and decisions, as they are written.

use super::{Hand, PostArguments, ToolKind};
use crate::finding::Place;
use serde::Deserialize;

/// A jig on the shop floor.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Jig {
    /// What the jig is called.
    pub name: String,
    /// The frame that is built on it.
    pub frame: String,
    /// Its stations, in the order in which a person walks round it.
    pub stations: Vec<String>,
    /// The build state that it is set for.
    #[serde(default)]
    pub set_for: Option<SetFor>,
    /// The coefficient of linear expansion of its plates' metal (`"11.5e-6/K"`).
    #[serde(default)]
    pub expansion: Option<String>,
    /// The plates mounted on it.
    #[serde(default)]
    pub mounted: Vec<MountedPlate>,
}

/// The build state that a jig is set for.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SetFor {
    /// The airframe's serial.
    pub airframe: String,
    /// The named build state.
    pub build_state: String,
}

/// A plate on a jig.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MountedPlate {
    /// The mark on the plate itself.
    pub mark: String,
    /// The station that it is mounted on.
    pub station: String,
    /// The plate definition that it was made to; left out: not known.
    #[serde(default)]
    pub made_to: Option<String>,
    /// When it was made.
    #[serde(default)]
    pub made: Option<String>,
    /// When it was last reworked.
    #[serde(default)]
    pub reworked: Option<String>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// A survey of a mounted plate's holes.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Survey {
    /// Its name.
    pub id: String,
    /// The jig.
    pub jig: String,
    /// The mark of the plate.
    pub mark: String,
    /// When it was measured.
    pub date: String,
    /// With what.
    pub instrument: String,
    /// The instrument's uncertainty for one coordinate (expanded, k = 2).
    pub uncertainty: String,
    /// The uncertainty of a hole's diameter (expanded, k = 2); left out: that of a coordinate.
    #[serde(default)]
    pub diameter_uncertainty: Option<String>,
    /// The temperature at which it was measured (`"18.5C"`).
    #[serde(default)]
    pub temperature: Option<String>,
    /// The face of the plate from which it was measured; left out: not known, and then hands are not told.
    #[serde(default)]
    pub face: Option<Face>,
    /// What the axes are; left out: the instrument's own.
    #[serde(default)]
    pub axes: Axes,
    /// The unit of the holes' figures that are written without one (`"mm"`).
    #[serde(default)]
    pub unit: Option<String>,
    /// The measured holes.
    #[serde(default)]
    pub holes: Vec<MeasuredHole>,
    /// A CSV file below the project folder with the measured holes instead (`"surveys/V3.csv"`). Its first line names
    /// the columns: `x` and `y`, and where they were measured `z`, `diameter` and `id`, in any order; `#` begins a
    /// remark.
    #[serde(default)]
    pub holes_from: Option<String>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// A face of a plate.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, serde::Serialize)]
pub enum Face {
    /// The one with the marks on it, as the definitions are drawn.
    Marked,
    /// The other one.
    Back,
}

/// The axes of a survey.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize, serde::Serialize)]
pub enum Axes {
    /// The instrument's own: the plate may lie anywhere. Deviations are taken on the plate's datum holes.
    #[default]
    Instrument,
    /// The jig's datum axes: the instrument was set on the jig's datums, and deviations are taken on these axes.
    Jig,
}

/// A measured hole.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeasuredHole {
    /// Its name, where it is known which hole it is.
    #[serde(default)]
    pub hole: Option<String>,
    /// Where it was found.
    pub x: String,
    /// Where it was found.
    pub y: String,
    /// Out of the plane.
    #[serde(default)]
    pub z: Option<String>,
    /// The diameter found.
    #[serde(default)]
    pub diameter: Option<String>,
    /// How far it is out of square over its depth: with the diameter that gives the mating size.
    #[serde(default)]
    pub out_of_square: Option<String>,
    /// Where its values stand, by field, if they were read from a CSV file.
    #[serde(skip)]
    pub cells: Vec<(&'static str, Place)>,
}

impl MeasuredHole {
    /// Where a value of this hole is written; `item` is the hole's own place in the record.
    #[must_use]
    pub fn place(&self, field: &'static str, item: &Place) -> Place {
        let cell = self.cells.iter().find(|(name, _)| *name == field).or(self.cells.first());
        cell.map_or_else(|| item.field(field), |(_, place)| place.clone())
    }
}

/// Parts made, or reclaimed from another airframe.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MadePart {
    /// The part number.
    pub part: String,
    /// The drawing issue that it was made to.
    #[serde(default)]
    pub issue: Option<String>,
    /// How many.
    pub quantity: u32,
    /// The hand marked on it.
    #[serde(default)]
    pub hand: Option<Hand>,
    /// The marks on it.
    #[serde(default)]
    pub marks: Option<String>,
    /// How far the work has come: one of the stages in `configs/stages.ron`.
    #[serde(default)]
    pub stage: Option<String>,
    /// The serial of the airframe that it is meant for; left out: for whichever it fits.
    #[serde(default)]
    pub made_for: Option<String>,
    /// When it was made.
    #[serde(default)]
    pub made: Option<String>,
    /// The heat-treatment batch that it went through.
    #[serde(default)]
    pub batch: Option<String>,
    /// References of the concessions and deviation permits that it was made under.
    #[serde(default)]
    pub under: Vec<String>,
    /// The serial of the airframe that it came from, where it was reclaimed.
    #[serde(default)]
    pub reclaimed_from: Option<String>,
    /// The position on that airframe at which it was fitted.
    #[serde(default)]
    pub taken_from: Option<String>,
    /// The day to which that airframe's state is taken; left out: the last day that its dossier knows of.
    #[serde(default)]
    pub taken: Option<String>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// A concession or a deviation permit.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Deviation {
    /// Its reference.
    pub reference: String,
    /// The part that it is for.
    pub part: String,
    /// The position that it is for; left out: wherever the part is fitted.
    #[serde(default)]
    pub position: Option<String>,
    /// What deviates.
    pub deviation: String,
    /// Who allowed it.
    pub allowed_by: String,
    /// When.
    pub date: String,
    /// How many; left out: no limit.
    #[serde(default)]
    pub quantity: Option<u32>,
    /// The serials that it is for; left out: the scope is not limited.
    #[serde(default)]
    pub scope: Option<Vec<String>>,
    /// Until when.
    #[serde(default)]
    pub expires: Option<String>,
}

/// A tool that a part is formed, cut or drilled on; made to a part and a drawing issue.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FormingTool {
    /// The mark on the tool itself.
    pub mark: String,
    /// What it is.
    pub kind: ToolKind,
    /// The parts that it was made to (a template turned over serves both hands); left out: not known.
    #[serde(default)]
    pub made_to: Vec<String>,
    /// The drawing issue that it was made to.
    #[serde(default)]
    pub issue: Option<String>,
    /// The build state that it is kept for; left out: it is judged only when somebody asks.
    #[serde(default)]
    pub set_for: Option<SetFor>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// A decision of the workshop, an entry in its decision book.
///
/// The book is only ever added to: decisions are numbered from 1 in the order in which they were taken, and one that no
/// longer stands is withdrawn by a later one. An entry may name the seal of the one before it, which `modstate decisions`
/// shows: then nothing before it can be changed unnoticed.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Decision {
    /// Its number in the book.
    pub number: u32,
    /// The airframe's serial.
    pub airframe: String,
    /// When it was taken: one day.
    pub date: String,
    /// Who took it.
    pub by: String,
    /// What was decided.
    pub decides: Decided,
    /// The build state that it is about; left out: the one that the workshop builds to.
    #[serde(default)]
    pub state: Option<String>,
    /// Why.
    pub because: String,
    /// The seal of the decision before this one in the book, of whatever airframe.
    #[serde(default)]
    pub follows: Option<String>,
}

/// What a decision decides.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Decided {
    /// The workshop builds to this build state of the airframe.
    BuildTo(String),
    /// The modification is taken to be embodied, by any form or by the named one.
    Embodied(PostArguments),
    /// The modification is taken not to be embodied.
    NotEmbodied(String),
    /// The part is taken to be the one fitted at the position: `Fits("60-2200/10", "60-2205")`.
    Fits(String, String),
    /// Nothing is taken to be fitted at the position.
    FitsNothing(String),
    /// An earlier decision, by its number, no longer stands.
    Withdraw(u32),
}
