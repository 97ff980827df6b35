//! The cells of a panel, and what rules can find out about each.

use std::sync::{Arc, OnceLock};

use super::colouring::{Colouring, ROOM};
use super::{
    Extent, Lattice, LayoutError, cell::NumberedCell, panel::Cell, pieces::Pieces, trim::Trim,
};
use crate::geom::{Point, Polygon, Rect, TOLERANCE, angle};

/// The most cells that a panel can have, whatever the limit: they are numbered in 32 bits.
pub const MOST_CELLS: usize = 1 << 30;

/// The cells of a panel in reading order: course by course, each from left to right.
#[derive(Debug)]
pub struct Cells {
    lattice: Arc<Lattice>,
    list: Vec<Cell>,
    index: Index,
    origin: Point,
    /// How far the pattern is shifted, where the cells cover a finished outline.
    shift: Option<Point>,
    trim: Option<Trim>,
    pieces: Pieces,
    bounds: Rect,
    first: Cell,
    last: Cell,
    rings: OnceLock<Vec<u32>>,
    from_edge: OnceLock<Vec<u32>>,
    from_outline: OnceLock<Vec<f64>>,
    checkered: OnceLock<Option<Colouring>>,
    coloured: [OnceLock<Option<Colouring>>; ROOM],
}

impl Cells {
    /// The cells that a panel of some size takes, at most `limit`.
    ///
    /// # Errors
    /// When there is no size, when it takes too many cells, or when counted cells do not cover the
    /// finished rectangle.
    pub fn new(lattice: Arc<Lattice>, extent: &Extent, limit: usize) -> Result<Self, LayoutError> {
        let covering = extent.cover(&lattice, limit.min(MOST_CELLS))?;
        let list = covering.cells;
        let (Some(first), Some(last)) = (list.first(), list.last()) else {
            return Err(LayoutError::NoTile { trimmed: true });
        };
        let index = Index::of(&list);
        let (left, right) = index.columns();
        let at = |column, course| Cell { column, course };
        let (first, last) = (at(left, first.course), at(right, last.course));
        Ok(Self {
            index,
            lattice,
            list,
            origin: covering.origin,
            shift: extent.covers_outline().then(|| extent.shifted()),
            trim: covering.trim,
            pieces: extent.pieces().clone(),
            bounds: covering.bounds,
            first,
            last,
            rings: OnceLock::new(),
            from_edge: OnceLock::new(),
            from_outline: OnceLock::new(),
            checkered: OnceLock::new(),
            coloured: Default::default(),
        })
    }

    /// How far the pattern is shifted to the right and down, where the cells cover a finished outline.
    pub fn shift(&self) -> Option<Point> {
        self.shift
    }

    /// The lattice.
    pub fn lattice(&self) -> &Arc<Lattice> {
        &self.lattice
    }

    /// All cells in reading order.
    pub fn list(&self) -> &[Cell] {
        &self.list
    }

    /// The finished outline, where there is one.
    pub fn trim(&self) -> Option<&Trim> {
        self.trim.as_ref()
    }

    /// What the panel is cut into.
    pub fn pieces(&self) -> &Pieces {
        &self.pieces
    }

    /// The finished rectangle, or the bounds of all cells; begins at (0, 0).
    pub fn bounds(&self) -> Rect {
        self.bounds
    }

    /// How many columns there are from the leftmost cell to the rightmost.
    pub fn columns(&self) -> u32 {
        self.last.column.abs_diff(self.first.column) + 1
    }

    /// The leftmost column and the rightmost.
    pub fn column_range(&self) -> (i32, i32) {
        (self.first.column, self.last.column)
    }

    /// How many courses there are.
    pub fn courses(&self) -> u32 {
        self.last.course.abs_diff(self.first.course) + 1
    }

    /// The number of a cell in reading order, from 0; none outside the panel.
    pub fn number(&self, cell: Cell) -> Option<usize> {
        self.index.number(cell)
    }

    /// A cell of this panel with the number of its tile.
    pub fn numbered(&self, cell: Cell) -> NumberedCell {
        let before = |other: &&Cell| other.course < cell.course;
        let above = self.list.chunk_by(|a, b| a.course == b.course);
        let left = |other: &&Cell| other.course == cell.course && other.column < cell.column;
        NumberedCell {
            cell,
            number: [
                above.filter(|course| before(&&course[0])).count() + 1,
                self.list.iter().filter(left).count() + 1,
            ],
        }
    }

