//! Pictures as files.

use crate::{code, on_demo, text};
use std::fs;

#[test]
fn a_picture_is_written_whole_and_leaves_nothing_beside_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("frame.svg");
    fs::write(&path, "what stood there before").expect("a file");
    let named = path.to_str().expect("a name in UTF-8");
    let written = on_demo(&["picture", "F14", "--airframe", "4T214", "--out", named]);
    assert_eq!(text(&written.stdout), format!("The picture is in {named}.\n"));
    let shown = on_demo(&["picture", "F14", "--airframe", "4T214"]);
    assert_eq!(code(&written), code(&shown));
    assert_eq!(fs::read_to_string(&path).expect("the file"), text(&shown.stdout));
    assert_eq!(fs::read_dir(folder.path()).expect("the folder").count(), 1);
}

#[test]
fn a_picture_that_cannot_be_written_says_so() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("nowhere").join("frame.svg");
    let refused = on_demo(&["picture", "V2", "--out", path.to_str().expect("a name in UTF-8")]);
    assert_eq!((code(&refused), text(&refused.stdout)), (2, String::new()));
    assert!(text(&refused.stderr).contains("cannot be written"), "{}", text(&refused.stderr));
    assert_eq!(fs::read_dir(folder.path()).expect("the folder").count(), 0);
}

#[test]
fn every_picture_has_its_caution_and_says_what_is_open() {
    let jobs: &[&[&str]] = &[
        &["picture", "F9", "--airframe", "7C537"],
        &["picture", "F14", "--airframe", "4T188", "--build", "as delivered"],
        &["picture", "F17", "--airframe", "4T214"],
        &["picture", "f20", "--airframe", "7C537"],
        &["picture", "F23", "--airframe", "7C537"],
        &["picture", "V2"],
        &["picture", "V7"],
        &["picture", "V8"],
    ];
    for args in jobs {
        let svg = text(&on_demo(args).stdout);
        assert!(svg.starts_with("<?xml") && svg.ends_with("</svg>\n"), "{args:?}");
        for words in ["Not approved data", "Outstanding"] {
            assert!(svg.contains(words), "{args:?} lacks `{words}`");
        }
        assert!(!svg.contains("NaN") && !svg.contains("inf\""), "{args:?}");
    }
    let leaning = text(&on_demo(&["picture", "F23", "--airframe", "7C537"]).stdout);
    for words in ["Canted: it leans 6.50 deg", "&lt; FORWARD", "station 343.005 in"] {
        assert!(leaning.contains(words), "`{words}` in {leaning}");
    }
    let doubtful = text(&on_demo(&["picture", "F17", "--airframe", "4T214"]).stdout);
    assert!(doubtful.contains("The variant is NOT settled"), "{doubtful}");
}

#[test]
fn pictures_are_of_frames_and_surveys_and_are_no_json() {
    let part = text(&on_demo(&["picture", "27-1454", "--airframe", "7C537"]).stderr);
    assert!(part.contains("a picture is of a frame or of a survey"), "{part}");
    let unknown = text(&on_demo(&["picture", "F15"]).stderr);
    assert!(unknown.contains("no frame or survey is called `F15`"), "{unknown}");
    let json = on_demo(&["picture", "V2", "--format", "json"]);
    assert_eq!(code(&json), 2);
}

/// Advance widths of `DejaVu Sans` 2.37 and `DejaVu Sans Bold` 2.37 from the space to the tilde, in thousandths, read from the
/// fonts by `fontTools`: of the faces that a sheet may be shown in the widest.
const WIDTHS: [[u16; 95]; 2] = [
    [
        318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337, 636, 636, 636, 636, 636, 636,
        636, 636, 636, 636, 337, 337, 838, 838, 838, 531, 1000, 684, 686, 698, 770, 632, 575, 775, 752, 295, 295, 656,
        557, 863, 748, 787, 603, 787, 695, 635, 611, 732, 684, 989, 685, 611, 685, 390, 337, 390, 838, 500, 500, 613,
        635, 550, 635, 615, 352, 635, 634, 278, 278, 579, 278, 974, 634, 612, 635, 635, 411, 521, 392, 634, 592, 818,
        592, 592, 525, 636, 337, 636, 838,
    ],
    [
        348, 456, 521, 838, 696, 1002, 872, 306, 457, 457, 523, 838, 380, 415, 380, 365, 696, 696, 696, 696, 696, 696,
        696, 696, 696, 696, 400, 400, 838, 838, 838, 580, 1000, 774, 762, 734, 830, 683, 683, 821, 837, 372, 372, 775,
        637, 995, 837, 850, 733, 850, 770, 720, 682, 812, 774, 1103, 771, 724, 725, 457, 365, 457, 838, 500, 500, 675,
        716, 593, 716, 678, 435, 716, 712, 343, 343, 665, 343, 1042, 712, 687, 716, 716, 493, 595, 478, 712, 652, 924,
        645, 652, 582, 712, 365, 712, 838,
    ],
];

