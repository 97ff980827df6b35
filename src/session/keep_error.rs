//! Why something was not kept.

use super::kept::{DefaultsError, LONGEST_NAME};
use crate::recipe::store::WriteError;

/// Why something was not kept.
#[derive(Debug, thiserror::Error)]
pub enum KeepError {
    /// The name is no plain name.
    #[error(
        "a choice's name is made of letters, digits, `-` and `_`, {LONGEST_NAME} at most, and begins \
         with a letter or digit"
    )]
    Name,
    /// What is shown is no recipe in its file.
    #[error(
        "this is a pinned choice or a packed recipe: open the recipe itself to change its text"
    )]
    NoText,
    /// The file changed meanwhile.
    #[error("the recipe was saved meanwhile: look at what it makes now, and keep that")]
    Changed,
    /// There are no new defaults.
    #[error(transparent)]
    Defaults(#[from] DefaultsError),
    /// The text could not be kept.
    #[error(transparent)]
    Write(#[from] WriteError),
}
