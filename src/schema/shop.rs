//! Jigs, surveys, parts made, tools, permissions and decisions, as they are written.

use super::values::{
    Date, Day, Expansion, Facts, Figure, File, FindingCode, Length, Name, Number, Of, PermitName, PositionName,
    PostArguments, Seal, Serials, Stage, Temperature, Text, Unit,
};
use super::{Airframe, BuildState, Frame, Hand, Modification, Part, Plate, ToolKind};
use crate::finding::Place;
use crate::schema::shapes::shape;

shape! {
    /// A jig on the shop floor.
    pub struct Jig {
        /// What the jig is called.
        pub name: Name,
        /// The frame that is built on it.
        pub frame: Of<Frame>,
        /// Its stations, in the order in which a person walks round it.
        pub stations: Vec<Name>,
        /// The build state that it is set for.
        pub set_for: Option<SetFor>,
        /// The coefficient of linear expansion of its plates' metal (`"11.5e-6/K"`).
        pub expansion: Option<Expansion>,
        /// The plates mounted on it.
        #[serde(default)]
        pub mounted: Vec<MountedPlate>,
    }
}

shape! {
    /// The build state that a jig is set for.
    pub struct SetFor {
        /// The airframe's serial.
        pub airframe: Of<Airframe>,
        /// The named build state.
        pub build_state: Of<BuildState>,
    }
}

shape! {
    /// A plate on a jig.
    pub struct MountedPlate {
        /// The mark on the plate itself.
        pub mark: Name,
        /// The station that it is mounted on.
        pub station: Name,
        /// The plate drawing that it was made to (default: not known).
        pub made_to: Option<Of<Plate>>,
        /// When it was made.
        pub made: Option<Date>,
        /// When it was last reworked.
        pub reworked: Option<Date>,
        /// Anything a reader should know.
        pub note: Option<Text>,
    }
}

shape! {
    /// A survey of a mounted plate's holes.
    pub struct Survey {
        /// Its name.
        pub id: Name,
        /// The jig.
        pub jig: Of<Jig>,
        /// The mark of the plate.
        pub mark: Name,
        /// When it was measured.
        pub date: Date,
        /// What it was measured with.
        pub instrument: Text,
        /// Who measured.
        pub measured_by: Option<Text>,
        /// The instrument's uncertainty for one coordinate (expanded, k = 2).
        pub uncertainty: Length,
        /// The uncertainty of a hole's diameter (expanded, k = 2) (default: that of a coordinate).
        pub diameter_uncertainty: Option<Length>,
        /// The temperature at which it was measured (`"18.5C"`).
        pub temperature: Option<Temperature>,
        /// The face of the plate from which it was measured (default: not known, and then the hand is not known).
        pub face: Option<Face>,
        /// What the axes are (default: the instrument's own).
        #[serde(default)]
        pub axes: Axes,
        /// The unit of the holes' figures that are written without one (`"mm"`).
        pub unit: Option<Unit>,
        /// The measured holes.
        #[serde(default)]
        pub holes: Vec<MeasuredHole>,
        /// A CSV file below the project folder with the measured holes instead (`"surveys/V3.csv"`). Its first line names
        /// the columns: `x` and `y`, and where they were measured `z`, `diameter`, `out_of_square` and `id`, in any order;
        /// `#` begins a remark.
        pub holes_from: Option<File>,
        /// Anything a reader should know.
        pub note: Option<Text>,
    }
}

shape! {
    /// A face of a plate.
    #[derive(Copy, Eq)]
    pub enum Face {
        /// The one with the marks on it, as the plate drawings show it.
        Marked,
        /// The other one.
        Back,
    }
}

shape! {
    /// The axes of a survey.
    #[derive(Copy, Default, Eq)]
    pub enum Axes {
        /// The instrument's own: the plate may lie anywhere. Deviations are taken on the plate's datum holes.
        Instrument = default,
        /// The jig's datum axes: the instrument was set on the jig's datums, and deviations are taken on these axes.
        Jig,
    }
}

