//! Plates distinguished by their holes: a large invented catalogue, and small cases for each verdict.

use std::io::Write as _;
use std::time::{Duration, Instant};

use modstate::metrology::identify::{
    Identification, MatchVerdict, MeasuredFace, Mounting, PatternHand, Placement, PlateHole, PlatePatterns,
    UnnamedHoles,
};
use modstate::metrology::point::{Motion, Point3};

use rayon::prelude::*;

use crate::random::Random;

const UNCERTAINTY: f64 = 0.06;
const ZONE: f64 = 0.3;

fn plate(places: &[Point3]) -> Vec<PlateHole> {
    places.iter().map(|&at| PlateHole { at, zone: ZONE }).collect()
}

/// Holes at least 8 mm apart, half of the time on a 5 mm grid, half of them in evenly pitched rows.
fn pattern(holes: usize, random: &mut Random) -> Vec<Point3> {
    let grid = random.below(2) == 0;
    let place = |random: &mut Random| {
        let p = Point3::new(random.between(0.0, 500.0), random.between(0.0, 300.0), 0.0);
        if grid { Point3::new((p.x / 5.0).round() * 5.0, (p.y / 5.0).round() * 5.0, 0.0) } else { p }
    };
    let mut places: Vec<Point3> = Vec::new();
    while places.len() < holes {
        let start = place(random);
        let run = if random.below(2) == 0 { 1 } else { 3 + random.below(4) };
        for k in 0..run {
            let p = start + Point3::new(25.4 * f64::from(u8::try_from(k).expect("few")), 0.0, 0.0);
            if places.len() < holes && places.iter().all(|q| (p - *q).norm() > 8.0) {
                places.push(p);
            }
        }
    }
    places
}

/// Families of four: the plate, two neighbour variants with some holes moved, and (for every third family) its other
/// hand, else a third variant.
fn catalogue(plates: usize, random: &mut Random) -> (Vec<Vec<Point3>>, Vec<bool>) {
    let (mut all, mut has_other_hand) = (Vec::new(), Vec::new());
    while all.len() < plates {
        let holes = 10 + random.below(51);
        let base = pattern(holes, random);
        let paired = (all.len() / 4) % 3 == 0;
        let variants = if paired { 2 } else { 3 };
        all.push(base.clone());
        has_other_hand.push(paired);
        for _ in 0..variants {
            let mut variant = base.clone();
            let moved = 4 + random.below(3);
            for hole in random.choose(holes, moved) {
                let angle = random.between(0.0, std::f64::consts::TAU);
                let by = Point3::new(angle.cos(), angle.sin(), 0.0) * random.between(2.0, 4.0);
                variant[hole] = variant[hole] + by;
            }
            all.push(variant);
            has_other_hand.push(false);
        }
        if paired {
            all.push(base.iter().map(|p| Point3::new(500.0 - p.x, p.y, 0.0)).collect());
            has_other_hand.push(true);
        }
    }
    (all, has_other_hand)
}

/// The holes as an instrument would give them: a fifth missing, a tenth strange, anywhere.
fn read(places: &[Point3], mirrored: bool, face: MeasuredFace, random: &mut Random) -> UnnamedHoles {
    let kept = random.choose(places.len(), places.len() - places.len() / 5);
    let pose = Motion::in_plane(
        random.between(-3.1, 3.1),
        Point3::new(random.between(-2000.0, 2000.0), random.between(-2000.0, 2000.0), 0.0),
    );
    let flip = |p: Point3, really: bool| if really { Point3::new(-p.x, p.y, 0.0) } else { p };
    let mut metal = Vec::new();
    for k in kept {
        let angle = random.between(0.0, std::f64::consts::TAU);
        metal.push(places[k] + Point3::new(angle.cos(), angle.sin(), 0.0) * random.between(0.0, 0.3 * ZONE));
    }
    for _ in 0..places.len() / 10 {
        metal.push(Point3::new(random.between(0.0, 500.0), random.between(0.0, 300.0), 0.0));
    }
    let mut holes: Vec<Point3> = metal
        .into_iter()
        .map(|p| {
            let error = Point3::new(random.normal(), random.normal(), 0.0) * (UNCERTAINTY / 2.0);
            pose.apply(flip(flip(p, mirrored), face == MeasuredFace::Back)) + error
        })
        .collect();
    // The order must not help.
    holes.sort_by(|a, b| a.x.total_cmp(&b.x));
    UnnamedHoles { holes, face, placement: Placement::Free, uncertainty: UNCERTAINTY }
}

