//! Colour, width, closed pipes, help, completions and manual pages.

use crate::{code, modstate, on_demo, shown, text};
use std::io::Read;
use std::process::Stdio;

const VERBS: &[&str] =
    &["state", "variant", "bill", "jig", "why", "records", "new", "check", "watch", "explain", "completions", "man"];

#[test]
fn pipes_get_no_escapes_unless_they_are_asked_for() {
    for args in [["variant", "F14", "-a", "7C537"].as_slice(), &["jig", "J14"], &["check"], &["--help"]] {
        let output = on_demo(args);
        assert!(!text(&output.stdout).contains('\u{1b}'), "{}", shown(&output));
        assert!(!text(&output.stderr).contains('\u{1b}'), "{}", shown(&output));
    }
    let coloured = on_demo(&["variant", "F14", "-a", "7C537", "--colour", "always"]);
    assert!(text(&coloured.stdout).contains("\u{1b}[1m"), "{}", shown(&coloured));
    let plain = on_demo(&["variant", "F14", "-a", "7C537", "--colour", "never"]);
    assert!(!text(&plain.stdout).contains('\u{1b}'));
    let bare: String = without_escapes(&text(&coloured.stdout));
    assert_eq!(bare, text(&plain.stdout), "colour adds nothing but colour");
}

fn without_escapes(text: &str) -> String {
    let mut pieces = text.split('\u{1b}');
    let first = pieces.next().unwrap_or_default().to_owned();
    pieces.fold(first, |so_far, piece| so_far + piece.split_once('m').map_or("", |(_, rest)| rest))
}

#[test]
fn text_keeps_to_the_width_asked_for() {
    for width in ["60", "100"] {
        let output = on_demo(&["state", "7C537", "--width", width]);
        let widest = text(&output.stdout).lines().map(|line| line.chars().count()).max().unwrap();
        assert!(widest <= width.parse().unwrap(), "{widest} columns\n{}", shown(&output));
    }
}

#[test]
fn a_closed_pipe_is_no_fault() {
    let mut child = modstate(&["--project", "demo-airframe", "bill", "7C537"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let mut err = String::new();
    child.stderr.take().unwrap().read_to_string(&mut err).unwrap();
    let status = child.wait().unwrap();
    assert!(status.code().is_some_and(|code| code != 101), "{status}");
    assert!(!err.contains("panic"), "{err}");
}

#[test]
fn the_same_question_gets_the_same_bytes() {
    let once = on_demo(&["variant", "F17", "-a", "4T214", "--format", "json"]);
    assert_eq!(once.stdout, on_demo(&["variant", "F17", "-a", "4T214", "--format", "json"]).stdout);
}

#[test]
fn every_help_tells_the_exit_codes() {
    let main = on_demo(&["--help"]);
    assert_eq!(code(&main), 0);
    for verb in VERBS {
        assert!(text(&main.stdout).contains(&format!("  {verb} ")), "{verb} is listed");
        let help = text(&on_demo(&[verb, "--help"]).stdout);
        for line in ["  0  clean", "  1  a finding stops work", "  2  wrong command", "  3  nothing wrong"] {
            assert!(help.contains(line), "{verb}: {line}\n{help}");
        }
    }
    insta::assert_snapshot!(text(&main.stdout));
}

#[test]
fn completions_and_manual_pages_are_made_from_the_same_definitions() {
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = text(&on_demo(&["completions", shell]).stdout);
        assert!(VERBS.iter().all(|verb| script.contains(verb)), "{shell}");
    }
    let page = text(&on_demo(&["man"]).stdout);
    assert!(page.contains(".TH modstate 1") && VERBS.iter().all(|verb| page.contains(verb)), "{page}");
    let page = text(&on_demo(&["man", "jig"]).stdout);
    assert!(page.contains("modstate-jig") && page.contains("nothing wrong"), "{page}");
}
