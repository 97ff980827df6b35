//! A watch with the clock and memory of this process.

#[cfg(not(target_family = "wasm"))]
use std::time::{Duration, Instant};
#[cfg(target_family = "wasm")]
use std::{sync::OnceLock, time::Duration};

use super::settings::Budget;
use crate::watch::{Bounds, Gauge, Watch};

/// A watch over work that begins now, within a budget. Another thread has to look at it
/// ([`Watch::look`]).
#[cfg(not(target_family = "wasm"))]
pub fn begin(budget: &Budget) -> Watch {
    since(memory().unwrap_or(0), budget)
}

/// The same; its memory is counted from `before`, in bytes of this process.
#[cfg(not(target_family = "wasm"))]
pub fn since(before: usize, budget: &Budget) -> Watch {
    let bounds = Bounds {
        time: budget.time,
        memory: budget.memory,
    };
    let meter = Meter {
        began: Instant::now(),
        memory: before,
    };
    Watch::new(bounds, meter)
}

/// A watch over work on the only thread of WebAssembly, where a clock was set; code that never asks is
/// bounded by the embedder, which gave it the thread and the memory.
#[cfg(target_family = "wasm")]
pub fn begin(budget: &Budget) -> Watch {
    let Some(&clock) = CLOCK.get() else {
        return Watch::unbounded();
    };
    let bounds = Bounds {
        time: budget.time,
        memory: budget.memory,
    };
    let (began, memory) = (clock(), memory());
    Watch::alone(
        bounds,
        Meter {
            clock,
            began,
            memory,
        },
    )
}

/// The clock of WebAssembly, which has none of its own.
#[cfg(target_family = "wasm")]
static CLOCK: OnceLock<fn() -> Duration> = OnceLock::new();

/// Sets the clock of all runs: the time since some moment. The first one stays.
#[cfg(target_family = "wasm")]
pub fn set_clock(clock: fn() -> Duration) {
    let _ = CLOCK.set(clock);
}

/// That clock, and the memory of this instance, which grows and never shrinks.
#[cfg(target_family = "wasm")]
struct Meter {
    clock: fn() -> Duration,
    began: Duration,
    memory: usize,
}

#[cfg(target_family = "wasm")]
impl Gauge for Meter {
    fn elapsed(&self) -> Duration {
        (self.clock)().saturating_sub(self.began)
    }

    fn memory(&self) -> Option<usize> {
        Some(memory().saturating_sub(self.memory))
    }
}

/// Bytes of this instance's memory.
#[cfg(target_family = "wasm")]
fn memory() -> usize {
    /// WebAssembly Core Specification, section 4.2.8: a page of memory has 64 KiB.
    const PAGE: usize = 65_536;
    core::arch::wasm32::memory_size::<0>() * PAGE
}

/// The clock and memory of this process.
#[cfg(not(target_family = "wasm"))]
struct Meter {
    began: Instant,
    memory: usize,
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
pub fn memory() -> Option<usize> {
    memory_stats::memory_stats().map(|stats| stats.physical_mem)
}

/// Without the feature `program` the system is not asked.
#[cfg(all(not(feature = "program"), not(target_family = "wasm")))]
fn memory() -> Option<usize> {
    None
}
