//! Paths of every kind: properties that hold for all of them, and agreement with scipy where a Python with it is at
//! hand (set `MODSTATE_ORACLES` to that interpreter).

use crate::project::{SOUND, sound};
use crate::random::Random;
use modstate::geometry::Girth;
use modstate::geometry::girth::{FrameOutline, PlanePoint, Planes, PolylineCorner};
use modstate::schema::{Hand, Ordinates};
use proptest::prelude::*;
use serde_json::{Value, json};
use std::io::Write as _;

/// The path of the one frame of the sound project, written otherwise.
fn written(plane: &str, path: &str, at: &str) -> (Girth, f64) {
    let text = SOUND
        .replace("girth: Circle(radius: \"500mm\")", &format!("{plane} girth: {path}"))
        .replace("Girth(\"1570mm\")", at);
    let model = sound(&text);
    let (_, _, frame) = model.frames.iter().next().expect("one frame");
    (frame.girth.clone(), frame.splice_points[1].girth_mm)
}

#[test]
fn offsets_of_one_side_are_mirrored_and_joined_as_the_dossier_says() {
    let rows = r#"rows: [Buttock("0mm", "300mm"), Waterline("100mm", "250mm"), Waterline("-100mm", "250mm"), Buttock("0mm", "-300mm")]"#;
    let slope = 200.0_f64.hypot(250.0);
    let (girth, at) = written(
        "",
        &format!("Offsets(given: OneSide, joined: Straight, closed: true, {rows})"),
        "Height(\"0mm\", Port)",
    );
    assert!((girth.length_mm() - 4.0 * slope - 400.0).abs() < 1e-6, "{}", girth.length_mm());
    assert!((at - 3.0 * slope - 300.0).abs() < 1e-6, "{at}");
    let (fair, at) = written(
        "",
        &format!("Offsets(given: OneSide, joined: Fair, closed: true, {rows})"),
        "Breadth(\"250mm\", Port, Lower)",
    );
    assert!(fair.length_mm() > girth.length_mm() && fair.mirrored_mm(0.0) == Some(0.0));
    assert!((fair.point_at(at).0 + 250.0).abs() < 1e-6 && fair.point_at(at).1 < 0.0);
    let below = r#"rows: [Buttock("0mm", "300mm"), Waterline("100mm", "250mm")]"#;
    let (arch, at) =
        written("", &format!("Offsets(given: OneSide, joined: Straight, closed: false, {below})"), "Girth(\"2mm\")");
    assert!(!arch.is_closed() && (arch.length_mm() - 2.0 * slope).abs() < 1e-6 && (at - 2.0).abs() < 1e-9);
    assert!((arch.point_at(0.0).0 + 250.0).abs() < 1e-9, "an arch starts at its port foot");
    let both = r#"rows: [Waterline("-100mm", "-260mm"), Buttock("-40mm", "300mm"), Waterline("-100mm", "250mm")]"#;
    let (lopsided, _) = written(
        "",
        &format!("Offsets(given: BothSides, joined: Straight, closed: false, {both})"),
        "Height(\"-99mm\", Port)",
    );
    assert!((lopsided.point_at(0.0).0 + 260.0).abs() < 1e-9 && lopsided.mirrored_mm(0.0).is_none());
}

#[test]
fn planes_and_corner_radii_are_taken_from_the_dossier() {
    let plane = r#"plane: Canted(lean: Aft("10deg"), station_at: "0mm", ordinates: BodyPlan),"#;
    let (girth, at) =
        written(plane, "Ellipse(half_breadth: \"300mm\", half_height: \"400mm\")", "Height(\"-200mm\", Starboard)");
    let spot = girth.spot(at);
    assert!((spot.height + 200.0).abs() < 1e-6 && (spot.aft + 200.0 * 10.0_f64.to_radians().tan()).abs() < 1e-6);
    let plane = r#"plane: Cranked(knuckle: "4in", above: Upright, below: Forward("12.5deg"), ordinates: InPlane),"#;
    let path = r#"Polyline(points: [("0mm", "300mm"), ("250mm", "300mm", "2in"), ("250mm", "-300mm", "100mm"), ("-250mm", "-300mm", "100mm"), ("-250mm", "300mm", "2in")], closed: true)"#;
    let (girth, at) = written(plane, path, "Breadth(\"-10mm\", Port, Upper)");
    assert!((girth.length_mm() - 2200.0 + (2.0 - std::f64::consts::FRAC_PI_2) * (200.0 + 101.6)).abs() < 1e-6);
    assert!((at - 10.0).abs() < 1e-6, "{at}");
    let foot = girth.spot(girth.length_mm() / 2.0);
    assert!((foot.aft - 401.6 * 12.5_f64.to_radians().sin()).abs() < 1e-6, "{}", foot.aft);
}

