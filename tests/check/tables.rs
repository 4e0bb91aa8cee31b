//! Tables of the shop's own: a sound one is used, and of a faulty one it is said what is wrong, and nothing stands in for it.

use super::{demo_texts, project};
use modstate::finding::Severity;
use modstate::model::Model;
use modstate::quantity::{Config, Length};
use modstate::schema::{KINDS, MadeOf, RecordKind, TABLE_KINDS};
use std::path::{Path, PathBuf};

const FILE: &str = "shop/own.ron";

/// The demo, with this as another file of it.
fn with(own: &str) -> super::Project {
    let mut texts = demo_texts();
    texts.push((PathBuf::from(FILE), format!("[\n{own}\n]")));
    project(texts)
}

/// What the file of these tables gives: code, and what the first label of each finding stands on.
fn found(own: &str) -> Vec<(String, String)> {
    let project = with(own);
    let sources = &project.reading.sources;
    let findings = project.reading.findings.iter().chain(&project.lowered);
    let here = findings.filter_map(|finding| {
        let (file, span) = sources.span(&finding.labels[0].place);
        let file = sources.file(file);
        (file.path == Path::new(FILE)).then(|| {
            assert_eq!(finding.severity(), Severity::Stop, "{}", finding.message);
            assert!(!finding.help.is_empty(), "{}", finding.message);
            (finding.code.to_string(), file.text.get(span).unwrap_or_default().to_owned())
        })
    });
    here.collect()
}

const GAUGES: &str =
    r#"WireGauges(source: "Gauge plate", sizes: [("10", "0.128in"), ("16", "0.064in"), ("20", "0.036in")])"#;
const CLASSES: &str = r#"ToleranceClasses(source: "Standard 4", classes: [(name: "H7", zone: "0.05mm")])"#;
const STAGES: &str = r#"StagesOfWork(source: "Route card", stages: ["as found", "blank cut", "formed", "heat treated",
    "stripped and checked", "finished"], only_new: ["formed"], treated: "heat treated", ready: "finished")"#;
const RADII: &str = r#"BendRadii(source: "Trials", thickness: ["0.02in", "0.05in"],
    radii: [(material: "L3", radius: [(0.0, 1.0), (1.5, 2.0)])])"#;
const RIVETS: &str = r#"RivetTables(source: "Note 12", thickness: ["0.02in", "0.05in"],
    tables: [(table: "table 1", sheets: ["2017"], rows: [(diameter: "1/8in", per_inch: [None, 3.5])])])"#;
const SPACING: &str = r#"RivetSpacing(source: "Note 12", least_edge: 2.0, least_pitch: 3, least_row_spacing: 0.75)"#;
const LIMITS: &str = r#"SurveyLimits(source: "Note 7", far_off: "2mm", out_of_plane: "0.3mm", temperature_not_noted: "8K",
    widest_expansion: "23e-6/K", loose: "1.6mm", odds_found: 400, odds_possible: 20)"#;

