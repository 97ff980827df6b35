//! Why a sweep cannot be made.

use super::limits::MOST_AT_ONCE;
use crate::geom::number::grouped;

/// A sweep that makes no sense, or is too large.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SweepError {
    /// A range of numbers that has none.
    #[error("`{text}` is not a range of numbers: {problem}")]
    Range {
        /// As typed.
        text: String,
        /// What is wrong with it.
        problem: String,
    },
    /// A parameter without any value.
    #[error("`{name}` has no value")]
    Empty {
        /// The parameter.
        name: String,
    },
    /// A quotation mark without its fellow.
    #[error("a quotation mark is open at the end of `{text}`")]
    Quote {
        /// As typed.
        text: String,
    },
    /// A parameter that is given twice.
    #[error("`{name}` is given values twice")]
    Twice {
        /// The parameter.
        name: String,
    },
    /// A seed that is not valid.
    #[error("`{value}` is not a seed")]
    Seed {
        /// As typed, or as the range gives it.
        value: String,
    },
    /// More variations than one run takes.
    #[error("that makes {} variations; one run takes {} at most", grouped(.count), grouped(MOST_AT_ONCE))]
    TooMany {
        /// How many there are.
        count: u128,
    },
    /// A shard that does not exist.
    #[error("`{text}` is not a part of a sweep")]
    Shard {
        /// As typed.
        text: String,
    },
}
