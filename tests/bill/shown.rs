//! How a bill looks in each view and format.

use crate::{PLAIN, Project, firm};
use modstate::answers::{BillView, bill_csv, bill_json, bill_page};
use modstate::bill::{Bill, BillScope, Request, bill};
use modstate::layout::{CAUTION, Style};
use modstate::resolve::{Basis, IssueView, Limits, Target};

const SMALL: &str = include_str!("small.ron");
const VIEWS: [BillView; 5] = [BillView::Tree, BillView::Flat, BillView::Make, BillView::Buy, BillView::Material];

fn all_views(project: &Project, bill: &Bill) -> String {
    VIEWS.map(|view| bill_page(bill, &project.model, view).plain().text(PLAIN)).join("\n\n")
}

/// Frame 14 of the airframe on the floor of the demo, in its named build state.
fn frame_14(project: &Project) -> Bill {
    let airframe = &project.model.airframes[project.model.airframes.id("7C537").expect("it is in the demo")];
    let state = airframe.build_states.id("rebuild").expect("it is in the demo");
    let target = Target { day: airframe.build_states[state].date, build_state: Some(state) };
    let mut resolver = project.resolver("7C537", target, Limits::default());
    let frame = project.model.frames.id("F14").expect("it is in the demo");
    bill(&mut resolver, firm(BillScope::Frame(frame))).expect("it has a bill")
}

#[test]
fn every_view_of_a_settled_bill() {
    let project = Project::of(SMALL);
    insta::assert_snapshot!(all_views(&project, &project.bill("X2", "1950-01-01", BillScope::Airframe).unwrap()));
}

#[test]
fn every_view_of_an_open_bill() {
    let project = Project::of(SMALL);
    insta::assert_snapshot!(all_views(&project, &project.bill("X3", "1950-01-01", BillScope::Airframe).unwrap()));
}

#[test]
fn every_view_of_a_frame() {
    let project = Project::demo();
    insta::assert_snapshot!(all_views(&project, &frame_14(&project)));
}

#[test]
fn a_bill_as_fitted_in_ascii() {
    let project = Project::of(SMALL);
    let mut resolver = project.on("X1", "1950-01-01");
    let request =
        Request { scope: BillScope::Airframe, basis: Basis::Held, issues: IssueView::AsFitted, weights: true };
    let bill = bill(&mut resolver, request).unwrap();
    let text = bill_page(&bill, &project.model, BillView::Tree).plain().text(Style { unicode: false, ..PLAIN });
    assert!(text.is_ascii(), "{text}");
    insta::assert_snapshot!(text);
}

#[test]
fn no_line_is_wider_than_asked() {
    let project = Project::demo();
    let bill = frame_14(&project);
    for width in [60, 72, 80, 120] {
        for view in VIEWS {
            let text = bill_page(&bill, &project.model, view).plain().text(Style { width, ..PLAIN });
            assert!(text.lines().all(|line| line.chars().count() <= width), "{width} {view:?}:\n{text}");
        }
    }
}

#[test]
fn csv_can_be_read_back_and_starts_no_formula() {
    let project = Project::of(SMALL);
    let bill = project.bill("X3", "1950-01-01", BillScope::Airframe).unwrap();
    for view in VIEWS {
        let text = bill_csv(&bill, &project.model, view, &[]);
        let lines = text.matches("\r\n").count();
        assert_eq!(text.matches('\n').count(), lines, "every line ends with CRLF");
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let header = reader.headers().unwrap().clone();
        let records: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        assert_eq!(records.len() + 1, lines, "{view:?}");
        for cell in records.iter().flatten() {
            assert!(!cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{cell}");
        }
        let caution = records.last().unwrap();
        assert_eq!((&caution[0], &caution[1]), ("caution", CAUTION));
        if view == BillView::Flat {
            let column = |name: &str| header.iter().position(|column| column == name).unwrap();
            let doubler = records.iter().find(|record| &record[column("part")] == "70-113").unwrap();
            let read = doubler[column("description")].strip_prefix('\'');
            assert_eq!(read, Some("=Doubler, \"flat\""));
            assert_eq!([&doubler[column("least")], &doubler[column("most")]], ["0", "3"]);
            assert_eq!(&doubler[column("state")], "open");
        }
    }
    insta::assert_snapshot!(bill_csv(&bill, &project.model, BillView::Tree, &[]).replace("\r\n", "\n"));
}

#[test]
fn json_tells_what_is_open() {
    let project = Project::of(SMALL);
    let position = project.model.positions.id("70-110/20").unwrap();
    let bill = project.bill("X3", "1950-01-01", BillScope::Position(position)).unwrap();
    let json = bill_json(&bill, &project.model);
    insta::assert_snapshot!(serde_json::to_string_pretty(&json).unwrap());
}
