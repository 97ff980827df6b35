//! The index of a folder of variations: the settings of each, and its result.
//!
//! The form is documented in `docs/variations-json.md`. Its `version` grows when a field changes its
//! meaning or is removed; new fields may be added without that. Lengths in mm, areas in mm^2, angles
//! in degrees.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::alike::Looks;
pub use super::parameter_value::ParameterValue;
use super::pinned::Pinned;
use super::sweep::{Sample, Shard, Sweep};
use crate::appearance::Look;
use crate::bundle::versioned::{self, Unread};
use crate::recipe::about::About;
use crate::recipe::formula::Formula;

/// What `schema` says.
pub const SCHEMA: &str = "plyloom-variations";
/// The version that is written, and the newest that is read.
pub const VERSION: u32 = 1;

/// A folder of variations.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Index {
    /// What the variations are of.
    #[serde(flatten)]
    pub head: Head,
    /// What the contact sheet shows.
    pub shown: SheetSelection,
    /// All of them, by number.
    pub variations: Vec<Variation>,
}

/// What was varied in a folder of variations. A run with the same head continues the work of the
/// run before.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Head {
    /// Always [`SCHEMA`].
    pub schema: String,
    /// The version of this form.
    pub version: u32,
    /// The recipe.
    pub recipe: RecipeRef,
    /// The sweep.
    pub sweep: SweepRef,
    /// How the pictures are looked at.
    #[serde(default)]
    pub look: LookRef,
    /// SHA-256 of the shop file that costs are counted with; none for common values.
    #[serde(default)]
    pub shop_sha256: Option<String>,
}

/// How the pictures of an index were looked at.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct LookRef {
    /// Light, finish, eyes and distance.
    #[serde(flatten)]
    pub seen: Look,
    /// Whether they have grain.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub grain: bool,
}

impl LookRef {
    /// In words: `light from 225°`, `finish oil`.
    pub fn words(&self) -> Vec<String> {
        let mut words = self.seen.words();
        words.extend(self.grain.then(|| "grain".to_owned()));
        words
    }
}

/// Which recipe.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct RecipeRef {
    /// Its path from the folder, with `/` between names.
    pub path: String,
    /// SHA-256 of its text and of the modules that the first variation read.
    pub sha256: String,
    /// What its author says of it.
    #[serde(default)]
    pub about: About,
}

/// A sweep, as typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SweepRef {
    /// The parameters with their values as typed; the first one changes slowest.
    pub parameters: Vec<ParameterSetting>,
    /// The seeds as typed, which turn fastest.
    pub seeds: Option<String>,
    /// Parameters that a pinned choice sets, where the sweep is of one.
    #[serde(default)]
    pub fixed: Vec<ParameterSetting>,
    /// The seed that a pinned choice sets.
    #[serde(default)]
    pub fixed_seed: Option<u64>,
    /// How many are made, all parts together.
    pub count: u64,
    /// Which of all combinations, when not all.
    pub sample: Option<Sample>,
    /// Which part of them is here, when not all.
    pub shard: Option<Shard>,
}

/// A parameter and a value, or values, as typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ParameterSetting {
    /// The parameter.
    pub name: String,
    /// As typed after `--set NAME=`.
    pub value: String,
}

/// The variations that the contact sheet shows, and how they were chosen.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct SheetSelection {
    /// Which variations count as the same: `lying`, `turned` or `over`.
    pub alike: String,
    /// What they are sorted by, where that is not their number.
    pub sort: Option<String>,
    /// Conditions that they meet.
    pub only: Vec<String>,
    /// How many are kept, spread out over the measures.
    pub keep: Option<usize>,
    /// How many of the best are kept; where this is set, others have no picture.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub best: Option<usize>,
    /// Their numbers, in the order of the sheet.
    pub numbers: Vec<u64>,
}

/// One variation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Variation {
    /// Its number, from 1.
    pub number: u64,
    /// The values that the sweep gave.
    pub set: Vec<ParameterSetting>,
    /// The seed that the sweep gave.
    pub seed: Option<u64>,
    /// What came of it.
    pub result: VariationResult,
}

/// The result of a variation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum VariationResult {
    /// Panels.
    Made(Box<MadeVariation>),
    /// None.
    Failed(Failed),
}

/// A variation that was made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MadeVariation {
    /// The seed that its random choices started from.
    pub seed: u64,
    /// SHA-256 of the recipe's text and of the modules that this variation read.
    pub recipe_sha256: String,
    /// All parameters of the recipe with the values of this variation.
    pub parameters: Vec<ParameterValue>,
    /// Its panels, in the recipe's order.
    pub panels: Vec<PanelFacts>,
    /// Figures to sort and choose by, the panels taken together; none where one is not defined.
    pub measures: BTreeMap<String, Option<f64>>,
    /// The same for panels that are alike.
    pub looks: Looks,
    /// The first variation that is the same as this one, where that is another.
    pub same_as: Option<u64>,
    /// Of the first of those that are the same: how many they are. 0 for the others.
    pub times: u64,
}

/// One panel of a variation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PanelFacts {
    /// Its name.
    pub name: String,
    /// The file of its picture, from the folder; empty, and left out, where it was only measured.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub picture: String,
    /// SHA-256 of that file.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub picture_sha256: String,
    /// Finished width.
    pub width_mm: f64,
    /// Finished height.
    pub height_mm: f64,
    /// The wood that stays.
    pub net_area_mm2: f64,
    /// Joints between neighbours.
    pub joints: u64,
    /// Joints through which lines run on.
    pub joints_matched: u64,
    /// Tiles that stay whole.
    pub whole: u64,
    /// Tiles that the trim cuts.
    pub trimmed: u64,
    /// By kind and pose.
    pub tally: Vec<TallyRow>,
}

