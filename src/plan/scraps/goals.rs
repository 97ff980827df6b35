//! The least stock, sought below a goal that is raised step by step from what prices prove.
//!
//! Below a goal a little above the bound, most patterns and bars are ruled out by their regrets
//! ([`super::relaxed`]), so the programme that is left is small, and rows of [`super::cutting_planes`] make it
//! tight. Where it has no answer, none takes less than the goal: the bound rises, and so does the
//! goal. The first answer that is proven least of such a programme is the least of all.
//!
//! Limits are counted in nodes and in patterns, not in seconds.

use crate::plan::scraps::{
    Choice, ChoiceError, Effort, Problem, Proof,
    cutting_planes::{self, DecisionVariable},
    greedy,
    leeway::{Open, Parts},
    milp::{Aim, ModelOptions, whole},
    relaxed::{Evaluation, FINE, Relaxation},
    run::{Found, SearchOutcome, in_parts, is_large, run},
    subgradient::{self, Climb, climb},
};
use crate::watch;

/// With fewer nodes than this, one plain search is all that is tried.
const WORTHWHILE: u64 = 200;
/// A problem of at most this many patterns goes to the solver whole, before any goal is set.
const SMALL: usize = 40;
/// A problem of at most this many patterns goes to the solver whole when the goals end without a proof.
const MIDDLING: usize = 300;
/// How many points the climb to good prices looks at: a base, and an addition for each price.
const LOOKS: (u64, u64) = (100, 12);
/// The most points that a climb looks at.
const MOST_LOOKS: u64 = 600;
/// So much work of a climb counts for a node.
const WORK_OF_NODE: u64 = 100_000;
/// The first goal lies above the bound by this fraction of it (1 / 400).
const FIRST: u64 = 400;
/// Rounds of added rows take time by the patterns that are open: so many count as one.
const FEW: u64 = 250;
/// A programme gets this fraction (1 / 4) of the nodes of a search; when they are spent, what is open is
/// split in two.
const PROGRAMMES: u64 = 4;
/// How many nodes one round of added rows counts for.
const ROUND: u64 = 8;
/// The nodes of the whole work, as a multiple of those of one search.
const SEARCHES: u64 = 3;
/// The search stops when more patterns than this are open.
const MOST: usize = 3000;
/// While the best answer lies above a goal by more than this fraction of it (1 / 30), answers above the
/// goal are tried too.
const FAR: u64 = 30;
/// How many answers above a goal are tried after the search has stopped.
const LAST: usize = 3;
/// Answers above a goal are tried only while this many patterns are open, at least and at most.
const FEWEST: usize = 10;
/// See [`FEWEST`].
const CORE: usize = 700;
/// While at most this many patterns are open, a higher goal is no more work, so the goal is raised.
const LITTLE: usize = 30;
/// The most rounds of rows that are added before a split.
const ROUNDS: usize = 20;
/// The most rounds of rows after a split.
const FEWER: usize = 5;
/// The most rows that one round adds.
const ROWS: usize = 8;

