//! Every answer as JSON, with the fields that the docs promise.

use crate::{on_demo, text};
use modstate::schema::Record;
use serde_json::Value;

#[track_caller]
fn json(args: &[&str]) -> Value {
    let whole: Vec<&str> = args.iter().chain(&["--format", "json"]).copied().collect();
    let output = on_demo(&whole);
    serde_json::from_slice(&output.stdout).unwrap_or_else(|e| panic!("{e}\n{}", text(&output.stdout)))
}

#[track_caller]
fn has(value: &Value, fields: &[&str]) {
    let object = value.as_object().expect("an object");
    for field in fields {
        assert!(object.contains_key(*field), "`{field}` is missing among {:?}", object.keys());
    }
}

const ASKED: &[&str] = &[
    "type_name",
    "airframe",
    "date",
    "build_state",
    "picked",
    "adds",
    "leaves_out",
    "assumptions",
    "two_bases",
    "contradicted",
];

#[test]
fn state() {
    let report = json(&["state", "4T214"]);
    has(&report, &["asked", "modifications", "of", "distinct_states"]);
    has(&report["asked"], ASKED);
    has(&report["modifications"][0], &["number", "title", "standing", "form", "since", "reason"]);
    has(&report["modifications"][0]["standing"], &["firm", "held"]);
    let states = report["distinct_states"]["firm"].as_str().unwrap();
    assert!(states.bytes().all(|b| b.is_ascii_digit()) && states.len() > 3, "{states}");
    assert_eq!(report["asked"]["assumptions"][0]["name"], "A1");
}

#[test]
fn frame() {
    let report = json(&["variant", "F14", "--airframe", "7C537"]);
    has(&report, &["asked", "frame", "title", "assembly", "station", "girth_mm", "standing", "variants", "otherwise"]);
    has(&report, &["too_many", "because", "jigs", "caution"]);
    let variant = &report["variants"][0];
    has(variant, &["when", "standing", "states", "points", "segments", "openings", "plates"]);
    has(&variant["points"][0], &["name", "clock_deg", "girth_mm", "girth_in", "joined_by", "edge_of"]);
    has(
        &variant["points"][0],
        &["breadth_mm", "breadth_in", "height_mm", "height_in", "along_plane_mm", "along_plane_in"],
    );
    has(&variant["points"][0], &["station_mm", "station_in"]);
    has(&report, &["station_mm", "by_ordinates", "plane"]);
    let canted = json(&["variant", "F23", "--airframe", "7C537"]);
    has(&canted["plane"], &["words", "level_mm", "above_deg", "below_deg", "ordinates"]);
    has(
        &variant["segments"][0],
        &["part", "description", "name", "from", "to", "lap_from", "lap_to", "issues", "plates"],
    );
    has(&report["because"]["grounds"][0], &["without", "steps"]);
    let step = &report["because"]["grounds"][0]["steps"][0];
    has(step, &["text", "at", "evidence"]);
    has(&step["at"], &["file", "line"]);
    has(&step["evidence"][0], &["id", "kind", "reference", "date", "kept", "grade", "at"]);
    assert_eq!(report["otherwise"].as_array().unwrap().len(), 2);
}

#[test]
fn position_and_part() {
    let report = json(&["variant", "27-1600/20", "--airframe", "4T214"]);
    has(&report, &["asked", "position", "name", "assembly", "assembly_fitted", "standing", "variants", "because"]);
    has(&report["variants"][0], &["part", "quantity", "gap", "when", "standing", "states", "issues", "plates"]);
    let report = json(&["variant", "27-1454", "--airframe", "7C537"]);
    has(&report, &["part", "description", "fitted", "when", "drawing", "issues", "plates", "places", "contents"]);
}

#[test]
fn jig() {
    let report = json(&["jig", "J14"]);
    has(&report, &["asked", "jig", "frame", "stations", "caution"]);
    has(&report["stations"][0], &["station", "mark", "made_to", "needed", "verdict", "proved", "stays", "remedy"]);
    has(&report["stations"][0], &["counts_as", "rests_on", "measured"]);
    let all = json(&["jig", "--airframe", "7C537"]);
    assert_eq!(all.as_array().map(Vec::len), Some(2), "every jig, in a list");
}

