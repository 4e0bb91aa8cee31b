//! The records as people write them: plain shapes for serde, every value still text.
//!
//! A file of a dossier is a RON list of these records. Nothing here is checked beyond its shape; the checks, and the
//! typed values, come in `lower`. Each dossier has a file of its own. What is said here of a record and
//! of its fields is all that is said of them: `shapes` makes the rest from it.

mod airframes;
mod frames;
mod girth;
mod modifications;
mod plates;
mod shapes;
mod shop;
mod structure;
mod tables;
mod values;

pub use airframes::*;
pub use frames::*;
pub use girth::*;
pub use modifications::*;
pub use plates::*;
pub use shapes::{AsWritten, Fields, MadeOf, PlainValue, RecordKind, RecordShape, ShapeField, ShapeWord, Takes, What};
pub use shop::*;
pub use structure::*;
pub use tables::*;
pub use values::{GaugeSize, PathPoint, PostArguments, RadiusRange, SerialArguments, VALUES};

shapes::records! {
    /// The aircraft type. A project has one.
    Type(Type) by name in "type/type.ron",
    /// A block of serials: which factory built them, and where they stood on its line.
    SerialBlock(SerialBlock) by serials in "type/type.ron",
    /// A sheet of the drawing register.
    Drawing(Drawing) by number in "type/drawings.ron",
    /// A part number: what it is, and what it is made of.
    Part(Part) by number in "type/parts.ron",
    /// The positions of a part that is an assembly: what may be fitted at each, and when.
    Assembly(Assembly) by part in "type/structure.ron",
    /// A modification: which serials it could be embodied on, in which form, and what it requires.
    Modification(Modification) by number in "type/modifications.ron",
    /// A group of modifications of which one (at most, or exactly) is embodied.
    OneOf(OneOf) by name in "type/modifications.ron",
    /// A frame: its path, its splice points, and the parts that run between them.
    Frame(Frame) by name in "type/frames.ron",
    /// A joint of the skin that runs fore and aft.
    SkinJoint(SkinJoint) by name in "type/frames.ron",
    /// A plate drawing: the parts that it locates, and its holes.
    Plate(Plate) by number in "type/plates.ron",
    /// An airframe: the first record of its dossier.
    Airframe(Airframe) by serial in "airframes/HB127/airframe.ron" of serial,
    /// An item of an airframe's evidence register: a paper, a photograph, a relic.
    Evidence(Evidence) by id in "airframes/HB127/evidence.ron" of airframe,
    /// A claim about an airframe: one thing that its evidence says, on a date.
    Claim(Claim) by id in "airframes/HB127/claims.ron" of airframe,
    /// A named assumption about an airframe, for what nobody recorded.
    Assumption(Assumption) by id in "airframes/HB127/claims.ron" of airframe,
    /// A named build state of an airframe: the date that it is rebuilt to, and what is added or left out on purpose.
    BuildState(BuildState) by name in "airframes/HB127/airframe.ron" of airframe,
    /// A jig on the shop floor, with the plates mounted on it.
    Jig(Jig) by name in "shop/jigs.ron",
    /// A survey of a mounted plate's holes.
    Survey(Survey) by id in "shop/surveys.ron",
    /// Parts made, or reclaimed from another airframe.
    MadePart(MadePart) by part in "shop/rack.ron",
    /// A concession: for a part that was made and deviates.
    Concession(Deviation) by reference in "shop/permissions.ron",
    /// A deviation permit: for parts that are to be made and will deviate.
    DeviationPermit(Deviation) by reference in "shop/permissions.ron",
    /// A tool that a part is formed, cut or drilled on.
    FormingTool(FormingTool) by mark in "shop/tools.ron",
    /// A decision of the workshop, an entry in its decision book.
    Decision(Decision) by number in "shop/decisions.ron" of airframe,
    /// A finding that the workshop looked at and accepts as it is.
    Accepted(Accepted) by facts in "shop/accepted.ron",
    /// The shop's own wire gauges, in place of all those that come with the program.
    WireGauges(WireGauges) by source in "shop/tables.ron",
    /// The shop's own classes of position tolerance, in place of all those that come with the program.
    ToleranceClasses(ToleranceClasses) by source in "shop/tables.ron",
    /// The shop's own stages of work, in place of all those that come with the program.
    StagesOfWork(StagesOfWork) by source in "shop/tables.ron",
    /// The shop's own heat-treatment bands, in place of all those that come with the program.
    HeatTreatment(HeatTreatment) by source in "shop/tables.ron",
    /// The shop's own minimum bend radii, in place of all those that come with the program.
    BendRadii(BendRadii) by source in "shop/tables.ron",
    /// The shop's own numbers of rivets, in place of all those that come with the program.
    RivetTables(RivetTables) by source in "shop/tables.ron",
    /// The shop's own least spacings of rivets, in place of all those that come with the program.
    RivetSpacing(RivetSpacing) by source in "shop/tables.ron",
    /// The shop's own limits for surveys, in place of all those that come with the program.
    SurveyLimits(SurveyLimits) by source in "shop/tables.ron",
}

/// The kinds of record that are tables of the shop. A project has one of each kind at most: it replaces the whole table of
/// that kind that comes with the program, never some of its rows.
pub const TABLE_KINDS: &[&str] = &[
    "WireGauges",
    "ToleranceClasses",
    "StagesOfWork",
    "HeatTreatment",
    "BendRadii",
    "RivetTables",
    "RivetSpacing",
    "SurveyLimits",
];

/// Whether a word is a field that only records of this kind of table have.
pub(crate) fn tells_of_table(kind: &str, word: &str) -> bool {
    let has = |known: &RecordKind| match &(known.shape)().made_of {
        MadeOf::Fields(fields) => fields.iter().any(|field| field.name == word),
        MadeOf::Words(_) => false,
    };
    KINDS.iter().filter(|known| has(known)).map(|known| known.name).eq([kind])
}
