//! Why a recipe could not be carried out: the facts, not yet worded for a terminal.

use std::sync::Arc;

use super::kind::Kind;
use super::source::{Location, Source};

/// A recipe that failed: what is wrong, where, and what to try.
#[derive(Debug, Clone, PartialEq)]
pub struct Failure {
    /// A stable code in dotted form, for example `recipe::unknown_word`.
    pub code: &'static str,
    /// What kind it is of.
    pub kind: Kind,
    /// What is wrong, in one sentence without a full stop.
    pub message: String,
    /// The innermost place, where one is known.
    pub place: Option<Location>,
    /// A few words set at the place.
    pub label: Option<String>,
    /// What to try.
    pub help: Option<String>,
    /// Where in a rule module it failed, innermost first, when the place is the recipe's call of it.
    pub inside: Vec<Location>,
    /// The calls that led to the place, innermost first: where, and what was called there.
    pub trace: Vec<(Location, String)>,
    /// Every source that was read before the failure, the recipe first.
    pub sources: Vec<Arc<Source>>,
}

impl std::fmt::Display for Failure {
    /// Plain lines without colour: message, place with label, calls, help.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        writeln!(f, "{}: {}", self.code, self.message)?;
        if let Some(place) = &self.place {
            write!(f, "  at {place}")?;
            if let Some(label) = &self.label {
                write!(f, ": {label}")?;
            }
            writeln!(f)?;
        }
        for place in &self.inside {
            writeln!(f, "  inside it at {place}")?;
        }
        for (place, called) in &self.trace {
            writeln!(f, "  in {called}, from {place}")?;
        }
        if let Some(help) = &self.help {
            writeln!(f, "  help: {help}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Failure {}
