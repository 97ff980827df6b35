//! The parts of a bar: strips in their places, by which edges they were laid, and their joints.

use super::super::Strip;
use crate::geom::{Isometry, Point, Polygon};

/// One edge of one part, both counted from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct EdgeRef {
    /// Which part of the bar.
    pub part: usize,
    /// Which edge of its section, as the strip lies before gluing.
    pub edge: usize,
}

/// How a part is laid against one that is there: two edges face each other, and a point of one
/// meets a point of the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mate {
    /// The edge that is there.
    pub onto: EdgeRef,
    /// The meeting point on it, as a share of its length from its END (clockwise).
    pub onto_at: f64,
    /// The edge of the new part.
    pub edge: usize,
    /// The meeting point on it, as a share of its length from its START (clockwise).
    pub at: f64,
}

/// A strip in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// The strip as it lay before gluing.
    pub strip: Strip,
    /// From where it lay to its place in the bar.
    pub place: Isometry,
    /// Its section in the bar.
    pub outline: Polygon,
}

/// A glued joint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joint {
    /// One edge.
    pub a: EdgeRef,
    /// The other.
    pub b: EdgeRef,
    /// Length in mm that the two have in common.
    pub length: f64,
    /// Widest opening in mm; negative where they press into each other (within the tolerance).
    pub gap: f64,
}

impl Part {
    /// An edge of the section, in the bar, from its start to its end.
    pub fn outline_edge(&self, edge: usize) -> (Point, Point) {
        let (a, b) = self.strip.section().edge(edge);
        (self.place.apply(a), self.place.apply(b))
    }
}
