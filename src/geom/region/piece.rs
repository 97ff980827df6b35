//! A piece of the plane with straight sides: a rim with holes, in mm.

use super::super::{Point, Polygon};

/// A rim with what it surrounds, without curves.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// The rim.
    pub rim: Polygon,
    /// The holes; clockwise as every polygon.
    pub holes: Vec<Polygon>,
}

impl From<Polygon> for Piece {
    fn from(rim: Polygon) -> Self {
        Self {
            rim,
            holes: Vec::new(),
        }
    }
}

impl Piece {
    /// Its area in mm^2.
    #[must_use]
    pub fn area(&self) -> f64 {
        self.rim.area() - self.holes.iter().map(Polygon::area).sum::<f64>()
    }

    /// The rim and the holes.
    pub fn loops(&self) -> impl Iterator<Item = &Polygon> {
        [&self.rim].into_iter().chain(&self.holes)
    }

    /// Whether a point lies in it.
    #[must_use]
    pub fn holds(&self, p: Point) -> bool {
        self.rim.holds(p) && !self.holes.iter().any(|hole| hole.holds(p))
    }

    /// It, shifted.
    #[must_use]
    pub fn shifted(&self, by: Point) -> Self {
        Self {
            rim: self.rim.shifted(by),
            holes: self.holes.iter().map(|hole| hole.shifted(by)).collect(),
        }
    }

    /// How wide it is about, in mm: of a long strip the width.
    #[must_use]
    pub fn width(&self) -> f64 {
        let around: f64 = self.loops().map(Polygon::perimeter).sum();
        2.0 * self.area() / around
    }
}
