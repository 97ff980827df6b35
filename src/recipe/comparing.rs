//! Comparisons of unlike things are faults: a list is neither equal to a number nor below it.
//!
//! Rhai's own operators answer, without a fault, that unlike values are unequal and that neither is
//! smaller; for values of Rhai's own types they cannot be overridden. So an operator of ours replaces
//! each sign whose sides are not plainly numbers in the text. Where they are, as in most rules, Rhai's
//! own operator stays, because it is faster.
//!
//! Nothing (`()`) may be asked for with `==` and `!=` whatever stands on the other side.

use std::cell::RefCell;
use std::cmp::Ordering;
use std::collections::BTreeSet;

use rhai::{AST, Dynamic, Engine, EvalAltResult, FuncRegistration, Module, NativeCallContext};
use rhai::{ParseError, Token};

use super::diagnostics::tokens::{Token as Word, TokenKind, tokens, word};
use super::diagnostics::types;
use super::fault::Fault;

/// A sign, the name of our operator that replaces it, and its precedence (`Token::precedence`).
const SIGNS: [(&str, &str, u8); 6] = [
    ("==", "==?", 90),
    ("!=", "!=?", 90),
    ("<", "<?", 130),
    ("<=", "<=?", 130),
    (">", ">?", 130),
    (">=", ">=?", 130),
];

/// Properties in mm, in every type that has them.
pub(super) const LENGTHS: [&str; 7] = [
    "x",
    "y",
    "distance",
    "from_outline",
    "width",
    "height",
    "thickness",
];
/// Properties that count.
pub(super) const COUNTS: [&str; 7] = [
    "column",
    "course",
    "columns",
    "courses",
    "number",
    "ring",
    "from_edge",
];

/// Whether all values that have a property of this name have a number there.
fn is_number(property: &str) -> bool {
    let others = ["direction", "across", "down"];
    [&LENGTHS[..], &COUNTS, &others]
        .iter()
        .any(|names| names.contains(&property))
}

thread_local! {
    /// Line and column of the signs of the text that is being compiled on this thread.
    static OURS: RefCell<BTreeSet<(usize, usize)>> = const { RefCell::new(BTreeSet::new()) };
}

/// Makes an engine use our operators for the signs that [`compile`] marks.
pub(super) fn prepare(engine: &mut Engine) {
    for (_, ours, rank) in SIGNS {
        engine
            .register_custom_operator(ours, rank)
            .expect("invariant: no sign of the language is called so");
    }
    #[allow(
        deprecated,
        reason = "it is marked as one that may change: the pinned version has it"
    )]
    engine.on_parse_token(|token, position, _| {
        let Some((_, ours, _)) = SIGNS.iter().find(|(sign, ..)| is(&token, sign)) else {
            return token;
        };
        let at = (
            position.line().unwrap_or(0),
            position.position().unwrap_or(0),
        );
        if OURS.with_borrow(|marked| marked.contains(&at)) {
            Token::Custom(Box::new((*ours).into()))
        } else {
            token
        }
    });
}

fn is(token: &Token, sign: &str) -> bool {
    matches!(
        (token, sign),
        (Token::EqualsTo, "==")
            | (Token::NotEqualsTo, "!=")
            | (Token::LessThan, "<")
            | (Token::LessThanEqualsTo, "<=")
            | (Token::GreaterThan, ">")
            | (Token::GreaterThanEqualsTo, ">=")
    )
}

/// Compiles a text for an engine that is prepared.
pub(super) fn compile(engine: &Engine, text: &str) -> Result<AST, ParseError> {
    OURS.set(places(text));
    let compiled = engine.compile(text);
    OURS.take();
    compiled
}

