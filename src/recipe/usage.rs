//! What a run has spent of its budget, and the faults when it spends too much.
//!
//! Rhai's own counter starts anew in every callback and does not see the loops of native code at
//! all; this one counts for the whole run.

use std::sync::atomic::{AtomicU64, AtomicUsize, Ordering};

use super::fault::Fault;
use super::kind::{Bound, Kind};
use super::settings::Budget;
use super::{ended, limits};
use crate::geom::number::grouped;
use crate::watch::{Alarm, Stopped, Watch};

/// The counters of one run.
#[derive(Debug)]
pub(super) struct Usage {
    budget: Budget,
    /// Shared by a run and its workers.
    watch: Watch,
    /// Only one thread adds to it: each worker has a count of its own.
    operations: AtomicU64,
    tiles: AtomicUsize,
    lines: AtomicUsize,
    /// Bytes of these lines.
    printed: AtomicUsize,
}

impl Usage {
    pub(super) fn new(budget: Budget, watch: Watch) -> Self {
        Self {
            budget,
            watch,
            operations: AtomicU64::new(0),
            tiles: AtomicUsize::new(0),
            lines: AtomicUsize::new(0),
            printed: AtomicUsize::new(0),
        }
    }

    /// The usage of a worker: from here on it may take as many operations as the run has left.
    pub(super) fn worker(&self) -> Self {
        let budget = Budget {
            operations: self.operations_left(),
            ..self.budget.clone()
        };
        Self::new(budget, self.watch.clone())
    }

    /// How many more operations there may be in this run.
    pub(super) fn operations_left(&self) -> u64 {
        self.budget.operations.saturating_sub(self.operations())
    }

    /// Takes the operations of workers into account; whether all are within the bound. If not, nothing
    /// is taken.
    pub(super) fn take(&self, operations: u64) -> bool {
        let all = self.operations().saturating_add(operations);
        let within = all <= self.budget.operations;
        if within {
            self.operations.store(all, Ordering::Relaxed);
        }
        within
    }

    /// Operations counted so far.
    pub(super) fn operations(&self) -> u64 {
        self.operations.load(Ordering::Relaxed)
    }

    /// Counts one operation of the script; the fault when a bound is passed.
    #[inline]
    pub(super) fn operation(&self) -> Option<Fault> {
        // Only this thread writes: a plain load and store take a tenth of a locked addition.
        let count = self.operations.load(Ordering::Relaxed) + 1;
        self.operations.store(count, Ordering::Relaxed);
        if count > self.budget.operations || self.watch.check().is_err() {
            return self.stopped();
        }
        None
    }

    /// Why the script is not to go on.
    #[cold]
    fn stopped(&self) -> Option<Fault> {
        let bound = self.budget.operations;
        if self.operations() > bound {
            return Some(
                Fault::new(
                    Kind::Bound(Bound::Operations { most: bound }),
                    format!("the recipe took more than {} steps", grouped(bound)),
                )
                .label("still running here")
                .help(ended::ENDLESS),
            );
        }
        self.pulse().err()
    }

    /// The watch over the run.
    pub(super) fn watch(&self) -> &Watch {
        &self.watch
    }

    /// The fault when an alarm was raised.
    pub(super) fn pulse(&self) -> Result<(), Fault> {
        match self.watch.check() {
            Ok(()) => Ok(()),
            Err(Stopped(alarm)) => Err(ended::fault(alarm, self.watch.bounds())),
        }
    }

    /// Counts tiles; the fault when all panels together have too many.
    pub(super) fn tiles(&self, tiles: usize) -> Result<(), Fault> {
        if tiles > self.tiles_left() {
            let bound = grouped(self.budget.tiles as u64);
            return Err(Fault::new(
                Kind::Bound(Bound::Tiles {
                    most: self.budget.tiles,
                }),
                format!("the recipe asks for more than {bound} tiles"),
            )
            .label("one too many here")
            .help("make the panel smaller"));
        }
        self.tiles.fetch_add(tiles, Ordering::Relaxed);
        self.pulse()
    }

    /// How many more tiles there may be.
    pub(super) fn tiles_left(&self) -> usize {
        let spent = self.tiles.load(Ordering::Relaxed);
        self.budget.tiles.saturating_sub(spent)
    }

    /// Counts a printed line of so many bytes; whether it may still be printed. Printing cannot fail in the engine,
    /// so an alarm ends the run at the next step.
    pub(super) fn line(&self, bytes: usize) -> bool {
        let lines = self.lines.fetch_add(1, Ordering::Relaxed);
        let printed = self.printed.fetch_add(bytes, Ordering::Relaxed);
        let within =
            lines < limits::PRINTED_LINES && printed.saturating_add(bytes) <= limits::PRINTED_BYTES;
        if !within {
            self.watch.raise(Alarm::Printing);
        }
        within
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tiles_are_counted_to_the_last_and_a_refusal_costs_none() {
        let budget = Budget {
            tiles: 10,
            ..Budget::default()
        };
        let usage = Usage::new(budget, Watch::unbounded());
        assert!(usage.tiles(4).is_ok());
        assert!(usage.tiles(usize::MAX).is_err());
        assert!(usage.tiles(7).is_err());
        assert!(usage.tiles(6).is_ok());
        assert_eq!(usage.tiles_left(), 0);
        assert_eq!(
            usage.tiles(1).unwrap_err().kind.code(),
            "recipe::too_many_tiles"
        );
    }
}
