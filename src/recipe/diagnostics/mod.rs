//! From the engine's errors to a [`Failure`] in a maker's words.
//!
//! - `mod.rs`: walks to the innermost error and notes the calls on the way;
//! - `parsing`, `running`: words for what can be wrong with the text, and with what it does;
//! - `places`, `tokens`: where; `types`, `nearest`: names of kinds, and near misses.

pub(super) mod nearest;
mod parsing;
pub(super) mod places;
mod running;
mod tokens;
pub(super) mod types;

use rhai::{Engine, EvalAltResult, ParseError, Position};

use super::failure::Failure;
use super::fault::Fault;
use super::run::Run;
use super::source::Place;

/// The prefix of the names that Rhai gives to functions without a name.
const NAMELESS: &str = "anon$";

/// The failure that a fault is, at `place` where the fault has none.
pub(super) fn of_fault(
    run: &Run,
    fault: Fault,
    place: Option<Place>,
    trace: Vec<(Place, String)>,
) -> Failure {
    Failure {
        code: fault.code,
        message: fault.message,
        place: fault.place.or(place),
        label: fault.label,
        help: fault.help,
        trace,
        sources: run.sources(),
        sought: run.sought(),
    }
}

/// The failure of a text that cannot be read; `key` is its source.
pub(super) fn of_parse_error(
    run: &Run,
    engine: &Engine,
    key: Option<&str>,
    error: &ParseError,
) -> Failure {
    let place = run.place_at(key, error.position());
    let fault = parsing::fault(engine, run, &place, error.err_type());
    of_fault(run, fault, Some(place), Vec::new())
}

/// The failure of a recipe that was running.
pub(super) fn of_error(run: &Run, engine: &Engine, error: Box<EvalAltResult>) -> Failure {
    let mut trace: Vec<(Place, String)> = Vec::new();
    let mut key: Option<String> = None;
    let mut position = Position::NONE;
    let mut error = error;
    loop {
        let here = error.position();
        let known = if here.is_none() { position } else { here };
        match *error {
            EvalAltResult::ErrorInFunctionCall(name, source, inner, _) => {
                trace.push((run.place_at(key.as_deref(), known), called(&name)));
                if !source.is_empty() {
                    if key.as_deref() != Some(source.as_str()) {
                        position = Position::NONE;
                    }
                    key = Some(source);
                }
                error = inner;
            }
            EvalAltResult::ErrorInModule(module, inner, _) => {
                let name = run.source(Some(&module)).name.clone();
                trace.push((
                    run.place_at(key.as_deref(), known),
                    format!("the rule module {name}"),
                ));
                key = Some(module);
                position = Position::NONE;
                error = inner;
            }
            innermost => {
                trace.reverse();
                let place = run.place_at(key.as_deref(), known);
                let fault = match innermost {
                    EvalAltResult::ErrorParsing(kind, _) => {
                        parsing::fault(engine, run, &place, &kind)
                    }
                    other => running::fault(engine, run, &place, other),
                };
                return of_fault(run, fault, Some(place), trace);
            }
        }
    }
}

/// A called function for the list of calls.
fn called(name: &str) -> String {
    if name.starts_with(NAMELESS) {
        "a function without a name".to_owned()
    } else {
        format!("`{name}`")
    }
}
