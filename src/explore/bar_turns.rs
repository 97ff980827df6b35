//! The ways in which the strips of a hexagon bar can be turned before they are glued.
//!
//! Turned end for end, a strip shows its mirror image; rolled over, its face and back change
//! places. Both together turn it by half a turn. Each makes another tile where the layers are
//! not the same afterwards: three rhombi of plain plywood give 2 x 2 x 2 faces.

use std::sync::Arc;

use crate::stock::{Bar, Face, StockError, Strip, TileKind, hexagon::hexagon};

/// How one strip is turned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct PartTurn {
    /// End for end.
    pub end_for_end: bool,
    /// Rolled over, after that.
    pub rolled: bool,
}

/// One way to glue the strips.
#[derive(Debug, Clone, PartialEq)]
pub struct BarTurn {
    /// How each strip is turned.
    pub parts: Vec<PartTurn>,
    /// The bar.
    pub bar: Arc<Bar>,
    /// Ways with the same number, from 0, make the same tile but for turning or flipping it.
    pub tile: usize,
}

/// The most ways that are tried out.
pub const MOST_WAYS: usize = 4096;

/// Why ways cannot be listed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BarTurnError {
    /// A bar that does not close.
    #[error(transparent)]
    Stock(#[from] StockError),
    /// Too many.
    #[error("{ways} ways to turn the strips are too many to list; {MOST_WAYS} are the most")]
    TooMany {
        /// How many there would be.
        ways: usize,
    },
}

impl PartTurn {
    /// All four, the strip as it lies first.
    #[must_use]
    pub fn all() -> [Self; 4] {
        [(false, false), (true, false), (false, true), (true, true)].map(|(end_for_end, rolled)| {
            Self {
                end_for_end,
                rolled,
            }
        })
    }

    /// A strip turned like that.
    #[must_use]
    pub fn of(self, strip: &Strip) -> Strip {
        let strip = if self.end_for_end {
            strip.end_for_end()
        } else {
            strip.clone()
        };
        if self.rolled { strip.roll() } else { strip }
    }
}

/// Every way to turn the strips of a hexagon that gives another face, the strips as they lie first.
///
/// # Errors
/// When the strips make no hexagon within `tolerance` mm, or there are more than [`MOST_WAYS`].
pub fn ways(strips: &[Strip], tolerance: f64) -> Result<Vec<BarTurn>, BarTurnError> {
    let still = vec![PartTurn::default(); strips.len()];
    let glued = |turns: &[PartTurn]| {
        let turned = turns.iter().zip(strips).map(|(t, s)| t.of(s));
        hexagon(turned.collect(), tolerance)
    };
    // Each part covers its own sectors, so its turns can be told apart alone.
    let mut choices: Vec<Vec<PartTurn>> = Vec::with_capacity(strips.len());
    for part in 0..strips.len() {
        let mut seen: Vec<(PartTurn, Face)> = Vec::new();
        for turn in PartTurn::all() {
            let mut turns = still.clone();
            turns[part] = turn;
            let face = Face::of(&glued(&turns)?);
            if !seen.iter().any(|(_, other)| other.looks_like(&face)) {
                seen.push((turn, face));
            }
        }
        choices.push(seen.into_iter().map(|(turn, _)| turn).collect());
    }
    let count = choices.iter().map(Vec::len).product();
    if count > MOST_WAYS {
        return Err(BarTurnError::TooMany { ways: count });
    }
    let mut found: Vec<BarTurn> = Vec::with_capacity(count);
    let mut tiles: Vec<Vec<Face>> = Vec::new();
    for number in 0..count {
        let parts = chosen(&choices, number);
        let bar = Arc::new(glued(&parts)?);
        let kind = TileKind::new("", Arc::clone(&bar));
        let known = tiles
            .iter()
            .position(|faces| faces.iter().any(|f| f.looks_like(kind.face())));
        let tile = known.unwrap_or_else(|| {
            let poses = kind.orientations().into_iter();
            let faces = poses.map(|p| kind.face().posed(kind.isometry(p)));
            tiles.push(faces.collect());
            tiles.len() - 1
        });
        found.push(BarTurn { parts, bar, tile });
    }
    Ok(found)
}

/// Choice `number`, counted with the last part turning fastest.
fn chosen(choices: &[Vec<PartTurn>], number: usize) -> Vec<PartTurn> {
    let mut rest = number;
    let mut turns: Vec<PartTurn> = choices
        .iter()
        .rev()
        .map(|list| {
            let turn = list[rest % list.len()];
            rest /= list.len();
            turn
        })
        .collect();
    turns.reverse();
    turns
}
