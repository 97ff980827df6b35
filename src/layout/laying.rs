//! Tiles laid one by one over what the rules gave, and a small repeat of them.
//!
//! Not here: how a recipe writes them.

use super::{Filling, LayoutError, cells::Cells, images::image, panel::Cell};
use crate::watch;
use crate::{geom::Isometry, stock::Tile};

/// Tiles for cells.
#[derive(Debug, Clone)]
pub struct LaidTiles {
    /// Columns from the first to the last, a course, and the tile for these cells. Of two entries
    /// for one cell the later holds.
    pub entries: Vec<Entry>,
    /// How what lies in the first columns and courses is repeated over the panel, where it is.
    pub repeat: Option<Repeat>,
}

/// The same tile for cells that follow each other in a course.
#[derive(Debug, Clone)]
pub struct Entry {
    /// The first column.
    pub from: i32,
    /// The last column.
    pub to: i32,
    /// The course.
    pub course: i32,
    /// The tile.
    pub tile: Tile,
}

/// A block of columns and courses that begins at cell (0, 0) and is laid again and again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Repeat {
    /// Its columns, at least 1.
    pub columns: i32,
    /// Its courses, at least 1.
    pub courses: i32,
    /// By how many columns each repeat downwards lies further to the right than the one above it.
    pub shift: i32,
    /// Whether every other repeat to the right is the mirror image, left for right.
    pub mirror_across: bool,
    /// Whether every other repeat downwards is the mirror image, top for bottom.
    pub mirror_down: bool,
}

/// What became of laid tiles.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Lying {
    /// Whether each cell of the panel was laid by hand, by number.
    pub by_hand: Vec<bool>,
    /// How many cells were named that the panel does not have.
    pub outside: u64,
    /// The first of them, at most as many as a message names.
    pub first_outside: Vec<Cell>,
}

/// Cells of the panel that entries name, each with its entry; the others are counted.
fn own_cells(cells: &Cells, entries: &[Entry], lying: &mut Lying) -> Vec<(usize, usize)> {
    let (left, right) = cells.column_range();
    let mut found = Vec::new();
    for (number, entry) in entries.iter().enumerate() {
        let mut here = 0_u64;
        for column in entry.from.max(left)..=entry.to.min(right) {
            watch::ask();
            let cell = Cell {
                column,
                course: entry.course,
            };
            if let Some(cell) = cells.number(cell) {
                found.push((cell, number));
                here += 1;
            }
        }
        let named = u64::from(entry.to.abs_diff(entry.from)) + 1;
        lying.outside += named - here;
        let mut column = entry.from;
        let mut left_out = named - here;
        while left_out > 0 && lying.first_outside.len() < super::error::NAMED {
            let cell = Cell {
                column,
                course: entry.course,
            };
            if cells.number(cell).is_none() {
                lying.first_outside.push(cell);
                left_out -= 1;
            }
            column += 1;
        }
    }
    found
}

impl Repeat {
    /// The cell of the block that a cell repeats, and whether it is mirrored there: left for right,
    /// top for bottom.
    pub fn source(&self, cell: Cell) -> (Cell, bool, bool) {
        let down = cell.course.div_euclid(self.courses);
        let moved = i64::from(cell.column) - i64::from(self.shift) * i64::from(down);
        let columns = i64::from(self.columns);
        let (right, column) = (moved.div_euclid(columns), moved.rem_euclid(columns));
        #[allow(
            clippy::cast_possible_truncation,
            reason = "a remainder by a number of columns"
        )]
        let mut column = column as i32;
        let mut course = cell.course.rem_euclid(self.courses);
        let across = self.mirror_across && right.rem_euclid(2) == 1;
        let over = self.mirror_down && down.rem_euclid(2) == 1;
        if across {
            column = self.columns - 1 - column;
        }
        if over {
            course = self.courses - 1 - course;
        }
        (Cell { column, course }, across, over)
    }

    /// The move that mirrors a tile in this way; it is its own inverse.
    pub fn mirrored(across: bool, over: bool) -> Isometry {
        match (across, over) {
            (false, false) => Isometry::IDENTITY,
            (true, false) => Isometry::mirror(90.0),
            (false, true) => Isometry::mirror(0.0),
            (true, true) => Isometry::turn(180.0),
        }
    }
}

impl Filling {
    /// Lays tiles over what is there. A tile of a kind that a bag holds is taken from a cell where it
    /// lay, which gets the tile that lay here: a bag gives just what it holds.
    ///
    /// # Errors
    /// When a bag does not hold that many of a kind.
    pub fn lay(&mut self, laid: &LaidTiles) -> Result<Lying, LayoutError> {
        let cells = std::sync::Arc::clone(self.cells());
        let mut lying = Lying {
            by_hand: vec![false; cells.list().len()],
            ..Lying::default()
        };
        let own = own_cells(&cells, &laid.entries, &mut lying);
        let mut wanted: Vec<Option<Tile>> = vec![None; cells.list().len()];
        for &(cell, entry) in &own {
            wanted[cell] = Some(laid.entries[entry].tile.clone());
        }
        if let Some(repeat) = laid.repeat {
            repeated(&cells, repeat, &mut wanted);
        }
        for (number, tile) in wanted.iter().enumerate() {
            lying.by_hand[number] = tile.is_some();
        }
        for (number, tile) in wanted.iter().enumerate() {
            if let Some(tile) = tile {
                self.swap_within_bag(number, tile, &wanted)?;
                self.put(number, tile);
            }
        }
        Ok(lying)
    }

    /// Moves the tile that lies in a cell to a cell that has a tile of another's kind, where a bag holds that kind.
    /// Cells up to this one that are `wanted` have their final tile.
    fn swap_within_bag(
        &mut self,
        number: usize,
        tile: &Tile,
        wanted: &[Option<Tile>],
    ) -> Result<(), LayoutError> {
        let kind = tile.kind.name();
        let Some(held) = self.bag().iter().find(|(k, _)| k == kind).map(|b| b.1) else {
            return Ok(());
        };
        let there = self.tile(number).cloned();
        let Some(there) = there.filter(|there| there.kind.name() != kind) else {
            return Ok(());
        };
        let lattice = self.cells().lattice();
        let class = |n: usize| lattice.class_of(self.cells().list()[n]);
        let is_spare = |n: &usize| {
            let free = match &wanted[*n] {
                None => true,
                Some(tile) => *n > number && tile.kind.name() != kind,
            };
            free && self.tile(*n).is_some_and(|other| other.kind.name() == kind)
        };
        let spare = (0..wanted.len()).rev().filter(is_spare);
        let alike = spare.clone().find(|&n| class(n) == class(number));
        let Some(other) = alike.or_else(|| spare.clone().next()) else {
            return Err(LayoutError::Overdrawn {
                kind: kind.to_owned(),
                held,
            });
        };
        self.put(other, &there);
        Ok(())
    }
}

/// Fills in what a repeat lays beyond its own block; what is laid there one by one stays.
fn repeated(cells: &Cells, repeat: Repeat, wanted: &mut [Option<Tile>]) {
    let block: Vec<Option<Tile>> = wanted.to_vec();
    for (number, &cell) in cells.list().iter().enumerate() {
        watch::ask();
        let (from, across, down) = repeat.source(cell);
        if wanted[number].is_some() || from == cell {
            continue;
        }
        let Some(tile) = cells.number(from).and_then(|n| block[n].as_ref()) else {
            continue;
        };
        wanted[number] = Some(if across || down {
            image(cells, tile, from, Repeat::mirrored(across, down), cell)
        } else {
            tile.clone()
        });
    }
}
