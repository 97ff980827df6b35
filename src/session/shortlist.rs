//! The shortlist: variations with a star, in a small file beside the recipe that outlives the page.
//!
//! `NAME.shortlist.json` is written once something has a star. It is read again before every
//! change; a file that is damaged, or of a later form, is reported and never written over.

use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use serde::{Deserialize, Serialize};

use crate::bundle::versioned::{self, Unread};
use crate::explore::index::ParameterValue;
use crate::recipe::store::{ReadError, Shelf, Store, WriteError};

/// What `schema` says, and the version that is written and the newest that is read.
const SCHEMA: &str = "plyloom-shortlist";
const VERSION: u32 = 1;
/// The most stars.
const MOST: usize = 300;

/// The lock by which one change is made at a time in this process.
static CHANGING: Mutex<()> = Mutex::new(());

/// A variation with a star.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Star {
    /// Its number, never used again.
    pub number: u64,
    /// The seed.
    pub seed: u64,
    /// All parameters of the recipe; lengths in mm.
    pub parameters: Vec<ParameterValue>,
    /// Digest of the recipe and its modules when it got its star.
    pub recipe_sha256: String,
}

#[derive(Debug, Serialize, Deserialize)]
struct File {
    schema: String,
    version: u32,
    /// The number of the next star.
    next: u64,
    stars: Vec<Star>,
}

