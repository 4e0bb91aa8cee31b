//! One slip of the pen after another in a sound project: each gives its finding and no other.

use crate::project::{SOUND, lowered, show};
use modstate::codes;
use modstate::finding::{Finding, Severity};
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// A code, what to find in the sound project, and what to write instead.
const SLIPS: &[(&str, &str, &str)] = &[
    ("D101", "thickness: \"18swg\"", "thickness: \"0.048\""),
    ("D101", "station: \"1200mm\"", "station: \"1200mn\""),
    ("D102", "x: \"10mm\", y: \"12.5mm\", z", "x: \"1/3in\", y: \"12.5mm\", z"),
    ("D103", "0.42kg", "0.42"),
    ("D104", "when: \"by 1951-06\"", "when: \"by 1951-13\""),
    ("D104", "date: \"1950-02\", to", "date: \"30 Feb 1950\", to"),
    ("D105", "1949-11..1949-12", "1949-12..1949-11"),
    ("D106", "\"HB140..HB142\"", "\"HB140 to HB142\""),
    ("D106", "Not(Serials(\"HB150..HB160\", \"HC2\"))", "Not(Serials())"),
    ("D107", "\"HB140..HB142\"", "\"HB140..142\""),
    ("D108", "\"HB140..HB142\"", "\"HB142..HB140\""),
    ("D109", "Angle(\"0deg\")", "Angle(\"410deg\")"),
    ("D110", "radius: \"500mm\"", "radius: \"0mm\""),
    ("D110", "lap_from: \"20mm\"", "lap_from: \"-20mm\""),
    (
        "D120",
        "Part(number: \"60-2205\"",
        "Part(number: \"60-2205\", description: \"x\", source: Made), Part(number: \"60-2205\"",
    ),
    ("D120", "(hole: \"H2\"", "(hole: \"H1\""),
    ("D120", "find: \"20\", quantity", "find: \"10\", quantity"),
    ("D120", "id: \"A2\"", "id: \"C2\""),
    ("D120", "issue: \"B\", date", "issue: \"A\", date"),
    ("D121", "number: \"60-2205\"", "number: \" \""),
    ("D122", "(part: \"60-2300\", quantity: 3)", "(part: \"60-2301\", quantity: 3)"),
    ("D122", "airframe: \"10-0000\"", "airframe: \"99-0000-7\""),
    ("D123", "requires: [\"M014/A\"]", "requires: [\"M014/C\"]"),
    ("D124", "drawing: \"60-2201\"", "drawing: \"60-2211\""),
    ("D124", "drawing: \"60-2300\", sheet: \"2\"", "drawing: \"60-2300\""),
    ("D125", "position: \"60-2200/10\"", "position: \"60-2200/11\""),
    ("D126", "frame: \"F22\", stations", "frame: \"F23\", stations"),
    (
        "D127",
        "lap_from: \"20mm\"), (part: \"60-2201\", from: \"S2\"",
        "lap_from: \"20mm\"), (part: \"60-2201\", from: \"S3\"",
    ),
    ("D128", "made_to: \"JP-1\"", "made_to: \"JP-2\""),
    ("D129", "line: [(factory: \"Southmere\"", "line: [(factory: \"Suthmere\""),
    ("D130", "held: [\"B\"]", "held: [\"C\"]"),
    ("D130", "issue: \"B\", quantity: 1", "issue: \"D\", quantity: 1"),
    ("D131", "tolerance: \"dowel\"", "tolerance: \"dowell\""),
    ("D132", "Embodied(\"M014/A\", Retrospective)", "Embodied(\"M014\", Retrospective)"),
    ("D140", "Type(name: \"Testbed\", airframe: \"10-0000\", datum: \"the nose\"),", ""),
    ("D141", "SerialBlock(serials: \"HB", "Type(name: \"Other\", airframe: \"10-0000\"), SerialBlock(serials: \"HB"),
    (
        "D150",
        "HB101..HB160\", factory",
        "HB101..HB160\", factory: \"Old\"), SerialBlock(serials: \"HB159..HB161\", factory",
    ),
    ("D151", "from: [\"HB150\"]", "from: [\"HB250\"]"),
    ("D151", "\"HB140..HB142\"", "\"HD140..HD142\""),
    ("D151", "serial: \"HB140\", built", "serial: \"HB100\", built"),
    ("D152", "\"HC4..HC6\", \"HC2..HC3\"", "\"HC4..HC6\", \"HC1..HC3\""),
    ("D152", "\"HC4..HC6\", \"HC2..HC3\"", "\"HC4..HC6\", \"HC2\""),
    ("D152", "\"HC4..HC6\", \"HC2..HC3\"", "\"HC4..HC6\", \"HB2..HB3\""),
    ("D152", "\"HC4..HC6\", \"HC2..HC3\"", "\"HC4..\", \"HC2..HC3\""),
    ("D153", "factory: \"Southmere\", number: 5", "factory: \"Southmere\", number: 50"),
    ("D153", "line: Order(1, [\"HC1\", \"HC4..HC6\", \"HC2..HC3\"])", ""),
    ("D154", "factory: \"Southmere\", line: Order", "factory: \"Northmere\", line: Order"),
    ("D155", "serials: \"HC1..HC6\"", "serials: \"HC1..\""),
    ("D155", "serials: \"HC1..HC6\"", "serials: \"HC01..HC6\""),
    ("D155", "serials: \"HC1..HC6\"", "serials: \"HC1..HC6A\""),
    ("D156", "from: [\"HB150\"]", "from: [\"HB0150\"]"),
    ("D157", "\"HB140..HB142\"", "\"HB140..HB999\""),
    ("D158", "serials: \"HC1..HC6\"", "serials: \"HC1..HC600000\""),
    ("D160", "opposite_of: \"60-2201\"", "opposite_of: \"60-2202\""),
    ("D161", "hand: Port, drawing", "drawing"),
    ("D162", "opposite_of: \"60-2201\"", "hand: Port, opposite_of: \"60-2201\""),
    ("D163", "description: \"Segment, deep\"", "description: \"Segment, deep\", opposite_of: \"60-2201\""),
    ("D164", "drawing: \"60-2300\", sheet", "sheet"),
    (
        "D170",
        "Modification(number: \"M010\"",
        "Assembly(part: \"10-0000\", positions: []), Modification(number: \"M010\"",
    ),
    ("D171", "quantity: 2, candidates", "quantity: 0, candidates"),
    ("D171", "quantity: 1, hand", "quantity: 0, hand"),
    (
        "D172",
        "(find: \"2\", candidates: [(part: \"60-2202\")])",
        "(find: \"2\", candidates: []), (find: \"3\", candidates: [(part: \"60-2202\")])",
    ),
    ("D180", "retrospective: (leaflet_date: \"1950\")", "note: \"no form\""),
    ("D181", "excludes: [\"M010\"]", "excludes: [\"M020\"]"),
    ("D182", "requires: [\"M014/A\"]", "requires: [\"M014/A\"], excludes: [\"M014/A\"]"),
    ("D183", "modifications: [\"M010\", \"M020\"]", "modifications: [\"M010\"]"),
    ("D184", "rests_on: [\"E1\", \"E2\"]", "rests_on: [\"E1\", \"E1\"]"),
    ("D185", "except: [\"HB155\"]", "except: [\"HB145\"]"),
    ("D186", "ranges: [\"HB140..HB142\"]", "ranges: [\"HC2..HC3\"], except: [\"HC1..HC6\"]"),
    ("D187", "Post(\"M010\", Retrospective)", "Post(\"M010\", Production)"),
    ("D187", "changes: [(position", "changes: [(form: Production, position"),
    ("D188", "introduce: [\"60-2205\"]", "introduce: [\"60-2201\"]"),
    ("D188", "delete: [\"60-2201\"], introduce: [\"60-2205\"]", ""),
    ("D190", "issues: [(issue: \"A\", date: \"1949\")]", "issues: []"),
    ("D191", "date: \"1950-02-01\"", "date: \"1948-02-01\""),
    ("D200", "Circle(radius: \"500mm\")", "Polyline(points: [(\"0mm\", \"0mm\")], closed: false)"),
    (
        "D200",
        "Circle(radius: \"500mm\")",
        "Polyline(points: [(\"0mm\", \"900mm\"), (\"900mm\", \"-900mm\"), (\"-900mm\", \"-900mm\"), (\"0mm\", \"900mm\")], closed: true)",
    ),
    (
        "D201",
        "Circle(radius: \"500mm\")",
        "Polyline(points: [(\"900mm\", \"900mm\"), (\"900mm\", \"-900mm\")], closed: false)",
    ),
    ("D202", "Girth(\"1570mm\")", "Girth(\"3200mm\"), joined_by: []), (name: \"S3\", at: Girth(\"-1mm\")"),
    ("D203", "(name: \"S2\", at", "(name: \"S3\", at: Angle(\"45deg\")), (name: \"S2\", at"),
    ("D204", "from: \"S1\", to: \"S2\"", "from: \"S1\", to: \"S1\""),
    ("D205", "(part: \"60-2202\", from", "(part: \"10-0000\", from"),
    (
        "D200",
        "Circle(radius: \"500mm\")",
        "Polyline(points: [(\"0mm\", \"900mm\"), (\"-900mm\", \"-900mm\"), (\"900mm\", \"-900mm\")], closed: true)",
    ),
    (
        "D200",
        "Circle(radius: \"500mm\")",
        "Offsets(given: OneSide, joined: Fair, closed: true, rows: [Buttock(\"0mm\", \"9mm\"), Buttock(\"0mm\", \"-9mm\")])",
    ),
    (
        "D206",
        "Circle(radius: \"500mm\")",
        "Polyline(points: [(\"0mm\", \"400mm\"), (\"500mm\", \"400mm\", \"80mm\"), (\"500mm\", \"300mm\", \"2in\"), (\"0mm\", \"300mm\")], closed: true)",
    ),
    (
        "D206",
        "Circle(radius: \"500mm\")",
        "Polyline(points: [(\"0mm\", \"40mm\"), (\"50mm\", \"40mm\", \"80mm\"), (\"50mm\", \"-500mm\")], closed: false)",
    ),
    (
        "D206",
        "Circle(radius: \"500mm\")",
        "Polyline(points: [(\"0mm\", \"40mm\", \"5mm\"), (\"50mm\", \"40mm\", \"8mm\"), (\"90mm\", \"40mm\")], closed: false)",
    ),
    ("D207", "Girth(\"1570mm\")", "Breadth(\"100mm\", Starboard)"),
    ("D207", "Girth(\"1570mm\")", "Height(\"20in\", Port)"),
    (
        "D208",
        "station: \"1.2m\"",
        "station: \"1.2m\", plane: Canted(lean: Aft(\"95deg\"), station_at: \"0mm\", ordinates: InPlane)",
    ),
    (
        "D208",
        "station: \"1.2m\"",
        "station: \"1.2m\", plane: Canted(lean: Upright, station_at: \"0mm\", ordinates: InPlane)",
    ),
    (
        "D208",
        "station: \"1.2m\"",
        "station: \"1.2m\", plane: Cranked(knuckle: \"0mm\", above: Aft(\"5deg\"), below: Aft(\"5deg\"), ordinates: BodyPlan)",
    ),
    (
        "D208",
        "station: \"1.2m\"",
        "station: \"1.2m\", plane: Cranked(knuckle: \"90in\", above: Upright, below: Aft(\"5deg\"), ordinates: BodyPlan)",
    ),
    (
        "D209",
        "Circle(radius: \"500mm\")",
        "Offsets(given: OneSide, joined: Straight, closed: false, rows: [Waterline(\"9mm\", \"40mm\"), Waterline(\"0mm\", \"60mm\")])",
    ),
    (
        "D209",
        "Circle(radius: \"500mm\")",
        "Offsets(given: OneSide, joined: Fair, closed: false, rows: [Buttock(\"0mm\", \"90mm\"), Waterline(\"0mm\", \"60mm\"), Buttock(\"0mm\", \"-90mm\")])",
    ),
    (
        "D209",
        "Circle(radius: \"500mm\")",
        "Offsets(given: OneSide, joined: Straight, closed: true, rows: [Buttock(\"0mm\", \"-90mm\"), Waterline(\"-9mm\", \"-60mm\"), Waterline(\"0mm\", \"0mm\"), Buttock(\"0mm\", \"90mm\")])",
    ),
    ("D214", "rows: 2", "rows: 0"),
    ("D214", "rows: 2", "number: InAll(0)"),
    ("D210", "locates: [\"60-2201\"]", "locates: []"),
    ("D211", "locates: [\"60-2201\"]", "locates: [\"10-0000\"]"),
    ("D212", "(x: \"30mm\", y: \"0mm\")", "(x: \"-10mm\", y: \"0mm\")"),
    (
        "D212",
        "(x: \"30mm\", y: \"0mm\"), (x: \"30mm\", y: \"30mm\", radius: \"5mm\")",
        "(x: \"30mm\", y: \"30mm\", radius: \"5mm\"), (x: \"30mm\", y: \"0mm\")",
    ),
    ("D212", "radius: \"5mm\"), (x: \"-10mm\", y: \"30mm\")", "radius: \"50mm\"), (x: \"-10mm\", y: \"30mm\")"),
    ("D212", "(x: \"30mm\", y: \"0mm\"), (x: \"30mm\", y: \"30mm\", radius: \"5mm\"), ", ""),
    ("D213", "x: \"0mm\", y: \"1/2in\"", "x: \"-20mm\", y: \"1/2in\""),
    ("D213", "x: \"10mm\", y: \"12.5mm\", z", "x: \"10mm\", y: \"1.5mm\", z"),
    ("C101", "Claim(airframe: \"HB133\", id: \"C1\"", "Claim(airframe: \"HB153\", id: \"C1\""),
    ("C102", "rests_on: [\"E1\", \"E2\"]", "rests_on: [\"E1\", \"E3\"]"),
    ("C103", "rests_on: [\"E1\", \"E2\"]", "rests_on: [\"E1\", \"E7\"]"),
    ("C104", "rests_on: [\"E1\", \"E2\"]", "rests_on: []"),
    ("C105", "serial: \"HB133\", model: \"Mk 1\"", "serial: \"HB133\", model: \"Mk 2\""),
    ("C106", "built: \"1949-12-20\"", "built: \"by 1949-12-20\""),
    ("C107", "delivered: \"1950-01\"", "delivered: \"1949-01\""),
    ("C108", "when: \"by 1951-06\"", "when: \"by 1948-06\""),
    ("C109", "SeenPart(\"60-2200/10\", \"60-2205\")", "SeenPart(\"60-2200/10\", \"60-2202\")"),
    ("C110", "SeenNothing(\"60-2200/10\")", "SeenNothing(\"60-2200/20\")"),
    ("C111", "date: \"1950-01-31\"", "date: \"1950-01\""),
    ("C112", "leave_out: [(modification: \"M010\"", "leave_out: [(modification: \"M014/B\""),
    (
        "C113",
        "Claim(airframe: \"HB133\", id: \"C2\", says",
        "Claim(airframe: \"HB133\", id: \"C8\", says: NotEmbodied(\"M010\"), when: \"1951\", rests_on: [\"E1\"], standing: Firm), \
         Claim(airframe: \"HB133\", id: \"C9\", says: NotEmbodied(\"M014/B\"), when: \"1951\", rests_on: [\"E1\"], standing: Firm), \
         Claim(airframe: \"HB133\", id: \"C2\", says",
    ),
    ("S101", "jig: \"J1\"", "jig: \"J2\""),
    ("S102", "(mark: \"P2\", station: \"2\")", "(mark: \"P2\", station: \"3\")"),
    ("S103", "mark: \"P1\", date", "mark: \"P3\", date"),
    ("S104", "(mark: \"P2\", station: \"2\")", "(mark: \"P2\", station: \"1\")"),
    ("S105", "18.5C", "65F"),
    ("S106", "MadePart(part: \"60-2201\"", "MadePart(part: \"60-2205\""),
    ("S107", "hand: Port, marks", "hand: Starboard, marks"),
    (
        "S108",
        "holes: [(hole: \"H1\", x: \"0.01mm\", y: \"12.71mm\"), (x: \"10mm\", y: \"12.5mm\", diameter: \"4mm\")]",
        "holes: []",
    ),
    ("S109", "expires: \"2001\"", "expires: \"1998\""),
];

