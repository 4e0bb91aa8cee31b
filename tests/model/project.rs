//! A small project without faults, made up, and how the tests read and show projects.

use modstate::finding::{FileId, Finding, Place, PlaceStep, RecordRef};
use modstate::lower::lower;
use modstate::model::Model;
use modstate::quantity::Config;
use modstate::schema::Record;
use modstate::source::Lost;
use ron::extensions::Extensions;

/// A project in which every kind of record occurs and nothing is wrong.
pub(crate) const SOUND: &str = r#"[
    Type(name: "Testbed", airframe: "10-0000", datum: "the nose"),
    SerialBlock(serials: "HB101..HB160", factory: "Northmere", model: "Mk 1", line: From(1)),
    SerialBlock(serials: "HC1..HC6", factory: "Southmere", line: Order(1, ["HC1", "HC4..HC6", "HC2..HC3"])),
    Drawing(number: "60-2201", title: "Segment", issues: [
        (issue: "A", date: "1949-05"), (issue: "B", date: "1950-02-01", raised_by: "M014/A", interchangeable: true),
    ], held: ["B"]),
    Drawing(number: "60-2300", sheet: "2", title: "Strap", issues: [(issue: "A", date: "1949")]),
    Part(number: "10-0000", description: "Airframe", source: Made),
    Part(number: "60-2200", description: "Frame", source: Made),
    Part(number: "60-2201", description: "Segment", hand: Port, drawing: "60-2201", thickness: "18swg", source: Made, mass: "0.42kg"),
    Part(number: "60-2202", description: "Segment", opposite_of: "60-2201", source: Made),
    Part(number: "60-2205", description: "Segment, deep", source: Made),
    Part(number: "60-2300", description: "Strap", drawing: "60-2300", sheet: "2", source: Made),
    Assembly(part: "10-0000", positions: [(find: "1", candidates: [(part: "60-2200")])]),
    Assembly(part: "60-2200", positions: [
        (find: "2", candidates: [(part: "60-2202")]),
        (find: "10", station: "1200mm", candidates: [
            (part: "60-2201", when: Pre("M010")),
            (part: "60-2205", when: All([Post("M010", Retrospective), Not(Serials("HB150..HB160", "HC2"))])),
        ], nothing_when: Post("M020")),
        (find: "20", quantity: 2, candidates: [(part: "60-2300", quantity: 3)]),
    ]),
    Modification(number: "M010", title: "Deep segment", requires: ["M014/A"],
        retrospective: (leaflet_date: "1950-03-01", eligible: ["HB101..HB160"], except: ["HB120"]),
        changes: [(position: "60-2200/10", delete: ["60-2201"], introduce: ["60-2205"])]),
    Modification(number: "M014", title: "Straps", class: "B", parts: [
        (part: "A", production: (from: ["HB150"], except: ["HB155"])),
        (part: "B", requires: ["M010"]),
    ], retrospective: (leaflet_date: "1950")),
    Modification(number: "M020", title: "Open ring", excludes: ["M010"],
        production: (line: [(factory: "Southmere", number: 5)], ranges: ["HB140..HB142"])),
    OneOf(name: "ring", modifications: ["M010", "M020"], introduced: "1951"),
    Frame(name: "F22", assembly: "60-2200", station: "1.2m", girth: Circle(radius: "500mm"), splice_points: [
        (name: "S1", at: Angle("0deg"), joined_by: ["60-2300"], rivets: [(diameter: "1/8in", kind: AdProtruding, rows: 2)]), (name: "S2", at: Girth("1570mm")),
    ], segments: [
        (part: "60-2202", from: "S1", to: "S2", lap_from: "20mm"), (part: "60-2201", from: "S2", to: "S1"),
    ], openings: [(name: "hatch", from: "S2", to: "S1", when: Post("M020"), bridged_by: ["60-2300"])]),
    Plate(number: "JP-1", jig_station: "1", locates: ["60-2201"], thickness: "10mm", holes: [
        (hole: "H1", x: "0mm", y: "1/2in", diameter: "6mm", tolerance: "dowel", datum: true),
        (hole: "H2", x: "10mm", y: "12.5mm", z: "-1mm", diameter: "4mm", tolerance: "0.3mm"),
    ], outline: [(x: "-10mm", y: "0mm"), (x: "30mm", y: "0mm"), (x: "30mm", y: "30mm", radius: "5mm"), (x: "-10mm", y: "30mm")]),
    Airframe(serial: "HB133", model: "Mk 1", built: "1949-11..1949-12", delivered: "1950-01",
        movements: [(date: "1950-02", to: "the coast")]),
    Airframe(serial: "HB140", built: "1949-12-20"),
    Evidence(airframe: "HB133", id: "E1", kind: "record card", reference: "card 7", date: "1951", grade: B),
    Evidence(airframe: "HB133", id: "E2", kind: "relic", reference: "frame", grade: A),
    Evidence(airframe: "HB140", id: "E7", kind: "photograph", reference: "print", grade: C),
    Claim(airframe: "HB133", id: "C1", says: Embodied("M014/A", Retrospective), when: "by 1951-06", rests_on: ["E1"], standing: Firm),
    Claim(airframe: "HB133", id: "C2", says: SeenPart("60-2200/10", "60-2205"), when: "1999-05-01", rests_on: ["E1", "E2"], standing: Firm),
    Claim(airframe: "HB133", id: "C3", says: SeenSplice("F22", "S2"), when: "1999-05-01", rests_on: ["E2"], standing: Doubtful),
    Claim(airframe: "HB140", id: "C1", says: SeenNothing("60-2200/10"), when: "1999", rests_on: ["E7"], standing: Firm),
    Claim(airframe: "HB140", id: "C2", says: SeenPattern("JP-1"), when: "1999", rests_on: ["E7"], standing: Doubtful),
    Assumption(airframe: "HB133", id: "A1", assumes: UnrecordedNotEmbodied, when: "1951-12-31", reason: "house rule"),
    Assumption(airframe: "HB133", id: "A2", assumes: That(NotEmbodied("M010")), when: "1950-01-31", reason: "too early"),
    BuildState(airframe: "HB133", name: "as delivered", date: "1950-01-31",
        add: [(modification: "M014/B", reason: "safety")], leave_out: [(modification: "M010", reason: "too late")]),
    Jig(name: "J1", frame: "F22", stations: ["1", "2"], mounted: [
        (mark: "P1", station: "1", made_to: "JP-1", made: "1998", reworked: "1999-02"), (mark: "P2", station: "2"),
    ]),
    Survey(id: "SV1", jig: "J1", mark: "P1", date: "1999-06-01", instrument: "height gauge", uncertainty: "0.02mm",
        temperature: "18.5C", holes: [(hole: "H1", x: "0.01mm", y: "12.71mm"), (x: "10mm", y: "12.5mm", diameter: "4mm")]),
    MadePart(part: "60-2201", issue: "B", quantity: 1, hand: Port, marks: "RB 3"),
    Concession(reference: "K1", part: "60-2201", deviation: "hole oversize", allowed_by: "R. Example", date: "1999-05",
        quantity: 1, scope: ["HB133"], expires: "2001"),
    DeviationPermit(reference: "K2", part: "60-2205", deviation: "sheet 1 gauge up", allowed_by: "R. Example", date: "1999"),
]"#;

