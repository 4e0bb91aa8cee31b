//! What the program writes into files.

use crate::{code, copy_of_the_demo, modstate, on_demo, shown, text};
use calamine::Reader;

#[test]
fn a_bill_goes_into_the_file_that_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("bill.xlsx");
    std::fs::write(&book, "an older one").unwrap();
    let output = on_demo(&["bill", "7C537", "--format", "xlsx", "--out", book.to_str().unwrap()]);
    assert!([0, 1, 3].contains(&code(&output)), "{}", shown(&output));
    assert_eq!(text(&output.stdout), format!("The bill is in {}.\n", book.display()));
    let workbook = calamine::open_workbook_auto(&book).unwrap();
    assert_eq!(workbook.sheet_names().len(), 7);
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1, "nothing else is left in the folder");

    let csv = folder.path().join("bill.csv");
    let args = ["bill", "7C537", "--format", "csv"];
    on_demo(&[args.as_slice(), &["--out", csv.to_str().unwrap()]].concat());
    assert_eq!(std::fs::read(&csv).unwrap(), on_demo(&args).stdout);
}

#[test]
fn what_cannot_be_written_is_said() {
    let output = on_demo(&["bill", "7C537", "--format", "xlsx"]);
    assert_eq!(code(&output), 2);
    insta::assert_snapshot!(text(&output.stderr));
    let output = on_demo(&["bill", "7C537", "--format", "csv", "--out", "no-such-folder/bill.csv"]);
    assert_eq!((code(&output), text(&output.stdout)), (2, String::new()));
    let said = text(&output.stderr);
    let (start, rest) = said.split_once("demo-airframe").unwrap_or((&said, ""));
    assert!(said.contains("cannot be written: no such file or directory"), "{start}{rest}");
}