#[test]
fn survey_and_rework() {
    let report = json(&["survey", "V9"]);
    has(&report, &["survey", "jig", "station", "mark", "date", "instrument", "uncertainty", "temperature_c", "unit"]);
    has(&report, &["corrected_to_20", "face", "axes", "counts", "record", "identity", "against", "state", "datums"]);
    has(
        &report,
        &["holes", "strange", "errors", "suspects", "scatter", "best_fit", "part_growth", "remedies", "caution"],
    );
    has(&report["identity"], &["verdict", "plates", "words", "hand", "mounting", "loosely", "told_from"]);
    has(&report["holes"][0], &["hole", "named", "datum", "dx_mm", "dy_mm", "position_mm", "zone_mm", "bonus_mm"]);
    has(&report["holes"][0], &["guard_mm", "verdict", "size", "left_mm"]);
    has(&report["errors"][0], &["kind", "what", "size", "instead", "harmless"]);
    let report = json(&["rework", "J14"]);
    has(&report, &["asked", "jig", "frame", "keep", "steps", "wait", "survey_afterwards", "caution"]);
    has(&report["steps"][0], &["kind", "station", "mark", "plate", "text"]);
}

#[test]
fn forms() {
    const HEAD: &[&str] = &["form", "asked", "jig", "frame", "unit", "printed", "fingerprint", "caution"];
    let setting = json(&["form", "setting", "J14"]);
    has(&setting, HEAD);
    has(&setting, &["stations", "between", "path"]);
    has(&setting["stations"][0], &["station", "mark", "plate", "open", "dowels", "line"]);
    has(&setting["stations"][0]["dowels"][0], &["hole", "x_mm", "y_mm", "z_mm", "diameter_mm", "tolerance_mm"]);
    let line = &setting["stations"][0]["line"];
    has(line, &["from", "to", "distance_mm", "along", "base_mm", "height_mm", "round_base_mm"]);
    has(line, &["height_over_round_base_mm"]);
    has(&setting["between"][0], &["reach", "station", "hole", "to_station", "to_hole", "distance_mm"]);
    has(&setting["path"], &["length_mm", "closed", "points"]);
    has(&setting["path"]["points"][0], &["name", "girth_mm", "x_mm", "y_mm"]);
    for kind in ["survey", "resurvey"] {
        let survey = json(&["form", kind, "J14", "P4"]);
        has(&survey, HEAD);
        has(&survey, &["limits", "plates", "waits"]);
        has(&survey["plates"][0], &["station", "mark", "plate", "holes", "zones"]);
        let hole = &survey["plates"][0]["holes"][0];
        has(hole, &["hole", "datum", "x_mm", "y_mm", "z_mm", "diameter_mm", "tolerance_mm"]);
        has(hole, &["in_tolerance_up_to_mm", "out_of_tolerance_from_mm"]);
        has(&survey["plates"][0]["zones"][0], &["tolerance_mm", "holes", "at_most_mm", "needed_mm"]);
    }
    let drilling = json(&["form", "drilling", "J14"]);
    has(&drilling, HEAD);
    has(&drilling, &["rows", "not_listed"]);
    has(&drilling["rows"][0], &["diameter_mm", "diameter", "treatment", "station", "plate", "holes"]);
    let stamping = json(&["form", "stamping", "J14"]);
    has(&stamping, HEAD);
    has(&stamping["rows"][0], &["station", "mark", "plate", "issue", "stamp", "recorded"]);
}

#[test]
fn bill() {
    let report = json(&["bill", "4T214", "--of", "F17"]);
    has(&report, &["asked", "differs_on_other_basis"]);
    assert!(!report["differs_on_other_basis"].as_array().unwrap().is_empty());
}

