//! What is open at the start of a search, and how prices narrow it down.

use crate::plan::scraps::{
    bars::{self, Bars},
    leeway::{Open, Range},
    milp,
    relaxed::{Evaluation, FINE, Relaxation},
};

impl Relaxation<'_> {
    /// Everything is open.
    pub(super) fn all(&self) -> Open {
        let mut patterns: Vec<Range> = milp::most_of_all(self.problem)
            .into_iter()
            .enumerate()
            .filter(|(_, most)| *most > 0)
            .map(|(pattern, most)| Range {
                pattern,
                least: 0,
                most,
            })
            .collect();
        let lot = |r: &Range| self.problem.crosses[self.problem.patterns[r.pattern].cross].lot;
        patterns.sort_by_key(|r| (lot(r), self.problem.patterns[r.pattern].cross, r.pattern));
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
            patterns,
            bars,
            cuts: vec![],
        }
    }

    /// Where the patterns of the lot end whose first pattern is this.
    pub(super) fn end_of_lot(&self, patterns: &[Range], from: usize) -> usize {
        let lot = self.lot_of(patterns[from].pattern);
        let others = patterns[from..]
            .iter()
            .position(|r| self.lot_of(r.pattern) != lot);
        others.map_or(patterns.len(), |count| from + count)
    }

    /// Narrows what is open to what an answer of no more than `most` square mm can use; false where
    /// there is none. `evaluation` is of just this.
    pub(super) fn narrow(&self, open: &mut Open, evaluation: &Evaluation, most: u64) -> bool {
        let left = i128::from(most) * i128::from(FINE) - evaluation.value;
        if left < 0 {
            return false;
        }
        let times = |each: i64| u64::try_from(left / i128::from(each.max(1))).unwrap_or(u64::MAX);
        for (range, &regret) in open.patterns.iter_mut().zip(&evaluation.regrets) {
            if regret > 0 {
                range.most = range.most.min(range.least.saturating_add(times(regret)));
            } else if regret < 0 {
                range.least = range.least.max(range.most.saturating_sub(times(-regret)));
            }
        }
        let mut from = 0;
        while from < open.patterns.len() {
            let to = self.end_of_lot(&open.patterns, from);
            self.narrow_lot(
                &mut open.patterns[from..to],
                &evaluation.missed[from..to],
                left,
            );
            from = to;
        }
        for (need, ranges) in open.bars.iter_mut().enumerate() {
            let before = ranges.clone();
            let question = Bars {
                slices: self.problem.needs[need].slices,
                lengths: &self.lengths,
                ranges: &before,
                costs: &evaluation.costs[need],
            };
            bars::narrow(&question, &evaluation.tables[need], left, ranges);
        }
        for cut in &mut open.cuts {
            let mut ranges = open.patterns.iter();
            cut.counts
                .retain(|_| ranges.next().is_some_and(|r| r.most > 0));
        }
        open.patterns.retain(|r| r.most > 0);
        true
    }

    /// Of a single board that must be used and has one pattern left, that pattern is used; once a pattern of it is
    /// used, the others are ruled out.
    fn narrow_lot(&self, patterns: &mut [Range], missed: &[i64], left: i128) {
        let mut usable = (0..patterns.len()).filter(|&i| patterns[i].most > 0);
        if let (Some(only), None) = (usable.next(), usable.next())
            && i128::from(missed[only]) > left
        {
            patterns[only].least = patterns[only].least.max(1);
        }
        let used_up = |r: &&mut Range| {
            let pattern = &self.problem.patterns[r.pattern];
            let cross = &self.problem.crosses[pattern.cross];
            self.problem.lots[cross.lot].count == Some(1)
                && r.least * pattern.blanks >= cross.blanks
        };
        if let Some(used) = patterns.iter_mut().find(used_up).map(|r| r.pattern) {
            for range in patterns.iter_mut().filter(|r| r.pattern != used) {
                range.most = range.least;
            }
        }
    }
}
