//! The search for the largest block of cells: every line that a mirror line can run along, every block
//! up to it, grown until a part runs out.

use super::field::{Field, Seam};
use crate::geom::TOLERANCE;
use crate::watch;

/// A panel has the shape that was asked for where its ratio of width to height is within this share of it.
pub const NEAR_SHAPE: f64 = 0.1;

/// Where a course of a block ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct End {
    /// Its last column in the recipe's panel.
    pub(super) column: usize,
    /// Whether an upright mirror line runs along this tile's right side, or through its middle.
    pub(super) seam: Seam,
}

impl End {
    /// Tiles of the whole course, mirror images with them.
    pub(super) fn across(self, from: usize) -> usize {
        let own = self.column + 1 - from;
        match self.seam {
            Seam::None | Seam::InTurn => own,
            Seam::Between => 2 * own,
            Seam::Through => 2 * own - 1,
        }
    }
}

/// A block of cells, up to the mirror lines.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Block {
    pub(super) column: usize,
    pub(super) course: usize,
    pub(super) ends: Vec<End>,
    pub(super) upright: Seam,
    pub(super) level: Seam,
    /// Tiles of each kind, mirror images included.
    pub(super) used: Vec<u64>,
    /// Width and height with the mirror images, in mm.
    pub(super) size: [f64; 2],
    /// Whether it is near the shape that was asked for, and how far from it or from a square.
    near: bool,
    off: f64,
}

impl Block {
    pub(super) fn tiles(&self) -> u64 {
        self.used.iter().sum()
    }

    fn beats(&self, other: &Self) -> bool {
        let key = |b: &Self| (b.near, b.tiles());
        let first = |b: &Self| (b.course, b.column, b.ends.len());
        key(self)
            .cmp(&key(other))
            .then_with(|| {
                if (self.off - other.off).abs() > 1e-9 {
                    other.off.total_cmp(&self.off)
                } else {
                    first(other).cmp(&first(self))
                }
            })
            .is_gt()
    }
}

/// An upright line, or for an unmirrored block its last column: where each course ends at it.
type Line = (f64, Vec<Option<End>>);

/// The largest block of a field; `upright` and `level` say which mirror lines it must have.
pub(super) fn largest(
    field: &Field,
    have: &[u64],
    upright: bool,
    level: bool,
    shape: Option<f64>,
) -> Option<Block> {
    let lines = if upright {
        mirror_lines(field)
    } else {
        last_columns(field)
    };
    let levels: &[Seam] = if level {
        &[Seam::Between, Seam::Through]
    } else {
        &[Seam::None]
    };
    let mut search = Search {
        field,
        have,
        shape,
        sums: Sums::of(field),
        best: None,
    };
    for line in &lines {
        for &level in levels {
            for course in 0..field.courses {
                watch::ask();
                for column in 0..field.columns {
                    search.grow(line, level, column, course);
                }
            }
        }
    }
    search.best
}

fn last_columns(field: &Field) -> Vec<Line> {
    let end = |column| End {
        column,
        seam: Seam::None,
    };
    (0..field.columns)
        .map(|column| (0.0, vec![Some(end(column)); field.courses]))
        .collect()
}

/// Every upright line that some tile ends at, or has its middle on.
fn mirror_lines(field: &Field) -> Vec<Line> {
    let spots = || field.spots.iter().flatten();
    let mut places: Vec<f64> = spots()
        .flat_map(|spot| [spot.right, spot.middle_x])
        .flatten()
        .collect();
    places.sort_by(f64::total_cmp);
    places.dedup_by(|a, b| (*a - *b).abs() <= TOLERANCE);
    let on = |place: Option<f64>, x: f64| place.is_some_and(|p| (p - x).abs() <= TOLERANCE);
    places
        .into_iter()
        .map(|x| {
            let ends = (0..field.courses)
                .map(|course| {
                    (0..field.columns).find_map(|column| {
                        let spot = field.spot(column, course)?;
                        let seam = if on(spot.middle_x, x) {
                            Seam::Through
                        } else if on(spot.right, x) {
                            Seam::Between
                        } else {
                            return None;
                        };
                        Some(End { column, seam })
                    })
                })
                .collect();
            (x, ends)
        })
        .collect()
}

struct Search<'a> {
    field: &'a Field,
    have: &'a [u64],
    shape: Option<f64>,
    sums: Sums,
    best: Option<Block>,
}

/// How many tiles of each kind, and how many empty cells, lie in a course before each column.
struct Sums {
    kinds: usize,
    columns: usize,
    before: Vec<u64>,
}

impl Sums {
    fn of(field: &Field) -> Self {
        let kinds = field.kinds.len();
        let mut before = Vec::with_capacity((field.columns + 1) * field.courses * (kinds + 1));
        for course in 0..field.courses {
            let mut sum = vec![0; kinds + 1];
            before.extend(&sum);
            for column in 0..field.columns {
                watch::ask();
                let kind = field.spot(column, course).map_or(kinds, |spot| spot.kind);
                sum[kind] += 1;
                before.extend(&sum);
            }
        }
        Self {
            kinds,
            columns: field.columns,
            before,
        }
    }

