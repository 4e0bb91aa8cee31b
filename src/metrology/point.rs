//! Points and rigid motions.

use std::ops::{Add, Mul, Neg, Sub};

use nalgebra::{Matrix3, Vector3};

/// A point, or the step between two points, in millimetres.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point3 {
    /// Along the first axis.
    pub x: f64,
    /// Along the second axis.
    pub y: f64,
    /// Along the third axis.
    pub z: f64,
}

impl Point3 {
    /// The point at these coordinates.
    #[must_use]
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x, y, z }
    }
    /// The distance from the origin.
    #[must_use]
    pub fn norm(self) -> f64 {
        self.dot(self).sqrt()
    }
    /// The scalar product.
    #[must_use]
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y + self.z * other.z
    }
    /// The vector product.
    #[must_use]
    pub fn cross(self, other: Self) -> Self {
        Self::new(
            self.y * other.z - self.z * other.y,
            self.z * other.x - self.x * other.z,
            self.x * other.y - self.y * other.x,
        )
    }
    /// Whether every coordinate is a number.
    #[must_use]
    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite() && self.z.is_finite()
    }
    /// The same point with nothing along the third axis.
    #[must_use]
    pub const fn flat(self) -> Self {
        Self::new(self.x, self.y, 0.0)
    }
    /// The mean of these points; the origin where there are none.
    #[must_use]
    pub fn centroid(points: &[Self]) -> Self {
        let sum = points.iter().fold(Self::default(), |sum, &p| sum + p);
        if points.is_empty() { sum } else { sum * (1.0 / count(points.len())) }
    }
    pub(crate) fn vector(self) -> Vector3<f64> {
        Vector3::new(self.x, self.y, self.z)
    }
    pub(crate) fn axes(self) -> [f64; 3] {
        [self.x, self.y, self.z]
    }
}

impl From<Vector3<f64>> for Point3 {
    fn from(v: Vector3<f64>) -> Self {
        Self::new(v.x, v.y, v.z)
    }
}

impl Add for Point3 {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.x + other.x, self.y + other.y, self.z + other.z)
    }
}

impl Sub for Point3 {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.x - other.x, self.y - other.y, self.z - other.z)
    }
}

impl Neg for Point3 {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.x, -self.y, -self.z)
    }
}

impl Mul<f64> for Point3 {
    type Output = Self;
    fn mul(self, by: f64) -> Self {
        Self::new(self.x * by, self.y * by, self.z * by)
    }
}

/// A turn followed by a shift: `p` goes to `rotation * p + shift`.
///
/// Invariant: `rotation` (rows) is orthogonal to rounding, and its determinant +1: a motion that metal can make.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Motion {
    /// Rows of the rotation matrix.
    pub rotation: [[f64; 3]; 3],
    /// Millimetres.
    pub shift: Point3,
}

impl Motion {
    /// The motion that leaves everything in place.
    pub const IDENTITY: Self =
        Self { rotation: [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]], shift: Point3::new(0.0, 0.0, 0.0) };

    /// A turn about the third axis by `angle` radians, then a shift.
    #[must_use]
    pub fn in_plane(angle: f64, shift: Point3) -> Self {
        let (sin, cos) = angle.sin_cos();
        Self { rotation: [[cos, -sin, 0.0], [sin, cos, 0.0], [0.0, 0.0, 1.0]], shift }
    }
    /// A turn about `vector` by its length in radians (right hand), then a shift.
    #[must_use]
    pub fn turn(vector: Point3, shift: Point3) -> Self {
        let rotation = nalgebra::Rotation3::from_scaled_axis(vector.vector());
        Self::from_parts(rotation.matrix(), shift)
    }
    pub(crate) fn from_parts(rotation: &Matrix3<f64>, shift: Point3) -> Self {
        let row = |r: usize| [rotation[(r, 0)], rotation[(r, 1)], rotation[(r, 2)]];
        Self { rotation: [row(0), row(1), row(2)], shift }
    }
    /// The step turned, without the shift.
    #[must_use]
    pub fn rotate(&self, p: Point3) -> Point3 {
        let row = |r: [f64; 3]| r[0] * p.x + r[1] * p.y + r[2] * p.z;
        Point3::new(row(self.rotation[0]), row(self.rotation[1]), row(self.rotation[2]))
    }
    /// Where the point goes.
    #[must_use]
    pub fn apply(&self, p: Point3) -> Point3 {
        self.rotate(p) + self.shift
    }
    /// The motion back.
    #[must_use]
    pub fn inverse(&self) -> Self {
        let column = |c: usize| [self.rotation[0][c], self.rotation[1][c], self.rotation[2][c]];
        let back = Self { rotation: [column(0), column(1), column(2)], shift: Point3::default() };
        Self { shift: -back.rotate(self.shift), ..back }
    }
}

/// A count as a number to reckon with.
#[expect(clippy::cast_precision_loss, reason = "counts of holes lie far below 2^52")]
pub(crate) fn count(n: usize) -> f64 {
    n as f64
}
