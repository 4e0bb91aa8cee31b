//! Rigid best fit of one set of points to another.
//!
//! Source: W. Kabsch, Acta Crystallographica A32 (1976) 922 and S. Umeyama, IEEE PAMI 13 (1991) 376, cited from
//! memory; compared with scipy's `Rotation.align_vectors` by `tests/oracles/fit_oracle.py`. A best fit spreads one
//! hole's error over all holes and hides a wrong datum: show the deviations on the datums first.

use nalgebra::{Matrix3, Rotation3, Vector3};

use super::point::{Motion, Point3, count};

/// A best fit of points `from` to points `to`, pair by pair.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// Carries `from` to `to`.
    pub motion: Motion,
    /// `to` less the moved `from`, in millimetres, one for each pair.
    pub residuals: Vec<Point3>,
    /// The root of the mean squared length of the residuals, in millimetres.
    pub rms: f64,
    /// The middle of the moved points.
    pub centre: Point3,
    /// How far the points spread.
    pub spread: Spread,
}

/// In how many directions a set of points spreads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Spread {
    /// On one line: in space, the turn about the line is arbitrary.
    Line,
    /// In one plane: a mirrored pattern fits as well, turned over.
    Plane,
    /// In space: a mirrored pattern shows.
    Space,
}

/// Why there is no fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FitError {
    /// The two lists differ in length.
    LengthsDiffer,
    /// Fewer pairs than this are given.
    TooFew(usize),
    /// A coordinate is no number.
    NotFinite,
    /// All points lie at one place: no direction follows from them.
    OnePlace,
}

/// How well a fit knows its motion.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FitUncertainty {
    /// Of the shift at the middle of the points, along each axis, in millimetres.
    pub shift: f64,
    /// Of the turn about each axis, in radians; infinite where the points do not hold the turn.
    pub turn: Point3,
}

impl Fit {
    /// The uncertainty of the motion when one coordinate of one point has the uncertainty `coordinate` (millimetres;
    /// the result is standard or expanded as that is) and the errors are independent.
    ///
    /// Shift: `coordinate / sqrt(n)`. Turn: `coordinate` times the root of the diagonal of the inverse of the points'
    /// moment-of-inertia matrix about their middle.
    #[must_use]
    pub fn uncertainty(&self, moved: &[Point3], coordinate: f64) -> FitUncertainty {
        let mut inertia = Matrix3::zeros();
        for &p in moved {
            let r = (p - self.centre).vector();
            inertia += Matrix3::identity() * r.norm_squared() - r * r.transpose();
        }
        let turn = turn_deviation(&inertia) * coordinate;
        FitUncertainty { shift: coordinate / count(moved.len()).sqrt(), turn }
    }
}

/// The root of the diagonal of the inverse; infinite about axes that take part in a direction without moment.
fn turn_deviation(inertia: &Matrix3<f64>) -> Point3 {
    let eigen = inertia.symmetric_eigen();
    let largest = eigen.eigenvalues.max();
    let mut variance = [0.0; 3];
    for (axis, total) in variance.iter_mut().enumerate() {
        for k in 0..3 {
            let part = eigen.eigenvectors[(axis, k)].powi(2);
            if eigen.eigenvalues[k] > largest * 1e-12 {
                *total += part / eigen.eigenvalues[k];
            } else if part > 1e-12 {
                *total = f64::INFINITY;
            }
        }
    }
    Point3::new(variance[0].sqrt(), variance[1].sqrt(), variance[2].sqrt())
}

/// The rigid motion in space that carries `from` to `to` best (least squares): a proper rotation, never a mirror.
///
/// # Errors
/// When the lists differ in length, hold fewer than two pairs or something else than numbers, or lie at one place.
pub fn fit(from: &[Point3], to: &[Point3]) -> Result<Fit, FitError> {
    check(from, to)?;
    let (middle_from, middle_to) = (Point3::centroid(from), Point3::centroid(to));
    let mut covariance = Matrix3::zeros();
    let mut extent = Matrix3::zeros();
    for (&a, &b) in from.iter().zip(to) {
        let (a, b) = ((a - middle_from).vector(), (b - middle_to).vector());
        covariance += b * a.transpose();
        extent += a * a.transpose();
    }
    let svd = covariance.svd(true, true);
    let (u, vt) = (svd.u.expect("u was asked for"), svd.v_t.expect("v was asked for"));
    let last = if (u * vt).determinant() < 0.0 { -1.0 } else { 1.0 };
    let rotation = u * Matrix3::from_diagonal(&Vector3::new(1.0, 1.0, last)) * vt;
    let turned = Motion::from_parts(&rotation, Point3::default());
    let motion = Motion { shift: middle_to - turned.apply(middle_from), ..turned };
    Ok(finish(motion, from, to, spread(&extent)?))
}

