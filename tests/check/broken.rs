//! Copies of the demo with one fault each, as a person would make it: the right code on the right line.
//!
//! A fault is written as texts replaced in files of the demo; its line is found by what stands on it. Each snapshot
//! shows every finding that the fault adds to those of the clean demo.

use super::{Project, demo_texts, project, shown};
use modstate::check::{CheckScope, check};
use modstate::finding::Finding;
use std::path::Path;
use std::sync::OnceLock;

/// An edit: the file, what stands there, and what is written instead.
pub(crate) type Edit<'a> = (&'a str, &'a str, &'a str);

/// The demo with these edits made.
pub(crate) fn edited(edits: &[Edit<'_>]) -> Project {
    let mut texts = demo_texts();
    for (file, old, new) in edits {
        let (_, text) = texts.iter_mut().find(|(path, _)| path == Path::new(file)).expect("the demo has the file");
        assert_eq!(text.matches(old).count(), 1, "`{old}` stands once in {file}");
        *text = text.replacen(old, new, 1);
    }
    project(texts)
}

/// What the clean demo gives, as code and message.
fn clean() -> &'static Vec<(String, String)> {
    static CLEAN: OnceLock<Vec<(String, String)>> = OnceLock::new();
    CLEAN.get_or_init(|| {
        let findings = project(demo_texts()).findings();
        findings.iter().map(|finding| (finding.code.to_string(), finding.message.clone())).collect()
    })
}

/// The findings that the edits add to those of the clean demo.
pub(crate) fn added(project: &Project) -> Vec<Finding> {
    let mut findings = project.findings();
    findings.retain(|finding| !clean().contains(&(finding.code.to_string(), finding.message.clone())));
    findings
}

/// Whether the first label of the finding starts on the line of the file that holds the text.
pub(crate) fn is_on(project: &Project, finding: &Finding, file: &str, line: &str) -> bool {
    let sources = &project.reading.sources;
    let (id, span) = sources.span(&finding.labels[0].place);
    let at = sources.line_column(id, span.start).0;
    let source = sources.file(id);
    source.path == Path::new(file) && source.text.lines().nth(at - 1).is_some_and(|text| text.contains(line))
}

