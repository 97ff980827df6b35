//! Lattices of rectangles in level courses.

use super::{Block, Lattice};
use crate::{
    geom::{Isometry, Point, TOLERANCE},
    layout::{
        LayoutError,
        shape::{self, Shape},
    },
    stock::Tile,
};

/// The largest number below the line of a running bond's shift.
const LARGEST_DENOMINATOR: i32 = 1000;

impl Lattice {
    /// Rectangles in straight columns and courses.
    ///
    /// # Errors
    /// When the tile is no rectangle that lies level.
    pub fn squares(tile: &Tile) -> Result<Self, LayoutError> {
        let (shape, width, height) = rectangle("squares", tile)?;
        Self::checked(
            "squares",
            &shape,
            Block {
                size: (1, 1),
                across: Point::new(width, 0.0),
                down: Point::new(0.0, height),
                places: vec![Isometry::IDENTITY],
            },
        )
    }

    /// Rectangles in courses that are each shifted to the right against the one above by a share
    /// of the tile's width. A course that would begin further right than a whole tile starts over.
    ///
    /// # Errors
    /// When the tile is no rectangle that lies level, or the share is no fraction with at most
    /// 1000 below the line.
    pub fn running_bond(tile: &Tile, share: f64) -> Result<Self, LayoutError> {
        let (shape, width, height) = rectangle("running_bond", tile)?;
        let (above, below) = fraction(share).ok_or(LayoutError::Share { share })?;
        let places = (0..below).map(|course| {
            let shift = f64::from((course * above).rem_euclid(below)) / f64::from(below);
            Isometry::shift(Point::new(width * shift, height * f64::from(course)))
        });
        Self::checked(
            "running_bond",
            &shape,
            Block {
                size: (1, below),
                across: Point::new(width, 0.0),
                down: Point::new(0.0, height * f64::from(below)),
                places: places.collect(),
            },
        )
    }

    /// Rectangles in courses of which every other one is shifted to the right by a share of the
    /// tile's width.
    ///
    /// # Errors
    /// When the tile is no rectangle that lies level, or the share is not from 0 to 1.
    pub fn to_and_fro(tile: &Tile, share: f64) -> Result<Self, LayoutError> {
        let (shape, width, height) = rectangle("to_and_fro", tile)?;
        if !(0.0..=1.0).contains(&share) {
            return Err(LayoutError::Share { share });
        }
        Self::checked(
            "to_and_fro",
            &shape,
            Block {
                size: (1, 2),
                across: Point::new(width, 0.0),
                down: Point::new(0.0, 2.0 * height),
                places: vec![
                    Isometry::IDENTITY,
                    Isometry::shift(Point::new(width * share, height)),
                ],
            },
        )
    }
}

/// The shape, width and height of a tile that is a rectangle with level edges.
pub(super) fn rectangle(
    lattice: &'static str,
    tile: &Tile,
) -> Result<(Shape, f64, f64), LayoutError> {
    let shape = Shape::of(tile);
    let fits = matches!(shape::name(&shape.outline).as_str(), "square" | "rectangle")
        && shape::is_level(&shape.outline);
    if !fits {
        return Err(LayoutError::unsuited(
            lattice,
            "a rectangle with level edges",
            &shape.outline,
        ));
    }
    let bounds = shape.outline.bounds();
    Ok((shape, bounds.width(), bounds.height()))
}

/// A share of a width as a fraction in lowest terms.
#[allow(
    clippy::cast_possible_truncation,
    reason = "the share was checked to be from 0 to 1"
)]
fn fraction(share: f64) -> Option<(i32, i32)> {
    if !(0.0..=1.0).contains(&share) {
        return None;
    }
    (1..=LARGEST_DENOMINATOR)
        .map(|below| ((share * f64::from(below)).round() as i32, below))
        .find(|&(above, below)| {
            (share - f64::from(above) / f64::from(below)).abs() < TOLERANCE * 1e-6
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_as_fractions() {
        assert_eq!(fraction(0.5), Some((1, 2)));
        assert_eq!(fraction(1.0 / 3.0), Some((1, 3)));
        assert_eq!(fraction(0.375), Some((3, 8)));
        assert_eq!(fraction(0.0), Some((0, 1)));
        assert_eq!(fraction(0.333), Some((333, 1000)));
        assert_eq!(fraction(std::f64::consts::FRAC_1_PI), None);
        assert_eq!(fraction(-0.5), None);
        assert_eq!(fraction(f64::NAN), None);
    }
}
