//! The book on the screen: what it asks for, how it is read without eyes, how it is searched.

use crate::browser::{browser, open, skipped};
use crate::whole_book;
use serde_json::{Value, json};

/// The most that the demo's book may take.
const MOST_BYTES: usize = 3_000_000;

#[test]
fn the_whole_demo_stays_small_and_needs_nothing_else() {
    let made = whole_book();
    let text = made.text();
    assert!(text.len() < MOST_BYTES, "{} bytes", text.len());
    for outside in ["http://", "https://", "@import", "src=", "url("] {
        // The name of the namespace of drawings is no address.
        let found = text.replace("http://www.w3.org/2000/svg", "");
        assert!(!found.contains(outside), "{outside}");
    }
    let Some(browser) = browser() else { return };
    let page = open(&browser, &made.path(), "");
    assert_eq!(page.asked_for(), Vec::<String>::new());
    assert_eq!(page.ask("window.refused"), json!([]));
    assert_eq!(page.ask("document.querySelectorAll('[style]').length"), json!(0));
}

#[test]
fn axe_finds_nothing_dark_or_light_wide_or_narrow() {
    let Some(axe) = std::env::var_os("MODSTATE_AXE") else {
        skipped("MODSTATE_AXE names no axe-core");
        return;
    };
    let axe = std::fs::read_to_string(axe).expect("axe-core is there");
    let made = whole_book();
    let Some(browser) = browser() else { return };
    let page = open(&browser, &made.path(), "");
    page.tab.evaluate(&axe, false).expect("axe-core runs");
    for (dark, width) in [(false, 1400), (true, 390)] {
        page.shown(dark, width);
        let found = page.ask(
            "axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'], resultTypes: ['violations'] }) \
             .then((found) => ({ rules: found.passes.length, \
             faults: found.violations.map((fault) => [fault.id, fault.nodes.length, fault.nodes.slice(0, 3).map((node) => node.html.slice(0, 200) + ' ' + node.failureSummary)]) }))",
        );
        assert!(found["rules"].as_u64() > Some(15), "axe has looked: {found}");
        assert_eq!(found["faults"], json!([]), "dark: {dark}, {width} pixels");
    }
    // The check can fail.
    page.ask("(document.querySelector('#search').previousElementSibling.remove(), 1)");
    let found = page.ask(
        "axe.run(document.querySelector('nav'), { runOnly: ['wcag2a'] }).then((found) => found.violations.length)",
    );
    assert_eq!(found, json!(1));
}

#[test]
fn it_fits_a_phone() {
    let made = whole_book();
    let Some(browser) = browser() else { return };
    let page = open(&browser, &made.path(), "");
    page.wide(390);
    let wide = page.ask(
        "[...document.querySelectorAll('main *')].filter((one) => !one.closest('.table, .pan, svg, pre') && one.getBoundingClientRect().right > innerWidth + 1).map((one) => one.outerHTML.slice(0, 120)).slice(0, 5)",
    );
    assert_eq!(wide, json!([]));
    assert_eq!(page.ask("document.documentElement.scrollWidth <= innerWidth"), json!(true));
}

#[test]
fn search_hides_what_does_not_hold_the_words() {
    let made = whole_book();
    let Some(browser) = browser() else { return };
    let page = open(&browser, &made.path(), "");
    let seek = |words: &str| {
        page.ask(&format!(
            "(document.querySelector('#search').value = '{words}', document.querySelector('#search').dispatchEvent(new Event('input')), \
             new Promise((done) => setTimeout(done, 400))).then(() => ({{ said: document.querySelector('#found').textContent, \
             rows: [...document.querySelectorAll('main tbody tr')].filter((row) => row.offsetParent !== null).map((row) => row.textContent) }}))"
        ))
    };
    let rows = |found: &Value| found["rows"].as_array().expect("a list").clone();
    let all = rows(&seek(""));
    let found = seek("27-1454");
    assert!(rows(&found).len() > 2 && rows(&found).len() < all.len() / 10, "{found}");
    assert!(rows(&found).iter().all(|row| row.as_str().is_some_and(|row| row.contains("27-1454"))), "{found}");
    assert_eq!(seek("no such thing at all")["said"], json!("Nothing found"));
    assert_eq!(rows(&seek("")).len(), all.len(), "nothing stays hidden");
}

#[test]
fn a_link_opens_the_reason_that_it_names() {
    let made = whole_book();
    let Some(browser) = browser() else { return };
    let page = open(&browser, &made.path(), "#mod-TM048");
    let shown = page.ask("[document.querySelector('#mod-TM048').open, document.querySelector('#mod-TM050').open]");
    assert_eq!(shown, json!([true, false]));
    let text = page.ask("document.querySelector('#mod-TM048').innerText");
    let text = text.as_str().expect("text");
    for words in
        ["E2", "Depot folder, Skerrow job 46/388", "airframes/7C537/claims.ron:8", "no record of TM048 being removed"]
    {
        assert!(text.contains(words), "{words} in {text}");
    }
    let broken = page.ask("[...document.querySelectorAll('a[href^=\"#\"]')].map((link) => link.hash.slice(1)).filter((id) => !document.getElementById(id))");
    assert_eq!(broken, json!([]), "every link leads somewhere");
    let twice = page.ask(
        "[...document.querySelectorAll('[id]')].map((one) => one.id).filter((id, at, all) => all.indexOf(id) !== at)",
    );
    assert_eq!(twice, json!([]), "no id is given twice");
    for id in ["frame-F14", "jig-J14", "part-27-1454", "plate-J14-07", "survey-V2", "evidence-E2", "claim-C1"] {
        assert_eq!(page.ask(&format!("!!document.getElementById('{id}')")), json!(true), "{id}");
    }
}
