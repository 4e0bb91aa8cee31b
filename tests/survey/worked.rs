//! Worked examples, recomputed.

use crate::random::Random;
use modstate::metrology::fit::{Spread, fit, fit_in_plane};
use modstate::metrology::point::{Motion, Point3};
use modstate::metrology::position::{
    HoleMeasurement, LimitVerdict, Zone, at_reference_temperature, bonus, deviation_diameter, expansion_mismatch,
    judge_hole, mating_envelope,
};

fn near(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} is not {b}");
}

/// Position tolerance as textbooks of geometric tolerancing work it (engineering notes; ASME Y14.5 terms).
#[test]
fn position_deviation_and_bonus() {
    near(deviation_diameter(0.12, 0.09), 0.300, 1e-12);
    let zone = Zone { diameter: 0.25, smallest: Some(6.35) };
    let at = |envelope: f64| {
        let found = HoleMeasurement {
            dx: 0.12,
            dy: 0.09,
            coordinate_uncertainty: 0.0,
            diameter: Some((envelope, 0.0)),
            out_of_square: Some(0.0),
        };
        judge_hole(&zone, &found)
    };
    let (large, small) = (at(6.42), at(6.38));
    near(large.bonus, 0.07, 1e-12);
    near(large.allowed, 0.32, 1e-12);
    assert_eq!(large.position, LimitVerdict::Pass);
    near(small.bonus, 0.03, 1e-12);
    near(small.allowed, 0.28, 1e-12);
    assert_eq!(small.position, LimitVerdict::Fail);
    assert_eq!(small.size, Some(LimitVerdict::Pass));
}

/// The bonus comes from the actual mating envelope, not from the raw size (engineering notes; ASME Y14.5 terms). Inches.
#[test]
fn the_bonus_is_that_of_the_mating_envelope() {
    near(bonus(0.499, mating_envelope(0.502, 0.002)), 0.001, 1e-12);
    near(bonus(0.499, 0.502), 0.003, 1e-12);
    near(bonus(0.499, 0.498), 0.0, 0.0);
}

#[test]
fn the_guard_band_leaves_near_cases_open() {
    let zone = Zone { diameter: 0.30, smallest: None };
    let with = |dx: f64, coordinate_uncertainty: f64| {
        let found = HoleMeasurement { dx, dy: 0.0, coordinate_uncertainty, diameter: None, out_of_square: None };
        judge_hole(&zone, &found).position
    };
    // 0.02 mm of one coordinate (k = 2) are 0.0341 mm of the radius.
    assert_eq!(with(0.115, 0.02), LimitVerdict::Pass);
    assert_eq!(with(0.117, 0.02), LimitVerdict::NotDecidable);
    assert_eq!(with(0.184, 0.02), LimitVerdict::NotDecidable);
    assert_eq!(with(0.185, 0.02), LimitVerdict::Fail);
    assert_eq!(with(f64::NAN, 0.02), LimitVerdict::NotDecidable);
    // A hole that the gauge cannot prove large enough: no verdict on its size, and the bonus carries its doubt.
    let zone = Zone { diameter: 0.30, smallest: Some(6.35) };
    let found = HoleMeasurement {
        dx: 0.149,
        dy: 0.0,
        coordinate_uncertainty: 0.0,
        diameter: Some((6.351, 0.01)),
        out_of_square: Some(0.0),
    };
    let judged = judge_hole(&zone, &found);
    assert_eq!((judged.position, judged.size), (LimitVerdict::NotDecidable, Some(LimitVerdict::NotDecidable)));
}

/// With a diameter alone there is no mating envelope and no bonus, and a hole too small is still one.
#[test]
fn a_diameter_alone_gives_no_bonus() {
    let zone = Zone { diameter: 0.25, smallest: Some(6.35) };
    let with = |diameter: f64, out_of_square| {
        let found = HoleMeasurement {
            dx: 0.12,
            dy: 0.09,
            coordinate_uncertainty: 0.0,
            diameter: Some((diameter, 0.0)),
            out_of_square,
        };
        judge_hole(&zone, &found)
    };
    near(with(6.42, None).bonus, 0.0, 0.0);
    // A square hole of that size would be within, so that it is not proved out.
    assert_eq!((with(6.42, None).position, with(6.42, None).mating_size_tells), (LimitVerdict::NotDecidable, true));
    assert_eq!((with(6.39, None).position, with(6.39, None).mating_size_tells), (LimitVerdict::Fail, false));
    assert_eq!(with(6.42, Some(0.01)).position, LimitVerdict::Pass);
    assert_eq!(with(6.30, None).size, Some(LimitVerdict::Fail));
}

