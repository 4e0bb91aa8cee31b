//! What a sound project becomes.

use crate::project::{SOUND, lowered, records, sound};
use modstate::codes;
use modstate::lower::lower;
use modstate::model::{Model, Statement};
use modstate::quantity::{Config, Serial};
use modstate::schema::{Form, Grade, Hand, Standing};
use modstate::source::Lost;
use proptest::prelude::*;

fn covers(model: &Model, modification: &str) -> String {
    let form = model.mods[model.mods.id(modification).unwrap()].production.as_ref().unwrap();
    let end = |end: &Option<(u32, String)>| {
        end.as_ref().map_or(String::new(), |(number, suffix)| format!("{number}{suffix}"))
    };
    let ranges = form.covers.0.iter().map(|r| format!("{}{}..{}", r.prefix, end(&r.from), end(&r.to)));
    ranges.collect::<Vec<_>>().join(" ")
}

#[test]
fn sound_project_has_no_findings() {
    let model = sound(SOUND);
    assert_eq!(model.positions.names().collect::<Vec<_>>(), ["10-0000/1", "60-2200/2", "60-2200/10", "60-2200/20"]);
    assert_eq!(model.mods.names().collect::<Vec<_>>(), ["M010", "M014/A", "M014/B", "M020"]);
}

#[test]
fn cut_ins_ranges_and_exceptions_become_one_set() {
    let model = sound(SOUND);
    assert_eq!(covers(&model, "M014/A"), "HB150..154 HB156..160");
    // Southmere's line is HC1, HC4, HC5, HC6, HC2, HC3: number 5 and later are HC2 and HC3.
    assert_eq!(covers(&model, "M020"), "HB140..142 HC2..3");
}

#[test]
fn serials_of_other_suffix_are_not_swept_up() {
    let text = r#"[Type(name: "T", airframe: "P"), Part(number: "P", description: "d", source: Made),
        SerialBlock(serials: "N1..N4", factory: "F"), SerialBlock(serials: "N2A..N3A", factory: "F"),
        Modification(number: "M1", title: "t", production: (from: ["N2"], except: ["N2A"]))]"#;
    assert_eq!(covers(&sound(text), "M1"), "N2..2 N3..4");
}

#[test]
fn parts_of_a_modification_inherit_from_the_whole() {
    let text = SOUND.replace("parts: [\n        (part: \"A\"", "requires: [\"M020\"], parts: [\n        (part: \"A\"");
    let model = sound(&text);
    let named = |m: &str| {
        let modification = &model.mods[model.mods.id(m).unwrap()];
        modification.requires.iter().map(|(id, _)| model.mods.name(*id).to_owned()).collect::<Vec<_>>()
    };
    assert_eq!(named("M014/A"), ["M020"]);
    assert_eq!(named("M014/B"), ["M020", "M010"]);
    let b = &model.mods[model.mods.id("M014/B").unwrap()];
    assert!(b.production.is_none() && b.retrospective.is_some());
    assert_eq!((b.title.as_str(), b.class.as_deref()), ("Straps", Some("B")));
    assert_eq!(model.mods_with_parts["M014"].len(), 2);
}

#[test]
fn hands_are_recorded_on_both_sides() {
    let model = sound(SOUND);
    let (port, starboard) = (model.parts.id("60-2201").unwrap(), model.parts.id("60-2202").unwrap());
    assert_eq!((model.parts[port].hand, model.parts[port].opposite), (Some(Hand::Port), Some(starboard)));
    assert_eq!((model.parts[starboard].hand, model.parts[starboard].opposite), (Some(Hand::Starboard), Some(port)));
}

#[test]
fn assumptions_become_doubtful_claims_behind_the_written_ones() {
    let model = sound(SOUND);
    let airframe = &model.airframes[model.airframes.id("HB133").unwrap()];
    // M014/A is named by a claim, M020 has no retrospective form; M010 was seen, which does not name it.
    assert_eq!(airframe.claims.names().collect::<Vec<_>>(), ["C1", "C2", "C3", "A1 M010", "A1 M014/B", "A2"]);
    let assumed = &airframe.claims[airframe.claims.id("A1 M010").unwrap()];
    assert_eq!(assumed.says, Statement::NotEmbodied(model.mods.id("M010").unwrap()));
    assert_eq!((assumed.standing, assumed.grade), (Standing::Doubtful, None));
    assert_eq!(assumed.assumed.as_deref(), Some("house rule"));
}

