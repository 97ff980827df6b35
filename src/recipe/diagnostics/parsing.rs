//! Messages for texts that cannot be parsed.

use rhai::{Engine, LexError, ParseErrorType};

use super::missing::{missing, previous, syntax, unexpected};
use super::types::values;
use super::{names, tokens};
use crate::geom::number::grouped;
use crate::recipe::engine::LEFT_OUT;
use crate::recipe::fault::Fault;
use crate::recipe::foreign::instead_of;
use crate::recipe::kind::{Fixed, Kind};
use crate::recipe::limits;
use crate::recipe::run::Run;
use crate::recipe::source::Location;

/// The fault behind an error of Rhai's parser at `place`.
pub(super) fn fault(engine: &Engine, run: &Run, place: &Location, error: &ParseErrorType) -> Fault {
    use ParseErrorType as E;
    match error {
        E::UnexpectedEOF => syntax("the recipe ends in the middle of a statement"),
        E::BadInput(error) => input(place, error),
        E::UnknownOperator(sign) | E::Reserved(sign) => reserved(place, sign),
        E::MissingToken(token, _) => missing(place, token),
        E::MissingSymbol(what) => syntax(format!("something is missing here: {}", plain(what))),
        E::MalformedIndexExpr(what) => malformed_index(what),
        E::DuplicatedProperty(name) => {
            syntax(format!("`{name}` is given twice in this map")).label("the second one")
        }
        E::DuplicatedVariable(name) => syntax(format!("the name `{name}` stands here twice")),
        E::WrongSwitchIntegerCase | E::WrongSwitchDefaultCase | E::WrongSwitchCaseCondition => {
            syntax(plain(&error.to_string()))
        }
        E::PropertyExpected => missing_property(place),
        E::VariableExpected => missing_name(place),
        E::ForbiddenVariable(name) => syntax(format!("`{name}` cannot be a name here")),
        E::MismatchedType(expected, actual) => mismatch(place, expected, actual),
        E::ExprExpected(what) => expression_expected(place, what),
        E::WrongDocComment => {
            syntax("a comment with three strokes stands before something that is no function")
                .help("begin it with `//`: three strokes are for the description of a function")
        }
        E::WrongFnDefinition => syntax("a function is defined inside a block or another function")
            .help("move it to the outermost level, or write `let name = |value| ...;`"),
        E::FnDuplicatedDefinition(name, count) => syntax(format!(
            "there are two functions `{name}` that take {}",
            values(*count)
        ))
        .label("the second one"),
        E::FnMissingName => {
            syntax("the name of the function is missing").help("write `fn name(value) { ... }`")
        }
        E::FnMissingParams(name) => {
            syntax(format!("the brackets of the function `{name}` are missing")).help(format!(
                "write `fn {name}() {{ ... }}`, or `fn {name}(value) {{ ... }}`"
            ))
        }
        E::FnDuplicatedParam(name, param) => syntax(format!(
            "two values of the function `{name}` are called `{param}`"
        )),
        E::FnMissingBody(name) if name.is_empty() => syntax("what the function does is missing"),
        E::FnMissingBody(name) => syntax(format!("what the function `{name}` does is missing"))
            .help(format!(
                "write it in curly brackets: `fn {name}(...) {{ ... }}`"
            )),
        E::WrongExport => {
            syntax("`export` stands inside a block").help("move it to the outermost level")
        }
        E::AssignmentToConstant(name) if name.is_empty() => {
            syntax("a fixed value cannot be changed")
        }
        E::AssignmentToConstant(name) => Fault::new(
            Kind::Constant,
            format!("`{name}` is constant and cannot be changed"),
        )
        .help(format!(
            "make it with `let {name} = ...` instead of `const`"
        )),
        E::AssignmentToInvalidLHS(what) if what.is_empty() => {
            syntax("what stands before `=` cannot be given a value")
        }
        E::AssignmentToInvalidLHS(what) | E::MalformedCapture(what) => syntax(plain(what)),
        E::VariableExists(name) => syntax(format!("there is a `{name}` already")),
        E::VariableUndefined(name) => names::unknown_value(engine, run, place, name),
        E::ModuleUndefined(name) => names::unknown_module(place, name),
        E::ExprTooDeep => Fault::new(
            Kind::Fixed(Fixed::Depth),
            format!(
                "more than {} brackets, blocks or operators stand inside each other",
                limits::EXPRESSION_DEPTH
            ),
        )
        .help(
            "give parts of it a name with `let`, and put the names together: this bound is fixed",
        ),
        E::TooManyFunctions => Fault::new(
            Kind::Fixed(Fixed::Functions),
            format!(
                "the recipe defines more than {} functions",
                grouped(limits::FUNCTIONS as u64)
            ),
        )
        .help("this bound is fixed"),
        E::LiteralTooLarge(what, most) => Fault::new(
            Kind::Fixed(Fixed::Source),
            format!("{} is more than {}", literal(what), grouped(*most as u64)),
        )
        .help("this bound is fixed"),
        E::LoopBreak => syntax("`break` and `continue` work only inside a loop"),
        other => syntax(plain(&other.to_string())),
    }
}

/// Rhai's own words, with a small first letter.
fn plain(message: &str) -> String {
    let mut chars = message.chars();
    chars.next().map_or_else(String::new, |first| {
        first.to_lowercase().chain(chars).collect::<String>()
    })
}

fn literal(what: &str) -> &'static str {
    if what.contains("string") {
        "the length of this text in bytes"
    } else if what.contains("map") {
        "the number of entries in this map"
    } else {
        "the number of entries in this list"
    }
}