/// A sound table, what stands in it, what a person wrote instead, and what is found: the code, and what it stands on.
const FAULTS: &[(&str, &str, &str, &str, &str)] = &[
    (GAUGES, "\"Gauge plate\"", "\" \"", "table-462", "\" \""),
    (GAUGES, "\"0.064in\"", "\"0in\"", "record-110", "\"0in\""),
    (GAUGES, "\"0.064in\"", "\"0.64in\"", "table-465", "\"0.64in\""),
    (GAUGES, "\"0.064in\"", "\"0.064\"", "record-101", "\"0.064\""),
    (GAUGES, "\"0.064in\"", "\"16swg\"", "record-101", "\"16swg\""),
    (GAUGES, "(\"16\"", "(\"10\"", "record-120", "\"10\""),
    (GAUGES, "(\"16\"", "(\"\"", "record-121", "\"\""),
    (GAUGES, "[(\"10\", \"0.128in\"), (\"16\", \"0.064in\"), (\"20\", \"0.036in\")]", "[]", "table-463", "[]"),
    (CLASSES, "\"H7\"", "\"7\"", "table-464", "\"7\""),
    (CLASSES, "\"0.05mm\"", "\"0mm\"", "record-110", "\"0mm\""),
    (CLASSES, "[(name: \"H7\", zone: \"0.05mm\")]", "[]", "table-463", "[]"),
    (STAGES, "ready: \"finished\"", "ready: \"inspected\"", "table-467", "\"inspected\""),
    (STAGES, "only_new: [\"formed\"]", "only_new: [\"fromed\"]", "table-467", "\"fromed\""),
    (STAGES, "ready: \"finished\"", "ready: \"blank cut\"", "table-467", "\"blank cut\""),
    (STAGES, "\"blank cut\", \"formed\"", "\"blank cut\", \"blank cut\", \"formed\"", "record-120", "\"blank cut\""),
    (RADII, "(1.5, 2.0)", "(2.5, 2.0)", "table-464", "2.0"),
    (RADII, "(0.0, 1.0)", "(-0.5, 1.0)", "table-464", "-0.5"),
    (RADII, "(0.0, 1.0)", "(NaN, 1.0)", "table-464", "NaN"),
    (RADII, "[(0.0, 1.0), (1.5, 2.0)]", "[(0.0, 1.0)]", "table-466", "[(0.0, 1.0)]"),
    (RADII, "[\"0.02in\", \"0.05in\"]", "[\"0.05in\", \"0.02in\"]", "table-465", "\"0.02in\""),
    (RIVETS, "[None, 3.5]", "[None, 3.5, 4.0]", "table-466", "[None, 3.5, 4.0]"),
    (RIVETS, "[None, 3.5]", "[None, 0]", "table-464", "0"),
    (RIVETS, "[None, 3.5]", "[None, \"3.5\"]", "file-107", "\"3.5\""),
    (RIVETS, "[\"2017\"]", "[\"2017\", \"2017\"]", "record-120", "\"2017\""),
    (SPACING, "least_pitch: 3", "least_pitch: 0", "table-464", "0"),
    (SPACING, "source: \"Note 12\", ", "", "file-105", "RivetSpacing"),
    (LIMITS, "odds_found: 400", "odds_found: 4", "table-464", "4"),
    (LIMITS, "odds_possible: 20", "odds_possible: 1", "table-464", "1"),
    (LIMITS, "\"8K\"", "\"8C\"", "shop-105", "\"8C\""),
    (LIMITS, "\"23e-6/K\"", "\"23/K\"", "shop-111", "\"23/K\""),
];

#[test]
fn a_fault_in_a_table_is_found_where_it_stands_and_a_sound_table_has_none() {
    for sound in [GAUGES, CLASSES, STAGES, RADII, RIVETS, SPACING, LIMITS] {
        assert_eq!(found(sound), [], "{sound}");
    }
    for (sound, from, to, code, on) in FAULTS {
        assert_eq!(sound.matches(from).count(), 1, "`{from}` stands once in {sound}");
        let found = found(&sound.replacen(from, to, 1));
        assert!(found.contains(&((*code).to_owned(), (*on).to_owned())), "`{to}`: {code} on {on}, not {found:?}");
    }
}

#[test]
fn of_two_tables_of_a_kind_neither_is_sure() {
    let project = with(&format!("{LIMITS},\n{LIMITS}"));
    let found: Vec<_> = project.lowered.iter().filter(|finding| finding.code.to_string() == "table-461").collect();
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].labels.len(), 2);
    assert!(project.model.config.surveys.known().is_none());
    assert_eq!(project.model.losses.of_table("SurveyLimits").len(), 2, "each of them is named");
}

/// Which tables of a model are known.
fn known(model: &Model) -> [bool; 8] {
    let Config { swg, tolerances, stages, heat, radii, rivets, spacing, surveys, .. } = &model.config;
    [
        swg.known().is_some(),
        tolerances.known().is_some(),
        stages.known().is_some(),
        heat.known().is_some(),
        radii.known().is_some(),
        rivets.known().is_some(),
        spacing.known().is_some(),
        surveys.known().is_some(),
    ]
}

