//! How the time for a jig grows with its plates.

use crate::random::Random;
use modstate::jig::examine::Examiner;
use modstate::jig::standings;
use modstate::lower::lower;
use modstate::model::Model;
use modstate::quantity::Config;
use modstate::source::read_texts;
use std::fmt::Write as _;
use std::io::Write as _;
use std::time::Instant;

/// A jig of so many plates with forty holes each, all measured on its axes; of every three plates one has a leg that
/// moved and one a hole drilled off.
fn project(plates: usize) -> Model {
    let mut random = Random::new(9);
    let (mut stations, mut mounted, mut positions) = (String::new(), String::new(), String::new());
    let mut more = String::new();
    for plate in 1..=plates {
        write!(stations, "\"{plate}\",").expect("a string");
        write!(mounted, "(mark: \"P{plate}\", station: \"{plate}\", made_to: \"A{plate}\", made: \"1999-01-01\"),")
            .expect("a string");
        write!(positions, "(find: \"{plate}\", candidates: [(part: \"60-{plate}\")]),").expect("a string");
        let (mut drawn, mut measured) = (String::new(), String::new());
        for hole in 0..40 {
            let (row, column) = (hole / 8, hole % 8);
            let at = |n: usize| f64::from(u32::try_from(n).expect("few"));
            let x = 300.0 * at(plate) + 30.0 * at(column) + random.between(0.0, 15.0);
            let y = 40.0 * at(row) + random.between(0.0, 20.0);
            let off = match (plate % 3, hole) {
                (0, 8..16) => (0.5, 0.2),
                (1, 9) => (0.3, -0.4),
                _ => (0.0, 0.0),
            };
            write!(
                drawn,
                "(hole: \"H{hole}\", x: \"{x:.3}mm\", y: \"{y:.3}mm\", diameter: \"4mm\", tolerance: \"0.3mm\"),"
            )
            .expect("a string");
            let (x, y) = (x + off.0 + 0.01 * random.normal(), y + off.1 + 0.01 * random.normal());
            write!(measured, "(hole: \"H{hole}\", x: \"{x:.3}mm\", y: \"{y:.3}mm\"),").expect("a string");
        }
        let leg = (8..16).map(|hole| format!("\"H{hole}\"")).collect::<Vec<_>>().join(",");
        write!(
            more,
            "Part(number: \"60-{plate}\", description: \"Segment\", source: Made),
            Plate(number: \"A{plate}\", jig_station: \"{plate}\", locates: [\"60-{plate}\"], holes: [{drawn}],
                members: [(member: \"leg\", holes: [{leg}])]),
            Survey(id: \"V{plate}\", jig: \"J1\", mark: \"P{plate}\", date: \"2000-06-01\", instrument: \"arm\",
                uncertainty: \"0.02mm\", temperature: \"20C\", face: Marked, axes: Jig, holes: [{measured}]),"
        )
        .expect("a string");
    }
    let text = format!(
        "[Type(name: \"Testbed\", airframe: \"10-0000\"),
        SerialBlock(serials: \"HB101..HB160\", factory: \"Northmere\", line: From(1)),
        Part(number: \"10-0000\", description: \"Airframe\", source: Made),
        Assembly(part: \"10-0000\", positions: [{positions}]),
        Frame(name: \"F1\", assembly: \"10-0000\", station: \"1m\", girth: Circle(radius: \"500mm\"), splice_points: [
            (name: \"S1\", at: Angle(\"0deg\"))], segments: []),
        Jig(name: \"J1\", frame: \"F1\", stations: [{stations}], mounted: [{mounted}]), {more}]"
    );
    let reading = read_texts(vec![("type.ron".into(), text)]);
    lower(&reading.records, &reading.lost, &Config::built_in()).0
}

/// Seconds for all standings of a jig of so many plates, the best of three.
fn seconds(plates: usize) -> f64 {
    let model = project(plates);
    let jig = model.jigs.id("J1").expect("it is in the project");
    let once = || {
        let start = Instant::now();
        let all = standings(&Examiner::new(&model), &model, jig);
        assert!(all.iter().all(|standing| standing.examined.is_some()), "every plate was measured");
        start.elapsed().as_secs_f64()
    };
    (0..3).map(|_| once()).fold(f64::INFINITY, f64::min)
}

/// Four times the plates take about four times as long: eight are allowed, for a machine that others use too.
#[test]
fn time_grows_with_the_plates() {
    let times = [2, 4, 8, 16, 20].map(|plates| (plates, seconds(plates)));
    for (plates, time) in times {
        writeln!(std::io::stdout(), "{plates:>3} plates of 40 holes: {time:.3} s").expect("stdout");
    }
    assert!(times[3].1 < 8.0 * times[1].1, "{times:?}");
}
