//! Finding a project folder and reading it from disk.

use crate::PLAIN;
use modstate::layout::render_findings;
use modstate::source::{find_project, read_project};
use std::fs;
use std::path::Path;

fn project(files: &[(&str, &[u8])]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    for (path, bytes) in files {
        let path = folder.path().join(path);
        fs::create_dir_all(path.parent().expect("a file stands in a folder")).expect("a folder can be made");
        fs::write(path, bytes).expect("a file can be written");
    }
    folder
}

const TYPE: &[u8] = br#"[Type(name: "Petrel", airframe: "60-0000")]"#;
const PART: &[u8] = br#"[Part(number: "60-2201", description: "Segment", source: Made)]"#;

#[test]
fn the_project_is_the_nearest_folder_upwards_with_a_type_dossier() {
    for marker in ["type.ron", "type/main.ron"] {
        let folder = project(&[(marker, TYPE), ("airframes/HB127/notes.txt", b"")]);
        let found = find_project(&folder.path().join("airframes/HB127")).expect("there is a project");
        assert_eq!(found, folder.path().canonicalize().expect("the folder exists"));
    }
    let folder = project(&[("type/readme.txt", b"no dossier")]);
    let error = find_project(folder.path()).expect_err("there is no project");
    assert!(error.to_string().contains("holds a file `type.ron` or a folder `type`"), "{error}");
    assert!(find_project(Path::new("/no/such/folder")).is_err());
    assert!(read_project(Path::new("/no/such/folder")).is_err());
}

#[test]
fn files_are_read_in_path_order_without_dot_folders() {
    let folder = project(&[
        ("type/b.ron", PART),
        ("type.ron", TYPE),
        ("type/a/z.ron", PART),
        (".git/c.ron", b"[["),
        ("type/.hidden.ron", b"[["),
        ("notes.txt", b"[["),
    ]);
    let reading = read_project(folder.path()).expect("the folder can be read");
    let paths: Vec<_> = reading.sources.files().iter().map(|file| file.path.to_string_lossy().into_owned()).collect();
    assert_eq!(paths, ["type.ron", "type/a/z.ron", "type/b.ron"]);
    assert_eq!((reading.records.len(), reading.findings), (3, vec![]));
}

#[cfg(unix)]
#[test]
fn a_loop_of_links_is_not_followed() {
    let folder = project(&[("type.ron", TYPE)]);
    std::os::unix::fs::symlink(folder.path(), folder.path().join("loop.ron")).expect("a link can be made");
    std::os::unix::fs::symlink(folder.path(), folder.path().join("again")).expect("a link can be made");
    let reading = read_project(folder.path()).expect("the folder can be read");
    assert_eq!((reading.records.len(), reading.findings), (1, vec![]));
}

#[cfg(unix)]
#[test]
fn a_file_that_cannot_be_opened_is_a_finding_and_hides_no_other() {
    let folder = project(&[("type.ron", TYPE)]);
    std::os::unix::fs::symlink("nowhere.ron", folder.path().join("lost.ron")).expect("a link can be made");
    let reading = read_project(folder.path()).expect("the folder can be read");
    assert_eq!(reading.records.len(), 1);
    insta::assert_snapshot!(render_findings(&reading.findings, &reading.sources, PLAIN));
}

#[test]
fn a_file_in_another_encoding_is_a_finding_and_hides_no_other() {
    let folder = project(&[
        ("type.ron", TYPE),
        ("parts.ron", b"[\n    Part(number: \"60-2201\", description: \"Sp\xE4nt\", source: Made),\n]\n"),
    ]);
    let reading = read_project(folder.path()).expect("the folder can be read");
    assert_eq!(reading.records.len(), 1);
    insta::assert_snapshot!(render_findings(&reading.findings, &reading.sources, PLAIN));
}
