//! The book of codes.

use modstate::codes;
use std::collections::BTreeSet;
use std::path::Path;

#[test]
fn codes_are_unique_and_in_order() {
    let all: Vec<&str> = codes::all().map(|code| code.entry().code).collect();
    let mut sorted = all.clone();
    sorted.sort_by_key(|code| ("RDCTS".find(|letter| code.starts_with(letter)), *code));
    sorted.dedup();
    assert_eq!(all, sorted);
    for code in codes::all().map(codes::Code::entry) {
        let digits = code.code.strip_prefix(|c: char| "RDCTS".contains(c)).expect("one of the letters of the book");
        assert!(digits.len() == 3 && digits.bytes().all(|b| b.is_ascii_digit()), "{}", code.code);
        let sentence = |text: &str| text.ends_with('.') && text.starts_with(|c: char| !c.is_ascii_lowercase());
        assert!(sentence(code.meaning) && sentence(code.remedy), "{} is told in sentences", code.code);
        assert!(code.title.starts_with(|c: char| c.is_lowercase()) || code.title.contains("RON"), "{}", code.code);
        assert!(!code.title.ends_with('.') && !code.example.is_empty(), "{}", code.code);
        assert_eq!(codes::Code::find(&code.code.to_lowercase()).map(|found| found.to_string()), Some(code.code.into()));
    }
}

/// Every word in capitals and digits that the tests and their snapshots hold.
fn words_of_the_tests() -> BTreeSet<String> {
    let mut words = BTreeSet::new();
    let mut open = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("tests")];
    while let Some(folder) = open.pop() {
        for entry in folder.read_dir().expect("the tests are there").flatten() {
            let path = entry.path();
            let kind = path.extension().and_then(|kind| kind.to_str());
            if path.is_dir() {
                open.push(path);
            } else if let Some("rs" | "snap") = kind {
                let text = std::fs::read_to_string(&path).expect("a test file is text");
                words.extend(text.split(|c: char| !c.is_ascii_alphanumeric()).map(str::to_owned));
            }
        }
    }
    words
}

#[test]
fn every_code_has_a_case() {
    let words = words_of_the_tests();
    let without: Vec<_> = codes::all().map(|code| code.entry().code).filter(|code| !words.contains(*code)).collect();
    assert!(without.is_empty(), "no test shows {without:?}");
}
