//! How large a panel is, and which cells of a lattice it needs.

use super::{
    Lattice, LayoutError,
    error::NAMED,
    lattice::steps_into,
    limits::{LARGEST, MOST_COUNTED, SMALLEST},
    nesting::Turns,
    panel::Cell,
    pieces::{Pieces, PiecesFault, Unplaced, placed},
    trim::Trim,
};
use crate::geom::{Point, Rect, TOLERANCE};
use crate::watch;

/// What a maker says about a panel's size. Columns and courses alone leave the rim as the tiles
/// make it. A finished outline alone takes as many cells as cover it, its top left at the top
/// left of cell (0, 0), so that a larger one leaves the tiles where they were. Both cut the
/// rectangle out of the middle of the counted cells.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Extent {
    count: Option<(u32, u32)>,
    finished: Option<Trim>,
    shift: Point,
    pieces: Pieces,
}

/// The cells of a panel and where they lie.
pub(super) struct Covering {
    /// In reading order.
    pub(super) cells: Vec<Cell>,
    /// Where the centre of cell (0, 0) lies on the panel, in mm.
    pub(super) origin: Point,
    /// The finished outline, where there is one.
    pub(super) trim: Option<Trim>,
    /// The bounds of the finished outline, or of the cells.
    pub(super) bounds: Rect,
}

impl Extent {
    /// Sets the number of columns and courses.
    ///
    /// # Errors
    /// When one of them is not from 1 to `MOST_COUNTED`.
    pub fn count(&mut self, columns: i64, courses: i64) -> Result<(), LayoutError> {
        let checked = |n: i64| {
            (1..=MOST_COUNTED)
                .contains(&n)
                .then(|| u32::try_from(n).ok())
                .flatten()
        };
        match (checked(columns), checked(courses)) {
            (Some(c), Some(r)) => {
                self.count = Some((c, r));
                Ok(())
            }
            _ => Err(LayoutError::Count { columns, courses }),
        }
    }

    /// Sets the finished width and height in mm.
    ///
    /// # Errors
    /// When one of them is not from `SMALLEST` to `LARGEST`.
    pub fn finish(&mut self, width: f64, height: f64) -> Result<(), LayoutError> {
        sized(width, height)?;
        self.trim_to(Rect::sized(width, height).into())
    }

    /// Sets a finished round of this diameter in mm.
    ///
    /// # Errors
    /// When it is not from `SMALLEST` to `LARGEST`.
    pub fn finish_round(&mut self, diameter: f64) -> Result<(), LayoutError> {
        sized(diameter, diameter)?;
        self.trim_to(Trim::round(diameter))
    }

    /// Sets a finished rectangle with rounded corners, in mm.
    ///
    /// # Errors
    /// As [`Extent::finish`], and when the radius is not above 0 or more than half of a side.
    pub fn finish_rounded(
        &mut self,
        width: f64,
        height: f64,
        radius: f64,
    ) -> Result<(), LayoutError> {
        sized(width, height)?;
        self.trim_to(Trim::rounded(width, height, radius)?)
    }

    /// Sets a finished outline of any shape.
    ///
    /// # Errors
    /// As [`Extent::finish`] for its bounds.
    pub fn finish_outline(&mut self, trim: Trim) -> Result<(), LayoutError> {
        sized(trim.bounds().width(), trim.bounds().height())?;
        self.trim_to(trim)
    }

    fn trim_to(&mut self, trim: Trim) -> Result<(), LayoutError> {
        if !self.pieces.list.is_empty() {
            return Err(LayoutError::Pieces(PiecesFault::SizeAfter));
        }
        self.finished = Some(trim);
        Ok(())
    }

    /// Cuts the panel into pieces with a kerf between them, in mm, nested where it is said how they may be turned; where it has no finished outline, it becomes the
    /// rectangle that the pieces take.
    ///
    /// # Errors
    /// As [`placed`], and [`Extent::finish`] for that rectangle.
    pub fn cut(
        &mut self,
        pieces: Vec<Unplaced>,
        kerf: f64,
        nest: Option<Turns>,
    ) -> Result<(), LayoutError> {
        let found = placed(pieces, kerf, nest, self.finished.as_ref());
        let (pieces, bounds) = found.map_err(LayoutError::Pieces)?;
        if self.finished.is_none() {
            self.finish(bounds.width(), bounds.height())?;
        }
        self.pieces = pieces;
        Ok(())
    }

    /// What the panel is cut into.
    pub fn pieces(&self) -> &Pieces {
        &self.pieces
    }

    /// Shifts the pattern under the finished rectangle, in mm to the right and down.
    ///
    /// # Errors
    /// When one of them is no number or more than `LARGEST`.
    pub fn shift(&mut self, x: f64, y: f64) -> Result<(), LayoutError> {
        if x.abs() <= LARGEST && y.abs() <= LARGEST {
            self.shift = Point::new(x, y);
            Ok(())
        } else {
            Err(LayoutError::Shift { x, y })
        }
    }

    /// The finished outline, where there is one.
    pub fn trim(&self) -> Option<&Trim> {
        self.finished.as_ref()
    }

    /// The shift of the pattern in mm.
    pub fn shifted(&self) -> Point {
        self.shift
    }

    /// Whether there is a finished outline alone, without a number of columns and courses.
    pub(super) fn covers_outline(&self) -> bool {
        self.count.is_none() && self.finished.is_some()
    }

