//! Advice on splices: it is given at its limit and not before it, in states that are allowed, and never stops work.

use super::broken::edited;
use modstate::finding::Severity;

const FRAMES: &str = "type/frames.ron";
const ROW: &str = "row_spacing: \"0.5in\", edge: \"0.375in\", across: \"2.0in\"";
const NUMBER: &str = "number: PerRow(5), pitch: \"0.5in\"";
const CLOCK: &str = "clock: \"219deg\"";

/// The messages of a code on the demo with these edits, and the severity of each.
fn said(code: &str, edits: &[(&str, &str)]) -> Vec<String> {
    let edits: Vec<(&str, &str, &str)> = edits.iter().map(|(old, new)| (FRAMES, *old, *new)).collect();
    let findings = edited(&edits).findings();
    let of_code = findings.into_iter().filter(|finding| finding.code.to_string() == code);
    of_code
        .map(|finding| {
            assert_eq!(finding.severity(), Severity::Note);
            assert!(!finding.chain.is_empty() || code == "type-224", "advice says where it comes from");
            finding.message
        })
        .collect()
}

#[test]
fn a_lap_that_just_holds_its_rows_is_long_enough() {
    // Frame 14 laps by 0.75 in and 0.75 in at S1: two rows 0.75 in apart, 0.375 in from either edge, fill that.
    assert_eq!(said("type-221", &[(ROW, "row_spacing: \"0.75in\", edge: \"0.375in\"")]), Vec::<String>::new());
    let short = said("type-221", &[(ROW, "row_spacing: \"0.751in\", edge: \"0.375in\"")]);
    assert_eq!(short.len(), 1);
    assert!(short[0].contains("lap by 38.10 mm (1.500 in)"), "{short:?}");
    // What is left out is counted at the least: 0.25 in at either edge, and 0.75 of 0.5 in from row to row.
    assert_eq!(said("type-221", &[(ROW, "across: \"2.0in\"")]), Vec::<String>::new());
    let three = "of: \"web\", diameter: \"1/8in\", kind: AdProtruding, rows: 2, number: PerRow(5)";
    let four = "of: \"web\", diameter: \"1/8in\", kind: AdProtruding, rows: 4, number: PerRow(5)";
    assert_eq!(said("type-221", &[(three, four), (ROW, "across: \"2.0in\"")]).len(), 1, "1.625 in are needed");
    // Without a lap nothing is known of it.
    let no_laps = [
        (
            "(part: \"27-1411\", from: \"S7\", to: \"S1\", lap_from: \"0.75in\", lap_to: \"0.75in\")",
            "(part: \"27-1411\", from: \"S7\", to: \"S1\")",
        ),
        (
            "(part: \"27-1412\", from: \"S1\", to: \"H1\", lap_from: \"0.75in\")",
            "(part: \"27-1412\", from: \"S1\", to: \"H1\")",
        ),
        (
            "(part: \"27-1452\", from: \"S1\", to: \"D1\", lap_from: \"0.75in\")",
            "(part: \"27-1452\", from: \"S1\", to: \"D1\")",
        ),
    ];
    assert_eq!(said("type-221", &no_laps), Vec::<String>::new());
}

#[test]
fn the_shortest_lap_of_all_allowed_states_is_given_with_its_state() {
    let shorter = (
        "(part: \"27-1452\", from: \"S1\", to: \"D1\", lap_from: \"0.75in\")",
        "(part: \"27-1452\", from: \"S1\", to: \"D1\", lap_from: \"0.25in\")",
    );
    let project = edited(&[(FRAMES, shorter.0, shorter.1)]);
    let found: Vec<_> = project.findings().into_iter().filter(|f| f.code.to_string() == "type-221").collect();
    assert_eq!(found.len(), 1);
    // That part is fitted where the door was cut afterwards, and nowhere else.
    assert!(found[0].message.contains("`27-1411` and `27-1452`"), "{}", found[0].message);
    assert!(found[0].chain[1].contains("TM048 (retrospective)"), "{:?}", found[0].chain);
}

#[test]
fn distances_at_the_published_least_are_enough() {
    let at_least = "number: PerRow(5), pitch: \"0.375in\"";
    let rows = "row_spacing: \"0.28125in\", edge: \"0.25in\", across: \"2.0in\"";
    assert_eq!(said("type-222", &[(NUMBER, at_least), (ROW, rows)]), Vec::<String>::new());
    for (number, row, what) in [
        ("number: PerRow(5), pitch: \"0.374in\"", rows, "the pitch `0.374in`"),
        (at_least, "row_spacing: \"0.281in\", edge: \"0.25in\", across: \"2.0in\"", "the row spacing `0.281in`"),
        (at_least, "row_spacing: \"0.28125in\", edge: \"0.249in\", across: \"2.0in\"", "the edge distance `0.249in`"),
    ] {
        let found = said("type-222", &[(NUMBER, number), (ROW, row)]);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(found[0].starts_with(what), "{found:?}");
    }
}