    /// The numbers of the cells in a course; no cell where the panel has no such course.
    pub(super) fn course(&self, course: i32) -> CourseNumbers<'_> {
        self.index.course(course)
    }

    /// Where the centre of a cell lies on the panel, in mm.
    pub fn centre(&self, cell: Cell) -> Point {
        self.lattice.centre(cell) + self.origin
    }

    /// The cells of each course, each with its class in the lattice and where its centre lies on the
    /// panel, in mm.
    pub(super) fn placed(&self) -> impl Iterator<Item = (Cell, usize, Point)> + '_ {
        let courses = self.list.chunk_by(|a, b| a.course == b.course);
        courses.flat_map(move |cells| {
            let course = self.lattice.course(cells[0].course);
            cells.iter().map(move |&cell| {
                let (class, centre) = course.class_and_centre(cell.column);
                (cell, class, centre + self.origin)
            })
        })
    }

    /// The bounds of a cell on the panel, in mm.
    pub fn cell_bounds(&self, cell: Cell) -> Rect {
        self.lattice.classes()[self.lattice.class_of(cell)]
            .bounds
            .shifted(self.centre(cell))
    }

    /// How far the centre of a cell lies from the middle of the panel, in mm.
    pub fn distance(&self, cell: Cell) -> f64 {
        self.centre(cell).distance(self.bounds.centre())
    }

    /// The way from the middle of the panel to the centre of a cell: degrees clockwise from the right,
    /// from 0 up to 360; 0 in the middle itself.
    pub fn direction(&self, cell: Cell) -> f64 {
        let way = self.centre(cell) - self.bounds.centre();
        if way.length() <= TOLERANCE {
            return 0.0;
        }
        angle::direction(way.x, way.y).rem_euclid(360.0)
    }

    /// How many columns to the right of the middle one a cell lies, and how many courses below: halves
    /// where their number is even.
    pub fn from_middle(&self, cell: Cell) -> (f64, f64) {
        let from = |at: i32, first: i32, last: i32| {
            f64::from(at) - f64::midpoint(f64::from(first), f64::from(last))
        };
        (
            from(cell.column, self.first.column, self.last.column),
            from(cell.course, self.first.course, self.last.course),
        )
    }

    /// The colour of a cell, from 0, in the colouring of the lattice with the fewest colours; none where
    /// there is no such colouring.
    pub fn checkered(&self, cell: Cell) -> Option<i32> {
        let fewest = || Colouring::with_fewest(&self.lattice);
        let colouring = self.checkered.get_or_init(fewest).as_ref()?;
        Some(colouring.colour(&self.lattice, cell))
    }

    /// The colour of a cell, from 0, in the colouring of the lattice with so many colours, from 2 to
    /// [`super::colouring::MOST_COLOURS`]; none where there is no such colouring.
    pub fn coloured(&self, cell: Cell, colours: i32) -> Option<i32> {
        let found = self.coloured.get(usize::try_from(colours).ok()?)?;
        let found = found.get_or_init(|| Colouring::of(&self.lattice, colours));
        Some(found.as_ref()?.colour(&self.lattice, cell))
    }

    /// The ring of each cell, by number. Ring 0 is the cell nearest the middle of the panel (or
    /// all that lie equally near); each next ring touches the one before in an edge or a corner.
    pub fn rings(&self) -> &[u32] {
        self.rings.get_or_init(|| {
            let least = self
                .list
                .iter()
                .map(|&c| self.distance(c))
                .fold(f64::INFINITY, f64::min);
            self.spread(|cell| self.distance(cell) <= least + TOLERANCE)
        })
    }

    /// How many cells each lies from the rim, by number: 0 for one with an open edge, or one that
    /// reaches the finished outline's rim.
    pub fn from_edge(&self) -> &[u32] {
        self.from_edge
            .get_or_init(|| self.spread(|cell| self.on_rim(cell)))
    }

    /// How far the centre of each cell lies from the finished outline, by number, in mm; empty without one.
    pub fn from_outline(&self) -> &[f64] {
        self.from_outline.get_or_init(|| {
            let Some(trim) = &self.trim else {
                return Vec::new();
            };
            let loops = trim.loops();
            let far = |p: Point| {
                crate::watch::ask();
                let edges = loops.iter().flat_map(Polygon::edges);
                edges
                    .map(|(a, b)| p.from_line(a, b))
                    .fold(f64::INFINITY, f64::min)
            };
            self.list
                .iter()
                .map(|&cell| far(self.centre(cell)))
                .collect()
        })
    }

    fn on_rim(&self, cell: Cell) -> bool {
        let class = &self.lattice.classes()[self.lattice.class_of(cell)];
        if let Some(trim) = &self.trim {
            let outline = || class.shape.outline.shifted(self.centre(cell));
            return !trim.holds(self.cell_bounds(cell), outline, -TOLERANCE);
        }
        class
            .neighbours
            .iter()
            .any(|n| self.beside(cell, n.columns, n.courses).is_none())
    }

    /// The number of the cell some columns to the right and courses down; none outside.
    pub fn beside(&self, cell: Cell, columns: i32, courses: i32) -> Option<usize> {
        self.number(Cell {
            column: cell.column.checked_add(columns)?,
            course: cell.course.checked_add(courses)?,
        })
    }

    /// Steps from the nearest of the cells that `start` names, over cells that touch.
    fn spread(&self, start: impl Fn(Cell) -> bool) -> Vec<u32> {
        const NOT_YET: u32 = u32::MAX;
        let mut steps = vec![NOT_YET; self.list.len()];
        let mut front: Vec<usize> = (0..self.list.len())
            .filter(|&i| start(self.list[i]))
            .collect();
        let mut step = 0;
        while !front.is_empty() {
            for &i in &front {
                steps[i] = step;
            }
            step += 1;
            let mut next = Vec::new();
            for &i in &front {
                let cell = self.list[i];
                let class = &self.lattice.classes()[self.lattice.class_of(cell)];
                for &(columns, courses) in &class.touching {
                    if let Some(j) = self.beside(cell, columns, courses)
                        && steps[j] == NOT_YET
                    {
                        steps[j] = step;
                        next.push(j);
                    }
                }
            }
            front = next;
        }
        steps
    }
}

