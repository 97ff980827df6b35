//! Words for what goes wrong while a recipe runs.

use rhai::{Dynamic, Engine, EvalAltResult};

use super::names::kind;
use super::{calls, names, parsing, types};
use crate::geom::number::grouped;
use crate::recipe::fault::Fault;
use crate::recipe::kind::{Fixed, Kind};
use crate::recipe::limits;
use crate::recipe::printing::printable;
use crate::recipe::run::Run;
use crate::recipe::source::Location;

/// The fault behind an error of the running engine at `place`.
pub(super) fn fault(engine: &Engine, run: &Run, place: &Location, error: EvalAltResult) -> Fault {
    use EvalAltResult as E;
    match error {
        E::ErrorRuntime(value, _) | E::ErrorTerminated(value, _) if value.is::<Fault>() => {
            value.cast::<Fault>()
        }
        E::ErrorRuntime(value, _) => thrown(&value),
        E::ErrorFunctionNotFound(signature, _) => calls::unknown(engine, run, place, &signature),
        E::ErrorDotExpr(sentence, _) => calls::unknown_property(engine, &sentence),
        E::ErrorVariableNotFound(name, _) => match name.split_once("::") {
            Some((_, name)) => Fault::new(
                Kind::UnknownName {
                    name: name.to_owned(),
                },
                format!("the rule module has no value `{name}`"),
            )
            .label("not known")
            .help("a module gives out what it marks with `export`, and its functions"),
            None => names::unknown_value(engine, run, place, &name),
        },
        E::ErrorModuleNotFound(name, _) => names::unknown_module(place, &name),
        E::ErrorPropertyNotFound(name, _) => {
            let (message, help) = (
                format!("this map has no `{name}`"),
                format!("`\"{name}\" in map` asks whether it is there"),
            );
            Fault::new(Kind::UnknownProperty { name }, message)
                .label("not there")
                .help(help)
        }
        E::ErrorIndexNotFound(index, _) => {
            Fault::new(Kind::OutOfBounds, format!("there is no entry {index}"))
        }
        E::ErrorIndexingType(types, _) => {
            let owner = types.split(" [").next().unwrap_or_default().to_owned();
            Fault::new(
                Kind::WrongKind,
                format!("{} has no entries in square brackets", kind(&owner)),
            )
        }
        E::ErrorArrayBounds(length, index, _) => bounds("list", "entries", length, index),
        E::ErrorStringBounds(length, index, _) => bounds("text", "characters", length, index),
        E::ErrorBitFieldBounds(length, index, _) => bounds("number", "bits", length, index),
        E::ErrorFor(_) => Fault::new(Kind::WrongKind, "`for` cannot go through this").help(
            "`for` goes through a list, a map's keys or a text, or counts: `for i in 0..5 { ... }`",
        ),
        E::ErrorDataRace(name, _) => data_race(&name),
        E::ErrorNonPureMethodCallOnConstant(name, _) => Fault::new(
            Kind::Constant,
            format!(
                "`{}` would change a constant",
                name.trim_start_matches("set$")
            ),
        )
        .help("make it with `let` instead of `const`"),
        E::ErrorAssignmentToConstant(name, _) => Fault::new(
            Kind::Constant,
            format!("`{name}` is constant and cannot be changed"),
        )
        .help(format!(
            "make it with `let {name} = ...` instead of `const`"
        )),
        E::ErrorArithmetic(sentence, _) => arithmetic(&sentence),
        E::ErrorMismatchDataType(expected, actual, _)
        | E::ErrorMismatchOutputType(expected, actual, _) => mismatch(&expected, &actual),
        E::ErrorUnboundThis(_) => Fault::new(
            Kind::UnknownName {
                name: "this".to_owned(),
            },
            "`this` stands for nothing here",
        )
        .help("`this` is what a function is called on: `value.word()`"),
        E::ErrorTooManyOperations(_)
        | E::ErrorTooManyVariables(_)
        | E::ErrorTooManyModules(_)
        | E::ErrorStackOverflow(_)
        | E::ErrorDataTooLarge(..) => bound(&error),
        E::LoopBreak(..) => Fault::new(
            Kind::Syntax,
            "`break` and `continue` work only inside a loop",
        ),
        E::ErrorParsing(kind, _) => parsing::fault(engine, run, place, &kind),
        other => Fault::new(Kind::Failed, format!("the recipe failed: {other}")),
    }
}

/// What a recipe threw, in its own words where it has any.
fn thrown(value: &Dynamic) -> Fault {
    let words = printable(&value.to_string().replace('\n', " "));
    let message = match words.trim() {
        "" => "the recipe stops itself without saying why",
        words => words,
    };
    Fault::new(Kind::Thrown, message).label("thrown here")
}

