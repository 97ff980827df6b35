//! A resolved panel: everything in mm, nothing left to choose. Drawing and planning read this.

use std::sync::Arc;

use super::trim::Trim;
use crate::{
    geom::{Point, Polygon, Rect},
    stock::{Face, Pose, TileKind},
};

/// A place in a layout.
///
/// Columns count to the right and courses down, from 0 at the top left; a panel trimmed to size
/// can begin at negative ones. Tiles placed freely have the course 0 and their number, from 0, as
/// the column.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Cell {
    /// To the right.
    pub column: i32,
    /// Down.
    pub course: i32,
}

/// A kind of tile in one pose, as it is used in a panel.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedFace {
    /// The kind.
    pub kind: Arc<TileKind>,
    /// The pose as seen on the panel (any turn of the cell itself included).
    pub pose: Pose,
    /// The face in that pose; its centre is the origin.
    pub face: Face,
}

/// One tile of a panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlacedTile {
    /// Index into [`Panel::faces`].
    pub face: u32,
    /// Where the centre of its outline lies, in mm.
    pub at: Point,
    /// Its cell.
    pub cell: Cell,
    /// Whether all of it stays; else the trim cuts some of it off.
    pub whole: bool,
}

/// How many joints there are between neighbours, and through how many of them lines run on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct JointCount {
    /// Joints (shared pieces of edges inside the finished outline).
    pub all: u64,
    /// Those where the colours of both sides agree.
    pub matched: u64,
}

/// A panel, ready to draw and to plan. The origin is the top left of its bounds.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// Its name.
    pub name: String,
    /// The faces in use, each kind and pose once, in the order of first use.
    pub faces: Vec<PlacedFace>,
    /// The tiles, in the order of their courses and columns. None lies outside the trim.
    pub tiles: Vec<PlacedTile>,
    /// The finished outline, where the panel is trimmed to one; else the rim is as the tiles leave it.
    pub trim: Option<Trim>,
    /// The bounds of the finished outline, or the bounds of all tiles; begins at (0, 0).
    pub bounds: Rect,
    /// The joints.
    pub joints: JointCount,
}

impl Panel {
    /// The outline of one of its tiles, where it lies; the trim is left out of account.
    ///
    /// # Panics
    /// When the tile is not one of this panel.
    #[must_use]
    pub fn rim(&self, tile: &PlacedTile) -> Polygon {
        let face = &self.faces[tile.face as usize].face;
        face.outline().shifted(tile.at)
    }

    /// The trim as one of its tiles meets it: with the tile's centre as the origin; none where it
    /// leaves the tile whole.
    #[must_use]
    pub fn trim_at(&self, tile: &PlacedTile) -> Option<Trim> {
        let trim = self.trim.as_ref().filter(|_| !tile.whole)?;
        Some(trim.shifted(-tile.at))
    }

    /// The area of all its tiles that the trim leaves, in mm^2.
    #[must_use]
    pub fn net_area(&self) -> f64 {
        let faces = self.faces.iter();
        let whole: Vec<f64> = faces.map(|f| f.face.outline().area()).collect();
        let left = |tile: &PlacedTile| {
            if tile.whole {
                whole[tile.face as usize]
            } else {
                self.area_left(tile)
            }
        };
        self.tiles.iter().map(left).sum()
    }

    /// The area of one of its tiles that the trim leaves, in mm^2.
    #[must_use]
    pub fn area_left(&self, tile: &PlacedTile) -> f64 {
        match &self.trim {
            Some(trim) if !tile.whole => trim.of(&self.rim(tile)).map_or(0.0, |left| left.area()),
            _ => self.faces[tile.face as usize].face.outline().area(),
        }
    }
}
