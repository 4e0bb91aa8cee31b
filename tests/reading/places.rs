//! A place in a record is shown where it is written.

use crate::{SAMPLE, read};
use modstate::finding::{FileId, Place, PlaceStep, RecordRef};

/// What stands at a place of the sample.
fn at(index: u32, path: &[PlaceStep]) -> String {
    let reading = read(&[("sample.ron", SAMPLE)]);
    let (file, span) = reading.sources.span(&Place::Record(RecordRef { file: FileId(0), index }, path.to_vec()));
    reading.sources.file(file).text.get(span).expect("spans lie on character boundaries").to_owned()
}

use PlaceStep::{Field, Item};

#[test]
fn a_record_is_shown_by_its_kind_and_first_field() {
    assert_eq!(at(0, &[]), r#"Type(name: "Petrel""#);
    assert_eq!(at(3, &[]), "Drawing");
    assert_eq!(at(5, &[]), r#"Part(number: "60-2202""#);
}

#[test]
fn fields_items_and_arguments_are_found() {
    assert_eq!(at(0, &[Field("airframe")]), r#""60-0000""#);
    assert_eq!(at(1, &[Field("line"), Item(0)]), "1");
    assert_eq!(at(2, &[Field("line"), Item(1), Item(2)]), r#""HB202""#);
    assert_eq!(at(3, &[Field("held"), Item(1)]), r#""B""#);
    assert_eq!(at(3, &[Field("issues"), Item(1), Field("raised_by")]), r#""M014""#);
    assert_eq!(at(4, &[Field("description")]), "r#\"Segment, \"lower\"\"#");
    let when = |index| [Field("positions"), Item(0), Field("candidates"), Item(index), Field("when")];
    let below = |index, more: &[PlaceStep]| at(7, &[&when(index), more].concat());
    assert_eq!(below(0, &[Item(0)]), r#""M014""#);
    assert_eq!(below(1, &[Item(0), Item(1)]), "Retrospective");
    assert_eq!(below(1, &[Item(1), Item(0)]), r#"Serials("HB101..HB110", "HB133")"#);
    assert_eq!(below(1, &[Item(1), Item(0), Item(1)]), r#""HB133""#);
    assert_eq!(below(2, &[Item(1), Item(0)]), r#""M015""#);
    assert_eq!(at(8, &[Field("retrospective"), Field("eligible"), Item(0)]), r#""HB101..HB130""#);
    assert_eq!(at(11, &[Field("girth"), Field("points"), Item(1), Item(0)]), r#""5mm""#);
    assert_eq!(at(18, &[Field("assumes"), Item(0), Item(0)]), r#""M020""#);
}

#[test]
fn what_is_left_out_is_shown_by_the_value_that_should_hold_it() {
    assert_eq!(at(5, &[Field("mass")]), "Part");
    assert_eq!(at(8, &[Field("production"), Field("ranges")]), "production");
    assert_eq!(at(3, &[Field("issues"), Item(0), Field("raised_by")]), r#"(issue: "A""#);
    assert_eq!(at(7, &[Field("positions"), Item(9), Field("find")]), "positions");
    assert_eq!(at(99, &[Field("positions")]), "");
}

#[test]
fn columns_count_characters() {
    let reading = read(&[("a.ron", "[\r\n  // µµ\r\n  Type(name: \"µ\", airframe: \"60\")]")]);
    assert_eq!(reading.findings, vec![]);
    let place = reading.records[0].0.field("airframe");
    let (file, span) = reading.sources.span(&place);
    assert_eq!(reading.sources.line_column(file, span.start), (3, 29));
}
