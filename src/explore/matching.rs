//! Which looks may lie side by side in a repeat so that lines run on through their joints.

use super::{pattern::repeats_into, repeat::Repeat};
use crate::{
    geom::{Rect, TOLERANCE},
    layout::edges::{Shared, profiles_along, shared},
    stock::face::Profile,
};

/// A pair of cells that share joints, and which looks match there.
#[derive(Debug, Clone)]
pub(crate) struct Pair {
    /// The cell with the lower number.
    pub(crate) earlier: usize,
    /// By the option of the earlier cell, then by that of the later one.
    matched: Vec<Vec<bool>>,
}

/// All joints of a repeat.
#[derive(Debug, Clone)]
pub(crate) struct Matching {
    /// For each cell its pairs with cells of lower or the same number.
    pub(crate) pairs: Vec<Vec<Pair>>,
}

impl Pair {
    /// Whether lines run on through all joints between the two, by the options of both.
    pub(crate) fn matches(&self, earlier: usize, later: usize) -> bool {
        self.matched[earlier][later]
    }
}

impl Matching {
    pub(crate) fn of(repeat: &Repeat) -> Self {
        let profiles: Vec<Vec<Vec<Profile>>> = (0..repeat.cells().len())
            .map(|i| {
                let outline = &repeat.cells()[i].outline;
                let faces = repeat.options()[i]
                    .iter()
                    .map(|&l| &repeat.looks()[usize::from(l)].face);
                faces.map(|f| profiles_along(f, outline)).collect()
            })
            .collect();
        let pairs = (0..repeat.cells().len())
            .map(|later| {
                (0..=later)
                    .filter_map(|earlier| {
                        let joints = joints(repeat, earlier, later);
                        (!joints.is_empty()).then(|| Pair {
                            earlier,
                            matched: table(&joints, &profiles[earlier], &profiles[later]),
                        })
                    })
                    .collect()
            })
            .collect();
        Self { pairs }
    }

    /// Whether all joints of an arrangement match, given by the options of the cells.
    #[cfg(test)]
    pub(crate) fn holds(&self, options: &[usize]) -> bool {
        self.pairs.iter().enumerate().all(|(later, pairs)| {
            pairs
                .iter()
                .all(|p| p.matches(options[p.earlier], options[later]))
        })
    }
}

/// A piece of a joint: the edges of both outlines and where they touch.
type Joint = (usize, usize, Shared);

fn joints(repeat: &Repeat, earlier: usize, later: usize) -> Vec<Joint> {
    let [one, other] = [earlier, later].map(|i| &repeat.cells()[i]);
    let mine = one.outline.shifted(one.at);
    let theirs = other.outline.shifted(other.at);
    let reach: Rect = mine.bounds().grown(TOLERANCE);
    let [a, b] = repeat.periods().steps();
    let mut found = Vec::new();
    for (i, j) in repeats_into(repeat.periods(), theirs.bounds(), reach) {
        if earlier == later && (i, j) == (0, 0) {
            continue;
        }
        let there = theirs.shifted(a * f64::from(i) + b * f64::from(j));
        for (e, edge) in mine.edges().enumerate() {
            for (o, its) in there.edges().enumerate() {
                found.extend(shared(edge, its).map(|piece| (e, o, piece)));
            }
        }
    }
    found
}

fn table(joints: &[Joint], one: &[Vec<Profile>], other: &[Vec<Profile>]) -> Vec<Vec<bool>> {
    one.iter()
        .map(|mine| {
            other
                .iter()
                .map(|theirs| {
                    joints
                        .iter()
                        .all(|&(e, o, piece)| piece.matches(&mine[e], &theirs[o]))
                })
                .collect()
        })
        .collect()
}
