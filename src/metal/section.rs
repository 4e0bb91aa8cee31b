//! A section with several bends, laid flat.

use super::{allowance, allowance_mid_plane, setback};

/// A section laid flat.
#[derive(Clone, Debug, PartialEq)]
pub struct Developed {
    /// The flat of each leg, between bend tangent lines; below zero if the bends of a leg run into each other.
    pub flats: Vec<f64>,
    /// The allowance of each bend, by the empirical formula.
    pub allowances: Vec<f64>,
    /// The allowance of each bend along the middle of the sheet.
    pub allowances_mid_plane: Vec<f64>,
    /// The setback of each bend.
    pub setbacks: Vec<f64>,
    /// Flats and allowances together, by the empirical formula.
    pub width: f64,
    /// The same along the middle of the sheet.
    pub width_mid_plane: f64,
}

/// Lays a section flat. `legs` run from one free edge to the other and are measured to mould lines; `bends` are angle and
/// inside radius between each two legs.
///
/// Source: FAA-H-8083-31, step by step layout of a U-channel: flats are legs less their setbacks, and the width is flats
/// and allowances together.
///
/// # Panics
/// If there is not one bend fewer than legs.
#[must_use]
pub fn developed(legs: &[f64], bends: &[(f64, f64)], thickness: f64) -> Developed {
    assert_eq!(legs.len(), bends.len() + 1, "a section has one bend fewer than legs");
    let setbacks: Vec<f64> = bends.iter().map(|(angle, radius)| setback(*angle, *radius, thickness)).collect();
    let allowances: Vec<f64> = bends.iter().map(|(angle, radius)| allowance(*angle, *radius, thickness)).collect();
    let mid_plane = |(angle, radius): &(f64, f64)| allowance_mid_plane(*angle, *radius, thickness);
    let allowances_mid_plane: Vec<f64> = bends.iter().map(mid_plane).collect();
    let at = |bend: Option<usize>| bend.and_then(|bend| setbacks.get(bend)).copied().unwrap_or(0.0);
    let flats: Vec<f64> =
        legs.iter().enumerate().map(|(leg, length)| length - at(leg.checked_sub(1)) - at(Some(leg))).collect();
    let flat: f64 = flats.iter().sum();
    let width = flat + allowances.iter().sum::<f64>();
    let width_mid_plane = flat + allowances_mid_plane.iter().sum::<f64>();
    Developed { flats, allowances, allowances_mid_plane, setbacks, width, width_mid_plane }
}
