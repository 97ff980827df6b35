//! Tiles, bars and strips that lie on the rack and go into panels as they are. Lengths in mm.
//!
//! A tile in hand is taken for one of the recipe's by its name, its size and its thickness; a bar by its name and its
//! section; a strip by the name that the plan gives it (S1) and its section. They are used where bars are sliced one by
//! one; slices of loaves are always made anew. A bar is glued either of strips in hand alone, or of none.

use super::{
    cross::slices_of,
    labels::strip_label,
    lay::Profile,
    strips::{BarKind, Kinds},
};
use crate::geom::Polygon;
use crate::plan::shop::{
    Shop,
    held::{Held, HeldKind},
};

/// Sizes that differ by less are the same: what a calliper and a hand tell apart.
pub const SAME: f64 = 0.5;

/// Strips of a kind and length.
#[derive(Debug, Clone, PartialEq)]
pub struct Strips {
    /// Which part.
    pub part: usize,
    /// How many.
    pub count: u64,
    /// Their length.
    pub length: f64,
}

/// Parts of a bar of the recipe that are there already.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct InHand {
    /// Tiles, and the entries that they are taken from.
    pub tiles: Vec<(String, u64)>,
    /// Bars to slice: the entry, how many, their length, and slices of each.
    pub bars: Vec<(String, u64, f64, u64)>,
    /// Strips to glue.
    pub strips: Vec<Strips>,
    /// The bars that are glued of these: slices of each, and how many.
    pub glued: Vec<(u64, u64)>,
}

impl InHand {
    /// How many slices all of these give.
    pub fn slices(&self) -> u64 {
        let tiles: u64 = self.tiles.iter().map(|(_, count)| count).sum();
        let bars: u64 = self
            .bars
            .iter()
            .map(|(_, count, _, each)| count * each)
            .sum();
        let glued: u64 = self.glued.iter().map(|(each, count)| each * count).sum();
        tiles + bars + glued
    }
}

/// What is in hand for each kind of bar, no more than is needed of it: `needed` slices of each.
pub(super) fn in_hand(kinds: &Kinds, needed: &[u64], shop: &Shop) -> Vec<InHand> {
    if shop.held.is_empty() {
        return vec![InHand::default(); needed.len()];
    }
    let mut pool = strips(kinds, shop);
    let mut held = shop.held.clone();
    let of = |(bar, &needed): (&BarKind, &u64)| {
        let mut found = tiles_and_bars(kinds, bar, needed, &mut held, shop);
        glue(&mut found, bar, needed, &mut pool, shop);
        found
    };
    kinds.bars.iter().zip(needed).map(of).collect()
}

/// Tiles and bars of what is still there of `held`.
fn tiles_and_bars(
    kinds: &Kinds,
    bar: &BarKind,
    needed: u64,
    held: &mut [Held],
    shop: &Shop,
) -> InHand {
    let names: Vec<&str> = (bar.tiles.iter())
        .map(|&tile| kinds.tiles[tile].kind.name())
        .collect();
    let outline = bar.bar.outline();
    let mut open = needed;
    let mut found = InHand::default();
    for held in (held.iter_mut()).filter(|held| has_section(held, outline)) {
        let plain = held.name.strip_prefix("bar ").unwrap_or(&held.name);
        if open == 0 || !names.contains(&plain) {
            continue;
        }
        let count = u64::from(held.count);
        let left = |taken: u64| u32::try_from(count - taken).unwrap_or(u32::MAX);
        match held.kind {
            HeldKind::Tile if (held.length - shop.slicing.thickness).abs() <= SAME => {
                let taken = count.min(open);
                found.tiles.push((held.name.clone(), taken));
                open -= taken;
                held.count = left(taken);
            }
            HeldKind::Bar => {
                let each = slices_of(shop, held.length);
                let bars = open.div_ceil(each.max(1)).min(count);
                if each > 0 && bars > 0 {
                    found
                        .bars
                        .push((held.name.clone(), bars, held.length, each));
                    open = open.saturating_sub(bars * each);
                    held.count = left(bars);
                }
            }
            _ => {}
        }
    }
    found
}

/// All strips in hand that are a part of the recipe's bars, the longest first.
fn strips(kinds: &Kinds, shop: &Shop) -> Vec<Strips> {
    let held = shop.held.iter().filter(|held| held.kind == HeldKind::Strip);
    let of = |held: &Held| {
        let base = held.name.split('.').next().unwrap_or_default();
        let part = (0..kinds.parts.len()).find(|&part| strip_label(part) == base)?;
        let section = kinds.parts[part].chain.last()?;
        has_section(held, section).then(|| Strips {
            part,
            count: u64::from(held.count),
            length: held.length,
        })
    };
    let mut all: Vec<Strips> = held.filter_map(of).collect();
    all.sort_by(|a, b| b.length.total_cmp(&a.length));
    all
}

/// Bars of strips in hand, as long as they go and are needed.
fn glue(found: &mut InHand, bar: &BarKind, needed: u64, pool: &mut [Strips], shop: &Shop) {
    let mut open = needed.saturating_sub(found.slices());
    let mut lengths: Vec<f64> = pool.iter().map(|strips| strips.length).collect();
    lengths.dedup();
    for length in lengths {
        let each = slices_of(shop, length);
        if each == 0 || open == 0 {
            continue;
        }
        let have = |part: usize| -> u64 {
            let fits = pool.iter().filter(|s| s.part == part && s.length >= length);
            fits.map(|s| s.count).sum()
        };
        let most = bar
            .parts
            .iter()
            .map(|&(part, count)| have(part) / count.max(1))
            .min();
        let bars = most.unwrap_or(0).min(open.div_ceil(each));
        if bars == 0 {
            continue;
        }
        for &(part, count) in &bar.parts {
            let mut wanted = bars * count;
            let fits = |s: &&mut Strips| s.part == part && s.length >= length && s.count > 0;
            // The shortest that are long enough.
            for strips in pool.iter_mut().rev().filter(fits) {
                let taken = strips.count.min(wanted);
                if taken > 0 {
                    strips.count -= taken;
                    wanted -= taken;
                    found.strips.push(Strips {
                        count: taken,
                        ..strips.clone()
                    });
                }
            }
        }
        found.glued.push((each, bars));
        open = open.saturating_sub(bars * each);
    }
}

/// Whether a part in hand has some section, either way up.
fn has_section(held: &Held, outline: &Polygon) -> bool {
    let bounds = outline.bounds();
    let [width, height] = held.size();
    let same = |a: f64, b: f64| (a - b).abs() <= SAME;
    if held.sides_only && held.kind == HeldKind::Strip {
        let [face, back] = Profile::of(outline, bounds.height()).faces();
        return same(height, bounds.height()) && same(width, face.max(back));
    }
    let sides = (same(width, bounds.width()) && same(height, bounds.height()))
        || (same(width, bounds.height()) && same(height, bounds.width()));
    let areas = (held.area() - outline.area()).abs();
    sides && (held.sides_only || areas <= SAME * (width + height))
}
