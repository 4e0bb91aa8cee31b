//! One case: a jig with its truth, and the sheets that people made of it, with one kind of error in them.

use super::kinds::{Kind, Size};
use super::people::{
    Cell, Day, Digits, Row, Sheet, copy_row, differ, measure, off, other_sign, point_moved, slip_digits, times,
};
use super::random::Random;
use super::world::{Jig, Map, jig, middle, somewhere};

/// The day of the surveys, as the dossier has it.
pub(crate) const SURVEYED: &str = "2021-06-14";

pub(crate) struct Case {
    pub kind: Kind,
    pub size: Size,
    pub jig: Jig,
    pub sheets: Vec<Sheet>,
    /// Plates whose sheet is wrong.
    pub slipped: Vec<usize>,
    /// Plates whose metal or setting is wrong.
    pub faulty: Vec<usize>,
    /// How far the record is from the truth, in millimetres, at the worst place.
    pub effect: f64,
    /// Whether a dowel of the plate is off, so that its own axes are.
    pub dowel_off: bool,
}

/// Draws a case: the same for the same three.
pub(crate) fn case(kind: Kind, size: Size, nth: usize) -> Case {
    let step = match size {
        Size::Noise(times) => u64::from(times),
        Size::Gross => 99,
    };
    let mut random = Random::new(step * 1_000_003 + kind as u64 * 10_007 + nth as u64);
    if kind.is_whole() { whole(&mut random, kind, size) } else { single(&mut random, kind, size) }
}

/// A jig of three plates of which the first is measured.
fn single(random: &mut Random, kind: Kind, size: Size) -> Case {
    let least = match kind {
        Kind::BracketOff | Kind::PitchOff | Kind::StepInRow => 14,
        Kind::ExchangedPart => 7,
        _ => 4,
    };
    let jig = loop {
        let drawn = jig(random, 3, 40);
        if drawn.plates[0].holes.len() >= least {
            break drawn;
        }
    };
    let effect = millimetres(random, &jig, size);
    let mut case =
        Case { kind, size, jig, sheets: Vec::new(), slipped: Vec::new(), faulty: Vec::new(), effect, dowel_off: false };
    let in_jig = match kind {
        Kind::SetUpOne | Kind::SetUpAndHole | Kind::PlateOffOne | Kind::UpsideDown | Kind::TurnedRound => true,
        Kind::FaceNotNoted | Kind::FaceWrong | Kind::MirroredNoFace | Kind::FromBack => false,
        _ => random.below(2) == 0,
    };
    let mut day = Day::plain(random, in_jig);
    if !kind.is_sized() {
        case.effect = f64::INFINITY;
    }
    let size = effect;
    metal(random, &mut case, size);
    let noted = conditions(random, &mut case, &mut day);
    let on = usize::from(kind == Kind::WrongSheet);
    let mut sheet = measure(random, &case.jig, on, &day);
    sheet.of = 0;
    if let Some(temperature) = noted {
        sheet.temperature = temperature;
    }
    slip(random, &mut case, &mut sheet, size);
    if matches!(kind, Kind::SameDayMended | Kind::SameDaySpoilt) {
        rework(random, &mut case, size);
    }
    case.sheets.push(sheet);
    case
}

/// What a size comes to.
fn millimetres(random: &mut Random, jig: &Jig, size: Size) -> f64 {
    match size {
        Size::Noise(times) => f64::from(times) * jig.noise,
        Size::Gross => jig.plates[0].holes[2].zone * random.between(1.5, 8.0),
    }
}

fn hole_off(random: &mut Random, case: &mut Case, plate: usize, size: f64) {
    let holes = &mut case.jig.plates[plate].holes;
    let n = 2 + random.below(holes.len() - 2);
    let by = somewhere(random, size);
    holes[n].drilled = [holes[n].drilled[0] + by[0], holes[n].drilled[1] + by[1]];
    case.faulty.push(plate);
}

