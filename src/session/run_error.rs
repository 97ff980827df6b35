//! Why a recipe could not be carried out.

use serde::{Deserialize, Serialize};

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
    /// The run was ended from outside, and left no message of its own.
    #[error(transparent)]
    Ended(#[from] Ended),
}

/// Why a run that did not answer any more was ended by the embedder, which gave it its thread and
/// memory.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, thiserror::Error)]
#[serde(rename_all = "kebab-case")]
pub enum Ended {
    /// It did not come to an end.
    #[error("the recipe took too long")]
    Time,
    /// It took all the memory that there is for it.
    #[error("the recipe took all the memory that there is for it")]
    Memory,
    /// What is nested in it took all of the stack.
    #[error("the recipe is nested too deeply for this browser")]
    Stack,
    /// It changes a value that it reads meanwhile, and the language would wait until it is free.
    #[error("a value is used here while it is being changed")]
    Held,
    /// The program broke down.
    #[error("the program broke down over this recipe")]
    Broken,
    /// The embedder ended its thread, and did not say why.
    #[error("the browser ended the work on this recipe")]
    Lost,
}

impl RunError {
    /// A stable code in dotted form.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Recipe(failure) => failure.code,
            Self::Open(error) => error.code(),
            Self::NoPanel { .. } => "recipe::no_panel",
            Self::Ended(Ended::Time) => "recipe::too_long",
            Self::Ended(Ended::Memory) => "recipe::too_much_memory",
            Self::Ended(Ended::Stack) => "recipe::too_deep",
            Self::Ended(Ended::Held) => "recipe::data_race",
            Self::Ended(Ended::Broken) => "recipe::broken",
            Self::Ended(Ended::Lost) => "recipe::ended",
        }
    }

    /// Whether the run was ended because something newer was wanted.
    pub fn is_recall(&self) -> bool {
        matches!(self, Self::Recipe(failure) if failure.kind == Kind::Recalled)
    }

    /// What to try.
    pub fn help(&self) -> Option<String> {
        match self {
            Self::Recipe(failure) => failure.help.clone(),
            Self::Open(error) => Some(error.help()),
            Self::NoPanel { .. } => Some("fill a panel in the recipe".to_owned()),
            Self::Ended(Ended::Broken) => Some(
                "this is a fault of Plyloom, not of the recipe: please report it, with the recipe"
                    .to_owned(),
            ),
            Self::Ended(Ended::Lost) => Some(
                "it may have been short of memory: close other tabs, or make fewer tiles"
                    .to_owned(),
            ),
            Self::Ended(Ended::Held) => Some("hand over a copy: `let copy = value;`".to_owned()),
            Self::Ended(_) => Some("look for a loop or a call that does not end".to_owned()),
        }
    }
}
