//! A first answer without a search: boards one after the other, always the one that gives most for
//! its area; then those that turn out to be of no use are put back, the largest first. The search
//! for the optimum starts from it, so that there is an answer whatever its limits.

use crate::plan::scraps::{Choice, Problem, Proof, Use, count_of, yielded};
use crate::watch;

/// A feasible answer, where this finds one. Nothing is short in it.
pub(super) fn first_answer(problem: &Problem) -> Option<Choice> {
    completed(problem, &[])
}

/// The same, where some ways are used so often to begin with, as far as the stock suffices.
pub(super) fn completed(problem: &Problem, begun: &[(usize, u64)]) -> Option<Choice> {
    let mut state = State::new(problem);
    for &(way, times) in begun {
        for _ in 0..times {
            if state.fits(way) {
                state.take(way);
            }
        }
    }
    loop {
        watch::ask();
        if state.open.iter().all(|&open| open <= 0.0) && state.bars().is_some() {
            break;
        }
        let way = state.best_way()?;
        state.take(way);
    }
    state.put_back();
    let bars = state.bars()?;
    Some(state.choice(bars))
}

/// The answer that takes nothing: every part is short.
pub(super) fn all_short(problem: &Problem) -> Choice {
    let bars: Vec<u64> = problem
        .needs
        .iter()
        .map(|need| need.slices.div_ceil(problem.full.max(1)))
        .collect();
    let short = (0..problem.parts.len())
        .map(|part| {
            let each = problem.needs.iter().map(|need| count_of(&need.parts, part));
            each.zip(&bars).map(|(each, bars)| each * bars).sum()
        })
        .collect();
    Choice {
        uses: vec![],
        boards: vec![0; problem.crosses.len()],
        bars: bars
            .iter()
            .map(|&bars| vec![(problem.full, bars)])
            .collect(),
        short,
        taken: 0,
        cut_up: 0,
        proof: Proof::Optimal,
        second_proof: Proof::Optimal,
    }
}

struct State<'a> {
    problem: &'a Problem,
    lengths: Vec<u64>,
    /// How many times each way is used.
    times: Vec<u64>,
    /// Blanks used of each manner of cutting across.
    blanks: Vec<u64>,
    /// Boards left of each lot.
    left: Vec<u64>,
    /// For each part, slices that are still missing (a strip counts as many as its bar gives).
    open: Vec<f64>,
    /// For each way and part: slices that one use gives.
    gains: Vec<Vec<(usize, f64)>>,
    /// For each part and length: parts made.
    made: Vec<Vec<u64>>,
}

impl<'a> State<'a> {
    fn new(problem: &'a Problem) -> Self {
        let parts = problem.parts.len();
        let lengths = problem.lengths();
        let gains = problem
            .ways
            .iter()
            .map(|way| {
                (0..parts)
                    .map(|part| {
                        let each: u64 = way.runs.iter().map(|r| r.most * yielded(r, part)).sum();
                        (part, (each * way.slices) as f64)
                    })
                    .filter(|(_, gain)| *gain > 0.0)
                    .collect()
            })
            .collect();
        let open = (0..parts)
            .map(|part| {
                let each = |n: &crate::plan::scraps::Need| count_of(&n.parts, part) * n.slices;
                problem.needs.iter().map(each).sum::<u64>() as f64
            })
            .collect();
        Self {
            made: vec![vec![0; lengths.len()]; parts],
            times: vec![0; problem.ways.len()],
            blanks: vec![0; problem.crosses.len()],
            left: problem
                .lots
                .iter()
                .map(|lot| lot.count.unwrap_or(u64::MAX))
                .collect(),
            problem,
            lengths,
            open,
            gains,
        }
    }

