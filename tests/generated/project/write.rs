//! A project as people write it: records in RON, in the files that they would split it into.
//!
//! Each record begins on a line of its own, four blanks in; below it, what people point at stands on lines of its own:
//! positions, candidates, leaflet entries, splice points, segments, plates on jigs.

use super::airframes::{Airframe, Says};
use super::frames::{At, Frame, Girth, Plate};
use super::mods::{Catalogue, Mod, Production, Retrospective};
use super::serials::{FACTORIES, Line, Range, Serial};
use super::shop::{Jig, Shop};
use super::structure::{Condition, Drawing, Part, Position, Source, Structure};
use super::{Spec, date, month};
use std::fmt::{Display, Write as _};
use std::path::PathBuf;

pub(crate) struct Project<'a> {
    pub spec: &'a Spec,
    pub line: Line,
    pub catalogue: Catalogue,
    pub structure: Structure,
    pub frames: Vec<Frame>,
    pub airframes: Vec<Airframe>,
    pub shop: Shop,
}

/// Writes a formatted line, which cannot fail on a text.
macro_rules! put {
    ($text:expr, $($arguments:tt)*) => { writeln!($text, $($arguments)*).expect("a text takes every line") };
}

/// The files of a project, sorted by path.
pub(crate) fn files(project: &Project<'_>) -> Vec<(PathBuf, String)> {
    let mut files = Files { all: Vec::new() };
    files.put("type/type", 1, [type_of(project)]);
    files.put("type/serials", 100, blocks(&project.line));
    let structure = &project.structure;
    let drawn = structure.parts.iter().filter_map(|part| Some((part, part.drawing.as_ref()?)));
    files.put("type/drawings", 2_000, drawn.map(|(part, drawing)| self::drawing(project, part, drawing)));
    files.put("type/parts", 2_000, structure.parts.iter().map(|part| self::part(structure, part)));
    files.put(
        "type/structure",
        200,
        structure.assemblies.iter().map(|assembly| self::assembly(project, assembly.part, &assembly.positions)),
    );
    files.put("type/modifications", 150, modifications(&project.catalogue));
    files.put("type/one-of", 500, groups(&project.catalogue));
    files.put("type/frames", 100, project.frames.iter().map(|frame| self::frame(project, frame)));
    let plates = project.frames.iter().flat_map(|frame| &frame.plates);
    files.put("type/plates", 100, plates.map(|plate| self::plate(structure, plate)));
    for airframe in &project.airframes {
        files.airframe(project, airframe);
    }
    files.put("shop/jigs", 50, project.shop.jigs.iter().enumerate().map(|(nth, jig)| self::jig(project, nth, jig)));
    let surveys = project.shop.jigs.iter().enumerate().flat_map(|(nth, jig)| self::surveys(project, nth, jig));
    files.put("shop/surveys", 500, surveys);
    files.put("shop/made-parts", 500, made(project));
    files.put("shop/permissions", 500, permissions(project));
    files.put("shop/tools", 500, form_blocks(project));
    files.put("shop/decisions", 500, decisions(project));
    files.all.sort();
    files.all
}

struct Files {
    all: Vec<(PathBuf, String)>,
}

impl Files {
    /// So many records to a file; a number is added where there are several files.
    fn put(&mut self, name: &str, many: usize, records: impl IntoIterator<Item = String>) {
        let records: Vec<String> = records.into_iter().collect();
        for (nth, records) in records.chunks(many).enumerate() {
            let number = if nth == 0 { String::new() } else { format!("-{:03}", nth + 1) };
            let mut text = String::from(
                "// Invented: no such maker, aircraft, serial, leaflet or person exists. Not for manufacture.\n[\n",
            );
            text.extend(records.iter().map(String::as_str));
            text.push_str("]\n");
            self.all.push((PathBuf::from(format!("{name}{number}.ron")), text));
        }
    }

    /// The dossier of an airframe: four files for one of a few, one file for one of a fleet.
    fn airframe(&mut self, project: &Project<'_>, airframe: &Airframe) {
        let serial = airframe.serial.text();
        let parts = [
            ("airframe", vec![self::airframe(airframe)]),
            ("evidence", evidence(airframe)),
            ("claims", claims(project, airframe)),
            ("build-states", states(project, airframe)),
        ];
        if project.spec.airframes > 50 {
            let records = parts.into_iter().flat_map(|(_, records)| records);
            self.put(&format!("airframes/{serial}"), usize::MAX, records);
        } else {
            for (name, records) in parts {
                self.put(&format!("airframes/{serial}/{name}"), usize::MAX, records);
            }
        }
    }
}