#[test]
fn a_table_replaces_the_whole_of_the_one_that_comes_with_the_program() {
    let model = with(&[GAUGES, STAGES, RADII, RIVETS, SPACING, LIMITS].join(",\n")).model;
    let config = &model.config;
    assert_eq!(known(&model), [true; 8]);
    assert_eq!(config.swg.known().unwrap().len(), 3);
    assert!(Length::parse("16swg", config).is_ok());
    let why = Length::parse("18swg", config).unwrap_err();
    assert_eq!(why.message, "`18swg` names a gauge that is not in the shop's own table");
    assert_eq!(why.help, "give a gauge from `10swg` to `20swg`");
    assert_eq!(config.stages.known().unwrap().source, "Route card");
    assert_eq!(config.radii.known().unwrap().rows.len(), 1);
    assert!((model.survey_limits.far_off_mm - 2.0).abs() < 1e-12);
    // The demo has bands of its own, and no classes.
    assert_eq!(config.heat.known().unwrap().bands.len(), 3);
    assert!(config.heat.known().unwrap().record.is_some());
    assert!(config.tolerances.known().unwrap().record.is_none());
}

#[test]
fn names_that_the_shop_s_own_table_does_not_list_are_shown_with_it() {
    let stages = STAGES.replace("\"blank cut\", ", "");
    let project = with(&stages);
    let found: Vec<_> = project.lowered.iter().filter(|finding| finding.code.to_string() == "part-401").collect();
    assert!(!found.is_empty());
    for finding in found {
        let (file, _) = project.reading.sources.span(&finding.labels[1].place);
        assert_eq!(project.reading.sources.file(file).path, Path::new(FILE), "{}", finding.message);
    }
}

/// What is left of a table once a hand has slipped: none of them leaves the program's own in its place.
#[test]
fn nothing_stands_in_for_a_table_that_was_not_read() {
    let slips = [
        (GAUGES, 0, "WireGauges", "WireGuages"),
        (GAUGES, 0, "WireGauges", "Gauges"),
        (GAUGES, 0, "WireGauges(", ""),
        (GAUGES, 0, "source: \"Gauge plate\", sizes: [", ""),
        (GAUGES, 0, "WireGauges(source: \"Gauge plate\", sizes: [", ""),
        (GAUGES, 0, "), (\"16", ")]), (\"16"),
        (STAGES, 2, "treated: \"heat", "treated: heat"),
        (RADII, 4, "radii: [", "radii: "),
        (LIMITS, 7, "\"8K\"", "\"8K"),
    ];
    for (own, which, from, to) in slips {
        let slipped = own.replacen(from, to, 1);
        assert_ne!(slipped, own);
        let project = with(&slipped);
        let known = known(&project.model);
        assert!(!known[which], "{slipped}");
        for (kind, known) in TABLE_KINDS.iter().zip(known) {
            assert_eq!(project.model.losses.of_table(kind).is_empty(), known, "{kind} of {slipped}");
        }
    }
}

/// By that the rest of a table is known of which the head is gone.
#[test]
fn each_kind_of_table_has_a_field_that_no_other_kind_of_record_has() {
    let fields = |kind: &RecordKind| match &(kind.shape)().made_of {
        MadeOf::Fields(fields) => fields.iter().map(|field| field.name).collect::<Vec<_>>(),
        MadeOf::Words(_) => Vec::new(),
    };
    for table in KINDS.iter().filter(|kind| TABLE_KINDS.contains(&kind.name)) {
        let others = KINDS.iter().filter(|kind| kind.name != table.name).flat_map(fields).collect::<Vec<_>>();
        let own = fields(table).into_iter().find(|field| !others.contains(field));
        assert!(own.is_some(), "{}", table.name);
    }
}
