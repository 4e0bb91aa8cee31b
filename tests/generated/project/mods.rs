//! Modifications in clusters that are bound together, and their one-of groups.

use super::random::Random;
use super::serials::{Line, Range, Serial};
use super::{FIRST_BUILT, LAST_LEAFLET, Spec, chance, pick, within};
use std::collections::BTreeSet;

/// How a modification is embodied.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Form {
    Production,
    Retrospective,
}

/// Which airframes were built with a modification.
#[derive(Clone, Debug)]
pub(crate) enum Production {
    /// From a line number on, at each factory that took it in.
    Line([Option<u32>; 2]),
    /// The same, written by serials: from one of the late block on.
    From([Serial; 2]),
    /// These serials.
    Ranges(Vec<Range>),
}

/// Embodiment after delivery.
#[derive(Clone, Debug)]
pub(crate) struct Retrospective {
    pub leaflet: i32,
    /// Whether the leaflet bears a month only.
    pub by_month: bool,
    /// Which airframes; empty is all.
    pub eligible: Vec<Range>,
}

/// What a leaflet says of a position.
#[derive(Clone, Debug)]
pub(crate) struct Change {
    pub form: Option<Form>,
    pub position: String,
    pub delete: Vec<String>,
    pub introduce: Vec<String>,
}

/// A modification, or a named part of one.
#[derive(Clone, Debug)]
pub(crate) struct Mod {
    pub number: String,
    pub part: Option<char>,
    pub title: String,
    pub class: &'static str,
    pub requires: Vec<usize>,
    pub excludes: Vec<usize>,
    pub supersedes: Vec<usize>,
    pub production: Option<Production>,
    /// Airframes that the line left out.
    pub except: Vec<Serial>,
    pub retrospective: Option<Retrospective>,
    pub changes: Vec<Change>,
}

impl Mod {
    pub(crate) fn name(&self) -> String {
        match self.part {
            Some(part) => format!("{}/{part}", self.number),
            None => self.number.clone(),
        }
    }
    /// Whether the airframe was built with it.
    pub(crate) fn covers(&self, serial: Serial) -> bool {
        let covered = match &self.production {
            None => false,
            Some(Production::Line(cut)) => cut[serial.factory].is_some_and(|cut| cut <= serial.line),
            Some(Production::From(first)) => first[serial.factory].line <= serial.line,
            Some(Production::Ranges(ranges)) => ranges.iter().any(|range| range.contains(serial)),
        };
        covered && !self.except.contains(&serial)
    }
    /// The leaflet, if the airframe could take it after delivery.
    pub(crate) fn afterwards(&self, serial: Serial) -> Option<&Retrospective> {
        let open = |form: &&Retrospective| {
            form.eligible.is_empty() || form.eligible.iter().any(|range| range.contains(serial))
        };
        self.retrospective.as_ref().filter(open)
    }
    pub(crate) fn has_both_forms(&self) -> bool {
        self.production.is_some() && self.retrospective.is_some()
    }
}

/// A one-of group.
pub(crate) struct Group {
    pub name: String,
    pub members: Vec<usize>,
    pub introduced: i32,
    pub exactly: bool,
}

/// All modifications, each after those that it requires.
pub(crate) struct Catalogue {
    pub mods: Vec<Mod>,
    pub clusters: Vec<Vec<usize>>,
    pub groups: Vec<Group>,
    /// For each, what it requires at any remove.
    ancestors: Vec<BTreeSet<usize>>,
    /// For each, what is never in with it.
    conflicts: Vec<BTreeSet<usize>>,
    /// For each, whether something requires it.
    required: Vec<bool>,
}

