//! Cards: small pictures of variations, each with the values that it was made with.

use std::collections::BTreeMap;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde::{Deserialize, Serialize};

use super::drawing::{DrawingRequest, drawing, pixels};
use super::knobs::{Knobs, seed};
use super::visible::visible;
use crate::appearance::Look;
use crate::appearance::relit::relit;
use crate::draw::{Ground, Thumbnails};
use crate::explore::index::ParameterValue;
use crate::layout::panel::Panel;
use crate::recipe::about::About;
use crate::recipe::outcome::Outcome;
use crate::recipe::parameter::{Parameter, Value};

/// Up to this many tiles a card is a drawing; beyond, it is made of pixels.
const MOST_DRAWN: usize = 600;
/// Width of a card's picture in pixels.
const CARD_WIDTH: u32 = 480;

/// What a card is to show, as a page sends it.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Card {
    /// Parameters that differ from the knobs, as typed.
    pub set: BTreeMap<String, String>,
    /// The seed, where it differs.
    pub seed: Option<String>,
    /// Which panel is shown, from 0.
    pub panel: usize,
    /// The number of the star, where the card is of one, in place of parameters and seed.
    pub star: Option<u64>,
    /// How it is looked at.
    pub look: Look,
}

/// A card that was made.
#[derive(Debug, Clone, Serialize)]
pub struct MadeCard {
    seed: String,
    values: Vec<ShownValue>,
    set: BTreeMap<String, String>,
    tiles: usize,
    joints: u64,
    matched: u64,
    /// In mm.
    width: Option<f64>,
    /// In mm.
    height: Option<f64>,
    picture: Option<CardPicture>,
}

/// A recipe in short: what its author says, and a card of it.
#[derive(Debug, Clone, Serialize)]
pub struct Short {
    about: About,
    card: MadeCard,
}

impl Short {
    /// Of what a run gave.
    pub fn of(outcome: &Outcome) -> Self {
        Self {
            about: outcome.about.clone(),
            card: MadeCard::of(outcome, 0, &Look::default()),
        }
    }
}

/// A parameter's value as a maker reads it.
#[derive(Debug, Clone, Serialize)]
pub struct ShownValue {
    /// The parameter.
    pub name: String,
    /// Its value, with a unit where it has one.
    pub shown: String,
}

#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
enum CardPicture {
    Drawing { kind: &'static str, text: String },
    Pixels { kind: &'static str, base64: String },
}

impl Card {
    /// The knobs of a state, and what differs.
    ///
    /// # Errors
    /// When the seed is none: a sentence says why.
    pub fn knobs(&self, own: &Knobs) -> Result<Knobs, String> {
        let mut knobs = own.clone();
        knobs.set.extend(self.set.clone());
        if let Some(typed) = &self.seed {
            knobs.seed = Some(seed(typed)?);
        }
        Ok(knobs)
    }
}

impl MadeCard {
    /// The card of a run's result: of this panel, or of the first where there is no such panel.
    pub fn of(outcome: &Outcome, number: usize, look: &Look) -> Self {
        let panel = outcome.panels.get(number).or(outcome.panels.first());
        let parameters = outcome.parameters.iter();
        let values = parameters.clone().map(|p| ShownValue {
            name: p.name.clone(),
            shown: visible(&p.shown()),
        });
        let set = parameters.map(|p| {
            let value = ParameterValue::from(p).value;
            (p.name.clone(), typed(&value, Some(p)))
        });
        Self {
            seed: outcome.seed.to_string(),
            values: values.collect(),
            set: set.collect(),
            tiles: outcome.panels.iter().map(|p| p.tiles.len()).sum(),
            joints: outcome.panels.iter().map(|p| p.joints.all).sum(),
            matched: outcome.panels.iter().map(|p| p.joints.matched).sum(),
            width: panel.map(|p| p.bounds.width()),
            height: panel.map(|p| p.bounds.height()),
            picture: panel.and_then(|panel| picture(panel, look)),
        }
    }
}

/// A value as it would be typed: a bare number counts in inches where the recipe does.
pub fn typed(value: &Value, parameter: Option<&Parameter>) -> String {
    match value {
        Value::Number(mm) if parameter.is_some_and(Parameter::is_in_inches) => format!("{mm} mm"),
        other => other.to_string(),
    }
}

fn picture(panel: &Panel, look: &Look) -> Option<CardPicture> {
    let asked = DrawingRequest::of_width(CARD_WIDTH, look);
    if panel.tiles.len() <= MOST_DRAWN
        && let Ok(text) = drawing(panel, &asked)
    {
        let kind = "image/svg+xml";
        return Some(CardPicture::Drawing { kind, text });
    }
    let png = match look.from {
        Some(_) => None,
        None => Thumbnails::new()
            .of(&relit(panel, *look), CARD_WIDTH, Ground::None)
            .and_then(|small| small.quick_png())
            .ok(),
    };
    let png = png.or_else(|| pixels(panel, &asked).ok())?;
    Some(CardPicture::Pixels {
        kind: "image/png",
        base64: STANDARD.encode(png),
    })
}
