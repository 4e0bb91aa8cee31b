//! What the reader says of each kind of slip, as a person sees it.

use crate::shown;
use modstate::codes;

/// Snapshots what is shown for a file.
macro_rules! cases {
    ($($name:ident $code:ident $text:literal;)*) => {$(
        #[test]
        fn $name() {
            let text = shown($text);
            assert!(text.contains(codes::$code.entry().code), "{text}");
            insta::assert_snapshot!(text);
        }
    )*};
}

cases! {
    comma_missing NOT_RON r#"[
    Part(number: "60-2201", description: "Segment" source: Made),
]
"#;
    bracket_not_closed NOT_RON r#"[
    Modification(number: "M014", title: "Stiffer ring",
        requires: ["M011", "M012",
        note: "see leaflet",
    ),
]
"#;
    record_not_closed NOT_RON r#"[
    Part(number: "60-2201", description: "Segment", source: Made,
    Part(number: "60-2202", description: "Segment", source: Made),
]
"#;
    quote_not_closed NOT_RON r#"[
    Part(number: "60-2201", description: "Segment", source: Made, note: "see leaflet),
    Part(number: "60-2202", description: "Segment", source: Made),
]
"#;
    comment_not_closed NOT_RON r#"[
    Part(number: "60-2201", description: "Segment", source: Made),
    /* the starboard one
    Part(number: "60-2202", description: "Segment", source: Made),
]
"#;
    comma_between_records_missing NOT_RON r#"[
    Part(number: "60-2201", description: "Segment", source: Made)
    Part(number: "60-2202", description: "Segment", source: Made),
]
"#;
    record_closed_too_early NOT_RON r#"[
    Part(number: "60-2201", description: "Segment", source: Made), note: "see leaflet"),
    Part(number: "60-2202", description: "Segment", source: Made),
]
"#;
    list_not_closed NOT_RON r#"[
    Part(number: "60-2201", description: "Segment", source: Made),
"#;
    two_lists NOT_RON r#"[
    Part(number: "60-2201", description: "Segment", source: Made),
]
[
    Part(number: "60-2202", description: "Segment", source: Made),
]
"#;
    stray_text NOT_RON r#"[
    see the drawing office,
    Part(number: "60-2201", description: "Segment", source: Made),,
]
"#;
    backslash NOT_RON r#"[
    Evidence(airframe: "HB127", id: "E1", kind: "scan", reference: "C:\scans\e1", grade: C),
]
"#;
    colon_missing NOT_RON r#"[
    Part(number "60-2201", description: "Segment", source: Made),
]
"#;
    field_name_missing NOT_RON r#"[
    Part("60-2201", description: "Segment", source: Made),
]
"#;
    bracket_too_many NOT_RON r#"[
    Modification(number: "M014", title: "Stiffer ring", requires: ["M011"]]),
]
"#;
    bad_attribute NOT_RON r#"#![enable(magic)]
[
    Part(number: "60-2201", description: "Segment", source: Made),
]
"#;
    field_misspelt UNKNOWN_FIELD r#"[
    Part(number: "60-2201", description: "Segment", source: Made, hnad: Port),
]
"#;
    field_unknown_in_an_item UNKNOWN_FIELD r#"[
    Assembly(part: "60-2200", positions: [
        (find: "10", colour: "red", candidates: []),
    ]),
]
"#;
    kind_misspelt UNKNOWN_RECORD r#"[
    Prat(number: "60-2201", description: "Segment", source: Made),
]
"#;
    kind_missing UNKNOWN_RECORD r#"[
    (number: "60-2201", description: "Segment", source: Made),
]
"#;
    word_misspelt UNKNOWN_WORD r#"[
    Part(number: "60-2201", description: "Segment", source: Made, hand: Prot),
]
"#;
    word_unknown UNKNOWN_WORD r#"[
    Assembly(part: "60-2200", positions: [(find: "10", candidates: [
        (part: "60-2201", when: All([Post("M014"), Before("M015")])),
    ])]),
]
"#;
    field_missing MISSING_FIELD r#"[
    Part(number: "60-2201", source: Made),
]
"#;
    field_missing_in_an_item MISSING_FIELD r#"[
    Assembly(part: "60-2200", positions: [
        (find: "10", candidates: [(part: "60-2201")]),
        (candidates: [(part: "60-2202")]),
    ]),
]
"#;
    field_missing_in_a_field MISSING_FIELD r#"[
    Modification(number: "M014", title: "Stiffer ring", retrospective: Some(eligible: ["HB101"])),
]
"#;
    field_given_twice DUPLICATE_FIELD r#"[
    Part(number: "60-2201", description: "Segment",
        source: Made, source: Bought),
]
"#;
    number_for_a_text WRONG_KIND r#"[
    Part(number: 602201, description: "Segment", source: Made),
]
"#;
    text_for_a_number WRONG_KIND r#"[
    MadePart(part: "60-2201", quantity: "2"),
]
"#;
    fraction_for_a_whole_number WRONG_KIND r#"[
    MadePart(part: "60-2201", quantity: 2.5),
]
"#;
    text_for_a_word WRONG_KIND r#"[
    Part(number: "60-2201", description: "Segment", source: "Made"),
]
"#;
    text_for_a_list WRONG_KIND r#"[
    Modification(number: "M014", title: "Stiffer ring", requires: "M011"),
]
"#;
    number_in_a_list_of_texts WRONG_KIND r#"[
    Modification(number: "M014", title: "Stiffer ring", requires: ["M011", 12]),
]
"#;
    text_for_a_group WRONG_KIND r#"[
    Modification(number: "M014", title: "Stiffer ring", production: "HB131"),
]
"#;
    text_for_true_or_false WRONG_KIND r#"[
    OneOf(name: "Heater", modifications: ["M030", "M031"], introduced: "1938", exactly: "yes"),
]
"#;
    too_few_values WRONG_KIND r#"[
    Claim(airframe: "HB127", id: "C2", says: SeenPart("60-2200/10"), when: "1941", rests_on: ["E1"], standing: Firm),
]
"#;
    too_many_values WRONG_KIND r#"[
    Claim(airframe: "HB127", id: "C2", says: Removed("M014", "M015"), when: "1941", rests_on: ["E1"], standing: Firm),
]
"#;
    no_values WRONG_KIND r#"[
    Claim(airframe: "HB127", id: "C2", says: Embodied(), when: "1941", rests_on: ["E1"], standing: Firm),
]
"#;
    word_with_a_dash WRONG_KIND r#"[
    Part(number: "60-2201", description: "Segment", source: Made-here),
]
"#;
    negative_number WRONG_KIND r#"[
    MadePart(part: "60-2201", quantity: -1),
]
"#;
    huge_number WRONG_KIND r#"[
    MadePart(part: "60-2201", quantity: 99999999999),
]
"#;
    list_for_a_text WRONG_KIND r#"[
    Part(number: ["60-2201"], description: "Segment", source: Made),
]
"#;
    value_missing NOT_RON r#"[
    Part(number: "60-2201", description: "Segment", source: Made, hand: ),
]
"#;
    several_faults_in_one_record UNKNOWN_FIELD r#"[
    Part(nmuber: "60-2201", descripton: "Segment", source: Made, thickness: 18, note: "x", note: "y",
        material: L3, hand: Left),
]
"#;
    no_list NOT_A_LIST r#"Part(number: "60-2201", description: "Segment", source: Made),
Part(number: "60-2202", description: "Segment", source: Made)
"#;
}
