//! What one run of a recipe is given beside its text.

use std::num::NonZeroUsize;
use std::time::Duration;

use super::parameter::Value;
use crate::watch::Watch;

/// The bounds of one run that a maker can raise. All of them hold in debug and release alike.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Budget {
    /// Script operations in the whole run, callbacks included (`--max-operations`).
    pub operations: u64,
    /// Time for the whole run, and on the command line for all that is made of it (`--max-seconds`).
    pub time: Duration,
    /// Tiles in all panels of the recipe together (`--max-tiles`).
    pub tiles: usize,
    /// Bytes by which the memory of this process may grow during the run (`--max-memory`, in MiB).
    /// Where the system does not tell how much memory a process takes, this bound is not held. The
    /// evaluating thread reserves three times as much for its stack; where the system refuses that,
    /// the bound is halved until it does not.
    pub memory: usize,
}

impl Default for Budget {
    /// Enough for any panel that a person will glue.
    fn default() -> Self {
        Self {
            operations: 10_000_000,
            time: Duration::from_mins(1),
            tiles: 100_000,
            memory: 256 * 1024 * 1024,
        }
    }
}

/// Seed, parameter values and bounds of one run.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// The seed, where the maker gives one; else the recipe's own, else 1.
    pub seed: Option<u64>,
    /// Parameter values that are known exactly, lengths in mm: those of a former run. What is typed
    /// goes before them.
    pub values: Vec<(String, Value)>,
    /// Parameter values as typed after `--set`: name and text.
    pub set: Vec<(String, String)>,
    /// The bounds.
    pub budget: Budget,
    /// The watch over all the work that this run is a part of; a run without one begins its own, with
    /// the bounds of its budget.
    pub watch: Option<Watch>,
    /// How many threads may call pure functions of the recipe side by side. The outcome is the same
    /// for any number.
    pub threads: NonZeroUsize,
}

impl Default for Settings {
    /// On one thread.
    fn default() -> Self {
        Self {
            seed: None,
            values: Vec::new(),
            set: Vec::new(),
            budget: Budget::default(),
            watch: None,
            threads: NonZeroUsize::MIN,
        }
    }
}

/// As many threads as the machine has cores for this process.
pub fn all_cores() -> NonZeroUsize {
    std::thread::available_parallelism().unwrap_or(NonZeroUsize::MIN)
}

impl Settings {
    /// The names of all parameters that are given a value.
    pub(crate) fn names_set(&self) -> impl Iterator<Item = &str> {
        let known = self.values.iter().map(|(name, _)| name.as_str());
        known.chain(self.set.iter().map(|(name, _)| name.as_str()))
    }
}
