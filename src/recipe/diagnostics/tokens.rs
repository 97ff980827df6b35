//! A small tokenizer, as exact as messages need: where a token ends, which names a source declares.
//! Rhai's own positions say where a token begins.

use std::ops::Range;

/// What a token is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum TokenKind {
    /// A name or keyword.
    Name,
    /// A number.
    Number,
    /// A text in quotes, or what there is of it.
    Text,
    /// An operator, bracket or other sign.
    Sign,
}

/// A token: what it is and which bytes it takes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Token {
    pub(crate) kind: TokenKind,
    pub(crate) span: Range<usize>,
}

/// The signs of more than one character, longest first.
const SIGNS: [&str; 32] = [
    "<<=", ">>=", "**=", "..=", "...", "===", "!==", "#{", "::", "==", "!=", "<=", ">=", "&&",
    "||", "??", "?.", "?[", "=>", "->", "<-", "..", "+=", "-=", "*=", "/=", "%=", "**", "<<", ">>",
    "++", "--",
];

/// All tokens of a text; comments and white space are left out.
pub(crate) fn tokens(text: &str) -> Vec<Token> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(token) = next(text, at) {
        at = token.span.end;
        found.push(token);
    }
    found
}

/// The token of number `i` as it is written; nothing past the end.
pub(crate) fn word<'t>(text: &'t str, all: &[Token], i: usize) -> &'t str {
    all.get(i).map_or("", |t| &text[t.span.clone()])
}

/// By how much a token changes the depth of brackets.
pub(crate) fn deeper(word: &str) -> i32 {
    match word {
        "(" | "[" | "{" | "#{" | "?[" => 1,
        ")" | "]" | "}" => -1,
        _ => 0,
    }
}

/// The token that closes the bracket at token `open`; none where there is no bracket, or it stays open.
pub(crate) fn closing(text: &str, all: &[Token], open: usize) -> Option<usize> {
    let mut depth = 0;
    let mut closed = |&at: &usize| {
        depth += deeper(word(text, all, at));
        depth <= 0
    };
    let found = (open..all.len()).find(&mut closed);
    found.filter(|&at| at > open)
}

/// The first token at or after byte `at`.
pub(crate) fn next(text: &str, at: usize) -> Option<Token> {
    let start = skip_blank(text, at);
    let (kind, length) = measure(text.get(start..)?)?;
    Some(Token {
        kind,
        span: start..start + length,
    })
}

/// Where the token that begins at `at` ends; the end of the character where no token begins.
pub(crate) fn end_of(text: &str, at: usize) -> usize {
    text.get(at..)
        .and_then(measure)
        .map_or(at, |(_, length)| at + length)
}

fn skip_blank(text: &str, mut at: usize) -> usize {
    while let Some(rest) = text.get(at..) {
        let trimmed = rest.trim_start();
        at += rest.len() - trimmed.len();
        if trimmed.starts_with("//") {
            at += trimmed.find('\n').unwrap_or(trimmed.len());
        } else if trimmed.starts_with("/*") {
            at += block_comment(trimmed);
        } else {
            break;
        }
    }
    at
}

/// The length of the block comment that `text` begins with; such comments nest.
fn block_comment(text: &str) -> usize {
    let bytes = text.as_bytes();
    let (mut depth, mut i) = (0_usize, 0);
    while i < bytes.len() {
        match (bytes[i], bytes.get(i + 1)) {
            (b'/', Some(b'*')) => {
                depth += 1;
                i += 2;
            }
            (b'*', Some(b'/')) => {
                depth -= 1;
                i += 2;
                if depth == 0 {
                    return i;
                }
            }
            _ => i += 1,
        }
    }
    text.len()
}

/// Kind and length of the token that `text` begins with.
fn measure(text: &str) -> Option<(TokenKind, usize)> {
    let first = text.chars().next()?;
    Some(if first.is_alphabetic() || first == '_' {
        (
            TokenKind::Name,
            while_in(text, |c| c.is_alphanumeric() || c == '_'),
        )
    } else if first.is_ascii_digit() {
        (TokenKind::Number, number(text))
    } else if matches!(first, '"' | '`' | '\'') {
        (TokenKind::Text, quoted(text, first))
    } else if first.is_whitespace() {
        (TokenKind::Sign, 0)
    } else {
        let length = SIGNS
            .iter()
            .find(|sign| text.starts_with(**sign))
            .map_or(first.len_utf8(), |sign| sign.len());
        (TokenKind::Sign, length)
    })
}

fn while_in(text: &str, accept: impl Fn(char) -> bool) -> usize {
    text.find(|c| !accept(c)).unwrap_or(text.len())
}

/// Digits, a point that is followed by a digit, and what is glued to them (`0x1f`, `1e-3`, `3mm`).
fn number(text: &str) -> usize {
    let mut length = while_in(text, |c| c.is_alphanumeric() || c == '_');
    if let Some(rest) = text[length..].strip_prefix('.')
        && rest.starts_with(|c: char| c.is_ascii_digit())
    {
        length += 1 + while_in(rest, |c| c.is_alphanumeric() || c == '_');
    }
    if text[..length].ends_with(['e', 'E'])
        && !text.starts_with("0x")
        && text[length..].starts_with(['+', '-'])
    {
        length += 1 + while_in(&text[length + 1..], |c| c.is_ascii_digit());
    }
    length
}

/// Up to the closing quote; where it is missing, up to the end of the line (of the text for `` ` ``).
fn quoted(text: &str, quote: char) -> usize {
    let mut escaped = false;
    let mut braces = 0_usize;
    let mut before = ' ';
    for (i, c) in text.char_indices().skip(1) {
        if quote == '`' {
            match c {
                '{' if before == '$' || braces > 0 => braces += 1,
                '}' if braces > 0 => braces -= 1,
                '`' if braces == 0 => return i + 1,
                _ => {}
            }
        } else if escaped {
            escaped = false;
        } else if c == '\\' {
            escaped = true;
        } else if c == quote {
            return i + 1;
        } else if c == '\n' {
            return i;
        }
        before = c;
    }
    text.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn split(text: &str) -> Vec<&str> {
        tokens(text).into_iter().map(|t| &text[t.span]).collect()
    }

    #[test]
    fn a_text_falls_into_its_tokens() {
        assert_eq!(
            split("let x = a.b(3.5, \"q\\\"r\")..=`t ${ {1} } u`; // end"),
            [
                "let",
                "x",
                "=",
                "a",
                ".",
                "b",
                "(",
                "3.5",
                ",",
                "\"q\\\"r\"",
                ")",
                "..=",
                "`t ${ {1} } u`",
                ";"
            ]
        );
    }

    #[test]
    fn ranges_and_methods_on_numbers_keep_their_points() {
        assert_eq!(
            split("0..8 1.sin() 1e-3 0xfe-1"),
            [
                "0", "..", "8", "1", ".", "sin", "(", ")", "1e-3", "0xfe", "-", "1"
            ]
        );
    }

    #[test]
    fn comments_nest_and_may_stay_open() {
        assert_eq!(split("a /* b /* c */ d */ e /* f"), ["a", "e"]);
    }

    #[test]
    fn an_open_quote_ends_with_its_line() {
        assert_eq!(split("x = \"open;\ny"), ["x", "=", "\"open;", "y"]);
    }
}
