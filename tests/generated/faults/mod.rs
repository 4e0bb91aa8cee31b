//! Clean projects with one fault each, planted as a person would make it: each is caught by its code on its lines.
//!
//! The table of all of them: `cargo test --locked --test generated catch_table -- --nocapture`.

mod catalogue;
mod claims;
mod dossier;
mod folder;
mod reading;
mod shop;

use folder::{Clean, Folder, findings, lines};
use modstate::codes::{self, Code};
use modstate::finding::{Finding, Severity};
use modstate::report::{Style, render_findings};
use modstate::source::read_texts;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

/// A kind of mistake.
struct Fault {
    code: &'static str,
    /// What a person did.
    what: &'static str,
    /// Makes the mistake, if the project offers an opportunity; the lines that must be pointed at are marked.
    plant: fn(&mut Folder<'_>) -> Option<()>,
    /// Codes of other findings that stop work and follow from the mistake by right.
    also: &'static [&'static str],
}

impl Fault {
    const fn new(code: &'static str, what: &'static str, plant: fn(&mut Folder<'_>) -> Option<()>) -> Fault {
        Fault { code, what, plant, also: &[] }
    }
    const fn with(self, also: &'static [&'static str]) -> Fault {
        Fault { also, ..self }
    }
}

/// Codes that texts in memory cannot have, and those of shop-floor records that made-up projects hold too few of, which
/// are planted in the demo: the test that shows each.
const ELSEWHERE: &[(&str, &str, &str)] = &[
    ("R108", "tests/reading/folders.rs", "a_file_that_cannot_be_opened_is_a_finding_and_hides_no_other"),
    ("R109", "tests/reading/folders.rs", "a_file_in_another_encoding_is_a_finding_and_hides_no_other"),
    ("R201", "tests/reading/sheets.rs", "what_is_no_sheet_is_a_finding"),
    ("R202", "tests/reading/sheets.rs", "columns_are_found_by_name_or_by_the_mapping"),
    ("R203", "tests/reading/sheets.rs", "numbers_and_dates_that_spreadsheets_make_of_names_are_set_aside"),
    ("R204", "tests/reading/sheets.rs", "values_that_do_not_fit_are_set_aside"),
    ("R205", "tests/reading/sheets.rs", "units_missing_or_mixed_are_set_aside"),
    ("R206", "tests/reading/sheets.rs", "cells_that_must_be_filled_are_found_empty"),
    ("R207", "tests/reading/sheets.rs", "blanks_that_nobody_sees_are_set_aside_unless_the_mapping_takes_them_away"),
    ("R208", "tests/reading/sheets.rs", "merged_cells_are_set_aside"),
    ("R209", "tests/reading/sheets.rs", "a_record_twice_in_a_sheet_is_found"),
    ("R210", "tests/reading/sheets.rs", "a_record_that_differs_stays_and_is_found"),
    ("R211", "tests/reading/sheets.rs", "columns_are_found_by_name_or_by_the_mapping"),
    ("S111", "tests/check/broken.rs", "coefficient_without_its_unit"),
    ("S112", "tests/check/broken.rs", "member_names_a_hole_that_is_not_there"),
    ("S113", "tests/check/broken.rs", "holes_in_a_file_that_is_not_there"),
    ("S114", "tests/check/broken.rs", "column_that_is_not_known"),
    ("S115", "tests/check/broken.rs", "line_with_a_cell_too_few"),
    ("S116", "tests/check/broken.rs", "holes_in_the_record_and_in_a_file"),
    ("T211", "tests/check/broken.rs", "rows_too_far_apart_for_the_lap"),
    ("T213", "tests/check/broken.rs", "rivet_left_out_of_each_row"),
    ("T214", "tests/check/broken.rs", "sheet_that_no_table_is_for"),
    ("T215", "tests/check/demo.rs", "the_clean_demo_gives_what_it_is_meant_to_show"),
    ("S301", "tests/check/broken.rs", "bad_hole_in_a_good_plate"),
    ("S302", "tests/check/broken.rs", "instrument_too_coarse"),
    ("S304", "tests/check/broken.rs", "measured_from_the_other_face"),
    ("S305", "tests/check/broken.rs", "half_of_one_variant_and_half_of_another"),
    ("S306", "tests/check/broken.rs", "too_few_holes_measured"),
    ("S307", "tests/check/broken.rs", "hole_left_out"),
    ("S309", "tests/check/broken.rs", "holes_under_each_others_names"),
    ("S401", "tests/check/broken.rs", "stage_that_the_shop_does_not_have"),
    ("S402", "tests/check/broken.rs", "permission_that_does_not_exist"),
    ("S411", "tests/check/broken.rs", "part_made_for_another_ring"),
    ("S412", "tests/check/broken.rs", "part_of_the_wrong_hand"),
    ("S413", "tests/check/broken.rs", "part_to_a_superseded_issue"),
    ("S414", "tests/check/demo.rs", "the_clean_demo_gives_what_it_is_meant_to_show"),
    ("S415", "tests/check/broken.rs", "part_without_a_place"),
    ("S416", "tests/check/demo.rs", "the_clean_demo_gives_what_it_is_meant_to_show"),
    ("S417", "tests/check/broken.rs", "part_that_its_donor_did_not_have"),
    ("S418", "tests/check/broken.rs", "batch_of_unlike_parts"),
    ("S421", "tests/check/broken.rs", "block_for_another_ring"),
    ("S422", "tests/check/broken.rs", "block_to_a_superseded_issue"),
    ("S423", "tests/check/demo.rs", "the_clean_demo_gives_what_it_is_meant_to_show"),
    ("S424", "tests/check/broken.rs", "template_that_the_state_does_not_need"),
    ("S425", "tests/check/demo.rs", "the_clean_demo_gives_what_it_is_meant_to_show"),
    ("S431", "tests/check/broken.rs", "made_after_the_permit_expired"),
    ("S432", "tests/check/broken.rs", "made_under_a_permission_for_another_part"),
    ("S433", "tests/check/broken.rs", "more_made_than_the_permit_allows"),
    ("S434", "tests/check/demo.rs", "the_clean_demo_gives_what_it_is_meant_to_show"),
    ("S441", "tests/check/demo.rs", "the_clean_demo_gives_what_it_is_meant_to_show"),
    ("S451", "tests/check/broken.rs", "leg_left_out_of_a_section"),
    ("S452", "tests/check/broken.rs", "bend_too_tight_for_the_temper"),
    ("S501", "tests/check/broken.rs", "decision_taken_out_of_the_book"),
    ("S502", "tests/check/broken.rs", "decision_dated_before_the_last"),
    ("S503", "tests/check/broken.rs", "withdrawal_of_a_later_decision"),
    ("S504", "tests/check/broken.rs", "decision_without_a_day"),
    ("S505", "tests/check/broken.rs", "decision_that_a_relic_contradicts"),
    ("S506", "tests/check/demo.rs", "the_clean_demo_gives_what_it_is_meant_to_show"),
    ("S507", "tests/check/broken.rs", "decision_that_nothing_settles"),
    ("S508", "tests/check/broken.rs", "two_states_for_one_airframe"),
];

