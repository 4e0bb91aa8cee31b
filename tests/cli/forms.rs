//! Forms for the bench: their figures worked out again from the dossiers' text, and filled forms imported again.

use crate::code;
use crate::on_demo;
use crate::root;
use crate::text;
use calamine::{Data, Reader, Xlsx};
use modstate::schema::{Axes, Face, MeasuredHole, Record, Survey};
use modstate::source::read_texts;
use rust_xlsxwriter::Workbook;
use serde_json::Value;
use std::collections::BTreeMap;
use std::io::Cursor;
use std::path::Path;
use std::process::Output;

const PRINTED: [&str; 2] = ["--printed", "2024-05-06"];

fn form(args: &[&str]) -> Output {
    on_demo(&[&["form"], args, &PRINTED].concat())
}

fn json(args: &[&str]) -> Value {
    let output = form(&[args, &["--format", "json"]].concat());
    serde_json::from_slice(&output.stdout).unwrap_or_else(|e| panic!("{e}: {}", text(&output.stderr)))
}

/// Places of holes in inches by plate and hole, picked out of the text of the dossier.
fn raw_places() -> BTreeMap<(String, String), (f64, f64)> {
    let text = std::fs::read_to_string(root().join("demo-airframe/type/plates.ron")).expect("the plates of the demo");
    let between = |line: &str, start: &str, end: &str| {
        let rest = line.split_once(start)?.1;
        Some(rest.split_once(end)?.0.to_owned())
    };
    let (mut plate, mut found) = (String::new(), BTreeMap::new());
    for line in text.lines() {
        if let Some(number) = between(line, "number: \"", "\"") {
            plate = number;
        }
        let figure = |axis: &str| between(line, &format!(" {axis}: \""), "in\"")?.parse::<f64>().ok();
        if let (Some(hole), Some(x), Some(y)) = (between(line, "(hole: \"", "\""), figure("x"), figure("y")) {
            found.insert((plate.clone(), hole), (x, y));
        }
    }
    found
}

#[track_caller]
fn near(mm: &Value, inches: f64, what: &str) {
    let mm = mm.as_f64().unwrap_or_else(|| panic!("{what} is a number"));
    assert!((mm - inches * 25.4).abs() <= 0.000_051, "{what}: {mm} mm is not {inches} in");
}

#[test]
fn the_setting_sheet_says_what_the_plate_drawings_say() {
    let places = raw_places();
    let sheet = json(&["setting", "J14"]);
    let stations = sheet["stations"].as_array().expect("stations");
    let mut plate_of: BTreeMap<&str, &str> = BTreeMap::new();
    for station in stations {
        let plate = station["plate"].as_str().expect("a plate drawing");
        plate_of.insert(station["station"].as_str().expect("a name"), plate);
        let at = |hole: &str| places[&(plate.to_owned(), hole.to_owned())];
        let ((x1, y1), (x2, y2)) = (at("D1"), at("D2"));
        near(&station["dowels"][0]["x_mm"], x1, plate);
        near(&station["dowels"][1]["y_mm"], y2, plate);
        let line = &station["line"];
        near(&line["distance_mm"], ((x1 - x2).powi(2) + (y1 - y2).powi(2)).sqrt(), plate);
        // The turn: the slope of the line against the axis that it runs along the most.
        let (run, rise) = if (x2 - x1).abs() >= (y2 - y1).abs() { (x2 - x1, y2 - y1) } else { (y2 - y1, x2 - x1) };
        near(&line["height_over_round_base_mm"], rise / run * 10.0, plate);
        near(&line["base_mm"], run, plate);
        near(&line["height_mm"], rise, plate);
    }
    let between = sheet["between"].as_array().expect("distances");
    assert_eq!(between.len(), 7 * 3 + 3 * 2, "seven plates: to the next one and two diagonals each, and across");
    for row in between {
        let at = |station: &str, hole: &str| {
            let plate = plate_of[row[station].as_str().expect("a station")].to_owned();
            places[&(plate, row[hole].as_str().expect("a dowel").to_owned())]
        };
        let (a, b) = (at("station", "hole"), at("to_station", "to_hole"));
        near(&row["distance_mm"], (a.0 - b.0).hypot(a.1 - b.1), &row.to_string());
    }
    // The frame is an ellipse of 31.25 in by 36.5 in about the origin.
    let points = sheet["path"]["points"].as_array().expect("points");
    assert!(points.len() > 40);
    for point in points {
        let of = |name: &str| point[name].as_f64().expect("a figure") / 25.4;
        let on = (of("x_mm") / 31.25).powi(2) + (of("y_mm") / 36.5).powi(2);
        assert!((on - 1.0).abs() < 1e-5, "{point}");
    }
}

