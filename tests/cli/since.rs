//! What changed since an older copy, and whether a printed sheet is still current.

use crate::{code, copy_of_the_demo, modstate, root, text};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Output;

/// The demo in a folder, with texts of one of its files changed.
fn changed(file: &str, changes: &[(&str, &str)]) -> tempfile::TempDir {
    let folder = copy_of_the_demo();
    let path = folder.path().join(file);
    let mut dossier = fs::read_to_string(&path).expect("a dossier");
    for (from, to) in changes {
        assert_eq!(dossier.matches(from).count(), 1, "`{from}` is there once");
        dossier = dossier.replace(from, to);
    }
    fs::write(&path, dossier).expect("it is written");
    folder
}

fn on(folder: &Path, args: &[&str]) -> Output {
    let folder = folder.to_str().expect("a path of letters");
    let whole: Vec<&str> = ["--project", folder].iter().chain(args).copied().collect();
    modstate(&whole).output().expect("the program can be run")
}

fn json_of(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).unwrap_or_else(|e| panic!("{e}\n{}", text(&output.stderr)))
}

const CLAIMS: &str = "airframes/7C537/claims.ron";
/// The day of the build state, asked by itself.
const DAY: &str = "1953-09-04";
/// A claim is doubted.
const C1: (&str, &str) = (
    "rests_on: [\"E2\", \"E1\"], standing: Firm,\n        read_on",
    "rests_on: [\"E2\", \"E1\"], standing: Doubtful,\n        read_on",
);

/// What changed of the airframe since the demo.
fn since_demo(folder: &Path, state: &[&str]) -> Value {
    let demo = root().join("demo-airframe");
    let older = demo.to_str().expect("a path of letters");
    let all = [&["differ", "-a", "7C537", "--older", older, "--format", "json"], state].concat();
    json_of(&on(folder, &all))
}

/// The changed answers with their reasons, by kind and name.
fn whys(report: &Value) -> BTreeMap<String, Value> {
    let answers = report["answers"].as_array().expect("a list");
    let key = |answer: &Value| {
        format!("{} {}", answer["kind"].as_str().expect("text"), answer["name"].as_str().expect("text"))
    };
    answers.iter().map(|answer| (key(answer), answer["why"].clone())).collect()
}

#[test]
fn nothing_changed_since_itself_and_layout_is_no_change() {
    let report = since_demo(&root().join("demo-airframe"), &[]);
    assert_eq!((&report["answers"], &report["records"]), (&json!([]), &json!([])));
    assert!(report["stay"].as_u64() > Some(500));
    let folder = changed(CLAIMS, &[("id: \"C1\", says:", "id:\n\n  \"C1\", // a remark\n says:")]);
    let report = since_demo(folder.path(), &[]);
    assert_eq!((&report["answers"], &report["records"]), (&json!([]), &json!([])));
}

#[test]
fn each_changed_answer_names_the_records_that_changed_it() {
    let folder = changed(
        CLAIMS,
        &[
            C1,
            (
                "id: \"C12\", says: Embodied(\"TM033\", Retrospective), when: \"1951-05-07..1951-06-22\"",
                "id: \"C12\", says: Embodied(\"TM033\", Retrospective), when: \"1951-05-07..1951-06-20\"",
            ),
        ],
    );
    let report = since_demo(folder.path(), &[]);
    let names: Vec<&str> =
        report["records"].as_array().expect("a list").iter().map(|r| r["record"].as_str().expect("text")).collect();
    assert_eq!(names, ["Claim C1", "Claim C12"]);
    let whys = whys(&report);
    assert!(!whys.is_empty());
    for (answer, why) in &whys {
        assert_eq!(why, &json!({ "how": "alone", "records": ["Claim C1"] }), "{answer}");
    }
    // The answers themselves are those of the verbs.
    let bill = |folder: &Path| {
        let made = json_of(&on(folder, &["bill", "7C537", "--layout", "flat", "--format", "json"]));
        let totals = made["totals"].as_array().expect("totals").iter();
        totals
            .map(|total| {
                (total["part"].as_str().expect("text").to_owned(), [total["quantity"].clone(), total["issues"].clone()])
            })
            .collect::<BTreeMap<_, _>>()
    };
    let (then, now) = (bill(&root().join("demo-airframe")), bill(folder.path()));
    let differ: Vec<&String> = now.keys().filter(|part| then.get(*part) != now.get(*part)).collect();
    let told: Vec<&str> = whys.keys().filter_map(|key| key.strip_prefix("bill ")?.split(' ').next()).collect();
    assert_eq!(differ, told);
}