impl Catalogue {
    /// Whether the first requires the second, at any remove.
    pub(crate) fn needs(&self, a: usize, b: usize) -> bool {
        self.ancestors[a].contains(&b)
    }
    /// Whether both can be in at once.
    pub(crate) fn go_together(&self, a: usize, b: usize) -> bool {
        let with = |m: usize| self.ancestors[m].iter().copied().chain([m]);
        a != b && with(a).all(|x| with(b).all(|y| !self.conflicts[x].contains(&y)))
    }
    /// What is never in with a modification.
    pub(crate) fn conflicts(&self, m: usize) -> &BTreeSet<usize> {
        &self.conflicts[m]
    }
    pub(crate) fn is_required(&self, m: usize) -> bool {
        self.required[m]
    }
    /// Whether it is one of a group of which exactly one is in.
    pub(crate) fn is_exactly_one_of(&self, m: usize) -> bool {
        self.groups.iter().any(|group| group.exactly && group.members.contains(&m))
    }
    fn conflict(&mut self, a: usize, b: usize) {
        self.conflicts[a].insert(b);
        self.conflicts[b].insert(a);
    }
}

const WHAT: &[&str] = &[
    "lug plate",
    "drain hole",
    "doubler",
    "pulley bracket",
    "hinge pin",
    "cable guard",
    "inspection panel",
    "rib cap",
    "stringer",
    "vent pipe",
    "filler cap",
    "torque tube",
    "shear web",
    "anchor nut",
    "fairlead",
    "stop block",
];
const WHERE: &[&str] = &[
    "keel",
    "aft hatch",
    "outer wing",
    "tail boom",
    "float strut",
    "tailplane",
    "fin root",
    "mooring bollard",
    "chart table",
    "bilge",
    "engine bearer",
    "aileron",
    "elevator",
    "forward bulkhead",
    "step",
    "wing root",
];
const HOW: &[&str] = &["stiffened", "moved", "enlarged", "deleted", "redesigned", "in light alloy", "made detachable"];
const CLASSES: &[&str] =
    &["A, before next flight", "B, at next overhaul", "C, at convenience", "D, at operator's option"];

/// What kind of thing is made where: `Pulley bracket, tail boom`.
pub(crate) fn thing(random: &mut Random) -> String {
    let mut text = (*pick(random, WHAT)).to_owned();
    if let Some(first) = text.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    format!("{text}, {}", pick(random, WHERE))
}

/// All modifications of a type.
pub(crate) fn catalogue(random: &mut Random, spec: &Spec, line: &Line) -> Catalogue {
    let mut catalogue = Catalogue {
        mods: Vec::new(),
        clusters: Vec::new(),
        groups: Vec::new(),
        ancestors: Vec::new(),
        conflicts: Vec::new(),
        required: Vec::new(),
    };
    let wanted = spec.modifications;
    while catalogue.mods.len() < wanted {
        let left = wanted - catalogue.mods.len();
        let nth = catalogue.clusters.len();
        if nth % 60 == 1 && left >= 2 {
            instead_of_each_other(random, line, &mut catalogue);
            continue;
        }
        let size = match random.below(20) {
            _ if nth.is_multiple_of(100) => spec.largest_cluster,
            0..4 => 1,
            4..15 => 2 + random.below(4),
            _ => 6 + random.below(7),
        };
        cluster(random, spec, line, size.min(left), &mut catalogue);
    }
    number(random, &mut catalogue);
    leave_out(random, line, &mut catalogue);
    catalogue
}

/// Two modifications of which exactly one is in: built in by turns, and exchanged after delivery.
fn instead_of_each_other(random: &mut Random, line: &Line, catalogue: &mut Catalogue) {
    let first = catalogue.mods.len();
    for turn in 0..2 {
        let mut m = blank(random);
        m.production = Some(Production::Ranges([0, 1].map(|factory| line.blocks[2 * factory + turn].range).to_vec()));
        m.retrospective = (turn == 1).then(|| Retrospective {
            leaflet: within(random, FIRST_BUILT + 900, LAST_LEAFLET),
            by_month: false,
            eligible: Vec::new(),
        });
        add(catalogue, m);
    }
    catalogue.conflict(first, first + 1);
    catalogue.clusters.push(vec![first, first + 1]);
    let name = format!("{} {}", thing(random), catalogue.groups.len() + 1);
    let members = vec![first, first + 1];
    catalogue.groups.push(Group { name, members, introduced: FIRST_BUILT - 100, exactly: true });
}