/// An outline as it is drawn, with what another program needs to measure it.
struct Drawn {
    outline: FrameOutline,
    said: Value,
    closed: bool,
}

/// Points of one side from the top to the bottom, from shares of a half-breadth.
fn side(half: f64, high: f64, shares: &[f64]) -> Vec<PlanePoint> {
    let last = shares.len() + 1;
    let at = |index: usize| {
        let turn = std::f64::consts::PI * share(index, last);
        (half * turn.sin() * shares.get(index.wrapping_sub(1)).copied().unwrap_or(0.0), high * turn.cos())
    };
    (0..=last).map(at).collect()
}

fn share(index: usize, of: usize) -> f64 {
    let number = |count: usize| f64::from(u32::try_from(count).expect("a small count"));
    number(index) / number(of)
}

fn mirrored(side: &[PlanePoint]) -> Vec<PlanePoint> {
    let port = side.iter().rev().filter(|(x, _)| *x > 0.0).map(|(x, y)| (-x, *y));
    side.iter().copied().chain(port).collect()
}

/// A star-shaped outline of one of five kinds, round the origin if it is closed.
fn drawn(kind: usize, half: f64, high: f64, shares: &[f64]) -> Drawn {
    let side = side(half, high, shares);
    match kind {
        0 => Drawn { outline: FrameOutline::circle(half), said: json!({ "ellipse": [half, half] }), closed: true },
        1 => {
            Drawn { outline: FrameOutline::ellipse(half, high), said: json!({ "ellipse": [half, high] }), closed: true }
        }
        2 => {
            let points = mirrored(&side);
            let radius = |index: usize| 0.1 * half * (1.0 + share(index.min(points.len() - index), points.len()));
            let rounded: Vec<PolylineCorner> = points
                .iter()
                .enumerate()
                .map(|(n, at)| PolylineCorner { at: *at, radius: if n == 0 { 0.0 } else { radius(n) } })
                .collect();
            let sharp: Vec<PolylineCorner> = points.iter().map(|at| PolylineCorner { at: *at, radius: 0.0 }).collect();
            let corners = if FrameOutline::polyline(&rounded, true).is_ok() { rounded } else { sharp };
            let said: Vec<[f64; 3]> = corners.iter().map(|corner| [corner.at.0, corner.at.1, corner.radius]).collect();
            let outline = FrameOutline::polyline(&corners, true).expect("the corners fit");
            Drawn { outline, said: json!({ "corners": said, "closed": true }), closed: true }
        }
        3 => {
            let points = mirrored(&side);
            Drawn {
                outline: FrameOutline::fair(&points, true),
                said: json!({ "fair": points, "closed": true }),
                closed: true,
            }
        }
        _ => Drawn {
            outline: FrameOutline::fair(&side, false),
            said: json!({ "fair": side, "closed": false }),
            closed: false,
        },
    }
}

/// The planes of one of three kinds, with what another program needs to know of them.
fn planes(kind: usize, level: f64, lean: f64) -> (Planes, Value) {
    let (above, below) = [(0.0, 0.0), (lean, lean), (lean / 3.0, -lean)][kind];
    let planes = if kind == 0 { Planes::UPRIGHT } else { Planes::cranked(level, above, below) };
    (planes, json!({ "level": level, "above": above, "below": below }))
}

