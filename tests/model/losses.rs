//! What is left out of the model is recorded as a loss, also where what it leans on is what was reported.

use crate::project::{SOUND, lowered};
use modstate::lower::lower;
use modstate::quantity::Config;
use modstate::source::read_texts;

/// What to find in the sound project, what to write instead, and the records of which a piece is then left out.
const SLIPS: &[(&str, &str, &[&str])] = &[
    // A candidate, the claim that saw it, and the leaflet that introduces it somewhere else.
    ("(part: \"60-2205\", when", "(part: \"60-2299\", when", &["Assembly 60-2200", "Claim C2"]),
    ("nothing_when: Post(\"M020\")", "nothing_when: Post(\"M02X\")", &["Assembly 60-2200", "Claim C1"]),
    // The position has no quantity, so nobody can name it.
    (
        "find: \"10\", station",
        "find: \"10\", quantity: 0, station",
        &["Assembly 60-2200", "Claim C1", "Claim C2", "Modification M010"],
    ),
    // Line numbers, the cut-in by them, and what hangs on that form.
    ("[\"HC1\", \"HC4..HC6\"", "[\"HC4..HC6\"", &["SerialBlock HC1..HC6", "Modification M020"]),
    // A serial block, and the serials in it.
    ("serials: \"HC1..HC6\"", "serials: \"HC1..\"", &["SerialBlock HC1..", "Assembly 60-2200", "Modification M020"]),
    // A splice point, the segments and the opening that end there, and the claim that saw it.
    ("at: Girth(\"1570mm\")", "at: Girth(\"1570\")", &["Frame F22", "Claim C3"]),
    // A hole of a plate, an issue of a drawing, and the part that was made to it.
    ("x: \"0mm\", y: \"1/2in\"", "x: \"0\", y: \"1/2in\"", &["Plate JP-1"]),
    (
        "date: \"1950-02-01\", raised_by: \"M014/A\"",
        "date: \"1950-02-31\", raised_by: \"M014/A\"",
        &["Drawing 60-2201", "MadePart 60-2201"],
    ),
    // Evidence that is given to an airframe without a dossier, and the claim that rests on it.
    ("airframe: \"HB140\", id: \"E7\"", "airframe: \"HB141\", id: \"E7\"", &["Evidence E7", "Claim C1", "Claim C2"]),
    // The mark of a plate, and its survey.
    ("mark: \"P1\", station: \"1\"", "mark: \"P1\", station: \"9\"", &["Jig J1", "Survey SV1"]),
    // An airframe, and its whole dossier.
    ("built: \"1949-12-20\"", "built: \"1949-12-32\"", &["Airframe HB140", "Evidence E7", "Claim C1", "Claim C2"]),
    ("locates: [\"60-2201\"]", "locates: [\"60-2291\"]", &["Plate JP-1", "Claim C2", "Jig J1"]),
];

#[test]
fn whatever_is_left_out_is_a_loss() {
    for (from, to, records) in SLIPS {
        assert_eq!(SOUND.matches(from).count(), 1, "the sound project has `{from}` once");
        let (model, _) = lowered(&SOUND.replace(from, to));
        let lost: Vec<String> = model
            .losses
            .iter()
            .map(|(_, loss)| format!("{} {}", loss.kind.unwrap_or_default(), loss.name.clone().unwrap_or_default()))
            .collect();
        for record in *records {
            assert!(lost.iter().any(|lost| lost == record), "`{to}` loses of {record}, and the losses are {lost:?}");
        }
    }
}

#[test]
fn what_drops_nothing_is_no_loss() {
    assert!(lowered(SOUND).0.losses.is_empty());
    let twice = SOUND.replace("rests_on: [\"E1\", \"E2\"]", "rests_on: [\"E1\", \"E1\"]");
    let (model, findings) = lowered(&twice);
    assert!(!findings.is_empty() && model.losses.is_empty(), "{:?}", model.losses);
}

