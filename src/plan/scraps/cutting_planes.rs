//! Cutting planes: rows that every whole answer keeps, and that an answer in fractions of boards breaks.
//!
//! They are made by mixed-integer rounding (Nemhauser and Wolsey, Integer and Combinatorial
//! Optimization, Wiley 1988, II.1.7) of two kinds of rows: strips of a length or longer against the
//! bars of that length or longer; and slices of a part from strips of a length or longer, with those
//! of shorter bars, against all that is needed. For example, 29 strips
//! for bars of two strips each make 14 bars, not 14.5. Patterns and bars whose count is near its upper
//! limit are counted by how many are missing from it (complemented), so that the row says: one fewer of
//! these, or more of the others.

use crate::plan::scraps::{
    bars, count_of,
    leeway::{CuttingPlane, Open, Parts},
    relaxed::Relaxation,
};
use crate::watch;

/// No more divisors than these are tried for a row.
const TRIED: usize = 40;
/// A row is added only where it is broken by at least this fraction of its right-hand side.
const BROKEN: f64 = 0.02;
/// A count that is at least this fraction of its upper limit is complemented.
const NEAR: [f64; 3] = [2.0, 0.95, 0.5];
/// Numbers in a row are no larger.
const LARGEST: i128 = 1 << 30;

/// A row before it is rounded.
struct Row {
    part: usize,
    /// How many slices one count stands for.
    slices: f64,
    items: Vec<Item>,
    least: i128,
}

/// An open pattern, or a bar by its need and length.
#[derive(Clone, Copy)]
pub(super) enum DecisionVariable {
    CutPattern(usize),
    Bar(usize, usize),
}

struct Item {
    variable: DecisionVariable,
    each: i128,
    times: f64,
    range: (u64, u64),
}

/// The rows that an answer in parts of boards breaks, for each part and kind of row the worst.
pub(super) fn broken(
    relaxation: &Relaxation,
    open: &Open,
    parts: &Parts,
    most: usize,
) -> Vec<CuttingPlane> {
    let mut all: Vec<(f64, CuttingPlane)> = Vec::new();
    for part in 0..relaxation.needed.len() {
        watch::ask();
        for at in 0..relaxation.lengths.len() {
            for row in [
                strips(relaxation, open, parts, part, at),
                slices(relaxation, open, parts, part, at),
            ] {
                all.extend(row.worst(open));
            }
        }
    }
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    all.truncate(most);
    all.into_iter().map(|(_, cut)| cut).collect()
}

/// Strips of a length or longer, less those in bars of a length or longer.
fn strips(relaxation: &Relaxation, open: &Open, parts: &Parts, part: usize, at: usize) -> Row {
    let of_patterns = |i: usize| {
        let gives = relaxation.gives[open.patterns[i].pattern].iter();
        gives
            .filter(|g| g.part == part && (g.rows.0..g.rows.1).contains(&at))
            .map(|g| i128::from(g.count))
            .sum()
    };
    let of_bars = |need: usize, length: usize| {
        let each = count_of(&relaxation.problem.needs[need].parts, part);
        if length <= at { -i128::from(each) } else { 0 }
    };
    Row {
        part,
        slices: relaxation.lengths[at] as f64,
        items: items(open, parts, of_patterns, of_bars),
        least: 0,
    }
}

/// Slices from strips of a length or longer, and those of shorter bars.
fn slices(relaxation: &Relaxation, open: &Open, parts: &Parts, part: usize, at: usize) -> Row {
    let step = bars::step(&relaxation.lengths);
    let shortest = relaxation.lengths[at];
    let of_patterns = |i: usize| {
        let pattern = open.patterns[i].pattern;
        if relaxation.problem.patterns[pattern].slices >= shortest {
            i128::from(relaxation.slices_of(pattern, part) / step)
        } else {
            0
        }
    };
    let of_bars = |need: usize, length: usize| {
        let each = count_of(&relaxation.problem.needs[need].parts, part);
        if length > at {
            i128::from(each * relaxation.lengths[length] / step)
        } else {
            0
        }
    };
    Row {
        part,
        slices: step as f64,
        items: items(open, parts, of_patterns, of_bars),
        least: i128::from(relaxation.needed[part] / step),
    }
}

fn items(
    open: &Open,
    parts: &Parts,
    of_patterns: impl Fn(usize) -> i128,
    of_bars: impl Fn(usize, usize) -> i128,
) -> Vec<Item> {
    let patterns = open.patterns.iter().enumerate().map(|(i, range)| Item {
        variable: DecisionVariable::CutPattern(i),
        each: of_patterns(i),
        times: parts.times[i],
        range: (range.least, range.most),
    });
    let mut all: Vec<Item> = patterns.filter(|i| i.each != 0).collect();
    for (need, ranges) in open.bars.iter().enumerate() {
        for (length, &range) in ranges.iter().enumerate() {
            let each = of_bars(need, length);
            if each != 0 && range.1 > 0 {
                all.push(Item {
                    variable: DecisionVariable::Bar(need, length),
                    each,
                    times: parts.bars[need][length],
                    range,
                });
            }
        }
    }
    all
}

impl Row {
    fn worst(&self, open: &Open) -> Option<(f64, CuttingPlane)> {
        let mut best: Option<(f64, CuttingPlane)> = None;
        for divisor in self.divisors() {
            for near in NEAR {
                let Some((lacks, cut)) = self.rounded(divisor, near, open) else {
                    continue;
                };
                let better = best.as_ref().is_none_or(|(b, _)| lacks > *b + 1e-9);
                if lacks > BROKEN && better && !open.cuts.contains(&cut) {
                    best = Some((lacks, cut));
                }
            }
        }
        best
    }

