//! What a maker sets for a run.

use std::num::NonZeroUsize;

use crate::recipe::settings::{Budget, Settings};
use crate::watch::Watch;

/// Values that are typed or turned. They go before those that a choice pins, and these before those
/// of a pack.
#[derive(Debug, Clone, PartialEq)]
pub struct Typed {
    /// Parameters with their values as typed; a later one of the same name goes before an earlier.
    pub set: Vec<(String, String)>,
    /// The seed.
    pub seed: Option<u64>,
    /// The bounds of the run.
    pub budget: Budget,
    /// The watch over all the work that the run is a part of: see [`Settings::watch`].
    pub watch: Option<Watch>,
    /// How many threads may call pure functions side by side.
    pub threads: NonZeroUsize,
}

impl Default for Typed {
    /// Nothing, on one thread.
    fn default() -> Self {
        Self::within(Budget::default())
    }
}

impl Typed {
    /// Nothing, on one thread within these bounds.
    pub fn within(budget: Budget) -> Self {
        let Settings {
            set, seed, threads, ..
        } = Settings::default();
        Self {
            set,
            seed,
            budget,
            watch: None,
            threads,
        }
    }
}
