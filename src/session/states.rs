//! The states of a panel that a maker went through: the knobs, the text of the recipe, the look, and a
//! small picture. One goes back to any of them.
//!
//! Lives here: their form, which of them are kept, and the bounds. Never here: where they are kept.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use crate::appearance::Look;
use crate::bundle::versioned::{self, Unread};

/// What `schema` says, and the version that is written and the newest that is read.
const SCHEMA: &str = "plyloom-states";
const VERSION: u32 = 1;
/// How many states are kept; the oldest go first.
const MOST: usize = 60;
/// Bytes of all of it as text; the oldest states go where they are more. A store reads no longer text than 1 MiB.
const MOST_BYTES: usize = 1000 * 1024;
/// The longest picture and the longest words in bytes, and the most values.
const LONGEST_PICTURE: usize = 64 * 1024;
const LONGEST_WORDS: usize = 4096;
const MOST_VALUES: usize = 500;

/// One state.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Step {
    /// Its number.
    pub number: u64,
    /// The state that it came from.
    pub from: Option<u64>,
    /// What changed, in words.
    pub words: String,
    /// What there was to see.
    pub set: StateValues,
    /// A small picture of it as a `data:` address.
    pub image: Option<String>,
}

/// All that makes a state.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StateValues {
    /// The knobs that were turned, as typed.
    pub knobs: BTreeMap<String, String>,
    /// The seed that was set.
    pub seed: Option<String>,
    /// All values as a maker reads them.
    pub shown: BTreeMap<String, String>,
    /// How it was looked at.
    pub look: Look,
    /// Which panel, from 0.
    pub panel: usize,
    /// The mark of the recipe's own text; none where it is no plain recipe.
    pub own: Option<String>,
    /// Digest of the recipe and its modules.
    pub text: String,
}

/// What a page has to say of states.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StatesChange {
    /// The state that is shown.
    pub at: Option<u64>,
    /// States that were left by going back.
    #[serde(default)]
    pub ahead: Vec<u64>,
    /// States that are new or another.
    #[serde(default)]
    pub put: Vec<Step>,
}

/// All states of a recipe.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct States {
    schema: String,
    version: u32,
    /// The state that is shown.
    pub at: Option<u64>,
    /// States that were left by going back.
    pub ahead: Vec<u64>,
    /// Texts of the recipe by their marks.
    texts: BTreeMap<String, String>,
    /// The states, the oldest first.
    pub states: Vec<Step>,
}

impl Default for States {
    fn default() -> Self {
        Self {
            schema: SCHEMA.to_owned(),
            version: VERSION,
            at: None,
            ahead: Vec::new(),
            texts: BTreeMap::new(),
            states: Vec::new(),
        }
    }
}

/// Why a text holds no states.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum StatesError {
    /// Not of this form.
    #[error("`{file}` holds no states of Plyloom, and is left as it is: {reason}")]
    Damaged {
        /// The file's name.
        file: String,
        /// What is wrong with it.
        reason: String,
    },
    /// From a later program.
    #[error(
        "`{file}` has the form {found}; this program reads up to {VERSION} and leaves it as it is"
    )]
    Newer {
        /// The file's name.
        file: String,
        /// Its version.
        found: u64,
    },
    /// A state of no use.
    #[error("a state is too large to be kept")]
    TooLarge,
}

impl States {
    /// Reads states; messages call the text `file`.
    ///
    /// # Errors
    /// When it is something else, or of a later form.
    pub fn read(text: &str, file: &str) -> Result<Self, StatesError> {
        let file = file.to_owned();
        versioned::read(text, SCHEMA, VERSION).map_err(|error| match error {
            Unread::NotOne(reason) => StatesError::Damaged { file, reason },
            Unread::Newer(found) => StatesError::Newer { file, found },
        })
    }

    /// As text.
    #[allow(clippy::missing_panics_doc, reason = "only an invariant is expected")]
    pub fn text(&self) -> String {
        serde_json::to_string(self).expect("invariant: every field has a form in JSON") + "\n"
    }

    /// The state of this number.
    pub fn step(&self, number: u64) -> Option<&Step> {
        self.states.iter().find(|step| step.number == number)
    }

    /// The recipe's text in a state, where it was kept.
    pub fn text_of(&self, step: &Step) -> Option<&str> {
        self.texts.get(step.set.own.as_ref()?).map(String::as_str)
    }