/// A text of a picture: what it says and its box, left, top, right and bottom.
#[derive(Debug)]
struct Written {
    words: String,
    extent: [f64; 4],
}

fn written(svg: &str) -> Vec<Written> {
    let value = |tag: &str, name: &str| {
        let rest = tag.split_once(&format!(" {name}=\""))?.1;
        Some(rest.split_once('"')?.0.to_owned())
    };
    let of = |line: &str| {
        let (tag, rest) = line.strip_prefix("<text")?.split_once('>')?;
        let words = rest.split_once("</text>")?.0;
        let words = words.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&");
        let number = |name: &str| value(tag, name)?.parse::<f64>().ok();
        let (x, y, size) = (number("x")?, number("y")?, number("font-size")?);
        let table = &WIDTHS[usize::from(tag.contains("font-weight=\"bold\""))];
        let one = |c: char| usize::try_from(u32::from(c)).ok().and_then(|c| table.get(c.checked_sub(32)?)).copied();
        let wide: f64 = words.chars().map(|c| f64::from(one(c).unwrap_or(700))).sum::<f64>() / 1000.0 * size;
        let left = match value(tag, "text-anchor").as_deref() {
            Some("middle") => x - wide / 2.0,
            Some("end") => x - wide,
            _ => x,
        };
        Some(Written { words, extent: [left, y - 0.73 * size, left + wide, y + 0.22 * size] })
    };
    svg.lines().filter_map(of).collect()
}

#[test]
fn no_words_leave_the_paper_or_lie_over_others_in_the_widest_face() {
    let mut jobs: Vec<Vec<String>> = Vec::new();
    for frame in ["F14", "F17", "F20", "F23"] {
        for airframe in ["7C537", "4T214"] {
            jobs.push(["picture", frame, "--airframe", airframe].map(str::to_owned).to_vec());
        }
    }
    jobs.extend((1..=9).map(|survey| vec!["picture".to_owned(), format!("V{survey}")]));
    for job in jobs {
        for (paper, size) in [("a3", ["420mm", "297mm"]), ("a4", ["297mm", "210mm"])] {
            let args: Vec<&str> = job.iter().map(String::as_str).chain(["--paper", paper]).collect();
            let svg = text(&on_demo(&args).stdout);
            let head = svg.lines().nth(1).expect("the head of the picture");
            let [wide, high] = size;
            assert!(head.contains(&format!("width=\"{wide}\" height=\"{high}\"")), "{args:?}: {head}");
            let view = head.split_once("viewBox=\"0 0 ").expect("a view").1.split_once('"').expect("its end").0;
            let view: Vec<f64> = view.split(' ').map(|number| number.parse().expect("a number")).collect();
            // One scale both ways, so that a length is true in every direction.
            let scale = |mm: &str, units: f64| mm.trim_end_matches("mm").parse::<f64>().expect("mm") / units;
            assert!((scale(wide, view[0]) / scale(high, view[1]) - 1.0).abs() < 5e-5, "{args:?}: {head}");
            let texts = written(&svg);
            assert!(texts.len() > 20, "{args:?}");
            for (index, one) in texts.iter().enumerate() {
                let [left, top, right, bottom] = one.extent;
                let inside = left > 5.0 && top > 5.0 && right < view[0] - 5.0 && bottom < view[1] - 5.0;
                assert!(inside, "{args:?}: {one:?} leaves the sheet of {view:?}");
                for other in &texts[index + 1..] {
                    let apart = |a: usize, b: usize| {
                        one.extent[b] - 0.4 < other.extent[a] || other.extent[b] - 0.4 < one.extent[a]
                    };
                    assert!(apart(0, 2) || apart(1, 3), "{args:?}: {one:?} lies over {other:?}");
                }
            }
        }
    }
}

#[test]
fn a_sheet_of_a_plate_that_is_out_has_something_outstanding() {
    for survey in 1..=9 {
        let svg = text(&on_demo(&["picture", &format!("V{survey}"), "--printed", "2024-05-06"]).stdout);
        let all: Vec<String> = written(&svg).into_iter().map(|one| one.words).collect();
        let out = all
            .iter()
            .any(|words| words == "OUT" || words.starts_with("NOT DECIDED") || words.starts_with("THE OTHER"));
        assert!(!(out && all.iter().any(|words| words == "Nothing.")), "V{survey}");
        for words in
            ["Temperature", "Face, hand, axes", "Measured by", "Fingerprint", "6 May 2024, A3", "Inspector, date"]
        {
            assert!(all.iter().any(|other| other == words), "V{survey} lacks `{words}`");
        }
    }
    let outdated = text(&on_demo(&["picture", "V5"]).stdout);
    assert!(written(&outdated)[0].words.starts_with("NOT VERIFIED BY MEASUREMENT"), "{:?}", written(&outdated)[0]);
    assert!(!outdated.contains("redrill") && !outdated.contains("move "), "no order on a sheet that does not count");
}
