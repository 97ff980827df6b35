//! The rows of one mixed-integer programme of [`super::run`].

use microlp::{ComparisonOp, LinearExpr, Problem as Model, Variable};

use crate::plan::{
    scraps::bars,
    scraps::leeway::Open,
    scraps::milp::{ModelOptions, Variables},
    scraps::relaxed::of_use,
    scraps::{Choice, Problem, count_of, total, yielded},
};

/// No more of a lot than there is; no more strips than its boards give.
pub(super) fn stock_rows(programme: &mut Model, problem: &Problem, variables: &Variables) {
    let mut of_lot: Vec<Vec<(Variable, f64)>> = vec![Vec::new(); problem.lots.len()];
    let mut of_cross: Vec<Vec<(Variable, f64)>> = vec![Vec::new(); problem.crosses.len()];
    for (pattern, times) in problem.patterns.iter().zip(&variables.times) {
        if let Some(times) = times {
            of_cross[pattern.cross].push((*times, pattern.blanks as f64));
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
    for ((pattern, times), strips) in problem
        .patterns
        .iter()
        .zip(&variables.times)
        .zip(&variables.strips)
    {
        for (run, strips) in pattern.runs.iter().zip(strips) {
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
    programme: &mut Model,
    problem: &Problem,
    lengths: &[u64],
    variables: &Variables,
) {
    let step = bars::step(lengths);
    let of_use = of_use(problem, lengths);
    for (need, bars) in problem.needs.iter().zip(&variables.bars) {
        let row: Vec<(Variable, f64)> = bars
            .iter()
            .zip(lengths)
            .map(|(&bar, &n)| (bar, (n / step) as f64))
            .collect();
        let steps = need.slices.div_ceil(step);
        programme.add_constraint(row, ComparisonOp::Ge, steps as f64);
    }
    let used: Vec<usize> = (0..problem.patterns.len())
        .filter(|&pattern| variables.times[pattern].is_some())
        .collect();
    for part in 0..problem.parts.len() {
        // Rows grow as the lengths fall; each is the one before it and what this length adds.
        let mut row: Vec<(Variable, f64)> = Vec::new();
        for (at, &length) in lengths.iter().enumerate() {
            for &i in used
                .iter()
                .filter(|&&i| problem.patterns[i].slices == length)
            {
                let pattern = &problem.patterns[i];
                let (times, strips) = (variables.times[i], &variables.strips[i]);
                for (run, strips) in pattern.runs.iter().zip(strips) {
                    let each = yielded(run, part) as f64;
                    match (strips, times) {
                        _ if each == 0.0 => {}
                        (Some(strips), _) => row.push((*strips, each)),
                        (None, Some(times)) => row.push((times, each * run.most as f64)),
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
            // More than all bars together take is of no use.
            let most = of_use[part * lengths.len() + at] as f64;
            for (variable, factor) in summed(&row) {
                expression.add(variable, factor.min(most));
            }
            programme.add_constraint(expression, ComparisonOp::Ge, 0.0);
        }
    }
}

/// What earlier aims reached must not get worse.
pub(super) fn keep_rows(
    programme: &mut Model,
    problem: &Problem,
    variables: &Variables,
    asked: ModelOptions,
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
    if asked.aim.counts_strips() {
        take_no_more(programme, problem, variables, from.taken);
    }
}

/// No more square mm than these are taken.
pub(super) fn take_no_more(
    programme: &mut Model,
    problem: &Problem,
    variables: &Variables,
    most: u64,
) {
    let area = |cross: usize| problem.lots[problem.crosses[cross].lot].area as f64;
    let boards = variables.boards.iter().enumerate();
    let mut taken: Vec<(Variable, f64)> = boards
        .filter_map(|(cross, boards)| boards.map(|b| (b, area(cross))))
        .collect();
    for (pattern, times) in problem.patterns.iter().zip(&variables.times) {
        if let Some(times) = times.filter(|_| problem.crosses[pattern.cross].blanks == 1) {
            taken.push((times, area(pattern.cross) * pattern.blanks as f64));
        }
    }
    if !taken.is_empty() {
        programme.add_constraint(taken, ComparisonOp::Le, most as f64);
    }
}

/// Rows that hold beside those of the parts.
pub(super) fn cut_rows(programme: &mut Model, open: &Open, variables: &Variables) {
    for cut in &open.cuts {
        // In slices, so that the numbers are of the size of those in the other rows.
        let scale = cut.slices;
        let mut row: Vec<(Variable, f64)> = (cut.counts.iter().zip(&open.patterns))
            .filter_map(|(&count, range)| {
                variables.times[range.pattern].map(|times| (times, count as f64 * scale))
            })
            .collect();
        for (counts, bars) in cut.bars.iter().zip(&variables.bars) {
            let bars = counts.iter().zip(bars);
            row.extend(bars.map(|(&count, &bar)| (bar, count as f64 * scale)));
        }
        row.retain(|(_, factor)| *factor != 0.0);
        programme.add_constraint(row, ComparisonOp::Ge, cut.least as f64 * scale);
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
