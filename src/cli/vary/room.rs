//! How much memory a variation may take, so that a sweep stays within its bound as a whole.
//!
//! Not all memory of a variation goes back to the system: the next one uses it again, or it is lost where
//! values of a recipe hold one another in a circle. So each may grow by what those before it have left of the
//! bound, and by a little at least.

use std::sync::atomic::{AtomicUsize, Ordering};

use crate::recipe::watch::memory;

const MIB: usize = 1024 * 1024;
/// How much each may grow whatever those before it have taken, as memory that is used again does not
/// count as growth.
const LEAST: usize = 8 * MIB;
/// A sweep that has grown by this many times its bound is ended, as that memory is lost for good.
const MOST: usize = 4;
/// Bytes that a known variation takes, by bytes of its line in the journal.
const BY_LINE: usize = 4;

/// The memory of a sweep.
pub(super) struct Room {
    /// What the process took when the sweep began; none where the system does not tell.
    start: Option<usize>,
    /// What all variations that are known take since then.
    kept: AtomicUsize,
}

impl Room {
    /// Of a sweep that begins now.
    pub(super) fn begin() -> Self {
        Self {
            start: memory(),
            kept: AtomicUsize::new(0),
        }
    }

    /// Does what is to stay in memory.
    pub(super) fn keep<T>(&self, work: impl FnOnce() -> T) -> T {
        let before = memory().unwrap_or(0);
        let done = work();
        let more = memory().unwrap_or(0).saturating_sub(before);
        self.kept.fetch_add(more, Ordering::Relaxed);
        done
    }

    /// Keeps a variation whose line in the journal has so many bytes.
    pub(super) fn keep_line(&self, bytes: usize) {
        self.kept.fetch_add(BY_LINE * bytes, Ordering::Relaxed);
    }

    /// How much memory counts as taken before those that are made now, where all of them together may grow by `bound`;
    /// none where the sweep has lost too much.
    pub(super) fn before(&self, bound: usize) -> Option<usize> {
        let Some((start, now)) = self.start.zip(memory()) else {
            return Some(0);
        };
        let before = start + self.kept.load(Ordering::Relaxed);
        let lost = now.saturating_sub(before) > bound.saturating_mul(MOST);
        (!lost).then(|| before.min(now).max((now + LEAST).saturating_sub(bound)))
    }
}
