//! A first answer where patterns are too many to list: blank after blank is filled with what is still open,
//! the widest strips first, and always that blank is taken next whose filling is worth most for its area.

use std::{cmp::Ordering, collections::BinaryHeap};

use super::{
    cut::{Blank, Cuts},
    pattern::Item,
    strips::Kinds,
};
use crate::{
    plan::{
        scraps::{Crosscut, Problem, StockItem},
        shop::Shop,
    },
    watch,
};

/// A blank, how it would be filled when as many were taken as then, and what that is worth for its area.
struct Offer {
    rate: f64,
    blank: usize,
    counts: Vec<u64>,
    /// How many blanks had been taken when this filling was worked out; it is worked out again after more.
    taken: usize,
}

impl PartialEq for Offer {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Offer {}

impl PartialOrd for Offer {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Offer {
    fn cmp(&self, other: &Self) -> Ordering {
        let rate = self.rate.total_cmp(&other.rate);
        rate.then(other.blank.cmp(&self.blank))
    }
}

/// What is open, and what there is.
struct Filling<'a> {
    kinds: &'a Kinds,
    crosses: Vec<Crosscut>,
    lots: Vec<StockItem>,
    /// What each part weighs.
    weights: Vec<u64>,
    /// For each part, the slices that are open.
    open: Vec<u64>,
    /// Boards left of each lot.
    boards: Vec<u64>,
    /// Blanks of boards that are begun, for each manner of cutting across.
    begun: Vec<u64>,
}

/// The patterns of that answer, and how often each is used, as far as the stock suffices. They are added to the plans
/// and to the problem.
pub(super) fn fill(
    cuts: &mut Cuts,
    kinds: &Kinds,
    problem: &mut Problem,
    shop: &Shop,
) -> Vec<(usize, u64)> {
    let mut open = vec![0; kinds.parts.len()];
    for need in &problem.needs {
        for &(part, each) in &need.parts {
            open[part] += each * need.slices;
        }
    }
    let mut state = Filling {
        kinds,
        crosses: problem.crosses.clone(),
        lots: problem.lots.clone(),
        weights: problem.parts.clone(),
        open,
        boards: (problem.lots.iter())
            .map(|lot| lot.count.unwrap_or(u64::MAX))
            .collect(),
        begun: vec![0; problem.crosses.len()],
    };
    let orders: Vec<Vec<usize>> = cuts.blanks.iter().map(by_width).collect();
    let mut taken: Vec<(usize, Vec<u64>, u64)> = Vec::new();
    let mut offers: BinaryHeap<Offer> = (0..cuts.blanks.len())
        .filter_map(|blank| state.offer(cuts, blank, &orders[blank], 0))
        .collect();
    while let Some(offer) = offers.pop() {
        watch::ask();
        let blank = &cuts.blanks[offer.blank];
        if offer.taken == taken.len() {
            let times = state.take(blank, cuts.crosses[blank.cross].slices, &offer.counts);
            taken.push((offer.blank, offer.counts, times));
        }
        // The less is open, the less a blank is worth: so one that is still first after being filled anew is the best.
        offers.extend(state.offer(cuts, offer.blank, &orders[offer.blank], taken.len()));
    }
    let mut used = Vec::new();
    for (blank, counts, times) in taken {
        if let Some((plan, new)) = cuts.add(blank, &counts) {
            if new {
                let pattern = cuts.pattern(kinds, &cuts.plans[plan], shop);
                problem.patterns.push(pattern);
            }
            used.push((plan, times));
        }
    }
    used
}

/// The kinds of strips that lie alone in a run, the widest first.
fn by_width(blank: &Blank) -> Vec<usize> {
    let items = &blank.bench.items;
    let alone = |&i: &usize| items[i].rips[0] == items[i].rips[1];
    let mut order: Vec<usize> = (0..items.len()).filter(alone).collect();
    let width = |i: usize| items[i].method.run.pitch();
    order.sort_by(|&a, &b| width(b).total_cmp(&width(a)).then(a.cmp(&b)));
    order
}

impl Filling<'_> {
    /// How often a blank, or as many as are used at a time, can be had.
    fn able(&self, blank: &Blank) -> u64 {
        let cross = &self.crosses[blank.cross];
        let more = self.boards[cross.lot].saturating_mul(cross.blanks);
        more.saturating_add(self.begun[blank.cross]) / blank.blanks
    }

    /// How many strips of a kind are open, where each gives this many slices.
    fn wanted(&self, item: &Item, slices: u64) -> u64 {
        let yields = self.kinds.rips[item.rips[0]].yields.iter();
        let strips =
            |&(part, each): &(usize, u64)| self.open[part].div_ceil((each * slices).max(1));
        yields.map(strips).max().unwrap_or(0)
    }

    fn offer(&self, cuts: &Cuts, at: usize, order: &[usize], taken: usize) -> Option<Offer> {
        watch::ask();
        let blank = &cuts.blanks[at];
        if self.able(blank) == 0 {
            return None;
        }
        let slices = cuts.crosses[blank.cross].slices;
        let items = &blank.bench.items;
        let wanted: Vec<u64> = (items.iter())
            .map(|item| self.wanted(item, slices).min(item.most))
            .collect();
        let counts = blank.bench.filled(&wanted, order);
        let mut worth = 0.0;
        for (item, &count) in items.iter().zip(&counts) {
            for &(part, each) in &self.kinds.rips[item.rips[0]].yields {
                let given = (count * each * slices).min(self.open[part]);
                worth += given as f64 * self.weights[part] as f64;
            }
        }
        let cross = &self.crosses[blank.cross];
        let area = self.lots[cross.lot].area.max(1) as f64 / cross.blanks as f64;
        (worth > 0.0).then(|| Offer {
            rate: worth / (area * blank.blanks as f64),
            blank: at,
            counts,
            taken,
        })
    }

    /// Takes a filled blank, as often as all of it is of use.
    fn take(&mut self, blank: &Blank, slices: u64, counts: &[u64]) -> u64 {
        let cross = &self.crosses[blank.cross];
        let strips = blank
            .bench
            .items
            .iter()
            .zip(counts)
            .filter(|(_, c)| **c > 0);
        let times = strips
            .clone()
            .map(|(item, count)| self.wanted(item, slices) / count);
        let times = times.min().unwrap_or(0).clamp(1, self.able(blank));
        for (item, &count) in strips {
            for &(part, each) in &self.kinds.rips[item.rips[0]].yields {
                self.open[part] = self.open[part].saturating_sub(times * count * each * slices);
            }
        }
        let begun = &mut self.begun[blank.cross];
        let blanks = times * blank.blanks;
        let more = blanks.saturating_sub(*begun).div_ceil(cross.blanks);
        *begun = *begun + more * cross.blanks - blanks;
        self.boards[cross.lot] = self.boards[cross.lot].saturating_sub(more);
        times
    }
}
