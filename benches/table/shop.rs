//! A shop with many scraps, for the bench and for the test that its best plan is found.

use plyloom::plan::scraps::{Crosscut, CutPattern, Need, PatternRun, Problem, StockItem};

/// Scraps in the shop.
pub(crate) const SCRAPS: usize = 500;

/// A shop with 500 different scraps, and a panel of two kinds of strip that takes a good part of them.
pub(crate) fn shop() -> Problem {
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
        problem.lots.push(StockItem {
            count: Some(1),
            area: long * wide,
        });
        problem.crosses.push(Crosscut {
            lot: scrap,
            blanks: 1,
        });
        for (part, rip) in [(0, 24), (1, 31)] {
            problem.patterns.push(CutPattern {
                cross: scrap,
                blanks: 1,
                slices: (long / 200) * 8,
                edges: 0,
                runs: vec![PatternRun {
                    most: wide / rip,
                    yields: vec![(part, 1)],
                    width: rip,
                }],
            });
        }
    }
    problem
}
