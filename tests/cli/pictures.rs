//! Pictures as files.

use crate::{code, on_demo, text};
use std::fs;

#[test]
fn a_picture_is_written_whole_and_leaves_nothing_beside_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("frame.svg");
    fs::write(&path, "what stood there before").expect("a file");
    let named = path.to_str().expect("a name in UTF-8");
    let written = on_demo(&["picture", "F14", "--airframe", "BT214", "--out", named]);
    assert_eq!(text(&written.stdout), format!("The picture is in {named}.\n"));
    let shown = on_demo(&["picture", "F14", "--airframe", "BT214"]);
    assert_eq!(code(&written), code(&shown));
    assert_eq!(fs::read_to_string(&path).expect("the file"), text(&shown.stdout));
    assert_eq!(fs::read_dir(folder.path()).expect("the folder").count(), 1);
}

#[test]
fn a_picture_that_cannot_be_written_says_so() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("nowhere").join("frame.svg");
    let refused = on_demo(&["picture", "V2", "--out", path.to_str().expect("a name in UTF-8")]);
    assert_eq!((code(&refused), text(&refused.stdout)), (2, String::new()));
    assert!(text(&refused.stderr).contains("cannot be written"), "{}", text(&refused.stderr));
    assert_eq!(fs::read_dir(folder.path()).expect("the folder").count(), 0);
}

#[test]
fn every_picture_has_its_caution_and_says_what_is_open() {
    let jobs: &[&[&str]] = &[
        &["picture", "F9", "--airframe", "OC537"],
        &["picture", "F14", "--airframe", "BT188", "--build", "as delivered"],
        &["picture", "F17", "--airframe", "BT214"],
        &["picture", "f20", "--airframe", "OC537"],
        &["picture", "F23", "--airframe", "OC537"],
        &["picture", "V2"],
        &["picture", "V7"],
        &["picture", "V8"],
    ];
    for args in jobs {
        let svg = text(&on_demo(args).stdout);
        assert!(svg.starts_with("<?xml") && svg.ends_with("</svg>\n"), "{args:?}");
        for words in ["Not approved data", "Outstanding"] {
            assert!(svg.contains(words), "{args:?} lacks `{words}`");
        }
        assert!(!svg.contains("NaN") && !svg.contains("inf\""), "{args:?}");
    }
    let leaning = text(&on_demo(&["picture", "F23", "--airframe", "OC537"]).stdout);
    for words in ["Canted: it leans 6.50 deg", "&lt; FORWARD", "station 343.005 in"] {
        assert!(leaning.contains(words), "`{words}` in {leaning}");
    }
    let doubtful = text(&on_demo(&["picture", "F17", "--airframe", "BT214"]).stdout);
    assert!(doubtful.contains("The variant is NOT settled"), "{doubtful}");
}

#[test]
fn pictures_are_of_frames_and_surveys_and_are_no_json() {
    let part = text(&on_demo(&["picture", "27-1454", "--airframe", "OC537"]).stderr);
    assert!(part.contains("a picture is of a frame or of a survey"), "{part}");
    let unknown = text(&on_demo(&["picture", "F15"]).stderr);
    assert!(unknown.contains("no frame or survey is called `F15`"), "{unknown}");
    let json = on_demo(&["picture", "V2", "--format", "json"]);
    assert_eq!(code(&json), 2);
}
