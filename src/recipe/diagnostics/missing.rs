//! Messages for signs that are missing in a recipe: where they belong, and which bracket is still
//! open.

use super::{calls, places, tokens};
use crate::recipe::fault::Fault;
use crate::recipe::foreign::instead_of;
use crate::recipe::kind::Kind;
use crate::recipe::source::Location;

/// The fault that a text is none of the language.
pub(super) fn syntax(message: impl Into<String>) -> Fault {
    Fault::new(Kind::Syntax, message)
}

/// The fault for a token that does not fit where it stands.
pub(super) fn unexpected(place: &Location, sign: &str) -> Fault {
    let fault = syntax(format!("`{sign}` does not fit here"));
    match sign {
        ")" | "]" | "}" => {
            let before = previous(place);
            if before.as_ref().is_some_and(|(text, _)| is_operator(text)) {
                return syntax(format!("a value is missing before `{sign}`"))
                    .label("expected here");
            }
            fault.help(format!(
                "there is one `{sign}` too many, or its opening bracket is missing"
            ))
        }
        ";" | "," => syntax(format!("a value is missing before `{sign}`")).label("expected here"),
        "\u{201c}" | "\u{201d}" | "\u{201e}" | "\u{2018}" | "\u{2019}" | "\u{ab}" | "\u{bb}" => {
            fault.help("texts stand in straight double quotes: \"navy\"")
        }
        "else" => fault.help("`else` follows the closing bracket of an `if`"),
        _ => fault,
    }
}

/// A token that should stand at `place` and does not.
pub(super) fn missing(place: &Location, token: &str) -> Fault {
    let text = &place.source.text;
    let here = &text[place.span.clone()];
    match token {
        ";" => missing_semicolon(place, here),
        ")" | "]" | "}" => missing_bracket(place, token, here),
        "," if runs_on(place) => {
            syntax("a text ends here, right before a name: is a quote missing in front of it?")
                .label("begins right behind a text")
                .help("look at the quotes of this line: each text has one in front and one behind")
        }
        "," => {
            let fault = match open_bracket(place) {
                Some((bracket, _)) => syntax(format!(
                    "a `,` or the closing `{}` is missing",
                    closing(bracket)
                )),
                None => syntax("a `,` is missing"),
            };
            with_opening(place, fault.label("expected here"))
        }
        "{" if instead_of(here).is_some() => {
            syntax(format!("there is no `{here}`")).maybe_help(instead_of(here).map(str::to_owned))
        }
        "{" => syntax("a `{` is missing")
            .label("expected here")
            .help("what belongs to `if`, `for`, `while` or `fn` stands in curly brackets"),
        "in" => syntax("`in` is missing")
            .label("expected here")
            .help("write `for name in list { ... }`"),
        ":" => syntax("a `:` is missing")
            .label("expected here")
            .help("entries of a map are written `name: value`"),
        "=" => syntax("a `=` is missing").label("expected here"),
        _ => syntax(format!("`{token}` is missing")).label("expected here"),
    }
}

/// Whether a name begins right where a text ends, as after a quote that was forgotten.
fn runs_on(place: &Location) -> bool {
    let text = &place.source.text;
    let begins = text[place.span.clone()].starts_with(char::is_alphabetic);
    begins
        && previous(place)
            .is_some_and(|(before, span)| before.starts_with('"') && span.end == place.span.start)
}

