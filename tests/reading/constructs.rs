//! Every construct of the records is read as it is meant.

use crate::{SAMPLE, read};
use modstate::schema::{
    Condition, Form, Girth, GirthPosition, Hand, Joining, Lean, Level, Line, Offset, Ordinates, PathPoint, Plane,
    Policy, PostArguments, Record, Sides, Statement,
};

fn sample() -> Vec<Record> {
    let reading = read(&[("sample.ron", SAMPLE)]);
    assert_eq!(reading.findings, vec![]);
    reading.records.into_iter().map(|(_, record)| record).collect()
}

fn post(modification: &str, by: Option<Form>) -> PostArguments {
    PostArguments { modification: modification.to_owned(), by }
}

#[test]
fn conditions_are_read_in_the_form_of_the_trade() {
    let records = sample();
    let assembly =
        records.iter().find_map(|record| if let Record::Assembly(assembly) = record { Some(assembly) } else { None });
    let position = &assembly.expect("the sample holds an assembly").positions[0];
    let when = |index: usize| position.candidates[index].when.as_ref().expect("each candidate has a condition");
    assert_eq!(*when(0), Condition::Pre("M014".to_owned()));
    let Condition::All(all) = when(1) else { panic!("{:?}", when(1)) };
    assert_eq!(all[0], Condition::Post(post("M014", Some(Form::Retrospective))));
    let Condition::Not(not) = &all[1] else { panic!("{:?}", all[1]) };
    let Condition::Serials(serials) = &**not else { panic!("{not:?}") };
    assert_eq!(serials.0, ["HB101..HB110", "HB133"]);
    assert_eq!(position.nothing_when, Some(Condition::Post(post("M020", None))));
}

#[test]
fn lines_girths_statements_and_options_are_read() {
    let records = sample();
    let Record::SerialBlock(block) = &records[2] else { panic!("{:?}", records[2]) };
    let order = ["HB203..HB220", "HB201", "HB202"].map(str::to_owned).to_vec();
    assert_eq!(block.line, Some(Line::Order(61, order)));
    let Record::Part(part) = &records[4] else { panic!("{:?}", records[4]) };
    assert_eq!((part.hand, part.description.as_str()), (Some(Hand::Port), "Segment, \"lower\""));
    let frames =
        records.iter().filter_map(|record| if let Record::Frame(frame) = record { Some(&frame.girth) } else { None });
    let frames: Vec<_> = frames.collect();
    let [Girth::Ellipse { half_height, .. }, Girth::Polyline { points, closed: false }, ..] = frames[..] else {
        panic!("two frames");
    };
    assert_eq!(half_height, "16 1/2in");
    let point =
        |x: &str, y: &str, radius: Option<&str>| PathPoint(x.to_owned(), y.to_owned(), radius.map(str::to_owned));
    assert_eq!(points[1], point("5mm", "-10mm", None));
    let [
        ..,
        Girth::Polyline { points, .. },
        Girth::Offsets { given: Sides::OneSide, joined: Joining::Fair, rows, .. },
        _,
    ] = frames[..]
    else {
        panic!("frames of every kind");
    };
    assert_eq!(points[1..], [point("9in", "10in", Some("2in")), point("9in", "-10in", Some("1/2in"))]);
    assert_eq!(rows[2], Offset::Waterline("-6in".to_owned(), "8 1/4in".to_owned()));
    let of = |name: &str| {
        records.iter().find_map(|record| {
            if let Record::Frame(frame) = record { Some(frame).filter(|f| f.name == name) } else { None }
        })
    };
    let (f23, f24, f25) = (of("F23").expect("F23"), of("F24").expect("F24"), of("F25").expect("F25"));
    assert_eq!(f23.plane, Plane::Upright);
    assert_eq!(f24.splice_points[0].at, GirthPosition::Height("4in".to_owned(), Hand::Starboard));
    let upper = GirthPosition::Breadth("3in".to_owned(), Hand::Starboard, Some(Level::Upper));
    assert_eq!(f24.splice_points[1].at, upper);
    assert_eq!(f25.splice_points[0].at, GirthPosition::Breadth("3in".to_owned(), Hand::Port, None));
    let below = Lean::Forward("12.5deg".to_owned());
    let knuckle = "-3in".to_owned();
    assert_eq!(f25.plane, Plane::Cranked { knuckle, above: Lean::Upright, below, ordinates: Ordinates::InPlane });
    let claims =
        records.iter().filter_map(|record| if let Record::Claim(claim) = record { Some(&claim.says) } else { None });
    let (position, frame) = ("60-2200/10".to_owned(), "F22".to_owned());
    let wanted = [
        Statement::Embodied(post("M014", Some(Form::Retrospective))),
        Statement::SeenPart(position.clone(), "60-2205".to_owned()),
        Statement::Removed("M014".to_owned()),
        Statement::SeenNothing(position),
        Statement::SeenSplice(frame.clone(), "S1".to_owned()),
        Statement::SeenNoSplice(frame, "S2".to_owned()),
        Statement::SeenPattern("JP-2204".to_owned()),
    ];
    assert!(claims.eq(&wanted));
    let mut that = records
        .iter()
        .filter_map(|record| if let Record::Assumption(made) = record { Some(&made.assumes) } else { None });
    assert_eq!(that.next_back(), Some(&Policy::That(Statement::NotEmbodied("M020".to_owned()))));
}

#[test]
fn a_file_may_be_empty_or_hold_only_comments() {
    for text in ["", "\u{FEFF}", "  \r\n", "// nothing yet\n", "/* nothing\n yet */", "[]", "[ // nothing\n]"] {
        let reading = read(&[("a.ron", text)]);
        assert_eq!((reading.records.len(), reading.findings), (0, vec![]), "{text:?}");
    }
}

#[test]
fn a_byte_order_mark_windows_line_ends_and_attributes_change_nothing() {
    let plain = read(&[("a.ron", SAMPLE)]);
    let marked = format!("\u{FEFF}#![enable(implicit_some)]\r\n{}", SAMPLE.replace('\n', "\r\n"));
    let windows = read(&[("a.ron", &marked)]);
    assert_eq!(windows.findings, vec![]);
    assert_eq!(windows.records.len(), plain.records.len());
    assert_eq!(windows.records[5..], plain.records[5..]);
}

#[test]
fn every_record_that_is_written_as_text_reads_back_as_it_was() {
    for record in sample() {
        let fields = record.fields();
        let fields: Vec<String> = fields.iter().map(|(name, value)| format!("{name}: {value}")).collect();
        let text = format!("[{}({})]", record.kind(), fields.join(", "));
        let reading = read(&[("type.ron", &text)]);
        assert_eq!(reading.findings, vec![], "{text}");
        assert_eq!(reading.records[0].1, record, "{text}");
    }
}
