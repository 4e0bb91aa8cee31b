//! The dates: whatever stop is shown, the page says what the program says of that day.

use crate::browser::{browser, open};
use crate::{demo, modstate, whole_book};
use rayon::prelude::*;
use serde_json::{Value, json};

/// The rows of an answer, cell by cell, as the page has them.
type Rows = Vec<Vec<String>>;

/// Which state an answer is asked of: the options of the command line.
fn asked(day: &str) -> Vec<String> {
    let named = day.strip_prefix("build state \u{201c}").and_then(|rest| rest.strip_suffix('\u{201d}'));
    match named {
        Some(name) => vec!["--build".to_owned(), name.to_owned()],
        None => vec!["--on".to_owned(), day.to_owned()],
    }
}

fn answer(verb: &str, day: &str) -> Value {
    let options = asked(day);
    let mut args = vec![verb, "7C537", "--format", "json"];
    args.extend(options.iter().map(String::as_str));
    let run = modstate(&demo(), &args);
    serde_json::from_slice(&run.stdout).unwrap_or_else(|error| panic!("{verb} {day}: {error}"))
}

fn text(value: &Value) -> String {
    value.as_str().unwrap_or_default().to_owned()
}

/// Number, status, form, since and reason of each modification, with a row for the other basis where it differs.
fn state_rows(json: &Value) -> Rows {
    let mut rows = Rows::new();
    for line in json["modifications"].as_array().expect("a list") {
        let row = |name: String, basis: &str| {
            let of = |field: &str| text(&line[field][basis]);
            vec![name, of("standing"), of("form"), of("since_words"), of("reason")]
        };
        rows.push(row(text(&line["number"]), "firm"));
        if ["standing", "form", "since"].iter().any(|field| line[*field]["firm"] != line[*field]["held"]) {
            rows.push(row("*".to_owned(), "held"));
        }
    }
    rows
}

/// Part, least and most, and issues of each line of the bill, in the order of the tree.
fn bill_rows(line: &Value, rows: &mut Rows) {
    for choice in line["choices"].as_array().expect("a list") {
        let part = choice["part"].as_str();
        let number = |end: &str| choice["quantity"][end].as_u64().map(|number| number.to_string()).unwrap_or_default();
        let issues = choice["issues"].as_array().cloned().unwrap_or_default();
        let issues: Vec<String> = issues.iter().map(|issue| text(&issue["issue"])).collect();
        let (least, most) = if part.is_some() { (number("least"), number("most")) } else { Default::default() };
        rows.push(vec![part.unwrap_or("nothing").to_owned(), least, most, issues.join(" or ")]);
        for below in choice["below"].as_array().expect("a list") {
            bill_rows(below, rows);
        }
    }
}

/// The same of a row of the page.
fn bill_row(cells: &[String]) -> Vec<String> {
    let numbers: Vec<&str> = cells[3].split(|c: char| !c.is_ascii_digit()).filter(|text| !text.is_empty()).collect();
    let end = |number: Option<&&str>| number.map(|number| (*number).to_owned()).unwrap_or_default();
    vec![cells[1].trim_start_matches("? ").to_owned(), end(numbers.first()), end(numbers.last()), cells[4].clone()]
}

fn rows_of(value: &Value) -> Rows {
    serde_json::from_value(value.clone()).expect("rows of cells")
}

/// What the program says of a day: its state and its bill.
fn said(day: &str) -> (Rows, Rows) {
    let mut bill = Rows::new();
    bill_rows(&answer("bill", day)["tree"], &mut bill);
    (state_rows(&answer("state", day)), bill)
}

/// A day as the page writes it, as the program reads it.
fn iso(day: &str) -> String {
    jiff::civil::Date::strptime("%d %b %Y", day).map_or_else(|_| day.to_owned(), |day| day.to_string())
}

/// The visible rows of the tables at the stop that is shown: of the state and of the bill.
const SHOWN: &str = "[...document.querySelectorAll('#dates table')].map((table) => [...table.tBodies[0].rows].filter((row) => !row.hidden)\
                     .map((row) => [...row.cells].slice(0, -1).map((cell) => cell.textContent)))";

