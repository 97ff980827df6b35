//! A first answer without a search: boards are taken one after the other, always the one that gives most
//! for its area, until nothing is missing or the stock is used up; then boards that turn out not to be
//! needed are put back, the largest first, and strips that no bar needs are left out. The search for the
//! optimum starts from it, so that there is an answer whatever its limits.

use crate::plan::scraps::{Choice, CutPattern, Problem, Proof, Use, total};
use crate::watch;

/// How many patterns may be taken that do not help by themselves. Bounds the loop where sheets can be bought
/// without a limit.
const MOST_IN_HOPE: u32 = 100;

/// A complete answer that begins with the patterns of `begun`, each so many times as far as the stock suffices.
/// What the stock does not give is short in it.
pub(super) fn completed(problem: &Problem, begun: &[(usize, u64)]) -> Choice {
    let mut state = PartialChoice::new(problem);
    for &(pattern, times) in begun {
        for _ in 0..times {
            watch::ask();
            if state.fits(pattern) {
                state.take(pattern);
            }
        }
    }
    let mut in_hope = 0;
    loop {
        watch::ask();
        let mut open = state.open.clone();
        if open.iter().all(|&open| open <= 0.0) {
            // There are enough slices, but perhaps not of lengths that make up bars.
            let bars = state.bars();
            if bars.suffice() {
                break;
            }
            for (open, short) in open.iter_mut().zip(&bars.short) {
                *open = (short * problem.full) as f64;
            }
            if state.take_what_helps(&open, total(&bars.short, &problem.parts)) {
                continue;
            }
            // A pattern that does not help by itself may help together with the next one.
            in_hope += 1;
            if in_hope > MOST_IN_HOPE {
                break;
            }
        }
        let Some(pattern) = state.best_pattern(&open, |_| true) else {
            break;
        };
        state.take(pattern);
    }
    state.put_back();
    state.choice()
}

/// Bars from the parts that are made, and those that are missing.
struct Glued {
    /// Of each need at each length, the longest first.
    bars: Vec<Vec<(u64, u64)>>,
    short: Vec<u64>,
    /// For each part and length, what no bar takes of those of that length or longer.
    left: Vec<Vec<u64>>,
}

impl Glued {
    fn suffice(&self) -> bool {
        self.short.iter().all(|&s| s == 0)
    }
}

struct PartialChoice<'a> {
    problem: &'a Problem,
    lengths: Vec<u64>,
    /// How many times each pattern is used.
    times: Vec<u64>,
    /// Blanks used of each manner of cutting across.
    blanks: Vec<u64>,
    /// Boards left of each lot.
    left: Vec<u64>,
    /// For each part, slices that are still missing (a strip counts as many as its bar gives).
    open: Vec<f64>,
    /// For each pattern: the parts that one use gives.
    gains: Vec<Vec<(usize, u64)>>,
    /// For each part and length: parts made.
    made: Vec<Vec<u64>>,
}

impl<'a> PartialChoice<'a> {
    fn new(problem: &'a Problem) -> Self {
        let parts = problem.parts.len();
        let lengths = problem.lengths();
        let mut open = vec![0.0; parts];
        for need in &problem.needs {
            for &(part, each) in &need.parts {
                open[part] += (each * need.slices) as f64;
            }
        }
        Self {
            made: vec![vec![0; lengths.len()]; parts],
            times: vec![0; problem.patterns.len()],
            blanks: vec![0; problem.crosses.len()],
            left: problem
                .lots
                .iter()
                .map(|lot| lot.count.unwrap_or(u64::MAX))
                .collect(),
            problem,
            lengths,
            open,
            gains: problem.patterns.iter().map(CutPattern::gives).collect(),
        }
    }