    /// The cells that a panel of this size takes, at most `limit`.
    pub(super) fn cover(&self, lattice: &Lattice, limit: usize) -> Result<Covering, LayoutError> {
        match (self.count, self.trim()) {
            (None, None) => Err(LayoutError::NoSize),
            (Some((columns, courses)), None) => counted(lattice, columns, courses, limit),
            (None, Some(trim)) => {
                let corner = lattice.classes()[0].bounds.min;
                trimmed(lattice, trim, self.shift - corner, limit)
            }
            (Some((columns, courses)), Some(trim)) => {
                let field = lattice.bounds(signed(columns), signed(courses));
                let origin = trim.bounds().centre() - field.centre() + self.shift;
                let covering = trimmed(lattice, trim, origin, limit)?;
                held(&covering.cells, columns, courses, trim.bounds())?;
                Ok(covering)
            }
        }
    }
}

fn sized(width: f64, height: f64) -> Result<(), LayoutError> {
    if [width, height]
        .iter()
        .all(|s| (SMALLEST..=LARGEST).contains(s))
    {
        Ok(())
    } else {
        Err(LayoutError::Size { width, height })
    }
}

fn signed(n: u32) -> i32 {
    i32::try_from(n).expect("invariant: counts are checked when set")
}

fn counted(
    lattice: &Lattice,
    columns: u32,
    courses: u32,
    limit: usize,
) -> Result<Covering, LayoutError> {
    let asked = u64::from(columns) * u64::from(courses);
    if asked > limit as u64 {
        return Err(LayoutError::TooManyTiles {
            asked,
            at_least: false,
            limit,
        });
    }
    let (columns, courses) = (signed(columns), signed(courses));
    let bounds = lattice.bounds(columns, courses);
    let mut cells = Vec::with_capacity(usize::try_from(asked).unwrap_or(0));
    for course in 0..courses {
        watch::ask();
        cells.extend((0..columns).map(|column| Cell { column, course }));
    }
    Ok(Covering {
        cells,
        origin: -bounds.min,
        trim: None,
        bounds: Rect::sized(bounds.width(), bounds.height()),
    })
}

pub(super) fn trimmed(
    lattice: &Lattice,
    trim: &Trim,
    origin: Point,
    limit: usize,
) -> Result<Covering, LayoutError> {
    let too_many = |asked: u64| LayoutError::TooManyTiles {
        asked,
        at_least: true,
        limit,
    };
    // The cells that cover an outline have at least its area.
    let least = trim.area() / lattice.cell_area();
    if least > limit as f64 {
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "positive, and saturates"
        )]
        return Err(too_many(least.ceil() as u64));
    }
    // A cell that reaches in by less than the tolerance is left out.
    let inner = trim.bounds().grown(-TOLERANCE);
    let (across, down) = lattice.block_steps();
    let (block_columns, _) = lattice.block();
    let mut cells = Vec::new();
    for (index, class) in lattice.classes().iter().enumerate() {
        let index = i32::try_from(index).expect("invariant: a block has few cells");
        let (column, course) = (index % block_columns, index / block_columns);
        let reach = Rect {
            min: inner.min - class.bounds.max,
            max: inner.max - class.bounds.min,
        };
        for (a, b) in steps_into(across, down, class.centre + origin, reach) {
            let at = class.centre + origin + across * f64::from(a) + down * f64::from(b);
            let bounds = class.bounds.shifted(at);
            let outline = || class.shape.outline.shifted(at);
            let inside = trim.holds(bounds, outline, -TOLERANCE)
                || bounds.meets(inner) && trim.reaches(&outline());
            if !inside {
                continue;
            }
            if cells.len() == limit {
                return Err(too_many(limit as u64 + 1));
            }
            cells.push(Cell {
                column: a * block_columns + column,
                course: b * lattice.block().1 + course,
            });
        }
    }
    cells.sort_unstable_by_key(|c| (c.course, c.column));
    Ok(Covering {
        cells,
        origin,
        trim: Some(trim.clone()),
        bounds: trim.bounds(),
    })
}

/// Whether a cell lies beyond some side of a field of columns and courses.
type Beyond = fn(&Cell, i32, i32) -> bool;

/// Checks that the counted cells include all that the finished rectangle needs.
fn held(needed: &[Cell], columns: u32, courses: u32, trim: Rect) -> Result<(), LayoutError> {
    let outside = |c: &&Cell| {
        !(0..signed(columns)).contains(&c.column) || !(0..signed(courses)).contains(&c.course)
    };
    let missing: Vec<Cell> = needed.iter().filter(outside).copied().collect();
    if missing.is_empty() {
        return Ok(());
    }
    let sides: [(&str, Beyond); 4] = [
        ("left", |c, _, _| c.column < 0),
        ("right", |c, columns, _| c.column >= columns),
        ("top", |c, _, _| c.course < 0),
        ("bottom", |c, _, courses| c.course >= courses),
    ];
    let open: Vec<&str> = sides
        .iter()
        .filter(|(_, beyond)| {
            missing
                .iter()
                .any(|c| beyond(c, signed(columns), signed(courses)))
        })
        .map(|(side, _)| *side)
        .collect();
    Err(LayoutError::NotCovered {
        columns,
        courses,
        width: trim.width(),
        height: trim.height(),
        sides: open.join(" and the "),
        missing: missing.len(),
        named: missing.into_iter().take(NAMED).collect(),
    })
}
