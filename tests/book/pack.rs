//! The inspector's pack.

use crate::browser::{browser, open};
use crate::{book, demo};

/// Breadth and height of A4 in inches.
const A4: (f64, f64) = (8.27, 11.69);

/// What a pack has to tell, and on how many sheets at most.
const PACKS: [(&str, usize, &[&str]); 3] = [
    (
        "F14",
        5,
        &[
            "post-mod TM048 (retrospective)",
            "E2: Depot folder, Skerrow job 46/388",
            "J14-07",
            "P3",
            "CN 12",
            "DP 9",
            "batch HT 20/3",
        ],
    ),
    ("27-1454", 3, &["27-1450 sheet 2, issue C", "J14-07", "blank cut", "DP 9", "E1: Record card"]),
    ("27-1400/35", 4, &["27-1415", "from 4T226", "that 27-1415 is fitted at 27-1400/35", "CN 12", "Survey V1"]),
];

#[test]
fn a_pack_tells_what_an_inspector_asks_for_on_few_sheets() {
    let Some(browser) = browser() else { return };
    for (subject, most, wanted) in PACKS {
        let made = book(&demo(), &["7C537", "--of", subject]);
        let page = open(&browser, &made.path(), "");
        let Some(pages) = page.printed(A4) else { return };
        assert!((2..=most).contains(&pages.len()), "{subject}: {} sheets", pages.len());
        let texts = pages.iter().map(|page| page.text.split_whitespace().collect::<Vec<_>>().join(" "));
        let texts: Vec<String> = texts.collect();
        for text in &texts {
            assert!(
                text.contains("Compiled from the records entered.") && text.contains(&format!("pack, {subject}")),
                "{text}"
            );
        }
        let whole = texts.join(" ");
        for words in wanted {
            assert!(whole.contains(words), "{subject}: {words} in {whole}");
        }
        for box_for in ["Made or restored", "Measured", "Inspected", "Authorised person", "Signature"] {
            assert!(whole.contains(box_for), "{subject}: {box_for}");
        }
        for claimed in ["airworthy", "is approved", "conforms", "released"] {
            assert!(!whole.to_lowercase().contains(claimed), "{subject}: {claimed}");
        }
    }
}
