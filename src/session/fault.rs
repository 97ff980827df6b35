//! What is wrong with a recipe, for the page: message, place, the lines around it, what to try.

use serde::Serialize;

use super::OpenError;
use super::excerpt::{Line, Spot, lines};
use super::run_error::RunError;
use super::visible::visible;
use crate::recipe::kind::{Bound, Kind};
use crate::recipe::store::ReadError;

/// Lines shown before and after the one to blame.
const AROUND: usize = 2;
/// How many calls are listed.
const MOST_CALLS: usize = 8;

/// What is wrong.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FaultReport {
    code: &'static str,
    /// The bound that was reached, where one was that can be raised.
    bound: Option<Bound>,
    /// The parameter that does not take what was set, where that is what is wrong.
    parameter: Option<String>,
    message: String,
    place: Option<Spot>,
    label: Option<String>,
    lines: Vec<Line>,
    help: Option<String>,
    /// Where in a rule module it failed, innermost first.
    inside: Vec<Spot>,
    calls: Vec<Call>,
    /// Whether the recipe is not there any more.
    gone: bool,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct Call {
    called: String,
    place: Spot,
}

impl FaultReport {
    /// What is wrong, with the lines around the place.
    pub fn of(error: &RunError) -> Self {
        let mut fault = Self {
            code: error.code(),
            bound: None,
            parameter: None,
            message: visible(&error.to_string()),
            place: None,
            label: None,
            lines: Vec::new(),
            help: error.help().as_deref().map(visible),
            inside: Vec::new(),
            calls: Vec::new(),
            gone: matches!(
                error,
                RunError::Open(OpenError::Read(ReadError::Missing { .. }))
            ),
        };
        if let RunError::Recipe(failure) = error {
            match &failure.kind {
                Kind::Bound(bound) => fault.bound = Some(*bound),
                Kind::ParameterValue { name } => fault.parameter = Some(name.clone()),
                _ => {}
            }
            fault.label = failure.label.as_deref().map(visible);
            if let Some(place) = &failure.place {
                fault.place = Some(Spot::of(place));
                fault.lines = lines(place, AROUND);
            }
            fault.inside = failure.inside.iter().map(Spot::of).collect();
            let calls = failure.trace.iter().take(MOST_CALLS);
            fault.calls = calls
                .map(|(place, called)| Call {
                    called: visible(called),
                    place: Spot::of(place),
                })
                .collect();
        }
        fault
    }
}
