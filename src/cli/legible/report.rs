//! The results on how panels read from far away.

use crate::appearance::apart::PaletteColour;
use crate::appearance::change::{Readability, Tried};
use crate::appearance::legibility::Legibility;
use crate::appearance::window::Best;

/// The results for one panel.
#[derive(Debug)]
pub(super) struct PanelReport {
    /// Its name.
    pub(super) name: String,
    /// Its bars, each with the names of the tiles that are sliced from it.
    pub(super) bars: Vec<BarReport>,
    /// Dyes that stay apart from all of its colours, the farthest first.
    pub(super) dyes: Vec<PaletteColour>,
    /// Objects and the best places for them; none where an object does not fit.
    pub(super) objects: Vec<(String, Option<Best>)>,
}

/// The results for a bar, and for all bars of the same sheets.
#[derive(Debug)]
pub(super) struct BarReport {
    /// The tiles.
    pub(super) tiles: Vec<String>,
    /// Its sheets.
    pub(super) sheets: Vec<Legibility>,
    /// How it reads without a change.
    pub(super) now: Readability,
    /// What was tried, the most helpful first.
    pub(super) tried: Vec<Tried>,
}
