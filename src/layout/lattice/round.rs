//! Lattices of hexagons and of triangles.

use super::{Block, Lattice};
use crate::{
    geom::{Isometry, Point},
    layout::{
        LayoutError,
        shape::{self, Shape},
    },
    stock::Tile,
};

impl Lattice {
    /// Regular hexagons. Standing on a point, every other course is shifted to the right by half a
    /// tile; lying on a side, every other column is shifted down by half a tile.
    ///
    /// # Errors
    /// When the tile is no regular hexagon with an upright or level edge.
    pub fn hexagons(tile: &Tile) -> Result<Self, LayoutError> {
        let shape = Shape::of(tile);
        let regular = shape::name(&shape.outline) == "regular hexagon";
        let bounds = shape.outline.bounds();
        let (width, height) = (bounds.width(), bounds.height());
        let block = if regular && shape::is_upright(&shape.outline) {
            Block {
                size: (1, 2),
                across: Point::new(width, 0.0),
                down: Point::new(0.0, height * 1.5),
                places: vec![
                    Isometry::IDENTITY,
                    Isometry::shift(Point::new(width / 2.0, height * 0.75)),
                ],
            }
        } else if regular && shape::is_level(&shape.outline) {
            Block {
                size: (2, 1),
                across: Point::new(width * 1.5, 0.0),
                down: Point::new(0.0, height),
                places: vec![
                    Isometry::IDENTITY,
                    Isometry::shift(Point::new(width * 0.75, height / 2.0)),
                ],
            }
        } else {
            return Err(LayoutError::unsuited(
                "hexagons",
                "a regular hexagon with an upright or a level edge",
                &shape.outline,
            ));
        };
        Self::checked("hexagons", &shape, block)
    }

    /// Triangles in level courses, by turns as the tile stands and turned by half a turn. In every
    /// course the columns are half a base wide; the cell (0, 0) takes the tile as it stands.
    ///
    /// # Errors
    /// When the tile is no triangle with a level edge.
    pub fn triangles(tile: &Tile) -> Result<Self, LayoutError> {
        let shape = Shape::of(tile);
        let corners = shape.outline.corners();
        let base = (corners.len() == 3)
            .then(|| (0..3).find(|&i| shape::runs(edge(&shape, i), 0.0)))
            .flatten();
        let Some(base) = base else {
            return Err(LayoutError::unsuited(
                "triangles",
                "a triangle with a level edge",
                &shape.outline,
            ));
        };
        let corner = |i: usize| corners[(base + i) % 3];
        let (tip, mut left, mut right) = (corner(2), corner(0), corner(1));
        if left.x > right.x {
            (left, right) = (right, left);
        }
        let half_turn = |about: Point| Isometry::turn(180.0).then(Isometry::shift(about * 2.0));
        let beside = half_turn(tip.towards(right, 0.5));
        // A tile that stands on its base has its half turn below the base; one that stands on its
        // tip has it below the tip.
        let (below, below_beside) = if tip.y < left.y {
            (left.towards(right, 0.5), right - tip)
        } else {
            (tip, tip - left)
        };
        let down = tip * 2.0 - left - right;
        Self::checked(
            "triangles",
            &shape,
            Block {
                size: (2, 2),
                across: right - left,
                down: if down.y > 0.0 { down } else { -down },
                places: vec![
                    Isometry::IDENTITY,
                    beside,
                    half_turn(below),
                    Isometry::shift(below_beside),
                ],
            },
        )
    }
}

fn edge(shape: &Shape, i: usize) -> Point {
    let (a, b) = shape.outline.edge(i);
    b - a
}