/// The least stock for all parts; none where there is no answer, or none was found. It starts from
/// an answer, where there is one.
pub(super) fn least_stock(
    problem: &Problem,
    effort: Effort,
    start: Option<&Choice>,
) -> Result<Option<Found>, ChoiceError> {
    let little = effort.nodes < WORTHWHILE;
    if problem.patterns.len() <= SMALL || little {
        match run(problem, ModelOptions::of(Aim::Taken), effort.nodes, start)? {
            SearchOutcome::Nothing => return Ok(None),
            SearchOutcome::Found(found) if little || found.proof == Proof::Optimal => {
                return Ok(Some(found));
            }
            SearchOutcome::Stopped if little => {
                return Ok(start.map(|start| Found {
                    choice: start.clone(),
                    proof: Proof::AtLeast(0),
                }));
            }
            _ => {}
        }
    }
    let relaxation = Relaxation::new(problem);
    let mut search = Search {
        relaxation: &relaxation,
        best: start.cloned(),
        evaluation: Evaluation::default(),
        likely: Vec::new(),
        left: effort.nodes.saturating_mul(SEARCHES),
        nodes: (effort.nodes / PROGRAMMES).max(1),
    };
    let open = relaxation.all();
    let prices = search.prices(&open, &relaxation.guess(), 0.3);
    let first = up(search.evaluation.value);
    let likely = search.likely.clone();
    search.round(&open, &likely);
    let mut bound = first;
    let mut above = first / FIRST + 1;
    loop {
        watch::ask();
        let taken = search.best.as_ref().map_or(u64::MAX, |b| b.taken);
        if taken <= bound {
            break;
        }
        let most = problem.most_area().min(taken - 1);
        let mut goal = first.saturating_add(above).min(most);
        // While few patterns are open.
        while goal < most && search.open_below(goal, &open, &prices) <= LITTLE {
            watch::ask();
            above = above.saturating_add(above / 2 + 1);
            goal = first.saturating_add(above).min(most);
        }
        let reached = search.below(goal, open.clone(), prices.clone(), 0)?;
        search.try_above(goal, open.clone(), &prices)?;
        let taken = search.best.as_ref().map_or(u64::MAX, |b| b.taken);
        bound = bound.max(reached.unwrap_or(goal + 1).min(taken));
        if reached.is_some() {
            search.try_last(first, above, &open, &prices)?;
            break;
        }
        if goal >= problem.most_area() {
            break;
        }
        above = above.saturating_add(above / 2 + 1);
    }
    let proven = |best: &Option<Choice>| best.as_ref().is_some_and(|b| b.taken <= bound);
    if !proven(&search.best) && problem.patterns.len() <= MIDDLING {
        // One search of the whole proves what goals do not, now and then.
        let whole = run(
            problem,
            ModelOptions::of(Aim::Taken),
            effort.nodes,
            search.best.as_ref(),
        )?;
        if let SearchOutcome::Found(found) = whole {
            bound = bound.max(match found.proof {
                Proof::Optimal => found.choice.taken,
                Proof::AtLeast(least) => least,
                Proof::ForTheseBoards => 0,
            });
            search.take(found.choice);
        }
    }
    Ok(search.best.map(|choice| Found {
        proof: if choice.taken <= bound {
            Proof::Optimal
        } else {
            Proof::AtLeast(bound)
        },
        choice,
    }))
}

struct Search<'a> {
    relaxation: &'a Relaxation<'a>,
    /// Nodes that are left.
    left: u64,
    /// Nodes of one programme.
    nodes: u64,
    best: Option<Choice>,
    evaluation: Evaluation,
    /// How often each open pattern was used of late, while the prices were sought.
    likely: Vec<f64>,
}

