//! Which looks may lie side by side in a repeat so that lines run on through their joints.

use super::{pattern::repeats_into, repeat::Repeat};
use crate::watch;
use crate::{
    geom::{Rect, TOLERANCE},
    layout::{
        edges::{Shared, profiles_along, shared},
        panel::JointCount,
    },
    stock::face::Profile,
};

/// A pair of cells that share joints, and which looks match there.
#[derive(Debug, Clone)]
pub(crate) struct Pair {
    /// The cell with the lower number.
    pub(crate) earlier: usize,
    /// How many joints there are between them.
    joints: usize,
    /// How many of them match, by the option of the earlier cell and then that of the later one.
    matched: Vec<Vec<usize>>,
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
        self.matched[earlier][later] == self.joints
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
                            joints: joints.len(),
                            matched: table(&joints, &profiles[earlier], &profiles[later]),
                        })
                    })
                    .collect()
            })
            .collect();
        Self { pairs }
    }

    /// All joints of the repeat, and those that match when the cells take these options.
    pub(crate) fn count(&self, options: &[usize]) -> JointCount {
        let pairs = self.pairs.iter().enumerate();
        let pairs = pairs.flat_map(|(later, pairs)| pairs.iter().map(move |p| (later, p)));
        let mut sum = JointCount::default();
        for (later, pair) in pairs {
            watch::ask();
            sum.all += pair.joints as u64;
            sum.matched += pair.matched[options[pair.earlier]][options[later]] as u64;
        }
        sum
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
        // The joints of a cell with its own copies in other repeats come in pairs: one of each pair
        // is enough.
        if earlier == later && (i, j) <= (0, 0) {
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

fn table(joints: &[Joint], one: &[Vec<Profile>], other: &[Vec<Profile>]) -> Vec<Vec<usize>> {
    one.iter()
        .map(|mine| {
            other
                .iter()
                .map(|theirs| {
                    joints
                        .iter()
                        .filter(|&&(e, o, piece)| piece.matches(&mine[e], &theirs[o]))
                        .count()
                })
                .collect()
        })
        .collect()
}
