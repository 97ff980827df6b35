//! The cheapest bars for the slices of one need, where each length has its cost and its range: a
//! covering knapsack. A table solves it exactly while it is small; else its relaxation, in which
//! fractions of bars are allowed, gives a lower bound.

use crate::watch;

/// The table has steps times lengths entries; with more than these the relaxation is solved instead.
const TABLE: u64 = 30_000;

pub(super) struct Bars<'a> {
    pub slices: u64,
    /// Longest first.
    pub lengths: &'a [u64],
    /// The least and the most bars of each length.
    pub ranges: &'a [(u64, u64)],
    /// What one of each length costs; those that cost less than nothing are all taken.
    pub costs: &'a [i64],
}

impl Bars<'_> {
    fn step(&self) -> u64 {
        step(self.lengths)
    }

    /// Slices that are open beside the least bars of each length, in steps.
    fn open_steps(&self) -> u64 {
        let given: u64 = (0..self.lengths.len())
            .map(|at| self.least(at) * self.lengths[at])
            .sum();
        self.slices.saturating_sub(given).div_ceil(self.step())
    }

    fn least(&self, at: usize) -> u64 {
        let (least, most) = self.ranges[at];
        if self.costs[at] < 0 { most } else { least }
    }

    fn whole(&self) -> bool {
        self.slices.div_ceil(self.step()) * self.lengths.len() as u64 <= TABLE
    }
}

/// The work of the table for so many slices: at each step, 1, 2, 4 and so on bars of each length.
pub(super) fn work(slices: u64, lengths: &[u64]) -> u64 {
    let steps = slices.div_ceil(step(lengths));
    let whole = steps * lengths.len() as u64 <= TABLE;
    let each = |&length: &u64| u64::from(u64::BITS - slices.div_ceil(length).leading_zeros());
    lengths.iter().map(each).sum::<u64>() * if whole { steps } else { 1 }
}