#[test]
fn an_answer_that_no_record_changes_alone_names_those_that_do_so_together() {
    // What forces TM048 on that day: the job itself, four modifications that require it, and a part that was seen.
    let claims = ["C1", "C2", "C13", "C14", "C15", "C22"];
    let dossier = fs::read_to_string(root().join("demo-airframe").join(CLAIMS)).expect("a dossier");
    let doubtful = |claim: &&str| {
        let record =
            dossier.split("Claim(").find(|record| record.contains(&format!("id: \"{claim}\""))).expect("it is there");
        (record.to_owned(), record.replace("standing: Firm", "standing: Doubtful"))
    };
    let changes: Vec<(String, String)> = claims.iter().map(doubtful).collect();
    let changes: Vec<(&str, &str)> = changes.iter().map(|(from, to)| (from.as_str(), to.as_str())).collect();
    let folder = changed(CLAIMS, &changes);
    let whys = whys(&since_demo(folder.path(), &["--on", DAY]));
    let why = &whys["modification TM048"];
    assert_eq!(why["how"], json!("together"), "{whys:#?}");
    let named: Vec<&str> =
        why["records"].as_array().expect("a list").iter().map(|name| name.as_str().expect("text")).collect();
    assert!(named.len() > 1, "{named:?}");
    // Each of those that are named is needed: the program, asked with one of them put back, says what it said then.
    let standing = |folder: &Path| {
        let report = json_of(&on(folder, &["state", "7C537", "--mod", "TM048", "--on", DAY, "--format", "json"]));
        report["modifications"][0]["standing"].clone()
    };
    let then = standing(&root().join("demo-airframe"));
    assert_ne!(standing(folder.path()), then);
    for (index, claim) in claims.iter().enumerate() {
        let mut others = changes.clone();
        others.remove(index);
        let needed = standing(changed(CLAIMS, &others).path()) == then;
        assert_eq!(named.contains(&format!("Claim {claim}").as_str()), needed, "{claim} of {named:?}");
    }
}

/// The sheets of the book as it would be made now, by name, with their fingerprints.
fn sheets(folder: &Path) -> BTreeMap<String, String> {
    let report = json_of(&on(folder, &["current", "0000-0000", "7C537", "--format", "json"]));
    let list = report["sheets"].as_array().expect("a list").iter();
    list.map(|one| {
        (one["sheet"].as_str().expect("text").to_owned(), one["fingerprint"].as_str().unwrap_or("none").to_owned())
    })
    .collect()
}