shape! {
    /// A measured hole.
    pub struct MeasuredHole {
        /// Its name, where it is known which hole it is.
        pub hole: Option<Name>,
        /// Where it was found.
        pub x: Figure,
        /// Where it was found.
        pub y: Figure,
        /// Out of the plane.
        pub z: Option<Figure>,
        /// The diameter found.
        pub diameter: Option<Figure>,
        /// How far it is out of square over its depth: with the diameter that gives the mating size.
        pub out_of_square: Option<Figure>,
        ;
        /// Where its values stand, by field, if they were read from a CSV file.
        pub cells: Vec<(&'static str, Place)>,
    }
}

impl MeasuredHole {
    /// Where a value of this hole is written; `item` is the hole's own place in the record.
    #[must_use]
    pub fn place(&self, field: &'static str, item: &Place) -> Place {
        let cell = self.cells.iter().find(|(name, _)| *name == field).or(self.cells.first());
        cell.map_or_else(|| item.field(field), |(_, place)| place.clone())
    }
}

shape! {
    /// Parts made, or reclaimed from another airframe.
    pub struct MadePart {
        /// The part number.
        pub part: Of<Part>,
        /// The drawing issue that it was made to.
        pub issue: Option<Name>,
        /// How many.
        pub quantity: Number,
        /// The hand marked on it.
        pub hand: Option<Hand>,
        /// The marks on it.
        pub marks: Option<Text>,
        /// How far the work has come (default: the furthest stage in `work`).
        pub stage: Option<Stage>,
        /// Each stage that was done: who did it and who inspected it.
        #[serde(default)]
        pub work: Vec<StageDone>,
        /// The serial of the airframe that it is meant for (default: for whichever it fits).
        pub made_for: Option<Of<Airframe>>,
        /// When it was made.
        pub made: Option<Date>,
        /// The batch, cast or sheet of the material that it was made from.
        pub material_batch: Option<Text>,
        /// The certificate of that material.
        pub certificate: Option<Text>,
        /// The heat-treatment batch that it went through.
        pub batch: Option<Text>,
        /// The jig plates and forming tools that it was formed or drilled on.
        #[serde(default)]
        pub formed_on: Vec<FormedOn>,
        /// References of the concessions and deviation permits that it was made under.
        #[serde(default)]
        pub under: Vec<PermitName>,
        /// The serial of the airframe that it came from, where it was reclaimed.
        pub reclaimed_from: Option<Of<Airframe>>,
        /// The position on that airframe at which it was fitted.
        pub taken_from: Option<PositionName>,
        /// The day to which that airframe's state is taken (default: the last day that its dossier knows of).
        pub taken: Option<Date>,
        /// Anything a reader should know.
        pub note: Option<Text>,
    }
}

shape! {
    /// A stage of work that was done on a part.
    pub struct StageDone {
        /// The stage.
        pub stage: Stage,
        /// Who did it.
        pub by: Option<Text>,
        /// When.
        pub date: Option<Date>,
        /// Who inspected it.
        pub inspected_by: Option<Text>,
        /// When it was inspected.
        pub inspected: Option<Date>,
    }
}

shape! {
    /// What a part was formed or drilled on, and when.
    pub enum FormedOn {
        /// A plate on a jig, by the mark on it: `Plate("J22", "P1", "2024-05-04")`.
        Plate(jig: Of<Jig>, mark: Name, date: Date),
        /// A forming tool, by its mark: `Tool("T1", "2024-05-03")`.
        Tool(mark: Name, date: Date),
    }
}

shape! {
    /// A concession or a deviation permit.
    pub struct Deviation {
        /// Its reference.
        pub reference: Name,
        /// The part that it is for.
        pub part: Of<Part>,
        /// The position that it is for (default: wherever the part is fitted).
        pub position: Option<PositionName>,
        /// What deviates.
        pub deviation: Text,
        /// Who allowed it.
        pub allowed_by: Text,
        /// When it was allowed.
        pub date: Date,
        /// How many (default: no limit).
        pub quantity: Option<Number>,
        /// The serials that it is for (default: the scope is not limited).
        pub scope: Option<Vec<Serials>>,
        /// Until when it may be used.
        pub expires: Option<Date>,
    }
}

shape! {
    /// A tool that a part is formed, cut or drilled on; made to a part and a drawing issue.
    pub struct FormingTool {
        /// The mark on the tool itself.
        pub mark: Name,
        /// What it is.
        pub kind: ToolKind,
        /// The parts that it was made to (a template turned over serves both hands) (default: not known).
        #[serde(default)]
        pub made_to: Vec<Of<Part>>,
        /// The drawing issue that it was made to.
        pub issue: Option<Name>,
        /// The build state that it is kept for (default: it is judged only when somebody asks).
        pub set_for: Option<SetFor>,
        /// Anything a reader should know.
        pub note: Option<Text>,
    }
}

shape! {
    /// A decision of the workshop, an entry in its decision book.
    ///
    /// The book is only ever added to: decisions are numbered from 1 in the order in which they were taken, and one that no
    /// longer stands is withdrawn by a later one. An entry may name the check code of the one before it, which `modstate decisions`
    /// shows: then nothing before it can be changed unnoticed.
    pub struct Decision {
        /// Its number in the book.
        pub number: Number,
        /// The airframe's serial.
        pub airframe: Of<Airframe>,
        /// When it was taken: one day.
        pub date: Day,
        /// Who took it.
        pub by: Text,
        /// What was decided.
        pub decides: Decided,
        /// The build state that it is about (default: the one that the workshop builds to).
        pub state: Option<Of<BuildState>>,
        /// Why it was decided so.
        pub because: Text,
        /// The check code of the decision before this one in the book, of whatever airframe.
        pub follows: Option<Seal>,
    }
}

shape! {
    /// A finding that the workshop looked at and accepts as it is.
    ///
    /// `modstate check` lists it apart, with who accepted it and why. When what it rests on changes, its check code does too,
    /// and it is back among the others. Nothing that it says of the dossiers, and no exit code, changes.
    pub struct Accepted {
        /// The check code of what the finding rests on.
        pub facts: Facts,
        /// Which kind of finding it is.
        pub finding: FindingCode,
        /// Who looked at it.
        pub by: Text,
        /// When.
        pub date: Day,
        /// Why it is accepted.
        pub because: Text,
    }
}

shape! {
    /// What a decision decides.
    pub enum Decided {
        /// The workshop builds to this build state of the airframe.
        BuildTo(state: Of<BuildState>),
        /// The modification is taken to be embodied, by any form or by the named one.
        Embodied(modification: PostArguments),
        /// The modification is taken not to be embodied.
        NotEmbodied(modification: Of<Modification>),
        /// The part is taken to be the one fitted at the position: `Fits("60-2200/10", "60-2205")`.
        Fits(position: PositionName, part: Of<Part>),
        /// Nothing is taken to be fitted at the position.
        FitsNothing(position: PositionName),
        /// An earlier decision, by its number, no longer stands.
        Withdraw(number: Number),
    }
}