#[test]
fn the_number_of_rivets_follows_the_table_and_its_note() {
    // 18 swg is 0.048 in, read at 0.051 in: 7.9 to the inch, on 2 in 15.8, 16; 60 per cent are 9.6, 10.
    assert_eq!(said("type-223", &[("number: PerRow(5)", "number: InAll(10)")]), Vec::<String>::new());
    let nine = said("type-223", &[("number: PerRow(5)", "number: InAll(9)")]);
    assert_eq!(nine, ["the splice `S1` of frame `F14` (web) has 9 rivets, and 10 are asked for by a published table"]);
    let whole = said("type-223", &[(", reduced: IntermediateFrame", "")]);
    assert!(whole[0].ends_with("has 10 rivets, and 16 are asked for by a published table"), "{whole:?}");
    // Nothing is asked where the sheet, the width or the number is not given.
    for (old, new) in [(", sheet: \"2017\"", ""), (", across: \"2.0in\"", ""), ("number: PerRow(5), ", "")] {
        assert_eq!(said("type-223", &[(old, new)]), Vec::<String>::new());
        assert_eq!(said("type-224", &[(old, new)]), Vec::<String>::new());
    }
}

#[test]
fn what_no_table_is_for_is_said_once() {
    let other = "of: \"web\", diameter: \"1/8in\", kind: AdProtruding, rows: 2, number: PerRow(4), pitch: \"0.5in\",";
    let with_sheet = format!("{other} across: \"2in\", sheet: \"L3\",");
    let found = said("type-224", &[("sheet: \"2017\"", "sheet: \"L3\""), (other, &with_sheet)]);
    assert_eq!(found.len(), 1, "{found:?}");
    let of_another_kind = "of: \"web\", diameter: \"1/8in\", kind: Other(\"snap head\"), rows: 2, number: PerRow(5)";
    let kind = "of: \"web\", diameter: \"1/8in\", kind: AdProtruding, rows: 2, number: PerRow(5)";
    assert_eq!(said("type-224", &[(kind, of_another_kind)]).len(), 1);
}

#[test]
fn joints_in_line_are_those_that_can_be_there_together() {
    let clean = said("type-225", &[]);
    assert_eq!(clean, ["the splice `S5` of frame `F14` is in line with the skin joint `Lower seam, port, mid bay`"]);
    assert_eq!(said("type-225", &[(CLOCK, "clock: \"220deg\"")]).len(), 1, "2 degrees");
    assert_eq!(said("type-225", &[(CLOCK, "clock: \"220.1deg\"")]), Vec::<String>::new());
    assert_eq!(
        said("type-225", &[("from: \"160.00in\"", "from: \"186.41in\"")]),
        Vec::<String>::new(),
        "not at its station"
    );
    assert_eq!(said("type-225", &[("from: \"160.00in\"", "from: \"186.40in\"")]).len(), 1);
    // Leaning aft, the frame is at its lower splice some 14 in further forward.
    let upright = "station: \"186.40in\", girth: ";
    let leaning =
        "station: \"186.40in\", plane: Canted(lean: Aft(\"30deg\"), station_at: \"0in\", ordinates: InPlane), girth: ";
    assert_eq!(said("type-225", &[(upright, leaning)]).len(), 1);
    assert_eq!(
        said("type-225", &[(upright, leaning), ("from: \"160.00in\"", "from: \"180in\"")]),
        Vec::<String>::new()
    );
    let near = ("to: \"215.00in\"", "to: \"176in\"");
    assert_eq!(said("type-225", &[(upright, leaning), near]).len(), 1);
    // The line's ring has no splice at 218 deg; at the top, 359 deg and 0 deg are neighbours.
    let on_the_line = "clock: \"219deg\", when: Post(\"TM048\", Production)";
    assert_eq!(said("type-225", &[(CLOCK, on_the_line)]), Vec::<String>::new());
    let top = said("type-225", &[(CLOCK, "clock: \"359deg\"")]);
    assert_eq!(top, ["the splice `S0` of frame `F14` is in line with the skin joint `Lower seam, port, mid bay`"]);
    assert_eq!(said("type-225", &[(CLOCK, "clock: \"359deg\", when: Pre(\"TM048\")")]), Vec::<String>::new());
    // The edge of an opening, where a segment ends alone, is no splice.
    assert_eq!(said("type-225", &[(CLOCK, "clock: \"66deg\"")]), Vec::<String>::new());
}