#[test]
fn a_sheet_is_current_until_what_it_says_changes() {
    let (demo, folder) = (root().join("demo-airframe"), changed(CLAIMS, &[C1]));
    let (then, now) = (sheets(&demo), sheets(folder.path()));
    let same: Vec<&str> = then.keys().filter(|sheet| then[*sheet] == now[*sheet]).map(String::as_str).collect();
    assert!(same.contains(&"Decisions and concessions"), "{same:?}");
    for changed in ["Cover", "Bill of parts", "Modification state", "Evidence"] {
        assert!(!same.contains(&changed), "{changed}");
    }
    let current = |sheet: &str| on(folder.path(), &["current", &then[sheet].to_uppercase(), "7C537"]);
    assert_eq!(code(&current("Decisions and concessions")), 0);
    let stale = current("Bill of parts");
    assert_eq!(code(&stale), 1);
    let said = text(&stale.stdout);
    assert!(said.contains("NOT current, or is not of this state") && said.contains("--older"), "{said}");
    // However the state was picked, the sheets are the same.
    let named = on(&demo, &["current", &then["Bill of parts"], "7C537", "--build", "rebuild"]);
    assert_eq!(code(&named), 0, "{}", text(&named.stdout));
    // Of another airframe's state it is not one.
    assert_eq!(code(&on(&demo, &["current", &then["Bill of parts"], "7C537", "--on", "1946-01-01"])), 1);
}

#[test]
fn a_stale_sheet_tells_what_changed_from_the_book_or_from_an_older_folder() {
    let (demo, folder) = (root().join("demo-airframe"), changed(CLAIMS, &[C1]));
    let file = tempfile::tempdir().expect("a folder");
    let book = file.path().join("older.html");
    let book = book.to_str().expect("a path of letters");
    assert_ne!(code(&on(&demo, &["book", "7C537", "--printed", "2024-05-06", "--out", book])), 2);
    let then = sheets(&demo);
    let ask = |older: &str| {
        json_of(&on(folder.path(), &["current", &then["Frames"], "7C537", "--older", older, "--format", "json"]))
    };
    let (of_book, of_folder) = (ask(book), ask(demo.to_str().expect("a path of letters")));
    for report in [&of_book, &of_folder] {
        let was: Vec<&Value> =
            report["sheets"].as_array().expect("a list").iter().filter(|one| one["was_it"] == true).collect();
        assert_eq!(was.len(), 1);
        assert_eq!(was[0]["sheet"], "Frames");
    }
    let bare = |report: &Value| {
        let answers = report["since"]["answers"].as_array().expect("a list").iter();
        answers
            .map(|one| [one["kind"].clone(), one["name"].clone(), one["before"].clone(), one["now"].clone()])
            .collect::<Vec<_>>()
    };
    assert_eq!(bare(&of_book), bare(&of_folder));
    assert_eq!(of_book["since"]["records"], of_folder["since"]["records"]);
    assert_eq!((&of_book["since"]["reasons"], &of_folder["since"]["reasons"]), (&json!("no-folder"), &json!("tried")));
    // A book of another state is refused, and so is what is no book.
    let other = on(folder.path(), &["differ", "-a", "7C537", "--on", "1946-01-01", "--older", book]);
    assert!(code(&other) == 2 && text(&other.stderr).contains("another airframe or state"), "{}", text(&other.stderr));
    let other = on(folder.path(), &["differ", "-a", "7C537", "--older", "type/type.ron"]);
    assert_eq!(code(&other), 2, "{}", text(&other.stderr));
    let mistyped = on(folder.path(), &["current", "12345", "7C537"]);
    assert!(
        code(&mistyped) == 2 && text(&mistyped.stderr).contains("eight figures or letters"),
        "{}",
        text(&mistyped.stderr)
    );
}

#[test]
fn what_was_not_read_is_neither_current_nor_changed() {
    let demo = root().join("demo-airframe");
    let then = sheets(&demo);
    let folder = changed(CLAIMS, &[("id: \"C1\", says:", "id: \"C1\", sayz:")]);
    let output = on(folder.path(), &["current", &then["Modification state"], "7C537"]);
    assert_eq!(code(&output), 1);
    let said = text(&output.stdout);
    assert!(said.contains("is not known") && !said.contains("NOT current"), "{said}");
    let report = since_demo(folder.path(), &[]);
    assert_eq!(report["reasons"], "not-read");
    let changed = report["answers"].as_array().expect("a list").iter().filter(|one| one["not_known"] == false);
    assert_eq!(changed.count(), 0, "nothing is said to have changed: {report:#}");
}
