//! How a board is cut across to blanks, and how many slices bars of their length give. Lengths in mm.

use crate::plan::shop::{Board, Shop};
use crate::stock::Colour;

/// How many lengths of blanks are compared for one board: as long as a bar, and equal parts of the board, from the
/// fewest parts to two more.
pub(super) const LENGTHS_OF_BOARD: usize = 4;

/// A crosscut: one manner of cutting a board across to blanks.
#[derive(Debug, Clone, PartialEq)]
pub struct CrossPlan {
    /// Which lot of boards.
    pub lot: usize,
    /// The plywood's thickness, in mm.
    pub plywood: f64,
    /// Its thickness as the recipe draws it, in mm.
    pub drawn: f64,
    /// Its wood.
    pub wood: Colour,
    /// The first of the sheets whose plywood is of the same layers.
    pub board_of: usize,
    /// Whether strips run along the board's length (else along its width).
    pub along_length: bool,
    /// Side of the board along the strips, in mm.
    pub length: f64,
    /// Side of the board across the strips, in mm.
    pub width: f64,
    /// How many blanks it is cut across into.
    pub blanks: u64,
    /// Their length, in mm.
    pub blank_length: f64,
    /// Slices that a bar of this length gives.
    pub slices: u64,
}

/// Why a board is of no use.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Useless {
    /// The plywood of the sheets is of another thickness.
    OtherThickness,
    /// The sheets are of another wood.
    OtherWood,
    /// No sheet has the veneers that are on it.
    OtherVeneers,
    /// Its thickness differs from that of the boards that are taken, so it shares no bar with them.
    NotWithOthers,
    /// Shorter than what is safe to rip.
    TooShort,
    /// Gives no slice, or is narrower than one strip.
    TooSmall,
}

/// Slices of a bar of some length: floor((L - trim + k) / (h + k)).
pub fn slices_of(shop: &Shop, length: f64) -> u64 {
    let s = &shop.slicing;
    let room = length - s.end_trim + s.kerf;
    // A millionth more, so that rounding loses no slice that fits just so.
    floor((room + 1e-6) / (s.thickness + s.kerf))
}

/// Length that a bar of so many slices needs.
pub fn length_of(shop: &Shop, slices: u64) -> f64 {
    let s = &shop.slicing;
    let n = slices as f64;
    n * s.thickness + (n - 1.0).max(0.0) * s.kerf + s.end_trim
}

/// A board that is to become one plywood, ripped along one side.
pub(super) struct Frame {
    pub(super) lot: usize,
    pub(super) plywood: f64,
    pub(super) drawn: f64,
    pub(super) wood: Colour,
    pub(super) board_of: usize,
    pub(super) along_length: bool,
}

impl Frame {
    /// How a board can be cut across, in at most `most` manners: no blank is longer than a bar; the longest blanks
    /// come first.
    pub(super) fn crosses(
        &self,
        board: &Board,
        most: usize,
        shop: &Shop,
    ) -> Result<Vec<CrossPlan>, Useless> {
        let (length, width) = if self.along_length {
            (board.length, board.width)
        } else {
            (board.width, board.length)
        };
        let shortest = shop.table_saw.shortest;
        if length < shortest {
            return Err(Useless::TooShort);
        }
        let (bar, kerf) = (shop.cutting.bar_length.max(shortest), shop.table_saw.kerf);
        let fits = (length + kerf) / (bar + kerf);
        let equal = floor((fits - 1e-9).ceil()).max(1);
        let mut all: Vec<CrossPlan> = Vec::new();
        for blanks in floor(fits + 1e-9).max(1).. {
            let each = (length - (blanks - 1) as f64 * kerf) / blanks as f64;
            let blank_length = each.min(bar);
            let slices = slices_of(shop, blank_length);
            if blank_length < shortest || slices == 0 {
                break;
            }
            // Of two crosscuts with as many slices a blank, the one with more blanks is better.
            if all.last().is_some_and(|c| c.slices == slices) {
                all.pop();
            }
            all.push(CrossPlan {
                lot: self.lot,
                plywood: self.plywood,
                drawn: self.drawn,
                wood: self.wood,
                board_of: self.board_of,
                along_length: self.along_length,
                length,
                width,
                blanks,
                blank_length,
                slices,
            });
        }
        if all.is_empty() {
            return Err(Useless::TooSmall);
        }
        all.retain(|c| c.blanks <= equal + 2);
        if most < LENGTHS_OF_BOARD {
            // Those that use the board to its end come first.
            let at = all.iter().position(|c| c.blanks >= equal).unwrap_or(0);
            all.rotate_left(at);
            all.truncate(most);
        }
        Ok(all)
    }
}

/// The whole part of a number that is not negative and far below 2^52.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "sizes of boards are bounded by the shop file"
)]
pub(super) fn floor(value: f64) -> u64 {
    value.floor().max(0.0) as u64
}