fn input(place: &Location, error: &LexError) -> Fault {
    match error {
        LexError::UnexpectedInput(sign) => unexpected(place, sign),
        LexError::UnterminatedString => syntax("the text that begins here has no end")
            .label("no closing quote")
            .help(
                "close it with the quote that it began with; an inch mark inside is written `\\\"`",
            ),
        LexError::MalformedEscapeSequence(escape) => {
            syntax(format!("`{escape}` has no meaning in a text"))
                .help("a stroke `\\` itself is written `\\\\`, a quote `\\\"`, a new line `\\n`")
        }
        LexError::MalformedNumber(number) => syntax(format!("`{number}` is no number")),
        LexError::MalformedChar(text) => {
            syntax("single quotes hold one character only").help(format!(
                "write texts in double quotes: {:?}",
                text.trim_matches('\'')
            ))
        }
        LexError::MalformedIdentifier(name) => syntax(format!("`{name}` cannot be a name")),
        LexError::ImproperSymbol(sign, what) => improper(place, sign, what),
        other => syntax(plain(&other.to_string())),
    }
}

fn improper(place: &Location, sign: &str, what: &str) -> Fault {
    if LEFT_OUT.iter().any(|(left_out, _)| *left_out == sign) || what.contains("disabled") {
        return reserved(place, sign);
    }
    if sign == "=" || what.contains("'=='") {
        return syntax("`=` gives a name a value; it does not compare")
            .help("to compare, write `==`");
    }
    if what.is_empty() {
        return syntax(format!("`{sign}` has no meaning here"));
    }
    syntax(plain(&what.replace('\'', "`")))
}

/// A sign or word that the language keeps for itself, or that recipes do not have.
fn reserved(place: &Location, sign: &str) -> Fault {
    if let Some((_, instead)) = LEFT_OUT.iter().find(|(left_out, _)| *left_out == sign) {
        return Fault::new(
            Kind::LeftOut {
                sign: sign.to_owned(),
            },
            format!("recipes have no `{sign}`"),
        )
        .help(*instead);
    }
    let is_name = sign.starts_with(|c: char| c.is_alphabetic() || c == '_');
    match sign {
        "++" | "--" => {
            let sign = &sign[..1];
            syntax(format!("there is no `{sign}{sign}`")).help(format!("write `x {sign}= 1`"))
        }
        "var" | "static" => syntax(format!("there is no `{sign}`"))
            .help("names are given with `let`: `let name = ...;`"),
        "===" | "!==" => {
            syntax(format!("there is no `{sign}`")).help(format!("write `{}`", &sign[..2]))
        }
        "print" | "debug" | "type_of" | "call" if next_is_not(place, "(") => {
            syntax(format!("`{sign}` is used with brackets")).help(format!("write `{sign}(...)`"))
        }
        _ if instead_of(sign).is_some() => {
            syntax(format!("there is no `{sign}`")).maybe_help(instead_of(sign).map(str::to_owned))
        }
        _ if is_name => syntax(format!(
            "`{sign}` belongs to the language and cannot be a name"
        ))
        .help("take another name"),
        "#" => syntax("`#` has no meaning here")
            .help("comments begin with `//`, maps with `#{`, and colours are texts: \"#1e3a5f\""),
        _ => syntax(format!("`{sign}` has no meaning here")),
    }
}

fn next_is_not(place: &Location, sign: &str) -> bool {
    let text = &place.source.text;
    tokens::next(text, place.span.end).is_none_or(|token| &text[token.span] != sign)
}

fn missing_property(place: &Location) -> Fault {
    let here = &place.source.text[place.span.clone()];
    if LEFT_OUT.iter().any(|(left_out, _)| *left_out == here) {
        return reserved(place, here);
    }
    syntax("a name is missing after the point").label("expected here")
}

fn missing_name(place: &Location) -> Fault {
    let here = &place.source.text[place.span.clone()];
    let fault = syntax("a name is missing here").label("expected here");
    if here.starts_with(|c: char| c.is_ascii_digit()) {
        return fault.help("names begin with a letter");
    }
    fault
}

fn mismatch(place: &Location, expected: &str, actual: &str) -> Fault {
    let text = &place.source.text;
    let next = tokens::next(text, place.span.end).map(|token| &text[token.span]);
    if let Some(sign @ ("===" | "!==")) = next {
        return reserved(place, sign);
    }
    let actual = names::kind(actual.trim_start_matches("a ").trim_start_matches("an "));
    let fault = |expected: &str| {
        Fault::new(
            Kind::WrongKind,
            format!("{expected} is expected here, not {actual}"),
        )
    };
    if expected.contains("boolean") {
        fault("a yes-or-no").help("write a comparison, such as `x > 0`")
    } else if expected.contains("iterable") {
        fault("a list or a range")
            .help("`for` goes through a list, or counts: `for i in 0..5 { ... }`")
    } else {
        fault(&plain(expected))
    }
}

fn expression_expected(place: &Location, what: &str) -> Fault {
    if previous(place).is_some_and(|(word, _)| word == "in") {
        return syntax("what to go through is missing after `in`")
            .label("expected here")
            .help("write `for name in list { ... }`");
    }
    if what.contains("boolean") {
        return syntax("a condition is missing here").help("write a comparison, such as `x > 0`");
    }
    syntax("a value is missing here").label("expected here")
}

fn malformed_index(what: &str) -> Fault {
    let fault = Fault::new(
        Kind::WrongKind,
        "what stands in square brackets does not fit",
    );
    if what.contains("integer index") {
        fault.help("entries of a list are counted with whole numbers from 0: `list[0]`")
    } else if what.contains("string index") {
        fault.help("entries of a map are named by texts: `map[\"name\"]`")
    } else {
        fault.help(plain(what))
    }
}
