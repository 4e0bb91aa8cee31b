//! Plates as drawings for the machine shop.

use crate::{code, on_demo, root, text};
use modstate::lower::lower;
use modstate::model::{Model, Plate};
use modstate::quantity::{Config, Length};
use modstate::source::read_project;
use serde_json::{Value, json};
use std::fs;

fn demo() -> Model {
    let reading = read_project(&root().join("demo-airframe")).expect("the demo is there");
    lower(&reading.records, &reading.lost, &Config::built_in()).0
}

fn drawn(plate: &str) -> String {
    let output = on_demo(&["template", plate, "--printed", "2024-05-06"]);
    assert_eq!((code(&output), text(&output.stderr)), (0, String::new()), "{plate}");
    text(&output.stdout)
}

/// The entities of a drawing, each as pairs of code and value.
fn entities(dxf: &str) -> Vec<Vec<(&str, &str)>> {
    let lines: Vec<&str> = dxf.lines().map(str::trim).collect();
    let pairs = lines.chunks(2).map(|pair| (pair[0], pair[1]));
    let mut section = pairs.skip_while(|pair| *pair != ("2", "ENTITIES")).skip(1).peekable();
    let mut found: Vec<Vec<(&str, &str)>> = Vec::new();
    while let Some(pair) = section.next_if(|pair| *pair != ("0", "ENDSEC")) {
        if pair.0 == "0" {
            found.push(Vec::new());
        }
        found.last_mut().expect("an entity begins with its kind").push(pair);
    }
    found
}

fn value<'a>(entity: &[(&str, &'a str)], code: &str) -> &'a str {
    entity.iter().find(|pair| pair.0 == code).expect("the entity has the code").1
}

fn number(entity: &[(&str, &str)], code: &str) -> f64 {
    value(entity, code).parse().expect("a number")
}

fn is_in_inches(plate: &Plate) -> bool {
    plate.holes[0].at[0].text.ends_with("in")
}

/// A length in the unit of a plate's drawing, from its picometres.
fn size(plate: &Plate, length: &Length) -> f64 {
    if is_in_inches(plate) { length.inches() } else { length.mm() }
}

#[test]
fn holes_stand_where_the_dossier_says_on_a_layer_of_their_own() {
    let model = demo();
    for name in ["J14-07", "J17-13"] {
        let plate = &model.plates[model.plates.id(name).expect("a plate of the demo")];
        let dxf = drawn(name);
        let unit = if is_in_inches(plate) { "1" } else { "4" };
        let mut lines = dxf.lines().skip_while(|line| *line != "$INSUNITS").skip(2).map(str::trim);
        assert_eq!(lines.next(), Some(unit), "the unit of {name}");
        let on_holes: Vec<_> = entities(&dxf).into_iter().filter(|entity| value(entity, "8") == "HOLES").collect();
        assert_eq!(on_holes.len(), plate.holes.len());
        for (entity, hole) in on_holes.iter().zip(&plate.holes) {
            assert_eq!(value(entity, "0"), "CIRCLE");
            for (code, expected) in [
                ("10", size(plate, &hole.at[0])),
                ("20", size(plate, &hole.at[1])),
                ("40", size(plate, &hole.diameter) / 2.0),
            ] {
                assert!((number(entity, code) - expected).abs() < 1e-11, "{name} {}: code {code}", hole.name);
            }
        }
    }
}

#[test]
fn the_words_say_unit_scale_face_square_and_caution() {
    for (plate, said) in [
        (
            "J14-07",
            [
                "PLATE J14-07",
                "Units: INCHES. Scale 1:1.",
                "CHECKING SQUARE below: 4 in (four inches) each side, 5.6569",
            ],
        ),
        (
            "J17-12",
            [
                "PLATE J17-12",
                "Units: MILLIMETRES. Scale 1:1.",
                "CHECKING SQUARE below: 100 mm (one hundred millimetres) each",
            ],
        ),
    ] {
        let dxf = drawn(plate);
        let words: Vec<String> = (entities(&dxf).iter())
            .filter(|entity| value(entity, "0") == "TEXT")
            .map(|entity| value(entity, "1").to_owned())
            .collect();
        let all = words.join(" ");
        for said in
            said.into_iter().chain(["SEEN ON THE MARKED FACE", "Not approved data", "Locates: ", "Jig station: "])
        {
            assert!(all.contains(said), "{plate} lacks `{said}`: {all}");
        }
    }
    let bare = drawn("J17-13");
    assert!(bare.contains("No edge is recorded for this plate"));
}