    /// Takes in a change by a page. `text` gives the text of a mark that is not among those kept; where
    /// it has none, the state is kept without a text.
    ///
    /// # Errors
    /// When a state is larger than one can be; nothing is changed then.
    pub fn change(
        &mut self,
        change: StatesChange,
        text: impl Fn(&str) -> Option<String>,
    ) -> Result<(), StatesError> {
        if !change.put.iter().all(Step::is_sound) || change.ahead.len() > MOST {
            return Err(StatesError::TooLarge);
        }
        self.at = change.at;
        self.ahead = change.ahead;
        for mut step in change.put {
            if let Some(own) = step.set.own.clone()
                && !self.texts.contains_key(&own)
            {
                match text(&own) {
                    Some(text) => {
                        self.texts.insert(own, text);
                    }
                    None => step.set.own = None,
                }
            }
            match self.states.iter_mut().find(|s| s.number == step.number) {
                Some(known) => *known = step,
                None => self.states.push(step),
            }
        }
        self.states.sort_by_key(|step| step.number);
        self.trim();
        Ok(())
    }

    /// Removes the oldest where there are too many, and texts that no state has.
    fn trim(&mut self) {
        loop {
            let used: BTreeSet<&String> = self
                .states
                .iter()
                .filter_map(|step| step.set.own.as_ref())
                .collect();
            self.texts.retain(|mark, _| used.contains(mark));
            let many = self.states.len() > MOST || self.text().len() > MOST_BYTES;
            if !many || self.states.len() < 2 {
                return;
            }
            self.states.remove(0);
        }
    }
}

impl Step {
    fn is_sound(&self) -> bool {
        let picture = self
            .image
            .as_ref()
            .is_none_or(|image| image.len() <= LONGEST_PICTURE && image.starts_with("data:image/"));
        let all = self.set.knobs.iter().chain(&self.set.shown);
        let values = all.clone().count() <= 2 * MOST_VALUES;
        let mut words = all.flat_map(|(name, value)| [name, value]);
        picture
            && values
            && self.words.len() <= LONGEST_WORDS
            && words.all(|word| word.len() <= LONGEST_WORDS)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::edit::mark;

    fn step(number: u64, text: &str) -> Step {
        Step {
            number,
            from: number.checked_sub(1),
            words: "rows 6".to_owned(),
            set: StateValues {
                knobs: BTreeMap::from([("rows".to_owned(), "6".to_owned())]),
                seed: None,
                shown: BTreeMap::new(),
                look: Look::default(),
                panel: 0,
                own: Some(mark(text)),
                text: String::new(),
            },
            image: None,
        }
    }

    fn put(steps: Vec<Step>) -> StatesChange {
        StatesChange {
            at: steps.last().map(|step| step.number),
            ahead: Vec::new(),
            put: steps,
        }
    }

    #[test]
    fn states_come_back_with_their_texts_and_the_oldest_go_first() {
        let mut states = States::default();
        for number in 1..=70 {
            let text = format!("// {}", number / 10);
            let known = |wanted: &str| (wanted == mark(&text)).then(|| text.clone());
            states
                .change(put(vec![step(number, &text)]), known)
                .expect("a state");
        }
        assert_eq!(states.states.len(), MOST);
        let again = States::read(&states.text(), "a").expect("states");
        assert_eq!(again, states);
        assert_eq!(again.step(10), None);
        let last = again.step(70).expect("a state");
        assert_eq!(again.text_of(last), Some("// 7"));
        assert_eq!(again.texts.len(), 7, "the texts of none have gone");
        // A text that nobody has.
        states
            .change(put(vec![step(71, "// new")]), |_| None)
            .expect("a state");
        assert_eq!(states.step(71).and_then(|s| s.set.own.clone()), None);
    }

    #[test]
    fn what_is_damaged_newer_or_too_large_is_refused() {
        let refused = |text: &str| States::read(text, "a.json").unwrap_err().to_string();
        assert!(refused("{").contains("left as it is"));
        assert!(refused("{\"schema\":\"plyloom-shortlist\"}").contains("plyloom-states"));
        assert!(refused("{\"schema\":\"plyloom-states\",\"version\":2}").contains("form 2"));
        let mut large = step(1, "");
        large.image = Some(format!("data:image/png;base64,{}", "A".repeat(99_999)));
        let mut states = States::default();
        assert_eq!(
            states.change(put(vec![large]), |_| None),
            Err(StatesError::TooLarge)
        );
        let mut elsewhere = step(1, "");
        elsewhere.image = Some("https://example.org/".to_owned());
        assert!(states.change(put(vec![elsewhere]), |_| None).is_err());
        assert_eq!(states, States::default());
    }
}
