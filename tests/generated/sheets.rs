//! Made-up projects exported to sheets and taken in again; sheets with random changes.

use crate::project::random::Random;
use crate::project::{Spec, project};
use modstate::quantity::Config;
use modstate::schema::{LeafletChange, Line, Production, Record, Retrospective};
use modstate::sheets::{Fate, GivenSheet, IntakeKind, Mapping, take};
use modstate::source::{Reading, read_texts};
use rust_xlsxwriter::Workbook;
use std::io::Write as _;
use std::path::Path;

pub(crate) type Rows = Vec<Vec<String>>;

fn headings(names: &[&str]) -> Vec<String> {
    names.iter().map(|name| (*name).to_owned()).collect()
}

pub(crate) fn part_rows(records: &[Record]) -> Rows {
    let head = "number,description,source,hand,opposite_of,drawing,material,temper,thickness,mass";
    let mut rows = vec![headings(&head.split(',').collect::<Vec<_>>())];
    for record in records {
        let Record::Part(p) = record else { continue };
        let hand = p.hand.map(|hand| format!("{hand:?}"));
        let source = format!("{:?}", p.source);
        let rest = [&hand, &p.opposite_of, &p.drawing, &p.material, &p.temper, &p.thickness, &p.mass];
        let rest = rest.into_iter().map(|cell| cell.clone().unwrap_or_default());
        rows.push([p.number.clone(), p.description.clone(), source].into_iter().chain(rest).collect());
    }
    rows
}

/// What a modification and a part of one both have: what it is called, what it hangs on, its two forms.
struct Own<'m> {
    title: &'m str,
    class: &'m Option<String>,
    leaflet: &'m Option<String>,
    hangs_on: [&'m [String]; 3],
    production: &'m Option<Production>,
    retrospective: &'m Option<Retrospective>,
}

/// A row for the modification, one for each part, and one for each change that its leaflet makes; with `filled`, the
/// rows of changes say again what the row above them says.
fn mod_rows(records: &[Record], filled: bool) -> Rows {
    let head = "number,part,title,class,leaflet,requires,excludes,supersedes,cut_in,line,ranges,production_except,\
                leaflet_date,eligible,retrospective_except,form,position,delete,introduce";
    let mut rows = vec![headings(&head.split(',').collect::<Vec<_>>())];
    for record in records {
        let Record::Modification(m) = record else { continue };
        let own = Own {
            title: &m.title,
            class: &m.class,
            leaflet: &m.leaflet,
            hangs_on: [&m.requires, &m.excludes, &m.supersedes],
            production: &m.production,
            retrospective: &m.retrospective,
        };
        rows.extend(own_rows(&m.number, "", &own, &m.changes, filled));
        for part in &m.parts {
            let own = Own {
                title: part.title.as_deref().unwrap_or_default(),
                class: &None,
                leaflet: &None,
                hangs_on: [&part.requires, &part.excludes, &part.supersedes],
                production: &part.production,
                retrospective: &part.retrospective,
            };
            rows.extend(own_rows(&m.number, &part.part, &own, &part.changes, filled));
        }
    }
    rows
}

fn own_rows(number: &str, part: &str, own: &Own<'_>, changes: &[LeafletChange], filled: bool) -> Rows {
    let list = |all: &[String]| all.join("; ");
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    let mut row = vec![own.title.to_owned(), text(own.class), text(own.leaflet)];
    row.extend(own.hangs_on.map(list));
    row.extend(own.production.as_ref().map_or_else(
        || vec![String::new(); 4],
        |p| {
            let line: Vec<String> = p.line.iter().map(|cut| format!("{} {}", cut.factory, cut.number)).collect();
            vec![list(&p.from), line.join("; "), list(&p.ranges), list(&p.except)]
        },
    ));
    row.extend(own.retrospective.as_ref().map_or_else(
        || vec![String::new(); 3],
        |r| vec![r.leaflet_date.clone(), list(r.eligible.as_deref().unwrap_or_default()), list(&r.except)],
    ));
    let whole = |own: &[String], rest: [String; 4]| -> Vec<String> {
        [number.to_owned(), part.to_owned()].into_iter().chain(own.iter().cloned()).chain(rest).collect()
    };
    let blank = vec![String::new(); row.len()];
    let mut rows = vec![whole(&row, Default::default())];
    for change in changes {
        let form = change.form.map(|form| format!("{form:?}")).unwrap_or_default();
        let rest = [form, text(&change.position), list(&change.delete), list(&change.introduce)];
        rows.push(whole(if filled { &row } else { &blank }, rest));
    }
    rows
}

