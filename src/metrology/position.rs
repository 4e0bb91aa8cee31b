//! Position deviation of one hole, the bonus at maximum material condition, the verdict, and the reference temperature.
//!
//! Terms as in ISO 1101 / ISO 2692 and ASME Y14.5 (position tolerance, maximum material condition, actual mating
//! envelope), the decision rule as in ISO 14253-1, the reference temperature as in ISO 1: cited from memory. The worked
//! numbers that the tests recompute are named there.

use super::point::Point3;

/// The position deviation as the standard states it: the diameter of the smallest zone about the true position that
/// holds the axis, `2 * sqrt(dx^2 + dy^2)`, in the unit of `dx` and `dy`.
#[must_use]
pub fn deviation_diameter(dx: f64, dy: f64) -> f64 {
    2.0 * dx.hypot(dy)
}

/// The actual mating envelope of a hole: the largest perfect pin that enters square to the datum plane. `size` less
/// what the hole is out of square over its depth, in millimetres. The bonus comes from this, not from the raw size.
#[must_use]
pub fn mating_envelope(size: f64, out_of_square: f64) -> f64 {
    size - out_of_square.abs()
}

/// The bonus at maximum material condition: what the mating envelope exceeds the smallest permitted hole by, never
/// below 0, in millimetres.
#[must_use]
pub fn bonus(smallest: f64, envelope: f64) -> f64 {
    (envelope - smallest).max(0.0)
}

/// Whether a figure lies within its limit when the instrument is taken into account.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LimitVerdict {
    /// Within, by at least the uncertainty.
    Pass,
    /// Out, by more than the uncertainty.
    Fail,
    /// Too near the limit for this instrument.
    NotDecidable,
}

/// The decision rule with a guard band: proved within where `value + uncertainty <= limit`, proved out where
/// `value - uncertainty > limit`, else not decidable. All in one unit; the uncertainty is expanded (k = 2).
#[must_use]
pub fn judge(value: f64, limit: f64, uncertainty: f64) -> LimitVerdict {
    // A hair of rounding in `value` must not turn the verdict on an exact limit.
    let hair = 1e-9 * limit.abs().max(value.abs());
    if !(value.is_finite() && limit.is_finite() && uncertainty.is_finite()) {
        LimitVerdict::NotDecidable
    } else if value + uncertainty <= limit + hair {
        LimitVerdict::Pass
    } else if value - uncertainty > limit + hair {
        LimitVerdict::Fail
    } else {
        LimitVerdict::NotDecidable
    }
}

/// What is asked of a hole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Zone {
    /// The diameter of the position tolerance zone, in millimetres.
    pub diameter: f64,
    /// Where the zone grows at maximum material condition: the smallest permitted hole, in millimetres.
    pub smallest: Option<f64>,
}

/// What was found at a hole. The uncertainties are expanded (k = 2).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoleMeasurement {
    /// Across the hole's axis, measured minus nominal, in millimetres.
    pub dx: f64,
    /// As `dx`.
    pub dy: f64,
    /// Of `dx` and of `dy`, with the datums' and the temperature's share in it, in millimetres.
    pub coordinate_uncertainty: f64,
    /// The diameter and its uncertainty, where the hole was gauged, in millimetres.
    pub diameter: Option<(f64, f64)>,
    /// How far the hole is out of square over its depth, in millimetres, where that was measured: without it there is
    /// no mating envelope, and so no bonus.
    pub out_of_square: Option<f64>,
}

/// A hole judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Judgement {
    /// The position deviation (a diameter), in millimetres.
    pub deviation: f64,
    /// What the zone grew by.
    pub bonus: f64,
    /// The zone with its bonus: the limit for the deviation.
    pub allowed: f64,
    /// The guard band: the expanded uncertainty of deviation and bonus together.
    pub guard: f64,
    /// On the position.
    pub position: LimitVerdict,
    /// Whether the hole is out as it stands, and the bonus of its mating size, which was not measured, could put it within.
    pub mating_size_tells: bool,
    /// On the size: whether the hole is at least the smallest permitted; where both were given.
    pub size: Option<LimitVerdict>,
}

