//! The type, its serials, drawings, parts and assemblies, as they are written.

use super::Condition;
use serde::Deserialize;

/// The aircraft type.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Type {
    /// What the type is called.
    pub name: String,
    /// Who designed it.
    #[serde(default)]
    pub maker: Option<String>,
    /// The part number of the whole airframe: the top of the structure.
    pub airframe: String,
    /// Where stations are measured from.
    #[serde(default)]
    pub datum: Option<String>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// A block of serials.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SerialBlock {
    /// A range of serials (`"HB101..HB160"`).
    pub serials: String,
    /// Which factory built them.
    pub factory: String,
    /// The model or mark, where the type has several.
    #[serde(default)]
    pub model: Option<String>,
    /// The place on the factory's line.
    #[serde(default)]
    pub line: Option<Line>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// Line numbers of a block.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Line {
    /// Line order is serial order; the first serial has this line number.
    From(u32),
    /// Line order is not serial order: the serials and ranges in the order in which they left the line, the first of
    /// them with this line number.
    Order(u32, Vec<String>),
}

/// A sheet of the drawing register.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Drawing {
    /// The drawing number.
    pub number: String,
    /// The sheet, where there are several.
    #[serde(default)]
    pub sheet: Option<String>,
    /// What it shows.
    pub title: String,
    /// Its issues, oldest first.
    pub issues: Vec<Issue>,
    /// Which issues the workshop holds; left out: not recorded.
    #[serde(default)]
    pub held: Option<Vec<String>>,
}

/// An issue of a drawing.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Issue {
    /// The issue letter or number.
    pub issue: String,
    /// When it was issued.
    pub date: String,
    /// The modification that raised it.
    #[serde(default)]
    pub raised_by: Option<String>,
    /// Whether parts to this issue are interchangeable with parts to the issue before.
    #[serde(default)]
    pub interchangeable: Option<bool>,
}

/// A part number.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Part {
    /// The part number.
    pub number: String,
    /// What it is.
    pub description: String,
    /// Port or starboard, where it has a hand.
    #[serde(default)]
    pub hand: Option<Hand>,
    /// The part of which it is the opposite hand; its own hand follows.
    #[serde(default)]
    pub opposite_of: Option<String>,
    /// The drawing.
    #[serde(default)]
    pub drawing: Option<String>,
    /// The sheet of the drawing.
    #[serde(default)]
    pub sheet: Option<String>,
    /// The material specification.
    #[serde(default)]
    pub material: Option<String>,
    /// The temper or condition.
    #[serde(default)]
    pub temper: Option<String>,
    /// The thickness or gauge.
    #[serde(default)]
    pub thickness: Option<String>,
    /// Made, bought or a standard part.
    pub source: Source,
    /// The mass with its unit (`"0.42kg"`, `"1.2lb"`).
    #[serde(default)]
    pub mass: Option<String>,
    /// The kinds of forming tool that it is made on.
    #[serde(default)]
    pub tools: Vec<ToolKind>,
    /// Its bends and flanges, where it is bent from sheet.
    #[serde(default)]
    pub flat: Option<Flat>,
    /// The coefficient of linear expansion of its metal (`"23.0e-6/K"`).
    #[serde(default)]
    pub expansion: Option<String>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// What a forming tool is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, serde::Serialize)]
pub enum ToolKind {
    /// A block that a part is formed over.
    FormBlock,
    /// A template of the flat pattern, for cutting blanks.
    FlatPattern,
    /// A template for drilling.
    DrillTemplate,
}

/// The bends and flanges of a part that is bent from sheet of one thickness: the part's own.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Flat {
    /// The alloy and temper in which it is bent, named as published tables name it (`"2024-O"`).
    #[serde(default)]
    pub bent_in: Option<String>,
    /// The legs of its section from one free edge to the other, each measured to the mold lines of its bends.
    pub legs: Vec<String>,
    /// The bends between the legs: one fewer than legs.
    pub bends: Vec<Bend>,
    /// What is left for trimming at each of the two free edges.
    #[serde(default)]
    pub trim: Option<String>,
    /// Flanges that follow a curve.
    #[serde(default)]
    pub flanges: Vec<CurvedFlange>,
}

/// A bend.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bend {
    /// How far the sheet is bent from flat (`"90deg"`); over 0 and under 180 degrees.
    pub angle: String,
    /// The inside radius.
    pub radius: String,
}

/// A flange that follows a curve; it may turn from one curve into another along its length.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CurvedFlange {
    /// What it is called.
    pub name: String,
    /// Its width on the flat, from the bend line to the free edge, without the trim allowance.
    pub width: String,
    /// How far it is turned from flat; left out: 90 degrees.
    #[serde(default)]
    pub angle: Option<String>,
    /// Its runs, in order along its length.
    pub runs: Vec<Run>,
}

/// A run of a flange along which its curve stays the same.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Run {
    /// How long it is along the bend line.
    pub length: String,
    /// How the bend line runs.
    pub curve: Curve,
}

/// How the bend line of a flange runs, seen on the flat.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Curve {
    /// Straight.
    Straight,
    /// Hollow: the blank's edge lies inside the bend line, so that the flange is stretched. The radius of the bend line.
    Stretch(String),
    /// Bulging: the blank's edge lies outside the bend line, so that the flange is shrunk. The radius of the bend line.
    Shrink(String),
}

/// Which side a part is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, serde::Serialize)]
pub enum Hand {
    /// The left side, looking forward.
    Port,
    /// The right side, looking forward.
    Starboard,
}

/// Where a part comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Deserialize, serde::Serialize)]
pub enum Source {
    /// Made in the workshop.
    Made,
    /// Bought from somebody who makes it.
    Bought,
    /// A standard part (a rivet, a bolt).
    Standard,
}

/// The positions of a part that is an assembly.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Assembly {
    /// The part number of the assembly.
    pub part: String,
    /// Its positions.
    pub positions: Vec<Position>,
}

/// A position: a find number of an assembly, and what may be fitted there.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Position {
    /// The find number.
    pub find: String,
    /// What the position is called.
    #[serde(default)]
    pub name: Option<String>,
    /// How many are fitted (1 when left out).
    #[serde(default)]
    pub quantity: Option<u32>,
    /// The station.
    #[serde(default)]
    pub station: Option<String>,
    /// What may be fitted.
    pub candidates: Vec<Candidate>,
    /// When nothing is fitted.
    #[serde(default)]
    pub nothing_when: Option<Condition>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// A part that may be fitted at a position.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Candidate {
    /// The part number.
    pub part: String,
    /// When it is fitted; left out: always.
    #[serde(default)]
    pub when: Option<Condition>,
    /// How many, where this variant is fitted in another quantity than the position says.
    #[serde(default)]
    pub quantity: Option<u32>,
}
