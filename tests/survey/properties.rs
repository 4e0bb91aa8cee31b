//! What must hold for any points.

use modstate::metrology::fit::{fit, fit_in_plane};
use modstate::metrology::identify::{MeasuredFace, PatternHand, Placement, PlateHole, PlatePatterns, UnnamedHoles};
use modstate::metrology::point::{Motion, Point3};
use modstate::metrology::robust::{Dimension, robust_fit};
use proptest::prelude::*;

fn point(depth: f64) -> impl Strategy<Value = Point3> {
    (-500.0..500.0, -300.0..300.0, -1.0..1.0).prop_map(move |(x, y, z): (f64, f64, f64)| Point3::new(x, y, z * depth))
}

fn motion() -> impl Strategy<Value = Motion> {
    (point(300.0), prop::array::uniform3(-3.0..3.0f64))
        .prop_map(|(shift, [a, b, c])| Motion::turn(Point3::new(a, b, c) * 0.6, shift))
}

/// Points whose smallest extent is not nothing: a fit of nearly collinear points is ill conditioned for any method.
fn spread(points: &[Point3]) -> bool {
    let middle = Point3::centroid(points);
    let most = |axis: fn(Point3) -> f64| points.iter().map(|&p| axis(p - middle).abs()).fold(0.0, f64::max);
    most(|p| p.x) > 50.0 && most(|p| p.y) > 50.0
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(if cfg!(debug_assertions) { 48 } else { 512 }))]

    #[test]
    fn a_fit_is_blind_to_where_the_instrument_stood(
        from in prop::collection::vec(point(200.0), 5..20),
        noise in prop::collection::vec(point(1.0), 20),
        stand in motion(),
    ) {
        prop_assume!(spread(&from));
        let to: Vec<Point3> = from.iter().zip(&noise).map(|(&p, &e)| p + e * 0.001).collect();
        let moved: Vec<Point3> = to.iter().map(|&p| stand.apply(p)).collect();
        let (here, there) = (fit(&from, &to).expect("points"), fit(&from, &moved).expect("points"));
        prop_assert!((here.rms - there.rms).abs() < 1e-9);
        for (a, b) in here.residuals.iter().zip(&there.residuals) {
            prop_assert!((stand.rotate(*a) - *b).norm() < 1e-8);
        }
    }

    #[test]
    fn a_mirrored_pattern_is_never_mirrored_back(from in prop::collection::vec(point(200.0), 6..20), stand in motion()) {
        prop_assume!(spread(&from));
        let mirror: Vec<Point3> = from.iter().map(|p| stand.apply(Point3::new(p.x, -p.y, p.z))).collect();
        let proper = fit(&from, &mirror).expect("points");
        let [a, b, c] = proper.motion.rotation.map(|r| Point3::new(r[0], r[1], r[2]));
        prop_assert!((a.cross(b).dot(c) - 1.0).abs() < 1e-9, "a fit never mirrors");
    }

    #[test]
    fn two_bad_holes_in_five_do_not_spoil_the_robust_fit(
        from in prop::collection::vec(point(0.0), 10..25),
        bad in prop::collection::vec(point(0.0), 10),
        angle in -3.0..3.0f64,
    ) {
        prop_assume!(spread(&from));
        let stand = Motion::in_plane(angle, Point3::new(40.0, -9.0, 0.0));
        let mut to: Vec<Point3> = from.iter().map(|&p| stand.apply(p)).collect();
        let spoilt = from.len() * 2 / 5;
        for (p, e) in to.iter_mut().zip(&bad).take(spoilt) {
            *p = *p + Point3::new(e.x + e.x.signum() * 5.0, e.y, 0.0);
        }
        let robust = robust_fit(&from, &to, Dimension::Plane, 0.01).expect("many holes");
        prop_assert_eq!(robust.bad, (0..spoilt).collect::<Vec<_>>());
        prop_assert!(robust.fit.rms < 1e-9);
        prop_assert!(fit_in_plane(&from, &to).expect("points").rms > 0.1);
    }

    #[test]
    fn a_plate_of_the_other_hand_is_named_mirrored(
        places in prop::collection::vec(point(0.0), 8..20),
        angle in -3.0..3.0f64,
        shift in point(0.0),
    ) {
        prop_assume!(spread(&places));
        let stand = Motion::in_plane(angle, shift);
        let holes = |mirror: f64| -> Vec<Point3> {
            places.iter().map(|p| stand.apply(Point3::new(p.x, mirror * p.y, 0.0))).collect()
        };
        let catalogue = PlatePatterns::new(vec![places.iter().map(|&at| PlateHole { at, zone: 0.2 }).collect()]);
        let hand = |holes| {
            let reading = UnnamedHoles { holes, face: MeasuredFace::Marked, placement: Placement::Free, uncertainty: 0.02 };
            catalogue.identify(&reading).hand
        };
        prop_assert_eq!(hand(holes(1.0)), PatternHand::AsDrawn);
        prop_assert_eq!(hand(holes(-1.0)), PatternHand::Mirrored);
    }
}