#[test]
fn a_form_as_recorded_is_of_the_plates_on_the_jig() {
    let needed = json(&["drilling", "J14"]);
    let recorded = json(&["drilling", "J14", "--as-recorded"]);
    let plates = |form: &Value| {
        let rows = form["rows"].as_array().expect("rows").iter();
        let mut plates: Vec<String> = rows.map(|row| row["plate"].as_str().expect("a plate").to_owned()).collect();
        plates.sort();
        plates.dedup();
        plates
    };
    assert!(plates(&needed).contains(&"J14-07".to_owned()) && !plates(&needed).contains(&"J14-06".to_owned()));
    assert!(plates(&recorded).contains(&"J14-06".to_owned()) && !plates(&recorded).contains(&"J14-07".to_owned()));
    assert_eq!(recorded["not_listed"][0]["station"], "8 port upper splice");
    assert_eq!(code(&form(&["drilling", "J14", "--as-recorded"])), 3, "what P8 was made to is not recorded");
    assert_eq!(recorded["asked"], Value::Null);
    let rows = needed["rows"].as_array().expect("rows");
    let sizes: Vec<f64> = rows.iter().map(|row| row["diameter_mm"].as_f64().expect("a size")).collect();
    assert!(sizes.is_sorted(), "{sizes:?}");
    let holes: usize = rows.iter().map(|row| row["holes"].as_array().expect("holes").len()).sum();
    assert_eq!(holes, 10 + 8 + 11 + 10 + 10 + 10 + 10, "every hole of the seven plates");
}

#[test]
fn the_uncertainty_needed_decides_what_it_is_said_to_decide() {
    let sheet = json(&["survey", "J14", "P4"]);
    for zone in sheet["plates"][0]["zones"].as_array().expect("zones") {
        let of = |name: &str| zone[name].as_f64().expect("a figure");
        // A circle of sqrt(-2 ln 0.003) standard deviations holds 99.7 % of a Rayleigh law; k = 2, as a diameter.
        let guard = |uncertainty: f64| 2.0 * (-2.0 * 0.003_f64.ln()).sqrt() / 2.0 * uncertainty;
        let tolerance = of("tolerance_mm");
        assert!((guard(of("at_most_mm")) - tolerance).abs() < 4e-4, "{zone}");
        assert!((tolerance / 2.0 + guard(of("needed_mm")) - tolerance).abs() < 4e-4, "{zone}");
    }
    let again = json(&["resurvey", "J14", "P4", "--uncertainty", "0.5thou"]);
    let hole = &again["plates"][0]["holes"][4];
    let guard = 2.0 * 1.704_280_6 * 0.5;
    near(&hole["in_tolerance_up_to_mm"], (10.0 - guard) / 1e3, "in tolerance");
    near(&hole["out_of_tolerance_from_mm"], (10.0 + guard) / 1e3, "out of tolerance");
    assert_eq!(again["limits"]["uncertainty"], "0.5thou");
}

