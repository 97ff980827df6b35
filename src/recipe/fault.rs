//! What a word of the vocabulary objects to, as facts that the diagnostics turn into a `Failure`.
//!
//! A word returns `Result<T, Box<EvalAltResult>>` and writes `Err(Misuse::... .into())`, or `?` on
//! a `Result<_, Fault>`. A fault without a place of its own gets that of the call.

use rhai::{Dynamic, EvalAltResult, Position};

use super::kind::{Bound, Kind};
use super::misuse::Misuse;
use super::refusals;
use super::source::Location;
use crate::layout::{LayoutError, solver::RulesError};
use crate::stock::StockError;

/// One objection of a word: what is wrong and what to try.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    /// What is wrong, in one sentence without a full stop.
    pub message: String,
    /// A few words set at the place.
    pub label: Option<String>,
    /// What to try.
    pub help: Option<String>,
    /// Where, when it is not the call itself that is to blame.
    pub place: Option<Location>,
    /// Which of the values in the brackets of the call is to blame, from 0, where it is one of them.
    pub argument: Option<usize>,
    /// What kind it is of.
    pub kind: Kind,
}

impl Fault {
    /// A fault of this kind. A recipe can catch it by `try`, unless it is of a bound.
    pub fn new(kind: Kind, message: impl Into<String>) -> Self {
        Self {
            message: message.into(),
            label: None,
            help: None,
            place: None,
            argument: None,
            kind,
        }
    }

    /// The fault that a word does not take one of its values.
    pub fn wrong_value(message: impl Into<String>) -> Self {
        Self::new(Kind::Argument, message)
    }

    /// With a few words at the place.
    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.label = Some(label.into());
        self
    }

    /// With advice.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// With advice, where there is any.
    #[must_use]
    pub fn maybe_help(mut self, help: Option<String>) -> Self {
        self.help = help.or(self.help);
        self
    }

    /// Blames the argument with this number, from 0.
    #[must_use]
    pub fn argument(mut self, number: usize) -> Self {
        self.argument = Some(number);
        self
    }

    /// Of this kind.
    #[must_use]
    pub fn kind(mut self, kind: Kind) -> Self {
        self.kind = kind;
        self
    }

    /// At this place instead of the call's.
    #[must_use]
    pub fn at(mut self, place: Location) -> Self {
        self.place = Some(place);
        self
    }
}

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.message)
    }
}

impl From<Misuse> for Fault {
    fn from(misuse: Misuse) -> Self {
        let (message, help) = (misuse.to_string(), misuse.help());
        Self::new(Kind::Misuse(misuse.into()), message).maybe_help(help)
    }
}

impl From<Misuse> for Box<EvalAltResult> {
    fn from(misuse: Misuse) -> Self {
        Fault::from(misuse).into()
    }
}

impl From<StockError> for Fault {
    fn from(error: StockError) -> Self {
        let (message, (_, help)) = (error.to_string(), refusals::of_wood(&error));
        Self::new(Kind::Wood(error.into()), message).help(help)
    }
}

impl From<LayoutError> for Fault {
    fn from(error: LayoutError) -> Self {
        let (message, (_, help)) = (error.to_string(), refusals::of_layout(&error));
        let askew = matches!(error, LayoutError::Unsuited { .. });
        let kind = match error {
            LayoutError::TooManyTiles { limit, .. } => Kind::Bound(Bound::Tiles { most: limit }),
            error => Kind::Layout(error.into()),
        };
        let fault = Self::new(kind, message).help(help);
        if askew { fault.argument(0) } else { fault }
    }
}

impl From<RulesError> for Fault {
    fn from(error: RulesError) -> Self {
        if let RulesError::Layout(error) = error {
            return error.into();
        }
        let (message, (_, help)) = (error.to_string(), refusals::of_rules(&error));
        Self::new(Kind::Rules(error.into()), message).help(help)
    }
}

impl From<Fault> for Box<EvalAltResult> {
    /// Rhai fills in the position of the call where the word stands.
    fn from(fault: Fault) -> Self {
        let fatal = fault.kind.is_fatal();
        let token = Dynamic::from(fault);
        Box::new(if fatal {
            EvalAltResult::ErrorTerminated(token, Position::NONE)
        } else {
            EvalAltResult::ErrorRuntime(token, Position::NONE)
        })
    }
}