/// `"a", "b"`.
fn quoted(texts: impl IntoIterator<Item = impl Display>) -> String {
    let all: Vec<String> = texts.into_iter().map(|text| format!("\"{text}\"")).collect();
    all.join(", ")
}

/// `, field: ["a", "b"]`, or nothing.
fn list(field: &str, texts: impl IntoIterator<Item = impl Display>) -> String {
    let all = quoted(texts);
    if all.is_empty() { all } else { format!("{field}: [{all}], ") }
}

fn type_of(project: &Project<'_>) -> String {
    let airframe = &project.structure.parts[0].number;
    format!(
        "    Type(\n        name: \"Quillhaven Sandpiper\", maker: \"Quillhaven Boat and Aircraft Works\", airframe: \"{airframe}\",\n        \
         datum: \"Stem post; stations in inches aft of it\",\n    ),\n"
    )
}

fn blocks(line: &Line) -> impl Iterator<Item = String> {
    line.blocks.iter().map(|block| {
        let factory = FACTORIES[block.range.factory];
        let order = match &block.order {
            Some(order) => format!("Order({}, [{}])", block.first_line, quoted(order.iter().map(|run| run.text()))),
            None => format!("From({})", block.first_line),
        };
        let model = if block.order.is_some() { "Mk 1" } else { "Mk 2" };
        format!(
            "    SerialBlock(\n        serials: \"{}\", factory: \"{factory}\", model: \"{model}\",\n        line: {order},\n    ),\n",
            block.range.text()
        )
    })
}

/// The letters of issues, from A.
fn issue(nth: usize) -> char {
    char::from(b'A' + u8::try_from(nth).expect("a drawing has few issues"))
}

fn drawing(project: &Project<'_>, part: &Part, drawing: &Drawing) -> String {
    let mut text = format!(
        "    Drawing(\n        number: \"{}\", title: \"{}\",\n        issues: [\n",
        part.number, part.description
    );
    for (nth, (day, raiser)) in drawing.issues.iter().enumerate() {
        let raiser = raiser.map_or(String::new(), |m| format!(", raised_by: \"{}\"", project.catalogue.mods[m].name()));
        let same = if nth % 2 == 1 { ", interchangeable: true" } else { "" };
        put!(text, "            (issue: \"{}\", date: \"{}\"{raiser}{same}),", issue(nth), date(*day));
    }
    text.push_str("        ],\n");
    if let Some(held) = drawing.held {
        put!(text, "        held: [{}],", quoted((0..held).map(issue)));
    }
    text.push_str("    ),\n");
    text
}

fn part(structure: &Structure, part: &Part) -> String {
    let source = match part.source {
        Source::Made => "Made",
        Source::Bought => "Bought",
        Source::Standard => "Standard",
    };
    let mut text = format!(
        "    Part(\n        number: \"{}\", description: \"{}\", source: {source},\n",
        part.number, part.description
    );
    if let Some(hand) = part.hand {
        put!(text, "        hand: {hand},");
    }
    if let Some(other) = part.opposite_of {
        put!(text, "        opposite_of: \"{}\",", structure.parts[other].number);
    }
    if part.drawing.is_some() {
        put!(text, "        drawing: \"{}\",", part.number);
    }
    if let Some((material, temper, thickness)) = part.material {
        put!(text, "        material: \"{material}\", temper: \"{temper}\", thickness: \"{thickness}\",");
    }
    if let Some(mass) = &part.mass {
        put!(text, "        mass: \"{mass}\",");
    }
    text.push_str("    ),\n");
    text
}

fn condition(catalogue: &Catalogue, when: &Condition) -> String {
    let name = |m: &usize| catalogue.mods[*m].name();
    let all = |parts: &[Condition]| parts.iter().map(|part| condition(catalogue, part)).collect::<Vec<_>>().join(", ");
    match when {
        Condition::Post(m) => format!("Post(\"{}\")", name(m)),
        Condition::By(m, form) => format!("Post(\"{}\", {form:?})", name(m)),
        Condition::Pre(m) => format!("Pre(\"{}\")", name(m)),
        Condition::Serials(ranges) => format!("Serials({})", quoted(ranges.iter().map(|range| range.text()))),
        Condition::All(parts) => format!("All([{}])", all(parts)),
        Condition::Any(parts) => format!("Any([{}])", all(parts)),
        Condition::Not(part) => format!("Not({})", condition(catalogue, part)),
    }
}