#[test]
fn the_fingerprint_is_of_what_is_on_the_form_and_not_of_the_day() {
    let of = |args: &[&str]| json(args)["fingerprint"].as_str().expect("a fingerprint").to_owned();
    let first = of(&["survey", "J14", "P4"]);
    let later = on_demo(&["form", "survey", "J14", "P4", "--printed", "2024-06-07", "--format", "json"]);
    let later: Value = serde_json::from_slice(&later.stdout).expect("JSON");
    assert_eq!((later["fingerprint"].as_str(), later["printed"].as_str()), (Some(&*first), Some("2024-06-07")));
    assert_ne!(first, of(&["survey", "J14", "P5"]));
    assert!(text(&form(&["survey", "J14", "P4"]).stdout).contains(&format!("computed from: {first}.")));
}

#[test]
fn forms_are_refused_with_what_to_do() {
    for (args, said) in [
        (&["survey", "J14", "P9"][..], "no station or mark of jig `J14` is called `P9`"),
        (&["resurvey", "J14", "--as-recorded"], "leave out `--as-recorded`"),
        (&["resurvey", "J14", "--uncertainty", "0.5"], "has no unit"),
        (&["setting", "J14", "--format", "xlsx"], "`--out form.xlsx`"),
        (&["setting", "J99"], "no jig is called `J99`"),
    ] {
        let output = form(args);
        assert_eq!(code(&output), 2, "{args:?}");
        assert!(text(&output.stderr).contains(said), "{args:?}: {}", text(&output.stderr));
    }
}

/// What is written into the form of plate P4: readings in the order of its rows.
fn readings() -> Vec<[&'static str; 4]> {
    vec![
        ["before", "D1", "9.9811", "-37.2489"],
        ["hole", "D1", "9.9812", "-37.2482"],
        ["hole", "D2", "-9.9809", "-37.249"],
        ["hole", "L1", "11.9498", "-32.8368"],
        ["hole", "L6", "-19.7484", "-27.1837"],
        ["after", "D2", "-9.9808", "-37.2491"],
    ]
}

/// The survey that these readings are.
fn wanted() -> Survey {
    let holes = readings().into_iter().filter(|row| row[0] == "hole").map(|[_, hole, x, y]| MeasuredHole {
        hole: Some(hole.to_owned()),
        x: format!("{x}in"),
        y: format!("{y}in"),
        z: None,
        diameter: (hole == "L1").then(|| "0.129in".to_owned()),
        out_of_square: None,
        cells: Vec::new(),
    });
    Survey {
        id: "V20".to_owned(),
        jig: "J14".to_owned(),
        mark: "P4".to_owned(),
        date: "2024-05-07".to_owned(),
        instrument: "Arm, certificate 0417".to_owned(),
        measured_by: Some("R. Tolley".to_owned()),
        uncertainty: "0.3thou".to_owned(),
        diameter_uncertainty: None,
        temperature: Some("18.5C".to_owned()),
        face: Some(Face::Marked),
        axes: Axes::Jig,
        unit: None,
        holes: holes.collect(),
        holes_from: None,
        note: Some(
            "Bench 2. Set-up check before: D1 x 9.9811in, y -37.2489in. Set-up check after: D2 x -9.9808in, y -37.2491in"
                .to_owned(),
        ),
    }
}

/// Fills in rows of text as a person would: what is of the plate in its first row, then the readings.
fn fill_in(rows: &mut [Vec<String>]) {
    let head = rows.iter().position(|row| row.iter().any(|cell| cell == "reading")).expect("the headings");
    let heads = rows[head].clone();
    let at = |name: &str| heads.iter().position(|heading| heading.starts_with(name)).expect("a column");
    let first = head + 1 + rows[head + 1..].iter().position(|row| row[at("mark")] == "P4").expect("rows of P4");
    for (name, value) in [
        ("survey", "V20"),
        ("date", "2024-05-07"),
        ("measured by", "R. Tolley"),
        ("instrument", "Arm, certificate 0417"),
        ("uncertainty (", "0.3"),
        ("temperature", "18.5"),
        ("face", "marked"),
        ("axes", "jig"),
        ("note", "Bench 2"),
    ] {
        value.clone_into(&mut rows[first][at(name)]);
    }
    for [reading, hole, x, y] in readings() {
        let is = |row: &&mut Vec<String>| {
            row[at("mark")] == "P4" && row[at("reading")] == reading && row[at("hole")] == hole
        };
        let row = rows[head + 1..].iter_mut().find(is).expect("a row of the hole");
        x.clone_into(&mut row[at("x (")]);
        y.clone_into(&mut row[at("y (")]);
        if reading == "hole" && hole == "L1" {
            "0.129".clone_into(&mut row[at("diameter")]);
        }
    }
}