#[test]
fn nothing_is_assumed_of_serials_that_are_built_with_it_or_not_eligible() {
    for (serial, expected) in [("HB120", vec!["A1 M014/A", "A1 M014/B"]), ("HB150", vec!["A1 M010", "A1 M014/B"])] {
        let airframe = format!(
            "Airframe(serial: \"{serial}\", built: \"1950\"), Assumption(airframe: \"{serial}\", id: \"A1\", \
             assumes: UnrecordedNotEmbodied, when: \"1952\", reason: \"r\"), Jig(name"
        );
        let model = sound(&SOUND.replace("Jig(name", &airframe));
        let claims = &model.airframes[model.airframes.id(serial).unwrap()].claims;
        assert_eq!(claims.names().collect::<Vec<_>>(), expected, "{serial}");
    }
}

#[test]
fn claims_take_the_best_grade_and_the_first_candidate() {
    let twice = "(part: \"60-2205\", when: Serials(\"HC1\")), (part: \"60-2205\", when: All";
    let model = sound(&SOUND.replace("(part: \"60-2205\", when: All", twice));
    let airframe = &model.airframes[model.airframes.id("HB133").unwrap()];
    let seen = &airframe.claims[airframe.claims.id("C2").unwrap()];
    assert_eq!(seen.grade, Some(Grade::A));
    assert_eq!(seen.says, Statement::SeenAt(model.positions.id("60-2200/10").unwrap(), Some(1)));
}

#[test]
fn conditions_hold_by_form_and_serial() {
    let model = sound(SOUND);
    let deep = &model.positions[model.positions.id("60-2200/10").unwrap()].candidates[1].when;
    let holds = |serial: &str, form: Option<Form>| deep.holds(&Serial::parse(serial).unwrap(), &|_| form);
    assert!(holds("HB133", Some(Form::Retrospective)));
    assert!(!holds("HB133", Some(Form::Production)));
    assert!(!holds("HB155", Some(Form::Retrospective)));
}

#[test]
fn quantities_are_those_of_the_candidate_or_the_position() {
    let model = sound(SOUND);
    let at = |position: &str| &model.positions[model.positions.id(position).unwrap()];
    assert_eq!((at("60-2200/20").quantity, at("60-2200/20").candidates[0].quantity), (2, 3));
    assert_eq!((at("60-2200/2").quantity, at("60-2200/2").candidates[0].quantity), (1, 1));
}

#[test]
fn an_empty_project_is_no_fault() {
    assert!(lowered("[]").1.is_empty());
}

/// Faults of many kinds, some of which compete for one name.
fn faulty() -> String {
    SOUND
        .replace("18swg", "18")
        .replace("rests_on: [\"E1\", \"E2\"]", "rests_on: [\"E9\", \"E7\"]")
        .replace("id: \"C3\"", "id: \"C1\"")
        .replace("Post(\"M020\")", "Pre(\"M014\")")
        .replace("Jig(name", "SerialBlock(serials: \"HB150..HB170\", factory: \"Northmere\", line: From(3)), Jig(name")
        .replace("opposite_of: \"60-2201\"", "opposite_of: \"60-2205\"")
}

proptest! {
    #[test]
    fn order_of_records_changes_nothing(
        order in Just((0..records(SOUND).len()).collect::<Vec<_>>()).prop_shuffle(),
        fault in any::<bool>(),
    ) {
        let text = if fault { faulty() } else { SOUND.to_owned() };
        let records = records(&text);
        let shuffled: Vec<_> = order.iter().map(|at| records[*at].clone()).chain(records[order.len()..].to_vec()).collect();
        let config = Config::built_in();
        let (model, findings) = lower(&records, &Lost::default(), &config);
        let (again, same) = lower(&shuffled, &Lost::default(), &config);
        prop_assert_eq!(!findings.is_empty(), fault);
        prop_assert_eq!(findings, same);
        prop_assert_eq!(format!("{model:?}"), format!("{again:?}"));
    }
}

#[test]
fn tables_do_not_depend_on_where_records_stand() {
    let mut moved = records(SOUND);
    let count = u32::try_from(moved.len()).unwrap();
    for (at, _) in &mut moved {
        at.index = count - at.index;
    }
    let (model, findings) = lower(&moved, &Lost::default(), &Config::built_in());
    let there = sound(SOUND);
    assert!(findings.is_empty());
    let names = |model: &Model| {
        let parts: Vec<String> = model.parts.names().map(str::to_owned).collect();
        let claims = model.airframes.iter().flat_map(|(_, _, airframe)| airframe.claims.names()).map(str::to_owned);
        let blocks = model.blocks.iter().map(|block| block.first.text.clone());
        (parts, claims.collect::<Vec<_>>(), blocks.collect::<Vec<_>>())
    };
    assert_eq!(names(&model), names(&there));
}

#[test]
fn every_code_can_be_looked_up() {
    for code in codes::all() {
        assert_eq!(codes::Code::find(&code.entry().code.to_lowercase()), Some(code));
    }
}