/// Of perfect holes (on their nominal, at the edge of the zone, and in between) at most 0.3 % are ever proved out, however
/// small the zone is against the instrument. Errors drawn from the normal law.
#[test]
fn good_holes_are_hardly_ever_proved_out() {
    let mut random = Random::new(41);
    let many = if cfg!(debug_assertions) { 20_000 } else { 400_000 };
    for zone in [0.001, 0.02, 0.05, 0.1, 0.3] {
        for part in [0.0, 0.5, 1.0] {
            let out = (0..many).filter(|_| {
                let (dx, dy) = (part * zone / 2.0 + 0.01 * random.normal(), 0.01 * random.normal());
                let found =
                    HoleMeasurement { dx, dy, coordinate_uncertainty: 0.02, diameter: None, out_of_square: None };
                judge_hole(&Zone { diameter: zone, smallest: None }, &found).position == LimitVerdict::Fail
            });
            let out = out.count();
            // Three standard deviations of the count beside the promised share.
            let promised = 0.003 * f64::from(many);
            assert!(
                f64::from(u32::try_from(out).expect("few")) <= promised + 3.0 * promised.sqrt(),
                "{out} of {many}, zone {zone}, at {part}"
            );
        }
    }
}

/// Linear expansion 11.5e-6 /K for steel and 23e-6 /K for light alloy: handbook values, from memory.
#[test]
fn lengths_are_brought_to_twenty_degrees() {
    let there = at_reference_temperature(&[Point3::new(2000.023, 0.0, 0.0)], Point3::default(), 21.0, 11.5e-6);
    near(there[0].x, 2000.0, 1e-9);
    near(expansion_mismatch(2000.0, 30.0, 11.5e-6, 23e-6), 0.23, 1e-12);
}

const DATUMS: [Point3; 5] = [
    Point3::new(0.0, 0.0, 0.0),
    Point3::new(1000.0, 0.0, 0.0),
    Point3::new(1000.0, 500.0, 0.0),
    Point3::new(0.0, 500.0, 0.0),
    Point3::new(500.0, 250.0, 200.0),
];
const FOUND: [Point3; 5] = [
    Point3::new(100.0, -50.0, 25.0),
    Point3::new(900.0, 550.0, 25.0),
    Point3::new(600.0, 950.0, 25.0),
    Point3::new(-200.0, 350.0, 25.0),
    Point3::new(350.0, 450.0, 225.0),
];

/// The angle of a turn in space, in radians: from how far it carries each axis off.
pub(crate) fn turn(motion: &Motion) -> f64 {
    let r = motion.rotation;
    let sine = Point3::new(r[2][1] - r[1][2], r[0][2] - r[2][0], r[1][0] - r[0][1]).norm();
    sine.atan2(r[0][0] + r[1][1] + r[2][2] - 1.0)
}

/// Rigid fit, recomputed beforehand in another language with exact inputs.
#[test]
fn a_rigid_fit_of_five_datum_points() {
    let exact = fit(&DATUMS, &FOUND).expect("five points");
    near(exact.rms, 0.0, 1e-12);
    near(turn(&exact.motion).to_degrees(), 36.869_898, 5e-7);
    near(exact.motion.rotation[2][2], 1.0, 1e-12);
    near(exact.motion.shift.y, -50.0, 1e-10);
    let mut moved = FOUND;
    moved[2].x += 1.0;
    let spread = fit(&DATUMS, &moved).expect("five points");
    near(spread.rms, 0.345_545, 5e-7);
    near(turn(&spread.motion).to_degrees(), 36.846_984, 5e-7);
    for (residual, printed) in spread.residuals.iter().zip([0.0983, 0.3311, 0.6057, 0.2747, 0.1880]) {
        near(residual.norm(), printed, 5e-5);
    }
}

#[test]
fn a_mirrored_pattern_shows_in_space_but_not_in_a_plane() {
    let mirror: Vec<Point3> = DATUMS.iter().map(|p| Point3::new(p.x, -p.y, p.z)).collect();
    let solid = fit(&DATUMS, &mirror).expect("five points");
    near(solid.rms, 160.0, 0.05);
    assert_eq!(solid.spread, Spread::Space);
    let flat = fit(&DATUMS[..4], &mirror[..4]).expect("four points");
    near(flat.rms, 0.0, 1e-9);
    assert_eq!(flat.spread, Spread::Plane);
    // Held to its face, the plane pattern shows its hand again (a symmetric one would not).
    let lopsided = [DATUMS[0], DATUMS[1], DATUMS[2]];
    assert!(fit_in_plane(&lopsided, &[mirror[0], mirror[1], mirror[2]]).expect("three points").rms > 50.0);
}

#[test]
fn a_motion_and_its_inverse_cancel() {
    let motion = Motion::turn(Point3::new(0.3, -1.1, 0.4), Point3::new(5.0, 6.0, -7.0));
    let p = Point3::new(100.0, -20.0, 3.0);
    near((motion.inverse().apply(motion.apply(p)) - p).norm(), 0.0, 1e-12);
}