/// What is wrong with the metal of the first plate.
fn metal(random: &mut Random, case: &mut Case, size: f64) {
    match case.kind {
        Kind::HoleOff | Kind::SlipAndHole | Kind::WarmAndHole | Kind::ExchangedAndHole | Kind::SetUpAndHole => {
            let gross = case.jig.plates[0].holes[2].zone * random.between(1.2, 4.0);
            hole_off(random, case, 0, if case.kind == Kind::HoleOff { size } else { gross });
        }
        Kind::BracketOff | Kind::PitchOff | Kind::StepInRow => row_or_bracket(random, case, size),
        Kind::Scatter => {
            for hole in case.jig.plates[0].holes.iter_mut().skip(2) {
                hole.drilled = [0, 1].map(|n| hole.nominal[n] + random.normal() * hole.zone * 0.3);
            }
            case.faulty.push(0);
        }
        Kind::DowelOff => {
            let hole = &mut case.jig.plates[0].holes[random.below(2)];
            let by = somewhere(random, size);
            hole.drilled = [hole.drilled[0] + by[0], hole.drilled[1] + by[1]];
            case.faulty.push(0);
            case.dowel_off = true;
        }
        Kind::OtherVariant => {
            let variant = case.jig.variant.clone();
            let plate = &mut case.jig.plates[0];
            for (hole, other) in plate.holes.iter_mut().zip(variant.holes) {
                hole.drilled = other.drilled;
            }
            plate.other_metal = true;
            case.faulty.push(0);
        }
        Kind::MirroredNoFace => {
            let plate = &mut case.jig.plates[0];
            let over = across(plate.dowels());
            for hole in &mut plate.holes {
                hole.drilled = over.of(hole.drilled);
            }
            plate.other_metal = true;
            case.faulty.push(0);
        }
        Kind::UpsideDown | Kind::TurnedRound | Kind::PlateOffOne => {
            seat(random, case, 0, size);
            case.faulty.push(0);
        }
        _ => {}
    }
}

/// Over to the other side of the line that halves the way between two dowels: each dowel takes the other's place.
fn across((a, b): (super::world::Point, super::world::Point)) -> Map {
    let half = middle(a, b);
    Map::flip(half, [half[0] - (b[1] - a[1]), half[1] + b[0] - a[0]])
}

fn seat(random: &mut Random, case: &mut Case, n: usize, size: f64) {
    let plate = &mut case.jig.plates[n];
    let (a, b) = plate.dowels();
    let about = middle(a, b);
    plate.seat = match case.kind {
        Kind::UpsideDown | Kind::JigUpsideDown if random.below(2) == 0 => Map::flip(a, b),
        Kind::UpsideDown | Kind::JigUpsideDown => across((a, b)),
        Kind::TurnedRound | Kind::JigTurned => Map::rigid(std::f64::consts::PI, about, [0.0, 0.0]),
        _ => off(random, about, super::world::apart(a, b) / 2.0, size),
    };
}

#[expect(clippy::cast_precision_loss, reason = "a few holes")]
fn row_or_bracket(random: &mut Random, case: &mut Case, size: f64) {
    let plate = &mut case.jig.plates[0];
    let row = plate.row.clone();
    let (first, last) = (plate.holes[row[0]].nominal, plate.holes[row[row.len() - 1]].nominal);
    let length = super::world::apart(first, last);
    let along = [(last[0] - first[0]) / length, (last[1] - first[1]) / length];
    let from = 1 + random.below(row.len() - 1);
    let by = somewhere(random, size);
    let bracket = plate.bracket.clone();
    let moved = if case.kind == Kind::BracketOff { &bracket } else { &row };
    for (k, n) in moved.iter().enumerate() {
        let share = match case.kind {
            Kind::PitchOff => k as f64 / (row.len() - 1) as f64,
            Kind::StepInRow if k < from => 0.0,
            _ => 1.0,
        };
        let way = if case.kind == Kind::BracketOff { by } else { [along[0] * size, along[1] * size] };
        let hole = &mut plate.holes[*n];
        hole.drilled = [hole.drilled[0] + way[0] * share, hole.drilled[1] + way[1] * share];
    }
    case.faulty.push(0);
}

