//! Faults in the sheets that a project's parts list is exported to: each is caught by its code on its cell.

use crate::project::random::Random;
use crate::project::{Spec, pick, project};
use crate::sheets::{Rows, as_csv, as_workbook, part_rows};
use modstate::quantity::Config;
use modstate::schema::Record;
use modstate::sheets::{GivenSheet, IntakeKind, Mapping, take};
use modstate::source::{Reading, read_texts};
use rust_xlsxwriter::{Format, Workbook};
use std::path::Path;

use super::Tally;

/// A sheet with a mistake in it.
struct Spoilt {
    bytes: Vec<u8>,
    workbook: bool,
    /// How the finding must name the cell or the row, if there is one.
    at: Option<String>,
}

/// A kind of mistake.
pub(super) struct SheetFault {
    pub code: &'static str,
    /// What a person or a program did.
    pub what: &'static str,
    plant: fn(&mut Random, Rows) -> Option<Spoilt>,
}

/// A parts list in the hands of a person.
pub(super) struct PartsList {
    known: Reading,
    rows: Rows,
}

impl PartsList {
    pub(super) fn new(seed: u64) -> PartsList {
        let known = read_texts(project(&Spec::named("small"), seed));
        let records: Vec<Record> = known.records.iter().map(|(_, record)| record.clone()).collect();
        PartsList { rows: part_rows(&records), known }
    }
}

/// Plants the fault in each list.
pub(super) fn tally(fault: &SheetFault, lists: &[PartsList]) -> Tally {
    let mut tally = Tally::default();
    for (seed, list) in lists.iter().enumerate() {
        let mut random = Random::new(2_000 + seed as u64);
        let Some(spoilt) = (fault.plant)(&mut random, list.rows.clone()) else { continue };
        tally.planted += 1;
        let mapping = Mapping::default();
        let name = Path::new(if spoilt.workbook { "parts.xlsx" } else { "parts.csv" });
        let sheet =
            GivenSheet { path: name, bytes: &spoilt.bytes, name: None, kind: IntakeKind::Parts, mapping: &mapping };
        let mut sources = read_texts(Vec::new()).sources;
        let intake = take(&sheet, &Config::built_in(), &list.known.records, &mut sources, &|_, _| ());
        let named = |message: &str| spoilt.at.as_ref().is_none_or(|at| message.contains(at));
        let (hits, others): (Vec<_>, Vec<_>) =
            intake.findings.iter().partition(|f| f.code.entry().code == fault.code && named(&f.message));
        tally.caught += usize::from(!hits.is_empty());
        for other in &others {
            *tally.others.entry(other.code).or_default() += 1;
        }
        if hits.is_empty() || !others.is_empty() || !intake.records.is_empty() {
            let messages: Vec<&str> = intake.findings.iter().map(|finding| finding.message.as_str()).take(6).collect();
            let (code, what, at) = (fault.code, fault.what, &spoilt.at);
            tally.trouble.push(format!("{code} {what}, seed {seed}, at {at:?}:\n{}", messages.join("\n")));
        }
    }
    tally
}

/// Writes something else into a column of a row that has something there.
fn cell(random: &mut Random, mut rows: Rows, column: usize, new: impl Fn(&str) -> String) -> Option<Spoilt> {
    let filled: Vec<usize> = (1..rows.len()).filter(|row| !rows[*row][column].is_empty()).collect();
    let row = *pick(random, (!filled.is_empty()).then_some(filled.as_slice())?);
    rows[row][column] = new(&rows[row][column]);
    Some(Spoilt { at: Some(address(row, column)), bytes: as_csv(&rows), workbook: false })
}

fn address(row: usize, column: usize) -> String {
    format!("`{}{}`", char::from(b'A' + u8::try_from(column).expect("few columns")), row + 1)
}

pub(super) const FAULTS: &[SheetFault] = &[
    SheetFault {
        code: "sheet-201",
        what: "a workbook of which half was copied",
        plant: |_, rows| {
            let mut bytes = as_workbook(&rows);
            bytes.truncate(bytes.len() / 2);
            Some(Spoilt { bytes, workbook: true, at: None })
        },
    },
    SheetFault {
        code: "sheet-202",
        what: "two columns under one name",
        plant: |_, mut rows| {
            "number".clone_into(&mut rows[0][4]);
            Some(Spoilt { at: Some(address(0, 4)), bytes: as_csv(&rows), workbook: false })
        },
    },
    SheetFault {
        code: "sheet-203",
        what: "a part number turned into a date",
        plant: |random, rows| cell(random, rows, 0, |_| "3-Apr".to_owned()),
    },
    SheetFault {
        code: "sheet-204",
        what: "a source that is none",
        plant: |random, rows| cell(random, rows, 2, |old| format!("{old} in the shop")),
    },
    SheetFault {
        code: "sheet-205",
        what: "a thickness without its unit",
        plant: |random, rows| cell(random, rows, 8, |_| "1.2".to_owned()),
    },
    SheetFault {
        code: "sheet-206",
        what: "a description left out",
        plant: |random, rows| cell(random, rows, 1, |_| String::new()),
    },
    SheetFault {
        code: "sheet-207",
        what: "a blank behind a part number",
        plant: |random, rows| cell(random, rows, 0, |old| format!("{old} ")),
    },
    SheetFault {
        code: "sheet-208",
        what: "two descriptions merged into one",
        plant: |random, rows| {
            let row = 1 + random.below(rows.len() - 2);
            let mut workbook = Workbook::new();
            let sheet = workbook.add_worksheet();
            for (at, row) in (0..).zip(&rows) {
                for (column, cell) in (0..).zip(row).filter(|(_, cell)| !cell.is_empty()) {
                    sheet.write_string(at, column, cell).ok()?;
                }
            }
            let first = u32::try_from(row).ok()?;
            sheet.merge_range(first, 1, first + 1, 1, &rows[row][1], &Format::new()).ok()?;
            let at = format!("`B{}:B{}`", row + 1, row + 2);
            Some(Spoilt { bytes: workbook.save_to_buffer().ok()?, workbook: true, at: Some(at) })
        },
    },
    SheetFault {
        code: "sheet-209",
        what: "a row copied to the end",
        plant: |random, mut rows| {
            let again = rows[1 + random.below(rows.len() - 1)].clone();
            rows.push(again);
            Some(Spoilt { at: Some(format!("row {}:", rows.len())), bytes: as_csv(&rows), workbook: false })
        },
    },
    SheetFault {
        code: "sheet-210",
        what: "a description that is not the one on record",
        plant: |random, rows| {
            let spoilt = cell(random, rows, 1, |old| format!("{old}, left"))?;
            Some(Spoilt { at: spoilt.at.map(|at| at.replace("`B", "row ").replace('`', ":")), ..spoilt })
        },
    },
    SheetFault {
        code: "sheet-211",
        what: "a column that nobody asked for",
        plant: |_, mut rows| {
            for (nth, row) in rows.iter_mut().enumerate() {
                row.push(if nth == 0 { "Shelf".to_owned() } else { "7".to_owned() });
            }
            Some(Spoilt { at: Some(address(0, 10)), bytes: as_csv(&rows), workbook: false })
        },
    },
];
