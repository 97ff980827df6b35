//! Notices for the maker about a recipe that can be carried out all the same.

use std::path::PathBuf;

use serde::Serialize;

use crate::recipe::doubts::{Doubt, Doubtful, doubts};
use crate::recipe::outcome::Outcome;

/// Something that is not as it was.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Notice {
    /// A pack whose texts or values are no longer those that were packed.
    PackChanged {
        /// The pack.
        path: PathBuf,
    },
    /// A recipe that is no longer the one that a choice was pinned of.
    ChoiceChanged {
        /// The recipe.
        path: PathBuf,
        /// Whether that is certain: a recipe that fails may do so before it has read all its modules.
        certain: bool,
    },
    /// Something in the recipe that is legal and probably meant otherwise.
    Doubt {
        /// The recipe or module, as it calls itself.
        name: String,
        /// Its line, from 1.
        line: usize,
        /// What is in doubt, and what to do about it.
        doubt: Doubt,
    },
}

impl Notice {
    /// All that is in doubt in a recipe that works.
    pub fn doubts(outcome: &Outcome) -> Vec<Self> {
        let notice = |doubtful: Doubtful| Self::Doubt {
            name: doubtful.place.source.name.clone(),
            line: doubtful.place.line_column().0,
            doubt: doubtful.doubt,
        };
        doubts(outcome).into_iter().map(notice).collect()
    }
}

impl std::fmt::Display for Notice {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (path, words) = match self {
            Self::PackChanged { path } => (path, "has changed since it was packed"),
            Self::ChoiceChanged {
                path,
                certain: true,
            } => (path, "has changed since this choice was pinned"),
            Self::ChoiceChanged {
                path,
                certain: false,
            } => (path, "may have changed since this choice was pinned"),
            Self::Doubt { name, line, doubt } => {
                return write!(f, "{name}, line {line}: {doubt}. Try: {}.", doubt.help());
            }
        };
        write!(f, "`{}` {words}", path.display())
    }
}
