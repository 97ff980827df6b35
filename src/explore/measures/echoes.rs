//! What repeats at a small distance: how alike a panel is to itself, shifted by the way from one of
//! its tiles to another.
//!
//! Shifts are ways in the plane, in mm, so that tiles in courses and tiles placed one by one are
//! measured alike.

use std::collections::{BTreeMap, BTreeSet};

use super::{super::known_faces::KnownFaces, looks};
use crate::watch;
use crate::{geom::Point, layout::panel::Panel};

/// Shifts that differ by less than about this many mm count as one.
const SAME: f64 = 0.05;

/// A panel against itself, shifted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Echo {
    /// The shift.
    pub shift: Point,
    /// How many tiles it brings onto another one, centre on centre.
    pub pairs: u32,
    /// The share of those pairs that look the same, from 0 to 1.
    pub share: f64,
    /// How much more that is than by chance: `(share - chance) / (1 - chance)`, where chance is the
    /// sum of the squares of the shares that the looks have in the panel. 1 where all look the
    /// same, 0 for chance, below 0 where tiles avoid their like.
    pub above_chance: f64,
}

/// The panel against itself for every shift no longer than `reach` mm, the strongest first; a shift
/// and its opposite are one. Where all tiles look alike, all shifts have full strength.
pub fn echoes(panel: &Panel, reach: f64, known: &mut KnownFaces) -> Vec<Echo> {
    let faces = known.of(panel);
    let looks = looks(&faces, known);
    let tiles: Vec<(Point, usize)> = panel
        .tiles
        .iter()
        .map(|t| (t.at, looks[t.face as usize]))
        .collect();
    let chance = chance(&tiles);
    let field = |at: Point| (whole(at.x / reach), whole(at.y / reach));
    let mut fields: BTreeMap<(i64, i64), Vec<(Point, usize)>> = BTreeMap::new();
    for &tile in &tiles {
        fields.entry(field(tile.0)).or_default().push(tile);
    }
    let mut found: BTreeMap<(i64, i64), Found> = BTreeMap::new();
    for &(from, look) in &tiles {
        watch::ask();
        let (x, y) = field(from);
        let near = (-1..=1)
            .flat_map(|dx| (-1..=1).map(move |dy| (x + dx, y + dy)))
            .filter_map(|f| fields.get(&f))
            .flatten();
        for &(to, other) in near {
            let shift = to - from;
            if leads_ahead(shift) && shift.length() <= reach {
                let one = found.entry(key(shift)).or_insert(Found {
                    shift,
                    pairs: 0,
                    same: 0,
                });
                one.pairs += 1;
                one.same += u32::from(look == other);
            }
        }
    }
    let mut all: Vec<Echo> = found
        .into_values()
        .map(|f| {
            let share = f64::from(f.same) / f64::from(f.pairs);
            let above_chance = if chance < 1.0 - 1e-12 {
                (share - chance) / (1.0 - chance)
            } else {
                1.0
            };
            Echo {
                shift: f.shift,
                pairs: f.pairs,
                share,
                above_chance,
            }
        })
        .collect();
    // A stable sort: of equals the one with the most pairs, then the one farthest to the left.
    all.sort_by(|a, b| {
        let strength = b.above_chance.total_cmp(&a.above_chance);
        strength.then(b.pairs.cmp(&a.pairs))
    });
    all
}

/// Pairs of tiles that lie one shift apart.
struct Found {
    shift: Point,
    pairs: u32,
    same: u32,
}

/// How often two tiles look the same by chance.
fn chance(tiles: &[(Point, usize)]) -> f64 {
    let kinds: BTreeSet<usize> = tiles.iter().map(|t| t.1).collect();
    let share = |kind: usize| {
        let count = tiles.iter().filter(|t| t.1 == kind).count();
        count as f64 / tiles.len() as f64
    };
    kinds
        .into_iter()
        .map(|kind| share(kind) * share(kind))
        .sum()
}

/// Of a shift and its opposite the one that leads right, or straight down.
fn leads_ahead(shift: Point) -> bool {
    shift.x > SAME || (shift.x >= -SAME && shift.y > SAME)
}

/// Shifts of one key are one. The grid is set off a little, as true shifts mostly lie on round
/// values and must not fall on its borders.
fn key(shift: Point) -> (i64, i64) {
    let step = |mm: f64| whole(mm / SAME + 0.41);
    (step(shift.x), step(shift.y))
}

#[allow(
    clippy::cast_possible_truncation,
    reason = "a cast from f64 saturates, and panels are far smaller"
)]
fn whole(value: f64) -> i64 {
    libm::floor(value) as i64
}