/// Reads records as `source` would, without its findings.
pub(crate) fn records(text: &str) -> Vec<(RecordRef, Record)> {
    let options =
        ron::Options::default().with_default_extension(Extensions::UNWRAP_VARIANT_NEWTYPES | Extensions::IMPLICIT_SOME);
    let records: Vec<Record> = options.from_str(text).unwrap_or_else(|e| panic!("the fixture is RON: {e}"));
    records.into_iter().zip(0..).map(|(record, index)| (RecordRef { file: FileId(0), index }, record)).collect()
}

/// What records become.
pub(crate) fn lowered(text: &str) -> (Model, Vec<Finding>) {
    lower(&records(text), &Lost::default(), &Config::built_in())
}

/// What records become, if nothing is wrong with them.
pub(crate) fn sound(text: &str) -> Model {
    let (model, findings) = lowered(text);
    assert_eq!(show(text, &findings), "", "no findings are expected");
    model
}

/// Findings in words, their places as record kind and path.
pub(crate) fn show(text: &str, findings: &[Finding]) -> String {
    let records = records(text);
    let mut lines = Vec::new();
    for finding in findings {
        lines.push(format!("{} {}\n", finding.code, finding.message));
        lines
            .extend(finding.labels.iter().map(|label| format!("  {}: {}\n", path(&records, &label.place), label.text)));
        lines.push(format!("  = {}\n", finding.help));
    }
    lines.concat()
}

fn path(records: &[(RecordRef, Record)], place: &Place) -> String {
    let Place::Record(at, steps) = place else { panic!("lowering knows places by record") };
    let record = format!("{:?}", records.iter().find(|(other, _)| other == at).expect("the record exists").1);
    let mut path = format!("{}#{}", record.split('(').next().unwrap_or_default(), at.index);
    for step in steps {
        match step {
            PlaceStep::Field(name) => path.extend([".", name]),
            PlaceStep::Item(index) => path.extend(["[", &index.to_string(), "]"]),
        }
    }
    path
}
