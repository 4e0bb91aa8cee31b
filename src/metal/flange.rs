//! Flanges that follow a curve.

/// The strain along the free edge of a flange that is turned along a curved bend line: the natural logarithm of its
/// length after forming over its length on the flat. Above zero it is stretched, below zero shrunk.
///
/// `radius` is that of the bend line, `width` the width of the flange on the flat and `angle` how far it is turned.
/// `hollow` says that the free edge lies inside the bend line on the flat (a stretch flange); otherwise outside it.
///
/// Source: geometry alone, of a flange whose lines stay circles about one axis (common practice, no source). Thinning, the
/// bend radius and spring-back are left out, and no limit follows from it.
///
/// ```
/// let stretched = modstate::metal::edge_strain(4.0, 0.5, 90.0, true);
/// assert_eq!(format!("{stretched:.4}"), "0.1335"); // ln(4.0 / 3.5)
/// ```
#[must_use]
pub fn edge_strain(radius: f64, width: f64, angle: f64, hollow: bool) -> f64 {
    let side = if hollow { -1.0 } else { 1.0 };
    let after = radius + side * width * angle.to_radians().cos();
    let flat = radius + side * width;
    (after / flat).ln()
}

/// A logarithmic strain as a change of length in per cent.
#[must_use]
pub fn strain_percent(strain: f64) -> f64 {
    100.0 * strain.exp_m1()
}
