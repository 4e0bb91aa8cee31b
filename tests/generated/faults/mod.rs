//! Clean projects with one fault each, planted as a person would make it: each is caught by its code on its lines.
//!
//! The table of all of them: `cargo test --locked --test generated catch_table -- --nocapture`.

mod catalogue;
mod claims;
mod dossier;
mod folder;
mod rack;
mod reading;
mod sheets;
mod shop;
mod surveys;
mod tables;

use folder::{Clean, Folder, findings, lines};
use modstate::codes::{self, Code};
use modstate::finding::{Finding, Severity};
use modstate::layout::{Style, render_findings};
use modstate::source::read_texts;
use rayon::prelude::*;
use sheets::{PartsList, SheetFault};
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

/// Codes that the texts of a project cannot have: the test that shows each.
const ELSEWHERE: &[(&str, &str, &str)] = &[
    ("file-108", "tests/reading/folders.rs", "a_file_that_cannot_be_opened_is_a_finding_and_hides_no_other"),
    ("file-109", "tests/reading/folders.rs", "a_file_in_another_encoding_is_a_finding_and_hides_no_other"),
    ("part-432", "tests/check/broken.rs", "formed_on_a_plate_that_was_changed_afterwards"),
    ("record-217", "tests/check/questions.rs", "what_has_not_come_yet_is_asked_about"),
    ("shop-132", "tests/check/questions.rs", "what_is_accepted_is_listed_apart_until_its_facts_change"),
    ("record-142", "tests/check/causes.rs", "a_copied_file_is_one_finding_that_names_both"),
    ("type-212", "tests/check/causes.rs", "a_splice_in_the_wrong_place_is_one_finding"),
    ("type-213", "tests/check/causes.rs", "ends_exchanged_are_one_finding"),
    ("type-301", "tests/check/questions.rs", "hole_far_off_its_frame"),
    ("type-303", "tests/check/questions.rs", "station_ten_times_as_far_aft"),
    ("claim-301", "tests/check/questions.rs", "claim_years_after_its_evidence"),
    ("shop-121", "tests/check/questions.rs", "part_made_before_its_issue"),
    ("type-304", "tests/check/questions.rs", "breadth_for_height"),
    ("claim-215", "tests/engine/hard.rs", "a_claim_that_is_too_hard_to_judge_leaves_the_rest_answered"),
    ("type-110", "tests/engine/hard.rs", "a_condition_that_is_too_hard_is_not_proved_and_says_so"),
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
    let shop = [shop::FAULTS, surveys::FAULTS, rack::FAULTS, tables::FAULTS];
    [reading::FAULTS, dossier::FAULTS, claims::FAULTS, catalogue::FAULTS].into_iter().chain(shop).flatten()
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

/// A line of the table.
struct Row {
    code: &'static str,
    what: &'static str,
    tally: Tally,
}

/// The table as text.
fn table(rows: &[Row]) -> String {
    let mut text = format!("{:4}  {:62}  {:>7}  {:>6}  {}\n", "Code", "Planted", "Planted", "Caught", "Besides");
    for Row { code, what, tally } in rows {
        let others: Vec<String> = tally.others.iter().map(|(code, times)| format!("{code} x{times}")).collect();
        let (planted, caught) = (tally.planted, tally.caught);
        let line = format!("{code:4}  {what:62}  {planted:>7}  {caught:>6}  {}", others.join(" "));
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
    let lists: Vec<PartsList> = (0..PROJECTS).into_par_iter().map(PartsList::new).collect();
    let faults: Vec<&Fault> = all().collect();
    let dossiers =
        faults.par_iter().map(|fault| Row { code: fault.code, what: fault.what, tally: tally(fault, &cleans) });
    let of_sheet =
        |fault: &'static SheetFault| Row { code: fault.code, what: fault.what, tally: sheets::tally(fault, &lists) };
    let rows: Vec<Row> = dossiers.chain(sheets::FAULTS.par_iter().map(of_sheet)).collect();
    println!("{}", table(&rows));
    let trouble: Vec<&str> = rows.iter().flat_map(|row| &row.tally.trouble).map(String::as_str).collect();
    assert!(trouble.is_empty(), "{} of the plantings went wrong:\n{}", trouble.len(), trouble.join("\n"));
    let never: Vec<&str> = rows.iter().filter(|row| row.tally.planted == 0).map(|row| row.what).collect();
    assert!(never.is_empty(), "hardly ever an opportunity: {never:?}");
}

#[test]
fn every_code_is_planted_or_shown_elsewhere() {
    let in_sheets = |code: &str| sheets::FAULTS.iter().any(|fault| fault.code == code);
    let planted = |code: &str| all().any(|fault| fault.code == code) || in_sheets(code);
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
