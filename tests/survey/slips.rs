//! Slips of measuring and writing: each is recognised, named, and keeps work off the metal. The project is that of
//! `plates`.

use crate::plates::{FINE, Place, a, b, examined, model, named, survey};
use modstate::jig::advice::{Action, Advice, Suspicion, advice};
use modstate::jig::found::{Axis, Figure, HolesState, SlipKind};

/// The advice on a survey of plate A with these places, and the state of its holes.
fn advised(holes: &[Place], more: &str) -> (Vec<Advice>, Option<HolesState>) {
    let model = model(Some("A"), false, "", &survey(&named(holes), more));
    let found = examined(&model);
    (advice(&found, &model), found.state())
}

fn kinds(all: &[Advice]) -> Vec<SlipKind> {
    let kind = |advice: &Advice| match advice.suspect {
        Suspicion::Slip(kind) => Some(kind),
        Suspicion::Other(_) => None,
    };
    all.iter().filter_map(kind).collect()
}

/// The one slip that is named; nothing is proved and nothing is done to metal.
#[track_caller]
fn one(holes: &[Place], more: &str) -> SlipKind {
    let (all, state) = advised(holes, more);
    assert!(!all.iter().any(|advice| advice.action.destroys_work()), "{all:?}");
    assert_eq!(state, Some(HolesState::NotDecided), "{all:?}");
    let kinds = kinds(&all);
    assert_eq!(kinds.len(), 1, "{all:?}");
    kinds[0]
}

fn with(hole: usize, change: impl Fn(Place) -> Place) -> Vec<Place> {
    let mut holes = a();
    holes[hole] = change(holes[hole]);
    holes
}

fn all(change: impl Fn(Place) -> Place) -> Vec<Place> {
    a().into_iter().map(change).collect()
}

#[test]
fn slips_of_one_row() {
    assert_eq!(one(&with(5, |(x, y)| (y, x)), FINE), SlipKind::AxesExchanged);
    assert_eq!(one(&with(6, |(x, y)| (-x, y)), FINE), SlipKind::Sign);
    assert_eq!(one(&with(6, |(x, y)| (x * 10.0, y)), FINE), SlipKind::DecimalPoint);
    assert_eq!(one(&with(6, |(x, y)| (x / 25.4, y / 25.4)), FINE), SlipKind::Unit);
    assert_eq!(one(&with(6, |(x, y)| (x, y + 0.9)), FINE), SlipKind::Digit);
    assert_eq!(one(&with(6, |_| a()[3]), FINE), SlipKind::CopiedRow);
    // A dowel misread does not condemn the plate.
    assert_eq!(one(&with(1, |(x, y)| (x, y + 0.7)), FINE), SlipKind::Digit);
}

#[test]
fn slips_of_a_whole_survey() {
    let jig = "uncertainty: \"0.02mm\", temperature: \"20C\", face: Marked, axes: Jig,";
    assert_eq!(one(&all(|(x, y)| (y, x)), jig), SlipKind::AxesExchanged);
    assert_eq!(one(&all(|(x, y)| (-x, y)), jig), SlipKind::Sign);
    assert_eq!(one(&all(|(x, y)| (-x, -y)), jig), SlipKind::Sign);
    assert_eq!(one(&all(|(x, y)| (60.0 - x, 80.0 - y)), jig), SlipKind::Turned);
    assert_eq!(one(&all(|(x, y)| (y, x)), FINE), SlipKind::Mirrored);
    for factor in [10.0, 0.1] {
        assert_eq!(one(&all(|(x, y)| (x * factor, y * factor)), FINE), SlipKind::DecimalPoint);
    }
    for factor in [25.4, 1.0 / 25.4] {
        assert_eq!(one(&all(|(x, y)| (x * factor, y * factor)), FINE), SlipKind::Unit);
    }
    let fine = "uncertainty: \"0.004mm\", temperature: \"20C\", face: Marked,";
    let warm = all(|(x, y)| (x * 1.0012, y * 1.0012));
    let (found, _) = advised(&warm, fine);
    assert!(kinds(&found).is_empty() || kinds(&found) == [SlipKind::OverallScale], "{found:?}");
}

#[test]
fn a_hand_is_open_where_the_face_was_not_noted() {
    let unnoted = "uncertainty: \"0.02mm\",";
    assert_eq!(one(&a(), unnoted), SlipKind::FaceNotNoted);
    assert_eq!(one(&all(|(x, y)| (-x, y)), unnoted), SlipKind::FaceNotNoted);
}

#[test]
fn the_survey_of_another_plate_makes_no_work() {
    let model = model(Some("A"), false, "", &survey(&named(&b()), FINE));
    let found = examined(&model);
    let all = advice(&found, &model);
    assert_eq!((kinds(&all), all.len()), (vec![SlipKind::OtherPlate], 1));
}

#[test]
fn the_figure_to_check_is_named() {
    let (all, _) = advised(&with(6, |(x, y)| (x, y + 0.9)), FINE);
    let [Advice { action: Action::CheckFigure, figure: Some((Some(6), Figure::Coordinate(Axis::Y, wanted))), .. }] =
        &all[..]
    else {
        panic!("{all:?}")
    };
    assert!((wanted - 55.0).abs() < 0.05, "{wanted}");
}

/// A hole that lies off along both axes, beyond what its zone and the instrument allow, is metal.
#[test]
fn a_hole_off_both_ways_is_drilled_again() {
    let (all, state) = advised(&with(6, |(x, y)| (x + 0.5, y - 0.6)), FINE);
    assert!(matches!(&all[..], [Advice { action: Action::PlugAndRedrill, holes, .. }] if holes == &[6]), "{all:?}");
    assert_eq!(state, Some(HolesState::Out));
}

#[test]
fn a_survey_of_the_day_of_a_rework_proves_nothing() {
    let same = model(Some("A"), false, ", reworked: \"2000-06-01\"", &survey(&named(&a()), FINE));
    let jig = same.jigs.id("J1").expect("it is in the project");
    assert_eq!(modstate::jig::proved(&same, jig, 0), modstate::jig::Proved::ChangedSince(0));
    let before = model(Some("A"), false, ", reworked: \"2000-05-31\"", &survey(&named(&a()), FINE));
    assert_eq!(modstate::jig::proved(&before, jig, 0), modstate::jig::Proved::Surveyed(0));
}

/// What is missing about warmth is asked for where it leaves a hole open, and keeps no work off.
#[test]
fn warmth_that_is_not_known_is_asked_for() {
    let of = |more: &str| kinds(&advised(&a(), &format!("uncertainty: \"0.1mm\", face: Marked, {more}")).0);
    assert_eq!(of(""), [SlipKind::TemperatureNotNoted]);
    assert_eq!(of("temperature: \"25C\","), [SlipKind::ExpansionNotGiven]);
    assert_eq!(of("temperature: \"20C\","), []);
    assert_eq!(kinds(&advised(&a(), FINE).0), []);
}
