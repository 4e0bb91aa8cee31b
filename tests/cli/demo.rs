//! Whole answers on the demo, at 80 columns, without colour.

use crate::{code, on_demo, shown, text};

#[track_caller]
fn snapshot(name: &str, args: &[&str]) {
    let output = on_demo(args);
    let is_wrapped = !args.contains(&"csv") && !args.contains(&"check") && !args.contains(&"picture");
    for line in text(&output.stdout).lines().filter(|_| is_wrapped) {
        assert!(line.chars().count() <= 80, "wider than 80 columns: {line}");
    }
    insta::with_settings!({ description => format!("modstate {}", args.join(" ")), omit_expression => true }, {
        insta::assert_snapshot!(name, shown(&output));
    });
}

#[test]
fn one_frame_of_three_airframes() {
    snapshot("variant_f14_retrospective", &["variant", "F14", "--airframe", "7C537"]);
    snapshot("variant_f14_production", &["variant", "F14", "--airframe", "4T188", "--build", "as delivered"]);
    snapshot("variant_f14_before_modification", &["variant", "F14", "--airframe", "4T214"]);
}

#[test]
fn a_frame_that_a_doubtful_claim_decides() {
    snapshot("variant_f17_doubtful", &["variant", "F17", "--airframe", "4T214"]);
}

#[test]
fn frames_of_offsets_and_canted_ones() {
    snapshot("variant_f20_offsets", &["variant", "F20", "--airframe", "7C537"]);
    snapshot("variant_f23_canted", &["variant", "F23", "--airframe", "7C537"]);
}

#[test]
fn positions_and_parts() {
    snapshot("variant_position", &["variant", "27-1600/20", "--airframe", "4T214"]);
    snapshot("variant_part", &["variant", "27-1454", "--airframe", "7C537"]);
    snapshot("variant_assembly", &["variant", "27-1400", "--airframe", "7C537"]);
}

#[test]
fn states() {
    snapshot("state_whole", &["state", "7C537"]);
    snapshot("state_open", &["state", "4T214", "--open"]);
    snapshot("state_one", &["state", "7C537", "--mod", "TM031", "--on", "1947-01-01"]);
}

#[test]
fn bills() {
    snapshot("bill_frame", &["bill", "7C537", "--build", "rebuild", "--of", "F14"]);
    snapshot("bill_make", &["bill", "4T214", "--of", "F17", "--layout", "make"]);
    snapshot("bill_csv", &["bill", "7C537", "--of", "27-1400/20", "--format", "csv"]);
}

#[test]
fn jigs() {
    snapshot("jig_j14", &["jig", "J14"]);
    snapshot("jig_j17", &["jig", "J17"]);
    snapshot("jig_j14_as_built_on_the_line", &["jig", "J14", "--airframe", "4T188", "--build", "as delivered"]);
}

#[test]
fn surveys() {
    for (name, survey) in [
        ("survey_scatter_from_csv", "V1"),
        ("survey_wrong_variant", "V2"),
        ("survey_one_bad_hole", "V3"),
        ("survey_without_record", "V4"),
        ("survey_before_correction", "V5"),
        ("survey_against_record", "V6"),
        ("survey_not_decidable", "V7"),
        ("survey_other_hand", "V8"),
        ("survey_member_shifted", "V9"),
    ] {
        snapshot(name, &["survey", survey]);
    }
}

#[test]
fn pictures() {
    snapshot("picture_f14", &["picture", "F14", "--airframe", "7C537", "--printed", "2024-05-06"]);
    snapshot("picture_v9", &["picture", "V9", "--printed", "2024-05-06"]);
}