fn missing_semicolon(place: &Location, here: &str) -> Fault {
    let text = &place.source.text;
    let Some((before, span)) = previous(place) else {
        return syntax("a `;` is missing");
    };
    if matches!(here, ")" | "]" | "}") {
        return unexpected(place, here);
    }
    // The reader of tokens takes `3mm` for one token; Rhai ends the number at the letter.
    let digits = text[..place.span.start]
        .rsplit(|c: char| !c.is_ascii_digit() && c != '.')
        .next()
        .unwrap_or_default();
    if !digits.is_empty() && here.starts_with(char::is_alphabetic) {
        return syntax(format!("`{here}` is glued to a number")).help(format!(
            "a number alone is in mm; with a unit it is a text: \"{digits} {here}\""
        ));
    }
    let after = Location {
        source: place.source.clone(),
        span: span.clone(),
    };
    let two_back = previous(&after).map(|(word, _)| word);
    if matches!(two_back, Some("let" | "const")) {
        return syntax(format!("a `=` is missing after `{before}`")).label("expected here");
    }
    if before.starts_with('"') && two_back == Some("import") {
        return syntax("`as` is missing").help(format!("write `import {before} as {here};`"));
    }
    let broken = text[span.end..place.span.start].contains('\n');
    if broken || here.is_empty() {
        return syntax("a `;` is missing at the end of this statement")
            .label("missing after this")
            .at(after.clone());
    }
    if here == ","
        && let Some(meant) = places::decimal_comma(text, place.span.start)
    {
        return syntax("a `,` does not fit here").help(calls::with_point(&meant));
    }
    if here == "=" {
        return syntax("what stands before `=` cannot be given a value")
            .help("to compare, write `==`");
    }
    syntax(format!("a `;` or an operator is missing before `{here}`")).label("expected here")
}

fn missing_bracket(place: &Location, token: &str, here: &str) -> Fault {
    if here == "=" && in_condition(place) {
        return syntax("`=` gives a name a value; it does not compare")
            .help("to compare, write `==`");
    }
    let fault = if here.is_empty() {
        syntax(format!("the recipe ends, and a `{token}` is missing"))
    } else {
        syntax(format!("a `{token}` is missing before `{here}`"))
    };
    with_opening(place, fault.label("expected here"))
}

/// Says where the bracket stands that is still open.
fn with_opening(place: &Location, fault: Fault) -> Fault {
    match open_bracket(place) {
        Some((bracket, span)) => {
            let opening = Location {
                source: place.source.clone(),
                span,
            };
            let (line, column) = opening.line_column();
            fault.help(format!(
                "the `{bracket}` in line {line}, column {column} is still open"
            ))
        }
        None => fault,
    }
}

/// Whether the innermost bracket that is open belongs to `if` or `while`.
fn in_condition(place: &Location) -> bool {
    let Some((_, span)) = open_bracket(place) else {
        return false;
    };
    let bracket = Location {
        source: place.source.clone(),
        span,
    };
    previous(&bracket).is_some_and(|(word, _)| matches!(word, "if" | "while"))
}

fn closing(opening: &str) -> &'static str {
    match opening {
        "(" => ")",
        "[" | "?[" => "]",
        _ => "}",
    }
}

/// The innermost bracket that is open at `place`.
fn open_bracket(place: &Location) -> Option<(&str, std::ops::Range<usize>)> {
    let text = &place.source.text;
    let mut open = Vec::new();
    for token in tokens::tokens(text) {
        if token.span.start >= place.span.start {
            break;
        }
        match &text[token.span.clone()] {
            "(" | "[" | "{" | "#{" | "?[" => open.push(token.span),
            ")" | "]" | "}" => {
                open.pop();
            }
            _ => {}
        }
    }
    open.pop().map(|span| (&text[span.clone()], span))
}

/// The token before a place, and its place.
pub(super) fn previous(place: &Location) -> Option<(&str, std::ops::Range<usize>)> {
    let text = &place.source.text;
    tokens::tokens(text)
        .into_iter()
        .take_while(|token| token.span.end <= place.span.start)
        .last()
        .map(|token| (&text[token.span.clone()], token.span))
}

pub(super) fn is_operator(text: &str) -> bool {
    matches!(
        text,
        "+" | "-"
            | "*"
            | "/"
            | "%"
            | "="
            | "=="
            | "!="
            | "<"
            | ">"
            | "<="
            | ">="
            | "&&"
            | "||"
            | ".."
            | "..="
            | "+="
            | "-="
            | "*="
            | "/="
    )
}