/// The best motion in the plane of the first two axes: a turn about the third axis and a shift; the third coordinates
/// are left out on both sides. A pattern turned over (mirrored) does not fit.
///
/// # Errors
/// As for [`fit`].
pub fn fit_in_plane(from: &[Point3], to: &[Point3]) -> Result<Fit, FitError> {
    check(from, to)?;
    let from: Vec<Point3> = from.iter().map(|p| p.flat()).collect();
    let to: Vec<Point3> = to.iter().map(|p| p.flat()).collect();
    let (middle_from, middle_to) = (Point3::centroid(&from), Point3::centroid(&to));
    let (mut sin, mut cos) = (0.0, 0.0);
    let mut extent = Matrix3::zeros();
    for (&a, &b) in from.iter().zip(&to) {
        let (a, b) = (a - middle_from, b - middle_to);
        cos += a.dot(b);
        sin += a.cross(b).z;
        extent += a.vector() * a.vector().transpose();
    }
    let turned = Motion::in_plane(sin.atan2(cos), Point3::default());
    let motion = Motion { shift: middle_to - turned.apply(middle_from), ..turned };
    Ok(finish(motion, &from, &to, spread(&extent)?))
}

/// Points measured in the instrument's axes, laid into the plane of the first two axes: their best plane becomes level
/// and `seen_from` (a direction in the instrument's axes, from the plate towards the side that counts as its face)
/// points up. Returns the motion; apply it to the points.
///
/// # Errors
/// When there are fewer than three points, one is no number, or they lie on one line.
pub fn level(points: &[Point3], seen_from: Point3) -> Result<Motion, FitError> {
    if points.len() < 3 {
        return Err(FitError::TooFew(3));
    }
    if !points.iter().all(|p| p.is_finite()) || !seen_from.is_finite() {
        return Err(FitError::NotFinite);
    }
    let middle = Point3::centroid(points);
    let mut extent = Matrix3::zeros();
    for &p in points {
        extent += (p - middle).vector() * (p - middle).vector().transpose();
    }
    if spread(&extent)? == Spread::Line {
        return Err(FitError::OnePlace);
    }
    let eigen = extent.symmetric_eigen();
    let mut normal: Vector3<f64> = eigen.eigenvectors.column(eigen.eigenvalues.imin()).into();
    if normal.dot(&seen_from.vector()) < 0.0 {
        normal = -normal;
    }
    let upright = Rotation3::rotation_between(&normal, &Vector3::z())
        .unwrap_or_else(|| Rotation3::from_axis_angle(&Vector3::x_axis(), std::f64::consts::PI));
    let turned = Motion::from_parts(upright.matrix(), Point3::default());
    Ok(Motion { shift: -turned.rotate(middle), ..turned })
}

fn check(from: &[Point3], to: &[Point3]) -> Result<(), FitError> {
    if from.len() != to.len() {
        return Err(FitError::LengthsDiffer);
    }
    if from.len() < 2 {
        return Err(FitError::TooFew(2));
    }
    if from.iter().chain(to).all(|p| p.is_finite()) { Ok(()) } else { Err(FitError::NotFinite) }
}

fn spread(extent: &Matrix3<f64>) -> Result<Spread, FitError> {
    let mut values: Vec<f64> = extent.symmetric_eigenvalues().iter().copied().collect();
    values.sort_by(f64::total_cmp);
    let real = |v: f64| v > values[2] * 1e-12 && v > 0.0;
    match (real(values[2]), real(values[1]), real(values[0])) {
        (true, true, true) => Ok(Spread::Space),
        (true, true, false) => Ok(Spread::Plane),
        (true, false, _) => Ok(Spread::Line),
        (false, ..) => Err(FitError::OnePlace),
    }
}

fn finish(motion: Motion, from: &[Point3], to: &[Point3], spread: Spread) -> Fit {
    let residuals: Vec<Point3> = from.iter().zip(to).map(|(&a, &b)| b - motion.apply(a)).collect();
    let rms = (residuals.iter().map(|r| r.dot(*r)).sum::<f64>() / count(residuals.len())).sqrt();
    Fit { centre: Point3::centroid(to), motion, residuals, rms, spread }
}