fn right(found: &Identification, plate: usize) -> bool {
    found.verdict == MatchVerdict::One && found.leader.as_ref().is_some_and(|l| l.plate == plate)
}

/// One reading of one plate of the catalogue, and how it was answered.
struct Trial {
    plate: usize,
    face: MeasuredFace,
    mirrored: bool,
    found: Identification,
    took: Duration,
    /// Neither named right nor, without a telling hole, among the equals; or the hand is wrong.
    wrong: bool,
    /// No telling hole happened to be measured.
    several: bool,
}

fn trial(i: usize, catalogue: &PlatePatterns, patterns: &[Vec<Point3>], has_other_hand: &[bool]) -> Trial {
    let mut random = Random::new(u64::try_from(i).expect("few") + 50_000);
    let plate = i * 7 % patterns.len();
    let mirrored = i.is_multiple_of(4) && !has_other_hand[plate];
    let face =
        [MeasuredFace::Marked, MeasuredFace::Back, MeasuredFace::Marked, MeasuredFace::Back, MeasuredFace::Unknown]
            [i % 5];
    let reading = read(&patterns[plate], mirrored, face, &mut random);
    let start = Instant::now();
    let found = catalogue.identify(&reading);
    let took = start.elapsed();
    let hand = match (face, mirrored) {
        (MeasuredFace::Unknown, _) => PatternHand::NotKnown,
        (MeasuredFace::Marked | MeasuredFace::Back, true) => PatternHand::Mirrored,
        (MeasuredFace::Marked | MeasuredFace::Back, false) => PatternHand::AsDrawn,
    };
    let among = found.leader.iter().chain(found.equals.iter().map(|c| &c.rival)).any(|c| c.plate == plate);
    // Without the face, a plate and its other hand are the same pattern; and where every telling hole happens to be
    // missing, "several" is the right answer, with the plate among them.
    let equal = found.verdict == MatchVerdict::Several && among;
    let wrong = !(right(&found, plate) || equal) || found.hand != hand;
    let several = equal && !(face == MeasuredFace::Unknown && has_other_hand[plate]);
    Trial { plate, face, mirrored, found, took, wrong, several }
}

/// 2,000 readings of a catalogue of 2,000 plates in an optimised build, 24 of 80 in a debug build.
#[test]
fn plates_of_a_large_catalogue_are_named_with_their_hand() {
    let (plates, readings) = if cfg!(debug_assertions) { (80, 24) } else { (2000, 2000) };
    let (patterns, has_other_hand) = catalogue(plates, &mut Random::new(11));
    let built = Instant::now();
    let catalogue = PlatePatterns::new(patterns.iter().map(|p| plate(p)).collect());
    let built = built.elapsed();
    let run = |i: usize| trial(i, &catalogue, &patterns, &has_other_hand);
    // The first ones alone, for their times.
    let timed = readings.min(100);
    let mut trials: Vec<Trial> = (0..timed).map(run).collect();
    let durations: Vec<Duration> = trials.iter().map(|t| t.took).collect();
    let mean = durations.iter().sum::<Duration>() / u32::try_from(timed).expect("few");
    trials.par_extend((timed..readings).into_par_iter().map(run));
    let of = |test: fn(&Trial) -> bool| trials.iter().filter(|t| test(t)).count();
    let (wrong, several) = (of(|t| t.wrong), of(|t| t.several));
    writeln!(
        std::io::stdout(),
        "{readings} readings on {plates} plates: {wrong} wrong, {several} without a telling hole, {} of the wrong hand; \
         index {built:?}, mean {mean:?}, longest {:?}",
        of(|t| t.mirrored && t.face != MeasuredFace::Unknown),
        durations.iter().max().expect("some"),
    )
    .expect("stdout");
    let shown: Vec<_> = trials
        .iter()
        .filter(|t| t.wrong)
        .map(|t| (t.plate, t.face, t.mirrored, t.found.verdict, t.found.hand, t.found.leader.as_ref().map(|l| l.plate)))
        .collect();
    assert!(wrong * 1000 < readings, "{shown:?}");
    assert!(several * 200 < readings, "{several} readings had no telling hole");
    assert_eq!(
        of(|t| t.wrong && t.mirrored && t.face != MeasuredFace::Unknown),
        0,
        "a wrong hand went unnamed: {shown:?}"
    );
    // 200 ms each are wanted of an idle machine with an optimised build; the bound only catches a change of order.
    assert!(cfg!(debug_assertions) || mean < Duration::from_secs(1), "{mean:?}");
}

