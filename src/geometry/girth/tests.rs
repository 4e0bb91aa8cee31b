use super::*;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

fn near(a: f64, b: f64) {
    assert!((a - b).abs() < SAME_MM, "{a} is not {b}");
}

fn circle(radius: f64) -> Girth {
    Girth::upright(FrameOutline::circle(radius))
}

fn ellipse(half_breadth: f64, half_height: f64) -> Girth {
    Girth::upright(FrameOutline::ellipse(half_breadth, half_height))
}

fn outline(corners: &[(f64, f64, f64)], closed: bool) -> Result<FrameOutline, Vec<CornerFault>> {
    let corners: Vec<PolylineCorner> =
        corners.iter().map(|(x, y, radius)| PolylineCorner { at: (*x, *y), radius: *radius }).collect();
    FrameOutline::polyline(&corners, closed)
}

fn polyline(corners: &[(f64, f64, f64)], closed: bool) -> Girth {
    Girth::upright(outline(corners, closed).unwrap())
}

/// A box of 400 by 300 with rounded corners, from its top centre.
fn box_with_radii(radii: [f64; 4]) -> Girth {
    let [a, b, c, d] = radii;
    let corners = [(0.0, 150.0, 0.0), (200.0, 150.0, a), (200.0, -150.0, b), (-200.0, -150.0, c), (-200.0, 150.0, d)];
    polyline(&corners, true)
}

#[test]
fn circle_is_exact() {
    let circle = circle(500.0);
    near(circle.length_mm(), TAU * 500.0);
    near(circle.girth_at_clock(90.0).unwrap(), 250.0 * PI);
    let (breadth, height) = circle.point_at(250.0 * PI);
    near(breadth, 500.0);
    near(height, 0.0);
}

/// Circumference of an ellipse with half axes 1 and 2, 4 * 2 * E(k^2 = 3/4) with E = 1.211056027568459 (complete
/// elliptic integral of the second kind, Abramowitz and Stegun table 17.1, from memory).
#[test]
fn ellipse_agrees_with_the_elliptic_integral() {
    let ellipse = ellipse(500.0, 1000.0);
    near(ellipse.length_mm(), 4.0 * 1000.0 * 1.211_056_027_568_459);
    near(ellipse.girth_at_clock(180.0).unwrap(), ellipse.length_mm() / 2.0);
}

#[test]
fn polyline_is_counted_from_its_first_point() {
    let open = polyline(&[(0.0, 30.0, 0.0), (40.0, 0.0, 0.0), (40.0, -50.0, 0.0)], false);
    near(open.length_mm(), 100.0);
    near(open.girth_at_clock(90.0).unwrap(), 50.0);
    assert_eq!(open.point_at(75.0), (40.0, -25.0));
    assert_eq!(open.point_at(200.0), (40.0, -50.0));
    assert!(open.girth_at_clock(270.0).unwrap_err().message.ends_with("meets the path nowhere"));
}

#[test]
fn ray_that_meets_a_polyline_twice_is_refused_with_its_places() {
    let hook = polyline(&[(10.0, -10.0, 0.0), (10.0, 10.0, 0.0), (20.0, -10.0, 0.0)], false);
    let message = hook.girth_at_clock(90.0).unwrap_err().message;
    let wanted = "the ray at 90 degrees from the origin meets the path at 2 places along it: 10.00 mm (394 thou) at \
                  90.00 deg, 31.18 mm (1.228 in) at 90.00 deg";
    assert_eq!(message, wanted);
}

/// Each arc of a quarter takes its radius off both sides and gives a quarter of a circle for them.
#[test]
fn corner_radii_shorten_a_box_by_the_part_of_a_square_outside_its_circle() {
    let girth = box_with_radii([40.0, 150.0, 10.0, 90.0]);
    near(girth.length_mm(), 1400.0 - (2.0 - FRAC_PI_2) * (40.0 + 150.0 + 10.0 + 90.0));
    // The middle of the first arc lies on the diagonal of its corner.
    let (x, y) = girth.point_at(160.0 + 20.0 * FRAC_PI_2);
    near(200.0 - x, 40.0 * (1.0 - 0.5_f64.sqrt()));
    near(150.0 - y, 40.0 * (1.0 - 0.5_f64.sqrt()));
}

