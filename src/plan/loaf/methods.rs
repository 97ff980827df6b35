//! Slicing methods: tiles one by one, or loaves that are sliced to runs of tiles, to courses or to panels. How many
//! parts, joints and how much wood each takes, and which is least work; and the loaves of the method that a shop asks
//! for.
//!
//! Lengths in mm. Spare tiles and slices are not counted.

use serde::Serialize;

use super::slices::{Loaf, Misfit, Wide, loaves};
use crate::{
    layout::panel::Panel,
    plan::{
        count::cross::{length_of, slices_of},
        glue_up::{Placement, placements},
        rounds::is_of_slats,
        shop::{Shop, sliced::Sliced},
    },
    stock::Bar,
    watch,
};

/// How much more bar a loaf may take than single tiles do and still be recommended: half as much again.
const MORE_BAR: f64 = 1.5;

/// A method to make panels, and what it takes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SlicingMethod {
    /// What is sliced, and what comes of it.
    pub way: Sliced,
    /// How many bars lie side by side in the largest loaf; 1 where tiles are sliced and laid one by one.
    pub side_by_side: usize,
    /// Bars to slice, alone or in loaves.
    pub bars: u64,
    /// Pieces that are laid and glued: bars into loaves, and slices into panels.
    pub parts: u64,
    /// Joints: between neighbouring tiles; or between bars in loaves and between slices.
    pub joints: u64,
    /// Length of all bars together.
    pub bar_length: f64,
    /// The part of it that stays in clamps and at ends.
    pub stubs: f64,
    /// Height of the highest loaf as it lies on its wider side; of a bar for single tiles.
    pub height: f64,
    /// Whether this way is the one to take.
    pub recommended: bool,
}

/// The ways to make panels that are planned together: by tiles first, then by loaves, the narrowest first, at last by
/// blocks for whole panels.
pub fn ways(panels: &[&Panel], shop: &Shop) -> Vec<SlicingMethod> {
    let sliced = |panel: &&Panel| !is_of_slats(panel);
    let panels = &panels.iter().copied().filter(sliced).collect::<Vec<_>>()[..];
    let mut all: Vec<SlicingMethod> = by_tiles(panels, shop).into_iter().collect();
    let Some(most) = all.first().map(|tiles| tiles.bar_length * MORE_BAR) else {
        return all;
    };
    let placed: Vec<Vec<Placement>> = panels.iter().map(|p| placements(p)).collect();
    let lengths = courses(&placed);
    let mut widths: Vec<Wide> = widths(&lengths).map(Wide::Tiles).collect();
    widths.extend([Wide::Course, Wide::Panel]);
    for wide in widths {
        watch::ask();
        let loaves = loaves(panels, &placed, wide, shop.slicing.height);
        all.extend((loaves.ok()).and_then(|l| by_loaves(&l, wide, panels.len(), shop)));
    }
    let serves = |way: &&mut SlicingMethod| way.bar_length <= most;
    let least = (all.iter_mut().filter(serves)).min_by_key(|way| (way.parts, way.joints));
    if let Some(least) = least {
        least.recommended = true;
    }
    all
}

/// The loaves that the panels are sliced from in a shop: none where it slices single tiles.
///
/// # Errors
/// When the way that the shop asks for does not fit, with the panel for which that is so.
pub fn loaves_of(panels: &[&Panel], shop: &Shop) -> Result<Vec<Loaf>, (usize, Misfit)> {
    let sliced = |panel: &&Panel| !is_of_slats(panel);
    let placed: Vec<Vec<Placement>> = (panels.iter())
        .map(|panel| {
            if sliced(panel) {
                placements(panel)
            } else {
                Vec::new()
            }
        })
        .collect();
    let of = |wide: Wide| loaves(panels, &placed, wide, shop.slicing.height);
    match shop.slicing.way {
        Sliced::Tiles => Ok(Vec::new()),
        Sliced::Courses => of(Wide::Course),
        Sliced::Panels => of(Wide::Panel),
        Sliced::Loaf(Some(bars)) => {
            let lengths = courses(&placed);
            if lengths.iter().all(|length| length.is_multiple_of(bars)) {
                of(Wide::Tiles(bars))
            } else {
                Err((0, Misfit::Lengths(lengths)))
            }
        }
        Sliced::Loaf(None) => {
            let made: Vec<&Panel> = panels.iter().copied().filter(sliced).collect();
            let most = by_tiles(&made, shop).map_or(0.0, |way| way.bar_length * MORE_BAR);
            let lengths = courses(&placed);
            let mut misfit = Err((0, Misfit::Lengths(lengths.clone())));
            let mut best: Option<((bool, f64), Vec<Loaf>)> = None;
            for wide in widths(&lengths).map(Wide::Tiles) {
                watch::ask();
                match of(wide) {
                    Err(why) => misfit = Err(why),
                    Ok(loaves) => {
                        let Some(way) = by_loaves(&loaves, wide, panels.len(), shop) else {
                            continue;
                        };
                        // The least work that wastes no wood; or else the least wood.
                        let wastes = way.bar_length > most;
                        let rank = if wastes {
                            way.bar_length
                        } else {
                            way.parts as f64
                        };
                        let better = |(best, _): &((bool, f64), _)| (wastes, rank) < *best;
                        if best.as_ref().is_none_or(better) {
                            best = Some(((wastes, rank), loaves));
                        }
                    }
                }
            }
            best.map_or(misfit, |(_, loaves)| Ok(loaves))
        }
    }
}

