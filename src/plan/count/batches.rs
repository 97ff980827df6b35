//! What is sliced together, and so has one length: a bar, or the bars of a loaf.

use super::{
    cross::length_of,
    in_hand::{InHand, in_hand},
    lines,
    model::{BarLength, LoafLine, TileLine},
    strips::{BarKind, Kinds, TileCount},
};
use crate::{
    layout::panel::{Panel, PlacedFace},
    plan::{
        figure::{Figure, Sum},
        loaf::slices::Loaf,
        scraps::Need,
        shop::Shop,
    },
};

/// Bars that are sliced together.
pub(super) struct Batch {
    /// Which bars, and how many of each.
    bars: Vec<(usize, u64)>,
    /// How many slices are needed.
    slices: Figure,
}

/// The batches that panels are made of, and the lines of their tiles.
pub(super) fn batches(
    panels: &[&Panel],
    kinds: &Kinds,
    loaves: &[Loaf],
    shop: &Shop,
) -> (Vec<Batch>, Vec<TileLine>, Vec<InHand>) {
    if loaves.is_empty() {
        return by_tiles(kinds, shop);
    }
    let mut tiles = vec![0; kinds.tiles.len()];
    let mut batches = Vec::new();
    for loaf in loaves {
        let taken = loaf.slices.len() as u64;
        let spare = lines::spare(taken, shop);
        let mut bars: Vec<(usize, u64)> = Vec::new();
        for bar in &loaf.bars {
            let face = &panels[bar.panel].faces[bar.face as usize];
            let (tile, bar) = of_face(kinds, face);
            tiles[tile] += spare;
            match bars.iter_mut().find(|(known, _)| *known == bar) {
                Some((_, count)) => *count += 1,
                None => bars.push((bar, 1)),
            }
        }
        let slices = taken + spare;
        let why = (Sum::new().count(taken).text(" + ").count(spare)).text(" spare = ");
        batches.push(Batch {
            bars,
            slices: Figure::pieces(slices, why.count(slices)),
        });
    }
    let of_spares = |spare: u64| Figure::pieces(spare, Sum::new().text("those of spare slices"));
    let each = kinds.tiles.iter().zip(tiles);
    let tiles = each.map(|(tile, spare)| lines::tile(tile, of_spares(spare)));
    let none = vec![InHand::default(); kinds.bars.len()];
    (batches, tiles.collect(), none)
}

fn by_tiles(kinds: &Kinds, shop: &Shop) -> (Vec<Batch>, Vec<TileLine>, Vec<InHand>) {
    let line = |tile: &TileCount| lines::tile(tile, lines::spare_tiles(tile, shop));
    let tiles: Vec<TileLine> = kinds.tiles.iter().map(line).collect();
    let of_tiles = |bar: &BarKind| bar.tiles.iter().map(|&t| tiles[t].needed.count()).sum();
    let of_bar = |bar: &BarKind| bar.share.unwrap_or_else(|| of_tiles(bar));
    let needed: Vec<u64> = kinds.bars.iter().map(of_bar).collect();
    let there = in_hand(kinds, &needed, shop);
    let each = needed.iter().zip(&there).enumerate();
    let batch = each.map(|(at, (needed, there))| Batch {
        bars: vec![(at, 1)],
        slices: Figure::pieces(needed.saturating_sub(there.slices()), Sum::new()),
    });
    (batch.collect(), tiles, there)
}

/// The kinds of tile and bar that a face of a panel shows.
fn of_face(kinds: &Kinds, face: &PlacedFace) -> (usize, usize) {
    let tile = kinds.tiles.iter().position(|t| t.kind == face.kind);
    let bar = kinds.bars.iter().position(|b| kinds.gives(b, &face.kind));
    tile.zip(bar)
        .expect("invariant: the tiles of a panel were counted")
}

impl Batch {
    /// What is needed of the stock for it: all parts of all its bars at one length.
    pub(super) fn need(&self, kinds: &Kinds) -> Need {
        let mut parts: Vec<(usize, u64)> = Vec::new();
        for &(bar, times) in &self.bars {
            for &(part, each) in &kinds.bars[bar].parts {
                match parts.iter_mut().find(|(known, _)| *known == part) {
                    Some((_, count)) => *count += each * times,
                    None => parts.push((part, each * times)),
                }
            }
        }
        Need {
            slices: self.slices.count(),
            parts,
        }
    }
}

/// The slices that are needed of each kind of bar.
pub(super) fn needed(batches: &[Batch], kinds: &Kinds) -> Vec<u64> {
    let mut needed = vec![0; kinds.bars.len()];
    for batch in batches {
        for &(bar, times) in &batch.bars {
            needed[bar] += times * batch.slices.count();
        }
    }
    needed
}

/// How many bars of each kind there are with each number of slices, from the bars of the batches; the longest first.
pub(super) fn bars(
    batches: &[Batch],
    chosen: &[Vec<(u64, u64)>],
    kinds: &Kinds,
) -> Vec<Vec<(u64, u64)>> {
    let mut bars: Vec<Vec<(u64, u64)>> = vec![Vec::new(); kinds.bars.len()];
    for (batch, lengths) in batches.iter().zip(chosen) {
        for &(bar, times) in &batch.bars {
            for &(slices, count) in lengths {
                match bars[bar].iter_mut().find(|(n, _)| *n == slices) {
                    Some((_, sum)) => *sum += count * times,
                    None => bars[bar].push((slices, count * times)),
                }
            }
        }
    }
    for lengths in &mut bars {
        lengths.sort_unstable_by(|a, b| b.cmp(a));
    }
    bars
}

/// The lines of the loaves.
pub(super) fn loaf_lines(
    loaves: Vec<Loaf>,
    batches: &[Batch],
    chosen: &[Vec<(u64, u64)>],
    kinds: &Kinds,
    shop: &Shop,
) -> Vec<LoafLine> {
    let name = |bar: usize| kinds.tiles[kinds.bars[bar].tiles[0]].kind.name().to_owned();
    let each = loaves.into_iter().zip(batches).zip(chosen).enumerate();
    each.map(|(i, ((loaf, batch), lengths))| LoafLine {
        name: format!("loaf {}", i + 1),
        bars: (batch.bars.iter())
            .map(|&(bar, count)| (name(bar), count))
            .collect(),
        height: loaf.height(),
        needed: batch.slices.clone(),
        lengths: lengths
            .iter()
            .map(|&(slices, loaves)| {
                let length = length_of(shop, slices);
                BarLength {
                    bars: loaves,
                    length,
                    slices: lines::slices(shop, length, slices),
                }
            })
            .collect(),
        loaf,
    })
    .collect()
}
