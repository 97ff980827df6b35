//! A region cut into quarters, and these again, so that what lies near a tile is found among few chords.
//!
//! A quarter keeps what lies in its square and half as far again on every side: whatever is no wider than the
//! square and has its middle in it lies wholly there. It is cut out of the square around it when it is first
//! asked for.

use std::sync::OnceLock;

use super::super::{Point, Polygon, Rect, clip};
use super::piece::Piece;

/// Regions with no more corners than this are not cut further.
const FEW: usize = 12;

/// The quarters of a region.
#[derive(Debug, Clone)]
pub(super) struct Quarters {
    /// The square of which they are quarters.
    origin: Point,
    side: f64,
    four: Four,
}

type Four = [OnceLock<Box<Quarter>>; 4];

#[derive(Debug, Clone)]
struct Quarter {
    pieces: Vec<Piece>,
    corners: usize,
    four: Four,
}

impl Quarters {
    pub(super) fn of(bounds: Rect) -> Self {
        let half = bounds.width().max(bounds.height()).max(1.0);
        Self {
            origin: bounds.centre() - Point::new(half, half),
            side: 2.0 * half,
            four: Four::default(),
        }
    }

    /// Rims and holes that are those of the pieces within a rectangle; beyond it they may run elsewhere.
    pub(super) fn around<'a>(&'a self, pieces: &'a [Piece], near: Rect) -> &'a [Piece] {
        let (size, middle) = (near.width().max(near.height()), near.centre());
        let (mut origin, mut side, mut four) = (self.origin, self.side, &self.four);
        let within = middle - origin;
        let mut pieces = pieces;
        let mut corners = usize::MAX;
        if !(0.0..side).contains(&within.x) || !(0.0..side).contains(&within.y) {
            return pieces;
        }
        while corners > FEW && side / 2.0 >= size {
            side /= 2.0;
            let (right, low) = (middle.x >= origin.x + side, middle.y >= origin.y + side);
            let step = |on: bool| if on { side } else { 0.0 };
            origin = origin + Point::new(step(right), step(low));
            let half = Point::new(side / 2.0, side / 2.0);
            let square = Rect {
                min: origin - half,
                max: origin + half * 3.0,
            };
            let number = usize::from(right) + 2 * usize::from(low);
            let quarter = four[number].get_or_init(|| Box::new(Quarter::of(pieces, square)));
            (pieces, corners, four) = (&quarter.pieces, quarter.corners, &quarter.four);
        }
        pieces
    }
}

impl Quarter {
    fn of(pieces: &[Piece], square: Rect) -> Self {
        let within = |rim: &Polygon| clip::within(rim, square);
        let piece = |piece: &Piece| {
            Some(Piece {
                rim: within(&piece.rim)?,
                holes: piece.holes.iter().filter_map(within).collect(),
            })
        };
        let pieces: Vec<Piece> = pieces.iter().filter_map(piece).collect();
        let loops = pieces.iter().flat_map(Piece::loops);
        Self {
            corners: loops.map(|rim| rim.corners().len()).sum(),
            pieces,
            four: Four::default(),
        }
    }
}
