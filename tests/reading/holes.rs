//! Measured holes in CSV files of their own.

use super::{PLAIN, read};
use modstate::layout::render_findings;
use modstate::schema::{Record, Survey};
use modstate::source::Reading;

const SURVEY: &str = r#"[Survey(id: "V1", jig: "J1", mark: "P7", date: "2024-03-01", instrument: "arm", uncertainty: "0.02mm",
    unit: "mm", holes_from: "surveys/V1.csv")]"#;

fn with(csv: &str) -> Reading {
    read(&[("shop.ron", SURVEY), ("surveys/V1.csv", csv)])
}

fn survey(reading: &Reading) -> &Survey {
    let Record::Survey(survey) = &reading.records[0].1 else { panic!("the record is a survey") };
    survey
}

#[test]
fn columns_are_found_by_their_names() {
    let reading = with("# written by hand\r\ndiameter, y ,ID,x\r\n3.3,2,L1,1\r\n\r\n# a remark\r\n,-4,,3.5\r\n");
    assert_eq!(reading.findings, vec![]);
    let holes = &survey(&reading).holes;
    let said: Vec<_> = holes.iter().map(|h| (h.hole.as_deref(), &*h.x, &*h.y, h.diameter.as_deref())).collect();
    assert_eq!(said, [(Some("L1"), "1", "2", Some("3.3")), (None, "3.5", "-4", None)]);
}

#[test]
fn a_cell_has_its_own_place() {
    let reading = with("id,x,y\nL1,1.5, 2.5\n# remark\n\nL2,3.5,4.5\n");
    let holes = &survey(&reading).holes;
    let at = |hole: usize, field| {
        let (file, span) = reading.sources.span(&holes[hole].place(field, &reading.records[0].0.place()));
        let (line, column) = reading.sources.line_column(file, span.start);
        (reading.sources.file(file).text.get(span).expect("a span lies in its text").to_owned(), line, column)
    };
    assert_eq!(at(0, "y"), ("2.5".to_owned(), 2, 9));
    assert_eq!(at(1, "x"), ("3.5".to_owned(), 5, 4));
    assert_eq!(at(1, "hole"), ("L2".to_owned(), 5, 1));
}

#[test]
fn quoted_cells_are_read_and_placed_on_their_line() {
    let reading = with("id,x,y\n\"L 1, left\",1,2\n");
    let hole = &survey(&reading).holes[0];
    assert_eq!(hole.hole.as_deref(), Some("L 1, left"));
    let (file, span) = reading.sources.span(&hole.place("x", &reading.records[0].0.place()));
    assert_eq!(reading.sources.line_column(file, span.start), (2, 1));
}

#[test]
fn every_bad_line_is_a_finding_and_hides_no_other() {
    let reading = with("id,x,y\nL1,1\nL2,,3\nL3,5,6,7\nL4,8,9\n");
    assert_eq!(survey(&reading).holes.len(), 1);
    insta::assert_snapshot!(render_findings(&reading.findings, &reading.sources, PLAIN));
}

#[test]
fn files_that_give_nothing() {
    let twice = SURVEY.replace("holes_from", "holes: [(x: \"1mm\", y: \"2mm\")], holes_from");
    let outside = SURVEY.replace("surveys/V1.csv", "../V1.csv");
    let mut said = String::new();
    for reading in [
        read(&[("shop.ron", SURVEY)]),
        read(&[("shop.ron", &outside)]),
        read(&[("shop.ron", &twice), ("surveys/V1.csv", "x,y\n1,2\n")]),
        with(""),
        with("x,y\n"),
        with("id;x;y\nL1;1;2\n"),
        with("x,y,x\n1,2,3\n"),
        with("id,x\nL1,2\n"),
    ] {
        assert!(!reading.findings.is_empty());
        said.push_str(&render_findings(&reading.findings, &reading.sources, PLAIN));
        said.push('\n');
    }
    insta::assert_snapshot!(said);
}

#[test]
fn one_file_may_serve_two_surveys() {
    let second = SURVEY.replace("\"V1\"", "\"V2\"");
    let reading = read(&[("a.ron", SURVEY), ("b.ron", &second), ("surveys/V1.csv", "x,y\n1,2\n")]);
    assert_eq!((reading.findings.len(), reading.sources.files().len()), (0, 3));
}
