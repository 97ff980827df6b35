//! A sweep as a list of cards, to be asked for one by one.

use super::card::Card;
use crate::explore::axis::Axis;
use crate::explore::sweep::{MOST_AT_ONCE, Sample, Sweep};

/// What a sample of a sweep starts from.
const SAMPLE_SEED: u64 = 1;

/// The cards of a sweep over the values of some parameters, and seeds.
///
/// # Errors
/// What is wrong with the values, or that there are too many.
pub(super) fn cards(
    set: &[(String, String)],
    seeds: Option<&str>,
    sample: Option<u64>,
) -> Result<Vec<Card>, String> {
    let axes = set.iter().map(|(name, values)| Axis::read(name, values));
    let axes = axes.collect::<Result<_, _>>().map_err(|e| e.to_string())?;
    let sample = sample.map(|size| Sample {
        size: size.min(MOST_AT_ONCE),
        seed: SAMPLE_SEED,
    });
    let sweep = Sweep::new(axes, seeds, sample).map_err(|e| e.to_string())?;
    let numbers = sweep.numbers(None).map_err(|e| e.to_string())?;
    let card = |number| {
        let combination = sweep.combination(number);
        Card {
            set: combination.set.into_iter().collect(),
            seed: combination.seed.map(|seed| seed.to_string()),
            ..Card::default()
        }
    };
    Ok(numbers.into_iter().map(card).collect())
}