#[test]
fn forms() {
    let printed = |args: &[&'static str]| [&["form"], args, &["--printed", "2024-05-06"]].concat();
    snapshot("form_setting_j14", &printed(&["setting", "J14"]));
    snapshot("form_setting_j17_as_recorded", &printed(&["setting", "J17", "--as-recorded"]));
    snapshot("form_survey_p4", &printed(&["survey", "J14", "P4"]));
    snapshot("form_survey_p8_without_drawing", &printed(&["survey", "J14", "P8"]));
    snapshot("form_survey_p4_csv", &printed(&["survey", "J14", "P4", "--format", "csv"]));
    snapshot("form_resurvey_j14", &printed(&["resurvey", "J14"]));
    snapshot("form_drilling_j14", &printed(&["drilling", "J14"]));
    snapshot("form_stamping_j14", &printed(&["stamping", "J14"]));
}

#[test]
fn rework_lists() {
    snapshot("rework_j14", &["rework", "J14"]);
    snapshot("rework_j17", &["rework", "J17"]);
    snapshot("rework_j14_for_the_line", &["rework", "J14", "--airframe", "4T188", "--build", "as delivered"]);
}

#[test]
fn a_plate_changed_since_its_survey_is_not_verified_everywhere() {
    let jig = text(&on_demo(&["jig", "J17"]).stdout);
    let survey = text(&on_demo(&["survey", "V5"]).stdout);
    let frame = text(&on_demo(&["variant", "F14", "--airframe", "7C537"]).stdout);
    let check = text(&on_demo(&["check"]).stdout);
    assert!(survey.contains("NOT VERIFIED BY MEASUREMENT: Q4"), "{survey}");
    assert!(frame.contains("P1 right, record only"), "{frame}");
    let check = check.split([' ', '\n', '│']).filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ");
    assert!(check.contains(
        "the plate `Q4` of jig `J17` was changed after its last survey, `V5`, and is not verified by measurement"
    ));
    assert!(jig.contains("changed since the last survey, not verified by measurement until the next: Q4"), "{jig}");
    assert!(jig.contains("changed since)"), "{jig}");
}

#[test]
fn reasons() {
    snapshot("why_modification", &["why", "TM048", "--airframe", "7C537"]);
    snapshot("why_doubtful", &["why", "TM061", "--airframe", "4T214"]);
    snapshot("why_position", &["why", "27-1400/20", "--airframe", "7C537"]);
    snapshot("why_plate", &["why", "J14-07", "--airframe", "7C537"]);
}

#[test]
fn records_findings_and_their_book() {
    snapshot("records", &["records"]);
    snapshot("check", &["check"]);
    snapshot("explain", &["explain", "d123"]);
}

#[test]
fn the_three_rings_differ_in_splices_and_plates() {
    let of = |airframe, state| text(&on_demo(&["variant", "F14", "-a", airframe, "--build", state]).stdout);
    let (line, depot, never) = (of("4T188", "as delivered"), of("7C537", "rebuild"), of("4T214", "as found"));
    for (screen, form, splices, plate) in [
        (&line, "post-mod TM048 (production)", ["S0", "S4", "S6", "S8"].as_slice(), "J14-06"),
        (&depot, "post-mod TM048 (retrospective)", ["S1", "S9", "S5", "S7"].as_slice(), "J14-07"),
        (&never, "pre-mod TM048", ["S1", "S3", "S5", "S7"].as_slice(), "J14-05"),
    ] {
        let settled = screen.split("Jig J14:").next().unwrap();
        assert!(settled.contains(&format!("Variant: {form}, ")), "{screen}");
        let found: Vec<&str> = settled.lines().filter(|line| line.contains("  splice, ")).collect();
        assert_eq!(found.len(), splices.len(), "{screen}");
        for (line, splice) in found.iter().zip(ordered(splices)) {
            assert!(line.starts_with(splice), "{splice} in {line}");
        }
        assert!(settled.contains(plate) && settled.contains("Because"), "{screen}");
    }
}

/// Splice points as they follow each other round the girth.
fn ordered<'a>(splices: &[&'a str]) -> Vec<&'a str> {
    let round = ["S0", "S1", "S3", "S9", "S4", "S5", "S6", "S8", "S7"];
    round.into_iter().filter(|name| splices.contains(name)).collect()
}

#[test]
fn the_answer_of_the_readme_fits_one_screen() {
    let screen = text(&on_demo(&["variant", "F14", "--airframe", "7C537"]).stdout);
    // With what the build state adds and leaves out, which the workshop decided on.
    assert!(screen.lines().count() <= 60, "{} lines", screen.lines().count());
    let words: Vec<&str> = screen.split_whitespace().collect();
    let said = words.join(" ");
    assert!(
        said.contains("plate P3, made to J14-06: wrong variant (measured V2); make or rework to J14-07"),
        "{screen}"
    );
    assert!(said.contains("leave as they are, 4 plates"), "{screen}");
}