/// Line and column, from 1, of the signs whose sides are not plainly numbers.
fn places(text: &str) -> BTreeSet<(usize, usize)> {
    let list = tokens(text);
    let mut found = BTreeSet::new();
    let (mut line, mut column, mut at) = (1, 1, 0);
    for (i, token) in list.iter().enumerate() {
        if !is_sign(text, token)
            || (left_is_number(text, &list, i) && right_is_number(text, &list, i))
        {
            continue;
        }
        for letter in text[at..token.span.start].chars() {
            (line, column) = match letter {
                '\n' => (line + 1, 1),
                _ => (line, column + 1),
            };
        }
        at = token.span.start;
        found.insert((line, column));
    }
    found
}

pub(super) fn is_sign(text: &str, token: &Word) -> bool {
    token.kind == TokenKind::Sign
        && SIGNS
            .iter()
            .any(|(sign, ..)| text[token.span.clone()] == **sign)
}

fn left_is_number(text: &str, list: &[Word], i: usize) -> bool {
    let Some(before) = i.checked_sub(1) else {
        return false;
    };
    let plain = list[before].kind == TokenKind::Number
        || before > 0 && word(text, list, before - 1) == "." && is_number(word(text, list, before));
    plain && !is_chained(text, list, before)
}

/// Whether the value that ends at `end` is itself what a comparison gives: `0 < x < 5`.
pub(super) fn is_chained(text: &str, list: &[Word], end: usize) -> bool {
    let mut depth = 0_usize;
    for token in list[..=end].iter().rev() {
        match &text[token.span.clone()] {
            ")" | "]" | "}" => depth += 1,
            "(" | "[" | "{" | "#{" | "?[" if depth == 0 => return false,
            "(" | "[" | "{" | "#{" | "?[" => depth -= 1,
            "&&" | "||" | "," | ";" | "=" | "=>" | "|" | ":" | "if" | "while" | "return"
            | "else" | "in" | "until" | "??"
                if depth == 0 =>
            {
                return false;
            }
            _ if depth == 0 && is_sign(text, token) => return true,
            _ => {}
        }
    }
    false
}

fn right_is_number(text: &str, list: &[Word], i: usize) -> bool {
    let mut next = i + 1;
    if word(text, list, next) == "-" {
        next += 1;
    }
    let kind = list.get(next).map(|token| token.kind);
    if kind == Some(TokenKind::Number) {
        return true;
    }
    if kind != Some(TokenKind::Name) {
        return false;
    }
    let mut numeric = false;
    while word(text, list, next + 1) == "." {
        next += 2;
        numeric = is_number(word(text, list, next));
    }
    numeric && !matches!(word(text, list, next + 1), "(" | "[" | "::")
}

/// Registers the functions behind our operators.
pub(super) fn add(words: &mut Module) {
    for (sign, ours, _) in SIGNS {
        FuncRegistration::new(ours).set_into_module(
            words,
            move |context: NativeCallContext, left: Dynamic, right: Dynamic| {
                compared(&context, sign, left, right)
            },
        );
    }
}

fn compared(
    context: &NativeCallContext,
    sign: &'static str,
    mut left: Dynamic,
    mut right: Dynamic,
) -> Result<bool, Box<EvalAltResult>> {
    if let (Ok(a), Ok(b)) = (left.as_int(), right.as_int()) {
        return Ok(holds(sign, a.cmp(&b)));
    }
    if let (Some(a), Some(b)) = (number(&left), number(&right)) {
        return Ok(order(a, b).map_or(sign == "!=", |order| holds(sign, order)));
    }
    if let (Ok(a), Ok(b)) = (
        left.as_immutable_string_ref(),
        right.as_immutable_string_ref(),
    ) {
        return Ok(holds(sign, a.as_str().cmp(b.as_str())));
    }
    let ordered = !matches!(sign, "==" | "!=");
    if let (Ok(a), Ok(b)) = (left.as_bool(), right.as_bool())
        && !ordered
    {
        return Ok(holds(sign, a.cmp(&b)));
    }
    if !ordered && (left.is_unit() || right.is_unit()) {
        return Ok((left.is_unit() == right.is_unit()) == (sign == "=="));
    }
    if kind(&left) != kind(&right) || ordered && !is_text(&left) {
        return Err(unlike(sign, &left, &right).into());
    }
    let answer = context.call_native_fn_raw(sign, true, &mut [&mut left, &mut right])?;
    Ok(answer.as_bool().unwrap_or(false))
}

