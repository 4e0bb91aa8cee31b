//! Measured holes that a survey keeps in a CSV file of its own.
//!
//! `csv` is the one authority for cells; the bytes of a cell are worked out for findings. The first line that is no
//! remark names the columns.

use super::beside::{OtherFiles, below};
use super::{SourceFile, decode};
use crate::codes;
use crate::finding::{FileId, Finding, Place, RecordRef};
use crate::schema::{MeasuredHole, Record, Survey};
use std::collections::BTreeMap;
use std::ops::Range;
use std::path::PathBuf;

/// The columns that a file may have.
const COLUMNS: [&str; 6] = ["id", "x", "y", "z", "diameter", "out_of_square"];

/// Fills the surveys that name a file, and gives back the files behind those already there, each once, by path.
pub(super) fn fill(
    records: &mut [(RecordRef, Record)],
    known: usize,
    beside: &dyn OtherFiles,
    findings: &mut Vec<Finding>,
) -> Vec<SourceFile> {
    let mut wanted: BTreeMap<PathBuf, Vec<usize>> = BTreeMap::new();
    for (index, (at, record)) in records.iter().enumerate() {
        let Record::Survey(survey @ Survey { holes_from: Some(name), .. }) = record else { continue };
        if !survey.holes.is_empty() {
            let message = format!("the survey `{}` has holes of its own and names `{name}` for them", survey.id);
            findings.push(
                Finding::new(codes::HOLES_TWICE, message, at.field("holes_from"), "holes in this file")
                    .label(at.field("holes"), "and holes here, which are kept")
                    .help("keep one of the two"),
            );
        } else if let Some(path) = below(name) {
            wanted.entry(path).or_default().push(index);
        } else {
            let why = "does not lie below the project folder";
            findings.push(unreadable(name, why, *at).help("move the file into the project folder, and name its path"));
        }
    }
    let mut files = Vec::new();
    for (path, surveys) in wanted {
        let id = FileId(u32::try_from(known + files.len()).expect("a project holds fewer than 2^32 files"));
        let name = path.to_string_lossy().into_owned();
        let bytes = match beside.bytes(&path) {
            Ok(bytes) => bytes,
            Err(why) => {
                for index in surveys {
                    let finding = unreadable(&name, &format!("cannot be opened: {why}"), records[index].0);
                    findings.push(finding.help("correct the path, which starts at the project folder"));
                }
                continue;
            }
        };
        let (text, bad) = decode(id, &name, bytes);
        let readable = bad.is_none();
        findings.extend(bad);
        let holes = if readable { read(id, &name, &text, findings) } else { Vec::new() };
        if readable && holes.is_empty() && !findings.iter().any(|finding| finding.labels[0].place.file() == id) {
            for &index in &surveys {
                findings.push(unreadable(&name, "holds no holes", records[index].0).help("enter the measured holes"));
            }
        }
        for index in surveys {
            if let Record::Survey(survey) = &mut records[index].1 {
                survey.holes.clone_from(&holes);
            }
        }
        files.push(SourceFile::other(path, text));
    }
    files
}

fn unreadable(name: &str, why: &str, survey: RecordRef) -> Finding {
    let message = format!("the file `{name}` {why}");
    Finding::new(codes::HOLES_FILE, message, survey.field("holes_from"), "no holes from here")
}

/// The holes of a file; a finding for each line that gives none.
fn read(id: FileId, name: &str, text: &str, findings: &mut Vec<Finding>) -> Vec<MeasuredHole> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut rows = reader.records().filter_map(Result::ok).map(|row| {
        let cells = cells(text, &row);
        (row, cells)
    });
    let Some((header, places)) = rows.next() else { return Vec::new() };
    let place = |span: &Range<usize>| Place::Bytes(id, span.start, span.end);
    let columns: Vec<String> = header.iter().map(str::to_lowercase).collect();
    let mut known = true;
    for (index, column) in columns.iter().enumerate() {
        let first = columns.iter().position(|other| other == column) == Some(index);
        if !first || !COLUMNS.contains(&column.as_str()) {
            known = false;
            let (why, label) = if first { ("is not known", "not known") } else { ("is given twice", "given again") };
            let message = format!("the column `{}` of `{name}` {why}", &header[index]);
            findings.push(
                Finding::new(codes::HOLES_COLUMN, message, place(&places[index]), label).help(
                    "name `x` and `y`, and where they were measured `z`, `diameter` and `id`, with commas between",
                ),
            );
        }
    }
    let lacking: Vec<&str> = ["x", "y"].into_iter().filter(|column| !columns.iter().any(|c| c == column)).collect();
    if !known || !lacking.is_empty() {
        if let (true, [lacking, ..]) = (known, &lacking[..]) {
            let message = format!("`{name}` has no column `{lacking}`");
            let line = places[0].start..places[places.len() - 1].end;
            findings.push(
                Finding::new(codes::HOLES_COLUMN, message, place(&line), "the columns")
                    .help("name the columns in the first line, as in `id,x,y,diameter`"),
            );
        }
        return Vec::new();
    }
    let mut holes = Vec::new();
    for (row, places) in rows {
        let line = place(&(places[0].start..places[places.len() - 1].end));
        let cell = |name: &str| {
            let index = columns.iter().position(|column| column == name)?;
            row.get(index).filter(|text| !text.is_empty()).map(str::to_owned)
        };
        let bad = |message: String, label: &str, help: &str| {
            Finding::new(codes::HOLES_ROW, message, line.clone(), label).help(help)
        };
        if row.len() != columns.len() {
            let message = format!("a line of `{name}` has {} cells, and {} are named", row.len(), columns.len());
            findings.push(bad(message, "not as many as named", "write one cell for each column, empty ones too"));
            continue;
        }
        let (Some(x), Some(y)) = (cell("x"), cell("y")) else {
            findings.push(bad(
                format!("a line of `{name}` lacks a coordinate"),
                "`x` and `y` are wanted",
                "enter what was measured, or take the line out",
            ));
            continue;
        };
        let named = |column: &String| match column.as_str() {
            "id" => Some("hole"),
            other => COLUMNS.into_iter().find(|known| *known == other),
        };
        let cells = columns.iter().zip(&places);
        let cells = cells.filter_map(|(column, span)| Some((named(column)?, place(span)))).collect();
        let (z, diameter, out_of_square) = (cell("z"), cell("diameter"), cell("out_of_square"));
        holes.push(MeasuredHole { hole: cell("id"), x, y, z, diameter, out_of_square, cells });
    }
    holes
}

/// The bytes of each cell of a row; of the whole row for each where quotes hide them.
fn cells(text: &str, row: &csv::StringRecord) -> Vec<Range<usize>> {
    let mut start = row.position().map_or(0, |at| usize::try_from(at.byte()).unwrap_or(usize::MAX)).min(text.len());
    // The position is that of the blank lines and remarks before it.
    let line = loop {
        let rest = text.get(start..).unwrap_or_default();
        let line = rest.split('\n').next().unwrap_or_default();
        let passed = line.trim().is_empty() || line.starts_with('#');
        if !passed || line.len() == rest.len() {
            break line.trim_end();
        }
        start += line.len() + 1;
    };
    let bare: Vec<&str> = line.split(',').collect();
    if line.contains('"') || bare.len() != row.len() {
        return vec![start..start + line.len(); row.len().max(1)];
    }
    let mut at = start;
    let spans = bare.into_iter().map(|cell| {
        let blank = cell.len() - cell.trim_start().len();
        let span = at + blank..at + blank + cell.trim().len();
        at += cell.len() + 1;
        span
    });
    spans.collect()
}