/// What is wrong with the day: set-up, face, temperature. Gives what is noted of the temperature, where that is wrong.
#[expect(clippy::option_option, reason = "noted wrong, not noted at all, or as it should be")]
fn conditions(random: &mut Random, case: &mut Case, day: &mut Day) -> Option<Option<String>> {
    let plate = &case.jig.plates[0];
    let (a, b) = plate.dowels();
    let span = if day.jig_axes { case.jig.radius } else { super::world::apart(a, b) };
    let side = if random.below(2) == 0 { 1.0 } else { -1.0 };
    let degrees = (case.effect.min(1e3) / (case.jig.expansion * span)).min(16.0);
    match case.kind {
        Kind::SetUpOne | Kind::SetUpAndHole => {
            let by = case.effect.min(20.0);
            let about = if random.below(2) == 0 { [0.0, 0.0] } else { middle(a, b) };
            day.setup = off(random, about, case.jig.radius.min(400.0), by);
            case.slipped.push(0);
            None
        }
        Kind::FromBack | Kind::FaceNotNoted | Kind::FaceWrong => {
            day.from_back = true;
            None
        }
        Kind::NoTemperature | Kind::WarmAndHole => {
            day.temperature = 20.0 + side * degrees;
            case.effect = degrees * case.jig.expansion * span;
            case.slipped.push(0);
            Some(None)
        }
        Kind::WrongTemperature | Kind::JigWarm => {
            let mut noted = day.temperature + side * degrees;
            if case.size == Size::Gross {
                noted = day.temperature * 1.8 + 32.0;
            }
            case.effect = (noted - day.temperature).abs() * case.jig.expansion * span;
            case.slipped.push(0);
            Some(Some(format!("{noted:.1}")))
        }
        _ => None,
    }
}

/// The rework on the day of the survey, after it.
fn rework(random: &mut Random, case: &mut Case, size: f64) {
    if case.kind == Kind::SameDaySpoilt {
        hole_off(random, case, 0, size);
    } else {
        for hole in &mut case.jig.plates[0].holes {
            hole.drilled = hole.nominal;
        }
        case.faulty.clear();
    }
    case.jig.plates[0].reworked = Some(SURVEYED);
    case.slipped.push(0);
}

/// A slip on a sheet of one plate.
fn slip(random: &mut Random, case: &mut Case, sheet: &mut Sheet, size: f64) {
    let count = sheet.rows.len();
    match case.kind {
        Kind::FromBack => sheet.face = Some("Back"),
        Kind::FaceNotNoted | Kind::MirroredNoFace => sheet.face = None,
        Kind::ExchangedAll | Kind::ExchangedAndHole => exchange(&mut sheet.rows),
        Kind::ExchangedRow => {
            let row = random.below(count);
            exchange(&mut sheet.rows[row..=row]);
        }
        Kind::ExchangedPart => {
            let from = 1 + random.below(count - 4);
            exchange(&mut sheet.rows[from..from + 3]);
        }
        Kind::SignColumn => {
            let y = random.below(2) == 0;
            for row in 0..count {
                let cell = sheet.cell(Cell { row, y });
                *cell = other_sign(cell);
            }
        }
        Kind::Digit | Kind::Transposed => {
            let digits = if case.kind == Kind::Digit { Digits::Wrong } else { Digits::Transposed };
            let mut before = sheet.clone();
            let cell = slip_digits(random, sheet, digits, size);
            let inch = sheet.inch();
            case.effect = differ(before.cell(cell), sheet.cell(cell), inch);
        }
        Kind::UnitAll => unit(random, sheet, 0..count),
        Kind::UnitRow => {
            let row = random.below(count);
            unit(random, sheet, row..row + 1);
        }
        Kind::ScaleTen => {
            let by = if random.below(2) == 0 { 10.0 } else { 0.1 };
            sheet.change(0..count, |text| times(text, by));
        }
        Kind::SignOne | Kind::Tenfold | Kind::Copied | Kind::SlipAndHole => one_slip(random, case.kind, sheet),
        Kind::TwoSlips => {
            one_slip(random, Kind::SlipAndHole, sheet);
            one_slip(random, Kind::SlipAndHole, sheet);
        }
        Kind::SameDayMended => {
            // The readings are of a hole that was off, and was mended later that day.
            let row = 2 + random.below(count - 2);
            let inch = sheet.inch();
            let cell = sheet.cell(Cell { row, y: true });
            *cell = super::people::figure(
                cell.parse::<f64>().expect("a figure") * if inch { 25.4 } else { 1.0 } + size,
                inch,
            );
        }
        _ => {}
    }
    if !matches!(case.kind.nature(), super::kinds::Nature::None | super::kinds::Nature::Metal)
        && !matches!(case.kind, Kind::UpsideDown | Kind::TurnedRound)
    {
        case.slipped = vec![0];
    }
}

pub(crate) fn exchange(rows: &mut [Row]) {
    for row in rows {
        std::mem::swap(&mut row.x, &mut row.y);
    }
}

