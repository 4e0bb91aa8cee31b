//! Sheets taken in: what spreadsheets do to data is found, cell by cell. All data are invented.

use modstate::finding::Finding;
use modstate::layout::{Style, render_findings};
use modstate::quantity::Config;
use modstate::schema::Record;
use modstate::sheets::{Fate, GivenSheet, Intake, IntakeKind, Mapping, take};
use modstate::source::{Sources, read_texts};
use rust_xlsxwriter::{ExcelDateTime, Format, Workbook, Worksheet};
use std::path::Path;

/// What a sheet comes to, beside a dossier.
struct Taken {
    intake: Intake,
    sources: Sources,
    text: String,
}

fn taken(name: &str, bytes: &[u8], kind: IntakeKind, mapping: &str, dossier: &str) -> Taken {
    let reading = read_texts(vec![("known.ron".into(), dossier.to_owned())]);
    assert_eq!(reading.findings, vec![]);
    let mapping = Mapping::read(mapping, kind).expect("the mapping can be read");
    let sheet = GivenSheet { path: Path::new(name), bytes, name: None, kind, mapping: &mapping };
    let mut sources = reading.sources;
    let intake = take(&sheet, &Config::built_in(), &reading.records, &mut sources, &|_, _| ());
    let text = intake.text(&sheet);
    Taken { intake, sources, text }
}

fn csv(text: &str, kind: IntakeKind) -> Taken {
    taken("list.csv", text.as_bytes(), kind, "()", "[]")
}

fn workbook(kind: IntakeKind, fill: impl Fn(&mut Worksheet)) -> Taken {
    let mut workbook = Workbook::new();
    fill(workbook.add_worksheet());
    taken("list.xlsx", &workbook.save_to_buffer().expect("it is small"), kind, "()", "[]")
}

impl Taken {
    /// The codes of the findings and the places that they point at first.
    fn found(&self) -> Vec<(&'static str, String)> {
        let at = |finding: &Finding| {
            let (file, span) = self.sources.span(&finding.labels[0].place);
            self.sources.file(file).text.get(span).expect("a span lies in its text").to_owned()
        };
        self.intake.findings.iter().map(|finding| (finding.code.entry().code, at(finding))).collect()
    }
    fn fates(&self) -> Vec<(u32, Fate)> {
        self.intake.rows.iter().map(|row| (row.number, row.fate)).collect()
    }
    fn messages(&self) -> String {
        self.intake.findings.iter().flat_map(|finding| [finding.message.as_str(), "\n"]).collect()
    }
    fn shown(&self) -> String {
        render_findings(&self.intake.findings, &self.sources, Style { width: 80, colour: false, unicode: true })
    }
}

const HEAD: &str = "Part number,Description,Source,Thickness\n";

fn parts(rows: &str) -> Taken {
    csv(&format!("{HEAD}{rows}"), IntakeKind::Parts)
}

#[test]
fn a_protective_finish_has_its_column() {
    let got = csv(
        "Part number,Description,Source,Protective finish\nX-1,Rib,Made,\"Anodised, etch primer\"\nX-2,Pump,Bought,\n",
        IntakeKind::Parts,
    );
    assert_eq!(got.found(), vec![]);
    let finish = |record: &Record| {
        let Record::Part(part) = record else { panic!("{record:?} is no part") };
        part.finish.clone()
    };
    let read: Vec<_> = got.intake.records.iter().map(finish).collect();
    assert_eq!(read, [Some("Anodised, etch primer".to_owned()), None]);
}

#[test]
fn a_clean_sheet_gives_its_records_and_no_finding() {
    let got = parts("X-1,\"Rib, \"\"nose\"\"\",made,18swg\n\nX-2,Pump,Bought,\n0034,Washer,standard,\n");
    assert_eq!(got.found(), vec![]);
    assert_eq!(got.fates(), [(2, Fate::New), (4, Fate::New), (5, Fate::New)], "an empty line is a row");
    let reading = read_texts(vec![("new.ron".into(), got.text.clone())]);
    assert_eq!(reading.findings, vec![]);
    let read: Vec<_> = reading.records.into_iter().map(|(_, record)| record).collect();
    assert_eq!(read, got.intake.records);
    insta::assert_snapshot!(got.text);
}

