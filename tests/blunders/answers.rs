//! What the program says of a case: read from its JSON. Where a survey has `advice`, that is read; else its words.

use super::cases::Case;
use super::dossier;
use modstate::cli::{Answer, Around, run};
use serde_json::Value;
use std::path::Path;

/// Work that cannot be undone by reading a figure again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Work {
    Drill,
    /// Make another plate, or take this one off.
    Replace,
    /// Set a plate, a member or a datum elsewhere.
    Move,
}

#[derive(Clone, Debug)]
pub(crate) struct Order {
    pub work: Work,
    /// By name; empty: the whole plate.
    pub holes: Vec<String>,
    /// Which verb said it, and how.
    pub said: String,
}

/// What is said of one plate.
#[derive(Clone, Debug, Default)]
pub(crate) struct Said {
    pub orders: Vec<Order>,
    /// Something is to be checked, measured or looked at before anything else.
    pub flagged: bool,
    /// Every word of the reasons, in lower case.
    pub reasons: String,
    /// Verdicts by hole, where they are taken against the plate's own drawing.
    pub holes: Vec<(String, String)>,
    pub state: String,
    /// The jig's word for it, and whether that rests on measured holes.
    pub verdict: String,
    pub measured: bool,
}

/// Everything said of a case, by plate.
pub(crate) fn ask(case: &Case, folder: &Path) -> Vec<Said> {
    dossier::write(folder, &case.jig, &case.sheets).expect("the folder can be written");
    let mut all = vec![Said::default(); case.jig.plates.len()];
    let place = |mark: &Value| case.jig.plates.iter().position(|plate| Some(plate.mark.as_str()) == mark.as_str());
    let (surveys, findings) = answer(folder, "survey");
    for survey in surveys {
        if let Some(n) = place(&survey["mark"]) {
            read_survey(&mut all[n], &survey, &case.jig.plates[n].number);
            // Findings that stop work name the line; nothing is proved until it is put right.
            if all[n].state == "not-read" {
                all[n].flagged = true;
                all[n].reasons += &findings.to_lowercase();
            }
        }
    }
    for (mark, todo) in todos(&said(folder, &["survey", "--width", "400"]).out) {
        if let Some(n) = place(&Value::String(mark)) {
            all[n].orders.extend(todo.split(". ").flat_map(|part| in_words(part, "survey as text")));
        }
    }
    for jig in answer(folder, "jig").0 {
        for station in list(&jig["stations"]) {
            if let Some(n) = place(&station["mark"]) {
                read_station(&mut all[n], station);
            }
        }
    }
    for rework in answer(folder, "rework").0 {
        for step in list(&rework["steps"]) {
            let station = step["station"].as_str();
            if let Some(n) = case.jig.plates.iter().position(|plate| Some(plate.station.as_str()) == station)
                && step["kind"] != "measure"
            {
                let said = format!("rework: {}", text(&step["text"]));
                let orders = match text(&step["kind"]) {
                    "make" | "exchange" | "take off" => vec![Order { work: Work::Replace, holes: Vec::new(), said }],
                    _ => in_words(text(&step["text"]), "rework"),
                };
                all[n].orders.extend(orders);
            }
        }
    }
    all
}

/// The objects that a verb answers with, and its findings that stop work.
fn answer(folder: &Path, verb: &str) -> (Vec<Value>, String) {
    let said = said(folder, &[verb, "--format", "json"]);
    match serde_json::from_str(&said.out) {
        Ok(Value::Array(all)) => (all, said.err),
        Ok(one @ Value::Object(_)) => (vec![one], said.err),
        _ => panic!("`{verb}` gives no JSON on {}: {}", folder.display(), said.err),
    }
}

fn said(folder: &Path, args: &[&str]) -> Answer {
    run(&Around {
        args: ["modstate"].iter().chain(args).map(std::ffi::OsString::from).collect(),
        folder: folder.to_path_buf(),
        no_color: true,
        terminal: None,
        today: "2024-05-06".to_owned(),
        progress: None,
        tell: |_| Ok(()),
    })
}

/// What the sheets for people say is to be done, by the mark of the plate.
fn todos(text: &str) -> Vec<(String, String)> {
    let mut all: Vec<(String, String)> = Vec::new();
    let mut inside = false;
    for line in text.lines() {
        if let Some((_, rest)) = line.split_once(" of plate ").filter(|(start, _)| start.starts_with("Survey ")) {
            all.push((rest.split(',').next().unwrap_or_default().to_owned(), String::new()));
        }
        inside = line.starts_with("To do:") || inside && line.starts_with(' ');
        if let Some((_, todo)) = all.last_mut().filter(|_| inside) {
            *todo += line.trim_start_matches("To do:");
        }
    }
    all
}

