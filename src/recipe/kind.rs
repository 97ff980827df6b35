//! What kind a failure is of: for whoever acts on it, or has words of its own for it.

use serde::Serialize;

/// The kinds that a door treats unlike any other mistake, with their facts.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Kind {
    /// A mistake in the recipe, told by its message.
    #[default]
    Mistake,
    /// The text is none of the language.
    Syntax,
    /// A bound was reached that a maker can raise.
    Bound(Bound),
    /// A value is set for a parameter that the recipe does not have.
    NoSuchParameter {
        /// Its name.
        name: String,
    },
    /// A value is set that the parameter does not take.
    ParameterValue {
        /// Its name.
        name: String,
    },
    /// The system gives no thread for the run.
    NoThread,
    /// Nobody waited for the run any more.
    Recalled,
}

/// A bound of a run that a maker can raise.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "bound", rename_all = "kebab-case")]
pub enum Bound {
    /// Steps of the script.
    Operations {
        /// How many there may be.
        most: u64,
    },
    /// Time.
    Time {
        /// How long it may take, in seconds.
        seconds: f64,
    },
    /// Memory.
    Memory {
        /// How much it may take.
        mebibytes: usize,
    },
    /// Tiles of all panels.
    Tiles {
        /// How many there may be.
        most: usize,
    },
}

impl Bound {
    /// Whether a machine that has more to do reaches it sooner.
    #[must_use]
    pub fn is_felt(self) -> bool {
        match self {
            Self::Time { .. } | Self::Memory { .. } => true,
            Self::Operations { .. } | Self::Tiles { .. } => false,
        }
    }
}

#[cfg(test)]
impl Kind {
    /// One of each kind. A new kind that has no place here does not compile.
    pub(crate) fn each() -> Vec<Self> {
        let mut all = vec![Self::Mistake];
        while let Some(next) = all.last().and_then(Self::next) {
            all.push(next);
        }
        all
    }

    fn next(&self) -> Option<Self> {
        let name = "rows".to_owned();
        Some(match self {
            Self::Mistake => Self::Syntax,
            Self::Syntax => Self::Bound(Bound::Operations { most: 1000 }),
            Self::Bound(Bound::Operations { .. }) => Self::Bound(Bound::Time { seconds: 20.0 }),
            Self::Bound(Bound::Time { .. }) => Self::Bound(Bound::Memory { mebibytes: 256 }),
            Self::Bound(Bound::Memory { .. }) => Self::Bound(Bound::Tiles { most: 100 }),
            Self::Bound(Bound::Tiles { .. }) => Self::NoSuchParameter { name },
            Self::NoSuchParameter { .. } => Self::ParameterValue { name },
            Self::ParameterValue { .. } => Self::NoThread,
            Self::NoThread => Self::Recalled,
            Self::Recalled => return None,
        })
    }
}
