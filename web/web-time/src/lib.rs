//! In the place of the crate of this name: a clock that stands still.
//!
//! The solver of scraps asks for the time to report how long it took, and to end a search that was given
//! a limit in seconds. Plyloom gives it none, as the same recipe must give the same plan on any machine.

pub use std::time::Duration;

/// A moment; all of them are the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Instant;

impl Instant {
    /// Now.
    #[must_use]
    pub fn now() -> Self {
        Self
    }

    /// No time.
    #[must_use]
    pub fn elapsed(&self) -> Duration {
        Duration::ZERO
    }

    /// The moment after some time, which never comes.
    #[must_use]
    pub fn checked_add(&self, _: Duration) -> Option<Self> {
        None
    }

    /// No time.
    #[must_use]
    pub fn duration_since(&self, _: Self) -> Duration {
        Duration::ZERO
    }
}