#[test]
fn taking_a_sheet_in_again_changes_nothing() {
    let sheet = format!("{HEAD}X-1,Rib,Made,18swg\nX-2,Pump,Bought,\n");
    let first = csv(&sheet, IntakeKind::Parts);
    let second = taken("list.csv", sheet.as_bytes(), IntakeKind::Parts, "()", &first.text);
    assert_eq!(second.fates(), [(2, Fate::Known), (3, Fate::Known)]);
    assert_eq!((second.intake.records.len(), second.found().len()), (0, 0));
    let noted = first.text.replace("source: Made,", "source: Made, note: \"Seen.\", mass: \"1kg\",");
    let third = taken("list.csv", sheet.as_bytes(), IntakeKind::Parts, "()", &noted);
    assert_eq!(third.found(), vec![], "what was added by hand in fields that the sheet lacks is left alone");
}

#[test]
fn a_record_that_differs_stays_and_is_found() {
    let sheet = format!("{HEAD}X-1,Rib,Made,18swg\n");
    let dossier = "[Part(number: \"X-1\", description: \"Rib\", source: Made, thickness: \"20swg\")]";
    let got = taken("list.csv", sheet.as_bytes(), IntakeKind::Parts, "()", dossier);
    assert_eq!(got.found(), [("sheet-210", "X-1".to_owned())]);
    assert_eq!((got.fates(), got.intake.records.len()), (vec![(2, Fate::Aside)], 0));
    assert!(got.messages().contains("differs from its record in `thickness`"), "{}", got.messages());
    assert_eq!(got.intake.findings[0].labels.len(), 2);
}

#[test]
fn numbers_and_dates_that_spreadsheets_make_of_names_are_set_aside() {
    for name in ["34.0", "1.2E+05", "3-Apr", "Apr-34", "2026-04-03", "03/04/2026", "2026-04-03 00:00:00"] {
        let got = parts(&format!("{name},Rib,Made,18swg\nX-2,Rib,Made,18swg\n"));
        assert_eq!(got.found(), [("sheet-203", name.to_owned())], "{name}");
        assert_eq!(got.fates(), [(2, Fate::Aside), (3, Fate::New)]);
        assert!(got.messages().starts_with("`A2` is `"), "{}", got.messages());
    }
    for name in ["3-4", "27-1452", "34", "L3", "3-April-7", "1-2-3", "E-5", "34.5", "12/4"] {
        assert_eq!(parts(&format!("{name},Rib,Made,18swg\n")).found(), vec![], "{name}");
    }
    let lost = parts("0034,Rib,Made,18swg\n35,Rib,Made,18swg\n1036,Rib,Made,18swg\n");
    assert_eq!(lost.found(), [("sheet-203", "35".to_owned())], "its zeros are lost");
}

#[test]
fn typed_cells_of_a_workbook_are_not_taken_for_names_or_dates() {
    let day = Format::new().set_num_format("yyyy-mm-dd");
    let date = |year, month, day| ExcelDateTime::from_ymd(year, month, day).expect("a date");
    let got = workbook(IntakeKind::Modifications, |sheet| {
        for (at, heading) in (0..).zip(["Number", "Title", "Leaflet date"]) {
            sheet.write_string(0, at, heading).unwrap();
        }
        for row in 1..=8 {
            sheet.write_string(row, 0, format!("M{row}")).unwrap();
            sheet.write_string(row, 1, "Something").unwrap();
        }
        sheet.write_number(1, 0, 34.0).unwrap();
        sheet.write_datetime_with_format(2, 0, date(2026, 4, 3), &day).unwrap();
        sheet.write_number(3, 2, 15_410.0).unwrap();
        sheet.write_number_with_format(4, 2, 0.0, &day).unwrap();
        sheet.write_datetime_with_format(5, 2, date(1942, 3, 1), &day).unwrap();
        sheet.write_datetime_with_format(6, 2, date(1942, 3, 10), &day).unwrap();
        sheet.write_string(7, 2, "1942-03").unwrap();
        sheet.write_boolean(8, 2, true).unwrap();
    });
    let codes: Vec<&str> = got.found().into_iter().map(|(code, _)| code).collect();
    assert_eq!(
        codes,
        ["sheet-203", "sheet-203", "sheet-203", "sheet-203", "sheet-203", "sheet-204"],
        "{}",
        got.messages()
    );
    for address in ["`A2`", "`A3`", "`C4`", "`C5`", "`C6`", "`C9`"] {
        assert!(got.messages().contains(address), "{address}\n{}", got.messages());
    }
    let new: Vec<u32> = got.fates().into_iter().filter(|(_, fate)| *fate == Fate::New).map(|(row, _)| row).collect();
    assert_eq!(new, [7, 8]);
    assert!(got.text.contains("leaflet_date: \"1942-03-10\"") && got.text.contains("leaflet_date: \"1942-03\""));
    insta::assert_snapshot!(got.shown());
}