/// Millimetres under the heading inches, or the other way round.
pub(crate) fn unit(random: &mut Random, sheet: &mut Sheet, rows: std::ops::Range<usize>) {
    if rows.len() == sheet.rows.len() && random.below(2) == 0 {
        sheet.unit = if sheet.inch() { "mm" } else { "in" };
        return;
    }
    let by = if sheet.inch() { 25.4 } else { 1.0 / 25.4 };
    sheet.change(rows, |text| times(text, by));
}

/// A gross slip in one row. Not in a figure so small that it would make no odds.
pub(crate) fn one_slip(random: &mut Random, kind: Kind, sheet: &mut Sheet) {
    let cell = loop {
        let cell = sheet.any_cell(random);
        if sheet.cell(cell).trim_start_matches('-').parse::<f64>().expect("a figure") > 0.5 {
            break cell;
        }
    };
    let which = match kind {
        Kind::SignOne => 0,
        Kind::Tenfold => 1,
        Kind::Copied => 2,
        _ => random.below(4),
    };
    match which {
        0 => *sheet.cell(cell) = other_sign(&sheet.cell(cell).clone()),
        1 => *sheet.cell(cell) = point_moved(&sheet.cell(cell).clone(), random.below(2) == 0),
        2 => copy_row(random, sheet),
        _ => exchange(&mut sheet.rows[cell.row..=cell.row]),
    }
}

/// A whole jig of eight to twelve plates, all measured on its axes.
fn whole(random: &mut Random, kind: Kind, size: Size) -> Case {
    let count = 8 + random.below(5);
    let jig = jig(random, count, 40);
    let effect = millimetres(random, &jig, size);
    let mut case =
        Case { kind, size, jig, sheets: Vec::new(), slipped: Vec::new(), faulty: Vec::new(), effect, dowel_off: false };
    let mut day = Day::plain(random, true);
    let picked = random.choose(count, 3);
    match kind {
        Kind::JigSetUp | Kind::JigSetUpAndPlate => {
            day.setup = off(random, [0.0, 0.0], case.jig.radius, effect);
            case.slipped = (0..count).collect();
        }
        _ => {}
    }
    match kind {
        Kind::JigSetUpAndPlate => {
            let gross = case.jig.plates[0].holes[2].zone * random.between(2.0, 6.0);
            seat(random, &mut case, picked[0], gross);
            case.faulty.push(picked[0]);
        }
        Kind::JigPlateOff | Kind::JigTurned | Kind::JigUpsideDown => {
            seat(random, &mut case, picked[0], effect);
            case.faulty.push(picked[0]);
        }
        Kind::JigHoleOff => hole_off(random, &mut case, picked[0], effect),
        Kind::JigMixture => {
            let gross = case.jig.plates[0].holes[2].zone * random.between(1.2, 4.0);
            hole_off(random, &mut case, picked[0], gross);
        }
        _ => {}
    }
    let noted = conditions(random, &mut case, &mut day);
    for n in 0..count {
        let mut sheet = measure(random, &case.jig, n, &day);
        if let Some(temperature) = &noted {
            sheet.temperature.clone_from(temperature);
        }
        case.sheets.push(sheet);
    }
    if kind == Kind::JigWarm {
        case.slipped = (0..count).collect();
    }
    whole_slips(random, &mut case, &picked);
    if !kind.is_sized() {
        case.effect = f64::INFINITY;
    }
    case
}

fn whole_slips(random: &mut Random, case: &mut Case, picked: &[usize]) {
    let [first, second, third] = *picked else { unreachable!("three are picked") };
    let sheets = &mut case.sheets;
    match case.kind {
        Kind::JigSheetsSwapped => {
            sheets[first].of = second;
            sheets[second].of = first;
            case.slipped = vec![first, second];
        }
        Kind::JigUnit => {
            let rows = 0..sheets[first].rows.len();
            unit(random, &mut sheets[first], rows);
            case.slipped = vec![first];
        }
        Kind::JigExchanged => {
            exchange(&mut sheets[first].rows);
            case.slipped = vec![first];
        }
        Kind::JigMixture => {
            one_slip(random, Kind::SlipAndHole, &mut sheets[second]);
            one_slip(random, Kind::SlipAndHole, &mut sheets[third]);
            case.slipped = vec![second, third];
        }
        _ => {}
    }
}
