//! The first pass: every name, before anything that refers to one is read.

use super::ByKind;
use super::near::NameTree;
use super::say::{Findings, StrangeName, listed, unknown};
use crate::codes::{self, Code};
use crate::finding::{Finding, Place, RecordRef};
use crate::ids::{Id, ModId, PartId};
use crate::quantity::order::natural;
use crate::schema;
use crate::source::{Lost, LostText, SLIP};
use indexmap::IndexMap;
use std::cell::OnceCell;
use std::collections::BTreeSet;

/// Names of one kind with where each is written, in natural order.
///
/// Invariant: each name once and not empty. The index of a name is its id in the model's table where every record of
/// the kind gets into the model (parts and modifications), else only its index here.
pub(super) struct Listed<T> {
    noun: &'static str,
    unknown: Code,
    entries: IndexMap<String, (Place, T)>,
    /// Names of records that were left out: to refer to them is no fault of its own.
    left_out: BTreeSet<String>,
    /// What could not be read: nor is it a fault to refer to that.
    lost: Lost,
    /// The kinds of record that bear such names.
    kinds: &'static [&'static str],
    /// The names, and those that were left out, made when a name is first not found.
    near: OnceCell<[NameTree; 2]>,
    /// How the names begin.
    prefixes: OnceCell<BTreeSet<String>>,
}

impl<T> Listed<T> {
    pub(super) fn collect(
        noun: &'static str,
        unknown: Code,
        twice: Code,
        items: impl IntoIterator<Item = (String, Place, T)>,
        out: &mut Findings,
    ) -> Self {
        let mut entries: IndexMap<String, (Place, T)> = IndexMap::new();
        for (name, place, item) in items {
            if name.trim().is_empty() {
                let message = format!("the {noun} has no name");
                let help = format!("write the {noun} as the records give it");
                out.add(Finding::new(codes::NAME_EMPTY, message, place, "empty").help(help));
            } else if let Some((first, _)) = entries.get(&name) {
                out.add(
                    Finding::new(twice, format!("the {noun} `{name}` is given twice"), place, "given again")
                        .label(first.clone(), "given first here, and kept")
                        .help("remove one of the two, or correct its name"),
                );
            } else {
                entries.insert(name, (place, item));
            }
        }
        entries.sort_by(|a, _, b, _| natural(a, b));
        Listed {
            noun,
            unknown,
            entries,
            left_out: BTreeSet::new(),
            lost: Lost::default(),
            kinds: &[],
            near: OnceCell::new(),
            prefixes: OnceCell::new(),
        }
    }

    /// The same names beside records that could not be read; records of these kinds bear such names.
    pub(super) fn beside(self, lost: &Lost, kinds: &'static [&'static str]) -> Self {
        Listed { lost: lost.clone(), kinds, ..self }
    }

    /// The index of a name that is referred to; a finding if there is no such name.
    pub(super) fn find(&self, name: &str, place: &Place, out: &mut Findings) -> Option<usize> {
        if let Some(index) = self.entries.get_index_of(name) {
            return Some(index);
        }
        let [known, left_out] = self
            .near
            .get_or_init(|| [NameTree::of(self.names()), NameTree::of(self.left_out.iter().map(String::as_str))]);
        if left_out.within(name, SLIP).is_empty() && !self.lost.may_bear(self.kinds, name) {
            let near: Vec<(&str, &Place)> = known
                .nearest(name)
                .into_iter()
                .filter_map(|index| self.entries.get_index(index))
                .map(|(near, (place, _))| (near.as_str(), place))
                .collect();
            let finding = unknown(self.unknown, self.noun, name, place, &near, &self.lost);
            match self.strange_prefix(name) {
                Some((prefix, instead)) => {
                    let (noun, name) = (self.noun, name.to_owned());
                    out.add_strange(StrangeName { noun, prefix, instead, name, finding });
                }
                None => out.add(finding),
            }
        }
        out.leave_out_for(name, place.clone());
        None
    }

    /// How a name begins, if no name of this list begins so; and other beginnings with which it would be one of the list.
    fn strange_prefix(&self, name: &str) -> Option<(String, Vec<String>)> {
        let (prefix, rest) = beginning(name)?;
        let known = self
            .prefixes
            .get_or_init(|| self.names().filter_map(beginning).map(|(prefix, _)| prefix.to_owned()).collect());
        if known.is_empty() || known.contains(prefix) {
            return None;
        }
        let serves = |other: &&String| self.entries.contains_key(&format!("{other}{rest}"));
        Some((prefix.to_owned(), known.iter().filter(serves).take(4).cloned().collect()))
    }

    pub(super) fn index(&self, name: &str) -> Option<usize> {
        self.entries.get_index_of(name)
    }
    pub(super) fn name(&self, index: usize) -> &str {
        self.entries.get_index(index).expect("an index comes from this list").0
    }
    pub(super) fn get(&self, index: usize) -> &(Place, T) {
        &self.entries[index]
    }
    pub(super) fn names(&self) -> impl Iterator<Item = &str> {
        self.entries.keys().map(String::as_str)
    }
    pub(super) fn iter(&self) -> impl Iterator<Item = (&str, &Place, &T)> {
        self.entries.iter().map(|(name, (place, item))| (name.as_str(), place, item))
    }
}

