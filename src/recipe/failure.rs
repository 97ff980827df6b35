//! Why a recipe could not be carried out: the facts, before anybody words them for a terminal.

use std::sync::Arc;

use super::source::{Place, Source};

/// A recipe that failed: what is wrong, where, and what to try.
#[derive(Debug, Clone, PartialEq)]
pub struct Failure {
    /// A stable code in dotted form, for example `recipe::unknown_word`.
    pub code: &'static str,
    /// What is wrong, in one sentence.
    pub message: String,
    /// The innermost place, where one is known.
    pub place: Option<Place>,
    /// A few words set at the place.
    pub label: Option<String>,
    /// What to try.
    pub help: Option<String>,
    /// The calls that led to the place, innermost first: where, and what was called there.
    pub trace: Vec<(Place, String)>,
    /// Every source that was read before the failure, the recipe first.
    pub sources: Vec<Arc<Source>>,
}
