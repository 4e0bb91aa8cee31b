//! The harness on answers with known faults: it must see them, and nothing in sound ones.

use crate::lines::{csvs, pictures, texts, untruths};
use crate::rows::compare;
use crate::text::{Dossier, Sort};
use serde_json::{Value, json};

fn faults(sound: &Value, slipped: &Value) -> Vec<&'static str> {
    compare(sound, slipped).faults.iter().map(|fault| fault.why).collect()
}

fn stations(verdict: &str) -> Value {
    json!({ "jig": "K1", "built": false, "stations": [{ "station": "1", "verdict": verdict }, { "station": "2" }] })
}

#[test]
fn a_row_that_changes_in_silence_is_seen() {
    assert!(faults(&stations("wrong variant"), &stations("wrong variant")).is_empty());
    assert_eq!(faults(&stations("wrong variant"), &stations("right")), ["changed without a mark"]);
}

#[test]
fn a_mark_excuses_its_own_row_only() {
    let mut slipped = stations("not-read");
    slipped["not_read"] = json!([{ "number": 1 }]);
    assert_eq!(faults(&stations("right"), &slipped), ["changed without a mark"]);
    slipped["stations"][0]["not_read"] = json!([1]);
    slipped["built"] = Value::Null;
    assert!(faults(&stations("right"), &slipped).is_empty());
    slipped["stations"][0]["verdict"] = json!("right");
    assert_eq!(faults(&stations("missing"), &slipped), ["a marked row settles what the sound one does not"]);
}

#[test]
fn a_fingerprint_is_judged_where_it_is_all_that_is_said() {
    let sheets =
        |sheet: &str, code: &str| json!({ "fingerprint": code, "sheets": [{ "sheet": sheet, "fingerprint": code }] });
    assert!(faults(&sheets("Findings", "1a2b3c4d"), &sheets("Findings", "5e6f7a8b")).is_empty());
    assert_eq!(faults(&sheets("Frames", "1a2b3c4d"), &sheets("Frames", "5e6f7a8b")), ["changed without a mark"]);
    let form = |code: &str| format!("Printed 6 May 2024. Fingerprint of what it was computed from: {code}.\n");
    assert!(texts(&form("1a2b3c4d"), &form("5e6f7a8b")).is_empty());
    assert_eq!(texts("Frames 1a2b3c4d\n", "Frames 5e6f7a8b\n").len(), 2);
    assert_eq!(texts("16777216 states\n", "33554432 states\n").len(), 2);
}

#[test]
fn missing_and_added_rows_are_seen() {
    let mut fewer = stations("right");
    fewer["stations"].as_array_mut().unwrap().pop();
    assert_eq!(faults(&stations("right"), &fewer), ["a row is missing, and nothing is said of it"]);
    assert_eq!(faults(&fewer, &stations("right")), ["a row that the sound answer has not, without a mark"]);
    fewer["not_read"] = json!([{ "number": 1 }]);
    assert!(faults(&stations("right"), &fewer).is_empty());
}

#[test]
fn headlines_may_not_say_more() {
    let sound = "Jig K1: NOT built to this state.\n";
    let slipped = "Jig K1: built to this state.\n\nNot read\n [1] type/a.ron:3\n";
    assert_eq!(texts(sound, slipped).len(), 1);
    assert!(texts(sound, "Jig K1: not known [1].\n\nNot read\n [1] type/a.ron:3\n").is_empty());
    assert_eq!(texts(sound, "Jig K1: not known.\n").len(), 2);
}

#[test]
fn rows_of_a_table_need_a_mark_each() {
    let sound = "Part Qty\n--------\nA1 2\nA2 4\n";
    assert!(texts(sound, "Part Qty\n----------\nA1 not read [1]\nA2  4\n\nNot read\n [1] a.ron:1\n").is_empty());
    assert_eq!(texts(sound, "Part Qty\n----------\nA1 not read [1]\nA2 5\n").len(), 1);
    assert_eq!(csvs("part,qty\nA1,2\n", "part,qty\nA1,3\n").len(), 2);
    assert!(csvs("part,qty\nA1,2\n", "part,qty\nA1,not read [1]\n").is_empty());
}

#[test]
fn pictures_and_untruths_are_seen() {
    let picture = |words: &str| format!("<svg><text x=\"1\" y=\"2\">{words}</text></svg>");
    assert!(pictures(&picture("S1"), &picture("S1")).is_empty());
    assert_eq!(pictures(&picture("S1"), &picture("S2")).len(), 1);
    assert!(pictures(&picture("S1"), &picture("S1 not read [1]")).is_empty());
    assert_eq!(untruths("", "no frame is called `K2`\n", |_, _| false).len(), 1);
    assert!(untruths("", "× `K2` has no unit\n", |_, line| line.contains("K2")).is_empty());
}

#[test]
fn dossiers_are_cut_into_words() {
    let text = "// A \"remark\"\n[\n    Part(number: \"A (1\", thickness: \"1.6mm\", mass: 3),\n    Claim(airframe: \"6K1\", id: \"C1\"),\n]\n";
    let dossier = Dossier::new("type/a.ron".to_owned(), text.to_owned());
    let kinds: Vec<&str> = dossier.records.iter().map(|record| &*record.kind).collect();
    assert_eq!(kinds, ["Part", "Claim"]);
    assert_eq!(dossier.records[0].defines[0].text, "A (1");
    assert_eq!(dossier.records[1].airframe.as_deref(), Some("6K1"));
    assert_eq!(dossier.tokens.iter().filter(|token| token.sort == Sort::Field).count(), 5);
}