fn assembly(project: &Project<'_>, part: usize, positions: &[Position]) -> String {
    let (parts, catalogue) = (&project.structure.parts, &project.catalogue);
    let mut text = format!("    Assembly(\n        part: \"{}\",\n        positions: [\n", parts[part].number);
    for position in positions {
        put!(text, "            (");
        let name = position.name.as_ref().map_or(String::new(), |name| format!(" name: \"{name}\","));
        let quantity =
            if position.quantity == 1 { String::new() } else { format!(" quantity: {},", position.quantity) };
        let station = position.station.as_ref().map_or(String::new(), |station| format!(" station: \"{station}\","));
        put!(text, "                find: \"{}\",{name}{quantity}{station}", position.find);
        put!(text, "                candidates: [");
        for candidate in &position.candidates {
            let when = candidate.when.as_ref();
            let when = when.map_or(String::new(), |when| format!(", when: {}", condition(catalogue, when)));
            put!(text, "                    (part: \"{}\"{when}),", parts[candidate.part].number);
        }
        put!(text, "                ],");
        if let Some(when) = &position.nothing_when {
            put!(text, "                nothing_when: {},", condition(catalogue, when));
        }
        put!(text, "            ),");
    }
    text.push_str("        ],\n    ),\n");
    text
}

fn modifications(catalogue: &Catalogue) -> Vec<String> {
    let mods = &catalogue.mods;
    let mut records = Vec::new();
    for (id, m) in mods.iter().enumerate() {
        let leaflet = m.number.replace("QM", "Leaflet ");
        let head = format!(
            "    Modification(\n        number: \"{}\", title: \"{}\",\n        class: \"{}\", leaflet: \"{leaflet}\",\n",
            m.number, m.title, m.class
        );
        let record = match m.part {
            None => format!("{head}{}    ),\n", modification(catalogue, m, "        ")),
            Some('A') => {
                let mut text = format!("{head}        parts: [\n");
                for part in [m, &mods[id + 1]] {
                    let letter = part.part.expect("both are parts");
                    let body = modification(catalogue, part, "                ");
                    put!(
                        text,
                        "            (\n                part: \"{letter}\", title: \"{}\",\n{body}            ),",
                        part.title
                    );
                }
                text + "        ],\n    ),\n"
            }
            Some(_) => continue,
        };
        records.push(record);
    }
    records
}

fn modification(catalogue: &Catalogue, m: &Mod, at: &str) -> String {
    let names = |ids: &[usize]| ids.iter().map(|id| catalogue.mods[*id].name()).collect::<Vec<_>>();
    let mut text = String::new();
    for (field, ids) in [("requires", &m.requires), ("excludes", &m.excludes), ("supersedes", &m.supersedes)] {
        if !ids.is_empty() {
            put!(text, "{at}{field}: [{}],", quoted(names(ids)));
        }
    }
    if let Some(form) = &m.production {
        put!(text, "{at}production: ({}),", production(form, &m.except));
    }
    if let Some(form) = &m.retrospective {
        put!(text, "{at}retrospective: ({}),", retrospective(form));
    }
    if !m.changes.is_empty() {
        put!(text, "{at}changes: [");
        for change in &m.changes {
            let form = change.form.map_or(String::new(), |form| format!("form: {form:?}, "));
            let (delete, introduce) = (list("delete", &change.delete), list("introduce", &change.introduce));
            let lists = format!("{delete}{introduce}");
            put!(text, "{at}    ({form}position: \"{}\", {}),", change.position, lists.trim_end_matches(", "));
        }
        put!(text, "{at}],");
    }
    text
}

fn production(form: &Production, except: &[Serial]) -> String {
    let covers = match form {
        Production::Line(cut) => {
            let cut = FACTORIES.iter().zip(cut).filter_map(|(factory, cut)| Some((factory, (*cut)?)));
            let cut: Vec<String> = cut.map(|(name, cut)| format!("(factory: \"{name}\", number: {cut})")).collect();
            format!("line: [{}]", cut.join(", "))
        }
        Production::From(from) => format!("from: [{}]", quoted(from.iter().map(|serial| serial.text()))),
        Production::Ranges(ranges) => format!("ranges: [{}]", quoted(ranges.iter().map(|range| range.text()))),
    };
    let except = quoted(except.iter().map(|serial| serial.text()));
    if except.is_empty() { covers } else { format!("{covers}, except: [{except}]") }
}

