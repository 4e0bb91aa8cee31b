//! The shop floor: jigs with their plates and surveys, parts made, permissions given.

use super::airframes::Airframe;
use super::frames::{Frame, Plate};
use super::random::Random;
use super::serials::{Line, Serial};
use super::structure::{Source, Structure};
use super::{Spec, chance, pick, within};

pub(crate) struct Mounted {
    pub plate: usize,
    pub made: i32,
    pub reworked: Option<i32>,
    pub surveyed: i32,
    /// The measured holes: x, y and diameter in millimetres.
    pub holes: Vec<(f64, f64, f64)>,
}

/// A jig for a frame, set for the last build state of an airframe of the same index.
pub(crate) struct Jig {
    pub frame: usize,
    pub mounted: Vec<Mounted>,
}

pub(crate) struct MadePart {
    pub part: usize,
    /// The issue, counted from the first.
    pub issue: Option<usize>,
    pub quantity: usize,
    pub from: Option<String>,
    /// The airframe that it was made for, and when.
    pub made_for: Option<(usize, i32)>,
}

/// A form block kept for the last build state of an airframe.
pub(crate) struct Block {
    pub part: usize,
    /// The issue, counted from the first.
    pub issue: usize,
    pub airframe: usize,
}

pub(crate) struct Permission {
    pub permit: bool,
    pub part: usize,
    pub date: i32,
    pub scope: Option<String>,
    pub expires: Option<i32>,
}

pub(crate) struct Shop {
    pub jigs: Vec<Jig>,
    pub made: Vec<MadePart>,
    pub permissions: Vec<Permission>,
    pub blocks: Vec<Block>,
    /// When it was decided which state each airframe with a jig is built to.
    pub decisions: Vec<i32>,
}

/// The first of January 2010, when the workshop was opened.
const OPENED: i32 = 14_610;

pub(crate) fn shop(
    random: &mut Random,
    spec: &Spec,
    (structure, frames): (&Structure, &[Frame]),
    (airframes, line): (&[Airframe], &Line),
) -> Shop {
    // Nothing is known of the airframes that gave parts: what was on them cannot be contradicted.
    let known = |serial: &Serial| airframes.iter().any(|airframe| airframe.serial.text() == serial.text());
    let donors: Vec<Serial> =
        (1..=line.built[0]).map(|place| line.at(0, place)).filter(|s| !known(s)).take(20).collect();
    let with_plates = airframes.iter().enumerate().filter_map(|(nth, airframe)| Some((nth, airframe.plates.as_ref()?)));
    let mut jigs = Vec::new();
    let (mut made, mut blocks, mut decisions) = (Vec::new(), Vec::new(), Vec::new());
    for (frame, plates) in with_plates {
        let mounted = plates.iter().map(|plate| mounted(random, *plate, &frames[frame].plates[*plate])).collect();
        let airframe = jigs.len();
        jigs.push(Jig { frame, mounted });
        let located = plates.iter().flat_map(|plate| &frames[frame].plates[*plate].locates);
        let drawn = |part: &usize| Some((*part, structure.parts[*part].drawing.as_ref()?.issues.len() - 1));
        let drawn: Vec<(usize, usize)> = located.filter_map(drawn).collect();
        let (part, issue) = *pick(random, &drawn);
        let day = within(random, OPENED + 3_000, OPENED + 4_000);
        made.push(MadePart { part, issue: Some(issue), quantity: 1, from: None, made_for: Some((airframe, day)) });
        let (part, issue) = *pick(random, &drawn);
        blocks.push(Block { part, issue, airframe });
        decisions.push(OPENED + 30 * i32::try_from(airframe).expect("a shop has few jigs"));
    }
    let ours: Vec<usize> =
        (0..structure.parts.len()).filter(|part| structure.parts[*part].source == Source::Made).collect();
    let mut permissions = Vec::new();
    for _ in 0..(spec.parts / 200).clamp(4, 200) {
        let part = *pick(random, &ours);
        let issues = structure.parts[part].drawing.as_ref().map(|drawing| drawing.issues.len());
        let issue = issues.filter(|_| chance(random, 70)).map(|issues| random.below(issues));
        let from = (chance(random, 20) && !donors.is_empty()).then(|| pick(random, &donors).text());
        // An airframe gives one of each: it may not have had room for more.
        let from = from.filter(|_| made.iter().all(|other: &MadePart| other.part != part || other.from.is_none()));
        let quantity = 1 + random.below(4);
        made.push(MadePart { part, issue, quantity: if from.is_some() { 1 } else { quantity }, from, made_for: None });
        if chance(random, 30) {
            let day = within(random, OPENED, OPENED + 3_000);
            let scope = chance(random, 70).then(|| pick(random, airframes).serial.text());
            let permit = chance(random, 50);
            let expires = permit.then(|| day + within(random, 100, 900));
            permissions.push(Permission { permit, part, date: day, scope, expires });
        }
    }
    Shop { jigs, made, permissions, blocks, decisions }
}

fn mounted(random: &mut Random, plate: usize, definition: &Plate) -> Mounted {
    let made = within(random, OPENED, OPENED + 2_000);
    let reworked = chance(random, 30).then(|| made + within(random, 30, 500));
    let surveyed = reworked.unwrap_or(made) + within(random, 1, 90);
    let hole = |hole: &super::frames::Hole| {
        let mut off = || 0.005 * random.normal();
        (hole.x + off(), hole.y + off(), if hole.dowel { 10.0 } else { 3.3 } + off())
    };
    Mounted { plate, made, reworked, surveyed, holes: definition.holes.iter().map(hole).collect() }
}
