//! Which turns and mirrors map an outline onto itself.

use crate::geom::{Isometry, Polygon, TOLERANCE, angle};

/// The symmetries of an outline about its centroid: a cyclic group of turns, or a dihedral group
/// of turns and as many mirrors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Symmetry {
    /// In how many positions of a full turn it coincides with itself, at least 1.
    pub turns: u32,
    /// The direction in degrees (from 0 to below 180) of the mirror axis nearest to upright, where
    /// there is one.
    pub axis: Option<f64>,
}

impl Symmetry {
    /// The symmetries of an outline whose centroid is the origin.
    pub fn of(outline: &Polygon) -> Self {
        let same = |by: Isometry| outline.moved(by).coincides(outline, TOLERANCE);
        let n = u32::try_from(outline.corners().len()).unwrap_or(1);
        let turns = (1..=n)
            .rev()
            .filter(|k| n % k == 0)
            .find(|&k| same(Isometry::turn(360.0 / f64::from(k))))
            .unwrap_or(1);
        let axis = axes(outline)
            .into_iter()
            .filter(|&a| same(Isometry::mirror(a)))
            .min_by(|&a, &b| {
                (a - 90.0)
                    .abs()
                    .total_cmp(&(b - 90.0).abs())
                    .then(a.total_cmp(&b))
            });
        Self { turns, axis }
    }

    /// Degrees of one step of its own rotation: 60 for a regular hexagon, 360 where only a full
    /// turn maps it onto itself.
    pub fn step(&self) -> f64 {
        360.0 / f64::from(self.turns)
    }
}

/// Directions, from 0 to below 180 degrees, that a mirror axis through the origin can have: it
/// passes through a corner or the middle of an edge.
fn axes(outline: &Polygon) -> Vec<f64> {
    let mut found: Vec<f64> = outline
        .edges()
        .flat_map(|(a, b)| [a, a.towards(b, 0.5)])
        .filter(|p| p.length() > TOLERANCE)
        .map(|p| angle::tidied(angle::direction(p.x, p.y)) % 180.0)
        .collect();
    found.sort_by(f64::total_cmp);
    found.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    found
}

#[cfg(test)]
mod tests {
    #![allow(
        clippy::float_cmp,
        reason = "axes of regular shapes are tidied to exact values"
    )]
    use super::*;
    use crate::geom::{Point, Rect};

    fn regular(n: u32, first: f64) -> Polygon {
        let corner = |i| Point::unit(first + 360.0 * f64::from(i) / f64::from(n)) * 10.0;
        Polygon::clockwise((0..n).map(corner).collect())
    }

    #[test]
    fn regular_polygons_have_dihedral_groups() {
        for n in [3, 4, 6, 8] {
            let s = Symmetry::of(&regular(n, -90.0));
            assert_eq!((s.turns, s.axis), (n, Some(90.0)), "{n}");
        }
    }

    #[test]
    fn a_rectangle_a_parallelogram_and_a_lopsided_piece() {
        let centred = |p: Polygon| p.shifted(-p.centroid());
        let r = Symmetry::of(&centred(Rect::sized(4.0, 2.0).polygon()));
        assert_eq!((r.turns, r.axis, r.step()), (2, Some(90.0), 180.0));
        let lean = [(0.0, 0.0), (4.0, 0.0), (5.0, 2.0), (1.0, 2.0)];
        let p = Polygon::clockwise(lean.iter().map(|&(x, y)| Point::new(x, y)).collect());
        let s = Symmetry::of(&centred(p));
        assert_eq!((s.turns, s.axis), (2, None));
        let odd = [(0.0, 0.0), (4.0, 0.0), (5.0, 2.0), (0.5, 3.0)];
        let p = Polygon::clockwise(odd.iter().map(|&(x, y)| Point::new(x, y)).collect());
        assert_eq!(
            Symmetry::of(&centred(p)),
            Symmetry {
                turns: 1,
                axis: None
            }
        );
    }
}
