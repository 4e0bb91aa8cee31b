//! The plain values of records: what each is called, and how it is written.

use super::{Airframe, BuildState, Drawing, Evidence, Form, Frame, Jig, Modification, Part, Plate};
use crate::schema::shapes::{AsWritten, FieldType, InText, PlainValue, Takes, What};
use serde::de::{Deserializer, Error, SeqAccess, Visitor};
use serde::{Deserialize, Serialize};
use std::marker::PhantomData;

/// Defines kinds of plain values: a marker for each, and the list of them.
macro_rules! values {
    ($($(#[doc = $doc:literal])+ $name:ident: $value:ty = [$($example:literal),+];)+) => {
        $(
            $(#[doc = $doc])+
            #[derive(Debug)]
            pub enum $name {}
            impl FieldType for $name {
                type Value = $value;
                const TAKES: Takes = Takes::one(What::Value(&PlainValue {
                    name: stringify!($name),
                    doc: &[$($doc),+],
                    examples: &[$($example),+],
                }));
            }
        )+
        /// All kinds of plain values, in the order of the reference.
        pub const VALUES: &[&PlainValue] = &[$(match $name::TAKES.what {
            What::Value(value) => value,
            _ => unreachable!(),
        }),+];
    };
}

values! {
    /// Any text, in quotes. A quote or a backslash in it has a backslash before it.
    Text: String = ["\"Depot folder\"", "\"panel, \\\"lower\\\"\""];
    /// What something is called: a text in quotes that other records name it by, letter for letter.
    Name: String = ["\"27-1454\"", "\"J14\"", "\"3 starboard lower\""];
    /// A whole number, without quotes or a unit.
    Number: u32 = ["2", "111"];
    /// A number without a unit and without quotes, whole or with a decimal point.
    Decimal: f64 = ["2", "0.75"];
    /// How many rivets for each inch, a decimal number without quotes; `None` where the table prints nothing.
    PerInch: Option<f64> = ["6.2", "None"];
    /// Yes or no.
    YesNo: bool = ["true", "false"];
    /// A day, month, quarter or year; `by` or `not before` one of them; or a window from one to another. None is guessed.
    Date: String = [
        "\"1951-03-14\"", "\"1951-03\"", "\"1951-Q2\"", "\"1951\"", "\"by 1951\"", "\"not before 1951-06\"",
        "\"1951-03..1952-06\""
    ];
    /// One whole day.
    Day: String = ["\"1951-03-14\""];
    /// A length with its unit: mm, cm, m, um, in, ft, thou or swg (a wire gauge, of the shop's own `WireGauges` or of those
    /// that come with the program). A decimal number or a fraction; it is
    /// read exactly.
    Length: String = ["\"12.7mm\"", "\"1/2in\"", "\"2 3/16in\"", "\"55thou\"", "\"18swg\""];
    /// The diameter of the round zone in which a hole's axis must lie: a length, or the name of a tolerance class
    /// (dowel, reamed, drilled, pilot, unless the shop has its own `ToleranceClasses`).
    Zone: String = ["\"0.2mm\"", "\"reamed\""];
    /// A measured length; without a unit where the survey gives one for all its holes.
    Figure: String = ["\"12.71mm\"", "\"12.71\""];
    /// A unit of length: mm, cm, m, um, in, ft or thou.
    Unit: String = ["\"mm\"", "\"in\""];
    /// An angle in degrees.
    Angle: String = ["\"122deg\"", "\"87.5deg\""];
    /// A mass with its unit.
    Mass: String = ["\"0.42kg\"", "\"1.2lb\""];
    /// A temperature in degrees Celsius.
    Temperature: String = ["\"18.5C\""];
    /// A difference of temperature in kelvin.
    Kelvin: String = ["\"10K\""];
    /// A coefficient of linear expansion, per kelvin.
    Expansion: String = ["\"11.5e-6/K\""];
    /// One serial, as on the data plate.
    Serial: String = ["\"HB127\""];
    /// One serial, or a range from one to another within one series; an end may be left open.
    Serials: String = ["\"HB127\"", "\"HB101..HB160\"", "\"HB140..\"", "\"..HB120\""];
    /// A position: the part number of its assembly and its find number, with a stroke between them.
    PositionName: String = ["\"60-2200/10\""];
    /// The reference of a concession or a deviation permit.
    PermitName: String = ["\"DP1\""];
    /// A stage of work on a part: as found, stripped and checked, blank cut, formed, heat treated, drilled, finished or
    /// inspected, unless the shop has its own `StagesOfWork`.
    Stage: String = ["\"formed\""];
    /// The path of a CSV file below the project folder.
    File: String = ["\"surveys/V3.csv\""];
    /// The path of a scan, a photograph or any other file below the project folder.
    Document: String = ["\"papers/E2-sheet-3.jpg\""];
    /// The check code of a decision, as `modstate decisions` shows it.
    Seal: String = ["\"8d1f03c2\""];
    /// The check code of what a finding rests on, as `modstate check --short` shows it.
    Facts: String = ["\"8d1f03c2\""];
    /// The code of a kind of finding.
    FindingCode: String = ["\"record-217\""];
}

/// The name of a record of a kind.
#[derive(Debug)]
pub struct Of<T>(PhantomData<T>);

macro_rules! named {
    ($($kind:ident)+) => {
        $(impl FieldType for Of<$kind> {
            type Value = String;
            const TAKES: Takes = Takes::one(What::NameOf(stringify!($kind)));
        })+
    };
}
named!(Airframe BuildState Drawing Evidence Frame Jig Modification Part Plate);

/// A value in brackets with nothing but a list of others in it.
macro_rules! tuple {
    ($name:ident: $($value:ident: $takes:ty),+) => {
        impl FieldType for $name {
            type Value = $name;
            const TAKES: Takes = Takes::one(What::Each(&[$((stringify!($value), <$takes as FieldType>::TAKES)),+]));
        }
    };
}

/// The arguments of `Post`.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(into = "Vec<String>")]
pub struct PostArguments {
    /// The modification.
    pub modification: String,
    /// The form, where only one of them is meant.
    pub by: Option<Form>,
}
tuple!(PostArguments: modification: Of<Modification>, form: Option<Form>);

impl From<PostArguments> for Vec<String> {
    fn from(PostArguments { modification, by }: PostArguments) -> Self {
        [modification].into_iter().chain(by.map(|form| format!("{form:?}"))).collect()
    }
}

/// The arguments of `Serials`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SerialArguments(pub Vec<String>);
tuple!(SerialArguments: serials: Serials, more: Option<Serials>);

/// A point of a polyline: breadth (to starboard), height (up) and, where the corner there is rounded, its radius.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[serde(expecting = "2 values, or 3 with a radius")]
pub struct PathPoint(pub String, pub String, #[serde(default)] pub Option<String>);
tuple!(PathPoint: breadth: Length, height: Length, radius: Option<Length>);

/// A gauge and its thickness.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[serde(expecting = "2 values")]
pub struct GaugeSize(pub String, pub String);
tuple!(GaugeSize: gauge: Name, thickness: Length);

/// The two ends of a range of radii, as multiples of the thickness.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[serde(expecting = "2 values")]
pub struct RadiusRange(pub f64, pub f64);
tuple!(RadiusRange: low: Decimal, high: Decimal);

impl InText for PostArguments {
    fn written(&self) -> Option<AsWritten> {
        Some(in_brackets([self.modification.written(), self.by.written()]))
    }
}
impl InText for SerialArguments {
    fn written(&self) -> Option<AsWritten> {
        Some(in_brackets(self.0.iter().map(String::written)))
    }
}
impl InText for PathPoint {
    fn written(&self) -> Option<AsWritten> {
        Some(in_brackets([self.0.written(), self.1.written(), self.2.written()]))
    }
}

impl InText for GaugeSize {
    fn written(&self) -> Option<AsWritten> {
        Some(in_brackets([self.0.written(), self.1.written()]))
    }
}
impl InText for RadiusRange {
    fn written(&self) -> Option<AsWritten> {
        Some(in_brackets([self.0.written(), self.1.written()]))
    }
}

fn in_brackets(values: impl IntoIterator<Item = Option<AsWritten>>) -> AsWritten {
    let values: Vec<String> = values.into_iter().flatten().map(|text| text.to_string()).collect();
    AsWritten::One(format!("({})", values.join(", ")))
}

impl<'de> Deserialize<'de> for PostArguments {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct PostVisitor;
        impl<'de> Visitor<'de> for PostVisitor {
            type Value = PostArguments;
            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("a modification number and, if one form is meant, Production or Retrospective")
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut arguments: A) -> Result<PostArguments, A::Error> {
                let modification = arguments.next_element()?.ok_or_else(|| A::Error::invalid_length(0, &self))?;
                Ok(PostArguments { modification, by: arguments.next_element()? })
            }
        }
        deserializer.deserialize_tuple(2, PostVisitor)
    }
}

impl<'de> Deserialize<'de> for SerialArguments {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct SerialVisitor;
        impl<'de> Visitor<'de> for SerialVisitor {
            type Value = SerialArguments;
            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("serials or ranges of serials")
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut arguments: A) -> Result<SerialArguments, A::Error> {
                let mut ranges = Vec::new();
                while let Some(range) = arguments.next_element()? {
                    ranges.push(range);
                }
                Ok(SerialArguments(ranges))
            }
        }
        deserializer.deserialize_tuple(usize::MAX, SerialVisitor)
    }
}
