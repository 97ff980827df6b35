//! The Lagrangian relaxation of the problem of [`super`]: a price for every part at every length, in place
//! of the rows that tie the boards to the bars.
//!
//! With prices given, each lot and each need is a problem of its own, so the minimum is found quickly;
//! whatever the prices are, no answer takes less. It also says how much more an answer takes at least if
//! it uses a pattern once more or once less (its *regret*): when an answer is known, patterns whose regret
//! is too large are ruled out.
//!
//! All of it is worked out in whole numbers (2^8 to a square mm), so no rounding can spoil a bound.
//! What this is not: the search for good prices ([`super::subgradient`]), nor the search that decides
//! what the bound leaves open ([`super::goals`]).

use crate::plan::scraps::{
    CutPattern, Problem,
    bars::{self, Bars},
    count_of,
    leeway::{CuttingPlane, Open},
};
use crate::watch;

/// Prices are whole numbers, in these parts of a square mm.
pub(super) const FINE: i64 = 1 << 8;

/// The highest price of a count in a cut, so that sums stay in range.
const CUT: i64 = 1 << 26;

/// What stays the same during a search.
pub(super) struct Relaxation<'a> {
    pub problem: &'a Problem,
    /// Lengths of bars, longest first; there is a row of prices for each part and length.
    pub lengths: Vec<u64>,
    /// For each pattern what it gives to the rows.
    pub gives: Vec<Vec<Give>>,
    /// For each pattern, the slices of each part that it gives, where there are any.
    slices: Vec<Vec<(usize, u64)>>,
    /// For each part, the slices that are needed.
    pub needed: Vec<u64>,
    /// For each part and length, the most that can be of use.
    of_use: Vec<u64>,
    /// The highest price of a part, so that sums stay in range.
    dearest: i64,
}

/// What a pattern gives: so many of a part to the rows from its own length on, up to the second.
pub(super) struct Give {
    pub part: usize,
    pub rows: (usize, usize),
    pub count: i64,
}

/// What the relaxed problem comes to at some prices, for what is [`Open`].
#[derive(Default)]
pub(super) struct Evaluation {
    /// No answer takes less, in fine parts of a square mm.
    pub value: i128,
    /// For each open pattern, what one more adds at least (below zero: what one less adds).
    pub regrets: Vec<i64>,
    /// For each open pattern, what leaving its lot out adds at least, where it is a single board.
    pub missed: Vec<i64>,
    /// For each need, the least cost of every number of steps.
    pub tables: Vec<Vec<i64>>,
    /// The cost of a bar of each need and length.
    pub costs: Vec<Vec<i64>>,
    /// How often each open pattern is used, in the answer that the relaxation gives.
    pub times: Vec<f64>,
    /// Bars of each need and length in it.
    pub bars: Vec<Vec<f64>>,
    sums: Vec<i64>,
    pub worth: Vec<i64>,
}

impl<'a> Relaxation<'a> {
    pub(super) fn new(problem: &'a Problem) -> Self {
        let lengths = problem.lengths();
        let of_use = of_use(problem, &lengths);
        let of_shortest = of_use.iter().skip(lengths.len() - 1).step_by(lengths.len());
        let units = i64::try_from(of_shortest.sum::<u64>()).unwrap_or(i64::MAX / 2) + 1;
        let gives = (problem.patterns.iter())
            .map(|pattern| gives_of(pattern, &lengths, &of_use))
            .collect();
        let slices = problem.patterns.iter().map(|pattern| {
            let all = pattern.gives();
            all.into_iter().map(|(part, n)| (part, n * pattern.slices))
        });
        let step = bars::step(&lengths);
        let mut needed = vec![0; problem.parts.len()];
        for need in &problem.needs {
            for &(part, each) in &need.parts {
                needed[part] += each * need.slices.div_ceil(step) * step;
            }
        }
        Self {
            problem,
            gives,
            slices: slices.map(Iterator::collect).collect(),
            needed,
            of_use,
            dearest: (1 << 52) / units,
            lengths,
        }
    }

    /// The work of one evaluation at so many prices: the climb takes steps in proportion to the square of their
    /// number; then there is what all patterns give, and the tables of the bars.
    pub(super) fn work(&self, prices: usize) -> u64 {
        let gives: usize = self.gives.iter().map(|g| g.len() + 1).sum();
        let needs = self.problem.needs.iter();
        let tables = needs.map(|need| bars::work(need.slices, &self.lengths));
        4 * (prices as u64).pow(2) + gives as u64 + tables.sum::<u64>()
    }

