//! The README shows what the program really says.

use crate::{modstate, root, text};

/// Every block that shows a command and its output: the lines after `$ modstate …`.
fn blocks(readme: &str) -> Vec<(Vec<String>, String)> {
    let mut found = Vec::new();
    for block in readme.split("```console\n").skip(1) {
        let block = block.split("```").next().unwrap_or_default();
        let (command, output) = block.split_once('\n').expect("a command and its output");
        let command = command.strip_prefix("$ ").expect("a block begins with its command");
        let mut args = words(command);
        if args.first().is_some_and(|program| program == "modstate") {
            args.remove(0);
            found.push((args, output.to_owned()));
        }
    }
    found
}

/// The words of a command, with quotes.
fn words(command: &str) -> Vec<String> {
    let parts = command.split('\'').enumerate();
    let words = parts.flat_map(|(index, part)| match index % 2 {
        0 => part.split_whitespace().map(str::to_owned).collect(),
        _ => vec![part.to_owned()],
    });
    words.collect()
}

#[test]
fn the_readme_shows_real_output() {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    let blocks = blocks(&readme);
    assert!(blocks.len() >= 3, "the README shows the program at work");
    for (args, shown) in blocks {
        let args: Vec<&str> = args.iter().map(String::as_str).collect();
        let output = modstate(&args).output().unwrap();
        let real = text(&output.stdout);
        match shown.split_once("[…]\n") {
            Some((start, end)) => {
                assert!(real.starts_with(start), "`{args:?}` begins otherwise:\n{real}");
                assert!(real.ends_with(end), "`{args:?}` ends otherwise:\n{real}");
            }
            None => assert_eq!(real, shown, "`{args:?}`"),
        }
    }
}

#[test]
fn the_first_command_of_the_readme_is_the_one_shown() {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    let command =
        readme.lines().map(str::trim).find(|line| line.starts_with("cargo run")).expect("a command that does it all");
    let (_, args) = command.split_once(" -- ").expect("arguments behind `--`");
    assert!(readme.contains(&format!("$ modstate {args}\n")), "its output is shown");
}

#[test]
fn the_dossier_example_of_the_readme_can_be_read() {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    let example = readme.split("```ron\n").nth(1).expect("an example").split("```").next().unwrap();
    let reading = modstate::source::read_texts(vec![("example.ron".into(), example.to_owned())]);
    assert_eq!(reading.findings, vec![]);
    assert!(reading.records.len() >= 5);
}

#[test]
fn what_the_readme_has_saved_in_a_project_breaks_nothing_there() {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let shed = folder.path().join("shed");
    let run = |args: &[&str]| modstate(args).current_dir(&shed).output().unwrap();
    assert!(modstate(&["new", shed.to_str().unwrap()]).output().unwrap().status.success());
    let sheets = readme.split("```csv\n").skip(1).map(|block| block.split("```").next().unwrap());
    for (name, sheet) in ["seat.csv", "register.csv"].iter().zip(sheets) {
        assert!(readme.contains(&format!("`{name}`")));
        std::fs::write(shed.join(name), sheet).unwrap();
    }
    let (_, mapping) = readme.split_once("--mapping ").expect("a mapping file");
    let name = mapping.split('`').next().unwrap();
    let lines = mapping.lines().skip_while(|line| !line.starts_with("    (")).take_while(|line| !line.is_empty());
    std::fs::write(shed.join(name), lines.collect::<Vec<_>>().join("\n")).unwrap();
    std::fs::write(shed.join("list.csv"), "A list\n\nItem,Drawer,Description,Thickness\nHB-61,3,Clip,1.2\n").unwrap();
    let taken = run(&["intake", "list.csv", "--as", "parts", "--mapping", name]);
    assert!(taken.status.success(), "{}{}", text(&taken.stdout), text(&taken.stderr));
    let check = run(&["check"]);
    assert!(text(&check.stdout).starts_with("Nothing found."), "{}", text(&check.stdout));
}
