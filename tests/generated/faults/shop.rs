//! Faults on the shop floor.

use super::Fault;
use super::folder::{Folder, MARK, Spot};

/// A line of a record that mounts a plate, other than the first one.
fn mounted(f: &mut Folder<'_>, jig: Spot) -> Option<String> {
    let lines: Vec<String> =
        f.text(jig).lines().filter(|line| line.contains("(mark: \"P")).skip(1).map(str::to_owned).collect();
    f.one(lines)
}

/// What stands in quotes behind a field on a line.
pub(super) fn value(line: &str, field: &str) -> Option<String> {
    Some(line.split(&format!("{field}: \"")).nth(1)?.split('"').next()?.to_owned())
}

/// The survey of a plate on a jig.
pub(super) fn survey(f: &mut Folder<'_>, jig: Spot, mark: &str) -> Option<Spot> {
    let name = value(f.text(jig), "name")?;
    f.find("Survey", &format!("jig: \"{name}\", mark: \"{mark}\""))
}

/// Enters another variant as what a plate was made to; the jig, and the plate's line as it was.
fn made_to_another(f: &mut Folder<'_>) -> Option<(Spot, String)> {
    let jig = f.find("Jig", "station: \"2 starboard\"")?;
    let line = f.text(jig).lines().find(|line| line.contains("station: \"2 starboard\""))?.to_owned();
    let right = value(&line, "made_to")?;
    let of_frame = right.split('-').next()?.to_owned();
    let plates = f.model().plates.iter().filter(|(_, number, plate)| {
        *number != right && number.starts_with(&format!("{of_frame}-")) && plate.jig_station == "2 starboard"
    });
    let others: Vec<String> = plates.map(|(_, number, _)| number.to_owned()).collect();
    let wrong = f.one(others)?;
    f.swap(jig, &line, &format!("{}{MARK}", line.replace(&right, &wrong)));
    Some((jig, line))
}

/// Takes out what a plate was made to; the jig, and the plate's line as it was.
fn without_record(f: &mut Folder<'_>) -> Option<(Spot, String)> {
    let jig = f.find("Jig", "")?;
    let line = mounted(f, jig)?;
    let made_to = value(&line, "made_to")?;
    f.swap(jig, &line, &format!("{}{MARK}", line.replace(&format!(", made_to: \"{made_to}\""), "")));
    Some((jig, line))
}

/// A made part of a part that meets a test, entered anew.
fn made(f: &mut Folder<'_>, meets: impl Fn(&modstate::model::Part) -> bool, fields: &str) -> Option<()> {
    let parts: Vec<String> =
        f.model().parts.iter().filter(|(_, _, part)| meets(part)).map(|(_, number, _)| number.to_owned()).collect();
    let part = f.one(parts)?;
    let beside = f.find("MadePart", "")?;
    f.add(beside, &format!("    MadePart(\n        part: \"{part}\", quantity: 1,\n        {fields},{MARK}\n    ),\n"));
    Some(())
}

