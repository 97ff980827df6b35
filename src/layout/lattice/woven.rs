//! Lattices of rectangles that lie and stand by turns: herringbone and basket weave.

use super::{Block, Lattice, rectangles::rectangle};
use crate::{
    geom::{Isometry, Point, TOLERANCE},
    layout::LayoutError,
    stock::Tile,
};

/// The most tiles side by side in a basket weave.
const MOST_WOVEN: i32 = 50;

impl Lattice {
    /// Rectangles of any proportion in herringbone. A course runs down to the right in steps, by
    /// turns a tile as it stands (even columns) and one turned clockwise by 90 degrees; the next
    /// course lies down to the left.
    ///
    /// # Errors
    /// When the tile is no rectangle that lies level.
    pub fn herringbone(tile: &Tile) -> Result<Self, LayoutError> {
        let (shape, width, height) = rectangle("herringbone", tile)?;
        let beside = Point::new(f64::midpoint(width, height), (height - width) / 2.0);
        Self::checked(
            "herringbone",
            &shape,
            Block {
                size: (2, 1),
                across: Point::new(height, height),
                down: Point::new(-width, width),
                places: vec![
                    Isometry::IDENTITY,
                    Isometry::turn(90.0).then(Isometry::shift(beside)),
                ],
            },
        )
    }

    /// Rectangles in squares of as many as lie side by side, by turns as the tile stands and turned
    /// clockwise by 90 degrees. A course is a row of squares; each square takes as many columns as
    /// it has tiles.
    ///
    /// # Errors
    /// When the tile is no lying rectangle as long as a whole number of its widths.
    pub fn basket_weave(tile: &Tile) -> Result<Self, LayoutError> {
        let (shape, length, width) = rectangle("basket_weave", tile)?;
        let Some(count) = side_by_side(length, width) else {
            return Err(LayoutError::unsuited(
                "basket_weave",
                "a lying rectangle, as long as a whole number of its widths",
                &shape.outline,
            ));
        };
        Self::checked("basket_weave", &shape, woven(count, length, width))
    }
}

/// How many widths make up the length.
#[allow(
    clippy::cast_possible_truncation,
    reason = "compared with what it was before"
)]
fn side_by_side(length: f64, width: f64) -> Option<i32> {
    let count = (length / width).round().min(f64::from(MOST_WOVEN)) as i32;
    (count >= 1 && (length - f64::from(count) * width).abs() <= TOLERANCE).then_some(count)
}

fn woven(count: i32, length: f64, width: f64) -> Block {
    let first = Point::new(length / 2.0, width / 2.0);
    let mut places = Vec::new();
    for course in 0..2 {
        for column in 0..2 * count {
            let (square, n) = (column / count, column % count);
            let corner = Point::new(f64::from(square), f64::from(course)) * length;
            let aside = width * (f64::from(n) + 0.5);
            let (turn, within) = if (square + course) % 2 == 0 {
                (0.0, Point::new(length / 2.0, aside))
            } else {
                (90.0, Point::new(aside, length / 2.0))
            };
            places.push(Isometry::turn(turn).then(Isometry::shift(corner + within - first)));
        }
    }
    Block {
        size: (2 * count, 2),
        across: Point::new(2.0 * length, 0.0),
        down: Point::new(0.0, 2.0 * length),
        places,
    }
}
