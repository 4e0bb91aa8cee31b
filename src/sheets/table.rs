//! A sheet as a table of cells, and as a text that findings can point into.

use crate::codes;
use crate::finding::{FileId, Finding, Place};
use crate::source::Sources;
use calamine::{DataRef, Reader, SheetVisible, Xlsx};
use std::collections::BTreeMap;
use std::io::{Cursor, Read};
use std::ops::Range;
use std::path::{Path, PathBuf};

/// The most rows that a sheet has.
const ROWS: u32 = 1_048_576;

/// The most cells that hold something, far more than a register of a whole type has.
const CELLS: usize = 2_000_000;
/// The most bytes that a workbook may unfold to.
const UNFOLDED: u64 = 128 << 20;

/// What a cell holds.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Value {
    /// A text, as it stands.
    Text(String),
    /// A number of a workbook.
    Number(f64),
    /// A date of a workbook: year, month, day, and whether a time of day goes with it.
    Date(u16, u8, u8, bool),
    /// Something that no column takes; what it is.
    Odd(&'static str),
}

/// A cell that is not empty.
#[derive(Clone, Debug)]
pub(super) struct Cell {
    pub value: Value,
    /// How it is shown.
    pub shown: String,
    pub place: Place,
}

/// A sheet. Rows and columns are counted from 0.
///
/// Invariant: no cell is empty; the text has one line for each row up to the last, with the cells on it.
#[derive(Debug)]
pub(super) struct CellTable {
    pub rows: BTreeMap<u32, BTreeMap<u32, Cell>>,
    /// Merged cells: first row and column, last row and column.
    pub merged: Vec<[u32; 4]>,
    /// The file that stands for the sheet.
    pub file: FileId,
}

/// Whether a sheet is a workbook, by the name of its file; else it is text.
pub(super) fn is_workbook(path: &Path) -> bool {
    path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("xlsx"))
}

/// The address of a cell, as spreadsheets show it.
pub(super) fn address(row: u32, column: u32) -> String {
    let mut letters = Vec::new();
    let mut rest = column + 1;
    while rest > 0 {
        letters.push(b'A' + u8::try_from((rest - 1) % 26).expect("less than 26"));
        rest = (rest - 1) / 26;
    }
    letters.reverse();
    format!("{}{}", String::from_utf8_lossy(&letters), row + 1)
}

type Loose = BTreeMap<u32, BTreeMap<u32, Value>>;

/// Reads a sheet, and adds a file to the sources that stands for it.
///
/// # Errors
/// A finding says why it cannot be read.
pub(super) fn read(
    path: &Path,
    bytes: &[u8],
    sheet: Option<&str>,
    sources: &mut Sources,
) -> Result<CellTable, Finding> {
    let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned();
    let workbook = is_workbook(path);
    let read = if workbook { of_workbook(bytes, sheet) } else { of_text(bytes).map(|loose| (loose, Vec::new())) };
    let (loose, merged) = match read {
        Ok(read) => read,
        Err((why, help)) => {
            let file = sources.add(PathBuf::from(&name), String::new());
            let place = Place::Bytes(file, 0, 0);
            return Err(Finding::new(
                codes::SHEET_UNREADABLE,
                format!("`{name}` {why}"),
                place,
                "nothing of it was read",
            )
            .help(help));
        }
    };
    let (text, spans) = lay_out(&loose);
    let file = sources.add(PathBuf::from(&name), text);
    let rows = loose.into_iter().map(|(row, cells)| {
        let cells = cells.into_iter().map(|(column, value)| {
            let span = &spans[&(row, column)];
            let shown = shown(&value);
            (column, Cell { value, shown, place: Place::Bytes(file, span.start, span.end) })
        });
        (row, cells.collect())
    });
    Ok(CellTable { rows: rows.collect(), merged, file })
}

/// The text that stands for a sheet, and where in it each cell stands.
fn lay_out(loose: &Loose) -> (String, BTreeMap<(u32, u32), Range<usize>>) {
    let mut text = String::new();
    let mut spans = BTreeMap::new();
    let mut line = 0;
    for (row, cells) in loose {
        text.extend((line..*row).map(|_| '\n'));
        line = *row;
        for (nth, (column, value)) in cells.iter().enumerate() {
            if nth > 0 {
                text.push_str(" | ");
            }
            let start = text.len();
            text.extend(shown(value).chars().map(|c| if c.is_control() { ' ' } else { c }));
            spans.insert((*row, *column), start..text.len());
        }
    }
    text.push('\n');
    (text, spans)
}

fn shown(value: &Value) -> String {
    match value {
        Value::Text(text) => text.clone(),
        Value::Number(number) => number.to_string(),
        Value::Date(year, month, day, _) => format!("{year:04}-{month:02}-{day:02}"),
        Value::Odd(what) => format!("({what})"),
    }
}

/// Why a sheet cannot be read, and what to do.
type SheetRefusal = (String, String);

