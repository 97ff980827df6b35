//! Lattices: regular places for tiles, named by column and course.
//!
//! A lattice repeats a block of cells (one for squares, two courses for hexagons, six cells for
//! tumbling blocks) by two steps. All cells have the outline of one tile; each class of cells has
//! its own turn or flip of it. That the cells fill the plane without overlap or hole is checked
//! when a lattice is made, and who lies beside whom is found from the outlines, once a class.
//!
//! Lengths in mm; the centre of cell (0, 0) is the origin.

mod neighbours;
mod quadrilaterals;
mod rectangles;
mod round;
mod steps;
mod woven;

use super::{LayoutError, cell::Cell, edges::Shared, shape::Shape};
use crate::{
    geom::{Isometry, Point, Rect, TOLERANCE},
    stock::{Tile, symmetry::Symmetry},
};

pub(crate) use steps::steps_into;

/// The longest step of a lattice, in mm.
pub const LONGEST_STEP: f64 = 10_000.0;

/// What all cells of one class have in common.
#[derive(Debug, Clone, PartialEq)]
pub struct CellClass {
    /// How the cell itself turns or flips whatever tile is put there.
    pub turned: Isometry,
    /// Where its centre lies in the block, in mm from the origin.
    pub centre: Point,
    /// Its shape about its own centre.
    pub shape: Shape,
    /// The bounds of the shape.
    pub bounds: Rect,
    /// Which turns and flips its outline takes.
    pub symmetry: Symmetry,
    /// Who lies against its edges.
    pub neighbours: Vec<Neighbour>,
    /// Which cells touch it in an edge or a corner: columns to the right, courses down.
    pub touching: Vec<(i32, i32)>,
}

/// A piece of an edge that a cell shares with another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Neighbour {
    /// How many columns to the right it lies.
    pub columns: i32,
    /// How many courses down it lies.
    pub courses: i32,
    /// The edge of this cell's outline.
    pub edge: usize,
    /// The edge of the other cell's outline.
    pub other_edge: usize,
    /// Which piece of the edges.
    pub piece: Shared,
}

/// A regular arrangement of cells that fills the plane.
#[derive(Debug, Clone, PartialEq)]
pub struct Lattice {
    name: &'static str,
    columns: i32,
    courses: i32,
    across: Point,
    down: Point,
    classes: Vec<CellClass>,
}

/// The repeated block of a lattice, before it is checked.
struct Block {
    /// Columns and courses in it.
    size: (i32, i32),
    /// Step to the next block to the right.
    across: Point,
    /// Step to the next block down.
    down: Point,
    /// Turn and place of each cell, course by course; the first lies at the origin.
    places: Vec<Isometry>,
}

/// One course of cells.
#[derive(Debug, Clone, Copy)]
pub(super) struct Course<'a> {
    lattice: &'a Lattice,
    /// The class of the first cell of each block.
    first_class: usize,
    /// From the origin to this course of blocks.
    down: Point,
}

impl Course<'_> {
    /// The class of the cell in some column, and where its centre lies.
    pub(super) fn class_and_centre(&self, column: i32) -> (usize, Point) {
        let (class, across) = self.class_and_block(column);
        let block = self.lattice.across * f64::from(across) + self.down;
        (class, block + self.lattice.classes[class].centre)
    }

    /// The class of the cell in some column, and how many blocks to the right it lies.
    #[allow(
        clippy::cast_sign_loss,
        reason = "a Euclidean remainder is never negative"
    )]
    fn class_and_block(&self, column: i32) -> (usize, i32) {
        let columns = self.lattice.columns;
        // Most lattices have one column in a block, and division is what takes time here.
        let (across, rest) = match columns {
            1 => (column, 0),
            _ => (column.div_euclid(columns), column.rem_euclid(columns)),
        };
        (self.first_class + rest as usize, across)
    }
}