/// How often a fault was planted and caught.
#[derive(Default)]
struct Tally {
    planted: usize,
    caught: usize,
    /// Findings besides, by code.
    others: BTreeMap<Code, usize>,
    /// What went wrong.
    trouble: Vec<String>,
}

/// How many projects each fault is planted in.
const PROJECTS: u64 = if cfg!(debug_assertions) { 5 } else { 40 };

fn all() -> impl Iterator<Item = &'static Fault> {
    [reading::FAULTS, dossier::FAULTS, claims::FAULTS, catalogue::FAULTS, shop::FAULTS].into_iter().flatten()
}

/// Plants the fault in each project that offers an opportunity.
fn tally(fault: &Fault, cleans: &[Clean]) -> Tally {
    let mut tally = Tally::default();
    for (seed, clean) in cleans.iter().enumerate() {
        let mut folder = Folder::new(clean, 1_000 + seed as u64);
        if (fault.plant)(&mut folder).is_none() {
            continue;
        }
        tally.planted += 1;
        let (texts, marked) = folder.texts();
        let reading = read_texts(texts);
        let found = findings(&reading);
        let named = |finding: &Finding| finding.code.entry().code;
        let points_at_all = |finding: &Finding| {
            let at: Vec<(&Path, usize)> = lines(&reading.sources, finding).collect();
            marked.iter().all(|(file, line)| at.contains(&(file.as_path(), *line)))
        };
        let caught = !marked.is_empty() && found.iter().any(|f| named(f) == fault.code && points_at_all(f));
        tally.caught += usize::from(caught);
        let others = || found.iter().filter(|finding| named(finding) != fault.code);
        for other in others() {
            *tally.others.entry(other.code).or_default() += 1;
        }
        let stray: Vec<&Finding> =
            others().filter(|f| f.code.entry().severity == Severity::Stop && !fault.also.contains(&named(f))).collect();
        if !caught || !stray.is_empty() {
            let shown: Vec<Finding> = found.iter().take(6).cloned().collect();
            let style = Style { width: 110, colour: false, unicode: false };
            let shown = render_findings(&shown, &reading.sources, style);
            let what = if caught { "stray findings" } else { "not caught on its lines" };
            tally
                .trouble
                .push(format!("{} {}, seed {seed}: {what}; lines {marked:?}\n{shown}", fault.code, fault.what));
        }
    }
    tally
}

