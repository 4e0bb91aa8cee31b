//! The bill as a workbook, read back by a reader that shares no code with the writer.

use crate::{Project, firm};
use calamine::{Data, Reader, Xlsx};
use modstate::answers::{Asked, Beside, BillView, Picked, bill_csv, bill_workbook};
use modstate::bill::{Bill, BillScope};
use modstate::check::{CheckScope, check};
use modstate::finding::Finding;
use modstate::layout::CAUTION;
use modstate::lower::lower;
use modstate::quantity::Config;
use modstate::resolve::Limits;
use modstate::source::read_texts;
use std::io::Cursor;

const SMALL: &str = include_str!("small.ron");
const SHEETS: [&str; 7] = ["Indented list", "Totals", "Make", "Buy", "Materials", "Open lines", "Findings"];
/// The row of the headings, counted from 0.
const HEADINGS: usize = 3;

/// The bill of an airframe of the small type, with some of its texts replaced, and its workbook.
fn workbook(replaced: &[(&str, &str)]) -> (Project, Bill, Vec<u8>) {
    let text = replaced.iter().fold(SMALL.to_owned(), |text, (old, new)| {
        assert!(text.contains(old), "{old}");
        text.replace(old, new)
    });
    let project = Project::of(&text);
    let mut resolver = project.on("X3", "1950-01-01");
    let asked = Asked::of(&resolver, Picked::Date);
    let bill = modstate::bill::bill(&mut resolver, firm(BillScope::Airframe)).expect("there is a bill");
    drop(resolver);
    let reading = read_texts(vec![("all.ron".into(), text)]);
    let (model, _) = lower(&reading.records, &reading.lost, &Config::built_in());
    let findings: Vec<Finding> = check(&reading.lost, &model, &project.graph, CheckScope::Whole, Limits::default());
    let beside =
        Beside { asked: &asked, differing: &[], not_read: &[], findings: &findings, sources: &reading.sources };
    let bytes = bill_workbook(&bill, &project.model, &beside).expect("it fits");
    (project, bill, bytes)
}

fn read(bytes: &[u8]) -> Xlsx<Cursor<Vec<u8>>> {
    calamine::open_workbook_from_rs(Cursor::new(bytes.to_vec())).expect("a workbook")
}

fn rows(workbook: &mut Xlsx<Cursor<Vec<u8>>>, sheet: &str) -> Vec<Vec<Data>> {
    workbook.worksheet_range(sheet).expect("the sheet is there").rows().map(<[Data]>::to_vec).collect()
}

fn plain(cell: &Data) -> String {
    cell.to_string()
}

/// What the CSV says, without its own column and without what keeps its cells from being formulas.
fn in_csv(project: &Project, bill: &Bill, view: BillView) -> Vec<Vec<String>> {
    let text = bill_csv(bill, &project.model, view, &[]);
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let lines = reader.records().map(|record| record.expect("a record")).filter(|record| &record[0] == "line");
    let bare = |cell: &str| cell.strip_prefix('\'').unwrap_or(cell).to_owned();
    lines.map(|line| line.iter().skip(1).map(bare).collect()).collect()
}

#[test]
fn a_workbook_says_what_the_csv_says() {
    let (project, bill, bytes) = workbook(&[]);
    let mut workbook = read(&bytes);
    assert_eq!(workbook.sheet_names(), SHEETS);
    let views =
        [BillView::Tree, BillView::Flat, BillView::Make, BillView::Buy, BillView::Material].into_iter().zip(SHEETS);
    for (view, sheet) in views {
        let all = rows(&mut workbook, sheet);
        let csv = in_csv(&project, &bill, view);
        assert_eq!(all.len(), HEADINGS + 1 + csv.len(), "{sheet}");
        for (row, line) in all[HEADINGS + 1..].iter().zip(&csv) {
            for (cell, wanted) in row.iter().zip(line) {
                let same = match calamine::DataType::get_float(cell) {
                    Some(value) => wanted.parse() == Ok(value),
                    None => plain(cell) == *wanted,
                };
                assert!(same, "{sheet}: {cell:?} for {wanted}");
            }
        }
    }
}

#[test]
fn every_sheet_has_its_headings_with_units_and_the_caution() {
    let (_, _, bytes) = workbook(&[]);
    let mut workbook = read(&bytes);
    for sheet in SHEETS {
        let all = rows(&mut workbook, sheet);
        assert!(plain(&all[0][0]).starts_with("Bill of parts: X3 as at 1 Jan 1950"), "{:?}", all[0]);
        assert_eq!(plain(&all[2][0]), CAUTION, "{sheet}");
        let headings: Vec<String> = all[HEADINGS].iter().map(plain).collect();
        assert!(headings.iter().all(|heading| !heading.is_empty()), "{sheet}: {headings:?}");
        for heading in headings.iter().filter(|heading| heading.contains("mass") || heading.contains("Least")) {
            assert!(heading.ends_with(')'), "{sheet}: {heading} has no unit");
        }
    }
}

#[test]
fn open_lines_are_those_of_the_tree_that_are_not_settled() {
    let (_, _, bytes) = workbook(&[]);
    let mut workbook = read(&bytes);
    let state = |rows: &[Vec<Data>]| rows[HEADINGS].iter().position(|cell| plain(cell) == "State").expect("a column");
    let tree = rows(&mut workbook, "Indented list");
    let at = state(&tree);
    let open: Vec<_> = tree[HEADINGS + 1..].iter().filter(|row| plain(&row[at]) != "settled").cloned().collect();
    assert!(!open.is_empty() && open.len() < tree.len() - HEADINGS - 1, "some are open");
    assert_eq!(rows(&mut workbook, "Open lines")[HEADINGS + 1..], open);
}

#[test]
fn no_cell_is_a_formula_whatever_the_dossiers_hold() {
    let hostile = ["=1+1", "+2", "-3", "@SUM(A1)", "=HYPERLINK(\\\"x\\\")", "{=1}", "'=1", "_x003D_1", "\\t=1", "0012"];
    for written in hostile {
        let quoted = format!("description: \"{written}\"");
        let (_, _, bytes) = workbook(&[("description: \"Pump\"", &quoted)]);
        let mut workbook = read(&bytes);
        let wanted = written.replace("\\\"", "\"").replace("\\t", "\t");
        let mut seen = 0;
        for sheet in SHEETS {
            let formulas = workbook.worksheet_formula(sheet).expect("the sheet is there");
            assert_eq!(formulas.used_cells().count(), 0, "{sheet}: {written}");
            let all = rows(&mut workbook, sheet);
            seen += all.iter().flatten().filter(|cell| matches!(cell, Data::String(text) if *text == wanted)).count();
        }
        assert!(seen >= 3, "`{written}` stands as it was written in tree, flat and buy, not {seen} times");
    }
}

#[test]
fn a_text_too_long_for_a_cell_says_so() {
    let long = format!("description: \"{}\"", "long ".repeat(10_000));
    let (_, _, bytes) = workbook(&[("description: \"Pump\"", &long)]);
    let buy = rows(&mut read(&bytes), "Buy");
    let texts: Vec<String> = buy.iter().flatten().map(plain).filter(|text| text.starts_with("long ")).collect();
    assert!(texts.iter().all(|text| text.ends_with("the rest is in the CSV]") && text.len() <= 32_767));
    assert_eq!(texts.len(), 1);
}

#[test]
fn the_same_bill_gives_the_same_bytes() {
    assert_eq!(workbook(&[]).2, workbook(&[]).2);
}
