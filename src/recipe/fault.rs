//! What a word of the vocabulary objects to, as facts that the diagnostics turn into a `Failure`.
//!
//! A word returns `Result<T, Box<EvalAltResult>>` and writes `Err(Fault::new(...).into())`, or `?` on
//! a `Result<_, Fault>`. A fault without a place of its own gets that of the call.

use rhai::{Dynamic, EvalAltResult, Position};

use super::kind::Kind;
use super::source::Place;

/// One objection of a word: what is wrong and what to try.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    /// A stable code in dotted form, for example `recipe::wrong_argument`.
    pub code: &'static str,
    /// What is wrong, in one sentence without a full stop.
    pub message: String,
    /// A few words set at the place.
    pub label: Option<String>,
    /// What to try.
    pub help: Option<String>,
    /// Where, when it is not the call itself that is to blame.
    pub place: Option<Place>,
    /// Which of the values in the brackets of the call is to blame, from 0, where it is one of them.
    pub argument: Option<usize>,
    /// What kind it is of.
    pub kind: Kind,
    /// Whether the run ends here even inside `try`: true for bounds.
    fatal: bool,
}

impl Fault {
    /// A fault that a recipe could catch.
    #[must_use]
    pub fn new(code: &'static str, message: impl Into<String>) -> Self {
        Self {
            code,
            message: message.into(),
            label: None,
            help: None,
            place: None,
            argument: None,
            kind: Kind::Mistake,
            fatal: false,
        }
    }

    /// A bound that was reached: no `try` in the recipe can catch it.
    #[must_use]
    pub fn bound(code: &'static str, message: impl Into<String>) -> Self {
        Self {
            fatal: true,
            ..Self::new(code, message)
        }
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

    /// For the value that stands at this number, from 0, in the brackets of the call.
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
    pub fn at(mut self, place: Place) -> Self {
        self.place = Some(place);
        self
    }
}

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.message)
    }
}

impl From<Fault> for Box<EvalAltResult> {
    /// Rhai fills in the position of the call where the word stands.
    fn from(fault: Fault) -> Self {
        let fatal = fault.fatal;
        let token = Dynamic::from(fault);
        Box::new(if fatal {
            EvalAltResult::ErrorTerminated(token, Position::NONE)
        } else {
            EvalAltResult::ErrorRuntime(token, Position::NONE)
        })
    }
}
