//! From what I have: the largest block of a panel that given tiles can fill, and which remain.
//!
//! The recipe has filled a panel by its rule; any block of whole columns and courses of it follows
//! that rule too. Of all blocks that the tiles in hand can fill, the one with the most tiles is
//! found, of these the one nearest to a square (or to the shape that is asked for), then the one nearest
//! the top, then nearest the left, then with the fewest courses.
//!
//! A symmetric panel is a block with its mirror image beside it: a slice shows its mirror image on
//! its back, so each tile has a partner of its own kind, turned over. In each course the mirror line
//! runs along a straight seam between tiles, or through the middle of a tile that is its own mirror
//! image; in courses that are shifted against one another, in turn.

mod error;
mod field;
mod search;

pub use error::PartsError;
pub use field::{Field, Seam, Spot};
pub use search::NEAR_SHAPE;

use super::shop::error::near_miss;
use search::Block;

/// Tiles in hand: name of the kind, and how many.
pub type Parts = Vec<(String, u64)>;

/// Which mirror images a panel is to have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Mirrored {
    /// The right half mirrors the left one.
    pub left_right: bool,
    /// The lower half mirrors the upper one.
    pub top_bottom: bool,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Filled {
    /// Columns of the whole panel, in its widest course.
    pub columns: usize,
    /// Its courses, in its highest column.
    pub courses: usize,
    /// Tiles of each course, from the top (of each column, from the left, where the level line runs
    /// [in turn](Seam::InTurn)), where they are not all as many; else empty.
    pub in_turn: Vec<usize>,
    /// Width and height of the whole panel, in mm.
    pub size: [f64; 2],
    /// Its tiles.
    pub tiles: u64,
    /// First column of the block in the recipe's panel, from 1.
    pub from_column: usize,
    /// First course of the block, from 1.
    pub from_course: usize,
    /// Columns of the block: all, or those up to the mirror line.
    pub block_columns: usize,
    /// Courses of the block.
    pub block_courses: usize,
    /// Where the upright mirror line runs: to the right of the block.
    pub upright: Seam,
    /// Where the level mirror line runs: below the block.
    pub level: Seam,
    /// Tiles of each kind that it takes.
    pub used: Parts,
    /// Tiles that remain.
    pub left: Parts,
    /// Whether it is as wide or as high as the recipe's panel: a larger one could fill more.
    pub reaches_rim: bool,
}

/// Reads `name=14,other=9`.
///
/// # Errors
/// When a piece is no name with a whole number, or a name comes twice.
pub fn parse(text: &str) -> Result<Parts, PartsError> {
    let mut parts = Parts::new();
    for piece in text.split(',') {
        let form = || PartsError::Form(piece.trim().to_owned());
        let (name, count) = piece.rsplit_once('=').ok_or_else(form)?;
        let name = name.trim();
        let count: u64 = count.trim().parse().map_err(|_| form())?;
        if name.is_empty() || count > u64::from(u32::MAX) {
            return Err(form());
        }
        if parts.iter().any(|(known, _)| known == name) {
            return Err(PartsError::Twice(name.to_owned()));
        }
        parts.push((name.to_owned(), count));
    }
    Ok(parts)
}

impl Field {
    /// The largest panel that parts can fill; none where they do not fill a single cell. Of those that
    /// take as many tiles it is the one whose width and height are nearest to `shape` (width by
    /// height), or to a square where no shape is asked for; where one is, panels within
    /// [`NEAR_SHAPE`] of it come before all others.
    ///
    /// # Errors
    /// When a part is of a kind that the panel does not have.
    pub fn largest(
        &self,
        parts: &Parts,
        mirrored: Mirrored,
        shape: Option<f64>,
    ) -> Result<Option<Filled>, PartsError> {
        let mut have = vec![0; self.kinds.len()];
        for (name, count) in parts {
            let known: Vec<&str> = self.kinds.iter().map(String::as_str).collect();
            let kind = known.iter().position(|k| k == name);
            let kind = kind.ok_or_else(|| PartsError::Unknown {
                name: name.clone(),
                near: near_miss(name, &known).map(str::to_owned),
            })?;
            have[kind] = *count;
        }
        if mirrored.top_bottom && !mirrored.left_right {
            // A level line is an upright one of the panel with columns and courses changed round.
            let round = self.changed_round();
            let found = search::largest(&round, &have, true, false, shape.map(|s| 1.0 / s));
            return Ok(found.map(|block| round.filled(&block, parts).changed_round()));
        }
        let (upright, level) = (mirrored.left_right, mirrored.top_bottom);
        let found = search::largest(self, &have, upright, level, shape);
        Ok(found.map(|block| self.filled(&block, parts)))
    }

    fn filled(&self, block: &Block, parts: &Parts) -> Filled {
        let used_of = |name: &str| {
            let kind = self.kinds.iter().position(|k| k == name);
            kind.map_or(0, |k| block.used[k])
        };
        let courses = match block.level {
            Seam::Between => 2 * block.ends.len(),
            Seam::Through => 2 * block.ends.len() - 1,
            Seam::None | Seam::InTurn => block.ends.len(),
        };
        let across: Vec<usize> = block
            .ends
            .iter()
            .map(|end| end.across(block.column))
            .collect();
        let columns = across.iter().copied().max().unwrap_or(0);
        let last = block.ends.iter().map(|end| end.column).max().unwrap_or(0);
        let mut in_turn = Vec::new();
        if across.iter().any(|&n| n != columns) {
            in_turn.clone_from(&across);
            let below = across.len() - usize::from(block.level == Seam::Through);
            if block.level != Seam::None {
                in_turn.extend(across[..below].iter().rev());
            }
        }
        let block_columns = last + 1 - block.column;
        Filled {
            columns,
            courses,
            in_turn,
            size: block.size,
            tiles: block.tiles(),
            from_column: block.column + 1,
            from_course: block.course + 1,
            block_columns,
            block_courses: block.ends.len(),
            upright: block.upright,
            level: block.level,
            used: parts
                .iter()
                .map(|(name, _)| (name.clone(), used_of(name)))
                .collect(),
            left: parts
                .iter()
                .map(|(name, count)| (name.clone(), count - used_of(name)))
                .collect(),
            reaches_rim: block_columns == self.columns || block.ends.len() == self.courses,
        }
    }
}

impl Filled {
    fn changed_round(self) -> Self {
        Self {
            columns: self.courses,
            courses: self.columns,
            size: [self.size[1], self.size[0]],
            from_column: self.from_course,
            from_course: self.from_column,
            block_columns: self.block_courses,
            block_courses: self.block_columns,
            upright: self.level,
            level: self.upright,
            ..self
        }
    }
}
