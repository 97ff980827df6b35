//! In the place of the crate of this name, which weighs four times as much: the typeface that templates and
//! pictures are set in, as it is but for the hints for small screens, which nothing of ours reads. Glyphs,
//! their numbers, widths and kerning are the same, and so are the bytes of what is drawn with it.
//!
//! It was made by fontTools 4 (`subset` with all glyphs, `retain_gids`, without `hinting`), and has
//! `derivative` in its name, as its licence asks (`UFL.txt`).

/// The typeface.
pub const UBUNTU_LIGHT: &[u8] = include_bytes!("../ubuntu-derivative-plyloom-light.ttf");

/// What stands in for letters that it lacks: itself, so that they show as missing. No picture of the page
/// has text.
pub const HACK_REGULAR: &[u8] = UBUNTU_LIGHT;
