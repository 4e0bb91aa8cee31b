//! A fault and what follows from it are one finding, and it names the suspect.

use super::broken::{Edit, added, edited};
use super::{Project, demo_texts, project, shown};
use modstate::finding::Finding;
use std::path::Path;
use std::time::Instant;

const FRAMES: &str = "type/frames.ron";

/// The only finding that an edit adds, with what it looks like.
fn only(project: &Project, code: &str) -> (Finding, String) {
    let added = added(project);
    let shown = shown(project, &added);
    let [only] = &added[..] else { panic!("{} findings, not one {code}\n{shown}", added.len()) };
    assert_eq!(only.code.to_string(), code, "{shown}");
    (only.clone(), shown)
}

#[test]
fn a_splice_in_the_wrong_place_is_one_finding() {
    // A figure that only the drawing can put right: between which points it belongs is said.
    let far = edited(&[(FRAMES, "(name: \"S2\", at: Angle(\"135deg\")", "(name: \"S2\", at: Angle(\"300deg\")")]);
    let (finding, shown) = only(&far, "type-212");
    assert!(finding.message.contains("splice `S2` of frame `F9`") && finding.help.contains("between"), "{shown}");
    assert!(finding.chain.len() > 2, "what follows stands under it\n{shown}");
    // Two digits exchanged: of those that would do, the one that was meant is among them, and none is preferred.
    let digits = edited(&[(FRAMES, "(name: \"S3\", at: Angle(\"142deg\")", "(name: \"S3\", at: Angle(\"241deg\")")]);
    let (finding, shown) = only(&digits, "type-212");
    assert!(finding.help.contains("`142deg`"), "{shown}");
}

#[test]
fn ends_exchanged_are_one_finding() {
    let written = "(part: \"27-1213\", from: \"S1\", to: \"S2\"";
    let slip: Edit<'_> = (FRAMES, written, "(part: \"27-1213\", from: \"S2\", to: \"S1\"");
    let (finding, shown) = only(&edited(&[slip]), "type-213");
    assert!(finding.help.contains("`from: \"S1\", to: \"S2\"`"), "{shown}");
}

#[test]
fn a_copied_file_is_one_finding_that_names_both() {
    for file in [FRAMES, "airframes/7C537/claims.ron"] {
        let mut texts = demo_texts();
        let (_, text) = texts.iter().find(|(path, _)| path == Path::new(file)).expect("the demo has the file").clone();
        let copy = file.replace(".ron", " copy.ron");
        texts.push(((&copy).into(), text));
        texts.sort();
        let project = project(texts);
        let found = project.findings();
        let copies: Vec<&Finding> = found.iter().filter(|finding| finding.code.to_string() == "record-142").collect();
        let shown = shown(&project, &found);
        assert_eq!(copies.len(), 1, "{shown}");
        assert!(!found.iter().any(|finding| finding.code.to_string() == "record-120"), "{shown}");
        let named = |label: usize| {
            let file = copies[0].labels[label].place.file();
            project.reading.sources.file(file).path.to_string_lossy().into_owned()
        };
        let mut both = [named(0), named(1)];
        both.sort();
        assert_eq!(both, [copy, file.to_owned()]);
    }
}

#[test]
fn two_records_in_two_files_are_no_copy() {
    let again =
        ["27-1454", "27-1452"].map(|number| format!("Part(number: \"{number}\", description: \"a\", source: Made)"));
    let mut texts = demo_texts();
    texts.push(("type/zz.ron".into(), format!("[{}]", again.join(", "))));
    let found = project(texts).findings();
    assert!(found.iter().any(|finding| finding.code.to_string() == "record-120"));
    assert!(!found.iter().any(|finding| finding.code.to_string() == "record-142"));
}

/// A type with so many parts, and as many places that name parts with this in front.
fn many(count: usize, prefix: &str) -> Project {
    let number = |nth: usize| 10_000 + nth * 7;
    let parts =
        (0..count).map(|nth| format!("Part(number: \"27-{}\", description: \"Clip\", source: Made),\n", number(nth)));
    let head =
        "Type(name: \"T\", airframe: \"10-0000\"), Part(number: \"10-0000\", description: \"All\", source: Made),\n";
    let made = (0..count).map(|nth| format!("MadePart(part: \"{prefix}{}\", quantity: 1),\n", number(nth)));
    project(vec![
        ("type/type.ron".into(), format!("[{head}{}]", parts.collect::<String>())),
        ("shop/made.ron".into(), format!("[{}]", made.collect::<String>())),
    ])
}

#[test]
fn an_unknown_prefix_in_many_rows_is_one_finding() {
    let project = many(100, "28-");
    let unknown: Vec<&Finding> =
        project.lowered.iter().filter(|finding| finding.code.to_string() == "record-122").collect();
    let [one] = unknown[..] else { panic!("{} findings", unknown.len()) };
    assert!(one.message.contains("`28-`") && one.message.contains("100 places"), "{}", one.message);
    assert!(one.help.contains("write `27-` in place of `28-`"), "{}", one.help);
    // Few are each their own slip.
    let few = many(4, "28-");
    assert_eq!(few.lowered.iter().filter(|finding| finding.code.to_string() == "record-122").count(), 4);
}

#[test]
fn several_near_names_are_all_offered() {
    let parts =
        ["27-1454", "27-1455"].map(|number| format!("Part(number: \"{number}\", description: \"a\", source: Made)"));
    let text = format!("[{}, MadePart(part: \"27-1456\", quantity: 1)]", parts.join(", "));
    let project = project(vec![("type/type.ron".into(), text)]);
    let unknown = project.lowered.iter().find(|finding| finding.code.to_string() == "record-122").expect("it is found");
    assert!(unknown.help.contains("write `27-1454` or `27-1455`, whichever is meant"), "{}", unknown.help);
    assert_eq!(unknown.labels.len(), 3);
}

/// Four times as many names that nothing bears take about four times as long, not sixteen times.
#[test]
fn eight_thousand_unknown_names_are_not_compared_with_all() {
    let time = |count: usize| {
        let start = Instant::now();
        let project = many(count, "XQ");
        assert!(project.lowered.iter().any(|finding| finding.message.contains(&format!("{count} places"))));
        start.elapsed()
    };
    let (few, many) = (time(2_000), time(8_000));
    assert!(many < few * 10, "{many:?} for 8000 names, {few:?} for 2000");
}