    /// The way that gives most of what is missing for its area. Where nothing is missing by the
    /// number of slices, but the lengths do not go together, that which gives most altogether.
    fn best_way(&self) -> Option<usize> {
        let enough = self.open.iter().all(|&open| open <= 0.0);
        let mut best: Option<(f64, usize)> = None;
        for (i, way) in self.problem.ways.iter().enumerate() {
            watch::ask();
            let cross = &self.problem.crosses[way.cross];
            if !self.fits(i) {
                continue;
            }
            let useful: f64 = self.gains[i]
                .iter()
                .map(|&(part, gain)| {
                    let counted = if enough {
                        gain
                    } else {
                        gain.min(self.open[part].max(0.0))
                    };
                    counted * self.problem.parts[part] as f64
                })
                .sum();
            let share = way.blanks as f64 / cross.blanks as f64;
            let rate = useful / (self.problem.lots[cross.lot].area.max(1) as f64 * share);
            if rate > 0.0 && best.is_none_or(|(b, _)| rate > b) {
                best = Some((rate, i));
            }
        }
        best.map(|(_, way)| way)
    }

    /// Whether there are boards to use a way once more.
    fn fits(&self, way: usize) -> bool {
        let way = &self.problem.ways[way];
        let more = self.boards_for(way.cross, way.blanks) - self.boards_for(way.cross, 0);
        self.left[self.problem.crosses[way.cross].lot] >= more
    }

    /// Boards that give the blanks used and so many more.
    fn boards_for(&self, cross: usize, more: u64) -> u64 {
        (self.blanks[cross] + more).div_ceil(self.problem.crosses[cross].blanks)
    }

    fn take(&mut self, way: usize) {
        self.change(way, true);
    }

    fn change(&mut self, i: usize, take: bool) {
        let way = &self.problem.ways[i];
        let sign = if take { 1.0 } else { -1.0 };
        for &(part, gain) in &self.gains[i] {
            self.open[part] -= sign * gain;
        }
        let at = self.lengths.iter().position(|&l| l == way.slices);
        let before = self.boards_for(way.cross, 0);
        if take {
            self.times[i] += 1;
            self.blanks[way.cross] += way.blanks;
        } else {
            self.times[i] -= 1;
            self.blanks[way.cross] -= way.blanks;
        }
        let after = self.boards_for(way.cross, 0);
        let left = &mut self.left[self.problem.crosses[way.cross].lot];
        *left = left.saturating_add(before).saturating_sub(after);
        let Some(at) = at else { return };
        for part in 0..self.made.len() {
            let each: u64 = way.runs.iter().map(|r| r.most * yielded(r, part)).sum();
            let made = &mut self.made[part][at];
            *made = if take { *made + each } else { *made - each };
        }
    }

    /// Puts back every board that is not needed, the largest first.
    fn put_back(&mut self) {
        let area = |s: &Self, i: usize| {
            let cross = &s.problem.crosses[s.problem.ways[i].cross];
            s.problem.lots[cross.lot].area / cross.blanks
        };
        let mut used: Vec<usize> = (0..self.times.len())
            .filter(|&i| self.times[i] > 0)
            .collect();
        used.sort_by(|&a, &b| area(self, b).cmp(&area(self, a)).then(a.cmp(&b)));
        for way in used {
            watch::ask();
            while self.times[way] > 0 {
                self.change(way, false);
                if self.bars().is_none() {
                    self.change(way, true);
                    break;
                }
            }
        }
    }

    /// Bars of each need at each length from the parts that are made, the longest first; none where
    /// they do not suffice.
    fn bars(&self) -> Option<Vec<Vec<(u64, u64)>>> {
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
                return None;
            }
            all.push(bars);
        }
        Some(all)
    }

    fn choice(&self, bars: Vec<Vec<(u64, u64)>>) -> Choice {
        let uses: Vec<Use> = self
            .times
            .iter()
            .enumerate()
            .filter(|(_, times)| **times > 0)
            .map(|(way, &times)| Use {
                way,
                times,
                strips: self.problem.ways[way]
                    .runs
                    .iter()
                    .map(|run| run.most * times)
                    .collect(),
            })
            .collect();
        let boards: Vec<u64> = (0..self.problem.crosses.len())
            .map(|cross| self.boards_for(cross, 0))
            .collect();
        let taken = self.problem.area(&boards);
        Choice {
            uses,
            boards,
            bars,
            short: vec![0; self.problem.parts.len()],
            taken,
            cut_up: 0,
            proof: Proof::Optimal,
            second_proof: Proof::Optimal,
        }
    }
}