/// A lopsided plate and a variant with the last three holes moved by 5 mm.
fn pair() -> (Vec<Point3>, Vec<Point3>) {
    let base: Vec<Point3> =
        [(0.0, 0.0), (120.0, 0.0), (120.0, 80.0), (35.0, 62.0), (70.0, 20.0), (15.0, 40.0), (90.0, 55.0), (50.0, 75.0)]
            .map(|(x, y)| Point3::new(x, y, 0.0))
            .to_vec();
    let mut variant = base.clone();
    for p in &mut variant[5..] {
        p.x += 5.0;
    }
    (base, variant)
}

fn reading(holes: Vec<Point3>, face: MeasuredFace, placement: Placement) -> UnnamedHoles {
    UnnamedHoles { holes, face, placement, uncertainty: UNCERTAINTY }
}

#[test]
fn the_verdict_names_the_telling_holes() {
    let (base, variant) = pair();
    let catalogue = PlatePatterns::new(vec![plate(&base), plate(&variant)]);
    let found = catalogue.identify(&reading(variant, MeasuredFace::Marked, Placement::Free));
    assert!(right(&found, 1));
    let telling: Vec<usize> = found.ruled_out[0].for_leader.iter().map(|m| m.hole).collect();
    assert_eq!(telling, [5, 6, 7]);
    assert_eq!(found.ruled_out[0].silent_rival, [5, 6, 7]);
}

#[test]
fn shared_holes_alone_prove_nothing() {
    let (base, variant) = pair();
    let catalogue = PlatePatterns::new(vec![plate(&base), plate(&variant)]);
    let found = catalogue.identify(&reading(base[..5].to_vec(), MeasuredFace::Marked, Placement::Free));
    assert_eq!(found.verdict, MatchVerdict::Several);
    assert_eq!(found.equals[0].silent_leader, [5, 6, 7]);
    assert_eq!(found.missing, [5, 6, 7]);
}

#[test]
fn holes_of_both_variants_are_a_mixture() {
    let (base, variant) = pair();
    let catalogue = PlatePatterns::new(vec![plate(&base), plate(&variant)]);
    let mut holes = base;
    holes[7] = variant[7];
    let found = catalogue.identify(&reading(holes, MeasuredFace::Marked, Placement::Free));
    assert_eq!(found.verdict, MatchVerdict::Mixed);
    assert_eq!(found.leader.as_ref().map(|l| l.plate), Some(0));
    assert_eq!(found.mixed_with[0].for_rival.iter().map(|m| m.hole).collect::<Vec<_>>(), [7]);
}

#[test]
fn variants_that_differ_by_less_than_zone_and_instrument_match_equally() {
    let (base, _) = pair();
    let near: Vec<Point3> = base.iter().map(|p| Point3::new(p.x * 1.0005, p.y, 0.0)).collect();
    let catalogue = PlatePatterns::new(vec![plate(&base), plate(&near)]);
    let found = catalogue.identify(&reading(base, MeasuredFace::Marked, Placement::Free));
    assert_eq!((found.verdict, found.equals.len()), (MatchVerdict::Several, 1));
    assert!(found.equals[0].silent_rival.is_empty(), "not one hole could ever tell them apart");
}

