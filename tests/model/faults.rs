//! One slip of the pen after another in a sound project: each gives its finding and no other.

use crate::project::{SOUND, lowered, show};
use modstate::codes;
use modstate::finding::{Finding, Severity};
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// A code, what to find in the sound project, and what to write instead.
const SLIPS: &[(&str, &str, &str)] = &[
    ("record-101", "thickness: \"18swg\"", "thickness: \"0.048\""),
    ("record-101", "thickness: \"10mm\"", "thickness: \"ten\""),
    ("record-101", "station: \"1200mm\"", "station: \"1200mn\""),
    ("record-102", "x: \"10mm\", y: \"12.5mm\", z", "x: \"1/3in\", y: \"12.5mm\", z"),
    ("record-103", "0.42kg", "0.42"),
    ("record-104", "when: \"by 1951-06\"", "when: \"by 1951-13\""),
    ("record-104", "date: \"1950-02\", to", "date: \"30 Feb 1950\", to"),
    ("record-105", "1949-11..1949-12", "1949-12..1949-11"),
    ("record-106", "\"HB140..HB142\"", "\"HB140 to HB142\""),
    ("record-106", "Not(Serials(\"HB150..HB160\", \"HC2\"))", "Not(Serials())"),
    ("record-107", "\"HB140..HB142\"", "\"HB140..142\""),
    ("record-108", "\"HB140..HB142\"", "\"HB142..HB140\""),
    ("record-109", "Angle(\"0deg\")", "Angle(\"410deg\")"),
    ("record-110", "radius: \"500mm\"", "radius: \"0mm\""),
    ("record-110", "lap_from: \"20mm\"", "lap_from: \"-20mm\""),
    (
        "record-120",
        "Part(number: \"60-2205\"",
        "Part(number: \"60-2205\", description: \"x\", source: Made), Part(number: \"60-2205\"",
    ),
    ("record-120", "(hole: \"H2\"", "(hole: \"H1\""),
    ("record-120", "find: \"20\", quantity", "find: \"10\", quantity"),
    ("record-120", "id: \"A2\"", "id: \"C2\""),
    ("record-120", "issue: \"B\", date", "issue: \"A\", date"),
    ("record-121", "number: \"60-2205\"", "number: \" \""),
    ("record-122", "(part: \"60-2300\", quantity: 3)", "(part: \"60-2301\", quantity: 3)"),
    ("record-122", "airframe: \"10-0000\"", "airframe: \"99-0000-7\""),
    ("record-123", "requires: [\"M014/A\"]", "requires: [\"M014/C\"]"),
    ("record-124", "drawing: \"60-2201\"", "drawing: \"60-2211\""),
    ("record-124", "drawing: \"60-2300\", sheet: \"2\"", "drawing: \"60-2300\""),
    ("record-125", "position: \"60-2200/10\"", "position: \"60-2200/11\""),
    ("record-126", "frame: \"F22\", stations", "frame: \"F23\", stations"),
    (
        "record-127",
        "lap_from: \"20mm\"), (part: \"60-2201\", from: \"S2\"",
        "lap_from: \"20mm\"), (part: \"60-2201\", from: \"S3\"",
    ),
    ("record-128", "made_to: \"JP-1\"", "made_to: \"JP-2\""),
    ("record-129", "line: [(factory: \"Southmere\"", "line: [(factory: \"Suthmere\""),
    ("record-130", "held: [\"B\"]", "held: [\"C\"]"),
    ("record-130", "issue: \"B\", quantity: 1", "issue: \"D\", quantity: 1"),
    ("record-131", "tolerance: \"dowel\"", "tolerance: \"dowell\""),
    ("record-132", "Embodied(\"M014/A\", Retrospective)", "Embodied(\"M014\", Retrospective)"),
    ("record-140", "Type(name: \"Testbed\", airframe: \"10-0000\", datum: \"the nose\"),", ""),
    (
        "record-141",
        "SerialBlock(serials: \"HB",
        "Type(name: \"Other\", airframe: \"10-0000\"), SerialBlock(serials: \"HB",
    ),
    (
        "record-150",
        "HB101..HB160\", factory",
        "HB101..HB160\", factory: \"Old\"), SerialBlock(serials: \"HB159..HB161\", factory",
    ),
    ("record-151", "from: [\"HB150\"]", "from: [\"HB250\"]"),
    ("record-151", "\"HB140..HB142\"", "\"HD140..HD142\""),
    ("record-151", "serial: \"HB140\", built", "serial: \"HB100\", built"),
    ("record-152", "\"HC4..HC6\", \"HC2..HC3\"", "\"HC4..HC6\", \"HC1..HC3\""),
    ("record-152", "\"HC4..HC6\", \"HC2..HC3\"", "\"HC4..HC6\", \"HC2\""),
    ("record-152", "\"HC4..HC6\", \"HC2..HC3\"", "\"HC4..HC6\", \"HB2..HB3\""),
    ("record-152", "\"HC4..HC6\", \"HC2..HC3\"", "\"HC4..\", \"HC2..HC3\""),
    ("record-153", "factory: \"Southmere\", number: 5", "factory: \"Southmere\", number: 50"),
    ("record-153", "line: Order(1, [\"HC1\", \"HC4..HC6\", \"HC2..HC3\"])", ""),
    ("record-154", "factory: \"Southmere\", line: Order", "factory: \"Northmere\", line: Order"),
    ("record-155", "serials: \"HC1..HC6\"", "serials: \"HC1..\""),
    ("record-155", "serials: \"HC1..HC6\"", "serials: \"HC01..HC6\""),
    ("record-155", "serials: \"HC1..HC6\"", "serials: \"HC1..HC6A\""),
    ("record-156", "from: [\"HB150\"]", "from: [\"HB0150\"]"),
    ("record-157", "\"HB140..HB142\"", "\"HB140..HB999\""),
    ("record-158", "serials: \"HC1..HC6\"", "serials: \"HC1..HC600000\""),
    ("record-160", "opposite_of: \"60-2201\"", "opposite_of: \"60-2202\""),
    ("record-161", "hand: Port, drawing", "drawing"),
    ("record-162", "opposite_of: \"60-2201\"", "hand: Port, opposite_of: \"60-2201\""),
    ("record-163", "description: \"Segment, deep\"", "description: \"Segment, deep\", opposite_of: \"60-2201\""),
    ("record-164", "drawing: \"60-2300\", sheet", "sheet"),
    (
        "record-170",
        "Modification(number: \"M010\"",
        "Assembly(part: \"10-0000\", positions: []), Modification(number: \"M010\"",
    ),
    ("record-171", "quantity: 2, candidates", "quantity: 0, candidates"),
    ("record-171", "quantity: 1, hand", "quantity: 0, hand"),
    (
        "record-172",
        "(find: \"2\", candidates: [(part: \"60-2202\")])",
        "(find: \"2\", candidates: []), (find: \"3\", candidates: [(part: \"60-2202\")])",
    ),
    ("record-180", "retrospective: (leaflet_date: \"1950\")", "note: \"no form\""),
    ("record-181", "excludes: [\"M010\"]", "excludes: [\"M020\"]"),
    ("record-182", "requires: [\"M014/A\"]", "requires: [\"M014/A\"], excludes: [\"M014/A\"]"),
    ("record-183", "modifications: [\"M010\", \"M020\"]", "modifications: [\"M010\"]"),
    ("record-184", "rests_on: [\"E1\", \"E2\"]", "rests_on: [\"E1\", \"E1\"]"),
    ("record-185", "except: [\"HB155\"]", "except: [\"HB145\"]"),
    ("record-186", "ranges: [\"HB140..HB142\"]", "ranges: [\"HC2..HC3\"], except: [\"HC1..HC6\"]"),
    ("record-187", "Post(\"M010\", Retrospective)", "Post(\"M010\", Production)"),
    ("record-187", "changes: [(position", "changes: [(form: Production, position"),
    ("record-188", "introduce: [\"60-2205\"]", "introduce: [\"60-2201\"]"),
    ("record-188", "delete: [\"60-2201\"], introduce: [\"60-2205\"]", ""),
    ("record-189", "introduced: \"1951\"", "introduced: \"not before 1951\""),
    ("record-190", "issues: [(issue: \"A\", date: \"1949\")]", "issues: []"),
    ("record-191", "date: \"1950-02-01\"", "date: \"1948-02-01\""),
    ("record-200", "Circle(radius: \"500mm\")", "Polyline(points: [(\"0mm\", \"0mm\")], closed: false)"),
    (
        "record-200",
        "Circle(radius: \"500mm\")",
        "Polyline(points: [(\"0mm\", \"900mm\"), (\"900mm\", \"-900mm\"), (\"-900mm\", \"-900mm\"), (\"0mm\", \"900mm\")], closed: true)",
    ),
    (
        "record-201",
        "Circle(radius: \"500mm\")",
        "Polyline(points: [(\"900mm\", \"900mm\"), (\"900mm\", \"-900mm\")], closed: false)",
    ),
    ("record-202", "Girth(\"1570mm\")", "Girth(\"3200mm\"), joined_by: []), (name: \"S3\", at: Girth(\"-1mm\")"),
    ("record-203", "(name: \"S2\", at", "(name: \"S3\", at: Angle(\"45deg\")), (name: \"S2\", at"),
    ("record-204", "from: \"S1\", to: \"S2\"", "from: \"S1\", to: \"S1\""),
    ("record-205", "(part: \"60-2202\", from", "(part: \"10-0000\", from"),
    (
        "record-200",
        "Circle(radius: \"500mm\")",
        "Polyline(points: [(\"0mm\", \"900mm\"), (\"-900mm\", \"-900mm\"), (\"900mm\", \"-900mm\")], closed: true)",
    ),
    (
        "record-200",
        "Circle(radius: \"500mm\")",
        "Offsets(given: OneSide, joined: Fair, closed: true, rows: [Buttock(\"0mm\", \"9mm\"), Buttock(\"0mm\", \"-9mm\")])",
    ),
    (
        "record-206",
        "Circle(radius: \"500mm\")",
        "Polyline(points: [(\"0mm\", \"400mm\"), (\"500mm\", \"400mm\", \"80mm\"), (\"500mm\", \"300mm\", \"2in\"), (\"0mm\", \"300mm\")], closed: true)",
    ),
    (
        "record-206",
        "Circle(radius: \"500mm\")",
        "Polyline(points: [(\"0mm\", \"40mm\"), (\"50mm\", \"40mm\", \"80mm\"), (\"50mm\", \"-500mm\")], closed: false)",
    ),
    (
        "record-206",
        "Circle(radius: \"500mm\")",
        "Polyline(points: [(\"0mm\", \"40mm\", \"5mm\"), (\"50mm\", \"40mm\", \"8mm\"), (\"90mm\", \"40mm\")], closed: false)",
    ),
    ("record-207", "Girth(\"1570mm\")", "Breadth(\"100mm\", Starboard)"),
    ("record-207", "Girth(\"1570mm\")", "Height(\"20in\", Port)"),
    (
        "record-208",
        "station: \"1.2m\"",
        "station: \"1.2m\", plane: Canted(lean: Aft(\"95deg\"), station_at: \"0mm\", ordinates: InPlane)",
    ),
    (
        "record-208",
        "station: \"1.2m\"",
        "station: \"1.2m\", plane: Canted(lean: Upright, station_at: \"0mm\", ordinates: InPlane)",
    ),
    (
        "record-208",
        "station: \"1.2m\"",
        "station: \"1.2m\", plane: Cranked(knuckle: \"0mm\", above: Aft(\"5deg\"), below: Aft(\"5deg\"), ordinates: BodyPlan)",
    ),
    (
        "record-208",
        "station: \"1.2m\"",
        "station: \"1.2m\", plane: Cranked(knuckle: \"90in\", above: Upright, below: Aft(\"5deg\"), ordinates: BodyPlan)",
    ),
    (
        "record-209",
        "Circle(radius: \"500mm\")",
        "Offsets(given: OneSide, joined: Straight, closed: false, rows: [Waterline(\"9mm\", \"40mm\"), Waterline(\"0mm\", \"60mm\")])",
    ),
    (
        "record-209",
        "Circle(radius: \"500mm\")",
        "Offsets(given: OneSide, joined: Fair, closed: false, rows: [Buttock(\"0mm\", \"90mm\"), Waterline(\"0mm\", \"60mm\"), Buttock(\"0mm\", \"-90mm\")])",
    ),
    (
        "record-209",
        "Circle(radius: \"500mm\")",
        "Offsets(given: OneSide, joined: Straight, closed: true, rows: [Buttock(\"0mm\", \"-90mm\"), Waterline(\"-9mm\", \"-60mm\"), Waterline(\"0mm\", \"0mm\"), Buttock(\"0mm\", \"90mm\")])",
    ),
    ("record-214", "rows: 2", "rows: 0"),
    ("record-214", "rows: 2", "number: InAll(0)"),
    ("record-210", "locates: [\"60-2201\"]", "locates: []"),
    ("record-211", "locates: [\"60-2201\"]", "locates: [\"10-0000\"]"),
    ("record-212", "(x: \"30mm\", y: \"0mm\")", "(x: \"-10mm\", y: \"0mm\")"),
    (
        "record-212",
        "(x: \"30mm\", y: \"0mm\"), (x: \"30mm\", y: \"30mm\", radius: \"5mm\")",
        "(x: \"30mm\", y: \"30mm\", radius: \"5mm\"), (x: \"30mm\", y: \"0mm\")",
    ),
    ("record-212", "radius: \"5mm\"), (x: \"-10mm\", y: \"30mm\")", "radius: \"50mm\"), (x: \"-10mm\", y: \"30mm\")"),
    ("record-212", "(x: \"30mm\", y: \"0mm\"), (x: \"30mm\", y: \"30mm\", radius: \"5mm\"), ", ""),
    ("record-213", "x: \"0mm\", y: \"1/2in\"", "x: \"-20mm\", y: \"1/2in\""),
    ("record-213", "x: \"10mm\", y: \"12.5mm\", z", "x: \"10mm\", y: \"1.5mm\", z"),
    ("claim-101", "Claim(airframe: \"HB133\", id: \"C1\"", "Claim(airframe: \"HB153\", id: \"C1\""),
    ("claim-102", "rests_on: [\"E1\", \"E2\"]", "rests_on: [\"E1\", \"E3\"]"),
    ("claim-103", "rests_on: [\"E1\", \"E2\"]", "rests_on: [\"E1\", \"E7\"]"),
    ("claim-104", "rests_on: [\"E1\", \"E2\"]", "rests_on: []"),
    ("claim-105", "serial: \"HB133\", model: \"Mk 1\"", "serial: \"HB133\", model: \"Mk 2\""),
    ("claim-106", "built: \"1949-12-20\"", "built: \"by 1949-12-20\""),
    ("claim-107", "delivered: \"1950-01\"", "delivered: \"1949-01\""),
    ("claim-108", "when: \"by 1951-06\"", "when: \"by 1948-06\""),
    ("claim-109", "SeenPart(\"60-2200/10\", \"60-2205\")", "SeenPart(\"60-2200/10\", \"60-2202\")"),
    ("claim-110", "SeenNothing(\"60-2200/10\")", "SeenNothing(\"60-2200/20\")"),
    ("claim-111", "date: \"1950-01-31\"", "date: \"1950-01\""),
    ("claim-112", "leave_out: [(modification: \"M010\"", "leave_out: [(modification: \"M014/B\""),
    (
        "claim-113",
        "Claim(airframe: \"HB133\", id: \"C2\", says",
        "Claim(airframe: \"HB133\", id: \"C8\", says: NotEmbodied(\"M010\"), when: \"1951\", rests_on: [\"E1\"], standing: Firm), \
         Claim(airframe: \"HB133\", id: \"C9\", says: NotEmbodied(\"M014/B\"), when: \"1951\", rests_on: [\"E1\"], standing: Firm), \
         Claim(airframe: \"HB133\", id: \"C2\", says",
    ),
    ("shop-101", "jig: \"J1\"", "jig: \"J2\""),
    ("shop-102", "(mark: \"P2\", station: \"2\")", "(mark: \"P2\", station: \"3\")"),
    ("shop-103", "mark: \"P1\", date", "mark: \"P3\", date"),
    ("shop-104", "(mark: \"P2\", station: \"2\")", "(mark: \"P2\", station: \"1\")"),
    ("shop-105", "18.5C", "65F"),
    ("shop-106", "MadePart(part: \"60-2201\"", "MadePart(part: \"60-2205\""),
    ("shop-107", "hand: Port, marks", "hand: Starboard, marks"),
    (
        "shop-108",
        "holes: [(hole: \"H1\", x: \"0.01mm\", y: \"12.71mm\"), (x: \"10mm\", y: \"12.5mm\", diameter: \"4mm\")]",
        "holes: []",
    ),
    ("shop-109", "expires: \"2001\"", "expires: \"1998\""),
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
fn a_tolerance_as_large_as_its_hole_is_left_alone() {
    for same in ["4mm", "0.4cm", "3.9mm"] {
        let (_, findings) = lowered(&SOUND.replace("tolerance: \"0.3mm\"", &format!("tolerance: \"{same}\"")));
        assert_eq!(findings, vec![], "{same}");
    }
}

#[test]
fn a_note_leaves_nothing_out() {
    let (sound, _) = lowered(SOUND);
    let slip = SOUND.replace("rests_on: [\"E1\", \"E2\"]", "rests_on: [\"E1\", \"E2\", \"E2\"]");
    let (model, findings) = lowered(&slip);
    assert_eq!(findings.iter().map(Finding::severity).collect::<Vec<_>>(), [Severity::Note]);
    assert_eq!(format!("{model:?}"), format!("{sound:?}"));
}