/// What the program makes of a filled form.
fn taken_in(file: &Path) -> Record {
    let output = on_demo(&["intake", file.to_str().expect("UTF-8"), "--as", "holes", "--format", "json"]);
    let report: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!((code(&output), report["findings"].as_array().map(Vec::len)), (0, Some(0)), "{report:#}");
    let written = report["text"].as_str().expect("a dossier file").to_owned();
    let reading = read_texts(vec![("type/type.ron".into(), String::new()), ("shop/v.ron".into(), written)]);
    let [(_, record)] = &reading.records[..] else { panic!("one record: {:?}", reading.findings) };
    record.clone()
}

#[test]
fn a_filled_form_is_imported_as_the_survey_that_it_is() {
    let folder = tempfile::tempdir().expect("a folder");
    for subject in [&["survey", "J14", "P4"][..], &["survey", "J14"]] {
        let blank = text(&form(&[subject, &["--format", "csv"]].concat()).stdout);
        let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(blank.as_bytes());
        let rows = reader.records().map(|row| row.expect("a row").iter().map(str::to_owned).collect());
        let mut rows: Vec<Vec<String>> = rows.collect();
        fill_in(&mut rows);
        let file = folder.path().join("filled.csv");
        let mut writer = csv::Writer::from_path(&file).expect("a file");
        for row in &rows {
            writer.write_record(row).expect("a row");
        }
        writer.flush().expect("written");
        assert_eq!(taken_in(&file), Record::Survey(wanted()), "{subject:?} as CSV");

        let file = folder.path().join("filled.xlsx");
        let made = form(&[subject, &["--format", "xlsx", "--out", file.to_str().expect("UTF-8")]].concat());
        assert_eq!(code(&made), 0, "{}", text(&made.stderr));
        std::fs::write(&file, filled_workbook(&std::fs::read(&file).expect("the form"))).expect("written");
        assert_eq!(taken_in(&file), Record::Survey(wanted()), "{subject:?} as a workbook");
    }
}

/// The cells of a workbook with one sheet, filled in and written again by another hand.
fn filled_workbook(bytes: &[u8]) -> Vec<u8> {
    let mut workbook: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).expect("a workbook");
    let names = workbook.sheet_names();
    let [name] = &names[..] else { panic!("one sheet: {names:?}") };
    let range = workbook.worksheet_range(name).expect("the sheet");
    let (height, width) = range.end().expect("a sheet with cells");
    let cell = |row, column| range.get_value((row, column)).map_or(String::new(), |cell: &Data| cell.to_string());
    let mut rows: Vec<Vec<String>> =
        (0..=height).map(|row| (0..=width).map(|column| cell(row, column)).collect()).collect();
    let form = rows.clone();
    fill_in(&mut rows);
    let mut workbook = Workbook::new();
    let sheet = workbook.add_worksheet();
    for (row, (cells, before)) in (0..).zip(rows.iter().zip(&form)) {
        for (column, (cell, before)) in (0..).zip(cells.iter().zip(before)) {
            match cell.parse::<f64>() {
                // A person's figures are numbers of the spreadsheet.
                Ok(number) if cell != before => drop(sheet.write_number(row, column, number).expect("a cell")),
                Ok(_) | Err(_) if cell.is_empty() => {}
                Ok(_) | Err(_) => drop(sheet.write_string(row, column, cell).expect("a cell")),
            }
        }
    }
    workbook.save_to_buffer().expect("a workbook")
}

