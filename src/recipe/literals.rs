//! Plain values in a recipe's text that can be turned like knobs: numbers, lengths, woods and dyes that
//! stand alone, each by where it stands and what it is there. And the text with another in its place.
//!
//! A value that is a whole argument, a whole entry or all that a variable is given counts; one inside a
//! sum does not, and values in `param`, `about`, `seed` and `lay` are left out, as the page has other
//! ways to change them.

use std::ops::Range;
use std::sync::LazyLock;

use serde::Serialize;

use super::diagnostics::tokens::{Token, TokenKind, tokens, word};
use super::rewrite::quoted;
use super::words::{Word, words};
use crate::geom::length;
use crate::stock::Colour;

/// How many are found at most.
const MOST: usize = 200;

/// Calls whose values are left alone.
const LEFT: [&str; 6] = ["param", "about", "seed", "lay", "print", "import"];

/// A plain value.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Literal {
    /// The byte at which it begins.
    pub at: usize,
    /// As it is written.
    pub written: String,
    /// Its line, from 1.
    pub line: usize,
    /// What it is there: the name of the variable or of the argument.
    pub name: String,
    /// The word that takes it; none for a variable.
    pub of: Option<String>,
    /// Its value.
    #[serde(flatten)]
    pub value: LiteralValue,
}

/// What a plain value is.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum LiteralValue {
    /// A number.
    Number {
        /// Its value.
        number: f64,
        /// Whether it is a whole one.
        whole: bool,
    },
    /// A length with its unit.
    Length {
        /// As a maker writes it.
        text: String,
    },
    /// A wood, a dye or another colour.
    Colour {
        /// Its name.
        text: String,
        /// As `#rrggbb`.
        colour: String,
    },
}

/// Why a value cannot be put in the place of another.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LiteralError {
    /// The text is another.
    #[error("the recipe no longer has `{0}` there: look at it anew")]
    Moved(String),
    /// Not of the same kind.
    #[error("`{new}` cannot stand in the place of `{was}`")]
    Unlike {
        /// The new value.
        new: String,
        /// The former one.
        was: String,
    },
}

/// The brackets that are open before a value.
struct Open {
    /// The word that is called, where one is.
    call: Option<String>,
    /// Whether it is called behind a point.
    method: bool,
    /// Which argument comes, from 0.
    argument: usize,
    /// The last key of a map.
    key: Option<String>,
    /// Whether values are left alone here.
    left: bool,
    /// Whether values stand side by side here: not in an index or a block.
    lists: bool,
}

/// All plain values of a text, in their order.
pub fn literals(text: &str) -> Vec<Literal> {
    static KNOWN: LazyLock<Vec<Word>> = LazyLock::new(words);
    let all = tokens(text);
    let known = KNOWN.as_slice();
    let word = |i: usize| word(text, &all, i);
    let before = |i: usize, n: usize| i.checked_sub(n).map_or("", word);
    let mut open: Vec<Open> = Vec::new();
    let mut found = Vec::new();
    for (i, token) in all.iter().enumerate() {
        let here = word(i);
        match here {
            "(" | "[" | "{" | "#{" | "?[" => {
                let callee = i
                    .checked_sub(1)
                    .map(|p| &all[p])
                    .filter(|p| p.kind == TokenKind::Name);
                let call = callee
                    .filter(|_| here == "(")
                    .map(|_| before(i, 1).to_owned());
                let index = here == "[" && (callee.is_some() || matches!(before(i, 1), ")" | "]"));
                let left = open.last().is_some_and(|o| o.left)
                    || call.as_deref().is_some_and(|c| LEFT.contains(&c))
                    || before(i, 2) == "fn";
                open.push(Open {
                    method: call.is_some() && before(i, 2) == ".",
                    lists: call.is_some() || here == "#{" || (here == "[" && !index),
                    call,
                    argument: 0,
                    key: None,
                    left,
                });
            }
            ")" | "]" | "}" => {
                open.pop();
            }
            "," => {
                if let Some(open) = open.last_mut() {
                    open.argument += 1;
                    open.key = None;
                }
            }
            ":" => {
                if let Some(open) = open.last_mut() {
                    open.key = Some(before(i, 1).trim_matches('"').to_owned());
                }
            }
            _ => {
                if open.iter().any(|o| o.left) || found.len() >= MOST {
                    continue;
                }
                let first = i - usize::from(token.kind == TokenKind::Number && before(i, 1) == "-");
                let alone = stands_alone(before(first, 1), word(i + 1), open.last());
                let value = alone.then(|| value_of(text, token, first < i)).flatten();
                let named = value.and_then(|value| {
                    Some((
                        value,
                        name_of(&open, before(first, 2), before(first, 1), known)?,
                    ))
                });
                let Some((value, (name, of))) = named else {
                    continue;
                };
                // A tile can be called `walnut`.
                if token.kind == TokenKind::Text && name == "name" {
                    continue;
                }
                let at = all[first].span.start;
                found.push(Literal {
                    at,
                    written: text[at..token.span.end].to_owned(),
                    line: text[..at].matches('\n').count() + 1,
                    name,
                    of,
                    value,
                });
            }
        }
    }
    found
}

