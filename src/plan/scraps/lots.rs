//! One lot in the relaxed problem ([`super::relaxed`]): which of its boards pay at some prices, and what
//! each of its patterns would add to the cost.

use crate::plan::scraps::{
    leeway::Range,
    relaxed::{Evaluation, Relaxation, fine},
};
use crate::watch;

impl Relaxation<'_> {
    /// The least that the boards of a lot cost, less what their strips are worth.
    pub(super) fn of_lot(
        &self,
        patterns: &[Range],
        at: (usize, usize),
        evaluation: &mut Evaluation,
    ) -> i128 {
        let lot = self.lot_of(patterns[at.0].pattern);
        let single = self.problem.lots[lot].count == Some(1)
            && patterns[at.0..at.1].iter().all(|r| {
                let pattern = &self.problem.patterns[r.pattern];
                pattern.blanks == 1 && self.problem.crosses[pattern.cross].blanks == 1
            });
        if single {
            self.of_single(lot, patterns, at, evaluation)
        } else {
            self.of_several(lot, patterns, at, evaluation)
        }
    }

    /// A lot of a single board: one pattern is used at most.
    fn of_single(
        &self,
        lot: usize,
        patterns: &[Range],
        at: (usize, usize),
        evaluation: &mut Evaluation,
    ) -> i128 {
        let area = fine(self.problem.lots[lot].area);
        if let Some(i) = (at.0..at.1).find(|&i| patterns[i].least > 0) {
            evaluation.times[i] = 1.0;
            return i128::from(area - evaluation.worth[i]);
        }
        let best = (at.0..at.1)
            .filter(|&i| patterns[i].most > 0)
            .max_by_key(|&i| evaluation.worth[i]);
        let Some(best) = best else { return 0 };
        let gain = (evaluation.worth[best] - area).max(0);
        if gain > 0 {
            evaluation.times[best] = 1.0;
        }
        for i in at.0..at.1 {
            watch::ask();
            evaluation.regrets[i] = area + gain - evaluation.worth[i];
            evaluation.missed[i] = gain;
        }
        -i128::from(gain)
    }

    /// Any other lot, as a linear programme. Its bound is the value of a dual solution; any dual solution gives a
    /// bound, so the choice of one may be rounded.
    fn of_several(
        &self,
        lot: usize,
        patterns: &[Range],
        at: (usize, usize),
        evaluation: &mut Evaluation,
    ) -> i128 {
        let area = fine(self.problem.lots[lot].area);
        let cross = |i: usize| self.problem.patterns[patterns[i].pattern].cross;
        let of_board = |i: usize| signed(self.problem.crosses[cross(i)].blanks);
        let each = |i: usize| signed(self.problem.patterns[patterns[i].pattern].blanks);
        let room = |i: usize| signed(patterns[i].most - patterns[i].least);
        let mut value = 0_i128;
        // Boards that are taken already, and what of their blanks is free.
        let mut taken = 0;
        let mut free: Vec<(usize, i64)> = Vec::new();
        let mut i = at.0;
        while i < at.1 {
            let this = cross(i);
            let mut blanks = 0;
            let first = i;
            while i < at.1 && cross(i) == this {
                blanks += signed(patterns[i].least) * each(i);
                value -= i128::from(evaluation.worth[i]) * i128::from(patterns[i].least);
                evaluation.times[i] = patterns[i].least as f64;
                i += 1;
            }
            let boards = blanks.div_euclid(of_board(first))
                + i64::from(blanks.rem_euclid(of_board(first)) > 0);
            taken += boards;
            free.push((first, boards * of_board(first) - blanks));
        }
        value += i128::from(area) * i128::from(taken);
        let left = self.problem.lots[lot].count.map(|c| signed(c) - taken);
        if left.is_some_and(|l| l < 0) {
            return i128::from(i64::MAX) << 8;
        }
        // Free blanks first, then boards, each for what is worth most by the blank.
        let mut order: Vec<usize> = (at.0..at.1).filter(|&i| room(i) > 0).collect();
        order.sort_by(|&a, &b| {
            let rate = |i: usize| i128::from(evaluation.worth[i]);
            (rate(b) * i128::from(each(a)))
                .cmp(&(rate(a) * i128::from(each(b))))
                .then(a.cmp(&b))
        });
        let mut rest: Vec<(usize, f64)> = Vec::new();
        let mut marginal: Vec<i64> = vec![0; free.len()];
        for (group, &(first, blanks)) in free.iter().enumerate() {
            watch::ask();
            let mut blanks = blanks as f64;
            for &i in order.iter().filter(|&&i| cross(i) == cross(first)) {
                if evaluation.worth[i] <= 0 {
                    continue;
                }
                let fits = (blanks / each(i) as f64).min(room(i) as f64);
                evaluation.times[i] += fits;
                blanks -= fits * each(i) as f64;
                let more = room(i) as f64 - fits;
                if more > 1e-9 {
                    marginal[group] = marginal[group].max(evaluation.worth[i] / each(i));
                    rest.push((i, more));
                }
            }
        }
        let gain = |i: usize| {
            let boards = i128::from(evaluation.worth[i]) * i128::from(of_board(i));
            i64::try_from(boards.div_euclid(i128::from(each(i)))).unwrap_or(i64::MAX / 4) - area
        };
        rest.sort_by(|a, b| gain(b.0).cmp(&gain(a.0)).then(a.0.cmp(&b.0)));
        let mut boards = left.map_or(f64::INFINITY, |l| l as f64);
        let mut price = 0;
        for (i, more) in rest {
            if gain(i) <= 0 {
                break;
            }
            let wants = more * each(i) as f64 / of_board(i) as f64;
            let gets = wants.min(boards);
            evaluation.times[i] += gets * of_board(i) as f64 / each(i) as f64;
            boards -= gets;
            if wants > gets + 1e-9 {
                price = gain(i);
                break;
            }
        }
        value -= i128::from(price) * i128::from(left.unwrap_or(0));
        if left.is_none() {
            price = 0;
        }
        for (&(first, blanks), &marginal) in free.iter().zip(&marginal) {
            let most = (area + price).div_euclid(of_board(first));
            let blank = if blanks > 0 { most.min(marginal) } else { most };
            value -= i128::from(blank) * i128::from(blanks);
            for i in (at.0..at.1).filter(|&i| cross(i) == cross(first)) {
                let regret = each(i) * blank - evaluation.worth[i];
                evaluation.regrets[i] = regret;
                if regret < 0 {
                    value += i128::from(regret) * i128::from(room(i));
                }
            }
        }
        value
    }
}

/// Counts of boards and blanks are far below the limit; a larger one is as good as no limit.
fn signed(count: u64) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX).min(1 << 40)
}