#[test]
fn values_that_do_not_fit_are_set_aside() {
    let got = parts("X-1,Rib,Manufactured,18swg\nX-2,Rib,Made,about 1mm\n");
    assert_eq!(got.found(), [("sheet-204", "Manufactured".to_owned()), ("sheet-204", "about 1mm".to_owned())]);
    let got = csv("number,title,leaflet_date\nM1,A,10/03/42\nM2,B,1942-13\nM3,C,1942\n", IntakeKind::Modifications);
    assert_eq!(got.found(), [("sheet-204", "10/03/42".to_owned()), ("sheet-204", "1942-13".to_owned())]);
}

const REGISTER: &str = "number,part,title,class,leaflet_date,form,position,delete,introduce\n";

#[test]
fn rows_of_one_modification_make_one_record() {
    let rows = "M1,,Door,B,1942-03,,60-1/10,60-2,60-3; 60-4\nM1,,,,,Production,60-1/20,60-5,\n\
                M1,A,Sill,,1942-05,,,,\nM1,A,,,,,,60-6,60-7\nM1,B,Lock,B,,,,,\nM2,,Hatch,,,,,,\n";
    let got = csv(&format!("{REGISTER}{rows}"), IntakeKind::Modifications);
    assert_eq!((got.messages(), got.intake.records.len()), (String::new(), 2));
    insta::assert_snapshot!(got.text);
}

#[test]
fn rows_of_one_modification_that_contradict_are_set_aside_together() {
    let rows = "M1,,Door,B,1942-03,,,,\nM1,,Dore,,,,60-1/10,60-2,\nM1,A,Sill,C,,,,,\nM1,A,Lock,,,,,,\n\
                M2,A,Sill,,,,,,\nM3,,Hatch,,,,60-1/20,,\nM4,,Sash,,,,,,\n";
    let got = csv(&format!("{REGISTER}{rows}"), IntakeKind::Modifications);
    let aside: Vec<u32> = got.fates().into_iter().filter(|(_, f)| *f == Fate::Aside).map(|(row, _)| row).collect();
    assert_eq!((aside, got.intake.records.len()), (vec![2, 3, 4, 5, 6, 7], 1));
    insta::assert_snapshot!(got.shown());
}

#[test]
fn a_row_that_a_comma_cut_is_set_aside() {
    let got =
        csv("Part number,Description,Source,Thickness (mm)\nX-1,Rib,Made,1,6\nX-2,Rib,Made,2\n", IntakeKind::Parts);
    assert_eq!(got.found(), [("sheet-204", "6".to_owned())]);
    assert_eq!(got.fates(), [(2, Fate::Aside), (3, Fate::New)], "the first half of 1,6 is no thickness");
}

#[test]
fn units_missing_or_mixed_are_set_aside() {
    assert_eq!(parts("X-1,Rib,Made,1.2\nX-2,Rib,Made,1.2mm\n").found(), [("sheet-205", "1.2".to_owned())]);
    let head = "survey,jig,mark,date,instrument,uncertainty,x (mm),y\n";
    let row = "V1,J1,P1,2020-01-02,Arm,0.01mm";
    let got = csv(&format!("{head}{row},1.5,2mm\n{row},1.5mm,3mm\n"), IntakeKind::HoleSurveys);
    assert_eq!((got.found(), got.intake.records.len()), (vec![], 1));
    assert!(got.text.contains("(x: \"1.5mm\", y: \"2mm\")"), "{}", got.text);
    let got = csv(&format!("{head}{row},1.5in,2mm\n{row},1.5,0.1in\n{row},1,2mm\n"), IntakeKind::HoleSurveys);
    assert_eq!(got.found(), [("sheet-205", "1.5in".to_owned()), ("sheet-205", "0.1in".to_owned())]);
    assert!(got.fates().iter().all(|(_, fate)| *fate == Fate::Aside), "a survey is taken in whole or not at all");
}

