//! One bend.

/// The bend allowance by the empirical formula, `(0.01743 R + 0.0078 T) A`: the flat length that a bend of an angle `A`
/// takes up, with inside radius `R` in sheet of thickness `T`.
///
/// Source: FAA-H-8083-31, chapter on structural repair, formula 2. Handbooks round it to two or three decimals of an
/// inch before they go on; this does not.
///
/// ```
/// let (radius, thickness) = (0.16, 0.040); // inches
/// let allowance = modstate::metal::allowance(90.0, radius, thickness);
/// assert_eq!(format!("{allowance:.2}"), "0.28"); // as printed
/// ```
#[must_use]
pub fn allowance(angle: f64, radius: f64, thickness: f64) -> f64 {
    (0.01743 * radius + 0.0078 * thickness) * angle
}

/// The bend allowance along the middle of the sheet, `A (pi / 180) (R + T / 2)`.
///
/// Source: FAA-H-8083-31, formula 1, with pi not rounded. It takes no account of the neutral line lying nearer the inside
/// of the bend, and comes out longer.
#[must_use]
pub fn allowance_mid_plane(angle: f64, radius: f64, thickness: f64) -> f64 {
    angle.to_radians() * (radius + thickness / 2.0)
}

/// `K`, by which `R + T` is multiplied to give the setback: the tangent of half the angle.
///
/// Source: AC 43.13-1B, table 4-7. The table is printed to four or five figures.
#[must_use]
pub fn setback_factor(angle: f64) -> f64 {
    (angle / 2.0).to_radians().tan()
}

/// The setback, `K (R + T)`: from a bend tangent line to the mould line.
///
/// Source: AC 43.13-1B, paragraph 4-56; for 90 degrees FAA-H-8083-31, where it is `R + T`.
#[must_use]
pub fn setback(angle: f64, radius: f64, thickness: f64) -> f64 {
    setback_factor(angle) * (radius + thickness)
}

/// What a bend takes off the sum of its two legs, measured to mould lines: two setbacks less the allowance.
#[must_use]
pub fn deduction(angle: f64, radius: f64, thickness: f64) -> f64 {
    2.0 * setback(angle, radius, thickness) - allowance(angle, radius, thickness)
}
