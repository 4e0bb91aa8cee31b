//! What could not be read or taken in, and what of the model it may bear on.
//!
//! Lost is not absent: the model is smaller by a lost piece, and a [`Loss`] says of what the model may therefore not be
//! trusted. Whatever the lost piece says, it bears on nothing that its [`Touches`] leave out.

use super::Model;
use crate::finding::{Place, PlaceStep, RecordRef};
use crate::ids::{AirframeId, DrawingId, FrameId, JigId, ModId, PartId, PlateId, PositionId};
use crate::quantity::{Day, Window};
use crate::source::{Mentions, may_be_slip};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// One loss of a model: its number in the order of places, from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct LossId(pub u32);

/// The losses that something rests on; empty if it rests on none.
pub type Marks = BTreeSet<LossId>;

/// Some entries of a table, or any of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hit<I: Ord> {
    /// Whether it may be any entry.
    pub any: bool,
    /// These certainly may be meant.
    pub these: BTreeSet<I>,
}

/// A piece that could not be read or taken in.
#[derive(Clone, Debug)]
pub struct Loss {
    /// Where it is written.
    pub place: Place,
    /// Where it is to be mended.
    pub mend: Place,
    /// The kind of record that it is or belongs to, where that is known.
    pub kind: Option<&'static str>,
    /// The name of that record, where that is known.
    pub name: Option<String>,
    /// Whether a whole record is lost, so that lists of its kind are short of one.
    pub whole: bool,
    /// Whether its end is missing, so that more may be gone than it shows.
    pub is_cut: bool,
    /// Whether it names an airframe as its own of which there is no record.
    pub is_astray: bool,
    /// The kinds of record that it may be; empty if that is not known.
    pub kinds: BTreeSet<&'static str>,
    /// The names that it holds.
    pub mentions: Mentions,
    /// What it may bear on.
    pub touches: Touches,
    /// The losses that it follows from, or itself: where a person would start to mend. These are what answers name.
    pub causes: Marks,
}

/// What of a model a loss may bear on.
#[derive(Clone, Debug, Default)]
pub struct Touches {
    /// The airframes whose dossier it belongs to; `None` if it is true of the type or of the shop.
    pub airframes: Option<Hit<AirframeId>>,
    /// What these modifications need, exclude, replace, and by which forms they come.
    pub mods: Hit<ModId>,
    /// What may be fitted at these positions, and when.
    pub positions: Hit<PositionId>,
    /// The positions of these assemblies are not all known.
    pub below: Hit<PartId>,
    /// These parts may be fitted where nothing is known of it.
    pub placed: Hit<PartId>,
    /// On these modifications may hang what was seen at the positions, on the frames and of the plates touched.
    pub seen: Hit<ModId>,
    /// What the records of these parts say.
    pub parts: Hit<PartId>,
    /// The issues of these drawings.
    pub drawings: Hit<DrawingId>,
    /// What the records of these frames say.
    pub frames: Hit<FrameId>,
    /// What the records of these plates say.
    pub plates: Hit<PlateId>,
    /// What locates these parts.
    pub located: Hit<PartId>,
    /// What stands on these jigs.
    pub jigs: Hit<JigId>,
    /// These surveys (indices).
    pub surveys: Hit<usize>,
    /// The shop's own tables of these kinds of record.
    pub tables: Hit<&'static str>,
}

/// Every loss of a model, in the order of places.
#[derive(Clone, Debug, Default)]
pub struct Losses(Vec<Loss>);

impl<I: Ord> Default for Hit<I> {
    fn default() -> Hit<I> {
        Hit { any: false, these: BTreeSet::new() }
    }
}

impl<I: Ord + Copy> Hit<I> {
    /// Any entry.
    #[must_use]
    pub fn any() -> Hit<I> {
        Hit { any: true, these: BTreeSet::new() }
    }
    /// Whether the entry may be meant.
    #[must_use]
    pub fn has(&self, id: I) -> bool {
        self.any || self.these.contains(&id)
    }
    /// Whether nothing is meant.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        !self.any && self.these.is_empty()
    }
    /// Adds what another means.
    pub fn add(&mut self, other: &Hit<I>) {
        self.any |= other.any;
        self.these.extend(&other.these);
    }
}