    /// The sizes that are used in part, and one above; the largest; and all that is needed.
    fn divisors(&self) -> Vec<i128> {
        let mut used: Vec<(f64, i128)> = (self.items.iter())
            .map(|i| {
                let part = i.times - i.times.floor();
                (part.min(1.0 - part), i.each.abs())
            })
            .filter(|(part, _)| *part > 0.005)
            .collect();
        used.sort_by(|a, b| b.0.total_cmp(&a.0).then(b.1.cmp(&a.1)));
        let largest = self.items.iter().map(|i| i.each.abs()).max().unwrap_or(1);
        let mut divisors = vec![largest, largest + 1, self.least, self.least + 1];
        divisors.extend(used.iter().flat_map(|&(_, s)| [s, s + 1]));
        let mut seen = Vec::new();
        divisors.retain(|d| {
            let new = *d > 1 && !seen.contains(d) && seen.len() < TRIED;
            if new {
                seen.push(*d);
            }
            new
        });
        divisors
    }

    /// The row by a divisor, and how much the answer lacks of it.
    fn rounded(&self, divisor: i128, near: f64, open: &Open) -> Option<(f64, CuttingPlane)> {
        let missing = |i: &Item| i.range.1 as f64 - i.times < 1.0 - near && i.times > 1e-6;
        let from = |i: &Item| i128::from(if missing(i) { i.range.1 } else { i.range.0 });
        let given: i128 = self.items.iter().map(|i| i.each * from(i)).sum();
        let left = self.least - given;
        let whole = left.rem_euclid(divisor);
        if whole == 0 {
            return None;
        }
        let count =
            |each: i128| each.div_euclid(divisor) * whole + each.rem_euclid(divisor).min(whole);
        let mut least = (left.div_euclid(divisor) + 1) * whole;
        let mut has = 0.0;
        let counts = |item: &Item| {
            if missing(item) {
                -count(-item.each)
            } else {
                count(item.each)
            }
        };
        for item in &self.items {
            least += counts(item) * from(item);
            has += counts(item) as f64 * item.times;
        }
        let lacks = (least as f64 - has) / whole as f64;
        if lacks <= BROKEN {
            return None;
        }
        let mut cut = CuttingPlane {
            counts: vec![0; open.patterns.len()],
            bars: open.bars.iter().map(|b| vec![0; b.len()]).collect(),
            least: small(least)?,
            part: self.part,
            slices: self.slices * divisor as f64 / whole as f64,
        };
        for item in &self.items {
            let each = small(counts(item))?;
            match item.variable {
                DecisionVariable::CutPattern(i) => cut.counts[i] = each,
                DecisionVariable::Bar(need, length) => cut.bars[need][length] = each,
            }
        }
        Some((lacks, cut))
    }
}

fn small(number: i128) -> Option<i64> {
    i64::try_from(number)
        .ok()
        .filter(|_| number.abs() <= LARGEST)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::scraps::leeway::Range;

    /// The row of patterns that give 5, 3 and 2 of what bars take 2 of each, with all rounded rows: no
    /// whole numbers that the first holds for break another.
    #[test]
    fn whole_answers_break_no_rounded_row() {
        let most = [1, 2, 2, 4];
        let open = Open {
            patterns: (0..3)
                .map(|pattern| Range {
                    pattern,
                    least: 0,
                    most: most[pattern],
                })
                .collect(),
            bars: vec![vec![(0, most[3])]],
            cuts: vec![],
        };
        let mut cuts = 0;
        // Parts of boards that just suffice.
        let grid = (0..3 * 5 * 5).map(|i| {
            (
                f64::from(i % 3) / 2.0,
                f64::from(i / 3 % 5) / 2.0,
                f64::from(i / 15) / 2.0,
            )
        });
        for (i, (a, b, c)) in grid.enumerate() {
            let least = i128::try_from(i % 4).expect("it is small");
            let parts = [
                a,
                b,
                c,
                ((5.0 * a + 3.0 * b + 2.0 * c - least as f64) / 2.0).clamp(0.0, 4.0),
            ];
            let each = [5, 3, 2, -2];
            let items = each.iter().enumerate().map(|(i, &each)| Item {
                variable: if i < 3 {
                    DecisionVariable::CutPattern(i)
                } else {
                    DecisionVariable::Bar(0, 0)
                },
                each,
                times: parts[i],
                range: (0, most[i]),
            });
            let row = Row {
                part: 0,
                slices: 1.0,
                items: items.collect(),
                least,
            };
            for divisor in 2..8 {
                for near in NEAR {
                    let Some((_, cut)) = row.rounded(divisor, near, &open) else {
                        continue;
                    };
                    cuts += 1;
                    for code in 0..90_u64 {
                        let counts = [code % 2, code / 2 % 3, code / 6 % 3, code / 18 % 5];
                        let sum: i128 = each
                            .iter()
                            .zip(counts)
                            .map(|(e, n)| e * i128::from(n))
                            .sum();
                        let patterns = cut.counts.iter().zip(counts);
                        let mut rounded: i128 =
                            patterns.map(|(&c, n)| i128::from(c) * i128::from(n)).sum();
                        rounded += i128::from(cut.bars[0][0]) * i128::from(counts[3]);
                        assert!(
                            sum < least || rounded >= i128::from(cut.least),
                            "{cut:?} {counts:?}"
                        );
                    }
                }
            }
        }
        assert!(cuts > 50, "{cuts}");
    }
}
