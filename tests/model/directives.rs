//! Serial and modification applicability of published airworthiness directives, cited by number (texts: US Government
//! works, public domain; the verdicts of `tests/facts/airworthiness_directive_cases.json` were worked by hand from the
//! texts). Each directive is written as a dossier; whether it applies is a condition in it.

use crate::project::{lowered, sound};
use modstate::codes;
use modstate::model::{Condition, Model};
use modstate::quantity::Serial;
use modstate::schema::Form;
use serde_json::Value;

fn cases(directive: &str) -> Vec<Value> {
    let facts: Value = serde_json::from_str(include_str!("../facts/airworthiness_directive_cases.json")).unwrap();
    let all = facts["cases"].as_array().unwrap();
    let found: Vec<Value> = all.iter().filter(|case| case["ad"] == directive).cloned().collect();
    assert!(!found.is_empty(), "there are cases of {directive}");
    found
}

fn text<'a>(case: &'a Value, key: &str) -> &'a str {
    case["in"][key].as_str().unwrap_or_else(|| panic!("{key} in {case}"))
}

/// A dossier with the given blocks and positions of one airframe.
fn dossier(blocks: &[(&str, &str)], more: &str) -> String {
    let block = |(serials, model): &(&str, &str)| {
        format!("SerialBlock(serials: \"{serials}\", factory: \"F\", model: \"{model}\"),")
    };
    let blocks = blocks.iter().map(block).collect::<Vec<_>>().concat();
    format!(
        "[Type(name: \"T\", airframe: \"TOP\"), Part(number: \"TOP\", description: \"d\", source: Made),
          Part(number: \"A\", description: \"d\", source: Made), Part(number: \"B\", description: \"d\", source: Made),
          {blocks} {more}]"
    )
}

/// Which candidates of the position `TOP/1` hold, by part number.
fn fitted(model: &Model, serial: &str, form: &impl Fn(&str) -> Option<Form>) -> Vec<String> {
    let serial = Serial::parse(serial).unwrap();
    let position = &model.positions[model.positions.id("TOP/1").unwrap()];
    let holds = |when: &Condition| when.holds(&serial, &|m| form(model.mods.name(m)));
    let candidates = position.candidates.iter().filter(|candidate| holds(&candidate.when));
    candidates.map(|candidate| model.parts.name(candidate.part).to_owned()).collect()
}

/// Paragraphs A and B of the directive as the candidates `A` and `B`; the kit as a retrospective modification.
const KIT: &str = r#"
    Modification(number: "KIT", title: "kit", retrospective: (leaflet_date: "1977", eligible: ["TJ-2..TJ-99", "TK-1..TK-54"])),
    Assembly(part: "TOP", positions: [(find: "1", candidates: [
        (part: "A", when: All([Serials("TJ-2..TJ-99", "TK-1..TK-54"), Pre("KIT")])),
        (part: "B", when: Any([
            All([Serials("TJ-2..TJ-99", "TK-1..TK-54"), Post("KIT")]), Serials("TJ-100..TJ-117", "TK-55..TK-63"),
        ])),
    ])]),"#;

#[test]
fn directive_77_13_08() {
    let blocks = [("TJ-1..TJ-200", "58P"), ("TK-1..TK-150", "58TC")];
    let model = sound(&dossier(&blocks, KIT));
    for case in cases("77-13-08") {
        if case["verdict"] == "input_error" {
            let airframe = format!(
                "Airframe(serial: \"{}\", model: \"{}\", built: \"1976\"),",
                text(&case, "sn"),
                text(&case, "model")
            );
            let (_, findings) = lowered(&dossier(&blocks, &format!("{KIT}{airframe}")));
            assert_eq!(findings.iter().map(|f| f.code).collect::<Vec<_>>(), [codes::MODEL_CONTRADICTS_BLOCK], "{case}");
            continue;
        }
        let with = |kit: bool| fitted(&model, text(&case, "sn"), &|_| kit.then_some(Form::Retrospective)).join("");
        let found = match case["in"]["kit_102-9001-1S"].as_bool() {
            Some(kit) => with(kit),
            None if with(true) == with(false) => with(true),
            None => "undetermined (A or B)".to_owned(),
        };
        let expected = if case["verdict"] == "applies" { case["para"].as_str().unwrap() } else { "" };
        assert_eq!(found, expected, "{case}");
    }
}