    /// Takes patterns until less is missing than `missing` (the wood of the parts that bars lack), and says whether there
    /// were such: the best of all for what is open, or else of those as long as the longest bar, as what is missing is
    /// counted at that length. A bar of several parts may need several patterns.
    fn take_what_helps(&mut self, open: &[f64], missing: u64) -> bool {
        let full = self.problem.full;
        for only_full in [false, true] {
            let mut open = open.to_vec();
            let mut taken = Vec::new();
            while let Some(pattern) =
                self.best_pattern(&open, |pattern| !only_full || pattern.slices == full)
            {
                self.take(pattern);
                taken.push(pattern);
                if total(&self.bars().short, &self.problem.parts) < missing {
                    return true;
                }
                for &(part, count) in &self.gains[pattern] {
                    open[part] -= (count * self.problem.patterns[pattern].slices) as f64;
                }
            }
            for pattern in taken.into_iter().rev() {
                self.change(pattern, false);
            }
        }
        false
    }

    /// The pattern that gives most of what is open for its area, of some.
    fn best_pattern(&self, open: &[f64], of: impl Fn(&CutPattern) -> bool) -> Option<usize> {
        let mut best: Option<(f64, usize)> = None;
        for (i, pattern) in self.problem.patterns.iter().enumerate() {
            watch::ask();
            let cross = &self.problem.crosses[pattern.cross];
            if !of(pattern) || !self.fits(i) {
                continue;
            }
            let useful: f64 = self.gains[i]
                .iter()
                .map(|&(part, count)| {
                    let gain = (count * pattern.slices) as f64;
                    let counted = gain.min(open[part].max(0.0));
                    counted * self.problem.parts[part] as f64
                })
                .sum();
            let share = pattern.blanks as f64 / cross.blanks as f64;
            let rate = useful / (self.problem.lots[cross.lot].area.max(1) as f64 * share);
            if rate > 0.0 && best.is_none_or(|(b, _)| rate > b) {
                best = Some((rate, i));
            }
        }
        best.map(|(_, pattern)| pattern)
    }

    /// Whether there are boards to use a pattern once more.
    fn fits(&self, pattern: usize) -> bool {
        let pattern = &self.problem.patterns[pattern];
        let more =
            self.boards_for(pattern.cross, pattern.blanks) - self.boards_for(pattern.cross, 0);
        self.left[self.problem.crosses[pattern.cross].lot] >= more
    }

    /// Boards that give the blanks used and so many more.
    fn boards_for(&self, cross: usize, more: u64) -> u64 {
        (self.blanks[cross] + more).div_ceil(self.problem.crosses[cross].blanks)
    }

    fn take(&mut self, pattern: usize) {
        self.change(pattern, true);
    }

    fn change(&mut self, i: usize, take: bool) {
        let pattern = &self.problem.patterns[i];
        let sign = if take { 1.0 } else { -1.0 };
        for &(part, count) in &self.gains[i] {
            self.open[part] -= sign * (count * pattern.slices) as f64;
        }
        let at = self.lengths.iter().position(|&l| l == pattern.slices);
        let before = self.boards_for(pattern.cross, 0);
        if take {
            self.times[i] += 1;
            self.blanks[pattern.cross] += pattern.blanks;
        } else {
            self.times[i] -= 1;
            self.blanks[pattern.cross] -= pattern.blanks;
        }
        let after = self.boards_for(pattern.cross, 0);
        let left = &mut self.left[self.problem.crosses[pattern.cross].lot];
        *left = left.saturating_add(before).saturating_sub(after);
        let Some(at) = at else { return };
        for &(part, each) in &self.gains[i] {
            let made = &mut self.made[part][at];
            *made = if take { *made + each } else { *made - each };
        }
    }

    /// Puts back every board that is not needed, the largest first.
    fn put_back(&mut self) {
        let missing = |s: &Self| total(&s.bars().short, &s.problem.parts);
        let before = missing(self);
        let area = |s: &Self, i: usize| {
            let cross = &s.problem.crosses[s.problem.patterns[i].cross];
            s.problem.lots[cross.lot].area / cross.blanks
        };
        let mut used: Vec<usize> = (0..self.times.len())
            .filter(|&i| self.times[i] > 0)
            .collect();
        used.sort_by(|&a, &b| area(self, b).cmp(&area(self, a)).then(a.cmp(&b)));
        for pattern in used {
            watch::ask();
            while self.times[pattern] > 0 {
                self.change(pattern, false);
                if missing(self) > before {
                    self.change(pattern, true);
                    break;
                }
            }
        }
    }

