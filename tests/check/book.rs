//! The book of codes.

use modstate::codes;
use std::collections::BTreeSet;
use std::path::Path;

#[test]
fn codes_are_unique_and_in_order() {
    let all: Vec<&str> = codes::all().map(|code| code.entry().code).collect();
    assert_eq!(all.iter().collect::<BTreeSet<_>>().len(), all.len(), "a code is given once");
    let subject = |code: &str| code.split_once('-').expect("a code is a word and a number").0.to_owned();
    for (place, code) in all.iter().enumerate() {
        let later = all[place..].iter().filter(|later| subject(later) == subject(code));
        assert!(later.min() == Some(code), "{code} stands behind one with a higher number");
    }
    for code in codes::all().map(codes::Code::entry) {
        let digits = code.code.split_once('-').expect("a code is a word and a number").1;
        assert!(digits.len() == 3 && digits.bytes().all(|b| b.is_ascii_digit()), "{}", code.code);
        let sentence = |text: &str| text.ends_with('.') && text.starts_with(|c: char| !c.is_ascii_lowercase());
        assert!(sentence(code.meaning) && sentence(code.remedy), "{} is told in sentences", code.code);
        assert!(code.title.starts_with(|c: char| c.is_lowercase()) || code.title.contains("RON"), "{}", code.code);
        assert!(!code.title.ends_with('.') && !code.example.is_empty(), "{}", code.code);
        assert_eq!(codes::Code::find(&code.code.to_uppercase()).map(|found| found.to_string()), Some(code.code.into()));
    }
}

/// Every word, figures and hyphens included, that the tests and their snapshots hold.
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
                words.extend(text.split(|c: char| !(c.is_ascii_alphanumeric() || c == '-')).map(str::to_owned));
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
