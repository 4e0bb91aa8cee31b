//! From a survey in a dossier to what the plate counts as, its verdict and the work that follows.
//!
//! The project is invented: one frame of one segment, which `M1` replaces by another; plate A locates the one, plate B
//! the other, and three of their eight holes tell them apart.

use modstate::finding::Severity;
use modstate::graph::Graph;
use modstate::jig::examine::Examiner;
use modstate::jig::found::{Examined, HolesState, Identity};
use modstate::jig::mend::{Mend, mends};
use modstate::jig::rework::{Spare, Task, Touched, rework};
use modstate::jig::{JigVerdict, Rests, standings, verdicts};
use modstate::lower::lower;
use modstate::model::Model;
use modstate::quantity::Config;
use modstate::resolve::{Basis, Limits, Resolver, Target};
use modstate::source::read_texts;
use proptest::prelude::*;
use std::fmt::Write as _;

/// A plate by its number.
macro_rules! is {
    ($number:literal) => {
        Some($number.to_owned())
    };
}

pub(crate) type Place = (f64, f64);

/// The holes that A and B share: two dowels, then three.
const SHARED: [Place; 5] = [(0.0, 0.0), (120.0, 0.0), (120.0, 80.0), (35.0, 62.0), (70.0, 20.0)];
const ONLY_A: [Place; 3] = [(15.0, 40.0), (90.0, 55.0), (50.0, 75.0)];

pub(crate) fn a() -> Vec<Place> {
    SHARED.into_iter().chain(ONLY_A).collect()
}
pub(crate) fn b() -> Vec<Place> {
    SHARED.into_iter().chain(ONLY_A.map(|(x, y)| (x + 5.0, y))).collect()
}

fn plate(number: &str, locates: &str, holes: &[Place]) -> String {
    let mut text = format!("Plate(number: \"{number}\", jig_station: \"1\", locates: [\"{locates}\"], holes: [");
    for (index, (x, y)) in holes.iter().enumerate() {
        let datum = index < 2;
        write!(
            text,
            "(hole: \"H{index}\", x: \"{x}mm\", y: \"{y}mm\", diameter: \"4mm\", tolerance: \"0.3mm\", datum: {datum}),"
        )
        .expect("a string");
    }
    text + "], members: [(member: \"bracket\", holes: [\"H5\", \"H6\", \"H7\"])]),"
}

/// What is measured: name and place of each hole.
pub(crate) fn survey(holes: &[(Option<usize>, Place)], more: &str) -> String {
    let mut text = format!(
        "Survey(id: \"V1\", jig: \"J1\", mark: \"P1\", date: \"2000-06-01\", instrument: \"arm\", {more} holes: ["
    );
    for (name, (x, y)) in holes {
        let name = name.map(|name| format!("hole: \"H{name}\", ")).unwrap_or_default();
        write!(text, "({name}x: \"{x:.6}mm\", y: \"{y:.6}mm\"),").expect("a string");
    }
    text + "]),"
}

pub(crate) const FINE: &str = "uncertainty: \"0.02mm\", face: Marked,";

pub(crate) fn named(holes: &[Place]) -> Vec<(Option<usize>, Place)> {
    holes.iter().enumerate().map(|(index, place)| (Some(index), *place)).collect()
}

/// The project with one plate on the jig, and what is written of it; the state wanted has `M1` or not.
pub(crate) fn model(made_to: Option<&str>, post: bool, reworked: &str, survey: &str) -> Model {
    lowered(project_text(made_to, post, reworked, survey))
}

