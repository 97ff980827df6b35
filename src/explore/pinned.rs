//! A pinned choice: one variation of a recipe, kept in a small text file.
//!
//! The file is TOML under a header that says what it is. It holds the recipe's path from the file's
//! own folder, the seed, every parameter with its value, and a digest of the recipe's text and
//! modules, so that a later change of the recipe is noticed.

use std::fmt::Write as _;

use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use toml::Table;

use super::alike::hex;
use super::parameter_value::ParameterValue;
use crate::appearance::Look;
use crate::recipe::parameter::Value;
use crate::recipe::source::Source;

/// What `schema` says.
pub const SCHEMA: &str = "plyloom-pick";
/// The version that is written, and the newest that is read.
pub const VERSION: u32 = 1;
/// How the name of such a file ends.
pub const ENDING: &str = "pick";

/// One variation of a recipe.
#[derive(Debug, Clone, PartialEq)]
pub struct Pinned {
    /// The recipe's path from the file's folder, with `/` between names.
    pub recipe: String,
    /// Digest of the recipe and its modules when it was pinned: see [`digest`].
    pub recipe_sha256: String,
    /// The seed.
    pub seed: u64,
    /// The parameters; a file holds them sorted by name.
    pub parameters: Vec<ParameterValue>,
    /// The finish, light and eyes with which it was seen.
    pub look: Look,
}

/// Why a text is no pinned choice.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PinnedError {
    /// No TOML, or not of this form.
    #[error("{0}")]
    Form(String),
    /// From a later program.
    #[error("it has format {found}; this program reads up to format {VERSION}")]
    Newer {
        /// Its version.
        found: i64,
    },
}

#[derive(Serialize, Deserialize)]
struct File {
    schema: String,
    version: u32,
    recipe: String,
    recipe_sha256: String,
    seed: Seed,
    #[serde(default)]
    parameters: Table,
    #[serde(default, skip_serializing_if = "Look::is_plain")]
    look: Look,
}

/// TOML has no whole numbers above 2^63: larger seeds are texts.
#[derive(Serialize, Deserialize)]
#[serde(untagged)]
enum Seed {
    Number(i64),
    Text(String),
}

/// SHA-256, in hex, of a recipe and the modules that a run of it read: of each its length in bytes
/// (8 bytes, little endian) and its text, in the order of reading.
pub fn digest<'a>(sources: impl IntoIterator<Item = &'a Source>) -> String {
    let mut hash = Sha256::new();
    for source in sources {
        hash.update((source.text.len() as u64).to_le_bytes());
        hash.update(&source.text);
    }
    hex(&hash.finalize())
}

impl Pinned {
    /// Reads the text of a file.
    ///
    /// # Errors
    /// When it is no pinned choice, or one of a later form.
    pub fn read(text: &str) -> Result<Self, PinnedError> {
        // The library's message would quote the line. Nothing is shown of a file that is no pinned
        // choice.
        let form = |error: toml::de::Error| {
            let line = error.span().map_or_else(String::new, |span| {
                let above = text.bytes().take(span.start).filter(|b| *b == b'\n');
                format!("line {}: ", 1 + above.count())
            });
            PinnedError::Form(format!("{line}{}", error.message()))
        };
        let table: Table = text.parse().map_err(form)?;
        if table.get("schema").and_then(toml::Value::as_str) != Some(SCHEMA) {
            return Err(PinnedError::Form(format!(
                "it does not say schema = \"{SCHEMA}\""
            )));
        }
        match table.get("version").and_then(toml::Value::as_integer) {
            Some(found) if found > i64::from(VERSION) => return Err(PinnedError::Newer { found }),
            Some(found) if found >= 1 => {}
            _ => return Err(PinnedError::Form("its version is missing".to_owned())),
        }
        let file: File = table.try_into().map_err(form)?;
        let seed = match file.seed {
            Seed::Number(seed) => u64::try_from(seed).ok(),
            Seed::Text(text) => text.parse().ok(),
        };
        let seed = seed.ok_or_else(|| {
            PinnedError::Form("its seed must be a whole number from 0 on".to_owned())
        })?;
        let parameters = file
            .parameters
            .into_iter()
            .map(|(name, value)| parameter(name, &value))
            .collect::<Result<_, _>>()?;
        Ok(Self {
            recipe: file.recipe,
            recipe_sha256: file.recipe_sha256,
            seed,
            parameters,
            look: file.look,
        })
    }

