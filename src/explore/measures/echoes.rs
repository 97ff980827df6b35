//! What repeats at a small distance: how alike a panel is to itself, shifted by a few tiles.

use std::collections::{BTreeMap, BTreeSet};

use super::looks;
use crate::layout::panel::Panel;

/// A panel against itself, shifted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Echo {
    /// Columns to the right.
    pub columns: i32,
    /// Courses down.
    pub courses: i32,
    /// How many tiles have another one so far from them.
    pub pairs: u32,
    /// The share of those pairs that look the same, from 0 to 1.
    pub share: f64,
    /// How much more that is than by chance: `(share - chance) / (1 - chance)`, where chance is the
    /// sum of the squares of the shares that the looks have in the panel. 1 where all look the
    /// same, 0 for chance, below 0 where tiles avoid their like.
    pub above_chance: f64,
}

/// The panel against itself for every shift by up to `reach` columns and courses, the strongest
/// first; a shift and its opposite are one. Empty where all tiles look alike: then everything
/// repeats.
#[must_use]
pub fn echoes(panel: &Panel, reach: i32) -> Vec<Echo> {
    let looks = looks(panel);
    let at: BTreeMap<(i32, i32), usize> = panel
        .tiles
        .iter()
        .map(|t| ((t.cell.course, t.cell.column), looks[t.face as usize]))
        .collect();
    let chance: f64 = at
        .values()
        .collect::<BTreeSet<_>>()
        .into_iter()
        .map(|look| {
            let count = at.values().filter(|l| *l == look).count();
            (count as f64 / at.len() as f64).powi(2)
        })
        .sum();
    if at.is_empty() || chance >= 1.0 - 1e-12 {
        return Vec::new();
    }
    let mut found = Vec::new();
    for courses in 0..=reach {
        let first = if courses == 0 { 1 } else { -reach };
        for columns in first..=reach {
            let pairs = at.iter().filter_map(|(&(course, column), look)| {
                let other = at.get(&(course + courses, column + columns))?;
                Some(look == other)
            });
            let (all, same) = pairs.fold((0_u32, 0_u32), |(all, same), equal| {
                (all + 1, same + u32::from(equal))
            });
            if all > 0 {
                let share = f64::from(same) / f64::from(all);
                found.push(Echo {
                    columns,
                    courses,
                    pairs: all,
                    share,
                    above_chance: (share - chance) / (1.0 - chance),
                });
            }
        }
    }
    found.sort_by(|a, b| {
        b.above_chance
            .total_cmp(&a.above_chance)
            .then(b.pairs.cmp(&a.pairs))
            .then((a.courses, a.columns.abs(), a.columns).cmp(&(
                b.courses,
                b.columns.abs(),
                b.columns,
            )))
    });
    found
}
