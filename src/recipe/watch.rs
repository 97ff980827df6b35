//! The watch over one run: clock and memory, and whether anybody still waits, looked at from outside.
//!
//! The thread that asked for the evaluation has nothing else to do, so it looks every few
//! milliseconds. The script then only reads a flag at each operation, and a single operation that
//! copies much cannot slip between two looks at every so many operations.

use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::{Duration, Instant};

use super::run::Run;
use super::spending::Alarm;

/// Time between two looks.
const EVERY: Duration = Duration::from_millis(2);

/// Watches until the other end of `ended` is dropped; raises an alarm when a bound is passed, or
/// nobody waits for the run any more.
pub(super) fn watch(run: &Run, ended: &Receiver<()>) {
    let budget = &run.settings().budget;
    let started = Instant::now();
    let memory_at_start = memory();
    while ended.recv_timeout(EVERY) == Err(RecvTimeoutError::Timeout) {
        if started.elapsed() > budget.time {
            run.spending().raise(Alarm::Time);
        } else if memory().saturating_sub(memory_at_start) > budget.memory {
            run.spending().raise(Alarm::Memory);
        } else if !run.host().is_wanted() {
            run.spending().raise(Alarm::Recalled);
        }
    }
}

/// Bytes of memory that this process takes now; 0 where the system does not say.
#[cfg(feature = "program")]
fn memory() -> usize {
    memory_stats::memory_stats().map_or(0, |stats| stats.physical_mem)
}

/// Without the program's features nobody asks the system.
#[cfg(not(feature = "program"))]
fn memory() -> usize {
    0
}
