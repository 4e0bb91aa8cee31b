//! What the program writes into files.

use crate::{code, modstate, on_demo, shown, text};
use calamine::Reader;

#[test]
fn a_bill_goes_into_the_file_that_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("bill.xlsx");
    std::fs::write(&book, "an older one").unwrap();
    let output = on_demo(&["bill", "OC537", "--format", "xlsx", "--out", book.to_str().unwrap()]);
    assert!([0, 1, 3].contains(&code(&output)), "{}", shown(&output));
    assert_eq!(text(&output.stdout), format!("The bill is in `{}`.\n", book.display()));
    let workbook = calamine::open_workbook_auto(&book).unwrap();
    assert_eq!(workbook.sheet_names().len(), 7);
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1, "nothing else is left in the folder");

    let csv = folder.path().join("bill.csv");
    let args = ["bill", "OC537", "--format", "csv"];
    on_demo(&[args.as_slice(), &["--out", csv.to_str().unwrap()]].concat());
    assert_eq!(std::fs::read(&csv).unwrap(), on_demo(&args).stdout);
}

#[test]
fn what_cannot_be_written_is_said() {
    let output = on_demo(&["bill", "OC537", "--format", "xlsx"]);
    assert_eq!(code(&output), 2);
    insta::assert_snapshot!(text(&output.stderr));
    let output = on_demo(&["bill", "OC537", "--format", "csv", "--out", "no-such-folder/bill.csv"]);
    assert_eq!((code(&output), text(&output.stdout)), (2, String::new()));
    let said = text(&output.stderr);
    let (start, rest) = said.split_once("demo-airframe").unwrap_or((&said, ""));
    assert!(said.contains("cannot be written: no such file or directory"), "{start}{rest}");
}

/// All that lies in a folder: paths and bytes.
fn all_in(folder: &std::path::Path) -> Vec<(std::path::PathBuf, Vec<u8>)> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(all_in(&path));
        } else {
            found.push((path.clone(), std::fs::read(&path).unwrap()));
        }
    }
    found.sort();
    found
}

#[test]
fn a_new_project_is_valid_and_answers() {
    let folder = tempfile::tempdir().unwrap();
    let run = |args: &[&str]| modstate(args).current_dir(folder.path()).output().unwrap();
    insta::assert_snapshot!(shown(&run(&["new", "shed"])));
    let on = |args: &[&str]| run(&[&["--project", "shed"], args].concat());
    let checked = on(&["check"]);
    assert_eq!((code(&checked), text(&checked.stdout).as_str()), (0, "Nothing found.\n"), "{}", shown(&checked));
    insta::assert_snapshot!(shown(&on(&["bill", "HK12"])));
}

#[test]
fn new_leaves_a_folder_alone_that_holds_anything() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("notes.txt"), "mine").unwrap();
    let before = all_in(folder.path());
    for named in [".", "notes.txt"] {
        let output = modstate(&["new", named]).current_dir(folder.path()).output().unwrap();
        assert_eq!((code(&output), text(&output.stdout)), (2, String::new()), "{}", shown(&output));
        assert!(text(&output.stderr).contains("help: name"), "{}", shown(&output));
    }
    assert_eq!(all_in(folder.path()), before);
    let empty = folder.path().join("empty");
    std::fs::create_dir(&empty).unwrap();
    assert_eq!(code(&modstate(&["new", empty.to_str().unwrap()]).output().unwrap()), 0);
}
