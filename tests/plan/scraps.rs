//! Choosing scraps: against brute force, and against published cutting-stock optima.
#![allow(
    clippy::unwrap_used,
    clippy::items_after_statements,
    reason = "a test may stop at once; a search stands beside what it is for"
)]

use plyloom::plan::scraps::{
    Choice, Crosscut, CutPattern, Effort, Need, PatternRun, Problem, Proof, StockItem, choose,
};
use proptest::prelude::*;

/// Needs of two parts: slices, and how many of each part in a bar; at least one of the two.
pub(crate) fn needs_of(needs: Vec<(u64, u64, u64)>) -> Vec<Need> {
    let need = |(slices, a, b)| Need {
        slices,
        parts: vec![(0, a), (1, b + u64::from(a == 0))],
    };
    needs.into_iter().map(need).collect()
}

pub(crate) fn run(most: u64, yields: &[(usize, u64)], width: u64) -> PatternRun {
    PatternRun {
        most,
        yields: yields.to_vec(),
        width,
    }
}

/// Whether patterns used so many times give all that is needed, tried bar by bar: every split of the
/// bars over the lengths.
fn suffices(problem: &Problem, times: &[u64]) -> bool {
    let lengths = problem.lengths();
    let made = |part: usize, length: u64| -> u64 {
        problem
            .patterns
            .iter()
            .zip(times)
            .filter(|(pattern, _)| pattern.slices >= length)
            .map(|(pattern, t)| {
                let each = |r: &PatternRun| {
                    let y: u64 = r.yields.iter().filter(|y| y.0 == part).map(|y| y.1).sum();
                    y * r.most
                };
                t * pattern.runs.iter().map(each).sum::<u64>()
            })
            .sum()
    };
    // A state: bars of each need at each length.
    fn search(
        problem: &Problem,
        lengths: &[u64],
        made: &dyn Fn(usize, u64) -> u64,
        bars: &mut Vec<Vec<u64>>,
        at: (usize, usize),
    ) -> bool {
        let (need, length) = at;
        if need == problem.needs.len() {
            return lengths.iter().all(|&l| {
                (0..problem.parts.len()).all(|part| {
                    let used: u64 = problem
                        .needs
                        .iter()
                        .zip(bars.iter())
                        .map(|(n, b)| {
                            let each: u64 =
                                n.parts.iter().filter(|p| p.0 == part).map(|p| p.1).sum();
                            let long = lengths.iter().zip(b).filter(|(x, _)| **x >= l);
                            each * long.map(|(_, count)| count).sum::<u64>()
                        })
                        .sum();
                    made(part, l) >= used
                })
            });
        }
        if length == lengths.len() {
            let total: u64 = lengths.iter().zip(&bars[need]).map(|(l, c)| l * c).sum();
            return total >= problem.needs[need].slices
                && search(problem, lengths, made, bars, (need + 1, 0));
        }
        for count in 0..=problem.needs[need].slices.div_ceil(lengths[length]) {
            bars[need][length] = count;
            if search(problem, lengths, made, bars, (need, length + 1)) {
                return true;
            }
        }
        bars[need][length] = 0;
        false
    }
    let mut bars = vec![vec![0; lengths.len()]; problem.needs.len()];
    search(problem, &lengths, &made, &mut bars, (0, 0))
}

/// The least area by trying every number of times for every pattern.
fn brute_force(problem: &Problem) -> Option<u64> {
    fn search(problem: &Problem, times: &mut Vec<u64>, best: &mut Option<u64>) {
        let mut blanks = vec![0; problem.crosses.len()];
        for (pattern, t) in problem.patterns.iter().zip(times.iter()) {
            blanks[pattern.cross] += pattern.blanks * t;
        }
        let mut of_lot = vec![0; problem.lots.len()];
        let mut area = 0;
        for (cross, blanks) in problem.crosses.iter().zip(&blanks) {
            let boards = u64::div_ceil(*blanks, cross.blanks);
            of_lot[cross.lot] += boards;
            area += problem.lots[cross.lot].area * boards;
        }
        let over = of_lot
            .iter()
            .zip(&problem.lots)
            .any(|(t, lot)| *t > lot.count.unwrap());
        if over || best.is_some_and(|b| area >= b) {
            return;
        }
        if times.len() == problem.patterns.len() {
            if suffices(problem, times) {
                *best = Some(area);
            }
            return;
        }
        let cross = &problem.crosses[problem.patterns[times.len()].cross];
        let most = problem.lots[cross.lot].count.unwrap() * cross.blanks;
        for t in 0..=most {
            times.push(t);
            search(problem, times, best);
            times.pop();
        }
    }
    let mut best = None;
    search(problem, &mut Vec::new(), &mut best);
    best
}