    /// The text of a file.
    #[allow(clippy::missing_panics_doc, reason = "only an invariant is expected")]
    pub fn text(&self) -> String {
        let seed = i64::try_from(self.seed)
            .map_or_else(|_| Seed::Text(self.seed.to_string()), Seed::Number);
        let parameters = self
            .parameters
            .iter()
            .map(|p| (p.name.clone(), value(&p.value)));
        let file = File {
            schema: SCHEMA.to_owned(),
            version: VERSION,
            recipe: self.recipe.clone(),
            recipe_sha256: self.recipe_sha256.clone(),
            seed,
            parameters: parameters.collect(),
            look: self.look,
        };
        let mut text = String::new();
        let _ = writeln!(
            text,
            "# One variation of a recipe, pinned. Plyloom takes this file wherever it takes a recipe:\n\
             #   plyloom preview THIS-FILE\n\
             # `recipe` is the way from this file to the recipe; lengths are in mm.\n"
        );
        let body =
            toml::to_string(&file).expect("invariant: texts and numbers have a form in TOML");
        text.push_str(&body);
        text
    }
}

fn value(value: &Value) -> toml::Value {
    match value {
        Value::YesNo(value) => toml::Value::Boolean(*value),
        Value::Whole(value) => toml::Value::Integer(*value),
        Value::Number(value) => toml::Value::Float(*value),
        Value::Text(value) => toml::Value::String(value.clone()),
    }
}

fn parameter(name: String, value: &toml::Value) -> Result<ParameterValue, PinnedError> {
    let value = match value {
        toml::Value::Boolean(value) => Value::YesNo(*value),
        toml::Value::Integer(value) => Value::Whole(*value),
        toml::Value::Float(value) => Value::Number(*value),
        toml::Value::String(value) => Value::Text(value.clone()),
        _ => {
            return Err(PinnedError::Form(format!(
                "the parameter `{name}` must be a number, a text, or true or false"
            )));
        }
    };
    Ok(ParameterValue { name, value })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pinned(seed: u64) -> Pinned {
        let one = |name: &str, value| ParameterValue {
            name: name.to_owned(),
            value,
        };
        Pinned {
            recipe: "../blocks \"x\".rhai".to_owned(),
            recipe_sha256: "ab".to_owned(),
            seed,
            parameters: vec![
                one("angle", Value::Number(60.0)),
                one("dye", Value::Text("navy\n= \"1\"".to_owned())),
                one("plain", Value::YesNo(true)),
                one("rows", Value::Whole(12)),
            ],
            look: Look {
                finish: crate::appearance::Finish::Oil,
                ..Look::default()
            },
        }
    }

    #[test]
    fn what_is_written_is_read() {
        for seed in [0, 17, u64::MAX] {
            assert_eq!(Pinned::read(&pinned(seed).text()), Ok(pinned(seed)));
        }
        assert_eq!(Value::Number(60.0).to_string(), "60");
    }

    #[test]
    fn other_files_and_later_forms_are_told_apart() {
        let text = pinned(1).text();
        let later = text.replace("version = 1", "version = 2");
        assert_eq!(Pinned::read(&later), Err(PinnedError::Newer { found: 2 }));
        for (bad, why) in [
            ("let x = ;".to_owned(), ""),
            ("kerf = 3".to_owned(), SCHEMA),
            (text.replace("seed = 1", "seed = -1"), "seed"),
            (text.replace("rows = 12", "rows = [12]"), "rows"),
            (text.replace("recipe =", "recipes ="), "recipe"),
            (text.replace("\"oil\"", "\"gold\""), "gold"),
        ] {
            let error = Pinned::read(&bad).unwrap_err().to_string();
            assert!(error.contains(why), "{error}");
        }
    }

    /// FIPS 180-4's example: the digest of "abc"; here it comes after its length.
    #[test]
    fn the_digest_is_that_of_lengths_and_texts() {
        let one = Source::new("a.rhai", "abc");
        let renamed = Source::new("b.rhai", "abc");
        assert_eq!(digest([&one]), digest([&renamed]));
        assert_ne!(digest([&one]), digest([&one, &renamed]));
        let parted = [Source::new("a", "ab"), Source::new("b", "c")];
        assert_ne!(digest([&one]), digest(&parted));
        let mut plain = Sha256::new();
        plain.update(b"\x03\0\0\0\0\0\0\0abc");
        assert_eq!(digest([&one]), hex(&plain.finalize()));
    }
}
