//! A resolved panel: everything in mm, nothing left to choose. Drawing and planning read this.

use std::{cmp::Ordering, collections::BTreeMap, sync::Arc};

pub use super::cell::Cell;
use super::{Lattice, pieces::Pieces, trim::Trim};
use crate::watch;
use crate::{
    geom::{Isometry, Point, Polygon, Rect, angle, region::Piece},
    stock::{Face, Pose, TileKind},
};

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

/// How many tiles there are, and what the trim does to them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct TileCount {
    /// Tiles that stay whole.
    pub whole: u64,
    /// Tiles that the trim cuts.
    pub trimmed: u64,
}

impl TileCount {
    /// Whole and trimmed ones.
    pub fn all(self) -> u64 {
        self.whole + self.trimmed
    }
}

impl std::iter::Sum for TileCount {
    fn sum<I: Iterator<Item = Self>>(counts: I) -> Self {
        counts.fold(Self::default(), |sum, count| Self {
            whole: sum.whole + count.whole,
            trimmed: sum.trimmed + count.trimmed,
        })
    }
}

/// How many joints there are between neighbours, and through how many of them lines run on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct JointCount {
    /// Joints (shared pieces of edges inside the finished outline).
    pub all: u64,
    /// Joints where the colours of both sides agree.
    pub matched: u64,
}

/// What a panel with a finished outline is laid on.
#[derive(Debug, Clone, PartialEq)]
pub struct LaidOn {
    /// The lattice.
    pub lattice: Arc<Lattice>,
    /// How far it is shifted, in mm to the right and down.
    pub shift: Point,
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
    /// What it is laid on, where its cells are those that cover its finished outline.
    pub laid_on: Option<LaidOn>,
    /// What it is cut into when it is done.
    pub pieces: Pieces,
}

impl Panel {
    /// The outline of one of its tiles, where it lies; the trim is left out of account.
    ///
    /// # Panics
    /// When the tile is not one of this panel.
    pub fn rim(&self, tile: &PlacedTile) -> Polygon {
        let face = &self.faces[tile.face as usize].face;
        face.outline().shifted(tile.at)
    }

    /// How a slice is laid to show each of the faces, by their numbers: of all moves that show the same,
    /// one without a flip where there is one, then the smallest turn, clockwise before anticlockwise.
    /// The recipe's own pose may take more moves.
    pub fn laid_by(&self) -> Vec<Isometry> {
        let mut unseen: BTreeMap<*const TileKind, Vec<Isometry>> = BTreeMap::new();
        let one = |placed: &PlacedFace| {
            watch::ask();
            let kind = &placed.kind;
            let moves = unseen
                .entry(Arc::as_ptr(kind))
                .or_insert_with(|| kind.unseen_moves());
            let posed = kind.isometry(placed.pose);
            let all = moves.iter().map(|by| by.then(posed));
            all.min_by(fewer_moves).unwrap_or(posed)
        };
        self.faces.iter().map(one).collect()
    }

    /// The tile under a point, by its number in `tiles`; none where no wood of the panel lies.
    pub fn tile_at(&self, point: Point) -> Option<usize> {
        if self.trim.as_ref().is_some_and(|t| !t.holds_point(point)) {
            return None;
        }
        self.tiles.iter().position(|tile| {
            let outline = self.faces[tile.face as usize].face.outline();
            outline.holds(point - tile.at)
        })
    }

    /// How many tiles show each face, by number.
    pub fn counts(&self) -> Vec<TileCount> {
        let mut counts = vec![TileCount::default(); self.faces.len()];
        for tile in &self.tiles {
            let count = &mut counts[tile.face as usize];
            count.whole += u64::from(tile.whole);
            count.trimmed += u64::from(!tile.whole);
        }
        counts
    }

    /// The area of all its tiles that the trim leaves, in mm^2: where they cover a finished outline, that of the outline.
    /// `counts` are its [`Panel::counts`].
    pub fn net_area_of(&self, counts: &[TileCount]) -> f64 {
        if let (Some(trim), Some(_)) = (&self.trim, &self.laid_on) {
            return trim.area();
        }
        let faces = self.faces.iter().zip(counts);
        let whole: f64 = faces
            .map(|(f, count)| f.face.outline().area() * count.whole as f64)
            .sum();
        if counts.iter().all(|count| count.trimmed == 0) {
            return whole;
        }
        let trimmed = self.tiles.iter().filter(|tile| !tile.whole);
        whole + trimmed.map(|tile| self.area_left(tile)).sum::<f64>()
    }

    /// What the trim leaves of one of its tiles, where it lies.
    ///
    /// # Panics
    /// When the tile is not one of this panel.
    pub fn left_of(&self, tile: &PlacedTile) -> Vec<Piece> {
        self.left_of_part(tile, self.faces[tile.face as usize].face.outline())
    }

    /// What the trim leaves of a part of one of its tiles, which is given about the tile's centre, where it lies.
    pub fn left_of_part(&self, tile: &PlacedTile, part: &Polygon) -> Vec<Piece> {
        let part = part.shifted(tile.at);
        match &self.trim {
            Some(trim) if !tile.whole => trim.of(&part),
            _ => vec![part.into()],
        }
    }

    /// What falls away when it is cut into its pieces: the rims of the panel and of all pieces, of which an even number
    /// lies around what stays; none where it stays whole.
    pub fn waste(&self) -> Vec<Polygon> {
        if self.pieces.list.is_empty() {
            return Vec::new();
        }
        let own = self.trim.as_ref().map_or_else(Vec::new, Trim::loops);
        let pieces = self
            .pieces
            .list
            .iter()
            .flat_map(|piece| piece.outline.loops());
        own.into_iter().chain(pieces).collect()
    }

    /// The area of one of its tiles that the trim leaves, in mm^2.
    pub fn area_left(&self, tile: &PlacedTile) -> f64 {
        self.left_of(tile).iter().map(Piece::area).sum()
    }
}

/// Turns that differ by less, in degrees, are the same.
const SAME_TURN: f64 = 1e-6;

/// Which of two moves is less work: one without a flip, then the smaller turn, then clockwise.
pub fn fewer_moves(a: &Isometry, b: &Isometry) -> Ordering {
    let [far, other] = [a, b].map(|by| angle::between(by.turn, 0.0));
    let farther = if (far - other).abs() < SAME_TURN {
        Ordering::Equal
    } else {
        far.total_cmp(&other)
    };
    (a.flip.cmp(&b.flip))
        .then(farther)
        .then(a.turn.total_cmp(&b.turn))
}
