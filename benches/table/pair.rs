//! Two pieces of work measured in turn, so that whatever slows the machine down slows both.
//!
//! Benches that time one thing after the other compare two moments of the machine as much as two
//! pieces of work. Here every round times both, in an order that changes from round to round, and
//! the ratio is the median of the rounds' ratios. Times are wall time.

use std::time::{Duration, Instant};

/// What came of the rounds.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Pair {
    /// Median time of ours.
    pub(crate) ours: Duration,
    /// Median time of the floor or peer.
    pub(crate) floor: Duration,
    /// Median over the rounds of ours by the floor's.
    pub(crate) ratio: f64,
}

/// Measures both in turn, after a round that does not count. Each piece of work says how long it
/// took, and leaves out what belongs to neither (see [`timed`]).
pub(crate) fn pair(
    rounds: usize,
    mut ours: impl FnMut() -> Duration,
    mut floor: impl FnMut() -> Duration,
) -> Pair {
    let mut times = Vec::new();
    for round in 0..=rounds {
        let (mine, its);
        if round % 2 == 0 {
            mine = ours();
            its = floor();
        } else {
            its = floor();
            mine = ours();
        }
        if round > 0 {
            times.push((mine, its));
        }
    }
    Pair {
        ours: median(times.iter().map(|t| t.0)),
        floor: median(times.iter().map(|t| t.1)),
        ratio: middle(
            times
                .iter()
                .map(|t| t.0.as_secs_f64() / t.1.as_secs_f64())
                .collect(),
            f64::total_cmp,
        ),
    }
}

/// How long some work takes, and what it gives.
pub(crate) fn timed<T>(work: impl FnOnce() -> T) -> (Duration, T) {
    let start = Instant::now();
    let given = work();
    (start.elapsed(), given)
}

/// The median of some times.
pub(crate) fn median(times: impl Iterator<Item = Duration>) -> Duration {
    middle(times.collect(), Duration::cmp)
}

fn middle<T: Copy>(mut all: Vec<T>, order: impl FnMut(&T, &T) -> std::cmp::Ordering) -> T {
    all.sort_by(order);
    all[all.len() / 2]
}
