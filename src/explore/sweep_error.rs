//! Why a sweep cannot be made.

use super::sweep::{MOST, MOST_AT_ONCE};

/// A sweep that makes no sense, or is too large.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SweepError {
    /// A range of numbers that has none.
    #[error("`{text}` is no range of numbers: {problem}")]
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
    /// A seed that is none.
    #[error("`{value}` is no seed")]
    Seed {
        /// As typed, or as the range gives it.
        value: String,
    },
    /// More variations than one run takes.
    #[error("that makes {} variations; one run takes {} at most", grouped(*.count), grouped(u128::from(MOST_AT_ONCE)))]
    TooMany {
        /// How many there are.
        count: u128,
    },
    /// A shard that does not exist.
    #[error("`{text}` is no part of a sweep")]
    Shard {
        /// As typed.
        text: String,
    },
}

impl SweepError {
    /// What to try.
    #[must_use]
    pub fn help(&self) -> String {
        match self {
            Self::Range { .. } => {
                "write first..last or first..last..step, such as 8..14..2; a text with two dots in \
                 it goes in quotation marks"
                    .to_owned()
            }
            Self::Empty { .. } => {
                "write the values with commas between them, or a range: --set angle=45,60 --set \
                 rows=8..14..2"
                    .to_owned()
            }
            Self::Quote { .. } => "close it, or leave it out".to_owned(),
            Self::Twice { .. } => "write all its values after one --set, with commas".to_owned(),
            Self::Seed { .. } => {
                "seeds are whole numbers from 0 on: --seeds 1..60, --seeds 3,7,12".to_owned()
            }
            Self::TooMany { count } if *count > u128::from(MOST) => format!(
                "take some of them with --sample 1000; even in parts a sweep has {} at most",
                grouped(u128::from(MOST))
            ),
            Self::TooMany { count } => {
                let parts = count.div_ceil(u128::from(MOST_AT_ONCE));
                format!(
                    "take some of them with --sample 1000, or make them in parts: --shard 1/{parts} \
                     to --shard {parts}/{parts}, then --join"
                )
            }
            Self::Shard { .. } => {
                "write which part of how many: --shard 1/8 to --shard 8/8".to_owned()
            }
        }
    }
}

/// A count with commas between thousands.
fn grouped(count: u128) -> String {
    let plain = count.to_string();
    let mut text = String::new();
    for (i, digit) in plain.chars().enumerate() {
        if i > 0 && (plain.len() - i).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}
