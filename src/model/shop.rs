//! What is on the shop floor, and what was allowed and decided there.

use super::Model;
use crate::codes::Code;
use crate::finding::{Place, RecordRef};
use crate::ids::{AirframeId, BuildStateId, FrameId, JigId, ModId, PartId, PlateId, PositionId};
use crate::quantity::{Day, Length, SerialSet, Window};
use crate::schema::{Axes, Face, Form, Hand, ToolKind};

/// A jig.
#[derive(Clone, Debug)]
pub struct Jig {
    /// Its record.
    pub record: RecordRef,
    /// The frame that is built on it.
    pub frame: FrameId,
    /// Its stations in walking order.
    pub stations: Vec<String>,
    /// The build state that it is set for, where the shop says.
    pub set_for: Option<SetFor>,
    /// The coefficient of linear expansion of its plates, per kelvin.
    pub expansion: Option<f64>,
    /// The plates on it.
    pub mounted: Vec<MountedPlate>,
}

/// A plate on a jig.
#[derive(Clone, Debug)]
pub struct MountedPlate {
    /// Where it is written.
    pub place: Place,
    /// The mark on it.
    pub mark: String,
    /// The station (an index).
    pub station: usize,
    /// What it was made to.
    pub made_to: Option<PlateId>,
    /// When it was made.
    pub made: Option<Window>,
    /// When it was last reworked.
    pub reworked: Option<Window>,
}

/// A survey of a mounted plate.
#[derive(Clone, Debug)]
pub struct Survey {
    /// Its record.
    pub record: RecordRef,
    /// Its name.
    pub id: String,
    /// The jig.
    pub jig: JigId,
    /// The mounted plate (an index).
    pub mounted: usize,
    /// When it was measured.
    pub date: Window,
    /// With what.
    pub instrument: String,
    /// Who measured, where that is recorded.
    pub measured_by: Option<String>,
    /// The uncertainty of one coordinate (expanded, k = 2).
    pub uncertainty: Length,
    /// The uncertainty of a diameter (expanded, k = 2).
    pub diameter_uncertainty: Length,
    /// Degrees Celsius.
    pub temperature: Option<f64>,
    /// The face from which it was measured, where that is known.
    pub face: Option<Face>,
    /// What the axes are.
    pub axes: Axes,
    /// The holes: name, place, diameter.
    pub holes: Vec<MeasuredHole>,
}

/// A measured hole.
#[derive(Clone, Debug)]
pub struct MeasuredHole {
    /// Where it is written: in the record, or in its CSV file.
    pub place: Place,
    /// Which hole it is, where that is known.
    pub name: Option<String>,
    /// Where it was found.
    pub at: [Length; 3],
    /// The diameter found.
    pub diameter: Option<Length>,
    /// How far it is out of square over its depth.
    pub out_of_square: Option<Length>,
}

/// Parts made or reclaimed.
#[derive(Clone, Debug)]
pub struct MadePart {
    /// Its record.
    pub record: RecordRef,
    /// The part.
    pub part: PartId,
    /// The issue (an index into the drawing's issues), where it is known.
    pub issue: Option<usize>,
    /// How many.
    pub quantity: u32,
    /// The hand marked on it.
    pub hand: Option<Hand>,
    /// The marks.
    pub marks: Option<String>,
    /// How far the work has come (an index into the stages of the configuration).
    pub stage: Option<usize>,
    /// The stages that were done, as they are written.
    pub work: Vec<StageDone>,
    /// The airframe that it is meant for.
    pub made_for: Option<MeantFor>,
    /// When it was made.
    pub made: Option<Window>,
    /// The batch of its material.
    pub material_batch: Option<String>,
    /// The certificate of its material.
    pub certificate: Option<String>,
    /// The heat-treatment batch.
    pub batch: Option<String>,
    /// What it was formed on.
    pub formed_on: Vec<FormedOn>,
    /// References of the concessions and permits that it was made under; each is that of some deviation.
    pub under: Vec<String>,
    /// Where it came from, if it was reclaimed.
    pub reclaimed: Option<Reclaimed>,
}

/// A stage of work that was done.
#[derive(Clone, Debug)]
pub struct StageDone {
    /// Where it is written.
    pub place: Place,
    /// The stage (an index into the stages of the configuration).
    pub stage: usize,
    /// Who did it.
    pub by: Option<String>,
    /// When.
    pub date: Option<Window>,
    /// Who inspected it.
    pub inspected_by: Option<String>,
    /// When it was inspected.
    pub inspected: Option<Window>,
}

/// What a part was formed on.
#[derive(Clone, Debug)]
pub struct FormedOn {
    /// Where it is written.
    pub place: Place,
    /// The plate or tool.
    pub on: FormingPlace,
    /// When.
    pub date: Window,
}

/// A plate or a tool that parts are formed on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FormingPlace {
    /// A plate on a jig (an index of the jig's list).
    Plate(JigId, usize),
    /// A forming tool (an index of the model's).
    Tool(usize),
}

