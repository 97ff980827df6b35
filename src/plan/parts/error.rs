//! What is wrong with a question about parts.

/// What is wrong with a question about parts.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PartsError {
    /// Not `name=count`.
    #[error("`{0}` is not written as `name=count`")]
    Form(String),
    /// A name twice.
    #[error("\"{0}\" is given twice")]
    Twice(String),
    /// A kind that the panel does not have.
    #[error("the panel has no tiles \"{name}\"{}", near.as_ref().map_or_else(String::new, |n| format!("; did you mean \"{n}\"?")))]
    Unknown {
        /// What was given.
        name: String,
        /// The nearest name that there is.
        near: Option<String>,
    },
    /// Tiles placed freely have no columns and courses.
    #[error("the tiles of this panel are placed freely: it has no columns and courses to choose")]
    NoGrid,
}
