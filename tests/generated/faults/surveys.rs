//! Faults of surveys: of how the holes are written, and of what they say of the metal.

use super::Fault;
use super::folder::{Folder, MARK, Spot};
use super::shop::{survey, value};

/// A survey of a plate of some station with its lines of holes, and the jig.
fn measured(f: &mut Folder<'_>, station: &str) -> Option<(Spot, Vec<String>, Spot)> {
    let jig = f.find("Jig", &format!("station: \"{station}\""))?;
    let line = f.text(jig).lines().find(|line| line.contains(&format!("station: \"{station}\"")))?.to_owned();
    let survey = survey(f, jig, &value(&line, "mark")?)?;
    let holes = f.text(survey).lines().filter(|line| line.contains("(hole: ")).map(str::to_owned).collect();
    Some((survey, holes, jig))
}

/// Puts other lines in the place of the holes of a survey.
fn rewritten(f: &mut Folder<'_>, survey: Spot, holes: &[String], new: &str) {
    f.swap(survey, &format!("{}\n", holes.join("\n")), new);
}

/// Puts the holes of a survey into a CSV file, with a change made to it, and names the file in the survey.
fn in_file(f: &mut Folder<'_>, change: impl FnOnce(&mut Vec<String>) -> Option<()>) -> Option<Spot> {
    let (survey, holes, _) = measured(f, "1 crown").or_else(|| measured(f, "1 bottom"))?;
    let cells = |line: &String| {
        let all: Option<Vec<String>> = ["hole", "x", "y", "diameter"].iter().map(|field| value(line, field)).collect();
        Some(all?.join(","))
    };
    let mut rows = vec!["id,x,y,diameter".to_owned()];
    rows.extend(holes.iter().map(cells).collect::<Option<Vec<String>>>()?);
    change(&mut rows)?;
    rewritten(f, survey, &holes, "");
    f.swap(survey, "        holes: [\n        ],\n", "        holes_from: \"shop/surveys/taken.csv\",\n");
    f.add_file("shop/surveys/taken.csv", rows.join("\n") + "\n");
    Some(survey)
}

/// The lines of a survey's holes, each by the name of its hole.
fn hole<'l>(holes: &'l [String], name: &str) -> Option<&'l String> {
    holes.iter().find(|line| line.contains(&format!("(hole: \"{name}\"")))
}

/// A coordinate so many millimetres further on.
fn further(written: &str, by: f64) -> Option<String> {
    Some(format!("{:.3}mm", written.trim_end_matches("mm").parse::<f64>().ok()? + by))
}

/// The place of a hole of a definition as a survey writes it.
fn drawn(f: &Folder<'_>, plate: &str, name: &str) -> Option<String> {
    let (_, _, plate) = f.model().plates.iter().find(|(_, number, _)| *number == plate)?;
    let hole = plate.holes.iter().find(|hole| hole.name == name)?;
    Some(format!("x: \"{:.3}mm\", y: \"{:.3}mm\", diameter: \"3.30mm\"", hole.at[0].mm(), hole.at[1].mm()))
}