#[test]
fn rounded_first_corner_starts_in_the_middle_of_its_arc() {
    let corners = [(0.0, 100.0, 20.0), (100.0, 0.0, 0.0), (0.0, -100.0, 0.0), (-100.0, 0.0, 0.0)];
    let girth = polyline(&corners, true);
    let (x, y) = girth.point_at(0.0);
    near(x, 0.0);
    near(y, 100.0 - 20.0 * (2.0_f64.sqrt() - 1.0));
    near(girth.length_mm(), 400.0 * 2.0_f64.sqrt() - 40.0 + 20.0 * FRAC_PI_2);
}

#[test]
fn hollow_corner_turns_the_other_way() {
    let corners = [(0.0, 0.0, 0.0), (100.0, 0.0, 0.0), (100.0, -50.0, 30.0), (200.0, -50.0, 0.0)];
    let girth = polyline(&corners, false);
    near(girth.length_mm(), 250.0 - 60.0 + 30.0 * FRAC_PI_2);
    let (x, y) = girth.point_at(120.0 + 15.0 * FRAC_PI_2);
    near(x, 130.0 - 30.0 * 0.5_f64.sqrt());
    near(y, -20.0 - 30.0 * 0.5_f64.sqrt());
}

#[test]
fn arcs_may_take_a_whole_side_and_no_more() {
    assert!(outline(&[(50.0, 50.0, 50.0), (50.0, -50.0, 50.0), (-90.0, -50.0, 0.0), (-90.0, 50.0, 0.0)], true).is_ok());
    let faults = outline(&[(50.0, 50.0, 50.0), (50.0, -50.0, 51.0), (-90.0, -50.0, 0.0), (-90.0, 50.0, 0.0)], true);
    let [CornerFault::TooLong { corners: [0, 1], takes, side }] = &faults.clone().unwrap_err()[..] else {
        panic!("{faults:?}");
    };
    near(takes[0] + takes[1] - side, 1.0);
    let straight = outline(&[(0.0, 0.0, 0.0), (50.0, 0.0, 5.0), (90.0, 0.0, 0.0)], false);
    assert_eq!(straight, Err(vec![CornerFault::Straight(1)]));
    let ends = outline(&[(0.0, 0.0, 4.0), (50.0, 0.0, 0.0), (90.0, 9.0, 4.0)], false);
    assert_eq!(ends, Err(vec![CornerFault::AtEnd(0), CornerFault::AtEnd(2)]));
}

#[test]
fn fair_curve_goes_through_its_points_and_is_straight_through_points_in_a_line() {
    let points = [(0.0, 300.0), (180.0, 220.0), (260.0, 20.0), (150.0, -190.0), (0.0, -240.0)];
    let girth = Girth::upright(FrameOutline::fair(&points, false));
    for (at, point) in girth.joints().zip(points) {
        let (x, y) = girth.point_at(at);
        near(x, point.0);
        near(y, point.1);
    }
    let line = Girth::upright(FrameOutline::fair(&[(0.0, 0.0), (30.0, -40.0), (90.0, -120.0)], false));
    near(line.length_mm(), 150.0);
}

#[test]
fn ordinates_must_be_met_once() {
    let path = ellipse(300.0, 400.0);
    let quarter = path.length_mm() / 4.0;
    near(path.girth_at_height(0.0, "0mm", Hand::Starboard).unwrap(), quarter);
    near(path.girth_at_height(0.0, "0mm", Hand::Port).unwrap(), 3.0 * quarter);
    near(path.girth_at_height(400.0, "400mm", Hand::Port).unwrap(), 0.0);
    let at = |level| path.girth_at_breadth(180.0, "180mm", Hand::Port, level);
    near(path.point_at(at(Some(Level::Upper)).unwrap()).1, 320.0);
    near(path.point_at(at(Some(Level::Lower)).unwrap()).1, -320.0);
    let twice = at(None).unwrap_err();
    assert!(twice.message.contains("`180mm` to port meets the path at 2 places along it: "), "{}", twice.message);
    assert!(twice.help.starts_with("add `Upper` or `Lower`"), "{}", twice.help);
    let nowhere = path.girth_at_height(401.0, "401mm", Hand::Port).unwrap_err();
    assert_eq!(nowhere.message, "the height `401mm` to port meets the path nowhere");
    // A level side is at its height all along; what runs on to the other side counts as far as this one.
    let level = box_with_radii([0.0; 4]).girth_at_height(-150.0, "-150mm", Hand::Starboard).unwrap_err();
    assert!(
        level
            .message
            .ends_with("all along it from 500.00 mm (19.685 in) at 126.87 deg to 900.00 mm (35.433 in) at 233.13 deg"),
        "{}",
        level.message
    );
    let upright =
        box_with_radii([0.0; 4]).girth_at_breadth(200.0, "200mm", Hand::Port, Some(Level::Upper)).unwrap_err();
    assert!(upright.message.contains("all along it"), "{}", upright.message);
    let radial = polyline(&[(0.0, 0.0, 0.0), (50.0, 50.0, 0.0), (50.0, -50.0, 0.0)], false);
    assert!(radial.girth_at_clock(45.0).is_err() && radial.girth_at_clock(90.0).is_ok());
}

