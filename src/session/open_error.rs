//! Why a recipe could not be opened.

use std::path::PathBuf;

use crate::bundle::BundleError;
use crate::explore::pinned::PinnedError;
use crate::recipe::store::ReadError;

/// Why a recipe could not be opened: the facts, and what is wrong in one sentence.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum OpenError {
    /// The text could not be had.
    #[error(transparent)]
    Read(#[from] ReadError),
    /// A file that is to be a pinned choice is none.
    #[error("`{}` is not a pinned choice: {error}", path.display())]
    Choice {
        /// The file as typed.
        path: PathBuf,
        /// What is wrong with it.
        error: PinnedError,
    },
    /// A pinned choice names a recipe outside its own folder.
    #[error(
        "`{}` names the recipe `{recipe}`, which lies outside the folder of the choice",
        choice.display()
    )]
    Beyond {
        /// The choice as typed.
        choice: PathBuf,
        /// The recipe as the choice names it.
        recipe: String,
    },
    /// A pinned choice names a file that is no recipe by its name. Nothing of it is read.
    #[error("`{}` names `{recipe}`, which is not the name of a recipe", choice.display())]
    NoRecipe {
        /// The choice as typed.
        choice: PathBuf,
        /// The file as the choice names it.
        recipe: String,
    },
    /// A pack that cannot be unpacked.
    #[error("`{}`: {error}", path.display())]
    Pack {
        /// The file as typed.
        path: PathBuf,
        /// What is wrong with it.
        error: BundleError,
    },
}

impl OpenError {
    /// A stable code in dotted form.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Read(error) => error.code(),
            Self::Choice { .. } => "pick::form",
            Self::Beyond { .. } => "pick::beyond",
            Self::NoRecipe { .. } => "pick::no_recipe",
            Self::Pack { .. } => "bundle::unread",
        }
    }

    /// What to try, in words that any door can say.
    pub fn help(&self) -> String {
        let words = match self {
            Self::Read(error) => return error.help(),
            Self::Choice { .. } => "pin it again",
            Self::Beyond { .. } => "put the choice into the folder of its recipe, or above it",
            Self::NoRecipe { .. } => "a recipe's name ends in `.rhai`",
            Self::Pack { error, .. } => return error.help().to_owned(),
        };
        words.to_owned()
    }
}