fn holds(sign: &str, order: Ordering) -> bool {
    match sign {
        "==" => order.is_eq(),
        "!=" => order.is_ne(),
        "<" => order.is_lt(),
        "<=" => order.is_le(),
        ">" => order.is_gt(),
        _ => order.is_ge(),
    }
}

fn number(value: &Dynamic) -> Option<f64> {
    let whole = value.as_int().ok().map(|whole| whole as f64);
    whole.or_else(|| value.as_float().ok())
}

/// As Rhai compares them: numbers that differ in the last bit are equal.
fn order(a: f64, b: f64) -> Option<Ordering> {
    let size = if a * b == 0.0 {
        1.0
    } else {
        a.abs().max(b.abs())
    };
    if (a - b).abs() / size <= f64::EPSILON {
        return Some(Ordering::Equal);
    }
    a.partial_cmp(&b)
}

fn is_text(value: &Dynamic) -> bool {
    kind(value) == "text"
}

/// The kind of a value, as far as comparing goes.
fn kind(value: &Dynamic) -> String {
    match types::of_value(value).as_str() {
        "whole number" => "number".to_owned(),
        "character" => "text".to_owned(),
        other => other.to_owned(),
    }
}

fn unlike(sign: &str, left: &Dynamic, right: &Dynamic) -> Fault {
    let kinds = [kind(left), kind(right)];
    let has = |kind: &str| kinds.iter().any(|one| one == kind);
    let shown = |value: &Dynamic| types::with_article(&types::of_value(value));
    let message = if kinds[0] == kinds[1] {
        format!(
            "`{sign}` puts numbers and texts in order, not {}",
            plural(&kinds[0])
        )
    } else {
        format!("{} is compared with {}", shown(left), shown(right))
    };
    let help = if kinds[0] == kinds[1] {
        "compare what is meant of each: `a.width < b.width`"
    } else if has("nothing") {
        "one side has no value: an `if` without `else` gives none, nor does a word such as `push`"
    } else if has("list") && has("number") {
        "`list.len()` tells how many entries a list has, and `list[0]` is its first"
    } else if has("text") && has("number") {
        "a text is no number: `number(text)` reads a number, `length(text)` a length in mm"
    } else if has("yes-or-no") && has("number") {
        "compare two at a time: `0 < x && x < 5`"
    } else if has("function") {
        "this is the function itself: `name.call(...)` carries it out"
    } else if has("cell") {
        "say what of the cell is meant: `cell.column`, `cell.course`, `cell.ring`"
    } else if has("tile") && has("text") {
        "`tile.name` is the name of a tile"
    } else {
        "compare like with like: two numbers, two texts, two lists"
    };
    Fault::new(super::kind::Kind::Unlike, message).help(help)
}

fn plural(kind: &str) -> String {
    match kind {
        "yes-or-no" => "yes and no".to_owned(),
        other => format!("{other}s"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ours(text: &str) -> usize {
        places(text).len()
    }

    #[test]
    fn signs_between_plain_numbers_stay_as_they_are() {
        for text in [
            "cell.column % 2 == 0",
            "cell.x < 3.5 && cell.ring != 2",
            "cell.column < cell.columns - 1",
            "a.b.x >= -4",
        ] {
            assert_eq!(ours(text), 0, "{text}");
        }
    }

    #[test]
    fn others_are_looked_at_when_they_run() {
        for text in [
            "list == 3",
            "cell.column < order",
            "0 < cell.column < 5",
            "f(1 < 2) == 3",
            "cell.column == cell.columns.len()",
            "a == \"navy\"",
        ] {
            assert_eq!(ours(text), 1, "{text}");
        }
    }

    #[test]
    fn places_count_characters_and_lines() {
        let found: Vec<_> = places("let é = a == b;\n\n  c <= d").into_iter().collect();
        assert_eq!(found, [(1, 11), (3, 5)]);
    }
}