impl Lattice {
    /// Any outline repeated by two steps in mm: one to the next column, one to the next course.
    ///
    /// # Errors
    /// When the steps leave holes between the tiles or lay them over each other.
    pub fn steps(tile: &Tile, across: Point, down: Point) -> Result<Self, LayoutError> {
        for step in [across, down] {
            let length = step.length();
            if !(length.is_finite() && length > TOLERANCE && length <= LONGEST_STEP) {
                return Err(LayoutError::Step {
                    x: step.x,
                    y: step.y,
                });
            }
        }
        Self::checked(
            "lattice",
            &Shape::of(tile),
            Block {
                size: (1, 1),
                across,
                down,
                places: vec![Isometry::IDENTITY],
            },
        )
    }

    fn checked(name: &'static str, shape: &Shape, block: Block) -> Result<Self, LayoutError> {
        let Block {
            size: (columns, courses),
            across,
            down,
            places,
        } = block;
        let classes: Vec<CellClass> = places.into_iter().map(|p| class(shape, p)).collect();
        let lattice = Self {
            name,
            columns,
            courses,
            across,
            down,
            classes,
        };
        lattice.with_neighbours()
    }

    /// The classes of its cells, course by course of the repeated block.
    pub fn classes(&self) -> &[CellClass] {
        &self.classes
    }

    /// Columns and courses of the repeated block.
    pub fn block(&self) -> (i32, i32) {
        (self.columns, self.courses)
    }

    /// The steps in mm to the next block to the right and to the next one down.
    pub fn block_steps(&self) -> (Point, Point) {
        (self.across, self.down)
    }

    /// Area of one cell in mm^2; all cells have the same.
    pub fn cell_area(&self) -> f64 {
        self.across.cross(self.down).abs() / self.classes.len() as f64
    }

    /// Which class a cell belongs to, as an index into [`Lattice::classes`].
    pub fn class_of(&self, cell: Cell) -> usize {
        self.course(cell.course).class_and_block(cell.column).0
    }

    /// Where the centre of a cell lies, in mm from the centre of cell (0, 0).
    pub fn centre(&self, cell: Cell) -> Point {
        self.course(cell.course).class_and_centre(cell.column).1
    }

    /// One course of cells: what all of them have in common is reckoned once.
    #[allow(
        clippy::cast_sign_loss,
        reason = "a Euclidean remainder is never negative"
    )]
    pub(super) fn course(&self, course: i32) -> Course<'_> {
        let down = course.div_euclid(self.courses);
        Course {
            lattice: self,
            first_class: ((course - down * self.courses) * self.columns) as usize,
            down: self.down * f64::from(down),
        }
    }

    /// The bounds of a rectangular field of cells that begins at (0, 0), in mm; neither number is 0.
    pub fn bounds(&self, columns: i32, courses: i32) -> Rect {
        let mut all: Option<Rect> = None;
        for course in 0..self.courses.min(courses) {
            for column in 0..self.columns.min(columns) {
                let last_column = column + (columns - 1 - column) / self.columns * self.columns;
                let last_course = course + (courses - 1 - course) / self.courses * self.courses;
                for c in [column, last_column] {
                    for r in [course, last_course] {
                        let cell = Cell {
                            column: c,
                            course: r,
                        };
                        let bounds = self.classes[self.class_of(cell)]
                            .bounds
                            .shifted(self.centre(cell));
                        all = Some(all.map_or(bounds, |sum| sum.join(bounds)));
                    }
                }
            }
        }
        all.unwrap_or(Rect::sized(0.0, 0.0))
    }
}

fn class(shape: &Shape, place: Isometry) -> CellClass {
    let shape = shape.moved(place.linear());
    CellClass {
        turned: place.linear(),
        centre: place.shift,
        bounds: shape.outline.bounds(),
        symmetry: Symmetry::of(&shape.outline),
        shape,
        neighbours: Vec::new(),
        touching: Vec::new(),
    }
}
