//! Blunders of measuring, drawn from a truth and from what people do with instruments and pencils, and the advice of the
//! program judged against that truth. Nothing here shares code with what judges surveys.
//!
//! `MODSTATE_KEEP=DIR` keeps the projects of the answers that are at fault.
#![expect(clippy::wildcard_enum_match_arm, reason = "most kinds of error are alike in most places")]

mod answers;
mod cases;
mod dossier;
mod judge;
mod kinds;
mod people;
#[path = "../random.rs"]
mod random;
mod table;
mod world;

use kinds::{Kind, Size};
use table::Table;

/// How often a kind is drawn at each of its sizes, and how often one without sizes.
const SINGLE: (usize, usize) = (10, 16);
const JIGS: (usize, usize) = (5, 11);

/// What is drawn of the kinds of one sort.
fn drawn(whole: bool, (sized, gross): (usize, usize)) -> Vec<(Kind, Size, usize)> {
    let mut all = Vec::new();
    for kind in Kind::ALL.iter().filter(|kind| kind.is_whole() == whole) {
        let (all_sizes, often) = if kind.is_sized() { (&Size::ALL[..], sized) } else { (&Size::ALL[4..], gross) };
        for size in all_sizes {
            all.extend((0..often).map(|nth| (*kind, *size, nth)));
        }
    }
    all
}

#[test]
#[cfg_attr(debug_assertions, ignore = "over a thousand projects: when optimised")]
fn single_surveys() {
    let cases = drawn(false, SINGLE);
    assert!(cases.len() >= 1000, "{} surveys are too few", cases.len());
    Table::of(&cases).hold();
}

#[test]
#[cfg_attr(debug_assertions, ignore = "over a thousand projects: when optimised")]
fn some_whole_jigs() {
    let gross = drawn(true, (1, 1)).into_iter().filter(|(_, size, _)| *size == Size::Gross);
    Table::of(&gross.collect::<Vec<_>>()).hold();
}

#[test]
#[ignore = "200 jigs: for the full run"]
fn all_whole_jigs() {
    let cases = drawn(true, JIGS);
    assert!(cases.len() >= 200, "{} jigs are too few", cases.len());
    Table::of(&cases).hold();
}

/// The generator itself: without a slip or a fault no hole is out of its zone, and a slip is what it says.
#[test]
fn truth_is_as_drawn() {
    for (kind, size, nth) in drawn(false, (3, 3)) {
        let case = cases::case(kind, size, nth);
        let again = cases::case(kind, size, nth);
        assert!(
            case.sheets.iter().zip(&again.sheets).all(|(a, b)| a.rows == b.rows),
            "{} is not the same twice",
            kind.name()
        );
        let good = case.jig.plates.iter().enumerate().filter(|(n, _)| !case.faulty.contains(n));
        for (_, plate) in good {
            for hole in 0..plate.holes.len() {
                assert!(plate.off_as_drilled(hole) <= plate.holes[hole].zone / 2.0, "{}: {plate:?}", kind.name());
            }
        }
    }
}