#[test]
fn canted_circle_of_the_body_plan_is_an_ellipse_along_its_plane() {
    let planes = Planes::canted(100.0, 30.0);
    let drawn = Girth::new(FrameOutline::circle(500.0), planes, Ordinates::BodyPlan);
    near(drawn.length_mm(), ellipse(500.0, 500.0 / 30.0_f64.to_radians().cos()).length_mm());
    let top = drawn.spot(0.0);
    near(top.height, 500.0);
    near(top.along_plane, 100.0 + 400.0 / 30.0_f64.to_radians().cos());
    near(top.aft, 400.0 * 30.0_f64.to_radians().tan());
    near(drawn.clock_deg(drawn.girth_at_clock(130.0).unwrap()), 130.0);
    let own = Girth::new(FrameOutline::circle(500.0), planes, Ordinates::InPlane);
    near(own.length_mm(), TAU * 500.0);
    let bottom = own.spot(own.length_mm() / 2.0);
    near(bottom.height, 100.0 - 600.0 * 30.0_f64.to_radians().cos());
    near(bottom.aft, -300.0);
    near(own.spot(own.girth_at_height(-20.0, "-20mm", Hand::Port).unwrap()).along_plane, -20.0);
    near(drawn.spot(drawn.girth_at_height(-20.0, "-20mm", Hand::Port).unwrap()).height, -20.0);
}

#[test]
fn cranked_frame_is_upright_above_its_knuckle_and_leans_below() {
    let planes = Planes::cranked(-50.0, 0.0, -20.0);
    let (cos, tan) = (20.0_f64.to_radians().cos(), 20.0_f64.to_radians().tan());
    let side = outline(&[(100.0, 150.0, 0.0), (100.0, -250.0, 0.0)], false).unwrap();
    let drawn = Girth::new(side.clone(), planes, Ordinates::BodyPlan);
    near(drawn.length_mm(), 200.0 + 200.0 / cos);
    let foot = drawn.spot(drawn.length_mm());
    near(foot.aft, 200.0 * tan);
    near(foot.height, -250.0);
    near(foot.along_plane, -50.0 - 200.0 / cos);
    near(drawn.spot(150.0).aft, 0.0);
    let own = Girth::new(side, planes, Ordinates::InPlane);
    near(own.length_mm(), 400.0);
    near(own.spot(400.0).height, -50.0 - 200.0 * cos);
    assert_eq!(own.only_side_of_knuckle(), None);
    let above = Girth::new(FrameOutline::circle(40.0), planes, Ordinates::InPlane);
    assert_eq!(above.only_side_of_knuckle(), Some("above"));
}

#[test]
fn sides_and_mirror_images() {
    let path = ellipse(300.0, 400.0);
    let whole = path.length_mm();
    let (starboard, port) = path.sides_mm(whole - 30.0, 100.0);
    near(starboard, 70.0);
    near(port, 30.0);
    near(path.mirrored_mm(70.0).unwrap(), whole - 70.0);
    let lopsided = box_with_radii([0.0, 10.0, 0.0, 0.0]);
    assert_eq!(lopsided.mirrored_mm(70.0), None);
    near(box_with_radii([5.0, 9.0, 9.0, 5.0]).mirrored_mm(0.0).unwrap(), 0.0);
}

#[test]
fn clock_angles_have_their_unit() {
    assert_eq!(clock_angle("122.5deg"), Ok(122.5));
    assert_eq!(clock_angle("0 deg"), Ok(0.0));
    for text in ["122", "360deg", "-5deg", "deg", "infdeg", "1e2deg"] {
        assert!(clock_angle(text).is_err(), "{text}");
    }
    assert_eq!(lean_angle("8deg"), Ok(8.0));
    for text in ["8", "0deg", "90deg", "-8deg"] {
        assert!(lean_angle(text).is_err(), "{text}");
    }
}
