//! Wrong commands, unknown names and folders that hold no project.

use crate::{code, copy_of_the_demo, modstate, on_demo, shown, text};

#[test]
fn unknown_names_are_met_with_the_nearest_or_with_all() {
    let mut all = String::new();
    for args in [
        ["state", "7C573"].as_slice(),
        &["state"],
        &["state", "4T226"],
        &["state", "7C537", "--build", "rebiuld"],
        &["state", "7C537", "--on", "1953-13-01"],
        &["state", "7C537", "--on", "1953"],
        &["state", "7C537", "--on", "1940-01-01"],
        &["state", "7C537", "--mod", "TM48"],
        &["variant", "F41", "-a", "7C537"],
        &["variant", "27-1400/11", "-a", "7C537"],
        &["variant", "TM048", "-a", "7C537"],
        &["variant", "J14-07", "-a", "7C537"],
        &["why", "F14", "-a", "7C537"],
        &["why", "TM031", "-a", "7C537"],
        &["jig", "J41"],
        &["explain", "X999"],
        &["check", "--format", "csv"],
        &["man", "variants"],
    ] {
        let output = on_demo(args);
        assert_eq!(code(&output), 2, "{args:?}\n{}", shown(&output));
        assert_eq!(text(&output.stdout), "", "{args:?}: nothing is answered");
        all.extend(["modstate ", &args.join(" "), "\n", &text(&output.stderr), "\n"]);
    }
    insta::assert_snapshot!(all);
}

#[test]
fn names_are_found_whatever_their_case() {
    assert_eq!(code(&on_demo(&["why", "tm048", "--airframe", "7c537"])), 0);
}

#[test]
fn the_project_is_found_from_below_it() {
    let mut command = modstate(&["state", "7C537", "--mod", "TM048"]);
    let output = command.current_dir(crate::root().join("demo-airframe/airframes/7C537")).output().unwrap();
    assert_eq!(code(&output), 0, "{}", shown(&output));
}

#[test]
fn a_folder_without_a_project_is_said_to_be_one() {
    let folder = tempfile::tempdir().unwrap();
    let output = modstate(&["check"]).current_dir(folder.path()).output().unwrap();
    assert_eq!(code(&output), 2);
    assert!(text(&output.stderr).contains("no project folder at"), "{}", shown(&output));
    let output = modstate(&["--project", "demo-airframe/shop", "check"]).output().unwrap();
    assert_eq!(code(&output), 2);
    assert!(text(&output.stderr).contains("is no project folder"), "{}", shown(&output));
    let output = modstate(&["--project", "nowhere", "check"]).output().unwrap();
    assert_eq!(code(&output), 2);
}

#[test]
fn what_can_be_answered_is_answered_in_a_faulty_project() {
    let folder = copy_of_the_demo();
    std::fs::write(folder.path().join("type/broken.ron"), "[\n    Part(number: \"1\", sourc: Made),\n").unwrap();
    let output = modstate(&["why", "TM048", "--airframe", "7C537"]).current_dir(folder.path()).output().unwrap();
    assert!(text(&output.stdout).contains("TM048 is embodied"), "{}", shown(&output));
    assert_eq!(text(&output.stderr), "", "a part that the answer does not rest on is not spoken of");
    assert_eq!(code(&output), 0, "nothing that stops work touches what was asked for");
    let claims = folder.path().join("airframes/7C537/claims.ron");
    let faulty = std::fs::read_to_string(&claims).unwrap().replace("when: \"1950-10-16\"", "when: \"1950-13-16\"");
    std::fs::write(&claims, faulty).unwrap();
    let output = modstate(&["why", "TM048", "--airframe", "7C537"]).current_dir(folder.path()).output().unwrap();
    assert_eq!(code(&output), 1, "{}", shown(&output));
    assert!(text(&output.stderr).contains("1950-13-16"), "{}", shown(&output));
}
