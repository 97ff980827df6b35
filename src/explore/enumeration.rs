//! The different arrangements of a repeat, one by one.
//!
//! Of all arrangements that are the same, the one that comes first in the order of the cells and
//! of the looks' numbers stands for all. They are found in that order by filling cell after cell;
//! nothing but the arrangement in hand is kept.

use super::{
    matching::Matching,
    moves::{Moves, Same},
    repeat::{Arrangement, Repeat},
};
use crate::layout::{panel::JointCount, random::ListDraws};
use crate::watch;

/// The most complete fillings that a listing looks at before it gives up.
pub const MOST_LOOKED_AT: u64 = 50_000_000;

/// The most fillings that are drawn by chance for each that is asked for.
const DRAWS_EACH: u64 = 50;

/// The most steps in the search for one filling whose lines all run on.
const MOST_STEPS: u64 = 200_000;

/// Which arrangements are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// All.
    All,
    /// Only arrangements in which lines run on through every joint.
    Matched,
}

/// Finds arrangements of a repeat.
#[derive(Debug)]
pub struct Arrangements<'a> {
    repeat: &'a Repeat,
    moves: Moves,
    /// For each move and each shift after it: for each cell the one that comes to lie there.
    images: Vec<Vec<Vec<u8>>>,
    matching: Matching,
    wanted: Wanted,
}

/// The different arrangements in order.
#[derive(Debug)]
pub struct Enumeration<'a> {
    from: &'a Arrangements<'a>,
    /// The option that is tried in each filled cell.
    tried: Vec<usize>,
    looked_at: u64,
    progress: Progress,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Progress {
    Going,
    Done,
    GaveUp,
}

impl<'a> Arrangements<'a> {
    /// For a repeat, and what counts as the same.
    pub fn new(repeat: &'a Repeat, same: Same, wanted: Wanted) -> Self {
        let moves = Moves::of(repeat, same);
        #[allow(clippy::cast_possible_truncation, reason = "a repeat has few cells")]
        let cell = |c: usize| c as u8;
        let images = moves
            .points
            .iter()
            .map(|m| {
                moves
                    .shifted
                    .iter()
                    .map(|s| s.iter().map(|&c| cell(m.source[c])).collect())
                    .collect()
            })
            .collect();
        Self {
            repeat,
            moves,
            images,
            matching: Matching::of(repeat),
            wanted,
        }
    }

