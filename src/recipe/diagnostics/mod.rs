//! From the engine's errors to a [`Failure`] in a maker's words.
//!
//! - `mod.rs`: walks to the innermost error and notes the calls on the way;
//! - `parsing`, `missing`: messages for texts that cannot be parsed, and for missing signs;
//! - `running`, `calls`: messages for runs that fail, and for calls that match no function;
//! - `places`, `tokens`, `loops`: where in the text it is;
//! - `names`, `types`, `nearest`: what a recipe could have meant.

mod calls;
mod loops;
mod missing;
mod names;
pub(super) mod nearest;
mod parsing;
pub(super) mod places;
mod running;
pub(crate) mod tokens;
pub(super) mod types;

use rhai::{Engine, EvalAltResult, ParseError, Position};

use super::failure::Failure;
use super::fault::Fault;
use super::limits;
use super::run::Run;
use super::source::Location;

/// The prefix of the names that Rhai gives to functions without a name.
pub(super) const NAMELESS: &str = "anon$";

/// How the carrying out of a whole module begins in the list of calls.
const OF_MODULE: &str = "the rule module";

/// What such a function is called in messages.
const WITHOUT_NAME: &str = "a function without a name";

/// The failure for a fault, at `place` where the fault has no place of its own.
pub(super) fn of_fault(
    run: &Run,
    fault: Fault,
    place: Option<Location>,
    trace: Vec<(Location, String)>,
) -> Failure {
    Failure {
        code: fault.kind.code(),
        kind: fault.kind,
        message: brief(fault.message),
        place: fault.place.or(place),
        label: fault.label,
        help: fault.help.map(brief),
        inside: Vec::new(),
        trace,
        sources: run.sources(),
    }
}

/// The beginning of a text of the recipe that is too long for a message.
fn brief(mut words: String) -> String {
    if let Some((end, _)) = words.char_indices().nth(limits::MESSAGE) {
        words.truncate(end);
        words.push_str("...");
    }
    words
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
    let mut trace: Vec<(Location, String)> = Vec::new();
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
                    format!("{OF_MODULE} {name}"),
                ));
                key = Some(module);
                position = Position::NONE;
                error = inner;
            }
            innermost => {
                let place = run.place_at(key.as_deref(), known);
                let bound = matches!(innermost, EvalAltResult::ErrorTerminated(..));
                let fault = running::fault(engine, run, &place, innermost);
                let (fault, place) = if bound {
                    at_loop(fault, place)
                } else {
                    (fault, place)
                };
                // A few errors come without a position; the innermost call is the best there is.
                let place = if known.is_none() {
                    trace.last().map(|(place, _)| place.clone())
                } else {
                    Some(place)
                };
                let place = match (fault.argument, place) {
                    (Some(number), Some(word)) => Some(
                        places::arguments(&word)
                            .into_iter()
                            .nth(number)
                            .unwrap_or(word),
                    ),
                    (_, place) => place,
                };
                return recipe_first(run, of_fault(run, fault, place, calls_of(trace)));
            }
        }
    }
}

/// A maker can mend the recipe, but seldom a rule module. So a failure in a function of a module is
/// reported at the recipe's call of the function, and the line of the module comes after that.
fn recipe_first(run: &Run, mut failure: Failure) -> Failure {
    let recipe = run.source(None);
    let is_own = |place: &Location| place.source == recipe;
    let Some(inside) = failure.place.clone().filter(|place| !is_own(place)) else {
        return failure;
    };
    let Some(at) = failure.trace.iter().position(|(place, _)| is_own(place)) else {
        return failure;
    };
    if failure.trace[at].1.starts_with(OF_MODULE) {
        return failure;
    }
    let outside = failure.trace.split_off(at);
    let within = std::mem::replace(&mut failure.trace, outside);
    let (call, called) = failure.trace.remove(0);
    failure.inside = std::iter::once(inside)
        .chain(within.into_iter().map(|(place, _)| place))
        .collect();
    failure.place = Some(call);
    failure.label = Some(format!("{called} fails, with what it gets here"));
    failure
}

/// A bound can be passed anywhere in a loop, so the loop's head is shown.
fn at_loop(fault: Fault, place: Location) -> (Fault, Location) {
    let still = fault
        .label
        .as_deref()
        .is_some_and(|label| label.starts_with("still"));
    if still && let Some((label, inside)) = loops::inside(&place) {
        return (fault.label(label), inside);
    }
    match loops::around(&place) {
        Some(head)
            if fault
                .label
                .as_deref()
                .is_some_and(|label| label.starts_with("still")) =>
        {
            (fault.label("this loop was still running"), head)
        }
        None if tokens::next(&place.source.text, place.span.end)
            .is_some_and(|token| matches!(&place.source.text[token.span], "(" | "::")) =>
        {
            (fault.label("this call was still running"), place)
        }
        _ => (fault, place),
    }
}

/// The calls, innermost first. A function without a name is called by the word it was given to, at
/// the same place: both are one line.
fn calls_of(mut outermost_first: Vec<(Location, String)>) -> Vec<(Location, String)> {
    outermost_first.reverse();
    let mut calls: Vec<(Location, String)> = Vec::new();
    for (place, called) in outermost_first {
        if let Some((inner_place, inner)) = calls.last_mut()
            && inner == WITHOUT_NAME
            && *inner_place == place
        {
            *inner = format!("the function given to {called}");
            continue;
        }
        calls.push((place, called));
    }
    for (place, called) in &mut calls {
        let word = &place.source.text[place.span.clone()];
        let is_name = word.starts_with(|c: char| c.is_alphabetic());
        if called == WITHOUT_NAME && is_name && word != "call" {
            *called = format!("the function given to `{word}`");
        }
    }
    shortened(calls)
}

/// The first and the last calls of a long list.
fn shortened(mut calls: Vec<(Location, String)>) -> Vec<(Location, String)> {
    let left_out = calls.len().saturating_sub(limits::TRACE);
    if left_out > 0 {
        let half = limits::TRACE / 2;
        calls.drain(half..half + left_out);
        let (_, called) = &mut calls[half];
        *called = format!("{left_out} more calls, and then in {called}");
    }
    calls
}

/// A called function for the list of calls.
fn called(name: &str) -> String {
    if name.starts_with(NAMELESS) {
        WITHOUT_NAME.to_owned()
    } else {
        format!("`{name}`")
    }
}
