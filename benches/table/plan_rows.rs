//! Which scraps to rip, against a general solver that is given the plain model.

use std::time::Duration;

use microlp::{
    ComparisonOp, OptimizationDirection, Problem as Programme, SolutionStatus, SolveOptions,
    SolveOutcome,
};
use plyloom::plan::scraps::{Cross, Effort, Lot, Need, Problem, Proof, Way, WayRun, choose};

use super::pair::{pair, timed};
use super::row::{Goal, Row};

/// Scraps in the shop.
const SCRAPS: usize = 500;

/// A shop with 500 different scraps, and a panel of two kinds of strip that takes a good part of them.
fn shop() -> Problem {
    // Sizes by a linear congruence (Knuth's MMIX constants): the same on any machine.
    let mut state = 20_261_125_u64;
    let mut between = |low: u64, high: u64| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        low + (state >> 33) % (high - low + 1)
    };
    let mut problem = Problem {
        needs: vec![
            Need {
                slices: 900,
                parts: vec![(0, 3)],
            },
            Need {
                slices: 500,
                parts: vec![(0, 1), (1, 2)],
            },
        ],
        parts: vec![16_000, 21_000],
        full: 40,
        ..Problem::default()
    };
    for scrap in 0..SCRAPS {
        let (long, wide) = (between(250, 1200), between(60, 400));
        problem.lots.push(Lot {
            count: Some(1),
            area: long * wide,
        });
        problem.crosses.push(Cross {
            lot: scrap,
            blanks: 1,
        });
        for (part, rip) in [(0, 24), (1, 31)] {
            problem.ways.push(Way {
                cross: scrap,
                blanks: 1,
                slices: (long / 200) * 8,
                runs: vec![WayRun {
                    most: wide / rip,
                    yields: vec![(part, 1)],
                    area: rip * long,
                }],
            });
        }
    }
    problem
}

/// The plain model, as one would write it for a solver: how often each way is taken, how many bars of
/// each length are glued, no scrap twice, the least area. Its optimum, if the solver proves one.
fn plainly(problem: &Problem) -> (Duration, Option<u64>) {
    timed(|| {
        let mut programme = Programme::new(OptimizationDirection::Minimize);
        let lengths = problem.lengths();
        let times: Vec<_> = (problem.ways.iter())
            .map(|way| {
                let area = problem.lots[problem.crosses[way.cross].lot].area;
                programme.add_integer_var(area as f64, (0, 1))
            })
            .collect();
        let bars: Vec<Vec<_>> = (problem.needs.iter())
            .map(|need| {
                let most = i32::try_from(need.slices).unwrap_or(i32::MAX);
                lengths
                    .iter()
                    .map(|_| programme.add_integer_var(0.0, (0, most)))
                    .collect()
            })
            .collect();
        for scrap in 0..problem.lots.len() {
            let ways = problem
                .ways
                .iter()
                .zip(&times)
                .filter(|(way, _)| way.cross == scrap);
            let row: Vec<_> = ways.map(|(_, &taken)| (taken, 1.0)).collect();
            programme.add_constraint(row, ComparisonOp::Le, 1.0);
        }
        for (need, bars) in problem.needs.iter().zip(&bars) {
            let row: Vec<_> = bars
                .iter()
                .zip(&lengths)
                .map(|(&bar, &n)| (bar, n as f64))
                .collect();
            programme.add_constraint(row, ComparisonOp::Ge, need.slices as f64);
        }
        // For each part and length: what is at least so long, for bars that are at least so long.
        for part in 0..problem.parts.len() {
            for &length in &lengths {
                let mut row = Vec::new();
                for (way, &taken) in problem.ways.iter().zip(&times) {
                    let run = &way.runs[0];
                    if way.slices >= length && run.yields[0].0 == part {
                        row.push((taken, run.most as f64));
                    }
                }
                for (need, bars) in problem.needs.iter().zip(&bars) {
                    let each = need
                        .parts
                        .iter()
                        .filter(|(p, _)| *p == part)
                        .map(|(_, n)| n)
                        .sum::<u64>();
                    for (&bar, &n) in bars.iter().zip(&lengths) {
                        if n >= length && each > 0 {
                            row.push((bar, -(each as f64)));
                        }
                    }
                }
                programme.add_constraint(row, ComparisonOp::Ge, 0.0);
            }
        }
        let mut options = SolveOptions::default();
        options.time_limit = Some(Duration::from_mins(2));
        match programme.solve_with(options) {
            Ok(SolveOutcome::Solution(s)) if s.status() == SolutionStatus::Optimal =>
            {
                #[allow(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "an area in whole square millimetres"
                )]
                Some(s.objective().round() as u64)
            }
            _ => None,
        }
    })
}

/// A plan with 500 scraps.
pub(crate) fn scraps() -> Vec<Row> {
    let work = format!("plan with {SCRAPS} scraps");
    let against = "the plain model, given to a general MILP solver (microlp)";
    let goal = Goal::AtMost(1.0);
    let problem = shop();
    let (_, optimum) = plainly(&problem);
    let ours = choose(&problem, Effort::default()).expect("the stock suffices");
    assert!(problem.holds(&ours) && ours.short.iter().all(|&s| s == 0));
    let Some(optimum) = optimum else {
        let took = timed(|| choose(&problem, Effort::default())).0;
        let why = format!(
            "{}; the solver proves nothing in 120 s",
            super::row::time(took)
        );
        return vec![Row::missing(work, against, &why, goal)];
    };
    if ours.proof == Proof::Optimal {
        assert_eq!(ours.taken, optimum, "both prove the same optimum");
    }
    let words = if ours.taken == optimum {
        "same optimum"
    } else {
        "NOT the same optimum"
    };
    let both = pair(
        3,
        || timed(|| choose(&problem, Effort::default()).expect("the stock suffices")).0,
        || plainly(&problem).0,
    );
    vec![Row::times(format!("{work}, {words}"), against, both, goal)]
}