/// Where a reclaimed part came from.
#[derive(Clone, Debug)]
pub struct Reclaimed {
    /// The serial of the airframe; one of a serial block.
    pub serial: String,
    /// Its dossier, if there is one.
    pub airframe: Option<AirframeId>,
    /// The position at which it was fitted.
    pub position: Option<PositionId>,
    /// The day to which the airframe's state is taken.
    pub taken: Option<Day>,
}

/// A concession or a deviation permit.
#[derive(Clone, Debug)]
pub struct Deviation {
    /// Its record.
    pub record: RecordRef,
    /// Whether it is a permit (before it is made).
    pub permit: bool,
    /// Its reference.
    pub reference: String,
    /// The part.
    pub part: PartId,
    /// The position; `None`: wherever the part is fitted.
    pub position: Option<PositionId>,
    /// What deviates.
    pub deviation: String,
    /// Who allowed it.
    pub allowed_by: String,
    /// When.
    pub date: Window,
    /// How many.
    pub quantity: Option<u32>,
    /// For which serials; `None`: not limited.
    pub scope: Option<SerialSet>,
    /// Until when.
    pub expires: Option<Window>,
}

impl Deviation {
    /// Whether it touches a part at a position of an airframe.
    #[must_use]
    pub fn touches(&self, part: PartId, position: Option<PositionId>, serial: &crate::quantity::Serial) -> bool {
        self.part == part
            && self.scope.as_ref().is_none_or(|scope| scope.contains(serial))
            && (self.position.is_none() || position.is_none() || self.position == position)
    }
}

/// A finding that the workshop looked at and accepts.
#[derive(Clone, Debug)]
pub struct Accepted {
    /// Its record.
    pub record: RecordRef,
    /// Which kind of finding.
    pub code: Code,
    /// The check code of what the finding rests on.
    pub facts: String,
    /// Who looked at it.
    pub by: String,
    /// When.
    pub date: Window,
    /// Why it is accepted.
    pub because: String,
}

/// A tool that a part is formed, cut or drilled on.
#[derive(Clone, Debug)]
pub struct FormingTool {
    /// Its record.
    pub record: RecordRef,
    /// The mark on it.
    pub mark: String,
    /// What it is.
    pub kind: ToolKind,
    /// The parts that it was made to; none: not known.
    pub made_to: Vec<PartId>,
    /// The issue (an index into the issues of the parts' drawing), where it is known.
    pub issue: Option<usize>,
    /// The build state that it is kept for.
    pub set_for: Option<(AirframeId, BuildStateId)>,
}

/// The airframe that parts were made for, or that a jig is set for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum MeantFor {
    /// One of the model.
    Airframe(AirframeId),
    /// One that is not in the model: the serial as it is written.
    Lost(String),
}

impl MeantFor {
    /// Whether it is another airframe than this one.
    #[must_use]
    pub fn is_another(&self, than: AirframeId) -> bool {
        *self != MeantFor::Airframe(than)
    }
    /// The serial.
    #[must_use]
    pub fn serial<'a>(&'a self, model: &'a Model) -> &'a str {
        match self {
            MeantFor::Airframe(airframe) => model.airframes.name(*airframe),
            MeantFor::Lost(serial) => serial,
        }
    }
}

/// What a jig is set for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SetFor {
    /// The airframe.
    pub airframe: MeantFor,
    /// Its build state; `None` if that is not in the model.
    pub state: Option<BuildStateId>,
}

impl Jig {
    /// The build state that it is set for, if it is for one and that is in the model.
    #[must_use]
    pub fn build_state(&self) -> Option<(AirframeId, BuildStateId)> {
        match self.set_for.as_ref()? {
            SetFor { airframe: MeantFor::Airframe(airframe), state } => Some((*airframe, (*state)?)),
            SetFor { airframe: MeantFor::Lost(_), .. } => None,
        }
    }
}

/// A decision of the workshop.
#[derive(Clone, Debug)]
pub struct Decision {
    /// Its record.
    pub record: RecordRef,
    /// Its number in the book.
    pub number: u32,
    /// The airframe.
    pub airframe: AirframeId,
    /// When it was taken.
    pub date: Day,
    /// Who took it.
    pub by: String,
    /// What was decided.
    pub decides: Decided,
    /// The build state that it is about, where it names one.
    pub state: Option<BuildStateId>,
    /// Why.
    pub because: String,
}

/// An entry of the decision book as it is written, whether or not the decision could be taken in.
#[derive(Clone, Debug)]
pub struct BookEntry {
    /// Its record.
    pub record: RecordRef,
    /// Its number in the book.
    pub number: u32,
    /// Its seal: a check sum of what it says and, through what it follows, of all that stands before it in the book.
    pub seal: String,
}

/// What a decision decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decided {
    /// The workshop builds to this build state.
    BuildTo(BuildStateId),
    /// The modification is taken to be embodied, by any form or by the named one.
    Embodied(ModId, Option<Form>),
    /// The modification is taken not to be embodied.
    NotEmbodied(ModId),
    /// This candidate (an index; `None`: nothing) is taken to be fitted at the position.
    Fits(PositionId, Option<usize>),
    /// The decision of this number no longer stands.
    Withdraw(u32),
}