fn retrospective(form: &Retrospective) -> String {
    let leaflet = if form.by_month { month(form.leaflet) } else { date(form.leaflet) };
    let eligible = quoted(form.eligible.iter().map(|range: &Range| range.text()));
    let eligible = if eligible.is_empty() { eligible } else { format!(", eligible: [{eligible}]") };
    format!("leaflet_date: \"{leaflet}\"{eligible}")
}

fn groups(catalogue: &Catalogue) -> impl Iterator<Item = String> {
    catalogue.groups.iter().map(|group| {
        let members = quoted(group.members.iter().map(|m| catalogue.mods[*m].name()));
        let exactly = if group.exactly { ", exactly: true" } else { "" };
        format!(
            "    OneOf(\n        name: \"{}\",\n        modifications: [{members}],\n        introduced: \"{}\"{exactly},\n    ),\n",
            group.name,
            date(group.introduced)
        )
    })
}

fn frame(project: &Project<'_>, frame: &Frame) -> String {
    let number = |part: &usize| project.structure.parts[*part].number.clone();
    let girth = match &frame.girth {
        Girth::Circle(radius) => format!("Circle(radius: \"{radius}mm\")"),
        Girth::Ellipse(breadth, height) => {
            format!("Ellipse(half_breadth: \"{breadth}mm\", half_height: \"{height}mm\")")
        }
        Girth::Polyline(points, closed) => {
            let points: Vec<String> = points.iter().map(|(x, y)| format!("(\"{x}mm\", \"{y}mm\")")).collect();
            format!("Polyline(points: [{}], closed: {closed})", points.join(", "))
        }
    };
    let mut text = format!(
        "    Frame(\n        name: \"{}\", title: \"{}\",\n        assembly: \"{}\", station: \"{:.2}in\",\n        girth: {girth},\n        splice_points: [\n",
        frame.name,
        frame.title,
        number(&frame.assembly),
        frame.station
    );
    for splice in &frame.splices {
        let at = match splice.at {
            At::Angle(angle) => format!("Angle(\"{angle}deg\")"),
            At::Girth(mm) => format!("Girth(\"{mm:.3}mm\")"),
        };
        let joined = quoted(splice.joined_by.iter().map(number));
        let joined = if joined.is_empty() { joined } else { format!(", joined_by: [{joined}]") };
        put!(text, "            (name: \"{}\", at: {at}{joined}),", splice.name);
    }
    text.push_str("        ],\n        segments: [\n");
    for segment in &frame.segments {
        let lap = |is: bool, field: &str| if is { format!(", {field}: \"0.75in\"") } else { String::new() };
        let laps = lap(segment.laps.0, "lap_from") + &lap(segment.laps.1, "lap_to");
        let (from, to) = (segment.from, segment.to);
        put!(text, "            (part: \"{}\", from: \"{from}\", to: \"{to}\"{laps}),", number(&segment.part));
    }
    text.push_str("        ],\n");
    if !frame.openings.is_empty() {
        text.push_str("        openings: [\n");
        for opening in &frame.openings {
            let when = condition(&project.catalogue, &opening.when);
            let (name, from, to, bridge) = (opening.name, opening.from, opening.to, number(&opening.bridged_by));
            put!(
                text,
                "            (name: \"{name}\", from: \"{from}\", to: \"{to}\", when: {when}, bridged_by: [\"{bridge}\"]),"
            );
        }
        text.push_str("        ],\n");
    }
    text + "    ),\n"
}

fn plate(structure: &Structure, plate: &Plate) -> String {
    let locates = quoted(plate.locates.iter().map(|part| &structure.parts[*part].number));
    let mut text = format!(
        "    Plate(\n        number: \"{}\", jig_station: \"{}\",\n        locates: [{locates}],\n        holes: [\n",
        plate.number, plate.station
    );
    for hole in &plate.holes {
        let (size, kind) =
            if hole.dowel { ("10mm", "tolerance: \"dowel\", datum: true") } else { ("3.3mm", "tolerance: \"0.25mm\"") };
        put!(
            text,
            "            (hole: \"{}\", x: \"{:.3}mm\", y: \"{:.3}mm\", diameter: \"{size}\", {kind}),",
            hole.name,
            hole.x,
            hole.y
        );
    }
    text + "        ],\n    ),\n"
}