fn block_rows(records: &[Record]) -> Rows {
    let mut rows = vec![headings(&["serials", "factory", "model", "first_line", "order"])];
    for record in records {
        let Record::SerialBlock(b) = record else { continue };
        let (first, order) = match &b.line {
            Some(Line::From(first)) => (first.to_string(), String::new()),
            Some(Line::Order(first, order)) => (first.to_string(), order.join("; ")),
            None => Default::default(),
        };
        rows.push(vec![b.serials.clone(), b.factory.clone(), b.model.clone().unwrap_or_default(), first, order]);
    }
    rows
}

fn hole_rows(records: &[Record]) -> Rows {
    let head = "survey,jig,mark,date,instrument,uncertainty,temperature,face,axes,hole,x (mm),y,diameter";
    let mut rows = vec![headings(&head.split(',').collect::<Vec<_>>())];
    for record in records {
        let Record::Survey(s) = record else { continue };
        for hole in &s.holes {
            let mut row = vec![s.id.clone(), s.jig.clone(), s.mark.clone(), s.date.clone(), s.instrument.clone()];
            row.extend([s.uncertainty.clone(), s.temperature.clone().unwrap_or_default()]);
            row.extend([s.face.map_or(String::new(), |face| format!("{face:?}")), format!("{:?}", s.axes)]);
            row.push(hole.hole.clone().unwrap_or_default());
            row.push(hole.x.trim_end_matches("mm").to_owned());
            row.extend([hole.y.clone(), hole.diameter.clone().unwrap_or_default()]);
            rows.push(row);
        }
    }
    rows
}

pub(crate) fn as_csv(rows: &Rows) -> Vec<u8> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    for row in rows {
        writer.write_record(row).expect("memory");
    }
    writer.into_inner().expect("memory")
}

pub(crate) fn as_workbook(rows: &Rows) -> Vec<u8> {
    let mut workbook = Workbook::new();
    let sheet = workbook.add_worksheet();
    for (at, row) in (0..).zip(rows) {
        for (column, cell) in (0..).zip(row).filter(|(_, cell)| !cell.is_empty()) {
            sheet.write_string(at, column, cell).expect("it fits");
        }
    }
    workbook.save_to_buffer().expect("it fits")
}

fn took(name: &str, bytes: &[u8], kind: IntakeKind, known: &Reading) -> (modstate::sheets::Intake, String) {
    let mapping = Mapping::default();
    let sheet = GivenSheet { path: Path::new(name), bytes, name: None, kind, mapping: &mapping };
    let mut sources = read_texts(Vec::new()).sources;
    let intake = take(&sheet, &Config::built_in(), &known.records, &mut sources, &|_, _| ());
    let text = intake.text(&sheet);
    (intake, text)
}

/// The sheets of a project, and the records that each holds.
fn sheets(seed: u64) -> Vec<(IntakeKind, Rows, Vec<Record>)> {
    let reading = read_texts(project(&Spec::named("small"), seed));
    let records: Vec<Record> = reading.records.into_iter().map(|(_, record)| record).collect();
    let of = |kind: &str| records.iter().filter(|record| record.kind() == kind).cloned().collect::<Vec<_>>();
    let mods = of("Modification");
    let of_changes = |m: &&Record| matches!(m, Record::Modification(m) if !m.changes.is_empty());
    assert!(mods.iter().filter(of_changes).count() > 0, "leaflets change something");
    vec![
        (IntakeKind::Parts, part_rows(&records), of("Part")),
        (IntakeKind::Modifications, mod_rows(&mods, seed.is_multiple_of(2)), mods),
        (IntakeKind::SerialBlocks, block_rows(&records), of("SerialBlock")),
        (IntakeKind::HoleSurveys, hole_rows(&records), of("Survey")),
    ]
}

