//! Upright rectangles: bounds and finished sizes.

use super::{Point, Polygon};

/// An upright rectangle in mm; `min` is its top left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rect {
    /// Top left.
    pub min: Point,
    /// Bottom right.
    pub max: Point,
}

impl Rect {
    /// From (0, 0) to (width, height).
    pub const fn sized(width: f64, height: f64) -> Self {
        Self {
            min: Point::ZERO,
            max: Point::new(width, height),
        }
    }

    /// The smallest that holds all points; none without points.
    pub fn around(points: impl IntoIterator<Item = Point>) -> Option<Self> {
        let bounds = points.into_iter().fold(None, |sum: Option<Self>, p| {
            Some(sum.map_or(Self { min: p, max: p }, |r| Self {
                min: Point::new(r.min.x.min(p.x), r.min.y.min(p.y)),
                max: Point::new(r.max.x.max(p.x), r.max.y.max(p.y)),
            }))
        });
        // Processors do not agree on which of 0 and -0 is less, so -0 is turned into 0 here.
        bounds.map(|r| r.shifted(Point::ZERO))
    }

    /// The smallest that holds both.
    #[must_use]
    pub fn join(self, other: Self) -> Self {
        Self {
            min: Point::new(self.min.x.min(other.min.x), self.min.y.min(other.min.y)),
            max: Point::new(self.max.x.max(other.max.x), self.max.y.max(other.max.y)),
        }
    }

    /// Moved by a vector.
    #[must_use]
    pub fn shifted(self, by: Point) -> Self {
        Self {
            min: self.min + by,
            max: self.max + by,
        }
    }

    /// Grown by a margin on each side (smaller where it is negative).
    #[must_use]
    pub fn grown(self, by: f64) -> Self {
        let d = Point::new(by, by);
        Self {
            min: self.min - d,
            max: self.max + d,
        }
    }

    /// Width in mm.
    pub fn width(self) -> f64 {
        self.max.x - self.min.x
    }

    /// Height in mm.
    pub fn height(self) -> f64 {
        self.max.y - self.min.y
    }

    /// Area in mm^2.
    pub fn area(self) -> f64 {
        self.width() * self.height()
    }

    /// The middle.
    pub fn centre(self) -> Point {
        self.min.towards(self.max, 0.5)
    }

    /// Whether `other` lies inside, borders included, give or take `tolerance`.
    pub fn holds(self, other: Self, tolerance: f64) -> bool {
        let r = self.grown(tolerance);
        r.min.x <= other.min.x
            && r.min.y <= other.min.y
            && r.max.x >= other.max.x
            && r.max.y >= other.max.y
    }

    /// Whether the two share more than a border.
    pub fn meets(self, other: Self) -> bool {
        self.min.x < other.max.x
            && other.min.x < self.max.x
            && self.min.y < other.max.y
            && other.min.y < self.max.y
    }

    /// The four corners as a polygon.
    pub fn polygon(self) -> Polygon {
        Polygon::clockwise(vec![
            self.min,
            Point::new(self.max.x, self.min.y),
            self.max,
            Point::new(self.min.x, self.max.y),
        ])
    }
}