fn airframe(airframe: &Airframe) -> String {
    format!(
        "    Airframe(\n        serial: \"{}\",\n        built: \"{}\", delivered: \"{}\",\n        movements: [\n            \
         (date: \"{}\", to: \"Coastal survey flight\"),\n            (date: \"{}\", to: \"Struck off\", reason: \"Worn out\"),\n        ],\n    ),\n",
        airframe.serial.text(),
        airframe.built,
        date(airframe.delivered),
        date(airframe.delivered + 20),
        date(airframe.last)
    )
}

fn evidence(airframe: &Airframe) -> Vec<String> {
    let items = airframe.evidence.iter().enumerate();
    let item = |(nth, item): (usize, &super::airframes::Evidence)| {
        let date = item.date.as_ref().map_or(String::new(), |date| format!(" date: \"{date}\","));
        format!(
            "    Evidence(\n        airframe: \"{}\", id: \"E{}\", kind: \"{}\", reference: \"{}\",\n        kept: \"{}\",{date} grade: {},\n    ),\n",
            airframe.serial.text(),
            nth + 1,
            item.kind,
            item.reference,
            item.kept,
            item.grade
        )
    };
    items.map(item).collect()
}

fn claims(project: &Project<'_>, airframe: &Airframe) -> Vec<String> {
    let name = |m: usize| project.catalogue.mods[m].name();
    let serial = airframe.serial.text();
    let mut records = Vec::new();
    for (nth, claim) in airframe.claims.iter().enumerate() {
        let says = match &claim.says {
            Says::Embodied(m, None) => format!("Embodied(\"{}\")", name(*m)),
            Says::Embodied(m, Some(form)) => format!("Embodied(\"{}\", {form:?})", name(*m)),
            Says::NotEmbodied(m) => format!("NotEmbodied(\"{}\")", name(*m)),
            Says::Removed(m) => format!("Removed(\"{}\")", name(*m)),
            Says::Other(says) => says.clone(),
        };
        let standing = if claim.firm { "Firm" } else { "Doubtful" };
        let rests_on = quoted(claim.rests_on.iter().map(|evidence| format!("E{}", evidence + 1)));
        records.push(format!(
            "    Claim(\n        airframe: \"{serial}\", id: \"C{}\", says: {says}, when: \"{}\",\n        rests_on: [{rests_on}], standing: {standing},\n    ),\n",
            nth + 1,
            claim.when
        ));
    }
    if airframe.assumes {
        records.push(format!(
            "    Assumption(\n        airframe: \"{serial}\", id: \"A1\", assumes: UnrecordedNotEmbodied, when: \"{}\",\n        reason: \"Its depot folder is complete.\",\n    ),\n",
            date(airframe.last)
        ));
    }
    records
}

fn states(project: &Project<'_>, airframe: &Airframe) -> Vec<String> {
    let choice = |field: &str, m: Option<usize>, why: &str| {
        let name = m.map(|m| project.catalogue.mods[m].name());
        name.map_or(String::new(), |name| {
            format!("        {field}: [(modification: \"{name}\", reason: \"{why}\")],\n")
        })
    };
    let state = |state: &super::airframes::BuildState| {
        let (serial, name, day) = (airframe.serial.text(), state.name, date(state.day));
        let add = choice("add", state.add, "Wanted for safety.");
        let leave_out = choice("leave_out", state.leave_out, "Its parts cannot be had.");
        format!(
            "    BuildState(\n        airframe: \"{serial}\", name: \"{name}\", date: \"{day}\",\n{add}{leave_out}    ),\n"
        )
    };
    airframe.states.iter().map(state).collect()
}

fn jig_name(project: &Project<'_>, jig: &Jig) -> String {
    project.frames[jig.frame].name.replace('F', "J")
}

fn jig(project: &Project<'_>, nth: usize, jig: &Jig) -> String {
    let frame = &project.frames[jig.frame];
    let mut stations: Vec<&str> = frame.plates.iter().map(|plate| plate.station.as_str()).collect();
    stations.sort_unstable();
    stations.dedup();
    let mut text = format!(
        "    Jig(\n        name: \"{}\", frame: \"{}\",\n        set_for: (airframe: \"{}\", build_state: \"rebuild\"),\n        stations: [{}],\n        mounted: [\n",
        jig_name(project, jig),
        frame.name,
        project.airframes[nth].serial.text(),
        quoted(stations)
    );
    for (at, mounted) in jig.mounted.iter().enumerate() {
        let plate = &frame.plates[mounted.plate];
        let reworked = mounted.reworked.map_or(String::new(), |day| format!(", reworked: \"{}\"", date(day)));
        let (station, number, made) = (&plate.station, &plate.number, date(mounted.made));
        put!(
            text,
            "            (mark: \"P{}\", station: \"{station}\", made_to: \"{number}\", made: \"{made}\"{reworked}),",
            at + 1
        );
    }
    text + "        ],\n    ),\n"
}