#[test]
fn a_project_exported_to_sheets_and_taken_in_again_is_the_same() {
    let nothing = read_texts(Vec::new());
    let mut with_parts = 0;
    for seed in 0..if cfg!(debug_assertions) { 8 } else { 500 } {
        for (kind, rows, wanted) in sheets(seed) {
            with_parts += wanted.iter().filter(|r| matches!(r, Record::Modification(m) if !m.parts.is_empty())).count();
            assert!(!wanted.is_empty(), "{kind:?}: there is something to take in");
            let files = [("sheet.csv", as_csv(&rows)), ("sheet.xlsx", as_workbook(&rows))];
            for (name, bytes) in files {
                let (intake, text) = took(name, &bytes, kind, &nothing);
                assert_eq!(intake.findings, vec![], "seed {seed}, {name}, {kind:?}");
                assert_eq!(intake.records, wanted, "seed {seed}, {name}, {kind:?}");
                let written = read_texts(vec![("new.ron".into(), text)]);
                assert_eq!(written.findings, vec![]);
                let read: Vec<Record> = written.records.iter().map(|(_, record)| record.clone()).collect();
                assert_eq!(read, wanted, "what is written is what was taken in");
                let (again, _) = took(name, &bytes, kind, &written);
                assert_eq!((again.records.len(), again.findings.len()), (0, 0), "a second time changes nothing");
                assert!(again.rows.iter().all(|row| row.fate == Fate::Known));
            }
        }
    }
    assert!(with_parts > 0, "some modifications have named parts");
}

/// What people, programs and disks do to a sheet.
fn spoil(random: &mut Random, rows: &Rows) -> Vec<u8> {
    const TEXTS: [&str; 12] = [
        "34.0",
        "3-Apr",
        "=1+1",
        "",
        " ",
        "1900-01-00",
        "45000",
        "#REF!",
        "\"",
        "\u{0}",
        "1e999",
        "999999999999999999999mm",
    ];
    let mut rows = rows.clone();
    for _ in 0..=random.below(4) {
        let row = random.below(rows.len());
        let column = random.below(rows[row].len().max(1));
        let text = TEXTS[random.below(TEXTS.len())];
        match random.below(4) {
            0 => rows[row].clear(),
            1 => rows[row].push(text.to_owned()),
            _ => {
                if let Some(cell) = rows[row].get_mut(column) {
                    text.clone_into(cell);
                }
            }
        }
    }
    let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
    rows.iter().filter(|row| !row.is_empty()).for_each(|row| writer.write_record(row).expect("memory"));
    writer.into_inner().expect("memory")
}

#[test]
fn spoilt_sheets_give_findings_and_never_a_panic() {
    let nothing = read_texts(Vec::new());
    let all = sheets(1);
    let books: Vec<Vec<u8>> = all.iter().map(|(_, rows, _)| as_workbook(rows)).collect();
    let mut random = Random::new(5);
    let mut found = 0;
    let many = if cfg!(debug_assertions) { 200 } else { 10_000 };
    for nth in 0..many {
        let at = random.below(all.len());
        let (kind, rows, _) = &all[at];
        let (name, mut bytes) =
            if nth % 2 == 0 { ("sheet.csv", spoil(&mut random, rows)) } else { ("sheet.xlsx", books[at].clone()) };
        if nth % 4 != 0 {
            let byte = random.below(bytes.len());
            bytes[byte] = u8::try_from(random.below(256)).expect("a byte");
        }
        if nth % 16 == 3 {
            bytes.truncate(random.below(bytes.len()));
        }
        let (intake, text) = took(name, &bytes, *kind, &nothing);
        found += usize::from(!intake.findings.is_empty());
        let aside = intake.rows.iter().filter(|row| row.fate == Fate::Aside).count();
        assert!(aside == 0 || !intake.findings.is_empty(), "what is set aside has a finding");
        assert!(intake.findings.iter().all(|finding| !finding.help.is_empty()));
        let written = read_texts(vec![("new.ron".into(), text)]);
        assert_eq!(written.findings, vec![], "what would be written can be read");
    }
    assert!(found > many / 4, "{found} of {many} spoilt sheets were noticed");
}

#[test]
#[ignore = "measures time; for an optimised build"]
fn a_parts_list_of_a_real_type_takes_less_than_five_seconds() {
    let reading = read_texts(project(&Spec::named("real"), 1));
    let records: Vec<Record> = reading.records.into_iter().map(|(_, record)| record).collect();
    let rows = part_rows(&records);
    for (name, bytes) in [("sheet.csv", as_csv(&rows)), ("sheet.xlsx", as_workbook(&rows))] {
        let start = std::time::Instant::now();
        let (intake, _) = took(name, &bytes, IntakeKind::Parts, &read_texts(Vec::new()));
        let time = start.elapsed();
        writeln!(std::io::stdout(), "{name}: {} rows taken in within {time:.2?}", intake.rows.len()).expect("stdout");
        assert!(intake.records.len() >= 25_000 && time.as_secs() < 5, "{name}: {time:?}");
    }
}
