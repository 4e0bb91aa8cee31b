//! Words for what a survey says and for the work that follows from it.

use super::named;
use crate::ids::PlateId;
use crate::jig::found::{Correction, Examined, Identity};
use crate::jig::mend::Mend;
use crate::metrology::error_kind::ErrorKind;
use crate::metrology::point::Point3;
use crate::model::{Model, Plate};

/// The unit in which a plate definition is written: what its numbers are given in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Inches, with small lengths in thou and in millimetres behind.
    Inches,
    /// Millimetres.
    Millimetres,
}

impl Unit {
    /// The unit of a definition's holes.
    #[must_use]
    pub fn of(plate: &Plate) -> Unit {
        let inches = |text: &str| ["in", "thou", "ft"].iter().any(|unit| text.ends_with(unit));
        match plate.holes.first() {
            Some(hole) if inches(&hole.at[0].text) => Unit::Inches,
            Some(_) | None => Unit::Millimetres,
        }
    }
    /// Millimetres as a number of this unit's small lengths, thou or millimetres, with as many places as can be read.
    #[must_use]
    pub fn small(self, mm: f64) -> String {
        match self {
            Unit::Inches => unsigned_zero(format!("{:.1}", mm / 0.0254)),
            Unit::Millimetres => unsigned_zero(format!("{mm:.3}")),
        }
    }
    /// The name of the small unit.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Unit::Inches => "thou",
            Unit::Millimetres => "mm",
        }
    }
    /// The name of the unit that places are written in.
    #[must_use]
    pub fn of_places(self) -> &'static str {
        match self {
            Unit::Inches => "in",
            Unit::Millimetres => "mm",
        }
    }
    /// Millimetres as a nominal figure in the unit of places, as a person writes it: thousandths of an inch, tenths of them
    /// where they are there, or hundredths of a millimetre, thousandths where they are there.
    #[must_use]
    pub fn nominal(self, mm: f64) -> String {
        let fine = self.measured(mm);
        fine.strip_suffix('0').map_or(fine.clone(), |coarse| unsigned_zero(coarse.to_owned()))
    }
    /// Millimetres in the unit of places as they are read and reckoned: to a tenth of a thou, or a thousandth of a millimetre.
    #[must_use]
    pub fn measured(self, mm: f64) -> String {
        match self {
            Unit::Inches => unsigned_zero(format!("{:.4}", mm / 25.4)),
            Unit::Millimetres => unsigned_zero(format!("{mm:.3}")),
        }
    }
    /// A small length with its unit, in millimetres as well where they are not the unit: `55.0 thou (1.397 mm)`.
    #[must_use]
    pub fn text(self, mm: f64) -> String {
        match self {
            Unit::Inches => format!("{} thou ({} mm)", self.small(mm), unsigned_zero(format!("{mm:.3}"))),
            Unit::Millimetres => format!("{} mm", self.small(mm)),
        }
    }
    /// The unit of places in words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Unit::Inches => "inches",
            Unit::Millimetres => "millimetres",
        }
    }
    /// Millimetres in the unit of places as a line is struck: to a thou, or a hundredth of a millimetre.
    #[must_use]
    pub fn struck(self, mm: f64) -> String {
        match self {
            Unit::Inches => unsigned_zero(format!("{:.3}", mm / 25.4)),
            Unit::Millimetres => unsigned_zero(format!("{mm:.2}")),
        }
    }
    /// A small length in the unit of small lengths with its name, alone: `2.0 thou`.
    #[must_use]
    pub fn small_text(self, mm: f64) -> String {
        format!("{} {}", self.small(mm), self.name())
    }
    /// Millimetres as a number of the small unit with one more place, cut and not rounded up: an uncertainty that must not be
    /// exceeded.
    #[must_use]
    pub fn finer(self, mm: f64) -> String {
        match self {
            Unit::Inches => format!("{:.2}", (mm / 0.0254 * 1e2 + 1e-6).floor() / 1e2),
            Unit::Millimetres => format!("{:.4}", (mm * 1e4 + 1e-6).floor() / 1e4),
        }
    }
    /// A step in the plane with its length: `x -55.0, y +0.2 thou (1.397 mm)`.
    #[must_use]
    pub fn step(self, step: Point3) -> String {
        let signed = |mm| match self.small(mm) {
            text if text.starts_with('-') || text.trim_matches(['0', '.']).is_empty() => text,
            text => format!("+{text}"),
        };
        let length = match self {
            Unit::Inches => format!(" ({:.3} mm)", step.norm()),
            Unit::Millimetres => String::new(),
        };
        format!("x {}, y {} {}{length}", signed(step.x), signed(step.y), self.name())
    }
    /// A place on a plate: `x 12.500, y -3.250 in`.
    #[must_use]
    pub fn place(self, at: Point3) -> String {
        let (x, y, unit) = match self {
            Unit::Inches => (at.x / 25.4, at.y / 25.4, "in"),
            Unit::Millimetres => (at.x, at.y, "mm"),
        };
        format!("x {}, y {} {unit}", unsigned_zero(format!("{x:.3}")), unsigned_zero(format!("{y:.3}")))
    }
}