/// The model of the sound project with something else written in its file.
fn read_with(from: &str, to: &str) -> modstate::model::Model {
    assert_eq!(SOUND.matches(from).count(), 1, "the sound project has `{from}` once");
    let files = vec![("type/all.ron".into(), SOUND.replace(from, to))];
    let reading = read_texts(files);
    lower(&reading.records, &reading.lost, &Config::built_in()).0
}

#[test]
fn a_part_whose_record_is_lost_is_known_by_its_number() {
    let model = read_with("description: \"Segment, deep\"", "descroption: \"Segment, deep\"");
    let part = model.parts.id("60-2205").unwrap();
    assert_eq!(model.parts[part].source, None);
    assert!(!model.losses.of_part(part).is_empty());
    // Where it is fitted is known: the other choices at the place are not touched, and no other part is.
    let position = model.positions.id("60-2200/10").unwrap();
    assert_eq!(model.positions[position].candidates.len(), 2);
    assert!(model.losses.iter().all(|(_, loss)| !loss.touches.positions.has(position)));
    let others = model.parts.ids().filter(|other| *other != part);
    others.for_each(|other| assert!(model.losses.of_part(other).is_empty(), "{}", model.parts.name(other)));
}

#[test]
fn no_part_is_made_of_a_name_that_cannot_be_made_out_or_that_no_assembly_gives() {
    // The field that gives the number is lost, or another number is written there.
    for to in ["\"60-2205\", description: \"Segment, deep\"", "number: \"60-2206\", descroption: \"Segment, deep\""] {
        let model = read_with("number: \"60-2205\", description: \"Segment, deep\"", to);
        assert!(model.parts.id("60-2205").is_none() && model.parts.id("60-2206").is_none(), "{to}");
        let position = model.positions.id("60-2200/10").unwrap();
        assert!(model.losses.iter().any(|(_, loss)| loss.touches.positions.has(position)), "{to}");
    }
}

#[test]
fn a_lost_part_may_be_drawn_on_a_sheet_only_if_its_text_can_say_so() {
    let lost = |from: &str, to: &str| {
        let model = read_with(from, to);
        let (_, loss) = model.losses.iter().find(|(_, loss)| loss.whole).unwrap();
        [loss.may_give("drawing"), loss.may_give("material")]
    };
    let strap = "number: \"60-2300\", description: \"Strap\"";
    assert_eq!(lost(strap, "number: \"60-2300\", descroption: \"Strap\""), [true, false]);
    // A record that lacks what it must have may lack more.
    assert_eq!(lost(strap, "number: \"60-2300\""), [true, true]);
}

#[test]
fn a_block_that_closes_too_early_may_lack_its_line() {
    let files = |early: &str| {
        let serials = format!(
            r#"[SerialBlock(serials: "HB1..HB9", factory: "North", line: From(1)),
                SerialBlock(serials: "HD1..HD9", factory: "North", model: "Mk 2",{early} line: From(10)),
                SerialBlock(serials: "HE1..HE9", factory: "South", line: From(1))]"#
        );
        let mods = r#"[Type(name: "T", airframe: "1", datum: "nose"), Part(number: "1", description: "All", source: Made),
            Modification(number: "M1", title: "Door", production: (line: [(factory: "North", number: 5)]))]"#;
        vec![("type/serials.ron".into(), serials), ("type/mods.ron".into(), mods.to_owned())]
    };
    let model = |early: &str| {
        let reading = read_texts(files(early));
        lower(&reading.records, &reading.lost, &Config::built_in()).0
    };
    // HD1 is past the cut-in by its line number, and where the block closes too early the model does not know that number.
    for (early, touched) in [("", false), (")", true)] {
        let model = model(early);
        let m = model.mods.id("M1").unwrap();
        let found = model.losses.iter().any(|(_, loss)| loss.touches.mods.has(m));
        assert_eq!(found, touched, "{early}: {:?}", model.losses);
    }
}
