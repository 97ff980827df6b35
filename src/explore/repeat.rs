//! A small repeat of cells, and every look that a tile can have in each of them.
//!
//! Two ways to put a tile into a cell that look the same count as one look. All cells of one
//! outline can take the same looks.

use std::sync::Arc;

pub use super::field::RepeatCell;
pub use super::limits::MOST_CELLS;
use super::{
    error::ExploreError,
    pattern::{Joints, Pattern, Piece},
    periods::Periods,
};
use crate::watch;
use crate::{
    geom::{Isometry, Point, Polygon, TOLERANCE, angle},
    layout::panel::Panel,
    stock::{Colour, Face, Pose, TileKind},
};

/// One look of a tile.
#[derive(Debug, Clone, PartialEq)]
pub struct TileLook {
    /// The kind.
    pub kind: Arc<TileKind>,
    /// The first pose that looks like this, as seen on the panel.
    pub pose: Pose,
    /// The face in that pose; its centre is the origin.
    pub face: Face,
}

/// Which poses tiles may take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Poses {
    /// Turned only.
    Turned,
    /// Turned and flipped.
    TurnedAndFlipped,
}

/// Cells on a torus with the looks that each can take.
#[derive(Debug, Clone)]
pub struct Repeat {
    steps: [Point; 2],
    periods: Periods,
    cells: Vec<RepeatCell>,
    looks: Vec<TileLook>,
    options: Vec<Vec<u16>>,
}

/// A look for each cell of a repeat, as numbers of [`Repeat::looks`].
pub type Arrangement = Vec<u16>;

impl Repeat {
    /// The repeat of some cells by two steps in mm, filled with tiles of these kinds.
    ///
    /// # Errors
    /// When there is nothing to repeat, too much of it, or a kind that fits no cell.
    pub fn new(
        steps: [Point; 2],
        cells: Vec<RepeatCell>,
        kinds: &[Arc<TileKind>],
        poses: Poses,
    ) -> Result<Self, ExploreError> {
        if cells.is_empty() || cells.len() > MOST_CELLS {
            return Err(ExploreError::Cells { cells: cells.len() });
        }
        if kinds.is_empty() {
            return Err(ExploreError::NoTiles);
        }
        let periods = Periods::new(steps[0], steps[1]).ok_or(ExploreError::Steps)?;
        let mut repeat = Self {
            steps,
            periods,
            looks: Vec::new(),
            options: Vec::with_capacity(cells.len()),
            cells,
        };
        for i in 0..repeat.cells.len() {
            watch::ask();
            let outline = repeat.cells[i].outline.clone();
            let known =
                (0..i).find(|&j| repeat.cells[j].outline.coincides(&outline, 2.0 * TOLERANCE));
            let options = match known {
                Some(j) => repeat.options[j].clone(),
                None => repeat.looks_for(&outline, kinds, poses)?,
            };
            repeat.options.push(options);
        }
        Ok(repeat)
    }

    /// The repeat of a panel's cells and kinds, so many columns and courses large. The panel must
    /// be larger than that by one column and one course.
    ///
    /// # Errors
    /// When the panel's cells do not repeat like that, and as [`Repeat::new`].
    pub fn of_panel(
        panel: &Panel,
        columns: i32,
        courses: i32,
        poses: Poses,
    ) -> Result<Self, ExploreError> {
        let mut kinds: Vec<Arc<TileKind>> = Vec::new();
        for face in &panel.faces {
            watch::ask();
            if !kinds
                .iter()
                .any(|k| Arc::ptr_eq(k, &face.kind) || **k == *face.kind)
            {
                kinds.push(Arc::clone(&face.kind));
            }
        }
        let field = super::field::Field::of(panel);
        let (steps, cells) = field.repeat(columns, courses)?;
        Self::new(steps, cells, &kinds, poses)
    }

