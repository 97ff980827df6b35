//! Keeping what is on the page: as a pinned choice, or as the recipe's new defaults.
//!
//! Texts go into the recipe's own folder only, under names made of plain letters.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::bench::Bench;
use super::keep_error::KeepError;
use super::kept::{Values, is_choice_name, new_defaults};
use super::knobs::Turn;
use super::{Given, Opened, stars};
use crate::appearance::Look;
use crate::explore::pinned::ENDING;
use crate::recipe::host::Host;
use crate::recipe::outcome::Outcome;
use crate::recipe::store::{Shelf, WriteError};

/// How many numbers are tried for a choice without a name.
const MOST_NUMBERS: u32 = 10_000;

/// What is to be kept, and how.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "as", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Keep {
    /// What is shown, as a pinned choice.
    Choice {
        /// The picture that the page shows.
        picture: u64,
        /// A name for the file.
        name: Option<String>,
        /// How the page looks at it.
        #[serde(default)]
        look: Look,
    },
    /// A star, as a pinned choice.
    Star {
        /// Its number.
        number: u64,
        /// A name for the file.
        name: Option<String>,
        /// How its card shows it.
        #[serde(default)]
        look: Look,
    },
    /// What is shown, as the recipe's defaults.
    Defaults {
        /// The picture that the page shows.
        picture: u64,
    },
}

/// Something was kept.
#[derive(Debug)]
pub struct HasKept {
    /// The answer to a page: the file.
    pub told: Value,
    /// The turn of knobs that follows, where the recipe now has their values itself.
    pub turn: Option<Turn>,
}

/// Keeps something. A choice names its recipe by the `way` that leads to it from a folder.
///
/// # Errors
/// When what is to be kept is gone, or cannot be written.
pub fn keep(
    bench: Bench<'_>,
    shelf: &dyn Shelf,
    way: impl Fn(&Path, &Path) -> String,
    keep: Keep,
) -> Result<HasKept, String> {
    let words = |error: KeepError| error.to_string();
    let shown = &bench.given.recipe;
    let (values, made, name) = match keep {
        Keep::Defaults { picture } => {
            let made = bench.state.current(picture)?;
            let host = made.opened.host(bench.store, Box::new(|_| ()));
            as_defaults(shelf, bench.given, &made.opened, &made.outcome, &host).map_err(words)?;
            let file = made.opened.path.file_name().unwrap_or_default();
            return Ok(HasKept {
                told: json!({ "file": file.to_string_lossy() }),
                turn: Some(Turn {
                    fresh: true,
                    own_seed: true,
                    ..Turn::default()
                }),
            });
        }
        Keep::Choice {
            picture,
            name,
            look,
        } => {
            let made = bench.state.current(picture)?;
            (Values::of(&made.outcome, look), made, name)
        }
        Keep::Star { number, name, look } => {
            let star = stars::numbered(bench, number)?;
            let values = Values {
                seed: star.seed,
                parameters: star.parameters,
                recipe_sha256: star.recipe_sha256,
                look,
            };
            (values, bench.state.newest()?, name)
        }
    };
    let name = name.as_deref().filter(|n| !n.is_empty());
    let recipe = &made.opened.path;
    let home = shown.parent().unwrap_or(Path::new(""));
    let from_there = way(home, recipe);
    let file = as_choice(shelf, shown, (recipe, from_there), values, name).map_err(words)?;
    Ok(HasKept {
        told: json!({ "file": file }),
        turn: None,
    })
}

/// Writes a pinned choice of the recipe beside `shown` (the recipe, or the choice that the page was
/// opened on), and gives its file's name. The choice names its recipe as `from_there`, the way from its
/// own folder.
///
/// # Errors
/// When the name is none or taken, or the file cannot be written.
pub fn as_choice(
    shelf: &dyn Shelf,
    shown: &Path,
    (recipe, from_there): (&Path, String),
    values: Values,
    name: Option<&str>,
) -> Result<String, KeepError> {
    let home = shown.parent().unwrap_or(Path::new(""));
    let text = values.choice(from_there).text();
    let write = |name: &str| {
        let file = format!("{name}.{ENDING}");
        shelf.write_new(&home.join(&file), &text).map(|()| file)
    };
    if let Some(name) = name {
        if !is_choice_name(name) {
            return Err(KeepError::Name);
        }
        return Ok(write(name)?);
    }
    let stem = recipe.file_stem().unwrap_or_default();
    let stem = stem.to_string_lossy();
    for number in 1..MOST_NUMBERS {
        match write(&format!("{stem}-choice-{number}")) {
            Err(WriteError::Exists { .. }) => {}
            other => return Ok(other?),
        }
    }
    Err(WriteError::Exists {
        path: PathBuf::from(format!("{stem}-choice-{MOST_NUMBERS}.{ENDING}")),
    }
    .into())
}

/// Writes the values of `shown` into the recipe as its own defaults and seed.
///
/// # Errors
/// When the file is not the one that was carried out, or [`new_defaults`] finds none.
pub fn as_defaults(
    shelf: &dyn Shelf,
    given: &Given,
    opened: &Opened,
    shown: &Outcome,
    host: &Arc<dyn Host>,
) -> Result<(), KeepError> {
    let text = new_defaults(opened, shown, &given.typed.budget, host)?;
    let now = shelf.read(&opened.path);
    if !now.is_ok_and(|now| now == opened.source.text) {
        return Err(KeepError::Changed);
    }
    shelf.write(&opened.path, &text)?;
    Ok(())
}
