//! A sweep: values for parameters, seeds, and every combination of them.
//!
//! Combinations are numbered from 1, like a counter in which the seed changes fastest and the first
//! parameter slowest. A sample keeps that order and is numbered from 1 again. No list of all
//! combinations is made, which could be huge: each is worked out from its number.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use super::axis::Axis;
pub use super::limits::{MOST, MOST_AT_ONCE, MOST_PARTS};
pub use super::sweep_error::SweepError;
use crate::layout::random::ListDraws;

/// Which of all combinations are made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sample {
    /// How many.
    pub size: u64,
    /// The seed of the choice.
    pub seed: u64,
}

/// One part of a sweep, of several that are made apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Shard {
    /// Which, from 1.
    pub part: u64,
    /// Of how many.
    pub of: u64,
}

/// What one variation is made with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Combination {
    /// Its number, from 1.
    pub number: u64,
    /// Parameters with their values as typed.
    pub set: Vec<(String, String)>,
    /// The seed, where the sweep gives one.
    pub seed: Option<u64>,
}

/// Parameters, seeds and which combinations of them are made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sweep {
    axes: Vec<Axis>,
    seeds: Option<Axis>,
    all: u128,
    sample: Option<Sample>,
    /// Which combinations, from 0, of a sample.
    chosen: Option<Vec<u128>>,
}

impl Shard {
    /// Reads `k/n`.
    ///
    /// # Errors
    /// When it is no part.
    pub fn read(text: &str) -> Result<Self, SweepError> {
        let wrong = || SweepError::Shard {
            text: text.to_owned(),
        };
        let (part, of) = text.split_once('/').ok_or_else(wrong)?;
        let number = |text: &str| text.trim().parse::<u64>().map_err(|_| wrong());
        let (part, of) = (number(part)?, number(of)?);
        if (1..=of).contains(&part) && of <= MOST_PARTS {
            Ok(Self { part, of })
        } else {
            Err(wrong())
        }
    }
}

impl Sweep {
    /// Every combination, or a sample of them.
    ///
    /// # Errors
    /// When a parameter is there twice, a seed is none, or there are more than [`MOST`].
    pub fn new(
        axes: Vec<Axis>,
        seeds: Option<&str>,
        sample: Option<Sample>,
    ) -> Result<Self, SweepError> {
        let mut names = BTreeSet::new();
        if let Some(twice) = axes.iter().find(|a| !names.insert(a.name())) {
            return Err(SweepError::Twice {
                name: twice.name().to_owned(),
            });
        }
        let seeds = seeds.map(Axis::of_seeds).transpose()?;
        let all = (axes.iter().chain(&seeds))
            .fold(1_u128, |n, axis| n.saturating_mul(u128::from(axis.count())));
        let wanted = sample.map_or(all, |s| all.min(u128::from(s.size)));
        if wanted > u128::from(MOST) || sample.is_some() && wanted > u128::from(MOST_AT_ONCE) * 10 {
            return Err(SweepError::TooMany { count: wanted });
        }
        let chosen = sample.map(|s| chosen(all, s));
        Ok(Self {
            axes,
            seeds,
            all,
            sample,
            chosen,
        })
    }

    /// The parameters.
    pub fn axes(&self) -> &[Axis] {
        &self.axes
    }

    /// The seeds, where they are given.
    pub fn seeds(&self) -> Option<&Axis> {
        self.seeds.as_ref()
    }

    /// Which of them are made, when not all.
    pub fn sample(&self) -> Option<Sample> {
        self.sample
    }

    /// How many variations are made, all parts together.
    #[allow(clippy::missing_panics_doc, reason = "only an invariant is expected")]
    pub fn count(&self) -> u64 {
        let count = match &self.chosen {
            Some(chosen) => chosen.len() as u128,
            None => self.all,
        };
        u64::try_from(count).expect("invariant: the count was checked when the sweep was made")
    }

    /// The numbers of one part, or of all.
    ///
    /// # Errors
    /// When there are more than [`MOST_AT_ONCE`].
    pub fn numbers(&self, shard: Option<Shard>) -> Result<Vec<u64>, SweepError> {
        let shard = shard.unwrap_or(Shard { part: 1, of: 1 });
        let mine = self
            .count()
            .saturating_sub(shard.part - 1)
            .div_ceil(shard.of);
        if mine > MOST_AT_ONCE {
            return Err(SweepError::TooMany {
                count: u128::from(self.count()),
            });
        }
        Ok((0..mine).map(|i| shard.part + i * shard.of).collect())
    }

    /// The combination of a number from 1 to [`Sweep::count`].
    pub fn combination(&self, number: u64) -> Combination {
        let mut rest = match &self.chosen {
            Some(chosen) => usize::try_from(number - 1)
                .ok()
                .and_then(|i| chosen.get(i).copied())
                .unwrap_or(0),
            None => u128::from(number - 1),
        };
        let mut turn = |axis: &Axis| {
            let count = u128::from(axis.count());
            let place = u64::try_from(rest % count).unwrap_or(0);
            rest /= count;
            axis.nth(place)
        };
        let seed = self.seeds.as_ref().map(&mut turn);
        let mut set: Vec<(String, String)> = self
            .axes
            .iter()
            .rev()
            .map(|axis| (axis.name().to_owned(), turn(axis)))
            .collect();
        set.reverse();
        Combination {
            number,
            set,
            seed: seed.and_then(|s| s.trim().parse().ok()),
        }
    }
}