#[test]
fn a_form_that_is_still_blank_is_no_survey() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("blank.csv");
    std::fs::write(&file, form(&["survey", "J14", "--format", "csv"]).stdout).expect("a file");
    let output = on_demo(&["intake", file.to_str().expect("UTF-8"), "--as", "holes", "--format", "json"]);
    let report: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!((report["new"].as_u64(), report["rows"].as_array().map(Vec::len)), (Some(0), Some(0)));
}

#[test]
fn a_form_without_an_airframe_is_of_the_plates_on_the_jig() {
    let folder = tempfile::tempdir().expect("a folder");
    let copy = |name: &str| {
        let to = folder.path().join(name);
        std::fs::create_dir_all(to.parent().expect("a folder")).expect("made");
        std::fs::copy(root().join("demo-airframe").join(name), to).expect("copied");
    };
    for file in std::fs::read_dir(root().join("demo-airframe/type")).expect("the type").flatten() {
        copy(&format!("type/{}", file.file_name().to_string_lossy()));
    }
    let jigs = std::fs::read_to_string(root().join("demo-airframe/shop/jigs.ron")).expect("the jigs");
    let set_for = " set_for: (airframe: \"7C537\", build_state: \"rebuild\"),";
    assert!(jigs.contains(set_for));
    let jigs = jigs.replace(set_for, "").replace(" set_for: (airframe: \"4T214\", build_state: \"as found\"),", "");
    std::fs::create_dir_all(folder.path().join("shop")).expect("made");
    std::fs::write(folder.path().join("shop/jigs.ron"), jigs).expect("written");
    for kind in ["setting", "survey", "drilling", "stamping"] {
        let output = crate::modstate(&["form", kind, "J14", "--printed", "2024-05-06"])
            .current_dir(folder.path())
            .output()
            .expect("the program can be run");
        let said = text(&output.stdout);
        assert!(said.contains("For the plates on the jig as their records say"), "{kind}: {said}");
        assert!(said.contains("J14-06"), "{kind}: {said}");
    }
}

#[test]
fn what_was_not_read_is_said_on_every_form() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut folders = vec![std::path::PathBuf::new()];
    while let Some(below) = folders.pop() {
        std::fs::create_dir_all(folder.path().join(&below)).expect("made");
        for entry in std::fs::read_dir(root().join("demo-airframe").join(&below)).expect("a folder").flatten() {
            let name = below.join(entry.file_name());
            if entry.path().is_dir() {
                folders.push(name);
            } else {
                std::fs::copy(entry.path(), folder.path().join(&name)).expect("copied");
            }
        }
    }
    let plates = folder.path().join("type/plates.ron");
    let text_of = std::fs::read_to_string(&plates).expect("the plates");
    let spoilt = text_of.replace("(hole: \"L2\", x: \"8.544in\"", "(hole: \"L2\", x: \"8.544\"");
    assert_ne!(text_of, spoilt);
    std::fs::write(&plates, spoilt).expect("written");
    for kind in ["setting", "survey", "resurvey", "drilling", "stamping"] {
        let output = crate::modstate(&["form", kind, "J14", "--printed", "2024-05-06"])
            .current_dir(folder.path())
            .output()
            .expect("the program can be run");
        let said = text(&output.stdout).split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(code(&output), 1, "{kind}: {said}");
        assert!(said.contains("not read [1]") && said.contains("type/plates.ron:"), "{kind}: {said}");
        assert!(said.contains("none (not read: see below)"), "{kind}: {said}");
        let csv = crate::modstate(&["form", kind, "J14", "--format", "csv"]).current_dir(folder.path()).output();
        let csv = text(&csv.expect("the program can be run").stdout);
        let listed = csv.lines().any(|line| line.starts_with("not read,") && line.contains("type/plates.ron:"));
        assert!(listed, "{kind}: {csv}");
    }
}
