//! A piece of the plane with straight sides: a rim with holes, in mm.

use super::super::{Point, Polygon, Rect};

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
    pub fn area(&self) -> f64 {
        self.rim.area() - self.holes.iter().map(Polygon::area).sum::<f64>()
    }

    /// The rim and the holes.
    pub fn loops(&self) -> impl Iterator<Item = &Polygon> {
        [&self.rim].into_iter().chain(&self.holes)
    }

    /// Whether a point lies in it.
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

    /// Whether a circle of this diameter in mm fits in it, to a twentieth of a mm; right for narrow necks and bent pieces
    /// too.
    pub fn holds_circle(&self, diameter: f64) -> bool {
        const FINEST: f64 = 0.025;
        let radius = diameter / 2.0;
        if self.area() < std::f64::consts::PI * radius * radius {
            return false;
        }
        let Rect { min, max } = self.rim.bounds();
        let deep = |p: Point| {
            let edges = self.loops().flat_map(Polygon::edges);
            let far = edges
                .map(|(a, b)| p.from_line(a, b))
                .fold(f64::INFINITY, f64::min);
            if self.holds(p) { far } else { -far }
        };
        // Squares, given by their middles: those that cannot hold the middle of such a circle are dropped, the others
        // quartered.
        let half = (max.x - min.x).max(max.y - min.y) / 2.0;
        let mut open = vec![(min.towards(max, 0.5), half)];
        while let Some((middle, half)) = open.pop() {
            crate::watch::ask();
            let depth = deep(middle);
            if depth >= radius {
                return true;
            }
            if half > FINEST && depth + half * std::f64::consts::SQRT_2 >= radius {
                let half = half / 2.0;
                let quarters = [(-half, -half), (half, -half), (-half, half), (half, half)];
                open.extend(quarters.map(|(x, y)| (middle + Point::new(x, y), half)));
            }
        }
        false
    }

    /// How wide it is about, in mm: of a long strip the width.
    pub fn width(&self) -> f64 {
        let around: f64 = self.loops().map(Polygon::perimeter).sum();
        2.0 * self.area() / around
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_largest_circle_of_known_shapes() {
        let fits = |piece: &Piece, most: f64| {
            assert!(piece.holds_circle(most - 0.06), "{most}");
            assert!(!piece.holds_circle(most + 0.01), "{most}");
        };
        let polygon = |corners: &[(f64, f64)]| {
            let corners = corners.iter().map(|&(x, y)| Point::new(x, y));
            Piece::from(Polygon::clockwise(corners.collect()))
        };
        fits(&Rect::sized(100.0, 10.0).polygon().into(), 10.0);
        // Sides 30, 40 and 50: (30 + 40 - 50).
        fits(&polygon(&[(0.0, 0.0), (30.0, 0.0), (0.0, 40.0)]), 20.0);
        // Arms of 6 mm round an inner corner: the circle touches both outer sides and that corner, r (1 + 1 / sqrt 2) =
        // 6 sqrt 2 / sqrt 2.
        let l = polygon(&[
            (0.0, 0.0),
            (50.0, 0.0),
            (50.0, 6.0),
            (6.0, 6.0),
            (6.0, 50.0),
            (0.0, 50.0),
        ]);
        fits(&l, 12.0 / (1.0 + 0.5_f64.sqrt()));
        let hole = Rect::sized(80.0, 80.0)
            .polygon()
            .shifted(Point::new(10.0, 10.0));
        let frame = Piece {
            rim: Rect::sized(100.0, 100.0).polygon(),
            holes: vec![hole],
        };
        // In a corner of the frame, to the hole's corner.
        fits(&frame, 20.0 / (1.0 + 0.5_f64.sqrt()));
    }
}