fn small_problem() -> impl Strategy<Value = Problem> {
    let lot = (0_u64..3, 1_u64..60);
    let yields = prop_oneof![
        Just(vec![(0, 1)]),
        Just(vec![(1, 1)]),
        Just(vec![(0, 1), (1, 1)]),
        Just(vec![(0, 2)]),
    ];
    let pattern = (0_usize..3, 1_u64..4, yields, 1_u64..5, 1_u64..3);
    (
        proptest::collection::vec(lot, 3),
        proptest::collection::vec(pattern, 1..5),
        proptest::collection::vec((1_u64..9, 0_u64..3, 0_u64..3), 1..3),
        1_u64..5,
        proptest::collection::vec((0_usize..3, 1_u64..3), 3),
    )
        .prop_map(|(lots, patterns, needs, full, crosses)| Problem {
            crosses: crosses
                .into_iter()
                .map(|(lot, blanks)| Crosscut { lot, blanks })
                .collect(),
            needs: needs_of(needs),
            parts: vec![7, 5],
            full,
            lots: lots
                .into_iter()
                .map(|(count, area)| StockItem {
                    count: Some(count),
                    area,
                })
                .collect(),
            patterns: patterns
                .into_iter()
                .map(|(cross, slices, yields, most, blanks)| CutPattern {
                    cross,
                    blanks,
                    slices,
                    edges: 0,
                    runs: vec![run(most, &yields, 3)],
                })
                .collect(),
        })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_choice_of_boards_is_better(problem in small_problem()) {
        let choice = choose(&problem, Effort::default()).unwrap();
        prop_assert!(problem.holds(&choice));
        match brute_force(&problem) {
            Some(least) => {
                prop_assert!(choice.short.iter().all(|&s| s == 0), "{choice:?}");
                prop_assert_eq!(choice.taken, least);
                prop_assert_eq!(choice.proof, Proof::Optimal);
            }
            None => prop_assert!(choice.short.iter().any(|&s| s > 0), "{choice:?}"),
        }
    }
}

/// Strips of three slices end in bars of two, as the other part only comes in blanks of two: five
/// slices are three bars of two, so six of part 1, from two blanks of four.
#[test]
fn long_strips_may_end_in_short_bars() {
    let lot = StockItem {
        count: Some(1),
        area: 1,
    };
    let pattern = |cross, slices, made| CutPattern {
        cross,
        blanks: 1,
        slices,
        edges: 0,
        runs: vec![made],
    };
    let problem = Problem {
        needs: vec![Need {
            slices: 5,
            parts: vec![(0, 1), (1, 2)],
        }],
        parts: vec![7, 5],
        full: 3,
        lots: vec![lot; 2],
        crosses: vec![
            Crosscut { lot: 0, blanks: 2 },
            Crosscut { lot: 1, blanks: 1 },
        ],
        patterns: vec![
            pattern(0, 3, run(4, &[(1, 1)], 3)),
            pattern(1, 2, run(2, &[(0, 2)], 3)),
        ],
    };
    let choice = choose(&problem, Effort::default()).unwrap();
    assert_eq!((choice.short, choice.taken), (vec![0, 0], 2));
}

