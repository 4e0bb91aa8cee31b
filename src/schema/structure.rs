//! The type, its serials, drawings, parts and assemblies, as they are written.

use super::values::{Angle, Date, Expansion, Length, Mass, Name, Number, Of, Serials, Text, YesNo};
use super::{Condition, Modification};
use crate::schema::shapes::shape;

shape! {
    /// The aircraft type.
    pub struct Type {
        /// What the type is called.
        pub name: Text,
        /// Who designed it.
        pub maker: Option<Text>,
        /// The part number of the whole airframe: the top of the structure.
        pub airframe: Of<Part>,
        /// Where stations are measured from.
        pub datum: Option<Text>,
        /// Anything a reader should know.
        pub note: Option<Text>,
    }
}

shape! {
    /// A block of serials.
    pub struct SerialBlock {
        /// A range of serials (`"HB101..HB160"`).
        pub serials: Serials,
        /// Which factory built them.
        pub factory: Text,
        /// The model or mark, where the type has several.
        pub model: Option<Text>,
        /// The place on the factory's line.
        pub line: Option<Line>,
        /// Anything a reader should know.
        pub note: Option<Text>,
    }
}

shape! {
    /// Line numbers of a block.
    pub enum Line {
        /// Line order is serial order; the first serial has this line number.
        From(first: Number),
        /// Line order is not serial order: the serials and ranges in the order in which they left the line, the first of
        /// them with this line number.
        Order(first: Number, order: Vec<Serials>),
    }
}

shape! {
    /// A sheet of the drawing register.
    pub struct Drawing {
        /// The drawing number.
        pub number: Name,
        /// The sheet, where there are several.
        pub sheet: Option<Name>,
        /// What it shows.
        pub title: Text,
        /// Its issues, oldest first.
        pub issues: Vec<Issue>,
        /// Which issues the workshop holds (default: not recorded).
        pub held: Option<Vec<Name>>,
    }
}

shape! {
    /// An issue of a drawing.
    pub struct Issue {
        /// The issue letter or number.
        pub issue: Name,
        /// When it was issued.
        pub date: Date,
        /// The modification that raised it.
        pub raised_by: Option<Of<Modification>>,
        /// Whether parts to this issue are interchangeable with parts to the issue before.
        pub interchangeable: Option<YesNo>,
    }
}

shape! {
    /// A part number.
    pub struct Part {
        /// The part number.
        pub number: Name,
        /// What it is.
        pub description: Text,
        /// Port or starboard, where it has a hand.
        pub hand: Option<Hand>,
        /// The part of which it is the opposite hand; its own hand follows.
        pub opposite_of: Option<Of<Part>>,
        /// The drawing that it is on.
        pub drawing: Option<Of<Drawing>>,
        /// The sheet of the drawing.
        pub sheet: Option<Name>,
        /// The material specification.
        pub material: Option<Text>,
        /// The temper or condition.
        pub temper: Option<Text>,
        /// The thickness or gauge.
        pub thickness: Option<Length>,
        /// The protective finish written on the drawing (`"anodised, etch primer"`).
        pub finish: Option<Text>,
        /// Made, bought or a standard part.
        pub source: Source,
        /// The mass with its unit (`"0.42kg"`, `"1.2lb"`).
        pub mass: Option<Mass>,
        /// The kinds of forming tool that it is made on.
        #[serde(default)]
        pub tools: Vec<ToolKind>,
        /// Its bends and flanges, where it is bent from sheet.
        pub flat: Option<Flat>,
        /// The coefficient of linear expansion of its metal (`"23.0e-6/K"`).
        pub expansion: Option<Expansion>,
        /// Anything a reader should know.
        pub note: Option<Text>,
    }
}

shape! {
    /// What a forming tool is.
    #[derive(Copy, Eq, PartialOrd, Ord, Hash)]
    pub enum ToolKind {
        /// A block that a part is formed over.
        FormBlock,
        /// A template of the flat pattern, for cutting blanks.
        FlatPattern,
        /// A template for drilling.
        DrillTemplate,
    }
}

shape! {
    /// The bends and flanges of a part that is bent from sheet of one thickness: the part's own.
    pub struct Flat {
        /// The alloy and temper in which it is bent, named as published tables name it (`"2024-O"`).
        pub bent_in: Option<Text>,
        /// The legs of its section from one free edge to the other, each measured to the mould lines of its bends.
        pub legs: Vec<Length>,
        /// The bends between the legs: one fewer than legs.
        pub bends: Vec<Bend>,
        /// What is left for trimming at each of the two free edges.
        pub trim: Option<Length>,
        /// Flanges that follow a curve.
        #[serde(default)]
        pub flanges: Vec<CurvedFlange>,
    }
}

shape! {
    /// A bend.
    pub struct Bend {
        /// How far the sheet is bent from flat (`"90deg"`); over 0 and under 180 degrees.
        pub angle: Angle,
        /// The inside radius.
        pub radius: Length,
    }
}

shape! {
    /// A flange that follows a curve; it may turn from one curve into another along its length.
    pub struct CurvedFlange {
        /// What it is called.
        pub name: Text,
        /// Its width on the flat, from the bend line to the free edge, without the trim allowance.
        pub width: Length,
        /// How far it is turned from flat (default: 90 degrees).
        pub angle: Option<Angle>,
        /// Its runs, in order along its length.
        pub runs: Vec<Run>,
    }
}

shape! {
    /// A run of a flange along which its curve stays the same.
    pub struct Run {
        /// How long it is along the bend line.
        pub length: Length,
        /// How the bend line runs.
        pub curve: Curve,
    }
}

shape! {
    /// How the bend line of a flange runs, seen on the flat.
    pub enum Curve {
        /// Straight.
        Straight,
        /// Hollow: the blank's edge lies inside the bend line, so that the flange is stretched. The radius of the bend line.
        Stretch(radius: Length),
        /// Bulging: the blank's edge lies outside the bend line, so that the flange is shrunk. The radius of the bend line.
        Shrink(radius: Length),
    }
}

shape! {
    /// Which side a part is for.
    #[derive(Copy, Eq)]
    pub enum Hand {
        /// The left side, looking forward.
        Port,
        /// The right side, looking forward.
        Starboard,
    }
}

shape! {
    /// Where a part comes from.
    #[derive(Copy, Eq, Hash, PartialOrd, Ord)]
    pub enum Source {
        /// Made in the workshop.
        Made,
        /// Bought from somebody who makes it.
        Bought,
        /// A standard part (a rivet, a bolt).
        Standard,
    }
}

shape! {
    /// The positions of a part that is an assembly.
    pub struct Assembly {
        /// The part number of the assembly.
        pub part: Of<Part>,
        /// Its positions.
        pub positions: Vec<Position>,
    }
}

shape! {
    /// A position: a find number of an assembly, and what may be fitted there.
    pub struct Position {
        /// The find number.
        pub find: Name,
        /// What the position is called.
        pub name: Option<Text>,
        /// How many are fitted (1 when left out).
        pub quantity: Option<Number>,
        /// The station.
        pub station: Option<Length>,
        /// What may be fitted.
        pub candidates: Vec<Candidate>,
        /// When nothing is fitted.
        pub nothing_when: Option<Condition>,
        /// Anything a reader should know.
        pub note: Option<Text>,
    }
}

shape! {
    /// A part that may be fitted at a position.
    pub struct Candidate {
        /// The part number.
        pub part: Of<Part>,
        /// When it is fitted (default: always).
        pub when: Option<Condition>,
        /// How many, where this variant is fitted in another quantity than the position says.
        pub quantity: Option<Number>,
    }
}
