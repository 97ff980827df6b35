//! What is open at the start of a search, and how prices narrow it down.

use crate::plan::scraps::{
    bars::{self, Bars},
    leeway::{Open, Range},
    milp,
    relaxed::{FINE, Relaxation, Told},
};

impl Relaxation<'_> {
    /// Everything is open.
    pub(super) fn all(&self) -> Open {
        let mut ways: Vec<Range> = milp::most_of_all(self.problem)
            .into_iter()
            .enumerate()
            .filter(|(_, most)| *most > 0)
            .map(|(way, most)| Range {
                way,
                least: 0,
                most,
            })
            .collect();
        let lot = |r: &Range| self.problem.crosses[self.problem.ways[r.way].cross].lot;
        ways.sort_by_key(|r| (lot(r), self.problem.ways[r.way].cross, r.way));
        let bars = self
            .problem
            .needs
            .iter()
            .map(|need| {
                let most = |&l: &u64| (0, need.slices.div_ceil(l));
                self.lengths.iter().map(most).collect()
            })
            .collect();
        Open {
            ways,
            bars,
            cuts: vec![],
        }
    }

    /// Where the ways of the lot end whose first way is this.
    pub(super) fn end_of_lot(&self, ways: &[Range], from: usize) -> usize {
        let lot = self.lot_of(ways[from].way);
        let others = ways[from..].iter().position(|r| self.lot_of(r.way) != lot);
        others.map_or(ways.len(), |count| from + count)
    }

    /// Narrows what is open to what an answer of no more than `most` square mm can use; false where
    /// there is none. `told` is of just this.
    pub(super) fn narrow(&self, open: &mut Open, told: &Told, most: u64) -> bool {
        let left = i128::from(most) * i128::from(FINE) - told.value;
        if left < 0 {
            return false;
        }
        let times = |each: i64| u64::try_from(left / i128::from(each.max(1))).unwrap_or(u64::MAX);
        for (range, &regret) in open.ways.iter_mut().zip(&told.regrets) {
            if regret > 0 {
                range.most = range.most.min(range.least.saturating_add(times(regret)));
            } else if regret < 0 {
                range.least = range.least.max(range.most.saturating_sub(times(-regret)));
            }
        }
        let mut from = 0;
        while from < open.ways.len() {
            let to = self.end_of_lot(&open.ways, from);
            self.narrow_lot(&mut open.ways[from..to], &told.missed[from..to], left);
            from = to;
        }
        for (need, ranges) in open.bars.iter_mut().enumerate() {
            let before = ranges.clone();
            let question = Bars {
                slices: self.problem.needs[need].slices,
                lengths: &self.lengths,
                ranges: &before,
                costs: &told.costs[need],
            };
            bars::narrow(&question, &told.tables[need], left, ranges);
        }
        for cut in &mut open.cuts {
            let mut ranges = open.ways.iter();
            cut.counts
                .retain(|_| ranges.next().is_some_and(|r| r.most > 0));
        }
        open.ways.retain(|r| r.most > 0);
        true
    }

    /// A board that must be used has one way to be used; a board that is used up has no other.
    fn narrow_lot(&self, ways: &mut [Range], missed: &[i64], left: i128) {
        let mut usable = (0..ways.len()).filter(|&i| ways[i].most > 0);
        if let (Some(only), None) = (usable.next(), usable.next())
            && i128::from(missed[only]) > left
        {
            ways[only].least = ways[only].least.max(1);
        }
        let used_up = |r: &&mut Range| {
            let way = &self.problem.ways[r.way];
            let cross = &self.problem.crosses[way.cross];
            self.problem.lots[cross.lot].count == Some(1) && r.least * way.blanks >= cross.blanks
        };
        if let Some(used) = ways.iter_mut().find(used_up).map(|r| r.way) {
            for range in ways.iter_mut().filter(|r| r.way != used) {
                range.most = range.least;
            }
        }
    }
}
