//! The values that are set on the page: parameters as they would be typed, and the seed.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::recipe::failure::Failure;
use crate::recipe::kind::Kind;

/// The most parameters that are set at once, and the longest value in bytes.
const MOST_SET: usize = 500;
const LONGEST_VALUE: usize = 4096;

/// The values that go before those of the recipe and the command line.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Knobs {
    /// Parameters with their values as typed.
    pub set: BTreeMap<String, String>,
    /// The seed; in JSON a text, as a script's numbers end at 2^53.
    #[serde(serialize_with = "as_text")]
    pub seed: Option<u64>,
    /// Whether the seed is to stay as it is.
    pub locked: bool,
}

/// A change of the knobs, as the page sends it.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Turn {
    /// Parameters to set; none lets go of one.
    pub set: BTreeMap<String, Option<String>>,
    /// A seed to set.
    pub seed: Option<String>,
    /// Whether to go back to the recipe's own seed.
    pub own_seed: bool,
    /// Whether to lock or unlock the seed.
    pub lock: Option<bool>,
    /// Whether to let go of everything first.
    pub fresh: bool,
}

impl Knobs {
    /// After a change.
    ///
    /// # Errors
    /// When it is none: a sentence says why.
    pub fn turned(&self, turn: Turn) -> Result<Self, String> {
        let mut knobs = self.clone();
        if turn.fresh {
            let seed = self.seed.filter(|_| self.locked);
            knobs = Self {
                seed,
                locked: self.locked,
                ..Self::default()
            };
        }
        for (name, value) in turn.set {
            match value {
                Some(value) if value.len() > LONGEST_VALUE => {
                    return Err(format!("the value of `{name}` is too long"));
                }
                Some(value) => knobs.set.insert(name, value),
                None => knobs.set.remove(&name),
            };
        }
        if knobs.set.len() > MOST_SET {
            return Err(format!("more than {MOST_SET} parameters are set"));
        }
        if turn.own_seed && !knobs.locked {
            knobs.seed = None;
        }
        if let Some(text) = turn.seed
            && !knobs.locked
        {
            knobs.seed = Some(seed(&text)?);
        }
        if let Some(lock) = turn.lock {
            knobs.locked = lock;
        }
        Ok(knobs)
    }

    /// The parameter that the recipe does not have, where that is why it failed and a knob sets it.
    pub fn lost_by(&self, failure: &Failure) -> Option<&str> {
        let Kind::NoSuchParameter { name } = &failure.kind else {
            return None;
        };
        let (name, _) = self.set.get_key_value(name)?;
        Some(name)
    }
}

/// A seed as typed.
///
/// # Errors
/// When it is none.
pub fn seed(text: &str) -> Result<u64, String> {
    text.trim()
        .parse()
        .map_err(|_| "the seed must be a whole number from 0 on".to_owned())
}

#[allow(clippy::ref_option, reason = "the form that the library asks for")]
fn as_text<S: serde::Serializer>(seed: &Option<u64>, to: S) -> Result<S::Ok, S::Error> {
    seed.map(|seed| seed.to_string()).serialize(to)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn turn(json: &str) -> Turn {
        serde_json::from_str(json).unwrap()
    }

    #[test]
    fn values_are_set_and_let_go_of() {
        let knobs = Knobs::default()
            .turned(turn(
                r#"{"set":{"a":"1","b":"x"},"seed":"18446744073709551615"}"#,
            ))
            .unwrap();
        assert_eq!(knobs.seed, Some(u64::MAX));
        let knobs = knobs.turned(turn(r#"{"set":{"a":null}}"#)).unwrap();
        assert_eq!(knobs.set.len(), 1);
        let json = serde_json::to_string(&knobs).unwrap();
        assert!(json.contains("\"18446744073709551615\""), "{json}");
        let fresh = knobs.turned(turn(r#"{"fresh":true}"#)).unwrap();
        assert_eq!(fresh, Knobs::default());
    }

    #[test]
    fn a_locked_seed_stays() {
        let knobs = Knobs::default().turned(turn(r#"{"seed":"7"}"#)).unwrap();
        let locked = knobs.turned(turn(r#"{"lock":true}"#)).unwrap();
        for change in [
            r#"{"seed":"8"}"#,
            r#"{"own_seed":true}"#,
            r#"{"fresh":true}"#,
        ] {
            assert_eq!(
                locked.turned(turn(change)).unwrap().seed,
                Some(7),
                "{change}"
            );
        }
    }

    #[test]
    fn nonsense_is_refused() {
        let knobs = Knobs::default();
        assert!(knobs.turned(turn(r#"{"seed":"-1"}"#)).is_err());
        let long = "x".repeat(LONGEST_VALUE + 1);
        let turn = Turn {
            set: BTreeMap::from([("a".to_owned(), Some(long))]),
            ..Turn::default()
        };
        assert!(knobs.turned(turn).is_err());
        assert!(serde_json::from_str::<Turn>(r#"{"path":"/etc"}"#).is_err());
    }
}
