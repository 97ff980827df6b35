//! The watch over one run, looked after from outside of it: clock, memory, and whether anybody waits.
//!
//! The thread that asked for the evaluation has nothing else to do, so it looks every few
//! milliseconds. The script then only reads a flag at each operation, and a single operation that
//! copies much cannot slip between two looks at every so many operations.

#[cfg(not(target_family = "wasm"))]
use std::{
    sync::mpsc::{Receiver, RecvTimeoutError},
    time::{Duration, Instant},
};

#[cfg(not(target_family = "wasm"))]
use super::run::Run;
use super::settings::Budget;
use crate::watch::Watch;
#[cfg(not(target_family = "wasm"))]
use crate::watch::{Alarm, Bounds, Gauge};

/// Time between two looks.
#[cfg(not(target_family = "wasm"))]
const EVERY: Duration = Duration::from_millis(2);

/// Looks until the other end of `ended` is dropped; raises an alarm when a bound is passed, or
/// nobody waits for the run any more.
#[cfg(not(target_family = "wasm"))]
pub(super) fn watch(run: &Run, ended: &Receiver<()>) {
    while ended.recv_timeout(EVERY) == Err(RecvTimeoutError::Timeout) {
        let watch = run.watch();
        watch.look();
        // A run whose thread got a smaller stack than it was to have may take less than all the work.
        let most = run.settings().budget.memory;
        if most < watch.bounds().memory && watch.memory() > Some(most) {
            watch.raise(Alarm::Memory);
        }
        if !run.host().is_wanted() {
            watch.raise(Alarm::Recalled);
        }
    }
}

/// A watch over work that begins now, within a budget. Somebody has to look ([`Watch::look`]).
#[cfg(not(target_family = "wasm"))]
#[must_use]
pub fn begin(budget: &Budget) -> Watch {
    let bounds = Bounds {
        time: budget.time,
        memory: budget.memory,
    };
    Watch::new(bounds, Meter::begin())
}

/// A watch over work in a browser, where the page ends what takes too long.
#[cfg(target_family = "wasm")]
#[must_use]
pub fn begin(_: &Budget) -> Watch {
    Watch::unbounded()
}

/// The clock and memory of this process.
#[cfg(not(target_family = "wasm"))]
struct Meter {
    began: Instant,
    memory: usize,
}

#[cfg(not(target_family = "wasm"))]
impl Meter {
    fn begin() -> Self {
        Self {
            began: Instant::now(),
            memory: memory().unwrap_or(0),
        }
    }
}

#[cfg(not(target_family = "wasm"))]
impl Gauge for Meter {
    fn elapsed(&self) -> Duration {
        self.began.elapsed()
    }

    fn memory(&self) -> Option<usize> {
        Some(memory()?.saturating_sub(self.memory))
    }
}

/// Bytes of memory that this process takes now; none where the system does not say.
#[cfg(feature = "program")]
fn memory() -> Option<usize> {
    memory_stats::memory_stats().map(|stats| stats.physical_mem)
}

/// Without the program's features nobody asks the system.
#[cfg(all(not(feature = "program"), not(target_family = "wasm")))]
fn memory() -> Option<usize> {
    None
}