/// The table as text.
fn table(rows: &[(&Fault, Tally)]) -> String {
    let mut text = format!("{:4}  {:62}  {:>7}  {:>6}  {}\n", "Code", "Planted", "Planted", "Caught", "Besides");
    for (fault, tally) in rows {
        let others: Vec<String> = tally.others.iter().map(|(code, times)| format!("{code} x{times}")).collect();
        let (what, planted, caught) = (fault.what, tally.planted, tally.caught);
        let line = format!("{:4}  {what:62}  {planted:>7}  {caught:>6}  {}", fault.code, others.join(" "));
        writeln!(text, "{}", line.trim_end()).expect("a text takes every line");
    }
    for (code, file, test) in ELSEWHERE {
        writeln!(text, "{code}  by {test} in {file}").expect("a text takes every line");
    }
    text
}

#[test]
#[expect(clippy::print_stdout, reason = "the table is asked for with --nocapture")]
fn catch_table() {
    let cleans: Vec<Clean> = (0..PROJECTS).into_par_iter().map(Clean::new).collect();
    let faults: Vec<&Fault> = all().collect();
    let tallies: Vec<Tally> = faults.par_iter().map(|fault| tally(fault, &cleans)).collect();
    let rows: Vec<(&Fault, Tally)> = faults.into_iter().zip(tallies).collect();
    println!("{}", table(&rows));
    let trouble: Vec<&str> = rows.iter().flat_map(|(_, tally)| &tally.trouble).map(String::as_str).collect();
    assert!(trouble.is_empty(), "{} of the plantings went wrong:\n{}", trouble.len(), trouble.join("\n"));
    let never: Vec<&str> = rows.iter().filter(|(_, tally)| tally.planted == 0).map(|(fault, _)| fault.what).collect();
    assert!(never.is_empty(), "hardly ever an opportunity: {never:?}");
}

#[test]
fn every_code_is_planted_or_shown_elsewhere() {
    let planted = |code: &str| all().any(|fault| fault.code == code);
    let elsewhere = |code: &str| ELSEWHERE.iter().any(|(other, ..)| *other == code);
    let codes = codes::all().map(|code| code.entry().code);
    let without: Vec<&str> = codes.filter(|code| planted(code) == elsewhere(code)).collect();
    assert!(without.is_empty(), "neither planted nor shown elsewhere, or both: {without:?}");
    for (code, file, test) in ELSEWHERE {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(file);
        let text = std::fs::read_to_string(path).expect("the test is there");
        let by_function = text.contains(&format!("fn {test}()"));
        let by_edit = text.contains(&format!("{test}: \"{code}\" at "));
        assert!(by_function || by_edit, "{code}: no {test} in {file}");
    }
}
