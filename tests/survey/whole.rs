//! The plates of a jig together: the jig as a whole off its datums, distinguished from one plate that moved.
//!
//! The project is invented: a frame of three segments, each on a plate of its own.

use crate::random::Random;
use modstate::finding::Severity;
use modstate::graph::Graph;
use modstate::jig::examine::Examiner;
use modstate::jig::mend::{Mend, mends};
use modstate::jig::rework::{Spare, Task, Touched, rework};
use modstate::jig::{standings, verdicts};
use modstate::lower::lower;
use modstate::model::Model;
use modstate::quantity::Config;
use modstate::resolve::{Basis, Limits, Resolver, Target};
use modstate::source::read_texts;
use std::fmt::Write as _;

/// The holes of the plate of a station, in the jig's axes.
fn holes(station: u32) -> Vec<Place> {
    let at = f64::from(station);
    let along = [0.0, 40.0, 90.0, 150.0, 210.0, 260.0];
    along.iter().enumerate().map(|(n, x)| (300.0 * at + x, 20.0 * at * at + [0.0, 35.0][n % 2] + x / 9.0)).collect()
}

/// A place in the jig's axes.
type Place = (f64, f64);

/// Which holes of a plate are its dowels.
const DOWELS: [usize; 2] = [0, 5];

/// The project, with a survey of each plate on the jig's axes in which each plate is off by so much.
fn project(off: [(f64, f64); 3]) -> Model {
    project_with(off.map(|(right, up)| move |(x, y): Place| (x + right, y + up)))
}