fn cluster(random: &mut Random, spec: &Spec, line: &Line, size: usize, catalogue: &mut Catalogue) {
    let first = catalogue.mods.len();
    // The last ones of some clusters are a choice: each after delivery only, and none required by anything.
    let choice = if size >= 5 && chance(random, 30) { 2 + random.below(2) } else { 0 };
    for nth in 0..size {
        let mut m = blank(random);
        let earlier: Vec<usize> = (first..first + nth.min(size - choice)).collect();
        let mut afterwards_only = nth >= size - choice;
        if afterwards_only {
            m.requires.extend(earlier.first().filter(|_| chance(random, 50)));
        } else if !earlier.is_empty() {
            afterwards_only |= bind(random, catalogue, &earlier, &mut m);
        }
        forms(random, spec, line, catalogue, afterwards_only, &mut m);
        let excluded = m.excludes.clone();
        let id = add(catalogue, m);
        for other in excluded {
            catalogue.conflict(id, other);
        }
    }
    let members: Vec<usize> = (first + size - choice..first + size).collect();
    for (n, &a) in members.iter().enumerate() {
        members[n + 1..].iter().for_each(|&b| catalogue.conflict(a, b));
    }
    if choice > 0 {
        let introduced = within(random, FIRST_BUILT - 100, LAST_LEAFLET);
        let name = format!("{} {}", thing(random), catalogue.groups.len() + 1);
        catalogue.groups.push(Group { name, members, introduced, exactly: false });
    }
    catalogue.clusters.push((first..first + size).collect());
}

/// Binds a modification to earlier ones; says whether it can only be embodied after delivery.
fn bind(random: &mut Random, catalogue: &Catalogue, earlier: &[usize], m: &mut Mod) -> bool {
    let near = &earlier[earlier.len().saturating_sub(4)..];
    let one = *pick(random, near);
    match random.below(20) {
        0..11 => m.requires.push(one),
        11..14 => {
            let two = *pick(random, earlier);
            m.requires.push(one);
            let apart = !catalogue.needs(one, two) && !catalogue.needs(two, one);
            m.requires.extend((apart && catalogue.go_together(one, two)).then_some(two));
        }
        14..17 => {
            m.excludes.push(one);
            return true;
        }
        _ => m.supersedes.push(one),
    }
    false
}

/// The forms of a modification: built in only where all that it requires is, and open to one airframe in any case.
fn forms(random: &mut Random, spec: &Spec, line: &Line, catalogue: &Catalogue, afterwards_only: bool, m: &mut Mod) {
    let mut part = random.between(0.02, 0.70);
    let mut cut = [Some(line.place(0, part)), Some(line.place(1, part))];
    let mut built_in = !afterwards_only;
    for required in &m.requires {
        match &catalogue.mods[*required].production {
            Some(Production::Line(other)) => {
                for factory in 0..2 {
                    cut[factory] = other[factory].and_then(|other| cut[factory].map(|cut| cut.max(other)));
                }
            }
            Some(Production::From(other)) => {
                for factory in 0..2 {
                    cut[factory] = cut[factory].map(|cut| cut.max(other[factory].line));
                }
            }
            Some(Production::Ranges(_)) | None => built_in = false,
        }
    }
    if m.requires.is_empty() && chance(random, 8) {
        cut[1] = None;
    }
    let afterwards = !built_in || chance(random, spec.retrospective);
    if afterwards && built_in && chance(random, 35) {
        built_in = false;
    }
    let late = |factory: usize| line.late_block(factory).first_line;
    if built_in {
        m.production = Some(match cut {
            [Some(a), Some(b)] if a >= late(0) && b >= late(1) && chance(random, 30) => {
                Production::From([line.at(0, a), line.at(1, b)])
            }
            cut => Production::Line(cut),
        });
    }
    if afterwards {
        part = if built_in { part } else { random.between(0.02, 0.95) };
        let issued = super::share((LAST_LEAFLET - FIRST_BUILT).unsigned_abs(), part).cast_signed();
        let leaflet = (FIRST_BUILT + issued + within(random, -60, 400)).clamp(FIRST_BUILT, LAST_LEAFLET);
        let eligible = if !built_in && chance(random, 40) { eligible(random, line) } else { Vec::new() };
        m.retrospective = Some(Retrospective { leaflet, by_month: chance(random, 20), eligible });
    }
}