#[test]
fn directive_89_24_09() {
    let blocks = [
        ("MB-1..MB-900", "B19"),
        ("M-1..M-2000", "C23"),
        ("MA-1..MA-368", "A24"),
        ("MC-1..MC-150", "A24R"),
        ("MC-151..MC-500", "B24R"),
    ];
    let more = r#"Modification(number: "AD", title: "applies", production: (
        ranges: ["MB-1..MB-816", "M-1..M-1879", "MA-1..MA-368", "MC-2..MC-150", "MC-152..MC-451"],
        except: ["MB-814", "M-1875", "MC-311", "MC-449"])),"#;
    let model = sound(&dossier(&blocks, more));
    let form = model.mods[model.mods.id("AD").unwrap()].production.as_ref().unwrap();
    for case in cases("89-24-09") {
        let serial = Serial::parse(text(&case, "sn")).unwrap();
        assert_eq!(form.covers.contains(&serial), case["verdict"] == "applies", "{case}");
        let block = model.blocks.iter().find(|b| b.first <= serial && serial <= b.last).unwrap();
        assert_eq!(block.model.as_deref(), Some(text(&case, "model")), "{case}");
    }
}

#[test]
fn directive_70_12_11() {
    let more =
        r#"Assembly(part: "TOP", positions: [(find: "1", candidates: [(part: "A", when: Serials("..C231"))])]),"#;
    let model = sound(&dossier(&[("C1..C300", "one")], more));
    for case in cases("70-12-11") {
        let applies = !fitted(&model, text(&case, "sn"), &|_| None).is_empty();
        assert_eq!(applies, case["verdict"] == "applies", "{case}");
    }
}

/// "Pre-modification D.2013 Parts (C), (J), (D) and (K) standard" does not say whether any or all parts are meant: to
/// name the whole is a finding, and only where both readings agree is there a verdict.
#[test]
fn directive_60_11_10() {
    for (number, parts) in [("D.2013", &["C", "J", "D", "K"][..]), ("FG.237", &["D", "K"][..])] {
        let written = parts.iter().map(|part| format!("(part: \"{part}\"),")).collect::<Vec<_>>().concat();
        let pres = parts.iter().map(|part| format!("Pre(\"{number}/{part}\")")).collect::<Vec<_>>().join(",");
        let project = |when: String| {
            let more = format!(
                "Modification(number: \"{number}\", title: \"t\", retrospective: (leaflet_date: \"1958\"), parts: [{written}]),
                 Assembly(part: \"TOP\", positions: [(find: \"1\", candidates: [(part: \"A\", when: {when})])]),"
            );
            dossier(&[("V1..V9", "one")], &more)
        };
        let (_, findings) = lowered(&project(format!("Pre(\"{number}\")")));
        assert_eq!(findings.iter().map(|f| f.code).collect::<Vec<_>>(), [codes::SAY_WHICH_PART]);

        let any = sound(&project(format!("Any([{pres}])")));
        let all = sound(&project(format!("All([{pres}])")));
        for case in cases("60-11-10").iter().filter(|case| case["in"].get(number).is_some()) {
            let state = |name: &str| {
                let part = name.rsplit('/').next().unwrap();
                case["in"][number][part].as_bool().unwrap().then_some(Form::Retrospective)
            };
            let readings = [&any, &all].map(|model| !fitted(model, "V1", &state).is_empty());
            let verdict = match readings {
                [true, true] => "applies",
                [false, false] => "not_applicable",
                [true, false] | [false, true] => "undetermined",
            };
            assert_eq!(case["verdict"], verdict, "{case}");
        }
    }
}
