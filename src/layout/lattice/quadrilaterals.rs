//! Lattices of parallelograms and rhombi.

use super::{Block, Lattice};
use crate::{
    geom::{Isometry, Point, TOLERANCE, angle},
    layout::{
        LayoutError,
        shape::{self, Shape},
    },
    stock::Tile,
};

impl Lattice {
    /// Parallelograms. A rhombus that stands on a point makes level courses, every other one
    /// shifted to the right by half a tile; any other makes courses along its more level edge, and
    /// columns along the other.
    ///
    /// # Errors
    /// When the tile is no parallelogram.
    pub fn rhombi(tile: &Tile) -> Result<Self, LayoutError> {
        let shape = Shape::of(tile);
        let sides = Sides::of("rhombi", "a rhombus or another parallelogram", &shape)?;
        let sum = sides.course + sides.column;
        let on_a_point = shape::name(&shape.outline) != "parallelogram"
            && sides.equal()
            && (shape::runs(sum, 0.0) || shape::runs(sum, 90.0));
        let block = if on_a_point {
            let bounds = shape.outline.bounds();
            let half = Point::new(bounds.width() / 2.0, bounds.height() / 2.0);
            Block {
                size: (1, 2),
                across: Point::new(bounds.width(), 0.0),
                down: Point::new(0.0, bounds.height()),
                places: vec![Isometry::IDENTITY, Isometry::shift(half)],
            }
        } else {
            Block {
                size: (1, 1),
                across: sides.course,
                down: sides.column,
                places: vec![Isometry::IDENTITY],
            }
        };
        Self::checked("rhombi", &shape, block)
    }

    /// Parallelograms of which every other course leans the other way; with upright instead of
    /// level edges, every other column. Where a turn of the tile does that (a rhombus), the other
    /// courses take it turned, else turned over.
    ///
    /// # Errors
    /// When the tile is no parallelogram with a level or an upright edge.
    pub fn chevrons(tile: &Tile) -> Result<Self, LayoutError> {
        let shape = Shape::of(tile);
        let wants = "a parallelogram with a level or an upright edge";
        let sides = Sides::of("chevrons", wants, &shape)?;
        let block = if shape::runs(sides.course, 0.0) {
            let turned = leaning_back(&shape, Isometry::mirror(0.0));
            Block {
                size: (1, 2),
                across: sides.course,
                down: Point::new(0.0, 2.0 * sides.column.y),
                places: vec![
                    Isometry::IDENTITY,
                    turned.then(Isometry::shift(Point::new(0.0, sides.column.y))),
                ],
            }
        } else if shape::runs(sides.column, 90.0) {
            let turned = leaning_back(&shape, Isometry::mirror(90.0));
            Block {
                size: (2, 1),
                across: Point::new(2.0 * sides.course.x, 0.0),
                down: sides.column,
                places: vec![
                    Isometry::IDENTITY,
                    turned.then(Isometry::shift(Point::new(sides.course.x, 0.0))),
                ],
            }
        } else {
            return Err(LayoutError::unsuited("chevrons", wants, &shape.outline));
        };
        Self::checked("chevrons", &shape, block)
    }

    /// Rhombi of 60 degrees in three directions, three to a hexagon: tumbling blocks. Of the three
    /// columns of a hexagon the first takes the tile as it stands, the others turned clockwise by
    /// 120 and by 240 degrees about the hexagon's centre, which is the tile's lower obtuse corner.
    ///
    /// # Errors
    /// When the tile is no such rhombus, or its hexagon would have neither level nor upright edges.
    pub fn tumbling(tile: &Tile) -> Result<Self, LayoutError> {
        let shape = Shape::of(tile);
        let wants = "a rhombus of 60 and 120 degrees with a level or an upright edge or diagonal";
        let sides = Sides::of("tumbling", wants, &shape)?;
        let obtuse = (0..4).filter(|&i| (shape.outline.angle_at(i) - 120.0).abs() < 0.01);
        let hub = obtuse
            .map(|i| shape.outline.corners()[i])
            .max_by(|a, b| a.y.total_cmp(&b.y));
        let Some(hub) = hub.filter(|_| sides.equal()) else {
            return Err(LayoutError::unsuited("tumbling", wants, &shape.outline));
        };
        let side = sides.course.length();
        let long = side * 2.0 * angle::sin(60.0);
        let spokes = [0.0, 60.0, 120.0].map(|t| Isometry::turn(t).apply(sides.course));
        let on_a_point = spokes.iter().any(|&s| shape::runs(s, 90.0));
        let level = spokes.iter().any(|&s| shape::runs(s, 0.0));
        let (size, across, down, next) = if on_a_point {
            let next = Point::new(long / 2.0, side * 1.5);
            (
                (3, 2),
                Point::new(long, 0.0),
                Point::new(0.0, side * 3.0),
                next,
            )
        } else if level {
            let next = Point::new(side * 1.5, long / 2.0);
            (
                (6, 1),
                Point::new(side * 3.0, 0.0),
                Point::new(0.0, long),
                next,
            )
        } else {
            return Err(LayoutError::unsuited("tumbling", wants, &shape.outline));
        };
        let about_hub = |turn: f64| {
            Isometry::shift(-hub)
                .then(Isometry::turn(turn))
                .then(Isometry::shift(hub))
        };
        let hexagon = [0.0, 120.0, 240.0].map(about_hub);
        let mut places = hexagon.to_vec();
        places.extend(hexagon.map(|p| p.then(Isometry::shift(next))));
        Self::checked(
            "tumbling",
            &shape,
            Block {
                size,
                across,
                down,
                places,
            },
        )
    }
}

/// The two edges of a parallelogram as vectors: the more level one to the right, the other down.
struct Sides {
    course: Point,
    column: Point,
}

impl Sides {
    fn of(lattice: &'static str, wants: &'static str, shape: &Shape) -> Result<Self, LayoutError> {
        let name = shape::name(&shape.outline);
        if !matches!(
            name.as_str(),
            "rhombus" | "parallelogram" | "square" | "rectangle"
        ) {
            return Err(LayoutError::unsuited(lattice, wants, &shape.outline));
        }
        let corners = shape.outline.corners();
        let (one, two) = (corners[1] - corners[0], corners[2] - corners[1]);
        let steepness = |p: Point| p.y.abs() / p.length();
        let (course, column) = if steepness(one) <= steepness(two) + 1e-9 {
            (one, two)
        } else {
            (two, one)
        };
        Ok(Self {
            course: if course.x < 0.0 { -course } else { course },
            column: if column.y < 0.0 { -column } else { column },
        })
    }

    fn equal(&self) -> bool {
        (self.course.length() - self.column.length()).abs() <= TOLERANCE
    }
}

/// The move that makes the outline lean the other way: a turn where one does it, else the mirror.
fn leaning_back(shape: &Shape, mirror: Isometry) -> Isometry {
    let wanted = shape.outline.moved(mirror);
    let corner = shape.outline.corners()[0];
    let from = angle::direction(corner.x, corner.y);
    wanted
        .corners()
        .iter()
        .map(|c| Isometry::turn(angle::direction(c.x, c.y) - from))
        .filter(|t| shape.outline.moved(*t).coincides(&wanted, TOLERANCE))
        .min_by(|a, b| angle::between(a.turn, 0.0).total_cmp(&angle::between(b.turn, 0.0)))
        .unwrap_or(mirror)
}
