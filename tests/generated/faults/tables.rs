//! Faults of the shop's own tables.

use super::Fault;
use super::folder::{Folder, MARK};

/// Enters tables among the records of the shop.
fn enter(f: &mut Folder<'_>, tables: &str) -> Option<()> {
    let jigs = f.all("Jig");
    let beside = f.one(jigs)?;
    f.add(beside, tables);
    Some(())
}

pub(super) const FAULTS: &[Fault] = &[
    Fault::new("table-461", "the spacings of rivets entered a second time", |f| {
        let own = format!(
            "    RivetSpacing({MARK}\n        source: \"Note 12\", least_edge: 2, least_pitch: 4, least_row_spacing: 0.75,\n    ),\n"
        );
        enter(f, &format!("{own}{own}"))
    }),
    Fault::new("table-462", "a table of which nobody wrote down the source", |f| {
        enter(
            f,
            &format!(
                "    HeatTreatment(\n        source: \"\",{MARK}\n        materials: [], bands: [\"0.032in\"],\n    ),\n"
            ),
        )
    }),
    Fault::new("table-463", "a table of gauges begun and left", |f| {
        enter(f, &format!("    WireGauges(\n        source: \"Gauge plate\",\n        sizes: [],{MARK}\n    ),\n"))
    }),
    Fault::new("table-464", "the two ends of a range of radii exchanged", |f| {
        let row = format!("(material: \"2024-T3\", radius: [(3.0, 1.5)]),{MARK}");
        enter(
            f,
            &format!(
                "    BendRadii(\n        source: \"Trials\", thickness: [\"0.016in\"],\n        radii: [\n            {row}\n        ],\n    ),\n"
            ),
        )
    }),
    Fault::new("table-465", "a nought too many in a thickness band", |f| {
        let bands =
            format!("            \"0.032in\",{MARK}\n            \"0.0125in\",{MARK}\n            \"0.250in\",\n");
        enter(
            f,
            &format!(
                "    HeatTreatment(\n        source: \"Card 2\", materials: [],\n        bands: [\n{bands}        ],\n    ),\n"
            ),
        )
    }),
    Fault::new("table-466", "a cell of a row of rivets left out", |f| {
        let row = format!("rows: [(diameter: \"1/8in\", per_inch: [4.9])],{MARK}");
        enter(
            f,
            &format!(
                "    RivetTables(\n        source: \"Note 12\",\n        thickness: [\"0.016in\", \"0.020in\"],{MARK}\n        tables: [\n            (\n                table: \"table 1\", sheets: [\"2017\"],\n                {row}\n            ),\n        ],\n    ),\n"
            ),
        )
    }),
    Fault::new("table-467", "a stage renamed in the list and not where parts are ready", |f| {
        enter(
            f,
            &format!(
                "    StagesOfWork(\n        source: \"Route card\",\n        stages: [\"cut\", \"aged\", \"finished\"],{MARK}\n        treated: \"aged\",\n        ready: \"done\",{MARK}\n    ),\n"
            ),
        )
    }),
];
