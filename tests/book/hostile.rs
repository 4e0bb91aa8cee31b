//! Whatever the dossiers hold is shown as text.

use crate::browser::{browser, open};
use crate::{MadeFile, book, changed_demo};
use serde_json::json;

/// What a page must never take for its own: markup, scripts, addresses, ends of what it may stand in.
const HOSTILE: &str = "<script>hit(1)</script>\"><img src=x onerror=hit(2)>' onload=hit(3) javascript:hit(4) ]]></style></svg></title>\
                       <style>*{display:none}</style>${hit(5)}&lt;b&gt;\\22 </textarea>";

/// The names of the demo that are made hostile as well, wherever they are written.
const NAMES: [&str; 10] = ["TM048", "F14", "J14", "J14-07", "27-1454", "E2", "C1", "V2", "rebuild", "CN 12"];

/// The fields that take any text.
const TEXTS: [&str; 18] = [
    "title",
    "description",
    "name",
    "note",
    "reason",
    "to",
    "kind",
    "reference",
    "kept",
    "because",
    "by",
    "deviation",
    "allowed_by",
    "instrument",
    "measured_by",
    "marks",
    "batch",
    "datum",
];

fn spoilt(text: &str) -> String {
    let hostile = HOSTILE.replace('\\', "\\\\").replace('"', "\\\"");
    let mut text = text.to_owned();
    for name in NAMES {
        text = text.replace(&format!("\"{name}\""), &format!("\"{name}{hostile}\""));
    }
    for field in TEXTS {
        let mut out = String::new();
        let lead = format!("{field}: \"");
        let mut rest = text.as_str();
        while let Some(at) = rest.find(&lead) {
            let (before, after) = rest.split_at(at + lead.len());
            out.push_str(before);
            // A name that is spoilt already is spelt alike everywhere.
            let named = NAMES.iter().any(|name| after.starts_with(&format!("{name}<")));
            let is_field = before.strip_suffix(lead.as_str()).is_some_and(|before| before.ends_with([' ', '(']));
            if is_field && !named && field != "name" {
                out.push_str(&hostile);
            }
            rest = after;
        }
        out.push_str(rest);
        text = out;
    }
    text
}

#[test]
fn hostile_dossiers_are_text() {
    let folder = tempfile::tempdir().expect("a folder");
    changed_demo(folder.path(), &|_, text| spoilt(&text));
    let made: MadeFile = book(folder.path(), &["7C537"]);
    let text = made.text();
    assert!(text.matches("&lt;script&gt;hit(1)&lt;/script&gt;").count() > 500, "what is hostile is there, as text");
    // The book's own script is the only one that runs, what it keeps is data, and nothing else can begin one.
    assert_eq!(text.matches("<script").count(), 2);
    assert_eq!(text.matches("<script id=\"kept\" type=\"application/json\">").count(), 1);
    assert_eq!(text.matches("<style").count(), 1);
    let Some(browser) = browser() else { return };
    let page = open(&browser, &made.path(), "");
    assert_eq!(page.ask("window.hits"), json!([]), "no script ran");
    assert_eq!(page.ask("window.refused"), json!([]), "nothing had to be refused");
    assert_eq!(page.asked_for(), Vec::<String>::new(), "nothing was asked for");
    let strange = "[...document.querySelectorAll('*')].filter((one) => [...one.attributes].some((has) => has.name.startsWith('on') || \
                   /^\\s*javascript:/i.test(has.value)) || ['IMG', 'IFRAME', 'OBJECT', 'EMBED', 'LINK', 'BASE', 'FORM', 'TEXTAREA'].includes(one.tagName)).length";
    assert_eq!(page.ask(strange), json!(0));
    // Every name is read as it was typed.
    let body = page
        .ask("(document.querySelectorAll('details').forEach((fold) => fold.open = true), document.querySelector('main').textContent)");
    let body = body.as_str().expect("text");
    for name in NAMES.iter().filter(|name| !["rebuild"].contains(name)) {
        assert!(body.contains(&format!("{name}{HOSTILE}")), "{name}");
    }
    // The page can be used all the same.
    assert_eq!(page.ask("document.querySelector('h1').offsetParent !== null"), json!(true));
}