/// Floyd's sample without repeats, in order: Bentley and Floyd, "Programming pearls: a sample of
/// brilliance", CACM 30 (1987).
fn chosen(all: u128, sample: Sample) -> Vec<u128> {
    if u128::from(sample.size) >= all {
        return (0..all).collect();
    }
    // Combinations beyond the range of the draws are never chosen, which cannot be noticed.
    let all = u64::try_from(all).unwrap_or(u64::MAX);
    let mut draws = ListDraws::new(sample.seed, "sample of a sweep");
    let mut taken = BTreeSet::new();
    for last in all - sample.size..all {
        let drawn = draws.below(last, last.saturating_add(1));
        if !taken.insert(drawn) {
            taken.insert(last);
        }
    }
    taken.into_iter().map(u128::from).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sweep(axes: &[(&str, &str)], seeds: Option<&str>, sample: Option<Sample>) -> Sweep {
        let axes = axes.iter().map(|(n, v)| Axis::read(n, v).unwrap());
        Sweep::new(axes.collect(), seeds, sample).unwrap()
    }

    fn shown(sweep: &Sweep) -> Vec<String> {
        let one = |number| {
            let c = sweep.combination(number);
            let set: Vec<&str> = c.set.iter().map(|(_, v)| v.as_str()).collect();
            format!("{} {:?}", set.join(" "), c.seed)
        };
        (1..=sweep.count()).map(one).collect()
    }

    #[test]
    fn every_combination_comes_once_the_seed_fastest() {
        let sweep = sweep(
            &[("angle", "45,60"), ("rows", "8..10..2")],
            Some("1..2"),
            None,
        );
        assert_eq!(
            shown(&sweep),
            [
                "45 8 Some(1)",
                "45 8 Some(2)",
                "45 10 Some(1)",
                "45 10 Some(2)",
                "60 8 Some(1)",
                "60 8 Some(2)",
                "60 10 Some(1)",
                "60 10 Some(2)"
            ]
        );
    }

    #[test]
    fn a_sample_is_a_part_of_all_without_repeats() {
        let sample = Some(Sample { size: 40, seed: 3 });
        let some = shown(&sweep(&[("a", "1..20"), ("b", "1..5")], None, sample));
        let all = shown(&sweep(&[("a", "1..20"), ("b", "1..5")], None, None));
        assert_eq!(some.len(), 40);
        let places: Vec<usize> = some
            .iter()
            .map(|s| all.iter().position(|a| a == s).unwrap())
            .collect();
        assert!(places.windows(2).all(|w| w[0] < w[1]), "{places:?}");
        let other = Some(Sample { size: 40, seed: 4 });
        assert_ne!(
            some,
            shown(&sweep(&[("a", "1..20"), ("b", "1..5")], None, other))
        );
        let more = Some(Sample { size: 400, seed: 4 });
        assert_eq!(
            all,
            shown(&sweep(&[("a", "1..20"), ("b", "1..5")], None, more))
        );
    }

    #[test]
    fn a_sample_of_a_huge_sweep_is_no_trouble() {
        let huge = [
            ("a", "1..999999999"),
            ("b", "1..999999999"),
            ("c", "1..999999999"),
        ];
        let sweep = sweep(&huge, None, Some(Sample { size: 5, seed: 1 }));
        assert_eq!(sweep.count(), 5);
        assert_eq!(shown(&sweep).len(), 5);
    }

    #[test]
    fn the_parts_make_the_whole() {
        let sweep = sweep(&[("a", "1..10")], None, None);
        let part = |part| sweep.numbers(Some(Shard { part, of: 3 })).unwrap();
        assert_eq!(part(1), [1, 4, 7, 10]);
        assert_eq!(part(2), [2, 5, 8]);
        assert_eq!(part(3), [3, 6, 9]);
        assert!(
            sweep
                .numbers(Some(Shard { part: 40, of: 50 }))
                .unwrap()
                .is_empty()
        );
        for bad in ["0/3", "4/3", "1", "a/b", "1/0"] {
            assert!(Shard::read(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn too_large_says_how_large() {
        let axes = || vec![Axis::read("a", "1..10000000").unwrap()];
        let sweep = Sweep::new(axes(), None, None).unwrap();
        let error = sweep.numbers(None).unwrap_err();
        assert!(error.to_string().contains("10 000 000"), "{error}");
        assert_eq!(
            sweep
                .numbers(Some(Shard { part: 7, of: 100 }))
                .unwrap()
                .len(),
            100_000
        );
        assert!(Sweep::new(axes(), Some("1..100"), None).is_err());
        for seeds in ["-1..3", "1.5", "0.5..2..0.5", "x"] {
            assert!(Sweep::new(axes(), Some(seeds), None).is_err(), "{seeds}");
        }
        let twice = vec![Axis::read("a", "1").unwrap(), Axis::read("a", "2").unwrap()];
        assert!(Sweep::new(twice, None, None).is_err());
    }
}