pub(super) const FAULTS: &[Fault] = &[
    Fault::new("shop-111", "an expansion without its unit", |f| {
        let jig = f.find("Jig", "")?;
        f.below(jig, "name: \"J", &format!("        expansion: \"11.5\",{MARK}"));
        Some(())
    }),
    Fault::new("shop-112", "a member of a hole that is not drawn", |f| {
        let plate = f.find("Plate", "")?;
        let member = format!("        members: [(member: \"row\", holes: [\"L1\", \"L22\"])],{MARK}");
        f.below(plate, "locates: ", &member);
        Some(())
    }),
    Fault::new("shop-113", "holes in a file that is not there", |f| {
        let survey = in_file(f, |_| Some(()))?;
        f.swap(survey, "taken.csv\",", &format!("takne.csv\",{MARK}"));
        Some(())
    }),
    Fault::new("shop-114", "a column that surveys do not have", |f| {
        let headed = |rows: &mut Vec<String>| {
            rows[0] = format!("id,x,y,dia{MARK}");
            Some(())
        };
        in_file(f, headed).map(|_| ())
    }),
    Fault::new("shop-115", "a line with a cell too few", |f| {
        let cut = |rows: &mut Vec<String>| {
            let last = rows.last_mut()?;
            *last = format!("{}{MARK}", last.replacen(',', "", 1));
            Some(())
        };
        in_file(f, cut).map(|_| ())
    }),
    Fault::new("shop-116", "holes both in the record and in a file", |f| {
        let survey = in_file(f, |_| Some(()))?;
        let both = format!("        holes: [(x: \"0mm\", y: \"0mm\")],{MARK}\n        holes_from: ");
        f.swap(survey, "        holes_from: ", &both);
        f.mark(survey, "holes_from");
        Some(())
    }),
    Fault::new("survey-301", "a hole drilled a millimetre off", |f| {
        let (survey, holes, _) = measured(f, "2 starboard")?;
        let line = hole(&holes, "L3")?;
        let (x, y) = (value(line, "x")?, value(line, "y")?);
        let off = line.replace(&x, &further(&x, 1.0)?).replace(&y, &further(&y, -0.8)?);
        f.swap(survey, line, &format!("{off}{MARK}"));
        Some(())
    }),
    Fault::new("survey-310", "a figure misread by a millimetre", |f| {
        let (survey, holes, _) = measured(f, "2 starboard")?;
        let line = hole(&holes, "L3")?;
        let x = value(line, "x")?;
        f.swap(survey, line, &format!("{}{MARK}", line.replace(&x, &further(&x, 1.0)?)));
        Some(())
    }),
    Fault::new("survey-302", "an instrument too coarse for the zones", |f| {
        let (survey, ..) = measured(f, "2 starboard")?;
        f.swap(survey, "uncertainty: \"0.01mm\"", "uncertainty: \"0.1mm\"");
        f.mark(survey, "uncertainty: ");
        Some(())
    }),
    Fault::new("survey-304", "a plate with its holes mirrored", |f| {
        let (survey, _, jig) = measured(f, "2 starboard")?;
        f.swap(survey, "face: Marked, axes: Jig", "face: Back");
        f.mark(survey, "face: ");
        f.mark(jig, "station: \"2 starboard\"");
        Some(())
    }),
    Fault::new("survey-305", "half of one plate and half of another", |f| {
        let (survey, holes, jig) = measured(f, "2 starboard")?;
        let line = f.text(jig).lines().find(|line| line.contains("station: \"2 starboard\""))?;
        let right = value(line, "made_to")?;
        let of_frame = format!("{}-", right.split('-').next()?);
        let others = f.model().plates.iter().filter(|(_, number, plate)| {
            *number != right && number.starts_with(&of_frame) && plate.jig_station == "2 starboard"
        });
        let other = others.map(|(_, number, _)| number.to_owned()).next()?;
        let mut new = Vec::new();
        for (nth, line) in holes.iter().enumerate() {
            let name = value(line, "hole")?;
            if name == "L4" || name == "L5" {
                new.push(format!("            (hole: \"X{nth}\", {}),\n", drawn(f, &other, &name)?));
            } else {
                new.push(format!("{line}\n"));
            }
        }
        rewritten(f, survey, &holes, &new.concat());
        f.mark(survey, "mark: ");
        f.mark(jig, "station: \"2 starboard\"");
        Some(())
    }),
    Fault::new("survey-306", "only holes measured that all variants share", |f| {
        let (survey, holes, jig) = measured(f, "2 starboard")?;
        let shared = ["D1", "D2", "L1"].map(|name| hole(&holes, name).cloned());
        let shared: Option<Vec<String>> = shared.into_iter().collect();
        rewritten(f, survey, &holes, &format!("{}\n", shared?.join("\n")));
        f.mark(survey, "mark: ");
        f.mark(jig, "station: \"2 starboard\"");
        Some(())
    }),
    Fault::new("survey-307", "a hole left out of a survey", |f| {
        let (survey, holes, _) = measured(f, "2 starboard")?;
        let line = hole(&holes, "L3")?;
        f.swap(survey, &format!("{line}\n"), "");
        f.mark(survey, "holes: [");
        Some(())
    }),
    Fault::new("survey-309", "two holes under each other's names", |f| {
        let (survey, holes, _) = measured(f, "2 starboard")?;
        let (second, third) = (hole(&holes, "L2")?, hole(&holes, "L3")?);
        f.swap(survey, second, &format!("{}{MARK}", second.replace("\"L2\"", "\"L3\"")));
        f.swap(survey, third, &third.replace("\"L3\"", "\"L2\""));
        Some(())
    }),
];