/// Whether what stands between two tokens is a whole value.
fn stands_alone(before: &str, after: &str, open: Option<&Open>) -> bool {
    let lists = open.is_some_and(|open| open.lists);
    let begins = match before {
        "(" | "[" | "," | ":" => lists,
        "=" => true,
        _ => false,
    };
    begins && matches!(after, ")" | "]" | "}" | "," | ";")
}

fn value_of(text: &str, token: &Token, negative: bool) -> Option<LiteralValue> {
    let written = &text[token.span.clone()];
    match token.kind {
        TokenKind::Number => {
            let number: f64 = written.replace('_', "").parse().ok()?;
            Some(LiteralValue::Number {
                number: if negative { -number } else { number },
                whole: !written.contains('.'),
            })
        }
        TokenKind::Text => {
            let inner = written.strip_prefix('"')?.strip_suffix('"')?;
            if let Ok(colour) = Colour::parse(inner) {
                return Some(LiteralValue::Colour {
                    text: inner.to_owned(),
                    colour: colour.to_string(),
                });
            }
            let unit = inner.ends_with(|c: char| c.is_ascii_alphabetic());
            (unit && length::parse(inner).is_ok()).then(|| LiteralValue::Length {
                text: inner.to_owned(),
            })
        }
        _ => None,
    }
}

/// What a value is called: by its variable, its key, or its place among the arguments of a word.
fn name_of(
    open: &[Open],
    variable: &str,
    sign: &str,
    known: &[Word],
) -> Option<(String, Option<String>)> {
    if sign == "=" {
        return Some((variable.to_owned(), None));
    }
    let at = open.iter().rposition(|open| open.call.is_some())?;
    let call = &open[at];
    let of = call.call.clone();
    // What stands in a list of a map's entry is named by the entry's key too.
    if let Some(key) = open[at..].iter().rev().find_map(|open| open.key.as_ref()) {
        return Some((key.clone(), of));
    }
    let word = known.iter().find(|word| Some(&word.name) == of.as_ref())?;
    let receiver = usize::from(call.method);
    // What is written behind a point may be a word that takes its first value there.
    let takes = |same: bool| {
        let long = |params: usize| params > call.argument + receiver;
        (word.forms.iter())
            .find(|form| (form.method == call.method) == same && long(form.params.len()))
    };
    let form = takes(true).or_else(|| takes(false))?;
    Some((form.params[call.argument + receiver].name.clone(), of))
}

