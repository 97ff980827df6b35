//! The bounds of a panel.

/// Most columns or courses.
pub(super) const MOST_COUNTED: i64 = 1_000_000;

/// Smallest finished width or height, in mm.
pub(super) const SMALLEST: f64 = 1.0;

/// Largest finished width or height, and largest shift, in mm.
pub(super) const LARGEST: f64 = 100_000.0;