#[test]
fn a_template_has_the_same_bytes_wherever_and_whenever_it_is_written() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("plate.dxf");
    let named = path.to_str().expect("a name in UTF-8");
    let written = on_demo(&["template", "j14-07", "--printed", "2024-05-06", "--out", named]);
    assert_eq!(text(&written.stdout), format!("The template is in {named}.\n"));
    assert_eq!(fs::read_to_string(&path).expect("the file"), drawn("J14-07"));
    assert_eq!(fs::read_dir(folder.path()).expect("the folder").count(), 1);
    let elsewhere = crate::modstate(&["--project", "demo-airframe", "template", "J14-07", "--printed", "2024-05-06"])
        .env("TZ", "Pacific/Auckland")
        .output()
        .expect("the program can be run");
    assert_eq!(text(&elsewhere.stdout), drawn("J14-07"));
}

#[test]
fn a_template_is_of_a_plate_and_is_no_json() {
    let mark = text(&on_demo(&["template", "P3"]).stderr);
    assert!(mark.contains("`P3` is the mark of a plate that was made to `J14-06`"), "{mark}");
    let unknown = text(&on_demo(&["template", "J14-99"]).stderr);
    assert!(unknown.contains("no plate is called `J14-99`"), "{unknown}");
    assert_eq!(code(&on_demo(&["template", "J14-07", "--format", "json"])), 2);
    assert_eq!(code(&on_demo(&["template", "J14-07", "--out", "no-such-folder/plate.dxf"])), 2);
}

/// What the words of a template have to say of its plate.
fn said(model: &Model, name: &str, plate: &Plate) -> Value {
    let or = |text: &Option<String>| text.clone().unwrap_or_else(|| "not recorded".to_owned());
    let thickness = plate.thickness.as_ref().map_or("not recorded".to_owned(), |t| t.text.replace("in", " in"));
    let issue = plate.issue.as_ref().map_or(String::new(), |issue| format!(" {issue}"));
    let stamp = plate.stamp.clone().unwrap_or_else(|| format!("{name}{issue}"));
    assert!(model.plates.id(name).is_some());
    json!([
        format!("Drawing: {name}, issue: {}", or(&plate.issue)),
        format!("Material: {}. Thickness: {thickness}.", or(&plate.material)),
        format!("Stamp on the marked face: {stamp}"),
        "Printed: 2024-05-06",
    ])
}

#[test]
fn how_holes_are_made_stands_beside_them_and_in_the_table() {
    let dxf = drawn("J14-09");
    for words in
        ["PLATE J14-09 ISSUE B", "D1 dia 0.3750 ream datum", "B1 dia 0.2500 bush", "L1 dia 0.1285 drill", "made by"]
    {
        assert!(dxf.lines().any(|line| line == words), "`{words}`");
    }
    assert!(drawn("J14-11").contains("drill, ream or bush is not recorded"));
}

#[test]
fn templates_are_read_back_by_ezdxf() {
    let model = demo();
    let folder = tempfile::tempdir().expect("a folder");
    let templates = model.plates.iter().map(|(id, name, plate)| {
        let file = folder.path().join(format!("{name}.dxf"));
        let dxf = modstate::drawing::plate_template(&model, id, "2024-05-06").expect("the plate has holes");
        fs::write(&file, dxf).expect("a file");
        let size = |length: &Length| size(plate, length);
        let holes = plate.holes.iter().map(|hole| json!([size(&hole.at[0]), size(&hole.at[1]), size(&hole.diameter)]));
        let corners = plate.outline.iter().flat_map(|outline| &outline.corners);
        let corners = corners
            .map(|corner| json!([size(&corner.at[0]), size(&corner.at[1]), corner.radius.as_ref().map_or(0.0, size)]));
        json!({
            "file": file.to_str().expect("a name in UTF-8"),
            "unit": if is_in_inches(plate) { "in" } else { "mm" },
            "holes": holes.collect::<Value>(),
            "corners": corners.collect::<Value>(),
            "said": said(&model, name, plate),
        })
    });
    let list = folder.path().join("templates.json");
    fs::write(&list, templates.collect::<Value>().to_string()).expect("a file");
    if let Some(Err(reported)) = crate::python::ask("dxf_oracle.py", &[&list]) {
        panic!("{reported}");
    }
}