#[test]
fn a_hand_shows_only_with_the_face() {
    let (base, _) = pair();
    let catalogue = PlatePatterns::new(vec![plate(&base)]);
    let mirror: Vec<Point3> = base.iter().map(|p| Point3::new(-p.x, p.y, 0.0)).collect();
    let hand = |holes: &[Point3], face| catalogue.identify(&reading(holes.to_vec(), face, Placement::Free)).hand;
    assert_eq!(hand(&base, MeasuredFace::Marked), PatternHand::AsDrawn);
    assert_eq!(hand(&mirror, MeasuredFace::Marked), PatternHand::Mirrored);
    assert_eq!(hand(&mirror, MeasuredFace::Back), PatternHand::AsDrawn);
    assert_eq!(hand(&base, MeasuredFace::Unknown), PatternHand::NotKnown);
    assert_eq!(hand(&mirror, MeasuredFace::Unknown), PatternHand::NotKnown);
    // With both hands in the catalogue the mirrored reading is the other plate as drawn, not this one mirrored.
    let both = PlatePatterns::new(vec![plate(&base), plate(&mirror)]);
    let found = both.identify(&reading(mirror.clone(), MeasuredFace::Marked, Placement::Free));
    assert!(right(&found, 1));
    assert_eq!(found.hand, PatternHand::AsDrawn);
    let found = both.identify(&reading(mirror, MeasuredFace::Unknown, Placement::Free));
    assert_eq!((found.verdict, found.hand), (MatchVerdict::Several, PatternHand::NotKnown));
    // A pattern that is its own mirror image has no hand to show.
    let square: Vec<Point3> = [(0.0, 0.0), (90.0, 0.0), (90.0, 60.0), (0.0, 60.0), (45.0, 20.0)]
        .map(|(x, y)| Point3::new(x, y, 0.0))
        .to_vec();
    let same =
        PlatePatterns::new(vec![plate(&square)]).identify(&reading(square, MeasuredFace::Marked, Placement::Free));
    assert_eq!(same.hand, PatternHand::Same);
}

#[test]
fn a_plate_mounted_turned_shows_in_the_jig_axes() {
    let (base, _) = pair();
    let catalogue = PlatePatterns::new(vec![plate(&base)]);
    let mounting = |holes: &[Point3], placement| {
        catalogue.identify(&reading(holes.to_vec(), MeasuredFace::Marked, placement)).mounting
    };
    assert_eq!(mounting(&base, Placement::JigAxes), Mounting::AsDrawn);
    assert_eq!(mounting(&base, Placement::Free), Mounting::NotKnown);
    let about = Motion::in_plane(std::f64::consts::PI, Point3::new(120.0, 80.0, 0.0));
    let turned: Vec<Point3> = base.iter().map(|&p| about.apply(p)).collect();
    let Mounting::Moved { turn, shift } = mounting(&turned, Placement::JigAxes) else { panic!("it is turned") };
    assert!((turn.abs() - std::f64::consts::PI).abs() < 1e-6 && (shift - about.shift).norm() < 1e-6);
}

#[test]
fn a_strange_pattern_is_no_plate() {
    let (base, variant) = pair();
    let catalogue = PlatePatterns::new(vec![plate(&base), plate(&variant)]);
    let strange = pattern(12, &mut Random::new(5));
    assert_eq!(
        catalogue.identify(&reading(strange, MeasuredFace::Marked, Placement::Free)).verdict,
        MatchVerdict::None
    );
    let few = catalogue.identify(&reading(base[..3].to_vec(), MeasuredFace::Marked, Placement::Free));
    assert_eq!(few.verdict, MatchVerdict::None);
    let nothing =
        catalogue.identify(&reading(vec![Point3::new(f64::NAN, 0.0, 0.0); 6], MeasuredFace::Marked, Placement::Free));
    assert_eq!(nothing.verdict, MatchVerdict::None);
}