/// What can be sliced for some panels.
pub fn fitting(panels: &[&Panel], shop: &Shop) -> Vec<Sliced> {
    let fits = |way: &Sliced| {
        let mut shop = shop.clone();
        shop.slicing.way = *way;
        loaves_of(panels, &shop).is_ok()
    };
    Sliced::ALL.into_iter().filter(fits).collect()
}

/// The lengths of all courses in tiles, each once, the shortest first.
fn courses(placed: &[Vec<Placement>]) -> Vec<usize> {
    let courses = placed
        .iter()
        .flat_map(|p| p.chunk_by(|a, b| a.course == b.course));
    let mut lengths: Vec<usize> = courses.map(<[_]>::len).collect();
    lengths.sort_unstable();
    lengths.dedup();
    lengths
}

/// How many tiles wide slices of loaves can be so that they fill all courses in parts alike.
fn widths(lengths: &[usize]) -> impl Iterator<Item = usize> {
    let least = lengths.first().copied().unwrap_or(0);
    (2..least).filter(|wide| lengths.iter().all(|length| length.is_multiple_of(*wide)))
}

fn by_tiles(panels: &[&Panel], shop: &Shop) -> Option<SlicingMethod> {
    let full = slices_of(shop, shop.cutting.bar_length);
    if full == 0 || panels.iter().all(|panel| panel.tiles.is_empty()) {
        return None;
    }
    let mut way = SlicingMethod {
        parts: panels.iter().map(|panel| panel.tiles.len() as u64).sum(),
        joints: panels.iter().map(|panel| panel.joints.all).sum(),
        side_by_side: 1,
        ..SlicingMethod::none(Sliced::Tiles)
    };
    let mut bars: Vec<(&Bar, u64)> = Vec::new();
    for panel in panels {
        for (face, tiles) in panel.faces.iter().zip(panel.counts()) {
            let bar: &Bar = face.kind.bar();
            match bars.iter_mut().find(|(known, _)| *known == bar) {
                Some((_, slices)) => *slices += tiles.all(),
                None => bars.push((bar, tiles.all())),
            }
        }
    }
    for (bar, slices) in bars {
        let bounds = bar.outline().bounds();
        way.add_bars(1, slices, full, shop);
        way.height = way.height.max(bounds.height().min(bounds.width()));
    }
    Some(way)
}

impl SlicingMethod {
    /// Nothing counted yet.
    fn none(way: Sliced) -> Self {
        Self {
            way,
            side_by_side: 0,
            bars: 0,
            parts: 0,
            joints: 0,
            bar_length: 0.0,
            stubs: 0.0,
            height: 0.0,
            recommended: false,
        }
    }

    /// Adds bars that lie `wide` side by side and give so many slices together.
    fn add_bars(&mut self, wide: u64, slices: u64, full: u64, shop: &Shop) {
        let loaves = slices.div_ceil(full);
        self.bars += wide * loaves;
        self.stubs += (wide * loaves) as f64 * shop.slicing.end_trim;
        let last = slices - (loaves - 1) * full;
        let each = (loaves - 1) as f64 * length_of(shop, full) + length_of(shop, last);
        self.bar_length += wide as f64 * each;
    }
}

/// What loaves take for so many panels; none where a bar gives no slice. A slice that is a panel is not laid.
fn by_loaves(loaves: &[Loaf], wide: Wide, panels: usize, shop: &Shop) -> Option<SlicingMethod> {
    let full = slices_of(shop, shop.cutting.bar_length);
    if full == 0 {
        return None;
    }
    let slices: u64 = loaves.iter().map(|l| l.slices.len() as u64).sum();
    let side_by_side = loaves.iter().map(|l| l.bars.len()).max()?;
    let (way, laid) = match wide {
        Wide::Tiles(_) => (Sliced::Loaf(Some(side_by_side)), slices),
        Wide::Course => (Sliced::Courses, slices),
        Wide::Panel => (Sliced::Panels, 0),
    };
    let mut way = SlicingMethod {
        side_by_side,
        parts: laid,
        joints: laid.saturating_sub(panels as u64),
        ..SlicingMethod::none(way)
    };
    for loaf in loaves {
        way.height = way.height.max(loaf.height());
        let (wide, slices) = (loaf.bars.len() as u64, loaf.slices.len() as u64);
        let loaves = slices.div_ceil(full);
        way.parts += wide * loaves;
        way.joints += loaf.joints * loaves;
        way.add_bars(wide, slices, full, shop);
    }
    Some(way)
}
