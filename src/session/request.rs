//! What a session can be asked, and what it answers. Both have a form in JSON.

use std::sync::Arc;

use serde::{Deserialize, Serialize};

use super::card::{Card, MadeCard};
use super::drawing::Asked;
use super::fault::Fault;
use super::knobs::Turn;
use crate::explore::kept_look::KeptLook;

/// One question. Pictures go by their number, panels count from 0.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "ask", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Request {
    /// Reads the recipe again and carries it out.
    Run,
    /// What there is to see; pictures that the asker has are left out.
    State {
        /// Their numbers.
        #[serde(default)]
        known: Vec<u64>,
    },
    /// Turns knobs and carries the recipe out.
    Turn {
        /// Which way.
        turn: Turn,
    },
    /// The tiles of a panel: where each lies and how it stands.
    Tiles {
        /// The picture.
        picture: u64,
        /// The panel.
        panel: usize,
    },
    /// A panel or a part of it as SVG.
    Drawing {
        /// The picture.
        picture: u64,
        /// The panel.
        panel: usize,
        /// Which part, and how it is looked at.
        #[serde(default)]
        asked: Asked,
    },
    /// The same as PNG.
    Pixels {
        /// The picture.
        picture: u64,
        /// The panel.
        panel: usize,
        /// Which part, and how it is looked at.
        #[serde(default)]
        asked: Asked,
    },
    /// The tile that lies under a point.
    Tile {
        /// The picture.
        picture: u64,
        /// The panel.
        panel: usize,
        /// From the left in mm.
        x: f64,
        /// From the top in mm.
        y: f64,
    },
    /// A variation, small.
    Card {
        /// Which.
        card: Card,
    },
    /// The variations of a sweep, as cards to ask for one by one.
    Sweep {
        /// Parameters with their values as typed: `8..14..2`, `45,60`.
        set: Vec<(String, String)>,
        /// Seeds in the same way.
        seeds: Option<String>,
        /// How many of all are taken, where not all are.
        sample: Option<u64>,
    },
    /// The plan of a panel.
    Plan {
        /// The picture.
        picture: u64,
        /// The panel.
        panel: usize,
        /// The text of a shop file; common values where there is none.
        shop: Option<String>,
    },
    /// A pinned choice of what is shown.
    Keep {
        /// The picture.
        picture: u64,
        /// The choice's name.
        name: String,
        /// How it is looked at.
        #[serde(default)]
        look: KeptLook,
    },
    /// The recipe with what is shown as its own defaults.
    Defaults {
        /// The picture.
        picture: u64,
    },
    /// The recipe with its modules and what was set, as one text.
    Pack {
        /// The picture.
        picture: u64,
    },
    /// The texts in a pack.
    Unpack {
        /// The pack.
        text: String,
    },
    /// The texts of the recipe shown and its modules.
    Texts {
        /// The picture.
        picture: u64,
    },
}

/// One answer.
#[derive(Debug, Serialize)]
#[serde(tag = "answer", content = "with", rename_all = "kebab-case")]
pub enum Answer {
    /// What there is to see, as JSON.
    State(serde_json::Value),
    /// The tiles of a panel, as text of JSON.
    Tiles(#[serde(serialize_with = "as_text")] Arc<str>),
    /// An SVG drawing.
    Drawing(String),
    /// A PNG picture.
    Pixels(#[serde(serialize_with = "as_base64")] Vec<u8>),
    /// The number of the tile under a point in the list of [`Request::Tiles`]; none where none lies.
    Tile(Option<usize>),
    /// A variation.
    Card(Box<MadeCard>),
    /// Why a variation cannot be made.
    Fault(Box<Fault>),
    /// The cards of a sweep.
    Sweep(Vec<Card>),
    /// A plan in short.
    Plan(Vec<Part>),
    /// Texts under the names of files: what was kept, packed or unpacked.
    Texts(Vec<(String, String)>),
}

/// A part of a plan in short: a title and lines below it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Part {
    /// The title.
    pub title: String,
    /// The lines; those that belong to one above them are set in by two blanks.
    pub lines: Vec<String>,
}

/// Why there is no answer, in one sentence without a full stop.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, thiserror::Error)]
#[error("{message}")]
pub struct Refusal {
    /// What is wrong.
    pub message: String,
}

impl<T: Into<String>> From<T> for Refusal {
    fn from(message: T) -> Self {
        let message = message.into();
        Self { message }
    }
}

fn as_text<S: serde::Serializer>(text: &Arc<str>, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(text)
}

fn as_base64<S: serde::Serializer>(bytes: &[u8], to: S) -> Result<S::Ok, S::Error> {
    use base64::Engine as _;
    base64::engine::general_purpose::STANDARD
        .encode(bytes)
        .serialize(to)
}
