//! How much is looked for at once.

/// The most cells that a repeat may have.
pub const MOST_CELLS: usize = 64;
/// The most variations that one run makes.
pub const MOST_AT_ONCE: u64 = 100_000;
/// The most variations of a sweep, all its parts together.
pub const MOST: u64 = 50_000_000;
/// The most parts of a sweep.
pub const MOST_PARTS: u64 = 1_000_000;
