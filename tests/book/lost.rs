//! What was not read stands on the book, and reaches no farther than it matters.

use crate::browser::{browser, open};
use crate::{book, changed_demo, whole_book};
use serde_json::json;
use std::path::Path;

/// The demo with one slip of the pen in one file.
fn slipped(to: &Path, file: &str, from: &str, into: &str) {
    let slip = |path: &Path, text: String| {
        if !path.ends_with(file) {
            return text;
        }
        assert!(text.contains(from), "{from} stands in {file}");
        text.replacen(from, into, 1)
    };
    changed_demo(to, &slip);
}

#[test]
fn a_slip_stands_in_the_heading_and_on_every_sheet() {
    let folder = tempfile::tempdir().expect("a folder");
    slipped(folder.path(), "airframes/7C537/claims.ron", "standing: Firm", "standng: Firm");
    let made = book(folder.path(), &["7C537"]);
    let Some(browser) = browser() else { return };
    let page = open(&browser, &made.path(), "");
    let lost = page.ask("document.querySelector('#cover div.lost').innerText");
    let lost = lost.as_str().expect("text");
    assert!(lost.contains("Not all was read") && lost.contains("airframes/7C537/claims.ron:9"), "{lost}");
    let state = page
        .ask("[document.querySelector('#state h2').innerText, document.querySelectorAll('#state tr.lost').length > 0]");
    assert_eq!(state, json!(["Modification state not all was read", true]));
    // What does not rest on the claim says nothing of it.
    assert_eq!(page.ask("document.querySelector('#sign h2').innerText"), json!("Sign-off"));
    let Some(pages) = page.printed((8.27, 11.69)) else { return };
    for page in pages {
        let text = page.text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(text.contains("NOT ALL WAS READ, see sheet 1"), "{text}");
    }
}

#[test]
fn a_slip_in_the_dossier_of_another_airframe_changes_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    slipped(folder.path(), "airframes/4T188/claims.ron", "standing: Firm", "standng: Firm");
    let made = book(folder.path(), &["7C537"]);
    assert!(made.text() == whole_book().text(), "the book is as it was");
}
