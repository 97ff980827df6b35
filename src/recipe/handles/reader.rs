//! Calls and values of a recipe's text, as far as they can be read without carrying it out.

use std::ops::Range;

use super::error::HandleError;
use super::lengths::Length;
use crate::recipe::diagnostics::tokens::{Token, TokenKind, closing, deeper, word};

/// How many variables lead to one another at most.
const DEEPEST: usize = 16;

/// Some tokens, by number.
pub(super) type Tokens = Range<usize>;

/// A word that is called, with what it is given.
#[derive(Debug, Clone)]
pub(super) struct Call {
    /// The word.
    pub(super) word: String,
    /// The byte at which it begins.
    pub(super) at: usize,
    /// Its arguments.
    pub(super) arguments: Vec<Tokens>,
}

/// A text and its tokens.
pub(super) struct Reader<'t> {
    pub(super) text: &'t str,
    all: &'t [Token],
}

impl<'t> Reader<'t> {
    pub(super) fn new(text: &'t str, all: &'t [Token]) -> Self {
        Self { text, all }
    }

    fn word(&self, i: usize) -> &'t str {
        word(self.text, self.all, i)
    }

    pub(super) fn line(&self, at: usize) -> usize {
        self.text[..at].matches('\n').count() + 1
    }

    fn span(&self, tokens: &Tokens) -> Range<usize> {
        let all = &self.all[tokens.clone()];
        let ends = |t: &Token| t.span.clone();
        match (all.first().map(ends), all.last().map(ends)) {
            (Some(first), Some(last)) => first.start..last.end,
            _ => 0..0,
        }
    }

    fn written(&self, tokens: &Tokens) -> (String, usize) {
        let span = self.span(tokens);
        let line = self.line(span.start);
        let one: Vec<&str> = self.text[span].split_whitespace().collect();
        let one = one.join(" ");
        let short: String = one.chars().take(40).collect();
        (
            if short.len() < one.len() {
                short + "..."
            } else {
                one
            },
            line,
        )
    }

    pub(super) fn unread(&self, tokens: &Tokens) -> HandleError {
        let (written, line) = self.written(tokens);
        HandleError::Unread { written, line }
    }

    fn closing(&self, open: usize) -> Option<usize> {
        closing(self.text, self.all, open)
    }

    /// What stands between the brackets that open at a token, comma by comma, and the token that closes them.
    fn parts(&self, open: usize) -> Option<(Vec<Tokens>, usize)> {
        let close = self.closing(open)?;
        let (mut parts, mut from, mut at) = (Vec::new(), open + 1, open + 1);
        while at < close {
            match self.word(at) {
                "," => {
                    parts.push(from..at);
                    from = at + 1;
                }
                other if deeper(other) > 0 => at = self.closing(at)?,
                _ => {}
            }
            at += 1;
        }
        if from < close {
            parts.push(from..close);
        }
        Some((parts, close))
    }

    /// The calls behind a call or a name, `.word(...)` one after the other from token `at` on, and where they end.
    fn chain(&self, mut at: usize) -> Option<(Vec<Call>, usize)> {
        let mut calls = Vec::new();
        while self.word(at) == "." && self.word(at + 2) == "(" {
            let (arguments, close) = self.parts(at + 2)?;
            calls.push(Call {
                word: self.word(at + 1).to_owned(),
                at: self.all[at + 1].span.start,
                arguments,
            });
            at = close + 1;
        }
        Some((calls, at))
    }

    /// Whether a token stands outside all brackets.
    fn is_outside(&self, at: usize) -> bool {
        (0..at).map(|i| deeper(self.word(i))).sum::<i32>() == 0
    }

    /// All that is called on the panel that begins at this byte: in its chain, and by its name.
    pub(super) fn calls_on(&self, begins: usize) -> Result<Vec<Call>, HandleError> {
        let at = self.all.iter().position(|t| t.span.start == begins);
        let at = at.filter(|&at| self.word(at) == "panel" && self.is_outside(at));
        let found = at.and_then(|at| {
            let (_, close) = self.parts(at + 1)?;
            let (mut calls, _) = self.chain(close + 1)?;
            let named = at >= 2 && self.word(at - 1) == "=";
            if let Some(name) = named.then(|| self.word(at - 2)) {
                let later = close..self.all.len();
                for i in later.filter(|&i| self.word(i) == name && self.word(i - 1) != ".") {
                    calls.extend(self.chain(i + 1)?.0);
                }
            }
            Some(calls)
        });
        found.ok_or(HandleError::Elsewhere)
    }

    /// The value of a variable, where it is given one once.
    fn given(&self, name: &str) -> Option<Tokens> {
        let mut given = None;
        for i in (0..self.all.len()).filter(|&i| self.word(i) == name) {
            let (before, after) = (
                i.checked_sub(1).map_or("", |b| self.word(b)),
                self.word(i + 1),
            );
            if before == "." || after == ":" {
                continue;
            }
            let assigned = matches!(after, "=" | "+=" | "-=" | "*=" | "/=" | "%=" | "**=");
            if matches!(before, "let" | "const") && after == "=" && self.is_outside(i) {
                let mut end = i + 2;
                while !matches!(self.word(end), ";" | "") {
                    let opens = deeper(self.word(end)) > 0;
                    end = if opens { self.closing(end)? } else { end } + 1;
                }
                if given.replace(i + 2..end).is_some() {
                    return None;
                }
            } else if assigned || matches!(before, "let" | "const" | "for" | "|") {
                return None;
            }
        }
        given
    }

    /// The tokens of a value, or of the value that its variable is given.
    pub(super) fn value(&self, tokens: &Tokens) -> Tokens {
        let mut now = tokens.clone();
        for _ in 0..DEEPEST {
            let name = now.len() == 1 && self.all[now.start].kind == TokenKind::Name;
            match name.then(|| self.given(self.word(now.start))).flatten() {
                Some(given) => now = given,
                None => break,
            }
        }
        now
    }

    /// The default of a parameter: what a value is where no knob is turned.
    fn default_of(&self, value: &Tokens) -> Option<Tokens> {
        let (call, more) = self.called(value)?;
        let plain = call.word == "param" && more.is_empty();
        call.arguments.get(1).filter(|_| plain).cloned()
    }

    /// A length; an error where it is worked out.
    pub(super) fn length(&self, tokens: &Tokens) -> Result<Length, HandleError> {
        let value = self.value(tokens);
        let value = self.default_of(&value).unwrap_or(value);
        let number = |at: usize| self.all.get(at).is_some_and(|t| t.kind != TokenKind::Name);
        let plain = match value.len() {
            1 => number(value.start),
            2 => self.word(value.start) == "-" && number(value.start + 1),
            _ => false,
        };
        let read = plain.then(|| Length::read(self.text, self.span(&value)));
        read.flatten().ok_or_else(|| {
            let (written, line) = self.written(tokens);
            HandleError::Computed { written, line }
        })
    }

    /// The values of a list that is written out.
    pub(super) fn list(&self, tokens: &Tokens) -> Option<Vec<Tokens>> {
        let value = self.value(tokens);
        let (parts, close) = (self.word(value.start) == "[").then(|| self.parts(value.start))??;
        (close + 1 == value.end).then_some(parts)
    }

    /// The plain text that a value is, as the bytes between its quotes.
    pub(super) fn plain_text(&self, tokens: &Tokens) -> Option<Range<usize>> {
        let value = self.value(tokens);
        let token = (value.len() == 1).then(|| &self.all[value.start])?;
        let written = &self.text[token.span.clone()];
        let inner = token.span.start + 1..token.span.end.saturating_sub(1);
        let quoted = written.len() >= 2 && matches!(written.as_bytes()[0], b'"' | b'`');
        let plain = quoted && !written.contains('\\') && !written.contains("${");
        plain.then_some(inner)
    }

    /// A call with what is called behind it: `circle(300).hole(circle(90))`.
    pub(super) fn called(&self, tokens: &Tokens) -> Option<(Call, Vec<Call>)> {
        self.called_through(tokens, DEEPEST)
    }

    fn called_through(&self, tokens: &Tokens, names: usize) -> Option<(Call, Vec<Call>)> {
        let value = self.value(tokens);
        let first = value.start;
        // A variable may have more behind it.
        let (call, behind) = if self.word(first + 1) == "(" {
            let (arguments, close) = self.parts(first + 1)?;
            let call = Call {
                word: self.word(first).to_owned(),
                at: self.all[first].span.start,
                arguments,
            };
            ((call, Vec::new()), close + 1)
        } else if self.word(first + 1) == "." && value.len() > 1 {
            let name = first..first + 1;
            (self.value(&name) != name && names > 0).then_some(())?;
            (self.called_through(&name, names - 1)?, first + 1)
        } else {
            return None;
        };
        let (more, end) = self.chain(behind)?;
        (end == value.end).then(|| {
            let (call, mut own) = call;
            own.extend(more);
            (call, own)
        })
    }
}
