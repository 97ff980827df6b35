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

mod search;

pub use search::NEAR_SHAPE;

use super::shop::error::near_miss;
use crate::plan::parts::search::Block;
use crate::{
    geom::{Isometry, Point, Polygon, Rect, TOLERANCE},
    layout::panel::Panel,
    stock::Face,
};

/// Tiles in hand: name of the kind, and how many.
pub type Parts = Vec<(String, u64)>;

/// What is wrong with a question about parts.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PartsError {
    /// Not `name=count`.
    #[error("`{0}` is not written as `name=count`")]
    Form(String),
    /// A name twice.
    #[error("\"{0}\" is given twice")]
    Twice(String),
    /// A kind that the panel does not have.
    #[error("the panel has no tiles \"{name}\"{}", near.as_ref().map_or_else(String::new, |n| format!("; did you mean \"{n}\"?")))]
    Unknown {
        /// What was given.
        name: String,
        /// The nearest name that there is.
        near: Option<String>,
    },
    /// Tiles placed freely have no columns and courses.
    #[error("the tiles of this panel are placed freely: it has no columns and courses to choose")]
    NoGrid,
}

/// Which mirror images a panel is to have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Mirrored {
    /// The right half mirrors the left one.
    pub left_right: bool,
    /// The lower half mirrors the upper one.
    pub top_bottom: bool,
}

/// Where a mirror line runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Seam {
    /// There is none.
    None,
    /// Along a seam between tiles.
    Between,
    /// Through the middle of tiles.
    Through,
    /// Through a tile in some lines of tiles, along a seam in the others.
    InTurn,
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

/// A cell of the recipe's panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// The kind of its tile.
    pub kind: usize,
    /// Where its right side lies, where that is one upright line.
    pub right: Option<f64>,
    /// Where its lower side lies, where that is one level line.
    pub bottom: Option<f64>,
    /// Where its middle lies across, where it is its own mirror image left for right.
    pub middle_x: Option<f64>,
    /// Where its middle lies down, where it is its own mirror image upside down.
    pub middle_y: Option<f64>,
    /// What it covers.
    pub bounds: Rect,
}

/// The recipe's panel as columns and courses.
#[derive(Debug, Clone, PartialEq)]
pub struct Field {
    /// Names of the kinds.
    pub kinds: Vec<String>,
    /// How many columns.
    pub columns: usize,
    /// How many courses.
    pub courses: usize,
    /// The cells, course by course; none where no tile lies.
    pub spots: Vec<Option<Spot>>,
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
    /// The cells of a panel.
    ///
    /// # Errors
    /// When its tiles are placed freely, one upon another's cell.
    pub fn of(panel: &Panel) -> Result<Self, PartsError> {
        let cells = || panel.tiles.iter().map(|t| t.cell);
        let (Some(left), Some(top), Some(right), Some(bottom)) = (
            cells().map(|c| c.column).min(),
            cells().map(|c| c.course).min(),
            cells().map(|c| c.column).max(),
            cells().map(|c| c.course).max(),
        ) else {
            return Err(PartsError::NoGrid);
        };
        let span = |from: i32, to: i32| usize::try_from(i64::from(to) - i64::from(from) + 1);
        let (Ok(columns), Ok(courses)) = (span(left, right), span(top, bottom)) else {
            return Err(PartsError::NoGrid);
        };
        // A lattice leaves no more than its slanting ends empty.
        if columns.saturating_mul(courses) > 4 * panel.tiles.len() + 10_000 {
            return Err(PartsError::NoGrid);
        }
        // Tiles placed one by one are numbered along one course, wherever they lie.
        let downs = || panel.tiles.iter().map(|t| t.at.y);
        let reach = downs().fold(f64::MIN, f64::max) - downs().fold(f64::MAX, f64::min);
        let heights = panel.faces.iter().map(|f| f.face.bounds().height());
        if courses == 1 && reach > heights.fold(0.0, f64::max) {
            return Err(PartsError::NoGrid);
        }
        let mut kinds: Vec<String> = Vec::new();
        let sides: Vec<(usize, Sides)> = panel
            .faces
            .iter()
            .map(|placed| {
                let name = placed.kind.name();
                let kind = kinds.iter().position(|k| k == name).unwrap_or_else(|| {
                    kinds.push(name.to_owned());
                    kinds.len() - 1
                });
                (kind, Sides::of(&placed.face))
            })
            .collect();
        let mut spots = vec![None; columns * courses];
        for tile in &panel.tiles {
            let (kind, side) = &sides[tile.face as usize];
            let column = usize::try_from(tile.cell.column - left).unwrap_or(0);
            let course = usize::try_from(tile.cell.course - top).unwrap_or(0);
            let spot = &mut spots[course * columns + column];
            if spot.is_some() {
                return Err(PartsError::NoGrid);
            }
            *spot = Some(Spot {
                kind: *kind,
                right: side.right.map(|x| x + tile.at.x),
                bottom: side.bottom.map(|y| y + tile.at.y),
                middle_x: side.mirror_x.then_some(tile.at.x),
                middle_y: side.mirror_y.then_some(tile.at.y),
                bounds: side.bounds.shifted(tile.at),
            });
        }
        Ok(Self {
            kinds,
            columns,
            courses,
            spots,
        })
    }

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

    fn spot(&self, column: usize, course: usize) -> Option<&Spot> {
        self.spots[course * self.columns + column].as_ref()
    }

    /// With columns for courses and left for top.
    fn changed_round(&self) -> Self {
        let round = |p: Point| Point::new(p.y, p.x);
        let spots = (0..self.columns)
            .flat_map(|column| (0..self.courses).map(move |course| (column, course)))
            .map(|(column, course)| {
                self.spot(column, course).map(|spot| Spot {
                    kind: spot.kind,
                    right: spot.bottom,
                    bottom: spot.right,
                    middle_x: spot.middle_y,
                    middle_y: spot.middle_x,
                    bounds: Rect {
                        min: round(spot.bounds.min),
                        max: round(spot.bounds.max),
                    },
                })
            })
            .collect();
        Self {
            kinds: self.kinds.clone(),
            columns: self.courses,
            courses: self.columns,
            spots,
        }
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

/// What a face offers a mirror line.
struct Sides {
    bounds: Rect,
    right: Option<f64>,
    bottom: Option<f64>,
    mirror_x: bool,
    mirror_y: bool,
}

impl Sides {
    fn of(face: &Face) -> Self {
        let bounds = face.bounds();
        let outline: &Polygon = face.outline();
        let near = |a: f64, b: f64| (a - b).abs() <= TOLERANCE;
        let right = outline.edges().any(|(a, b)| {
            near(a.x, bounds.max.x)
                && near(b.x, bounds.max.x)
                && near((a.y - b.y).abs(), bounds.height())
        });
        let bottom = outline.edges().any(|(a, b)| {
            near(a.y, bounds.max.y)
                && near(b.y, bounds.max.y)
                && near((a.x - b.x).abs(), bounds.width())
        });
        Self {
            bounds,
            right: right.then_some(bounds.max.x),
            bottom: bottom.then_some(bounds.max.y),
            mirror_x: face.looks_like(&face.posed(Isometry::mirror(90.0))),
            mirror_y: face.looks_like(&face.posed(Isometry::mirror(0.0))),
        }
    }
}