    /// Tiles of each kind in some columns of a course, then empty cells.
    fn row(&self, course: usize, from: usize, until: usize) -> Vec<u64> {
        let at = |column: usize| {
            let start = (course * (self.columns + 1) + column) * (self.kinds + 1);
            &self.before[start..=start + self.kinds]
        };
        let (low, high) = (at(from), at(until));
        high.iter().zip(low).map(|(h, l)| h - l).collect()
    }
}

impl Search<'_> {
    /// Adds course after course to a block that begins at a cell, until a part runs out.
    fn grow(&mut self, line: &Line, level: Seam, column: usize, course: usize) {
        let kinds = self.have.len();
        let mut above = vec![0_u64; kinds];
        let mut ends: Vec<End> = Vec::new();
        for i in course..self.field.courses {
            watch::ask();
            let Some(end) = line.1[i].filter(|end| end.column >= column) else {
                return;
            };
            let mut row = self.sums.row(i, column, end.column + 1);
            if row[kinds] > 0 {
                return;
            }
            row.truncate(kinds);
            match end.seam {
                Seam::None | Seam::InTurn => {}
                Seam::Between => row.iter_mut().for_each(|n| *n *= 2),
                Seam::Through => {
                    let but_one = self.sums.row(i, column, end.column);
                    row.iter_mut()
                        .zip(&but_one)
                        .for_each(|(n, twice)| *n += twice);
                }
            }
            ends.push(end);
            let used: Vec<u64> = above
                .iter()
                .zip(&row)
                .map(|(above, row)| match level {
                    Seam::Between => 2 * (above + row),
                    Seam::Through => 2 * above + row,
                    Seam::None | Seam::InTurn => above + row,
                })
                .collect();
            if used.iter().zip(self.have).any(|(used, have)| used > have) {
                return;
            }
            for (above, row) in above.iter_mut().zip(&row) {
                *above += row;
            }
            if self.could_win(used.iter().sum()) {
                self.offer(line, level, [column, course], &ends, used);
            }
        }
    }

    /// Whether a block with this many tiles could be better than the best, whatever its shape.
    fn could_win(&self, tiles: u64) -> bool {
        self.best
            .as_ref()
            .is_none_or(|best| tiles >= best.tiles() || self.shape.is_some() && !best.near)
    }

    /// Keeps a block where a level line can run below it and it is the best so far.
    fn offer(
        &mut self,
        line: &Line,
        level: Seam,
        [column, course]: [usize; 2],
        ends: &[End],
        used: Vec<u64>,
    ) {
        let last = course + ends.len() - 1;
        let last_course = (column..=ends[ends.len() - 1].column).map(|c| self.field.spot(c, last));
        let Some(low) = level_line(level, last_course) else {
            return;
        };
        let field = self.field;
        let cells = ends
            .iter()
            .zip(course..)
            .flat_map(|(end, i)| (column..=end.column).filter_map(move |c| field.spot(c, i)));
        // Left, top, right and bottom.
        let mut bounds = [
            f64::INFINITY,
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::NEG_INFINITY,
        ];
        for spot in cells {
            bounds[0] = bounds[0].min(spot.bounds.min.x);
            bounds[1] = bounds[1].min(spot.bounds.min.y);
            bounds[2] = bounds[2].max(spot.bounds.max.x);
            bounds[3] = bounds[3].max(spot.bounds.max.y);
        }
        let width = match ends[0].seam {
            Seam::None | Seam::InTurn => bounds[2] - bounds[0],
            Seam::Between | Seam::Through => 2.0 * (line.0 - bounds[0]),
        };
        let height = match level {
            Seam::None | Seam::InTurn => bounds[3] - bounds[1],
            Seam::Between | Seam::Through => 2.0 * (low - bounds[1]),
        };
        let off = libm::log(width / height / self.shape.unwrap_or(1.0)).abs();
        let block = Block {
            column,
            course,
            upright: seam_of(ends),
            ends: ends.to_vec(),
            level,
            used,
            size: [width, height],
            near: self.shape.is_some() && off <= libm::log(1.0 + NEAR_SHAPE),
            off,
        };
        if self.best.as_ref().is_none_or(|best| block.beats(best)) {
            self.best = Some(block);
        }
    }
}

/// How the upright line runs, all courses together.
fn seam_of(ends: &[End]) -> Seam {
    let first = ends[0].seam;
    if ends.iter().all(|end| end.seam == first) {
        first
    } else {
        Seam::InTurn
    }
}

/// Where a level mirror line runs along or through the last course; none where it cannot. Without one it
/// is anywhere.
fn level_line<'s>(
    level: Seam,
    course: impl Iterator<Item = Option<&'s super::Spot>>,
) -> Option<f64> {
    let mut places = course.map(|spot| match level {
        Seam::Between => spot?.bottom,
        Seam::Through => spot?.middle_y,
        Seam::None | Seam::InTurn => Some(0.0),
    });
    let first = places.next().flatten()?;
    places
        .all(|place| place.is_some_and(|p| (p - first).abs() <= TOLERANCE))
        .then_some(first)
}