/// All that lies in a folder: paths and bytes.
fn all_in(folder: &std::path::Path) -> Vec<(std::path::PathBuf, Vec<u8>)> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).expect("it is there") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            found.extend(all_in(&path));
        } else {
            found.push((path.clone(), std::fs::read(&path).expect("a file")));
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
    let found_nothing = text(&checked.stdout).starts_with("Nothing found.\n\n");
    assert!(code(&checked) == 0 && found_nothing, "{}", shown(&checked));
    insta::assert_snapshot!(shown(&on(&["bill", "6K12"])));
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

#[test]
fn a_first_day_by_the_letter_of_the_readme() {
    let readme = std::fs::read_to_string(crate::root().join("README.md")).unwrap();
    let sheets: Vec<&str> =
        readme.split("```csv\n").skip(1).map(|block| block.split("```").next().unwrap_or_default()).collect();
    let [parts, mods] = sheets.as_slice() else { panic!("the README shows two sheets") };
    let folder = tempfile::tempdir().unwrap();
    let run = |args: &[&str]| modstate(args).current_dir(folder.path().join("shed")).output().unwrap();
    assert_eq!(code(&modstate(&["new", "shed"]).current_dir(folder.path()).output().unwrap()), 0);
    let put = |name: &str, text: &str| std::fs::write(folder.path().join("shed").join(name), text).unwrap();
    put("seat.csv", parts);
    put("register.csv", mods);
    let before = all_in(folder.path());
    let dry = run(&["intake", "seat.csv", "--as", "parts"]);
    assert_eq!(code(&dry), 1);
    insta::assert_snapshot!(shown(&dry));
    assert_eq!(all_in(folder.path()), before, "a dry run writes nothing");
    put("seat.csv", &parts.replace("1.6\n", "1.6mm\n"));
    let written = run(&["intake", "seat.csv", "--as", "parts", "--write"]);
    assert_eq!(code(&written), 0, "{}", shown(&written));
    insta::assert_snapshot!(shown(&written));
    assert_eq!(code(&run(&["intake", "register.csv", "--as", "modifications", "--write"])), 0);
    let before = all_in(folder.path());
    let again = run(&["intake", "seat.csv", "--as", "parts", "--write"]);
    assert!(text(&again.stdout).contains("0 new, 2 already entered, 0 rejected"), "{}", shown(&again));
    assert_eq!(all_in(folder.path()), before, "the same sheet again changes nothing");
    let taken = run(&["intake", "seat.csv", "--as", "parts", "--into", "type/type.ron", "--write"]);
    assert_eq!(code(&taken), 0, "nothing is to be written: {}", shown(&taken));
    assert_eq!(code(&run(&["check"])), 0, "{}", shown(&run(&["check"])));
    let bill = run(&["bill", "6K12", "--format", "xlsx", "--out", "bill.xlsx"]);
    assert_eq!(code(&bill), 3, "{}", shown(&bill));
}

#[test]
fn intake_overwrites_nothing_and_says_what_it_cannot_use() {
    let folder = tempfile::tempdir().unwrap();
    let run = |args: &[&str]| modstate(args).current_dir(folder.path()).output().unwrap();
    assert_eq!(code(&run(&["new", "."])), 0);
    std::fs::write(folder.path().join("list.csv"), "number,description,source\nX-1,Rib,Made\n").unwrap();
    std::fs::write(folder.path().join("map.ron"), "(columns: [(\"Teil\", \"nummer\")])").unwrap();
    let before = all_in(folder.path());
    let intake = |more: &[&str]| run(&[&["intake", "list.csv", "--as", "parts", "--write"], more].concat());
    for more in [
        ["--into", "type/type.ron"],
        ["--into", "../list.ron"],
        ["--into", "list.txt"],
        ["--mapping", "map.ron"],
        ["--mapping", "none.ron"],
    ] {
        let output = intake(&more);
        assert_eq!((code(&output), text(&output.stdout)), (2, String::new()), "{}", shown(&output));
        assert!(text(&output.stderr).contains("  help: "), "{}", shown(&output));
    }
    assert_eq!(all_in(folder.path()), before);
}

/// Puts something at a path.
#[cfg(unix)]
type Put<'a> = &'a dyn Fn(&std::path::Path);

#[cfg(unix)]
fn pipe(path: &std::path::Path) {
    let made = std::process::Command::new("mkfifo").arg(path).status().expect("mkfifo is there");
    assert!(made.success());
}

#[test]
#[cfg(unix)]
fn pipes_devices_and_links_in_a_project_are_refused_at_once() {
    let folder = copy_of_the_demo();
    let at = |name: &str| folder.path().join(name);
    let check = || text(&modstate(&["check"]).current_dir(folder.path()).output().unwrap().stdout);
    let spoilt: [(&str, Put<'_>); 4] = [
        ("a pipe or a device", &pipe),
        ("a pipe or a device", &|path| std::os::unix::fs::symlink("/dev/zero", path).unwrap()),
        ("too many levels", &|path| std::os::unix::fs::symlink(path.file_name().unwrap(), path).unwrap()),
        ("larger than 128 MB", &|path| std::fs::File::create(path).unwrap().set_len((128 << 20) + 1).unwrap()),
    ];
    for (why, spoil) in spoilt {
        let path = at("type/spoilt.ron");
        spoil(&path);
        let found = check();
        assert!(found.contains("file-108") && found.contains(why), "{found}");
        std::fs::remove_file(&path).unwrap();
    }
    pipe(&at("sheet.csv"));
    let output = modstate(&["intake", "sheet.csv", "--as", "parts"]).current_dir(folder.path()).output().unwrap();
    assert!(code(&output) == 2 && text(&output.stderr).contains("a pipe or a device"), "{}", shown(&output));
}

#[test]
#[cfg(unix)]
fn a_survey_whose_file_of_holes_is_lost_is_not_read() {
    let folder = copy_of_the_demo();
    let run = |args: &[&str]| modstate(args).current_dir(folder.path()).output().unwrap();
    let holes = folder.path().join("shop/surveys/V1.csv");
    for pipe_in_its_place in [false, true] {
        std::fs::remove_file(&holes).unwrap();
        if pipe_in_its_place {
            pipe(&holes);
        } else {
            std::fs::write(&holes, "").unwrap();
        }
        let jig = text(&run(&["jig", "J14"]).stdout);
        let row = jig.lines().find(|line| line.starts_with("6 port side")).unwrap().to_owned();
        assert!(row.contains("not read [1]"), "{jig}");
        let survey = run(&["survey", "V1"]);
        assert_eq!(code(&survey), 1, "{}", shown(&survey));
        assert!(text(&survey.stderr).contains("`V1` is not known as survey: not read"), "{}", shown(&survey));
    }
}

#[test]
#[cfg(unix)]
fn what_is_written_goes_through_devices_and_leaves_links() {
    let folder = tempfile::tempdir().unwrap();
    let (link, file) = (folder.path().join("link.csv"), folder.path().join("bill.csv"));
    std::fs::write(&file, "an older one").unwrap();
    std::os::unix::fs::symlink("bill.csv", &link).unwrap();
    let args = ["bill", "7C537", "--format", "csv"];
    on_demo(&[args.as_slice(), &["--out", link.to_str().unwrap()]].concat());
    assert!(link.symlink_metadata().unwrap().is_symlink());
    assert_eq!(std::fs::read(&file).unwrap(), on_demo(&args).stdout);
    let output = on_demo(&[args.as_slice(), &["--out", "/dev/null"]].concat());
    assert_eq!(text(&output.stdout), "The bill is in /dev/null.\n");
    assert!(!std::path::Path::new("/dev/null").metadata().unwrap().is_file());
}

#[test]
fn a_workbook_that_unfolds_without_end_is_refused() {
    use std::io::Write as _;
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("bomb.xlsx");
    let mut archive = zip::ZipWriter::new(std::fs::File::create(&path).unwrap());
    archive.start_file("xl/worksheets/sheet1.xml", zip::write::SimpleFileOptions::default()).unwrap();
    let zeros = vec![b' '; 1 << 20];
    for _ in 0..300 {
        archive.write_all(&zeros).unwrap();
    }
    archive.finish().unwrap();
    assert!(path.metadata().unwrap().len() < 1 << 20);
    let output = on_demo(&["intake", path.to_str().unwrap(), "--as", "parts"]);
    assert!(text(&output.stdout).contains("unfolds to more than 128 MB"), "{}", shown(&output));
}
