//! The book on paper.

use crate::browser::{PrintedPage, browser, open};
use crate::{demo, modstate, whole_book};
use std::collections::BTreeMap;

/// Breadth and height in inches.
const A4: (f64, f64) = (8.27, 11.69);
const LETTER: (f64, f64) = (8.5, 11.0);

/// How often each part number stands in a text.
fn parts_in<'a>(words: impl Iterator<Item = &'a str>, known: &BTreeMap<String, usize>) -> BTreeMap<String, usize> {
    let mut found = BTreeMap::new();
    for word in words.filter(|word| known.contains_key(*word)) {
        *found.entry(word.to_owned()).or_insert(0) += 1;
    }
    found
}

/// The part numbers of the lines of the demo's bill, with how often each stands there.
fn bill_lines() -> BTreeMap<String, usize> {
    let csv = modstate(&demo(), &["bill", "7C537", "--format", "csv"]).stdout;
    let mut reader = csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(csv.as_slice());
    let rows: Vec<csv::StringRecord> = reader.records().map(|row| row.expect("a row")).collect();
    let head = rows.iter().find(|row| row.iter().any(|cell| cell == "part")).expect("a row of headings");
    let part = head.iter().position(|cell| cell == "part").expect("it is there");
    let mut lines = BTreeMap::new();
    for row in rows.iter().filter(|row| *row != head) {
        if let Some(number) = row.get(part).filter(|number| number.contains('-')) {
            *lines.entry(number.to_owned()).or_insert(0) += 1;
        }
    }
    lines
}

#[test]
fn nothing_is_lost_or_cut_on_a4_and_letter() {
    let made = whole_book();
    let Some(browser) = browser() else { return };
    let page = open(&browser, &made.path(), "");
    let lines = bill_lines();
    assert!(lines.values().sum::<usize>() > 200, "the bill is long");
    for (name, paper) in [("A4", A4), ("Letter", LETTER)] {
        let Some(pages) = page.printed(paper) else { return };
        assert!(PAGES.contains(&pages.len()), "{name}: {} pages", pages.len());
        for (index, page) in pages.iter().enumerate() {
            whole(page, index, pages.len(), name);
        }
        let of_bill: Vec<&PrintedPage> = pages.iter().filter(|page| head_of(page).contains("Bill of parts")).collect();
        let mut text = String::new();
        for page in &of_bill {
            text.push_str(&page.text);
        }
        // Under the table stand the permits, which name parts again.
        let table = text.split("CN 12:").next().expect("a first part");
        let found = parts_in(table.split_whitespace(), &lines);
        let differ = lines.iter().filter(|(part, count)| found.get(*part) != Some(*count));
        let differ: Vec<_> = differ.map(|(part, count)| (part, count, found.get(part))).collect();
        assert!(differ.is_empty(), "{name}: each line of the bill once: {differ:?}");
        for page in of_bill.iter().filter(|page| page.text.lines().filter(|line| line.contains('\u{b7}')).count() > 3) {
            assert!(page.text.contains("Description") && page.text.contains("Remarks"), "{name}: heads are repeated");
        }
    }
}

/// On how many sheets the demo's book may come.
const PAGES: std::ops::RangeInclusive<usize> = 50..=66;

/// The head line of a page.
fn head_of(page: &PrintedPage) -> String {
    page.text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default().to_owned()
}

/// Whether a page has its head, its foot and the caution, and nothing stands outside its margins.
fn whole(page: &PrintedPage, index: usize, count: usize, paper: &str) {
    const MARGIN: f64 = 13.0 / 25.4 * 72.0;
    let words: Vec<&str> = page.text.split_whitespace().collect();
    let text = words.join(" ");
    let at = format!("{paper}, page {}", index + 1);
    for piece in ["Compiled from the records entered. Not approved data", "7C537, Ternholm", "as at 4 Sep 1953"] {
        assert!(text.contains(piece), "{at}: {piece} in {text}");
    }
    assert!(text.contains(&format!("Sheet {} of {count}", index + 1)), "{at}");
    for (edges, word) in &page.words {
        let [left, top, right, bottom] = *edges;
        let inside = left >= MARGIN - 1.0 && right <= page.size.0 - MARGIN + 1.5 && top >= 0.0 && bottom <= page.size.1;
        assert!(inside, "{at}: `{word}` at {edges:?} on {:?}", page.size);
    }
}

#[test]
fn every_printed_page_carries_the_fingerprint_of_its_sheet() {
    let made = whole_book();
    let asked = modstate(&demo(), &["current", "00000000", "7C537", "--format", "json"]);
    let asked: serde_json::Value = serde_json::from_slice(&asked.stdout).expect("JSON");
    let sheets: BTreeMap<&str, &str> = asked["sheets"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|sheet| (sheet["sheet"].as_str().expect("a name"), sheet["fingerprint"].as_str().expect("a fingerprint")))
        .collect();
    let codes: std::collections::BTreeSet<&str> = sheets.values().copied().collect();
    assert!(sheets.len() > 10 && codes.len() == sheets.len(), "{sheets:?}");
    let Some(browser) = browser() else { return };
    let page = open(&browser, &made.path(), "");
    let Some(pages) = page.printed(A4) else { return };
    let mut seen = std::collections::BTreeSet::new();
    for (index, page) in pages.iter().enumerate() {
        let words: Vec<&str> = page.text.split_whitespace().collect();
        let at =
            words.iter().rposition(|word| *word == "fingerprint").unwrap_or_else(|| panic!("page {index}: {words:?}"));
        let found = words[at..].iter().find_map(|word| sheets.iter().find(|(_, code)| word == *code));
        let (sheet, _) = found.unwrap_or_else(|| panic!("page {index}: {:?} of {sheets:?}", &words[at..]));
        // A long name stands on two lines of the head.
        let head: Vec<&str> = page.text.lines().take(6).flat_map(str::split_whitespace).collect();
        let is_headed = *sheet == "Cover" || sheet.split(' ').all(|word| head.contains(&word));
        assert!(is_headed, "page {index}: {sheet} under {head:?}");
        seen.insert(*sheet);
    }
    assert_eq!(seen.len(), sheets.len(), "every sheet was printed");
}