/// The text of that project.
pub(crate) fn project_text(made_to: Option<&str>, post: bool, reworked: &str, survey: &str) -> String {
    let says = if post { "Embodied(\"M1\", Retrospective)" } else { "NotEmbodied(\"M1\")" };
    let made_to = made_to.map(|plate| format!("made_to: \"{plate}\", ")).unwrap_or_default();
    format!(
        "[Type(name: \"Testbed\", airframe: \"10-0000\"),
        SerialBlock(serials: \"HB101..HB160\", factory: \"Northmere\", line: From(1)),
        Part(number: \"10-0000\", description: \"Airframe\", source: Made),
        Part(number: \"60-2200\", description: \"Frame\", source: Made),
        Part(number: \"60-2201\", description: \"Segment\", source: Made),
        Part(number: \"60-2202\", description: \"Segment, deep\", source: Made),
        Modification(number: \"M1\", title: \"Deep\", retrospective: (leaflet_date: \"1950-01-01\")),
        Assembly(part: \"10-0000\", positions: [(find: \"1\", candidates: [(part: \"60-2200\")])]),
        Assembly(part: \"60-2200\", positions: [(find: \"10\", candidates: [
            (part: \"60-2201\", when: Pre(\"M1\")), (part: \"60-2202\", when: Post(\"M1\"))])]),
        Frame(name: \"F1\", assembly: \"60-2200\", station: \"1m\", girth: Circle(radius: \"500mm\"), splice_points: [
            (name: \"S1\", at: Angle(\"0deg\")), (name: \"S2\", at: Angle(\"180deg\"))], segments: [
            (part: \"60-2201\", from: \"S1\", to: \"S2\"), (part: \"60-2202\", from: \"S1\", to: \"S2\")]),
        {}{}
        Airframe(serial: \"HB133\", built: \"1949-12-20\"),
        Evidence(airframe: \"HB133\", id: \"E1\", kind: \"card\", reference: \"7\", grade: A),
        Claim(airframe: \"HB133\", id: \"C1\", says: {says}, when: \"1951-06-01\", rests_on: [\"E1\"], standing: Firm),
        BuildState(airframe: \"HB133\", name: \"rebuild\", date: \"1951-06-01\"),
        Jig(name: \"J1\", frame: \"F1\", stations: [\"1\"], set_for: (airframe: \"HB133\", build_state: \"rebuild\"),
            mounted: [(mark: \"P1\", station: \"1\", {made_to}made: \"1999-01-01\" {reworked})]),
        {survey}]",
        plate("A", "60-2201", &a()),
        plate("B", "60-2202", &b()),
    )
}

/// A project without findings that stop work.
pub(crate) fn lowered(text: String) -> Model {
    let reading = read_texts(vec![("type.ron".into(), text)]);
    let (model, findings) = lower(&reading.records, &reading.lost, &Config::built_in());
    let stops = reading.findings.iter().chain(&findings).filter(|f| f.severity() == Severity::Stop);
    assert_eq!(stops.map(|f| f.message.clone()).collect::<Vec<_>>(), Vec::<String>::new());
    model
}

/// What the plate counts as (`A`, `B`), what that rests on, its holes taken together, and its verdict.
fn judged(model: &Model) -> (Option<String>, Rests, Option<HolesState>, JigVerdict) {
    let graph = Graph::new(model);
    let (jig, airframe) = (
        model.jigs.id("J1").expect("it is in the project"),
        model.airframes.id("HB133").expect("it is in the project"),
    );
    let state = model.airframes[airframe].build_states.id("rebuild").expect("it is in the project");
    let target = Target { day: model.airframes[airframe].build_states[state].date, build_state: Some(state) };
    let mut resolver = Resolver::new(model, &graph, airframe, target, Limits::default())
        .unwrap_or_else(|_| panic!("the airframe was built by then"));
    let standings = standings(&Examiner::new(model), model, jig);
    let verdict = verdicts(&mut resolver, jig, &standings, Basis::Firm)[0].verdict;
    let standing = &standings[0];
    (standing.is.map(|plate| model.plates.name(plate).to_owned()), standing.rests, standing.state(), verdict)
}

#[test]
fn record_alone() {
    assert_eq!(judged(&model(Some("A"), false, "", "")), (is!("A"), Rests::NotSurveyed, None, JigVerdict::Right));
    assert_eq!(judged(&model(Some("A"), true, "", "")), (is!("A"), Rests::NotSurveyed, None, JigVerdict::WrongVariant));
    assert_eq!(judged(&model(None, false, "", "")), (None, Rests::NotSurveyed, None, JigVerdict::Undecided));
}

#[test]
fn metal_goes_before_the_record() {
    let of_a = survey(&named(&a()), FINE);
    let within = Some(HolesState::Within);
    assert_eq!(judged(&model(Some("A"), false, "", &of_a)), (is!("A"), Rests::Agrees, within, JigVerdict::Right));
    assert_eq!(judged(&model(Some("A"), true, "", &of_a)), (is!("A"), Rests::Agrees, within, JigVerdict::WrongVariant));
    assert_eq!(judged(&model(None, false, "", &of_a)), (is!("A"), Rests::Metal, within, JigVerdict::Right));
    let of_b = survey(&named(&b()), FINE);
    let against = |post, verdict| {
        assert_eq!(judged(&model(Some("A"), post, "", &of_b)), (is!("B"), Rests::MetalAgainst, within, verdict));
    };
    against(false, JigVerdict::WrongVariant);
    against(true, JigVerdict::Right);
}

#[test]
fn a_plate_changed_since_its_survey_counts_by_its_record() {
    let of_b = survey(&named(&b()), FINE);
    let after = model(Some("A"), false, ", reworked: \"2000-07-01\"", &of_b);
    assert_eq!(judged(&after), (is!("A"), Rests::ChangedSince(0), None, JigVerdict::Right));
    // A rework of the same month may have come later: nothing is guessed.
    let same_month = model(Some("A"), false, ", reworked: \"2000-06\"", &of_b);
    assert_eq!(judged(&same_month).1, Rests::ChangedSince(0));
    let before = model(Some("A"), false, ", reworked: \"2000-05\"", &of_b);
    assert_eq!(judged(&before).1, Rests::MetalAgainst);
    assert_eq!(judged(&model(None, false, ", reworked: \"2000-07-01\"", &of_b)).3, JigVerdict::Undecided);
}

#[test]
fn shared_holes_alone_leave_the_record_standing() {
    let shared = survey(&named(&SHARED), FINE);
    let (name, rests, state, verdict) = judged(&model(Some("A"), false, "", &shared));
    assert_eq!((name, rests, state), (is!("A"), Rests::NotDistinguished, Some(HolesState::NotDecided)));
    assert_eq!(verdict, JigVerdict::HolesUndecided, "three of its holes are proved by nothing");
    assert_eq!(judged(&model(None, false, "", &shared)).1, Rests::Unlike);
}

#[test]
fn the_other_hand_is_never_right() {
    let mirrored: Vec<Place> = a().iter().map(|(x, y)| (-x, *y)).collect();
    let seen = survey(&named(&mirrored), FINE);
    let (name, rests, _, verdict) = judged(&model(Some("A"), false, "", &seen));
    assert_eq!((name, verdict), (None, JigVerdict::WrongHand));
    assert!(matches!(rests, Rests::OtherHand(_)));
    // From the back the same readings are the plate as drawn; from a face nobody noted its hand is not known.
    let back = survey(&named(&mirrored), "uncertainty: \"0.02mm\", face: Back,");
    assert_eq!(judged(&model(Some("A"), false, "", &back)).3, JigVerdict::Right);
    let unknown = survey(&named(&mirrored), "uncertainty: \"0.02mm\",");
    assert_eq!(judged(&model(Some("A"), false, "", &unknown)).3, JigVerdict::HolesUndecided);
}

#[test]
fn the_same_holes_for_another_station_are_no_doubt() {
    // C is A turned by a right angle, for station 2: the metal of either serves on either station.
    let turned: Vec<Place> = a().iter().map(|(x, y)| (-y + 900.0, *x)).collect();
    let elsewhere = plate("C", "60-2201", &turned).replace("jig_station: \"1\"", "jig_station: \"2\"");
    let of_a = survey(&named(&a()), FINE) + &elsewhere;
    let within = Some(HolesState::Within);
    assert_eq!(judged(&model(Some("A"), false, "", &of_a)), (is!("A"), Rests::Agrees, within, JigVerdict::Right));
    assert_eq!(judged(&model(None, false, "", &of_a)), (is!("A"), Rests::Metal, within, JigVerdict::Right));
    // For the same station there is doubt: the two definitions are distinguished by nothing.
    let twin = of_a.replace("jig_station: \"2\"", "jig_station: \"1\"");
    assert_eq!(judged(&model(Some("A"), false, "", &twin)).1, Rests::NotDistinguished);
    assert_eq!(judged(&model(None, false, "", &twin)).1, Rests::Unlike);
}

#[test]
fn a_plate_of_both_is_neither() {
    let mut both = a();
    both[7] = b()[7];
    let (name, rests, _, verdict) = judged(&model(Some("A"), false, "", &survey(&named(&both), FINE)));
    assert_eq!((name, rests, verdict), (None, Rests::Unlike, JigVerdict::Undecided));
    let strange: Vec<Place> = (0..8).map(|i| (f64::from(i) * 31.0, f64::from(i * i) * 3.0)).collect();
    let unnamed: Vec<_> = strange.iter().map(|place| (None, *place)).collect();
    assert_eq!(judged(&model(Some("A"), false, "", &survey(&unnamed, FINE))).1, Rests::Unlike);
}

#[test]
fn holes_are_proved_out_or_within_or_neither() {
    let off = |by: f64, across: f64| {
        let mut holes = a();
        holes[4].0 += by;
        holes[4].1 += across;
        judged(&model(Some("A"), false, "", &survey(&named(&holes), FINE)))
    };
    assert_eq!(off(0.05, 0.0).2, Some(HolesState::Within));
    let near = off(0.14, 0.0);
    assert_eq!((near.2, near.3), (Some(HolesState::NotDecided), JigVerdict::HolesUndecided));
    let out = off(0.5, 0.4);
    assert_eq!((out.2, out.3), (Some(HolesState::Out), JigVerdict::HolesOut));
    // Along one axis alone a figure may be misread, and then nothing is proved.
    let misread = off(0.5, 0.0);
    assert_eq!((misread.2, misread.3), (Some(HolesState::NotDecided), JigVerdict::HolesUndecided));
    let missing = survey(&named(&a()[..7]), FINE);
    assert_eq!(judged(&model(Some("A"), false, "", &missing)).3, JigVerdict::HolesUndecided);
}

pub(crate) fn examined(model: &Model) -> Examined {
    Examiner::new(model).examine(0)
}

#[test]
fn what_moved_as_one_is_moved_back_as_one() {
    let mut holes = a();
    for hole in &mut holes[5..] {
        hole.0 += 1.4;
    }
    holes[4].1 += 0.9;
    let model = model(Some("A"), false, "", &survey(&named(&holes), FINE));
    let found = examined(&model);
    assert_eq!((found.state(), found.loose), (Some(HolesState::Out), true), "five of eight holes lie within");
    let mends = mends(&found, &model.plates[found.against.expect("it has a record")]);
    let [Mend::MoveMember(0, step), Mend::Redrill(holes)] = &mends[..] else { panic!("{mends:?}") };
    assert!((step.shift.x + 1.4).abs() < 0.05 && step.shift.y.abs() < 0.05 && step.turn.is_none(), "{step:?}");
    assert_eq!(holes, &[4]);
}

#[test]
fn a_bad_datum_condemns_no_other_hole() {
    let mut holes = a();
    holes[1].0 += 0.3;
    holes[1].1 += 0.9;
    let model = model(Some("A"), false, "", &survey(&named(&holes), FINE));
    let found = examined(&model);
    let mends = mends(&found, &model.plates[found.against.expect("it has a record")]);
    assert!(matches!(&mends[..], [Mend::Redrill(bad), Mend::MeasureAgain(_)] if bad == &[1]), "{mends:?}");
}

#[test]
fn a_hole_further_off_than_the_plate_is_long_is_a_slip_of_the_reading() {
    let mut holes = a();
    holes[6].0 = -holes[6].0 * 10.0;
    let model = model(Some("A"), false, "", &survey(&named(&holes), FINE));
    let found = examined(&model);
    let mends = mends(&found, &model.plates[found.against.expect("it has a record")]);
    assert!(matches!(&mends[..], [Mend::CheckReading(holes)] if holes == &[6]), "{mends:?}");
}

#[test]
fn warmth_is_taken_out() {
    // Steel at 40 degrees, 20 above the reference: 120 mm have grown by 0.0276 mm.
    let grown: Vec<Place> = a().iter().map(|(x, y)| (x * 1.000_23, y * 1.000_23)).collect();
    let more = "uncertainty: \"0.002mm\", temperature: \"40C\", face: Marked,";
    let worst = |expansion: &str| {
        let text = survey(&named(&grown), more);
        let mut model = model(Some("A"), false, "", &text);
        let jig = model.jigs.id("J1").expect("it is in the project");
        model.jigs.get_mut(jig).expansion = expansion.parse().ok();
        examined(&model).holes.iter().map(|hole| hole.off.norm()).fold(0.0, f64::max)
    };
    assert!(worst("11.5e-6") < 1e-5 && worst("") > 0.01, "{} {}", worst("11.5e-6"), worst(""));
}

#[test]
fn a_wrong_plate_is_exchanged_and_a_bad_one_mended() {
    let wrong = model(Some("A"), true, "", "");
    let graph = Graph::new(&wrong);
    let (jig, airframe) = (
        wrong.jigs.id("J1").expect("it is in the project"),
        wrong.airframes.id("HB133").expect("it is in the project"),
    );
    let state = wrong.airframes[airframe].build_states.id("rebuild").expect("it is in the project");
    let target = Target { day: wrong.airframes[airframe].build_states[state].date, build_state: Some(state) };
    let mut resolver = Resolver::new(&wrong, &graph, airframe, target, Limits::default())
        .unwrap_or_else(|_| panic!("the airframe was built by then"));
    let standings = standings(&Examiner::new(&wrong), &wrong, jig);
    let firm = verdicts(&mut resolver, jig, &standings, Basis::Firm);
    let b = wrong.plates.id("B").expect("it is in the project");
    let work = rework(&wrong, jig, &standings, &firm, &firm, Spare::default());
    let [Task::Make { to, from: Some(from), .. }, Task::Exchange { off: Some(0), stands: None, .. }] = &work.tasks[..]
    else {
        panic!("{work:?}")
    };
    assert_eq!((*to, &from.plug[..], &from.drill[..], &from.cut[..]), (b, &[5, 6, 7][..], &[5, 6, 7][..], &[][..]));
    assert_eq!(work.survey, [Touched::New(0, b)]);
    // A plate of that definition that stands where it is not wanted is put here instead of making one.
    let work = rework(&wrong, jig, &standings, &firm, &firm, Spare { plates: vec![(jig, 9, b)], not_read: Vec::new() });
    assert!(matches!(&work.tasks[..], [Task::Exchange { stands: Some((_, 9)), .. }]), "{work:?}");
    // Where the doubtful claims make a difference, nothing is touched.
    let mut held = firm.clone();
    held[0].verdict = JigVerdict::Right;
    let work = rework(&wrong, jig, &standings, &firm, &held, Spare::default());
    assert_eq!((work.tasks.len(), &work.wait[..]), (0, &[(0, Some(0))][..]));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    /// Neither the order of the holes nor where the plate lies changes what it is or what is found.
    #[test]
    fn order_and_place_change_nothing(
        turn in -3.1..3.1f64,
        (x, y) in (-900.0..900.0f64, -900.0..900.0f64),
        order in Just((0..8).collect::<Vec<usize>>()).prop_shuffle(),
        variant in proptest::bool::ANY,
    ) {
        let mut holes = if variant { b() } else { a() };
        holes[4].0 += 0.4;
        let unmoved = survey(&named(&holes), FINE);
        let moved: Vec<_> = order.iter().map(|&hole| {
            let (px, py) = holes[hole];
            let (sin, cos) = turn.sin_cos();
            ((hole < 2).then_some(hole), (cos * px - sin * py + x, sin * px + cos * py + y))
        }).collect();
        let one = examined(&model(Some("A"), false, "", &unmoved));
        let other = examined(&model(Some("A"), false, "", &survey(&moved, FINE)));
        prop_assert_eq!(&one.identity, &other.identity);
        prop_assert!(matches!(one.identity, Identity::One(_)));
        for (a, b) in one.holes.iter().zip(&other.holes) {
            // Whether a figure may be misread depends on the axes in which it is written.
            prop_assert_eq!(a.as_read(), b.as_read());
            prop_assert!((a.off - b.off).norm() < 1e-4, "{:?} {:?}", a.off, b.off);
        }
    }
}
