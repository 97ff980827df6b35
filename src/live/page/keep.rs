//! Keeping what is on the page: as a pinned choice, or as the recipe's new defaults.
//!
//! Files are written into the recipe's own folder only, under names made of plain letters.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::given::Given;
use crate::explore::index::ParameterValue;
use crate::explore::pinned::{ENDING, Pinned, digest};
use crate::files::{FileError, from_folder, read_text_file, write_new, write_whole};
use crate::recipe::evaluate;
use crate::recipe::host::Host;
use crate::recipe::outcome::Outcome;
use crate::recipe::rewrite::{RewriteError, rewritten};
use crate::recipe::settings::Settings;
use crate::recipe::source::Source;
use crate::session::Opened;
use crate::sight::relit::Look;

/// The longest name of a choice in letters.
const LONGEST_NAME: usize = 60;
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
    /// The page shows a choice, not the recipe.
    #[error(
        "the page shows a pinned choice or a packed recipe: open the recipe itself to change its defaults"
    )]
    Choice,
    /// The file changed meanwhile.
    #[error("the recipe was saved meanwhile: look at what it makes now, and keep that")]
    Changed,
    /// A default cannot be rewritten.
    #[error(transparent)]
    Rewrite(#[from] RewriteError),
    /// The new text does not give what is shown.
    #[error("{0}")]
    Differs(String),
    /// The file could not be read or written.
    #[error(transparent)]
    File(#[from] FileError),
}

/// What a run was made with.
#[derive(Debug, Clone)]
pub(super) struct Values {
    pub(super) seed: u64,
    pub(super) parameters: Vec<ParameterValue>,
    pub(super) recipe_sha256: String,
    /// The finish, light and eyes with which it is seen.
    pub(super) look: Look,
}

impl Values {
    pub(super) fn of(outcome: &Outcome, look: Look) -> Self {
        Self {
            look,
            seed: outcome.seed,
            parameters: outcome
                .parameters
                .iter()
                .map(ParameterValue::from)
                .collect(),
            recipe_sha256: digest(outcome.sources.iter().map(AsRef::as_ref)),
        }
    }
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
    let pinned = Pinned {
        recipe: from_folder(home, recipe),
        recipe_sha256: values.recipe_sha256,
        seed: values.seed,
        parameters: values.parameters,
        look: values.look,
    };
    let text = pinned.text();
    let write = |name: &str| {
        let file = format!("{name}.{ENDING}");
        write_new(&home.join(&file), text.as_bytes()).map(|()| file)
    };
    if let Some(name) = name {
        return Ok(write(checked_name(name)?)?);
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

fn checked_name(name: &str) -> Result<&str, KeepError> {
    let good = name.chars().count() <= LONGEST_NAME
        && name.starts_with(char::is_alphanumeric)
        && name
            .chars()
            .all(|c| c.is_alphanumeric() || matches!(c, '-' | '_'));
    good.then_some(name).ok_or(KeepError::Name)
}

/// Writes the values of `shown` into the recipe as its own defaults and seed.
///
/// Only the text of those defaults changes. Before anything is written the new text is carried out,
/// and must give what is shown.
///
/// # Errors
/// When the file is not the one that was carried out, a default is computed, or the new text gives
/// something else.
pub(super) fn as_defaults(
    given: &Given,
    opened: &Opened,
    shown: &Outcome,
    host: &Arc<dyn Host>,
) -> Result<(), KeepError> {
    if !opened.is_plain() {
        return Err(KeepError::Choice);
    }
    let now = read_text_file(&opened.path).0;
    if !now.is_ok_and(|now| now == opened.source.text) {
        return Err(KeepError::Changed);
    }
    // What the recipe says without knobs: only what differs from it is rewritten.
    let plain = Settings {
        budget: given.typed.budget.clone(),
        ..Settings::default()
    };
    let own = evaluate(&opened.source, &plain, Arc::clone(host));
    let own_seed = own.as_ref().ok().map(|own| own.seed);
    let seed = (own_seed != Some(shown.seed)).then_some(shown.seed);
    let text = rewritten(&opened.source.text, &shown.parameters, seed)?;
    let source = Arc::new(Source::new(opened.source.name.clone(), text));
    let again = evaluate(&source, &plain, Arc::clone(host)).map_err(|failure| {
        KeepError::Differs(format!("the new defaults do not work: {failure}"))
    })?;
    if again.panels != shown.panels {
        return Err(KeepError::Differs(
            "with these defaults the recipe does not make what is shown: keep a choice instead"
                .to_owned(),
        ));
    }
    write_whole(&opened.path, source.text.as_bytes())?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_plain() {
        for good in ["tray", "Nußbaum-2", "a_b"] {
            assert!(checked_name(good).is_ok(), "{good}");
        }
        for bad in [
            "",
            "../a",
            "a/b",
            ".a",
            "-a",
            "a.b",
            "a b",
            "a\0",
            "C:x",
            &"x".repeat(61),
        ] {
            assert!(checked_name(bad).is_err(), "{bad}");
        }
    }
}
