//! Whole projects made up from a seed: a type dossier, airframe dossiers and a shop dossier as RON texts.
//!
//! Everything is invented. A project is clean by construction: the type is laid out so that the catalogue holds, each
//! airframe gets one history that keeps the rules, and every claim is true of that history; some of it nobody recorded.
//! The same size and seed give the same bytes.

mod airframes;
mod frames;
mod mods;
#[path = "../../random.rs"]
pub(crate) mod random;
mod serials;
mod shop;
mod structure;
mod write;

use modstate::quantity::Day;
use random::Random;
use std::path::PathBuf;

/// How large a project is.
#[derive(Clone, Debug)]
pub(crate) struct Spec {
    /// Modifications of the type; a named part counts as one.
    pub modifications: usize,
    /// Of a hundred modifications, how many could be embodied after delivery too.
    pub retrospective: usize,
    /// The largest set of modifications bound together; most sets have 2 to 12.
    pub largest_cluster: usize,
    /// Positions of all assemblies.
    pub positions: usize,
    /// Part numbers.
    pub parts: usize,
    /// Frames with their plates.
    pub frames: usize,
    /// Jigs, each with a full set of surveyed plates, for the first frames and airframes.
    pub jigs: usize,
    /// Airframes with a dossier.
    pub airframes: usize,
    /// On each airframe, modifications that were open to it after delivery and of which nothing was recorded.
    pub unrecorded: usize,
    /// On each airframe, embodiments of which no more than a year or a bound is known.
    pub by_window: usize,
}

impl Spec {
    /// `small`, `medium`, `real` (one real type) or `stress`.
    pub(crate) fn named(name: &str) -> Spec {
        let numbers = match name {
            "small" => [60, 70, 12, 150, 260, 4, 2, 6, 6, 3],
            "medium" => [400, 50, 30, 1_500, 3_000, 8, 3, 6, 25, 8],
            "real" => [1_500, 40, 60, 10_000, 25_000, 24, 4, 8, 60, 20],
            "stress" => [3_000, 40, 80, 100_000, 100_000, 40, 4, 8, 500, 30],
            other => panic!("no size is called `{other}`"),
        };
        let [modifications, retrospective, largest_cluster, positions, parts, frames, jigs, airframes, ..] = numbers;
        let [.., unrecorded, by_window] = numbers;
        Spec {
            modifications,
            retrospective,
            largest_cluster,
            positions,
            parts,
            frames,
            jigs,
            airframes,
            unrecorded,
            by_window,
        }
    }
}

/// The files of a project of that size, sorted by path.
pub(crate) fn project(spec: &Spec, seed: u64) -> Vec<(PathBuf, String)> {
    let mut random = Random::new(seed);
    let line = serials::Line::new(spec);
    let mut catalogue = mods::catalogue(&mut random, spec, &line);
    let mut structure = structure::Structure::new();
    let frames = frames::frames(&mut random, spec, &catalogue, &mut structure);
    structure::fill(&mut random, spec, &line, &catalogue, &mut structure);
    structure::leaflet_lists(&mut random, &structure, &mut catalogue);
    let airframes = airframes::airframes(&mut random, spec, &line, &catalogue, (&structure, &frames));
    let shop = shop::shop(&mut random, spec, (&structure, &frames), (&airframes, &line));
    write::files(&write::Project { spec, line, catalogue, structure, frames, airframes, shop })
}

/// True so many times in a hundred.
fn chance(random: &mut Random, percent: usize) -> bool {
    random.below(100) < percent
}

/// One of a list that is not empty.
pub(crate) fn pick<'a, T>(random: &mut Random, from: &'a [T]) -> &'a T {
    &from[random.below(from.len())]
}

/// A whole number from the first to the last, both included.
fn within(random: &mut Random, first: i32, last: i32) -> i32 {
    let span = usize::try_from(last - first + 1).expect("the first is not after the last");
    first + i32::try_from(random.below(span)).expect("a short span")
}

/// The number of a part of a line, from 1.
fn share(of: u32, part: f64) -> u32 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share of a small count")]
    let whole = (f64::from(of) * part) as u32;
    whole.clamp(1, of)
}

/// A day as it is written.
fn date(day: i32) -> String {
    Day(day).to_string()
}

/// The month of a day (`1941-03`) as it is written.
fn month(day: i32) -> String {
    let mut text = date(day);
    text.truncate(7);
    text
}

/// The year of a day as it is written.
fn year(day: i32) -> String {
    let mut text = date(day);
    text.truncate(4);
    text
}

/// The first of January 1936, when the first of the type was built.
const FIRST_BUILT: i32 = -12_419;
/// The last day on which anything of the type was built.
const LAST_BUILT: i32 = FIRST_BUILT + 10 * 365;
/// The last day on which a leaflet was issued.
const LAST_LEAFLET: i32 = FIRST_BUILT + 16 * 365;
/// The first day on which an airframe can have been flown for the last time.
const FIRST_GROUNDED: i32 = FIRST_BUILT + 17 * 365;