/// Every pattern of pieces along one stock length that leaves no room for one more.
fn patterns(stock: u64, pieces: &[u64]) -> Vec<Vec<u64>> {
    fn search(
        left: u64,
        pieces: &[u64],
        at: usize,
        so_far: &mut Vec<u64>,
        all: &mut Vec<Vec<u64>>,
    ) {
        if at == pieces.len() {
            let full = pieces.iter().all(|&p| p > left);
            if full {
                all.push(so_far.clone());
            }
            return;
        }
        for count in (0..=left / pieces[at]).rev() {
            so_far.push(count);
            search(left - count * pieces[at], pieces, at + 1, so_far, all);
            so_far.pop();
        }
    }
    let mut all = Vec::new();
    search(stock, pieces, 0, &mut Vec::new(), &mut all);
    all
}

/// A cutting-stock instance in our terms: each width is a part, each bar one part of one slice.
fn cutting_stock(stock: u64, demand: &[(u64, u64)]) -> Problem {
    let widths: Vec<u64> = demand.iter().map(|d| d.0).collect();
    Problem {
        needs: demand
            .iter()
            .enumerate()
            .map(|(part, &(_, count))| Need {
                slices: count,
                parts: vec![(part, 1)],
            })
            .collect(),
        parts: widths.clone(),
        full: 1,
        lots: vec![StockItem {
            count: None,
            area: 1,
        }],
        crosses: vec![Crosscut { lot: 0, blanks: 1 }],
        patterns: patterns(stock, &widths)
            .into_iter()
            .map(|pattern| CutPattern {
                cross: 0,
                blanks: 1,
                slices: 1,
                edges: 0,
                runs: pattern
                    .iter()
                    .enumerate()
                    .filter(|(_, count)| **count > 0)
                    .map(|(part, &count)| run(count, &[(part, 1)], widths[part]))
                    .collect(),
            })
            .collect(),
    }
}

fn pieces(choice: &Choice) -> u64 {
    choice.uses.iter().map(|u| u.times).sum()
}

/// The worked example of the public encyclopaedia's article on the cutting stock problem: stock
/// 5600, optimum 73 (the linear bound is 72.707); first-fit and best-fit decreasing need 82.
#[test]
fn the_published_instance_of_5600_takes_73() {
    let demand = [
        (1380, 22),
        (1520, 25),
        (1560, 12),
        (1710, 14),
        (1820, 18),
        (1880, 18),
        (1930, 20),
        (2000, 10),
        (2050, 12),
        (2100, 14),
        (2140, 16),
        (2150, 18),
        (2200, 20),
    ];
    let problem = cutting_stock(5600, &demand);
    assert_eq!(
        problem.patterns.len(),
        213,
        "maximal patterns, counted independently"
    );
    let choice = choose(&problem, Effort::default()).unwrap();
    assert!(problem.holds(&choice));
    assert_eq!((pieces(&choice), choice.proof), (73, Proof::Optimal));
}

/// V. Chvatal, Linear Programming (Freeman 1983), chapter 13: raws of 100 in, finals 45 x 97,
/// 36 x 610, 31 x 395, 14 x 211; linear optimum 452.25, so 453.
#[test]
fn the_textbook_instance_of_100_takes_453() {
    let problem = cutting_stock(100, &[(45, 97), (36, 610), (31, 395), (14, 211)]);
    let choice = choose(&problem, Effort::default()).unwrap();
    assert!(problem.holds(&choice));
    assert_eq!((pieces(&choice), choice.proof), (453, Proof::Optimal));
}

/// `HiGHS` (through scipy 1.17's `milp`, as in `benches/python/scraps.py`) proves the same optimum for
/// the plain model of this shop.
#[test]
fn the_best_of_500_scraps_is_found_and_proven() {
    let problem = crate::shop_of_scraps::shop();
    assert_eq!(problem.lots.len(), crate::shop_of_scraps::SCRAPS);
    let choice = choose(&problem, Effort::default()).unwrap();
    assert!(problem.holds(&choice));
    assert_eq!(choice.short, [0, 0]);
    assert_eq!((choice.taken, choice.proof), (2_777_231, Proof::Optimal));
}