/// Some of the airframes, and always the one that everything is open to.
fn eligible(random: &mut Random, line: &Line) -> Vec<Range> {
    let middle = line.open_to_all().number;
    let block = line.late_block(0).range;
    let first = middle - (middle - block.first) / (1 + u32::from(chance(random, 50)));
    let last = middle + (block.last - middle) / (1 + u32::from(chance(random, 50)));
    let mut ranges = vec![Range { factory: 0, first, last }];
    if chance(random, 50) {
        ranges.insert(0, line.blocks[0].range);
    }
    if chance(random, 50) {
        ranges.push(line.blocks[2 + random.below(2)].range);
    }
    ranges
}

/// Gives numbers, from which no order in time follows, and makes some neighbours parts of one modification.
fn number(random: &mut Random, catalogue: &mut Catalogue) {
    let count = catalogue.mods.len();
    let order = random.choose(count * 5 / 4 + 10, count);
    let mut numbers: Vec<usize> = order.into_iter().map(|number| number + 1).collect();
    for at in (1..count).rev() {
        numbers.swap(at, random.below(at + 1));
    }
    for (m, number) in catalogue.mods.iter_mut().zip(&numbers) {
        m.number = format!("QM{number:04}");
    }
    for cluster in &catalogue.clusters {
        let (Some(&a), Some(&b)) = (cluster.first(), cluster.get(1)) else { continue };
        if cluster.len() > 2 && chance(random, 25) {
            let number = catalogue.mods[a].number.clone();
            catalogue.mods[b].number = number;
            catalogue.mods[b].class = catalogue.mods[a].class;
            catalogue.mods[a].part = Some('A');
            catalogue.mods[b].part = Some('B');
        }
    }
}

/// Takes single airframes out of some cut-ins that nothing hangs on.
fn leave_out(random: &mut Random, line: &Line, catalogue: &mut Catalogue) {
    for id in 0..catalogue.mods.len() {
        let leaf = !catalogue.required[id] && catalogue.conflicts[id].is_empty() && chance(random, 15);
        let m = &mut catalogue.mods[id];
        let (Some(Production::Line([Some(cut), _])), true) = (&m.production, leaf) else { continue };
        let last = line.place(0, 0.84);
        if *cut < last {
            let at = cut + u32::try_from(random.below((last - cut) as usize)).expect("a short line");
            m.except.push(line.at(0, at));
        }
    }
}

fn blank(random: &mut Random) -> Mod {
    Mod {
        number: String::new(),
        part: None,
        title: format!("{} {}", thing(random), pick(random, HOW)),
        class: CLASSES[random.below(CLASSES.len())],
        requires: Vec::new(),
        excludes: Vec::new(),
        supersedes: Vec::new(),
        production: None,
        except: Vec::new(),
        retrospective: None,
        changes: Vec::new(),
    }
}

fn add(catalogue: &mut Catalogue, m: Mod) -> usize {
    let mut ancestors = BTreeSet::new();
    for required in &m.requires {
        catalogue.required[*required] = true;
        ancestors.insert(*required);
        ancestors.extend(catalogue.ancestors[*required].iter().copied());
    }
    catalogue.ancestors.push(ancestors);
    catalogue.conflicts.push(BTreeSet::new());
    catalogue.required.push(false);
    catalogue.mods.push(m);
    catalogue.mods.len() - 1
}
