//! A picture that a run made: its panels, and what is worked out of them once.

use std::sync::{Arc, OnceLock};

use super::tiles_json::tiles_json;
use super::told::PictureJson;
use crate::layout::panel::Panel;
use crate::recipe::outcome::Outcome;
use crate::session::Opened;

/// What a run made.
#[derive(Debug)]
pub(super) struct Made {
    /// Its number among the pictures of this page.
    pub(super) id: u64,
    /// The recipe as it was read.
    pub(super) opened: Opened,
    /// The panels.
    pub(super) outcome: Outcome,
    told: OnceLock<PictureJson>,
    tiles: Vec<OnceLock<Arc<str>>>,
}

impl Made {
    pub(super) fn new(id: u64, opened: Opened, outcome: Outcome) -> Self {
        let tiles = outcome.panels.iter().map(|_| OnceLock::new()).collect();
        Self {
            id,
            opened,
            outcome,
            told: OnceLock::new(),
            tiles,
        }
    }

    /// Whether both show the same panels.
    pub(super) fn looks_like(&self, other: &Self) -> bool {
        self.outcome.panels == other.outcome.panels
    }

    /// What pages are told of it, worked out at the first call.
    pub(super) fn told(&self) -> &PictureJson {
        self.told.get_or_init(|| PictureJson::of(&self.outcome))
    }

    /// One of its panels.
    pub(super) fn panel(&self, number: usize) -> Option<&Panel> {
        self.outcome.panels.get(number)
    }

    /// The tiles of one of its panels as JSON, worked out at the first call.
    pub(super) fn tiles(&self, number: usize) -> Option<Arc<str>> {
        let panel = self.panel(number)?;
        let once = self.tiles.get(number)?;
        Some(Arc::clone(once.get_or_init(|| tiles_json(panel).into())))
    }
}