/// What the k = 2 uncertainty of one coordinate is multiplied by to cover the error of a radius, whatever its direction:
/// `sqrt(-2 ln 0.003) / 2`, about 1.704.
///
/// A circle of that radius holds 99.7 % of the errors of two independent normal coordinates (Rayleigh's law), so that of
/// perfect holes, however small their zone, at most 0.3 % are ever called out; k = 2 of one coordinate would call up to
/// 13.5 % of them out.
pub const RADIUS_COVERAGE: f64 = 1.704_280_6;

/// The guard band of a position deviation (a diameter): twice the uncertainty of the radius.
#[must_use]
pub fn position_guard(coordinate_uncertainty: f64) -> f64 {
    2.0 * RADIUS_COVERAGE * coordinate_uncertainty
}

/// The uncertainty (k = 2) of one coordinate with which a hole would be decided that `guard` at `uncertainty` does not
/// decide: the guard band shrinks with it. In the unit of `uncertainty`; 0 on the limit itself.
#[must_use]
pub fn deciding_uncertainty(deviation: f64, allowed: f64, uncertainty: f64, guard: f64) -> f64 {
    if guard > 0.0 { uncertainty * (deviation - allowed).abs() / guard } else { 0.0 }
}

/// Judges the position of one hole.
///
/// The guard band of the deviation is [`position_guard`]. The bonus comes from the mating envelope alone; it adds its own
/// uncertainty only while there is one, and the two are combined as a root of squares. The size is judged by the
/// diameter: a hole is too small where even that is. Where the mating size was not measured there is no bonus, and a hole
/// that it could put within is not proved out.
#[must_use]
pub fn judge_hole(zone: &Zone, found: &HoleMeasurement) -> Judgement {
    let deviation = deviation_diameter(found.dx, found.dy);
    let gauged = zone.smallest.zip(found.diameter);
    let mating = gauged
        .zip(found.out_of_square)
        .map(|((smallest, (diameter, u)), square)| (smallest, mating_envelope(diameter, square), u));
    let bonus = mating.map_or(0.0, |(smallest, envelope, _)| bonus(smallest, envelope));
    // Below the smallest size by more than the gauge's uncertainty there is no bonus whose uncertainty could matter.
    let gauge = mating.map_or(0.0, |(smallest, envelope, u)| if envelope + u > smallest { u } else { 0.0 });
    let guard = position_guard(found.coordinate_uncertainty).hypot(gauge);
    let allowed = zone.diameter + bonus;
    let size = gauged.map(|(smallest, (diameter, u))| judge(-diameter, -smallest, u));
    let mut position = judge(deviation, allowed, guard);
    // A hole that is perfectly square would have this much; how square it is was not measured.
    let most = gauged.filter(|_| mating.is_none()).map(|(smallest, (diameter, u))| (diameter + u - smallest).max(0.0));
    let mating_size_tells = position == LimitVerdict::Fail
        && most.is_some_and(|most| judge(deviation, allowed + most, guard) != LimitVerdict::Fail);
    if mating_size_tells {
        position = LimitVerdict::NotDecidable;
    }
    Judgement { deviation, bonus, allowed, guard, position, mating_size_tells, size }
}

/// The reference temperature for lengths, in degrees Celsius (ISO 1).
pub const REFERENCE_TEMPERATURE: f64 = 20.0;

/// Points measured at `temperature` (degrees Celsius) on metal of linear expansion `coefficient` (per kelvin), as they
/// would lie at 20 degrees: everything shrinks towards `about` by `1 + coefficient * (temperature - 20)`.
#[must_use]
pub fn at_reference_temperature(points: &[Point3], about: Point3, temperature: f64, coefficient: f64) -> Vec<Point3> {
    let growth = 1.0 + coefficient * (temperature - REFERENCE_TEMPERATURE);
    points.iter().map(|&p| about + (p - about) * (1.0 / growth)).collect()
}

/// How much longer than the jig a part comes out, over `length` millimetres measured at `temperature`, once both are
/// at that temperature instead of 20 degrees; negative where it comes out shorter. Coefficients per kelvin.
#[must_use]
pub fn expansion_mismatch(length: f64, temperature: f64, jig: f64, part: f64) -> f64 {
    length * (part - jig) * (temperature - REFERENCE_TEMPERATURE)
}
