//! A picture that a run made: its panels, and the results that are worked out from them once.

use std::sync::{Arc, OnceLock};

use super::Opened;
use super::picture_json::PictureJson;
use super::tiles_json::tiles_json;
use crate::layout::panel::Panel;
use crate::recipe::outcome::Outcome;

/// What a run made.
#[derive(Debug)]
pub struct RunResult {
    /// Its number among the pictures of this page.
    pub id: u64,
    /// The recipe as it was read.
    pub opened: Opened,
    /// The panels.
    pub outcome: Outcome,
    told: OnceLock<PictureJson>,
    tiles: Vec<OnceLock<Arc<str>>>,
}

impl RunResult {
    /// A picture of this number; its JSON is worked out at once, so that no page waits for it.
    pub fn new(id: u64, opened: Opened, outcome: Outcome) -> Self {
        let tiles = outcome.panels.iter().map(|_| OnceLock::new()).collect();
        let made = Self {
            id,
            opened,
            outcome,
            told: OnceLock::new(),
            tiles,
        };
        let _ = made.told();
        made
    }

    /// Whether both show the same panels.
    pub fn looks_like(&self, other: &Self) -> bool {
        self.outcome.panels == other.outcome.panels
    }

    /// Its JSON for pages, worked out at the first call.
    pub fn told(&self) -> &PictureJson {
        self.told.get_or_init(|| PictureJson::of(&self.outcome))
    }

    /// One of its panels.
    pub fn panel(&self, number: usize) -> Option<&Panel> {
        self.outcome.panels.get(number)
    }

    /// The tiles of one of its panels as JSON, worked out at the first call.
    pub fn tiles(&self, number: usize) -> Option<Arc<str>> {
        let panel = self.panel(number)?;
        let once = self.tiles.get(number)?;
        Some(Arc::clone(once.get_or_init(|| tiles_json(panel).into())))
    }
}
