//! A region cut into level bands, so that what lies near a tile is found among the few chords of its band.
//!
//! A band is cut when it is first asked for. Bands overlap by half: whatever is no higher than half of one lies
//! wholly in one of them.

use std::sync::OnceLock;

use super::super::{Point, Polygon, Rect, clip};
use super::piece::Piece;

/// Into how many halves of bands a region is cut.
const HALVES: usize = 64;

/// The bands of a region.
#[derive(Debug, Clone)]
pub(super) struct Bands {
    bounds: Rect,
    half: f64,
    cut: Vec<OnceLock<Vec<Piece>>>,
}

/// What was cut already makes no difference.
impl PartialEq for Bands {
    fn eq(&self, other: &Self) -> bool {
        self.bounds == other.bounds
    }
}

impl Bands {
    pub(super) fn of(bounds: Rect) -> Self {
        Self {
            bounds,
            half: (bounds.height() / HALVES as f64).max(1.0),
            cut: vec![OnceLock::new(); HALVES],
        }
    }

    /// Rims and holes that are those of the pieces within a rectangle; beyond it they may run elsewhere.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "held between the first band and the last"
    )]
    pub(super) fn around<'a>(&'a self, pieces: &'a [Piece], near: Rect) -> &'a [Piece] {
        let number = ((near.min.y - self.bounds.min.y) / self.half).max(0.0) as usize;
        let number = number.min(HALVES - 1);
        let top = self.bounds.min.y + self.half * number as f64;
        let (low, high) = (
            if number == 0 {
                near.min.y.min(top)
            } else {
                top
            },
            if number == HALVES - 1 {
                f64::INFINITY
            } else {
                top + 2.0 * self.half
            },
        );
        if near.min.y < low || near.max.y > high {
            return pieces;
        }
        self.cut[number].get_or_init(|| {
            let wide = self.bounds.grown(2.0);
            let band = Rect {
                min: Point::new(wide.min.x, if number == 0 { wide.min.y } else { top }),
                max: Point::new(
                    wide.max.x,
                    if number == HALVES - 1 {
                        wide.max.y
                    } else {
                        top + 2.0 * self.half
                    },
                ),
            };
            let within = |rim: &Polygon| clip::within(rim, band);
            let piece = |piece: &Piece| {
                Some(Piece {
                    rim: within(&piece.rim)?,
                    holes: piece.holes.iter().filter_map(within).collect(),
                })
            };
            pieces.iter().filter_map(piece).collect()
        })
    }
}