/// From a cell to its number.
#[derive(Debug)]
struct Index {
    first_course: i32,
    spans: Vec<Span>,
    numbers: Vec<u32>,
}

#[derive(Debug, Clone, Copy)]
struct Span {
    first_column: i32,
    columns: u32,
    start: usize,
}

const NO_CELL: u32 = u32::MAX;

impl Index {
    /// For cells in reading order.
    fn of(list: &[Cell]) -> Self {
        let mut index = Self {
            first_course: list.first().map_or(0, |c| c.course),
            spans: Vec::new(),
            numbers: Vec::new(),
        };
        let mut number = 0_u32;
        for course in list.chunk_by(|a, b| a.course == b.course) {
            let (first, last) = (course[0], course[course.len() - 1]);
            let skipped = first.course.abs_diff(index.first_course) as usize;
            let span = Span {
                first_column: first.column,
                columns: last.column.abs_diff(first.column) + 1,
                start: index.numbers.len(),
            };
            index.spans.resize(skipped, Span { columns: 0, ..span });
            index.spans.push(span);
            index
                .numbers
                .resize(span.start + span.columns as usize, NO_CELL);
            for cell in course {
                let at = span.start + cell.column.abs_diff(first.column) as usize;
                index.numbers[at] = number;
                number += 1;
            }
        }
        index
    }

    /// The leftmost and the rightmost column.
    fn columns(&self) -> (i32, i32) {
        let spans = || self.spans.iter().filter(|span| span.columns > 0);
        let ends = spans().map(|span| span.first_column.saturating_add_unsigned(span.columns - 1));
        (
            spans().map(|span| span.first_column).min().unwrap_or(0),
            ends.max().unwrap_or(0),
        )
    }

    fn number(&self, cell: Cell) -> Option<usize> {
        self.course(cell.course).number(cell.column)
    }

    fn course(&self, course: i32) -> CourseNumbers<'_> {
        let at = usize::try_from(i64::from(course) - i64::from(self.first_course)).ok();
        match at.and_then(|at| self.spans.get(at)) {
            Some(span) => CourseNumbers {
                first_column: span.first_column,
                numbers: &self.numbers[span.start..][..span.columns as usize],
            },
            None => CourseNumbers::default(),
        }
    }
}

/// The numbers of the cells in a course.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct CourseNumbers<'a> {
    first_column: i32,
    numbers: &'a [u32],
}

impl CourseNumbers<'_> {
    /// The number of the cell in some column; none where there is no such cell.
    pub(super) fn number(&self, column: i32) -> Option<usize> {
        let at = usize::try_from(i64::from(column) - i64::from(self.first_column)).ok()?;
        match *self.numbers.get(at)? {
            NO_CELL => None,
            number => Some(number as usize),
        }
    }
}