#[test]
fn exit_codes() {
    for (args, expected) in [
        (["state", "7C537", "--mod", "TM048"].as_slice(), 0),
        (&["variant", "27-1400/20", "-a", "7C537"], 0),
        (&["why", "TM048", "-a", "7C537"], 0),
        (&["explain"], 0),
        (&["jig", "J14"], 1),
        (&["variant", "F14", "-a", "7C537"], 1),
        (&["variant", "F99", "-a", "7C537"], 2),
        (&["stat", "7C537"], 2),
        (&["state", "7C537"], 3),
        (&["state", "4T214", "--open"], 3),
        (&["jig", "J17"], 1),
        (&["survey", "V1"], 0),
        (&["survey", "V3"], 1),
        (&["survey", "V7"], 3),
        (&["survey", "V99"], 2),
        (&["rework", "J17"], 1),
        (&["bill", "4T214", "--of", "F17"], 3),
        (&["bill", "7C537", "--of", "F14"], 0),
        (&["rack", "7C537"], 1),
        (&["made"], 1),
        (&["made", "27-1411"], 0),
        (&["todo", "7C537", "--of", "F14"], 0),
        (&["todo", "4T214"], 3),
        (&["decisions", "7C537"], 0),
        (&["decisions", "4T214"], 3),
        (&["flat", "27-1454"], 0),
        (&["flat", "27-1411"], 2),
    ] {
        let output = on_demo(args);
        assert_eq!(code(&output), expected, "{args:?}\n{}", shown(&output));
    }
}

#[test]
fn a_place_whose_assembly_is_not_fitted() {
    snapshot("variant_no_assembly", &["variant", "27-1350/60", "-a", "4T214"]);
    snapshot("why_no_assembly", &["why", "27-1350/60", "-a", "4T214"]);
    snapshot("variant_assembly_not_fitted", &["variant", "27-1350", "-a", "4T214"]);
    snapshot("fleet_no_assembly", &["fleet", "27-1350/60", "--on", "1953-09-14"]);
}

#[test]
fn what_to_look_for() {
    snapshot("seek_frame", &["seek", "F17", "--airframe", "4T214"]);
    snapshot("seek_nothing_open", &["seek", "F14", "--airframe", "7C537"]);
}

#[test]
fn the_promise_of_a_question_is_kept() {
    let before = text(&on_demo(&["seek", "F17", "-a", "4T214"]).stdout);
    assert!(before.contains("- embodied: leaves 0 positions open"), "{before}");
    assert!(before.contains("27-1626 at 27-1610/20 (Leg, starboard)"), "{before}");
    let supposed = ["seek", "F17", "-a", "4T214", "--suppose", "27-1610/20 has 27-1626 on 1953-09-14"];
    let after = text(&on_demo(&supposed).stdout);
    assert!(after.contains("In scope: 0 positions are open now"), "{after}");
    assert!(after.contains("Supposed for this run: 27-1610/20 has 27-1626"), "{after}");
}

#[test]
fn suppositions() {
    snapshot("variant_supposed", &["variant", "F17", "-a", "4T214", "--suppose", "TM061 retrospective by 1952-08"]);
    snapshot("variant_without", &["variant", "F17", "-a", "4T214", "--without", "A1", "--without", "C13"]);
    snapshot(
        "supposition_against",
        &["state", "-a", "7C537", "--mod", "TM061", "--suppose", "F14 has no splice S3 on 1953"],
    );
    snapshot("supposition_unreadable", &["variant", "F17", "-a", "4T214", "--suppose", "TM061"]);
    snapshot("supposition_unknown_claim", &["variant", "F17", "-a", "4T214", "--without", "C99"]);
}

#[test]
fn whatever_a_claim_can_say_can_be_supposed() {
    for what in [
        "TM061 by 1952-08",
        "TM061 production by 1952-08",
        "TM061 retrospective by 1952-08",
        "not TM061 on 1953-09-04",
        "TM061 removed on 1952-03",
        "27-1610/20 has 27-1626 on 1953-09-14",
        "F14 has splice S3 on 1952",
        "F14 has no splice S3 on 1952",
        "pattern J17-09 on 1952",
    ] {
        let said = on_demo(&["state", "-a", "4T214", "--format", "json", "--suppose", what]);
        let answer: serde_json::Value = serde_json::from_slice(&said.stdout)
            .unwrap_or_else(|error| panic!("{what}: {error}: {}", text(&said.stderr)));
        assert_eq!(answer["asked"]["supposed"][0], what, "{answer}");
    }
}

#[test]
fn what_would_have_to_fall_for_a_supposition_is_said() {
    let recorded = "27-1610/20 has 27-1626 on 1953-09-14";
    let both = ["state", "-a", "4T214", "--suppose", recorded, "--suppose", "27-1610/20 has 27-1622 on 1953-09-14"];
    let said = text(&on_demo(&both).stdout);
    assert!(said.contains("Supposed against the records:"), "{said}");
}

