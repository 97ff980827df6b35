//! The one door from a recipe to the world outside.

/// The longest drawing that a recipe reads, in bytes.
pub const MOST_DRAWING: usize = 2 * 1024 * 1024;

/// Whether what is read under a name is a drawing, and no text of the language.
pub fn is_drawing(name: &str) -> bool {
    name.to_lowercase().ends_with(".svg")
}

/// Why a host could not give a module.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum HostError {
    /// There is no such module; the names of those that there are, sorted.
    #[error("there is no rule module of this name")]
    NotFound {
        /// What could have been meant.
        known: Vec<String>,
    },
    /// The name would lead out of the recipe's folder.
    #[error("{reason}")]
    Refused {
        /// Which rule it breaks, as a sentence without a full stop.
        reason: String,
    },
    /// It is there and could not be read.
    #[error("it could not be read: {reason}")]
    Unreadable {
        /// What the system said.
        reason: String,
    },
}

/// What a recipe may reach: rule modules beside it, and a line to the maker.
///
/// No clock, no network, no other file: whatever is not here, a recipe cannot do.
pub trait Host: Send + Sync {
    /// The text of the rule module `name` (as written after `import`, without `.rhai`) from the
    /// recipe's own folder, and the name to show for it. Built-in modules never come here.
    ///
    /// # Errors
    /// When there is none, when the name leads out of the folder, when it cannot be read.
    fn module(&self, name: &str) -> Result<super::source::Source, HostError>;

    /// The text of the library's module `name` as it was when the recipe was packed, where the recipe
    /// brings it along. By default the library that comes with the program is used.
    fn library(&self, _name: &str) -> Option<super::source::Source> {
        None
    }

    /// The text of the drawing `name`, such as `body.svg`, from the recipe's own folder. By default
    /// there are none.
    ///
    /// # Errors
    /// When there is none, when the name leads out of the folder, when it cannot be read.
    fn drawing(&self, _name: &str) -> Result<super::source::Source, HostError> {
        Err(HostError::NotFound { known: Vec::new() })
    }

    /// One line that a recipe printed. Control characters are already gone.
    fn printed(&self, line: &str);

    /// Whether the outcome is still wanted. Asked every few milliseconds during a run; once the answer is no,
    /// the run ends with a failure of the kind [`super::kind::Kind::Recalled`]. The recipe learns nothing of
    /// it.
    fn is_wanted(&self) -> bool {
        true
    }
}