    /// Bars of each need at each length from the parts that are made, the longest first; what is open then
    /// is made of the longest bars, for which parts are missing.
    fn bars(&self) -> Glued {
        // What is left of the parts of each length or longer.
        let mut left: Vec<Vec<u64>> = self
            .made
            .iter()
            .map(|made| {
                let mut sum = 0;
                made.iter()
                    .map(|count| {
                        sum += count;
                        sum
                    })
                    .collect()
            })
            .collect();
        let mut all = Vec::new();
        let mut short = vec![0; self.problem.parts.len()];
        let full = (self.lengths.iter().position(|&l| l == self.problem.full)).unwrap_or(0);
        for need in &self.problem.needs {
            watch::ask();
            let mut open = need.slices;
            let mut bars = Vec::new();
            for (at, &length) in self.lengths.iter().enumerate() {
                if open == 0 {
                    break;
                }
                let able = need
                    .parts
                    .iter()
                    .filter(|(_, each)| *each > 0)
                    .map(|&(part, each)| {
                        // Longer parts that are spoken for by longer bars are not in it, and parts
                        // taken here must not be missed by shorter bars: all sums from here on.
                        left[part][at..].iter().min().copied().unwrap_or(0) / each
                    })
                    .min()
                    .unwrap_or(u64::MAX);
                let count = able.min(open.div_ceil(length));
                if count == 0 {
                    continue;
                }
                for &(part, each) in &need.parts {
                    for sum in &mut left[part][at..] {
                        *sum -= each * count;
                    }
                }
                open = open.saturating_sub(count * length);
                bars.push((length, count));
            }
            if open > 0 {
                let more = open.div_ceil(self.problem.full.max(1));
                for &(part, each) in &need.parts {
                    let of_part = &mut left[part][full..];
                    let have = of_part.iter().min().copied().unwrap_or(0);
                    let missing = (each * more).saturating_sub(have);
                    short[part] += missing;
                    for sum in of_part {
                        *sum = *sum + missing - each * more;
                    }
                }
                match bars.iter_mut().find(|(n, _)| *n == self.problem.full) {
                    Some((_, count)) => *count += more,
                    None => bars.push((self.problem.full, more)),
                }
                bars.sort_unstable_by(|a, b| b.cmp(a));
            }
            all.push(bars);
        }
        Glued {
            bars: all,
            short,
            left,
        }
    }

    fn choice(&self) -> Choice {
        let Glued {
            bars,
            short,
            mut left,
        } = self.bars();
        let mut uses = Vec::new();
        let mut cut_up = 0;
        for (at, &times) in self.times.iter().enumerate().filter(|(_, t)| **t > 0) {
            let pattern = &self.problem.patterns[at];
            let row = self.lengths.iter().position(|&l| l == pattern.slices);
            let mut strips = Vec::new();
            cut_up += times * pattern.edges;
            for run in &pattern.runs {
                let all = run.most * times;
                let idle = run.yields.iter().filter(|(_, each)| *each > 0);
                let idle = idle.map(|&(part, each)| {
                    let of_part = left[part][row.unwrap_or(0)..].iter();
                    of_part.min().copied().unwrap_or(0) / each
                });
                let dropped = idle.min().unwrap_or(0).min(all);
                for &(part, each) in &run.yields {
                    for sum in &mut left[part][row.unwrap_or(0)..] {
                        *sum -= dropped * each;
                    }
                }
                cut_up += (all - dropped) * run.width;
                strips.push(all - dropped);
            }
            uses.push(Use {
                pattern: at,
                times,
                strips,
            });
        }
        let boards: Vec<u64> = (0..self.problem.crosses.len())
            .map(|cross| self.boards_for(cross, 0))
            .collect();
        let taken = self.problem.area(&boards);
        Choice {
            uses,
            boards,
            bars,
            short,
            taken,
            cut_up,
            proof: Proof::AtLeast(0),
            second_proof: Proof::AtLeast(0),
        }
    }
}
