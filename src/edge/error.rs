//! Why no layers were found.

/// Why nothing was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotFound {
    /// Too few pixels.
    TooSmall,
    /// No borders in it.
    NoBorders,
    /// Fewer than were asked for.
    TooFew(usize),
}
