//! Choosing scraps: against the plain model, given to a general solver (the crate microlp).
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use microlp::{
    ComparisonOp, OptimizationDirection, Problem as Programme, SolutionStatus, SolveOptions,
    SolveOutcome,
};
use plyloom::plan::scraps::{
    Crosscut, CutPattern, Effort, PatternRun, Problem, Proof, StockItem, choose,
};
use proptest::prelude::*;

use crate::scraps::{needs_of, run};

/// What the plain model proves.
enum Plainly {
    Least(u64),
    Nothing,
    Stopped,
}

/// The plain model, without what prices rule out and without rounded rows: what
/// microlp proves of it.
fn plainly(problem: &Problem) -> Plainly {
    let mut programme = Programme::new(OptimizationDirection::Minimize);
    let lengths = problem.lengths();
    let most = |count: u64| i32::try_from(count).unwrap();
    let times: Vec<_> = (problem.patterns.iter())
        .map(|pattern| {
            let cross = &problem.crosses[pattern.cross];
            let count = problem.lots[cross.lot].count.unwrap();
            programme.add_integer_var(0.0, (0, most(count * cross.blanks)))
        })
        .collect();
    let boards: Vec<_> = (problem.crosses.iter())
        .map(|cross| {
            let lot = &problem.lots[cross.lot];
            programme.add_integer_var(lot.area as f64, (0, most(lot.count.unwrap())))
        })
        .collect();
    for (i, cross) in problem.crosses.iter().enumerate() {
        let ways = problem
            .patterns
            .iter()
            .zip(&times)
            .filter(|(w, _)| w.cross == i);
        let mut row: Vec<_> = ways.map(|(w, &t)| (t, w.blanks as f64)).collect();
        row.push((boards[i], -(cross.blanks as f64)));
        programme.add_constraint(row, ComparisonOp::Le, 0.0);
    }
    for (i, lot) in problem.lots.iter().enumerate() {
        let crosses = problem
            .crosses
            .iter()
            .zip(&boards)
            .filter(|(c, _)| c.lot == i);
        let row: Vec<_> = crosses.map(|(_, &b)| (b, 1.0)).collect();
        programme.add_constraint(row, ComparisonOp::Le, lot.count.unwrap() as f64);
    }
    let bars: Vec<Vec<_>> = (problem.needs.iter())
        .map(|need| {
            let bars: Vec<_> = lengths
                .iter()
                .map(|_| programme.add_integer_var(0.0, (0, most(need.slices))))
                .collect();
            let row: Vec<_> = bars
                .iter()
                .zip(&lengths)
                .map(|(&b, &l)| (b, l as f64))
                .collect();
            programme.add_constraint(row, ComparisonOp::Ge, need.slices as f64);
            bars
        })
        .collect();
    for part in 0..problem.parts.len() {
        let of = |list: &[(usize, u64)]| -> f64 {
            list.iter()
                .filter(|p| p.0 == part)
                .map(|p| p.1)
                .sum::<u64>() as f64
        };
        for &length in &lengths {
            let mut row = Vec::new();
            for (pattern, &taken) in problem.patterns.iter().zip(&times) {
                let given: f64 = pattern
                    .runs
                    .iter()
                    .map(|r| r.most as f64 * of(&r.yields))
                    .sum();
                if pattern.slices >= length && given > 0.0 {
                    row.push((taken, given));
                }
            }
            for (need, bars) in problem.needs.iter().zip(&bars) {
                let long = bars.iter().zip(&lengths).filter(|(_, l)| **l >= length);
                row.extend(long.map(|(&bar, _)| (bar, -of(&need.parts))));
            }
            row.retain(|(_, factor)| *factor != 0.0);
            programme.add_constraint(row, ComparisonOp::Ge, 0.0);
        }
    }
    let mut options = SolveOptions::default();
    options.node_limit = Some(3000);
    match programme.solve_with(options) {
        Ok(SolveOutcome::Solution(s)) if s.status() == SolutionStatus::Optimal =>
        {
            #[allow(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "an area in whole square millimetres"
            )]
            Plainly::Least(s.objective().round() as u64)
        }
        Err(microlp::Error::Infeasible) => Plainly::Nothing,
        _ => Plainly::Stopped,
    }
}

/// Shops of 8 to 40 scraps, some of them alike, some cut across into two blanks, with up to three
/// ways to rip each: one part, the other, or both side by side.
fn middle_problem() -> impl Strategy<Value = Problem> {
    let scrap = (1_u64..3, 20_u64..120, 6_u64..40, 1_u64..3, 0_u8..8);
    let needs = proptest::collection::vec((20_u64..160, 0_u64..3, 0_u64..3), 1..3);
    (proptest::collection::vec(scrap, 8..40), needs).prop_map(|(scraps, needs)| {
        let mut problem = Problem {
            needs: needs_of(needs),
            parts: vec![160, 200],
            full: 40,
            ..Problem::default()
        };
        for (lot, (count, long, wide, blanks, ways)) in scraps.into_iter().enumerate() {
            problem.lots.push(StockItem {
                count: Some(count),
                area: long * wide,
            });
            problem.crosses.push(Crosscut { lot, blanks });
            let mut rip = |runs: Vec<PatternRun>| {
                problem.patterns.push(CutPattern {
                    cross: lot,
                    blanks: 1,
                    slices: (long / blanks / 3).max(1),
                    edges: 0,
                    runs,
                });
            };
            if ways & 1 == 0 {
                rip(vec![run(wide / 3, &[(0, 1)], 3 * long)]);
            }
            if ways & 2 == 0 {
                rip(vec![run(wide / 4, &[(1, 1)], 4 * long)]);
            }
            if ways & 4 == 0 {
                let half = [
                    run(wide / 6, &[(0, 1)], 3 * long),
                    run(wide / 8, &[(1, 1)], 4 * long),
                ];
                rip(half.to_vec());
            }
        }
        problem
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    /// With much effort and with hardly any: a search that stops early must not tell what it did not
    /// prove.
    #[test]
    fn the_plain_model_proves_no_other_optimum(
        problem in middle_problem(),
        nodes in prop_oneof![Just(1), Just(30), Just(1000)],
    ) {
        let choice = choose(&problem, Effort { nodes }).unwrap();
        prop_assert!(problem.holds(&choice));
        let short = choice.short.iter().any(|&s| s > 0);
        match plainly(&problem) {
            Plainly::Least(least) => {
                prop_assert!(!short, "{choice:?}");
                match choice.proof {
                    Proof::Optimal => prop_assert_eq!(choice.taken, least),
                    Proof::AtLeast(bound) => {
                        prop_assert!(bound <= least && least <= choice.taken, "{bound} {least}");
                    }
                    Proof::ForTheseBoards => prop_assert!(false, "not told of stock"),
                }
            }
            Plainly::Nothing => prop_assert!(short, "{choice:?}"),
            Plainly::Stopped => {}
        }
    }
}