#[test]
fn shop_floor() {
    let report = json(&["rack", "7C537"]);
    has(&report, &["asked", "parts", "caution"]);
    has(
        &report["parts"][0],
        &["part", "issue", "quantity", "stage", "verdict", "taken", "reason", "permissions", "mark_with"],
    );
    has(&report["parts"][0]["permissions"][0], &["reference", "kind", "allowed_by", "scope", "expires", "run_out"]);
    let report = json(&["made", "27-1482"]);
    has(&report, &["part", "parts", "caution"]);
    has(&report["parts"][0], &["part", "certificate", "work", "not_inspected", "formed_on", "under", "at"]);
    has(&report["parts"][0]["formed_on"][0], &["on", "date", "was", "words", "survey", "at"]);
    let report = json(&["todo", "7C537"]);
    has(&report, &["asked", "of", "now", "waiting", "unfinished", "materials", "batches", "caution"]);
    has(&report["now"][0], &["part", "left", "more", "issue", "at", "first", "permissions", "waits_for", "mark_with"]);
    let report = json(&["tools", "7C537", "--with-airframe", "4T188", "--with-build", "as delivered"]);
    has(&report, &["asked", "then", "tools", "caution"]);
    has(&report["tools"][0], &["mark", "kind", "parts", "issue", "verdict", "then", "stays", "remedy"]);
    let report = json(&["drawings", "7C537"]);
    has(&report["drawings"][0], &["drawing", "title", "parts", "certain", "needed", "held", "standing"]);
    let report = json(&["decisions", "4T214"]);
    has(&report, &["airframe", "builds_to", "decisions", "next", "caution"]);
    has(&report["decisions"][0], &["number", "date", "by", "decided", "because", "standing", "evidence", "seal"]);
    assert_eq!(report["next"], serde_json::json!({ "number": 7, "follows": "ee09fb36" }));
    assert_eq!(report["decisions"][1]["evidence"]["held"], "no");
    let report = json(&["flat", "27-1454", "--with", "27-1413"]);
    has(
        &report[0],
        &["part", "legs", "flats", "bends", "developed_width", "blank_width", "flanges", "remarks", "caution"],
    );
}

#[test]
fn why() {
    let report = json(&["why", "TM061", "--airframe", "4T214"]);
    has(&report, &["asked", "subject", "fact", "standing", "grounds", "open", "contradictions"]);
    assert_eq!(report["standing"]["firm"], "open");
    assert_eq!(report["standing"]["held"], "yes");
}

#[test]
fn records() {
    let report = json(&["records"]);
    has(&report, &["kinds", "files", "airframes", "entered"]);
    has(&report["kinds"][0], &["kind", "read"]);
    has(&report["files"][0], &["file", "records", "read"]);
    let tally = ["airframe", "built", "evidence", "firm", "doubtful", "assumed", "build_states"];
    has(&report["airframes"][0], &tally);
    let written = report["written"].as_array().unwrap().iter();
    let written = written.map(|written| serde_json::from_value(written["record"].clone()).unwrap());
    let reading = modstate::source::read_project(&crate::root().join("demo-airframe")).unwrap();
    // Where the cell of a CSV file stands is not in the JSON.
    let same = |record: &Record| serde_json::to_value(record).unwrap();
    let read = reading.records.iter().map(|(_, record)| same(record));
    assert_eq!(written.map(|record: Record| same(&record)).collect::<Vec<_>>(), read.collect::<Vec<_>>());
    let entered = &report["entered"];
    let lists =
        ["blocks", "modifications", "one_ofs", "drawings", "parts", "positions", "frames", "plates", "airframes"];
    has(entered, &["type_name", "airframe_part"]);
    has(entered, &lists);
    let forms = ["number", "title", "requires", "excludes", "supersedes", "production", "retrospective"];
    has(&entered["modifications"][0], &forms);
    has(&entered["positions"][0], &["position", "assembly", "candidates", "nothing_when"]);
    let airframe = &entered["airframes"][0];
    has(airframe, &["serial", "built", "evidence", "claims", "assumptions", "build_states"]);
    let claim = &airframe["claims"][0];
    has(claim, &["id", "says", "when", "rests_on", "standing", "grade", "assumed"]);
    assert_eq!(claim["says"], serde_json::json!({ "embodied": ["TM108", "retrospective"] }));
    assert_eq!(claim["when"]["start"], "1946-04-08", "days are whole dates, whatever was written");
}

#[test]
fn check_and_explain() {
    for finding in json(&["check"]).as_array().unwrap() {
        has(finding, &["code", "severity", "title", "message", "labels", "chain", "help"]);
        has(&finding["labels"][0], &["file", "line", "column", "end_line", "end_column", "text"]);
    }
    let book = json(&["explain"]);
    assert_eq!(book.as_array().unwrap().len(), modstate::codes::all().count());
    has(&book[0], &["code", "severity", "title", "meaning", "example", "remedy"]);
}

#[test]
fn current_and_what_changed() {
    let report = json(&["current", "00000000", "7C537", "--older", "demo-airframe"]);
    has(&report, &["fingerprint", "asked", "sheets", "older", "since"]);
    has(&report["sheets"][0], &["sheet", "fingerprint", "is_it", "was_it"]);
    has(&report["since"], &["older", "asked", "answers", "stay", "records", "reasons", "older_read"]);
}
