//! One mixed-integer programme of [`super::run`]: its variables, and its answer in whole numbers.
//! Its rows are those of [`super::rows`].

use microlp::{Problem as Model, Solution, Variable};

use crate::plan::scraps::{Choice, CutPattern, Problem, Proof, Use, leeway::Open};

/// What is sought.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Aim {
    /// Least wood short; anything can be short.
    Short,
    /// Least stock taken.
    Taken,
    /// Least cut up.
    CutUp,
    /// Least cut up of the boards that are chosen.
    CutUpChosen,
}

impl Aim {
    pub(super) fn counts_strips(self) -> bool {
        matches!(self, Self::CutUp | Self::CutUpChosen)
    }
}

/// The variables of one programme.
pub(super) struct Variables {
    /// Boards cut across in each manner; none where a board is one blank: then its patterns count.
    pub boards: Vec<Option<Variable>>,
    /// How many times each pattern is used.
    pub times: Vec<Option<Variable>>,
    /// Strips of each run of each pattern, where they are free.
    pub strips: Vec<Vec<Option<Variable>>>,
    /// Bars of each need at each length.
    pub bars: Vec<Vec<Variable>>,
    /// Missing parts.
    pub short: Vec<Option<Variable>>,
}

/// An answer as values for the variables.
pub(super) fn hint(lengths: &[u64], variables: &Variables, start: &Choice) -> Vec<(Variable, f64)> {
    let mut hint = Vec::new();
    for (variable, &boards) in variables.boards.iter().zip(&start.boards) {
        if let Some(variable) = variable {
            hint.push((*variable, boards as f64));
        }
    }
    for (pattern, (times, strips)) in variables.times.iter().zip(&variables.strips).enumerate() {
        let used = start.uses.iter().find(|u| u.pattern == pattern);
        if let Some(times) = times {
            hint.push((*times, used.map_or(0, |u| u.times) as f64));
        }
        for (i, strips) in strips.iter().enumerate() {
            if let Some(strips) = strips {
                hint.push((*strips, used.map_or(0, |u| u.strips[i]) as f64));
            }
        }
    }
    for (bars, counts) in variables.bars.iter().zip(&start.bars) {
        for (&bar, &length) in bars.iter().zip(lengths) {
            hint.push((bar, count_at(counts, length) as f64));
        }
    }
    for (short, &count) in variables.short.iter().zip(&start.short) {
        if let Some(short) = short {
            hint.push((*short, count as f64));
        }
    }
    hint
}

fn count_at(counts: &[(u64, u64)], length: u64) -> u64 {
    counts
        .iter()
        .filter(|(n, _)| *n == length)
        .map(|(_, count)| count)
        .sum()
}

/// What is asked of a programme.
#[derive(Clone, Copy)]
pub(super) struct ModelOptions<'a> {
    pub aim: Aim,
    /// The answer to the aims before this one, which must not get worse.
    pub from: Option<&'a Choice>,
    /// The patterns and bars that are open, and rows that hold for these; all where there is none.
    pub open: Option<&'a Open>,
    /// No more square mm than these are to be taken.
    pub goal: Option<u64>,
    /// Whether fractions of boards and bars are allowed (the linear relaxation).
    pub in_parts: bool,
}

impl ModelOptions<'_> {
    pub(super) fn of(aim: Aim) -> Self {
        Self {
            aim,
            from: None,
            open: None,
            goal: None,
            in_parts: false,
        }
    }

    /// A variable.
    fn number(&self, programme: &mut Model, cost: f64, range: (u64, u64)) -> Variable {
        let (least, most) = (bound(range.0), bound(range.1));
        if self.in_parts {
            programme.add_var(cost, (f64::from(least), f64::from(most)))
        } else {
            programme.add_integer_var(cost, (least, most))
        }
    }
}