/// How a name begins, and the rest: its letters, or up to its first stroke.
fn beginning(name: &str) -> Option<(&str, &str)> {
    let letters = name.find(|c: char| !c.is_alphabetic()).filter(|at| *at > 0);
    let stroke = || name.find(['-', '/', '.', ' ']).map(|at| at + 1);
    let (prefix, rest) = name.split_at_checked(letters.or_else(stroke)?)?;
    (!rest.is_empty()).then_some((prefix, rest))
}

/// All names that records refer to.
pub(super) struct Names<'a> {
    pub(super) drawings: Listed<(RecordRef, &'a schema::Drawing)>,
    /// The part numbers; of those whose record could not be read no more is known.
    pub(super) parts: Listed<Option<(RecordRef, &'a schema::Part)>>,
    pub(super) assemblies: Listed<(RecordRef, &'a schema::Assembly)>,
    pub(super) positions: Listed<PositionName<'a>>,
    pub(super) mods: Listed<ModName<'a>>,
    /// Modifications that have parts: where they are written and the names of their parts.
    pub(super) with_parts: IndexMap<String, (Place, Vec<ModId>)>,
    pub(super) frames: Listed<(RecordRef, &'a schema::Frame)>,
    pub(super) plates: Listed<(RecordRef, &'a schema::Plate)>,
    pub(super) airframes: Listed<(RecordRef, &'a schema::Airframe)>,
    pub(super) jigs: Listed<(RecordRef, &'a schema::Jig)>,
    /// For each part, the parts that are written as candidates at its positions.
    pub(super) candidates: Vec<Vec<PartId>>,
    /// For each part, whether a candidate is written at its positions that no record describes.
    pub(super) has_unknown_candidate: Vec<bool>,
}

/// A position behind its name.
#[derive(Clone)]
pub(super) struct PositionName<'a> {
    pub(super) assembly: PartId,
    /// The item in the assembly's list.
    pub(super) place: Place,
    pub(super) raw: &'a schema::Position,
}

/// A modification, or a part of one, behind its name.
#[derive(Clone, Copy)]
pub(super) struct ModName<'a> {
    pub(super) record: RecordRef,
    pub(super) whole: &'a schema::Modification,
    pub(super) part: Option<(usize, &'a schema::ModificationPart)>,
}

impl<'a> ModName<'a> {
    /// Where it is written.
    pub(super) fn place(&self) -> Place {
        match self.part {
            Some((index, _)) => self.record.field("parts").item(index),
            None => self.record.place(),
        }
    }
    /// The production form, its own or that of the whole.
    pub(super) fn production(&self) -> Option<(&'a schema::Production, Place)> {
        let own = self.part.and_then(|(_, part)| part.production.as_ref()).map(|form| (form, self.place()));
        let form = own.or_else(|| self.whole.production.as_ref().map(|form| (form, self.record.place())));
        form.map(|(form, place)| (form, place.field("production")))
    }
    /// The retrospective form, its own or that of the whole.
    pub(super) fn retrospective(&self) -> Option<(&'a schema::Retrospective, Place)> {
        let own = self.part.and_then(|(_, part)| part.retrospective.as_ref()).map(|form| (form, self.place()));
        let form = own.or_else(|| self.whole.retrospective.as_ref().map(|form| (form, self.record.place())));
        form.map(|(form, place)| (form, place.field("retrospective")))
    }
}

impl<'a> Names<'a> {
    pub(super) fn collect(records: &ByKind<'a>, lost: &Lost, out: &mut Findings) -> Self {
        let twice = codes::NAME_USED_TWICE;
        let drawings = Listed::collect(
            "drawing",
            codes::UNKNOWN_DRAWING,
            twice,
            records
                .drawings
                .iter()
                .map(|(at, r)| (drawing_name(&r.number, r.sheet.as_deref()), at.field("number"), (*at, *r))),
            out,
        );
        let parts = Listed::collect(
            "part number",
            codes::UNKNOWN_PART,
            twice,
            records
                .parts
                .iter()
                .map(|(at, r)| (r.number.clone(), at.field("number"), Some((*at, *r))))
                .chain(lost_parts(records, lost)),
            out,
        );
        let assemblies = Listed::collect(
            "assembly",
            codes::UNKNOWN_PART,
            codes::TWO_ASSEMBLIES,
            records.assemblies.iter().map(|(at, r)| (r.part.clone(), at.field("part"), (*at, *r))),
            out,
        );
        let (drawings, parts, assemblies) = (
            drawings.beside(lost, &["Drawing"]),
            parts.beside(lost, &["Part"]),
            assemblies.beside(lost, &["Assembly"]),
        );
        let positions = positions(&assemblies, &parts, out).beside(lost, &["Assembly"]);
        let mut candidates = vec![Vec::new(); parts.entries.len()];
        let mut has_unknown_candidate = vec![false; parts.entries.len()];
        for (_, _, position) in positions.iter() {
            has_unknown_candidate[position.assembly.index()] |=
                position.raw.candidates.iter().any(|c| parts.index(&c.part).is_none());
            let written = position.raw.candidates.iter().filter_map(|c| parts.index(&c.part));
            candidates[position.assembly.index()].extend(written.map(PartId::from_index));
        }
        let (mods, with_parts) = mods(records, out);
        let mods = mods.beside(lost, &["Modification"]);
        let frames = Listed::collect(
            "frame",
            codes::UNKNOWN_FRAME,
            twice,
            records.frames.iter().map(|(at, r)| (r.name.clone(), at.field("name"), (*at, *r))),
            out,
        );
        let plates = Listed::collect(
            "plate",
            codes::UNKNOWN_PLATE,
            twice,
            records.plates.iter().map(|(at, r)| (r.number.clone(), at.field("number"), (*at, *r))),
            out,
        );
        let airframes = Listed::collect(
            "airframe",
            codes::UNKNOWN_AIRFRAME,
            twice,
            records.airframes.iter().map(|(at, r)| (r.serial.clone(), at.field("serial"), (*at, *r))),
            out,
        );
        let jigs = Listed::collect(
            "jig",
            codes::UNKNOWN_JIG,
            twice,
            records.jigs.iter().map(|(at, r)| (r.name.clone(), at.field("name"), (*at, *r))),
            out,
        );
        let (frames, plates) = (frames.beside(lost, &["Frame"]), plates.beside(lost, &["Plate"]));
        let (airframes, jigs) = (airframes.beside(lost, &["Airframe"]), jigs.beside(lost, &["Jig"]));
        Names {
            drawings,
            parts,
            assemblies,
            positions,
            mods,
            with_parts,
            frames,
            plates,
            airframes,
            jigs,
            candidates,
            has_unknown_candidate,
        }
    }

    /// The part with this number; a finding if there is none.
    pub(super) fn part(&self, number: &str, place: &Place, out: &mut Findings) -> Option<PartId> {
        self.parts.find(number, place, out).map(PartId::from_index)
    }

    /// The parts with these numbers, those left out that do not exist.
    pub(super) fn parts(&self, numbers: &[String], place: &Place, out: &mut Findings) -> Vec<PartId> {
        out.named_twice(numbers.iter().enumerate().map(|(i, number)| (number.as_str(), place.item(i))));
        let mut found: Vec<PartId> = Vec::new();
        for (i, number) in numbers.iter().enumerate() {
            if let Some(part) = self.part(number, &place.item(i), out)
                && !found.contains(&part)
            {
                found.push(part);
            }
        }
        found
    }

    /// The modification with this name; a finding if there is none, or if it has parts and none is named.
    pub(super) fn modification(&self, name: &str, place: &Place, out: &mut Findings) -> Option<ModId> {
        if self.mods.index(name).is_none()
            && let Some((whole, parts)) = self.with_parts.get(name)
        {
            let parts = |join| listed(parts.iter().map(|part| self.mods.name(part.index())), join);
            let message = format!("`{name}` has parts that are embodied each on its own, and none of them is named");
            out.add(
                Finding::new(codes::SAY_WHICH_PART, message, place.clone(), "which part?")
                    .label(whole.clone(), format!("its parts are {}", parts("and")))
                    .help(format!("say which part is meant: {}", parts("or"))),
            );
            return None;
        }
        self.mods.find(name, place, out).map(ModId::from_index)
    }
}

/// The parts whose record could not be read, where its number can be made out and an assembly names it: that there is
/// such a part is known.
fn lost_parts<T>(records: &ByKind<'_>, lost: &Lost) -> Vec<(String, Place, Option<T>)> {
    let is_part = |text: &&LostText| text.kinds.len() == 1 && text.kinds.contains("Part") && !text.is_cut;
    let texts = lost.texts.iter().filter(is_part);
    let named: Vec<(&str, &LostText)> = texts.filter_map(|text| Some((text.name.as_deref()?, text))).collect();
    if named.is_empty() {
        return Vec::new();
    }
    let positions = records.assemblies.iter().flat_map(|(_, assembly)| &assembly.positions);
    let fitted = positions.flat_map(|position| &position.candidates).map(|candidate| candidate.part.as_str());
    let assemblies = records.assemblies.iter().map(|(_, assembly)| assembly.part.as_str());
    let read: BTreeSet<&str> = records.parts.iter().map(|(_, part)| part.number.as_str()).collect();
    let mut wanted: BTreeSet<&str> = fitted.chain(assemblies).filter(|name| !read.contains(name)).collect();
    named
        .into_iter()
        .filter(|(name, _)| wanted.remove(name))
        .map(|(name, text)| (name.to_owned(), text.place.clone(), None))
        .collect()
}

/// The name of a sheet in the drawing register.
pub(super) fn drawing_name(number: &str, sheet: Option<&str>) -> String {
    match sheet {
        Some(sheet) => format!("{number} sheet {sheet}"),
        None => number.to_owned(),
    }
}

fn positions<'a>(
    assemblies: &Listed<(RecordRef, &'a schema::Assembly)>,
    parts: &Listed<Option<(RecordRef, &'a schema::Part)>>,
    out: &mut Findings,
) -> Listed<PositionName<'a>> {
    let mut items = Vec::new();
    let mut left_out = BTreeSet::new();
    for (name, place, (record, assembly)) in assemblies.iter() {
        let part = parts.find(name, place, out).map(PartId::from_index);
        for (index, raw) in assembly.positions.iter().enumerate() {
            let place = record.field("positions").item(index);
            let position = format!("{name}/{}", raw.find);
            match part {
                _ if raw.find.trim().is_empty() => items.push((String::new(), place.field("find"), None)),
                Some(assembly) => {
                    items.push((position, place.field("find"), Some(PositionName { assembly, place, raw })));
                }
                None => {
                    left_out.insert(position);
                }
            }
        }
    }
    let found = Listed::collect("position", codes::UNKNOWN_POSITION, codes::NAME_USED_TWICE, items, out);
    let entries = found.entries.into_iter().filter_map(|(name, (at, item))| Some((name, (at, item?)))).collect();
    Listed {
        noun: found.noun,
        unknown: found.unknown,
        entries,
        left_out,
        lost: Lost::default(),
        kinds: &[],
        near: OnceCell::new(),
        prefixes: OnceCell::new(),
    }
}

type Mods<'a> = (Listed<ModName<'a>>, IndexMap<String, (Place, Vec<ModId>)>);

fn mods<'a>(records: &ByKind<'a>, out: &mut Findings) -> Mods<'a> {
    let numbers = records.mods.iter().map(|(at, r)| (r.number.clone(), at.field("number"), (*at, *r)));
    let wholes = Listed::collect("modification", codes::UNKNOWN_MODIFICATION, codes::NAME_USED_TWICE, numbers, out);
    let mut items = Vec::new();
    for (number, place, (record, whole)) in wholes.iter() {
        let name = |part| ModName { record: *record, whole, part };
        if whole.parts.is_empty() {
            items.push((number.to_owned(), place.clone(), name(None)));
        }
        for (index, part) in whole.parts.iter().enumerate() {
            let place = record.field("parts").item(index).field("part");
            let full = if part.part.is_empty() { String::new() } else { format!("{number}/{}", part.part) };
            items.push((full, place, name(Some((index, part)))));
        }
    }
    let mods = Listed::collect("modification", codes::UNKNOWN_MODIFICATION, codes::NAME_USED_TWICE, items, out);
    let mut with_parts: IndexMap<String, (Place, Vec<ModId>)> = IndexMap::new();
    for (number, place, (_, whole)) in wholes.iter().filter(|(_, _, (_, whole))| !whole.parts.is_empty()) {
        let parts = whole.parts.iter().filter_map(|part| mods.index(&format!("{number}/{}", part.part)));
        with_parts.insert(number.to_owned(), (place.clone(), parts.map(ModId::from_index).collect()));
    }
    (mods, with_parts)
}