    pub(super) fn lot_of(&self, pattern: usize) -> usize {
        self.problem.crosses[self.problem.patterns[pattern].cross].lot
    }

    pub(super) fn slices_of(&self, pattern: usize, part: usize) -> u64 {
        count_of(&self.slices[pattern], part)
    }

    /// The usual size of each price: those of the rows, then those of the cutting planes.
    pub(super) fn usual(&self, cuts: &[CuttingPlane]) -> Vec<f64> {
        let mut all = self.guess();
        for cut in cuts {
            let slice =
                self.problem.parts[cut.part].max(1) as f64 / self.problem.full.max(1) as f64;
            all.push(slice * cut.slices);
        }
        all
    }

    /// Prices to start from: each part at the area that it takes of a board, in proportion to its length.
    pub(super) fn guess(&self) -> Vec<f64> {
        let mut all = Vec::new();
        for &area in &self.problem.parts {
            watch::ask();
            for (at, &length) in self.lengths.iter().enumerate() {
                let shorter = self.lengths.get(at + 1).copied().unwrap_or(0);
                let share = (length - shorter) as f64 / self.problem.full.max(1) as f64;
                all.push(area.max(1) as f64 * share);
            }
        }
        all
    }

    /// Evaluates the relaxed problem at some prices (in square mm); `slope` becomes the subgradient: for each row,
    /// how much the bars take more than the strips give.
    pub(super) fn evaluate(
        &self,
        prices: &[f64],
        open: &Open,
        evaluation: &mut Evaluation,
        slope: &mut [f64],
    ) {
        let rows = self.lengths.len();
        slope.fill(0.0);
        self.sum_up(prices, &mut evaluation.sums);
        evaluation.value = 0;
        evaluation.times.clear();
        evaluation.times.resize(open.patterns.len(), 0.0);
        evaluation.regrets.clear();
        evaluation.regrets.resize(open.patterns.len(), 0);
        evaluation.missed.clear();
        evaluation.missed.resize(open.patterns.len(), 0);
        evaluation.tables.resize(self.problem.needs.len(), vec![]);
        evaluation.costs.resize(self.problem.needs.len(), vec![]);
        evaluation.bars.resize(self.problem.needs.len(), vec![]);
        let at_cuts = rows * self.problem.parts.len();
        let of_cuts: Vec<i64> = (open.cuts.iter().zip(&prices[at_cuts..]))
            .map(|(_, &price)| self.whole(price).min(CUT))
            .collect();
        for (i, need) in self.problem.needs.iter().enumerate() {
            watch::ask();
            let costs = &mut evaluation.costs[i];
            costs.clear();
            costs.extend((0..rows).map(|at| {
                let parts = need.parts.iter();
                parts
                    .map(|&(part, each)| {
                        i64::try_from(each).unwrap_or(i64::MAX)
                            * evaluation.sums[part * (rows + 1) + at]
                    })
                    .sum::<i64>()
            }));
            for (cut, &price) in open.cuts.iter().zip(&of_cuts) {
                for (cost, counts) in costs.iter_mut().zip(&cut.bars[i]) {
                    *cost -= price * counts;
                }
            }
            let question = Bars {
                slices: need.slices,
                lengths: &self.lengths,
                ranges: &open.bars[i],
                costs,
            };
            evaluation.value += bars::cheapest(
                &question,
                &mut evaluation.tables[i],
                &mut evaluation.bars[i],
            );
            let mut sum = 0.0;
            for at in 0..rows {
                sum += evaluation.bars[i][at];
                for (k, cut) in open.cuts.iter().enumerate() {
                    slope[at_cuts + k] -= cut.bars[i][at] as f64 * evaluation.bars[i][at];
                }
                for &(part, each) in &need.parts {
                    slope[part * rows + at] += each as f64 * sum;
                }
            }
        }
        let at = at_cuts;
        for (i, (cut, price)) in open.cuts.iter().zip(&of_cuts).enumerate() {
            evaluation.value += i128::from(*price) * i128::from(cut.least);
            slope[at + i] += cut.least as f64;
        }
        evaluation.worth.clear();
        for (i, range) in open.patterns.iter().enumerate() {
            let worth = self.gives[range.pattern].iter().map(|give| {
                let at = give.part * (rows + 1);
                give.count * (evaluation.sums[at + give.rows.0] - evaluation.sums[at + give.rows.1])
            });
            let mut worth: i64 = worth.sum();
            for (cut, price) in open.cuts.iter().zip(&of_cuts) {
                worth = worth.saturating_add(price * cut.counts[i]);
            }
            evaluation.worth.push(worth.min(1 << 60));
        }
        let mut from = 0;
        while from < open.patterns.len() {
            watch::ask();
            let to = self.end_of_lot(&open.patterns, from);
            evaluation.value += self.of_lot(&open.patterns, (from, to), evaluation);
            from = to;
        }
        for (j, (range, &times)) in open.patterns.iter().zip(&evaluation.times).enumerate() {
            if times != 0.0 {
                for give in &self.gives[range.pattern] {
                    for row in
                        &mut slope[give.part * rows + give.rows.0..give.part * rows + give.rows.1]
                    {
                        *row -= give.count as f64 * times;
                    }
                }
                for (i, cut) in open.cuts.iter().enumerate() {
                    slope[at + i] -= cut.counts[j] as f64 * times;
                }
            }
        }
    }

