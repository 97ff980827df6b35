//! What can be wrong with a shop file, with the place.

use std::ops::Range;

/// A shop file that cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{message}")]
pub struct ShopError {
    /// What is wrong, in one sentence.
    pub message: String,
    /// What was expected, or what to try.
    pub help: Option<String>,
    /// The bytes of the bad place, inside the text.
    pub span: Range<usize>,
}

impl ShopError {
    /// An error at a place.
    pub(super) fn at(span: Range<usize>, message: impl Into<String>) -> Self {
        Self {
            message: message.into(),
            help: None,
            span,
        }
    }

    /// With what to try.
    pub(super) fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// From what the TOML reader says about `text`. It names unknown keys as "unknown field `x`,
    /// expected one of `a`, `b`" (or "expected `a`"): the near miss is looked up in that list.
    pub(super) fn of_toml(error: &toml::de::Error, text: &str) -> Self {
        let span = clipped(error.span().unwrap_or(0..0), text);
        let message = error.message().lines().collect::<Vec<_>>().join(" ");
        let Some(rest) = message.strip_prefix("unknown field `") else {
            return Self::at(span, message);
        };
        let mut quoted = rest.split('`');
        let unknown = quoted.next().unwrap_or("").to_owned();
        let known: Vec<&str> = quoted.skip(1).step_by(2).collect();
        let list = known.join(", ");
        let error = Self::at(span, format!("a shop file has no key `{unknown}` here"));
        match near_miss(&unknown, &known) {
            Some(near) => error.help(format!("did you mean `{near}`? Known here: {list}")),
            None => error.help(format!("known here: {list}")),
        }
    }

    /// Line and column of the place in `text`, both from 1, the column in characters.
    pub fn line_column(&self, text: &str) -> (usize, usize) {
        let before = text.get(..self.span.start).unwrap_or(text);
        let line = before.matches('\n').count() + 1;
        let start = before.rfind('\n').map_or(0, |i| i + 1);
        (line, before[start..].chars().count() + 1)
    }
}

/// The known word nearest to an unknown one, if any is near.
pub(in crate::plan) fn near_miss<'a>(unknown: &str, known: &[&'a str]) -> Option<&'a str> {
    let lower = unknown.to_lowercase();
    known
        .iter()
        .map(|&word| (strsim::damerau_levenshtein(&lower, word), word))
        .filter(|(far, word)| *far <= 1 + word.chars().count() / 4)
        .min_by_key(|(far, _)| *far)
        .map(|(_, word)| word)
}

/// The span inside the text, on character borders.
fn clipped(span: Range<usize>, text: &str) -> Range<usize> {
    let end = (0..=span.end.min(text.len()))
        .rev()
        .find(|&i| text.is_char_boundary(i))
        .unwrap_or(0);
    let start = (0..=span.start.min(end))
        .rev()
        .find(|&i| text.is_char_boundary(i))
        .unwrap_or(0);
    start..end
}
