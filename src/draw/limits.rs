//! The bounds of a picture.

/// The narrowest picture, in pixels.
pub const NARROWEST: u32 = 16;
/// The widest picture, in pixels.
pub const WIDEST: u32 = 20_000;
/// The most pixels of a picture: 400 MB while it is made.
pub const MOST_PIXELS: u64 = 100_000_000;