/// The project, with a survey of each plate on the jig's axes in which each hole lies where `lies` of its station says.
fn project_with(lies: [impl Fn(Place) -> Place; 3]) -> Model {
    let mut random = Random::new(3);
    let mut text = String::from(
        "[Type(name: \"Testbed\", airframe: \"10-0000\"),
        SerialBlock(serials: \"HB101..HB160\", factory: \"Northmere\", line: From(1)),
        Part(number: \"10-0000\", description: \"Airframe\", source: Made),
        Part(number: \"60-2200\", description: \"Frame\", source: Made),
        Assembly(part: \"10-0000\", positions: [(find: \"1\", candidates: [(part: \"60-2200\")])]),
        Assembly(part: \"60-2200\", positions: [(find: \"1\", candidates: [(part: \"60-2201\")]),
            (find: \"2\", candidates: [(part: \"60-2202\")]), (find: \"3\", candidates: [(part: \"60-2203\")])]),
        Frame(name: \"F1\", assembly: \"60-2200\", station: \"1m\", girth: Circle(radius: \"500mm\"), splice_points: [
            (name: \"S1\", at: Angle(\"0deg\")), (name: \"S2\", at: Angle(\"120deg\")), (name: \"S3\", at: Angle(\"240deg\"))],
            segments: [(part: \"60-2201\", from: \"S1\", to: \"S2\"), (part: \"60-2202\", from: \"S2\", to: \"S3\"),
            (part: \"60-2203\", from: \"S3\", to: \"S1\")]),
        Airframe(serial: \"HB133\", built: \"1949-12-20\"),
        BuildState(airframe: \"HB133\", name: \"rebuild\", date: \"1951-06-01\"),
        Jig(name: \"J1\", frame: \"F1\", stations: [\"1\", \"2\", \"3\"],
            set_for: (airframe: \"HB133\", build_state: \"rebuild\"), mounted: [
            (mark: \"P1\", station: \"1\", made_to: \"A1\", made: \"1999-01-01\"),
            (mark: \"P2\", station: \"2\", made_to: \"A2\", made: \"1999-01-01\"),
            (mark: \"P3\", station: \"3\", made_to: \"A3\", made: \"1999-01-01\")]),",
    );
    for (station, lies) in (1..).zip(lies) {
        let part = format!("Part(number: \"60-220{station}\", description: \"Segment\", source: Made),");
        let (mut drawn, mut measured) = (String::new(), String::new());
        for (n, (x, y)) in holes(station).into_iter().enumerate() {
            write!(
                drawn,
                "(hole: \"H{n}\", x: \"{x:.3}mm\", y: \"{y:.3}mm\", diameter: \"4mm\", tolerance: \"0.3mm\", datum: {}),",
                DOWELS.contains(&n)
            )
            .expect("a string");
            let (x, y) = lies((x, y));
            let (x, y) = (x + 0.01 * random.normal(), y + 0.01 * random.normal());
            write!(measured, "(hole: \"H{n}\", x: \"{x:.6}mm\", y: \"{y:.6}mm\"),").expect("a string");
        }
        write!(
            text,
            "{part} Plate(number: \"A{station}\", jig_station: \"{station}\", locates: [\"60-220{station}\"], holes: [{drawn}]),
            Survey(id: \"V{station}\", jig: \"J1\", mark: \"P{station}\", date: \"2000-06-01\", instrument: \"arm\",
                uncertainty: \"0.02mm\", temperature: \"20C\", face: Marked, axes: Jig, holes: [{measured}]),"
        )
        .expect("a string");
    }
    text.push(']');
    let reading = read_texts(vec![("type.ron".into(), text)]);
    let (model, findings) = lower(&reading.records, &reading.lost, &Config::built_in());
    let stops = reading.findings.iter().chain(&findings).filter(|f| f.severity() == Severity::Stop);
    assert_eq!(stops.map(|f| f.message.clone()).collect::<Vec<_>>(), Vec::<String>::new());
    model
}

/// What is done to each plate.
fn of_plates(model: &Model) -> Vec<Vec<Mend>> {
    let jig = model.jigs.id("J1").expect("it is in the project");
    let all = standings(&Examiner::new(model), model, jig);
    let of = all.iter().map(|standing| (standing.examined.as_ref().expect("it was surveyed"), standing.is));
    of.map(|(examined, is)| mends(examined, &model.plates[is.expect("its holes tell")])).collect()
}

#[test]
fn plates_that_lie_off_together_are_one_error_of_the_jig() {
    let model = project([(0.9, -0.6); 3]);
    for mends in of_plates(&model) {
        let [Mend::ResetJig(step)] = &mends[..] else { panic!("{mends:?}") };
        assert!(
            (step.shift.x + 0.9).abs() < 0.02 && (step.shift.y - 0.6).abs() < 0.02 && step.turn.is_none(),
            "{step:?}"
        );
    }
    let jig = model.jigs.id("J1").expect("it is in the project");
    let airframe = model.airframes.id("HB133").expect("it is in the project");
    let state = model.airframes[airframe].build_states.id("rebuild").expect("it is in the project");
    let target = Target { day: model.airframes[airframe].build_states[state].date, build_state: Some(state) };
    let graph = Graph::new(&model);
    let mut resolver = Resolver::new(&model, &graph, airframe, target, Limits::default())
        .unwrap_or_else(|_| panic!("the airframe was built by then"));
    let standings = standings(&Examiner::new(&model), &model, jig);
    let firm = verdicts(&mut resolver, jig, &standings, Basis::Firm);
    let work = rework(&model, jig, &standings, &firm, &firm, Spare::default());
    assert!(matches!(work.tasks[..], [Task::Mend { mend: Mend::ResetJig(_), .. }]), "once: {work:?}");
    assert_eq!(work.survey, [Touched::Mended(0, 0), Touched::Mended(1, 1), Touched::Mended(2, 2)]);
}

#[test]
fn a_plate_that_lies_off_alone_is_moved_alone() {
    let mends = of_plates(&project([(0.0, 0.0), (0.9, -0.6), (0.0, 0.0)]));
    assert!(
        matches!(&mends[..], [a, b, c] if a.is_empty() && matches!(b[..], [Mend::ResetDatum(_)]) && c.is_empty()),
        "{mends:?}"
    );
}

/// The amounts at the two dowels bring a plate back that was moved and turned about a place of its own.
#[test]
fn a_plate_that_lies_turned_is_set_back_by_its_amounts_at_two_dowels() {
    let (sin, cos) = 0.2_f64.to_radians().sin_cos();
    let (pivot, shift) = ((560.0, 70.0), (0.7, -0.4));
    let turned = |(x, y): Place| {
        let (a, b) = (x - pivot.0, y - pivot.1);
        (pivot.0 + cos * a - sin * b + shift.0, pivot.1 + sin * a + cos * b + shift.1)
    };
    let as_drawn = |at: Place| at;
    let lies: [&dyn Fn(Place) -> Place; 3] = [&as_drawn, &turned, &as_drawn];
    let model = project_with(lies);
    let of = of_plates(&model);
    let [before, turned_plate, after] = &of[..] else { panic!("three plates: {of:?}") };
    assert!(before.is_empty() && after.is_empty(), "{of:?}");
    let [mend @ Mend::ResetDatum(_)] = &turned_plate[..] else { panic!("{of:?}") };
    let plate = model.plates.iter().find(|(_, name, _)| *name == "A2").map(|(_, _, plate)| plate).expect("it is drawn");
    let amounts = mend.amounts(plate);
    assert_eq!(amounts.iter().map(|(hole, _)| *hole).collect::<Vec<_>>(), DOWELS);
    for (hole, by) in amounts {
        let wanted = holes(2)[hole];
        let lies = turned(wanted);
        let left = (lies.0 + by.x - wanted.0).hypot(lies.1 + by.y - wanted.1);
        assert!(left < 0.03, "dowel H{hole} would lie {left:.3} mm off");
    }
}

#[test]
fn plates_that_lie_off_each_their_own_way_are_no_error_of_the_jig() {
    for mends in of_plates(&project([(0.9, 0.0), (-0.9, 0.3), (0.0, -0.9)])) {
        assert!(matches!(mends[..], [Mend::ResetDatum(_)]), "{mends:?}");
    }
}

#[test]
fn where_a_plate_moved_on_a_jig_that_is_off_each_is_set_right_by_itself() {
    let model = project([(0.9, 0.0), (0.9, 0.0), (0.9, 1.2)]);
    let mends = of_plates(&model);
    let back: Vec<(f64, f64)> = mends
        .iter()
        .map(|mends| match mends[..] {
            [Mend::ResetDatum(step)] => (step.shift.x, step.shift.y),
            _ => panic!("{mends:?}"),
        })
        .collect();
    for ((x, y), (wanted_x, wanted_y)) in back.iter().zip([(-0.9, 0.0), (-0.9, 0.0), (-0.9, -1.2)]) {
        assert!((x - wanted_x).abs() < 0.02 && (y - wanted_y).abs() < 0.02, "{back:?}");
    }
}

#[test]
fn plates_that_lie_off_beside_one_that_does_not_are_moved_and_the_jig_is_not() {
    let mends = of_plates(&project([(0.6, -0.3), (0.6, -0.3), (0.0, 0.0)]));
    assert!(
        matches!(&mends[..], [a, b, c] if matches!(a[..], [Mend::ResetDatum(_)])
        && matches!(b[..], [Mend::ResetDatum(_)]) && c.is_empty()),
        "{mends:?}"
    );
}