#[test]
fn every_slip_gives_its_finding() {
    let mut report = String::new();
    for (code, from, to) in SLIPS {
        assert_eq!(SOUND.matches(from).count(), 1, "{code}: the sound project has `{from}` once");
        let text = SOUND.replace(from, to);
        let (_, findings) = lowered(&text);
        let shown = show(&text, &findings);
        assert!(findings.iter().any(|f| f.code.to_string() == *code), "{code} for `{to}`:\n{shown}");
        let _ = writeln!(report, "# {from}\n# {to}\n{shown}");
    }
    insta::assert_snapshot!("faults", report, "a slip in the sound project, and what is said of it");
}

#[test]
fn every_code_of_the_dossiers_has_a_slip() {
    let tried: BTreeSet<&str> = SLIPS.iter().map(|(code, ..)| *code).collect();
    let codes: BTreeSet<&str> =
        codes::all().map(|code| code.entry().code).filter(|code| code.starts_with('D')).collect();
    assert_eq!(codes.difference(&tried).collect::<Vec<_>>(), Vec::<&&str>::new());
}

#[test]
fn a_note_leaves_nothing_out() {
    let (sound, _) = lowered(SOUND);
    let slip = SOUND.replace("rests_on: [\"E1\", \"E2\"]", "rests_on: [\"E1\", \"E2\", \"E2\"]");
    let (model, findings) = lowered(&slip);
    assert_eq!(findings.iter().map(Finding::severity).collect::<Vec<_>>(), [Severity::Note]);
    assert_eq!(format!("{model:?}"), format!("{sound:?}"));
}