fn near(a: f64, b: f64, within: f64) -> Result<(), TestCaseError> {
    prop_assert!((a - b).abs() < within, "{a} is not {b}");
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, ..ProptestConfig::default() })]

    #[test]
    fn every_path_keeps_its_promises(
        kind in 0..5_usize, lies in 0..3_usize, in_plane: bool,
        half in 100.0..900.0_f64, tall in 0.7..1.5_f64, shares in prop::collection::vec(0.7..1.1_f64, 3..7),
        level in -0.5..0.5_f64, lean in 3.0..35.0_f64, at in 0.001..0.999_f64,
    ) {
        let drawn = drawn(kind, half, half * tall, &shares);
        let (planes, _) = planes(lies, level * half, lean);
        let view = if in_plane { Ordinates::InPlane } else { Ordinates::BodyPlan };
        let girth = Girth::new(drawn.outline, planes, view);
        let whole = girth.length_mm();
        let at = at * whole;
        let spot = girth.spot(at);
        // A step along the metal is at least as long as it is straight, and hardly longer.
        let step = whole * 1e-4;
        let next = girth.spot((at + step).min(whole));
        let (x, y, z) = (next.breadth - spot.breadth, next.height - spot.height, next.aft - spot.aft);
        let straight = x.hypot(y).hypot(z);
        prop_assert!(straight < step + 1e-6, "{straight} in {step}");
        // A closed path ends where it starts.
        if drawn.closed {
            let (a, b) = (girth.spot(0.0), girth.spot(whole * (1.0 - 1e-15)));
            near(a.breadth, b.breadth, 1e-6)?;
            near(a.height, b.height, 1e-6)?;
        }
        // Both sides together are the whole, and of one size where the path is its own mirror image.
        let (starboard, port) = girth.sides_mm(0.0, whole);
        near(starboard + port, whole, 1e-6)?;
        if drawn.closed {
            near(starboard, port, 1e-6)?;
            let image = girth.mirrored_mm(at).expect("the path is symmetric");
            let there = girth.spot(image);
            near(there.breadth, -spot.breadth, 1e-6)?;
            near(there.height, spot.height, 1e-6)?;
            near(there.aft, spot.aft, 1e-6)?;
            near(girth.mirrored_mm(image).expect("the path is symmetric"), at, 1e-6)?;
        }
        // Places come back from their clock angle and from their height, where that is one place.
        if let Ok(found) = girth.girth_at_clock(girth.clock_deg(at)) {
            let again = girth.spot(found);
            near(again.breadth, spot.breadth, 1e-6)?;
            near(again.height, spot.height, 1e-6)?;
        } else {
            prop_assert!(kind > 1, "an ellipse is met once at every angle");
        }
        let hand = if spot.breadth > 0.0 { Hand::Starboard } else { Hand::Port };
        let height = if in_plane { spot.along_plane } else { spot.height };
        if let Ok(found) = girth.girth_at_height(height, "so high", hand) {
            near(found, at, 1e-4)?;
        }
        // What is seen of an upright frame is what was drawn.
        if lies == 0 {
            near(spot.along_plane, spot.height, 1e-12)?;
            near(spot.aft, 0.0, 1e-12)?;
        }
    }
}

/// Paths with lengths and points along them, for another program to measure.
fn paths() -> Value {
    let mut random = Random::new(77);
    let one = |index: usize| {
        let half = random.between(100.0, 900.0);
        let high = half * random.between(0.5, 1.6);
        let shares: Vec<f64> = (0..3 + random.below(5)).map(|_| random.between(0.7, 1.1)).collect();
        let drawn = drawn(index % 5, half, high, &shares);
        let (planes, said) = planes(index / 5 % 3, random.between(-0.4, 0.4) * half, random.between(3.0, 40.0));
        let (upright, in_plane) = ((index / 5).is_multiple_of(3), (index / 15).is_multiple_of(2));
        let view = if in_plane { Ordinates::InPlane } else { Ordinates::BodyPlan };
        let girth = Girth::new(drawn.outline, planes, view);
        let points: Vec<Value> = (0..12)
            .map(|_| {
                let at = random.between(0.0, girth.length_mm());
                let spot = girth.spot(at);
                json!([at, spot.breadth, spot.height, spot.aft])
            })
            .collect();
        json!({
            "drawn": drawn.said, "planes": said, "upright": upright, "in_plane": in_plane,
            "length": girth.length_mm(), "points": points,
        })
    };
    (0..120).map(one).collect()
}

#[test]
fn lengths_and_points_agree_with_scipy() {
    let mut file = tempfile::NamedTempFile::new().expect("a temporary file");
    serde_json::to_writer(&mut file, &paths()).expect("numbers");
    file.flush().expect("a temporary file");
    if let Some(Err(said)) = crate::python::ask("girth_oracle.py", &[file.path()]) {
        panic!("{said}");
    }
}
