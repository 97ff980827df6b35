//! Keeping what is on the page: as a pinned choice, or as the recipe's new defaults.
//!
//! Files are written into the recipe's own folder only, under names made of plain letters.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::explore::pinned::ENDING;
use crate::files::{FileError, from_folder, read_text_file, write_new, write_whole};
use crate::recipe::host::Host;
use crate::recipe::outcome::Outcome;
use crate::session::kept::{DefaultsError, LONGEST_NAME, Values, is_choice_name, new_defaults};
use crate::session::{Given, Opened};

/// How many numbers are tried for a choice without a name.
const MOST_NUMBERS: u32 = 10_000;

/// Why something was not kept.
#[derive(Debug, thiserror::Error)]
pub(super) enum KeepError {
    /// The name is no plain name.
    #[error(
        "a choice's name is made of letters, digits, `-` and `_`, {LONGEST_NAME} at most, and begins \
         with a letter or digit"
    )]
    Name,
    /// What is shown is no recipe in its file.
    #[error(
        "the page shows a pinned choice or a packed recipe: open the recipe itself to change its text"
    )]
    NoText,
    /// The file changed meanwhile.
    #[error("the recipe was saved meanwhile: look at what it makes now, and keep that")]
    Changed,
    /// There are no new defaults.
    #[error(transparent)]
    Defaults(#[from] DefaultsError),
    /// The file could not be read or written.
    #[error(transparent)]
    File(#[from] FileError),
}

/// Writes a pinned choice of the recipe beside `shown` (the recipe, or the choice that the page was
/// opened on), and gives its file's name.
///
/// # Errors
/// When the name is none or taken, or the file cannot be written.
pub(super) fn as_choice(
    shown: &Path,
    recipe: &Path,
    values: Values,
    name: Option<&str>,
) -> Result<String, KeepError> {
    let home = shown.parent().filter(|p| !p.as_os_str().is_empty());
    let home = home.unwrap_or(Path::new("."));
    let text = values.choice(from_folder(home, recipe)).text();
    let write = |name: &str| {
        let file = format!("{name}.{ENDING}");
        write_new(&home.join(&file), text.as_bytes()).map(|()| file)
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
            Err(FileError::Exists { .. }) => {}
            other => return Ok(other?),
        }
    }
    Err(FileError::Exists {
        path: PathBuf::from(format!("{stem}-choice-{MOST_NUMBERS}.{ENDING}")),
    }
    .into())
}

/// Writes the values of `shown` into the recipe as its own defaults and seed.
///
/// # Errors
/// When the file is not the one that was carried out, or [`new_defaults`] finds none.
pub(super) fn as_defaults(
    given: &Given,
    opened: &Opened,
    shown: &Outcome,
    host: &Arc<dyn Host>,
) -> Result<(), KeepError> {
    let text = new_defaults(opened, shown, &given.typed.budget, host)?;
    let now = read_text_file(&opened.path).0;
    if !now.is_ok_and(|now| now == opened.source.text) {
        return Err(KeepError::Changed);
    }
    write_whole(&opened.path, text.as_bytes())?;
    Ok(())
}