#[test]
fn cells_that_must_be_filled_are_found_empty() {
    let got = parts("X-1,,Made,18swg\nX-2,Rib,Made,\n");
    assert_eq!(got.found(), [("sheet-206", "X-1".to_owned())]);
    assert_eq!(got.messages(), "`B2`: `description` is empty\n");
}

#[test]
fn blanks_that_nobody_sees_are_set_aside_unless_the_mapping_takes_them_away() {
    let sheet = format!("{HEAD}X-1 ,Rib,Made,18swg\n");
    assert_eq!(csv(&sheet, IntakeKind::Parts).found(), [("sheet-207", "X-1 ".to_owned())]);
    let trimmed = taken("list.csv", sheet.as_bytes(), IntakeKind::Parts, "(trim_blanks: true)", "[]");
    assert_eq!(trimmed.found(), vec![]);
    assert!(trimmed.text.contains("number: \"X-1\""));
}

#[test]
fn merged_cells_are_set_aside() {
    let got = workbook(IntakeKind::Parts, |sheet| {
        for (at, heading) in (0..).zip(["Part number", "Description", "Source"]) {
            sheet.write_string(0, at, heading).unwrap();
        }
        for row in 1..=4 {
            sheet.write_string(row, 0, format!("X-{row}")).unwrap();
            sheet.write_string(row, 1, "Rib").unwrap();
            sheet.write_string(row, 2, "Made").unwrap();
        }
        sheet.merge_range(2, 1, 3, 1, "Ribs", &Format::new()).unwrap();
    });
    let codes: Vec<&str> = got.found().into_iter().map(|(code, _)| code).collect();
    assert!(codes.iter().all(|code| *code == "sheet-208") && codes.len() == 2, "{}", got.messages());
    assert!(got.messages().contains("`B3:B4` are merged"));
    assert_eq!(got.intake.records.len(), 2);
}

#[test]
fn a_record_twice_in_a_sheet_is_found() {
    let got = parts("X-1,Rib,Made,18swg\nX-1,Rib,Made,18swg\n");
    assert_eq!((got.found(), got.intake.records.len()), (vec![("sheet-209", "X-1".to_owned())], 1));
}

#[test]
fn columns_are_found_by_name_or_by_the_mapping() {
    let sheet = b"Teil;Was;Lade\nX-1;Rippe;7\n";
    let missing = taken("list.csv", sheet, IntakeKind::Parts, "()", "[]");
    let missing: Vec<&str> = missing.found().into_iter().map(|(code, _)| code).collect();
    assert_eq!(missing, ["sheet-202", "sheet-202", "sheet-202"]);
    let mapping =
        "(columns: [(\"Teil\", \"number\"), (\"Was\", \"description\")], constants: [(\"source\", \"Made\")])";
    let got = taken("list.csv", sheet, IntakeKind::Parts, mapping, "[]");
    assert_eq!(got.found(), [("sheet-211", "Lade".to_owned())]);
    assert_eq!(got.intake.records.len(), 1);
    let twice = csv("number,part no,description,source\nX-1,X-1,Rib,Made\n", IntakeKind::Parts);
    assert_eq!(twice.found(), [("sheet-202", "part no".to_owned())]);
    assert!(Mapping::read("(columns: [(\"Teil\", \"nummer\")])", IntakeKind::Parts).is_err());
    assert!(Mapping::read("(colums: [])", IntakeKind::Parts).is_err());
}

#[test]
fn what_is_no_sheet_is_a_finding() {
    for (name, bytes) in
        [("a.xlsx", b"no workbook".as_slice()), ("a.csv", b"number\n\xff"), ("a.csv", b""), ("a.csv", b"\n\n")]
    {
        let got = taken(name, bytes, IntakeKind::Parts, "()", "[]");
        let codes: Vec<&str> = got.found().into_iter().map(|(code, _)| code).collect();
        assert_eq!(codes, ["sheet-201"], "{name} {bytes:?}");
        assert!(!got.shown().is_empty());
    }
    let mut workbook = Workbook::new();
    workbook.add_worksheet();
    workbook.add_worksheet();
    let got = taken("a.xlsx", &workbook.save_to_buffer().unwrap(), IntakeKind::Parts, "()", "[]");
    assert!(got.messages().contains("has several sheets"), "{}", got.messages());
}
