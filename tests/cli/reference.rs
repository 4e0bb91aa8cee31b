//! The reference of the records: what it says is what the reader does, and the page in `configs` is the present one.

use crate::{code, modstate, root, text};
use modstate::answers::{Topic, topic_json};
use modstate::check::CheckScope;
use modstate::graph::Graph;
use modstate::project::Project;
use modstate::quantity::serial::{Serial, WrittenRange};
use modstate::quantity::{Config, Length, Window};
use modstate::schema::{KINDS, MadeOf, RECORD_KINDS, Record, VALUES};
use modstate::source::read_texts;
use std::collections::BTreeSet;
use std::path::PathBuf;

/// The records of the examples.
fn examples() -> Vec<Record> {
    let text = std::fs::read_to_string(root().join("configs/examples.ron")).expect("the examples are there");
    let reading = read_texts(beside_its_scan(text));
    assert_eq!(reading.findings, vec![]);
    reading.records.into_iter().map(|(_, record)| record).collect()
}

/// The examples as a file of a project, with the scan that they name.
fn beside_its_scan(text: String) -> Vec<(PathBuf, String)> {
    vec![("type/type.ron".into(), text), ("papers/E1.jpg".into(), String::new())]
}

fn record_text(kind: &str, fields: &[(&str, String)]) -> String {
    let fields: Vec<String> = fields.iter().map(|(name, value)| format!("{name}: {value}")).collect();
    format!("{kind}({})", fields.join(", "))
}

fn read(text: &str) -> Vec<String> {
    let reading = read_texts(beside_its_scan(format!("[{text}]")));
    reading.findings.iter().map(|finding| format!("{finding:?}")).collect()
}

#[test]
fn the_page_in_configs_is_the_present_one() {
    let page = std::fs::read_to_string(root().join("configs/reference.md")).unwrap();
    let output = modstate(&["explain", "--markdown"]).output().unwrap();
    let stale = "stale: `cargo run -q -- explain --markdown > configs/reference.md`";
    assert!(text(&output.stdout) == page, "{stale}");
    let has = |word: &str| assert!(page.contains(word), "`{word}` is not on the page");
    for topic in Topic::all() {
        match topic {
            Topic::Value(value) => has(&format!("\n| {} |", value.name)),
            Topic::Kind(_) | Topic::Shape(_) => has(&format!("\n### {}\n", topic.name())),
        }
    }
    for entry in modstate::codes::all() {
        has(&format!("\n### {entry} "));
    }
}

#[test]
fn examples_are_of_every_kind_and_make_a_sound_project_together() {
    let records = examples();
    let kinds: BTreeSet<&str> = records.iter().map(Record::kind).collect();
    assert_eq!(kinds, RECORD_KINDS.iter().copied().collect());
    let file = std::fs::read_to_string(root().join("configs/examples.ron")).unwrap();
    let project = Project::from_texts(beside_its_scan(file));
    assert_eq!(project.check(&Graph::new(&project.model), CheckScope::Whole), vec![]);
    for kind in KINDS {
        let output = modstate(&["explain", kind.name]).output().unwrap();
        assert_eq!(code(&output), 0);
        let shown = text(&output.stdout);
        let (page, example) = shown.split_once("\nFor instance:\n").expect("a page ends with its example");
        assert_eq!(read(example), Vec::<String>::new(), "{example}");
        assert!(example.trim_start().starts_with(&format!("{}(", kind.name)), "{example}");
        let MadeOf::Fields(fields) = &(kind.shape)().made_of else { panic!("a record has fields") };
        for field in *fields {
            assert!(page.contains(&format!("\n{} ", field.name)), "`{}` on the page of {}", field.name, kind.name);
        }
    }
}

#[test]
fn a_field_may_be_left_out_where_the_reference_says_so() {
    let mut tried = 0;
    for record in examples() {
        let kind = KINDS.iter().find(|kind| kind.name == record.kind()).unwrap();
        let MadeOf::Fields(fields) = &(kind.shape)().made_of else { panic!("a record has fields") };
        let written: Vec<(&str, String)> = record.fields().iter().map(|(name, v)| (*name, v.to_string())).collect();
        assert_eq!(read(&record_text(kind.name, &written)), Vec::<String>::new());
        for field in *fields {
            let mut rest = written.clone();
            rest.retain(|(name, _)| *name != field.name);
            if rest.len() == written.len() {
                assert!(field.takes.may_be_left_out, "`{}` of {kind:?}", field.name);
                continue;
            }
            let found = read(&record_text(kind.name, &rest));
            assert_eq!(found.is_empty(), field.takes.may_be_left_out, "`{}` of {}: {found:?}", field.name, kind.name);
            tried += 1;
        }
    }
    assert!(tried > 150, "{tried}");
}