    /// All of them, in order.
    pub fn list(&'a self) -> Enumeration<'a> {
        Enumeration {
            from: self,
            tried: Vec::with_capacity(self.repeat.cells().len()),
            looked_at: 0,
            progress: Progress::Going,
        }
    }

    /// Up to `count` different ones found by chance, in the order in which they were found. Which
    /// filling comes up is by chance, so an arrangement that can be turned to many others is as
    /// many times as likely.
    pub fn sample(&self, seed: u64, count: usize) -> Vec<Arrangement> {
        let mut found: Vec<Arrangement> = Vec::new();
        let mut draws = ListDraws::new(seed, "arrangements");
        let cells = self.repeat.cells().len() as u64;
        for attempt in 0..DRAWS_EACH * count as u64 {
            watch::ask();
            if found.len() == count {
                break;
            }
            let filling = if self.wanted == Wanted::Matched {
                self.matched_filling(seed, attempt)
            } else {
                let options = self.repeat.options().iter().enumerate();
                let pick = options.map(|(cell, options)| {
                    let place = attempt * cells + cell as u64;
                    let drawn = draws.below(place, options.len() as u64);
                    options[usize::try_from(drawn).unwrap_or(0)]
                });
                Some(pick.collect())
            };
            let Some(filling) = filling else { continue };
            let least = self.first_of_its_kind(&filling);
            if !found.contains(&least) {
                found.push(least);
            }
        }
        found
    }

    /// The first, in order, of all arrangements that are the same as this one.
    pub fn first_of_its_kind(&self, arrangement: &[u16]) -> Arrangement {
        let mut least = arrangement.to_vec();
        for (m, images) in self.moves.points.iter().zip(&self.images) {
            watch::ask();
            if !self.keeps_repeat(&m.needs, arrangement) {
                continue;
            }
            for source in images {
                let image = source
                    .iter()
                    .map(|&c| m.looks[usize::from(arrangement[usize::from(c)])]);
                if image.clone().lt(least.iter().copied()) {
                    least = image.collect();
                }
            }
        }
        least
    }

    /// In how many ways this arrangement can be laid: how many fillings of the repeat are the same.
    pub fn ways(&self, arrangement: &[u16]) -> usize {
        let mut all = std::collections::BTreeSet::new();
        for (m, images) in self.moves.points.iter().zip(&self.images) {
            if self.keeps_repeat(&m.needs, arrangement) {
                all.extend(images.iter().map(|source| {
                    source
                        .iter()
                        .map(|&c| m.looks[usize::from(arrangement[usize::from(c)])])
                        .collect::<Arrangement>()
                }));
            }
        }
        all.len()
    }

    /// All joints of one repeat, and those through which lines run on.
    pub fn joints(&self, arrangement: &[u16]) -> JointCount {
        let options = self.repeat.options().iter().zip(arrangement);
        let places = options.map(|(all, look)| all.iter().position(|l| l == look).unwrap_or(0));
        self.matching.count(&places.collect::<Vec<_>>())
    }

    fn is_first_of_its_kind(&self, arrangement: &[u16]) -> bool {
        self.moves
            .points
            .iter()
            .zip(&self.images)
            .all(|(m, images)| {
                !self.keeps_repeat(&m.needs, arrangement)
                    || images.iter().all(|source| {
                        source
                            .iter()
                            .map(|&c| m.looks[usize::from(arrangement[usize::from(c)])])
                            .ge(arrangement.iter().copied())
                    })
            })
    }

    /// Whether shifts by these numbers leave the arrangement as it is.
    fn keeps_repeat(&self, needs: &[usize], arrangement: &[u16]) -> bool {
        needs.iter().all(|&n| {
            self.moves.shifted[n]
                .iter()
                .zip(arrangement)
                .all(|(&c, look)| arrangement[c] == *look)
        })
    }

    /// Whether the last of the filled cells agrees with those before it.
    fn agrees(&self, tried: &[usize]) -> bool {
        let Some(last) = tried.len().checked_sub(1) else {
            return true;
        };
        self.wanted == Wanted::All
            || self.matching.pairs[last]
                .iter()
                .all(|p| p.matches(tried[p.earlier], tried[last]))
    }

    fn looks_of(&self, tried: &[usize]) -> Arrangement {
        let options = self.repeat.options().iter();
        options.zip(tried).map(|(o, &t)| o[t]).collect()
    }

    /// A filling whose lines all run on, each cell's looks tried in an order by chance; none where
    /// there is none or the search takes too long.
    fn matched_filling(&self, seed: u64, attempt: u64) -> Option<Arrangement> {
        let orders: Vec<Vec<usize>> = (0..self.repeat.cells().len())
            .map(|cell| {
                let mut order: Vec<usize> = (0..self.repeat.options()[cell].len()).collect();
                ListDraws::new(seed, &format!("matched {attempt} {cell}")).shuffle(&mut order);
                order
            })
            .collect();
        let mut places: Vec<usize> = Vec::new();
        let mut next = 0;
        for _ in 0..MOST_STEPS {
            watch::ask();
            let cell = places.len();
            if cell == orders.len() {
                let tried: Vec<usize> = places.iter().zip(&orders).map(|(&p, o)| o[p]).collect();
                return Some(self.looks_of(&tried));
            }
            if next < orders[cell].len() {
                places.push(next);
                let tried: Vec<usize> = places.iter().zip(&orders).map(|(&p, o)| o[p]).collect();
                if self.agrees(&tried) {
                    next = 0;
                    continue;
                }
            }
            next = places.pop()? + 1;
        }
        None
    }
}

impl Enumeration<'_> {
    /// Whether it ended before all were found, because there are too many fillings to look at.
    pub fn gave_up(&self) -> bool {
        self.progress == Progress::GaveUp
    }

    /// Goes on to the next option of the last cell that has one.
    fn step_on(&mut self) {
        while let Some(last) = self.tried.pop() {
            watch::ask();
            if last + 1 < self.from.repeat.options()[self.tried.len()].len() {
                self.tried.push(last + 1);
                return;
            }
        }
        self.progress = Progress::Done;
    }
}

impl Iterator for Enumeration<'_> {
    type Item = Arrangement;

    fn next(&mut self) -> Option<Arrangement> {
        let cells = self.from.repeat.cells().len();
        while self.progress == Progress::Going {
            if !self.from.agrees(&self.tried) {
                self.step_on();
                continue;
            }
            if self.tried.len() < cells {
                self.tried.push(0);
                continue;
            }
            self.looked_at += 1;
            if self.looked_at > MOST_LOOKED_AT {
                self.progress = Progress::GaveUp;
                return None;
            }
            let arrangement = self.from.looks_of(&self.tried);
            self.step_on();
            if self.from.is_first_of_its_kind(&arrangement) {
                return Some(arrangement);
            }
        }
        None
    }
}