fn surveys(project: &Project<'_>, nth: usize, jig: &Jig) -> Vec<String> {
    let mut records = Vec::new();
    for (at, mounted) in jig.mounted.iter().enumerate() {
        let mut text = format!(
            "    Survey(\n        id: \"V{}-{}\", jig: \"{}\", mark: \"P{}\", date: \"{}\",\n        instrument: \"Measuring arm\", uncertainty: \"0.01mm\", temperature: \"20.0C\", face: Marked, axes: Jig,\n        holes: [\n",
            nth + 1,
            at + 1,
            jig_name(project, jig),
            at + 1,
            date(mounted.surveyed)
        );
        let holes = &project.frames[jig.frame].plates[mounted.plate].holes;
        for (hole, (x, y, diameter)) in holes.iter().zip(&mounted.holes) {
            put!(
                text,
                "            (hole: \"{}\", x: \"{x:.3}mm\", y: \"{y:.3}mm\", diameter: \"{diameter:.2}mm\"),",
                hole.name
            );
        }
        records.push(text + "        ],\n    ),\n");
    }
    records
}

fn made<'a>(project: &'a Project<'_>) -> impl Iterator<Item = String> + 'a {
    project.shop.made.iter().enumerate().map(|(nth, made)| {
        let part = &project.structure.parts[made.part].number;
        let issue = made.issue.map_or(String::new(), |at| format!(" issue: \"{}\",", issue(at)));
        let from = made.from.as_ref().map_or(String::new(), |serial| format!(" reclaimed_from: \"{serial}\","));
        let made_for = made.made_for.map_or(String::new(), |(airframe, day)| {
            let serial = project.airframes[airframe].serial.text();
            format!("        made_for: \"{serial}\", made: \"{}\",\n", date(day))
        });
        format!(
            "    MadePart(\n        part: \"{part}\",{issue} quantity: {}, marks: \"W{}\", stage: \"finished\",{from}\n{made_for}    ),\n",
            made.quantity,
            nth + 1
        )
    })
}

fn permissions<'a>(project: &'a Project<'_>) -> impl Iterator<Item = String> + 'a {
    project.shop.permissions.iter().enumerate().map(|(nth, permission)| {
        let (kind, short) = if permission.permit { ("DeviationPermit", "DP") } else { ("Concession", "CN") };
        let part = &project.structure.parts[permission.part].number;
        let scope = permission.scope.as_ref().map_or(String::new(), |serial| format!(" scope: [\"{serial}\"],"));
        let expires = permission.expires.map_or(String::new(), |day| format!(" expires: \"{}\",", date(day)));
        format!(
            "    {kind}(\n        reference: \"{short} {}\", part: \"{part}\", deviation: \"Two holes opened out.\",\n        allowed_by: \"L. Ashgrove\", date: \"{}\",{scope}{expires}\n    ),\n",
            nth + 1,
            date(permission.date)
        )
    })
}

fn form_blocks<'a>(project: &'a Project<'_>) -> impl Iterator<Item = String> + 'a {
    project.shop.blocks.iter().enumerate().map(|(nth, block)| {
        let part = &project.structure.parts[block.part].number;
        let (issue, serial) = (issue(block.issue), project.airframes[block.airframe].serial.text());
        format!(
            "    FormingTool(\n        mark: \"B{}\", kind: FormBlock,\n        made_to: [\"{part}\"], issue: \"{issue}\",\n        \
             set_for: (airframe: \"{serial}\", build_state: \"rebuild\"),\n    ),\n",
            nth + 1
        )
    })
}

fn decisions<'a>(project: &'a Project<'_>) -> impl Iterator<Item = String> + 'a {
    project.shop.decisions.iter().enumerate().map(|(nth, day)| {
        format!(
            "    Decision(\n        number: {}, airframe: \"{}\", date: \"{}\", by: \"L. Ashgrove\",\n        \
             decides: BuildTo(\"rebuild\"), because: \"It is what the jig is set for.\",\n    ),\n",
            nth + 1,
            project.airframes[nth].serial.text(),
            date(*day)
        )
    })
}