impl Search<'_> {
    /// Good prices for what is open; [`Self::evaluation`] is then what they come to.
    fn prices(&mut self, open: &Open, start: &[f64], step: f64) -> Vec<f64> {
        let relaxation = self.relaxation;
        let usual = relaxation.usual(&open.cuts);
        let units: Vec<f64> = usual
            .iter()
            .zip(start)
            .map(|(usual, start)| start.max(0.05 * usual))
            .collect();
        let looks = LOOKS.0 + LOOKS.1 * start.len() as u64;
        let how = Climb {
            step,
            looks: subgradient::looks(relaxation.work(start.len()), looks.min(MOST_LOOKS))
                .min(self.nodes.saturating_mul(5)),
        };
        let (evaluation, likely) = (&mut self.evaluation, &mut self.likely);
        likely.clear();
        likely.resize(open.patterns.len(), 0.0);
        let prices = climb(start, &units, &how, |prices, slope| {
            relaxation.evaluate(prices, open, evaluation, slope);
            for (mean, now) in likely.iter_mut().zip(&evaluation.times) {
                *mean += 0.1 * (now - *mean);
            }
            evaluation.value as f64
        });
        let work = how.looks * relaxation.work(start.len());
        let spent = (how.looks / 20).max(work / WORK_OF_NODE);
        self.left = self.left.saturating_sub(spent);
        self.evaluate(open, &prices);
        prices
    }

    fn evaluate(&mut self, open: &Open, prices: &[f64]) {
        let mut slope = vec![0.0; prices.len()];
        self.relaxation
            .evaluate(prices, open, &mut self.evaluation, &mut slope);
    }

    /// Narrows what is open to what can lie below the goal.
    fn narrow(&mut self, open: &mut Open, prices: &[f64], goal: u64) -> bool {
        self.evaluate(open, prices);
        self.relaxation.narrow(open, &self.evaluation, goal)
    }

    /// How many patterns are open below a goal.
    fn open_below(&mut self, goal: u64, open: &Open, prices: &[f64]) -> usize {
        let mut open = open.clone();
        if self.narrow(&mut open, prices, goal) {
            open.patterns.len()
        } else {
            0
        }
    }

    /// The goal, or what is just better than the best answer.
    fn goal(&self, goal: u64) -> u64 {
        let best = self.best.as_ref().map(|b| b.taken.saturating_sub(1));
        goal.min(best.unwrap_or(u64::MAX))
    }

    /// Seeks the best answer up to a goal among what is open. None where there is no better one than
    /// the best that is known now; else the search stopped, and none takes less than this.
    fn below(
        &mut self,
        goal: u64,
        mut open: Open,
        mut prices: Vec<f64>,
        depth: u32,
    ) -> Result<Option<u64>, ChoiceError> {
        // Each time that it gets narrower, the same prices can prove more.
        for _ in 0..3 {
            if !self.narrow(&mut open, &prices, self.goal(goal)) {
                return Ok(None);
            }
        }
        let first = up(self.evaluation.value);
        let large = is_large(self.relaxation.problem, open.patterns.len());
        if open.patterns.len() > MOST || large || self.left == 0 {
            return Ok(Some(first));
        }
        let parts = self.tightened(&mut open, if depth == 0 { ROUNDS } else { FEWER });
        prices.resize(self.relaxation.usual(&open.cuts).len(), 0.0);
        prices = self.prices(&open, &prices, 0.2);
        if let Some(parts) = &parts {
            self.round(&open, &parts.times);
        }
        self.drop_idle(&mut open, &mut prices);
        for _ in 0..2 {
            if !self.narrow(&mut open, &prices, self.goal(goal)) {
                return Ok(None);
            }
        }
        let bound = up(self.evaluation.value).max(first);
        let asked = ModelOptions {
            open: Some(&open),
            goal: Some(self.goal(goal)),
            ..ModelOptions::of(Aim::Taken)
        };
        match run(self.relaxation.problem, asked, self.nodes, None)? {
            SearchOutcome::Nothing => return Ok(None),
            SearchOutcome::Stopped => {}
            SearchOutcome::Found(found) => {
                let proven = found.proof == Proof::Optimal;
                if self.take(found.choice) && proven {
                    return Ok(None);
                }
            }
        }
        self.left = self.left.saturating_sub(self.nodes);
        let Some((low, high)) = self.split(&open) else {
            return Ok(Some(bound));
        };
        let low = self.below(goal, low, prices.clone(), depth + 1)?;
        let high = self.below(goal, high, prices, depth + 1)?;
        let least = [low, high].into_iter().flatten().min();
        Ok(least.map(|least| least.max(bound)))
    }

    /// Where the best answer lies far above a goal: tries for one above it, of what is most likely.
    fn try_above(&mut self, goal: u64, mut open: Open, prices: &[f64]) -> Result<(), ChoiceError> {
        let far = goal.saturating_add(goal / FAR);
        if self.best.as_ref().is_some_and(|b| b.taken <= far)
            || !self.narrow(&mut open, prices, goal)
        {
            return Ok(());
        }
        let patterns = open.patterns.len();
        if !(FEWEST..=CORE).contains(&patterns) {
            return Ok(());
        }
        let asked = ModelOptions {
            open: Some(&open),
            ..ModelOptions::of(Aim::Taken)
        };
        self.left = self.left.saturating_sub(self.nodes);
        if let SearchOutcome::Found(found) = run(self.relaxation.problem, asked, self.nodes, None)?
        {
            self.take(found.choice);
        }
        Ok(())
    }

    /// When the search has stopped: a few tries further above the bound.
    fn try_last(
        &mut self,
        first: u64,
        mut above: u64,
        open: &Open,
        prices: &[f64],
    ) -> Result<(), ChoiceError> {
        for _ in 0..LAST {
            watch::ask();
            above = above.saturating_add(above / 2 + 1);
            self.try_above(first.saturating_add(above), open.clone(), prices)?;
        }
        Ok(())
    }

    /// Adds rows that the answer in parts of boards breaks; the last of these answers.
    fn tightened(&mut self, open: &mut Open, rounds: usize) -> Option<Parts> {
        let mut last = None;
        for _ in 0..rounds.min(usize::try_from(self.nodes / 5).unwrap_or(rounds)) {
            watch::ask();
            let parts = in_parts(self.relaxation.problem, open)?;
            let mut more = cutting_planes::broken(self.relaxation, open, &parts, ROWS);
            last = Some(parts);
            self.left = self
                .left
                .saturating_sub(ROUND * open.patterns.len() as u64 / FEW);
            if more.is_empty() {
                break;
            }
            open.cuts.append(&mut more);
        }
        last
    }

    /// Takes out rows without a price.
    fn drop_idle(&self, open: &mut Open, prices: &mut Vec<f64>) {
        let usual = self.relaxation.usual(&open.cuts);
        let rows = usual.len() - open.cuts.len();
        let keep: Vec<bool> = (rows..usual.len())
            .map(|i| prices[i] > 1e-4 * usual[i])
            .collect();
        let mut kept = keep.iter();
        open.cuts.retain(|_| *kept.next().unwrap_or(&true));
        let mut kept = [vec![true; rows], keep].concat().into_iter();
        prices.retain(|_| kept.next().unwrap_or(true));
    }

    /// Splits what is open where an answer in parts of boards is most in doubt, by its area.
    fn split(&self, open: &Open) -> Option<(Open, Open)> {
        let problem = self.relaxation.problem;
        let parts = in_parts(problem, open)?;
        let doubt = |times: f64, range: (u64, u64)| {
            let at = times.floor().clamp(range.0 as f64, range.1 as f64 - 1.0);
            let part = (times - at).clamp(0.0, 1.0);
            (part.min(1.0 - part) + 1e-3, whole(at))
        };
        let mut best: Option<(f64, DecisionVariable, u64)> = None;
        let mut offer = |score: f64, variable: DecisionVariable, at: u64| {
            if best.as_ref().is_none_or(|(b, _, _)| score > *b) {
                best = Some((score, variable, at));
            }
        };
        for (i, range) in open.patterns.iter().enumerate() {
            if range.least < range.most {
                let (part, at) = doubt(parts.times[i], (range.least, range.most));
                let area = problem.lots[self.relaxation.lot_of(range.pattern)].area;
                offer(part * area as f64, DecisionVariable::CutPattern(i), at);
            }
        }
        for (need, ranges) in open.bars.iter().enumerate() {
            for (length, &range) in ranges.iter().enumerate() {
                if range.0 < range.1 {
                    let (part, at) = doubt(parts.bars[need][length], range);
                    let cost = self.evaluation.costs[need][length] as f64 / FINE as f64;
                    offer(part * cost, DecisionVariable::Bar(need, length), at);
                }
            }
        }
        let (_, variable, at) = best?;
        let (mut low, mut high) = (open.clone(), open.clone());
        match variable {
            DecisionVariable::CutPattern(i) => {
                low.patterns[i].most = at;
                high.patterns[i].least = at + 1;
            }
            DecisionVariable::Bar(need, length) => {
                low.bars[need][length].1 = at;
                high.bars[need][length].0 = at + 1;
            }
        }
        Some((low, high))
    }

    /// Makes a whole answer of what is likely.
    fn round(&mut self, open: &Open, times: &[f64]) {
        let mut begun: Vec<(f64, usize)> = (open.patterns.iter().zip(times))
            .filter(|(_, likely)| **likely > 0.5)
            .map(|(range, &likely)| (likely, range.pattern))
            .collect();
        begun.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let begun: Vec<(usize, u64)> = begun
            .into_iter()
            .map(|(likely, pattern)| (pattern, whole(likely)))
            .collect();
        self.take(greedy::completed(self.relaxation.problem, &begun));
    }

    /// Keeps an answer that is better than the best.
    fn take(&mut self, found: Choice) -> bool {
        let better = self.best.as_ref().is_none_or(|b| found.taken < b.taken)
            && self.relaxation.problem.holds(&found)
            && found.short.iter().all(|&s| s == 0);
        if better {
            self.best = Some(found);
        }
        better
    }
}

/// In whole square mm, rounded up.
fn up(fine: i128) -> u64 {
    u64::try_from(-(-fine).div_euclid(i128::from(FINE))).unwrap_or(0)
}