    fn looks_for(
        &mut self,
        outline: &Polygon,
        kinds: &[Arc<TileKind>],
        poses: Poses,
    ) -> Result<Vec<u16>, ExploreError> {
        let mut options = Vec::new();
        for kind in kinds {
            let fitting = fitting(kind, outline, poses);
            if fitting.is_empty() {
                return Err(ExploreError::Misfit {
                    kind: kind.name().to_owned(),
                });
            }
            for pose in fitting {
                let face = kind.face().posed(kind.isometry(pose));
                let known = self.looks.iter().position(|l| l.face.looks_like(&face));
                let number = known.unwrap_or_else(|| {
                    self.looks.push(TileLook {
                        kind: Arc::clone(kind),
                        pose,
                        face,
                    });
                    self.looks.len() - 1
                });
                let number = u16::try_from(number).expect("invariant: few kinds in few turns each");
                if !options.contains(&number) {
                    options.push(number);
                }
            }
        }
        options.sort_unstable();
        Ok(options)
    }

    /// The steps of the repeat, as given.
    pub fn steps(&self) -> [Point; 2] {
        self.steps
    }

    /// The translations of the repeat.
    pub fn periods(&self) -> Periods {
        self.periods
    }

    /// The cells.
    pub fn cells(&self) -> &[RepeatCell] {
        &self.cells
    }

    /// All looks that tiles have in any cell.
    pub fn looks(&self) -> &[TileLook] {
        &self.looks
    }

    /// Which looks each cell can take, in rising order.
    pub fn options(&self) -> &[Vec<u16>] {
        &self.options
    }

    /// The cell whose centre, or a repetition of it, comes nearest to a place.
    pub fn cell_at(&self, place: Point) -> usize {
        let off = |i: &usize| self.periods.shortest(place - self.cells[*i].at).length();
        (0..self.cells.len())
            .min_by(|i, j| off(i).total_cmp(&off(j)))
            .unwrap_or(0)
    }

    /// The pattern that an arrangement makes.
    pub fn pattern(&self, arrangement: &[u16], joints: Joints) -> Pattern {
        let tiles: Vec<(&Face, Point)> = self
            .cells
            .iter()
            .zip(arrangement)
            .map(|(cell, &look)| (&self.looks[usize::from(look)].face, cell.at))
            .collect();
        Pattern::of_tiles(self.periods, &tiles, joints)
    }

    /// The pattern of the cells alone.
    pub fn outlines(&self) -> Pattern {
        let pieces = self.cells.iter().enumerate().flat_map(|(tile, cell)| {
            let look = &self.looks[usize::from(self.options[tile][0])];
            look.face.regions().iter().map(move |r| Piece {
                polygon: r.polygon.shifted(cell.at),
                colour: Colour::rgb(0, 0, 0),
                tile,
            })
        });
        let outlines = self.cells.iter().map(|c| c.outline.shifted(c.at));
        Pattern::new(
            self.periods,
            pieces.collect(),
            outlines.collect(),
            Joints::Seen,
        )
    }
}

/// The poses in which a kind's outline coincides with another about the same centre.
fn fitting(kind: &TileKind, outline: &Polygon, poses: Poses) -> Vec<Pose> {
    let flips: &[bool] = match poses {
        Poses::Turned => &[false],
        Poses::TurnedAndFlipped => &[false, true],
    };
    let mut found: Vec<Pose> = Vec::new();
    for &flip in flips {
        let still = Pose { flip, turn: 0.0 };
        let mine = kind.face().outline().moved(kind.isometry(still));
        let corner = mine.corners()[0];
        let from = angle::direction(corner.x, corner.y);
        let mut turns: Vec<f64> = outline
            .corners()
            .iter()
            .filter(|c| (c.length() - corner.length()).abs() <= 2.0 * TOLERANCE)
            .map(|c| angle::tidied(nearest_degree(angle::direction(c.x, c.y) - from)))
            .filter(|&t| {
                mine.moved(Isometry::turn(t))
                    .coincides(outline, 2.0 * TOLERANCE)
            })
            .collect();
        turns.sort_by(f64::total_cmp);
        found.extend(turns.into_iter().map(|turn| Pose { flip, turn }));
    }
    found
}

/// The nearest multiple of 15 degrees where that is within the tolerance of a long edge.
fn nearest_degree(degrees: f64) -> f64 {
    let near = libm::round(degrees / 15.0) * 15.0;
    if (near - degrees).abs() < 0.02 {
        near
    } else {
        degrees
    }
}
