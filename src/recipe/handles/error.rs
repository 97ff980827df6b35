//! Why an outline cannot be dragged.

/// Why a panel's outline has no handles.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum HandleError {
    /// It is as large as its tiles make it.
    #[error(
        "this panel ends where its tiles end: write `.finished(300, 200)` or `.finished_outline(...)`, and its outline can be dragged"
    )]
    Whole,
    /// The panel is begun in a module or a function.
    #[error(
        "the panel is begun in a function or a module: its outline can be dragged where the recipe itself says `panel(...)`"
    )]
    Elsewhere,
    /// A length is worked out.
    #[error(
        "`{written}` in line {line} is worked out: an outline can be dragged where each of its lengths is a plain one, such as `300` or `\"12 in\"`"
    )]
    Computed {
        /// As it is written.
        written: String,
        /// Its line, from 1.
        line: usize,
    },
    /// What cannot be followed back.
    #[error("`{word}` in line {line} changes the outline: it can be dragged without that")]
    Changed {
        /// The word.
        word: String,
        /// Its line, from 1.
        line: usize,
    },
    /// No shape.
    #[error("`{written}` in line {line} is no shape that can be followed back to its lengths")]
    Unread {
        /// As it is written.
        written: String,
        /// Its line, from 1.
        line: usize,
    },
    /// The panel looks otherwise than its text.
    #[error(
        "the panel has another outline than line {line} says, as it does where a knob of it is turned"
    )]
    Differs {
        /// The line, from 1.
        line: usize,
    },
    /// More handles than can be shown.
    #[error("the outline has {count} points: too many to drag them one by one")]
    Many {
        /// How many.
        count: usize,
    },
    /// No handle of that number.
    #[error("the outline has no such handle any more")]
    Gone,
    /// A length that would be none.
    #[error("a length cannot be so large")]
    TooLarge,
}