pub(super) fn variables(
    programme: &mut Model,
    problem: &Problem,
    lengths: &[u64],
    asked: ModelOptions,
) -> Variables {
    let ModelOptions {
        aim, from, open, ..
    } = asked;
    let used = |pattern: usize| {
        from.and_then(|c| c.uses.iter().find(|u| u.pattern == pattern))
            .map_or(0, |u| u.times)
    };
    let fixed = aim == Aim::CutUpChosen;
    let mut range: Vec<(u64, u64)> = vec![(0, 0); problem.patterns.len()];
    if let Some(open) = open {
        for pattern in &open.patterns {
            range[pattern.pattern] = (pattern.least, pattern.most);
        }
    } else {
        for (range, most) in range.iter_mut().zip(most_of_all(problem)) {
            range.1 = most;
        }
    }
    let most: Vec<u64> = range.iter().map(|r| r.1).collect();
    let mut blanks: Vec<u64> = vec![0; problem.crosses.len()];
    for (pattern, &most) in problem.patterns.iter().zip(&most) {
        blanks[pattern.cross] =
            blanks[pattern.cross].saturating_add(most.saturating_mul(pattern.blanks));
    }
    let boards = problem
        .crosses
        .iter()
        .zip(&blanks)
        .enumerate()
        .map(|(i, (cross, &blanks))| {
            let lot = &problem.lots[cross.lot];
            let most = blanks
                .div_ceil(cross.blanks)
                .min(lot.count.unwrap_or(u64::MAX));
            let used = from.map_or(0, |c| c.boards[i]);
            let cost = if aim == Aim::Taken {
                lot.area as f64
            } else {
                0.0
            };
            let range = if fixed { (used, used) } else { (0, most) };
            (range.1 > 0 && cross.blanks > 1).then(|| asked.number(programme, cost, range))
        })
        .collect();
    let mut times = Vec::new();
    let mut strips = Vec::new();
    for (i, pattern) in problem.patterns.iter().enumerate() {
        let most = most[i];
        if most == 0 || (fixed && used(i) == 0) {
            times.push(None);
            strips.push(vec![None; pattern.runs.len()]);
            continue;
        }
        let range = if fixed { (used(i), used(i)) } else { range[i] };
        let cross = &problem.crosses[pattern.cross];
        let area = problem.lots[cross.lot].area;
        let cost = match aim {
            Aim::Taken if cross.blanks == 1 => (area * pattern.blanks) as f64,
            Aim::CutUp | Aim::CutUpChosen => pattern.edges as f64,
            _ => 0.0,
        };
        times.push(Some(asked.number(programme, cost, range)));
        let run = |run: &crate::plan::scraps::PatternRun| {
            aim.counts_strips().then(|| {
                let range = (0, run.most.saturating_mul(most));
                asked.number(programme, run.width as f64, range)
            })
        };
        strips.push(pattern.runs.iter().map(run).collect());
    }
    let bars = problem
        .needs
        .iter()
        .enumerate()
        .map(|(i, need)| {
            let range = |(at, &n): (usize, &u64)| {
                open.map_or((0, need.slices.div_ceil(n)), |open| open.bars[i][at])
            };
            let ranges = lengths.iter().enumerate().map(range);
            ranges.map(|r| asked.number(programme, 0.0, r)).collect()
        })
        .collect();
    let short_before = from.is_some_and(|c| c.short.iter().any(|&s| s > 0));
    let short = problem
        .parts
        .iter()
        .map(|&area| {
            let cost = if aim == Aim::Short { area as f64 } else { 0.0 };
            (aim == Aim::Short || short_before)
                .then(|| asked.number(programme, cost, (0, u64::MAX)))
        })
        .collect();
    Variables {
        boards,
        times,
        strips,
        bars,
        short,
    }
}

/// How many times each pattern can be used at most: limited by its boards, and by the use there is for it. Of the
/// part that it gives least of, it need not give more than all bars together take. As its strips may go into
/// shorter bars, where other parts are short, the bars are counted at the shortest length of all.
pub(super) fn most_of_all(problem: &Problem) -> Vec<u64> {
    let shortest = problem.patterns.iter().map(|w| w.slices).min();
    let shortest = shortest.unwrap_or(1).max(1);
    let mut all = vec![0; problem.parts.len()];
    for need in &problem.needs {
        for &(part, each) in &need.parts {
            all[part] += each * need.slices.div_ceil(shortest);
        }
    }
    let most = |pattern: &CutPattern| {
        let cross = &problem.crosses[pattern.cross];
        let have = |count: u64| count.saturating_mul(cross.blanks) / pattern.blanks;
        let strips = pattern.runs.iter().flat_map(|run| {
            let some = run.yields.iter();
            let some = some.filter(|(_, count)| *count > 0 && run.most > 0);
            some.map(|&(part, count)| all[part].div_ceil(count * run.most))
        });
        let boards = problem.lots[cross.lot].count.map_or(u64::MAX, have);
        boards.min(strips.max().unwrap_or(0))
    };
    problem.patterns.iter().map(most).collect()
}

pub(super) fn read(
    problem: &Problem,
    lengths: &[u64],
    variables: &Variables,
    solution: &Solution,
) -> Choice {
    let value = |v: Variable| whole(solution.var_value(v));
    let mut uses = Vec::new();
    let mut cut_up = 0;
    for (i, pattern) in problem.patterns.iter().enumerate() {
        let times = variables.times[i].map_or(0, value);
        if times == 0 {
            continue;
        }
        let strips: Vec<u64> = pattern
            .runs
            .iter()
            .zip(&variables.strips[i])
            .map(|(run, strips)| strips.map_or(run.most * times, value))
            .collect();
        cut_up += pattern
            .runs
            .iter()
            .zip(&strips)
            .map(|(run, strips)| run.width * strips)
            .sum::<u64>()
            + pattern.edges * times;
        uses.push(Use {
            pattern: i,
            times,
            strips,
        });
    }
    let bars = variables
        .bars
        .iter()
        .map(|bars| {
            bars.iter()
                .zip(lengths)
                .map(|(&bar, &n)| (n, value(bar)))
                .filter(|(_, count)| *count > 0)
                .collect()
        })
        .collect();
    let short = variables.short.iter().map(|s| s.map_or(0, value)).collect();
    // What is ripped says how many boards that takes.
    let boards: Vec<u64> = problem
        .blanks(&uses)
        .iter()
        .zip(&problem.crosses)
        .map(|(blanks, cross)| blanks.div_ceil(cross.blanks))
        .collect();
    let taken = problem.area(&boards);
    Choice {
        uses,
        boards,
        bars,
        short,
        taken,
        cut_up,
        proof: Proof::Optimal,
        second_proof: Proof::Optimal,
    }
}

fn bound(value: u64) -> i32 {
    i32::try_from(value).unwrap_or(i32::MAX).min(i32::MAX / 4)
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "counts and areas are not negative and far below 2^52"
)]
pub(super) fn whole(value: f64) -> u64 {
    value.round().max(0.0) as u64
}