pub(super) const FAULTS: &[Fault] = &[
    Fault::new("shop-131", "a finding accepted by a code that is none", |f| {
        let jig = f.find("Jig", "")?;
        let text = format!(
            "    Accepted(\n        facts: \"8d1f03c2\", finding: \"record-2l5\",{MARK}\n        by: \"L. Ashgrove\", date: \"1999-05-01\", because: \"It is so on the drawing.\",\n    ),\n"
        );
        f.add(jig, &text);
        Some(())
    }),
    Fault::new("shop-101", "a survey of a jig that is none", |f| {
        let survey = f.find("Survey", "")?;
        f.swap(survey, "jig: \"J", "jig: \"J9");
        f.mark(survey, "jig: ");
        Some(())
    }),
    Fault::new("shop-102", "a plate on a station that is none", |f| {
        let jig = f.find("Jig", "")?;
        f.swap(jig, "mark: \"P2\", station: \"", "mark: \"P2\", station: \"1");
        f.mark(jig, "mark: \"P2\"");
        Some(())
    }),
    Fault::new("shop-103", "a survey of a plate that is not mounted", |f| {
        let survey = f.find("Survey", "")?;
        f.swap(survey, "mark: \"P", "mark: \"P9");
        f.mark(survey, "mark: ");
        Some(())
    }),
    Fault::new("shop-104", "two plates on one station", |f| {
        let jig = f.find("Jig", "station: \"1 crown\"")?;
        let line = mounted(f, jig)?;
        let station = value(&line, " station")?;
        f.mark(jig, "station: \"1 crown\"");
        f.swap(jig, &line, &format!("{}{MARK}", line.replace(&station, "1 crown")));
        Some(())
    })
    .with(&["jig-201"]),
    Fault::new("shop-105", "a temperature in degrees Fahrenheit", |f| {
        let survey = f.find("Survey", "")?;
        f.swap(survey, "20.0C", "65F");
        f.mark(survey, "65F");
        Some(())
    }),
    Fault::new("shop-106", "the issue of a part without a drawing", |f| {
        made(f, |part| part.drawing.is_none(), "issue: \"A\"")
    }),
    Fault::new("shop-107", "a made part marked for the other side", |f| {
        made(f, |part| part.hand == Some(modstate::schema::Hand::Port), "hand: Starboard")
    }),
    Fault::new("shop-108", "a survey without holes", |f| {
        let survey = f.find("Survey", "")?;
        let holes = f.text(survey).split("holes: [").nth(1)?.split("        ],\n").next()?.to_owned();
        f.swap(survey, &format!("holes: [{holes}        ],\n"), &format!("holes: [],{MARK}\n"));
        Some(())
    }),
    Fault::new("shop-109", "a permission that ended before it began", |f| {
        let beside = f.find("MadePart", "")?;
        let part = value(f.text(beside), "part")?;
        f.add(beside, &format!("    Concession(\n        reference: \"CN 99\", part: \"{part}\", deviation: \"Two holes opened out.\",\n        allowed_by: \"L. Ashgrove\", date: \"1999-05\",{MARK}\n        expires: \"1998-05\",{MARK}\n    ),\n"));
        Some(())
    }),
    Fault::new("shop-110", "the name of a build state misspelt", |f| {
        let jig = f.find("Jig", "")?;
        f.swap(jig, "build_state: \"rebuild\"", "build_state: \"rebiuld\"");
        f.mark(jig, "rebiuld");
        Some(())
    }),
    Fault::new("jig-201", "a plate made to another variant, and not surveyed", |f| {
        let (jig, line) = made_to_another(f)?;
        let survey = survey(f, jig, &value(&line, "mark")?)?;
        f.remove(survey);
        Some(())
    }),
    Fault::new("survey-303", "a record that names another variant than the holes", |f| made_to_another(f).map(|_| ())),
    Fault::new("jig-202", "a plate taken off", |f| {
        let jig = f.find("Jig", "station: \"3 keel\"")?;
        let line = f.text(jig).lines().find(|line| line.contains("station: \"3 keel\""))?.to_owned();
        let survey = survey(f, jig, &value(&line, "mark")?)?;
        f.remove(survey);
        f.swap(jig, &format!("{line}\n"), "");
        f.mark(jig, "stations: ");
        Some(())
    }),
    Fault::new("jig-203", "a plate left on that the state does not need", |f| {
        let jigs: Vec<Spot> = f
            .all("Jig")
            .into_iter()
            .filter(|jig| {
                let text = f.text(*jig);
                text.contains("\"5 opening\"") && !text.contains("station: \"5 opening\"")
            })
            .collect();
        let jig = f.one(jigs)?;
        let name = value(f.text(jig), "name")?;
        let bridge =
            f.model().plates.iter().find(|(_, number, plate)| {
                number.starts_with(&format!("{name}-")) && plate.jig_station == "5 opening"
            })?;
        let line = format!("            (mark: \"P9\", station: \"5 opening\", made_to: \"{}\"),{MARK}", bridge.1);
        f.below(jig, "mounted: [", &line);
        Some(())
    }),
    Fault::new("jig-204", "a plate of which nobody knows what it was made to, not surveyed", |f| {
        let (jig, line) = without_record(f)?;
        let survey = survey(f, jig, &value(&line, "mark")?)?;
        f.remove(survey);
        Some(())
    }),
    Fault::new("survey-308", "a plate of which only its holes say what it is", |f| without_record(f).map(|_| ())),
    Fault::new("jig-205", "a plate reworked after its survey", |f| {
        let jig = f.find("Jig", "")?;
        let line = f.text(jig).lines().find(|line| line.contains("(mark: ") && !line.contains("reworked"))?.to_owned();
        let survey = survey(f, jig, &value(&line, "mark")?)?;
        f.mark(survey, "date: ");
        f.swap(jig, &line, &line.replace("),", &format!(", reworked: \"2024-03-11\"),{MARK}")));
        Some(())
    }),
    Fault::new("jig-206", "a plate that was never surveyed", |f| {
        let jig = f.find("Jig", "")?;
        let line = mounted(f, jig)?;
        let survey = survey(f, jig, &value(&line, "mark")?)?;
        f.remove(survey);
        f.mark(jig, &line);
        Some(())
    }),
    Fault::new("jig-207", "a definition for a station that the jig lacks", |f| {
        let jig = f.find("Jig", "station: \"2 starboard\"")?;
        let name = value(f.text(jig), "name")?;
        let on = f.text(jig).to_owned();
        let plates =
            f.model().plates.iter().filter(|(_, number, _)| {
                number.starts_with(&format!("{name}-")) && !on.contains(&format!("\"{number}\""))
            });
        let plates: Vec<Spot> = plates.map(|(_, _, plate)| Spot::from(plate.record)).collect();
        let plate = f.one(plates)?;
        f.swap(plate, "jig_station: \"", "jig_station: \"9");
        f.mark(plate, "jig_station");
        f.mark(jig, "stations: ");
        Some(())
    }),
    Fault::new("jig-208", "a jig that is set for nothing", |f| {
        let jig = f.find("Jig", "")?;
        f.swap_line(jig, "set_for: ", "");
        f.mark(jig, "name: ");
        Some(())
    }),
];