fn list(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_default()
}

fn read_survey(said: &mut Said, survey: &Value, number: &str) {
    text(&survey["state"]).clone_into(&mut said.state);
    if text(&survey["against"]) == number {
        let holes = list(&survey["holes"]).iter();
        said.holes = holes.map(|hole| (text(&hole["hole"]).to_owned(), text(&hole["verdict"]).to_owned())).collect();
    }
    if survey["advice"].is_array() {
        advice(said, &survey["advice"], "survey");
        return;
    }
    for remedy in list(&survey["remedies"]) {
        words(said, text(remedy), "survey");
    }
    for field in ["suspects", "strange", "errors"] {
        said.reasons += &survey[field].to_string().to_lowercase();
    }
    said.flagged |= !list(&survey["suspects"]).is_empty();
}

fn read_station(said: &mut Said, station: &Value) {
    text(&station["verdict"]["firm"]).clone_into(&mut said.verdict);
    said.measured = text(&station["proved"]) == "surveyed" && text(&station["rests_on"]).contains("holes");
    let inside =
        if station["measured"]["advice"].is_array() { &station["measured"]["advice"] } else { &station["advice"] };
    if inside.is_array() {
        advice(said, inside, "jig");
    } else {
        words(said, text(&station["remedy"]), "jig");
    }
}

/// The typed advice. "Survey again" after work on metal is no flag, nor is a finer measurement: that is undecided.
fn advice(said: &mut Said, advice: &Value, verb: &str) {
    let orders = said.orders.len();
    for item in list(advice) {
        let action = text(&item["action"]);
        let holes: Vec<String> = list(&item["holes"]).iter().map(|hole| text(hole).to_owned()).collect();
        let work = match action {
            "plug-and-redrill" | "drill" | "ream" => Some(Work::Drill),
            "make-another" | "take-off" | "exchange" | "rework-to" => Some(Work::Replace),
            "shift-member" | "reset-datum" | "set-plate-again" | "move-plate" | "shift-plate" => Some(Work::Move),
            _ if item["destroys_work"] == true => Some(Work::Replace),
            _ => None,
        };
        if let Some(work) = work {
            said.orders.push(Order { work, holes, said: format!("{verb}: {item}") });
        } else if !matches!(action, "none" | "survey-again") && !action.starts_with("measure") {
            said.flagged = true;
        }
        said.reasons += &format!("{action} {} {};", text(&item["suspect"]), text(&item["figure"])).to_lowercase();
    }
    let again = list(advice).iter().any(|item| item["action"] == "survey-again");
    said.flagged |= again && said.orders.len() == orders;
}

fn words(said: &mut Said, remedy: &str, verb: &str) {
    for part in remedy.split("; ").flat_map(|part| part.split(" then ")) {
        let found = in_words(part, verb);
        let looks = ["check", "look", "measure", "set up", "again, before"].iter().any(|word| part.contains(word));
        said.flagged |= found.is_empty() && looks && !part.contains("better than");
        said.orders.extend(found);
        // A message that names every slip at once names none.
        if !part.contains("would do that") {
            said.reasons += &part.to_lowercase();
            said.reasons.push(';');
        }
    }
}

/// The work that words order. What follows an "else" is not ordered yet.
fn in_words(part: &str, verb: &str) -> Vec<Order> {
    let part = part.trim();
    let order = |work, holes| vec![Order { work, holes, said: format!("{verb}: {part}") }];
    if part.starts_with("else ") {
        return Vec::new();
    }
    if let Some((_, rest)) = part.split_once("plug and redrill") {
        let names = rest.split(|c: char| !c.is_ascii_alphanumeric());
        let holes = names.filter(|name| name.len() > 1 && name.ends_with(|c: char| c.is_ascii_digit()));
        return order(Work::Drill, holes.map(str::to_owned).collect());
    }
    let starts = |words: &[&str]| words.iter().any(|word| part.starts_with(word));
    if starts(&["make ", "take ", "rework "]) {
        order(Work::Replace, Vec::new())
    } else if starts(&["set ", "move ", "shift ", "re-set ", "turn "]) && !part.contains("instrument") {
        order(Work::Move, Vec::new())
    } else {
        Vec::new()
    }
}
