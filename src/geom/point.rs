//! A point of the plane, also used as a vector.

use std::ops::{Add, Mul, Neg, Sub};

/// A point or vector, in mm: x to the right, y down.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Down.
    pub y: f64,
}

impl Point {
    /// The origin.
    pub const ZERO: Self = Self { x: 0.0, y: 0.0 };

    /// The point (x, y).
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The unit vector in a direction given in degrees: 0 right, 90 down.
    pub fn unit(degrees: f64) -> Self {
        let (sin, cos) = super::angle::sin_cos(degrees);
        Self::new(cos, sin)
    }

    /// Scalar product.
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// The z component of the vector product: positive when `other` lies clockwise of `self`.
    pub fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }

    /// Length of the vector.
    pub fn length(self) -> f64 {
        // A square root is rounded correctly by the standard (IEEE 754), so it is portable.
        self.dot(self).sqrt()
    }

    /// Distance between two points.
    pub fn distance(self, other: Self) -> f64 {
        (other - self).length()
    }

    /// How far it lies from the line between two points, in mm.
    pub fn from_line(self, p: Self, q: Self) -> f64 {
        let way = q - p;
        let t = ((self - p).dot(way) / way.dot(way)).clamp(0.0, 1.0);
        self.distance(p.towards(q, t))
    }

    /// The point a share `t` of the way to `other`.
    #[must_use]
    pub fn towards(self, other: Self, t: f64) -> Self {
        self + (other - self) * t
    }

    /// The vector turned a quarter turn anticlockwise: for an edge of a polygon it points outward.
    #[must_use]
    pub const fn left_hand(self) -> Self {
        Self::new(self.y, -self.x)
    }
}

impl Add for Point {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.x + other.x, self.y + other.y)
    }
}

impl Sub for Point {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.x - other.x, self.y - other.y)
    }
}

impl Mul<f64> for Point {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        Self::new(self.x * k, self.y * k)
    }
}

impl Neg for Point {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.x, -self.y)
    }
}