#[test]
fn differences() {
    snapshot("differ_dates", &["differ", "-a", "7C537", "--on", "1946-01-01", "--with-on", "1948-01-01"]);
    snapshot("differ_airframes", &["differ", "-a", "7C537", "--on", "1953-09-14", "--with-airframe", "4T188"]);
    snapshot("differ_supposed", &["differ", "-a", "4T214", "--suppose", "TM061 by 1952-08"]);
}

#[test]
fn the_shop_floor() {
    snapshot("rack", &["rack", "7C537"]);
    snapshot("rack_doubtful", &["rack", "4T214"]);
    snapshot("made", &["made"]);
    snapshot("made_one", &["made", "27-1482", "-a", "7C537"]);
    snapshot("todo_frame", &["todo", "7C537", "--of", "F14"]);
    snapshot("todo_open", &["todo", "4T214", "--of", "F17"]);
    snapshot("tools", &["tools", "7C537"]);
    snapshot("tools_changed", &["tools", "7C537", "--with-airframe", "4T188", "--with-build", "as delivered"]);
    snapshot("drawings_missing", &["drawings", "7C537", "--missing"]);
    snapshot("decisions", &["decisions", "7C537"]);
    snapshot("decisions_doubted", &["decisions", "4T214"]);
    snapshot("flat_compared", &["flat", "27-1413", "--with", "27-1454"]);
    snapshot("flat_unknown", &["flat", "27-1411"]);
}

#[test]
fn fleets() {
    snapshot("fleet_frame", &["fleet", "F14", "--on", "1953-09-14"]);
    snapshot("fleet_part", &["fleet", "27-1454", "--on", "1953-09-14"]);
    snapshot("fleet_position", &["fleet", "27-1400/20", "--on", "1953-09-14", "--doubtful"]);
}

/// A finding that `check` shows.
#[derive(Clone, Debug, PartialEq)]
struct Shown {
    code: String,
    weight: String,
    files: Vec<String>,
    message: String,
}

impl Shown {
    fn points_below(&self, path: &str) -> bool {
        self.files.iter().any(|file| file.starts_with(path))
    }
}

/// What `check` shows with these options.
fn checked(options: &[&str]) -> Vec<Shown> {
    let output = on_demo(&[&["check", "--format", "json"], options].concat());
    let found: Vec<serde_json::Value> = serde_json::from_slice(&output.stdout).expect("JSON");
    let text = |value: &serde_json::Value| value.as_str().expect("a text").to_owned();
    let one = |finding: &serde_json::Value| {
        let labels = finding["labels"].as_array().expect("a list");
        let files = labels.iter().map(|label| text(&label["file"])).collect();
        let (code, weight) = (text(&finding["code"]), text(&finding["severity"]));
        Shown { code, weight, files, message: text(&finding["message"]) }
    };
    found.iter().map(one).collect()
}

#[test]
fn check_shows_what_is_asked_for_and_says_how_much_it_passes_over() {
    let all = checked(&[]);
    let holds = |options: &[&str], wanted: &dyn Fn(&Shown) -> bool| {
        let expected: Vec<_> = all.iter().filter(|finding| wanted(finding)).cloned().collect();
        assert!(!expected.is_empty() && expected.len() < all.len(), "{options:?} parts the findings");
        assert_eq!(checked(options), expected, "{options:?}");
        let short = text(&on_demo(&[&["check", "--short"], options].concat()).stdout);
        let lines = short.lines().filter(|line| line.ends_with(']')).count();
        assert_eq!(lines, expected.len(), "a line each:\n{short}");
        let passed_over = format!("{} other findings are not shown.", all.len() - expected.len());
        assert!(short.contains(&passed_over), "{passed_over}\n{short}");
    };
    holds(&["--severity", "stop"], &|finding| finding.weight == "stop");
    holds(&["--severity", "stop", "--severity", "note"], &|finding| finding.weight != "undecided");
    holds(&["--code", "jig-201"], &|finding| finding.code == "jig-201");
    holds(&["--file", "shop"], &|finding| finding.points_below("shop/"));
    holds(&["--file", "shop/jigs.ron"], &|finding| finding.points_below("shop/jigs.ron"));
    holds(&["--airframe", "4T188"], &|finding| {
        finding.points_below("airframes/4T188/") || finding.message.contains("`4T188`")
    });
    for (option, value) in [("--airframe", "4T999"), ("--code", "jig-999")] {
        assert_eq!(code(&on_demo(&["check", option, value])), 2, "{option} {value}");
    }
}
