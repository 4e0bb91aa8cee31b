//! What is left out of the model is recorded as a loss, also where what it leans on is what was told of.

use crate::project::{SOUND, lowered};

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