/// Tiles of one kind in one pose.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TallyRow {
    /// The kind's name.
    pub kind: String,
    /// Degrees clockwise, after the flip.
    pub turn: f64,
    /// Whether the back of the slice shows.
    pub flip: bool,
    /// How many stay whole.
    pub whole: u64,
    /// How many the trim cuts.
    pub trimmed: u64,
}

/// Why a variation was not made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Failed {
    /// A stable code, such as `recipe::parameter_value`.
    pub code: String,
    /// One sentence.
    pub message: String,
    /// Line and column in the recipe or module, where one is to blame.
    pub place: Option<String>,
    /// What to try.
    pub help: Option<String>,
}

/// Why a text is no index.
#[derive(Debug, thiserror::Error)]
pub enum IndexError {
    /// Not of this form.
    #[error("it is not an index of variations: {0}")]
    NotOne(String),
    /// From a later program.
    #[error("it has format {found}; this program reads up to format {VERSION}")]
    Newer {
        /// Its version.
        found: u64,
    },
}

impl Head {
    /// The head of a sweep's folder; of the recipe that a choice was pinned of, where it was one.
    pub fn new(
        recipe: RecipeRef,
        sweep: &Sweep,
        shard: Option<Shard>,
        pinned: Option<&Pinned>,
        (look, shop_sha256): (LookRef, Option<String>),
    ) -> Self {
        let setting = |name: &str, value: &str| ParameterSetting {
            name: name.to_owned(),
            value: value.to_owned(),
        };
        Self {
            schema: SCHEMA.to_owned(),
            version: VERSION,
            recipe,
            sweep: SweepRef {
                parameters: (sweep.axes().iter())
                    .map(|axis| setting(axis.name(), axis.typed()))
                    .collect(),
                seeds: sweep.seeds().map(|s| s.typed().to_owned()),
                fixed: (pinned.iter().flat_map(|p| &p.parameters))
                    .map(|p| setting(&p.name, &p.value.to_string()))
                    .collect(),
                fixed_seed: pinned.map(|p| p.seed),
                count: sweep.count(),
                sample: sweep.sample(),
                shard,
            },
            look,
            shop_sha256,
        }
    }

    /// Reads a head alone, from whatever follows it.
    ///
    /// # Errors
    /// When the text is no JSON of this form, or of a later one.
    pub fn read(text: &str) -> Result<Self, IndexError> {
        checked(text)
    }
}

impl Index {
    /// Reads an index.
    ///
    /// # Errors
    /// When the text is no JSON of this form, or of a later one.
    pub fn read(text: &str) -> Result<Self, IndexError> {
        checked(text)
    }

    /// As it is written.
    #[allow(clippy::missing_panics_doc, reason = "only an invariant is expected")]
    pub fn json(&self) -> String {
        let mut text =
            serde_json::to_string_pretty(self).expect("invariant: every field has a form in JSON");
        text.push('\n');
        text
    }

    /// The variation of a number.
    pub fn variation(&self, number: u64) -> Option<&Variation> {
        self.variations.iter().find(|v| v.number == number)
    }
}

impl Variation {
    /// Its panels, where it made some.
    pub fn made(&self) -> Option<&MadeVariation> {
        match &self.result {
            VariationResult::Made(made) => Some(made),
            VariationResult::Failed(_) => None,
        }
    }
}

impl MadeVariation {
    /// A measure; none where it is not defined.
    pub fn measure(&self, name: &str) -> Option<f64> {
        self.measures.get(name).copied().flatten()
    }

    /// A formula of measures; none where it is not defined.
    pub fn value(&self, formula: &Formula) -> Option<f64> {
        formula.value(|name| self.measure(name))
    }

    /// Whether all its panels have a picture.
    pub fn drawn(&self) -> bool {
        self.panels.iter().all(|panel| !panel.picture.is_empty())
    }
}

fn checked<T: serde::de::DeserializeOwned>(text: &str) -> Result<T, IndexError> {
    versioned::read(text, SCHEMA, VERSION).map_err(|error| match error {
        Unread::NotOne(why) => IndexError::NotOne(why),
        Unread::Newer(found) => IndexError::Newer { found },
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const EMPTY: &str = r#"{"schema":"plyloom-variations","version":1,
        "recipe":{"path":"../a.rhai","sha256":"00"},
        "sweep":{"parameters":[{"name":"a","value":"1..3"}],"seeds":null,"count":3,"sample":null,
                 "shard":{"part":1,"of":2}},
        "shown":{"alike":"turned","sort":null,"only":[],"keep":null,"numbers":[]},
        "variations":[{"number":1,"set":[],"seed":7,
            "result":{"failed":{"code":"c","message":"m","place":null,"help":null}}}]}"#;

    #[test]
    fn what_is_written_is_read() {
        let index = Index::read(EMPTY).unwrap();
        assert_eq!(index.head.sweep.shard, Some(Shard { part: 1, of: 2 }));
        assert_eq!(Index::read(&index.json()).unwrap(), index);
        assert_eq!(Head::read(EMPTY).unwrap(), index.head);
    }

    #[test]
    fn a_later_form_and_other_files_are_told_apart() {
        let later = EMPTY.replace("\"version\":1", "\"version\":7");
        assert!(matches!(
            Index::read(&later),
            Err(IndexError::Newer { found: 7 })
        ));
        for other in ["", "[]", "{}", "{\"schema\":\"plyloom-variations\"}"] {
            assert!(
                matches!(Index::read(other), Err(IndexError::NotOne(_))),
                "{other}"
            );
        }
    }
}
