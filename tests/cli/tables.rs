//! The shop's own tables in the answers: their source stands with what rests on them, and what was not read of them is
//! marked there and nowhere else.

use modstate::cli::{Around, run_in};
use modstate::project::Project;
use modstate::source::read_project;
use serde_json::Value;
use std::path::PathBuf;

const RADII: &str = r#"BendRadii(source: "Trials, book 1", thickness: ["0.02in", "0.1in"],
    radii: [(material: "2024-O", radius: [(0.0, 1.0), (2.5, 3.0)])])"#;
const GAUGES: &str = r#"WireGauges(source: "Gauge plate", sizes: [("10", "0.128in"), ("12", "0.104in"), ("14", "0.090in"),
    ("16", "0.064in"), ("17", "0.056in"), ("18", "0.048in"), ("20", "0.036in"), ("22", "0.028in"), ("24", "0.022in")])"#;
const LIMITS: &str = r#"SurveyLimits(source: "Note 7", far_off: "2mm", out_of_plane: "0.3mm", temperature_not_noted: "8K",
    widest_expansion: "23e-6/K", loose: "1.6mm", odds_found: 400, odds_possible: 20)"#;
const CLASSES: &str = r#"ToleranceClasses(source: "Standard 4", classes: [(name: "dowel", zone: "0.1mm"),
    (name: "reamed", zone: "0.2mm"), (name: "drilled", zone: "0.5mm"), (name: "pilot", zone: "1mm")])"#;

/// The demo, and these tables in a file of their own.
fn with(own: &str) -> Project {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("demo-airframe");
    let reading = read_project(&root).expect("the demo is there");
    let files = reading.sources.files().iter().map(|file| (file.path.clone(), file.text.clone()));
    Project::from_texts(files.chain([(PathBuf::from("shop/own.ron"), format!("[{own}]"))]).collect())
}

fn ask(project: &Project, args: &[&str]) -> (String, u8) {
    let around = Around {
        args: ["modstate"].iter().chain(args).map(std::ffi::OsString::from).collect(),
        folder: PathBuf::from("."),
        no_color: true,
        terminal: None,
        progress: None,
        today: "1953-09-14".to_owned(),
        tell: |_| Ok(()),
    };
    let answer = run_in(project, &around);
    (answer.out, answer.code)
}

fn json(project: &Project, args: &[&str]) -> Value {
    let (out, _) = ask(project, &[args, &["--format", "json"]].concat());
    serde_json::from_str(&out).unwrap_or_else(|why| panic!("{args:?}: {why}: {out}"))
}

const FLAT: &[&str] = &["flat", "27-1454"];
const TODO: &[&str] = &["todo", "7C537", "--of", "F14"];
const SURVEY: &[&str] = &["survey", "V3"];
const JIG: &[&str] = &["jig", "J14"];
const RESURVEY: &[&str] = &["form", "resurvey", "J14", "--uncertainty", "14swg", "--printed", "2024-05-06"];
const STATE: &[&str] = &["state", "7C537"];
const VARIANT: &[&str] = &["variant", "F14", "--airframe", "7C537"];

#[test]
fn figures_of_the_shop_s_own_tables_are_used_and_their_source_is_told() {
    let project = with(&[RADII, GAUGES, LIMITS].join(","));
    let flat = json(&project, FLAT);
    assert_eq!(flat["thickness_in"], 0.09, "by the shop's own gauge");
    assert_eq!(flat["bends"][0]["published"]["standing"], "below-the-range");
    let (text, code) = ask(&project, FLAT);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(code, 0, "a tight bend is advice: {text}");
    for told in ["Minimum radii: Trials, book 1, 2024-O at 14 swg, 0.225 to 0.270 in", "Gauges (swg): Gauge plate."] {
        assert!(text.contains(told), "{told}: {text}");
    }
    assert!(!text.contains("from memory"), "{text}");
    let figures = |args: &[&str]| json(&project, args)["figures"].clone();
    assert_eq!(figures(SURVEY), serde_json::json!(["Limits for surveys: Note 7."]));
    let told = figures(TODO);
    assert!(told[1].as_str().unwrap().starts_with("Thickness bands: Furnace card 4"), "{told}");
    assert_eq!(told[2], "Gauges (swg): Gauge plate.");
}

#[test]
fn a_gauge_on_the_command_line_is_one_of_the_shop_s_own() {
    let guard = |own: &str| json(&with(own), RESURVEY)["limits"]["uncertainty_mm"].clone();
    assert_eq!((guard(""), guard(GAUGES)), (serde_json::json!(2.032), serde_json::json!(2.286)));
    let lost = with(&GAUGES.replace("\"0.090in\"", "\"0.090\""));
    assert_eq!(ask(&lost, RESURVEY), (String::new(), 2), "nothing falls back to the program's own gauges");
}

#[test]
fn what_rests_on_a_table_that_was_not_read_is_marked_and_nothing_else() {
    let sound = with("");
    let rest = |own: &str, marked: &[&[&str]]| {
        let project = with(own);
        for args in [FLAT, TODO, SURVEY, JIG, STATE, VARIANT] {
            let (before, after) = (json(&sound, args), json(&project, args));
            if marked.contains(&args) {
                let lost = &after["not_read"][0];
                assert_eq!(lost["file"], "shop/own.ron", "{args:?} of {own}: {after}");
                assert_eq!(ask(&project, args).1, 1, "{args:?} of {own}");
            } else {
                assert_eq!(before, after, "{args:?} of {own}");
            }
        }
        project
    };
    let project = rest(&RADII.replace("(2.5, 3.0)", "(2.5)"), &[FLAT]);
    let flat = json(&project, FLAT);
    assert_eq!((&flat["bends"][0]["published"], &flat["bends"][0]["not_read"][0]), (&Value::Null, &1.into()));
    assert!(ask(&project, FLAT).0.contains("Whether a minimum radius is published for it is not known: not read [1]."));
    // What hangs on the jig's holes hangs on the limits.
    let project = rest(&LIMITS.replace("\"8K\"", "\"8\""), &[SURVEY, JIG, TODO, VARIANT]);
    let stations = json(&project, JIG)["stations"].clone();
    let of = |mark: &str| stations.as_array().unwrap().iter().find(|row| row["mark"] == mark).unwrap().clone();
    assert_eq!(of("P1")["verdict"]["firm"], "right", "it was never surveyed: {stations}");
    assert_eq!(of("P4")["verdict"]["firm"], "not-read", "{stations}");
    // No plate of the demo has a class.
    rest(&CLASSES.replace("\"0.1mm\"", "\"0.1\""), &[]);
}
