//! The third coordinate: one wrong height neither tilts the plate nor goes unseen, and heights tell the hand.

use crate::plates::{Place, a, examined, model, named, survey};
use modstate::jig::advice::{Suspicion, advice};
use modstate::jig::found::{Examined, HolesState, Identity, SlipKind};
use modstate::model::Model;

/// The plate stands leaning before the instrument: turned about the first axis.
fn leaning((x, y): Place, z: f64) -> [f64; 3] {
    let (sin, cos) = 0.4f64.sin_cos();
    [x + 300.0, y * cos - z * sin, y * sin + z * cos + 50.0]
}

/// A survey of holes at these heights above the plate.
fn in_space(holes: &[Place], heights: &[f64], more: &str) -> String {
    let mut text = survey(&named(holes), more);
    for ((x, y), z) in holes.iter().zip(heights) {
        let [a, b, c] = leaning((*x, *y), *z);
        let flat = format!("x: \"{x:.6}mm\", y: \"{y:.6}mm\"");
        text = text.replacen(&flat, &format!("x: \"{a:.6}mm\", y: \"{b:.6}mm\", z: \"{c:.6}mm\""), 1);
    }
    text
}

fn of(survey: &str) -> (Model, Examined) {
    let model = model(Some("A"), false, "", survey);
    let found = examined(&model);
    (model, found)
}

fn slips(found: &Examined) -> Vec<SlipKind> {
    found.slips.iter().map(|slip| slip.kind).collect()
}

#[test]
fn one_wrong_height_tilts_nothing_and_is_asked_about() {
    let more = "uncertainty: \"0.02mm\", temperature: \"20C\", face: Marked,";
    let (_, level) = of(&in_space(&a(), &[0.0; 8], more));
    assert_eq!((level.state(), slips(&level)), (Some(HolesState::Within), vec![]));
    let mut heights = [0.0; 8];
    heights[5] = 30.0;
    let (model, found) = of(&in_space(&a(), &heights, more));
    assert_eq!(slips(&found), [SlipKind::OutOfPlane]);
    assert_eq!(found.state(), Some(HolesState::NotDecided));
    let off = found.holes.iter().filter(|hole| hole.hole != 5).map(|hole| hole.off.norm());
    assert!(off.fold(0.0, f64::max) < 1e-4, "the other holes lie where they did");
    let said = found.heights.as_ref().expect("heights were measured");
    assert!((said[5] - 30.0).abs() < 1e-6, "{said:?}");
    let all = advice(&found, &model);
    assert!(!all.iter().any(|advice| advice.action.destroys_work()), "{all:?}");
    assert!(all.iter().any(|advice| advice.suspect == Suspicion::Slip(SlipKind::OutOfPlane)), "{all:?}");
}

#[test]
fn heights_tell_the_hand_where_the_face_was_not_noted() {
    let more = "uncertainty: \"0.02mm\", temperature: \"20C\",";
    let relief = [0.0, 0.0, 12.0, 0.0, 5.0, 0.0, 0.0, 20.0];
    let drawn = |survey: &str| {
        let text = crate::plates::project_text(Some("A"), false, "", survey);
        let text = a().iter().zip(relief).fold(text, |text, ((x, y), z)| {
            let flat = format!("x: \"{x}mm\", y: \"{y}mm\", diameter");
            text.replace(&flat, &format!("x: \"{x}mm\", y: \"{y}mm\", z: \"{z}mm\", diameter"))
        });
        let model = crate::plates::lowered(text);
        examined(&model)
    };
    let right = drawn(&in_space(&a(), &relief, more));
    assert!(matches!(right.identity, Identity::One(_)), "{:?}", right.identity);
    assert_eq!(slips(&right), []);
    // From the back: the plate turned about its second axis.
    let back: Vec<Place> = a().into_iter().map(|(x, y)| (-x, y)).collect();
    let found = drawn(&in_space(&back, &relief.map(|z| -z), more));
    assert!(matches!(found.identity, Identity::One(_)), "{:?}", found.identity);
    // The other hand of the plate: its mirror image.
    let other = drawn(&in_space(&back, &relief, more));
    assert!(matches!(other.identity, Identity::OtherHand(_)), "{:?}", other.identity);
    assert_eq!(slips(&other), [SlipKind::Mirrored]);
}
