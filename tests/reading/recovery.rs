//! A fault in one record hides no other.

use crate::read;
use modstate::schema::Record;
use modstate::source::Reading;

/// The numbers of the parts that were read, with the index under which each record stands.
fn parts(reading: &Reading) -> Vec<(u32, &str)> {
    let numbers = reading.records.iter().map(|(at, record)| {
        let Record::Part(part) = record else { panic!("only parts are read here: {record:?}") };
        (at.index, part.number.as_str())
    });
    numbers.collect()
}

/// Three parts, the middle one as given.
fn around(middle: &str) -> String {
    format!(
        "[\n    Part(number: \"1\", description: \"first\", source: Made),\n{middle}\n    \
         Part(number: \"3\", description: \"third\", source: Made),\n]\n"
    )
}

#[test]
fn the_neighbours_of_a_broken_record_are_read() {
    for middle in [
        r#"    Part(number: "2", description: "second" source: Made),"#,
        r#"    Part(number: "2", description: "second", source: Made,"#,
        r#"    Part(number: "2", description: "second, source: Made),"#,
        r#"    Part(number: 2", description: "second", source: Made),"#,
        r#"    Part(number: "2, description: "second", source: Made),"#,
        r#"    Part(number: "2", description: "second", source: Made]),"#,
        r#"    Part(number: "2", description: "second", source: [Made),"#,
        r#"    Part(number: "2", description: ["second", (source: Made),"#,
        r#"    Part(number: "2", description: "second", source: Made, note: "(["#,
        r#"    Part(number: "2", description: /* "second", source: Made),"#,
        r#"    Part(number: "2", description: r"second, source: Made),"#,
        r#"    Part(number: "2", description: "d", nonsense: "second", source: Made),"#,
        r#"    Nonsense(number: "2"),"#,
        r#"    Part{number: "2"},"#,
    ] {
        let text = around(middle);
        let reading = read(&[("parts.ron", &text)]);
        assert_eq!(parts(&reading), [(0, "1"), (2, "3")], "{middle}");
        assert_eq!(reading.findings.len(), 1, "{middle}: {:#?}", reading.findings);
    }
}

#[test]
fn every_broken_record_gives_a_finding_of_its_own() {
    let text = r#"[
    Part(number: "1", description: "first" source: Made),
    Part(number: "2", description: "second", source: Made,
    Part(number: "3", description: "third", source: Mad),
    Part(number: "4", description: "fourth", source: Made, note: "open),
    Part(number: "5", description: "fifth", source: Made),
    Part(number: "6", source: Made),
]
"#;
    let reading = read(&[("a.ron", text), ("b.ron", "[ Prat() ]")]);
    assert_eq!(parts(&reading), [(4, "5")]);
    assert_eq!(reading.findings.len(), 6, "{:#?}", reading.findings);
}

#[test]
fn text_between_records_costs_no_record() {
    for (text, found) in [
        (
            "[\n    Part(number: \"1\", description: \"d\", source: Made)\n    Part(number: \"2\", description: \"d\", source: Made),\n]",
            1,
        ),
        (
            "[\n    Part(number: \"1\", description: \"d\", source: Made), note: \"x\"),\n    Part(number: \"2\", description: \"d\", source: Made),\n]",
            1,
        ),
        (
            "[\n    foo bar: 1,\n    Part(number: \"1\", description: \"d\", source: Made),,\n    Part(number: \"2\", description: \"d\", source: Made),\n]",
            2,
        ),
        (
            "[\n    Part(number: \"1\", description: \"d\", source: Made),\n]\n[\n    Part(number: \"2\", description: \"d\", source: Made),\n]",
            1,
        ),
        (
            "Part(number: \"1\", description: \"d\", source: Made),\nPart(number: \"2\", description: \"d\", source: Made)",
            1,
        ),
        (
            "[Part(number: \"1\", description: \"d\", source: Made),\nPart(number: \"2\", description: \"d\", source: Made)",
            1,
        ),
    ] {
        let reading = read(&[("parts.ron", text)]);
        let numbers: Vec<_> = parts(&reading).into_iter().map(|(_, number)| number).collect();
        assert_eq!(numbers, ["1", "2"], "{text}");
        assert_eq!(reading.findings.len(), found, "{text}: {:#?}", reading.findings);
    }
}

#[test]
fn deep_nesting_is_refused_and_not_a_crash() {
    for piece in ["[", "(", "{", "Not(", "/*", "\"", "[\""] {
        let text =
            format!("[\n    Part(number: \"1\", description: \"d\", source: Made),\n    {}", piece.repeat(20_000));
        let reading = read(&[("parts.ron", &text)]);
        assert_eq!(parts(&reading), [(0, "1")], "{piece}");
        assert!(!reading.findings.is_empty());
    }
    let deep = format!("when: {}Pre(\"M1\"){}", "Not(".repeat(300), ")".repeat(300));
    let text = format!("[Assembly(part: \"a\", positions: [(find: \"1\", candidates: [(part: \"b\", {deep})])])]");
    let reading = read(&[("parts.ron", &text)]);
    assert!(reading.findings[0].message.starts_with("brackets are nested too deep"), "{:?}", reading.findings);
}
