//! Worked examples, recomputed.

use modstate::jig::fit::{Spread, fit, fit_in_plane, fit_mirrored};
use modstate::jig::point::{Motion, Point3};
use modstate::jig::position::{
    Found, Verdict, Zone, at_reference_temperature, bonus, deviation_diameter, expansion_mismatch, judge_hole,
    mating_envelope,
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
        judge_hole(&zone, &Found { dx: 0.12, dy: 0.09, coordinate_uncertainty: 0.0, envelope: Some((envelope, 0.0)) })
    };
    let (large, small) = (at(6.42), at(6.38));
    near(large.bonus, 0.07, 1e-12);
    near(large.allowed, 0.32, 1e-12);
    assert_eq!(large.position, Verdict::Pass);
    near(small.bonus, 0.03, 1e-12);
    near(small.allowed, 0.28, 1e-12);
    assert_eq!(small.position, Verdict::Fail);
    assert_eq!(small.size, Some(Verdict::Pass));
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
    let with =
        |dx: f64, u: f64| judge_hole(&zone, &Found { dx, dy: 0.0, coordinate_uncertainty: u, envelope: None }).position;
    assert_eq!(with(0.13, 0.02), Verdict::Pass);
    assert_eq!(with(0.131, 0.02), Verdict::NotDecidable);
    assert_eq!(with(0.169, 0.02), Verdict::NotDecidable);
    assert_eq!(with(0.171, 0.02), Verdict::Fail);
    assert_eq!(with(f64::NAN, 0.02), Verdict::NotDecidable);
    // A hole that the gauge cannot prove large enough: no verdict on its size, and the bonus carries its doubt.
    let zone = Zone { diameter: 0.30, smallest: Some(6.35) };
    let found = Found { dx: 0.149, dy: 0.0, coordinate_uncertainty: 0.0, envelope: Some((6.351, 0.01)) };
    let judged = judge_hole(&zone, &found);
    assert_eq!((judged.position, judged.size), (Verdict::NotDecidable, Some(Verdict::NotDecidable)));
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

/// Rigid fit, recomputed beforehand in another language with exact inputs.
#[test]
fn a_rigid_fit_of_five_datum_points() {
    let exact = fit(&DATUMS, &FOUND).expect("five points");
    near(exact.rms, 0.0, 1e-12);
    near(exact.turn().0.to_degrees(), 36.869_898, 5e-7);
    let axis = exact.turn().1.expect("it turns");
    near(axis.z, 1.0, 1e-12);
    near(exact.motion.shift.y, -50.0, 1e-10);
    let mut moved = FOUND;
    moved[2].x += 1.0;
    let spread = fit(&DATUMS, &moved).expect("five points");
    near(spread.rms, 0.345_545, 5e-7);
    near(spread.turn().0.to_degrees(), 36.846_984, 5e-7);
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
    near(fit_mirrored(&DATUMS, &mirror).expect("five points").rms, 0.0, 1e-9);
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
