//! Workbook and CSV read back by openpyxl and Python's csv, where a Python with them is at hand: set `MODSTATE_ORACLES`
//! to that interpreter.
//!
//! `tests/oracles/workbook_oracle.py` shares no code with the program and compares both with the JSON, cell by cell.

use std::fs;
use std::path::Path;
use std::process::Command;

const SMALL: &str = include_str!("small.ron");
/// What must never become a formula: part descriptions, and names of positions.
const HOSTILE: [(&str, &str); 8] = [
    ("description: \"Pump\"", "description: \"=HYPERLINK(\\\"x\\\",\\\"y\\\")\""),
    ("description: \"Rib\"", "description: \"+1+1\""),
    ("description: \"Bay\"", "description: \"-2\""),
    ("description: \"Wing\"", "description: \"@SUM(A1)\""),
    ("description: \"Rivet\"", "description: \"\\t=1\""),
    ("description: \"Bracket, made\"", "description: \"\\r=1\""),
    ("name: \"Wing\"", "name: \"two\\r\\nlines, \\\"quoted\\\"\""),
    ("name: \"Pump\"", "name: \"'=1\""),
];

/// All that the program says of a bill, put into a folder.
fn ask(project: &Path, folder: &Path, which: &[&str]) {
    let run = |more: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_modstate"));
        command.arg("--project").arg(project).arg("bill").args(which).args(more).current_dir(folder);
        let output = command.output().expect("the program can be run");
        let reported = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.code().is_some_and(|code| code != 2), "{reported}");
    };
    run(&["--format", "xlsx", "--out", "bill.xlsx"]);
    run(&["--format", "json", "--out", "bill.json"]);
    for layout in ["tree", "flat", "make", "buy", "material"] {
        run(&["--format", "csv", "--layout", layout, "--out", &format!("{layout}.csv")]);
    }
}

/// What the oracle says of such a folder; nothing without a Python to ask.
fn read_back(folder: &Path) -> Option<Result<String, String>> {
    crate::python::ask("workbook_oracle.py", &[folder])
}

/// A project folder of the small type with its texts made hostile.
fn hostile(folder: &Path) {
    let text = HOSTILE.iter().fold(SMALL.to_owned(), |text, (old, new)| {
        assert!(text.contains(old), "{old}");
        text.replace(old, new)
    });
    fs::create_dir_all(folder.join("type")).expect("a new folder");
    fs::write(folder.join("type/all.ron"), text).expect("a new file");
}

#[test]
fn the_bill_of_the_demo_is_read_back_cell_by_cell() {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-airframe");
    for which in [["7C537", "--build", "rebuild"].as_slice(), &["4T214", "--of", "F17"]] {
        let folder = tempfile::tempdir().expect("a folder");
        ask(&demo, folder.path(), which);
        if let Some(Err(reported)) = read_back(folder.path()) {
            panic!("{which:?}: {reported}");
        }
    }
}

#[test]
fn hostile_texts_are_read_back_as_they_were_written() {
    let folder = tempfile::tempdir().expect("a folder");
    hostile(folder.path());
    ask(folder.path(), folder.path(), &["X3", "--on", "1950-01-01"]);
    let Some(said) = read_back(folder.path()) else { return };
    said.unwrap_or_else(|reported| panic!("{reported}"));
    // The oracle must be able to find fault: one cell of the CSV is another.
    let flat = folder.path().join("flat.csv");
    let text = fs::read_to_string(&flat).expect("it was written");
    fs::write(&flat, text.replacen("'@SUM(A1)", "'@SUM(A2)", 1)).expect("it can be written");
    let reported = read_back(folder.path()).expect("there is a Python").expect_err("a cell is another");
    assert!(reported.contains("@SUM(A2)"), "{reported}");
}