/// The greatest common divisor of the lengths.
pub(super) fn step(lengths: &[u64]) -> u64 {
    lengths.iter().fold(0, |a, &b| gcd(a, b)).max(1)
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

fn as_steps(steps: u64) -> usize {
    usize::try_from(steps).unwrap_or(usize::MAX)
}

/// A cost above that of any answer: there is none.
const NEVER: i64 = i64::MAX / 4;

/// The least cost. `table` gets the least cost of every number of open steps (it stays empty for the relaxation),
/// `counts` how many bars of each length there are.
pub(super) fn cheapest(question: &Bars, table: &mut Vec<i64>, counts: &mut Vec<f64>) -> i128 {
    counts.clear();
    counts.extend((0..question.lengths.len()).map(|at| question.least(at) as f64));
    let fixed: i128 = (question.costs.iter().enumerate())
        .map(|(at, &cost)| i128::from(question.least(at)) * i128::from(cost))
        .sum();
    let steps = question.open_steps();
    table.clear();
    if !question.whole() {
        return fixed + cut(question, steps, counts);
    }
    let step = question.step();
    let steps = usize::try_from(steps).expect("invariant: bounded by the table");
    table.resize(steps + 1, NEVER);
    table[0] = 0;
    // So many bars of one length at a time: 1, 2, 4 and the rest.
    let mut taken: Vec<(usize, u64, Vec<bool>)> = Vec::new();
    for (at, &(_, most)) in question.ranges.iter().enumerate() {
        watch::ask();
        let least = question.least(at);
        let length = question.lengths[at] / step;
        let mut left = most
            .saturating_sub(least)
            .min((steps as u64).div_ceil(length));
        let mut some = 1;
        while left > 0 {
            let count = some.min(left);
            left -= count;
            some *= 2;
            let given = as_steps(count * length);
            let cost = question.costs[at].saturating_mul(i64::try_from(count).unwrap_or(i64::MAX));
            let mut better = vec![false; steps + 1];
            for i in (1..=steps).rev() {
                let with = table[i.saturating_sub(given)].saturating_add(cost);
                if with < table[i] {
                    table[i] = with;
                    better[i] = true;
                }
            }
            taken.push((at, count, better));
        }
    }
    let mut i = steps;
    for (at, count, better) in taken.iter().rev() {
        if better[i] {
            counts[*at] += *count as f64;
            i = i.saturating_sub(as_steps(count * question.lengths[*at] / step));
        }
    }
    fixed + i128::from(table[steps])
}

/// The least cost of the relaxation, rounded down.
fn cut(question: &Bars, steps: u64, counts: &mut [f64]) -> i128 {
    let mut order: Vec<usize> = (0..question.lengths.len()).collect();
    order.sort_by(|&a, &b| {
        let cost = |i: usize| i128::from(question.costs[i]);
        let length = |i: usize| i128::from(question.lengths[i]);
        (cost(a) * length(b))
            .cmp(&(cost(b) * length(a)))
            .then(a.cmp(&b))
    });
    let mut left = steps * question.step();
    let mut total = 0;
    for at in order {
        let (least, most) = (question.least(at), question.ranges[at].1);
        let length = question.lengths[at];
        let given = most.saturating_sub(least).saturating_mul(length).min(left);
        counts[at] += given as f64 / length as f64;
        total +=
            (i128::from(given) * i128::from(question.costs[at])).div_euclid(i128::from(length));
        left -= given;
        if left == 0 {
            return total;
        }
    }
    i128::from(NEVER)
}

/// Narrows the ranges to bars that add no more than `left` to the least cost.
pub(super) fn narrow(question: &Bars, table: &[i64], left: i128, ranges: &mut [(u64, u64)]) {
    let Some(&least) = table.last() else { return };
    let steps = table.len() - 1;
    let step = question.step();
    for (at, range) in ranges.iter_mut().enumerate() {
        if question.costs[at] < 0 {
            continue;
        }
        let length = question.lengths[at] / step;
        let adds = |more: u64| {
            let given = as_steps(more * length);
            i128::from(more) * i128::from(question.costs[at])
                + i128::from(table[steps.saturating_sub(given)])
                - i128::from(least)
        };
        // Bars beyond those that close what is open are of no use.
        let of_use = (range.1 - range.0).min((steps as u64).div_ceil(length));
        let most = (1..=of_use).take_while(|&more| adds(more) <= left).count() as u64;
        range.1 = range.0 + most;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The least cost by trying all counts.
    fn tried(question: &Bars, at: usize, slices: u64, cost: i64) -> Option<i64> {
        if at == question.lengths.len() {
            return (slices >= question.slices).then_some(cost);
        }
        (question.ranges[at].0..=question.ranges[at].1)
            .filter_map(|count| {
                let slices = slices + count * question.lengths[at];
                let cost = cost + question.costs[at] * i64::try_from(count).ok()?;
                tried(question, at + 1, slices, cost)
            })
            .min()
    }

    #[test]
    fn the_cheapest_bars_are_those_of_trying_all() {
        let lengths = [9, 7, 4];
        for costs in [[9, 7, 4], [12, 7, 3], [5, 6, 4], [3, -2, 1]] {
            for ranges in [[(0, 3), (0, 4), (0, 6)], [(1, 3), (0, 1), (2, 2)]] {
                for slices in 1..30 {
                    let question = Bars {
                        slices,
                        lengths: &lengths,
                        ranges: &ranges,
                        costs: &costs,
                    };
                    let (mut table, mut counts) = (vec![], vec![]);
                    let cost = cheapest(&question, &mut table, &mut counts);
                    let least = tried(&question, 0, 0, 0);
                    assert_eq!(least.map(i128::from), (cost < 1000).then_some(cost));
                    if let Some(least) = least {
                        let told: f64 = counts.iter().zip(costs).map(|(n, c)| n * c as f64).sum();
                        assert!((told - least as f64).abs() < 1e-9);
                        let mut narrowed = ranges;
                        narrow(&question, &table, 0, &mut narrowed);
                        let again = Bars {
                            ranges: &narrowed,
                            ..question
                        };
                        assert_eq!(tried(&again, 0, 0, 0), Some(least));
                    }
                }
            }
        }
    }
}
