//! Formulas and tables against what was published. The figures are in `tests/facts/sheet_metal.json`, with their sources.

use modstate::metal::{
    allowance, allowance_mid_plane, deduction, developed, edge_strain, published_radius, setback, setback_factor,
    strain_percent,
};
use modstate::model::{Config, Length};
use serde_json::Value;

fn facts() -> Value {
    serde_json::from_str(include_str!("../facts/sheet_metal.json")).expect("the facts are JSON")
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().expect("a list").iter().map(number).collect()
}

/// Whether a figure rounds, at so many decimals, to the printed one.
#[track_caller]
fn prints(value: f64, printed: &Value, decimals: usize) {
    assert_eq!(format!("{value:.decimals$}"), format!("{:.decimals$}", number(printed)));
}

#[track_caller]
fn near(value: f64, expected: f64) {
    assert!((value - expected).abs() < 6e-6, "{value} is not {expected}");
}

#[test]
fn the_u_channel_of_the_handbook() {
    let fact = &facts()["u_channel"];
    let (thickness, radius) = (number(&fact["thickness"]), number(&fact["radius"]));
    let laid = developed(&numbers(&fact["legs"]), &[(90.0, radius), (90.0, radius)], thickness);
    for (flat, printed) in laid.flats.iter().zip(numbers(&fact["flats"])) {
        near(*flat, printed);
    }
    laid.setbacks.iter().for_each(|setback| near(*setback, number(&fact["setback"])));
    // The handbook rounds each allowance to two decimals before it adds; the width still prints alike.
    prints(laid.allowances[0], &fact["printed_allowance"], 2);
    prints(laid.width, &fact["printed_width"], 2);
    let as_printed = laid.flats.iter().sum::<f64>() + 2.0 * number(&fact["printed_allowance"]);
    near(as_printed, number(&fact["printed_width"]));
    near(laid.width, 3.758_144);
    near(laid.width_mid_plane, 3.765_487);
}

#[test]
fn setbacks_and_a_deduction_of_the_circular() {
    for fact in facts()["setbacks"].as_array().expect("a list") {
        let at = |field: &str| number(&fact[field]);
        prints(setback(at("angle"), at("radius"), at("thickness")), &fact["printed"], 3);
    }
    let fact = &facts()["bend"];
    let at = |field: &str| number(&fact[field]);
    prints(allowance(at("angle"), at("radius"), at("thickness")), &fact["printed_allowance"], 3);
    prints(deduction(at("angle"), at("radius"), at("thickness")), &fact["printed_deduction"], 3);
}

#[test]
fn a_mid_plane_allowance_is_the_longer_one() {
    for (radius, thickness) in [(0.16, 0.04), (0.032, 0.05), (0.5, 0.128), (1.0, 0.016)] {
        assert!(allowance_mid_plane(90.0, radius, thickness) > allowance(90.0, radius, thickness));
    }
    near(allowance_mid_plane(90.0, 0.16, 0.04), 0.282_743);
    near(setback_factor(176.0), 28.636_253);
    near(setback_factor(90.0), 1.0);
}

#[test]
fn the_table_of_radii_is_the_published_one() {
    let config = Config::built_in();
    let facts = facts();
    let table = &facts["table_4_6_radius_in_thicknesses"];
    let columns: Vec<f64> = config.radii.thickness.iter().map(Length::inches).collect();
    assert_eq!(columns.len(), numbers(&table["t_in"]).len());
    for (column, printed) in columns.iter().zip(numbers(&table["t_in"])) {
        near(*column, printed);
    }
    let rows = table.as_object().expect("an object").iter().filter(|(name, _)| *name != "t_in");
    assert_eq!(rows.clone().count(), config.radii.rows.len());
    for (name, cells) in rows {
        let row = config.radii.rows.iter().find(|row| row.material == *name).expect("every published row is held");
        for ((low, high), cell) in row.radius.iter().zip(cells.as_array().expect("a list")) {
            let cell = cell.as_str().expect("a cell is text");
            let (first, last) = cell.split_once('-').unwrap_or((cell, cell));
            near(*low, first.parse().expect("a number"));
            near(*high, last.parse().expect("a number"));
        }
    }
}

#[test]
fn radii_are_read_in_the_column_that_is_not_thinner() {
    let config = Config::built_in();
    let read = |material: &str, thickness: &str| {
        let thickness = Length::parse(thickness, &config).expect("a length");
        published_radius(&config.radii, material, &thickness).map(|range| (range.low, range.high, range.detached))
    };
    assert_eq!(read("2024-T3", "0.064in"), Some((3.0, 5.0, false)));
    assert_eq!(read("2024-T3", "0.065in"), Some((4.0, 6.0, false)), "between two columns: the thicker one");
    assert_eq!(read("7075-T6", "0.016in"), Some((2.0, 4.0, true)), "its label was detached in the copy read");
    assert_eq!(read("2024-T3", "0.015in"), None, "thinner than the table");
    assert_eq!(read("2024-T3", "0.3in"), None, "thicker than the table");
    assert_eq!(read("L3", "18swg"), None, "nothing is published here for it");
}

#[test]
fn flanges_stretch_and_shrink() {
    // Common practice, no source: circles about one axis.
    assert_eq!(format!("{:.4}", edge_strain(4.0, 0.5, 90.0, true)), "0.1335");
    assert_eq!(format!("{:.4}", edge_strain(4.0, 0.5, 90.0, false)), "-0.1178");
    assert_eq!(format!("{:.1}", strain_percent(edge_strain(4.0, 0.5, 90.0, true))), "14.3");
    assert_eq!(format!("{:.1}", strain_percent(edge_strain(4.0, 0.5, 90.0, false))), "-11.1");
    // A flange that is hardly turned is hardly strained, and one turned further is strained more.
    assert!(edge_strain(4.0, 0.5, 1.0, true).abs() < 1e-4);
    assert!(edge_strain(4.0, 0.5, 120.0, true) > edge_strain(4.0, 0.5, 90.0, true));
}
