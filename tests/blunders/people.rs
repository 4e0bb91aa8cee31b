//! What a person with an instrument writes down of a plate, and the slips of the pen made on it. A slip is made on the
//! figures as they are written: a digit is a digit of the text.

use super::random::Random;
use super::world::{Jig, Map, Point, somewhere};

/// A sheet of readings.
#[derive(Clone, Debug)]
pub(crate) struct Sheet {
    /// The plate it is filed under.
    pub of: usize,
    pub unit: &'static str,
    /// As noted, in degrees Celsius.
    pub temperature: Option<String>,
    /// As noted.
    pub face: Option<&'static str>,
    pub jig_axes: bool,
    pub rows: Vec<Row>,
}

#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Row {
    pub hole: Option<String>,
    pub x: String,
    pub y: String,
}

/// How the day went: what the readings are taken in.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Day {
    /// The metal's true temperature.
    pub temperature: f64,
    /// Set up on the jig's datums; else the plate lies anywhere before the instrument.
    pub jig_axes: bool,
    /// The axes that the instrument really has, where it was set on wrong datums: from the jig's.
    pub setup: Map,
    /// Measured from the other face.
    pub from_back: bool,
}

impl Day {
    pub(crate) fn plain(random: &mut Random, jig_axes: bool) -> Day {
        let temperature = (random.between(12.0, 26.0) * 2.0).round() / 2.0;
        Day { temperature, jig_axes, setup: Map::STILL, from_back: false }
    }
}

/// A sheet without slips. `on` is the plate's index; its readings are rounded as the instrument shows them.
pub(crate) fn measure(random: &mut Random, jig: &Jig, on: usize, day: &Day) -> Sheet {
    let plate = &jig.plates[on];
    let grown = Map::scale(1.0 + jig.expansion * (day.temperature - 20.0));
    let middle = plate.holes[0].nominal;
    let lies = if day.jig_axes {
        Map::STILL
    } else {
        let by = somewhere(random, 400.0);
        Map::rigid(random.between(0.0, 6.2), middle, [by[0] - middle[0] + 500.0, by[1] - middle[1] + 500.0])
    };
    let rows = plate.holes.iter().map(|hole| {
        let mut at = day.setup.of(grown.of(plate.seat.of(hole.drilled)));
        if day.from_back {
            at[0] = -at[0];
        }
        let [x, y] = lies.of(at);
        let read = [x + random.normal() * jig.noise, y + random.normal() * jig.noise];
        Row { hole: Some(hole.name.clone()), x: figure(read[0], jig.inch), y: figure(read[1], jig.inch) }
    });
    Sheet {
        of: on,
        unit: if jig.inch { "in" } else { "mm" },
        temperature: Some(format!("{:.1}", day.temperature)),
        face: Some("Marked"),
        jig_axes: day.jig_axes,
        rows: rows.collect(),
    }
}

/// A length as it is written down: 0.0001 in or 0.001 mm.
pub(crate) fn figure(mm: f64, inch: bool) -> String {
    if inch { format!("{:.4}", mm / 25.4) } else { format!("{mm:.3}") }
}

fn value(text: &str) -> f64 {
    text.parse().expect("a figure")
}

/// How far two figures are apart, in millimetres.
pub(crate) fn differ(a: &str, b: &str, inch: bool) -> f64 {
    (value(a) - value(b)).abs() * if inch { 25.4 } else { 1.0 }
}

/// A place in a sheet: a row, and whether y.
#[derive(Clone, Copy)]
pub(crate) struct Cell {
    pub row: usize,
    pub y: bool,
}

impl Sheet {
    pub(crate) fn cell(&mut self, cell: Cell) -> &mut String {
        let row = &mut self.rows[cell.row];
        if cell.y { &mut row.y } else { &mut row.x }
    }
    pub(crate) fn inch(&self) -> bool {
        self.unit == "in"
    }
    pub(crate) fn any_cell(&self, random: &mut Random) -> Cell {
        Cell { row: random.below(self.rows.len()), y: random.below(2) == 0 }
    }
    /// The figures of some rows, changed alike.
    pub(crate) fn change(&mut self, rows: std::ops::Range<usize>, how: impl Fn(&str) -> String) {
        for row in &mut self.rows[rows] {
            row.x = how(&row.x);
            row.y = how(&row.y);
        }
    }
}