impl<I: Ord> FromIterator<I> for Hit<I> {
    fn from_iter<T: IntoIterator<Item = I>>(items: T) -> Hit<I> {
        Hit { any: false, these: items.into_iter().collect() }
    }
}

impl Loss {
    /// A loss at a place of which nothing else is known yet: it bears on nothing.
    #[must_use]
    pub fn at(place: Place) -> Loss {
        Loss {
            mend: place.clone(),
            place,
            kind: None,
            name: None,
            whole: false,
            is_cut: false,
            is_astray: false,
            kinds: BTreeSet::new(),
            mentions: Mentions::default(),
            touches: Touches::default(),
            causes: Marks::new(),
        }
    }
    /// Whether it may be, or belong to, a record of the kind.
    #[must_use]
    pub fn may_be(&self, kind: &str) -> bool {
        self.kinds.is_empty() || self.kinds.contains(kind)
    }
    /// Whether it may hold what a part's record gives in a field: not if it is the text of a part in which nothing is
    /// missing that such a record must have, and no word is like the name of the field.
    #[must_use]
    pub fn may_give(&self, field: &str) -> bool {
        let says = |wanted: &str| self.mentions.iter().any(|word| may_be_slip(word, wanted));
        let is_part = self.whole && self.kinds.len() == 1 && self.may_be("Part");
        let is_complete = || !self.is_cut && ["number", "description", "source"].iter().all(|field| says(field));
        !(is_part && is_complete() && !says(field))
    }
    /// Whether parts may be fitted by it of which the model says nothing, or whose record it is.
    fn may_place_others(&self) -> bool {
        !(self.touches.positions.is_empty() && self.touches.below.is_empty() && self.touches.parts.is_empty())
    }
    /// Whether it may be an entry of the decision book that withdraws another.
    #[must_use]
    pub fn may_withdraw(&self) -> bool {
        self.may_be("Decision") && self.mentions.iter().any(|word| may_be_slip(word, "Withdraw"))
    }
    /// Whether it may be an entry of the decision book that says which state is built to, or withdraws one: not if it
    /// names another thing that is decided, and neither of these.
    #[must_use]
    pub fn may_choose_state(&self) -> bool {
        let near =
            |wanted: &[&str]| self.mentions.iter().any(|word| wanted.iter().any(|other| may_be_slip(word, other)));
        let other = || ["Embodied", "NotEmbodied", "Fits", "FitsNothing"].iter().any(|word| self.mentions.name(word));
        self.may_be("Decision") && (near(&["BuildTo", "Withdraw"]) || !other())
    }
    /// Whether a date may be lost with it that lies after a day: it is a date, or not one field alone, and not every date
    /// that it holds can be read and lies before.
    #[must_use]
    pub fn may_date_after(&self, day: Day) -> bool {
        let date =
            |step: &PlaceStep| matches!(step, PlaceStep::Field("date" | "made" | "reworked" | "expires" | "mounted"));
        if let Place::Record(_, path) = &self.place
            && !path.is_empty()
            && !path.iter().any(date)
        {
            return false;
        }
        let mut dates = self.mentions.iter().filter(|word| is_like_a_date(word)).peekable();
        let after = |written: &str| match Window::parse(written) {
            Ok(window) => window.end.is_none_or(|end| end > day),
            // The year may be legible where the rest is not.
            Err(_) => year_of(written).and_then(|year| Window::parse(year).ok()?.end).is_none_or(|end| end > day),
        };
        if dates.peek().is_some() { dates.any(after) } else { self.is_cut }
    }
    /// Whether it is, or belongs to, the record that was read.
    #[must_use]
    pub fn is_of_record(&self, record: RecordRef) -> bool {
        matches!(&self.place, Place::Record(at, _) if *at == record)
    }
    /// Whether it is what a jig or a tool is set for.
    #[must_use]
    pub fn is_set_for(&self) -> bool {
        let path = if let Place::Record(_, path) = &self.place { path.first() } else { None };
        !self.whole && path == Some(&PlaceStep::Field("set_for"))
    }
    /// Whether it is of the shop floor, bears on an airframe and is of these kinds.
    fn is_of_floor(&self, airframe: AirframeId, kinds: &[&str]) -> bool {
        kinds.iter().any(|kind| self.may_be(kind)) && self.bears_on_floor_of(airframe)
    }
    /// Whether it may concern an airframe on the shop floor; what a jig or a tool is set for has no bearing on whether it
    /// serves.
    fn bears_on_floor_of(&self, airframe: AirframeId) -> bool {
        !self.is_set_for() && self.concerns(airframe)
    }
    /// Whether it may belong to the dossier of the airframe.
    #[must_use]
    pub fn is_of_dossier(&self, airframe: AirframeId) -> bool {
        self.touches.airframes.as_ref().map_or(self.kinds.is_empty(), |airframes| airframes.has(airframe))
    }
    /// Whether it may concern the airframe: it belongs to no dossier or may belong to its dossier.
    #[must_use]
    pub fn concerns(&self, airframe: AirframeId) -> bool {
        self.touches.airframes.as_ref().is_none_or(|airframes| airframes.has(airframe))
    }
}