/// The fault for a captured value that is read while it is being changed.
fn data_race(name: &str) -> Fault {
    match name.split('\'').nth(1) {
        Some(word) => Fault::new(
            Kind::DataRace,
            format!("`{word}` is handed the very value that it changes"),
        ),
        None => Fault::new(
            Kind::DataRace,
            format!("`{name}` is used here while it is being changed"),
        ),
    }
    .help("hand over a copy: `let copy = value;`")
}

fn bounds(owner: &str, entries: &str, length: usize, index: i64) -> Fault {
    let single = entries.trim_end_matches('s').replace("entrie", "entry");
    let message = match length {
        0 => format!("the {owner} is empty; it has no {single} {index}"),
        1 => format!("the {owner} has 1 {single}, number 0; there is no {index}"),
        n => format!(
            "the {owner} has {n} {entries}, 0 to {}; there is no {index}",
            n - 1
        ),
    };
    let fault = Fault::new(Kind::OutOfBounds, message);
    if length == 0 {
        return fault;
    }
    fault.help(format!(
        "`around(i, {owner}.len())` counts around in a circle; -1 is the last"
    ))
}

fn arithmetic(sentence: &str) -> Fault {
    let (what, sum) = sentence.split_once(": ").unwrap_or((sentence, ""));
    let what = what.to_lowercase();
    if what.contains("division by zero") || (what.contains("modulo") && sum.ends_with(" 0")) {
        return Fault::new(Kind::Arithmetic, format!("division by zero: {sum}"));
    }
    if what.contains("overflow") {
        return Fault::new(
            Kind::Arithmetic,
            format!("the result of {sum} is too large for a whole number"),
        )
        .help("with a point it is a number and may be larger: `2.0`");
    }
    if sum.is_empty() {
        Fault::new(Kind::Arithmetic, what)
    } else {
        Fault::new(Kind::Arithmetic, format!("{what}: {sum}"))
    }
}

fn mismatch(expected: &str, actual: &str) -> Fault {
    let expected = types::word(expected);
    let fault = Fault::new(
        Kind::WrongKind,
        format!(
            "{} is expected here, not {}",
            types::with_article(&expected),
            kind(actual)
        ),
    );
    if expected == "yes-or-no" {
        return fault.help("write a comparison, such as `x > 0`");
    }
    if expected == "whole number" {
        return fault.help("`quotient(a, b)`, `round(x)` and `round_down(x)` give whole numbers");
    }
    fault
}

/// A fixed bound that was passed: which, its value, and what to do.
fn bound(error: &EvalAltResult) -> Fault {
    let bound = |kind, what: &str, most: usize, advice: &str| {
        Fault::new(
            Kind::Fixed(kind),
            format!("{what} {}", grouped(most as u64)),
        )
        .help(format!("{advice}: this bound is fixed"))
    };
    match error {
        EvalAltResult::ErrorStackOverflow(_) => Fault::new(
            Kind::Fixed(Fixed::Calls),
            format!(
                "functions call each other more than {} levels deep",
                limits::CALL_LEVELS
            ),
        )
        .label("in this call")
        .help(
            "a function that calls itself needs an end; a loop does without: this bound is fixed",
        ),
        EvalAltResult::ErrorTooManyVariables(_) => bound(
            Fixed::Variables,
            "the number of variables at one time is more than",
            limits::VARIABLES,
            "put them into a list",
        ),
        EvalAltResult::ErrorTooManyModules(_) => bound(
            Fixed::Imports,
            "the number of imports is more than",
            limits::IMPORTS,
            "move `import` out of the loop or function, to the top",
        ),
        EvalAltResult::ErrorDataTooLarge(what, _) => {
            let what = what.to_lowercase();
            if what.contains("string") {
                bound(
                    Fixed::Text,
                    "the bytes of a text, or of all texts in a list, are more than",
                    limits::TEXT_BYTES,
                    "look for a text that grows in a loop",
                )
            } else if what.contains("map") {
                bound(
                    Fixed::Map,
                    "the entries of a map are more than",
                    limits::MAP_ENTRIES,
                    "look for a map that grows in a loop",
                )
            } else {
                bound(
                    Fixed::List,
                    "the entries of a list, with the lists inside it, are more than",
                    limits::LIST_ENTRIES,
                    "look for a list that grows in a loop",
                )
            }
        }
        _ => Fault::new(Kind::Failed, "a bound was passed"),
    }
}