fn of_workbook(bytes: &[u8], sheet: Option<&str>) -> Result<(Loose, Vec<[u32; 4]>), SheetRefusal> {
    let broken = |error: &dyn std::fmt::Display| {
        (
            format!("cannot be read as a workbook: {error}"),
            "save it again as a workbook (`.xlsx`), or as CSV".to_owned(),
        )
    };
    if unfolds_to_more_than(bytes, UNFOLDED) {
        return Err((
            format!("unfolds to more than {} MB", UNFOLDED >> 20),
            "delete the rows and columns that hold nothing, and save it again; or save the sheet as CSV".to_owned(),
        ));
    }
    let mut workbook: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(|error| broken(&error))?;
    let sheets = workbook.sheets_metadata().iter().filter(|sheet| sheet.visible == SheetVisible::Visible);
    let names: Vec<String> = sheets.map(|sheet| sheet.name.clone()).collect();
    let listed = names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ");
    let name = match (sheet, names.as_slice()) {
        (Some(wanted), _) if !names.iter().any(|name| name == wanted) => {
            return Err((format!("has no sheet `{wanted}`"), format!("name one of its sheets: {listed}")));
        }
        (Some(wanted), _) => wanted.to_owned(),
        (None, [one]) => one.clone(),
        (None, _) => return Err(("has several sheets".to_owned(), format!("name one with `--sheet`: {listed}"))),
    };
    let merged = workbook.merge_cells_by_sheet_name(&name).map_err(|error| broken(&error))?;
    let merged = merged.iter().map(|area| [area.start.0, area.start.1, area.end.0, area.end.1]).collect();
    let mut reader = workbook.worksheet_cells_reader(&name).map_err(|error| broken(&error))?;
    let (mut loose, mut cells) = (Loose::new(), 0);
    while let Some(cell) = reader.next_cell().map_err(|error| broken(&error))? {
        let (row, column) = cell.get_position();
        cells += 1;
        if row >= ROWS || cells > CELLS {
            return Err(broken(&"it has more rows or cells than a sheet can have"));
        }
        if let Some(value) = value_of(cell.get_value()) {
            loose.entry(row).or_default().insert(column, value);
        }
    }
    Ok((loose, merged))
}

/// Whether the files in a workbook come to more bytes than this, whatever its list of contents says. What is no archive
/// comes to nothing here, and is refused where it is read.
fn unfolds_to_more_than(bytes: &[u8], most: u64) -> bool {
    let Ok(mut archive) = zip::ZipArchive::new(Cursor::new(bytes)) else { return false };
    let mut left = most;
    for index in 0..archive.len() {
        let Ok(file) = archive.by_index(index) else { continue };
        let unfolded = std::io::copy(&mut file.take(left + 1), &mut std::io::sink()).unwrap_or(0);
        match left.checked_sub(unfolded) {
            Some(rest) => left = rest,
            None => return true,
        }
    }
    false
}

fn value_of(data: &DataRef<'_>) -> Option<Value> {
    let text = |text: &str| (!text.is_empty()).then(|| Value::Text(text.to_owned()));
    match data {
        DataRef::Empty => None,
        DataRef::String(written) => text(written),
        DataRef::SharedString(written) => text(written),
        #[expect(clippy::cast_precision_loss, reason = "a workbook keeps every number as a float")]
        DataRef::Int(number) => Some(Value::Number(*number as f64)),
        DataRef::Float(number) => Some(Value::Number(*number)),
        DataRef::DateTime(at) if at.is_duration() => Some(Value::Odd("a time")),
        DataRef::DateTime(at) => {
            let (year, month, day, ..) = at.to_ymd_hms_milli();
            Some(Value::Date(year, month, day, at.as_f64().fract().abs() > f64::EPSILON))
        }
        DataRef::DateTimeIso(_) | DataRef::DurationIso(_) => Some(Value::Odd("a date or a time")),
        DataRef::Bool(_) => Some(Value::Odd("true or false")),
        DataRef::Error(_) => Some(Value::Odd("an error of the spreadsheet")),
    }
}

fn of_text(bytes: &[u8]) -> Result<Loose, SheetRefusal> {
    let text = std::str::from_utf8(bytes).map_err(|_| {
        ("is not UTF-8 text".to_owned(), "save it again as CSV in UTF-8, or as a workbook (`.xlsx`)".to_owned())
    })?;
    let text = text.strip_prefix('\u{FEFF}').unwrap_or(text).replace("\r\n", "\n").replace('\r', "\n");
    let first = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    let count = |mark: char| first.matches(mark).count();
    let mark = [b',', b';', b'\t'].into_iter().rev().max_by_key(|mark| count(char::from(*mark))).unwrap_or(b',');
    let mut reader =
        csv::ReaderBuilder::new().has_headers(false).flexible(true).delimiter(mark).from_reader(text.as_bytes());
    let mut loose = Loose::new();
    let mut row = 0;
    for record in reader.records() {
        let record = record.map_err(|error| (format!("cannot be read: {error}"), "save it again as CSV".to_owned()))?;
        // Empty lines are rows of the sheet, and the reader passes over them.
        let start = record.position().and_then(|at| usize::try_from(at.byte()).ok()).unwrap_or(0);
        let passed = text.as_bytes().iter().skip(start).take_while(|byte| **byte == b'\n').count();
        row += u32::try_from(passed).unwrap_or(ROWS);
        let cells = (0..).zip(&record).filter(|(_, cell)| !cell.is_empty());
        let cells: BTreeMap<u32, Value> = cells.map(|(at, cell)| (at, Value::Text(cell.to_owned()))).collect();
        if !cells.is_empty() {
            loose.insert(row, cells);
        }
        row += 1;
    }
    Ok(loose)
}
