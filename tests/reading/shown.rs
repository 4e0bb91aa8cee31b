//! How findings look on a terminal and in JSON.

use crate::{PLAIN, read};
use modstate::codes;
use modstate::finding::Finding;
use modstate::layout::{Style, findings_json, render_findings};
use modstate::source::Reading;

/// Two files that disagree, with a finding that points into both.
fn conflict() -> (Reading, Vec<Finding>) {
    let parts = "[\n    Part(number: \"60-2201\", description: \"Segment\", hand: Port, source: Made),\n]\n";
    let stock = "// what lies on the rack, µ\n[\n    MadePart(part: \"60-2201\", quantity: 1, hand: Starboard),\n]\n";
    let reading = read(&[("type/parts.ron", parts), ("shop/rack.ron", stock)]);
    assert_eq!(reading.findings, vec![]);
    let (made, part) = (reading.records[0].0, reading.records[1].0);
    let finding = Finding::new(
        codes::WRONG_KIND,
        "the hand of a made `60-2201` is not that of its part",
        made.field("hand"),
        "marked starboard",
    )
    .label(part.field("hand"), "recorded as port")
    .label(part.place(), "the part")
    .because("the part is recorded as port in the type dossier, which was entered from the drawing itself")
    .because("the mark on the metal says starboard")
    .help("Look at the part, and correct the record that is wrong.");
    let other = Finding::new(
        codes::MISSING_FIELD,
        "`Part` `60-2201` has no field `mass`",
        part.field("mass"),
        "`mass` is missing here",
    );
    (reading, vec![other, finding])
}

#[test]
fn labels_in_several_files_are_shown_in_each() {
    let (reading, findings) = conflict();
    insta::assert_snapshot!(render_findings(&findings, &reading.sources, PLAIN));
}

#[test]
fn the_order_of_findings_does_not_matter() {
    let (reading, mut findings) = conflict();
    let first = render_findings(&findings, &reading.sources, PLAIN);
    findings.reverse();
    assert_eq!(render_findings(&findings, &reading.sources, PLAIN), first);
    assert_eq!(render_findings(&[], &reading.sources, PLAIN), "");
}

#[test]
fn without_unicode_only_ascii_is_drawn() {
    let (reading, findings) = conflict();
    let text = render_findings(&findings, &reading.sources, Style { unicode: false, ..PLAIN });
    assert!(text.replace('µ', "u").is_ascii(), "{text}");
    insta::assert_snapshot!(text);
    let coloured = render_findings(&findings, &reading.sources, Style { colour: true, ..PLAIN });
    assert!(coloured.contains("\u{1b}["));
}

#[test]
fn control_characters_do_not_reach_the_terminal() {
    let text = "[\r\n    Part(number: \"\u{1b}[31m60\u{9b}\u{202e}\u{7}\u{8}\", sourc: Made),\r\n]\r\n";
    let reading = read(&[("a.ron", text)]);
    let shown = render_findings(&reading.findings, &reading.sources, PLAIN);
    assert!(!shown.chars().any(|c| (c.is_control() && c != '\n') || c == '\u{202e}'), "{shown:?}");
    insta::assert_snapshot!(shown);
}

#[test]
fn json_gives_every_label_with_line_and_column() {
    let (reading, findings) = conflict();
    let json = findings_json(&findings, &reading.sources);
    insta::assert_snapshot!(serde_json::to_string_pretty(&json).expect("a value can be written"));
}

#[test]
fn of_a_very_long_line_the_labelled_piece_is_shown() {
    let part = r#"Part(number: "60-2201", description: "Segmént", source: Made), "#;
    let text = format!("[{}{}{}]", part.repeat(2_000), part.replace("Made", "Mad"), part.repeat(2_000));
    let reading = read(&[("a.ron", &text)]);
    insta::assert_snapshot!(render_findings(&reading.findings, &reading.sources, PLAIN));
}
