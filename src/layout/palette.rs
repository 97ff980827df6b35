//! The tiles in use, each kind and pose once, numbered in the order of first use.

use std::collections::HashMap;
use std::sync::Arc;

use crate::stock::{Pose, Tile, TileKind};

/// Up to this many tiles, looking through them is faster than hashing.
const FEW: usize = 24;

/// Tiles with their numbers.
#[derive(Debug, Clone, Default)]
pub struct Palette {
    kinds: Vec<Arc<TileKind>>,
    tiles: Vec<Tile>,
    known: HashMap<(usize, bool, u64), u32>,
}

impl Palette {
    /// The tiles; a tile's number is its place here.
    pub fn tiles(&self) -> &[Tile] {
        &self.tiles
    }

    /// The number of a tile, which is taken in where it is new.
    #[allow(clippy::missing_panics_doc, reason = "only an invariant is expected")]
    pub fn number(&mut self, tile: &Tile) -> u32 {
        let same = |known: &Tile| {
            Arc::ptr_eq(&known.kind, &tile.kind)
                && known.pose.flip == tile.pose.flip
                && known.pose.turn.to_bits() == tile.pose.turn.to_bits()
        };
        if let Some(number) = (0..)
            .zip(self.tiles.iter().take(FEW))
            .find(|(_, t)| same(t))
        {
            return number.0;
        }
        let kind = self.kind(&tile.kind);
        let Pose { flip, turn } = tile.pose;
        let (tiles, kinds) = (&mut self.tiles, &self.kinds);
        *self
            .known
            .entry((kind, flip, turn.to_bits()))
            .or_insert_with(|| {
                tiles.push(Tile {
                    kind: Arc::clone(&kinds[kind]),
                    pose: tile.pose,
                });
                u32::try_from(tiles.len() - 1).expect("invariant: no more tiles than cells")
            })
    }

    /// Kinds made anew are the same when they are equal.
    fn kind(&mut self, kind: &Arc<TileKind>) -> usize {
        let known = self
            .kinds
            .iter()
            .position(|k| Arc::ptr_eq(k, kind))
            .or_else(|| self.kinds.iter().position(|k| **k == **kind));
        known.unwrap_or_else(|| {
            self.kinds.push(Arc::clone(kind));
            self.kinds.len() - 1
        })
    }
}