#[test]
fn every_stop_shows_what_the_program_says_of_that_day() {
    let Some(browser) = browser() else { return };
    let made = whole_book();
    let page = open(&browser, &made.path(), "#dates");
    let names =
        page.ask("[...document.querySelectorAll('#beside option')].slice(1).map((option) => option.textContent)");
    let names: Vec<String> = serde_json::from_value(names).expect("names");
    assert!(names.len() > 20, "{names:?}");
    let at_stops: Vec<Value> = (0..names.len())
        .map(|stop| {
            page.ask(&format!(
                "(() => {{ const slide = document.querySelector('#stop'); slide.value = {stop}; slide.dispatchEvent(new Event('input')); \
                 return [document.querySelector('#shown').textContent, slide.getAttribute('aria-valuetext'), {SHOWN}]; }})()"
            ))
        })
        .collect();
    let days: Vec<String> = names.iter().map(|name| iso(name)).collect();
    let answers: Vec<(Rows, Rows)> = days.par_iter().map(|day| said(day)).collect();
    for (stop, (shown, (state, bill))) in at_stops.iter().zip(&answers).enumerate() {
        assert_eq!((&shown[0], &shown[1]), (&json!(names[stop]), &json!(names[stop])));
        let [frames, of_state, of_bill] = [0, 1, 2].map(|table| rows_of(&shown[2][table]));
        assert!(frames.len() >= 5, "every frame is there");
        assert_eq!(of_state, *state, "the state at {}", names[stop]);
        let of_bill: Rows = of_bill.iter().map(|row| bill_row(row)).collect();
        assert_eq!(of_bill, *bill, "the bill at {}", names[stop]);
    }
    // Between two stops nothing changes.
    let parsed: Vec<jiff::civil::Date> = days.iter().filter_map(|day| day.parse().ok()).collect();
    let between: Vec<(usize, String)> = parsed
        .windows(2)
        .enumerate()
        .filter_map(|(stop, pair)| {
            let apart = pair[0].until(pair[1]).ok()?.get_days();
            let day = pair[0].checked_add(jiff::Span::new().days(apart / 2)).ok()?;
            (apart > 2).then(|| (stop, day.to_string()))
        })
        .collect();
    assert!(between.len() > 15, "{between:?}");
    let some: Vec<&(usize, String)> = between.iter().step_by(3).collect();
    some.par_iter().for_each(|(stop, day)| assert_eq!(said(day), answers[*stop], "{day} is as {}", days[*stop]));
}

#[test]
fn two_dates_stand_side_by_side_with_their_differences() {
    let Some(browser) = browser() else { return };
    let made = whole_book();
    let page = open(&browser, &made.path(), "#dates");
    let found = page.ask(
        "(() => { const [slide, beside] = ['#stop', '#beside'].map((id) => document.querySelector(id)); beside.value = '0'; \
         document.querySelector('#differing').checked = true; beside.dispatchEvent(new Event('input')); \
         return [...document.querySelectorAll('#dates tr[data-on]')].filter((row) => !row.hidden).map((row) => [row.cells[0].textContent, row.cells[row.cells.length - 1].textContent]); })()",
    );
    let rows = rows_of(&found);
    let of = |name: &str| rows.iter().filter(|row| row[0] == name).map(|row| row[1].as_str()).collect::<Vec<_>>();
    let mut frame = of("F14");
    frame.sort_unstable();
    assert_eq!(frame, ["27 Aug 1941", "build state \u{201c}rebuild\u{201d}"]);
    assert_eq!(of("TM004"), Vec::<&str>::new(), "what does not differ is hidden");
    // 50 ms is what an eye takes for at once.
    let took = page.ask(
        "(() => { const slide = document.querySelector('#stop'); const from = performance.now(); \
         for (let stop = 0; stop < 40; stop += 1) { slide.value = stop; slide.dispatchEvent(new Event('input')); document.body.offsetHeight; } return (performance.now() - from) / 40; })()",
    );
    assert!(took.as_f64() < Some(200.0), "a step takes {took} ms");
}
