//! The records as people write them: plain shapes for serde, every value still text.
//!
//! A file of a dossier is a RON list of these records. Nothing here is checked beyond its shape; the checks, and the
//! typed values, come in the `model` room. Each dossier has a file of its own in `raw/`.

mod airframes;
mod frames;
mod girth;
mod modifications;
mod plates;
mod shop;
mod structure;

pub use airframes::*;
pub use frames::*;
pub use girth::{Girth, GirthPosition, Joining, Lean, Level, Offset, Ordinates, PathPoint, Plane, Sides};
pub use modifications::*;
pub use plates::*;
pub use shop::*;
pub use structure::*;

use serde::Deserialize;

/// One record of a dossier file.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Record {
    /// The aircraft type.
    Type(Type),
    /// A block of serials.
    SerialBlock(SerialBlock),
    /// A sheet of the drawing register.
    Drawing(Drawing),
    /// A part number.
    Part(Part),
    /// The positions of a part that is an assembly.
    Assembly(Assembly),
    /// A modification.
    Modification(Modification),
    /// A group of modifications of which one (at most, or exactly) is embodied.
    OneOf(OneOf),
    /// A frame.
    Frame(Frame),
    /// A joint of the skin that runs fore and aft.
    SkinJoint(SkinJoint),
    /// A jig-plate definition.
    Plate(Plate),
    /// An airframe.
    Airframe(Airframe),
    /// An item of an airframe's evidence register.
    Evidence(Evidence),
    /// A claim about an airframe.
    Claim(Claim),
    /// A named assumption about an airframe.
    Assumption(Assumption),
    /// A named build state of an airframe.
    BuildState(BuildState),
    /// A jig on the shop floor.
    Jig(Jig),
    /// A survey of a mounted plate's holes.
    Survey(Survey),
    /// Parts made, or reclaimed from another airframe.
    MadePart(MadePart),
    /// A concession (for what was made).
    Concession(Deviation),
    /// A deviation permit (before it is made).
    DeviationPermit(Deviation),
    /// A tool that a part is formed, cut or drilled on.
    FormingTool(FormingTool),
    /// A decision of the workshop.
    Decision(Decision),
}

/// The names of all record kinds, as they are written.
pub const RECORD_KINDS: &[&str] = &[
    "Type",
    "SerialBlock",
    "Drawing",
    "Part",
    "Assembly",
    "Modification",
    "OneOf",
    "Frame",
    "SkinJoint",
    "Plate",
    "Airframe",
    "Evidence",
    "Claim",
    "Assumption",
    "BuildState",
    "Jig",
    "Survey",
    "MadePart",
    "Concession",
    "DeviationPermit",
    "FormingTool",
    "Decision",
];

impl Record {
    /// The serial of the airframe whose dossier it belongs to; `None` if it is of the type or of the shop.
    #[must_use]
    pub fn airframe(&self) -> Option<&str> {
        match self {
            Record::Airframe(raw) => Some(&raw.serial),
            Record::Evidence(raw) => Some(&raw.airframe),
            Record::Claim(raw) => Some(&raw.airframe),
            Record::Assumption(raw) => Some(&raw.airframe),
            Record::BuildState(raw) => Some(&raw.airframe),
            Record::Decision(raw) => Some(&raw.airframe),
            Record::Type(_)
            | Record::SerialBlock(_)
            | Record::Drawing(_)
            | Record::Part(_)
            | Record::Assembly(_)
            | Record::Modification(_)
            | Record::OneOf(_)
            | Record::Frame(_)
            | Record::SkinJoint(_)
            | Record::Plate(_)
            | Record::Jig(_)
            | Record::Survey(_)
            | Record::MadePart(_)
            | Record::Concession(_)
            | Record::DeviationPermit(_)
            | Record::FormingTool(_) => None,
        }
    }
    /// The name of its kind, as it is written.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Record::Type(_) => "Type",
            Record::SerialBlock(_) => "SerialBlock",
            Record::Drawing(_) => "Drawing",
            Record::Part(_) => "Part",
            Record::Assembly(_) => "Assembly",
            Record::Modification(_) => "Modification",
            Record::OneOf(_) => "OneOf",
            Record::Frame(_) => "Frame",
            Record::SkinJoint(_) => "SkinJoint",
            Record::Plate(_) => "Plate",
            Record::Airframe(_) => "Airframe",
            Record::Evidence(_) => "Evidence",
            Record::Claim(_) => "Claim",
            Record::Assumption(_) => "Assumption",
            Record::BuildState(_) => "BuildState",
            Record::Jig(_) => "Jig",
            Record::Survey(_) => "Survey",
            Record::MadePart(_) => "MadePart",
            Record::Concession(_) => "Concession",
            Record::DeviationPermit(_) => "DeviationPermit",
            Record::FormingTool(_) => "FormingTool",
            Record::Decision(_) => "Decision",
        }
    }
}