/// Whether a word is written like a date, sound or not: a year, and something behind a dash or a dot.
fn is_like_a_date(word: &str) -> bool {
    let (year, rest) = word.split_once(['-', '.']).unwrap_or((word, ""));
    let digit = |c: char| c.is_ascii_digit() || "OoIl".contains(c);
    let years = if rest.contains(['-', '.']) { 3..=6 } else { 4..=6 };
    let plain = word.chars().all(|c| digit(c) || "-.".contains(c));
    plain && years.contains(&year.len()) && rest.starts_with(digit)
}

/// The year of a date that is garbled behind it.
fn year_of(word: &str) -> Option<&str> {
    let (year, _) = word.split_once(['-', '.'])?;
    year.get(..4).filter(|four| matches!(year.len(), 4 | 6) && (four.starts_with("19") || four.starts_with("20")))
}

impl Losses {
    /// The losses, sorted by place; `causes` gives for each place those of the losses that it follows from.
    #[must_use]
    pub fn new(mut losses: Vec<Loss>, causes: &BTreeMap<Place, BTreeSet<Place>>) -> Losses {
        losses.sort_by(|a, b| a.place.cmp(&b.place));
        let numbers: BTreeMap<Place, LossId> =
            losses.iter().map(|loss| loss.place.clone()).zip((1..).map(LossId)).collect();
        for loss in &mut losses {
            let places = causes.get(&loss.place).into_iter().flatten();
            loss.causes = places.filter_map(|place| numbers.get(place)).copied().collect();
        }
        Losses(losses)
    }
    /// Whether nothing was lost.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
    /// The loss.
    ///
    /// # Panics
    /// If the number is of another model.
    #[must_use]
    pub fn get(&self, id: LossId) -> &Loss {
        &self.0[id.0 as usize - 1]
    }
    /// All losses with their numbers.
    pub fn iter(&self) -> impl Iterator<Item = (LossId, &Loss)> {
        (1..).map(LossId).zip(&self.0)
    }
    /// The causes of the losses for which something holds.
    #[must_use]
    pub fn marks(&self, touches: impl Fn(&Loss) -> bool) -> Marks {
        self.0.iter().filter(|loss| touches(loss)).flat_map(|loss| &loss.causes).copied().collect()
    }
    /// Those of some marks by which, or by what follows from which, parts may be fitted of which the model says nothing.
    #[must_use]
    pub fn placing_others(&self, marks: &Marks) -> Marks {
        marks.intersection(&self.marks(Loss::may_place_others)).copied().collect()
    }
    /// The losses by which lists of these kinds of record are short or not to be trusted.
    #[must_use]
    pub fn of_kinds(&self, kinds: &[&str]) -> Marks {
        self.marks(|loss| kinds.iter().any(|kind| loss.may_be(kind)))
    }
    /// The losses by which the list of airframes is short, or may be.
    #[must_use]
    pub fn of_airframes(&self) -> Marks {
        self.marks(|loss| loss.is_astray || (loss.whole && loss.may_be("Airframe")))
    }
    /// The losses of an airframe's dossier that may be of one of these kinds.
    #[must_use]
    pub fn of_dossier(&self, airframe: AirframeId, kinds: &[&str]) -> Marks {
        self.marks(|loss| loss.is_of_dossier(airframe) && kinds.iter().any(|kind| loss.may_be(kind)))
    }
    /// The losses that may be, or belong to, the record of one named build state of an airframe.
    #[must_use]
    pub fn of_build_state(&self, airframe: AirframeId, name: &str) -> Marks {
        self.marks(|loss| {
            let called = loss.name.as_deref().is_none_or(|called| called == name);
            loss.is_of_dossier(airframe) && loss.may_be("BuildState") && called
        })
    }
    /// The whole records of one of these kinds that could not be read and may bear the name.
    #[must_use]
    pub fn may_name(&self, kinds: &[&str], name: &str) -> Marks {
        let named =
            |loss: &Loss| loss.mentions.iter().any(|word| word.eq_ignore_ascii_case(name)) || loss.mentions.name(name);
        self.marks(|loss| loss.whole && kinds.iter().any(|kind| loss.may_be(kind)) && named(loss))
    }
    /// What may be wrong with the record of a part.
    #[must_use]
    pub fn of_part(&self, part: PartId) -> Marks {
        self.marks(|loss| loss.touches.parts.has(part))
    }
    /// What was lost of a record of the shop floor that was read, and may concern an airframe.
    #[must_use]
    pub fn of_floor_record(&self, airframe: AirframeId, record: RecordRef) -> Marks {
        self.marks(|loss| loss.is_of_record(record) && loss.bears_on_floor_of(airframe))
    }
    /// The losses by which a list of the shop floor's records of these kinds is short or not to be trusted, as far as it
    /// concerns an airframe.
    #[must_use]
    pub fn of_floor_list(&self, airframe: AirframeId, kinds: &[&str]) -> Marks {
        self.marks(|loss| loss.is_of_floor(airframe, kinds))
    }
    /// The losses of the shop floor, of records of these kinds, that may concern an airframe and be about a part: they
    /// name it, or name no part that there is.
    #[must_use]
    pub fn of_floor(&self, model: &Model, airframe: AirframeId, kinds: &[&str], part: PartId) -> Marks {
        let about = |loss: &Loss| {
            let nobody = || !loss.mentions.whole().any(|word| model.parts.id(word).is_some());
            let touched = &loss.touches.parts;
            loss.mentions.name(model.parts.name(part)) || touched.has(part) || (touched.is_empty() && nobody())
        };
        self.marks(|loss| loss.is_of_floor(airframe, kinds) && about(loss))
    }
    /// What was lost of a record that was read.
    #[must_use]
    pub fn of_record(&self, record: RecordRef) -> Marks {
        self.marks(|loss| loss.is_of_record(record))
    }
    /// What may be wrong with the issues of a part's drawing.
    #[must_use]
    pub fn of_issue(&self, model: &Model, part: PartId) -> Marks {
        let drawing = model.parts[part].drawing;
        let drawn = |loss: &Loss| drawing.is_some_and(|drawing| loss.touches.drawings.has(drawing));
        self.marks(|loss| loss.touches.parts.has(part) || drawn(loss))
    }
    /// What may be wrong with a plate definition.
    #[must_use]
    pub fn of_plate(&self, plate: PlateId) -> Marks {
        self.marks(|loss| loss.touches.plates.has(plate))
    }
    /// What may be wrong with a frame's own record.
    #[must_use]
    pub fn of_frame(&self, frame: FrameId) -> Marks {
        self.marks(|loss| loss.touches.frames.has(frame))
    }
    /// What may locate a part or no longer locate it.
    #[must_use]
    pub fn of_location(&self, part: PartId) -> Marks {
        self.marks(|loss| loss.touches.located.has(part))
    }
    /// What may be wrong with what stands on a jig.
    #[must_use]
    pub fn of_jig(&self, jig: JigId) -> Marks {
        self.marks(|loss| loss.touches.jigs.has(jig))
    }
    /// What may be wrong with the shop's own table of a kind of record, so that it is not known.
    #[must_use]
    pub fn of_table(&self, kind: &'static str) -> Marks {
        self.marks(|loss| loss.touches.tables.has(kind))
    }
    /// What may be wrong with a survey (an index).
    #[must_use]
    pub fn of_survey(&self, survey: usize) -> Marks {
        self.marks(|loss| loss.touches.surveys.has(survey))
    }
}