/// What is wrong with a shortlist.
#[derive(Debug, thiserror::Error)]
pub enum ShortlistError {
    /// Not of this form.
    #[error("`{file}` is not a shortlist of Plyloom and was not changed: {reason}")]
    Damaged {
        /// The file's name.
        file: String,
        /// What is wrong with it.
        reason: String,
    },
    /// From a later program.
    #[error(
        "`{file}` has format {found} and was not changed; this program reads up to format {VERSION}"
    )]
    Newer {
        /// The file's name.
        file: String,
        /// Its version.
        found: u64,
    },
    /// Nothing more fits.
    #[error("the shortlist is full at {MOST}: take a star away first")]
    Full,
    /// The file could not be written.
    #[error(transparent)]
    Write(#[from] WriteError),
    /// The file could not be read.
    #[error(transparent)]
    Read(#[from] ReadError),
}

/// The file for a recipe.
pub fn beside(recipe: &Path) -> PathBuf {
    recipe.with_extension("shortlist.json")
}

/// The stars, the oldest first.
///
/// # Errors
/// When there is a file that is no shortlist.
pub fn stars(store: &dyn Store, recipe: &Path) -> Result<Vec<Star>, ShortlistError> {
    Ok(read(store, &beside(recipe))?.stars)
}

/// Gives a variation a star, and tells its number. One that has a star keeps it.
///
/// # Errors
/// When the file is no shortlist, is full, or cannot be written.
pub fn add(
    shelf: &dyn Shelf,
    recipe: &Path,
    seed: u64,
    parameters: Vec<ParameterValue>,
    recipe_sha256: String,
) -> Result<u64, ShortlistError> {
    change(shelf, recipe, |file| {
        let same = |s: &&Star| s.seed == seed && s.parameters == parameters;
        if let Some(star) = file.stars.iter().find(same) {
            return Ok(star.number);
        }
        if file.stars.len() >= MOST {
            return Err(ShortlistError::Full);
        }
        let number = file.next;
        file.next = number.saturating_add(1);
        file.stars.push(Star {
            number,
            seed,
            parameters,
            recipe_sha256,
        });
        Ok(number)
    })
}

/// Takes a star away; a missing star is not an error.
///
/// # Errors
/// As [`add`].
pub fn remove(shelf: &dyn Shelf, recipe: &Path, number: u64) -> Result<(), ShortlistError> {
    change(shelf, recipe, |file| {
        file.stars.retain(|star| star.number != number);
        Ok(())
    })
}

fn change<T>(
    shelf: &dyn Shelf,
    recipe: &Path,
    change: impl FnOnce(&mut File) -> Result<T, ShortlistError>,
) -> Result<T, ShortlistError> {
    let _one = CHANGING.lock().unwrap_or_else(PoisonError::into_inner);
    let path = beside(recipe);
    let mut file = read(shelf, &path)?;
    let before = file.stars.clone();
    let result = change(&mut file)?;
    if file.stars != before {
        let mut text =
            serde_json::to_string_pretty(&file).expect("invariant: every field has a form in JSON");
        text.push('\n');
        shelf.write(&path, &text)?;
    }
    Ok(result)
}

fn read(store: &dyn Store, path: &Path) -> Result<File, ShortlistError> {
    let text = match store.read(path) {
        Ok(text) => text,
        Err(ReadError::Missing { .. }) => {
            return Ok(File {
                schema: SCHEMA.to_owned(),
                version: VERSION,
                next: 1,
                stars: Vec::new(),
            });
        }
        Err(error) => return Err(error.into()),
    };
    let file = || path.file_name().unwrap_or_default().display().to_string();
    versioned::read(&text, SCHEMA, VERSION).map_err(|error| match error {
        Unread::NotOne(reason) => ShortlistError::Damaged {
            file: file(),
            reason,
        },
        Unread::Newer(found) => ShortlistError::Newer {
            file: file(),
            found,
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::memory_store::MemoryStore;
    use crate::recipe::parameter::Value;

    fn value(number: i64) -> Vec<ParameterValue> {
        vec![ParameterValue {
            name: "rows".to_owned(),
            value: Value::Whole(number),
        }]
    }

    #[test]
    fn stars_come_and_go_and_their_numbers_stay() {
        let shelf = MemoryStore::new();
        let recipe = Path::new("lids/a.rhai");
        assert!(stars(&shelf, recipe).unwrap().is_empty());
        remove(&shelf, recipe, 1).unwrap();
        assert!(shelf.texts().is_empty(), "nothing has a star yet");
        assert_eq!(
            add(&shelf, recipe, 7, value(1), "ab".to_owned()).unwrap(),
            1
        );
        assert_eq!(
            add(&shelf, recipe, u64::MAX, value(1), "ab".to_owned()).unwrap(),
            2
        );
        assert_eq!(
            add(&shelf, recipe, 7, value(1), "cd".to_owned()).unwrap(),
            1,
            "has one"
        );
        remove(&shelf, recipe, 2).unwrap();
        assert_eq!(
            add(&shelf, recipe, 8, value(2), "ab".to_owned()).unwrap(),
            3
        );
        let numbers: Vec<u64> = stars(&shelf, recipe)
            .unwrap()
            .iter()
            .map(|s| s.number)
            .collect();
        assert_eq!(numbers, [1, 3]);
        assert_eq!(beside(recipe), Path::new("lids/a.shortlist.json"));
    }

    #[test]
    fn a_damaged_or_later_file_is_never_written_over() {
        let shelf = MemoryStore::new();
        let recipe = Path::new("lids/a.rhai");
        for (text, why) in [
            ("{", "not a shortlist"),
            ("", "not a shortlist"),
            (
                "{\"schema\":\"plyloom-variations\",\"version\":1}",
                "not a shortlist",
            ),
            (
                "{\"schema\":\"plyloom-shortlist\",\"version\":1}",
                "not a shortlist",
            ),
            (
                "{\"schema\":\"plyloom-shortlist\",\"version\":9}",
                "format 9",
            ),
        ] {
            shelf.put(beside(recipe), text);
            let error = add(&shelf, recipe, 1, value(1), String::new()).unwrap_err();
            assert!(error.to_string().contains(why), "{error}");
            assert!(stars(&shelf, recipe).is_err() && remove(&shelf, recipe, 1).is_err());
            assert_eq!(shelf.read(&beside(recipe)).unwrap(), text);
        }
    }
}
