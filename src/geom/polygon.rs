//! Simple polygons.

use super::{Isometry, Point, Rect};

/// A simple polygon: corners in mm, clockwise as seen (y runs down), no corner given twice.
///
/// That it is simple is up to the caller; its orientation is corrected here.
#[derive(Debug, Clone, PartialEq)]
pub struct Polygon {
    corners: Vec<Point>,
}

impl Polygon {
    /// A polygon with these corners, turned round where they run anticlockwise.
    pub fn clockwise(mut corners: Vec<Point>) -> Self {
        if signed_area(&corners) < 0.0 {
            corners.reverse();
        }
        Self { corners }
    }

    /// The corners, clockwise.
    pub fn corners(&self) -> &[Point] {
        &self.corners
    }

    /// The edges in order; edge `i` runs from corner `i` to the next.
    pub fn edges(&self) -> impl ExactSizeIterator<Item = (Point, Point)> + '_ {
        (0..self.corners.len()).map(|i| self.edge(i))
    }

    /// Edge `i`, from corner `i` to the next. Panics where there is no such corner.
    pub fn edge(&self, i: usize) -> (Point, Point) {
        (self.corners[i], self.corners[(i + 1) % self.corners.len()])
    }

    /// Area in mm^2, never negative.
    pub fn area(&self) -> f64 {
        signed_area(&self.corners).abs()
    }

    /// Length of the rim in mm.
    pub fn perimeter(&self) -> f64 {
        self.edges().map(|(a, b)| a.distance(b)).sum()
    }

    /// Centre of mass; the mean of the corners where there is no area.
    pub fn centroid(&self) -> Point {
        let origin = self.corners.first().copied().unwrap_or_default();
        let (mut sum, mut weight) = (Point::ZERO, 0.0);
        for (a, b) in self.edges() {
            let (a, b) = (a - origin, b - origin);
            let w = a.cross(b);
            sum = sum + (a + b) * (w / 3.0);
            weight += w;
        }
        if weight.abs() > f64::MIN_POSITIVE {
            origin + sum * (1.0 / weight)
        } else {
            let all = self.corners.iter().fold(Point::ZERO, |s, &p| s + p);
            all * (1.0 / self.corners.len().max(1) as f64)
        }
    }

    /// The smallest upright rectangle around it. A polygon without corners gives an empty one.
    pub fn bounds(&self) -> Rect {
        Rect::around(self.corners.iter().copied()).unwrap_or(Rect::sized(0.0, 0.0))
    }

    /// The polygon moved; stays clockwise under a flip.
    #[must_use]
    pub fn moved(&self, by: Isometry) -> Self {
        let mut corners: Vec<Point> = self.corners.iter().copied().map(by.on_each()).collect();
        if by.flip {
            corners.reverse();
        }
        Self { corners }
    }

    /// The polygon shifted.
    #[must_use]
    pub fn shifted(&self, by: Point) -> Self {
        Self {
            corners: self.corners.iter().map(|&p| p + by).collect(),
        }
    }

    /// Whether no corner turns inward by more than rounding.
    pub fn is_convex(&self) -> bool {
        let n = self.corners.len();
        (0..n).all(|i| {
            let (a, b) = self.edge(i);
            let c = self.corners[(i + 2) % n];
            (b - a).cross(c - b) >= -1e-9
        })
    }

    /// Whether a point lies inside; on the rim it may be either.
    pub fn holds(&self, p: Point) -> bool {
        let mut inside = false;
        for (a, b) in self.edges() {
            if (a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y) {
                inside = !inside;
            }
        }
        inside
    }

    /// Inner angle at corner `i`, in degrees.
    pub fn angle_at(&self, i: usize) -> f64 {
        let n = self.corners.len();
        let (here, next, last) = (
            self.corners[i],
            self.corners[(i + 1) % n],
            self.corners[(i + n - 1) % n],
        );
        let (out, back) = (next - here, last - here);
        super::angle::normalised(
            super::angle::direction(back.x, back.y) - super::angle::direction(out.x, out.y),
        )
    }

    /// Whether both have the same corners in the same order round the rim, each within `tolerance`
    /// of its partner, wherever the lists start.
    pub fn coincides(&self, other: &Self, tolerance: f64) -> bool {
        let n = self.corners.len();
        n == other.corners.len()
            && (0..n.max(1)).any(|start| {
                (0..n)
                    .all(|i| self.corners[i].distance(other.corners[(i + start) % n]) <= tolerance)
            })
    }

    /// The same rim without corners that lie within `tolerance` of the line between their
    /// neighbours, or of a neighbour.
    #[must_use]
    pub fn simplified(&self, tolerance: f64) -> Self {
        let mut corners = self.corners.clone();
        let mut i = 0;
        while corners.len() > 3 && i < corners.len() {
            let n = corners.len();
            let (last, here, next) = (corners[(i + n - 1) % n], corners[i], corners[(i + 1) % n]);
            let along = next - last;
            let off = if along.length() > tolerance {
                along.cross(here - last).abs() / along.length()
            } else {
                0.0
            };
            if off <= tolerance || here.distance(last) <= tolerance {
                corners.remove(i);
                i = i.saturating_sub(1);
            } else {
                i += 1;
            }
        }
        Self { corners }
    }
}

/// Positive for corners that run clockwise as seen with y down (the shoelace sum).
pub(crate) fn signed_area(corners: &[Point]) -> f64 {
    let Some(&origin) = corners.first() else {
        return 0.0;
    };
    let n = corners.len();
    (0..n)
        .map(|i| (corners[i] - origin).cross(corners[(i + 1) % n] - origin))
        .sum::<f64>()
        / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn measures_of_a_right_triangle() {
        let t = Polygon::clockwise(vec![
            Point::new(0.0, 0.0),
            Point::new(0.0, 3.0),
            Point::new(4.0, 0.0),
        ]);
        assert!((t.area() - 6.0).abs() < 1e-12);
        assert!((t.perimeter() - 12.0).abs() < 1e-12);
        assert!(t.centroid().distance(Point::new(4.0 / 3.0, 1.0)) < 1e-12);
        assert!(signed_area(t.corners()) > 0.0);
        let right = t.corners().iter().position(|&p| p == Point::ZERO).unwrap();
        assert!((t.angle_at(right) - 90.0).abs() < 1e-12);
        assert!(t.holds(Point::new(0.5, 0.5)) && !t.holds(Point::new(3.0, 2.0)));
    }

    #[test]
    fn a_corner_on_a_straight_edge_goes() {
        let square = Rect::sized(2.0, 2.0).polygon();
        let mut corners = square.corners().to_vec();
        corners.insert(1, Point::new(1.0, 0.0));
        corners.insert(0, Point::new(0.0, 1.0));
        assert!(
            Polygon::clockwise(corners)
                .simplified(0.01)
                .coincides(&square, 1e-12)
        );
    }
}