/// The text with another value in the place of the one that is written at byte `at`.
///
/// # Errors
/// When another stands there, or the new one is of another kind.
pub fn with_value(text: &str, at: usize, was: &str, new: &str) -> Result<String, LiteralError> {
    let span: Range<usize> = at..at.saturating_add(was.len());
    if text.get(span.clone()) != Some(was) || was.is_empty() {
        return Err(LiteralError::Moved(was.to_owned()));
    }
    let new = new.trim();
    let unlike = || LiteralError::Unlike {
        new: new.to_owned(),
        was: was.to_owned(),
    };
    let written = if let Some(inner) = was.strip_prefix('"') {
        let inner = inner.trim_end_matches('"');
        let fits = if Colour::parse(inner).is_ok() {
            Colour::parse(new).is_ok()
        } else {
            length::parse(new).is_ok()
        };
        fits.then(|| quoted(new)).ok_or_else(unlike)?
    } else {
        let number: f64 = new.parse().map_err(|_| unlike())?;
        if !number.is_finite() {
            return Err(unlike());
        }
        let shown = number.to_string();
        // A number with a point keeps one, so that it stays a number of the same type.
        if was.contains('.') && !shown.contains('.') {
            format!("{shown}.0")
        } else {
            shown
        }
    };
    let mut out = text.to_owned();
    out.replace_range(span, &written);
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "about(#{ language: 1 });\nlet wide = 24.5;\nlet s = laminate([veneer(0.6, \"navy\"), plywood(13, \"3/4 in\")]);\n\
        let n = 2 * 3;\nlet t = bar(s.rip(wide, 45)).slice(\"a\");\n\
        panel(\"p\", squares(t)).size(-4, 6).fill(|c| if c.column % 2 == 0 { t } else { t.rotate(90) })\n\
            .lay([[0, 0, t]], #{ repeat: [2, 2] });\nlet w = param(\"w\", 7, #{ from: 1 });\nlet l = lattice(t, #{ column: 36, course: [-24, 24] });\n";

    #[test]
    fn plain_values_are_found_by_what_they_are() {
        let found: Vec<(usize, String, String)> = literals(TEXT)
            .into_iter()
            .map(|l| {
                let of = l.of.map_or(String::new(), |of| format!(" of {of}"));
                (l.line, format!("{}{of}", l.name), l.written)
            })
            .collect();
        let expected = [
            (2, "wide", "24.5"),
            (3, "thickness of veneer", "0.6"),
            (3, "colour of veneer", "\"navy\""),
            (3, "plies of plywood", "13"),
            (3, "thickness of plywood", "\"3/4 in\""),
            (5, "angle of rip", "45"),
            (6, "columns of size", "-4"),
            (6, "courses of size", "6"),
            (6, "angle of rotate", "90"),
            (9, "column of lattice", "36"),
            (9, "course of lattice", "-24"),
            (9, "course of lattice", "24"),
        ];
        let expected = expected.map(|(l, n, w)| (l, n.to_owned(), w.to_owned()));
        assert_eq!(found, expected);
    }

    #[test]
    fn another_value_takes_its_place_and_nothing_else_changes() {
        let at = |what: &str| TEXT.find(what).expect("there");
        let put = |was: &str, new: &str| with_value(TEXT, at(was), was, new);
        assert_eq!(put("24.5", "30"), Ok(TEXT.replace("24.5", "30.0")));
        assert_eq!(put("\"navy\"", "poppy"), Ok(TEXT.replace("navy", "poppy")));
        assert_eq!(
            put("\"3/4 in\"", "18 mm"),
            Ok(TEXT.replace("3/4 in", "18 mm"))
        );
        assert_eq!(put("-4", "5"), Ok(TEXT.replace("-4", "5")));
        assert!(put("\"navy\"", "24").is_err());
        assert!(put("24.5", "wide").is_err());
        assert!(with_value(TEXT, 3, "24.5", "1").is_err());
        assert!(with_value(TEXT, usize::MAX, "24.5", "1").is_err());
    }

    /// What an outline is drawn by can be turned like knobs, from the page too.
    #[test]
    fn the_measures_of_outlines_are_among_them() {
        let text = "let tray = rounded_rectangle(300, 200, 40).hole(circle(30), 20, 25);\n\
            panel(\"p\", squares(t)).finished_outline(tray).pieces([piece(\"a\", ellipse(90, 70), 0, 5)], 4);\n";
        let found: Vec<String> = literals(text)
            .into_iter()
            .map(|l| format!("{} of {}: {}", l.name, l.of.unwrap_or_default(), l.written))
            .collect();
        let expected = [
            "width of rounded_rectangle: 300",
            "height of rounded_rectangle: 200",
            "radius of rounded_rectangle: 40",
            "diameter of circle: 30",
            "right of hole: 20",
            "down of hole: 25",
            "width of ellipse: 90",
            "height of ellipse: 70",
            "right of piece: 0",
            "down of piece: 5",
            "kerf of pieces: 4",
        ];
        assert_eq!(found, expected);
    }
}