    /// What so many of a part in bars of so many slices are worth, at the prices of this evaluation.
    pub(super) fn worth(
        &self,
        evaluation: &Evaluation,
        part: usize,
        slices: u64,
        count: u64,
    ) -> i64 {
        let rows = self.lengths.len();
        let each = |row: usize| {
            let at = part * (rows + 1) + row;
            let of_use = count.min(self.of_use[part * rows + row]);
            (evaluation.sums[at] - evaluation.sums[at + 1])
                .saturating_mul(i64::try_from(of_use).unwrap_or(i64::MAX))
        };
        let from = self.lengths.iter().position(|&l| l <= slices);
        (from.unwrap_or(rows)..rows)
            .map(each)
            .fold(0, i64::saturating_add)
    }

    /// A price in fine parts, within its range.
    #[allow(
        clippy::cast_possible_truncation,
        reason = "casts of floats saturate, and the price is clamped"
    )]
    fn whole(&self, price: f64) -> i64 {
        ((price * FINE as f64) as i64).clamp(0, self.dearest)
    }

    /// What a part costs at each length: the sum of the prices of its rows from there on.
    fn sum_up(&self, prices: &[f64], sums: &mut Vec<i64>) {
        let rows = self.lengths.len();
        sums.clear();
        sums.resize(self.problem.parts.len() * (rows + 1), 0);
        for part in 0..self.problem.parts.len() {
            let at = part * (rows + 1);
            for row in (0..rows).rev() {
                let price = self.whole(prices[part * rows + row]);
                sums[at + row] = sums[at + row + 1].saturating_add(price).min(self.dearest);
            }
        }
    }
}

/// For each part and length, the most that can be of use in bars of that length or longer: what all those bars
/// take.
pub(super) fn of_use(problem: &Problem, lengths: &[u64]) -> Vec<u64> {
    let mut all = vec![0; problem.parts.len() * lengths.len()];
    for need in &problem.needs {
        for &(part, each) in &need.parts {
            for (row, length) in lengths.iter().enumerate() {
                all[part * lengths.len() + row] += each * need.slices.div_ceil(*length);
            }
        }
    }
    all
}

fn gives_of(pattern: &CutPattern, lengths: &[u64], of_use: &[u64]) -> Vec<Give> {
    let Some(first) = lengths.iter().position(|&l| l == pattern.slices) else {
        return vec![];
    };
    let mut gives = Vec::new();
    for (part, all) in pattern.gives() {
        let of_row = |row: usize| all.min(of_use[part * lengths.len() + row]);
        let mut from = first;
        while from < lengths.len() {
            let same = (from..lengths.len()).take_while(|&row| of_row(row) == of_row(from));
            let to = from + same.count();
            if of_row(from) > 0 {
                gives.push(Give {
                    part,
                    rows: (from, to),
                    count: i64::try_from(of_row(from)).unwrap_or(i64::MAX),
                });
            }
            from = to;
        }
    }
    gives
}

/// An area in fine parts.
pub(super) fn fine(area: u64) -> i64 {
    i64::try_from(area).unwrap_or(i64::MAX / FINE / 4) * FINE
}
