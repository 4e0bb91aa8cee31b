//! A jig and its sheets as a project folder. The scenario is invented: no such maker, aircraft or leaflet exists.

use super::people::Sheet;
use super::world::{Jig, Plate};
use std::fmt::Write as _;
use std::path::Path;

/// Writes the whole project.
pub(crate) fn write(folder: &Path, jig: &Jig, sheets: &[Sheet]) -> std::io::Result<()> {
    std::fs::create_dir_all(folder.join("type"))?;
    let text = format!("[\n{}{}{}{}{}]\n", fixed(), parts(jig), plates(jig), floor(jig), surveys(jig, sheets));
    std::fs::write(folder.join("type/all.ron"), text)
}

fn fixed() -> &'static str {
    r#"
    Type(name: "Lathmere", maker: "Orrin Bay Aircraft", airframe: "61-0", datum: "Nose; stations in inches aft of it"),
    SerialBlock(serials: "OB1..OB60", factory: "Orrin Bay", line: From(1)),
    Modification(
        number: "OM4", title: "First station moved", leaflet: "Leaflet 4", production: (from: ["OB31"]),
    ),
    Airframe(serial: "OB12", built: "1936-06-12", delivered: "1936-07-01"),
    BuildState(airframe: "OB12", name: "rebuild", date: "1938-06-30"),
    Part(number: "61-0", description: "Airframe", source: Made),
    Part(number: "61-100", description: "Frame", source: Made),
    Assembly(
        part: "61-0",
        positions: [(find: "1", name: "Frame", station: "74in", candidates: [(part: "61-100")])],
    ),
"#
}

fn parts(jig: &Jig) -> String {
    let mut out = String::new();
    let mut positions = String::new();
    let mut points = String::new();
    let mut segments = String::new();
    let count = jig.plates.len();
    for (n, plate) in jig.plates.iter().enumerate() {
        let _ = writeln!(out, "Part(number: \"{}\", description: \"Segment {n}\", source: Made),", plate.part);
        let candidates = if n == 0 {
            format!("(part: \"{}\", when: Pre(\"OM4\")), (part: \"61-151\", when: Post(\"OM4\"))", plate.part)
        } else {
            format!("(part: \"{}\")", plate.part)
        };
        let _ = writeln!(positions, "(find: \"{}\", name: \"Segment\", candidates: [{candidates}]),", n + 1);
        let _ = writeln!(points, "(name: \"S{n}\", at: Angle(\"{}deg\"), joined_by: [\"61-190\"]),", n * 360 / count);
        let to = (n + 1) % count;
        let _ = writeln!(segments, "(part: \"{}\", from: \"S{n}\", to: \"S{to}\"),", plate.part);
        if n == 0 {
            let _ = writeln!(segments, "(part: \"61-151\", from: \"S{n}\", to: \"S{to}\"),");
        }
    }
    let _ = writeln!(out, "Part(number: \"61-151\", description: \"Segment, moved\", source: Made),");
    let _ = writeln!(out, "Part(number: \"61-190\", description: \"Fishplate\", source: Made),");
    let _ = writeln!(
        positions,
        "(find: \"90\", name: \"Fishplates\", quantity: {count}, candidates: [(part: \"61-190\")]),"
    );
    let _ = writeln!(out, "Assembly(part: \"61-100\", positions: [{positions}]),");
    let _ = writeln!(
        out,
        "Frame(name: \"F1\", assembly: \"61-100\", station: \"74in\", girth: Circle(radius: \"{:.0}mm\"), \
         splice_points: [{points}], segments: [{segments}]),",
        jig.radius
    );
    out
}

fn plates(jig: &Jig) -> String {
    jig.plates.iter().chain([&jig.variant]).map(|plate| definition(plate, jig.inch)).collect()
}

fn definition(plate: &Plate, inch: bool) -> String {
    let mut out = String::new();
    let _ = writeln!(
        out,
        "Plate(number: \"{}\", jig_station: \"{}\", locates: [\"{}\"], holes: [",
        plate.number, plate.station, plate.part
    );
    for hole in &plate.holes {
        let datum = if hole.datum { ", datum: true" } else { "" };
        let _ = writeln!(
            out,
            "(hole: \"{}\", x: \"{}\", y: \"{}\", diameter: \"{}mm\", tolerance: \"{:.3}mm\"{datum}),",
            hole.name,
            length(hole.nominal[0], inch),
            length(hole.nominal[1], inch),
            hole.diameter,
            hole.zone
        );
    }
    out += "],";
    if !plate.row.is_empty() {
        let names = |holes: &[usize]| {
            holes.iter().map(|n| format!("\"{}\"", plate.holes[*n].name)).collect::<Vec<_>>().join(", ")
        };
        let _ = write!(
            out,
            " members: [(member: \"row\", holes: [{}], row: true), (member: \"bracket\", holes: [{}])],",
            names(&plate.row),
            names(&plate.bracket)
        );
    }
    out + "),\n"
}

fn length(value: f64, inch: bool) -> String {
    if inch { format!("{:.3}in", value / 25.4) } else { format!("{value:.3}mm") }
}

fn floor(jig: &Jig) -> String {
    let mut out = String::new();
    let mut stations = String::new();
    let mut mounted = String::new();
    for plate in &jig.plates {
        let _ = write!(stations, "\"{}\", ", plate.station);
        let reworked = plate.reworked.map_or(String::new(), |day| format!(", reworked: \"{day}\""));
        let _ = writeln!(
            mounted,
            "(mark: \"{}\", station: \"{}\", made_to: \"{}\", made: \"2021-02-01\"{reworked}),",
            plate.mark, plate.station, plate.number
        );
    }
    let _ = writeln!(
        out,
        "Jig(name: \"K1\", frame: \"F1\", set_for: (airframe: \"OB12\", build_state: \"rebuild\"), \
         expansion: \"{:.1}e-6/K\", stations: [{stations}], mounted: [{mounted}]),",
        jig.expansion * 1e6
    );
    out
}

fn surveys(jig: &Jig, sheets: &[Sheet]) -> String {
    let mut out = String::new();
    for sheet in sheets {
        let plate = &jig.plates[sheet.of];
        let _ = write!(
            out,
            "Survey(id: \"V{}\", jig: \"K1\", mark: \"{}\", date: \"2021-06-14\", instrument: \"Measuring arm\", \
             uncertainty: \"{:.4}mm\", unit: \"{}\",",
            sheet.of + 1,
            plate.mark,
            2.0 * jig.noise,
            sheet.unit
        );
        if let Some(temperature) = &sheet.temperature {
            let _ = write!(out, " temperature: \"{temperature}C\",");
        }
        if let Some(face) = sheet.face {
            let _ = write!(out, " face: {face},");
        }
        if sheet.jig_axes {
            out += " axes: Jig,";
        }
        out += " holes: [\n";
        for row in &sheet.rows {
            let name = row.hole.as_ref().map_or(String::new(), |name| format!("hole: \"{name}\", "));
            let _ = writeln!(out, "({name}x: \"{}\", y: \"{}\"),", row.x, row.y);
        }
        out += "]),\n";
    }
    out
}
