//! One mixed-integer programme of [`super::solve`]: its variables, its rows, and its answer in
//! whole numbers.

use microlp::{ComparisonOp, LinearExpr, Problem as Programme, Solution, Variable};

use crate::plan::{
    scraps::solve::{Aim, total},
    scraps::{Choice, Problem, Proof, Use, count_of, yielded},
};

/// The variables of one programme.
pub(super) struct Variables {
    /// Boards cut across in each manner; none where a board is one blank: then its ways count.
    boards: Vec<Option<Variable>>,
    /// How many times each way is used.
    times: Vec<Option<Variable>>,
    /// Strips of each run of each way, where they are free.
    strips: Vec<Vec<Option<Variable>>>,
    /// Bars of each need at each length.
    bars: Vec<Vec<Variable>>,
    /// Missing parts.
    short: Vec<Option<Variable>>,
}

/// An answer as values for the variables.
pub(super) fn hint(lengths: &[u64], variables: &Variables, start: &Choice) -> Vec<(Variable, f64)> {
    let mut hint = Vec::new();
    for (variable, &boards) in variables.boards.iter().zip(&start.boards) {
        if let Some(variable) = variable {
            hint.push((*variable, boards as f64));
        }
    }
    for (way, (times, strips)) in variables.times.iter().zip(&variables.strips).enumerate() {
        let used = start.uses.iter().find(|u| u.way == way);
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

pub(super) fn variables(
    programme: &mut Programme,
    problem: &Problem,
    lengths: &[u64],
    aim: Aim,
    from: Option<&Choice>,
) -> Variables {
    let used = |way: usize| {
        from.and_then(|c| c.uses.iter().find(|u| u.way == way))
            .map_or(0, |u| u.times)
    };
    let fixed = aim == Aim::CutUpChosen;
    let shortest = problem.ways.iter().map(|w| w.slices).min();
    let shortest = shortest.unwrap_or(1).max(1);
    let most: Vec<u64> = (0..problem.ways.len())
        .map(|way| most_times(problem, way, shortest))
        .collect();
    let mut blanks: Vec<u64> = vec![0; problem.crosses.len()];
    for (way, &most) in problem.ways.iter().zip(&most) {
        blanks[way.cross] = blanks[way.cross].saturating_add(most.saturating_mul(way.blanks));
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
            (range.1 > 0).then(|| programme.add_integer_var(cost, (bound(range.0), bound(range.1))))
        })
        .collect();
    let mut times = Vec::new();
    let mut strips = Vec::new();
    for (i, way) in problem.ways.iter().enumerate() {
        let most = most[i];
        if most == 0 || (fixed && used(i) == 0) {
            times.push(None);
            strips.push(vec![None; way.runs.len()]);
            continue;
        }
        let range = if fixed {
            (bound(used(i)), bound(used(i)))
        } else {
            (0, bound(most))
        };
        let cross = &problem.crosses[way.cross];
        let cost = if aim == Aim::Taken && cross.blanks == 1 {
            (problem.lots[cross.lot].area * way.blanks) as f64
        } else {
            0.0
        };
        times.push(Some(programme.add_integer_var(cost, range)));
        let run = |run: &crate::plan::scraps::WayRun| {
            aim.counts_strips().then(|| {
                programme
                    .add_integer_var(run.area as f64, (0, bound(run.most.saturating_mul(most))))
            })
        };
        strips.push(way.runs.iter().map(run).collect());
    }
    let bars = problem
        .needs
        .iter()
        .map(|need| {
            lengths
                .iter()
                .map(|&n| programme.add_integer_var(0.0, (0, bound(need.slices.div_ceil(n)))))
                .collect()
        })
        .collect();
    let short_before = from.is_some_and(|c| c.short.iter().any(|&s| s > 0));
    let short = problem
        .parts
        .iter()
        .map(|&area| {
            let cost = if aim == Aim::Short { area as f64 } else { 0.0 };
            (aim == Aim::Short || short_before)
                .then(|| programme.add_integer_var(cost, (0, i32::MAX / 4)))
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

/// How many times a way can be used at most: there are no more boards, and no more use for it.
fn most_times(problem: &Problem, way: usize, shortest: u64) -> u64 {
    let cross = &problem.crosses[problem.ways[way].cross];
    let lot = &problem.lots[cross.lot];
    let have = |count: u64| count.saturating_mul(cross.blanks) / problem.ways[way].blanks;
    lot.count
        .map_or(u64::MAX, have)
        .min(enough(problem, way, shortest))
}

/// How many times a way can be of use at most: all its strips of the kind that it gives least of
/// cannot be more than all bars together take. Its strips can end in shorter bars, where other parts
/// are short, so the bars are counted at the shortest length of all.
fn enough(problem: &Problem, way: usize, shortest: u64) -> u64 {
    let way = &problem.ways[way];
    let all = |part: usize| -> u64 {
        let each = |need: &crate::plan::scraps::Need| {
            count_of(&need.parts, part) * need.slices.div_ceil(shortest)
        };
        problem.needs.iter().map(each).sum()
    };
    way.runs
        .iter()
        .flat_map(|run| {
            run.yields
                .iter()
                .filter(|(_, count)| *count > 0 && run.most > 0)
                .map(|&(part, count)| all(part).div_ceil(count * run.most))
        })
        .max()
        .unwrap_or(0)
}

/// No more of a lot than there is; no more strips than its boards give.
pub(super) fn stock_rows(programme: &mut Programme, problem: &Problem, variables: &Variables) {
    let mut of_lot: Vec<Vec<(Variable, f64)>> = vec![Vec::new(); problem.lots.len()];
    let mut of_cross: Vec<Vec<(Variable, f64)>> = vec![Vec::new(); problem.crosses.len()];
    for (way, times) in problem.ways.iter().zip(&variables.times) {
        if let Some(times) = times {
            of_cross[way.cross].push((*times, way.blanks as f64));
        }
    }
    for ((cross, boards), mut row) in problem.crosses.iter().zip(&variables.boards).zip(of_cross) {
        if cross.blanks == 1 {
            of_lot[cross.lot].append(&mut row);
            continue;
        }
        if let Some(boards) = boards {
            of_lot[cross.lot].push((*boards, 1.0));
            row.push((*boards, -(cross.blanks as f64)));
        }
        if !row.is_empty() {
            programme.add_constraint(row, ComparisonOp::Le, 0.0);
        }
    }
    for (lot, row) in problem.lots.iter().zip(of_lot) {
        let Some(count) = lot.count else { continue };
        // A single manner is bounded by its own range.
        if row.len() > 1 {
            programme.add_constraint(row, ComparisonOp::Le, count as f64);
        }
    }
    for ((way, times), strips) in problem
        .ways
        .iter()
        .zip(&variables.times)
        .zip(&variables.strips)
    {
        for (run, strips) in way.runs.iter().zip(strips) {
            if let (Some(times), Some(strips)) = (times, strips) {
                let row = [(*strips, 1.0), (*times, -(run.most as f64))];
                programme.add_constraint(row, ComparisonOp::Le, 0.0);
            }
        }
    }
}

/// For every part and length: parts of that length or longer for the bars of that length or longer;
/// and for every need its slices.
pub(super) fn part_rows(
    programme: &mut Programme,
    problem: &Problem,
    lengths: &[u64],
    variables: &Variables,
) {
    for (need, bars) in problem.needs.iter().zip(&variables.bars) {
        let row: Vec<(Variable, f64)> = bars
            .iter()
            .zip(lengths)
            .map(|(&bar, &n)| (bar, n as f64))
            .collect();
        programme.add_constraint(row, ComparisonOp::Ge, need.slices as f64);
    }
    for part in 0..problem.parts.len() {
        // Rows grow as the lengths fall; each is the one before it and what this length adds.
        let mut row: Vec<(Variable, f64)> = Vec::new();
        for (at, &length) in lengths.iter().enumerate() {
            for ((way, times), strips) in problem
                .ways
                .iter()
                .zip(&variables.times)
                .zip(&variables.strips)
                .filter(|((way, _), _)| way.slices == length)
            {
                for (run, strips) in way.runs.iter().zip(strips) {
                    let each = yielded(run, part) as f64;
                    match (strips, times) {
                        _ if each == 0.0 => {}
                        (Some(strips), _) => row.push((*strips, each)),
                        (None, Some(times)) => row.push((*times, each * run.most as f64)),
                        (None, None) => {}
                    }
                }
            }
            if let Some(short) = variables.short[part].filter(|_| length == problem.full) {
                row.push((short, 1.0));
            }
            for (need, bars) in problem.needs.iter().zip(&variables.bars) {
                let each = count_of(&need.parts, part);
                if each > 0 {
                    row.push((bars[at], -(each as f64)));
                }
            }
            let mut expression = LinearExpr::empty();
            for (variable, factor) in summed(&row) {
                expression.add(variable, factor);
            }
            programme.add_constraint(expression, ComparisonOp::Ge, 0.0);
        }
    }
}

/// What earlier aims reached must not get worse.
pub(super) fn keep_rows(
    programme: &mut Programme,
    problem: &Problem,
    variables: &Variables,
    aim: Aim,
    from: &Choice,
) {
    let short: Vec<(Variable, f64)> = variables
        .short
        .iter()
        .zip(&problem.parts)
        .filter_map(|(short, &area)| short.map(|s| (s, area as f64)))
        .collect();
    if !short.is_empty() {
        let most = total(&from.short, &problem.parts);
        programme.add_constraint(short, ComparisonOp::Le, most as f64);
    }
    if aim.counts_strips() {
        let area = |cross: usize| problem.lots[problem.crosses[cross].lot].area as f64;
        let boards = variables.boards.iter().enumerate();
        let mut taken: Vec<(Variable, f64)> = boards
            .filter_map(|(cross, boards)| boards.map(|b| (b, area(cross))))
            .collect();
        for (way, times) in problem.ways.iter().zip(&variables.times) {
            if let Some(times) = times.filter(|_| problem.crosses[way.cross].blanks == 1) {
                taken.push((times, area(way.cross) * way.blanks as f64));
            }
        }
        if !taken.is_empty() {
            programme.add_constraint(taken, ComparisonOp::Le, from.taken as f64);
        }
    }
}

/// The terms with each variable once.
fn summed(row: &[(Variable, f64)]) -> Vec<(Variable, f64)> {
    let mut terms: Vec<(Variable, f64)> = row.to_vec();
    terms.sort_by_key(|(variable, _)| variable.idx());
    terms.dedup_by(|next, kept| {
        let same = next.0 == kept.0;
        if same {
            kept.1 += next.1;
        }
        same
    });
    terms
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
    for (i, way) in problem.ways.iter().enumerate() {
        let times = variables.times[i].map_or(0, value);
        if times == 0 {
            continue;
        }
        let strips: Vec<u64> = way
            .runs
            .iter()
            .zip(&variables.strips[i])
            .map(|(run, strips)| strips.map_or(run.most * times, value))
            .collect();
        cut_up += way
            .runs
            .iter()
            .zip(&strips)
            .map(|(run, strips)| run.area * strips)
            .sum::<u64>();
        uses.push(Use {
            way: i,
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
