//! Slips that leave the dossiers well formed: each is asked about once, on its line, and the help names what was meant.

use super::broken::{Edit, added, edited, is_on};
use super::{Project as Taken, demo_texts, project, shown};
use modstate::finding::Severity;
use modstate::graph::Graph;
use modstate::project::Project;
use modstate::quantity::{Day, Window};
use std::path::Path;

/// Checks that the edit gives this question and nothing else, on the line, and that its help says what stood there.
fn asks(name: &str, code: &str, (file, line): (&str, &str), help: &str, edits: &[Edit<'_>]) {
    let project: Taken = edited(edits);
    let added = added(&project);
    let shown = shown(&project, &added);
    let [only] = &added[..] else { panic!("{name}: {} findings\n{shown}", added.len()) };
    assert_eq!(only.code.to_string(), code, "{name}\n{shown}");
    assert_eq!(only.severity(), Severity::Note, "{name}");
    assert!(is_on(&project, only, file, line), "{name}: not on `{line}` of {file}\n{shown}");
    assert!(only.help.contains(help), "{name}: the help does not say `{help}`\n{shown}");
    assert!(only.message.ends_with('?'), "{name} is no question\n{shown}");
}

macro_rules! questions {
    ($($name:ident: $code:literal at $file:literal, $line:literal, help $help:literal; $($edit:expr),+ $(,)?;)*) => {$(
        #[test]
        fn $name() {
            asks(stringify!($name), $code, ($file, $line), $help, &[$($edit),+]);
        }
    )*};
}

const PLATES: &str = "type/plates.ron";
const FRAMES: &str = "type/frames.ron";
const CROWN_L1: &str = "J14-01\", jig_station: \"1 crown\", title: \"Crown, one arch\", locates: [\"27-1411\"],\n        holes: [\n            \
     (hole: \"D1\", x: \"-9.981in\", y: \"37.249in\", diameter: \"0.375in\", tolerance: \"2thou\", datum: true),\n            \
     (hole: \"D2\", x: \"9.981in\", y: \"37.249in\", diameter: \"0.375in\", tolerance: \"2thou\", datum: true),\n            \
     (hole: \"B1\", x: \"-6.521in\", y: \"36.981in\", diameter: \"0.250in\", tolerance: \"15thou\"),\n            \
     (hole: \"B2\", x: \"6.521in\", y: \"36.981in\", diameter: \"0.250in\", tolerance: \"15thou\"),\n            \
     (hole: \"L1\", x: \"-18.892in\", y: \"28.008in\", diameter: \"0.1285in\", tolerance: \"10thou\"";

questions! {
    tolerance_of_ten_inches: "record-215" at "type/plates.ron", "tolerance: \"10in\"", help "`10thou`";
        (PLATES, CROWN_L1, &CROWN_L1.replace("10thou", "10in"));
    tolerance_of_ten_microns: "record-216" at "type/plates.ron", "tolerance: \"10um\"", help "`10thou`";
        (PLATES, CROWN_L1, &CROWN_L1.replace("10thou", "10um"));
    tolerance_with_its_point_moved: "type-302" at "type/plates.ron", "tolerance: \"100thou\"", help "`10thou`";
        (PLATES, CROWN_L1, &CROWN_L1.replace("10thou", "100thou"));
    diameter_with_its_point_moved: "type-302" at "type/plates.ron", "diameter: \"1.285in\"", help "`0.1285in`";
        (PLATES, CROWN_L1, &CROWN_L1.replace("0.1285in", "1.285in"));
    x_with_its_point_moved: "type-302" at "type/plates.ron", "x: \"-188.92in\"", help "`x: \"-18.892in\"`";
        (PLATES, CROWN_L1, &CROWN_L1.replace("-18.892in", "-188.92in"));
    y_with_its_point_moved: "type-302" at "type/plates.ron", "y: \"280.08in\"", help "`y: \"28.008in\"`";
        (PLATES, CROWN_L1, &CROWN_L1.replace("28.008in", "280.08in"));
    x_in_the_other_unit: "type-302" at "type/plates.ron", "x: \"-18.892mm\"", help "`x: \"-18.892in\"`";
        (PLATES, CROWN_L1, &CROWN_L1.replace("-18.892in", "-18.892mm"));
    x_and_y_exchanged: "type-302" at "type/plates.ron", "x: \"37.249in\", y: \"-9.981in\"", help "`x: \"-9.981in\", y: \"37.249in\"`";
        (PLATES, CROWN_L1, &CROWN_L1.replace("x: \"-9.981in\", y: \"37.249in\"", "x: \"37.249in\", y: \"-9.981in\""));
    hole_far_off_its_frame: "type-301" at "type/plates.ron", "x: \"-70.000in\"", help "correct the one that is wrong";
        (PLATES, CROWN_L1, &CROWN_L1.replace("-18.892in", "-70.000in"));
    station_ten_times_as_far_aft: "type-303" at "type/frames.ron", "station: \"2281.5in\"", help "`228.15in`";
        (FRAMES, "station: \"228.15in\"", "station: \"2281.5in\"");
    digits_of_a_station_exchanged: "type-303" at "type/frames.ron", "station: \"282.15in\"", help "`228.15in`";
        (FRAMES, "station: \"228.15in\"", "station: \"282.15in\"");
    station_in_the_other_unit: "type-303" at "type/structure-fuselage.ron", "station: \"142.00mm\"", help "`142.00in`";
        ("type/structure-fuselage.ron", "station: \"142.00in\"", "station: \"142.00mm\"");
    breadth_for_height: "type-304" at "type/frames.ron", "half_breadth: \"36.50in\"", help "exchange the two figures";
        (FRAMES, "half_breadth: \"31.25in\", half_height: \"36.50in\"", "half_breadth: \"36.50in\", half_height: \"31.25in\"");
    part_made_before_its_issue: "shop-121" at "shop/made-parts.ron", "made: \"1920-09-14\"", help "correct the one that is wrong";
        ("shop/made-parts.ron", "made: \"2020-09-14\"", "made: \"1920-09-14\"");
    claim_years_after_its_evidence: "claim-301" at "airframes/7C537/claims.ron", "when: \"1958-09-07\"", help "correct the one that is wrong";
        ("airframes/7C537/claims.ron", "NotEmbodied(\"TM131\"), when: \"1953-09-07\"", "NotEmbodied(\"TM131\"), when: \"1958-09-07\"");
    claim_entered_twice: "claim-302" at "airframes/7C537/claims.ron", "id: \"C47\"", help "remove `C47`";
        ("airframes/7C537/claims.ron", "NotEmbodied(\"TM131\")", "NotEmbodied(\"TM126\")");
}

/// One plate of the demo, its text changed as a person would change a whole sheet.
fn sheet(change: impl Fn(&str) -> String) -> Taken {
    let mut texts = demo_texts();
    let (_, text) = texts.iter_mut().find(|(path, _)| path == Path::new(PLATES)).expect("the demo has plates");
    let (from, to) = (text.find("number: \"J14-03\"").expect("there"), text.find("number: \"J14-04\"").expect("there"));
    let (before, rest) = text.split_at(from);
    let (own, after) = rest.split_at(to - from);
    *text = format!("{before}{}{after}", change(own));
    project(texts)
}

#[test]
fn a_whole_sheet_is_one_question() {
    let in_mm = |text: &str| {
        let lines = text.lines().map(|line| match line.split_once("diameter") {
            Some((at, size)) => format!("{}diameter{size}\n", at.replace("in\"", "mm\"")),
            None => format!("{line}\n"),
        });
        lines.collect::<String>()
    };
    let exchanged = |text: &str| text.replace("x: \"", "Y: \"").replace("y: \"", "x: \"").replace("Y: \"", "y: \"");
    for (what, project) in [("in inches", sheet(in_mm)), ("x and y exchanged", sheet(exchanged))] {
        let added = added(&project);
        let shown = shown(&project, &added);
        assert_eq!(added.len(), 1, "{what}\n{shown}");
        assert_eq!(added[0].code.to_string(), "type-302", "{what}\n{shown}");
        assert!(added[0].message.contains("`J14-03`") && added[0].message.contains(what), "{what}\n{shown}");
    }
}

fn opened(edits: &[Edit<'_>], more: &str) -> Project {
    let mut texts = demo_texts();
    for (file, old, new) in edits {
        let (_, text) = texts.iter_mut().find(|(path, _)| path == Path::new(file)).expect("the demo has the file");
        assert_eq!(text.matches(old).count(), 1, "`{old}` stands once in {file}");
        *text = text.replacen(old, new, 1);
    }
    texts.push(("shop/accepted.ron".into(), format!("[{more}]")));
    Project::from_texts(texts)
}

fn day(text: &str) -> Day {
    Window::parse(text).ok().and_then(|window| window.day()).expect("a day")
}

/// The open findings of a code on a day, by their check codes, and how many are accepted.
fn looked_at(project: &Project, code: &str, today: &str) -> (Vec<String>, usize) {
    let checked = project.checked(&Graph::new(&project.model), day(today));
    let open = checked.open.iter().filter(|finding| finding.code.to_string() == code);
    let facts = open.map(|finding| modstate::check::accepted::facts(finding, &project.sources)).collect();
    (facts, checked.accepted.len())
}

#[test]
fn what_has_not_come_yet_is_asked_about() {
    let project = opened(&[], "");
    assert_eq!(looked_at(&project, "record-217", "2024-06-01"), (vec![], 0));
    let (before, _) = looked_at(&project, "record-217", "2022-05-15");
    assert_eq!(before.len(), 1, "the decision of 16 May 2022");
    let slip = opened(
        &[(
            "shop/surveys.ron",
            "id: \"V9\", jig: \"J17\", mark: \"Q6\", date: \"2022-02-08\"",
            "id: \"V9\", jig: \"J17\", mark: \"Q6\", date: \"2202-02-08\"",
        )],
        "",
    );
    assert_eq!(looked_at(&slip, "record-217", "2024-06-01").0.len(), 1);
}

#[test]
fn what_is_accepted_is_listed_apart_until_its_facts_change() {
    let wide = (PLATES, CROWN_L1, &*CROWN_L1.replace("10thou", "10in"));
    let today = "2024-06-01";
    let (facts, accepted) = looked_at(&opened(&[wide], ""), "record-215", today);
    assert_eq!((facts.len(), accepted), (1, 0));
    let record = format!(
        "Accepted(facts: \"{}\", finding: \"record-215\", by: \"M. Aldous\", date: \"2024-05-01\", because: \"So drawn.\")",
        facts[0]
    );
    // Accepted: apart, with no other finding for it.
    let project = opened(&[wide], &record);
    assert_eq!(looked_at(&project, "record-215", today), (vec![], 1));
    assert_eq!(looked_at(&project, "shop-132", today), (vec![], 1));
    // A remark before it moves it by a line, and changes none of its facts.
    let moved = (PLATES, "// Plate drawings\n", "// Plate drawings\n// Of both jigs\n");
    assert_eq!(looked_at(&opened(&[wide, moved], &record), "record-215", today), (vec![], 1));
    // Another figure: it is back, and the record is asked about.
    let wider = (PLATES, CROWN_L1, &*CROWN_L1.replace("10thou", "11in"));
    let project = opened(&[wider], &record);
    let (back, accepted) = looked_at(&project, "record-215", today);
    assert_eq!((back.len(), accepted), (1, 0));
    let checked = project.checked(&Graph::new(&project.model), day(today));
    let stale: Vec<_> = checked.open.iter().filter(|finding| finding.code.to_string() == "shop-132").collect();
    assert_eq!(stale.len(), 1);
    assert!(stale[0].help.contains(&format!("`{}`", back[0])), "{}", stale[0].help);
    // Followed to the letter.
    let again = opened(&[wider], &record.replace(&facts[0], &back[0]));
    assert_eq!(looked_at(&again, "shop-132", today), (vec![], 1));
    // Cleared: the record is all that is left to remove.
    let (left, accepted) = looked_at(&opened(&[], &record), "shop-132", today);
    assert_eq!((left.len(), accepted), (1, 0));
}

#[test]
fn of_two_dates_one_is_asked_about_beside_what_follows() {
    let v9 = "id: \"V9\", jig: \"J17\", mark: \"Q6\", date: \"2022-02-08\"";
    let permit = "allowed_by: \"R. Maddison, licensed engineer\", date: \"2021-10-04\"";
    let slips: [Edit<'_>; 3] = [
        ("shop/surveys.ron", v9, &v9.replace("2022", "2012")),
        ("shop/jigs.ron", "reworked: \"2022-01-17\"", "reworked: \"2012-01-17\""),
        ("shop/deviations.ron", permit, &permit.replace("2021", "2022")),
    ];
    for slip in slips {
        let project = edited(&[slip]);
        let added = added(&project);
        let asked: Vec<_> = added.iter().filter(|finding| finding.code.to_string() == "shop-121").collect();
        assert_eq!(asked.len(), 1, "{slip:?}\n{}", shown(&project, &added));
        assert_eq!(asked[0].labels.len(), 2, "both dates");
    }
}