#[test]
fn every_field_and_word_has_a_use() {
    let files = ["configs/examples.ron", "tests/reading/sample.ron", "demo-airframe/shop/surveys.ron"];
    let used: String = files.iter().map(|file| std::fs::read_to_string(root().join(file)).unwrap()).collect();
    let words: BTreeSet<&str> = used.split(|c: char| !c.is_alphanumeric() && c != '_').collect();
    let shapes = Topic::all().filter_map(|topic| match topic {
        Topic::Kind(kind) => Some((kind.shape)()),
        Topic::Shape(shape) => Some(shape),
        Topic::Value(_) => None,
    });
    for shape in shapes {
        let names: Vec<&str> = match &shape.made_of {
            MadeOf::Fields(fields) => fields.iter().map(|field| field.name).collect(),
            MadeOf::Words(all) => {
                all.iter().flat_map(|word| word.fields.iter().map(|field| field.name).chain([word.name])).collect()
            }
        };
        for name in names {
            assert!(words.contains(name), "`{name}` of {} stands in none of {files:?}", shape.name);
        }
    }
}

#[test]
fn the_reader_knows_the_fields_of_the_reference_and_no_others() {
    for kind in KINDS {
        let MadeOf::Fields(fields) = &(kind.shape)().made_of else { panic!("a record has fields") };
        let names: Vec<String> = fields.iter().map(|field| format!("`{}`", field.name)).collect();
        let found = read(&format!("{}(no_such_field_at_all: 1)", kind.name));
        assert!(found[0].contains(&format!("Use one of the fields {},", names.join(", "))), "{found:?}");
        assert!(fields.iter().any(|field| field.name == kind.named_by), "{} has no `{}`", kind.name, kind.named_by);
    }
}

#[test]
fn values_are_read_as_the_reference_shows_them() {
    let config = Config::built_in();
    let mut read = 0;
    for value in VALUES {
        for example in value.examples {
            let bare: String = ron::from_str(example).unwrap_or_else(|_| (*example).to_owned());
            let good = match value.name {
                "Date" => Window::parse(&bare).is_ok(),
                "Day" => Window::parse(&bare).unwrap().day().is_some(),
                "Length" => Length::parse(&bare, &config).is_ok(),
                "Zone" => {
                    Length::parse(&bare, &config).is_ok() || config.tolerances.known().unwrap().contains_key(&bare)
                }
                "Unit" => Length::parse(&format!("1{bare}"), &config).is_ok(),
                "Serial" => Serial::parse(&bare).is_ok(),
                "Serials" => WrittenRange::parse(&bare).is_ok(),
                "Stage" => config.stages.known().unwrap().names.contains(&bare),
                _ => continue,
            };
            assert!(good, "{} {example}", value.name);
            read += 1;
        }
    }
    assert!(read > 20, "{read}");
    let doc_of = |name: &str| VALUES.iter().find(|value| value.name == name).unwrap().doc.concat();
    let named = |name: &str, words: &mut dyn Iterator<Item = &String>| {
        words.for_each(|word| assert!(doc_of(name).contains(word.as_str()), "{name} tells of `{word}`"));
    };
    named("Stage", &mut config.stages.known().unwrap().names.iter());
    named("Zone", &mut config.tolerances.known().unwrap().keys());
}

#[test]
fn explain_finds_a_page_by_its_name_and_helps_with_a_slip() {
    let ask = |topic: &str| modstate(&["explain", topic]).output().unwrap();
    for topic in Topic::all() {
        assert_eq!(code(&ask(&topic.name().to_lowercase())), 0, "{topic:?}");
    }
    let slip = ask("Clam");
    assert_eq!(code(&slip), 2);
    assert!(text(&slip.stderr).contains("did you mean `Claim`?"), "{}", text(&slip.stderr));
    let names: Vec<&str> = Topic::all().map(Topic::name).collect();
    assert_eq!(names.iter().collect::<BTreeSet<_>>().len(), names.len(), "each page has a name of its own");
    let output = modstate(&["explain", "records", "--format", "json"]).output().unwrap();
    let pages: Vec<serde_json::Value> = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(pages, Topic::all().map(topic_json).collect::<Vec<_>>());
    let claim = pages.iter().find(|page| page["name"] == "Claim").unwrap();
    assert_eq!(claim["named_by"], "id");
    assert_eq!(claim["fields"][0]["takes"], "serial of an Airframe");
    assert_eq!(claim["fields"][7]["may_be_left_out"], true);
}
