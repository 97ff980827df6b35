//! Why a recipe could not be carried out.

use super::OpenError;
use crate::recipe::failure::Failure;
use crate::recipe::kind::Kind;

/// Why a run gave no picture.
#[derive(Debug, thiserror::Error)]
pub enum RunError {
    /// The recipe failed.
    #[error("{}", .0.message)]
    Recipe(Box<Failure>),
    /// The recipe could not be opened.
    #[error(transparent)]
    Open(#[from] OpenError),
    /// The recipe ended well and made nothing.
    #[error("`{recipe}` makes no panel: there is nothing to draw")]
    NoPanel {
        /// The recipe as typed.
        recipe: String,
    },
}

impl RunError {
    /// A stable code in dotted form.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::Recipe(failure) => failure.code,
            Self::Open(error) => error.code(),
            Self::NoPanel { .. } => "recipe::no_panel",
        }
    }

    /// Whether the run was ended because something newer was wanted.
    #[must_use]
    pub fn is_recall(&self) -> bool {
        matches!(self, Self::Recipe(failure) if failure.kind == Kind::Recalled)
    }

    /// What to try.
    #[must_use]
    pub fn help(&self) -> Option<String> {
        match self {
            Self::Recipe(failure) => failure.help.clone(),
            Self::Open(error) => Some(error.help()),
            Self::NoPanel { .. } => Some("let the recipe fill a panel".to_owned()),
        }
    }
}