/// Checks that the edits give a finding of the code with its first label on the line.
fn gives(name: &str, code: &str, (file, line): (&str, &str), edits: &[Edit<'_>]) {
    let project = edited(edits);
    let added = added(&project);
    let hit = added.iter().any(|f| f.code.to_string() == code && is_on(&project, f, file, line));
    let shown = shown(&project, &added);
    assert!(hit, "{name}: no {code} on the line `{line}` of {file}:\n{shown}");
    insta::with_settings!({ description => format!("{code} on the line `{line}` of {file}"), omit_expression => true }, {
        insta::assert_snapshot!(name, shown);
    });
}

/// Declares a test for each fault.
macro_rules! faults {
    ($($name:ident: $code:literal at $file:literal, $line:literal; $($edit:expr),+ $(,)?;)*) => {$(
        #[test]
        fn $name() {
            gives(stringify!($name), $code, ($file, $line), &[$($edit),+]);
        }
    )*};
}

const ON_THE_FLOOR: &str = "airframes/7C537/claims.ron";
const PAPERED: &str = "airframes/4T188/claims.ron";
const DONOR: &str = "airframes/4T226/claims.ron";
const EARLY: &str = "type/modifications-1936-to-1939.ron";
const MIDDLE: &str = "type/modifications-1940-to-1943.ron";
const LATE: &str = "type/modifications-1943-to-1953.ron";
const RING: &str = "type/structure-frame-14.ron";
const FRAMES: &str = "type/frames.ron";
const PARTS: &str = "type/parts-frame-14.ron";
const JIGS: &str = "shop/jigs.ron";

/// Another claim about 4T226, behind the last one.
const LAST_CLAIM: &str = "note: \"With or without doublers: paint still on, not looked at.\",\n    ),\n";

// Claims.
faults! {
    embodied_without_its_prerequisite: "claim-204" at "airframes/4T226/claims.ron", "id: \"C9\"";
        (DONOR, LAST_CLAIM, "),\n    Claim(\n        airframe: \"4T226\", id: \"C9\", says: Embodied(\"TM024\", Retrospective), when: \"1948-05\",\n        rests_on: [\"E1\"], standing: Firm,\n    ),\n");
    embodied_before_its_leaflet: "claim-202" at "airframes/7C537/claims.ron", "id: \"C16\"";
        (ON_THE_FLOOR, "Embodied(\"TM104\", Retrospective), when: \"1951-06\"", "Embodied(\"TM104\", Retrospective), when: \"1943-06\"");
    embodied_on_a_serial_outside_its_range: "claim-203" at "airframes/4T188/claims.ron", "id: \"C5\"";
        (PAPERED, "Embodied(\"TM059\", Retrospective)", "Embodied(\"TM112\", Retrospective)");
    done_afterwards_though_for_the_line_only: "claim-203" at "airframes/7C537/claims.ron", "id: \"C13\"";
        (ON_THE_FLOOR, "Embodied(\"TM071\", Retrospective)", "Embodied(\"TM071\")"),
        (MIDDLE, "line: [(factory: \"Brathmoor\", number: 121), (factory: \"Osmotherby\", number: 66)]),\n        retrospective: (leaflet_date: \"1942-11-16\"),", "line: [(factory: \"Brathmoor\", number: 121), (factory: \"Osmotherby\", number: 66)]),");
    two_that_exclude_each_other: "claim-205" at "airframes/7C537/claims.ron", "id: \"C10\"";
        (ON_THE_FLOOR, "id: \"C9\", says: Removed(\"TM033\")", "id: \"C9\", says: Removed(\"TM016\")"),
        (ON_THE_FLOOR, "id: \"C12\", says: Embodied(\"TM033\", Retrospective)", "id: \"C12\", says: Embodied(\"TM016\", Retrospective)");
    both_of_a_group: "claim-206" at "airframes/7C537/claims.ron", "id: \"C8\"";
        (ON_THE_FLOOR, "id: \"C7\", says: Removed(\"TM003\")", "id: \"C7\", says: Removed(\"TM016\")");
    firm_claims_that_disagree: "claim-207" at "airframes/4T188/claims.ron", "id: \"C10\"";
        (PAPERED, "rests_on: [\"E6\"],\n        standing: Doubtful", "rests_on: [\"E6\"],\n        standing: Firm");
    claimed_not_embodied_though_built_with_it: "claim-208" at "airframes/4T188/claims.ron", "id: \"C16\"";
        (PAPERED, "NotEmbodied(\"TM066\")", "NotEmbodied(\"TM048\")");
    cut_in_before_what_it_requires: "claim-209" at "type/modifications-1943-to-1953.ron", "number: 13), (factory";
        (LATE, "number: \"TM110\", title: \"Bulb seal, freight door\", class: \"D, at operator's option\", leaflet: \"TL 110\",\n        requires: [\"TM048\"],\n        production: (line: [(factory: \"Brathmoor\", number: 136)", "number: \"TM110\", title: \"Bulb seal, freight door\", class: \"D, at operator's option\", leaflet: \"TL 110\",\n        requires: [\"TM048\"],\n        production: (line: [(factory: \"Brathmoor\", number: 13)");
    contradiction_over_two_requirements: "claim-201" at "airframes/4T226/claims.ron", "id: \"C9\"";
        (LATE, "requires: [\"TM048\", \"TM024\"]", "requires: [\"TM024\"]"),
        (DONOR, LAST_CLAIM, "),\n    Claim(\n        airframe: \"4T226\", id: \"C9\", says: Embodied(\"TM108\", Retrospective), when: \"1948-05\",\n        rests_on: [\"E1\"], standing: Firm,\n    ),\n");
    evidence_that_does_not_exist: "claim-102" at "airframes/7C537/claims.ron", "\"E12\"";
        (ON_THE_FLOOR, "when: \"1946-10\", rests_on: [\"E2\"]", "when: \"1946-10\", rests_on: [\"E12\"]");
    seen_part_that_is_no_candidate: "claim-109" at "airframes/7C537/claims.ron", "id: \"C18\"";
        (ON_THE_FLOOR, "SeenPart(\"27-1400/20\", \"27-1454\")", "SeenPart(\"27-1400/20\", \"27-1456\")");
    bracket_not_closed: "file-101" at "airframes/7C537/claims.ron", "id: \"C4\"";
        (ON_THE_FLOOR, "when: \"1946-10\", rests_on: [\"E2\"],", "when: \"1946-10\", rests_on: [\"E2\",");
    month_thirteen: "record-104" at "airframes/7C537/claims.ron", "1946-13";
        (ON_THE_FLOOR, "when: \"1946-10\"", "when: \"1946-13\"");
    build_state_adds_without_the_requirement: "claim-212" at "airframes/4T214/build-states.ron", "TM126";
        ("airframes/4T214/build-states.ron", "date: \"1953-09-14\",", "date: \"1953-09-14\", add: [(modification: \"TM126\", reason: \"Safer sill.\")],");
    build_state_adds_what_is_in_anyway: "claim-214" at "airframes/4T188/build-states.ron", "TM048";
        ("airframes/4T188/build-states.ron", "date: \"1941-03-11\"", "date: \"1941-03-11\", add: [(modification: \"TM048\", reason: \"Door wanted.\")]");
    build_state_leaves_out_one_of_a_group: "claim-212" at "airframes/7C537/build-states.ron", "TM057";
        ("airframes/7C537/build-states.ron", "modification: \"TM110\"", "modification: \"TM057\"");
    build_state_adds_what_was_for_other_serials: "claim-212" at "airframes/7C537/build-states.ron", "TM112";
        ("airframes/7C537/build-states.ron", "modification: \"TM126\"", "modification: \"TM112\"");
    build_state_adds_what_hangs_on_something_open: "claim-213" at "airframes/4T226/airframe.ron", "TM059";
        ("airframes/4T226/airframe.ron", "[\n    Airframe(", "[\n    BuildState(\n        airframe: \"4T226\", name: \"as burned\", date: \"1950-01-20\",\n        add: [(modification: \"TM059\", reason: \"Two generators wanted.\")],\n    ),\n    Airframe(");
}

// The type.
faults! {
    typo_in_a_part_number: "record-122" at "type/structure-frame-14.ron", "27-1445";
        (RING, "(part: \"27-1454\", when", "(part: \"27-1445\", when");
    opposite_hands_swapped: "record-162" at "type/parts-frame-14.ron", "opposite_of: \"27-1433\"";
        (PARTS, "opposite_of: \"27-1433\",", "hand: Port, opposite_of: \"27-1433\",");
    range_with_another_prefix: "record-107" at "type/modifications-1936-to-1939.ron", "4T401..7C460";
        (EARLY, "\"4T401..4T460\", \"7C561..7C660\"", "\"4T401..7C460\", \"7C561..7C660\"");
    requires_in_a_loop: "type-101" at "type/modifications-1936-to-1939.ron", "requires: [\"TM048\"]";
        (MIDDLE, "leaflet: \"TL 48, issue 3\",", "leaflet: \"TL 48, issue 3\", requires: [\"TM024\"],");
    assembly_that_contains_itself: "type-102" at "type/structure-fuselage.ron", "27-1300";
        ("type/structure-fuselage.ron", "part: \"27-1350\",\n        positions: [\n            (find: \"10\", name: \"Outer skin\", candidates: [(part: \"27-1351\")]),", "part: \"27-1350\",\n        positions: [\n            (find: \"10\", name: \"Outer skin\", candidates: [(part: \"27-1300\")]),");
    unknown_field: "file-102" at "type/parts-frame-14.ron", "hnad";
        (PARTS, "\"Frame 14, lower quarter, port\", hand: Port", "\"Frame 14, lower quarter, port\", hnad: Port");
    part_entered_twice: "record-120" at "type/parts-frame-14.ron", "\"27-1452\", description: \"Frame 14, side, starboard lower";
        (PARTS, "number: \"27-1454\"", "number: \"27-1452\"");
    unknown_unit: "record-101" at "type/frames.ron", "0.75inches";
        (FRAMES, "(part: \"27-1412\", from: \"S1\", to: \"H1\", lap_from: \"0.75in\")", "(part: \"27-1412\", from: \"S1\", to: \"H1\", lap_from: \"0.75inches\")");
    gap_in_the_candidates: "type-103" at "type/structure-frame-14.ron", "find: \"25\"";
        (RING, "(part: \"27-1456\", when: Post(\"TM048\", Retrospective)),\n                ],\n                nothing_when: Post(\"TM048\", Production),", "(part: \"27-1456\", when: Post(\"TM048\", Retrospective)),\n                ],");
    overlap_of_candidates: "type-104" at "type/structure-frame-14.ron", "27-1413";
        (RING, "(part: \"27-1413\", when: Pre(\"TM048\"))", "(part: \"27-1413\", when: Not(Post(\"TM048\", Production)))");
    modification_that_nothing_can_have: "type-105" at "type/modifications-1943-to-1953.ron", "number: \"TM112\"";
        (LATE, "leaflet: \"TL 112\",", "leaflet: \"TL 112\", requires: [\"TM063\"],");
    candidate_and_plate_for_no_state: "type-106" at "type/structure-frame-14.ron", "27-1425";
        (RING, "(part: \"27-1425\", when: Pre(\"TM048\"))", "(part: \"27-1425\", when: All([Pre(\"TM048\"), Post(\"TM071\")]))");
    plate_for_no_state: "type-107" at "type/plates.ron", "\"Hatch bridge\"";
        (RING, "(part: \"27-1425\", when: Pre(\"TM048\"))", "(part: \"27-1425\", when: All([Pre(\"TM048\"), Post(\"TM071\")]))");
    requirement_that_adds_nothing: "type-108" at "type/modifications-1940-to-1943.ron", "requires: [\"TM061\", \"TM052\"]";
        (MIDDLE, "requires: [\"TM061\"], excludes", "requires: [\"TM061\", \"TM052\"], excludes");
    leaflet_list_against_the_structure: "type-109" at "type/modifications-1940-to-1943.ron", "27-1414\"], introduce: [\"27-1454\"]";
        (MIDDLE, "delete: [\"27-1414\"], introduce: [\"27-1456\"]", "delete: [\"27-1414\"], introduce: [\"27-1454\"]");
    segment_that_does_not_reach_its_neighbour: "type-201" at "type/frames.ron", "27-1454";
        (FRAMES, "(part: \"27-1456\", from: \"S9\", to: \"S5\"", "(part: \"27-1456\", from: \"S4\", to: \"S5\"");
    segment_past_its_neighbour: "type-202" at "type/frames.ron", "27-1414";
        (FRAMES, "(part: \"27-1414\", from: \"S3\", to: \"S5\"", "(part: \"27-1414\", from: \"S3\", to: \"S6\"");
    opening_bridged_by_another_piece: "type-203" at "type/frames.ron", "Mail hatch";
        (FRAMES, "bridged_by: [\"27-1425\"]", "bridged_by: [\"27-1441\"]");
    splice_piece_missing: "type-204" at "type/frames.ron", "27-1461";
        (RING, "candidates: [(part: \"27-1461\", when: Not(Post(\"TM048\", Production)))],\n                nothing_when: Post(\"TM048\", Production),", "candidates: [(part: \"27-1461\", when: Pre(\"TM048\"))],\n                nothing_when: Post(\"TM048\"),");
    segment_with_the_wrong_hand: "type-205" at "type/frames.ron", "27-1454";
        (PARTS, "\"Frame 14, side, starboard lower, repair piece\", hand: Starboard", "\"Frame 14, side, starboard lower, repair piece\", hand: Port");
    frame_without_a_segment: "type-206" at "type/frames.ron", "name: \"F14\"";
        (FRAMES, "(part: \"27-1432\", from: \"S0\", to: \"D1\"),\n            (part: \"27-1434\", from: \"D2\", to: \"S4\"),\n            (part: \"27-1433\", from: \"S4\", to: \"S6\", lap_to: \"0.75in\"),\n            (part: \"27-1435\", from: \"S6\", to: \"S8\", lap_from: \"0.75in\", lap_to: \"0.75in\"),\n            (part: \"27-1431\", from: \"S8\", to: \"S0\", lap_from: \"0.75in\"),\n", "");
    lap_into_an_opening: "type-208" at "type/frames.ron", "27-1452";
        (FRAMES, "(part: \"27-1452\", from: \"S1\", to: \"D1\", lap_from: \"0.75in\")", "(part: \"27-1452\", from: \"S1\", to: \"D1\", lap_from: \"0.75in\", lap_to: \"0.75in\")");
    lap_past_a_short_neighbour: "type-208" at "type/frames.ron", "27-1217";
        (FRAMES, "(part: \"27-1217\", from: \"K2\", to: \"S3\", lap_from: \"0.50in\"", "(part: \"27-1217\", from: \"K2\", to: \"S3\", lap_from: \"18.00in\"");
    opening_that_nothing_bridges: "type-209" at "type/frames.ron", "Mail hatch";
        (FRAMES, ", bridged_by: [\"27-1425\"]", "");
    halves_that_nothing_joins: "type-210" at "type/frames.ron", "\"K1\", at";
        (FRAMES, "at: Angle(\"180deg\"), joined_by: [\"27-1219\"]", "at: Angle(\"180deg\")"),
        (FRAMES, "to: \"K1\", lap_from: \"0.75in\", lap_to: \"0.50in\"", "to: \"K1\", lap_from: \"0.75in\""),
        (FRAMES, "from: \"K1\", to: \"S3\", lap_from: \"0.50in\", lap_to", "from: \"K1\", to: \"S3\", lap_to");
    sides_that_do_not_lie_opposite: "type-211" at "type/frames.ron", "27-1213";
        (FRAMES, "(name: \"S2\", at: Angle(\"135deg\")", "(name: \"S2\", at: Angle(\"136deg\")");
    path_left_open: "type-207" at "type/frames.ron", "27-1611";
        (FRAMES, "            ],\n            closed: true", "            ],\n            closed: false");
}

// The shop.
faults! {
    plate_on_an_unknown_station: "shop-102" at "shop/jigs.ron", "4 kell";
        (JIGS, "mark: \"P4\", station: \"4 keel\"", "mark: \"P4\", station: \"4 kell\"");
    plate_made_to_another_variant: "jig-201" at "shop/jigs.ron", "mark: \"P1\"";
        (JIGS, "made_to: \"J14-01\"", "made_to: \"J14-02\"");
    build_state_that_does_not_exist: "shop-110" at "shop/jigs.ron", "rebiuld";
        (JIGS, "build_state: \"rebuild\"", "build_state: \"rebiuld\"");
    plate_for_a_station_that_the_jig_lacks: "jig-207" at "type/plates.ron", "J14-15";
        ("type/plates.ron", "number: \"J14-15\", jig_station: \"7 opening\"", "number: \"J14-15\", jig_station: \"7 door\"");
    jig_set_for_nothing: "jig-208" at "shop/jigs.ron", "name: \"J14\"";
        (JIGS, " set_for: (airframe: \"7C537\", build_state: \"rebuild\"),", "");
    plate_reworked_and_not_measured_again: "jig-205" at "shop/jigs.ron", "2021-06-08";
        (JIGS, "reworked: \"2020-06-08\"", "reworked: \"2021-06-08\"");
}

const SURVEYS: &str = "shop/surveys.ron";
const PLATES: &str = "type/plates.ron";
const HOLES: &str = "shop/surveys/V1.csv";

// Surveys.
faults! {
    coefficient_without_its_unit: "shop-111" at "shop/jigs.ron", "name: \"J14\"";
        (JIGS, "name: \"J14\", frame: \"F14\", set_for: (airframe: \"7C537\", build_state: \"rebuild\"), expansion: \"11.5e-6/K\"", "name: \"J14\", frame: \"F14\", set_for: (airframe: \"7C537\", build_state: \"rebuild\"), expansion: \"11.5\"");
    member_names_a_hole_that_is_not_there: "shop-112" at "type/plates.ron", "\"L44\"";
        (PLATES, "(member: \"starboard end\", holes: [\"L1\", \"L2\", \"L3\", \"L4\"])", "(member: \"starboard end\", holes: [\"L1\", \"L2\", \"L3\", \"L44\"])");
    holes_in_a_file_that_is_not_there: "shop-113" at "shop/surveys.ron", "V11.csv";
        (SURVEYS, "shop/surveys/V1.csv", "shop/surveys/V11.csv");
    column_that_is_not_known: "shop-114" at "shop/surveys/V1.csv", "id,x,y,dia";
        (HOLES, "id,x,y,diameter", "id,x,y,dia");
    line_with_a_cell_too_few: "shop-115" at "shop/surveys/V1.csv", "B1-32";
        (HOLES, "\nB1,", "\nB1");
    cell_that_is_no_length: "record-101" at "shop/surveys/V1.csv", "L3,";
        (HOLES, "\nL3,", "\nL3,o");
    holes_in_the_record_and_in_a_file: "shop-116" at "shop/surveys.ron", "holes_from";
        (SURVEYS, "holes_from: \"shop/surveys/V1.csv\",", "holes_from: \"shop/surveys/V1.csv\", holes: [(x: \"0in\", y: \"0in\")],");
    bad_hole_in_a_good_plate: "survey-301" at "shop/surveys/V1.csv", "L3,";
        (HOLES, "\nL3,-29.5794,-8.4807", "\nL3,-29.5050,-8.4330");
    figure_misread: "survey-310" at "shop/surveys/V1.csv", "L3,";
        (HOLES, "\nL3,-29.5", "\nL3,-29.4");
    instrument_too_coarse: "survey-302" at "shop/surveys/V1.csv", "D1,";
        (SURVEYS, "uncertainty: \"0.3thou\", temperature: \"18.5C\", face: Marked, unit: \"in\"", "uncertainty: \"4thou\", temperature: \"18.5C\", face: Marked, unit: \"in\"");
    record_that_its_holes_deny: "survey-303" at "shop/jigs.ron", "mark: \"P6\"";
        (JIGS, "made_to: \"J14-11\"", "made_to: \"J14-12\"");
    measured_from_the_other_face: "survey-304" at "shop/jigs.ron", "mark: \"P4\"";
        (SURVEYS, "temperature: \"19.0C\", face: Marked", "temperature: \"19.0C\", face: Back");
    half_of_one_variant_and_half_of_another: "survey-305" at "shop/surveys.ron", "mark: \"P6\"";
        (HOLES, "\nL1,", "\nL1,-26.876,-16.794,0.1285\nX1,"), (HOLES, "\nL2,", "\nL2,-28.470,-12.675,0.1285\nX2,"),
        (HOLES, "\nL5,", "\n#L5,"), (HOLES, "\nL6,", "\n#L6,");
    too_few_holes_measured: "survey-306" at "shop/surveys.ron", "mark: \"P6\"";
        (HOLES, "\nL1,", "\n#L1,"), (HOLES, "\nL2,", "\n#L2,"), (HOLES, "\nL3,", "\n#L3,"), (HOLES, "\nL4,", "\n#L4,"),
        (HOLES, "\nL5,", "\n#L5,"), (HOLES, "\nL6,", "\n#L6,"), (HOLES, "\nB1,", "\n#B1,");
    hole_left_out: "survey-307" at "shop/surveys.ron", "holes_from";
        (HOLES, "\nL2,", "\n#L2,");
    plate_without_a_record: "survey-308" at "shop/jigs.ron", "mark: \"P6\"";
        (JIGS, " made_to: \"J14-11\",", "");
    holes_under_each_others_names: "survey-309" at "shop/surveys/V1.csv", "L4,-29.5";
        (HOLES, "\nL3,", "\nL33,"), (HOLES, "\nL4,", "\nL3,"), (HOLES, "\nL33,", "\nL4,");
}

const RIVETS: &str =
    "number: PerRow(5), pitch: \"0.5in\",\n                        row_spacing: \"0.5in\", edge: \"0.375in\"";

// Advice on splices.
faults! {
    rows_too_far_apart_for_the_lap: "type-221" at "type/frames.ron", "rows: 2, number: PerRow(5)";
        (FRAMES, RIVETS, "number: PerRow(5), pitch: \"0.5in\",\n                        row_spacing: \"0.9in\", edge: \"0.375in\"");
    rivets_too_near_to_the_edge: "type-222" at "type/frames.ron", "edge: \"0.2in\"";
        (FRAMES, RIVETS, "number: PerRow(5), pitch: \"0.3in\",\n                        row_spacing: \"0.2in\", edge: \"0.2in\"");
    rivet_left_out_of_each_row: "type-223" at "type/frames.ron", "number: PerRow(4)";
        (FRAMES, "number: PerRow(5)", "number: PerRow(4)");
    sheet_that_no_table_is_for: "type-224" at "type/frames.ron", "sheet: \"L3\"";
        (FRAMES, "sheet: \"2017\"", "sheet: \"L3\"");
    splice_in_line_with_the_next_frames: "type-225" at "type/frames.ron", "name: \"U1\"";
        (FRAMES, "assembly: \"27-1610\"", "assembly: \"27-1610\", next_aft: \"F20\""),
        (FRAMES, "(name: \"S1\", at: Height(\"12.50in\", Starboard)", "(name: \"S1\", at: Angle(\"86deg\")");
    hole_through_the_edge_of_its_plate: "record-213" at "type/plates.ron", "hole: \"L4\", x: \"-344.00mm\"";
        ("type/plates.ron", "(hole: \"L4\", x: \"-254.00mm\", y: \"-620.40mm\"", "(hole: \"L4\", x: \"-344.00mm\", y: \"-620.40mm\"");
}

#[test]
fn too_many_repairs_are_not_half_listed() {
    let mut texts = demo_texts();
    let claims = texts.iter_mut().find(|(path, _)| path.ends_with("airframes/7C537/claims.ron"));
    let (_, claims) = claims.expect("the demo has it");
    // What the build state adds is claimed to be in, and not to be.
    claims.truncate(claims.rfind(']').expect("the list ends"));
    claims.push_str(
        "    Claim(airframe: \"7C537\", id: \"C90\", says: Embodied(\"TM126\"), when: \"by 1953-08-01\",
        rests_on: [\"E7\"], standing: Doubtful),\n]\n",
    );
    let project = project(texts);
    let limits = modstate::resolve::Limits { repairs: 0, ..modstate::resolve::Limits::default() };
    let checked = check(&project.reading.lost, &project.model, &project.graph, CheckScope::Whole, limits);
    let codes = [modstate::codes::REPAIRS_NOT_DECIDED, modstate::codes::STATE_MAY_BREAK_RULE];
    let undecided: Vec<_> = checked.into_iter().filter(|finding| codes.contains(&finding.code)).collect();
    insta::assert_snapshot!(shown(&project, &undecided));
}

const MADE: &str = "shop/made-parts.ron";
const TOOLS: &str = "shop/forming-tools.ron";
const BOOK: &str = "shop/decisions.ron";
/// The packing on the rack, to be made into another part.
const PACKING: &str = "part: \"27-1482\", issue: \"A\", quantity: 1, hand: Starboard, marks: \"537/6\", stage: \"finished\", made_for: \"7C537\",\n        made: \"2021-09-13\", under: [\"DP 4\"],";

// Parts made, tools, permissions, bends and decisions.
faults! {
    stage_that_the_shop_does_not_have: "part-401" at "shop/made-parts.ron", "fromed";
        (MADE, "stage: \"formed\", made: \"2020-11-02\"", "stage: \"fromed\", made: \"2020-11-02\"");
    permission_that_does_not_exist: "part-402" at "shop/made-parts.ron", "DP 77";
        (MADE, "under: [\"DP 7\"]", "under: [\"DP 77\"]");
    part_made_for_another_ring: "part-411" at "shop/made-parts.ron", "part: \"27-1434\"";
        (MADE, "stage: \"formed\", made: \"2020-11-02\",", "stage: \"formed\", made: \"2020-11-02\", made_for: \"7C537\",");
    part_of_the_wrong_hand: "part-412" at "shop/made-parts.ron", "27-1498";
        (PARTS, "    Part(\n        number: \"27-1454\"", "    Part(number: \"27-1498\", description: \"Lower, port\", source: Made, opposite_of: \"27-1454\"),\n    Part(\n        number: \"27-1454\""),
        (MADE, PACKING, "part: \"27-1498\", quantity: 1, marks: \"537/6\", stage: \"finished\", made_for: \"7C537\",");
    part_to_a_superseded_issue: "part-413" at "shop/made-parts.ron", "part: \"27-1454\"";
        (MADE, "part: \"27-1454\", issue: \"B\"", "part: \"27-1454\", issue: \"A\"");
    part_without_a_place: "part-415" at "shop/made-parts.ron", "27-1425";
        (MADE, PACKING, "part: \"27-1425\", issue: \"A\", quantity: 1, marks: \"537/6\", stage: \"finished\", made_for: \"7C537\",");
    part_that_its_donor_did_not_have: "part-417" at "shop/made-parts.ron", "taken_from: \"27-1400/35\"";
        (MADE, "part: \"27-1415\", issue: \"B\", quantity: 1, hand: Port", "part: \"27-1435\", issue: \"A\", quantity: 1, hand: Port");
    part_more_often_than_its_donor_had_room_for: "part-417" at "shop/made-parts.ron", "taken_from: \"27-1400/35\"";
        (MADE, "part: \"27-1415\", issue: \"B\", quantity: 1", "part: \"27-1415\", issue: \"B\", quantity: 2");
    no_want_of_room_where_a_candidate_is_lost: "record-122" at "type/structure-frame-14.ron", "TS101-0560";
        ("type/structure-frame-14.ron", "(part: \"TS101-0506\", when: Post(\"TM071\"))", "(part: \"TS101-0560\", when: Post(\"TM071\"))"),
        (MADE, PACKING, "part: \"TS101-0506\", quantity: 130, reclaimed_from: \"4T226\",");
    scan_that_is_not_there: "file-120" at "airframes/7C537/evidence.ron", "E7-state";
        ("airframes/7C537/evidence.ron", "E7-state-of-leaflets.png", "E7-state-of-leaflet.png");
    scan_outside_the_project: "file-120" at "airframes/7C537/claims.ron", "item 4";
        ("airframes/7C537/claims.ron", "place: \"item 4\", file: \"airframes", "place: \"item 4\", file: \"../airframes");
    read_on_evidence_that_it_does_not_rest_on: "claim-120" at "airframes/7C537/claims.ron", "in red ink";
        ("airframes/7C537/claims.ron", "(evidence: \"E1\", place: \"line 9", "(evidence: \"E3\", place: \"line 9");
    read_on_one_of_several_that_is_not_named: "claim-120" at "airframes/7C537/claims.ron", "in red ink";
        ("airframes/7C537/claims.ron", "(evidence: \"E1\", place: \"line 9", "(place: \"line 9");
    formed_on_a_plate_for_another_part: "part-431" at "shop/made-parts.ron", "2020-09-10";
        (MADE, "Plate(\"J14\", \"P1\", \"2020-09-10\")", "Plate(\"J14\", \"P2\", \"2020-09-10\")");
    formed_before_the_plate_was_made: "part-431" at "shop/made-parts.ron", "2019-09-10";
        (MADE, "Plate(\"J14\", \"P1\", \"2020-09-10\")", "Plate(\"J14\", \"P1\", \"2019-09-10\")");
    formed_on_a_tool_for_other_parts: "part-431" at "shop/made-parts.ron", "B14/3";
        (MADE, "Tool(\"B14/1\", \"2020-09-07\")", "Tool(\"B14/3\", \"2020-09-07\")");
    formed_on_a_plate_with_a_hole_out: "part-431" at "shop/made-parts.ron", "2020-06-20";
        (MADE, "    MadePart(part: \"27-1485\"", "    MadePart(part: \"27-1456\", quantity: 1, formed_on: [Plate(\"J14\", \"P4\", \"2020-06-20\")]),\n    MadePart(part: \"27-1485\"");
    formed_on_a_plate_of_the_other_hand: "part-431" at "shop/made-parts.ron", "2022-01-20";
        (MADE, "    MadePart(part: \"27-1485\"", "    MadePart(part: \"27-1626\", quantity: 1, formed_on: [Plate(\"J17\", \"Q3\", \"2022-01-20\")]),\n    MadePart(part: \"27-1485\"");
    formed_on_a_plate_that_was_changed_afterwards: "part-432" at "shop/made-parts.ron", "2020-06-01";
        (MADE, "Plate(\"J14\", \"P1\", \"2020-09-10\")", "Plate(\"J14\", \"P4\", \"2020-06-01\")");
    formed_on_a_plate_that_is_not_there: "shop-103" at "shop/made-parts.ron", "2020-09-10";
        (MADE, "Plate(\"J14\", \"P1\", \"2020-09-10\")", "Plate(\"J14\", \"P11\", \"2020-09-10\")");
    inspection_that_is_not_entered: "part-433" at "shop/made-parts.ron", "blank cut";
        (MADE, ", inspected_by: \"M. Aldous\", inspected: \"2020-09-03\"", "");
    batch_of_unlike_parts: "part-418" at "shop/made-parts.ron", "One is spare";
        (MADE, "batch: \"HT 20/2\"", "batch: \"HT 20/3\"");
    block_for_another_ring: "tool-421" at "shop/forming-tools.ron", "27-1434";
        (TOOLS, "made_to: [\"27-1434\"], issue: \"A\",", "made_to: [\"27-1434\"], issue: \"A\", set_for: (airframe: \"7C537\", build_state: \"rebuild\"),");
    block_to_a_superseded_issue: "tool-422" at "shop/forming-tools.ron", "27-1454";
        (TOOLS, "made_to: [\"27-1454\"], issue: \"B\"", "made_to: [\"27-1454\"], issue: \"A\"");
    template_that_the_state_does_not_need: "tool-424" at "shop/forming-tools.ron", "T14/1";
        (TOOLS, "made_to: [\"27-1461\", \"27-1462\"], issue: \"A\"", "made_to: [\"27-1461\", \"27-1462\"], issue: \"A\", set_for: (airframe: \"4T188\", build_state: \"as delivered\")");
    made_after_the_permit_expired: "permit-431" at "shop/made-parts.ron", "2022-09-13";
        (MADE, "made: \"2021-09-13\"", "made: \"2022-09-13\"");
    made_under_a_permission_for_another_part: "permit-432" at "shop/made-parts.ron", "CN 12";
        (MADE, "under: [\"CN 15\"]", "under: [\"CN 12\"]");
    permission_for_a_position_without_the_part: "permit-432" at "shop/deviations.ron", "27-1400/25";
        ("shop/deviations.ron", "position: \"27-1400/20\"", "position: \"27-1400/25\"");
    more_made_than_the_permit_allows: "permit-433" at "shop/made-parts.ron", "DP 9";
        (MADE, "part: \"27-1454\", issue: \"B\", quantity: 1", "part: \"27-1454\", issue: \"B\", quantity: 2");
    leg_left_out_of_a_section: "part-451" at "type/parts-frame-14.ron", "bends: [(angle: \"90deg\", radius: \"0.125in\")";
        (PARTS, "legs: [\"0.75in\", \"2.50in\", \"0.625in\"]", "legs: [\"0.75in\", \"2.50in\"]");
    flange_wider_than_its_curve: "part-451" at "type/parts-frame-14.ron", "Stretch(\"0.5in\")";
        (PARTS, "runs: [(length: \"19.2in\", curve: Stretch(\"33.75in\"))]", "runs: [(length: \"19.2in\", curve: Stretch(\"0.5in\"))]");
    bend_too_tight_for_the_temper: "part-452" at "type/parts-frame-14.ron", "radius: \"0.16in\"";
        (PARTS, "bent_in: \"2024-O\"", "bent_in: \"2024-T3\"");
    decision_taken_out_of_the_book: "decision-501" at "shop/decisions.ron", "number: 7";
        (BOOK, "number: 6", "number: 7");
    decision_dated_before_the_last: "decision-502" at "shop/decisions.ron", "2020-05-16";
        (BOOK, "2022-05-16", "2020-05-16");
    withdrawal_of_a_later_decision: "decision-503" at "shop/decisions.ron", "Withdraw(4)";
        (BOOK, "Withdraw(1)", "Withdraw(4)");
    decision_without_a_day: "decision-504" at "shop/decisions.ron", "date: \"2019\"";
        (BOOK, "2019-11-04", "2019");
    decision_that_a_relic_contradicts: "decision-505" at "shop/decisions.ron", "number: 5";
        (BOOK, "NotEmbodied(\"TM061\")", "Embodied(\"TM048\")");
    decision_that_nothing_settles: "decision-507" at "shop/decisions.ron", "number: 5";
        (BOOK, "NotEmbodied(\"TM061\")", "NotEmbodied(\"TM019\")");
    decision_of_which_no_state_is_known: "decision-507" at "shop/decisions.ron", "number: 6";
        (BOOK, "decides: BuildTo(\"rebuild\")", "decides: Fits(\"27-1400/35\", \"27-1415\")");
    two_states_for_one_airframe: "decision-508" at "shop/decisions.ron", "number: 3";
        (BOOK, "decides: Withdraw(1)", "decides: NotEmbodied(\"TM015\")");
    decision_reworded_after_the_next: "decision-509" at "shop/decisions.ron", "number: 5";
        (BOOK, "the 24 in well would need new legs", "the well would need new legs");
    decision_reworded_some_entries_back: "decision-509" at "shop/decisions.ron", "number: 4";
        (BOOK, "the bulb seal cannot be had", "the bulb seal is too dear");
    first_decision_that_follows: "decision-509" at "shop/decisions.ron", "follows: \"ae6c2ea5\"";
        (BOOK, "the best that we have.\"", "the best that we have.\", follows: \"ae6c2ea5\"");
}