/// A number text without the sign of a zero.
fn unsigned_zero(text: String) -> String {
    match text.strip_prefix('-') {
        Some(rest) if rest.trim_matches(['0', '.']).is_empty() => rest.to_owned(),
        Some(_) | None => text,
    }
}

/// Holes of a definition (indices) by name, in its order.
#[must_use]
pub fn hole_names(plate: &Plate, holes: impl IntoIterator<Item = usize>) -> String {
    named(holes.into_iter().map(|hole| plate.holes[hole].name.as_str()), "and")
}

/// Definitions by number, joined by `and` or `or`.
#[must_use]
pub fn plate_names(model: &Model, plates: &[PlateId], join: &str) -> String {
    named(plates.iter().map(|plate| model.plates.name(*plate)), join)
}

/// A turn in degrees: `0.052 deg anticlockwise`.
#[must_use]
pub fn turn_words(radians: f64) -> String {
    let way = if radians < 0.0 { "clockwise" } else { "anticlockwise" };
    format!("{:.3} deg {way}", radians.to_degrees().abs())
}

/// A step to be made: begins with its lengths.
fn step_words(step: &Correction, unit: Unit) -> String {
    let turn =
        step.turn.map(|turn| format!(", after turning it {} about {}", turn_words(turn), unit.place(step.about)));
    format!("{}{}", unit.step(step.shift), turn.unwrap_or_default())
}

/// How far what is moved moves at the two places by which it is set; nothing where the step says it by itself.
fn amounts_words(mend: &Mend, plate: &Plate, unit: Unit) -> String {
    let amounts = mend.amounts(plate);
    if mend.step().is_none_or(|step| step.turn.is_none()) || amounts.is_empty() {
        return String::new();
    }
    let one = |(hole, by): &(usize, Point3)| format!("{} {}", plate.holes[*hole].name, unit.step(*by));
    format!("; that is, move or shim at {}", amounts.iter().map(one).collect::<Vec<_>>().join(", at "))
}

/// What to do: begins with a verb.
#[must_use]
pub fn mend_words(mend: &Mend, plate: &Plate) -> String {
    let unit = Unit::of(plate);
    match mend {
        Mend::ResetJig(step) => format!(
            "set the instrument on the jig's datums again and survey its plates, which lie off together; only where they \
             still do, set the base of the jig against its datums: {}",
            step_words(step, unit)
        ),
        Mend::ResetDatum(step) => {
            let amounts = amounts_words(mend, plate, unit);
            format!("set the whole plate against its datums again: {}{amounts}", step_words(step, unit))
        }
        Mend::MoveMember(member, step) => {
            let amounts = amounts_words(mend, plate, unit);
            format!("move {} by {}{amounts}", plate.members[*member].name, step_words(step, unit))
        }
        Mend::Redrill(holes) => format!("plug and redrill {}", hole_names(plate, holes.iter().copied())),
        Mend::CheckReading(holes) => format!(
            "check these figures first: {}, off by more than the plate is long; x and y exchanged, a sign, a unit or a \
             decimal point would do that",
            hole_names(plate, holes.iter().copied())
        ),
        Mend::MeasureAgain(holes) => format!(
            "measure {} again, before anything is moved: this survey does not decide what is wrong there",
            hole_names(plate, holes.iter().copied())
        ),
    }
}

/// What an error concerns.
#[must_use]
pub fn error_words(kind: ErrorKind, examined: &Examined, plate: &Plate) -> String {
    match kind {
        ErrorKind::Datum if examined.set_up.as_ref().is_some_and(|set_up| set_up.jig_off().is_some()) => {
            "the jig as a whole against its datums".to_owned()
        }
        ErrorKind::Datum => "the plate as a whole against its datums".to_owned(),
        ErrorKind::Member(member) => format!("{} as a whole", plate.members[examined.members.0[member]].name),
        ErrorKind::Pitch(row) => format!("pitch error along {}", plate.members[examined.members.1[row]].name),
        ErrorKind::Hole(hole) => format!("hole {} alone", plate.holes[examined.order[hole]].name),
    }
}

/// What the holes are, as the end of a sentence that begins "the holes are those of".
#[must_use]
pub fn identity_words(identity: &Identity, model: &Model) -> String {
    let one = |plate: &PlateId| plate_names(model, &[*plate], "or");
    match identity {
        Identity::One(plate) => one(plate),
        Identity::OtherHand(plate) => format!("{} with its hand swapped, or turned back to front", one(plate)),
        Identity::Several(plates) => format!("{} alike", plate_names(model, plates, "and of")),
        Identity::Mixed(plates) => format!("{} mixed", plate_names(model, plates, "and of")),
        Identity::NoPlate(Some(nearest)) => format!("no plate drawing; {} comes nearest", one(nearest)),
        Identity::NoPlate(None) => "no plate drawing".to_owned(),
        Identity::TooFew => "too few to tell".to_owned(),
    }
}