pub(crate) fn other_sign(text: &str) -> String {
    text.strip_prefix('-').map_or_else(|| format!("-{text}"), str::to_owned)
}

/// A figure multiplied, written with as many decimals as before.
pub(crate) fn times(text: &str, by: f64) -> String {
    let decimals = text.split_once('.').map_or(0, |(_, rest)| rest.len());
    format!("{:.*}", decimals, value(text) * by)
}

/// The point one place further right or left.
pub(crate) fn point_moved(text: &str, right: bool) -> String {
    let (whole, rest) = text.split_once('.').expect("a figure has a point");
    if right {
        let (first, rest) = rest.split_at(1);
        return format!("{whole}{first}.{rest}");
    }
    let digits = whole.trim_start_matches('-');
    let sign = if whole.starts_with('-') { "-" } else { "" };
    let (kept, last) = digits.split_at(digits.len() - 1);
    format!("{sign}{}.{last}{rest}", if kept.is_empty() { "0" } else { kept })
}

/// Every figure that one wrong digit makes of a figure: those that hands and eyes confuse.
fn misread(text: &str) -> Vec<String> {
    const ALIKE: [(char, char); 14] = [
        ('9', '0'),
        ('0', '9'),
        ('1', '7'),
        ('7', '1'),
        ('3', '8'),
        ('8', '3'),
        ('5', '6'),
        ('6', '5'),
        ('4', '9'),
        ('9', '4'),
        ('0', '6'),
        ('6', '0'),
        ('2', '3'),
        ('5', '2'),
    ];
    let mut all = Vec::new();
    for (at, digit) in text.char_indices() {
        for (_, to) in ALIKE.iter().filter(|(from, _)| *from == digit) {
            all.push(text.char_indices().map(|(n, c)| if n == at { *to } else { c }).collect());
        }
    }
    all
}

/// Every figure that two neighbouring digits in the wrong order make of a figure.
fn transposed(text: &str) -> Vec<String> {
    let digits: Vec<(usize, char)> = text.chars().enumerate().filter(|(_, c)| c.is_ascii_digit()).collect();
    let pairs = digits.windows(2).filter(|pair| pair[0].1 != pair[1].1);
    pairs
        .map(|pair| {
            let mut changed: Vec<char> = text.chars().collect();
            changed.swap(pair[0].0, pair[1].0);
            changed.into_iter().collect()
        })
        .collect()
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Digits {
    Wrong,
    Transposed,
}

/// A slip of the digits somewhere on the sheet, as near as any to a size in millimetres. Gives the cell.
pub(crate) fn slip_digits(random: &mut Random, sheet: &mut Sheet, kind: Digits, size: f64) -> Cell {
    let inch = sheet.inch();
    let mut best: Option<(f64, Cell, String)> = None;
    let start = random.below(sheet.rows.len());
    for n in 0..sheet.rows.len() {
        for y in [false, true] {
            let cell = Cell { row: (start + n) % sheet.rows.len(), y };
            let text = sheet.cell(cell).clone();
            let all = if kind == Digits::Wrong { misread(&text) } else { transposed(&text) };
            for slip in all {
                let miss = (differ(&slip, &text, inch).max(1e-6) / size).ln().abs();
                if best.as_ref().is_none_or(|(least, ..)| miss < *least) {
                    best = Some((miss, cell, slip));
                }
            }
        }
    }
    let (_, cell, slip) = best.expect("some digit can be slipped on");
    *sheet.cell(cell) = slip;
    cell
}

/// The readings of one row written again under another's name.
pub(crate) fn copy_row(random: &mut Random, sheet: &mut Sheet) {
    let from = random.below(sheet.rows.len());
    let to = (from + 1) % sheet.rows.len();
    let copied = sheet.rows[from].clone();
    sheet.rows[to].x = copied.x;
    sheet.rows[to].y = copied.y;
}

/// The place that a direction and a length give, for a set-up or a seat that is off.
pub(crate) fn off(random: &mut Random, about: Point, reach: f64, size: f64) -> Map {
    match random.below(3) {
        0 => Map::rigid(0.0, about, somewhere(random, size)),
        1 => Map::rigid(size / reach * if random.below(2) == 0 { 1.0 } else { -1.0 }, about, [0.0, 0.0]),
        _ => Map::rigid(size / reach / 1.5, about, somewhere(random, size / 1.5)),
    }
}
