//! The requests to a session, and its answers. Both have a form in JSON.

use std::sync::Arc;

use serde::{Deserialize, Serialize};

use super::card::{Card, MadeCard};
use super::drawing::DrawingRequest;
use super::fault::FaultReport;
use super::hands::Hands;
use super::keep::Keep;
use super::knobs::Turn;
use super::own_text::{NewText, ToParameter};
use super::photo::EdgePhoto;
use super::planned::{Paper, Sheet};
use super::rim::Drag;
use super::run_error::Ended;
use super::states::StatesChange;
use super::steps::Go;
use super::values::{PutValue, ValueParameter};
use crate::appearance::Look;
pub use crate::plan::shop::sliced::Sliced;

/// A panel of a picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PanelOf {
    /// The picture.
    pub picture: u64,
    /// The panel.
    pub panel: usize,
}

/// A panel of a picture, or a part of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ViewOf {
    /// The picture.
    pub picture: u64,
    /// The panel.
    pub panel: usize,
    /// Which part, and how it is looked at.
    #[serde(default)]
    pub asked: DrawingRequest,
}

/// One question. Pictures go by their number, panels count from 0.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "ask", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Request {
    /// Reads the recipe again and carries it out.
    Run,
    /// The state that is shown; pictures that the asker has already are left out.
    State {
        /// Their numbers.
        #[serde(default)]
        known: Vec<u64>,
    },
    /// The recipe that was carried out last in short: what its author says, and a card of it; or why there is none.
    Short,
    /// Turns knobs; a run is to follow.
    Turn {
        /// Which way.
        turn: Turn,
    },
    /// The tiles of a panel: where each lies and how it stands.
    Tiles(PanelOf),
    /// What is painted for each face of a panel.
    Faces(ViewOf),
    /// A panel or a part of it as SVG.
    Drawing(ViewOf),
    /// The same as PNG.
    Pixels(ViewOf),
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
    /// The plan of a panel in short.
    Plan {
        /// The picture.
        picture: u64,
        /// The panel.
        panel: usize,
        /// The name of a shop file; common values where there is none.
        shop: Option<String>,
        /// What is sliced; as the shop file has it where that is not said.
        #[serde(default)]
        way: Option<Sliced>,
    },
    /// A paper of the plan.
    Paper {
        /// The picture.
        picture: u64,
        /// The panel.
        panel: usize,
        /// Which.
        sheet: Sheet,
        /// The name of a shop file; common values where there is none.
        shop: Option<String>,
        /// What is sliced; as the shop file has it where that is not said.
        #[serde(default)]
        way: Option<Sliced>,
    },
    /// What can be laid on a panel.
    Tray(PanelOf),
    /// The ways to go on from what was laid.
    Offers(PanelOf),
    /// What edits would come to.
    Try {
        /// The edits.
        hands: Hands,
    },
    /// Writes edits by hand into the recipe; a run is to follow.
    Lay {
        /// The edits.
        hands: Hands,
    },
    /// The handles of a panel's outline.
    Handles(PanelOf),
    /// What a drag of a handle would come to.
    TryDrag {
        /// Which.
        drag: Drag,
    },
    /// Writes the result of a drag into the recipe; a run is to follow.
    Drag {
        /// Which.
        drag: Drag,
    },
    /// The recipe's text, with its mark.
    Text,
    /// Writes a text into the recipe; a run is to follow.
    Write {
        /// The text.
        new: NewText,
    },
    /// The text with a value as a parameter.
    Parameter {
        /// Which value.
        value: ToParameter,
    },
    /// The layers of a sheet from a photo of its edge.
    Layers {
        /// The photo, and where the faces are.
        photo: EdgePhoto,
    },
    /// The words of recipes.
    Words,
    /// The states that a maker went through.
    States,
    /// Keeps states.
    KeepStates {
        /// What is new of them.
        change: StatesChange,
    },
    /// Goes back to a state; a run is to follow.
    GoTo {
        /// Which.
        go: Go,
    },
    /// Carries a state out beside what is shown.
    See {
        /// Its number.
        number: u64,
    },
    /// Forgets all states.
    Forget,
    /// The plain values in the text of a picture's recipe.
    Values {
        /// The picture.
        picture: u64,
    },
    /// Writes another value into the recipe; a run is to follow.
    PutValue {
        /// Which.
        put: PutValue,
    },
    /// Makes a value a parameter; a run is to follow.
    ValueParameter {
        /// Which.
        to: ValueParameter,
    },
    /// The stars.
    Shortlist,
    /// Gives a variation a star.
    Star {
        /// Which.
        card: Card,
    },
    /// Takes a star away.
    Unstar {
        /// Its number.
        number: u64,
    },
    /// Keeps what is shown, or a star.
    Keep {
        /// How.
        keep: Keep,
    },
    /// The recipe with its modules and what was set, as a link; or what it has too many characters for.
    Link {
        /// The picture.
        picture: u64,
        /// How it is looked at.
        #[serde(default)]
        look: Look,
    },
    /// All texts that there are.
    Files,
    /// Puts texts at their paths, in the place of those that were there; a run is to follow.
    Put {
        /// Paths and texts.
        texts: Vec<(String, String)>,
    },
    /// Reports that the run of the recipe as it is now was ended from outside.
    Ended {
        /// Why.
        how: Ended,
    },
    /// The recipe with its modules and what was set, as one text.
    Pack {
        /// The picture.
        picture: u64,
    },
    /// The texts in a pack, a link, or a picture that carries them.
    Unpack {
        /// Its bytes, in base64 (RFC 4648, section 4).
        base64: String,
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
    /// The tiles of a panel, or its faces, as text of JSON.
    Data(#[serde(serialize_with = "as_text")] Arc<str>),
    /// An SVG drawing.
    Drawing(String),
    /// A PNG picture.
    Pixels(#[serde(serialize_with = "as_base64")] Vec<u8>),
    /// The number of the tile under a point in the list of [`Request::Tiles`]; none where none lies.
    Tile(Option<usize>),
    /// A variation.
    Card(Box<MadeCard>),
    /// Why a variation cannot be made.
    Fault(Box<FaultReport>),
    /// The cards of a sweep.
    Sweep(Vec<Card>),
    /// An answer in JSON.
    Told(serde_json::Value),
    /// A paper of the plan.
    Paper(#[serde(serialize_with = "as_bytes")] Paper),
    /// The texts of a pack, and whether they are what was packed.
    Unpacked {
        /// Texts under the names of files: the recipe first.
        texts: Vec<(String, String)>,
        /// Whether its texts were changed since it was packed.
        changed: bool,
    },
    /// Texts under the names of files: what was kept, packed or unpacked.
    Texts(Vec<(String, String)>),
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

fn as_bytes<S: serde::Serializer>(paper: &Paper, to: S) -> Result<S::Ok, S::Error> {
    as_base64(&paper.bytes, to)
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
